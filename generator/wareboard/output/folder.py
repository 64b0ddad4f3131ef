"""A maker's folder on the disk: spec files are read here, and nothing is written."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from wareboard.output import files
from wareboard.text import source
from wareboard.text.problems import Position, Problem, error, nearest_word, warning
from wareboard.text.projects import FOLDERS

SPECS = files.SPECS
FONTS = "fonts"
LARGEST_BYTES = 1_000_000


# ---- reading ----


@dataclass(slots=True)
class Memory:
    """What was read before, so that only files that changed are read and parsed again."""

    read: dict[str, tuple[tuple[int, int, int], str, list[Problem]]] = field(default_factory=dict)
    parsed: dict[str, tuple[str, tuple[source.Mapping | None, list[Problem]]]] = field(default_factory=dict)

    def parse(self, text: str, path: str) -> tuple[source.Mapping | None, list[Problem]]:
        """As `source.read_nodes`, once for each text."""
        known = self.parsed.get(path)
        if known is None or known[0] != text:
            known = self.parsed[path] = (text, source.read_nodes(text, path))
        return known[1][0], list(known[1][1])


def read_texts(folder: Path, memory: Memory | None = None) -> tuple[dict[str, str], list[Problem]]:
    """The text of every spec file of a folder.

    Only ordinary files that really stand in the folder are read: a link that leads out of it is
    refused, and so is a file that is too large, is not UTF-8, or stands where no spec belongs.

    Args:
        folder: the maker's folder, which holds `specs/`.
        memory: what was read before; brought up to date.
    Returns: text by path below the folder (`specs/forms/tall-beaker.yaml`), and every problem.
    """
    memory = memory if memory is not None else Memory()
    root = Path(os.path.realpath(folder))
    texts: dict[str, str] = {}
    problems: list[Problem] = []
    for path, entry in _spec_files(root, problems):
        found, said = _read_text(root, path, entry, memory)
        problems += said
        if found is not None:
            texts[path] = found
    for forgotten in memory.read.keys() - texts.keys():
        del memory.read[forgotten]
        memory.parsed.pop(forgotten, None)
    return texts, problems


def read_reached(
    folder: Path, wanted: Iterable[str], reached: Callable[[str, str], Iterable[str]], memory: Memory
) -> tuple[dict[str, str], list[str], list[Problem]]:
    """The text of some spec files, and of those that they lead to.

    Args:
        folder: the maker's folder, which holds `specs/`.
        wanted: the first files, by path; those that are not there are passed over.
        reached: a file's path and text to the paths that it leads to.
        memory: what was read before; brought up to date.
    Returns: text by path; the path of every spec file that is there, read or not; every problem of those that were read.
    """
    root = Path(os.path.realpath(folder))
    there = dict(_spec_files(root, []))
    texts: dict[str, str] = {}
    problems: list[Problem] = []
    waiting, seen = list(wanted), set()
    while waiting:
        path = waiting.pop(0)
        if path in seen or path not in there:
            continue
        seen.add(path)
        found, said = _read_text(root, path, there[path], memory)
        problems += said
        if found is not None:
            texts[path] = found
            waiting += reached(path, found)
    return texts, list(there), problems


def _spec_files(root: Path, problems: list[Problem]) -> Iterator[tuple[str, os.DirEntry[str]]]:
    """Files under `specs/` that may be specs, by path; what is out of place is said."""
    for path, entry in _entries(root, SPECS, problems):
        name, suffix = os.path.splitext(entry.name)
        parts = path.split("/")
        if suffix.lower() not in (".yaml", ".yml"):
            continue
        if suffix != ".yaml":
            problems.append(
                error(
                    "odd-file-name",
                    Position(path),
                    f"a spec's name ends in `.yaml`, not in `{suffix}`",
                    f"rename it to `{name}.yaml`",
                )
            )
        elif parts[1:] == ["studio.yaml"] or (len(parts) == 3 and parts[1] in FOLDERS):
            yield path, entry
        else:
            near = nearest_word(parts[1], FOLDERS) if len(parts) > 2 else None
            hint = (
                f"did you mean `{SPECS}/{near}/{entry.name}`?"
                if near
                else f"move it to one of {', '.join(f'{SPECS}/{kind}/' for kind in FOLDERS)}"
            )
            problems.append(warning("misplaced-file", Position(path), "no spec is read from here", hint))


def _entries(root: Path, below: str, problems: list[Problem], depth: int = 0) -> Iterator[tuple[str, os.DirEntry[str]]]:
    try:
        with os.scandir(root / below) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError as fault:
        if depth or not isinstance(fault, FileNotFoundError):
            problems.append(
                error("unreadable-file", Position(below), f"this folder cannot be opened: {fault.strerror}")
            )
        return
    if not _is_inside(root, root / below):
        problems.append(
            error(
                "link-outside",
                Position(below),
                "this is a link that leads out of the project",
                "move the specs themselves here",
            )
        )
        return
    for entry in entries:
        path = f"{below}/{entry.name}"
        if entry.name.startswith("."):
            continue
        if entry.is_symlink() and entry.is_dir():
            problems.append(
                error(
                    "link-outside",
                    Position(path),
                    "this is a link to a folder; specs are read from folders only",
                    "move the specs themselves here",
                )
            )
        elif entry.is_dir():
            if entry.name.endswith(".yaml"):
                problems.append(error("unreadable-file", Position(path), "this is a folder; a spec is a file"))
            elif depth < 3:
                yield from _entries(root, path, problems, depth + 1)
        else:
            yield path, entry


def _is_inside(root: Path, path: Path) -> bool:
    return Path(os.path.realpath(path)).is_relative_to(root)


def _read_text(root: Path, path: str, entry: os.DirEntry[str], memory: Memory) -> tuple[str | None, list[Problem]]:
    at = Position(path)
    if entry.is_symlink() and not _is_inside(root, root / path):
        return None, [error("link-outside", at, "this is a link that leads out of the project", "copy the file here")]
    try:
        status = entry.stat()
        if not stat.S_ISREG(status.st_mode):
            return None, [error("unreadable-file", at, "this is not an ordinary file")]
        if status.st_size > LARGEST_BYTES:
            return None, [
                error("too-long", at, f"the file has {status.st_size:,} bytes; a spec has at most {LARGEST_BYTES:,}")
            ]
        mark = (status.st_mtime_ns, status.st_size, status.st_ino)
        known = memory.read.get(path)
        if known is None or known[0] != mark:
            known = memory.read[path] = (mark, *_decode((root / path).read_bytes(), path))
    except OSError as fault:
        return None, [error("unreadable-file", at, f"this cannot be read: {fault.strerror}")]
    return (None if known[2] else known[1]), known[2]


def find_font(root: Path, name: str) -> Path | None:
    """A studio's own font file by its name in `specs/fonts/`; None where no ordinary file of that name stands there."""
    fonts = Path(os.path.realpath(root)) / SPECS / FONTS
    path = fonts / name
    return path if Path(name).name == name and os.path.realpath(path) == str(path) and path.is_file() else None


def _decode(content: bytes, path: str) -> tuple[str, list[Problem]]:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "", [error("not-utf-8", Position(path), "the file is saved as UTF-16", "save it as UTF-8")]
    try:
        return content.decode("utf-8-sig"), []
    except UnicodeDecodeError as fault:
        before = fault.object[: fault.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
        found = f"the byte {fault.object[fault.start]:#04x} is not UTF-8"
        return "", [error("not-utf-8", Position(path, line, column), found, "save the file as UTF-8")]
