"""The sheet: which figures there are, how they are found and quoted, and when there are none."""

import json

import pytest
from wareboard.figures.clays import OF_DRY
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import JSON_FORMAT, make_sheet
from wareboard.pot.stages import STAGES
from wareboard.text.formulas import Formula
from wareboard.text.projects import read_project

from tests.demo import worked_out
from tests.every import every

CLAY = "title: Plain\nwater: 20 %\nshrinkage: {dry: 5 %, fired: 10 %}\n"
STUDIO = "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.2 %}\n"
GLAZE = "title: Clear\npint_weight: 1.45 g/ml\ncoat: 0.9 kg/m2\nfilm: 0.35 mm\n"
FORM = """\
title: Jar
clay: plain
glaze: clear
parts:
  jar:
    outside: {foot: {height: 0, diameter: 88}, rim: {height: 100, diameter: 88}}
    wall: 4
    floor: 6
    fill_to: 90
    calipers: {mouth: inside rim}
    throwing: {gauge_at: [foot, rim]}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, top: {height: 10, diameter: 60}}
    calipers: {flange: fit}
fits:
  cap: {inside: jar.mouth, outside: lid.flange, clearance: {aim: 1.2, least: 0.5, most: 2.4}}
"""
# The table of figures: key, stages, unit. `.` is a figure that belongs to no stage.
ALL, LATER = STAGES, STAGES[1:]
TABLE = {
    "clay.shrinkage": (LATER, "%"), "clay.shrinkage.height": (LATER, "%"), "clay.density": (("wet", "dry", "fired"), "g/cm3"),
    "clay.water.critical": ((None,), "%"), "glaze.dry": ((None,), "g"), "glaze.slop": ((None,), "ml"), "ball": (("wet",), "g"), "clay": (("wet",), "g"), "mass": (ALL, "g"),
    "jar.across": (ALL, "mm"), "lid.across": (ALL, "mm"),
    "jar.foot.height": (ALL, "mm"), "jar.foot.diameter": (ALL, "mm"), "jar.rim.height": (ALL, "mm"), "jar.rim.diameter": (ALL, "mm"),
    "jar.height": (ALL, "mm"), "jar.diameter": (ALL, "mm"), "jar.mouth": (ALL, "mm"), "jar.volume": (("wet", "fired"), "cm3"), "jar.mass": (ALL, "g"),
    "jar.mass.glazed": (("fired",), "g"), "jar.thrown.volume": (("wet",), "cm3"), "jar.thrown.mass": (("wet",), "g"), "jar.ball": (("wet",), "g"),
    "jar.ball.set": (("wet",), "g"), "jar.pointer.foot.height": (("wet",), "mm"), "jar.pointer.foot.reach": (("wet",), "mm"),
    "jar.pointer.rim.height": (("wet",), "mm"), "jar.pointer.rim.reach": (("wet",), "mm"), "jar.capacity.brim": (("fired",), "ml"),
    "jar.capacity.fill": (("fired",), "ml"), "jar.area.outside": (("bisque", "fired"), "cm2"), "jar.area.inside": (("bisque", "fired"), "cm2"),
    "jar.area.glazed": (("bisque", "fired"), "cm2"), "jar.centre_of_mass": (("fired",), "mm"), "jar.centre_of_mass.full": (("fired",), "mm"),
    "jar.witness": (("leather-hard", "dry"), "%"), "jar.wall.thickness": (ALL, "mm"), "jar.floor.thickness": (ALL, "mm"),
    "jar.trim.least": (("leather-hard",), "g"), "jar.trim.most": (("leather-hard",), "g"),
    "lid.tip.height": (ALL, "mm"), "lid.tip.diameter": (ALL, "mm"), "lid.top.height": (ALL, "mm"), "lid.top.diameter": (ALL, "mm"), "lid.height": (ALL, "mm"),
    "lid.diameter": (ALL, "mm"), "lid.flange": (ALL, "mm"), "lid.volume": (("wet", "fired"), "cm3"), "lid.mass": (ALL, "g"), "lid.mass.glazed": (("fired",), "g"),
    "lid.thrown.volume": (("wet",), "cm3"), "lid.thrown.mass": (("wet",), "g"), "lid.ball": (("wet",), "g"), "lid.ball.set": (("wet",), "g"),
    "lid.pointer.height": (("wet",), "mm"), "lid.pointer.reach": (("wet",), "mm"), "lid.area.outside": (("bisque", "fired"), "cm2"),
    "lid.area.inside": (("bisque", "fired"), "cm2"), "lid.area.glazed": (("bisque", "fired"), "cm2"), "lid.centre_of_mass": (("fired",), "mm"),
    "lid.witness": (("leather-hard", "dry"), "%"),
    "lid.trim.least": (("leather-hard",), "g"), "lid.trim.most": (("leather-hard",), "g"),
    "fit.cap.inside": (ALL, "mm"), "fit.cap.outside": (ALL, "mm"), "fit.cap.clearance": (ALL, "mm"), "fit.cap.gap": (ALL, "mm"),
    "fit.cap.calipers": (("wet",), "mm"), "fit.cap.outside.thrown": (("wet",), "mm"), "fit.cap.spread": (("fired",), "mm"),
    "fit.cap.worst.least": (("fired",), "mm"), "fit.cap.worst.most": (("fired",), "mm"), "fit.cap.binds": (("fired",), "%"),
    "fit.cap.loose": (("fired",), "%"), "fit.cap.any_turn": (("fired",), "%"),
    "fit.cap.seat": (ALL, "mm"), "fit.cap.seat.pushed": (("fired",), "mm"), "fit.cap.falls": (("fired",), "%"), "fit.cap.level": (("fired",), "mm"),
    "fit.cap.room": (ALL, "mm"), "fit.cap.stands": (ALL, "mm"),
    "jar.thrown.floor": (("wet",), "mm"), "jar.thrown.depth": (("wet",), "mm"), "jar.thrown.wall.rim": (("wet",), "mm"),
}  # fmt: skip


