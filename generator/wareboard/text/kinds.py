"""Kinds of value: what may be typed for a key, how it is read with every problem at its place, how it is said.

Each kind serves the reader, the JSON Schema and the reference on the site.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from abc import abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar, overload

from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.measures import any_of
from wareboard.text.plain import tidy_name
from wareboard.text.problems import Position, Problem, error, format_words, nearest_word, place_within, warning

Value = TypeVar("Value")
Other = TypeVar("Other")

NAME_SIGNS = " -'’.,()+/&#½¼¾"
# So that no file, however it came about, takes longer than a few seconds to read and to draw. Said in the reference.
MOST_TOLD = source.MOST_TOLD  # problems of one file
LONGEST_PROSE = 2_000  # characters of a line for a card
LONGEST_NOTES = 20_000
MOST_MARKS = 1_000  # in notes, of each of these
_MARKS = "[*_`<"
MOST_BARS = 2_000  # of tables in notes
# In notes; scripts without spaces break anywhere.
LONGEST_WORD = 1_000
_LONG_WORD = re.compile(r"[^\s\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u2e80-\uffff]{%d}" % (LONGEST_WORD + 1))
MOST_NOTE_LINES = 500  # ten pages of a bench sheet
DEEPEST_NOTES = 20  # lists and quotations in one another
MOST_ITEMS = 2_000  # of a list
MOST_NAMES = 100  # of the maker's own, in one place


class Word(str):
    """A piece of a maker's text that knows where it stands."""

    __slots__ = ("at",)

    at: Position

    def __new__(cls, text: str, at: Position) -> Word:
        """The text at its place."""
        word = str.__new__(cls, text)
        word.at = at
        return word


class Size(NamedTuple):
    """A measure as typed: `value` in the kind's base unit (mm, g, ml, a share of 1, g/cm3, …).

    `stage` is the stage word that followed it, or None; `of` is `dry` for `6 % of dry`.
    """

    value: float
    stage: str | None
    of: str | None
    typed: str
    at: Position


class ByName(Mapping[Word, Value]):
    """What a maker named, by name: each name knows its place, and any text finds what is named so.

    Says of a record's field how it may be used; what stands there is a plain `dict`.
    """

    @abstractmethod
    def __getitem__(self, name: str, /) -> Value:
        """What is named so. Raises KeyError."""

    @overload
    def get(self, name: str, /) -> Value | None:
        """What is named so, or None."""

    @overload
    def get(self, name: str, otherwise: Other, /) -> Value | Other:
        """What is named so, or something else."""

    def get(self, name: str, otherwise: Other | None = None, /) -> Value | Other | None:
        """What is named so, or something else."""
        return self.get(name, otherwise)


@dataclass(slots=True)
class Reading:
    """What reading one file needs and gathers; `slug` is that of the file itself.

    `unread` holds every name that stands in what could not be read, so that nobody calls it missing; `top` is all that
    was typed, for hints with a maker's own names.
    """

    unit: str = "mm"
    fluid_ounce: str | None = None
    problems: list[Problem] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)
    untold: int = 0
    slug: str = ""
    top: source.Mapping | None = None

    def own(self, *path: str) -> list[str]:
        """The names that stand at a place of the file: `parts`, `jar`, `calipers`."""
        node = self._at(path)
        return [name.text for name, _ in node.entries] if isinstance(node, source.Mapping) else []

    def typed(self, *path: str) -> str:
        """The text that stands at a place of the file; empty where there is none."""
        node = self._at(path)
        return node.text if isinstance(node, source.Text) else ""

    def _at(self, path: Iterable[str]) -> source.Node | None:
        node: source.Node | None = self.top
        for word in path:
            node = node.get(word) if isinstance(node, source.Mapping) else None
        return node

    def refuse(self, rule: str, at: Position, path: str, message: str, hint: str = "") -> None:
        """Note an error at a place; the path is said first."""
        if len(self.problems) >= MOST_TOLD:
            self.untold += 1
            return
        self.problems.append(error(rule, at, f"{path}: {message}" if path else message, hint))

    def warn(self, rule: str, at: Position, path: str, message: str, hint: str = "") -> None:
        """Note what a maker would want to know of; the file is read all the same."""
        if len(self.problems) < MOST_TOLD:
            self.problems.append(warning(rule, at, f"{path}: {message}" if path else message, hint))

    def near(self, word: str, words: Iterable[str]) -> str | None:
        """The word that was most likely meant; none any more once so much is wrong that nobody reads it."""
        return nearest_word(word, words) if len(self.problems) < MOST_TOLD else None

    def all_problems(self) -> list[Problem]:
        """What was noted, and how much more there is."""
        if not self.untold:
            return self.problems
        more = error(
            "too-many-problems",
            self.problems[-1].at,
            f"this file has {self.untold:,} more problems, which are not told",
            "mend those above first",
        )
        return [*self.problems, more]


