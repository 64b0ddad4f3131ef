"""Offsets: walls, floors, ledges, undercuts, necks, and thrown outsides, worked by hand."""

from math import hypot, pi, sqrt

import pytest
from wareboard.pot.offsets import SectionError, moved_out, wall_inside
from wareboard.pot.outlines import radius_at, smooth_outline
from wareboard.pot.solids import profile_ring, revolved_area_mm2, ring_problem

BEAKER = ((29.0, 0.0), (31.0, 2.0), (40.0, 120.0))


def test_a_straight_side_keeps_its_slope():
    side = hypot(9.0, 118.0)
    inside = wall_inside(BEAKER, 4.0, 5.0)
    assert inside[0] == (0.0, 5.0)
    assert inside[-1] == (pytest.approx(40.0 - 4.0 * side / 118.0), 120.0)
    assert inside[1] == (pytest.approx(31.0 + 9.0 * 3.0 / 118.0 - 4.0 * side / 118.0), 5.0)
    assert len(inside) == 3


def test_a_wall_that_leans_in_is_square_up_to_the_rim():
    inside = wall_inside(((60.0, 0.0), (20.0, 40.0)), 4.0, 5.0)
    assert inside[-1] == (pytest.approx(20.0 - 4.0 * sqrt(2.0)), 40.0)


def test_bevels_that_the_wall_swallows_leave_no_trace():
    bevelled = ((30.0, 0.0), (31.0, 0.5), (31.5, 1.5), (31.5, 90.0))
    inside = wall_inside(bevelled, 6.0, 3.0)
    assert inside[-1] == (pytest.approx(25.5), 90.0)
    assert radius_at(inside, 20.0) == pytest.approx(25.5)


def test_the_wall_is_round_about_a_corner_that_juts_in():
    waisted = ((40.0, 0.0), (30.0, 50.0), (40.0, 100.0))
    inside = wall_inside(waisted, 5.0, 5.0)
    assert radius_at(inside, 50.0) == pytest.approx(25.0, abs=1e-3)
    near = [hypot(r - 30.0, z - 50.0) for r, z in inside if abs(z - 50.0) < 0.9]
    assert near
    assert near == pytest.approx([5.0] * len(near), rel=1e-4)


def test_a_foot_that_leans_wide_is_kept_at_its_wall():
    inside = wall_inside(((20.0, 0.0), (60.0, 20.0)), 4.0, 3.0)
    assert inside[1] == (pytest.approx(20.0 - sqrt(16.0 - 9.0), abs=1e-3), 3.0)


def test_a_ledge_becomes_a_ledge():
    ledged = ((30.0, 0.0), (30.0, 40.0), (45.0, 40.0), (45.0, 80.0))
    inside = wall_inside(ledged, 4.0, 5.0)
    assert radius_at(inside, 44.0) == pytest.approx(41.0)
    assert radius_at(inside, 44.0, outermost=False) == pytest.approx(30.0)
    assert radius_at(inside, 40.0) == pytest.approx(26.0)
    assert inside[-1] == (pytest.approx(41.0), 80.0)


def test_an_undercut_keeps_its_wall_all_round():
    undercut = ((30.0, 0.0), (40.0, 40.0), (40.0, 50.0), (34.0, 45.0), (34.0, 60.0), (45.0, 80.0))
    inside = wall_inside(undercut, 4.0, 5.0)
    assert ring_problem(profile_ring(undercut, inside)) is None
    assert radius_at(inside, 45.0) == pytest.approx(30.0, abs=1e-3)


def test_a_level_lip_is_the_rim_itself():
    lipped = ((30.0, 0.0), (40.0, 60.0), (40.0, 64.0), (36.0, 64.0))
    assert wall_inside(lipped, 4.0, 5.0)[-1] == (pytest.approx(32.0), 64.0)


def test_a_round_bottom_starts_where_the_thicker_of_wall_and_floor_does():
    round_bottom = ((0.0, 0.0), (20.0, 0.0), (40.0, 30.0), (40.0, 90.0))
    assert wall_inside(round_bottom, 4.0, 7.0)[0] == (0.0, 7.0)
    assert wall_inside(round_bottom, 4.0, 3.0)[0] == (0.0, pytest.approx(4.0))


def test_walls_by_point_run_linear():
    inside = wall_inside(((40.0, 0.0), (40.0, 100.0)), (6.0, 3.0), 10.0)
    assert inside == ((0.0, 10.0), (pytest.approx(34.3), 10.0), (pytest.approx(37.0), 100.0))
    many = wall_inside(BEAKER, (4.0, 4.0, 4.0), 5.0)
    assert many == wall_inside(BEAKER, 4.0, 5.0)


def test_smooth_walls_by_point_come_close_to_one_wall():
    outline, _ = smooth_outline(((30.0, 0.0), (48.0, 35.0), (40.0, 90.0)))
    level = wall_inside(outline, 4.0, 5.0)
    nearly = wall_inside(outline, [4.0 + 1e-9 * k for k in range(len(outline))], 5.0)
    assert revolved_area_mm2(nearly) == pytest.approx(revolved_area_mm2(level), rel=1e-5)


