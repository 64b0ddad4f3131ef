"""Which tests are quick, and in which order files are run; what is installed is what pyproject.toml says."""

import gc
import os
import shutil
import sys
import tomllib
from importlib.metadata import entry_points
from pathlib import Path

import pytest

# Some machines ask for no bytecode. Here each of a hundred processes would then compile the whole program anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

TESTS = Path(__file__).parent
IN_MEMORY, ROOM_BYTES = Path("/dev/shm"), 2 << 30
# What is not quick, measured: what needs a browser, a PDF or a built site, and whatever else takes more than a second or two.
# Files stand by how long they take: two workers that take the longest first end together.
SLOW = (
    "site/test_build_site.py",
    "site/test_incremental.py",
    "site/test_readme.py",
    "site/test_cards_every_kind.py",
    "site/test_faults.py",
    "site/test_serve.py",
    "site/test_cards_command.py",
    "reference/test_traced_pictures.py",
    "site/test_audience_build.py",
    "identities/test_leaves.py",
    "unit/test_typed.py::test_types_are_strict_where_numbers_are_made",
    "identities/test_every_key.py",
    "site/",
    "unit/test_words_wrapped.py",
    "unit/test_bounded.py",
    "identities/test_fuzz_specs.py",
    "identities/test_set_made_passed.py",
    "identities/test_smooth_made_passed.py",
    "identities/test_mends_followed.py",
    "reference/test_simulated_studio.py",
    "unit/test_among_forms.py",
    "identities/test_size_grammar.py",
    "identities/test_private_values.py",
    "identities/test_yaml_reader.py",
    "unit/test_imposing.py",
    "unit/test_stationing.py",
    "unit/test_languages.py::test_messages_are_gathered_from_everywhere_that_words_stand",
    "unit/test_revisions.py::test_a_record_is_read_as_it_was_written",
)

PROJECT = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def pytest_configure() -> None:
    """What is installed is what pyproject.toml says: the site generator finds plugin and theme by it."""
    for group, named in PROJECT["entry-points"].items():
        found = {point.name: point.value for point in entry_points(group=group)}
        if not named.items() <= found.items():
            pytest.exit(f"{group} of pyproject.toml is not what is installed; run `sh .ci/install --tests` first", 1)
    if is_roomy(IN_MEMORY):
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(IN_MEMORY))


def is_roomy(folder: Path) -> bool:
    """True for a folder in memory that the tests' own folders go into: a disk takes half as long again for their many small files."""
    if not folder.is_dir() or not os.access(folder, os.W_OK):
        return False
    return shutil.disk_usage(folder).free > ROOM_BYTES and not os.statvfs(folder).f_flag & os.ST_NOEXEC


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Where quick tests alone are asked for, files without one are not even read."""
    try:
        where = collection_path.relative_to(TESTS).as_posix()
    except ValueError:
        return None
    where += "/" if collection_path.is_dir() else ""
    return True if config.option.markexpr == "quick" and where.startswith(SLOW) else None


def slowness(item: pytest.Item) -> int:
    """Where in the list of what is slow a test stands; behind its end where it is quick."""
    where = item.nodeid.removeprefix("tests/")
    return next((place for place, name in enumerate(SLOW) if where.startswith(name)), len(SLOW))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what is quick; the slowest files first."""
    for item in items:
        if slowness(item) == len(SLOW):
            item.add_marker(pytest.mark.quick)
    items.sort(key=slowness)


def pytest_collection_finish() -> None:
    """What is loaded by now stays: it is not looked through again for what nobody needs, which took a tenth of all time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(200_000, 20, 100)
