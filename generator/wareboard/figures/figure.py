"""A figure: one number with its unit, its doubt and where it comes from; and the ledger that they are written into."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

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
    account: Told | Callable[[str], Told]

    def moved_to(self, value: float) -> Figure:
        """The same figure with another value: how it came about stays told."""
        return _made(Figure, (self[0], self[1], value, self[3], self[4]))  # type: ignore[no-any-return]

    @property
    def told(self) -> Told:
        """How it came about."""
        return self.account if isinstance(self.account, Told) else self.account(str(self.stage))

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


class Ledger:
    """Figures in the order in which they are worked out, each found by key and stage.

    What the catalogue doesn't know is refused: a key, a stage, and, where the form's names are given, a name in a key.
    """

    def __init__(self, known: Iterable[Figure] = (), names: frozenset[tuple[str, str]] | None = None) -> None:
        self.figures: dict[tuple[str, str | None], Figure] = {(figure.key, figure.stage): figure for figure in known}
        self.declared = _declarations(names)

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
        self._put(key, stage, value, _made(Told, (value, formula, inputs, numbers, note, source, False, doubt)))
        return value

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
        self._put(key, stage, value, _made(Told, (value, how, inputs, numbers, note, source, given, doubt)))
        return value

    def put(self, key: str, stage: str | None, value: float, account: Callable[[str], Told]) -> None:
        """Put a figure down with what tells of it, which is asked with the stage once somebody wants to know.

        Raises: UnknownFigure, as `write`.
        """
        self._put(key, stage, value, Once(account))

    def _put(self, key: str, stage: str | None, value: float, account: Told | Callable[[str], Told]) -> None:
        declared = self.declared[key]
        if stage not in declared.stages:
            raise UnknownFigure(f"`{key}` is no figure at {stage}; the catalogue has {declared.stages}")
        self.figures[key, stage] = _made(Figure, (key, stage, value, declared.unit, account))

    def write_stages(self, key: str, values: Iterable[float], account: Callable[[str], Told]) -> None:
        """Write down a figure that is at all five stages, of which one account tells.

        Args:
            key: the figure's key.
            values: its values through the stages, in the catalogue's unit.
            account: how it came about, asked with the stage once somebody wants to know.
        Raises: UnknownFigure, as `write`.
        """
        declared, figures = self.declared[key], self.figures
        if declared.stages != STAGES:
            raise UnknownFigure(f"`{key}` is no figure at all stages; the catalogue has {declared.stages}")
        unit, kept = declared.unit, Once(account)
        for stage, value in zip(STAGES, values):
            figures[key, stage] = _made(Figure, (key, stage, value, unit, kept))

    def value(self, key: str, stage: str | None = None) -> float:
        """The value of a figure that was written before."""
        return self.figures[key, stage].value


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
