"""The sheet: a form's spec to every figure of it, each with how it was worked out, from what, and by whose rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from wareboard.figures import fitting, parts
from wareboard.figures.bodies import make_body
from wareboard.figures.figure import BRONGNIART, C326, COMMON, Figure, Ledger, number, percent
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.figures.trimweights import write_trim_weights
from wareboard.pot import clay
from wareboard.pot.fits import Fit as FitRecord
from wareboard.pot.glaze import dry_glaze_kg_per_l, glaze_dry_g, slop_ml
from wareboard.pot.samples import mean_interval
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text.problems import Impossible, Problem, error
from wareboard.text.projects import Project, revision, typed_text
from wareboard.text.specs import Clay, Form, Glaze, Studio
from wareboard.text.spelling import Declared

JSON_FORMAT = 1


@dataclass(frozen=True)
class Sheet:
    """Everything that is known of one form. Pages, cards and files read it and compute nothing."""

    form: Form
    studio: Studio
    clay: Clay
    glaze: Glaze | None
    revision: str
    figures: tuple[Figure, ...] = ()
    problems: tuple[Problem, ...] = ()
    shapes: Mapping[str, Shape] = field(default_factory=lambda: MappingProxyType({}))
    fits: Mapping[str, FitRecord] = field(default_factory=lambda: MappingProxyType({}))
    _found: dict[tuple[str, str | None], Figure] = field(default_factory=dict, repr=False)
    _remembered: dict[tuple, object] = field(default_factory=dict, init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        self._found.update({(figure.key, figure.stage): figure for figure in self.figures})

    @property
    def slug(self) -> str:
        """The form's slug."""
        return self.form.slug

    @property
    def sections(self) -> Mapping[str, Shape]:
        """The parts' shapes by name: `.finished(stage)` and `.thrown(stage)` give outlines in mm."""
        return self.shapes

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
    slugs = sorted(
        {side.form for fit in form.fits.values() for side in (fit.inside, fit.outside) if side.form} - {form.slug}
    )
    forms = [project.forms[slug] for slug in slugs]
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
        revision(form, *(shaper.remembered(typed_text, other) for other in leaned_on)),
    )
    shapes: dict[str, Shape] = {}
    found: list[Problem] = []
    try:
        for name in form.parts:
            try:
                shapes[str(name)] = shaper.shape(form, name)
            except Impossible as fault:
                found.append(fault.problem)
        if found:
            return replace(made, problems=tuple(dict.fromkeys(found)))
        ledger = Ledger(shaper.remembered(clay_figures, spec))
        for shape in shapes.values():
            try:
                parts.write_part(ledger, form, project, shaper, shape, glaze)
            except Impossible as fault:
                found.append(fault.problem)
        if found:
            return replace(made, problems=tuple(found))
        records = {str(name): fitting.write_fit(ledger, form, str(name), shaper) for name in form.fits}
        write_trim_weights(ledger, form, shapes, records)
        _write_set(ledger, form, spec, glaze)
    except Impossible as fault:
        return replace(made, problems=(fault.problem,))
    return replace(made, figures=tuple(ledger.figures.values()), shapes=shapes, fits=records)


def clay_figures(spec: Clay) -> tuple[Figure, ...]:
    """The clay's own figures, the same on every sheet of it. Raises Impossible."""
    ledger, body = Ledger(), make_body(spec)
    _write_shrinkage(ledger, spec, body)
    _write_density(ledger, spec, body)
    return tuple(ledger.figures.values())


