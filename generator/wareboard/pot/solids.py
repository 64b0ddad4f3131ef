"""Solids of revolution: closed sections about the axis, and what they measure.

A point is (radius_mm, height_mm). A part stands as thrown: closed end at the bottom, opening at
the top. A section is a ring of points, closed from the last to the first, against the clock;
a space is the ring of what is empty. Every sum here is exact for straight edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import fsum, hypot, pi
from typing import NamedTuple

from wareboard.pot.crossings import is_simple
from wareboard.pot.offsets import SectionError, wall_inside
from wareboard.pot.outlines import (
    Point,
    Polyline,
    as_complex,
    as_line,
    as_polyline,
    flipped,
    radius_at,
    scaled,
    smooth_outline,
    smooth_outlines,
    walls_along,
)
from wareboard.pot.reckoning import Line, least_of, most_of, np

__all__ = [
    "Point",
    "Polyline",
    "SectionError",
    "area_below_mm2",
    "filled_to",
    "flipped",
    "frustum_volume_mm3",
    "height_of_fill_mm",
    "profile_ring",
    "radius_at",
    "revolved_area_mm2",
    "revolved_areas_mm2",
    "revolved_centroid_height_mm",
    "revolved_solid",
    "revolved_volume_mm3",
    "ring_problem",
    "scaled",
    "smooth_outline",
    "smooth_outlines",
    "surely_within",
    "volume_below_mm3",
    "wall_inside",
    "walls_along",
]

_NEAR_MM = 1e-9  # two heights or radii that are one
_FEW = 24  # points of which a sum is quicker taken edge by edge than of all at once
_MANY = 24  # edges beyond which shapely is quicker at seeing that a ring is simple


def frustum_volume_mm3(lower_radius_mm: float, upper_radius_mm: float, height_mm: float) -> float:
    """Volume of a right circular frustum.

    V = (pi h / 3)(R^2 + R r + r^2)

    Args:
        lower_radius_mm: radius below, mm, >= 0.
        upper_radius_mm: radius above, mm, >= 0.
        height_mm: distance between the planes, mm, > 0.
    Returns: enclosed volume, mm^3.
    Raises: ValueError, an argument out of range; never clamps.
    Source: handbooks of mathematics, from memory.
    >>> round(frustum_volume_mm3(30.0, 45.0, 90.0), 1)
    402909.3
    """
    if not (lower_radius_mm >= 0.0 and upper_radius_mm >= 0.0 and height_mm > 0.0):
        raise ValueError("a frustum needs radii of 0 or more and a height above 0")
    return pi * height_mm / 3.0 * (lower_radius_mm**2 + lower_radius_mm * upper_radius_mm + upper_radius_mm**2)


# Sections


def profile_ring(outside: Sequence[Point], inside: Sequence[Point] | None, underside: Sequence[Point] = ()) -> Polyline:
    """The clay's section: out along the base, up the outside, back along the inside.

    Args:
        outside: from the foot up to the rim, mm.
        inside: from the axis at the floor up to the rim; None for a solid part, which is then
            level at the top.
        underside: a turned recess, from the centre out; else the base is level.
    Returns: the ring, starting on the axis at the base.
    >>> profile_ring(((30.0, 0.0), (30.0, 90.0)), ((0.0, 5.0), (26.0, 5.0), (26.0, 90.0)))
    ((0.0, 0.0), (30.0, 0.0), (30.0, 90.0), (26.0, 90.0), (26.0, 5.0), (0.0, 5.0))
    """
    centre = np.array([(0.0, (underside or outside)[0][1])])
    top = as_line(inside)[::-1] if inside is not None else np.array([(0.0, outside[-1][1])])
    ring = np.concatenate([centre, *(as_line(line) for line in (underside, outside) if line), top])
    return as_polyline(_without_repeats(ring))


def _without_repeats(line: Line) -> Line:
    at = as_complex(line)
    moves = at[1:] != at[:-1]
    return line if moves.all() else line[np.concatenate([[True], moves])]


def ring_problem(ring: Sequence[Point]) -> tuple[str, Point] | None:
    """What keeps a ring from being the section of a thing.

    Args:
        ring: points, mm; closed from the last to the first.
    Returns: None, or the kind and where it is: "beyond-axis", a radius below 0; "crosses", two
        edges meet that aren't neighbours, or one folds back on the other; "empty", all of it on one line.
    >>> ring_problem(((0.0, 0.0), (9.0, 0.0), (0.0, 9.0))) is None
    True
    >>> ring_problem(((0.0, 0.0), (8.0, 8.0), (8.0, 0.0), (0.0, 8.0)))
    ('crosses', (4.0, 4.0))
    """
    line = _without_repeats(as_line(ring))
    at = as_complex(line)
    if len(at) > 1 and at[0] == at[-1]:
        line, at = line[:-1], at[:-1]
    outside = np.flatnonzero(line[:, 0] < -_NEAR_MM)
    if len(outside):
        radius, height = line[int(outside[0])].tolist()
        return "beyond-axis", (radius, height)
    if len(line) < 2:
        return "empty", (ring[0][0], ring[0][1])
    if np.abs(((at[1] - at[0]).conj() * (at - at[0])).imag).max() <= _NEAR_MM:
        return "empty", (ring[0][0], ring[0][1])
    if len(line) <= _MANY or not is_simple(line, closed=True):
        points = [(radius, height) for radius, height in line.tolist()]
        crossing = _first_crossing(list(zip(points, (*points[1:], points[0]), strict=True)))
        if crossing is not None:
            return "crosses", crossing
    return None


def surely_within(inside: Sequence[Point], outside: Sequence[Point]) -> bool:
    """Whether it is seen at once that an inside and an outside make a section: both only rise, to one rim, and nowhere meet.

    The inside may go along a ledge: both of its ends are looked at, and with them all between.

    Args:
        inside: from the axis at the floor up to the rim, mm; it may set out along a level floor.
        outside: from the foot up to the rim, mm.
    Returns: True where that is so; False where more has to be looked at (`ring_problem`).
    Source: plane geometry: two lines with one radius a level are in order where they are at each corner.
    >>> surely_within(((0.0, 5.0), (26.0, 5.0), (26.0, 90.0)), ((30.0, 0.0), (30.0, 90.0)))
    True
    """
    line, outer = as_line(inside), as_line(outside)
    if line[0, 1] == line[1, 1]:
        line = line[1:]
    (radii, heights), (outer_radii, outer_heights) = line.T, outer.T
    rises = heights[1:] - heights[:-1]
    least = least_of(rises)
    if least < 0.0 or not least_of(outer_heights[1:] - outer_heights[:-1]) > 0.0:
        return False
    if least == 0.0 and ((rises[1:] == 0.0) & (rises[:-1] == 0.0)).any():
        return False
    if not heights.item(0) > outer_heights.item(0) or abs(heights.item(-1) - outer_heights.item(-1)) > _NEAR_MM:
        return False
    if min(least_of(radii), outer_radii.item(0)) < 0.0:
        return False
    beside = outer_radii - np.interp(outer_heights, heights, radii, left=0.0)
    return (
        least_of(beside[1:]) > _NEAR_MM and least_of(np.interp(heights, outer_heights, outer_radii) - radii) > _NEAR_MM
    )


def _first_crossing(edges: Sequence[tuple[Point, Point]]) -> Point | None:
    """A point where two edges meet that shouldn't, the lowest edge first, or None."""
    count = len(edges)
    order = sorted(range(count), key=lambda k: min(edges[k][0][1], edges[k][1][1]))
    for place, i in enumerate(order):
        a, b = edges[i]
        top = max(a[1], b[1])
        for j in order[place + 1 :]:
            c, d = edges[j]
            if c[1] > top and d[1] > top:
                break
            if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
                continue
            if (j - i) % count == 1 or (i - j) % count == 1:
                met = _fold(a, b, d) if b == c else _fold(c, d, b) if d == a else None
            else:
                met = _crossing(a, b, c, d)
            if met is not None:
                return met
    return None


