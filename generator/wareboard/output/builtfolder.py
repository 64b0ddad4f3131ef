"""A folder that was built: the mark that says so, what in it is ours, and how a new one takes its place.

A build replaces only what it made. Whatever else lies in the folder is the maker's and goes along into the new one.
"""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import re
import secrets
import shutil
import sys
from collections import ChainMap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from wareboard.output import files
from wareboard.output.files import FolderError, digest_of, stat_of
from wareboard.pot.frozen import frozen

MARK = ".wareboard-site.json"
FORMAT = 1
# Beside the site where it can be exchanged whole; within it where it is a disk of its own.
ASIDE = "new-{name}-{mark}"
WITHIN = ".wareboard-new"
_LEAVING = re.compile(r"(?:new|old)-(.+)-[0-9a-f]{12}")


@frozen
class Manifest:
    """What a build made: for whom, and every file with a digest of what it held."""

    edition: str
    files: Mapping[str, str] = field(default_factory=dict)

    def pieces(self) -> Iterator[bytes]:
        """The mark as it is written, a line each, as `indent` has it, which takes ten times as long for thousands of files."""
        yield f'{{\n"edition": {json.dumps(self.edition)},\n"files": {{\n'.encode()
        between = ""
        for name in sorted(self.files):
            yield f"{between}{json.dumps(name)}: {json.dumps(self.files[name])}".encode()
            between = ",\n"
        yield f'\n}},\n"format": {FORMAT},\n"made by": "wareboard"\n}}\n'.encode()

    def text(self) -> bytes:
        """The mark whole."""
        return b"".join(self.pieces())


def read_manifest(folder: Path) -> Manifest | None:
    """The mark of a folder; None where there is none that can be read."""
    try:
        path = folder / MARK
        if path.is_symlink():
            return None
        said = json.loads(path.read_bytes())
        listed = {str(name): str(digest) for name, digest in said["files"].items()}
        if said["format"] != FORMAT or said["made by"] != "wareboard":
            return None
        return Manifest(str(said["edition"]), {name: listed[name] for name in listed if _is_below(name)})
    except (FileNotFoundError, NotADirectoryError, *files.SPOILT):
        return None


def _is_below(name: str) -> bool:
    return not {"", ".", ".."} & set(name.split("/"))


def files_below(folder: Path, below: str = "") -> Iterator[str]:
    """Every file and link below a folder, by its path in it."""
    with os.scandir(folder / below) as entries:
        found = sorted(entries, key=lambda entry: entry.name)
    for entry in found:
        path = f"{below}/{entry.name}" if below else entry.name
        if entry.is_dir(follow_symlinks=False):
            if path != WITHIN:
                yield from files_below(folder, path)
        else:
            yield path


def check_target(target: Path, edition: str, root: Path | None = None) -> None:
    """See that a build may go into a folder.

    Args:
        target: the folder; it need not exist.
        edition: for whom the build is.
        root: the maker's folder, whose specs no build may touch.
    Raises: FolderError, with what is in the way.
    """
    if root is not None:
        own, specs = Path(os.path.realpath(root)), Path(os.path.realpath(root / "specs"))
        if target in (own, specs) or target in own.parents or specs in target.parents:
            raise FolderError(f"{target} is where the specs are; a build needs a folder of its own")
    if target.exists() and not target.is_dir():
        raise FolderError(f"{target} is a file; the site needs a folder of that name")
    if not target.exists():
        return
    manifest = read_manifest(target)
    if manifest is None:
        strange = next((name for name in sorted(os.listdir(target)) if not name.startswith(".")), None)
        if strange is not None:
            raise FolderError(
                f"{target} holds `{strange}` and no mark of a build ({MARK}), so it may be yours; "
                "move it away or empty it, then build again"
            )
    elif manifest.edition != edition:
        raise FolderError(
            f"{target} holds what was built for {_whom(manifest.edition)}, and this build is for {_whom(edition)}; "
            "move it away or empty it, then build again"
        )


def _whom(edition: str) -> str:
    return "the studio itself" if edition == "studio" else f"a {edition}" if edition == "stockist" else f"an {edition}"


