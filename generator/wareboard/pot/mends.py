"""What would mend a fit that binds or comes out loose too often.

Every suggestion holds when it is followed, the rounded ones (`say`) too.
"""

from collections.abc import Callable
from dataclasses import replace
from math import ceil, floor, hypot, isfinite, log10, sqrt
from statistics import NormalDist

from wareboard.pot.fits import (
    DUST_MM,
    Fit,
    FitFigures,
    Term,
    at_fired_mm,
    fit_figures,
    spread_terms,
    with_aim,
)
from wareboard.pot.frozen import frozen


@frozen
class Tools:
    """How a fit is set with tools: as it comes out when it is, and how far that may be from what was worked out, mm, at any stage."""

    made: Callable[[Fit], Fit] = lambda fit: fit
    within_mm: Callable[[Fit], float] = lambda fit: 0.0
    unit_mm: float = 1.0  # one of the unit in which lengths are said
    steps: tuple[float, ...] = (0.1, 0.05, 0.02, 0.01)  # what counts as round, in that unit, roundest first


# Tools that can be set to anything.
EXACT = Tools()


@frozen
class AimRange:
    """Aims, at the fit's stage, that bring both shares under the limit; without end where the fit has
    no limit on that side. Where tools leave no stretch in which any does, the two ends are `say_mm`."""

    low_mm: float
    high_mm: float
    say_mm: float | None  # a round number near the middle, or inside of the one end, where there is one


@frozen
class OwnPairing:
    """What pairing `own` gives; where that isn't enough, the aims that do it with `own`."""

    binds_share: float
    loose_share: float
    enough: bool
    aim: AimRange | None


@frozen
class LargestCause:
    """The cause of most of the spread, by its name among the studio's spreads.

    One value for each part that it acts on; `needed` and `say` are None where even none of
    it would not be enough.
    """

    name: str
    parts: tuple[str, ...]
    sigma_mm: float  # at fired, its terms together
    now: tuple[float, ...]
    needed: tuple[float, ...] | None
    say: tuple[float, ...] | None  # needed, rounded down to two digits


@frozen
class Mends:
    """What to change, each on its own; None where it doesn't apply or doesn't help."""

    aim: AimRange | None
    own: OwnPairing | None
    largest: LargestCause | None


def mends(fit: Fit, limit_share: float = 0.01, tools: Tools = EXACT) -> Mends | None:
    """What would bring binds and loose under the limit.

    Args:
        fit: the fit as it is worked out.
        limit_share: most that may bind, and most that may be loose; over 0, under one half.
        tools: what it is set with; what they make of it is judged.
    Returns: suggestions, or None where the fit is under the limit as it is made.
    Raises: ValueError, a limit out of range.
    Source: normal tails, textbook.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side, Spreads
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> found = mends(with_aim(Fit(side, side, 1.2, 0.5, 2.4), 1.2))
    >>> found.aim.say_mm, found.own.enough, found.largest.name, found.largest.say
    (1.45, True, 'calipers', None)
    """
    if not 0.0 < limit_share < 0.5:
        raise ValueError(f"a limit must be over 0 and under 50 %, not {limit_share:.1%}")
    figures = fit_figures(tools.made(fit))
    if is_under(figures, limit_share):
        return None
    return Mends(
        aim=aim_range(fit, limit_share, tools),
        own=_own_pairing(fit, limit_share, tools) if fit.pairing != "own" else None,
        largest=_largest_cause(figures, limit_share, tools.unit_mm),
    )


def is_under(figures: FitFigures, limit_share: float) -> bool:
    """Whether neither binds nor loose is over the limit.

    Args:
        figures: figures of a fit.
        limit_share: most of each.
    Returns: true where both are at the limit or under.
    Source: worked: both shares held against the limit.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> is_under(fit_figures(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4)), 0.01)
    True
    """
    return max(figures.binds_share, figures.loose_share) <= limit_share


