"""What is kept of one form, as far as other pages show it, and how it lies on the disk: as plain JSON."""

from __future__ import annotations

import dataclasses
import importlib
from collections.abc import Mapping
from dataclasses import field
from functools import cache
from typing import Any

from wareboard.cards.audience import StockForm, StockPart, StockPiece
from wareboard.cards.revisions import Revised
from wareboard.drawing.formdrawing import Small
from wareboard.pages.familypages import Growth
from wareboard.pages.sitepages import FrontEntry
from wareboard.pot.fits import Fit
from wareboard.pot.frozen import frozen
from wareboard.text.problems import Position, Problem


@frozen
class Leaf:
    """One form, as far as other pages show it; `key` is what its page and data are kept by."""

    slug: str
    key: str
    revision: str
    ball_g: float
    problems: tuple[Problem, ...]
    entry: FrontEntry
    stock: StockForm | None
    revised: tuple[Revised, ...]
    # As JSON has them: few pages ask for them, and then for all.
    kept_fits: Mapping[str, Any]
    title: str
    description: str
    search: str
    growth: Growth | None
    bench_title: str
    bench_description: str
    answers_title: str
    answers_description: str
    workings_title: str
    workings_description: str
    # Its line of the index of data.
    listed: str
    # What the search finds of its page by itself, and the cards that its page links.
    places: tuple[tuple[str, str, str], ...]
    cards: tuple[str, ...]
    # What is told of the form itself, see `keptforms`; and what its page tells old cards.
    form: Mapping[str, Any]
    old: str
    # False where it looked at more than stands in its key; then nothing of it lasts beyond this build.
    is_lasting: bool = True
    # Every file that it comes of, and a digest of their texts; none where more weighs in, and then its file is read each time.
    reached: tuple[str, ...] = ()
    texts: str = ""
    # The records of revisions in which it stands, each as it was then.
    records: Mapping[str, list[int]] = field(default_factory=dict)

    @property
    def fits(self) -> dict[str, Fit]:
        """The form's fits, as a sheet has them."""
        return {name: record_of(fit) for name, fit in self.kept_fits.items()}

    def as_json(self) -> dict[str, Any]:
        """The leaf as it is written."""
        shown = {known.name: getattr(self, known.name) for known in dataclasses.fields(self)}
        shown["problems"] = [[one.level, one.rule, one.message, list(one.at), one.hint] for one in self.problems]
        shown["entry"] = dataclasses.asdict(self.entry)
        shown["growth"] = dataclasses.asdict(self.growth) if self.growth else None
        shown["stock"] = dataclasses.asdict(dataclasses.replace(self.stock, made=None)) if self.stock else None
        shown["revised"] = [[one.of, one.name, one.revision, dict(one.sizes)] for one in self.revised]
        return shown

    @classmethod
    def from_json(cls, said: Mapping[str, Any]) -> Leaf:
        """A leaf that was written. Raises: files.SPOILT."""
        entry = dict(said["entry"])
        entry["drawn"] = Small(**entry["drawn"]) if entry["drawn"] else None
        entry["words"] = tuple(map(str, entry["words"]))
        return cls(**{
            **said,
            "problems": tuple(Problem(level, rule, message, Position(*at), hint) for level, rule, message, at, hint in said["problems"]),
            "entry": FrontEntry(**entry),
            "growth": Growth(**said["growth"]) if said["growth"] else None,
            "stock": _stock_from(said["stock"]) if said["stock"] else None,
            "places": tuple((place, title, words) for place, title, words in said["places"]),
            "cards": tuple(said["cards"]),
            "reached": tuple(said["reached"]),
            "revised": tuple(Revised(of, name, revision, {key: (value, unit) for key, (value, unit) in sizes.items()}) for of, name, revision, sizes in said["revised"]),
        })  # fmt: skip


def plain_of(value: Any) -> Any:
    """A record of the ground floor as JSON has it."""
    if dataclasses.is_dataclass(value):
        # What a record remembers of its own work is no part of it.
        wanted = (known.name for known in dataclasses.fields(value) if known.default_factory is not dict)
        fields = {name: plain_of(getattr(value, name)) for name in wanted}
        return {"record": f"{type(value).__module__}.{type(value).__name__}", "fields": fields}
    if isinstance(value, frozenset):
        return {"set": sorted(value)}
    if isinstance(value, (tuple, list)):
        return [plain_of(one) for one in value]
    if isinstance(value, Mapping):
        return {"map": [[plain_of(key), plain_of(inner)] for key, inner in value.items()]}
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    raise TypeError(f"{type(value).__name__} cannot be kept")


def record_of(said: Any) -> Any:
    """What `plain_of` wrote. Raises: files.SPOILT."""
    kind = type(said)
    if kind is list:
        return tuple([one if type(one) is float else record_of(one) for one in said])
    if kind is not dict:
        return said
    if "set" in said:
        return frozenset(said["set"])
    if "map" in said:
        return {record_of(key): record_of(inner) for key, inner in said["map"]}
    fields = said["fields"].items()
    return _kind_of(said["record"])(**{
        key: value if type(value) is float else record_of(value) for key, value in fields
    })  # fmt: skip


@cache
def _kind_of(told: str) -> type[Any]:
    """A kind of record of the ground floor by its whole name. Raises: files.SPOILT."""
    module, _, name = told.rpartition(".")
    if not module.startswith("wareboard.pot."):
        raise ValueError(f"{module} is none of ours")
    made = getattr(importlib.import_module(module), name)
    if not dataclasses.is_dataclass(made):
        raise ValueError(f"{name} is no record")
    return made  # type: ignore[no-any-return]


def _stock_from(said: Mapping[str, Any]) -> StockForm:
    points = lambda line: tuple((float(x), float(y)) for x, y in line)
    pieces = tuple(
        StockPiece(tuple(piece["parts"]), piece["height_mm"], piece["diameter_mm"], tuple(map(points, piece["lines"])), points(piece["edges"]))
        for piece in said["pieces"]
    )  # fmt: skip
    plain = {name: value for name, value in said.items() if name not in ("parts", "pieces", "packed_mm", "made")}
    return StockForm(
        **plain,
        parts=tuple(StockPart(**part) for part in said["parts"]),
        pieces=pieces,
        packed_mm=tuple(said["packed_mm"]),
    )
