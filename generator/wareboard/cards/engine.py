"""Card HTML to PDF; the only room that knows the PDF engine, which is loaded when first needed."""

from __future__ import annotations

import atexit
import contextlib
import copy
import hashlib
import io
import os
import re
import shutil
import sys
import tempfile
import warnings
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from pathlib import Path
from urllib.parse import unquote, urlsplit

from wareboard import TEMPLATES
from wareboard.drawing.svg import FACE
from wareboard.pot.frozen import frozen
from wareboard.text.problems import Refused
from wareboard.words import faces

# PDF/UA: tagged, titled, with its language. Never PDF/X, whose files hold a random part.
VARIANT = "pdf/ua-1"
# By this a PDF of ours is known, so that no other is written over.
MADE_BY = "Wareboard"


class CardsUnavailable(RuntimeError):
    """The PDF engine's system libraries are missing; the message names the one line that installs them."""


class CardUnreadable(Refused):
    """A card that nobody could work by, as words on it are cut off or too small; the message names card and words."""


@frozen
class CardText:
    """One card before it is set: a whole HTML document and the style sheet that it is set with.

    `name` is the file's stem, `tall-beaker-wheel`. Same text, same bytes. `FACES` in the style sheet, and the drawings' own
    face, stand for all faces that there are; `own_fonts` are the studio's.
    """

    name: str
    title: str
    html: str
    css: str
    own_fonts: tuple[Path, ...] = ()


@cache
def _shared() -> bytes:
    """What every card's PDF depends on besides its own text: the engine, how it is used here, and the fonts."""
    from importlib.metadata import version

    fonts = sorted((TEMPLATES / "fonts").glob("*.ttf"))
    libraries = "".join(f"{name} {version(name)}\n" for name in ("weasyprint", "fonttools", "pydyf"))
    return hashlib.sha256(
        b"".join([libraries.encode(), *(file.read_bytes() for file in (Path(__file__), *fonts))])
    ).digest()


def shared_key() -> str:
    """A hash of what every card's PDF depends on besides its own text and a studio's own fonts."""
    return _shared().hex()


def card_key(card: CardText) -> str:
    """A hash of all that a card's PDF depends on, engine and fonts included: its name in a cache.

    >>> card = CardText("b-wheel", "B", "<p>90</p>", "p {color: black}")
    >>> card_key(card) == card_key(CardText("b-wheel", "B", "<p>90</p>", "p {color: red}"))
    False
    """
    found = hashlib.sha256(_shared())
    for text in (card.title, card.html, card.css):
        found.update(hashlib.sha256(text.encode()).digest())
    for font in card.own_fonts:
        found.update(hashlib.sha256(font.name.encode()).digest() + _digest_of(font))
    return found.hexdigest()[:32]


@cache
def _digest_of(font: Path) -> bytes:
    return hashlib.sha256(font.read_bytes()).digest()


def check_engine() -> None:
    """Load the PDF engine, and have ready what forked processes share. Raises: CardsUnavailable."""
    _engine()
    _scratch()


@cache
def _engine():
    """The PDF engine, loaded once; it says its trouble on standard output, which is kept back here."""
    with contextlib.redirect_stdout(io.StringIO()), warnings.catch_warnings():
        # It asks for a library of the system's that cuts fonts down, which is done here.
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            import weasyprint
        except OSError as fault:
            raise CardsUnavailable(
                f"cards need the Pango library, which is not installed here; install it with:  {_install_line()}"
            ) from fault
    _steady()
    return weasyprint


def _steady() -> None:
    """Have the engine set the same bytes with any edition of the system's libraries: its fonts and its line breaks are ours."""
    from weasyprint.layout import inline
    from weasyprint.pdf import fonts, stream

    class OwnFont(fonts.Font):
        """A face as it is put into a PDF: named by what it is, and cut down here."""

        def __init__(self, pango_font, description, font_size):
            super().__init__(pango_font, description, font_size)
            # Of a face's description only its name is the same from one edition of Pango to the next.
            name = self.name.partition(b"+")[2]
            digest = hashlib.sha256(name + repr(self.variations).encode() + self.file_content).digest()
            self.hash = "".join(chr(ord("A") + byte % 26) for byte in digest[:6])
            self.name = b"/%s+%s" % (self.hash.encode(), name)

        def subset(self, to_unicode, hinting):
            if to_unicode:
                self.file_content = cut_font(self.file_content, self.index, to_unicode, bool(self.missing))

    split_first_line = inline.split_first_line

    def split_before_space(text, style, context, max_width, *rest, **named):
        """The text's first line. A space at its end takes no room: with some editions of Pango it does, with others not."""
        line = split_first_line(text, style, context, max_width, *rest, **named)
        _, _, resume_index, width, *_ = line
        if max_width is None or not text.endswith(" ") or style["white_space"] not in ("normal", "pre-line"):
            return line
        if resume_index is None and width <= max_width:
            return line
        bare = split_first_line(text.rstrip(" "), style, context, max_width, *rest, **named)
        layout, length, resume_index, width, *others = bare
        if resume_index is not None or width > max_width:
            return line
        return layout, length, len(text.encode()), width, *others

    stream.Font, inline.split_first_line = OwnFont, split_before_space


