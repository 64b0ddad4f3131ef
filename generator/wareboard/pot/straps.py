"""Pulled handles: what a strap of clay takes, and how wide a pot is with what stands out from it."""

from math import pi

SECTION_SHARE = {"flat": 1.0, "oval": pi / 4.0, "round": pi / 4.0}
# A handle goes on between half of the way to leather-hard and leather-hard, so that both shrink on together: common practice.
JOIN_LEAST_SHARE, JOIN_MOST_SHARE = 0.5, 1.0


def strap_volume_mm3(
    length_mm: float, widths_mm: tuple[float, float], thicknesses_mm: tuple[float, float], section: str = "oval"
) -> float:
    """Clay in a strap whose width and thickness change evenly along it.

    V = c L (2 w0 t0 + w0 t1 + w1 t0 + 2 w1 t1) / 6, the integral of c w t along the length; c is 1 for a flat strap and π/4 for an
    oval one. A round one is as thick as it is wide.

    Args:
        length_mm: along its middle line, mm, >= 0.
        widths_mm: at its top and at its bottom, mm.
        thicknesses_mm: likewise; of no account for a round one.
        section: flat, oval or round.
    Returns: mm³.
    Raises: ValueError, a length or a size below 0.
    Source: worked; the area of an ellipse, π w t / 4, CRC handbooks.
    >>> round(strap_volume_mm3(190.0, (30.0, 22.0), (10.0, 7.0)), 1)
    33277.3
    """
    (w0, w1), (t0, t1) = widths_mm, widths_mm if section == "round" else thicknesses_mm
    if min(length_mm, w0, w1, t0, t1) < 0.0:
        raise ValueError("a strap has no size below 0")
    return SECTION_SHARE[section] * length_mm * (2.0 * w0 * t0 + w0 * t1 + w1 * t0 + 2.0 * w1 * t1) / 6.0


def across_mm(radius_mm: float, outermost_mm: tuple[float, ...]) -> float:
    """Greatest width of a pot with what stands out from it.

    The two that stand out farthest are taken to face each other, as a handle and a spout do.

    Args:
        radius_mm: the pot's own greatest radius, mm.
        outermost_mm: how far from the axis each thing reaches, mm.
    Source: common practice.
    >>> across_mm(42.0, (84.0,)), across_mm(42.0, (84.0, 70.0, 60.0)), across_mm(42.0, (20.0,))
    (126.0, 154.0, 84.0)
    """
    far = sorted((max(radius_mm, reach) for reach in outermost_mm), reverse=True)
    one, other = [*far, radius_mm, radius_mm][:2]
    return one + other
