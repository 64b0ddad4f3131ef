"""The sheet of curved and ledged shapes against general-purpose libraries.

Source: scipy (PchipInterpolator, quad), shapely (buffers, areas and centroids of plane figures, turned by
Pappus's theorem: volume = area × 2 pi × radius of the centroid; CRC Concise Encyclopedia of Mathematics, read),
trimesh (a mesh of revolution), each as installed. Nothing here calls the rooms that the sheet is made with.
"""

import itertools
from math import pi

import numpy as np
import pytest
import shapely
import trimesh
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from shapely.geometry import LineString, Polygon, box
from wareboard.figures.sheet import make_sheet
from wareboard.text.projects import read_project

from tests.every import every

# Nothing shrinks until the kiln: leather-hard, the shape is as wet, so that a thrown outside is easily drawn.
CLAY = "title: Plain\nwater: 20 %\nshrinkage: {leather-hard: 0 %, dry: 5 %, fired: 10 %}\n"
TO_WET = 1 / 0.9**3


def sheet_of(parts):
    texts = {
        "specs/studio.yaml": "title: Yard\n",
        "specs/clays/plain.yaml": CLAY,
        "specs/forms/pot.yaml": f"title: Pot\nclay: plain\nparts:\n{parts}",
    }
    project = read_project(texts)
    assert not project.problems, project.problems
    sheet = make_sheet(project.forms["pot"], project)
    assert not sheet.problems, sheet.problems
    return sheet


def stations(points, corners=()):
    """Points (radius, height) as a maker types them."""
    said = [
        f"s{n}: {{height: {z!r}, diameter: {2 * r!r}{', corner: true' if n in corners else ''}}}"
        for n, (r, z) in enumerate(points)
    ]
    return "{" + ", ".join(said) + "}"


def turned_mm3(shape):
    """Volume of a plane figure turned about the axis, by Pappus."""
    return shape.area * 2 * pi * shape.centroid.x


def curve(points, corners=(), count=1200):
    """PCHIP of radius and height against chord length, broken at corners; drawn with scipy."""
    points = np.array(points, float)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    ends, drawn = [0, *corners, len(points) - 1], []
    for first, last in itertools.pairwise(ends):
        t = np.linspace(along[first], along[last], count)
        run = slice(first, last + 1)
        fair = [
            PchipInterpolator(along[run], points[run, axis])(t)
            if last - first > 1
            else np.interp(t, along[run], points[run, axis])
            for axis in (0, 1)
        ]
        drawn.append(np.column_stack(fair))
    return np.vstack(drawn)


def hollow(outline, wall, floor_level):
    """All that lies at least a wall inside an outline, above the floor, cut level at the rim."""
    outline = np.asarray(outline, float)
    rim = outline[-1, 1]
    lean = outline[-1] - outline[-2]
    on = outline[-1] + lean / lean[1] * 60 if lean[1] > 1e-9 else outline[-1] + [0, 60]
    wall_line = LineString([*outline, on])
    filled = Polygon([(0, outline[0, 1]), *outline, on, (0, on[1])]).buffer(0)
    left = filled.difference(wall_line.buffer(wall, quad_segs=256)).intersection(box(0, floor_level, 1000, rim))
    parts = [
        part
        for part in shapely.get_parts(left)
        if part.area > 1e-6 and part.bounds[3] > rim - 1e-6 and part.bounds[0] < 1e-6
    ]
    assert len(parts) == 1
    return parts[0]


def solid(outline):
    outline = np.asarray(outline, float)
    return Polygon([(0, outline[0, 1]), *outline, (0, outline[-1, 1])]).buffer(0)


# --- straight outlines with ledges and undercuts ------------------------------------------

