"""A maker's phrases: `inside rim`, `foot to bevel`, `jar.mouth`, a size or a station's name; how each is read."""

from __future__ import annotations

import re
from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text import source
from wareboard.text.compounds import ListOf
from wareboard.text.kinds import Kind, Prose, Reading, Size, Word, read_text
from wareboard.text.languages import _, later
from wareboard.text.measures import any_of
from wareboard.text.plain import folded_name, is_name, tidy_name
from wareboard.text.problems import Position, place_within
from wareboard.text.sizekinds import STAGED, Measure
from wareboard.text.units import is_across


@frozen
class SizeOr(Kind):
    """A size, or a word: one of a few, or a name of the maker's own."""

    size: Measure
    words: tuple[str, ...] = ()
    names: str = ""

    @property
    def said(self) -> str:
        """See Kind."""
        return f"{self.size.said}, or {self.names or ' or '.join(f'`{word}`' for word in self.words)}"

    def shown(self, example: str, reading: Reading) -> str:
        """See Kind."""
        return self.size.shown(example, reading)

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        word = tidy_name(text.text)
        named = self.names and is_name(word) and not word[0].isnumeric() and not is_across(word)
        if word in self.words or named:
            return Word(word, text.at)
        return self.size.read(node, path, reading)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        named = {"type": "string", "pattern": f"^\\s*(?:{any_of(self.words)})\\s*$"}
        if self.names:
            named = {"$ref": f"#/$defs/{'calipers' if 'caliper' in self.names else 'stations'}"}
        return {"anyOf": [self.size.schema(), named]}


@frozen
class Caliper:
    """A size set with calipers: `inside rim` at a station's level, `inside 71` a size as it is, `fit`, or a shared `gauge`.

    `level` is the station's name, the size itself, or None for a fit's and for a gauge that is not looked up yet; `gauge` is the
    shared size's name, and `measured` where the section has to agree with it.
    """

    side: str
    level: Word | Size | None
    at: Position
    gauge: Word | None = None
    measured: Caliper | None = None

    @property
    def from_fit(self) -> bool:
        """True where a fit sets this size."""
        return self.side == "fit"


@frozen
class Accepted:
    """How far out a size may be: a share of it, or an amount either way."""

    share: float | None
    amount: float | None
    typed: str
    at: Position

    def of(self, value: float) -> float:
        """What it comes to for a value, in the value's own unit."""
        return self.amount if self.amount is not None else abs(value) * (self.share or 0.0)


@frozen
class ShareOr(Kind):
    """How far out something may be: a percentage, or a size of some kind."""

    of: str

    @property
    def said(self) -> str:
        """See Kind."""
        return f"a percentage, like `2 %`, or {Measure(self.of, above=True).said}"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        is_share = text.text.strip().endswith("%")
        kind = Measure("share", most=0.5, above=True) if is_share else Measure(self.of, above=True)
        found = kind.read(node, path, reading)
        if found is None:
            return None
        share, amount = (found.value, None) if is_share else (None, found.value)
        return Accepted(share, amount, found.typed, found.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"anyOf": [Measure("share", most=0.5).schema(), Measure(self.of).schema()]}


