"""A figure: one number with its unit, its doubt and where it comes from; and the ledger that they are written into."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

COMMON = "common practice"
C326 = "ASTM C326 (shrinkage in % of the plastic length)"
PAPPUS = "Pappus's theorem; CRC Concise Encyclopedia of Mathematics"
BRONGNIART = "Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (quoted by later texts)"
STACK = "root-sum-square and worst-case tolerance stacks; normal distribution"
ISO286 = "ISO 286-1 (clearance: inside size minus outside size)"


class Figure(NamedTuple):
    """One number of the sheet.

    `value` is in `unit`, unrounded; `plus_minus` one standard deviation in the same unit, or None.
    `inputs` holds keys of figures with their stage (`cup.rim.diameter fired`), or `file:line` of the spec.
    """

    key: str
    stage: str | None
    value: float
    unit: str
    plus_minus: float | None
    how: str
    inputs: tuple[str, ...]
    source: str
    given: bool

    @property
    def name(self) -> str:
        """Key and stage as they are quoted: `cup.rim.diameter fired`."""
        return f"{self.key} {self.stage}" if self.stage else self.key

    def as_json(self) -> dict[str, object]:
        """The figure as the JSON of the sheet has it."""
        return {**self._asdict(), "inputs": list(self.inputs)}


class Ledger:
    """Figures in the order in which they are worked out, each found by key and stage."""

    def __init__(self, known: Iterable[Figure] = ()) -> None:
        self.figures: dict[tuple[str, str | None], Figure] = {(figure.key, figure.stage): figure for figure in known}

    def write(
        self, key: str, stage: str | None, value: float, unit: str, how: str, inputs: Iterable[str] = (),
        *, source: str = "", plus_minus: float | None = None, given: bool = False,
    ) -> float:  # fmt: skip
        """Write a figure down and hand its value on."""
        self.figures[key, stage] = Figure(
            key, stage, value, unit, plus_minus, how, tuple(dict.fromkeys(inputs)), source, given
        )
        return value

    def value(self, key: str, stage: str | None = None) -> float:
        """The value of a figure that was written before."""
        return self.figures[key, stage].value


def number(value: float) -> str:
    """A number inside a formula in words: five digits, no more than it is worth.

    >>> number(90.909090), number(0.00035), number(403000.0)
    ('90.909', '0.00035', '403000')
    """
    if value == 0.0:
        return "0"
    text = f"{value:.0f}" if abs(value) >= 99_999.5 else f"{value:.5g}"
    return text if "e" not in text else f"{value:.2g}" if abs(value) >= 1e-4 else f"{value:.1e}"


def percent(share: float) -> str:
    """A share inside a formula in words.

    >>> percent(0.1205)
    '12.05 %'
    """
    return f"{number(share * 100.0)} %"
