"""A form's wheel card: what is set at the wheel, each setting with a number in a ring, large enough to read from where it hangs."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from markupsafe import Markup

from wareboard.cards.cardtext import (
    CAP,
    LINE,
    PAPERS,
    Paper,
    card_style,
    count_lines,
    has_fraction,
    number_width_mm,
    page_url,
    qr_picture,
    set_number,
    title_mm,
    written_day,
)
from wareboard.cards.engine import CardText
from wareboard.drawing import formdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.svg import text_width_mm
from wareboard.figures.settings import BALL, CALIPERS, FLOOR, POINTER, THROWN, Setting, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, fired_weight, reader_of
from wareboard.figures.tolerances import wheel_checks
from wareboard.pot.frozen import frozen
from wareboard.words.templating import capital, render

DIGIT_MM = 8.8  # cap height of what is set: 20 minutes of arc at a metre and a half
NAME_MM = 5.1  # cap height of a part's and a place's name: 10 minutes and more
LARGEST, STEP = 1.7, 0.05  # of the digits, as a multiple of the least
FRACTION = 2.34  # heights of a digit that a number over another takes, its bar and the air round it
TOOL_MM, UNIT_MM, SECOND_MM = 3.3, 4.4, 3.4  # font sizes: the tool, the unit, the other system
RING_MM = 7.0
HEAD_MM = 9.2  # a part's name above its rows
GAP_MM = 6.0
DRAWING, WIDE_DRAWING, LEAST_DRAWING = (
    0.28,
    0.42,
    0.21,
)  # of the card's width; of what is wider than twice its height; at worst
TOOLS = {
    BALL: "weighed", FLOOR: "under the needle", POINTER: "pointer", CALIPERS: "calipers, {side}", THROWN: "calipers, {side}, as thrown",
}  # fmt: skip
ROOMY_MM = 58.0  # a drawing in less has rings alone: the sizes stand beside it
ARROWS = {"up": "↑", "out": "→", "": ""}


@frozen
class Place:
    """One thing on a card: where its box stands, mm from the card's corner, and what is in it."""

    left: float
    top: float
    width: float
    height: float


@frozen
class SetRow:
    """One setting as it stands on the card: its box and the baseline sizes that go with it."""

    setting: Setting
    place: Place
    name_width: float
    unit_width: float
    second: tuple[str, ...]
    above: bool


@frozen
class Heading:
    """A part's name above its rows."""

    text: str
    said: str
    place: Place


@frozen
class Leaf:
    """One card: headings, rows, the size of its digits, and the drawing's box, if it is here."""

    rows: tuple[SetRow, ...] = ()
    headings: tuple[Heading, ...] = ()
    digit_mm: float = 0.0
    drawing: Place | None = None
    parts: tuple[str, ...] = ()

    @property
    def part(self) -> str:
        """The one part that it is about, which stands beside its title; nothing where there are several."""
        return self.parts[0] if len(self.parts) == 1 else ""


