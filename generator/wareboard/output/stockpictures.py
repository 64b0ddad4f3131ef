"""A form from outside as a picture of pixels, for a shop's own pages: its silhouette in ink on white."""

from __future__ import annotations

import io
from collections.abc import Iterable
from functools import partial

from wareboard.cards.audience import StockForm
from wareboard.drawing.views import Point

SIDE_PIXELS = 1200
MARGIN_PIXELS = 90
STROKE_PIXELS = 6
FINER = 3  # drawn so many times as large and brought down, for smooth lines
APART_MM = 12.0  # between pieces that stand side by side
INK = 26


def picture_of(form: StockForm) -> bytes:
    """A square PNG of a form as it stands on the shelf, fired, without sizes.

    Args:
        form: what the shop is told.
    """
    from PIL import Image, ImageDraw

    side, margin = SIDE_PIXELS * FINER, MARGIN_PIXELS * FINER
    width = sum(piece.diameter_mm for piece in form.pieces) + APART_MM * (len(form.pieces) - 1)
    height = max(piece.height_mm for piece in form.pieces)
    scale = (side - 2 * margin) / max(width, height)
    ground = (side + height * scale) / 2.0
    image = Image.new("L", (side, side), 255)
    pen = partial(_stroke, ImageDraw.Draw(image))
    axis = (side - width * scale) / 2.0
    for piece in form.pieces:
        axis += piece.diameter_mm * scale / 2.0
        for sign in (-1.0, 1.0):
            for line in piece.lines:
                pen((axis + sign * r * scale, ground - z * scale) for r, z in line)
        for r, z in piece.edges:
            pen([(axis - r * scale, ground - z * scale), (axis + r * scale, ground - z * scale)])
        axis += (piece.diameter_mm / 2.0 + APART_MM) * scale
    made = io.BytesIO()
    image.resize((SIDE_PIXELS, SIDE_PIXELS), Image.Resampling.LANCZOS).save(made, "PNG", optimize=True)
    return made.getvalue()


def _stroke(pen, points: Iterable[Point]) -> None:
    """A line with round ends."""
    line = list(points)
    half = STROKE_PIXELS * FINER / 2.0
    pen.line(line, fill=INK, width=STROKE_PIXELS * FINER, joint="curve")
    for x, y in (line[0], line[-1]):
        pen.ellipse((x - half, y - half, x + half, y + half), fill=INK)
