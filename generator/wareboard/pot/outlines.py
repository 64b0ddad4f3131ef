"""Outlines: the curve through a maker's stations, and where it stands.

A point is (radius_mm, height_mm). An outline runs from the closed end, which is at the bottom,
up to the rim; the axis is on its left.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import accumulate, pairwise
from math import ceil, fsum, hypot, sqrt
from typing import TypeAlias, overload

from wareboard.pot.reckoning import Line, Plane, np

Point = tuple[float, float]
Polyline: TypeAlias = Sequence[Point]

_TOLERANCE = 0.8e-6  # of a surface's area, won where a curve becomes chords
_STRAIGHT = 1e-9  # bend, in powers of a radian, that is none
_MANY = 300  # points whose radii and heights are quicker scaled apart
_CELLS = 16  # of a span, over each of which its bend is taken to be even
_LEAST = 1e-300  # what is divided by is no less


class Traced(Sequence[Point]):
    """A polyline of an array: most are only reckoned with, so that its points become plain numbers when they are asked for."""

    __slots__ = ("_points", "line")

    def __init__(self, line: Line, points: tuple[Point, ...] | None = None) -> None:
        self.line = line
        self._points = points

    @property
    def points(self) -> tuple[Point, ...]:
        """Its points as plain numbers."""
        if self._points is None:
            self._points = tuple(zip(*self.line.T.tolist(), strict=True))
        return self._points

    @overload
    def __getitem__(self, place: int) -> Point: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Point, ...]: ...
    def __getitem__(self, place: int | slice) -> Point | tuple[Point, ...]:
        if self._points is None and isinstance(place, int):
            return self.line.item(place, 0), self.line.item(place, 1)
        return self.points[place]

    def __len__(self) -> int:
        return len(self.line)

    def __iter__(self) -> Iterator[Point]:
        return iter(self.points)

    def __eq__(self, other: object) -> bool:
        return self.points == (other.points if isinstance(other, Traced) else other)

    def __hash__(self) -> int:
        return hash(self.points)

    def __repr__(self) -> str:
        return repr(self.points)


def as_line(polyline: Sequence[Point] | Line) -> Line:
    """An outline as an array, a row a point; nobody writes into it.

    >>> as_line(((10.0, 0.0), (20.0, 40.0))).shape
    (2, 2)
    """
    if isinstance(polyline, Traced):
        return polyline.line
    return np.asarray(polyline, dtype=float).reshape(-1, 2)


def as_complex(line: Line) -> Plane:
    """The same points as complex numbers, radius and height, where that is the shorter way to reckon; not a copy.

    >>> as_complex(as_line(((10.0, 0.0), (20.0, 40.0)))).tolist()
    [(10+0j), (20+40j)]
    """
    return np.ascontiguousarray(line).view(complex)[:, 0]


def as_points(plane: Plane) -> Line:
    """Complex numbers as an array, a row a point.

    >>> as_points(np.array([10 + 0j, 20 + 40j])).tolist()
    [[10.0, 0.0], [20.0, 40.0]]
    """
    return plane.view(float).reshape(-1, 2)


def as_polyline(line: Line | Sequence[Point]) -> Polyline:
    """Points as an outline that is reckoned with, and read as plain numbers.

    >>> as_polyline(as_line(((10.0, 0.0), (20.0, 40.0))))
    ((10.0, 0.0), (20.0, 40.0))
    """
    return Traced(line) if isinstance(line, np.ndarray) else Traced(as_line(line), tuple(line))


def scaled(polyline: Sequence[Point], across: float, up: float) -> Polyline:
    """The same outline, every radius times `across` and every height times `up`.

    Args:
        polyline: points, mm.
        across, up: factors, > 0.
    Returns: the points in the same order.
    >>> scaled(((10.0, 0.0), (20.0, 40.0)), 0.5, 0.25)
    ((5.0, 0.0), (10.0, 10.0))
    """
    return as_polyline(shrunk(as_line(polyline), across, up)) if polyline else ()


def shrunk(line: Line, across: float, up: float) -> Line:
    """The same of an array.

    >>> shrunk(as_line(((10.0, 0.0), (20.0, 40.0))), 0.5, 0.25).tolist()
    [[5.0, 0.0], [10.0, 10.0]]
    """
    if across == up:
        return line * across
    if len(line) < _MANY:
        return line * (across, up)
    found = np.empty_like(line)
    found[:, 0], found[:, 1] = line[:, 0] * across, line[:, 1] * up
    return found


def flipped(polyline: Sequence[Point], height_mm: float) -> Polyline:
    """The same outline turned over within a height; its last point comes first.

    Args:
        polyline: points, mm.
        height_mm: the overall height; what stood there stands at 0 now.
    Returns: the points in the opposite order, so that they still go up.
    >>> flipped(((10.0, 0.0), (20.0, 40.0)), 40.0)
    ((20.0, 0.0), (10.0, 40.0))
    """
    return as_polyline(turned_over(as_line(polyline)[::-1], height_mm)) if polyline else ()


def turned_over(line: Line, height_mm: float) -> Line:
    """An array turned over likewise, its points in the order in which they were.

    >>> turned_over(as_line(((10.0, 0.0), (20.0, 40.0))), 40.0).tolist()
    [[10.0, 40.0], [20.0, 0.0]]
    """
    return as_points(as_complex(line).conj() + height_mm * 1j)


def mirrored(line: Line) -> Line:
    """An array seen from the other side of the axis: then the outer air is on its left, as the inside is of an outline.

    >>> mirrored(as_line(((10.0, 0.0), (20.0, 40.0)))).tolist()
    [[-10.0, 0.0], [-20.0, 40.0]]
    """
    return as_points(-as_complex(line).conj())


def radius_at(polyline: Sequence[Point] | Line, height_mm: float, *, outermost: bool = True) -> float | None:
    """Where an outline crosses a level.

    Args:
        polyline: points, mm.
        height_mm: the level.
        outermost: of several crossings, or along a ledge, the widest; else the narrowest.
    Returns: a radius, mm, or None where the outline doesn't come to the level.
    >>> radius_at(((10.0, 0.0), (20.0, 40.0)), 20.0)
    15.0
    >>> radius_at(((10.0, 0.0), (10.0, 5.0), (30.0, 5.0)), 5.0, outermost=False)
    10.0
    """
    line = as_line(polyline)
    above = line[:, 1] - height_mm
    found = []
    for k in np.flatnonzero(above[:-1] * above[1:] <= 0.0).tolist():
        (r0, z0), (r1, z1) = line[k : k + 2].tolist()
        if height_mm in (z0, z1):
            found += [radius for radius, height in ((r0, z0), (r1, z1)) if height == height_mm]
        else:
            found.append(r0 + (r1 - r0) * (height_mm - z0) / (z1 - z0))
    return (max(found) if outermost else min(found)) if found else None


def smooth_outline(
    stations: Sequence[Point], corners: frozenset[int] = frozenset()
) -> tuple[Polyline, tuple[int, ...]]:
    """The fair curve through stations, as a polyline fine enough to measure.

    Height and radius are each a monotone cubic (PCHIP) of the chord length from station to
    station; at a corner one curve ends and the next begins. The curve is cut into chords whose
    area error is shared out evenly (chord length as curvature to the power -2/3), and the
    points between stations are moved outward until chords and curve enclose the same area.
    Volumes and centroids are then right to about the fourth power of a chord; the area of the
    surface, which chords can't match at the same time, to 1e-6 of itself.

    Args:
        stations: points, mm, at least two, no two neighbours the same.
        corners: numbers of the stations that stay sharp.
    Returns: the polyline, and the index in it of each station; stations are hit exactly.
    Raises: ValueError, fewer than two stations, or two neighbours in one place.
    Source: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984), from memory.
    >>> smooth_outline([(30.0, 0.0), (40.0, 90.0)])
    (((30.0, 0.0), (40.0, 90.0)), (0, 1))
    >>> outline, at = smooth_outline([(30.0, 0.0), (45.0, 40.0), (38.0, 90.0)])
    >>> [outline[index] for index in at]
    [(30.0, 0.0), (45.0, 40.0), (38.0, 90.0)]
    """
    return smooth_outlines([(stations, corners)])[0]


def smooth_outlines(
    lines: Sequence[tuple[Sequence[Point], frozenset[int]]],
) -> list[tuple[Polyline, tuple[int, ...]]]:
    """The fair curves through the stations of several lines at once, which takes little longer than one.

    Args:
        lines: of each its stations and its corners, as for `smooth_outline`.
    Returns: of each its polyline, and the index in it of each station.
    Raises: as smooth_outline.
    >>> [at for _, at in smooth_outlines([([(30.0, 0.0), (40.0, 90.0)], frozenset()), ([(0.0, 5.0), (20.0, 5.0)], frozenset())])]
    [(0, 1), (0, 1)]
    """
    spans: list[_Span] = []
    for k, (stations, corners) in enumerate(lines):
        if len(stations) < 2:
            raise ValueError("an outline needs two stations or more")
        if k:  # from the end of one line to the start of the next: one chord, which belongs to neither
            end, start = complex(*lines[k - 1][0][-1]), complex(*stations[0])
            spans.append((end, start - end, 0j, 0j))
        spans += _cubic_spans(stations, corners)
    laws = _sampling_laws(spans)
    weights, chords = laws[:, -1].tolist(), [1] * len(spans)
    first, ends = 0, []
    for stations, _ in lines:
        behind = first + len(stations) - 1
        chords[first:behind] = _chord_counts(stations, weights[first:behind])
        ends.append((first, behind))
        first = behind + 1
    indices = (0, *accumulate(chords))
    at = _chords(spans, laws, indices)
    at[list(indices)] = [complex(*station) for stations, _ in lines for station in stations]
    points = as_points(at)
    return [
        (as_polyline(points[indices[k] : indices[m] + 1]), tuple(index - indices[k] for index in indices[k : m + 1]))
        for k, m in ends
    ]


def _chord_counts(stations: Sequence[Point], weights: Sequence[float]) -> list[int]:
    """Into how many chords each span of a line is cut."""
    length = fsum(hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(stations))
    total = fsum(weights)
    count = sqrt(total**3 / (24.0 * _TOLERANCE * length))
    least = _STRAIGHT * length ** (1 / 3)
    return [ceil(count * weight / total) + 1 if weight > least else 1 for weight in weights]


_Span: TypeAlias = tuple[
    complex, complex, complex, complex
]  # a cubic's coefficients, constant first: radius real, height imaginary


def _cubic_spans(stations: Sequence[Point], corners: frozenset[int]) -> list[_Span]:
    """Each span's cubic."""
    steps = [hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(stations)]
    if not min(steps) > 0.0:
        raise ValueError("two neighbouring stations are in one place")
    ends = [0, *sorted(k for k in corners if 0 < k < len(steps)), len(steps)]
    spans: list[_Span] = []
    for first, last in pairwise(ends):
        run, run_steps = stations[first : last + 1], steps[first:last]
        slopes = map(complex, *(pchip_slopes(run_steps, values) for values in zip(*run)))
        placed = zip(map(complex, *zip(*run)), slopes)
        for step, ((start, slope), (end, end_slope)) in zip(run_steps, pairwise(placed)):
            rise, velocity, end_velocity = end - start, step * slope, step * end_slope
            spans.append((start, velocity, 3.0 * rise - 2.0 * velocity - end_velocity, velocity + end_velocity - 2.0 * rise))  # fmt: skip
    return spans


