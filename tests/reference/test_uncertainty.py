"""The doubt budget against worked examples of the Guide, and Student's t and mean squares against scipy.

Source: JCGM 100:2008, Guide to the expression of uncertainty in measurement: the example of G.4.1, and the end gauge
of H.1 (numbers from memory; re-worked by hand). Student's t, analysis of variance: scipy.stats.
"""

import numpy as np
import pytest
from scipy import stats
from wareboard.pot.doubt import RULE_FREEDOMS, BarDoubt, Budget, Cause, combined
from wareboard.pot.samples import mean_interval, student_t_quantile

from tests.every import every


def budget_of(*parts):
    return combined([Budget((Cause(str(place), u),), freedoms) for place, (u, freedoms) in enumerate(parts)])


def test_product_of_three_factors():
    # G.4.1: relative uncertainties .25, .57, .82 % from 10, 5 and 15 readings: 1.03 %, 19 freedoms, 95 % at 2.2 %
    found = budget_of((0.25, 9), (0.57, 4), (0.82, 14))
    assert found.standard == pytest.approx(1.03, abs=0.005)
    assert found.freedoms == pytest.approx(19.0, abs=0.1)
    assert found.half_width() == pytest.approx(2.2, abs=0.05)


def test_end_gauge():
    # H.1: the comparison's 5.8, 3.9 and 6.7 nm make 9.7 nm at 25.6 freedoms; with 25, 2.9 and 16.6 nm 32 nm at 16.7;
    # 99 % at 2.92 × 32 = 93 nm
    comparison = budget_of((5.8, 24), (3.9, 5), (6.7, 8))
    assert comparison.standard == pytest.approx(9.7, abs=0.05)
    assert comparison.freedoms == pytest.approx(25.6, abs=0.3)
    found = budget_of((25.0, 18), (9.7, 25.6), (2.9, 50), (16.6, 2))
    assert found.standard == pytest.approx(32.0, abs=0.5)
    assert found.freedoms == pytest.approx(16.7, abs=0.1)
    assert found.half_width(0.99) == pytest.approx(93.0, abs=1.5)


@every("freedoms", [1, 1.005, 1.3, 2, 2.72, 3.5, 8, 17.6, 63.5, 240.2, 1e5, 3e7])
@every("share", [0.6, 0.9, 0.975, 0.995])
def test_students_t_at_whole_and_broken_freedoms(share, freedoms):
    # Source: scipy.stats.t.
    assert student_t_quantile(share, freedoms) == pytest.approx(stats.t.ppf(share, freedoms), rel=1e-6)
    assert student_t_quantile(1 - share, freedoms) == -student_t_quantile(share, freedoms)


def test_students_t_exactly_at_whole_freedoms():
    for freedoms in range(1, 60):
        assert student_t_quantile(0.975, freedoms) == pytest.approx(stats.t.ppf(0.975, freedoms), rel=1e-11)
    assert student_t_quantile(0.975, float("inf")) == pytest.approx(stats.norm.ppf(0.975), rel=1e-12)


def test_interval_of_a_mean():
    # Source: scipy.stats.t.interval.
    sample = [11.7, 12.1, 12.0, 12.4]
    low, high = stats.t.interval(0.95, 3, np.mean(sample), stats.sem(sample))
    found = mean_interval(sample)
    assert (found.mean - found.half_width, found.mean + found.half_width) == pytest.approx((low, high), rel=1e-12)


