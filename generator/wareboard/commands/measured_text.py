"""A pot in the hand as the text of its spec: every line says whether it was measured or follows from what was."""

from __future__ import annotations

from collections.abc import Sequence
from string import Template

from wareboard import TEMPLATES
from wareboard.pot.frozen import frozen
from wareboard.pot.measured import Solved, Stations
from wareboard.text.measurements import ASKED, Measurements, two_sizes

INCH_MM = 25.4
COMMENT_AT = 28


@frozen
class Named:
    """What a form is called and made of, before its sizes."""

    slug: str
    title: str
    code: str
    family: str
    clay: str
    glaze: str | None


def spec_text(
    named: Named, found: Measurements, stations: Stations, *, head: Sequence[str], wall: str, floor: str, exact: Sequence[str] = (), remark: str = ""
) -> str:  # fmt: skip
    """The commented spec of a pot whose wall and floor are known.

    Args:
        named: what the form is called and made of.
        found: what was measured.
        stations: its outside.
        head: comment lines for the top, what it was made from.
        wall, floor: their values with a comment behind them, as `with_comment` makes them.
        exact: stations on which weight and water hang, with a digit more.
        remark: what is said behind those.
    """
    unit = unit_of(found)
    return Template((TEMPLATES / "new" / "solved.yaml").read_text(encoding="utf-8")).substitute(
        head="\n".join(f"# {line}" for line in head),
        title=named.title,
        code=named.code,
        family=named.family,
        clay=named.clay,
        stage=found.stage,
        unit=unit,
        glaze="\n".join(_glaze_lines(found, named.glaze)),
        stations="\n".join(_station_lines(stations, unit, exact, remark)),
        line="straight" if not stations.smooth else with_comment("smooth", "a fair curve through the stations", 10),
        wall=wall,
        floor=floor,
        more="".join(f"{line}\n" for line in _more_lines(found)),
        extras=_extras(found),
    )


def measured_spec_text(named: Named, found: Measurements, solved: Solved, tools: str) -> str:
    """The spec of a measured pot.

    Args:
        named: what the form is called and made of.
        found: what was measured.
        solved: what it comes to.
        tools: what ruler and scale were read to, in words.
    """
    measured = ", ".join(f"{name} {found.readings[name].typed}" for name in ASKED if name in found.readings)
    wall, floor = solved_lines(found, solved, tools)
    head = (
        f"A pot as it was measured, {found.stage}: {measured}.",
        "Side, wall and floor follow from these; `check` goes on comparing weight and water with what is worked out.",
    )
    exact = [name for name in solved.stations.names if name not in found.readings and name not in ("foot", "rim")]
    return spec_text(
        named,
        found,
        solved.stations,
        head=head,
        wall=wall,
        floor=floor,
        exact=exact,
        remark="follows: as full as weight and water ask for",
    )


def solved_lines(found: Measurements, solved: Solved, tools: str) -> tuple[str, str]:
    """Wall and floor of a solved pot with their remarks."""
    unit = unit_of(found)
    by = " and ".join(word for name, word in (("weight", "weight"), ("brim", "water")) if name in found.readings)
    sure = f"± {length(solved.wall_plus_minus_mm, unit, digits=2 if unit == 'mm' else 3)}, {tools}"
    floor = (
        "the height less the depth inside"
        if "depth" in found.readings
        else "5/4 of the wall; measure the depth inside for its own"
    )
    return (
        with_comment(length(solved.wall_mm, unit, exact=True), f"follows from {by}; {sure}", 10),
        with_comment(length(solved.floor_mm, unit, exact=True), floor, 11),
    )


def unit_of(found: Measurements) -> str:
    """The unit of the file: inches where the height was read in inches."""
    return "in" if found.imperial else "mm"


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


def with_comment(text: str, comment: str, before: int = 0) -> str:
    """A value with a remark behind it, set in line with the others.

    Args:
        text: the value.
        comment: the remark.
        before: how much of the line stands before the value.
    """
    return f"{text.ljust(max(0, COMMENT_AT - before))}# {comment}" if comment else text


def _glaze_lines(found: Measurements, glaze: str | None) -> list[str]:
    lines = [f"glaze: {glaze}" if glaze else "# glaze: …                # a file in specs/glazes/"]
    if "glaze-film" in found.readings:
        lines.append(f"glaze_film: {found.readings['glaze-film'].typed}")
    return lines


def _station_lines(stations: Stations, unit: str, exact: Sequence[str], remark: str) -> list[str]:
    lines = []
    for place, (name, (radius, height)) in enumerate(zip(stations.names, stations.points, strict=True)):
        finer = name in exact
        corner = (
            ", corner: true"
            if stations.smooth and place in stations.corners and 0 < place < len(stations.names) - 1
            else ""
        )
        size = f"      {name}: {{height: {length(height, unit, exact=finer)}, diameter: {length(2.0 * radius, unit, exact=finer)}{corner}}}"
        lines.append(f"{size}   # {remark}" if finer and remark else size)
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
        deep, wide = two_sizes(ring.typed)
        lines.append(f"    foot: {{width: {wide}, recess: {deep}}}     # the turned ring that it stands on")
    if gallery:
        deep, wide = two_sizes(gallery.typed)
        lines.append(f"    gallery: {{depth: {deep}, width: {wide}}}  # the ledge for a lid, below the rim")
    return lines


def _extras(found: Measurements) -> str:
    if "handle" not in found.readings:
        return "    # extras:\n    #   handle: {clay: 40 g}   # counts in the weight"
    return f"    extras:\n      handle: {{clay: {found.readings['handle'].typed}}}"
