"""A form as it would be of another of the studio's clays: its text with another `clay:`, which nobody writes down."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from wareboard.text.plain import escaped
from wareboard.text.problems import format_words, nearest_word


def texts_in_clay(directory: Path, asked: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Forms' texts by path, each of another clay; the command ends where there is no such clay.

    Args:
        directory: the folder that holds `specs/`.
        asked: a form's slug and a clay's, each.
    """
    from wareboard.output.folder import read_texts
    from wareboard.text.edits import with_line

    texts, _ = read_texts(directory)
    clays = sorted(Path(path).stem for path in texts if path.startswith("specs/clays/"))
    changed: dict[str, str] = {}
    for slug, clay in asked:
        if clay not in clays:
            near = nearest_word(clay, clays)
            there = f"did you mean '{near}'?" if near else f"there are {format_words(clays, 'and')}"
            raise click.UsageError(f"there is no clay '{escaped(clay)}'; {there}")
        path = f"specs/forms/{slug}.yaml"
        changed[path] = with_line(texts.get(path, ""), "clay", clay)
    return changed
