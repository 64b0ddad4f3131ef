"""The sheet's shape as thrown and its turned feet: numbers worked by hand from frusta, cylinders and rings.

Source: volumes of a frustum and a cylinder, CRC handbook formulas (from memory); shrinkage as ASTM C326 has it (size = wet × (1 − s)).
"""

from math import pi

import pytest
from wareboard.figures.checks import check_form, check_project
from wareboard.figures.sheet import make_sheet
from wareboard.text.projects import read_project

CLAY = "title: Plain\nwater: 20 %\ndensity: 2 g/cm3\nshrinkage: {leather-hard: 4 %, dry: 6 %, fired: 10 %}\n"
LEATHER_HARD, FIRED = 0.96, 0.90


def project_of(parts, fits=""):
    texts = {
        "specs/studio.yaml": "title: Yard\n",
        "specs/clays/plain.yaml": CLAY,
        "specs/forms/pot.yaml": f"title: Pot\nclay: plain\nparts:\n{parts}{fits}",
    }
    project = read_project(texts)
    assert not project.problems, project.problems
    return project


def sheet_of(parts, fits=""):
    project = project_of(parts, fits)
    sheet = make_sheet(project.forms["pot"], project)
    assert not sheet.problems, sheet.problems
    return sheet


def frustum(lower, upper, height):
    return pi * height / 3.0 * (lower * lower + lower * upper + upper * upper)


CYLINDER = """\
  cup:
    outside: {{foot: {{height: 0, diameter: 90}}, belly: {{height: 45, diameter: 90}}, rim: {{height: 90, diameter: 90}}}}
    wall: 4.5
    floor: 9
    calipers: {{waist: outside belly, mouth: inside rim}}
    throwing: {{left_on: {{wall: {wall}, floor: 3}}, gauge_at: [belly, rim]}}
"""


def test_left_on_by_station_changes_evenly_and_a_rim_with_none_is_thrown_as_it_is():
    sheet = sheet_of(CYLINDER.format(wall="{foot: 2, belly: 1, rim: 0}"))
    wet = 1.0 / FIRED  # 100 mm across, 100 high, floor 10
    leather_hard = [(45.0 * wet * LEATHER_HARD + left) / LEATHER_HARD for left in (2.0, 1.0, 0.0)]  # back at wet
    clay = frustum(leather_hard[0], leather_hard[1], 50.0) + frustum(leather_hard[1], leather_hard[2], 50.0)
    # straight down from the foot: its face leans by 1 in 45 mm leather-hard, so it is a hair less than 2 out
    clay += pi * leather_hard[0] ** 2 * 3.0 / LEATHER_HARD
    clay -= pi * 45.0**2 * 90.0  # the inside, 90 across and 90 deep
    assert 1000.0 * sheet.value("cup.thrown.volume", "wet") == pytest.approx(clay, rel=1e-6)
    assert sheet.value("cup.pointer.rim.reach", "wet") == pytest.approx(50.0)
    assert sheet.value("cup.pointer.belly.reach", "wet") == pytest.approx(50.0 + 1.0 / LEATHER_HARD)
    assert sheet.value("cup.waist.thrown", "wet") == pytest.approx(2.0 * sheet.value("cup.pointer.belly.reach", "wet"))
    assert sheet.value("cup.pointer.rim.height", "wet") == pytest.approx(100.0 + 3.0 / LEATHER_HARD)
    assert sheet.value("cup.thrown.floor", "wet") == pytest.approx(10.0 + 3.0 / LEATHER_HARD)
    assert sheet.value("cup.thrown.depth", "wet") == pytest.approx(90.0)
    assert sheet.value("cup.thrown.wall.belly", "wet") == pytest.approx(5.0 + 1.0 / LEATHER_HARD)
    assert sheet.value("cup.thrown.wall.rim", "wet") == pytest.approx(5.0)
    assert sheet.find("cup.mouth.thrown", "wet") is None  # an inside is not trimmed


def test_one_number_is_left_on_everywhere():
    sheet = sheet_of(CYLINDER.format(wall="2"))
    out = 50.0 + 2.0 / LEATHER_HARD
    clay = pi * out**2 * (100.0 + 3.0 / LEATHER_HARD) - pi * 45.0**2 * 90.0
    assert 1000.0 * sheet.value("cup.thrown.volume", "wet") == pytest.approx(clay, rel=1e-9)
    assert sheet.value("cup.pointer.rim.reach", "wet") == pytest.approx(out)


