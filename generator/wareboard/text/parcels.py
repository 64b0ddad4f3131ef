"""A form that travels: what goes with it, and its names made free in another studio. Text in, text out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Set

from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.edits import with_line, with_words, without_top_keys
from wareboard.text.problems import Position
from wareboard.text.records import keys_of
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Clay, Glaze

FOLDER_OF = {"clay": "clays", "glaze": "glazes", "like": "forms"}
_SIDE = re.compile(r"(\s*)([a-z0-9][a-z0-9-]*)/[^/]+\.[^/]+")
_GAUGE = re.compile(r"\s*gauge\s+(\S.*?)\s*")


@frozen
class Parcel:
    """A form and the texts of all that it leans on, by path; and the shared sizes that it takes."""

    form: str
    texts: Mapping[str, str]
    gauges: Mapping[str, str]


def private_keys() -> dict[str, frozenset[str]]:
    """Top keys that are the maker's own business, by folder: prices and shops, times and losses, and the like."""
    return {
        folder: frozenset(name for name, key in keys_of(record).items() if key.trade or key.plan)
        for folder, record in (("forms", Form), ("clays", Clay), ("glazes", Glaze))
    }


def make_parcel(slug: str, texts: Mapping[str, str], *, with_trade: bool = False) -> Parcel:
    """A parcel of one form of a studio.

    Args:
        slug: the form.
        texts: every file's text by its path.
        with_trade: with prices, shops, times and losses.
    Raises: KeyError, a file that it leans on is not there.
    """
    found: dict[str, str] = {}
    waiting = [f"specs/forms/{slug}.yaml"]
    private = {} if with_trade else private_keys()
    used: list[str] = []
    while waiting:
        path = waiting.pop()
        if path in found:
            continue
        folder = path.split("/")[1]
        found[path] = without_top_keys(texts[path], path, private.get(folder, frozenset()))
        top, _ = source.read_nodes(found[path], path)
        if top is not None and folder == "forms":
            waiting += [named for _, named, _ in _references(top)]
            used += [name for _, name in _gauges(top)]
    studio, _ = source.read_nodes(texts.get("specs/studio.yaml", ""), "specs/studio.yaml")
    listed = studio.get("gauges") if studio else None
    known = (
        {name.text: node.text for name, node in listed.entries if isinstance(node, source.Text)}
        if isinstance(listed, source.Mapping)
        else {}
    )
    return Parcel(slug, found, {name: known[name] for name in sorted(set(used)) if name in known})


def _references(top: source.Mapping) -> Iterator[tuple[source.Text, str, str]]:
    """What a form names of other files: the words, the file's path, and the slug as it stands in the words."""
    for key, folder in FOLDER_OF.items():
        node = top.get(key)
        if isinstance(node, source.Text):
            yield node, f"specs/{folder}/{node.text.strip()}.yaml", node.text.strip()
    fits = top.get("fits")
    for _, fit in fits.entries if isinstance(fits, source.Mapping) else ():
        for side in ("inside", "outside"):
            node = fit.get(side) if isinstance(fit, source.Mapping) else None
            if isinstance(node, source.Text) and (named := _SIDE.fullmatch(node.text)):
                yield node, f"specs/forms/{named[2]}.yaml", named[2]


def _gauges(node: source.Node) -> Iterator[tuple[source.Node, str]]:
    """Where a form takes a shared size, and its name: the whole of what is said there."""
    if isinstance(node, source.Text):
        if (named := _GAUGE.fullmatch(node.text)) and not node.quoted:
            yield node, named[1]
    elif isinstance(node, source.Listing):
        for item in node.items:
            yield from _gauges(item)
    else:
        gauge = node.get("gauge")
        if isinstance(gauge, source.Text) and {name.text for name, _ in node.entries} <= {"gauge", "at"}:
            yield node, gauge.text.strip()
            return
        for _, inner in node.entries:
            yield from _gauges(inner)


