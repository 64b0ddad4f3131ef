"""Sizes as typed to plain numbers: every spelling, and every slip with its message."""

import pytest
from wareboard.text.units import LONGEST_SIZE, STAGES, Quantity, SizeError, parse_quantity, unit_factor

from tests.every import every


def refused(text, kind="length", **settings):
    with pytest.raises(SizeError) as raised:
        parse_quantity(text, kind, **settings)
    return raised.value


@every(
    ("text", "length_mm"),
    [
        ("90 mm", 90.0),
        ("90mm", 90.0),
        ("90 MM", 90.0),
        ("90 millimetres", 90.0),
        ("9 cm", 90.0),
        ("9.01 cm", 90.1),
        ("0.09 m", 90.0),
        ("090 mm", 90.0),
        ("90\u00a0mm", 90.0),
        ("90\u2009mm", 90.0),
        ("9\u200b0 mm\ufeff", 90.0),
        ("3 in", 76.2),
        ("3 in.", 76.2),
        ("3 inches", 76.2),
        ("1 inch", 25.4),
        (".5 in", 12.7),
        ("1/32 in", 0.79375),
        ("5/4 in", 31.75),
        ("3 1/2 in", 88.9),
        ("3-1/2 in", 88.9),
        ('3 1/2"', 88.9),
        ('3-1/2"', 88.9),
        ('3½"', 88.9),
        ("3½”", 88.9),
        ("3½“", 88.9),
        ("3½″", 88.9),
        ("3½''", 88.9),
        ("3 ½ in", 88.9),
        ("3-½ in", 88.9),
        ("3 1⁄2 in", 88.9),
        ("3¹⁄₂ in", 88.9),
        ("1²⁹⁄₃₂ in", 48.41875),
        ("⅛ in", 3.175),
        ("⅓ ft", 101.6),
        ("3' 4\"", 1016.0),
        ("3’ 4”", 1016.0),
        ("3′4″", 1016.0),
        ("3'-4 1/2\"", 1028.7),
        ("3 ft 4 in", 1016.0),
        ("3 ft .5 in", 927.1),
        ("1 m 2 cm 3 mm", 1023.0),
        ("-2 mm", -2.0),
        ("− 2 mm", -2.0),
        ("-½ in", -12.7),
        ("+2 mm", 2.0),
        ("0 mm", 0.0),
    ],
)
def test_length_spellings(text, length_mm):
    assert parse_quantity(text, "length") == Quantity(length_mm)


@every(
    ("text", "kind", "value"),
    [
        ("1 lb 3 oz", "mass", 538.640939375),
        ("1 lb, 3 oz", "mass", 538.640939375),
        ("19 oz", "mass", 538.640939375),
        ("-1 lb 3 oz", "mass", -538.640939375),
        ("540 g", "mass", 540.0),
        ("0.54 kg", "mass", 540.0),
        ("1 kg 200 g", "mass", 1200.0),
        ("350 ml", "volume", 350.0),
        ("0.35 L", "volume", 350.0),
        ("35 cl", "volume", 350.0),
        ("350 cm3", "volume", 350.0),
        ("350 cm^3", "volume", 350.0),
        ("350 cm³", "volume", 350.0),
        ("1 in3", "volume", 16.387064),
        ("12 fl oz US", "volume", 354.88235475),
        ("12 fl. oz. U.S.", "volume", 354.88235475),
        ("12 US fluid ounces", "volume", 354.88235475),
        ("12 fl oz imp", "volume", 340.95675),
        ("12 imperial fl oz", "volume", 340.95675),
        ("1 pint imp", "volume", 568.26125),
        ("12 %", "share", 0.12),
        ("12%", "share", 0.12),
        ("12 per cent", "share", 0.12),
        ("21.5 %", "share", 0.215),
        ("1.95 g/cm3", "density", 1.95),
        ("1.95 g / cm³", "density", 1.95),
        ("1.95 g/cc", "density", 1.95),
        ("1.95 g per ml", "density", 1.95),
        ("1.95 kg/l", "density", 1.95),
        ("1950 kg/m3", "density", 1.95),
        ("1950 g/l", "density", 1.95),
        ("0.9 kg/m2", "areal", 0.9),
        ("0.09 g/cm2", "areal", 0.9),
        ("900 g/m²", "areal", 0.9),
        ("45 s", "time", 0.0125),
        ("90 min", "time", 1.5),
        ("1 h 30 min", "time", 1.5),
        ("14 h", "time", 14.0),
        ("2 days", "time", 48.0),
        ("1240 C", "temperature", 1240.0),
        ("1240 °C", "temperature", 1240.0),
        ("1240 ºC", "temperature", 1240.0),
        ("1240℃", "temperature", 1240.0),
        ("2264 F", "temperature", 1240.0),
        ("-40 °F", "temperature", -40.0),
        ("-22 F", "temperature", -30.0),
        ("1.03", "number", 1.03),
        ("8", "number", 8.0),
        ("1/2", "number", 0.5),
        ("34.00", "price", 34.0),
    ],
)
def test_other_kinds(text, kind, value):
    assert parse_quantity(text, kind) == Quantity(value)


