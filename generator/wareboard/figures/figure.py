"""A figure: one number with its unit, its doubt and where it comes from; and the ledger that they are written into."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any, NamedTuple

from wareboard.pot.doubt import Budget, Cause
from wareboard.text.catalogue import Declared, Named, UnknownFigure, check_names, named
from wareboard.text.formulas import Formula, Note, Number, Put, number, working
from wareboard.text.languages import _
from wareboard.text.links import GALLERY_LEVELS
from wareboard.text.problems import Position
from wareboard.text.specs import Form


class Working(NamedTuple):
    """How a figure came about, said when it is asked for: a formula or words, and the numbers that are put in."""

    how: str | Formula | Note
    numbers: Mapping[str, Put]
    value: float
    unit: str
    note: str | Note = ""

    def __str__(self) -> str:
        said = f"{working(self.how, self.numbers)} = {number(self.value)} {self.unit}"
        if not self.note:
            return said
        return f"{said}; {self.note if isinstance(self.note, Note) else _(self.note)}"


class Figure(NamedTuple):
    """One number of the sheet.

    `value` is in `unit`, unrounded; `plus_minus` one standard deviation in the same unit for the next piece, or None.
    `inputs` holds keys of figures with their stage (`cup.rim.diameter fired`), or `file:line` of the spec.
    `budget` is what its doubt for the next piece of a lot not yet seen is made of: `interval` and `doubt` come of it.
    """

    key: str
    stage: str | None
    value: float
    unit: str
    plus_minus: float | None
    working: str | Working
    inputs: tuple[str, ...]
    source: str
    given: bool
    budget: Budget | None = None

    @property
    def interval(self) -> tuple[float, float] | None:
        """95 % for the next piece of a lot not yet seen; None where no doubt has been worked out."""
        return self.budget.interval(self.value) if self.budget else None

    @property
    def doubt(self) -> tuple[Cause, ...]:
        """The components of the doubt: where each comes from, and its standard deviation."""
        return self.budget.causes if self.budget else ()

    @property
    def name(self) -> str:
        """Key and stage as they are quoted: `cup.rim.diameter fired`."""
        return f"{self.key} {self.stage}" if self.stage else self.key

    @property
    def how(self) -> str:
        """The formula in words and symbols, with this figure's numbers put in."""
        return str(self.working)

    @property
    def named(self) -> Named:
        """What the catalogue says of it."""
        return named(self.key)

    def as_json(self) -> dict[str, object]:
        """The figure as the JSON of the sheet has it."""
        return {
            "key": self.key, "stage": self.stage, "value": self.value, "unit": self.unit, "plus_minus": self.plus_minus, "how": self.how,
            "inputs": list(self.inputs), "source": self.source, "given": self.given,
            "interval": list(self.interval) if self.interval else None, "doubt": [{"from": cause.name, "sd": cause.deviation} for cause in self.doubt],
        }  # fmt: skip


# A sheet has hundreds: a tuple made as such takes half the time of one that is called by its class.
_made: Callable[..., Any] = tuple.__new__


