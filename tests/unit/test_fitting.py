"""The figures of a fit: whose spreads count, where limits hold, and what the formulas say."""

from math import inf

import pytest
from wareboard.figures.built import build, fit_record
from wareboard.figures.figure import Ledger
from wareboard.figures.fitting import write_fit
from wareboard.figures.resolve import known_spreads
from wareboard.figures.settings import wheel_rows
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import make_sheet
from wareboard.figures.shown import Reader
from wareboard.text.problems import Impossible
from wareboard.text.projects import read_project

from tests.every import every

CLAY = "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 4 %, dry: 5 %, fired: 10 %}\n"
STUDIO = "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.2 %}\n"
FORM = """\
title: Jar
clay: plain
glaze: clear
parts:
  jar:
    outside: {foot: {height: 0, diameter: 88}, rim: {height: 100, diameter: 88}}
    wall: 4
    floor: 6
    calipers: {mouth: inside rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, top: {height: 10, diameter: 60}}
    calipers: {flange: fit}
fits:
  cap:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.2, least: 0.5, most: 2.4}
"""


def project_of(form=FORM, studio=STUDIO, clay=CLAY):
    texts = {
        "specs/studio.yaml": studio,
        "specs/clays/plain.yaml": clay,
        "specs/glazes/clear.yaml": "title: Clear\nfilm: 0.35 mm\n",
        "specs/forms/jar.yaml": form,
    }
    project = read_project(texts)
    assert not project.problems, project.problems
    return project


def sheet_of(form=FORM, **more):
    project = project_of(form, **more)
    sheet = make_sheet(project.forms["jar"], project)
    assert not sheet.problems, sheet.problems
    return sheet


def fit_of(project):
    shaper = Shaper(project)
    fit = shaper.resolver.fit(project.forms["jar"], "cap")
    return fit_record(fit, shaper), fit.unknown_spreads


def record_of(form=FORM, **more):
    project = project_of(form, **more)
    return fit_of(project)


def spreads_found(form=FORM, **more):
    project = project_of(form, **more)
    form = project.forms["jar"]
    found = known_spreads(form, project.studio, Shaper(project).body(form))
    known = found.values
    return (known.calipers_mm, known.trimming_mm, known.out_of_round_mm, known.shrinkage_share), found.unknown


BARS = CLAY + "bars: [{wet: 100, fired: 91}, {wet: 100, fired: 90}, {wet: 100, fired: 89}]\n"


def test_a_forms_spreads_come_before_the_studios_and_those_before_the_bars():
    assert spreads_found() == (pytest.approx((0.3, 0.25, 0.4, 0.002)), frozenset())
    assert spreads_found(FORM + "spreads: {trimming: 0.1 mm}\n") == (pytest.approx((0.3, 0.1, 0.4, 0.002)), frozenset())
    assert spreads_found(clay=BARS)[0][3] == pytest.approx(0.002)
    assert spreads_found(clay=BARS, studio="title: Yard\n") == (
        pytest.approx((0.0, 0.0, 0.0, 0.01)),
        {"calipers", "trimming", "out_of_round"},
    )


def test_what_is_still_to_be_learned_from_runs_is_taken_from_common_practice_and_told():
    studio = STUDIO.replace("0.3 mm", "from runs")
    assert spreads_found(studio=studio) == spreads_found()
    sheet = sheet_of(studio=studio)
    assert sheet.value("fit.cap.spread", "fired") == sheet_of().value("fit.cap.spread", "fired")
    assert sheet.spreads.assumed == {"calipers"} and not sheet_of().spreads.assumed
    every = sheet_of(studio=STUDIO.replace("0.25 mm", "from runs")).find("fit.cap.spread", "fired")
    assert every.how.endswith("trimming assumed, common practice, as no run tells yet")
    assert "specs/studio.yaml:2" in every.inputs
    own = FORM + "spreads: {calipers: 0.1 mm}\n"
    assert spreads_found(own, studio=studio)[0][0] == 0.1 and not sheet_of(own, studio=studio).spreads.assumed


def test_bars_tell_a_shrinkage_that_is_to_be_learned_from_runs():
    studio = STUDIO.replace("0.2 %", "from runs")
    assert spreads_found(clay=BARS, studio=studio)[0][3] == pytest.approx(0.01)
    assert not sheet_of(clay=BARS, studio=studio).spreads.assumed


def test_own_parts_are_own_parts_however_they_are_written():
    """`jar/lid.flange` written in the form `jar` itself is `lid.flange`, on every figure and card."""
    plain = sheet_of()
    named = sheet_of(FORM.replace("inside: jar.", "inside: jar/jar.").replace("outside: lid.", "outside: jar/lid."))
    assert [(f.name, f.value, f.how) for f in named.figures] == [(f.name, f.value, f.how) for f in plain.figures]
    assert named.revision == plain.revision and wheel_rows(named, Reader()) == wheel_rows(plain, Reader())


def test_the_record_is_the_fit_as_typed():
    record, unknown = record_of()
    assert unknown == frozenset()
    assert (record.aim_mm, record.least_mm, record.most_mm, record.stage, record.films_mm, record.pairing) == (
        1.2,
        0.5,
        2.4,
        "fired",
        (),
        "own",
    )
    assert record.inside.wet_mm == pytest.approx(80 / 0.9) and record.outside.wet_mm == pytest.approx(78.8 / 0.9)
    open_ended, _ = record_of(
        FORM.replace("least: 0.5, most: 2.4", "least: 0.5").replace(
            "least: 0.5}", "least: 0.5}\n    pairing: any\n    glazed: both"
        )
    )
    assert (open_ended.least_mm, open_ended.most_mm, open_ended.pairing, open_ended.films_mm) == (
        0.5,
        inf,
        "any",
        (0.35, 0.35),
    )


