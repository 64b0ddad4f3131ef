"""What a maker is told, and from which limit on; every rule is met on both sides of its limit."""

import pytest
from wareboard.figures import checks
from wareboard.figures.settings import as_set
from wareboard.text.problems import error
from wareboard.text.projects import read_project

from tests.every import every

STUDIO = "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.3 mm, out_of_round: 0.4 mm, shrinkage: 0.2 %}\n"
CLAY = "title: Buff\ncone: 8\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n"
GLAZE = "title: Clear\ncone: 8\ncoat: 0.9 kg/m2\nfilm: 0.35 mm\npint_weight: 1.45 g/ml\n"
CUP = """\
title: Cup
clay: buff
glaze: clear
parts:
  cup:
    outside:
      foot: {height: 0, diameter: 60}
      rim: {height: 90, diameter: 80}
    wall: 4
    floor: 5
"""
JAR = """\
title: Jar
clay: buff
glaze: clear
parts:
  jar:
    outside:
      foot: {height: 0, diameter: 80}
      rim: {height: 90, diameter: 80}
    wall: 4
    floor: 5
    calipers: {mouth: inside rim}
  lid:
    opens: down
    outside:
      tip: {height: 0, diameter: flange}
      step: {height: 12, diameter: flange}
      edge: {height: 12, diameter: 80}
      top: {height: 20, diameter: 80}
    wall: 4
    floor: 5
    calipers: {flange: fit}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.6, least: 0.3, most: 3}
"""


def look_over(form, *, studio=STUDIO, clay=CLAY, glaze=GLAZE, **more):
    """The sheet of a form and all problems of its studio."""
    texts = {
        "specs/studio.yaml": studio,
        "specs/clays/buff.yaml": clay,
        "specs/glazes/clear.yaml": glaze,
        "specs/forms/pot.yaml": form,
    }
    texts |= {f"specs/{path.replace('__', '/')}.yaml": text for path, text in more.items()}
    sheets, problems = checks.check_project(read_project(texts))
    return sheets.get("pot"), problems


def rules_of(form, **more):
    return [problem.rule for problem in look_over(form, **more)[1]]


def said_of(form, **more):
    problems = look_over(form, **more)[1]
    assert len(problems) == 1, problems
    return problems[0].message, problems[0].hint


def changed(form, *pairs):
    for old, new in pairs:
        assert old in form
        form = form.replace(old, new)
    return form


def test_sound_forms():
    assert rules_of(CUP) == rules_of(JAR) == []


# ---- one rule after another ----


@every(("wall", "found"), [("2 mm", []), ("1.99 mm", ["thin-wall"]), ("2.2 mm wet", ["thin-wall"]), ("2.3 mm wet", [])])
def test_thin_wall(wall, found):
    assert rules_of(changed(CUP, ("wall: 4", f"wall: {wall}"))) == found


def test_thin_wall_has_the_studios_limit_and_points_at_the_thinnest():
    form = changed(CUP, ("wall: 4", "wall: {foot: 4, rim: 2.4}"))
    assert rules_of(form) == []
    _, problems = look_over(form, studio=STUDIO + "least_wall: 2.5 mm\n")
    assert [(problem.rule, problem.at.line, problem.at.column) for problem in problems] == [("thin-wall", 9, 26)]
    assert (
        problems[0].message
        == "parts.cup: 2.4 mm of clay at its thinnest, near `rim`, 90 mm up, fired; the studio's least is 2.5 mm"
    )


def test_thin_floor():
    assert rules_of(changed(CUP, ("floor: 5", "floor: 1.5"))) == ["thin-wall"]


def test_ball_differs_by_a_tenth():
    ball = look_over(CUP)[0].value("cup.ball", "wet")
    for share, found in ((1.09, []), (0.91, []), (1.11, ["ball-differs"]), (0.89, ["ball-differs"])):
        assert rules_of(CUP + f"    throwing: {{ball: {ball * share:.1f} g}}\n") == found
    message, _ = said_of(CUP + f"    throwing: {{ball: {ball * 1.5:.0f} g}}\n")
    assert (
        message
        == f"parts.cup.throwing.ball: {ball * 1.5:.0f} g is 50 % more than the {ball:.0f} g that the section comes to"
    )


