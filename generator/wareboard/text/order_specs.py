"""The typed specs of orders, and what of the studio, its forms and kilns only a plan asks for."""

from __future__ import annotations

import datetime

from wareboard.pot.frozen import frozen
from wareboard.text.compounds import ListOf, MapOf
from wareboard.text.kinds import ByName, Day, Flag, Name, Notes, Prose, Size, Slug, Whole, Word
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key
from wareboard.text.sizekinds import CONFIDENCE, WEIGHT, Measure
from wareboard.text.weighings import PricePer, WaterShare

WATER = WaterShare()
MOST_SETS = 10_000
MOST_LINES, MOST_SETS_TOGETHER = 400, 100_000  # of one order; planned in a second


# ---- an order ----


@frozen
class Line:
    """One line of an order."""

    at: Position
    form: Word = key(Slug("forms"), "the form, by its file's name", example="tea-caddy", required=True)
    sets: int = key(
        Whole(least=1, most=MOST_SETS),
        "how many sets are wanted",
        example="24",
        required=True,
        also=("number", "count", "quantity", "pieces", "pots"),
    )
    glaze: Word | None = key(
        Slug("glazes"), "another glaze than the form's own", example="tarn-blue", unless_given="the form's own"
    )
    from_stock: int | None = key(
        Whole(most=MOST_SETS),
        "sets of these that are taken from the stock on hand and not made",
        example="2",
        unless_given="none",
    )


@frozen
class Made:
    """What has been made of one form so far: pieces by part, counted at each stage. Each entry is a batch of its own."""

    at: Position
    form: Word = key(Slug("forms"), "the form, by its file's name", example="tea-caddy", required=True)
    thrown: ByName[int] = key(
        MapOf(Whole(), "part"),
        "balls that were thrown, those lost at the wheel too",
        example="{jar: 27, lid: 29}",
        default={},
    )
    trimmed: ByName[int] = key(MapOf(Whole(), "part"), "pieces trimmed", example="{jar: 26, lid: 28}", default={})
    dried: ByName[int] = key(
        MapOf(Whole(), "part"),
        "pieces bone dry; of parts trimmed to one another, those that still have their partner",
        default={},
    )
    bisque: ByName[int] = key(MapOf(Whole(), "part"), "the same, out of the bisque", default={})
    fired: ByName[int] = key(MapOf(Whole(), "part"), "the same, out of the glaze firing", default={})
    seconds: int | None = key(Whole(), "sets of those fired that are not good enough", example="1", unless_given="none")


@frozen
class Order:
    """`specs/orders/…`: one order, what is wanted, for whom, by when. Never in what shops or assistants get."""

    slug: str
    at: Position
    title: Word = key(Name(), "the order's name", example="Market stall, June", required=True)
    customer: Word | None = key(Prose(), "whom it is for", example="Market stall", typed="for", trade=True)
    due: datetime.date | None = key(
        Day(), "the day by which it is wanted", example="2026-05-10", also=("by", "date", "wanted", "deadline")
    )
    confidence: Size | None = key(
        CONFIDENCE, "how sure it is to be that enough come out", example="95 %", unless_given="the studio's"
    )
    kiln: Word | None = key(
        Slug("kilns"), "the kiln that it is fired in", example="front-loader", unless_given="the studio's"
    )
    lines: tuple[Line, ...] = key(
        ListOf(Nested(Line), most=MOST_LINES), "what is wanted", example="[{form: tea-caddy, sets: 24}]", required=True
    )
    made: tuple[Made, ...] = key(
        ListOf(Nested(Made)),
        "the tally as the work goes on",
        example="[{form: tea-caddy, thrown: {jar: 27, lid: 29}}]",
        default=(),
    )
    sent: datetime.date | None = key(
        Day(), "the day on which it went out; it is no longer open", example="2026-05-09", trade=True
    )
    notes: Word | None = key(Notes(), "anything else, in Markdown", trade=True)


