"""Parts as solids: sizes brought to one stage, calipers and fits followed, what can't be."""

from math import pi

import pytest
from wareboard.figures.clays import make_body
from wareboard.figures.shapes import Outline, to_stage
from wareboard.figures.shaping import Shaper
from wareboard.pot import clay
from wareboard.pot.solids import revolved_volume_mm3
from wareboard.text.kinds import Size
from wareboard.text.problems import Impossible
from wareboard.text.projects import read_project

from tests.every import every

PLAIN = "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 4 %, dry: 5 %, fired: 10 %}\n"


def project_of(parts, *, clay_text=PLAIN, head="", tail="", **forms):
    texts = {"specs/studio.yaml": "title: Yard\n", "specs/clays/plain.yaml": clay_text}
    texts["specs/forms/pot.yaml"] = f"title: Pot\nclay: plain\n{head}parts:\n{parts}{tail}"
    texts |= {f"specs/forms/{slug}.yaml": text for slug, text in forms.items()}
    project = read_project(texts)
    assert not project.problems, project.problems
    return project


def shape_of(parts, name="pot", **more):
    project = project_of(parts, **more)
    return Shaper(project).shape(project.forms["pot"], name)


def problem_of(parts, name="pot", **more):
    with pytest.raises(Impossible) as caught:
        shape_of(parts, name, **more)
    problem = caught.value.problem
    assert str(caught.value) == problem.message and problem.level == "error"
    assert problem.at.file.startswith("specs/") and problem.at.line >= 1
    return problem


CUP = "  pot:\n    outside: {foot: {height: 0, diameter: 80}, rim: {height: 100, diameter: 80}}\n    wall: 4\n    floor: 6\n"
LID = """\
  pot:
    opens: down
    outside: {tip: {height: 0, diameter: 60}, edge: {height: 10, diameter: 60}, brow: {height: 10, diameter: 90}, top: {height: 18, diameter: 40}}
    inside: {lip: {height: 0, diameter: 50}, middle: {height: 8, diameter: 0}}
"""


# --- sizes through the stages -------------------------------------------------------------


def test_a_size_goes_by_its_own_stage():
    scale = {"wet": 1.0, "fired": 0.9, "dry": 0.95}.__getitem__
    bare, dry = Size(90.0, None, None, "90", None), Size(95.0, "dry", None, "95 mm dry", None)
    assert to_stage(bare, "fired", "fired", scale) == 90.0
    assert to_stage(bare, "fired", "wet", scale) == pytest.approx(100.0)
    assert to_stage(bare, "wet", "fired", scale) == pytest.approx(81.0)
    assert to_stage(dry, "fired", "fired", scale) == pytest.approx(90.0)
    assert to_stage(dry, "fired", "dry", scale) == 95.0


def test_shape_is_built_at_the_forms_stage_and_scaled_from_there():
    shape = shape_of(CUP, head="sizes: dry\n")
    assert shape.stage == "dry" and shape.outside == ((40.0, 0.0), (40.0, 100.0))
    assert shape.scale("wet") == pytest.approx((1 / 0.95, 1 / 0.95))
    assert shape.volume_scale("fired") == pytest.approx((0.9 / 0.95) ** 3)
    assert shape.scaled(((10.0, 20.0),), "fired") == (pytest.approx((10 * 0.9 / 0.95, 20 * 0.9 / 0.95)),)
    assert shape.volume_mm3 == pytest.approx(pi * (1600 * 100 - 36**2 * 94))


