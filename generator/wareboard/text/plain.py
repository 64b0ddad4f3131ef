"""The gate that all text passes: on its way in, what no spec may hold; on its way out, what a terminal or a table must not be handed."""

from __future__ import annotations

import codecs
import re
import unicodedata
from functools import lru_cache
from io import TextIOWrapper

# Controls but for tab and new line, and the signs that turn the direction of what stands after them.
_HARMFUL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
# Unseen, and yet scripts need them: joiners inside words, marks of direction beside them.
_UNSEEN = frozenset("\u200c\u200d\u200e\u200f\u061c")
_BEGINS_FORMULA = frozenset("=+-@\t\r")
_ENDS_CELL = re.compile(r"[;\t\r\n]")
_FORMULA = re.compile(r"(^|[;\t\r\n]\s*)([=+\-@\t\r])")
_NAMES = {"\u2028": "a line separator", "\u2029": "a paragraph separator", "\ufeff": "a byte order mark"}


def harmful(text: str) -> tuple[int, str] | None:
    """Where in a text a character stands that nobody should be handed, and what it is; None where there is none.

    >>> harmful("Jar\\u202e3"), harmful("Jar 3")
    ((3, 'U+202E, which turns the direction of writing,'), None)
    """
    found = None if text.isprintable() else _HARMFUL.search(text)
    if found is None:
        return None
    sign = found[0]
    said = f"U+{ord(sign):04X}"
    if "\u202a" <= sign <= "\u202e" or "\u2066" <= sign <= "\u2069":
        said += ", which turns the direction of writing,"
    elif sign in _NAMES:
        said += f", {_NAMES[sign]},"
    return found.start(), said


def escaped(text: str) -> str:
    """A text for one line of a terminal: what can't be seen, or would steer the terminal, is written out.

    >>> escaped("Jar\\x1b[2J"), escaped("कप")
    ('Jar<U+001B>[2J', 'कप')
    """
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() or sign in _UNSEEN else f"<U+{ord(sign):04X}>" for sign in text)


def escaped_lines(text: str) -> str:
    """As `escaped`, for a text of several lines."""
    return "\n".join(map(escaped, text.split("\n")))


def width(text: str) -> int:
    """How many columns of a terminal a text takes: none for a mark above a letter, two for a wide letter.

    >>> width("cup"), width("碗"), width("e\\u0301")
    (3, 2, 1)
    """
    if text.isascii():
        return len(text)
    return sum(
        0
        if sign in _UNSEEN or unicodedata.category(sign) in ("Mn", "Me", "Cf")
        else 2
        if unicodedata.east_asian_width(sign) in "WF"
        else 1
        for sign in text
    )


def harmless_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula, whether it parts cells at commas, semicolons or tabs.

    >>> harmless_cell("=HYPERLINK(1)"), harmless_cell("buff; =1+1"), harmless_cell("mean of 8 bars")
    ("'=HYPERLINK(1)", "buff; '=1+1", 'mean of 8 bars')
    """
    if text[:1] not in _BEGINS_FORMULA and not _ENDS_CELL.search(text):  # hardly any text has either
        return text
    return _FORMULA.sub(r"\1'\2", text)


# ---- names of the maker's own ----


@lru_cache(maxsize=4096)  # names come again and again
def tidy_name(text: str) -> str:
    """A name as it is kept: in composed letters, single spaces.

    >>> tidy_name(" inner  rim ")
    'inner rim'
    """
    tidy = " ".join(text.split())
    return tidy if tidy.isascii() else unicodedata.normalize("NFC", tidy)


@lru_cache(maxsize=4096)
def folded_name(text: str) -> str:
    """A name as it is compared: however its letters are composed, whatever their case and the spaces between them.

    >>> folded_name("Inner  Rim") == folded_name("inner rim")
    True
    """
    return tidy_name(text).casefold()


@lru_cache(maxsize=4096)
def is_name(text: str) -> bool:
    """True for letters of any script with the marks that they need, digits, spaces, `-` and `_`, begun by a letter or digit.

    >>> is_name("भीतरी किनारा"), is_name("ขอบใน"), is_name("inner-rim 2"), is_name("-rim"), is_name("a.b")
    (True, True, True, False, False)
    """
    return (
        bool(text)
        and text[0].isalnum()
        and all(
            sign.isalnum() or sign in " -_\u200c\u200d" or unicodedata.category(sign) in ("Mn", "Mc") for sign in text
        )
    )


# ---- terminals that know few letters ----

_SAID_PLAINLY = {
    "−": "-", "–": "-", "—": "-", "…": "...", "×": "x", "±": "+/-", "°": " deg ", "⌀": "dia. ", "Ø": "dia. ", "≤": "<=",
    "≥": ">=", "→": "->", "←": "<-", "≈": "~", "·": ".", "•": "-", "²": "2", "³": "3", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
    "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⁄": "/", "σ": "sigma", "π": "pi", "ρ": "rho", "√": "sqrt ", "∫": "integral ",
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "ß": "ss", "æ": "ae", "ø": "o", "\xa0": " ", "\u202f": " ", "\u2009": " ",
}  # fmt: skip


_SET_FRACTION = re.compile("[⁰¹²³⁴-⁹]+⁄")


def said_plainly(fault: UnicodeError) -> tuple[str, int]:
    """For a stream that lacks a character: the nearest that it has. Known to codecs as `wareboard.plainly`.

    >>> "12 ± 0.5 mm, 3½ in".encode("ascii", "wareboard.plainly")
    b'12 +/- 0.5 mm, 3 1/2 in'
    >>> "1²⁹⁄₃₂ in".encode("ascii", "wareboard.plainly")
    b'1 29/32 in'
    """
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    lacking = fault.object[fault.start : fault.end]
    # 1²⁹⁄₃₂ must not become 129/32.
    apart = " " if _SET_FRACTION.match(lacking) and fault.object[: fault.start][-1:].isdigit() else ""
    return apart + "".join(map(_plainly, lacking)), fault.end


def _plainly(sign: str) -> str:
    if sign in _SAID_PLAINLY:
        return _SAID_PLAINLY[sign]
    return unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode() or "?"


codecs.register_error("wareboard.plainly", said_plainly)


def _plain_ascii(name: str) -> codecs.CodecInfo | None:
    """ASCII by another name: a stream of plain ASCII is taken for a mistake by what writes to it, and handed UTF-8."""
    if name.replace("-", "_") != "plain_ascii":
        return None
    known = codecs.lookup("ascii")
    return codecs.CodecInfo(
        known.encode, known.decode, known.streamreader, known.streamwriter, known.incrementalencoder,
        known.incrementaldecoder, name="plain-ascii",
    )  # fmt: skip


codecs.register(_plain_ascii)


def make_plain(stream: object) -> None:
    """Have a stream show, of a character that it lacks, the nearest that it has; what can't be told so stays as it is."""
    if isinstance(stream, TextIOWrapper):
        ascii_only = codecs.lookup(stream.encoding or "utf-8").name == "ascii"
        stream.reconfigure(encoding="plain_ascii" if ascii_only else None, errors="wareboard.plainly")
