"""Reading a maker's folder, and swapping output in whole."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from wareboard.output import folder
from wareboard.output.folder import Aside, FolderError, Memory, read_texts


@pytest.fixture
def studio(tmp_path):
    """A folder with a studio and one form."""
    root = tmp_path / "studio"
    (root / "specs" / "forms").mkdir(parents=True)
    (root / "specs" / "studio.yaml").write_text("title: A\n", encoding="utf-8")
    (root / "specs" / "forms" / "cup.yaml").write_text("title: Cup\n", encoding="utf-8")
    return root


def said(problems):
    """Rule, file and hint of each problem."""
    return [(problem.rule, problem.at.file, problem.hint) for problem in problems]


def test_reads_specs_by_their_path(studio):
    texts, problems = read_texts(studio)
    assert texts == {"specs/forms/cup.yaml": "title: Cup\n", "specs/studio.yaml": "title: A\n"}
    assert problems == []


def test_a_folder_without_specs_has_no_texts(tmp_path):
    assert read_texts(tmp_path) == ({}, [])


def test_a_byte_order_mark_is_not_part_of_the_text(studio):
    (studio / "specs" / "studio.yaml").write_bytes(b"\xef\xbb\xbftitle: A\n")
    assert read_texts(studio)[0]["specs/studio.yaml"] == "title: A\n"


def test_bytes_that_are_no_text_are_shown_at_their_place(studio):
    (studio / "specs" / "forms" / "cup.yaml").write_bytes("title: Cup\nnotes: Crème ".encode() + b"br\xfbl\xe9e\n")
    texts, problems = read_texts(studio)
    assert "specs/forms/cup.yaml" not in texts
    assert [(p.rule, p.at.line, p.at.column) for p in problems] == [("not-utf-8", 2, 16)]
    assert "0xfb" in problems[0].message


def test_utf_16_is_named(studio):
    (studio / "specs" / "studio.yaml").write_bytes("title: A\n".encode("utf-16"))
    assert "UTF-16" in read_texts(studio)[1][0].message


def test_a_link_that_leads_out_is_refused(studio, tmp_path):
    (tmp_path / "secret.yaml").write_text("title: Secret\n", encoding="utf-8")
    (studio / "specs" / "forms" / "out.yaml").symlink_to(tmp_path / "secret.yaml")
    (studio / "specs" / "clays").symlink_to(tmp_path, target_is_directory=True)
    texts, problems = read_texts(studio)
    assert "Secret" not in str(texts)
    assert [(rule, file) for rule, file, _ in said(problems)] == [
        ("link-outside", "specs/clays"),
        ("link-outside", "specs/forms/out.yaml"),
    ]


def test_a_folder_that_is_a_link_within_the_project_is_not_walked(studio):
    (studio / "specs" / "forms" / "again").symlink_to(studio / "specs", target_is_directory=True)
    texts, problems = read_texts(studio)
    assert len(texts) == 2 and [problem.at.file for problem in problems] == ["specs/forms/again"]


def test_a_whole_folder_that_is_a_link_out_is_refused(studio, tmp_path):
    other = tmp_path / "other"
    other.mkdir()
    (other / "specs").symlink_to(studio / "specs", target_is_directory=True)
    texts, problems = read_texts(other)
    assert texts == {} and said(problems)[0][:2] == ("link-outside", "specs")


def test_a_link_within_the_folder_is_read(studio):
    (studio / "specs" / "forms" / "mug.yaml").symlink_to("cup.yaml")
    assert read_texts(studio)[0]["specs/forms/mug.yaml"] == "title: Cup\n"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_is_refused_and_not_waited_for(studio):
    os.mkfifo(studio / "specs" / "forms" / "pipe.yaml")
    assert said(read_texts(studio)[1]) == [("unreadable-file", "specs/forms/pipe.yaml", "")]


def test_a_file_that_is_too_large_is_not_read(studio, monkeypatch):
    monkeypatch.setattr(folder, "LARGEST_BYTES", 10)
    assert [rule for rule, *_ in said(read_texts(studio)[1])] == ["too-long"]


def test_files_out_of_place_are_said(studio):
    (studio / "specs" / "form").mkdir()
    (studio / "specs" / "form" / "jug.yaml").write_text("title: Jug\n", encoding="utf-8")
    (studio / "specs" / "forms" / "pot.yml").write_text("title: Pot\n", encoding="utf-8")
    (studio / "specs" / "forms" / "photo.png").write_bytes(b"")
    texts, problems = read_texts(studio)
    assert len(texts) == 2
    assert said(problems) == [
        ("misplaced-file", "specs/form/jug.yaml", "did you mean `specs/forms/jug.yaml`?"),
        ("odd-file-name", "specs/forms/pot.yml", "rename it to `pot.yaml`"),
    ]


def test_only_files_that_changed_are_read_and_parsed_again(studio, monkeypatch):
    memory = Memory()
    texts, _ = read_texts(studio, memory)
    nodes = {path: memory.parse(text, path)[0] for path, text in texts.items()}
    read = []
    decode = folder._decode
    monkeypatch.setattr(folder, "_decode", lambda content, path: read.append(path) or decode(content, path))
    cup = studio / "specs" / "forms" / "cup.yaml"
    cup.write_text("title: Mug\n", encoding="utf-8")
    os.utime(cup, ns=(1, 1))
    texts, _ = read_texts(studio, memory)
    assert read == ["specs/forms/cup.yaml"]
    assert memory.parse(texts["specs/studio.yaml"], "specs/studio.yaml")[0] is nodes["specs/studio.yaml"]
    assert memory.parse(texts["specs/forms/cup.yaml"], "specs/forms/cup.yaml")[0] is not nodes["specs/forms/cup.yaml"]


# ---- writing ----


def site_of(folder_, words):
    """A site with one page."""
    folder_.mkdir(exist_ok=True)
    (folder_ / "index.html").write_text(words, encoding="utf-8")
    return folder_


def test_a_swap_replaces_the_whole_folder(tmp_path):
    site = site_of(tmp_path / "site", "old")
    (site / "gone.html").write_text("", encoding="utf-8")
    (site / ".nojekyll").write_text("", encoding="utf-8")
    aside = Aside.open(site)
    site_of(aside.path, "new")
    assert (site / "index.html").read_text() == "old"
    aside.swap_in()
    assert (site / "index.html").read_text() == "new"
    assert sorted(path.name for path in site.iterdir()) == [".nojekyll", "index.html"]
    assert sorted(path.name for path in (tmp_path / ".wareboard").iterdir()) == [".gitignore", "lock"]


def test_a_swap_without_an_exchange_in_one_step(tmp_path, monkeypatch):
    monkeypatch.setattr(folder, "_exchange", lambda one, other: False)
    site = site_of(tmp_path / "site", "old")
    aside = Aside.open(site)
    site_of(aside.path, "new")
    aside.swap_in()
    assert (site / "index.html").read_text() == "new"
    assert not list((tmp_path / ".wareboard").glob("*-site-*"))


def test_a_swap_that_was_killed_half_way_is_mended(tmp_path, monkeypatch):
    site = site_of(tmp_path / "site", "old")
    aside = Aside.open(site)
    site_of(aside.path, "new")
    monkeypatch.setattr(folder, "_exchange", lambda one, other: False)
    rename = os.rename

    def killed_after_one(source, target):
        monkeypatch.setattr(os, "rename", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        rename(source, target)

    monkeypatch.setattr(os, "rename", killed_after_one)
    with pytest.raises(KeyboardInterrupt):
        aside.swap_in()
    aside.held.close()
    assert not site.exists()
    monkeypatch.setattr(os, "rename", rename)
    Aside.open(site).close()
    assert (site / "index.html").read_text() == "old"


def test_what_was_not_swapped_in_is_put_away(tmp_path):
    site = site_of(tmp_path / "site", "old")
    aside = Aside.open(site)
    aside.close()
    aside.close()
    assert not aside.path.exists() and (site / "index.html").read_text() == "old"


def test_a_folder_that_is_no_site_is_not_replaced(tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    (site / "thesis.docx").write_text("years", encoding="utf-8")
    with pytest.raises(FolderError, match="thesis.docx"):
        Aside.open(site)
    (tmp_path / "plain").write_text("", encoding="utf-8")
    with pytest.raises(FolderError, match="is a file"):
        Aside.open(tmp_path / "plain")


def test_a_site_that_is_a_link_is_replaced_where_it_leads(tmp_path):
    real = site_of(tmp_path / "real", "old")
    (tmp_path / "site").symlink_to(real, target_is_directory=True)
    aside = Aside.open(tmp_path / "site")
    site_of(aside.path, "new")
    aside.swap_in()
    assert (tmp_path / "site").is_symlink() and (real / "index.html").read_text() == "new"


def test_the_second_of_two_waits(tmp_path):
    told = []
    holder = "import sys, time; from pathlib import Path; from wareboard.output.folder import lock\nwith lock(Path(sys.argv[1])):\n print(flush=True); time.sleep(0.5)"
    with subprocess.Popen(
        [sys.executable, "-c", holder, str(tmp_path / "lock")],
        stdout=subprocess.PIPE,
        cwd=Path(folder.__file__).parents[2],
    ) as process:
        process.stdout.readline()
        with pytest.raises(FolderError, match="another build"), folder.lock(tmp_path / "lock", patience_s=0.0):
            pass
        started = time.monotonic()
        with folder.lock(tmp_path / "lock", say=told.append):
            assert time.monotonic() - started > 0.2
        assert told == ["another build is running here; waiting for it"]


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "a" / "card.pdf"
    folder.write_whole(path, b"old")
    monkeypatch.setattr(os, "replace", lambda *_: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError):
        folder.write_whole(path, b"new")
    assert path.read_bytes() == b"old" and [entry.name for entry in path.parent.iterdir()] == ["card.pdf"]