def render_wheel(sheet: Sheet, *, paper: str = "A5", made: datetime.date, site_url: str = "") -> CardText:
    """A form's wheel card: what is set at the wheel.

    Args:
        sheet: the form's figures.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's page there; none where empty.
    Returns: the card's text; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in PAPERS:
        raise ValueError(f"there is no wheel card on {paper}; it goes on {', '.join(PAPERS)}")
    reader, size, settings = reader_of(sheet.studio), PAPERS[paper], settings_of(sheet)
    checks = wheel_checks(settings.sheet, reader) if sheet.figures else ()
    fired, said = _fired(settings.sheet, reader), convention(sheet)
    top, bottom = head_height_mm(sheet, size, said), foot_height_mm(size, (*checks, fired))
    box = Place(0.0, top, size.room_mm, size.inner_mm - top - bottom - 1.0)
    leaves = lay_out(sheet, settings.by_part, size, box)
    html = render(
        "cards/wheel.html",
        sheet=sheet, form=sheet.form, paper=size, leaves=leaves, picture=lambda leaf, number: _picture(sheet, reader, leaf, size, number),
        convention=said, checks=checks, fired=fired, day=written_day(made), title_mm=title_mm(str(sheet.form.title), size, max(map(str, sheet.form.parts), key=len) if len(sheet.form.parts) > 1 else ""),
        language=str(sheet.studio.language or "en"), code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "",
        set_number=set_number, arrows=ARROWS, tool=tool_words, named=name_words, several=len(sheet.form.parts) > 1, upside_down={str(name) for name, part in sheet.form.parts.items() if part.opens_down},
    )  # fmt: skip
    return CardText(f"{sheet.slug}-wheel", f"{sheet.form.title}, wheel card", html, card_style())


def _picture(sheet: Sheet, reader: Reader, leaf: Leaf, paper: Paper, number: int) -> Markup:
    box = leaf.drawing
    large = paper.words_mm / 3.1
    return Markup(
        formdrawing.draw_wheel(
            sheet, width_mm=box.width, height_mm=box.height, size_text=reader.size_text, parts=leaf.parts or None,
            sizes=box.width > ROOMY_MM * large or not leaf.rows,
            lettering=Lettering(3.0 * large, 3.8 * large), name=f"{sheet.slug}-wheel-{number}",
        )
    )  # fmt: skip


def tool_words(one: Setting) -> str:
    """What is used for a setting, and on which side: `calipers, inside`."""
    return TOOLS[one.kind].format(side=one.side)


def name_words(one: Setting) -> str:
    """What a setting is called on the card: the place, or what is weighed or opened."""
    return capital({BALL: "ball", FLOOR: "floor"}.get(one.kind, one.place))


# ---- head and foot ----


def head_height_mm(sheet: Sheet, paper: Paper, said: str) -> float:
    """What title, line and rule take."""
    words = f"At the wheel, 1 of 9. {sheet.clay.title}, cone 10. {said}"
    return 1.12 * paper.title_mm + LINE * paper.words_mm * count_lines(words, paper.room_mm, paper.words_mm) + 2.8


def foot_height_mm(paper: Paper, lines: Sequence[str]) -> float:
    """What the lines below the rule take, or the code beside them."""
    width = paper.room_mm - paper.qr_mm - 5.0
    count = sum(count_lines(line, width, 1.03 * paper.words_mm) for line in lines if line) + 1
    return max(paper.qr_mm + 1.0, LINE * paper.words_mm * count + 2.2)


def convention(sheet: Sheet) -> str:
    """What holds for every number of a wheel card, in words."""
    said = ["Every size is wet, as it comes off the wheel."]
    said.append("The pointer is set ↑ up from the wheel head and → out from the centre.")
    if sheet.studio.bat and sheet.studio.bat.value:
        said.append(f"The bat, {sheet.studio.bat.typed}, is counted in.")
    if any(part.opens_down for part in sheet.form.parts.values()):
        said.append("Lids are thrown upside down.")
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
    return f"Fired, in its glaze: {joined}." if joined and len(joined) <= LONGEST_FIRED else ""


# ---- rows on paper ----


@frozen
class _Way:
    """One way to set rows: how large the digits are, names above or beside the numbers, in how many columns."""

    scale: float
    above: bool
    columns: int


def number_height_mm(one: Setting, scale: float) -> float:
    """What a row's digits take: two lines of them where there is a fraction."""
    lines = FRACTION if any(has_fraction(end.amounts[0].number) for end in one.ends) else 1.0
    return DIGIT_MM * scale * lines + 1.7


def numbers_width_mm(one: Setting, scale: float) -> float:
    """What a row's numbers take, arrows and all."""
    size = DIGIT_MM * scale / CAP
    arrows = sum(0.48 * size for end in one.ends if end.end)
    between = 0.26 * size * (len(one.ends) - 1)
    return sum(number_width_mm(end.amounts[0].number, size) for end in one.ends) + arrows + between