def test_capacity_missed_by_a_twentieth():
    held = look_over(CUP)[0].value("cup.capacity.fill", "fired")
    for share, found in ((1.04, []), (0.96, []), (1.06, ["capacity-missed"]), (0.94, ["capacity-missed"])):
        assert rules_of(CUP + f"    holds: {held * share:.2f} ml\n") == found


def test_the_hint_to_a_missed_capacity_is_right():
    """Every inside size times the factor holds what was stated: a capacity goes with the cube."""
    inside = "    inside: {{base: {{height: {0}, diameter: {1}}}, lip: {{height: {2}, diameter: {3}}}}}\n"
    form = changed(CUP, ("    wall: 4\n    floor: 5\n", ""), ("glaze: clear\n", ""))
    outside = (("height: 90, diameter: 80", "height: 120, diameter: 100"), ("diameter: 60", "diameter: 90"))
    small = changed(form, *outside) + inside.format(20, 40, 120, 60) + "    holds: 250 ml\n"
    _, hint = said_of(small)
    factor = float(hint.split("×")[1].split()[0])
    fitted = changed(form, ("height: 90, diameter: 80", "height: 150, diameter: 100"), ("diameter: 60", "diameter: 90"))
    grown = fitted.replace("height: 150", f"height: {20 + 100 * factor}") + inside.format(
        20, 40 * factor, 20 + 100 * factor, 60 * factor
    )
    assert look_over(grown)[0].value("cup.capacity.brim", "fired") == pytest.approx(250.0, rel=2e-3)


def test_what_holds_nothing_cannot_hold():
    solid = changed(CUP, ("    wall: 4\n    floor: 5\n", "    holds: 100 ml\n"))
    assert said_of(solid) == (
        "parts.cup.holds: 100 ml is stated, but the part holds nothing",
        "only a hollow part that opens up has a capacity",
    )


@every(("cone", "found"), [("8", []), ("cone 8", []), ("Cone8", []), ("6", ["cones-differ"]), ("08", ["cones-differ"])])
def test_cones_differ(cone, found):
    assert rules_of(CUP, glaze=GLAZE.replace("cone: 8", f"cone: {cone}")) == found


def test_top_heavy():
    tall = changed(CUP, ("height: 90", "height: 160"))
    assert rules_of(changed(tall, ("diameter: 60", "diameter: 20"))) == ["top-heavy"]
    assert rules_of(changed(tall, ("diameter: 60", "diameter: 40"))) == []


def test_a_lid_is_not_tipped():
    assert (
        rules_of(
            changed(
                JAR,
                ("top: {height: 20, diameter: 80}", "top: {height: 70, diameter: 24}"),
            )
        )
        == []
    )


def test_fit_negative():
    aimed = changed(JAR, ("{aim: 1.6, least: 0.3, most: 3}", "{aim: 1 wet}"))
    assert rules_of(aimed) == []
    message, hint = said_of(changed(aimed, ("    clearance", "    glazed: both\n    clearance")))
    assert message == "fits.lid: the clearance is -0.5 mm fired; it will not go in when fired"
    assert hint == "raise the aim, or leave the faces bare"


def test_fit_misses_aim():
    given = changed(
        JAR, ("{aim: 1.6, least: 0.3, most: 3}", "{aim: 1.6}"), ("{flange: fit}", "{flange: outside 70.31}")
    )
    assert rules_of(given) == []
    assert rules_of(changed(given, ("70.31", "70.2"))) == ["fit-misses-aim"]


def test_fit_of_two_clays():
    lid = CUP.replace("wall: 4", "calipers: {flange: outside 70.4}\n    wall: 4")
    form = changed(
        JAR,
        ("outside: lid.flange", "outside: other/cup.flange"),
        ("{flange: fit}", "{flange: outside tip}"),
        ("diameter: flange", "diameter: 70"),
        ("{aim: 1.6, least: 0.3, most: 3}", "{aim: 1.6}"),
    )
    assert rules_of(form, forms__other=lid) == []
    red = CLAY.replace("Buff", "Red")
    assert rules_of(form, forms__other=lid.replace("clay: buff", "clay: red"), clays__red=red) == ["fit-of-two-clays"]


@every(("aim", "found"), [(0.6, "fit-binds"), (2.7, "fit-loose")])
def test_following_the_hint_mends_the_fit(aim, found):
    form = changed(JAR, ("aim: 1.6", f"aim: {aim}"))
    _, problems = look_over(form)
    assert [problem.rule for problem in problems] == [found]
    mended = problems[0].hint.split("an aim of ")[1].split(" mm")[0]
    assert rules_of(changed(form, (f"aim: {aim}", f"aim: {mended}"))) == []


