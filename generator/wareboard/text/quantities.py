"""Plain numbers to what a maker reads and sets: rounded to the tool, in either system.

Each `format_` returns the number and its unit apart, so that a table can set them apart. A
size that is set is rounded to the step of the tool it is set with; nothing has more digits
than it is worth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from wareboard.text.languages import _, pointed
from wareboard.text.units import unit_factor

METRIC = "metric"
IMPERIAL = "imperial"
DUST = 1e-6  # of a step: what float arithmetic leaves behind, never what a maker meant

_VULGAR = {
    Fraction(1, 2): "½",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
    Fraction(1, 8): "⅛",
    Fraction(3, 8): "⅜",
    Fraction(5, 8): "⅝",
    Fraction(7, 8): "⅞",
}
_SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SUBSCRIPT = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_SHOWN_UNITS = {"cm2": "cm²", "cm3": "cm³", "g/cm3": "g/cm³", "kg/m2": "kg/m²", "degC": "°C"}


class Steps(NamedTuple):
    """The steps of a studio's tools: its scale, its ruler, its inch ruler."""

    scale_g: float = 5.0
    ruler_mm: float = 0.5
    inch_in: float = 1 / 32


# Which way a weight is rounded: a ball must be enough, a weight to trim at must not be passed.
Way = Literal["near", "up", "down"]

# --- Rounding ----------------------------------------------------------------------------------


def round_to_step(value: float, step: float) -> float:
    """The nearest whole number of steps, halves away from nought.

    step × ⌊|value| / step + ½⌋, with the sign of value

    Args:
        value: any finite number.
        step: in the same unit, > 0.
    Returns: a multiple of step, free of float dust.
    Raises: ValueError, step not above 0 or an argument not finite.
    Source: worked: whole steps counted in floats, a millionth of a step taken for dust.
    >>> round_to_step(134.26, 0.5), round_to_step(0.1 + 0.2, 0.1), round_to_step(-1.25, 0.5)
    (134.5, 0.3, -1.5)
    """
    count = math.floor(abs(_steps_in(value, step)) + 0.5 + DUST)
    return _whole_steps(math.copysign(count, value), step)


def round_up_to_step(value: float, step: float) -> float:
    """The least whole number of steps that is not below the value.

    step × ⌈value / step⌉

    Args:
        value: any finite number; up to a millionth of a step over counts as dust.
        step: in the same unit, > 0.
    Returns: a multiple of step, free of float dust.
    Raises: ValueError, step not above 0 or an argument not finite.
    Source: worked: whole steps counted in floats, a millionth of a step taken for dust.
    >>> round_up_to_step(420.0000001, 5), round_up_to_step(420.1, 5)
    (420.0, 425.0)
    """
    return _whole_steps(math.ceil(_steps_in(value, step) - DUST), step)


def round_together(values: Sequence[float], step: float) -> tuple[float, ...]:
    """Amounts in whole steps that add up to their sum as it is rounded itself: the largest remainders are rounded up.

    Args:
        values: each >= 0.
        step: in the same unit, > 0.
    Returns: multiples of step, as many.
    Raises: ValueError, step not above 0 or a value not finite.
    Source: worked: whole steps first, then those that are missing to the largest remainders.
    >>> round_together((11.78, 5.36), 0.1), round_together((1.0, 1.0, 1.0), 2.0)
    ((11.8, 5.3), (2.0, 2.0, 0.0))
    """
    whole = [math.floor(_steps_in(value, step) + DUST) for value in values]
    missing = round(round_to_step(math.fsum(values), step) / step) - sum(whole)
    by_remainder = sorted(range(len(whole)), key=lambda place: whole[place] - _steps_in(values[place], step))
    for place in by_remainder[:missing]:
        whole[place] += 1
    return tuple(_whole_steps(count, step) for count in whole)


def _steps_in(value: float, step: float) -> float:
    if not (step > 0 and math.isfinite(step) and math.isfinite(value)):
        raise ValueError(f"can't round {value} to a step of {step}")
    return value / step


def _whole_steps(count: float, step: float) -> float:
    return round(count * step, 9) + 0.0  # + 0.0 makes -0.0 plain


