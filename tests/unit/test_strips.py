"""The strip beside the calipers: a mark stands where the calipers end when that is what to trim to."""

from math import isclose

import pytest
from wareboard.drawing.strips import draw_strip, edge_marks, strip_of
from wareboard.drawing.svg import Picture, Sketch
from wareboard.figures.matching import turn_table_of
from wareboard.figures.shown import Reader, reader_of

from tests.demo import worked_out
from tests.every import every

SHEETS = worked_out()[1]
CADDY = SHEETS["tea-caddy"]
READER = reader_of(CADDY.studio)
TABLE = turn_table_of(CADDY, "lid", READER)


def test_the_calipers_end_at_what_to_trim_to():
    marks = {round(place / TABLE.stretch, 6): place for place, _, _ in edge_marks(TABLE, "metric")}
    for turn in TABLE.turns:
        nearest = min(marks, key=lambda size: abs(size - turn.to_mm))
        # half a mark's distance from the size to trim to is as far from what the calipers read
        assert abs(marks[nearest] - turn.now_mm) == pytest.approx(abs(nearest - turn.to_mm) * TABLE.stretch, abs=1e-6)
        assert abs(nearest - turn.to_mm) <= 0.25 + 1e-9


def test_marks_run_past_the_wettest_and_the_driest():
    for system in ("metric", "imperial"):
        places = [place for place, _, _ in edge_marks(TABLE, system)]
        assert places[0] <= TABLE.turns[-1].now_mm and places[-1] >= TABLE.turns[0].now_mm
        assert [number for _, _, number in edge_marks(TABLE, system) if number]


@every("systems", [("metric", "imperial"), ("imperial", "metric"), ("metric",), ("imperial",)])
@every("slug, fit", [("tea-caddy", "lid"), ("oil-bottle", "stopper"), ("butter-dish", "cap")])
def test_a_strip_is_drawn_within_its_own_size(systems, slug, fit):
    sheet = SHEETS[slug]
    reader = Reader(systems, READER.steps)
    strip = strip_of(turn_table_of(sheet, fit, reader), reader)
    sketch, picture = Sketch(), Picture()
    draw_strip(sketch, strip, 20.0, 30.0)
    assert isclose(sketch.left, 20.0) and isclose(sketch.bottom, 30.0)
    assert sketch.right <= 20.0 + strip.width_mm + 1e-6 and sketch.top <= 30.0 + strip.height_mm + 1e-6
    draw_strip(picture, strip)
    svg = picture.render("strip", "Strip", strip.said)
    assert f'width="{strip.width_mm + 2.0:.2f}'.rstrip("0").rstrip(".") in svg  # true size, and a margin
    assert "trim to" in strip.said
