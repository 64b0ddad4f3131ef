"""The command `wareboard resize`: a form as large as it is wanted, written out in full."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from wareboard.commands.shared import FormName, free_path, known_form, styled, work_out, write_new
from wareboard.text.kinds import Size
from wareboard.text.problems import ERROR, Position, format_words

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.text.specs import Form

TARGETS = ("capacity", "ball", "height", "scale")
OF_ONE_SIZE = ("stockist",)


@click.command(short_help="Write a form as large as it is wanted.")
@click.argument("form", type=FormName())
@click.argument("new")
@click.option("--capacity", help="What it is to hold, up to its `fill_to`.")
@click.option("--ball", help="The ball that it is to take, all parts together.")
@click.option("--height", help="How high its first part is to be.")
@click.option("--scale", help="How many times as large it is to be.")
@click.option(
    "--keep", default="", metavar="NAME,…", help="What is not scaled: wall, floor, left_on, stations, calipers."
)
@click.option("--title", help="The new form's name.")
@click.option("--code", help="The maker's own code.")
@click.pass_obj
def resize(
    directory: Path, form: str, new: str, keep: str, title: str | None, code: str | None, **targets: str | None
) -> None:
    """Write FORM again as NEW, as large as it is wanted: specs/forms/NEW.yaml, every size in full.

    \b
      wareboard resize tall-beaker short-beaker --capacity 150ml --keep wall,floor
      wareboard resize tea-caddy small-caddy --scale 0.8

    A fit's clearance is never scaled, nor a gauge that forms share. A form that only says `like:` and `resized:`
    follows the other for ever; this one is on its own from here.
    """
    worked = work_out(directory)
    slug = known_form(worked, form)
    path = free_path(worked, new)
    said = {name: typed for name, typed in targets.items() if typed}
    if len(said) != 1:
        raise click.UsageError(f"say one of {format_words(f'--{name}' for name in TARGETS)}")
    source_path = f"specs/forms/{slug}.yaml"
    original = worked.project.forms.get(slug)
    if original is None or slug not in worked.sheets:
        raise click.ClickException(f"{slug} has errors; `wareboard check` says which")
    if original.like:
        raise click.UsageError(f"{slug} is itself like {original.like}; resize that one")
    from wareboard.output import starting

    name = title or new.replace("-", " ").capitalize()
    codes = starting.used_words(worked.project.forms, "code")
    code = code or starting.suggest_code(codes, str(original.code or name[:1].upper() + "-"))
    sheet = _resized_sheet(worked.texts, slug, new, said, [word.strip() for word in keep.split(",") if word.strip()])
    text = resized_text(worked.texts[source_path], source_path, original, sheet, name, code)
    problems = starting.check_text(worked, path, text)
    thin = [problem for problem in problems if problem.rule == "thin-wall"]
    for problem in problems:
        click.echo(styled(problem, {**worked.texts, path: text}), err=True)
    if thin or any(problem.level == ERROR for problem in problems):
        raise click.ClickException(
            f"nothing was written{'; --keep wall,floor leaves them as thick as they are' if thin else ''}"
        )
    write_new(worked.root / path, text)
    click.echo(f"{path} is written: {sheet.form.factor or 1.0:.4g} times {slug}")


def _resized_sheet(
    texts: Mapping[str, str], slug: str, new: str, said: Mapping[str, str], keep: Sequence[str]
) -> Sheet:
    """The sheet of a form that is like another and resized; ends the command where that can't be."""
    from wareboard.figures.checks import check_project
    from wareboard.text.projects import read_project

    ((target, typed),) = said.items()
    path = f"specs/forms/{new}.yaml"
    kept = f", keep: [{', '.join(keep)}]" if keep else ""
    text = f"title: New\nlike: {slug}\nresized: {{{target}: {typed}{kept}}}\n"
    sheets, problems = check_project(read_project({**texts, path: text}))
    faults = [problem for problem in problems if problem.level == ERROR and problem.at.file == path]
    if faults or new not in sheets:
        for fault in faults:
            click.echo(f"Error: {fault.message}" + (f"\n   hint: {fault.hint}" if fault.hint else ""), err=True)
        raise click.ClickException("nothing was written")
    return sheets[new]


def resized_text(text: str, path: str, original: Form, sheet: Sheet, title: str, code: str) -> str:
    """A form's text with every size as it is in a resized one; comments stay.

    Args:
        text: the form's text.
        path: its path.
        original: the form as it was read from it.
        sheet: the resized form's figures.
        title, code: the new form's own.
    """
    from wareboard.text.edits import with_line, with_words, without_top_keys

    unit = str(original.unit or "mm")
    changes = dict(_changes(original, sheet.form, unit))
    for name, part in original.parts.items():
        for size, key, stage, shown in (
            (part.holds, "capacity.fill", "fired", "ml"),
            (part.weighs, "mass.glazed" if sheet.find(f"{name}.mass.glazed", "fired") else "mass", "fired", "g"),
            (part.throwing.ball if part.throwing else None, "ball.set", "wet", "g"),
        ):
            figure = sheet.find(f"{name}.{key}", stage)
            if size is not None and figure is not None:
                at_stage = f" {stage}" if size.stage else ""
                changes[size.at] = f"{figure.value:.0f} {shown}{at_stage}"
    changed = without_top_keys(with_words(text, changes.items()), path, OF_ONE_SIZE)
    return with_line(with_line(changed, "title", title), "code", code, after="title")


def _changes(before: Any, after: Any, unit: str) -> Iterator[tuple[Position, str]]:
    """Every size that differs, where it stands, as it is typed there from now on."""
    if isinstance(before, Size) and isinstance(after, Size):
        if before.value != after.value:
            yield before.at, _typed(before, after, unit)
    elif dataclasses.is_dataclass(before) and type(before) is type(after):
        for known in dataclasses.fields(before):
            if known.name == "underside" and getattr(before, "foot", None) is not None:
                continue  # it is written as a foot ring
            if "key" in known.metadata or known.name in ("level", "measured"):
                yield from _changes(getattr(before, known.name), getattr(after, known.name), unit)
    elif isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in before:
            if name in after:
                yield from _changes(before[name], after[name], unit)


_OF = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def _typed(before: Size, after: Size, unit: str) -> str:
    """A size in the way that it was typed: bare in the file's unit, or with one."""
    bare = not any(sign.isalpha() or sign in "\"'″′%" for sign in before.typed)
    stage = f" {before.stage}" if before.stage else ""
    if after.typed.endswith("g") or " g" in after.typed:
        return f"{after.value:.1f} g{stage}"
    if bare:
        return (
            f"{after.value / _OF[unit]:.5f}".rstrip("0").rstrip(".")
            if unit == "in"
            else f"{after.value / _OF[unit]:.4g}"
            if unit == "cm"
            else f"{after.value:.3f}".rstrip("0").rstrip(".")
        )
    return f"{after.value:.3f}".rstrip("0").rstrip(".") + f" mm{stage}"
