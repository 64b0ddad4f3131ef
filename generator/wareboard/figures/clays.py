"""A clay's spec as a body of plain numbers, what about it cannot be, at the line that causes it, and its figures."""

from __future__ import annotations

from collections.abc import Callable

from wareboard.figures.figure import Doubt, Figures, Ledger, Once, place
from wareboard.pot import clay, glaze
from wareboard.pot.samples import mean_interval
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text.catalogue import C326, COMMON, SATURATED
from wareboard.text.formulas import Formula, Note, noted, number
from wareboard.text.kinds import Size
from wareboard.text.languages import _, later
from wareboard.text.problems import Impossible, Position, Problem, error
from wareboard.text.records import kept
from wareboard.text.studio_specs import Clay, Glaze

BAR_LEAST_SHARE = 0.5  # no clay shrinks by half


@kept
def make_body(spec: Clay) -> clay.Body:
    """A clay's spec as a body. Raises Impossible, where its numbers can't be."""
    line = spec.shrinkage
    names = [(stage, stage.replace("-", "_")) for stage in LATER_STAGES]
    for bar in spec.bars:
        for stage, name in names:
            size = getattr(bar, name)
            if size and size.value < BAR_LEAST_SHARE * bar.wet.value:
                left = bar.wet.value * (1.0 - size.value / 100.0)
                said = f"bars: {size.typed} {stage} of {bar.wet.typed} wet; a bar's line has the distance between its marks, not what it shrank by"
                raise Impossible(error("bar-as-shrinkage", size.at, said, f"did you mean `{left:.4g}`?"))
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
    hint = "look at water, density, grain_density and shrinkage together"
    if fault.kind in ("out-of-range", "shrinkage-falls"):
        hint = (
            "this bar moves the mean most: look at its point and its unit, or take it out"
            if _bars_of(spec, fault)
            else "shrinkage is in % of the wet length, and more at each later stage"
        )
    return level(fault.kind, _cause_at(spec, fault), message, hint)


def _density_said(density_g_cm3: float) -> str:
    return f"{density_g_cm3:.3f} g/cm3"


def _share_said(share: float) -> str:
    return f"{number(round(share * 100.0, 2))} %"


def _cause_at(spec: Clay, fault: clay.Fault) -> Position:
    """Where a fault comes from: the bar that moves the mean most that way, as bars beat the line, or the typed size."""
    if fault.kind == "denser-than-saturated":
        return (spec.density or spec.water).at
    if lengths := _bars_of(spec, fault):
        grew = fault.kind in ("out-of-range", "shrinkage-falls") and fault.found < fault.limit
        return (max if grew else min)(lengths)[1]
    field = (fault.stage or "").replace("-", "_")
    typed: Size | None = getattr(spec.shrinkage, field, None) if spec.shrinkage else None
    return (typed or spec.density or spec.water).at if fault.kind == "bulk-over-grain" else (typed or spec.water).at


def _bars_of(spec: Clay, fault: clay.Fault) -> list[tuple[float, Position]]:
    """Each bar's length at a fault's stage as a share of its wet one, and where it stands."""
    field = (fault.stage or "").replace("-", "_")
    return [(size.value / bar.wet.value, size.at) for bar in spec.bars if (size := getattr(bar, field, None))]


# ---- what common practice stands in for ----

LOSS_ASSUMED = noted(
    "loss on ignition is not given; assumed: {usual_share} of the dry weight, common practice",
    usual_share=clay.USUAL_LOSS_SHARE,
)
FILM_ASSUMED = noted("the glaze's film is not given; assumed: {film_mm}, common practice", film_mm=glaze.USUAL_FILM_MM)
GLAZE_LOSS_ASSUMED = noted(
    "what the firing takes of the coat is not given; assumed: {usual_share}, common practice",
    usual_share=glaze.USUAL_LOSS_SHARE,
)


