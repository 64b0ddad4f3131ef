"""Kinds of size: number and unit, perhaps a stage; and those that many keys share."""

from __future__ import annotations

from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.text import source, units
from wareboard.text.kinds import Kind, Reading, Size, read_text
from wareboard.text.measures import BARE, size_pattern

_EXAMPLES = {
    "length": "90 mm", "mass": "540 g", "volume": "350 ml", "share": "12 %", "density": "1.95 g/cm3",
    "areal": "0.9 kg/m2", "area": "84 cm2", "time": "14 h", "temperature": "1240 C", "number": "1.03", "price": "34.00",
}  # fmt: skip
_SAID_MEASURES = {
    "length": "a length", "mass": "a weight", "volume": "a volume", "share": "a percentage", "density": "a density",
    "areal": "a weight by area", "area": "an area", "time": "a time", "temperature": "a temperature", "number": "a number", "price": "a price",
}  # fmt: skip


@frozen
class Measure(Kind):
    """A size: number and unit, perhaps a stage. Limits are in the base unit of the kind; a share may be `taken_of` some stages, or in `points`."""

    of: str
    least: float = 0.0
    most: float = float("inf")
    above: bool = False
    staged: bool = False
    taken_of: tuple[str, ...] = ()
    points: bool = False

    @property
    def said(self) -> str:
        """See Kind."""
        return f"{_SAID_MEASURES[self.of]}, like `{_EXAMPLES[self.of]}`"

    def shown(self, example: str, reading: Reading) -> str:
        """See Kind. Examples of lengths are in mm."""
        bare = self.of == "length" and reading.unit != "mm" and example.replace(".", "").isdigit()
        return f"{example} mm" if bare else example

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        unit = reading.unit if self.of == "length" else None
        try:
            found = units.parse_quantity(
                text.text, self.of, unit=unit, fluid_ounce=reading.fluid_ounce, stage_allowed=self.staged, taken_of=self.taken_of, points=self.points,
            )  # fmt: skip
        except units.SizeError as fault:
            reading.refuse("unreadable-size", text.at, path, fault.message, fault.hint)
            return None
        if not self._fits(found.value):
            reading.refuse(
                "size-out-of-range", text.at, path, f"`{text.text.strip()[:40]}` cannot be; {self._range()} here"
            )
            return None
        return Size(found.value, found.stage, found.of, text.text.strip(), text.at)

    def _fits(self, value: float) -> bool:
        lowest = value > self.least if self.above else value >= self.least
        return lowest and value <= self.most

    def _range(self) -> str:
        low = f"{'more than' if self.above else 'at least'} {self._shown(self.least)}"
        most = f" and at most {self._shown(self.most)}" if self.most < float("inf") else ""
        return f"{_SAID_MEASURES[self.of]} is {low}{most}"

    def _shown(self, value: float) -> str:
        return f"{value * 100:g} %" if self.of == "share" else f"{value:g} {_BASE_UNITS[self.of]}".strip()

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        pattern = size_pattern(self.of, staged=self.staged, whole=self.of == "share" and self.most <= 1.0)
        return {"type": ["number", "string"] if self.of in BARE else "string", "pattern": pattern}


_BASE_UNITS = {
    "length": "mm",
    "mass": "g",
    "volume": "ml",
    "density": "g/cm3",
    "areal": "kg/m2",
    "area": "m2",
    "time": "h",
    "temperature": "C",
    "number": "",
    "price": "",
}


STAGED = Measure("length", most=3000.0, staged=True)
LENGTH = Measure("length", most=3000.0)
THICKNESS = Measure("length", most=300.0, above=True, staged=True)
SHARE = Measure("share", most=1.0)
POINTS = Measure("share", most=1.0, points=True)
SHRUNK = Measure("share", most=1.0, taken_of=("wet", "dry"))
LOSS = Measure("share", most=0.9)
WEIGHT = Measure("mass", most=200_000.0, above=True)
DENSITY = Measure("density", least=0.5, most=8.0)
CONFIDENCE = Measure("share", least=0.5, most=0.9999)
TIME = Measure("time", most=1000.0)
