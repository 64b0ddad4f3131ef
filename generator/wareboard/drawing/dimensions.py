"""Sizes on a drawing: dimension lines, extension lines, leaders and running heights (ISO 129 practice).

Paper coordinates, mm, y up. A size that is set with a tool is written bold and larger than one that
only follows. Text stands above its line; upright text reads from the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

from wareboard.drawing.svg import HEAD, MEASURE, SET, SET_HEAD, Point, Sketch, text_width_mm
from wareboard.pot.frozen import frozen

GAP_MM = 0.9  # between the object and an extension line
OVERSHOOT_MM = 1.2  # of an extension line past its dimension line
FIRST_MM = 6.6  # from the object to the first dimension line
STEP_MM = 5.8  # from one dimension line to the next
ASIDE_MM = 1.7  # between a height's line and text that is written level beside it
CLEAR_MM = 1.0  # between text and the line under it


@frozen
class Lettering:
    """Font sizes on paper, mm."""

    plain_mm: float = 3.3
    set_mm: float = 3.9

    def size_mm(self, strong: bool) -> float:
        """The font size of a size that is set, or is not."""
        return self.set_mm if strong else self.plain_mm


@frozen
class Span:
    """A size along a line: from `start` to `end` (x for a width, y for a height), each with the place
    on the object, across the line, from which its extension line runs; None, no extension line."""

    start: float
    end: float
    text: str
    strong: bool = False
    start_from: float | None = None
    end_from: float | None = None
    text_before: bool = False  # where its text finds no room inside, it goes before the start
    one_headed: bool = False  # the start is not a limit: half of a symmetrical size (ISO 128-3 half section)


@frozen
class Note:
    """A size written beside the object, with a leader to a point of it."""

    x: float
    y: float
    text: str
    strong: bool = False


def head_mm(strong: bool) -> float:
    """Length of an arrowhead, mm."""
    return 3.0 if strong else 2.5


def room_mm(span: Span, lettering: Lettering) -> float:
    """Length of line that a size needs under its text, mm."""
    return text_width_mm(span.text, lettering.size_mm(span.strong), span.strong) + 0.8


def halved(span: Span, lettering: Lettering) -> Span:
    """A diameter from the axis to the section, with room for its text.

    The line is carried past the axis as far as the text needs; where even the whole width would not
    hold it, the line comes from outside instead.

    Args:
        span: from the axis to the section, one-headed.
        lettering: font sizes.
    Returns: the same size, its start moved.
    """
    need, radius = room_mm(span, lettering), span.end - span.start
    if need <= 1.9 * radius:
        return replace(span, start=min(span.start - 0.12 * radius, span.end - need))
    return replace(span, start=span.end + head_mm(span.strong) + need)


def draw_head(picture: Sketch, tip: Point, way: Point, strong: bool) -> None:
    """A slender filled arrowhead whose tip points along `way` (a unit vector)."""
    length, half = head_mm(strong), head_mm(strong) * 0.15
    (x, y), (dx, dy) = tip, way
    base_x, base_y = x - dx * length, y - dy * length
    picture.fill(
        SET_HEAD if strong else HEAD,
        [tip, (base_x - dy * half, base_y + dx * half), (base_x + dy * half, base_y - dx * half)],
    )


def draw_span(
    picture: Sketch,
    span: Span,
    level: float,
    lettering: Lettering,
    *,
    upright: bool = False,
    after: bool = True,
    aside: float = 0.0,
    share: float | None = 0.5,
) -> tuple[float, float]:
    """One dimension line with its text, arrowheads and extension lines.

    Args:
        picture: where to draw.
        span: the size.
        level: where its dimension line runs: y of a width, x of a height, mm.
        lettering: font sizes.
        upright: a height.
        after: where the text finds no room inside, it goes past the end (True) or before the start.
        aside: where a height's text finds no room, it is written level, to the right (1) or left (-1).
        share: where along its line the text stands; None, past its end.
    Returns: start and end of what the dimension takes up along its line, mm.
    """
    pen = SET if span.strong else MEASURE
    size = lettering.size_mm(span.strong)
    width = text_width_mm(span.text, size, span.strong)
    start, end = min(span.start, span.end), max(span.start, span.end)
    low_from, high_from = (
        (span.start_from, span.end_from) if span.start <= span.end else (span.end_from, span.start_from)
    )

    def on(along: float, across: float) -> Point:
        return (across, along) if upright else (along, across)

    for along, origin in ((start, low_from), (end, high_from)):
        if origin is not None:
            way = 1.0 if level >= origin else -1.0
            picture.stroke(MEASURE, [on(along, origin + way * GAP_MM), on(along, level + way * OVERSHOOT_MM)])
    head = head_mm(span.strong)
    one = span.one_headed
    heads = [(span.end, 1.0 if span.end >= span.start else -1.0)] if one else [(start, -1.0), (end, 1.0)]
    fits_heads = one or end - start >= 2.0 * head + 1.0
    fits_text = share is not None and end - start >= room_mm(span, lettering) - 1e-6
    line_start, line_end = start, end
    if not fits_heads:
        line_start, line_end = start - head - 2.0, end + head + 2.0
    text_at = start + (0.5 if share is None else share) * (end - start)
    if one and span.end < span.start:  # the line comes from outside: its text keeps clear of the head
        text_at += head / 2.0
    if not fits_text and aside:
        picture.stroke(pen, [on(line_start, level), on(line_end, level)])
    elif not fits_text:
        beyond = (0.0 if fits_heads else head) + 1.2
        text_at = end + beyond + width / 2.0 if after else start - beyond - width / 2.0
        line_start, line_end = min(line_start, text_at - width / 2.0), max(line_end, text_at + width / 2.0)
    picture.stroke(pen, [on(line_start, level), on(line_end, level)])
    for along, way in heads:
        way = way if fits_heads else -way
        draw_head(picture, on(along, level), on(way, 0.0), span.strong)
    if not fits_text and aside:
        picture.letter(
            level + aside * ASIDE_MM,
            max(text_at - size * 0.33, start + CLEAR_MM),
            span.text,
            size,
            anchor="start" if aside > 0 else "end",
            strong=span.strong,
        )
        return line_start, line_end
    text_level = level - CLEAR_MM if upright else level + CLEAR_MM
    if span.text:
        picture.letter(*on(text_at, text_level), span.text, size, upward=upright, strong=span.strong)
    return min(line_start, text_at - width / 2.0), max(line_end, text_at + width / 2.0)


def draw_widths(
    picture: Sketch, rows: Sequence[Sequence[Span]], edge: float, lettering: Lettering, *, above: bool = True
) -> None:
    """Widths over or under an object, a row a level; the spans of one row don't meet.

    Args:
        picture: where to draw.
        rows: the spans, nearest the object first.
        edge: the object's top, or its bottom, mm.
        lettering: font sizes.
        above: over the object.
    """
    way = 1.0 if above else -1.0
    first = FIRST_MM if not above else FIRST_MM - 2.0  # text stands above its line: less room is needed over the object
    for number, row in enumerate(rows):
        for span in row:
            draw_span(picture, span, edge + way * (first + number * STEP_MM), lettering, after=not span.text_before)


def draw_heights(
    picture: Sketch,
    spans: Sequence[Span],
    edge: float,
    lettering: Lettering,
    *,
    on_right: bool = True,
    crossed: Sequence[tuple[float, float]] = (),
) -> float:
    """Heights beside an object, each where it disturbs the others least.

    Args:
        picture: where to draw.
        spans: the heights.
        edge: the object's side, mm.
        lettering: font sizes.
        on_right: to the right of the object.
        crossed: levels between which leaders run through; texts keep away from them.
    Returns: x where the dimensions end.
    """
    way = 1.0 if on_right else -1.0
    first = FIRST_MM if on_right else FIRST_MM - 2.0
    end = edge
    placed = ordered(spans, lettering)
    for number, span in enumerate(placed):
        level = edge + way * (first + number * STEP_MM)
        # Extension lines of what stands further out run past this one's text.
        past = [
            (along - 0.5, along + 0.5)
            for outer in placed[number + 1 :]
            for along, origin in ((outer.start, outer.start_from), (outer.end, outer.end_from))
            if origin is not None
        ]
        lies = not crossed and number == len(spans) - 1 and abs(span.end - span.start) < room_mm(span, lettering)
        draw_span(
            picture,
            span,
            level,
            lettering,
            upright=True,
            aside=way if lies else 0.0,
            share=_clear_share(span, crossed, lettering) if crossed else _clear_share(span, past, lettering) or 0.5,
        )
        end = level + way * (ASIDE_MM + room_mm(span, lettering) if lies else OVERSHOOT_MM)
    return end


def _clear_share(span: Span, crossed: Sequence[tuple[float, float]], lettering: Lettering) -> float | None:
    """Where along a height its text stands clear of what crosses it: the middle, or nearer one end;
    None, nowhere."""
    low, length, half = min(span.start, span.end), abs(span.end - span.start), room_mm(span, lettering) / 2.0
    for share in (0.5, 0.3, 0.7, 0.2, 0.8):
        at = low + share * length
        room = half <= share * length <= length - half or share == 0.5
        if room and all(bottom > at + half or top < at - half for bottom, top in crossed):
            return share
    return None


def ordered(spans: Sequence[Span], lettering: Lettering) -> list[Span]:
    """Spans from the innermost level out, so that extension lines cross the fewest lines and no text.

    >>> [span.text for span in ordered([Span(0, 90, "all"), Span(0, 30, "part")], Lettering())]
    ['part', 'all']
    """
    shortest_first = sorted(spans, key=lambda span: (abs(span.end - span.start), span.start))
    if not 1 < len(spans) <= 4:
        return shortest_first

    def cost(order: Sequence[Span]) -> int:
        total = 0
        for place, inner in enumerate(order):
            low, high = min(inner.start, inner.end), max(inner.start, inner.end)
            half = text_width_mm(inner.text, lettering.size_mm(inner.strong), inner.strong) / 2.0
            within = high - low >= room_mm(inner, lettering)
            middle = (low + high) / 2.0 if within else high + 1.2 + half  # its text goes past its end
            for outer in order[place + 1 :]:
                total += (
                    20 if high - low < room_mm(inner, lettering) else 0
                )  # its text lies beside it if it is the last
                for along in (outer.start, outer.end):
                    total += 1 if low + 0.1 < along < high - 0.1 else 0
                    total += 30 if abs(along - middle) < half else 0  # a line through a number is worst of all
        return total

    return list(min(permutations(shortest_first), key=cost))


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places at least `pitch` apart, as near as can be to those wanted (in rising order).

    >>> spread([0.0, 1.0, 20.0], 4.0)
    [-1.5, 2.5, 20.0]
    """
    groups: list[list[float]] = []  # sum of wanted places less their rank in the group, count
    for place in wanted:
        groups.append([place, 1.0])
        while len(groups) > 1 and _end(groups[-2], pitch) + pitch > _start(groups[-1], pitch) + 1e-9:
            total, count = groups.pop()
            groups[-1][0] += total - count * pitch * groups[-1][1]
            groups[-1][1] += count
    return [_start(group, pitch) + rank * pitch for group in groups for rank in range(int(group[1]))]


