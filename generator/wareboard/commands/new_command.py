"""The commands that begin something: `new`, a form; `start`, a folder of one's own; `schema`, what an editor knows of it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from string import Template
from typing import TYPE_CHECKING

import click

from wareboard import TEMPLATES
from wareboard.commands.measured_command import length
from wareboard.commands.shared import (
    FormName,
    SpecName,
    free_path,
    known_form,
    shown_path,
    styled,
    to_be_typed,
    work_out,
    write_new,
)
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.problems import ERROR
from wareboard.text.units import unit_factor

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
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
@click.option("--clay", type=SpecName("clays"), help="A file in specs/clays/.")
@click.option("--glaze", type=SpecName("glazes"), help="A file in specs/glazes/.")
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
    click.echo(f"{path} is written. Change its sizes to your own, then: {to_be_typed('check', directory)}")
    if source and forms[source].stockist and forms[source].stockist.sku:
        click.echo(f"It still has the stockist's number {forms[source].stockist.sku}.")


def _new_measured(
    worked: Worked, slug: str | None, words: Sequence[str], stage: str | None, said: dict[str, str | None]
) -> None:
    from wareboard.commands.measured_command import name_form, read_measurements, write_measured
    from wareboard.output import starting

    if slug is None:
        said["title"] = said["title"] or click.prompt("What is it called")
        slug = starting.suggest_slug(said["title"]) or click.prompt(
            "A name for its file, in letters a to z and hyphens"
        )
    free_path(worked, slug)
    found = read_measurements(worked, words, stage)
    named = name_form(worked, slug, said, asking=not words)
    write_measured(worked, named, found)


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


INSET, PLATE, CAP = "inset", "plate", "cap"
# Clearance of diameters, for a lid trimmed to its own jar: the least of it; what is aimed at, a share of the width and no
# less than so much; and by how much less than twice that it may be. Common practice.
LEAST_MM, LEAST_AIM_MM, AIM_SHARE, LOOSE_MM = 0.5, 1.4, 0.01, 0.2
LEFT_ON_MM, FLOOR_LEFT_ON_MM = 1.0, 4.0  # a side; common practice
KNOB_G_MM2 = 0.004
HOW = {
    INSET: "it rests on the ledge, within the gallery.",
    PLATE: "its plate rests on the rim, its flange goes into the mouth.",
    CAP: "it goes over the rim and rests on it.",
}
LEAST_LEDGE_MM = 2.0
LEAST_FLANGE_MM = 3.0


def write_lid(
    worked: Worked, slug: str | None, jar: str, kind: str | None, title: str | None, code: str | None
) -> None:
    """Write a lid's spec where it passes the check, seat and all.

    Args:
        worked: the folder.
        slug: the lid's file; the jar's with `-lid` unless given.
        jar: the jar's slug.
        kind: inset, plate or cap; as the jar's mouth asks unless given.
        title, code: the lid's own, unless they follow from the jar's.
    """
    from wareboard.output import starting

    sheet = worked.sheets.get(jar)
    if sheet is None:
        raise click.ClickException(f"{jar} has errors; `wareboard check` says which")
    slug = slug or f"{jar}-lid"
    path = free_path(worked, slug)
    codes = starting.used_words(worked.project.forms, "code")
    named = {
        "title": title or f"Lid for {str(sheet.form.title).lower()}"[:60],
        "code": code or starting.suggest_code(codes, str(sheet.form.code or "L-")),
    }
    text = lid_text(sheet, kind, **named)
    problems = [problem for problem in starting.check_text(worked, path, text) if problem.at.file == path]
    for problem in problems:
        click.echo(styled(problem, {**worked.texts, path: text}), err=True)
    if any(problem.level == "error" or problem.rule.startswith(("seat", "no-room", "lid-")) for problem in problems):
        raise click.ClickException(f"no {kind or 'such'} lid fits {jar}; nothing was written")
    write_new(worked.root / path, text)
    click.echo(f"{path} is written: {HOW[kind or _kind(sheet, _vessel(sheet))]}")
    click.echo(f"Next: {to_be_typed('check', worked.root)}, and look at its page: the fit is drawn there")


def _vessel(sheet: Sheet) -> str:
    found = next((name for name, shape in sheet.shapes.items() if shape.inside and not shape.opens_down), None)
    if found is None:
        raise click.ClickException(f"{sheet.slug} has no part that opens up and is hollow")
    return found


def _kind(sheet: Sheet, part: str) -> str:
    """Inset where there is a ledge for it, else a plate."""
    return INSET if _ledge_mm(sheet, part) >= LEAST_LEDGE_MM else PLATE


def _ledge_mm(sheet: Sheet, part: str) -> float:
    """How far something juts into the mouth, a side, below the rim; 0 where the inside only opens upward."""
    shape = sheet.shapes[part]
    inside = shape.inside_at("fired")
    rim, high = inside[-1][0], inside[-1][1]
    near = [radius for radius, height in inside if 0.6 * high < height < high - 2.0]
    return rim - min(near, default=rim)


def _seat_depth_mm(sheet: Sheet, part: str) -> float:
    """From the rim down to the ledge."""
    shape = sheet.shapes[part]
    inside = shape.inside_at("fired")
    high = inside[-1][1]
    near = [(radius, -height) for radius, height in inside if 0.6 * high < height < high - 2.0]
    return high + min(near)[1]


def _free_depth_mm(sheet: Sheet, part: str, radius_mm: float) -> float:
    """How far below the rim something so wide goes in before the inside is narrower."""
    inside = sheet.shapes[part].inside_at("fired")
    top = inside[-1][1]
    for (lower, low), (upper, high) in zip(inside[-2::-1], inside[:0:-1], strict=True):
        if lower < radius_mm:
            return float(top - high + (high - low) * max(upper - radius_mm, 0.0) / (upper - lower))
    return float(top - inside[0][1])


def _size_name(sheet: Sheet, part: str, side: str, radius_mm: float) -> str:
    """The part's caliper size that is the mouth, or the rim's outside; the command ends where it has none."""
    for name, caliper in sheet.form.parts[part].calipers.items():
        figure = sheet.find(f"{part}.{name}", "fired")
        if caliper.side in (side, "fit") and figure and abs(figure.value - 2.0 * radius_mm) < 0.2:
            return str(name)
    rim = sheet.form.parts[part].open_station
    where = "mouth: inside" if side == "inside" else "rim across: outside"
    raise click.ClickException(
        f"{sheet.slug} names no caliper size there; write `calipers: {{{where} {rim}}}` under its part `{part}`, and try again"
    )


@frozen
class Opening:
    """What a lid is made for: a jar's part, its inner and outer radius at the rim, the lid's wall and play, mm; the unit of its file."""

    sheet: Sheet
    part: str
    mouth: float
    rim: float
    wall: float
    aim: float
    unit: str

    def said(self, length_mm: float) -> str:
        """A length as it is typed into the lid's file: to a tenth of a millimetre."""
        return length(length_mm, self.unit, digits=1 if self.unit == "mm" else 3)

    def lines(self, *stations: tuple[str, float, float | str]) -> str:
        """Stations' lines: name, height and diameter, mm; a diameter may be a caliper size."""
        return "\n".join(
            f"      {name}: {{height: {self.said(height)}, diameter: {across if isinstance(across, str) else self.said(across)}}}"
            for name, height, across in stations
        )


