"""Fits: two things that go together, through the stages, and how many pairs will not.

Clearance is the inside diameter minus the outside diameter, less the glaze once it is on;
the gap is half of it. Whatever is known about a clearance at another stage is carried to
fired first, where the spread and the shares are worked out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import erfc, hypot, sqrt

from wareboard.pot.clay import STAGES, Body

PAIRINGS = ("any", "own")
DUST_MM = 1e-9  # floats this far past a limit are at the limit


@dataclass(frozen=True, slots=True)
class Spreads:
    """What varies from piece to piece; one standard deviation each, but for out of round,
    which is the largest minus the smallest diameter of a typical piece."""

    calipers_mm: float = 0.0  # at wet
    trimming_mm: float = 0.0  # at leather-hard
    out_of_round_mm: float = 0.0  # at fired
    shrinkage_share: float = 0.0  # of the wet length


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two things: its diameter at the fit, back at wet, and its clay."""

    wet_mm: float
    body: Body
    spreads: Spreads = Spreads()

    def diameter_mm(self, stage: str) -> float:
        """Clay diameter at a stage, mm."""
        return self.wet_mm * self.body.across(stage)


@dataclass(frozen=True, slots=True)
class Fit:
    """An opening, what goes into it, and the clearance wanted at `stage`.

    `films_mm` holds the fired glaze thickness of each face that is glazed: none, one or two.
    `follows` is the side that is made for the aim, the other being given.
    """

    inside: Side
    outside: Side
    aim_mm: float
    least_mm: float
    most_mm: float
    stage: str = "fired"
    films_mm: tuple[float, ...] = ()
    pairing: str = "any"
    follows: str = "outside"


@dataclass(frozen=True, slots=True)
class Term:
    """One cause of spread: `value` (mm at `stage`, or a share of the wet length) times
    `reach` (mm of fired clearance for one of that unit) is `sigma_mm` at fired."""

    name: str  # calipers, trimming or shrinkage, as in the studio's spreads
    part: str  # inside or outside
    stage: str
    value: float
    reach: float
    words: str

    @property
    def sigma_mm(self) -> float:
        """What it spreads the fired clearance by, one standard deviation, mm."""
        return self.value * self.reach


@dataclass(frozen=True, slots=True)
class FitFigures:
    """Everything about one fit. Lengths in mm; `clearance_mm` one for each of STAGES."""

    clearance_mm: tuple[float, ...]
    least_mm: float  # the limits, carried to fired
    most_mm: float
    terms: tuple[Term, ...]
    spread_mm: float
    worst_least_mm: float
    worst_most_mm: float
    binds_share: float
    loose_share: float
    any_turn_share: float

    @property
    def gap_mm(self) -> tuple[float, ...]:
        """Half of the clearance at each of STAGES."""
        return tuple(clearance / 2.0 for clearance in self.clearance_mm)


# --- nominal sizes ------------------------------------------------------------------------


def film_loss_mm(films_mm: Sequence[float], stage: str = "fired") -> float:
    """What glaze takes off the clearance: twice the film for each glazed face, at fired only.

    Args:
        films_mm: fired thickness on each glazed face, mm.
        stage: one of STAGES.
    Returns: loss on the diameter, mm.
    Source: worked: a film on a face takes its thickness off each side of the diameter.
    >>> film_loss_mm((0.35, 0.35)), film_loss_mm((0.35,), "bisque")
    (1.4, 0.0)
    """
    return 2.0 * sum(films_mm) if stage == "fired" else 0.0


def outside_for_aim_mm(
    inside: Side, outside_body: Body, aim_mm: float, stage: str = "fired", films_mm: Sequence[float] = ()
) -> float:
    """Wet outside diameter that leaves the aim in a given opening.

    O = (I × across_in − film − aim) / across_out, each at the stage of the aim.

    Args:
        inside: the opening.
        outside_body: clay of what goes into it.
        aim_mm: clearance wanted, mm.
        stage: stage of the aim.
        films_mm: fired thickness on each glazed face, mm.
    Returns: wet diameter, mm.
    Raises: ValueError, nothing is left to go into the opening.
    Source: worked: the opening at the stage, less film and aim, worked back to wet by the clay of what goes in.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(outside_for_aim_mm(Side(100.0, clay), clay, 1.2), 3)
    98.636
    """
    left = inside.diameter_mm(stage) - film_loss_mm(films_mm, stage) - aim_mm
    if not left > 0.0:
        raise ValueError(f"a clearance of {aim_mm:g} mm leaves nothing to go into the opening")
    return left / outside_body.across(stage)


