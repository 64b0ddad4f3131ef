"""Outlines beside another: the inside that a wall leaves, and what moving an outline square comes to.

Each segment of an outline is moved to the left, and the moved segments are joined into one *chain*. No point of
the chain is farther from the outline than the distance asked for, so the chain never cuts the space that is far
enough from it: that space is one face between the chain and the edges of a box. A chain that doesn't meet itself
bounds the face by itself; any other is cut into faces by shapely.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import acos, atan2, ceil, hypot, inf, pi, radians, sqrt
from typing import Any, NamedTuple

from wareboard.pot.crossings import is_simple, left_edge
from wareboard.pot.outlines import Point, Polyline, as_complex, as_line, as_points, as_polyline, mirrored
from wareboard.pot.reckoning import Line, least_of, most_of, np

_NEAR_MM = 1e-9  # two heights or radii that are one
_ARC_STEP = 0.03  # radians between the points of a rounded corner
_ARC_COSINE = sqrt(1.0 - _ARC_STEP**2)
_FEW = 16  # points that are quicker moved one by one than all at once
LEVEL_FROM = radians(75.0)  # from upright; a rim that leans farther is all but level
MITRE_LIMIT = 2.0  # a corner that would reach farther, in distances, is cut off there
_MOST_POINTS, _MOST_TURNING = 8000, 60.0  # points of a chain that meets itself, radians that it turns in all


class SectionError(ValueError):
    """A wall that the outline has no room for.

    Attributes:
        kind: "no-inside", "pinched", "crosses" or "folded".
        radius_mm, height_mm: where on the outline it is.
    """

    def __init__(self, kind: str, message: str, where: Point):
        super().__init__(message)
        self.kind = kind
        self.radius_mm, self.height_mm = where


def wall_inside(
    outline: Sequence[Point] | Line, walls_mm: float | Sequence[float] | Line, floor_level_mm: float
) -> Polyline:
    """The inside that a wall and a floor leave.

    All that lies at least the wall from the outline, measured square to it, and at or above
    the floor; cut level at the rim, but where the outline ends all but level: there its edge stands up, as
    thick as the wall. Round a corner that juts into the inside the wall is an
    arc. Above the rim the outline is thought to run on as it ends, so a leaning wall keeps its thickness up to the rim.

    Args:
        outline: the outside, from the foot up, mm; the flat base is not part of it.
        walls_mm: the wall, >= 0, or one for each point of the outline (linear between).
        floor_level_mm: height of the floor's upper face.
    Returns: from the axis at the floor out and up to the rim's level.
    Raises: SectionError: "no-inside", the wall leaves nothing open at the rim; "pinched", a
        neck closes before the floor; "crosses", the outline crosses itself; "folded", it turns to and fro too
        often. ValueError, a wall below 0.
    >>> wall_inside(((30.0, 0.0), (30.0, 90.0)), 4.0, 6.0)
    ((0.0, 6.0), (26.0, 6.0), (26.0, 90.0))
    """
    line = as_line(outline)
    walls = as_walls(walls_mm, len(line))
    rim = line.item(-1, 1)
    if floor_level_mm >= rim:
        raise SectionError("no-inside", "the floor is as high as the rim", _point(line[-1]))
    points, walls = distinct(line, walls)
    edge = _level_edge(points)
    points, walls = _run_on(points, walls, along=edge is not None)
    chain = moved_chain(points, walls, rounded=True)
    foot = points[0]
    if foot[0] > _NEAR_MM:
        low = min(chain.item(0, 1), floor_level_mm) - 1.0
        if chain.item(0, 1) > floor_level_mm and walls.item(0) > 0.0:  # a wide lean: go round the foot's edge
            centre = complex(*foot)
            arc = _arc(centre, centre - walls.item(0), complex(*chain[0]))
            chain = np.concatenate([as_points(np.array(arc[:-1])), chain])
        chain = np.concatenate([[(chain.item(0, 0), low)], chain])
    inside = None if edge is None else _to_its_edge(chain, _point(points[-2]), edge, floor_level_mm)
    if inside is None:
        inside = _between_levels(chain, 0.0, floor_level_mm, rim, line)
    if inside is None:
        inside = _face_inside(chain, points, walls, floor_level_mm, rim, line)
    return as_polyline(inside)


def as_walls(walls_mm: float | Sequence[float] | Line, count: int) -> Line:
    """Walls, one for all points or one a point, as one a point. Raises ValueError, another number of them, or one below 0."""
    walls = np.full(count, walls_mm) if isinstance(walls_mm, float | int) else np.asarray(walls_mm, dtype=float)
    if len(walls) != count:
        raise ValueError(f"{count} points need as many walls, not {len(walls)}")
    if not least_of(walls) >= 0.0:
        raise ValueError("a wall can't be below 0")
    return walls


def _point(row: Any) -> Point:
    return float(row[0]), float(row[1])


def distinct(line: Line, walls: Line) -> tuple[Line, Line]:
    """An outline without repeated points, and its walls.

    Raises: ValueError, fewer than two points are left.
    """
    at = as_complex(line)
    apart = np.abs(at[1:] - at[:-1])
    if len(apart) and not least_of(apart) > _NEAR_MM:
        kept = np.concatenate([[True], apart > _NEAR_MM])
        line, walls = as_points(at[kept]), walls[kept]
    if len(line) < 2:
        raise ValueError("an outline needs two points or more")
    return line, walls


def _level_edge(points: Line) -> float | None:
    """The lean of the edge in which an outline ends that lies all but level at its rim; None for any other.

    A wall that is cut level there would run out to nothing. From LEVEL_FROM on its edge stands up, from level, which it is
    for all steeper ones, to upright for one that ends level or falls.

    Returns: the angle above level, radians.
    """
    (r0, z0), (r1, z1) = points[-2:].tolist()
    if r1 <= r0:
        return None
    lean = atan2(r1 - r0, z1 - z0)  # from upright
    return min((lean - LEVEL_FROM) / (pi / 2.0 - LEVEL_FROM), 1.0) * pi / 2.0 if lean > LEVEL_FROM else None


def _to_its_edge(chain: Line, rim: Point, edge: float, floor_level_mm: float) -> Line | None:
    """The inside up to an edge that stands up from the rim; None where it doesn't come to one line."""
    away = chain - rim
    beyond = -np.cos(edge) * away[:, 1] - np.sin(edge) * away[:, 0] <= 0.0  # over the edge's own line, or out past it
    under = np.flatnonzero(chain[:, 1] <= floor_level_mm)
    if not len(under) or beyond[: under[-1] + 1].any() or not beyond[-1]:
        return None
    first, last = int(under[-1]), int(np.flatnonzero(beyond)[0])
    if len(under) != first + 1:
        return None
    before, behind = (-np.cos(edge) * away[k, 1] - np.sin(edge) * away[k, 0] for k in (last - 1, last))
    lip = chain[last - 1] + (chain[last] - chain[last - 1]) * (before / (before - behind))
    piece = np.vstack([_level_point(chain[first], chain[first + 1], floor_level_mm), chain[first + 1 : last], lip])
    return np.vstack([(0.0, floor_level_mm), piece]) if piece[:, 0].min() > _NEAR_MM and is_simple(piece) else None


