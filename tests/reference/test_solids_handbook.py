"""Solids against printed formulas and worked examples.

Source: Pappus's theorems, CRC Concise Encyclopedia of Mathematics (read).
Source: Larson & Edwards, Calculus, section 7.6: the torus (x - 2)^2 + y^2 = 1 (read).
Source: school texts for two frustums, printed with pi = 22/7 (read); the rest worked.
"""

from math import cos, pi, sin, sqrt

import pytest
from wareboard.pot.solids import (
    frustum_volume_mm3,
    revolved_area_mm2,
    revolved_centroid_height_mm,
    revolved_volume_mm3,
)

from tests.every import every


@every(
    ("lower", "upper", "height", "printed", "worked"),
    [(15.0, 5.0, 24.0, 8171.42, 8168.14), (14.0, 7.0, 30.0, 10780.0, 10775.7)],
)
def test_frustums(lower, upper, height, printed, worked):
    ring = ((0.0, 0.0), (lower, 0.0), (upper, height), (0.0, height))
    for volume in (frustum_volume_mm3(lower, upper, height), revolved_volume_mm3(ring)):
        assert volume == pytest.approx(worked, rel=5e-6)
        assert volume * (22.0 / 7.0) / pi == pytest.approx(printed, abs=0.01)


def test_the_side_of_a_frustum():
    assert revolved_area_mm2(((15.0, 0.0), (5.0, 24.0))) == pytest.approx(1633.63, abs=0.005)


def _arc(centre_radius, radius, first, last, count=2000):
    angles = [first + (last - first) * k / count for k in range(count + 1)]
    return [(centre_radius + radius * cos(a), radius * sin(a)) for a in angles]


def test_torus():
    # 39.478 as printed; a regular polygon of n sides falls short by about 2 pi^2 / 3 n^2.
    ring = _arc(2.0, 1.0, 0.0, 2.0 * pi)[:-1]
    assert revolved_volume_mm3(ring) == pytest.approx(39.478, abs=0.0005)
    assert revolved_area_mm2([*ring, ring[0]]) == pytest.approx(4.0 * pi**2 * 2.0, rel=1e-6)


def test_spherical_cap():
    # Cap of a sphere of radius 10, 4 high: 435.634 (worked from pi h^2 (3R - h)/3).
    cap = [(0.0, 6.0), *_arc(0.0, 10.0, pi / 2.0 - 0.9272952180016122, pi / 2.0)]
    assert revolved_volume_mm3(cap) == pytest.approx(435.634, abs=0.001)
    assert revolved_area_mm2(cap[1:]) == pytest.approx(2.0 * pi * 10.0 * 4.0, rel=1e-6)


def test_ball_and_hemisphere():
    # V = 4/3 pi R^3, A = 4 pi R^2; a hemisphere's centre stands 3/8 R above its base.
    ball, hemisphere = _arc(0.0, 30.0, -pi / 2.0, pi / 2.0), _arc(0.0, 30.0, 0.0, pi / 2.0)
    assert revolved_volume_mm3(ball) == pytest.approx(4.0 / 3.0 * pi * 30.0**3, rel=2e-6)
    assert revolved_area_mm2(ball) == pytest.approx(4.0 * pi * 30.0**2, rel=2e-6)
    assert revolved_centroid_height_mm([(0.0, 0.0), *hemisphere]) == pytest.approx(11.25, rel=1e-6)


def test_cylinder_and_cone():
    cylinder = ((0.0, 0.0), (12.0, 0.0), (12.0, 30.0), (0.0, 30.0))
    cone = ((0.0, 0.0), (12.0, 0.0), (0.0, 30.0))
    assert revolved_volume_mm3(cylinder) == pytest.approx(pi * 144.0 * 30.0)
    assert revolved_centroid_height_mm(cylinder) == pytest.approx(15.0)
    assert revolved_volume_mm3(cone) == pytest.approx(pi * 144.0 * 30.0 / 3.0)
    assert revolved_centroid_height_mm(cone) == pytest.approx(7.5)  # a quarter of the height
    assert revolved_area_mm2(cone[1:]) == pytest.approx(pi * 12.0 * sqrt(144.0 + 900.0))
