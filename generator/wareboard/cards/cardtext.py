"""What all printed cards share: their papers, how numbers and fractions are set, their code and their day."""

from __future__ import annotations

import re
from functools import cache, lru_cache
from math import ceil
from typing import NamedTuple
from urllib.parse import quote

from markupsafe import Markup, escape

from wareboard.drawing.svg import text_width_mm
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.text.languages import ENGLISH, _, spoken_tag
from wareboard.words.templating import TEMPLATES

POINT_MM = 25.4 / 72.0
# This face's digits and capitals are so high, as a share of the font size.
CAP = 0.668
# Widths in a number that is set large, bold and in figures of one width, as shares of the font size.
DIGIT, POINT = 0.622, 0.27
LINE = 1.3
# A text takes a little more than its width, for where it breaks.
BREAKS = 1.08


@frozen
class Paper:
    """A landscape card: its size, its margins, and its sizes of type, mm."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float
    title_mm: float
    words_mm: float
    qr_mm: float

    @property
    def room_mm(self) -> float:
        """Width within the margins."""
        return self.width_mm - 2.0 * self.margin_mm

    @property
    def inner_mm(self) -> float:
        """Height within the margins."""
        return self.height_mm - 2.0 * self.margin_mm


PAPERS: dict[str, Paper] = {
    paper.name: paper
    for paper in (
        Paper("A6", 148.0, 105.0, 5.0, 6.2, 2.5, 12.0),
        Paper("A5", 210.0, 148.0, 8.0, 8.8, 3.1, 14.5),
        Paper("half-Letter", 215.9, 139.7, 8.0, 8.8, 3.1, 14.5),
        Paper("A4", 297.0, 210.0, 11.0, 10.6, 3.7, 18.0),
        Paper("Letter", 279.4, 215.9, 11.0, 10.6, 3.7, 18.0),
    )
}


@cache
def card_style() -> str:
    """The style sheet that all cards share."""
    return (TEMPLATES / "cards" / "card.css").read_text(encoding="utf-8")


def bench_path(slug: str) -> str:
    """Where a form's bench view stands on the site.

    >>> bench_path("tea-caddy")
    'bench/tea-caddy.html'
    """
    return f"bench/{slug}.html"


def answers_path(slug: str) -> str:
    """Where a form's page that answers stands on the site.

    >>> answers_path("tea-caddy")
    'answers/tea-caddy.html'
    """
    return f"answers/{slug}.html"


def page_url(sheet: Sheet, site_url: str) -> str:
    """The address of the form's bench view; the revision in it lets the page say that a card is old."""
    return f"{site_url.rstrip('/')}/{quote(bench_path(sheet.slug))}?revision={sheet.revision}"


@cache
def qr_picture(url: str) -> Markup:
    """A QR code of an address as an SVG picture of one path."""
    import segno

    code = segno.make(url, error="m", micro=False)
    return Markup(code.svg_inline(border=0, omitsize=True, svgclass=None, lineclass=None, title=f"QR code: {url}"))


def count_lines(text: str, width_mm: float, size_mm: float, strong: bool = False) -> int:
    """How many lines a text takes in a column of some width, set at some size; both in mm."""
    wide = text_width_mm(text, size_mm, strong)
    return 1 if wide <= width_mm else ceil(BREAKS * wide / width_mm)


def title_mm(title: str, paper: Paper, of: str = "") -> float:
    """The size of type at which a title stands on one line beside a code, perhaps with a part's name behind it."""
    room = 0.74 * paper.room_mm
    title = f"{title} {of}" + _(", upside down") if of else title
    return round(max(3.2, min(paper.title_mm, paper.title_mm * room / text_width_mm(title, paper.title_mm, True))), 2)


_PAGES = '"page " counter(page) " of " counter(pages)'
_COUNT = 'counter(page) " of " counter(pages)'


def in_language(style: str) -> str:
    """A style sheet whose margins count pages in the language that is spoken."""
    if spoken_tag() == ENGLISH:
        return style
    said = [(_PAGES, _("page {number} of {all}")), (_COUNT, _("{number} of {all}"))]
    for written, words in said:
        counted = words.replace("{number}", '" counter(page) "').replace("{all}", '" counter(pages) "')
        style = style.replace(written, f'"{counted}"')
    return style


# ---- numbers ----

_PLAIN_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄", "01234567890123456789/")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_PIECES = re.compile(f"([{''.join(_VULGAR)}]|[⁰¹²³⁴⁵⁶⁷⁸⁹]+⁄[₀₁₂₃₄₅₆₇₈₉]+)|( [^\\W\\d_]+ )")


class Piece(NamedTuple):
    """A run of digits, a word between them, or a fraction over its denominator."""

    text: str
    under: str = ""
    word: bool = False


@lru_cache(maxsize=4096)
def pieces_of(number: str) -> tuple[Piece, ...]:
    """A number as it is set: digits, words small, each fraction as two numbers, one over the other.

    >>> pieces_of("1 lb 1½")
    (Piece(text='1', under='', word=False), Piece(text='lb', under='', word=True), Piece(text='1', under='', word=False), Piece(text='1', under='2', word=False))
    """
    found, end = [], 0
    for match in _PIECES.finditer(number):
        if match.start() > end:
            found.append(Piece(number[end : match.start()]))
        if match[1]:
            over, _other, under = _VULGAR.get(match[1], match[1].translate(_PLAIN_DIGITS)).partition("/")
            found.append(Piece(over, under))
        else:
            found.append(Piece(match[2].strip(), word=True))
        end = match.end()
    if end < len(number):
        found.append(Piece(number[end:]))
    return tuple(found)


@lru_cache(maxsize=4096)
def has_fraction(number: str) -> bool:
    """True where a number takes two lines of digits."""
    return any(piece.under for piece in pieces_of(number))


def number_width_mm(number: str, size_mm: float) -> float:
    """Width of a number as it is set at a font size, mm."""
    width = 0.0
    for piece in pieces_of(number):
        if piece.under:
            width += max(len(piece.text), len(piece.under)) * DIGIT * size_mm + 0.22 * size_mm
        elif piece.word:
            width += text_width_mm(piece.text, 0.4 * size_mm, True) + 0.3 * size_mm
        else:
            width += sum(DIGIT if sign.isdigit() else POINT if sign in ".," else 0.62 for sign in piece.text) * size_mm
    return width


def set_number(number: str) -> Markup:
    """A number to be set large: every digit as high as the others, a fraction's too, its two numbers one over the other.

    >>> str(set_number("3³⁄₃₂"))
    '3<span class="f"><span>3</span><span>32</span></span>'
    """
    said = Markup("")
    for piece in pieces_of(number):
        if piece.under:
            said += Markup('<span class="f"><span>{}</span><span>{}</span></span>').format(piece.text, piece.under)
        elif piece.word:
            said += Markup("<small> {} </small>").format(piece.text)
        else:
            said += escape(piece.text)
    return said


def size_class(title: str) -> str:
    """A size of type at which a title stands beside a code on a sheet."""
    return "short" if len(title) <= 22 else "long" if len(title) <= 38 else "longest"
