"""Solids and smooth outlines against general-purpose libraries.

Source: scipy (PchipInterpolator and quad), shapely (plane area and centroid, with Pappus's
second theorem) and trimesh (meshes turned about an axis), as installed.
"""

import random
from itertools import pairwise
from math import cos, hypot, pi

import numpy
import pytest
import shapely
import trimesh
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from wareboard.pot.outlines import pchip_slopes
from wareboard.pot.response import response_of
from wareboard.pot.solids import (
    area_below_mm2,
    profile_ring,
    revolved_area_mm2,
    revolved_centroid_height_mm,
    revolved_volume_mm3,
    smooth_outline,
    volume_below_mm3,
    wall_inside,
)

from tests.every import every

POTS = {
    "jar": ((30.0, 0.0), (48.0, 35.0), (52.0, 70.0), (34.0, 110.0), (38.0, 130.0)),
    "plate": ((40.0, 0.0), (70.0, 6.0), (100.0, 9.0), (120.0, 22.0)),
    "bowl from the axis": ((0.0, 0.0), (30.0, 5.0), (45.0, 40.0), (40.0, 90.0)),
    "shelf": ((40.0, 0.0), (40.0, 50.0), (60.0, 60.0), (20.0, 100.0)),
    "falling back": ((30.0, 0.0), (45.0, 30.0), (60.0, 25.0), (70.0, 60.0)),
}
_drawn = random.Random(20)
for _number in range(6):
    _count = _drawn.randint(3, 7)
    POTS[f"drawn {_number}"] = tuple(
        (_drawn.uniform(20.0, 80.0), 24.0 * k + _drawn.uniform(0.0, 15.0) * (k > 0)) for k in range(_count)
    )


def _curve(stations):
    """scipy's radius and height against chord length, and the chord lengths."""
    radii, heights = numpy.array(stations).T
    at = numpy.concatenate([[0.0], numpy.cumsum(numpy.hypot(numpy.diff(radii), numpy.diff(heights)))])
    return PchipInterpolator(at, radii), PchipInterpolator(at, heights), at


def _integral(of, at):
    return sum(quad(of, a, b, epsabs=0.0, epsrel=1e-10, limit=200)[0] for a, b in pairwise(at))


@every("stations", POTS.values())
def test_slopes_are_those_of_scipy(stations):
    radius, height, at = _curve(stations)
    for curve, values in ((radius, [r for r, _ in stations]), (height, [z for _, z in stations])):
        slopes = pchip_slopes([float(step) for step in numpy.diff(at)], values)
        assert slopes == pytest.approx(curve.derivative()(at).tolist(), rel=1e-12, abs=1e-13)


@every("stations", POTS.values())
def test_smooth_solids_are_good_to_a_millionth(stations):
    radius, height, at = _curve(stations)
    d_radius, d_height = radius.derivative(), height.derivative()
    volume = _integral(lambda t: pi * radius(t) ** 2 * d_height(t), at)
    moment = _integral(lambda t: pi * radius(t) ** 2 * height(t) * d_height(t), at)
    area = _integral(lambda t: 2.0 * pi * radius(t) * hypot(d_radius(t), d_height(t)), at)
    outline, _ = smooth_outline(stations)
    ring = profile_ring(outline, None)
    assert revolved_volume_mm3(ring) == pytest.approx(volume, rel=1e-7)
    assert revolved_centroid_height_mm(ring) == pytest.approx(moment / volume, rel=1e-7)
    assert revolved_area_mm2(outline) == pytest.approx(area, rel=1e-6)


def test_a_corner_parts_two_curves():
    stations = POTS["jar"]
    outline, at = smooth_outline(stations, frozenset({2}))
    for part, run in ((stations[:3], outline[: at[2] + 1]), (stations[2:], outline[at[2] :])):
        radius, height, times = _curve(part)
        d_height = height.derivative()
        volume = _integral(lambda t, r=radius, d=d_height: pi * r(t) ** 2 * d(t), times)
        ring = ((0.0, part[0][1]), *run, (0.0, part[-1][1]))
        assert revolved_volume_mm3(ring) == pytest.approx(volume, rel=1e-7)


