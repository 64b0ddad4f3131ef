"""The figures of a form's fits: both diameters and the clearance through the stages, and how the fired clearance spreads."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import hypot

from wareboard.figures.built import BuiltFit
from wareboard.figures.clays import FILM_ASSUMED
from wareboard.figures.figure import NO_DOUBT, Doubt, Figure, Ledger, Once, Told, place
from wareboard.figures.resolve import SIDES, ResolvedFit, tools_of
from wareboard.pot import fits
from wareboard.pot.budgets import Tool, clearance_budget, size_budget, size_plus_minus_mm
from wareboard.text.catalogue import C326, ISO286
from wareboard.text.formulas import Formula, Note, noted
from wareboard.text.languages import later
from wareboard.text.problems import format_words


def _spread_places(fit: ResolvedFit, *names: str) -> list[str]:
    """Where the spreads of both sides are typed: in the form, else in the studio."""
    return [place(side.spreads.typed[name].at) for side in fit.sides for name in names if name in side.spreads.typed]


def _film_places(fit: ResolvedFit) -> list[str]:
    """What takes glaze off a clearance: the word in the fit, and the films of the glazes."""
    films = [side.glaze.film for side in fit.sides if side.glaze and side.glaze.film]
    return [place(size.at) for size in (fit.spec.glazed, *films) if size]


def write_fit(ledger: Ledger, built: BuiltFit) -> None:
    """Write every figure of a fit."""
    fit, record = built.resolved, built.record
    figures = fits.fit_figures(record)
    key = f"fit.{fit.name}"
    _write_sides(ledger, built, key)
    _write_clearance(ledger, fit, key, record, figures.clearance_mm)
    _write_setting(ledger, built, key)
    if not fit.needed_spreads & fit.unknown_spreads:
        _write_spread(ledger, fit, key, record, figures)
        if "out_of_round" not in fit.unknown_spreads:
            _write_any_turn(ledger, fit, key, record, figures)


# What is set by a fit, from the other side at the stage of the aim; and from there to the other stages.
SET_INSIDE = Formula("outside_mm + glaze_mm + aim_mm")
SET_OUTSIDE = Formula("inside_mm - glaze_mm - aim_mm")
TO_STAGE = Formula("size_mm * (1 - shrunk_then_share) / (1 - shrunk_share)")


def _write_sides(ledger: Ledger, built: BuiltFit, key: str) -> None:
    record = built.record
    for way, half in zip(SIDES, (record.inside, record.outside)):
        wet_mm = half.wet_mm
        values = [wet_mm * kept for kept in half.body.kept_across]
        ledger.put(f"{key}.{way}", values, partial(_side_told, ledger, built, way))


def _side_told(ledger: Ledger, built: BuiltFit, way: str, stage: str) -> Told:
    """How one side of a fit came about at a stage."""
    fit, record, key = built.resolved, built.record, f"fit.{built.resolved.name}"
    place_of = SIDES.index(way)
    other, side, body = SIDES[1 - place_of], fit.sides[place_of], fit.sides[place_of].body
    half, halves = (record.inside, record.outside)[place_of], {"inside": record.inside, "outside": record.outside}
    value, own = half.diameter_mm(stage), ledger.figures.get((side.key, stage)) if side.own else None
    tools = tools_of(side.part, side.caliper, side.spreads, [fit.spec.goes_with] if way == "outside" else ())
    doubt = Once(_side_doubt, own, half, stage, tools)
    if side.follows and stage == record.stage:
        film, aim = fits.film_loss_mm(record.films_mm, stage), fit.spec.clearance.aim
        put_in = {f"{other}_mm": halves[other].diameter_mm(stage), "glaze_mm": film, "aim_mm": aim.value}
        inputs = [f"{key}.{other} {stage}", place(aim.at), *(_film_places(fit) if film else ())]
        return Told(value, SET_INSIDE if way == "inside" else SET_OUTSIDE, inputs, put_in, source=ISO286, doubt=doubt)
    if side.follows:
        put_in = {
            "size_mm": half.diameter_mm(record.stage), "shrunk_then_share": 1 - body.across(stage), "shrunk_share": 1 - body.across(record.stage),
        }  # fmt: skip
        shrunk = [f"clay.shrinkage {at}" for at in (stage, record.stage) if at != "wet"]
        return Told(value, TO_STAGE, [f"{key}.{way} {record.stage}", *shrunk], put_in, source=C326, doubt=doubt)
    if side.own:
        return Told(value, side.key, [f"{side.key} {stage}"], source="", doubt=doubt)
    clay = str(built.clays[place_of])
    how = noted("{size}, of {form} in {clay}", size=str(side.size.said), form=str(side.owner.title), clay=clay)
    return Told(value, how, [place(side.size.at), place(side.caliper.at)], source="", doubt=doubt)


def _write_clearance(
    ledger: Ledger, fit: ResolvedFit, key: str, record: fits.Fit, clearances_mm: Sequence[float]
) -> None:
    def clearance_told(stage: str) -> Told:
        film = fits.film_loss_mm(record.films_mm, stage)
        put_in = {
            "inside_mm": record.inside.diameter_mm(stage),
            "outside_mm": record.outside.diameter_mm(stage),
            "glaze_mm": film,
        }
        inputs = [f"{key}.inside {stage}", f"{key}.outside {stage}", *(_film_places(fit) if film else ())]
        note = _glaze_said(fit, len(record.films_mm)) if film else ""
        return Told(fits.clearance_mm(record, stage), None, inputs, put_in, note, doubt=Once(_clearance_doubt, fit, record, stage))  # fmt: skip

    def gap_told(stage: str) -> Told:
        clearance = fits.clearance_mm(record, stage)
        doubt = Once(_clearance_doubt, fit, record, stage, 0.5)
        return Told(clearance / 2.0, None, [f"{key}.clearance {stage}"], {"clearance_mm": clearance}, doubt=doubt)

    ledger.put(f"{key}.clearance", clearances_mm, clearance_told)
    ledger.put(f"{key}.gap", [clearance / 2.0 for clearance in clearances_mm], gap_told)


def _side_doubt(known: Figure | None, side: fits.Side, stage: str, tools: Sequence[Tool]) -> Doubt:
    """What a side of a fit is off by: as the part's own figure has it, else as its clay and its tools leave it."""
    if known is not None:
        return known.doubted
    return Doubt(
        size_plus_minus_mm(side.body, side.wet_mm, stage, tools=tools),
        size_budget(side.body, side.wet_mm, stage, tools=tools),
    )