def test_a_vessel_as_finished_and_as_thrown():
    shape = shape_of(CUP + "    throwing: {left_on: {wall: 1 mm wet, floor: 3 mm wet}}\n")
    finished, thrown = shape.finished("wet"), shape.thrown("wet")
    assert finished.outside == (pytest.approx((40 / 0.9, 0)), pytest.approx((40 / 0.9, 100 / 0.9)))
    assert finished.stations == {"foot": pytest.approx((40 / 0.9, 0)), "rim": pytest.approx((40 / 0.9, 100 / 0.9))}
    assert not finished.upside_down
    assert thrown.stations["rim"] == pytest.approx((40 / 0.9 + 1, 100 / 0.9 + 3))
    assert thrown.stations["foot"] == pytest.approx((40 / 0.9 + 1, 3))
    assert min(height for _, height in thrown.outside) == pytest.approx(0.0)
    assert thrown.underside == ()
    assert thrown.inside == tuple(pytest.approx((r, z + 3)) for r, z in finished.inside)
    assert revolved_volume_mm3(thrown.ring) == pytest.approx(shape.thrown_volume_mm3)
    assert shape.left_on_mm == pytest.approx((0.96, 0.96)) and shape.drop_mm == pytest.approx(2.88)


def test_nothing_left_on_is_the_finished_part():
    shape = shape_of(CUP)
    assert (shape.left_on_mm.tolist(), shape.drop_mm) == ([0.0, 0.0], 0.0)
    assert shape.thrown_volume_mm3 == pytest.approx(shape.volume_mm3 / 0.729)
    assert shape.thrown("fired").outside == tuple(pytest.approx(point) for point in shape.outside)


def test_a_lid_stands_on_its_tip_when_used_and_on_its_top_when_thrown():
    shape = shape_of(LID)
    assert shape.opens_down and not shape.solid
    assert shape.outside == ((20.0, 0.0), (45.0, 8.0), (30.0, 8.0), (30.0, 18.0))
    assert shape.inside == ((0.0, 10.0), (25.0, 18.0))
    finished = shape.finished("fired")
    assert finished.outside == ((30.0, 0.0), (30.0, 10.0), (45.0, 10.0), (20.0, 18.0))
    assert finished.inside == ((25.0, 0.0), (0.0, 8.0))
    assert finished.stations == {"tip": (30.0, 0.0), "edge": (30.0, 10.0), "brow": (45.0, 10.0), "top": (20.0, 18.0)}
    assert finished.upside_down
    assert revolved_volume_mm3(finished.ring) == pytest.approx(shape.volume_mm3)
    assert set(finished.ring) == {(r, 18.0 - z) for r, z in shape.ring}
    assert shape.thrown("fired").stations["tip"] == pytest.approx((30.0, 18.0))


def test_a_lid_turned_over_keeps_its_ring():
    outline = Outline(((30.0, 0.0), (30.0, 10.0), (20.0, 18.0)), ((25.0, 0.0), (0.0, 8.0)), (), {}, True, 18.0)
    assert revolved_volume_mm3(outline.ring) == pytest.approx(pi * (900 * 10 + 8 / 3 * (900 + 600 + 400) - 625 * 8 / 3))


def test_heights_are_from_the_foot_wherever_it_is_typed():
    low = shape_of(CUP)
    high = shape_of(CUP.replace("height: 0", "height: 20").replace("height: 100", "height: 120"))
    assert high.outside == low.outside and high.inside == low.inside


def test_a_solid_part_has_no_inside():
    shape = shape_of("  pot: {outside: {foot: {height: 0, diameter: 20}, top: {height: 30, diameter: 10}}}\n")
    assert shape.solid and shape.inside == () and not shape.opens_down
    assert (shape.lowest_mm, shape.highest_mm, shape.foot_mm, shape.top_mm) == (0.0, 30.0, 0.0, 30.0)


def test_the_thinnest_wall_minds_no_base():
    pot = "  pot:\n    outside: {foot: {height: 0, diameter: 80}, rim: {height: 90, diameter: 80}}\n    wall: 5\n    floor: FLOOR\n"
    for floor, thinnest in (("3", 3.0), ("8", 5.0)):
        shape = shape_of(pot.replace("FLOOR", floor))
        assert (shape.thinnest.thickness_mm, shape.least_wall_mm) == (pytest.approx(thinnest), pytest.approx(5.0))


