"""What an editor is told while a spec is typed: problems, words that fit, what a line comes to, mends. Text in, text out."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import PurePosixPath
from typing import NamedTuple

from wareboard.figures import shown
from wareboard.figures.figure import Figure
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.pot.stages import STAGES
from wareboard.text import source
from wareboard.text.compounds import Either, ListOf
from wareboard.text.cursor import Spot, keys_at, kind_at, spot_at
from wareboard.text.kinds import Choice, Flag, Kind, Slug
from wareboard.text.phrases import BareText, CaliperText, PartSizeText, SizeOr
from wareboard.text.problems import Problem
from wareboard.text.projects import FOLDERS, KINDS, Project
from wareboard.text.records import Key

MOST_HOVERED = 8
_MEANT = re.compile(r"did you mean `([^`]+)`\?")
_MISSING = re.compile(r"write `([^`]+:[^`]*)`")


class Suggestion(NamedTuple):
    """A word that fits at the cursor: what is put in, and what is said of it. `start` is the column, from 0, that it replaces from."""

    text: str
    detail: str
    start: int


class Mend(NamedTuple):
    """A change that mends a problem: from one column of a line to another, counted from 0, `text` is put in."""

    title: str
    line: int
    start: int
    end: int
    text: str


class Parts(NamedTuple):
    """The names that a maker gave in one form: stations and calipers by part."""

    stations: Mapping[str, list[str]]
    calipers: Mapping[str, list[str]]


def kind_of(path: str) -> str | None:
    """The kind of spec that stands at a path below the maker's folder; None where none is read.

    >>> kind_of("specs/forms/tall-beaker.yaml"), kind_of("specs/studio.yaml"), kind_of("notes.yaml")
    ('form', 'studio', None)
    """
    parts = PurePosixPath(path).parts
    if parts[-2:] == ("specs", "studio.yaml"):
        return "studio"
    return FOLDERS.get(parts[-2]) if len(parts) > 2 and parts[-3] == "specs" else None


# ---- words that fit ----


def suggestions(project: Project, path: str, text: str, line: int, column: int) -> list[Suggestion]:
    """The words that fit at a place of a spec.

    Args:
        project: the studio as it was last read.
        path: the file below the maker's folder.
        text: its text as it is typed so far.
        line, column: the cursor, from 0.
    """
    kind = kind_of(path)
    if kind is None:
        return []
    record, spot = KINDS[kind], spot_at(text, line, column)
    names = names_in(text, line)
    if spot.key is None:
        keys = keys_at(record, spot.above)
        if keys:
            return [Suggestion(f"{name}: ", _said_of(key), spot.start) for name, key in keys.items()]
        stations = names.stations.get(_part_of(spot), []) if spot.above and spot.above[-1] == "wall" else []
        return [Suggestion(f"{name}: ", "a station", spot.start) for name in stations]
    wanted = kind_at(record, spot.above, spot.key)
    found = dict(_values(wanted, spot, names, project)) if wanted else {}
    if not found:
        key = keys_at(record, spot.above).get(spot.key)
        found = {key.example: "an example"} if key and key.example else {}
    return [Suggestion(value, detail, spot.start) for value, detail in found.items()]


def _said_of(key: Key) -> str:
    return key.doc + (f". Unless given: {key.unless_given}" if key.unless_given else "")


def _part_of(spot: Spot) -> str:
    return spot.above[1] if len(spot.above) > 1 and spot.above[0] == "parts" else ""


def _values(kind: Kind, spot: Spot, names: Parts, project: Project) -> Iterator[tuple[str, str]]:
    part = _part_of(spot)
    stations, calipers = names.stations.get(part, []), names.calipers.get(part, [])
    match kind:
        case Either():
            yield from _values(kind.text, spot, names, project)
        case ListOf():
            if spot.key == "gauge_at":
                yield from ((station, "a station") for station in stations)
            else:
                yield from _values(kind.item, spot, names, project)
        case Choice():
            yield from ((word, "") for word in kind.words)
        case Flag():
            yield from (("true", ""), ("false", ""))
        case Slug():
            yield from ((slug, str(spec.title)) for slug, spec in sorted(project.files(kind.folder).items()))
        case SizeOr():
            yield from ((word, "") for word in kind.words)
            listed = calipers if "caliper" in kind.names else stations if kind.names else []
            yield from ((name, kind.names) for name in listed)
        case CaliperText():
            yield from (
                (f"{side} {station}", "at a station's level") for side in ("inside", "outside") for station in stations
            )
            yield "fit", "a fit sets this size"
        case BareText():
            yield from ((f"{one} to {other}", "a stretch") for one, other in itertools.pairwise(stations))
            yield from ((word, "") for word in ("outside", "inside", "all", "none"))
        case PartSizeText():
            yield from ((f"{of}.{name}", "of this form") for of, listed in names.calipers.items() for name in listed)
            for slug, form in sorted(project.forms.items()):
                yield from (
                    (f"{slug}/{of}.{name}", str(form.title))
                    for of, other in form.parts.items()
                    for name in other.calipers
                )


def names_in(text: str, line: int) -> Parts:
    """The names of stations and calipers by part, though the line that is being typed spoils the file."""
    top, _ = source.read_nodes(text, "")
    if top is None:
        lines = text.split("\n")
        top, _ = source.read_nodes("\n".join([*lines[:line], *lines[line + 1 :]]), "")
    parts = top.get("parts") if top else None
    if not isinstance(parts, source.Mapping):
        return Parts({}, {})
    stations, calipers = {}, {}
    for name, part in parts.entries:
        listed = [*_names_under(part, "outside"), *_names_under(part, "inside")]
        stations[name.text], calipers[name.text] = list(dict.fromkeys(listed)), _names_under(part, "calipers")
    return Parts(stations, calipers)


def _names_under(node: source.Node, key: str) -> list[str]:
    below = node.get(key) if isinstance(node, source.Mapping) else None
    return [name.text for name, _ in below.entries] if isinstance(below, source.Mapping) else []


# ---- what a line comes to ----


def hover(project: Project, sheet: Sheet | None, path: str, text: str, line: int, column: int) -> str:
    """What is known of the word under the cursor and of its line, in Markdown; empty where nothing is.

    Args:
        project: the studio.
        sheet: the form's figures, where the file is a form that could be worked out.
        path, text: the file.
        line, column: the cursor, from 0.
    """
    kind = kind_of(path)
    lines = text.split("\n")
    if kind is None or line >= len(lines):
        return ""
    word_end = column + len(re.match(r"[\w -]*", lines[line][column:])[0])  # type: ignore[index]
    spot = spot_at(text, line, word_end)
    name = spot.key or spot.typed
    key = keys_at(KINDS[kind], spot.above).get(name.strip())
    said = [f"**{name.strip()}**: {_said_of(key)}"] if key else []
    if sheet is not None:
        reader = shown.reader_of(project.studio)
        said += [f"- {told}" for told in _figures_said(sheet, f"{path}:{line + 1}", reader)]
    return "\n".join(said)


def _figures_said(sheet: Sheet, place: str, reader: shown.Reader) -> list[str]:
    """The figures that follow straight from a line: typed sizes at every stage, settings and clearances as they are."""
    follow = [figure for figure in sheet.figures if place in figure.inputs]
    sizes = list(dict.fromkeys(figure.key for figure in follow if figure.given and figure.stage))
    told = [_staged(sheet, key, reader) for key in sizes]
    made = as_set(sheet)  # what a tool is set to is as the cards have it
    others = [
        made.found[figure.key, figure.stage]
        for figure in follow
        if figure.key not in sizes and figure.key.endswith(_TOLD)
    ]
    told += [f"{figure.name}: {_amounts(figure, reader)}" for figure in others]
    return list(dict.fromkeys(told))[:MOST_HOVERED]


_TOLD = (
    ".ball.set",
    ".ball",
    ".clearance",
    ".outside.thrown",
    ".capacity.fill",
    ".capacity.brim",
    "clay.shrinkage",
    ".pointer.height",
    ".pointer.reach",
)


def _staged(sheet: Sheet, key: str, reader: shown.Reader) -> str:
    found = [figure for stage in STAGES if (figure := sheet.find(key, stage))]
    return f"{key}: " + ", ".join(f"{figure.stage} {reader.figure(figure)[0]}" for figure in found)


def _amounts(figure: Figure, reader: shown.Reader) -> str:
    first, *other = map(str, reader.figure(figure))
    return first + (f" ({other[0]})" if other and other[0] != first else "")


# ---- mends ----


def mends_of(problem: Problem, text: str) -> Iterable[Mend]:
    """Changes that a problem's hint spells out.

    Args:
        problem: a problem of this file.
        text: the file.
    """
    line = problem.at.line - 1
    lines = text.split("\n")
    if line >= len(lines):
        return
    start = problem.at.column - 1
    if meant := _MEANT.search(problem.hint):
        yield Mend(f"Change it to {meant[1]}", line, start, min(start + problem.at.width, len(lines[line])), meant[1])
    elif problem.rule == "missing-key" and (missing := _MISSING.search(problem.hint)):
        margin = " " * (len(lines[line]) - len(lines[line].lstrip(" ")))
        yield Mend(f"Add {missing[1]}", line, 0, 0, f"{margin}{missing[1]}\n")
