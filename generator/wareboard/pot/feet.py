"""Turned feet: the ring that a pot stands on, the recess inside it, and what is left of the floor."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from wareboard.pot.frozen import frozen
from wareboard.pot.outlines import Point, as_line
from wareboard.pot.reckoning import np

_CORNER_MM = 0.1  # a recess whose line stands no farther off a plain cone has no corner


@frozen
class Foot:
    """A turned foot, mm: its ring across, its recess, and the floor at the centre (None for a solid part)."""

    outside_mm: float
    inside_mm: float
    depth_mm: float
    depth_at_ring_mm: float
    recess_mm: float
    floor_mm: float | None

    @property
    def width_mm(self) -> float:
        """The ring's width, a side."""
        return (self.outside_mm - self.inside_mm) / 2.0


def turned_foot(outside: Sequence[Point], underside: Sequence[Point], inside: Sequence[Point] = ()) -> Foot:
    """What a foot is turned to.

    The ring goes from the recess' edge out to the outside's first point. The recess is as deep as it lies above the
    lowest point. Its depth at the ring is that of its corner: the point that stands farthest off the straight
    line from its centre to its edge; a plain cone has none, and is measured at its centre.

    Args:
        outside: from the foot up, mm.
        underside: the recess, from the centre out, two points or more, mm.
        inside: from the axis at the floor up, mm; none for a solid part.
    Returns: the foot.
    Source: common practice.
    >>> foot = turned_foot(((30.0, 0.0), (32.0, 40.0)), ((0.0, 7.0), (20.0, 6.0), (24.0, 0.0)), ((0.0, 12.0), (26.0, 15.0)))
    >>> foot.outside_mm, foot.inside_mm, foot.width_mm, foot.depth_mm, foot.depth_at_ring_mm, foot.recess_mm, foot.floor_mm
    (60.0, 48.0, 6.0, 7.0, 6.0, 40.0, 5.0)
    """
    recess = as_line(underside)
    lowest = float(min(as_line(outside)[:, 1].min(), recess[:, 1].min()))
    (r0, z0), (r1, z1) = (0.0, underside[0][1]), underside[-1]
    off_the_cone = np.abs((r1 - r0) * (recess[:, 1] - z0) - (z1 - z0) * (recess[:, 0] - r0))
    at = int(off_the_cone.argmax())
    corner = underside[at if off_the_cone[at] >= _CORNER_MM * hypot(r1 - r0, z1 - z0) else 0]
    return Foot(
        2.0 * outside[0][0], 2.0 * r1, z0 - lowest, corner[1] - lowest, 2.0 * corner[0],
        inside[0][1] - z0 if inside else None,
    )  # fmt: skip
