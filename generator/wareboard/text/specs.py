"""The typed specs: what a maker writes, key by key. The reader, the JSON Schema and the reference all come from here."""

from __future__ import annotations

import datetime
from typing import Any, cast

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import reserved
from wareboard.text.kinds import (
    ByName,
    Choice,
    Day,
    Either,
    Flag,
    ListOf,
    MapOf,
    Measure,
    Name,
    Notes,
    Prose,
    Size,
    Slug,
    Whole,
    Word,
)
from wareboard.text.order_specs import (
    CONFIDENCE,
    TIME,
    Bucket,
    ClayStock,
    Costs,
    Days,
    Prop,
    Stacking,
)
from wareboard.text.phrases import (
    STAGED,
    Accepted,
    Bare,
    BareText,
    Caliper,
    CaliperText,
    Measured,
    MeasuredLine,
    PartSize,
    PartSizeText,
    ShareOr,
    SizeOr,
    StationName,
)
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key
from wareboard.text.weighings import Coat, CoatOf, PintWeight, WaterShare

# What potters call a stage, that is no stage's own word.
SAID_STAGES = (
    ("plastic", "wet"), ("thrown", "wet"), ("leatherhard", "leather-hard"), ("cheese-hard", "leather-hard"), ("bone dry", "dry"),
    ("greenware", "dry"), ("green", "dry"), ("biscuit", "bisque"), ("glazed", "fired"), ("glaze fired", "fired"), ("finished", "fired"),
)  # fmt: skip
MOST_STATIONS, MOST_PARTS, MOST_STEPS = 400, 50, 200
LENGTH = Measure("length", most=3000.0)
THICKNESS = Measure("length", most=300.0, above=True, staged=True)
SHARE = Measure("share", most=1.0)
POINTS = Measure("share", most=1.0, points=True)
SHRUNK = Measure("share", most=1.0, taken_of=("wet", "dry"))
LOSS = Measure("share", most=0.9)
WEIGHT = Measure("mass", most=200_000.0, above=True)
DENSITY = Measure("density", least=0.5, most=8.0)


# ---- the studio ----


@frozen
class Steps:
    """The finest that the maker's tools can be set to."""

    scale: Size | None = key(
        Measure("mass", above=True, most=1000), "the scale's step", example="5 g", unless_given="5 g"
    )
    ruler: Size | None = key(
        Measure("length", above=True, most=50), "the metric ruler's step", example="0.5 mm", unless_given="0.5 mm"
    )
    inch: Size | None = key(
        Measure("length", above=True, most=50), "the inch ruler's step", example="1/32 in", unless_given="1/32 in"
    )


@frozen
class Boards:
    """The ware boards that pots stand on."""

    length: Size | None = key(LENGTH, "a board's length", example="1200 mm")
    width: Size | None = key(LENGTH, "a board's width", example="200 mm")
    gap: Size | None = key(LENGTH, "between pots on a board", example="20 mm")


@frozen
class Spreads:
    """How far pieces of a run lie apart: one standard deviation each; `from runs` when it is to be learned."""

    calipers: Size | Word | None = key(
        SizeOr(LENGTH, ("from runs",)), "of a diameter set with calipers, wet", example="0.3 mm"
    )
    trimming: Size | Word | None = key(
        SizeOr(LENGTH, ("from runs",)), "of a diameter trimmed, leather-hard", example="0.25 mm"
    )
    out_of_round: Size | Word | None = key(
        SizeOr(LENGTH, ("from runs",)), "largest minus smallest diameter of a fired piece", example="0.4 mm"
    )
    shrinkage: Size | Word | None = key(
        SizeOr(POINTS, ("from runs",)),
        "of the fired shrinkage, piece to piece, in points of the wet length",
        example="0.15 %",
    )
    drying: Size | None = key(
        POINTS,
        "of the shrinkage that comes after trimming, leather-hard to dry, in points of the wet length",
        example="0.05 %",
        unless_given="as large a part of the shrinkage's spread as of the shrinkage",
    )
    firing: Size | None = key(
        POINTS,
        "of the shrinkage in the firing, dry to fired, in points of the wet length",
        example="0.1 %",
        unless_given="as large a part of the shrinkage's spread as of the shrinkage",
    )
    weight: Size | None = key(
        SHARE, "of thrown weights, as a share of the weight", example="1.5 %", unless_given="1.5 %, common practice"
    )


