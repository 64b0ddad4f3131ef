"""Glaze: what a litre of slop holds, and what a set of ware takes."""

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


def fired_glaze_g(coat_kg_m2: float, area_cm2: float, loss_share: float = USUAL_LOSS_SHARE) -> float:
    """What the dry coat weighs once it is fired: coat × area × (1 − loss on ignition).

    Args:
        coat_kg_m2: dry glaze on the ware, kg/m², 0 up.
        area_cm2: glazed area at bisque, cm², 0 up.
        loss_share: what the firing takes of the dry glaze, 0 up to 1.
    Returns: fired glaze, g.
    Raises: ValueError, an argument out of range.
    Source: worked: the dry coat (`glaze_dry_g`) less what burns off.
    >>> round(fired_glaze_g(0.9, 500.0, 0.1), 9)
    40.5
    """
    if not 0.0 <= loss_share < 1.0:
        raise ValueError(f"loss on ignition must be 0 up to 100 %, not {loss_share:.1%}")
    return glaze_dry_g(coat_kg_m2, area_cm2) * (1.0 - loss_share)


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
