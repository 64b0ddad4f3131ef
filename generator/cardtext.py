"""A sheet's figures as the text of printed cards: HTML for the PDF engine, which is not known here."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from urllib.parse import quote

from markupsafe import Markup, escape

from generator import drawing
from generator.cards import CardText
from generator.dimensions import Lettering
from generator.shown import PartRows, Reader, Row, reader_of, ruler_checks, wheel_rows
from generator.sheet import Sheet
from generator.templating import TEMPLATES, plain, render


@dataclass(frozen=True, slots=True)
class Setting:
    """How one page is set: columns of big numbers, how many stand in each, and the drawing's box beside them.

    `close` cells carry their words above the number; others beside it. No box, no drawing.
    """

    close: bool
    columns: int
    rows: float
    drawing_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Paper:
    """What fits on a paper: settings with a drawing, the roomiest first; pages of numbers; a page that is all drawing."""

    drawn: tuple[Setting, ...]
    numbers: Setting
    alone_mm: tuple[float, float]
    lettering: Lettering


PAPERS = {
    "A5": Paper(
        (Setting(False, 1, 7, (88.0, 92.0)), Setting(True, 2, 6, (68.0, 92.0))), Setting(False, 2, 7), (190.0, 92.0), Lettering(3.1, 4.0)
    ),
    "A6": Paper((Setting(False, 1, 5, (46.0, 62.0)),), Setting(True, 2, 4), (136.0, 62.0), Lettering(2.5, 3.0)),
}
KINDS = ("wheel",)
# A name that wraps needs more height than a number.
LONG_LABEL = 30


@dataclass(frozen=True, slots=True)
class Leaf:
    """One page of a card: its columns of rows, how they are set, and the drawing's box, if it is here."""

    columns: tuple[tuple[Row, ...], ...]
    close: bool = False
    drawing_mm: tuple[float, float] | None = None


def render_card(sheet: Sheet, kind: str = "wheel", *, paper: str = "A5", made: datetime.date, site_url: str = "") -> CardText:
    """One card of a form.

    Args:
        sheet: the form's figures.
        kind: one of KINDS.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's page there; none where empty.
    Returns: the card's text; `cards.render_pdf` sets it.
    Raises: ValueError, a kind or a paper that there is not.
    """
    if kind not in KINDS or paper not in PAPERS:
        raise ValueError(f"there is no {kind} card on {paper}; there are {', '.join(KINDS)} on {', '.join(PAPERS)}")
    reader, size = reader_of(sheet.studio), PAPERS[paper]
    parts = wheel_rows(sheet, reader)
    html = render(
        "cards/wheel.html",
        sheet=sheet, form=sheet.form, paper=paper, leaves=lay_out(parts, size), several=len(parts) > 1,
        picture=lambda leaf: _picture(sheet, reader, leaf, size), convention=convention(sheet, reader),
        checks=list(ruler_checks(sheet, reader)), fired=_fired(sheet, reader), day=_day(made), size_class=_size_class(str(sheet.form.title)),
        language=str(sheet.studio.language or "en"), code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "",
        big=big_number, second_below=reader.systems[0] == "imperial",
    )  # fmt: skip
    return CardText(f"{sheet.slug}-{kind}", f"{sheet.form.title}, {kind} card", plain(html), card_style())


def _picture(sheet: Sheet, reader: Reader, leaf: Leaf, paper: Paper) -> Markup:
    width_mm, height_mm = leaf.drawing_mm
    return Markup(drawing.draw_wheel(sheet, width_mm=width_mm, height_mm=height_mm, size_text=reader.size_text, lettering=paper.lettering))


@cache
def card_style() -> str:
    """The cards' style sheet."""
    return (TEMPLATES / "cards" / "card.css").read_text(encoding="utf-8")


def page_url(sheet: Sheet, site_url: str) -> str:
    """The address of the form's page; the revision in it lets the page say that a card is old."""
    return f"{site_url.rstrip('/')}/forms/{quote(sheet.slug)}.html?r={sheet.revision}"


@cache
def qr_picture(url: str) -> Markup:
    """A QR code of an address as an SVG picture of one path."""
    import segno

    code = segno.make(url, error="m", micro=False)
    return Markup(code.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None, title=f"QR code: {url}"))