def aim_range(fit: Fit, limit_share: float, tools: Tools = EXACT) -> AimRange | None:
    """The aims that bring both shares under the limit.

    From least + z σ to most − z σ at fired. The size of the side that follows, and with it a
    little of σ, moves with the aim, so each end is found by going round until it stays.

    Args:
        fit: the fit; the side that is given stays.
        limit_share: most that may bind, and most that may be loose.
        tools: what it is set with; each end keeps as far inside as they may be out.
    Returns: the range at the fit's stage, None where there is none.
    Source: normal tails, textbook.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side, Spreads
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(trimming_mm=0.25))
    >>> found = aim_range(Fit(side, side, 0.6, 0.5, 2.4), 0.01)
    >>> round(found.low_mm, 2), round(found.high_mm, 2), found.say_mm
    (1.03, 1.87, 1.4)
    """
    z = NormalDist().inv_cdf(1.0 - limit_share)
    low = _settled(fit, at_fired_mm(fit, fit.least_mm), z)
    high = _settled(fit, at_fired_mm(fit, fit.most_mm), -z)
    if low is None or high is None or low > high:
        return None
    # clearance at the fit's stage and at fired lie on a straight line
    at_zero = at_fired_mm(fit, 0.0)
    slope = at_fired_mm(fit, 1.0) - at_zero
    low, high = (low - at_zero) / slope, (high - at_zero) / slope
    if high < 0.0:
        return None  # below nought the one would not go into the other
    say = _round_aim_mm(fit, low, high, limit_share, tools)
    within = tools.within_mm(fit)
    if low + within <= high - within:
        return AimRange(low + within, high - within, say)
    return None if say is None else AimRange(say, say, say)


def _settled(fit: Fit, limit_mm: float, z: float) -> float | None:
    """The fired clearance c for which c = limit + z σ(c); the limit itself where there is none."""
    clearance = limit_mm
    for _ in range(50 if isfinite(limit_mm) else 0):
        try:
            before, clearance = clearance, limit_mm + z * _spread_at(fit, clearance)
        except ValueError:
            return None  # so wild a spread that nothing would be left of the side that follows
        if abs(clearance - before) < DUST_MM / 1000.0:
            return clearance
    return None if isfinite(limit_mm) else limit_mm  # a spread so wild that no aim settles


def _spread_at(fit: Fit, fired_mm: float) -> float:
    """The spread where the side that follows is made to leave this fired clearance."""
    moved = with_aim(replace(fit, stage="fired"), fired_mm)
    return hypot(*(term.sigma_mm for term in spread_terms(moved)))


def _round_aim_mm(fit: Fit, low_mm: float, high_mm: float, limit_share: float, tools: Tools) -> float | None:
    for step in tools.steps:
        aim = round(_steps_between(low_mm, high_mm, step * tools.unit_mm) * step, 4) * tools.unit_mm
        if is_under(fit_figures(tools.made(with_aim(fit, aim))), limit_share):
            return aim
    return None


def _steps_between(low_mm: float, high_mm: float, step_mm: float) -> int:
    """The steps to the middle of a range, or just inside of its one end."""
    if isfinite(low_mm) and isfinite(high_mm):
        return round((low_mm + high_mm) / 2.0 / step_mm)
    return ceil(low_mm / step_mm) if isfinite(low_mm) else floor(high_mm / step_mm)


def _own_pairing(fit: Fit, limit_share: float, tools: Tools) -> OwnPairing:
    own = replace(fit, pairing="own")
    figures = fit_figures(tools.made(own))
    enough = is_under(figures, limit_share)
    aim = None if enough else aim_range(own, limit_share, tools)
    return OwnPairing(figures.binds_share, figures.loose_share, enough, aim)


def _largest_cause(figures: FitFigures, limit_share: float, unit_mm: float) -> LargestCause | None:
    causes: dict[str, list[Term]] = {}
    for term in figures.terms:
        causes.setdefault(term.name, []).append(term)
    sigmas = {name: hypot(*(t.sigma_mm for t in terms)) for name, terms in causes.items()}
    name = max(sigmas, key=sigmas.__getitem__)
    if sigmas[name] == 0.0:
        return None
    nominal = figures.clearance_mm[-1]
    z = NormalDist().inv_cdf(1.0 - limit_share)
    allowed = min(nominal - figures.least_mm, figures.most_mm - nominal) / z
    rest = hypot(*(sigma for other, sigma in sigmas.items() if other != name))
    now = tuple(term.value for term in causes[name])
    needed = say = None
    if allowed > rest:
        factor = sqrt(allowed * allowed - rest * rest) / sigmas[name]
        needed = tuple(value * factor for value in now)
        unit = 1.0 if name == "shrinkage" else unit_mm
        say = tuple(_rounded_down(value / unit) * unit for value in needed)
    return LargestCause(name, tuple(t.part for t in causes[name]), sigmas[name], now, needed, say)


def _rounded_down(value: float) -> float:
    """Down to two digits that matter."""
    if value < 1e-9:
        return 0.0
    places = 1 - floor(log10(value))
    return round(floor(value * 10.0**places) / 10.0**places, places)
