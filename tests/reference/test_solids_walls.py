"""Walls and thrown outsides against brute force.

Source: shapely: buffers of high resolution, unions of plain quadrilaterals and distances, as
installed; nothing here uses the chains and faces by which the walls are really found.
"""

import random
from itertools import pairwise
from math import hypot

import pytest
import shapely
from wareboard.pot.offsets import SectionError, wall_inside
from wareboard.pot.outlines import smooth_outline, walls_along
from wareboard.pot.solids import profile_ring, revolved_volume_mm3
from wareboard.pot.thrown import thrown_outside

from tests.every import every

FAR = 1000.0
SHAPES = {
    "beaker": ((29.0, 0.0), (31.0, 2.0), (40.0, 120.0)),
    "waist": ((40.0, 0.0), (28.0, 50.0), (40.0, 100.0)),
    "gallery": ((40.0, 0.0), (50.0, 60.0), (50.0, 80.0), (58.0, 80.0), (58.0, 95.0)),
    "undercut": ((30.0, 0.0), (40.0, 40.0), (40.0, 50.0), (34.0, 45.0), (34.0, 60.0), (45.0, 80.0)),
    "fine foot": ((28.0, 0.0), (30.0, 0.5), (31.0, 1.5), (31.0, 4.0), (45.0, 40.0), (45.5, 41.0), (40.0, 90.0)),
    "groove": ((35.0, 0.0), (35.0, 40.0), (31.0, 40.0), (31.0, 43.0), (35.0, 43.0), (38.0, 90.0)),
    "flange": ((30.0, 0.0), (34.0, 40.0), (60.0, 40.0), (60.0, 47.0)),
    "leaning in": ((60.0, 0.0), (64.0, 30.0), (25.0, 60.0)),
    "from the axis": ((0.0, 0.0), (25.0, 4.0), (45.0, 30.0), (40.0, 80.0)),
    "short foot": ((38.87, 0.0), (36.4, 1.0), (26.97, 28.36), (26.97, 60.0)),
    "wide foot": ((25.0, 0.0), (80.0, 22.0), (90.0, 50.0)),
}  # fmt: skip
SMOOTH = {
    "jar": ((30.0, 0.0), (48.0, 35.0), (52.0, 70.0), (34.0, 110.0), (38.0, 130.0)),
    "tight belly": ((20.0, 0.0), (50.0, 8.0), (52.0, 14.0), (40.0, 40.0), (42.0, 60.0)),
    "falling back": ((30.0, 0.0), (50.0, 30.0), (60.0, 26.0), (66.0, 32.0), (60.0, 60.0)),
}
OUTLINES = {**SHAPES, **{name: smooth_outline(stations)[0] for name, stations in SMOOTH.items()}}
WALLED = {**OUTLINES, "turned down and in": ((23.0, 0.0), (27.0, 13.0), (62.0, 38.0), (37.0, 36.0))}


def _run_on(outline, far=400.0):
    (r0, z0), (r1, z1) = outline[-2:]
    length = hypot(r1 - r0, z1 - z0)
    across, up = ((r1 - r0) / length, (z1 - z0) / length) if z1 > z0 else (0.0, 1.0)
    return [*outline, (r1 + across * far, z1 + up * far)]


def _space(outline, clay, floor):
    """What the clay leaves of the profile, above the floor and open at the rim."""
    rim = outline[-1][1]
    profile = shapely.Polygon([(-FAR, outline[0][1]), *_run_on(outline), (-FAR, _run_on(outline)[-1][1])])
    band = shapely.box(0.0, floor, FAR, rim)
    left = profile.intersection(band).difference(clay)
    return max(shapely.get_parts(left), key=lambda part: (part.bounds[3], part.area))


def _space_by_buffer(outline, wall, floor):
    return _space(outline, shapely.LineString(_run_on(outline)).buffer(wall, quad_segs=400), floor)


def _same(inside, space):
    """Half a micron apart on the average, the chords of arcs being what is left."""
    ours = shapely.Polygon([*inside, (0.0, inside[-1][1])])
    assert ours.is_valid
    assert ours.symmetric_difference(space).area < 5e-4 * shapely.LineString(inside).length


