"""The trimming card before it is set: what to end at first, the state to begin at second, and nothing that is read before it is on."""

import datetime
import re
from dataclasses import replace
from functools import cache

import pytest
from wareboard.cards.setrows import Line
from wareboard.cards.trimming import BEGIN, THEN, render_trimming, trim_entries
from wareboard.drawing.svg import text_width_mm
from wareboard.figures.settings import as_set
from wareboard.figures.shown import reader_of
from wareboard.figures.trimsettings import trim_settings_of

from tests.demo import texts_of_demo, worked_out
from tests.every import every

MADE = datetime.date(2026, 11, 25)


@cache
def sheets(units="metric first"):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    return worked_out(texts)[1]


def entries(slug, part, units="metric first"):
    sheet = as_set(sheets(units)[slug])
    return trim_entries(sheet, reader_of(sheet.studio))[part]


def lines(slug, part, units="metric first"):
    return {one.name: one for one in reversed(entries(slug, part, units)) if isinstance(one, Line)}


@every("slug", lambda: sorted(sheets()))
def test_what_to_end_at_stands_first_and_large_the_state_to_begin_at_second(slug):
    for part, settings in trim_settings_of(sheets()[slug]).items():
        found = entries(slug, part)
        first = found[: len(settings)]
        assert [one.mark for one in first] == [one.mark for one in settings] and all(one.share == 1.0 for one in first)
        words = [one for one in found[len(settings) :] if isinstance(one, str)]
        assert words == [BEGIN, THEN] or words == [THEN]
        assert all(one.share < 1.0 and not one.mark for one in found[len(settings) :] if isinstance(one, Line))


def test_a_jar_and_its_lid_say_what_is_turned_and_left():
    jar, lid = lines("tea-caddy", "jar"), lines("tea-caddy", "lid")
    assert jar["Wall"].numbers == (("", "5.0"),) and jar["Floor"].numbers == (("", "5.5"),)
    assert jar["Foot"].numbers == (("", "88.0"),)
    assert (
        lid["Play"].numbers == (("", "1.5"),)
        and "in its own jar ± 0.5 mm, 0.75 mm a side; flange near 83.4 mm" in lid["Play"].tool
    )
    assert "Play" not in jar and "Mouth" in jar


def test_pairing_any_is_turned_to_a_size_and_a_solid_part_has_neither_wall_nor_floor():
    stopper = lines("oil-bottle", "stopper")
    assert "turned to" in stopper["Plug"].tool and "Play" not in stopper
    assert not {"Wall", "Floor"} & set(stopper)


def test_calipers_say_when_to_begin_and_grams_only_where_they_can_tell():
    mouth = lines("tea-caddy", "jar")["Mouth"]
    low, high = (float(number) for _, number in mouth.numbers)
    wanted = as_set(sheets()["tea-caddy"]).value("jar.mouth", "leather-hard")
    assert low < wanted < high and high - low < 2.0
    assert "Weight" not in lines("tea-caddy", "jar")


def test_a_handle_is_not_in_a_weight_that_is_read_before_it_is_on():
    cup, sheet = lines("cup-and-saucer", "cup")["Weighs"], as_set(sheets()["cup-and-saucer"])
    handle = sheet.form.parts["cup"].extras["handle"].clay.value
    whole = sheet.value("cup.mass", "leather-hard")
    assert "before its handle" in cup.tool
    left = whole - handle * sheet.shapes["cup"].body.mass_share("leather-hard")
    assert float(cup.numbers[0][1]) == pytest.approx(left, abs=2.5)


def test_the_same_sizes_stand_on_both_systems_cards():
    """The other system starts from the setting as it is rounded in the first."""
    for slug in sheets():
        for part in trim_settings_of(sheets()[slug]):
            metric, imperial = lines(slug, part), lines(slug, part, "imperial first")
            assert set(metric) == set(imperial)


def test_card_says_what_holds_and_what_to_do():
    html = render_trimming(sheets()["tea-caddy"], made=MADE, site_url="https://pots.example").html
    for said in (
        "Tea caddy", "TC-2", "Millpond buff", "25 November 2026", sheets()["tea-caddy"].revision, "Sizes are leather-hard",
        "leave it to dry.", "QR code: https://pots.example/bench/tea-caddy", "95 % leather-hard",
    ):  # fmt: skip
        assert said in html, said
    assert html.count('class="ok') + html.count('class="binds') + html.count('class="rattles') == 25
    assert html.count(" middle") == 1 and "<thead>" in html
    assert "match" not in render_trimming(sheets()["tall-beaker"], made=MADE).html


def test_there_is_no_card_on_other_paper():
    with pytest.raises(ValueError, match="A5"):
        render_trimming(sheets()["tea-caddy"], paper="A3", made=MADE)


def test_words_of_a_maker_are_never_markup():
    sheet = sheets()["tea-caddy"]
    title = type(sheet.form.title)("<b>x</b> & {{ y }}", sheet.form.title.at)
    html = render_trimming(replace(sheet, form=replace(sheet.form, title=title)), made=MADE).html
    assert "<b>x</b>" not in html and "&lt;b&gt;x&lt;/b&gt; &amp; {{ y }}" in html
    assert not re.search(r"\{\{ y \}\}[^<]*<script", html)


@every("wide_mm", lambda: (86, 240, 1010))
def test_numbers_to_turn_to_have_room_beside_each_other_whole(wide_mm):
    texts = texts_of_demo()
    caddy = texts["specs/forms/tea-caddy.yaml"]
    wider = re.sub(r"(diameter: )(\d+)", lambda found: f"{found[1]}{round(int(found[2]) * wide_mm / 86)}", caddy)
    sheet = worked_out({**texts, "specs/forms/tea-caddy.yaml": wider})[1]["tea-caddy"]
    for paper, columns_mm in (("A5", 0.76 * 0.52 * 194.0), ("A6", 0.76 * 138.0)):
        html = render_trimming(sheet, paper=paper, made=MADE).html
        row = re.search(r"turn it to, mm</td>(.*?)</tr>", html, re.DOTALL)[1]
        numbers = re.findall(r'font-size: ([\d.]+)mm">([\d.]+)<', row)
        assert 3 <= len(numbers) <= 10
        assert all(text_width_mm(text, float(size), True) + 1.0 < columns_mm / len(numbers) for size, text in numbers)