def second_lines(one: Setting) -> tuple[str, ...]:
    """The setting in the other system, as it stands small beside the unit."""
    found = []
    for end in one.ends:
        if len(end.amounts) > 1 and end.amounts[1] != end.amounts[0]:
            found.append(f"{ARROWS[end.end]} {end.amounts[1]}".strip())
    return tuple(found)


def _unit_width_mm(one: Setting) -> float:
    unit = text_width_mm(one.ends[0].amounts[0].unit, UNIT_MM, True)
    return max([unit, *(text_width_mm(line, SECOND_MM) for line in second_lines(one))]) + 2.4


def _name_width_mm(one: Setting) -> float:
    return max(text_width_mm(name_words(one), NAME_MM / CAP, True), 0.62 * text_width_mm(tool_words(one), TOOL_MM))


def _row_height_mm(one: Setting, way: _Way) -> float:
    high = number_height_mm(one, way.scale)
    return high + 9.2 if way.above else max(high, 12.2, UNIT_MM + 3.9 * len(second_lines(one)) + 0.8)


def _row_width_mm(rows: Sequence[Setting], way: _Way) -> float:
    right = max(map(_unit_width_mm, rows))
    numbers = max(numbers_width_mm(one, way.scale) for one in rows) + right
    if way.above:
        named = max(
            text_width_mm(name_words(one), NAME_MM / CAP, True) + text_width_mm(tool_words(one), TOOL_MM)
            for one in rows
        )
        return max(numbers, RING_MM + 5.0 + named)
    return RING_MM + 2.0 + max(map(_name_width_mm, rows)) + 2.5 + numbers


def lay_out(sheet: Sheet, by_part, paper: Paper, box: Place) -> tuple[Leaf, ...]:
    """Settings over cards: no digit smaller than the least, no row torn, nothing overflowing.

    All on one card where they fit; else a card for each run of parts that does, each with its drawing; else the rows
    over several cards and the drawing on one of its own.

    Args:
        sheet: the form's figures.
        by_part: its settings, part by part.
        paper: what they are set on.
        box: the room between head and foot, mm.
    """
    parts = {name: rows for name, rows in by_part.items() if rows}
    if not parts:
        return (Leaf(drawing=box),) if sheet.sections else (Leaf(),)
    leaves: list[Leaf] = []
    waiting = list(parts)
    while waiting:
        for count in range(len(waiting), 0, -1):
            chosen = {name: parts[name] for name in waiting[:count]}
            leaf = _leaf(sheet, chosen, count > 1, box)
            if leaf:
                leaves.append(leaf)
                break
        else:
            count = 1
            leaves += _torn(sheet, waiting[0], parts[waiting[0]], box)
        waiting = waiting[count:]
    if not any(leaf.drawing for leaf in leaves):
        leaves.append(Leaf(drawing=box))
    return tuple(leaves)


def _ways() -> Iterator[_Way]:
    steps = round((LARGEST - 1.0) / STEP)
    for step in range(steps, -1, -1):
        for columns in (1, 2):
            for above in (True, False):
                yield _Way(1.0 + step * STEP, above, columns)


def _leaf(sheet: Sheet, parts, headed: bool, box: Place, with_drawing: bool = True) -> Leaf | None:
    """Some parts on one card with their drawing, the digits as large as they go."""
    for least, way in ((least, way) for least in _least_drawings(sheet, parts, with_drawing) for way in _ways()):
        columns = _columns(parts, headed, way, box.height)
        if columns is None:
            continue
        widths = [_row_width_mm([one for one in column if isinstance(one, Setting)], way) for column in columns]
        taken = sum(widths) + GAP_MM * len(widths)
        left = box.width - taken
        if left < least * box.width - GAP_MM * (not with_drawing):
            continue
        return _placed(sheet, columns, widths, way, box, left, tuple(parts), with_drawing)
    return None


