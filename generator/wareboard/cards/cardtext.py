"""A sheet's figures as the text of printed cards: HTML for the PDF engine, which is not known here."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil
from urllib.parse import quote

from markupsafe import Markup, escape

from wareboard.cards.engine import CardText
from wareboard.drawing import formdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.svg import text_width_mm
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import POINTER_OUT, PartRows, Reader, Row, reader_of, ruler_checks, wheel_rows
from wareboard.text.quantities import IMPERIAL, METRIC
from wareboard.words.templating import TEMPLATES, render


@dataclass(frozen=True, slots=True)
class Setting:
    """How one page is set: columns of big numbers, and how much width the drawing has beside them, if any.

    In `close` columns the words stand above the number, in others beside it.
    """

    close: bool
    columns: int
    column_mm: float
    drawing_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Paper:
    """A landscape paper: the room inside its margins, its sizes of type, and its settings, the roomiest first.

    Fractions of an inch are as high as every other digit here, so inches need wider columns.
    """

    width_mm: float
    height_mm: float
    head_mm: float
    small_mm: float
    label_mm: float
    words_mm: float
    drawn: Mapping[str, tuple[Setting, ...]]
    numbers: Mapping[str, Setting]
    lettering: Lettering


PAPERS = {
    "A5": Paper(
        192.0, 134.0, 14.5, 3.0, 24.0, 3.7,
        {METRIC: (Setting(False, 1, 97.0, 88.0), Setting(True, 2, 58.0, 64.0)), IMPERIAL: (Setting(False, 1, 106.0, 80.0),)},
        {METRIC: Setting(True, 3, 58.0), IMPERIAL: Setting(True, 2, 92.0)}, Lettering(3.1, 4.0),
    ),
    "A6": Paper(
        136.0, 95.5, 10.5, 2.25, 21.0, 3.0,
        {METRIC: (Setting(False, 1, 86.0, 46.0),), IMPERIAL: (Setting(False, 1, 96.0, 37.0),)},
        {METRIC: Setting(True, 2, 64.0), IMPERIAL: Setting(True, 1, 136.0)}, Lettering(2.5, 3.0),
    ),
}  # fmt: skip
NUMBER_MM, CLOSE_NUMBER_MM = 13.5, 10.6
QR_MM = {"A5": 16.5, "A6": 13.5}
LINE = 1.3
# A text takes a little more than its width, for where it breaks.
BREAKS = 1.08
MOST_EASE_MM = 2.6
# Above this the fired sizes are left to the page: the foot must not push the numbers out.
LONGEST_FIRED = 130


@dataclass(frozen=True, slots=True)
class Leaf:
    """One page of a card: its columns of rows, how they are set, and the drawing's box, if it is here.

    `ease_mm` is what each row may have more than it needs.
    """

    columns: tuple[tuple[Row, ...], ...]
    close: bool = False
    column_mm: float = 0.0
    drawing_mm: tuple[float, float] | None = None
    ease_mm: float = 0.0


def render_wheel(sheet: Sheet, *, paper: str = "A5", made: datetime.date, site_url: str = "") -> CardText:
    """A form's wheel card: what is set at the wheel.

    Args:
        sheet: the form's figures.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's page there; none where empty.
    Returns: the card's text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in PAPERS:
        raise ValueError(f"there is no wheel card on {paper}; it goes on {', '.join(PAPERS)}")
    reader, size = reader_of(sheet.studio), PAPERS[paper]
    parts, checks, fired, said = (
        wheel_rows(sheet, reader),
        ruler_checks(sheet, reader),
        _fired(sheet, reader),
        convention(sheet),
    )
    foot_lines = sum(count_lines(line, size.width_mm - QR_MM[paper], size.small_mm) for line in (*checks, fired)) + 1
    head_mm = size.head_mm + LINE * size.small_mm * count_lines(
        f"At the wheel, 1 of 9. {sheet.clay.title}, cone 10. {said}", size.width_mm, size.small_mm
    )
    room_mm = size.height_mm - head_mm - max(QR_MM[paper], LINE * size.small_mm * foot_lines + 2.5)
    html = render(
        "cards/wheel.html",
        sheet=sheet, form=sheet.form, paper=paper, leaves=lay_out(parts, size, room_mm, reader.systems[0]), several=len(parts) > 1,
        picture=lambda leaf: _picture(sheet, reader, leaf, size), convention=said, checks=checks, fired=fired, day=written_day(made),
        size_class=size_class(str(sheet.form.title)), language=str(sheet.studio.language or "en"),
        code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "", big=big_number, inches_first=reader.systems[0] == IMPERIAL,
    )  # fmt: skip
    return CardText(f"{sheet.slug}-wheel", f"{sheet.form.title}, wheel card", html, card_style())