@frozen
class Tolerances:
    """How far out a piece may be and still pass: what the maker accepts of nineteen in twenty."""

    height: Accepted | None = key(
        ShareOr("length"), "of a height", example="2 %", unless_given="from the spreads, else 2 %, common practice"
    )
    diameter: Accepted | None = key(
        ShareOr("length"),
        "of a width that no fit needs",
        example="1.5 %",
        unless_given="from the spreads, else 1.5 %, common practice",
    )
    wall: Accepted | None = key(
        ShareOr("length"), "of a wall or a floor", example="10 %", unless_given="10 %, common practice"
    )
    weight: Accepted | None = key(
        ShareOr("mass"), "of a piece's weight", example="4 %", unless_given="what the sizes and the wall come to"
    )
    capacity: Accepted | None = key(
        ShareOr("volume"), "of what it holds", example="5 %", unless_given="what the sizes and the wall come to"
    )


@frozen
class Losses:
    """The share of pieces that is lost at each step."""

    throwing: Size | None = key(LOSS, "of pieces thrown", example="2 %")
    trimming: Size | None = key(LOSS, "of pieces trimmed", example="4 %")
    drying: Size | None = key(LOSS, "of pieces dried", example="2 %")
    bisque: Size | None = key(LOSS, "of pieces bisque fired", example="2 %")
    glaze: Size | None = key(LOSS, "of pieces glaze fired", example="3 %")


@frozen
class Trade:
    """What holds for everything that shops are told."""

    currency: Word | None = key(Prose(), "the currency of prices, unless a form says another", example="GBP")
    terms: Word | None = key(
        Prose(),
        "what stands under every price list: taxes, carriage, smallest order",
        example="Prices to the trade, without VAT. Carriage extra.",
    )
    lead_time: Word | None = key(
        Prose(longest=100), "how long an order takes, unless a form says another", example="6 weeks"
    )
    material: Word | None = key(
        Prose(longest=100),
        "what the ware is made of, in a shop's words, unless a form says another",
        example="stoneware",
    )


