"""Where a line meets itself, and the edge of the free space beside one that does.

Most lines only rise, and meet nothing. Where one turns back it comes to some levels more than once: there alone it can meet
itself, and the edges that do are among those whose heights and radii overlap. What touches without crossing is left to the
geometry library.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from math import ceil, floor

from wareboard.pot.outlines import as_complex
from wareboard.pot.reckoning import Line, Places, np

_NEAR_MM = 1e-9
_FEW = 12  # edges that are held against each other as they are
_MOST_BESIDE = 100  # other edges to an edge at its levels, beyond which the geometry library is quicker
_MOST_LOOPS = 20


def _edges_in_folds(line: Line) -> Places:
    """The edges, by number, at whose levels a line is more than once, and those beside them: the others meet nothing."""
    heights = line[:, 1]
    again = np.maximum.accumulate(heights[:-1]) >= np.minimum.accumulate(heights[:0:-1])[::-1] - _NEAR_MM
    wide = again.copy()
    wide[1:] |= again[:-1]
    wide[:-1] |= again[1:]
    return wide.nonzero()[0]


def _pairs(line: Line, edges: Places) -> Iterable[tuple[int, int]] | None:
    """Those pairs of edges whose heights and radii overlap; of few edges all; None where they lie beside too many."""
    if len(edges) <= _FEW:
        return combinations(edges.tolist(), 2)
    starts, ends = line[edges], line[edges + 1]
    lows, highs = np.minimum(starts, ends) - _NEAR_MM, np.maximum(starts, ends)
    order = lows[:, 1].argsort()
    (left, low), (right, high) = lows[order].T, highs[order].T
    behind = np.arange(1, len(edges) + 1)
    counts = low.searchsorted(high, "right") - behind  # of edges that begin, going up, before this one ends
    total = int(counts.sum())
    if total > len(edges) * _MOST_BESIDE:
        return None
    one = (behind - 1).repeat(counts)
    other = np.arange(total) + (behind - counts.cumsum() + counts).repeat(counts)
    beside = ((left[one] <= right[other]) & (left[other] <= right[one])).nonzero()[0]
    edges = edges[order]
    return zip(edges[one[beside]].tolist(), edges[other[beside]].tolist())


def _crossings(line: Line) -> list[tuple[float, float]] | None:
    """Where a line crosses itself: either place, as an index with its share of an edge; None where it only touches, or does so too often."""
    edges = _edges_in_folds(line)
    pairs = _pairs(line, edges)
    if pairs is None:
        return None
    found: list[tuple[float, float]] = []
    first = int(edges[0]) if len(edges) else 0
    at = as_complex(line[first : int(edges[-1]) + 2] if len(edges) else line[:0]).tolist()
    for one, other in pairs:
        if -2 < one - other < 2:
            continue
        a, b, c, d = at[one - first], at[one - first + 1], at[other - first], at[other - first + 1]
        # How far either edge's ends lie to the left of the other, times that one's length.
        along, reach = (b - a).conjugate(), _NEAR_MM * abs(b - a)
        start, end = (along * (c - a)).imag, (along * (d - a)).imag
        if (start > reach and end > reach) or (start < -reach and end < -reach):
            continue
        along, other_reach = (d - c).conjugate(), _NEAR_MM * abs(d - c)
        other_start, other_end = (along * (a - c)).imag, (along * (b - c)).imag
        if (other_start > other_reach and other_end > other_reach) or (other_start < -other_reach and other_end < -other_reach):  # fmt: skip
            continue
        touches = min(abs(start), abs(end)) <= reach or min(abs(other_start), abs(other_end)) <= other_reach
        if touches or len(found) == _MOST_LOOPS:
            return None
        found.append((one + other_start / (other_start - other_end), other + start / (start - end)))
    return found


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
    Returns: the edge, with a point at each crossing that it turns at; the very line where it makes no loop; None where parts
        of it only touch, it goes to and fro too often, or the edge comes back to its start or by a crossing twice.
    >>> left_edge(np.array([(4.0, 0.0), (4.0, 4.0), (6.0, 4.0), (6.0, 2.0), (3.0, 2.0), (3.0, 9.0)])).tolist()
    [[4.0, 0.0], [4.0, 2.0], [3.0, 2.0], [3.0, 9.0]]
    """
    found = _crossings(line)
    if not found:
        return None if found is None else line
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
