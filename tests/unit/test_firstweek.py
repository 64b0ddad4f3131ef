"""The first week speaks of the studio's own forms, with numbers that are those of their sheets."""

from wareboard.figures.shown import reader_of
from wareboard.pages import firstweek
from wareboard.words.steps import read_first_week

from tests.demo import texts_with, worked_out


def test_days_have_the_numbers_of_the_plainest_pots():
    project, sheets = worked_out()
    examples = firstweek.examples_in(sheets)
    assert len(examples["vessel"][0].form.parts) == 1 and examples["lidded"][0].form.fits
    sheet, part = examples["vessel"]
    ball = reader_of(project.studio).text(sheet.find(f"{part}.ball.set", "wet"))
    page = firstweek.render_first_week(project, sheets)[0].body
    assert f"ten balls of {ball}" in page and "{" not in page.replace("{{", "")
    assert page.count('<section class="day">') == len(read_first_week())


def test_every_line_is_told_by_some_day_of_the_demo():
    """A line that quotes a figure which no sheet has would silently never be told."""
    project, sheets = worked_out()
    for entry, day in zip(read_first_week(), firstweek.days_of(project, firstweek.examples_in(sheets)), strict=True):
        assert day.lines, entry["title"]
        plain = [
            line
            for line in entry["lines"]
            if not any(f".{letter}." in line or f".{letter} " in line for letter in "SC")
        ]
        assert len(day.lines) >= len(plain), entry["title"]


def test_a_studio_without_forms_has_its_week_all_the_same():
    page = firstweek.render_first_week(*worked_out(texts_with()))[0].body
    assert "Pointer and calipers" in page and "With the" not in page
