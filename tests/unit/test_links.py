"""Names that lead nowhere, and which forms can be worked out at all."""

from wareboard.text import links
from wareboard.text.projects import read_project

from tests.every import every

STUDIO = {
    "specs/studio.yaml": "title: Yard\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
}
JAR = """\
title: Jar
code: J-1
clay: buff
parts:
  jar:
    outside:
      foot: {height: 0, diameter: 80}
      rim: {height: 90, diameter: 80}
    wall: 4
    floor: 5
    fill_to: rim
    bare: foot to rim
    calipers: {mouth: inside rim}
    throwing: {gauge_at: rim}
  lid:
    opens: down
    outside:
      tip: {height: 0, diameter: flange}
      top: {height: 20, diameter: flange}
    calipers: {flange: fit}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.6}
"""


def project_of(**forms):
    return read_project(STUDIO | {f"specs/forms/{slug.replace('_', '-')}.yaml": text for slug, text in forms.items()})


def said_of(**forms):
    """Rule, line and the word that the place points at, of everything that is said."""
    project = project_of(**forms)
    lines = {f"specs/forms/{slug.replace('_', '-')}.yaml": text.splitlines() for slug, text in forms.items()}
    found = []
    for problem in links.check_links(project):
        line = lines[problem.at.file][problem.at.line - 1]
        found.append((problem.rule, problem.at.line, line[problem.at.column - 1 :][: problem.at.width]))
    return found


def changed(*pairs):
    text = JAR
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def test_a_sound_form():
    assert said_of(jar=JAR) == []


@every(
    ("old", "new", "found"),
    [
        ("clay: buff", "clay: biff", [("unknown-slug", 3, "biff")]),
        ("clay: buff", "clay: buff\nglaze: clear", [("unknown-slug", 4, "clear")]),
        ("fill_to: rim", "fill_to: brim", [("unknown-station", 11, "brim")]),
        ("foot to rim", "foot to brim", [("unknown-station", 12, "brim")]),
        ("foot to rim", "feet to brim", [("unknown-station", 12, "feet"), ("unknown-station", 12, "brim")]),
        ("foot to rim", "[none, outside]", [("none-and-more", 12, "none")]),
        ("inside rim", "inside brim", [("unknown-station", 13, "brim")]),
        ("gauge_at: rim", "gauge_at: [rim, brim]", [("unknown-station", 14, "brim")]),
        ("wall: 4", "wall: {foot: 5, brim: 4}", [("unknown-station", 9, "brim")]),
        ("wall: 4", "wall: {}", [("no-value", 6, "outside")]),
        ("diameter: 80}\n      rim", "diameter: ring}\n      rim", [("unknown-caliper", 7, "ring")]),
        ("    wall: 4\n", "", [("half-a-wall", 9, "5")]),
        ("    floor: 5\n", "", [("half-a-wall", 9, "4")]),
        ("    wall: 4\n    floor: 5\n", "", [("no-inside", 11, "inside rim")]),
        (
            "    floor: 5\n",
            "    inside: {base: {height: 5, diameter: 70}, lip: {height: 90, diameter: 72}}\n",
            [("inside-and-wall", 10, "base")],
        ),
        (
            "    wall: 4\n    floor: 5\n",
            "    inside: {lip: {height: 90, diameter: 72}}\n",
            [("too-few-stations", 9, "lip")],
        ),
        (
            "    wall: 4\n",
            "    wall: 4\n    underside: {edge: {height: 0, diameter: 40}}\n",
            [("too-few-stations", 10, "edge")],
        ),
        (
            "      foot: {height: 0, diameter: 80}\n",
            "",
            [("too-few-stations", 7, "rim"), ("unknown-station", 11, "foot")],
        ),
        (
            "      top: {height: 20, diameter: flange}",
            "      top: {height: 20, diameter: flange}\n    underside: {a: {height: 0, diameter: 0}, b: {height: 0, diameter: 9}}",
            [("underside-of-lid", 20, "a")],
        ),
        ("jar.mouth", "pot.mouth", [("unknown-part", 23, "pot")]),
        ("jar.mouth", "jar.bore", [("unknown-caliper", 23, "bore")]),
        ("jar.mouth", "other/jar.mouth", [("unknown-slug", 23, "other")]),
        ("mouth: inside rim", "mouth: fit", [("fit-without-size", 23, "inside")]),
        (
            "outside: lid.flange",
            "outside: lid.other",
            [("fit-without-fit", 20, "fit"), ("unknown-caliper", 24, "other")],
        ),
        (
            "fits:\n",
            "fits:\n  two: {inside: jar.mouth, outside: lid.flange, clearance: {aim: 1}}\n",
            [("set-twice", 20, "fit")],
        ),
    ],
)
def test_what_is_found_and_where(old, new, found):
    assert sorted(said_of(jar=changed((old, new)))) == sorted(found)


