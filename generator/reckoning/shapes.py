"""A form's parts as solids: every typed size brought to one stage, calipers and fits followed, outlines built.

Shapes stand as thrown, closed end down at height 0; a part that opens down is turned over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from generator.pot import clay, fits, solids
from generator.pot.solids import Polyline
from generator.reckoning.figures import number
from generator.text.kinds import Size, Word
from generator.text.phrases import Caliper, PartSize
from generator.text.problems import Position, Problem, error
from generator.text.projects import Project
from generator.text.specs import Clay, Fit, Form, Part, Station

Point = tuple[float, float]


class Impossible(Exception):
    """A size or an outline that can't be; carries its problem. Caught where a sheet is made."""

    def __init__(self, problem: Problem):
        super().__init__(problem.message)
        self.problem = problem


@dataclass(frozen=True)
class Outline:
    """A part's outlines at one stage, mm from the axis and from what it stands on.

    `outside` runs from the foot up (from the tip up, for a lid as it is used); `inside` likewise, empty
    for a solid part; `ring` is the closed half section.
    """

    outside: Polyline
    inside: Polyline
    underside: Polyline
    stations: Mapping[str, Point]
    upside_down: bool = False
    height_mm: float = 0.0

    @cached_property
    def ring(self) -> Polyline:
        """The half section: closed ring of (radius, height), out along the foot and back along the inside."""
        if not self.upside_down:
            return solids.profile_ring(self.outside, self.inside or None, self.underside)
        stood = [solids.flipped(line, self.height_mm) for line in (self.outside, self.inside, self.underside)]
        return solids.flipped(solids.profile_ring(stood[0], stood[1] or None, stood[2]), self.height_mm)


@dataclass(frozen=True)
class Shape:
    """One part, built at the stage at which its form's sizes hold; standing as thrown."""

    name: str
    part: Part
    body: clay.Body
    stage: str
    outside: Polyline
    inside: Polyline
    underside: Polyline
    station_places: Mapping[str, int]
    foot_mm: float
    top_mm: float

    @property
    def opens_down(self) -> bool:
        """True for a lid or a cover."""
        return self.part.opens_down

    @property
    def solid(self) -> bool:
        """True where there is no inside."""
        return not self.inside

    @cached_property
    def ring(self) -> Polyline:
        """The half section at the form's own stage."""
        return solids.profile_ring(self.outside, self.inside or None, self.underside)

    @cached_property
    def volume_mm3(self) -> float:
        """Clay in the finished section at the form's own stage."""
        return solids.revolved_volume_mm3(self.ring)

    @cached_property
    def highest_mm(self) -> float:
        """The highest point of the outside, standing as thrown."""
        return max(height for _, height in self.outside)

    @cached_property
    def lowest_mm(self) -> float:
        """The lowest point of the outside, standing as thrown."""
        return min(height for _, height in self.outside)

    def scale(self, stage: str) -> tuple[float, float]:
        """Across and up from the form's own stage to another."""
        body = self.body
        return body.across(stage) / body.across(self.stage), body.up(stage) / body.up(self.stage)

    def volume_scale(self, stage: str) -> float:
        """Volume at a stage over that at the form's own."""
        across, up = self.scale(stage)
        return across * across * up

    def scaled(self, line: Polyline, stage: str) -> Polyline:
        """A line of the shape at another stage."""
        return solids.scaled(line, *self.scale(stage))

    def finished(self, stage: str) -> Outline:
        """The trimmed part at a stage, standing as it is used: a lid's tip is at height 0."""
        lines = [self.scaled(line, stage) for line in (self.outside, self.inside, self.underside)]
        stations = {name: lines[0][place] for name, place in self.station_places.items()}
        if not self.opens_down:
            return Outline(*lines, stations)
        height = self.highest_mm * self.scale(stage)[1]
        turned = [solids.flipped(line, height) for line in lines]
        return Outline(*turned, {name: (r, height - z) for name, (r, z) in stations.items()}, True, height)

    def thrown(self, stage: str = "wet") -> Outline:
        """The part as thrown, with what trimming takes off; standing as thrown, closed end down."""
        trimmed = self._left_on
        body, lift = self.body, self.drop_mm
        across = body.across(stage) / body.across("leather-hard")
        up = body.up(stage) / body.up("leather-hard")
        raised = tuple((r * across, (z + lift) * up) for r, z in trimmed)
        inside = tuple((r * across, (z + lift) * up) for r, z in self.scaled(self.inside, "leather-hard"))
        at_stations = {name: solids.radius_at(trimmed, height) or 0.0 for name, height in self._leather_hard_heights.items()}
        stations = {name: (r * across, (self._leather_hard_heights[name] + lift) * up) for name, r in at_stations.items()}
        return Outline(raised, inside, (), stations)

    @property
    def wall_left_on_mm(self) -> float:
        """Left on the outside when thrown, leather-hard, square to it."""
        left_on = self.part.throwing and self.part.throwing.left_on
        return self._at_leather_hard(left_on.wall, "across") if left_on and left_on.wall else 0.0

    @property
    def drop_mm(self) -> float:
        """Left on under the closed end when thrown, leather-hard."""
        left_on = self.part.throwing and self.part.throwing.left_on
        return self._at_leather_hard(left_on.floor, "up") if left_on and left_on.floor else 0.0

    def _at_leather_hard(self, size: Size, way: str) -> float:
        if size.stage is None:
            return size.value
        scale = getattr(self.body, way)
        return size.value * scale("leather-hard") / scale(size.stage)

    @cached_property
    def _leather_hard_heights(self) -> dict[str, float]:
        up = self.scale("leather-hard")[1]
        return {name: self.outside[place][1] * up for name, place in self.station_places.items()}

    @cached_property
    def _left_on(self) -> Polyline:
        outside = self.scaled(self.outside, "leather-hard")
        return solids.moved_out(outside, self.wall_left_on_mm, self.drop_mm)

    @cached_property
    def thrown_volume_mm3(self) -> float:
        """Clay as thrown, at wet."""
        inside = self.scaled(self.inside, "leather-hard")
        ring = solids.profile_ring(self._left_on, inside or None)
        return solids.revolved_volume_mm3(ring) / self.body.volume_scale("leather-hard")