# All that is read of a TrueType face whose signs are called by number; without them a cut takes half as long.
_BY_NUMBER = frozenset({"GlyphOrder", "head", "hhea", "maxp", "hmtx", "loca", "glyf"})
_LAYOUT = frozenset({"GSUB", "GPOS", "GDEF", "BASE", "SVG "})


def cut_font(face: bytes, index: int, glyphs: Iterable[int], with_box: bool = False) -> bytes:
    """A face with the outlines of some signs alone, each under the number that it had: same signs, same bytes.

    Args:
        face: a TrueType or OpenType file.
        index: which of a collection's faces.
        glyphs: the numbers of the signs.
        with_box: also with the box that stands for a sign that the face does not have.
    """
    from fontTools import subset

    options = subset.Options(
        retain_gids=True, ignore_missing_glyphs=True, passthrough_tables=True, hinting=False, desubroutinize=True,
        notdef_outline=with_box,
    )  # fmt: skip
    cutter = subset.Subsetter(options)
    cutter.populate(gids=glyphs)
    with _open_font(_lean(face, index), 0) as font:
        cutter.subset(font)
        return _saved(font)


@lru_cache(maxsize=8)
def _lean(face: bytes, index: int) -> bytes:
    """A face without the tables that no PDF needs."""
    with _open_font(face, index) as font:
        plain = "glyf" in font and not {"fvar", "COLR", "CBDT", "sbix"} & set(font.keys())
        for table in tuple(font.keys()):
            if table in _LAYOUT or (plain and table not in _BY_NUMBER):
                del font[table]
        return _saved(font)


def _open_font(face: bytes, index: int):
    from fontTools.ttLib import TTFont

    # A font says when it was saved, unless it is told not to.
    return TTFont(io.BytesIO(face), fontNumber=index, recalcTimestamp=False, recalcBBoxes=False, lazy=True)


def _saved(font) -> bytes:
    written = io.BytesIO()
    font.save(written)
    return written.getvalue()


def _install_line() -> str:
    if sys.platform == "darwin":
        return "brew install pango"
    if sys.platform == "win32":
        return "winget install MSYS2.MSYS2   and in its shell   pacman -S mingw-w64-x86_64-pango"
    return "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0"


@cache
def _fetcher(own_fonts: tuple[Path, ...] = ()):
    """Fetches `data:`, the project's own templates and fonts, and the fonts that a studio named; anything else is refused."""
    from weasyprint.urls import URLFetcher

    class OwnFilesOnly(URLFetcher):
        def fetch(self, url, headers=None):
            parts = urlsplit(url)
            if parts.scheme == "file" and not parts.netloc:
                place = Path(unquote(parts.path)).resolve()
                if not place.is_relative_to(TEMPLATES) and place not in own_fonts:
                    raise ValueError(f"a card may not read {place}")
            elif parts.scheme != "data":
                raise ValueError(f"a card may not fetch {url[:80]}")
            return super().fetch(url, headers)

    return OwnFilesOnly(allowed_protocols=("file", "data"), allow_redirects=False)


@cache
def _scratch() -> str:
    """A folder for fonts in use; it goes with the process that made it, whatever became of those forked from it."""
    place, made_by = tempfile.mkdtemp(prefix="wareboard-"), os.getpid()
    atexit.register(lambda: os.getpid() == made_by and shutil.rmtree(place, ignore_errors=True))
    return place


@cache
def _font_configuration():
    _engine()
    from weasyprint.text.fonts import FontConfiguration

    class Fonts(FontConfiguration):
        def add_font_face(self, rule_descriptors, url_fetcher):
            if self._folder is None:  # the library's own would be left behind by a process that is killed or forked
                self._folder = Path(tempfile.mkdtemp(dir=_scratch()))
            super().add_font_face(rule_descriptors, url_fetcher)

        def __del__(self):
            """Its folder goes with the process."""

    return Fonts()


@cache
def _style(css: str, own_fonts: tuple[Path, ...]):
    return _engine().CSS(
        string=f"{faces.face_rules(own_fonts)}\n{css.replace('FACES', faces.face_list(own_fonts))}",
        base_url=f"{TEMPLATES.as_uri()}/", url_fetcher=_fetcher(own_fonts), font_config=_font_configuration(),
    )  # fmt: skip


# A link to anywhere but the net, post or the card itself would be written as a place on this machine's disk.
_LEADS_ASTRAY = re.compile(r"""(<a\b[^>]*?)\shref\s*=\s*(["'])(?!https?://|mailto:|\#)[^"']*\2""", re.I)