def pchip_slopes(steps: Sequence[float], values: Sequence[float]) -> list[float]:
    """Slopes of the monotone cubic through values, one slope a value.

    Inside, the weighted harmonic mean of the two slopes beside a value, 0 where they differ in
    sign; at an end, the parabola through three values, held to the same sign and to three
    times the end slope.

    Args:
        steps: distances from each value to the next, > 0.
        values: one more than the steps.
    Returns: slopes, value per distance.
    Source: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984), from memory.
    >>> pchip_slopes([1.0, 1.0], [0.0, 1.0, 4.0])
    [0.0, 1.5, 4.0]
    """
    secants = [(v1 - v0) / step for (v0, v1), step in zip(pairwise(values), steps, strict=True)]
    if len(secants) == 1:
        return [secants[0], secants[0]]
    slopes = [_end_slope(steps[0], steps[1], secants[0], secants[1])]
    for (h0, h1), (s0, s1) in zip(pairwise(steps), pairwise(secants), strict=True):
        before, after = 2.0 * h1 + h0, h1 + 2.0 * h0
        turning = s0 * s1 <= 0.0
        slopes.append(0.0 if turning else (before + after) / (before / s0 + after / s1))
    slopes.append(_end_slope(steps[-1], steps[-2], secants[-1], secants[-2]))
    return slopes


