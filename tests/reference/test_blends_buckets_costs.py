"""Blends, buckets and costs, against the rule of alligation, a solver, Brongniart's table and sums by hand.

12.25 and 10.8 to 11.0: 13.8 and 86.2 %: Montana State University Extension. 9 and 44 to 18.5, 80 kg: 58.29 and 21.71.
Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (second-hand); 14 kg of dry glaze from density 1.50 to 1.75 with
grains of 2.5: 5.6 kg of water to take off (read). Pints: NIST Handbook 44 factors (second-hand).
"""

import random

import pytest
from scipy.optimize import linprog
from wareboard.pot.blends import Stocked, allay, blend, water_share
from wareboard.pot.costs import Prices, cost_of
from wareboard.pot.glaze import (
    coat_kg_m2,
    correct_bucket,
    dry_glaze_kg_per_l,
    pint_density_g_ml,
    slop_depth_mm,
    water_kg_per_dry_kg,
)

from tests.every import every


def test_alligation_by_the_printed_examples():
    assert allay(12.25, 10.8, 11.0) == pytest.approx((0.138, 0.862), abs=5e-4)
    assert [80.0 * share for share in allay(9.0, 44.0, 18.5)] == pytest.approx((58.29, 21.71), abs=5e-3)
    with pytest.raises(ValueError, match="between"):
        allay(9.0, 15.0, 23.0)


def test_a_blend_of_two_is_the_alligation_of_their_water():
    made = blend(80.0, 0.185, [Stocked(200.0, 0.09), Stocked(200.0, 0.44)])
    assert made.use_kg == pytest.approx((58.29, 21.71), abs=5e-3) and made.water_kg == 0.0


def test_what_is_too_soft_is_refused_with_the_nearest():
    made = blend(50.0, 0.20, [Stocked(30.0, 0.24), Stocked(100.0, 0.28)])
    assert not made.reached and made.use_kg == (0.0, 0.0)
    # 40 kg dry: 22.8 from all of the firmer, 17.2 from the softer
    assert made.nearest_share == pytest.approx(1.0 - 40.0 / (30.0 + 17.2 / 0.72), rel=1e-12)


def test_firm_clay_takes_water_by_hand():
    made = blend(50.0, 0.215, [Stocked(100.0, 0.19)])
    # 50 × (1 − .215) = 39.25 kg dry, that is 39.25 / .81 of the firm
    assert made.use_kg[0] == pytest.approx(39.25 / 0.81) and made.water_kg == pytest.approx(50.0 - 39.25 / 0.81)


def test_what_is_short_is_told():
    made = blend(50.0, 0.215, [Stocked(20.0, 0.215)])
    assert (
        made.use_kg == pytest.approx((20.0,))
        and made.short_kg == pytest.approx(30.0)
        and made.water_kg == pytest.approx(0.0, abs=1e-9)
    )


@every("seed", range(60))
def test_least_water_then_first_stock_first_as_a_solver_has_it(seed):
    draw = random.Random(seed)
    stock = [
        Stocked(draw.uniform(0, 40), draw.choice((0.12, 0.15, 0.19, 0.22, 0.25, 0.29, 0.32)))
        for _ in range(draw.randint(1, 4))
    ]
    wanted, share = draw.uniform(5, 80), draw.uniform(0.18, 0.26)
    made = blend(wanted, share, stock)
    balance = [[*(1.0 - part.water_share for part in stock), 0.0], [1.0] * (len(stock) + 1)]
    total = [wanted * (1.0 - share), wanted]
    bounds = [(0.0, part.weight_kg) for part in stock]
    least = linprog([0.0] * len(stock) + [1.0], A_eq=balance, b_eq=total, bounds=[*bounds, (0.0, None)])
    assert (least.status == 0) == (made.reached and made.short_kg < 1e-6)
    if least.status:
        return
    assert made.water_kg == pytest.approx(least.fun, abs=1e-6 * wanted)
    water, slack = (made.water_kg - 1e-5, made.water_kg + 1e-5), 1e-5
    for place in range(len(stock)):
        fixed = [(max(0.0, kg - slack), kg + slack) for kg in made.use_kg[:place]]
        most = linprog(
            [-float(k == place) for k in range(len(stock) + 1)],
            A_eq=balance,
            b_eq=total,
            bounds=[*fixed, *bounds[place:], (max(0.0, water[0]), water[1])],
        )
        assert made.use_kg[place] == pytest.approx(-most.fun, abs=2e-3)