@frozen
class Studio:
    """`specs/studio.yaml`: the studio's units, tools, boards and habits."""

    at: Position = Position("specs/studio.yaml")
    title: Word = key(Name(), "the studio's name", example="Millpond Yard", required=True)
    units: Word | None = key(
        Choice(
            ("metric first", "imperial first", "metric only", "imperial only"),
            (
                ("metric", "metric first"),
                ("mm", "metric first"),
                ("imperial", "imperial first"),
                ("inches", "imperial first"),
            ),
        ),
        "which unit systems are shown, and in which order",
        example="metric first",
        unless_given="metric first",
    )
    fluid_ounce: Word | None = key(
        Choice(
            ("US", "imp"), (("british", "imp"), ("uk", "imp"), ("imperial", "imp"), ("american", "US"), ("usa", "US"))
        ),
        "which fluid ounce is meant where a size does not say",
        example="imp",
    )
    steps: Steps | None = key(Nested(Steps), "what the tools can be set to; sizes to set are rounded to these")
    paper: Word | None = key(
        Choice(("A4", "A5", "A6", "Letter")), "the paper in the printer", example="A4", unless_given="A4"
    )
    bat: Size | None = key(
        LENGTH,
        "thickness of the bat on the wheel head; added to pointer heights",
        example="12 mm",
        unless_given="no bat",
    )
    boards: Boards | None = key(Nested(Boards), "the ware boards")
    spreads: Spreads | None = key(Nested(Spreads), "how far pieces lie apart")
    tolerances: Tolerances | None = key(Nested(Tolerances), "how far out a piece may be")
    losses: Losses | None = key(Nested(Losses), "what is lost on the way")
    confidence: Size | None = key(
        CONFIDENCE, "how sure a plan is to be that enough come out", example="95 %", unless_given="95 %", plan=True
    )
    bag: Size | None = key(WEIGHT, "how clay is bought: what a bag weighs", example="12.5 kg", plan=True)
    stock: tuple[ClayStock, ...] = key(
        ListOf(Nested(ClayStock)),
        "clay at hand, for blending, the oldest first",
        example="[{name: firm bags, clay: millpond-buff, water: 19 %, weight: 30 kg}]",
        default=(),
        plan=True,
    )
    stock_order: Word | None = key(
        Choice(("oldest first", "softest first")),
        "which clay at hand is used up first",
        example="oldest first",
        unless_given="oldest first",
        plan=True,
    )
    costs: Costs | None = key(Nested(Costs), "what the studio pays; private", trade=True)
    days: Days | None = key(Nested(Days), "how long the work takes", plan=True)
    kiln: Word | None = key(
        Slug("kilns"),
        "the kiln that orders are fired in",
        example="front-loader",
        unless_given="the only one",
        plan=True,
    )
    gauges: ByName[Size] = key(
        MapOf(STAGED, "gauge"),
        "sizes that several forms share, each set once; a caliper size takes one as `gauge caddy mouth`",
        example="{caddy mouth: 77 mm fired}",
        default={},
    )
    least_wall: Size | None = key(
        LENGTH,
        "the thinnest wall that the studio fires; thinner ones are warned of",
        example="2.5 mm",
        unless_given="2 mm",
    )
    fit_limit: Size | None = key(
        SHARE,
        "the share of lids that may bind or be loose before the form is warned of",
        example="1 %",
        unless_given="1 %",
    )
    language: Word | None = key(
        Name(longest=12),
        "the language of titles and notes, as a language tag, and of all words of pages and cards where there is a catalogue of it: English and German (`de`)",
        example="en",
        unless_given="en",
    )
    fonts: tuple[Word, ...] = key(
        ListOf(Prose(), or_one=True),
        "font files of your own in `specs/fonts/`, for scripts that the cards' own fonts lack",
        example="NotoSansJP-Regular.ttf",
        unless_given="Latin, Greek and Cyrillic",
        default=(),
    )
    stockists: Trade | None = key(Nested(Trade), "what all shops are told", trade=True)

    # ---- a clay, a glaze, a kiln ----

    @property
    def language_tag(self) -> str:
        """The language that its pages and cards are in."""
        return str(self.language or "en")


@frozen
class ShrinkageLine:
    """Shrinkage at each stage, in % of the wet length; `of dry` after it says otherwise."""

    leather_hard: Size | None = key(
        SHRUNK, "wet to leather-hard", example="3 %", unless_given="half of dry, assumed", typed="leather-hard"
    )
    dry: Size | None = key(
        SHRUNK, "wet to bone dry", example="6 %", unless_given="half of fired, assumed and warned of"
    )
    bisque: Size | None = key(SHRUNK, "wet to bisque", example="6 %", unless_given="as dry, assumed")
    fired: Size | None = key(SHRUNK, "wet to fired", example="12 %")


@frozen
class Bar:
    """One test bar: the distance between its marks at each stage."""

    at: Position
    lot: Word | None = key(Prose(), "the clay's lot", example="26-03")
    wet: Size = key(Measure("length", above=True), "between the marks, wet", example="100", required=True)
    leather_hard: Size | None = key(
        Measure("length", above=True), "the same, leather-hard", example="97.1", typed="leather-hard"
    )
    dry: Size | None = key(Measure("length", above=True), "the same, bone dry", example="94.0")
    bisque: Size | None = key(Measure("length", above=True), "the same, bisque", example="94.0")
    fired: Size | None = key(Measure("length", above=True), "the same, fired", example="88.2")
    kiln: Word | None = key(Prose(), "the kiln that it was fired in", example="front-loader")
    place: Word | None = key(Prose(), "where it stood in the kiln", example="top shelf, back")
    clay_water: Size | None = key(
        WaterShare(above=True),
        "water in the clay that it was made of, as a share of the wet weight",
        example="21.8 %",
        typed="clay water",
    )


@frozen
class Lot:
    """One lot of a clay, as it was delivered or mixed."""

    at: Position
    lot: Word = key(Prose(), "the lot's name, as bars and runs say it", example="26-07", required=True)
    since: datetime.date | None = key(Day(), "the day from which it was thrown", example="2026-06-20", typed="from")


