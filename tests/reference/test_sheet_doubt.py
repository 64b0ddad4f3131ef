"""What a sheet says of its own doubt, and the weights to trim between, against simulation and against a model written here.

Sources: JCGM 101:2008, propagation of distributions by a Monte Carlo method; JCGM 100:2008 (GUM), clause 5.1.2, the
first-order formula that such a simulation has to agree with. The clay that dries is a saturated one (a cm³ of room is lost
for each gram of water, 1 g/cm³), worked here with scipy's root finder.
"""

from math import pi, sqrt

import numpy
import pytest
from scipy.optimize import brentq
from wareboard.figures.checks import check_form
from wareboard.figures.trimweights import FIT_BOUND
from wareboard.pot.budgets import Tool, size_plus_minus_mm
from wareboard.pot.clay import make_body
from wareboard.text.projects import read_project

from tests.every import every

DRAWS = 400_000
WITHIN = 4.0 / sqrt(2.0 * DRAWS)  # four standard errors of a standard deviation, as a share of it

STUDIO = "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}\n"
# Bars at 9, 10 and 11 %: a mean of 10 %, a standard deviation of one point. Height shrinks much more than width.
FACTOR = 1.5
BARRED = f"title: Barred\nwater: 20 %\nheight_factor: {FACTOR}\nshrinkage: {{dry: 5 %}}\nbars: [{{wet: 100, fired: 91}}, {{wet: 100, fired: 90}}, {{wet: 100, fired: 89}}]\n"
WATER, DENSITY, LEATHER_HARD, DRY, FIRED = 0.20, 1.95, 0.03, 0.06, 0.12
PLAIN = f"title: Plain\nwater: 20 %\ndensity: {DENSITY} g/cm3\nheight_factor: 1.2\nshrinkage: {{leather-hard: 3 %, dry: 6 %, bisque: 6 %, fired: 12 %}}\n"
POT = """\
title: Pot
clay: clay
parts:
  jar:
    outside: {foot: {height: 0, diameter: 88}, rim: {height: 100, diameter: 88}}
    wall: 4
    floor: 6
    calipers: {mouth: inside rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, top: {height: 12, diameter: 60}}
    calipers: {flange: fit}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.4, least: 1.1, most: 1.8}
"""


def sheet_of(clay, form=POT):
    project = read_project({"specs/studio.yaml": STUDIO, "specs/clays/clay.yaml": clay, "specs/forms/pot.yaml": form})
    return check_form(project.forms["pot"], project)


# ---- capacity ----


def test_capacitys_doubt_is_what_a_simulated_lot_of_pots_shows():
    """Pots thrown alike and fired by shrinkages that spread as the bars do, each measured as the cylinder that it is."""
    sheet = sheet_of(BARRED)
    radius, height = 80.0 / 0.9 / 2.0, 94.0 / (1.0 - 0.1 * FACTOR)  # as thrown, worked back by hand
    shrunk = numpy.random.default_rng(11).normal(0.10, 0.01, DRAWS)
    held_ml = pi * (radius * (1.0 - shrunk)) ** 2 * height * (1.0 - shrunk * FACTOR) / 1000.0
    figure = sheet.find("jar.capacity.brim", "fired")
    assert figure.value == pytest.approx(pi * 40.0**2 * 94.0 / 1000.0)
    assert figure.plus_minus == pytest.approx(held_ml.std(), rel=WITHIN + 0.005)  # first order: half a per cent
    # without the height's own factor it would be a tenth less
    assert (held_ml / (1.0 - shrunk * FACTOR) * (1.0 - shrunk)).std() < 0.92 * figure.plus_minus


def test_a_sizes_doubt_is_what_a_simulated_lot_shows_across_and_up():
    sheet = sheet_of(BARRED)
    shrunk = numpy.random.default_rng(12).normal(0.10, 0.01, DRAWS)
    across, up = 88.0 / 0.9 * (1.0 - shrunk), 100.0 / (1.0 - 0.1 * FACTOR) * (1.0 - shrunk * FACTOR)
    assert sheet.find("jar.rim.diameter", "fired").plus_minus == pytest.approx(across.std(), rel=WITHIN)
    assert sheet.find("jar.rim.height", "fired").plus_minus == pytest.approx(up.std(), rel=WITHIN)


