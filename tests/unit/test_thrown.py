"""The shape as thrown: moved faces, edges, bases, stubs and undercuts, worked by hand."""

import random
from math import hypot, pi, sqrt

import pytest
from wareboard.pot.offsets import wall_inside
from wareboard.pot.outlines import radius_at, smooth_outline, walls_along
from wareboard.pot.solids import frustum_volume_mm3, profile_ring, revolved_volume_mm3, ring_problem
from wareboard.pot.thrown import reach_mm, thrown_outside, undercut_mm

from tests.every import every

BEAKER = ((29.0, 0.0), (31.0, 2.0), (40.0, 120.0))
# A lid as thrown: knob, neck, plate, flange.
LID = ((7.0, 0.0), (12.0, 5.0), (7.0, 14.0), (43.0, 24.0), (43.0, 32.0))


def test_what_cannot_be_left_on_is_refused():
    with pytest.raises(ValueError, match="below 0"):
        thrown_outside(BEAKER, -1.0, 0.0)
    with pytest.raises(ValueError, match="below 0"):
        thrown_outside(BEAKER, 1.0, float("nan"))
    with pytest.raises(ValueError, match="as many"):
        thrown_outside(BEAKER, (1.0, 2.0), 0.0)


def test_moved_by_nothing_only_drops():
    assert thrown_outside(BEAKER, 0.0, 0.0) == BEAKER
    assert thrown_outside(BEAKER, 0.0, 3.0) == ((29.0, -3.0), *BEAKER)


def test_moved_faces_stay_straight_and_meet_in_a_mitre():
    moved = thrown_outside(((30.0, 0.0), (40.0, 10.0), (40.0, 90.0)), 2.0, 5.0)
    s = sqrt(2.0)
    expected = [(30.0 + s, -5.0), (30.0 + s, -s), (42.0, 12.0 - 2.0 * s), (42.0, 90.0)]
    assert moved == tuple(pytest.approx(point) for point in expected)


def test_a_moved_foot_below_the_drop_is_cut_there():
    moved = thrown_outside(((30.0, 0.0), (40.0, 10.0), (40.0, 90.0)), 2.0, 1.0)
    assert moved[0] == (pytest.approx(30.0 + 2.0 * sqrt(2.0) - 1.0), -1.0)
    assert len(moved) == 3


def test_the_moved_line_is_cut_or_run_on_to_the_rim():
    for lean in (-20.0, 20.0):
        moved = thrown_outside(((50.0, 0.0), (50.0 + lean, 60.0)), 3.0, 0.0)
        assert moved[-1] == (pytest.approx(50.0 + lean + 3.0 * hypot(lean, 60.0) / 60.0), 60.0)


def test_a_very_sharp_corner_is_cut_off_two_distances_out():
    sharp = ((30.0, 0.0), (30.0, 26.0), (60.0, 30.0), (30.0, 34.0), (30.0, 90.0))
    moved = thrown_outside(sharp, 1.0, 0.0)
    assert max(radius for radius, _ in moved) == pytest.approx(62.0)
    square = ((30.0, 0.0), (30.0, 30.0), (60.0, 30.0), (60.0, 34.0), (30.0, 34.0), (30.0, 90.0))
    assert (61.0, 29.0) in thrown_outside(square, 1.0, 0.0)


def test_a_hollow_narrower_than_the_distance_fills():
    grooved = ((30.0, 0.0), (30.0, 40.0), (25.0, 40.0), (25.0, 43.0), (30.0, 43.0), (30.0, 90.0))
    assert {radius for radius, _ in thrown_outside(grooved, 2.0, 0.0)} == {32.0}
    open_still = thrown_outside(grooved, 1.0, 0.0)
    assert radius_at(open_still, 41.5) == pytest.approx(26.0)


def test_a_rolled_and_a_level_rim():
    flange = ((30.0, 0.0), (30.0, 60.0), (45.0, 60.0))
    assert thrown_outside(flange, 2.0, 0.0)[-1] == (pytest.approx(47.0), 60.0)
    inward = ((30.0, 0.0), (40.0, 60.0), (20.0, 60.0))
    moved = thrown_outside(inward, 2.0, 0.0)
    assert moved[-1] == (pytest.approx(40.0 + 2.0 * hypot(10.0, 60.0) / 60.0), 60.0)


