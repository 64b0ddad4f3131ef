"""Numbers as they are shown: rounded to the tool, carried, and with no digit too many."""

import math

import pytest
from wareboard.text.quantities import (
    Steps,
    format_area,
    format_density,
    format_figure,
    format_length,
    format_mass,
    format_number,
    format_share,
    format_small_length,
    format_solid,
    format_temperature,
    format_time,
    format_volume,
    round_mass_g,
    round_to_step,
    round_up_to_step,
)
from wareboard.text.units import parse_quantity

from tests.every import every

STEPS = Steps(scale_g=5.0, ruler_mm=0.5, inch_in=1 / 32)
IN = 25.4
OZ = 28.349523125


@every(
    ("value", "step", "nearest", "up"),
    [
        (420.0, 5, 420.0, 420.0),
        (420.0000001, 5, 420.0, 420.0),
        (420.01, 5, 420.0, 425.0),
        (422.5, 5, 425.0, 425.0),
        (0.1 + 0.2, 0.1, 0.3, 0.3),
        (1.15, 0.1, 1.2, 1.2),
        (2.675, 0.01, 2.68, 2.68),
        (-1.25, 0.5, -1.5, -1.0),
        (-0.1, 0.5, 0.0, 0.0),
        (0.0, 0.5, 0.0, 0.0),
    ],
)
def test_rounding(value, step, nearest, up):
    assert round_to_step(value, step) == nearest
    assert round_up_to_step(value, step) == up
    assert math.copysign(1, round_to_step(value, step)) == (1 if nearest >= 0 else -1)


@every(("value", "step"), [(1, 0), (1, -1), (math.nan, 1), (math.inf, 1), (1, math.nan), (1, math.inf)])
def test_rounding_refuses(value, step):
    for rounding in (round_to_step, round_up_to_step):
        with pytest.raises(ValueError, match="can't round"):
            rounding(value, step)


@every(
    ("length_mm", "steps", "shown"),
    [
        (79.0, STEPS, "79.0"),
        (79.24, STEPS, "79.0"),
        (79.26, STEPS, "79.5"),
        (99.8, STEPS, "100.0"),
        (0.0, STEPS, "0.0"),
        (-0.1, STEPS, "0.0"),
        (-2.4, STEPS, "−2.5"),
        (79.24, Steps(ruler_mm=1.0), "79"),
        (79.24, Steps(ruler_mm=0.25), "79.25"),
        (79.24, Steps(ruler_mm=IN / 32), "79.0"),  # a ruler in inches: 0.79 mm, so to 0.5
        (79.24, Steps(ruler_mm=IN / 16), "79"),
    ],
)
def test_length_on_the_ruler(length_mm, steps, shown):
    assert format_length(length_mm, "metric", steps) == (shown, "mm")


@every(
    ("length_in", "inch_in", "shown"),
    [
        (0.0, 1 / 32, "0"),
        (0.01, 1 / 32, "0"),
        (0.5, 1 / 32, "½"),
        (0.25, 1 / 32, "¼"),
        (0.75, 1 / 32, "¾"),
        (3.125, 1 / 32, "3⅛"),
        (3.375, 1 / 32, "3⅜"),
        (3.625, 1 / 32, "3⅝"),
        (3.875, 1 / 32, "3⅞"),
        (3 + 3 / 32, 1 / 32, "3³⁄₃₂"),
        (1 + 29 / 32, 1 / 32, "1²⁹⁄₃₂"),
        (2 + 6 / 32, 1 / 32, "2³⁄₁₆"),
        (15.9 / 16, 1 / 16, "1"),
        (2.99, 1 / 16, "3"),
        (12.0, 1 / 32, "12"),
        (-3.5, 1 / 32, "−3½"),
        (-0.001, 1 / 32, "0"),
        (3 + 5 / 64, 1 / 64, "3⁵⁄₆₄"),
        (3.14, 0.1, "3.1"),
        (3.14, 0.05, "3.15"),
        (3.14, 1.0, "3"),
    ],
)
def test_length_on_the_inch_ruler(length_in, inch_in, shown):
    assert format_length(length_in * IN, "imperial", Steps(inch_in=inch_in)) == (shown, "in")


def test_exact_length_minds_no_tool():
    assert format_length(79.24, "metric", STEPS, exact=True) == ("79.2", "mm")
    assert format_length(79.24, "imperial", STEPS, exact=True) == ("3.12", "in")


def test_small_length_minds_no_tool():
    assert format_small_length(1.24, "metric") == ("1.2", "mm")
    assert format_small_length(-0.04, "metric") == ("0.0", "mm")
    assert format_small_length(1.25, "metric") == ("1.3", "mm")
    assert format_small_length(1.24, "imperial") == ("³⁄₆₄", "in")
    assert format_small_length(0.8, "imperial") == ("¹⁄₃₂", "in")


