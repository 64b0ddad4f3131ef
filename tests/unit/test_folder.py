"""Reading a maker's folder."""

import os

import pytest
from wareboard.output import folder
from wareboard.output.folder import Memory, read_texts
from wareboard.output.working import work_out

from tests.demo import texts_with


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


def test_a_file_that_cannot_be_read_is_not_missing(tmp_path):
    for path, text in texts_with("tea-caddy").items():
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_text(text, encoding="utf-8")
    glaze = tmp_path / "specs/glazes/lichen-satin.yaml"
    glaze.write_bytes(glaze.read_text(encoding="utf-8").encode("utf-16"))
    assert [problem.rule for problem in work_out(tmp_path).problems] == ["not-utf-8"]
