"""Who may see what. What others get is built up from what is listed here; whatever is not listed never gets there.

An **assistant** gets everything that it takes to make the ware: the specs' own records with the keys of
MAKING, worked out anew. A **stockist** gets no spec and no sheet at all, only the records of plain words
and numbers below, and everything that is made for a shop is made from them.
"""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import itertools
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import field, fields, replace
from math import fsum
from typing import Any

from wareboard.drawing.seating import Standing, height_together_mm, set_together
from wareboard.drawing.views import Point, outside_view
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.pot.frozen import frozen
from wareboard.text import order_specs, part_specs, projects, specs, studio_specs, weighings
from wareboard.text.kinds import Word
from wareboard.text.order_specs import Order
from wareboard.text.problems import Position
from wareboard.text.projects import Project
from wareboard.text.quantities import Steps, round_to_step
from wareboard.text.records import keys_of
from wareboard.text.studio_specs import Studio

# ---- an assistant ----

# The keys that an assistant's site is made from, as fields of the records. A new key stays out until it stands here.
MAKING: Mapping[type, frozenset[str]] = {
    record: frozenset(names.split())
    for record, names in {
        studio_specs.Studio: "title gauges units fluid_ounce steps paper bat boards spreads tolerances losses confidence bag stock stock_order days kiln least_wall fit_limit language fonts",
        studio_specs.Steps: "scale ruler inch",
        studio_specs.Boards: "length width gap",
        studio_specs.Spreads: "calipers trimming out_of_round shrinkage drying firing weight",
        studio_specs.Tolerances: "height diameter wall weight capacity",
        studio_specs.Losses: "throwing trimming drying bisque glaze",
        studio_specs.Clay: "title cone water grain_density density loss_on_ignition absorption height_factor shrinkage bars lots notes",
        studio_specs.ShrinkageLine: "leather_hard dry bisque fired",
        studio_specs.Bar: "lot wet leather_hard dry bisque fired kiln place clay_water",
        studio_specs.Lot: "lot since",
        studio_specs.Glaze: "title cone pint_weight grain_density coat film loss_on_ignition bucket food_contact notes",
        studio_specs.FoodContact: "tested method result",
        studio_specs.Kiln: "title shelves inside_height shelf_thickness gap headroom props notes",
        studio_specs.Shelves: "width depth tiers",
        specs.Form: "title code family clay glaze sizes unit glaze_film like resized parts fits spreads tolerances steps losses times stacking notes",
        part_specs.Part: "opens outside line wall floor inside underside fill_to holds gallery foot weighs bare calipers throwing tolerances extras",
        part_specs.Gallery: "depth width",
        specs.Resized: "capacity ball height scale keep",
        part_specs.FootRing: "ring width recess",
        part_specs.Station: "height diameter corner",
        part_specs.Throwing: "loss left_on stub ball gauge_at",
        part_specs.LeftOn: "wall floor",
        part_specs.Extra: "clay strap joined to reach",
        part_specs.Strap: "length width thickness section",
        part_specs.TwoEnds: "top bottom",
        specs.Fit: "inside outside clearance glazed pairing left_on seat level room",
        specs.AtLeast: "least",
        specs.AtMost: "most",
        specs.Clearance: "aim least most",
        specs.Run: "form date lot balls measured counts notes",
        specs.Counts: "thrown trimmed dried bisque fired",
        order_specs.Order: "title due confidence kiln lines made",  # but for its title: see `_runs`
        order_specs.Line: "form sets glaze from_stock",
        order_specs.Made: "form thrown trimmed dried bisque fired seconds",
        order_specs.ClayStock: "name clay water weighed weight",
        order_specs.Lump: "wet dry",
        order_specs.Days: "throwing trimming drying bisque glazing glaze spare hours",
        order_specs.Stacking: "boxed high rise",
        order_specs.Bucket: "diameter slop",
        order_specs.Prop: "height shelves",
        weighings.Weighed: "bare glazed area of",
    }.items()
}


def making_project(project: Project) -> Project:
    """A studio as an assistant may know it: no price, no shop, nothing that is not in MAKING.

    Args:
        project: the studio, without errors.
    Returns: a project to be worked out anew, so that no figure and no problem can tell what was left out.
    """
    kept = {
        folder: {
            slug: _making(spec) for slug, spec in project.files(folder).items() if getattr(spec, "sent", None) is None
        }
        for folder in projects.FOLDERS
    }
    kept["orders"], names = _runs(kept["orders"].values())
    named = frozenset((folder, names.get(slug, slug) if folder == "orders" else slug) for folder, slug in project.named)
    return Project(_making(project.studio), **kept, named=named)


def _runs(orders: Iterable[Order]) -> tuple[dict[str, Order], dict[str, str]]:
    """Open orders as runs that say for nobody: `Run 1`, the first due first; and the new names by the old ones."""
    waiting = sorted(orders, key=lambda order: (order.due is None, order.due, order.slug))
    names = {order.slug: f"run-{count}" for count, order in enumerate(waiting, 1)}
    runs = {}
    for count, order in enumerate(waiting, 1):
        at = Position(f"run {count}")
        runs[names[order.slug]] = replace(_placed(order, at), slug=names[order.slug], title=Word(f"Run {count}", at))
    return runs, names


