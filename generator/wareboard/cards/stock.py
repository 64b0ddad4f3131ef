"""What shops are handed: a stock sheet for each form, the stock list, the table. Made from stock records alone."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, partial

from markupsafe import Markup

from wareboard.cards.audience import Stock, StockForm, StockPiece, is_stocked, stock_form, stock_of
from wareboard.cards.cardtext import qr_picture, size_class
from wareboard.cards.engine import CardText
from wareboard.cards.revisions import STOCK, Revised
from wareboard.drawing.dimensions import Lettering, Span
from wareboard.drawing.layout import View, draw_sizes, fitted
from wareboard.drawing.seating import Standing
from wareboard.drawing.svg import EDGE, OUTLINE, Picture, moved
from wareboard.drawing.views import OutsideView
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, Row
from wareboard.text.languages import _, later, neutral, ngettext, pointed, written_day
from wareboard.text.plain import harmless_cell
from wareboard.text.studio_specs import Studio
from wareboard.words.pagetext import DataText, KeptWords, unkept
from wareboard.words.templating import TEMPLATES, render

SHEET_PAPERS, LIST_PAPERS = ("A4", "A5", "Letter"), ("A4", "Letter")
# Width of the column that a drawing has on a stock sheet, and how high it may get, mm.
DRAWING_MM = {"A4": (86.0, 96.0), "Letter": (86.0, 92.0), "A5": (58.0, 70.0)}
LIST_DRAWING_MM = (27.0, 19.0)
ON_REQUEST = later("price on request")
TABLE, LIST = "stock.csv", "stock-list"


# ---- words and numbers ----


def fact_rows(form: StockForm, reader: Reader) -> tuple[Row, ...]:
    """A form's fired sizes, what it holds and what it weighs, in the studio's units."""
    return tuple(_fact_rows(form, reader))


def packed_rows(form: StockForm, reader: Reader) -> tuple[Row, ...]:
    """A form in its box: what is said of it."""
    box = (Row(_("Packed"), "", box_amounts(form, reader)),) if any(form.packed_mm) else ()
    return (*box, Row(_("Packed weight"), "", reader.amounts(form.packed_g, "g"))) if form.packed_g else box


def order_rows(form: StockForm) -> tuple[tuple[str, str], ...]:
    """What a shop has to know to order: how long it takes, how many to a case, how many at least; what was given of it."""
    several = len(form.parts) > 1
    counted = lambda count: (
        ""
        if not count
        else ngettext("{count} set", "{count} sets", count).format(count=count)
        if several
        else ngettext("{count} piece", "{count} pieces", count).format(count=count)
    )
    told = (
        (_("Lead time"), form.lead_time),
        (_("Case"), counted(form.case)),
        (_("Smallest order"), counted(form.minimum)),
        (_("Made of"), form.material),
    )
    return tuple((label, words) for label, words in told if words)


def order_text(form: StockForm) -> str:
    """Lead time, case and smallest order in a line: `6 weeks · case of 6 · at least 12`."""
    case, minimum = (
        _("case of {count}").format(count=form.case) if form.case else "",
        _("at least {count}").format(count=form.minimum) if form.minimum else "",
    )
    return " · ".join(filter(None, (form.lead_time, case, minimum)))


def _fact_rows(form: StockForm, reader: Reader) -> Iterator[Row]:
    for piece in form.pieces:
        of = (
            _(" and ").join(piece.parts) + (_(", together") if len(piece.parts) > 1 else "")
            if len(form.parts) > 1
            else ""
        )
        yield Row(_("Height"), of, reader.amounts(piece.height_mm, "mm"))
        yield Row(_("Across"), of, reader.amounts(piece.diameter_mm, "mm"))
    for part in form.parts:
        if part.fill_ml > 0.0:
            of = part.name if len(form.parts) > 1 else ""
            yield Row(_("Holds"), of, reader.amounts(part.fill_ml, "ml"))
            brim = reader.amounts(part.brim_ml, "ml")
            if brim != reader.amounts(part.fill_ml, "ml"):
                yield Row(_("To the brim"), of, brim)
    yield Row(_("Weighs"), "", reader.amounts(form.weight_g, "g"))


def box_amounts(form: StockForm, reader: Reader) -> tuple[Amount, ...]:
    """The box as one amount in each unit system: `140 × 140 × 180` and its unit. A side that is not given is left out."""
    sides = [reader.amounts(side, "mm") for side in form.packed_mm if side]
    return tuple(
        Amount(" × ".join(amount.number for amount in amounts), amounts[0].unit) for amounts in zip(*sides, strict=True)
    )


def parts_text(form: StockForm, reader: Reader) -> str:
    """Each part's own size, where there are several: `jar 98 × ⌀ 86 mm; lid 32 × ⌀ 75.5 mm`."""
    if len(form.parts) < 2:
        return ""
    return "; ".join(
        f"{part.name} {reader.amounts(part.height_mm, 'mm')[0].number} × ⌀ {reader.amounts(part.diameter_mm, 'mm')[0]}"
        for part in form.parts
    )