def _picture(sheet: Sheet, reader: Reader, leaf: Leaf, paper: Paper) -> Markup:
    width_mm, height_mm = leaf.drawing_mm
    return Markup(
        formdrawing.draw_wheel(
            sheet, width_mm=width_mm, height_mm=height_mm, size_text=reader.size_text, lettering=paper.lettering
        )
    )


@cache
def card_style() -> str:
    """The cards' style sheet."""
    return (TEMPLATES / "cards" / "card.css").read_text(encoding="utf-8")


def page_url(sheet: Sheet, site_url: str) -> str:
    """The address of the form's page; the revision in it lets the page say that a card is old."""
    return f"{site_url.rstrip('/')}/forms/{quote(sheet.slug)}.html?revision={sheet.revision}"


@cache
def qr_picture(url: str) -> Markup:
    """A QR code of an address as an SVG picture of one path."""
    import segno

    code = segno.make(url, error="m", micro=False)
    return Markup(code.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None, title=f"QR code: {url}"))


def lay_out(parts: Sequence[PartRows], paper: Paper, room_mm: float, system: str = METRIC) -> tuple[Leaf, ...]:
    """Rows over pages, so that nothing overflows and no number is made smaller.

    All beside the drawing where they fit. Else the numbers go first, column by column, and the drawing has
    the last page to itself.

    Args:
        parts: the rows, part by part.
        paper: what they are set on.
        room_mm: height between the card's head and foot, mm.
        system: the unit system that is set large.
    """
    for setting in paper.drawn[system]:
        columns = _columns(parts, setting, paper, room_mm, system)
        if len(columns) <= setting.columns:
            if len(parts) == 1 and len(columns) == 2:
                columns = _halved(columns)
            ease_mm = _ease_mm(columns, setting, paper, room_mm, system)
            return (
                Leaf(tuple(columns), setting.close, setting.column_mm, (setting.drawing_mm, room_mm - 3.0), ease_mm),
            )
    setting = paper.numbers[system]
    columns = _columns(parts, setting, paper, room_mm, system)
    ease_mm = _ease_mm(columns, setting, paper, room_mm, system)
    starts = range(0, len(columns), setting.columns)
    numbers = [
        Leaf(tuple(columns[at : at + setting.columns]), setting.close, setting.column_mm, ease_mm=ease_mm)
        for at in starts
    ]
    return (*numbers, Leaf((), drawing_mm=(paper.width_mm - 2.0, room_mm - 3.0)))


def _columns(
    parts: Sequence[PartRows], setting: Setting, paper: Paper, room_mm: float, system: str
) -> list[tuple[Row, ...]]:
    """Rows in columns of a height; a part starts a new column rather than being torn, where it can."""
    high = lambda rows: sum(_height_mm(row, setting, paper, system == IMPERIAL) for row in rows)  # noqa: E731
    columns: list[list[Row]] = [[]]
    for part in parts:
        if columns[-1] and high(columns[-1]) + high(part.rows) > room_mm >= high(part.rows):
            columns.append([])
        for row in part.rows:
            if columns[-1] and high([*columns[-1], row]) > room_mm:
                columns.append([])
            columns[-1].append(row)
    return [tuple(column) for column in columns]


