"""Fits against numbers from outside.

Sources, each beside its check:
- ISO 286, 50 H7/g6 (read).
- Published tolerance stacks, worst case and root sum of squares (read).
- Normal tails of scipy.stats; a studio simulated piece by piece with numpy.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side, Spreads, clearance_mm, fit_figures, normal_share_below, with_aim

from tests.every import every

STILL = make_body(water_share=0.2, line={"leather-hard": 0.0, "dry": 0.0, "fired": 0.0})
BUFF = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
WHITE = make_body(water_share=0.24, line={"leather-hard": 0.025, "dry": 0.055, "fired": 0.145})


@every("hole_um, shaft_um, clearance_um", [(0, -9, 9), (25, -25, 50)])
def test_running_fit_of_the_standard(hole_um, shaft_um, clearance_um):
    # Source: ISO 286, 50 H7/g6 (read): hole 0/+25, shaft −25/−9, clearance 9 to 50 µm.
    fit = Fit(Side(50 + hole_um / 1000, STILL), Side(50 + shaft_um / 1000, STILL), 0.03, 0.009, 0.05)
    for stage in ("wet", "fired"):
        assert 1000 * clearance_mm(fit, stage) == pytest.approx(clearance_um, abs=1e-6)
    figures = fit_figures(fit)  # both ends of the standard's band are inside it
    assert (figures.binds_share, figures.loose_share) == (0.0, 0.0)


def stacked(tolerances):
    """Figures of a fit that has these ±3σ tolerances, on a clay that doesn't shrink."""
    calipers, trimming, inside, outside = (*tolerances, 0.0, 0.0, 0.0, 0.0)[:4]
    fit = Fit(
        Side(10.0, STILL, Spreads(calipers_mm=calipers / 3, shrinkage_share=inside / 30)),
        Side(10.0, STILL, Spreads(trimming_mm=trimming / 3, shrinkage_share=outside / 30)),
        0.0, -1.0, 1.0,
    )  # fmt: skip
    return fit_figures(fit)


def test_three_spacers():
    # Source: published stack (read): three of ±.005 are ±.015 at worst, ±.00866 root-sum-square.
    figures = stacked([0.005] * 3)
    assert (figures.worst_least_mm, figures.worst_most_mm) == pytest.approx((-0.015, 0.015))
    assert 3 * figures.spread_mm == pytest.approx(0.00866, abs=5e-6)


def test_stack_of_four_is_the_published_ten_in_proportion():
    # Source: published stack (read): ten of ±.1 are ±1.0 and ±.316, that is n t and √n t.
    figures = stacked([0.1] * 4)
    assert figures.worst_most_mm == pytest.approx(1.0 * 4 / 10)
    assert 3 * figures.spread_mm == pytest.approx(0.316 * (4 / 10) ** 0.5, abs=0.0005)


@every("z", [-6.0, -2.3263, -0.5, 0.0, 1.0, 3.0, 7.0])
def test_normal_tails_against_scipy(z):
    # Source: scipy.stats.norm.
    assert normal_share_below(1.0 + 0.3 * z, 1.0, 0.3) == pytest.approx(stats.norm.cdf(z), rel=1e-9)


FAR = Fit(
    Side(92.0, BUFF, Spreads(0.3, 0.25, 0.9, 0.0020)),
    Side(90.0, WHITE, Spreads(0.3, 0.25, 0.7, 0.0015)),
    1.2, 0.5, 2.0, films_mm=(0.3,),
)  # fmt: skip


@every("pairing", ["any", "own"])
@every("aim", [0.7, 1.2, 1.9])
@every("outside_body", [BUFF, WHITE])
def test_a_studio_piece_by_piece(pairing, aim, outside_body):
    """200,000 jars and lids, each made, tried, trimmed and fired; shares within 0.3 point.

    Source: numpy simulation of the pieces themselves, which knows nothing of terms.
    """
    fit = with_aim(replace(FAR, pairing=pairing, outside=replace(FAR.outside, body=outside_body)), aim)
    figures = fit_figures(fit)
    rng, count = np.random.default_rng(2603), 200_000
    jar, lid = fit.inside, fit.outside

    def deviation(side, share=1.0):
        return rng.normal(0, side.spreads.shrinkage_share * share, count)

    def shrunk(side, stage):
        return 1 - side.body.across(stage)

    trimming = rng.normal(0, lid.spreads.trimming_mm, count)
    if pairing == "any":
        # trimmed to one size for all, and each piece's shrinkage is off in its own way
        jar_wet = jar.wet_mm + rng.normal(0, jar.spreads.calipers_mm, count)
        jar_mm = jar_wet * (1 - shrunk(jar, "fired") - deviation(jar))
        trimmed_wet = lid.wet_mm + trimming / lid.body.across("leather-hard")
        lid_mm = trimmed_wet * (1 - shrunk(lid, "fired") - deviation(lid))
    else:
        # a piece is off by one amount until the trying, by another after it
        before = shrunk(jar, "leather-hard") / shrunk(jar, "fired")
        jar_before, jar_after = deviation(jar, before), deviation(jar, 1 - before)
        before = shrunk(lid, "leather-hard") / shrunk(lid, "fired")
        lid_before, lid_after = deviation(lid, before), deviation(lid, 1 - before)
        jar_wet = jar.wet_mm + rng.normal(0, jar.spreads.calipers_mm, count)
        jar_tried = jar_wet * (1 - shrunk(jar, "leather-hard") - jar_before)
        lid_tried = jar_tried - clearance_mm(fit, "leather-hard") + trimming
        jar_mm = jar_wet * (1 - shrunk(jar, "fired") - jar_before - jar_after)
        lid_mm = lid_tried * (1 - shrunk(lid, "fired") - lid_before - lid_after)
        lid_mm /= 1 - shrunk(lid, "leather-hard") - lid_before
    clearance = jar_mm - lid_mm - 2 * sum(fit.films_mm)

    assert clearance.mean() == pytest.approx(aim, abs=0.01)
    assert np.mean(clearance < fit.least_mm) == pytest.approx(figures.binds_share, abs=0.003)
    assert np.mean(clearance > fit.most_mm) == pytest.approx(figures.loose_share, abs=0.003)
    assert np.mean(clearance >= 0.8) == pytest.approx(figures.any_turn_share, abs=0.003)
    assert clearance.std() == pytest.approx(figures.spread_mm, rel=0.01)
