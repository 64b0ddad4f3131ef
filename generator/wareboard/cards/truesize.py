"""Sheets that are true to size: drawings set out on paper with bars to measure, nothing scaled to fit.

One picture a sheet, in true millimetres; what a drawing says is in the picture's description too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wareboard.cards.engine import CardText
from wareboard.cards.tiling import (
    Joint,
    Piece,
    Place,
    clip_line,
    clip_shape,
    cut_pieces,
    find_joints,
    set_out,
)
from wareboard.drawing.svg import (
    AXIS,
    DASHED,
    EDGE,
    MARK,
    MEASURE,
    THIN,
    Ink,
    Pen,
    Picture,
    Point,
    Sketch,
    text_width_mm,
)
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.studio_specs import Clay
from wareboard.text.units import INCH_MM
from wareboard.words.templating import TEMPLATES, plain, render

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MARGIN_MM, HEAD_MM, FOOT_MM, SIDE_MM = 10.0, 27.0, 25.0, 9.0
OVERLAP_MM, CAPTION_MM, GAP_MM = 10.0, 6.0, 4.0
CELL_MM = 3.2  # of the small map that tells which piece is which
CROSS_MM = 3.5  # from the middle of a cross to its ends; the overlap has room for it
EDGE_MM = 1.0  # of paper around a picture, so that no line at its edge is cut in half
BAR_MM, BAR_IN = 100.0, 4
ALLOWED_MM = 0.5  # half a per cent of the bar, a ruler's step
SMALL_MM, TEXT_MM = 2.5, 3.0


@frozen
class Item:
    """A drawing at true size: its name, what it is in full, its box from 0, 0 up, and what draws it."""

    name: str
    said: str
    width_mm: float
    height_mm: float
    draw: Callable[[Sketch], None]


@frozen
class Words:
    """What stands around the drawings of every sheet; `allowed` is how far out a bar may be."""

    title: str
    code: str
    kind: str
    convention: str
    foot: str
    language: str
    code_picture: str = ""
    allowed: str = "0.5 mm"


def true_paper(wanted: str | None) -> str:
    """The paper for true-size sheets: the one asked for, or A4 where a studio's own is smaller.

    >>> true_paper("Letter"), true_paper("A5"), true_paper(None)
    ('Letter', 'A4', 'A4')
    """
    return wanted if wanted in PAPERS else "A4"


def room_mm(paper: str) -> tuple[float, float]:
    """Width and height that a drawing may have on one sheet.

    Args:
        paper: one of PAPERS.
    Returns: mm.
    Raises: ValueError, there is no such paper.
    >>> room_mm("A4")
    (181.0, 225.0)
    """
    if paper not in PAPERS:
        raise ValueError(f"true-size sheets are not made on {paper}; there are {' and '.join(PAPERS)}")
    width, height = PAPERS[paper]
    return width - 2.0 * MARGIN_MM - SIDE_MM, height - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM


def render_sheets(name: str, words: Words, chapters: Sequence[Sequence[Item]], paper: str) -> CardText:
    """True-size sheets of some drawings.

    Args:
        name: the file's stem.
        words: what stands around them.
        chapters: drawings; each chapter begins on a sheet of its own.
        paper: one of PAPERS.
    Returns: the sheets' text; `cards.render_pdf` sets it.
    Raises: ValueError, there is no such paper.
    """
    sheets = [sheet for items in chapters for sheet in _sheets(items, paper)]
    pictures = [Markup(_picture(f"{name}-{number}", words, sheet, paper)) for number, sheet in enumerate(sheets, 1)]
    html = render(
        "cards/truesize.html",
        words=words,
        paper=paper,
        pictures=pictures,
        size_class=_size_class(f"{words.title} {words.code}"),
    )
    style = (TEMPLATES / "cards" / "truesize.css").read_text(encoding="utf-8")
    return CardText(name, f"{words.title}, {words.kind}", plain(html), style)


def _size_class(head: str) -> str:
    """A size of type at which title and code stand side by side."""
    return "short" if len(head) <= 34 else "long" if len(head) <= 56 else "longest"


@frozen
class _Cut:
    """A piece of a drawing, the others that belong to it, and the marks on it."""

    item: Item
    piece: Piece
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]

    @property
    def said(self) -> str:
        """Which of its pieces it is; nothing where the drawing is whole."""
        return (
            _("piece {number} of {all}").format(number=self.pieces.index(self.piece) + 1, all=len(self.pieces))
            if len(self.pieces) > 1
            else ""
        )

    @property
    def caption(self) -> str:
        """What stands above it."""
        return _("{name}, {piece}. Cut one along its dashed line, lay it with {letter} on {letter}.").format(
            name=self.item.name, piece=self.said, letter=self.joints[0].letter
        )

    def footprint_mm(self, room_width_mm: float) -> tuple[float, float]:
        """Width and height that it takes on a sheet, its caption included."""
        if not self.said:
            return self.piece.width_mm, self.piece.height_mm
        caption = text_width_mm(self.caption, SMALL_MM) + CELL_MM * self.piece.columns + 2.0
        return min(room_width_mm, max(self.piece.width_mm, caption)), self.piece.height_mm + CAPTION_MM


def _cuts(item: Item, paper: str) -> Iterator[_Cut]:
    """A drawing in as many pieces as it needs; one on which nothing would stand is left out."""
    width, height = room_mm(paper)
    whole = item.width_mm <= width and item.height_mm <= height
    pieces = cut_pieces(item.width_mm, item.height_mm, width, height if whole else height - CAPTION_MM, OVERLAP_MM)
    if len(pieces) > 1:
        pieces = tuple(piece for piece in pieces if _is_drawn_on(item, piece))
    joints = find_joints(pieces)
    yield from (_Cut(item, piece, pieces, joints[piece.number]) for piece in pieces)


def _is_drawn_on(item: Item, piece: Piece) -> bool:
    picture = Picture()
    item.draw(_Window(onto=picture, piece=piece, place=Place(0, 0.0, 0.0)))
    return picture.right >= picture.left


def _sheets(items: Sequence[Item], paper: str) -> list[list[tuple[_Cut, Place]]]:
    """Drawings, cut up where they are too large, sheet by sheet, each with its place."""
    width, height = room_mm(paper)
    cuts = [cut for item in items for cut in _cuts(item, paper)]
    places = set_out([cut.footprint_mm(width) for cut in cuts], width, height, GAP_MM)
    sheets: list[list[tuple[_Cut, Place]]] = [
        [] for _other in range(max((place.sheet for place in places), default=-1) + 1)
    ]
    for cut, place in zip(cuts, places, strict=True):
        sheets[place.sheet].append((cut, place))
    return sheets


@dataclass(slots=True)
class _Window(Sketch):
    """Draws what of a drawing lies in one piece, where the piece stands. Lettering is whole or not at all."""

    onto: Picture = None
    piece: Piece = None
    place: Place = None

    def _moved(self, points: Sequence[Point]) -> list[Point]:
        x, y = self.place.x_mm - self.piece.left_mm, self.place.y_mm - self.piece.bottom_mm
        return [(px + x, py + y) for px, py in points]

    def stroke(self, pen: Pen, points: Sequence[Point], closed: bool = False) -> None:
        """See Sketch."""
        for line in clip_line([*points, points[0]] if closed else points, self.piece):
            self.onto.stroke(pen, self._moved(line))

    def fill(self, ink: Ink, points: Sequence[Point]) -> None:
        """See Sketch."""
        self.onto.fill(ink, self._moved(clip_shape(points, self.piece)))

    def letter(
        self,
        x: float,
        y: float,
        text: str,
        size_mm: float,
        *,
        anchor: str = "middle",
        upward: bool = False,
        strong: bool = False,
    ) -> None:
        """See Sketch."""
        box = Sketch()
        box.letter(x, y, text, size_mm, anchor=anchor, upward=upward, strong=strong)
        piece = self.piece
        if (
            piece.left_mm <= box.left + 0.5
            and box.right - 0.5 <= piece.right_mm
            and piece.bottom_mm <= box.bottom + 0.5
            and box.top - 0.5 <= piece.top_mm
        ):
            (x, y), *_other = self._moved([(x, y)])
            self.onto.letter(x, y, text, size_mm, anchor=anchor, upward=upward, strong=strong)


def _picture(name: str, words: Words, sheet: Sequence[tuple[_Cut, Place]], paper: str) -> str:
    """One sheet's drawings and its bars."""
    width, height = room_mm(paper)
    picture = Picture()
    for cut, place in sheet:
        cut.item.draw(_Window(onto=picture, piece=cut.piece, place=place))
        if cut.said:
            _draw_joints(picture, cut, place)
            _draw_caption(picture, cut, place, width)
    _draw_bars(picture, width)
    said = "; ".join(f"{cut.item.said}{', ' if cut.said else ''}{cut.said}" for cut, _other in sheet)
    # The PDF engine takes the title, not the description, for those who can't see the picture.
    title = _(
        "{title}, {kind}. True size: {said}. Bars of 100 mm across and up, and of 4 in, to measure the print"
    ).format(title=words.title, kind=words.kind, said=said)
    return picture.render(name, title, words.kind, box=(-EDGE_MM, -FOOT_MM, width + SIDE_MM, height + EDGE_MM))