class Kind:
    """Base of the kinds of value. `said` names what may be typed, in the manual's words."""

    @property
    def said(self) -> str:
        """What may be typed, in the manual's words."""
        raise NotImplementedError

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """The value, or None with its problem noted in `reading`."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """This kind as JSON Schema."""
        raise NotImplementedError

    def shown(self, example: str, reading: Reading) -> str:
        """A key's example as it would be typed into this file, with its unit and its names."""
        return example

    def records(self) -> Iterator[type]:
        """Record classes that this kind leads to, for the manual."""
        return iter(())


def read_text(node: source.Node, path: str, reading: Reading, wanted: Kind | str) -> source.Text | None:
    """The node as a text that is not empty, else its problem is noted; `wanted` is what may be typed, or the kind that says it."""
    if isinstance(node, source.Text) and node.text and not node.text.isspace():
        return node
    said = wanted if isinstance(wanted, str) else wanted.said
    if not isinstance(node, source.Text):
        listed = isinstance(node, source.Listing)
        hint = "" if listed else "put quotes around a text that starts with `{` or has a `: ` in it"
        reading.refuse(
            "wrong-shape",
            node.at,
            path,
            f"{said} is wanted here, this is {'a list' if listed else 'lines of `key: value`'}",
            hint,
        )
        return None
    reading.refuse("no-value", node.at, path, "there is no value", f"write {said}, or take the line out")
    return None


@frozen
class Name(Kind):
    """A short text for titles and codes; letters of any script, digits and a few signs."""

    said = "a name"
    longest: int = 60

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, "a name")
        if text is None:
            return None
        name = tidy_name(text.text)
        odd = next((c for c in name if not (c.isalnum() or c in NAME_SIGNS or _joins_letters(c))), None)
        if odd is not None or (re.search(r"&#?\w+;?(?=\S)", name.replace("& ", "")) and "&" in name and ";" in name):
            reading.refuse(
                "odd-name",
                place_within(text.at, text.text, odd or "&"),
                path,
                f"`{odd or '&…;'}` cannot stand in a name",
                f"names hold letters, digits, spaces and {NAME_SIGNS.strip()}",
            )
            return None
        if len(name) > self.longest:
            reading.refuse(
                "long-name",
                text.at,
                path,
                f"this name is {len(name)} characters long; at most {self.longest} fit on a card",
            )
            return None
        _tell_cut(text, path, reading)
        return Word(name, text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["string", "number"], "maxLength": self.longest}


def _tell_cut(text: source.Text, path: str, reading: Reading) -> None:
    """Say that a ` #` has made a comment of a text's end."""
    if not text.cut:
        return
    whole, shown, cut = f"{text.text.strip()} {text.cut}", text.text.strip()[:40], text.cut[:20]
    key = path.rpartition(".")[2]
    before = "- " if key.endswith("]") else f"{key}: "
    written = f"write `{before}{source.quoted(whole)}`" if len(whole) <= 80 else "put all of it in quotes"
    reading.warn(
        "cut-by-hash",
        text.at,
        path,
        f"only `{shown}` is read; `{cut}` behind it is taken for a comment",
        f"{written}, or set a space behind the `#` where it is a comment",
    )


def _joins_letters(character: str) -> bool:
    """Marks that scripts need inside words (vowel signs, combining accents)."""
    return character in "\u200c\u200d" or unicodedata.category(character) in ("Mn", "Mc")


@frozen
class Prose(Kind):
    """Any text at all; what shows it makes it harmless."""

    said = "text"
    longest: int = LONGEST_PROSE

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, "text")
        if text is None:
            return None
        prose = text.text.strip()
        if len(prose) > self.longest:
            reading.refuse(
                "long-text",
                text.at,
                path,
                f"this text is {len(prose):,} characters long; at most {self.longest:,} can stand here",
                "shorten it",
            )
            return None
        _tell_cut(text, path, reading)
        return Word(prose, text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["string", "number", "boolean"], "maxLength": self.longest}


_LIST_MARK = re.compile(r"(?:[-*+]|\d+[.)])\s|>")


@frozen
class Notes(Kind):
    """Text in Markdown, of a shape that can be set in a moment."""

    said = "text in Markdown"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = Prose(LONGEST_NOTES).read(node, path, reading)
        if text is None:
            return None
        mark = max(_MARKS, key=text.count)
        lines = [line for line in text.split("\n") if line.strip()]
        deepest = max(map(_depth, lines), default=0)
        if text.count(mark) > MOST_MARKS:
            said, do = f"{text.count(mark):,} marks `{mark}`; at most {MOST_MARKS:,} can be set", "take some out"
        elif text.count("|") > MOST_BARS:
            said, do = f"{text.count('|'):,} bars `|` of tables; at most {MOST_BARS:,} can be set", "take some out"
        elif _LONG_WORD.search(text):
            said, do = f"words of more than {LONGEST_WORD:,} letters", "part them"
        elif len(lines) > MOST_NOTE_LINES:
            said, do = f"{len(lines):,} lines; at most {MOST_NOTE_LINES:,} can be set", "take some out"
        elif deepest > DEEPEST_NOTES:
            said = f"lists or quotations set in {deepest} deep; at most {DEEPEST_NOTES} can be set"
            do = "set fewer of them into one another"
        else:
            return text
        reading.refuse("unsettable-notes", text.at, path, f"there are {said}", do)
        return None

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["string", "number", "boolean"], "maxLength": LONGEST_NOTES}


