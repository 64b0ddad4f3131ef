"""The one template environment: everything is escaped unless it was made safe here."""

from __future__ import annotations

import contextlib
import os
import re
import sys
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.util import cache_from_source

import jinja2
from jinja2 import BytecodeCache, Environment, FileSystemLoader, StrictUndefined
from jinja2.bccache import Bucket
from markupsafe import Markup, escape

from wareboard import TEMPLATES
from wareboard.text import languages
from wareboard.text.problems import capital
from wareboard.words.wordfiles import script_words

NOTE_TAGS = {
    "p",
    "br",
    "em",
    "strong",
    "code",
    "pre",
    "ul",
    "ol",
    "li",
    "blockquote",
    "h3",
    "h4",
    "h5",
    "h6",
    "hr",
    "a",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
}
# A note's own headings go below the page's.
_HEADING = re.compile(r"(</?h)([1-6])")
_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_NEVER_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")


class CompiledTemplates(BytecodeCache):
    """Compiled templates, kept where Python keeps this room compiled, and as it does: not where it is told to keep none."""

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what was compiled of just this text; nothing where there is none."""
        with contextlib.suppress(OSError), open(self._place(bucket), "rb") as kept:
            bucket.load_bytecode(kept)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled, whole or not at all."""
        if sys.dont_write_bytecode:
            return
        place = self._place(bucket)
        aside = f"{place}.{os.getpid()}"
        with contextlib.suppress(OSError):
            os.makedirs(os.path.dirname(place), exist_ok=True)
            try:
                with open(aside, "wb") as kept:
                    bucket.write_bytecode(kept)
                os.replace(aside, place)
            except OSError:
                os.unlink(aside)

    @staticmethod
    def _place(bucket: Bucket) -> str:
        room, suffix = os.path.splitext(cache_from_source(__file__))
        return f"{room}.{bucket.key[:16]}.jinja-{jinja2.__version__}{suffix}"


@cache
def environment() -> Environment:
    """Templates from `site_templates/`, each compiled once."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False, finalize=_as_written, extensions=["jinja2.ext.i18n"],
        bytecode_cache=CompiledTemplates(),
    )  # fmt: skip
    made.newstyle_gettext = True  # type: ignore[attr-defined]  # what is put in is handed over with the message
    made.globals.update(gettext=_said, ngettext=_said_of, _=_said, translation_note=languages.translation_note)
    made.filters["notes"] = render_notes
    made.filters["capital"] = capital
    made.filters["linked"] = linked
    made.filters["pointed"] = languages.pointed
    made.filters["continued"] = languages.lowered
    made.filters["ident"] = ident
    made.filters["coded"] = coded
    return made


def give_words(made: Environment) -> None:
    """Give an environment for the templates of the look their words; it escapes nothing, so they do."""
    made.install_gettext_callables(languages._, languages.ngettext)  # type: ignore[attr-defined]
    made.globals.update(translation_note=languages.translation_note, script_words=script_words)


def render(template: str, **context: object) -> str:
    """A template of `site_templates/` with what it is given; a name that it misses is an error."""
    return environment().get_template(template).render(**context)


def _said(message: str, /, **put: object) -> Markup:
    """A template's message in the language that is spoken, with what is put in escaped and cleaned as all that is written."""
    return Markup(languages._(message)) % _put(put)


def _said_of(one: str, many: str, count: int, /, **put: object) -> Markup:
    return Markup(languages.ngettext(one, many, count)) % _put({**put, "num": count})


def _put(put: Mapping[str, object]) -> dict[str, object]:
    return {name: _as_written(value) for name, value in put.items()}


def linked(pages: Iterable[tuple[str, str]]) -> Markup:
    """Titles with their addresses as links, one after another.

    >>> str(linked([("Tea caddy", "forms/tea-caddy.html")]))
    '<a href="forms/tea-caddy.html">Tea caddy</a>'
    """
    return Markup(", ".join(f'<a href="{escape(path)}">{escape(_as_written(title))}</a>' for title, path in pages))


def coded(words: str) -> Markup:
    """Words in which what stands between backticks is typed as it is.

    >>> str(coded("Write `wall: 4`, not <b>."))
    'Write <code>wall: 4</code>, not &lt;b&gt;.'
    """
    pieces = plain(words).split("`")
    if len(pieces) % 2 == 0:
        return escape(plain(words))
    return Markup("").join(
        Markup("<code>{}</code>").format(piece) if place % 2 else piece for place, piece in enumerate(pieces)
    )


def ident(words: str) -> str:
    """Words as the name of a place on a page.

    >>> ident("jar.rim.diameter wet")
    'jar.rim.diameter-wet'
    """
    return "-".join(words.split())


@cache
def _markdown():
    from markdown import Markdown

    reader = Markdown(extensions=["tables", "sane_lists"], output_format="html")
    # Raw HTML is text like any other; what is left is cleaned all the same.
    reader.preprocessors.deregister("html_block")
    reader.inlinePatterns.deregister("html")
    return reader


# What notes came to, by their text; whoever keeps it from one build to the next brings it back here.
known_notes: dict[str, str] = {}


def render_notes(text: str) -> Markup:
    """A maker's Markdown as harmless HTML: no raw HTML, no script, no picture, links that only lead away.

    >>> str(render_notes("Keep it *straight*."))
    '<p>Keep it <em>straight</em>.</p>'
    >>> "<img" in render_notes("<img src=x onerror=alert(1)>")
    False
    """
    if text in known_notes:
        return Markup(known_notes[text])
    import nh3

    reader = _markdown()
    reader.reset()
    html = _HEADING.sub(lambda found: f"{found[1]}{min(6, int(found[2]) + 2)}", reader.convert(plain(text)))
    known_notes[text] = nh3.clean(
        html,
        tags=NOTE_TAGS,
        attributes={"a": {"href", "title"}},
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener noreferrer nofollow",
    )
    return Markup(known_notes[text])


def _as_written(value: object) -> object:
    """What a template is about to write: without characters that no page may hold, and right-to-left text held together."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    text = value if value.isprintable() else plain(value)
    return isolated(text) if _RIGHT_TO_LEFT.search(text) else text


def isolated(text: str) -> str:
    """Text between isolates, so that a right-to-left name does not reorder the numbers beside it (Unicode Standard Annex 9).

    >>> isolated("כד") == "\u2068כד\u2069"
    True
    """
    return f"\u2068{text}\u2069"


def plain(text: str) -> str:
    """Text without the characters that no page may hold."""
    return _NEVER_IN_XML.sub(" ", str(text))