LID = """\
  lid:
    opens: down
    outside:
      tip: {{height: 0, diameter: 90}}
      edge: {{height: 9, diameter: 90}}
      neck: {{height: 18, diameter: 18}}
      knob: {{height: 27, diameter: 36}}
      top: {{height: 36, diameter: 36}}
    inside: {{lip: {{height: 0, diameter: 72}}, middle: {{height: 4.5, diameter: 0}}}}
    throwing: {{{throwing}}}
"""


def lid_clay(stub):
    """As thrown, wet: tip 100 across; 3 mm more under the knob's top leather-hard; the stub's radius, wet."""
    cone = 10.0  # the plate's slope: from 20 across at the neck to 100 at the edge in 10
    up = cone * (stub - 10.0) / 40.0  # the stub goes as far up the plate
    clay = pi * stub**2 * (20.0 + 3.0 / LEATHER_HARD + up) + frustum(stub, 50.0, cone - up) + pi * 50.0**2 * 10.0
    return clay - frustum(40.0, 0.0, 5.0)


def test_a_lid_is_thrown_on_the_stub_that_its_knob_is_turned_from():
    found = {
        said: sheet_of(LID.format(throwing=said))
        for said in ("left_on: {floor: 3}", "left_on: {floor: 3}, stub: 48", "left_on: {floor: 3}, stub: 48 wet")
    }
    worked_out, typed, wet = found.values()
    assert 1000.0 * worked_out.value("lid.thrown.volume", "wet") == pytest.approx(lid_clay(20.0), rel=1e-9)
    assert 1000.0 * typed.value("lid.thrown.volume", "wet") == pytest.approx(lid_clay(24.0 / LEATHER_HARD), rel=1e-9)
    assert 1000.0 * wet.value("lid.thrown.volume", "wet") == pytest.approx(lid_clay(24.0), rel=1e-9)
    for sheet in found.values():
        assert sheet.value("lid.ball", "wet") == pytest.approx(2.0 * sheet.value("lid.thrown.volume", "wet"))
        assert sheet.value("lid.thrown.floor", "wet") == pytest.approx(35.0 + 3.0 / LEATHER_HARD)


def test_what_cannot_be_thrown_is_told():
    for said, told in (("loss: 5 %", True), ("left_on: {floor: 3}", False), ("left_on: {floor: 3}, stub: 12", True)):
        project = project_of(LID.format(throwing=said))
        rules = [problem.rule for problem in check_form(project.forms["pot"], project).problems]
        assert ("cannot-be-thrown" in rules) is told, said


def test_a_dome_stands_on_a_stub_and_more_left_on_takes_more_clay():
    dome = "  lid:\n    opens: down\n    outside: {{rim: {{height: 0, diameter: 90}}, crown: {{height: 27, diameter: 54}}, top: {{height: 36, diameter: 0}}}}\n    wall: 5\n    floor: 6\n    throwing: {{left_on: {{floor: {drop}}}}}\n"
    balls = [sheet_of(dome.format(drop=drop)).value("lid.ball", "wet") for drop in (3, 4)]
    # a stub 16 mm across leather-hard, 1 mm longer, in clay of 2 g/cm3
    assert balls[1] - balls[0] == pytest.approx(2.0 * pi * 8.0**2 * 1.0 / 1000.0 / LEATHER_HARD**3, rel=1e-6)


BOWL = """\
  bowl:
    outside: {foot: {height: 0, diameter: 63}, side: {height: 9, diameter: 63}, rim: {height: 72, diameter: 162}}
    inside: {middle: {height: 13.5, diameter: 0}, lip: {height: 72, diameter: 153}}
    underside: {centre: {height: 7.2, diameter: 0}, corner: {height: 5.4, diameter: 45}, ring: {height: 0, diameter: 49.5}}
"""


def test_a_turned_foot_at_every_stage():
    sheet = sheet_of(BOWL)
    fired = {
        "ring.outside": 63.0, "ring.inside": 49.5, "ring.width": 6.75, "recess.depth": 7.2, "recess.depth.ring": 5.4,
        "recess.diameter": 45.0, "floor.rest": 6.3,
    }  # fmt: skip
    for key, size in fired.items():
        for stage, left in (("wet", 1.0), ("leather-hard", 0.96), ("dry", 0.94), ("fired", 0.90)):
            assert sheet.value(f"bowl.foot.{key}", stage) == pytest.approx(size / FIRED * left), (key, stage)
    recess = frustum(24.75, 22.5, 5.4) + frustum(22.5, 0.0, 1.8)
    whole = pi * 31.5**2 * 9.0 + frustum(31.5, 81.0, 63.0) - frustum(0.0, 76.5, 58.5)
    assert 1000.0 * sheet.value("bowl.volume", "fired") == pytest.approx(whole - recess, rel=1e-12)


