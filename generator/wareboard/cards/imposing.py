"""Several cards on a sheet of paper, to be cut apart, and several PDFs behind one another.

Nothing is ever scaled. Tags, language, title and bookmarks are kept: a card becomes a form on its sheet, and
what the tags say of the card's page they say of that form (ISO 32000-1, 14.7.4.3: marked content in form XObjects).
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator, Sequence
from math import floor

from pypdf import PdfReader, PdfWriter
from pypdf.errors import PyPdfError
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NullObject,
    NumberObject,
    TextStringObject,
)

from wareboard.cards.cardtext import POINT_MM
from wareboard.cards.engine import MADE_BY
from wareboard.pot.frozen import frozen

# A card may be larger than its place by what rounding to points makes of it.
DUST_MM = 0.05
MARK_MM, MARK_PT = 4.0, 0.3
BOXES = ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox")


class SheetTooSmall(ValueError):
    """A card does not go on the sheet; `card_mm` is the card's width and height."""

    def __init__(self, card_mm: tuple[float, float], sheet_mm: tuple[float, float]) -> None:
        """What does not go on what."""
        super().__init__(
            f"a card of {card_mm[0]:.0f} × {card_mm[1]:.0f} mm does not go on a sheet of {sheet_mm[0]:.0f} × {sheet_mm[1]:.0f} mm"
        )
        self.card_mm = card_mm


@frozen
class Grid:
    """Cards of one size on a sheet: edge to edge, in the middle."""

    sheet_mm: tuple[float, float]
    card_mm: tuple[float, float]
    columns: int
    rows: int

    @property
    def count(self) -> int:
        """How many cards go on a sheet."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """The lower left corner of a place; they are counted as one reads.

        Args:
            place: from 0.
        Returns: mm from the sheet's left and from its bottom.
        >>> find_grid((148.0, 105.0), (210.0, 297.0)).corner_mm(0)
        (0.5, 105.0)
        """
        row, column = divmod(place, self.columns)
        left = (self.sheet_mm[0] - self.columns * self.card_mm[0]) / 2.0
        top = self.sheet_mm[1] - (self.sheet_mm[1] - self.rows * self.card_mm[1]) / 2.0
        return max(0.0, left) + column * self.card_mm[0], top - (row + 1) * self.card_mm[1]


def find_grid(card_mm: tuple[float, float], sheet_mm: tuple[float, float]) -> Grid:
    """How the most cards of a size go on a sheet, which may lie on its side; cards are not turned.

    Args:
        card_mm: width and height of the card, mm.
        sheet_mm: width and height of the sheet, mm.
    Returns: the grid; upright where both ways take as many.
    Raises: SheetTooSmall, not even one.
    >>> grid = find_grid((148.0, 105.0), (210.0, 297.0))
    >>> grid.sheet_mm, grid.columns, grid.rows
    ((297.0, 210.0), 2, 2)
    """
    upright = tuple(sorted(sheet_mm))
    ways = [
        Grid(sheet, card_mm, *(floor((room + DUST_MM) / size) for room, size in zip(sheet, card_mm, strict=True)))
        for sheet in (upright, upright[::-1])
    ]
    best = max(ways, key=lambda grid: grid.count)
    if not best.count:
        raise SheetTooSmall(card_mm, sheet_mm)
    return best


def impose(pdf: bytes, sheet_mm: tuple[float, float]) -> bytes:
    """A PDF's pages on sheets, at true size, with marks to cut by.

    Pages of one size share sheets: the sizes come in the order in which each is first met.

    Args:
        pdf: the cards, a page each.
        sheet_mm: width and height of the paper, mm.
    Returns: the sheets as a PDF.
    Raises: SheetTooSmall.
    """
    writer = _opened(pdf)
    pages = list(writer.pages)
    sizes = [(float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM) for page in pages]
    order = list(dict.fromkeys(_rounded(size) for size in sizes))
    sheets, moves = [], {}
    for size in order:
        same = [page for page, other in zip(pages, sizes, strict=True) if _rounded(other) == size]
        grid = find_grid(size, sheet_mm)
        for start in range(0, len(same), grid.count):
            sheets.append(_make_sheet(writer, same[start : start + grid.count], grid, moves))
    for element in _elements(writer):
        _move_element(element, moves)
    for mark in _bookmarks(writer):
        _move_destination(mark, moves)
    root = writer.root_object["/Pages"].get_object()
    root[NameObject("/Kids")], root[NameObject("/Count")] = ArrayObject(sheets), NumberObject(len(sheets))
    for number, move in moves.items():
        if number != move.sheet.idnum:
            writer._replace_object(IndirectObject(number, 0, writer), NullObject())
    return _written(writer)


def _rounded(size_mm: tuple[float, float]) -> tuple[float, float]:
    return round(size_mm[0], 1), round(size_mm[1], 1)


@frozen
class _Move:
    """Where a page went: the sheet, the form that it became, and how far it was moved, in points."""

    sheet: IndirectObject
    form: IndirectObject
    x: float
    y: float


def _make_sheet(
    writer: PdfWriter, pages: Sequence[DictionaryObject], grid: Grid, moves: dict[int, _Move]
) -> IndirectObject:
    """One sheet. The first card's page becomes the sheet, and each page's content becomes a form on it."""
    sheet = pages[0].indirect_reference
    drawn, forms, annotations = [], DictionaryObject(), ArrayObject()
    for place, page in enumerate(pages):
        x, y = (corner / POINT_MM for corner in grid.corner_mm(place))
        form = _as_form(writer, page)
        moves[page.indirect_reference.idnum] = _Move(sheet, form, x, y)
        forms[NameObject(f"/Card{place}")] = form
        drawn.append(f"q 1 0 0 1 {x:.4f} {y:.4f} cm /Card{place} Do Q")
        for annotation in page.get("/Annots", ()):
            _move_annotation(annotation.get_object(), sheet, x, y)
            annotations.append(annotation)
    drawn += ["/Artifact BMC q", f"{MARK_PT} w 0 G", *_cut_marks(grid, len(pages)), "Q EMC"]
    content = DecodedStreamObject()
    content.set_data("\n".join(drawn).encode("ascii"))
    box = ArrayObject(
        [NumberObject(0), NumberObject(0), *(FloatObject(round(side / POINT_MM, 6)) for side in grid.sheet_mm)]
    )
    page = pages[0]
    for name in (*BOXES, "/StructParents", "/Annots"):
        page.pop(name, None)
    page[NameObject("/MediaBox")] = box
    page[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): forms})
    page[NameObject("/Contents")] = writer._add_object(content)
    if annotations:
        page[NameObject("/Annots")] = annotations
    return sheet


def _as_form(writer: PdfWriter, page: DictionaryObject) -> IndirectObject:
    """A page's content made a form in place; nothing is read or packed again."""
    reference = page.raw_get("/Contents")
    form = reference.get_object()
    form[NameObject("/Type")], form[NameObject("/Subtype")] = NameObject("/XObject"), NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(page["/MediaBox"])
    form[NameObject("/Resources")] = page.raw_get("/Resources")
    if "/StructParents" in page:
        form[NameObject("/StructParents")] = page["/StructParents"]
    return reference


