"""A form's wheel card: what is set at the wheel, each setting with a number in a ring, large enough to read from where it hangs."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from markupsafe import Markup

from wareboard.cards.cardtext import (
    LINE,
    PAPERS,
    Paper,
    card_style,
    count_lines,
    page_url,
    qr_picture,
    set_number,
    title_mm,
)
from wareboard.cards.engine import CardText
from wareboard.cards.setrows import Face, Leaf, Line, Place, Rows, numbers_of, second_of
from wareboard.drawing import workdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.figures.settings import BALL, CALIPERS, FLOOR, POINTER, THROWN, Setting, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, fired_weight, reader_of
from wareboard.figures.tolerances import wheel_checks
from wareboard.text.languages import _, later, written_day
from wareboard.words.steps import lump_words
from wareboard.words.templating import capital, render

# Digits 20 minutes of arc at a metre and a half, names 10 and more.
FACE = Face(8.8, 5.1, 3.3, 4.4, 3.4, 6.8, 9.2)
ROOMY_MM = 58.0  # a drawing in less has rings alone: the sizes stand beside it
TOOLS = {
    BALL: later("weighed"), FLOOR: later("under the needle"), POINTER: later("pointer"), CALIPERS: later("calipers, {side}"), THROWN: later("calipers, {side}, as thrown"),
}  # fmt: skip


def render_wheel(sheet: Sheet, *, paper: str = "A5", made: datetime.date, site_url: str = "") -> CardText:
    """A form's wheel card: what is set at the wheel.

    Args:
        sheet: the form's figures.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's bench view there; none where empty.
    Returns: the card's text; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in PAPERS:
        raise ValueError(f"there is no wheel card on {paper}; it goes on {', '.join(PAPERS)}")
    reader, size, settings = reader_of(sheet.studio), PAPERS[paper], settings_of(sheet)
    checks = (*wheel_checks(settings.sheet, reader), *lump_words(settings.sheet, reader)) if sheet.is_worked_out else ()
    fired, said = _fired(settings.sheet, reader), convention(sheet, reader)
    top, bottom = head_height_mm(sheet, size, said), foot_height_mm(size, (*checks, fired))
    box = Place(0.0, top, size.room_mm, size.inner_mm - top - bottom - 1.0)
    parts = {name: [_line(one) for one in rows] for name, rows in settings.by_part.items() if rows}
    rows = Rows(FACE, box, lambda name: part_heading(sheet, name), lambda names: lies_wide(sheet, names))
    leaves = rows.lay_out(parts)
    html = render(
        "cards/wheel.html",
        sheet=sheet, form=sheet.form, paper=size, leaves=leaves, picture=lambda leaf, number: _picture(sheet, reader, leaf, size, number),
        convention=said, checks=checks, fired=fired, day=written_day(made), title_mm=title_mm(str(sheet.form.title), size, max(map(str, sheet.form.parts), key=len) if len(sheet.form.parts) > 1 else ""),
        language=sheet.studio.language_tag, code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "",
        set_number=set_number, several=len(sheet.form.parts) > 1, upside_down=upside_down(sheet),
    )  # fmt: skip
    return CardText(f"{sheet.slug}-wheel", _("{title}, wheel card").format(title=sheet.form.title), html, card_style())


def _picture(sheet: Sheet, reader: Reader, leaf: Leaf, paper: Paper, number: int) -> Markup:
    box = leaf.drawing
    large = max(0.9, paper.words_mm / 3.1)
    return Markup(
        workdrawing.draw_wheel(
            sheet, width_mm=box.width, height_mm=box.height, size_text=reader.size_text, parts=leaf.parts or None,
            sizes=box.width > ROOMY_MM * large or not leaf.lines,
            lettering=Lettering(3.0 * large, 3.8 * large), name=f"{sheet.slug}-wheel-{number}",
        )
    )  # fmt: skip


def _line(one: Setting) -> Line:
    """A setting as a row."""
    return Line(
        one.mark,
        name_words(one),
        tool_words(one),
        numbers_of(one.ends),
        one.ends[0].amounts[0].unit,
        second_of(one.ends),
        figures=tuple(f"{end.key} wet" for end in one.ends),
    )


def part_heading(sheet: Sheet, name: str) -> tuple[str, str]:
    """A part's name, and how it stands on the wheel where that is not plain."""
    return capital(name), _(", upside down") if sheet.form.parts[name].opens_down else ""


def upside_down(sheet: Sheet) -> frozenset[str]:
    """The parts that are thrown upside down."""
    return frozenset(str(name) for name, part in sheet.form.parts.items() if part.opens_down)


def lies_wide(sheet: Sheet, names: Sequence[str]) -> bool:
    """True for one part that is wider than twice its height."""
    wide = [sheet.value(f"{name}.diameter", "wet") > 2.0 * sheet.value(f"{name}.height", "wet") for name in names]
    return wide == [True]


def tool_words(one: Setting) -> str:
    """What is used for a setting, and on which side: `calipers, inside`."""
    return _(TOOLS[one.kind]).format(side=one.on_side)


def name_words(one: Setting) -> str:
    """What a setting is called on the card: the place, or what is weighed or opened."""
    return capital(_(one.kind) if one.kind in (BALL, FLOOR) else one.called)


# ---- head and foot ----


def head_height_mm(sheet: Sheet, paper: Paper, said: str) -> float:
    """What title, line and rule take."""
    words = _("At the wheel, 1 of 9. {clay}, cone 10. {said}").format(clay=sheet.clay.title, said=said)
    return 1.12 * paper.title_mm + LINE * paper.words_mm * count_lines(words, paper.room_mm, paper.words_mm) + 2.8


def foot_height_mm(paper: Paper, lines: Sequence[str]) -> float:
    """What the lines below the rule take, or the code beside them."""
    width = paper.room_mm - paper.qr_mm - 5.0
    count = sum(count_lines(line, width, 1.03 * paper.words_mm) for line in lines if line) + 1
    return max(paper.qr_mm + 1.0, LINE * paper.words_mm * count + 2.2)


def convention(sheet: Sheet, reader: Reader) -> str:
    """What holds for every number of a wheel card, in words."""
    said = [_("Every size is wet, as it comes off the wheel.")]
    said.append(_("The pointer is set ↑ up from the wheel head and → out from the centre."))
    if sheet.studio.bat and sheet.studio.bat.value:
        said.append(_("The bat, {bat}, is counted in.").format(bat=reader.as_said(sheet.studio.bat.value)))
    if any(part.opens_down for part in sheet.form.parts.values()):
        said.append(_("Lids are thrown upside down."))
    return " ".join(said)


# Above this the fired sizes are left to the page: the foot must not push the numbers out.
LONGEST_FIRED = 130


def _fired(sheet: Sheet, reader: Reader) -> str:
    """What the form comes to when it is fired, part by part."""
    said = []
    for name in map(str, sheet.form.parts):
        height, across = sheet.find(f"{name}.height", "fired"), sheet.find(f"{name}.diameter", "fired")
        if not (height and across):
            continue
        size = f"{reader.figure(height)[0].number} × ⌀ {reader.text(across)}"
        capacity, weight = sheet.find(f"{name}.capacity.fill", "fired"), sheet.find(fired_weight(sheet, name), "fired")
        more = [reader.text(figure) for figure in (capacity, weight) if figure and figure.value > 0]
        said.append(f"{f'{name} ' if len(sheet.form.parts) > 1 else ''}{', '.join([size, *more])}")
    joined = "; ".join(said)
    return _("Fired, in its glaze: {sizes}.").format(sizes=joined) if joined and len(joined) <= LONGEST_FIRED else ""
