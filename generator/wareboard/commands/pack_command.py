"""The commands `wareboard pack` and `wareboard unpack`: a form travels to another studio in one file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, known_form, shown_path, styled, to_be_typed, work_out
from wareboard.text.problems import ERROR

if TYPE_CHECKING:
    from wareboard.output.working import Worked


@click.command(short_help="Make one file of a form and all that it leans on.")
@click.argument("form", type=FormName())
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False, path_type=Path), help="The file; FORM.zip unless given."
)
@click.option("--with-trade", is_flag=True, help="With prices, shops, times and losses too.")
@click.pass_obj
def pack(directory: Path, form: str, output: Path | None, with_trade: bool) -> None:
    """Make one file of a FORM: its spec, its clay and glaze, the gauges and the forms that its fits reach into.

    No prices, no shops, no times and no losses go with it, unless --with-trade. Comments and notes do: read them first.
    """
    from wareboard.output.files import FolderError
    from wareboard.output.overwriting import check_place
    from wareboard.output.parcelfiles import write_parcel
    from wareboard.text.parcels import make_parcel

    worked = work_out(directory)
    slug = known_form(worked, form)
    if slug not in worked.sheets:
        raise click.ClickException(f"{slug} has errors; `wareboard check` says which")
    parcel = make_parcel(slug, worked.texts, with_trade=with_trade)
    path = output or Path(f"{slug}.zip")
    try:
        check_place(path, directory, "a parcel")
        write_parcel(path, parcel)
    except FolderError as fault:
        raise click.ClickException(str(fault)) from None
    click.echo(f"{shown_path(path)}: " + ", ".join(sorted(name.removeprefix("specs/") for name in parcel.texts)))
    for name, size in parcel.gauges.items():
        click.echo(f"  with the gauge {name}, {size}")


@click.command(short_help="Put a packed form into this studio.")
@click.argument("parcel", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def unpack(directory: Path, parcel: Path) -> None:
    """Put a form that was packed in another studio into this one.

    Never over a file: what has a name that is taken gets another, and what names it is changed with it. A clay or a glaze that
    is here already, word for word, is used as it is.
    """
    from wareboard.output.files import FolderError, write_whole
    from wareboard.output.parcelfiles import read_parcel
    from wareboard.text.parcels import unpack_parcel

    worked = work_out(directory)
    try:
        read = read_parcel(parcel)
    except FolderError as fault:
        raise click.ClickException(str(fault)) from None
    codes = {
        str(form.code).casefold()
        for form in (*worked.project.forms.values(), *worked.project.faulty_forms)
        if form.code
    }
    gauges = {str(name): size.typed for name, size in worked.project.studio.gauges.items()}
    found = unpack_parcel(read, worked.texts, codes, gauges)
    _refuse_faults(worked, found.texts)
    written: list[Path] = []
    try:
        # What leans on others comes after them, so that nothing is amiss if this is killed half way.
        for path in sorted(
            found.texts, key=lambda path: (path.startswith("specs/forms/"), path.endswith(f"/{found.form}.yaml"), path)
        ):
            write_whole(worked.root / path, found.texts[path].encode("utf-8"), new=True)
            written.append(worked.root / path)
    except BaseException as fault:
        for done in written:
            done.unlink(missing_ok=True)
        if isinstance(fault, FileExistsError):
            raise click.ClickException(f"{path} is there already; nothing was unpacked") from None
        raise
    for path in sorted(found.texts):
        click.echo(path)
    for path, name in sorted(found.renamed.items()):
        click.echo(f"  {path} was taken; it is {name} here")
    for path in found.known:
        click.echo(f"  {path} is here already, just so")
    for name in found.gauges_written_out:
        click.echo(f"  the gauge {name} is written out as its size; list it in studio.yaml to share it")
    click.echo(f"Next: {to_be_typed(f'derive {found.form}', worked.root)}")


def _refuse_faults(worked: Worked, texts: Mapping[str, str]) -> None:
    """Nothing is written that would not pass the check."""
    from wareboard.figures.checks import check_project
    from wareboard.text.projects import read_project

    _, problems = check_project(read_project({**worked.texts, **texts}))
    new = [problem for problem in problems if problem.at.file in texts]
    faults = [problem for problem in new if problem.level == ERROR]
    for problem in faults:
        click.echo(styled(problem, {**worked.texts, **texts}), err=True)
    if faults:
        raise click.ClickException("it would not pass the check; nothing was unpacked")
