"""Kinds made of other kinds: lists, entries under names of the maker's own, either of two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.kinds import MOST_ITEMS, MOST_NAMES, Kind, Reading, Word
from wareboard.text.plain import folded_name, is_name, tidy_name
from wareboard.text.problems import Position, format_words


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
            hint = "leave out the `- ` before each" if isinstance(node, source.Listing) else ""
            reading.refuse("wrong-shape", node.at, path, f"lines of `{self.names}: …` are wanted here", hint)
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

    def shown(self, example: str, reading: Reading) -> str:
        """See Kind."""
        return (self.nested if example.startswith(("{", "[")) else self.text).shown(example, reading)

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if isinstance(node, source.Listing) and not isinstance(self.nested, ListOf):
            reading.refuse("wrong-shape", node.at, path, f"this is a list; write {self.said}")
            return None
        if not isinstance(node, source.Text):
            return self.nested.read(node, path, reading)
        before = len(reading.problems)
        value = self.text.read(node, path, reading)
        told = reading.problems[before:]
        if value is None and len(told) == 1 and told[0].rule == "unknown-word":
            reading.problems[-1] = replace(told[0], message=f"{told[0].message}, or {self.nested.said}")
        return value

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
