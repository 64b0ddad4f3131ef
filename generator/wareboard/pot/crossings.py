"""Where a line meets itself, and the edge of the free space beside one that does.

A line is cut into runs that only rise or only fall, seen along a sweep that is a little askew, so that no level edge is
either. Within a run nothing meets; two runs meet where their difference changes its sign. What touches without crossing is
left to the geometry library.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from math import ceil, floor
from typing import NamedTuple

from wareboard.pot.reckoning import Line, least_of, most_of, np

_NEAR_MM = 1e-9
_ASKEW = 0.01732  # of the sweep: no maker draws an edge that leans just so
_MOST_RUNS = 16  # beyond, the geometry library is quicker


class _Run(NamedTuple):
    """A stretch of a line, from its lowest along the sweep to its highest: places there, radii, its two ends in the line, and where it lies."""

    along: Line
    radii: Line
    first: int
    last: int
    rises: bool
    low: float
    high: float
    left: float
    right: float

    def place(self, along: float) -> float:
        """A place along the sweep as an index into the line, with its share of an edge."""
        edge = min(max(int(self.along.searchsorted(along)), 1), len(self.along) - 1)
        low, high = self.along.item(edge - 1), self.along.item(edge)
        index = edge - 1 + (along - low) / (high - low)
        return self.first + index if self.rises else self.last - index

    def between(self, low: float, high: float) -> tuple[int, int]:
        """Its points between two places along the sweep."""
        first = 0 if low <= self.low else int(self.along.searchsorted(low))
        return first, len(self.along) if high >= self.high else int(self.along.searchsorted(high, "right"))


def _runs(line: Line) -> list[_Run] | None:
    """A line's runs; None where an edge runs across the sweep, or there are too many."""
    radii = line[:, 0].copy()
    along = line[:, 1] + _ASKEW * radii
    steps = along[1:] - along[:-1]
    if not steps.all():
        return None
    rises = steps > 0.0
    ends = [0, *((rises[1:] != rises[:-1]).nonzero()[0] + 1).tolist(), len(rises)]
    if len(ends) > _MOST_RUNS + 1:
        return None
    runs = []
    for first, last in pairwise(ends):
        piece, places = radii[first : last + 1], along[first : last + 1]
        start, end = along.item(first), along.item(last)
        if start < end:
            runs.append(_Run(places, piece, first, last, True, start, end, least_of(piece), most_of(piece)))
        else:
            runs.append(_Run(places[::-1], piece[::-1], first, last, False, end, start, least_of(piece), most_of(piece)))  # fmt: skip
    return runs


def _apart(one: _Run, other: _Run) -> bool:
    """Whether all of one run lies on one side of the next, but for the point in which the line turns."""
    turn = one.radii.item(-1 if one.rises else 0)
    if one.right == turn == other.left:
        return 1 in (np.count_nonzero(one.radii > turn - _NEAR_MM), np.count_nonzero(other.radii < turn + _NEAR_MM))
    if one.left == turn == other.right:
        return 1 in (np.count_nonzero(one.radii < turn + _NEAR_MM), np.count_nonzero(other.radii > turn - _NEAR_MM))
    return False


def is_simple(line: Line, *, closed: bool = False) -> bool:
    """Whether a line meets itself nowhere.

    Args:
        line: points.
        closed: it goes on from its last point to its first.
    """
    import shapely

    return bool(shapely.is_simple(shapely.linestrings(np.concatenate([line, line[:1]]) if closed else line)))


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
    for one, other in combinations(runs, 2):
        low, high = max(one.low, other.low), min(one.high, other.high)
        if low > high or one.right < other.left - _NEAR_MM or one.left > other.right + _NEAR_MM:
            continue
        (first, last), (other_first, other_last) = one.between(low, high), other.between(low, high)
        if one.last == other.first:  # neighbours share the point in which the line turns
            if _apart(one, other):
                continue
            if one.rises:
                last, other_last = last - 1, other_last - 1
            else:
                first, other_first = first + 1, other_first + 1
        at, at_other = one.along[first:last], other.along[other_first:other_last]
        # How much farther out the first is than the second, where either has a point.
        gaps = np.concatenate([one.radii[first:last] - np.interp(at, other.along, other.radii), np.interp(at_other, one.along, one.radii) - other.radii[other_first:other_last]])  # fmt: skip
        if not len(gaps):
            return None
        least, most = least_of(gaps), most_of(gaps)
        if least > _NEAR_MM or most < -_NEAR_MM:
            continue
        if least_of(np.abs(gaps)) <= _NEAR_MM:
            return None
        at = np.concatenate([at, at_other])
        order = at.argsort(kind="stable")  # two lines in order, laid into each other
        at, gaps = at[order], gaps[order]
        out = gaps > 0.0
        for cut in (out[1:] != out[:-1]).nonzero()[0].tolist():
            (a, b), (before, after) = at[cut : cut + 2].tolist(), gaps[cut : cut + 2].tolist()
            along = a + (b - a) * before / (before - after)
            found.append((one.place(along), other.place(along)))
    return found