def _run_on(points: Line, walls: Line, *, along: bool = False) -> tuple[Line, Line]:
    """The outline run on past the rim as far as any wall reaches; `along` its last line, however level that is."""
    (r0, z0), (r1, z1) = points[-2:].tolist()
    length = hypot(r1 - r0, z1 - z0)
    across, up = (r1 - r0) / length, (z1 - z0) / length
    last = float(walls[-1])
    if along:
        run = 4.0 * last + 1.0
    else:
        across, up = (0.0, 1.0) if up <= 1e-6 else (across, up)
        run = last * abs(across) / up + last + 1.0
    return np.concatenate([points, [(r1 + across * run, z1 + up * run)]]), np.concatenate([walls, [last]])


def moved_chain(points: Line, walls: Line, *, rounded: bool) -> Line:
    """Every segment moved to the left by its walls, joined from the first point to the last.

    Args:
        points: the outline, no two neighbours the same.
        walls: how far each point moves, square to the segments beside it, mm.
        rounded: whether a corner that the chain goes round is an arc; else a mitre, cut off beyond MITRE_LIMIT.
    Returns: the chain.
    """
    at = as_complex(points)
    if len(at) <= _FEW:
        edges, moves = [_edge(*ends) for ends in pairwise(at.tolist())], walls.tolist()
        chain = [edges[0].start + edges[0].normal * moves[0]]
        for k, (before, after) in enumerate(pairwise(edges)):
            chain += _corner(before, after, moves[k : k + 3], rounded=rounded)
        chain.append(edges[-1].end + edges[-1].normal * moves[-1])
        return as_points(np.array(chain))
    # Among many points most lie on a curve, where the mitre stands off by less than an arc's own chords.
    normals = (at[1:] - at[:-1]) * 1j
    normals *= 1.0 / np.abs(normals)
    beyond = (normals[1:] * normals[:-1].conj()).real + 1.0
    corners = np.flatnonzero(beyond <= 1.0 + _ARC_COSINE).tolist()
    if corners:
        beyond[corners] = 1.0
    joints = at[1:-1] + (normals[1:] + normals[:-1]) * (walls[1:-1] / beyond)
    pieces, done = [at[:1] + normals[:1] * walls[:1]], 0
    for k in corners:
        before, after = _edge(at.item(k), at.item(k + 1)), _edge(at.item(k + 1), at.item(k + 2))
        pieces += [joints[done:k], np.array(_corner(before, after, walls[k : k + 3].tolist(), rounded=rounded))]
        done = k + 1
    return as_points(np.concatenate([*pieces, joints[done:], at[-1:] + normals[-1:] * walls[-1:]]))