def _write_shrinkage(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    where = f"{spec.at.file}:{spec.at.line}"
    for place, stage in enumerate(LATER_STAGES, 1):
        share = body.shrinkage[place]
        inputs, how, source, given = [where], "", C326, False
        typed = getattr(spec.shrinkage, stage.replace("-", "_"), None) if spec.shrinkage else None
        count = body.bars_count[place]
        if count:
            lengths = [bar for bar in spec.bars if getattr(bar, stage.replace("-", "_"))]
            inputs = [f"{bar.at.file}:{bar.at.line}" for bar in lengths]
            how = f"mean of {count} bar{'s' if count > 1 else ''}: 1 − length {stage} / length wet = {percent(share)}{_interval(spec, stage)}"
        elif typed and typed.of == "dry":
            inputs = [f"{typed.at.file}:{typed.at.line}", "clay.shrinkage dry"]
            how = (
                f"1 − (1 − {percent(body.shrinkage[2])} dry) × (1 − {typed.typed}) = {percent(share)} of the wet length"
            )
        elif typed:
            inputs, how, given = [f"{typed.at.file}:{typed.at.line}"], f"typed: {typed.typed}", True
        elif stage in body.assumed:
            inputs, source = [f"clay.shrinkage {'fired' if stage == 'dry' else 'dry'}"], COMMON
            how = {"leather-hard": "assumed: half of dry", "dry": "assumed: half of fired"}.get(stage, "assumed: as dry")
            how += f" = {percent(share)}"
        deviation = body.deviation[place]
        doubt = None if deviation is None else deviation * 100.0
        ledger.write(
            "clay.shrinkage", stage, share * 100.0, "%", how, inputs, source=source, plus_minus=doubt, given=given
        )
        factor = body.height_factor
        factor_at = spec.height_factor.at if spec.height_factor else None
        height_inputs = [f"clay.shrinkage {stage}", *([f"{factor_at.file}:{factor_at.line}"] if factor_at else [])]
        ledger.write(
            "clay.shrinkage.height", stage, share * factor * 100.0, "%", f"{percent(share)} × height factor {number(factor)}",
            height_inputs, source=source, plus_minus=None if doubt is None else doubt * factor,
        )  # fmt: skip


def _interval(spec: Clay, stage: str) -> str:
    """The mean's interval in words, where there are bars enough for one."""
    field_name = stage.replace("-", "_")
    shares = [1.0 - getattr(bar, field_name).value / bar.wet.value for bar in spec.bars if getattr(bar, field_name)]
    if len(shares) < 2:
        return ""
    found = mean_interval(shares)
    low, high = found.mean - found.half_width, found.mean + found.half_width
    return f"; the mean lies between {percent(low)} and {percent(high)} at 95 % (Student's t)"


def _write_density(ledger: Ledger, spec: Clay, body: clay.Body) -> None:
    water, grain = body.water_share, body.grain_density_g_cm3
    places = [f"{size.at.file}:{size.at.line}" for size in (spec.water, spec.grain_density) if size]
    if spec.density:
        at = spec.density.at
        ledger.write(
            "clay.density",
            "wet",
            body.wet_density_g_cm3,
            "g/cm3",
            f"typed: {spec.density.typed}",
            [f"{at.file}:{at.line}"],
            given=True,
        )
    else:
        how = f"without air: 1 / ({number(water)} + (1 − {number(water)}) / {number(grain)}) = {number(body.wet_density_g_cm3)} g/cm3"
        ledger.write(
            "clay.density",
            "wet",
            body.wet_density_g_cm3,
            "g/cm3",
            how,
            places,
            source="conservation of volume: water 1 g/cm3 and grains",
        )
    for stage, lost in (("dry", None), ("fired", spec.loss_on_ignition)):
        burnt = [f"{lost.at.file}:{lost.at.line}"] if lost else []
        share, volume = body.mass_share(stage), body.volume_scale(stage)
        density = body.bulk_density_g_cm3(stage)
        how = f"wet density {number(body.wet_density_g_cm3)} × weight left {percent(share)} / volume left {percent(volume)} = {number(density)} g/cm3"
        ledger.write(
            "clay.density",
            stage,
            density,
            "g/cm3",
            how,
            ["clay.density wet", f"clay.shrinkage.height {stage}", *places[:1], *burnt],
        )
    critical = body.critical_water_share
    how = f"what fills the pores at the dry volume: pores 1 − {number(body.bulk_density_g_cm3('dry'))} / {number(grain)}, full of water = {percent(critical)} of the weight then"
    ledger.write(
        "clay.water.critical",
        None,
        critical * 100.0,
        "%",
        how,
        ["clay.density dry", *places],
        source="shrinkage limit; Das, Principles of Geotechnical Engineering, 9th ed.",
    )


def _write_set(ledger: Ledger, form: Form, spec: Clay, glaze: Glaze | None) -> None:
    names = [str(name) for name in form.parts]
    balls = [ledger.value(f"{name}.ball", "wet") for name in names]
    ledger.write(
        "ball",
        "wet",
        sum(balls),
        "g",
        f"{' + '.join(map(number, balls))} g, the parts' balls",
        [f"{name}.ball wet" for name in names],
    )
    for stage in STAGES:
        masses = [ledger.value(f"{name}.mass", stage) for name in names]
        ledger.write(
            "mass",
            stage,
            sum(masses),
            "g",
            f"{' + '.join(map(number, masses))} g, the parts",
            [f"{name}.mass {stage}" for name in names],
        )
    if glaze is None or glaze.coat is None:
        return
    at = glaze.coat.at
    area = sum(ledger.value(f"{name}.area.glazed", "bisque") for name in names)
    dry = glaze_dry_g(glaze.coat.value, area)
    inputs = [f"{at.file}:{at.line}", *(f"{name}.area.glazed bisque" for name in names)]
    ledger.write(
        "glaze.dry",
        None,
        dry,
        "g",
        f"coat {glaze.coat.typed} × {number(area)} cm2 glazed at bisque = {number(dry)} g",
        inputs,
    )
    if glaze.pint_weight is None:
        return
    grain = glaze.grain_density.value if glaze.grain_density else 2.6
    slop = glaze.pint_weight
    try:
        per_litre, volume = dry_glaze_kg_per_l(slop.value, grain), slop_ml(dry, slop.value, grain)
    except ValueError as fault:
        raise Impossible(
            error("slop-cannot-be", slop.at, f"pint_weight: {fault}", "look at pint_weight and grain_density together")
        ) from None
    how = f"{number(dry)} g / dry glaze in a litre ({number(slop.value)} − 1) × {number(grain)} / ({number(grain)} − 1) = {number(per_litre)} kg/l gives {number(volume)} ml"
    ledger.write(
        "glaze.slop",
        None,
        volume,
        "ml",
        how,
        ["glaze.dry", *(f"{size.at.file}:{size.at.line}" for size in (slop, glaze.grain_density) if size)],
        source=BRONGNIART,
    )
