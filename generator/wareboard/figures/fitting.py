"""The figures of a form's fits: both diameters and the clearance through the stages, and how the fired clearance spreads."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, inf

from wareboard.figures.bodies import FILM_ASSUMED
from wareboard.figures.figure import Ledger
from wareboard.figures.origins import place
from wareboard.figures.shapes import to_stage
from wareboard.figures.shaping import Shaper
from wareboard.figures.spreads import spreads_of, tools_of
from wareboard.pot import fits
from wareboard.pot.budgets import clearance_budget, size_budget, size_plus_minus_mm
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import C326, ISO286
from wareboard.text.formulas import Formula, number, percent
from wareboard.text.kinds import Size
from wareboard.text.phrases import PartSize
from wareboard.text.problems import Impossible, error
from wareboard.text.specs import Fit, Form, Spreads, Studio


def _spread_places(form: Form, spec: Fit, shaper: Shaper, *names: str) -> list[str]:
    """Where the spreads of both sides are typed: in the form, else in the studio."""
    found = []
    for owner in (shaper.other(form, spec.inside), shaper.other(form, spec.outside)):
        for name in names:
            typed = (getattr(spreads, name, None) for spreads in (owner.spreads, shaper.project.studio.spreads))
            found += [place(size.at) for size in typed if isinstance(size, Size)][:1]
    return found


def _film_places(form: Form, spec: Fit, shaper: Shaper) -> list[str]:
    """What takes glaze off a clearance: the word in the fit, and the films of the glazes."""
    glazes = [shaper.project.glazes.get(str(shaper.other(form, side).glaze)) for side in (spec.inside, spec.outside)]
    return [place(spec.glazed.at), *(place(glaze.film.at) for glaze in glazes if glaze and glaze.film)]


def write_fit(ledger: Ledger, form: Form, name: str, shaper: Shaper) -> fits.Fit:
    """Write every figure of a fit and hand its record on."""
    spec = form.fits[name]
    record, unknown = fit_record(form, name, shaper)
    key = f"fit.{name}"
    figures = fits.fit_figures(record)
    _write_sides(ledger, form, spec, shaper, key, record)
    _write_clearance(ledger, form, spec, shaper, key, record, unknown)
    _write_setting(ledger, form, spec, shaper, key, record)
    if not _needed(record) & unknown:
        _write_spread(ledger, form, spec, shaper, key, record, figures)
        if "out_of_round" not in unknown:
            _write_any_turn(ledger, form, spec, shaper, key, record, figures)
    return record


def _needed(record: fits.Fit) -> frozenset[str]:
    """The spreads without which a fit's spread can't be worked out."""
    if record.pairing == "any":
        return frozenset({"calipers", "trimming", "shrinkage"})
    return frozenset({"trimming"} if _after_trimming_known(record) else {"trimming", "shrinkage"})


def _after_trimming_known(record: fits.Fit) -> bool:
    """Whether the studio says, of both sides, how much of the scatter comes after trimming."""
    spreads = record.inside.spreads, record.outside.spreads
    return all(None not in (side.drying_share, side.firing_share) for side in spreads)


def fit_record(form: Form, name: str, shaper: Shaper) -> tuple[fits.Fit, frozenset[str]]:
    """A fit as the pure room has it, and which of its spreads nobody gave. Raises Impossible."""
    spec = form.fits[name]
    sides, unknown = [], frozenset()
    for size in (spec.inside, spec.outside):
        owner = shaper.other(form, size)
        body = shaper.body(owner)
        known, missing = spreads_of(form, shaper.project.studio, body)
        sides.append(fits.Side(shaper.side_mm(form, size, "wet"), body, known))
        unknown |= missing
    clearance = spec.clearance
    stage = clearance.aim.stage or "fired"
    record = fits.Fit(
        *sides, clearance.aim.value, -inf, inf, stage, shaper.films_mm(form, spec), str(spec.pairing or "own"),
        "inside" if _is_set_by_fit(form, spec.inside) else "outside",
    )  # fmt: skip
    least, most = (
        _limit(record, size, unlimited) for size, unlimited in ((clearance.least, -inf), (clearance.most, inf))
    )
    if not least <= clearance.aim.value <= most:
        wrong, size, limit, side = (
            ("least", clearance.least, least, "above")
            if clearance.aim.value < least
            else ("most", clearance.most, most, "below")
        )
        comes_to = "" if (size.stage or "fired") == stage else f" comes to {number(limit)} mm {stage}, which"
        raise Impossible(
            error(
                "aim-outside-limits",
                size.at,
                f"fits.{name}.clearance: `{wrong}` {size.typed}{comes_to} is {side} the `aim` of {clearance.aim.typed}",
                "the aim lies between `least` and `most`",
            )
        )
    return replace(record, least_mm=least, most_mm=most), unknown


def _is_set_by_fit(form: Form, size: PartSize) -> bool:
    return size.form in (None, form.slug) and form.parts[size.part].calipers[size.caliper].from_fit


def _limit(record: fits.Fit, size: Size | None, unlimited: float) -> float:
    """A limit at the stage of the aim."""
    if size is None:
        return unlimited
    typed_at = size.stage or "fired"
    if typed_at == record.stage:
        return size.value
    fired = fits.at_fired_mm(replace(record, stage=typed_at), size.value)
    if record.stage == "fired":
        return fired
    inside, outside = record.inside, record.outside
    outside_mm = inside.diameter_mm("fired") - fits.film_loss_mm(record.films_mm) - fired
    return inside.diameter_mm(record.stage) - outside_mm * outside.body.across(record.stage) / outside.body.across(
        "fired"
    )


# What is set by a fit, from the other side at the stage of the aim; and from there to the other stages.
SET_INSIDE = Formula("outside_mm + glaze_mm + aim_mm")
SET_OUTSIDE = Formula("inside_mm - glaze_mm - aim_mm")
TO_STAGE = Formula("size_mm * (1 - shrunk_then_share) / (1 - shrunk_share)")


def _write_sides(ledger: Ledger, form: Form, spec: Fit, shaper: Shaper, key: str, record: fits.Fit) -> None:
    aim = spec.clearance.aim
    for side, size, half in (("inside", spec.inside, record.inside), ("outside", spec.outside, record.outside)):
        owner = shaper.other(form, size)
        set_by_fit = owner.slug == form.slug and form.parts[size.part].calipers[size.caliper].from_fit
        body, wet = half.body, half.wet_mm
        for stage in STAGES:
            value = half.diameter_mm(stage)
            typed_at, tools = record.stage, tools_of(owner, shaper.project.studio, str(size.part), str(size.caliper))
            if named := ledger.figures.get((f"{size.part}.{size.caliper}", stage)) if owner.slug == form.slug else None:
                doubt, budget = named.plus_minus, named.budget
            else:
                doubt = size_plus_minus_mm(body, wet, stage, typed_at=typed_at, tools=tools)
                budget = size_budget(body, wet, stage, typed_at=typed_at, tools=tools)
            if set_by_fit and stage == record.stage:
                film = fits.film_loss_mm(record.films_mm, stage)
                other = "outside" if side == "inside" else "inside"
                inputs = [f"{key}.{other} {stage}", place(aim.at), *(_film_places(form, spec, shaper) if film else ())]
                other_mm = getattr(record, other).diameter_mm(stage)
                ledger.write(
                    f"{key}.{side}", stage, value, SET_INSIDE if side == "inside" else SET_OUTSIDE, inputs, source=ISO286, plus_minus=doubt, budget=budget,
                    glaze_mm=film, aim_mm=aim.value, **{f"{other}_mm": other_mm},
                )  # fmt: skip
            elif set_by_fit:
                shrunk = [f"clay.shrinkage {at}" for at in (stage, record.stage) if at != "wet"]
                ledger.write(
                    f"{key}.{side}", stage, value, TO_STAGE, [f"{key}.{side} {record.stage}", *shrunk], source=C326, plus_minus=doubt, budget=budget,
                    size_mm=half.diameter_mm(record.stage), shrunk_then_share=1 - body.across(stage), shrunk_share=1 - body.across(record.stage),
                )  # fmt: skip
            elif owner.slug == form.slug:
                inputs = [f"{size.part}.{size.caliper} {stage}"]
                ledger.write(f"{key}.{side}", stage, value, f"{size.part}.{size.caliper}", inputs, source="", plus_minus=doubt, budget=budget)  # fmt: skip
            else:
                how = f"{size.said}, of {owner.title} in {shaper.project.clays[owner.clay].title}"
                inputs = [place(size.at), place(owner.parts[size.part].calipers[size.caliper].at)]
                ledger.write(f"{key}.{side}", stage, value, how, inputs, source="", plus_minus=doubt, budget=budget)


def _write_clearance(
    ledger: Ledger, form: Form, spec: Fit, shaper: Shaper, key: str, record: fits.Fit, unknown: frozenset[str]
) -> None:
    inside, outside = record.inside, record.outside
    for stage in STAGES:
        film = fits.film_loss_mm(record.films_mm, stage)
        doubt = None if stage == "wet" else _apart_mm(record, stage, unknown)
        budget = None if stage == "wet" or _needed(record) & unknown else clearance_budget(record, stage)
        faces = len(record.films_mm)
        clearance = ledger.work(
            f"{key}.clearance", stage, [f"{key}.inside {stage}", f"{key}.outside {stage}", *(_film_places(form, spec, shaper) if film else ())],
            note=_glaze_said(form, spec, shaper, faces) if film else "", plus_minus=doubt, budget=budget,
            inside_mm=inside.diameter_mm(stage), outside_mm=outside.diameter_mm(stage), glaze_mm=film,
        )  # fmt: skip
        half = None if doubt is None else doubt / 2.0
        halved = budget and budget.scaled(0.5)
        ledger.work(
            f"{key}.gap", stage, [f"{key}.clearance {stage}"], plus_minus=half, budget=halved, clearance_mm=clearance
        )  # fmt: skip


def _glaze_said(form: Form, spec: Fit, shaper: Shaper, faces: int) -> str:
    said = f"glaze on {faces} face{'s' if faces > 1 else ''}"
    glazes = [shaper.project.glazes.get(str(shaper.other(form, side).glaze)) for side in (spec.inside, spec.outside)]
    return said if all(glaze is None or glaze.film for glaze in glazes) else f"{said}; {FILM_ASSUMED}"


def _apart_mm(record: fits.Fit, stage: str, unknown: frozenset[str]) -> float | None:
    """How far clearances of one lot lie apart, by what is known: of a fit whose spread is known, that very spread."""
    terms = [term for term in fits.spread_terms(record, stage) if term.name not in unknown]
    return hypot(*(term.sigma_mm for term in terms)) if terms else None


def _write_setting(ledger: Ledger, form: Form, spec: Fit, shaper: Shaper, key: str, record: fits.Fit) -> None:
    ledger.write(f"{key}.calipers", "wet", record.inside.wet_mm, "the opening as it is thrown", [f"{key}.inside wet"])
    body = record.outside.body
    across = body.across("leather-hard")
    if spec.left_on:
        extra = to_stage(spec.left_on, "leather-hard", "wet", body.across)
        said, inputs = f"{spec.left_on.typed} left on", [place(spec.left_on.at)]
    else:
        owner = shaper.other(form, spec.outside)
        wall = shaper.shape(owner, spec.outside.part).wall_left_on_mm
        extra = 2.0 * wall / across
        left = owner.parts[spec.outside.part].throwing
        said = f"{number(wall)} mm a side left on the wall"
        inputs = [place(left.left_on.wall.at)] if wall else []
    ledger.work(
        f"{key}.outside.thrown", "wet", [f"{key}.outside wet", *inputs], note=f"{said}, leather-hard",
        outside_mm=record.outside.wet_mm, left_on_mm=extra,
    )  # fmt: skip


def _write_spread(
    ledger: Ledger, form: Form, spec: Fit, shaper: Shaper, key: str, record: fits.Fit, figures: fits.FitFigures
) -> None:
    fired = figures.clearance_mm[-1]
    terms = [
        f"{term.words}: {_typed_term(term)} × {number(term.reach)} = {number(term.sigma_mm)} mm"
        for term in figures.terms
    ]
    inputs = [f"{key}.clearance fired", "clay.shrinkage fired", "clay.shrinkage leather-hard"]
    inputs += _spread_places(form, spec, shaper, *dict.fromkeys(term.name for term in figures.terms))
    how = f"pairing {record.pairing}; root of the sum of squares of {'; '.join(terms)}"
    if record.pairing == "own" and not _after_trimming_known(record):
        how += f"; {TAKEN_FOR_GRANTED}"
    ledger.write(f"{key}.spread", "fired", figures.spread_mm, how, inputs)
    inputs, sigmas = [f"{key}.clearance fired", f"{key}.spread fired"], [term.sigma_mm for term in figures.terms]
    for name in ("least", "most"):
        ledger.work(f"{key}.worst.{name}", "fired", inputs, clearance_mm=fired, terms_mm=sigmas)
    limits = (
        ("binds", spec.clearance.least, figures.binds_share, figures.least_mm, "under"),
        ("loose", spec.clearance.most, figures.loose_share, figures.most_mm, "over"),
    )
    for name, typed, share, limit, side in limits:
        if typed:
            how = f"share of a normal spread of {{spread_mm}} about {{clearance_mm}} that lies {side} {{limit_mm}}"
            ledger.write(
                f"{key}.{name}", "fired", share * 100.0, how, [*inputs, place(typed.at)],
                spread_mm=figures.spread_mm, clearance_mm=fired, limit_mm=limit,
            )  # fmt: skip


def _write_any_turn(
    ledger: Ledger, form: Form, spec: Fit, shaper: Shaper, key: str, record: fits.Fit, figures: fits.FitFigures
) -> None:
    needed = (record.inside.spreads.out_of_round_mm + record.outside.spreads.out_of_round_mm) / 2.0
    how = "share that is at least {needed_mm}, the mean of the two out-of-round figures"
    inputs = [f"{key}.clearance fired", f"{key}.spread fired", *_spread_places(form, spec, shaper, "out_of_round")]
    ledger.write(f"{key}.any_turn", "fired", figures.any_turn_share * 100.0, how, inputs, needed_mm=needed)


TAKEN_FOR_GRANTED = (
    "taken for granted that a piece is off by the same share of its shrinkage before trimming and after; "
    "`spreads: {drying: …, firing: …}` say otherwise"
)


def _typed_term(term: fits.Term) -> str:
    return percent(term.value) if term.name in ("shrinkage", "drying", "firing") else f"{number(term.value)} mm"