STRAIGHT = {
    "tube with ledges": ([(40, 0), (40, 30), (46, 30), (46, 36), (40, 36), (40, 70), (44, 70), (44, 90)], 4, 5),
    "undercut bottle": ([(30, 0), (52, 45), (38, 80), (14, 95), (14, 104), (20, 101), (20, 116)], 3.5, 6),
    "flange": ([(30, 0), (34, 40), (60, 40), (60, 47)], 4, 5),
    "waist": ([(40, 0), (28, 50), (40, 100)], 5, 7),
    "wide foot": ([(25, 0), (80, 22), (90, 50)], 4, 6),
}


@every("name", STRAIGHT)
def test_walls_of_straight_outlines(name):
    outline, wall, floor = STRAIGHT[name]
    sheet = sheet_of(f"  pot:\n    outside: {stations(outline)}\n    wall: {wall}\n    floor: {floor}\n")
    void, whole = hollow(outline, wall, floor), solid(outline)
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(turned_mm3(whole) - turned_mm3(void), rel=3e-5)
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(turned_mm3(void), rel=3e-5)
    half = void.intersection(box(0, 0, 1000, outline[-1][1] / 2))
    filled = sheet_of(
        f"  pot:\n    outside: {stations(outline)}\n    wall: {wall}\n    floor: {floor}\n    fill_to: {outline[-1][1] / 2}\n"
    )
    assert 1000 * filled.value("pot.capacity.fill", "fired") == pytest.approx(turned_mm3(half), rel=3e-5)


@every("name", STRAIGHT)
def test_thrown_outsides_of_straight_outlines(name):
    outline, wall, floor = STRAIGHT[name]
    left_on, drop, rim = 1.5, 3.0, outline[-1][1]
    wet = [(r / 0.9, z / 0.9) for r, z in outline]
    level = rim / 0.9
    on = wet[-1] + (np.array(wet[-1]) - wet[-2]) / (wet[-1][1] - wet[-2][1]) * 60
    moved = (
        LineString([*wet, on])
        .buffer(-left_on, single_sided=True, join_style="mitre", mitre_limit=4.0)
        .union(Polygon([(0, 0), *wet, on, (0, on[1])]))
    )
    low = np.array(wet[1]) - wet[0]  # straight down from the moved-out foot
    corner = wet[0][0] + left_on * low[1] / np.hypot(*low)
    block = moved.union(box(0, -drop, corner, 0.5)).intersection(box(0, -drop, 1000, level))
    void = hollow(outline, wall, floor)
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(outline)}\n    wall: {wall}\n    floor: {floor}\n    throwing: {{left_on: {{wall: {left_on}, floor: {drop}}}}}\n"
    )
    expected = turned_mm3(block) - turned_mm3(void) * TO_WET
    assert 1000 * sheet.value("pot.thrown.volume", "wet") == pytest.approx(expected, rel=2e-4)
    assert sheet.value("pot.pointer.height", "wet") == pytest.approx(level + drop, rel=1e-9)
    at_rim = max(r for r, z in block.exterior.coords if abs(z - level) < 1e-6)
    assert sheet.value("pot.pointer.reach", "wet") == pytest.approx(at_rim, rel=1e-6)


def test_pointer_at_stations_of_an_undercut_bottle():
    outline, wall, floor = STRAIGHT["undercut bottle"]
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(outline)}\n    wall: {wall}\n    floor: {floor}\n    throwing: {{left_on: {{wall: 1.5, floor: 3}}, gauge_at: [s1, s3, s6]}}\n"
    )
    wet = Polygon([(0, 0), *((r / 0.9, z / 0.9) for r, z in outline), (outline[-1][0] / 0.9, 200), (0, 200)])
    moved = wet.buffer(1.5, join_style="mitre", mitre_limit=4.0)
    for name in ("s1", "s3", "s6"):
        height = outline[int(name[1])][1] / 0.9
        level = moved.intersection(LineString([(0, height), (500, height)]))
        assert sheet.value(f"pot.pointer.{name}.reach", "wet") == pytest.approx(level.bounds[2], rel=1e-6), name
        assert sheet.value(f"pot.pointer.{name}.height", "wet") == pytest.approx(height + 3, rel=1e-9), name


