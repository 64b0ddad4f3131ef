"""Fits: two things that go together, through the stages, and how many pairs will not.

Clearance is the inside diameter minus the outside diameter, less the glaze once it is on;
the gap is half of it. Whatever is known about a clearance at another stage is carried to
fired first, where the spread and the shares are worked out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import erfc, fsum, hypot, inf, sqrt
from typing import NamedTuple

from wareboard.pot.clay import Body
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES

DUST_MM = 1e-9  # floats this far past a limit are at the limit


@frozen
class Spreads:
    """What varies from piece to piece; one standard deviation each, but for out of round,
    which is the largest minus the smallest diameter of a typical piece.

    `drying_share` and `firing_share` are what comes of it after trimming; None: of the shrinkage's spread as
    large a part as of the shrinkage itself, a piece being off by the same share at every stage.
    """

    calipers_mm: float = 0.0  # at wet
    trimming_mm: float = 0.0  # at leather-hard
    out_of_round_mm: float = 0.0  # at fired
    shrinkage_share: float = 0.0  # of the wet length
    drying_share: float | None = None  # leather-hard to dry, points of the wet length
    firing_share: float | None = None  # dry to fired, points of the wet length
    shrinkage_freedoms: float = inf  # what the shrinkage's spread is worth as evidence


@frozen
class Side:
    """One of the two things: its diameter at the fit, back at wet, and its clay."""

    wet_mm: float
    body: Body
    spreads: Spreads = Spreads()

    def diameter_mm(self, stage: str) -> float:
        """Clay diameter at a stage, mm."""
        return self.wet_mm * self.body.across(stage)


@frozen
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


class Term(NamedTuple):
    """One cause of spread: `value` (mm at `stage`, or a share of the wet length) times
    `reach` (mm of clearance for one of that unit) is `sigma_mm`."""

    name: str  # calipers, trimming, shrinkage, drying or firing, as in the studio's spreads
    part: str  # inside or outside
    stage: str
    value: float
    reach: float
    words: str

    @property
    def sigma_mm(self) -> float:
        """What it spreads the clearance by, one standard deviation, mm."""
        return self.value * self.reach


@frozen
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
    return 2.0 * fsum(films_mm) if stage == "fired" else 0.0


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


def spread_terms(fit: Fit, stage: str = "fired") -> tuple[Term, ...]:
    """What spreads the clearance at a stage from leather-hard on, each cause on its own.

    `any`: the opening's calipers from wet on, the outside's trimming from leather-hard on, and each part's
    shrinkage times its wet diameter. `own`: the two were tried together at leather-hard, so the calipers drop
    out, and of the shrinkage only what is still to come counts: the studio's `drying` and `firing` where it gives
    them, else (s − s leather-hard) / s fired of its spread. That is a share of the leather-hard length, on which
    the lid was fitted, so it reaches wet diameter / (1 − s leather-hard).

    Shrinkage that a whole batch shares moves both parts together and is no such term.

    Args:
        fit: the fit.
        stage: from leather-hard on.
    Returns: the terms.
    Raises: ValueError, a pairing that is neither, or a stage before trimming.
    Source: root-sum-square stacks, textbook; which terms count: common practice; the reach of what is to come:
        worked, against 200,000 simulated pairs.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> [round(term.sigma_mm, 4) for term in spread_terms(Fit(side, side, 1.2, 0.5, 2.4))]
    [0.264, 0.2268, 0.15, 0.15]
    >>> [round(term.sigma_mm, 4) for term in spread_terms(Fit(side, side, 1.2, 0.5, 2.4, pairing="own"))]
    [0.2268, 0.116, 0.116]
    """
    own = fit.pairing == "own"
    if not own and fit.pairing != "any":
        raise ValueError(f"pairing is own or any, not {fit.pairing!r}")
    if stage == "wet":
        raise ValueError("a fit spreads from leather-hard on, when it is trimmed")
    inside, outside = fit.inside, fit.outside
    body = outside.body
    turned = body.across(stage) / body.across("leather-hard")
    said = f"trimming the outside, leather-hard to {stage}"
    terms = [Term("trimming", "outside", "leather-hard", outside.spreads.trimming_mm, turned, said)]
    if own:
        return (*terms, *_terms_to_come(fit, stage))
    said = f"calipers set on the inside, wet to {stage}"
    terms.insert(0, Term("calipers", "inside", "wet", inside.spreads.calipers_mm, inside.body.across(stage), said))
    for part, side in (("inside", inside), ("outside", outside)):
        reach = side.wet_mm * _part_of_fired(side.body, "wet", stage)
        said = f"shrinkage of the {part}, piece to piece, wet to {stage}"
        terms.append(Term("shrinkage", part, "fired", side.spreads.shrinkage_share, reach, said))
    return tuple(terms)


def _terms_to_come(fit: Fit, stage: str) -> Iterator[Term]:
    """What each part's shrinkage after leather-hard adds, by a stage, where the two were tried on each other then."""
    for part, side in (("inside", fit.inside), ("outside", fit.outside)):
        body, spreads = side.body, side.spreads
        reach = side.wet_mm / body.across("leather-hard")
        if spreads.drying_share is None and spreads.firing_share is None:
            said = f"shrinkage of the {part}, piece to piece, still to come at leather-hard"
            to_come = reach * _part_of_fired(body, "leather-hard", stage)
            yield Term("shrinkage", part, "fired", spreads.shrinkage_share, to_come, said)
            continue
        for name, begun, ended, given in (
            ("drying", "leather-hard", "dry", spreads.drying_share),
            ("firing", "dry", "fired", spreads.firing_share),
        ):
            whole, so_far = (body.shrinkage_share(end) - body.shrinkage_share(begun) for end in (ended, stage))
            done = min(1.0, max(0.0, so_far / whole)) if whole else float(stage == ended)
            if given is not None:
                yield Term(name, part, ended, given, side.wet_mm * done, f"{name} of the {part}, piece to piece")
            else:
                said = f"shrinkage of the {part}, piece to piece, in {name}"
                to_come = reach * _part_of_fired(body, begun, ended) * done
                yield Term("shrinkage", part, "fired", spreads.shrinkage_share, to_come, said)


def _part_of_fired(body: Body, begun: str, ended: str) -> float:
    """Part of the fired shrinkage that comes between two stages."""
    fired = body.shrinkage_share("fired")
    if not fired:  # a clay that doesn't shrink spreads all the same: at once
        return 1.0 if begun == "wet" else 0.0
    return abs(body.shrinkage_share(ended) - body.shrinkage_share(begun)) / fired


def spread_mm(fit: Fit, stage: str = "fired") -> float:
    """How far clearances of one lot lie apart at a stage, one standard deviation: the terms' root sum of squares.

    Args:
        fit: the fit.
        stage: from leather-hard on.
    Returns: mm.
    Raises: ValueError, as spread_terms.
    Source: root-sum-square stacks, textbook.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> side = Side(100.0, clay, Spreads(0.3, 0.25, 0.4, 0.0015))
    >>> round(spread_mm(Fit(side, side, 1.2, 0.5, 2.4)), 3)
    0.408
    """
    return hypot(*(term.sigma_mm for term in spread_terms(fit, stage)))


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
    (0.279, 0.0061, 9e-06)
    """
    clearances = tuple(clearance_mm(fit, stage) for stage in STAGES)
    fired = clearances[-1]
    terms = spread_terms(fit)
    spread = hypot(*(term.sigma_mm for term in terms))
    worst = 3.0 * fsum(term.sigma_mm for term in terms)
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
