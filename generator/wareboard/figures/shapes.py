"""One part as a solid, at any stage: as it is used and as it is thrown.

Shapes stand as thrown, closed end down at height 0; a part that opens down is turned over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field

from wareboard.figures.figure import place
from wareboard.pot import clay, solids
from wareboard.pot.feet import Foot, turned_foot
from wareboard.pot.frozen import frozen, kept_property
from wareboard.pot.outlines import as_line, as_polyline, shrunk, turned_over
from wareboard.pot.reckoning import Line, least_of, most_of, np
from wareboard.pot.solids import Polyline
from wareboard.pot.stages import STAGES
from wareboard.pot.thickness import Thinnest, distance_mm, least_wall_mm, thinnest
from wareboard.pot.thrown import reach_mm, thrown_outside, undercut_mm
from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import LeftOn, Part

Point = tuple[float, float]


def to_stage(size: Size, unless_said: str, stage: str, scale: Callable[[str], float]) -> float:
    """A typed size at another stage: × scale(stage) / scale(the stage at which it was typed)."""
    typed_at = size.stage or unless_said
    return size.value if typed_at == stage else size.value * scale(stage) / scale(typed_at)


@frozen
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

    @kept_property
    def ring(self) -> Polyline:
        """The half section: closed ring of (radius, height), out along the foot and back along the inside."""
        if not self.upside_down:
            return solids.profile_ring(self.outside, self.inside or None, self.underside)
        stood = [solids.flipped(line, self.height_mm) for line in (self.outside, self.inside, self.underside)]
        return solids.flipped(solids.profile_ring(stood[0], stood[1] or None, stood[2]), self.height_mm)


@frozen
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
    gallery: Mapping[str, Point] = field(default_factory=dict)
    _at_stages: dict[tuple[str, str], Polyline] = field(default_factory=dict, init=False, repr=False, compare=False)
    _filled: dict[float, solids.Filled] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def opens_down(self) -> bool:
        """True for a lid or a cover."""
        return self.part.opens_down

    @property
    def solid(self) -> bool:
        """True where there is no inside."""
        return not self.inside

    @kept_property
    def outline_names(self) -> tuple[str, ...]:
        """The figures of the stations that draw its outside, at the stage at which it is built."""
        return tuple(
            f"{self.name}.{station}.{end} {self.stage}"
            for station in self.part.outside
            for end in ("height", "diameter")
        )

    @kept_property
    def section_names(self) -> tuple[str, ...]:
        """What its section is drawn from: its stations, and the lines of its wall, floor, inside and underside."""
        part = self.part
        listed = [*part.inside.values(), *part.underside.values()]
        named = [
            f"{self.name}.{station.diameter} {self.stage}" for station in listed if isinstance(station.diameter, Word)
        ]
        lines = [place(typed.at) for typed in (*part.walls, part.floor, *listed) if typed]
        sizes = [*part.walls, part.floor, *(size for station in listed for size in (station.height, station.diameter))]
        stages = {size.stage for size in sizes if isinstance(size, Size) and size.stage} - {self.stage}
        return (*self.outline_names, *named, *lines, *(shrinkage_names(self, *stages) if stages else ()))

    @kept_property
    def left_on_names(self) -> tuple[str, ...]:
        """What its outline as thrown follows from beside its finished outline."""
        throwing = self.part.throwing
        left = throwing.left_on if throwing else None
        typed = [*(left.sizes if left else ()), *((throwing.stub,) if throwing and throwing.stub else ())]
        return (*(place(size.at) for size in typed), *(shrinkage_names(self, "leather-hard") if typed else ()))

    @kept_property
    def ring(self) -> Polyline:
        """The half section at the form's own stage."""
        return solids.profile_ring(self.outside, self.inside or None, self.underside)

    @kept_property
    def used_ring(self) -> Line:
        """The same as an array, standing as it is used."""
        ring = as_line(self.ring)
        return turned_over(ring, self.highest_mm) if self.opens_down else ring

    @kept_property
    def used_span_mm(self) -> tuple[float, float]:
        """Its lowest and its highest point, standing as it is used."""
        low, high = self.lowest_mm, self.highest_mm
        return (0.0, high - low) if self.opens_down else (low, high)

    @kept_property
    def foot(self) -> Foot | None:
        """Its turned foot at the form's own stage."""
        return turned_foot(self.outside, self.underside, self.inside) if self.underside else None

    @kept_property
    def solid_of_clay(self) -> solids.Solid:
        """Clay in the finished section at the form's own stage, and where its centre of mass is."""
        return solids.revolved_solid(self.ring)

    @property
    def volume_mm3(self) -> float:
        """Clay in the finished section at the form's own stage."""
        return self.solid_of_clay.volume_mm3

    @kept_property
    def thinnest(self) -> Thinnest:
        """Where the clay is thinnest, base and all, at the form's own stage."""
        return thinnest(self.outside, self.inside, self.underside)

    @kept_property
    def least_wall_mm(self) -> float:
        """The wall at its thinnest, whatever the base does."""
        found = self.thinnest
        in_wall = not self.underside and found.outside[1] > self.foot_mm + 1e-6
        return found.thickness_mm if in_wall else least_wall_mm(self.outside, self.inside)

    @kept_property
    def widest_mm(self) -> float:
        """Radius of the outside at its widest."""
        return most_of(as_line(self.outside)[:, 0])

    @kept_property
    def highest_mm(self) -> float:
        """The highest point, standing as thrown."""
        return max(most_of(as_line(line)[:, 1]) for line in (self.outside, self.inside) if line)

    @kept_property
    def lowest_mm(self) -> float:
        """The lowest point, outside or under the foot, standing as thrown."""
        return min(least_of(as_line(line)[:, 1]) for line in (self.outside, self.underside) if line)

    def scale(self, stage: str) -> tuple[float, float]:
        """Across and up from the form's own stage to another."""
        return self._scales[stage]

    @kept_property
    def _scales(self) -> dict[str, tuple[float, float]]:
        body = self.body
        across, up = body.across(self.stage), body.up(self.stage)
        return {stage: (body.across(stage) / across, body.up(stage) / up) for stage in STAGES}

    def volume_scale(self, stage: str) -> float:
        """Volume at a stage over that at the form's own."""
        across, up = self.scale(stage)
        return across * across * up

    def scaled(self, line: Polyline, stage: str) -> Polyline:
        """A line of the shape at another stage."""
        return line if stage == self.stage else solids.scaled(line, *self.scale(stage))

    def outside_at(self, stage: str) -> Polyline:
        """The finished outside at a stage, standing as thrown."""
        return self._at("outside", stage)

    def inside_at(self, stage: str) -> Polyline:
        """The inside at a stage, standing as thrown."""
        return self._at("inside", stage)

    def _at(self, line: str, stage: str) -> Polyline:
        if (line, stage) not in self._at_stages:
            self._at_stages[line, stage] = self.scaled(getattr(self, line), stage)
        return self._at_stages[line, stage]

    def filled_to(self, level_mm: float) -> solids.Filled:
        """What it holds fired, to a level above the foot at its form's own stage, or to its lip, where that is lower."""
        if level_mm not in self._filled:
            inside = self.inside_at("fired")
            self._filled[level_mm] = solids.filled_to(inside, min(level_mm * self.scale("fired")[1], inside[-1][1]))
        return self._filled[level_mm]

    def finished(self, stage: str) -> Outline:
        """The trimmed part at a stage, standing as it is used: a lid's tip is at height 0."""
        outside, inside, underside = (self._at(line, stage) for line in ("outside", "inside", "underside"))
        stations = {name: outside[place] for name, place in self.station_places.items()}
        if not self.opens_down:
            return Outline(outside, inside, underside, stations)
        height = self.highest_mm * self.scale(stage)[1]
        outside, inside, underside = (solids.flipped(line, height) for line in (outside, inside, underside))
        return Outline(
            outside, inside, underside, {name: (r, height - z) for name, (r, z) in stations.items()}, True, height
        )

    def thrown(self, stage: str = "wet") -> Outline:
        """The part as thrown, with what trimming takes off; standing as thrown, closed end down."""
        body, outside = self.body, self._thrown_outside
        across = body.across(stage) / body.across("leather-hard")
        up = body.up(stage) / body.up("leather-hard")
        lift = -outside[0][1]
        raised = as_polyline(shrunk(as_line(outside) + (0.0, lift), across, up))
        inside = (
            as_polyline(shrunk(as_line(self._leather_hard_inside) + (0.0, lift), across, up)) if self.inside else ()
        )
        return Outline(raised, inside, (), {name: self.thrown_at(name, stage) for name in self.station_places})

    def thrown_at(self, station: str, stage: str = "wet") -> Point:
        """A station of the part as thrown: how far out, and how high above what it stands on."""
        body, place = self.body, self.station_places[station]
        across = body.across(stage) / body.across("leather-hard")
        up = body.up(stage) / body.up("leather-hard")
        height = self._leather_hard_outside[place][1] - self._thrown_outside[0][1]
        return self.thrown_reach_mm(station) * across, height * up

    def thrown_reach_mm(self, station: str) -> float:
        """Radius of the outside as thrown at a station's level, leather-hard."""
        place = self.station_places[station]
        outside = self._leather_hard_outside
        reach = reach_mm(outside, place, self.left_on_mm.item(place))
        height = outside[place][1]
        if self._solid_to_mm is not None and height < self._solid_to_mm:
            reach = max(reach, solids.radius_at(self._thrown_outside, height) or 0.0)
        return reach

    @kept_property
    def left_on_mm(self) -> Line:
        """Left on each point of the outside when thrown, leather-hard, square to it."""
        left_on = self._left_on
        if left_on is None or left_on.wall is None:
            return np.zeros(len(self.outside))
        across = self.body.across
        if isinstance(left_on.wall, Size):
            return np.full(len(self.outside), to_stage(left_on.wall, "leather-hard", "leather-hard", across))
        names = list(self.station_places)
        given = {names.index(name): to_stage(size, "leather-hard", "leather-hard", across) for name, size in left_on.walls.items()}  # fmt: skip
        places = tuple(self.station_places.values())
        return solids.walls_along(self._leather_hard_outside, places, given)

    @kept_property
    def most_left_on_mm(self) -> float:
        """The most that is left on anywhere on the outside, leather-hard, a side."""
        return most_of(self.left_on_mm)

    def left_on_caliper_mm(self, caliper: str) -> float:
        """Left on where a caliper size is measured, leather-hard, a side; at its fullest where the size is at several stations."""
        typed = self.part.calipers[caliper]
        places = [
            self.station_places[name] for name, station in self.part.outside.items() if station.diameter == caliper
        ]
        if not places and str(typed.level) in self.station_places:
            places = [self.station_places[str(typed.level)]]
        return max((self.left_on_mm.item(place) for place in places), default=self.most_left_on_mm)

    def station_of_caliper(self, caliper: str) -> str | None:
        """The station of the outside at whose level a caliper size is measured, or whose diameter it is."""
        level = str(self.part.calipers[caliper].level)
        if level in self.station_places:
            return level
        return next((str(name) for name, station in self.part.outside.items() if station.diameter == caliper), None)

    @property
    def drop_mm(self) -> float:
        """Left on under the closed end when thrown, leather-hard."""
        left_on = self._left_on
        return (
            to_stage(left_on.floor, "leather-hard", "leather-hard", self.body.up) if left_on and left_on.floor else 0.0
        )

    @property
    def _left_on(self) -> LeftOn | None:
        return self.part.throwing.left_on if self.part.throwing else None

    @kept_property
    def stub_mm(self) -> float | None:
        """Radius of the solid stub that is typed for the closed end, leather-hard."""
        stub = self.part.throwing.stub if self.part.throwing else None
        return to_stage(stub, "leather-hard", "leather-hard", self.body.across) / 2.0 if stub else None

    @kept_property
    def solid_to_mm(self) -> float:
        """The level up to which there is clay to the axis, standing as thrown, leather-hard."""
        up = self.scale("leather-hard")[1]
        if self.inside:
            return least_of(as_line(self.inside)[:, 1]) * up
        outside = as_line(self.outside)
        return outside.item(int(outside[:, 0].argmax()), 1) * up

    @property
    def is_stub_worked_out(self) -> bool:
        """Whether its closed end is thrown wider than it is left on, so that knob or stem can be turned from it."""
        if self._solid_to_mm is None or self.stub_mm is not None:
            return False
        return undercut_mm(self._leather_hard_outside, self._solid_to_mm)[0] > 0.0

    @property
    def _solid_to_mm(self) -> float | None:
        """The same where it is turned when the part is the right way up, so that it is thrown without an undercut."""
        turned = self.stub_mm is not None or (self.opens_down and (self.drop_mm > 0.0 or self.most_left_on_mm > 0.0))
        return self.solid_to_mm if turned else None

    @kept_property
    def _leather_hard_outside(self) -> Polyline:
        return self.outside_at("leather-hard")

    @kept_property
    def _leather_hard_inside(self) -> Polyline:
        return self.inside_at("leather-hard")

    @kept_property
    def _thrown_outside(self) -> Polyline:
        return thrown_outside(
            self._leather_hard_outside, self.left_on_mm, self.drop_mm,
            lowest_mm=self.lowest_mm * self.scale("leather-hard")[1], solid_to_mm=self._solid_to_mm, stub_radius_mm=self.stub_mm,
        )  # fmt: skip

    @kept_property
    def thrown_floor_mm(self) -> float | None:
        """Clay under the needle at the centre of the inside, as thrown, leather-hard."""
        if not self.inside:
            return None
        return self.inside[0][1] * self.scale("leather-hard")[1] - self._thrown_outside[0][1]

    def is_wall_at(self, station: str) -> bool:
        """Whether there is a wall at a station: not where it is solid, nor where the closed end is."""
        inside = self._leather_hard_inside
        return bool(inside) and self._leather_hard_outside[self.station_places[station]][1] > inside[0][1]

    def thrown_wall_mm(self, station: str) -> float:
        """The wall as thrown at a station where there is one, square to it, leather-hard."""
        place = self.station_places[station]
        point, inside = self._leather_hard_outside[place], self._leather_hard_inside
        wall = distance_mm(point, inside)
        if place == len(self.outside) - 1:  # a leaning wall is cut level at its rim
            wall = min(wall, distance_mm(inside[-1], self._leather_hard_outside))
        return wall + self.left_on_mm.item(place)

    @kept_property
    def undercut_mm(self) -> tuple[float, Point]:
        """How far solid clay as thrown comes in above a wider place, and where, leather-hard."""
        return undercut_mm(self._thrown_outside, self.solid_to_mm)

    @kept_property
    def thrown_volume_mm3(self) -> float:
        """Clay as thrown, at wet."""
        inside = self._leather_hard_inside
        ring = solids.profile_ring(self._thrown_outside, inside or None)
        return solids.revolved_volume_mm3(ring) / self.body.volume_scale("leather-hard")


# ---- where a figure of it comes from, as inputs name it ----


def shrinkage_names(shape: Shape, *stages: str) -> list[str]:
    """The shrinkage figures that bring a part from the stage at which it is built to others."""
    return [f"clay.shrinkage.height {stage}" for stage in STAGES[1:] if stage in (shape.stage, *stages)]
