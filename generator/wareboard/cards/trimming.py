"""A form's trimming card: what each part is trimmed to, between which weights, and how two that go together match."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import ceil

from markupsafe import Markup

from wareboard.cards.cardtext import (
    LINE,
    PAPERS,
    QR_MM,
    Paper,
    big_number,
    card_style,
    count_lines,
    page_url,
    qr_picture,
    size_class,
    written_day,
)
from wareboard.cards.engine import CardText
from wareboard.drawing import closeups, formdrawing
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.svg import text_width_mm
from wareboard.figures.figure import Figure
from wareboard.figures.matching import Dryness, MatchTable, match_table_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, reader_of
from wareboard.figures.trimweights import COMMON_WORDS
from wareboard.text.kinds import Word
from wareboard.text.problems import capital
from wareboard.text.quantities import format_share
from wareboard.text.specs import Part
from wareboard.words.templating import TEMPLATES, render

# A weight is read off the scale; where its step is too coarse to fall between two weights, off a finer one.
FINER_G = (1.0, 0.1)
GAP_MM = 6.0
LEAST_LABEL_MM = 18.0
LEAST_DRAWING_MM = 42.0
SHORT_NUMBER = 3  # digits; two longer weights on one line would leave no room for words


@dataclass(frozen=True, slots=True)
class Setting:
    """How trimming cards are set on a paper: columns of rows, heights of rows and sizes of type, mm."""

    columns: int
    column_mm: float
    strong_mm: float
    plain_mm: float
    title_mm: float
    digits_mm: float
    words_mm: float
    unit_mm: float
    second_size_mm: float
    drawing_mm: float  # of a drawing that stands on every page; 0 where it takes a column's place
    table_mm: float
    lettering: Lettering


SETTINGS = {
    "A5": Setting(2, 93.0, 8.65, 6.0, 6.8, 8.1, 3.7, 9.0, 3.2, 0.0, 93.0, Lettering(2.8, 3.6)),
    "A6": Setting(1, 84.0, 7.55, 5.4, 5.2, 6.7, 3.0, 7.0, 2.65, 48.0, 84.0, Lettering(2.3, 2.8)),
}


@dataclass(frozen=True, slots=True)
class TrimRow:
    """One line of a part: a number large where something is set by it, small where it is only looked at."""

    label: str
    of: str
    number: str
    unit: str
    second: str
    strong: bool


@dataclass(frozen=True, slots=True)
class TrimBlock:
    """A part's lines, or some of them where they go on in another column."""

    title: str
    rows: tuple[TrimRow, ...]
    widths: Widths | None = None


@dataclass(frozen=True, slots=True)
class Widths:
    """How a part's lines share a column, mm: what its numbers leave is its labels'."""

    label_mm: float
    unit_mm: float
    second_mm: float


@dataclass(frozen=True, slots=True)
class TableCell:
    """One cell of a match table: fired clearance, and in a word what comes of it."""

    number: str
    state: str
    middle: bool


@dataclass(frozen=True, slots=True)
class TablePage:
    """A fit's page: what is left between the two at trimming, and the match table in words and numbers."""

    title: str
    inside: str
    outside: str
    play: TrimRow
    widths: Widths
    heads: tuple[tuple[str, str], ...]
    rows: tuple[tuple[tuple[str, str], tuple[TableCell, ...]], ...]
    sentence: str
    unit: str


@dataclass(frozen=True, slots=True)
class TrimLeaf:
    """One page: columns of blocks or a fit's table, pictures beside them, or one below or behind the last column."""

    columns: tuple[tuple[TrimBlock, ...], ...] = ()
    table: TablePage | None = None
    pictures: tuple[Markup, ...] = ()
    below: Markup | str = ""


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
        paper: A5 or A6, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads to the form's page there; none where empty.
        others: sheets by slug, for the weights in the table of a fit that reaches into another form.
    Returns: the card's text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in SETTINGS:
        raise ValueError(f"there is no trimming card on {paper}; there is one on {' and '.join(SETTINGS)}")
    reader = reader_of(sheet.studio)
    said, checks = _convention(sheet), trim_checks(sheet, reader)
    html = render(
        "cards/trimming.html",
        sheet=sheet, form=sheet.form, paper=paper, leaves=_leaves(sheet, reader, paper, _room_mm(sheet, paper, said, checks), others), setting=SETTINGS[paper],
        convention=said, checks=checks, day=written_day(made), size_class=size_class(str(sheet.form.title)), language=str(sheet.studio.language or "en"),
        code_picture=qr_picture(page_url(sheet, site_url)) if site_url else "", big=big_number,
    )  # fmt: skip
    return CardText(f"{sheet.slug}-trimming", f"{sheet.form.title}, trimming card", html, _style())