def _ease_mm(columns: Sequence[tuple[Row, ...]], setting: Setting, paper: Paper, room_mm: float, system: str) -> float:
    """What the rows of the fullest column may share between them, within reason."""
    spare = [
        (room_mm - sum(_height_mm(row, setting, paper, system == IMPERIAL) for row in column)) / len(column)
        for column in columns
    ]
    return round(max(0.0, min(MOST_EASE_MM, *spare)), 2)


def _halved(columns: Sequence[tuple[Row, ...]]) -> list[tuple[Row, ...]]:
    """Two columns of one part's rows made about as long; no pointer is torn from its reach."""
    rows = [row for column in columns for row in column]
    half = (len(rows) + 1) // 2
    if rows[half].label == POINTER_OUT:
        half += 1
    # The first column was filled to the full: it can only be shorter.
    half = min(half, len(columns[0]))
    return [tuple(rows[:half]), tuple(rows[half:])]


def _height_mm(row: Row, setting: Setting, paper: Paper, inches_first: bool) -> float:
    """What a row takes: its number, and its words where they wrap."""
    if setting.close:
        words_mm = 1.06 * text_width_mm(row.label, paper.words_mm) + text_width_mm(f" {row.of}", 0.86 * paper.words_mm)
        second_mm = text_width_mm(f" ({row.second})", paper.words_mm) if inches_first and row.second else 0.0
        return CLOSE_NUMBER_MM + 0.6 + 1.08 * paper.words_mm * ceil(BREAKS * (words_mm + second_mm) / setting.column_mm)
    lines = (
        count_lines(row.label, paper.label_mm, paper.words_mm)
        + count_lines(row.of, paper.label_mm, 0.88 * paper.words_mm)
        + (1 if inches_first else 0)
    )
    return max(NUMBER_MM, 1.12 * paper.words_mm * lines)


def count_lines(text: str, width_mm: float, size_mm: float) -> int:
    """How many lines a text takes in a column of some width, set at some size; both in mm."""
    return ceil(BREAKS * text_width_mm(text, size_mm) / width_mm)


_PLAIN_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FRACTION = re.compile(f"[{''.join(_VULGAR)}]|[⁰¹²³⁴⁵⁶⁷⁸⁹]+⁄[₀₁₂₃₄₅₆₇₈₉]+")


def big_number(number: str) -> Markup:
    """A number to be set, every digit of it as high as the others: a fraction's too; words in it stay small.

    >>> str(big_number("1 lb 1½")), str(big_number("3³⁄₃₂"))
    ('1<small> lb </small>1<i></i>1/2', '3<i></i>3/32')
    """
    spread = _FRACTION.sub(
        lambda found: (
            ("\x00" if found.start() and found.string[found.start() - 1].isdigit() else "")
            + _VULGAR.get(found[0], found[0].translate(_PLAIN_DIGITS))
        ),
        number,
    )
    small = re.sub(r" ([^\d\W]+) ", lambda found: f"\x01 {found[1]} \x02", spread)
    return Markup(str(escape(small)).replace("\x00", "<i></i>").replace("\x01", "<small>").replace("\x02", "</small>"))


def convention(sheet: Sheet) -> str:
    """What holds for every number of a wheel card, in words."""
    said = [
        "Every size is wet, as it comes off the wheel.",
        "The pointer is set up from the wheel head and out from the centre.",
    ]
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
    joined = "; ".join(said)
    return joined if len(joined) <= LONGEST_FIRED else ""


def size_class(title: str) -> str:
    """A size of type at which a title stands beside a code."""
    return "short" if len(title) <= 22 else "long" if len(title) <= 38 else "longest"


def written_day(day: datetime.date) -> str:
    """A day as it is written out, the same in every locale.

    >>> written_day(datetime.date(2026, 3, 4))
    '4 March 2026'
    """
    months = "January February March April May June July August September October November December".split()
    return f"{day.day} {months[day.month - 1]} {day.year}"
