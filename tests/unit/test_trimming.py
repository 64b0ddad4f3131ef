"""The trimming card before it is set: what stands on it, rounded inward, and laid out so that nothing is lost."""

import datetime
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.cards.trimming import (
    SETTINGS,
    TrimBlock,
    TrimRow,
    columns_of,
    render_trimming,
    row_height_mm,
    title_height_mm,
    trim_blocks,
    weights_between,
)
from wareboard.figures import checks
from wareboard.figures.figure import Figure
from wareboard.figures.shown import Reader, reader_of
from wareboard.text import projects
from wareboard.text.quantities import Steps
from wareboard.text.units import parse_quantity

from tests.demo import texts_of_demo

MADE = datetime.date(2026, 11, 25)
OUNCE_G = 28.349523125  # Source: NIST (second-hand)


@cache
def sheets(units="metric first"):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    return checks.check_project(projects.read_project(texts))[0]


def rows_of(slug, part=0):
    sheet = sheets()[slug]
    return {(row.label, row.of): row for row in trim_blocks(sheet, reader_of(sheet.studio))[part].rows}


def weight(value):
    return Figure("jar.trim.least", "leather-hard", value, "g", None, "", (), "", False)


@given(st.floats(20.0, 4000.0), st.floats(0.002, 0.04), st.sampled_from([1.0, 5.0, 10.0]))
@settings(max_examples=60, deadline=None)
def test_weights_are_rounded_inward_on_the_scales_own_step_where_one_lies_between(least, share, step_g):
    most = least * (1.0 + share)
    (low, high), (low_oz, high_oz) = weights_between(
        Reader(steps=Steps(step_g, 0.5, 1 / 32)), weight(least), weight(most)
    )
    metric = [float(amount.number) for amount in (low, high)]
    if metric[0] != metric[1] or least <= metric[0] <= most:
        assert least - 1e-5 * step_g <= metric[0] <= metric[1] <= most + 1e-5 * step_g
    if -(-least // step_g) * step_g <= most:
        assert metric[0] % step_g == 0.0 == metric[1] % step_g
    grams = [parse_quantity(str(amount), "mass").value for amount in (low_oz, high_oz)]
    assert grams[0] <= grams[1]
    assert grams[0] == grams[1] or least - 1e-3 <= grams[0] <= grams[1] <= most + 1e-3


def test_a_narrow_range_that_no_step_of_the_scale_falls_in_is_told_on_a_finer_one():
    metric, _ = weights_between(Reader(), weight(117.51), weight(119.99))
    assert [amount.number for amount in metric] == ["118", "119"]


def test_a_jar_and_its_lid_say_what_is_weighed_turned_and_left():
    jar, lid = rows_of("tea-caddy"), rows_of("tea-caddy", 1)
    sheet = sheets()["tea-caddy"]
    assert (jar["Trim at", "1 lb 1¼ oz"].number, lid["Trim at", "4¼ oz"].number) == ("485–490", "118–119")
    assert float(lid["Flange", "turned to"].number) == pytest.approx(
        sheet.value("lid.flange", "leather-hard"), abs=0.25
    )
    assert [label for label, _ in lid].count("Flange") == 1
    play = lid["Play", "in its own jar, 0.8 mm a side"]
    assert (
        float(play.number) == pytest.approx(sheet.value("fit.lid.clearance", "leather-hard"), abs=0.05) and play.strong
    )
    assert jar["Mouth", "inside"].strong is False and lid["Flange", "turned to"].strong
    assert jar["Wall", "thinnest"].number == "5.0" and jar["Floor", "at centre"].number == "5.5"
    assert jar["Bare to", "bevel, up"].number == "3.5"
    assert jar["Weight", "trimmed"].number == "385"


def test_walls_by_station_are_all_there_and_what_is_added_is_named():
    cup = rows_of("cup-and-saucer")
    assert {of for label, of in cup if label == "Wall"} == {"at turn", "at belly", "at rim"}
    assert ("Weight", "trimmed, with its handle") in cup


def test_pairing_any_says_any_and_a_solid_part_has_neither_wall_nor_floor():
    stopper = rows_of("oil-bottle", 1)
    assert any(of.startswith("in any bottle") for _, of in stopper)
    assert not {"Wall", "Floor"} & {label for label, _ in stopper}


def test_card_says_what_holds_whose_bounds_it_are_and_what_to_do():
    caddy, beaker = (
        render_trimming(sheets()[slug], made=MADE, site_url="https://pots.example")
        for slug in ("tea-caddy", "tall-beaker")
    )
    for said in (
        "Tea caddy",
        "TC-2",
        "Millpond buff",
        "25 November 2026",
        sheets()["tea-caddy"].revision,
        "Sizes are leather-hard",
        "keep the fit within its limits",
        "Heavier: leave it to dry.",
        "QR code: https://pots.example/forms/tea-caddy",
        "95.4 % leather-hard",
    ):
        assert said in caddy.html, said
    assert "1.5 % either way, common practice" in beaker.html and "match" not in beaker.html
    assert (caddy.name, caddy.title) == ("tea-caddy-trimming", "Tea caddy, trimming card")
    assert caddy.html.count('class="ok') + caddy.html.count('class="binds') + caddy.html.count('class="rattles') == 25
    assert caddy.html.count(" middle") == 1


def test_table_has_no_weights_for_a_form_that_is_not_at_hand_and_has_them_when_it_is():
    alone = render_trimming(sheets()["short-beaker"], made=MADE).html
    together = render_trimming(sheets()["short-beaker"], made=MADE, others=sheets()).html
    assert together.count(" g</b>") > alone.count(" g</b>")


def test_imperial_weights_stand_in_two_rows():
    sheet = sheets("imperial first")["tea-caddy"]
    labels = [(row.label, row.of) for row in trim_blocks(sheet, reader_of(sheet.studio))[0].rows]
    assert labels[:2] == [("Trim from", ""), ("Trim up to", "")] or labels[0] == ("Trim at", "about")


def test_there_is_no_card_on_other_paper():
    with pytest.raises(ValueError, match="A5 and A6"):
        render_trimming(sheets()["tea-caddy"], paper="A4", made=MADE)


def test_words_of_a_maker_are_never_markup():
    sheet = sheets()["tea-caddy"]
    form = (
        replace(sheet.form, title=type(sheet.form.title)("<b>x</b> & {{ y }}", sheet.form.title.at))
        if hasattr(sheet.form.title, "at")
        else replace(sheet.form, title="<b>x</b> & {{ y }}")
    )
    html = render_trimming(replace(sheet, form=form, _found={}), made=MADE).html
    assert "<b>x</b>" not in html and "&lt;b&gt;x&lt;/b&gt; &amp; {{ y }}" in html


@given(
    st.lists(st.integers(1, 16), min_size=1, max_size=6),
    st.booleans(),
    st.sampled_from(["A5", "A6"]),
    st.floats(55.0, 100.0),
)
@settings(max_examples=60, deadline=None)
def test_every_row_stands_once_in_order_and_no_column_is_higher_than_its_room(counts, strong, paper, room_mm):
    setting = SETTINGS[paper]
    blocks = [
        TrimBlock(
            f"part {at}",
            tuple(TrimRow("Wall", f"at station {at} {row}", "12.5", "mm", "½ in", strong) for row in range(count)),
        )
        for at, count in enumerate(counts)
    ]
    columns = columns_of(blocks, setting, room_mm)
    assert [row for column in columns for block in column for row in block.rows] == [
        row for block in blocks for row in block.rows
    ]
    for column in columns:
        assert (
            sum(
                title_height_mm(block.title, setting)
                + sum(row_height_mm(row, setting, block.widths) for row in block.rows)
                for block in column
            )
            <= room_mm + 1e-9
        )