def inside_for_aim_mm(
    outside: Side, inside_body: Body, aim_mm: float, stage: str = "fired", films_mm: Sequence[float] = ()
) -> float:
    """Wet inside diameter that leaves the aim around a given outside.

    I = (O × across_out + film + aim) / across_in, each at the stage of the aim.

    Args:
        outside: what goes in.
        inside_body: clay of the opening.
        aim_mm: clearance wanted, mm.
        stage: stage of the aim.
        films_mm: fired thickness on each glazed face, mm.
    Returns: wet diameter, mm.
    Raises: ValueError, no opening is left.
    Source: worked: what goes in at the stage, film and aim added, worked back to wet by the clay of the opening.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> round(inside_for_aim_mm(Side(98.636, clay), clay, 1.2), 3)
    100.0
    """
    left = outside.diameter_mm(stage) + film_loss_mm(films_mm, stage) + aim_mm
    if not left > 0.0:
        raise ValueError(f"a clearance of {aim_mm:g} mm leaves no opening")
    return left / inside_body.across(stage)


def clearance_mm(fit: Fit, stage: str) -> float:
    """Clearance at a stage: inside − outside, less glaze once it is on.

    Args:
        fit: the fit.
        stage: one of STAGES.
    Returns: difference of diameters, mm; below zero where it will not go in.
    Source: ISO 286 (clearance as the difference of sizes).
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4, films_mm=(0.3,))
    >>> [round(clearance_mm(fit, stage), 2) for stage in ("wet", "fired")]
    [2.0, 1.16]
    """
    return fit.inside.diameter_mm(stage) - fit.outside.diameter_mm(stage) - film_loss_mm(fit.films_mm, stage)


def at_fired_mm(fit: Fit, clearance_at_stage_mm: float) -> float:
    """Fired clearance that a clearance at the fit's own stage comes to, the opening as it is.

    Args:
        fit: the fit; its stage is where the clearance holds.
        clearance_at_stage_mm: clearance there, mm.
    Returns: clearance at fired, mm.
    Source: worked: the outside that leaves this clearance at its stage, brought to fired, taken from the opening fired.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = Fit(Side(100.0, clay), Side(98.0, clay), 1.0, 0.5, 2.0, stage="leather-hard")
    >>> round(at_fired_mm(fit, 1.0), 4)
    0.9072
    """
    if fit.stage == "fired":
        return clearance_at_stage_mm
    outside_mm = fit.inside.diameter_mm(fit.stage) - film_loss_mm(fit.films_mm, fit.stage) - clearance_at_stage_mm
    later = fit.outside.body.across("fired") / fit.outside.body.across(fit.stage)
    return fit.inside.diameter_mm("fired") - film_loss_mm(fit.films_mm) - outside_mm * later


def with_aim(fit: Fit, aim_mm: float) -> Fit:
    """The same fit with the side that follows made for another aim.

    Args:
        fit: the fit.
        aim_mm: clearance wanted at the fit's stage, mm.
    Returns: the fit with that side's new diameter.
    Raises: ValueError, nothing is left to go into the opening, or no opening.
    Source: worked: `outside_for_aim_mm` or `inside_for_aim_mm` for the side that follows.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 1.4)
    >>> round(clearance_mm(fit, "fired"), 9)
    1.4
    """
    if fit.follows == "inside":
        wet_mm = inside_for_aim_mm(fit.outside, fit.inside.body, aim_mm, fit.stage, fit.films_mm)
        return replace(fit, inside=replace(fit.inside, wet_mm=wet_mm), aim_mm=aim_mm)
    wet_mm = outside_for_aim_mm(fit.inside, fit.outside.body, aim_mm, fit.stage, fit.films_mm)
    return replace(fit, outside=replace(fit.outside, wet_mm=wet_mm), aim_mm=aim_mm)


# --- spread -------------------------------------------------------------------------------


