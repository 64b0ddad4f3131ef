"""Files: whole or not at all, tidied up after, one writer at a time; and where a command may write."""

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from wareboard.output import files
from wareboard.output.faults import SAID, machine_fault
from wareboard.output.files import FolderError
from wareboard.output.overwriting import check_destination
from wareboard.output.printing import is_kept

from tests.every import every

ROOT = Path(files.__file__).parents[2]


def failing(*_, **__):
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "a" / "card.pdf"
    files.write_whole(path, b"old")
    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(OSError):
        files.write_whole(path, b"new")
    assert path.read_bytes() == b"old" and [entry.name for entry in path.parent.iterdir()] == ["card.pdf"]


def test_a_file_that_could_not_be_written_leaves_no_folder_behind(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "touches", failing)
    for write in (files.write_whole, files.append):
        with pytest.raises(OSError):
            write(tmp_path / "a" / "b" / "nu.yaml", b"title: Nu\n")
        assert list(tmp_path.iterdir()) == []


def test_a_new_file_is_never_written_over_another(tmp_path):
    files.write_whole(tmp_path / "jug.yaml", b"mine", new=True)
    with pytest.raises(FileExistsError):
        files.write_whole(tmp_path / "jug.yaml", b"other", new=True)
    assert (tmp_path / "jug.yaml").read_bytes() == b"mine" and len(list(tmp_path.iterdir())) == 1


def test_a_new_file_where_the_disk_knows_no_links(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError(errno.EPERM, "no links")))
    files.write_whole(tmp_path / "jug.yaml", b"mine", new=True)
    with pytest.raises(FileExistsError):
        files.write_whole(tmp_path / "jug.yaml", b"other", new=True)
    assert (tmp_path / "jug.yaml").read_bytes() == b"mine" and len(list(tmp_path.iterdir())) == 1


def test_what_could_not_be_added_is_taken_back(tmp_path, monkeypatch):
    path = tmp_path / "cup.jsonl"
    files.append(path, b"one\n")
    monkeypatch.setattr(os, "fsync", failing)
    with pytest.raises(OSError):
        files.append(path, b"two\n")
    assert path.read_bytes() == b"one\n"


def test_what_a_killed_run_left_is_tidied_and_nothing_else(tmp_path):
    for name in (".cup.jsonl.0123abcd", ".x.pdf.0123abcd.part", ".gitignore", "cup.0123abcd", ".cup.jsonl.hand"):
        (tmp_path / name).write_text("")
    files.tidy(tmp_path)
    files.tidy(tmp_path / "none")
    assert sorted(path.name for path in tmp_path.iterdir()) == [".cup.jsonl.hand", ".gitignore", "cup.0123abcd"]


def test_the_second_of_two_waits_and_is_told_for_whom(tmp_path):
    told = []
    holder = (
        "import sys, time; from pathlib import Path; from wareboard.output.files import lock\n"
        "with lock(Path(sys.argv[1]), 'wareboard build'):\n print(flush=True); sys.stdin.readline()"
    )
    words = [sys.executable, "-c", holder, str(tmp_path / "lock")]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT) as process:
        process.stdout.readline()
        with (
            pytest.raises(FolderError, match=f"wareboard build .process {process.pid}, since"),
            files.lock(tmp_path / "lock", patience_s=0.0),
        ):
            pass

        def say(words):
            told.append(words)
            process.stdin.close()

        with files.lock(tmp_path / "lock", say=say):
            pass
        assert len(told) == 1 and told[0].endswith("waiting for it")


def test_the_lock_of_a_killed_process_is_free(tmp_path):
    holder = (
        "import sys, time; from pathlib import Path; from wareboard.output.files import lock\n"
        "with lock(Path(sys.argv[1])):\n print(flush=True); time.sleep(60)"
    )
    words = [sys.executable, "-c", holder, str(tmp_path / "lock")]
    with subprocess.Popen(words, stdout=subprocess.PIPE, cwd=ROOT) as process:
        process.stdout.readline()
        process.kill()
        process.wait()
        started = time.monotonic()
        with files.lock(tmp_path / "lock"):
            assert time.monotonic() - started < 5


# ---- where a command may write ----


def is_ours(content):
    return content == b"ours"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("specs/forms/cup.yaml", "place for specs"), ("specs/cup.pdf", "place for specs"), ("elsewhere.yml", "place for specs"),
        ("theirs.pdf", "is not a card that was made here"), ("folder", "is a folder"), ("link.pdf", "is a link"), ("dangling.pdf", "is a link"),
        ("down/forms/cup.pdf", "place for specs"), (".wareboard/lock", "keeps what it needs"),
    ],
)  # fmt: skip
def test_a_command_never_writes_over_what_is_not_ours(tmp_path, path, said):
    (tmp_path / "specs" / "forms").mkdir(parents=True)
    (tmp_path / "folder").mkdir()
    (tmp_path / "theirs.pdf").write_bytes(b"a thesis")
    (tmp_path / "ours.pdf").write_bytes(b"ours")
    (tmp_path / "link.pdf").symlink_to(tmp_path / "ours.pdf")
    (tmp_path / "dangling.pdf").symlink_to(tmp_path / "nowhere")
    (tmp_path / "down").symlink_to(tmp_path / "specs", target_is_directory=True)
    with pytest.raises(FolderError, match=said):
        check_destination(tmp_path / path, tmp_path, is_ours, "a card")
    check_destination(tmp_path / "ours.pdf", tmp_path, is_ours, "a card")
    check_destination(tmp_path / "new" / "card.pdf", tmp_path, is_ours, "a card")


@every(
    "content, kept",
    [(None, False), (b"", False), (b"%PDF-1.7 half", False), (b"\0" * 99, False), (b"%PDF-1.7 x\n%%EOF\n", True)],
)
def test_a_pdf_that_was_not_written_to_its_end_is_not_kept(tmp_path, content, kept):
    path = tmp_path / "card.pdf"
    if content is not None:
        path.write_bytes(content)
    assert is_kept(path) == kept


def test_a_file_where_a_folder_is_wanted_is_told(tmp_path):
    (tmp_path / ".wareboard").write_text("mine")
    with pytest.raises(FolderError, match="is a file"):
        files.private_folder(tmp_path)


# ---- faults in words ----


@every("number", SAID)
def test_a_fault_of_the_machine_is_said_in_plain_words(number):
    said = machine_fault(OSError(number, os.strerror(number), "site/a.html"))
    assert said.startswith("site/a.html: ") and "Errno" not in said


def test_no_memory_is_said_and_a_fault_of_ours_is_not_hidden():
    assert "out of memory" in machine_fault(MemoryError())
    assert machine_fault(KeyError("x")) is None