def size_text(form: StockForm, reader: Reader) -> str:
    """The shelf size in a word: `121 × ⌀ 86 mm`."""
    return "; ".join(
        f"{reader.amounts(piece.height_mm, 'mm')[0].number} × ⌀ {reader.amounts(piece.diameter_mm, 'mm')[0]}"
        for piece in form.pieces
    )


def holds_text(form: StockForm, reader: Reader) -> str:
    """What it holds in a word; empty where there is nothing to fill."""
    filled = [part for part in form.parts if part.fill_ml > 0.0]
    return "; ".join(
        f"{part.name} {reader.amounts(part.fill_ml, 'ml')[0]}"
        if len(filled) > 1
        else str(reader.amounts(part.fill_ml, "ml")[0])
        for part in filled
    )


def packed_text(form: StockForm, reader: Reader) -> str:
    """The box in a word; empty where nothing is said of it."""
    said = [str(box_amounts(form, reader)[0])] if any(form.packed_mm) else []
    return ", ".join(said + ([str(reader.amounts(form.packed_g, "g")[0])] if form.packed_g else []))


def price_text(form: StockForm) -> str:
    """The price as it was typed, with its currency; where there is none, that it is to be asked for."""
    return f"{pointed(form.price)} {form.currency}".strip() if form.price else ON_REQUEST


def list_rows(stock: Stock) -> list[dict[str, object]]:
    """A line of the stock list for every form."""
    scale = list_scale(stock.forms)
    return [list_row(form, stock.reader, scale) for form in stock.forms]


def list_row(form: StockForm, reader: Reader, scale: float) -> dict[str, object]:
    """A form's line of the stock list, drawn at a scale."""
    return {
        "form": form, "picture": Markup(draw_small(form, scale)), "size": size_text(form, reader), "holds": holds_text(form, reader),
        "weighs": str(reader.amounts(form.weight_g, "g")[0]), "packed": packed_text(form, reader), "ordering": order_text(form), "price": price_text(form),
    }  # fmt: skip


# ---- drawings ----


def draw_stock(
    form: StockForm,
    *,
    width_mm: float,
    height_mm: float,
    size_text: Callable[[float], str],
    lettering: Lettering = Lettering(),
) -> str:
    """The form from outside as it stands on the shelf, fired, with its height and width.

    Args:
        form: what the shop is told.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
    Returns: SVG.
    """
    views = [_sized_view(piece, size_text) for piece in form.pieces]
    arrangement = fitted(views, width_mm, height_mm, lettering, in_rows=True)
    picture = Picture()
    for piece, view, place in zip(form.pieces, views, arrangement.places, strict=True):
        _draw_outside(picture, piece, place.scale, place.x, place.y)
        draw_sizes(picture, view, place, lettering)
    sizes = "; ".join(
        _("{height} high and {width} across").format(
            height=size_text(piece.height_mm), width=size_text(piece.diameter_mm)
        )
        for piece in form.pieces
    )
    words = _("From outside, fired: {sizes}.").format(sizes=sizes) + (f" {_(ADDED_WORDS)}" if form.added else "")
    return picture.render(f"{form.name}-stock", form.title, words, within=(width_mm, height_mm))


ADDED_WORDS = later("Handles and other added parts are neither drawn nor counted in the width.")


