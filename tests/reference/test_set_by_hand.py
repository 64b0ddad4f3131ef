"""The pot that is made to rounded settings, as a cylinder whose every size can be worked out exactly.

Solid geometry of a cylinder; what is weighed out and not in the floor is in the wall, and what is turned keeps the inside. The
program follows settings to first order: a tenth of what they move is what may be left.
"""

from math import pi, sqrt

import pytest
from scipy.stats import norm
from wareboard.figures.settings import as_set

from tests.demo import worked_out
from tests.reference.test_seats_by_hand import ACROSS, LID, OTHERS, UP

POT = """
title: F
clay: c
sizes: {sizes}
unit: mm
parts:
  pot:
    outside:
      foot: {{height: 0, diameter: {wide}}}
      rim: {{height: {high}, diameter: {wide}}}
    wall: {wall}
    floor: {floor}
    throwing: {{loss: 5 %, left_on: {{floor: {left}}}, gauge_at: rim}}
"""
STEPS = "{scale: 20 g, ruler: 1 mm}"


def made_of(form, **put_in):
    texts = OTHERS | {"specs/forms/f.yaml": form.format(**put_in)}
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("{scale: 5 g, ruler: 0.5 mm}", STEPS)
    sheet = worked_out(texts)[1]["f"]
    return sheet, as_set(sheet)


@pytest.mark.parametrize("sizes", ["wet", "fired"])
@pytest.mark.parametrize(
    "wide, high, wall, floor", [(90.3, 100.4, 5.3, 6.4), (120.8, 80.6, 6.2, 7.6), (75.3, 140.3, 4.4, 5.6)]
)
def test_a_cylinder_of_which_nothing_is_turned(wide, high, wall, floor, sizes):
    across, up = ACROSS[sizes], UP[sizes]
    sheet, made = made_of(
        POT, sizes=sizes, wide=wide * across, high=high * up, wall=wall * across, floor=floor * up, left=0
    )
    set_high, set_wide, set_floor = (
        made.value(f"pot.{key}", "wet") for key in ("height", "rim.diameter", "floor.thickness")
    )
    assert (set_high, set_wide, set_floor) == pytest.approx((round(high), 2 * round(wide / 2), round(floor)))
    clay_mm3 = made.value("pot.ball.set", "wet") * 0.95 / made.value("clay.density", "wet") * 1000.0
    bore = sqrt((pi / 4.0 * set_wide**2 * set_high - clay_mm3) / (pi / 4.0 * (set_high - set_floor)))
    room = ACROSS["fired"] ** 2 * UP["fired"] * pi / 4000.0
    exact, plain = room * bore**2 * (set_high - set_floor), room * (wide - 2 * wall) ** 2 * (high - floor)
    assert sheet.value("pot.capacity.brim", "fired") == pytest.approx(plain)
    assert abs(made.value("pot.capacity.brim", "fired") - exact) < 0.1 * abs(plain - exact) + 0.002 * exact
    thick = (set_wide - bore) / 2.0
    assert abs(made.value("pot.wall.thickness", "wet") - thick) < 0.15 * abs(wall - thick) + 0.02


@pytest.mark.parametrize("high, floor, left", [(100.4, 6.4, 3.3), (80.6, 7.7, 2.6)])
def test_the_foot_is_turned_to_where_the_floor_is_right(high, floor, left):
    sheet, made = made_of(POT, sizes="wet", wide=90, high=high, wall=5, floor=floor, left=left)
    depth = made.value("pot.thrown.depth", "wet")
    assert depth == pytest.approx(made.value("pot.pointer.height", "wet") - made.value("pot.thrown.floor", "wet"))
    for stage in ("leather-hard", "dry", "bisque", "fired"):
        whole = depth * UP[stage] + made.value("pot.floor.thickness", stage)
        assert made.value("pot.height", stage) == pytest.approx(whole)
    room = ACROSS["fired"] ** 2 * UP["fired"] * pi / 4000.0 * 80.0**2
    assert sheet.value("pot.capacity.brim", "fired") == pytest.approx(room * (high - floor))
    assert made.value("pot.capacity.brim", "fired") == pytest.approx(room * depth, rel=2e-4)


def test_shares_of_a_fit_are_those_of_the_play_that_is_set():
    sheet, made = made_of(LID, mouth=77.3, glazed="none", pairing="any")
    clear, spread = made.value("fit.lid.clearance", "fired"), made.value("fit.lid.spread", "fired")
    assert abs(clear - sheet.value("fit.lid.clearance", "fired")) > 0.05
    for key, share in (
        ("binds", norm.cdf(0.5, clear, spread)), ("loose", norm.sf(2.6, clear, spread)), ("any_turn", norm.sf(0.4, clear, spread)),
    ):  # fmt: skip
        assert made.value(f"fit.lid.{key}", "fired") == pytest.approx(100.0 * share, rel=0.02), key
