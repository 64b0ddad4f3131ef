"""What a turned foot asks of the template sheet: a gauge for its recess, and a rib for the inside, both true to size."""

from __future__ import annotations

from collections.abc import Iterator

from wareboard.cards.truesize import TEXT_MM, Item, shortened
from wareboard.drawing.seating import FINEST_MM
from wareboard.drawing.svg import AXIS, EDGE, TINT, Point, Sketch
from wareboard.drawing.views import simplified
from wareboard.figures.shapes import Shape
from wareboard.text.languages import _, pointed

HANDLE_MM = 14.0  # of card above a recess gauge, to hold it by
BEYOND_MM = 8.0  # of a recess gauge beyond the ring that it lies on
OPEN_SHARE = 0.8  # a mouth narrower than this share of the widest lets no rib in
LINE_MM = 3.9


def foot_items(name: str, shape: Shape, mark: str) -> Iterator[Item]:
    """A recess gauge and an inside rib for a part with a turned foot; nothing for any other.

    Args:
        name: the part.
        shape: its shape.
        mark: what tells a cut-out piece from all others.
    """
    if shape.foot is None:
        return
    yield recess_gauge(name, shape, mark)
    mouth = shape.inside[-1][0] if shape.inside else 0.0
    if mouth >= OPEN_SHARE * max((radius for radius, _other in shape.inside), default=0.0) > 0.0:
        yield inside_rib(name, shape, mark)


def recess_gauge(name: str, shape: Shape, mark: str) -> Item:
    """Half of a foot's recess, leather-hard, to lay on the ring while the pot is upside down on the wheel head."""
    line = recess_line(shape)
    width, top = line[-1][0], max(height for _other, height in line) + HANDLE_MM

    def draw(sketch: Sketch) -> None:
        sketch.stroke(EDGE, [*line, (width, top), (0.0, top)])
        sketch.stroke(AXIS, [(0.0, top), line[0]])
        for number, text in enumerate((_("{part}, recess of the foot, leather-hard").format(part=name), mark)):
            fitted = shortened(text, width - 3.0, TEXT_MM, number == 0)
            sketch.letter(1.5, top - LINE_MM * (number + 1), fitted, TEXT_MM, anchor="start", strong=number == 0)  # fmt: skip

    foot = shape.foot
    assert foot is not None  # a gauge is asked for where there is a foot
    up = shape.scale("leather-hard")[1]
    said = _("recess gauge {part}, {depth} mm deep at the centre, to lay on the foot's ring").format(
        part=name, depth=pointed(f"{foot.depth_mm * up:.1f}")
    )
    return Item(_("{part}, recess, leather-hard").format(part=name), said, width, top, draw)


def recess_line(shape: Shape) -> list[Point]:
    """A recess as its gauge is cut, leather-hard: from the axis out to the ring and on over it, the ring's level as high as the recess is deep.

    Args:
        shape: a part with a turned foot.
    Returns: points; the lowest is where the gauge reaches deepest.
    """
    foot = shape.finished("leather-hard")
    low = min(height for _other, height in (*foot.outside, *foot.underside))
    under = [(0.0, foot.underside[0][1]), *foot.underside] if foot.underside[0][0] > 0.0 else list(foot.underside)
    deep = max(height for _other, height in under) - low
    points = [(radius, deep - (height - low)) for radius, height in simplified(under, FINEST_MM)]
    return [*points, (foot.outside[0][0] + BEYOND_MM, points[-1][1])]


def inside_rib(name: str, shape: Shape, mark: str) -> Item:
    """Half of the inside as it is thrown, wet: a rib that is run from the floor's centre out and up."""
    inside = shape.thrown("wet").inside
    low = min(height for _other, height in inside)
    line = [(radius, height - low) for radius, height in simplified(inside, FINEST_MM)]
    top, width = line[-1][1], max(radius for radius, _other in line)

    def draw(sketch: Sketch) -> None:
        sketch.fill(TINT, [*line, (0.0, top)])
        sketch.stroke(EDGE, [*line, (0.0, top)])
        sketch.stroke(AXIS, [(0.0, top), line[0]])
        for number, text in enumerate((_("{part}, inside, wet").format(part=name), mark)):
            fitted = shortened(text, line[-1][0] - 3.0, TEXT_MM, number == 0)
            sketch.letter(1.5, top - LINE_MM * (number + 1), fitted, TEXT_MM, anchor="start", strong=number == 0)

    return Item(_("{part}, inside rib, wet").format(part=name), _("inside rib {part}, {height} mm high and {width} mm from the centre at its widest").format(part=name, height=pointed(f"{top:.1f}"), width=pointed(f"{width:.1f}")), width, top, draw)  # fmt: skip
