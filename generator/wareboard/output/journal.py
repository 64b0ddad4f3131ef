"""One writer a studio, and one journal for all that it writes: what was begun is carried out after any kill.

The order is: the journal, the record of revisions, the site. So no site ever shows a revision that the record has not.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field
from pathlib import Path

from wareboard.output import files, folder
from wareboard.output.builtfolder import Swap, tidy_leavings
from wareboard.output.files import FolderError
from wareboard.pot.frozen import frozen

# Beside the specs, to be kept with them; its dot keeps it from being read as specs.
RECORD = f"{folder.SPECS}/.revisions"
KEPT_SHUT = (None, errno.EACCES, errno.EPERM, errno.EROFS, errno.EISDIR, errno.ENOTDIR)
_NAME = re.compile(r"[a-z]+/[a-z0-9][a-z0-9-]{0,79}")
_REVISION = re.compile(r'"revision": ?"([^"]{1,40})"')

Say = Callable[[str], None]


@frozen
class Entry:
    """What is to be written, all of it or nothing: lines of the record by `forms/tall-beaker`, and a site."""

    lines: Mapping[str, str] = field(default_factory=dict)
    swap: Swap | None = None

    def as_json(self) -> dict[str, object]:
        """The entry as it is written down."""
        return {"lines": dict(self.lines), "swap": self.swap.as_json() if self.swap else None}


@contextlib.contextmanager
def writing(root: Path, doing: str, *, say: Say = lambda words: None, patience_s: float = 600.0) -> Iterator[None]:
    """Be the one who writes in a studio; what a killed run had begun is finished first.

    Args:
        root: the folder that holds `specs/`.
        doing: the command, for others who have to wait: `wareboard build`.
        say: told where there is something to wait for, and what was finished.
        patience_s: how long to wait for another process, s.
    Raises: FolderError, another run did not end in time; OSError.
    """
    with files.writing(root, doing, patience_s=patience_s, say=say):
        settle(root, say)
        yield


def settle(root: Path, say: Say) -> None:
    """Finish what a killed run had begun and tidy up after it; whoever does holds the lock."""
    for words in replay(root):
        say(words)
    tidy_leavings(root)
    private = root / files.PRIVATE
    for place in (private, private / "cache", root, root / folder.SPECS / ".schema"):
        files.tidy(place)
    for place in ("forms", "clays", "stock"):
        files.tidy(root / RECORD / place)
    for place in folder.FOLDERS:
        files.tidy(root / folder.SPECS / place)


def commit(root: Path, entry: Entry) -> list[str]:
    """Write an entry down, then carry it out; whoever does is `writing`.

    Returns: what is to be said.
    Raises: OSError, FolderError; the last good output is in place.
    """
    private = files.private_folder(root)
    try:
        files.write_whole(private / files.JOURNAL, json.dumps(entry.as_json()).encode())
        files.see_written(private / files.JOURNAL)
        files.see_written(private)
        said = _carry_out(root, entry)
    except (FolderError, OSError):
        # Refused, not killed: nothing is left to be finished later.
        with contextlib.suppress(OSError):
            (private / files.JOURNAL).unlink(missing_ok=True)
        raise
    with contextlib.suppress(OSError):  # carried out again, it changes nothing
        (private / files.JOURNAL).unlink(missing_ok=True)
    return said


def replay(root: Path) -> list[str]:
    """Carry out what a killed run had written down; returns what is to be said."""
    path = root / files.PRIVATE / files.JOURNAL
    try:
        said = json.loads(path.read_bytes())
        lines = {str(name): str(line) for name, line in said["lines"].items() if _NAME.fullmatch(name)}
        entry = Entry(lines, Swap.from_json(said["swap"]) if said["swap"] else None)
    except FileNotFoundError:
        return []
    except files.SPOILT:
        path.unlink()
        return []
    said = _carry_out(root, entry)
    path.unlink()
    return ["what the last run had begun is finished", *said]


def _carry_out(root: Path, entry: Entry) -> list[str]:
    said: list[str] = []
    for name, line in entry.lines.items():
        try:
            add_line(root, name, line)
        except OSError as fault:
            # How the maker's folder is kept is no reason to be without a site; a fault of the machine is.
            if fault.errno not in KEPT_SHUT:
                raise
            said = [f"This revision is not remembered, as {folder.SPECS}/ cannot be written to: {fault.strerror}"]
    return [*said, *(entry.swap.carry_out() if entry.swap else [])]


def add_line(root: Path, name: str, line: str) -> None:
    """Add a revision's line to a record, unless the revision is there already; whoever does is `writing`.

    Args:
        root: the maker's folder.
        name: of the record, `forms/tall-beaker`.
        line: the line, with its end.
    Raises: OSError, the record cannot be read or written; it stays as it is.
    """
    path, text = record_path(root, name), record_text(root, name)
    wanted = _REVISION.search(line)
    if wanted and any(found[1] == wanted[1] for found in _REVISION.finditer(text)):
        return
    start = "" if not text or text.endswith("\n") else "\n"
    files.append(path, (start + line).encode("utf-8", "surrogateescape"))


def record_path(root: Path, name: str) -> Path:
    """Where a record stands. Raises: OSError, it would lie outside the project."""
    path = root / RECORD / f"{name}.jsonl"
    # A link could lead anywhere.
    if not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(root / folder.SPECS)):
        raise OSError(None, f"{RECORD} leads out of the project")
    return path


def record_text(root: Path, name: str) -> str:
    """A record's text; bytes that are no text go in and out as they are. Raises: OSError."""
    path = record_path(root, name)
    try:
        if path.stat().st_size > folder.LARGEST_BYTES:
            raise OSError(None, f"{path.name} is too large to be a record")
        return path.read_text(encoding="utf-8", errors="surrogateescape")
    except FileNotFoundError:
        return ""
