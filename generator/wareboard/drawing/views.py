"""What a draughtsman sees of solids of revolution: outside view, hatched section, parts set together.

Points are (radius_mm, height_mm). A ring is a closed half section, axis included.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import atan2, ceil, inf, pi, sqrt, tan

from wareboard.pot.frozen import frozen

Point = tuple[float, float]

NEAR_MM = 1e-4  # closer than this, two sizes are one
CREASE = tan(14.0 * pi / 180.0)  # a smooth outline turns less from point to point


def simplified(points: Sequence[Point], tolerance_mm: float) -> list[Point]:
    """A line with fewer of its own points; every dropped one lies within a tolerance of it.

    From each point that is kept, the directions in which all points since are still near enough; the
    line goes on as long as the next point lies in one of them.

    Args:
        points: the line.
        tolerance_mm: farthest that a dropped point may lie from the new line, mm.
    Returns: first and last point and what is needed between.
    Source: worked (a sleeve of directions; one pass).
    >>> simplified([(0.0, 0.0), (1.0, 0.001), (2.0, 0.0), (2.0, 5.0)], 0.01)
    [(0.0, 0.0), (2.0, 0.0), (2.0, 5.0)]
    """
    if len(points) < 3:
        return list(points)
    kept = [points[0]]
    anchor_x, anchor_y = before = points[0]
    ahead, low, high, farthest = None, 0.0, 0.0, 0.0
    for point in points[1:]:
        dx, dy = point[0] - anchor_x, point[1] - anchor_y
        away = sqrt(dx * dx + dy * dy)
        if ahead is not None:
            turn = atan2(dy, dx) - ahead
            if turn > pi:
                turn -= 2.0 * pi
            elif turn < -pi:
                turn += 2.0 * pi
            # a point that comes back towards the anchor would be lost between the two kept ones
            if away < farthest or not low <= turn <= high:
                kept.append(before)
                anchor_x, anchor_y = before
                dx, dy = point[0] - anchor_x, point[1] - anchor_y
                away = sqrt(dx * dx + dy * dy)
                ahead = None
        if away > tolerance_mm:
            half = tolerance_mm / away  # the sine for the angle: smaller, so on the safe side
            if ahead is None:
                ahead, low, high = atan2(dy, dx), -half, half
            else:
                if turn - half > low:
                    low = turn - half
                if turn + half < high:
                    high = turn + half
            farthest = away
        before = point
    kept.append(points[-1])
    return kept


def creases(outline: Sequence[Point]) -> list[Point]:
    """Points where an outline turns sharply: circles that show as lines on the outside.

    >>> creases([(29.0, 0.0), (31.0, 2.0), (40.0, 120.0)])
    [(31.0, 2.0)]
    """
    found = []
    (x0, y0), (x1, y1) = outline[:2] if len(outline) > 2 else ((0.0, 0.0), (0.0, 0.0))
    ax, ay = x1 - x0, y1 - y0
    for x2, y2 in outline[2:]:
        bx, by = x2 - x1, y2 - y1
        along, across = ax * bx + ay * by, ax * by - ay * bx
        if along <= 0.0 or across > CREASE * along or -across > CREASE * along:
            found.append((x1, y1))
        x1, y1, ax, ay = x2, y2, bx, by
    return found


@frozen
class OutsideView:
    """What shows from outside, to one side of the axis: the silhouette's lines, and the level
    lines that run from the axis to a point of it."""

    lines: tuple[tuple[Point, ...], ...]
    edges: tuple[Point, ...]

    def radius_at(self, height_mm: float) -> float:
        """The silhouette's greatest radius at a level, mm; 0 where there is nothing."""
        return max(_radii_at(self.lines, height_mm), default=0.0)

    def greatest_above(self, height_mm: float) -> float:
        """The silhouette's greatest radius above a level, mm."""
        above = [radius for line in self.lines for radius, height in line if height > height_mm + NEAR_MM]
        return max(above, default=0.0)


def _radii_at(lines: Sequence[Sequence[Point]], height_mm: float):
    for line in lines:
        for (r0, h0), (r1, h1) in itertools.pairwise(line):
            low, high = min(h0, h1), max(h0, h1)
            if low - NEAR_MM <= height_mm <= high + NEAR_MM:
                yield (
                    max(r0, r1)
                    if high - low < NEAR_MM
                    else r0 + (r1 - r0) * min(max((height_mm - h0) / (h1 - h0), 0.0), 1.0)
                )


