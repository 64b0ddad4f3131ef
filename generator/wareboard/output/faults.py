"""Faults of the machine in plain words: a full disk, a folder that is shut, no memory, a process that was stopped."""

from __future__ import annotations

import errno
import os

from wareboard.text.problems import Refused

SAID = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "there is no room left for you on this disk",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "you may not write or read there",
    errno.EPERM: "you may not do that there",
    errno.EMFILE: "this program has as many files open as it may; close some or raise the limit (ulimit -n)",
    errno.ENFILE: "the machine has as many files open as it can",
    errno.ENOMEM: "the machine is out of memory",
    errno.EIO: "the disk answers with an error",
    errno.ENAMETOOLONG: "the name is too long for this disk",
    errno.EXDEV: "it lies on another disk",
    errno.EFBIG: "the file is too large for this disk",
    errno.EBUSY: "something else is using it",
    errno.ELOOP: "its links run in a circle",
    errno.EAGAIN: "the machine can start no more processes",
}
HINTS = {errno.ENOSPC: "make room and run it again", errno.ENOMEM: "close something and run it again"}


def machine_fault(fault: BaseException) -> str | None:
    """What to tell a maker of a fault that is the machine's or the folder's; None where it is a fault of ours.

    >>> machine_fault(OSError(errno.ENOSPC, "No space left on device", "site/index.html"))
    'site/index.html: the disk is full; make room and run it again'
    >>> machine_fault(ValueError("a bug")) is None
    True
    """
    if isinstance(fault, Refused):
        return str(fault)
    if isinstance(fault, MemoryError):
        return f"{SAID[errno.ENOMEM]}; {HINTS[errno.ENOMEM]}"
    if not isinstance(fault, OSError):
        return None
    said = SAID.get(fault.errno or 0) or fault.strerror or str(fault) or "something is wrong with the disk"
    place = os.fsdecode(fault.filename) if isinstance(fault.filename, (str, bytes)) else ""
    hint = HINTS.get(fault.errno or 0, "")
    return (f"{place}: " if place else "") + said + (f"; {hint}" if hint else "")
