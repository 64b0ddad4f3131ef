"""The faces that cards are set in, the project's own and a studio's, and which signs a text has that none of them can print."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Collection, Iterator, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

from wareboard import TEMPLATES
from wareboard.text.kinds import Word
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project

FAMILY, OTHERS = "Atkinson Hyperlegible Next", "Noto Sans"
# Family, weight, style and file; Greek and Cyrillic come from the second family.
BUNDLED = (
    (FAMILY, 400, "normal", "Regular.ttf"),
    (FAMILY, 700, "normal", "Bold.ttf"),
    (FAMILY, 400, "italic", "Italic.ttf"),
    (OTHERS, 400, "normal", "Others-Regular.ttf"),
    (OTHERS, 700, "normal", "Others-Bold.ttf"),
)
READ = ("Regular.ttf", "Others-Regular.ttf")
# Told without opening a font, which a short command should not have to pay for.
_ALWAYS = frozenset(map(chr, (*range(0x20, 0x7F), *range(0xA1, 0xAD), *range(0xAE, 0x100))))
_SCRIPTS = {
    "HIRAGANA": "Japanese", "KATAKANA": "Japanese", "CJK": "Chinese, Japanese or Korean", "HANGUL": "Korean", "ARABIC": "Arabic",
    "HEBREW": "Hebrew", "DEVANAGARI": "Devanagari", "THAI": "Thai", "GEORGIAN": "Georgian", "ARMENIAN": "Armenian",
}  # fmt: skip


class FontUnreadable(ValueError):
    """A file is no font that can be used; the message says why."""


@cache
def signs_of(font: Path) -> frozenset[int]:
    """The code points that a font file has a sign for. Raises: FontUnreadable."""
    from fontTools.ttLib import TTFont, TTLibError

    try:
        with io.BytesIO(font.read_bytes()) as content, TTFont(content, lazy=True) as opened:
            return frozenset(opened.getBestCmap() or ())
    except (OSError, TTLibError, KeyError, AssertionError, ValueError) as fault:
        raise FontUnreadable(f"{font.name} cannot be read as a TrueType or OpenType font") from fault


def missing_signs(text: str, own: Sequence[Path] = ()) -> list[str]:
    """The signs of a text that neither the project's fonts nor a studio's own have, each once, in order.

    Args:
        text: what is to be printed.
        own: the studio's fonts.
    >>> missing_signs("Crème pot ⌀ 90, κύπελλο, чаша")
    []
    >>> missing_signs("茶入れ")
    ['茶', '入', 'れ']
    """
    odd = [
        sign for sign in dict.fromkeys(unicodedata.normalize("NFC", text)) if sign not in _ALWAYS and _is_drawn(sign)
    ]
    if not odd:
        return []
    fonts = [*(TEMPLATES / "fonts" / name for name in READ), *own]
    return [sign for sign in odd if not any(ord(sign) in signs_of(font) for font in fonts)]


def _is_drawn(sign: str) -> bool:
    return unicodedata.category(sign) not in ("Cc", "Cf", "Zs", "Zl", "Zp")


def script_of(sign: str) -> str:
    """The script of a sign, as a potter would call it; empty where its name does not tell.

    >>> script_of("茶"), script_of("ש")
    ('Chinese, Japanese or Korean', 'Hebrew')
    """
    name = unicodedata.name(sign, "")
    return next((said for start, said in _SCRIPTS.items() if name.startswith(start)), "")


def check_signs(project: Project, own: Sequence[Path] = (), plain: Collection[str] = ()) -> Iterator[Problem]:
    """Texts of a studio that would come off the press with boxes in them, one warning a text.

    Args:
        project: the studio.
        own: its own fonts, all of which can be read.
        plain: files by path that hold nothing but Latin-1, which the project's fonts have.
    """
    specs = [
        project.studio,
        *(spec for kind in ("clays", "glazes", "forms", "kilns") for spec in project.files(kind).values()),
    ]
    for word in (word for spec in specs if spec.at.file not in plain for word in _words_in(spec)):
        missing = [] if word.isascii() else missing_signs(word, own)
        if missing:
            shown = ", ".join(f"'{sign}'" for sign in missing[:5]) + (
                f" and {len(missing) - 5} more" if len(missing) > 5 else ""
            )
            script = script_of(missing[0])
            face = f"a font that has {script}" if script else "a font that has them"
            yield warning(
                "no-glyph",
                word.at,
                f"no font of the cards has {shown}; boxes would be printed instead",
                f"put {face} into specs/fonts/ and name its file under `fonts:` in studio.yaml",
            )


def _words_in(value: object) -> Iterator[Word]:
    """Every text of a record that a maker typed and that may reach paper, names of parts and stations too."""
    if isinstance(value, Word):
        yield value
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from _words_in(getattr(value, field.name))
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _words_in(name)
            yield from _words_in(item)
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from _words_in(item)


def face_rules(own: Sequence[Path] = ()) -> str:
    """The style rules that name every face, for the engine that sets cards; the project's are addressed below its templates.

    Args:
        own: the studio's fonts, in the order in which a sign is looked for.
    """
    rules = [
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; font-style: {style}; src: url(fonts/{name}) }}'
        for family, weight, style, name in BUNDLED
    ]
    rules += [f'@font-face {{ font-family: "{_own_family(font)}"; src: url({font.as_uri()}) }}' for font in own]
    return "\n".join(rules)


def face_list(own: Sequence[Path] = ()) -> str:
    """The families by name, first choice first, as a style sheet lists them."""
    return ", ".join(f'"{family}"' for family in (FAMILY, OTHERS, *map(_own_family, own))) + ", sans-serif"


def _own_family(font: Path) -> str:
    import hashlib

    return f"Own {hashlib.sha256(font.name.encode()).hexdigest()[:8]}"
