"""A pot's silhouette or its drawn line to a half section: upright, both sides averaged, handle left out, perspective taken out.

A contour is an array of points (across, up), in the picture's pixels or a drawing's units, its first point again at its end.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, cos, degrees, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from wareboard.pot.frozen import frozen

Points = NDArray[np.float64]

MOST_TILT_DEG = 20.0
HANDLE_SHARE = 0.035  # of the width: one side sticks out by more than any pot is out of round
HANDLE_HEIGHT_SHARE = 0.04  # of the height: for at least so long
HOLE_SHARE = 0.002  # of the silhouette: a smaller hole is a reflection
WORST_SHARE = 0.05  # of the width: sides that differ by more, beside any handle, are no sides
UNLIKE_SHARE = 0.22  # of the silhouette: more than a handle and a spout stick out
LYING = "the pot lies down; stand it up, or turn the picture"
UNLIKE = "the two sides of what was found are too unlike for a thrown pot; take it square from the side, alone on a plain ground"
FLAT_SHARE = 0.012  # of the height: a longer end is the bow of a near edge, a shorter one a level foot or rim
BOW_SHARE = 0.22  # of its radius: as high as the bow of a near edge gets
ROWS = 900
MOST_CROSSINGS = 100  # of one height, over all: a pot's outline with a handle crosses it four times
MOST_WIDE = 100
CLOSE_SHARE = 0.02  # of the height: two ends that are to be one, or a base that is level
BASE_SLOPE = 0.35  # a base rises by less than this of its run


class SilhouetteError(ValueError):
    """A silhouette that is not that of one pot, standing; the message says what it is and what to do."""


@frozen
class Handle:
    """What sticks out on one side: `left` or `right`, from and to which height, mm, and how far beyond the other side."""

    side: str
    low_mm: float
    high_mm: float
    reach_mm: float


@frozen
class Traced:
    """A half section as traced: `meridian` holds (radius, height) from the foot up, mm.

    `tilt_deg` is how far the picture was turned, `about` which place, to stand upright; `bowed` is true where the near edge of rim or foot
    stands out in a bow, as it does from near by; `lean_deg` how far the pot's base is from square to its axis.
    """

    meridian: Points
    mm_per_unit: float
    tilt_deg: float
    lean_deg: float
    sides_differ_mm: float
    handle: Handle | None
    axis_unit: float
    base_unit: float
    turned: Points
    about: tuple[float, float] = (0.0, 0.0)
    bowed: bool = False


@frozen
class _Rows:
    """The run of clay about the axis, row by row."""

    up: Points
    left: Points
    right: Points

    @property
    def middle(self) -> Points:
        return (self.left + self.right) / 2.0

    @property
    def width(self) -> Points:
        return self.right - self.left


def turned(contour: Points, angle_deg: float, about: tuple[float, float]) -> Points:
    """A contour turned about a point, against the clock.

    Args:
        contour: points.
        angle_deg: by how much.
        about: the point that stays.
    >>> turned(np.array([[1.0, 0.0]]), 90.0, (0.0, 0.0)).round(9).tolist()
    [[0.0, 1.0]]
    """
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    x, y = (contour - np.asarray(about)).T
    return np.column_stack((x * c - y * s + about[0], x * s + y * c + about[1]))


def trace(
    outer: Points,
    holes: Sequence[Points],
    height_mm: float,
    *,
    lens: tuple[float, float] | None = None,
    distance_mm: float | None = None,
) -> Traced:
    """The half section behind a silhouette.

    Args:
        outer: the silhouette's contour, closed.
        holes: contours of what can be seen through inside it (a handle's opening).
        height_mm: the pot's height, which sets the scale.
        lens: where the lens points, in the picture; needed with a distance.
        distance_mm: from the lens to the pot's axis; None where the view is taken as square.
    Returns: the half section, and what was noticed.
    Raises: SilhouetteError, it is not one pot, standing.
    Source: the ray that grazes a surface of revolution, worked (see `deprojected`).
    >>> box = np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 100.0], [0.0, 100.0], [0.0, 0.0]])
    >>> trace(box, [], 100.0).meridian[[0, -1]].round(2).tolist()
    [[40.0, 0.0], [40.0, 100.0]]
    """
    middle = (outer.min(axis=0) + outer.max(axis=0)) / 2.0
    centre = float(middle[0]), float(middle[1])
    least = HOLE_SHARE * _area(outer)  # noise has holes by the ten thousand
    kept = [hole for hole in holes if _area(hole) > least]
    if not kept and _alike(outer, kept)[0] < 0.9 and _alike(turned(outer, 90.0, centre), kept)[0] > 0.93:
        raise SilhouetteError(LYING)
    tilt, rows = _upright(outer, kept, centre)
    axis = _axis_at(rows)
    left, right = axis - rows.left, rows.right - axis
    flagged = _sticking_out(left, right)
    radius = np.where(flagged != 0, np.minimum(left, right), (left + right) / 2.0)
    clean = flagged == 0
    if not clean.any() or np.abs(right - left).sum() > UNLIKE_SHARE * rows.width.sum():
        raise SilhouetteError(UNLIKE)
    tip = 0.04 * (rows.up[-1] - rows.up[0])
    inner = clean & (rows.up > rows.up[0] + tip) & (rows.up < rows.up[-1] - tip)
    differ = np.abs(right - left)[inner]
    worst = float(np.quantile(differ, 0.98)) if differ.size else 0.0
    if worst > WORST_SHARE * float(rows.width.max()):
        raise SilhouetteError(UNLIKE)
    seen = None if lens is None else turned(np.array([lens]), tilt, centre)[0]
    lens_at = None if seen is None else (float(seen[0]), float(seen[1]))
    across, up, scale, base = _scaled(radius, rows.up, height_mm, lens_at, distance_mm)
    return Traced(
        np.column_stack((across, up)),
        scale,
        tilt,
        _lean_deg(outer, tilt, centre, axis),
        worst * scale,
        _handle(flagged, left, right, rows.up, scale, base),
        axis,
        base,
        turned(outer, tilt, centre),
        centre,
        _is_bowed(radius, rows.up),
    )


def _area(contour: Points) -> float:
    x, y = contour[:, 0], contour[:, 1]
    return abs(float(np.dot(x[:-1], y[1:]) - np.dot(x[1:], y[:-1]))) / 2.0


def _crossings(contours: Sequence[Points], levels: Points) -> list[list[float]]:
    """Where contours cross levels, in order from left to right; the levels are evenly spaced."""
    step = levels[1] - levels[0]
    found: list[list[float]] = [[] for _ in levels]
    for contour in contours:
        x0, y0 = contour[:-1].T
        x1, y1 = contour[1:].T
        low, high = np.minimum(y0, y1), np.maximum(y0, y1)
        first = np.ceil((low - levels[0]) / step).astype(int).clip(0, len(levels))
        last = np.ceil((high - levels[0]) / step).astype(int).clip(0, len(levels))  # half open: a corner counts once
        if int((last - first).sum()) > MOST_CROSSINGS * len(levels):
            raise SilhouetteError("the line goes up and down too often to be a pot's; draw its outline as one line")
        for place in np.nonzero(last > first)[0]:
            for row in range(first[place], last[place]):
                share = (levels[row] - y0[place]) / (y1[place] - y0[place])
                found[row].append(float(x0[place] + share * (x1[place] - x0[place])))
    for crossings in found:
        crossings.sort()
    return found


def _rows(outer: Points, holes: Sequence[Points], axis: float | None = None, count: int = ROWS) -> _Rows:
    """The run of clay about an axis at even heights."""
    low, high = float(outer[:, 1].min()), float(outer[:, 1].max())
    step = (high - low) / count
    levels: Points = np.arange(count, dtype=np.float64) * step + low + step / 2.0
    whole = _crossings([outer], levels)
    if axis is None:
        middles = [(found[0] + found[-1]) / 2.0 for found in whole if len(found) > 1]
        axis = float(np.median(middles))
    crossings = _crossings([outer, *holes], levels) if holes else whole
    up, left, right = [], [], []
    for level, found in zip(levels, crossings, strict=True):
        run = next(((a, b) for a, b in zip(found[::2], found[1::2], strict=False) if a <= axis <= b), None)
        if run is not None:
            up.append(level)
            left.append(run[0])
            right.append(run[1])
    if len(up) < count // 3:
        raise SilhouetteError("no pot stands about the middle of what was found")
    return _Rows(np.array(up), np.array(left), np.array(right))


def _upright(outer: Points, holes: Sequence[Points], centre: tuple[float, float]) -> tuple[float, _Rows]:
    """The turn that stands the pot's axis upright, and its rows then. A few rounds: a row of a leaning pot is cut askew."""
    tilt, axis = 0.0, None
    rows = _rows(outer, holes)
    for _ in range(8):
        slope, axis = _fitted_axis(rows)
        step = degrees(atan(slope))
        tilt += step
        if abs(tilt) > MOST_TILT_DEG:
            raise SilhouetteError(LYING if _alike(turned(outer, 90.0, centre), ())[0] > 0.9 else UNLIKE)
        shifted = turned(outer, tilt, centre)
        axis_now = axis + slope * (float(shifted[:, 1].mean()) - float(rows.up.mean()))
        try:
            rows = _rows(shifted, [turned(hole, tilt, centre) for hole in holes], axis_now)
        except SilhouetteError:
            rows = _rows(shifted, [turned(hole, tilt, centre) for hole in holes])
        if abs(step) < 0.005:
            break
    return tilt, rows


