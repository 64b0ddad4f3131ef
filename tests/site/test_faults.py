"""Faults of the machine: each operation on a file fails once, processes are killed, two builds run at once.

Whatever happens: a plain message and exit status 1, or all of the work; the last good output, the specs and the record whole.
An operation is a function in the code, reached through the same functions: of forty files that one loop writes, the first and the
last are tried; of those that it reads, the first. What puts something in another's place is tried each time, unless it is only kept to
be quicker the next time.
"""

import errno
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import warnings
from functools import lru_cache
from multiprocessing import Pipe
from pathlib import Path

import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cli import command
from wareboard.output import leaves

from tests.site.conftest import plain_cards

pytestmark = pytest.mark.usefixtures("drawn_once")
ROOT = Path(__file__).resolve().parents[2]
OPERATIONS = {"open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.scandir", "os.listdir", "os.chmod", "os.truncate"}  # fmt: skip


# Those that put something in another's place: each is tried, for each leaves another half done.
SWAPS = {"os.rename", "os.remove", "os.rmdir"}
WRITING = os.O_WRONLY | os.O_RDWR


class Faults:
    """Makes the n-th operation on a file below a folder fail. There is one: what listens to a process listens for good."""

    def __init__(self):
        self.below, self.wanted, self.count, self.what = None, 0, 0, ""
        self.ways: list[tuple] = []
        self.kills = False
        sys.addaudithook(self.hear)

    def hear(self, event, args):
        if self.below is None or not (event in OPERATIONS or event.startswith("wareboard.")) or not args:
            return
        if not isinstance(args[0], (str, bytes, os.PathLike)) or not os.fsdecode(args[0]).startswith(self.below):
            return
        self.count += 1
        if not self.wanted:
            self.ways.append((event, event == "open" and bool(args[2] & WRITING), *dict.fromkeys(frames_above())))
        if self.count == self.wanted:
            self.what = f"{event} {args[0]}"
            if self.kills:
                os.kill(os.getpid(), signal.SIGKILL)
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), os.fsdecode(args[0]))

    def during(self, work, below, wanted):
        """What some work gives with one operation failing, and which that was."""
        self.below, self.wanted, self.count, self.what = str(below), wanted, 0, ""
        try:
            return work(), self.what
        finally:
            self.below = None

    def worth_trying(self, work, below):
        """Which operations are to fail, by their number: of those that are reached one way, the first, and the last that writes."""
        self.ways = []
        done, _ = self.during(work, below, 0)
        assert done.exit_code == 0, done.output
        numbers = range(1, self.count + 1)
        first, last = dict(zip(reversed(self.ways), reversed(numbers))), dict(zip(self.ways, numbers))
        writing = {number for way, number in last.items() if way[1] or way[0].startswith("wareboard.")}
        swaps = [number for number, way in zip(numbers, self.ways) if way[0] in SWAPS and not is_keeping(way)]
        return sorted({*first.values(), *writing, *swaps})


def is_keeping(way):
    """True for what is only kept to be quicker the next time."""
    return any(code.co_filename == leaves.__file__ for code in way[2:])


def frames_above():
    """Where an operation was asked for: the functions that led to it."""
    frame = sys._getframe(2)
    while frame:
        yield frame.f_code
        frame = frame.f_back


FAULTS = Faults()


def small_studio(folder):
    """One plain form, without a place for shops; builds fast."""
    shutil.copytree(ROOT / "site_templates" / "start", folder)
    return folder


def run(folder, *words):
    """A command in a folder."""
    return CliRunner().invoke(command, ["-C", str(folder), *map(str, words)])


def tree(folder):
    """Every file's bytes by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def specs(folder):
    """The maker's own files."""
    return {path: text for path, text in tree(folder / "specs").items() if not path.startswith(".")}