def lid_text(sheet: Sheet, kind: str | None, *, title: str, code: str) -> str:
    """The spec of a lid, in the jar's unit.

    Args:
        sheet: the jar's figures.
        kind: inset, plate or cap; as the jar's mouth asks unless given.
        title, code: the lid's own.
    """
    part = _vessel(sheet)
    kind = kind or _kind(sheet, part)
    shape = sheet.shapes[part]
    inside, outside = (shape.scaled(line, "fired") for line in (shape.inside, shape.outside))
    mouth, rim = inside[-1][0], outside[-1][0]
    if kind == INSET and _ledge_mm(sheet, part) < LEAST_LEDGE_MM:
        raise click.ClickException(
            f"{sheet.slug} has no ledge for an inset lid; write `gallery: {{depth: 12, width: 5}}` under its part, or ask for --kind plate"
        )
    if kind == PLATE and rim - mouth < 1.0:
        raise click.ClickException(f"the rim of {sheet.slug} is too narrow to lay a plate on; ask for --kind cap")
    wall = max(3.0, min(5.0, round(2.0 * (rim - mouth)) / 2.0))
    side = "outside" if kind == CAP else "inside"
    size = _size_name(sheet, part, side, rim if kind == CAP else mouth)
    across = 2.0 * (rim if kind != INSET else mouth)
    aim = round(max(LEAST_AIM_MM, AIM_SHARE * across), 1)
    jar = f"{sheet.slug}/{part}.{size}"
    opening = Opening(sheet, part, mouth, rim, wall, aim, "in" if str(sheet.form.unit) == "in" else "mm")
    more = {INSET: _inset, PLATE: _plate, CAP: _cap}[kind](opening)
    glaze = f"glaze: {sheet.form.glaze}" if sheet.form.glaze else "# glaze: …"
    said = {
        name: opening.said(value)
        for name, value in (
            ("aim", aim), ("least", LEAST_MM), ("most", 2.0 * aim - LOOSE_MM),
            ("wall_left_on", LEFT_ON_MM), ("floor_left_on", FLOOR_LEFT_ON_MM), ("left_on", 2.0 * LEFT_ON_MM),
        )
    }  # fmt: skip
    return Template((TEMPLATES / "new" / "lid.yaml").read_text(encoding="utf-8")).substitute(
        kind=kind, jar_title=sheet.form.title, how=HOW[kind], title=title, code=code, family=sheet.form.family or "lids",
        clay=sheet.form.clay, glaze=glaze, unit=opening.unit, knob=_knob(across, opening.unit),
        opening=f"lid.{more['caliper']}" if kind == CAP else jar, goes_in=jar if kind == CAP else f"lid.{more['caliper']}",
        **said, **more,
    )  # fmt: skip