class _Edge(NamedTuple):
    """An edge of an outline, as complex numbers: its ends, its normal to the left, and its length."""

    start: complex
    end: complex
    normal: complex
    length: float


def _edge(start: complex, end: complex) -> _Edge:
    length = abs(end - start)
    return _Edge(start, end, (end - start) * 1j / length, length)


def _corner(before: _Edge, after: _Edge, walls: Sequence[float], *, rounded: bool) -> list[complex]:
    """How a chain goes by a corner between two edges that move by walls."""
    wall, corner = walls[1], after.start
    turned = after.normal * before.normal.conjugate()
    open_share = max(1.0 + turned.real, 1e-12)
    mitre = [corner + (before.normal + after.normal) * (wall / open_share)]
    if abs(turned.imag) < _ARC_STEP and turned.real > 0.0:
        return mitre
    end, start = corner + before.normal * wall, corner + after.normal * wall
    if turned.imag > 0.0:
        if turned.imag * max(wall / open_share, wall) <= min(before.length, after.length):
            if walls[0] == wall == walls[2]:
                return mitre
            first, last = before.start + before.normal * walls[0], after.end + after.normal * walls[2]
            met = _meeting(first, end, start, last)
            if met is not None:
                return [met]
        # Where one is too short to hide the other's end, the chain goes by the corner.
        return [end, corner, start]
    if rounded:
        return _arc(corner, end, start) if wall > 0.0 else [corner]
    return mitre if open_share * MITRE_LIMIT**2 >= 2.0 else _cut_mitre(corner, wall, before.normal, after.normal)


def _meeting(a: complex, b: complex, c: complex, d: complex) -> complex | None:
    """Where two moved segments cross, or None."""
    one, other, away = b - a, d - c, c - a
    across = _cross(one, other)
    if abs(across) < 1e-12 * (abs(one.real) + abs(one.imag)) * (abs(other.real) + abs(other.imag)):
        return None
    t, s = _cross(away, other) / across, _cross(away, one) / across
    return a + one * t if 0.0 <= t <= 1.0 and 0.0 <= s <= 1.0 else None


def _cross(one: complex, other: complex) -> float:
    return one.real * other.imag - one.imag * other.real


def _cut_mitre(corner: complex, distance: float, before: complex, after: complex) -> list[complex]:
    """A corner's two moved edges, run on until they are MITRE_LIMIT distances out along its bisector, and cut there.

    Where the mitre would just reach that far, both points are its tip: nothing jumps as a corner sharpens.
    """
    ahead = max(-1.0, min(1.0, (after * before.conjugate()).real))
    half_cos = sqrt(max(0.0, (1.0 + ahead) / 2.0))
    half_sin = sqrt(max(0.0, 1.0 - half_cos * half_cos))
    run = distance * (MITRE_LIMIT - half_cos) / half_sin
    return [corner + before * (distance - 1j * run), corner + after * (distance + 1j * run)]