def _least_drawings(sheet: Sheet, parts, with_drawing: bool) -> tuple[float, ...]:
    """What share of the card's width the drawing has at least; more, where it can have it, if it lies wide."""
    if not with_drawing:
        return (0.0,)
    wide = [sheet.value(f"{name}.diameter", "wet") > 2.0 * sheet.value(f"{name}.height", "wet") for name in parts]
    return (WIDE_DRAWING, DRAWING, LEAST_DRAWING) if wide == [True] else (DRAWING, LEAST_DRAWING)


def _columns(parts, headed: bool, way: _Way, height_mm: float) -> list[list[Setting | str]] | None:
    """Headings and rows in columns, a part never torn where it fits in one; None where there is no room."""
    columns: list[list[Setting | str]] = [[]]
    used = 0.0
    for name, rows in parts.items():
        block: list[Setting | str] = [*([name] if headed else []), *rows]
        heights = [HEAD_MM if isinstance(one, str) else _row_height_mm(one, way) for one in block]
        if columns[-1] and used + sum(heights) > height_mm >= sum(heights):
            columns.append([])
            used = 0.0
        for place, (one, high) in enumerate(zip(block, heights, strict=True)):
            kept = high + (heights[place + 1] if isinstance(one, str) else 0.0)
            if used + kept > height_mm:
                if not columns[-1]:
                    return None
                columns.append([])
                used = 0.0
                if high > height_mm:
                    return None
            columns[-1].append(one)
            used += high
    if len(columns) > way.columns or not all(any(isinstance(one, Setting) for one in column) for column in columns):
        return None
    return columns if len(columns) == way.columns else None


def _placed(sheet: Sheet, columns, widths, way: _Way, box: Place, left_mm: float, parts: tuple[str, ...], drawn: bool = True) -> Leaf:  # fmt: skip
    """Where everything stands: the drawing on the left, rows from the right."""
    rows, headings = [], []
    at = box.width - sum(widths) - GAP_MM * (len(widths) - 1)
    for column, width in zip(columns, widths, strict=True):
        heights = [HEAD_MM if isinstance(one, str) else _row_height_mm(one, way) for one in column]
        ease = min(3.2, (box.height - sum(heights)) / len(column))
        top = box.top
        names = max(_name_width_mm(one) for one in column if isinstance(one, Setting))
        units = max(_unit_width_mm(one) for one in column if isinstance(one, Setting))
        for one, high in zip(column, heights, strict=True):
            if isinstance(one, str):
                upside = ", upside down" if sheet.form.parts[one].opens_down else ""
                headings.append(Heading(capital(one), upside, Place(at, top, width, high)))
                top += high
            else:
                place = Place(round(at, 2), round(top, 2), round(width, 2), round(high + ease, 2))
                named = width - RING_MM - 2.0 if way.above else names
                rows.append(SetRow(one, place, round(named, 2), round(units, 2), second_lines(one), way.above))
                top += high + ease
        at += width + GAP_MM
    drawing = Place(box.left, box.top + 1.0, left_mm - 1.0, box.height - 2.0) if drawn else None
    return Leaf(tuple(rows), tuple(headings), round(DIGIT_MM * way.scale / CAP, 2), drawing, parts)


def _torn(sheet: Sheet, name: str, rows: Sequence[Setting], box: Place) -> Iterator[Leaf]:
    """One part that is too long for a card with its drawing: as many rows to a card as go on it, shared out evenly."""
    most = next(
        (count for count in range(len(rows), 0, -1) if _leaf(sheet, {name: tuple(rows[:count])}, False, box, False)), 1
    )
    cards = -(-len(rows) // most)
    start = 0
    for card in range(cards):
        count = -(-(len(rows) - start) // (cards - card))
        chosen = tuple(rows[start : start + count])
        leaf = _leaf(sheet, {name: chosen}, False, box, False)
        # One row alone may be too wide: it is set as it is, its digits as small as they may be.
        yield leaf or _placed(sheet, [list(chosen)], [box.width], _Way(1.0, True, 1), box, 0.0, (name,), False)
        start += count