def texts_of(form=FORM, **changed):
    texts = {
        "specs/studio.yaml": STUDIO,
        "specs/clays/plain.yaml": CLAY,
        "specs/glazes/clear.yaml": GLAZE,
        "specs/forms/jar.yaml": form,
    }
    return {**texts, **{f"specs/{name.replace('__', '/')}.yaml": text for name, text in changed.items()}}


def sheet_of(form=FORM, **changed):
    project = read_project(texts_of(form, **changed))
    assert not project.problems, project.problems
    return make_sheet(project.forms["jar"], project)


def test_there_are_the_figures_of_the_table_and_no_others():
    sheet = sheet_of()
    wanted = {(key, stage): unit for key, (stages, unit) in TABLE.items() for stage in stages}
    found = {(figure.key, figure.stage): figure.unit for figure in sheet.figures}
    assert found == wanted


def test_a_figure_is_found_by_key_and_stage():
    sheet = sheet_of()
    assert sheet.find("jar.mouth", "fired").value == sheet.value("jar.mouth", "fired") == 80.0
    assert sheet.find("jar.mouth") is None and sheet.find("nothing", "wet") is None
    with pytest.raises(KeyError):
        sheet.value("jar.mouth")


@every(
    "quote, name",
    [
        ("jar.mouth wet", "jar.mouth wet"),
        ("  jar.mouth   leather-hard ", "jar.mouth leather-hard"),
        ("jar.ball", "jar.ball wet"),
        ("glaze.dry", "glaze.dry"),
        ("ball", "ball wet"),
        ("jar.mouth", None),
        ("jar.ball fired", None),
        ("mouth wet", None),
        ("", None),
        ("wet", None),
    ],
)
def test_a_figure_as_steps_quote_it(quote, name):
    found = sheet_of().quoted(quote)
    assert (found.name if found else None) == name


def test_names_with_spaces_are_quoted_whole():
    sheet = sheet_of(FORM.replace("mouth", "wide mouth"))
    assert sheet.quoted("jar.wide mouth wet") is sheet.find("jar.wide mouth", "wet") is not None


def test_json():
    sheet = sheet_of()
    found = json.loads(json.dumps(sheet.as_json()))
    assert {name: found[name] for name in ("format", "form", "clay", "problems")} == {
        "format": 1,
        "form": "jar",
        "clay": "plain",
        "problems": [],
    }
    assert JSON_FORMAT == 1 and found["revision"] == sheet.revision
    assert [figure["key"] for figure in found["figures"]] == [figure.key for figure in sheet.figures]


def test_every_part_that_cannot_be_says_so_and_there_are_no_figures():
    form = FORM.replace("wall: 4", "wall: 44").replace("outside: {tip: {height: 0", "outside: {tip: {height: 10")
    sheet = sheet_of(form)
    assert sheet.figures == () and dict(sheet.shapes) == {} and dict(sheet.fits) == {}
    assert {problem.rule for problem in sheet.problems} >= {"wall-too-thick"}
    assert len(set(sheet.problems)) == len(sheet.problems)
    found = sheet.as_json()
    assert found["figures"] == [] and found["problems"][0]["file"] == "specs/forms/jar.yaml"
    assert list(found["problems"][0]) == ["level", "rule", "message", "file", "line", "column", "hint"]