@cache
def _style() -> str:
    return card_style() + (TEMPLATES / "cards" / "trimming.css").read_text(encoding="utf-8")


def _room_mm(sheet: Sheet, paper: str, said: str, checks: Sequence[str]) -> float:
    """Height between head and foot."""
    size: Paper = PAPERS[paper]
    head_mm = size.head_mm + LINE * size.small_mm * _lines(
        f"At trimming, 1 of 9. {sheet.clay.title}, cone 10. {said}", size.width_mm, 1.05 * size.small_mm
    )
    lines = sum(_lines(line, size.width_mm - QR_MM[paper], size.small_mm) for line in checks) + 1
    return size.height_mm - head_mm - max(QR_MM[paper], LINE * size.small_mm * lines + 2.0)


def _lines(text: str, width_mm: float, size_mm: float) -> int:
    """How many lines a text takes; what fits on one needs no room for where it breaks."""
    return 1 if text_width_mm(text, size_mm) < width_mm else count_lines(text, width_mm, size_mm)


def _convention(sheet: Sheet) -> str:
    said = ["Sizes are leather-hard, trimmed."]
    if any(part.opens_down for part in sheet.form.parts.values()):
        said.append("Lids are measured from their rim up.")
    return " ".join(said)


def trim_checks(sheet: Sheet, reader: Reader) -> tuple[str, ...]:
    """What tells that a piece can be trimmed, what to do when it can't, and whose bounds those are."""
    names = [str(name) for name in sheet.form.parts]
    figures = [
        figure
        for name in names
        for end in ("least", "most")
        if (figure := sheet.find(f"{name}.trim.{end}", "leather-hard"))
    ]
    if not figures:
        return ()
    common = [figure.how.endswith(COMMON_WORDS) for figure in figures]
    basis = (
        "These weights are 1.5 % either way, common practice."
        if all(common)
        else f"These weights keep the fit within its limits{', else 1.5 % either way, common practice' if any(common) else ''}."
    )
    lost = [
        str(figure)
        for stage in ("leather-hard", "dry")
        if (witness := sheet.find(f"{names[0]}.witness", stage)) and (figure := f"{reader.text(witness)} {stage}")
    ]
    bare = [
        f"{name} {stretch.what}"
        for name, part in sheet.form.parts.items()
        for stretch in part.bare
        if stretch.what != "stretch"
    ]
    return (
        "Weigh it before anything is off or on. Heavier: leave it to dry. Lighter: damp it, wrap it, weigh again tomorrow.",
        f"{basis} Of its weight as thrown a piece keeps {', '.join(lost)}."
        + (f" Left without glaze: {', '.join(bare)}." if bare else ""),
    )


# ---- rows ----


def trim_blocks(sheet: Sheet, reader: Reader) -> tuple[TrimBlock, ...]:
    """What each part is weighed and trimmed to, in the order in which it is done."""
    several = len(sheet.form.parts) > 1
    return tuple(
        TrimBlock(capital(str(name)) if several else "", tuple(_rows(sheet, reader, str(name), part)))
        for name, part in sheet.form.parts.items()
    )