def _decimals(step: float) -> int:
    """The digits after the point that a step has: 0.5 has one, 5 none."""
    return next((n for n in range(6) if math.isclose(round(step, n), step, rel_tol=1e-9)), 6)


@lru_cache(maxsize=256)
def metric_step(step: float) -> float:
    """A tool's step as it is set in metric: the step itself, or for one that comes from inches or ounces the next of
    1, 2, 5 × 10ⁿ below.

    Args:
        step: in any unit, > 0.
    Returns: in the same unit.
    Source: common practice.
    >>> metric_step(0.5), metric_step(25.4 / 32)
    (0.5, 0.5)
    """
    if _decimals(step) <= 2:
        return step
    power = 10.0 ** math.floor(math.log10(step))
    return round(next(n for n in (5, 2, 1) if n * power <= step * (1 + DUST)) * power, 9)


def _to_step(value: float, step: float, way: Way = "near") -> float:
    if way == "near":
        return round_to_step(value, step)
    return round_up_to_step(value, step) if way == "up" else 0.0 - round_up_to_step(-value, step)


# --- Writing numbers ---------------------------------------------------------------------------


def _decimal(value: float, decimals: int) -> str:
    """The value at that many decimals, halves away from nought, with a true minus."""
    rounded = round_to_step(value, 10.0**-decimals)
    return pointed(f"{rounded:.{decimals}f}").replace("-", "−")


def _mixed(value: float, step: float) -> str:
    """The value as a whole number and a fraction, at a step: 3½, 1²⁹⁄₃₂; in decimals where the
    step is no half of a half of … one."""
    exact_step = Fraction(step).limit_denominator(1024)
    if exact_step.denominator & (exact_step.denominator - 1):
        return _decimal(round_to_step(value, step), _decimals(step))
    rounded = Fraction(round_to_step(value, float(exact_step)))
    whole, rest = divmod(abs(rounded), 1)
    minus = "−" if rounded < 0 else ""
    return minus + (f"{whole or ''}{_fraction(rest)}" if rest else f"{whole}")


def _fraction(part: Fraction) -> str:
    if part in _VULGAR:
        return _VULGAR[part]
    return f"{part.numerator}".translate(_SUPERSCRIPT) + "⁄" + f"{part.denominator}".translate(_SUBSCRIPT)


# --- Sizes -------------------------------------------------------------------------------------


def format_length(length_mm: float, system: str, steps: Steps, *, exact: bool = False) -> tuple[str, str]:
    """A length as it is set with a ruler or calipers.

    Args:
        length_mm: mm.
        system: "metric" or "imperial".
        steps: what the tools can be set to.
        exact: to 0.1 mm or 0.01 in, whatever the tools are.
    Returns: number and unit.
    Raises: ValueError, the length is not finite.
    Source: common practice.
    >>> format_length(79.2, "metric", Steps()), format_length(79.2, "imperial", Steps())
    (('79.0', 'mm'), ('3⅛', 'in'))
    """
    if system == IMPERIAL:
        length_in = length_mm / unit_factor("in")
        return (_decimal(length_in, 2) if exact else _mixed(length_in, steps.inch_in)), "in"
    step = 0.1 if exact else metric_step(steps.ruler_mm)
    return _decimal(round_to_step(length_mm, step), _decimals(step)), "mm"


def format_small_length(length_mm: float, system: str) -> tuple[str, str]:
    """A clearance, a gap or a ±: to 0.1 mm or 1/64 in, whatever the tools are.

    Args:
        length_mm: mm.
        system: "metric" or "imperial".
    Returns: number and unit.
    Raises: ValueError, the length is not finite.
    Source: common practice.
    >>> format_small_length(1.23, "metric"), format_small_length(1.23, "imperial")
    (('1.2', 'mm'), ('³⁄₆₄', 'in'))
    """
    if system == IMPERIAL:
        return _mixed(length_mm / unit_factor("in"), 1 / 64), "in"
    return _decimal(length_mm, 1), "mm"


