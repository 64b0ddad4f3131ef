"""A form's trimming card: what each part ends at, large and first; at what state to begin; how two that go together match."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

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
from wareboard.cards.setrows import Entry, Face, Leaf, Line, Place, Rows, numbers_of, second_of
from wareboard.drawing import closeups, workdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.strips import draw_strip, strip_of
from wareboard.drawing.svg import Picture, text_width_mm
from wareboard.drawing.workdrawing import draw_foot, footed_parts
from wareboard.figures.matching import Dryness, MatchTable, TurnTable, match_table_of, set_mm, turn_table_of
from wareboard.figures.settings import AT_TRIMMING, PLAY, RING, THICKNESS, Setting, as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, reader_of
from wareboard.figures.tolerances import plus_minus_text, tolerance_of
from wareboard.figures.trimsettings import Reading, ready_readings, trim_settings_of, trimmed_weight_g
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, written_day
from wareboard.text.problems import capital
from wareboard.text.quantities import format_share
from wareboard.words.steps import joining_words
from wareboard.words.templating import TEMPLATES, render

# Read at arm's length from the wheel: digits 12 minutes of arc and more at a metre and a half.
FACE = Face(6.0, 4.0, 3.1, 4.0, 3.1, 6.8, 8.0, largest=1.9, above=False)
SMALL_FACE = Face(4.7, 3.2, 2.55, 3.3, 2.6, 5.4, 6.4, largest=1.6, above=False)  # on A6
LOOKED_AT = 0.62  # of the digits of what is set
BEGIN, THEN = later("Begin when it reads"), later("Then it is")
ROOMY_MM = 58.0
ROOMY_HEIGHT_MM = 80.0  # a fit's turns and its match go on one card
MOST_TURNS = 9
LEFT_SHARE = 0.46  # of the card, which a fit's picture takes
LEAD_SHARE = 0.24  # of a table, which its first column takes
TURN_SHARE, LEAST_TURN_SHARE = 1.15, 0.92  # what is turned to, of the card's words
TURNS_APART_MM = 1.2
LEAST_MM = 2.5  # of any words


@frozen
class TableCell:
    """One cell of a match table: fired clearance, and in a word what comes of it."""

    number: str
    state: str
    middle: bool


@frozen
class Turns:
    """What the calipers read, and what to turn to: a table of two rows, and the strip that says the same, true to size."""

    title: str
    reads: tuple[str, ...]
    to: tuple[str, ...]
    size_mm: float  # of the second row
    unit: str
    strip: Markup


@frozen
class Matched:
    """The match table in words and numbers, and a picture of the fit."""

    inside: str
    outside: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[TableCell, ...]], ...]
    sentence: str
    unit: str
    picture: Markup


@frozen
class FitPage:
    """A fit's page, or one of two: its name, the turns, the match; how wide its left column is, and where the turns begin, mm."""

    title: str
    left_mm: float
    below_mm: float
    turns: Turns | None
    matched: Matched | None


