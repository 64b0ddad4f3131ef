"""What must hold of a fit whatever its numbers."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.figures.sheet import make_sheet
from wareboard.pot.clay import STAGES, make_body
from wareboard.pot.fits import Fit, Side, Spreads, clearance_mm, fit_figures, with_aim
from wareboard.pot.match import match_table, trial_shares
from wareboard.text.projects import read_project

from tests.every import every

FEW = settings(max_examples=60, deadline=None)


@st.composite
def bodies(draw):
    dry = draw(st.floats(0.02, 0.07))
    return make_body(
        water_share=draw(st.floats(0.2, 0.27)),
        line={
            "leather-hard": dry * draw(st.floats(0.1, 0.9)),
            "dry": dry,
            "fired": dry + draw(st.floats(0.0, 0.08)),
        },
        height_factor=draw(st.floats(0.9, 1.2)),
    )


SPREADS = st.builds(Spreads, st.floats(0, 0.6), st.floats(0, 0.6), st.floats(0, 1), st.floats(0, 0.004))


@st.composite
def fits(draw, spreads=SPREADS):
    least = draw(st.floats(0.0, 1.0))
    most = least + draw(st.floats(0.1, 3.0))
    aim = draw(st.floats(0.0, 4.0))
    fit = Fit(
        Side(draw(st.floats(30.0, 250.0)), draw(bodies()), draw(spreads)),
        Side(1.0, draw(bodies()), draw(spreads)),
        aim,
        least,
        most,
        stage=draw(st.sampled_from(STAGES)),
        films_mm=tuple(draw(st.lists(st.floats(0.1, 0.6), max_size=2))),
        pairing=draw(st.sampled_from(["any", "own"])),
    )
    return with_aim(fit, aim)


@FEW
@given(fits())
def test_aim_is_left_at_its_stage(fit):
    assert clearance_mm(fit, fit.stage) == pytest.approx(fit.aim_mm, abs=1e-9)


@FEW
@given(fits(st.just(Spreads())))
def test_no_spread_is_all_or_nothing(fit):
    figures = fit_figures(fit)
    assert figures.spread_mm == 0.0
    assert figures.worst_least_mm == figures.worst_most_mm == figures.clearance_mm[-1]
    binds = float(fit.aim_mm < fit.least_mm - 1e-9)
    loose = float(fit.aim_mm > fit.most_mm + 1e-9)
    assert (figures.binds_share, figures.loose_share) == (binds, loose)
    assert figures.any_turn_share in (0.0, 1.0)


@FEW
@given(fits())
def test_own_is_never_wider_than_any(fit):
    own = fit_figures(replace(fit, pairing="own"))
    any_ = fit_figures(replace(fit, pairing="any"))
    assert own.spread_mm <= any_.spread_mm + 1e-12
    assert own.worst_least_mm >= any_.worst_least_mm - 1e-12


@FEW
@given(fits())
def test_shares_are_shares(fit):
    figures = fit_figures(fit)
    assert 0.0 <= figures.binds_share <= 1.0
    assert 0.0 <= figures.loose_share <= 1.0
    assert figures.binds_share + figures.loose_share <= 1.0 + 1e-12
    assert 0.0 <= figures.any_turn_share <= 1.0
    assert figures.worst_least_mm <= figures.clearance_mm[-1] - figures.spread_mm + 1e-9


@FEW
@given(fits(), st.floats(0.1, 10.0))
def test_scaled_throughout_the_shares_stay(fit, k):
    def scaled(side):
        s = side.spreads
        spreads = Spreads(k * s.calipers_mm, k * s.trimming_mm, k * s.out_of_round_mm, s.shrinkage_share)
        return replace(side, wet_mm=k * side.wet_mm, spreads=spreads)

    larger = replace(
        fit,
        inside=scaled(fit.inside),
        outside=scaled(fit.outside),
        aim_mm=k * fit.aim_mm,
        least_mm=k * fit.least_mm,
        most_mm=k * fit.most_mm,
        films_mm=tuple(k * film for film in fit.films_mm),
    )
    before, after = fit_figures(fit), fit_figures(larger)
    assert after.spread_mm == pytest.approx(k * before.spread_mm, rel=1e-9, abs=1e-12)
    if before.spread_mm > 1e-3:
        assert after.binds_share == pytest.approx(before.binds_share, abs=1e-6)
        assert after.any_turn_share == pytest.approx(before.any_turn_share, abs=1e-6)


@FEW
@given(fits())
def test_match_at_equal_nominal_dryness_is_the_aim(fit):
    jar, lid = trial_shares(fit.inside.body, 3), trial_shares(fit.outside.body, 3)
    middle = match_table(fit, jar, lid)[1][1]
    assert middle.fired_mm == pytest.approx(clearance_mm(fit, "fired"), abs=1e-9)
    if fit.stage == "fired":
        assert middle.fired_mm == pytest.approx(fit.aim_mm, abs=1e-9)


@FEW
@given(fits())
def test_a_drier_opening_ends_looser_and_a_drier_outside_tighter(fit):
    table = match_table(fit, trial_shares(fit.inside.body), trial_shares(fit.outside.body))
    for row in table:
        assert all(a.fired_mm <= b.fired_mm + 1e-9 for a, b in pairwise(row))
    for column in zip(*table):
        assert all(a.fired_mm >= b.fired_mm - 1e-9 for a, b in pairwise(column))


JAR = """\
title: Jar
clay: {clay}
glaze: shine
parts:
  jar:
    outside: {{foot: {{height: 0, diameter: 90}}, rim: {{height: 100, diameter: 96}}}}
    wall: 5
    floor: 6
    gallery: {{depth: 9, width: 5}}
    calipers: {{mouth: inside rim}}
