"""Outlines: the curve through a maker's stations, and where it stands.

A point is (radius_mm, height_mm). An outline runs from the closed end, which is at the bottom,
up to the rim; the axis is on its left.
"""

from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise
from math import ceil, hypot, sqrt

Point = tuple[float, float]
Polyline = tuple[Point, ...]

_TOLERANCE = 0.7e-6  # of a surface's area, lost or won where a curve becomes chords


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


def radius_at(
    polyline: Sequence[Point], height_mm: float, *, outermost: bool = True
) -> float | None:
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
    spans = _hermite_spans(stations, corners)
    laws = [_sampling_law(span) for span in spans]
    length = sum(hypot(p1[0] - p0[0], p1[1] - p0[1]) for p0, _, p1, _ in spans)
    total = sum(law[-1] for law in laws)
    count = sqrt(total**3 / (24.0 * _TOLERANCE * length))
    points = [tuple(stations[0])]
    indices = [0]
    for span, law in zip(spans, laws, strict=True):
        chords = ceil(count * law[-1] / total) + 1 if law[-1] > 1e-9 * length ** (1 / 3) else 1
        points += _chords(span, _even_steps(law, chords))
        indices.append(len(points) - 1)
    return tuple(points), tuple(indices)


def _hermite_spans(stations, corners):
    """(point, velocity, point, velocity) for each span, time running from 0 to 1 in each."""
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
            velocities = [(radius_slopes[j] * step, height_slopes[j] * step) for j in (k, k + 1)]
            spans.append((run[k], velocities[0], run[k + 1], velocities[1]))
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


def _end_slope(near_step, next_step, near, beyond):
    slope = ((2.0 * near_step + next_step) * near - near_step * beyond) / (near_step + next_step)
    if slope * near <= 0.0:
        return 0.0
    if near * beyond <= 0.0 and abs(slope) > 3.0 * abs(near):
        return 3.0 * near
    return slope


def _state(span, t):
    """Place and velocity on a cubic at time t."""
    (r0, z0), (dr0, dz0), (r1, z1), (dr1, dz1) = span
    s = 1.0 - t
    a, b, c, d = s * s * (1.0 + 2.0 * t), t * s * s, t * t * (3.0 - 2.0 * t), -t * t * s
    e, f, g = 6.0 * t * s, s * (1.0 - 3.0 * t), t * (3.0 * t - 2.0)
    return (
        a * r0 + b * dr0 + c * r1 + d * dr1,
        a * z0 + b * dz0 + c * z1 + d * dz1,
        e * (r1 - r0) + f * dr0 + g * dr1,
        e * (z1 - z0) + f * dz0 + g * dz1,
    )


def _sampling_law(span, cells=16):
    """Running integral of curvature^(2/3) along a span, at equal times from 0 to 1."""
    (r0, z0), (dr0, dz0), (r1, z1), (dr1, dz1) = span
    cubic_r, cubic_z = 2.0 * (r0 - r1) + dr0 + dr1, 2.0 * (z0 - z1) + dz0 + dz1
    square_r, square_z = -3.0 * (r0 - r1) - 2.0 * dr0 - dr1, -3.0 * (z0 - z1) - 2.0 * dz0 - dz1
    law = [0.0]
    for cell in range(cells):
        t = (cell + 0.5) / cells
        dr, dz = dr0 + t * (2.0 * square_r + t * 3.0 * cubic_r), dz0 + t * (
            2.0 * square_z + t * 3.0 * cubic_z
        )
        ddr, ddz = 2.0 * square_r + 6.0 * t * cubic_r, 2.0 * square_z + 6.0 * t * cubic_z
        turn = abs(dr * ddz - dz * ddr) ** (2.0 / 3.0)
        law.append(law[-1] + turn / (hypot(dr, dz) + 1e-12) / cells)
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
    """Points of a span but its first, moved out so that the chords keep the curve's area."""
    states = [_state(span, t) for t in times[1:-1]]
    states = [(*span[0], *span[1]), *states, (*span[2], *span[3])]
    last = len(states) - 1
    lengths, lost = [], []
    for (t0, t1), (p0, p1) in zip(pairwise(times), pairwise(states), strict=True):
        step, cr, cz = t1 - t0, p1[0] - p0[0], p1[1] - p0[1]
        lengths.append(hypot(cr, cz))
        # Exact signed area between a cubic and its chord, from its two end velocities.
        bend = cr * (p1[3] - p0[3]) - cz * (p1[2] - p0[2])
        lost.append(0.1 * step * bend - step * step * (p0[2] * p1[3] - p0[3] * p1[2]) / 60.0)
    points = []
    for k in range(1, last):
        # Half of each chord's loss is made good at either end; a station can't move.
        share = lost[k - 1] * (1.0 if k == 1 else 0.5) + lost[k] * (1.0 if k == last - 1 else 0.5)
        r, z, dr, dz = states[k]
        push = 2.0 * share / (lengths[k - 1] + lengths[k]) / hypot(dr, dz)
        points.append((r + dz * push, z - dr * push))
    return [*points, tuple(span[2])]


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