def _start(group: Sequence[float], pitch: float) -> float:
    return group[0] / group[1]


def _end(group: Sequence[float], pitch: float) -> float:
    return _start(group, pitch) + (group[1] - 1.0) * pitch


def levelled(notes: Sequence[Note], lettering: Lettering, lowest: float = float("-inf")) -> list[tuple[Note, float]]:
    """Notes from the lowest up, each with the level at which it is written."""
    notes = sorted(notes, key=lambda note: (note.y, note.x, note.text))
    pitch = 1.35 * max((lettering.size_mm(note.strong) for note in notes), default=0.0)
    levels = spread([note.y for note in notes], pitch)
    return [(note, max(y, lowest + place * pitch)) for place, (note, y) in enumerate(zip(notes, levels, strict=True))]


def draw_notes(
    picture: Sketch,
    notes: Sequence[Note],
    edge: float,
    lettering: Lettering,
    *,
    on_right: bool = False,
    lowest: float = float("-inf"),
) -> None:
    """Sizes in a column beside an object, each with a leader to its place.

    Args:
        picture: where to draw.
        notes: the sizes.
        edge: the object's side, mm.
        lettering: font sizes.
        on_right: to the right of the object.
        lowest: no lettering below this level, mm.
    """
    way = 1.0 if on_right else -1.0
    column = edge + way * 6.0
    for note, y in levelled(notes, lettering, lowest):
        size = lettering.size_mm(note.strong)
        elbow = column - way * 1.6
        dx, dy = note.x - elbow, note.y - y
        length = (dx * dx + dy * dy) ** 0.5
        pen = SET if note.strong else MEASURE
        picture.stroke(pen, [(column, y), (elbow, y), (note.x, note.y)])
        if length > head_mm(note.strong):
            draw_head(picture, (note.x, note.y), (dx / length, dy / length), note.strong)
        picture.letter(
            column + way * 0.8,
            y - size * 0.33,
            note.text,
            size,
            anchor="start" if on_right else "end",
            strong=note.strong,
        )


