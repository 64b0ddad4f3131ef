"""Doubt carried from clay and tools to a figure: to a size, a capacity, a weight, a clearance.

Each says for the next piece what its doubt is made of (`doubt.Budget`). None where the clay has no bars that tell:
then a doubt has not been worked out, which is not the same as none.
"""

from collections.abc import Sequence
from math import hypot, sqrt
from typing import NamedTuple

from wareboard.pot.clay import Body
from wareboard.pot.doubt import CALIPERS, PIECES, SCALE, THICKNESS, TRIMMING, WEIGHT, Budget, Cause, combined, known
from wareboard.pot.fits import Fit, Side, spread_terms
from wareboard.pot.stages import STAGES

USUAL_WEIGHT_SHARE = 0.015  # by which thrown weights of a run differ, one standard deviation: common practice
STEP_OVER_DEVIATION = sqrt(12.0)  # what a tool rounds to lies anywhere within its step


class Tool(NamedTuple):
    """What sets a size: its name among the studio's spreads, the stage at which, and one standard deviation there."""

    name: str
    used_at: str
    deviation_mm: float

    def left_mm(self, body: Body, stage: str) -> float:
        """What it leaves a size off by at a stage; nothing before it is used."""
        if STAGES.index(stage) < STAGES.index(self.used_at):
            return 0.0
        return self.deviation_mm * body.across(stage) / body.across(self.used_at)


def size_plus_minus_mm(
    body: Body, wet_mm: float, stage: str, *, typed_at: str = "fired", upward: bool = False, tools: Sequence[Tool] = ()
) -> float | None:
    """How far apart next pieces of one size lie at a stage: one standard deviation, the bars' lots all together.

    Args:
        body: the clay.
        wet_mm: the size wet, mm.
        stage: one of the five stages.
        typed_at: the stage at which it was typed.
        upward: a height, which shrinks by the height factor.
        tools: what sets it, of those that the studio knows the spread of.
    Returns: mm; None where the clay has no bars that tell.
    Source: root sum of squares of independent causes, JCGM 100:2008, 5.1.2 (from memory).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, bars=[{"wet": 100, "dry": 94, "fired": f} for f in (87.9, 88.0, 88.1)])
    >>> round(size_plus_minus_mm(clay, 100.0, "fired"), 3)
    0.1
    """
    factor = body.height_factor if upward else 1.0
    if stage == "wet":
        if set_mm := [tool.deviation_mm for tool in tools if tool.used_at == "wet"]:
            return hypot(*set_mm) if body.doubt is not None else None
        back = body.deviation[STAGES.index(typed_at)]
        return None if back is None else wet_mm * back * factor / (body.up if upward else body.across)(typed_at)
    deviation = body.deviation[STAGES.index(stage)]
    if deviation is None:
        return None
    return hypot(wet_mm * deviation * factor, *(tool.left_mm(body, stage) for tool in tools))


def size_budget(
    body: Body, wet_mm: float, stage: str, *, typed_at: str = "fired", upward: bool = False, tools: Sequence[Tool] = ()
) -> Budget | None:
    """The doubt of a size at a stage, for the next piece of a lot not yet seen.

    What is set wet comes out wet × σ of the shrinkage apart, and as far apart as the tool that set it leaves it. A
    wet size that no tool is known for carries the doubt of the shrinkage that it was worked back with.

    Args:
        body: the clay.
        wet_mm: the size wet, mm.
        stage: one of the five stages.
        typed_at: the stage at which it was typed.
        upward: a height, which shrinks by the height factor.
        tools: what sets it, of those that the studio knows the spread of.
    Returns: the budget; None where the clay has no bars that tell.
    Source: JCGM 100:2008, 5.1 (from memory); ASTM C326 (plastic length as the basis).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, bars=[{"wet": 100, "dry": 94, "fired": f} for f in (87.9, 88.0, 88.1)])
    >>> [(cause.name, round(cause.deviation, 3)) for cause in size_budget(clay, 100.0, "fired").causes]
    [('mean of bars', 0.115), ('between lots', 0.1), ('piece to piece', 0.1)]
    """
    if body.doubt is None:
        return None
    factor = body.height_factor if upward else 1.0
    if stage == "wet":
        if set_with := [known(tool.name, tool.deviation_mm) for tool in tools if tool.used_at == "wet"]:
            return combined(set_with)
        back = body.doubt.at(typed_at) if typed_at != "wet" else None
        return None if back is None else back.scaled(wet_mm * factor / (body.up if upward else body.across)(typed_at))
    shrinkage = body.doubt.at(stage)
    if shrinkage is None:
        return None
    scaled = shrinkage.scaled(wet_mm * factor)
    left = [known(tool.name, left_mm) for tool in tools if (left_mm := tool.left_mm(body, stage))]
    return combined([*left, scaled]) if left else scaled


