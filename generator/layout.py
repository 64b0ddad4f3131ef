"""Views of parts on paper: each on its axis with its sizes round it, as large as their box allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from generator.dimensions import (
    Lettering, Note, Span, draw_heights, draw_notes, draw_running_heights, draw_span, draw_widths, halved, levelled, room_mm,
)  # fmt: skip
from generator.seating import Standing
from generator.svg import AXIS, EDGE, GROUND, HATCH, OUTLINE, POINTER, THIN, TINT, Pen, Picture, Point, Sketch, moved
from generator.views import hatch_lines, outside_view

LARGEST_SCALE = 1.0
SMALLEST_SHARE = 0.4  # of the scale without any sizes; sizes that ask for more shrink with the picture
HATCH_MM = 1.3
AXIS_OVERSHOOT_MM = 2.6
GROUND_OVER_MM = 5.0
POINTER_MM = 3.6
MARGIN_MM = 1.0
BETWEEN_MM = 2.5


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
        start, end = along + span.start * self.scale, along + span.end * self.scale
        return replace(span, start=start, end=end, start_from=start_from, end_from=end_from)

    def note(self, note: Note) -> Note:
        """A note's place on paper."""
        return Note(self.x + note.x * self.scale, self.y + note.y * self.scale, note.text, note.strong)


def _rows_above(view: View, place: Place, lettering: Lettering) -> list[list[Span]]:
    """Widths over the parts, a row a level.

    A pointer's reach takes the left half of its row; a diameter that needs no more than the section's
    half stands beside it.
    """
    reaches = [place.width(span) for span in sorted(view.reaches, key=lambda span: -span.start)]
    rows = [[span] for span in reaches[:-1]] + [[replace(span, text_before=True)] for span in reaches[-1:]]
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


def draw_sizes(picture: Sketch, view: View, place: Place, lettering: Lettering, caption_below: bool) -> None:
    x, y, scale = place.x, place.y, place.scale
    left, right = x - view.radius_mm * scale, x + view.radius_mm * scale
    bottom, top = y + view.bottom_mm * scale, y + view.top_mm * scale
    picture.cover(left, bottom - AXIS_OVERSHOOT_MM)
    picture.cover(right, top + AXIS_OVERSHOOT_MM)
    draw_widths(picture, _rows_above(view, place, lettering), top, lettering)
    draw_widths(picture, [[_with_room(place.width(span), lettering)] for span in sorted(view.below, key=lambda span: span.end)], bottom, lettering, above=False)
    for span, height in view.own_level:
        width, level = place.width(span), y + height * scale
        if room_mm(width, lettering) <= width.end - width.start:
            draw_span(picture, width, level, lettering)
        else:  # the words go behind the pointer, over its extension line
            draw_span(picture, replace(width, text=""), level, lettering)
            picture.letter(width.start - POINTER_MM - 1.0, level + 1.0, span.text, lettering.set_mm, anchor="end", strong=True)
    outer_left = left - (POINTER_MM if view.pointers else 0.0)
    before = draw_heights(picture, [place.height(span) for span in view.rises_left], outer_left, lettering, on_right=False)
    after = draw_running_heights(picture, [place.note(note) for note in view.running], bottom + view.bat_mm * scale, right, lettering)
    beside = [place.note(note) for note in view.notes_right]
    crossed = [(min(note.y, level) - 0.5, max(note.y, level) + 0.5) for note, level in levelled(beside, lettering, bottom + 1.0)]
    after = draw_heights(picture, [place.height(span) for span in view.rises_right], after, lettering, crossed=crossed)
    draw_notes(picture, [place.note(note) for note in view.notes_left], left, lettering, lowest=bottom + 1.0)
    draw_notes(picture, beside, after, lettering, on_right=True, lowest=bottom + 1.0)
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


def draw_parts(picture: Picture, parts: Sequence[Standing], place: Place) -> None:
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
        stroke_off_axis(picture, ring, x)
    draw_axis(picture, parts, place)


