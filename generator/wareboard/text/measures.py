"""How the units of the trade are typed: what kind each is, how big, every spelling; and what a size may look like, as a pattern for editors.

The patterns are of the part of regular expressions that Python and ECMAScript share; wider than what is read, never narrower.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from wareboard.pot.frozen import frozen

# What the reader makes sense of before it looks for a number: signs and digits of other alphabets, words with points in them.
ODD = "[^\\x00-\\x7F]|[A-Za-z]\\.+\\s*[A-Za-z]"
_STAGE_WORDS = ("wet", "leather", "hard", "leatherhard", "dry", "bisque", "fired")
_MADE_OF = {"density": ("mass", "volume", "density"), "areal": ("mass", "area", "areal")}
BARE = ("length", "number", "price")  # kinds that a number alone is one of


@frozen
class Asked:
    """What can be asked of a size: its base unit, its name in a message, one written out."""

    base: str
    words: str
    example: str
    staged: bool = False


KINDS = MappingProxyType(
    {
        "length": Asked("mm", "a length", "90 mm", staged=True),
        "mass": Asked("g", "a weight", "420 g", staged=True),
        "volume": Asked("ml", "a volume", "350 ml", staged=True),
        "share": Asked("", "a percentage", "12 %"),
        "density": Asked("g/cm3", "a density", "1.95 g/cm3", staged=True),
        "areal": Asked("kg/m2", "a weight on an area", "0.9 kg/m2", staged=True),
        "area": Asked("m2", "an area", "84 cm2"),
        "time": Asked("h", "a time", "45 s"),
        "temperature": Asked("degC", "a temperature", "1240 C"),
        "number": Asked("", "a plain number", "1.03"),
        "price": Asked("", "a price", "34.00"),
    }
)

# --- Units -------------------------------------------------------------------------------------

# Exact by definition: the inch and the pound of 1959, the gallons of 231 in³ and of 4.54609 l.
_INCH_MM = Fraction(254, 10)
_POUND_G = Fraction(45_359_237, 100_000)
_US_GALLON_ML = 231 * _INCH_MM**3 / 1000
_IMP_GALLON_ML = Fraction(454_609, 100)

# Each unit: its kind, how much of the kind's base it is, how it is typed.
UNITS: dict[str, tuple[str, Fraction, str]] = {
    "mm": ("length", Fraction(1), "mm millimetre millimetres millimeter millimeters"),
    "um": ("length", Fraction(1, 1000), "μm um micron microns"),
    "cm": ("length", Fraction(10), "cm centimetre centimetres centimeter centimeters"),
    "m": ("length", Fraction(1000), "m metre metres meter meters"),
    "in": ("length", _INCH_MM, 'in ins inch inches "'),
    "ft": ("length", 12 * _INCH_MM, "ft foot feet '"),
    "g": ("mass", Fraction(1), "g gm gms gram grams gramme grammes"),
    "kg": ("mass", Fraction(1000), "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes"),
    "oz": ("mass", _POUND_G / 16, "oz ozs ounce ounces"),
    "lb": ("mass", _POUND_G, "lb lbs pound pounds"),
    "ml": ("volume", Fraction(1), "ml millilitre millilitres milliliter milliliters cm³ cc"),
    "cl": ("volume", Fraction(10), "cl centilitre centilitres centiliter centiliters"),
    "l": ("volume", Fraction(1000), "l litre litres liter liters dm³"),
    "mm3": ("volume", Fraction(1, 1000), "mm³"),
    "m3": ("volume", Fraction(1_000_000), "m³"),
    "in3": ("volume", _INCH_MM**3 / 1000, "in³"),
    "ft3": ("volume", (12 * _INCH_MM) ** 3 / 1000, "ft³"),
    "fl oz US": ("volume", _US_GALLON_ML / 128, ""),
    "fl oz imp": ("volume", _IMP_GALLON_ML / 160, ""),
    "cup US": ("volume", _US_GALLON_ML / 16, ""),
    "cup imp": ("volume", _IMP_GALLON_ML / 16, ""),
    "pint US": ("volume", _US_GALLON_ML / 8, ""),
    "pint imp": ("volume", _IMP_GALLON_ML / 8, ""),
    "quart US": ("volume", _US_GALLON_ML / 4, ""),
    "quart imp": ("volume", _IMP_GALLON_ML / 4, ""),
    "gallon US": ("volume", _US_GALLON_ML, ""),
    "gallon imp": ("volume", _IMP_GALLON_ML, ""),
    "m2": ("area", Fraction(1), "m²"),
    "cm2": ("area", Fraction(1, 10_000), "cm²"),
    "mm2": ("area", Fraction(1, 1_000_000), "mm²"),
    "in2": ("area", _INCH_MM**2 / 1_000_000, "in²"),
    "ft2": ("area", (12 * _INCH_MM) ** 2 / 1_000_000, "ft²"),
    "%": ("share", Fraction(1, 100), "% percent"),
    "h": ("time", Fraction(1), "h hr hrs hour hours"),
    "s": ("time", Fraction(1, 3600), "s sec secs second seconds"),
    "min": ("time", Fraction(1, 60), "min mins minute minutes"),
    "day": ("time", Fraction(24), "d day days"),
    "degC": ("temperature", Fraction(1), "c °c degc celsius"),
    "degF": ("temperature", Fraction(5, 9), "f °f degf fahrenheit"),
}
# What nought of a unit is in its kind's base, where that is not nought: 0 °F.
OFFSETS = {"degF": Fraction(-160, 9)}

# The two fluid systems differ by 4 % in the ounce and 20 % in the pint, so neither is guessed.
FLUID = {
    "fl oz": ("fl oz", "floz", "fluid ounce", "fluid ounces"),
    "cup": ("cup", "cups"),
    "pint": ("pint", "pints", "pt", "pts"),
    "quart": ("quart", "quarts", "qt", "qts"),
    "gallon": ("gallon", "gallons", "gal", "gals"),
}
SYSTEMS = {"US": ("us", "usa"), "imp": ("imp", "imperial", "uk")}
IMPERIAL = frozenset(
    {"in", "ft", "oz", "lb", "in3", "ft3", *(f"{name} {system}" for name in FLUID for system in SYSTEMS)}
)


def _spelled() -> dict[str, str]:
    """Every way to type a unit, to the unit's name; `fl oz` and `pint` lead to no unit yet."""
    spelled = {text: name for name, (_, _, texts) in UNITS.items() for text in texts.split()}
    for name, texts in FLUID.items():
        for text in texts:
            spelled[text] = name
            for system, words in SYSTEMS.items():
                for word in words:
                    spelled[f"{text} {word}"] = spelled[f"{word} {text}"] = f"{name} {system}"
    return spelled


SPELLED = _spelled()


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