class Shaper:
    """Builds parts when they are asked for: a fit may take a size from another part, even of another form."""

    def __init__(self, project: Project):
        self.project = project
        self._shapes: dict[tuple[str, str], Shape | Impossible] = {}
        self._open: list[tuple[str, ...]] = []
        self._remembered: dict[tuple[Callable, int], object] = {}

    def remembered(self, work: Callable, spec: object):
        """What some work gives for one of the project's specs; done once, for many forms share a clay."""
        if (work, id(spec)) not in self._remembered:
            self._remembered[work, id(spec)] = work(spec)
        return self._remembered[work, id(spec)]

    def body(self, form: Form) -> clay.Body:
        """The clay of a form. Raises Impossible."""
        return self.remembered(make_body, self.project.clays[form.clay])

    def shape(self, form: Form, name: str) -> Shape:
        """A part of a form. Raises Impossible."""
        wanted = (form.slug, str(name))
        if wanted not in self._shapes:
            try:
                self._shapes[wanted] = self._followed(wanted, form.parts[name].at, lambda: _Builder(self, form, name).shape())
            except Impossible as fault:
                self._shapes[wanted] = fault
        found = self._shapes[wanted]
        if isinstance(found, Impossible):
            raise found
        return found

    def caliper_mm(self, form: Form, name: str, caliper: str, stage: str) -> float:
        """A caliper size of a part at a stage, mm. Raises Impossible."""
        part = form.parts[name]
        spec = part.calipers[caliper]
        body = self.body(form)
        if spec.from_fit:
            wet = self._followed((form.slug, str(name), str(caliper)), spec.at, lambda: self._set_by_fit(form, name, caliper))
            return wet * body.across(stage)
        if isinstance(spec.level, Size):
            return to_stage(spec.level, form.stage, stage, body.across)
        measured = self._followed((form.slug, str(name), str(caliper)), spec.at, lambda: self._measured(form, name, spec))
        return measured * body.across(stage) / body.across(form.stage)

    def other(self, form: Form, size: PartSize) -> Form:
        """The form that a fit's part belongs to."""
        return self.project.forms[size.form] if size.form else form

    def side_mm(self, form: Form, size: PartSize, stage: str) -> float:
        """One side of a fit at a stage, mm. Raises Impossible."""
        return self.caliper_mm(self.other(form, size), size.part, size.caliper, stage)

    def films_mm(self, form: Form, fit: Fit) -> tuple[float, ...]:
        """Fired glaze on the faces of a fit that are glazed."""
        glazed = str(fit.glazed or "none")
        sides = [side for side in ("inside", "outside") if glazed in (side, "both")]
        return tuple(self._film_mm(self.other(form, getattr(fit, side))) for side in sides)

    def _film_mm(self, form: Form) -> float:
        glaze = self.project.glazes.get(str(form.glaze)) if form.glaze else None
        return glaze.film.value if glaze and glaze.film else 0.0

    def _set_by_fit(self, form: Form, name: str, caliper: str) -> float:
        fit_name, fit, side = next(
            (fit_name, fit, side) for fit_name, fit in form.fits.items() for side in ("inside", "outside")
            if (found := getattr(fit, side)).form in (None, form.slug) and found.part == name and found.caliper == caliper
        )  # fmt: skip
        given = fit.outside if side == "inside" else fit.inside
        stage = fit.clearance.aim.stage or "fired"
        other = fits.Side(self.side_mm(form, given, "wet"), self.body(self.other(form, given)))
        worked_out = fits.inside_for_aim_mm if side == "inside" else fits.outside_for_aim_mm
        try:
            return worked_out(other, self.body(form), fit.clearance.aim.value, stage, self.films_mm(form, fit))
        except ValueError as fault:
            raise Impossible(error("fit-leaves-nothing", fit.clearance.aim.at, f"fits.{fit_name}.clearance: {fault}", "look at the aim and its unit")) from None

    def _measured(self, form: Form, name: str, caliper: Caliper) -> float:
        """A diameter measured at a station's level, at the form's own stage."""
        part, level = form.parts[name], str(caliper.level)
        listed = part.inside if caliper.side == "inside" else part.outside
        builder = _Builder(self, form, name)
        if level in listed:
            return 2.0 * builder.radius_mm(listed[level])
        shape = self.shape(form, name)
        height = builder.canonical_height_mm((part.outside.get(level) or part.inside[level]).height)
        line = shape.inside if caliper.side == "inside" else shape.outside
        radius = solids.radius_at(line, height) if line else None
        if not radius:
            where = f"{builder.typed_height_mm(height):.4g} mm"
            raise Impossible(error("no-size-there", caliper.at, f"parts.{name}.calipers: there is no {caliper.side} at {level}'s level, {where}", f"name a station where there is one, or give the size: `{caliper.side} 71`"))
        return 2.0 * radius

    def _followed(self, wanted: tuple[str, ...], at: Position, work: Callable):
        if wanted in self._open:
            trail = [".".join(step[1:]) for step in self._open[self._open.index(wanted) :]]
            circle = f"these sizes set one another in a circle: {' ← '.join([*trail, trail[0]])}" if len(trail) > 1 else f"{trail[0]} follows from itself"
            raise Impossible(error("circular-fit", at, circle, "give one of the sizes that it follows from as a number"))
        self._open.append(wanted)
        try:
            return work()
        finally:
            self._open.pop()