def test_two_parts_with_faults_of_their_own():
    bad = "  bad:\n    outside: {a: {height: 0, diameter: 20}, b: {height: 20, diameter: 20}}\n    wall: 10\n    floor: 3\n"
    sheet = sheet_of(FORM.replace("wall: 4", "wall: 44").replace("  lid:\n", bad + "  lid:\n"))
    assert [problem.at.line for problem in sheet.problems if problem.rule == "wall-too-thick"] == [7, 14]


def test_slop_that_cannot_be():
    (problem,) = sheet_of(
        glazes__clear="title: Clear\npint_weight: 2.7 g/ml\ngrain_density: 2.5 g/cm3\ncoat: 1 kg/m2\n"
    ).problems
    assert (problem.rule, problem.at.file, problem.at.line) == ("slop-cannot-be", "specs/glazes/clear.yaml", 2)


def test_revision_follows_what_is_typed_and_not_how():
    first = sheet_of().revision
    assert len(first) >= 6 and first == sheet_of().revision
    assert sheet_of(FORM.replace("title: Jar", "title: Jar   # the blue one")).revision == first
    for changed in (
        {"form": FORM.replace("wall: 4", "wall: 5")},
        {"clays__plain": CLAY.replace("10 %", "11 %")},
        {"glazes__clear": GLAZE.replace("0.35", "0.4")},
        {"studio": STUDIO.replace("0.3 mm", "0.2 mm")},
    ):
        assert sheet_of(**changed).revision != first, changed


def test_shapes_and_fits_go_with_the_sheet():
    sheet = sheet_of()
    assert sheet.slug == "jar" and list(sheet.shapes) == ["jar", "lid"]
    assert list(sheet.fits) == ["cap"]
    assert sheet.fits["cap"].inside.wet_mm == pytest.approx(80 / 0.9)
    assert sheet.clay.title == "Plain" and sheet.glaze.title == "Clear" and sheet.studio.title == "Yard"


def test_many_forms_share_what_was_worked_out_once():
    texts = texts_of(forms__two=FORM.replace("title: Jar", "title: Two"))
    project = read_project(texts)
    shaper = Shaper(project)
    together = [make_sheet(project.forms[slug], project, shaper) for slug in ("jar", "two")]
    alone = [make_sheet(project.forms[slug], project) for slug in ("jar", "two")]
    for one, other in zip(together, alone, strict=True):
        assert [(f.name, f.value) for f in one.figures] == [(f.name, f.value) for f in other.figures]
        assert one.revision == other.revision
    assert together[0].found.lines["clay.density"] is together[1].found.lines["clay.density"]
    assert together[0].revision != together[1].revision


def test_assumed_stages_say_so():
    sheet = sheet_of()
    for stage, words in (("leather-hard", "assumed: half of dry"), ("bisque", "assumed: as dry")):
        figure = sheet.find("clay.shrinkage", stage)
        assert words in figure.how and not figure.given and figure.inputs == ("clay.shrinkage dry",)
    assert sheet.find("clay.shrinkage", "dry").given


def test_sources_are_named():
    sheet = sheet_of()
    for key, stage, word in (
        ("jar.rim.diameter", "wet", "C326"), ("jar.volume", "fired", "Pappus"), ("glaze.slop", None, "Brongniart"), ("clay.water.critical", None, "Das"),
        ("fit.cap.clearance", "fired", "ISO 286"), ("fit.cap.spread", "fired", "root-sum-square"), ("jar.ball", "wet", "common practice"),
    ):  # fmt: skip
        assert word in sheet.find(key, stage).source, key


def test_every_figure_is_what_its_own_formula_comes_to():
    asked = 0
    for sheet in worked_out()[1].values():
        for figure in sheet.figures:
            told = figure.told
            formula = told.how if isinstance(told.how, Formula) else None if told.how else figure.named.declared.formula
            assert told.value == figure.value, figure.name
            if formula is not None:
                scale = 100.0 if formula == OF_DRY else 1.0  # a share of shares, which says itself in %
                assert scale * formula(told.numbers) == pytest.approx(figure.value, rel=1e-12), figure.name
                asked += 1
    assert asked > 500
