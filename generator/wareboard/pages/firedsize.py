"""How large a form is as it stands fired, and the balls that it is thrown from: what catalogues and tables tell of it."""

from __future__ import annotations

from collections.abc import Sequence

from wareboard.drawing.seating import Standing, height_together_mm, set_together
from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _


@frozen
class FiredSize:
    """How large a form is as it stands, all parts together, and what it holds; `words` say what is on or under it."""

    height_mm: float
    across: Figure | None
    holds: Figure | None
    words: str = ""


def fired_size(sheet: Sheet) -> FiredSize | None:
    """Size of the parts that stand together with the one that says most of a form: its largest vessel, else its first part."""
    main, group = stood_together(sheet)
    if not group:
        return None
    names = [part.name for part in group]
    holds, across = (
        sheet.find(f"{main}.capacity.fill", "fired"),
        (sheet.find(f"{part}.diameter", "fired") for part in names),
    )
    widest = max(filter(None, across), key=lambda figure: figure.value, default=None)
    lids = [part for part in names if part != main and sheet.form.parts[part].opens_down]
    words = (
        ""
        if len(names) == 1
        else _("with {lids}").format(lids=_(" and ").join(lids))
        if len(lids) == len(names) - 1
        else _("together")
    )
    # The drawing is the sheet's own; what its settings move, they move the pot that the rest stands on by.
    stood = next(part for part in group if part.name == main)
    made = sheet.find(f"{main}.height", "fired")
    moved = made.value - (stood.top_mm - stood.bottom_mm) if made else 0.0
    return FiredSize(
        height_together_mm(sheet, "fired", group) + moved,
        widest,
        holds if holds and holds.value > 0 else None,
        words,
    )


def stood_together(sheet: Sheet) -> tuple[str, Sequence[Standing]]:
    """The part that says most of a form, its largest vessel, else its first part; and the parts that stand together with it, fired."""
    parts = list(map(str, sheet.form.parts))
    volumes = {part: figure.value for part in parts if (figure := sheet.find(f"{part}.capacity.fill", "fired"))}
    main = max(volumes, key=lambda part: volumes[part]) if volumes else parts[0]
    groups = set_together(sheet, "fired")
    return main, next((group for group in groups if main in [part.name for part in group]), ())


def ball_figures(sheet: Sheet) -> list[Figure]:
    """The ball of each part as it is weighed out, in the parts' order."""
    found = (sheet.find(f"{part}.ball.set", "wet") for part in sheet.form.parts)
    return [ball for ball in found if ball]
