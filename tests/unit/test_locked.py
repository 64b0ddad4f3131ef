"""What is fetched is what was locked: every package of pyproject.toml stands in the lists, in bounds, with digests."""

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement

from tests.every import every

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
BUILD = PROJECT["dependency-groups"]["build"]
EXTRAS = PROJECT["project"]["optional-dependencies"]


def extra(name):
    """What an extra asks for, those that it takes in included."""
    for line in EXTRAS[name]:
        wanted = Requirement(line)
        yield from (
            (inner for taken in wanted.extras for inner in extra(taken)) if wanted.name == "wareboard" else [line]
        )


ALWAYS = [*PROJECT["project"]["dependencies"], *BUILD, *extra("trace")]
WANTED = {"locked.txt": ALWAYS, "locked-tests.txt": [*ALWAYS, *extra("tests")]}


@every("name", WANTED)
def test_the_list_holds_every_package_in_bounds_with_digests(name):
    entries = re.split(r"\n(?=\S)", (ROOT / ".ci" / name).read_text(encoding="utf-8").strip())
    found = [(re.match(r"(\S+)==(\S+)", entry), entry.count("--hash=sha256:")) for entry in entries]
    assert all(named and digests for named, digests in found)
    for wanted in map(Requirement, WANTED[name]):
        # One version a Python, where an older Python has no newer one.
        versions = [named[2] for named, _ in found if named[1] == wanted.name.lower()]
        assert versions and all(map(wanted.specifier.contains, versions)), f"{wanted}: renew the lists with .ci/lock"


def test_every_package_has_an_upper_bound():
    for wanted in map(Requirement, WANTED["locked-tests.txt"]):
        assert any(bound.operator == "<" for bound in wanted.specifier), wanted
