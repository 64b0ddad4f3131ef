"""A figure: one number with its unit, its doubt and where it comes from; and the ledger that they are written into."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache, partial
from types import MappingProxyType
from typing import Any, NamedTuple, overload

from wareboard.pot.doubt import Budget, Cause
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import Declared, Named, UnknownFigure, named
from wareboard.text.formulas import Formula, Note, Number, Put, number, working
from wareboard.text.languages import _
from wareboard.text.links import GALLERY_LEVELS
from wareboard.text.problems import Position
from wareboard.text.specs import Form


class Once:
    """Work that is done when it is first asked for, and kept: what tells of a figure at a stage, how far off it may be.

    As `functools.partial`; what it is asked with, a stage or nothing, comes last.
    """

    __slots__ = ("_given", "_known", "_work")

    def __init__(self, work: Callable[..., Any], *given: Any) -> None:
        self._work, self._given = work, given
        self._known: dict[tuple[str, ...], Any] = {}

    def __call__(self, *asked: str) -> Any:
        """What comes of it."""
        if asked not in self._known:
            self._known[asked] = self._work(*self._given, *asked)
        return self._known[asked]


class Doubt(NamedTuple):
    """How far off a figure may be: one standard deviation for the next piece, and what its doubt is made of; None where nothing tells.

    `budget` is that of the next piece of a lot not yet seen: a figure's interval comes of it.
    """

    plus_minus: float | None = None
    budget: Budget | None = None


NO_DOUBT = Doubt()
NOTHING: Mapping[str, Put] = {}


# A sheet has hundreds: a tuple made as such takes half the time of one that is called by its class.
_made: Callable[..., Any] = tuple.__new__


class Told(NamedTuple):
    """How a figure came about: a formula or words with the numbers that are put in, what it was worked out from, by whose rule.

    Without a formula or a `source` of its own it goes by the catalogue's. Its doubt is worked out when somebody asks: of hundreds of
    figures few are asked.
    """

    value: float
    how: str | Formula | Note | None
    inputs: Sequence[str] = ()
    numbers: Mapping[str, Put] = NOTHING
    note: str | Note = ""
    source: str | None = None
    given: bool = False
    doubt: Callable[[], Doubt] | None = None


class Figure(NamedTuple):
    """One number of the sheet.

    `value` is in `unit`, unrounded. `account` tells how it came about; where one account is of all stages, once it is told the stage.
    """

    key: str
    stage: str | None
    value: float
    unit: str
    account: Told | Line

    @property
    def told(self) -> Told:
        """How it came about."""
        return self.account if isinstance(self.account, Told) else self.account(self.stage)

    @property
    def doubted(self) -> Doubt:
        """How far off it may be."""
        doubt = self.told.doubt
        return doubt() if doubt else NO_DOUBT

    def __eq__(self, other: object) -> bool:
        """Two figures are the same where they tell the same."""
        if not isinstance(other, Figure):
            return NotImplemented
        return (self[:4], self.told[:-1], self.doubted) == (other[:4], other.told[:-1], other.doubted)

    @property
    def plus_minus(self) -> float | None:
        """One standard deviation for the next piece, in the figure's unit, or None."""
        return self.doubted.plus_minus

    @property
    def interval(self) -> tuple[float, float] | None:
        """95 % for the next piece of a lot not yet seen; None where no doubt has been worked out."""
        budget = self.doubted.budget
        return budget.interval(self.value) if budget else None

    @property
    def doubt(self) -> tuple[Cause, ...]:
        """The components of the doubt: where each comes from, and its standard deviation."""
        budget = self.doubted.budget
        return budget.causes if budget else ()

    @property
    def inputs(self) -> tuple[str, ...]:
        """Keys of figures with their stage (`cup.rim.diameter fired`), or `file:line` of the spec, each once."""
        return tuple(dict.fromkeys(self.told.inputs))

    @property
    def source(self) -> str:
        """By whose rule, where the formula has one; nobody's where a maker typed it."""
        told = self.told
        return told.source if told.source is not None else "" if told.given else self.named.declared.source

    @property
    def given(self) -> bool:
        """True where a maker typed it."""
        return self.told.given

    @property
    def name(self) -> str:
        """Key and stage as they are quoted: `cup.rim.diameter fired`."""
        return f"{self.key} {self.stage}" if self.stage else self.key

    @property
    def how(self) -> str:
        """The formula in words and symbols, with this figure's numbers put in."""
        value, how, _inputs, numbers, note, *_rest = self.told
        said = f"{working(how or self.named.declared.formula or '', numbers)} = {number(value)} {self.unit}"
        return f"{said}; {note if isinstance(note, Note) else _(note)}" if note else said

    @property
    def named(self) -> Named:
        """What the catalogue says of it."""
        return named(self.key)

    def as_json(self) -> dict[str, object]:
        """The figure as the JSON of the sheet has it."""
        plus_minus, budget = self.doubted
        return {
            "key": self.key, "stage": self.stage, "value": self.value, "unit": self.unit, "plus_minus": plus_minus, "how": self.how,
            "inputs": list(self.inputs), "source": self.source, "given": self.given,
            "interval": list(budget.interval(self.value)) if budget else None,
            "doubt": [{"from": cause.name, "sd": cause.deviation} for cause in budget.causes] if budget else [],
        }  # fmt: skip


