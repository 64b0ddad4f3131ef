"""Parts built as they are asked for: every typed size brought to one stage, calipers and fits followed, outlines drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import NamedTuple, TypeVar

from wareboard.figures.resolve import FitSide, Resolver
from wareboard.figures.saying import meant, say
from wareboard.figures.shapes import Point, Shape, to_stage
from wareboard.pot import clay, fits, solids
from wareboard.pot.measured import with_gallery
from wareboard.pot.outlines import as_line, as_polyline
from wareboard.pot.reckoning import Line, np
from wareboard.pot.solids import Polyline
from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import Part, Station
from wareboard.text.phrases import Caliper
from wareboard.text.problems import Impossible, Position, Problem, error
from wareboard.text.projects import Project
from wareboard.text.slips import far_off
from wareboard.text.specs import Form

Made = TypeVar("Made")


class Shaper:
    """Builds parts when they are asked for: a fit may take a size from another part, even of another form."""

    def __init__(self, project: Project, *, as_used: bool = False) -> None:
        self.resolver = Resolver(project)
        self.as_used = as_used  # it is not looked whether parts can be thrown
        self._shapes: dict[tuple[str, str], Shape | Impossible] = {}
        self._calipers_mm: dict[tuple[str, str, str], float] = {}
        self._open: list[tuple[str, ...]] = []

    def body(self, form: Form) -> clay.Body:
        """The clay of a form. Raises Impossible."""
        return self.resolver.body(form)

    def shape(self, form: Form, name: str) -> Shape:
        """A part of a form. Raises Impossible."""
        wanted = (form.slug, str(name))
        if wanted not in self._shapes:
            try:
                self._shapes[wanted] = self._followed(
                    wanted, form.parts[name].at, lambda: _Builder(self, form, name).shape()
                )
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
        if isinstance(spec.level, Size):
            return to_stage(spec.level, form.stage, stage, body.across)
        wanted = (form.slug, str(name), str(caliper))
        if wanted not in self._calipers_mm:
            self._calipers_mm[wanted] = self._followed(
                wanted,
                spec.at,
                lambda: self._set_by_fit(form, name, caliper) if spec.from_fit else self.measured_mm(form, name, spec),
            )
        found = self._calipers_mm[wanted]
        return found * body.across(stage) if spec.from_fit else found * body.across(stage) / body.across(form.stage)

    def side(self, side: FitSide) -> fits.Side:
        """One side of a fit, with its diameter back at wet. Raises Impossible."""
        wet_mm = self.caliper_mm(side.owner, side.size.part, side.size.caliper, "wet")
        return fits.Side(wet_mm, side.body, side.spreads.values)

    def _set_by_fit(self, form: Form, name: str, caliper: str) -> float:
        fit, way = self.resolver.fit_setting(form, name, caliper)
        aim = fit.spec.clearance.aim
        given = self.side(fit.outside if way == "inside" else fit.inside)
        worked_out = fits.inside_for_aim_mm if way == "inside" else fits.outside_for_aim_mm
        try:
            return worked_out(given, self.body(form), aim.value, fit.spec.stage, fit.films_mm)
        except ValueError as fault:
            message = f"fits.{fit.name}.clearance: {fault}"
            raise Impossible(error("fit-leaves-nothing", aim.at, message, "look at the aim and its unit")) from None

    def measured_mm(self, form: Form, name: str, caliper: Caliper) -> float:
        """A diameter measured at a station's level, at the form's own stage. Raises Impossible."""
        part, level = form.parts[name], str(caliper.level)
        listed = part.inside if caliper.side == "inside" else part.outside
        builder = _Builder(self, form, name)
        if level in listed:
            return 2.0 * builder.radius_mm(listed[level])
        shape = self.shape(form, name)
        if level in shape.gallery:
            return 2.0 * shape.gallery[level][0]
        height = builder.canonical_height_mm((part.outside.get(level) or part.inside[level]).height)
        line = shape.inside if caliper.side == "inside" else shape.outside
        radius = solids.radius_at(line, height) if line else None
        if not radius:
            where = builder.said(builder.typed_height_mm(height))
            raise Impossible(
                error(
                    "no-size-there",
                    caliper.at,
                    f"parts.{name}.calipers: there is no {caliper.side} at {level}'s level, {where}",
                    f"name a station where there is one, or give the size: `{caliper.side} 71`",
                )
            )
        return 2.0 * radius

    def _followed(self, wanted: tuple[str, ...], at: Position, work: Callable[[], Made]) -> Made:
        if wanted in self._open:
            trail = [".".join(step[1:]) for step in self._open[self._open.index(wanted) :]]
            circle = (
                f"these sizes set one another in a circle: {' ← '.join([*trail, trail[0]])}"
                if len(trail) > 1
                else f"{trail[0]} follows from itself"
            )
            raise Impossible(
                error("circular-fit", at, circle, "give one of the sizes that it follows from as a number")
            )
        self._open.append(wanted)
        try:
            return work()
        finally:
            self._open.pop()


class _Slip(NamedTuple):
    """A size that was surely meant otherwise, and what to say of it."""

    at: Position
    hint: str


class _Builder:
    """Builds one part's shape at its form's stage."""

    def __init__(self, shaper: Shaper, form: Form, name: str):
        self.shaper, self.form, self.name = shaper, form, str(name)
        self.part: Part = form.parts[name]
        self.body = shaper.body(form)
        self.gallery: dict[str, Point] = {}
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

    def said(self, length_mm: float) -> str:
        """A length as a message says it, in the studio's unit."""
        return say(self.shaper.resolver.project.studio, length_mm, "mm", 4)

    def radius_mm(self, station: Station) -> float:
        """A station's radius at the form's stage."""
        if isinstance(station.diameter, Word):
            return self.shaper.caliper_mm(self.form, self.name, str(station.diameter), self.form.stage) / 2.0
        return to_stage(station.diameter, self.form.stage, self.form.stage, self.body.across) / 2.0

    def shape(self) -> Shape:
        """The part, built and looked over."""
        part = self.part
        (outside, places), (listed, _), (underside, _) = self._lines(part.outside, part.inside, part.underside)
        inside = self._inside(outside, places, listed, underside)
        names: dict[str, int] = dict(zip(map(str, part.outside), places))
        shape = Shape(
            self.name,
            part,
            self.body,
            self.form.stage,
            outside,
            inside,
            underside,
            names,
            outside[0][1],
            outside[-1][1],
            self.gallery,
        )
        within = bool(inside) and not underside and solids.surely_within(inside, outside)
        fault = None if within else solids.ring_problem(shape.ring)
        if fault:
            raise Impossible(self._ring_fault(*fault))
        if self.shaper.as_used:
            return shape
        try:
            _ = shape.thrown_volume_mm3
        except solids.SectionError:
            raise Impossible(self._folds(self.part.at, "outside")) from None
        return shape

    def _lines(self, *listed: Mapping[Word, Station]) -> list[tuple[Polyline, tuple[int, ...]]]:
        """Lists of stations as outlines, closed end first, and where each station lies in them; of an empty one nothing."""
        placed = [self._placed(stations) if stations else ([], frozenset[int]()) for stations in listed]
        bent = [line for line in placed if len(line[0]) > 2] if self.part.smooth else []
        try:
            drawn = iter(solids.smooth_outlines(bent)) if bent else None
        except ValueError:
            raise self._twins(listed) from None
        found: list[tuple[Polyline, tuple[int, ...]]] = []
        for points, _ in placed:
            if drawn is not None and len(points) > 2:
                outline, places = next(drawn)
            else:
                outline, places = as_polyline(points) if points else (), tuple(range(len(points)))
            found.append((outline, places[::-1] if self.part.opens_down else places))
        return found

    def _placed(self, stations: Mapping[Word, Station]) -> tuple[list[Point], frozenset[int]]:
        """Stations as points, closed end first, and which of them are corners."""
        listed = list(stations.values())
        if self.part.opens_down:
            listed.reverse()
        points = [(self.radius_mm(station), self.canonical_height_mm(station.height)) for station in listed]
        return points, frozenset(place for place, station in enumerate(listed) if station.corner)

    def _twins(self, listed: tuple[Mapping[Word, Station], ...]) -> Impossible:
        """Two neighbours are in one place, which gives a curve no direction."""
        placed = [
            [
                (name, station, (self.radius_mm(station), self.canonical_height_mm(station.height)))
                for name, station in stations.items()
            ]
            for stations in listed if len(stations) > 2
        ]  # fmt: skip
        name, other_name, other = next(
            (name, other_name, other) for line in placed for (name, _, point), (other_name, other, other_point) in pairwise(line) if point == other_point
        )  # fmt: skip
        return Impossible(
            error(
                "stations-in-one-place",
                other.at,
                f"parts.{self.name}: '{other_name}' is in the same place as '{name}', so a smooth line has no way to run between them",
                "take one of the two out, or move it",
            )
        )

    def _inside(self, outside: Polyline, places: tuple[int, ...], listed: Polyline, underside: Polyline) -> Polyline:
        part = self.part
        if listed:
            if listed[0][0] == 0.0:
                return listed
            return as_polyline(np.concatenate([[(0.0, listed[0][1])], as_line(listed)]))
        typed = part.floor_size
        if typed is None:
            return ()
        centre = underside[0][1] if underside else 0.0
        floor = centre + to_stage(typed, self.form.stage, self.form.stage, self.body.up)
        if floor >= outside[-1][1]:
            message = f"parts.{self.name}.floor: {typed.typed} leaves no inside; the part is {self.said(outside[-1][1])} high from its closed end to its rim"
            raise Impossible(error("floor-too-thick", typed.at, message, "make the floor thinner"))
        try:
            inside = solids.wall_inside(outside, self._walls(outside, places), floor)
        except solids.SectionError as fault:
            crossing = solids.ring_problem(solids.profile_ring(outside, None, underside))
            problem = (
                self._ring_fault(*crossing) if fault.kind == "crosses" and crossing else self._section_fault(fault)
            )
            raise Impossible(problem) from None
        return as_polyline(self._with_gallery(inside)) if part.gallery else inside

    def _with_gallery(self, inside: Polyline) -> Polyline:
        """The inside with its ledge let in; the ledge's own sizes are kept. Raises Impossible."""
        gallery, stage = self.part.gallery, self.form.stage
        assert gallery is not None
        depth = to_stage(gallery.depth, stage, stage, self.body.up)
        width = to_stage(gallery.width, stage, stage, self.body.across)
        try:
            ledged = with_gallery(inside, depth, width)
        except ValueError:
            message = f"parts.{self.name}.gallery: there is no room for a ledge {gallery.depth.typed} down and {gallery.width.typed} wide"
            raise Impossible(
                error("no-room-for-gallery", gallery.at, message, "make it narrower, or not so deep")
            ) from None
        seat = inside[-1][1] - depth
        place = next(
            k for k, point in enumerate(ledged) if abs(point[1] - seat) < 1e-9 and ledged[k + 1][1] == point[1]
        )
        self.gallery = {"ledge": ledged[place], "gallery": ledged[place + 1]}
        return ledged

    def _walls(self, outside: Polyline, places: tuple[int, ...]) -> float | Line:
        def thickness(size: Size) -> float:
            return to_stage(size, self.form.stage, self.form.stage, self.body.across)

        wall = self.part.wall
        if isinstance(wall, Size):
            return thickness(wall)
        order = list(self.part.outside)
        given = {order.index(name): thickness(size) for name, size in self.part.wall_by_station.items()}
        if len(set(given.values())) == 1:
            return next(iter(given.values()))
        return solids.walls_along(outside, places, given)

    def _section_fault(self, fault: solids.SectionError) -> Problem:
        part = self.part
        size = max(part.walls, key=lambda wall: wall.value)
        at, typed = size.at, size.typed
        if fault.kind == "folded":
            return self._folds(at, "wall")
        if slip := self._slip():
            at = slip.at
        if fault.kind == "pinched":
            height = self.typed_height_mm(fault.height_mm or 0.0)
            message = f"parts.{self.name}.wall: {typed} closes the inside at about {self.said(height)} high; the space below is cut off"
            hint = slip.hint if slip else "make the wall thinner there, or list `inside:` stations"
            return error("wall-closes", at, message, hint)
        widest = max(part.outside, key=lambda name: self.radius_mm(part.outside[name]))
        across = 2.0 * self.radius_mm(part.outside[widest])
        tallest = max(self.height_mm(station.height) for station in part.outside.values())
        message = f"parts.{self.name}.wall: {typed} leaves no inside; the outside is {self.said(across)} across at '{widest}' and {self.said(tallest)} high, the floor {part.floor_size.typed if part.floor_size else 0}"
        hint = (
            slip.hint
            if slip
            else (
                f"a wall is measured on one side; {meant(size, 1.0, 25.0)}"
                if size.value >= 10
                else "make wall or floor thinner"
            )
        )
        return error("wall-too-thick", at, message, hint)

    def _slip(self) -> _Slip | None:
        """The one size that is far from those beside it, which is why an outline can't be built; None where none is, or several."""
        found = [
            _Slip(size.at, f"{station}'s {key} is {said}; did you mean `{meant}`?")
            for stations in (self.part.outside, self.part.inside)
            for station, key, size, said, meant in far_off(stations, at_ends=True)
        ]
        return found[0] if len(found) == 1 else None

    def _folds(self, at: Position, where: str) -> Problem:
        message = f"parts.{self.name}.{where}: the outside turns to and fro so often that no wall can be laid along it"
        return error("too-folded", at, message, "list fewer stations")

    def _ring_fault(self, kind: str, point: Point) -> Problem:
        height, across = self.typed_height_mm(point[1]), 2.0 * point[0]
        where = f"{self.said(height)} high and {self.said(across)} across"
        cause = self.part.inside or self.part.outside
        nearest = min(
            cause.values(),
            key=lambda s: abs(self.canonical_height_mm(s.height) - point[1]) + abs(self.radius_mm(s) - point[0]),
        )
        slip = self._slip()
        at = slip.at if slip else nearest.at
        if kind == "crosses" and (self.part.inside or self.part.underside):
            return error(
                "outlines-cross",
                at,
                f"parts.{self.name}: the outlines cross at about {where}",
                slip.hint if slip else "the inside has to stay inside the outside, and above the underside",
            )
        if kind == "crosses":
            return error(
                "outline-crosses",
                at,
                f"parts.{self.name}.outside: the outline crosses itself at about {where}",
                slip.hint
                if slip
                else "list the stations in the order in which they follow one another, from the foot up",
            )
        return error(
            "no-section",
            self.part.at,
            f"parts.{self.name}: the outline encloses no clay",
            "give at least two stations with a diameter",
        )
