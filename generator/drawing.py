"""A sheet's drawings: half outside view, half section, as an engineer draws them, with their sizes.

Every drawing is text, SVG in true millimetres on paper; the same sheet gives the same bytes. What a
drawing says is in its title and description too, for those who can't see it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from generator.dimensions import (
    Lettering, Note, Span, draw_heights, draw_notes, draw_running_heights, draw_span, draw_widths, halved, room_mm,
)  # fmt: skip
from generator.shapes import Outline, Shape
from generator.sheet import Sheet
from generator.svg import AXIS, CLAY, EDGE, GROUND, HATCH, OUTLINE, POINTER, THIN, Picture, Point, moved
from generator.views import creases, hatch_lines, outside_view, raised, seat_height_mm, simplified

SMALLEST_SCALE, LARGEST_SCALE = 0.02, 1.0
TOLERANCE_MM = 0.05  # of a drawn line, on an object at full size
HATCH_MM = 1.3
AXIS_OVERSHOOT_MM = 2.6
GROUND_OVER_MM = 5.0
POINTER_MM = 3.6
MARGIN_MM = 1.0
BETWEEN_MM = 2.5

SizeText = Callable[[float], str]


def plain_size(size_mm: float) -> str:
    """A size to a tenth of a millimetre, where a caller has no words of its own.

    >>> plain_size(79.04)
    '79.0'
    """
    return f"{size_mm:.1f}"


# ---- parts that stand together ----


@dataclass(frozen=True)
class Standing:
    """A part as it is drawn: its outline and section without needless points, and how high it stands."""

    name: str
    outside: tuple[Point, ...]
    ring: tuple[Point, ...]
    sharp: tuple[Point, ...]
    stations: Mapping[str, Point]

    def raised(self, by_mm: float) -> Standing:
        """The same, standing higher."""
        lines = (tuple(raised(line, by_mm)) for line in (self.outside, self.ring, self.sharp))
        return Standing(self.name, *lines, {name: (r, h + by_mm) for name, (r, h) in self.stations.items()})

    @cached_property
    def radius_mm(self) -> float:
        """Its greatest radius."""
        return max(radius for radius, _ in self.outside)

    @cached_property
    def top_mm(self) -> float:
        """Its highest point."""
        return max(height for _, height in self.ring)

    @cached_property
    def bottom_mm(self) -> float:
        """Its lowest point."""
        return min(height for _, height in self.ring)


def standing(name: str, outline: Outline) -> Standing:
    """A part from its outline."""
    outside, ring = simplified(outline.outside, TOLERANCE_MM), simplified(outline.ring, TOLERANCE_MM)
    return Standing(name, tuple(outside), tuple(ring), tuple(creases(outline.outside)), outline.stations)


def set_together(sheet: Sheet, stage: str) -> list[list[Standing]]:
    """The form's parts as they are used: lids on jars, cups in saucers; what fits nothing stands alone.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
    Returns: groups that share an axis, each from the part that stands on the board.
    """
    parts = {name: standing(name, shape.finished(stage)) for name, shape in sheet.sections.items()}
    under: dict[str, str] = {}
    for fit in sheet.form.fits.values():
        inside, outside = str(fit.inside.part), str(fit.outside.part)
        if fit.inside.form or fit.outside.form or inside == outside or not {inside, outside} <= parts.keys():
            continue
        upper, lower = (inside, outside) if sheet.sections[inside].opens_down else (outside, inside)
        if upper not in under and upper not in _below(lower, under):
            under[upper] = lower
    order = sorted(parts, key=lambda name: (len(_below(name, under)), sheet.sections[name].opens_down))
    groups: dict[str, list[Standing]] = {}
    for name in order:
        stack = _below(name, under)
        if not stack:
            groups[name] = [parts[name]]
            continue
        group = groups[stack[-1]]
        group.append(parts[name].raised(_rest_mm(group, parts[name])))
    return [groups[name] for name in parts if name in groups]


def _below(name: str, under: Mapping[str, str]) -> list[str]:
    """What a part stands upon, and what that stands upon, down to the board."""
    stack = []
    while name in under:
        name = under[name]
        stack.append(name)
    return stack


def _rest_mm(group: Sequence[Standing], part: Standing) -> float:
    """How much a part is raised to rest upon those below; apart above them where it goes into none."""
    rests = [seat_height_mm(below.ring, part.ring) for below in group]
    top = max(below.top_mm for below in group)
    rest = max((height for height in rests if height is not None), default=top)
    return rest if rest + part.bottom_mm < top - 0.05 else 1.15 * top - part.bottom_mm


# ---- one view: an axis, what stands on it, and its sizes ----


@dataclass(slots=True)
class View:
    """Parts on one axis with their sizes, in the object's mm. The ground is the board, or the wheel
    head with a bat on it."""

    parts: Sequence[Standing]
    ground: bool = True
    bat_mm: float = 0.0
    reaches: list[Span] = field(default_factory=list)  # pointer to axis, above
    own_level: list[tuple[Span, float]] = field(default_factory=list)  # pointer to axis, at its own height
    halves: list[Span] = field(default_factory=list)  # diameters, from the axis to the section
    wholes: list[Span] = field(default_factory=list)  # diameters, from side to side, above
    below: list[Span] = field(default_factory=list)
    rises_left: list[Span] = field(default_factory=list)
    rises_right: list[Span] = field(default_factory=list)
    notes_left: list[Note] = field(default_factory=list)
    notes_right: list[Note] = field(default_factory=list)
    running: list[Note] = field(default_factory=list)
    pointers: list[Point] = field(default_factory=list)
    caption: str = ""

    @property
    def radius_mm(self) -> float:
        """The greatest radius."""
        return max(part.radius_mm for part in self.parts)

    @property
    def top_mm(self) -> float:
        """The highest point."""
        return max(part.top_mm for part in self.parts)

    @property
    def bottom_mm(self) -> float:
        """The level of the ground line."""
        return min(part.bottom_mm for part in self.parts) - self.bat_mm


@dataclass(frozen=True, slots=True)
class Place:
    """Where an object's axis and height 0 lie on paper, and its scale."""

    x: float
    y: float
    scale: float

    def width(self, span: Span) -> Span:
        """A width of the object on paper."""
        return self._span(span, self.x, self.y)

    def height(self, span: Span) -> Span:
        """A height of the object on paper."""
        return self._span(span, self.y, self.x)

    def _span(self, span: Span, along: float, across: float) -> Span:
        start_from = None if span.start_from is None else across + span.start_from * self.scale
        end_from = None if span.end_from is None else across + span.end_from * self.scale
        return Span(along + span.start * self.scale, along + span.end * self.scale, span.text, span.strong, start_from, end_from, span.one_headed)

    def note(self, note: Note) -> Note:
        """A note's place on paper."""
        return Note(self.x + note.x * self.scale, self.y + note.y * self.scale, note.text, note.strong)


