"""How dry a piece is, by its weight, a size that calipers set, or both; and what other water in the clay changes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, sqrt

from wareboard.pot.clay import (
    WATER_DENSITY_G_CM3,
    Body,
    mass_share_at_volume_scale,
    shrinkage_at_volume_scale,
    water_of_dry_share,
)
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES

WEIGHT, CALIPERS, BOTH = "weight", "calipers", "both"
BEYOND = 3.0  # standard deviations that a reading may lie past what can be
_LEAST_DEVIATION = 1e-9  # a share; what is taken as exact still has to be joined


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


@frozen
class Weighing:
    """A part's weight as thrown and its weight now, each with its standard deviation."""

    thrown_g: float
    now_g: float
    thrown_deviation_g: float = 0.0
    now_deviation_g: float = 0.0


@frozen
class Calipered:
    """A size as thrown and what calipers read of it now, each with its standard deviation."""

    thrown_mm: float
    now_mm: float
    thrown_deviation_mm: float = 0.0
    now_deviation_mm: float = 0.0


@frozen
class Readings:
    """What was read of one piece: its weight, a size, or both."""

    weight: Weighing | None = None
    size: Calipered | None = None


@frozen
class PartNow:
    """How dry a part is: shares of its thrown weight and of its wet length, and what told it."""

    share_of_thrown: float
    shrunk_share: float
    to_come_share: float
    shrunk_plus_minus: float = 0.0
    by: str = WEIGHT


class MatchError(ValueError):
    """A reading or a clearance that can't be; `part` is inside, outside or None."""

    def __init__(self, message: str, part: str | None = None):
        super().__init__(message)
        self.part = part


class WeightAboveThrown(MatchError):
    """Heavier than it was when thrown."""


class WeightBelowDry(MatchError):
    """Lighter than bone dry."""


class SizeAboveThrown(MatchError):
    """Larger than it was when thrown."""


class SizeBelowDry(MatchError):
    """Smaller than bone dry."""


def part_now(body: Body, readings: Readings, part: str, step_g: float = 0.0) -> PartNow:
    """How dry a piece is, by all that was read of it.

    Args:
        body: the clay.
        readings: one of its weight, one of its size, or both.
        part: inside or outside, for what is wrong with it.
        step_g: scale step, g; a weight may be out of range by as much.
    Returns: its shrinkage so far with one standard deviation, and what told it.
    Raises: MatchError, a reading that can't be, or none.
    Source: inverse-variance weighing, textbook (the least variance of all weighings).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> now = part_now(clay, Readings(size=Calipered(87.5, 84.9, 0.3, 0.25)), "inside")
    >>> round(now.shrunk_share, 4), round(now.shrunk_plus_minus, 4), now.by
    (0.0297, 0.0044, 'calipers')
    """
    found = []
    if readings.size is not None:
        found.append(shrunk_by_size(body, readings.size, part))
    if readings.weight is not None:
        found.append(shrunk_by_weight(body, readings.weight, part, step_g))
    if not found:
        raise MatchError("nothing was read of it", part)
    shrunk, deviation = joined(found)
    by = BOTH if len(found) == 2 else CALIPERS if readings.size is not None else WEIGHT
    share = mass_share_at_shrinkage(body, shrunk)
    if readings.weight is not None and by == WEIGHT:  # past the end of shrinking only the weight tells more
        share = _mass_share(body, readings.weight)
    return PartNow(share, shrunk, body.shrinkage_share("fired") - shrunk, deviation, by)


def shrunk_by_size(body: Body, size: Calipered, part: str) -> tuple[float, float]:
    """Shrinkage so far by a size: s = 1 − now / as thrown, within what drying can do; and its standard deviation.

    Args:
        body: the clay.
        size: the size as thrown and now, mm.
        part: inside or outside, for what is wrong with it.
    Returns: share of the wet length, one standard deviation of it.
    Raises: MatchError, SizeAboveThrown, SizeBelowDry.
    Source: ASTM C326 (plastic length as the basis); JCGM 100:2008, 5.1 (from memory).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> [round(share, 4) for share in shrunk_by_size(clay, Calipered(100.0, 97.0, 0.3, 0.25), "inside")]
    [0.03, 0.0038]
    """
    if not (size.thrown_mm > 0.0 and size.now_mm > 0.0):
        raise MatchError("a size must be more than 0 mm", part)
    thrown, now = size.thrown_mm, size.now_mm
    deviation = hypot(size.thrown_deviation_mm * now / thrown, size.now_deviation_mm) / thrown
    shrunk, beyond, dry = 1.0 - now / thrown, BEYOND * deviation + 1e-9, body.shrinkage_share("dry")
    if shrunk < -beyond:
        raise SizeAboveThrown(f"{now:g} mm is more than the {thrown:.1f} mm that it was as thrown", part)
    if shrunk > dry + beyond:
        least = thrown * (1.0 - dry)
        raise SizeBelowDry(f"{now:g} mm is less than it is bone dry, {least:.1f} mm of {thrown:.1f} mm as thrown", part)
    return min(max(shrunk, 0.0), dry), max(deviation, _LEAST_DEVIATION)