@every(
    ("mass_g", "nearest", "up"),
    [
        (0.0, ("0", "g"), ("0", "g")),
        (421.0, ("420", "g"), ("425", "g")),
        (420.0000001, ("420", "g"), ("420", "g")),
        (4994.0, ("4995", "g"), ("4995", "g")),
        (4999.0, ("5.00", "kg"), ("5.00", "kg")),
        (5432.0, ("5.43", "kg"), ("5.44", "kg")),
        (-12.6, ("−15", "g"), ("−10", "g")),
    ],
)
def test_mass_on_the_scale(mass_g, nearest, up):
    assert format_mass(mass_g, "metric", STEPS) == nearest
    assert format_mass(mass_g, "metric", STEPS, way="up") == up


def test_mass_on_other_scales():
    assert format_mass(421.37, "metric", Steps(scale_g=0.1)) == ("421.4", "g")
    assert format_mass(421.0, "metric", Steps(scale_g=OZ / 4)) == ("420", "g")  # 7.1 g, so to 5
    assert format_mass(5432.0, "metric", Steps(scale_g=25.0)) == ("5.425", "kg")


@every(
    ("mass_oz", "nearest", "up"),
    [
        (0.0, ("0", "oz"), ("0", "oz")),
        (3.3, ("3¼", "oz"), ("3⅜", "oz")),
        (3.99, ("4", "oz"), ("4", "oz")),
        (7.3, ("7¼", "oz"), ("7½", "oz")),
        (15.9, ("1", "lb"), ("1", "lb")),
        (16.0, ("1", "lb"), ("1", "lb")),
        (17.39, ("1 lb 1½", "oz"), ("1 lb 1½", "oz")),
        (16.6, ("1 lb ½", "oz"), ("1 lb ¾", "oz")),
        (32.1, ("2", "lb"), ("2 lb ¼", "oz")),
        (170.4, ("10 lb 10", "oz"), ("10 lb 11", "oz")),
        (-17.5, ("−1 lb 1½", "oz"), ("−1 lb 1½", "oz")),
    ],
)
def test_mass_in_pounds_and_ounces(mass_oz, nearest, up):
    assert format_mass(mass_oz * OZ, "imperial", STEPS) == nearest
    assert format_mass(mass_oz * OZ, "imperial", STEPS, way="up") == up


def test_mass_on_a_scale_in_ounces():
    assert format_mass(17.4 * OZ, "imperial", Steps(scale_g=OZ)) == ("1 lb 1", "oz")
    assert format_mass(17.4 * OZ, "imperial", Steps(scale_g=OZ / 2)) == ("1 lb 1½", "oz")
    assert format_mass(17.4 * OZ, "imperial", Steps(scale_g=OZ / 16)) == ("1 lb 1⅜", "oz")


@every(
    ("volume_ml", "metric", "imperial", "us"),
    [
        (431.7, ("430", "ml"), ("15¼", "fl oz imp"), ("14½", "fl oz US")),
        (97.6, ("98", "ml"), ("3½", "fl oz imp"), ("3¼", "fl oz US")),
        (99.7, ("100", "ml"), ("3½", "fl oz imp"), ("3¼", "fl oz US")),
        (5230.0, ("5.25", "l"), ("184", "fl oz imp"), ("176¾", "fl oz US")),
    ],
)
def test_volume(volume_ml, metric, imperial, us):
    assert format_volume(volume_ml, "metric", "imp") == metric
    assert format_volume(volume_ml, "imperial", "imp") == imperial
    assert format_volume(volume_ml, "imperial", "US") == us
    assert format_volume(volume_ml, "imperial", None) == metric


@every(
    ("share", "shown"),
    [
        (0.0, "0"),
        (1e-15, "0"),
        (0.12, "12.0"),
        (0.123449, "12.3"),
        (0.215, "21.5"),
        (0.001, "0.1"),
        (0.00042, "0.04"),
        (0.00094, "0.09"),
        (0.00098, "0.1"),
        (0.00001, "<0.01"),
        (0.9994, "99.9"),
        (0.99951, ">99.9"),
        (1.0, "100"),
        (1.0 - 1e-14, "100"),
        (1.2, "120.0"),
        (-0.034, "−3.4"),
    ],
)
def test_share(share, shown):
    assert format_share(share) == (shown, "%")


def test_areas_and_volumes_of_clay():
    assert format_area(312.44, "metric") == ("312", "cm²")
    assert format_area(99.94, "metric") == ("99.9", "cm²")
    assert format_area(99.96, "metric") == ("100", "cm²")
    assert format_area(6.4516, "imperial") == ("1.0", "in²")
    assert format_solid(217.4, "metric") == ("217", "cm³")
    assert format_solid(16.387064, "imperial") == ("1.0", "in³")
    assert format_density(1.925) == ("1.93", "g/cm³")


def test_temperatures():
    assert format_temperature(1240.4, "metric") == ("1240", "°C")
    assert format_temperature(0, "imperial") == ("32", "°F")
    assert format_temperature(-40, "imperial") == ("−40", "°F")