def _rows_above(view: View, place: Place, lettering: Lettering) -> list[list[Span]]:
    """Widths over the parts, a row a level.

    A pointer's reach takes the left half of its row; a diameter that needs no more than the section's
    half stands beside it.
    """
    rows = [[place.width(span)] for span in sorted(view.reaches, key=lambda span: -span.start)]
    free = 0
    for span in sorted((halved(place.width(span), lettering) for span in view.halves), key=lambda span: span.end):
        while free < len(rows) and (min(span.start, span.end) < place.x or rows[free][0].end - rows[free][0].start < room_mm(rows[free][0], lettering)):
            free += 1
        if free == len(rows):
            rows.append([])
        rows[free].append(span)
        free += 1
    return rows + [[place.width(span)] for span in sorted(view.wholes, key=lambda span: span.end)]


def _with_room(span: Span, lettering: Lettering) -> Span:
    return halved(span, lettering) if span.one_headed else span


def _draw_sizes(picture: Picture, view: View, place: Place, lettering: Lettering, caption_below: bool) -> None:
    x, y, scale = place.x, place.y, place.scale
    left, right = x - view.radius_mm * scale, x + view.radius_mm * scale
    bottom, top = y + view.bottom_mm * scale, y + view.top_mm * scale
    picture.cover(left, bottom - AXIS_OVERSHOOT_MM)
    picture.cover(right, top + AXIS_OVERSHOOT_MM)
    draw_widths(picture, _rows_above(view, place, lettering), top, lettering)
    draw_widths(picture, [[_with_room(place.width(span), lettering)] for span in sorted(view.below, key=lambda span: span.end)], bottom, lettering, above=False)
    for span, height in view.own_level:
        draw_span(picture, place.width(span), y + height * scale, lettering)
    outer_left = left - (POINTER_MM if view.pointers else 0.0)
    before = draw_heights(picture, [place.height(span) for span in view.rises_left], outer_left, lettering, on_right=False)
    after = draw_running_heights(picture, [place.note(note) for note in view.running], bottom + view.bat_mm * scale, right, lettering)
    after = draw_heights(picture, [place.height(span) for span in view.rises_right], after, lettering, may_lie=not view.notes_right)
    draw_notes(picture, [place.note(note) for note in view.notes_left], left, lettering, lowest=bottom + 1.0)
    draw_notes(picture, [place.note(note) for note in view.notes_right], after, lettering, on_right=True, lowest=bottom + 1.0)
    for reach, height in view.pointers:
        tip_x, tip_y = x - reach * scale, y + height * scale
        picture.fill(POINTER, [(tip_x, tip_y), (tip_x - POINTER_MM, tip_y + 1.3), (tip_x - POINTER_MM, tip_y - 1.3)])
    if view.ground:
        line = bottom - GROUND.width_mm / 2.0
        ground_left = left - GROUND_OVER_MM if not view.rises_left else min(before, left - GROUND_OVER_MM)
        ground_right = max(after, right + GROUND_OVER_MM) if view.rises_right else right + GROUND_OVER_MM + (2.0 if view.running else 0.0)
        picture.stroke(GROUND, [(ground_left, line), (ground_right, line)])
        if view.bat_mm:
            bat = bottom + view.bat_mm * scale
            picture.stroke(THIN, [(left - 2.5, bottom), (left - 2.5, bat), (right + 2.5, bat), (right + 2.5, bottom)])
    if view.caption and caption_below:
        picture.letter(left - GROUND_OVER_MM, picture.bottom - lettering.plain_mm * 1.1, view.caption, lettering.plain_mm, anchor="start")
    elif view.caption:
        picture.letter(max(right + GROUND_OVER_MM, after) + 1.5, bottom, view.caption, lettering.plain_mm, anchor="start")