def _rows(sheet: Sheet, reader: Reader, name: str, part: Part) -> Iterator[TrimRow]:
    def row(label: str, of: str, key: str, strong: bool = True) -> Iterator[TrimRow]:
        if figure := sheet.find(key, "leather-hard"):
            yield _row(label, of, reader.figure(figure), strong)

    yield from weight_rows(sheet, reader, name)
    told = set()
    for fit_name, fit in sheet.form.fits.items():
        if fit.outside.is_of(name):
            told.add(str(fit.outside.caliper))
            yield from row(capital(str(fit.outside.caliper)), "turned to", f"{name}.{fit.outside.caliper}")
            yield from play_rows(sheet, reader, str(fit_name))
    stations = [str(station) for station in part.outside]
    for caliper, spec in part.calipers.items():
        if str(caliper) not in told:
            turned = spec.side == "outside"
            yield from row(capital(str(caliper)), "turned to" if turned else "inside", f"{name}.{caliper}", turned)
    if isinstance(part.wall, dict):
        for station in part.wall:
            yield from row("Wall", f"at {station}", f"{name}.wall.{station}.thickness")
    else:
        yield from row("Wall", "thinnest" if part.inside else "", f"{name}.wall.thickness")
    yield from row("Floor", "at centre", f"{name}.floor.thickness")
    closed = stations[-1] if part.opens_down else stations[0]
    if not isinstance(part.outside[closed].diameter, Word) and part.outside[closed].diameter.value > 0.0:
        yield from row(capital(closed), "across", f"{name}.{closed}.diameter")
    for station in dict.fromkeys(
        end for stretch in part.bare if stretch.what == "stretch" for end in (stretch.start, stretch.end)
    ):
        if str(station) not in (stations[0], stations[-1]):
            yield from row("Bare to", f"{station}, up", f"{name}.{station}.height", False)
    yield from row("Height", "", f"{name}.height", False)
    yield from row("Widest", "across", f"{name}.diameter", False)
    yield from row(
        "Weight", f"trimmed, with its {', '.join(part.extras)}" if part.extras else "trimmed", f"{name}.mass", False
    )


def _row(label: str, of: str, amounts: Sequence[Amount], strong: bool) -> TrimRow:
    first, second = amounts[0], amounts[1] if len(amounts) > 1 and amounts[1] != amounts[0] else ""
    return TrimRow(label, of, first.number, first.unit, str(second), strong)


def weight_rows(sheet: Sheet, reader: Reader, name: str) -> Iterator[TrimRow]:
    """Between which weights a part is trimmed: one row where both go on it, else one for each."""
    least, most = (sheet.find(f"{name}.trim.{end}", "leather-hard") for end in ("least", "most"))
    if not (least and most):
        return
    ranges = weights_between(reader, least, most)
    low, high = ranges[0]
    others = [
        f"{a}" if a == b else f"{a.number}–{b}" if a.unit == b.unit and " " not in a.number else f"{a} – {b}"
        for a, b in ranges[1:]
    ]
    if low == high:
        yield TrimRow("Trim at", "about", low.number, low.unit, *others or [""], True)
    elif low.unit == high.unit and f"{low.number}{high.number}".isdecimal() and len(low.number) <= SHORT_NUMBER:
        yield TrimRow("Trim at", others[0] if others else "", f"{low.number}–{high.number}", low.unit, "", True)
    else:
        ends = [(str(a), str(b)) for a, b in ranges[1:]] or [("", "")]
        yield TrimRow("Trim from", "", low.number, low.unit, ends[0][0], True)
        yield TrimRow("Trim up to", "", high.number, high.unit, ends[0][1], True)


def weights_between(reader: Reader, least: Figure, most: Figure) -> tuple[tuple[Amount, Amount], ...]:
    """Two bounds as they are read off the scale, rounded inward, in each of the studio's systems.

    The scale's own step where a whole step lies between the two, else a finer one; the middle, twice, where none does.
    """
    found = []
    for place in range(len(reader.systems)):
        one = replace(reader, systems=(reader.systems[place],))
        for step_g in (reader.steps.scale_g, *(step for step in FINER_G if step < reader.steps.scale_g)):
            finer = replace(one, steps=replace(one.steps, scale_g=step_g))
            if finer.rounded_g(least.value, "up") <= finer.rounded_g(most.value, "down"):
                found.append(
                    (finer.amounts(least.value, "g", up=True)[0], finer.amounts(most.value, "g", down=True)[0])
                )
                break
        else:
            middle = one.amounts((least.value + most.value) / 2.0, "g")[0]
            found.append((middle, middle))
    return tuple(found)


def play_rows(sheet: Sheet, reader: Reader, fit_name: str) -> Iterator[TrimRow]:
    """What is left between the two at trimming, on the diameter, and half of it a side."""
    fit = sheet.form.fits[fit_name]
    clearance, gap = (sheet.find(f"fit.{fit_name}.{key}", "leather-hard") for key in ("clearance", "gap"))
    if clearance and gap:
        where = f"in {'any' if fit.pairing == 'any' else 'its own'} {fit.inside.part}, {reader.text(gap)} a side"
        yield _row("Play", where, reader.figure(clearance), True)