def _placed(value: Any, at: Position) -> Any:
    """A value all of whose places are one: a file's name can say whom an order is for."""
    if isinstance(value, Position):
        return at
    if isinstance(value, Word):
        return Word(str(value), at)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return replace(
            value, **{known.name: _placed(getattr(value, known.name), at) for known in dataclasses.fields(value)}
        )
    if isinstance(value, Mapping):
        return {_placed(name, at): _placed(inner, at) for name, inner in value.items()}
    return tuple(_placed(inner, at) for inner in value) if type(value) is tuple else value


def makes(record: type, name: str) -> bool:
    """True where a key of a record, as it is typed, is an assistant's too."""
    return keys_of(record)[name].field in MAKING.get(record, ())


def _making(value: object) -> object:
    """A value with only what MAKING lists of every record in it."""
    if dataclasses.is_dataclass(value) and any("key" in known.metadata for known in dataclasses.fields(value)):
        listed = MAKING.get(type(value))
        return (
            None
            if listed is None
            else replace(
                value,
                **{
                    known.name: _making(getattr(value, known.name)) if known.name in listed else _unless_given(known)
                    for known in dataclasses.fields(value)
                    if "key" in known.metadata
                },
            )
        )
    if isinstance(value, Mapping):
        return {name: _making(inner) for name, inner in value.items()}
    return tuple(map(_making, value)) if type(value) is tuple else value


def _unless_given(known: dataclasses.Field) -> object:
    return known.default if known.default_factory is dataclasses.MISSING else known.default_factory()


# ---- a stockist ----

# Nobody sets a tool by a stock list, and no two pieces are alike: this is what its numbers are worth.
SHOP_STEPS = Steps(scale_g=5.0, ruler_mm=1.0, inch_in=1.0 / 16.0)
# Flatter than this, what fits in is nothing that a shop would ask for: a plate, a saucer.
FLAT = 4.0


@frozen
class StockPart:
    """One part by itself, fired. `fill_ml` and `brim_ml` are 0 where it is nothing to fill."""

    name: str
    height_mm: float
    diameter_mm: float
    fill_ml: float = 0.0
    brim_ml: float = 0.0


@frozen
class StockPiece:
    """What stands on the shelf as one, a jar with its lid on: fired size and silhouette.

    `lines` and `edges` are what is seen from outside, in mm to one side of the axis (see `views`).
    """

    parts: tuple[str, ...]
    height_mm: float
    diameter_mm: float
    lines: tuple[tuple[Point, ...], ...]
    edges: tuple[Point, ...]


@frozen
class StockForm:
    """All that a shop may know of a form: fired sizes and what its `stockist` block says, as plain words and numbers.

    Numbers are rounded to what shops are shown, so that it is the same on every machine, and a clay's new bar makes no new one of it.
    `name` is that of its files, made from what the shop calls it. `added` is true where a handle or the
    like is added, which neither sizes nor silhouette show. `packed_mm` is length, width and height of the box, 0 unless
    given; `price` is written as it was typed, empty where there is none. `made` is the day on which shops were first
    told just this. `case` and `minimum` count pieces, or sets; 0 unless given. What is not in the `repr` came later: it is
    in the revision where it says something, so that a new key makes no form a new one that does not use it.
    """

    name: str
    title: str
    sku: str
    price: str
    currency: str
    care: str
    contains: str
    description: str
    parts: tuple[StockPart, ...]
    pieces: tuple[StockPiece, ...]
    added: bool
    weight_g: float
    packed_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    packed_g: float = 0.0
    made: datetime.date = datetime.date.min
    lead_time: str = field(default="", repr=False)
    case: int = field(default=0, repr=False)
    minimum: int = field(default=0, repr=False)
    material: str = field(default="", repr=False)

    @property
    def revision(self) -> str:
        """A short hash of what the shop is told; it changes with nothing else."""
        later = {known.name: value for known in fields(self) if not known.repr and (value := getattr(self, known.name))}
        said = repr(replace(self, name="", made=datetime.date.min)) + (repr(later) if later else "")
        return hashlib.sha256(said.encode()).hexdigest()[:6]


@frozen
class Stock:
    """Everything that shops are told by a studio; nothing that is made for them knows more."""

    studio: str
    language: str
    terms: str
    paper: str
    reader: Reader
    forms: tuple[StockForm, ...] = field(default=())


def stock_of(
    studio: Studio,
    sheets: Iterable[Sheet],
    *,
    own_names: bool = False,
    made_on: Callable[[Sheet], datetime.date] | None = None,
) -> Stock:
    """What a studio tells shops: its forms that have a `stockist` block, by title.

    Args:
        studio: the studio's spec.
        sheets: the forms' sheets; those without the block, or without figures, are left out.
        own_names: files are named as the studio names them, by slug; for what stays in the studio.
        made_on: the day on which shops were first told of a form as it is now, where it is wanted.
    """
    return gather_stock(
        studio,
        (
            stock_form(sheet, made_on(sheet) if made_on else datetime.date.min, sheet.slug if own_names else "")
            for sheet in sheets
            if is_stocked(sheet)
        ),
    )