def _draw_parts(picture: Picture, parts: Sequence[Standing], place: Place) -> None:
    """Outside on the left, hatched section on the right, axis between."""
    x, y, scale = place.x, place.y, place.scale
    outside = outside_view([part.outside for part in parts], [point for part in parts for point in part.sharp])
    for line in outside.lines:
        picture.stroke(OUTLINE, moved(line, scale, x, y, mirrored=True))
    ends = {height for line in outside.lines for _, height in (line[0], line[-1])}
    for radius, height in outside.edges:
        picture.stroke(OUTLINE if height in ends else EDGE, moved([(radius, height), (0.0, height)], scale, x, y, mirrored=True))
    for number, part in enumerate(parts):
        ring = moved(part.ring, scale, x, y)
        for line in hatch_lines(ring, HATCH_MM * (1.0, 1.0, 1.6, 1.6)[number % 4], rising=number % 2 == 0):
            picture.stroke(HATCH, line)
        _stroke_off_axis(picture, ring, x)
    top, bottom = max(part.top_mm for part in parts), min(part.bottom_mm for part in parts)
    picture.stroke(AXIS, [(x, y + bottom * scale - AXIS_OVERSHOOT_MM), (x, y + top * scale + AXIS_OVERSHOOT_MM)])


def _stroke_off_axis(picture: Picture, ring: Sequence[Point], x: float) -> None:
    """A section's outline; the axis is no edge of the clay and is left open."""
    run: list[Point] = []
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if abs(x0 - x) < 1e-6 and abs(x1 - x) < 1e-6:
            picture.stroke(OUTLINE, run)
            run = []
        else:
            run = [*(run or [(x0, y0)]), (x1, y1)]
    picture.stroke(OUTLINE, run)