def _cut_marks(grid: Grid, count: int) -> Iterator[str]:
    """Short lines along every cut, crossing at the cards' corners; none along the sheet's own edge."""
    width, height = grid.sheet_mm
    card_width, card_height = grid.card_mm
    corners = {
        (round(x + across, 3), round(y + up, 3))
        for x, y in (grid.corner_mm(place) for place in range(count)) for across in (0.0, card_width) for up in (0.0, card_height)
    }  # fmt: skip
    for x, y in sorted(corners):
        if 1.0 < x < width - 1.0:
            yield _line(x, max(0.0, y - MARK_MM), x, min(height, y + MARK_MM))
        if 1.0 < y < height - 1.0:
            yield _line(max(0.0, x - MARK_MM), y, min(width, x + MARK_MM), y)


def _line(*ends_mm: float) -> str:
    x1, y1, x2, y2 = (end / POINT_MM for end in ends_mm)
    return f"{x1:.3f} {y1:.3f} m {x2:.3f} {y2:.3f} l S"


# ---- what speaks of pages ----


def _elements(writer: PdfWriter) -> Iterator[DictionaryObject]:
    """Every element of the tags."""
    root = writer.root_object.get("/StructTreeRoot")
    waiting = [root.get_object()] if root else []
    while waiting:
        element = waiting.pop()
        if "/S" in element:
            yield element
        waiting += [
            kid
            for kid in (kid.get_object() for kid in _kids(element))
            if isinstance(kid, DictionaryObject) and "/S" in kid
        ]


def _kids(element: DictionaryObject) -> list:
    kids = element["/K"].get_object() if "/K" in element else []
    return list(kids) if isinstance(kids, list) else [kids]


def _move_element(element: DictionaryObject, moves: dict[int, _Move]) -> None:
    """Have an element speak of the form on the sheet, where it spoke of a page."""
    page = element.get("/Pg")
    move = moves.get(page.indirect_reference.idnum) if page else None
    if move is None:
        return
    element[NameObject("/Pg")] = move.sheet
    if "/K" in element:
        element[NameObject("/K")] = ArrayObject([_moved_kid(kid, move) for kid in _kids(element)])
    attributes = element.get("/A")
    if attributes and "/BBox" in attributes:
        attributes[NameObject("/BBox")] = _moved_box(attributes["/BBox"], move.x, move.y)


def _moved_kid(kid, move: _Move):
    """Marked content by its number is in the form now; other elements and objects stay what they are."""
    found = kid.get_object()
    if isinstance(found, NumberObject):
        return DictionaryObject({
            NameObject("/Type"): NameObject("/MCR"), NameObject("/Pg"): move.sheet, NameObject("/Stm"): move.form, NameObject("/MCID"): found,
        })  # fmt: skip
    if isinstance(found, DictionaryObject) and "/S" not in found and "/Pg" in found:
        found[NameObject("/Pg")] = move.sheet
    return kid