def draw_running_heights(
    picture: Sketch, notes: Sequence[Note], origin: float, edge: float, lettering: Lettering
) -> float:
    """Heights from one origin along one line, each written at its own level (superimposed running dimensions).

    Args:
        picture: where to draw.
        notes: the heights; `x` is where the object ends at that level.
        origin: level from which they are counted, mm.
        edge: the object's right side, mm.
        lettering: font sizes.
    Returns: x where the lettering ends.
    """
    notes = sorted(notes, key=lambda note: note.y)
    if not notes:
        return edge
    line = edge + 4.5
    picture.stroke(MEASURE, [(line, origin), (line, notes[-1].y)])
    ring = [
        (line + 0.7 * x, origin + 0.7 * y)
        for x, y in ((1, 0), (0.7, 0.7), (0, 1), (-0.7, 0.7), (-1, 0), (-0.7, -0.7), (0, -1), (0.7, -0.7))
    ]
    picture.stroke(MEASURE, ring, closed=True)
    pitch = 1.3 * lettering.plain_mm
    column = line + 4.2
    for note, y in zip(notes, spread([note.y for note in notes], pitch), strict=True):
        picture.stroke(MEASURE, [(note.x + GAP_MM, note.y), (line + 1.4, note.y), (column - 0.8, y)])
        if note.y - origin > head_mm(False):
            draw_head(picture, (line, note.y), (0.0, 1.0), False)
        picture.letter(column, y - lettering.plain_mm * 0.33, note.text, lettering.plain_mm, anchor="start")
    return column + max(text_width_mm(note.text, lettering.plain_mm) for note in notes)
