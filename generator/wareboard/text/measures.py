"""The units of the trade: what kind each is, how big, and every way it is typed. Data only."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Kind:
    """What can be asked of a size: its base unit, its name in a message, one written out."""

    base: str
    words: str
    example: str
    staged: bool = False


KINDS = MappingProxyType(
    {
        "length": Kind("mm", "a length", "90 mm", staged=True),
        "mass": Kind("g", "a weight", "420 g", staged=True),
        "volume": Kind("ml", "a volume", "350 ml", staged=True),
        "area": Kind("m2", "an area", "310 cm²", staged=True),
        "share": Kind("", "a percentage", "12 %"),
        "density": Kind("g/cm3", "a density", "1.95 g/cm3", staged=True),
        "areal": Kind("kg/m2", "a weight on an area", "0.9 kg/m2", staged=True),
        "time": Kind("h", "a time", "45 s"),
        "temperature": Kind("degC", "a temperature", "1240 C"),
        "number": Kind("", "a plain number", "1.03"),
        "price": Kind("", "a price", "34.00"),
    }
)

# --- Units -------------------------------------------------------------------------------------

# Each unit: its kind, how much of the kind's base it is (or what pint calls it), how it is typed.
UNITS: dict[str, tuple[str, Fraction | str, str]] = {
    "mm": ("length", Fraction(1), "mm millimetre millimetres millimeter millimeters"),
    "cm": ("length", Fraction(10), "cm centimetre centimetres centimeter centimeters"),
    "m": ("length", Fraction(1000), "m metre metres meter meters"),
    "in": ("length", "inch", 'in ins inch inches "'),
    "ft": ("length", "foot", "ft foot feet '"),
    "g": ("mass", Fraction(1), "g gm gms gram grams gramme grammes"),
    "kg": ("mass", Fraction(1000), "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes"),
    "oz": ("mass", "ounce", "oz ozs ounce ounces"),
    "lb": ("mass", "pound", "lb lbs pound pounds"),
    "ml": ("volume", Fraction(1), "ml millilitre millilitres milliliter milliliters cm³ cc"),
    "cl": ("volume", Fraction(10), "cl centilitre centilitres centiliter centiliters"),
    "l": ("volume", Fraction(1000), "l litre litres liter liters dm³"),
    "mm3": ("volume", Fraction(1, 1000), "mm³"),
    "m3": ("volume", Fraction(1_000_000), "m³"),
    "in3": ("volume", "inch ** 3", "in³"),
    "ft3": ("volume", "foot ** 3", "ft³"),
    "fl oz US": ("volume", "us_fluid_ounce", ""),
    "fl oz imp": ("volume", "imperial_fluid_ounce", ""),
    "pint US": ("volume", "us_pint", ""),
    "pint imp": ("volume", "imperial_pint", ""),
    "m2": ("area", Fraction(1), "m²"),
    "cm2": ("area", Fraction(1, 10_000), "cm²"),
    "mm2": ("area", Fraction(1, 1_000_000), "mm²"),
    "in2": ("area", "inch ** 2", "in²"),
    "ft2": ("area", "foot ** 2", "ft²"),
    "%": ("share", Fraction(1, 100), "% percent"),
    "h": ("time", Fraction(1), "h hr hrs hour hours"),
    "s": ("time", "second", "s sec secs second seconds"),
    "min": ("time", "minute", "min mins minute minutes"),
    "day": ("time", "day", "d day days"),
    "degC": ("temperature", Fraction(1), "c °c degc celsius"),
    "degF": ("temperature", "degree_Fahrenheit", "f °f degf fahrenheit"),
}
IMPERIAL = frozenset({"in", "ft", "oz", "lb", "in3", "ft3", "fl oz US", "fl oz imp", "pint US", "pint imp"})

# The two fluid systems differ by 4 % in the ounce and 20 % in the pint, so neither is guessed.
FLUID = {"fl oz": ("fl oz", "floz", "fluid ounce", "fluid ounces"), "pint": ("pint", "pints", "pt", "pts")}
SYSTEMS = {"US": ("us", "usa"), "imp": ("imp", "imperial", "uk")}


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

# Only what the trade uses: loads in 3 ms, where pint's own list takes 190. Exact by definition.
DEFINITIONS = """
    milli- = 1e-3
    meter = [length]
    gram = [mass]
    second = [time]
    kelvin = [temperature]; offset: 0
    inch = 25.4 * millimeter
    foot = 12 * inch
    pound = 453.59237 * gram
    ounce = pound / 16
    milliliter = 1e-6 * meter ** 3
    us_gallon = 231 * inch ** 3
    us_pint = us_gallon / 8
    us_fluid_ounce = us_gallon / 128
    imperial_gallon = 4546.09 * milliliter
    imperial_pint = imperial_gallon / 8
    imperial_fluid_ounce = imperial_gallon / 160
    minute = 60 * second
    hour = 60 * minute
    day = 24 * hour
    degree_Celsius = kelvin; offset: 273.15
    degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
"""
ASKED_IN = {
    "length": "millimeter",
    "mass": "gram",
    "volume": "milliliter",
    "area": "meter ** 2",
    "time": "hour",
    "temperature": "degree_Celsius",
}
