"""The files of words that ship with the project, read in the language that is spoken."""

from __future__ import annotations

import json
import re
from typing import Any

from wareboard import TEMPLATES
from wareboard.text import source
from wareboard.text.languages import _, remembered

ASSETS = TEMPLATES / "theme" / "assets"
SCRIPT = "javascripts/wareboard.js"
SCRIPTS = (SCRIPT, "answers/sizes.js", "answers/answers.js", "compare/compare.js")
_TOLD = re.compile(r'\b(?:tell|spoken)\("([^"]+)"')

# What stands in a file of words to be looked up by, and is not shown.
NOT_SHOWN = frozenset({"id", "where", "care", "when", "key", "of", "cautions", "table", "explained"})


@remembered()
def read_word_file(name: str) -> Any:
    """One file as plain text, tuples and dictionaries, each text that is shown in the language that is spoken.

    Args:
        name: `steps`, for `site_templates/words/steps.yaml`.
    """
    path = TEMPLATES / "words" / f"{name}.yaml"
    text = path.read_text(encoding="utf-8")
    # A maker's file is lines of keys, so that is what is read: a list is put under one.
    listed = next(line for line in text.splitlines() if line and line[0] != "#").startswith("-")
    top, problems = source.read_nodes(f"entries:\n{text}" if listed else text, path.name)
    if top is None or problems:
        raise ValueError(f"site_templates/words/{path.name}: {problems}")
    return _said(top.get("entries") if listed else top)


def _said(node: source.Node, shown: bool = True) -> Any:
    if isinstance(node, source.Mapping):
        return {key.text: _said(child, shown and key.text not in NOT_SHOWN) for key, child in node.entries}
    if isinstance(node, source.Text):
        text = node.text.strip()
        return _(text) if shown and text else text
    return tuple(_said(child, shown) for child in node.items)


def script_messages(*scripts: str) -> tuple[str, ...]:
    """What scripts say, each once, in their order.

    Args:
        scripts: their paths among the assets; all that speak unless given.
    """
    texts = ((ASSETS / script).read_text(encoding="utf-8") for script in scripts or SCRIPTS)
    return tuple(dict.fromkeys(message for text in texts for message in _TOLD.findall(text)))


@remembered()
def script_words(script: str = SCRIPT) -> str:
    """A script's words as JSON, for the page to hand over; nothing in English, which the script has itself.

    Args:
        script: its path among the assets.
    """
    said = {message: _(message) for message in script_messages(script)}
    return json.dumps(said, ensure_ascii=False) if any(text != message for message, text in said.items()) else ""
