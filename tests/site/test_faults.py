"""Faults of the machine: each operation on a file fails once, processes are killed, two builds run at once.

Whatever happens: a plain message and exit status 1, or all of the work; the last good output, the specs and the record whole.
"""

import errno
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cli import command

ROOT = Path(__file__).resolve().parents[2]
OPERATIONS = {"open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.scandir", "os.listdir", "os.chmod", "os.truncate"}  # fmt: skip


class Faults:
    """Makes the n-th operation on a file below a folder fail. There is one: what listens to a process listens for good."""

    def __init__(self):
        self.below, self.wanted, self.count, self.what = None, 0, 0, ""
        sys.addaudithook(self.hear)

    def hear(self, event, args):
        if self.below is None or not (event in OPERATIONS or event.startswith("wareboard.")) or not args:
            return
        if not isinstance(args[0], (str, bytes, os.PathLike)) or not os.fsdecode(args[0]).startswith(self.below):
            return
        self.count += 1
        if self.count == self.wanted:
            self.what = f"{event} {args[0]}"
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), os.fsdecode(args[0]))

    def during(self, work, below, wanted):
        """What some work gives with one operation failing, and which that was."""
        self.below, self.wanted, self.count, self.what = str(below), wanted, 0, ""
        try:
            return work(), self.what
        finally:
            self.below = None


FAULTS = Faults()


def small_studio(folder):
    """One plain form, without a place for shops; builds fast."""
    shutil.copytree(ROOT / "site_templates" / "start", folder)
    return folder


def run(folder, *words):
    """A command in a folder."""
    return CliRunner().invoke(command, ["-C", str(folder), *words])


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
    """Try some work with each operation on a file failing; how many there were."""
    wanted = 0
    while True:
        wanted += 1
        folder = prepare(wanted)
        done, what = FAULTS.during(lambda: work(folder), studio, wanted)
        if not what:
            assert done.exit_code == 0, done.output
            return wanted - 1
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


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The small studio, built twice: with its first sizes, and with others. Its sites are what a build may leave."""
    folder = small_studio(tmp_path_factory.mktemp("faults") / "studio")
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
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


def test_each_operation_of_printing_a_card_fails_once(built, tmp_path):
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


def started(folder, *words, **more):
    """A command of its own process."""
    quiet = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    return subprocess.Popen(
        [sys.executable, "-m", "wareboard", "-C", str(folder), *words],
        cwd=ROOT / "generator", env=quiet, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more,
    )  # fmt: skip


def ended(process):
    """Exit status and what was said."""
    with process:
        _, said = process.communicate(timeout=60)
    return process.returncode, said


def test_a_build_that_is_killed_anywhere_leaves_a_whole_site_that_the_record_knows(built, tmp_path):
    folder = tmp_path / "studio"
    shutil.copytree(built, folder)
    (folder / "site" / "photo.jpg").write_text("mine")
    begun = time.monotonic()
    assert ended(started(folder, "build", "--no-cards"))[0] == 0
    whole_s, picked = time.monotonic() - begun, random.Random(7)
    for number in range(12):
        change(folder, 121 + number)
        process = started(folder, "build", "--no-cards")
        # The last moments, in which everything is swapped in, are tried more often.
        time.sleep(whole_s * picked.uniform(0.0, 1.1) ** 0.5)
        process.kill()
        ended(process)
        assert is_whole(folder / "site") and (folder / "site" / "photo.jpg").read_text() == "mine"
        recorded, shown = revisions_of(folder)
        assert set(shown) <= set(recorded)
    assert ended(started(folder, "build", "--no-cards"))[0] == 0
    recorded, shown = revisions_of(folder)
    assert is_whole(folder / "site") and shown == recorded[-1:]
    assert {path.name for path in (folder / ".wareboard").iterdir()} <= {".gitignore", "lock", "cache", "state"}
    assert not list((folder / "specs" / ".revisions").rglob(".*"))


def test_of_two_at_once_neither_loses_a_revision(built, tmp_path):
    folder = tmp_path / "studio"
    shutil.copytree(built, folder)
    for number in range(3):
        change(folder, 140 + number)
        first = started(folder, "build", "--no-cards")
        second = started(folder, "cards", "first-beaker", "-o", str(folder / "card.pdf"))
        both = ended(first), ended(second)
        assert [status for status, _ in both] == [0, 0], both
    recorded, shown = revisions_of(folder)
    assert len(recorded) == len(set(recorded)) == 4 and shown == recorded[-1:]


def test_ctrl_c_ends_at_once_and_leaves_the_last_site(built, tmp_path):
    folder = tmp_path / "studio"
    shutil.copytree(built, folder)
    shutil.rmtree(folder / ".wareboard" / "cache")
    before = tree(folder / "site")
    change(folder, 150)
    process = started(folder, "build", start_new_session=True)
    for line in process.stderr:
        if line.startswith("setting the cards"):
            break
    os.killpg(process.pid, signal.SIGINT)
    status, said = ended(process)
    assert status == 1 and "Traceback" not in said
    assert tree(folder / "site") == before
