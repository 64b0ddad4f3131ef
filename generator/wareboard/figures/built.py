"""A form built: its parts as shapes, its caliper sizes, fits and levels in millimetres. Figures are written from this alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import inf
from typing import ParamSpec, TypeVar

from wareboard.figures.resolve import KnownSpreads, ResolvedFit, tools_of
from wareboard.figures.resting import Pair, pair_of
from wareboard.figures.saying import say
from wareboard.figures.shapes import Shape, to_stage
from wareboard.figures.shaping import Shaper
from wareboard.pot import fits
from wareboard.pot.budgets import Tool
from wareboard.pot.clay import Body
from wareboard.pot.frozen import frozen
from wareboard.pot.glaze import dry_glaze_kg_per_l
from wareboard.text.kinds import Size, Word
from wareboard.text.phrases import Caliper
from wareboard.text.problems import Impossible, Problem, error
from wareboard.text.quantities import Steps
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Clay, Glaze, Studio

GLAZE_GRAIN_G_CM3 = 2.6
Made = TypeVar("Made")
Asked = ParamSpec("Asked")


@frozen
class BuiltCaliper:
    """A caliper size at the stage at which it is known, the fit that sets it, as which side, and the tools that set it."""

    size_mm: float
    stage: str
    fit: str = ""
    way: str = ""
    tools: tuple[Tool, ...] = ()


@frozen
class BuiltFit:
    """A fit with its two sides as plain numbers, and what is left on the outside when it is thrown, on the diameter, wet.

    `owners` and `clays` are the titles of both sides' forms and clays; `wall_left_on_mm` what the outside's wall has
    left on a side, leather-hard, where the fit itself says nothing; `pair` how the two rest on each other.
    """

    resolved: ResolvedFit
    record: fits.Fit
    left_on_mm: float
    wall_left_on_mm: float
    clays: tuple[str, str]
    pair: Pair | None


@frozen
class Built:
    """A form, its parts and fits built.

    `calipers` go by part and size; `fills_mm` are the levels of `fill_to`, standing as thrown, of what can be filled;
    `dry_glaze_kg_per_l` what a litre of its slop holds, where that is known.
    """

    form: Form
    studio: Studio
    clay: Clay
    glaze: Glaze | None
    body: Body
    spreads: KnownSpreads
    shapes: Mapping[str, Shape]
    calipers: Mapping[tuple[str, str], BuiltCaliper]
    fills_mm: Mapping[str, float]
    fits: Mapping[str, BuiltFit]
    dry_glaze_kg_per_l: float | None


def build(form: Form, shaper: Shaper) -> Built | tuple[Problem, ...]:
    """A form built, or everything that can't be in it.

    Args:
        form: the form; its names are taken to exist (`links` looks).
        shaper: builds parts, and remembers them.
    """
    found: list[Problem] = []

    def tried(work: Callable[Asked, Made], *asked: Asked.args, **more: Asked.kwargs) -> Made | None:
        try:
            return work(*asked, **more)
        except Impossible as fault:
            found.append(fault.problem)
            return None

    resolver = shaper.resolver
    body, glaze = tried(resolver.body, form), tried(resolver.glaze, form)
    shapes = {str(name): tried(shaper.shape, form, name) for name in form.parts}
    if found or body is None:
        return tuple(dict.fromkeys(found))
    whole = {name: shape for name, shape in shapes.items() if shape is not None}
    calipers = {
        (name, str(caliper)): tried(_caliper, form, name, str(caliper), shaper)
        for name, shape in whole.items() for caliper in shape.part.calipers
    }  # fmt: skip
    fills = {
        name: tried(fill_level_mm, shape, shaper.resolver.project.studio)
        for name, shape in whole.items() if shape.inside and not shape.opens_down
    }  # fmt: skip
    built_fits = {} if found else {str(name): tried(_fit, form, str(name), shaper) for name in form.fits}
    in_a_litre = tried(dry_glaze_in_a_litre, glaze)
    if found:
        return tuple(dict.fromkeys(found))
    return Built(
        form, resolver.project.studio, resolver.project.clays[form.clay], glaze, body, resolver.spreads(form), whole,
        {key: caliper for key, caliper in calipers.items() if caliper}, {name: level for name, level in fills.items() if level is not None},
        {name: fit for name, fit in built_fits.items() if fit}, in_a_litre,
    )  # fmt: skip


# ---- sizes and levels ----


def _caliper(form: Form, part: str, name: str, shaper: Shaper) -> BuiltCaliper:
    spec = form.parts[part].calipers[name]
    into = [f.goes_with for f in form.fits.values() if f.outside.is_of(part) and f.outside.caliper == name]
    tools = tools_of(form.parts[part], spec, shaper.resolver.spreads(form), into)
    if spec.gauge is not None and spec.measured is not None:
        _check_gauge(form, part, name, spec, shaper)
    if not spec.from_fit:
        stage = (spec.level.stage if isinstance(spec.level, Size) else None) or form.stage
        return BuiltCaliper(shaper.caliper_mm(form, part, name, stage), stage, tools=tools)
    fit, way = shaper.resolver.fit_setting(form, part, name)
    stage = fit.spec.stage
    return BuiltCaliper(shaper.caliper_mm(form, part, name, stage), stage, fit.name, way, tools)


def _check_gauge(form: Form, part: str, name: str, spec: Caliper, shaper: Shaper) -> None:
    """A shared size and the section that it is measured on have to agree, to a ruler's step. Raises Impossible."""
    studio, measured = shaper.resolver.project.studio, spec.measured
    assert measured is not None
    step = studio.steps.ruler.value if studio.steps and studio.steps.ruler else Steps().ruler_mm
    wanted = shaper.caliper_mm(form, part, name, form.stage)
    found = measured.level.value if isinstance(measured.level, Size) else shaper.measured_mm(form, part, measured)
    if abs(found - wanted) > step + 1e-6:
        message = f"parts.{part}.calipers.{name}: the gauge `{spec.gauge}` is {say(studio, wanted, 'mm', 4)} {form.stage}, the section {say(studio, found, 'mm', 4)}"
        raise Impossible(
            error("gauge-differs", spec.at, message, "change the stations or the wall, or the gauge in studio.yaml")
        )


