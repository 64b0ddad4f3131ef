"""What must hold on every sheet, whatever the numbers: chains that end at what was typed, there and back, sums, scaling."""

import json
import re
from functools import cache
from math import isfinite

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.figures.sheet import make_sheet
from wareboard.pot.glaze import USUAL_LOSS_SHARE
from wareboard.text.projects import read_project

from tests.every import every

STAGES = ("wet", "leather-hard", "dry", "bisque", "fired")
TEXTS = {
    "specs/studio.yaml": """\
title: Yard
bat: 12 mm
steps: {scale: 7 g}
spreads:
  calipers: 0.3 mm
  trimming: 0.25 mm
  out_of_round: 0.4 mm
  shrinkage: 0.15 %
""",
    "specs/clays/plain.yaml": """\
title: Plain
water: 22 %
density: 1.9 g/cm3
grain_density: 2.62 g/cm3
loss_on_ignition: 6 %
height_factor: 1.04
shrinkage:
  leather-hard: 3 %
  dry: 5.5 %
  bisque: 5.7 %
  fired: 6.5 % of dry
""",
    "specs/clays/barred.yaml": """\
title: Barred
water: 21 %
bars:
  - {wet: 100, dry: 94.2, fired: 88.2}
  - {wet: 101, dry: 95, fired: 88.9}
""",
    "specs/glazes/clear.yaml": "title: Clear\npint_weight: 1.45 g/ml\ngrain_density: 2.55 g/cm3\ncoat: 0.9 kg/m2\nfilm: 0.4 mm\n",
    "specs/forms/jar.yaml": """\
title: Jar
clay: plain
glaze: clear
parts:
  jar:
    outside:
      foot: {height: 0, diameter: 70}
      bevel: {height: 3, diameter: 82}
      belly: {height: 50, diameter: 93 mm wet}
      rim: {height: 98, diameter: 88}
    wall:
      foot: 6
      belly: 4 mm leather-hard
      rim: 4.5
    floor: 7
    underside:
      centre: {height: 3, diameter: 0}
      edge: {height: 2, diameter: 50}
      ring: {height: 0, diameter: 56}
    fill_to: 80
    bare:
      - foot to bevel
    calipers:
      mouth: inside rim
      shoulder: outside 91 mm dry
    throwing:
      loss: 6 %
      left_on:
        wall: 1
        floor: 3
      gauge_at: [belly, rim]
    extras:
      lug: {clay: 21 g}
  lid:
    opens: down
    outside:
      tip: {height: 0, diameter: flange}
      edge: {height: 8, diameter: flange}
      brow: {height: 9, diameter: 92}
      top: {height: 20, diameter: 30}
    inside:
      lip: {height: 0, diameter: 60}
      hollow: {height: 4, diameter: 46}
      middle: {height: 6, diameter: 0}
    calipers:
      flange: fit
    throwing:
      loss: 8 %
      left_on: {floor: 4 mm wet}
  knob:
    outside:
      base: {height: 0, diameter: 12}
      belly: {height: 9, diameter: 22}
      crown: {height: 17, diameter: 10}
fits:
  lid:
    inside: jar.mouth
    outside: lid.flange
    clearance:
      aim: 1.3 mm bisque
      least: 0.2
      most: 1.2
    glazed: inside
    pairing: any
    left_on: 1
""",
}
TEXTS["specs/forms/mug.yaml"] = """\
title: Mug
clay: barred
sizes: leather-hard
unit: cm
parts:
  mug:
    outside:
      foot: {height: 0, diameter: 7}
      rim: {height: 9, diameter: 8.5}
    wall: 0.4
    floor: 0.6
    fill_to: rim
    calipers:
      girth: outside rim
fits:
  nest:
    inside: jar/jar.mouth
    outside: mug.girth
    clearance:
      aim: 0.1
"""
FORMS = ("jar", "mug")


@cache
def sheet_of(slug, changed=()):
    texts = {**TEXTS, **dict(changed)}
    if slug == "cup":  # stands by itself
        texts = {path: text for path, text in texts.items() if "/forms/" not in path or path.endswith("cup.yaml")}
    project = read_project(texts)
    assert not project.problems, project.problems
    sheet = make_sheet(project.forms[slug], project)
    assert not sheet.problems, sheet.problems
    return sheet