def test_the_studios_limit_of_a_fit():
    form = changed(JAR, ("aim: 1.6", "aim: 0.6"))
    share = as_set(look_over(form)[0]).value("fit.lid.binds", "fired")
    assert "fit-binds" in rules_of(form, studio=STUDIO + f"fit_limit: {share - 1:.1f} %\n")
    assert "fit-binds" not in rules_of(form, studio=STUDIO + f"fit_limit: {share + 1:.1f} %\n")


@every("ruler", ["0.5 mm", "1 mm"])
def test_a_fit_is_judged_as_it_is_made_to_its_settings(ruler):
    """The share that the rule tells is the one that pages and cards show, whatever the tools' steps do to it."""
    tools = STUDIO + f"steps: {{ruler: {ruler}}}\nunits: metric first\n"
    sheet, problems = look_over(changed(JAR, ("aim: 1.6", "aim: 0.6")), studio=tools)
    (told,) = [problem for problem in problems if problem.rule == "fit-binds"]
    share = as_set(sheet).value("fit.lid.binds", "fired")
    assert f"fits.lid: {share:.1f} % bind" in told.message
    assert abs(share - sheet.value("fit.lid.binds", "fired")) > 1.0


def test_weight_and_capacity_are_judged_as_they_are_made():
    stated = changed(CUP, ("glaze: clear\n", "")) + "    weighs: 500 g fired\n    holds: 900 ml\n"
    sheet, problems = look_over(stated)
    made = as_set(sheet)
    assert made.value("cup.mass", "fired") != sheet.value("cup.mass", "fired")
    said = " ".join(problem.message for problem in problems)
    assert f"it weighs {made.value('cup.mass', 'fired'):.0f} g" in said
    assert f"it holds {made.value('cup.capacity.fill', 'fired'):.0f} ml" in said


def test_a_fit_without_spreads_is_not_judged():
    assert rules_of(changed(JAR, ("aim: 1.6", "aim: 0.6")), studio="title: Yard\n") == []


@every(
    ("film", "found"),
    [
        ("0.35 mm", []),
        ("0.18 mm", []),
        ("1.03 mm", []),
        ("0.17 mm", ["film-and-coat"]),
        ("1.05 mm", ["film-and-coat"]),
        ("0", []),
    ],
)
def test_film_and_coat(film, found):
    assert rules_of(changed(CUP, ("wall: 4", "wall: 6")), glaze=GLAZE.replace("0.35 mm", film)) == found


@every(
    ("quote", "hint"),
    [
        ("cup.pointer.height wet", None),
        ("cup.ball.set", None),
        (" cup.ball  wet ", None),
        (
            "cup.rim.diameter",
            "say the stage: `cup.rim.diameter wet`, `cup.rim.diameter leather-hard`, `cup.rim.diameter dry`, `cup.rim.diameter bisque`, `cup.rim.diameter fired`",
        ),
        ("cup.rim.diametre wet", "did you mean `cup.rim.diameter wet`?"),
        ("xyz", "`wareboard derive pot` lists them"),
    ],
)
def test_unknown_figure(quote, hint):
    form = CUP + f"steps:\n  wet:\n    - Weigh {{{quote}}} out.\n"
    if hint is None:
        assert rules_of(form) == []
    else:
        message, said = said_of(form)
        assert message == f"steps.wet: there is no figure `{quote}`"
        assert said == hint


# ---- runs ----

RUN = "form: pot\ndate: 2026-03-14\nmeasured:\n  - {cup.rim.diameter wet: [91.0, 3 1/2 in]}\n"


def test_a_sound_run():
    assert rules_of(CUP, runs__a=RUN) == []


@every(
    ("old", "new", "rule", "column"),
    [
        ("cup.rim.diameter wet", "cup.brim.diameter wet", "unknown-figure", 6),
        ("cup.rim.diameter wet", "cup.rim.diameter", "unknown-figure", 6),
        ("91.0", "91,0 mm", "unreadable-size", 29),
        ("3 1/2 in", "3 oz", "unreadable-size", 35),
    ],
)
def test_what_a_run_measured_that_cannot_be(old, new, rule, column):
    _, problems = look_over(CUP, runs__a=changed(RUN, (old, f'"{new}"' if "," in new else new)))
    assert [(problem.rule, problem.at.line, problem.at.column) for problem in problems] == [(rule, 4, column)]


