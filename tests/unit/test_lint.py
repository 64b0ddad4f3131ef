"""The code as two readers from outside see it: the chosen rules of pyproject.toml, and strict types where numbers are made."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
TYPED = ("pot", "text", "figures")


def run(*words: str) -> subprocess.CompletedProcess:
    environment = {**os.environ, "NO_COLOR": "1"}
    return subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, text=True, env=environment)


def test_the_chosen_rules_hold():
    found = run("ruff", "check", "--output-format", "concise", "generator", "tests")
    assert found.returncode == 0, found.stdout


def test_every_line_is_set_as_all_are():
    found = run("ruff", "format", "--check", "generator", "tests")
    assert found.returncode == 0, found.stdout


def test_types_are_strict_where_numbers_are_made():
    found = run("mypy", *(f"generator/wareboard/{floor}" for floor in TYPED))
    assert found.returncode == 0, found.stdout