def test_an_end_that_closes_on_the_axis_is_thrown_on_a_stub():
    cone = ((0.0, 0.0), (30.0, 30.0), (30.0, 60.0))
    moved = thrown_outside(cone, 0.0, 5.0)
    assert moved == ((8.0, -5.0), (8.0, 8.0), (30.0, 30.0), (30.0, 60.0))
    more, less = (revolved_volume_mm3(profile_ring(thrown_outside(cone, 0.0, drop), None)) for drop in (6.0, 5.0))
    assert more - less == pytest.approx(pi * 64.0)
    assert thrown_outside(cone, 0.0, 0.0) == cone  # nothing left on, nothing added
    flat = thrown_outside(((0.0, 0.0), (30.0, 0.0), (30.0, 60.0)), 2.0, 1.0)
    assert flat == ((32.0, -1.0), (32.0, 60.0))


def test_the_lowest_point_is_what_it_stands_on():
    # A foot's ring that is lower than the first station, outside, and under it.
    ring = ((20.0, 0.0), (30.0, -4.0), (34.0, 0.0), (34.0, 50.0))
    assert thrown_outside(ring, 0.0, 2.0)[0] == (30.0, -6.0)
    assert thrown_outside(BEAKER, 0.0, 2.0, lowest_mm=-1.5)[0] == (29.0, -3.5)


def test_what_hardly_rises_stands_on_the_bat():
    for tilt in (-0.01, 0.0, 0.01):
        shallow = ((30.0, 0.0), (35.0, tilt), (35.0, 60.0))
        foot, base = thrown_outside(shallow, 1.0, 3.0)[0]
        assert foot == pytest.approx(36.0, abs=0.61) and base == pytest.approx(min(0.0, tilt) - 3.0)


def test_left_on_by_station_changes_evenly_and_holds_beyond():
    wall = ((30.0, 0.0), (30.0, 40.0), (30.0, 80.0), (30.0, 100.0))
    left_on = walls_along(wall, (0, 1, 2, 3), {1: 2.0, 2: 0.0})
    assert thrown_outside(wall, left_on, 0.0) == ((32.0, 0.0), (32.0, 40.0), (30.0, 80.0), (30.0, 100.0))


@every("rise", [0.01, 0.5, 3.0, 20.0, 60.0])
def test_a_rim_has_an_edge_however_level_it_ends(rise):
    plate = ((80.0, 0.0), (120.0, 12.0), (148.0, 12.0 + rise))
    moved = thrown_outside(plate, 2.0, 3.0)
    assert moved[-1][1] == 12.0 + rise
    lean = hypot(28.0, rise)
    assert moved[-1][0] == pytest.approx(148.0 + 2.0 * lean / max(28.0, rise))  # never more than 1.41 times
    assert reach_mm(plate, 2, 2.0) == pytest.approx(moved[-1][0])


def test_a_rim_that_rolls_over_or_falls_in_keeps_its_clay():
    for tail in ((66.0, 50.0), (52.0, 48.0), (40.0, 55.0), (44.0, 60.0)):
        outline = ((40.0, 0.0), (60.0, 60.0), tail)
        moved = thrown_outside(outline, 2.0, 1.0)
        assert max(z for _, z in moved) <= 60.0
        kept, added = (revolved_volume_mm3(profile_ring(line, None)) for line in (outline, moved))
        assert added > kept


def test_a_lids_knob_is_thrown_as_a_stub():
    turned = thrown_outside(LID, 0.0, 4.0, solid_to_mm=26.0)
    # The neck is as wide as the knob until the plate is wider: frusta of a handbook of mathematics, from memory.
    added = [frustum_volume_mm3(12.0, 12.0, 9.0), -frustum_volume_mm3(12.0, 7.0, 9.0)]
    added += [frustum_volume_mm3(12.0, 12.0, 5.0 / 3.6), -frustum_volume_mm3(7.0, 12.0, 5.0 / 3.6)]
    added += [frustum_volume_mm3(8.0, 8.0, 5.0), -frustum_volume_mm3(7.0, 8.0, 1.0)]  # the least base
    finished, thrown = (revolved_volume_mm3(profile_ring(line, None)) for line in (LID, turned))
    assert thrown - finished == pytest.approx(sum(added))
    assert undercut_mm(turned, 26.0)[0] == 0.0
    assert undercut_mm(thrown_outside(LID, 0.0, 4.0), 26.0) == (5.0, (7.0, 14.0))
    typed = thrown_outside(LID, 0.0, 4.0, solid_to_mm=26.0, stub_radius_mm=15.0)
    assert [radius_at(typed, level) for level in (-4.0, 5.0, 16.0, 24.0)] == [15.0, 15.0, 15.0, 43.0]
    narrow = thrown_outside(LID, 0.0, 4.0, solid_to_mm=26.0, stub_radius_mm=9.0)
    assert undercut_mm(narrow, 26.0)[0] == pytest.approx(3.0)


