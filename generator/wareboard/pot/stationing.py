"""A traced half section to the fewest stations whose curve stays close to it, named as a potter would."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wareboard.pot.frozen import frozen
from wareboard.pot.measured import Stations
from wareboard.pot.outlines import Point, pchip_slopes

Points = NDArray[np.float64]

CORNER_DEG = 20.0
CORNER_REACH_MM = 3.0
MOST_STATIONS = 24
MOST_PLACES = 180  # looked at while stations are chosen; the miss that is told is of all
MOST_TRIED = 32  # of them, evenly spread from corner to corner, when the fewest are looked for
SHORTEST_SHARES = (1.0, 0.9, 0.75)  # of what may be missed; it is looked for along normals, which is near but not all
ROUND_DIGITS = 1  # a station's sizes to 0.1 mm

_T = np.linspace(0.0, 1.0, 11)[1:-1]
_START, _END = 2 * _T**3 - 3 * _T**2 + 1, 3 * _T**2 - 2 * _T**3
_LEAVING, _ARRIVING = _T**3 - 2 * _T**2 + _T, _T**3 - _T**2
NEARNESS = 0.01  # of a station; of two ways of as many, the one that lies closer


@frozen
class Fitted:
    """Stations, and how far the curve through them misses what was traced at the most, mm and at which height."""

    stations: Stations
    largest_miss_mm: float
    miss_at_mm: float


def fewest_stations(meridian: Points, within_mm: float) -> Fitted:
    """The fewest stations whose curve stays within a distance of a traced half section.

    Corners are found first. Between two of them a station is added where the curve misses most, until it misses nowhere by
    more; then each is taken out that is not needed. That is a good choice, but not yet the fewest: those are the shortest
    way from corner to corner over these stations, those close by, and many in between.

    Args:
        meridian: (radius, height) from the foot up, mm.
        within_mm: how far the curve may miss, mm, > 0.
    Returns: stations, rounded to 0.1 mm; where 24 are not enough, the best 24.
    Raises: ValueError, fewer than two places.
    >>> cone = np.column_stack((np.linspace(30.0, 42.0, 50), np.linspace(0.0, 95.0, 50)))
    >>> fewest_stations(cone, 0.4).stations.points
    ((30.0, 0.0), (42.0, 95.0))
    """
    if len(meridian) < 2:
        raise ValueError("a half section has two places or more")
    finer = thinned(meridian)
    aim = 0.9 * within_mm  # rounding takes its part
    for places in (MOST_PLACES, 2 * MOST_PLACES):
        fitted = _fitted(thinned(meridian, places), finer, aim)
        if fitted.largest_miss_mm <= within_mm:
            break
        aim *= 0.75
    return fitted


def _fitted(traced: Points, finer: Points, aim: float) -> Fitted:
    corners = _corners(traced)
    traced = _calmed(traced, corners)
    picked = sorted({0, len(traced) - 1, *corners})
    if _misses(traced, picked, corners).max() > aim:
        picked = sorted(
            {*picked, *_extremes(traced, aim)}
        )  # there the curve turns back, which it does at stations only
    while len(picked) < MOST_STATIONS:
        misses = _misses(traced, picked, corners)
        if misses.max() <= aim:
            break
        worst = _worst_free(misses, picked)
        if worst is None:
            break
        picked = _shifted(traced, sorted({*picked, worst}), corners, aim)
    picked = _pruned(traced, picked, corners, aim)
    picked = _shortest(traced, picked, corners, aim)
    points = tuple((round(float(traced[k][0]), ROUND_DIGITS), round(float(traced[k][1]), ROUND_DIGITS)) for k in picked)
    sharp = frozenset(place for place, k in enumerate(picked) if k in corners)
    stations = Stations(_names(points, sharp), points, sharp, _bends(traced, picked, aim))
    off = _distances(finer, np.array(stations.outline()))
    return Fitted(stations, float(off.max()), float(finer[int(off.argmax())][1]))


def thinned(meridian: Points, most: int = 500) -> Points:
    """Places no closer together than the length over a number of them, ends kept; what lies twice in one place once.

    Args:
        meridian: points, mm.
        most: how many there may be.
    """
    steps = np.hypot(*np.diff(meridian, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    if not along[-1] > 0.0:
        return meridian[:1]
    least = along[-1] / most
    kept, last = [0], 0.0
    for place in range(1, len(meridian)):
        if along[place] - last >= least:
            kept.append(place)
            last = along[place]
    if kept[-1] != len(meridian) - 1:
        kept = [
            *(kept[:-1] if len(kept) > 1 and along[-1] - along[kept[-1]] < 0.5 * least else kept),
            len(meridian) - 1,
        ]
    return meridian[kept]


def _corners(traced: Points) -> set[int]:
    """Where the line turns sharply: the turn from a short way before to a short way after."""
    steps = np.hypot(*np.diff(traced, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    reach = min(CORNER_REACH_MM, along[-1] / 12.0)
    turns = np.zeros(len(traced))
    for place in range(1, len(traced) - 1):
        if along[place] < 0.4 * reach or along[-1] - along[place] < 0.4 * reach:
            continue
        before = traced[(along >= along[place] - reach) & (along <= along[place])]
        after = traced[(along >= along[place]) & (along <= along[place] + reach)]
        turns[place] = _turn_deg(traced[place], before, after)
    found: set[int] = set()
    for place in np.argsort(turns)[::-1]:
        if turns[place] < CORNER_DEG:
            break
        if all(abs(along[place] - along[other]) > reach for other in found):
            # A round turn keeps turning in a nearer look; a corner does it all at once.
            near = 0.35 * reach
            before = traced[(along >= along[place] - near - 0.3 * near) & (along <= along[place] - 0.3 * near)]
            after = traced[(along >= along[place] + 0.3 * near) & (along <= along[place] + near + 0.3 * near)]
            if len(before) > 1 and len(after) > 1 and _between_deg(before, after) > 0.7 * turns[place]:
                found.add(int(place))
    return found


def _calmed(traced: Points, corners: set[int]) -> Points:
    """Places on a parabola through their neighbours, so that grain makes no bellies; corners and ends stay."""
    calm = traced.copy()
    weights = (
        np.array([-3.0, 12.0, 17.0, 12.0, -3.0]) / 35.0
    )  # Savitzky & Golay, Analytical Chemistry 36 (1964), from memory
    held = {0, 1, len(traced) - 2, len(traced) - 1, *(k + step for k in corners for step in (-1, 0, 1))}
    for _ in range(3):
        smooth = sum(weight * np.roll(calm, 2 - place, axis=0) for place, weight in enumerate(weights))
        free = [k for k in range(len(traced)) if k not in held]
        calm[free] = smooth[free]
    return calm


def _turn_deg(corner: Points, before: Points, after: Points) -> float:
    if len(before) < 2 or len(after) < 2:
        return 0.0
    one, other = corner - before[:-1].mean(axis=0), after[1:].mean(axis=0) - corner
    return _angle_deg(one, other)


def _between_deg(before: Points, after: Points) -> float:
    return _angle_deg(before[-1] - before[0], after[-1] - after[0])


def _angle_deg(one: Points, other: Points) -> float:
    size = float(np.hypot(*one) * np.hypot(*other))
    if size == 0.0:
        return 0.0
    return float(np.degrees(np.arccos(np.clip(float(one @ other) / size, -1.0, 1.0))))


def _curve(traced: Points, picked: list[int], corners: set[int]) -> Points:
    """The fair curve through stations, cut coarsely: a twelfth of a span is near enough to choose by."""
    points = traced[picked]
    if len(points) < 3:
        return points
    ends = [0, *(place for place, k in enumerate(picked[1:-1], 1) if k in corners), len(picked) - 1]
    pieces = []
    for first, last in pairwise(ends):
        run = points[first : last + 1]
        steps = np.hypot(*np.diff(run, axis=0).T)
        lines = [_hermite(steps, run[:, axis]) for axis in (0, 1)]
        pieces.append(np.column_stack(lines))
    return np.vstack([*pieces, points[-1:]])


_SHARE = np.linspace(0.0, 1.0, 12, endpoint=False)
_BASIS = np.array(
    [
        2 * _SHARE**3 - 3 * _SHARE**2 + 1,
        _SHARE**3 - 2 * _SHARE**2 + _SHARE,
        3 * _SHARE**2 - 2 * _SHARE**3,
        _SHARE**3 - _SHARE**2,
    ]
)


def _hermite(steps: Points, values: Points) -> Points:
    """Twelve values a span of the monotone cubic through values."""
    slopes = np.array(pchip_slopes(steps.tolist(), values.tolist()))
    knots = np.stack((values[:-1], steps * slopes[:-1], values[1:], steps * slopes[1:]))
    values_between: Points = (knots.T @ _BASIS).ravel()
    return values_between


def _misses(traced: Points, picked: list[int], corners: set[int]) -> Points:
    return _distances(traced, _curve(traced, picked, corners))


def _distances(points: Points, line: Points) -> Points:
    """How far each point lies from a polyline."""
    (sx, sy), (rx, ry) = line[:-1].T, np.diff(line, axis=0).T
    square = np.maximum(rx * rx + ry * ry, 1e-18)
    dx, dy = points[:, :1] - sx, points[:, 1:] - sy
    share = np.clip((dx * rx + dy * ry) / square, 0.0, 1.0)
    dx -= share * rx
    dy -= share * ry
    off: Points = np.sqrt((dx * dx + dy * dy).min(axis=1))
    return off


def _worst_free(misses: Points, picked: list[int]) -> int | None:
    """The place that is missed most and lies beside no station."""
    free = misses.copy()
    for place in picked:
        free[max(0, place - 2) : place + 3] = 0.0
    worst = int(free.argmax())
    return worst if free[worst] > 0.0 else None


def _pruned(traced: Points, picked: list[int], corners: set[int], aim: float) -> list[int]:
    """Without every station that the curve can do without, the least needed first."""
    while len(picked) > 2:
        trials = []
        for place in picked[1:-1]:
            rest = [other for other in picked if other != place]
            miss = float(_misses(traced, rest, corners - {place}).max())
            trials.append((miss, place))
        miss, place = min(trials)
        if miss > aim:
            return picked
        picked = [other for other in picked if other != place]
        corners.discard(place)
    return picked


def _shortest(traced: Points, picked: list[int], corners: set[int], aim: float) -> list[int]:
    """The fewest stations of all that may be, corners kept; those that are picked where there are none fewer."""
    held = [0, *sorted(corners & set(picked)), len(traced) - 1]
    held = sorted(set(held))
    for share in SHORTEST_SHARES:
        found = [0]
        for first, last in pairwise(held):
            may = {round(at) for at in np.linspace(first, last, min(MOST_TRIED, last - first + 1))}
            may |= {k + step for k in picked for step in (-2, 0, 2)}
            way = fewest_places(
                traced[first : last + 1], sorted(k - first for k in may if first <= k <= last), share * aim
            )
            if way is None:
                break
            found += [first + k for k in way[1:]]
        else:
            if len(found) >= len(picked):
                break  # a stricter aim asks for no fewer
            found = _shifted(traced, found, corners, aim)
            if _misses(traced, found, corners).max() <= aim:
                return found
    return picked


def _extremes(traced: Points, aim: float) -> list[int]:
    """Where the line turns back: bellies, necks and waists that stand out by more than the curve may miss."""
    found, radii = [], traced[:, 0]
    last, heading = 0, 0
    for place in range(1, len(radii)):
        if (heading >= 0 and radii[place] > radii[last]) or (heading <= 0 and radii[place] < radii[last]):
            if abs(radii[place] - radii[last]) > 1e-9:
                heading = heading or (1 if radii[place] > radii[last] else -1)
            last = place
        elif abs(radii[place] - radii[last]) > aim:
            found.append(last)
            heading, last = -heading, place
    return [place for place in found if 0 < place < len(traced) - 1]


def _shifted(traced: Points, picked: list[int], corners: set[int], aim: float) -> list[int]:
    """Stations moved along the line to where the largest miss is least; it ends where that is small enough."""
    best = float(_misses(traced, picked, corners).max())
    for reach in (12, 6, 3, 1):
        for number in range(1, len(picked) - 1):
            if picked[number] in corners:
                continue
            for step in (-reach, reach):
                moved = picked[number] + step
                if best <= aim or not picked[number - 1] + 2 < moved < picked[number + 1] - 2:
                    continue
                trial = [*picked[:number], moved, *picked[number + 1 :]]
                miss = float(_misses(traced, trial, corners).max())
                if miss < best - 1e-6:
                    best, picked = miss, trial
    return picked


def _bends(traced: Points, picked: list[int], aim: float) -> bool:
    """False where straight lines from station to station do as well."""
    return len(picked) > 2 and float(_distances(traced, traced[picked]).max()) > aim


def _names(points: tuple[Point, ...], corners: frozenset[int]) -> tuple[str, ...]:
    """Foot and rim, belly and neck, shoulder, bevel, and plain sides in between."""
    last = len(points) - 1
    radii = [radius for radius, _ in points]
    height = points[-1][1]
    names: dict[int, str] = {0: "foot", last: "rim"}
    inner = range(1, last)
    widest = max(range(len(points)), key=lambda k: radii[k])
    if widest in inner and radii[widest] > 1.01 * max(radii[0], radii[last]):
        names[widest] = "belly"
    necks = [k for k in inner if k not in names and radii[k] < radii[k - 1] and radii[k] < radii[k + 1] and k > widest]
    if necks:
        names[min(necks, key=lambda k: radii[k])] = "neck"
    waists = [k for k in inner if k not in names and radii[k] < radii[k - 1] and radii[k] < radii[k + 1] and k < widest]
    if waists:
        names[min(waists, key=lambda k: radii[k])] = "waist"
    belly = next((k for k, name in names.items() if name == "belly"), None)
    neck = next((k for k, name in names.items() if name == "neck"), last)
    if belly is not None:
        above = [k for k in range(belly + 1, neck) if k not in names]
        if above:
            names[max(above, key=lambda k: radii[k - 1] - radii[k + 1])] = "shoulder"
    for k in inner:
        if (
            k not in names
            and k == 1
            and (k in corners or points[k][1] < 0.08 * height)
            and points[k][1] < 0.15 * height
        ):
            names[k] = "bevel"
        elif k not in names and k == last - 1 and points[k][1] > 0.92 * height:
            names[k] = "lip"
    plain = [k for k in inner if k not in names]
    for count, k in enumerate(plain, 1):
        edge = "edge" if k in corners else "side"
        names[k] = edge if len(plain) == 1 else f"{edge} {count}"
    return tuple(names[k] for k in range(len(points)))


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