def _side(a: Point, b: Point, point: Point) -> float:
    return (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])


def _fold(a: Point, b: Point, c: Point) -> Point | None:
    """The corner b, where the edge to c runs back along the edge from a."""
    back = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]) < 0.0
    return b if back and _side(a, b, c) == 0.0 else None


def _crossing(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    c_side, d_side, a_side, b_side = (
        _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b),
    )  # fmt: skip
    if c_side * d_side > 0.0 or a_side * b_side > 0.0:
        return None
    if c_side == d_side:  # on one line; if they overlap, an edge beside one of them shows it
        return None
    share = c_side / (c_side - d_side)
    return (c[0] + (d[0] - c[0]) * share, c[1] + (d[1] - c[1]) * share)


# What a section measures


def revolved_volume_mm3(ring: Sequence[Point] | Line) -> float:
    """Volume swept by a ring turned once about the axis.

    Each edge and the axis enclose a frustum; going up it counts, going down it is taken off:
    V = sum of (pi / 3)(r0^2 + r0 r1 + r1^2)(z1 - z0), which is Pappus's theorem for a polygon.

    Args:
        ring: points, mm, radii >= 0, edges that don't cross; closed from the last to the first.
    Returns: mm^3, positive whichever way the ring runs.
    Source: Pappus's second theorem; CRC Concise Encyclopedia of Mathematics.
    >>> round(revolved_volume_mm3(((0.0, 0.0), (15.0, 0.0), (5.0, 24.0), (0.0, 24.0))), 2)
    8168.14
    """
    if len(ring) <= _FEW:
        return abs(_few_volume_and_moment(ring)[0]) * pi
    r0, r1, _, rise = _edges(ring)
    return abs(float((r0 * (r0 + r1) + r1 * r1).dot(rise))) * pi / 3.0


