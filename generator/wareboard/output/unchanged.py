"""For whom a site is made; was it made before from just this, and does it stand there still? Told from content alone, and with nothing loaded.

What was said of the build is kept as well, so that a build of nothing says what the last one did.
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wareboard import TEMPLATES
from wareboard.output import files
from wareboard.pot.frozen import frozen

STATE = "state"
PACKAGE = Path(__file__).resolve().parents[1]
# What else than a maker's files an output depends on.
NAMES_THAT_COUNT = ("SOURCE_DATE_EPOCH",)
STUDIO, ASSISTANT, STOCKIST = "studio", "assistant", "stockist"
AUDIENCES = (STUDIO, ASSISTANT, STOCKIST)


def today() -> datetime.date:
    """The day; the one that SOURCE_DATE_EPOCH names where it is set, for output that is the same whenever it is made."""
    pinned = os.environ.get("SOURCE_DATE_EPOCH", "")
    return (
        datetime.datetime.fromtimestamp(int(pinned), datetime.UTC).date() if pinned.isdigit() else datetime.date.today()
    )


@frozen
class Built:
    """What a build came to. `site` is None where the specs have errors; then nothing was written.

    `told` are the problems in words, each with its level; `without_cards` says why there are none though they were
    asked for; `said` is what else a maker should hear. `worked` is the folder, where it was worked out for this.
    """

    site: Path | None
    told: tuple[tuple[str, str], ...] = ()
    cards: int = 0
    without_cards: str = ""
    said: tuple[str, ...] = ()
    worked: Any = None


def _hashed(found: Any, path: Path | str, name: str) -> None:
    with open(path, "rb", buffering=0) as file:
        content = file.read()
    found.update(f"{name}\0{len(content)}\0".encode("utf-8", "surrogateescape"))
    found.update(content)


def _below(folder: Path, hidden: bool = False) -> Iterator[tuple[str, str]]:
    """Files below a folder by their path in it, in order; what links lead to is looked at as what it is there."""
    waiting = [("", str(folder))]
    while waiting:
        below, place = waiting.pop()
        with os.scandir(place) as entries:
            found = sorted(entries, key=lambda entry: entry.name)
        for entry in found:
            name = f"{below}{entry.name}"
            if entry.name.startswith(".") and not hidden:
                continue
            if entry.is_dir(follow_symlinks=False):
                waiting.append((f"{name}/", entry.path))
            elif entry.is_file() or entry.is_symlink():
                yield name, entry.path


@cache
def program_digest() -> str:
    """A hash of all of this program that can change an output: its text, its templates, its libraries' versions."""
    found = hashlib.sha256()
    found.update(sys.version.encode())
    for folder, wanted in ((PACKAGE, ".py"), (TEMPLATES, None)):
        for name, path in _below(folder):
            if wanted is None or name.endswith(wanted):
                _hashed(found, path, name)
    for place in sys.path:
        with contextlib.suppress(OSError):
            names = sorted(name for name in os.listdir(place or ".") if name.endswith(".dist-info"))
            found.update("\0".join(names).encode())
    return found.hexdigest()


def key_of(root: Path, day: str, *asked: object) -> str:
    """A hash of all that a build is made from, but for the record of revisions.

    Args:
        root: the maker's folder.
        day: the day on which it is built; texts speak of it.
        asked: what is asked for: cards, audience.
    Raises: OSError, a file cannot be read.
    """
    found = hashlib.sha256()
    names = [os.environ.get(name, "") for name in NAMES_THAT_COUNT]
    found.update(repr((program_digest(), os.path.realpath(root), day, asked, names)).encode())
    settings = root / "mkdocs.yml"
    if settings.exists():
        _hashed(found, settings, "mkdocs.yml")
    specs = root / "specs"
    for name, path in _below(specs) if specs.is_dir() else ():
        found.update(b"link" if os.path.islink(path) else b"file")
        if os.path.isfile(path):
            _hashed(found, path, name)
        else:
            found.update(name.encode("utf-8", "surrogateescape"))
    return found.hexdigest()


def record_digest(root: Path) -> str:
    """A hash of the record of revisions."""
    found, folder = hashlib.sha256(), root / "specs" / ".revisions"
    for name, path in _below(folder, hidden=True) if folder.is_dir() else ():
        if os.path.isfile(path):
            _hashed(found, path, name)
    return found.hexdigest()


@frozen
class Standing:
    """What was written down of the last site: where it stands, each file's `files.stat_of`, and a digest of what it was made of."""

    site: str = ""
    files: Mapping[str, list[int]] = field(default_factory=dict)
    made: Mapping[str, str] = field(default_factory=dict)


def read_standing(root: Path, audience: str) -> Standing:
    """What was written down of an audience's last site; nothing where that cannot be read."""
    try:
        said = json.loads(state_place(root, audience).read_bytes())
        return Standing(str(said["site"]), dict(said["files"]), dict(said["made"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Standing()


def find_unchanged(root: Path, key: str, audience: str) -> Built | None:
    """What the last build for an audience came to, where it was made from just this and stands there untouched.

    Args:
        root: the maker's folder; whoever asks is `writing`.
        key: see `key_of`.
        audience: for whom.
    """
    try:
        said = json.loads(state_place(root, audience).read_bytes())
        if said["key"] != key or said["record"] != record_digest(root):
            return None
        site = Path(said["site"])
        if any(files.stat_of(f"{site}/{name}") != known for name, known in said["files"].items()):
            return None
        os.utime(state_place(root, audience))
        told = tuple((str(level), str(words)) for level, words in said["told"])
        return Built(site, told, int(said["cards"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def remember(
    root: Path,
    key: str,
    audience: str,
    built: Built,
    listed: Iterable[str],
    made: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """Keep what a build came to.

    Args:
        root: the maker's folder; whoever builds is `writing`.
        key: see `key_of`; empty where it came of more than that tells.
        audience: for whom.
        built: what it came to.
        listed: the site's own files.
        made: a digest of what each was made of, where that is known.
    """
    # Without it the next build is a whole one: no reason to call this one a failure.
    with contextlib.suppress(OSError):
        said = {
            "key": key, "record": record_digest(root), "site": str(built.site), "cards": built.cards,
            "told": built.told, "files": {name: files.stat_of(f"{built.site}/{name}") for name in listed}, "made": dict(made),
        }  # fmt: skip
        files.write_whole(state_place(root, audience), json.dumps(said).encode())


def state_place(root: Path, audience: str) -> Path:
    """Where it is kept from what the site for an audience was built; as old as the last build that found it right."""
    return root / files.PRIVATE / STATE / f"{audience}.json"