def _knob(across_mm: float, unit: str) -> str:
    """Clay for a knob by how wide the lid is, in round weights: common practice."""
    weight_g = KNOB_G_MM2 * across_mm * across_mm
    step_g = unit_factor("oz") / 4.0 if unit == "in" else 5.0
    steps = max(1, round(weight_g / step_g))
    return f"{steps / 4:g} oz" if unit == "in" else f"{5 * steps} g"


def _g_down(value: float) -> float:
    """To half a millimetre, never more."""
    return int(2.0 * value) / 2.0


def _inset(to: Opening) -> dict[str, str]:
    deep, ledge = _seat_depth_mm(to.sheet, to.part), _ledge_mm(to.sheet, to.part)
    high = max(6.0, deep)
    return {
        "outside": to.lines(("tip", 0.0, "flange"), ("edge", high, "flange"), ("crown", high + 0.12 * to.mouth, 1.1 * to.mouth)),
        "inside": f"    wall: {to.said(max(to.wall, min(ledge, 5.0)))}\n    floor: {to.said(to.wall)}\n",
        "bare": "tip to edge", "caliper": "flange", "gauge_at": "edge",
    }  # fmt: skip


def _plate(to: Opening) -> dict[str, str]:
    goes_in = to.mouth - to.aim / 2.0
    flange, thick = min(8.0, _g_down(_free_depth_mm(to.sheet, to.part, goes_in + 0.2))), max(4.0, to.wall)
    if flange < LEAST_FLANGE_MM:
        raise click.ClickException(
            f"{to.sheet.slug} narrows so fast below its rim that no flange goes in; ask for --kind cap"
        )
    plate, across = flange + thick, 2.0 * to.rim
    hollow = 2.0 * (goes_in - to.wall)
    return {
        "outside": to.lines(
            ("tip", 0.0, "flange"), ("neck", flange, "flange"), ("plate", flange, across), ("edge", plate, across), ("crown", plate + 0.08 * to.rim, to.rim)
        ),
        "inside": _hollow("the hollow within the flange", to.lines(("lip", 0.0, hollow), ("roof", flange, 0.9 * hollow), ("middle", flange + 0.04 * to.rim, 0.0))),
        "bare": "tip to plate", "caliper": "flange", "gauge_at": "edge",
    }  # fmt: skip


def _cap(to: Opening) -> dict[str, str]:
    deep = 14.0
    across = 2.0 * to.rim + to.aim + 2.0 * to.wall
    return {
        "outside": to.lines(("tip", 0.0, across), ("edge", deep + to.wall, across), ("crown", deep + to.wall + 0.1 * to.rim, 1.2 * to.rim)),
        "inside": _hollow("the bore that goes over the rim", to.lines(("tip", 0.0, "bore"), ("roof", deep, "bore"), ("middle", deep + 0.05 * to.rim, 0.0))),
        "bare": "inside", "caliper": "bore", "gauge_at": "edge",
    }  # fmt: skip


def _hollow(remark: str, lines: str) -> str:
    return f"    inside:                 # {remark}\n{lines}\n"


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
    import shlex

    then = (f"cd {shlex.quote(str(folder))}", to_be_typed("check"), to_be_typed("build"))
    click.echo("\n  ".join((f"{folder} is ready. Next:", *then)))
