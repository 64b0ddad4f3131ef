"""The typed specs of the studio, its clays, glazes and kilns."""

from __future__ import annotations

import datetime

from wareboard.pot.frozen import frozen
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import ByName, Choice, Day, Name, Notes, Prose, Size, Slug, Whole, Word
from wareboard.text.order_specs import Bucket, ClayStock, Costs, Days, Prop
from wareboard.text.phrases import (
    Accepted,
    ShareOr,
    SizeOr,
)
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key
from wareboard.text.sizekinds import CONFIDENCE, DENSITY, LENGTH, LOSS, POINTS, SHARE, SHRUNK, STAGED, WEIGHT, Measure
from wareboard.text.weighings import Coat, CoatOf, PintWeight, WaterShare


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
        example="{tested: 2026-02-10, method: 24 h in 4 % acetic acid at 22 °C, result: pass}",
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
