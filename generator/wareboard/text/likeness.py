"""A form that is like another: before its file is read as a record, what it does not say is taken from the other's.

Every line keeps its place, so that a problem points at the file and the line where it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache

from wareboard.text import source
from wareboard.text.problems import Problem, did_you_mean, error, format_words

Parse = Callable[[str, str], "tuple[source.Mapping | None, list[Problem]]"]

OWN = frozenset({"title", "code", "stockist"})  # what is the other's alone
OF_ONE_SIZE = frozenset({"ball", "holds", "weighs"})  # what is not so once it is resized
_SIZED = ("parts", "fits")
_BARE_NUMBER = re.compile(r"[Øø⌀∅Φφ]?[\s\d./¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞-]+")
UNIT = "mm"


def folder_and_slug(path: str) -> tuple[str, str]:
    """The folder that a file stands in, and its name without its suffix.

    >>> folder_and_slug("specs/forms/tall-beaker.yaml")
    ('forms', 'tall-beaker')
    """
    folder, _, name = path.rpartition("/")
    return folder.rpartition("/")[2], name.rpartition(".")[0] or name


def parse_likened(texts: Mapping[str, str], parse: Parse) -> Parse:
    """A way to parse in which a form that is `like:` another has the other's lines too.

    Args:
        texts: each file's text by its path.
        parse: text and path to nodes and problems.
    Returns: the same for every file but such forms.
    """
    named = {path: folder_and_slug(path) for path in texts}
    forms = {slug: path for path, (folder, slug) in named.items() if folder == "forms"}

    @cache
    def called() -> dict[str, str]:
        """Each form by its code and its title, asked for where no file has the name."""
        tops = [(slug, parse(texts[path], path)[0]) for slug, path in forms.items()]
        return {
            said.casefold(): slug
            for slug, top in tops
            if top
            for key in ("title", "code")
            if (said := _text(top.get(key)))
        }

    def parse_whole(text: str, path: str) -> tuple[source.Mapping | None, list[Problem]]:
        return likened(text, path, (named[path][1],))

    def likened(text: str, path: str, trail: tuple[str, ...]) -> tuple[source.Mapping | None, list[Problem]]:
        top, problems = parse(text, path)
        like = top.get("like") if top is not None else None
        if top is None or not isinstance(like, source.Text) or named[path][0] != "forms":
            return top, problems
        other = like.text.strip()
        found = _refused(like, other, forms, trail, called)
        if found:
            return None, [*problems, found]
        base, faults = likened(texts[forms[other]], forms[other], (*trail, other))
        circle = next((fault for fault in faults if fault.rule in ("like-circle", "like-resized")), None)
        if circle is not None:
            return None, [*problems, circle]
        if base is None or faults:
            return None, problems  # its own faults stand beside it
        if base.get("resized") is not None:
            said = error(
                "like-resized", like.at, f"like: {other} is itself resized from another form",
                f"write `like: {_text(base.get('like'))}` here, and its own `resized:`",
            )  # fmt: skip
            return None, [*problems, said]
        other_stage = _text(base.get("sizes")) or "fired"
        own_stage = top.get("sizes")
        if own_stage is not None and _text(own_stage) != other_stage:
            problems = [
                *problems,
                error("like-other-stage", own_stage.at, f"sizes: those of {other} are {other_stage}", "leave `sizes` out here, and say the stage behind a size that is of another"),
            ]  # fmt: skip
        return _joined(top, _fit_to_be_shared(base, top)), problems

    return parse_whole


def _text(node: source.Node | None) -> str:
    return " ".join(node.text.split()) if isinstance(node, source.Text) else ""


def _refused(
    like: source.Text,
    other: str,
    forms: Mapping[str, str],
    trail: tuple[str, ...],
    called: Callable[[], Mapping[str, str]],
) -> Problem | None:
    if other in trail:
        circle = format_words([*trail[trail.index(other) :], other], "→").replace(", ", " → ")
        return error("like-circle", like.at, f"like: these forms are like one another in a circle: {circle}", "list the sizes of one of them")  # fmt: skip
    if other not in forms:
        others = [slug for slug in forms if slug != trail[0]]
        near = called().get(other.casefold())
        hint = did_you_mean(other, others, called=near if near in others else None)
        return error(
            "unknown-slug", like.at, f"like: there is no file in specs/forms/ for the form `{other[:40]}`", hint
        )
    return None


def _fit_to_be_shared(base: source.Mapping, top: source.Mapping) -> source.Mapping:
    """The other form without what is its alone; its bare numbers with their unit, where this one's are of another."""
    left_out = OWN | {"like", "resized"}
    entries = [entry for entry in base.entries if entry[0].text not in left_out]
    if top.get("resized") is not None:
        entries = [(name, _without(node, OF_ONE_SIZE) if name.text == "parts" else node) for name, node in entries]
    unit, own = _text(base.get("unit")) or UNIT, top.get("unit")
    if own is not None and _text(own) != unit:
        entries = [(name, _with_unit(node, unit) if name.text in _SIZED else node) for name, node in entries]
    return source.Mapping(tuple(entries), base.at)


def _without(node: source.Node, names: frozenset[str]) -> source.Node:
    if not isinstance(node, source.Mapping):
        return node
    kept = tuple((name, _without(inner, names)) for name, inner in node.entries if name.text not in names)
    return source.Mapping(kept, node.at)


def _with_unit(node: source.Node, unit: str) -> source.Node:
    """Every bare number with its unit behind it."""
    if isinstance(node, source.Mapping):
        return source.Mapping(tuple((name, _with_unit(inner, unit)) for name, inner in node.entries), node.at)
    if isinstance(node, source.Listing):
        return source.Listing(tuple(_with_unit(item, unit) for item in node.items), node.at)
    bare = _BARE_NUMBER.fullmatch(node.text) and any(sign.isdigit() for sign in node.text)
    return source.Text(f"{node.text.strip()} {unit}", node.at, node.quoted) if bare else node


# A part says its inside in one way or the other: what is said here takes the place of both.
_INSTEAD = {"inside": ("wall", "floor", "gallery"), "wall": ("inside",), "floor": ("inside",), "underside": ("foot",), "foot": ("underside",)}  # fmt: skip


def _joined(own: source.Mapping, base: source.Mapping) -> source.Mapping:
    """Both mappings as one: the other's order, what is said here in its place, what only this one says at the end."""
    said = {name.text: (name, node) for name, node in own.entries}
    replaced = {other for name in said for other in _INSTEAD.get(name, ())} - said.keys()
    entries = []
    for name, node in base.entries:
        if name.text in replaced:
            continue
        if name.text not in said:
            entries.append((name, node))
            continue
        own_name, own_node = said.pop(name.text)
        both = isinstance(own_node, source.Mapping) and isinstance(node, source.Mapping)
        entries.append((own_name, _joined(own_node, node) if both else own_node))  # type: ignore[arg-type]
    return source.Mapping((*entries, *said.values()), own.at)
