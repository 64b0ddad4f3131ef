"""The strip: a rule laid beside the calipers on what goes into a fit; where they end, it reads what to trim to.

True size, so it is drawn on paper alone: the trimming card and the template sheet place it. For the page there is the
same as a table (`matching.turn_table_of`).
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from wareboard.drawing.svg import OUTLINE, THIN, Sketch, text_width_mm
from wareboard.figures.matching import INCH_MM, TurnTable
from wareboard.figures.shown import Reader
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.quantities import METRIC

EDGE_MM = 9.0  # of each edge: its marks and their numbers
WORDS_MM = 9.0  # between the edges, for what it is and how it is used
NUMBER_MM, TEXT_MM = 3.2, 2.6
BEYOND_MM = 4.0  # of the strip, past its last mark
# Marks along an edge: how many of the finest make one, and how long it is; the longest have numbers.
MM_MARKS, INCH_MARKS = ((10, 4.5), (2, 3.0), (1, 1.8)), ((8, 4.5), (4, 3.4), (2, 2.6), (1, 1.8))


@frozen
class Strip:
    """A strip ready to be drawn: its size, and what it says for whoever can't see it."""

    table: TurnTable
    reader: Reader
    width_mm: float
    height_mm: float
    said: str


def strip_of(table: TurnTable, reader: Reader) -> Strip:
    """The strip of a fit.

    Args:
        table: what is turned to what, by `matching.turn_table_of`.
        reader: the studio's units, an edge for each.
    """
    ends = [place for system in reader.systems for place, *_rest in edge_marks(table, system)]
    width = max(ends) + BEYOND_MM
    height = EDGE_MM * len(reader.systems) + WORDS_MM
    first, last = table.turns[0], table.turns[-1]
    wettest, wettest_to, driest, driest_to = (
        str(reader.amounts(size_mm, "mm")[0]) for size_mm in (first.now_mm, first.to_mm, last.now_mm, last.to_mm)
    )
    said = _(
        "rule {width} mm long for the {size} of the {outside}: held beside the calipers, it reads what to trim to, from {wettest_to} where they read {wettest} to {driest_to} where they read {driest}"
    ).format(
        width=f"{width:.0f}",
        size=table.size_name,
        outside=table.outside,
        wettest=wettest,
        wettest_to=wettest_to,
        driest=driest,
        driest_to=driest_to,
    )
    return Strip(table, reader, width, height, said)


def draw_strip(sketch: Sketch, strip: Strip, left_mm: float = 0.0, bottom_mm: float = 0.0) -> None:
    """Draw a strip, true to size.

    Args:
        sketch: where it is drawn.
        strip: by `strip_of`.
        left_mm: where its zero end stands.
        bottom_mm: where its lower edge stands.
    """
    right, top = left_mm + strip.width_mm, bottom_mm + strip.height_mm
    corners = ((left_mm, bottom_mm), (right, bottom_mm), (right, top), (left_mm, top))
    sketch.stroke(THIN, corners, True)
    sketch.stroke(OUTLINE, ((left_mm, bottom_mm), (left_mm, top)))
    for edge, system in enumerate(strip.reader.systems):
        y, inward = (top, -1.0) if edge == 0 else (bottom_mm, 1.0)
        for place, length_mm, number in edge_marks(strip.table, system):
            x = left_mm + place
            sketch.stroke(THIN, ((x, y), (x, y + inward * length_mm)))
            if number:
                baseline = y + inward * (length_mm + 0.8) - (0.74 * NUMBER_MM if inward < 0.0 else 0.0)
                sketch.letter(x, baseline, number, NUMBER_MM, strong=True)
    room = strip.width_mm - 6.0
    middle = bottom_mm + strip.height_mm / 2.0 + (EDGE_MM / 2.0 if len(strip.reader.systems) == 1 else 0.0)
    words = (
        _("{outside}: {size}, trim to").format(outside=strip.table.outside, size=strip.table.size_name),
        _("One leg of the calipers at this end; read where the other stands."),
    )
    for line, text in enumerate(words):
        size = min(TEXT_MM, TEXT_MM * room / max(room, text_width_mm(text, TEXT_MM)))
        if size < 2.47:  # 7 pt; a short strip has its use said beside it
            continue
        sketch.letter(left_mm + 3.0, middle + 0.6 - line * 3.6, text, size, anchor="start", strong=line == 0)


def edge_marks(table: TurnTable, system: str) -> Iterator[tuple[float, float, str]]:
    """Every mark of one edge: how far it stands from the zero end, its length, and the number at it.

    A size to turn to stands at that size times the stretch: there the calipers end when it is what to turn to. The
    marks run to whole numbers beyond the wettest and the driest.

    Args:
        table: what is turned to what.
        system: metric, half millimetres; else thirty-seconds of an inch.
    Returns: place and length in mm, and the number or nothing, one at a time.
    Source: worked: a reading of size × stretch shrinks to that size; marks in whole steps between the table's ends.
    >>> from wareboard.pot.turning import Turn
    >>> table = TurnTable("lid", "lid", "flange", 100.0, (Turn(98.0, 78.4), Turn(95.0, 76.0)))
    >>> [(round(place, 2), number) for place, _, number in edge_marks(table, "metric") if number]
    [(93.75, '75'), (100.0, '80')]
    """
    metric = system == METRIC
    step_mm, marks = (0.5, MM_MARKS) if metric else (INCH_MM / 32.0, INCH_MARKS)
    longest = marks[0][0]
    sizes = [turn.to_mm / (step_mm * longest) for turn in table.turns]
    inches = Reader(systems=(system,))
    for count in range(floor(min(sizes)) * longest, ceil(max(sizes)) * longest + 1):
        every, length = next((every, length) for every, length in marks if count % every == 0)
        size_mm = count * step_mm
        number = "" if every != longest else f"{size_mm:.0f}" if metric else inches.amounts(size_mm, "mm")[0].number
        yield size_mm * table.stretch, length, number
