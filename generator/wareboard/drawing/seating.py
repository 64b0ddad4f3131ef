"""A form's parts as they are drawn, with what stands out from them; how they stand together, lids on jars, cups in saucers, and how large they are so."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot

from wareboard.drawing.views import OutsideView, Point, creases, outside_view, raised, simplified
from wareboard.figures.amounts import joint_heights_mm, outermost_mm
from wareboard.figures.figure import Figure
from wareboard.figures.shapes import Outline, Shape, to_stage
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.outlines import radius_at
from wareboard.pot.seats import facing
from wareboard.text.kinds import Size
from wareboard.text.languages import _
from wareboard.text.part_specs import Extra, TwoEnds

TOLERANCE_MM = 0.05  # of a drawn line, on an object at full size
FINEST_MM = 0.01  # of the finest drawing's, a fit seen close
APART_SHARE = 0.15  # of the height below, between parts that don't go together
STRAP_STEPS = 40
USUAL_THICK_MM = 8.0
USUAL_JOINTS = (0.82, 0.35)  # of the height, where nobody says where a handle joins


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

    @kept_property
    def seen(self) -> OutsideView:
        """What shows of it from outside."""
        return outside_view([self.outside], self.sharp)

    @kept_property
    def radius_mm(self) -> float:
        """Its greatest radius."""
        return max(radius for radius, _ in self.outside)

    @kept_property
    def reach_mm(self) -> float:
        """How far from its axis it reaches, with what stands out from it."""
        return max((radius for line in self.joined for radius, _ in line), default=self.radius_mm)

    @kept_property
    def top_mm(self) -> float:
        """Its highest point."""
        return max(height for _, height in self.ring)

    @kept_property
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
    return _finished(*sheet.remembered(_lean, name), stage, tolerance_mm)


def _finished(shape: Shape, sharp: Sequence[Point], stage: str, tolerance_mm: float) -> Standing:
    outline = shape.finished(stage)
    across, up = shape.scale(stage)
    height = outline.height_mm if outline.upside_down else 0.0
    part = _standing(shape.name, outline, tolerance_mm, [(r * across, abs(height - h * up)) for r, h in sharp])
    joined = tuple(tuple((r, abs(height - h)) for r, h in line) for line in handle_outlines(shape, stage))
    return replace(part, joined=joined)


def _standing(name: str, outline: Outline, tolerance_mm: float, sharp: Sequence[Point]) -> Standing:
    outside, inside, underside = (
        tuple(simplified(line, tolerance_mm)) for line in (outline.outside, outline.inside, outline.underside)
    )
    lean = replace(outline, outside=outside, inside=inside, underside=underside)
    return Standing(name, outside, tuple(lean.ring), tuple(sharp), outline.stations)


def _lean(sheet: Sheet, name: str) -> tuple[Shape, list[Point]]:
    return _thinned(sheet.shapes[name])


def _thinned(shape: Shape) -> tuple[Shape, list[Point]]:
    """A shape with no more points than the finest drawing asks for, every station among them, and where it is sharp."""
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


def fitted(sheet: Sheet, fit_name: str, stage: str) -> tuple[Standing | None, Standing | None]:
    """The two parts of a fit as the finest drawing has them, as they stand together: the opening, and what goes in.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits; a part may be another form's, or stack in its like.
        stage: one of the five stages.
    Returns: both; another form's part is None where the two can't rest on each other.
    """
    spec, pair = sheet.form.fits[fit_name], sheet.pairs.get(fit_name)
    alone = spec.inside.own and spec.outside.own and spec.inside.part != spec.outside.part
    if alone or pair is None:
        parts = {part.name: part for group in set_together(sheet, stage, FINEST_MM) for part in group}
        opening, plug = (parts.get(str(size.part)) if size.own else None for size in (spec.inside, spec.outside))
        return opening, plug
    lower, upper = (_finished(*_thinned(shape), stage, FINEST_MM) for shape in (pair.lower, pair.upper))
    upper = upper.raised(pair.seats[stage].rest_mm)
    return (lower, upper) if pair.lower_is_inside else (upper, lower)


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


@frozen
class FiredSize:
    """How large a form is as it stands, all parts together, and what it holds; `words` say what is on or under it."""

    height_mm: float
    across: Figure | None
    holds: Figure | None
    words: str = ""


def fired_size(sheet: Sheet) -> FiredSize | None:
    """Size of the parts that stand together with the one that says most of a form: its largest vessel, else its first part."""
    main, group = stood_together(sheet)
    if not group:
        return None
    names = [part.name for part in group]
    holds, across = (
        sheet.find(f"{main}.capacity.fill", "fired"),
        (sheet.find(f"{part}.diameter", "fired") for part in names),
    )
    widest = max(filter(None, across), key=lambda figure: figure.value, default=None)
    lids = [part for part in names if part != main and sheet.form.parts[part].opens_down]
    words = (
        ""
        if len(names) == 1
        else _("with {lids}").format(lids=_(" and ").join(lids))
        if len(lids) == len(names) - 1
        else _("together")
    )
    # The drawing is the sheet's own; what its settings move, they move the pot that the rest stands on by.
    stood = next(part for part in group if part.name == main)
    made = sheet.find(f"{main}.height", "fired")
    moved = made.value - (stood.top_mm - stood.bottom_mm) if made else 0.0
    return FiredSize(
        height_together_mm(sheet, "fired", group) + moved,
        widest,
        holds if holds and holds.value > 0 else None,
        words,
    )


def stood_together(sheet: Sheet) -> tuple[str, Sequence[Standing]]:
    """The part that says most of a form, its largest vessel, else its first part; and the parts that stand together with it, fired."""
    parts = list(map(str, sheet.form.parts))
    volumes = {part: figure.value for part in parts if (figure := sheet.find(f"{part}.capacity.fill", "fired"))}
    main = max(volumes, key=lambda part: volumes[part]) if volumes else parts[0]
    groups = set_together(sheet, "fired")
    return main, next((group for group in groups if main in [part.name for part in group]), ())


def handle_outlines(shape: Shape, stage: str) -> list[list[Point]]:
    """What stands out from a part and reaches somewhere, as closed outlines to the right of its axis, mm at a stage.

    Args:
        shape: the part.
        stage: one of the five stages.
    """
    across, up = shape.scale(stage)
    found = []
    for extra in shape.part.extras.values():
        reach = outermost_mm(extra, shape)
        if reach is None:
            continue
        heights = joint_heights_mm(extra, shape)
        if len(heights) < 2:
            high = shape.highest_mm
            top = heights[0] if heights else USUAL_JOINTS[0] * high
            heights = (top, max(0.0, min(USUAL_JOINTS[1] * high, top - 0.25 * high)))
        (top_r, top_z), (low_r, low_z) = ((radius_at(shape.outside, z) or 0.0, z) for z in heights[:2])
        thick = _thickness_mm(extra, shape)
        line = strap_outline((top_r, top_z), (low_r, low_z), reach, thick)
        found.append([(r * across, z * up) for r, z in line])
    return found


def _thickness_mm(extra: Extra, shape: Shape) -> tuple[float, float]:
    if extra.strap is None:
        return USUAL_THICK_MM, USUAL_THICK_MM

    def at_stage(size: Size) -> float:
        return to_stage(size, shape.stage, shape.stage, shape.body.across)

    size = extra.strap.width if extra.strap.section == "round" else extra.strap.thickness
    return (
        (at_stage(size.top), at_stage(size.bottom)) if isinstance(size, TwoEnds) else (at_stage(size), at_stage(size))
    )


def strap_outline(top: Point, bottom: Point, outermost_mm: float, thick_mm: tuple[float, float]) -> list[Point]:
    """A strap from the side: out and down in one curve, its outer edge touching the outermost.

    Args:
        top, bottom: where it joins, from the axis and up, mm.
        outermost_mm: how far from the axis its outer edge is at the most.
        thick_mm: its thickness at the top and at the bottom.
    Returns: the closed outline.
    """
    rise = top[1] - bottom[1]
    # A cubic's middle lies a quarter at its ends and three quarters at its two guides.
    middle = outermost_mm - sum(thick_mm) / 4.0
    guide = (middle - 0.125 * (top[0] + bottom[0])) / 0.75
    points = (top, (guide, top[1] + 0.12 * rise), (guide, bottom[1] - 0.05 * rise), bottom)
    outer, inner = [], []
    for step in range(STRAP_STEPS + 1):
        t = step / STRAP_STEPS
        u = 1.0 - t
        weights = (u**3, 3.0 * u * u * t, 3.0 * u * t * t, t**3)
        x, y = (sum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))
        slopes = (-3.0 * u * u, 3.0 * u * u - 6.0 * u * t, 6.0 * u * t - 3.0 * t * t, 3.0 * t * t)
        dx, dy = (sum(w * p[axis] for w, p in zip(slopes, points, strict=True)) for axis in (0, 1))
        half = ((1.0 - t) * thick_mm[0] + t * thick_mm[1]) / 2.0 / (hypot(dx, dy) or 1.0)
        outer.append((x - dy * half, y + dx * half))
        inner.append((x + dy * half, y - dx * half))
    return [*outer, *reversed(inner)]