def test_the_inside_of_a_smooth_pot_by_its_parallel_curve():
    # The parallel at w of a curve (r, z) is (r - w z'/v, z + w r'/v), v the speed.
    radius, height, at = _curve(POTS["jar"])
    d_radius, d_height = radius.derivative(), height.derivative()
    dd_radius, dd_height = radius.derivative(2), height.derivative(2)
    wall, floor, rim = 4.0, 6.0, 130.0

    def inner_radius(t):
        return radius(t) - wall * d_height(t) / hypot(d_radius(t), d_height(t))

    def inner_height(t):
        return height(t) + wall * d_radius(t) / hypot(d_radius(t), d_height(t))

    def stretch(t):  # along a parallel, speed times 1 - w k
        bend = d_radius(t) * dd_height(t) - d_height(t) * dd_radius(t)
        return 1.0 - wall * bend / hypot(d_radius(t), d_height(t)) ** 3

    first = brentq(lambda t: inner_height(t) - floor, at[0], at[1], xtol=1e-13)
    last = brentq(lambda t: inner_height(t) - rim, at[-2], at[-1], xtol=1e-13)
    times = [first, *at[1:-1], last]
    volume = _integral(lambda t: pi * inner_radius(t) ** 2 * d_height(t) * stretch(t), times)
    area = _integral(lambda t: 2.0 * pi * inner_radius(t) * hypot(d_radius(t), d_height(t)) * stretch(t), times)
    inside = wall_inside(smooth_outline(POTS["jar"])[0], wall, floor)
    assert volume_below_mm3(inside, rim) == pytest.approx(volume, rel=1e-6)
    assert revolved_area_mm2(inside[1:]) == pytest.approx(area, rel=1.5e-6)


@every("seed", range(5))
def test_pappus_with_shapely(seed):
    drawn = random.Random(seed)
    angles = sorted(drawn.uniform(0.0, 2.0 * pi) for _ in range(9))
    ring = [(60.0 + (size := drawn.uniform(5.0, 50.0)) * cos(a), 60.0 + size * cos(a - pi / 2.0)) for a in angles]
    section = shapely.Polygon(ring)
    assert section.is_valid
    assert revolved_volume_mm3(ring) == pytest.approx(2.0 * pi * section.centroid.x * section.area, rel=1e-12)
    line = shapely.LineString(ring)
    assert revolved_area_mm2(ring) == pytest.approx(2.0 * pi * line.centroid.x * line.length, rel=1e-12)


def test_meshes_come_closer_the_finer_they_are():
    outside = ((29.0, 0.0), (31.0, 2.0), (38.0, 40.0), (32.0, 60.0), (40.0, 90.0))
    ring = profile_ring(outside, wall_inside(outside, 4.0, 5.0))
    volume, centre = revolved_volume_mm3(ring), revolved_centroid_height_mm(ring)
    errors = []
    for facets in (32, 64, 128):
        mesh = trimesh.creation.revolve(numpy.array([*ring, ring[0]]), sections=facets)
        assert mesh.is_watertight
        errors.append(1.0 - abs(mesh.volume) / volume)
        assert mesh.center_mass[2] == pytest.approx(centre, rel=1e-9)
    # A prism of n facets falls short of its cylinder by 1 - sin(2 pi/n)/(2 pi/n), a fourth each time.
    assert errors == pytest.approx([2.0 / 3.0 * (pi / n) ** 2 for n in (32, 64, 128)], rel=0.01)


def test_what_a_smooth_vessel_holds_to_a_level():
    stations = POTS["jar"]
    radius, height, at = _curve(stations)
    outline, _ = smooth_outline(stations)
    inside = ((0.0, 0.0), *outline)
    d_radius, d_height = radius.derivative(), height.derivative()
    for station in (1, 2, 3):
        below = at[: station + 1]
        volume = _integral(lambda t: pi * radius(t) ** 2 * d_height(t), below)
        area = _integral(lambda t: 2.0 * pi * radius(t) * hypot(d_radius(t), d_height(t)), below)
        level = stations[station][1]
        assert volume_below_mm3(inside, level) == pytest.approx(volume, rel=1e-6)
        assert area_below_mm2(outline, level) == pytest.approx(area, rel=2e-6)


def test_a_wider_or_a_higher_cone_takes_the_clay_that_differences_say():
    """Two frusta, one in the other, their wall as thick as before: what a share more across or up is, by central differences."""
    wall, floor, low, top, high = 4.0, 5.0, 40.0, 75.0, 90.0

    def clay_mm3(wide=1.0, tall=1.0):
        foot, rim, up = low * wide, top * wide, high * tall
        beside = wall * hypot(up, rim - foot) / up
        at_floor = foot - beside + (rim - foot) * floor / up
        cone = lambda a, b, rise: pi * rise / 3.0 * (a * a + a * b + b * b)
        return cone(foot, rim, up) - cone(at_floor, rim - beside, up - floor)

    beside = wall * hypot(high, top - low) / high
    at_floor = low - beside + (top - low) * floor / high
    found = response_of(
        clay_mm3(), ((low, 0.0), (top, high)), ((0.0, floor), (at_floor, floor), (top - beside, high)), high
    )
    e = 1e-5
    across = (clay_mm3(wide=1.0 + e) - clay_mm3(wide=1.0 - e)) / 2.0 / e
    up = (clay_mm3(tall=1.0 + e) - clay_mm3(tall=1.0 - e)) / 2.0 / e
    assert found.clay_across_mm3 == pytest.approx(across, rel=0.08) and found.clay_up_mm3 == pytest.approx(up, rel=0.08)