def test_parts_and_clays_are_made_once():
    project = project_of(CUP)
    shaper, form = Shaper(project), project.forms["pot"]
    assert shaper.shape(form, "pot") is shaper.shape(form, "pot")
    assert shaper.body(form) is shaper.body(form)


# --- calipers and fits --------------------------------------------------------------------


def caliper_of(parts, name, stage="fired", part="pot", **more):
    project = project_of(parts, **more)
    return Shaper(project).caliper_mm(project.forms["pot"], part, name, stage)


@every(
    "said, fired",
    [
        ("inside rim", 72.0),
        ("outside rim", 80.0),
        ("inside 71", 71.0),
        ("outside 90 mm wet", 81.0),
        ("inside 7.1 cm", 71.0),
    ],
)
def test_what_calipers_are_set_to(said, fired):
    parts = CUP + f"    calipers: {{mouth: {said}}}\n"
    assert caliper_of(parts, "mouth") == pytest.approx(fired)
    assert caliper_of(parts, "mouth", "wet") == pytest.approx(fired / 0.9)


def test_levels_of_one_outline_measured_on_the_other():
    parts = """\
  pot:
    outside: {foot: {height: 0, diameter: 60}, rim: {height: 100, diameter: 80}}
    inside: {floor: {height: 10, diameter: 40}, shelf: {height: 50, diameter: 50}, seat: {height: 50, diameter: 60}, lip: {height: 100, diameter: 70}}
    calipers: {at shelf: outside shelf, mouth: inside rim, ledge: inside shelf, seat: inside seat}
"""
    assert caliper_of(parts, "at shelf") == pytest.approx(70.0)
    assert caliper_of(parts, "mouth") == pytest.approx(70.0)
    assert (caliper_of(parts, "ledge"), caliper_of(parts, "seat")) == (50.0, 60.0)


def test_a_level_that_the_inside_does_not_reach():
    with pytest.raises(Impossible) as caught:
        caliper_of(CUP + "    calipers: {low: inside foot}\n", "low")
    assert caught.value.problem.rule == "no-size-there"
    assert "foot" in caught.value.problem.message and "0 mm" in caught.value.problem.message


@every("said", ["outside rim", "inside rim"])
def test_a_size_that_sets_itself(said):
    parts = (
        CUP.replace("height: 100, diameter: 80", "height: 100, diameter: mouth") + f"    calipers: {{mouth: {said}}}\n"
    )
    problem = problem_of(parts)
    assert problem.rule == "circular-fit" and "mouth" in problem.message


def test_two_fits_that_set_one_another():
    cup = CUP + "    calipers: {mouth: fit}\n"
    lid = "  lid:\n    outside: {foot: {height: 0, diameter: flange}, rim: {height: 10, diameter: 50}}\n    calipers: {flange: fit}\n"
    fits = "fits:\n  a: {inside: pot.mouth, outside: lid.flange, clearance: {aim: 1}}\n"
    assert problem_of(cup + lid, "lid", tail=fits).rule == "circular-fit"


def test_a_clearance_that_leaves_nothing():
    lid = "  lid:\n    outside: {foot: {height: 0, diameter: flange}, rim: {height: 10, diameter: 50}}\n    calipers: {flange: fit}\n"
    fits = "fits:\n  a: {inside: pot.mouth, outside: lid.flange, clearance: {aim: 72}}\n"
    problem = problem_of(CUP + "    calipers: {mouth: inside rim}\n" + lid, "lid", tail=fits)
    assert problem.rule == "fit-leaves-nothing" and problem.at.line == 13


def test_a_fault_is_met_again_and_not_worked_out_again():
    project = project_of(CUP.replace("wall: 4", "wall: 60"))
    shaper = Shaper(project)
    caught = []
    for _ in range(2):
        with pytest.raises(Impossible) as found:
            shaper.shape(project.forms["pot"], "pot")
        caught.append(found.value)
    assert caught[0] is caught[1]


# --- what can't be ------------------------------------------------------------------------

