"""Outlines beside another: the inside that a wall leaves, the outside as thrown.

Both are found in the same way. Each segment of an outline is moved to the left, and the moved
segments are joined into one *chain*. No point of the chain is farther from the outline than
the distance asked for, so the chain never cuts the space that is far enough from it: that space
is one face between the chain, the axis and two levels. A chain that only rises bounds the face
by itself; any other is cut into faces by shapely.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import acos, ceil, cos, hypot, inf, sin

from wareboard.pot.outlines import Point, Polyline

_NEAR_MM = 1e-9  # two heights or radii that are one
_ARC_STEP = 0.03  # radians between the points of a rounded corner
_MITRE_LIMIT = 4.0  # a corner that would reach farther, in distances, is cut off square


class SectionError(ValueError):
    """A wall that the outline has no room for.

    Attributes:
        kind: "no-inside", "pinched" or "crosses".
        radius_mm, height_mm: where on the outline it is.
    """

    def __init__(self, kind: str, message: str, where: Point):
        super().__init__(message)
        self.kind = kind
        self.radius_mm, self.height_mm = where


def wall_inside(outline: Sequence[Point], walls_mm: float | Sequence[float], floor_level_mm: float) -> Polyline:
    """The inside that a wall and a floor leave.

    All that lies at least the wall from the outline, measured square to it, and at or above
    the floor; cut level at the rim. Round a corner that juts into the inside the wall is an
    arc. Above the rim the outline is thought to run on as it ends (straight up if it ends level
    or falling), so a leaning wall keeps its thickness up to the rim.

    Args:
        outline: the outside, from the foot up, mm; the flat base is not part of it.
        walls_mm: the wall, >= 0, or one for each point of the outline (linear between).
        floor_level_mm: height of the floor's upper face.
    Returns: from the axis at the floor out and up to the rim's level.
    Raises: SectionError: "no-inside", the wall leaves nothing open at the rim; "pinched", a
        neck closes before the floor; "crosses", the outline crosses itself. ValueError, a
        wall below 0.
    >>> wall_inside(((30.0, 0.0), (30.0, 90.0)), 4.0, 6.0)
    ((0.0, 6.0), (26.0, 6.0), (26.0, 90.0))
    """
    constant = isinstance(walls_mm, int | float)
    walls = [float(walls_mm)] * len(outline) if constant else list(walls_mm)
    if len(walls) != len(outline):
        raise ValueError(f"{len(outline)} points need as many walls, not {len(walls)}")
    if not min(walls) >= 0.0:
        raise ValueError("a wall can't be below 0")
    rim = outline[-1][1]
    if floor_level_mm >= rim:
        raise SectionError("no-inside", "the floor is as high as the rim", outline[-1])
    points, walls = _run_on(outline, walls)
    chain = _moved_chain(points, walls, rounded=True)
    foot = outline[0]
    if foot[0] > _NEAR_MM:
        if chain[0][1] > floor_level_mm and walls[0] > 0.0:  # a wide lean: go round the foot's edge
            chain = _arc(foot, walls[0], (foot[0] - walls[0], foot[1]), chain[0])[:-1] + chain
        chain.insert(0, (chain[0][0], min(chain[0][1], floor_level_mm) - 1.0))
    inside = _risen(chain, 0.0, floor_level_mm, rim)
    if inside is None:
        inside = _face_inside(chain, points, walls, floor_level_mm, rim, outline)
    return tuple(inside)


def moved_out(outline: Sequence[Point], distance_mm: float, drop_mm: float) -> Polyline:
    """The outside as thrown: faces moved out square, the closed end thicker by a drop.

    Corners stay corners (mitred; cut off square beyond four distances). The rim's level stays,
    the moved line running on to it or cut by it. From the moved foot the side goes straight
    down; what falls below the drop is cut there. A hollow narrower than the distance fills.

    Args:
        outline: the outside, from the foot up, mm.
        distance_mm: how far each face moves, >= 0.
        drop_mm: how far below height 0 the closed end reaches, >= 0.
    Returns: from the foot's corner at -drop up to the rim's level. An outline that starts on the
        axis has no foot to go down from: it starts on the axis, at its own moved height.
    Raises: ValueError, a distance or drop below 0.
    >>> moved_out(((30.0, 0.0), (30.0, 90.0)), 1.0, 3.0)
    ((31.0, -3.0), (31.0, 0.0), (31.0, 90.0))
    """
    if not (distance_mm >= 0.0 and drop_mm >= 0.0):
        raise ValueError("a distance and a drop can't be below 0")
    rim, base = outline[-1][1], -drop_mm
    # Mirrored, the outer air is on the left, as the inside is in wall_inside.
    mirrored = [(-radius, height) for radius, height in outline]
    points, distances = _run_on(mirrored, [distance_mm] * len(outline))
    chain = _moved_chain(points, distances, rounded=False)
    if outline[0][0] <= _NEAR_MM:
        chain[0] = _to_axis(chain)
        base = max(base, min(height for _, height in chain))
        chain.insert(0, (0.0, base - 1.0))
    else:
        chain.insert(0, (chain[0][0], min(chain[0][1], base) - 1.0))
    far = min(r for r, _ in chain) - 1.0
    risen = _risen(chain, far, base, rim)
    if risen is None:
        risen = _face_at_corner(_faces(chain, far, base, rim), far, rim)
        if risen is None:
            raise SectionError("crosses", "the outline crosses itself", outline[0])
    moved = [(-radius + 0.0, height) for radius, height in risen[1:]]
    return tuple(moved)


def _run_on(outline, walls):
    """The outline without repeated points, run on past the rim as far as any wall reaches."""
    points, kept = [outline[0]], [walls[0]]
    for point, wall in zip(outline[1:], walls[1:], strict=True):
        if hypot(point[0] - points[-1][0], point[1] - points[-1][1]) > _NEAR_MM:
            points.append(point)
            kept.append(wall)
    if len(points) < 2:
        raise ValueError("an outline needs two points or more")
    (r0, z0), (r1, z1) = points[-2:]
    length = hypot(r1 - r0, z1 - z0)
    across, up = (r1 - r0) / length, (z1 - z0) / length
    if up <= 1e-6:
        across, up = 0.0, 1.0
    run = kept[-1] * abs(across) / up + kept[-1] + 1.0
    points.append((r1 + across * run, z1 + up * run))
    kept.append(kept[-1])
    return points, kept


def _moved_chain(points, walls, *, rounded):
    """Every segment moved left by its walls, joined from the first point to the last."""
    chain = []
    (r0, z0), w0, before = points[0], walls[0], None
    for (r1, z1), w1 in zip(points[1:], walls[1:], strict=True):
        length = hypot(r1 - r0, z1 - z0)
        nr, nz = (z0 - z1) / length, (r1 - r0) / length
        start, end = (r0 + nr * w0, z0 + nz * w0), (r1 + nr * w1, z1 + nz * w1)
        after = (start, end, nr, nz, length, w0 == w1)
        if before is None:
            chain.append(start)
        else:
            chain += _joint((r0, z0), w0, before, after, rounded)
        r0, z0, w0, before = r1, z1, w1, after
    return [*chain, end]


def _joint(corner, wall, before, after, rounded):
    """The points that join two moved segments at their corner."""
    _, end, nr0, nz0, length0, level0 = before
    start, _, nr1, nz1, length1, level1 = after
    turn, ahead = nr0 * nz1 - nz0 * nr1, nr0 * nr1 + nz0 * nz1
    reach = wall / (1.0 + ahead) if ahead > -1.0 + 1e-12 else inf
    if abs(turn) < _ARC_STEP and ahead > 0.0:
        mitred = True  # on a curve: the mitre stands off by less than an arc's own chords
    elif turn > 0.0:  # the moved segments overlap: go on from where they meet
        if turn * max(reach, wall) > min(length0, length1):
            return (end, corner, start)  # one is too short to hide the other's end: by the corner
        if not (level0 and level1):
            met = _meeting(before, after)
            return (met,) if met else (end, corner, start)
        mitred = True
    elif rounded:
        return _arc(corner, wall, end, start) if wall > 0.0 else (corner,)
    else:
        mitred = (1.0 + ahead) * _MITRE_LIMIT**2 >= 2.0
    if mitred:
        return ((corner[0] + (nr0 + nr1) * reach, corner[1] + (nz0 + nz1) * reach),)
    return (end, start)


def _meeting(before, after):
    """Where two moved segments cross, or None."""
    (a, b), (c, d) = before[:2], after[:2]
    ur, uz, vr, vz = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = ur * vz - uz * vr
    if abs(across) < 1e-12 * (abs(ur) + abs(uz)) * (abs(vr) + abs(vz)):
        return None
    t = ((c[0] - a[0]) * vz - (c[1] - a[1]) * vr) / across
    s = ((c[0] - a[0]) * uz - (c[1] - a[1]) * ur) / across
    return (a[0] + ur * t, a[1] + uz * t) if 0.0 <= t <= 1.0 and 0.0 <= s <= 1.0 else None


def _arc(centre, radius, start, end):
    """Points clockwise from start to end, both included, chords as long as the arc."""
    r0, z0 = (start[0] - centre[0]) / radius, (start[1] - centre[1]) / radius
    r1, z1 = (end[0] - centre[0]) / radius, (end[1] - centre[1]) / radius
    angle = acos(max(-1.0, min(1.0, r0 * r1 + z0 * z1)))
    count = ceil(angle / _ARC_STEP)
    points = [start]
    for k in range(1, count):
        turned = angle * k / count
        out = radius * (1.0 + (angle / count) ** 2 / 24.0)
        c, s = out * cos(turned), out * sin(turned)
        points.append((centre[0] + r0 * c + z0 * s, centre[1] + z0 * c - r0 * s))
    return [*points, end]


def _to_axis(chain):
    """Where the first segment of a moved chain, run back, comes to the axis."""
    (r0, z0), (r1, z1) = chain[:2]
    return (0.0, z0 - r0 * (z1 - z0) / (r1 - r0)) if abs(r1 - r0) > _NEAR_MM else (0.0, z0)


def _risen(chain, left, low, high):
    """A chain cut to two levels, from `left` on the lower, or None if it doesn't just rise."""
    first = max((k for k, point in enumerate(chain) if point[1] <= low), default=None)
    if first is None or any(point[1] > low for point in chain[:first]):
        return None
    points, flat = [chain[first]], False
    for point in chain[first + 1 :]:
        rise = point[1] - points[-1][1]
        if rise < -_NEAR_MM or (flat and rise <= _NEAR_MM):
            return None
        flat = rise <= _NEAR_MM
        points.append(point)
    last = next((k for k, point in enumerate(points) if point[1] >= high), None)
    if last is None:
        return None
    points = points[: last + 1]
    points[0] = _level_point(points[0], points[1], low)
    points[-1] = _level_point(points[-2], points[-1], high)
    if min(point[0] for point in points) <= left + _NEAR_MM:
        return None
    return [(left, low), *points]


