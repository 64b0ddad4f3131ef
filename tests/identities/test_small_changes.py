"""Small changes of a station make small changes of every figure of the sheet."""

import random

import pytest
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import make_sheet
from wareboard.text.projects import read_project

from tests.every import every

CLAY = "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 4 %, dry: 6 %, fired: 12 %}\n"
# Of a figure's own size, and in its unit: what 0.01 mm may move it by. A pointer beside a flat face moves most.
SHARE, LEAST = 0.006, {"mm": 0.35, "g": 2.0, "cm3": 1.0, "ml": 2.0, "cm2": 1.5, "%": 0.01, "g/cm3": 0.001}


def near_level_rim(drawn):
    foot = drawn.uniform(60.0, 90.0)
    high = drawn.uniform(14.0, 24.0)
    return [(foot, 0.0), (foot + 40.0, high), (foot + 60.0, high + drawn.uniform(0.0, 0.03))]


def drip_edge(drawn):
    foot, high = drawn.uniform(30.0, 50.0), drawn.uniform(30.0, 60.0)
    return [(foot, 0.0), (foot + 12.0, high - 8.0), (foot + 20.0, high), (foot + 14.0, high + drawn.uniform(0.0, 0.02))]


def closes_on_the_axis(drawn):
    wide = drawn.uniform(35.0, 60.0)
    return [(drawn.uniform(0.0, 0.005), 0.0), (wide - 10.0, drawn.uniform(8.0, 20.0)), (wide, 40.0)]


def low_ring(drawn):
    foot = drawn.uniform(25.0, 45.0)
    return [(foot, 3.0), (foot + 5.0, drawn.uniform(0.02, 3.0)), (foot + 14.0, 20.0), (foot + 20.0, 70.0)]


def any_pot(drawn):
    foot = drawn.uniform(30.0, 60.0)
    return [(foot + drawn.uniform(-8.0, 8.0), 20.0 * step) for step in range(5)]


def sheet_of(points, smooth, opens_down, wall):
    top = max(height for _, height in points)
    said = [(f"s{k}", radius, top - height if opens_down else height) for k, (radius, height) in enumerate(points)]
    if opens_down:
        said.reverse()
    stations = ", ".join(
        f"{name}: {{height: {max(height, 0.0)!r}, diameter: {2.0 * radius!r}}}" for name, radius, height in said
    )
    form = (
        f"title: Pot\nclay: plain\nparts:\n  pot:\n    opens: {'down' if opens_down else 'up'}\n    outside: {{{stations}}}\n"
        f"    line: {'smooth' if smooth else 'straight'}\n{wall}    throwing: {{loss: 5 %, left_on: {{wall: {{s0: 2, s{len(points) - 1}: 0.5}}, floor: 3}}, gauge_at: [s0, s1, s{len(points) - 1}]}}\n"
    )
    texts = {"specs/studio.yaml": "title: Yard\n", "specs/clays/plain.yaml": CLAY, "specs/forms/pot.yaml": form}
    project = read_project(texts)
    assert not project.problems, project.problems
    return make_sheet(project.forms["pot"], project, Shaper(project))


@every("smooth", [False, True])
@every("family", [near_level_rim, drip_edge, closes_on_the_axis, low_ring, any_pot])
def test_every_figure_changes_little(family, smooth):
    drawn, tried = random.Random(f"{family.__name__} {smooth}"), 0
    for _ in range(8):
        stations = family(drawn)
        opens_down = family is closes_on_the_axis
        wall = (
            "" if family in (near_level_rim, drip_edge) else "    wall: 4\n    floor: 6\n"
        )  # solid where a wall would be a wedge
        nudged = [
            (max(0.0, r + drawn.uniform(-0.01, 0.01)), max(0.0, z + drawn.uniform(-0.01, 0.01))) for r, z in stations
        ]
        sheets = [sheet_of(points, smooth, opens_down, wall) for points in (stations, nudged)]
        if any(sheet.problems for sheet in sheets):
            continue
        tried += 1
        for figure in sheets[0].figures:
            other = sheets[1].value(figure.key, figure.stage)
            assert other == pytest.approx(figure.value, rel=SHARE, abs=LEAST[figure.unit]), figure.name
        assert sheets[0].value("pot.thrown.mass", "wet") >= sheets[0].value("pot.mass", "wet") * (1.0 - 1e-9)
    assert tried >= 6
