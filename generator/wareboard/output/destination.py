"""Where a command may write what it is asked for: never over a spec, through a link, or over what is not ours."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from wareboard.output import folder
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
    real, specs = Path(os.path.realpath(path)), Path(os.path.realpath(root / folder.SPECS))
    if path.suffix.lower() in (".yaml", ".yml") or (specs in real.parents and specs / ".schema" not in real.parents):
        raise FolderError(f"{path} is a place for specs; {made} is never written there")
    if path.is_symlink():
        raise FolderError(f"{path} is a link to {os.readlink(path)}; name the file itself")
    if path.is_dir():
        raise FolderError(f"{path} is a folder; name a file")
    if not path.exists():
        return
    if not path.is_file() or path.stat().st_size > MOST_READ_BYTES or not is_ours(path.read_bytes()):
        raise FolderError(f"{path} is there already and is not {made} that was made here; name another")