def fill_level_mm(shape: Shape, studio: Studio) -> float:
    """The level of `fill_to` above the foot at the part's own stage; the brim unless it is given. Raises Impossible."""
    part, brim, up = shape.part, brim_mm(shape), shape.body.up
    level = part.fill_to
    if level is None:
        return brim
    size = (part.outside.get(level) or part.inside[level]).height if isinstance(level, Word) else level
    foot = part.outside[part.closed_station].height
    height = to_stage(size, shape.stage, shape.stage, up) - to_stage(foot, shape.stage, shape.stage, up)
    if height > brim + 1e-6:
        message = f"parts.{shape.name}.fill_to: {say(studio, height, 'mm', 4)} is above the brim at {say(studio, brim, 'mm', 4)}"
        raise Impossible(error("fill-over-brim", level.at, message, "fill to a level inside the pot"))
    return min(height, brim)


def brim_mm(shape: Shape) -> float:
    """The level at which it runs over: its wall's edge; where the inside is listed, the lower of the rim's two."""
    lip = shape.inside[-1][1]
    return min(shape.outside[-1][1], lip) if shape.part.inside else lip


def dry_glaze_in_a_litre(glaze: Glaze | None) -> float | None:
    """Dry glaze in a litre of a glaze's slop, kg; None where it is not known. Raises: Impossible."""
    if glaze is None or glaze.coat is None or glaze.pint_weight is None:
        return None
    slop, grain = glaze.pint_weight, glaze.grain_density.value if glaze.grain_density else GLAZE_GRAIN_G_CM3
    try:
        return dry_glaze_kg_per_l(slop.value, grain)
    except ValueError as fault:
        raise Impossible(
            error("slop-cannot-be", slop.at, f"pint_weight: {fault}", "look at pint_weight and grain_density together")
        ) from None


# ---- fits ----


def _fit(form: Form, name: str, shaper: Shaper) -> BuiltFit:
    fit = shaper.resolver.fit(form, name)
    record, side, left_on = fit_record(fit, shaper), fit.outside, fit.spec.left_on
    wall = 0.0 if left_on else shaper.shape(side.owner, side.size.part).left_on_caliper_mm(side.size.caliper)
    extra = (
        to_stage(left_on, "leather-hard", "wet", side.body.across)
        if left_on
        else 2.0 * wall / side.body.across("leather-hard")
    )
    clays = shaper.resolver.project.clays
    titles = str(clays[fit.inside.owner.clay].title), str(clays[fit.outside.owner.clay].title)
    return BuiltFit(fit, record, extra, wall, titles, pair_of(fit, record, shaper))


def fit_record(fit: ResolvedFit, shaper: Shaper) -> fits.Fit:
    """A fit as the pure room has it. Raises Impossible."""
    spec, clearance = fit.spec, fit.spec.clearance
    record = fits.Fit(
        shaper.side(fit.inside), shaper.side(fit.outside), clearance.aim.value, -inf, inf, spec.stage, fit.films_mm,
        spec.goes_with, fit.follows,
    )  # fmt: skip
    least, most = _limit(record, clearance.least, -inf), _limit(record, clearance.most, inf)
    for word, size, limit in (("least", clearance.least, least), ("most", clearance.most, most)):
        over = clearance.aim.value - limit if word == "least" else limit - clearance.aim.value
        if size is not None and over < 0.0:
            side = "above" if word == "least" else "below"
            comes_to = "" if (size.stage or "fired") == spec.stage else f" comes to {say(shaper.resolver.project.studio, limit, 'mm', 5)} {spec.stage}, which"  # fmt: skip
            message = f"fits.{fit.name}.clearance: `{word}` {size.typed}{comes_to} is {side} the `aim` of {clearance.aim.typed}"
            raise Impossible(error("aim-outside-limits", size.at, message, "the aim lies between `least` and `most`"))
    return replace(record, least_mm=least, most_mm=most)


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
    return inside.diameter_mm(record.stage) - outside_mm * outside.body.across(record.stage) / outside.body.across("fired")  # fmt: skip