def test_limits_are_brought_to_the_stage_of_the_aim():
    # leather-hard, the opening is 80 × 0.96/0.9 and a flange that leaves x fired is (80 − x) × 0.96/0.9
    record, _ = record_of(FORM.replace("aim: 1.2", "aim: 1.2 mm leather-hard"))
    k = 0.96 / 0.9
    assert (record.stage, record.least_mm, record.most_mm) == (
        "leather-hard",
        pytest.approx(0.5 * k),
        pytest.approx(2.4 * k),
    )
    record, _ = record_of(FORM.replace("least: 0.5", "least: 0.5 mm wet"))
    assert record.least_mm == pytest.approx(0.5 * 0.9)


@every(
    "clearance, wrong",
    [
        ("aim: 0.4, least: 0.5", "least"),
        ("aim: 2.5, least: 0.5, most: 2.4", "most"),
        ("aim: 1, least: 2, most: 0.5", "least"),
    ],
)
def test_an_aim_outside_its_limits(clearance, wrong):
    with pytest.raises(Impossible) as caught:
        record_of(FORM.replace("aim: 1.2, least: 0.5, most: 2.4", clearance))
    problem = caught.value.problem
    assert (problem.rule, problem.at.line) == ("aim-outside-limits", 18)
    assert "fits.cap.clearance" in problem.message and wrong in problem.message


def test_a_limit_at_another_stage_is_said_where_the_aim_is():
    # 0.5 is left fired, under two films of 0.35 on both faces; leather-hard that is (0.5 + 1.4) × 0.96/0.9
    form = FORM.replace("aim: 1.2", "aim: 1.5 mm leather-hard") + "    glazed: both\n"
    with pytest.raises(Impossible) as caught:
        record_of(form)
    assert (
        "`least` 0.5 comes to 2.0267 mm leather-hard, which is above the `aim` of 1.5 mm leather-hard"
        in caught.value.problem.message
    )


def test_an_aim_at_its_limit_will_do():
    assert (
        record_of(FORM.replace("aim: 1.2, least: 0.5, most: 2.4", "aim: 0.5, least: 0.5, most: 0.5"))[0].aim_mm == 0.5
    )


def test_formulas_say_what_was_put_in():
    sheet = sheet_of(FORM + "    glazed: inside\n")
    how = sheet.find("fit.cap.outside", "fired").how
    assert how == "80 mm inside − 0.7 mm glaze − 1.2 mm aim = 78.1 mm"
    assert "glaze on 1 face" in sheet.find("fit.cap.clearance", "fired").how
    assert "glaze" not in sheet.find("fit.cap.clearance", "bisque").how
    assert "clearance / 2" in sheet.find("fit.cap.gap", "wet").how
    assert sheet.find("fit.cap.inside", "fired").inputs == ("jar.mouth fired",)
    assert "pairing own" in sheet.find("fit.cap.spread", "fired").how


def test_films_and_spreads_are_named_where_they_are_typed():
    sheet = sheet_of(FORM + "    glazed: inside\n    pairing: any\nspreads:\n  trimming: 0.1 mm\n")
    fired = sheet.find("fit.cap.clearance", "fired").inputs
    assert {"specs/glazes/clear.yaml:2", "specs/forms/jar.yaml:19"} <= set(fired)
    assert "specs/glazes/clear.yaml:2" in sheet.find("fit.cap.outside", "fired").inputs
    spread = sheet.find("fit.cap.spread", "fired").inputs
    assert {"specs/forms/jar.yaml:22", "specs/studio.yaml:2"} <= set(spread) and len(spread) == len(set(spread))
    assert "specs/studio.yaml:2" in sheet.find("fit.cap.any_turn", "fired").inputs


def test_left_on_is_said_or_follows_the_wall():
    said = sheet_of(FORM + "    left_on: 1\n").find("fit.cap.outside.thrown", "wet")
    assert "1 left on" in said.how and "specs/forms/jar.yaml:19" in said.inputs
    walled = sheet_of(
        FORM.replace(
            "    calipers: {flange: fit}\n", "    calipers: {flange: fit}\n    throwing: {left_on: {wall: 1.5}}\n"
        )
    )
    figure = walled.find("fit.cap.outside.thrown", "wet")
    assert figure.value - walled.value("fit.cap.outside", "wet") == pytest.approx(3 / 0.96)
    assert "specs/forms/jar.yaml:14" in figure.inputs
    none = sheet_of()
    assert none.value("fit.cap.outside.thrown", "wet") == pytest.approx(none.value("fit.cap.outside", "wet"))


def test_a_record_is_the_sheets_own_and_only_its_own_figures_are_written():
    project = project_of()
    sheet = make_sheet(project.forms["jar"], project)
    ledger = Ledger({key: line for key, line in sheet.found.lines.items() if not key.startswith("fit.")})
    before = set(ledger.figures)
    built = build(project.forms["jar"], Shaper(project)).fits["cap"]
    write_fit(ledger, built)
    record = built.record
    assert record == sheet.fits["cap"]
    assert (record.aim_mm, record.outside.diameter_mm("fired")) == pytest.approx((1.2, 78.8))
    assert {key for key, _ in set(ledger.figures) - before} == {
        figure.key
        for figure in sheet.figures
        if figure.key.startswith("fit.cap")
        and not figure.key.endswith((".seat", ".pushed", ".falls", ".level", ".room", ".stands"))
    }