def test_parts_are_wanted():
    assert said_of(jar="title: Jar\nclay: buff\nparts: {}\n") == [("no-parts", 1, "title")]


def test_names_near_and_far():
    near, far = (
        links.check_links(project_of(jar=changed(("fill_to: rim", f"fill_to: {word}"))))[0].hint
        for word in ("rimm", "xyz")
    )
    assert (near, far) == ("did you mean `rim`?", "there are foot and rim")
    assert (
        links.check_links(project_of(jar=changed(("diameter: 80}\n      rim", "diameter: xyz}\n      rim"))))[0].hint
        == "there is mouth"
    )


def test_codes_are_one_to_a_form_whatever_the_case():
    mug = JAR.replace("title: Jar", "title: Mug").replace("J-1", "j-1")
    assert said_of(jar=JAR, mug=mug) == [("repeated-code", 2, "j-1")]
    assert said_of(jar=JAR, mug=mug.replace("clay:", "caly:")) == [("repeated-code", 2, "j-1")]


def test_a_run_names_a_form_and_its_parts():
    project = read_project(
        STUDIO
        | {
            "specs/forms/jar.yaml": JAR,
            "specs/runs/a.yaml": "form: jra\ndate: 2026-01-01\n",
            "specs/runs/b.yaml": "form: jar\ndate: 2026-01-01\nballs: {lit: 4 g}\n",
        }
    )
    assert [(problem.rule, problem.at.file[-6:], problem.hint) for problem in links.check_links(project)] == [
        ("unknown-slug", "a.yaml", "did you mean `jar`?"), ("unknown-part", "b.yaml", "did you mean `lid`?"),
    ]  # fmt: skip


def test_one_slip_hides_no_other_in_the_same_file():
    bad = changed(
        ("title: Jar", "titel: Jar"),
        ("fill_to: rim", "fill_to: brim"),
        ("clay: buff", "clay: biff"),
        ("gauge_at", "guage_at"),
    )
    assert {problem.rule for problem in project_of(jar=bad).problems} == {"unknown-key"}
    assert said_of(jar=bad) == [("unknown-slug", 3, "biff"), ("unknown-station", 11, "brim")]


@every(
    ("old", "new"),
    [
        ("rim: {height: 90, diameter: 80}", "rim: {height: 90 pots, diameter: 80}"),
        ("rim: {height: 90, diameter: 80}", "rim: 80"),
        ("    outside:\n      foot", "    xyzzy:\n      foot"),
        ("{mouth: inside rim}", "{mouth: by eye}"),
        ("wall: 4", "wall: thick"),
        ("jar.mouth", "mouth"),
        ("  lid:\n    opens", "  ball:\n    opens"),
        ("calipers: {mouth: inside rim}", "zzz: {mouth: inside rim}"),
    ],
)
def test_nothing_follows_on_from_what_could_not_be_read(old, new):
    bad = changed((old, new)).replace("lid.flange", "ball.flange" if "ball" in new else "lid.flange")
    assert project_of(jar=bad).problems
    assert said_of(jar=bad) == []


# ---- which forms can be worked out ----

SAUCER = """\
title: Saucer
clay: buff
parts:
  well:
    outside: {foot: {height: 0, diameter: 90}, rim: {height: 20, diameter: 150}}
    wall: 4
    floor: 5
    calipers: {ring: inside rim}
fits:
  cup: {inside: well.ring, outside: jar/lid.flange, clearance: {aim: 1}}
"""


def test_other_forms():
    forms = project_of(jar=JAR, saucer=SAUCER).forms
    assert links.other_forms(forms["jar"]) == set()
    assert links.other_forms(forms["saucer"]) == {"jar"}


@every(
    ("faulty", "possible"),
    [
        ((), {"jar", "saucer", "tray"}),
        (("specs/forms/tray.yaml",), {"jar", "saucer"}),
        (("specs/forms/jar.yaml",), set()),
        (("specs/clays/buff.yaml",), set()),
        (("specs/studio.yaml",), {"jar", "saucer", "tray"}),
    ],
)
def test_what_leans_on_a_fault_is_not_worked_out(faulty, possible):
    tray = SAUCER.replace("Saucer", "Tray").replace("jar/lid.flange", "saucer/well.ring")
    project = project_of(jar=JAR, saucer=SAUCER, tray=tray)
    assert {slug for slug, form in project.forms.items() if links.can_be_worked_out(form, project, faulty)} == possible


def test_a_file_that_cannot_be_read_is_said_once_and_nothing_leans_on_it():
    project = read_project(
        STUDIO
        | {
            "specs/clays/buff.yaml": "title: Buff\nwater: wet\n",
            "specs/forms/jar.yaml": JAR,
            "specs/forms/saucer.yaml": SAUCER,
        }
    )
    assert [problem.rule for problem in project.problems] == ["unreadable-size"]
    assert links.check_links(project) == []
    assert not any(links.can_be_worked_out(form, project, ()) for form in project.forms.values())
