"""The sheet: a form's spec to every figure of it, each with how it was worked out, from what, and by whose rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from wareboard.figures import fitting, parts
from wareboard.figures.bodies import LOSS_ASSUMED, make_body
from wareboard.figures.built import GLAZE_GRAIN_G_CM3, Built, build
from wareboard.figures.figure import Figure, Ledger, names_of
from wareboard.figures.origins import place
from wareboard.figures.resolve import KnownSpreads
from wareboard.figures.resting import Pair, write_seat
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.figures.trimweights import write_trim_weights
from wareboard.pot import clay
from wareboard.pot.doubt import Budget
from wareboard.pot.fits import Fit as FitRecord
from wareboard.pot.samples import mean_interval
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text.catalogue import C326, COMMON, SATURATED
from wareboard.text.formulas import Formula, number, percent
from wareboard.text.kinds import Size
from wareboard.text.links import other_forms
from wareboard.text.problems import Problem
from wareboard.text.projects import Project, revision, typed_text
from wareboard.text.specs import Clay, Form, Glaze, Studio
from wareboard.text.spelling import Declared

JSON_FORMAT = 1


@dataclass(frozen=True)
class Sheet:
    """Everything that is known of one form. Pages, cards and files read it and compute nothing.

    `shapes` are the parts by name: `.finished(stage)` and `.thrown(stage)` give outlines in mm. `spreads` are those of its pieces.
    """

    form: Form
    studio: Studio
    clay: Clay
    glaze: Glaze | None
    revision: str
    figures: tuple[Figure, ...] = ()
    problems: tuple[Problem, ...] = ()
    shapes: Mapping[str, Shape] = field(default_factory=lambda: MappingProxyType({}))
    fits: Mapping[str, FitRecord] = field(default_factory=lambda: MappingProxyType({}))
    pairs: Mapping[str, Pair] = field(default_factory=lambda: MappingProxyType({}))
    spreads: KnownSpreads | None = None
    _found: dict[tuple[str, str | None], Figure] = field(default_factory=dict, repr=False)
    _remembered: dict[tuple, object] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        self._found.update({(figure.key, figure.stage): figure for figure in self.figures})

    @property
    def slug(self) -> str:
        """The form's slug."""
        return self.form.slug

    @property
    def is_worked_out(self) -> bool:
        """True where the form's sizes could be worked out."""
        return bool(self.figures)

    @property
    def ball_g(self) -> float:
        """Clay for the whole set as it is weighed out, g; infinite where it is not known."""
        ball = self.find("ball", "wet")
        return ball.value if ball else float("inf")

    def find(self, key: str, stage: str | None = None) -> Figure | None:
        """A figure, or None."""
        return self._found.get((key, stage))

    def value(self, key: str, stage: str | None = None) -> float:
        """A figure's value. Raises KeyError."""
        return self._found[key, stage].value

    def remembered(self, work: Callable, *wanted: object):
        """What some work gives for this sheet; done once, for several drawings ask for the same."""
        asked = (work, *wanted)
        if asked not in self._remembered:
            self._remembered[asked] = work(self, *wanted)
        return self._remembered[asked]

    def quoted(self, quote: str) -> Figure | None:
        """A figure as steps quote it: `cup.pointer.height wet`; without a stage, one that has none or just one."""
        key, _, stage = " ".join(quote.split()).rpartition(" ")
        if key and stage in STAGES:
            return self.find(key, stage) or self.find(self._spelling(key), stage)
        whole = self._spelling(f"{key} {stage}".strip())
        staged = [figure for figure in (self.find(whole, stage) for stage in (None, *STAGES)) if figure]
        return staged[0] if len(staged) == 1 else None

    def _spelling(self, key: str) -> str:
        """A key as the sheet has it, whatever the case and spaces of the names in it."""
        return self.remembered(Sheet._declared).spelling(key)

    def _declared(self) -> Declared:
        return Declared(figure.key for figure in self.figures)

    def as_json(self) -> dict[str, object]:
        """The sheet as JSON: format, form, clay, revision, figures, problems."""
        return {
            "format": JSON_FORMAT,
            "form": self.slug,
            "clay": str(self.form.clay),
            "revision": self.revision,
            "figures": [figure.as_json() for figure in self.figures],
            "problems": [problem.as_json() for problem in self.problems],
        }


def _other_specs(form: Form, project: Project) -> list[object]:
    """Forms whose sizes this one's fits take, with their clays and glazes: a change there is a change here."""
    forms = [project.forms[slug] for slug in sorted(other_forms(form))]
    return [
        spec for other in forms for spec in (other, project.clays[other.clay], project.glazes.get(str(other.glaze)))
    ]


