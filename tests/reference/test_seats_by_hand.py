"""What rests on what, in numbers that can be drawn on squared paper: a plate lid on a straight jar, a cap over a neck.

Worked by hand from the definitions: the ring in which the faces lie within 0.5 mm of each other, what is left of it with the
gap all on one side, heights up and widths across, each shrunk its own way; films as thick as they are on glazed faces alone.
"""

from math import hypot

import pytest
from scipy.optimize import brentq
from scipy.stats import norm

from tests.demo import worked_out

ACROSS = {"wet": 1.0, "leather-hard": 0.97, "dry": 0.94, "bisque": 0.94, "fired": 0.88}
UP = {stage: 1.0 - (1.0 - kept) * 1.05 for stage, kept in ACROSS.items()}
FILM, AIM = 0.35, 1.4
CALIPERS, TRIMMING, SHRINKAGE = 0.3, 0.25, 0.0015
OTHERS = {
    "specs/studio.yaml": """
title: Shed
units: metric only
steps: {scale: 5 g, ruler: 0.5 mm}
spreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}
""",
    "specs/clays/c.yaml": """
title: C
cone: 8
water: 21 %
loss_on_ignition: 7 %
height_factor: 1.05
shrinkage: {leather-hard: 3 %, dry: 6 %, bisque: 6 %, fired: 12 %}
""",
    "specs/glazes/g.yaml": """
title: G
cone: 8
pint_weight: 1.45 g/ml
grain_density: 2.6 g/cm3
coat: 0.9 kg/m2
film: 0.35 mm
loss_on_ignition: 8 %
food_contact: untested
""",
}
HEAD = "title: F\nclay: c\nglaze: g\nsizes: fired\nunit: mm\n"
FIT = "    clearance: {{aim: 1.4, least: 0.5, most: 2.6}}\n    glazed: {glazed}\n    pairing: {pairing}\n"
LID = (
    HEAD
    + """
parts:
  jar:
    outside:
      foot: {{height: 0, diameter: 80}}
      rim: {{height: 100, diameter: 80}}
    inside:
      base: {{height: 6, diameter: {mouth}}}
      lip: {{height: 100, diameter: {mouth}}}
    calipers: {{mouth: inside rim}}
  lid:
    opens: down
    outside:
      tip: {{height: 0, diameter: flange}}
      edge: {{height: 8, diameter: flange, corner: true}}
      plate: {{height: 8, diameter: 81, corner: true}}
      top: {{height: 14, diameter: 81}}
    inside:
      lip: {{height: 0, diameter: 50}}
      roof: {{height: 5, diameter: 0}}
    calipers: {{flange: fit}}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
"""
    + FIT
)
CAP = (
    HEAD
    + """
parts:
  pot:
    outside:
      foot: {{height: 0, diameter: 70}}
      shoulder: {{height: 55, diameter: 70, corner: true}}
      base: {{height: 55, diameter: neck, corner: true}}
      rim: {{height: 75, diameter: neck}}
    inside:
      base: {{height: 6, diameter: 60}}
      turn: {{height: 48, diameter: 60, corner: true}}
      throat: {{height: 48, diameter: 41, corner: true}}
      lip: {{height: 75, diameter: 41}}
    calipers: {{neck: fit}}
  cap:
    opens: down
    outside:
      lip: {{height: 0, diameter: 60}}
      top: {{height: 20, diameter: 60}}
    inside:
      mouth: {{height: 0, diameter: 50}}
      up: {{height: 12, diameter: 50, corner: true}}
      roof: {{height: 12, diameter: 0}}
    calipers: {{mouth: inside lip}}
fits:
  lid:
    inside: cap.mouth
    outside: pot.neck
"""
    + FIT
)


def figures_of(form, **put_in):
    sheet = worked_out(OTHERS | {"specs/forms/f.yaml": form.format(**put_in)})[1]["f"]
    return lambda key, stage="fired": sheet.value(f"fit.lid.{key}", stage), sheet


