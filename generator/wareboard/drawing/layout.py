"""Views of parts on paper: each on its axis with its sizes round it, as large as their box allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from wareboard.drawing.dimensions import (
    Lettering,
    Note,
    Span,
    draw_heights,
    draw_notes,
    draw_running_heights,
    draw_span,
    draw_widths,
    halved,
    levelled,
    room_mm,
)  # fmt: skip
from wareboard.drawing.seating import Standing
from wareboard.drawing.svg import (
    AXIS,
    EDGE,
    GROUND,
    HATCH,
    OUTLINE,
    POINTER,
    THIN,
    TINT,
    Pen,
    Picture,
    Point,
    Sketch,
    moved,
    text_width_mm,
)
from wareboard.drawing.views import OutsideView, hatch_lines, outside_view
from wareboard.pot.frozen import frozen

LARGEST_SCALE = 1.0
SMALLEST_SHARE = 0.4  # of the scale without any sizes; sizes that ask for more shrink with the picture
HATCH_MM = 1.3
AXIS_OVERSHOOT_MM = 2.6
GROUND_OVER_MM = 3.6
POINTER_MM = 3.6
MARGIN_MM = 1.0
BETWEEN_MM = 2.5
CAPTION_LINE = 1.35  # of the font size
CROWDED_SHARE = 0.8  # of its size that lettering keeps where sizes ask for more than the box has
MOST_TRIED = 6  # views; of more, not every way to put them in rows


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
    def left_mm(self) -> float:
        """How far to the left of the axis it reaches, where what is joined to the parts is drawn."""
        return max(part.reach_mm for part in self.parts)

    @property
    def top_mm(self) -> float:
        """The highest point."""
        return max(part.top_mm for part in self.parts)

    @property
    def bottom_mm(self) -> float:
        """The level of the ground line."""
        return min(part.bottom_mm for part in self.parts) - self.bat_mm


@frozen
class Place:
    """Where an object's axis and height 0 lie on paper, and its scale; its caption's line, else it stands beside the ground."""

    x: float
    y: float
    scale: float
    caption_y: float | None = None

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
        while free < len(rows) and (
            min(span.start, span.end) < place.x
            or rows[free][0].end - rows[free][0].start < room_mm(rows[free][0], lettering)
        ):
            free += 1
        if free == len(rows):
            rows.append([])
        rows[free].append(span)
        free += 1
    return rows + [[place.width(span)] for span in sorted(view.wholes, key=lambda span: span.end)]


def _with_room(span: Span, lettering: Lettering) -> Span:
    return halved(span, lettering) if span.one_headed else span


def draw_sizes(picture: Sketch, view: View, place: Place, lettering: Lettering) -> None:
    """All sizes round a view, its pointers, ground and caption."""
    x, y, scale = place.x, place.y, place.scale
    side, left, right = x - view.radius_mm * scale, x - view.left_mm * scale, x + view.radius_mm * scale
    bottom, top = y + view.bottom_mm * scale, y + view.top_mm * scale
    picture.cover(left, bottom - AXIS_OVERSHOOT_MM)
    picture.cover(right, top + AXIS_OVERSHOOT_MM)
    draw_widths(picture, _rows_above(view, place, lettering), top, lettering)
    draw_widths(
        picture,
        [[_with_room(place.width(span), lettering)] for span in sorted(view.below, key=lambda span: span.end)],
        bottom,
        lettering,
        above=False,
    )
    for span, height in view.own_level:
        width, level = place.width(span), y + height * scale
        if room_mm(width, lettering) <= width.end - width.start:
            draw_span(picture, width, level, lettering)
        else:  # the words go behind the pointer, over its extension line
            draw_span(picture, replace(width, text=""), level, lettering)
            picture.letter(
                width.start - POINTER_MM - 1.0, level + 1.0, span.text, lettering.set_mm, anchor="end", strong=True
            )
    outer_left = left - (POINTER_MM if view.pointers else 0.0)
    before = draw_heights(
        picture, [place.height(span) for span in view.rises_left], outer_left, lettering, on_right=False
    )
    after = draw_running_heights(
        picture, [place.note(note) for note in view.running], bottom + view.bat_mm * scale, right, lettering
    )
    beside = [place.note(note) for note in view.notes_right]
    crossed = [
        (min(note.y, level) - 0.5, max(note.y, level) + 0.5)
        for note, level in levelled(beside, lettering, bottom + 1.0)
    ]
    after = draw_heights(picture, [place.height(span) for span in view.rises_right], after, lettering, crossed=crossed)
    draw_notes(picture, [place.note(note) for note in view.notes_left], left, lettering, lowest=bottom + 1.0)
    draw_notes(picture, beside, after, lettering, on_right=True, lowest=bottom + 1.0)
    for reach, height in view.pointers:
        tip_x, tip_y = x - reach * scale, y + height * scale
        picture.fill(POINTER, [(tip_x, tip_y), (tip_x - POINTER_MM, tip_y + 1.3), (tip_x - POINTER_MM, tip_y - 1.3)])
    if view.ground:
        line = bottom - GROUND.width_mm / 2.0
        ground_left = side - GROUND_OVER_MM if not view.rises_left else min(before, side - GROUND_OVER_MM)
        ground_right = (
            max(after, right + GROUND_OVER_MM)
            if view.rises_right
            else right + GROUND_OVER_MM + (2.0 if view.running else 0.0)
        )
        picture.stroke(GROUND, [(ground_left, line), (ground_right, line)])
        if view.bat_mm:
            bat = bottom + view.bat_mm * scale
            picture.stroke(THIN, [(side - 2.5, bottom), (side - 2.5, bat), (right + 2.5, bat), (right + 2.5, bottom)])
    if view.caption and place.caption_y is not None:
        picture.letter(left - GROUND_OVER_MM, place.caption_y, view.caption, lettering.plain_mm, anchor="start")
    elif view.caption:
        # What is noted low beside the section keeps its place; the caption goes under it.
        drop = 1.3 * lettering.plain_mm if view.notes_right else 0.0
        picture.letter(
            max(right + GROUND_OVER_MM, after) + 1.5, bottom - drop, view.caption, lettering.plain_mm, anchor="start"
        )


def _seen(parts: Sequence[Standing]) -> OutsideView:
    """What shows of parts from outside; of one alone, it has kept that."""
    return (
        parts[0].seen
        if len(parts) == 1
        else outside_view([part.outside for part in parts], [point for part in parts for point in part.sharp])
    )


def draw_parts(picture: Picture, parts: Sequence[Standing], place: Place) -> None:
    """Outside on the left with what is joined to it, hatched section on the right, axis between."""
    x, y, scale = place.x, place.y, place.scale
    outside = _seen(parts)
    for line in outside.lines:
        picture.stroke(OUTLINE, moved(line, scale, x, y, mirrored=True))
    ends = {height for line in outside.lines for _, height in (line[0], line[-1])}
    for radius, height in outside.edges:
        picture.stroke(
            OUTLINE if height in ends else EDGE, moved([(radius, height), (0.0, height)], scale, x, y, mirrored=True)
        )
    for joined in (line for part in parts for line in part.joined):
        picture.stroke(OUTLINE, moved(joined, scale, x, y, mirrored=True), closed=True)
    for number, part in enumerate(parts):
        ring = moved(part.ring, scale, x, y)
        for line in hatch_lines(ring, HATCH_MM * (1.0, 1.0, 1.6, 1.6)[number % 4], rising=number % 2 == 0):
            picture.stroke(HATCH, line)
        stroke_off_axis(picture, ring, x)
    draw_axis(picture, parts, place)


def draw_contours(picture: Picture, parts: Sequence[Standing], place: Place, pen: Pen, *, filled: bool = False) -> None:
    """Outlines alone, outside on the left and section on the right, in one pen."""
    for line in _seen(parts).lines:
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


# Which views stand in each row, by their places; the lowest row first.
Rows = tuple[tuple[int, ...], ...]


@frozen
class Plan:
    """How views may be put down: in which rows, and whether their captions stand below a row or beside the ground."""

    rows: Rows
    captions_below: bool

    @property
    def stacked(self) -> bool:
        """True where each stands above the last; then all share an axis."""
        return len(self.rows) > 1 and all(len(row) == 1 for row in self.rows)


@frozen
class Arrangement:
    """Views on paper at a scale: where each stands, and how much paper they take."""

    views: Sequence[View]
    places: tuple[Place, ...]
    scale: float
    width_mm: float
    height_mm: float


def _boxes(views: Sequence[View], scale: float, lettering: Lettering, captions_below: bool) -> list[Sketch]:
    """What each view covers on paper, its axis at 0 and height 0 at 0; captions below count in the width alone."""
    boxes = [Sketch() for _ in views]
    for view, box in zip(views, boxes, strict=True):
        draw_sizes(box, view, Place(0.0, 0.0, scale, 0.0 if captions_below else None), lettering)
    return boxes


def _captions_mm(views: Sequence[View], lettering: Lettering) -> float:
    """Height of a line of captions with the room above it; 0 where there are none."""
    return CAPTION_LINE * lettering.plain_mm if any(view.caption for view in views) else 0.0


def _arranged(views: Sequence[View], scale: float, lettering: Lettering, plan: Plan) -> Arrangement:
    """Views in rows, each row on one ground with its captions on one line; where there is one to a row, all on one axis."""
    boxes = _boxes(views, scale, lettering, plan.captions_below)
    grounds = [view.bottom_mm * scale for view in views]
    widths = [sum(boxes[n].right - boxes[n].left for n in row) + BETWEEN_MM * (len(row) - 1) for row in plan.rows]
    captions = _captions_mm(views, lettering) if plan.captions_below else 0.0
    places: list[Place] = []
    at = 0.0
    for row, width in zip(plan.rows, widths, strict=True):
        low, high = min(boxes[n].bottom - grounds[n] for n in row), max(boxes[n].top - grounds[n] for n in row)
        x = (max(widths) - width) / 2.0
        for n in row:
            line = at + 0.25 * lettering.plain_mm if plan.captions_below else None
            places.append(
                Place(0.0 if plan.stacked else x - boxes[n].left, at + captions - low - grounds[n], scale, line)
            )
            x += boxes[n].right - boxes[n].left + BETWEEN_MM
        at += captions + high - low + BETWEEN_MM
    wide = max(box.right for box in boxes) - min(box.left for box in boxes) if plan.stacked else max(widths)
    return Arrangement(views, tuple(places), scale, wide, at - BETWEEN_MM)


def _ways_to_row(count: int) -> list[Rows]:
    """Every way to put views in rows without changing their order; of many views, only rows of like length.

    >>> _ways_to_row(3)
    [((0, 1, 2),), ((0,), (1, 2)), ((0, 1), (2,)), ((0,), (1,), (2,))]
    """
    if count <= MOST_TRIED:
        cuts = [tuple(place for place in range(1, count) if bits >> place - 1 & 1) for bits in range(2 ** (count - 1))]
    else:
        cuts = [tuple(range(length, count, length)) for length in range(count, 0, -1)]
    return [tuple(tuple(range(start, end)) for start, end in pairwise((0, *cut, count))) for cut in cuts]


def fitted(
    views: Sequence[View], width_mm: float, height_mm: float, lettering: Lettering, *, in_rows: bool = False
) -> Arrangement:
    """Views in the arrangement that shows them largest within a box.

    Lettering and its room keep their size on paper, so only what is left over can be scaled.

    Args:
        views: the views, one at least.
        width_mm, height_mm: the box, mm.
        lettering: font sizes.
        in_rows: they may stand in several rows, or one above another; else side by side.
    Returns: the arrangement; past the box where its lettering is too much for it.
    Raises: ValueError, there is nothing to draw.
    """
    if not views:
        raise ValueError("there is nothing to draw: the sheet has no parts")
    widths, heights = (
        [view.left_mm + view.radius_mm for view in views],
        [view.top_mm - view.bottom_mm for view in views],
    )
    room_wide, room_tall = width_mm - 2.0 * MARGIN_MM, height_mm - 2.0 * MARGIN_MM
    in_which = _ways_to_row(len(views)) if in_rows else [(tuple(range(len(views))),)]
    plans = [Plan(rows, below) for below in (True, False) for rows in in_which]

    def bare(plan: Plan) -> tuple[float, float]:
        """Width and height of the parts alone."""
        return max(sum(widths[n] for n in row) for row in plan.rows), sum(
            max(heights[n] for n in row) for row in plan.rows
        )

    def held(scale: float, plan: Plan) -> float:
        wide, tall = bare(plan)
        return min(max(scale, SMALLEST_SHARE * min(room_wide / wide, room_tall / tall)), LARGEST_SCALE)

    first = max(
        held(LARGEST_SCALE * min(room_wide / wide, room_tall / tall), plan)
        for plan in plans
        for wide, tall in [bare(plan)]
    )
    boxes = _boxes(views, first, lettering, True)
    beside = [box.right - box.left - first * width for box, width in zip(boxes, widths, strict=True)]
    over = [box.top - box.bottom - first * height for box, height in zip(boxes, heights, strict=True)]
    named = [1.5 + text_width_mm(view.caption, lettering.plain_mm) if view.caption else 0.0 for view in views]

    def foreseen(plan: Plan) -> tuple[float, float]:
        """The scale that a plan will come to, and how much of its size its lettering will keep; as if room for sizes never changed."""
        aside = [0.0 if plan.captions_below else name for name in named]
        fixed_wide = [sum(beside[n] + aside[n] for n in row) + BETWEEN_MM * (len(row) - 1) for row in plan.rows]
        below = _captions_mm(views, lettering) if plan.captions_below else 0.0
        fixed_tall = sum(max(over[n] for n in row) + below for row in plan.rows) + BETWEEN_MM * (len(plan.rows) - 1)
        across = [sum(widths[n] for n in row) for row in plan.rows]
        scale = min(
            (room_tall - fixed_tall) / bare(plan)[1],
            *((room_wide - fixed) / wide for fixed, wide in zip(fixed_wide, across, strict=True)),
        )
        scale = held(scale, plan)
        wide = max(fixed + scale * width for fixed, width in zip(fixed_wide, across, strict=True))
        return scale, min(1.0, room_wide / wide, room_tall / (fixed_tall + scale * bare(plan)[1]))

    def worth(plan: Plan) -> float:
        scale, share = foreseen(plan)
        return scale * share * share

    def kept(tried: Arrangement) -> float:
        return min(1.0, room_wide / tried.width_mm, room_tall / tried.height_mm)

    plan = max(plans, key=worth)
    tried = _arranged(views, foreseen(plan)[0], lettering, plan)
    # in steps: smaller, a size may need more room than before, and one step too far would lose the way
    for _ in range(20):
        wide, tall = bare(plan)
        scale = held(tried.scale + min((room_wide - tried.width_mm) / wide, (room_tall - tried.height_mm) / tall), plan)
        if 0.985 * tried.scale < scale < 1.03 * tried.scale:
            break
        tried = _arranged(views, min(max(scale, 0.85 * tried.scale), 1.1 * tried.scale), lettering, plan)
    if (
        kept(tried) < CROWDED_SHARE
    ):  # it will be shown smaller, lettering and all: drawn larger, sizes may find room inside
        tried = max(
            (tried, *(_arranged(views, more * tried.scale, lettering, plan) for more in (1.3, 1.7))),
            key=lambda one: kept(one) ** 2 * one.scale,
        )
    return tried


def rendered(
    arrangement: Arrangement, lettering: Lettering, within: tuple[float, float], name: str, title: str, description: str
) -> str:
    """An arrangement as SVG, no larger than its box."""
    picture = Picture()
    for view, place in zip(arrangement.views, arrangement.places, strict=True):
        draw_parts(picture, view.parts, place)
        draw_sizes(picture, view, place, lettering)
    return picture.render(name, title, description, margin_mm=MARGIN_MM, within=within)