def make_sheet(form: Form, project: Project, shaper: Shaper | None = None) -> Sheet:
    """Work a form out.

    Args:
        form: the form; its references are taken to exist (`links` looks).
        project: the studio that it stands in.
        shaper: builds parts; give the same one for many forms, so that a part is built once.
    Returns: the sheet; without figures, and with the problem, where a size or an outline can't be.
    """
    shaper = shaper or Shaper(project)
    spec, glaze = project.clays[form.clay], project.glazes.get(str(form.glaze)) if form.glaze else None
    leaned_on = [spec, glaze, project.studio, *_other_specs(form, project)]
    made = Sheet(
        form,
        project.studio,
        spec,
        glaze,
        revision(form, *(shaper.resolver.remembered(typed_text, other) for other in leaned_on)),
    )
    built = build(form, shaper)
    if not isinstance(built, Built):
        return replace(made, problems=built)
    ledger = Ledger(shaper.resolver.remembered(clay_figures, spec), names_of(form))
    for name in built.shapes:
        parts.write_part(ledger, built, name)
    for fit in built.fits.values():
        fitting.write_fit(ledger, fit)
        write_seat(ledger, fit.resolved, fit.pair)
    records = {name: fit.record for name, fit in built.fits.items()}
    write_trim_weights(ledger, form, built.shapes, records)
    _write_set(ledger, built)
    return replace(
        made,
        figures=tuple(ledger.figures.values()),
        shapes=built.shapes,
        fits=records,
        spreads=built.spreads,
        pairs={name: fit.pair for name, fit in built.fits.items() if fit.pair},
    )


def clay_figures(spec: Clay) -> tuple[Figure, ...]:
    """The clay's own figures, the same on every sheet of it. Raises Impossible."""
    ledger, body = Ledger(), make_body(spec)
    _write_shrinkage(ledger, spec, body)
    _write_density(ledger, spec, body)
    return tuple(ledger.figures.values())


OF_DRY = Formula("1 - (1 - dry_share) * (1 - of_dry_share)")
# What is assumed of a stage that nobody gave, and of which other.
ASSUMED = {
    "leather-hard": ("assumed: half of dry", "dry"), "dry": ("assumed: half of fired", "fired"), "bisque": ("assumed: as dry", "dry"),
}  # fmt: skip