@frozen
class Swap:
    """A new folder, finished and marked, and the one whose place it is to take; may be carried out again after a kill.

    `untouched` is what is known of files of the folder that is replaced, see `_keep_changed`; after a kill nothing is.
    """

    target: Path
    new: Path
    mark: str
    untouched: Mapping[str, list[int]] = field(default_factory=dict)

    def as_json(self) -> dict[str, str]:
        """The swap as the journal has it."""
        return {"target": str(self.target), "new": str(self.new), "mark": self.mark}

    @classmethod
    def from_json(cls, said: Mapping[str, Any]) -> Swap:
        """The swap that a journal names. Raises: KeyError."""
        return cls(Path(said["target"]), Path(said["new"]), str(said["mark"]))

    @property
    def old(self) -> Path:
        """Where the folder before lies while there is none in its place."""
        return self.new.with_name(self.new.name.replace("new-", "old-", 1))

    def carry_out(self) -> list[str]:
        """Put the new folder in place, with all in it that is the maker's; returns what is to be said."""
        if self.new.name == WITHIN:
            return self._replace_contents()
        said: list[str] = []
        if self.new.is_dir() and not self._is_done():
            if self.target.exists():
                said = _take_along(self.target, self.new, self.untouched)
                if not _exchange(self.new, self.target):
                    files.touches("rename", self.target)
                    os.rename(self.target, self.old)
                    os.rename(self.new, self.target)
            else:
                os.rename(self.new, self.target)
        for old in (self.new, self.old):
            if old.is_dir() and self.target.is_dir():
                try:
                    _bring_after(old, self.target)
                except OSError as fault:  # the new one stands; what is left is for `tidy_beside`
                    said.append(f"{old} could not be looked through ({fault.strerror}); the next build tidies it up")
                else:
                    files.remove_tree(old)
        return said

    def _is_done(self) -> bool:
        return _mark_of(self.target) == self.mark and _mark_of(self.new) != self.mark

    def _replace_contents(self) -> list[str]:
        """File by file, the mark last: for a folder that cannot be exchanged, since it is a disk of its own."""
        if not self.new.is_dir():
            return []
        before = read_manifest(self.target) or Manifest("")
        after = read_manifest(self.new)
        if after is None:
            files.remove_tree(self.new)
            return []
        said = _keep_changed(self.target, before, self.untouched)
        for name in [name for name in files_below(self.new) if name != MARK]:
            (self.target / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(self.new / name, self.target / name)
        for name in before.files.keys() - after.files.keys():
            (self.target / name).unlink(missing_ok=True)
            _drop_empty((self.target / name).parent, self.target)
        os.replace(self.new / MARK, self.target / MARK)
        files.remove_tree(self.new)
        return said


def _mark_of(folder: Path) -> str:
    try:
        return digest_of(folder / MARK)
    except OSError:
        return ""


def _drop_empty(folder: Path, top: Path) -> None:
    while folder != top:
        try:
            folder.rmdir()
        except OSError:
            return
        folder = folder.parent


def _take_along(old: Path, new: Path, untouched: Mapping[str, list[int]]) -> list[str]:
    """Give the new folder all that is the maker's in the old one.

    Raises: FolderError, a file of the maker's stands where one of ours is to go.
    """
    before = read_manifest(old) or Manifest("")
    theirs = [name for name in files_below(old) if name not in before.files and name != MARK]
    for name in theirs:
        if _stands(new / name) and not _same(old / name, new / name):
            raise FolderError(
                f"{old / name} was not made by a build, and this build makes a file of that name; move it away"
            )
    said = _keep_changed(old, before, untouched)
    for name in theirs:
        _bring(old / name, new / name)
    shutil.copymode(old, new)
    return said


def _stands(path: Path) -> bool:
    return path.is_symlink() or path.exists()


def _same(one: Path, other: Path) -> bool:
    with contextlib.suppress(OSError):
        return os.path.samefile(one, other) or (
            not one.is_symlink() and one.is_file() and other.is_file() and digest_of(one) == digest_of(other)
        )
    return False


def _bring(source: Path, place: Path) -> None:
    """One file of the maker's under a second name, so that it is never without one; copied where that is not to be had."""
    if _stands(place):
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    files.touches("link", place)
    try:
        os.link(source, place, follow_symlinks=False)
    except OSError:
        if not source.is_symlink() and not source.is_file():
            return  # a pipe or the like is nobody's work
        shutil.copy2(source, place, follow_symlinks=False)


def _bring_after(old: Path, target: Path) -> None:
    """What the maker put into the old folder while it was being exchanged."""
    before = read_manifest(old)
    for name in files_below(old) if before is not None else ():
        if name not in before.files and name != MARK and not _stands(target / name):
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.move(old / name, target / name)


def _keep_changed(folder: Path, before: Manifest, untouched: Mapping[str, list[int]]) -> list[str]:
    """Copies of files that a build made and somebody has changed since: they are replaced, and not lost.

    Args:
        folder: the folder.
        before: its mark.
        untouched: what `stat_of` told of files when they were made; while it does, they need not be read.
    """
    said = []
    for name, digest in before.files.items():
        with contextlib.suppress(OSError):
            if name in untouched and untouched[name] == stat_of(f"{folder}/{name}"):
                continue
        path = folder / name
        if path.is_symlink() or not path.is_file():
            continue
        found = digest_of(path)
        if found == digest:
            continue
        kept = files.private_folder(folder.parent) / "kept" / folder.name / f"{name}.{found[:8]}"
        if not kept.exists():
            kept.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, kept)
        said.append(f"{path} was changed by hand since it was built; what it held is kept as {kept}")
    return said


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    files.touches("rename", other)
    here, exchange = -100, 2  # AT_FDCWD and RENAME_EXCHANGE of <linux/fs.h>
    renameat2.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
    return renameat2(here, os.fsencode(one), here, os.fsencode(other), exchange) == 0


