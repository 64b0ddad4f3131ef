"""The figures of one part: what is named, what is left out, and what a maker is told of them."""

from math import pi

import pytest
from wareboard.figures.built import brim_mm, fill_level_mm
from wareboard.figures.figure import place
from wareboard.figures.parts import (
    tip_angle_deg,
)
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import make_sheet
from wareboard.text.problems import Impossible, Position
from wareboard.text.projects import read_project
from wareboard.text.studio_specs import Studio

from tests.every import every

CLAY = "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 4 %, dry: 5 %, fired: 10 %}\n"
CUP = "  cup:\n    outside: {foot: {height: 0, diameter: 80}, waist: {height: 40, diameter: 80}, rim: {height: 100, diameter: 80}}\n    wall: 4\n    floor: 6\n"
LID = "  lid:\n    opens: down\n    outside: {tip: {height: 0, diameter: 60}, top: {height: 10, diameter: 60}}\n    wall: 4\n    floor: 4\n"
KNOB = "  knob:\n    outside: {base: {height: 0, diameter: 10}, top: {height: 20, diameter: 20}}\n"


def project_of(parts, head="", studio="title: Yard\n", glaze="title: Clear\n"):
    texts = {"specs/studio.yaml": studio, "specs/clays/plain.yaml": CLAY, "specs/glazes/clear.yaml": glaze}
    texts["specs/forms/pot.yaml"] = f"title: Pot\nclay: plain\n{head}parts:\n{parts}"
    project = read_project(texts)
    assert not project.problems, project.problems
    return project


def sheet_of(parts, **more):
    project = project_of(parts, **more)
    sheet = make_sheet(project.forms["pot"], project)
    assert not sheet.problems, sheet.problems
    return sheet


def shape_of(parts, name):
    project = project_of(parts)
    return project.forms["pot"], Shaper(project).shape(project.forms["pot"], name)


def test_place_is_file_and_line():
    assert place(Position("specs/a.yaml", 7, 3)) == "specs/a.yaml:7"


def test_pointer_is_set_at_the_open_end_unless_said():
    assert shape_of(CUP, "cup")[1].part.gauge_stations == ("rim",)
    assert shape_of(LID, "lid")[1].part.gauge_stations == ("tip",)
    assert shape_of(CUP + "    throwing: {gauge_at: [waist, rim]}\n", "cup")[1].part.gauge_stations == ("waist", "rim")
    assert shape_of(CUP + "    throwing: {loss: 5 %}\n", "cup")[1].part.gauge_stations == ("rim",)


def test_one_gauge_has_no_name_and_several_have():
    one = sheet_of(CUP + "    throwing: {gauge_at: waist}\n")
    assert one.value("cup.pointer.height", "wet") == pytest.approx(40 / 0.9)
    several = sheet_of(CUP + "    throwing: {gauge_at: [waist, rim]}\n")
    assert several.find("cup.pointer.height", "wet") is None
    assert several.value("cup.pointer.waist.height", "wet") == pytest.approx(40 / 0.9)


def test_how_says_what_a_pointer_counts_in():
    figure = sheet_of(CUP, studio="title: Yard\nbat: 12 mm\n").find("cup.pointer.height", "wet")
    assert "12 mm bat" in figure.how and "above the thrown foot" in figure.how
    assert "closed end" in sheet_of(LID).find("lid.pointer.height", "wet").how
    assert "bat" not in sheet_of(CUP).find("cup.pointer.height", "wet").how


def test_what_a_solid_part_and_a_lid_do_not_have():
    sheet = sheet_of(CUP + LID + KNOB)
    held = {name for name in ("cup", "lid", "knob") if sheet.find(f"{name}.capacity.brim", "fired")}
    assert (
        held
        == {"cup"}
        == {name for name in ("cup", "lid", "knob") if sheet.find(f"{name}.centre_of_mass.full", "fired")}
    )
    assert sheet.value("knob.area.inside", "fired") == 0.0
    assert all(sheet.find(f"{name}.centre_of_mass", "fired") for name in ("cup", "lid", "knob"))


def test_brim_and_fill():
    form, shape = shape_of(CUP + "    fill_to: 60\n", "cup")
    assert (brim_mm(shape), fill_level_mm(shape, Studio())) == (100.0, 60.0)
    form, shape = shape_of(CUP, "cup")
    assert fill_level_mm(shape, Studio()) == 100.0
    low = CUP.replace(
        "    wall: 4\n    floor: 6\n",
        "    inside: {floor: {height: 6, diameter: 60}, lip: {height: 97, diameter: 70}}\n",
    )
    assert brim_mm(shape_of(low, "cup")[1]) == 97.0
    parts = (
        CUP.replace("height: 0", "height: 10").replace("height: 40", "height: 50").replace("height: 100", "height: 110")
    )
    form, shape = shape_of(parts + "    fill_to: waist\n", "cup")
    assert fill_level_mm(shape, Studio()) == pytest.approx(40.0)


def test_a_fill_line_over_the_brim():
    project = project_of(CUP + "    fill_to: 101\n")
    sheet = make_sheet(project.forms["pot"], project)
    (problem,) = sheet.problems
    assert (problem.rule, problem.at.line, sheet.figures) == ("fill-over-brim", 8, ())
    assert "101 mm" in problem.message and "100 mm" in problem.message
    shape = Shaper(project).shape(project.forms["pot"], "cup")
    with pytest.raises(Impossible):
        fill_level_mm(shape, Studio())


