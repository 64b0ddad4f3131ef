"""The commands that only tell: `list`, what there is; `explain`, what a rule means; `reference`, the spec language."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import OneOf, columns, work_out
from wareboard.text.plain import escaped
from wareboard.text.problems import did_you_mean

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.figures.shown import Reader
    from wareboard.output.working import Worked

KINDS = ("forms", "clays", "glazes", "kilns", "runs", "orders")


@click.command("list", short_help="List the forms, clays, glazes and the rest.")
@click.argument("kind", required=False, type=OneOf(lambda: KINDS))
@click.pass_obj
def list_(directory: Path, kind: str | None) -> None:
    """List what the folder holds: each form with its code, clay, ball and what it holds; clays, glazes, kilns, runs, orders.

    KIND is one of these: wareboard list clays
    """
    if kind is not None and kind not in KINDS:
        hint = did_you_mean(kind, KINDS, sign="'")
        raise click.UsageError(f"there is no list of '{escaped(kind)}'; {hint}")
    worked = work_out(directory)
    tables = []
    for name in [kind] if kind else KINDS:
        rows = _rows(worked, name)
        if len(rows) > 1:
            tables.append("\n".join(columns(rows)))
        elif kind:
            tables.append(f"There are no {name} in specs/{name}/.")
    click.echo("\n\n".join(tables) if tables else "There is nothing in specs/ yet: wareboard new")


def _rows(worked: Worked, kind: str) -> list[tuple[str, ...]]:
    from wareboard.figures.shown import reader_of

    project, reader = worked.project, reader_of(worked.project.studio)
    if kind == "forms":
        forms = (
            _form_row(worked, slug, reader)
            for slug in sorted(name for folder, name in project.named if folder == "forms")
        )
        return [("FORM", "code", "clay", "ball", "holds", "title"), *forms]
    if kind == "clays":
        clays = (
            (spec.slug, str(spec.cone or ""), _percent(spec.water), str(len(spec.bars) or ""), str(spec.title))
            for spec in project.clays.values()
        )
        return [("CLAY", "cone", "water", "bars", "title"), *clays]
    if kind == "glazes":
        return [
            ("GLAZE", "cone", "title"),
            *((spec.slug, str(spec.cone or ""), str(spec.title)) for spec in project.glazes.values()),
        ]
    if kind == "kilns":
        return [("KILN", "title"), *((spec.slug, str(spec.title)) for spec in project.kilns.values())]
    if kind == "runs":
        return [("RUN", "form", "date"), *((run.slug, str(run.form), str(run.date)) for run in project.runs.values())]
    orders = ((order.slug, str(order.due or ""), str(order.title or "")) for order in project.orders.values())
    return [("ORDER", "due", "title"), *orders]


def _percent(size) -> str:
    return size.typed if size else ""


def _form_row(worked: Worked, slug: str, reader: Reader) -> tuple[str, ...]:
    form, sheet = worked.project.forms.get(slug), worked.sheets.get(slug)
    if form is None or sheet is None:
        return (
            slug,
            str(form.code or "") if form else "",
            str(form.clay) if form else "",
            "",
            "",
            "has errors: wareboard check",
        )
    balls = " + ".join(
        str(reader.figure(ball)[0]) for name in form.parts if (ball := sheet.find(f"{name}.ball", "wet"))
    )
    return (slug, str(form.code or ""), str(form.clay), balls, _holds(sheet, reader), str(form.title))


def _holds(sheet: Sheet, reader: Reader) -> str:
    held = [
        figure
        for name in sheet.form.parts
        if (figure := sheet.find(f"{name}.capacity.fill", "fired")) and figure.value > 0.0
    ]
    return " + ".join(str(reader.figure(figure)[0]) for figure in held)


def _rule_names() -> list[str]:
    from wareboard.figures.manual import RULES

    return list(RULES)


@click.command(short_help="Say what a rule means and what to do about it.")
@click.argument("rule", required=False, type=OneOf(_rule_names))
def explain(rule: str | None) -> None:
    """Say what a RULE means and what to do about it: the word in brackets behind a message of check.

    Without one, all rules are listed.
    """
    from wareboard.figures.manual import GROUPS, RULES

    if rule is None:
        for group, rules in GROUPS.items():
            click.echo(click.style(group, bold=True))
            click.echo(
                "\n".join(
                    textwrap.wrap(
                        ", ".join(rules), 96, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False
                    )
                )
            )
        return
    name = rule.strip("[]").casefold()
    if name not in RULES:
        hint = did_you_mean(name, RULES, "`wareboard explain` lists them all", sign="'")
        raise click.UsageError(f"there is no rule '{escaped(rule)}'; {hint}")
    click.echo(click.style(name, bold=True))
    click.echo("\n".join(textwrap.wrap(RULES[name].replace("`", ""), 96, initial_indent="  ", subsequent_indent="  ")))


def _reference_words() -> list[str]:
    from wareboard.commands.reference_text import all_entries
    from wareboard.text.projects import KINDS as FILES

    return [*FILES, *dict.fromkeys(entry.name for entry in all_entries())]


@click.command(short_help="Show the spec language: every key, or one in full.")
@click.argument("key", required=False, type=OneOf(_reference_words))
def reference(key: str | None) -> None:
    """Show the language that specs are written in. KEY is a key, a path to one, or a kind of file:

    \b
      wareboard reference
      wareboard reference form
      wareboard reference left_on
      wareboard reference clearance.aim
    """
    from wareboard.commands import reference_text
    from wareboard.text.projects import KINDS as FILES

    if key is None:
        click.echo(reference_text.render_overview())
        return
    if key in FILES and not (key == "form" and "." in key):
        click.echo(reference_text.render_file(key))
        return
    found = reference_text.find_entries(key)
    if not found:
        hint = did_you_mean(key, _reference_words(), "`wareboard reference` lists them", sign="'")
        raise click.UsageError(f"there is no key '{escaped(key)}'; {hint}")
    click.echo("\n\n".join(reference_text.render_entry(entry) for entry in found))
