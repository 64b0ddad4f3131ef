"""Words of the glossary that explain themselves: at its first use in a section a word opens what it means."""

from __future__ import annotations

import re
from html import escape

from wareboard.text.languages import _, remembered
from wareboard.words.glossary import Term, read_glossary
from wareboard.words.templating import ident

# What is read as sentences, and holds nothing but words and sizes; what is said in two unit systems is put in anew when they change.
_PROSE = re.compile(r'(<(?:li|p class="note")>)([^<]+)(</(?:li|p)>)')
_SECTION = re.compile(r"(?=<section[ >])")


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
