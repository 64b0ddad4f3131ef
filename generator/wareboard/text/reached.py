"""Which other files a form's numbers come from, seen in its text alone, so that one form of many is read without the rest."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wareboard.text import source

_NAMED = {"clay": "clays", "glaze": "glazes", "like": "forms"}
_SIDE = re.compile(r"\s*([a-z0-9][a-z0-9-]*)\s*/[^/]+\.[^/]+")


def reached_files(path: str, top: source.Mapping | None) -> list[str]:
    """The files that one file names, as paths: its clay, its glaze, the forms whose sizes it takes, or on which it was weighed.

    Args:
        path: the file's own, `specs/forms/tea-caddy.yaml`.
        top: its nodes; None where they could not be read.
    Returns: paths in the order in which they are named; some may not exist.
    """
    if top is None:
        return []
    if path.startswith("specs/glazes/"):
        return _weighed_on(top)
    if not path.startswith("specs/forms/"):
        return []
    named = [
        f"specs/{folder}/{node.text.strip()}.yaml"
        for key, folder in _NAMED.items()
        if isinstance(node := top.get(key), source.Text)
    ]
    sides = (found[1] for text in _texts(top) if (found := _SIDE.fullmatch(text)))
    return list(dict.fromkeys([*named, *(f"specs/forms/{slug}.yaml" for slug in sides)]))


def _weighed_on(glaze: source.Mapping) -> list[str]:
    """The form on which a glaze's coat was weighed: `coat: {of: tea-caddy/jar, …}`."""
    coat = glaze.get("coat")
    of = coat.get("of") if isinstance(coat, source.Mapping) else None
    return [f"specs/forms/{of.text.partition('/')[0].strip()}.yaml"] if isinstance(of, source.Text) else []


def learns_from_runs(top: source.Mapping | None) -> bool:
    """True where a spread is to be learned from runs, which may be of any form."""
    spreads = top.get("spreads") if top else None
    return spreads is not None and any(" ".join(text.split()) == "from runs" for text in _texts(spreads))


def _texts(node: source.Node) -> Iterator[str]:
    if isinstance(node, source.Text):
        yield node.text
    elif isinstance(node, source.Listing):
        for item in node.items:
            yield from _texts(item)
    else:
        for _, value in node.entries:
            yield from _texts(value)
