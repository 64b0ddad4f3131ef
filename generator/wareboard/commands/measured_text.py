"""A pot in the hand as the text of its spec: every line says whether it was measured or follows from what was."""

from __future__ import annotations

from string import Template

from wareboard import TEMPLATES
from wareboard.pot.measured import Solved
from wareboard.text.measurements import ASKED, Measurements

INCH_MM = 25.4
COMMENT_AT = 28


def spec_text(
    found: Measurements, solved: Solved, *, title: str, code: str, family: str, clay: str, glaze: str | None, tools: str
) -> str:
    """The commented spec of a measured pot.

    Args:
        found: what was measured.
        solved: what it comes to.
        title, code, family, clay, glaze: as the form has them.
        tools: what ruler and scale were read to, in words.
    """
    unit = "in" if found.imperial else "mm"
    straight = len(solved.stations.names) == 2
    wall = f"{length(solved.wall_mm, unit, exact=True)}"
    sure = f"± {length(solved.wall_plus_minus_mm, unit, digits=2 if unit == 'mm' else 3)}, {tools}"
    depth = "depth" in found.readings
    return Template((TEMPLATES / "new" / "measured.yaml").read_text(encoding="utf-8")).substitute(
        title=title,
        code=code,
        family=family,
        clay=clay,
        stage=found.stage,
        unit=unit,
        measured=", ".join(f"{name} {found.readings[name].typed}" for name in ASKED if name in found.readings),
        glaze=_glaze_lines(found, glaze),
        stations="\n".join(_station_lines(found, solved, unit)),
        line=_with_comment("straight", "") if straight else _with_comment("smooth", "a fair curve through the stations", 10),
        wall=_with_comment(wall, f"follows from weight and water; {sure}", 10),
        floor=_with_comment(length(solved.floor_mm, unit, exact=True), "the height less the depth inside" if depth else "5/4 of the wall; measure the depth inside for its own", 11),
        more="\n".join(_more_lines(found)),
        extras=_extras(found),
    )  # fmt: skip


def length(value_mm: float, unit: str, *, exact: bool = False, digits: int | None = None) -> str:
    """A length as it is typed in a file of that unit: to 0.01 mm, or to 0.001 where weights hang on it.

    Args:
        value_mm: the length, mm.
        unit: mm or in.
        exact: with a digit more.
        digits: decimals, instead.
    >>> length(77.1049, "mm"), length(95.25, "in"), length(4.95612, "mm", exact=True)
    ('77.1', '3.75', '4.956')
    """
    value = value_mm / INCH_MM if unit == "in" else value_mm
    if digits is None:
        digits = (5 if unit == "in" else 3) if exact else (4 if unit == "in" else 2)
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") or "0"


def _with_comment(text: str, comment: str, before: int = 0) -> str:
    return f"{text.ljust(max(0, COMMENT_AT - before))}# {comment}" if comment else text


def _glaze_lines(found: Measurements, glaze: str | None) -> str:
    lines = [f"glaze: {glaze}" if glaze else "# glaze: …                # a file in specs/glazes/"]
    if "glaze-film" in found.readings:
        lines.append(f"glaze_film: {found.readings['glaze-film'].typed}")
    return "\n".join(lines)


def _station_lines(found: Measurements, solved: Solved, unit: str) -> list[str]:
    lines = []
    for name, (radius, height) in zip(solved.stations.names, solved.stations.points, strict=True):
        # What was not measured carries the weight of all that was: a digit more.
        inserted = name not in found.readings and name not in ("foot", "rim")
        size = f"      {name}: {{height: {length(height, unit, exact=inserted)}, diameter: {length(2.0 * radius, unit, exact=inserted)}}}"
        lines.append(f"{size}   # follows: as full as weight and water ask for" if inserted else size)
    return lines


def _more_lines(found: Measurements) -> list[str]:
    lines = []
    if "weight" in found.readings:
        lines.append(f"    weighs: {found.readings['weight'].typed} {found.stage}")
    if "brim" in found.readings:
        staged = "" if found.stage == "fired" else f" {found.stage}"
        lines.append(f"    holds: {found.readings['brim'].typed}{staged}")
    ring, gallery = found.readings.get("foot-ring"), found.readings.get("gallery")
    if ring:
        deep, wide = _pair(ring.typed)
        lines.append(f"    foot: {{width: {wide}, recess: {deep}}}     # the turned ring that it stands on")
    if gallery:
        deep, wide = _pair(gallery.typed)
        lines.append(f"    gallery: {{depth: {deep}, width: {wide}}}  # the ledge for a lid, below the rim")
    return lines


def _pair(typed: str) -> tuple[str, str]:
    import re

    deep, wide = re.split(r"[×✕*]|(?<=[\s\d\"a-z])x(?=[\s\d.])", typed, maxsplit=1)
    return deep.strip(), wide.strip()


def _extras(found: Measurements) -> str:
    if "handle" not in found.readings:
        return "    # extras:\n    #   handle: {clay: 40 g}   # counts in the weight"
    return f"    extras:\n      handle: {{clay: {found.readings['handle'].typed}}}"
