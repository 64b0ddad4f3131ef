"""Forms made whole before they are built: what is like another is brought to its size, what is to be solved is solved.

A whole form is a form like any other: numbers, each at the place where it was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, TypeVar

from wareboard.figures.amounts import held_mm3, part_mass_g
from wareboard.figures.built import fill_level_mm
from wareboard.figures.saying import say, say_tenths
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.pot.measured import FLOOR_SHARE
from wareboard.pot.roots import root_between, root_near
from wareboard.text import links
from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import SOLVED, Extra, LeftOn, Part, Station, Strap, Throwing, TwoEnds
from wareboard.text.problems import Impossible, Problem, error, has_errors, warning
from wareboard.text.projects import Project
from wareboard.text.specs import Fit, Form, Resized
from wareboard.text.studio_specs import Studio

LEAST_FACTOR, MOST_FACTOR = 0.05, 20.0
LEAST_SOLVED_MM, COMMON_WALL_MM, MOST_SOLVED_MM = 0.5, 4.0, 120.0
AGREES_SHARE = 0.02  # weight and water that a solved wall leaves no further apart say nothing of one another
CAPACITY, BALL, HEIGHT, SCALE = "capacity", "ball", "height", "scale"

Sized = TypeVar("Sized", bound=Any)


def complete(project: Project) -> tuple[Project, list[Problem]]:
    """A studio with every form whole.

    Args:
        project: the studio as it was read.
    Returns: the studio, the very same where nothing was to be done; and what can't be, at its place.
    """
    waiting = [form for form in project.forms.values() if needs_completing(form)]
    if not waiting:
        return project, []
    found: list[Problem] = []
    faulty = {problem.at.file for problem in project.problems if problem.level == "error"}
    done = dict(project.forms)
    for form in _in_order(waiting, project):
        own = links.check_form_links(form, project)
        if has_errors(own) or not links.can_be_worked_out(form, project, faulty):
            continue
        whole = completed_form(form, replace(project, forms=done))
        if isinstance(whole, Form):
            done[form.slug] = whole
        else:
            found += whole
            faulty |= {problem.at.file for problem in whole if problem.level == "error"} | {form.at.file}
            continue
        found += _disagreeing(whole, replace(project, forms=done))
    return replace(project, forms=done), found


def needs_completing(form: Form) -> bool:
    """True for a form that is to be resized or has a thickness to be solved."""
    resized = form.resized is not None and form.factor is None
    return resized or any(_is_solved(part.wall) for part in form.parts.values())


def _is_solved(size: object) -> bool:
    return isinstance(size, Word) and size == SOLVED


def _in_order(waiting: Iterable[Form], project: Project) -> list[Form]:
    """Forms whose sizes others take before those that take them."""
    left, ordered, seen = list(waiting), [], set()

    def visit(form: Form, trail: frozenset[str]) -> None:
        if form.slug in seen or form.slug in trail:
            return
        for other in links.other_forms(form):
            needed = project.forms.get(other)
            if needed is not None:
                visit(needed, trail | {form.slug})
        seen.add(form.slug)
        if form in left:
            ordered.append(form)

    for form in left:
        visit(form, frozenset())
    return ordered


def completed_form(form: Form, project: Project) -> Form | tuple[Problem, ...]:
    """One form made whole, or why it can't be.

    Args:
        form: the form; its names are taken to exist.
        project: the studio that it stands in.
    """

    def trial(changed: Form, *, as_used: bool = False) -> Shaper:
        return Shaper(replace(project, forms={**project.forms, form.slug: changed}), as_used=as_used)

    try:
        sized = _resized(form, trial) if form.resized is not None and form.factor is None else form
        for name, part in sized.parts.items():
            if _is_solved(part.wall):
                sized = _solved(sized, str(name), trial, project.studio)
        if form.resized is not None:
            _refuse_impossible(sized, form.resized, trial)
    except Impossible as fault:
        return (fault.problem,)
    return sized


def _refuse_impossible(form: Form, resized: Resized, trial: Callable[[Form], Shaper]) -> None:
    """A resized form that cannot be built is told where it is resized: the other form's line is right as it is."""
    shaper = trial(form)
    for name in form.parts:
        try:
            shaper.shape(form, name)
        except Impossible as fault:
            message = f"resized: at {form.factor or 1.0:.3g} times {form.like}, {fault.problem.message}"
            raise Impossible(
                error("resized-cannot-be", _said_at(resized), message, "keep fewer things, or resize it less")
            ) from None


