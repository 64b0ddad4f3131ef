"""Offsets: walls, floors, ledges, undercuts and necks, worked by hand."""

from math import hypot, sqrt

import pytest
from wareboard.pot.offsets import SectionError, wall_inside
from wareboard.pot.outlines import radius_at, smooth_outline
from wareboard.pot.solids import profile_ring, revolved_area_mm2, ring_problem

from tests.every import every

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


@every(
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


def test_no_wall_is_the_outside_itself():
    assert wall_inside(BEAKER, 0.0, 2.0)[1:] == (BEAKER[1], BEAKER[2])


@every("rise", [-0.5, -0.01, 0.0, 0.01, 0.5, 2.0])
def test_a_rim_that_ends_all_but_level_has_an_edge_as_thick_as_the_wall(rise):
    plate = ((80.0, 0.0), (110.0, 10.0), (148.0, 10.0 + rise))
    inside = wall_inside(plate, 4.0, 5.0)
    across, up = inside[-1][0] - 148.0, inside[-1][1] - 10.0 - rise
    lean = hypot(38.0, rise)
    # the lip lies on the wall's own upper face, and over the rim the more the more level it ends
    assert across * -rise / lean + up * 38.0 / lean == pytest.approx(4.0)
    assert -0.21 * 4.0 * max(rise, 0.0) - 1e-9 <= across <= 1e-9


def test_the_edge_begins_where_a_rim_is_cut_level():
    steep = wall_inside(
        ((80.0, 0.0), (110.0, 10.0), (148.0, 10.0 + 38.0 / 3.7320)), 4.0, 5.0
    )  # 75 degrees from upright
    flat = wall_inside(((80.0, 0.0), (110.0, 10.0), (148.0, 10.0 + 38.0 / 3.7330)), 4.0, 5.0)
    assert flat[-1] == pytest.approx(steep[-1], abs=0.03)
