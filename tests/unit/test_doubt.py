from math import hypot, isinf, sqrt
from statistics import fmean, stdev

import pytest
from wareboard.pot.budgets import Tool, capacity_budget, mass_budget, size_budget
from wareboard.pot.clay import make_body
from wareboard.pot.doubt import BarDoubt, Budget, Cause, combined, known

LINE = (0.0, 0.03, 0.06, 0.06, 0.12)


def bars(*shares, lots=None):
    rows = tuple((0.0, 0.03, share / 2, share / 2, share) for share in shares)
    return BarDoubt(tuple(lots or [None] * len(rows)), rows, LINE)


def parts(budget):
    return {cause.name: cause.deviation for cause in budget.causes}


def test_one_lot_is_taken_to_lie_from_others_as_pieces_do():
    shares = (0.119, 0.120, 0.122)
    found = bars(*shares).at("fired")
    sd = stdev(shares)
    assert parts(found) == pytest.approx(
        {"mean of bars": sd * sqrt(1 + 1 / 3), "between lots": sd, "piece to piece": sd}
    )
    assert found.freedoms == 2


def test_a_bar_a_lot_tells_both_together():
    shares = (0.119, 0.120, 0.124)
    found = bars(*shares, lots="abc").at("fired")
    assert parts(found) == pytest.approx({"mean of bars": stdev(shares) / sqrt(3), "piece to piece": stdev(shares)})
    assert found.freedoms == 2


def test_lots_far_apart_widen_and_lots_alike_do_not():
    apart = bars(0.118, 0.119, 0.124, 0.125, lots="aabb").at("fired")
    alike = bars(0.121, 0.122, 0.121, 0.122, lots="aabb").at("fired")
    assert parts(apart)["between lots"] > 3 * parts(apart)["piece to piece"]
    assert "between lots" not in parts(alike)
    assert apart.freedoms < alike.freedoms


def test_what_one_bar_or_none_can_t_tell():
    assert bars(0.12).at("fired") is None
    assert BarDoubt((), (), LINE).at("fired") is None
    only_fired = BarDoubt((None,) * 2, ((0.0, None, None, None, 0.119), (0.0, None, None, None, 0.121)), LINE)
    assert only_fired.at("dry") is None and only_fired.at("fired") is not None


def test_stages_that_move_together_go_out():
    # every bar bisques to its dry length: however far bars lie apart, nothing comes after drying
    found = bars(0.110, 0.120, 0.130)
    assert found.of_rest("dry", "bisque").standard == pytest.approx(0.0, abs=1e-12)
    assert found.along({"dry": 1.0, "bisque": -1.0}).standard == 0.0
    apart = hypot(found.at("dry").standard, found.at("bisque").standard)
    assert found.along({"dry": 1.0, "bisque": 1.0}).standard == pytest.approx(sqrt(2) * apart)


def test_a_stage_that_nobody_measured_goes_by_the_nearest():
    rows = tuple((0.0, None, dry, None, 0.12) for dry in (0.058, 0.060, 0.062))
    found = BarDoubt((None,) * 3, rows, LINE)
    assert found.at("leather-hard") is None
    told = found.along({"leather-hard": 1.0})
    assert told.standard == pytest.approx(found.at("dry").standard / 2)


def test_an_answer_is_kept():
    found = bars(0.119, 0.121)
    assert found.at("fired") is found.along({"fired": 1.0})


def test_causes_of_one_name_are_put_together():
    both = combined([known("calipers", 3.0), known("calipers", 4.0)])
    assert both.causes == (Cause("calipers", 5.0),) and isinf(both.freedoms)
    assert combined([]).standard == 0.0
    assert both.scaled(-2.0).standard == 10.0
    assert Budget((Cause("a", 1.0),), 0.9999999).half_width() == pytest.approx(12.706, abs=1e-3)


# ---- carried on ----

BARS = [{"wet": 100, "leather-hard": lh, "dry": 94, "fired": f} for lh, f in ((97, 87.9), (96.9, 88.0), (97.1, 88.1))]
CLAY = make_body(water_share=0.215, bars=BARS, height_factor=1.1)
TYPED = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})


def test_sizes():
    fired = size_budget(CLAY, 90.0, "fired")
    assert parts(fired)["piece to piece"] == pytest.approx(90.0 * CLAY.deviation[-1])
    assert size_budget(CLAY, 90.0, "fired", upward=True).standard == pytest.approx(1.1 * fired.standard)
    back = size_budget(CLAY, 90.0, "wet")
    assert back.standard == pytest.approx(fired.standard / 0.88)
    assert size_budget(CLAY, 90.0, "wet", typed_at="wet") is None


def test_sizes_that_a_tool_sets():
    assert parts(size_budget(CLAY, 90.0, "wet", tools=[Tool("calipers", "wet", 0.3)])) == {"calipers": 0.3}
    assert parts(size_budget(CLAY, 90.0, "fired", tools=[Tool("calipers", "wet", 0.3)]))["calipers"] == pytest.approx(
        0.264
    )
    turned = parts(size_budget(CLAY, 90.0, "leather-hard", tools=[Tool("trimming", "leather-hard", 0.25)]))
    assert turned["trimming"] == pytest.approx(0.25) and "piece to piece" in turned
    assert "trimming" not in parts(size_budget(CLAY, 90.0, "wet", tools=[Tool("trimming", "leather-hard", 0.25)]))


def test_nothing_is_made_up_without_bars():
    assert size_budget(TYPED, 90.0, "fired", tools=[Tool("calipers", "wet", 0.3)]) is None
    assert size_budget(TYPED, 90.0, "wet") is None
    assert capacity_budget(TYPED, 300.0) is None


def test_capacity_is_three_of_its_lengths():
    found, share = capacity_budget(CLAY, 300.0), CLAY.doubt.at("fired").standard
    more, less = (
        300.0 * ((1 - 0.12 - d) / 0.88) ** 2 * (1 - (0.12 + d) * 1.1) / (1 - 0.12 * 1.1) for d in (-share, share)
    )
    assert found.standard == pytest.approx((more - less) / 2, rel=1e-3)
    thick = capacity_budget(CLAY, 300.0, clay_cm3=120.0, weight_share=0.02)
    assert parts(thick)["thickness"] == pytest.approx(2.4)


def test_weights():
    assert mass_budget(400.0).standard == pytest.approx(6.0)
    assert mass_budget(400.0, 0.02, 5.0).standard == pytest.approx(hypot(8.0, 5.0 / sqrt(12)))
    assert fmean(mass_budget(400.0).interval(400.0)) == pytest.approx(400.0)