@frozen
class Clay:
    """`specs/clays/…`: one clay body."""

    slug: str
    at: Position
    title: Word = key(Name(), "the clay's name", example="Millpond buff", required=True, also=("name",))
    cone: Word | None = key(Prose(), "the pyrometric cone that it is fired to", example="8")
    water: Size = key(
        WaterShare(above=True),
        "water as a share of the wet clay's weight, as it is thrown",
        example="21.5 %",
        required=True,
    )
    grain_density: Size | None = key(
        DENSITY, "density of the clay's grains", example="2.6 g/cm3", unless_given="2.6 g/cm3"
    )
    density: Size | None = key(
        DENSITY,
        "density of the wet clay as thrown",
        example="1.93 g/cm3",
        unless_given="worked out from water and grain density, without air",
    )
    loss_on_ignition: Size | None = key(
        LOSS,
        "weight that the kiln takes, as a share of the dry weight",
        example="7 %",
        unless_given="7 %, common practice, and told",
    )
    absorption: Size | None = key(SHARE, "water that the fired clay takes up, as a share of its weight", example="2 %")
    height_factor: Size | None = key(
        Measure("number", least=0.5, most=2.0),
        "height shrinks this many times as much as width",
        example="1.03",
        unless_given="1",
    )
    shrinkage: ShrinkageLine | None = key(
        Nested(ShrinkageLine, short="fired"), "shrinkage by stage; a supplier's fired one alone will do", example="12 %"
    )
    bars: tuple[Bar, ...] = key(
        ListOf(Nested(Bar)),
        "test bars; where they tell a stage they beat the shrinkage line",
        example="[{lot: 26-03, wet: 100, dry: 94.0, fired: 88.2}]",
        default=(),
    )
    lots: tuple[Lot, ...] = key(
        ListOf(Nested(Lot)),
        "its lots, with the day from which each was thrown",
        example="[{lot: 26-07, from: 2026-06-20}]",
        default=(),
    )
    notes: Word | None = key(Notes(), "anything else, in Markdown")


@frozen
class FoodContact:
    """What a laboratory found of the fired glaze. No calculation stands in for a test."""

    at: Position
    tested: datetime.date | None = key(Day(), "the day of the test", example="2026-02-10")
    method: Word | None = key(Prose(), "the method that the laboratory used")
    result: Word | None = key(Prose(), "what it found", example="pass")


@frozen
class Glaze:
    """`specs/glazes/…`: one glaze."""

    slug: str
    at: Position
    title: Word = key(Name(), "the glaze's name", example="Lichen satin", required=True)
    cone: Word | None = key(Prose(), "the pyrometric cone that it is fired to", example="8")
    pint_weight: Size | None = key(
        PintWeight(Measure("density", least=1.0, most=3.0, above=True)),
        "density of the slop at the bucket, or what a pint of it weighs",
        example="1.45 g/ml",
    )
    grain_density: Size | None = key(
        Measure("density", least=1.0, most=8.0, above=True),
        "density of the dry glaze's grains",
        example="2.6 g/cm3",
        unless_given="2.6 g/cm3",
    )
    coat: Size | CoatOf | None = key(
        Coat(Measure("areal", most=20.0)), "dry glaze on the ware, or two weighings that tell it", example="0.9 kg/m2"
    )
    film: Size | None = key(
        Measure("length", most=5.0),
        "thickness of the fired glaze",
        example="0.35 mm",
        unless_given="0.3 mm, common practice, and told",
    )
    loss_on_ignition: Size | None = key(
        LOSS,
        "weight that the firing takes, as a share of the dry coat",
        example="8 %",
        unless_given="8 %, common practice, and told",
    )
    bucket: Bucket | None = key(
        Nested(Bucket), "the bucket that it is dipped in", example="{diameter: 300 mm, slop: 12 l}", plan=True
    )
    food_contact: FoodContact | Word | None = key(
        Either(
            Choice(
                ("untested",),
                (("no", "untested"), ("safe", "untested"), ("food safe", "untested"), ("yes", "untested")),
            ),
            Nested(FoodContact),
        ),
        "a laboratory's test, or `untested`",
        unless_given="untested",
    )
    notes: Word | None = key(Notes(), "anything else, in Markdown")