def _draw_joints(picture: Picture, cut: _Cut, place: Place) -> None:
    """The middle of each overlap, and lettered crosses to lay upon one another."""
    piece = cut.piece
    arm = min(CROSS_MM, piece.height_mm / 2.0)
    for joint in cut.joints:
        x, y = place.x_mm + joint.x_mm - piece.left_mm, place.y_mm + joint.y_mm - piece.bottom_mm
        ends = (
            ((x, place.y_mm), (x, place.y_mm + piece.height_mm))
            if joint.upright
            else ((place.x_mm, y), (place.x_mm + piece.width_mm, y))
        )
        picture.stroke(DASHED, ends)
        picture.stroke(THIN, ((x - CROSS_MM, y), (x + CROSS_MM, y)))
        picture.stroke(THIN, ((x, y - arm), (x, y + arm)))
        picture.letter(x + 2.4, y + 1.2, joint.letter, TEXT_MM, strong=True)


def _draw_caption(picture: Picture, cut: _Cut, place: Place, room_width_mm: float) -> None:
    """Which piece it is, on a small map and in words, above it."""
    y = place.y_mm + cut.piece.height_mm + 1.0
    high = min(CELL_MM, (CAPTION_MM - 1.6) / cut.piece.rows)
    for piece in cut.pieces:
        left, bottom = place.x_mm + piece.column * CELL_MM, y + (piece.rows - 1 - piece.row) * high
        box = ((left, bottom), (left + CELL_MM, bottom), (left + CELL_MM, bottom + high), (left, bottom + high))
        picture.stroke(THIN, box, closed=True)
        if piece == cut.piece:
            picture.fill(MARK, box)
    left = cut.piece.columns * CELL_MM + 1.5
    width, _other = cut.footprint_mm(room_width_mm)
    picture.letter(place.x_mm + left, y + 0.6, shortened(cut.caption, width - left, SMALL_MM), SMALL_MM, anchor="start")