class _Declarations(dict[str, Declared]):
    """What the catalogue says of each key that is written, looked up once; the names in a key are a form's."""

    def __init__(self, names: frozenset[tuple[str, str]] | None) -> None:
        self.names = names

    def __missing__(self, key: str) -> Declared:
        found = named(key)
        if self.names is not None:
            for name in found.names.items():
                if name not in self.names:
                    raise UnknownFigure(f"`{key}` names {name[1]}, which the form hasn't got")
        self[key] = found.declared
        return found.declared


# Forms with the same names, and a form that is worked out again, have the same keys.
_declarations = lru_cache(maxsize=64)(_Declarations)


# What a figure is at each stage that the catalogue has of it; None where it has none there.
Values = Sequence[float | None]


class WhenRead(Sequence[float | None]):
    """Values that are worked out when one of them is first read, and kept: of what is measured, much is asked for by few."""

    __slots__ = ("_count", "_known", "_work")

    def __init__(self, count: int, work: Callable[[], Values]) -> None:
        self._count, self._work = count, work
        self._known: Values | None = None

    def read(self) -> Values:
        """The values, worked out."""
        if self._known is None:
            self._known = self._work()
        return self._known

    def then(self, change: Callable[[Values], Values]) -> WhenRead:
        """What a change makes of them, worked out when that is read."""
        return WhenRead(self._count, lambda: change(self.read()))

    @overload
    def __getitem__(self, place: int) -> float | None: ...
    @overload
    def __getitem__(self, place: slice) -> Values: ...
    def __getitem__(self, place: int | slice) -> float | Values | None:
        return self.read()[place]

    def __iter__(self) -> Iterator[float | None]:
        return iter(self.read())

    def __len__(self) -> int:
        return self._count


class Line(NamedTuple):
    """A figure through its stages: a value at each stage of the catalogue's, None where it has none there, and one account of them all.

    The account is asked with a stage once somebody wants to know, and what it told is kept in `told`; it is None where all is told already.
    """

    key: str
    declared: Declared
    values: Values
    account: Callable[[str], Told] | None
    told: dict[str | None, Told]

    def __call__(self, stage: str | None) -> Told:
        """How the figure came about at a stage."""
        if stage not in self.told and self.account is not None:
            self.told[stage] = self.account(str(stage))
        return self.told[stage]

    def known(self, stage: str | None) -> float | None:
        """Its value at a stage, or None."""
        stages = self.declared.stages
        return self.values[stages.index(stage)] if stage in stages else None

    def value(self, stage: str | None) -> float:
        """Its value at a stage. Raises KeyError."""
        value = self.known(stage)
        if value is None:
            raise KeyError(f"{self.key} {stage}")
        return value


class Figures(Mapping[tuple[str, str | None], Figure]):
    """Figures by key and stage, in the order in which they were worked out: lines, of which a figure is read when it is asked for."""

    def __init__(self, lines: Mapping[str, Line] = MappingProxyType({})) -> None:
        self.lines = lines
        self._read: dict[tuple[str, str | None], Figure] = {}

    def __getitem__(self, at: tuple[str, str | None]) -> Figure:
        found = self._read.get(at)
        if found is None:
            line = self.lines[at[0]]
            found = self._read[at] = Figure(*at, line.value(at[1]), line.declared.unit, line)
        return found

    def __iter__(self) -> Iterator[tuple[str, str | None]]:
        together: list[Line] = []
        for line in self.lines.values():
            if not line.declared.beside:
                yield from _by_stage(together)
                together = []
            together.append(line)
        yield from _by_stage(together)

    def __len__(self) -> int:
        return sum(value is not None for line in self.lines.values() for value in line.values)

    def known(self, key: str, stage: str | None = None) -> float | None:
        """A figure's value, or None."""
        line = self.lines.get(key)
        return line.known(stage) if line else None

    def value(self, key: str, stage: str | None = None) -> float:
        """A figure's value. Raises KeyError."""
        return self.lines[key].value(stage)


