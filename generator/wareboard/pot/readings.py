"""How dry a piece is, from what was read of it: its weight, a size that calipers set, or both.

Calipers first: a size that was thrown to a locked caliper has shrunk by 1 − now / as thrown, whatever the piece
weighs. A weight tells it through the moisture model. Two readings of one piece are joined by inverse variance.
"""

from math import hypot, sqrt

from wareboard.pot.clay import Body
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import mass_share_at_shrinkage, shrinkage_at_mass_share

WEIGHT, CALIPERS, BOTH = "weight", "calipers", "both"
BEYOND = 3.0  # standard deviations that a reading may lie past what can be
_LEAST_DEVIATION = 1e-9  # a share; what is taken as exact still has to be joined


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
