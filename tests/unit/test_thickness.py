"""How thick the clay is at its thinnest."""

from math import hypot

import pytest
from wareboard.pot.thickness import least_thickness_mm

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
