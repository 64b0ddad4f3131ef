"""For whom a site is made; was it made before from just this, and does it stand there still? Told with nothing loaded, and little read.

What was said of the build is kept as well, so that a build of nothing says what the last one did.
"""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import sys
import time
from array import array
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from pathlib import Path
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


PROGRAM, SPECS, RECORD = "program", "specs", "record"
# A file saved twice within so much may keep its times: one that was as new as that when it was looked at is read again.
TOO_NEW_NS = 2_000_000_000


@frozen
class Looked:
    """A part of what a build is made from: how its files stand, empty where one was too new to be told by that, and a hash of what they hold."""

    stood: str = ""
    digest: str = ""


@frozen
class Sources:
    """All that a build is made from but for the record of revisions; `last` is what was written down of the last build."""

    asked: str
    program: Looked
    specs: Looked
    last: Mapping[str, Any]


def _below(folder: Path, name: str = "", hidden: bool = False) -> Iterator[tuple[str, str, bool]]:
    """Files below a folder in order: the path in it, where it lies, whether it is a link; those are looked at as what they lead to."""
    waiting = [(name, str(folder))] if os.path.isdir(folder) else []
    while waiting:
        below, place = waiting.pop()
        with os.scandir(place) as entries:
            found = sorted(entries, key=lambda entry: entry.name)
        for entry in found:
            name = f"{below}{entry.name}"
            if (entry.name.startswith(".") and not hidden) or entry.name == "__pycache__":
                continue
            if entry.is_file(follow_symlinks=False):
                yield name, entry.path, False
            elif entry.is_dir(follow_symlinks=False):
                waiting.append((f"{name}/", entry.path))
            elif entry.is_symlink():
                yield name, entry.path, True


def _files_of(part: str, root: Path) -> Iterator[tuple[str, str, bool]]:
    if part == PROGRAM:
        yield from (found for found in _below(PACKAGE) if found[0].endswith(".py"))
        yield from _below(TEMPLATES)
    elif part == SPECS:
        yield from _below(root / files.SPECS, "specs/")
        settings = f"{root}/mkdocs.yml"
        if os.path.exists(settings):
            yield "mkdocs.yml", settings, os.path.islink(settings)
    else:
        yield from _below(root / files.SPECS / ".revisions", hidden=True)


def _versions() -> str:
    """What the program's own files do not say: of which Python it is, and which libraries."""
    said = [sys.version]
    for place in sys.path:
        with contextlib.suppress(OSError):
            said += sorted(name for name in os.listdir(place or ".") if name.endswith(".dist-info"))
    return "\0".join(said)


def _look(part: str, root: Path, known: Looked) -> Looked:
    """A part as it is now; what it holds is read only where its files do not stand as they did.

    Args:
        part: PROGRAM, SPECS or RECORD.
        root: the maker's folder.
        known: how it was.
    Raises: OSError, a file cannot be read.
    """
    now_ns = time.time_ns()
    about = _versions() if part == PROGRAM else ""
    found, numbers = list(_files_of(part, root)), list[int]()
    newest_ns = 0
    for _, path, _ in found:
        status = os.lstat(path)
        changed_ns, inode_ns = status.st_mtime_ns, status.st_ctime_ns
        numbers += (changed_ns, inode_ns, status.st_size, status.st_ino)
        if changed_ns > newest_ns or inode_ns > newest_ns:
            newest_ns = max(changed_ns, inode_ns)
    stood = _told([about, *(name for name, _, _ in found)], numbers)
    if stood and stood == known.stood:
        return known
    # What a link leads to may be changed unseen.
    is_told = newest_ns < now_ns - TOO_NEW_NS and not any(is_link for _, _, is_link in found)
    return Looked(stood if is_told else "", _digest_of(about, found))


def _told(names: Iterable[str], numbers: Iterable[int]) -> str:
    """How files stand: all their numbers and their names, in as little as there can be; empty where that cannot tell it."""
    try:
        return "\n".join((array("Q", numbers).tobytes().hex(), *names))
    except OverflowError:  # a file from before 1970
        return ""


def _digest_of(about: str, found: Iterable[tuple[str, str, bool]]) -> str:
    import hashlib  # a build of nothing does without

    digest = hashlib.blake2b(about.encode("utf-8", "surrogateescape"), digest_size=files.DIGEST_BYTES)
    for name, path, is_link in found:
        content = b""
        if not is_link or os.path.isfile(path):
            with open(path, "rb", buffering=0) as file:
                content = file.read()
        digest.update(f"{name}\0{is_link}\0{len(content)}\0".encode("utf-8", "surrogateescape"))
        digest.update(content)
    return digest.hexdigest()