def draw_small(form: StockForm, scale: float) -> str:
    """The form alone at a scale; its words stand beside it. See `draw_stock`."""
    picture, at = Picture(), 0.0
    for piece in form.pieces:
        _draw_outside(picture, piece, scale, at + piece.diameter_mm * scale / 2.0, 0.0, thin=True)
        at += piece.diameter_mm * scale
    return picture.render(f"{form.name}-small", form.title, _("From outside, fired."), margin_mm=0.4)


def list_scale(forms: Sequence[StockForm]) -> float:
    """The scale at which the largest of some forms fits into the list."""
    widest = max((sum(piece.diameter_mm for piece in form.pieces) for form in forms), default=1.0)
    tallest = max((piece.height_mm for form in forms for piece in form.pieces), default=1.0)
    return min(LIST_DRAWING_MM[0] / widest, LIST_DRAWING_MM[1] / tallest, 1.0)


def _sized_view(piece: StockPiece, size_text: Callable[[float], str]) -> View:
    seen = OutsideView(piece.lines, piece.edges)
    outline = tuple(point for line in piece.lines for point in line)
    radius, top = piece.diameter_mm / 2.0, piece.height_mm
    view = View([Standing("", outline, outline, (), {})])
    view.rises_right.append(Span(0.0, top, size_text(top), True, None, seen.radius_at(top)))
    drawn = max(r for r, _other in outline)  # the worked-out outline; the number is that of the pot as it is made
    widest = min(height for r, height in outline if r > drawn - 0.06)
    view.below.append(Span(-radius, radius, f"⌀ {size_text(2.0 * radius)}", True, widest, widest))
    return view


def _draw_outside(picture: Picture, piece: StockPiece, scale: float, x: float, y: float, thin: bool = False) -> None:
    """Both sides of a silhouette and the level lines between them."""
    pen = EDGE if thin else OUTLINE
    for line in piece.lines:
        for mirrored in (True, False):
            picture.stroke(pen, moved(line, scale, x, y, mirrored=mirrored))
    ends = {height for line in piece.lines for _other, height in (line[0], line[-1])}
    for radius, height in piece.edges:
        picture.stroke(
            pen if height in ends else EDGE,
            [*moved([(radius, height)], scale, x, y, mirrored=True), *moved([(radius, height)], scale, x, y)],
        )


# ---- cards ----


def render_stock_card(
    form: StockForm, stock: Stock, *, paper: str | None = None, made: datetime.date, site_url: str = ""
) -> CardText:
    """A stock sheet: one form for a shop, on one page or, where its words are long, on more.

    Args:
        form: what the shop is told.
        stock: what it is told of the studio.
        paper: one of SHEET_PAPERS; the studio's unless given.
        made: the day that stands on it.
        site_url: where the shops' own site stands, for a QR code to the form's page there; none where empty.
    Returns: the sheet's text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    paper = paper or paper_of(stock, SHEET_PAPERS)
    _check_paper(paper, SHEET_PAPERS)
    width_mm, height_mm = DRAWING_MM[paper]
    html = render(
        "stock/sheet.html",
        form=form, stock=stock, paper=paper, rows=(*fact_rows(form, stock.reader), *packed_rows(form, stock.reader)), parts=parts_text(form, stock.reader), price=price_text(form), ordering=order_rows(form), day=written_day(made),
        picture=Markup(draw_stock(form, width_mm=width_mm, height_mm=height_mm, size_text=stock.reader.size_text)), added=_(ADDED_WORDS) if form.added else "",
        size_class=size_class(form.title), code_picture=qr_picture(f"{site_url.rstrip('/')}/{page_path(form)}") if site_url else "",
    )  # fmt: skip
    return CardText(f"{form.name}-stock", _("{title}, stock sheet").format(title=form.title), html, _style())


def render_stock_list_card(stock: Stock, *, paper: str | None = None, made: datetime.date) -> CardText:
    """The stock list of all forms that shops are told of. See `render_stock_card`."""
    paper = paper or paper_of(stock, LIST_PAPERS)
    _check_paper(paper, LIST_PAPERS)
    html = render(
        "stock/list.html",
        stock=stock,
        paper=paper,
        rows=list_rows(stock),
        day=written_day(made),
        added=any(form.added for form in stock.forms),
        packed=any(form.packed_g or any(form.packed_mm) for form in stock.forms),
    )
    return CardText(LIST, _("{studio}, stock list").format(studio=stock.studio), html, _style())


def render_stock_sheet(sheet: Sheet, *, paper: str | None = None, made: datetime.date, site_url: str = "") -> CardText:
    """A form's stock sheet from its sheet, for who prints it in the studio.

    It is handed to a shop, so no QR code on it leads to the studio's own site, whatever the address.

    Args:
        sheet: the sheet of a form with a `stockist` block.
        paper, made: see `render_stock_card`.
        site_url: where the studio's own site stands; not used.
    Raises: ValueError, there is no such block, or no such paper.
    """
    if not is_stocked(sheet):
        raise ValueError(f"{sheet.slug} has no `stockist` block, so there is no stock sheet")
    stock = stock_of(sheet.studio, [sheet], own_names=True)
    return render_stock_card(stock.forms[0], stock, paper=paper, made=made)


def render_stock_list(
    studio: Studio, sheets: Sequence[Sheet], *, paper: str | None = None, made: datetime.date, site_url: str = ""
) -> CardText:
    """The stock list from the sheets of a studio. See `render_stock_sheet`."""
    return render_stock_list_card(stock_of(studio, sheets, own_names=True), paper=paper, made=made)


def revised_stock(sheet: Sheet) -> Revised:
    """What shops are told of a form, as it is now; a card of it is no older for anything else."""
    return Revised(STOCK, sheet.slug, stock_form(sheet).revision)


def paper_of(stock: Stock, papers: Sequence[str]) -> str:
    """The studio's paper where it is one of these, else the first."""
    return stock.paper if stock.paper in papers else papers[0]


