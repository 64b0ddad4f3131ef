"""Between which weights a piece is trimmed: every pair of two pieces within them fits, and the bounds are as wide as may be."""

from dataclasses import replace
from math import inf

import pytest
from wareboard.figures.trimweights import common_shares, fit_shares
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side, clearance_mm, with_aim
from wareboard.pot.match import fit_state, match_table

from tests.demo import texts_of_demo, worked_out
from tests.every import every

CLAY = make_body(water_share=0.215, line={"leather-hard": 0.03, "dry": 0.06, "fired": 0.12})
OTHER = make_body(water_share=0.2, line={"leather-hard": 0.026, "dry": 0.05, "fired": 0.11}, height_factor=1.1)
FIT = with_aim(Fit(Side(100.0, CLAY), Side(98.0, CLAY), 1.4, 0.5, 2.6, pairing="own"), 1.4)


@every(
    "fit",
    [
        FIT,
        with_aim(replace(FIT, outside=Side(98.0, OTHER)), 1.1),
        with_aim(replace(FIT, films_mm=(0.3, 0.3)), 1.4),
        with_aim(replace(FIT, least_mm=1.2), 1.4),
    ],
)
def test_every_pair_within_the_bounds_fits_and_the_corners_only_just(fit):
    inside, outside = fit_shares(fit, "inside"), fit_shares(fit, "outside")
    corners = [[cell.state for cell in row] for row in match_table(fit, inside, outside)]
    assert corners == [["ok", "ok"], ["ok", "ok"]]
    wider = [[share + way * 0.0005 for share, way in zip(shares, (-1, 1))] for shares in (inside, outside)]
    states = [cell.state for row in match_table(fit, *wider) for cell in row]
    assert states.count("binds") == 1 and states.count("rattles") == 1


def test_a_piece_that_is_trimmed_to_a_size_has_all_the_room_and_its_opening_none():
    fit = replace(FIT, pairing="any")
    assert fit_shares(fit, "inside") is None
    lighter, heavier = fit_shares(fit, "outside")
    assert lighter < fit_shares(FIT, "outside")[0] and heavier > fit_shares(FIT, "outside")[1]
    leather_hard = CLAY.mass_share("leather-hard")
    assert fit_state(fit, match_table(fit, [leather_hard], [lighter])[0][0].fired_mm) == "ok"


def test_a_fit_without_limits_or_outside_them_sets_no_bound():
    assert fit_shares(replace(FIT, least_mm=-inf, most_mm=inf), "outside") is None
    assert clearance_mm(FIT, "fired") == pytest.approx(1.4)
    assert fit_shares(replace(FIT, least_mm=1.5), "outside") is None


def test_one_limit_bounds_one_end():
    open_ended = fit_shares(replace(FIT, most_mm=inf), "outside")
    assert (
        open_ended[0] == pytest.approx(fit_shares(FIT, "outside")[0]) and open_ended[1] > fit_shares(FIT, "outside")[1]
    )


def test_the_common_bounds_stay_between_soft_and_done_shrinking():
    still = make_body(water_share=0.18, line={"leather-hard": 0.004, "dry": 0.005, "fired": 0.05})
    lighter, heavier = common_shares(still)
    assert still.mass_share("dry") < lighter < still.mass_share("leather-hard") < heavier < 1.0
    assert heavier < 1.015 * still.mass_share("leather-hard")


def test_figures_are_the_weight_as_thrown_times_the_tighter_bound_and_say_whose_it_is():
    texts = texts_of_demo()
    sheets = worked_out(texts)[1]
    caddy, beaker = sheets["tea-caddy"], sheets["tall-beaker"]
    for side, part in (("inside", "jar"), ("outside", "lid")):
        fit, body = caddy.fits["lid"], getattr(caddy.fits["lid"], side).body
        shares = [
            max(fit_shares(fit, side)[0], common_shares(body)[0]),
            min(fit_shares(fit, side)[1], common_shares(body)[1]),
        ]
        for end, share in zip(("least", "most"), shares):
            figure = caddy.find(f"{part}.trim.{end}", "leather-hard")
            assert figure.value == pytest.approx(share * caddy.value(f"{part}.thrown.mass", "wet"))
            assert "the fit lid" in figure.how and "fit.lid.clearance fired" in figure.inputs
    figure = beaker.find("cup.trim.least", "leather-hard")
    assert figure.source == "common practice" and figure.value == pytest.approx(
        beaker.value("cup.thrown.mass", "wet") * beaker.value("cup.witness", "leather-hard") / 100 * 0.985
    )