def test_listed_inside_with_a_gallery_against_a_mesh():
    outside = [(40, 0), (43, 3), (43, 98)]
    inside = [(0, 5), (35, 5), (38.5, 10), (38.5, 82), (33.5, 89), (38.5, 89), (38.5, 98)]
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(outside)}\n    inside: {stations(inside)}\n    calipers: {{mouth: inside s2, seat: inside 77}}\n"
    )
    sides = 720
    mesh = trimesh.creation.revolve(np.array([(0, 0), *outside, *inside[::-1]], float), sections=sides)
    share = sides / (2 * pi) * np.sin(2 * pi / sides)  # of the circle that a polygon of so many sides covers
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(abs(mesh.volume) / share, rel=1e-6)
    assert sheet.value("pot.centre_of_mass", "fired") == pytest.approx(mesh.center_mass[2], rel=1e-6)
    assert sheet.value("pot.mouth", "fired") == pytest.approx(
        77.0, rel=1e-12
    )  # the lip, at the level of the outside's s2
    brim = turned_mm3(Polygon([*inside, (0, 98)]))
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(brim, rel=1e-12)


def test_listed_inside_that_starts_off_the_axis_has_a_level_floor():
    sheet = sheet_of(
        "  pot:\n    outside: {foot: {height: 0, diameter: 80}, rim: {height: 60, diameter: 80}}\n    inside: {floor: {height: 5, diameter: 60}, lip: {height: 60, diameter: 72}}\n"
    )
    void = turned_mm3(Polygon([(0, 5), (30, 5), (36, 60), (0, 60)]))
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(void, rel=1e-12)
    # a lip that stands over the outside's rim: it runs over at the rim
    high = sheet_of(
        "  pot:\n    outside: {foot: {height: 0, diameter: 80}, rim: {height: 49, diameter: 80}}\n    inside: {floor: {height: 5, diameter: 60}, lip: {height: 60, diameter: 72}}\n"
    )
    assert 1000 * high.value("pot.capacity.brim", "fired") == pytest.approx(
        turned_mm3(Polygon([(0, 5), (30, 5), (34.8, 49), (0, 49)])), rel=1e-12
    )
    # a rim whose inside is lower: it runs over there
    low = sheet_of(
        "  pot:\n    outside: {foot: {height: 0, diameter: 80}, rim: {height: 60, diameter: 80}}\n    inside: {floor: {height: 5, diameter: 60}, lip: {height: 58, diameter: 72}}\n"
    )
    assert 1000 * low.value("pot.capacity.brim", "fired") == pytest.approx(
        turned_mm3(Polygon([(0, 5), (30, 5), (36, 58), (0, 58)])), rel=1e-12
    )


def test_wall_by_station_is_linear_between_them():
    # An upright side: the wall goes from 8 at the foot to 4 at the rim, so the inside is a cone.
    sheet = sheet_of(
        "  pot:\n    outside: {foot: {height: 0, diameter: 80}, waist: {height: 50, diameter: 80}, rim: {height: 100, diameter: 80}}\n    wall: {foot: 8, rim: 4}\n    floor: 10\n    calipers: {mouth: inside rim, middle: inside waist}\n"
    )
    assert sheet.value("pot.mouth", "fired") == pytest.approx(72.0, rel=1e-9)
    assert sheet.value("pot.middle", "fired") == pytest.approx(68.0, rel=1e-9)
    void = turned_mm3(Polygon([(0, 10), (32.4, 10), (36, 100), (0, 100)]))
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(void, rel=1e-9)


# --- smooth outlines ----------------------------------------------------------------------

BOWL = [(30, 0), (52, 12), (70, 36), (80, 76)]
SMOOTH = {
    "bowl": (BOWL, ()),
    "jar": ([(30, 0), (48, 35), (52, 70), (34, 110), (38, 130)], ()),
    "shouldered": ([(30, 0), (34, 6), (58, 40), (50, 80), (28, 96), (30, 110)], (1, 4)),
}


