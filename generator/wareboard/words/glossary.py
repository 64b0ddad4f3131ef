"""The site's own words: glossary and cautions, from the texts that ship with the project."""

from __future__ import annotations

from markupsafe import Markup

from wareboard.pot.frozen import frozen
from wareboard.text.languages import later, remembered
from wareboard.words.templating import render
from wareboard.words.wordfiles import read_word_file

# The steps of the work at which something can hurt, as `where` of a caution has them.
WHERE = (later("throwing"), later("trimming"), later("glazing"), later("firing"), later("using"), later("lifting"))


@frozen
class Term:
    """One word of the glossary; `key` where a spec has a key for it. `explained` where pages explain it in their sentences."""

    term: str
    meaning: str
    key: str = ""
    source: str = ""
    explained: str = ""


@frozen
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


@remembered()
def read_glossary() -> tuple[Term, ...]:
    """Every term, in the order of the alphabet."""
    terms = [Term(**entry) for entry in read_word_file("glossary")]
    return tuple(sorted(terms, key=lambda term: term.term.casefold()))


@remembered()
def read_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order written."""
    return tuple(Caution(**entry) for entry in read_word_file("cautions"))


def cautions_for(*steps: str) -> tuple[Caution, ...]:
    """The cautions that apply at any of the steps: throwing, trimming, glazing, firing, using, lifting."""
    return tuple(caution for caution in read_cautions() if set(steps) & set(caution.where))


@remembered()
def caution_lines(*steps: str) -> Markup:
    """The cautions of some steps as they stand below them on a page one folder down; the same on every page, so made once."""
    return Markup(render("pages/caution_lines.html", cautions=cautions_for(*steps), root="../"))