def _lay_out(card: CardText):
    """The card's pages, set and not yet written."""
    style = _style(card.css, card.own_fonts)
    html = card.html.replace(FACE, faces.face_list(card.own_fonts).replace('"', "'"))
    html = _LEADS_ASTRAY.sub(r"\1", html)
    page = _engine().HTML(string=html, base_url=f"{TEMPLATES.as_uri()}/", url_fetcher=_fetcher())
    document = page.render(stylesheets=[style], font_config=_font_configuration(), pdf_variant=VARIANT)
    document.metadata.generator = MADE_BY
    _check_words(card, document)
    return document


# Smallest words, 7 pt in CSS pixels; common practice in print. A drawing keeps its own lettering's size.
LEAST_PX = 7.0 / 0.75
UNSEEN_PX = 2.0  # what is there for the running head or a reader aloud alone
DUST_PX = 0.5


def _check_words(card: CardText, document) -> None:
    """Look over the pages as they are laid out. Raises: CardUnreadable, words are cut by an edge or too small to read."""
    for page in document.pages:
        edges = (0.0, 0.0, page.width, page.height)
        for box in _boxes(page._page_box):
            words = getattr(box, "text", None)
            if words:
                if not any(map(str.isalpha, words)):
                    continue  # figures of a fraction belong to a larger size
                size = box.style["font_size"]
                left, top, right, bottom = (
                    box.position_x,
                    box.position_y,
                    box.position_x + box.width,
                    box.position_y + box.height,
                )
                cut = left < edges[0] - DUST_PX or top < edges[1] - DUST_PX or right > edges[2] + DUST_PX or bottom > edges[3] + DUST_PX  # fmt: skip
                if cut:
                    raise CardUnreadable(
                        f"{card.title}: `{words.strip()[:60]}` is cut off at the edge of the paper; shorten the name"
                    )
                if UNSEEN_PX < size < LEAST_PX - 0.08:
                    raise CardUnreadable(
                        f"{card.title}: `{words.strip()[:60]}` is set in {size * 0.75:.1f} pt; under 7 pt nobody reads it"
                    )


def _boxes(box):
    """A laid-out box and all in it."""
    box = getattr(box, "_box", box)  # what stands at a place of its own is wrapped
    yield box
    for child in getattr(box, "children", ()):
        yield from _boxes(child)


def render_pdf(card: CardText) -> bytes:
    """One card as a PDF. Raises: CardsUnavailable."""
    return _lay_out(card).write_pdf(pdf_variant=VARIANT)


# Where a card stands in a deck's bookmarks: what is above it, itself last.
Mark = tuple[str, ...]


def render_deck(cards: Sequence[CardText], title: str, marks: Sequence[Mark] | None = None) -> bytes:
    """Many cards as one PDF, in the order given, with bookmarks.

    Args:
        cards: at least one; about a hundred at most, as all their pages are held at once.
        title: the PDF's own.
        marks: each card's place in the bookmarks, `("Tea caddy", "wheel")`; its own heading unless given.
    Raises: CardsUnavailable; ValueError, no card.
    """
    return _write_deck([_lay_out(card) for card in cards], title, marks)


def render_both(
    cards: Sequence[CardText], title: str, marks: Sequence[Mark] | None = None
) -> tuple[tuple[bytes, ...], bytes]:
    """Each card's own PDF and the deck of them all, from pages that are laid out once.

    Raises: CardsUnavailable; ValueError, no card.
    """
    laid_out = [_lay_out(card) for card in cards]
    return tuple(document.write_pdf(pdf_variant=VARIANT) for document in laid_out), _write_deck(laid_out, title, marks)


def _write_deck(laid_out, title: str, marks: Sequence[Mark] | None) -> bytes:
    """One PDF of the pages of many documents."""
    if not laid_out:
        raise ValueError("a deck needs at least one card")
    if marks is not None:
        _set_marks(laid_out, marks)
    deck = laid_out[0].copy([page for document in laid_out for page in document.pages])
    deck.metadata = copy.copy(deck.metadata)
    deck.metadata.title, deck.metadata.description = title, None
    return deck.write_pdf(pdf_variant=VARIANT)


def _set_marks(laid_out, marks: Sequence[Mark]) -> None:
    """One bookmark a card, below what it shares with the card before."""
    last: Mark = ()
    for document, mark in zip(laid_out, marks, strict=True):
        first, *others = document.pages
        top = first.bookmarks[0][2] if first.bookmarks else (0.0, 0.0)
        # What a card is called stands for itself even where two forms have one title.
        shared = next(
            (level for level, (own, before) in enumerate(zip(mark[:-1], last, strict=False)) if own != before),
            min(len(mark) - 1, len(last)),
        )
        first.bookmarks = [(level + 1, mark[level], top, "open") for level in range(shared, len(mark))]
        for page in others:
            page.bookmarks = []
        last = mark