# The program of this process; it is one for as long as that runs.
_program: list[Looked] = []


def program_digest() -> str:
    """A hash of all of this program that can change an output: its text, its templates, its libraries' versions."""
    return _program_part(Looked()).digest


def _program_part(known: Looked) -> Looked:
    if not _program:
        _program.append(_look(PROGRAM, PACKAGE, known))
    return _program[0]


def sources_of(root: Path, day: str, audience: str, *asked: object) -> Sources:
    """What a build is made from.

    Args:
        root: the maker's folder; whoever asks is `writing`.
        day: the day on which it is built; texts speak of it.
        audience: for whom.
        *asked: what else is asked for.
    Raises: OSError, a file cannot be read.
    """
    last: dict[str, Any] = {}
    with contextlib.suppress(OSError, ValueError, TypeError):
        last = dict(json.loads(state_place(root, audience).read_bytes()))
    names = [os.environ.get(name, "") for name in NAMES_THAT_COUNT]
    said = repr((os.path.realpath(root), day, asked, names))
    return Sources(said, _program_part(_known(last, PROGRAM)), _look(SPECS, root, _known(last, SPECS)), last)


def _known(last: Mapping[str, Any], part: str) -> Looked:
    known = last.get(part)
    return Looked(*map(str, known)) if isinstance(known, list) and len(known) == 2 else Looked()


def find_unchanged(root: Path, sources: Sources, audience: str) -> Built | None:
    """What the last build for an audience came to, where it was made from just this and stands there untouched.

    Args:
        root: the maker's folder; whoever asks is `writing`.
        sources: what a build would be made from.
        audience: for whom.
    """
    last = sources.last
    try:
        parts = {PROGRAM: sources.program, SPECS: sources.specs, RECORD: _look(RECORD, root, _known(last, RECORD))}
        if last.get("asked") != sources.asked or any(_known(last, name).digest != parts[name].digest for name in parts):
            return None
        site = Path(last["site"])
        if not last["files"] or _site_told(str(site), last["files"].split("\n")[1:]) != last["files"]:
            return None
        told = tuple((str(level), str(words)) for level, words in last["told"])
        built = Built(site, told, int(last["cards"]))
        if any(_known(last, name) != parts[name] for name in parts):
            _write(root, audience, last, parts)
        else:
            os.utime(state_place(root, audience))
        return built
    except (OSError, *files.SPOILT):
        return None


def _site_told(site: str, names: Iterable[str]) -> str:
    """How the files of a site stand, as `files.stat_of` tells it: their second names come and go, which changes no file."""
    names, numbers = list(names), list[int]()
    for name in names:
        status = os.lstat(f"{site}/{name}")
        numbers += (status.st_mtime_ns, status.st_size, status.st_ino)
    return _told(names, numbers)


def remember(root: Path, sources: Sources, audience: str, built: Built, stats: Mapping[str, list[int]]) -> None:
    """Keep what a build came to.

    Args:
        root: the maker's folder; whoever builds is `writing`.
        sources: what it was made from.
        audience: for whom.
        built: what it came to.
        stats: the site's own files, each with what `files.stat_of` tells of it.
    """
    # Without it the next build is a whole one: no reason to call this one a failure.
    with contextlib.suppress(OSError):
        told = _told(stats, chain.from_iterable(stats.values()))
        said = {
            "asked": sources.asked,
            "site": str(built.site),
            "cards": built.cards,
            "told": built.told,
            "files": told,
        }
        record = _look(RECORD, root, _known(sources.last, RECORD))
        _write(root, audience, said, {PROGRAM: sources.program, SPECS: sources.specs, RECORD: record})


def _write(root: Path, audience: str, said: Mapping[str, Any], parts: Mapping[str, Looked]) -> None:
    told = {name: [part.stood, part.digest] for name, part in parts.items()}
    files.write_whole(state_place(root, audience), json.dumps({**said, **told}).encode())


def state_place(root: Path, audience: str) -> Path:
    """Where it is kept from what the site for an audience was built; as old as the last build that found it right."""
    return root / files.PRIVATE / STATE / f"{audience}.json"