def line_of(place):
    found = re.fullmatch(r"(specs/.+\.yaml):(\d+)", place)
    assert found, place
    return TEXTS[found[1]].splitlines()[int(found[2]) - 1]


# --- where a figure comes from ------------------------------------------------------------


@every("slug", FORMS)
def test_every_input_is_a_figure_or_a_typed_line(slug):
    sheet = sheet_of(slug)
    names = {figure.name for figure in sheet.figures}
    for figure in sheet.figures:
        assert figure.inputs and len(set(figure.inputs)) == len(figure.inputs), figure
        assert figure.how, figure
        for name in figure.inputs:
            assert name in names or line_of(name).strip(), f"{figure.name} from {name}"


@every("slug", FORMS)
def test_a_given_figure_stands_in_its_line(slug):
    given_figures = [figure for figure in sheet_of(slug).figures if figure.given]
    assert len(given_figures) >= 4
    for figure in given_figures:
        (place,) = figure.inputs
        typed = figure.how.removeprefix("typed: ").partition(" = ")[0]
        assert typed != figure.how and typed in line_of(place), figure


def leaves_of(sheet):
    """The typed lines at the end of every figure's chain; fails on a loop."""
    inputs = {figure.name: figure.inputs for figure in sheet.figures}
    found = {}

    def walk(name, trail):
        assert name not in trail, f"{name} comes from itself: {trail}"
        if name not in inputs:
            return {name}
        if name not in found:
            found[name] = set().union(*(walk(below, (*trail, name)) for below in inputs[name]))
        return found[name]

    return {name: walk(name, ()) for name in inputs}


@every("slug", FORMS)
def test_every_chain_ends_at_what_was_typed(slug):
    for name, leaves in leaves_of(sheet_of(slug)).items():
        assert leaves and all(line_of(leaf).strip() for leaf in leaves), name


@every(
    "slug, files",
    [("jar", ("studio", "clays/plain", "glazes/clear", "forms/jar")), ("mug", ("clays/barred", "forms/mug"))],
)
def test_what_moves_a_figure_is_in_its_chain(slug, files):
    # Every number in turn is typed a little larger; whatever moves must name that line.
    sheet = sheet_of(slug)
    leaves = leaves_of(sheet)
    paths, moved_at_all = [f"specs/{name}.yaml" for name in files], set()
    for path in paths:
        lines = TEXTS[path].splitlines()
        for number, line in enumerate(lines):
            for typed in re.finditer(r"(?<![\w.-])\d+(\.\d+)?(?= |,|}|$)", line):
                other = f"{line[: typed.start()]}{float(typed[0]) * 1.004 + 0.001:.6f}{line[typed.end() :]}"
                text = "\n".join([*lines[:number], other, *lines[number + 1 :]])
                for figure in sheet_of(slug, ((path, text),)).figures:
                    before = sheet.value(figure.key, figure.stage)
                    if abs(figure.value - before) > 1e-9 * max(1.0, abs(before)):
                        assert f"{path}:{number + 1}" in leaves[figure.name], f"{figure.name} follows `{line.strip()}`"
                        moved_at_all.add(f"{path}:{number + 1}")
    numbered = {
        f"{path}:{n}" for path in paths for n, line in enumerate(TEXTS[path].splitlines(), 1) if re.search(r"\d", line)
    }
    # two given sizes leave what they leave, whatever the aim; beside a typed density the grains' tells of air alone
    unmoved = {"mug": {"aim: 0.1"}, "jar": {"grain_density: 2.62 g/cm3"}}[slug]
    assert {line_of(place).strip() for place in numbered - moved_at_all} == unmoved


