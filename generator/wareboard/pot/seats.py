"""What rests on what: one section let down upon another, centred, until it touches.

A section is a closed ring of (radius, height), mm, standing as it is used. At each radius the lower part has a highest
point and the upper one a lowest: where these come nearest, it rests.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from math import erfc, hypot, inf, sqrt, tan

from wareboard.pot.frozen import frozen
from wareboard.pot.offsets import grown_ring
from wareboard.pot.outlines import Point, as_line
from wareboard.pot.reckoning import Line, np

_NEAR_MM = 1e-9
BEARS_MM = 0.5  # faces this near each other, height-wise, bear
JOINT_MM = 15.0  # from the joint, the outside that the eye and the thumb compare
STEEP = tan(1.0472)  # a face steeper than 60 degrees wedges; what lies on it doesn't slide
SUNK_SHARE = 1.0 / 3.0  # of a vessel's depth: a lid that lies lower has fallen in


@frozen
class Seat:
    """How one part rests on another, mm.

    `width_mm` of the bearing ring, a side, 0 where nothing stops it; `inner_mm` and `outer_mm` are its radii, `joint_mm` its height.
    `room_mm` is under the lowest point of what goes in, `hovers_mm` the least height between faces farther out: None where
    there is nothing to tell.
    """

    rest_mm: float
    width_mm: float
    inner_mm: float
    outer_mm: float
    joint_mm: float
    room_mm: float | None
    hovers_mm: float | None
    wedged: bool
    sunk: bool


@frozen
class Facing:
    """Two sections' faces that look at each other, over stretches of radius on which each is straight.

    `tops_mm` and `undersides_mm` hold a height for either end of each stretch; the upper section stands on its own height 0.
    """

    radii_mm: Line  # both ends of each stretch
    tops_mm: Line
    undersides_mm: Line

    @cached_property
    def rest_mm(self) -> float:
        """Where the upper section's height 0 comes to rest."""
        return float((self.tops_mm - self.undersides_mm).max())

    @property
    def meet(self) -> bool:
        """Whether they share a radius at all."""
        return len(self.radii_mm) > 0

    @cached_property
    def gaps_mm(self) -> Line:
        """Height between the faces at either end of each stretch, at rest."""
        return self.rest_mm + self.undersides_mm - self.tops_mm

    @cached_property
    def nearest_mm(self) -> Line:
        """The least of these for each stretch."""
        return np.minimum(self.gaps_mm[:, 0], self.gaps_mm[:, 1])

    @cached_property
    def runs_mm(self) -> Line:
        """How far each stretch goes out."""
        return self.radii_mm[:, 1] - self.radii_mm[:, 0]

    def bearing_mm(self, rest_mm: float, within_mm: float = BEARS_MM) -> Line:
        """How much of each stretch bears, were the upper section to rest there."""
        lifted = rest_mm - self.rest_mm
        low, high = self.nearest_mm + lifted, np.maximum(self.gaps_mm[:, 0], self.gaps_mm[:, 1]) + lifted
        near, rise = np.minimum(high, within_mm) - np.maximum(low, -within_mm), high - low
        share = np.where(rise > 0.0, np.maximum(near, 0.0) / np.where(rise > 0.0, rise, 1.0), near >= 0.0)
        return np.asarray(share * self.runs_mm)


def facing(lower: Sequence[Point] | Line, upper: Sequence[Point] | Line) -> Facing:
    """The faces that two sections turn to each other.

    Args:
        lower: ring of the part that stands.
        upper: ring of the part that comes down, from its own height 0.
    Returns: the faces over every radius that both have.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> facing(jar, [(0, 0), (34, 0), (34, 8), (0, 8)]).rest_mm
    89.0
    """
    return _facing(_faces(as_line(lower), up=True), _faces(as_line(upper), up=False))