def _clearance_doubt(fit: ResolvedFit, record: fits.Fit, stage: str, share: float = 1.0) -> Doubt:
    """How far clearances of one lot, or so large a share of them, lie apart, which is the fit's spread where that is known; and the whole doubt.

    There is none before trimming: a flange as thrown is no flange yet.
    """
    if stage == "wet":
        return NO_DOUBT
    known = [term for term in fits.spread_terms(record, stage) if term.name not in fit.unknown_spreads]
    deviation = hypot(*(term.sigma_mm for term in known)) * share if known else None
    budget = None if fit.needed_spreads & fit.unknown_spreads else clearance_budget(record, stage)
    return Doubt(deviation, budget and budget.scaled(share))


def _glaze_said(fit: ResolvedFit, faces: int) -> Note:
    said = noted("glaze on {faces} faces", faces=faces) if faces > 1 else noted("glaze on {faces} face", faces=faces)
    return (
        said
        if all(side.glaze is None or side.glaze.film for side in fit.sides)
        else noted("{said}; {assumed}", said=said, assumed=FILM_ASSUMED)
    )


def _write_setting(ledger: Ledger, built: BuiltFit, key: str) -> None:
    fit, record = built.resolved, built.record
    ledger.write(f"{key}.calipers", "wet", record.inside.wet_mm, "the opening as it is thrown", [f"{key}.inside wet"])
    left_on, throwing = fit.spec.left_on, fit.outside.part.throwing
    if left_on:
        said, inputs = noted("{size} left on", size=left_on.typed), [place(left_on.at)]
    else:
        left = throwing.left_on if throwing else None
        said = noted("{left_mm} a side left on the wall", left_mm=built.wall_left_on_mm)
        inputs = (
            [place(size.at) for size in left.sizes if size is not left.floor] if left and built.wall_left_on_mm else []
        )
    ledger.work(
        f"{key}.outside.thrown", "wet", [f"{key}.outside wet", *inputs],
        {"outside_mm": record.outside.wet_mm, "left_on_mm": built.left_on_mm}, note=noted("{said}, leather-hard", said=said),
    )  # fmt: skip


