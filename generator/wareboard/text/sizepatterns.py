"""What a size may look like, as a pattern for editors: wider than what is read, never narrower.

The patterns are of the part of regular expressions that Python and ECMAScript share.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from wareboard.text.measures import FLUID, KINDS, SPELLED, UNITS

# What the reader makes sense of before it looks for a number: signs and digits of other alphabets, words with points in them.
ODD = "[^\\x00-\\x7F]|[A-Za-z]\\.+\\s*[A-Za-z]"
_STAGE_WORDS = ("wet", "leather", "hard", "leatherhard", "dry", "bisque", "fired")
_MADE_OF = {"density": ("mass", "volume", "density"), "areal": ("mass", "area", "areal")}
BARE = ("length", "number", "price")  # kinds that a number alone is one of


@cache
def size_pattern(kind: str, *, staged: bool = False, whole: bool = False) -> str:
    """A pattern that every text matches which is read as a size of a kind.

    Args:
        kind: one of `measures.KINDS`.
        staged: a stage may follow.
        whole: of a share, more than 100 % cannot be.
    >>> found = re.compile(size_pattern("share"))
    >>> bool(found.search("6 %")), bool(found.search("6 mm")), bool(found.search("1,4 %"))
    (True, False, False)
    """
    spelled = [text for text, name in SPELLED.items() if _kind_of(name) in _MADE_OF.get(kind, (kind,))]
    words = {word for text in spelled for word in re.findall("[a-z]+", text)}
    signs = {sign for text in spelled for sign in text if sign.isascii() and not sign.isalnum()} | set(" .,/")
    if kind in _MADE_OF:
        words.add("per")
    if kind == "share":
        words |= {"per", "cent", "of", "the", *_STAGE_WORDS}
    elif staged and KINDS[kind].staged:
        words |= set(_STAGE_WORDS)
    if kind in ("number", "price"):
        words, signs = set(), set(" ./")
    listed = "".join(sorted(signs - set("-^ "))).replace("\\", "").replace("]", "")
    token = f"[0-9{listed}\\s^-]" + (f"|(?:{any_of(sorted(words))})(?![A-Za-z])" if words else "")
    unit = "" if kind in BARE else "(?=[\\s\\S]*[A-Za-z%])"
    most = "(?!\\s*\\+?0*(?:[2-9][0-9][0-9]|1[1-9][0-9]|10[1-9]|[1-9][0-9]{3,})(?![0-9/]))" if whole else ""
    return f"{ODD}|^{most}{unit}(?![\\s\\S]*[0-9],[0-9])\\s*[+-]?\\s*(?=\\.?[0-9])(?:{token})+$"


def _kind_of(name: str) -> str:
    return "volume" if name in FLUID else UNITS[name][0]


def any_of(words: Iterable[str]) -> str:
    """Words side by side in a pattern, in either case, longest first; spaces may be of any length."""
    made = ("\\s+".join(map(_either_case, word.split())) for word in sorted(words, key=lambda word: (-len(word), word)))
    return "|".join(made)


def _either_case(word: str) -> str:
    return "".join(
        f"[{sign.lower()}{sign.upper()}]"
        if sign.isascii() and sign.isalpha()
        else f"\\{sign}"
        if sign in "^$\\.*+?()[]{}|/"
        else sign
        for sign in word
    )


def name_pattern(names: Iterable[str]) -> str:
    """A pattern of a maker's own names, and of all that is not plain ASCII, which may be spelt in several ways."""
    return f"[^\\x00-\\x7F]|^\\s*(?:{any_of(names)})\\s*$"
