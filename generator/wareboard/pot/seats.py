"""What rests on what: one section let down upon another, centred, until it touches.

A section is a closed ring of (radius, height), mm, standing as it is used. At each radius the lower part has a highest
point and the upper one a lowest: where these come nearest, it rests.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import erfc, fsum, hypot, inf, sqrt, tan
from typing import NamedTuple, TypeAlias

from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.offsets import MITRE_LIMIT, grown_edge
from wareboard.pot.outlines import Point, as_complex, as_line, radius_at, shrunk
from wareboard.pot.reckoning import Line, least_of, most_of, np

_NEAR_MM = 1e-9
_FEW = 40  # points of faces that are quicker looked at one by one than all at once
_BESIDE = 40  # points beside a face that are grown with it, at the most
BEARS_MM = 0.5  # faces this near each other, height-wise, bear
TOUCHES_MM = 1e-6
JOINT_MM = 15.0  # from the joint, the outside that the eye and the thumb compare
STEEP = tan(1.0472)  # a face steeper than 60 degrees wedges; what lies on it doesn't slide
SUNK_SHARE = 1.0 / 3.0  # of a vessel's depth: a lid that lies lower has fallen in


class Seat(NamedTuple):
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
    """Two sections' faces that look at each other: the lines of the lower one that look up, of the upper one that look down.

    Each is a run of points from its smallest radius out; the upper section stands on its own height 0.
    """

    tops: Sequence[Line]
    undersides: Sequence[Line]

    @kept_property
    def stretches(self) -> Stretches:
        """The faces over every radius that both have."""
        return _stretches(self.tops, self.undersides)

    @property
    def rest_mm(self) -> float:
        """Where the upper section's height 0 comes to rest."""
        return self.stretches.rest_mm

    @property
    def meet(self) -> bool:
        """Whether they share a radius at all."""
        return len(self.stretches.rows_mm) > 0

    def scaled(self, across: float, up: float) -> Facing:
        """The same faces when both parts have shrunk alike."""
        return Facing(
            [shrunk(run, across, up) for run in self.tops], [shrunk(run, across, up) for run in self.undersides]
        )


@frozen
class Stretches:
    """Stretches of radius, from the axis out, on which either face is straight: each has a height at both of its ends.

    A row a stretch: both radii, both heights of the lower face, both of the upper one.
    """

    rows_mm: Line

    @property
    def radii_mm(self) -> Line:
        """Both radii of each stretch."""
        return self.rows_mm[:, 0:2]

    @property
    def tops_mm(self) -> Line:
        """The lower face's heights at both ends of each."""
        return self.rows_mm[:, 2:4]

    @property
    def undersides_mm(self) -> Line:
        """The upper face's, likewise."""
        return self.rows_mm[:, 4:6]

    @kept_property
    def rest_mm(self) -> float:
        """Where the upper section's height 0 comes to rest."""
        return most_of(self.tops_mm - self.undersides_mm)

    @kept_property
    def gaps_mm(self) -> Line:
        """Height between the faces at either end of each stretch, at rest."""
        return self.rest_mm + self.undersides_mm - self.tops_mm

    @kept_property
    def nearest_mm(self) -> Line:
        """The least of these for each stretch."""
        return np.minimum(self.gaps_mm[:, 0], self.gaps_mm[:, 1])

    def close(self, within_mm: float) -> list[Close]:
        """The stretches that come as near as that somewhere, at rest."""
        found = (self.nearest_mm <= within_mm).nonzero()[0]
        return [Close.of(row, self.rest_mm) for row in self.rows_mm[found].tolist()]


class Close(NamedTuple):
    """A stretch on which two faces come close, mm: its radii, both heights of either face, and the gap at either end."""

    inner_mm: float
    outer_mm: float
    top_mm: float
    outer_top_mm: float
    underside_mm: float
    outer_underside_mm: float
    gap_mm: float
    outer_gap_mm: float

    @classmethod
    def of(cls, row: Sequence[float], rest_mm: float) -> Close:
        """A stretch, were the upper section to rest there."""
        return cls._make([*row, rest_mm + row[4] - row[2], rest_mm + row[5] - row[3]])

    @property
    def gaps(self) -> tuple[float, float, float]:
        """The lesser gap, the greater one, and how wide the stretch is: what `_bears_mm` asks for."""
        width = self.outer_mm - self.inner_mm
        return (
            (self.gap_mm, self.outer_gap_mm, width)
            if self.gap_mm < self.outer_gap_mm
            else (self.outer_gap_mm, self.gap_mm, width)
        )

    @property
    def rises(self) -> float:
        """By how much the steeper of both faces rises for each millimetre out."""
        rise = max(abs(self.outer_top_mm - self.top_mm), abs(self.outer_underside_mm - self.underside_mm))
        return rise / (self.outer_mm - self.inner_mm)