def _facing(tops: Sequence[Line], undersides: Sequence[Line], low: float = 0.0, high: float = inf) -> Facing:
    """Faces over every radius that both have, between two radii."""
    low = max(low, min(run[0, 0] for run in tops), min(run[0, 0] for run in undersides))
    high = min(high, max(run[-1, 0] for run in tops), max(run[-1, 0] for run in undersides))
    if high - low <= _NEAR_MM:
        nothing = np.zeros((0, 2))
        return Facing(nothing, nothing, nothing)
    radii = np.concatenate([[low, high], *(run[:, 0] for run in (*tops, *undersides))])
    radii = np.sort(radii[(radii >= low) & (radii <= high)])
    radii = radii[np.concatenate([[True], radii[1:] - radii[:-1] > _NEAR_MM])]
    top, below = _farthest(tops, radii, 1.0), _farthest(undersides, radii, -1.0)
    ends = np.column_stack([radii[:-1], radii[1:]])
    both = np.isfinite(top[:, 0]) & np.isfinite(below[:, 0])
    return Facing(ends[both], top[both], below[both])


def _faces(ring: Line, *, up: bool) -> list[Line]:
    """A ring's lines that look up, or down, each as a run from its smallest radius out."""
    after = np.concatenate([ring[1:], ring[:1]])
    turning = float((ring[:, 0] * after[:, 1] - after[:, 0] * ring[:, 1]).sum())
    inward = up == (turning > 0.0)
    out = after[:, 0] - ring[:, 0]
    mine = (-out if inward else out) > _NEAR_MM
    runs, edges = [], np.flatnonzero(mine)
    for piece in np.split(edges, np.flatnonzero(edges[1:] - edges[:-1] > 1) + 1) if len(edges) else ():
        run = np.concatenate([ring[piece], after[piece[-1] : piece[-1] + 1]])
        runs.append(run[::-1] if inward else run)
    return runs


def _farthest(runs: Sequence[Line], radii: Line, way: float) -> Line:
    """The highest (way 1) or lowest (way -1) of some runs at either end of each stretch of radius; infinite where there is none."""
    middles = (radii[:-1] + radii[1:]) / 2.0
    best = np.full(len(middles), -np.inf)
    ends = np.full((len(middles), 2), -way * np.inf)
    for run in runs:
        heights = np.interp(radii, run[:, 0], run[:, 1])
        there = (middles > run[0, 0]) & (middles < run[-1, 0])
        rank = np.where(there, way * (heights[:-1] + heights[1:]) / 2.0, -np.inf)
        better = rank > best
        best = np.where(better, rank, best)
        ends[better, 0], ends[better, 1] = heights[:-1][better], heights[1:][better]
    return ends


def seat_of(
    faces: Facing,
    *,
    fit_radius_mm: float,
    upper_goes_in: bool = True,
    brim_mm: float | None = None,
    top_mm: float = inf,
) -> Seat | None:
    """How the upper part rests.

    Its seat is the ring in which the two faces lie within BEARS_MM of each other, height-wise, once it rests.

    Args:
        faces: the faces that the two turn to each other.
        fit_radius_mm: radius of what goes in, mm.
        upper_goes_in: whether the upper part goes into the lower one; else the lower goes into the upper (a cap).
        brim_mm: how high the lower part is, where the upper one is a lid: it has fallen in where it lies in the lowest third
            of the vessel with nothing of its hollow above the brim, or sticks in it with all of it below the brim.
        top_mm: how high the upper part is.
    Returns: the seat; None where the two share no radius.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> found = seat_of(facing(jar, [(0, 0), (34, 0), (34, 8), (0, 8)]), fit_radius_mm=34.0)
    >>> found.rest_mm, found.width_mm, found.room_mm
    (89.0, 4.0, 0.0)
    """
    if not faces.meet:
        return None
    room, hovers = _room(faces, fit_radius_mm, upper_goes_in)
    nearest = int(faces.nearest_mm.argmin())
    steep = _is_steep(faces)
    sunk = brim_mm is not None and (_is_sunk(faces, nearest, brim_mm) or (steep and faces.rest_mm + top_mm < brim_mm))
    inner, outer = faces.radii_mm[nearest].tolist()
    joint = float(faces.tops_mm[nearest].max())
    return shrunk_seat(faces, Seat(faces.rest_mm, 0.0, inner, outer, joint, room, hovers, steep, sunk))