@every("slug", FORMS)
def test_figures_as_json(slug):
    sheet = sheet_of(slug)
    found = json.loads(json.dumps(sheet.as_json(), allow_nan=False))
    assert list(found) == ["format", "form", "clay", "revision", "figures", "problems"]
    assert (found["format"], found["form"], found["problems"]) == (1, slug, [])
    for figure in found["figures"]:
        assert list(figure) == [
            "key",
            "stage",
            "value",
            "unit",
            "plus_minus",
            "how",
            "inputs",
            "source",
            "given",
            "interval",
            "doubt",
        ]
        assert isfinite(figure["value"]) and isinstance(figure["given"], bool)
        assert figure["stage"] in (None, *STAGES)
        assert figure["plus_minus"] is None or figure["plus_minus"] >= 0.0
    keys = [(figure["key"], figure["stage"]) for figure in found["figures"]]
    assert len(set(keys)) == len(keys)


# --- sums and differences -----------------------------------------------------------------


@every("slug", FORMS)
def test_clearance_is_the_difference_of_its_two_sides(slug):
    sheet, name, film = sheet_of(slug), {"jar": "lid", "mug": "nest"}[slug], {"jar": 0.8, "mug": 0.0}[slug]
    for stage in STAGES:
        sides = sheet.value(f"fit.{name}.inside", stage) - sheet.value(f"fit.{name}.outside", stage)
        clearance = sheet.value(f"fit.{name}.clearance", stage)
        assert clearance == pytest.approx(sides - (film if stage == "fired" else 0.0), abs=1e-12)
        assert sheet.value(f"fit.{name}.gap", stage) == pytest.approx(clearance / 2, rel=1e-12)
    if slug == "jar":
        for stage in STAGES:
            assert sheet.value("fit.lid.outside", stage) == sheet.value("lid.flange", stage)
            assert sheet.value("fit.lid.inside", stage) == sheet.value("jar.mouth", stage)
        assert sheet.value("fit.lid.clearance", "bisque") == pytest.approx(1.3, rel=1e-12)


def test_set_is_the_sum_of_its_parts():
    sheet = sheet_of("jar")
    for stage in STAGES:
        assert sheet.value("mass", stage) == pytest.approx(
            sum(sheet.value(f"{part}.mass", stage) for part in ("jar", "lid", "knob")), rel=1e-12
        )
    assert sheet.value("ball", "wet") == pytest.approx(
        sum(sheet.value(f"{part}.ball", "wet") for part in ("jar", "lid", "knob")), rel=1e-12
    )
    coats = sum(
        sheet.value(f"{part}.mass.glazed", "fired") - sheet.value(f"{part}.mass", "fired")
        for part in ("jar", "lid", "knob")
    )
    assert sheet.value("glaze.dry") * (1 - USUAL_LOSS_SHARE) == pytest.approx(coats, rel=1e-9)


def test_a_solid_block_is_its_clay_and_its_space():
    block = TEXTS["specs/forms/mug.yaml"].replace("    wall: 0.4\n    floor: 0.6\n    fill_to: rim\n", "")
    solid, hollow = sheet_of("mug", (("specs/forms/mug.yaml", block),)), sheet_of("mug")
    space = hollow.value("mug.capacity.brim", "fired")
    assert space == hollow.value("mug.capacity.fill", "fired")
    assert solid.value("mug.volume", "fired") == pytest.approx(hollow.value("mug.volume", "fired") + space, rel=1e-12)


@every("slug, parts", [("jar", ("jar", "lid", "knob")), ("mug", ("mug",))])
def test_what_is_left_on_weighs_something_and_drying_only_takes(slug, parts):
    sheet = sheet_of(slug)
    for part in parts:
        assert sheet.value(f"{part}.thrown.volume", "wet") >= sheet.value(f"{part}.volume", "wet") * (1 - 1e-12)
        assert (
            sheet.value(f"{part}.ball.set", "wet")
            >= sheet.value(f"{part}.ball", "wet") * (1 - 1e-9)
            >= sheet.value(f"{part}.thrown.mass", "wet") * (1 - 2e-9)
        )
        masses = [sheet.value(f"{part}.mass", stage) for stage in STAGES]
        assert masses == sorted(masses, reverse=True)
        for stage in ("leather-hard", "dry"):
            witness = sheet.value(f"{part}.witness", stage)
            assert witness == pytest.approx(100 * sheet.value(f"{part}.mass", stage) / masses[0], rel=1e-12)
    assert sheet.value("clay.density", "wet") * sheet.value(f"{parts[-1]}.volume", "wet") == pytest.approx(
        sheet.value(f"{parts[-1]}.mass", "wet"), rel=1e-12
    )


