"""The examples in the program's docstrings give what they say."""

import doctest
import importlib
from pathlib import Path

import wareboard

from tests.every import every

PACKAGE = Path(wareboard.__file__).parent
SHOWING = [path for path in sorted(PACKAGE.rglob("*.py")) if ">>> " in path.read_text(encoding="utf-8")]


@every("path", SHOWING)
def test_examples(path):
    module = importlib.import_module(".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts))
    said = []
    runner, finder = doctest.DocTestRunner(), doctest.DocTestFinder(exclude_empty=True)
    for example in finder.find(module):
        runner.run(example, out=said.append)
    assert runner.tries and not runner.failures, "".join(said)