def shrunk_seat(faces: Facing, seat: Seat, across: float = 1.0, up: float = 1.0) -> Seat:
    """A seat when both parts, of one clay, have shrunk alike: everything is smaller, but not what bears within BEARS_MM.

    Args:
        faces: the faces before they shrank.
        seat: how they rested.
        across, up: by how much they shrank; 1 for not at all.
    """
    bearing = faces.bearing_mm(faces.rest_mm, BEARS_MM / up)
    bears = np.flatnonzero(bearing > _NEAR_MM)
    inner, outer, joint = seat.inner_mm, seat.outer_mm, seat.joint_mm
    if len(bears):
        first, last = int(bears[0]), int(bears[-1])
        inner, outer, joint = float(faces.radii_mm[first, 0]), float(faces.radii_mm[last, 1]), float(faces.tops_mm[last].max())  # fmt: skip
    return Seat(
        seat.rest_mm * up, 0.0 if seat.sunk else float(bearing.sum()) * across, inner * across, outer * across, joint * up,
        None if seat.room_mm is None else seat.room_mm * up, None if seat.hovers_mm is None else seat.hovers_mm * up, seat.wedged, seat.sunk,
    )  # fmt: skip


def _room(faces: Facing, fit_radius_mm: float, upper_goes_in: bool) -> tuple[float | None, float | None]:
    """Height under the lowest point of what goes in, and the least height between the faces farther out."""
    goes_in = faces.radii_mm[:, 0] < fit_radius_mm + 1e-6
    if not goes_in.any():
        return None, None
    ends = faces.undersides_mm if upper_goes_in else -faces.tops_mm
    tip = goes_in[:, None] & (ends <= ends[goes_in].min() + 1e-6)
    return float(faces.gaps_mm[tip].min()), None if goes_in.all() else float(faces.nearest_mm[~goes_in].min())


def _is_steep(faces: Facing) -> bool:
    """Whether the faces lie so steep, everywhere that they touch, that they wedge."""
    touching = faces.nearest_mm <= faces.nearest_mm.min() + 1e-6
    rises = [np.abs(ends[touching, 1] - ends[touching, 0]) for ends in (faces.tops_mm, faces.undersides_mm)]
    return bool((np.maximum(*rises) / faces.runs_mm[touching]).min() > STEEP)


def _is_sunk(faces: Facing, nearest: int, brim_mm: float) -> bool:
    """Whether a lid lies low in its vessel, with all of its hollow below the brim."""
    within = faces.radii_mm[:, 1] <= faces.radii_mm[nearest, 1] + _NEAR_MM
    end = int(faces.gaps_mm[nearest].argmin())
    floor, touched = float(faces.tops_mm[within].min()), float(faces.tops_mm[nearest, end])
    hollow_top = faces.rest_mm + float(faces.undersides_mm[within].max())
    return touched < floor + (brim_mm - floor) * SUNK_SHARE and hollow_top < brim_mm - BEARS_MM