def render_trimming(
    sheet: Sheet,
    *,
    paper: str = "A5",
    made: datetime.date,
    site_url: str = "",
    others: Mapping[str, Sheet] | None = None,
) -> CardText:
    """A form's trimming card.

    Args:
        sheet: the form's figures.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's bench view there; none where empty.
        others: sheets by slug, for the weights in the table of a fit that reaches into another form.
    Returns: the card's text; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in PAPERS:
        raise ValueError(f"there is no trimming card on {paper}; it goes on {', '.join(PAPERS)}")
    reader, size, made_sheet = reader_of(sheet.studio), PAPERS[paper], as_set(sheet)
    said, checks = convention(sheet), (*trim_checks(made_sheet), *joining_words(made_sheet, reader))
    box = _box(sheet, size, said, checks)
    leaves = _leaves(sheet, made_sheet, reader, size, box)
    tables = [
        page
        for name in (sheet.form.fits if sheet.is_worked_out else ())
        for page in _fit_pages(made_sheet, reader, str(name), match_table_of(made_sheet, str(name), reader, _made(others)), size, box)
    ]  # fmt: skip
    html = render(
        "cards/trimming.html",
        sheet=sheet, form=sheet.form, paper=size, leaves=leaves, tables=tables, box=box, picture=lambda leaf, number: _picture(made_sheet, reader, leaf, size, number),
        convention=said, checks=checks, day=written_day(made), language=sheet.studio.language_tag, several=len(sheet.form.parts) > 1,
        title_mm=title_mm(str(sheet.form.title), size, max(map(str, sheet.form.parts), key=len) if len(sheet.form.parts) > 1 else ""),
        code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "", set_number=set_number, upside_down=frozenset(),
    )  # fmt: skip
    return CardText(
        f"{sheet.slug}-trimming", _("{title}, trimming card").format(title=sheet.form.title), html, _style()
    )


@cache
def _style() -> str:
    return card_style() + (TEMPLATES / "cards" / "trimming.css").read_text(encoding="utf-8")


def _made(others: Mapping[str, Sheet] | None) -> Mapping[str, Sheet] | None:
    return None if others is None else {slug: as_set(other) for slug, other in others.items()}


def _box(sheet: Sheet, paper: Paper, said: str, checks: Sequence[str]) -> Place:
    """The room between head and foot."""
    words = _("At trimming, 1 of 9. {clay}, cone 10. {said}").format(clay=sheet.clay.title, said=said)
    top = 1.12 * paper.title_mm + LINE * paper.words_mm * count_lines(words, paper.room_mm, paper.words_mm) + 2.8
    width = paper.room_mm - paper.qr_mm - 5.0
    lines = sum(count_lines(line, width, 1.03 * paper.words_mm, number == 0) for number, line in enumerate(checks)) + 1
    foot = max(paper.qr_mm + 1.0, LINE * paper.words_mm * lines + 2.2)
    return Place(0.0, top, paper.room_mm, paper.inner_mm - top - foot - 1.0)


def convention(sheet: Sheet) -> str:
    """What holds for every number of a trimming card, in words."""
    said = [_("Sizes are leather-hard, trimmed.")]
    kinds = {part.opens_down for part in sheet.form.parts.values()}
    if False in kinds:
        said.append(_("Drawn turned over, as it sits on the wheel head."))
    if True in kinds:
        said.append(_("Lids are drawn as they are used, and measured from their rim up."))
    return " ".join(said)


def trim_checks(sheet: Sheet) -> tuple[str, ...]:
    """What tells that a piece can be trimmed, what to do when it can't, and what stays bare.

    Args:
        sheet: the sheet of the pot that is made to its settings.
    """
    if not sheet.is_worked_out:
        return ()
    names = [str(name) for name in sheet.form.parts]
    lost = [
        f"{figure.value:.0f} % {_(stage)}"
        for stage in (AT_TRIMMING, "dry")
        if (figure := sheet.find(f"{names[0]}.witness", stage))
    ]
    bare = [
        f"{name} {stretch.words}"
        for name, part in sheet.form.parts.items()
        for stretch in part.bare
        if stretch.what != "none"
    ]
    return (
        _("Reads more than that: leave it to dry. Reads less: damp it, wrap it, and read it again tomorrow."),
        _("Weighed against its own weight as thrown, a piece keeps {shares}.").format(shares=", ".join(lost)) + (" " + _("Left without glaze: {places}.").format(places=", ".join(bare)) if bare else ""),
    )  # fmt: skip


# ---- rows ----


def trim_entries(sheet: Sheet, reader: Reader) -> dict[str, list[Entry]]:
    """What each part ends at, when to begin, and what is looked at when it is done.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        reader: the studio's.
    """
    return {name: list(_entries(sheet, reader, name, rows)) for name, rows in trim_settings_of(sheet).items()}


def _entries(sheet: Sheet, reader: Reader, name: str, settings: Sequence[Setting]) -> Iterator[Entry]:
    for one in settings:
        yield Line(
            one.mark, capital(_called(one)), _tool(sheet, reader, one), numbers_of(one.ends), one.ends[0].amounts[0].unit, second_of(one.ends),
            figures=tuple(f"{end.key} {AT_TRIMMING}" for end in one.ends),
        )  # fmt: skip
    readings = list(ready_readings(sheet, name, reader))
    if readings:
        yield _(BEGIN)
        yield from (_reading_line(one) for one in readings)
    yield _(THEN)
    for label, key in ((_("High"), "height"), (_("Widest"), "diameter")):
        figure = sheet.find(f"{name}.{key}", AT_TRIMMING)
        if figure:
            found = tolerance_of(sheet, figure, reader)
            said = plus_minus_text(figure, found, reader) if found else ""
            yield _looked_at(label, said, reader.figure(figure), figure.name)
    figure, weighs = sheet.find(f"{name}.mass", AT_TRIMMING), trimmed_weight_g(sheet, name)
    if figure and weighs:
        found = tolerance_of(sheet, figure._replace(value=weighs), reader)
        extras = list(map(str, sheet.form.parts[name].extras))
        before = ", " + _("before its {extras}").format(extras=_(" and ").join(extras)) if extras else ""
        said = f"{plus_minus_text(figure, found, reader)}{before}" if found else before
        yield _looked_at(_("Weighs"), said, reader.amounts(weighs, "g"), "" if extras else figure.name)


def _called(one: Setting) -> str:
    return _("play") if one.kind == PLAY else one.called


def _tool(sheet: Sheet, reader: Reader, one: Setting) -> str:
    """How a setting is measured, or what it is that is left."""
    figure = sheet.find(one.ends[0].key, AT_TRIMMING)
    found = tolerance_of(sheet, figure, reader) if figure else None
    out = f" {plus_minus_text(figure, found, reader)}" if figure and found else ""
    if one.kind == PLAY:
        half = reader.half(one.ends[0].value)[0]
        flange = sheet.find(f"{one.part}.{one.place}", AT_TRIMMING)
        near = _("; {place} near {size}").format(place=one.called, size=reader.text(flange)) if flange else ""
        return _("{side}, {half} a side").format(side=f"{one.on_side}{out}", half=half) + near
    what = (
        _("thickness")
        if one.kind == THICKNESS
        else _("turned to")
        if one.side == "outside" and one.place != RING
        else one.on_side
    )
    return f"{what}{out}"


def _looked_at(name: str, tool: str, amounts: Sequence[Amount], figure: str) -> Line:
    second = (str(amounts[1]),) if len(amounts) > 1 and amounts[1] != amounts[0] else ()
    figures = (figure,) if figure else ()
    return Line("", name, tool, (("", amounts[0].number),), amounts[0].unit, second, LOOKED_AT, figures)


def _reading_line(one: Reading) -> Line:
    """A reading from one number to another."""
    numbers = (
        (("", one.low[0].number),)
        if one.low[0] == one.high[0]
        else (("", one.low[0].number), ("–", one.high[0].number))
    )
    second = ()
    if len(one.low) > 1:
        low, high = one.low[1], one.high[1]
        second = (f"{low.number}–{high}" if low != high and low.unit == high.unit else str(high),)
    return Line("", capital(one.name), one.with_what, numbers, one.low[0].unit, second, LOOKED_AT)


# ---- pages ----


def _leaves(sheet: Sheet, made_sheet: Sheet, reader: Reader, paper: Paper, box: Place) -> tuple[Leaf, ...]:
    if not sheet.is_worked_out:
        return (Leaf(),)
    entries = trim_entries(made_sheet, reader)
    face = SMALL_FACE if paper.name == "A6" else FACE
    return Rows(face, box, lambda name: (capital(name), ""), lambda names: _wide(sheet, names)).lay_out(entries)


def _wide(sheet: Sheet, names: Sequence[str]) -> bool:
    wide = [sheet.value(f"{name}.diameter", "wet") > 2.0 * sheet.value(f"{name}.height", "wet") for name in names]
    return wide == [True]


def _picture(sheet: Sheet, reader: Reader, leaf: Leaf, paper: Paper, number: int) -> Markup:
    """The parts of a leaf as they sit on the wheel head, and a turned foot seen close where there is room for it."""
    box, large = leaf.drawing, max(0.9, paper.words_mm / 3.1)
    if box is None:
        return Markup("")
    roomy = box.width > ROOMY_MM * large or not leaf.lines
    shown = leaf.parts or tuple(sheet.shapes)
    footed = [part for part in footed_parts(sheet) if part in shown][:1] if roomy and len(shown) == 1 else []
    lettering, share = Lettering(2.8 * large, 3.5 * large), 0.5 if footed else 1.0
    whole = workdrawing.draw_trimming(
        sheet, width_mm=box.width, height_mm=share * box.height, size_text=reader.small_text, parts=shown, sizes=roomy and not footed,
        lettering=lettering, name=f"{sheet.slug}-trim-{number}",
    )  # fmt: skip
    close = [
        draw_foot(sheet, part, width_mm=box.width, height_mm=0.48 * box.height, size_text=reader.small_text, lettering=lettering)
        for part in footed
    ]  # fmt: skip
    return Markup("<br>").join(Markup(drawn) for drawn in (whole, *close))


def _fit_pages(
    sheet: Sheet, reader: Reader, fit_name: str, table: MatchTable, paper: Paper, box: Place
) -> Iterator[FitPage]:
    """A fit on one page, or on two where there is little room."""
    together = _("{outside} in {inside}").format(outside=table.outside, inside=table.inside)
    title = capital(together if fit_name == table.outside else f"{fit_name}: {together}")
    turns, width_mm, height_mm = _turns(sheet, reader, fit_name, paper, box)
    left_mm = max(LEFT_SHARE * box.width, width_mm)
    if box.height >= ROOMY_HEIGHT_MM:
        picture_mm = box.height - height_mm - 8.0
        matched = _matched(sheet, reader, fit_name, table, paper, left_mm, picture_mm)
        yield FitPage(title, left_mm, 0.0, turns, matched)
        return
    if turns:
        yield FitPage(title, left_mm, height_mm + 4.0, turns, None)
    yield FitPage(title, LEFT_SHARE * box.width, 0.0, None, _matched(sheet, reader, fit_name, table, paper, LEFT_SHARE * box.width, 0.6 * box.height))  # fmt: skip


def _turns(sheet: Sheet, reader: Reader, fit_name: str, paper: Paper, box: Place) -> tuple[Turns | None, float, float]:
    """What is turned to by what is read, with the strip's width and height on paper; no strip where it is too wide."""
    if not sheet.form.fits[fit_name].outside.own:
        return None, 0.0, 0.0
    strip = strip_of(turn_table_of(sheet, fit_name, reader, MOST_TURNS), reader)
    drawn, wide, high = Markup(""), 0.0, 0.0
    if strip.width_mm <= 0.56 * box.width or (box.height < ROOMY_HEIGHT_MM and strip.width_mm <= box.width):
        picture = Picture()
        draw_strip(picture, strip)
        name = f"{sheet.slug}-{fit_name}-strip"
        drawn = Markup(
            picture.render(
                name, _("{title}, strip to trim by").format(title=sheet.form.title), strip.said, margin_mm=0.3
            )
        )
        wide, high = strip.width_mm + 1.0, strip.height_mm + 1.0
    beside_mm = max(LEFT_SHARE * box.width, wide) + 6.0 if box.height >= ROOMY_HEIGHT_MM else 0.0
    table, sizes, size_mm = _turns_in(
        sheet, reader, fit_name, (1.0 - LEAD_SHARE) * (box.width - beside_mm), paper.words_mm
    )
    unit = reader.amounts(0.0, "mm")[0].unit
    return Turns(f"{table.outside}, {table.size_name}", sizes[0], sizes[1], size_mm, unit, drawn), wide, high