def _depth(line: str) -> int:
    """How deep a line of Markdown may stand in lists and quotations: each takes a mark, or two columns."""
    marks, at = 0, 0
    stripped = line.lstrip(" ")
    while found := _LIST_MARK.match(stripped, at):
        marks += 1
        at = found.end()
        while stripped[at : at + 1] == " ":
            at += 1
    set_in = (len(line) - len(stripped)) // 2 if marks else 0
    return marks + set_in


@frozen
class Slug(Kind):
    """The name of another file of the studio."""

    folder: str

    @property
    def said(self) -> str:
        """See Kind."""
        return f"a file's name in `specs/{self.folder}/`, without `.yaml`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, "a file's name")
        return None if text is None else Word(text.text.strip(), text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"$ref": f"#/$defs/{self.folder}"}


@frozen
class Choice(Kind):
    """One of a few words; `also` holds what makers say for some of them, which a hint answers."""

    words: tuple[str, ...]
    also: tuple[tuple[str, str], ...] = ()

    @property
    def said(self) -> str:
        """See Kind."""
        return format_words(f"`{word}`" for word in self.words)

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if isinstance(node, source.Text) and node.text in self.words:
            return Word(node.text, node.at)
        text = read_text(node, path, reading, format_words(self.words))
        if text is None:
            return None
        word = " ".join(text.text.split())
        if word not in self.words:
            near = dict(self.also).get(word.casefold()) or reading.near(word, self.words)
            hint = f"did you mean `{near}`?" if near else ""
            reading.refuse(
                "unknown-word",
                text.at,
                path,
                f"`{word[:40]}` is not known here; it is {format_words(self.words)}",
                hint,
            )
            return None
        return Word(word, text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"enum": [*self.words, *(int(word) for word in self.words if word.isdigit())]}


@frozen
class Whole(Kind):
    """A whole number of things."""

    said = "a whole number"
    least: int = 0
    most: int = 100_000

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        word = text.text.strip()
        if not re.fullmatch(r"[0-9]{1,9}", word) or not self.least <= int(word) <= self.most:
            started = re.match(r"[0-9]{1,9}(?=\s*[a-zA-Z])", word)
            within = started is not None and self.least <= int(started[0]) <= self.most
            hint = f"did you mean `{started[0]}`?" if started and within else ""
            reading.refuse(
                "not-whole",
                text.at,
                path,
                f"`{word[:40]}` is not a whole number from {self.least} to {self.most}",
                hint,
            )
            return None
        return int(word)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        typed = {"type": ["integer", "string"], "pattern": "^\\s*[0-9]{1,9}\\s*$"}
        return {**typed, "minimum": self.least, "maximum": self.most}


@frozen
class Day(Kind):
    """A date, year first."""

    said = "a date, like `2026-03-14`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        try:
            if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text.text.strip()):
                raise ValueError
            return datetime.date.fromisoformat(text.text.strip())
        except ValueError:
            meant = _day_meant(text.text.strip()[:40])
            reading.refuse(
                "not-a-date",
                text.at,
                path,
                f"`{text.text.strip()[:40]}` is not a date",
                f"did you mean `{meant}`?" if meant else "write year, month and day: 2026-03-14",
            )
            return None

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": "string", "format": "date", "pattern": "^\\s*[0-9]{4}-[0-9]{2}-[0-9]{2}\\s*$"}


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def _day_meant(text: str) -> str | None:
    """The date of a text that has it in another order: 14 May 2027, 14.5.2027; None where day and month can't be told apart."""
    words = re.findall(r"\d+|[a-z]+", text.casefold())
    numbers = [int(word) for word in words if word.isdigit()]
    named = [_MONTHS.index(word[:3]) + 1 for word in words if word[:3] in _MONTHS]
    years = [number for number in numbers if 1900 < number < 2200]
    rest = [number for number in numbers if number not in years]
    if len(years) != 1 or len(rest) + len(named) != 2 or len(named) > 1:
        return None
    if named:
        month, day = named[0], rest[0]
    elif numbers[0] == years[0] or (max(rest) > 12 and rest[1] > 12):
        month, day = rest
    elif "." in text or max(rest) > 12:
        day, month = rest
    else:
        return None
    try:
        return datetime.date(years[0], month, day).isoformat()
    except ValueError:
        return None


@frozen
class Flag(Kind):
    """Yes or no."""

    said = "`true` or `false`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        word = text.text.strip().casefold()
        if word not in ("true", "yes", "false", "no"):
            reading.refuse("unknown-word", text.at, path, f"`{word[:40]}` is neither true nor false")
            return None
        return word in ("true", "yes")

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["boolean", "string"], "pattern": f"^\\s*(?:{any_of(('true', 'false', 'yes', 'no'))})\\s*$"}
