"""Solids: rings and their faults, sums worked by hand, levels and fills."""

import random
from math import fsum, pi, sqrt

import pytest
from wareboard.pot import solids
from wareboard.pot.solids import (
    area_below_mm2,
    filled_to,
    frustum_volume_mm3,
    height_of_fill_mm,
    profile_ring,
    revolved_area_mm2,
    revolved_centroid_height_mm,
    revolved_volume_mm3,
    ring_problem,
    smooth_outline,
    surely_within,
    volume_below_mm3,
)

from tests.every import every

TUB = ((0.0, 5.0), (20.0, 5.0), (20.0, 85.0))
# A gallery: the inside steps out, then falls back under a lip.
GALLERY = ((0.0, 5.0), (30.0, 5.0), (30.0, 60.0), (36.0, 55.0), (36.0, 70.0), (28.0, 70.0), (28.0, 80.0))


@every("line", [TUB, GALLERY, GALLERY[::-1]])
def test_few_edges_one_by_one_and_all_at_once_are_the_same(line, monkeypatch):
    ring, found = ((0.0, 0.0), (40.0, 0.0), (38.0, 90.0), *line[::-1]), []
    for few in (0, 1000):
        monkeypatch.setattr(solids, "_FEW", few)
        found.append((*solids.revolved_solid(ring), revolved_volume_mm3(ring), revolved_area_mm2(line)))
    assert found[0] == pytest.approx(found[1], rel=1e-12)


def test_a_section_with_a_turned_foot():
    ring = profile_ring(
        ((25.0, 0.0), (30.0, 40.0)),
        ((0.0, 9.0), (20.0, 9.0), (26.0, 40.0)),
        ((0.0, 4.0), (18.0, 4.0), (20.0, 0.0)),
    )
    assert ring[:4] == ((0.0, 4.0), (18.0, 4.0), (20.0, 0.0), (25.0, 0.0))
    assert ring[-1] == (0.0, 9.0)
    assert ring_problem(ring) is None


def test_a_solid_section_is_level_at_the_top():
    assert profile_ring(((0.0, 0.0), (9.0, 6.0)), None) == ((0.0, 0.0), (9.0, 6.0), (0.0, 6.0))


def test_a_feather_edge_is_one_point():
    ring = profile_ring(((30.0, 0.0), (30.0, 50.0)), ((0.0, 5.0), (25.0, 5.0), (30.0, 50.0)))
    assert ring.count((30.0, 50.0)) == 1
    assert ring_problem(ring) is None