def test_a_neck_over_a_hollow_is_no_undercut():
    bottle = ((30.0, 0.0), (50.0, 40.0), (20.0, 80.0), (24.0, 100.0))
    assert undercut_mm(bottle, 6.0)[0] == 0.0


def test_a_pointer_stands_off_a_drip_edge_as_it_does_beside_it():
    reaches = []
    for tilt in (-0.01, 0.0, 0.01):
        plate = ((80.0, 0.0), (120.0, 20.0), (132.0, 26.0 + tilt), (126.0, 26.0))
        reaches.append(reach_mm(plate, 3, 1.0))
    assert max(reaches) - min(reaches) < 0.05


def test_a_dense_outline_moves_square():
    outline, _ = smooth_outline(((30.0, 0.0), (48.0, 35.0), (52.0, 70.0), (34.0, 110.0), (38.0, 130.0)))
    moved = thrown_outside(outline, 1.5, 3.0)
    assert moved[0][1] == -3.0
    assert moved[-1][1] == 130.0
    assert ring_problem(profile_ring(moved, wall_inside(outline, 4.0, 5.0))) is None
    assert radius_at(moved, 35.0) > radius_at(outline, 35.0) + 1.5
    assert pi * radius_at(moved, 70.0) == pytest.approx(pi * 53.5, rel=1e-4)


def _nudged(drawn, points):
    return [(radius + drawn.uniform(-0.01, 0.01), height + drawn.uniform(-0.01, 0.01)) for radius, height in points]


def _family(drawn, kind):
    """Stations of one of the families whose figures used to jump."""
    foot = drawn.uniform(20.0, 60.0)
    if kind == "near-level rim":
        wide, high = foot + drawn.uniform(30.0, 80.0), drawn.uniform(8.0, 20.0)
        return [(foot, 0.0), (wide - 20.0, high), (wide, high + drawn.uniform(-0.02, 0.02))]
    if kind == "drip edge":
        wide, high = foot + drawn.uniform(20.0, 40.0), drawn.uniform(30.0, 60.0)
        return [(foot, 0.0), (wide - 8.0, high - 8.0), (wide, high), (wide - 6.0, high + drawn.uniform(-0.01, 0.01))]
    if kind == "closes on the axis":
        return [(drawn.uniform(0.0, 0.01), 0.0), (foot, drawn.uniform(5.0, 30.0)), (foot + 10.0, 60.0)]
    if kind == "low ring":
        return [(foot, 0.0), (foot + 5.0, drawn.uniform(-3.0, 0.01)), (foot + 12.0, 20.0), (foot + 20.0, 70.0)]
    if kind == "stem":
        return [(12.0, 0.0), (15.0, 5.0), (7.0, 12.0), (foot, 22.0), (foot, 30.0)]
    return [(foot + drawn.uniform(-10.0, 10.0), 18.0 * step) for step in range(5)]


@every("smooth", [False, True])
@every("kind", ["near-level rim", "drip edge", "closes on the axis", "low ring", "stem", "any"])
def test_small_changes_of_a_station_make_small_changes(kind, smooth):
    drawn = random.Random(f"{kind} {smooth}")
    for _ in range(25):
        stations = _family(drawn, kind)
        left_on = {0: drawn.uniform(0.0, 3.0), len(stations) - 1: drawn.choice([0.0, drawn.uniform(0.0, 2.0)])}
        drop, solid_to = drawn.uniform(0.1, 5.0), 20.0 if kind == "stem" else None
        found = []
        for points in (stations, _nudged(drawn, stations)):
            points = [(max(radius, 0.0), height) for radius, height in points]
            line, places = smooth_outline(points) if smooth else (tuple(points), tuple(range(len(points))))
            along = walls_along(line, places, left_on)
            moved = thrown_outside(line, along, drop, solid_to_mm=solid_to)
            assert ring_problem(profile_ring(moved, None)) is None
            reaches = [reach_mm(line, place, along[place]) for place in places]
            volumes = [revolved_volume_mm3(profile_ring(ring, None)) for ring in (line, moved)]
            assert volumes[1] >= volumes[0] * (1.0 - 1e-9)
            assert reaches[-1] <= line[-1][0] + 1.4143 * along[-1]
            found.append((volumes[1], moved[0][1], *reaches))
        (volume, base, *reaches), (other_volume, other_base, *other_reaches) = found
        assert other_volume == pytest.approx(volume, rel=0.004)
        assert other_base == pytest.approx(base, abs=0.011)
        assert other_reaches == pytest.approx(reaches, abs=0.3)
