"""The commands `wareboard plan` and `wareboard stock`: what a run asks for, and what stands finished on the shelf."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import SpecName, known_form, say_problems, work_out
from wareboard.text.languages import speaking
from wareboard.text.plain import escaped
from wareboard.text.problems import ERROR, Problem, did_you_mean, format_words

if TYPE_CHECKING:
    from wareboard.figures.planning import Wanted
    from wareboard.figures.supplies import Bucket
    from wareboard.output.working import Worked


@click.command(short_help="Plan a run: how many to throw, clay, boards, glaze, kiln, days.")
@click.argument("order", required=False, type=SpecName("orders"))
@click.option("--form", "forms", multiple=True, metavar="FORM", help="Plan this form instead of an order; with --sets.")
@click.option("--sets", "sets", multiple=True, metavar="N", help="How many sets of the form before it.")
@click.option("--confidence", metavar="SHARE", help="How sure it is to be, like 95%.")
@click.option(
    "--bucket",
    "buckets",
    multiple=True,
    metavar="[GLAZE=]8l@1.52",
    help="A bucket as it was found; what does it want?",
)
@click.option("--use-stock", is_flag=True, help="Take what is on hand first.")
@click.option(
    "--sheet", type=click.Path(dir_okay=False, path_type=Path), help="Write the run sheet, a PDF, to this file."
)
@click.option("--paper", metavar="PAPER", help="A4 or Letter, for the run sheet.")
@click.option(
    "--ics", type=click.Path(dir_okay=False, path_type=Path), help="Write the days as a calendar to this file."
)
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def plan(directory: Path, order: str | None, **asked) -> None:
    """Plan a run: how many to throw, clay, boards, glaze, kiln loads, days.

    ORDER is the name of a file in specs/orders/; without one, all open orders are planned together.

    \b
      wareboard plan harbour-shop-may
      wareboard plan --form tea-caddy --sets 24
      wareboard plan harbour-shop-may --bucket lichen-satin=8l@1.52
      wareboard plan harbour-shop-may --sheet run.pdf --ics run.ics

    What it costs stands at the end and is for the studio alone. Exit status 1 where something of it can't be planned.
    """
    _plan(work_out(directory), order, **asked)


@click.command(short_help="What stands finished on the shelf: made beyond the orders.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def stock(directory: Path, as_json: bool) -> None:
    """Show what stands finished on the shelf: good sets that were made beyond the orders, less what orders took.

    It is counted from the orders' tallies; a sale off the shelf is an order whose lines are `from_stock`.
    """
    from wareboard.figures.planning import stock_on_hand

    found = stock_on_hand(work_out(directory).project)
    if as_json:
        echo_json({"format": 1, "stock": [entry.as_json() for entry in found]})
        return
    from wareboard.commands.plan_text import render_stock

    click.echo(render_stock(found))


def _plan(
    worked: Worked, order: str | None, *, forms: Sequence[str], sets: Sequence[str],
    confidence: str | None, buckets: Sequence[str], use_stock: bool, sheet: Path | None, paper: str | None, ics: Path | None, as_json: bool,
) -> None:  # fmt: skip
    from wareboard.figures import planning
    from wareboard.output.history import today

    _check_outputs(worked, sheet, ics)
    wanted = _wanted(worked, order, forms, sets)
    if confidence is not None:
        wanted = planning.replace(wanted, confidence=_share(confidence))
    used: dict[str, int] = {}
    if use_stock:
        wanted, used = planning.with_stock(wanted, planning.stock_on_hand(worked.project))
    found = planning.make_plan(
        wanted, worked.project, worked.sheets, today=today(), buckets=_buckets(worked, wanted, buckets)
    )
    # What is wrong in the order's own files belongs to the plan, also where it was found before there was one.
    files = {worked.project.orders[slug].at.file for slug in wanted.orders}
    told = [problem for problem in worked.problems if problem.at.file in files]
    problems = list(dict.fromkeys([*told, *found.problems]))
    found = planning.replace(found, problems=tuple(problems))
    if sheet:
        _write_sheet(worked, found, sheet, paper)
    if ics:
        _write_ics(worked, found, ics)
    if as_json:
        echo_json(found.as_json())
    else:
        from wareboard.commands.plan_text import render_plan
        from wareboard.figures.shown import reader_of

        say_problems(problems, worked, to_stderr=True)
        click.echo(escaped_text(render_plan(found, reader_of(worked.project.studio), used)))
    sys.exit(1 if not found.lines or any(problem.level == ERROR for problem in problems) else 0)


def _check_outputs(worked: Worked, sheet: Path | None, ics: Path | None) -> None:
    """Whatever stands where a run sheet or a calendar is to go was made here, or the command ends."""
    from wareboard.output.overwriting import check_destination

    if sheet:
        from wareboard.cards.imposing import is_ours

        check_destination(sheet, worked.root, is_ours, "a run sheet")
    if ics:
        from wareboard.pages.orderpages import is_calendar

        check_destination(ics, worked.root, is_calendar, "a calendar")


def escaped_text(text: str) -> str:
    """A text for a terminal, line by line, without what would steer it."""
    return "\n".join(map(escaped, text.split("\n")))


def echo_json(shown: dict[str, object]) -> None:
    """Print JSON, letters of any script as they are."""
    click.echo(json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False))


def known_order(worked: Worked, name: str) -> str:
    """The slug of an order by its file's name; ends the command where there is no such order, or it can't be read."""
    slug = Path(name).name.removesuffix(".yaml")
    if slug in worked.project.orders:
        return slug
    named = sorted(slug for folder, slug in worked.project.named if folder == "orders")
    if slug in named:
        raise click.ClickException(f"specs/orders/{slug}.yaml cannot be read; `wareboard check` says why")
    if not named:
        raise click.ClickException("there are no orders in specs/orders/; plan a form with --form FORM --sets N")
    hint = did_you_mean(slug, named, sign="'")
    raise click.UsageError(f"there is no order '{name}'; {hint}")


def _wanted(worked: Worked, order: str | None, forms: Sequence[str], sets: Sequence[str]) -> Wanted:
    from wareboard.figures import planning
    from wareboard.text.kinds import Word
    from wareboard.text.order_specs import MOST_SETS, Line
    from wareboard.text.problems import Position

    if forms or sets:
        if order:
            raise click.UsageError("plan an ORDER or a --form, not both")
        if len(forms) != len(sets):
            raise click.UsageError("each --form wants its --sets: wareboard plan --form tea-caddy --sets 24")
        lines = []
        for form, count in zip(forms, sets, strict=True):
            if not re.fullmatch(r"[0-9]{1,6}", count) or not 1 <= int(count) <= MOST_SETS:
                raise click.UsageError(
                    f"--sets {escaped(count)[:40]} cannot be; it is a whole number from 1 to {MOST_SETS}"
                )
            slug = known_form(worked, form)
            if slug not in worked.sheets:
                raise click.ClickException(f"{slug} has errors, so it cannot be planned; `wareboard check` says which")
            at = worked.project.forms[slug].at
            lines.append(Line(at=at, form=Word(slug, Position(at.file)), sets=int(count)))
        titles = [str(worked.project.forms[str(line.form)].title) for line in lines]
        return planning.Wanted("run", " and ".join(titles), tuple(lines))
    if order:
        return planning.wanted_of(worked.project.orders[known_order(worked, order)])
    waiting = planning.open_orders(worked.project)
    if not waiting:
        raise click.ClickException("there are no open orders in specs/orders/; plan a form with --form FORM --sets N")
    return planning.wanted_of(waiting[0]) if len(waiting) == 1 else planning.wanted_together(waiting)


def _share(text: str) -> float:
    from wareboard.text import units

    try:
        share = units.parse_quantity(text if "%" in text else f"{text} %", "share", taken_of=()).value
    except units.SizeError as fault:
        raise click.UsageError(f"--confidence: {fault.message}") from fault
    if not 0.5 <= share <= 0.9999:
        raise click.UsageError(f"--confidence {escaped(text)[:40]} cannot be; it is from 50 % to 99.99 %")
    return share


_BUCKET = re.compile(r"(?:(?P<glaze>[^=]+)=)?(?P<slop>[^@=]+)@(?P<density>[^@=]+)")


def _buckets(worked: Worked, wanted: Wanted, texts: Iterable[str]) -> dict[str, Bucket]:
    """Buckets as they were found, by glaze; one without a name is the run's only glaze."""
    from wareboard.figures.supplies import Bucket
    from wareboard.pot.glaze import correct_bucket
    from wareboard.text import units

    project = worked.project
    forms = [(line, project.forms[str(line.form)]) for line in wanted.lines if str(line.form) in project.forms]
    glazes = list(dict.fromkeys(str(line.glaze or form.glaze) for line, form in forms if line.glaze or form.glaze))
    found = {}
    for text in texts:
        read = _BUCKET.fullmatch(text.strip())
        if not read:
            raise click.UsageError(
                f"--bucket {escaped(text)[:40]} cannot be read; write it like 8l@1.52, or lichen-satin=8l@1.52"
            )
        glaze = (read["glaze"] or "").strip()
        if not glaze and len(glazes) != 1:
            raise click.UsageError(
                f"--bucket {escaped(text)[:40]}: of which glaze? There are {format_words(glazes, 'and')}: --bucket {glazes[0] if glazes else 'glaze'}={text}"
            )
        glaze = glaze or glazes[0]
        if glaze not in glazes:
            raise click.UsageError(
                f"--bucket: the run has no glaze '{escaped(glaze)[:40]}'; " + did_you_mean(glaze, glazes, sign="'")
            )
        density = read["density"].strip()
        try:
            slop_l = (
                units.parse_quantity(
                    read["slop"].strip(), "volume", fluid_ounce=str(project.studio.fluid_ounce or "") or None
                ).value
                / 1000.0
            )
            density_kg_l = units.parse_quantity(
                density if re.search(r"[a-z]", density) else f"{density} g/ml", "density"
            ).value
            spec = project.glazes[glaze]
            if spec.pint_weight is None:
                raise click.UsageError(
                    f"--bucket: {spec.title} has no `pint_weight`, so it is not known what the bucket should weigh"
                )
            correct_bucket(
                slop_l, density_kg_l, spec.pint_weight.value, spec.grain_density.value if spec.grain_density else 2.6
            )
        except units.SizeError as fault:
            raise click.UsageError(f"--bucket {escaped(text)[:40]}: {fault.message}") from fault
        except ValueError as fault:
            raise click.UsageError(f"--bucket {escaped(text)[:40]} cannot be: {fault}") from fault
        found[glaze] = Bucket(slop_l, density_kg_l)
    return found


