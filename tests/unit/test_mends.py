from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side, Spreads, clearance_mm, fit_figures, with_aim
from wareboard.pot.mends import AimRange, aim_range, is_under, mends

from tests.every import every

BUFF = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
WHITE = make_body(water_share=0.24, line={"leather-hard": 0.025, "dry": 0.055, "fired": 0.145})
SIDE = Side(100.0, BUFF, Spreads(0.3, 0.25, 0.4, 0.0015))
FIT = with_aim(Fit(SIDE, SIDE, 0.8, 0.5, 2.6), 0.8)


@st.composite
def fits(draw):
    number = lambda low, high: draw(st.floats(low, high))
    spreads = st.builds(Spreads, st.floats(0, 0.5), st.floats(0, 0.5), st.floats(0, 1), st.floats(0, 0.004))
    body = st.sampled_from([BUFF, WHITE])
    least = number(0.0, 1.0)
    most = least + number(0.2, 3.0)
    aim = least + (most - least) * number(0.01, 0.99)
    fit = Fit(
        Side(number(30.0, 250.0), draw(body), draw(spreads)),
        Side(1.0, draw(body), draw(spreads)),
        aim,
        least,
        most,
        stage=draw(st.sampled_from(["fired", "leather-hard"])),
        films_mm=draw(st.sampled_from([(), (0.3,), (0.3, 0.4)])),
        pairing=draw(st.sampled_from(["any", "own"])),
    )
    return with_aim(fit, aim)


def with_value(fit, part, name, value):
    side = getattr(fit, part)
    field = {"calipers": "calipers_mm", "trimming": "trimming_mm", "shrinkage": "shrinkage_share"}[name]
    spreads = replace(side.spreads, **{field: value})
    return replace(fit, **{part: replace(side, spreads=spreads)})


@settings(max_examples=150, deadline=None)
@given(fits(), st.sampled_from([0.001, 0.01, 0.05]))
def test_every_suggestion_holds_when_it_is_followed(fit, limit):
    found = mends(fit, limit)
    if found is None:
        assert is_under(fit_figures(fit), limit)
        return
    assert not is_under(fit_figures(fit), limit)
    check_aim(fit, found.aim, limit)
    if found.own:
        own = replace(fit, pairing="own")
        figures = fit_figures(own)
        shares = figures.binds_share, figures.loose_share
        assert (found.own.binds_share, found.own.loose_share) == shares
        assert found.own.enough == is_under(figures, limit)
        if not found.own.enough:
            check_aim(own, found.own.aim, limit)
    if found.largest:
        check_largest(fit, found.largest, limit)


def check_aim(fit, aim, limit):
    if aim is None:
        # nothing between least and most does it
        for step in range(21):
            tried = fit.least_mm + (fit.most_mm - fit.least_mm) * step / 20
            assert not is_under(fit_figures(with_aim(fit, tried)), limit * (1 - 1e-9))
        return
    for end in (aim.low_mm, aim.high_mm):
        assert is_under(fit_figures(with_aim(fit, end)), limit * (1 + 1e-6))
    if aim.say_mm is not None:
        assert aim.low_mm - 1e-8 <= aim.say_mm <= aim.high_mm + 1e-8
        assert is_under(fit_figures(with_aim(fit, aim.say_mm)), limit)


def check_largest(fit, largest, limit):
    tries = [(largest.needed, limit * (1 + 1e-6)), (largest.say, limit)]
    if largest.needed is None:
        tries = [([0.0 for _ in largest.now], None)]
    for values, bound in tries:
        changed = fit
        for part, value in zip(largest.parts, values, strict=True):
            changed = with_value(changed, part, largest.name, value)
        if bound is None:
            # even none of it would not do (or only just, at the very edge)
            assert not is_under(fit_figures(changed), limit * (1 - 1e-9))
        else:
            assert is_under(fit_figures(changed), bound)


def test_a_fit_under_the_limit_needs_nothing():
    assert mends(with_aim(replace(FIT, least_mm=-1.0, most_mm=4.0), 1.5)) is None


def test_aim_is_mended_in_the_middle():
    found = mends(FIT)
    assert found.aim.low_mm < found.aim.say_mm < found.aim.high_mm
    assert found.aim.say_mm == pytest.approx(1.55, abs=0.051)
    assert fit_figures(with_aim(FIT, found.aim.low_mm)).binds_share == pytest.approx(0.01, rel=1e-6)
    assert fit_figures(with_aim(FIT, found.aim.high_mm)).loose_share == pytest.approx(0.01, rel=1e-6)