SMOOTH_TWINS = "  pot:\n    line: smooth\n    outside: {foot: {height: 0, diameter: 80}, belly: {height: 50, diameter: 90}, waist: {height: 50, diameter: 90}, rim: {height: 100, diameter: 80}}\n"


@every(
    "parts, rule, line, words",
    [
        (CUP.replace("wall: 4", "wall: 40"), "wall-too-thick", 6, ("40", "80 mm across", "foot", "100 mm high", "6")),
        (CUP.replace("floor: 6", "floor: 100"), "floor-too-thick", 7, ("100",)),
        (CUP.replace("rim: {", "waist: {height: 50, diameter: 7}, rim: {"), "wall-closes", 5, ("4", "closes")),
        (
            CUP.replace(
                "    wall: 4\n    floor: 6\n",
                "    inside: {floor: {height: 5, diameter: 90}, lip: {height: 100, diameter: 70}}\n",
            ),
            "outlines-cross",
            6,
            ("cross",),
        ),
        (
            "  pot: {outside: {a: {height: 0, diameter: 40}, b: {height: 40, diameter: 40}, c: {height: 20, diameter: 60}, d: {height: 20, diameter: 20}, e: {height: 60, diameter: 20}}}\n",
            "outline-crosses",
            4,
            ("crosses itself",),
        ),
        (
            "  pot: {outside: {a: {height: 5, diameter: 40}, b: {height: 5, diameter: 20}}}\n",
            "no-section",
            4,
            ("no clay",),
        ),
        (SMOOTH_TWINS, "stations-in-one-place", 6, ("waist", "belly")),
    ],
)
def test_outlines_that_cannot_be(parts, rule, line, words):
    problem = problem_of(parts)
    assert (problem.rule, problem.at.line) == (rule, line), problem
    assert all(word in problem.message for word in words), problem.message
    assert problem.message.startswith("parts.pot")


@every(
    "text, rule, line",
    [
        ("title: P\nwater: 20 %\nshrinkage: {dry: 6 %}\n", "no-shrinkage", 3),
        ("title: P\nwater: 20 %\nshrinkage:\n  leather-hard: 6 %\n  dry: 5 %\n  fired: 10 %\n", "shrinkage-falls", 5),
        ("title: P\nwater: 20 %\nshrinkage:\n  dry: 6 %\n  fired: 100 %\n", "out-of-range", 5),
        ("title: P\nwater: 20 %\nshrinkage:\n  dry: 17 %\n  fired: 20 %\n", "critical-water-below-zero", 4),
        ("title: P\nwater: 20 %\nshrinkage:\n  dry: 5 %\n  fired: 21 %\n", "bulk-over-grain", 5),
        ("title: P\nwater: 20 %\nshrinkage:\n  dry: 5 % of dry\n  fired: 10 %\n", "clay-cannot-be", 4),
    ],
)
def test_clays_that_cannot_be(text, rule, line):
    problem = problem_of(CUP, clay_text=text)
    assert (problem.rule, problem.at.line, problem.at.file) == (rule, line, "specs/clays/plain.yaml"), problem


def test_a_clays_numbers_go_into_its_body():
    text = "title: P\nwater: 25 %\ngrain_density: 2.7 g/cm3\ndensity: 1.8 g/cm3\nloss_on_ignition: 8 %\nheight_factor: 1.1\nshrinkage: {dry: 5 %, bisque: 5 %, fired: 5 % of dry}\nbars: [{wet: 10, leather-hard: 9.8}]\n"
    body = make_body(project_of(CUP, clay_text=text).clays["plain"])
    assert isinstance(body, clay.Body)
    assert body.shrinkage == pytest.approx((0.0, 0.02, 0.05, 0.05, 1 - 0.95 * 0.95))
    assert (
        body.water_share,
        body.grain_density_g_cm3,
        body.wet_density_g_cm3,
        body.loss_share,
        body.height_factor,
    ) == pytest.approx((0.25, 2.7, 1.8, 0.08, 1.1))
    assert body.assumed == frozenset() and body.bars_count == (1, 1, 0, 0, 0)
