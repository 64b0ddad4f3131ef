"""The command `wareboard new`: a new form's spec, asked for, like another, or from a pot in the hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.shared import FormName, free_path, known_form, styled, work_out, write_new
from wareboard.pot.stages import STAGES
from wareboard.text.problems import ERROR

if TYPE_CHECKING:
    from wareboard.output.working import Worked


@click.command(short_help="Write a new form's spec: asked for, like another, or from a pot in the hand.")
@click.argument("slug", required=False)
@click.argument("measurements", nargs=-1, metavar="[NAME=SIZE]…")
@click.option("--measured", is_flag=True, help="From a pot in the hand: its sizes, its weight, the water in it.")
@click.option("--stage", type=click.Choice(STAGES), help="The stage at which it was measured; fired unless said.")
@click.option("--lid-for", metavar="FORM", type=FormName(), help="A plain lid that fits this form.")
@click.option(
    "--kind", type=click.Choice(("inset", "plate", "cap")), help="Which lid: into a gallery, on the rim, or over it."
)
@click.option("--title", help="The form's name.")
@click.option("--code", help="The maker's own code.")
@click.option("--like", metavar="FORM", type=FormName(), help="Begin from a form that is there already.")
@click.option("--family", help="Groups the site.")
@click.option("--clay", help="A file in specs/clays/.")
@click.option("--glaze", help="A file in specs/glazes/.")
@click.option("--height", help="Fired height.")
@click.option("--foot", help="Fired diameter of the foot.")
@click.option("--rim", help="Fired diameter of the rim, outside.")
@click.pass_obj
def new(
    directory: Path,
    slug: str | None,
    measurements: tuple[str, ...],
    measured: bool,
    stage: str | None,
    title: str | None,
    code: str | None,
    like: str | None,
    lid_for: str | None,
    kind: str | None,
    **answers: str | None,
) -> None:
    """Write a new form's spec, specs/forms/SLUG.yaml.

    Asks for what the options do not say. Never writes over a spec that is there.

    From a pot in the hand; without sizes they are asked for, one at a time:

    \b
      wareboard new harbour-mug --measured height=95mm rim=84mm foot=60mm weight=244g brim=310ml
      wareboard new harbour-mug --measured --stage wet height=108mm rim=95mm foot=68mm weight=330g brim=450ml

    Also, where there are any: belly=96mm@50mm shoulder=…@… neck=…@… depth=88mm foot-ring=5mm×6mm
    gallery=12mm×5mm handle=45g glaze-film=0.3mm

    A lid that fits a jar, set into its gallery, laid on its rim or put over it:

    \b
      wareboard new --lid-for tea-caddy
      wareboard new cover --lid-for storage-jar --kind plate
    """
    from wareboard.output import starting

    worked = work_out(directory)
    forms = worked.project.forms
    if slug and "=" in slug:
        slug, measurements = None, (slug, *measurements)
    if measured:
        _new_measured(worked, slug, measurements, stage, {"title": title, "code": code, **answers})
        return
    if lid_for:
        from wareboard.commands.lid_command import write_lid

        write_lid(worked, slug, known_form(worked, lid_for), kind, title, code)
        return
    if measurements:
        raise click.UsageError(f"'{measurements[0]}': sizes stand behind --measured")
    answers.pop("glaze", None)
    source = known_form(worked, like) if like else None
    if title is None:
        title = click.prompt("What is it called")
    slug = slug or starting.suggest_slug(title) or click.prompt("A name for its file, in letters a to z and hyphens")
    path = free_path(worked, slug)
    codes = starting.used_words(forms, "code")
    suggested = starting.suggest_code(
        codes, str(forms[source].code or title[:1].upper() + "-") if source else title[:1].upper() + "-"
    )
    code = code or (suggested if source else click.prompt("Your own code for it", default=suggested))
    if source:
        text = starting.form_text_like(worked.texts[f"specs/forms/{source}.yaml"], title, code)
    else:
        text = starting.form_text(title=title, code=code, **_ask(worked, answers))
    problems = starting.check_text(worked, path, text)
    if any(problem.level == ERROR for problem in problems):
        for problem in problems:
            click.echo(styled(problem, {**worked.texts, path: text}), err=True)
        raise click.ClickException(f"{path} would not pass the check; nothing was written")
    write_new(directory / path, text)
    click.echo(f"{path} is written. Change its sizes to your own, then: wareboard check")
    if source and forms[source].stockist and forms[source].stockist.sku:
        click.echo(f"It still has the stockist's number {forms[source].stockist.sku}.")


def _new_measured(
    worked: Worked, slug: str | None, words: Sequence[str], stage: str | None, said: dict[str, str | None]
) -> None:
    from wareboard.commands import measured_command
    from wareboard.output import starting

    if slug is None:
        said["title"] = said["title"] or click.prompt("What is it called")
        slug = starting.suggest_slug(said["title"]) or click.prompt(
            "A name for its file, in letters a to z and hyphens"
        )
    free_path(worked, slug)
    found = measured_command.read_measurements(worked, words, stage)
    named = measured_command.name_form(worked, slug, said, asking=not words)
    measured_command.write_measured(worked, named, found, write_new)


def _ask(worked: Worked, answers: dict[str, str | None]) -> dict[str, str]:
    """Ask for what a plain vessel needs."""
    from wareboard.output import starting

    project = worked.project
    clays = sorted(project.clays)
    if not clays:
        raise click.ClickException("there is no clay in specs/clays/ yet; `wareboard start DIR` shows one")
    families = starting.used_words(project.forms, "family")
    inches = str(project.studio.units or "").startswith("imperial")
    unit, height, foot, rim, wall, floor = (
        ("in", "4", "2 1/2", "3 1/4", "3/16", "1/4") if inches else ("mm", "100", "60", "80", "4", "5")
    )
    family = answers["family"] or click.prompt(
        "Its family" + (f" ({', '.join(families)}, or a new one)" if families else ""), default="pots"
    )
    clay = answers["clay"] or (
        clays[0] if len(clays) == 1 else click.prompt("Its clay", type=click.Choice(clays), default=clays[0])
    )
    sizes = {
        name: answers[name]
        or click.prompt(f"{said}, fired, in {unit}", default=usual, value_proc=lambda text: _a_length(text, unit))
        for name, said, usual in (
            ("height", "Height", height),
            ("foot", "Diameter of the foot", foot),
            ("rim", "Diameter of the rim", rim),
        )
    }
    return {"family": family, "clay": clay, "unit": unit, "wall": wall, "floor": floor, **sizes}


def _a_length(text: str, unit: str) -> str:
    from wareboard.text import units

    try:
        units.parse_quantity(text, "length", unit=unit)
    except units.SizeError as fault:
        raise click.UsageError(fault.message) from fault
    return text.strip()