def format_half_length(whole_mm: float, system: str) -> tuple[str, str]:
    """Half of a clearance, a side: half of it as it is printed, so that two sides make the whole by eye.

    Args:
        whole_mm: both sides, mm.
        system: "metric" or "imperial".
    Returns: number and unit.
    Raises: ValueError, the length is not finite.
    Source: common practice.
    >>> format_half_length(1.52, "metric"), format_half_length(1.43, "metric"), format_half_length(1.23, "imperial")
    (('0.75', 'mm'), ('0.7', 'mm'), ('³⁄₁₂₈', 'in'))
    """
    if system == IMPERIAL:
        return _mixed(round_to_step(whole_mm / unit_factor("in"), 1 / 64) / 2.0, 1 / 128), "in"
    number = _decimal(round_to_step(whole_mm, 0.1) / 2.0, 2)
    return number.removesuffix("0"), "mm"


def round_mass_g(mass_g: float, system: str, steps: Steps, way: Way = "near") -> float:
    """A weight as it is set on the scale, as a number.

    Metric: to the scale's step, from 5 kg on to 10 g. Imperial: to the scale's own step where that is in ounces, else
    to ⅛ oz under 4 oz, ¼ to 10 lb, 1 over that. What either would make nothing of is told to a part of it: a lid of
    2 g is never one of 0 g.

    Args:
        mass_g: g.
        system: "metric" or "imperial".
        steps: what the scale can show.
        way: to the nearest, `up` for a ball that must be enough, `down` for a weight that must not be passed.
    Returns: g.
    Raises: ValueError, the weight is not finite.
    Source: common practice.
    >>> round_mass_g(493.0, "metric", Steps(), "up"), round_mass_g(493.0, "metric", Steps(), "down")
    (495.0, 490.0)
    >>> round(round_mass_g(493.0, "imperial", Steps(), "up") / 28.349523125, 6)
    17.5
    >>> round_mass_g(2.1, "metric", Steps()), round_mass_g(0.0, "metric", Steps())
    (2.0, 0.0)
    """
    if system == IMPERIAL:
        return _to_step(mass_g / unit_factor("oz"), _ounces_shown(mass_g, steps, way), way) * unit_factor("oz")
    step = _grams_shown(mass_g, steps, way)
    rounded = _to_step(mass_g, step, way)
    return rounded if abs(rounded) < 5000 else _to_step(mass_g, max(step, 10.0), way)


def format_mass(mass_g: float, system: str, steps: Steps, way: Way = "near") -> tuple[str, str]:
    """A weight as it is set on the scale, rounded as `round_mass_g` does; kg from 5 kg on, pounds from 16 oz on.

    Args:
        mass_g: g.
        system: "metric" or "imperial".
        steps: what the scale can show.
        way: to the nearest, `up` for a ball that must be enough, `down` for a weight that must not be passed.
    Returns: number and unit; pounds stand in the number.
    Raises: ValueError, the weight is not finite.
    Source: common practice.
    >>> format_mass(493.0, "metric", Steps(), "up"), format_mass(493.0, "imperial", Steps(), "up")
    (('495', 'g'), ('1 lb 1½', 'oz'))
    """
    rounded = round_mass_g(mass_g, system, steps, way)
    if system == IMPERIAL:
        return _pounds(round(rounded / unit_factor("oz"), 9), _ounces_shown(mass_g, steps, way))
    step = _grams_shown(mass_g, steps, way)
    if abs(rounded) < 5000:
        return _decimal(rounded, _decimals(step)), "g"
    return _decimal(rounded / 1000, max(2, _decimals(max(step, 10.0) / 1000))), "kg"


def round_length_mm(length_mm: float, system: str, steps: Steps, way: Way = "near", *, small: bool = False) -> float:
    """A length as a tool can be set to it, as a number: `format_length` writes it without rounding it again.

    Args:
        length_mm: mm.
        system: the system of the tool, "metric" or "imperial".
        steps: what the tools can be set to.
        way: to the nearest step, or never less ("up"), or never more ("down").
        small: to 0.1 mm or 1/64 in, whatever the tools are.
    Returns: mm.
    Raises: ValueError, the length is not finite.
    Source: common practice.
    >>> round_length_mm(79.2, "metric", Steps()), round_length_mm(79.2, "imperial", Steps())
    (79.0, 79.375)
    """
    if system == IMPERIAL:
        inch = unit_factor("in")
        return _to_step(length_mm / inch, 1 / 64 if small else steps.inch_in, way) * inch
    return _to_step(length_mm, 0.1 if small else metric_step(steps.ruler_mm), way)