@pytest.mark.parametrize(
    "glazed, pairing", [("none", "own"), ("none", "any"), ("both", "own"), ("inside", "own"), ("outside", "any")]
)
def test_a_plate_lid_on_a_straight_jar(glazed, pairing):
    value, sheet = figures_of(LID, mouth=78, glazed=glazed, pairing=pairing)
    inner, outer = ((FILM if glazed in (side, "both") else 0.0) for side in ("inside", "outside"))
    for stage in ("wet", "leather-hard", "dry", "bisque"):  # the rim, 39 to 40 fired; no film yet
        assert value("seat", stage) == pytest.approx(1.0 / 0.88 * ACROSS[stage])
        assert value("room", stage) == pytest.approx(86.0 / UP["fired"] * UP[stage])
        assert value("stands", stage) == pytest.approx(106.0 / UP["fired"] * UP[stage])
    # Both faces of a glazed part are farther out by the film: the rim is 2 films wider, its lid stands so much higher.
    plate = 40.5 + outer
    rim = (39.0 - inner, min(40.0 + inner, plate))
    assert value("seat") == pytest.approx(rim[1] - rim[0], abs=1e-6)
    assert value("stands") == pytest.approx(106.0 + inner + outer)
    assert value("room") == pytest.approx(86.0)
    assert value("level") == pytest.approx(0.5)
    flange = (78.0 - 2.0 * inner - AIM) / 2.0  # glaze included
    aside = AIM / 2.0
    left = min(min(rim[1], plate - aside) - max(rim[0], flange - aside), min(rim[1], plate + aside) - rim[0])
    assert value("seat.pushed") == pytest.approx(left, abs=1e-6)
    bears = [2.0 * rim[0], 2.0 * rim[1]]
    set_to = CALIPERS * 0.88, TRIMMING / 0.97 * 0.88
    spreads = [hypot(tool, SHRINKAGE * across / 0.88) for tool, across in zip(set_to, bears)]
    half = 0.5 * hypot(value("spread"), *spreads)
    assert value("falls") == pytest.approx(100.0 * norm.cdf(-left / half), rel=1e-4)
    how = sheet.find("fit.lid.seat.pushed", "fired").how
    assert ("seat − " in how) == (abs(left - (rim[1] - rim[0] - aside)) < 1e-9)


@pytest.mark.parametrize("glazed", ["none", "both"])
def test_a_cap_over_a_neck(glazed):
    value, _sheet = figures_of(CAP, glazed=glazed, pairing="own")
    film = FILM if glazed == "both" else 0.0
    neck = 50.0 - AIM - 4.0 * film  # its clay
    for stage in ("wet", "leather-hard", "dry", "bisque"):  # the neck's rim under the cap's roof
        assert value("seat", stage) == pytest.approx((neck - 41.0) / 2.0 / 0.88 * ACROSS[stage])
        assert value("stands", stage) == pytest.approx(83.0 / UP["fired"] * UP[stage])
        assert value("room", stage) == pytest.approx(0.0, abs=1e-9)
    assert value("seat") == pytest.approx((neck - 41.0) / 2.0 + 2.0 * film, abs=1e-6)
    assert value("stands") == pytest.approx(83.0 + 2.0 * film)
    # The shoulder, 20 mm under the rim that bears, is no neighbour; the neck is.
    assert value("level") == pytest.approx(30.0 - neck / 2.0)


@pytest.mark.parametrize("glazed", ["none", "both"])
def test_pieces_trimmed_at_the_ends_of_their_weights_come_out_at_the_limits(glazed):
    """Weight to shrinkage by saturated clay: a gram of water for each cm³; then turned, and fired with what is left to shrink."""
    _value, sheet = figures_of(LID, mouth=77, glazed=glazed, pairing="own")
    volume = lambda shrunk: (1.0 - shrunk) ** 2 * (1.0 - 1.05 * shrunk)
    density = 1.0 / (0.21 + 0.79 / 2.6)

    def left(part, end):
        share = sheet.value(f"{part}.trim.{end}", "leather-hard") / sheet.value(f"{part}.thrown.mass", "wet")
        return 1.0 - brentq(lambda shrunk: 1.0 - (1.0 - volume(shrunk)) / density - share, 0.0, 0.06)

    films = 4.0 * FILM if glazed == "both" else 0.0
    mouth, flange = 77.0 / 0.88, (77.0 - films - AIM) / 0.88
    play = (mouth - flange) * 0.97
    for jar_end, lid_end, limit in (("most", "least", 0.5), ("least", "most", 2.6)):
        # A jar and a lid each as far off as they may be, the other way round.
        fired = 77.0 - films - (mouth * left("jar", jar_end) - play) / left("lid", lid_end) * 0.88
        assert fired == pytest.approx(limit, abs=1e-6)
