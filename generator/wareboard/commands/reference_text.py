"""The language reference as plain text: every key, from the declarations that read it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import NamedTuple

from wareboard.text import projects
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import Kind
from wareboard.text.projects import CEILINGS
from wareboard.text.records import Key, Nested, keys_of

WIDTH = 96


class Entry(NamedTuple):
    """One key where it stands: the kind of file, the path to it, what is declared."""

    file: str
    path: str
    key: Key

    @property
    def name(self) -> str:
        """The word that is typed."""
        return self.path.rpartition(".")[2]


def entries(file: str) -> Iterator[Entry]:
    """Every key of a kind of file, in order, each before those below it."""
    yield from _below(file, projects.KINDS[file], "", ())


def _below(file: str, record: type, path: str, trail: tuple[type, ...]) -> Iterator[Entry]:
    if record in trail:
        return
    for name, key in keys_of(record).items():
        here = f"{path}.{name}" if path else name
        yield Entry(file, here, key)
        for below, inner in _records_in(key.kind, here):
            yield from _below(file, inner, below, (*trail, record))


def _records_in(kind: Kind, path: str) -> Iterator[tuple[str, type]]:
    if isinstance(kind, Nested):
        yield path, kind.record
    elif isinstance(kind, MapOf):
        yield from _records_in(kind.item, f"{path}.<{kind.names}>")
    elif isinstance(kind, ListOf):
        yield from _records_in(kind.item, path)
    elif isinstance(kind, Either):
        yield from _records_in(kind.text, path)
        yield from _records_in(kind.nested, path)


def all_entries() -> list[Entry]:
    """Every key of every kind of file."""
    return [entry for file in projects.KINDS for entry in entries(file)]


def place_of(file: str) -> str:
    """Where a kind of file stands."""
    folders = {kind: folder for folder, kind in projects.FOLDERS.items()}
    return f"specs/{folders[file]}/<name>.yaml" if file in folders else f"specs/{file}.yaml"


def render_overview() -> str:
    """What kinds of file there are and their first keys, how sizes are typed, and how much can be read."""
    lines = [
        "The spec language. One key in full: wareboard reference KEY; one kind of file: wareboard reference form",
        "",
    ]
    for file in projects.KINDS:
        words = ", ".join(keys_of(projects.KINDS[file]))
        lines += [
            f"{file:<8} {place_of(file)}",
            *textwrap.wrap(words, WIDTH - 9, initial_indent=" " * 9, subsequent_indent=" " * 9),
        ]
    lines += [
        "",
        "Sizes: 90 · 90 mm · 9 cm · 3 1/2 in · ⌀ 80 · 1 lb 3 oz · 540 g · 350 ml · 12 fl oz US · 12 % · 1.95 g/cm3 · 45 s · 1240 C",
        "       A bare number is in the file's unit. A stage behind it says when it holds: 2 mm wet.",
        "Names: letters of any script, digits, spaces, - and _; whatever their case and spaces, they are the same name.",
        "",
        "As much as is read:",
        *(f"  {what:<32}{most}" for what, most in CEILINGS),
    ]
    return "\n".join(lines)


def render_file(file: str) -> str:
    """Every key of one kind of file, a line or two each, set in as they stand."""
    lines = [f"{file}: {place_of(file)}", ""]
    for entry in entries(file):
        depth = entry.path.count(".")
        head = f"{'  ' * depth}{entry.name}:"
        said = entry.key.doc + (" (must be there)" if entry.key.required else "")
        margin = " " * 30
        wrapped = textwrap.wrap(said, WIDTH - 30)
        lines += [f"{head:<29} {wrapped[0]}" if len(head) < 30 else f"{head}\n{margin}{wrapped[0]}"]
        lines += [margin + line for line in wrapped[1:]]
    return "\n".join(lines)


def render_entry(entry: Entry) -> str:
    """One key in full: where it stands, what it is, what may be typed, an example."""
    key = entry.key
    lines = [
        f"{entry.path}   ({place_of(entry.file)})",
        *_wrapped(key.doc, "  "),
        *_wrapped(f"takes {key.kind.said}", "  "),
    ]
    if key.required:
        lines += ["  must be there"]
    if key.unless_given:
        lines += _wrapped(f"unless given: {key.unless_given}", "  ")
    if key.example:
        lines += [f"  e.g. {entry.name}: {key.example}"]
    return "\n".join(lines)


def _wrapped(said: str, margin: str) -> list[str]:
    return textwrap.wrap(said.replace("`", ""), WIDTH, initial_indent=margin, subsequent_indent=f"{margin}  ")


def find_entries(words: str) -> list[Entry]:
    """The keys that words name: a key's name, or the end of its path, `fits.clearance` or `clearance.aim`."""
    wanted = [piece for piece in words.casefold().replace(" ", ".").split(".") if piece]
    found = []
    for entry in all_entries():
        pieces = [entry.file, *(piece for piece in entry.path.casefold().split(".") if not piece.startswith("<"))]
        if pieces[-len(wanted) :] == wanted or (wanted[:1] == [entry.file] and pieces[1:] == wanted[1:]):
            found.append(entry)
    return found
