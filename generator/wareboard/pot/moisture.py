"""Water in clay: shrinkage so far from a weight, and what other water in the clay changes.

The model: saturated clay, no air lost or gained; each gram of water that leaves takes 1 cm³
with it until the dry volume is reached (the critical water), then only weight goes. It leaves
out clay that dries unevenly, and a rim that is drier than its foot.
"""

from dataclasses import replace

from wareboard.pot.clay import (
    WATER_DENSITY_G_CM3,
    Body,
    mass_share_at_volume_scale,
    shrinkage_at_volume_scale,
    water_of_dry_share,
)
from wareboard.pot.stages import STAGES


def _wet_cm3_per_dry_g(body: Body, water_share: float) -> float:
    """Wet volume for one gram of dry clay; whatever air is in the clay stays in it."""
    at_own_water = 1.0 / (body.wet_density_g_cm3 * (1.0 - body.water_share))
    more_water = water_of_dry_share(water_share) - water_of_dry_share(body.water_share)
    return at_own_water + more_water / WATER_DENSITY_G_CM3


def _shrinkage_at_water(body: Body, water_share: float, stage: str) -> float:
    kept = _wet_cm3_per_dry_g(body, body.water_share) * body.volume_scale(stage)
    wet = _wet_cm3_per_dry_g(body, water_share)
    if kept > wet * (1.0 + 1e-12):
        raise ValueError(f"at {water_share:.1%} water this clay is already past {stage}")
    return shrinkage_at_volume_scale(min(1.0, kept / wet), body.height_factor)


def drying_shrinkage_at_water(body: Body, water_share: float) -> float:
    """Drying shrinkage of the same clay thrown with other water.

    The dry volume for a gram of dry clay stays: (1 − s)² (1 − s h) = V dry / V wet, where
    V wet grows by 1 cm³ for each gram of water more.

    Args:
        body: the clay at the water it is usually thrown with.
        water_share: the other water, share of the wet weight, 0 up to 1.
    Returns: share of the new wet length.
    Raises: ValueError, water out of range or so little that the clay has done shrinking.
    Source: worked; saturated, shrinking stops at the critical water (the shrinkage limit of
        Das, Principles of Geotechnical Engineering, 9th ed.).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(drying_shrinkage_at_water(clay, 0.23), 4)
    0.0715
    """
    return _shrinkage_at_water(body, water_share, "dry")


def body_at_water(body: Body, water_share: float) -> Body:
    """The same clay thrown with other water: at each later stage it keeps its volume for a
    gram of dry clay, so softer clay starts larger and ends the same.

    Args:
        body: the clay at the water it is usually thrown with.
        water_share: the other water, share of the wet weight, 0 up to 1.
    Returns: the body at that water.
    Raises: ValueError, water out of range or so little that the clay is past leather-hard.
    Source: worked: volume for a gram of dry clay kept at each later stage, the wet volume from the water (`drying_shrinkage_at_water`).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> [round(s, 4) for s in body_at_water(clay, 0.23).shrinkage]
    [0.0, 0.0419, 0.0715, 0.0715, 0.1308]
    """
    wet_cm3 = _wet_cm3_per_dry_g(body, water_share)
    return replace(
        body,
        shrinkage=(0.0, *(_shrinkage_at_water(body, water_share, s) for s in STAGES[1:])),
        water_share=water_share,
        wet_density_g_cm3=1.0 / (wet_cm3 * (1.0 - water_share)),
    )


def shrinkage_at_mass_share(body: Body, mass_share: float) -> float:
    """Shrinkage so far of a piece that weighs this share of its weight as thrown.

    Volume lost = weight lost / 1 g/cm³ until the dry volume is reached, then no more.

    Args:
        body: the clay.
        mass_share: weight now over weight as thrown, from bone dry up to 1.
    Returns: share of the wet length.
    Raises: ValueError, heavier than thrown or lighter than bone dry.
    Source: worked; saturated until the shrinkage limit (Das, as
        drying_shrinkage_at_water).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(shrinkage_at_mass_share(clay, clay.mass_share("leather-hard")), 12)
    0.03
    """
    if mass_share > 1.0 + 1e-12:
        raise ValueError(f"{mass_share:.1%} of the weight as thrown is heavier than thrown")
    if mass_share < body.mass_share("dry") - 1e-12:
        raise ValueError(
            f"{mass_share:.1%} of the weight as thrown is lighter than bone dry, which is {body.mass_share('dry'):.1%}"
        )
    volume_left = 1.0 - (1.0 - mass_share) * body.wet_density_g_cm3 / WATER_DENSITY_G_CM3
    if volume_left <= body.volume_scale("dry"):
        return body.shrinkage_share("dry")
    return shrinkage_at_volume_scale(min(1.0, volume_left), body.height_factor)


def mass_share_at_shrinkage(body: Body, shrinkage_share: float) -> float:
    """Share of its weight as thrown at which a drying piece has shrunk this much.

    The way back of shrinkage_at_mass_share; at the drying shrinkage it is the weight at
    which shrinking stops, and any weight below has the same size.

    Args:
        body: the clay.
        shrinkage_share: share of the wet length, from 0 to the drying shrinkage.
    Returns: weight over weight as thrown.
    Raises: ValueError, out of range.
    Source: worked: volume left from the shrinkage, a gram of water for each cm³ lost until shrinking stops; the steps of `shrinkage_at_mass_share` backwards.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(mass_share_at_shrinkage(clay, 0.03), 4)
    0.9549
    """
    dry_share = body.shrinkage_share("dry")
    if not -1e-12 <= shrinkage_share <= dry_share + 1e-12:
        raise ValueError(f"drying shrinks this clay by 0 to {dry_share:.2%}, not {shrinkage_share:.2%}")
    volume_left = (1.0 - shrinkage_share) ** 2 * (1.0 - shrinkage_share * body.height_factor)
    return mass_share_at_volume_scale(body, volume_left)
