"""Two processes at one work: everything is done once, and none outlives the other."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from wareboard.output import workers
from wareboard.output.workers import WorkerKilled, share

from tests.every import every

ROOT = Path(workers.__file__).parents[2]
pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="one process elsewhere")


@every("processes", [1, 2, 3])
@every("count", [0, 1, 2, 9])
def test_each_piece_is_done_once(count, processes):
    made = dict(share(lambda piece: (piece * piece, os.getpid()), range(count), processes=processes))
    assert {piece: square for piece, (square, _) in made.items()} == {piece: piece * piece for piece in range(count)}


def test_the_first_process_works_too():
    at_work = {pid for _, pid in share(lambda piece: time.sleep(0.01) or os.getpid(), range(12))}
    assert len(at_work) == 2 and os.getpid() in at_work


def test_what_a_worker_raises_is_raised_here():
    def work(piece):
        if os.getpid() != here:
            raise ValueError("too thin")
        time.sleep(0.02)

    here = os.getpid()
    with pytest.raises(ValueError, match="too thin"):
        list(share(work, range(6)))


def test_a_worker_that_was_killed_is_told():
    def work(piece):
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        time.sleep(0.02)

    here = os.getpid()
    with pytest.raises(WorkerKilled, match="SIGKILL"):
        list(share(work, range(6)))


def test_a_worker_that_ctrl_c_reached_ends_the_work_as_ctrl_c_does():
    def work(piece):
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGINT)
        time.sleep(0.02)

    here = os.getpid()
    with pytest.raises(KeyboardInterrupt):
        list(share(work, range(6)))


def is_there(pid):
    try:
        return Path(f"/proc/{pid}/stat").read_text().split(")")[1].split()[0] != "Z"
    except OSError:
        return False


def test_a_worker_dies_with_the_process_that_started_it():
    program = (
        "import os, sys, time\nfrom wareboard.output.workers import share\nhere = os.getpid()\n"
        "def work(piece):\n if os.getpid() != here:\n  print(os.getpid(), flush=True)\n time.sleep(60)\n"
        "list(share(work, range(4)))"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, cwd=ROOT, text=True) as process:
        worker = int(process.stdout.readline())
        assert is_there(worker)
        process.kill()
        process.wait()
        for _ in range(200):
            if not is_there(worker):
                break
            time.sleep(0.02)
        assert not is_there(worker)


def test_a_worker_that_is_not_wanted_any_more_is_ended():
    shared = share(lambda piece: os.getpid(), range(50))
    for _ in range(3):
        next(shared)
    shared.close()
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)
