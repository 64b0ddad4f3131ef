"""Forms from outside with their handles and spouts on."""

from __future__ import annotations

from collections.abc import Sequence

from wareboard.drawing.joined import handle_outlines
from wareboard.drawing.seating import Standing, set_together
from wareboard.drawing.svg import AXIS, EDGE, GROUND, OUTLINE, Picture
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _


def has_handles(sheet: Sheet) -> bool:
    """True where something stands out from a part and is known to reach somewhere."""
    return any(extra.reach is not None for part in sheet.form.parts.values() for extra in part.extras.values())


def draw_with_handles(sheet: Sheet, *, width_mm: float = 90.0, height_mm: float = 90.0) -> str:
    """A form from outside, fired, with all that stands out from it.

    Args:
        sheet: the form's figures.
        width_mm, height_mm: the most that the picture may take.
    """
    picture, left = Picture(), 0.0
    for group in set_together(sheet, "fired"):
        radius = max(part.radius_mm for part in group)
        low = min(height for part in group for _other, height in part.outside)
        axis = left + radius
        right = axis + radius
        for part in group:
            draw_outside(picture, part, axis, low)
            for line in handle_outlines(sheet.shapes[part.name], "fired"):
                shown = [(axis + r, z + part.at_mm - low) for r, z in line]
                picture.stroke(OUTLINE, shown, closed=True)
                right = max(right, *(x for x, _other in shown))
        top = max(height for part in group for _other, height in part.outside) - low
        picture.stroke(AXIS, [(axis, -3.0), (axis, top + 4.0)])
        left = right + 12.0
    picture.stroke(GROUND, [(-4.0, 0.0), (left - 12.0 + 4.0, 0.0)])
    names = ", ".join(str(name) for part in sheet.form.parts.values() for name in part.extras)
    return picture.render(
        "handles", _(_("From outside, fired, with what is added")), names, within=(width_mm, height_mm)
    )


def draw_outside(
    picture: Picture, part: Standing, axis: float, low: float, sides: Sequence[float] = (-1.0, 1.0)
) -> None:
    """A part from outside, on either side of its axis.

    Args:
        picture: where it is drawn.
        part: the part as it stands.
        axis: where its axis is.
        low: what stands at the ground's height.
        sides: −1 is left, 1 right.
    """
    for side in sides:
        for line in part.seen.lines:
            picture.stroke(OUTLINE, [(axis + side * radius, height - low) for radius, height in line])
        for radius, height in part.seen.edges:
            picture.stroke(EDGE, [(axis + side * radius, height - low), (axis, height - low)])