class Moved:
    """Figures, some of which are moved: how each came about stays told, and what is no figure stays none."""

    def __init__(self, found: Figures) -> None:
        self._lines, self._values = found.lines, dict[str, Values]()

    def values(self, key: str) -> Values:
        """What a figure is now, at each of its stages; nothing of what is no figure."""
        line = self._lines.get(key)
        return self._values.get(key, line.values) if line else ()

    def put(self, key: str, stage: str | None, value: float) -> None:
        """Move a figure to a value."""
        values = list(self.values(key))
        if values and stage in (stages := self._lines[key].declared.stages):
            place = stages.index(stage)
            if values[place] is not None:
                values[place] = value
                self._values[key] = values

    def put_all(self, key: str, values: Sequence[float]) -> None:
        """Move a figure to values at all its stages."""
        if key in self._lines:
            self._values[key] = list(values)

    def shift(self, key: str, by: Sequence[float]) -> None:
        """Move a figure by so much at each of its stages."""
        self._change(key, partial(_shifted, by))

    def scale(self, key: str, by: float) -> None:
        """Move a figure to so many times what it is."""
        self._change(key, partial(_times, by))

    def _change(self, key: str, change: Callable[[Values], Values]) -> None:
        """Make something else of a figure's values; of those that nobody has read yet, once somebody does."""
        values = self.values(key)
        if isinstance(values, WhenRead):
            self._values[key] = values.then(change)
        elif values:
            self._values[key] = change(values)

    def shift_size(self, key: str, by: float, kept: Sequence[float], since: str = "wet") -> None:
        """Move a size by so much at the stage where it is set, and at all that follow by what is kept of it.

        Args:
            key: the size.
            by: mm.
            kept: what the size is at each of STAGES, over what it is wet.
            since: the stage at which it is set.
        """
        if by:
            first = STAGES.index(since)
            self.shift(key, [0.0] * first + [by * left / kept[first] for left in kept[first:]])

    def figures(self) -> Figures:
        """The figures as they are now."""
        lines = dict(self._lines)
        for key, values in self._values.items():
            _key, declared, _values, account, told = lines[key]
            lines[key] = _made(Line, (key, declared, values, account, told))
        return Figures(lines)


def _shifted(by: Sequence[float], values: Values) -> Values:
    found = list(values)
    for place, (now, more) in enumerate(zip(found, by)):
        if now is not None and more:
            found[place] = now + more
    return found


def _times(by: float, values: Values) -> Values:
    return [None if value is None else value * by for value in values]


def _by_stage(lines: Sequence[Line]) -> Iterator[tuple[str, str | None]]:
    """Lines that are told beside each other, one stage of all after the other."""
    for place, stage in enumerate(lines[0].declared.stages if lines else ()):
        yield from ((line.key, stage) for line in lines if line.values[place] is not None)