def pushed_mm(lower: Sequence[Point] | Line, upper: Sequence[Point] | Line, seat: Seat, gap_mm: float) -> float:
    """What still bears on the side that a part is pushed away from, with its gap all on one side.

    Where the bearing parts move as one this is the seat less the gap: below 0, what goes in can tip in. Where one of them
    reaches farther than it needs, it loses less; where steep faces wedge, nothing slides.

    Args:
        lower, upper: both rings, as for `facing`.
        seat: how they rest, centred.
        gap_mm: half of the clearance.
    Returns: width, mm; below 0 by what is missing.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> lid = [(0, 0), (34, 0), (34, 8), (0, 8)]
    >>> pushed_mm(jar, lid, seat_of(facing(jar, lid), fit_radius_mm=34.0), 1.0)
    3.0
    """
    if seat.width_mm == 0.0 or seat.wedged or gap_mm <= 0.0:
        return seat.width_mm - (max(gap_mm, 0.0) if seat.width_mm == 0.0 else 0.0)
    tops, undersides = _faces(as_line(lower), up=True), _faces(as_line(upper), up=False)
    around = (max(0.0, seat.inner_mm - gap_mm - 1.0), seat.outer_mm + gap_mm + 1.0)
    # A lid loses on the side that it is pushed away from, a cap on the other.
    sides = [_facing(tops, [run - (aside, 0.0) for run in undersides], *around) for aside in (gap_mm, -gap_mm)]
    left = min(float(moved.bearing_mm(seat.rest_mm).sum()) if moved.meet else 0.0 for moved in sides)
    return left if left > _NEAR_MM else min(seat.width_mm - gap_mm, 0.0)


def falls_share(pushed: float, fit_spread_mm: float, bearing_spreads_mm: Sequence[float]) -> float:
    """The share of pairs in which the pushed part tips in: what bears is then under 0.

    What bears is half a difference of the bearing diameters, less half the clearance; each spreads by itself:
    sigma = half the root of the sum of squares of the clearance's spread and those of the bearing diameters.

    Args:
        pushed: what bears when it is pushed, mm.
        fit_spread_mm: one standard deviation of the clearance, mm.
        bearing_spreads_mm: one standard deviation of each bearing diameter, mm.
    Returns: a share of 1.
    Source: root-sum-square tolerance stacks; normal distribution.
    >>> round(falls_share(0.5, 0.6, (0.3, 0.3)), 4)
    0.0868
    """
    sigma = 0.5 * hypot(fit_spread_mm, *bearing_spreads_mm)
    if sigma == 0.0:
        return 0.0 if pushed >= 0.0 else 1.0
    return 0.5 * erfc(pushed / sigma / sqrt(2.0))


def proud_mm(lower: Sequence[Point] | Line, upper: Sequence[Point] | Line, rest_mm: float, joint_mm: float) -> float:
    """How far the upper part's outside stands proud of the lower one's, at their widest near the joint.

    Args:
        lower, upper: both rings, as for `facing`.
        rest_mm: where the upper part's height 0 comes to rest.
        joint_mm: height at which they bear.
    Returns: radius less radius, mm; below 0 where the upper part stands back.
    Source: plane geometry.
    >>> proud_mm([(0, 0), (40, 0), (40, 50), (0, 50)], [(0, 0), (41, 0), (41, 8), (0, 8)], 50.0, 50.0)
    1.0
    """
    return _widest(as_line(upper), joint_mm - rest_mm) - _widest(as_line(lower), joint_mm)


def _widest(ring: Line, height_mm: float) -> float:
    low, high = height_mm - JOINT_MM, height_mm + JOINT_MM
    ring = np.concatenate([ring, ring[:1]])
    (r0, z0), (r1, z1) = ring[:-1].T, ring[1:].T
    rise = np.where(z1 == z0, 1.0, z1 - z0)
    start, end = np.clip((low - z0) / rise, 0.0, 1.0), np.clip((high - z0) / rise, 0.0, 1.0)
    meets = (np.minimum(z0, z1) <= high) & (np.maximum(z0, z1) >= low)
    ends = np.concatenate([r0[meets & (z0 >= low) & (z0 <= high)], r1[meets & (z1 >= low) & (z1 <= high)]])
    cuts = np.concatenate([(r0 + (r1 - r0) * start)[meets & (z1 != z0)], (r0 + (r1 - r0) * end)[meets & (z1 != z0)]])
    found = np.concatenate([ends, cuts])
    return float(found.max()) if len(found) else float(ring[:, 0].max())


def glazed_ring(ring: Sequence[Point] | Line, film_mm: float) -> Line:
    """A section with glaze on it, as thick as it is square to its faces."""
    line = as_line(ring)
    return grown_ring(line, film_mm) if film_mm > 0.0 else line
