"""What is kept of one form, as far as other pages show it, and how it lies on the disk: as plain JSON, a line for each who asks.

A build holds of each form only what it asks of all of them at once; the rest is read when it is asked for, and held by nobody.
"""

from __future__ import annotations

import dataclasses
import importlib
import json
from collections.abc import Mapping
from dataclasses import field
from functools import cache
from typing import Any

from wareboard.cards.audience import StockForm, StockPart, StockPiece
from wareboard.cards.revisions import Revised
from wareboard.drawing.formdrawing import Small
from wareboard.output import files
from wareboard.pages.familypages import Growth
from wareboard.pages.sitepages import FrontEntry
from wareboard.pot.fits import Fit
from wareboard.pot.frozen import frozen
from wareboard.text.problems import Position, Problem

# The kind of file that has what is read when it is asked for.
TOLD = "told"


@frozen
class PageTold:
    """What is told of a form's pages: titles, descriptions, what the search finds, the cards that its page links.

    `listed` is its line of the index of data, `old` what its page tells old cards.
    """

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
    listed: str
    places: tuple[tuple[str, str, str], ...]
    cards: tuple[str, ...]
    old: str


@frozen
class Told:
    """All of a form that is written down and read when it is asked for, a line of a file each; `form` is of `keptforms`."""

    page: PageTold
    entry: FrontEntry
    stock: StockForm | None
    revised: tuple[Revised, ...]
    # As JSON has them: few pages ask for them, and then for all.
    fits: Mapping[str, Any]
    form: Mapping[str, Any]

    def text(self) -> bytes:
        """As it is written; the last line says that nothing is missing."""
        stock = dataclasses.asdict(dataclasses.replace(self.stock, made=None)) if self.stock else None
        revised = [[one.of, one.name, one.revision, dict(one.sizes)] for one in self.revised]
        lines = (dataclasses.asdict(self.page), dataclasses.asdict(self.entry), stock, revised, self.fits, self.form)
        return "".join(f"{json.dumps(line)}\n" for line in lines).encode()


LINES = tuple(known.name for known in dataclasses.fields(Told))


@frozen
class Leaf:
    """One form: what a build asks of every form at once. `key` is what its page and data are kept by, in `folder`."""

    folder: str
    slug: str
    key: str
    revision: str
    ball_g: float
    problems: tuple[Problem, ...]
    has_stock: bool = False
    # False where it looked at more than stands in its key; then nothing of it lasts beyond this build.
    is_lasting: bool = True
    # Every file that it comes of, and a digest of their texts; none where more weighs in, and then its file is read each time.
    reached: tuple[str, ...] = ()
    texts: str = ""
    # The records of revisions in which it stands, each as it was then.
    records: Mapping[str, list[int]] = field(default_factory=dict)

    def place(self, kind: str) -> str:
        """Where something that is kept of it lies."""
        return f"{self.folder}/{self.key}.{kind}"

    def is_sound(self) -> bool:
        """True where what is told of it is whole."""
        try:
            text = files.read_bytes(self.place(TOLD))
        except OSError:
            return False
        return text.count(b"\n") == len(LINES) and text.endswith(b"\n")

    def told(self, name: str) -> Any:
        """One line of `Told`, as JSON has it. Raises: OSError; files.SPOILT."""
        text, start = files.read_bytes(self.place(TOLD)), 0
        for _ in range(LINES.index(name)):
            start = text.index(b"\n", start) + 1
        return json.loads(text[start : text.index(b"\n", start)])

    @property
    def page(self) -> PageTold:
        """What is told of its pages."""
        said = self.told("page")
        said["growth"] = Growth(**said["growth"]) if said["growth"] else None
        said["places"] = tuple((place, title, words) for place, title, words in said["places"])
        said["cards"] = tuple(said["cards"])
        return PageTold(**said)

    @property
    def entry(self) -> FrontEntry:
        """What the front page shows of it."""
        said = self.told("entry")
        said["drawn"] = Small(**said["drawn"]) if said["drawn"] else None
        said["words"] = tuple(map(str, said["words"]))
        return FrontEntry(**said)

    @property
    def stock(self) -> StockForm | None:
        """What shops are told of it."""
        return _stock_from(self.told("stock")) if self.has_stock else None

    @property
    def revised(self) -> tuple[Revised, ...]:
        """Of what there are revisions: of the form, and of what shops are told."""
        return tuple(
            Revised(of, name, revision, {key: (value, unit) for key, (value, unit) in sizes.items()})
            for of, name, revision, sizes in self.told("revised")
        )

    @property
    def fits(self) -> dict[str, Fit]:
        """The form's fits, as a sheet has them."""
        return {name: record_of(fit) for name, fit in self.told("fits").items()}

    def as_json(self) -> dict[str, Any]:
        """The leaf as it is written."""
        shown = {name: getattr(self, name) for name in _WRITTEN}
        shown["problems"] = [[one.level, one.rule, one.message, list(one.at), one.hint] for one in self.problems]
        return shown

    @classmethod
    def from_json(cls, folder: str, said: Mapping[str, Any]) -> Leaf:
        """A leaf that was written. Raises: files.SPOILT."""
        problems = [
            Problem(level, rule, message, Position(*at), hint) for level, rule, message, at, hint in said["problems"]
        ]
        return cls(folder, **{**said, "problems": tuple(problems), "reached": tuple(said["reached"])})


_WRITTEN = tuple(known.name for known in dataclasses.fields(Leaf) if known.name != "folder")


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
