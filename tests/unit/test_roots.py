"""The root finder against a general library's, on easy functions and nasty ones."""

from math import atan, exp

import pytest
from scipy.optimize import brentq
from wareboard.pot.roots import root_between, root_near

from tests.every import every

FUNCTIONS = [
    (lambda x: x**3 - 1e-3, 0.0, 10.0),
    (lambda x: exp(x) - 5.0, -10.0, 10.0),
    (lambda x: x - 0.5, 0.0, 1.0),
    (lambda x: atan(x - 3.0), -100.0, 1000.0),
    (lambda x: -1.0 if x < 0.3 else 1e9, 0.0, 1.0),
    (lambda x: 1e9 if x < 0.3 else 2.0 - x, 0.0, 7.0),
]


@every(("function", "low", "high"), FUNCTIONS)
def test_finds_what_a_general_library_finds(function, low, high):
    assert root_between(function, low, high, near=1e-10) == pytest.approx(brentq(function, low, high), abs=1e-8)


@every(("function", "low", "high"), FUNCTIONS)
def test_needs_few_calls(function, low, high):
    calls = []
    root_between(lambda x: calls.append(x) or function(x), low, high, near=1e-10)
    assert len(calls) < 75


def test_ends_count_and_one_sign_is_refused():
    assert root_between(lambda x: x, 0.0, 1.0) == 0.0
    assert root_between(lambda x: x - 1.0, 0.0, 1.0) == 1.0
    with pytest.raises(ValueError, match="no change of sign"):
        root_between(lambda x: x + 1.0, 0.0, 1.0)


def test_secants_take_few_steps_where_it_is_nearly_straight():
    asked = []

    def edge(x):
        asked.append(x)
        return x - 1.0 + 0.01 * (x - 1.5) ** 2

    found = root_near(edge, 0.0, 0.9)
    assert len(asked) <= 7
    assert edge(found) == pytest.approx(0.0, abs=1e-12)


@every("function", [lambda x: 1.0, lambda x: 1.0 + x * x, lambda x: -1.0 if x < 0.3 else 1.0])
def test_secants_that_close_in_on_nothing_say_so(function):
    assert root_near(function, 0.0, 1.0) is None