def test_no_coat_no_glazed_weight():
    bare = sheet_of(CUP, head="glaze: clear\n", glaze="title: Clear\nfilm: 0\n")
    assert bare.find("cup.mass.glazed", "fired") is None and bare.find("glaze.dry") is None
    assert bare.value("cup.capacity.brim", "fired") == pytest.approx(pi * 36**2 * 94 / 1000)
    coated = sheet_of(CUP, head="glaze: clear\n", glaze="title: Clear\ncoat: 1 kg/m2\n")
    assert coated.find("glaze.dry") and coated.find("glaze.slop") is None
    assert sheet_of(CUP, glaze="title: Clear\ncoat: 1 kg/m2\n").find("glaze.dry") is None  # the form names no glaze


def test_what_is_not_given_is_taken_from_common_practice_and_told():
    sheet = sheet_of(CUP, head="glaze: clear\n", glaze="title: Clear\ncoat: 1 kg/m2\n")
    assert sheet.value("cup.mass", "fired") == pytest.approx(0.93 * sheet.value("cup.mass", "dry"))
    coat = sheet.value("cup.mass.glazed", "fired") - sheet.value("cup.mass", "fired")
    assert coat == pytest.approx(0.92 * sheet.value("glaze.dry"))
    wetted = 2 * pi * 36 * 94 + pi * 36**2
    assert sheet.value("cup.capacity.brim", "fired") == pytest.approx((pi * 36**2 * 94 - 0.3 * wetted) / 1000)
    for key, stage, said in (
        ("cup.mass", "fired", "assumed: 7 % of the dry weight, common practice"),
        ("cup.mass", "bisque", "assumed: 7 % of the dry weight, common practice"),
        ("clay.density", "fired", "assumed: 7 % of the dry weight, common practice"),
        ("cup.mass.glazed", "fired", "assumed: 8 %, common practice"),
        ("cup.capacity.brim", "fired", "assumed: 0.3 mm, common practice"),
    ):
        assert said in sheet.find(key, stage).how, key
        assert "common practice" in sheet.find(key, stage).source, key
    assert "assumed" not in sheet.find("cup.mass", "dry").how


def test_film_counts_only_where_the_inside_is_glazed():
    film = "title: Clear\nfilm: 1 mm\n"
    for bare, thinner in (
        ("none", True),
        ("outside", True),
        ("foot to waist", True),
        ("inside", False),
        ("all", False),
    ):
        sheet = sheet_of(CUP + f"    bare: {bare}\n", head="glaze: clear\n", glaze=film)
        figure = sheet.find("cup.capacity.brim", "fired")
        assert (figure.value < pi * 36**2 * 94 / 1000 - 1.0) is thinner, bare
        assert ("film" in figure.how) is thinner
        assert ("specs/glazes/clear.yaml:2" in figure.inputs) is thinner


def test_a_word_for_each_convention():
    sheet = sheet_of(CUP + "    extras: {handle: {clay: 45 g}}\n    throwing: {loss: 6 %}\n")
    assert "handle" in sheet.find("cup.mass", "wet").how and "45" in sheet.find("cup.mass", "wet").how
    assert "gram of water" in sheet.find("cup.mass", "leather-hard").how
    assert "6 %" in sheet.find("cup.ball", "wet").how
    assert "no loss given" in sheet_of(CUP).find("cup.ball", "wet").how
    assert "without what was added" in sheet.find("cup.centre_of_mass", "fired").how
    assert "rim's own ring" in sheet.find("cup.area.glazed", "fired").how


def test_a_station_set_with_calipers_says_so():
    parts = (
        CUP.replace("waist: {height: 40, diameter: 80}", "waist: {height: 40, diameter: girth}")
        + "    calipers: {girth: outside 84}\n"
    )
    sheet = sheet_of(parts)
    figure = sheet.find("cup.waist.diameter", "fired")
    assert (figure.value, figure.given) == (84.0, False)
    assert "cup.girth fired" in figure.inputs and "calipers" in figure.how
    assert sheet.find("cup.girth", "fired").given


def test_section_names_are_figures_and_lines():
    _, shape = shape_of(CUP.replace("wall: 4", "wall: 4.4 mm wet"), "cup")
    names = shape.section_names
    assert names[:2] == ("cup.foot.height fired", "cup.foot.diameter fired")
    assert "specs/forms/pot.yaml:6" in names and "specs/forms/pot.yaml:7" in names
    assert "clay.shrinkage.height fired" in names  # the wall was typed wet
    assert not any("shrinkage" in name for name in shape_of(CUP, "cup")[1].section_names)


@every("radius, centre, degrees", [(30.0, 30.0, 45.0), (0.0, 10.0, 0.0), (10.0, 10.0 * 3**0.5, 30.0)])
def test_tip_angle(radius, centre, degrees):
    # Source: statics; tangents of 45° and 30° (worked).
    assert tip_angle_deg(radius, centre) == pytest.approx(degrees)


def test_sizes_carry_no_doubt_without_bars():
    assert all(figure.plus_minus is None for figure in sheet_of(CUP + LID).figures)
