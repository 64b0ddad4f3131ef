"""The commands `wareboard start` and `wareboard schema`: a folder of one's own, and what an editor knows of it."""

from __future__ import annotations

from pathlib import Path

import click

from wareboard.commands.shared import shown_path


@click.command(short_help="Write the JSON Schema of each kind of spec, for an editor.")
@click.argument("folder", required=False, type=click.Path(file_okay=False, path_type=Path))
@click.pass_obj
def schema(directory: Path, folder: Path | None) -> None:
    """Write the JSON Schema of each kind of spec, for an editor to complete and explain keys.

    They go to specs/.schema/ unless another FOLDER is named, and know the studio's own clays, glazes, kilns, forms,
    stations and calipers. What stands in specs/.schema/ is kept up to date by `check` and `build`.
    """
    from wareboard.output.starting import write_schemas
    from wareboard.output.working import work_out
    from wareboard.text.schema import NO_NAMES, names_of

    worked = work_out(directory)
    names = NO_NAMES if worked.refused else names_of(worked.project)
    for path in write_schemas(folder or directory / "specs" / ".schema", directory, names):
        click.echo(shown_path(path))


@click.command(short_help="Make a folder of your own.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--demo", is_flag=True, help="With all of the demo studio's specs, to look at and to change.")
def start(folder: Path, demo: bool) -> None:
    """Make a FOLDER of your own: a studio, one clay, one form and the site's settings."""
    from wareboard.output.starting import start_folder

    start_folder(folder, demo=demo)
    click.echo(f"{folder} is ready. Next:\n  cd {folder}\n  wareboard check\n  wareboard build")
