"""Seats against a simulation of pairs: 200,000 jars and lids, each turned to its own sizes, pushed aside and looked at.

Source: a Monte Carlo simulation (JCGM 101:2008, propagation of distributions, from memory); numpy's generator, seeded.
Nothing here calls the rooms that the figures are made with, but to ask for their answer.
"""

import numpy as np
import pytest
from wareboard.figures.sheet import make_sheet
from wareboard.text.projects import read_project

from tests.every import every

PAIRS = 200_000
SHRUNK, LEATHER_HARD = 0.12, 0.03
SPREADS = {"calipers": 0.3, "trimming": 0.25, "shrinkage": 0.0015}

JAR = """\
title: Jar
clay: plain
parts:
  jar:
    outside: {{foot: {{height: 0, diameter: 86}}, rim: {{height: 98, diameter: 86}}}}
    inside:
      floor: {{height: 5, diameter: 77}}
      under: {{height: 80, diameter: 77}}
      ledge: {{height: 89, diameter: {ledge}}}
      seat: {{height: 89, diameter: 77}}
      lip: {{height: 98, diameter: 77}}
    calipers: {{mouth: inside rim}}
  lid:
    opens: down
    outside: {{tip: {{height: 0, diameter: flange}}, top: {{height: 12, diameter: flange}}}}
    wall: 6
    floor: 5
    calipers: {{flange: fit}}
fits:
  lid: {{inside: jar.mouth, outside: lid.flange, clearance: {{aim: {aim}, least: 0.2, most: 6}}, pairing: any}}
"""


def sheet_of(ledge, aim):
    spreads = "{calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}"
    texts = {
        "specs/studio.yaml": f"title: Yard\nspreads: {spreads}\n",
        "specs/clays/plain.yaml": "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 3 %, dry: 6 %, fired: 12 %}\n",
        "specs/forms/jar.yaml": JAR.format(ledge=ledge, aim=aim),
    }
    project = read_project(texts)
    assert not project.problems, project.problems
    return make_sheet(project.forms["jar"], project)


@every(("ledge", "aim"), [(74.6, 1.4), (73.0, 2.6), (72.4, 3.0), (74.4, 1.2)])
def test_the_share_of_lids_that_can_tip_in(ledge, aim):
    sheet, drawn = sheet_of(ledge, aim), np.random.default_rng(20260)
    mouth, flange = 77.0, 77.0 - aim

    def shrunk(diameter):
        """Piece to piece, each face on its own, as the root sum of squares has it."""
        wet = diameter / (1.0 - SHRUNK)
        return wet * drawn.normal(0.0, SPREADS["shrinkage"], PAIRS)

    thrown = SPREADS["calipers"] * (1.0 - SHRUNK)
    turned = SPREADS["trimming"] * (1.0 - SHRUNK) / (1.0 - LEATHER_HARD)
    mouths = mouth + drawn.normal(0.0, thrown, PAIRS) + shrunk(mouth)
    flanges = flange + drawn.normal(0.0, turned, PAIRS) + shrunk(flange)
    ledges = ledge + drawn.normal(0.0, thrown, PAIRS) + shrunk(ledge)
    plates = flange + drawn.normal(0.0, turned, PAIRS) + shrunk(flange)
    pushed = (plates - ledges) / 2.0 - (mouths - flanges) / 2.0
    fell = float((pushed < 0.0).mean()) * 100.0
    seat, left = (sheet.value(f"fit.lid.{key}", "fired") for key in ("seat", "seat.pushed"))
    assert seat == pytest.approx((flange - ledge) / 2.0, abs=1e-9)
    assert left == pytest.approx(float(pushed.mean()), abs=0.01)
    assert sheet.value("fit.lid.falls", "fired") == pytest.approx(fell, abs=4.0 * 100.0 * np.sqrt(0.25 / PAIRS))
    assert 0.5 < fell < 99.5  # cases that could tell a wrong formula


def test_a_ring_seat_against_sampled_sections():
    """The faces of two smooth sections, sampled at 400,000 radii: where they come nearest, and what lies within 0.5 mm."""
    from wareboard.pot.outlines import smooth_outline
    from wareboard.pot.seats import facing, seats_of

    bowl, _ = smooth_outline([(0.0, 5.0), (30.0, 9.0), (44.0, 30.0), (50.0, 60.0)])
    cup, _ = smooth_outline([(0.0, 3.0), (18.0, 0.0), (28.0, 8.0), (40.0, 40.0)])
    lower = [(0.0, 0.0), (54.0, 0.0), (54.0, 60.0), *reversed(bowl)]
    upper = [(0.0, 3.0), *cup, (0.0, 40.0)]
    radii = np.linspace(0.0, 40.0, 400_001)[1:-1]
    tops, undersides = (np.interp(radii, *zip(*line)) for line in (bowl, cup))
    rest = (tops - undersides).max()
    width = ((rest + undersides - tops) <= 0.5).mean() * 40.0
    (found,) = seats_of(facing(lower, upper), fit_radius_mm=40.0)
    assert found.rest_mm == pytest.approx(rest, abs=1e-6)
    assert found.width_mm == pytest.approx(width, abs=1e-3)
