"""`wareboard new --lid-for`: a plain lid that fits a jar, set into its gallery, laid on its rim, or put over it."""

from __future__ import annotations

from string import Template
from typing import TYPE_CHECKING

import click

from wareboard import TEMPLATES
from wareboard.commands.shared import free_path, styled, write_new

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.output.working import Worked

INSET, PLATE, CAP = "inset", "plate", "cap"
AIM_MM, LEAST_MM, MOST_MM = 1.4, 0.5, 2.6  # of diameters: common practice for a lid trimmed to its own jar
HOW = {
    INSET: "it rests on the ledge, within the gallery.",
    PLATE: "its plate rests on the rim, its flange goes into the mouth.",
    CAP: "it goes over the rim and rests on it.",
}
LEAST_LEDGE_MM = 2.0


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
    click.echo("Next: wareboard check, and look at its page: the fit is drawn there")


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


def lid_text(sheet: Sheet, kind: str | None, *, title: str, code: str) -> str:
    """The spec of a lid.

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
    jar = f"{sheet.slug}/{part}.{size}"
    more = {INSET: _inset, PLATE: _plate, CAP: _cap}[kind](sheet, part, mouth, rim, wall)
    glaze = f"glaze: {sheet.form.glaze}" if sheet.form.glaze else "# glaze: …"
    return Template((TEMPLATES / "new" / "lid.yaml").read_text(encoding="utf-8")).substitute(
        kind=kind, jar_title=sheet.form.title, how=HOW[kind], title=title, code=code, family=sheet.form.family or "lids",
        clay=sheet.form.clay, glaze=glaze, knob=f"{0.004 * across * across:.0f}",
        opening=f"lid.{more['caliper']}" if kind == CAP else jar, goes_in=jar if kind == CAP else f"lid.{more['caliper']}",
        aim=_g(AIM_MM), least=_g(LEAST_MM), most=_g(MOST_MM), **more,
    )  # fmt: skip


def _g(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _lines(stations: list[tuple[str, float, str]]) -> str:
    return "\n".join(f"      {name}: {{height: {_g(height)}, diameter: {across}}}" for name, height, across in stations)


def _inset(sheet: Sheet, part: str, mouth: float, rim: float, wall: float) -> dict[str, str]:
    deep, ledge = _seat_depth_mm(sheet, part), _ledge_mm(sheet, part)
    high = max(6.0, deep)
    return {
        "outside": _lines([("tip", 0.0, "flange"), ("edge", high, "flange"), ("crown", high + 0.12 * mouth, _g(1.1 * mouth))]),
        "inside": f"    wall: {_g(max(wall, min(ledge, 5.0)))}\n    floor: {_g(wall)}\n",
        "bare": "tip to edge", "caliper": "flange", "gauge_at": "edge",
    }  # fmt: skip


def _plate(sheet: Sheet, part: str, mouth: float, rim: float, wall: float) -> dict[str, str]:
    flange, thick = 8.0, max(4.0, wall)
    plate = flange + thick
    hollow = 2.0 * (mouth - AIM_MM / 2.0 - wall)
    return {
        "outside": _lines(
            [("tip", 0.0, "flange"), ("neck", flange, "flange"), ("plate", flange, _g(2.0 * rim)), ("edge", plate, _g(2.0 * rim)), ("crown", plate + 0.08 * rim, _g(rim))]
        ),
        "inside": f"    inside:                 # the hollow within the flange\n      lip: {{height: 0, diameter: {_g(hollow)}}}\n      roof: {{height: {_g(flange)}, diameter: {_g(0.9 * hollow)}}}\n      middle: {{height: {_g(flange + 0.04 * rim)}, diameter: 0}}\n",
        "bare": "tip to plate", "caliper": "flange", "gauge_at": "edge",
    }  # fmt: skip


def _cap(sheet: Sheet, part: str, mouth: float, rim: float, wall: float) -> dict[str, str]:
    deep = 14.0
    across = _g(2.0 * rim + AIM_MM + 2.0 * wall)
    return {
        "outside": _lines([("tip", 0.0, across), ("edge", deep + wall, across), ("crown", deep + wall + 0.1 * rim, _g(1.2 * rim))]),
        "inside": f"    inside:                 # the bore that goes over the rim\n      tip: {{height: 0, diameter: bore}}\n      roof: {{height: {_g(deep)}, diameter: bore}}\n      middle: {{height: {_g(deep + 0.05 * rim)}, diameter: 0}}\n",
        "bare": "inside", "caliper": "bore", "gauge_at": "edge",
    }  # fmt: skip
