"""Pictures of pots of known volume, made by libraries from outside: a mesh by trimesh, its triangles filled by Pillow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from PIL import Image, ImageDraw, ImageFilter


@dataclass(frozen=True)
class Camera:
    """Where the lens is and what it shows. `distance_mm` None: from infinitely far; `up_mm`: above what the pot stands on."""

    distance_mm: float | None = None
    up_mm: float | None = None
    across_mm: float = 200.0
    width: int = 800
    height: int = 800


def mug(profile, sections=128) -> trimesh.Trimesh:
    """A solid turned about the axis: profile from the axis at the foot to the axis at the rim, mm."""
    return trimesh.creation.revolve(np.array(profile, dtype=float), sections=sections)


def handle(reach_mm: float, low_mm: float, high_mm: float, at_mm: float, thick_mm: float = 10.0) -> trimesh.Trimesh:
    """Half a torus that stands out to the right of a pot."""
    middle, big = (low_mm + high_mm) / 2.0, (high_mm - low_mm) / 2.0
    ring = trimesh.creation.torus(big, thick_mm / 2.0, major_sections=128, minor_sections=32)
    ring.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2.0, [1, 0, 0]))
    ring.apply_scale([reach_mm / big, 1.0, 1.0])
    ring.apply_translation([at_mm, 0.0, middle])
    return ring


FINER = 2  # drawn as much larger, then made smaller: soft edges


def _are_seen(mesh, distance_mm: float | None, up_mm: float):
    """Which triangles of a closed mesh face the lens; the others are behind them."""
    if not distance_mm:
        return mesh.face_normals[:, 1] < 1e-9
    to_lens = np.array([0.0, -distance_mm, up_mm]) - mesh.triangles_center
    return np.einsum("ij,ij->i", mesh.face_normals, to_lens) > -1e-9


def picture(
    meshes, camera: Camera, *, tilt_deg=0.0, pot=(116, 92, 70), ground=(224, 222, 215), noise=0.0, falloff=0.0, seed=1
):
    """The meshes seen from the front (along y), as a picture: their near sides' triangles filled, so only the silhouette is true."""
    scale = camera.width / camera.across_mm * FINER
    size = (camera.width * FINER, camera.height * FINER)
    image = Image.new("RGB", size, ground)
    draw = ImageDraw.Draw(image)
    middle_up = camera.up_mm
    if middle_up is None:
        middle_up = float(
            np.mean(
                [
                    np.concatenate([m.vertices for m in meshes])[:, 2].min(),
                    np.concatenate([m.vertices for m in meshes])[:, 2].max(),
                ]
            )
        )
    c, s = np.cos(np.radians(tilt_deg)), np.sin(np.radians(tilt_deg))
    for mesh in meshes:
        points = mesh.vertices.copy()
        across, up = points[:, 0], points[:, 2] - middle_up
        if camera.distance_mm:
            near = camera.distance_mm / (camera.distance_mm + points[:, 1])
            across, up = across * near, up * near
        across, up = across * c - up * s, across * s + up * c
        x, y = size[0] / 2.0 + across * scale, size[1] / 2.0 - up * scale
        shade = np.clip(np.abs(mesh.face_normals @ np.array([0.5, -0.8, 0.3])) * 0.5 + 0.5, 0.0, 1.0)
        fills = (shade[:, None] * pot).astype(int).tolist()
        corners = np.stack((x, y), axis=-1)[mesh.faces].reshape(-1, 6).tolist()
        for k in np.flatnonzero(_are_seen(mesh, camera.distance_mm, middle_up)):
            draw.polygon(corners[k], fill=tuple(fills[k]))
    image = image.resize((camera.width, camera.height), Image.Resampling.LANCZOS)
    pixels = np.asarray(image, dtype=float)
    if falloff:
        pixels = pixels * (1.0 - falloff * np.linspace(0.0, 1.0, camera.width)[None, :, None])
    if noise:
        pixels = pixels + np.random.default_rng(seed).normal(0.0, noise, pixels.shape)
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(0.6))
