"""Outlines: the curve through a maker's stations, and where it stands.

A point is (radius_mm, height_mm). An outline runs from the closed end, which is at the bottom,
up to the rim; the axis is on its left.
"""

from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise
from math import ceil, hypot, sqrt

Point = tuple[float, float]
Polyline = tuple[Point, ...]

_TOLERANCE = 0.8e-6  # of a surface's area, won where a curve becomes chords
_STRAIGHT = 1e-9  # bend, in powers of a radian, that is none


def scaled(polyline: Sequence[Point], across: float, up: float) -> Polyline:
    """The same outline, every radius times `across` and every height times `up`.

    Args:
        polyline: points, mm.
        across, up: factors, > 0.
    Returns: the points in the same order.
    >>> scaled(((10.0, 0.0), (20.0, 40.0)), 0.5, 0.25)
    ((5.0, 0.0), (10.0, 10.0))
    """
    return tuple((radius * across, height * up) for radius, height in polyline)


def flipped(polyline: Sequence[Point], height_mm: float) -> Polyline:
    """The same outline turned over within a height; its last point comes first.

    Args:
        polyline: points, mm.
        height_mm: the overall height; what stood there stands at 0 now.
    Returns: the points in the opposite order, so that they still go up.
    >>> flipped(((10.0, 0.0), (20.0, 40.0)), 40.0)
    ((20.0, 0.0), (10.0, 40.0))
    """
    return tuple((radius, height_mm - height) for radius, height in reversed(polyline))


def radius_at(polyline: Sequence[Point], height_mm: float, *, outermost: bool = True) -> float | None:
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
    radii = [radius for radius, height in polyline if height == height_mm]
    for (r0, z0), (r1, z1) in pairwise(polyline):
        if z0 < height_mm < z1 or z1 < height_mm < z0:
            radii.append(r0 + (r1 - r0) * (height_mm - z0) / (z1 - z0))
    if not radii:
        return None
    return max(radii) if outermost else min(radii)


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
    if len(stations) < 2:
        raise ValueError("an outline needs two stations or more")
    spans = _cubic_spans(stations, corners)
    laws = [_sampling_law(span) for span in spans]
    length = sum(hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(stations))
    total = sum(law[-1] for law in laws)
    count = sqrt(total**3 / (24.0 * _TOLERANCE * length))
    points, indices = [stations[0]], [0]
    for span, law, station in zip(spans, laws, stations[1:], strict=True):
        if law[-1] > _STRAIGHT * length ** (1 / 3):
            points += _chords(span, _even_steps(law, ceil(count * law[-1] / total) + 1))
        points.append(station)
        indices.append(len(points) - 1)
    return tuple(points), tuple(indices)


def _cubic_spans(stations, corners):
    """Coefficients of each span's cubic, constant term first, time running from 0 to 1."""
    steps = [hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(stations)]
    if not min(steps) > 0.0:
        raise ValueError("two neighbouring stations are in one place")
    ends = [0, *sorted(k for k in corners if 0 < k < len(steps)), len(steps)]
    spans = []
    for first, last in pairwise(ends):
        run, run_steps = stations[first : last + 1], steps[first:last]
        radius_slopes = pchip_slopes(run_steps, [point[0] for point in run])
        height_slopes = pchip_slopes(run_steps, [point[1] for point in run])
        for k, step in enumerate(run_steps):
            (r0, z0), (r1, z1) = run[k : k + 2]
            radius = _cubic(r0, r1, step * radius_slopes[k], step * radius_slopes[k + 1])
            height = _cubic(z0, z1, step * height_slopes[k], step * height_slopes[k + 1])
            spans.append((*radius, *height))
    return spans


def _cubic(start, end, velocity, end_velocity):
    rise = end - start
    square, cube = 3.0 * rise - 2.0 * velocity - end_velocity, velocity + end_velocity - 2.0 * rise
    return start, velocity, square, cube


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


def _end_slope(near_step, next_step, near, beyond):
    slope = ((2.0 * near_step + next_step) * near - near_step * beyond) / (near_step + next_step)
    if slope * near <= 0.0:
        return 0.0
    if near * beyond <= 0.0 and abs(slope) > 3.0 * abs(near):
        return 3.0 * near
    return slope