def to_stage(size: Size, unless_said: str, stage: str, scale: Callable[[str], float]) -> float:
    """A typed size at another stage: × scale(stage) / scale(the stage at which it was typed)."""
    typed_at = size.stage or unless_said
    return size.value if typed_at == stage else size.value * scale(stage) / scale(typed_at)


def make_body(spec: Clay) -> clay.Body:
    """A clay's spec as a body. Raises Impossible, where its numbers can't be."""
    line = spec.shrinkage
    names = [(stage, stage.replace("-", "_")) for stage in clay.STAGES[1:]]
    typed = {stage: size for stage, name in names if line and (size := getattr(line, name))}
    bars = [
        {stage: size.value for stage, name in [("wet", "wet"), *names] if (size := getattr(bar, name))} for bar in spec.bars
    ]
    try:
        body = clay.make_body(
            water_share=spec.water.value,
            line={stage: size.value for stage, size in typed.items()},
            of_dry={stage for stage, size in typed.items() if size.of == "dry"},
            bars=bars,
            height_factor=spec.height_factor.value if spec.height_factor else 1.0,
            grain_density_g_cm3=spec.grain_density.value if spec.grain_density else 2.6,
            wet_density_g_cm3=spec.density.value if spec.density else None,
            loss_share=spec.loss_on_ignition.value if spec.loss_on_ignition else 0.0,
        )
    except clay.MissingShrinkage as fault:
        at = next(reversed(typed.values())).at if typed else spec.at
        raise Impossible(error("no-shrinkage", at, f"shrinkage: none is given for {fault.stage}, neither typed nor by a bar", f"write `{fault.stage}: … %` under `shrinkage:`, or measure bars")) from None
    except ValueError as fault:
        of_dry = (size.at for size in typed.values() if size.of)
        at = next(of_dry, next((size.at for size in typed.values()), spec.at))
        raise Impossible(error("clay-cannot-be", at, f"shrinkage: {fault}", "write it in % of the wet length")) from None
    faults = [fault for fault in clay.body_faults(body) if fault.impossible]
    if faults:
        # What is assumed follows from what was given, so that is what should be mended.
        raise Impossible(body_problem(spec, min(faults, key=lambda fault: fault.stage in body.assumed), error))
    return body


