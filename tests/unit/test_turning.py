"""Whether grams can tell that a piece is ready, and what a flange is turned to."""

import pytest
from scipy import stats
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side
from wareboard.pot.turning import TURNED_AWAY_SHARE, trim_grams, turn_to_mm, turns

from tests.every import every

CLAY = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
FIT = Fit(Side(100.0, CLAY), Side(98.0, CLAY), 1.2, 0.5, 2.4)


def grams(lighter, heavier, thrown_g=500.0, step_g=5.0, spread=0.015):
    return trim_grams(thrown_g, lighter, heavier, 0.955, step_g=step_g, weight_share=spread)


def test_a_band_narrower_than_two_steps_of_the_scale_is_not_printed():
    assert grams(0.94, 0.97, thrown_g=300.0, spread=0.001).why == "step"  # 9 g
    assert grams(0.94, 0.97, thrown_g=340.0, spread=0.001).helps  # 10.2 g
    assert grams(0.94, 0.97, thrown_g=140.0, step_g=1.0, spread=0.001).helps


@every("half", [0.01, 0.02, 0.022, 0.025, 0.03])
def test_no_more_than_one_good_piece_in_ten_is_turned_away(half):
    found = grams(0.955 - half, 0.955 + half, thrown_g=5000.0)
    # Source: scipy.stats.norm; a good piece is leather-hard to the point, and thrown to any weight of the run
    away = 2.0 * stats.norm.sf(half, 0.0, 0.955 * 0.015)
    assert found.turned_away_share == pytest.approx(away, rel=1e-9)
    assert found.helps == (away <= TURNED_AWAY_SHARE) and (found.why is None) == found.helps


def test_a_band_to_one_side_turns_away_on_that_side():
    assert grams(0.955, 0.99).turned_away_share == pytest.approx(0.5, abs=0.01)


def test_what_grams_are_worth_is_said_with_them():
    found = grams(0.92, 0.99)
    assert (found.low_g, found.high_g) == pytest.approx((460.0, 495.0))
    assert found.spread_g == pytest.approx(500.0 * 0.955 * 0.015) and found.step_g == 5.0
    with pytest.raises(ValueError, match="lighter to the heavier"):
        grams(0.97, 0.94)


def test_a_flange_is_turned_to_its_share_of_what_it_reads():
    assert turn_to_mm(FIT, 100.0, 97.0) == pytest.approx(98.0 * 0.97)
    with pytest.raises(ValueError):
        turn_to_mm(FIT, 100.0, 0.0)


@every("step_mm, most", [(0.5, 9), (0.1, 9), (25.4 / 32, 5), (2.0, 9)])
def test_rows_run_from_firm_to_dry_in_whole_steps(step_mm, most):
    rows = turns(FIT, 100.0, step_mm, most)
    assert 1 <= len(rows) <= most + 1
    assert all(row.now_mm / step_mm == pytest.approx(round(row.now_mm / step_mm)) for row in rows)
    assert all(94.0 - 1e-9 <= row.now_mm <= 98.5 + 1e-9 for row in rows)
    assert [row.now_mm for row in rows] == sorted((row.now_mm for row in rows), reverse=True)
    with pytest.raises(ValueError, match="step"):
        turns(FIT, 100.0, 0.0)
