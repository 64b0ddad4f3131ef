"""The shape as thrown: what trimming takes off is still on, and the closed end is as it can be thrown.

Outlines stand as thrown: closed end down, the axis on their left, from the foot up to the rim.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt

from wareboard.pot.crossings import is_simple, left_edge
from wareboard.pot.offsets import (
    MITRE_LIMIT,
    SectionError,
    as_walls,
    distinct,
    faces_of,
    moved_chain,
    only_rises,
    refuse_folds,
    upper_left_face,
)
from wareboard.pot.outlines import Point, Polyline, as_complex, as_line, as_points, as_polyline, mirrored
from wareboard.pot.reckoning import Line, least_of, most_of, np

_NEAR_MM = 1e-9
LEAST_BASE_MM = 8.0  # radius of the least that can be centred and cut off with a wire: common practice
STANDS_ON = 50.0  # an underside that rises less than one in this many stands on the bat
FACE_MM = 0.3  # over so much a curve is a face to a pointer
TOOL_MM = 3.0  # deep a groove that a tool leaves in solid clay on the wheel: common practice


def thrown_outside(
    outline: Sequence[Point] | Line,
    left_on_mm: float | Sequence[float] | Line,
    drop_mm: float,
    *,
    lowest_mm: float | None = None,
    solid_to_mm: float | None = None,
    stub_radius_mm: float | None = None,
) -> Polyline:
    """The outside as thrown: faces moved out square, the closed end thicker by a drop.

    Corners stay corners (mitred; cut off two distances out). The rim's level stays: a steep side runs on to it or is
    cut by it, a side that ends more level than steep gets an upright edge, as far out as is left on there. From the
    moved foot the side goes straight down to what it stands on, which is `drop_mm` under the lowest point; what falls
    below is cut there. Where a drop is left on, that base is 16 mm across at least: an end that closes on
    the axis is thrown on a stub.

    Args:
        outline: the finished outside, from the foot up, mm.
        left_on_mm: how far each face moves, >= 0; one for all, or one for each point of the outline.
        drop_mm: how much thicker the closed end is, >= 0.
        lowest_mm: the finished part's lowest point, where that is not on its outside.
        solid_to_mm: up to this level the closed end is solid clay that is turned when the part is the right way up
            (a lid's knob): it is thrown without an undercut, a narrower place as wide as what is under it.
        stub_radius_mm: the radius of the solid stub that it is thrown on instead.
    Returns: from the base's edge up to the rim.
    Raises: ValueError, a distance or drop below 0. SectionError: "crosses", the outline crosses itself; "folded", it turns to
        and fro too often.
    Source: common practice; plane geometry.
    >>> thrown_outside(((30.0, 0.0), (30.0, 90.0)), 1.0, 3.0)
    ((31.0, -3.0), (31.0, 0.0), (31.0, 90.0))
    """
    line = as_line(outline)
    if not drop_mm >= 0.0:
        raise ValueError("a drop can't be below 0")
    line, left_on = distinct(line, as_walls(left_on_mm, len(line)))
    highest, least = most_of(line[:, 1]), least_of(line[:, 1])
    base = (least if lowest_mm is None else min(least, lowest_mm)) - drop_mm
    chain = _outer_edge(_chain(line, left_on), line)
    if most_of(chain[:, 1]) > highest + _NEAR_MM:
        chain = _pressed(chain, highest)
        while len(chain) > 1 and chain[-2, 1] >= highest - _NEAR_MM:
            chain = chain[:-1]
    if least_of(chain[:, 1]) < base:
        chain = _from_level(chain, base)
    chain = _on_its_base(chain, _foot_radius_mm(chain, drop_mm), base)
    if solid_to_mm is not None and stub_radius_mm is None:
        chain = _filled(chain, 0.0, solid_to_mm, widening=True)
    elif stub_radius_mm is not None:
        solid_to = float(chain[int(chain[:, 0].argmax()), 1]) if solid_to_mm is None else solid_to_mm
        chain = _filled(chain, min(stub_radius_mm, most_of(chain[:, 0])), solid_to, widening=False)
    return as_polyline(chain)


def _chain(line: Line, left_on: Line) -> Line:
    """Every face moved out and joined, from the foot to the moved rim, ending with its edge; mirrored."""
    outside = mirrored(line)
    chain = moved_chain(outside, left_on, rounded=False)
    rim = _rim(_xy(outside[-2]), _xy(outside[-1]), left_on.item(-1))
    return np.concatenate([chain[:-1], rim])


def _rim(before: Point, rim: Point, distance: float) -> list[Point]:
    """How a moved outline ends at its rim, mirrored: with an edge that no small change of its lean throws far out."""
    length = hypot(rim[0] - before[0], rim[1] - before[1])
    out, up = -(rim[0] - before[0]) / length, (rim[1] - before[1]) / length
    end = (rim[0] - distance * up, rim[1] - distance * out)
    if distance == 0.0:
        return [rim]
    if out < 0.0:
        if up > 0.0:
            return [end]  # leans in: what stands above the rim's level is cut off
        # falls inwards: the edge is above the rim itself, so that the opening stays open
        return [(rim[0], rim[1] + min(distance / -out, MITRE_LIMIT * distance))]
    if up >= out:
        return [(rim[0] - distance / up, rim[1])]  # steep: the moved face runs on to the rim's level
    if up > 0.0:  # flat: upright, as far out as is left on where the lean comes to level
        reach = distance / out
        return [(rim[0] - reach, rim[1] - (distance - reach * up) / out), (rim[0] - reach, rim[1])]
    half_cos, tip = sqrt(max(0.0, (1.0 + up) / 2.0)), (rim[0] - distance, rim[1])  # level, or rolled over
    if half_cos * MITRE_LIMIT >= 1.0:
        return [(rim[0] - distance, rim[1] - distance * (1.0 - up) / max(out, 1e-9)), tip]
    run = distance * (MITRE_LIMIT - half_cos) / sqrt(1.0 - half_cos * half_cos)
    return [(end[0] - out * run, end[1] + up * run), (rim[0] - distance, rim[1] - run), tip]


def _xy(row: Line) -> Point:
    return float(row[0]), float(row[1])


def _outer_edge(chain: Line, line: Line) -> Line:
    """A mirrored chain where it lies against the outer air, without the loops that it makes in hollows that fill; mirrored back."""
    if only_rises(chain):
        return mirrored(chain)
    high = max(most_of(chain[:, 1]), most_of(line[:, 1])) + 1.0
    low = min(least_of(chain[:, 1]), least_of(line[:, 1])) - 1.0
    whole = np.concatenate([[(chain.item(0, 0), low)], chain, [(chain.item(-1, 0), high)]])
    free = left_edge(whole)
    if free is not None:
        return mirrored(chain if len(free) == len(whole) else free[:-1])
    if is_simple(whole):
        return mirrored(chain)
    refuse_folds(chain, line)
    far = max(-least_of(chain[:, 0]), most_of(line[:, 0])) + 1.0
    found = upper_left_face(faces_of(whole, (-far, low, 0.0, high)), -far, high)
    if found is None:
        raise SectionError("crosses", "the outline crosses itself", _xy(line[0]))
    edge = mirrored(found[1])
    if edge[0, 1] <= low:
        edge = edge[1:]
    return edge[:-1] if edge[-1, 1] >= high and len(edge) > 1 else edge


def _pressed(chain: Line, level: float) -> Line:
    """A line with all that is above a level pressed down onto it."""
    limited = _with_crossings(chain, level).copy()
    limited[:, 1] = np.minimum(limited[:, 1], level)
    if len(limited) < 3:
        return limited
    on = limited[:, 1] == level
    middle = np.concatenate([[False], on[2:] & on[1:-1] & on[:-2], [False]])
    return as_line(limited[~middle])


def _from_level(chain: Line, level: float) -> Line:
    """What of a line comes after the last time that it is below a level, from there on."""
    last = int(np.flatnonzero(chain[:, 1] <= level + _NEAR_MM)[-1])
    (r0, z0), (r1, z1) = chain[last].tolist(), chain[min(last + 1, len(chain) - 1)].tolist()
    if z0 < level < z1:
        r0 += (r1 - r0) * (level - z0) / (z1 - z0)
    return np.concatenate([[(r0, max(z0, level))], chain[last + 1 :]])


def _with_crossings(chain: Line, level: float) -> Line:
    """A line with a point more wherever it crosses a level."""
    above = chain[:, 1] - level
    pieces, done = [], 0
    for k in np.flatnonzero(above[:-1] * above[1:] < 0.0).tolist():
        (r0, z0), (r1, z1) = chain[k : k + 2].tolist()
        pieces += [chain[done : k + 1], np.array([(r0 + (r1 - r0) * ((level - z0) / (z1 - z0)), level)])]
        done = k + 1
    return np.concatenate([*pieces, chain[done:]]) if pieces else chain


def _foot_radius_mm(chain: Line, drop_mm: float) -> float:
    """Radius of what a moved outline stands on.

    The moved foot's; farther out where the underside goes on all but level; and no less than can be cut off with a wire.
    """
    radii, heights = chain[:, 0], chain[:, 1]
    stands = most_of(radii - STANDS_ON * (heights - least_of(heights)))
    least = min(LEAST_BASE_MM, most_of(radii)) if drop_mm > 0.0 else 0.0
    return max(stands, least, chain.item(0, 0))


def _on_its_base(chain: Line, foot: float, base: float) -> Line:
    """A moved outline with straight sides down from a radius to its base."""
    first = int((chain[:, 0] >= foot - _NEAR_MM).argmax())
    added, rest = [], chain[first:]
    if first:
        (r0, z0), (r1, z1) = chain[first - 1 : first + 1].tolist()
        if r1 > foot + _NEAR_MM:
            added = [(foot, z0 + (z1 - z0) * (foot - r0) / (r1 - r0))]
    radius, height = added[0] if added else _xy(rest[0])
    if height > base + _NEAR_MM:
        added = [(radius, base), *added]
    return np.concatenate([added, rest]) if added else rest


def _filled(chain: Line, out: float, to: float, *, widening: bool) -> Line:
    """A line that stays out at a radius until it comes to a level; `widening`, as far out as it has been. Above, it is as it was."""
    above = chain[:, 1] > to
    last = int(above.argmax()) if above[-1] or above.any() else len(chain)
    low, rest = chain[:last], chain[last:]
    if not last:
        return chain
    radii = low[:, 0]
    if least_of(radii - (np.maximum.accumulate(radii) if widening else out)) >= -_NEAR_MM:
        return chain
    if len(rest):
        (r0, z0), (r1, z1) = chain[last - 1 : last + 1].tolist()
        low = np.concatenate([low, [(r0 + (r1 - r0) * (to - z0) / (z1 - z0), to)]])
        radii = low[:, 0]
    level = np.maximum.accumulate(np.maximum(radii, out)) if widening else np.full(len(low), max(out, low.item(0, 0)))
    within = radii < level
    pieces, done = [], 0
    ends = ((within[1:] != within[:-1]).nonzero()[0] + 1).tolist()
    ends = [*([0] if within[0] else []), *ends, *([len(low)] if within[-1] else [])]
    for first, behind in zip(ends[::2], ends[1::2]):  # from its first point within to the next that isn't
        start = _upright(low, first, level) if first else [(level.item(0), low.item(0, 1))]
        if behind < len(low):
            end = _upright(low, behind, level)
        else:
            end = [(level.item(-1), low.item(-1, 1))] if first < behind - 1 or first else []
        pieces += [low[done:first], np.array([*start, *end]).reshape(-1, 2)]
        done = behind
    filled = np.concatenate([*pieces, low[done:], *([low[-1:], rest] if len(rest) else [])])
    filled, _ = distinct(filled, filled[:, 0])
    stays = filled[1:, 0] == filled[:-1, 0]
    middle = stays[1:] & stays[:-1]
    if not middle.any():
        return filled
    return as_points(as_complex(filled)[np.concatenate([[True], ~middle, [True]])])


def _upright(line: Line, place: int, level: Line) -> list[Point]:
    """Where a line crosses the radius at which it is to stay, before a point of it; nothing where a point lies there."""
    (r0, z0), (r1, z1) = line[place - 1 : place + 1].tolist()
    at = level.item(place - 1)
    return [(at, z0 + (z1 - z0) * ((at - r0) / (r1 - r0)))] if (r0 - at) * (r1 - at) < 0.0 else []


def reach_mm(outline: Sequence[Point] | Line, place: int, left_on_mm: float) -> float:
    """How far out the outside as thrown is at a point's level: what a pointer is set to.

    A face with left_on d, whose normal has the level share n, is d / n farther out at one level, until it lies so flat
    that this is twice what is left on there; flatter, it comes back to d. Of two faces that meet at the point, the nearer
    one bounds a corner that juts out, the farther one a hollow. The rim's edge: d / n to 45 degrees, then back to d.

    Args:
        outline: the finished outside, from the foot up, mm.
        place: which of its points.
        left_on_mm: what is left on there, mm, >= 0.
    Returns: radius, mm.
    Source: common practice; plane geometry.
    >>> reach_mm(((30.0, 0.0), (30.0, 90.0)), 1, 1.0)
    31.0
    """
    radius = float(outline[place][0])
    faces = [_face(outline, place, way) for way in (-1, 1) if 0 <= place + way < len(outline)]
    normals = [(up, -out) for out, up in faces]
    if place == len(outline) - 1:
        level = max(normals[0][0], 0.0)
        return radius + left_on_mm / max(level, sqrt(1.0 - level * level))
    shares = [1.0 / level if level >= 0.5 else 1.0 + 2.0 * max(level, 0.0) for level, _ in normals]
    if len(shares) == 1:
        return radius + left_on_mm * shares[0]
    juts_out = normals[0][0] * normals[1][1] - normals[0][1] * normals[1][0] > 0.0
    return radius + left_on_mm * (min(shares) if juts_out else max(shares))


def _face(outline: Sequence[Point] | Line, place: int, way: int) -> Point:
    """The direction, from foot to rim, of an outline before (way -1) or behind a point, as it is seen over FACE_MM."""
    (r0, z0), near, far, at = outline[place], (0.0, 0.0), (0.0, 0.0), place
    while hypot(*far) < FACE_MM and 0 <= at + way < len(outline):
        at, near = at + way, far
        far = (float(outline[at][0] - r0), float(outline[at][1] - z0))
    reached, before = hypot(*far), hypot(*near)
    share = min(1.0, (FACE_MM - before) / (reached - before)) if reached > before else 1.0
    out, up = (one + (other - one) * share for one, other in zip(near, far, strict=True))
    length = hypot(out, up) * way
    return (out / length, up / length) if length else (0.0, 1.0)


def undercut_mm(thrown: Sequence[Point] | Line, solid_to_mm: float) -> tuple[float, Point]:
    """How far solid clay comes in above a wider place, and where: what hands can't leave under a turning lump.

    Args:
        thrown: the outside as thrown, mm, closed end down.
        solid_to_mm: the level up to which there is clay to the axis.
    Returns: depth, mm, 0 where there is none, and the narrowest point.
    Source: common practice.
    >>> undercut_mm(((20.0, 0.0), (20.0, 5.0), (8.0, 15.0), (50.0, 25.0)), 20.0)
    (12.0, (8.0, 15.0))
    """
    line = _pressed(as_line(thrown), solid_to_mm)
    depth = np.where(line[:, 1] < solid_to_mm, np.maximum.accumulate(line[:, 0]) - line[:, 0], 0.0)
    at = int(depth.argmax())
    return float(depth[at]), _xy(line[at])