def doubt_words(title: str, body: clay.Body) -> str:
    """What the ± and the interval of a clay's figures are worth, in words; or that there is none worked out."""
    if body.doubt is None or body.doubt.at("fired") is None:
        return _(
            "{title} has no test bars that tell how far its pieces and its lots lie apart, so no doubt of its sizes has been worked out. That does not mean that there is none: bars would tell."
        ).format(title=title)
    count = body.doubt.lots_count
    lots = (
        _("by bars of {count} lots").format(count=count)
        if count > 1
        else _("taken to be as far as pieces of the one lot that was measured, common practice")
    )
    return _(
        "± is one standard deviation from piece to piece. The interval holds 95 % of next pieces of a lot not yet seen (Student's t by Welch–Satterthwaite, JCGM 100); how far lots lie apart is {lots}."
    ).format(lots=lots)


def assumed_notes(spec: Clay, coated: Glaze | None) -> list[str]:
    """What of a clay and a glaze common practice stands in for, each as its figures say it too."""
    notes = [] if spec.loss_on_ignition else [f"{spec.title}: {LOSS_ASSUMED}"]
    if coated is not None:
        notes += [] if coated.film else [f"{coated.title}: {FILM_ASSUMED}"]
        notes += [] if coated.loss_on_ignition or coated.coat is None else [f"{coated.title}: {GLAZE_LOSS_ASSUMED}"]
    return notes


def film_mm(spec: Glaze | None) -> float:
    """Fired thickness of a glaze, mm: the maker's, else common practice; none without a glaze."""
    if spec is None:
        return 0.0
    return spec.film.value if spec.film else glaze.USUAL_FILM_MM


def glaze_loss_share(spec: Glaze) -> float:
    """What the firing takes of the dry coat: the maker's figure, else common practice."""
    return spec.loss_on_ignition.value if spec.loss_on_ignition else glaze.USUAL_LOSS_SHARE


# ---- figures ----


@kept
def clay_figures(spec: Clay) -> Figures:
    """The clay's own figures, the same on every sheet of it. Raises Impossible."""
    ledger, body = Ledger(), make_body(spec)
    _write_shrinkage(ledger, spec, body)
    _write_density(ledger, spec, body)
    return ledger.figures


OF_DRY = Formula("1 - (1 - dry_share) * (1 - of_dry_share)")
# What is assumed of a stage that nobody gave, and of which other.
ASSUMED = {
    "leather-hard": (later("assumed: half of dry"), "dry"), "dry": (later("assumed: half of fired"), "fired"), "bisque": (later("assumed: as dry"), "dry"),
}  # fmt: skip


