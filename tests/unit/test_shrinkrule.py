"""The shrink rule: its marks, which rules a clay gets, and what is written on them."""

import datetime
from dataclasses import replace
from functools import cache

import pytest
from wareboard.cards.shrinkrule import edge_marks, mark_scale, render_rule
from wareboard.pot.clay import make_body
from wareboard.text import projects

from tests.demo import texts_of_demo

MADE = datetime.date(2026, 11, 25)


@cache
def project(units="metric first", bars=True):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("units: metric first", f"units: {units}")
    if not bars:
        clay = "specs/clays/millpond-buff.yaml"
        texts[clay] = texts[clay].split("bars:")[0]
    return projects.read_project(texts)


def rule(clay="millpond-buff", units="metric first", bars=True, **wanted):
    read = project(units, bars)
    return render_rule(read.clays[clay], read.studio, made=MADE, **wanted)


def test_leather_hard_marks_are_nearer_than_wet_ones_and_fired_ones_are_true():
    body = make_body(water_share=0.2, line={"leather-hard": 0.03, "dry": 0.06, "fired": 0.12}, height_factor=1.1)
    assert mark_scale(body, "wet") == pytest.approx(1.0 / 0.88)
    assert mark_scale(body, "leather-hard") == pytest.approx(0.97 / 0.88)
    assert mark_scale(body, "wet", upward=True) == pytest.approx(1.0 / (1.0 - 0.132))
    assert mark_scale(body, "leather-hard", upward=True) == pytest.approx((1.0 - 0.033) / (1.0 - 0.132))
    assert mark_scale(body, "fired") == 1.0


def test_every_millimetre_has_a_mark_and_every_ten_a_number():
    marks = list(edge_marks(1.1, metric=True))
    assert len(marks) == 301
    assert [number for _, _, number in marks if number] == [str(count) for count in range(10, 301, 10)]
    assert marks[300][0] == pytest.approx(330.0)
    assert {length for _, length, number in marks if number} == {6.0}
    assert marks[5][1] > marks[4][1]


def test_every_sixteenth_has_a_mark_and_every_inch_a_number():
    marks = list(edge_marks(1.1, metric=False))
    assert len(marks) == 12 * 16 + 1
    assert [number for _, _, number in marks if number] == [str(count) for count in range(1, 13)]
    lengths = [length for _, length, _ in marks[:17]]
    assert lengths[16] > lengths[8] > lengths[4] == lengths[12] > lengths[2] > lengths[1] == lengths[15]


def test_a_clay_that_shrinks_more_upward_gets_rules_across_and_up():
    html = rule().html
    for words in (
        "Wet clay, across: reads",
        "Wet clay, up: reads",
        "Leather-hard clay, across: reads",
        "Leather-hard clay, up: reads",
    ):
        assert words in html
    assert "up × 1.03" in html


def test_a_clay_that_shrinks_evenly_gets_one_rule_a_stage():
    html = rule("quarry-brown").html
    assert "Wet clay, across and up: reads" in html and "Wet clay, up:" not in html


def test_shrinkage_doubt_lots_and_day_are_named():
    html = rule().html
    # bars of the demo's clay: 88.2 87.9 88.1 88.0 87.8 87.9 88.0 87.9 of 100: mean 12.025 %, one standard deviation 0.13
    assert "fired 12.0 ± 0.1 %" in html
    assert "mean of 8 bars, lots 26-03, 26-07" in html
    assert "25 November 2026" in html


def test_a_clay_without_bars_says_so():
    html = rule(bars=False).html
    assert "as typed, not measured" in html and "±" not in html.split('class="foot"')[1]


def test_an_assumed_shrinkage_says_so():
    read = project()
    spec = read.clays["quarry-brown"]
    line = replace(spec.shrinkage, leather_hard=None)
    assert "leather-hard" in render_rule(replace(spec, shrinkage=line, bars=()), read.studio, made=MADE).html
    assert ", assumed" in render_rule(replace(spec, shrinkage=line, bars=()), read.studio, made=MADE).html


def test_one_unit_system_only_gives_one_edge():
    assert ">mm</text>" in rule(units="metric only").html and ">in</text>" not in rule(units="metric only").html
    assert ">in</text>" in rule(units="imperial only").html and ">mm</text>" not in rule(units="imperial only").html


def test_revision_follows_what_was_typed_for_the_clay():
    read = project()
    revision = projects.revision(read.clays["millpond-buff"])
    assert f"Revision {revision}," in rule().html
    assert projects.revision(project("metric first", False).clays["millpond-buff"]) != revision


def test_code_leads_to_the_clays_page():
    assert "clays/millpond-buff.html" in rule(site_url="https://example.org/ware").html
    assert "QR code" not in rule().html


def test_a_paper_that_there_is_not_is_refused():
    with pytest.raises(ValueError, match="A6.*A4 and Letter"):
        rule(paper="A6")


def test_same_clay_same_text():
    assert rule() == rule()
