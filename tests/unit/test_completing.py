"""Forms that are like others, resized, and thicknesses that are solved: numbers, and where problems point."""

import pytest
from wareboard.figures import checks
from wareboard.figures.completing import complete
from wareboard.text.projects import read_project

from tests.every import every

STUDIO = "title: Yard\ngauges: {mouth: 72 mm fired}\n"
CLAY = "title: Buff\ncone: 8\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\nloss_on_ignition: 6 %\n"
GLAZE = "title: Clear\ncone: 8\ncoat: 0.9 kg/m2\nfilm: 0.35 mm\nloss_on_ignition: 5 %\n"
CUP = """\
title: Cup
code: C-1
clay: buff
glaze: clear
parts:
  cup:
    outside:
      foot: {height: 0, diameter: 60}
      waist: {height: 30, diameter: 62}
      rim: {height: 90, diameter: 80}
    line: smooth
    wall: {foot: 5, rim: 3.5}
    floor: 5
    fill_to: 80
    holds: 240 ml
    calipers: {mouth: inside rim, ring: inside 70}
    throwing: {loss: 6 %, left_on: {wall: 1, floor: 3}, ball: 300 g}
    extras: {handle: {clay: 40 g, reach: 40, from: 70, to: 30}}
"""


def worked(studio=STUDIO, **forms):
    texts = {"specs/studio.yaml": studio, "specs/clays/buff.yaml": CLAY, "specs/glazes/clear.yaml": GLAZE}
    texts |= {f"specs/forms/{name}.yaml": text for name, text in forms.items()}
    return checks.check_project(read_project(texts))


def figures(sheet):
    return {(figure.key, figure.stage): figure.value for figure in sheet.figures}


def like(more, title="Other"):
    return f"title: {title}\nlike: cup\n{more}"


def test_a_form_like_another_has_its_figures_to_the_byte():
    sheets, problems = worked(cup=CUP, same=like(""), one=like("resized: {scale: 1}\n"))
    assert sheets["same"].figures == sheets["cup"].figures == sheets["one"].figures
    assert not [problem for problem in problems if problem.level == "error"]
    assert sheets["same"].form.code is None and sheets["same"].form.title == "Other"


@every(
    ("target", "key", "stage", "wanted"),
    [
        ("capacity: 150 ml", "cup.capacity.fill", "fired", 150.0),
        ("capacity: 150 ml, keep: [wall, floor]", "cup.capacity.fill", "fired", 150.0),
        ("capacity: 2 l, keep: wall", "cup.capacity.fill", "fired", 2000.0),
        ("ball: 500 g", "ball", "wet", 500.0),
        ("ball: 150 g, keep: [wall, floor, left_on]", "ball", "wet", 150.0),
        ("height: 60", "cup.height", "fired", 60.0),
        ("height: 120 mm wet", "cup.height", "wet", 120.0),
    ],
)
def test_resized_to(target, key, stage, wanted):
    sheets, problems = worked(cup=CUP, other=like(f"resized: {{{target}}}\n"))
    assert [problem for problem in problems if problem.level == "error"] == []
    assert sheets["other"].value(key, stage) == pytest.approx(wanted, rel=1e-6)


def test_all_lengths_go_with_the_scale_and_weights_with_its_cube():
    sheets, _ = worked(cup=CUP, other=like("resized: {scale: 1.5}\n"))
    small, large = figures(sheets["cup"]), figures(sheets["other"])
    for key, power in (
        ("cup.rim.diameter", 1), ("cup.wall.rim.thickness", 1), ("cup.ring", 1), ("cup.handle.reach", 1), ("cup.across", 1),
        ("cup.volume", 3), ("cup.handle.clay", 3), ("cup.mass", 3), ("cup.ball", 3), ("cup.area.outside", 2),
    ):  # fmt: skip
        stage = "fired" if (key, "fired") in small else "wet"
        assert large[key, stage] == pytest.approx(small[key, stage] * 1.5**power, rel=1e-9), key