def _step_that_shows(value: float, step: float, way: Way, parts: float, least: float) -> float:
    """The step, or the coarsest part of it that does not make nothing of what there is."""
    while step / parts >= least and not math.isclose(value, 0.0, abs_tol=DUST) and not _to_step(value, step, way):
        step = round(step / parts, 9)
    return step


def _grams_shown(mass_g: float, steps: Steps, way: Way) -> float:
    return _step_that_shows(mass_g, metric_step(steps.scale_g), way, 10.0, 0.05)


def _ounces_shown(mass_g: float, steps: Steps, way: Way) -> float:
    return _step_that_shows(mass_g / unit_factor("oz"), _ounce_step(mass_g, steps), way, 2.0, 1 / 64)


def mass_step_g(mass_g: float, system: str, steps: Steps) -> float:
    """The step that a weight under 5 kg is rounded to, as `round_mass_g` does.

    Args:
        mass_g: g.
        system: "metric" or "imperial".
        steps: what the scale can show.
    Returns: g.
    Source: common practice.
    >>> mass_step_g(60.0, "metric", Steps()), mass_step_g(60.0, "imperial", Steps())
    (5.0, 3.543690390625)
    """
    return _ounce_step(mass_g, steps) * unit_factor("oz") if system == IMPERIAL else metric_step(steps.scale_g)


def _ounce_step(mass_g: float, steps: Steps) -> float:
    step_oz = steps.scale_g / unit_factor("oz")
    sixteenths = step_oz * 16
    if round(sixteenths) and math.isclose(sixteenths, round(sixteenths), rel_tol=1e-6):
        return round(sixteenths) / 16
    ounces = abs(mass_g) / unit_factor("oz")
    return 1 / 8 if ounces < 4 else 1 / 4 if ounces < 160 else 1.0


def _pounds(mass_oz: float, step_oz: float) -> tuple[str, str]:
    minus = "−" if mass_oz < 0 else ""
    pounds, ounces = divmod(abs(mass_oz), 16)
    if not pounds:
        return minus + _mixed(ounces, step_oz), "oz"
    if not ounces:
        return f"{minus}{pounds:.0f}", "lb"
    return f"{minus}{pounds:.0f} lb {_mixed(ounces, step_oz)}", "oz"


FINE_FLUID_OUNCES = 1 / 8  # a quarter would make a small cup's ± a third too narrow, or twice too wide


def fine_volume_ml(system: str, fluid_ounce: str | None = None) -> float:
    """The finest that a ± of what a vessel holds is printed to.

    Args:
        system: "metric" or "imperial".
        fluid_ounce: "US" or "imp"; None gives ml.
    Returns: ml.
    >>> fine_volume_ml("metric"), fine_volume_ml("imperial", "imp")
    (1.0, 3.5516328125)
    """
    return FINE_FLUID_OUNCES * unit_factor(f"fl oz {fluid_ounce}") if system == IMPERIAL and fluid_ounce else 1.0


def format_fine_volume(volume_ml: float, system: str, fluid_ounce: str | None = None) -> tuple[str, str]:
    """By how much what a vessel holds may be out: to 1 ml or ⅛ fl oz.

    Args:
        volume_ml: ml.
        system: "metric" or "imperial".
        fluid_ounce: "US" or "imp"; None gives ml.
    Returns: number and unit.
    Raises: ValueError, the volume is not finite.
    Source: common practice.
    >>> format_fine_volume(24.4, "metric"), format_fine_volume(24.9, "imperial", "imp")
    (('24', 'ml'), ('⅞', 'fl oz imp'))
    """
    if system == IMPERIAL and fluid_ounce:
        return _fluid_ounces(volume_ml, fluid_ounce, FINE_FLUID_OUNCES)
    return _decimal(volume_ml, 0), "ml"


def _fluid_ounces(volume_ml: float, fluid_ounce: str, step: float) -> tuple[str, str]:
    unit = f"fl oz {fluid_ounce}"
    volume = volume_ml / unit_factor(unit)
    return _mixed(volume, _step_that_shows(volume, step, "near", 2.0, 1 / 32)), unit


