"""What stands out from a part, from the side and in true proportion: from where its top joins to where its bottom does."""

from __future__ import annotations

from math import hypot

from wareboard.figures.amounts import joint_heights_mm, outermost_mm
from wareboard.figures.shapes import Shape, to_stage
from wareboard.pot.outlines import radius_at
from wareboard.text.kinds import Size
from wareboard.text.specs import Extra, TwoEnds

Point = tuple[float, float]
STEPS = 40
USUAL_THICK_MM = 8.0
USUAL_JOINTS = (0.82, 0.35)  # of the height, where nobody says where a handle joins


def handle_outlines(shape: Shape, stage: str) -> list[list[Point]]:
    """What stands out from a part and reaches somewhere, as closed outlines to the right of its axis, mm at a stage.

    Args:
        shape: the part.
        stage: one of the five stages.
    """
    across, up = shape.scale(stage)
    found = []
    for extra in shape.part.extras.values():
        reach = outermost_mm(extra, shape)
        if reach is None:
            continue
        heights = joint_heights_mm(extra, shape)
        if len(heights) < 2:
            high = shape.highest_mm
            top = heights[0] if heights else USUAL_JOINTS[0] * high
            heights = (top, max(0.0, min(USUAL_JOINTS[1] * high, top - 0.25 * high)))
        (top_r, top_z), (low_r, low_z) = ((radius_at(shape.outside, z) or 0.0, z) for z in heights[:2])
        thick = _thickness_mm(extra, shape)
        line = strap_outline((top_r, top_z), (low_r, low_z), reach, thick)
        found.append([(r * across, z * up) for r, z in line])
    return found


def _thickness_mm(extra: Extra, shape: Shape) -> tuple[float, float]:
    if extra.strap is None:
        return USUAL_THICK_MM, USUAL_THICK_MM

    def at_stage(size: Size) -> float:
        return to_stage(size, shape.stage, shape.stage, shape.body.across)

    size = extra.strap.width if extra.strap.section == "round" else extra.strap.thickness
    return (
        (at_stage(size.top), at_stage(size.bottom)) if isinstance(size, TwoEnds) else (at_stage(size), at_stage(size))
    )


def strap_outline(top: Point, bottom: Point, outermost_mm: float, thick_mm: tuple[float, float]) -> list[Point]:
    """A strap from the side: out and down in one curve, its outer edge touching the outermost.

    Args:
        top, bottom: where it joins, from the axis and up, mm.
        outermost_mm: how far from the axis its outer edge is at the most.
        thick_mm: its thickness at the top and at the bottom.
    Returns: the closed outline.
    """
    rise = top[1] - bottom[1]
    # A cubic's middle lies a quarter at its ends and three quarters at its two guides.
    middle = outermost_mm - sum(thick_mm) / 4.0
    guide = (middle - 0.125 * (top[0] + bottom[0])) / 0.75
    points = (top, (guide, top[1] + 0.12 * rise), (guide, bottom[1] - 0.05 * rise), bottom)
    outer, inner = [], []
    for step in range(STEPS + 1):
        t = step / STEPS
        u = 1.0 - t
        weights = (u**3, 3.0 * u * u * t, 3.0 * u * t * t, t**3)
        x, y = (sum(w * p[axis] for w, p in zip(weights, points, strict=True)) for axis in (0, 1))
        slopes = (-3.0 * u * u, 3.0 * u * u - 6.0 * u * t, 6.0 * u * t - 3.0 * t * t, 3.0 * t * t)
        dx, dy = (sum(w * p[axis] for w, p in zip(slopes, points, strict=True)) for axis in (0, 1))
        half = ((1.0 - t) * thick_mm[0] + t * thick_mm[1]) / 2.0 / (hypot(dx, dy) or 1.0)
        outer.append((x - dy * half, y + dx * half))
        inner.append((x + dy * half, y - dx * half))
    return [*outer, *reversed(inner)]