def _bears_mm(low: float, high: float, width: float, within_mm: float) -> float:
    """How much of a stretch bears: lies no farther than that from the other face, height-wise."""
    near, rise = min(high, within_mm) - max(low, -within_mm), high - low
    share = max(near, 0.0) / rise if rise > 0.0 else float(near >= 0.0)
    return share * width


def facing(
    lower: Sequence[Point] | Line, upper: Sequence[Point] | Line, films_mm: tuple[float, float] = (0.0, 0.0)
) -> Facing:
    """The faces that two sections turn to each other, glaze and all.

    Args:
        lower: ring of the part that stands.
        upper: ring of the part that comes down, from its own height 0.
        films_mm: glaze on either, square to its faces; corners are mitred.
    Returns: the faces over every radius that both have.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> facing(jar, [(0, 0), (34, 0), (34, 8), (0, 8)]).rest_mm
    89.0
    """
    rings = as_line(lower), as_line(upper)
    # What is farther out than either part, glaze and its mitres and all, meets nothing.
    far = min(most_of(ring[:, 0]) for ring in rings) + 2.0 * MITRE_LIMIT * max(films_mm) if any(films_mm) else inf
    tops, undersides = (_faces(ring, film, far, up=up) for ring, film, up in zip(rings, films_mm, (True, False)))
    return Facing(tops, undersides)


