"""The command `wareboard match`: are these two dry enough alike to trim to one another today?"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click


@click.command(short_help="Tell whether two parts are dry enough alike to trim to one another.")
@click.argument("form")
@click.argument("weights", nargs=-1, metavar="[PART=WEIGHT]…")
@click.option("--fit", "fit_name", metavar="NAME", help="Which fit, where the form has several.")
@click.option("--water", is_flag=True, help="PART=SHARE is the water in its clay; what does the fit become?")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def match(directory: Path, form: str, weights: tuple[str, ...], fit_name: str | None, water: bool, as_json: bool) -> None:
    """Tell whether two parts of a FORM are dry enough alike to trim to one another.

    Weigh both before anything is trimmed or added:

    \b
      wareboard match tea-caddy jar=612g lid=158g
      wareboard match tea-caddy 'jar=640g>612g' 'lid=165g>158g'
      wareboard match tea-caddy jar=612g lid=158g clearance=1.2mm
      wareboard match tea-caddy --water jar=21% lid=23%

    Weights as thrown are the sheet's unless they stand before the weight now, in quotes. With
    clearance= the pair is taken as it is and no more is trimmed. Without weights the fit's table is
    shown. What stands in another form is called FORM/PART.

    Exit status 1 where a weight, a water or a clearance can't be, 2 where something can't be read.
    """
    from generator.cli import _sheet, _work_out
    from generator.match_arguments import Refused, chosen_fit, read_waters, read_weighings
    from generator.shown import reader_of

    worked = _work_out(directory)
    sheet = _sheet(worked, form)
    reader = reader_of(sheet.studio)
    try:
        name = chosen_fit(sheet, weights, fit_name, worked.sheets)
        if not weights and not water:
            _show_table(sheet, name, reader, worked.sheets, as_json)
            return
        report = read_waters(sheet, name, weights, worked.sheets) if water else read_weighings(sheet, name, weights, reader, worked.sheets)
    except Refused as refused:
        for fault in refused.faults:
            click.echo(f"Error: {fault}", err=True)
        sys.exit(refused.exit_code)
    if as_json:
        _echo_json(report.as_json())
        return
    from generator.match_text import render_match, render_water

    click.echo((render_water if water else render_match)(report, reader))


def _show_table(sheet, name: str, reader, others, as_json: bool) -> None:
    from generator.match_text import render_match_table
    from generator.matching import match_table_of

    table = match_table_of(sheet, name, reader, others)
    if as_json:
        from dataclasses import asdict

        _echo_json({"format": 1, "form": sheet.slug, "revision": sheet.revision, **asdict(table)})
    else:
        click.echo(render_match_table(table, reader))


def _echo_json(shown: dict[str, object]) -> None:
    click.echo(json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False))