@every(
    ("time_h", "shown"),
    [
        (45 / 3600, ("45", "s")),
        (90 / 3600, ("90", "s")),
        (130 / 3600, ("2.17", "min")),
        (0.5, ("30", "min")),
        (1.5, ("90", "min")),
        (2.5, ("2.5", "h")),
        (48, ("48", "h")),
        (168, ("7", "days")),
        (0, ("0", "s")),
    ],
)
def test_times(time_h, shown):
    assert format_time(time_h) == shown


@every(
    ("value", "shown"),
    [
        (0, "0"),
        (1.0304, "1.03"),
        (1.0, "1"),
        (9.999, "10"),
        (1234.5, "1235"),
        (1200, "1200"),
        (0.000456, "0.000456"),
        (-2.5, "−2.5"),
        (1e-30, "0"),
        (100, "100"),
    ],
)
def test_numbers(value, shown):
    assert format_number(value) == shown


@every(
    ("value", "unit", "metric", "imperial"),
    [
        (79.2, "mm", ("79.0", "mm"), ("3⅛", "in")),
        (421.0, "g", ("420", "g"), ("14¾", "oz")),
        (430.2, "ml", ("430", "ml"), ("15¼", "fl oz imp")),
        (217.4, "cm3", ("217", "cm³"), ("13.3", "in³")),
        (312.4, "cm2", ("312", "cm²"), ("48.4", "in²")),
        (12.0, "%", ("12.0", "%"), ("12.0", "%")),
        (1.93, "g/cm3", ("1.93", "g/cm³"), ("1.93", "g/cm³")),
        (1240, "degC", ("1240", "°C"), ("2264", "°F")),
        (14, "h", ("14", "h"), ("14", "h")),
        (26.0, "pieces", ("26", "pieces"), ("26", "pieces")),
        (0.9, "kg/m2", ("0.9", "kg/m²"), ("0.9", "kg/m²")),
        (7.25, "boards", ("7.25", "boards"), ("7.25", "boards")),
    ],
)
def test_figures_by_their_unit(value, unit, metric, imperial):
    assert format_figure(value, unit, "metric", STEPS, fluid_ounce="imp") == metric
    assert format_figure(value, unit, "imperial", STEPS, fluid_ounce="imp") == imperial


def test_figures_pass_their_settings_on():
    assert format_figure(1.24, "mm", "metric", STEPS, small=True) == ("1.2", "mm")
    assert format_figure(79.24, "mm", "metric", STEPS, exact=True) == ("79.2", "mm")
    assert format_figure(421, "g", "metric", STEPS, way="up") == ("425", "g")


@every("unit", ["mm", "g", "ml", "cm3", "cm2", "%", "g/cm3", "degC", "h", "pieces", "boards"])
@every("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_shown(value, unit):
    for system in ("metric", "imperial"):
        with pytest.raises(ValueError):
            format_figure(value, unit, system, STEPS, fluid_ounce="US")


@every(
    "mass_g, way, rounded",
    [
        (493.0, "near", 495.0),
        (493.0, "up", 495.0),
        (493.0, "down", 490.0),
        (495.0, "down", 495.0),
        (5321.0, "down", 5320.0),
        (0.0, "down", 0.0),
    ],
)
def test_a_weight_is_rounded_to_a_number_first(mass_g, way, rounded):
    assert round_mass_g(mass_g, "metric", STEPS, way) == rounded
    number, unit = format_mass(mass_g, "metric", STEPS, way)
    assert float(number) * {"g": 1.0, "kg": 1000.0}[unit] == pytest.approx(rounded)
    assert math.copysign(1.0, round_mass_g(0.0, "metric", STEPS, "down")) == 1.0


@every("way", ["near", "up", "down"])
def test_ounces_are_rounded_the_same_way(way):
    for mass_g in (17.0, 113.0, 493.0, 2700.0, 7000.0):
        rounded = round_mass_g(mass_g, "imperial", STEPS, way)
        assert (
            rounded >= mass_g - 1e-6
            if way == "up"
            else rounded <= mass_g + 1e-6
            if way == "down"
            else abs(rounded - mass_g) < 15.0
        )


@every("system, ounce", [("metric", None), ("imperial", "imp"), ("imperial", "US")])
def test_what_there_is_of_a_small_pot_is_never_shown_as_nothing(system, ounce):
    """As it was: a lid of 2 g was one of 0 g on its card, and a salt bowl of 3 ml held 0 fl oz."""
    for grams in (0.6, 1.0, 2.1, 2.4, 2.6, 4.9, 30.0):
        number, unit = format_mass(grams, system, STEPS)
        shown = parse_quantity(f"{number} {unit}", "mass").value
        assert shown == pytest.approx(round_mass_g(grams, system, STEPS), abs=1e-6)
        assert shown > 0.0 and abs(shown - grams) <= max(0.5 * grams, 2.5)
    for ml in (0.6, 3.0, 3.4, 12.0):
        assert parse_quantity(" ".join(format_volume(ml, system, ounce)), "volume").value > 0.0
    assert format_mass(0.0, system, STEPS)[0] == format_volume(0.0, system, ounce)[0] == "0"
    assert round_mass_g(4.0, system, STEPS, "down") > 0.0  # a weight not to be passed
