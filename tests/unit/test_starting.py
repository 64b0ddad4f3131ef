"""New specs and new folders."""

import pytest
from wareboard.output import starting
from wareboard.output.files import FolderError
from wareboard.output.working import work_out
from wareboard.text.problems import has_errors


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


@pytest.mark.parametrize(
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


@pytest.mark.parametrize(
    "title, slug", [("Tall beaker", "tall-beaker"), ("Ærø ½ cup", "r-12-cup"), ("茶碗", ""), ("  -- ", "")]
)
def test_a_slug_is_made_of_what_can_stand_in_one(title, slug):
    assert starting.suggest_slug(title) == slug


@pytest.mark.parametrize(
    "codes, like, code",
    [([], "B-1", "B-1"), (["B-1", "B-7"], "B-", "B-8"), (["B-1", "C"], "C", "C1"), (["7"], "7", "F-1")],
)
def test_a_code_is_one_above_the_last(codes, like, code):
    assert starting.suggest_code(codes, like) == code