@every("name", SMOOTH)
def test_smooth_solids_by_quadrature(name):
    points, corners = SMOOTH[name]
    sheet = sheet_of(f"  pot:\n    outside: {stations(points, corners)}\n    line: smooth\n")
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(np.array(points, float), axis=0).T))])
    volume = moment = area = 0.0
    ends = [0, *corners, len(points) - 1]
    for first, last in itertools.pairwise(ends):
        t, run = along[first : last + 1], np.array(points[first : last + 1], float)
        if last - first == 1:
            r, z = (
                np.poly1d([(v[1] - v[0]) / (t[1] - t[0]), v[0] - t[0] * (v[1] - v[0]) / (t[1] - t[0])]) for v in run.T
            )
            dr, dz = r.deriv(), z.deriv()
        else:
            r, z = (PchipInterpolator(t, v) for v in run.T)
            dr, dz = r.derivative(), z.derivative()
        for a, b in itertools.pairwise(t):
            volume += quad(lambda s: pi * r(s) ** 2 * dz(s), a, b, epsrel=1e-10)[0]
            moment += quad(lambda s: pi * r(s) ** 2 * dz(s) * z(s), a, b, epsrel=1e-10)[0]
            area += quad(lambda s: 2 * pi * r(s) * np.hypot(dr(s), dz(s)), a, b, epsrel=1e-10)[0]
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(volume, rel=1e-6)
    assert sheet.value("pot.centre_of_mass", "fired") == pytest.approx(moment / volume, rel=1e-6)
    top = pi * points[-1][0] ** 2
    assert 100 * sheet.value("pot.area.outside", "fired") == pytest.approx(area + top, rel=1.2e-6)
    assert sheet.value("pot.height", "fired") == pytest.approx(points[-1][1], rel=1e-12)
    assert sheet.value("pot.diameter", "fired") == pytest.approx(2 * max(r for r, _ in points), rel=1e-12)


@every("name", ["bowl", "jar"])
def test_walls_of_smooth_outlines(name):
    points, corners = SMOOTH[name]
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(points, corners)}\n    line: smooth\n    wall: 4\n    floor: 6\n    calipers: {{mouth: inside s{len(points) - 1}}}\n"
    )
    outline = curve(points, corners)
    void = hollow(outline, 4, 6)
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(turned_mm3(void), rel=2e-5)
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(
        turned_mm3(solid(outline)) - turned_mm3(void), rel=5e-5
    )
    at_rim = max(r for r, z in void.exterior.coords if z > points[-1][1] - 1e-9)
    assert sheet.value("pot.mouth", "fired") == pytest.approx(2 * at_rim, rel=1e-5)


def test_bowl_like_a_half_ball():
    # Stations on a ball of 50, closely set: the clay between two half balls, capacity, area and centroid by formula.
    # A half shell: 2 pi/3 (R³ − r³), centroid 3/8 (R⁴ − r⁴)/(R³ − r³) from the open end (handbooks, memory).
    angles = np.linspace(0, pi / 2, 41)
    outer = [(float(50 * np.sin(a)), float(50 - 50 * np.cos(a))) for a in angles]
    inner = [(float(46 * np.sin(a)), float(50 - 46 * np.cos(a))) for a in angles]
    outer[0], inner[0], outer[-1], inner[-1] = (0.0, 0.0), (0.0, 4.0), (50.0, 50.0), (46.0, 50.0)
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(outer)}\n    line: smooth\n    inside: {stations(inner)}\n    throwing: {{left_on: {{wall: 2, floor: 2}}}}\n"
    )
    shell = 2 * pi / 3 * (50**3 - 46**3)
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(shell, rel=1e-3)
    assert 1000 * sheet.value("pot.capacity.brim", "fired") == pytest.approx(2 * pi / 3 * 46**3, rel=1e-4)
    assert 100 * sheet.value("pot.area.outside", "fired") == pytest.approx(2 * pi * 2500, rel=1e-4)
    assert sheet.value("pot.centre_of_mass", "fired") == pytest.approx(
        50 - 3 / 8 * (50**4 - 46**4) / (50**3 - 46**3), abs=0.02
    )
    # Source: cap R 10, h 4: 435.634 (worked); here R 46 filled 18.4 deep
    filled = sheet_of(
        f"  pot:\n    outside: {stations(outer)}\n    line: smooth\n    inside: {stations(inner)}\n    fill_to: 22.4\n"
    )
    assert filled.value("pot.capacity.fill", "fired") == pytest.approx(0.435634 * 4.6**3, rel=2e-4)
    # thrown 2 thicker all round: a ball of 50/0.9 + 2, flush with the rim
    thick = 2 * pi / 3 * ((50 / 0.9 + 2) ** 3 - (46 / 0.9) ** 3)
    assert 1000 * sheet.value("pot.thrown.volume", "wet") == pytest.approx(thick, rel=2e-3)