def capacity_budget(body: Body, held_ml: float, clay_cm3: float = 0.0, weight_share: float = 0.0) -> Budget | None:
    """The doubt of a capacity, for the next piece of a lot not yet seen.

    V goes with (1 − s)² (1 − s h), so a point of shrinkage takes V (2 / (1 − s) + h / (1 − s h)) of a point. Where
    thrown weights differ at one outside, the wall is so much thicker, and what is more clay is less room.

    Args:
        body: the clay.
        held_ml: the capacity, ml.
        clay_cm3: the fired volume of the clay round it, cm³.
        weight_share: by how much of their weight pieces differ, one standard deviation.
    Returns: the budget, ml.
    Source: JCGM 100:2008, 5.1 (from memory); worked: V taken by s, over V; more clay at one outside is as much less room.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, bars=[{"wet": 100, "dry": 94, "fired": f} for f in (87.9, 88.0, 88.1)])
    >>> round(capacity_budget(clay, 300.0).standard, 2)
    1.87
    """
    shrinkage = None if body.doubt is None else body.doubt.at("fired")
    if shrinkage is None:
        return None
    each = held_ml * (2.0 / body.across("fired") + body.height_factor / body.up("fired"))
    thickness = [known(THICKNESS, clay_cm3 * weight_share)] if clay_cm3 * weight_share else []
    return combined([*thickness, shrinkage.scaled(each)])


def mass_budget(mass_g: float, weight_share: float = USUAL_WEIGHT_SHARE, step_g: float = 0.0) -> Budget:
    """The doubt of a piece's weight: by how much thrown weights differ, and what the scale rounds.

    Args:
        mass_g: the weight, g.
        weight_share: by how much of their weight pieces differ, one standard deviation.
        step_g: the scale's step, g; within it a weight lies anywhere, so step / √12.
    Returns: the budget, g.
    Source: JCGM 100:2008, 4.3.7 (rectangular distribution; from memory); 1.5 %: common practice.
    >>> round(mass_budget(400.0, 0.015, 5.0).standard, 2)
    6.17
    """
    causes = [Cause(WEIGHT, mass_g * weight_share)]
    if step_g:
        causes.append(Cause(SCALE, step_g / STEP_OVER_DEVIATION))
    return Budget(tuple(causes))


def clearance_budget(fit: Fit, stage: str = "fired") -> Budget | None:
    """The doubt of a clearance at a stage, for the next pair of a lot not yet seen.

    What spreads pairs of one lot, and what the bars leave unknown of the lot and of the mean. Both parts of a pair
    are of one lot, so of a clay that they share only the difference of the two counts.

    Args:
        fit: the fit.
        stage: from leather-hard on.
    Returns: the budget; None where a clay has no bars that tell.
    Raises: ValueError, as spread_terms.
    Source: JCGM 100:2008, 5.2 (correlated inputs) and G.4 (from memory).
    >>> from dataclasses import replace
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side, Spreads
    >>> bars = [{"wet": 100, "dry": 94, "fired": fired} for fired in (87.9, 88.0, 88.1)]
    >>> clay = make_body(water_share=0.215, bars=bars)
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> low, high = clearance_budget(Fit(side, replace(side, wet_mm=98.6), 1.2, 0.5, 2.4)).interval(1.2)
    >>> round(low, 2), round(high, 2)
    (0.4, 2.0)
    """
    if fit.inside.body.doubt is None or fit.outside.body.doubt is None:
        return None
    budgets = []
    of_bars: dict[int, tuple[float, float]] = {}  # both pieces' spread, where it is one and the same estimate
    for term in spread_terms(fit, stage):
        side: Side = getattr(fit, term.part)
        if term.name == "shrinkage":
            square, _ = of_bars.get(id(side.body.doubt), (0.0, 0.0))
            of_bars[id(side.body.doubt)] = square + term.sigma_mm**2, side.spreads.shrinkage_freedoms
        elif term.sigma_mm:
            budgets.append(known(term.name if term.name in (CALIPERS, TRIMMING) else PIECES, term.sigma_mm))
    budgets += [Budget((Cause(PIECES, sqrt(square)),), freedoms) for square, freedoms in of_bars.values() if square]
    inside, outside = _lot_weights(fit, stage)
    if fit.inside.body.doubt is fit.outside.body.doubt:
        sides = [(fit.inside.body.doubt, _summed(inside, outside))]
    else:
        sides = [(fit.inside.body.doubt, inside), (fit.outside.body.doubt, outside)]
    for bars, weights in sides:
        shared = bars.along(weights)
        if shared is None:
            return None
        budgets.append(shared.without(PIECES))
    return combined(budgets)


def _lot_weights(fit: Fit, stage: str) -> tuple[dict[str, float], dict[str, float]]:
    """How the clearance moves with each clay's shrinkages, mm a share: the opening's, and those of what goes in."""
    inside_mm, outside_mm = fit.inside.wet_mm, fit.outside.wet_mm
    if fit.pairing == "any":
        return {stage: -inside_mm}, {stage: outside_mm}
    # c = I (1 − s) − (I (1 − s lh) − play) k, where k = (1 − s) / (1 − s lh) of what goes in
    then = fit.outside.body.across("leather-hard")
    kept = fit.outside.body.across(stage) / then
    opening, lid = {"leather-hard": inside_mm * kept}, {"leather-hard": -outside_mm * kept}
    return _summed(opening, {stage: -inside_mm}), _summed(lid, {stage: outside_mm})


def _summed(one: dict[str, float], other: dict[str, float]) -> dict[str, float]:
    return {stage: one.get(stage, 0.0) + other.get(stage, 0.0) for stage in one | other}
