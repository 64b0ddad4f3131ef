"""The glossary and the cautions that ship with the project; at its first use in a section a word opens what it means."""

from __future__ import annotations

import re
from html import escape

from markupsafe import Markup

from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, remembered
from wareboard.words.templating import ident, render
from wareboard.words.wordfiles import read_word_file

# The steps of the work at which something can hurt, as `where` of a caution has them.
WHERE = (later("throwing"), later("trimming"), later("glazing"), later("firing"), later("using"), later("lifting"))
# What is read as sentences, and holds nothing but words and sizes; what is said in two unit systems is put in anew when they change.
_PROSE = re.compile(r'(<(?:li|p class="note")>)([^<]+)(</(?:li|p)>)')
_SECTION = re.compile(r"(?=<section[ >])")


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


@remembered()
def _terms() -> tuple[re.Pattern[str], dict[str, Term]]:
    by_word = {escape(term.term.casefold(), quote=True): term for term in read_glossary() if term.explained}
    longest_first = sorted(by_word, key=len, reverse=True)
    return re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE), by_word


def explained(body: str) -> str:
    """A page's body whose sentences explain their words.

    Args:
        body: HTML, its sections side by side.
    Returns: the same; each word of the glossary that a section's sentences use is a button there at its first use, and
        what it opens stands at the end of the page, with a link to the glossary one folder up.
    """
    pattern, by_word = _terms()
    used: dict[str, Term] = {}

    def section(html: str) -> str:
        told: set[str] = set()

        def word(found: re.Match[str]) -> str:
            term = by_word[found[0].casefold()]
            if term.term in told:
                return found[0]
            told.add(term.term)
            used.setdefault(f"g-{ident(term.term)}", term)
            return (
                f'<button type="button" class="term" popovertarget="g-{escape(ident(term.term))}">{found[0]}</button>'
            )

        return _PROSE.sub(lambda prose: f"{prose[1]}{pattern.sub(word, prose[2])}{prose[3]}", html)

    told = "".join(map(section, _SECTION.split(body)))
    opened = "".join(
        f'<div class="meaning" id="{escape(name)}" popover role="note"><p><b>{escape(term.term)}</b> {escape(term.meaning)} '
        f'<a href="../glossary.html#{escape(ident(term.term))}">{escape(_("Glossary"))}</a></p></div>\n'
        for name, term in used.items()
    )
    head, end, tail = told.rpartition("</article>")
    return f"{head}{opened}{end}{tail}"