def _faces(ring: Line, film_mm: float, far_mm: float, *, up: bool) -> list[Line]:
    """A ring's lines that look up, or down, each as a run from its smallest radius out; glazed ones as far out as is asked for."""
    closed = ring if ring.item(0, 0) == ring.item(-1, 0) == 0.0 else np.concatenate([ring, ring[:1]])
    radii, heights = closed.T
    turning = float(radii[:-1].dot(heights[1:]) - radii[1:].dot(heights[:-1]))
    inward = up == (turning > 0.0)
    spans = _spans(radii, inward=inward)
    if film_mm <= 0.0:
        runs = [closed[first : last + 1] for first, last in spans]
        return [run[::-1] for run in runs] if inward else runs
    found: list[Line] = []
    for first, last in spans:
        within = radii[first : last + 1] <= far_mm
        if not within[-1 if inward else 0]:
            continue
        if inward:
            first = max(first + int(within.argmax()) - 1, first)
        elif not within[-1]:
            last = first + int(within.argmin())
        # The lines beside it lengthen or shorten what is grown.
        most = max(1, min(_BESIDE, (len(ring) - (last - first) - 1) // 2))
        before, behind = (_beside(ring, place, way * most, 4.0 * film_mm) for place, way in ((first, -1), (last, 1)))
        grown = np.concatenate([before[::-1], closed[first : last + 1], behind])
        edge = grown_edge(grown if turning > 0.0 else grown[::-1], film_mm)
        found += [edge[start : end + 1][:: -1 if up else 1] for start, end in _spans(edge[:, 0], inward=up)]
    return found


def _beside(ring: Line, place: int, most: int, reach_mm: float) -> Line:
    """The points of a ring that follow one of them, against its run where `most` is below 0, to the first that is farther away."""
    points = ring[np.arange(place, place + most, 1 if most > 0 else -1)[1:] % len(ring)] if abs(most) > 1 else ring[:0]
    points = np.concatenate([points, ring[(place + most) % len(ring)][None]])
    away = np.abs(as_complex(points) - complex(*ring[place % len(ring)])) > reach_mm
    return points[: int(away.argmax()) + 1] if away.any() else points


def _spans(radii: Line, *, inward: bool) -> list[tuple[int, int]]:
    """From where to where a line goes inward, or outward."""
    out = radii[1:] - radii[:-1]
    mine = out < -_NEAR_MM if inward else out > _NEAR_MM
    ends = [0, *((mine[1:] != mine[:-1]).nonzero()[0] + 1).tolist(), len(mine)]
    return list(pairwise(ends))[0 if mine[0] else 1 :: 2]


def _stretches(tops: Sequence[Line], undersides: Sequence[Line]) -> Stretches:
    """Faces over every radius that both have."""
    low = max(0.0, *(min(run.item(0, 0) for run in runs) for runs in (tops, undersides)))
    high = min(max(run.item(-1, 0) for run in runs) for runs in (tops, undersides))
    if high - low <= _NEAR_MM:
        return Stretches(np.zeros((0, 6)))
    if sum(map(len, (*tops, *undersides))) > _FEW:
        tops, undersides = _in_sight(_clipped(tops, low, high), 1.0), _in_sight(_clipped(undersides, low, high), -1.0)
    if sum(map(len, (*tops, *undersides))) <= _FEW:
        few = _few_stretches([run.tolist() for run in tops], [run.tolist() for run in undersides], low, high)
        return Stretches(np.array([end for row in few for end in row]).reshape(-1, 6))
    radii = np.concatenate([(low, high), *(run[:, 0] for run in (*tops, *undersides))])
    radii.sort(kind="stable")  # runs in order, laid into one another
    radii = radii[radii.searchsorted(low) : radii.searchsorted(high, "right")]
    together = (radii[1:] - radii[:-1] <= _NEAR_MM).nonzero()[0]
    radii = np.delete(radii, together + 1) if len(together) else radii
    rows = np.empty((len(radii) - 1, 6))
    rows[:, 0], rows[:, 1] = radii[:-1], radii[1:]
    _farthest(tops, radii, 1.0, rows[:, 2:4])
    _farthest(undersides, radii, -1.0, rows[:, 4:6])
    bounded = np.isfinite(rows[:, 2] - rows[:, 4])
    return Stretches(rows if bounded.all() else rows[bounded])


def _clipped(runs: Sequence[Line], low: float, high: float) -> list[Line]:
    """What of some runs lies between two radii, with a point beyond either where there is one."""
    found = []
    for run in runs:
        if run.item(0, 0) < high and run.item(-1, 0) > low:
            radii = run[:, 0]
            found.append(run[max(int(radii.searchsorted(low)) - 1, 0) : int(radii.searchsorted(high, "right")) + 1])
    return found


def _in_sight(runs: list[Line], way: float) -> list[Line]:
    """Runs without those that lie wholly behind another one: under it (way 1) or over it (way -1), as a knob's underside over its lid's."""
    if len(runs) < 2:
        return runs
    spans = []
    for run in runs:
        least, most = least_of(run[:, 1]), most_of(run[:, 1])
        spans.append((run.item(0, 0), run.item(-1, 0), *((least, most) if way > 0.0 else (-most, -least))))
    return [
        run for run, (low, high, _, most) in zip(runs, spans)
        if not any(left <= low and high <= right and most < least for left, right, least, _ in spans)
    ]  # fmt: skip


def _farthest(runs: Sequence[Line], radii: Line, way: float, ends: Line) -> None:
    """Write down the highest (way 1) or lowest (way -1) of some runs at either end of each stretch of radius; infinite where there is none."""
    ends[:] = -way * inf
    covered: list[tuple[int, int]] = []
    for run in runs:
        first, last = radii.searchsorted((run.item(0, 0) - _NEAR_MM, run.item(-1, 0) - _NEAR_MM)).tolist()
        last = min(last, len(ends))
        if first >= last:
            continue
        heights = np.interp(radii[first : last + 1], run[:, 0], run[:, 1])
        inner, outer, (best_inner, best_outer) = heights[:-1], heights[1:], ends[first:last].T
        if all(last <= other_first or other_last <= first for other_first, other_last in covered):
            best_inner[:], best_outer[:] = inner, outer
        else:
            better = way * (inner + outer) > way * (best_inner + best_outer)
            np.copyto(best_inner, inner, where=better)
            np.copyto(best_outer, outer, where=better)
        covered.append((first, last))


Run: TypeAlias = "list[list[float]]"


def _few_stretches(tops: list[Run], undersides: list[Run], low: float, high: float) -> Iterator[tuple[float, ...]]:
    """The same one by one, which is quicker for a few."""
    knots = sorted({low, high, *(radius for run in (*tops, *undersides) for radius, _ in run if low < radius < high)})
    radii = [radius for before, radius in zip([-inf, *knots], knots) if radius - before > _NEAR_MM]
    for ends, top, below in zip(
        pairwise(radii), _few_farthest(tops, radii, 1.0), _few_farthest(undersides, radii, -1.0)
    ):
        if top and below:
            yield *ends, *top, *below


def _few_farthest(runs: list[Run], radii: list[float], way: float) -> list[tuple[float, float] | None]:
    """The highest (way 1) or lowest (way -1) of some runs at either end of each stretch; None where there is none."""
    found: list[tuple[float, float] | None] = [None] * (len(radii) - 1)
    for run in runs:
        for (r0, z0), (r1, z1) in pairwise(run):
            slope = (z1 - z0) / (r1 - r0)
            for k in range(bisect_left(radii, r0 - _NEAR_MM), min(bisect_left(radii, r1 - _NEAR_MM), len(found))):
                inner, outer = z0 + (radii[k] - r0) * slope, z0 + (radii[k + 1] - r0) * slope
                other = found[k]
                if other is None or way * (inner + outer) > way * (other[0] + other[1]):
                    found[k] = inner, outer
    return found


def seats_of(
    faces: Facing,
    *,
    fit_radius_mm: float,
    upper_goes_in: bool = True,
    brim_mm: float | None = None,
    top_mm: float = inf,
    shrunk: Sequence[tuple[float, float]] = ((1.0, 1.0),),
) -> list[Seat]:
    """How the upper part rests, as the parts are and as they are when both, of one clay, have shrunk alike.

    Its seat is the ring in which the two faces lie within BEARS_MM of each other, height-wise, once it rests. That does
    not shrink with them.

    Args:
        faces: the faces that the two turn to each other.
        fit_radius_mm: radius of what goes in, mm.
        upper_goes_in: whether the upper part goes into the lower one; else the lower goes into the upper (a cap).
        brim_mm: how high the lower part is, where the upper one is a lid: it has fallen in where it lies in the lowest third
            of the vessel with nothing of its hollow above the brim, or sticks in it with all of it below the brim.
        top_mm: how high the upper part is.
        shrunk: by how much they have shrunk, across and up, once for each seat that is asked for; 1 for not at all.
    Returns: the seats; none where the two share no radius.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> found, = seats_of(facing(jar, [(0, 0), (34, 0), (34, 8), (0, 8)]), fit_radius_mm=34.0)
    >>> found.rest_mm, found.width_mm, found.room_mm
    (89.0, 4.0, 0.0)
    """
    if not faces.meet:
        return []
    at, rest = faces.stretches, faces.rest_mm
    room, hovers = _room(at, fit_radius_mm, upper_goes_in)
    close = at.close(BEARS_MM / min(up for _, up in shrunk))
    nearest = min(close, key=lambda stretch: min(stretch.gap_mm, stretch.outer_gap_mm))
    # Where all that touches lies so steep, it wedges.
    steep = min(one.rises for one in close if min(one.gap_mm, one.outer_gap_mm) <= TOUCHES_MM) > STEEP
    sunk = brim_mm is not None and (_is_sunk(at, nearest, brim_mm) or (steep and rest + top_mm < brim_mm))
    seats, gaps = [], [(one, *one.gaps) for one in close]
    for across, up in shrunk:
        bearing = [
            (one, wide) for one, low, high, width in gaps if (wide := _bears_mm(low, high, width, BEARS_MM / up)) > _NEAR_MM
        ]  # fmt: skip
        inner, outer = (bearing[0][0], bearing[-1][0]) if bearing else (nearest, nearest)
        width = 0.0 if sunk else fsum(wide for _, wide in bearing)
        seats.append(
            Seat(
                rest * up, width * across, inner.inner_mm * across, outer.outer_mm * across,
                max(outer.top_mm, outer.outer_top_mm) * up, room and room * up, hovers and hovers * up, steep, sunk,
            )
        )  # fmt: skip
    return seats


def _room(at: Stretches, fit_radius_mm: float, upper_goes_in: bool) -> tuple[float | None, float | None]:
    """Height under the lowest point of what goes in, and the least height between the faces farther out."""
    count = int(at.radii_mm[:, 0].searchsorted(fit_radius_mm + 1e-6))
    if not count:
        return None, None
    ends = at.undersides_mm[:count] if upper_goes_in else -at.tops_mm[:count]
    room = np.where(ends <= least_of(ends) + 1e-6, at.gaps_mm[:count], inf)
    return least_of(room), None if count == len(at.rows_mm) else least_of(at.nearest_mm[count:])


def _is_sunk(at: Stretches, nearest: Close, brim_mm: float) -> bool:
    """Whether a lid lies low in its vessel, with all of its hollow below the brim."""
    touched = nearest.top_mm if nearest.gap_mm <= nearest.outer_gap_mm else nearest.outer_top_mm
    innermost = at.rows_mm.item(0, 2)  # no lower than the floor is
    if touched >= innermost + (brim_mm - innermost) * SUNK_SHARE:
        return False
    within = at.radii_mm[:, 1].searchsorted(nearest.outer_mm + _NEAR_MM, "right")
    floor = least_of(at.tops_mm[:within])
    hollow_top = at.rest_mm + most_of(at.undersides_mm[:within])
    return touched < floor + (brim_mm - floor) * SUNK_SHARE and hollow_top < brim_mm - BEARS_MM


def pushed_mm(faces: Facing, seat: Seat, gap_mm: float) -> float:
    """What still bears on the side that a part is pushed away from, with its gap all on one side.

    Where the bearing parts move as one this is the seat less the gap: below 0, what goes in can tip in. Where one of them
    reaches farther than it needs, it loses less; where steep faces wedge, nothing slides.

    Args:
        faces: the faces that the two turn to each other.
        seat: how they rest, centred.
        gap_mm: half of the clearance.
    Returns: width, mm; below 0 by what is missing.
    Source: plane geometry.
    >>> jar = [(0, 0), (40, 0), (40, 98), (35, 98), (35, 89), (30, 89), (30, 5), (0, 5)]
    >>> faces = facing(jar, [(0, 0), (34, 0), (34, 8), (0, 8)])
    >>> pushed_mm(faces, seats_of(faces, fit_radius_mm=34.0)[0], 1.0)
    3.0
    """
    if seat.width_mm == 0.0 or seat.wedged or gap_mm <= 0.0:
        return seat.width_mm - (max(gap_mm, 0.0) if seat.width_mm == 0.0 else 0.0)
    low, high = max(0.0, seat.inner_mm - gap_mm - 1.0), seat.outer_mm + gap_mm + 1.0
    tops = [run.tolist() for run in _clipped(faces.tops, low, high)]
    # A lid loses on the side that it is pushed away from, a cap on the other.
    left = min(_bearing_mm(tops, faces.undersides, aside, low, high, seat.rest_mm) for aside in (gap_mm, -gap_mm))
    return left if left > _NEAR_MM else min(seat.width_mm - gap_mm, 0.0)


def _bearing_mm(
    tops: list[Run], undersides: Sequence[Line], aside: float, low: float, high: float, rest: float
) -> float:
    """How much bears between two radii when the upper part is moved aside, as high as it rested."""
    moved = [[[radius - aside, height] for radius, height in run.tolist()] for run in _clipped(undersides, low + aside, high + aside)]  # fmt: skip
    if not (tops and moved):
        return 0.0
    low = max(low, min(run[0][0] for run in tops), min(run[0][0] for run in moved))
    high = min(high, max(run[-1][0] for run in tops), max(run[-1][0] for run in moved))
    stretches = _few_stretches(tops, moved, low, high) if high - low > _NEAR_MM else ()
    near = (row for row in stretches if min(row[4] - row[2], row[5] - row[3]) <= BEARS_MM - rest)
    return fsum(_bears_mm(*Close.of(row, rest).gaps, BEARS_MM) for row in near)


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
    closed = np.concatenate([ring, ring[:1]])
    radii, heights = closed.T
    near = radii[(heights >= low) & (heights <= high)]
    found = [radius_at(closed, low), radius_at(closed, high), float(near.max()) if len(near) else None]
    return max((radius for radius in found if radius is not None), default=float(radii.max()))