def _arc(centre: complex, start: complex, end: complex) -> list[complex]:
    """Points clockwise from start to end, both included, chords as long as the arc."""
    out, last = start - centre, end - centre
    angle = acos(max(-1.0, min(1.0, (last * out.conjugate()).real / abs(out) ** 2)))
    count = ceil(angle / _ARC_STEP)
    if count < 2:
        return [start, end]
    step = angle / count
    between = centre + out * (1.0 + step**2 / 24.0) * np.exp(np.arange(1, count) * (-1j * step))
    return [start, *between.tolist(), end]


def _between_levels(chain: Line, left: float, low: float, high: float, outline: Line) -> Line | None:
    """A chain beside an outline, cut to two levels, from `left` on the lower one; without its loops, where it makes some.

    Returns: None where the chain meets a level more than once, or touches itself or what is on its left.
    """
    piece, loops = _cut(chain, low, high), False
    if piece is None:  # it may be by a loop that it meets a level again
        edge = left_edge(chain) if chain[0, 1] < least_of(chain[1:, 1]) else None
        piece, loops = None if edge is None else _cut(edge, low, high), True
    elif not only_rises(piece):
        count = len(piece)
        piece = left_edge(piece)
        loops = piece is not None and len(piece) != count
    if piece is None or least_of(piece[:, 0]) <= left + _NEAR_MM:
        return None
    if loops and (least_of(chain[:, 0]) <= left + _NEAR_MM or not is_simple(outline)):
        return None
    return np.concatenate([[(left, low)], piece])


def _cut(chain: Line, low: float, high: float) -> Line | None:
    """A chain between two levels; None where it comes to one of them more than once."""
    heights = chain[:, 1]
    first = int(np.count_nonzero(heights <= low)) - 1
    if first < 0 or (first and most_of(heights[: first + 1]) > low) or heights[0] > low:
        return None
    above = heights[first + 1 :] >= high
    last = first + 1 + int(above.argmax()) if len(above) else first
    if heights.item(last) < high:
        return None
    piece = chain[first : last + 1].copy()
    piece[0] = _level_point(piece[0], piece[1], low)
    piece[-1] = _level_point(piece[-2], piece[-1], high)
    beyond = chain[last:][heights[last:] < high]  # a rim that turns down again
    if not len(beyond):
        return piece
    beside = only_rises(piece) and least_of(beyond[:, 0] - np.interp(beyond[:, 1], piece[:, 1], piece[:, 0])) >= 0.0
    return piece if beside else None


def only_rises(line: Line) -> bool:
    """Whether a line goes up from each point to the next, or level and then up."""
    heights = line[:, 1]
    rises = heights[1:] - heights[:-1]
    least = least_of(rises)
    if abs(least) > _NEAR_MM:
        return least > 0.0
    flat = rises <= _NEAR_MM
    return not (flat[1:] & flat[:-1]).any()


def _level_point(start: Line, end: Line, level: float) -> Point:
    (r0, z0), (r1, z1) = start.tolist(), end.tolist()
    share = (level - z0) / (z1 - z0) if z1 != z0 else 1.0
    return r0 + (r1 - r0) * share, level


# ---- faces ----


def faces_of(chain: Line, box: tuple[float, float, float, float]) -> list[Line]:
    """The faces, as rings against the clock, that a chain cuts a box into.

    Args:
        chain: the line, mm.
        box: left, low, right, high, mm.
    """
    import shapely

    left, low, right, high = box
    frame = np.array([(left, low), (right, low), (right, high), (left, high), (left, low)])
    lines = [shapely.linestrings(chain), shapely.linestrings(frame)]
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.union_all(lines))))
    rings = []
    for face, bounds in zip(faces, shapely.bounds(faces), strict=True):
        if bounds[0] >= left and bounds[1] >= low and bounds[2] <= right and bounds[3] <= high:
            edge = shapely.get_exterior_ring(face)
            ring = np.asarray(shapely.get_coordinates(edge))[:-1]
            rings.append(ring if shapely.is_ccw(edge) else ring[::-1])
    return rings