"""
LID = """\
title: Lid
clay: {clay}
glaze: shine
parts:
  lid:
    opens: down
    outside: {{tip: {{height: 0, diameter: flange}}, edge: {{height: {edge}, diameter: flange}}, crown: {{height: {crown}, diameter: 40}}}}
    wall: 5
    floor: 5
    calipers: {{flange: fit}}
fits:
  lid: {{inside: jar/jar.mouth, outside: lid.flange, clearance: {{aim: 1.4, least: 0.5, most: 2.6}}, glazed: {glazed}, pairing: own}}
"""
CLAY_TEXT = "title: Clay\nwater: 21 %\nshrinkage: {{leather-hard: 3 %, dry: 6 %, fired: {fired} %}}\n"


def lid_figures(clay_of_lid, edge, crown, glazed):
    """The figures of a lid's seat, where its clay is the jar's or one that shrinks alike to a millionth."""
    texts = {
        "specs/studio.yaml": "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}\n",
        "specs/clays/one.yaml": CLAY_TEXT.format(fired=12),
        "specs/clays/other.yaml": CLAY_TEXT.format(fired="12.00001"),
        "specs/glazes/shine.yaml": "title: Shine\nfilm: 0.3 mm\n",
        "specs/forms/jar.yaml": JAR.format(clay="one"),
        "specs/forms/lid.yaml": LID.format(clay=clay_of_lid, edge=edge, crown=crown, glazed=glazed),
    }
    project = read_project(texts)
    assert not project.problems
    sheet = make_sheet(project.forms["lid"], project)
    return {(figure.key, figure.stage): figure.value for figure in sheet.figures if figure.key.startswith("fit.lid.")}


@every(
    "edge, crown, glazed",
    [
        (9, 22, "none"),
        (4, 22, "none"),
        (3, 6, "none"),
        (3, 9, "none"),
        (4, 14, "none"),
        (9, 12, "both"),
        (7, 16, "outside"),
    ],
)
def test_a_lid_of_a_clay_that_shrinks_alike_sits_as_one_of_the_jars_own(edge, crown, glazed):
    alike, other = (lid_figures(clay, edge, crown, glazed) for clay in ("one", "other"))
    assert alike.keys() == other.keys() and ("fit.lid.seat", "bisque") in alike
    for place, value in alike.items():
        assert other[place] == pytest.approx(value, rel=1e-4, abs=2e-3), place