def shrunk_by_weight(body: Body, weight: Weighing, part: str, step_g: float = 0.0) -> tuple[float, float]:
    """Shrinkage so far by a weight, through the moisture model; and its standard deviation.

    While a piece shrinks, a doubt of the share of its thrown weight is worth density / |dV/ds| of shrinkage. Once it
    has stopped, weight says no more; what doubt is left is that it might not have, and how far pieces lie apart.

    Args:
        body: the clay.
        weight: the weight as thrown and now, g.
        part: inside or outside, for what is wrong with it.
        step_g: scale step, g; a weight may be out of range by as much.
    Returns: share of the wet length, one standard deviation of it.
    Raises: MatchError, WeightAboveThrown, WeightBelowDry.
    Source: worked, the model of `moisture`; JCGM 100:2008, 5.1 (from memory).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> [round(share, 4) for share in shrunk_by_weight(clay, Weighing(640.0, 611.2, 9.6, 2.5), "inside")]
    [0.0299, 0.0102]
    """
    thrown_g, now_g = weight.thrown_g, weight.now_g
    if not (thrown_g > 0.0 and now_g > 0.0):
        raise MatchError("a weight must be more than 0 g", part)
    dry_g = thrown_g * body.mass_share("dry")
    dust_g = step_g + thrown_g * 1e-9
    if now_g > thrown_g + dust_g:
        raise WeightAboveThrown(f"{now_g:g} g is more than the {thrown_g:g} g that it weighed as thrown", part)
    if now_g < dry_g - dust_g:
        raise WeightBelowDry(
            f"{now_g:g} g is less than it weighs bone dry, {dry_g:.0f} g of {thrown_g:g} g as thrown", part
        )
    share = _mass_share(body, weight)
    shrunk, dry = shrinkage_at_mass_share(body, share), body.shrinkage_share("dry")
    doubt = hypot(weight.now_deviation_g, weight.thrown_deviation_g * share) / thrown_g
    if shrunk < dry:
        left, factor = 1.0 - shrunk, body.height_factor
        steepness = left * (2.0 * (1.0 - shrunk * factor) + factor * left)
        return shrunk, max(doubt * body.wet_density_g_cm3 / steepness, _LEAST_DEVIATION)
    perhaps = dry - shrinkage_at_mass_share(body, min(1.0, share + doubt))
    return shrunk, max(hypot(perhaps, body.deviation[2] or 0.0), _LEAST_DEVIATION)


def joined(readings: list[tuple[float, float]]) -> tuple[float, float]:
    """Readings of one thing, each with its standard deviation, as one: weighed by 1 / variance.

    Args:
        readings: value and standard deviation of each, the latter more than 0.
    Returns: value, one standard deviation.
    Source: inverse-variance weighing, textbook.
    >>> joined([(1.0, 3.0), (2.0, 4.0)])
    (1.36, 2.4)
    """
    weights = [1.0 / (deviation * deviation) for _, deviation in readings]
    total = sum(weights)
    middle = sum(weight * value for weight, (value, _) in zip(weights, readings)) / total
    return middle, sqrt(1.0 / total)


def as_thrown(body: Body, readings: Readings, usual_mm: float, usual_deviation_mm: float) -> tuple[float, float]:
    """A size as thrown, by all that is known of it: what it was set or read at, and what it is now at this dryness.

    Args:
        body: the clay.
        readings: what was read of the piece.
        usual_mm: the size that its like is thrown to, mm; for a piece whose size was not read.
        usual_deviation_mm: how far that is off, one standard deviation, mm.
    Returns: mm, one standard deviation.
    Source: inverse-variance weighing, textbook.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> as_thrown(clay, Readings(Weighing(640.0, 620.0)), 87.5, 0.3)
    (87.5, 0.3)
    """
    size = readings.size
    if size is None:
        return usual_mm, usual_deviation_mm
    found = [(size.thrown_mm, max(size.thrown_deviation_mm, _LEAST_DEVIATION))]
    if readings.weight is not None:
        shrunk, deviation = shrunk_by_weight(body, readings.weight, "", float("inf"))
        back = size.now_mm / (1.0 - shrunk)
        doubt = hypot(size.now_deviation_mm / (1.0 - shrunk), back * deviation / (1.0 - shrunk))
        found.append((back, max(doubt, _LEAST_DEVIATION)))
    return joined(found)


def _mass_share(body: Body, weight: Weighing) -> float:
    return min(1.0, max(weight.now_g / weight.thrown_g, body.mass_share("dry")))