def test_what_is_kept_is_kept_and_what_is_said_here_is_not_scaled():
    more = "resized: {scale: 0.8, keep: [wall, floor, left_on, ring, cup.waist]}\nparts: {cup: {fill_to: 70, outside: {rim: {diameter: 78}}}}\n"
    sheets, _ = worked(cup=CUP, other=like(more))
    cup, other = figures(sheets["cup"]), figures(sheets["other"])
    for key in ("cup.wall.foot.thickness", "cup.floor.thickness", "cup.ring", "cup.waist.height", "cup.waist.diameter"):
        assert other[key, "fired"] == cup[key, "fired"], key
    assert other["cup.rim.diameter", "fired"] == 78.0 and other["cup.rim.height", "fired"] == pytest.approx(72.0)
    assert sheets["other"].shapes["cup"].drop_mm == sheets["cup"].shapes["cup"].drop_mm
    assert sheets["other"].form.parts["cup"].fill_to.value == 70.0


def test_there_and_back():
    sheets, _ = worked(cup=CUP)
    held = sheets["cup"].value("cup.capacity.fill", "fired")
    big, _ = worked(cup=CUP.replace("90, d", "45, d").replace("80}", "40}").replace("30, d", "15, d").replace("60}", "30}").replace("62}", "31}")
                    .replace("foot: 5, rim: 3.5", "foot: 2.5, rim: 1.75").replace("floor: 5", "floor: 2.5").replace("fill_to: 80", "fill_to: 40"),
                    big=like(f"resized: {{capacity: {held:.9f} ml}}\n"))  # fmt: skip
    assert big["big"].value("cup.capacity.fill", "fired") == pytest.approx(held, rel=1e-7)
    assert big["big"].value("cup.rim.diameter", "fired") == pytest.approx(
        80.0, rel=2e-3
    )  # the glaze is as thick on both


def test_what_holds_for_one_size_alone_is_left_behind():
    sheets, problems = worked(cup=CUP, other=like("resized: {scale: 0.5}\n"))
    part = sheets["other"].form.parts["cup"]
    assert part.holds is None and part.throwing.ball is None
    assert not [p for p in problems if p.at.file.endswith("other.yaml")]


def test_a_problem_points_at_the_file_where_the_line_stands():
    _, problems = worked(cup=CUP, other=like("parts: {cup: {wall: 60}}\n"))
    faults = [problem for problem in problems if problem.level == "error"]
    assert [(fault.rule, fault.at.file, fault.at.line) for fault in faults] == [
        ("wall-too-thick", "specs/forms/other.yaml", 3)
    ]


def test_other_units_and_other_names():
    sheets, problems = worked(
        cup=CUP, other=like("unit: in\nparts: {cup: {outside: {rim: {diameter: 3.25}}, floor: 1/4}}\n")
    )
    assert [problem for problem in problems if problem.level == "error"] == []
    other = figures(sheets["other"])
    assert other["cup.rim.diameter", "fired"] == pytest.approx(82.55) and other["cup.rim.height", "fired"] == 90.0
    assert other["cup.floor.thickness", "fired"] == pytest.approx(6.35)


def test_inside_said_here_takes_the_place_of_a_wall():
    more = "parts: {cup: {inside: {floor: {height: 6, diameter: 40}, lip: {height: 90, diameter: 72}}}}\n"
    sheets, problems = worked(cup=CUP, other=like(more))
    assert [problem for problem in problems if problem.level == "error"] == []
    assert sheets["other"].form.parts["cup"].wall is None


def test_a_form_that_takes_a_size_from_a_resized_one():
    lid = "title: Plug\nclay: buff\nparts:\n  plug:\n    outside: {foot: {height: 0, diameter: d}, rim: {height: 20, diameter: d}}\n    calipers: {d: fit}\nfits:\n  plug: {inside: other/cup.mouth, outside: plug.d, clearance: {aim: 2}}\n"
    sheets, problems = worked(cup=CUP, other=like("resized: {scale: 0.5}\n"), plug=lid)
    assert "plug" in sheets, problems
    assert sheets["plug"].value("plug.d", "fired") == pytest.approx(
        sheets["other"].value("cup.mouth", "fired") - 2.0, abs=1e-9
    )


