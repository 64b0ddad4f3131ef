"""Frozen records behave as dataclasses do."""

import dataclasses
from dataclasses import field

import pytest
from wareboard.pot.frozen import frozen

from tests.every import every


@frozen
class Foot:
    """A foot."""

    width_mm: float
    marks: dict = field(default_factory=dict)
    turned: bool = False


def test_fields_by_place_and_by_name_and_their_defaults():
    assert Foot(62.0) == Foot(width_mm=62.0, marks={}, turned=False)
    assert Foot(62.0, {"a": 1}, True).turned is True
    assert Foot(1.0).marks is not Foot(1.0).marks


def test_told_apart_by_value_and_by_kind():
    assert Foot(62.0) != Foot(63.0)
    assert Foot(62.0) != (62.0, {}, False)
    assert repr(Foot(62.0)) == "Foot(width_mm=62.0, marks={}, turned=False)"


def test_nothing_can_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        Foot(62.0).turned = True
    with pytest.raises(dataclasses.FrozenInstanceError):
        del Foot(62.0).turned


@every("given", [{}, {"width_mm": 1.0, "height_mm": 2.0}])
def test_what_is_missing_or_strange_is_refused(given):
    with pytest.raises(TypeError, match="Foot has the fields width_mm, marks, turned"):
        Foot(**given)


def test_the_standard_library_knows_them():
    assert dataclasses.replace(Foot(62.0), turned=True) == Foot(62.0, turned=True)
    assert [one.name for one in dataclasses.fields(Foot)] == ["width_mm", "marks", "turned"]
    assert dataclasses.asdict(Foot(62.0)) == {"width_mm": 62.0, "marks": {}, "turned": False}


def test_those_whose_values_can_be_hashed_can_be():
    @frozen
    class Plain:
        """A plain one."""

        width_mm: float = 1.0

    assert len({Plain(), Plain(1.0), Plain(2.0)}) == 2


def test_what_is_kept_beside_the_values_is_neither_asked_for_nor_compared_nor_told():
    @frozen
    class Kept:
        """One that keeps what it has worked out."""

        width_mm: float
        note: str = field(default="", compare=False, repr=False)
        kept: dict = field(default_factory=dict, init=False, compare=False, repr=False)

        def __post_init__(self):
            self.kept["double"] = 2.0 * self.width_mm

    one = Kept(3.0, "a")
    assert one == Kept(3.0, "b") and len({one, Kept(3.0)}) == 1
    assert (
        repr(one)
        == "test_what_is_kept_beside_the_values_is_neither_asked_for_nor_compared_nor_told.<locals>.Kept(width_mm=3.0)"
    )
    assert dataclasses.replace(one, width_mm=4.0).kept == {"double": 8.0}


def test_one_that_has_more_than_its_base_is_asked_for_all():
    @frozen
    class Ring(Foot):
        """A foot with a recess."""

        recess_mm: float = 2.0

    class Wide(Ring):
        """The same by another name."""

    assert Wide(62.0, recess_mm=3.0).recess_mm == 3.0 and not Wide(62.0).turned
    assert [one.name for one in dataclasses.fields(Wide)] == ["width_mm", "marks", "turned", "recess_mm"]
    assert dataclasses.is_dataclass(Ring) and Ring(62.0) != Foot(62.0)
