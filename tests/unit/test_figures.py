"""Figures and the ledger that they are written into."""

import pytest
from wareboard.figures.figure import Figure, Ledger, number, percent


def figure(key="cup.ball", stage="wet", value=1.0):
    return Figure(key, stage, value, "g", None, "how", ("a wet",), "", False)


def test_name_is_key_and_stage():
    assert figure().name == "cup.ball wet"
    assert figure("glaze.dry", None).name == "glaze.dry"


def test_json_has_every_field_in_order():
    found = Figure("k", None, 2.5, "mm", 0.1, "how", ("a", "b.yaml:3"), "src", True).as_json()
    assert found == {
        "key": "k", "stage": None, "value": 2.5, "unit": "mm", "plus_minus": 0.1, "how": "how", "inputs": ["a", "b.yaml:3"], "source": "src", "given": True,
    }  # fmt: skip
    assert list(found) == ["key", "stage", "value", "unit", "plus_minus", "how", "inputs", "source", "given"]


def test_ledger_keeps_order_and_hands_values_on():
    ledger = Ledger([figure()])
    assert ledger.value("cup.ball", "wet") == 1.0
    assert ledger.write("b", None, 2.0, "%", "how", ["x", "y", "x"], plus_minus=0.5) == 2.0
    assert [f.name for f in ledger.figures.values()] == ["cup.ball wet", "b"]
    written = ledger.figures["b", None]
    assert (written.inputs, written.plus_minus, written.given, written.source) == (("x", "y"), 0.5, False, "")
    with pytest.raises(KeyError):
        ledger.value("b", "wet")


@pytest.mark.parametrize(
    "value, text",
    [
        (0.0, "0"),
        (90.90909, "90.909"),
        (1234567.0, "1234567"),
        (99999.6, "100000"),
        (99999.4, "99999"),
        (0.00035, "0.00035"),
        (0.0000123, "1.2e-05"),
        (-0.5, "-0.5"),
        (100.0, "100"),
        (2.0, "2"),
    ],
)
def test_numbers_in_words(value, text):
    assert number(value) == text


def test_percent():
    assert (percent(0.12), percent(0.0), percent(0.085)) == ("12 %", "0 %", "8.5 %")