def _write_shrinkage(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    for step, stage in enumerate(LATER_STAGES, 1):
        deviation = body.deviation[step]
        doubt = None if deviation is None else deviation * 100.0
        told = body.doubt.at(stage) if body.doubt else None
        budget = told and told.scaled(100.0)
        _write_shrinkage_across(ledger, spec, body, step, stage, doubt, budget)
        factor_at = [place(spec.height_factor.at)] if spec.height_factor else []
        ledger.work(
            "clay.shrinkage.height", stage, [f"clay.shrinkage {stage}", *factor_at], source=COMMON if _is_assumed(spec, body, step, stage) else None,
            plus_minus=None if doubt is None else doubt * body.height_factor, budget=budget and budget.scaled(body.height_factor),
            shrinkage_share=body.shrinkage[step], height_factor=body.height_factor,
        )  # fmt: skip


def _typed_share(spec: Clay, stage: str) -> Size | None:
    return getattr(spec.shrinkage, stage.replace("-", "_"), None) if spec.shrinkage else None


def _is_assumed(spec: Clay, body: clay.Body, step: int, stage: str) -> bool:
    return stage in body.assumed and not body.bars_count[step] and not _typed_share(spec, stage)


def _write_shrinkage_across(
    ledger: Ledger, spec: Clay, body: clay.Body, step: int, stage: str, doubt: float | None, budget: Budget | None
) -> None:
    typed, key = _typed_share(spec, stage), "clay.shrinkage"
    value = body.shrinkage[step] * 100.0
    if count := body.bars_count[step]:
        inputs = [place(bar.at) for bar in spec.bars if getattr(bar, stage.replace("-", "_"))]
        how = f"mean of {count} bar{'s' if count > 1 else ''}: 1 − length {stage} / length wet"
        ledger.write(key, stage, value, how, inputs, note=_interval(spec, body, stage), plus_minus=doubt, budget=budget)
    elif typed and typed.of == "dry":
        inputs = [place(typed.at), "clay.shrinkage dry"]
        ledger.write(
            key, stage, value, OF_DRY, inputs, note="of the wet length", plus_minus=doubt,
            dry_share=body.shrinkage[2], of_dry_share=typed.value,
        )  # fmt: skip
    elif typed:
        ledger.write(key, stage, value, f"typed: {typed.typed}", [place(typed.at)], source=C326, plus_minus=doubt, given=True)  # fmt: skip
    else:
        how, of = ASSUMED[stage]
        ledger.write(key, stage, value, how, [f"clay.shrinkage {of}"], source=COMMON, plus_minus=doubt)


def _interval(spec: Clay, body: clay.Body, stage: str) -> str:
    """The mean's interval in words, and by what lots are taken to differ, where there are bars enough for one."""
    field_name = stage.replace("-", "_")
    shares = [1.0 - getattr(bar, field_name).value / bar.wet.value for bar in spec.bars if getattr(bar, field_name)]
    if len(shares) < 2:
        return ""
    found = mean_interval(shares)
    low, high = found.mean - found.half_width, found.mean + found.half_width
    lots = body.doubt.lots_count if body.doubt else 0
    of_lots = "from bars of several lots" if lots > 1 else "taken as pieces of this one lot, common practice"
    return f"the mean lies between {percent(low)} and {percent(high)} at 95 % (Student's t); how far lots lie apart is {of_lots}"


# In a gram of wet clay: each cm3 that it shrinks by is a gram of water; what is left of the water when that is over.
CRITICAL = Formula("100 * (water_g - shrunk_cm3) / (1 - shrunk_cm3)")
WITHOUT_AIR = Formula("1 / (water + (1 - water) / grain_density)")
DENSITY_LATER = Formula("wet_g_cm3 * weight_left_share / volume_left_share")


def _air(body: clay.Body) -> str:
    """How much air the typed density leaves in the clay, which stays in it: in sheet, match and `--water` alike."""
    return f"; the clay has {percent(round(body.air_share, 4))} of its volume in air" if body.air_share > 5e-4 else ""


def _write_density(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    water, grain = body.water_share, body.grain_density_g_cm3
    places = [place(size.at) for size in (spec.water, spec.grain_density) if size]
    wet = body.wet_density_g_cm3
    if spec.density:
        ledger.write("clay.density", "wet", wet, f"typed: {spec.density.typed}", [place(spec.density.at)], given=True)
    else:
        ledger.work(
            "clay.density", "wet", places, formula=WITHOUT_AIR, note="without air", source=SATURATED, water=water, grain_density=grain
        )  # fmt: skip
    for stage, lost in (("dry", None), ("fired", spec.loss_on_ignition)):
        inputs = [
            "clay.density wet",
            f"clay.shrinkage.height {stage}",
            *places[:1],
            *([place(lost.at)] if lost else []),
        ]
        ledger.work(
            "clay.density", stage, inputs, formula=DENSITY_LATER,
            note=LOSS_ASSUMED if stage == "fired" and not lost else "", source=COMMON if stage == "fired" and not lost else None,
            wet_g_cm3=wet, weight_left_share=body.mass_share(stage), volume_left_share=body.volume_scale(stage),
        )  # fmt: skip
    ledger.write(
        "clay.water.critical", None, body.critical_water_share * 100.0,
        CRITICAL, [*places, "clay.density wet", "clay.shrinkage.height dry"], note=f"of the weight then{_air(body)}",
        water_g=water, shrunk_cm3=(1.0 - body.volume_scale("dry")) / wet,
    )  # fmt: skip


COAT = Formula("coat_kg_m2 * glazed_cm2 / 10")
IN_A_LITRE = Formula("(slop - 1) * grain_density / (grain_density - 1)")


def _write_set(ledger: Ledger, built: Built) -> None:
    names, glaze = list(built.shapes), built.glaze
    balls = [ledger.value(f"{name}.ball", "wet") for name in names]
    ledger.work("ball", "wet", [f"{name}.ball wet" for name in names], note="the parts' balls", balls_g=balls)
    for stage in STAGES:
        masses = [ledger.value(f"{name}.mass", stage) for name in names]
        ledger.work("mass", stage, [f"{name}.mass {stage}" for name in names], note="the parts", parts_g=masses)
    if glaze is None or glaze.coat is None:
        return
    areas = [ledger.value(f"{name}.area.glazed", "bisque") for name in names]
    inputs = [place(glaze.coat.at), *(f"{name}.area.glazed bisque" for name in names)]
    dry = ledger.work(
        "glaze.dry", None, inputs, formula=COAT, note="bisque", coat_kg_m2=glaze.coat.value, glazed_cm2=sum(areas)
    )
    slop, per_litre = glaze.pint_weight, built.dry_glaze_kg_per_l
    if slop is None or per_litre is None:
        return
    grain = glaze.grain_density.value if glaze.grain_density else GLAZE_GRAIN_G_CM3
    places = [place(size.at) for size in (slop, glaze.grain_density) if size]
    said = IN_A_LITRE.working({"slop": slop.value, "grain_density": grain})
    ledger.work(
        "glaze.slop", None, ["glaze.dry", *places], note=f"dry glaze in a litre: {said} = {number(per_litre)} kg/l",
        dry_g=dry, dry_in_a_litre_g_ml=per_litre,
    )  # fmt: skip