# --- there and back, and scaling ----------------------------------------------------------


def cup_text(stage, sizes, walls, left_on, opens="up"):
    stations = "".join(
        f"      s{n}: {{height: {height!r}, diameter: {diameter!r}}}\n" for n, (height, diameter) in enumerate(sizes)
    )
    wall, floor = walls
    return (
        f"title: Cup\nclay: plain\nglaze: clear\nsizes: {stage}\nparts:\n  cup:\n    opens: {opens}\n    outside:\n{stations}    wall: {wall!r}\n    floor: {floor!r}\n"
        f"    throwing: {{loss: 5 %, left_on: {{wall: {left_on!r}, floor: {left_on!r}}}}}\n"
    )


def clay_text(leather_hard, dry, bisque, fired):
    return f"title: Plain\nwater: 30 %\nloss_on_ignition: 6 %\nshrinkage: {{leather-hard: {leather_hard} %, dry: {dry} %, bisque: {bisque} %, fired: {fired} %}}\n"


shrinkages = st.lists(st.floats(0.5, 3.5), min_size=4, max_size=4).map(
    lambda steps: [sum(steps[:n]) for n in range(1, 5)]
)
outlines = st.tuples(
    st.floats(40, 90), st.floats(60, 140), st.floats(40, 90), st.floats(60, 120), st.floats(30, 80)
).map(lambda drawn: [(0.0, drawn[0]), (drawn[3] * 0.4, drawn[1]), (drawn[3], drawn[2] + 30)])


@settings(max_examples=25, deadline=None)
@given(shrinkages, outlines, st.sampled_from(STAGES), st.sampled_from(STAGES), st.sampled_from(["up", "down"]))
def test_there_and_back(shrinkage, sizes, typed_at, read_at, opens):
    clay = (("specs/clays/plain.yaml", clay_text(*shrinkage)),)
    first = sheet_of("cup", (*clay, ("specs/forms/cup.yaml", cup_text(typed_at, sizes, (4.0, 6.0), 1.0, opens))))
    across = 1.0
    for stage, sign in ((typed_at, -1), (read_at, 1)):
        share = 0.0 if stage == "wet" else first.value("clay.shrinkage", stage) / 100
        across *= (1 - share) ** sign
    read = [(first.value(f"cup.s{n}.height", read_at), first.value(f"cup.s{n}.diameter", read_at)) for n in range(3)]
    again = sheet_of(
        "cup", (*clay, ("specs/forms/cup.yaml", cup_text(read_at, read, (4.0 * across, 6.0 * across), 1.0, opens)))
    )
    assert [figure.name for figure in again.figures] == [figure.name for figure in first.figures]
    for figure in first.figures:
        if figure.key != "cup.ball.set":  # a hair can be a whole step there
            assert again.value(figure.key, figure.stage) == pytest.approx(figure.value, rel=1e-9, abs=1e-9), figure.name


POWERS = {"mm": 1, "cm2": 2, "cm3": 3, "ml": 3, "g": 3, "g/cm3": 0, "%": 0}


@settings(max_examples=15, deadline=None)
@given(outlines, st.floats(0.5, 2.0), st.sampled_from(["up", "down"]))
def test_a_cup_k_times_as_large(sizes, k, opens):
    still = (("specs/studio.yaml", "title: Yard\n"), ("specs/glazes/clear.yaml", "title: Clear\nfilm: 0\n"))
    small = sheet_of("cup", (*still, ("specs/forms/cup.yaml", cup_text("fired", sizes, (4.0, 6.0), 1.0, opens))))
    scaled = [(height * k, diameter * k) for height, diameter in sizes]
    large = sheet_of("cup", (*still, ("specs/forms/cup.yaml", cup_text("fired", scaled, (4.0 * k, 6.0 * k), k, opens))))
    for figure in small.figures:
        if figure.key != "cup.ball.set":
            grown = figure.value * k ** POWERS[figure.unit]
            assert large.value(figure.key, figure.stage) == pytest.approx(grown, rel=1e-9, abs=1e-9), figure.name
