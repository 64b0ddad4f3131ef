"""How thick the clay is at its thinnest, base and all or in the wall alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wareboard.pot.outlines import Point, Polyline, as_line


def least_thickness_mm(outside: Polyline, inside: Polyline, underside: Polyline = ()) -> float:
    """Shortest distance from a part's inside to its outside and its base.

    Args:
        outside: from the foot up to the rim, mm.
        inside: from the axis at the floor up to the rim, mm.
        underside: a turned recess, from the centre out; else the base is level.
    Returns: mm.
    Source: plane geometry (shapely).
    >>> least_thickness_mm(((30.0, 0.0), (30.0, 90.0)), ((0.0, 5.0), (26.0, 5.0), (26.0, 90.0)))
    4.0
    """
    import shapely

    base = underside if underside and underside[0][0] == 0.0 else ((0.0, outside[0][1]), *underside)
    lines = [shapely.linestrings(as_line(line)) for line in ((*base, *outside), inside)]
    return float(shapely.distance(*lines))


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
    import shapely

    return float(shapely.distance(*(shapely.linestrings(as_line(line)) for line in (outside, inside))))


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
    points = as_line(line)
    steps, away = np.diff(points, axis=0), np.asarray(point) - points[:-1]
    lengths = np.maximum((steps * steps).sum(axis=1), 1e-18)
    share = np.clip((away * steps).sum(axis=1) / lengths, 0.0, 1.0)
    gap = away - steps * share[:, None]
    return float(np.hypot(gap[:, 0], gap[:, 1]).min())