def _edges(ring: Sequence[Point] | Line) -> tuple[Line, Line, Line, Line]:
    """A ring's edges: both radii, the height at their start, and their rise."""
    line = as_line(ring)
    radii, heights = np.concatenate([line[-1:], line]).T
    return radii[:-1], radii[1:], heights[:-1], heights[1:] - heights[:-1]


def revolved_centroid_height_mm(ring: Sequence[Point] | Line) -> float:
    """Height of the centre of mass of a solid of even density.

    The moment of each edge's frustum about height 0, over the volume:
    M = sum of pi (z1 - z0) (z0 (r0^2 + r0 r1 + r1^2)/3 + (z1 - z0)(r0^2 + 2 r0 r1 + 3 r1^2)/12)

    Args:
        ring: points, mm, radii >= 0, edges that don't cross; closed from the last to the first.
    Returns: height, mm.
    Raises: ValueError, a ring that encloses nothing.
    Source: worked from the integral of pi r^2 z dz along a straight edge.
    >>> round(revolved_centroid_height_mm(((0.0, 0.0), (10.0, 0.0), (0.0, 40.0))), 9)
    10.0
    """
    volume, moment = _volume_and_moment(ring)
    if volume == 0.0:
        raise ValueError("a ring that encloses nothing has no centre of mass")
    return moment / volume


class Solid(NamedTuple):
    """What a turned section holds of clay, and how high its centre of mass is."""

    volume_mm3: float
    centre_mm: float


def revolved_solid(ring: Sequence[Point] | Line) -> Solid:
    """Volume and centre of mass in one.

    Args:
        ring: points, mm, radii >= 0, edges that don't cross; closed from the last to the first.
    Returns: mm^3, and the height, mm; 0 for a ring that encloses nothing.
    Source: as revolved_volume_mm3 and revolved_centroid_height_mm.
    >>> [round(value, 2) for value in revolved_solid(((0.0, 0.0), (10.0, 0.0), (0.0, 40.0)))]
    [4188.79, 10.0]
    """
    volume, moment = _volume_and_moment(ring)
    return Solid(abs(volume) * pi, moment / volume if volume else 0.0)


def _volume_and_moment(ring: Sequence[Point] | Line) -> tuple[float, float]:
    """A ring's volume and its moment about height 0, both over pi."""
    if len(ring) <= _FEW:
        return _few_volume_and_moment(ring)
    r0, r1, z0, rise = _edges(ring)
    square, swept = r0 * (r0 + r1) + r1 * r1, r1 * (r0 + 2.0 * r1)
    return float(square.dot(rise)) / 3.0, float((square * (4.0 * z0 + rise) + rise * swept).dot(rise)) / 12.0


def _few_volume_and_moment(ring: Sequence[Point] | Line) -> tuple[float, float]:
    """The same, edge by edge."""
    points = ring.tolist() if isinstance(ring, np.ndarray) else ring
    volume = moment = 0.0
    r0, z0 = points[-1]
    for r1, z1 in points:
        rise = z1 - z0
        if rise:
            square = r0 * (r0 + r1) + r1 * r1
            volume += square * rise
            moment += (square * (4.0 * z0 + rise) + rise * r1 * (r0 + 2.0 * r1)) * rise
        r0, z0 = r1, z1
    return volume / 3.0, moment / 12.0


