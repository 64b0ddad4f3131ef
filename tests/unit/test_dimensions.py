"""Dimension lines by the rules of the drawing office."""

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wareboard.drawing.dimensions import (
    Lettering,
    Note,
    Span,
    draw_heights,
    draw_span,
    halved,
    head_mm,
    levelled,
    ordered,
    room_mm,
    spread,
)
from wareboard.drawing.svg import Picture, text_width_mm

LETTERING = Lettering()


def heads(picture):
    """Tip and base middle of every arrowhead."""
    found = []
    for data in re.findall(r'class="head[^"]*" d="([^"]+)"', picture.render("x", "t", "d")):
        for triangle in re.findall(r"M([^M]+)Z", data):
            tip, a, b = [tuple(map(float, point.split())) for point in triangle.split("L")]
            found.append((tip, ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)))
    return found


@given(st.lists(st.floats(0.0, 100.0), max_size=9).map(sorted), st.floats(0.5, 8.0))
def test_spread_keeps_order_and_pitch_and_the_middle(wanted, pitch):
    places = spread(wanted, pitch)
    assert all(b - a >= pitch - 1e-9 for a, b in itertools.pairwise(places))
    assert sum(places) == pytest.approx(sum(wanted))
    if all(b - a >= pitch for a, b in itertools.pairwise(wanted)):
        assert places == pytest.approx(wanted)


def test_notes_are_never_written_below_the_board():
    levels = [
        level
        for _, level in levelled(
            [Note(0, 0.0, "foot"), Note(0, 0.2, "bevel"), Note(0, 50.0, "rim")], LETTERING, lowest=1.0
        )
    ]
    assert levels[0] >= 1.0 and levels[1] - levels[0] > LETTERING.plain_mm and levels[2] == 50.0


def test_heads_stand_inside_a_wide_size_and_outside_a_narrow_one():
    wide, narrow = Picture(), Picture()
    draw_span(wide, Span(0.0, 40.0, "40.0"), 10.0, LETTERING)
    draw_span(narrow, Span(0.0, 4.0, "4.0"), 10.0, LETTERING)
    assert sorted((tip[0], base[0]) for tip, base in heads(wide)) == [(0.0, 2.5), (40.0, 37.5)]
    assert sorted((tip[0], base[0]) for tip, base in heads(narrow)) == [(0.0, -2.5), (4.0, 6.5)]


def test_heads_are_slender():
    picture = Picture()
    draw_span(picture, Span(0.0, 40.0, "40.0"), 10.0, LETTERING)
    data = re.search(r'class="head" d="M([^Z]+)Z', picture.render("x", "t", "d")).group(1)
    _, a, b = [tuple(map(float, point.split())) for point in data.split("L")]
    assert head_mm(False) / abs(a[1] - b[1]) > 3.0


def test_extension_lines_leave_a_gap_and_run_past():
    picture = Picture()
    draw_span(picture, Span(0.0, 40.0, "40.0", start_from=0.0, end_from=2.0), 10.0, LETTERING)
    data = re.search(r'class="measure" d="([^"]+)"', picture.render("x", "t", "d")).group(1)
    assert "M0 -0.9L0 -11.2" in data and "M40 -2.9L40 -11.2" in data


def test_a_height_reads_from_the_right():
    picture = Picture()
    draw_heights(picture, [Span(0.0, 60.0, "60.0")], 0.0, LETTERING)
    text = picture.render("x", "t", "d")
    x, y = map(float, re.search(r"translate\(([-.\d]+) ([-.\d]+)\)rotate\(-90\)", text).groups())
    assert y == -30.0
    line = float(re.search(r'class="measure" d="M([-.\d]+) 0L\1 -60"', text).group(1))
    assert x == pytest.approx(line - 1.0)


def test_a_short_height_is_written_level_beside_its_line():
    picture = Picture()
    end = draw_heights(picture, [Span(0.0, 5.0, "5.0")], 0.0, LETTERING)
    text = picture.render("x", "t", "d")
    assert "rotate" not in text and end >= picture.right - 0.8


def test_a_height_moves_its_text_out_of_a_leaders_way():
    def middle(crossed):
        picture = Picture()
        draw_heights(picture, [Span(0.0, 60.0, "60.0")], 0.0, LETTERING, crossed=crossed)
        return -float(re.search(r"translate\([-.\d]+ ([-.\d]+)\)", picture.render("x", "t", "d")).group(1))

    assert middle([]) == 30.0
    half = text_width_mm("60.0", LETTERING.plain_mm) / 2.0
    assert abs(middle([(29.0, 31.0)]) - 30.0) > half and 0.0 < middle([(29.0, 31.0)]) < 60.0
    assert middle([(0.0, 60.0)]) > 60.0 + half - 1.0


def test_what_is_set_stands_out():
    set_one, plain = Picture(), Picture()
    draw_span(set_one, Span(0.0, 40.0, "40.0", True), 10.0, LETTERING)
    draw_span(plain, Span(0.0, 40.0, "40.0"), 10.0, LETTERING)
    assert 'font-weight="700"' in set_one.render("x", "t", "d") and 'font-size="3.9"' in set_one.render("x", "t", "d")
    assert "font-weight" not in plain.render("x", "t", "d")
    assert LETTERING.plain_mm * 0.668 >= 2.2  # cap height of the bundled face, read from the font


def test_half_a_diameter_runs_past_the_axis_for_its_text_or_comes_from_outside():
    wide, narrow = (
        halved(Span(0.0, radius, "mouth ⌀ 77.0", True, one_headed=True), LETTERING) for radius in (20.0, 5.0)
    )
    assert wide.start <= -0.12 * 20.0 and wide.end - wide.start >= room_mm(wide, LETTERING) - 1e-9
    assert narrow.start > narrow.end == 5.0
    picture = Picture()
    draw_span(picture, narrow, 10.0, LETTERING)
    [(tip, base)] = heads(picture)
    assert tip[0] == 5.0 and base[0] > 5.0


def test_levels_are_ordered_so_that_no_text_is_crossed():
    jar, lid = Span(0.0, 60.0, "98.0"), Span(50.0, 80.0, "32.0")
    assert [span.text for span in ordered([lid, jar], LETTERING)] == ["32.0", "98.0"]
    assert [span.text for span in ordered([Span(0, 9, "b"), Span(0, 4, "a"), Span(0, 30, "c")], LETTERING)][-1] in "ac"
