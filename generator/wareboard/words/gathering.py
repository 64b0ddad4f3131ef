"""Every message that is shown, gathered from the program, its templates and its files of words; and catalogues kept in step with them.

`python -m wareboard.words.gathering` after words were added or changed: each catalogue gets the new messages, without a translation
yet, and loses those that are gone. What is not translated is shown in English.
"""

from __future__ import annotations

import ast
import io
import sys
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po
from jinja2.ext import babel_extract

from wareboard import TEMPLATES
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import CATALOGUE, FIGURES
from wareboard.text.formulas import Formula, name_words
from wareboard.text.languages import CATALOGUES, ENGLISH, NAME, READ_BY, speaking
from wareboard.words.wordfiles import NOT_SHOWN, read_word_file, script_messages

PACKAGE = Path(__file__).parents[1]
# Which arguments of which functions are messages; the fourth of a figure that is written is how it came about.
ASKING: dict[str, tuple[int, ...]] = {"_": (0,), "later": (0,), "noted": (0,), "ngettext": (0, 1), "write": (3,)}
JINJA = {"trim_blocks": "true", "lstrip_blocks": "true", "newstyle_gettext": "true"}
WORD_FILES = ("bench", "steps", "cautions", "glossary", "firstweek")
SAID_LATER = {"how", "note"}  # arguments by name that are messages, too
Message = str | tuple[str, ...]


def gather() -> list[Message]:
    """Every message, each once, in the order of the alphabet; a pair where it depends on a count."""
    found = {*_from_program(), *_from_templates(), *_from_word_files(), *_from_figures(), *script_messages()}
    found -= {message[0] for message in found if isinstance(message, tuple)}  # a pair has its first for one alone, too
    return sorted(found, key=lambda message: message[0] if isinstance(message, tuple) else message)


def _from_program() -> Iterator[Message]:
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                yield from _asked_for(node)


def _asked_for(call: ast.Call) -> Iterator[Message]:
    """The message of a call, where it is one that asks for words."""
    name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
    found = [
        call.args[place].value
        for place in ASKING.get(name, ())
        if place < len(call.args) and isinstance(call.args[place], ast.Constant)
    ]
    texts = tuple(text for text in found if isinstance(text, str) and text)
    if texts and len(texts) == len(ASKING[name]):
        yield texts if len(texts) > 1 else texts[0]
    for given in call.keywords:
        if given.arg in SAID_LATER and isinstance(given.value, ast.Constant) and isinstance(given.value.value, str):
            yield from filter(None, (given.value.value,))
    if name == "Formula" and call.args and isinstance(call.args[0], ast.Constant):
        yield from _names_of(Formula(str(call.args[0].value)))


def _names_of(formula: Formula) -> Iterator[str]:
    return filter(None, map(name_words, formula.names))


def _from_figures() -> Iterator[str]:
    yield from (*CATALOGUE, *STAGES)
    for declared in FIGURES:
        yield from filter(None, (declared.words, declared.meaning, declared.source))
        if declared.formula is not None:
            yield from _names_of(declared.formula)


def _from_templates() -> Iterator[Message]:
    for path in sorted(TEMPLATES.rglob("*.html")):
        with path.open("rb") as file:
            for _line, _function, message, _comments in babel_extract(file, ("_", "gettext", "ngettext"), (), JINJA):
                # What is asked for by a name has its message elsewhere.
                kept = tuple(one for one in (message if isinstance(message, tuple) else (message,)) if one)
                if kept:
                    yield kept if len(kept) > 1 else kept[0]


def _from_word_files() -> Iterator[str]:
    with speaking(ENGLISH):
        for name in WORD_FILES:
            yield from _texts_in(read_word_file(name))


def _texts_in(said: object) -> Iterator[str]:
    if isinstance(said, str):
        yield said
    elif isinstance(said, dict):
        for key, value in said.items():
            if key not in NOT_SHOWN:
                yield from _texts_in(value)
    elif isinstance(said, tuple):
        for value in said:
            yield from _texts_in(value)


def read_catalogue(path: Path) -> Catalog:
    """A language's catalogue."""
    with path.open("rb") as file:
        return read_po(file, locale=path.parent.name)


def kept_in_step(catalogue: Catalog) -> Catalog:
    """A catalogue with the messages that there are now, each as it was translated before; in the order of the alphabet."""
    made = Catalog(locale=catalogue.locale, header_comment=catalogue.header_comment, fuzzy=False)
    made.mime_headers = catalogue.mime_headers
    for message in gather():
        known = catalogue.get(message)
        made.add(message, known.string if known else None, user_comments=known.user_comments if known else ())
    return made


def catalogue_text(catalogue: Catalog) -> bytes:
    """A catalogue as its file has it: its head without days, so that the same messages are the same file."""
    known = dict(catalogue.mime_headers)
    head = {
        "Language": str(catalogue.locale),
        "Plural-Forms": known.get("Plural-Forms", ""),
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=utf-8",
        "Content-Transfer-Encoding": "8bit",
        READ_BY: known.get(READ_BY, "nobody"),
    }
    lines = [*catalogue.header_comment.splitlines(), 'msgid ""', 'msgstr ""']
    lines += [f'"{name}: {value}\\n"' for name, value in head.items()]
    text = io.BytesIO()
    write_po(text, catalogue, width=0, no_location=True, omit_header=True)
    return "\n".join(lines).encode() + b"\n\n" + text.getvalue()


def main() -> int:
    """Bring every catalogue up to date and say what is not translated."""
    missing = 0
    for path in sorted(CATALOGUES.glob(f"*/{NAME}.po")):
        catalogue = kept_in_step(read_catalogue(path))
        path.write_bytes(catalogue_text(catalogue))
        wanting = [message for message in catalogue if message.id and not all(_strings(message.string))]
        missing += len(wanting)
        print(f"{path.parent.name}: {len(catalogue)} messages, {len(wanting)} not translated")
    return 1 if missing else 0


def _strings(string: str | tuple[str, ...] | list[str] | None) -> tuple[str, ...]:
    return (string,) if isinstance(string, str) else tuple(string or ()) or ("",)


if __name__ == "__main__":
    sys.exit(main())
