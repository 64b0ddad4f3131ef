"""Every file that is written passes here: whole or not at all, tidied up after, and one writer a studio at a time."""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from wareboard.text.problems import Refused

SPECS, PRIVATE = "specs", ".wareboard"
DIGEST_BYTES = 16
# What something that we wrote and that was spoilt since raises when it is read.
SPOILT = (ValueError, KeyError, TypeError, AttributeError, RecursionError)
LOCK, JOURNAL = "lock", "journal.json"
# How far into the lock file the lock itself lies: what stands before it can be read by those who wait.
LOCKED_AT = 1 << 20
# What a killed run may have left beside a file that it was writing.
_LEFT = re.compile(r"\..+\.[0-9a-f]{8}(\.part)?")


class FolderError(Refused):
    """The folder cannot be used as asked; the message says why and what to do."""


def find_folder(start: Path) -> Path:
    """The folder that holds `specs/`: the one where somebody stands, or the nearest above it; where there is none, the first.

    Args:
        start: where to begin.
    """
    here = Path(os.path.abspath(start))
    for folder in (here, *here.parents):
        if (folder / SPECS / "studio.yaml").is_file():
            return start if folder == here else folder
    return start


def random_mark() -> str:
    """Eight characters that no other run will think of."""
    return os.urandom(4).hex()


def touches(what: str, path: Path | str) -> None:
    """Tell whoever listens (a test that makes each operation fail once) what is about to be done to a file."""
    sys.audit(f"wareboard.{what}", str(path))


def write_whole(path: Path, content: bytes | Iterable[bytes], *, new: bool = False) -> None:
    """Write a file so that it is there whole or not at all.

    Args:
        path: the file; folders that are missing are made, and taken away again where it cannot be written.
        content: all of it, or piece by piece.
        new: never write over a file that is there.
    Raises: FileExistsError, with `new`; OSError.
    """
    with made_folder(path.parent):
        aside = path.with_name(f".{path.name[:80]}.{random_mark()}.part")
        try:
            _write(aside, content)
            if new:
                _place_new(aside, path)
            else:
                os.replace(aside, path)
        except BaseException:
            _forget(aside)
            raise


def _write(path: Path, content: bytes | Iterable[bytes]) -> None:
    with open(path, "wb") as file:
        touches("write", path)
        file.writelines([content] if isinstance(content, bytes) else content)


def write_pieces(path: Path | str, pieces: Iterable[bytes]) -> str:
    """Write a file of a folder that is still being filled, piece by piece; returns its digest, as `digest_of` tells it."""
    import hashlib  # a build of nothing does without

    found = hashlib.blake2b(digest_size=DIGEST_BYTES)
    with open(path, "wb") as file:
        touches("write", path)
        for piece in pieces:
            found.update(piece)
            file.write(piece)
    return found.hexdigest()