def revolved_area_mm2(polyline: Sequence[Point] | Line) -> float:
    """Area swept by an open outline turned once about the axis.

    A = sum of pi (r0 + r1) l, l the length of an edge: cones, cylinders and discs alike.

    Args:
        polyline: points, mm, radii >= 0.
    Returns: mm^2.
    Source: Pappus's first theorem; CRC Concise Encyclopedia of Mathematics.
    >>> round(revolved_area_mm2(((15.0, 0.0), (5.0, 24.0))), 2)
    1633.63
    """
    if len(polyline) > _FEW:
        return float(revolved_areas_mm2(polyline)[0].sum())
    points = polyline.tolist() if isinstance(polyline, np.ndarray) else polyline
    return pi * fsum((r0 + r1) * hypot(r1 - r0, z1 - z0) for (r0, z0), (r1, z1) in pairwise(points))


def revolved_areas_mm2(polyline: Sequence[Point] | Line, scales: Sequence[tuple[float, float]] = ((1.0, 1.0),)) -> Line:
    """Area swept by each edge of an open outline, once for each scale: every radius first times `across` and every height times `up`.

    Args:
        polyline: points, mm, radii >= 0.
        scales: across and up, factors, > 0.
    Returns: mm^2, a row a scale, one an edge.
    Source: as revolved_area_mm2.
    >>> revolved_areas_mm2(((15.0, 0.0), (15.0, 4.0), (0.0, 4.0)), ((2.0, 1.0),)).round(2).tolist()
    [[753.98, 2827.43]]
    """
    radii, heights = as_line(polyline).T
    across, up = np.asarray(scales).T[:, :, None]
    out, rise = (radii[1:] - radii[:-1]) * across, (heights[1:] - heights[:-1]) * up
    return np.asarray((radii[1:] + radii[:-1]) * np.sqrt(out * out + rise * rise) * (pi * across))


# What a vessel holds


def _check_level(inside: Sequence[Point], level_mm: float) -> None:
    if level_mm > inside[-1][1] + _NEAR_MM:
        raise ValueError(f"{level_mm} mm is above the rim at {inside[-1][1]} mm")


def _below(polyline: Sequence[Point] | Line, level_mm: float) -> tuple[Line, bool]:
    """A polyline with all that is above a level pressed down onto it; or cut off there, where it comes to it just once.

    Returns: the line, and whether it is cut off.
    """
    line = as_line(polyline)
    above = line[:, 1] - level_mm
    if most_of(above) <= 0.0:
        return line, True
    first = int((above >= 0.0).argmax())
    rest = first + int((above[first:] > 0.0).argmax())  # a ledge at the level itself is below it
    if first and above[:first].max() < 0.0 < above[rest:].min() and not above[first:rest].any():
        end = [] if rest > first else [_at_level(line[first - 1], line[first], level_mm)]
        return np.concatenate([line[:rest], end]) if end else line[:rest], True
    for place in np.flatnonzero(above[:-1] * above[1:] < 0.0).tolist()[::-1]:
        line = np.concatenate(
            [line[: place + 1], [_at_level(line[place], line[place + 1], level_mm)], line[place + 1 :]]
        )
    return np.minimum(line, (np.inf, level_mm)), False


def _at_level(start: Line, end: Line, level_mm: float) -> Point:
    (r0, z0), (r1, z1) = start.tolist(), end.tolist()
    return r0 + (r1 - r0) * (level_mm - z0) / (z1 - z0), level_mm


class Filled(NamedTuple):
    """What is in a vessel that is filled to a level: how much, what it wets, and how high its centre of mass is."""

    volume_mm3: float
    wetted_mm2: float
    centre_mm: float


def filled_to(inside: Sequence[Point], level_mm: float) -> Filled:
    """What a vessel holds up to a level, what of it is wetted, and how high the centre of that is.

    Args:
        inside: from the axis at the floor up to the rim, mm; undercuts may be part of it: air that a real one would trap
            counts as held.
        level_mm: not above the rim; 0 is held at or below the floor.
    Returns: mm^3, mm^2, and the centre's height, mm, the level itself where nothing is held.
    Raises: ValueError, a level above the rim.
    Source: as revolved_volume_mm3, revolved_area_mm2 and revolved_centroid_height_mm.
    >>> [round(value, 3) for value in filled_to(((0.0, 5.0), (20.0, 5.0), (20.0, 85.0)), 15.0)]
    [12566.371, 2513.274, 10.0]
    """
    _check_level(inside, level_mm)
    below, cut = _below(inside, level_mm)
    ring = np.concatenate([below, [(0.0, level_mm)]])
    volume, moment = _volume_and_moment(ring)
    wetted = revolved_area_mm2(below) if cut else area_below_mm2(inside, level_mm)
    return Filled(volume * pi, wetted, moment / volume if volume > 0.0 else level_mm)