def change(folder, height):
    """Another height for the form."""
    path = folder / "specs" / "forms" / "first-beaker.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"(rim: \{height: )\d+", rf"\g<1>{height}", text), encoding="utf-8")


def revisions_of(folder):
    """Revisions of the record, and the one that the site shows."""
    path = folder / "specs" / ".revisions" / "forms" / "first-beaker.jsonl"
    recorded = re.findall(r'"revision": "(\w+)"', path.read_text(encoding="utf-8")) if path.exists() else []
    page = folder / "site" / "forms" / "first-beaker.html"
    shown = re.findall(r'data-revision="(\w+)"', page.read_text(encoding="utf-8")) if page.exists() else []
    return recorded, shown


def is_whole(folder):
    """True where a site's mark and its files say the same."""
    from wareboard.output.builtfolder import digest_of, read_manifest

    manifest = read_manifest(folder)
    return manifest is not None and all(digest_of(folder / name) == digest for name, digest in manifest.files.items())


def every_fault(studio, prepare, work, check):
    """Try some work with each operation on a file failing; how many were tried."""
    folder = prepare(0)
    tried = FAULTS.worth_trying(lambda: work(folder), studio)
    for wanted in tried:
        folder = prepare(wanted)
        done, what = FAULTS.during(lambda: work(folder), studio, wanted)
        assert what, wanted
        assert not isinstance(done.exception, Exception) or isinstance(done.exception, SystemExit), (
            what,
            done.exception,
        )
        assert done.exit_code in (0, 1), (what, done.output)
        if done.exit_code:
            assert "Error: " in done.output or " error: " in done.output or "There are no cards" in done.output, (
                what,
                done.output,
            )
            assert "Traceback" not in done.output and "Errno" not in done.output, (what, done.output)
        check(folder, done, what)
    assert work(prepare(0)).exit_code == 0
    return len(tried)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The small studio, built twice: with its first sizes, and with others. Its sites are what a build may leave."""
    folder = small_studio(tmp_path_factory.mktemp("faults") / "studio")
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
    with plain_cards():
        assert run(folder, "build").exit_code == 0
    return folder


def test_each_operation_of_a_build_fails_once(built, tmp_path):
    studio = tmp_path / "studio"

    def prepare(_):
        shutil.rmtree(studio, ignore_errors=True)
        shutil.copytree(built, studio)
        (studio / "site" / "CNAME").write_text("pots.example")
        change(studio, 120)
        return studio

    before = tree(built / "site")
    mine = specs(prepare(0))
    assert run(studio, "build", "--no-cards").exit_code == 0
    after = tree(studio / "site")
    assert before != after

    seen = []

    def check(folder, done, what):
        seen.append(what)
        site = tree(folder / "site")
        assert site.pop("CNAME") == b"pots.example", what
        assert site in (before, {name: text for name, text in after.items() if name != "CNAME"}), (what, done.output)
        assert specs(folder) == mine, what
        recorded, shown = revisions_of(folder)
        assert set(shown) <= set(recorded), what
        if done.exit_code == 0:
            assert len(recorded) == 2, what
        if len(seen) % 5:
            return
        again = run(folder, "build", "--no-cards")
        assert again.exit_code == 0 and tree(folder / "site") == after, (what, again.output)
        left = {path.name for path in (folder / ".wareboard").iterdir()} - {".gitignore", "lock", "cache", "state"}
        assert not left, (what, left)

    count = every_fault(studio, prepare, lambda folder: run(folder, "build", "--no-cards"), check)
    assert count > 60


def test_what_fails_in_the_site_generators_own_command_is_said_in_plain_words(built, tmp_path, monkeypatch):
    from mkdocs.__main__ import cli

    studio = tmp_path / "studio"

    def prepare(height):
        shutil.rmtree(studio, ignore_errors=True)
        shutil.copytree(built, studio)
        change(studio, height)
        settings = (studio / "mkdocs.yml").read_text(encoding="utf-8")
        (studio / "mkdocs.yml").write_text(settings.replace("- wareboard\n", "- wareboard: {cards: false}\n"))
        monkeypatch.chdir(studio)

    def build():
        return CliRunner().invoke(cli, ["build", "-q"])

    prepare(120)
    before, told = tree(studio / "site"), 0
    worth = FAULTS.worth_trying(build, studio)
    after = tree(studio / "site")  # a fault may come when the new site is there and the old one is tidied away
    for wanted in worth[::12]:
        prepare(120)
        done, what = FAULTS.during(build, studio, wanted)
        if what.endswith("mkdocs.yml"):  # it is read before anything of ours is there
            continue
        assert what and isinstance(done.exception, SystemExit | None), (what, done.exception)
        assert done.exit_code in (0, 1) and "Traceback" not in done.output, (what, done.output)
        if done.exit_code:
            told += "the disk is full" in done.output
            assert "rror: " in done.output and tree(studio / "site") in (before, after), (what, done.output)
    assert told > 3


def test_each_operation_of_printing_a_card_fails_once(built, tmp_path, monkeypatch):
    monkeypatch.setattr(engine, "render_pdf", lru_cache(engine.render_pdf))
    studio = tmp_path / "studio"
    printed = {}

    def prepare(_):
        shutil.rmtree(studio, ignore_errors=True)
        shutil.copytree(built, studio)
        shutil.copy(built / "site" / "cards" / "first-beaker-wheel.pdf", studio / "card.pdf")
        change(studio, 120)
        return studio

    before, mine = (prepare(0) / "card.pdf").read_bytes(), specs(studio)
    words = ("cards", "first-beaker", "-o", str(studio / "card.pdf"))
    assert run(studio, *words).exit_code == 0
    printed["new"] = (studio / "card.pdf").read_bytes()
    assert printed["new"] != before

    def check(folder, done, what):
        assert (folder / "card.pdf").read_bytes() == (before if done.exit_code else printed["new"]), (what, done.output)
        assert specs(folder) == mine and not list(folder.glob(".card*")), what
        assert len(revisions_of(folder)[0]) >= (1 if done.exit_code else 2), what

    assert every_fault(studio, prepare, lambda folder: run(folder, *words), check) > 15


@pytest.mark.parametrize(
    ("words", "made"),
    [
        (("new", "nu", "--title", "Nu", "--code", "N-1", "--family", "pots", "--height", "90", "--foot", "60", "--rim", "80"), "specs/forms/nu.yaml"),
        (("start", "{studio}/pots"), "pots"),
        (("start", "{studio}/empty"), "empty/specs"),
        (("schema", "{studio}/schemas"), "schemas"),
    ],
)  # fmt: skip
def test_each_operation_of_what_makes_new_files_fails_once(tmp_path, words, made):
    studio = tmp_path / "studio"

    def prepare(_):
        shutil.rmtree(studio, ignore_errors=True)
        small_studio(studio)
        (studio / "empty").mkdir()
        return studio

    words = [word.replace("{studio}", str(studio)) for word in words]
    mine, before = specs(prepare(0)), tree(studio)

    def check(folder, done, what):
        if done.exit_code:
            assert tree(folder).keys() - before.keys() <= {
                f"{made}/{kind}.schema.json" for kind in ("studio", "form", "clay", "glaze", "kiln", "run")
            }, what
            assert made == "schemas" or not (folder / made).exists(), what
            assert (
                (folder / "empty").is_dir()
                and not list((folder / "empty").iterdir())
                and not (folder / "pots").exists()
            ), what
        assert mine.items() <= specs(folder).items(), what

    assert every_fault(studio, prepare, lambda folder: run(folder, *words), check) > 3
    assert (studio / made).exists()


@pytest.mark.parametrize("number", [errno.EMFILE, errno.EACCES, errno.EROFS, errno.EIO])
def test_other_faults_are_said_too(built, tmp_path, monkeypatch, number):
    from wareboard.output import files

    shutil.copytree(built, tmp_path / "studio")
    before = tree(tmp_path / "studio" / "site")
    change(tmp_path / "studio", 130)

    def fails(*_, **__):
        raise OSError(number, os.strerror(number), "site/index.html")

    monkeypatch.setattr(files, "touches", fails)
    done = run(tmp_path / "studio", "build", "--no-cards")
    assert done.exit_code == 1 and done.stderr.splitlines()[-1].startswith("Error: site/index.html: ")
    assert tree(tmp_path / "studio" / "site") == before


def test_no_memory_is_said(built, tmp_path, monkeypatch):
    from wareboard.output import build

    shutil.copytree(built, tmp_path / "studio")
    monkeypatch.setattr(build, "work_out", lambda *_, **__: (_ for _ in ()).throw(MemoryError()))
    done = run(tmp_path / "studio", "build")
    assert done.exit_code == 1 and "out of memory" in done.stderr and is_whole(tmp_path / "studio" / "site")


# ---- killed ----


def forked(work):
    """A process of its own at work, with all that it needs loaded already; its id and a pipe with its exit status and words."""
    ours, theirs = Pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # threads that libraries keep in readiness take no part
        process = os.fork()
    if not process:
        try:
            done = work()
            theirs.send((done.exit_code, done.output))
        finally:
            os._exit(0)
    theirs.close()
    return process, ours


def ended(process, pipe):
    """Exit status and what was said; nothing where it was killed."""
    try:
        with pipe:
            return pipe.recv()
    except EOFError:
        return None
    finally:
        os.waitpid(process, 0)


def test_a_build_that_is_killed_anywhere_leaves_a_whole_site_that_the_record_knows(built, tmp_path):
    """Killed at operations on files picked at random, and at each one that puts something in another's place."""
    studio = tmp_path / "studio"
    shutil.copytree(built, studio)
    (studio / "site" / "photo.jpg").write_text("mine")
    build = lambda: run(studio, "build", "--no-cards")
    change(studio, 120)
    every = FAULTS.worth_trying(build, studio)
    swaps = [number for number in every if FAULTS.ways[number - 1][0] in SWAPS]
    tried = sorted({*random.Random(7).sample(every, 12), *swaps[:: max(1, len(swaps) // 12)], swaps[-1]})
    for wanted in tried:
        change(studio, 120 + wanted)
        FAULTS.kills = True
        try:
            assert ended(*forked(lambda: FAULTS.during(build, studio, wanted)[0])) is None
        finally:
            FAULTS.kills = False
        assert is_whole(studio / "site") and (studio / "site" / "photo.jpg").read_text() == "mine"
        recorded, shown = revisions_of(studio)
        assert set(shown) <= set(recorded)
    assert build().exit_code == 0
    recorded, shown = revisions_of(studio)
    assert is_whole(studio / "site") and shown == recorded[-1:]
    assert {path.name for path in (studio / ".wareboard").iterdir()} <= {".gitignore", "lock", "cache", "state"}
    assert not list((studio / "specs" / ".revisions").rglob(".*"))


def test_of_two_at_once_neither_loses_a_revision(built, tmp_path):
    folder = tmp_path / "studio"
    shutil.copytree(built, folder)
    for number in range(3):
        change(folder, 140 + number)
        first = forked(lambda: run(folder, "build", "--no-cards"))
        second = forked(lambda: run(folder, "cards", "first-beaker", "-o", folder / "card.pdf"))
        both = ended(*first), ended(*second)
        assert [status for status, _ in both] == [0, 0], both
    recorded, shown = revisions_of(folder)
    assert len(recorded) == len(set(recorded)) == 4 and shown == recorded[-1:]


def test_ctrl_c_ends_at_once_and_leaves_the_last_site(built, tmp_path):
    folder = tmp_path / "studio"
    shutil.copytree(built, folder)
    shutil.rmtree(folder / ".wareboard" / "cache")
    before = tree(folder / "site")
    change(folder, 150)
    slow = (
        "import os, signal, sys, time; from wareboard.cards import engine; from wareboard.cli import main\nfirst = os.getpid()\n"
        # What is started in the background by a shell does not hear Ctrl-C, nor does what it starts.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        # Told by the process that is interrupted: another's word says nothing of what this one is in the midst of.
        "def wait(*_, **__): os.getpid() == first and print('\\nat work', file=sys.stderr, flush=True); time.sleep(60)\n"
        "engine.render_pdf = engine.render_deck = engine.render_both = wait\nmain()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", slow, "-C", str(folder), "build"],
        cwd=ROOT / "generator", stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    with process:
        for line in process.stderr:
            if line == "at work\n":
                break
        os.killpg(process.pid, signal.SIGINT)
        _, said = process.communicate(timeout=30)
    assert process.returncode == 1 and "Traceback" not in said
    assert tree(folder / "site") == before
