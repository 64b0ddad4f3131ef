"""The site's own words: glossary and cautions, from the texts that ship with the project."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from markupsafe import Markup

from wareboard.text import source
from wareboard.words.templating import TEMPLATES, render


@dataclass(frozen=True, slots=True)
class Term:
    """One word of the glossary; `key` where a spec has a key for it."""

    term: str
    meaning: str
    key: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt at some steps of the work, and the usual care; `line` is said at a step that needs it."""

    id: str
    title: str
    line: str
    text: str
    where: tuple[str, ...]
    source: str

    @property
    def paragraphs(self) -> list[str]:
        """The text by paragraph."""
        return [" ".join(paragraph.split()) for paragraph in self.text.split("\n\n") if paragraph.strip()]


@cache
def read_glossary() -> tuple[Term, ...]:
    """Every term, in the order of the alphabet."""
    terms = [Term(**entry) for entry in _entries("glossary")]
    return tuple(sorted(terms, key=lambda term: term.term.casefold()))


@cache
def read_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order written."""
    return tuple(Caution(**{**entry, "where": tuple(entry["where"])}) for entry in _entries("cautions"))


def cautions_for(*steps: str) -> tuple[Caution, ...]:
    """The cautions that apply at any of the steps: throwing, trimming, glazing, firing, using, lifting."""
    return tuple(caution for caution in read_cautions() if set(steps) & set(caution.where))


@cache
def caution_lines(*steps: str) -> Markup:
    """The cautions of some steps as they stand below them on a page one folder down; the same on every page, so made once."""
    return Markup(render("pages/caution_lines.html", cautions=cautions_for(*steps), root="../"))


def _entries(name: str) -> list[dict]:
    """The records of one shipped file, which is a list at its top."""
    text = (TEMPLATES / "words" / f"{name}.yaml").read_text(encoding="utf-8")
    # A maker's file is lines of keys, so that is what is read: the list is put under one.
    top, problems = source.read_nodes("entries:\n" + text, f"{name}.yaml")
    if top is None or problems:
        raise ValueError(f"site_templates/words/{name}.yaml: {problems}")
    return [{key.text: _value(node) for key, node in entry.entries} for entry in top.get("entries").items]


def _value(node: source.Node) -> str | list[str]:
    return node.text.strip() if isinstance(node, source.Text) else [item.text for item in node.items]
