"""How thick the clay is at its thinnest, base and all or in the wall alone."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist
from typing import NamedTuple

from wareboard.pot.outlines import Point, Polyline, as_complex, as_line
from wareboard.pot.reckoning import Line, np

# Where fewer distances than this are to be looked at, all are: loading the geometry library takes longer.
FEW = 20_000


class Thinnest(NamedTuple):
    """Where the clay is thinnest: how thick, mm, and the two points, on the inside and on the outside or the base."""

    thickness_mm: float
    inside: Point
    outside: Point


def thinnest(outside: Polyline, inside: Polyline, underside: Polyline = ()) -> Thinnest:
    """The place at which a part's inside comes nearest to its outside and its base.

    Two lines that don't cross are nearest at a corner of one of them.

    Args:
        outside: from the foot up to the rim, mm.
        inside: from the axis at the floor up to the rim, mm.
        underside: a turned recess, from the centre out; else the base is level.
    Returns: thickness and the two points.
    Source: plane geometry.
    >>> thinnest(((30.0, 0.0), (28.0, 90.0)), ((0.0, 5.0), (25.0, 5.0), (26.5, 90.0))).outside[1] > 85.0
    True
    """
    base = underside if underside and underside[0][0] == 0.0 else ((0.0, outside[0][1]), *underside)
    shell, within = np.concatenate((as_line(base), as_line(outside))), as_line(inside)
    if len(shell) * len(within) > FEW:
        on_inside, on_shell = _shortest(within, shell)
    else:
        corner, on_shell = _nearest(within, shell)
        other, on_inside = _nearest(shell, within)
        if dist(corner, on_shell) <= dist(other, on_inside):
            on_inside = corner
        else:
            on_shell = other
    return Thinnest(dist(on_inside, on_shell), on_inside, on_shell)


def _shortest(line: Polyline | Line, other: Polyline | Line) -> tuple[Point, Point]:
    """The two points, one on each line, at which two lines are nearest; quicker among many points than looking at all."""
    import shapely

    one, two = (shapely.linestrings(as_line(points)) for points in (line, other))
    shapely.prepare(one)
    (r0, z0), (r1, z1) = shapely.get_coordinates(shapely.shortest_line(one, two)).tolist()
    return (r0, z0), (r1, z1)


def _nearest(points: Line, ends: Line) -> tuple[Point, Point]:
    """The corner that is nearest to a line, and the point of the line that is nearest to it."""
    (r, z), (r0, z0), (along_r, along_z) = points.T[:, :, None], ends[:-1].T, (ends[1:] - ends[:-1]).T
    squared = np.maximum(along_r * along_r + along_z * along_z, 1e-18)
    part = ((r - r0) * along_r + (z - z0) * along_z) / squared
    np.minimum(np.maximum(part, 0.0, out=part), 1.0, out=part)
    away_r, away_z = r - (r0 + part * along_r), z - (z0 + part * along_z)
    corner, step = divmod(int((away_r * away_r + away_z * away_z).argmin()), len(along_r))
    share = part[corner, step]
    found = float(r0[step] + share * along_r[step]), float(z0[step] + share * along_z[step])
    return (float(points[corner, 0]), float(points[corner, 1])), found


def least_thickness_mm(outside: Polyline, inside: Polyline, underside: Polyline = ()) -> float:
    """Shortest distance from a part's inside to its outside and its base.

    Args:
        outside: from the foot up to the rim, mm.
        inside: from the axis at the floor up to the rim, mm.
        underside: a turned recess, from the centre out; else the base is level.
    Returns: mm.
    Source: plane geometry.
    >>> least_thickness_mm(((30.0, 0.0), (30.0, 90.0)), ((0.0, 5.0), (26.0, 5.0), (26.0, 90.0)))
    4.0
    """
    return thinnest(outside, inside, underside).thickness_mm


def least_wall_mm(outside: Polyline, inside: Polyline) -> float:
    """Shortest distance from a part's inside to its outside, whatever its base does.

    Args:
        outside: from the foot up to the rim, mm.
        inside: from the axis at the floor up to the rim, mm.
    Returns: mm.
    Source: plane geometry (shapely).
    >>> least_wall_mm(((30.0, 0.0), (30.0, 90.0)), ((0.0, 2.0), (26.0, 2.0), (26.0, 90.0)))
    4.0
    """
    return dist(*_shortest(outside, inside))


def distance_mm(point: Point, line: Sequence[Point]) -> float:
    """Shortest distance from a point to a line.

    Args:
        point: mm.
        line: two points or more, mm.
    Returns: mm.
    Source: plane geometry.
    >>> distance_mm((30.0, 40.0), ((26.0, 5.0), (26.0, 90.0)))
    4.0
    """
    at = as_complex(as_line(line))
    steps, away = at[1:] - at[:-1], complex(*point) - at[:-1]
    along = away * steps.conj() / np.maximum((steps * steps.conj()).real, 1e-18)
    share = np.minimum(np.maximum(along.real, 0.0), 1.0)
    return float(np.abs(away - steps * share).min())
