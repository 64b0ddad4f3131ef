"""The command `wareboard gauges`: a form's profile ribs, to be cut by a laser, plotted or printed as solids."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, one_sheet
from wareboard.text.problems import did_you_mean, format_words

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.pot.ribs import Rib

STAGES_OF = (("thrown", "as thrown, wet"), ("trimmed", "trimmed, leather-hard"))


@click.command(short_help="Write profile ribs for a laser, a plotter or a printer.")
@click.argument("form", type=FormName())
@click.option("--as", "kinds", default="svg,dxf,stl", show_default=True, metavar="KIND,…", help="svg, dxf, stl.")
@click.option(
    "-o", "--output", type=click.Path(file_okay=False, path_type=Path), help="The folder; gauges/ unless given."
)
@click.pass_obj
def gauges(directory: Path, form: str, kinds: str, output: Path | None) -> None:
    """Write the outlines of a FORM's template sheet as profile ribs: for each part one to throw to, wet, and one to trim to,
    leather-hard.

    SVG and DXF are at true size in mm, the cut apart from the words. STL is a rib 2 mm thick. Each has a hole to hold it by.
    Print or cut one, lay it on the template sheet, and see that they agree: a machine's own scale is not to be trusted.
    """
    from wareboard.output.cutting import FORMATS, is_ours, rib_file
    from wareboard.output.faults import machine_fault
    from wareboard.output.files import FolderError, write_whole
    from wareboard.output.overwriting import check_destination

    wanted = [kind.strip().casefold() for kind in kinds.split(",") if kind.strip()]
    for kind in wanted:
        if kind not in FORMATS:
            hint = did_you_mean(kind, FORMATS, f"it is {format_words(FORMATS)}", sign="'")
            raise click.UsageError(f"there is no '{kind}'; {hint}")
    sheet = one_sheet(directory, form)
    folder = output or directory / "gauges"
    try:
        ribs = list(ribs_of(sheet))
        for name, _, _ in ribs:
            for kind in wanted:
                check_destination(folder / f"{name}.{kind}", directory, is_ours, "a rib")
        for name, words, rib in ribs:
            for kind in wanted:
                write_whole(folder / f"{name}.{kind}", rib_file(rib, kind, words))
            click.echo(f"{folder / name}.{{{','.join(wanted)}}}")
    except FolderError as fault:
        raise click.ClickException(str(fault)) from None
    except OSError as fault:
        raise click.ClickException(f"{folder} cannot be written to: {machine_fault(fault)}") from None


def ribs_of(sheet: Sheet) -> Iterator[tuple[str, tuple[str, ...], Rib]]:
    """A form's ribs: the file's name, the words on it, the rib.

    Args:
        sheet: the form's figures.
    """
    from wareboard.cards.gauges import seen_outline
    from wareboard.pot.ribs import profile_rib

    for name, shape in sheet.shapes.items():
        lines = (shape.thrown("wet").outside, shape.finished("leather-hard").outside)
        for (short, said), line in zip(STAGES_OF, lines, strict=True):
            mark = f"{sheet.form.code or sheet.form.title} {name} {sheet.revision}"
            slug = "-".join(name.casefold().split())
            yield f"{sheet.slug}-{slug}-{short}", (mark, said), profile_rib(seen_outline(line))