def test_limits_too_close_for_any_aim():
    assert mends(replace(FIT, most_mm=1.0)).aim is None


def test_a_range_too_narrow_for_round_numbers():
    found = aim_range(Fit(Side(100.0, BUFF), Side(98.0, BUFF), 1.0, 1.0013, 1.0017), 0.01)
    assert (found.low_mm, found.high_mm) == pytest.approx((1.0013, 1.0017))
    assert found.say_mm is None
    assert aim_range(Fit(Side(100.0, BUFF), Side(98.0, BUFF), 1.0, 0.5, 2.4), 0.01) == AimRange(0.5, 2.4, 1.4)


def test_own_is_not_offered_to_own():
    assert mends(replace(FIT, pairing="own")).own is None


def test_largest_is_the_largest():
    loud = with_value(FIT, "outside", "trimming", 0.8)
    found = mends(loud)
    assert (found.largest.name, found.largest.parts) == ("trimming", ("outside",))
    # shrinkage acts on both parts and is weighed as one cause
    both = with_value(with_value(FIT, "inside", "shrinkage", 0.004), "outside", "shrinkage", 0.004)
    assert mends(both).largest.parts == ("inside", "outside")
    assert mends(both).largest.sigma_mm == pytest.approx(0.004 * (100**2 + both.outside.wet_mm**2) ** 0.5)


def test_how_small_the_largest_must_become():
    wide = with_aim(with_value(replace(FIT, most_mm=3.4), "outside", "trimming", 0.8), 1.95)
    largest = mends(wide).largest
    at_edge = with_value(wide, "outside", "trimming", largest.needed[0])
    assert fit_figures(at_edge).binds_share == pytest.approx(0.01, rel=1e-6)
    assert largest.say[0] <= largest.needed[0] < 0.8
    assert round(largest.say[0], 2) == largest.say[0]


def test_a_fit_without_spread_that_misses_has_only_its_aim():
    missed = with_aim(Fit(Side(100.0, BUFF), Side(98.0, BUFF), 0.3, 0.5, 2.4), 0.3)
    found = mends(missed)
    assert found.largest is None
    assert found.aim.say_mm == 1.4


@every("limit", [0.0, 0.5, 1.0])
def test_limit_out_of_range(limit):
    with pytest.raises(ValueError, match="limit"):
        mends(FIT, limit)


def test_the_side_that_follows_is_the_one_that_moves():
    follows = with_aim(replace(FIT, follows="inside"), 1.5)
    assert follows.outside == FIT.outside and follows.inside.wet_mm > FIT.inside.wet_mm
    assert clearance_mm(follows, "fired") == pytest.approx(1.5)
    # a larger opening strays more, so its least aim lies a little higher
    loud = with_value(
        with_value(replace(FIT, most_mm=9.0), "inside", "shrinkage", 0.004), "outside", "shrinkage", 0.004
    )
    inside, outside = (aim_range(replace(loud, follows=side), 0.01) for side in ("inside", "outside"))
    assert inside.low_mm > outside.low_mm + 0.005
    for fit, found in ((replace(loud, follows="inside"), inside), (loud, outside)):
        assert fit_figures(with_aim(fit, found.low_mm)).binds_share == pytest.approx(0.01, rel=1e-6)


def test_a_limit_that_nobody_gave_is_no_hindrance():
    only_least = mends(replace(FIT, most_mm=float("inf"))).aim
    both = mends(FIT).aim
    assert (only_least.low_mm, only_least.high_mm) == (both.low_mm, float("inf"))
    assert only_least.low_mm <= only_least.say_mm < only_least.low_mm + 0.1
    only_most = mends(with_aim(replace(FIT, least_mm=-float("inf")), 2.4)).aim
    assert (only_most.low_mm, only_most.high_mm) == (-float("inf"), both.high_mm)
    assert only_most.high_mm - 0.1 < only_most.say_mm <= only_most.high_mm


def test_no_aim_below_nought():
    loud = with_value(with_aim(replace(FIT, least_mm=-float("inf"), most_mm=0.5), 0.2), "outside", "trimming", 0.5)
    assert mends(loud).aim is None