def _draw_bars(picture: Picture, width_mm: float) -> None:
    """The bars that tell whether a print is true: 100 mm and 4 in across, 100 mm up."""
    _draw_bar(picture, (0.0, -9.0), [10.0 * k for k in range(11)], "100 mm")
    _draw_bar(picture, (0.0, -19.0), [INCH_MM * k / 2.0 for k in range(2 * BAR_IN + 1)], "4 in")
    x = width_mm + SIDE_MM - 4.5
    picture.stroke(MEASURE, ((x, 0.0), (x, BAR_MM)))
    for k in range(11):
        picture.stroke(MEASURE, ((x, 10.0 * k), (x + (4.0 if k % 10 == 0 else 2.0), 10.0 * k)))
    picture.letter(x - 1.2, BAR_MM / 2.0, "100 mm", TEXT_MM, upward=True, strong=True)


def _draw_bar(picture: Picture, at: Point, marks: Sequence[float], said: str) -> None:
    x, y = at
    picture.stroke(MEASURE, ((x + marks[0], y), (x + marks[-1], y)))
    for k, mark in enumerate(marks):
        high = 5.0 if k in (0, len(marks) - 1) else 2.5
        picture.stroke(MEASURE, ((x + mark, y), (x + mark, y + high)))
    picture.letter(x + marks[-1] / 2.0, y - 3.2, said, TEXT_MM, strong=True)


# ---- lettering on drawings ----


def clay_words(spec: Clay) -> str:
    """A clay's name and cone; a cone may be any text, so a long one is cut off."""
    return (
        _("{title}, cone {cone}").format(title=spec.title, cone=shortened(str(spec.cone), 30.0, TEXT_MM))
        if spec.cone
        else str(spec.title)
    )


def shortened(text: str, width_mm: float, size_mm: float, strong: bool = False) -> str:
    """A text cut off with … where it is longer than its line.

    >>> shortened("Millpond buff", 8.0, 2.5)
    'Millp…'
    """
    if text_width_mm(text, size_mm, strong) <= width_mm:
        return text
    kept = text
    while kept and text_width_mm(f"{kept}…", size_mm, strong) > width_mm:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def wrapped(text: str, width_mm: float, size_mm: float, strong: bool = False) -> list[str]:
    """A text in lines no longer than a width; a word that is longer is cut.

    >>> wrapped("tea caddy lid", 15.0, 3.0)
    ['tea caddy', 'lid']
    """
    lines: list[str] = []
    for word in text.split():
        while word:
            joined = f"{lines[-1]} {word}" if lines else word
            if lines and text_width_mm(joined, size_mm, strong) <= width_mm:
                lines[-1], word = joined, ""
            elif text_width_mm(word, size_mm, strong) <= width_mm:
                lines.append(word)
                word = ""
            else:
                fits = max(
                    1,
                    next(
                        (k for k in range(len(word), 0, -1) if text_width_mm(word[:k], size_mm, strong) <= width_mm), 1
                    ),
                )
                lines.append(word[:fits])
                word = word[fits:]
    return lines


def cut_out(sketch: Sketch, width_mm: float, height_mm: float, *, from_axis: bool = False) -> None:
    """The edges along which a drawing is cut out; its left edge may be an axis."""
    corners = ((0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm))
    sketch.stroke(EDGE, corners, closed=not from_axis)
    if from_axis:
        sketch.stroke(AXIS, ((0.0, 0.0), (0.0, height_mm)))
