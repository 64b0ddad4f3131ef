"""The sheet: a form's spec to every figure of it, each with how it was worked out, from what, and by whose rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from math import fsum
from types import MappingProxyType
from typing import Concatenate, ParamSpec, TypeVar

from wareboard.figures import fitting, parts
from wareboard.figures.built import GLAZE_GRAIN_G_CM3, Built, build
from wareboard.figures.clays import clay_figures
from wareboard.figures.figure import Figure, Figures, Ledger, Told, names_of, place
from wareboard.figures.resolve import KnownSpreads
from wareboard.figures.resting import Pair, write_seat
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.figures.trimweights import write_trim_weights
from wareboard.pot.fits import Fit as FitRecord
from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.stages import STAGES
from wareboard.text.formulas import Formula, noted
from wareboard.text.languages import later, spoken_tag
from wareboard.text.links import other_forms
from wareboard.text.problems import Problem
from wareboard.text.projects import Project, revision
from wareboard.text.specs import Form
from wareboard.text.spelling import Declared
from wareboard.text.studio_specs import Clay, Glaze, Studio

JSON_FORMAT = 1
Asked = ParamSpec("Asked")
Found = TypeVar("Found")


@frozen
class Sheet:
    """Everything that is known of one form. Pages, cards and files read it and compute nothing.

    `leans_on` are the other specs that its numbers come from. `shapes` are the parts by name: `.finished(stage)` and
    `.thrown(stage)` give outlines in mm. `spreads` are those of its pieces.
    """

    form: Form
    studio: Studio
    clay: Clay
    glaze: Glaze | None
    leans_on: tuple[object, ...]
    found: Figures = field(default_factory=Figures, repr=False)
    problems: tuple[Problem, ...] = ()
    shapes: Mapping[str, Shape] = field(default_factory=lambda: MappingProxyType({}))
    fits: Mapping[str, FitRecord] = field(default_factory=lambda: MappingProxyType({}))
    pairs: Mapping[str, Pair] = field(default_factory=lambda: MappingProxyType({}))
    spreads: KnownSpreads | None = None
    _remembered: dict[tuple[object, ...], object] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def slug(self) -> str:
        """The form's slug."""
        return self.form.slug

    @kept_property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure, in the order in which they are worked out."""
        return tuple(self.found.values())

    @kept_property
    def revision(self) -> str:
        """A short hash of what was typed for it, and for what it leans on."""
        return revision(self.form, *self.leans_on)

    @property
    def is_worked_out(self) -> bool:
        """True where the form's sizes could be worked out."""
        return bool(self.found.lines)

    @property
    def ball_g(self) -> float:
        """Clay for the whole set as it is weighed out, g; infinite where it is not known."""
        ball = self.find("ball", "wet")
        return ball.value if ball else float("inf")

    def find(self, key: str, stage: str | None = None) -> Figure | None:
        """A figure, or None."""
        return self.found.get((key, stage))

    def known(self, key: str, stage: str | None = None) -> float | None:
        """A figure's value, or None."""
        return self.found.known(key, stage)

    def value(self, key: str, stage: str | None = None) -> float:
        """A figure's value. Raises KeyError."""
        return self.found.value(key, stage)

    def remembered(
        self, work: Callable[Concatenate[Sheet, Asked], Found], *wanted: Asked.args, **more: Asked.kwargs
    ) -> Found:
        """What some work gives for this sheet; done once, for several drawings ask for the same."""
        asked = (spoken_tag(), work, *wanted, *more.items())
        if asked not in self._remembered:
            self._remembered[asked] = work(self, *wanted, **more)
        return self._remembered[asked]  # type: ignore[return-value]

    def form_said(self, slug: str | None) -> str:
        """The title of another form that this one's fits reach into; nothing for its own parts."""
        return next((str(spec.title) for spec in self.leans_on if isinstance(spec, Form) and spec.slug == slug), "")

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
        return Declared(self.found.lines)

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
    spec, named = project.clays[form.clay], project.glazes.get(str(form.glaze)) if form.glaze else None
    leans_on = (spec, named, project.studio, *_other_specs(form, project))
    built = build(form, shaper)
    if not isinstance(built, Built):
        return Sheet(form, project.studio, spec, named, leans_on, problems=built)
    ledger = Ledger(clay_figures(spec).lines, names_of(form))
    for name in built.shapes:
        parts.write_part(ledger, built, name)
    for fit in built.fits.values():
        fitting.write_fit(ledger, fit)
        write_seat(ledger, fit.resolved, fit.pair)
    records = {name: fit.record for name, fit in built.fits.items()}
    write_trim_weights(ledger, form, built.shapes, records)
    _write_set(ledger, built)
    return Sheet(
        form, project.studio, spec, built.glaze, leans_on, ledger.figures, shapes=built.shapes, fits=records,
        pairs={name: fit.pair for name, fit in built.fits.items() if fit.pair}, spreads=built.spreads,
    )  # fmt: skip


COAT = Formula("coat_kg_m2 * glazed_cm2 / 10")
IN_A_LITRE = Formula("(slop - 1) * grain_density / (grain_density - 1)")


def _write_set(ledger: Ledger, built: Built) -> None:
    names, glaze = list(built.shapes), built.glaze
    balls = [ledger.value(f"{name}.ball", "wet") for name in names]
    ledger.work("ball", "wet", [f"{name}.ball wet" for name in names], {"balls_g": balls}, note="the parts' balls")
    added = [f"{name}.{extra}.clay" for name, shape in built.shapes.items() for extra in shape.part.extras]
    inputs = ["ball wet", *(f"{key} wet" for key in added)]
    ledger.work("clay", "wet", inputs, {"balls_g": balls, "added_g": [ledger.value(key, "wet") for key in added]})

    def parts_g(stage: str) -> list[float]:
        return [ledger.value(f"{name}.mass", stage) for name in names]

    def mass_told(stage: str) -> Told:
        masses, inputs = parts_g(stage), [f"{name}.mass {stage}" for name in names]
        return Told(fsum(masses), None, inputs, {"parts_g": masses}, later("the parts"))

    ledger.put("mass", [fsum(parts_g(stage)) for stage in STAGES], mass_told)
    if glaze is None or glaze.coat is None:
        return
    coat = glaze.coat

    def coated() -> dict[str, float]:
        areas = [ledger.value(f"{name}.area.glazed", "bisque") for name in names]
        return {"coat_kg_m2": coat.value, "glazed_cm2": fsum(areas)}

    ledger.work_when_read(
        "glaze.dry", lambda: [place(coat.at), *(f"{name}.area.glazed bisque" for name in names)], coated, formula=COAT, note="bisque"
    )  # fmt: skip
    slop, per_litre = glaze.pint_weight, built.dry_glaze_kg_per_l
    if slop is None or per_litre is None:
        return
    grain = glaze.grain_density.value if glaze.grain_density else GLAZE_GRAIN_G_CM3
    places = [place(size.at) for size in (slop, glaze.grain_density) if size]
    said = noted(IN_A_LITRE, slop=slop.value, grain_density=grain)
    ledger.work_when_read(
        "glaze.slop", lambda: ["glaze.dry", *places], lambda: {"dry_g": ledger.value("glaze.dry"), "dry_in_a_litre_g_ml": per_litre},
        note=noted("dry glaze in a litre: {said} = {litre_kg_l}", said=said, litre_kg_l=per_litre),
    )  # fmt: skip
