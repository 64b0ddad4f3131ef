"""The typed specs of forms and runs: what a maker writes, key by key. Reader, JSON Schema and reference all come from here and its like.

Parts have a room of their own (`part_specs`), so have studio, clays, glazes and kilns (`studio_specs`) and orders (`order_specs`).
"""

from __future__ import annotations

import datetime

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import reserved
from wareboard.text.compounds import ListOf, MapOf
from wareboard.text.kinds import ByName, Choice, Day, Name, Notes, Prose, Size, Slug, Whole, Word
from wareboard.text.order_specs import Stacking
from wareboard.text.part_specs import Part
from wareboard.text.phrases import (
    Measured,
    MeasuredLine,
    PartSize,
    PartSizeText,
)
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key
from wareboard.text.sizekinds import LENGTH, STAGED, TIME, WEIGHT, Measure
from wareboard.text.studio_specs import Losses, Spreads, Tolerances

# What potters call a stage, that is no stage's own word.
SAID_STAGES = (
    ("plastic", "wet"), ("thrown", "wet"), ("leatherhard", "leather-hard"), ("cheese-hard", "leather-hard"), ("bone dry", "dry"),
    ("greenware", "dry"), ("green", "dry"), ("biscuit", "bisque"), ("glazed", "fired"), ("glaze fired", "fired"), ("finished", "fired"),
)  # fmt: skip
MOST_PARTS, MOST_STEPS = 50, 200


# ---- a form ----


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
    inside: PartSize = key(PartSizeText("inside"), "the opening", example="jar.mouth", required=True)
    outside: PartSize = key(PartSizeText("outside"), "what goes into it", example="lid.flange", required=True)
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
    fits: ByName[Fit] = key(
        MapOf(Nested(Fit), "fit"),
        "what goes together",
        example="{lid: {inside: jar.mouth, outside: lid.flange, clearance: 1.5}}",
        default={},
    )
    spreads: Spreads | None = key(Nested(Spreads), "spreads of this form's own, before the studio's")
    tolerances: Tolerances | None = key(
        Nested(Tolerances), "how far out a piece of this form may be, before the studio's"
    )
    steps: ByName[tuple[Word, ...]] = key(
        MapOf(ListOf(Prose(), or_one=True, most=MOST_STEPS), "stage", choices=STAGES),
        "the maker's own words by stage; they may quote any figure: `{cup.pointer.height wet}`",
        example="{wet: Pull it in three.}",
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
    balls: ByName[Size] = key(
        MapOf(WEIGHT, "part"), "the balls that were weighed out", example="{cup: 420 g}", default={}
    )
    measured: tuple[Measured, ...] = key(
        ListOf(MeasuredLine()),
        "any figure's key, at any stage, one value a piece",
        example="[{cup.rim.diameter wet: [91.0, 90.5]}]",
        default=(),
    )
    counts: Counts | None = key(Nested(Counts), "how many were left after each step")
    notes: Word | None = key(Notes(), "anything else, in Markdown")
