"""Glaze: what a litre of slop holds, what a set of ware takes, what brings a bucket to its weight, whether a pot can be dipped in it."""

from __future__ import annotations

from math import pi

from wareboard.pot.frozen import frozen

USUAL_FILM_MM = 0.3  # fired, where a glaze's is not given: common practice, 0.2 to 0.5
USUAL_LOSS_SHARE = 0.08  # of the dry coat, in the firing, where it is not given: common practice, 4 to 15 %


def dry_glaze_kg_per_l(slop_density_kg_l: float, grain_density_g_cm3: float) -> float:
    """Dry glaze in a litre of slop.

    W = (D − 1) × g/(g − 1)

    Args:
        slop_density_kg_l: density of the slop at the bucket, kg/l, more than 1.
        grain_density_g_cm3: density of the dry glaze's grains, g/cm³, over the slop's.
    Returns: dry glaze, kg a litre.
    Raises: ValueError, an argument out of range.
    Source: Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (second-hand).
    >>> round(dry_glaze_kg_per_l(1.5, 2.5), 4)
    0.8333
    """
    if not slop_density_kg_l > 1.0:
        raise ValueError(f"slop must be denser than water's 1 kg/l, not {slop_density_kg_l:g}")
    if not grain_density_g_cm3 > slop_density_kg_l:
        raise ValueError(f"grains of {grain_density_g_cm3:g} g/cm3 can't make a slop of {slop_density_kg_l:g} kg/l")
    return (slop_density_kg_l - 1.0) * grain_density_g_cm3 / (grain_density_g_cm3 - 1.0)


def water_kg_per_dry_kg(slop_density_kg_l: float, grain_density_g_cm3: float) -> float:
    """Water to each kilogram of dry glaze in a slop: (D − W)/W. The difference between two
    slop densities is the water to stir in, or to take off.

    Args:
        slop_density_kg_l: density of the slop, kg/l, more than 1.
        grain_density_g_cm3: density of the dry glaze's grains, g/cm³, over the slop's.
    Returns: water, kg a kg of dry glaze.
    Raises: ValueError, an argument out of range.
    Source: Brongniart, as dry_glaze_kg_per_l.
    >>> round(water_kg_per_dry_kg(1.5, 2.5), 3)
    0.8
    """
    dry_kg_l = dry_glaze_kg_per_l(slop_density_kg_l, grain_density_g_cm3)
    return (slop_density_kg_l - dry_kg_l) / dry_kg_l


def glaze_dry_g(coat_kg_m2: float, area_cm2: float) -> float:
    """Dry glaze on a glazed area: coat × area.

    Args:
        coat_kg_m2: dry glaze on the ware, kg/m², 0 up.
        area_cm2: glazed area at bisque, cm², 0 up.
    Returns: dry glaze, g.
    Raises: ValueError, a negative argument.
    Source: worked: 1 kg/m² is 0.1 g/cm².
    >>> round(glaze_dry_g(0.9, 500.0), 9)
    45.0
    """
    if coat_kg_m2 < 0.0 or area_cm2 < 0.0:
        raise ValueError("a coat and an area are 0 or more")
    return coat_kg_m2 * area_cm2 / 10.0


def slop_ml(dry_g: float, slop_density_kg_l: float, grain_density_g_cm3: float) -> float:
    """Slop that leaves a given weight of dry glaze on the ware.

    Args:
        dry_g: dry glaze, g, 0 up.
        slop_density_kg_l: density of the slop at the bucket, kg/l, more than 1.
        grain_density_g_cm3: density of the dry glaze's grains, g/cm³, over the slop's.
    Returns: slop, ml.
    Raises: ValueError, an argument out of range.
    Source: Brongniart, as dry_glaze_kg_per_l.
    >>> round(slop_ml(45.0, 1.45, 2.6), 1)
    61.5
    """
    if dry_g < 0.0:
        raise ValueError(f"dry glaze is 0 g or more, not {dry_g:g}")
    return dry_g / dry_glaze_kg_per_l(slop_density_kg_l, grain_density_g_cm3)


def solid_film_mm(coat_kg_m2: float, grain_density_g_cm3: float) -> float:
    """Thickness of a coat melted down without bubble or loss: coat / density. A fired film
    much under it doesn't agree with the coat.

    Args:
        coat_kg_m2: dry glaze on the ware, kg/m², 0 up.
        grain_density_g_cm3: density of the glaze, g/cm³, > 0.
    Returns: thickness, mm.
    Raises: ValueError, an argument out of range.
    Source: worked: 1 kg/m² of a glass of 1 g/cm³ is 1 mm.
    >>> round(solid_film_mm(0.9, 2.6), 3)
    0.346
    """
    if coat_kg_m2 < 0.0 or not grain_density_g_cm3 > 0.0:
        raise ValueError("a coat is 0 or more, a density more than 0")
    return coat_kg_m2 / grain_density_g_cm3


