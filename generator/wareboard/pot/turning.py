"""Turning what goes in: to what size, by how far it has shrunk; and whether a weight in grams could tell that.

Calipers come first. Grams are for a piece that was thrown to the sheet's weight; where the scale's step or the
spread of thrown weights is as large as what they are to tell, they turn good pieces away, and are not printed.
"""

from collections.abc import Iterator
from math import ceil, floor

from wareboard.pot.fits import Fit, normal_share_below
from wareboard.pot.frozen import frozen

BAND_STEPS = 2.0  # a band of grams is at least this many steps of the scale wide
TURNED_AWAY_SHARE = 0.1  # of good pieces, at most


@frozen
class TrimGrams:
    """Between which grams a piece is trimmed, as shares of its own weight as thrown, and what these grams are worth.

    `helps`: whether grams may be printed; where not, `why` is `step` or `spread`.
    """

    lighter_share: float
    heavier_share: float
    low_g: float
    high_g: float
    helps: bool
    why: str | None
    turned_away_share: float  # of pieces that are leather-hard to the point, thrown with the usual spread
    step_g: float  # by how much the scale's step moves a reading
    spread_g: float  # by how much thrown weights differ, as they weigh leather-hard, one standard deviation


def trim_grams(
    thrown_g: float,
    lighter_share: float,
    heavier_share: float,
    leather_share: float,
    *,
    step_g: float,
    weight_share: float,
) -> TrimGrams:
    """Whether a card should print grams between which a piece is trimmed, and which.

    None where the band is narrower than two steps of the scale, or where it would turn away more than one in ten of
    pieces that are leather-hard to the point, thrown with the usual spread of weights. A piece's own weight as thrown
    knows no such spread, so its shares always hold.

    Args:
        thrown_g: what the sheet's piece weighs as thrown, g.
        lighter_share: the driest that is right, share of the weight as thrown.
        heavier_share: the wettest that is right.
        leather_share: leather-hard, share of the weight as thrown.
        step_g: the scale's step, g.
        weight_share: by how much thrown weights of a run differ, one standard deviation, share of the weight.
    Returns: the band in grams, whether it helps, and what makes it doubtful.
    Raises: ValueError, a band the wrong way round.
    Source: normal tails, textbook; the two limits: common practice.
    >>> found = trim_grams(506.0, 0.942, 0.969, 0.955, step_g=5.0, weight_share=0.015)
    >>> found.helps, found.why, round(found.turned_away_share, 2)
    (False, 'spread', 0.35)
    >>> trim_grams(506.0, 0.92, 0.99, 0.955, step_g=5.0, weight_share=0.015).helps
    True
    """
    if not lighter_share <= heavier_share:
        raise ValueError("a band runs from the lighter to the heavier share")
    low_g, high_g, middle_g = (thrown_g * share for share in (lighter_share, heavier_share, leather_share))
    spread_g = middle_g * weight_share
    away = normal_share_below(low_g, middle_g, spread_g) + normal_share_below(-high_g, -middle_g, spread_g)
    narrow = high_g - low_g < BAND_STEPS * step_g
    why = "step" if narrow else "spread" if away > TURNED_AWAY_SHARE else None
    return TrimGrams(lighter_share, heavier_share, low_g, high_g, why is None, why, away, step_g, spread_g)


@frozen
class Turn:
    """What calipers read on the outside now, and what it is turned to, mm."""

    now_mm: float
    to_mm: float


def turn_to_mm(fit: Fit, thrown_mm: float, now_mm: float) -> float:
    """What the outside of a fit is turned to, by what it has shrunk to: its wet size × now / as thrown.

    Args:
        fit: the fit.
        thrown_mm: the outside as thrown, with what trimming takes off, mm.
        now_mm: the same now, mm.
    Returns: mm.
    Raises: ValueError, a size that isn't more than 0.
    Source: worked; it shrinks as much beneath its skin as outside.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(turn_to_mm(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 100.0, 97.0), 2)
    95.06
    """
    if not (thrown_mm > 0.0 and now_mm > 0.0):
        raise ValueError("a size must be more than 0 mm")
    return fit.outside.wet_mm * now_mm / thrown_mm


def turns(fit: Fit, thrown_mm: float, step_mm: float, most: int = 9) -> tuple[Turn, ...]:
    """The table beside the calipers: what is read on the outside now, in whole steps, and what to turn it to.

    From half-way to leather-hard, where it is firm enough to trim, to where shrinking stops. Where no whole step lies
    between, as on a small plug, the one reading that is nearest to leather-hard, and what it is turned to then.

    Args:
        fit: the fit.
        thrown_mm: the outside as thrown, with what trimming takes off, mm.
        step_mm: the ruler's step, mm; a multiple of it, where there would be more rows than may be.
        most: rows, at most.
    Returns: rows, the wettest first.
    Raises: ValueError, a size or a step that isn't more than 0.
    Source: worked: the readings counted down in whole steps, each through `turn_to_mm`.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> found = turns(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 100.0, 0.5)
    >>> [(turn.now_mm, round(turn.to_mm, 2)) for turn in found][:3]
    [(98.5, 96.53), (98.0, 96.04), (97.5, 95.55)]
    >>> [(turn.now_mm, round(turn.to_mm, 2)) for turn in turns(Fit(Side(10.0, clay), Side(9.0, clay), 1.0, 0.5, 1.5), 9.6, 0.5)]
    [(9.5, 8.73)]
    """
    if not step_mm > 0.0:
        raise ValueError(f"a step must be more than 0 mm, not {step_mm:g}")
    body = fit.outside.body
    wettest = thrown_mm * (1.0 - body.shrinkage_share("leather-hard") / 2.0)
    driest = thrown_mm * body.across("dry")
    step_mm *= max(1, ceil((wettest - driest) / step_mm / most))
    found = tuple(Turn(now, turn_to_mm(fit, thrown_mm, now)) for now in _steps_down(wettest, driest, step_mm))
    if found:
        return found
    leather_hard = body.across("leather-hard")
    nearest = max(1, round(thrown_mm * leather_hard / step_mm)) * step_mm
    return (Turn(nearest, fit.outside.wet_mm * leather_hard),)


def _steps_down(high_mm: float, low_mm: float, step_mm: float) -> Iterator[float]:
    for place in range(floor(high_mm / step_mm + 1e-9), ceil(low_mm / step_mm - 1e-9) - 1, -1):
        yield place * step_mm
