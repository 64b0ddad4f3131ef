"""The drawings of whole forms: what stands where, what is written, and that nothing is written over."""

import itertools
import re
import xml.etree.ElementTree as xml
from math import dist

import pytest
from shapely import LineString
from wareboard.drawing.charts import draw_fit_chart, draw_shrinkage_bars, ticks
from wareboard.drawing.closeups import draw_fit
from wareboard.drawing.formdrawing import draw_form, draw_small, draw_stage_overlay
from wareboard.drawing.seating import as_finished, set_together
from wareboard.drawing.svg import text_width_mm
from wareboard.drawing.workdrawing import draw_foot, draw_trimming, draw_wheel, footed_parts, turned_over
from wareboard.figures.figure import Figures
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.sheet import make_sheet
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.text.projects import read_project

from tests.demo import texts_of_demo, worked_out
from tests.every import every

SVG = "{http://www.w3.org/2000/svg}"

STUDIO = """
title: Test yard
bat: 12 mm
spreads: {calipers: 0.3 mm, trimming: 0.25 mm, out_of_round: 0.4 mm, shrinkage: 0.15 %}
"""
CLAY = """
title: Test clay
water: 21 %
loss_on_ignition: 7 %
shrinkage: {dry: 6 %, fired: 12 %}
bars:
  - {lot: "<b>one", wet: 100, dry: 94.0, fired: 88.2}
  - {lot: "<b>one", wet: 100, dry: 93.8, fired: 87.8}
  - {lot: two, wet: 100, dry: 94.0, fired: 88.0}
"""
GLAZE = "title: Test glaze\npint_weight: 1.45 g/ml\ncoat: 0.9 kg/m2\nfilm: 0.35 mm\n"
CADDY = """
title: Caddy
clay: body
glaze: shine
parts:
  jar:
    outside: {foot: {height: 0, diameter: 80}, bevel: {height: 3, diameter: 86}, rim: {height: 98, diameter: 86}}
    inside:
      floor: {height: 5, diameter: 70}
      heel: {height: 10, diameter: 77}
      under: {height: 82, diameter: 77}
      ledge: {height: 89, diameter: 67}
      seat: {height: 89, diameter: 77}
      lip: {height: 98, diameter: 77}
    calipers: {mouth: inside rim}
    throwing: {loss: 6 %, left_on: {wall: 1, floor: 3}, gauge_at: rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, edge: {height: 8, diameter: flange, corner: true}, neck: {height: 18, diameter: 14}, knob: {height: 27, diameter: 25}, top: {height: 32, diameter: 14}}
    line: smooth
    inside: {lip: {height: 0, diameter: 60}, hollow: {height: 4, diameter: 46}, middle: {height: 6, diameter: 0}}
    calipers: {flange: fit}
    throwing: {loss: 8 %, left_on: {wall: 1, floor: 4}, gauge_at: edge}
fits:
  lid: {inside: jar.mouth, outside: lid.flange, clearance: {aim: 1.4, least: 0.5, most: 2.6}, left_on: 1}
"""
BOTTLE = """
title: Bottle
clay: body
glaze: shine
parts:
  bottle:
    outside:
      foot: {height: 0, diameter: 70}
      bevel: {height: 3, diameter: 76, corner: true}
      belly: {height: 70, diameter: 94}
      brow: {height: 133, diameter: 56}
      gutter: {height: 129, diameter: 40, corner: true}
      lip: {height: 174, diameter: 36}
    line: smooth
    wall: {foot: 5, belly: 4.5, gutter: 5, lip: 4.5}
    floor: 6
    calipers: {mouth: inside lip}
    throwing: {loss: 8 %, left_on: {wall: 0.5, floor: 3}, gauge_at: [belly, lip]}
  stopper:
    opens: down
    outside:
      tip: {height: 0, diameter: plug}
      stop: {height: 18, diameter: plug, corner: true}
      collar: {height: 18, diameter: 38, corner: true}
      brim: {height: 21, diameter: 38, corner: true}
      waist: {height: 29, diameter: 15}
      knob: {height: 38, diameter: 24}
      top: {height: 44, diameter: 10}
    line: smooth
    calipers: {plug: fit}
    throwing: {loss: 12 %, left_on: {wall: 1.5, floor: 4}, gauge_at: brim}
fits:
  stopper: {inside: bottle.mouth, outside: stopper.plug, clearance: {aim: 1.8, least: 0.7, most: 3}, glazed: inside, pairing: any}
"""
BEAKER = """
title: Beaker
clay: body
parts:
  кружка с очень длинным именем:
    outside: {foot: {height: 0, diameter: 58}, bevel: {height: 2, diameter: 62}, верхний край у самого верха: {height: 120, diameter: 80}}
    wall: 4
    floor: 5
    calipers: {mouth: inside верхний край у самого верха}
"""
LOOSE = """
title: Two dishes
clay: body
parts:
  small: {outside: {foot: {height: 0, diameter: 40}, rim: {height: 30, diameter: 60}}, wall: 4, floor: 4}
  wide: {outside: {foot: {height: 0, diameter: 80}, rim: {height: 20, diameter: 160}}, wall: 5, floor: 5}
"""
TUREEN = """
title: Tureen
clay: body
parts:
  pot:
    outside: {foot: {height: 0, diameter: 190}, belly: {height: 60, diameter: 250}, rim: {height: 120, diameter: 235}}
    line: smooth
    wall: {foot: 7, rim: 5}
    floor: 7
    gallery: {depth: 8, width: 7}
    calipers: {mouth: inside rim}
"""
COVER = """
title: Cover
clay: body
parts:
  cover:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, edge: {height: 8, diameter: flange}, crown: {height: 22, diameter: 120}}
    wall: 5
    floor: 5
    calipers: {flange: fit}
fits:
  cover: {inside: tureen/pot.mouth, outside: cover.flange, clearance: {aim: 2.2, least: 0.5, most: 4}, glazed: none, pairing: own}
"""
FORMS = {"caddy": CADDY, "bottle": BOTTLE, "beaker": BEAKER, "loose": LOOSE, "tureen": TUREEN, "cover": COVER}


