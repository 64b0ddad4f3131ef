"""The language that pages and cards are written in: words from gettext catalogues, numbers and days by the locale.

Who makes output sets the language once (`speaking`), and every room below asks for its words here: `_("{size} too
small").format(size=…)`. What is said in no `speaking` is English: messages, commands, data. English needs no catalogue
and costs nothing; babel, which knows catalogues and locales, is loaded for other languages alone.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache, lru_cache, wraps
from pathlib import Path
from typing import ParamSpec, Protocol, TypeVar

from wareboard import TEMPLATES
from wareboard.pot.frozen import frozen

CATALOGUES = TEMPLATES / "words" / "locale"
NAME = "wareboard"
READ_BY = "X-Read-By"  # a header of each catalogue: who has read it, or `nobody`
ENGLISH = "en"
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

Asked = ParamSpec("Asked")
Told = TypeVar("Told")


class Catalogue(Protocol):
    """What gives words, as gettext has it."""

    def gettext(self, message: str, /) -> str:
        """A message in its language."""

    def ngettext(self, one: str, many: str, count: int, /) -> str:
        """The form of a message that goes with a count."""


@frozen
class Language:
    """A language that output is made in: its tag, its words, and the sign between a number's whole and its decimals.

    `is_read` is false where nobody has read the translation yet; pages say so.
    """

    tag: str
    words: Catalogue
    decimal: str
    is_read: bool = True


_SPOKEN: ContextVar[Language | None] = ContextVar("spoken", default=None)


# ---- words ----


def _(message: str) -> str:
    """A message in the language that is spoken. What is put in is named in braces and put in after: `.format(name=…)`.

    >>> _("trimmed to")
    'trimmed to'
    """
    spoken = _SPOKEN.get()
    return message if spoken is None else spoken.words.gettext(message)


def ngettext(one: str, many: str, count: int) -> str:
    """The form of a message that goes with a count.

    >>> ngettext("{count} piece", "{count} pieces", 2).format(count=2)
    '2 pieces'
    """
    spoken = _SPOKEN.get()
    if spoken is None:
        return one if count == 1 else many
    return spoken.words.ngettext(one, many, count)


def later(message: str) -> str:
    """Marks a message that is asked for by `_` where it is shown; the message itself.

    >>> later("Begin when it reads")
    'Begin when it reads'
    """
    return message


def continued(words: str) -> str:
    """Words that go on behind others: small in English, where no noun is large; as they are in another language.

    >>> continued("An even taper")
    'an even taper'
    """
    return words[:1].lower() + words[1:] if _SPOKEN.get() is None else words


def lowered(words: str) -> str:
    """A heading that goes on in a sentence: small in English; as it is in another language.

    >>> lowered("Clay and glaze dust")
    'clay and glaze dust'
    """
    return words.lower() if _SPOKEN.get() is None else words


# ---- numbers and days ----


def pointed(number: str) -> str:
    """A plain number with the sign that the language has between whole and decimals.

    >>> pointed("3.5")
    '3.5'
    """
    spoken = _SPOKEN.get()
    return number if spoken is None else number.replace(".", spoken.decimal)


def written_day(day: datetime.date) -> str:
    """A day written out; in English as British English has it.

    >>> written_day(datetime.date(2026, 3, 4))
    '4 March 2026'
    """
    spoken = _SPOKEN.get()
    if spoken is None:
        return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
    from babel.dates import format_date

    return format_date(day, "long", locale=_locale_name(spoken.tag))


def written_date(day: datetime.date, *, year: bool = True) -> str:
    """A day with its day of the week, as plans have it.

    >>> written_date(datetime.date(2027, 5, 14))
    'Fri 14 May 2027'
    """
    spoken = _SPOKEN.get()
    if spoken is None:
        return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}" + (f" {day.year}" if year else "")
    from babel.dates import format_skeleton

    return format_skeleton("yMMMMEd" if year else "MMMMEd", day, locale=_locale_name(spoken.tag))


# ---- which language ----


def translation_note() -> str:
    """What a page's foot says of its translation; nothing in English, or once somebody has read it."""
    spoken = _SPOKEN.get()
    return "" if spoken is None or spoken.is_read else _("This translation has been read by nobody yet.")


def spoken_tag() -> str:
    """The language that is spoken, as a tag."""
    spoken = _SPOKEN.get()
    return ENGLISH if spoken is None else spoken.tag


@contextmanager
def speaking(language: str | Language) -> Iterator[None]:
    """Words, numbers and days in a language from here on; English where it has no catalogue.

    Args:
        language: a tag as `language:` of a studio has it, `de` or `de-AT`.
    """
    token = _SPOKEN.set(language if isinstance(language, Language) else find_language(language))
    try:
        yield
    finally:
        _SPOKEN.reset(token)


def neutral(make: Callable[Asked, Told]) -> Callable[Asked, Told]:
    """For what makes data: a table or JSON reads alike whatever language is spoken around it."""

    @wraps(make)
    def made(*args: Asked.args, **kwargs: Asked.kwargs) -> Told:
        with speaking(ENGLISH):
            return make(*args, **kwargs)

    return made


def catalogue_of(tag: str) -> Path | None:
    """The catalogue of a language, or of the one that it is a kind of: `de` for `de-AT`; None for English or where there is none.

    >>> catalogue_of("de-AT").name, catalogue_of("en-GB")
    ('wareboard.po', None)
    """
    pieces = tag.replace("-", "_").split("_")
    found = (CATALOGUES / "_".join(pieces[:count]) / f"{NAME}.po" for count in range(len(pieces), 0, -1))
    return next((path for path in found if path.is_file()), None) if pieces[0].isalnum() else None


@cache
def find_language(tag: str) -> Language | None:
    """A language by its tag; None for English, and for one that there is no catalogue of."""
    path = catalogue_of(tag)
    if path is None:
        return None
    import io

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po
    from babel.numbers import get_decimal_symbol
    from babel.support import Translations

    with path.open("rb") as file:
        catalogue = read_po(file, locale=path.parent.name)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    is_read = dict(catalogue.mime_headers).get(READ_BY, "nobody") != "nobody"
    return Language(tag, Translations(compiled), get_decimal_symbol(_locale_name(tag)), is_read)


@cache
def _locale_name(tag: str) -> str:
    """A tag's locale, or that of its catalogue where nobody knows the tag's."""
    from babel.core import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(tag, sep="-"))
    except (UnknownLocaleError, ValueError):
        path = catalogue_of(tag)
        return path.parent.name if path else ENGLISH


def remembered(most: int | None = None) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """As `functools.lru_cache`, apart for each language: for what has words or numbers in it.

    Args:
        most: how many answers are kept for a language; all unless given.
    """

    def remembering(asked: Callable[Asked, Told]) -> Callable[Asked, Told]:
        kept: dict[str, Callable[..., Told]] = {}

        @wraps(asked)
        def ask(*args: Asked.args, **kwargs: Asked.kwargs) -> Told:
            spoken = _SPOKEN.get()
            tag = ENGLISH if spoken is None else spoken.tag
            if tag not in kept:
                kept[tag] = lru_cache(maxsize=most)(asked)
            return kept[tag](*args, **kwargs)

        return ask

    return remembering