def test_bare_number_takes_the_unit_of_the_file():
    assert parse_quantity("90", "length", unit="mm").value == 90.0
    assert parse_quantity("010", "length", unit="mm").value == 10.0
    assert parse_quantity("3 1/2", "length", unit="in").value == 88.9
    assert parse_quantity("9", "length", unit="cm").value == 90.0
    assert parse_quantity("3", "length", unit='"').value == 76.2
    assert parse_quantity("9 cm", "length", unit="in").value == 90.0


def test_fluid_ounce_of_the_studio():
    assert parse_quantity("1 fl oz", "volume", fluid_ounce="imp").value == 28.4130625
    assert parse_quantity("1 fl oz", "volume", fluid_ounce="US").value == 29.5735295625
    assert parse_quantity("1 fl oz US", "volume", fluid_ounce="imp").value == 29.5735295625
    assert parse_quantity("20 oz/pint", "density", fluid_ounce="imp").value == pytest.approx(0.998, abs=5e-4)


@every("stage", STAGES)
def test_stage_is_taken_off_the_end(stage):
    assert parse_quantity(f"2 mm {stage}", "length") == Quantity(2.0, stage)
    assert parse_quantity(f"3½″ {stage}", "length") == Quantity(88.9, stage)
    assert parse_quantity(f"2 {stage.upper()}", "length", unit="mm") == Quantity(2.0, stage)
    assert parse_quantity(f"6 % of {stage}", "share") == Quantity(0.06, None, stage)


def test_leather_hard_without_its_hyphen():
    for typed in ("leather hard", "leatherhard", "leather\u2011hard", "Leather-hard"):
        assert parse_quantity(f"1 mm {typed}", "length").stage == "leather-hard"