@pytest.fixture(scope="module")
def project():
    texts = {"specs/studio.yaml": STUDIO, "specs/clays/body.yaml": CLAY, "specs/glazes/shine.yaml": GLAZE}
    texts |= {f"specs/forms/{slug}.yaml": text for slug, text in FORMS.items()}
    found = read_project(texts)
    assert not found.problems
    return found


@pytest.fixture(scope="module")
def sheets(project):
    made = {slug: make_sheet(project.forms[slug], project) for slug in FORMS}
    assert all(sheet.figures for sheet in made.values())
    return made


@pytest.fixture(scope="module")
def drawings(sheets, project):
    made = {}
    for slug, sheet in sheets.items():
        made[slug, "wheel"] = draw_wheel(sheet)
        made[slug, "overlay"] = draw_stage_overlay(sheet)
        for sizes in ("set", "all", "none"):
            made[slug, sizes] = draw_form(sheet, "fired", sizes=sizes)
        made[slug, "phone"] = draw_form(sheet, "wet", width_mm=90.0, height_mm=90.0, name=f"{slug}-phone")
        for fit in sheet.form.fits:
            made[slug, f"fit {fit}"] = draw_fit(sheet, str(fit))
            made[slug, f"chart {fit}"] = draw_fit_chart(sheet, str(fit))
    made["body", "bars"] = draw_shrinkage_bars(project.clays["body"])
    return made


def texts_of(svg):
    return [text.text for text in xml.fromstring(svg).iter(f"{SVG}text")]


def set_texts(svg):
    return [text.text for text in xml.fromstring(svg).iter(f"{SVG}text") if text.get("font-weight") == "700"]


