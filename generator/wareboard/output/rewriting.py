"""A spec that a command adds to: written whole or not at all, and only where it still says what was read."""

from __future__ import annotations

import codecs
import os
import stat
from pathlib import Path

from wareboard.output import files, journal


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
