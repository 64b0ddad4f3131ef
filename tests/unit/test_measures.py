"""The table of units: nothing typed means two things, nothing is left without a way to size it."""

from collections import Counter
from fractions import Fraction

from wareboard.text.measures import FLUID, IMPERIAL, KINDS, SPELLED, UNITS


def test_no_spelling_means_two_units():
    spelled = Counter(text for _, _, texts in UNITS.values() for text in texts.split())
    spelled.update(text for texts in FLUID.values() for text in texts)
    assert [text for text, times in spelled.items() if times > 1] == []


def test_every_spelling_is_as_the_reader_looks_it_up():
    for text in SPELLED:
        assert text == text.casefold() == " ".join(text.split())
        assert "." not in text


def test_every_spelling_leads_to_a_unit():
    assert set(SPELLED.values()) == set(UNITS) | set(FLUID)


def test_every_factor_is_exact():
    for kind, factor, _ in UNITS.values():
        assert kind in KINDS and isinstance(factor, Fraction) and factor > 0


def test_imperial_names_are_units():
    assert IMPERIAL <= set(UNITS)


def test_every_base_is_a_unit_of_its_kind():
    for kind in ("length", "mass", "volume", "time", "temperature"):
        assert UNITS[KINDS[kind].base][:2] == (kind, 1)