@every("key", ["cup.volume wet", "cup.area.inside fired", "cup.capacity.brim fired", "clay.density wet"])
def test_a_run_is_read_in_the_unit_of_the_figure_that_it_names(key):
    """Two values that are no such size, each told at its place; two that are."""
    run = f"form: pot\ndate: 2026-03-14\nmeasured:\n  - {{{key}: [banana, 3 kg, 190]}}\n"
    _, problems = look_over(CUP, runs__a=run)
    first = len(f"  - {{{key}: [") + 1
    assert [(found.rule, found.at.line, found.at.column) for found in problems] == [
        ("unreadable-size", 4, first), ("unreadable-size", 4, first + len("banana, ")),
    ]  # fmt: skip


# ---- the whole studio ----


def test_every_problem_of_a_studio_at_once_in_file_order():
    jar = changed(JAR, ("inside rim", "inside brim"), ("title: Jar", "title: <Jar>"))
    _, problems = look_over(
        changed(CUP, ("wall: 4", "wall: 1")),
        forms__jar=jar,
        runs__a=RUN.replace("91.0", "ten"),
        glaze=GLAZE.replace("cone: 8", "cone: 6"),
    )
    assert [(problem.at.file.split("/")[-1], problem.rule) for problem in problems] == [
        ("jar.yaml", "odd-name"), ("jar.yaml", "unknown-station"), ("pot.yaml", "cones-differ"), ("pot.yaml", "thin-wall"), ("a.yaml", "unreadable-size"),
    ]  # fmt: skip


def test_every_part_that_cannot_be_is_named():
    two = CUP + "  other:\n" + CUP.split("  cup:\n")[1]
    assert rules_of(two.replace("wall: 4", "wall: 45")) == ["wall-too-thick", "wall-too-thick"]
    assert rules_of(two.replace("floor: 5", "floor: 5\n    fill_to: 95")) == ["fill-over-brim", "fill-over-brim"]


def test_a_part_that_cannot_be_is_named_once_though_another_leans_on_it():
    assert rules_of(
        changed(JAR, ("wall: 4\n    floor: 5\n    calipers: {mouth", "wall: 45\n    floor: 5\n    calipers: {mouth"))
    ) == ["wall-too-thick"]


def test_a_faulty_clay_is_said_once_and_its_forms_wait():
    sheet, problems = look_over(CUP, clay=CLAY.replace("dry: 6 %", "dry: 60 %"), forms__jar=JAR)
    assert sheet is None
    assert [problem.at.file for problem in problems] == ["specs/clays/buff.yaml"]


def test_a_clay_that_is_odd_is_worked_out_all_the_same():
    sheet, problems = look_over(CUP, clay=CLAY + "density: 2.1 g/cm3\n")
    assert sheet.value("cup.ball", "wet") > 0.0
    assert [(problem.level, problem.rule) for problem in problems] == [("warning", "denser-than-saturated")]


def test_what_is_wrong_with_a_clay_points_at_its_cause():
    bars = "title: Buff\nwater: 21 %\nbars:\n  - {wet: 100, dry: 94, fired: 88}\n  - {wet: 100, dry: 149, fired: 88}\n"
    _, problems = look_over(CUP, clay=bars)
    assert [(problem.rule, problem.at.line, problem.at.column) for problem in problems] == [("out-of-range", 5, 21)]
    assert problems[0].message == "a shrinkage of -21.5 % at dry cannot be; it is 0 % or more"


def test_what_rules_say_is_a_problem_of_the_sheet_too():
    sheet, problems = look_over(changed(CUP, ("wall: 4", "wall: 1")))
    assert list(sheet.problems) == problems


def test_problems_do_not_stop_other_rules(monkeypatch):
    def always_odd(sheet, project):
        yield error("always-odd", sheet.form.at, "odd")

    monkeypatch.setattr(checks, "RULES", (*checks.RULES, always_odd))
    assert rules_of(changed(CUP, ("wall: 4", "wall: 1"))) == ["always-odd", "thin-wall"]


def test_a_strap_of_no_length_is_compared_with_nothing():
    strap = "    extras: {handle: {clay: 45 g, strap: {length: 0, width: 20, thickness: 8}}}\n"
    assert look_over(CUP + strap)
