"""A clay's spec as a body of plain numbers, and what about it cannot be, at the line that causes it."""

from __future__ import annotations

from collections.abc import Callable

from wareboard.pot import clay, glaze
from wareboard.text.formulas import number
from wareboard.text.problems import Impossible, Position, Problem, error
from wareboard.text.specs import Clay, Glaze


def make_body(spec: Clay) -> clay.Body:
    """A clay's spec as a body. Raises Impossible, where its numbers can't be."""
    line = spec.shrinkage
    names = [(stage, stage.replace("-", "_")) for stage in clay.STAGES[1:]]
    typed = {stage: size for stage, name in names if line and (size := getattr(line, name))}
    bars = [
        {stage: size.value for stage, name in [("wet", "wet"), *names] if (size := getattr(bar, name))}
        for bar in spec.bars
    ]
    try:
        body = clay.make_body(
            water_share=spec.water.value,
            line={stage: size.value for stage, size in typed.items()},
            of_dry={stage for stage, size in typed.items() if size.of == "dry"},
            bars=bars,
            lots=[str(bar.lot) if bar.lot else None for bar in spec.bars],
            height_factor=spec.height_factor.value if spec.height_factor else 1.0,
            grain_density_g_cm3=spec.grain_density.value if spec.grain_density else 2.6,
            wet_density_g_cm3=spec.density.value if spec.density else None,
            loss_share=spec.loss_on_ignition.value if spec.loss_on_ignition else clay.USUAL_LOSS_SHARE,
        )
    except clay.MissingShrinkage as fault:
        at = next(reversed(typed.values())).at if typed else spec.at
        raise Impossible(
            error(
                "no-shrinkage",
                at,
                f"shrinkage: none is given for {fault.stage}, neither typed nor by a bar",
                f"write `{fault.stage}: 12 %`, with your own number, under `shrinkage:`, or measure bars",
            )
        ) from None
    except ValueError as fault:
        of_dry = (size.at for size in typed.values() if size.of)
        at = next(of_dry, next((size.at for size in typed.values()), spec.at))
        raise Impossible(
            error("clay-cannot-be", at, f"shrinkage: {fault}", "write it in % of the wet length")
        ) from None
    faults = [fault for fault in clay.body_faults(body) if fault.impossible]
    if faults:
        # What is assumed follows from what was given, so that is what should be mended.
        raise Impossible(body_problem(spec, min(faults, key=lambda fault: fault.stage in body.assumed), error))
    return body


FAULTS = {
    "out-of-range": "a shrinkage of {found} at {stage} cannot be; it is {bound}",
    "shrinkage-falls": "shrinkage falls to {found} at {stage}; before that it is {limit}",
    "critical-water-below-zero": "at this shrinkage and water the dry clay would be denser than its grains: the water left when shrinking stops comes to {found}",
    "dries-past-its-water": "shrinking to {stage} takes more water than the clay has: {found} of its weight would be left, dry clay alone is {limit}",
    "bulk-over-grain": "the {stage} clay would be denser ({found}) than its grains ({limit})",
    "denser-than-saturated": "the wet clay is said to be denser ({found}) than clay without air ({limit})",
}


def body_problem(spec: Clay, fault: clay.Fault, level: Callable[..., Problem]) -> Problem:
    """What is wrong with a clay's numbers, at the line that causes it."""
    said = _density_said if fault.kind in ("bulk-over-grain", "denser-than-saturated") else _share_said
    bound = f"less than {said(fault.limit)}" if fault.limit else "0 % or more"
    message = FAULTS[fault.kind].format(
        found=said(fault.found), limit=said(fault.limit), stage=fault.stage, bound=bound
    )
    return level(
        fault.kind, _cause_at(spec, fault), message, "look at water, density, grain_density and shrinkage together"
    )


def _density_said(density_g_cm3: float) -> str:
    return f"{density_g_cm3:.3f} g/cm3"


def _share_said(share: float) -> str:
    return f"{number(round(share * 100.0, 2))} %"


def _cause_at(spec: Clay, fault: clay.Fault) -> Position:
    """Where a fault comes from: the bar that moves the mean most that way, as bars beat the line, or the typed size."""
    if fault.kind == "denser-than-saturated":
        return (spec.density or spec.water).at
    field = (fault.stage or "").replace("-", "_")
    lengths = [(size.value / bar.wet.value, size.at) for bar in spec.bars if (size := getattr(bar, field, None))]
    if lengths:
        grew = fault.kind in ("out-of-range", "shrinkage-falls") and fault.found < fault.limit
        return (max if grew else min)(lengths)[1]
    typed = getattr(spec.shrinkage, field, None) if spec.shrinkage else None
    return (typed or spec.density or spec.water).at if fault.kind == "bulk-over-grain" else (typed or spec.water).at


# ---- what common practice stands in for ----

LOSS_ASSUMED = (
    f"loss on ignition is not given; assumed: {clay.USUAL_LOSS_SHARE:.0%} of the dry weight, common practice".replace(
        "%", " %"
    )
)
FILM_ASSUMED = f"the glaze's film is not given; assumed: {glaze.USUAL_FILM_MM:g} mm, common practice"
GLAZE_LOSS_ASSUMED = (
    f"what the firing takes of the coat is not given; assumed: {glaze.USUAL_LOSS_SHARE:.0%}, common practice".replace(
        "%", " %"
    )
)


def doubt_words(title: str, body: clay.Body) -> str:
    """What the ± and the interval of a clay's figures are worth, in words; or that there is none worked out."""
    if body.doubt is None or body.doubt.at("fired") is None:
        return (
            f"{title} has no test bars that tell how far its pieces and its lots lie apart, so no doubt of its sizes "
            "has been worked out. That does not mean that there is none: bars would tell."
        )
    count = body.doubt.lots_count
    lots = (
        f"by bars of {count} lots"
        if count > 1
        else "taken to be as far as pieces of the one lot that was measured, common practice"
    )
    return (
        "± is one standard deviation from piece to piece. The interval holds 95 % of next pieces of a lot not yet "
        f"seen (Student's t by Welch–Satterthwaite, JCGM 100); how far lots lie apart is {lots}."
    )


def film_mm(spec: Glaze | None) -> float:
    """Fired thickness of a glaze, mm: the maker's, else common practice; none without a glaze."""
    if spec is None:
        return 0.0
    return spec.film.value if spec.film else glaze.USUAL_FILM_MM


def glaze_loss_share(spec: Glaze) -> float:
    """What the firing takes of the dry coat: the maker's figure, else common practice."""
    return spec.loss_on_ignition.value if spec.loss_on_ignition else glaze.USUAL_LOSS_SHARE