def _said_at(resized: Resized) -> Any:
    target = resized.target
    return target[1].at if target else resized.at


# ---- as large as it is to be ----


def _resized(form: Form, trial: Callable[..., Shaper]) -> Form:
    """The form at the size that is asked for. Raises Impossible."""
    resized = form.resized
    assert resized is not None and resized.target is not None
    kind, wanted = resized.target
    if kind == SCALE:
        return scaled_form(form, wanted.value, resized.keep)
    measure = _MEASURES[kind]

    faults: list[Impossible] = []

    @cache  # the ends of the bracket are asked for again
    def share(factor: float) -> float:
        changed = scaled_form(form, factor, resized.keep)
        try:
            return measure(changed, trial(changed, as_used=kind != BALL), wanted)
        except Impossible as fault:
            faults.append(fault)
            return 0.0  # so small that nothing is left

    def off(factor: float) -> float:
        return share(factor) - 1.0

    def off_across(factor: float) -> float:
        if not LEAST_FACTOR <= factor <= MOST_FACTOR:
            return -1.0
        return float(share(factor) ** power) - 1.0

    now, power = share(1.0), 1.0 if kind == HEIGHT else 1.0 / 3.0
    if abs(now - 1.0) < 1e-12:
        return scaled_form(form, 1.0)
    if now <= 0.0 and kind == CAPACITY and not _vessel(form):
        raise Impossible(error("resized-holds-nothing", wanted.at, f"resized.capacity: no part of {form.like} holds anything", "say `height:`, `ball:` or `scale:`"))  # fmt: skip
    guess = min(max((1.0 / now) ** power if now > 0.0 else 1.0, LEAST_FACTOR), MOST_FACTOR)
    factor = root_near(off_across, 1.0, guess)  # what a length comes to is nearly straight
    if factor is not None:
        return scaled_form(form, factor, resized.keep)
    low, high = _bracket(off, guess)
    if off(low) > 0.0 or off(high) < 0.0:
        if now <= 0.0 and faults:
            raise faults[0]  # what it is like can't be itself
        end = low if off(low) > 0.0 else high
        message = f"resized.{kind}: no scale gives {wanted.typed}; {end:.3g} times {form.like} still comes to {(off(end) + 1.0) * wanted.value:.3g}, as {kind}"
        raise Impossible(
            error("resized-unreachable", wanted.at, message, "keep fewer things, or ask for less of a change")
        )
    return scaled_form(form, root_between(off, low, high, near=1e-8 * high), resized.keep)


def _bracket(off: Callable[[float], float], guess: float) -> tuple[float, float]:
    """Two scales about a guess, one too small and one too large, as near as it takes."""
    step, low, high = 1.03, guess, guess
    while low > LEAST_FACTOR and off(low) > 0.0:
        low, step = max(LEAST_FACTOR, low / step), step * step
    step = 1.03
    while high < MOST_FACTOR and off(high) < 0.0:
        high, step = min(MOST_FACTOR, high * step), step * step
    return low, high


def _vessel(form: Form) -> str | None:
    """The first part that holds something."""
    return next((str(name) for name, part in form.parts.items() if not part.opens_down and not part.solid), None)


def _capacity_share(form: Form, shaper: Shaper, wanted: Size) -> float:
    name = _vessel(form)
    if name is None:
        return 0.0
    shape = shaper.shape(form, name)
    return _holds_ml(form, shaper, shape) / wanted.value


def _holds_ml(form: Form, shaper: Shaper, shape: Shape) -> float:
    space, taken = held_mm3(shape, shaper.resolver.glaze(form), fill_level_mm(shape, shaper.resolver.project.studio))
    return max(0.0, space - taken) / 1000.0


def _ball_share(form: Form, shaper: Shaper, wanted: Size) -> float:
    total = 0.0
    for name, part in form.parts.items():
        shape = shaper.shape(form, name)
        lost = part.throwing.loss.value if part.throwing and part.throwing.loss else 0.0
        total += shape.thrown_volume_mm3 / 1000.0 * shape.body.wet_density_g_cm3 / (1.0 - lost)
    return total / wanted.value


def _height_share(form: Form, shaper: Shaper, wanted: Size) -> float:
    shape = shaper.shape(form, next(iter(form.parts)))
    stage = wanted.stage or form.stage
    return (shape.highest_mm - shape.lowest_mm) * shape.scale(stage)[1] / wanted.value


_MEASURES: Mapping[str, Callable[[Form, Shaper, Size], float]] = {
    CAPACITY: _capacity_share, BALL: _ball_share, HEIGHT: _height_share,
}  # fmt: skip