# ---- the studio ----


@frozen
class Lump:
    """A lump of clay that was weighed as it is and again bone dry."""

    wet: Size = key(WEIGHT, "its weight as it is", example="412 g", required=True)
    dry: Size = key(WEIGHT, "its weight bone dry", example="301 g", required=True)


@frozen
class ClayStock:
    """Clay at hand."""

    at: Position
    name: Word = key(Name(), "what it is called", example="soft reclaim", required=True)
    clay: Word = key(Slug("clays"), "the clay, by its file's name", example="millpond-buff", required=True)
    water: Size | None = key(WATER, "water as a share of its weight", example="19 %")
    weighed: Lump | None = key(
        Nested(Lump), "two weighings of a lump of it, instead of `water`", example="{wet: 412 g, dry: 301 g}"
    )
    weight: Size = key(
        Measure("mass", most=50_000_000.0, above=True), "how much there is, wet", example="26 kg", required=True
    )


@frozen
class FiringCosts:
    """What a load costs to fire."""

    bisque: Size | None = key(Measure("price"), "a bisque load", example="14")
    glaze: Size | None = key(Measure("price"), "a glaze load", example="22")


@frozen
class Costs:
    """What the studio pays; private."""

    clay: Size | None = key(PricePer(), "clay, by weight as it is bought", example="1.10 /kg")
    glaze: Size | None = key(PricePer(), "dry glaze", example="9.50 /kg")
    firing: FiringCosts | None = key(Nested(FiringCosts), "a kiln load", example="{bisque: 14, glaze: 22}")
    hour: Size | None = key(Measure("price"), "an hour's work", example="24")


@frozen
class Days:
    """How many days each part of the work takes."""

    throwing: int | None = key(Whole(most=365), "throwing", example="1", unless_given="worked out from `times`, else 1")
    trimming: int | None = key(
        Whole(most=365), "trimming, and what is added", example="1", unless_given="worked out from `times`, else 1"
    )
    drying: int | None = key(Whole(most=365), "drying, bone dry", example="5", unless_given="5")
    bisque: int | None = key(
        Whole(most=365), "one bisque load, packed, fired, cooled and unpacked", example="2", unless_given="2"
    )
    glazing: int | None = key(Whole(most=365), "glazing", example="1", unless_given="worked out from `times`, else 1")
    glaze: int | None = key(
        Whole(most=365), "one glaze load, packed, fired, cooled and unpacked", example="2", unless_given="2"
    )
    spare: int | None = key(Whole(most=365), "kept free before an order is due", example="2", unless_given="2")
    hours: Size | None = key(
        Measure("time", most=24.0, above=True), "at work in a day", example="6 h", unless_given="6 h"
    )


# ---- a form, a glaze, a kiln ----


@frozen
class Stacking:
    """How pieces stand on one another in the bisque kiln."""

    boxed: bool | None = key(Flag(), "two stand rim to rim, mouth to mouth", example="true", unless_given="false")
    high: int | None = key(
        Whole(least=1, most=40),
        "how many of these (of such pairs, where boxed) stand on one another",
        example="3",
        unless_given="1",
    )
    rise: Size | None = key(
        Measure("length", most=3000.0, above=True),
        "by how much each further one makes a stack higher, where they stand in one another, dry",
        example="22 mm",
        unless_given="by its own height",
    )


@frozen
class Bucket:
    """The bucket that a glaze is dipped in."""

    diameter: Size | None = key(Measure("length", most=3000.0, above=True), "its diameter inside", example="300 mm")
    slop: Size | None = key(Measure("volume", most=2_000_000.0, above=True), "slop in it", example="12 l")


@frozen
class Prop:
    """Props of one height."""

    height: Size = key(Measure("length", most=3000.0, above=True), "their height", example="120 mm", required=True)
    shelves: int | None = key(
        Whole(least=1, most=1000), "how many shelves can stand on them at once", example="2", unless_given="any number"
    )
