"""The command `wareboard`. What a command needs is loaded when it runs: a check pays for no PDF engine."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from typing import NamedTuple

import click

from wareboard import __version__
from wareboard.text.plain import escaped, escaped_lines, make_plain
from wareboard.text.problems import nearest_word


class Listed(NamedTuple):
    """Where a command is made: a room under `commands/`, what it is called there, under which head of the help it stands."""

    room: str
    name: str
    head: str


ALL_DAY, PRINTING, BEGINNING, PLANNING, READING = "All day", "Site and cards", "New forms", "Runs and orders", "To read"
PLACES: Mapping[str, Listed] = {
    "check": Listed("check_command", "check", ALL_DAY),
    "derive": Listed("derive_command", "derive", ALL_DAY),
    "match": Listed("match_command", "match", ALL_DAY),
    "list": Listed("reading_command", "list_", ALL_DAY),
    "build": Listed("build_command", "build", PRINTING),
    "cards": Listed("cards_command", "cards", PRINTING),
    "gauges": Listed("gauges_command", "gauges", PRINTING),
    "serve": Listed("serve_command", "serve", PRINTING),
    "start": Listed("new_command", "start", BEGINNING),
    "new": Listed("new_command", "new", BEGINNING),
    "trace": Listed("trace_command", "trace", BEGINNING),
    "resize": Listed("resize_command", "resize", BEGINNING),
    "pack": Listed("pack_command", "pack", BEGINNING),
    "unpack": Listed("pack_command", "unpack", BEGINNING),
    "schema": Listed("new_command", "schema", BEGINNING),
    "plan": Listed("plan_command", "plan", PLANNING),
    "tally": Listed("tally_command", "tally", PLANNING),
    "stock": Listed("plan_command", "stock", PLANNING),
    "explain": Listed("reading_command", "explain", READING),
    "reference": Listed("reading_command", "reference", READING),
    "lsp": Listed("lsp_command", "lsp", READING),
}  # fmt: skip


class Commands(click.Group):
    """Commands that are loaded when they are asked for, that are asked back for where one is mistyped, and that say a
    fault of the machine in plain words."""

    def list_commands(self, context: click.Context) -> list[str]:
        """See click: in the order of the help."""
        return list(PLACES)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """See click: the room that makes it is loaded now."""
        if name in PLACES and name not in self.commands:
            place = PLACES[name]
            self.add_command(getattr(import_module(f"wareboard.commands.{place.room}"), place.name), name)
        return self.commands.get(name)

    def format_commands(self, context: click.Context, formatter: click.HelpFormatter) -> None:
        """See click: by what one does with them."""
        for head in dict.fromkeys(place.head for place in PLACES.values()):
            with formatter.section(head):
                listed = [
                    (name, self.get_command(context, name)) for name, place in PLACES.items() if place.head == head
                ]
                formatter.write_dl([(name, one.get_short_help_str(80)) for name, one in listed if one])

    def invoke(self, context: click.Context) -> object:
        """See click: a full disk, a folder that is shut and the like end the command with a message, which steers no terminal."""
        from wareboard.output.faults import machine_fault

        try:
            return super().invoke(context)
        except BrokenPipeError:  # whoever reads has had enough; click ends quietly
            raise
        except click.ClickException as told:
            told.message = escaped_lines(told.message)
            raise
        except click.Abort as stopped:
            if not isinstance(stopped.__context__, EOFError):
                raise
            raise click.ClickException(
                "nobody answers here: give what is asked for behind the command, as --help says"
            ) from None
        except (OSError, MemoryError, RuntimeError) as fault:
            said = machine_fault(fault)
            if said is None or isinstance(fault, click.exceptions.Exit):
                raise
            raise click.ClickException(escaped(said)) from fault

    def resolve_command(
        self, context: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """See click: the nearest command is named."""
        name = args[0] if args else ""
        near = nearest_word(name, PLACES) if name not in PLACES and not name.startswith("-") else None
        if near:
            context.fail(f"there is no command '{escaped(name)}'; did you mean '{near}'?")
        return super().resolve_command(context, args)


EPILOG = """Forms are called by their file's name or their code. The folder is found from anywhere inside it.

\b
A first hour:
  wareboard start ~/pots          a folder with a studio, a clay and a form
  cd ~/pots
  wareboard check --watch         what is wrong, each time that you save
  wareboard derive first-beaker   every size, wet to fired
  wareboard build                 the site and the cards for the wall

\b
To complete commands, forms, parts and keys with the Tab key, once:
  bash   echo 'eval "$(_WAREBOARD_COMPLETE=bash_source wareboard)"' >> ~/.bashrc
  zsh    echo 'eval "$(_WAREBOARD_COMPLETE=zsh_source wareboard)"' >> ~/.zshrc
  fish   echo '_WAREBOARD_COMPLETE=fish_source wareboard | source' >> ~/.config/fish/config.fish
"""


@click.group(
    cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}, epilog=EPILOG
)
@click.version_option(__version__, prog_name="wareboard")
@click.option(
    "-C",
    "--directory",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Work in this folder, or the nearest above it that holds specs/; unless given, from where you stand.",
)
@click.pass_context
def command(context: click.Context, directory: Path | None) -> None:
    """From one plain-text spec per pot to every wet and fired number, a site, and cards for the wall."""
    from wareboard.output.files import find_folder

    context.obj = find_folder(directory or Path())


def main() -> None:
    """Run the command; a terminal that lacks a character is shown the nearest that it has."""
    # What a command makes it mostly keeps until it ends; looking it over for refuse took a quarter of a check.
    gc.set_threshold(200_000, 20, 100)
    if "check" in sys.argv and "--watch" not in sys.argv:
        gc.disable()  # a check keeps all of it
    os.environ.setdefault(
        "OPENBLAS_NUM_THREADS", "1"
    )  # numpy's threads wait at each start for matrices that nobody has
    for stream in (sys.stdout, sys.stderr):
        make_plain(stream)
    try:
        command(prog_name="wareboard")
    finally:
        gc.freeze()  # it all goes with the process: looking it over once more took a fifth of a check


if __name__ == "__main__":
    main()
