"""Work shared by two processes: the second is forked when everything it needs is loaded, and dies with the first."""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection, Pipe, wait
from typing import NoReturn, TypeVar

from wareboard.output.files import FolderError

Made = TypeVar("Made")
# A worker has the next piece at hand while the first process is still at its own.
AT_HAND = 2


class WorkerKilled(FolderError):
    """A process that was at work was stopped from outside."""


def share(work: Callable[[int], Made], pieces: Sequence[int], *, processes: int = 2) -> Iterator[tuple[int, Made]]:
    """Do pieces of work, here and in forked processes; each comes back when it is done.

    Args:
        work: does a piece, given its number; what it needs is loaded already.
        pieces: the numbers, those that take longest first.
        processes: how many work at it, this one counted in; one where the system cannot fork safely.
    Raises: WorkerKilled; whatever the work raises.
    """
    waiting = list(reversed(pieces))
    workers = [_Worker(work) for _ in range(processes - 1)] if sys.platform.startswith("linux") else []
    try:
        for worker in workers:
            worker.give(waiting)
        while waiting or any(worker.at_hand for worker in workers):
            if waiting:
                piece = waiting.pop()
                yield piece, work(piece)
            busy = [worker for worker in workers if worker.at_hand]
            ready = wait([worker.pipe for worker in busy], 0.0 if waiting else None) if busy else []
            for worker in busy:
                if worker.pipe in ready:
                    yield worker.take()
                    worker.give(waiting)
    finally:
        for worker in workers:
            worker.stop()


class _Worker:
    """A forked process and the pipe to it."""

    def __init__(self, work: Callable) -> None:
        self.at_hand = 0
        self.pipe, theirs = Pipe()
        parent = os.getpid()
        sys.stdout.flush()
        sys.stderr.flush()
        with warnings.catch_warnings():
            # Threads that numerical libraries keep in readiness take no part in this.
            warnings.simplefilter("ignore", DeprecationWarning)
            self.process = os.fork()
        if not self.process:
            self.pipe.close()
            _be_worker(work, theirs, parent)
        theirs.close()

    def give(self, waiting: list[int]) -> None:
        """Hand over pieces until enough are at hand."""
        while waiting and self.at_hand < AT_HAND:
            try:
                self.pipe.send(waiting[-1])
            except OSError as fault:
                raise self._killed() from fault
            waiting.pop()
            self.at_hand += 1

    def take(self) -> tuple[int, object]:
        """A piece that is done."""
        try:
            piece, made, fault = self.pipe.recv()
        except (EOFError, OSError) as gone:
            raise self._killed() from gone
        if fault is not None:
            raise fault
        self.at_hand -= 1
        return piece, made

    def _killed(self) -> WorkerKilled | KeyboardInterrupt:
        """What to raise; Ctrl-C reaches both processes, and may be lost on this one inside a library."""
        status = 0
        with contextlib.suppress(ChildProcessError):
            _, status = os.waitpid(self.process, 0)
        self.process = 0
        if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGINT:
            return KeyboardInterrupt()
        how = f" by {signal.Signals(os.WTERMSIG(status)).name}" if os.WIFSIGNALED(status) else ""
        return WorkerKilled(f"a process that was setting cards was stopped{how}; is the machine short of memory?")

    def stop(self) -> None:
        """End the process, whatever it is doing."""
        self.pipe.close()
        if self.process:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.process, signal.SIGKILL)
            with contextlib.suppress(ChildProcessError):
                os.waitpid(self.process, 0)


def _be_worker(work: Callable, pipe: Connection, parent: int) -> NoReturn:
    """Do pieces until there are no more; never come back into what was forked."""
    status = 1
    try:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        _die_with(parent)
        while True:
            piece = pipe.recv()
            try:
                reply = (piece, work(piece), None)
            except Exception as fault:  # told to the process that asked
                reply = (piece, None, fault)
            try:
                pipe.send(reply)
            except (TypeError, AttributeError, ValueError):
                pipe.send((piece, None, RuntimeError(repr(reply[2]))))
    except (EOFError, OSError):
        status = 0
    finally:
        os._exit(status)


def _die_with(parent: int) -> None:
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG of <linux/prctl.h>
    if os.getppid() != parent:
        os._exit(0)
