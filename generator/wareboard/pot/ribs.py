"""Profile ribs: a pot's outline as the edge of a flat tool that is held against the clay, with a hole to hold it by."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, fsum, pi, sin

from wareboard.pot.frozen import frozen
from wareboard.pot.outlines import Point, Polyline

HOLE_MM = 24.0  # a finger's; smaller on a low rib
LEAST_HOLE_MM = 6.0
RIM_MM = 8.0  # of material round the hole and behind the edge
CIRCLE_POINTS = 96
LOW_MM = 60.0
WORDS_MM = 44.0


@frozen
class Rib:
    """A rib lying flat, mm: its outer edge, against the clock, the centre and diameter of its hole, and where words go, from the upper left.

    The pot's axis is at 0 across; what the pot stands on is at 0 up.
    """

    edge: Polyline
    hole_at: Point
    hole_mm: float
    words_at: Point

    @property
    def hole(self) -> Polyline:
        """The hole's edge, with the clock; as many points as its area is right by to 0.1 %."""
        x, y = self.hole_at
        turns = (-2.0 * pi * k / CIRCLE_POINTS for k in range(CIRCLE_POINTS))
        return tuple((x + self.hole_mm / 2.0 * cos(turn), y + self.hole_mm / 2.0 * sin(turn)) for turn in turns)

    @property
    def area_mm2(self) -> float:
        """What the edge encloses less the hole."""
        return abs(ring_area_mm2(self.edge)) - pi * self.hole_mm**2 / 4.0


def profile_rib(outline: Sequence[Point]) -> Rib:
    """The rib for an outline.

    Args:
        outline: what is seen of the pot from the side, from the foot up, standing at 0, mm from the axis.
    Raises: ValueError, an outline with no height.
    >>> rib = profile_rib(((30.0, 0.0), (42.0, 95.0)))
    >>> rib.edge
    ((30.0, 0.0), (82.0, 0.0), (82.0, 95.0), (42.0, 95.0))
    """
    line = [point for point, before in zip(outline, (None, *outline)) if point != before]
    height, widest = line[-1][1], max(radius for radius, _ in line)
    if not height > 0.0:
        raise ValueError("an outline without a height has no rib")
    hole = min(HOLE_MM, max(LEAST_HOLE_MM, height - 2.0 * RIM_MM))
    low = height < LOW_MM  # then words go beside the hole, not below it
    back = widest + 2.0 * RIM_MM + hole + (WORDS_MM if low else 0.0)
    edge = (line[0], (back, line[0][1]), (back, height), *reversed(line[1:]))
    kept = [point for point, before in zip(edge, (edge[-1], *edge)) if point != before]
    hole_at = (widest + RIM_MM + hole / 2.0, height / 2.0)
    words_at = (
        (widest + RIM_MM, height / 2.0 - hole / 2.0)
        if not low
        else (widest + 1.5 * RIM_MM + hole, height / 2.0 + WORDS_MM / 9.0)
    )
    return Rib(tuple(kept), hole_at, hole, words_at)


def ring_area_mm2(ring: Sequence[Point]) -> float:
    """Area of a ring, over 0 against the clock.

    Args:
        ring: points, mm, closed from the last to the first.
    Source: the shoelace formula.
    >>> ring_area_mm2(((0.0, 0.0), (4.0, 0.0), (4.0, 3.0)))
    6.0
    """
    return fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2.0