@frozen
class Shelves:
    """The kiln's shelves."""

    at: Position
    width: Size | None = key(LENGTH, "a shelf's width", example="500 mm")
    depth: Size | None = key(LENGTH, "a shelf's depth", example="450 mm")
    tiers: int | None = key(Whole(least=1, most=100), "how many can be set one above another", example="5")


@frozen
class Kiln:
    """`specs/kilns/…`: one kiln."""

    slug: str
    at: Position
    title: Word = key(Name(), "the kiln's name", example="Front-loader", required=True)
    shelves: Shelves | None = key(Nested(Shelves), "its shelves")
    inside_height: Size | None = key(LENGTH, "from the floor to the roof", example="700 mm")
    shelf_thickness: Size | None = key(LENGTH, "a shelf's thickness", example="15 mm")
    gap: Size | None = key(LENGTH, "between pots on a shelf", example="8 mm")
    headroom: Size | None = key(LENGTH, "above the tallest pot of a tier", example="10 mm")
    props: tuple[Prop, ...] = key(
        ListOf(Nested(Prop)),
        "the props that there are; without them shelves are taken to stand as close as the pots allow",
        example="[{height: 120 mm, shelves: 2}]",
        default=(),
        plan=True,
    )
    notes: Word | None = key(Notes(), "anything else, in Markdown")


# ---- a form ----


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


@frozen
class TwoEnds:
    """A size at the upper end and at the lower; it changes evenly between them."""

    at: Position
    top: Size = key(STAGED, "where its top joins", example="30", required=True)
    bottom: Size = key(STAGED, "where its bottom joins", example="22", required=True)