def _moved_box(box: Sequence[float], x: float, y: float) -> ArrayObject:
    return ArrayObject([FloatObject(round(float(at) + by, 4)) for at, by in zip(box, (x, y, x, y), strict=True)])


def _move_annotation(annotation: DictionaryObject, sheet: IndirectObject, x: float, y: float) -> None:
    annotation[NameObject("/Rect")] = _moved_box(annotation["/Rect"], x, y)
    annotation[NameObject("/P")] = sheet


def _bookmarks(writer: PdfWriter) -> Iterator[DictionaryObject]:
    """Every entry of the outline, wherever it stands."""
    outline = writer.root_object.get("/Outlines")
    waiting = [outline.get_object()] if outline else []
    while waiting:
        mark = waiting.pop()
        yield mark
        waiting += [mark[name].get_object() for name in ("/Next", "/First") if name in mark]


def _move_destination(mark: DictionaryObject, moves: dict[int, _Move]) -> None:
    """Have a bookmark lead to its card's place on the sheet."""
    holder, name = (
        (mark, "/Dest") if "/Dest" in mark else (mark["/A"].get_object(), "/D") if "/A" in mark else (mark, "")
    )
    if name:
        page, kind, x, y, *rest = holder[name].get_object()
        move = moves[page.indirect_reference.idnum]
        holder[NameObject(name)] = ArrayObject(
            [
                move.sheet,
                kind,
                FloatObject(round(float(x) + move.x, 4)),
                FloatObject(round(float(y) + move.y, 4)),
                *rest,
            ]
        )


# ---- behind one another ----


def join(pdfs: Sequence[bytes]) -> bytes:
    """PDFs behind one another, with their tags and bookmarks; title and language are the first one's.

    Args:
        pdfs: at least one.
    Raises: ValueError, none.
    """
    if not pdfs:
        raise ValueError("there is nothing to join")
    writer = _opened(pdfs[0])
    for number, pdf in enumerate(pdfs[1:], 1):
        _append(writer, PdfReader(io.BytesIO(pdf)), number)
    return _written(writer)


def _append(writer: PdfWriter, reader: PdfReader, number: int) -> None:
    """One more PDF. Its tags' keys go behind those that are there, its names get a number of their own."""
    before = len(writer.pages)
    writer.append(reader)
    if not ("/StructTreeRoot" in reader.root_object and "/StructTreeRoot" in writer.root_object):
        return
    whole, own = writer.root_object["/StructTreeRoot"], reader.root_object["/StructTreeRoot"].clone(writer)
    keys, new = whole["/ParentTree"]["/Nums"], own["/ParentTree"]["/Nums"]
    first = max((int(key) for key in keys[::2]), default=-1) + 1
    keys.extend(NumberObject(int(entry) + first) if place % 2 == 0 else entry for place, entry in enumerate(new))
    for page, read in zip(writer.pages[before:], reader.pages, strict=True):
        if "/StructParents" in read:  # the library leaves it out
            page[NameObject("/StructParents")] = NumberObject(read["/StructParents"] + first)
    kids = _kids(own)
    for kid in kids:
        kid.get_object()[NameObject("/P")] = whole.indirect_reference
    whole[NameObject("/K")] = ArrayObject([*_kids(whole), *kids])
    for kid in kids:
        _rename(kid.get_object(), number)


def _rename(top: DictionaryObject, number: int) -> None:
    """Names by which table cells find their headings are given out anew in each PDF."""
    waiting = [top]
    while waiting:
        element = waiting.pop()
        if "/ID" in element:
            element[NameObject("/ID")] = TextStringObject(f"{number}/{element['/ID']}")
        attributes = element.get("/A")
        if attributes and "/Headers" in attributes:
            attributes[NameObject("/Headers")] = ArrayObject(
                [TextStringObject(f"{number}/{name}") for name in attributes["/Headers"]]
            )
        waiting += [
            kid
            for kid in (kid.get_object() for kid in _kids(element))
            if isinstance(kid, DictionaryObject) and "/S" in kid
        ]


def is_ours(pdf: bytes) -> bool:
    """True for a PDF of cards that was set here, whatever was put together of them."""
    if not pdf.startswith(b"%PDF-"):
        return False
    # What the library thinks of somebody else's file is nothing that a maker asked for.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        found = PdfReader(io.BytesIO(pdf)).metadata
    except (PyPdfError, ValueError, KeyError, RecursionError):
        return False
    return found is not None and found.creator == MADE_BY


def _opened(pdf: bytes) -> PdfWriter:
    """A PDF to work on, of the version that it is."""
    reader = PdfReader(io.BytesIO(pdf))
    writer = PdfWriter(clone_from=reader)
    writer.pdf_header = reader.pdf_header
    return writer


def _written(writer: PdfWriter) -> bytes:
    with io.BytesIO() as content:
        writer.write(content)
        return content.getvalue()