def draw_contours(picture: Picture, parts: Sequence[Standing], place: Place, pen: Pen, *, filled: bool = False) -> None:
    """Outlines alone, outside on the left and section on the right, in one pen."""
    for line in outside_view([part.outside for part in parts]).lines:
        closed = [(0.0, line[0][1]), *line, (0.0, line[-1][1])]
        picture.stroke(pen, moved(closed, place.scale, place.x, place.y, mirrored=True))
    for part in parts:
        ring = moved(part.ring, place.scale, place.x, place.y)
        if filled:
            picture.fill(TINT, ring)
        stroke_off_axis(picture, ring, place.x, pen)


def draw_axis(picture: Picture, parts: Sequence[Standing], place: Place) -> None:
    """The axis, a little past the parts."""
    top, bottom = max(part.top_mm for part in parts), min(part.bottom_mm for part in parts)
    x, y, scale = place.x, place.y, place.scale
    picture.stroke(AXIS, [(x, y + bottom * scale - AXIS_OVERSHOOT_MM), (x, y + top * scale + AXIS_OVERSHOOT_MM)])


def stroke_off_axis(picture: Picture, ring: Sequence[Point], x: float, pen: Pen = OUTLINE) -> None:
    """A section's outline; the axis is no edge of the clay and is left open."""
    run: list[Point] = []
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if abs(x0 - x) < 1e-6 and abs(x1 - x) < 1e-6:
            picture.stroke(pen, run)
            run = []
        else:
            run = [*(run or [(x0, y0)]), (x1, y1)]
    picture.stroke(pen, run)


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
        sketch = Sketch()
        draw_sizes(sketch, view, Place(0.0, 0.0, scale), lettering, not stacked)
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


def fitted(views: Sequence[View], width_mm: float, height_mm: float, lettering: Lettering, ways: Sequence[bool]) -> Arrangement:
    """Views in the arrangement that shows them largest within a box.

    Lettering and its room keep their size on paper, so only what is left over can be scaled.

    Args:
        views: the views, one at least.
        width_mm, height_mm: the box, mm.
        lettering: font sizes.
        ways: False, side by side; True, one above another; the better is taken.
    Returns: the arrangement; past the box where its lettering is too much for it.
    Raises: ValueError, there is nothing to draw.
    """
    if not views:
        raise ValueError("there is nothing to draw: the sheet has no parts")
    widths, heights = [2.0 * view.radius_mm for view in views], [view.top_mm - view.bottom_mm for view in views]
    room_wide, room_tall = width_mm - 2.0 * MARGIN_MM, height_mm - 2.0 * MARGIN_MM

    def size(stacked: bool) -> tuple[float, float]:
        return (max(widths), sum(heights)) if stacked else (sum(widths), max(heights))

    def bare(stacked: bool) -> float:
        wide, tall = size(stacked)
        return min(room_wide / wide, room_tall / tall, LARGEST_SCALE)

    def better(tried: Arrangement) -> float:
        wide, tall = size(tried.stacked)
        left_over = min((room_wide - tried.width_mm) / wide, (room_tall - tried.height_mm) / tall)
        return min(max(tried.scale + left_over, SMALLEST_SHARE * bare(tried.stacked)), LARGEST_SCALE)

    def shown(tried: Arrangement) -> float:
        return tried.scale * min(1.0, room_wide / tried.width_mm, room_tall / tried.height_mm)

    def settled(tried: Arrangement) -> Arrangement:
        # in steps: smaller, a size may need more room than before, and one step too far would lose the way
        for _ in range(20):
            scale = better(tried)
            if scale > tried.scale * 0.985:
                break
            tried = _arranged(views, max(scale, 0.85 * tried.scale), lettering, tried.stacked)
        return tried

    tries = sorted((_arranged(views, bare(stacked), lettering, stacked) for stacked in ways), key=better, reverse=True)
    best = settled(tries[0])
    for tried in tries[1:]:
        if better(tried) > shown(best):
            best = max(best, settled(tried), key=shown)
    return best


def rendered(arrangement: Arrangement, lettering: Lettering, within: tuple[float, float], name: str, title: str, description: str) -> str:
    """An arrangement as SVG, no larger than its box."""
    picture = Picture()
    for view, place in zip(arrangement.views, arrangement.places, strict=True):
        draw_parts(picture, view.parts, place)
        draw_sizes(picture, view, place, lettering, not arrangement.stacked)
    return picture.render(name, title, description, margin_mm=MARGIN_MM, within=within)
