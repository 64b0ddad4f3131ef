"""Where a line meets itself, and the edge of the free space beside one that does.

A line is cut into runs that only rise or only fall, seen along a sweep that is a little askew, so that no level edge is
either. Within a run nothing meets; two runs meet where their difference changes its sign. What touches without crossing is
left to the geometry library.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil, floor
from typing import NamedTuple

from wareboard.pot.reckoning import Line, np

_NEAR_MM = 1e-9
_ASKEW = 0.01732  # of the sweep: no maker draws an edge that leans just so
_MOST_RUNS = 16  # beyond, the geometry library is quicker


class _Run(NamedTuple):
    """A stretch of a line, from its lowest along the sweep to its highest: places there, radii, its two ends in the line."""

    along: Line
    radii: Line
    first: int
    last: int
    rises: bool

    def place(self, along: float) -> float:
        """A place along the sweep as an index into the line, with its share of an edge."""
        edge = min(max(int(self.along.searchsorted(along)), 1), len(self.along) - 1)
        low, high = self.along.item(edge - 1), self.along.item(edge)
        index = edge - 1 + (along - low) / (high - low)
        return self.first + index if self.rises else self.last - index


def _runs(line: Line) -> list[_Run] | None:
    """A line's runs; None where an edge runs across the sweep, or there are too many."""
    radii = line[:, 0]
    along = line[:, 1] + _ASKEW * radii
    rises = along[1:] > along[:-1]
    if not (rises | (along[1:] < along[:-1])).all():
        return None
    ends = [0, *(np.flatnonzero(rises[1:] != rises[:-1]) + 1).tolist(), len(rises)]
    if len(ends) > _MOST_RUNS + 1:
        return None
    runs = []
    for first, last in pairwise(ends):
        up = rises.item(first)
        piece = slice(first, last + 1)
        runs.append(_Run(along[piece] if up else along[piece][::-1], radii[piece] if up else radii[piece][::-1], first, last, up))  # fmt: skip
    return runs


def _knots(one: _Run, other: _Run, low: float, high: float) -> tuple[Line, Line]:
    """The first run's places between two along the sweep, and how much farther out it is there than the other."""
    first, last = one.along.searchsorted(low), one.along.searchsorted(high, "right")
    at = one.along[first:last]
    return at, one.radii[first:last] - np.interp(at, other.along, other.radii)


def is_simple(line: Line, *, closed: bool = False) -> bool:
    """Whether a line meets itself nowhere.

    Args:
        line: points.
        closed: it goes on from its last point to its first.
    """
    import shapely

    return bool(shapely.is_simple((shapely.linearrings if closed else shapely.linestrings)(line)))


def left_edge(line: Line) -> Line | None:
    """The edge of the space on the left of a line, from its first point to its last, without the loops that it makes.

    From its first point on one goes along the line, and at each crossing turns left.

    Args:
        line: points, no two neighbours the same.
    Returns: the edge, with a point at each crossing that it turns at; None where parts of the line only touch, it goes to and
        fro too often, or the edge comes back to its start or by a crossing twice.
    >>> left_edge(np.array([(4.0, 0.0), (4.0, 4.0), (6.0, 4.0), (6.0, 2.0), (3.0, 2.0), (3.0, 9.0)])).tolist()
    [[4.0, 0.0], [4.0, 2.0], [3.0, 2.0], [3.0, 9.0]]
    """
    runs = _runs(line)
    found = None if runs is None else _crossings(runs)
    if found is None:
        return None
    crossings = sorted([*found, *((other, place) for place, other in found)])
    pieces, place, forward, turned_at = [line[:1]], 0.0, True, set()
    while place not in turned_at:
        turned_at.add(place)
        ahead = [crossing for crossing in crossings if (crossing[0] > place if forward else crossing[0] < place)]
        if not ahead:
            return np.concatenate([*pieces, line[floor(place) + 1 :]]) if forward else None
        met, other = ahead[0] if forward else ahead[-1]
        between = line[floor(place) + 1 : ceil(met)] if forward else line[floor(met) + 1 : ceil(place)][::-1]
        (r0, z0), (r1, z1) = line[floor(met) : floor(met) + 2].tolist()
        share = met - floor(met)
        pieces += [between, np.array([(r0 + (r1 - r0) * share, z0 + (z1 - z0) * share)])]
        (r2, z2), (r3, z3) = line[floor(other) : floor(other) + 2].tolist()
        turns_left = (r1 - r0) * (z3 - z2) - (z1 - z0) * (r3 - r2) > 0.0
        place, forward = other, turns_left == forward
    return None


def _crossings(runs: list[_Run]) -> list[tuple[float, float]] | None:
    """Where runs cross: the place on either of the two, as an index with its share of an edge; None where some only touch."""
    found = []
    for k, one in enumerate(runs):
        for m in range(k + 1, len(runs)):
            other = runs[m]
            low, high = max(one.along.item(0), other.along.item(0)), min(one.along.item(-1), other.along.item(-1))
            if low > high:
                continue
            (at, mine), (at_other, theirs) = _knots(one, other, low, high), _knots(other, one, low, high)
            # Neighbours share the point in which the line turns.
            shared = slice(1 if m == k + 1 and not one.rises else None, -1 if m == k + 1 and one.rises else None)
            at, gaps = np.concatenate([at[shared], at_other[shared]]), np.concatenate([mine[shared], -theirs[shared]])
            if not len(gaps) or np.abs(gaps).min() <= _NEAR_MM:
                return None
            if gaps.min() > 0.0 or gaps.max() < 0.0:
                continue
            order = at.argsort()
            at, gaps = at[order], gaps[order]
            for cut in np.flatnonzero((gaps[1:] > 0.0) != (gaps[:-1] > 0.0)).tolist():
                (a, b), (before, after) = at[cut : cut + 2].tolist(), gaps[cut : cut + 2].tolist()
                along = a + (b - a) * before / (before - after)
                found.append((one.place(along), other.place(along)))
    return found
