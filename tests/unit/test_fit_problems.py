"""What can't be, or is odd, about a fit, as the whole check says it."""

from pathlib import Path

import pytest
from wareboard.figures.checks import check_project
from wareboard.text.problems import format_problem
from wareboard.text.projects import read_project

from tests.every import every

SPECS = Path(__file__).resolve().parents[2] / "specs"
FILES = {
    f"specs/{name}": (SPECS / name).read_text(encoding="utf-8")
    for name in ("studio.yaml", "clays/millpond-buff.yaml", "clays/quarry-brown.yaml", "glazes/lichen-satin.yaml")
}
JAR = """\
title: Plain jar
clay: millpond-buff
parts:
  jar:
    outside: {foot: {height: 0, diameter: 110}, rim: {height: 90, diameter: 110}}
    wall: 10
    floor: 6
    calipers: {mouth: inside rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, step: {height: 8, diameter: flange}, edge: {height: 8, diameter: 106}, top: {height: 12, diameter: 106}}
    calipers: {flange: fit}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.4, least: 0.3, most: 3}
"""

INSIDE = "    inside: {{floor: {{height: 6, diameter: 90}}, lip: {{height: 90, diameter: {}}}}}\n"


def said(text, studio=FILES["specs/studio.yaml"], **others):
    """Every problem of a folder with this form, in words."""
    texts = {
        **FILES,
        "specs/studio.yaml": studio,
        "specs/forms/jar.yaml": text,
        **{f"specs/forms/{name}.yaml": other for name, other in others.items()},
    }
    return [format_problem(problem, texts) for problem in check_project(read_project(texts))[1]]


def test_a_sound_jar_has_nothing_to_complain_of():
    assert said(JAR) == []


@every(
    "clearance, message",
    [
        (
            "{aim: 1.4, least: 1.5, most: 3}",
            "17:34: error: fits.lid.clearance: `least` 1.5 is above the `aim` of 1.4 [aim-outside-limits]",
        ),
        (
            "{aim: 3.4, least: 0.3, most: 3}",
            "17:45: error: fits.lid.clearance: `most` 3 is below the `aim` of 3.4 [aim-outside-limits]",
        ),
        # a leather-hard limit is a tenth smaller when fired, and is compared there
        (
            "{aim: 1.4 mm fired, least: 1.6 mm leather-hard, most: 3}",
            "17:43: error: fits.lid.clearance: `least` 1.6 mm leather-hard comes to 1.4515 mm fired, which is above the `aim` of 1.4 mm fired [aim-outside-limits]",
        ),
    ],
)
def test_an_aim_outside_its_limits(clearance, message):
    found = said(JAR.replace("{aim: 1.4, least: 0.3, most: 3}", clearance))
    assert [problem.splitlines()[0] for problem in found] == [f"specs/forms/jar.yaml:{message}"]
    assert found[0].endswith("hint: the aim lies between `least` and `most`")


def test_a_limit_is_carried_to_the_stage_of_the_aim():
    found = said(
        JAR.replace("{aim: 1.4, least: 0.3, most: 3}", "{aim: 1.4 mm fired, least: 1.5 mm leather-hard, most: 3}")
    )
    assert [problem.splitlines()[0].rpartition("[")[2] for problem in found] == ["fit-binds]"]


def test_sizes_that_set_one_another_in_a_circle():
    circle = JAR.replace("    wall: 10\n    floor: 6\n", INSIDE.format("mouth")).replace(
        "calipers: {mouth: inside rim}", "calipers: {mouth: inside lip}"
    )
    found = said(circle)
    assert len(found) == 1
    assert found[0].splitlines()[0] == "specs/forms/jar.yaml:7:23: error: jar.mouth follows from itself [circular-fit]"


def test_two_forms_that_set_one_another_in_a_circle():
    one = JAR.replace("inside: jar.mouth", "inside: other/jar.mouth").replace(
        "calipers: {mouth: inside rim}", "calipers: {mouth: inside rim, base: outside foot}"
    )
    # jar's lid follows from other's mouth; other's jar is as wide as other's own flange, which follows from jar's lid
    other = (
        JAR.replace("Plain jar", "Other jar")
        .replace("    wall: 10\n    floor: 6\n", INSIDE.format("belly"))
        .replace("calipers: {mouth: inside rim}", "calipers: {mouth: inside rim, belly: fit}")
    )
    other = (
        other.replace("calipers: {flange: fit}", "calipers: {flange: outside 60}")
        .replace("diameter: flange", "diameter: 60")
        .replace("inside: jar.mouth\n    outside: lid.flange", "inside: jar.belly\n    outside: jar/lid.flange")
    )
    found = said(one, other=other)
    assert [problem.splitlines()[0].rpartition("[")[2] for problem in found] == ["circular-fit]"] * len(found)
    assert found[0].startswith(
        "specs/forms/jar.yaml:12:24: error: these sizes set one another in a circle: lid.flange ← jar.mouth ← "
    )
    assert found[0].endswith("hint: give one of the sizes that it follows from as a number")


def test_a_fit_of_two_clays_is_warned_of_and_each_shrinks_by_its_own():
    lid = (
        JAR.replace("Plain jar", "Lid alone")
        .replace("clay: millpond-buff", "clay: quarry-brown")
        .replace("inside: jar.mouth", "inside: jar/jar.mouth")
    )
    texts = {**FILES, "specs/forms/jar.yaml": JAR, "specs/forms/lid.yaml": lid}
    sheets, problems = check_project(read_project(texts))
    assert [format_problem(problem).splitlines()[0] for problem in problems] == [
        "specs/forms/lid.yaml:15:5: warning: fits.lid: the opening is of Millpond buff, what goes in of Quarry brown; each shrinks by its own [fit-of-two-clays]"
    ]
    sheet = sheets["lid"]
    inside, outside = (
        sheet.value(f"fit.lid.{side}", "fired") / sheet.value(f"fit.lid.{side}", "wet")
        for side in ("inside", "outside")
    )
    assert inside == pytest.approx(1 - sheets["jar"].value("clay.shrinkage", "fired") / 100)
    assert outside == pytest.approx(1 - sheet.value("clay.shrinkage", "fired") / 100)
    assert inside != pytest.approx(outside, abs=1e-3)


@every(
    "typed, instead, words",
    [
        ("wall: 10", "wall: 60", "is 4.331 in across at 'foot' and 3.543 in high"),
        ("floor: 6", "floor: 95", "the part is 3.543 in high from its closed end"),
        ("calipers: {mouth", "fill_to: 100\n    calipers: {mouth", "3.937 in is above the brim at 3.543 in"),
    ],
)
def test_what_cannot_be_built_is_told_in_the_studios_unit(typed, instead, words):
    studio = FILES["specs/studio.yaml"].replace("units: metric first", "units: imperial first")
    assert "imperial first" in studio
    found = said(JAR.replace(typed, instead), studio)
    assert any(words in problem for problem in found), found