def _write_spread(ledger: Ledger, fit: ResolvedFit, key: str, record: fits.Fit, figures: fits.FitFigures) -> None:
    def spread_told(_at: str) -> Told:
        terms = [
            noted(
                "{words}: {typed} × {reach} = {sigma_mm}",
                words=noted(term.words),
                typed=_typed_term(term),
                reach=term.reach,
                sigma_mm=term.sigma_mm,
            )
            for term in figures.terms
        ]
        paired = (
            later("pairing own; root of the sum of squares of {terms}")
            if record.pairing == "own"
            else later("pairing any; root of the sum of squares of {terms}")
        )
        places = _spread_places(fit, *dict.fromkeys(term.name for term in figures.terms))
        shrunk = ["clay.shrinkage fired", "clay.shrinkage leather-hard"]
        inputs = [f"{key}.clearance fired", *shrunk, *places]
        return Told(figures.spread_mm, noted(paired, terms=terms), inputs, note=_spread_note(fit, record))

    ledger.put(f"{key}.spread", (figures.spread_mm,), spread_told)
    fired, sigmas = figures.clearance_mm[-1], [term.sigma_mm for term in figures.terms]
    inputs = [f"{key}.clearance fired", f"{key}.spread fired"]
    for name in ("least", "most"):
        ledger.work(f"{key}.worst.{name}", "fired", inputs, {"clearance_mm": fired, "terms_mm": sigmas})
    under = later("share of a normal spread of {spread_mm} about {clearance_mm} that lies under {limit_mm}")
    over = later("share of a normal spread of {spread_mm} about {clearance_mm} that lies over {limit_mm}")
    for name, typed, share, limit, how in (
        ("binds", fit.spec.clearance.least, figures.binds_share, figures.least_mm, under),
        ("loose", fit.spec.clearance.most, figures.loose_share, figures.most_mm, over),
    ):
        if typed:
            put_in = {"spread_mm": figures.spread_mm, "clearance_mm": fired, "limit_mm": limit}
            ledger.write(f"{key}.{name}", "fired", share * 100.0, how, [*inputs, place(typed.at)], put_in)


def _spread_note(fit: ResolvedFit, record: fits.Fit) -> str | Note:
    """What of a spread is assumed, and what is taken for granted."""
    assumed = sorted((fit.inside.spreads.assumed | fit.outside.spreads.assumed) & fit.needed_spreads)
    note: str | Note = (
        noted("{spreads} assumed, common practice, as no run tells yet", spreads=format_words(assumed, "and"))
        if assumed
        else ""
    )
    if record.pairing == "own" and not fit.after_trimming_known:
        granted = noted(TAKEN_FOR_GRANTED)
        return noted("{said}; {assumed}", said=granted, assumed=note) if note else granted
    return note


def _write_any_turn(ledger: Ledger, fit: ResolvedFit, key: str, record: fits.Fit, figures: fits.FitFigures) -> None:
    share = figures.any_turn_share * 100.0

    def told(_at: str) -> Told:
        needed = (record.inside.spreads.out_of_round_mm + record.outside.spreads.out_of_round_mm) / 2.0
        how = later("share that is at least {needed_mm}, the mean of the two out-of-round figures")
        inputs = [f"{key}.clearance fired", f"{key}.spread fired", *_spread_places(fit, "out_of_round")]
        return Told(share, how, inputs, {"needed_mm": needed})

    ledger.put(f"{key}.any_turn", (share,), told)


# What the rule for pairing `own` takes for granted where the studio doesn't say.
TAKEN_FOR_GRANTED = later(
    "taken for granted: a piece is off by the same share of its shrinkage before trimming and after; the studio's spreads of drying and firing would tell"
)
# What the terms of a fired fit are called on the ground floor, which knows no languages.
_TERMS = (
    later("trimming the outside, leather-hard to fired"), later("calipers set on the inside, wet to fired"),
    later("shrinkage of the inside, piece to piece, wet to fired"), later("shrinkage of the outside, piece to piece, wet to fired"),
    later("shrinkage of the inside, piece to piece, still to come at leather-hard"), later("shrinkage of the outside, piece to piece, still to come at leather-hard"),
    later("drying of the inside, piece to piece"), later("drying of the outside, piece to piece"), later("firing of the inside, piece to piece"), later("firing of the outside, piece to piece"),
    later("shrinkage of the inside, piece to piece, in drying"), later("shrinkage of the outside, piece to piece, in drying"),
    later("shrinkage of the inside, piece to piece, in firing"), later("shrinkage of the outside, piece to piece, in firing"),
)  # fmt: skip


def _typed_term(term: fits.Term) -> Note:
    if term.name in ("shrinkage", "drying", "firing"):
        return noted("{value_share}", value_share=term.value)
    return noted("{value_mm}", value_mm=term.value)