def format_volume(volume_ml: float, system: str, fluid_ounce: str | None = None) -> tuple[str, str]:
    """What a vessel holds: to 1 ml, from 100 ml on to 5, from 5 l on to 0.05 l; or to ¼ fl oz; finer where that is nothing.

    Args:
        volume_ml: ml.
        system: "metric" or "imperial".
        fluid_ounce: "US" or "imp"; None gives ml, as a fluid ounce could mean either.
    Returns: number and unit.
    Raises: ValueError, the volume is not finite.
    Source: common practice.
    >>> format_volume(431.7, "metric"), format_volume(431.7, "imperial", "imp")
    (('430', 'ml'), ('15¼', 'fl oz imp'))
    >>> format_volume(0.3, "metric"), format_volume(3.0, "imperial", "imp")
    (('0.3', 'ml'), ('⅛', 'fl oz imp'))
    """
    if system == IMPERIAL and fluid_ounce:
        return _fluid_ounces(volume_ml, fluid_ounce, 1 / 4)
    step = _step_that_shows(volume_ml, 1.0, "near", 10.0, 0.1) if abs(volume_ml) < 100 else 5.0
    rounded = round_to_step(volume_ml, step)
    if abs(rounded) < 5000:
        return _decimal(rounded, _decimals(step)), "ml"
    return _decimal(round_to_step(volume_ml, 50) / 1000, 2), "l"


def format_solid(volume_cm3: float, system: str) -> tuple[str, str]:
    """A volume of clay: to 1 cm³, under 100 to 0.1; or to 0.1 in³.

    Args:
        volume_cm3: cm³.
        system: "metric" or "imperial".
    Returns: number and unit.
    Raises: ValueError, the volume is not finite.
    Source: common practice.
    >>> format_solid(217.4, "metric"), format_solid(217.4, "imperial")
    (('217', 'cm³'), ('13.3', 'in³'))
    """
    if system == IMPERIAL:
        return _decimal(volume_cm3 / unit_factor("in3"), 1), "in³"
    return _decimal(volume_cm3, 1 if abs(volume_cm3) < 99.95 else 0), "cm³"


def format_area(area_cm2: float, system: str) -> tuple[str, str]:
    """An area: to 1 cm², under 100 to 0.1; or to 0.1 in².

    Args:
        area_cm2: cm².
        system: "metric" or "imperial".
    Returns: number and unit.
    Raises: ValueError, the area is not finite.
    Source: common practice.
    >>> format_area(312.4, "metric"), format_area(312.4, "imperial")
    (('312', 'cm²'), ('48.4', 'in²'))
    """
    if system == IMPERIAL:
        return _decimal(area_cm2 * unit_factor("cm2") / unit_factor("in2"), 1), "in²"
    return _decimal(area_cm2, 1 if abs(area_cm2) < 99.95 else 0), "cm²"


# --- The same in both systems ------------------------------------------------------------------


def format_share(share: float) -> tuple[str, str]:
    """A share in per cent, to 0.1; a small one to one digit, and never a false 0 or 100.

    Args:
        share: 0 to 1, or a change with its sign.
    Returns: number and "%".
    Raises: ValueError, the share is not finite.
    Source: common practice.
    >>> format_share(0.1234), format_share(0.00042), format_share(0.99999), format_share(0.0)
    (('12.3', '%'), ('0.04', '%'), ('>99.9', '%'), ('0', '%'))
    """
    percent = share * 100
    if math.isclose(percent, 0, abs_tol=1e-9):
        return "0", "%"
    if math.isclose(percent, 100):
        return "100", "%"
    if 99.95 <= percent < 100:
        return pointed(">99.9"), "%"
    if abs(percent) >= 0.095:
        return _decimal(percent, 1), "%"
    if 0 < percent < 0.005:
        return pointed("<0.01"), "%"
    return _decimal(percent, 2), "%"


