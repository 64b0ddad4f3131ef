"""Formulas: the value, the working and the rule come from one line of arithmetic."""

import pickle

import pytest
from wareboard.text.formulas import Formula, number, percent, said, working

from tests.every import every


@every(
    "value, text",
    [
        (0.0, "0"),
        (90.90909, "90.909"),
        (1234567.0, "1234567"),
        (99999.6, "100000"),
        (99999.4, "99999"),
        (0.00035, "0.00035"),
        (0.0000123, "0.000012"),
        (-0.5, "-0.5"),
        (100.0, "100"),
        (2.0, "2"),
    ],
)
def test_numbers_in_words(value, text):
    assert number(value) == text


def test_percent():
    assert (percent(0.12), percent(0.0), percent(0.085)) == ("12 %", "0 %", "8.5 %")


@every(
    "text, numbers, value, words, rule",
    [
        ("a_mm - b_mm - glaze_mm", {"a_mm": 5.0, "b_mm": 3.0, "glaze_mm": 0.0}, 2.0, "5 mm a − 3 mm b", "a − b − glaze"),
        ("a_mm - (b_mm - c_mm)", {"a_mm": 5.0, "b_mm": 3.0, "c_mm": 1.0}, 3.0, "5 mm a − (3 mm b − 1 mm c)", "a − (b − c)"),
        ("a_mm / (b * c)", {"a_mm": 6.0, "b": 3.0, "c": 2.0}, 1.0, "6 mm a / (3 b × 2 c)", "a / (b × c)"),
        ("a_mm + 3 * sum(t_mm)", {"a_mm": 1.0, "t_mm": (0.25, 0.5)}, 3.25, "1 mm a + 3 × (0.25 mm + 0.5 mm)", "a + 3 × t"),
        ("v_cm3 * d_g_cm3 + sum(added_g)", {"v_cm3": 2.0, "d_g_cm3": 1.9, "added_g": ()}, 3.8, "2 cm3 v × 1.9 g/cm3 d", "v × d + added"),
        ("max(a_g, b_g) ** 2", {"a_g": 2.0, "b_g": 3.0}, 9.0, "the larger of (2 g a, 3 g b) ^ 2", "the larger of (a, b) ^ 2"),
        ("-a_mm + b_mm", {"a_mm": 2.0, "b_mm": 3.0}, 1.0, "−2 mm a + 3 mm b", "−a + b"),
        ("root_sum_square(t_mm)", {"t_mm": (3.0, 4.0)}, 5.0, "root of the sum of squares of (3 mm + 4 mm)", "root of the sum of squares of (t)"),
    ],
)  # fmt: skip
def test_a_formula_computes_and_says_itself(text, numbers, value, words, rule):
    formula = Formula(text)
    assert formula(numbers) == pytest.approx(value)
    assert formula.working(numbers) == words and formula.words == rule
    assert formula.names == numbers.keys()


@every("text", ["__import__('os')", "a.b", "[a]", "open(a)", "a if b else c", "lambda: 1", "'a'", "a < b", "sum(x=a)"])
def test_a_formula_is_nothing_but_arithmetic(text):
    with pytest.raises(ValueError):
        Formula(text)


def test_a_formula_can_be_sent_to_another_process():
    formula = Formula("a_mm + b_mm")
    again = pickle.loads(pickle.dumps(formula))
    assert again == formula and hash(again) == hash(formula) and again({"a_mm": 1.0, "b_mm": 2.0}) == 3.0


def test_numbers_are_said_with_the_unit_of_their_name():
    assert said("lost_share", 0.06) == "6 %" and said("water_percent", 21.5) == "21.5 %" and said("n", 3.0) == "3"
    assert working("{a_mm} of {b_cm2}, {word}", {"a_mm": 1.0, "b_cm2": 2.5, "word": "so"}) == "1 mm of 2.5 cm2, so"
    assert working("{braces} stay without numbers", {}) == "{braces} stay without numbers"
