"""The typed spec of a part: its outlines, wall, what is thrown, trimmed and added."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

from wareboard.pot.frozen import frozen
from wareboard.text.catalogue import reserved
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import ByName, Choice, Flag, Size, Word
from wareboard.text.phrases import (
    Bare,
    BareText,
    Caliper,
    CaliperText,
    SizeOr,
    StationName,
)
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key
from wareboard.text.sizekinds import LOSS, STAGED, THICKNESS, WEIGHT, Measure
from wareboard.text.studio_specs import Tolerances

MOST_STATIONS = 400


@frozen
class Station:
    """One named place on an outline."""

    at: Position
    height: Size = key(
        STAGED,
        "above the foot (above the tip, for a part that opens down)",
        example="120",
        required=True,
        also=("up", "level", "above", "high"),
    )
    diameter: Size | Word = key(
        SizeOr(STAGED, names="the name of one of the part's calipers"),
        "across, or the name of one of the part's calipers",
        example="80",
        required=True,
        also=("width", "across", "wide", "dia", "diam"),
        half=("radius",),
    )
    corner: bool | None = key(Flag(), "stays sharp in a smooth line", example="true", unless_given="false")


LEFT = Measure("length", most=100.0, staged=True)


def _by_station(wall: Size | ByName[Size] | Word | None) -> ByName[Size]:
    """A wall's sizes by station; empty where it is one everywhere, none, or still to be solved."""
    sizes: Any = {} if wall is None or isinstance(wall, (Size, Word)) else wall
    return cast(ByName[Size], sizes)


@frozen
class LeftOn:
    """What is left on when throwing and trimmed away later; leather-hard unless a stage is said."""

    wall: Size | ByName[Size] | None = key(
        Either(LEFT, MapOf(LEFT, "station", most=MOST_STATIONS)),
        "on the outside, measured square to it, or by station; a rim that nobody trims has 0",
        example="{foot: 2, belly: 1, rim: 0}",
        unless_given="nothing",
    )
    floor: Size | None = key(
        Measure("length", most=200.0, staged=True), "under the closed end", example="3", unless_given="nothing"
    )

    @property
    def walls(self) -> ByName[Size]:
        """What is left on by station; empty where it is one size everywhere."""
        return _by_station(self.wall)

    @property
    def sizes(self) -> tuple[Size, ...]:
        """Every size that is typed here."""
        walls = (self.wall,) if isinstance(self.wall, Size) else tuple(self.walls.values())
        return (*walls, self.floor) if self.floor else walls


@frozen
class Throwing:
    """How the part is thrown."""

    loss: Size | None = key(
        LOSS,
        "share of the ball that does not end in the pot: slip, skim, wired-off skin",
        example="6 %",
        unless_given="nothing",
        also=("waste", "lost"),
    )
    left_on: LeftOn | None = key(
        Nested(LeftOn), "what trimming takes away later", also=("allowance", "trimming", "turning")
    )
    stub: Size | None = key(
        STAGED,
        "across the solid stub that the closed end is thrown on, and that knob or stem is turned from; leather-hard unless a stage is said",
        example="30",
        unless_given="no narrower than what has to be turned from it",
    )
    ball: Size | None = key(
        WEIGHT,
        "the ball that the maker uses today; compared with the derived one",
        example="420 g",
        also=("weight", "clay"),
    )
    gauge_at: tuple[Word, ...] = key(
        ListOf(StationName(), or_one=True),
        "station or stations at which the pointer is set",
        example="rim",
        unless_given="the rim",
        default=(),
    )


# Of a strap: none is without length, width or thickness.
STRAP = replace(STAGED, above=True)


@frozen
class TwoEnds:
    """A size at the upper end and at the lower; it changes evenly between them."""

    at: Position
    top: Size = key(STRAP, "where its top joins", example="30", required=True)
    bottom: Size = key(STRAP, "where its bottom joins", example="22", required=True)


@frozen
class Strap:
    """A pulled handle: how long along its middle line, how wide and how thick."""

    at: Position
    length: Size = key(STRAP, "along its middle line", example="190 mm", required=True)
    width: Size | TwoEnds = key(
        Either(STRAP, Nested(TwoEnds)), "across, or at both ends", example="{top: 30, bottom: 22}", required=True
    )
    thickness: Size | TwoEnds = key(
        Either(STRAP, Nested(TwoEnds)),
        "from inside to outside, or at both ends",
        example="{top: 10, bottom: 7}",
        required=True,
    )
    section: Word | None = key(
        Choice(("flat", "oval", "round")), "how it is cut across", example="oval", unless_given="oval"
    )


@frozen
class Extra:
    """Clay that is added: a handle, a spout, a knob. Its weight is given, or follows from its strap."""

    at: Position
    clay: Size | None = key(
        WEIGHT, "its weight, wet; compared with what the strap weighs, where both are given", example="45 g"
    )
    strap: Strap | None = key(
        Nested(Strap), "a pulled strap",
        example="{length: 190 mm, width: {top: 30, bottom: 22}, thickness: {top: 10, bottom: 7}}",
    )  # fmt: skip
    joined: Size | Word | None = key(
        SizeOr(STAGED, names="a station"),
        "height on the outside where its top joins; a station or a size",
        example="105",
        typed="from",
    )
    to: Size | Word | None = key(
        SizeOr(STAGED, names="a station"),
        "height on the outside where its bottom joins; a station or a size",
        example="40",
    )
    reach: Size | None = key(STAGED, "from the pot's outside to its own outermost", example="42")