# ---- fitting views into a box ----


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Views on paper at a scale: where each stands, and how much paper they take."""

    views: Sequence[View]
    places: tuple[Place, ...]
    scale: float
    stacked: bool
    width_mm: float
    height_mm: float


def _arranged(views: Sequence[View], scale: float, lettering: Lettering, stacked: bool) -> Arrangement:
    """Views side by side on one ground, or one above another on one axis."""
    places: list[Place] = []
    at, low, high = 0.0, 0.0, 0.0
    for view in views:
        sketch = Picture()
        _draw_sizes(sketch, view, Place(0.0, 0.0, scale), lettering, not stacked)
        if stacked:
            places.append(Place(0.0, at - sketch.bottom, scale))
            at += sketch.top - sketch.bottom + BETWEEN_MM
            low, high = min(low, sketch.left), max(high, sketch.right)
        else:
            ground = view.bottom_mm * scale
            places.append(Place(at - sketch.left, -ground, scale))
            at += sketch.right - sketch.left + BETWEEN_MM
            low, high = min(low, sketch.bottom - ground), max(high, sketch.top - ground)
    at -= BETWEEN_MM
    width, height = (high - low, at) if stacked else (at, high - low)
    return Arrangement(views, tuple(places), scale, stacked, width, height)


def _fitted(views: Sequence[View], width_mm: float, height_mm: float, lettering: Lettering, ways: Sequence[bool]) -> Arrangement:
    """Views in the arrangement that shows them largest within a box.

    Lettering and its room keep their size on paper, so only what is left over can be scaled.
    """
    widths, heights = [2.0 * view.radius_mm for view in views], [view.top_mm - view.bottom_mm for view in views]

    def better(tried: Arrangement) -> float:
        wide, tall = (max(widths), sum(heights)) if tried.stacked else (sum(widths), max(heights))
        scale = tried.scale
        left_over = min((width_mm - 2.0 * MARGIN_MM - tried.width_mm) / wide, (height_mm - 2.0 * MARGIN_MM - tried.height_mm) / tall)
        return min(max(scale + left_over, SMALLEST_SCALE), LARGEST_SCALE)

    def settled(stacked: bool) -> Arrangement:
        tried = _arranged(views, min(width_mm / max(widths), height_mm / max(heights), LARGEST_SCALE), lettering, stacked)
        for _ in range(6):
            scale = better(tried)
            if scale > tried.scale * 0.99:
                break
            tried = _arranged(views, scale, lettering, stacked)
        return tried

    return max((settled(stacked) for stacked in ways), key=lambda arrangement: arrangement.scale)


def _render(arrangement: Arrangement, lettering: Lettering, name: str, title: str, description: str) -> str:
    picture = Picture()
    for view, place in zip(arrangement.views, arrangement.places, strict=True):
        _draw_parts(picture, view.parts, place)
        _draw_sizes(picture, view, place, lettering, not arrangement.stacked)
    return picture.render(name, title, description, margin_mm=MARGIN_MM)


# ---- the drawings ----


def draw_form(
    sheet: Sheet, stage: str, *, width_mm: float = 120.0, height_mm: float = 120.0, sizes: str = "set", size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """The form at a stage: outside on the left, section on the right, with its sizes.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
        width_mm, height_mm: the box on paper, mm.
        sizes: `set` shows what is set with a tool and how high and wide the parts are, lids in
            place; `all` every station, the parts apart; `none` the form alone.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug, stage and sizes unless given.
    Returns: SVG.
    """
    groups = set_together(sheet, stage)
    if sizes == "none":
        views = [View(group) for group in groups]
    elif sizes == "all":
        parts = [part.raised(-part.bottom_mm) for group in groups for part in reversed(group)]
        views = [_all_sizes(sheet, stage, part, size_text, len(parts) > 1) for part in reversed(parts)]
    else:
        views = [_set_sizes(sheet, stage, group, size_text) for group in groups]
    ways = (True, False) if sizes == "all" and len(views) > 1 else (False,)
    arrangement = _fitted(views, width_mm, height_mm, lettering, ways)
    return _render(arrangement, lettering, name or f"{sheet.slug}-{stage}-{sizes}", f"{sheet.form.title}, {stage}", _form_words(sheet, stage, size_text))


def _form_words(sheet: Sheet, stage: str, size_text: SizeText) -> str:
    said = []
    for part in sheet.sections:
        high, wide = sheet.find(f"{part}.height", stage), sheet.find(f"{part}.diameter", stage)
        if high and wide:
            said.append(f"{part}: {size_text(high.value)} mm high, {size_text(wide.value)} mm across")
    return f"Outside view on the left, section on the right, {stage}. " + "; ".join(said)


def _calipers(sheet: Sheet, stage: str, part: str) -> Iterable[tuple[str, float, str]]:
    """A part's caliper sizes at a stage: name, diameter, and on which side they are taken."""
    for name, caliper in sheet.form.parts[part].calipers.items():
        figure = sheet.find(f"{part}.{name}", stage)
        if figure:
            yield str(name), figure.value, _side(sheet, part, str(name), caliper.side)


