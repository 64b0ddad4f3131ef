"""How doubt of the shrinkage comes to a size and a capacity, and what grams tell, by small differences and normal tails.

Source: JCGM 100:2008, 5.1.3 (a cause's share is the change that a small change of it makes; from memory); scipy's normal distribution.
"""

from math import hypot

import pytest
from scipy import stats
from wareboard.pot.budgets import Tool, capacity_budget, size_budget, size_plus_minus_mm
from wareboard.pot.clay import make_body
from wareboard.pot.doubt import BarDoubt
from wareboard.pot.turning import trim_grams

BARS = [{"wet": 100, "leather-hard": 97, "dry": 94, "bisque": 94, "fired": fired} for fired in (87.5, 88.0, 88.6)]
FACTOR = 1.2  # far more than any clay, so that up is not across
CLAY = make_body(water_share=0.215, bars=BARS, height_factor=FACTOR)
FIRED, E = CLAY.shrinkage_share("fired"), 1e-7


def per_share(made):
    """What a share of shrinkage more comes to."""
    return abs(made(FIRED + E) - made(FIRED - E)) / (2 * E)


def test_a_wet_size_that_was_worked_back_from_fired():
    sd = CLAY.doubt.at("fired").standard
    for upward, factor in ((False, 1.0), (True, FACTOR)):
        wet = 100.0 / (1 - FIRED * factor)
        change = per_share(lambda s, factor=factor: 100.0 / (1 - s * factor))
        assert size_budget(CLAY, wet, "wet", upward=upward).standard == pytest.approx(sd * change, rel=1e-6)
        assert size_plus_minus_mm(CLAY, wet, "wet", upward=upward) == pytest.approx(
            CLAY.deviation[4] * change, rel=1e-6
        )
        fired = per_share(lambda s, factor=factor, wet=wet: wet * (1 - s * factor))
        assert size_budget(CLAY, wet, "fired", upward=upward).standard == pytest.approx(sd * fired, rel=1e-6)


def test_a_capacity_follows_across_twice_and_up_once():
    wet_ml = 300.0 / ((1 - FIRED) ** 2 * (1 - FIRED * FACTOR))
    change = per_share(lambda s: wet_ml * (1 - s) ** 2 * (1 - s * FACTOR))
    assert capacity_budget(CLAY, 300.0).standard == pytest.approx(CLAY.doubt.at("fired").standard * change, rel=1e-6)


def test_a_stage_that_nobody_measured_is_as_doubtful_as_the_one_nearest_to_it():
    rows = tuple((0.0, None, dry, None, fired) for dry, fired in ((0.058, 0.110), (0.060, 0.120), (0.062, 0.133)))
    bars = BarDoubt((None,) * 3, rows, (0.0, 0.03, 0.06, 0.06, 0.121))
    assert bars.along({"bisque": 1.0}).standard == pytest.approx(bars.along({"dry": 1.0}).standard)
    assert bars.along({"leather-hard": 1.0}).standard == pytest.approx(bars.along({"dry": 1.0}).standard / 2)


@pytest.mark.parametrize(("spread", "step"), [(0.015, 5.0), (0.004, 5.0), (0.004, 10.0)])
def test_how_many_good_pieces_grams_would_turn_away(spread, step):
    low, high, middle = 506 * 0.942, 506 * 0.969, 506 * 0.955
    found = trim_grams(506.0, 0.942, 0.969, 0.955, step_g=step, weight_share=spread)
    tail = stats.norm(middle, middle * spread)
    assert found.turned_away_share == pytest.approx(tail.cdf(low) + tail.sf(high), rel=1e-9)
    assert found.helps == (high - low >= 2 * step and found.turned_away_share <= 0.1)
    assert found.why == (None if found.helps else "step" if high - low < 2 * step else "spread")


def test_tools_leave_a_size_off_from_where_they_are_used_on():
    """Root of the sum of squares (JCGM 100:2008, 5.1.2, from memory), by hand: 0.3 and 0.4 mm wet are 0.5 mm; what is turned
    leather-hard has no say before, and shrinks with the piece after."""
    bars = [{"wet": 100, "leather-hard": 97.0, "dry": 94.0, "fired": fired} for fired in (87.9, 88.0, 88.1)]
    clay = make_body(water_share=0.215, bars=bars)
    tools = (Tool("calipers", "wet", 0.3), Tool("pointer", "wet", 0.4), Tool("trimming", "leather-hard", 0.2))
    assert size_plus_minus_mm(clay, 100.0, "wet", tools=tools) == pytest.approx(0.5)
    assert size_budget(clay, 100.0, "wet", tools=tools).standard == pytest.approx(0.5)
    fired = hypot(0.5 * 0.88, 0.2 * 0.88 / 0.97, 0.1)  # the bars lie 0.1 of 100 mm apart
    assert size_plus_minus_mm(clay, 100.0, "fired", tools=tools) == pytest.approx(fired)
    assert [tools[2].left_mm(clay, stage) for stage in ("wet", "leather-hard")] == [0.0, 0.2]
