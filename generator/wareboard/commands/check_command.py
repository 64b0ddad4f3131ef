"""The command `wareboard check`: read, work out, complain; once, or each time that something is saved."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, count, found_wrong, named_forms, say_problems, summary
from wareboard.text.problems import ERROR

if TYPE_CHECKING:
    from wareboard.output.folder import Memory
    from wareboard.output.working import Worked

JSON_FORMAT = 1
LOOKED_EVERY_S = 0.5


@click.command(short_help="Read every spec and say everything that is wrong.")
@click.argument("forms", nargs=-1, metavar="[FORM]…", type=FormName())
@click.option("--json", "as_json", is_flag=True, help="Problems as JSON, for an editor or a script.")
@click.option("--strict", is_flag=True, help="Exit status 1 for warnings too.")
@click.option("--watch", is_flag=True, help="Check again each time that a spec is saved, until Ctrl-C.")
@click.pass_obj
def check(directory: Path, forms: tuple[str, ...], as_json: bool, strict: bool, watch: bool) -> None:
    """Read every spec, work it out, and say everything that is wrong with it.

    With FORMs, only these and the files that their numbers come from:

    \b
      wareboard check
      wareboard check tea-caddy B-12
      wareboard check --watch

    Exit status 1 where there is an error; warnings alone leave it at 0, unless --strict. What a rule
    means, and what to do about it: wareboard explain RULE.
    """
    from wareboard.output.folder import Memory

    memory = Memory()
    worked = _work_out(directory, forms, memory, problems_only=not watch)
    _say(worked, forms, as_json)
    if watch:
        _watch(directory, forms, memory, as_json)
    sys.exit(1 if worked.refused or (strict and worked.problems) else 0)


def _work_out(directory: Path, forms: Sequence[str], memory: Memory, *, problems_only: bool = False) -> Worked:
    from wareboard.output import working
    from wareboard.output.starting import renew_schemas

    if forms:
        return working.work_out_some(directory, named_forms(directory, forms), memory)
    worked = working.work_out(directory, memory, problems_only=problems_only)
    if not worked.refused:
        renew_schemas(directory, worked.project)
    return worked


def _say(worked: Worked, forms: Sequence[str], as_json: bool) -> None:
    if as_json:
        errors = sum(problem.level == ERROR for problem in worked.problems)
        shown = {
            "format": JSON_FORMAT,
            "errors": errors,
            "warnings": len(worked.problems) - errors,
            "problems": [problem.as_json() for problem in worked.problems],
        }
        click.echo(json.dumps(shown, indent=1, ensure_ascii=False))
        return
    say_problems(worked.problems, worked)
    click.echo(f"{count(len(forms), 'form')}: {found_wrong(worked.problems)}" if forms else summary(worked))


def _watch(directory: Path, forms: Sequence[str], memory: Memory, as_json: bool) -> None:
    """Check again whenever a file under `specs/` was saved, came or went."""
    seen = _saved(directory)
    try:
        while True:
            time.sleep(LOOKED_EVERY_S)
            now = _saved(directory)
            if now == seen:
                continue
            seen = now
            if not as_json:
                click.echo(f"\n--- {time.strftime('%H:%M:%S')}")
            _say(_work_out(directory, forms, memory), forms, as_json)
    except KeyboardInterrupt:
        click.echo(err=True)


def _saved(directory: Path) -> dict[str, int]:
    found = {}
    for path in (directory / "specs").rglob("*.yaml"):
        try:
            found[str(path)] = path.stat().st_mtime_ns
        except OSError:
            continue  # it went while we looked
    return found