def _turns_in(
    sheet: Sheet, reader: Reader, fit_name: str, room_mm: float, words_mm: float
) -> tuple[TurnTable, list[tuple[str, ...]], float]:
    """The turns, both their lines of numbers, and how large what is turned to stands, mm: first smaller, then fewer
    numbers, till whole ones have room beside each other."""
    for most, share in ((MOST_TURNS, TURN_SHARE), *((most, LEAST_TURN_SHARE) for most in range(MOST_TURNS, 1, -1))):
        table = turn_table_of(sheet, fit_name, reader, most)
        rows = [(turn.now_mm, set_mm(turn.to_mm, reader)) for turn in table.turns]
        sizes = [tuple(reader.amounts(size_mm, "mm")[0].number for size_mm in row) for row in zip(*rows, strict=True)]
        size_mm = max(share * words_mm, LEAST_MM)
        if len(rows) * (max(text_width_mm(number, size_mm, True) for number in sizes[1]) + TURNS_APART_MM) <= room_mm:
            break
    return table, sizes, size_mm


def _matched(
    sheet: Sheet, reader: Reader, fit_name: str, table: MatchTable, paper: Paper, width_mm: float, height_mm: float
) -> Matched:
    middle = len(table.rows) // 2, len(table.columns) // 2
    rows = tuple(
        (_dryness_words(row.dryness), tuple(
            TableCell(reader.amounts(cell.fired_mm, "mm", small=True)[0].number, cell.state, (down, across) == middle) for across, cell in enumerate(row.cells)
        ))
        for down, row in enumerate(table.rows)
    )  # fmt: skip
    heads = tuple(map(_dryness_words, table.columns))
    unit = reader.amounts(0.0, "mm", small=True)[0].unit
    large = max(0.9, paper.words_mm / 3.1)
    picture = closeups.draw_fit(
        sheet, fit_name, stage=AT_TRIMMING, width_mm=width_mm - 2.0, height_mm=height_mm, size_text=reader.small_text, half_text=reader.half_text,
        lettering=Lettering(2.8 * large, 3.6 * large), name=f"{sheet.slug}-{fit_name}-trim",
    )  # fmt: skip
    return Matched(table.inside, table.outside, heads, rows, table.sentence, unit, Markup(picture))


def _dryness_words(dryness: Dryness) -> str:
    """A dryness as a share of the weight as thrown, which tells whatever the piece was thrown to."""
    return " ".join(format_share(dryness.share_of_thrown))