@every(("wall", "floor"), [(2.0, 3.0), (5.0, 6.0), (9.0, 4.0)])
@every("name", WALLED)
def test_the_inside_is_the_profile_eroded(name, wall, floor):
    outline = WALLED[name]
    _same(wall_inside(outline, wall, floor), _space_by_buffer(outline, wall, floor))


@every("name", OUTLINES)
def test_every_point_of_the_inside_is_a_wall_away(name):
    outline, wall, floor = OUTLINES[name], 5.0, 6.0
    inside = wall_inside(outline, wall, floor)
    line, side = shapely.LineString(_run_on(outline)), shapely.LineString(inside[1:])
    points = [side.interpolate(k / 400.0, normalized=True) for k in range(401)]
    assert min(line.distance(point) for point in points) > wall - 5e-4  # the chords of arcs
    above_floor = [line.distance(point) for point in points if point.y > floor + 0.1]
    assert above_floor
    assert max(above_floor) < wall + 5e-4


def _clay_by_quads(outline, walls):
    points, thick = _run_on(outline), [*walls, walls[-1]]
    quads = []
    for (p0, p1), (w0, w1) in zip(pairwise(points), pairwise(thick), strict=True):
        length = hypot(p1[0] - p0[0], p1[1] - p0[1])
        nr, nz = (p0[1] - p1[1]) / length, (p1[0] - p0[0]) / length
        quads.append(shapely.Polygon([p0, p1, (p1[0] + nr * w1, p1[1] + nz * w1), (p0[0] + nr * w0, p0[1] + nz * w0)]))
    discs = [shapely.Point(p).buffer(w, quad_segs=400) for p, w in zip(points[:-1], thick[:-1], strict=True)]
    bent_in = [
        disc
        for disc, (p0, p1, p2) in zip(discs[1:], zip(points, points[1:], points[2:], strict=False), strict=False)
        if (p1[0] - p0[0]) * (p2[1] - p1[1]) < (p1[1] - p0[1]) * (p2[0] - p1[0])
    ]
    return shapely.union_all([*quads, discs[0], *bent_in])


@every("name", SHAPES)
def test_walls_by_point_are_quads_and_discs(name):
    outline = SHAPES[name]
    last = len(outline) - 1
    walls = walls_along(outline, (0, last), {0: 6.0, 1: 3.5})
    space = _space(outline, _clay_by_quads(outline, walls), 7.0)
    _same(wall_inside(outline, walls, 7.0), space)


def _drawn_outline(drawn):
    """Steps, ledges and short falls at random, over a plain last rise; never crossing itself."""
    while True:
        height, outline = 0.0, [(drawn.uniform(20.0, 60.0), 0.0)]
        for _ in range(drawn.randint(1, 6)):
            # What hardly rises from the foot stands on the bat with it: that is another test's.
            height = max(6.0, height + drawn.choice([0.0, drawn.uniform(-6.0, 30.0)]))
            outline.append((drawn.uniform(20.0, 60.0), height))
        height = max(z for _, z in outline) + 20.0
        outline.append((outline[-1][0] + drawn.uniform(-5.0, 5.0), height))
        if shapely.LineString(outline).is_simple:
            return outline


@every("seed", range(40))
def test_drawn_outlines(seed):
    drawn = random.Random(seed)
    outline = _drawn_outline(drawn)
    wall, floor, rim = drawn.uniform(1.0, 14.0), drawn.uniform(2.0, 8.0), outline[-1][1]
    space = _space_by_buffer(outline, wall, floor)
    open_at_rim = not space.is_empty and space.bounds[3] == pytest.approx(rim)
    try:
        inside = wall_inside(outline, wall, floor)
    except SectionError as refused:
        reason = "pinched" if open_at_rim else "no-inside"
        assert refused.kind == reason
        assert reason == "no-inside" or space.bounds[1] > floor + 1e-6
    else:
        assert open_at_rim
        assert space.bounds[1] == pytest.approx(floor)
        _same(inside, space)
    distance, drop = drawn.uniform(0.2, 6.0), drawn.uniform(0.0, 8.0)
    _same_thrown(thrown_outside(outline, distance, drop), _thrown(outline, distance, drop))