def test_a_ring_lower_than_the_first_station_is_what_it_stands_on():
    # The same bowl on a ring 1.8 lower than its first station: as heights can't be below 0, all others are higher.
    low = BOWL
    for typed in ("height: 13.5", "height: 72", "height: 9,", "foot: {height: 0", "height: 7.2", "height: 5.4"):
        name, _, size = typed.rpartition(" ")
        low = low.replace(typed, f"{name} {round(float(size.strip(',')) + 1.8, 1)}{',' if size.endswith(',') else ''}")
    sheet = sheet_of(low)
    assert sheet.value("bowl.height", "fired") == pytest.approx(73.8)
    assert sheet.value("bowl.foot.recess.depth", "fired") == pytest.approx(9.0)
    assert sheet.value("bowl.thrown.mass", "wet") > sheet.value("bowl.mass", "wet")
    assert sheet.value("bowl.centre_of_mass", "fired") > sheet_of(BOWL).value("bowl.centre_of_mass", "fired") + 1.5


JAR = """\
  jar:
    outside: {{foot: {{height: 0, diameter: 90}}, rim: {{height: 90, diameter: 90}}}}
    inside: {{floor: {{height: 6, diameter: 72}}, under: {{height: 70, diameter: 78}}, ledge: {{height: 80, diameter: {ledge}}}, seat: {{height: 80, diameter: 78}}, lip: {{height: 90, diameter: 78}}}}
    calipers: {{mouth: inside rim}}
  lid:
    opens: down
    outside: {{tip: {{height: 0, diameter: flange}}, step: {{height: {deep}, diameter: flange}}, edge: {{height: {deep}, diameter: {plate}}}, top: {{height: 20, diameter: {plate}}}}}
    calipers: {{flange: fit}}
"""
FIT = "fits:\n  lid: {{inside: jar.mouth, outside: lid.flange, clearance: {{aim: {aim}}}{more}}}\n"


def told(ledge=66, deep=8, plate=86, aim=2, more=""):
    project = project_of(JAR.format(ledge=ledge, deep=deep, plate=plate), FIT.format(aim=aim, more=more))
    sheets, problems = check_project(project)
    return sheets["pot"], {problem.rule: problem for problem in problems}


def test_a_plate_on_a_rim_and_a_flange_that_is_too_long():
    sheet, rules = told()
    # on the rim: from the mouth, 39, to the plate's edge, 43; the flange hangs 2 mm over the ledge at 80
    assert sheet.value("fit.lid.seat", "fired") == pytest.approx(4.0)
    assert sheet.value("fit.lid.room", "fired") == pytest.approx(90.0 - 8.0 - 80.0)
    assert sheet.value("fit.lid.stands", "fired") == pytest.approx(90.0 - 8.0 + 20.0)
    assert sheet.value("fit.lid.level", "fired") == pytest.approx(43.0 - 45.0)
    assert sheet.value("fit.lid.seat.pushed", "fired") == pytest.approx(3.0)  # the plate's edge moves 1 mm in
    assert not rules.keys() & {"no-room", "lid-falls-in"}
    sheet, rules = told(deep=12)
    assert sheet.value("fit.lid.room", "fired") == 0.0 and "hangs 2 mm" in rules["no-room"].message
    assert "room" in told(more=", room: {least: 2.5}")[1]["no-room"].message
    assert "no-room" not in told(more=", room: {least: 1.5}")[1]


def test_a_flange_on_a_ledge_that_is_too_narrow_tips_in():
    sheet, rules = told(ledge=74.6, deep=8, plate=70, aim=2)  # no plate: the flange, 76 across, stands on the ledge
    assert sheet.value("fit.lid.seat", "fired") == pytest.approx(0.7)
    assert sheet.value("fit.lid.seat.pushed", "fired") == pytest.approx(-0.3)
    assert rules["lid-falls-in"].level == "error" and "0.7 mm a side" in rules["lid-falls-in"].message
    sheet, rules = told(ledge=77, deep=8, plate=70, aim=2)  # narrower than the ledge: it goes right through
    assert sheet.value("fit.lid.seat", "fired") == 0.0 and "nothing stops" in rules["lid-falls-in"].message


def test_limits_of_a_seat_and_of_level():
    assert "4 mm a side" in told(more=", seat: {least: 5}")[1]["seat-narrow"].message
    assert "back from" in told(more=", level: {most: 1}")[1]["not-level"].message
    assert not told(more=", seat: {least: 4}, level: 2")[1].keys() & {"seat-narrow", "not-level"}
