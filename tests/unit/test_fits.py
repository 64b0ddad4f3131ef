from dataclasses import replace

import pytest
from wareboard.pot.clay import STAGES, make_body
from wareboard.pot.fits import (
    Fit,
    Side,
    Spreads,
    at_fired_mm,
    clearance_mm,
    film_loss_mm,
    fit_figures,
    inside_for_aim_mm,
    normal_share_below,
    outside_for_aim_mm,
    spread_terms,
    with_aim,
)

from tests.every import every

BUFF = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
WHITE = make_body(water_share=0.24, line={"leather-hard": 0.025, "dry": 0.055, "fired": 0.145})
SPREADS = Spreads(calipers_mm=0.3, trimming_mm=0.25, out_of_round_mm=0.4, shrinkage_share=0.0015)
FIT = Fit(Side(100.0, BUFF, SPREADS), Side(99.0, WHITE, SPREADS), 1.2, 0.5, 2.4, films_mm=(0.35,))


@every("stage", STAGES)
@every("films", [(), (0.35,), (0.35, 0.25)])
def test_either_side_may_be_the_derived_one(stage, films):
    outside = Side(outside_for_aim_mm(FIT.inside, WHITE, 1.2, stage, films), WHITE)
    assert clearance_mm(replace(FIT, outside=outside, films_mm=films), stage) == pytest.approx(1.2)
    assert inside_for_aim_mm(outside, BUFF, 1.2, stage, films) == pytest.approx(100.0)


def test_film_comes_off_at_fired_only():
    bare = replace(FIT, films_mm=())
    for stage in STAGES[:-1]:
        assert clearance_mm(FIT, stage) == clearance_mm(bare, stage)
    assert clearance_mm(bare, "fired") - clearance_mm(FIT, "fired") == pytest.approx(0.7)
    assert film_loss_mm((0.35, 0.25)) == pytest.approx(1.2)


def test_gap_is_half_of_the_clearance():
    figures = fit_figures(FIT)
    assert figures.gap_mm == pytest.approx([c / 2 for c in figures.clearance_mm])
    assert figures.clearance_mm[0] == pytest.approx(1.0)


def test_nothing_left_to_go_in():
    with pytest.raises(ValueError, match="leaves nothing"):
        outside_for_aim_mm(FIT.inside, WHITE, 90.0)
    with pytest.raises(ValueError, match="leaves no opening"):
        inside_for_aim_mm(Side(50.0, WHITE), BUFF, -60.0)


def test_limits_at_another_stage_are_carried_to_fired():
    fit = with_aim(replace(FIT, stage="leather-hard", aim_mm=1.5, least_mm=1.0, most_mm=2.0), 1.5)
    assert clearance_mm(fit, "leather-hard") == pytest.approx(1.5)
    assert at_fired_mm(fit, 1.5) == pytest.approx(clearance_mm(fit, "fired"))
    for limit in (1.0, 2.0):
        assert at_fired_mm(fit, limit) == pytest.approx(clearance_mm(with_aim(fit, limit), "fired"))
    assert fit_figures(fit).least_mm < fit_figures(fit).most_mm


def test_terms_of_any():
    calipers, trimming, inside, outside = spread_terms(FIT)
    assert calipers.sigma_mm == pytest.approx(0.3 * 0.88)
    assert trimming.sigma_mm == pytest.approx(0.25 * 0.855 / 0.975)
    assert inside.sigma_mm == pytest.approx(0.0015 * 100)
    assert outside.sigma_mm == pytest.approx(0.0015 * 99)
    assert [(t.name, t.part) for t in spread_terms(FIT)] == [
        ("calipers", "inside"), ("trimming", "outside"), ("shrinkage", "inside"), ("shrinkage", "outside"),
    ]  # fmt: skip


def test_terms_of_own():
    trimming, inside, outside = spread_terms(replace(FIT, pairing="own"))
    assert trimming.name == "trimming"
    assert inside.sigma_mm == pytest.approx(0.0015 * 100 * (0.12 - 0.03) / 0.12 / (1 - 0.03))
    assert outside.sigma_mm == pytest.approx(0.0015 * 99 * (0.145 - 0.025) / 0.145 / (1 - 0.025))


def test_each_side_has_its_own_spreads():
    other = replace(FIT, outside=replace(FIT.outside, spreads=Spreads(9.0, 0.1, 0.8, 0.003)))
    calipers, trimming, _, outside = spread_terms(other)
    assert calipers.sigma_mm == pytest.approx(0.264)  # the outside's calipers don't count
    assert trimming.value == 0.1
    assert outside.sigma_mm == pytest.approx(2 * 0.0015 * 99)
    # the mean of .4 and .8 out of round, looked for at every turn
    turn = 1 - normal_share_below(0.6, clearance_mm(other, "fired"), fit_figures(other).spread_mm)
    assert fit_figures(other).any_turn_share == pytest.approx(turn)


def test_spread_and_worst_case():
    figures = fit_figures(FIT)
    sigmas = [term.sigma_mm for term in figures.terms]
    assert figures.spread_mm == pytest.approx(sum(s * s for s in sigmas) ** 0.5)
    nominal = figures.clearance_mm[-1]
    assert figures.worst_least_mm == pytest.approx(nominal - 3 * sum(sigmas))
    assert figures.worst_most_mm == pytest.approx(nominal + 3 * sum(sigmas))


def test_a_clay_that_doesn_t_shrink_has_nothing_to_come():
    still = make_body(water_share=0.2, line={"leather-hard": 0.0, "dry": 0.0, "fired": 0.0})
    side = Side(50.0, still, SPREADS)
    terms = spread_terms(Fit(side, side, 0.0, -1.0, 1.0, pairing="own"))
    assert [t.sigma_mm for t in terms] == [0.25, 0.0, 0.0]


def test_tiny_shares_are_not_lost():
    tight = with_aim(replace(FIT, outside=replace(FIT.outside, spreads=Spreads())), 1.2)
    tight = replace(tight, inside=replace(tight.inside, spreads=Spreads(calipers_mm=0.1)))
    assert 0.0 < fit_figures(tight).loose_share < 1e-20


def test_unknown_pairing():
    with pytest.raises(ValueError, match="own or any"):
        spread_terms(replace(FIT, pairing="some"))
