"""One part as a solid, at any stage: as it is used and as it is thrown.

Shapes stand as thrown, closed end down at height 0; a part that opens down is turned over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from wareboard.pot import clay, solids
from wareboard.pot.solids import Polyline
from wareboard.text.kinds import Size
from wareboard.text.specs import Part

Point = tuple[float, float]


def to_stage(size: Size, unless_said: str, stage: str, scale: Callable[[str], float]) -> float:
    """A typed size at another stage: × scale(stage) / scale(the stage at which it was typed)."""
    typed_at = size.stage or unless_said
    return size.value if typed_at == stage else size.value * scale(stage) / scale(typed_at)


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
    gallery: Mapping[str, Point] = field(default_factory=dict)

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
        at_stations = {
            name: solids.radius_at(trimmed, height) or 0.0 for name, height in self._leather_hard_heights.items()
        }
        stations = {
            name: (r * across, (self._leather_hard_heights[name] + lift) * up) for name, r in at_stations.items()
        }
        return Outline(raised, inside, (), stations)

    @property
    def wall_left_on_mm(self) -> float:
        """Left on the outside when thrown, leather-hard, square to it."""
        left_on = self.part.throwing and self.part.throwing.left_on
        return (
            to_stage(left_on.wall, "leather-hard", "leather-hard", self.body.across)
            if left_on and left_on.wall
            else 0.0
        )

    @property
    def drop_mm(self) -> float:
        """Left on under the closed end when thrown, leather-hard."""
        left_on = self.part.throwing and self.part.throwing.left_on
        return (
            to_stage(left_on.floor, "leather-hard", "leather-hard", self.body.up) if left_on and left_on.floor else 0.0
        )

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