# ---- tools ----


@every("tool", [Tool("calipers", "wet", 0.3), Tool("trimming", "leather-hard", 0.3)])
def test_a_fired_sizes_spread_is_that_of_simulated_pieces(tool):
    """Set wet by calipers or turned at leather-hard; then shrunk, each piece by its own shrinkage."""
    generator = numpy.random.default_rng(13)
    wet_mm, share = 300.0, 0.002
    shrunk = generator.normal(FIRED, share, DRAWS)
    across = 1.0 if tool.used_at == "wet" else 1.0 - LEATHER_HARD
    fired = generator.normal(wet_mm * across, tool.deviation_mm, DRAWS) / across * (1.0 - shrunk)
    bars = [{"wet": 100.0, "fired": 100.0 * (1.0 - FIRED + off)} for off in (-share / sqrt(2.0), share / sqrt(2.0))]
    clay = make_body(water_share=WATER, line={"leather-hard": LEATHER_HARD, "dry": DRY}, bars=bars)
    assert size_plus_minus_mm(clay, wet_mm, "fired", tools=[tool]) == pytest.approx(fired.std(), rel=WITHIN + 1e-3)


# ---- weights to trim between ----


def share_left(shrunk, factor=1.2):
    """Weight left of a gram of saturated clay that has shrunk: a cm³ lost is a gram of water."""
    return 1.0 - (1.0 - (1.0 - shrunk) ** 2 * (1.0 - shrunk * factor)) / DENSITY


def shrunk_at(share):
    return brentq(lambda shrunk: share_left(shrunk) - share, 0.0, DRY)


def fired_clearance(jar_share, lid_share, sheet):
    """A jar and a lid tried on each other at these shares of their weights as thrown, with the play of the card, then fired."""
    jar_now, lid_now = shrunk_at(jar_share), shrunk_at(lid_share)
    mouth_wet = sheet.value("fit.lid.inside", "wet")
    play = sheet.value("fit.lid.clearance", "leather-hard")
    flange_now = mouth_wet * (1.0 - jar_now) - play
    return mouth_wet * (1.0 - FIRED) - flange_now / (1.0 - lid_now) * (1.0 - FIRED)


def test_between_the_weights_the_fit_comes_out_within_its_limits_and_at_their_ends_just():
    sheet = sheet_of(PLAIN)
    share = {
        (part, end): sheet.value(f"{part}.trim.{end}", "leather-hard") / sheet.value(f"{part}.thrown.mass", "wet")
        for part in ("jar", "lid")
        for end in ("least", "most")
    }
    usual = share_left(LEATHER_HARD)
    assert fired_clearance(usual, usual, sheet) == pytest.approx(1.4, abs=1e-6)
    for part in ("jar", "lid"):
        assert 1.0 - WATER < share[part, "least"] < usual < share[part, "most"] < 1.0
    # A drier lid has less shrinking left and comes out large; a wetter jar shrinks away from it.
    tightest = fired_clearance(share["jar", "most"], share["lid", "least"], sheet)
    loosest = fired_clearance(share["jar", "least"], share["lid", "most"], sheet)
    assert tightest == pytest.approx(1.1, abs=1e-4) and loosest == pytest.approx(1.8, abs=1e-4)
    middle = fired_clearance(share["jar", "most"], share["lid", "most"], sheet)
    assert 1.1 < middle < 1.8


def test_the_words_of_a_bound_are_its_own():
    sheet = sheet_of(PLAIN)
    least, most = (sheet.find(f"lid.trim.{end}", "leather-hard") for end in ("least", "most"))
    assert (
        least.how.startswith(f"{sheet.value('lid.thrown.mass', 'wet'):.5g} g as thrown × ")
        and "the fit lid" in least.how
    )
    assert least.source == most.source == FIT_BOUND
