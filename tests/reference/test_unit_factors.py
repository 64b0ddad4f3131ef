"""Factors of units against the standards and against a general-purpose library.

NIST Special Publication 811, Guide for the Use of the International System of Units, Appendix B,
and NIST Handbook 44, Appendix C (second-hand): pound, ounce, inch, fluid ounces, US and imperial
pint. The rest: pint's own list of units, which this project's short list does not use.
"""

from fractions import Fraction

import pint
import pytest
from wareboard.text.measures import ASKED_IN, UNITS
from wareboard.text.units import parse_quantity, unit_factor


# Source: NIST SP 811 App. B and Handbook 44 App. C (second-hand); exact by definition.
@pytest.mark.parametrize(
    ("name", "factor"),
    [
        ("lb", 453.59237),
        ("oz", 28.349523125),
        ("in", 25.4),
        ("fl oz US", 29.5735295625),
        ("fl oz imp", 28.4130625),
        ("pint US", 473.176473),
        ("pint imp", 568.26125),
    ],
)
def test_published_factors(name, factor):
    assert unit_factor(name) == factor


# Source: pint's default list of units, read by pint with exact fractions.
PINT_NAMES = {
    "us_fluid_ounce": "fluid_ounce",
    "us_pint": "pint",
    **{name: name for name in ("imperial_fluid_ounce", "imperial_pint")},
}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("name", [name for name, (_, factor, _) in UNITS.items() if isinstance(factor, str)])
def test_short_list_agrees_with_the_long_one(registry, name):
    kind, asked, _ = UNITS[name]
    if kind == "temperature":
        asked = f"delta_{asked}"
    base = {"temperature": "kelvin"}.get(kind, ASKED_IN[kind])
    there = registry.Quantity(Fraction(1), PINT_NAMES.get(asked, asked)).to(base).magnitude
    assert unit_factor(name) == float(there)


# Metric: each compound that a maker types, against pint's list.
@pytest.mark.parametrize(
    ("typed", "kind", "there", "base"),
    [
        ("1 g/cm3", "density", "g / cm ** 3", "g / cm ** 3"),
        ("1 kg/l", "density", "kg / liter", "g / cm ** 3"),
        ("1 kg/m3", "density", "kg / m ** 3", "g / cm ** 3"),
        ("1 oz/pint imp", "density", "oz / imperial_pint", "g / cm ** 3"),
        ("1 oz/pint US", "density", "oz / pint", "g / cm ** 3"),
        ("1 lb/ft3", "density", "lb / ft ** 3", "g / cm ** 3"),
        ("1 g/cm2", "areal", "g / cm ** 2", "kg / m ** 2"),
        ("1 g/m2", "areal", "g / m ** 2", "kg / m ** 2"),
        ("1 oz/ft2", "areal", "oz / ft ** 2", "kg / m ** 2"),
        ("1 cm", "length", "cm", "mm"),
        ("1 m", "length", "m", "mm"),
        ("1 kg", "mass", "kg", "g"),
        ("1 l", "volume", "liter", "ml"),
        ("1 mm3", "volume", "mm ** 3", "ml"),
        ("1 m3", "volume", "m ** 3", "ml"),
    ],
)
def test_compounds_agree_with_the_long_list(registry, typed, kind, there, base):
    expected = registry.Quantity(Fraction(1), there).to(base).magnitude
    assert parse_quantity(typed, kind).value == pytest.approx(float(expected), rel=1e-15)


# Source: fixed points of the two scales (memory): water freezes at 32 F, boils at 212 F; they meet at -40.
@pytest.mark.parametrize(("typed", "celsius"), [("32 F", 0.0), ("212 F", 100.0), ("-40 F", -40.0)])
def test_fixed_points(typed, celsius):
    assert parse_quantity(typed, "temperature").value == celsius


# Source: a chart of pyrometric cones: large cone 6 at 150 C an hour, 1243 C (read), 2269 F (memory).
def test_a_printed_pair():
    assert round(parse_quantity("2269 F", "temperature").value) == 1243