_FAULTS = {
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
    message = _FAULTS[fault.kind].format(found=said(fault.found), limit=said(fault.limit), stage=fault.stage, bound=bound)
    return level(fault.kind, _cause_at(spec, fault), message, "look at water, density, grain_density and shrinkage together")


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


class _Builder:
    """Builds one part's shape at its form's stage."""

    def __init__(self, shaper: Shaper, form: Form, name: str):
        self.shaper, self.form, self.name = shaper, form, str(name)
        self.part: Part = form.parts[name]
        self.body = shaper.body(form)
        stations = list(self.part.outside.values())
        # the closed end: the foot of a vessel, the top of a lid
        self.closed_mm = self.height_mm(stations[-1 if self.part.opens_down else 0].height)

    def height_mm(self, size: Size) -> float:
        """A height as typed, at the form's stage."""
        return to_stage(size, self.form.stage, self.form.stage, self.body.up)

    def canonical_height_mm(self, size: Size) -> float:
        """The same above the closed end."""
        height = self.height_mm(size)
        return self.closed_mm - height if self.part.opens_down else height - self.closed_mm

    def typed_height_mm(self, canonical_mm: float) -> float:
        """Back to a height as a maker would type it."""
        return self.closed_mm - canonical_mm if self.part.opens_down else canonical_mm + self.closed_mm

    def radius_mm(self, station: Station) -> float:
        """A station's radius at the form's stage."""
        if isinstance(station.diameter, Word):
            return self.shaper.caliper_mm(self.form, self.name, str(station.diameter), self.form.stage) / 2.0
        return to_stage(station.diameter, self.form.stage, self.form.stage, self.body.across) / 2.0

    def shape(self) -> Shape:
        """The part, built and looked over."""
        part = self.part
        outside, places = self._line(part.outside)
        underside, _ = self._line(part.underside) if part.underside else ((), {})
        inside = self._inside(outside, places, underside)
        names = dict(zip(part.outside, places))
        shape = Shape(self.name, part, self.body, self.form.stage, outside, inside, underside, names, outside[0][1], outside[-1][1])
        fault = solids.ring_problem(shape.ring)
        if fault:
            raise Impossible(self._ring_fault(*fault))
        return shape

    def _line(self, stations: Mapping[str, Station]) -> tuple[Polyline, tuple[int, ...]]:
        """Stations as an outline, closed end first, and where each station lies in it."""
        listed = list(stations.values())
        points = [(self.radius_mm(station), self.canonical_height_mm(station.height)) for station in listed]
        corners = {place for place, station in enumerate(listed) if station.corner}
        last = len(points) - 1
        if self.part.opens_down:
            points.reverse()
            corners = {last - place for place in corners}
        if self.part.smooth and len(points) > 2:
            self._refuse_twins(stations)
            line, places = solids.smooth_outline(points, frozenset(corners))
        else:
            line, places = tuple(points), tuple(range(len(points)))
        return line, tuple(reversed(places)) if self.part.opens_down else places

    def _refuse_twins(self, stations: Mapping[str, Station]) -> None:
        """Two neighbours in one place give a curve no direction. Raises Impossible."""
        placed = [(name, station, (self.radius_mm(station), self.canonical_height_mm(station.height))) for name, station in stations.items()]
        for (name, _, point), (other_name, other, other_point) in pairwise(placed):
            if point == other_point:
                raise Impossible(error("stations-in-one-place", other.at, f"parts.{self.name}: '{other_name}' is in the same place as '{name}', so a smooth line has no way to run between them", "take one of the two out, or move it"))

    def _inside(self, outside: Polyline, places: tuple[int, ...], underside: Polyline) -> Polyline:
        part = self.part
        if part.inside:
            inside, _ = self._line(part.inside)
            return inside if inside[0][0] == 0.0 else ((0.0, inside[0][1]), *inside)
        if part.solid:
            return ()
        centre = underside[0][1] if underside else 0.0
        floor = centre + to_stage(part.floor, self.form.stage, self.form.stage, self.body.up)
        if floor >= outside[-1][1]:
            message = f"parts.{self.name}.floor: {part.floor.typed} leaves no inside; the part is {outside[-1][1]:.4g} mm high from its closed end to its rim"
            raise Impossible(error("floor-too-thick", part.floor.at, message, "make the floor thinner"))
        try:
            return solids.wall_inside(outside, self._walls(outside, places), floor)
        except solids.SectionError as fault:
            raise Impossible(self._section_fault(fault)) from None

    def _walls(self, outside: Polyline, places: tuple[int, ...]) -> float | tuple[float, ...]:
        def thickness(size: Size) -> float:
            return to_stage(size, self.form.stage, self.form.stage, self.body.across)

        wall = self.part.wall
        if isinstance(wall, Size):
            return thickness(wall)
        order = list(self.part.outside)
        given = {order.index(name): thickness(size) for name, size in wall.items()}
        if len(set(given.values())) == 1:
            return next(iter(given.values()))
        return solids.walls_along(outside, places, given)

    def _section_fault(self, fault: solids.SectionError) -> Problem:
        part = self.part
        size = part.wall if isinstance(part.wall, Size) else max(part.wall.values(), key=lambda wall: wall.value)
        at, typed = size.at, size.typed
        if fault.kind == "pinched":
            height = self.typed_height_mm(fault.height_mm or 0.0)
            message = f"parts.{self.name}.wall: {typed} closes the inside at about {height:.4g} mm high; the space below is cut off"
            return error("wall-closes", at, message, "make the wall thinner there, or list `inside:` stations")
        widest = max(part.outside, key=lambda name: self.radius_mm(part.outside[name]))
        across = 2.0 * self.radius_mm(part.outside[widest])
        tallest = max(self.height_mm(station.height) for station in part.outside.values())
        message = f"parts.{self.name}.wall: {typed} leaves no inside; the outside is {across:.4g} mm across at '{widest}' and {tallest:.4g} mm high, the floor {part.floor.typed}"
        hint = f"a wall is measured on one side; did you mean {size.value / 10:g} mm?" if size.value >= 10 else "make wall or floor thinner"
        return error("wall-too-thick", at, message, hint)

    def _ring_fault(self, kind: str, point: Point) -> Problem:
        height, across = self.typed_height_mm(point[1]), 2.0 * point[0]
        where = f"{height:.4g} mm high and {across:.4g} mm across"
        cause = self.part.inside or self.part.outside
        nearest = min(cause.values(), key=lambda s: abs(self.canonical_height_mm(s.height) - point[1]) + abs(self.radius_mm(s) - point[0]))
        if kind == "crosses" and (self.part.inside or self.part.underside):
            return error("outlines-cross", nearest.at, f"parts.{self.name}: the outlines cross at about {where}", "the inside has to stay inside the outside, and above the underside")
        if kind == "crosses":
            return error("outline-crosses", nearest.at, f"parts.{self.name}.outside: the outline crosses itself at about {where}", "list the stations in the order in which they follow one another, from the foot up")
        return error("no-section", self.part.at, f"parts.{self.name}: the outline encloses no clay", "give at least two stations with a diameter")