def _fitted_axis(rows: _Rows) -> tuple[float, float]:
    """The line through the rows' middles on which most of them agree: slope, and where it passes the middle height.

    A handle moves the middles beside it, each by another amount, so they agree with no line; those of the pot agree with one.
    """
    up, middle = rows.up - rows.up.mean(), rows.middle
    trimmed = slice(len(up) // 50, len(up) - len(up) // 50)
    up, middle = up[trimmed], middle[trimmed]
    near = max(0.004 * float(rows.width.max()), 1e-9)
    picks = np.linspace(0, len(up) - 1, 41).astype(int)
    best, kept = -1.0, np.ones(len(up), bool)
    for place, one in enumerate(picks):
        for other in picks[place + 8 :]:
            slope = (middle[other] - middle[one]) / (up[other] - up[one])
            if abs(slope) > 0.5:
                continue
            off = np.abs(middle - middle[one] - slope * (up - up[one]))
            agreed = float(np.clip(1.0 - off / near, 0.0, None).sum())
            if agreed > best:
                best, kept = agreed, off < 2.0 * near
    if kept.sum() < 10:
        kept = np.ones(len(up), bool)
    slope, at = np.polyfit(up[kept], middle[kept], 1)
    return float(slope), float(at)


def _axis_at(rows: _Rows) -> float:
    return _fitted_axis(rows)[1]


def _alike(outer: Points, holes: Sequence[Points]) -> tuple[float, float]:
    """The share of rows whose two sides are as far from the axis, to 1 %; and how far out the others are, of all."""
    try:
        rows = _rows(outer, holes)
    except SilhouetteError:
        return 0.0, 1.0
    slope, at = _fitted_axis(rows)
    off = 2.0 * np.abs(rows.middle - at - slope * (rows.up - rows.up.mean()))
    return float(np.mean(off < 0.01 * rows.width.max())), float(off.sum() / rows.width.sum())


def _sticking_out(left: Points, right: Points) -> NDArray[np.int64]:
    """Row by row: 1 where the right side sticks out (a handle, a spout), −1 the left, 0 neither."""
    difference = right - left
    much = HANDLE_SHARE * 2.0 * float(np.minimum(left, right).max())
    flagged = np.zeros(len(left), dtype=np.int64)
    shortest = max(3, int(HANDLE_HEIGHT_SHARE * len(left)))
    for sign in (1, -1):
        out = difference * sign > much
        edges = np.flatnonzero(np.diff(np.concatenate(([0], out.astype(int), [0]))))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if end - start < shortest:
                continue
            # Its ends run into the side: on to where the two sides agree again.
            while start > 0 and difference[start - 1] * sign > 0.12 * much:
                start -= 1
            while end < len(out) and difference[end] * sign > 0.12 * much:
                end += 1
            flagged[start:end] = sign
    return flagged


def _handle(
    flagged: NDArray[np.int64], left: Points, right: Points, up: Points, scale: float, base: float
) -> Handle | None:
    rows = np.flatnonzero(flagged)
    if not rows.size:
        return None
    side = "right" if flagged[rows].sum() > 0 else "left"
    reach = float(np.abs(right - left)[rows].max()) * scale
    return Handle(side, float(up[rows[0]] - base) * scale, float(up[rows[-1]] - base) * scale, reach)


def _lean_deg(outer: Points, tilt: float, centre: tuple[float, float], axis: float) -> float:
    """How far the foot is from square to the axis: the lowest points on either side of it."""
    points = turned(outer, tilt, centre)
    low, height = points[:, 1].min(), float(np.ptp(points[:, 1]))
    foot = points[points[:, 1] < low + 0.15 * height]
    half = float(np.ptp(foot[:, 0])) / 2.0
    ends = []
    for sign in (-1.0, 1.0):
        side = foot[(foot[:, 0] - axis) * sign > 0.45 * half]
        if not len(side):
            return 0.0
        lowest = side[side[:, 1].argmin()]
        ends.append(lowest)
    run = ends[1][0] - ends[0][0]
    return degrees(atan((ends[1][1] - ends[0][1]) / run)) if run else 0.0


# ---- perspective ----


def deprojected(across: Points, up: Points, slope: Points, distance_mm: float) -> tuple[Points, Points]:
    """Radius and height of the places that a silhouette's edge was seen at.

    The plane through the lens and an edge's tangent touches the pot where the ray through (u, v) grazes it. With
    m = du/dv and D the distance, s = D² / (D² + u² − u v m) is how far along the ray that is; then
    radius = √((s u)² + D² (s − 1)²) and height = s v.

    Args:
        across: from the axis to the edge, in the plane through the axis, mm.
        up: above the lens, mm.
        slope: du/dv along the edge.
        distance_mm: from the lens to the axis, > 0.
    Returns: radius and height above the lens, mm.
    Source: worked; a sphere's silhouette, r D / √(D² − r²), comes back as the sphere.
    >>> seen = 40.0 * 600.0 / (600.0**2 - 40.0**2) ** 0.5
    >>> float(deprojected(np.array([seen]), np.array([20.0]), np.array([0.0]), 600.0)[0][0].round(9))
    40.0
    """
    square = distance_mm * distance_mm
    along = square / np.maximum(square + across * across - across * up * slope, 0.25 * square)
    return np.hypot(along * across, distance_mm * (along - 1.0)), along * up


def _scaled(
    radius: Points, up: Points, height_mm: float, lens: tuple[float, float] | None, distance_mm: float | None
) -> tuple[Points, Points, float, float]:
    """Rows in the picture's units to a half section in mm, foot at 0 and rim at the height."""
    step = (up[-1] - up[0]) / (len(up) - 1)
    if distance_mm is None or lens is None:
        across, above = _with_ends(radius, up, step)
        scale = height_mm / float(above[-1] - above[0])
        return across * scale, (above - above[0]) * scale, scale, float(above[0])
    scale = height_mm / float(up[-1] - up[0] + step)
    slope = _slopes(radius, step)
    for _ in range(30):
        across, above = deprojected(radius * scale, (up - lens[1]) * scale, slope, distance_mm)
        across, above = _without_arcs(across, above, radius, slope, step)
        found = float(above[-1] - above[0])
        if abs(found / height_mm - 1.0) < 1e-7:
            break
        scale *= height_mm / found
    base = lens[1] + float(above[0]) / scale
    return across, (above - above[0]) * (height_mm / found), scale, base


def _with_ends(radius: Points, up: Points, step: float) -> tuple[Points, Points]:
    """Rows between foot and rim, ends and all, where no distance is known.

    The last rows run across a level foot or rim and tell nothing of the side: they are left out, and the side goes on as it was. Where
    there are many, they are the bow of a near edge, and foot or rim is where the bow begins.
    """
    slope = _slopes(radius, step, reach=1)
    foot, rim = (_arc_rows(radius, slope, step, sign) for sign in (1, -1))
    few = int(FLAT_SHARE * len(radius))
    steep = np.flatnonzero(np.abs(slope) > 1.5)
    low = max([0, *(foot[-1:] + 1), *(steep[steep < few] + 1)])
    high = min([len(radius), *rim[:1], *steep[steep >= len(radius) - few]])
    first = up[low] - step / 2.0 if low > few else up[0] - step / 2.0
    last = up[high - 1] + step / 2.0 if len(radius) - high > few else up[-1] + step / 2.0
    radii, heights = radius[low:high], up[low:high]

    def carried_on(place: float, rows: slice) -> float:
        lean, at = np.polyfit(heights[rows], radii[rows], 1)
        return max(float(at + lean * place), 0.0)

    count = max(4, len(radius) // 150)
    begun, ended = carried_on(first, slice(0, count)), carried_on(last, slice(-count, None))
    return np.concatenate(([begun], radii, [ended])), np.concatenate(([first], heights, [last]))


def _slopes(radius: Points, step: float, reach: int = 3) -> Points:
    """du/dv at every row: the slope of the straight line through its neighbours."""
    offsets = np.arange(-reach, reach + 1)
    padded = np.concatenate(
        (2.0 * radius[0] - radius[reach:0:-1], radius, 2.0 * radius[-1] - radius[-2 : -reach - 2 : -1])
    )
    return np.convolve(padded, offsets[::-1] / (offsets @ offsets), mode="valid") / step


def _without_arcs(across: Points, above: Points, radius: Points, slope: Points, step: float) -> tuple[Points, Points]:
    """The half section without the arcs of rim and foot: all of an arc is one place, the edge of the rim or the foot.

    Seen from level, the near edge of a rim stands above its sides in the picture; each of its points comes back to the rim.
    """
    low, high = 0, len(across)
    arc = _arc_rows(radius, slope, step, -1)
    if arc.size:
        high = int(arc[0])
    foot_arc = _arc_rows(radius, slope, step, 1)
    if foot_arc.size:
        low = int(foot_arc[-1]) + 1
    radii, heights = across[low:high], above[low:high]
    if foot_arc.size:
        edge = _edge(across, above, foot_arc, radius)
        kept = heights > edge[1] + 1e-6
        radii, heights = np.concatenate(([edge[0]], radii[kept])), np.concatenate(([edge[1]], heights[kept]))
    if arc.size:
        edge = _edge(across, above, arc, radius)
        kept = heights < edge[1] - 1e-6
        radii, heights = np.concatenate((radii[kept], [edge[0]])), np.concatenate((heights[kept], [edge[1]]))
    order = np.argsort(heights, kind="stable")
    return radii[order], heights[order]


def _arc_rows(radius: Points, slope: Points, step: float, sign: int) -> NDArray[np.int64]:
    """The rows, at the top (−1) or the bottom (1), of an arc: there the silhouette closes in faster and faster."""
    steep = slope * sign > 1.5
    rows = np.arange(len(radius))
    end = len(radius) - 1 if sign < 0 else 0
    far = rows > 0.85 * end if sign < 0 else rows < 0.15 * len(radius)
    found = rows[steep & far]
    if not found.size:
        return found
    # It has to run on to the end, to nothing, and be flat: what stands higher than that is a dome.
    from_here = rows >= found[0] if sign < 0 else rows <= found[-1]
    closes = np.mean(steep[from_here]) > 0.8 and radius[end] < 0.5 * radius[found].max()
    return found if closes and len(found) * step < BOW_SHARE * radius[found].max() else found[:0]


def _is_bowed(radius: Points, up: Points) -> bool:
    step = float(up[-1] - up[0]) / (len(up) - 1)
    slope = _slopes(radius, step, reach=1)
    few = FLAT_SHARE * len(radius)
    foot, rim = (_arc_rows(radius, slope, step, sign) for sign in (1, -1))
    return bool((foot.size and foot[-1] > few) or (rim.size and len(radius) - rim[0] > few))


def _edge(across: Points, above: Points, arc: NDArray[np.int64], radius: Points) -> tuple[float, float]:
    """The one place that an arc's rows come back to; near its middle the rays no longer tell."""
    telling = arc[radius[arc] > 0.35 * radius[arc].max()]
    telling = telling if telling.size else arc
    return float(np.median(across[telling])), float(np.median(above[telling]))


def widened_share(radius_mm: float, distance_mm: float) -> float:
    """By how much wider than it is a cylinder or a sphere looks from a distance: 1 / √(1 − (r / D)²) − 1.

    Args:
        radius_mm: its radius.
        distance_mm: from the lens to its axis, more than the radius.
    Source: the tangent from a point to a circle.
    >>> round(widened_share(42.0, 600.0), 5)
    0.00246
    """
    return 1.0 / sqrt(1.0 - (radius_mm / distance_mm) ** 2) - 1.0


def is_whole_outline(line: Points) -> bool:
    """True for a line round the whole pot: closed, or with both ends up at the rim, one on either side.

    Args:
        line: points (across, up).
    >>> is_whole_outline(np.array([[-40.0, 90.0], [-30.0, 0.0], [30.0, 0.0], [40.0, 90.0]]))
    True
    """
    height, width = float(np.ptp(line[:, 1])), float(np.ptp(line[:, 0]))
    first, last = line[0], line[-1]
    if float(np.hypot(*(first - last))) <= 1e-6 * (height + width):
        return True
    top = float(line[:, 1].max())
    both_up = top - min(first[1], last[1]) < 0.05 * height
    middle = (float(line[:, 0].min()) + float(line[:, 0].max())) / 2.0
    return bool(both_up and (first[0] - middle) * (last[0] - middle) < 0.0 and abs(first[0] - last[0]) > 0.3 * width)


def trace_line(line: Points, height_mm: float | None, mm_per_unit: float | None) -> Traced:
    """The half section behind a drawn line.

    Args:
        line: points (across, up); a half profile lies on one side of its axis, which is at 0.
        height_mm: the pot's height, which sets the scale; None where the drawing has one.
        mm_per_unit: the drawing's own scale, or None.
    Raises: SilhouetteError, no scale, or no profile of a pot.
    >>> trace_line(np.array([[0.0, 0.0], [30.0, 0.0], [40.0, 90.0]]), 90.0, None).meridian.tolist()
    [[30.0, 0.0], [40.0, 90.0]]
    """
    if height_mm is None and mm_per_unit is None:
        raise SilhouetteError("the drawing does not say how large it is; say the pot's height with --height")
    high = float(np.ptp(line[:, 1]))
    if not high > 0.0:
        raise SilhouetteError("the line has no height")
    if float(np.ptp(line[:, 0])) > MOST_WIDE * high:
        raise SilhouetteError(f"the line is more than {MOST_WIDE} times as wide as it is high")
    scale = height_mm / high if height_mm is not None else high and float(mm_per_unit or 1.0)
    if is_whole_outline(line):
        closed = line if np.array_equal(line[0], line[-1]) else np.vstack((line, line[:1]))
        return trace(closed, [], high * scale)
    half = _half(line)
    half = half * scale
    return Traced(half, scale, 0.0, 0.0, 0.0, None, 0.0, float(line[:, 1].min()), line)


def _half(line: Points) -> Points:
    """From the edge of the foot up to the rim, radius counted from 0; base and inside left out."""
    width = float(np.abs(line[:, 0]).max())
    if line[:, 0].min() < -1e-6 * width and line[:, 0].max() > 1e-6 * width:
        raise SilhouetteError(
            "the line runs to both sides of 0, where the axis of a half profile is; draw one half beside it, or a closed outline"
        )
    points = np.column_stack((np.abs(line[:, 0]), line[:, 1] - line[:, 1].min()))
    if points[0, 1] > points[-1, 1]:
        points = points[::-1]
    high = float(points[:, 1].max())
    # The rim is where the line is highest, outermost; what comes after is the inside.
    at_top = np.flatnonzero(points[:, 1] >= high * (1.0 - 1e-9))
    outermost = at_top[points[at_top, 0].argmax()]
    if points[-1, 1] < 0.98 * high and points[: outermost + 1, 0].max() < points[outermost:, 0].max():
        points = points[outermost:][::-1]
    else:
        points = points[: outermost + 1]
    start = 0
    if points[0, 0] < 0.05 * width:  # it begins at the axis: along the base first
        while start + 1 < len(points) - 1:
            run, rise = points[start + 1] - points[start]
            if run <= 0.0 or abs(rise) > BASE_SLOPE * run or points[start + 1, 1] > CLOSE_SHARE * 4.0 * high:
                break
            start += 1
    half: Points = points[start:] - np.array([0.0, points[start:, 1].min()])
    if len(half) < 2 or not half[-1, 1] > 0.0:
        raise SilhouetteError("the line is no profile of a pot, from its foot up to its rim")
    return half