def test_water_of_two_weighings():
    assert water_share(412.0, 301.0) == pytest.approx(111.0 / 412.0)
    with pytest.raises(ValueError, match="dry"):
        water_share(301.0, 412.0)


# ---- buckets ----


@every(("found", "wanted"), [(1.52, 1.45), (1.75, 1.50), (1.40, 1.40)])
def test_water_added_to_a_bucket_leaves_its_dry_glaze(found, wanted):
    made = correct_bucket(8.0, found, wanted, 2.6)
    assert dry_glaze_kg_per_l(wanted, 2.6) * made.slop_l == pytest.approx(
        dry_glaze_kg_per_l(found, 2.6) * 8.0, rel=1e-12
    )
    assert made.dry_kg == 0.0 and 8.0 * found + made.water_l == pytest.approx(made.slop_l * wanted, rel=1e-12)


def test_water_to_take_off_is_the_printed_example():
    dry = 14.0
    assert dry * (water_kg_per_dry_kg(1.50, 2.5) - water_kg_per_dry_kg(1.75, 2.5)) == pytest.approx(5.6, abs=1e-9)
    # and put back: the same bucket the other way round
    assert correct_bucket(dry / dry_glaze_kg_per_l(1.75, 2.5), 1.75, 1.50, 2.5).water_l == pytest.approx(5.6, abs=1e-9)


def test_dry_glaze_added_to_a_bucket_leaves_its_water():
    made = correct_bucket(10.0, 1.40, 1.50, 2.6)
    water = 10.0 * (1.40 - dry_glaze_kg_per_l(1.40, 2.6))
    assert made.slop_l * (1.50 - dry_glaze_kg_per_l(1.50, 2.6)) == pytest.approx(water, rel=1e-12)
    assert made.water_l == 0.0 and made.dry_kg > 0.0


@every(
    ("slop", "found", "wanted", "grain"),
    [(0.0, 1.5, 1.45, 2.6), (8.0, 1.0, 1.45, 2.6), (8.0, 2.7, 1.45, 2.6), (8.0, 1.5, 3.0, 2.6)],
)
def test_buckets_that_cannot_be(slop, found, wanted, grain):
    with pytest.raises(ValueError):
        correct_bucket(slop, found, wanted, grain)


def test_pints_depth_and_coat():
    # P oz in an imperial pint of 20 fl oz is P / 20 of water's weight, an ounce of water being a fluid ounce to 0.1 %
    assert pint_density_g_ml(29.0 * 28.349523125, 568.26125) == pytest.approx(29.0 / 20.0, rel=3e-3)
    assert slop_depth_mm(10.0, 200.0) == pytest.approx(10e6 / 31415.93, rel=1e-6)
    assert coat_kg_m2(212.0, 231.0, 84.0) == pytest.approx(0.019 / 0.0084)


# ---- costs, by hand ----


def test_a_cost_by_hand():
    """23.4 kg at 1.10 is 25.74; 1.9 kg at 9.50 is 18.05; half a bisque and a whole glaze load 7 + 22; 9 h at 24 is 216."""
    cost = cost_of(
        Prices(1.10, 9.50, 14.0, 22.0, 24.0),
        clay_kg=23.4,
        glaze_kg=1.9,
        bisque_loads=0.5,
        glaze_loads=1.0,
        hours=9.0,
        good_sets=27.0,
    )
    assert (cost.clay, cost.glaze, cost.firing, cost.time) == pytest.approx((25.74, 18.05, 29.0, 216.0))
    assert cost.total == pytest.approx(288.79) and cost.each == pytest.approx(288.79 / 27.0)


def test_what_is_not_known_is_left_out_and_not_taken_for_nothing():
    cost = cost_of(
        Prices(clay_kg=1.0), clay_kg=2.0, glaze_kg=1.0, bisque_loads=1.0, glaze_loads=1.0, hours=None, good_sets=0.0
    )
    assert (cost.clay, cost.glaze, cost.firing, cost.time, cost.total, cost.each) == (2.0, None, None, None, 2.0, 0.0)
