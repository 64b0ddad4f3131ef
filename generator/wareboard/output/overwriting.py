"""What a command may write over: what was made here, never through a link; and a spec, whole, only where it still says what was read."""

from __future__ import annotations

import codecs
import os
import stat
from collections.abc import Callable
from pathlib import Path

from wareboard.output import files, folder
from wareboard.output.files import FolderError

# So much of a file is looked at to see whose it is; a maker's film is not read whole.
MOST_READ_BYTES = 200_000_000


def check_destination(path: Path, root: Path, is_ours: Callable[[bytes], bool], made: str) -> None:
    """See that a file may be written.

    Args:
        path: the file; it need not exist.
        root: the maker's folder, whose specs are never written over.
        is_ours: whether what stands in a file was made here.
        made: what such a file is, in words: `a PDF of cards`.
    Raises: FolderError, with what is in the way.
    """
    check_place(path, root, made)
    if path.is_symlink():
        raise FolderError(f"{path} is a link to {os.readlink(path)}; name the file itself")
    if not path.exists():
        return
    if not path.is_file() or path.stat().st_size > MOST_READ_BYTES or not is_ours(path.read_bytes()):
        raise FolderError(f"{path} is there already and is not {made} that was made here; name another")


def check_place(path: Path, root: Path, made: str) -> None:
    """See that a path is no place for specs, nor one where this program keeps what it needs.

    Args:
        path: the file; it need not exist.
        root: the maker's folder.
        made: what such a file is, in words.
    Raises: FolderError, with what is in the way.
    """
    real, specs = Path(os.path.realpath(path)), Path(os.path.realpath(root / folder.SPECS))
    if path.suffix.lower() in (".yaml", ".yml") or (specs in real.parents and specs / ".schema" not in real.parents):
        raise FolderError(f"{path} is a place for specs; {made} is never written there")
    if Path(os.path.realpath(root / files.PRIVATE)) in real.parents:
        raise FolderError(f"{path} is where this program keeps what it needs; {made} is never written there")
    if path.is_dir():
        raise FolderError(f"{path} is a folder; name a file")


def rewrite_spec(root: Path, name: str, known: str, changed: str, doing: str) -> None:
    """Write a spec anew, where it still says what it said when it was read.

    Args:
        root: the folder that holds `specs/`.
        name: the spec's path below it.
        known: its text as it was read.
        changed: its text from now on.
        doing: the command, for others who have to wait.
    Raises: FolderError, it was changed in the meantime, or leads out of the folder; OSError. It then stays as it is.
    """
    from wareboard.output import journal

    path = Path(os.path.realpath(root / name))
    if not path.is_relative_to(os.path.realpath(root)):
        raise files.FolderError(f"{name} leads out of the project; nothing was written")
    with journal.writing(root, doing, patience_s=20.0):
        content = path.read_bytes()
        if content.decode("utf-8-sig", errors="replace") != known:
            raise files.FolderError(f"{name} was changed in the meantime; nothing was written, try again")
        mark = codecs.BOM_UTF8 if content.startswith(codecs.BOM_UTF8) else b""
        mode = stat.S_IMODE(path.stat().st_mode)
        files.write_whole(path, mark + changed.encode("utf-8"))
        os.chmod(path, mode)