def lay_out(parts: Sequence[PartRows], paper: Paper) -> tuple[Leaf, ...]:
    """Rows over pages, so that nothing overflows and no number is made smaller.

    All beside the drawing where they fit. Else the numbers go first, column by column, and the drawing has
    the last page to itself.
    """
    for setting in paper.drawn:
        columns = _columns(parts, setting.rows)
        if len(columns) <= setting.columns:
            return (Leaf(tuple(columns), setting.close, setting.drawing_mm),)
    most = paper.numbers.columns
    columns = _columns(parts, paper.numbers.rows)
    numbers = [Leaf(tuple(columns[at : at + most]), paper.numbers.close) for at in range(0, len(columns), most)]
    return (*numbers, Leaf((), False, paper.alone_mm))


def _columns(parts: Sequence[PartRows], height: float) -> list[tuple[Row, ...]]:
    """Rows in columns of a height; a part starts a new column rather than being torn, where it can."""
    columns: list[list[Row]] = [[]]
    for part in parts:
        if columns[-1] and _height(columns[-1]) + _height(part.rows) > height:
            columns.append([])
        for row in part.rows:
            if _height([*columns[-1], row]) > height:
                columns.append([])
            columns[-1].append(row)
    return [tuple(column) for column in columns]


def _height(rows: Sequence[Row]) -> float:
    return sum(1.0 if len(row.label) + len(row.of) <= LONG_LABEL else 1.35 for row in rows)


_PLAIN_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FRACTION = re.compile(f"[{''.join(_VULGAR)}]|[⁰¹²³⁴⁵⁶⁷⁸⁹]+⁄[₀₁₂₃₄₅₆₇₈₉]+")


def big_number(number: str) -> Markup:
    """A number to be set, every digit of it as high as the others: a fraction's too; words in it stay small.

    >>> str(big_number("1 lb 1½")), str(big_number("3³⁄₃₂"))
    ('1<small> lb </small>1<i></i>1/2', '3<i></i>3/32')
    """
    spread = _FRACTION.sub(lambda found: ("\x00" if found.start() and found.string[found.start() - 1].isdigit() else "") + _VULGAR.get(found[0], found[0].translate(_PLAIN_DIGITS)), number)
    small = re.sub(r" ([^\d\W]+) ", lambda found: f"\x01 {found[1]} \x02", spread)
    return Markup(str(escape(small)).replace("\x00", "<i></i>").replace("\x01", "<small>").replace("\x02", "</small>"))


def convention(sheet: Sheet, reader: Reader) -> str:
    """What holds for every number of a wheel card, in words."""
    said = ["Every size is wet, as it comes off the wheel.", "The pointer is set up from the wheel head and out from the centre."]
    if sheet.studio.bat and sheet.studio.bat.value:
        said.append(f"The bat, {sheet.studio.bat.typed}, is counted in.")
    if any(part.opens_down for part in sheet.form.parts.values()):
        said.append("Lids are thrown upside down.")
    return " ".join(said)


def _fired(sheet: Sheet, reader: Reader) -> str:
    """What the form comes to when it is fired, part by part."""
    said = []
    for name in map(str, sheet.form.parts):
        height, across = sheet.find(f"{name}.height", "fired"), sheet.find(f"{name}.diameter", "fired")
        if not (height and across):
            continue
        size = f"{reader.figure(height)[0].number} × ⌀ {reader.text(across)}"
        capacity = sheet.find(f"{name}.capacity.fill", "fired")
        holds = f", {reader.text(capacity)}" if capacity and capacity.value > 0 else ""
        said.append(f"{name} {size}{holds}" if len(sheet.form.parts) > 1 else f"{size}{holds}")
    return "; ".join(said)


def _size_class(title: str) -> str:
    return "short" if len(title) <= 22 else "long" if len(title) <= 38 else "longest"


def _day(day: datetime.date) -> str:
    """A day as it is written out, the same in every locale.

    >>> _day(datetime.date(2026, 3, 4))
    '4 March 2026'
    """
    months = "January February March April May June July August September October November December".split()
    return f"{day.day} {months[day.month - 1]} {day.year}"