def scaled_form(form: Form, factor: float, keep: Iterable[str] = ()) -> Form:
    """A form as many times as large, but for what is kept and what its own file says.

    Lengths go with the scale, added clay with its cube. A fit's clearance is never scaled, nor what is shared as a gauge.

    Args:
        form: the form.
        factor: how many times as large; 1 leaves every number as it is.
        keep: `wall`, `floor`, `left_on`, and names of stations and caliper sizes, perhaps behind their part's.
    """
    if factor == 1.0:
        return replace(form, factor=1.0)
    scale = _Scale(form, factor, frozenset(map(str, keep)))
    parts: Any = {name: scale.part(str(name), part) for name, part in form.parts.items()}
    fits: Any = {name: scale.fit(fit) for name, fit in form.fits.items()}
    return replace(form, parts=parts, fits=fits, factor=factor)


class _Scale:
    """Scales what stands in the file of the form that another is like."""

    def __init__(self, form: Form, factor: float, keep: frozenset[str]) -> None:
        self.file = form.at.file if form.like is not None else ""
        self.factor, self.keep = factor, keep

    def size(self, size: Sized, *, power: int = 1) -> Sized:
        """A size, scaled; a word, or one that was typed in this form's own file, as it is."""
        if not isinstance(size, Size) or size.at.file == self.file:
            return size
        value = size.value * self.factor**power
        unit = "g" if power == 3 else "mm"
        typed = f"{value:.5g} {unit}" + (f" {size.stage}" if size.stage else "")
        scaled: Any = Size(value, size.stage, size.of, typed, size.at)
        return scaled  # type: ignore[no-any-return]

    def kept(self, part: str, name: str) -> bool:
        """True for what stays as it is."""
        return name in self.keep or f"{part}.{name}" in self.keep

    def part(self, name: str, part: Part) -> Part:
        """A part, scaled."""
        changed: dict[str, Any] = {
            line: {station: self.station(spec) if not self.kept(name, station) else spec for station, spec in getattr(part, line).items()}
            for line in ("outside", "inside", "underside")
        }  # fmt: skip
        if "wall" not in self.keep:
            wall = part.wall
            changed["wall"] = {k: self.size(v) for k, v in wall.items()} if isinstance(wall, dict) else self.size(wall)
        if "floor" not in self.keep:
            changed["floor"] = self.size(part.floor)
        if part.gallery and not self.kept(name, "gallery"):
            gallery = part.gallery
            changed["gallery"] = replace(gallery, depth=self.size(gallery.depth), width=self.size(gallery.width))
        if part.foot:
            foot = part.foot
            changed["foot"] = replace(
                foot, ring=self.size(foot.ring), width=self.size(foot.width), recess=self.size(foot.recess)
            )
        changed["fill_to"] = self.size(part.fill_to)
        changed["calipers"] = {
            size: caliper
            if caliper.gauge or self.kept(name, size)
            else replace(caliper, level=self.size(caliper.level))
            for size, caliper in part.calipers.items()
        }
        changed["throwing"] = self.throwing(part.throwing)
        changed["extras"] = {extra: self.extra(spec) for extra, spec in part.extras.items()}
        return replace(part, **changed)

    def station(self, station: Station) -> Station:
        """A station, scaled."""
        return replace(station, height=self.size(station.height), diameter=self.size(station.diameter))

    def throwing(self, throwing: Throwing | None) -> Throwing | None:
        """What is left on, scaled unless it is kept."""
        if throwing is None or throwing.left_on is None or "left_on" in self.keep:
            return throwing
        left: LeftOn = throwing.left_on
        wall = {k: self.size(v) for k, v in left.wall.items()} if isinstance(left.wall, dict) else self.size(left.wall)
        return replace(throwing, left_on=replace(left, wall=wall, floor=self.size(left.floor)))

    def extra(self, extra: Extra) -> Extra:
        """Added clay, scaled: its weight by the cube."""
        strap: Strap | None = extra.strap
        if strap is not None:
            strap = replace(
                strap,
                length=self.size(strap.length),
                width=self._ends(strap.width),
                thickness=self._ends(strap.thickness),
            )
        return replace(
            extra, clay=self.size(extra.clay, power=3), strap=strap,
            joined=self.size(extra.joined), to=self.size(extra.to), reach=self.size(extra.reach),
        )  # fmt: skip

    def _ends(self, size: Size | TwoEnds) -> Size | TwoEnds:
        return (
            self.size(size)
            if isinstance(size, Size)
            else replace(size, top=self.size(size.top), bottom=self.size(size.bottom))
        )

    def fit(self, fit: Fit) -> Fit:
        """A fit, in which only what is left on is scaled."""
        return fit if "left_on" in self.keep else replace(fit, left_on=self.size(fit.left_on))


