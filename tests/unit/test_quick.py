"""The list of what is not quick names files and tests that there are."""

from pathlib import Path

import pytest

from tests.conftest import SLOW

TESTS = Path(__file__).parents[1]


@pytest.mark.parametrize("name", SLOW)
def test_what_is_slow_is_there(name):
    file, _, test = name.partition("::")
    assert (TESTS / file).exists()
    assert not test or f"def {test}(" in (TESTS / file).read_text(encoding="utf-8")
