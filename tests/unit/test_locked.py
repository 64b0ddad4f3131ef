"""What is fetched is what was locked: every package of pyproject.toml stands in the lists, in bounds, with digests."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
BUILD = PROJECT["dependency-groups"]["build"]
WANTED = {
    "locked.txt": [*PROJECT["project"]["dependencies"], *BUILD],
    "locked-tests.txt": [
        *PROJECT["project"]["dependencies"],
        *BUILD,
        *PROJECT["project"]["optional-dependencies"]["tests"],
    ],
}


@pytest.mark.parametrize("name", WANTED)
def test_the_list_holds_every_package_in_bounds_with_digests(name):
    entries = re.split(r"\n(?=\S)", (ROOT / ".ci" / name).read_text(encoding="utf-8").strip())
    locked = {
        found[1]: (found[2], entry.count("--hash=sha256:"))
        for entry in entries
        if (found := re.match(r"(\S+)==(\S+)", entry))
    }
    assert len(locked) == len(entries) and all(digests for _, digests in locked.values())
    for wanted in map(Requirement, WANTED[name]):
        assert wanted.specifier.contains(locked[wanted.name.lower()][0]), f"{wanted}: renew the lists with .ci/lock"


def test_every_package_has_an_upper_bound():
    for wanted in map(Requirement, WANTED["locked-tests.txt"]):
        assert any(bound.operator == "<" for bound in wanted.specifier), wanted