def _end_slope(near_step: float, next_step: float, near: float, beyond: float) -> float:
    slope = ((2.0 * near_step + next_step) * near - near_step * beyond) / (near_step + next_step)
    if slope * near <= 0.0:
        return 0.0
    if near * beyond <= 0.0 and abs(slope) > 3.0 * abs(near):
        return 3.0 * near
    return slope


@cache
def _cells() -> Line:
    """The middles of a span's cells, as times from 0 to 1, to the powers 0 to 4."""
    return ((np.arange(_CELLS) + 0.5) / _CELLS) ** np.arange(5)[:, None]


@cache
def _knots() -> Line:
    """A span's times from 0 to 1, one more than cells."""
    return np.arange(_CELLS + 1) / _CELLS


def _sampling_laws(spans: Sequence[_Span]) -> Line:
    """Running integral of curvature^(2/3) along each span, at equal times from 0 to 1; a row a span."""
    rows: list[float] = []
    for _, first, second, third in spans:
        # Velocity across its own change, and velocity squared, as polynomials of the time.
        back, second_back = first.conjugate(), second.conjugate()
        with_second, with_third, both = back * second, back * third, second_back * third
        rows += (
            2.0 * with_second.imag, 6.0 * with_third.imag, 6.0 * both.imag, 0.0, 0.0,
            (back * first).real, 4.0 * with_second.real, 4.0 * (second_back * second).real + 6.0 * with_third.real,
            12.0 * both.real, 9.0 * (third.conjugate() * third).real,
        )  # fmt: skip
    values = np.array(rows).reshape(-1, 5).dot(_cells())
    weights = np.abs(values[::2]) ** (2.0 / 3.0) / (np.sqrt(np.maximum(values[1::2], 0.0)) + 1e-12)
    law = np.zeros((len(spans), _CELLS + 1))
    (weights / _CELLS).cumsum(axis=1, out=law[:, 1:])
    return law


