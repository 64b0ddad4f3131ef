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
from wareboard.text import source, units
from wareboard.text.measures import BARE, any_of, size_pattern
from wareboard.text.plain import folded_name, is_name, tidy_name
from wareboard.text.problems import Position, Problem, error, format_words, nearest_word, place_within, warning

Value = TypeVar("Value")
Other = TypeVar("Other")

NAME_SIGNS = " -'’.,()+/&#½¼¾"
# So that no file, however it came about, takes longer than a few seconds to read and to draw. Said in the reference.
MOST_TOLD = source.MOST_TOLD  # problems of one file
LONGEST_PROSE = 2_000  # characters of a line for a card
LONGEST_NOTES = 20_000
MOST_BRACKETS = 1_000  # in notes
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
        node: source.Node | None = self.top
        for word in path:
            node = node.get(word) if isinstance(node, source.Mapping) else None
        return [name.text for name, _ in node.entries] if isinstance(node, source.Mapping) else []

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
    key, shown, cut = path.rpartition(".")[2], text.text.strip()[:40], text.cut[:20]
    reading.warn(
        "cut-by-hash",
        text.at,
        path,
        f"only `{shown}` is read; `{cut}` behind it is taken for a comment",
        f"write `{key}: {source.quoted(f'{shown} {cut}')}`, or set a space behind the `#` where it is a comment",
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
        brackets = text.count("[")
        deepest = max(map(_depth, text.split("\n")))
        if brackets > MOST_BRACKETS:
            said, do = f"{brackets:,} brackets `[`; at most {MOST_BRACKETS:,} can be set", "take some out"
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


_EXAMPLES = {
    "length": "90 mm", "mass": "540 g", "volume": "350 ml", "share": "12 %", "density": "1.95 g/cm3",
    "areal": "0.9 kg/m2", "area": "84 cm2", "time": "14 h", "temperature": "1240 C", "number": "1.03", "price": "34.00",
}  # fmt: skip
_SAID_MEASURES = {
    "length": "a length", "mass": "a weight", "volume": "a volume", "share": "a percentage", "density": "a density",
    "areal": "a weight by area", "area": "an area", "time": "a time", "temperature": "a temperature", "number": "a number", "price": "a price",
}  # fmt: skip


@frozen
class Measure(Kind):
    """A size: number and unit, perhaps a stage. Limits are in the base unit of the kind; a share may be `taken_of` some stages, or in `points`."""

    of: str
    least: float = 0.0
    most: float = float("inf")
    above: bool = False
    staged: bool = False
    taken_of: tuple[str, ...] = ()
    points: bool = False

    @property
    def said(self) -> str:
        """See Kind."""
        return f"{_SAID_MEASURES[self.of]}, like `{_EXAMPLES[self.of]}`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        unit = reading.unit if self.of == "length" else None
        try:
            found = units.parse_quantity(
                text.text, self.of, unit=unit, fluid_ounce=reading.fluid_ounce, stage_allowed=self.staged, taken_of=self.taken_of, points=self.points,
            )  # fmt: skip
        except units.SizeError as fault:
            reading.refuse("unreadable-size", text.at, path, fault.message, fault.hint)
            return None
        if not self._fits(found.value):
            reading.refuse(
                "size-out-of-range", text.at, path, f"`{text.text.strip()[:40]}` cannot be; {self._range()} here"
            )
            return None
        return Size(found.value, found.stage, found.of, text.text.strip(), text.at)

    def _fits(self, value: float) -> bool:
        lowest = value > self.least if self.above else value >= self.least
        return lowest and value <= self.most

    def _range(self) -> str:
        low = f"{'more than' if self.above else 'at least'} {self._shown(self.least)}"
        most = f" and at most {self._shown(self.most)}" if self.most < float("inf") else ""
        return f"{_SAID_MEASURES[self.of]} is {low}{most}"

    def _shown(self, value: float) -> str:
        return f"{value * 100:g} %" if self.of == "share" else f"{value:g} {_BASE_UNITS[self.of]}".strip()

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        pattern = size_pattern(self.of, staged=self.staged, whole=self.of == "share" and self.most <= 1.0)
        return {"type": ["number", "string"] if self.of in BARE else "string", "pattern": pattern}


_BASE_UNITS = {
    "length": "mm",
    "mass": "g",
    "volume": "ml",
    "density": "g/cm3",
    "areal": "kg/m2",
    "area": "m2",
    "time": "h",
    "temperature": "C",
    "number": "",
    "price": "",
}


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


@frozen
class ListOf(Kind):
    """A list of one kind; a single value serves where `or_one`."""

    item: Kind
    or_one: bool = False
    most: int = MOST_ITEMS

    @property
    def said(self) -> str:
        """See Kind."""
        return f"a list, each {self.item.said}" + (", or one alone" if self.or_one else "")

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if self.or_one and not isinstance(node, source.Listing):
            value = self.item.read(node, path, reading)
            return None if value is None else (value,)
        if not isinstance(node, source.Listing):
            reading.refuse(
                "wrong-shape", node.at, path, "a list is wanted here", "write each on a line of its own, behind `- `"
            )
            return None
        if len(node.items) > self.most:
            refuse_many(len(node.items), self.most, "lines", node.items[self.most].at, path, reading)
            return None
        values = (self.item.read(item, f"{path}[{number}]", reading) for number, item in enumerate(node.items, 1))
        return tuple(value for value in values if value is not None)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        listed = {"type": "array", "items": self.item.schema()}
        return {"anyOf": [self.item.schema(), listed]} if self.or_one else listed

    def records(self) -> Iterator[type]:
        """See Kind."""
        return self.item.records()


def refuse_many(count: int, most: int, what: str, at: Position, path: str, reading: Reading) -> None:
    """Note that there is more of something than can be worked with."""
    reading.refuse("too-many", at, path, f"there are {count:,} {what}; at most {most:,} can be worked with", "")


@frozen
class MapOf(Kind):
    """Lines of `name: value` where the names are the maker's own."""

    item: Kind
    names: str = "name"
    reserved: frozenset[str] = frozenset()
    choices: tuple[str, ...] = ()
    most: int = MOST_NAMES

    @property
    def said(self) -> str:
        """See Kind."""
        return f"lines of `{self.names}: …`, each {self.item.said}"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if not isinstance(node, source.Mapping):
            reading.refuse("wrong-shape", node.at, path, f"lines of `{self.names}: …` are wanted here")
            return None
        if len(node.entries) > self.most:
            refuse_many(len(node.entries), self.most, f"{self.names}s", node.entries[self.most][0].at, path, reading)
            return None
        values: dict[Word, Any] = {}
        first: dict[str, source.Text] = {}
        for place, (name, value_node) in enumerate(node.entries):
            if tell_comma(node, place, path, reading):
                continue
            taken = self._takes(name, path, reading, first)
            value = self.item.read(value_node, f"{path}.{name.text}", reading) if taken else None
            if value is None:
                reading.unread.update((name.text, *names_in(value_node)))
            else:
                values[Word(tidy_name(name.text), name.at)] = value
        return values

    def _takes(self, name: source.Text, path: str, reading: Reading, first: dict[str, source.Text]) -> bool:
        if self.choices:
            if name.text in self.choices:
                return True
            near = reading.near(name.text, self.choices)
            hint = f"did you mean `{near}`?" if near else f"there are {format_words(self.choices, 'and')}"
            reading.refuse("unknown-key", name.at, path, f"there is no `{name.text[:40]}` here", hint)
            return False
        tidy = tidy_name(name.text)
        folded = folded_name(tidy)
        if not is_name(tidy) or len(tidy) > 40:
            reading.refuse(
                "odd-name",
                name.at,
                path,
                f"`{name.text[:40]}` cannot be the name of a {self.names}",
                "use letters, digits, spaces, - and _",
            )
            return False
        if folded in self.reserved:
            reading.refuse(
                "reserved-name",
                name.at,
                path,
                f"`{tidy}` is the name of a figure, so no {self.names} can have it",
                f"did you mean `{tidy}-1`?",
            )
            return False
        if folded in first:
            reading.refuse(
                "repeated-key",
                name.at,
                path,
                f"`{tidy}` and `{first[folded].text}` on line {first[folded].at.line} are one name",
                "keep one of the two, or give one of them another name",
            )
            return False
        first[folded] = name
        return True

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        if self.choices:
            return {
                "type": "object",
                "properties": {name: self.item.schema() for name in self.choices},
                "additionalProperties": False,
            }
        return {"type": "object", "additionalProperties": self.item.schema()}

    def records(self) -> Iterator[type]:
        """See Kind."""
        return self.item.records()


@frozen
class Either(Kind):
    """A text of one kind, or lines or a list of another."""

    text: Kind
    nested: Kind

    @property
    def said(self) -> str:
        """See Kind."""
        return f"{self.text.said}; or {self.nested.said}"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if isinstance(node, source.Listing) and not isinstance(self.nested, ListOf):
            reading.refuse("wrong-shape", node.at, path, f"this is a list; write {self.said}")
            return None
        chosen = self.text if isinstance(node, source.Text) else self.nested
        return chosen.read(node, path, reading)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"anyOf": [self.text.schema(), self.nested.schema()]}

    def records(self) -> Iterator[type]:
        """See Kind."""
        yield from self.text.records()
        yield from self.nested.records()


def tell_comma(node: source.Mapping, place: int, path: str, reading: Reading) -> bool:
    """Note the digits that a decimal comma in braces has made a key of; True where there are such."""
    meant = source.parted_by_comma(node, place)
    if meant is None:
        return False
    _key, number = meant
    typed = number.replace(".", ",")
    at, begin = node.entries[place][0].at, node.entries[place - 1][1].at
    if at.line == begin.line:
        at = begin._replace(width=at.column + at.width - begin.column)
    reading.refuse(
        "decimal-comma", at, path, f"`{typed}` has a comma, which parts two keys here", f"did you mean `{number}`?"
    )
    return True


def names_in(node: source.Node) -> Iterator[str]:
    """Every key that stands in a node."""
    if isinstance(node, source.Listing):
        for item in node.items:
            yield from names_in(item)
    elif isinstance(node, source.Mapping):
        for name, value_node in node.entries:
            yield name.text
            yield from names_in(value_node)
