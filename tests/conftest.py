"""Marks the quick tests: all that need no browser, no PDF and no built site."""

from pathlib import Path

import pytest

SLOW = Path(__file__).parent / "site"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if not item.path.is_relative_to(SLOW):
            item.add_marker(pytest.mark.quick)
