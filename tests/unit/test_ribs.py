"""Recess gauges and inside ribs: as long and as deep as the figures say."""

import pytest
from wareboard.cards.gauges import BEYOND_MM, foot_items, inside_rib, recess_gauge, recess_line
from wareboard.drawing.svg import Sketch

from tests.demo import worked_out
from tests.every import every

SHEETS = worked_out()[1]


@every(("slug", "part"), [("footed-bowl", "bowl"), ("cup-and-saucer", "saucer"), ("supper-plate", "plate")])
def test_a_recess_gauge_is_as_deep_and_as_wide_as_the_figures(slug, part):
    sheet = SHEETS[slug]
    line = recess_line(sheet.shapes[part])
    ring = line[-2]
    deep, inner, outer = (
        sheet.value(f"{part}.foot.{key}", "leather-hard") for key in ("recess.depth", "ring.inside", "ring.outside")
    )
    assert line[0][0] == 0.0 and ring[1] - line[0][1] == pytest.approx(deep)
    assert ring[0] == pytest.approx(inner / 2.0) and line[-1] == (pytest.approx(outer / 2.0 + BEYOND_MM), ring[1])
    assert min(height for _, height in line) == pytest.approx(0.0, abs=1e-9)


def test_a_rib_is_the_inside_as_thrown():
    sheet = SHEETS["footed-bowl"]
    rib = inside_rib("bowl", sheet.shapes["bowl"], "FB-16")
    assert rib.height_mm == pytest.approx(sheet.value("bowl.thrown.depth", "wet"))
    drawn = Sketch()
    rib.draw(drawn)
    recess_gauge("bowl", sheet.shapes["bowl"], "FB-16").draw(drawn)


def test_only_turned_feet_and_open_insides_have_them():
    assert [item.name for item in foot_items("bowl", SHEETS["footed-bowl"].shapes["bowl"], "")] == [
        "bowl, recess, leather-hard",
        "bowl, inside rib, wet",
    ]
    assert not list(foot_items("cup", SHEETS["tall-beaker"].shapes["cup"], ""))