def _level_point(p0, p1, level):
    share = (level - p0[1]) / (p1[1] - p0[1]) if p1[1] != p0[1] else 1.0
    return (p0[0] + (p1[0] - p0[0]) * share, level)


def _faces(chain, left, low, high):
    """The faces, as rings against the clock, that a chain cuts a box into."""
    import numpy
    import shapely

    right = max(point[0] for point in chain) + 1.0
    box = [(left, low), (right, low), (right, high), (left, high), (left, low)]
    lines = [shapely.linestrings(numpy.array(line)) for line in (chain, box)]
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.union_all(lines))))
    rings = []
    for face, bounds in zip(faces, shapely.bounds(faces), strict=True):
        if bounds[0] >= left and bounds[1] >= low and bounds[2] <= right and bounds[3] <= high:
            edge = shapely.get_exterior_ring(face)
            ring = [(r, z) for r, z in shapely.get_coordinates(edge).tolist()[:-1]]
            rings.append(ring if shapely.is_ccw(edge) else ring[::-1])
    return rings


def _face_at_corner(rings, left, high):
    """The outline of the face at the upper left: from the left edge round to the upper."""
    for ring in rings:
        if (left, high) in ring:
            at = ring.index((left, high))
            points = ring[at + 1 :] + ring[:at]
            while len(points) > 1 and points[1][0] == left:
                del points[0]
            while len(points) > 1 and points[-2][1] == high:
                del points[-1]
            return points
    return None