def page_path(form: StockForm) -> str:
    """Where a form's page stands on the shops' site."""
    return f"forms/{form.name}.html"


def _check_paper(paper: str, papers: Sequence[str]) -> None:
    if paper not in papers:
        raise ValueError(f"this is not made on {paper}; there are {', '.join(papers)}")


@cache
def _style() -> str:
    return (TEMPLATES / "stock" / "stock.css").read_text(encoding="utf-8")


# ---- data ----

COLUMNS = (
    "sku", "title", "height_mm", "diameter_mm", "parts", "holds_ml", "brim_ml", "weight_g", "packed_length_mm", "packed_width_mm",
    "packed_height_mm", "packed_weight_g", "price", "currency", "care", "contains", "description", "revision",
    "lead_time", "case", "minimum", "material",
)  # fmt: skip


@neutral
def render_stock_csv(stock: Stock, kept: KeptWords = unkept) -> DataText:
    """The stock list as a table: `stock.csv`. A form of several pieces has the size of its largest.

    Args:
        stock: what shops are told.
        kept: gives a form's line, given what makes it.
    """
    lines = (kept("stock as data", form.name, partial(_cells, form, stock.reader)) for form in stock.forms)
    return DataText(TABLE, "".join([_row(COLUMNS), *lines]))


def _cells(form: StockForm, reader: Reader) -> str:
    piece = max(form.pieces, key=lambda piece: piece.height_mm * piece.diameter_mm**2)
    holds = sum(part.fill_ml for part in form.parts), sum(part.brim_ml for part in form.parts)
    numbers = (*holds, form.weight_g, *form.packed_mm, form.packed_g)
    words = (form.price, form.currency, form.care, form.contains, form.description, form.revision)
    return _row((
        harmless_cell(form.sku), harmless_cell(form.title), _plain_number(piece.height_mm), _plain_number(piece.diameter_mm), harmless_cell(parts_text(form, reader)),
        *map(_plain_number, numbers), *map(harmless_cell, words), harmless_cell(form.lead_time), form.case or "", form.minimum or "", harmless_cell(form.material),
    ))  # fmt: skip


def _row(cells: Iterable[object]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerow(cells)
    return text.getvalue()


def _plain_number(value: float) -> str:
    """A number to a tenth, for a spreadsheet; nothing where there is nothing.

    >>> _plain_number(121.0321), _plain_number(86.0), _plain_number(0.0)
    ('121', '86', '')
    """
    return f"{round(value, 1):g}" if value else ""