@frozen
class CaliperText(Kind):
    """How a caliper size is written."""

    said = "`inside` or `outside` and a station at whose level it is measured, like `inside rim`, or a size, like `inside 71`; `fit`; or one of the studio's gauges, like `gauge caddy mouth`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if isinstance(node, source.Mapping):
            return self._read_gauge(node, path, reading)
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        words = text.text.split()
        if words == ["fit"]:
            return Caliper("fit", None, text.at)
        if words[0] == "gauge" and len(words) > 1:
            name = text.text.strip()[len("gauge") :].strip()
            return Caliper("inside", None, text.at, gauge=Word(name, place_within(text.at, text.text, name)))
        if len(words) < 2 or words[0] not in ("inside", "outside"):
            hint = _caliper_meant(words, path, reading)
            reading.refuse(
                "odd-caliper", text.at, path, f"`{text.text.strip()[:40]}` does not say what is measured", hint
            )
            return None
        typed = text.text.strip()[len(words[0]) :].strip()
        level = source.Text(typed, place_within(text.at, text.text, typed))
        found = SizeOr(STAGED, names="a station").read(level, path, reading)
        return None if found is None else Caliper(words[0], found, text.at)

    def _read_gauge(self, node: source.Mapping, path: str, reading: Reading) -> Caliper | None:
        """`{gauge: caddy mouth, at: inside rim}`: a shared size, and where the section has to agree with it."""
        names = {name.text for name, _other in node.entries}
        gauge, at = node.get("gauge"), node.get("at")
        if gauge is None or names - {"gauge", "at"}:
            reading.refuse("odd-caliper", node.at, path, "lines here say a gauge and where it is measured", "write `{gauge: caddy mouth, at: inside rim}`")  # fmt: skip
            return None
        name = read_text(gauge, f"{path}.gauge", reading, "a gauge's name")
        measured = None if at is None else self.read(at, f"{path}.at", reading)
        if name is None or (at is not None and measured is None):
            return None
        side = measured.side if measured else "inside"
        return Caliper(side, None, node.at, gauge=Word(name.text.strip(), name.at), measured=measured)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        text = {"$ref": "#/$defs/levels"}
        lines = {"type": "object", "properties": {"gauge": {"type": "string"}, "at": text}, "required": ["gauge"], "additionalProperties": False}  # fmt: skip
        return {"anyOf": [text, lines]}


# What makers say for the two sides of a wall.
_SIDE = {
    **dict.fromkeys(("inside", "inner", "internal", "inside diameter", "in", "id"), "inside"),
    **dict.fromkeys(("outside", "outer", "external", "out", "od"), "outside"),
}  # fmt: skip


def _stations(path: str, reading: Reading) -> list[str]:
    """The stations of the part in whose lines a place stands, as they were typed."""
    return reading.own(*path.split(".")[:2], "outside")


def _caliper_meant(words: list[str], path: str, reading: Reading) -> str:
    """What a maker who wrote a caliper otherwise may have meant, in the part's own names."""
    stations = _stations(path, reading)
    typed, shown = " ".join(words)[:40], stations[-1] if stations else "rim"
    if words[0] in ("inside", "outside"):
        return f"write at which station's level, as in `{words[0]} {shown}`, or the size, as in `{words[0]} 71`"
    near = reading.near(words[0], ("inside", "outside", "fit"))
    if near and (len(words) > 1 or near == "fit"):
        return f"did you mean `{' '.join([near, *words[1:]])}`?"
    if folded_name(typed) in map(folded_name, reading.own("fits")):
        return "did you mean `fit`?"
    if folded_name(typed) not in map(folded_name, stations):
        sides = [side for word in words if (side := _SIDE.get(word.casefold()))]
        others = " ".join(word for word in words if word.casefold() not in _SIDE)[:40]
        at = reading.near(others, stations) or reading.near(typed, stations)
        if sides and at:
            return f"did you mean `{sides[0]} {at}`?"
        shown = at or shown
    else:
        shown = typed
    return f"write `inside {shown}` or `outside {shown}`, or `fit` where a fit sets it"


@frozen
class Bare:
    """One stretch left without glaze: `outside`, `inside`, `all`, `none`, or from one station `to` another."""

    what: str
    start: str
    end: str
    at: Position

    @property
    def words(self) -> str:
        """The stretch as it is said: `foot to bevel`, `inside`."""
        if self.what == "stretch":
            return _("{start} to {end}").format(start=self.start, end=self.end)
        return _(self.what)


# What a stretch may be besides one from station to station.
_WHOLE = (later("outside"), later("inside"), later("all"), later("none"))


@frozen
class BareText(Kind):
    """How a bare stretch is written."""

    said = "a stretch of the outside like `foot to bevel`, `outside`, `inside`, `all` or `none`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        words = tidy_name(text.text)
        if words in ("outside", "inside", "all", "none"):
            return Bare(words, "", "", text.at)
        start, to, end = words.partition(" to ")
        if not to:
            stations = _stations(path, reading)
            ends = [
                reading.near(end, stations)
                for end in re.split(r"\s*(?:[-–—]|\bup to\b|\bthrough\b|\buntil\b|\btill\b)\s*", words[:80])
            ]
            if len(ends) == 2 and all(ends):
                hint = f"did you mean `{ends[0]} to {ends[1]}`?"
            else:
                shown = f"{stations[0]} to {stations[1]}" if len(stations) > 1 else "foot to bevel"
                hint = f"write `{shown}`, `outside`, `inside`, `all` or `none`"
            reading.refuse("odd-stretch", text.at, path, f"`{words[:40]}` is no stretch", hint)
            return None
        return Bare("stretch", start.strip(), end.strip(), text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"$ref": "#/$defs/stretches"}


