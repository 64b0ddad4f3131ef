"""The gate between what a maker typed and what is built: whose a name is, in whose clay, under which glaze, with whose spreads.

Names, own sides, defaults and stages become values here, once; what is built and written afterwards asks no spec for them.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from math import inf

from wareboard.figures.clays import film_mm, make_body
from wareboard.pot import clay, fits
from wareboard.pot.budgets import Tool
from wareboard.pot.frozen import frozen
from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import Part
from wareboard.text.phrases import Caliper, PartSize
from wareboard.text.projects import Project
from wareboard.text.specs import Fit, Form
from wareboard.text.studio_specs import Glaze, Spreads, Studio

SIDES = ("inside", "outside")
SPREADS = ("calipers", "trimming", "out_of_round", "shrinkage")
# Where a spread is to be learned from runs and nothing tells it yet: common practice of careful throwing.
COMMON_SPREADS: Mapping[str, float] = {
    "calipers": 0.3, "trimming": 0.25, "out_of_round": 0.4, "shrinkage": 0.0015,
}  # fmt: skip
# Fired glaze is a glass; its weight where only its thickness is known. Common practice.
GLASS_DENSITY_G_CM3 = 2.5


@frozen
class KnownSpreads:
    """The spreads that hold for a form's pieces.

    `typed` has each one's place in the specs, by name; `assumed` those that are taken from common practice, as they
    are to be learned from runs; `unknown` those that nobody gave, which count as none. `weight_share` is by how much
    thrown weights differ, where the studio says so.
    """

    values: fits.Spreads
    typed: Mapping[str, Size | Word]
    assumed: frozenset[str]
    unknown: frozenset[str]
    weight_share: float | None = None

    @property
    def after_trimming_known(self) -> bool:
        """Whether the studio says how much of the shrinkage's spread comes after trimming."""
        return None not in (self.values.drying_share, self.values.firing_share)


@frozen
class FitSide:
    """One side of a fit: whose part it is, the size that it goes by, its clay, its glaze, its spreads.

    `follows` is true where the fit sets it, rather than being given.
    """

    size: PartSize
    owner: Form
    own: bool
    part: Part
    caliper: Caliper
    follows: bool
    body: clay.Body
    glaze: Glaze | None
    spreads: KnownSpreads

    @property
    def key(self) -> str:
        """The figure of the size: `jar.mouth`."""
        return f"{self.size.part}.{self.size.caliper}"

    @property
    def film_mm(self) -> float:
        """Thickness of the owner's fired glaze."""
        return film_mm(self.glaze)


@frozen
class ResolvedFit:
    """A fit with its sides, the fired glaze on each face that is glazed, and which of the two the fit sets."""

    name: str
    spec: Fit
    inside: FitSide
    outside: FitSide
    films_mm: tuple[float, ...]

    @property
    def sides(self) -> tuple[FitSide, FitSide]:
        """Opening and what goes in."""
        return self.inside, self.outside

    @property
    def follows(self) -> str:
        """The side that is made for the aim, the other being given."""
        return "inside" if self.inside.follows else "outside"

    @property
    def needed_spreads(self) -> frozenset[str]:
        """The spreads that its clearance is made of."""
        if self.spec.goes_with == "any":
            return frozenset({"calipers", "trimming", "shrinkage"})
        return frozenset({"trimming"} if self.after_trimming_known else {"trimming", "shrinkage"})

    @property
    def after_trimming_known(self) -> bool:
        """Whether the studio says, of both sides, how much of the scatter comes after trimming."""
        return all(side.spreads.after_trimming_known for side in self.sides)

    @property
    def unknown_spreads(self) -> frozenset[str]:
        """The spreads that nobody gave for one side or the other."""
        return self.inside.spreads.unknown | self.outside.spreads.unknown


class Resolver:
    """Finds what the names in a studio's specs stand for; each answer is found once."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self._fits: dict[tuple[str, str], ResolvedFit] = {}
        self._spreads: dict[str, KnownSpreads] = {}

    def body(self, form: Form) -> clay.Body:
        """The clay of a form. Raises Impossible."""
        return make_body(self.project.clays[form.clay])

    def glaze(self, form: Form) -> Glaze | None:
        """The glaze of a form, as thick as it was measured there. Raises Impossible, for a clay that can't be."""
        named = self.project.glazes.get(str(form.glaze)) if form.glaze else None
        return named if form.glaze_film is None else glaze_on(form, named, self.body(form))

    def spreads(self, form: Form) -> KnownSpreads:
        """The spreads that hold for a form's pieces. Raises Impossible, for a clay that can't be."""
        if form.slug not in self._spreads:
            self._spreads[form.slug] = known_spreads(form, self.project.studio, self.body(form))
        return self._spreads[form.slug]

    def owner(self, form: Form, size: PartSize) -> Form:
        """The form that a fit's part belongs to."""
        return form if size.form is None else self.project.forms[size.form]

    def fit(self, form: Form, name: str) -> ResolvedFit:
        """A fit of a form. Raises Impossible."""
        asked = (form.slug, str(name))
        if asked not in self._fits:
            spec = form.fits[name]
            sides = [self._side(form, size) for size in (spec.inside, spec.outside)]
            glazed = spec.glazed or "none"
            films = tuple(side.film_mm for way, side in zip(SIDES, sides) if glazed in (way, "both"))
            self._fits[asked] = ResolvedFit(str(name), spec, sides[0], sides[1], films)
        return self._fits[asked]

    def fit_setting(self, form: Form, part: str, caliper: str) -> tuple[ResolvedFit, str]:
        """The fit that sets a caliper size, and as which side. Raises KeyError, there is none; Impossible."""
        for name, fit in form.fits.items():
            for way, size in zip(SIDES, (fit.inside, fit.outside)):
                if size.is_of(part) and size.caliper == caliper:
                    return self.fit(form, name), way
        raise KeyError(f"{part}.{caliper}")

    def _side(self, form: Form, size: PartSize) -> FitSide:
        owner = self.owner(form, size)
        part, body = owner.parts[size.part], self.body(owner)
        caliper = part.calipers[size.caliper]
        return FitSide(
            size, owner, size.own, part, caliper, size.own and caliper.from_fit, body, self.glaze(owner),
            self.spreads(owner),
        )  # fmt: skip


