"""Amounts as a message says them: in the system that the studio reads first, not rounded to its tools."""

from __future__ import annotations

import re

from wareboard.text.kinds import Size
from wareboard.text.quantities import format_number
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Studio
from wareboard.text.units import unit_factor


def say(studio: Studio, value: float, unit: str, digits: int = 3) -> str:
    """An amount in words.

    Args:
        studio: whose units are meant.
        value: the amount, in `unit`.
        unit: mm, g or ml; anything else is said as it is.
        digits: figures that matter.
    Returns: number and unit.
    Raises: ValueError, the amount is not finite.
    Source: common practice.
    >>> from wareboard.text.studio_specs import Studio
    >>> from wareboard.text.kinds import Word
    >>> inches = Studio(units=Word("imperial first", None))
    >>> say(Studio(), 2.31, "mm"), say(inches, 2.31, "mm"), say(inches, 420.0, "g"), say(Studio(), 4019991.0, "g")
    ('2.31 mm', '0.0909 in', '14.8 oz', '4020 kg')
    """
    if is_imperial(studio):
        ounce = f"fl oz {studio.fluid_ounce}" if studio.fluid_ounce else None
        other = {"mm": "in", "g": "lb" if abs(value) >= 2 * unit_factor("lb") else "oz", "ml": ounce}.get(unit)
        if other:
            value, unit = value / unit_factor(other), other
    elif unit == "g" and abs(value) >= 10_000:
        value, unit = value / 1000.0, "kg"
    return f"{format_number(value, digits)} {unit}"


def say_as(studio: Studio, value: float, unit: str, form: str) -> str:
    """An amount in the studio's unit: in metric to the digits that `form` asks for, in inches and ounces to three that matter.

    >>> from wareboard.text.studio_specs import Studio
    >>> say_as(Studio(), 1.234, "mm", ".1f"), say_as(Studio(), 446.2, "g", ".0f")
    ('1.2 mm', '446 g')
    """
    return say(studio, value, unit) if is_imperial(studio) else f"{value:{form}} {unit}"


def say_tenths(studio: Studio, length_mm: float) -> str:
    """A small length: to a tenth of a millimetre, or a hundredth where it is less."""
    return say_as(studio, round(length_mm, 1 if length_mm >= 0.05 else 2), "mm", "g")


def typed_length(form: Form, length_mm: str) -> str:
    """Millimetres as a hint has them typed into a form: bare where the form is in mm, else with their unit."""
    return length_mm if str(form.unit or "mm") == "mm" else f"{length_mm} mm"


def is_imperial(studio: Studio) -> bool:
    """Whether the studio reads inches and ounces first."""
    return str(studio.units or "").startswith("imperial")


def say_length(studio: Studio, size: Size) -> str:
    """A length as it was typed, and in the studio's unit where it was typed in another.

    >>> from wareboard.text.studio_specs import Studio
    >>> say_length(Studio(), Size(120.0, None, None, "12 cm", None)), say_length(Studio(), Size(40.0, None, None, "40", None))
    ('12 cm (120 mm)', '40 mm')
    """
    said = say(studio, size.value, "mm")
    if size.typed in (said, said.partition(" ")[0]):
        return said
    return f"{size.typed} ({said})"


_NUMBER = re.compile(r"[0-9.]+")


def is_beyond(size: Size | None, low: float, high: float) -> bool:
    """True for a size that is given and does not lie between two limits, both in its base unit."""
    return size is not None and not low <= size.value <= high


def percent(share: float) -> str:
    """A share as a limit is said.

    >>> percent(0.025)
    '2.5 %'
    """
    return f"{share * 100:g} %"


def meant(size: Size, low: float, high: float, units: tuple[str, ...] = ("mm", "cm", "in")) -> str:
    """A hint towards the size that was most likely meant: the same digits in another unit, or with the point elsewhere.

    Args:
        size: as it was typed.
        low: the least that it would be, in its kind's base unit.
        high: the most.
        units: those that could have been meant.
    >>> meant(Size(120.0, None, None, "12 cm", None), 3.0, 40.0)
    'did you mean `12 mm`?'
    >>> meant(Size(40.0, None, None, "40", None), 1.5, 25.0)
    'did you mean `4`?'
    """
    digits = _NUMBER.match(size.typed)
    if digits is None or digits[0].count(".") > 1 or digits[0] == ".":
        return "look at its unit"
    stage = f" {size.stage}" if size.stage else ""
    bare = digits[0] == size.typed
    for unit in () if bare else units:
        if low <= float(digits[0]) * unit_factor(unit) <= high:
            return f"did you mean `{digits[0]} {unit}{stage}`?"
    for times in (0.1, 10.0):
        if low <= size.value * times <= high:
            moved = format_number(float(digits[0]) * times, 6)
            return f"did you mean `{moved}{size.typed[len(digits[0]) :]}`?"
    return "look at its unit"