@frozen
class Strap:
    """A pulled handle: how long along its middle line, how wide and how thick."""

    at: Position
    length: Size = key(STAGED, "along its middle line", example="190 mm", required=True)
    width: Size | TwoEnds = key(
        Either(STAGED, Nested(TwoEnds)), "across, or at both ends", example="{top: 30, bottom: 22}", required=True
    )
    thickness: Size | TwoEnds = key(
        Either(STAGED, Nested(TwoEnds)),
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
    recess: Size = key(THICKNESS, "how deep the recess within it is", example="5", required=True)


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


@frozen
class Clearance:
    """Inside diameter minus outside diameter; fired unless a stage is said."""

    at: Position
    aim: Size = key(STAGED, "what the fit is made for", example="1.2", required=True, also=("target", "nominal"))
    least: Size | None = key(STAGED, "less than this binds", example="0.5", also=("min", "minimum"))
    most: Size | None = key(STAGED, "more than this rattles", example="2.4", also=("max", "maximum"))


@frozen
class AtLeast:
    """A lower limit; fired unless a stage is said."""

    least: Size = key(STAGED, "the least that will do, a side", example="1.5", required=True)


@frozen
class AtMost:
    """An upper limit; fired unless a stage is said."""

    most: Size = key(STAGED, "the most that will do, a side", example="1", required=True)


@frozen
class Fit:
    """Two parts that go together."""

    at: Position
    inside: PartSize = key(PartSizeText(), "the opening", example="jar.mouth", required=True)
    outside: PartSize = key(PartSizeText(), "what goes into it", example="lid.flange", required=True)
    clearance: Clearance = key(
        Nested(Clearance, short="aim"),
        "difference of the two diameters",
        example="{aim: 1.2, least: 0.5, most: 2.4}",
        required=True,
    )
    glazed: Word | None = key(
        Choice(
            ("none", "inside", "outside", "both"),
            (
                ("no", "none"),
                ("unglazed", "none"),
                ("glazed", "both"),
                ("neither", "none"),
                ("yes", "both"),
                ("all", "both"),
            ),
        ),
        "which of the two faces are glazed",
        example="none",
        unless_given="none",
    )
    pairing: Word | None = key(
        Choice(
            ("own", "any"),
            (("matched", "own"), ("pairs", "own"), ("paired", "own"), ("interchangeable", "any"), ("all", "any")),
        ),
        "`own`: each lid is trimmed to its own jar; `any`: every lid must go on every jar",
        example="own",
        unless_given="own",
    )
    left_on: Size | None = key(
        Measure("length", most=100.0, staged=True),
        "extra diameter on the thrown flange, leather-hard unless a stage is said",
        example="1",
        unless_given="what the part's `left_on: wall` adds",
    )
    seat: AtLeast | None = key(
        Nested(AtLeast, short="least"),
        "how wide the ring is at least that one rests on the other with, a side",
        example="{least: 1.5}",
    )
    level: AtMost | None = key(
        Nested(AtMost, short="most"),
        "how far the two outsides may be from level where they meet, a side",
        example="{most: 1}",
    )
    room: AtLeast | None = key(
        Nested(AtLeast, short="least"),
        "height that is left under what goes in, before it touches anything",
        example="{least: 0.8}",
    )

    @property
    def stage(self) -> str:
        """The stage of its aim."""
        return self.clearance.aim.stage or "fired"

    @property
    def goes_with(self) -> str:
        """`own`: each goes with the one that it was trimmed to; `any`: with every other."""
        return str(self.pairing or "own")


@frozen
class Packed:
    """One piece, or one set, in its box."""

    at: Position
    length: Size | None = key(LENGTH, "the box's length", example="140 mm")
    width: Size | None = key(LENGTH, "the box's width", example="140 mm")
    height: Size | None = key(LENGTH, "the box's height", example="180 mm")
    weight: Size | None = key(WEIGHT, "box and all", example="620 g")


@frozen
class Stockist:
    """What a shop is told of the form. Only a form with this block goes into the stock list."""

    at: Position
    sku: Word | None = key(Prose(), "the maker's number for the shop", example="B-12-LS")
    price: Size | None = key(Measure("price"), "price to the shop", example="34.00", unless_given="price on request")
    currency: Word | None = key(Prose(), "the currency of the price", example="GBP", unless_given="the studio's")
    care: Word | None = key(Prose(), "how to look after it", example="Wash by hand.")
    contains: Word | None = key(Prose(), "what it is made to hold", example="drink")
    description: Word | None = key(Prose(), "a line or two for the shop")
    packed: Packed | None = key(
        Nested(Packed), "the piece in its box", example="{length: 140 mm, width: 140 mm, height: 180 mm, weight: 620 g}"
    )
    lead_time: Word | None = key(
        Prose(longest=100), "how long an order takes", example="6 weeks", unless_given="the studio's"
    )
    case: int | None = key(Whole(least=1, most=10_000), "pieces, or sets, to a case", example="6")
    minimum: int | None = key(Whole(least=1, most=10_000), "the fewest pieces, or sets, of an order", example="12")
    material: Word | None = key(
        Prose(longest=100), "what it is made of, in a shop's words", example="stoneware", unless_given="the studio's"
    )


@frozen
class Resized:
    """What a form that is like another is resized to: exactly one of the first four."""

    at: Position
    capacity: Size | None = key(Measure("volume", above=True), "what it is to hold, up to `fill_to`", example="150 ml")
    ball: Size | None = key(WEIGHT, "the ball that it is to take, all parts together", example="300 g")
    height: Size | None = key(STAGED, "how high its first part is to be", example="80 mm")
    scale: Size | None = key(
        Measure("number", least=0.05, most=20.0), "how many times as large it is to be", example="0.8"
    )
    keep: tuple[Word, ...] = key(
        ListOf(Prose(), or_one=True), "what is not scaled: `wall`, `floor`, `left_on`, a station or a caliper size, as `jar.ledge`",
        example="[wall, floor]", unless_given="everything is scaled", default=(),
    )  # fmt: skip

    @property
    def target(self) -> tuple[str, Size] | None:
        """What it is resized to, and how large; None where nothing or more than one thing is said."""
        said = [(name, size) for name in RESIZED_TO if (size := getattr(self, name)) is not None]
        return said[0] if len(said) == 1 else None


RESIZED_TO = ("capacity", "ball", "height", "scale")


@frozen
class Form:
    """`specs/forms/…`: one form, the spec proper.

    `unread` is empty but for a form with faults: names in what could not be read. `factor` is how many times as large as the form
    that it is like, once that is known.
    """

    slug: str
    at: Position
    unread: frozenset[str] = frozenset()
    factor: float | None = None
    title: Word = key(Name(), "the form's name", example="Tall beaker", required=True, also=("name",))
    code: Word | None = key(Name(longest=12), "the maker's own code; no two forms share one", example="B-12")
    family: Word | None = key(Name(longest=30), "a free word that groups the site", example="beakers")
    clay: Word = key(
        Slug("clays"),
        "the clay, by its file's name",
        example="millpond-buff",
        required=True,
        also=("body", "clay body"),
    )
    glaze: Word | None = key(Slug("glazes"), "the glaze, by its file's name", example="lichen-satin")
    glaze_film: Size | None = key(
        Measure("length", most=5.0),
        "thickness of the fired glaze, where it was measured on this form; before the glaze's own",
        example="0.3 mm",
    )
    like: Word | None = key(
        Slug("forms"),
        "another form, by its file's name: all that is not said here is that form's",
        example="tall-beaker",
    )
    resized: Resized | None = key(
        Nested(Resized),
        "how large it is beside the form that it is like",
        example="{capacity: 150 ml, keep: [wall, floor]}",
    )
    sizes: Word | None = key(
        Choice(STAGES, SAID_STAGES), "the stage at which the sizes below hold", example="fired", unless_given="fired"
    )
    unit: Word | None = key(
        Choice(("mm", "cm", "in"), (("inch", "in"), ("inches", "in"), ("millimetres", "mm"), ("centimetres", "cm"))),
        "the unit of a bare number",
        example="mm",
        unless_given="mm",
    )
    parts: ByName[Part] = key(MapOf(Nested(Part), "part", reserved("P"), most=50), "its parts by name", required=True)
    fits: ByName[Fit] = key(MapOf(Nested(Fit), "fit"), "what goes together", default={})
    spreads: Spreads | None = key(Nested(Spreads), "spreads of this form's own, before the studio's")
    tolerances: Tolerances | None = key(
        Nested(Tolerances), "how far out a piece of this form may be, before the studio's"
    )
    steps: ByName[tuple[Word, ...]] = key(
        MapOf(ListOf(Prose(), or_one=True, most=MOST_STEPS), "stage", choices=STAGES),
        "the maker's own words by stage; they may quote any figure: `{cup.pointer.height wet}`",
        default={},
    )
    losses: Losses | None = key(Nested(Losses), "losses of this form's own, before the studio's", plan=True)
    times: ByName[Size] = key(
        MapOf(TIME, "job"),
        "time that one set takes, job by job",
        example="{throwing: 6 min, trimming: 9 min, glazing: 3 min}",
        default={},
        plan=True,
    )
    stacking: Stacking | None = key(
        Nested(Stacking), "how its pieces stand on one another in the bisque kiln", plan=True
    )
    notes: Word | None = key(Notes(), "anything else, in Markdown", also=("comments", "remarks"))
    stockist: Stockist | None = key(Nested(Stockist), "what a shop is told", trade=True)

    @property
    def stage(self) -> str:
        """The stage at which bare sizes hold."""
        return str(self.sizes or "fired")


# ---- a run ----


@frozen
class Counts:
    """How many pieces were there after each step."""

    at: Position
    thrown: int | None = key(Whole(), "pieces thrown", example="26")
    trimmed: int | None = key(Whole(), "pieces trimmed", example="25")
    dried: int | None = key(Whole(), "pieces bone dry", example="25")
    bisque: int | None = key(Whole(), "pieces out of the bisque", example="24")
    fired: int | None = key(Whole(), "pieces out of the glaze firing", example="23")
    sold: int | None = key(Whole(), "pieces sold", example="22", trade=True)


@frozen
class Run:
    """`specs/runs/…`: one logged run, what was really measured."""

    slug: str
    at: Position
    form: Word = key(Slug("forms"), "the form, by its file's name", example="tall-beaker", required=True)
    date: datetime.date = key(Day(), "the day of throwing", example="2026-03-14", required=True)
    lot: Word | None = key(Prose(), "the clay's lot", example="26-03")
    balls: ByName[Size] = key(MapOf(WEIGHT, "part"), "the balls that were weighed out", default={})
    measured: tuple[Measured, ...] = key(
        ListOf(MeasuredLine()),
        "any figure's key, at any stage, one value a piece",
        example="[{cup.rim.diameter wet: [91.0, 90.5]}]",
        default=(),
    )
    counts: Counts | None = key(Nested(Counts), "how many were left after each step")
    notes: Word | None = key(Notes(), "anything else, in Markdown")