def known_spreads(form: Form, studio: Studio, body: clay.Body) -> KnownSpreads:
    """A form's spreads: its own, before the studio's, before the clay's bars, before common practice.

    What is written `from runs` and known nowhere else is taken from common practice; what is not written at all is none.

    Args:
        form: the form.
        studio: the studio that it is made in.
        body: its clay.
    """
    values: dict[str, float] = {}
    typed: dict[str, Size | Word] = {}
    assumed = set()
    for name in SPREADS:
        said = [getattr(spreads, name) for spreads in (form.spreads, studio.spreads) if isinstance(spreads, Spreads)]
        size = next((one for one in said if isinstance(one, Size)), None)
        word = next((one for one in said if isinstance(one, Word)), None)
        bars = body.deviation[-1] if name == "shrinkage" else None
        if size is not None:
            typed[name], values[name] = size, size.value
        elif bars is not None:
            values[name] = bars
        elif word is not None:
            typed[name], values[name] = word, COMMON_SPREADS[name]
            assumed.add(name)
    after: dict[str, float | None] = {}
    for name in ("drying", "firing", "weight"):
        said = [getattr(spreads, name) for spreads in (form.spreads, studio.spreads) if isinstance(spreads, Spreads)]
        size = next((one for one in said if isinstance(one, Size)), None)
        after[name] = size.value if size else None
        if size:
            typed[name] = size
    known = fits.Spreads(
        values.get("calipers", 0.0), values.get("trimming", 0.0), values.get("out_of_round", 0.0), values.get("shrinkage", 0.0), after["drying"], after["firing"],
        inf if "shrinkage" in typed or body.bars_count[-1] < 2 else body.bars_count[-1] - 1.0,
    )  # fmt: skip
    unknown = frozenset(SPREADS) - values.keys()
    return KnownSpreads(known, typed, frozenset(assumed), unknown, after["weight"])


def tools_of(part: Part, caliper: Caliper, spreads: KnownSpreads, goes_into: Collection[str] = ()) -> tuple[Tool, ...]:
    """What sets a size that is named under `calipers`, of those whose spread is known.

    What goes into a fit is turned, and where each is tried on its own it follows the calipers of its opening too. An
    outside that trimming takes something off is turned; everything else is set with calipers when it is thrown.

    Args:
        part: the part that it is a size of.
        caliper: the size.
        spreads: what is known of the studio's spreads.
        goes_into: the pairings of the fits that it goes into.
    """
    left = part.throwing.left_on if part.throwing else None
    turned = bool(goes_into) or (caliper.side == "outside" and left is not None and left.wall is not None)
    names = ["trimming"] * turned + ["calipers"] * (not turned or "own" in goes_into)
    values = {"trimming": ("leather-hard", spreads.values.trimming_mm), "calipers": ("wet", spreads.values.calipers_mm)}
    return tuple(Tool(name, *values[name]) for name in names if values[name][1])


def film_coat_kg_m2(measured_mm: float, body: clay.Body) -> float:
    """What a fired film weighs, on a square metre of bisque: film × 2.5 g/cm³ × the area that is left of it.

    Args:
        measured_mm: thickness of the fired glaze, mm.
        body: the clay under it.
    """
    return measured_mm * GLASS_DENSITY_G_CM3 * (body.across("fired") / body.across("bisque")) ** 2


def glaze_on(form: Form, spec: Glaze | None, body: clay.Body) -> Glaze | None:
    """The glaze as it is on a form: a film that was measured on it beats the glaze's own, and stands for one that is not named.

    Args:
        form: the form.
        spec: its glaze, or None.
        body: its clay.
    """
    film = form.glaze_film
    if film is None:
        return spec
    if spec is not None:
        return replace(spec, film=film)
    coat = film_coat_kg_m2(film.value, body)
    nothing = film._replace(value=0.0, typed="0 %")
    measured = film._replace(value=coat, typed=f"{coat:.2f} kg/m2, the film's own weight")
    return Glaze(slug="", at=film.at, title=Word("Glaze", film.at), film=film, coat=measured, loss_on_ignition=nothing)