def volume_below_mm3(inside: Sequence[Point], level_mm: float) -> float:
    """What a vessel holds up to a level.

    Args:
        inside: from the axis at the floor up to the rim, mm.
        level_mm: not above the rim; 0 is held at or below the floor.
    Returns: mm^3.
    Raises: ValueError, a level above the rim.
    Source: as revolved_volume_mm3.
    >>> round(volume_below_mm3(((0.0, 5.0), (20.0, 5.0), (20.0, 85.0)), 15.0), 3)
    12566.371
    """
    _check_level(inside, level_mm)
    return revolved_volume_mm3(np.concatenate([_below(inside, level_mm)[0], [(0.0, level_mm)]]))


def area_below_mm2(polyline: Sequence[Point] | Line, level_mm: float) -> float:
    """Area of a revolved outline up to a level: what is wetted or glazed.

    Args:
        polyline: points, mm, radii >= 0.
        level_mm: the level; a ledge at the level itself counts.
    Returns: mm^2.
    Source: as revolved_area_mm2.
    >>> round(area_below_mm2(((0.0, 5.0), (20.0, 5.0), (20.0, 85.0)), 15.0), 3)
    2513.274
    """
    line = as_line(polyline)
    if most_of(line[:, 1]) <= level_mm:
        return revolved_area_mm2(line)
    (r0, z0), (r1, z1) = line[:-1].T, line[1:].T
    low, high = np.minimum(z0, z1), np.maximum(z0, z1)
    rise = np.where(high > low, high - low, 1.0)
    share = np.where(low > level_mm, 0.0, np.clip((level_mm - low) / rise, 0.0, 1.0))
    share = np.where((high <= level_mm), 1.0, share)
    lowest = np.where(z0 <= z1, r0, r1)
    cut = lowest + (r0 + r1 - 2.0 * lowest) * share
    return pi * float(((lowest + cut) * np.hypot(r1 - r0, z1 - z0) * share).sum())


def height_of_fill_mm(inside: Sequence[Point], volume_mm3: float) -> float:
    """The level to which a volume fills a vessel.

    Between two heights where the inside bends, the space is made of frustums; the level is
    found by halving between the two heights that hold less and more.

    Args:
        inside: from the axis at the floor up to the rim, mm.
        volume_mm3: >= 0, not more than the vessel holds.
    Returns: height of the surface, mm; the lowest point of the inside for 0.
    Raises: ValueError, a volume below 0 or more than the vessel holds.
    >>> round(height_of_fill_mm(((0.0, 5.0), (20.0, 5.0), (20.0, 85.0)), 12566.370614), 6)
    15.0
    """
    rim = inside[-1][1]
    most = volume_below_mm3(inside, rim)
    if not 0.0 <= volume_mm3 <= most * (1.0 + 1e-12):
        raise ValueError(f"{volume_mm3} mm3 is not between 0 and the {most} mm3 that it holds")
    heights = sorted({height for _, height in inside if height <= rim})
    low, high = 0, len(heights) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if volume_below_mm3(inside, heights[middle]) <= volume_mm3:
            low = middle
        else:
            high = middle
    floor, ceiling = heights[low], heights[high]
    wanted = volume_mm3 - volume_below_mm3(inside, floor)
    crossed = [
        (p0[0] + (p1[0] - p0[0]) * (floor - p0[1]) / (p1[1] - p0[1]), p0, p1)
        for p0, p1 in pairwise(inside)
        if min(p0[1], p1[1]) <= floor and max(p0[1], p1[1]) >= ceiling
    ]
    start, least, greatest = floor, floor, ceiling
    while True:
        level = (least + greatest) / 2.0
        if level in (least, greatest):
            return level
        held = 0.0
        for radius, p0, p1 in crossed:
            at_level = radius + (p1[0] - p0[0]) * (level - start) / (p1[1] - p0[1])
            part = frustum_volume_mm3(radius, at_level, level - start)
            held += part if p1[1] > p0[1] else -part
        if held <= wanted:
            least = level
        else:
            greatest = level