def _write_sheet(worked: Worked, plan, path: Path, paper: str | None) -> None:
    from wareboard.cards.engine import CardsUnavailable, render_pdf
    from wareboard.cards.runsheet import PAPERS, render_run
    from wareboard.output.history import today

    paper = paper and next((known for known in PAPERS if known.casefold() == paper.casefold()), paper)
    if paper and paper not in PAPERS:
        raise click.UsageError(
            f"there is no run sheet on {escaped(paper)[:20]}; there is one on {format_words(PAPERS, 'and')}"
        )
    try:
        with speaking(worked.project.studio.language_tag):
            content = render_pdf(render_run(plan, worked.project, worked.sheets, paper=paper, made=today()))
    except CardsUnavailable as fault:
        raise click.ClickException(str(fault)) from fault
    _write(path, content)


def _write_ics(worked: Worked, plan, path: Path) -> None:
    from wareboard.pages.orderpages import render_calendar

    if not plan.days:
        raise click.ClickException("there are no days: the order says no day on which it is due")
    with speaking(worked.project.studio.language_tag):
        _write(path, render_calendar(plan, str(worked.project.studio.title)).encode())


def _write(path: Path, content: bytes) -> None:
    from wareboard.output.faults import machine_fault
    from wareboard.output.files import write_whole

    try:
        write_whole(path, content)
    except OSError as fault:
        raise click.ClickException(f"{path} cannot be written: {machine_fault(fault)}") from fault
    click.echo(f"{path} is written", err=True)


def errors_in(problems: Iterable[Problem]) -> list[Problem]:
    """Only what is an error."""
    return [problem for problem in problems if problem.level == ERROR]