class Ledger:
    """Figures in the order in which they are worked out, each found by key and stage.

    What the catalogue doesn't know is refused: a key, a stage, and, where the form's names are given, a name in a key.
    """

    def __init__(self, known: Iterable[Figure] = (), names: Mapping[str, Collection[str]] | None = None) -> None:
        self.figures: dict[tuple[str, str | None], Figure] = {(figure.key, figure.stage): figure for figure in known}
        self.names = names
        self._declared: dict[str, Declared] = {}

    def declared(self, key: str) -> Declared:
        """What the catalogue says of a key; its names are looked up in the form's once.

        Raises: UnknownFigure, a key that the catalogue hasn't got, or a name that the form hasn't got.
        """
        if key in self._declared:
            return self._declared[key]
        found = named(key)
        if self.names is not None and (odd := check_names(found, self.names)):
            raise UnknownFigure(f"`{key}` names {odd}, which the form hasn't got")
        self._declared[key] = found.declared
        return found.declared

    def work(
        self, key: str, stage: str | None, inputs: Iterable[str] = (), *, formula: Formula | None = None, note: str | Note = "", source: str | None = None,
        plus_minus: float | None = None, budget: Budget | None = None, **numbers: Number,
    ) -> float:  # fmt: skip
        """Work a figure out by a formula, write it down and hand its value on.

        Args:
            key: the figure's key.
            stage: its stage, or None.
            inputs: keys of figures with their stage, or `file:line` of the spec.
            formula: the formula, where the catalogue's own doesn't hold or it has none.
            note: what is said behind it.
            source: by whose rule, where it is not the catalogue's.
            plus_minus: one standard deviation, in the figure's unit.
            budget: its doubt for the next piece of a lot not yet seen.
            numbers: what is put into the formula, by its names.
        """
        wanted = formula or self.declared(key).formula
        if wanted is None:
            raise UnknownFigure(f"the catalogue has no formula for `{key}`")
        put: dict[str, Any] = dict(numbers)
        return self.write(
            key, stage, wanted(**numbers), wanted, inputs,
            note=note, source=source, plus_minus=plus_minus, budget=budget, **put,
        )  # fmt: skip

    def write(
        self, key: str, stage: str | None, value: float, how: str | Formula | Note, inputs: Iterable[str] = (), *, note: str | Note = "", source: str | None = None,
        plus_minus: float | None = None, given: bool = False, budget: Budget | None = None, **numbers: Put,
    ) -> float:  # fmt: skip
        """Write a figure down and hand its value on; unit and source are the catalogue's.

        Args:
            key: the figure's key.
            stage: its stage, or None.
            value: in the catalogue's unit.
            how: how it came about in words, with names of `numbers` in braces; ` = value unit` is added to it.
            inputs: keys of figures with their stage, or `file:line` of the spec.
            note: what is said behind it.
            source: by whose rule, where it is not the catalogue's; none where a maker typed it.
            plus_minus: one standard deviation, in the figure's unit.
            given: a maker typed it.
            budget: its doubt for the next piece of a lot not yet seen.
            numbers: what is put into `how`, by name.
        Raises: UnknownFigure, a key or stage that the catalogue hasn't got, or a name that the form hasn't got.
        """
        declared = self.declared(key)
        whose = source if source is not None else "" if given else declared.source
        self.put(
            declared,
            key,
            stage,
            value,
            how,
            tuple(dict.fromkeys(inputs)),
            numbers,
            whose,
            plus_minus,
            budget,
            given,
            note,
        )
        return value

    def put(
        self, declared: Declared, key: str, stage: str | None, value: float, how: str | Formula | Note, inputs: tuple[str, ...], numbers: Mapping[str, Put],
        source: str, plus_minus: float | None, budget: Budget | None, given: bool = False, note: str | Note = "",
    ) -> None:  # fmt: skip
        """Put a figure down as it is, for who writes one key at many stages: `declared` is asked for once.

        Raises: UnknownFigure, a stage that the catalogue hasn't got.
        """
        if stage not in declared.stages:
            raise UnknownFigure(f"`{key}` is no figure at {stage}; the catalogue has {declared.stages}")
        unit = declared.unit
        working = _made(Working, (how, numbers, value, unit, note))
        self.figures[key, stage] = _made(
            Figure, (key, stage, value, unit, plus_minus, working, inputs, source, given, budget)
        )

    def value(self, key: str, stage: str | None = None) -> float:
        """The value of a figure that was written before."""
        return self.figures[key, stage].value


def place(at: Position) -> str:
    """A place of a spec, as the inputs of figures name it."""
    return f"{at.file}:{at.line}"


def names_of(form: Form) -> dict[str, Collection[str]]:
    """A form's own names, by the placeholder that stands for them in the catalogue's keys."""
    parts = form.parts.values()
    return {
        "P": {str(name) for name in form.parts},
        "F": {str(name) for name in form.fits},
        "S": {
            str(name)
            for part in parts
            for name in (*part.outside, *(GALLERY_LEVELS if part.gallery is not None else ()))
        },
        "C": {str(name) for part in parts for name in part.calipers},
        "E": {str(name) for part in parts for name in part.extras},
    }
