"""Where a cursor stands in a spec that is being typed: the keys above it, and what is typed of the word under it.

A text that is half typed is no YAML, so this looks at lines and brackets only and never fails.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import Kind
from wareboard.text.records import Key, Nested, keys_of

_KEY = re.compile(r"^(?P<margin> *(?:- +)*)(?P<key>[^\s#{}\[\],:][^#{}\[\],:]*?) *:(?= |$)")
_BRACES = re.compile(r" *(?:- +)+(?=\{[^}]*$)")
_WORD = re.compile(r"[^\s,{}\[\]:]*$")


class Spot(NamedTuple):
    """A place in a spec. `above` are the keys that lead to it, from the top of the file.

    Where a key is being typed `key` is None; else it is the key whose value is. `typed` is what stands of the word
    before the cursor, `start` the column, from 0, at which it begins.
    """

    above: tuple[str, ...]
    key: str | None
    typed: str
    start: int


def spot_at(text: str, line: int, column: int) -> Spot:
    """Where a cursor stands.

    Args:
        text: the file as it is typed so far.
        line: from 0.
        column: characters before the cursor on its line.
    >>> spot_at("parts:\\n  cup:\\n    wa", 2, 6)
    Spot(above=('parts', 'cup'), key=None, typed='wa', start=4)
    >>> spot_at("parts:\\n  cup:\\n    outside: {foot: {height: 0, di", 2, 34)
    Spot(above=('parts', 'cup', 'outside', 'foot'), key=None, typed='di', start=32)
    >>> spot_at("clay: mill", 0, 10)
    Spot(above=(), key='clay', typed='mill', start=6)
    >>> spot_at("lines:\\n  - {form: tea", 1, 14)
    Spot(above=('lines',), key='form', typed='tea', start=11)
    """
    lines = text.split("\n")
    here = lines[line][:column] if line < len(lines) else ""
    found = _KEY.match(here)
    margin = len(found["margin"]) if found else len(here) - len(here.lstrip(" -"))
    above = _keys_above(lines[:line], margin)
    typed = _WORD.search(here)[0]  # type: ignore[index]
    start = len(here) - len(typed)
    if not found and above and (item := _BRACES.match(here)):
        # An item of a list, all of it in braces on one line.
        inner, key = _within(here[item.end() :])
        return Spot((*above, *inner), key, typed, start)
    if not found:
        # An item of a plain list is a value of the list's key.
        listed = here.lstrip().startswith("-") and above
        return Spot(above[:-1], above[-1], typed, start) if listed else Spot(above, None, typed, start)
    inner, key = _within(here[found.end() :])
    if key is None and not inner and "{" not in here[found.end() :]:
        return Spot(above, found["key"], typed, start)
    return Spot((*above, found["key"], *inner), key, typed, start)


def _keys_above(lines: list[str], margin: int) -> tuple[str, ...]:
    """The keys of the lines that the place is set in below, outermost first."""
    keys: list[str] = []
    for line in reversed(lines):
        found = _KEY.match(line)
        if found and len(found["margin"]) < margin:
            margin = len(found["margin"])
            keys.append(found["key"])
    return tuple(reversed(keys))


def _within(rest: str) -> tuple[tuple[str, ...], str | None]:
    """The keys of the brackets that are still open behind a line's own key, and the key whose value is being typed."""
    keys: list[str | None] = []
    key: str | None = None
    word = ""
    for sign in rest:
        if sign in "{[":
            keys.append(key)
            key, word = None, ""
        elif sign in "}]":
            if keys:
                key = keys.pop()
            word = ""
        elif sign == ",":
            key, word = None, ""
        elif sign == ":":
            key, word = word.strip(), ""
        else:
            word += sign
    return tuple(name for name in keys if name), key


def keys_at(record: type, above: tuple[str, ...]) -> dict[str, Key]:
    """The keys that can be typed at a place of a spec; empty where names are the maker's own or nothing fits.

    >>> from wareboard.text.specs import Form
    >>> sorted(keys_at(Form, ("parts", "cup", "outside", "foot")))
    ['corner', 'diameter', 'height']
    """
    kind: Kind | None = Nested(record)
    for name in above:
        kind = _below(kind, name)
    nested = _records_in(kind)
    return {name: key for reached in nested for name, key in keys_of(reached).items()}


def kind_at(record: type, above: tuple[str, ...], key: str) -> Kind | None:
    """The kind of value that a key has at a place, or None."""
    kind: Kind | None = Nested(record)
    for name in (*above, key):
        kind = _below(kind, name)
    return kind


def _below(kind: Kind | None, name: str) -> Kind | None:
    if isinstance(kind, Nested):
        known = keys_of(kind.record).get(name)
        return known.kind if known else None
    if isinstance(kind, MapOf):
        return kind.item
    if isinstance(kind, ListOf):
        return _below(kind.item, name)
    if isinstance(kind, Either):
        return _below(kind.nested, name)
    return None


def _records_in(kind: Kind | None) -> list[type]:
    if isinstance(kind, Nested):
        return [kind.record]
    if isinstance(kind, ListOf):
        return _records_in(kind.item)
    if isinstance(kind, Either):
        return _records_in(kind.nested)
    return []