class StationName(Prose):
    """The name of one of the part's stations; which there are is looked up when all is read."""

    said = "a station's name"

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"$ref": "#/$defs/stations"}


@frozen
class PartSize:
    """A caliper size of a part, perhaps of another form: `jar.mouth`, `next-beaker/cup.mouth`.

    `form` is None for the form's own parts, however they were written.
    """

    form: str | None
    part: str
    caliper: str
    at: Position

    @property
    def own(self) -> bool:
        """True for a part of the form that the fit stands in."""
        return self.form is None

    def is_of(self, part: str) -> bool:
        """True for a size of one of the form's own parts."""
        return self.form is None and self.part == part

    @property
    def said(self) -> str:
        """As it is written."""
        return (f"{self.form}/" if self.form else "") + f"{self.part}.{self.caliper}"


@frozen
class PartSizeText(Kind):
    """How a part's caliper size is named; `side` is the way in which a fit measures it."""

    side: str

    said = "a part's caliper size, like `jar.mouth` or `other-form/cup.mouth`"

    def shown(self, example: str, reading: Reading) -> str:
        """See Kind. A size of the maker's own that is measured that way."""
        for part in reading.own("parts"):
            for size in reading.own("parts", part, "calipers"):
                typed = reading.typed("parts", part, "calipers", size)
                if typed.split(" ")[0] in (self.side, "fit"):
                    return f"{part}.{size}"
        return example

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        found = re.fullmatch(r"(?:([a-z0-9][a-z0-9-]*)/)?([^./]+)\.([^./]+)", text.text.strip())
        if not found:
            typed = tidy_name(text.text)[:40]
            reading.refuse(
                "odd-fit-part",
                text.at,
                path,
                f"`{typed}` does not name a part's caliper size",
                _size_meant(typed, reading),
            )
            return None
        form = None if found[1] == reading.slug else found[1]
        return PartSize(form, found[2].strip(), found[3].strip(), text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": "string", "pattern": "^\\s*([a-z0-9][a-z0-9-]*/)?[^./]+\\.[^./]+$"}


def _size_meant(typed: str, reading: Reading) -> str:
    """The caliper size of one of the form's own parts that was written otherwise: its part or its name alone, or without the point."""
    sizes = [f"{part}.{size}" for part in reading.own("parts") for size in reading.own("parts", part, "calipers")]
    alone = [size for size in sizes if folded_name(typed) in map(folded_name, size.split("."))]
    near = alone[0] if len(alone) == 1 else None if alone else reading.near(re.sub(r"[\s/:_'’]+", ".", typed), sizes)
    if near:
        return f"did you mean `{near}`?"
    shown = (alone or sizes or ["jar.mouth"])[0]
    return f"write the part, a point, and a name from its `calipers:`, as in `{shown}`"


@frozen
class Measured:
    """What was measured of one figure at one stage, a value a piece, as typed."""

    figure: str
    stage: str | None
    values: tuple[Word, ...]
    at: Position


@frozen
class MeasuredLine(Kind):
    """One line under `measured`: a figure's key, its stage, and the values."""

    said = "`{cup.rim.diameter wet: [91.0, 90.5]}`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if not isinstance(node, source.Mapping) or len(node.entries) != 1:
            reading.refuse(
                "odd-measure", node.at, path, "one figure and its values are wanted here", f"write {self.said}"
            )
            return None
        name, value_node = node.entries[0]
        figure, _other, stage = name.text.strip().rpartition(" ")
        if not figure:
            figure, stage = stage, ""
        if stage and stage not in STAGES:
            near = reading.near(stage, STAGES)
            reading.refuse(
                "unknown-word",
                name.at,
                path,
                f"`{stage[:40]}` is no stage",
                f"did you mean `{near}`?" if near else f"the stages are {', '.join(STAGES)}",
            )
            return None
        values = ListOf(Prose(), or_one=True).read(value_node, f"{path}.{name.text}", reading)
        return None if values is None else Measured(figure.strip(), stage or None, values, name.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": "object", "minProperties": 1, "maxProperties": 1}
