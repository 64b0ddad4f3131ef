"""The command `wareboard tally`: a count written into its order, and how the order stands now."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.plan_command import echo_json, errors_in, escaped_text, known_order
from wareboard.commands.shared import FormName, OneOf, PartEquals, SpecName, known_form, say_problems, work_out
from wareboard.pot.stages import COUNTED
from wareboard.text.plain import escaped
from wareboard.text.problems import did_you_mean, format_words

if TYPE_CHECKING:
    from wareboard.output.working import Worked


@click.command(short_help="Write a count into an order, and tell how it stands.")
@click.argument("order", type=SpecName("orders"))
@click.argument("form", type=FormName())
@click.argument("stage", required=False, type=OneOf(lambda: COUNTED))
@click.argument("counts", nargs=-1, metavar="[PART=N]…", type=PartEquals())
@click.option("--seconds", metavar="N", help="Sets of those fired that are not good enough.")
@click.option("--new", "batch", flag_value="0", help="Begin another batch.")
@click.option("--batch", "batch", metavar="N", help="Which batch, where there are several; the last unless given.")
@click.option("--json", "as_json", is_flag=True, help="How the order stands, as JSON.")
@click.pass_obj
def tally(
    directory: Path,
    order: str,
    form: str,
    stage: str | None,
    counts: tuple[str, ...],
    seconds: str | None,
    batch: str | None,
    as_json: bool,
) -> None:
    """Write what was counted into an ORDER, and tell the chance that it still comes out and what to throw to restore it.

    \b
      wareboard tally harbour-shop-may tea-caddy trimmed jar=26 lid=28
      wareboard tally harbour-shop-may tea-caddy fired jar=25 lid=25 --seconds 1

    STAGE is one of thrown, trimmed, dried, bisque, fired. From drying on count what still has its partner. The
    count goes to its place in the file; everything else there stays as it is, comments too. Where it can't be,
    nothing is written.
    """
    _tally(
        work_out(directory),
        directory,
        order,
        form,
        stage,
        counts,
        seconds,
        batch,
        as_json,
    )


def _tally(
    worked: Worked, directory: Path, order: str, form: str, stage: str | None, counts: Sequence[str], seconds: str | None, batch: str | None, as_json: bool,
) -> None:  # fmt: skip
    from wareboard.output.files import FolderError
    from wareboard.output.overwriting import rewrite_spec
    from wareboard.text import order_links, projects
    from wareboard.text.tallying import CannotAdd, add_count

    slug, form = known_order(worked, order), known_form(worked, form)
    if stage and "=" in stage:
        counts, stage = (stage, *counts), None
    counted = _counts(counts)
    wanted_stage = _stage(stage, counted, seconds)
    path = f"specs/orders/{slug}.yaml"
    text = worked.texts[path]
    if errors := [problem for problem in worked.problems if problem.at.file == path and problem.level == "error"]:
        say_problems(errors, worked, to_stderr=True)
        raise click.ClickException(f"{path} has errors; mend them first. Nothing was written")
    try:
        changed = add_count(
            text,
            form,
            wanted_stage,
            counted,
            seconds=None if seconds is None else _whole("--seconds", seconds),
            batch=None if batch is None else _whole("--batch", batch),
        )
    except CannotAdd as fault:
        raise click.ClickException(f"{path}: {fault}\nNothing was written") from fault
    texts = {**worked.texts, path: changed}
    project = projects.read_project(texts)
    faults = errors_in(
        [
            *(problem for problem in project.problems if problem.at.file == path),
            *order_links.check_order(project.orders[slug], project),
        ]
    )
    if faults:
        say_problems(faults, _with_texts(worked, texts), to_stderr=True)
        raise click.ClickException("this cannot be; nothing was written")
    try:
        rewrite_spec(directory, path, text, changed, "wareboard tally")
    except FolderError as fault:
        raise click.ClickException(str(fault)) from fault
    counted_in = work_out(directory)
    known = {(problem.rule, problem.message) for problem in worked.problems}
    new = [problem for problem in counted_in.problems if problem.at.file == path and (problem.rule, problem.message) not in known]  # fmt: skip
    if new:
        say_problems(new, counted_in, to_stderr=True)
    _say_standing(counted_in, slug, form, path, as_json)


def _with_texts(worked: Worked, texts):
    from dataclasses import replace

    return replace(worked, texts=texts)


def _say_standing(worked: Worked, slug: str, form: str, path: str, as_json: bool) -> None:
    from wareboard.figures import planning
    from wareboard.figures.planwords import tally_words

    plan = planning.make_plan(planning.wanted_of(worked.project.orders[slug]), worked.project, worked.sheets)
    standing = [tallied for tallied in plan.tally if tallied.form == form]
    if as_json:
        echo_json({"format": 1, "order": slug, "tally": [tallied.as_json() for tallied in standing]})
        return
    click.echo(f"{path} is written")
    for tallied in standing:
        click.echo(escaped_text(f"{tallied.title}: {tally_words(tallied)}"))


def _counts(texts: Sequence[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for text in texts:
        name, equals, number = text.partition("=")
        if not equals or not name.strip():
            raise click.UsageError(f"'{escaped(text)[:40]}' cannot be read; write it like jar=26")
        if name.strip() in found:
            raise click.UsageError(f"'{escaped(name.strip())[:40]}' is counted twice")
        found[name.strip()] = _whole(name.strip(), number)
    return found


def _whole(name: str, text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
        raise click.UsageError(f"{escaped(name)[:40]}={escaped(text)[:40]} cannot be; it is a whole number")
    return int(text)


def _stage(stage: str | None, counted: dict[str, int], seconds: str | None) -> str:
    if stage is None:
        if not counted and seconds is not None:
            return COUNTED[-1]
        raise click.UsageError(f"at which stage? It is {format_words(COUNTED)}")
    if stage not in COUNTED:
        raise click.UsageError(f"there is no stage '{escaped(stage)[:40]}'; " + did_you_mean(stage, COUNTED, sign="'"))
    if not counted:
        raise click.UsageError("what was counted? Write it like jar=26 lid=28")
    return stage
