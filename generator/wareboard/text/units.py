"""Sizes as a maker types them to plain numbers: `3 1/2 in`, `1 lb 3 oz`, `2 mm wet`.

The grammar here splits the text: number, fraction or mixed number, then a unit from a list,
repeated in falling units. What each unit comes to stands in `measures`, exactly.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.measures import FLUID, IMPERIAL, KINDS, OFFSETS, SPELLED, UNITS
from wareboard.text.problems import did_you_mean, format_words

LONGEST_SIZE = 60


class SizeError(ValueError):
    """A text that is no size of the kind wanted: what is wrong, and what to do about it."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@frozen
class Quantity:
    """A size as typed, its value in its kind's base unit.

    `stage` is the stage at which it holds (`2 mm wet`), `of` the stage that a percentage is
    taken of (`6 % of dry`); each None where nothing was said.
    """

    value: float
    stage: str | None = None
    of: str | None = None


# --- Factors -----------------------------------------------------------------------------------


@cache
def unit_factor(name: str) -> float:
    """How much of its kind's base unit one of a unit is.

    Args:
        name: a unit by its short name, such as `in`, `oz` or `fl oz imp`.
    Returns: mm, g, ml, h, kelvin or share for one of the unit.
    Raises: KeyError, no such unit.
    Source: NIST SP 811 and Handbook 44 (second-hand).
    >>> unit_factor("in"), unit_factor("lb")
    (25.4, 453.59237)
    """
    return float(UNITS[name][1])


INCH_MM = unit_factor("in")


# --- Reading -----------------------------------------------------------------------------------


@frozen
class _Unit:
    name: str
    kind: str
    factor: Fraction
    offset: Fraction = Fraction(0)


_VULGAR = {c: unicodedata.normalize("NFKC", c).replace("⁄", "/") for c in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("”“„‟″〃ʺ", '"'),
        **dict.fromkeys("’‘‛′ʹ`´", "'"),
        **dict.fromkeys("−‐‑‒–", "-"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff\u00ad", None),
        "º": "°",
        "˚": "°",
        "℃": "°C",
        "℉": "°F",
    }
)
_SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_SUBSCRIPTS = "₀₁₂₃₄₅₆₇₈₉"
_PLAIN_DIGITS = str.maketrans(_SUPERSCRIPTS + _SUBSCRIPTS, "0123456789" * 2)
_SET_FRACTION = re.compile(f"([{_SUPERSCRIPTS}]+)[⁄/]([{_SUBSCRIPTS}]+)|([{''.join(_VULGAR)}])")
_POWER = re.compile(r"(?<![a-z])(mm|cm|dm|m|in|ft)\^?([23])(?![\w.])", re.ASCII | re.IGNORECASE)
_ACROSS = re.compile(r"^[Øø⌀∅Φφ]\s?(?=[\d.])")  # Ø 100, as drawings have it
_FEET_DASH = re.compile(r"'-(?=\d)", re.ASCII)  # 3'-4", as drawings have it
_PART = re.compile(
    r"""(?: (?P<whole>\d+) (?:\s|-) (?P<over>\d+)/(?P<under>\d+)
          | (?P<top>\d+)/(?P<bottom>\d+)
          | (?P<decimal>\d+(?:\.\d+)?|\.\d+) )
        \s* (?P<words>(?:[^\d.]|\.(?!\d))*)""",
    re.ASCII | re.VERBOSE,
)
_STAGE = re.compile(
    r"(?:^|(?<=[\s%²³\"'])) (?:(?P<of>of)\s(?:the\s)?)? (?P<stage>wet|leather[-\s]?hard|dry|bisque|fired)$",
    re.VERBOSE,
)


