"""Forms beside one another: what is compared of each, and that the page stays lean however many forms there are."""

import json
import re

import pytest
from wareboard.pages import comparepage

from tests.demo import worked_out

LEAN_B = 250  # a form, on the page


def compared(slug):
    text = comparepage.render_compared(worked_out()[1][slug]).text
    found = re.fullmatch(r'compareForms\.add\("([\w-]+)", (.*)\);\n', text)
    assert found[1] == slug
    return json.loads(found[2])


def test_numbers_are_those_that_are_written_so_that_differences_add_up_by_eye():
    rows = {row["name"]: row for row in compared("tea-caddy")["rows"]}
    assert (rows["High, fired"]["text"], rows["High, fired"]["value"]) == ("121 mm", 121.0)
    assert (rows["Holds"]["text"], rows["Holds"]["value"]) == ("350 ml", 350.0)
    assert rows["Mouth calipers, wet"]["value"] == 87.5 and "Lid: flange calipers, wet" in rows


def test_sections_stand_on_the_ground_and_are_as_high_and_wide_as_the_form():
    drawn = compared("tea-caddy")["drawn"]
    assert len(drawn) == 2  # the lid is on
    heights, radii = ([value for line in drawn for value in line[start::2]] for start in (1, 0))
    assert min(heights) == pytest.approx(0.0, abs=0.1) and max(heights) == pytest.approx(121.0, abs=1.0)
    assert 2.0 * max(radii) == pytest.approx(86.0, abs=1.0) and min(radii) >= 0.0


def test_every_form_is_compared_and_the_page_is_lean():
    project, sheets = worked_out()
    (page,) = comparepage.render_compare(project, sheets)
    assert set(re.findall(r'<input type="checkbox" value="([^"]+)"', page.body)) == set(sheets)
    assert len(page.body) < 3000 + LEAN_B * len(sheets)
    assert all(len(comparepage.render_compared(sheet).text) < 4000 for sheet in sheets.values())


def test_a_lone_form_has_the_page_that_its_own_leads_to():
    project, sheets = worked_out()
    assert len(comparepage.render_compare(project, {"tea-caddy": sheets["tea-caddy"]})) == 1, "its own page leads there"
    assert comparepage.render_compare(project, {}) == ()