@every(
    ("text", "kind", "message", "hint"),
    [
        ("40 g", "length", "'40 g' is a weight; a length is wanted", "write it like 90 mm"),
        ("3 m2", "length", "'3 m2' is an area; a length is wanted", "write it like 90 mm"),
        ("12 oz", "volume", "'12 oz' is a weight; a volume is wanted", "a fluid ounce is written fl oz US or fl oz imp"),
        ("30 m", "time", "'30 m' is a length; a time is wanted", "minutes are written min"),
        ("1 g/cm3", "areal", "'1 g/cm3' is a density; a weight on an area is wanted", "write it like 0.9 kg/m2"),
        ("90", "length", "'90' has no unit", "write mm, cm or in after it"),
        ("-90", "length", "'-90' has no unit", "write mm, cm or in after it"),
        ("420", "mass", "'420' has no unit", "write g, kg, oz or lb after it"),
        ("1240", "temperature", "'1240' has no unit", "write C or F after it"),
        ("1240°", "temperature", "'1240°' doesn't say which degrees", "write C or F"),
        ("12", "share", "'12' has no %", "did you mean '12 %'?"),
        ("0.12", "share", "'0.12' has no %", "did you mean '12 %'?"),
        ("6 % dry", "share", "'6 % dry': a percentage holds at no stage; it is taken of one", "did you mean '6 % of dry'?"),
        ("90 milimetres", "length", "'90 milimetres': 'milimetres' is not a unit for a length", "did you mean 'millimetres'?"),
        ("90 hands", "length", "'90 hands': 'hands' is not a unit for a length", "write it like 90 mm"),
        ("34 GBP", "price", "'34 GBP' has a currency", "did you mean '34'?"),
        ("0.7 a side", "length", "'0.7 a side' is on one side; a diameter and a clearance are both sides", "write 1.4, or 0.7 where one side is meant"),
        ("1.5 mm per side", "length", "'1.5 mm per side' is on one side; a diameter and a clearance are both sides", "write 3 mm, or 1.5 mm where one side is meant"),
        ("12 % dry to fired", "share", "'12 % dry to fired' goes from one stage to another", "did you mean '12 % of dry'?"),
        ("90 mm biscuit", "length", "'90 mm biscuit': 'biscuit' is not a stage", "did you mean 'bisque'?"),
        ("90 mm wet dry", "length", "'90 mm wet dry' names more than one stage", "leave one of them out"),
        ("1 lb dry 3 oz", "mass", "'1 lb dry 3 oz' has its stage in the middle", "write the stage last"),
        ("6 mm of dry", "length", "'6 mm of dry': only a percentage is taken 'of' a stage", ""),
        ("45 s dry", "time", "'45 s dry': no stage is wanted here", "leave 'dry' out"),
        ("1,5 cm", "length", "'1,5 cm' has a decimal comma", "write 1.5 cm"),
        ("0,125 in", "length", "'0,125 in' has a decimal comma", "write 0.125 in"),
        ("1,200 g", "mass", "'1,200 g' has a comma", "write 1200 g or 1.200 g"),
        ("1_000 mm", "length", "'1_000 mm' has a '_' among its digits", "write the digits together"),
        ("1e3 mm", "length", "'1e3 mm' is in powers of ten", "write the number out, as 1000 for 1e3"),
        ("1:30", "time", "'1:30' has a ':'", "write it as one number and a unit, as 90 min for 1:30 h"),
        ("90 × 80 mm", "length", "'90 × 80 mm' is more than one size", "write each under its own key"),
        ("90 mm x 80 mm", "length", "'90 mm x 80 mm' is more than one size", "write each under its own key"),
        ("90 ± 1 mm", "length", "'90 ± 1 mm' has a ±", "write one size, without it"),
        ("90–95 mm", "length", "'90–95 mm' looks like a range", "write one size"),
        ("90 to 95 mm", "length", "'90 to 95 mm' looks like a range", "write one size"),
        ("1 200 mm", "length", "'1 200 mm' has two numbers and no unit between them", "write a number's digits together"),
        ("½3 in", "length", "'½3 in' has two numbers and no unit between them", "write a number's digits together"),
        ("3 9/8 in", "length", "'3 9/8 in' has a fraction that is one or more", "write it like 3 1/2"),
        ("3 - 1/2 in", "length", "'3 - 1/2 in' has a gap beside its dash", "write it like 3 1/2 or 3-1/2"),
        ("1/0 in", "length", "'1/0 in' has a fraction with nothing below the line", ""),
        ("3 1/2 inn", "length", "'3 1/2 inn': 'inn' is not a unit for a length", "did you mean 'in'?"),
        ("3' 4", "length", "'3' 4': a number has no unit", "write one after each, as in 3 ft 4 in"),
        ("3 oz 1 lb", "mass", "'3 oz 1 lb': lb comes after oz; units run from large to small", "write the larger unit first, as in 1 lb 3 oz"),
        ("3 in 4 in", "length", "'3 in 4 in': in comes after in; units run from large to small", "write the larger unit first, as in 1 lb 3 oz"),
        ("1 lb 3 g", "mass", "'1 lb 3 g' mixes metric and imperial units", "write the whole size in one of them"),
        ("5 % 3 %", "share", "'5 % 3 %' is more than one size", "write one"),
        ("1 lb -3 oz", "mass", "'1 lb -3 oz': '-' is not a stage", "the stages are wet, leather-hard, dry, bisque and fired"),
        ("٣ mm", "length", "'٣ mm' has digits of another script", "write it with the digits 0 to 9"),
        ("９０ mm", "length", "'９０ mm' has digits of another script", "write it with the digits 0 to 9"),
        ("", "length", "a length is missing here", "write it like 90 mm"),
        (" \u00a0", "mass", "a weight is missing here", "write it like 420 g"),
        ("on", "length", "'on' is not a length", "write it like 90 mm"),
        ("inf", "number", "'inf' is not a plain number", "write it like 1.03"),
        ("nan", "number", "'nan' is not a plain number", "write it like 1.03"),
        ("--3 mm", "length", "'--3 mm' is not a length", "write it like 90 mm"),
        ("12 g", "number", "'12 g' is not a plain number", "write the number alone, like 1.03"),
        ("£34", "price", "'£34' has a currency", "did you mean '34'?"),
        ("34½", "price", "'34½' is not a price", "write the number alone, like 34.00"),
        ("1 fl oz", "volume", "'1 fl oz': a fluid ounce is not the same in the two systems", "write fl oz US or fl oz imp, or set fluid_ounce in studio.yaml"),
        ("1 pint", "volume", "'1 pint': a pint is not the same in the two systems", "write pint US or pint imp, or set fluid_ounce in studio.yaml"),
    ],
)  # fmt: skip
def test_slips_are_explained(text, kind, message, hint):
    fault = refused(text, kind)
    assert (fault.message, fault.hint) == (message, hint)