@lru_cache(maxsize=4096)
def parse_quantity(
    text: str,
    kind: str,
    *,
    unit: str | None = None,
    fluid_ounce: str | None = None,
    stage_allowed: bool = True,
    taken_of: tuple[str, ...] = STAGES,
    points: bool = False,
) -> Quantity:
    """A size as a maker types it, to a number in its kind's base unit.

    value = sign × Σ (number × factor) + offset, exact until it becomes a float

    Args:
        text: what was typed.
        kind: one of KINDS.
        unit: the unit of a bare number; None makes a bare number an error.
        fluid_ounce: "US" or "imp", the studio's; None makes a fluid ounce without one an error.
        stage_allowed: whether a trailing stage word is taken.
        taken_of: the stages that a percentage may be taken of, as in `6 % of dry`.
        points: whether tenths of a percent are meant, so that 0.15 without a % is 0.15 %, not 15 %.
    Returns: the value with its stage; a negative size only where a minus was typed.
    Raises: SizeError, the text is no size of that kind.
    Source: grammar, common practice; factors as for `unit_factor`.
    >>> parse_quantity("3 1/2 in", "length").value
    88.9
    >>> parse_quantity("6 % of dry", "share")
    Quantity(value=0.06, stage=None, of='dry')
    """
    if len(text) > LONGEST_SIZE:
        raise SizeError(f"{_quoted(text)} is too long for a size", written_like(kind))
    tidy = _tidied(text)
    if kind == "length":
        tidy = _ACROSS.sub("", tidy)
    sign = -1 if tidy.startswith("-") else 1
    parts = _read_parts(tidy[1:].lstrip() if tidy.startswith(("+", "-")) else tidy)
    if not parts:
        raise _explained(text, tidy, kind) or SizeError(
            f"{_quoted(text)} is not {KINDS[kind].words}", written_like(kind)
        )
    parts[-1], stage, of = _read_stage(text, kind, parts[-1], stage_allowed, taken_of)
    if kind in ("number", "price"):
        return Quantity(float(sign * _read_plain(text, tidy, kind, parts)))
    if len(parts) > 1:
        unit = None  # in 3 ft 4 the maker's inches are not guessed
    units = [_read_unit(text, tidy, kind, words, unit, fluid_ounce, points) for _, words in parts]
    _check_falling(text, units)
    total = sum(number * found.factor for (number, _), found in zip(parts, units))
    return Quantity(float(sign * total + units[0].offset), stage, of)


def written_like(kind: str) -> str:
    """The hint towards any size of a kind.

    >>> written_like("length")
    'write it like 90 mm'
    """
    return f"write it like {KINDS[kind].example}"


def is_across(text: str) -> bool:
    """True where a diameter sign stands before digits: a size, though Ø and φ are letters.

    >>> is_across("Ø100"), is_across("⌀ 3 1/2 in"), is_across("Øst")
    (True, True, False)
    """
    return not text.isascii() and bool(_ACROSS.match(_tidied(text)))


def _tidied(text: str) -> str:
    """The text with fractions, quotes, spaces and signs in the one way that the grammar knows."""
    if not text.isascii():
        text = _SET_FRACTION.sub(_plain_fraction, text).translate(_ALIKE)
    tidy = " ".join(text.replace("''", '"').split())
    if "'" in tidy:
        tidy = _FEET_DASH.sub("' ", tidy)
    return _POWER.sub(lambda found: found[1] + "²³"[int(found[2]) - 2], tidy)


def _plain_fraction(found: re.Match[str]) -> str:
    """½ or ²⁹⁄₃₂ as 1/2 or 29/32, kept apart from digits on either side."""
    top, bottom, vulgar = found.groups()
    plain = _VULGAR[vulgar] if vulgar else f"{top}/{bottom}".translate(_PLAIN_DIGITS)
    before, after = found.string[: found.start()][-1:], found.string[found.end() :][:1]
    return (" " if before.isnumeric() else "") + plain + (" " if after.isnumeric() else "")


def _read_parts(tidy: str) -> list[tuple[Fraction, str]]:
    """Numbers, each with the words after it; empty where the text is not made like that."""
    parts, at = [], 0
    while at < len(tidy):
        found = _PART.match(tidy, at)
        if not found:
            return []
        whole, over, under, top, bottom, decimal, words = found.groups()
        if decimal:
            before, _, after = decimal.partition(".")
            number = Fraction(int(before + after), 10 ** len(after))
        else:
            below = int(under or bottom)
            # 3 9/8 is a slip of the finger: a mixed number's fraction is less than one.
            if below == 0 or (whole and int(over) >= below):
                return []
            number = int(whole or 0) + Fraction(int(over or top), below)
        words = words.replace(".", "").strip().casefold()
        parts.append((number, words.rstrip(",") or words))
        at = found.end()
    return parts


