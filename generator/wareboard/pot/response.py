"""How a pot's clay and its room follow its sizes: what a little wider, higher or thicker comes to.

First order: true for changes that are small beside the pot, as rounding to a tool and a potter's hand make them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, pi
from typing import NamedTuple

from wareboard.pot import solids
from wareboard.pot.solids import Point, Polyline


class Surface(NamedTuple):
    """A turned surface: its area, mm², and by what share of itself it grows for each share that its radii or heights do."""

    area_mm2: float
    across: float
    up: float


def surface_of(line: Sequence[Point]) -> Surface:
    """Area of a turned line, and how it follows the line's radii and heights.

    A = Σ π (r₁ + r₂) L;  dA/A for radii × (1 + e): Σ π (r₁ + r₂)(L + Δr²/L) e / A;  for heights: Σ π (r₁ + r₂) Δz²/L e / A

    Args:
        line: points (radius, height), mm.
    Returns: area, and the two shares; all 0 for a line without length.
    Source: worked: Pappus's theorem for each straight piece, and its derivative by one factor on all radii, or on all heights.
    >>> drum = surface_of([(40.0, 0.0), (40.0, 100.0)])
    >>> round(drum.area_mm2), drum.across, drum.up
    (25133, 1.0, 1.0)
    >>> disc = surface_of([(0.0, 0.0), (40.0, 0.0)])
    >>> disc.across, disc.up
    (2.0, 0.0)
    """
    area = across = up = 0.0
    for (r0, z0), (r1, z1) in pairwise(line):
        length = hypot(r1 - r0, z1 - z0)
        if length:
            band = pi * (r0 + r1)
            area += band * length
            across += band * (length + (r1 - r0) ** 2 / length)
            up += band * (z1 - z0) ** 2 / length
    return Surface(area, across / area, up / area) if area else Surface(0.0, 0.0, 0.0)


class Response(NamedTuple):
    """What a pot's clay and the room in it gain: for one share more across or up, mm³; for a millimetre more of wall or floor, mm³."""

    clay_mm3: float
    clay_across_mm3: float
    clay_up_mm3: float
    clay_wall_mm2: float
    clay_floor_mm2: float
    room_mm3: float
    room_across_mm3: float
    room_up_mm3: float
    room_wall_mm2: float
    room_floor_mm2: float


def response_of(
    clay_mm3: float, outside: Polyline, inside: Polyline, fill_mm: float | None = None, *, turned: bool = False) -> Response:  # fmt: skip
    """What a section gains when it grows a little.

    Across and up are shares of the *outside*, the wall and floor staying as thick as they are: the inside then moves by as
    many millimetres, a larger share of itself. The wall's clay follows its area at the same thickness; a thicker one is
    thicker outwards where it is turned down to that, inwards where it is thrown to it. The room follows the inside's radii squared and its depth. A thicker wall or floor takes its own area times the millimetre.

    Args:
        clay_mm3: clay in the section, mm³.
        outside: the outside, from the foot up, or from the tip.
        inside: the inside, empty for a solid.
        fill_mm: the level to which it is filled, above the foot; None where it holds nothing.
        turned: the wall is turned down to its thickness.
    Returns: the gains.
    Source: worked: the wall's clay is its area times its thickness, so it grows as the area does; the room by its radii squared.
    >>> outside, inside = ((40.0, 0.0), (40.0, 100.0)), ((0.0, 5.0), (36.0, 5.0), (36.0, 100.0))
    >>> found = response_of(115_868.0, outside, inside, 100.0)
    >>> round(found.room_mm3), round(found.room_across_mm3 / found.room_mm3, 3), round(found.room_wall_mm2)
    (386793, 2.222, -21488)
    """
    if not inside:
        return Response(clay_mm3, 2.0 * clay_mm3, clay_mm3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    skin = surface_of([(0.0, outside[0][1]), *outside])
    levels = [z for _, z in outside]
    high = max(levels) - min(levels)
    lowest = min([z for _, z in inside])
    flat = pi * max([r for r, z in inside if z <= lowest + 0.05 * high], default=0.0) ** 2
    side = skin.area_mm2 - pi * outside[0][0] ** 2 if turned else max(surface_of(inside).area_mm2 - flat, 0.0)
    grown = clay_mm3, clay_mm3 * skin.across, clay_mm3 * skin.up, side, flat
    if fill_mm is None:
        return Response(*grown, 0.0, 0.0, 0.0, 0.0, 0.0)
    fill_mm = min(fill_mm, inside[-1][1])
    room, wet, _centre = solids.filled_to(inside, fill_mm)
    wider = max([r for r, _ in outside]) / max([r for r, _ in inside])
    deeper = fill_mm / (fill_mm - lowest) if fill_mm > lowest else 1.0
    return Response(*grown, room, 2.0 * wider * room, deeper * room, -max(wet - flat, 0.0), -flat)
