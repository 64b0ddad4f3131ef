"""Marks the quick tests: all that need no browser, no PDF and no built site."""

import tomllib
from importlib.metadata import entry_points
from pathlib import Path

import pytest

SLOW = Path(__file__).parent / "site"

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def pytest_configure() -> None:
    """What is installed is what pyproject.toml says: the site generator finds plugin and theme by it."""
    for group, named in PROJECT["entry-points"].items():
        found = {point.name: point.value for point in entry_points(group=group)}
        if not named.items() <= found.items():
            pytest.exit(f"{group} of pyproject.toml is not what is installed; run `sh .ci/install --tests` first", 1)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if not item.path.is_relative_to(SLOW):
            item.add_marker(pytest.mark.quick)
