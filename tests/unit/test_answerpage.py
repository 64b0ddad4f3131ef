"""The page that answers: what it is given of a form, what stands there without a script, and how much it weighs."""

import html
import json
import re
from pathlib import Path

import pytest
from wareboard.figures.answering import asked_of, clays_of
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shown import reader_of
from wareboard.pages import answerpage

from tests.demo import worked_out
from tests.every import every

ASSETS = Path(__file__).parents[2] / "site_templates" / "theme" / "assets"
LIGHT_KB = 100


def given(slug):
    """What the page of a form of the demo is given."""
    page = answerpage.render_answers(worked_out()[1][slug])
    return json.loads(html.unescape(re.search(r'data-asked="([^"]*)"', page.body)[1]))


def test_it_is_given_what_the_cards_say():
    project, sheets = worked_out()
    for slug, sheet in sheets.items():
        shown = given(slug)
        settings = [end.value for one in settings_of(sheet) for end in one.ends]
        assert settings == [
            *(value for name in sheet.form.parts for value in _of_part(shown, name)),
        ], slug
        assert [fit["name"] for fit in shown["fits"]] == list(sheet.form.fits)
    assert {clay.slug for clay in clays_of(project)} == set(project.clays)


def _of_part(shown, name):
    yield from (ball["ball_g"] for ball in shown["balls"] if ball["part"] == name)
    yield from (size["set_mm"] for size in shown["sizes"] if size["part"] == name and size["stage"] == "wet")


def test_a_bat_is_no_clay_and_a_lid_thrown_upside_down_has_no_height_to_measure():
    project, sheets = worked_out()
    asked = asked_of(as_set(sheets["tea-caddy"]), reader_of(project.studio))
    up = {(one.part, one.base_mm): one.fired_mm for one in asked.sizes if one.tool == "pointer, up"}
    bat = project.studio.bat.value
    assert up[("jar", bat)] == pytest.approx(98.0, abs=1.0) and up[("lid", bat)] is None
    assert all(one.base_mm == 0.0 for one in asked.sizes if not one.upward)


def test_without_a_script_the_printed_tables_stand_there_and_nothing_asks():
    body = answerpage.render_answers(worked_out()[1]["tea-caddy"]).body
    assert '<details class="printed" open>' in body and body.count("<table") == 2
    assert re.findall(r"<(output|div class=\"asked\")(?: aria-live=\"polite\")?>", body) == [
        'div class="asked"'
    ]  # in what is hidden itself


@every("slug", ["tea-caddy", "cup-and-saucer", "tall-beaker"])
def test_it_is_light(slug):
    project, sheets = worked_out()
    page = answerpage.render_answers(sheets[slug])
    made = len(page.body.encode()) + sum(
        len(data.text.encode()) for data in (answerpage.render_formulas(), answerpage.render_clays(project))
    )
    shipped = [*ASSETS.glob("answers/*"), ASSETS / "javascripts" / "page.js", ASSETS / "fonts" / "Numbers.woff2"]
    weight = made + sum(path.stat().st_size for path in shipped)
    assert weight < LIGHT_KB * 1000, weight