# ---- pages ----


def _leaves(
    sheet: Sheet, reader: Reader, paper: str, room_mm: float, others: Mapping[str, Sheet] | None
) -> list[TrimLeaf]:
    """The pages: columns of rows, then a page for each fit; the drawing where there is room for it first."""
    setting, size = SETTINGS[paper], PAPERS[paper]
    columns = columns_of(trim_blocks(sheet, reader), setting, room_mm)
    if not sheet.figures:
        return [TrimLeaf(tuple(columns))]
    whole = lambda width_mm, height_mm, name="": _picture(sheet, reader, width_mm, height_mm, setting, name)
    starts = range(0, len(columns), setting.columns)
    leaves = [TrimLeaf(tuple(columns[start : start + setting.columns])) for start in starts]
    free_mm = room_mm - sum(block_height_mm(block, setting) for block in columns[-1])
    drawn = True
    if beside := setting.drawing_mm or (setting.column_mm if len(columns) == 1 else 0.0):
        leaves = [
            replace(leaf, pictures=(whole(beside, room_mm - 3.0, f"{sheet.slug}-trim-{place}"),))
            for place, leaf in enumerate(leaves)
        ]
    elif len(leaves[-1].columns) < setting.columns:
        leaves[-1] = replace(leaves[-1], below=whole(setting.column_mm, room_mm - 3.0))
    elif free_mm > LEAST_DRAWING_MM:
        leaves[-1] = replace(leaves[-1], below=whole(setting.column_mm, free_mm - 4.0))
    else:
        drawn = False
    left_mm = size.width_mm - setting.table_mm - GAP_MM

    def close(fit_name: str, share: float) -> Markup:
        return Markup(
            closeups.draw_fit(
                sheet,
                fit_name,
                stage="leather-hard",
                width_mm=left_mm,
                height_mm=share * room_mm,
                size_text=reader.small_text,
                lettering=setting.lettering,
                name=f"{sheet.slug}-{fit_name}-trim",
            )
        )

    for fit_name in map(str, sheet.form.fits):
        if setting.drawing_mm:  # too narrow for a close-up
            pictures = (whole(left_mm, 0.6 * room_mm, f"{sheet.slug}-{fit_name}-trim"),)
        else:
            pictures = (close(fit_name, 0.6),) if drawn else (whole(left_mm, 0.36 * room_mm), close(fit_name, 0.44))
        drawn = True
        leaves.append(
            TrimLeaf(
                table=_table_page(sheet, reader, fit_name, paper, match_table_of(sheet, fit_name, reader, others)),
                pictures=pictures,
            )
        )
    return leaves if drawn else [*leaves, TrimLeaf(pictures=(whole(size.width_mm - 2.0, room_mm - 3.0),))]


def _picture(sheet: Sheet, reader: Reader, width_mm: float, height_mm: float, setting: Setting, name: str) -> Markup:
    return Markup(
        formdrawing.draw_form(
            sheet,
            "leather-hard",
            width_mm=width_mm,
            height_mm=height_mm,
            size_text=reader.size_text,
            lettering=setting.lettering,
            name=name,
        )
    )


def columns_of(blocks: Sequence[TrimBlock], setting: Setting, room_mm: float) -> list[tuple[TrimBlock, ...]]:
    """Blocks in columns, top to bottom; a part that does not fit below the last begins a new one, a longer one goes on in the next.

    Args:
        blocks: the parts with their rows.
        setting: how rows are set.
        room_mm: height of a column, mm.
    Returns: the columns, every row once and in order.
    """
    columns: list[list[TrimBlock]] = []
    used_mm = room_mm
    for block in blocks:
        widths = widths_of(block.rows, setting)
        heights = [row_height_mm(row, setting, widths) for row in block.rows]
        if used_mm + title_height_mm(block.title, setting) + sum(heights) > room_mm:
            columns.append([])
            used_mm = 0.0
        rows: list[TrimRow] = []
        title, used_mm = block.title, used_mm + title_height_mm(block.title, setting)
        for row, height_mm in zip(block.rows, heights, strict=True):
            if rows and used_mm + height_mm > room_mm:
                columns[-1].append(TrimBlock(title, tuple(rows), widths))
                columns.append([])
                rows, title = [], f"{block.title}, continued" if block.title else "Continued"
                used_mm = title_height_mm(title, setting)
            rows.append(row)
            used_mm += height_mm
        columns[-1].append(TrimBlock(title, tuple(rows), widths))
    return [tuple(column) for column in columns]