def _read_stage(
    text: str, kind: str, part: tuple[Fraction, str], allowed: bool, taken_of: tuple[str, ...]
) -> tuple[tuple[Fraction, str], str | None, str | None]:
    """The last part without its stage, the stage, and the stage that a share is taken of."""
    number, words = part
    found = None if words in SPELLED else _STAGE.search(words)
    if not found:
        return part, None, None
    part = number, words[: found.start()].rstrip()
    if _STAGE.search(part[1]):
        raise SizeError(f"{_quoted(text)} names more than one stage", "leave one of them out")
    stage = "leather-hard" if found["stage"].startswith("leather") else found["stage"]
    if kind == "share":
        if of := re.search(r" (wet|dry) to$", part[1]):
            raise SizeError(
                f"{_quoted(text)} goes from one stage to another", f"did you mean '{_short(number)} % of {of[1]}'?"
            )
        if not found["of"]:
            near = f"did you mean '{_short(number)} % of {stage}'?" if stage in taken_of else f"leave '{stage}' out"
            raise SizeError(f"{_quoted(text)}: a percentage holds at no stage; it is taken of one", near)
        if stage not in taken_of:
            raise SizeError(
                f"{_quoted(text)}: no percentage is taken of {stage} here", "write the share alone, as it is asked for"
            )
        return part, None, stage
    if found["of"]:
        raise SizeError(f"{_quoted(text)}: only a percentage is taken 'of' a stage")
    if not (allowed and KINDS[kind].staged):
        raise SizeError(f"{_quoted(text)}: no stage is wanted here", f"leave '{stage}' out")
    return part, stage, None


def _read_plain(text: str, tidy: str, kind: str, parts: list[tuple[Fraction, str]]) -> Fraction:
    """A number or a price: no unit, and for a price no fraction."""
    number, words = parts[0]
    if len(parts) == 1 and kind == "number" and words.strip() == "%":
        raise SizeError(f"{_quoted(text)} is not {KINDS[kind].words}", f"did you mean '{_short(number / 100)}'?")
    if len(parts) > 1 or words or (kind == "price" and "/" in tidy):
        raise _explained(text, tidy, kind) or SizeError(
            f"{_quoted(text)} is not {KINDS[kind].words}",
            f"write the number alone, like {KINDS[kind].example}",
        )
    return number


def _read_unit(
    text: str, tidy: str, kind: str, words: str, unit: str | None, fluid_ounce: str | None, points: bool
) -> _Unit:
    """The unit that the words name, of the kind wanted."""
    if not words:
        if unit is None:
            raise _explained(text, tidy, kind) or _without_unit(text, tidy, kind, points)
        words = _tidied(unit).casefold()
    found = _find_unit(words, fluid_ounce)
    if found is None:
        raise _explained(text, tidy, kind) or _unknown_unit(text, kind, words)
    if found.kind == "fluid":
        raise SizeError(
            f"{_quoted(text)}: a {'fluid ounce' if found.name == 'fl oz' else found.name} is not the same in the "
            "two systems",
            f"write {found.name} US or {found.name} imp, or set fluid_ounce in studio.yaml",
        )
    if found.kind != kind:
        raise _wrong_kind(text, tidy, kind, found)
    return found