def _face_inside(chain, points, walls, low, high, outline):
    """The inside where walls meet or turn back, by faces; or why there is none."""
    import shapely

    def clear(ring):
        inner = shapely.point_on_surface(shapely.polygons(ring))
        return not _is_in_clay((shapely.get_x(inner), shapely.get_y(inner)), points, walls)

    def narrowest(below):
        room = [(p[0] - w, p) for p, w in zip(points, walls, strict=True) if low <= p[1] <= below]
        return min(room, default=(0.0, outline[0]))[1]

    if not shapely.is_simple(shapely.linestrings(outline)):
        raise SectionError("crosses", "the outline crosses itself", narrowest(high))
    rings = _faces(chain, 0.0, low, high)
    inside = _face_at_corner(rings, 0.0, high)
    corner = next((ring for ring in rings if (0.0, high) in ring), None)
    if inside is None or not clear(corner):
        raise SectionError("no-inside", "the wall leaves no inside", narrowest(high))
    bottom = inside[0][1]
    if bottom > low + 1e-6:
        # An outline that starts on the axis may well have a floor thicker than was asked for.
        lower = [ring for ring in rings if ring is not corner and min(z for _, z in ring) < bottom]
        if outline[0][0] > _NEAR_MM or any(clear(ring) for ring in lower):
            message = f"the wall leaves no inside below {bottom:.1f} mm"
            raise SectionError("pinched", message, narrowest(bottom + max(walls)))
    return inside


def _is_in_clay(point: Point, points: Iterable[Point], walls: Iterable[float]) -> bool:
    """Whether a point is nearer to an outline than its wall."""
    r, z = point
    for (p0, p1), (w0, w1) in zip(pairwise(points), pairwise(walls), strict=True):
        dr, dz = p1[0] - p0[0], p1[1] - p0[1]
        share = ((r - p0[0]) * dr + (z - p0[1]) * dz) / (dr * dr + dz * dz)
        share = max(0.0, min(1.0, share))
        wall = w0 + (w1 - w0) * share
        if hypot(r - p0[0] - dr * share, z - p0[1] - dz * share) < wall - _NEAR_MM:
            return True
    return False