def read_bytes(path: str) -> bytes:
    """A small file of ours, whole; thousands are read of a large studio. Raises: OSError."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        size = os.fstat(handle).st_size
        read = os.read(handle, size)
        while len(read) < size and (more := os.read(handle, size - len(read))):
            read += more
        return read
    finally:
        os.close(handle)


def stat_of(path: Path | str) -> list[int]:
    """When a file was last written, how large it is and which it is; one that somebody touches is seen by it. Raises: OSError."""
    status = os.lstat(path)
    return [status.st_mtime_ns, status.st_size, status.st_ino]


def digest_of(path: Path | str) -> str:
    """A digest of a file."""
    import hashlib

    found = hashlib.blake2b(digest_size=DIGEST_BYTES)
    with open(path, "rb") as file:
        while piece := file.read(1 << 20):
            found.update(piece)
    return found.hexdigest()


def _place_new(aside: Path, path: Path) -> None:
    """Give a file its name where nothing goes by that name yet."""
    try:
        os.link(aside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        with open(path, "xb"):
            pass
        os.replace(aside, path)
    else:
        _forget(aside)


def _forget(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def append(path: Path, content: bytes) -> None:
    """Add to a file's end and see it on the disk; where that fails the file is as it was.

    Raises: OSError.
    """
    with made_folder(path.parent):
        new = not path.exists()
        handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
        try:
            size = os.fstat(handle).st_size
            try:
                touches("write", path)
                left = memoryview(content)
                while left:
                    left = left[os.write(handle, left) :]
                touches("sync", path)
                os.fsync(handle)
            except BaseException:
                with contextlib.suppress(OSError):
                    os.ftruncate(handle, size)
                if new:
                    _forget(path)
                raise
        finally:
            os.close(handle)


def see_written(path: Path) -> None:
    """Come back when a file, or the names in a folder, are on the disk."""
    try:
        handle = os.open(path, os.O_RDONLY)
    except PermissionError:
        if sys.platform == "win32":  # there folders cannot be opened; they are written through
            return
        raise
    try:
        touches("sync", path)
        os.fsync(handle)
    finally:
        os.close(handle)


@contextlib.contextmanager
def made_folder(folder: Path) -> Iterator[None]:
    """A folder to work in; what had to be made for it is taken away again where the work fails."""
    missing = [parent for parent in (folder, *folder.parents) if not parent.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    except BaseException:
        for made in missing:
            with contextlib.suppress(OSError):
                made.rmdir()
        raise


def remove_tree(folder: Path) -> None:
    """Delete a folder of ours; what cannot be deleted now is tidied up by the next run."""
    import shutil

    shutil.rmtree(folder, ignore_errors=True)


def tidy(folder: Path) -> None:
    """Delete what a killed run left beside the files that it was writing."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if _LEFT.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                _forget(Path(entry.path))


def private_folder(beside: Path) -> Path:
    """The folder `.wareboard` for work in hand; it keeps itself out of version control."""
    private = beside / PRIVATE
    if private.is_symlink():
        raise FolderError(f"{private} is a link; a folder of its own is wanted there")
    if private.is_file():
        raise FolderError(f"{private} is a file; a folder of its own is wanted there")
    private.mkdir(parents=True, exist_ok=True)
    ignore = private / ".gitignore"
    if not ignore.exists():
        write_whole(ignore, b"*\n")
    return private


# ---- one writer at a time ----


@contextlib.contextmanager
def lock(
    path: Path, doing: str = "a build", *, patience_s: float = 600.0, say: Callable[[str], None] = lambda words: None
) -> Iterator[None]:
    """Hold a lock file while working; the system lets go of it even where the process is killed.

    Args:
        path: the lock file; made where it is missing.
        doing: what is being done, for others who have to wait.
        patience_s: how long to wait for another process, s.
        say: told once where there is something to wait for.
    Raises: FolderError, the other process did not end in time.
    """
    with open(path, "a+b") as held:
        waited_until = time.monotonic() + patience_s
        told = False
        while not _try_lock(held.fileno()):
            if time.monotonic() >= waited_until:
                raise FolderError(f"{_holder(path)} is still writing here; try again when it has ended")
            if not told:
                say(f"{_holder(path)} is writing here; waiting for it")
                told = True
            time.sleep(0.1)
        held.truncate(0)
        held.write(json.dumps({"process": os.getpid(), "doing": doing, "since": _now()}).encode())
        held.flush()
        yield


def writing(
    root: Path, doing: str, *, say: Callable[[str], None] = lambda words: None, patience_s: float = 600.0
) -> contextlib.AbstractContextManager[None]:
    """Be the one who writes in a maker's folder; see `lock`."""
    return lock(private_folder(root) / LOCK, doing, patience_s=patience_s, say=say)


def _now() -> str:
    return datetime.datetime.now().strftime("%H:%M:%S")


def _holder(path: Path) -> str:
    """Who holds a lock, in words."""
    try:
        said = json.loads(path.read_bytes())
        return f"{said['doing']} (process {int(said['process'])}, since {said['since']})"
    except (OSError, ValueError, KeyError, TypeError):
        return "another run of this program"


def _try_lock(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(descriptor, LOCKED_AT, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        if sys.platform == "win32":
            return False
        raise
    return True
