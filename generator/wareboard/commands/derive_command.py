"""The command `wareboard derive`: a form's figures, as a table to read, unrounded, with their chains, as JSON or as rows."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import (
    FigureKey,
    FormName,
    SpecName,
    StageName,
    columns,
    named_forms,
    sheet_of,
    texts_in_clay,
)
from wareboard.pot.stages import STAGES
from wareboard.text.plain import escaped, folded_name
from wareboard.text.problems import did_you_mean, format_words

if TYPE_CHECKING:
    from wareboard.figures.figure import Figure
    from wareboard.figures.sheet import Sheet


@click.command(short_help="Print a form's figures, or where one comes from.")
@click.argument("form", type=FormName())
@click.argument("key", required=False, type=FigureKey(), metavar="[PART|KEY]")
@click.argument("stage", required=False, type=StageName())
@click.option("--raw", is_flag=True, help="Unrounded, a line for each figure.")
@click.option("--why", is_flag=True, help="The chain behind a figure, down to what was typed.")
@click.option("--json", "as_json", is_flag=True, help="All figures of the form as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="All figures of the form as rows.")
@click.option("--clay", metavar="CLAY", type=SpecName("clays"), help="As it would be of another clay of the studio's.")
@click.pass_obj
def derive(
    directory: Path,
    form: str,
    key: str | None,
    stage: str | None,
    raw: bool,
    why: bool,
    as_json: bool,
    as_csv: bool,
    clay: str | None,
) -> None:
    """Print the figures of a FORM: a line each, a column a stage, in the studio's units, rounded to its tools.

    They are those of the pot that is made to the settings, as cards and pages have them. Of one PART
    alone, of one STAGE, or of one figure by its KEY, which is shown as worked out, unrounded:

    \b
      wareboard derive tea-caddy
      wareboard derive tea-caddy lid
      wareboard derive tea-caddy lid wet
      wareboard derive tea-caddy jar.rim.diameter
      wareboard derive tea-caddy jar.rim.diameter wet --why
      wareboard derive tea-caddy --clay quarry-brown

    The stages are wet, leather-hard, dry, bisque and fired. Only what the form's numbers come from is
    read, however many forms there are.
    """
    from wareboard.output.working import work_out, work_out_some

    if as_json and as_csv:
        raise click.UsageError("choose --json or --csv")
    if why and not key:
        raise click.UsageError("--why wants to know which figure: wareboard derive FORM KEY --why")
    slugs = named_forms(directory, [form])
    if clay is None:
        worked = work_out_some(directory, slugs)
    else:
        worked = work_out(directory, typed=texts_in_clay(directory, [(slugs[0], clay)]))
    sheet = sheet_of(worked, form)
    if key in STAGES and stage is None and not find(sheet, key):
        key, stage = None, key
    figures, whole = _chosen(sheet, key, stage)
    if as_json:
        shown = sheet.as_json()
        listed = [figure.as_json() for figure in figures]
        click.echo(json.dumps({**shown, "figures": listed}, indent=1, ensure_ascii=False))
    elif as_csv:
        from wareboard.pages.datafiles import BYTE_ORDER_MARK, FIGURES_HEAD, figure_rows

        click.echo(f"{FIGURES_HEAD}{figure_rows(sheet, figures)}".removeprefix(BYTE_ORDER_MARK), nl=False)
    elif why:
        from wareboard.figures.explaining import render_why

        click.echo("\n\n".join(render_why(sheet, figure, worked.texts) for figure in figures))
    elif raw or not whole:
        from wareboard.figures.explaining import render_table

        click.echo(render_table(figures))
    else:
        click.echo("\n".join(table(sheet, figures)))


def find(sheet: Sheet, words: str) -> list[Figure]:
    """The figures that words name: a key, or a key and a stage; however the maker's names in it are spelt."""
    from wareboard.figures.explaining import find_figures

    found = find_figures(sheet, words)
    if found:
        return found
    folded = {folded_name(figure.key): figure.key for figure in sheet.figures}
    key, _, stage = " ".join(words.split()).rpartition(" ")
    for said, at in ((" ".join(words.split()), ""), (key, stage)):
        spelt = folded.get(folded_name(said))
        if spelt and (not at or at in STAGES):
            return find_figures(sheet, f"{spelt} {at}")
    return []