# ---- solved ----


def solved(more, glaze="glaze: clear\n"):
    form = CUP.replace("glaze: clear\n", glaze).replace(
        "    wall: {foot: 5, rim: 3.5}\n    floor: 5\n    fill_to: 80\n    holds: 240 ml\n", more
    )
    return worked(cup=form)


@every("floor", ["5", "solved"])
def test_a_wall_solved_by_weight(floor):
    sheets, problems = solved(f"    wall: solved\n    floor: {floor}\n    weighs: 260 g fired\n")
    assert [problem for problem in problems if problem.level == "error"] == []
    found = figures(sheets["cup"])
    assert found["cup.mass.glazed", "fired"] == pytest.approx(260.0, rel=1e-6)
    wall, floor_mm = found["cup.wall.thickness", "fired"], found["cup.floor.thickness", "fired"]
    assert floor_mm == pytest.approx(1.25 * wall if floor == "solved" else 5.0)


def test_a_wall_solved_by_weight_at_another_stage_and_without_glaze():
    sheets, _ = solved("    wall: solved\n    floor: 5\n    weighs: 330 g wet\n", glaze="")
    assert sheets["cup"].value("cup.mass", "wet") == pytest.approx(330.0, rel=1e-6)


def test_a_wall_solved_by_water():
    sheets, _ = solved("    wall: solved\n    floor: solved\n    holds: 250 ml\n")
    assert sheets["cup"].value("cup.capacity.fill", "fired") == pytest.approx(250.0, rel=1e-6)


def test_a_glaze_that_was_measured_on_the_form():
    sheets, _ = worked(cup=CUP, thick=like("glaze_film: 0.7 mm\n"), bare=like("glaze_film: 0.3 mm\n"))
    held = {slug: sheets[slug].value("cup.capacity.brim", "fired") for slug in sheets}
    wetted = held["cup"] - held["thick"]
    assert wetted == pytest.approx((held["bare"] - held["thick"]) * 0.35 / 0.4, rel=1e-6)
    alone = CUP.replace("glaze: clear\n", "glaze_film: 0.35 mm\n")
    sheets, problems = worked(cup=CUP, alone=alone.replace("C-1", "C-2"))
    assert sheets["alone"].value("cup.capacity.brim", "fired") == pytest.approx(held["cup"], rel=1e-9)
    film_g = sheets["alone"].value("cup.mass.glazed", "fired") - sheets["alone"].value("cup.mass", "fired")
    area_cm2 = sheets["alone"].value("cup.area.glazed", "bisque") * (0.88 / 0.94) ** 2
    assert film_g == pytest.approx(0.035 * area_cm2 * 2.5, rel=1e-6)


# ---- gauges ----


def test_a_gauge_is_the_size_wherever_it_is_named():
    gauged = CUP.replace("ring: inside 70", "ring: gauge mouth")
    sheets, problems = worked(cup=gauged, half=like("resized: {scale: 0.5}\n"))
    assert [problem for problem in problems if problem.level == "error"] == []
    assert sheets["cup"].value("cup.ring", "fired") == 72.0 == sheets["half"].value("cup.ring", "fired")


def test_a_section_that_comes_to_its_gauge():
    agrees = CUP.replace("mouth: inside rim", "mouth: {gauge: mouth, at: inside rim}")
    studio = STUDIO.replace("72 mm", "73 mm")
    sheets, problems = worked(studio, cup=agrees)
    assert sheets["cup"].value("cup.mouth", "fired") == 73.0 and not [p for p in problems if p.level == "error"]
    _, problems = worked(STUDIO.replace("72 mm", "74 mm"), cup=agrees)
    assert [problem.rule for problem in problems if problem.level == "error"] == ["gauge-differs"]


def test_nothing_to_do_costs_nothing():
    project = read_project({"specs/studio.yaml": STUDIO, "specs/clays/buff.yaml": CLAY, "specs/glazes/clear.yaml": GLAZE, "specs/forms/cup.yaml": CUP})  # fmt: skip
    assert complete(project)[0] is project