def test_the_second_unit_is_never_guessed():
    assert refused("3' 4", unit="in").message == "'3' 4': a number has no unit"
    assert refused("1 lb 3", "mass", unit="oz").hint == "write one after each, as in 3 ft 4 in"


@every("text", ["1. 5 cm", "1 . 5 cm", "1.2.3 mm", "3/½ in", "½½ in", "1/2/3 in", "5 in 3/4"])
def test_nothing_like_a_decimal_slips_through(text):
    refused(text)
    refused(text, unit="mm")


def test_stage_where_none_is_wanted():
    fault = refused("90 mm dry", stage_allowed=False)
    assert (fault.message, fault.hint) == ("'90 mm dry': no stage is wanted here", "leave 'dry' out")


def test_long_text_is_cut_in_the_message():
    fault = refused("9" * 100_000)
    assert fault.message == f"'{'9' * LONGEST_SIZE}…' is too long for a size"
    assert parse_quantity("9" * (LONGEST_SIZE - 2) + "mm", "length").value == float("9" * (LONGEST_SIZE - 2))


def test_message_and_hint_are_safe_to_print():
    assert refused("1,5\x1b cm").hint == "write 1.5  cm"
    assert refused("\x1b[31m9\n").message == "' [31m9 ' is not a length"


def test_size_error_reads_as_its_message():
    assert str(refused("on")) == "'on' is not a length"


def test_unit_factor_knows_its_units_only():
    assert unit_factor("mm") == 1.0
    with pytest.raises(KeyError):
        unit_factor("furlong")


@every("typed", ["Ø100", "⌀ 100 mm", "ø10 cm", "∅100"])
def test_a_size_across_as_drawings_have_it(typed):
    assert parse_quantity(typed, "length", unit="mm").value == 100.0


def test_the_sign_for_across_stands_before_lengths_only():
    with pytest.raises(SizeError):
        parse_quantity("Ø100 g", "mass")


@every(
    ("typed", "ounce", "litres"),
    [("1 cup", "US", 0.2366), ("2 cups imp", None, 0.5683), ("1 qt", "imp", 1.1365), ("1 gal US", None, 3.7854)],
)
def test_kitchen_measures(typed, ounce, litres):
    assert parse_quantity(typed, "volume", fluid_ounce=ounce).value == pytest.approx(litres * 1000, abs=0.05)


def test_a_cup_without_its_system_is_asked_back_for():
    with pytest.raises(SizeError, match="a cup is not the same in the two systems") as caught:
        parse_quantity("2 cups", "volume")
    assert caught.value.hint == "write cup US or cup imp, or set fluid_ounce in studio.yaml"