def upper_left_face(rings: Sequence[Line], left: float, high: float) -> tuple[Line, Line] | None:
    """The face at the upper left, and its outline: from the left edge round to the upper."""
    for ring in rings:
        at = np.flatnonzero((ring[:, 0] == left) & (ring[:, 1] == high))
        if len(at):
            points = np.roll(ring, -int(at[0]) - 1, axis=0)[:-1]
            first, last = 0, len(points)
            while last - first > 1 and points[first + 1, 0] == left:
                first += 1
            while last - first > 1 and points[last - 2, 1] == high:
                last -= 1
            return ring, points[first:last]
    return None


def refuse_folds(chain: Line, points: Line) -> None:
    """Refuse an outline that turns to and fro so often that its moved segments would cross one another by the thousand.

    Raises: SectionError "folded".
    """
    if len(chain) <= _MOST_POINTS:
        return
    steps = np.diff(points, axis=0)
    turns = np.abs((np.diff(np.arctan2(steps[:, 1], steps[:, 0])) + np.pi) % (2.0 * np.pi) - np.pi)
    if turns.sum() > _MOST_TURNING:
        raise SectionError("folded", "the outline turns to and fro too often", _point(points[1 + int(turns.argmax())]))


def _face_inside(chain: Line, points: Line, walls: Line, low: float, high: float, outline: Line) -> Line:
    """The inside where walls meet or turn back, by faces; or why there is none."""
    import shapely

    def clear(ring: Line) -> bool:
        inner = shapely.point_on_surface(shapely.polygons(ring))
        return not _is_in_clay((float(shapely.get_x(inner)), float(shapely.get_y(inner))), points, walls)

    def narrowest(below: float) -> Point:
        near = (points[:, 1] >= low) & (points[:, 1] <= below)
        if not near.any():
            return _point(outline[0])
        room = np.where(near, points[:, 0] - walls, inf)
        return _point(points[int(room.argmin())])

    if not is_simple(outline):
        raise SectionError("crosses", "the outline crosses itself", narrowest(high))
    refuse_folds(chain, points)
    rings = faces_of(chain, (0.0, low, float(chain[:, 0].max()) + 1.0, high))
    found = upper_left_face(rings, 0.0, high)
    if found is None or not clear(found[0]):
        raise SectionError("no-inside", "the wall leaves no inside", narrowest(high))
    corner, inside = found
    bottom = float(inside[0, 1])
    if bottom > low + 1e-6:
        # An outline that starts on the axis may well have a floor thicker than was asked for.
        lower = [ring for ring in rings if ring is not corner and ring[:, 1].min() < bottom]
        if points[0, 0] > _NEAR_MM or any(clear(ring) for ring in lower):
            message = f"the wall leaves no inside below {bottom:.1f} mm"
            raise SectionError("pinched", message, narrowest(bottom + float(walls.max())))
    return inside


def _is_in_clay(point: Point, points: Line, walls: Line) -> bool:
    """Whether a point is nearer to an outline than its wall."""
    steps = np.diff(points, axis=0)
    away = np.asarray(point) - points[:-1]
    share = np.clip((away * steps).sum(axis=1) / (steps * steps).sum(axis=1), 0.0, 1.0)
    wall = walls[:-1] + np.diff(walls) * share
    gap = away - steps * share[:, None]
    return bool((np.hypot(gap[:, 0], gap[:, 1]) < wall - _NEAR_MM).any())


def grown_edge(line: Line, by_mm: float) -> Line:
    """Part of a section's edge, against the clock, grown square to its faces, corners mitred; without the loops that this makes.

    Args:
        line: points, mm; what is beyond its ends is not looked at.
        by_mm: how far, > 0.
    Returns: the edge; where its loops can't be told, with them: they lie within what has grown.
    """
    outside = mirrored(line)
    outside, by = distinct(outside, np.full(len(outside), by_mm))
    chain = moved_chain(outside, by, rounded=False)
    edge = left_edge(chain)
    return mirrored(chain if edge is None else edge)
