"""Names in any case, any spacing and any composition of letters lead to what was declared; exact ones come first."""

import unicodedata

from wareboard.figures.checks import check_project
from wareboard.text.projects import read_project
from wareboard.text.spelling import Declared, respelled_form

from tests.every import every

STUDIO = "title: Yard\n"
CLAY = "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n"
JAR = """\
title: Jar
clay: buff
parts:
  Jar:
    outside:
      foot: {height: 0, diameter: 60}
      Inner Rim: {height: 90, diameter: 80}
    wall: {FOOT: 5, inner  rim: 4}
    floor: 5
    fill_to: inner rim
    bare: Foot to INNER RIM
    calipers: {Mouth: inside inner rim}
    throwing: {gauge_at: inner RIM}
  lid:
    opens: down
    outside:
      tip: {height: 0, diameter: FLANGE}
      ledge: {height: 5, diameter: Flange}
      plate: {height: 5, diameter: 80}
      top: {height: 12, diameter: 70}
    calipers: {flange: fit}
fits:
  lid: {inside: jar.mouth, outside: LID.Flange, clearance: 1.5}
steps:
  wet: Set the pointer to {jar.INNER RIM.height wet}.
"""


def worked(form, **more):
    texts = {"specs/studio.yaml": STUDIO, "specs/clays/buff.yaml": CLAY, "specs/forms/jar.yaml": form}
    texts |= {f"specs/{path}.yaml": text for path, text in more.items()}
    project = read_project(texts)
    return project, *check_project(project)


def test_every_reference_is_spelt_as_it_was_declared():
    project, sheets, problems = worked(JAR)
    assert [problem.message for problem in problems] == []
    jar = project.forms["jar"].parts["Jar"]
    assert list(jar.wall) == ["foot", "Inner Rim"]
    assert (jar.fill_to, jar.calipers["Mouth"].level) == ("Inner Rim", "Inner Rim")
    assert (jar.bare[0].start, jar.bare[0].end) == ("foot", "Inner Rim")
    assert jar.throwing.gauge_at == ("Inner Rim",)
    fit = project.forms["jar"].fits["lid"]
    assert (fit.inside.said, fit.outside.said) == ("Jar.Mouth", "lid.flange")
    assert sheets["jar"].quoted("JAR.inner rim.diameter wet").key == "Jar.Inner Rim.diameter"


def test_names_of_other_forms_and_of_runs():
    other = JAR.split("steps:")[0].replace("inside: jar.mouth", "inside: jar/jar.MOUTH")
    other = other.replace("title: Jar", "title: Other").replace("Jar:", "Pot:")
    run = "form: jar\ndate: 2026-01-02\nballs: {JAR: 400 g}\nmeasured:\n  - {jar.Inner rim.diameter wet: [90.0]}\n"
    project, _, problems = worked(JAR, **{"forms/other": other, "runs/one": run})
    assert [problem.message for problem in problems] == []
    assert project.forms["other"].fits["lid"].inside.said == "jar/Jar.Mouth"
    assert list(project.runs["one"].balls) == ["Jar"]


def test_composed_and_decomposed_letters_are_one_name():
    nfc = JAR.replace("Inner Rim", "épaule").replace("inner  rim", "épaule").replace("inner rim", "épaule")
    nfc = nfc.replace("INNER RIM", "épaule").replace("inner RIM", "épaule")
    lines = nfc.splitlines(keepends=True)
    mixed = "".join(line if ": {height" in line else unicodedata.normalize("NFD", line) for line in lines)
    assert mixed != nfc
    assert [problem.message for problem in worked(mixed)[2]] == []


def test_two_names_that_are_one_are_refused():
    problems = worked(JAR.replace("      foot:", "      FOOT: {height: 0, diameter: 50}\n      foot:"))[2]
    assert ("repeated-key", "parts.Jar.outside: `foot` and `FOOT` on line 6 are one name") in [
        (problem.rule, problem.message) for problem in problems
    ]


def test_a_form_whose_names_are_right_is_the_very_same():
    form = worked(JAR)[0].forms["jar"]
    assert respelled_form(form) is form


def test_words_that_are_chosen_from_a_few_are_no_names():
    text = JAR.replace("tip:", "Down:").replace(
        "      Inner Rim:", "      Straight: {height: 70, diameter: 75}\n      Inner Rim:"
    )
    form = worked(text.replace("    floor: 5", "    floor: 5\n    line: straight"))[0].forms["jar"]
    assert form.parts["lid"].opens == "down"
    assert form.parts["Jar"].line == "straight"


@every(("word", "spelt"), [("Rim", "Rim"), ("rim", "rim"), ("RIM", "Rim"), ("ledge", "ledge")])
def test_exact_names_come_first(word, spelt):
    assert Declared(["rim", "Rim"]).spelling(word) == spelt