# ---- as thick as it has to be ----


def _solved(form: Form, name: str, trial: Callable[..., Shaper], studio: Studio) -> Form:
    """The form with the wall, and perhaps the floor, that makes a part's weight come out; or else what it holds. Raises Impossible."""
    part = form.parts[name]
    word, by = part.wall, part.weighs or part.holds
    assert isinstance(word, Word) and by is not None

    def with_wall(wall_mm: float) -> Form:
        floor = _solved_size(FLOOR_SHARE * wall_mm, part.floor) if _is_solved(part.floor) else part.floor
        changed = replace(part, wall=_solved_size(wall_mm, word), floor=floor)
        parts: Any = {key: changed if key == name else other for key, other in form.parts.items()}
        return replace(form, parts=parts)

    @cache
    def off(wall_mm: float) -> float:
        changed = with_wall(wall_mm)
        shaper = trial(changed, as_used=True)
        try:
            shape = shaper.shape(changed, name)
        except Impossible:
            return 1.0
        if part.weighs is not None:
            stage = part.weighs.stage or "fired"
            return (
                part_mass_g(shape, stage, shaper.resolver.glaze(changed) if stage == "fired" else None) / by.value - 1.0
            )
        wanted = by.value * shape.volume_scale("fired") / shape.volume_scale(by.stage or "fired")
        return 1.0 - _holds_ml(changed, shaper, shape) / wanted

    said = "weighs" if part.weighs is not None else "holds"
    if off(LEAST_SOLVED_MM) > 0.0:
        much = "more" if said == "weighs" else "less"
        message = f"parts.{name}.wall: even {say(studio, LEAST_SOLVED_MM, 'mm')} {said} {much} than {by.typed}"
        raise Impossible(
            error("no-wall-does", by.at, message, f"look at `{said}`, the sizes, and the clay's shrinkage and water")
        )
    # Clay and room follow the wall nearly as a straight line does.
    wall = root_near(lambda wall: off(min(max(wall, LEAST_SOLVED_MM), MOST_SOLVED_MM)), LEAST_SOLVED_MM, COMMON_WALL_MM)
    if wall is not None:
        return with_wall(wall)
    low, high = LEAST_SOLVED_MM, LEAST_SOLVED_MM * 1.5
    while off(high) < 0.0:
        low, high = high, high * 1.4
        if high > MOST_SOLVED_MM:
            break
    wall = root_between(off, low, high, near=1e-7)
    if abs(off(wall)) > 1e-3:
        less = "less" if said == "weighs" else "more"
        message = f"parts.{name}.wall: the thickest that leaves an inside, {say_tenths(studio, wall)}, {said} {less} than {by.typed}"
        raise Impossible(
            error("no-wall-does", by.at, message, f"look at `{said}`, the sizes, and the clay's shrinkage and water")
        )
    return with_wall(wall)


def _solved_size(value_mm: float, word: Any) -> Size:
    return Size(value_mm, None, None, f"{value_mm:.2f} mm, solved", word.at)


def _disagreeing(form: Form, project: Project) -> list[Problem]:
    """Weight and water of a solved wall that can't both be: what the outside encloses is clay and water and nothing else."""
    found = []
    for name, part in form.parts.items():
        if not (isinstance(part.wall, Size) and part.wall.typed.endswith("solved") and part.weighs and part.holds):
            continue
        shaper = Shaper(project)
        shape = shaper.shape(form, name)
        holds = _holds_ml(form, shaper, shape)
        wanted = part.holds.value * shape.volume_scale("fired") / shape.volume_scale(part.holds.stage or "fired")
        clay_ml = shape.volume_mm3 * shape.volume_scale("fired") / 1000.0
        if abs(holds / wanted - 1.0) > AGREES_SHARE:
            message = (
                f"parts.{name}: no wall makes both agree; weighing {part.weighs.typed} it is {clay_ml:.0f} cm3 of clay, and holds {holds:.0f} ml"
                f" where {part.holds.typed} is stated: the outside is {abs(wanted - holds):.0f} cm3 too {'small' if wanted > holds else 'large'}, or one of the two is wrong"
            )
            found.append(warning("weight-and-water-disagree", part.holds.at, message, "measure again; the side between the stations may be fuller or leaner too"))  # fmt: skip
    return found