def _side(sheet: Sheet, part: str, caliper: str, typed: str) -> str:
    if typed != "fit":
        return typed
    for fit in sheet.form.fits.values():
        for side in ("inside", "outside"):
            size = getattr(fit, side)
            if size.form in (None, sheet.slug) and size.part == part and size.caliper == caliper:
                return side
    return "outside"


def _level_of(sheet: Sheet, part: Standing, caliper: str, radius: float) -> float:
    """The height at which a caliper size is taken."""
    spec = sheet.form.parts[part.name]
    level = str(spec.calipers[caliper].level)
    if level in part.stations:
        return part.stations[level][1]
    named = [part.stations[str(name)][1] for name, station in spec.outside.items() if str(station.diameter) == caliper and str(name) in part.stations]
    near = [height for r, height in part.ring if abs(r - radius) < 0.05]
    return max(named or near, default=part.top_mm)


def _is_clear(group: Sequence[Standing], radius: float, level: float, way: float) -> bool:
    """True where nothing stands over a point (way 1), or under it (way -1)."""
    for part in group:
        for (r0, h0), (r1, h1) in zip(part.ring, (*part.ring[1:], part.ring[0]), strict=True):
            if min(r0, r1) + 0.05 < radius < max(r0, r1) - 0.05 and way * (h0 + (h1 - h0) * (radius - r0) / (r1 - r0) - level) > 0.2:
                return False
    return True


def _place_diameter(view: View, radius: float, level: float, text: str) -> None:
    """A diameter that is set: over or under the section where the way is clear, else beside it."""
    half = Span(0.0, radius, text, True, None, level, one_headed=True)
    if _is_clear(view.parts, radius, level, 1.0):
        view.halves.append(half)
    elif _is_clear(view.parts, radius, level, -1.0):
        view.below.append(half)
    else:
        view.notes_right.append(Note(radius, level, text, True))


def _rise(part: Standing, text: str, on_ground: bool) -> Span:
    """A part's whole height, on the right."""
    seen = outside_view([part.outside])
    low, top = part.bottom_mm, part.top_mm
    return Span(low, top, text, False, None if on_ground else seen.radius_at(low), seen.radius_at(top))