@every(
    ("ring", "problem"),
    [
        (((0.0, 0.0), (5.0, 0.0), (-1.0, 5.0)), ("beyond-axis", (-1.0, 5.0))),
        (((0.0, 0.0), (5.0, 5.0), (9.0, 9.0)), ("empty", (0.0, 0.0))),
        (((0.0, 0.0), (5.0, 5.0)), ("empty", (0.0, 0.0))),
        (((0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)), ("crosses", (5.0, 5.0))),
        # a point that touches another edge; an edge that runs back along its neighbour; a shared line
        (((0.0, 0.0), (10.0, 0.0), (5.0, 5.0), (0.0, 5.0), (5.0, 0.0), (0.0, -5.0)), ("crosses", (5.0, 0.0))),
        (((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (10.0, 5.0), (0.0, 9.0)), ("crosses", (10.0, 10.0))),
        (((0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (2.0, 4.0), (2.0, 0.0), (0.0, 0.0)), ("crosses", (2.0, 0.0))),
    ],
)  # fmt: skip
def test_ring_problems(ring, problem):
    assert ring_problem(ring) == problem


def test_a_long_edge_that_dips_through_a_low_one_crosses_it():
    kind, where = ring_problem(((0.0, 0.0), (10.0, 2.0), (8.0, 20.0), (6.0, 0.5), (0.0, 20.0)))
    share = 0.7 / 19.1  # 0.5 + 19.5 t = 0.2 (6 + 2 t)
    assert kind == "crosses"
    assert where == pytest.approx((6.0 + 2.0 * share, 0.5 + 19.5 * share))


def test_a_crossing_in_a_ring_of_many_points_is_found_where_it_is():
    outline, _ = smooth_outline(((30.0, 0.0), (48.0, 35.0), (40.0, 90.0)))
    good = profile_ring(outline, ((0.0, 5.0), (20.0, 5.0), (30.0, 90.0)))
    assert ring_problem(good) is None
    bad = profile_ring(outline, ((0.0, 5.0), (20.0, 5.0), (60.0, 40.0), (30.0, 90.0)))
    kind, (radius, height) = ring_problem(bad)
    assert kind == "crosses"
    assert radius == pytest.approx(20.0 + 40.0 * (height - 5.0) / 35.0, abs=1e-6)


def test_a_solid_weighs_the_same_whichever_way_its_ring_runs():
    ring = ((0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0))
    assert revolved_volume_mm3(ring) == pytest.approx(500.0 * pi)
    assert revolved_volume_mm3(ring[::-1]) == pytest.approx(500.0 * pi)
    assert revolved_centroid_height_mm(ring[::-1]) == pytest.approx(2.5)


def test_a_tube_is_the_difference_of_two_cylinders():
    tube = ((8.0, 0.0), (10.0, 0.0), (10.0, 5.0), (8.0, 5.0))
    assert revolved_volume_mm3(tube) == pytest.approx(180.0 * pi)


def test_a_ledge_has_the_area_of_its_annulus():
    assert revolved_area_mm2(((8.0, 5.0), (10.0, 5.0))) == pytest.approx(36.0 * pi)
    assert revolved_area_mm2(((10.0, 0.0), (10.0, 5.0))) == pytest.approx(100.0 * pi)


def test_what_encloses_nothing_has_no_centre():
    with pytest.raises(ValueError, match="encloses nothing"):
        revolved_centroid_height_mm(((0.0, 0.0), (1.0, 0.0)))


@every("sizes", [(-1.0, 1.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, 0.0), (1.0, 1.0, float("nan"))])
def test_a_frustum_out_of_range_is_refused(sizes):
    with pytest.raises(ValueError, match="frustum"):
        frustum_volume_mm3(*sizes)


def test_volume_and_wetted_area_of_a_tub():
    assert volume_below_mm3(TUB, 45.0) == pytest.approx(400.0 * pi * 40.0)
    assert area_below_mm2(TUB, 45.0) == pytest.approx(400.0 * pi + 40.0 * pi * 40.0)
    assert area_below_mm2(TUB, 5.0) == pytest.approx(400.0 * pi)
    assert area_below_mm2(TUB, 4.9) == 0.0
    assert area_below_mm2(TUB[::-1], 45.0) == pytest.approx(area_below_mm2(TUB, 45.0))


def test_nothing_is_held_below_the_floor_and_nothing_can_be_above_the_rim():
    assert volume_below_mm3(TUB, 5.0) == 0.0
    assert volume_below_mm3(TUB, -1.0) == 0.0
    assert filled_to(TUB, 5.0) == (0.0, pytest.approx(400.0 * pi), 5.0)
    for measure in (volume_below_mm3, filled_to):
        with pytest.raises(ValueError, match="above the rim"):
            measure(TUB, 85.1)


def test_an_undercut_gallery_fills_in_its_pocket():
    # Between 55 and 60 the space is the shaft and the pocket outside the falling line.
    at_57 = pi * (30.0**2 * 52.0) + pi * sum(
        (36.0**2 - (36.0 - 1.2 * h) ** 2) * 0.001 for h in [0.0005 + 0.001 * k for k in range(2000)]
    )
    assert volume_below_mm3(GALLERY, 57.0) == pytest.approx(at_57, rel=1e-7)
    full = volume_below_mm3(GALLERY, 80.0)
    cone = pi * 5.0 / 3.0 * (36.0**2 + 36.0 * 30.0 + 30.0**2)
    by_hand = pi * (900.0 * 55.0 + 36.0**2 * 15.0 + 28.0**2 * 10.0) - cone
    assert full == pytest.approx(by_hand)


STEPPED = ((0.0, 5.0), (20.0, 5.0), (20.0, 40.0), (30.0, 40.0), (30.0, 85.0))


@every("inside", [GALLERY, STEPPED])
def test_what_fills_a_vessel_is_its_space_what_it_wets_and_the_mean_height_of_its_slices(inside):
    for level in (20.0, 40.0, 55.0, 57.5, 60.0, 65.0, 70.0, 75.0, 80.0):
        volume, wetted, centre = filled_to(inside, level)
        assert volume == pytest.approx(volume_below_mm3(inside, level), rel=1e-12)
        assert wetted == pytest.approx(area_below_mm2(inside, level), rel=1e-12)
        levels = [5.0 + (level - 5.0) * k / 500 for k in range(501)]
        below = [volume_below_mm3(inside, height) for height in levels]
        slices = [
            (more - less) * (low + high) / 2.0 for less, more, low, high in zip(below, below[1:], levels, levels[1:])
        ]
        assert centre == pytest.approx(fsum(slices) / volume, rel=1e-5)


def test_a_section_that_is_seen_to_be_one_has_no_problem():
    drawn, seen, sound = random.Random("within"), 0, 0
    for _ in range(300):
        levels = [sorted(drawn.uniform(8.0, 80.0) for _ in range(drawn.randint(0, 3))) for _ in range(2)]
        outside, inside = (
            [(drawn.uniform(*wide), height) for height in (*heights, 90.0)]
            for heights, wide in zip(levels, ((22.0, 50.0), (4.0, 34.0)))
        )
        outside = [(drawn.uniform(25.0, 45.0), 0.0), *outside]
        inside = [(0.0, 5.0), (drawn.uniform(4.0, 34.0), drawn.choice([5.0, 7.0])), *inside]
        problem = ring_problem(profile_ring(outside, inside))
        within = surely_within(inside, outside)
        assert not (within and problem), (outside, inside)
        seen, sound = seen + within, sound + (problem is None)
    assert 0.9 * sound <= seen <= sound and 100 < sound < 250


@every("level", [5.0, 5.3, 40.0, 55.0, 56.0, 60.0, 66.0, 70.0, 79.9, 80.0])
def test_fill_and_volume_are_there_and_back(level):
    assert height_of_fill_mm(GALLERY, volume_below_mm3(GALLERY, level)) == pytest.approx(level, abs=1e-9)


def test_a_cone_fills_by_the_cube_root():
    funnel = ((0.0, 0.0), (30.0, 60.0))
    eighth = volume_below_mm3(funnel, 60.0) / 8.0
    assert height_of_fill_mm(funnel, eighth) == pytest.approx(30.0)
    assert height_of_fill_mm(((0.0, 0.0), (sqrt(1.0 / pi), 0.0), (sqrt(1.0 / pi), 9.0)), 3.0) == pytest.approx(3.0)


@every("volume", [-1.0, 1e9, float("nan")])
def test_a_fill_that_the_vessel_does_not_hold_is_refused(volume):
    with pytest.raises(ValueError, match="is not between"):
        height_of_fill_mm(TUB, volume)
