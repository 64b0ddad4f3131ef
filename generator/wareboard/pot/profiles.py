"""A drawn line to a half section: a half profile beside its axis, or a whole outline."""

from __future__ import annotations

import numpy as np

from wareboard.pot.silhouettes import Points, SilhouetteError, Traced, trace

CLOSE_SHARE = 0.02  # of the height: two ends that are to be one, or a base that is level
BASE_SLOPE = 0.35  # a base rises by less than this of its run


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