@frozen
class Gallery:
    """A ledge for a lid, let into a vessel's wall below its rim; short for the stations that make it."""

    at: Position
    depth: Size = key(THICKNESS, "from the rim down to the ledge", example="12", required=True)
    width: Size = key(THICKNESS, "how far the ledge comes in from the wall", example="5", required=True)


@frozen
class FootRing:
    """A turned foot ring; short for the stations of an underside."""

    at: Position
    ring: Size | None = key(THICKNESS, "across the ring, outside", example="60", unless_given="the foot's diameter")
    width: Size = key(THICKNESS, "how wide the ring is", example="6", required=True)
    recess: Size = key(
        THICKNESS, "how deep the recess within it is", example="5", required=True, also=("depth", "deep", "hollow")
    )


STATIONS = MapOf(Nested(Station), "station", reserved("S"), most=MOST_STATIONS)
SOLVED = "solved"
SOLVABLE = SizeOr(THICKNESS, (SOLVED,))
WALLS = Either(SOLVABLE, MapOf(THICKNESS, "station", most=MOST_STATIONS))


@frozen
class Part:
    """One part of a form: a jar, a lid, a cup."""

    at: Position
    opens: Word | None = key(
        Choice(("up", "down")), "`up` for a vessel, `down` for a lid or a cover", example="up", unless_given="up"
    )
    outside: ByName[Station] = key(STATIONS, "the outside outline, station by station, from the foot up", required=True)
    line: Word | None = key(
        Choice(("straight", "smooth")),
        "`straight` between stations, or `smooth`: a fair curve through them",
        example="straight",
        unless_given="straight",
    )
    wall: Size | ByName[Size] | Word | None = key(
        WALLS,
        "thickness measured square to the surface, or by station; `solved`: so that `weighs` or `holds` comes out",
        example="4",
        also=("thickness", "walls", "wall thickness"),
    )
    floor: Size | Word | None = key(
        SOLVABLE,
        "thickness of the closed end at its centre; `solved`: 5/4 of a wall that is solved",
        example="5",
        also=("base", "bottom", "floor thickness"),
    )
    inside: ByName[Station] = key(STATIONS, "the inside outline, instead of wall and floor", default={})
    underside: ByName[Station] = key(STATIONS, "a turned foot's recess, from the centre out", default={})
    gallery: Gallery | None = key(
        Nested(Gallery), "a ledge for a lid, below the rim of a wall", example="{depth: 12, width: 5}"
    )
    foot: FootRing | None = key(
        Nested(FootRing), "a turned foot ring, instead of an underside", example="{ring: 60, width: 6, recess: 5}"
    )
    fill_to: Size | Word | None = key(
        SizeOr(STAGED, names="a station"), "the level to which it is filled", example="rim", unless_given="the rim"
    )
    holds: Size | None = key(
        Measure("volume", above=True, staged=True),
        "what it is meant to hold, up to `fill_to`; compared with the derived capacity. Fired unless a stage is said",
        example="350 ml",
        also=("capacity", "volume"),
    )
    weighs: Size | None = key(
        Measure("mass", most=200_000.0, above=True, staged=True),
        "what it weighs, with what is added to it, and fired in its glaze; compared with the derived weight. Fired unless a stage is said",
        example="244 g fired",
        also=("weight", "mass"),
    )
    bare: tuple[Bare, ...] = key(
        ListOf(BareText(), or_one=True),
        "what is left without glaze; the base always is",
        example="foot to bevel",
        unless_given="none",
        default=(),
        also=("unglazed", "waxed", "wax"),
    )
    calipers: ByName[Caliper] = key(
        MapOf(CaliperText(), "size", reserved("C") | {"fit"}),
        "sizes that are set with calipers",
        example="{mouth: inside rim}",
        default={},
        also=("callipers", "sizes"),
    )
    throwing: Throwing | None = key(Nested(Throwing), "how it is thrown")
    tolerances: Tolerances | None = key(
        Nested(Tolerances), "how far out this part may be, before the form's and the studio's"
    )
    extras: ByName[Extra] = key(
        MapOf(Nested(Extra, short="clay"), "extra", reserved("E")),
        "added clay; counts in weight, not in the section",
        example="{handle: 45 g}",
        default={},
    )

    @property
    def opens_down(self) -> bool:
        """True for a lid or a cover."""
        return self.opens == "down"

    @property
    def wall_by_station(self) -> ByName[Size]:
        """Its wall by station; empty where it is one everywhere, or has none."""
        return _by_station(self.wall)

    @property
    def walls(self) -> tuple[Size, ...]:
        """Every thickness of its wall that is typed."""
        return (self.wall,) if isinstance(self.wall, Size) else tuple(self.wall_by_station.values())

    @property
    def floor_size(self) -> Size | None:
        """Its floor, once it is a size."""
        return self.floor if isinstance(self.floor, Size) else None

    @property
    def closed_station(self) -> str:
        """The station at its closed end: a vessel's foot, a lid's top."""
        return str(list(self.outside)[-1 if self.opens_down else 0])

    @property
    def open_station(self) -> str:
        """The station at its open end: a vessel's rim, a lid's tip."""
        return str(list(self.outside)[0 if self.opens_down else -1])

    @property
    def gauge_stations(self) -> tuple[str, ...]:
        """The stations at which the pointer is set: the maker's, else the open end."""
        asked = tuple(map(str, self.throwing.gauge_at)) if self.throwing else ()
        return asked or (self.open_station,)

    @property
    def smooth(self) -> bool:
        """True where a fair curve runs through the stations."""
        return self.line == "smooth"

    @property
    def solid(self) -> bool:
        """True for a part that has no inside."""
        return self.wall is None and self.floor is None and not self.inside