def _write_shrinkage(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    for step, stage in enumerate(LATER_STAGES, 1):
        _write_shrinkage_across(ledger, spec, body, step, stage)
        factor_at = [place(spec.height_factor.at)] if spec.height_factor else []
        ledger.work(
            "clay.shrinkage.height", stage, [f"clay.shrinkage {stage}", *factor_at],
            {"shrinkage_share": body.shrinkage[step], "height_factor": body.height_factor}, source=COMMON if _is_assumed(spec, body, step, stage) else None,
            doubt=Once(_doubt, body, step, body.height_factor),
        )  # fmt: skip


def _doubt(body: clay.Body, step: int, factor: float = 1.0) -> Doubt:
    """What the shrinkage at a stage is off by, in % of the wet length."""
    deviation, told = body.deviation[step], body.doubt.at(STAGES[step]) if body.doubt else None
    return Doubt(None if deviation is None else deviation * 100.0 * factor, told and told.scaled(100.0).scaled(factor))


def _typed_share(spec: Clay, stage: str) -> Size | None:
    return getattr(spec.shrinkage, stage.replace("-", "_"), None) if spec.shrinkage else None


def _is_assumed(spec: Clay, body: clay.Body, step: int, stage: str) -> bool:
    return stage in body.assumed and not body.bars_count[step] and not _typed_share(spec, stage)


def _write_shrinkage_across(ledger: Ledger, spec: Clay, body: clay.Body, step: int, stage: str) -> None:
    typed, key = _typed_share(spec, stage), "clay.shrinkage"
    value = body.shrinkage[step] * 100.0
    if count := body.bars_count[step]:
        inputs = [place(bar.at) for bar in spec.bars if getattr(bar, stage.replace("-", "_"))]
        mean = (
            later("mean of {count} bars: 1 − length {stage} / length wet")
            if count > 1
            else later("mean of {count} bar: 1 − length {stage} / length wet")
        )
        how: str | Note = noted(mean, count=count, stage=noted(stage))
        ledger.write(key, stage, value, how, inputs, note=_interval(spec, body, stage), doubt=Once(_doubt, body, step))
    elif typed and typed.of == "dry":
        inputs = [place(typed.at), "clay.shrinkage dry"]
        ledger.write(
            key, stage, value, OF_DRY, inputs, {"dry_share": body.shrinkage[2], "of_dry_share": typed.value}, note="of the wet length",
        )  # fmt: skip
    elif typed:
        ledger.write(key, stage, value, noted("typed: {size}", size=typed.typed), [place(typed.at)], source=C326, given=True)  # fmt: skip
    else:
        how, of = ASSUMED[stage]
        ledger.write(key, stage, value, how, [f"clay.shrinkage {of}"], source=COMMON)


def _interval(spec: Clay, body: clay.Body, stage: str) -> str | Note:
    """The mean's interval in words, and by what lots are taken to differ, where there are bars enough for one."""
    field_name = stage.replace("-", "_")
    shares = [1.0 - getattr(bar, field_name).value / bar.wet.value for bar in spec.bars if getattr(bar, field_name)]
    if len(shares) < 2:
        return ""
    found = mean_interval(shares)
    half = found.half_width or 0.0
    low, high = found.mean - half, found.mean + half
    lots = body.doubt.lots_count if body.doubt else 0
    of_lots = (
        later("from bars of several lots") if lots > 1 else later("taken as pieces of this one lot, common practice")
    )
    return noted(
        "the mean lies between {low_share} and {high_share} at 95 % (Student's t); how far lots lie apart is {lots}",
        low_share=round(low, 4), high_share=round(high, 4), lots=noted(of_lots),
    )  # fmt: skip


# In a gram of wet clay: each cm3 that it shrinks by is a gram of water; what is left of the water when that is over.
CRITICAL = Formula("100 * (water_g - shrunk_cm3) / (1 - shrunk_cm3)")
WITHOUT_AIR = Formula("1 / (water + (1 - water) / grain_density)")
DENSITY_LATER = Formula("wet_g_cm3 * weight_left_share / volume_left_share")


def _critical_note(body: clay.Body) -> str | Note:
    """How much air the typed density leaves in the clay, which stays in it: in sheet, match and `--water` alike."""
    if body.air_share <= 5e-4:
        return later("of the weight then")
    return noted(
        "of the weight then; the clay has {air_share} of its volume in air", air_share=round(body.air_share, 4)
    )


def _write_density(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    water, grain = body.water_share, body.grain_density_g_cm3
    places = [place(size.at) for size in (spec.water, spec.grain_density) if size]
    wet = body.wet_density_g_cm3
    if spec.density:
        ledger.write(
            "clay.density",
            "wet",
            wet,
            noted("typed: {size}", size=spec.density.typed),
            [place(spec.density.at)],
            given=True,
        )
    else:
        ledger.work(
            "clay.density", "wet", places, {"water": water, "grain_density": grain}, formula=WITHOUT_AIR, note="without air", source=SATURATED
        )  # fmt: skip
    for stage, lost in (("dry", None), ("fired", spec.loss_on_ignition)):
        inputs = [
            "clay.density wet",
            f"clay.shrinkage.height {stage}",
            *places[:1],
            *([place(lost.at)] if lost else []),
        ]
        ledger.work(
            "clay.density", stage, inputs,
            {"wet_g_cm3": wet, "weight_left_share": body.mass_share(stage), "volume_left_share": body.volume_scale(stage)}, formula=DENSITY_LATER,
            note=LOSS_ASSUMED if stage == "fired" and not lost else "", source=COMMON if stage == "fired" and not lost else None,
        )  # fmt: skip
    ledger.write(
        "clay.water.critical", None, body.critical_water_share * 100.0,
        CRITICAL, [*places, "clay.density wet", "clay.shrinkage.height dry"],
        {"water_g": water, "shrunk_cm3": (1.0 - body.volume_scale("dry")) / wet}, note=_critical_note(body),
    )  # fmt: skip