def text_boxes(root):
    """Each line of lettering and its box, capitals high, on the page."""
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size"))
        width = text_width_mm(text.text, size, text.get("font-weight") == "700")
        start = -width * {None: 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor")]
        if text.get("transform"):
            x, y = map(float, re.search(r"translate\(([-.\d]+) ([-.\d]+)\)", text.get("transform")).groups())
            yield text.text, (x - 0.67 * size, y - start - width, x, y - start)
        else:
            x, y = float(text.get("x")), float(text.get("y"))
            yield text.text, (x + start, y - 0.67 * size, x + start + width, y)


def strokes(root, *classes):
    """Every straight piece of line of some pens."""
    for path in root.iter(f"{SVG}path"):
        if path.get("stroke") and path.get("class") in classes:
            for run in re.findall(r"M([^M]+)", path.get("d")):
                points = [tuple(map(float, point.split())) for point in run.rstrip("Z").split("L")]
                points += points[:1] if run.endswith("Z") else []
                yield from itertools.pairwise(points)


def runs_through(box, start, end, margin=0.15):
    """True where a line goes through a box (clipped to it, something is left)."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        low, high, step = box[axis] + margin, box[axis + 2] - margin, end[axis] - start[axis]
        if abs(step) < 1e-9:
            if not low < start[axis] < high:
                return False
        else:
            enter, leave = sorted(((low - start[axis]) / step, (high - start[axis]) / step))
            first, last = max(first, enter), min(last, leave)
    return first < last


LINES = ("outline", "edge", "ground", "hatch", "measure", "measure set", "thin", "middle")


@every(
    "kind",
    ["wheel", "set", "all", "none", "phone", "overlay", "fit lid", "fit stopper", "chart lid", "chart stopper", "bars"],
)
def test_nothing_is_written_over(drawings, kind):
    seen = 0
    for (slug, what), svg in drawings.items():
        if what == kind:
            root = xml.fromstring(svg)
            boxes = list(text_boxes(root))
            for place, (text, box) in enumerate(boxes):
                for other, beside in boxes[place + 1 :]:
                    apart = (
                        box[2] <= beside[0] + 0.1
                        or beside[2] <= box[0] + 0.1
                        or box[3] <= beside[1] + 0.1
                        or beside[3] <= box[1] + 0.1
                    )
                    assert apart, f"{slug}: {text} and {other}"
                for start, end in strokes(root, *LINES):
                    assert not runs_through(box, start, end), f"{slug}: {text} is struck through"
            seen += 1
    assert seen


def test_every_drawing_is_small_sound_and_said_in_words(drawings, sheets, project):
    ids = []
    for key, svg in drawings.items():
        root = xml.fromstring(svg)
        own = [element.get("id") for element in root.iter() if element.get("id")]
        assert root.get("role") == "img" and root.get("aria-labelledby").split() == own, key
        assert root.find(f"{SVG}title").text and len(root.find(f"{SVG}desc").text) > 20
        assert (
            len(svg.encode()) < 12_000
            and "var(" not in svg
            and "NaN" not in svg
            and "nan " not in svg
            and "inf" not in svg.replace("infl", "")
        ), key
        assert "url(" not in svg and "<style" not in svg and "<pattern" not in svg
        ids += own
    assert len(set(ids)) == len(ids)


def test_everything_lies_on_its_paper(drawings):
    for key, svg in drawings.items():
        root = xml.fromstring(svg)
        left, top, width, height = map(float, root.get("viewBox").split())
        for _, (x0, y0, x1, y1) in text_boxes(root):
            assert left <= x0 and x1 <= left + width and top <= y0 and y1 <= top + height, key


def test_the_same_sheet_gives_the_same_bytes(sheets, project):
    for slug, sheet in sheets.items():
        again = make_sheet(project.forms[slug], project)
        assert draw_wheel(sheet) == draw_wheel(again)
        assert draw_form(sheet, "fired", sizes="all") == draw_form(again, "fired", sizes="all")


def test_a_drawing_keeps_to_its_box(sheets):
    for sheet in sheets.values():
        for width, height in ((88.0, 94.0), (62.0, 70.0), (160.0, 120.0)):
            root = xml.fromstring(draw_wheel(sheet, width_mm=width, height_mm=height))
            assert float(root.get("width")[:-2]) <= width + 0.02 and float(root.get("height")[:-2]) <= height + 0.02


def test_lids_stand_in_their_jars_and_what_fits_nothing_stands_alone(sheets):
    [[jar, lid]] = set_together(sheets["caddy"], "fired")
    assert (jar.name, lid.name) == ("jar", "lid") and lid.bottom_mm == pytest.approx(89.0, abs=0.05)
    [[bottle, stopper]] = set_together(sheets["bottle"], "fired")
    collar = stopper.stations["collar"]
    assert collar[1] == pytest.approx(bottle.top_mm + 0.35, abs=0.05)  # on the glaze that runs over the lip
    assert [[part.name for part in group] for group in set_together(sheets["loose"], "wet")] == [["small"], ["wide"]]


def test_the_left_half_shows_the_outside_alone(sheets, drawings):
    """Left of the axis there are the silhouette and level lines; the inside's lines are on the right."""
    root = xml.fromstring(drawings["beaker", "none"])
    [(axis, _), _] = [next(strokes(root, "axis"))[0], None]
    outline = list(strokes(root, "outline", "edge"))
    scale = max(abs(x - axis) for start, end in outline for x in (start[0], end[0])) / 40.0
    for (x0, y0), (x1, y1) in outline:
        if min(x0, x1) < axis - 0.01 and abs(y0 - y1) > 0.02:
            assert min(x0, x1) <= axis - 29.0 * scale + 0.05, "a line of the inside"
    hatch = [x for start, end in strokes(root, "hatch") for x in (start[0], end[0])]
    assert hatch and min(hatch) >= axis - 0.01


def test_two_parts_are_hatched_opposite_ways(drawings):
    root = xml.fromstring(drawings["caddy", "none"])
    ways = {(y1 - y0) / (x1 - x0) > 0 for (x0, y0), (x1, y1) in strokes(root, "hatch")}
    assert ways == {True, False}
    single = {
        (y1 - y0) / (x1 - x0) > 0 for (x0, y0), (x1, y1) in strokes(xml.fromstring(drawings["beaker", "none"]), "hatch")
    }
    assert single == {False}


def test_what_is_set_is_written_large_and_what_follows_is_not(sheets, drawings):
    caddy, svg = sheets["caddy"], drawings["caddy", "set"]
    assert set_texts(svg) == [
        f"flange ⌀ {caddy.value('lid.flange', 'fired'):.1f}",
        f"mouth ⌀ {caddy.value('jar.mouth', 'fired'):.1f}",
    ]
    plain = set(texts_of(svg)) - set(set_texts(svg))
    assert plain == {"98.0", "32.0", "⌀ 86.0"}


def test_what_the_lid_hides_is_told_beside_the_drawing(drawings):
    assert {"mouth ⌀ 27.0", "plug ⌀ 24.5"} <= set(set_texts(drawings["bottle", "set"]))


def test_every_station_is_told_where_all_sizes_are(sheets, drawings):
    for slug in ("caddy", "bottle"):
        said = " | ".join(texts_of(drawings[slug, "all"]))
        sheet = sheets[slug]
        for part, spec in sheet.form.parts.items():
            for station in spec.outside:
                assert f"{station} ⌀ {sheet.value(f'{part}.{station}.diameter', 'fired'):.1f}" in said
                height = sheet.value(f"{part}.{station}.height", "fired")
                assert height == 0.0 or f"{height:.1f}" in said.split(" | ")


def test_no_sizes_means_none(drawings):
    assert texts_of(drawings["caddy", "none"]) == []


def test_the_wheel_shows_what_is_set_at_the_wheel(sheets, drawings):
    sheet = as_set(sheets["caddy"])
    expected = {sheet.value(f"{part}.pointer.{what}", "wet") for part in ("jar", "lid") for what in ("height", "reach")}
    shown = set_texts(drawings["caddy", "wheel"])
    assert {f"{value:.1f}" for value in expected} <= set(shown)
    assert f"⌀ {sheet.value('fit.lid.calipers', 'wet'):.1f}" in shown
    assert f"⌀ {sheet.value('fit.lid.outside.thrown', 'wet'):.1f}" in shown
    assert "lid, upside down" in texts_of(drawings["caddy", "wheel"])


def test_the_pointer_touches_the_thrown_rim_above_the_bat(sheets):
    svg = draw_wheel(sheets["beaker"], width_mm=88.0)
    root = xml.fromstring(svg)
    pointer = next(path for path in root.iter(f"{SVG}path") if path.get("class") == "pointer set")
    tip = tuple(map(float, pointer.get("d")[1:].split("L")[0].split()))
    [(start, end)] = list(strokes(root, "ground"))
    axis = next(strokes(root, "axis"))[0][0]
    sheet = sheets["beaker"]
    part = next(iter(sheet.shapes))
    reach, height = sheet.value(f"{part}.pointer.reach", "wet"), sheet.value(f"{part}.pointer.height", "wet")
    assert (axis - tip[0]) / (start[1] - 0.45 - tip[1]) == pytest.approx(reach / height, rel=0.002)


def test_long_names_are_cut_and_any_script_is_shown(drawings):
    said = texts_of(drawings["beaker", "all"])
    assert any(text.startswith("верхний край у… ⌀ 80.0") for text in said), said


def test_sizes_are_written_as_the_caller_says(sheets):
    svg = draw_form(sheets["beaker"], "fired", size_text=lambda mm: f"<{mm / 25.4:.2f}″>")
    assert "⌀ <3.15″>" in texts_of(svg)


def test_the_front_is_to_one_scale_on_one_ground_line(sheets):
    drawn = {slug: draw_small(sheet, scale=0.2) for slug, sheet in sheets.items()}
    tallest = max(small.tallest_mm for small in drawn.values())
    front = {slug: small.render(tallest) for slug, small in drawn.items()}
    roots = {slug: xml.fromstring(svg) for slug, svg in front.items()}
    boxes = {slug: tuple(map(float, root.get("viewBox").split())) for slug, root in roots.items()}
    assert len({(box[1], box[3]) for box in boxes.values()}) == 1
    beaker = [x for start, end in strokes(roots["beaker"], "edge") for x in (start[0], end[0])]
    assert max(beaker) - min(beaker) == pytest.approx(0.2 * 80.0 + 4.0, abs=0.02)
    assert all(len(svg) < 2_500 and "<text" not in svg for svg in front.values())


@every("size", [(3, 2), (900, 3), (4, 900), (2500, 2500)])
@every("count", [1, 5])
def test_the_smallest_flattest_tallest_and_most_are_drawn(project, size, count):
    wide, tall = size
    part = f"{{outside: {{foot: {{height: 0, diameter: {wide}}}, rim: {{height: {tall}, diameter: {wide}}}}}, throwing: {{gauge_at: rim}}}}"
    text = "title: Odd\nclay: body\nparts:\n" + "".join(f"  p{number}: {part}\n" for number in range(count))
    studio = {"specs/studio.yaml": STUDIO, "specs/clays/body.yaml": CLAY, "specs/forms/odd.yaml": text}
    read = read_project(studio)
    sheet = make_sheet(read.forms["odd"], read)
    assert sheet.figures, sheet.problems
    for svg in (
        draw_wheel(sheet),
        draw_form(sheet, "dry"),
        draw_form(sheet, "wet", sizes="all"),
        draw_stage_overlay(sheet),
        draw_small(sheet).alone,
    ):
        root = xml.fromstring(svg)
        assert float(root.get("viewBox").split()[2]) > 0.0


def test_a_sheet_without_parts_cannot_be_drawn(sheets):
    from dataclasses import replace

    empty = replace(sheets["beaker"], shapes={}, found=Figures())
    for draw in (draw_wheel, draw_stage_overlay, lambda sheet: draw_form(sheet, "fired")):
        with pytest.raises(ValueError, match="nothing to draw"):
            draw(empty)


def test_three_stages_lie_over_one_another(sheets, drawings):
    root = xml.fromstring(drawings["beaker", "overlay"])
    tops = {
        pen: min(y for start, end in strokes(root, pen) for y in (start[1], end[1]))
        for pen in ("dashed", "middle", "outline")
    }
    foot = max(y for start, end in strokes(root, "outline") for y in (start[1], end[1]))
    sheet, part = sheets["beaker"], next(iter(sheets["beaker"].shapes))
    heights = {
        pen: sheet.value(f"{part}.height", stage)
        for pen, stage in (("dashed", "wet"), ("middle", "dry"), ("outline", "fired"))
    }
    for pen in ("dashed", "middle"):
        assert (foot - tops[pen]) / (foot - tops["outline"]) == pytest.approx(
            heights[pen] / heights["outline"], rel=0.003
        )


def test_a_fit_is_drawn_as_wide_as_it_is(sheets, drawings):
    for slug, fit in (("caddy", "lid"), ("bottle", "stopper"), ("cover", "cover")):
        root = xml.fromstring(drawings[slug, f"fit {fit}"])
        scale = float(re.search(r"([\d.]+) : 1", " ".join(texts_of(drawings[slug, f"fit {fit}"]))).group(1))
        tips = sorted(
            float(point)
            for path in root.iter(f"{SVG}path")
            if path.get("class") == "head set"
            for point in re.findall(r"M([-.\d]+) ", path.get("d"))
        )
        assert tips[1] - tips[0] == pytest.approx(
            scale * sheets[slug].value(f"fit.{fit}.gap", "fired"), abs=0.35 * scale * 0.3
        )


def points_of(root, name):
    """The points of all lines of a pen, on the page."""
    paths = [path.get("d") for path in root.iter(f"{SVG}path") if path.get("class") == name]
    return [tuple(map(float, pair.split(" "))) for path in paths for pair in re.findall(r"[-.\d]+ [-.\d]+", path)]


def test_another_forms_part_is_drawn_where_both_faces_show_the_gap_that_is_said(drawings):
    root = xml.fromstring(drawings["cover", "fit cover"])
    assert "pot (Tureen)" in texts_of(drawings["cover", "fit cover"])
    heads = [path.get("d") for path in root.iter(f"{SVG}path") if path.get("class") == "head set"]
    tips = [tuple(map(float, tip)) for head in heads for tip in re.findall(r"M([-.\d]+) ([-.\d]+)", head)]
    assert len(tips) == 2
    for tip in tips:  # at the rim, which leans in: lower down the two lie farther apart
        assert min(dist(tip, point) for point in points_of(root, "outline")) < 0.02


def test_another_forms_part_is_a_line_where_the_two_meet_elsewhere_than_they_are_measured():
    nest = draw_fit(worked_out(texts_of_demo())[1]["short-beaker"], "nest")
    root = xml.fromstring(nest)
    (mouth,) = {x for x, _ in points_of(root, "phantom")}
    assert "cup (Tall beaker)" in texts_of(nest) and max(x for x, _ in points_of(root, "outline")) < mouth


def test_glaze_is_drawn_only_where_it_is(drawings):
    assert 'class="film"' in drawings["bottle", "fit stopper"] and "glaze shaded" in drawings["bottle", "fit stopper"]
    assert "glaze shaded" not in drawings["caddy", "fit lid"]
    assert any(text.startswith("glaze") for text in texts_of(drawings["bottle", "chart stopper"]))
    assert not any(text.startswith("glaze") for text in texts_of(drawings["caddy", "chart lid"]))


def test_the_chart_stands_to_scale(sheets, drawings):
    root = xml.fromstring(drawings["caddy", "chart lid"])
    line = list(strokes(root, "outline"))
    ys = [line[0][0][1], *(end[1] for _, end in line)]
    values = [
        sheets["caddy"].value("fit.lid.clearance", stage) for stage in ("wet", "leather-hard", "dry", "bisque", "fired")
    ]
    least, most = sorted({start[1] for start, _ in strokes(root, "dashed")}, reverse=True)
    unit = (least - most) / (2.6 - 0.5)
    for value, y in zip(values, ys, strict=True):
        assert least - y == pytest.approx((value - 0.5) * unit, abs=0.02)


def test_every_bar_has_its_marker_and_the_mean_its_line(project, drawings):
    root = xml.fromstring(drawings["body", "bars"])
    markers = next(path for path in root.iter(f"{SVG}path") if path.get("class") == "mark").get("d").count("M")
    assert markers == 3 * 2 + 2  # three bars at two stages, and the legend
    assert {"dry", "fired", "lot <b>one", "lot two", "6.07 ± 0.12 %", "12.00 ± 0.20 %", "6.1", "12.0"} <= set(
        texts_of(drawings["body", "bars"])
    )


def test_a_clay_without_bars_has_no_bars_to_draw(project):
    from dataclasses import replace

    with pytest.raises(ValueError, match="no bar of body"):
        draw_shrinkage_bars(replace(project.clays["body"], bars=()))


def test_ticks_are_round_and_within():
    for low, high in ((0.0, 2.6), (-0.4, 5.0), (11.7, 12.3), (0.0, 47.0)):
        found = ticks(low, high)
        assert 2 <= len(found) <= 7 and low - 1e-9 <= found[0] and found[-1] <= high + 1e-9


# ---- several parts ----


def many_parts(count):
    """A form of cups that fit nothing, each of its own size."""
    parts = "".join(
        f"  p{n}:\n    outside: {{foot: {{height: 0, diameter: {50 + 8 * n}}}, rim: {{height: {40 + 15 * n}, diameter: {70 + 11 * n}}}}}\n    wall: 4\n    floor: 5\n"
        f"    calipers: {{mouth: inside rim}}\n    throwing: {{loss: 6 %, gauge_at: rim}}\n"
        for n in range(count)
    )
    texts = {
        "specs/studio.yaml": STUDIO,
        "specs/clays/body.yaml": CLAY,
        "specs/forms/many.yaml": f"title: Many\nclay: body\nunit: mm\nparts:\n{parts}",
    }
    project = read_project(texts)
    assert not project.problems
    return make_sheet(project.forms["many"], project)


def lettering_shown(svg):
    """Size of the captions as they come out on paper, mm: the drawing may be shown smaller than it was set."""
    root = xml.fromstring(svg)
    shown = float(root.get("width").removesuffix("mm")) / float(root.get("viewBox").split()[2])
    return shown * min(float(text.get("font-size")) for text in root.iter(f"{SVG}text"))


def captions(svg, names=r"p\d"):
    """Where each part's name stands: x and y by name."""
    found = {
        text.text: (float(text.get("x")), float(text.get("y")))
        for text in xml.fromstring(svg).iter(f"{SVG}text")
        if re.fullmatch(names, text.text)
    }
    assert found
    return found


def test_five_parts_stand_in_rows_and_stay_legible_in_a_cards_box():
    sheet = many_parts(5)
    svg = draw_wheel(sheet, width_mm=64, height_mm=86, sizes=False)
    places = captions(svg)
    assert set(places) == {f"p{n}" for n in range(5)}
    assert 1 < len({y for _, y in places.values()}) < 5
    assert lettering_shown(svg) > 1.8  # 1.2 in one row
    wide = draw_wheel(sheet, width_mm=300, height_mm=60)
    assert len({y for _, y in captions(wide).values()}) == 1


def test_captions_of_a_row_stand_on_one_line_under_it(sheets):
    # the bottle has a size below its ground, the stopper has none
    places = captions(draw_wheel(sheets["bottle"], width_mm=140, height_mm=70), "bottle|stopper, upside down")
    assert len(places) == 2 and len({y for _, y in places.values()}) == 1
    for svg in (
        draw_wheel(many_parts(2), width_mm=200, height_mm=70),
        draw_form(many_parts(3), "fired", sizes="all", width_mm=300, height_mm=70),
    ):
        assert len({y for _, y in captions(svg).values()}) == 1


def test_rows_keep_the_order_of_the_parts_from_the_lowest_row_up():
    places = captions(draw_wheel(many_parts(5), width_mm=64, height_mm=86))
    order = sorted(places, key=lambda name: (-places[name][1], places[name][0]))
    assert order == sorted(places)


def test_outlines_are_thinned_once_a_form_and_drawn_the_same_every_time(monkeypatch):
    from wareboard.drawing import seating

    sheet = many_parts(2)
    calls = []
    lean = seating._lean
    monkeypatch.setattr(seating, "_lean", lambda *asked: calls.append(asked[1]) or lean(*asked))
    drawn = [
        (draw_wheel(sheet), draw_form(sheet, "fired", sizes="all"), draw_form(sheet, "wet"), draw_stage_overlay(sheet))
        for _ in range(2)
    ]
    assert drawn[0] == drawn[1] and sorted(calls) == ["p0", "p1"]


def test_thinned_outlines_keep_every_station_and_stay_near_the_true_line(sheets):
    from wareboard.drawing.seating import as_finished

    for sheet in sheets.values():
        for name, shape in sheet.shapes.items():
            true, thin = shape.finished("fired"), as_finished(sheet, name, "fired")
            assert {s: pytest.approx(place) for s, place in true.stations.items()} == thin.stations
            assert (
                LineString(true.outside).hausdorff_distance(LineString(thin.outside)) < 0.07
            )  # 0.05 and 0.01, and what scaling adds
            assert len(thin.outside) <= 60


@every("name", ["caddy", "beaker", "bottle"])
def test_every_setting_has_its_mark_in_a_ring_on_its_drawing(sheets, name):
    for draw, settings in (
        (draw_wheel, list(settings_of(sheets[name]))),
        (draw_trimming, [one for rows in trim_settings_of(sheets[name]).values() for one in rows]),
    ):
        root = xml.fromstring(draw(sheets[name], width_mm=150.0, height_mm=150.0))
        words = [text.text for text in root.iter(f"{SVG}text")]
        drawn = [one for one in settings if one.kind != "ball"]
        assert sum(1 for _ in root.iter(f"{SVG}circle")) == sum(len(one.ends) for one in drawn)
        assert all(one.mark in words for one in drawn)
        assert not any("\u20dd" in (word or "") for word in words)


def test_a_vessel_is_trimmed_turned_over_and_a_lid_as_it_is_used(sheets):
    said = draw_trimming(sheets["caddy"])
    assert "jar, turned over" in said and "lid, the right way up" in said


def test_a_turned_foot_is_drawn_upside_down_with_what_it_is_turned_to():
    found = worked_out()[1]
    assert footed_parts(found["cup-and-saucer"]) == ["cup", "saucer"] and footed_parts(found["tall-beaker"]) == []
    over = turned_over(as_finished(found["footed-bowl"], "bowl", "leather-hard"))
    assert over.stations["rim"][1] == pytest.approx(0.0) and over.stations["foot"][1] == pytest.approx(over.top_mm)
    for slug, part in (("footed-bowl", "bowl"), ("supper-plate", "plate"), ("cup-and-saucer", "cup")):
        sheet = found[slug]
        drawn = draw_foot(sheet, part, size_text=lambda mm: f"{mm:.2f}")
        for key in ("ring.outside", "ring.inside", "recess.depth", "floor.rest"):
            assert f"{sheet.value(f'{part}.foot.{key}', 'leather-hard'):.2f}" in drawn, key
        assert drawn == draw_foot(sheet, part, size_text=lambda mm: f"{mm:.2f}")
    with pytest.raises(KeyError):
        draw_foot(found["tall-beaker"], "cup")


def test_a_fit_seen_close_shows_what_is_pushed_aside():
    caddy = worked_out()[1]["tea-caddy"]
    drawn = draw_fit(caddy, "lid")
    assert "rests on 4.3, pushed aside 3.6" in drawn and 'class="phantom"' in drawn
    assert "pushed aside" not in draw_fit(caddy, "lid", stage="dry")
