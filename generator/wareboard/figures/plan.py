"""A plan: everything that a run asks for, in plain numbers, and its JSON. Pages, sheets and commands read it and compute nothing."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import field
from math import ceil, fsum, prod

from wareboard.pot.blends import Blend
from wareboard.pot.costs import Cost
from wareboard.pot.frozen import frozen
from wareboard.pot.glaze import Correction
from wareboard.pot.kilnloads import Load, Oven, Piece
from wareboard.pot.runs import Throw
from wareboard.text.problems import Problem

JSON_FORMAT = 1
# Lifted alone, more than this is too much (common practice; local rules may say less).
HEAVY_BOARD_KG = 20.0


@frozen
class Expected:
    """What is there after a stage, on the mean: pieces of each part, and whole sets."""

    stage: str
    pieces: Mapping[str, float]
    sets: float


@frozen
class PlanLine:
    """One line: what is wanted of a form, and what to throw for it.

    `make` is `sets` less what is taken from stock; `surer` the same for other confidences; `curve` clay and chance of the
    best numbers from few to many. `balls_g` are balls as they are set on the scale, `derived_g` before
    that; `extras_g` is the clay that is added to each part.
    """

    form: str
    title: str
    code: str
    clay: str
    glaze: str | None
    sets: int
    make: int
    pairing: str
    throw: Throw
    surplus_sets: float
    expect: tuple[Expected, ...]
    balls_g: Mapping[str, float]
    derived_g: Mapping[str, float]
    extras_g: Mapping[str, float]
    surer: Mapping[float, Throw] = field(default_factory=dict)
    glaze_title: str = ""

    @property
    def clay_g(self) -> float:
        """Balls and what is added, of all that is thrown."""
        return self.throw.balls_g + fsum(self.extras_g.get(part, 0.0) * n for part, n in self.throw.pieces.items())

    def good_sets(self) -> float:
        """Whole sets that are expected."""
        return self.make + self.surplus_sets

    def expected(self, stage: str) -> Expected:
        """What is expected after a stage."""
        return next(found for found in self.expect if found.stage == stage)

    def as_json(self) -> dict[str, object]:
        """The line as `figures.md` has it."""
        return {
            "form": self.form,
            "glaze": self.glaze,
            "sets": self.sets,
            "from_stock": self.sets - self.make,
            "pairing": self.pairing,
            "throw": dict(self.throw.pieces),
            "chance": self.throw.chance,
            "surplus_sets": self.surplus_sets,
            "expect": [{"stage": one.stage, **one.pieces} for one in self.expect],
            "balls_g": dict(self.balls_g),
            "clay_g": self.clay_g,
            "at_confidence": [
                {
                    "confidence": confidence,
                    "throw": dict(throw.pieces),
                    "chance": throw.chance,
                    "balls_g": throw.balls_g,
                }
                for confidence, throw in sorted(self.surer.items())
            ],
        }


@frozen
class Tallied:
    """How one form stands, from what was counted: the chance that its sets still come out, and what to throw to restore it."""

    form: str
    title: str
    sets: int
    latest: tuple[tuple[str, str, int], ...]
    chance: float
    throw: Throw | None
    confidence: float
    made_sets: int = 0

    @property
    def enough(self) -> bool:
        """True where nothing more need be thrown."""
        return self.throw is None

    def as_json(self) -> dict[str, object]:
        """The tally as JSON: nothing to throw where it stands well."""
        return {
            "form": self.form,
            "sets": self.sets,
            "counted": [{"part": part, "stage": stage, "pieces": pieces} for part, stage, pieces in self.latest],
            "chance": self.chance,
            "throw": dict(self.throw.pieces) if self.throw else {},
            "chance_then": self.throw.chance if self.throw else self.chance,
            "clay_g": self.throw.balls_g if self.throw else 0.0,
            "made_sets": self.made_sets,
        }


@frozen
class PlanClay:
    """One clay body: what is wedged, and what comes back of it, weighed as it is thrown."""

    clay: str
    title: str
    balls_g: float
    extras_g: float
    trimmings_g: float
    lost_g: float
    bag_g: float | None

    @property
    def weight_g(self) -> float:
        """All that is wedged."""
        return self.balls_g + self.extras_g

    @property
    def bags(self) -> int | None:
        """Whole bags of it."""
        return None if self.bag_g is None else ceil(self.weight_g / self.bag_g - 1e-9)

    def as_json(self) -> dict[str, object]:
        """The clay as JSON."""
        return {
            "clay": self.clay,
            "weight_kg": self.weight_g / 1000.0,
            "balls_kg": self.balls_g / 1000.0,
            "extras_kg": self.extras_g / 1000.0,
            "bags": self.bags,
            "returned_by_trimming_kg": self.trimmings_g / 1000.0,
            "returned_by_losses_kg": self.lost_g / 1000.0,
        }


@frozen
class PlanBlend:
    """How a clay is blended from what is at hand; shares of water as they are, `wanted_share` as it is thrown."""

    clay: str
    title: str
    wanted_share: float
    names: tuple[str, ...]
    shares: tuple[float, ...]
    blend: Blend

    def used(self) -> Iterator[tuple[str, float, float]]:
        """Name, share of water and weight of what is used, kg."""
        for name, share, kg in zip(self.names, self.shares, self.blend.use_kg, strict=True):
            if kg > 5e-4:
                yield name, share, kg

    def as_json(self) -> dict[str, object]:
        """The blend as `figures.md` has it; where it can't be reached, the nearest that can."""
        return {
            "clay": self.clay,
            "water_share": self.wanted_share,
            "use": [{"name": name, "weight_kg": kg} for name, _, kg in self.used()],
            "water_kg": self.blend.water_kg,
            "made_kg": self.blend.made_kg,
            "short_kg": self.blend.short_kg,
            "reached": self.blend.reached,
            "nearest_water_share": self.blend.nearest_share,
        }