@frozen
class Unpacked:
    """What a parcel comes to in a studio: new texts by path, names that changed, files that were there already just so."""

    form: str
    texts: Mapping[str, str]
    renamed: Mapping[str, str]
    known: tuple[str, ...]
    gauges_written_out: tuple[str, ...]


def unpack_parcel(parcel: Parcel, texts: Mapping[str, str], codes: Set[str], gauges: Mapping[str, str]) -> Unpacked:
    """A parcel's files as they go into a studio: under new names where theirs are taken, never over a file.

    Args:
        parcel: the parcel.
        texts: the studio's files by path.
        codes: the makers' codes that are in use, folded.
        gauges: the studio's shared sizes as they are typed.
    """
    names: dict[str, str] = {}
    known = []
    for path in sorted(parcel.texts):
        if not path.startswith("specs/forms/") and _is_here(path, parcel.texts[path], texts):
            names[path] = path
            known.append(path)
        else:
            names[path] = _free(path, {*texts, *names.values()})
    written: dict[str, str] = {}
    out: list[str] = []
    taken = set(codes)
    for path, text in parcel.texts.items():
        if path in known:
            continue
        changed = text
        if path.startswith("specs/forms/"):
            changed = _renamed(changed, path, names)
            changed, replaced = _without_gauges(changed, path, parcel.gauges, gauges)
            out += replaced
            changed = _with_free_code(changed, taken)
        written[names[path]] = changed
    renamed = {path: name for path, name in names.items() if path != name}
    return Unpacked(
        _slug(names[f"specs/forms/{parcel.form}.yaml"]), written, renamed, tuple(known), tuple(dict.fromkeys(out))
    )


def _is_here(path: str, text: str, texts: Mapping[str, str]) -> bool:
    """True where the studio has the very same file, whatever private it holds besides."""
    own = texts.get(path)
    private = private_keys()[path.split("/")[1]]
    return own is not None and (
        own == text or without_top_keys(own, path, private) == without_top_keys(text, path, private)
    )


def _slug(path: str) -> str:
    return path.rsplit("/", 1)[1].removesuffix(".yaml")


def _free(path: str, taken: Set[str]) -> str:
    folder, stem = path.rsplit("/", 1)[0], _slug(path)
    number = 1
    while path in taken:
        number += 1
        path = f"{folder}/{stem[:70]}-{number}.yaml"
    return path


def _renamed(text: str, path: str, names: Mapping[str, str]) -> str:
    top, _ = source.read_nodes(text, path)
    changes: list[tuple[Position, str]] = []
    for node, named, slug in _references(top) if top else ():
        new = names.get(named, named)
        if new != named:
            changes.append((node.at, node.text.strip().replace(slug, _slug(new), 1)))
    return with_words(text, changes)


def _without_gauges(text: str, path: str, sent: Mapping[str, str], known: Mapping[str, str]) -> tuple[str, list[str]]:
    """Shared sizes that this studio has not got, or has otherwise, as the sizes that they are."""
    top, _ = source.read_nodes(text, path)
    changes: list[tuple[Position, str]] = []
    written = []
    for node, name in _gauges(top) if top else ():
        if name in sent and " ".join(known.get(name, "").split()) != " ".join(sent[name].split()):
            if isinstance(node, source.Text):
                changes.append((node.at, f"inside {sent[name]}"))
            elif isinstance(at := node.get("at") if isinstance(node, source.Mapping) else None, source.Text):
                side = at.text.split()[0]
                changes.append((node.at, f"{side} {sent[name]}"))
            written.append(name)
    return with_words(text, changes), written


def _with_free_code(text: str, taken: set[str]) -> str:
    top, _ = source.read_nodes(text, "")
    code = top.get("code") if top else None
    if not isinstance(code, source.Text):
        return text
    word = code.text.strip()
    if word.casefold() in taken:
        letters = re.match(r"\D*", word)
        number = 1
        while f"{letters[0] if letters else ''}{number}".casefold() in taken:
            number += 1
        word = f"{letters[0] if letters else ''}{number}"
        text = with_line(text, "code", word)
    taken.add(word.casefold())
    return text