def test_mean_squares_are_those_of_an_analysis_of_variance():
    # Source: scipy.stats.f_oneway's F is the ratio of the two mean squares. With seven lots of three the rule of
    # thumb for lots weighs half a freedom against six.
    dice = np.random.default_rng(8)
    lots = [dice.normal(0.12 + off, 0.001, 3) for off in dice.normal(0, 0.003, 7)]
    within = np.mean([np.var(lot, ddof=1) for lot in lots])
    between = stats.f_oneway(*lots).statistic * within
    names = tuple(str(place) for place in range(7) for _ in range(3))
    rows = tuple((0.0, 0.03, 0.06, 0.06, float(share)) for lot in lots for share in lot)
    found = {c.name: c.deviation for c in BarDoubt(names, rows, (0.0, 0.03, 0.06, 0.06, 0.12)).at("fired").causes}
    by_rule = within * (1 + 3)
    apart = ((6 * between + 0.5 * by_rule) / 6.5 - within) / 3
    assert found["piece to piece"] ** 2 == pytest.approx(within, rel=1e-9)
    assert found["between lots"] ** 2 == pytest.approx(apart, rel=1e-9)
    assert found["mean of bars"] ** 2 == pytest.approx(within / 21 + apart / 7, rel=1e-9)


def test_handbook_demo_dry_to_bisque():
    # Bars of the demo's clay: dry and bisque lengths almost never differ, so what is left from dry to bisque is known
    # far better than two stages that had nothing to do with one another would be. Source: numpy's covariance.
    dry = np.array([94.0, 93.9, 94.1, 94.0, 93.9, 93.8, 94.0, 93.9])
    bisque = np.array([94.0, 93.9, 94.1, 93.9, 93.9, 93.8, 94.0, 93.9])
    rows = tuple((0.0, None, 1 - d / 100, 1 - b / 100, 0.12) for d, b in zip(dry, bisque))
    means = (0.0, 0.03, 1 - dry.mean() / 100, 1 - bisque.mean() / 100, 0.12)
    found = BarDoubt(tuple("abcdefgh"), rows, means).of_rest("dry", "bisque")
    gradient = np.array([-bisque.mean() / dry.mean() ** 2, 1 / dry.mean()])
    told = np.sqrt(gradient @ np.cov(dry, bisque) @ gradient)
    apart = np.hypot(gradient[0] * dry.std(ddof=1), gradient[1] * bisque.std(ddof=1))
    piece = next(cause.deviation for cause in found.causes if cause.name == "piece to piece")
    assert piece == pytest.approx(told, rel=1e-6)
    assert apart / told > 2.5


@every(
    "lots",
    [
        ((0.118, 0.119, 0.1185, 0.1182), (0.1215, 0.1222), (0.1195, 0.1201, 0.1190)),
        ((0.1150, 0.1152), (0.1210, 0.1208, 0.1211), (0.1185, 0.1187)),
    ],
)
def test_freedoms_of_bars_of_several_lots_by_differences(lots):
    # G.4.1 on the two mean squares: what each has in the variance is what that moves by when the bars are drawn apart,
    # within their lots or the lots' means
    grand = np.mean(np.concatenate(lots))

    def found(within=1.0, between=1.0):
        rows, names = [], []
        for number, lot in enumerate(lots):
            mean = np.mean(lot)
            for value in lot:
                fired = grand + between * (mean - grand) + within * (value - mean)
                rows.append((0.0, None, None, None, fired))
                names.append(str(number))
        return BarDoubt(tuple(names), tuple(rows), (0.0, 0.0, 0.0, 0.0, grand)).along({"fired": 1.0})

    step, bars = 1e-4, sum(map(len, lots))
    drawn = lambda **apart: (found(**{name: 1 + step * way for name, way in apart.items()}).standard) ** 2
    # a square moves by twice as much as what it is the square of
    of_within = (drawn(within=1) - drawn(within=-1)) / (4 * step)
    of_between = (drawn(between=1) - drawn(between=-1)) / (4 * step)
    whole = found().standard ** 2
    assert of_within + of_between == pytest.approx(whole, rel=1e-6)
    freedoms = whole**2 / (of_between**2 / (len(lots) - 1 + RULE_FREEDOMS) + of_within**2 / (bars - len(lots)))
    assert found().freedoms == pytest.approx(min(freedoms, bars - 1), rel=1e-5)