def spread_terms(fit: Fit) -> tuple[Term, ...]:
    """What spreads the fired clearance, each cause on its own.

    `any`: the opening's calipers from wet to fired, the outside's trimming from
    leather-hard to fired, and each part's shrinkage times its wet diameter. `own`: the two
    were tried together at leather-hard, so the calipers drop out and of the shrinkage only
    what is still to come counts, (s fired − s leather-hard) / s fired.

    Shrinkage that a whole batch shares moves both parts together and is no such term.

    Args:
        fit: the fit.
    Returns: the terms.
    Raises: ValueError, a pairing that is neither.
    Source: root-sum-square stacks, textbook; which terms count: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> [round(term.sigma_mm, 4) for term in spread_terms(Fit(side, side, 1.2, 0.5, 2.4))]
    [0.264, 0.2268, 0.15, 0.15]
    """
    own = fit.pairing == "own"
    if not own and fit.pairing != "any":
        raise ValueError(f"pairing is own or any, not {fit.pairing!r}")
    inside, outside = fit.inside, fit.outside
    body = outside.body
    terms = [
        Term(
            "trimming",
            "outside",
            "leather-hard",
            outside.spreads.trimming_mm,
            body.across("fired") / body.across("leather-hard"),
            "trimming the outside, leather-hard to fired",
        )
    ]
    if not own:
        terms.insert(
            0,
            Term(
                "calipers",
                "inside",
                "wet",
                inside.spreads.calipers_mm,
                inside.body.across("fired"),
                "calipers set on the inside, wet to fired",
            ),
        )
    when = "still to come at leather-hard" if own else "wet to fired"
    for part, side in (("inside", inside), ("outside", outside)):
        reach = side.wet_mm * (_share_to_come(side.body) if own else 1.0)
        words = f"shrinkage of the {part}, piece to piece, {when}"
        terms.append(Term("shrinkage", part, "fired", side.spreads.shrinkage_share, reach, words))
    return tuple(terms)


def _share_to_come(body: Body) -> float:
    """Part of the fired shrinkage that is still to come at leather-hard."""
    fired = body.shrinkage_share("fired")
    return abs(fired - body.shrinkage_share("leather-hard")) / fired if fired else 0.0


def normal_share_below(limit: float, mean: float, sigma: float) -> float:
    """Share of a normal spread under a limit; all or nothing where there is no spread.

    Args:
        limit: the limit.
        mean: middle of the spread, same unit.
        sigma: one standard deviation, same unit, 0 up.
    Returns: share, 0 to 1.
    Source: normal distribution, textbook; checked against scipy.
    >>> round(normal_share_below(0.5, 1.2, 0.4), 4), normal_share_below(0.5, 0.5, 0.0)
    (0.0401, 0.0)
    """
    if sigma <= 0.0:
        return 1.0 if mean < limit - DUST_MM else 0.0
    return 0.5 * erfc((mean - limit) / (sigma * sqrt(2.0)))


def fit_figures(fit: Fit) -> FitFigures:
    """Everything about a fit: clearances through the stages, spread, worst case, shares.

    Spread: root of the sum of squares. Worst case: nominal ∓ the straight sum of three σ of
    each term. A pair goes home at every turn where its clearance is at least the mean of
    the two out-of-round figures.

    Args:
        fit: the fit.
    Returns: the figures.
    Raises: ValueError, a pairing that is neither own nor any.
    Source: worst-case and root-sum-square stacks, textbook; any turn: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> found = fit_figures(with_aim(Fit(side, side, 1.2, 0.5, 2.4, pairing="own"), 1.2))
    >>> round(found.spread_mm, 3), round(found.binds_share, 4), round(found.loose_share, 6)
    (0.276, 0.0057, 7e-06)
    """
    clearances = tuple(clearance_mm(fit, stage) for stage in STAGES)
    fired = clearances[-1]
    terms = spread_terms(fit)
    spread = hypot(*(term.sigma_mm for term in terms))
    worst = 3.0 * sum(term.sigma_mm for term in terms)
    least, most = at_fired_mm(fit, fit.least_mm), at_fired_mm(fit, fit.most_mm)
    turning = (fit.inside.spreads.out_of_round_mm + fit.outside.spreads.out_of_round_mm) / 2.0
    return FitFigures(
        clearance_mm=clearances,
        least_mm=least,
        most_mm=most,
        terms=terms,
        spread_mm=spread,
        worst_least_mm=fired - worst,
        worst_most_mm=fired + worst,
        binds_share=normal_share_below(least, fired, spread),
        # mirrored, so that a tiny share isn't lost in 1 − (nearly 1)
        loose_share=normal_share_below(-most, -fired, spread),
        any_turn_share=1.0 - normal_share_below(turning, fired, spread),
    )
