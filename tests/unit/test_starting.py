"""New specs and new folders."""

import pytest
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.output import starting
from wareboard.output.files import FolderError
from wareboard.output.working import work_out
from wareboard.text.problems import has_errors

from tests.every import every


@pytest.fixture
def pots(tmp_path):
    """A maker's first folder."""
    starting.start_folder(tmp_path / "pots")
    return tmp_path / "pots"


def test_a_first_folder_has_no_problems(pots):
    worked = work_out(pots)
    assert worked.problems == ()
    assert list(worked.sheets) == ["first-beaker"]
    assert (pots / "specs" / ".schema" / "clay.schema.json").is_file()


def test_a_folder_with_something_in_it_is_left_alone(pots):
    with pytest.raises(FolderError, match="not empty"):
        starting.start_folder(pots)


def test_a_written_form_passes_the_check(pots):
    text = starting.form_text(
        title="Oil jar",
        code="O-1",
        family="jars",
        clay="my-clay",
        unit="in",
        foot="2 1/2",
        rim='3 1/4"',
        height="4",
        wall="3/16",
        floor="1/4",
    )
    assert starting.check_text(work_out(pots), "specs/forms/oil-jar.yaml", text) == []


def test_a_form_that_cannot_be_is_told(pots):
    text = starting.form_text(
        title="Oil jar",
        code="O-1",
        family="jars",
        clay="no-clay",
        unit="mm",
        foot="60",
        rim="80",
        height="100",
        wall="4",
        floor="5",
    )
    problems = starting.check_text(work_out(pots), "specs/forms/oil-jar.yaml", text)
    assert has_errors(problems) and {problem.at.file for problem in problems} == {"specs/forms/oil-jar.yaml"}


def test_a_code_that_another_form_has_is_told_wherever_it_is_blamed(pots):
    text = starting.form_text(
        title="Jar",
        code="B-1",
        family="jars",
        clay="my-clay",
        unit="mm",
        foot="60",
        rim="80",
        height="100",
        wall="4",
        floor="5",
    )
    for slug in ("a-jar", "z-jar"):
        assert has_errors(starting.check_text(work_out(pots), f"specs/forms/{slug}.yaml", text)), slug


@every(
    "text, expected",
    [
        ("title: Old  # a word\ncode: B-1\nunit: mm\n", "title: New\\1 pot  # a word\ncode: B-2\nunit: mm\n"),
        (
            "# top\ntitle: Old\nunit: mm\nparts:\n  title: kept\n",
            "# top\ntitle: New\\1 pot\ncode: B-2\nunit: mm\nparts:\n  title: kept\n",
        ),
    ],
)
def test_a_form_like_another_keeps_all_but_its_names(text, expected):
    assert starting.form_text_like(text, "New\\1 pot", "B-2") == expected


@every("title, slug", [("Tall beaker", "tall-beaker"), ("Ærø ½ cup", "r-12-cup"), ("茶碗", ""), ("  -- ", "")])
def test_a_slug_is_made_of_what_can_stand_in_one(title, slug):
    assert starting.suggest_slug(title) == slug


@every(
    "codes, like, code",
    [([], "B-1", "B-1"), (["B-1", "B-7"], "B-", "B-8"), (["B-1", "C"], "C", "C1"), (["7"], "7", "F-1")],
)
def test_a_code_is_one_above_the_last(codes, like, code):
    assert starting.suggest_code(codes, like) == code


# ---- what an editor knows ----


def schemas_of(pots):
    return {path.name: path.read_text(encoding="utf-8") for path in (pots / "specs" / ".schema").iterdir()}


def check(pots):
    return CliRunner().invoke(command, ["-C", str(pots), "check"])


def test_check_keeps_the_schemas_to_the_studios_own_names(pots):
    before = schemas_of(pots)
    assert '"my-clay"' in before["form.schema.json"]
    stamps = {path: path.stat().st_mtime_ns for path in (pots / "specs" / ".schema").iterdir()}
    assert check(pots).exit_code == 0
    assert {path: path.stat().st_mtime_ns for path in stamps} == stamps, "nothing new, nothing written"
    clay = pots / "specs" / "clays" / "my-clay.yaml"
    (clay.parent / "red-clay.yaml").write_bytes(clay.read_bytes())
    assert check(pots).exit_code == 0
    after = schemas_of(pots)
    assert '"red-clay"' in after["form.schema.json"] and after["clay.schema.json"] == before["clay.schema.json"]


def test_a_studio_with_an_error_keeps_the_schemas_that_it_has(pots):
    before = schemas_of(pots)
    (pots / "specs" / "clays" / "red-clay.yaml").write_text("title: Red\n", encoding="utf-8")
    assert check(pots).exit_code == 1
    assert schemas_of(pots) == before


def test_what_is_not_ours_is_never_written_over_and_a_missing_folder_is_not_made(pots):
    place = pots / "specs" / ".schema"
    (place / "form.schema.json").write_text('{"title": "mine"}', encoding="utf-8")
    (place / "clay.schema.json").unlink()
    assert check(pots).exit_code == 0
    assert (place / "form.schema.json").read_text(encoding="utf-8") == '{"title": "mine"}'
    assert not (place / "clay.schema.json").exists()
    for path in place.iterdir():
        path.unlink()
    place.rmdir()
    assert check(pots).exit_code == 0 and not place.exists()


def test_a_folder_that_cannot_be_written_fails_no_check(pots, monkeypatch):
    def refuse(path, content, **how):
        raise PermissionError(13, "read-only", str(path))

    clay = pots / "specs" / "clays" / "my-clay.yaml"
    (clay.parent / "red-clay.yaml").write_bytes(clay.read_bytes())
    monkeypatch.setattr(starting, "write_whole", refuse)
    before = schemas_of(pots)
    assert check(pots).exit_code == 0 and schemas_of(pots) == before


def test_a_build_keeps_them_too(pots):
    glaze = pots / "specs" / "forms" / "first-beaker.yaml"
    (glaze.parent / "second.yaml").write_text(glaze.read_text(encoding="utf-8").replace("code:", "# code:"), encoding="utf-8")  # fmt: skip
    done = CliRunner().invoke(command, ["-C", str(pots), "build", "--no-cards"])
    assert done.exit_code == 0, done.output
    assert '"second"' in schemas_of(pots)["run.schema.json"]
