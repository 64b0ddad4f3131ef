"""The list of what is not quick names files and tests that there are."""

from pathlib import Path

from tests.conftest import SLOW
from tests.every import every

TESTS = Path(__file__).parents[1]


@every("name", SLOW)
def test_what_is_slow_is_there(name):
    file, _, test = name.partition("::")
    assert (TESTS / file).exists()
    assert not test or f"def {test}(" in (TESTS / file).read_text(encoding="utf-8")
