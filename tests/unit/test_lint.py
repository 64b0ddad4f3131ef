"""The code as a reader from outside sees it: the chosen rules of pyproject.toml."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run(*words: str) -> subprocess.CompletedProcess:
    environment = {**os.environ, "NO_COLOR": "1"}
    return subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, env=environment)


def test_the_chosen_rules_hold():
    found = run("ruff", "check", "--output-format", "concise", "generator", "tests")
    assert found.returncode == 0, found.stdout


def test_every_line_is_set_as_all_are():
    found = run("ruff", "format", "--check", "generator", "tests")
    assert found.returncode == 0, found.stdout