def _sampling_law(span, cells=16):
    """Running integral of curvature^(2/3) along a span, at equal times from 0 to 1."""
    _, r1, r2, r3, _, z1, z2, z3 = span
    law = [0.0]
    for cell in range(cells):
        t = (cell + 0.5) / cells
        dr, dz = r1 + t * (2.0 * r2 + t * 3.0 * r3), z1 + t * (2.0 * z2 + t * 3.0 * z3)
        bend = dr * (2.0 * z2 + 6.0 * t * z3) - dz * (2.0 * r2 + 6.0 * t * r3)
        law.append(law[-1] + abs(bend) ** (2.0 / 3.0) / (hypot(dr, dz) + 1e-12) / cells)
    return law


def _even_steps(law, count):
    """Times that cut a sampling law into equal parts, 0 and 1 included."""
    cells, cell, times = len(law) - 1, 0, [0.0]
    for k in range(1, count):
        want = law[-1] * k / count
        while law[cell + 1] < want:
            cell += 1
        times.append((cell + (want - law[cell]) / (law[cell + 1] - law[cell])) / cells)
    return [*times, 1.0]


def _chords(span, times):
    """Points of a span between its ends, moved out so that the chords keep the curve's area."""
    r0, r1, r2, r3, z0, z1, z2, z3 = span
    states = [
        (
            r0 + t * (r1 + t * (r2 + t * r3)),
            z0 + t * (z1 + t * (z2 + t * z3)),
            r1 + t * (2.0 * r2 + t * 3.0 * r3),
            z1 + t * (2.0 * z2 + t * 3.0 * z3),
        )
        for t in times
    ]
    lengths, lost = [], []
    t0, (pr0, pz0, dr0, dz0) = times[0], states[0]
    for t1, (pr1, pz1, dr1, dz1) in zip(times[1:], states[1:], strict=True):
        step, cr, cz = t1 - t0, pr1 - pr0, pz1 - pz0
        lengths.append(hypot(cr, cz))
        # Exact signed area between a cubic and its chord, from its two end velocities.
        bend = cr * (dz1 - dz0) - cz * (dr1 - dr0)
        lost.append(step * (0.1 * bend - step / 60.0 * (dr0 * dz1 - dz0 * dr1)))
        t0, pr0, pz0, dr0, dz0 = t1, pr1, pz1, dr1, dz1
    # Half of each chord's loss is made good at either end; but a station can't move.
    lost[0], lost[-1] = 2.0 * lost[0], 2.0 * lost[-1]
    points = []
    for (pr, pz, dr, dz), (c0, c1), (a0, a1) in zip(states[1:-1], pairwise(lengths), pairwise(lost), strict=True):
        push = (a0 + a1) / ((c0 + c1) * hypot(dr, dz))
        points.append((pr + dz * push, pz - dr * push))
    return points


def walls_along(
    outline: Sequence[Point],
    station_indices: Sequence[int],
    walls_by_station: Mapping[int, float],
) -> tuple[float, ...]:
    """The wall at every point of an outline, from the walls named at some stations.

    Linear in the length along the outline from one named station to the next, constant before
    the first and after the last.

    Args:
        outline: points, mm.
        station_indices: the index in the outline of each station.
        walls_by_station: wall, mm, by the number of its station; at least one.
    Returns: one wall a point, mm.
    Raises: ValueError, no wall at all.
    >>> walls_along(((30, 0), (30, 50), (30, 100)), (0, 1, 2), {0: 6.0, 2: 4.0})
    (6.0, 5.0, 4.0)
    """
    if not walls_by_station:
        raise ValueError("no wall is named at any station")
    chords = (hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(outline))
    lengths = list(accumulate(chords, initial=0.0))
    named = sorted((station_indices[k], wall) for k, wall in walls_by_station.items())
    walls = [named[0][1]] * named[0][0]
    for (i0, w0), (i1, w1) in pairwise(named):
        slope = (w1 - w0) / (lengths[i1] - lengths[i0])
        walls += [w0 + slope * (lengths[k] - lengths[i0]) for k in range(i0, i1)]
    return tuple(walls + [named[-1][1]] * (len(outline) - named[-1][0]))