class Ledger:
    """Figures in the order in which they are worked out, each found by key and stage.

    What the catalogue doesn't know is refused: a key, a stage, and, where the form's names are given, a name in a key.
    """

    def __init__(
        self, known: Mapping[str, Line] = MappingProxyType({}), names: frozenset[tuple[str, str]] | None = None
    ) -> None:
        self.lines = dict(known)
        self.figures = Figures(self.lines)
        self.declared = _declarations(names)

    def put(self, key: str, values: Values | Callable[[], Values], account: Callable[[str], Told]) -> None:
        """Put a figure down at all its stages, of which one account tells.

        Args:
            key: the figure's key.
            values: its values at the stages that the catalogue has, in its unit; None where it has none there. Or what works them
                out, where that is much work and little asked for: it is done when one is first read.
            account: how it came about, asked with the stage once somebody wants to know.
        Raises: UnknownFigure, a key that the catalogue hasn't got, other stages, or a name that the form hasn't got.
        """
        declared = self.declared[key]
        if callable(values):
            values = WhenRead(len(declared.stages), values)
        if len(values) != len(declared.stages):
            raise UnknownFigure(f"`{key}` is a figure at {declared.stages}")
        self.lines[key] = _made(Line, (key, declared, values, account, {}))

    def work(
        self, key: str, stage: str | None, inputs: Sequence[str], numbers: Mapping[str, Number], *, formula: Formula | None = None,
        note: str | Note = "", source: str | None = None, doubt: Callable[[], Doubt] | None = None,
    ) -> float:  # fmt: skip
        """Work a figure out by a formula, write it down and hand its value on.

        Args:
            key: the figure's key.
            stage: its stage, or None.
            inputs: keys of figures with their stage, or `file:line` of the spec.
            numbers: what is put into the formula, by its names.
            formula: the formula, where the catalogue's own doesn't hold or it has none.
            note: what is said behind it.
            source: by whose rule, where it is not the catalogue's.
            doubt: how far off it may be, in the figure's unit, worked out when it is asked for.
        """
        wanted = formula or self.declared[key].formula
        if wanted is None:
            raise UnknownFigure(f"the catalogue has no formula for `{key}`")
        value = wanted(numbers)
        self._tell(key, stage, value, _made(Told, (value, formula, inputs, numbers, note, source, False, doubt)))
        return value

    def work_when_read(
        self, key: str, inputs: Callable[[], Sequence[str]], numbers: Callable[[], Mapping[str, Number]], *, formula: Formula | None = None,
        note: str | Note = "", source: str | None = None, doubt: Callable[[], Doubt] | None = None,
    ) -> None:  # fmt: skip
        """As `work`, of a figure that is one number and that few ask for: what it is worked out from is asked when it is first read.

        Args:
            key: the figure's key; the catalogue has it at one stage.
            inputs: gives what `work` takes.
            numbers: gives what `work` takes.
            formula, note, source, doubt: as `work` takes them.
        """
        wanted = formula or self.declared[key].formula
        if wanted is None:
            raise UnknownFigure(f"the catalogue has no formula for `{key}`")
        put_in = Once(numbers)

        def told(_stage: str) -> Told:
            return Told(wanted(put_in()), formula, inputs(), put_in(), note, source, doubt=doubt)

        self.put(key, lambda: (wanted(put_in()),), told)

    def write(
        self, key: str, stage: str | None, value: float, how: str | Formula | Note, inputs: Sequence[str] = (), numbers: Mapping[str, Put] = NOTHING,
        *, note: str | Note = "", source: str | None = None, given: bool = False, doubt: Callable[[], Doubt] | None = None,
    ) -> float:  # fmt: skip
        """Write a figure down and hand its value on; unit and source are the catalogue's.

        Args:
            key: the figure's key.
            stage: its stage, or None.
            value: in the catalogue's unit.
            how: how it came about in words, with names of `numbers` in braces; ` = value unit` is added to it.
            inputs: keys of figures with their stage, or `file:line` of the spec.
            numbers: what is put into `how`, by name.
            note: what is said behind it.
            source: by whose rule, where it is not the catalogue's; none where a maker typed it.
            given: a maker typed it.
            doubt: how far off it may be, in the figure's unit, worked out when it is asked for.
        Raises: UnknownFigure, a key or stage that the catalogue hasn't got, or a name that the form hasn't got.
        """
        self._tell(key, stage, value, _made(Told, (value, how, inputs, numbers, note, source, given, doubt)))
        return value

    def _tell(self, key: str, stage: str | None, value: float, told: Told) -> None:
        """Write down one stage of a figure, of which all is told already."""
        declared = self.declared[key]
        stages = declared.stages
        if stage not in stages:
            raise UnknownFigure(f"`{key}` is no figure at {stage}; the catalogue has {stages}")
        line = self.lines.get(key)
        if line is None:
            values = (value,) if len(stages) == 1 else [value if at == stage else None for at in stages]
            self.lines[key] = _made(Line, (key, declared, values, None, {stage: told}))
        else:
            values = [value if at == stage else known for at, known in zip(stages, line.values)]
            self.lines[key] = line._replace(values=values, told={**line.told, stage: told})

    def value(self, key: str, stage: str | None = None) -> float:
        """The value of a figure that was written before."""
        return self.lines[key].value(stage)


def place(at: Position) -> str:
    """A place of a spec, as the inputs of figures name it."""
    return f"{at.file}:{at.line}"


def names_of(form: Form) -> frozenset[tuple[str, str]]:
    """A form's own names, each with the placeholder that stands for it in the catalogue's keys."""
    parts = form.parts.values()
    levels = GALLERY_LEVELS if any(part.gallery is not None for part in parts) else ()
    return frozenset((
        *(("P", str(name)) for name in form.parts), *(("F", str(name)) for name in form.fits), *(("S", name) for name in levels),
        *(("S", str(name)) for part in parts for name in part.outside), *(("C", str(name)) for part in parts for name in part.calipers),
        *(("E", str(name)) for part in parts for name in part.extras),
    ))  # fmt: skip
