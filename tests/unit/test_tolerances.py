"""How far a figure may be out: in steps of the tools, never tighter than the studio's own spread, and by the fit's limits where it has them."""

from functools import cache
from math import hypot

import pytest
from wareboard.figures import checks
from wareboard.figures.figure import Figure
from wareboard.figures.tolerances import size_sigma_mm, tolerance_of
from wareboard.pot.fits import Spreads
from wareboard.text import projects
from wareboard.text.quantities import Steps

from tests.demo import texts_of_demo

STEPS = Steps(5.0, 0.5, 1 / 32)


@cache
def sheets(calipers="0.3 mm"):
    texts = texts_of_demo()
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("calipers: 0.3 mm", f"calipers: {calipers}")
    return checks.check_project(projects.read_project(texts))[0]


def of(key, stage, slug="tea-caddy", **studio):
    sheet = sheets(**studio)[slug]
    return tolerance_of(sheet, sheet.find(key, stage), STEPS)


def test_a_ball_is_out_by_a_step_of_the_scale():
    found = of("jar.ball.set", "wet")
    assert found.plus_minus == 5.0 and found.high - found.low == 10.0


def test_a_caliper_size_is_two_deviations_in_whole_steps_of_the_ruler_one_at_least():
    assert of("jar.mouth", "wet").plus_minus == 0.5
    assert of("jar.mouth", "wet", calipers="0.1 mm").plus_minus == 0.5
    assert of("jar.mouth", "wet", calipers="1 mm").plus_minus == 2.0


def test_a_pointer_is_out_by_a_step_of_the_ruler_whatever_the_calipers_do():
    assert of("jar.pointer.height", "wet", calipers="1 mm").plus_minus == 0.5


def test_a_fired_clearance_is_right_between_its_limits_and_its_gap_between_half_of_them():
    clearance, gap = of("fit.lid.clearance", "fired"), of("fit.lid.gap", "fired")
    assert (clearance.low, clearance.high) == (0.5, 2.6) and (gap.low, gap.high) == (0.25, 1.3)
    assert clearance.plus_minus is None


def test_a_clearance_at_trimming_is_as_right_as_trimming_can_hold_it():
    assert of("fit.lid.clearance", "leather-hard").plus_minus == pytest.approx(0.5)
    assert of("fit.lid.gap", "leather-hard").plus_minus == pytest.approx(0.25)


def test_a_fired_size_has_the_shrinkage_in_it():
    """Root-sum-square of what is set and of shrinkage, worked by hand: 0.3 × 0.88 and 0.0015 × 300 mm."""
    spreads = Spreads(calipers_mm=0.3, trimming_mm=0.25, shrinkage_share=0.0015)
    assert size_sigma_mm(spreads, "fired", 264.0, 0.88, 0.97) == pytest.approx(hypot(0.264, 0.45))
    assert size_sigma_mm(spreads, "wet", 300.0, 1.0, 0.97) == 0.3
    assert size_sigma_mm(spreads, "leather-hard", 291.0, 0.97, 0.97) == 0.25
    assert of("plate.diameter", "fired", slug="supper-plate").plus_minus >= 1.0


def test_what_nobody_measures_has_no_tolerance():
    assert (
        of("jar.centre_of_mass", "fired") is None
        and of("jar.volume", "wet") is None
        and of("clay.density", "wet") is None
    )


def test_weights_and_capacities_say_whose_rule_it_is():
    assert of("jar.mass", "dry").source == "common practice" and of("jar.mass", "dry").plus_minus == pytest.approx(
        0.03 * sheets()["tea-caddy"].value("jar.mass", "dry")
    )
    assert of("lid.mass", "fired").plus_minus == 5.0
    sheet = sheets()["tea-caddy"]
    without = sheet.find("jar.capacity.fill", "fired")._replace(plus_minus=None)
    assert isinstance(without, Figure) and tolerance_of(sheet, without, STEPS).source == "common practice"
    assert tolerance_of(sheet, without._replace(plus_minus=2.0), STEPS).plus_minus == 4.0