@frozen
class Correction:
    """What a bucket wants: water, or dry glaze, and what it then holds."""

    water_l: float
    dry_kg: float
    slop_l: float
    holds_dry_kg: float


def correct_bucket(slop_l: float, found_kg_l: float, wanted_kg_l: float, grain_density_g_cm3: float) -> Correction:
    """Water or dry glaze that brings a bucket to another slop density.

    Too thick: water = V (D − D₀) / (D₀ − 1). Too thin: dry = V (D₀ − D) / (1 − D₀ / g), which adds dry / g to the volume.

    Args:
        slop_l: slop in the bucket, l, over 0.
        found_kg_l: its density, kg/l, more than 1.
        wanted_kg_l: the density wanted, kg/l, more than 1.
        grain_density_g_cm3: density of the dry glaze's grains, g/cm³, over both.
    Returns: what to add, and what the bucket then holds.
    Raises: ValueError, a bucket that can't be.
    Source: Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (second-hand); balance of weight and volume.
    >>> round(correct_bucket(8.0, 1.52, 1.45, 2.6).water_l, 2)
    1.24
    """
    if not slop_l > 0.0:
        raise ValueError("a bucket holds more than nothing")
    dry = dry_glaze_kg_per_l(found_kg_l, grain_density_g_cm3) * slop_l
    dry_glaze_kg_per_l(wanted_kg_l, grain_density_g_cm3)
    if found_kg_l >= wanted_kg_l:
        water = slop_l * (found_kg_l - wanted_kg_l) / (wanted_kg_l - 1.0)
        return Correction(water, 0.0, slop_l + water, dry)
    added = slop_l * (wanted_kg_l - found_kg_l) / (1.0 - wanted_kg_l / grain_density_g_cm3)
    return Correction(0.0, added, slop_l + added / grain_density_g_cm3, dry + added)


def slop_depth_mm(slop_l: float, diameter_mm: float) -> float:
    """How deep slop stands in a round bucket: V / (π d² / 4).

    Args:
        slop_l: slop, l, 0 up.
        diameter_mm: the bucket, inside, mm, over 0.
    Returns: depth, mm; what is dipped raises it, which is left out.
    Raises: ValueError, an argument out of range.
    Source: volume of a cylinder.
    >>> round(slop_depth_mm(10.0, 280.0), 1)
    162.4
    """
    if slop_l < 0.0 or not diameter_mm > 0.0:
        raise ValueError("slop is 0 or more, a bucket's diameter more than 0")
    return slop_l * 1e6 / (pi * diameter_mm**2 / 4.0)


def coat_kg_m2(bare_g: float, glazed_g: float, area_cm2: float) -> float:
    """Dry glaze on the ware, from a tile or a pot that was weighed bare and again dipped and dry.

    (glazed − bare) / area

    Args:
        bare_g: weight before, g, over 0.
        glazed_g: weight dipped and dry, g, over the first.
        area_cm2: what was covered, cm², over 0.
    Returns: kg/m².
    Raises: ValueError, weights or an area that can't be.
    Source: worked: the difference in weight over the area; 1 g/cm² is 10 kg/m².
    >>> round(coat_kg_m2(212.0, 231.0, 84.0), 3)
    2.262
    """
    if not 0.0 < bare_g < glazed_g or not area_cm2 > 0.0:
        raise ValueError("it weighs more glazed than bare, and an area is more than 0")
    return (glazed_g - bare_g) / area_cm2 * 10.0


def pint_density_g_ml(pint_weight_g: float, pint_ml: float) -> float:
    """Density of slop of which a pint was weighed.

    Args:
        pint_weight_g: weight of the pint, without its jug, g, over 0.
        pint_ml: the pint, ml, over 0.
    Raises: ValueError, an argument out of range.
    Source: worked; an imperial pint is 568.26125 ml, a US pint 473.176473 ml (NIST Handbook 44, second-hand).
    >>> round(pint_density_g_ml(29 * 28.349523125, 568.26125), 4)
    1.4468
    """
    if not pint_weight_g > 0.0 or not pint_ml > 0.0:
        raise ValueError("a pint and its weight are more than 0")
    return pint_weight_g / pint_ml