@frozen
class BoardRow:
    """One part on boards, as it comes off the wheel."""

    form: str
    title: str
    part: str
    pieces: int
    a_board: int
    boards: int
    full_kg: float

    def as_json(self) -> dict[str, object]:
        """The row as JSON."""
        return {
            "form": self.form, "part": self.part, "pieces": self.pieces, "a_board": self.a_board, "boards": self.boards, "full_board_kg": self.full_kg,
        }  # fmt: skip


@frozen
class PlanGlaze:
    """One glaze: what goes on the ware, what the bucket wants, whether it is deep enough.

    `slop_l` and `water_l` make up what the run takes; `depth_mm` is how deep the bucket's slop stands, `tallest_mm` what is dipped.
    """

    glaze: str
    title: str
    dry_g: float | None
    slop_l: float | None
    water_l: float | None
    density_kg_l: float | None
    tallest_mm: float
    tallest: str
    bucket_l: float | None = None
    depth_mm: float | None = None
    diameter_mm: float | None = None
    widest_mm: float = 0.0
    found_kg_l: float | None = None
    correction: Correction | None = None

    @property
    def deep_enough(self) -> bool | None:
        """True where the tallest can be dipped; None where the bucket is not known."""
        if self.depth_mm is None or self.diameter_mm is None:
            return None
        return self.depth_mm >= self.tallest_mm and self.diameter_mm > self.widest_mm

    @property
    def short_dry_g(self) -> float:
        """Dry glaze that the bucket holds too little of for the run; 0 where it is enough, or not known."""
        held = self.correction.holds_dry_kg * 1000.0 if self.correction else None
        return 0.0 if held is None or self.dry_g is None else max(0.0, self.dry_g - held)

    def as_json(self) -> dict[str, object]:
        """The glaze as JSON."""
        bucket = self.correction and {
            "slop_l": self.bucket_l,
            "density_kg_l": self.found_kg_l,
            "add_water_l": self.correction.water_l,
            "add_dry_kg": self.correction.dry_kg,
            "then_l": self.correction.slop_l,
            "holds_dry_kg": self.correction.holds_dry_kg,
            "short_dry_kg": self.short_dry_g / 1000.0,
        }
        return {
            "glaze": self.glaze,
            "dry_kg": None if self.dry_g is None else self.dry_g / 1000.0,
            "slop_l": self.slop_l,
            "water_l": self.water_l,
            "density_kg_l": self.density_kg_l,
            "tallest_mm": self.tallest_mm,
            "slop_depth_mm": self.depth_mm,
            "deep_enough": self.deep_enough,
            "bucket": bucket,
        }


