"""The command `wareboard match`: are these two dry enough alike to trim to one another today?"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, PartEquals, sheets_of

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet


@click.command(short_help="Tell whether two parts are dry enough alike to trim to one another.")
@click.argument("form", type=FormName())
@click.argument("weights", nargs=-1, metavar="[PART.SIZE=LENGTH | PART=WEIGHT]…", type=PartEquals())
@click.option("--fit", "fit_name", metavar="NAME", help="Which fit, where the form has several.")
@click.option("--water", is_flag=True, help="PART=SHARE is the water in its clay; what does the fit become?")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def match(
    directory: Path, form: str, weights: tuple[str, ...], fit_name: str | None, water: bool, as_json: bool
) -> None:
    """Tell whether two parts of a FORM are dry enough alike to trim to one another.

    Read both with calipers, or weigh them, before anything is trimmed or added; the first line says what
    to trim to:

    \b
      wareboard match tea-caddy jar.mouth=84.9 lid.flange=87
      wareboard match tea-caddy 'jar.mouth=87.5>84.9' lid=133g
      wareboard match tea-caddy jar=474g lid=133g
      wareboard match tea-caddy 'jar=520g>498g' 'lid=141g>135g'
      wareboard match tea-caddy jar=474g lid=133g clearance=1.2mm
      wareboard match tea-caddy --water jar=21% lid=23%

    Sizes and weights as thrown are the sheet's unless they stand before the one now, in quotes. Size and
    weight of one part are joined, the surer one counting more. With clearance= the pair is taken as it is
    and no more is trimmed. Without readings the fit's table is shown. What stands in another form is
    called FORM/PART.

    Exit status 1 where a reading, a water or a clearance can't be, 2 where something can't be read.
    """
    sheet, others = sheets_of(directory, form)
    _match(sheet, others, weights, fit_name, water=water, as_json=as_json)


def _match(
    sheet: Sheet,
    others: Mapping[str, Sheet],
    weights: tuple[str, ...],
    fit_name: str | None,
    *,
    water: bool,
    as_json: bool,
) -> None:
    from wareboard.commands.match_arguments import Refused, chosen_fit, read_waters, read_weighings
    from wareboard.figures.settings import as_set
    from wareboard.figures.shown import reader_of

    reader = reader_of(sheet.studio)
    # What the maker holds was thrown to the cards.
    sheet, others = as_set(sheet), {slug: as_set(other) for slug, other in others.items()}
    try:
        name = chosen_fit(sheet, weights, fit_name, others)
        if not weights and not water:
            _show_table(sheet, name, reader, others, as_json)
            return
        report = (
            read_waters(sheet, name, weights, others) if water else read_weighings(sheet, name, weights, reader, others)
        )
    except Refused as refused:
        for fault in refused.faults:
            click.echo(f"Error: {fault}", err=True)
        sys.exit(refused.exit_code)
    if as_json:
        _echo_json(report.as_json())
        return
    from wareboard.commands.match_text import render_match, render_water

    click.echo((render_water if water else render_match)(report, reader))


def _show_table(sheet: Sheet, name: str, reader, others: Mapping[str, Sheet], as_json: bool) -> None:
    from wareboard.commands.match_text import render_match_table
    from wareboard.figures.matching import match_table_of

    table = match_table_of(sheet, name, reader, others)
    if as_json:
        from dataclasses import asdict

        _echo_json({"format": 1, "form": sheet.slug, "revision": sheet.revision, **asdict(table)})
    else:
        click.echo(render_match_table(table, reader))


def _echo_json(shown: dict[str, object]) -> None:
    click.echo(json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False))