@lru_cache(maxsize=1024)
def _find_unit(words: str, fluid_ounce: str | None) -> _Unit | None:
    """The unit of that spelling; of kind `fluid` where US or imp is still to be said."""
    words = words.replace("per cent", "percent").replace(" per ", "/")
    above, stroke, below = (part.strip() for part in words.partition("/"))
    if not stroke:
        name = SPELLED.get(words)
        if name in FLUID:
            if fluid_ounce is None:
                return _Unit(name, "fluid", Fraction(1))
            name = f"{name} {fluid_ounce}"
        return _Unit(name, *UNITS[name][:2], OFFSETS.get(name, Fraction(0))) if name else None
    over, under = _find_unit(above, fluid_ounce), _find_unit(below, fluid_ounce)
    if over is None or under is None or over.kind != "mass":
        return None
    match under.kind:
        case "volume":
            return _Unit(words, "density", over.factor / under.factor)
        case "area":
            return _Unit(words, "areal", over.factor / 1000 / under.factor)
        case "fluid":
            return under
    return None


def _check_falling(text: str, units: list[_Unit]) -> None:
    """Raise where the parts don't fall: 1 lb 3 oz may be added, 3 oz 1 lb and 1 lb 3 g may not."""
    for larger, smaller in pairwise(units):
        if larger.kind not in ("length", "mass", "volume", "time"):
            raise SizeError(f"{_quoted(text)} is more than one size", "write one")
        if larger.factor <= smaller.factor:
            raise SizeError(
                f"{_quoted(text)}: {smaller.name} comes after {larger.name}; units run from large to small",
                "write the larger unit first, as in 1 lb 3 oz",
            )
        if (larger.name in IMPERIAL) != (smaller.name in IMPERIAL):
            raise SizeError(f"{_quoted(text)} mixes metric and imperial units", "write the whole size in one of them")


# --- Saying what is wrong ----------------------------------------------------------------------

# What people type that this grammar must not guess at: pattern, what is said, what to do.
_SLIPS = (
    (r"[×✕✖*]|(?<![a-z])x(?![a-z])", "is more than one size", "write each under its own key"),
    (r"±|\+/-", "has a ±", "write one size, without it"),
    (r"\d_\d", "has a '_' among its digits", "write the digits together"),
    (r"\d\s?e\s?[-+]?\d", "is in powers of ten", "write the number out, as 1000 for 1e3"),
    (r"\d:\d", "has a ':'", "write it as one number and a unit, as 90 min for 1:30 h"),
    (r"\d\s?(-|to|\.\.+|…)\s?\d+(?![\d/])", "looks like a range", "write one size"),
    (r"/0+(?!\d)", "has a fraction with nothing below the line", ""),
    (r"\d(\s-\s?|-\s)\d+/\d", "has a gap beside its dash", "write it like 3 1/2 or 3-1/2"),
    (r"\d\s\d+(?![\d/])", "has two numbers and no unit between them", "write a number's digits together"),
)


_A_SIDE = re.compile(r"(\d+(?:\.\d+)?)\s?([a-z\"]*) (?:a|per|each|either|on each) side", re.ASCII | re.IGNORECASE)
_PRICE = re.compile(r"[$£€¥]\s?(\d+(?:\.\d+)?)|(\d+(?:\.\d+)?)\s?(?:[$£€¥]|[a-z]{3})", re.IGNORECASE)


def _explained(text: str, tidy: str, kind: str) -> SizeError | None:
    """The error for a slip that is known, else None."""
    said = _quoted(text)
    if not tidy:
        return SizeError(f"{KINDS[kind].words} is missing here", written_like(kind))
    if any(c.isdigit() and not c.isascii() and unicodedata.category(c) == "Nd" for c in tidy):
        return SizeError(f"{said} has digits of another script", "write it with the digits 0 to 9")
    if comma := re.search(r"(\d*),(\d+)", tidy, re.ASCII):
        shown = _printable(tidy)
        pointed = shown.replace(",", ".")
        if len(comma[2]) == 3 and comma[1].lstrip("0"):
            return SizeError(f"{said} has a comma", f"write {shown.replace(',', '')} or {pointed}")
        return SizeError(f"{said} has a decimal comma", f"write {pointed}")
    if kind == "length" and (side := _A_SIDE.fullmatch(tidy)):
        half = f"{side[1]} {side[2]}".strip()
        both = f"{_short(2 * Fraction(side[1]))} {side[2]}".strip()
        return SizeError(
            f"{said} is on one side; a diameter and a clearance are both sides",
            f"write {both}, or {half} where one side is meant",
        )
    if kind == "price" and (price := _PRICE.fullmatch(tidy)):
        return SizeError(f"{said} has a currency", f"did you mean '{price[1] or price[2]}'?")
    for pattern, slip, hint in _SLIPS:
        if re.search(pattern, tidy, re.ASCII | re.IGNORECASE):
            return SizeError(f"{said} {slip}", hint)
    mixed = re.search(r"\d[\s-](\d+)/(\d+)", tidy, re.ASCII)
    if mixed and int(mixed[1]) >= int(mixed[2]):
        return SizeError(f"{said} has a fraction that is one or more", "write it like 3 1/2")
    return None