@frozen
class Firing:
    """All loads of one kind of firing. `names` says what each piece is, `parts` of which parts; `each` how many single ones it holds."""

    kind: str
    kiln: str
    kiln_title: str
    oven: Oven
    pieces: tuple[Piece, ...]
    names: tuple[str, ...]
    parts: tuple[tuple[str, ...], ...]
    each: tuple[int, ...]
    line_of: tuple[int, ...]
    loads: tuple[Load, ...]
    at_least: int

    def as_json(self) -> dict[str, object]:
        """The firing as JSON: each load's shelves from the lowest up, and the bound that no packing can beat."""
        return {
            "kind": self.kind,
            "kiln": self.kiln,
            "loads": len(self.loads),
            "loads_at_least": self.at_least,
            "stacked": [
                {
                    "tiers": [
                        {
                            "clear_mm": tier.clear_mm,
                            "prop_mm": prop or None,
                            "pieces": {
                                self.names[kind]: sum(placed.kind == kind for placed in tier.placed) * self.each[kind]
                                for kind in sorted({placed.kind for placed in tier.placed})
                            },
                        }
                        for tier, prop in zip(load.tiers, load.props_mm, strict=True)
                    ]
                }
                for load in self.loads
            ],
        }


@frozen
class PlanDay:
    """One part of the work and its days, from the first to the last."""

    work: str
    first: datetime.date
    last: datetime.date
    words: str

    @property
    def days(self) -> int:
        """How many days it takes."""
        return (self.last - self.first).days + 1

    def as_json(self) -> dict[str, object]:
        """The days as JSON."""
        return {
            "work": self.work, "from": self.first.isoformat(), "to": self.last.isoformat(), "days": self.days, "words": self.words,
        }  # fmt: skip


@frozen
class CostLine:
    """What one line costs, and what shops pay for a set."""

    form: str
    title: str
    sets: int
    cost: Cost
    price: float | None

    def as_json(self) -> dict[str, object]:
        """The line as JSON."""
        cost = self.cost
        return {
            "form": self.form, "clay": cost.clay, "glaze": cost.glaze, "firing": cost.firing, "time": cost.time,
            "total": cost.total, "each": cost.each, "price": self.price,
        }  # fmt: skip


@frozen
class PlanCost:
    """What the run costs; private. `leaves_out` says what is not in it."""

    currency: str
    lines: tuple[CostLine, ...]
    leaves_out: str

    @property
    def total(self) -> float:
        """All lines together."""
        return fsum(line.cost.total for line in self.lines)

    def as_json(self) -> dict[str, object]:
        """The cost as JSON."""
        return {
            "currency": self.currency, "lines": [line.as_json() for line in self.lines], "total": self.total, "leaves_out": self.leaves_out,
        }  # fmt: skip


@frozen
class Plan:
    """All of a run. `orders` are the slugs of what it is for; `told` what was taken for granted, in words."""

    name: str
    title: str
    orders: tuple[str, ...]
    customer: str
    due: datetime.date | None
    confidence: float
    lines: tuple[PlanLine, ...]
    tally: tuple[Tallied, ...]
    clay: tuple[PlanClay, ...]
    blends: tuple[PlanBlend, ...]
    boards: tuple[BoardRow, ...]
    glazes: tuple[PlanGlaze, ...]
    firings: tuple[Firing, ...]
    days: tuple[PlanDay, ...]
    cost: PlanCost | None
    told: tuple[str, ...]
    problems: tuple[Problem, ...]

    @property
    def chance(self) -> float:
        """The chance that every line comes out: each line's own, as its tally has it where something was counted."""
        counted = {tallied.form: tallied.chance for tallied in self.tally}
        return prod([*counted.values(), *(line.throw.chance for line in self.lines if line.form not in counted)])

    @property
    def boards_count(self) -> int:
        """All boards together."""
        return sum(row.boards for row in self.boards)

    def as_json(self) -> dict[str, object]:
        """The plan as the JSON of `figures.md` has it."""
        return {
            "format": JSON_FORMAT,
            "order": self.orders[0] if len(self.orders) == 1 else None,
            "orders": list(self.orders),
            "due": self.due.isoformat() if self.due else None,
            "confidence": self.confidence,
            "chance": self.chance,
            "lines": [line.as_json() for line in self.lines],
            "tally": [tallied.as_json() for tallied in self.tally],
            "clay": [clay.as_json() for clay in self.clay],
            "blend": [blend.as_json() for blend in self.blends],
            "boards": {
                "total": self.boards_count,
                "rows": [row.as_json() for row in self.boards],
                "heavy_kg": HEAVY_BOARD_KG,
            },
            "glaze": [glaze.as_json() for glaze in self.glazes],
            "firings": [firing.as_json() for firing in self.firings],
            "days": [day.as_json() for day in self.days],
            "cost": self.cost.as_json() if self.cost else None,
            "told": list(self.told),
            "problems": [problem.as_json() for problem in self.problems],
        }