def outside_view(outlines: Sequence[Sequence[Point]], sharp: Sequence[Point] = ()) -> OutsideView:
    """Look at solids of revolution about one axis from the side.

    At every level only what stands farthest out is seen; anything nearer the axis (an undercut, a
    flange in its gallery) is hidden behind it.

    Args:
        outlines: each part's outside, where it stands.
        sharp: points where an outline turns sharply (`creases`).
    Returns: the lines that are seen.
    >>> outside_view([[(29.0, 0.0), (31.0, 2.0), (40.0, 120.0)]], [(31.0, 2.0)]).edges
    ((29.0, 0.0), (31.0, 2.0), (40.0, 120.0))
    """
    slopes = []
    for outline in outlines:
        for (r0, h0), (r1, h1) in itertools.pairwise(outline):
            if abs(h1 - h0) > NEAR_MM:
                slopes.append((h0, r0, h1, r1) if h0 < h1 else (h1, r1, h0, r0))
    slopes.sort()
    levels = sorted({height for outline in outlines for _, height in outline})
    lines: list[list[Point]] = []
    edges: list[Point] = []
    waiting, active = 0, []
    for low, high in itertools.pairwise(levels):
        if high - low < NEAR_MM:
            continue
        while waiting < len(slopes) and slopes[waiting][0] <= low + NEAR_MM:
            active.append(slopes[waiting])
            waiting += 1
        active = [slope for slope in active if slope[2] >= high - NEAR_MM]
        for h0, r0, h1, r1 in _farthest(active, low, high) if len(active) > 1 else _alone(active, low, high):
            before = lines[-1][-1] if lines else None
            if before is None or abs(before[1] - h0) > NEAR_MM:
                lines.append([(r0, h0)])
                edges += ([before] if before else []) + [(r0, h0)]
            elif abs(before[0] - r0) > NEAR_MM:
                lines[-1].append((r0, h0))
                edges.append(max(before, (r0, h0)))
            lines[-1].append((r1, h1))
    if lines:
        edges.append(lines[-1][-1])
    view = OutsideView(tuple(tuple(line) for line in lines), ())
    edges += [(radius, height) for radius, height in sharp if radius >= view.radius_at(height) - 0.1]
    kept: dict[int, Point] = {}
    for radius, height in edges:
        level = round(height * 50.0)
        if radius > NEAR_MM and radius > kept.get(level, (0.0, 0.0))[0]:
            kept[level] = (radius, height)
    return OutsideView(view.lines, tuple(kept[level] for level in sorted(kept)))


def _farthest(active, low: float, high: float):
    """The farthest-out line through a band of levels, piece by piece."""
    at = low
    while active and at < high - NEAR_MM:
        ranked = [(_radius(slope, at), _lean(slope), slope) for slope in active]
        # where two cross, the one that leads on is the farther, whatever the last digit says
        farthest = max(radius for radius, _, _ in ranked) - 1e-9
        radius, lean, best = max((entry for entry in ranked if entry[0] >= farthest), key=lambda entry: entry[1])
        until = high
        for other_radius, other_lean, _ in ranked:
            if other_lean > lean + 1e-9:
                until = min(until, max(at + (radius - other_radius) / (other_lean - lean), at + NEAR_MM))
        yield at, radius, until, _radius(best, until)
        at = until


def _alone(active, low: float, high: float):
    return [(low, _radius(slope, low), high, _radius(slope, high)) for slope in active]


def _radius(slope, height: float) -> float:
    return slope[1] + _lean(slope) * (height - slope[0])


def _lean(slope) -> float:
    return (slope[3] - slope[1]) / (slope[2] - slope[0])


def hatch_lines(
    ring: Sequence[Point],
    spacing_mm: float,
    rising: bool = True,
    within: tuple[float, float, float, float] | None = None,
) -> list[tuple[Point, Point]]:
    """Lines at 45° across a section, cut off at its outline.

    Args:
        ring: the section, closed.
        spacing_mm: distance between lines, square to them, mm.
        rising: from lower left to upper right; the part next to it is hatched the other way.
        within: left, bottom, right, top; lines that pass by this box are left out.
    Returns: both ends of each line.
    >>> [[round(c, 3) for p in line for c in p] for line in hatch_lines([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)], 2.0)]
    [[0.0, 0.0, 2.0, 2.0]]
    """
    step = spacing_mm * 2.0**0.5
    way = 1.0 if rising else -1.0
    crossings: dict[int, list[float]] = {}
    first, last = -inf, inf
    if within:
        left, bottom, right, top = within
        first, last = (left - top, right - bottom) if rising else (left + bottom, right + top)
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        u0, u1 = x0 - way * y0, x1 - way * y1
        low, high = max(min(u0, u1), first), min(max(u0, u1), last)
        for line in range(ceil(low / step), ceil(high / step)):
            along = (line * step - u0) / (u1 - u0)
            crossings.setdefault(line, []).append(y0 + (y1 - y0) * along)
    found = []
    for line, heights in sorted(crossings.items()):
        heights.sort()
        for low, high in zip(heights[::2], heights[1::2], strict=False):
            if high - low > 0.05:
                found.append(((line * step + way * low, low), (line * step + way * high, high)))
    return found


def raised(points: Sequence[Point], by_mm: float) -> list[Point]:
    """Points moved up.

    >>> raised([(1.0, 2.0)], 3.0)
    [(1.0, 5.0)]
    """
    return [(radius, height + by_mm) for radius, height in points]
