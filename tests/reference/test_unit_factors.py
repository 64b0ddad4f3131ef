"""Factors of units against the standards and against a general-purpose library.

NIST Special Publication 811, Guide for the Use of the International System of Units, Appendix B,
and NIST Handbook 44, Appendix C (second-hand): pound, ounce, inch, fluid ounces, US and imperial
pint. The rest: the list of units of the library pint, which the project itself does not use.
"""

from fractions import Fraction

import pint
import pytest
from wareboard.text.measures import OFFSETS, UNITS
from wareboard.text.units import parse_quantity, unit_factor

from tests.every import every


# Source: NIST SP 811 App. B and Handbook 44 App. C (second-hand); exact by definition.
@every(
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


# Source: the default list of the library pint, read with exact fractions; where its name for a unit is not ours.
PINT_NAMES = {
    "in3": "inch ** 3", "ft3": "foot ** 3", "in2": "inch ** 2", "ft2": "foot ** 2", "mm3": "mm ** 3", "m3": "m ** 3",
    "m2": "m ** 2", "cm2": "cm ** 2", "mm2": "mm ** 2", "%": "percent", "fl oz US": "fluid_ounce", "cup US": "cup",
    "pint US": "pint", "quart US": "quart", "gallon US": "gallon", "fl oz imp": "imperial_fluid_ounce",
    "cup imp": "imperial_cup", "pint imp": "imperial_pint", "quart imp": "imperial_quart", "gallon imp": "imperial_gallon",
    "degC": "delta_degC", "degF": "delta_degF",
}  # fmt: skip
BASES = {"length": "mm", "mass": "g", "volume": "ml", "area": "m ** 2", "share": "", "time": "h", "temperature": "delta_degC"}  # fmt: skip


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(non_int_type=Fraction)


@every("name", UNITS)
def test_every_unit_agrees_with_the_long_list(registry, name):
    kind, factor, _ = UNITS[name]
    there = registry.Quantity(Fraction(1), PINT_NAMES.get(name, name)).to(BASES[kind]).magnitude
    assert factor == there


def test_nought_of_a_unit_agrees_with_the_long_list(registry):
    for name, offset in OFFSETS.items():
        assert float(registry.Quantity(Fraction(0), name).to("degC").magnitude) == pytest.approx(
            float(offset), rel=1e-14
        )


# Metric: each compound that a maker types, against pint's list.
@every(
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
@every(("typed", "celsius"), [("32 F", 0.0), ("212 F", 100.0), ("-40 F", -40.0)])
def test_fixed_points(typed, celsius):
    assert parse_quantity(typed, "temperature").value == celsius


# Source: a chart of pyrometric cones: large cone 6 at 150 C an hour, 1243 C (read), 2269 F (memory).
def test_a_printed_pair():
    assert round(parse_quantity("2269 F", "temperature").value) == 1243