def format_density(density_g_cm3: float) -> tuple[str, str]:
    """A density, to 0.01 g/cm³ in either system.

    Args:
        density_g_cm3: g/cm³.
    Returns: number and unit.
    Raises: ValueError, the density is not finite.
    Source: common practice.
    >>> format_density(1.9301)
    ('1.93', 'g/cm³')
    """
    return _decimal(density_g_cm3, 2), "g/cm³"


def format_temperature(temperature_c: float, system: str) -> tuple[str, str]:
    """A temperature, to the degree.

    F = C × 9/5 + 32

    Args:
        temperature_c: °C.
        system: "metric" or "imperial".
    Returns: number and unit.
    Raises: ValueError, the temperature is not finite.
    Source: NIST SP 811 (memory).
    >>> format_temperature(1240, "metric"), format_temperature(1240, "imperial")
    (('1240', '°C'), ('2264', '°F'))
    """
    if system == IMPERIAL:
        return _decimal(temperature_c / unit_factor("degF") + 32, 0), "°F"
    return _decimal(temperature_c, 0), "°C"


def format_time(time_h: float) -> tuple[str, str]:
    """A time, in the unit that suits it: seconds, minutes, hours or days.

    Args:
        time_h: hours.
    Returns: number and unit.
    Raises: ValueError, the time is not finite.
    Source: common practice.
    >>> format_time(0.0125), format_time(0.5), format_time(14), format_time(96)
    (('45', 's'), ('30', 'min'), ('14', 'h'), ('4', 'days'))
    """
    for unit, upto in (("s", 2 / 60), ("min", 2.0), ("h", 72.0)):
        if abs(time_h) < upto:
            return format_number(time_h / unit_factor(unit)), unit
    return format_number(time_h / unit_factor("day")), _("days")


def format_number(value: float, digits: int = 3) -> str:
    """A plain number at that many figures that matter, without noughts at its end.

    Args:
        value: any finite number.
        digits: figures that matter, >= 1; digits before the point are never lost.
    Returns: the number.
    Raises: ValueError, the number is not finite.
    Source: common practice.
    >>> format_number(1.0304), format_number(1200.0), format_number(0.000456)
    ('1.03', '1200', '0.000456')
    """
    if not math.isfinite(value):
        raise ValueError(f"can't write {value}")
    if value == 0:
        return "0"
    # Nine decimals are as fine as rounding to a step goes.
    decimals = min(9, max(0, digits - 1 - math.floor(math.log10(abs(value)))))
    shown = _decimal(value, decimals)
    return shown.rstrip("0").rstrip(pointed(".")) if decimals else shown


def format_figure(
    value: float,
    unit: str,
    system: str,
    steps: Steps,
    *,
    fluid_ounce: str | None = None,
    small: bool = False,
    exact: bool = False,
    way: Way = "near",
) -> tuple[str, str]:
    """A figure of the sheet, by its unit.

    Args:
        value: in `unit`; per cent, not a share, for "%".
        unit: as the sheet has it: mm, cm2, cm3, ml, g, g/cm3, %, h, degC, pieces and the like.
        system: "metric" or "imperial".
        steps: what the tools can be set to.
        fluid_ounce: "US", "imp" or None.
        small: a clearance, a gap or a ±, for a length.
        exact: not rounded to the tool, for a length.
        way: to the nearest, never less (`up`) or never more (`down`), for a weight.
    Returns: number and unit; a unit that is not known here keeps its name and three figures.
    Raises: ValueError, the value is not finite.
    Source: common practice.
    >>> format_figure(12.0, "%", "metric", Steps()), format_figure(430.2, "ml", "metric", Steps())
    (('12.0', '%'), ('430', 'ml'))
    """
    match unit:
        case "mm" if small:
            return format_small_length(value, system)
        case "mm":
            return format_length(value, system, steps, exact=exact)
        case "g":
            return format_mass(value, system, steps, way)
        case "ml":
            return format_volume(value, system, fluid_ounce)
        case "cm3":
            return format_solid(value, system)
        case "cm2":
            return format_area(value, system)
        case "%":
            return format_share(value / 100)
        case "g/cm3":
            return format_density(value)
        case "degC":
            return format_temperature(value, system)
        case "h":
            return format_time(value)
        case "pieces":
            return _decimal(value, 0), _("pieces")
    return format_number(value), _SHOWN_UNITS.get(unit, unit)
