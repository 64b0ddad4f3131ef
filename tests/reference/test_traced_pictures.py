"""Photographs of pots of known volume and shape, rendered by libraries from outside (trimesh, Pillow), traced back.

A mesh's volume is trimesh's own. The silhouette of a sphere, r D / √(D² − r²), is the tangent cone's (from memory).
"""

import numpy as np
import pytest
import trimesh
from wareboard.output.photographs import read_photograph
from wareboard.pot.outlines import smooth_outline
from wareboard.pot.silhouettes import trace
from wareboard.pot.solids import revolved_volume_mm3
from wareboard.pot.stationing import fewest_stations

from tests.pictured import Camera, handle, mug, picture

SMOOTH = smooth_outline([(30.0, 0.0), (42.0, 25.0), (46.0, 50.0), (40.0, 85.0), (42.0, 100.0)])[0]
SIDE = [*SMOOTH[:-1:3], SMOOTH[-1]]  # as close as a picture shows
POT = mug([(0.0, 0.0), *SIDE, (0.0, 100.0)])
HANDLE = handle(32.0, 25.0, 80.0, 42.0)


def traced(tmp_path, image, *, kind="png", height_mm=100.0, distance_mm=None):
    path = tmp_path / f"pot.{kind}"
    image.save(path, **({"quality": 75} if kind == "jpg" else {}))
    found = read_photograph(path)
    lens = found.width / 2.0, found.height / 2.0
    return trace(found.outer, found.holes, height_mm, lens=lens, distance_mm=distance_mm)


def stations_of(half):
    return fewest_stations(half.meridian, max(0.4, 2.0 * half.mm_per_unit)).stations


def volume_of(stations):
    outside = stations.outline()
    return revolved_volume_mm3(((0.0, outside[0][1]), *outside, (0.0, outside[-1][1])))


@pytest.mark.parametrize(
    ("meshes", "camera", "how", "kind"),
    [
        ([POT], Camera(), {}, "png"),
        ([POT], Camera(), {"tilt_deg": 6.0}, "png"),
        ([POT, HANDLE], Camera(), {}, "png"),
        ([POT, HANDLE], Camera(), {"tilt_deg": -5.0}, "jpg"),
        ([POT], Camera(), {"noise": 12.0, "falloff": 0.2}, "png"),
        ([POT], Camera(), {"noise": 6.0}, "jpg"),
        ([POT], Camera(width=1200, height=1200), {"pot": (235, 230, 220), "ground": (60, 62, 66)}, "jpg"),
        ([POT], Camera(900.0), {}, "png"),
        ([POT], Camera(450.0, across_mm=230.0), {}, "png"),
        ([POT], Camera(600.0, up_mm=20.0, across_mm=240.0), {}, "png"),
        ([POT], Camera(600.0, up_mm=130.0, across_mm=330.0), {}, "png"),
        ([POT, HANDLE], Camera(700.0), {"tilt_deg": 4.0, "noise": 8.0, "falloff": 0.15}, "jpg"),
    ],
)
def test_the_volume_comes_back(tmp_path, meshes, camera, how, kind):
    half = traced(tmp_path, picture(meshes, camera, **how), kind=kind, distance_mm=camera.distance_mm)
    stations = stations_of(half)
    assert volume_of(stations) == pytest.approx(POT.volume, rel=0.006)  # 2 % is asked for
    assert half.tilt_deg == pytest.approx(-how.get("tilt_deg", 0.0), abs=0.1)
    assert len(stations.names) <= 7
    if len(meshes) > 1:
        assert half.handle.side == "right" and half.handle.reach_mm == pytest.approx(28.0, abs=3.0)
    else:
        assert half.handle is None


def test_perspective_that_nobody_told_is_seen_and_costs_little(tmp_path):
    image = picture([POT], Camera(600.0))
    half = traced(tmp_path, image)
    assert half.bowed and volume_of(stations_of(half)) == pytest.approx(POT.volume, rel=0.03)
    assert not traced(tmp_path, picture([POT], Camera())).bowed


@pytest.mark.parametrize("distance_mm", [250.0, 600.0])
def test_a_spheres_silhouette_is_larger_than_the_sphere(tmp_path, distance_mm):
    radius = 50.0
    ball = mug([(radius * np.cos(a), radius * (1.0 + np.sin(a))) for a in np.linspace(-np.pi / 2, np.pi / 2, 181)])
    camera = Camera(distance_mm, up_mm=radius, across_mm=160.0)
    seen = radius * distance_mm / np.sqrt(distance_mm**2 - radius**2)
    flat = traced(tmp_path, picture([ball], camera), height_mm=2.0 * seen)
    assert flat.meridian[:, 0].max() == pytest.approx(seen, rel=0.003)
    from wareboard.pot.silhouettes import deprojected

    angle = np.linspace(-1.2, 1.2, 41)
    across, up = seen * np.cos(angle), seen * np.sin(angle)
    r, z = deprojected(across, up, -np.tan(angle), distance_mm)
    assert np.hypot(r, z) == pytest.approx(np.full(41, radius), rel=1e-9)


def test_sides_that_differ_are_told(tmp_path):
    oval = POT.copy()
    oval.vertices[:, 0] = np.where(
        oval.vertices[:, 0] > 0.0, oval.vertices[:, 0] + 1.2 * oval.vertices[:, 2] / 100.0, oval.vertices[:, 0]
    )
    half = traced(tmp_path, picture([oval], Camera()))
    assert half.sides_differ_mm < 1.4 and half.handle is None
    # Trimmed askew: leaning by 2°, its foot and rim level.
    leaning = mug([(0.0, -10.0), (30.0, -10.0), *SIDE, (42.0, 110.0), (0.0, 110.0)])
    leaning.apply_transform(trimesh.transformations.rotation_matrix(np.radians(2.0), [0, 1, 0]))
    leaning = leaning.slice_plane([0, 0, 0], [0, 0, 1]).slice_plane([0, 0, 100], [0, 0, -1])
    half = traced(tmp_path, picture([leaning], Camera()))
    assert abs(half.lean_deg) == pytest.approx(2.0, abs=0.2) and abs(half.tilt_deg) == pytest.approx(2.0, abs=0.2)
    assert half.sides_differ_mm < 0.5