def gather_stock(studio: Studio, records: Iterable[StockForm]) -> Stock:
    """What a studio tells shops, from what it tells them of each form."""
    told = sorted(records, key=lambda form: (form.title.casefold(), form.sku, form.name))
    named: dict[str, StockForm] = {}
    for form in told:
        names = (form.name if count == 1 else f"{form.name}-no{count}" for count in itertools.count(1))
        name = next(name for name in names if name not in named)
        named[name] = form if form.name == name else replace(form, name=name)
    terms = studio.stockists.terms if studio.stockists else None
    return Stock(
        str(studio.title),
        studio.language_tag,
        str(terms or ""),
        str(studio.paper or "A4"),
        replace(reader_of(studio), steps=SHOP_STEPS),
        tuple(named.values()),
    )


def is_stocked(sheet: Sheet) -> bool:
    """True where shops are told of a form."""
    return sheet.form.stockist is not None and sheet.is_worked_out


def stock_form(sheet: Sheet, made: datetime.date = datetime.date.min, name: str = "") -> StockForm:
    """What shops are told of one form.

    Args:
        sheet: its sheet; the form has a `stockist` block.
        made: the day on which shops were first told just this.
        name: that of its files; made from what the shop calls it unless given.
    """
    # The form's own sizes, not those of the pot made to its settings: a bat or a gauge that changes is no news to a shop.
    told, form = sheet.form.stockist, sheet.form
    packed, studio = told.packed, sheet.studio.stockists
    box = (packed.length, packed.width, packed.height) if packed else (None, None, None)
    # The set's weight as it is sold, glaze and all; the sheet has it part by part.
    weights = [
        (sheet.find(f"{name}.mass.glazed", "fired") or sheet.find(f"{name}.mass", "fired")).value for name in form.parts
    ]
    return StockForm(
        name or public_name(str(told.sku or ""), str(form.title)), str(form.title), str(told.sku or ""),
        told.price.typed if told.price else "", str(told.currency or (studio.currency if studio else "") or ""),
        str(told.care or ""), str(told.contains or ""), str(told.description or ""),
        tuple(_stock_part(sheet, str(name)) for name in form.parts),
        tuple(_stock_piece(sheet, group) for group in set_together(sheet, "fired")),
        any(part.extras for part in form.parts.values()), round_to_step(fsum(weights), SHOP_STEPS.scale_g),
        tuple(size.value if size else 0.0 for size in box), packed.weight.value if packed and packed.weight else 0.0, made,
        str(told.lead_time or (studio.lead_time if studio else "") or ""), told.case or 0, told.minimum or 0,
        str(told.material or (studio.material if studio else "") or ""),
    )  # fmt: skip


def _stock_part(sheet: Sheet, name: str) -> StockPart:
    # What a shop's shelf has to have room for: handle and all.
    height, diameter = (round(sheet.value(f"{name}.{end}", "fired"), 1) for end in ("height", "across"))
    fill, brim = sheet.find(f"{name}.capacity.fill", "fired"), sheet.find(f"{name}.capacity.brim", "fired")
    if fill is None or brim is None or diameter > FLAT * height:
        return StockPart(name, height, diameter)
    return StockPart(name, height, diameter, _rounded_ml(fill.value), _rounded_ml(brim.value))


def _rounded_ml(volume_ml: float) -> float:
    """As shops read it: to 1 ml, from 100 ml on to 5."""
    return max(0.0, round_to_step(volume_ml, 1.0 if volume_ml < 100.0 else 5.0))


def _stock_piece(sheet: Sheet, group: list[Standing]) -> StockPiece:
    seen = outside_view([part.outside for part in group], [point for part in group for point in part.sharp])
    low = min(part.bottom_mm for part in group)
    lines = tuple(tuple(_rounded(radius, height - low) for radius, height in line) for line in seen.lines)
    edges = tuple(_rounded(radius, height - low) for radius, height in seen.edges)
    alone = group[0].name if len(group) == 1 else ""  # then the part's own sizes, as pages have them
    high = sheet.value(f"{alone}.height", "fired") if alone else height_together_mm(sheet, "fired", group)
    return StockPiece(
        tuple(part.name for part in group),
        round(high, 1),
        round(max(sheet.value(f"{part.name}.diameter", "fired") for part in group), 1),
        lines,
        edges,
    )


def _rounded(radius: float, height: float) -> Point:
    return round(radius, 1), round(height, 1)


def public_name(*words: str) -> str:
    """A name for files from the first of some words that has letters or digits for one.

    >>> public_name("B-12/LS", "Tall beaker"), public_name("", "Crème pot"), public_name("—", "壺")
    ('b-12-ls', 'creme-pot', 'piece')
    """
    for word in words:
        plain = unicodedata.normalize("NFKD", word).encode("ascii", "ignore").decode().casefold()
        name = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].rstrip("-")
        if name:
            return name
    return "piece"
