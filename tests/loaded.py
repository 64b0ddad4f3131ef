"""Commands of their own processes that need not load the program first: forked from this one, which has it loaded.

How a command starts is tried by `test_starting`, `test_cli` and `test_package`; who only wants what it does is spared a second.
"""

import contextlib
import gc
import io
import json
import os
import runpy
import socket
import subprocess
import sys
import tempfile
import threading
import warnings
from collections.abc import Iterator, Sequence
from pathlib import Path


def run(module: str, *words: str | Path, cwd: Path, env: dict[str, str] | None = None) -> subprocess.CompletedProcess:
    """As `subprocess.run([sys.executable, "-m", module, *words], capture_output=True, text=True)`."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err, open(os.devnull) as nothing:
        status = ended(module, words, cwd, env or dict(os.environ), (nothing.fileno(), out.fileno(), err.fileno()))
        said = [(file.seek(0), file.read().decode())[1] for file in (out, err)]
    return subprocess.CompletedProcess([module, *words], status, *said)


def ended(
    module: str, words: Sequence[str | Path], cwd: str | Path, env: dict[str, str], streams: Sequence[int]
) -> int:
    """The exit status of `python -m module words…` with what it reads, writes and complains to."""
    import mkdocs.__main__
    from wareboard import cli, plugin
    from wareboard.cards import engine
    from wareboard.output import build

    assert cli and plugin and build and mkdocs.__main__
    with contextlib.suppress(engine.CardsUnavailable):
        engine.check_engine()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # threads that libraries keep in readiness take no part
        process = os.fork()
    if process:
        return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])
    status = 1
    try:
        for number, stream in enumerate(streams):
            os.dup2(stream, number)
        sys.stdin, sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(number, "r" if not number else "w"), line_buffering=number > 0) for number in range(3))  # fmt: skip
        warnings.resetwarnings()
        warnings.simplefilter("ignore")  # as a command's user has them; tests take each for a mistake
        os.chdir(cwd)
        os.environ.clear()
        os.environ.update(env)
        sys.argv = [module, *map(str, words)]
        gc.freeze()
        runpy.run_module(module, run_name="__main__", alter_sys=True)
        status = 0
    except SystemExit as end:
        if isinstance(end.code, str):
            print(end.code, file=sys.stderr)
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        import traceback

        traceback.print_exc()
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        os._exit(status)


ASKS = """#!{python} -SE
import json, os, socket, sys
with socket.socket(socket.AF_UNIX) as server:
    server.connect({address!r})
    socket.send_fds(server, [json.dumps([sys.argv[1:], os.getcwd(), dict(os.environ)]).encode() + b"\\n"], [0, 1, 2])
    sys.exit(int(server.recv(9)))
"""


@contextlib.contextmanager
def command(module: str, place: Path) -> Iterator[None]:
    """An executable at a place that does as `python -m module` does, for a shell that is to find it there."""
    server = socket.socket(socket.AF_UNIX)
    server.bind(address := str(place.with_name("asked")))
    server.listen()
    place.write_text(ASKS.format(python=sys.executable, address=address), encoding="utf-8")
    place.chmod(0o755)

    def answer() -> None:
        while True:
            asking, _ = server.accept()
            with asking:
                said, streams, _, _ = socket.recv_fds(asking, 1 << 20, 3)
                if not said:
                    return
                while not said.endswith(b"\n"):
                    said += asking.recv(1 << 20)
                words, cwd, env = json.loads(said)
                asking.sendall(str(ended(module, words, cwd, env, streams)).encode())
                for stream in streams:
                    os.close(stream)

    answering = threading.Thread(target=answer)
    answering.start()
    try:
        yield
    finally:
        with socket.socket(socket.AF_UNIX) as last:
            last.connect(address)
        answering.join()
        server.close()