def _chords(spans: Sequence[_Span], laws: Line, indices: Sequence[int]) -> Plane:
    """Points of all spans, moved out so that the chords keep the curve's area; where stations are, whatever comes.

    A span is cut at times that share out its sampling law evenly: between two knots of the law a point's time goes straight
    with its number.
    """
    starts, lasts = list(indices[:-1]), [index - 1 for index in indices[1:]]
    counts = [last - start + 1 for start, last in zip(starts, lasts)]
    whole = laws[:, -1:]
    for k, count in enumerate(counts):
        if count == 1:
            laws[k] = _knots()
    numbers = (
        laws / whole * np.array([counts], dtype=float).T + np.array([starts], dtype=float).T
    )  # a point's at each knot
    rate = (1.0 / _CELLS) / np.maximum(numbers[:, 1:] - numbers[:, :-1], _LEAST)
    begun = _knots()[:-1] - numbers[:, :-1] * rate
    firsts = np.ceil(numbers)
    in_cells = (firsts[:, 1:] - firsts[:, :-1]).astype(int).ravel()
    times = begun.ravel().repeat(in_cells) + rate.ravel().repeat(in_cells) * np.arange(float(indices[-1]))
    t, cubics = times.astype(complex), np.array(spans).T
    start, first, second, third = cubics.repeat(counts, axis=1)
    third *= t
    second += third
    first += t * second
    at, velocity = start + t * first, first + t * (second + third)
    step, chord, change = np.empty_like(times), np.empty_like(at), np.empty_like(at)
    step[:-1], chord[:-1], change[:-1] = times[1:] - times[:-1], at[1:] - at[:-1], velocity[1:] - velocity[:-1]
    for last, (r0, r1, r2, r3) in zip(lasts, spans):  # a span's own end, which the next one needn't go on from
        step[last] = 1.0 - times.item(last)
        chord[last], change[last] = r0 + r1 + r2 + r3 - at.item(last), r1 + 2.0 * r2 + 3.0 * r3 - velocity.item(last)
    # Exact signed area between a cubic and its chord, from its two end velocities.
    lost = ((chord * 0.1 - velocity * (step / 60.0)).conj() * change).imag * step
    # Half of each chord's loss is made good at either end; but a station can't move.
    lost[starts + lasts] *= 2.0
    lengths, outward = np.abs(chord), velocity[1:]
    push = (lost[:-1] + lost[1:]) / np.maximum((lengths[:-1] + lengths[1:]) * np.abs(outward), _LEAST)
    points = np.empty(indices[-1] + 1, dtype=complex)
    points[1:-1] = at[1:] - outward * (push * 1j)
    return points


def walls_along(
    outline: Sequence[Point],
    station_indices: Sequence[int],
    walls_by_station: Mapping[int, float],
) -> Line:
    """The wall at every point of an outline, from the walls named at some stations.

    Linear in the length along the outline from one named station to the next, constant before
    the first and after the last.

    Args:
        outline: points, mm.
        station_indices: the index in the outline of each station.
        walls_by_station: wall, mm, by the number of its station; at least one.
    Returns: one wall a point, mm.
    Raises: ValueError, no wall at all.
    >>> walls_along(((30, 0), (30, 50), (30, 100)), (0, 1, 2), {0: 6.0, 2: 4.0}).tolist()
    [6.0, 5.0, 4.0]
    """
    if not walls_by_station:
        raise ValueError("no wall is named at any station")
    at = as_complex(as_line(outline))
    lengths = np.zeros(len(at))
    np.cumsum(np.abs(at[1:] - at[:-1]), out=lengths[1:])
    named = sorted((station_indices[k], wall) for k, wall in walls_by_station.items())
    return np.interp(lengths, [lengths.item(place) for place, _ in named], [wall for _, wall in named])