@pytest.mark.parametrize(
    ("outline", "wall", "floor", "kind", "where"),
    [
        (((30.0, 0.0), (30.0, 90.0)), 40.0, 5.0, "no-inside", (30.0, 90.0)),
        (((30.0, 0.0), (30.0, 90.0)), 30.0, 5.0, "no-inside", (30.0, 90.0)),
        (((30.0, 0.0), (30.0, 90.0)), 4.0, 90.0, "no-inside", (30.0, 90.0)),
        (((30.0, 0.0), (8.0, 40.0), (40.0, 90.0)), 9.0, 5.0, "pinched", (8.0, 40.0)),
        (((3.0, 0.0), (40.0, 90.0)), 9.0, 5.0, "pinched", None),
        (((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (5.0, 50.0), (50.0, 90.0)), 6.0, 5.0, "pinched", (5.0, 50.0)),
        (((30.0, 0.0), (50.0, 60.0), (50.0, 30.0), (20.0, 60.0), (50.0, 90.0)), 4.0, 5.0, "crosses", None),
    ],
)  # fmt: skip
def test_walls_that_have_no_room(outline, wall, floor, kind, where):
    with pytest.raises(SectionError) as caught:
        wall_inside(outline, wall, floor)
    assert caught.value.kind == kind
    if where is not None:
        assert (caught.value.radius_mm, caught.value.height_mm) == where


def test_a_stem_open_to_the_floor_is_not_pinched():
    goblet = ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (9.0, 50.0), (50.0, 90.0))
    assert wall_inside(goblet, 6.0, 6.5)[0] == (0.0, 6.5)


def test_walls_out_of_range_are_refused():
    with pytest.raises(ValueError, match="below 0"):
        wall_inside(BEAKER, -1.0, 5.0)
    with pytest.raises(ValueError, match="as many walls"):
        wall_inside(BEAKER, (4.0, 4.0), 5.0)
    with pytest.raises(ValueError, match="below 0"):
        moved_out(BEAKER, -1.0, 0.0)
    with pytest.raises(ValueError, match="below 0"):
        moved_out(BEAKER, 1.0, float("nan"))


def test_no_wall_is_the_outside_itself():
    assert wall_inside(BEAKER, 0.0, 2.0)[1:] == (BEAKER[1], BEAKER[2])


def test_moved_by_nothing_only_drops():
    assert moved_out(BEAKER, 0.0, 0.0) == BEAKER
    assert moved_out(BEAKER, 0.0, 3.0) == ((29.0, -3.0), *BEAKER)


def test_moved_faces_stay_straight_and_meet_in_a_mitre():
    moved = moved_out(((30.0, 0.0), (40.0, 10.0), (40.0, 90.0)), 2.0, 5.0)
    s = sqrt(2.0)
    expected = [(30.0 + s, -5.0), (30.0 + s, -s), (42.0, 12.0 - 2.0 * s), (42.0, 90.0)]
    assert moved == tuple(pytest.approx(point) for point in expected)


def test_a_moved_foot_below_the_drop_is_cut_there():
    moved = moved_out(((30.0, 0.0), (40.0, 10.0), (40.0, 90.0)), 2.0, 1.0)
    assert moved[0] == (pytest.approx(30.0 + 2.0 * sqrt(2.0) - 1.0), -1.0)
    assert len(moved) == 3


def test_the_moved_line_is_cut_or_run_on_to_the_rim():
    for lean in (-20.0, 20.0):
        moved = moved_out(((50.0, 0.0), (50.0 + lean, 60.0)), 3.0, 0.0)
        assert moved[-1] == (pytest.approx(50.0 + lean + 3.0 * hypot(lean, 60.0) / 60.0), 60.0)


def test_a_very_sharp_corner_is_cut_off():
    sharp = ((30.0, 0.0), (30.0, 26.0), (60.0, 30.0), (30.0, 34.0), (30.0, 90.0))
    moved = moved_out(sharp, 1.0, 0.0)
    assert 60.0 < max(radius for radius, _ in moved) < 61.1
    blunter = ((30.0, 0.0), (60.0, 0.0), (30.0, 20.0), (30.0, 90.0))
    assert max(radius for radius, _ in moved_out(blunter, 1.0, 1.0)) > 62.5


def test_a_hollow_narrower_than_the_distance_fills():
    grooved = ((30.0, 0.0), (30.0, 40.0), (25.0, 40.0), (25.0, 43.0), (30.0, 43.0), (30.0, 90.0))
    assert {radius for radius, _ in moved_out(grooved, 2.0, 0.0)} == {32.0}
    open_still = moved_out(grooved, 1.0, 0.0)
    assert radius_at(open_still, 41.5) == pytest.approx(26.0)


def test_a_rolled_and_a_level_rim():
    flange = ((30.0, 0.0), (30.0, 60.0), (45.0, 60.0))
    assert moved_out(flange, 2.0, 0.0)[-1] == (pytest.approx(47.0), 60.0)
    inward = ((30.0, 0.0), (40.0, 60.0), (20.0, 60.0))
    moved = moved_out(inward, 2.0, 0.0)
    assert moved[-1] == (pytest.approx(40.0 + 2.0 * hypot(10.0, 60.0) / 60.0), 60.0)


def test_an_outline_from_the_axis_stays_on_it():
    moved = moved_out(((0.0, 0.0), (30.0, 30.0), (30.0, 60.0)), 2.0, 5.0)
    assert moved[0] == (0.0, pytest.approx(-2.0 * sqrt(2.0)))
    flat = moved_out(((0.0, 0.0), (30.0, 0.0), (30.0, 60.0)), 2.0, 1.0)
    assert flat == ((32.0, -1.0), (32.0, 60.0))


def test_a_dense_outline_moves_square():
    outline, _ = smooth_outline(((30.0, 0.0), (48.0, 35.0), (52.0, 70.0), (34.0, 110.0), (38.0, 130.0)))
    moved = moved_out(outline, 1.5, 3.0)
    assert moved[0][1] == -3.0
    assert moved[-1][1] == 130.0
    assert ring_problem(profile_ring(moved, wall_inside(outline, 4.0, 5.0))) is None
    assert radius_at(moved, 35.0) > radius_at(outline, 35.0) + 1.5
    assert pi * radius_at(moved, 70.0) == pytest.approx(pi * 53.5, rel=1e-4)
