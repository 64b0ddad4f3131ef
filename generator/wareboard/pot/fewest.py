"""The fewest stations along a traced line: the shortest way from end to end over places at which a station may stand."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

_T = np.linspace(0.0, 1.0, 11)[1:-1]
_START, _END = 2 * _T**3 - 3 * _T**2 + 1, 3 * _T**2 - 2 * _T**3
_LEAVING, _ARRIVING = _T**3 - 2 * _T**2 + _T, _T**3 - _T**2
NEARNESS = 0.01  # of a station; of two ways of as many, the one that lies closer


def fewest_places(traced: Points, places: list[int], within_mm: float) -> list[int] | None:
    """The fewest of some places whose curve stays close to a line without corners.

    The curve between two stations depends on both of their neighbours and on nothing else, so that the shortest way over
    pairs of neighbours is the shortest of all. How far it lies off is taken along the line's normals.

    Args:
        traced: the line, (radius, height), mm.
        places: indices at which a station may stand, ascending; the first and the last are taken.
        within_mm: how far the curve may lie off, mm.
    Returns: the places that are taken; None where all of them are too few.
    Source: dynamic programming over pairs of neighbours; Perez and Vidal, Pattern Recognition Letters 15 (1994), from memory.
    >>> arc = np.column_stack((50.0 * np.cos(np.linspace(0, 1.2, 41)), 50.0 * np.sin(np.linspace(0, 1.2, 41))))
    >>> fewest_places(arc, list(range(0, 41, 2)), 0.5)[::2]
    [0, 40]
    """
    last = len(places) - 1
    points = traced[places]
    apart = points[None, :, :] - points[:, None, :]
    steps = np.hypot(apart[..., 0], apart[..., 1])
    secants = apart / np.where(steps > 0.0, steps, 1.0)[..., None]
    line = _Line(traced, places)
    if line.off(points, 0, last, secants[None, 0, last], secants[None, 0, last]).max() <= within_mm:
        return [places[0], places[last]]
    # What it costs to have come to a pair (j, k), by the station before j; and whence.
    cost = {(0, k): np.zeros(1) for k in range(1, last)}
    came: dict[tuple[int, int, int], int] = {}
    ends: list[tuple[float, int, int]] = []
    for j in range(last):
        for k in range(j + 1, last + 1):
            spent = cost.get((j, k))
            if spent is None or not np.isfinite(spent).any():
                continue
            after = np.arange(k + 1, last + 1)
            if j == 0:
                leaving = _end_slopes(steps[0, k], steps[k, after], secants[0, k], secants[k, after])[None]
            else:
                leaving = _slopes(steps[:j, j], steps[j, k], secants[:j, j], secants[j, k])[:, None]
            if k == last:
                arriving = _end_slopes(steps[j, k], steps[:j, j], secants[j, k], secants[:j, j])[:, None]
            else:
                arriving = _slopes(steps[j, k], steps[k, after], secants[j, k], secants[k, after])[None]
            off = line.off(points, j, k, leaving, arriving)
            total = np.where(off <= within_mm, spent[:, None] + 1.0 + NEARNESS * (off / within_mm) ** 2, np.inf)
            best = total.argmin(axis=0)
            least = total[best, np.arange(total.shape[1])]
            if k == last:
                ends.append((float(least[0]), j, int(best[0])))
                continue
            for number, following in enumerate(after):
                if np.isfinite(least[number]):
                    cost.setdefault((k, int(following)), np.full(k, np.inf))[j] = least[number]
                    came[j, k, int(following)] = int(best[number])
    if not ends or not np.isfinite(min(ends)[0]):
        return None
    _, j, i = min(ends)
    way = [last, j]
    if j > 0:
        way.append(i)
        while way[-1] > 0:
            way.append(came[way[-1], way[-2], way[-3]])
    return [places[number] for number in reversed(way)]


class _Line:
    """A traced line with its normals, by distance along it."""

    def __init__(self, traced: Points, places: list[int]) -> None:
        self.along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(traced, axis=0).T))))
        self.traced, self.at = traced, self.along[places]
        slopes = np.gradient(traced, self.along, axis=0)
        self.normals = np.column_stack((-slopes[:, 1], slopes[:, 0])) / np.hypot(*slopes.T)[:, None]

    def off(self, points: Points, j: int, k: int, leaving: Points, arriving: Points) -> Points:
        """How far the curve from one place to another lies off at the most, for each pair of slopes at its ends."""
        where = self.at[j] + _T * (self.at[k] - self.at[j])
        seen, normals = (np.column_stack([np.interp(where, self.along, line[:, axis]) for axis in (0, 1)]) for line in (self.traced, self.normals))  # fmt: skip
        step = float(np.hypot(*(points[k] - points[j])))
        still = ((np.outer(_START, points[j]) + np.outer(_END, points[k]) - seen) * normals).sum(axis=1)
        off: Points = np.abs(
            still + (leaving @ normals.T) * (step * _LEAVING) + (arriving @ normals.T) * (step * _ARRIVING)
        ).max(axis=-1)
        return off


def _slopes(before: Points, after: Points, first: Points, second: Points) -> Points:
    """Slopes of the curve at a station between two others; see `outlines.pchip_slopes`."""
    h0, h1 = np.asarray(before)[..., None], np.asarray(after)[..., None]
    one, other = 2.0 * h1 + h0, h1 + 2.0 * h0
    turning = first * second <= 0.0
    safe_first, safe_second = np.where(turning, 1.0, first), np.where(turning, 1.0, second)
    slopes: Points = np.where(turning, 0.0, (one + other) / (one / safe_first + other / safe_second))
    return slopes


def _end_slopes(near_step: Points, next_step: Points, near: Points, beyond: Points) -> Points:
    """Slopes of the curve at its end; see `outlines.pchip_slopes`."""
    h0, h1 = np.asarray(near_step)[..., None], np.asarray(next_step)[..., None]
    slope = ((2.0 * h0 + h1) * near - h0 * beyond) / (h0 + h1)
    steep = (near * beyond <= 0.0) & (np.abs(slope) > 3.0 * np.abs(near))
    slopes: Points = np.where(slope * near <= 0.0, 0.0, np.where(steep, 3.0 * near, slope))
    return slopes
