"""A family of sizes side by side: each form as it is used, half outside and half section, all to one scale."""

from __future__ import annotations

from collections.abc import Sequence

from wareboard.drawing.handles import draw_outside
from wareboard.drawing.joined import handle_outlines
from wareboard.drawing.seating import set_together
from wareboard.drawing.svg import AXIS, CLAY, EDGE, GROUND, OUTLINE, Picture
from wareboard.figures.amounts import outermost_mm
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _

GAP_MM = 14.0
TEXT_MM = 5.0


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
        total += sum(widths) + GAP_MM * len(widths) + reach
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
            left += width + GAP_MM
        middle = (start + left - GAP_MM) / 2.0
        picture.letter(middle, -8.0 * grown, str(sheet.form.code or sheet.form.title), TEXT_MM * grown, strong=True)
    picture.stroke(GROUND, [(-4.0, 0.0), (left - GAP_MM + 4.0, 0.0)])
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