def _thrown(outline, distance, drop):
    """The profile, every face moved out, and every mitre: their union, and its side faces."""
    rim, points = outline[-1][1], _run_on(outline)
    if rim > outline[-2][1]:
        del points[-2]  # one face to the far end, or a crack is left between two
    faces, moved = [], []
    for p0, p1 in pairwise(points):
        length = hypot(p1[0] - p0[0], p1[1] - p0[1])
        nr, nz = (p1[1] - p0[1]) / length * distance, (p0[0] - p1[0]) / length * distance
        moved.append(((p0[0] + nr, p0[1] + nz), (p1[0] + nr, p1[1] + nz)))
        faces.append(shapely.Polygon([p0, p1, moved[-1][1], moved[-1][0]]))
    for corner, ((a, b), (c, d)) in zip(points[1:-1], pairwise(moved), strict=True):
        ur, uz, vr, vz = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
        turn = ur * vz - uz * vr
        if turn > 1e-9 * hypot(ur, uz) * hypot(vr, vz):
            t = ((c[0] - a[0]) * vz - (c[1] - a[1]) * vr) / turn
            tip = (a[0] + ur * t, a[1] + uz * t)
            faces.append(_no_farther(shapely.Polygon([corner, b, tip, c]), corner, tip, 2.0 * distance))
    foot = moved[0][0][0]
    base = shapely.box(0.0, -drop, foot, max(outline[0][1], moved[0][0][1]))
    profile = shapely.Polygon([(-FAR, outline[0][1]), *points, (-FAR, points[-1][1])])
    whole = shapely.union_all([profile, base, *faces]).intersection(shapely.box(0.0, -drop, FAR, rim))
    return shapely.Polygon(max(shapely.get_parts(whole), key=lambda part: part.area).exterior)


def _no_farther(mitre, corner, tip, most):
    """A mitre cut square to its bisector where it reaches farther than it may."""
    length = hypot(tip[0] - corner[0], tip[1] - corner[1])
    ur, uz = (tip[0] - corner[0]) / length, (tip[1] - corner[1]) / length
    low, high = -1000.0, most
    ends = [(low, -1000.0), (high, -1000.0), (high, 1000.0), (low, 1000.0)]
    near = shapely.Polygon(
        [(corner[0] + along * ur - aside * uz, corner[1] + along * uz + aside * ur) for along, aside in ends]
    )
    return mitre.intersection(near)


def _same_thrown(moved, thrown):
    ours = shapely.Polygon([(0.0, moved[0][1]), *moved, (0.0, moved[-1][1])])
    assert ours.is_valid
    assert ours.area == pytest.approx(thrown.area, rel=1e-9)
    assert ours.exterior.hausdorff_distance(thrown.exterior) < 1e-6


@every(("distance", "drop"), [(0.5, 3.0), (2.0, 1.0), (5.0, 7.0)])
@every("name", [name for name in OUTLINES if name not in ("from the axis", "tight belly")])
def test_the_thrown_outside_is_a_union_of_moved_faces(name, distance, drop):
    outline = OUTLINES[name]
    moved = thrown_outside(outline, distance, drop)
    assert moved[0][1] == -drop
    assert moved[-1][1] == outline[-1][1]
    _same_thrown(moved, _thrown(outline, distance, drop))


def test_the_fine_arc_holds_its_volume():
    # A waist's inside, its arc as 400 chords a quarter turn, by shapely; the arc's share is small.
    outline, wall = SHAPES["waist"], 9.0
    space = _space_by_buffer(outline, wall, 5.0)
    ours = wall_inside(outline, wall, 5.0)
    expected = 2.0 * 3.141592653589793 * space.centroid.x * space.area
    assert revolved_volume_mm3(profile_ring(ours[1:], None)) == pytest.approx(expected, rel=1e-6)