@dataclass(slots=True)
class Aside:
    """A folder that is filled beside the one whose place it will take."""

    target: Path
    path: Path
    edition: str

    @classmethod
    def open(cls, target: Path, edition: str = "studio", root: Path | None = None) -> Aside:
        """Begin; whoever does holds the studio's lock.

        Args:
            target: the folder to replace, `site/`; it need not exist.
            edition: for whom it is built.
            root: the maker's folder.
        Raises: FolderError, the target holds something that was not built here, or for somebody else.
        """
        target = Path(os.path.realpath(target))
        check_target(target, edition, root)
        path = _place_aside(target)
        path.mkdir(parents=True)
        return cls(target, path, edition)

    def finish(
        self, known: Mapping[str, str] = MappingProxyType({}), untouched: Mapping[str, list[int]] = MappingProxyType({})
    ) -> Swap:
        """Write the mark: all that is needed is there, and may take the old one's place.

        Args:
            known: digests of files, by whoever wrote them; the others are read.
            untouched: of the folder that is replaced, see `_keep_changed`.
        """
        others = {name: digest_of(self.path / name) for name in files_below(self.path) if name not in known}
        made = Manifest(self.edition, ChainMap(others, known))  # type: ignore[arg-type]
        files.write_whole(self.path / MARK, made.pieces())
        return Swap(self.target, self.path, digest_of(self.path / MARK), untouched)

    def close(self) -> None:
        """Delete what was not swapped in. May be called again."""
        files.remove_tree(self.path)


def _place_aside(target: Path) -> Path:
    """Where the new folder is made: on the same disk as the one that it replaces."""
    above = target.parent
    while not above.exists():
        above = above.parent
    apart = target.exists() and (_is_mounted(target) or target.stat().st_dev != above.stat().st_dev)
    if apart or (target.exists() and not os.access(above, os.W_OK)):
        return target / WITHIN
    return files.private_folder(target.parent) / ASIDE.format(name=target.name, mark=secrets.token_hex(6))


MOUNTS = Path("/proc/self/mountinfo")


def _is_mounted(folder: Path) -> bool:
    """True for a folder that cannot be renamed: a disk of its own, or a folder of this one that is shown there."""
    if os.path.ismount(folder):
        return True
    try:
        listed = MOUNTS.read_bytes()
    except OSError:  # no such list on this system
        return False
    # A space in a path stands there in octal; so do a tab, a new line and a backslash.
    named = re.sub(rb"[\s\\]", lambda sign: b"\\%03o" % ord(sign[0]), os.fsencode(folder))
    return any(line.split()[4:5] == [named] for line in listed.splitlines())


def tidy_leavings(root: Path) -> None:
    """As `tidy_beside`, of every site that stands in a maker's folder, whoever it was for and whatever is built now."""
    leavings = [_LEAVING.fullmatch(path.name) for path in (root / files.PRIVATE).glob("*-*-*")]
    for name in {found[1] for found in leavings if found}:
        with contextlib.suppress(OSError):  # told when that site is built
            tidy_beside(root / name)


def tidy_beside(target: Path) -> None:
    """Delete what killed builds of a folder left; whoever does holds the studio's lock, and has replayed its journal."""
    target = Path(os.path.realpath(target))
    files.remove_tree(target / WITHIN)
    private = target.parent / files.PRIVATE
    mark = "[0-9a-f]" * 12  # this site's own leavings: `site` must not take over those of `site-stockist`
    for old in private.glob(f"old-{target.name}-{mark}"):
        if not target.exists():
            os.rename(old, target)
        else:
            _bring_after(old, target)
            files.remove_tree(old)
    for new in private.glob(f"new-{target.name}-{mark}"):
        if target.is_dir():
            _bring_after(new, target)  # it may be the site before, which could not be looked through
        files.remove_tree(new)