def _without_unit(text: str, tidy: str, kind: str, points: bool) -> SizeError:
    """The error for a bare number."""
    said = _quoted(text)
    parts = _read_parts(tidy.lstrip("+- "))
    if len(parts) > 1:
        return SizeError(f"{said}: a number has no unit", "write one after each, as in 3 ft 4 in")
    if kind == "share":
        number = parts[0][0]
        percent = _short(number * 100 if number < (Fraction(1, 100) if points else 1) else number)
        return SizeError(f"{said} has no %", f"did you mean '{percent} %'?")
    units = {
        "length": ("mm", "cm", "in"),
        "mass": ("g", "kg", "oz", "lb"),
        "volume": ("ml", "l", "fl oz US", "fl oz imp"),
        "density": ("g/cm3", "g/ml", "kg/l"),
        "area": ("cm2", "m2"),
        "areal": ("kg/m2", "g/cm2"),
        "time": ("s", "min", "h", "days"),
        "temperature": ("C", "F"),
    }[kind]
    return SizeError(f"{said} has no unit", f"write {format_words(units)} after it")


_FROM_ELSEWHERE = re.compile(r"(?:above|below|beneath|down|from|off|over|under|up)\b")


def _unknown_unit(text: str, kind: str, words: str) -> SizeError:
    """The error for words that are no unit."""
    if words == "°":
        return SizeError(f"{_quoted(text)} doesn't say which degrees", "write C or F")
    if _STAGE.search(words):
        return SizeError(f"{_quoted(text)} has its stage in the middle", "write the stage last")
    head, _, rest = words.partition(" ")
    if kind == "length" and _FROM_ELSEWHERE.match(rest):
        return SizeError(
            f"{_quoted(text)} isn't measured from the foot", "write a height above the foot alone, or a station's name"
        )
    if rest and KINDS[kind].staged and SPELLED.get(head) in UNITS:
        return SizeError(
            f"{_quoted(text)}: {_quoted(rest)} is not a stage",
            did_you_mean(rest, STAGES, f"the stages are {format_words(STAGES, 'and')}", sign="'"),
        )
    known = [spelled for spelled, name in SPELLED.items() if _kind_of(name) == kind and len(spelled) > 1]
    return SizeError(
        f"{_quoted(text)}: {_quoted(words)} is not a unit for {KINDS[kind].words}",
        did_you_mean(words, (*known, *STAGES), written_like(kind), sign="'"),
    )


def _wrong_kind(text: str, tidy: str, kind: str, found: _Unit) -> SizeError:
    """The error for a size of another kind."""
    message = f"{_quoted(text)} is {KINDS[found.kind].words}; {KINDS[kind].words} is wanted"
    if found.name == "oz" and kind == "volume":
        return SizeError(message, "a fluid ounce is written fl oz US or fl oz imp")
    if found.name == "m" and kind == "time":
        return SizeError(message, "minutes are written min")
    return SizeError(message, written_like(kind))


def _kind_of(name: str) -> str:
    return "volume" if name in FLUID else UNITS[name][0]


def _quoted(text: str) -> str:
    """The text in quotes, cut where it is long and safe to print."""
    shown = _printable(text[:LONGEST_SIZE])
    return f"'{shown}…'" if len(text) > LONGEST_SIZE else f"'{shown}'"


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def _short(number: Fraction) -> str:
    return f"{float(number):.6g}"
