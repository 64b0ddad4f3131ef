"""A form's parts as they are drawn, and how they stand together: lids on jars, cups in saucers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise

from wareboard.drawing.joined import handle_outlines
from wareboard.drawing.views import (
    OutsideView,
    Point,
    creases,
    outside_view,
    raised,
    simplified,
)
from wareboard.figures.shapes import Outline, Shape
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.pot.seats import facing

TOLERANCE_MM = 0.05  # of a drawn line, on an object at full size
FINEST_MM = 0.01  # of the finest drawing's, a fit seen close
APART_SHARE = 0.15  # of the height below, between parts that don't go together


@frozen
class Standing:
    """A part as it is drawn: its outline and section without needless points, and `at_mm`, how high it stands.

    `joined` are the outlines of what stands out from it, to one side of its axis.
    """

    name: str
    outside: tuple[Point, ...]
    ring: tuple[Point, ...]
    sharp: tuple[Point, ...]
    stations: Mapping[str, Point]
    at_mm: float = 0.0
    joined: tuple[tuple[Point, ...], ...] = ()

    def raised(self, by_mm: float) -> Standing:
        """The same, standing higher."""
        if by_mm == 0.0:
            return self
        lines = (tuple(raised(line, by_mm)) for line in (self.outside, self.ring, self.sharp))
        stations = {name: (r, h + by_mm) for name, (r, h) in self.stations.items()}
        joined = tuple(tuple(raised(line, by_mm)) for line in self.joined)
        return Standing(self.name, *lines, stations, self.at_mm + by_mm, joined)

    @cached_property
    def seen(self) -> OutsideView:
        """What shows of it from outside."""
        return outside_view([self.outside], self.sharp)

    @cached_property
    def radius_mm(self) -> float:
        """Its greatest radius."""
        return max(radius for radius, _ in self.outside)

    @cached_property
    def reach_mm(self) -> float:
        """How far from its axis it reaches, with what stands out from it."""
        return max((radius for line in self.joined for radius, _ in line), default=self.radius_mm)

    @cached_property
    def top_mm(self) -> float:
        """Its highest point."""
        return max(height for _, height in self.ring)

    @cached_property
    def bottom_mm(self) -> float:
        """Its lowest point."""
        return min(height for _, height in self.ring)


def as_thrown(sheet: Sheet, name: str) -> Standing:
    """A part as it is thrown, wet."""
    return sheet.remembered(_as_thrown, name)


def as_finished(sheet: Sheet, name: str, stage: str, tolerance_mm: float = TOLERANCE_MM) -> Standing:
    """A trimmed part at a stage, with no more points than a tolerance asks for."""
    return sheet.remembered(_as_finished, name, stage, tolerance_mm)


def _as_thrown(sheet: Sheet, name: str) -> Standing:
    outline = sheet.shapes[name].thrown("wet")
    return _standing(name, outline, TOLERANCE_MM, creases(outline.outside))


def _as_finished(sheet: Sheet, name: str, stage: str, tolerance_mm: float) -> Standing:
    shape, sharp = sheet.remembered(_lean, name)
    outline = shape.finished(stage)
    across, up = shape.scale(stage)
    height = outline.height_mm if outline.upside_down else 0.0
    part = _standing(name, outline, tolerance_mm, [(r * across, abs(height - h * up)) for r, h in sharp])
    joined = tuple(tuple((r, abs(height - h)) for r, h in line) for line in handle_outlines(shape, stage))
    return replace(part, joined=joined)


def _standing(name: str, outline: Outline, tolerance_mm: float, sharp: Sequence[Point]) -> Standing:
    outside, inside, underside = (
        tuple(simplified(line, tolerance_mm)) for line in (outline.outside, outline.inside, outline.underside)
    )
    lean = replace(outline, outside=outside, inside=inside, underside=underside)
    return Standing(name, outside, tuple(lean.ring), tuple(sharp), outline.stations)


def _lean(sheet: Sheet, name: str) -> tuple[Shape, list[Point]]:
    """A shape with no more points than the finest drawing asks for, every station among them, and where it is sharp."""
    shape = sheet.shapes[name]
    cuts = sorted({0, *shape.station_places.values(), len(shape.outside) - 1})
    outside: list[Point] = list(shape.outside[:1])
    places = {0: 0}
    for start, end in pairwise(cuts):
        outside += simplified(shape.outside[start : end + 1], FINEST_MM)[1:]
        places[end] = len(outside) - 1
    lean = replace(
        shape, outside=tuple(outside), inside=tuple(simplified(shape.inside, FINEST_MM)), underside=tuple(simplified(shape.underside, FINEST_MM)),
        station_places={station: places[place] for station, place in shape.station_places.items()},
    )  # fmt: skip
    return lean, creases(shape.outside)


def set_together(sheet: Sheet, stage: str, tolerance_mm: float = TOLERANCE_MM) -> list[list[Standing]]:
    """The form's parts as they are used: lids on jars, cups in saucers; what fits nothing stands alone.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
        tolerance_mm: how far a drawn line may lie from the true one, mm.
    Returns: groups that share an axis, each from the part that stands on the board.
    """
    return sheet.remembered(_set_together, stage, tolerance_mm)


def _set_together(sheet: Sheet, stage: str, tolerance_mm: float) -> list[list[Standing]]:
    parts = {name: as_finished(sheet, name, stage, tolerance_mm) for name in sheet.shapes}
    under: dict[str, str] = {}
    for fit in sheet.form.fits.values():
        inside, outside = str(fit.inside.part), str(fit.outside.part)
        if not (fit.inside.own and fit.outside.own) or inside == outside or not {inside, outside} <= parts.keys():
            continue
        upper, lower = (inside, outside) if sheet.shapes[inside].opens_down else (outside, inside)
        if upper not in under and upper not in _below(lower, under):
            under[upper] = lower
    order = sorted(parts, key=lambda name: (len(_below(name, under)), sheet.shapes[name].opens_down))
    groups: dict[str, list[Standing]] = {}
    for name in order:
        stack = _below(name, under)
        if not stack:
            groups[name] = [parts[name]]
            continue
        group = groups[stack[-1]]
        group.append(parts[name].raised(_rest_mm(sheet, stage, group, parts[name])))
    return [groups[name] for name in parts if name in groups]


def _below(name: str, under: Mapping[str, str]) -> list[str]:
    """What a part stands upon, and what that stands upon, down to the board."""
    stack = []
    while name in under:
        name = under[name]
        stack.append(name)
    return stack


def _rest_mm(sheet: Sheet, stage: str, group: Sequence[Standing], part: Standing) -> float:
    """How much a part is raised to rest upon those below; apart above them where it goes into none.

    On what it is fitted to it stands as the figures have it.
    """
    pairs = {(pair.lower.name, pair.upper.name): pair for pair in sheet.pairs.values() if pair.own}
    rests = []
    for below in group:
        pair = pairs.get((below.name, part.name))
        if pair:
            rests.append(below.at_mm + pair.seats[stage].rest_mm)
        elif (faces := facing(below.ring, part.ring)).meet:
            rests.append(faces.rest_mm)
    top = max(below.top_mm for below in group)
    rest = max(rests, default=top)
    return rest if rest + part.bottom_mm < top - 0.05 else top * (1.0 + APART_SHARE) - part.bottom_mm


def height_together_mm(sheet: Sheet, stage: str, group: Sequence[Standing]) -> float:
    """How high parts are that are set together, from their true sections, mm.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
        group: the parts, as they stand.
    """
    heights = [
        sheet.shapes[part.name].used_ring[:, 1] * sheet.shapes[part.name].scale(stage)[1] + part.at_mm for part in group
    ]
    return float(max(line.max() for line in heights) - min(line.min() for line in heights))