def test_footed_smooth_bowl_in_parts():
    foot = [(0, 7), (20, 6), (24, 0)]
    well = [(0, 12), (26, 15), (59, 36), (76.5, 76)]
    outer = [(30, 0), (28, 8), (64, 34), (80, 76)]
    sheet = sheet_of(
        f"  pot:\n    outside: {stations(outer, (1,))}\n    line: smooth\n    inside: {stations(well)}\n    underside: {stations(foot)}\n    throwing: {{left_on: {{floor: 2}}}}\n    fill_to: 66\n"
    )
    outline, hollow_line, recess = curve(outer, (1,)), curve(well), curve(foot)
    block, void, dug = solid(outline), Polygon([*hollow_line, (0, 76)]), Polygon([(0, 0), *recess])
    clay = turned_mm3(block) - turned_mm3(void) - turned_mm3(dug)
    assert 1000 * sheet.value("pot.volume", "fired") == pytest.approx(clay, rel=1e-5)
    thrown = (turned_mm3(block) - turned_mm3(void)) * TO_WET + pi * (30 / 0.9) ** 2 * 2
    assert 1000 * sheet.value("pot.thrown.volume", "wet") == pytest.approx(thrown, rel=1e-5)
    held = turned_mm3(void.intersection(box(0, 0, 1000, 66)))
    assert 1000 * sheet.value("pot.capacity.fill", "fired") == pytest.approx(held, rel=1e-5)


def test_smooth_lid_is_the_same_turned_over():
    up = [(20, 0), (38, 8), (44, 20), (42, 30)]
    down = [(r, 30 - z) for r, z in reversed(up)]
    bowl = sheet_of(
        f"  pot:\n    outside: {stations(up, (1,))}\n    line: smooth\n    wall: {{s0: 5, s3: 3}}\n    floor: 6\n    throwing: {{left_on: {{wall: 1, floor: 3}}, gauge_at: s2}}\n"
    )
    lid = sheet_of(
        f"  pot:\n    opens: down\n    outside: {stations(down, (2,))}\n    line: smooth\n    wall: {{s3: 5, s0: 3}}\n    floor: 6\n    throwing: {{left_on: {{wall: 1, floor: 3}}, gauge_at: s1}}\n"
    )
    for key, stage in (
        ("pot.volume", "fired"),
        ("pot.thrown.volume", "wet"),
        ("pot.ball", "wet"),
        ("pot.pointer.height", "wet"),
        ("pot.pointer.reach", "wet"),
        ("pot.area.inside", "bisque"),
        ("pot.height", "dry"),
    ):
        assert lid.value(key, stage) == pytest.approx(bowl.value(key, stage), rel=1e-9), key
    assert lid.value("pot.centre_of_mass", "fired") == pytest.approx(
        30 - bowl.value("pot.centre_of_mass", "fired"), rel=1e-9
    )
    assert lid.value("pot.area.outside", "fired") == pytest.approx(
        bowl.value("pot.area.outside", "fired") + pi * 4, rel=1e-9
    )
