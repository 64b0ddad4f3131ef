"""A spec's text with a few words changed, each at its place; all else, comments too, as it was."""

from __future__ import annotations

import re
from collections.abc import Iterable

from wareboard.text import source
from wareboard.text.problems import Position


def with_words(text: str, changes: Iterable[tuple[Position, str]]) -> str:
    """A text in which words are replaced where they stand.

    Args:
        text: a file's text.
        changes: a place, of one line, and what stands there from now on.
    >>> with_words("wall: 4   # thin", [(Position("a", 1, 7, 1), "4.5")])
    'wall: 4.5   # thin'
    """
    lines = text.split("\n")
    done: set[tuple[int, int]] = set()
    for at, words in sorted(dict(changes).items(), key=lambda change: (change[0].line, change[0].column), reverse=True):
        if (at.line, at.column) in done:
            continue
        done.add((at.line, at.column))
        line, start = lines[at.line - 1], at.column - 1
        lines[at.line - 1] = line[:start] + words + line[start + at.width :]
    return "\n".join(lines)


def with_line(text: str, key: str, value: str, after: str | None = None) -> str:
    """A text whose line of a top key says something else; where it has none, one is added behind another.

    Args:
        text: a file's text.
        key: the key, at the top of the file.
        value: what it says.
        after: the key behind which it is added.
    >>> with_line("title: Cup   # mine\\nclay: buff\\n", "title", "Mug")
    'title: Mug   # mine\\nclay: buff\\n'
    """
    line = rf"(?m)^{re.escape(key)}:[^\n#]*?(?=[ \t]*(?:#|$))"
    if re.search(line, text):
        return re.sub(line, lambda _: f"{key}: {value}", text, count=1)
    return re.sub(
        rf"(?m)^{re.escape(after or 'title')}:.*$", lambda found: f"{found[0]}\n{key}: {value}", text, count=1
    )


def without_top_keys(text: str, path: str, keys: Iterable[str]) -> str:
    """A text without some of its top keys, and all that stands under them.

    Args:
        text: a file's text that can be read.
        path: its path.
        keys: the keys.
    >>> print(without_top_keys("title: Cup\\nstockist:\\n  price: 5\\nclay: buff\\n", "a.yaml", ["stockist"]), end="")
    title: Cup
    clay: buff
    """
    top, _ = source.read_nodes(text, path)
    if top is None:
        return text
    lines = text.split("\n")
    starts = [name.at.line for name, _ in top.entries] + [len(lines) + 1]
    gone: set[int] = set()
    for (name, _), start, end in zip(top.entries, starts, starts[1:]):
        if name.text in keys:
            gone |= set(range(start, end))
            # A comment set to the left after it belongs to what follows.
            back = end - 1
            while back > start and (not lines[back - 1].strip() or lines[back - 1].startswith("#")):
                back -= 1
            gone -= set(range(back + 1, end))
    return "\n".join(line for number, line in enumerate(lines, 1) if number not in gone)
