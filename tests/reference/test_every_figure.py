"""Every figure of the catalogue is checked from outside; those that no other file here looks at, on shapes that a rule of three works out.

Source: a pot of straight lines, worked by hand below: all lengths shrink alike, from 100 wet to 96 leather-hard, 95 dry, 90 fired.
"""

import re
from pathlib import Path

import pytest
from wareboard.figures.checks import check_form
from wareboard.text.catalogue import FIGURES, PLACEHOLDERS
from wareboard.text.projects import read_project

from tests.every import every

HERE = Path(__file__).parent
LEFT = {"wet": 1.0, "leather-hard": 0.96, "dry": 0.95, "bisque": 0.95, "fired": 0.9}
WATER, GRAIN = 0.2, 2.6

TEXTS = {
    "specs/studio.yaml": "title: Yard\nspreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}\n",
    "specs/clays/plain.yaml": "title: Plain\nwater: 20 %\nloss_on_ignition: 5 %\nshrinkage: {leather-hard: 4 %, dry: 5 %, bisque: 5 %, fired: 10 %}\n",
    "specs/forms/pot.yaml": """\
title: Pot
clay: plain
parts:
  jar:
    outside: {foot: {height: 0, diameter: 90}, rim: {height: 100, diameter: 90}}
    wall: 5
    floor: 6
    underside: {centre: {height: 3, diameter: 0}, corner: {height: 2, diameter: 50}, edge: {height: 0, diameter: 60}}
    calipers: {mouth: inside rim}
    throwing: {left_on: {wall: 1, floor: 3}}
  lid:
    opens: down
    outside:
      tip: {height: 0, diameter: flange}
      edge: {height: 10, diameter: flange}
      plate: {height: 10, diameter: 88}
      top: {height: 16, diameter: 88}
    calipers: {flange: fit}
  cup:
    outside: {foot: {height: 0, diameter: 70}, rim: {height: 80, diameter: 70}}
    wall: {foot: 5, rim: 3}
    floor: 5
    throwing: {gauge_at: [foot, rim]}
    extras:
      handle: {strap: {length: 180, width: 20, thickness: 8, section: flat}, from: 70, to: 20, reach: 40}
      sprig: {clay: 6 g}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance: {aim: 1.4, least: 0.5, most: 2.6}
""",
}
# Fired, by hand. The flange is 80 − 1.4 across; its plate, 44 mm from the axis, rests on a rim that runs from 40 to 45 mm.
FIRED = {
    "jar.wall.thickness": 5.0, "jar.floor.thickness": 6.0, "cup.wall.foot.thickness": 5.0, "cup.wall.rim.thickness": 3.0,
    "jar.foot.ring.outside": 90.0, "jar.foot.ring.inside": 60.0, "jar.foot.ring.width": 15.0,
    "jar.foot.recess.depth": 3.0, "jar.foot.recess.depth.ring": 2.0, "jar.foot.recess.diameter": 50.0, "jar.foot.floor.rest": 6.0,
    "fit.lid.seat": 4.0, "fit.lid.seat.pushed": 4.0 - 0.7, "fit.lid.level": -1.0,
    "cup.handle.length": 180.0, "cup.handle.reach": 40.0, "cup.across": 35.0 + 35.0 + 40.0,
    "fit.lid.room": 100.0 - 10.0 - 9.0, "fit.lid.stands": 100.0 + 6.0,
}  # fmt: skip
# As thrown: the floor with its recess still full and 3 mm (leather-hard) under it, the wall with 1 mm on it, the inside from 9 to 100 mm.
THROWN = {
    "jar.thrown.floor": 9.0 / 0.9 + 3.0 / 0.96, "jar.thrown.depth": 91.0 / 0.9, "jar.thrown.wall.rim": 5.0 / 0.9 + 1.0 / 0.96,
    "cup.pointer.rim.height": 80.0 / 0.9, "cup.pointer.rim.reach": 35.0 / 0.9,
}  # fmt: skip
DENSITY = 1.0 / (WATER + (1.0 - WATER) / GRAIN)
# A gram of water for each cm³; 1.5 % either way of the weight leather-hard, but no drier than where shrinking stops.
USUAL, STOPPED = (1.0 - (1.0 - left**3) / DENSITY for left in (0.96, 0.95))
TRIMMED = {"cup.trim.least": max(0.985 * USUAL, STOPPED), "cup.trim.most": 1.015 * USUAL}


@pytest.fixture(scope="module")
def sheet():
    project = read_project(TEXTS)
    found = check_form(project.forms["pot"], project)
    assert found.figures, found.problems
    return found


@every("key", FIRED)
def test_what_a_rule_of_three_works_out(sheet, key):
    assert sheet.value(key, "fired") == pytest.approx(FIRED[key], abs=1e-6)
    for stage, left in LEFT.items():
        figure = sheet.find(key, stage)
        if figure:
            assert figure.value == pytest.approx(FIRED[key] * left / 0.9, abs=1e-6), stage


@every("key", THROWN)
def test_what_is_thrown_is_what_is_trimmed_and_what_trimming_takes(sheet, key):
    assert sheet.value(key, "wet") == pytest.approx(THROWN[key], abs=1e-6)


@every("key", TRIMMED)
def test_weights_to_trim_at_without_a_fit(sheet, key):
    least_softness = 1.0 - (1.0 - 0.98**3) / DENSITY  # half-way to leather-hard
    share = min(TRIMMED[key], least_softness)
    assert sheet.value(key, "leather-hard") == pytest.approx(share * sheet.value("cup.thrown.mass", "wet"), rel=1e-9)


def test_what_one_set_takes_from_the_bag(sheet):
    """A flat strap is length × width × thickness; all balls and all that is added, in wet clay."""
    strap_g = 180.0 * 20.0 * 8.0 / 0.9**3 / 1000.0 * DENSITY
    assert (
        sheet.value("cup.handle.clay", "wet") == pytest.approx(strap_g) and sheet.value("cup.sprig.clay", "wet") == 6.0
    )
    assert sheet.value("clay", "wet") == pytest.approx(sheet.value("ball", "wet") + strap_g + 6.0)


def test_every_declared_figure_is_looked_at_here():
    """Each key is quoted, with names in the place of its letters, in some file of outside checks."""
    texts = "\n".join(path.read_text(encoding="utf-8") for path in HERE.glob("*.py"))
    quoted = set(re.findall(r"[\"'{ ]([\w-]+(?:\.[\w-]+)+|ball|mass|clay)[\"'} ]", texts))
    unseen = []
    for declared in FIGURES:
        pattern = r"\.".join(r"[^.\s]+" if part in PLACEHOLDERS else re.escape(part) for part in declared.parts)
        if not any(re.fullmatch(pattern, key) for key in quoted):
            unseen.append(declared.key)
    assert not unseen, f"no outside check looks at {', '.join(unseen)}"