def _set_sizes(sheet: Sheet, stage: str, group: Sequence[Standing], size_text: SizeText) -> View:
    """The form put together: what is set with calipers, how high each part is, how wide the widest."""
    view = View(group)
    for part in group:
        for name, diameter, _ in _calipers(sheet, stage, part.name):
            _place_diameter(view, diameter / 2.0, _level_of(sheet, part, name, diameter / 2.0), f"{name} ⌀ {size_text(diameter)}")
        high = sheet.find(f"{part.name}.height", stage)
        if high:
            view.rises_right.append(_rise(part, size_text(high.value), part.bottom_mm < view.bottom_mm + 0.01))
    widest = max(group, key=lambda part: part.radius_mm)
    wide = sheet.find(f"{widest.name}.diameter", stage)
    if wide:
        radius = widest.radius_mm
        level = min(height for r, height in widest.outside if r > radius - 1e-3)
        view.below = [Span(-radius, radius, f"⌀ {size_text(wide.value)}", False, level, level)]
    return view


def _all_sizes(sheet: Sheet, stage: str, part: Standing, size_text: SizeText, captioned: bool) -> View:
    """One part with every station: diameters beside the outside, heights beside the section."""
    view = View([part], caption=part.name if captioned else "")
    seen = outside_view([part.outside])
    calipers = {name: (diameter, side) for name, diameter, side in _calipers(sheet, stage, part.name)}
    typed = sheet.form.parts[part.name]
    set_at = {str(typed.calipers[name].level): name for name, (_, side) in calipers.items() if side == "outside"}
    told: set[str] = set()
    levels: set[str] = set()
    for station, (radius, height) in part.stations.items():
        wide, high = sheet.find(f"{part.name}.{station}.diameter", stage), sheet.find(f"{part.name}.{station}.height", stage)
        caliper = set_at.get(station) or next((name for name in calipers if name == str(typed.outside[station].diameter)), None)
        if wide:
            view.notes_left.append(Note(-radius, height, f"{station} ⌀ {size_text(wide.value)}", caliper is not None))
            told.add(caliper or "")
        if high and height > 0.0 and (text := size_text(high.value)) not in levels:
            levels.add(text)
            view.running.append(Note(max(radius, seen.radius_at(height)), height, text))
    for name, (diameter, _) in calipers.items():
        if name not in told:
            _place_diameter(view, diameter / 2.0, _level_of(sheet, part, name, diameter / 2.0), f"{name} ⌀ {size_text(diameter)}")
    return view


