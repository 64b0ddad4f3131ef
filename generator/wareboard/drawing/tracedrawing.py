"""What was traced, to be looked at: the picture, the places that were read from it, and the curve through the stations."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from wareboard.pot.measured import Stations
from wareboard.pot.outlines import Point

MARGIN_SHARE = 0.08
MOST_PLACES = 140


def render_trace(
    stations: Stations,
    places: Sequence[Point],
    *,
    title: str,
    axis_unit: float,
    base_unit: float,
    mm_per_unit: float,
    picture: tuple[str, float, float] | None = None,
    tilt_deg: float = 0.0,
    about: Point = (0.0, 0.0),
) -> str:
    """An SVG drawing in the picture's own units, up on the page as up in the pot.

    Args:
        stations: what was fitted, mm.
        places: (radius, height) as read, mm.
        title: what it shows, in words.
        axis_unit, base_unit: where the pot's axis and foot are, in the picture's units, once it is upright.
        mm_per_unit: the scale.
        picture: the picture as a data URI, its width and its height; None where there is none.
        tilt_deg: how far the picture was turned, against the clock.
        about: the place that it was turned about.
    """

    def at(radius: float, height: float, side: float = 1.0) -> Point:
        return axis_unit + side * radius / mm_per_unit, -(base_unit + height / mm_per_unit)

    curve = stations.outline()
    tall, wide = max(z for _, z in curve) / mm_per_unit, max(r for r, _ in curve) / mm_per_unit
    left, top = axis_unit - wide, -(base_unit + tall)
    right, bottom = axis_unit + wide, -base_unit
    if picture:
        left, top, right, bottom = min(left, 0.0), min(top, -picture[2]), max(right, picture[1]), max(bottom, 0.0)
    margin = MARGIN_SHARE * max(right - left, bottom - top)
    thin = max(right - left, bottom - top) / 600.0
    shown = []
    if picture:
        # Up is down on a screen, so against the clock is with it.
        turn = f' transform="rotate({-tilt_deg:.4f} {about[0]:.2f} {-about[1]:.2f})"' if tilt_deg else ""
        shown.append(
            f'<image x="0" y="{-picture[2]:.2f}" width="{picture[1]:.2f}" height="{picture[2]:.2f}" opacity="0.75" href="{escape(picture[0])}"{turn}/>'
        )
    kept = places[:: max(1, len(places) // MOST_PLACES)]
    for side in (-1.0, 1.0):
        line = " ".join(f"{x:.2f},{y:.2f}" for x, y in (at(*point, side) for point in curve))
        shown.append(f'<polyline points="{line}" fill="none" stroke="#b3401a" stroke-width="{1.6 * thin:.2f}"/>')
        shown += [
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{0.9 * thin:.2f}" fill="#123a5c"/>'
            for x, y in (at(*point, side) for point in kept)
        ]
    low, high = at(0.0, curve[0][1]), at(0.0, curve[-1][1])
    shown.append(
        f'<line x1="{low[0]:.2f}" y1="{low[1] + margin / 2:.2f}" x2="{high[0]:.2f}" y2="{high[1] - margin / 2:.2f}" stroke="#444" stroke-width="{thin / 2:.2f}" stroke-dasharray="{8 * thin:.2f} {2 * thin:.2f} {2 * thin:.2f} {2 * thin:.2f}"/>'
    )
    for name, point in zip(stations.names, stations.points, strict=True):
        x, y = at(*point)
        shown.append(
            f'<rect x="{x - 2 * thin:.2f}" y="{y - 2 * thin:.2f}" width="{4 * thin:.2f}" height="{4 * thin:.2f}" fill="#fff" stroke="#b3401a" stroke-width="{thin:.2f}"/>'
            f'<text x="{x + 6 * thin:.2f}" y="{y + 4 * thin:.2f}" font-family="sans-serif" font-size="{13 * thin:.2f}" fill="#111" stroke="#fff" stroke-width="{3 * thin:.2f}" paint-order="stroke">{escape(name)} {point[1]:g} up, {2 * point[0]:g} across</text>'
        )
    box = f"{left - margin:.2f} {top - margin:.2f} {right - left + 2 * margin:.2f} {bottom - top + 2 * margin:.2f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="900" role="img"><title>{escape(title)}</title>'
        f'<rect x="{left - margin:.2f}" y="{top - margin:.2f}" width="100%" height="100%" fill="#fff"/>{"".join(shown)}</svg>\n'
    )