def widths_of(rows: Sequence[TrimRow], setting: Setting) -> Widths:
    """How some lines share a column: room for the longest number and the longest amount in the other system."""
    second_mm = max(
        (1.06 * text_width_mm(row.second, setting.second_size_mm) + 2.0 for row in rows if row.second), default=0.5
    )
    number_mm = max(
        1.1 * text_width_mm(str(big_number(row.number).striptags()), _digits_mm(row, setting), True) for row in rows
    )
    label_mm = setting.column_mm - setting.unit_mm - second_mm - number_mm - 1.0
    return Widths(round(max(LEAST_LABEL_MM, label_mm), 2), setting.unit_mm, round(second_mm, 2))


def _digits_mm(row: TrimRow, setting: Setting) -> float:
    return setting.digits_mm if row.strong else 0.62 * setting.digits_mm


def title_height_mm(title: str, setting: Setting) -> float:
    """What a part's name takes above its lines."""
    return (
        setting.title_mm
        + 0.72 * setting.title_mm * (count_lines(title, setting.column_mm, 0.62 * setting.title_mm) - 1)
        if title
        else 0.0
    )


def block_height_mm(block: TrimBlock, setting: Setting) -> float:
    """What a part takes, or the lines of it that stand together."""
    widths = block.widths or widths_of(block.rows, setting)
    return title_height_mm(block.title, setting) + sum(row_height_mm(row, setting, widths) for row in block.rows)


def row_height_mm(row: TrimRow, setting: Setting, widths: Widths) -> float:
    """What a row takes: its number, or its words where they wrap beside it."""
    # The words behind the label are smaller than it; broken anywhere, a line is never quite full.
    words_mm = text_width_mm(row.label, 1.02 * setting.words_mm, True) + text_width_mm(
        f" {row.of}", 0.84 * setting.words_mm
    )
    lines = 1 if words_mm < widths.label_mm - 2.0 else ceil(1.15 * words_mm / (widths.label_mm - 2.0))
    return max(setting.strong_mm if row.strong else setting.plain_mm, 1.1 * setting.words_mm * lines + 1.5)


def _table_page(sheet: Sheet, reader: Reader, fit_name: str, paper: str, table: MatchTable) -> TablePage:
    middle = len(table.rows) // 2, len(table.columns) // 2
    rows = tuple(
        (_dryness_words(reader, row.dryness), tuple(
            TableCell(reader.amounts(cell.fired_mm, "mm", small=True)[0].number, cell.state, (down, across) == middle) for across, cell in enumerate(row.cells)
        ))
        for down, row in enumerate(table.rows)
    )  # fmt: skip
    heads = tuple(_dryness_words(reader, dryness) for dryness in table.columns)
    unit = reader.amounts(0.0, "mm", small=True)[0].unit
    together = f"{table.outside} in {table.inside}"
    title = capital(together if fit_name == table.outside else f"{fit_name}: {together}")
    play = next(play_rows(sheet, reader, fit_name))
    return TablePage(
        title, table.inside, table.outside, play, widths_of([play], SETTINGS[paper]), heads, rows, table.sentence, unit
    )


def _dryness_words(reader: Reader, dryness: Dryness) -> tuple[str, str]:
    """A dryness as the scale shows it, and as a share of the weight as thrown."""
    share = (
        " ".join(format_share(dryness.share_of_thrown))
        if dryness.mass_g is None
        else f"{100.0 * dryness.share_of_thrown:.0f} %"
    )
    return ("", share) if dryness.mass_g is None else (str(_finer(reader).amounts(dryness.mass_g, "g")[0]), share)


def _finer(reader: Reader) -> Reader:
    return replace(reader, steps=replace(reader.steps, scale_g=min(1.0, reader.steps.scale_g)))
