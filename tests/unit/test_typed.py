"""Strict types where numbers are made, as a reader from outside sees them."""

from tests.unit.test_lint import run

TYPED = ("pot", "text", "figures")


def test_types_are_strict_where_numbers_are_made():
    found = run("mypy", *(f"generator/wareboard/{floor}" for floor in TYPED))
    assert found.returncode == 0, found.stdout
