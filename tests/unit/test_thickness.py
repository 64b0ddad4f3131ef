"""How thick the clay is at its thinnest."""

import random
from math import hypot

import pytest
import shapely
from wareboard.pot.thickness import FEW, least_thickness_mm, thinnest

from tests.every import every

CUP = ((30.0, 0.0), (30.0, 90.0))
INSIDE = ((0.0, 5.0), (26.0, 5.0), (26.0, 90.0))


def test_the_wall_the_floor_and_the_recess():
    assert least_thickness_mm(CUP, INSIDE) == pytest.approx(4.0)
    assert least_thickness_mm(CUP, ((0.0, 3.0), (26.0, 3.0), (26.0, 90.0))) == pytest.approx(3.0)
    recess = ((0.0, 3.0), (20.0, 3.0), (22.0, 0.0))
    assert least_thickness_mm(CUP, INSIDE, recess) == pytest.approx(2.0)


def test_a_recess_that_starts_off_the_axis_has_a_level_middle():
    # a groove from 10 to 20 out, 3 deep: 2 are left there, and 5 in the middle
    groove = ((10.0, 0.0), (12.0, 3.0), (18.0, 3.0), (20.0, 0.0))
    assert least_thickness_mm(CUP, INSIDE, groove) == pytest.approx(2.0)
    thin = ((0.0, 1.5), (26.0, 1.5), (26.0, 90.0))
    assert least_thickness_mm(CUP, thin, ((10.0, 0.0), (12.0, 1.0), (20.0, 0.0))) == pytest.approx(0.5)
    assert least_thickness_mm(CUP, thin, ((28.0, 0.0), (29.0, 0.1), (30.0, 0.0))) == pytest.approx(1.5, abs=0.11)


def test_thinnest_between_a_ledge_and_the_foot():
    inside = ((0.0, 5.0), (27.0, 8.0), (20.0, 30.0), (20.0, 90.0))
    outside = ((24.0, 0.0), (30.0, 8.0), (30.0, 90.0))
    # from (27, 8) to the slope from (24, 0) to (30, 8): distance of a point from a line
    assert least_thickness_mm(outside, inside) == pytest.approx(abs(6 * 8 - 8 * 3) / hypot(6, 8))


@every("seed", range(40))
def test_the_thinnest_place_agrees_with_a_geometry_library(seed):
    rng = random.Random(seed)
    heights = sorted(rng.uniform(0, 100) for _ in range(rng.randrange(2, 9)))
    outside = tuple((rng.uniform(30, 60), height) for height in heights)
    inside = ((0.0, heights[0] + 4.0), *((r - rng.uniform(2, 9), z + 4.0) for r, z in outside))
    found = thinnest(outside, inside)
    shell, line = shapely.LineString([(0.0, heights[0]), *outside]), shapely.LineString(inside)
    if not shell.intersects(line):
        assert found.thickness_mm == pytest.approx(shell.distance(line), rel=1e-9)
        assert shell.distance(shapely.Point(found.outside)) < 1e-9
        assert line.distance(shapely.Point(found.inside)) < 1e-9


def test_many_points_are_no_different():
    outside = tuple((40.0 + 0.01 * place, float(place)) for place in range(300))
    inside = ((0.0, 5.0), *((r - 4.0 + 0.003 * z, z) for r, z in outside[5:]))
    assert len(outside) * len(inside) > FEW
    found = thinnest(outside, inside)
    assert found.thickness_mm == pytest.approx(outside[-1][0] - inside[-1][0], rel=1e-3)
    assert found.inside[1] > 290.0 and found.outside[1] > 290.0
