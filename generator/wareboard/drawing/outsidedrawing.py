"""Forms from outside, as they are used: one with its handles and spouts on, a family side by side to one scale."""

from __future__ import annotations

from collections.abc import Sequence

from wareboard.drawing.seating import Standing, handle_outlines, set_together
from wareboard.drawing.svg import AXIS, CLAY, EDGE, GROUND, OUTLINE, Picture
from wareboard.figures.amounts import outermost_mm
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _

BETWEEN_MM = 14.0
NAME_MM = 5.0


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


def draw_family(sheets: Sequence[Sheet], *, width_mm: float = 190.0, height_mm: float = 90.0) -> str:
    """The forms on one board, fired.

    Args:
        sheets: the forms, smallest first.
        width_mm, height_mm: the most that the picture may take.
    """
    picture, left = Picture(), 0.0
    total = 0.0
    places = []
    for sheet in sheets:
        groups = set_together(sheet, "fired")
        widths = [2.0 * max(part.radius_mm for part in group) for group in groups]
        reach = _reach_mm(sheet)
        places.append((sheet, groups, widths, reach))
        total += sum(widths) + BETWEEN_MM * len(widths) + reach
    grown = max(total / width_mm, 1.0)
    for sheet, groups, widths, reach in places:
        start = left
        left += reach
        for group, width in zip(groups, widths, strict=True):
            axis = left + width / 2.0
            low = min(height for part in group for _other, height in part.outside)
            top = max(height for part in group for _other, height in part.outside) - low
            for part in group:
                picture.fill(CLAY, [(axis + radius, height - low) for radius, height in part.ring])
                picture.stroke(EDGE, [(axis + radius, height - low) for radius, height in part.ring], closed=True)
                draw_outside(picture, part, axis, low, (-1.0,))
                for outline in handle_outlines(sheet.shapes[part.name], "fired"):
                    picture.stroke(OUTLINE, [(axis - r, z + part.at_mm - low) for r, z in outline], closed=True)
            picture.stroke(AXIS, [(axis, -3.0), (axis, top + 4.0)])
            left += width + BETWEEN_MM
        middle = (start + left - BETWEEN_MM) / 2.0
        picture.letter(middle, -8.0 * grown, str(sheet.form.code or sheet.form.title), NAME_MM * grown, strong=True)
    picture.stroke(GROUND, [(-4.0, 0.0), (left - BETWEEN_MM + 4.0, 0.0)])
    titles = ", ".join(str(sheet.form.title) for sheet in sheets)
    return picture.render("family", _(_("The family, fired, drawn to one scale")), titles, within=(width_mm, height_mm))


def _reach_mm(sheet: Sheet) -> float:
    """Room that handles need beside the pots."""
    return max(
        (
            max(0.0, (outermost_mm(extra, shape) or 0.0) - max(r for r, _other in shape.outside)) * shape.scale("fired")[0]
            for shape in sheet.shapes.values() for extra in shape.part.extras.values()
        ),
        default=0.0,
    )  # fmt: skip