def draw_wheel(
    sheet: Sheet, *, width_mm: float = 88.0, height_mm: float = 94.0, size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """The parts as they are thrown, wet, on the wheel head, with the pointer where it is set.

    Lids stand upside down, as they are thrown; what trimming takes off is still on.

    Args:
        sheet: the form's sheet.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug unless given.
    Returns: SVG.
    """
    bat = sheet.studio.bat.value if sheet.studio.bat else 0.0
    views = [_wheel_view(sheet, part, shape, bat, size_text) for part, shape in sheet.sections.items()]
    arrangement = _fitted(views, width_mm, height_mm, lettering, (False, True) if len(views) > 1 else (False,))
    said = "; ".join(f"{part}{_turned(sheet, part)}" for part in sheet.sections)
    words = f"As thrown, wet, on the wheel head: {said}. Outside view on the left with the pointer, section on the right."
    return _render(arrangement, lettering, name or f"{sheet.slug}-wheel", f"{sheet.form.title}, on the wheel", words)


def _turned(sheet: Sheet, part: str) -> str:
    return ", upside down" if sheet.sections[part].opens_down else ""


def _pointers(sheet: Sheet, part: str) -> Iterable[tuple[str, float, float]]:
    """Where a part's pointer is set: station (where there are several), height and reach, mm."""
    for infix in ("", *(f"{station}." for station in sheet.form.parts[part].outside)):
        height, reach = sheet.find(f"{part}.pointer.{infix}height", "wet"), sheet.find(f"{part}.pointer.{infix}reach", "wet")
        if height and reach:
            yield infix.rstrip("."), height.value, reach.value


def _wheel_view(sheet: Sheet, name: str, shape: Shape, bat_mm: float, size_text: SizeText) -> View:
    part = standing(name, shape.thrown("wet"))
    view = View([part], bat_mm=bat_mm, caption=f"{name}{_turned(sheet, name)}" if len(sheet.sections) > 1 else "")
    seen = outside_view([part.outside])
    for _, height, reach in _pointers(sheet, name):
        level = height - bat_mm
        view.pointers.append((reach, level))
        view.rises_left.append(Span(-bat_mm, level, size_text(height), True, None, -reach))
        if seen.greatest_above(level) <= reach + 0.5:
            view.reaches.append(Span(-reach, 0.0, size_text(reach), True, level, None))
        else:
            view.own_level.append((Span(-reach, 0.0, size_text(reach), True), level))
    for caliper, radius, inside in _wheel_calipers(sheet, name):
        text = f"⌀ {size_text(2.0 * radius)}"
        level = _level_of(sheet, part, caliper, radius)
        if inside:
            _place_diameter(view, radius, level, text)
        elif _is_clear([part], radius, level, 1.0):
            view.wholes.append(Span(-radius, radius, text, True, level, level))
        else:
            view.below.append(Span(-radius, radius, text, True, level, level))
    base = part.outside[0][0]
    if not shape.opens_down and not view.below:
        view.below.append(Span(-base, base, f"⌀ {size_text(2.0 * base)}", False, part.bottom_mm - bat_mm, part.bottom_mm - bat_mm))
    return view


def _wheel_calipers(sheet: Sheet, part: str) -> Iterable[tuple[str, float, bool]]:
    """What calipers are set to at the wheel: name, radius, and whether it is taken inside."""
    told = set()
    for fit_name, fit in sheet.form.fits.items():
        for size, key, inside in ((fit.inside, "calipers", True), (fit.outside, "outside.thrown", False)):
            figure = sheet.find(f"fit.{fit_name}.{key}", "wet")
            if figure and size.form in (None, sheet.slug) and size.part == part:
                told.add(str(size.caliper))
                yield str(size.caliper), figure.value / 2.0, inside
    for name, diameter, side in _calipers(sheet, "wet", part):
        if name not in told and side == "inside":
            yield name, diameter / 2.0, True


def draw_front(sheets: Iterable[Sheet], *, scale: float = 0.25, stage: str = "fired") -> dict[str, str]:
    """Every form small and to one scale, for a catalogue; all pictures are as high, on one ground line.

    Args:
        sheets: the forms' sheets.
        scale: mm on paper for one mm of the form.
        stage: one of the five stages.
    Returns: SVG by the form's slug.
    """
    shelves = {sheet.slug: (sheet, set_together(sheet, stage)) for sheet in sheets if sheet.sections}
    tallest = max((part.top_mm for _, groups in shelves.values() for group in groups for part in group), default=0.0) * scale
    return {slug: _small(sheet, groups, scale, tallest) for slug, (sheet, groups) in shelves.items()}


def _small(sheet: Sheet, groups: Sequence[Sequence[Standing]], scale: float, tallest_mm: float) -> str:
    picture = Picture()
    at = 0.0
    for group in groups:
        radius = max(part.radius_mm for part in group) * scale
        x = at + radius
        at += 2.0 * radius + 3.0
        outside = outside_view([simplified(part.outside, 0.06 / scale) for part in group], [point for part in group for point in part.sharp])
        for line in outside.lines:
            picture.stroke(EDGE, moved([(0.0, line[0][1]), *line, (0.0, line[-1][1])], scale, x, 0.0, mirrored=True))
        for edge_radius, height in outside.edges:
            picture.stroke(HATCH, moved([(edge_radius, height), (0.0, height)], scale, x, 0.0, mirrored=True))
        for part in group:
            picture.fill(CLAY, moved(simplified(part.ring, 0.06 / scale), scale, x, 0.0))
    right = at - 3.0
    picture.stroke(EDGE, [(-2.0, 0.0), (right + 2.0, 0.0)])
    return picture.render(f"front-{sheet.slug}", f"{sheet.form.title}", "", box=(-2.5, -0.5, right + 2.5, tallest_mm + 1.0), hidden=True)