def _chosen(sheet: Sheet, key: str | None, stage: str | None) -> tuple[Sequence[Figure], bool]:
    """Figures by what was typed, and whether they are a whole form's or part's, for a table."""
    part = None if key is None else {folded_name(name): str(name) for name in sheet.form.parts}.get(folded_name(key))
    if stage not in (None, *STAGES) and (key is None or part is not None or not find(sheet, key)):
        hint = did_you_mean(str(stage), STAGES, f"they are {format_words(STAGES, 'and')}", sign="'")
        raise click.UsageError(f"'{escaped(str(stage))}' is no stage; {hint}")
    at_stage = [figure for figure in sheet.figures if stage in (None, figure.stage)]
    if key is None:
        return at_stage, True
    if part is not None:
        return [figure for figure in at_stage if figure.key.split(".")[0] == part], True
    figures = find(sheet, f"{key} {stage or ''}")
    if figures:
        return figures, False
    below = [figure for figure in at_stage if folded_name(figure.key).startswith(folded_name(key) + ".")]
    if below:
        return below, True
    raise click.UsageError(_not_found(sheet, f"{key} {stage or ''}"))


def _not_found(sheet: Sheet, words: str) -> str:
    key, _, stage = " ".join(words.split()).rpartition(" ")
    stages = [figure.stage for figure in sheet.figures if figure.key == key and figure.stage]
    if stages:
        others = STAGES if stage not in STAGES else ()
        hint = did_you_mean(stage, others, f"it is known {format_words(stages, 'and')}", sign="'")
        return f"{sheet.slug} has no '{key}' at '{escaped(stage)}'; {hint}"
    known = {*map(str, sheet.form.parts), *(figure.key for figure in sheet.figures)}
    hint = did_you_mean(key or stage, known, f"`wareboard derive {sheet.slug}` lists them all", sign="'")
    return f"{sheet.slug} has no figure '{escaped(' '.join(words.split()))}'; {hint}"


def table(sheet: Sheet, figures: Iterable[Figure]) -> Iterator[str]:
    """Figures as a table: a line a key, a column a stage, of the pot that is made to its settings, as cards and pages say them."""
    from wareboard.figures.settings import as_set
    from wareboard.figures.shown import reader_of
    from wareboard.text.quantities import IMPERIAL
    from wareboard.text.units import unit_factor

    made, reader = as_set(sheet), reader_of(sheet.studio)
    # By a coarse scale, the least that a piece is trimmed at would come out over the most.
    finest_g = unit_factor("oz") / 16.0 if reader.systems[0] == IMPERIAL else 1.0
    fine = replace(reader, steps=reader.steps._replace(scale_g=finest_g))
    by_key: dict[str, dict[str | None, Figure]] = {}
    for figure in figures:
        by_key.setdefault(figure.key, {})[figure.stage] = made.found[figure.key, figure.stage]
    stages = [stage for stage in STAGES if any(stage in line for line in by_key.values())]
    unstaged = any(None in line for line in by_key.values())
    rows = [["", *([""] if unstaged else []), *stages, ""]]
    for key, line in by_key.items():
        amounts = {stage: (fine if ".trim." in key else reader).figure(figure)[0] for stage, figure in line.items()}
        units = {amount.unit for amount in amounts.values()}
        one_unit = units.pop() if len(units) == 1 else None
        cells = [
            "" if stage not in amounts else amounts[stage].number if one_unit is not None else str(amounts[stage])
            for stage in ([None] if unstaged else []) + stages
        ]
        rows.append([key, *cells, one_unit or ""])
    yield from columns(rows, right=range(1, len(rows[0]) - 1))
