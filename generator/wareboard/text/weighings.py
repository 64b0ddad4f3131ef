"""Kinds of value that are weighed or paid for: a pint of slop, a coat from two weighings, a price for a weight."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.pot.glaze import coat_kg_m2, pint_density_g_ml
from wareboard.text import source, units
from wareboard.text.kinds import Kind, Prose, Reading, Size, Word, read_text
from wareboard.text.plain import escaped
from wareboard.text.problems import Position
from wareboard.text.records import Nested, key, read_record
from wareboard.text.sizekinds import Measure

_PINT = re.compile(
    r"(?P<weight>.*\b(?:oz|ozs|ounces?|lbs?|pounds?|g|grams?)\b\.?)\s*(?:(?:/|a|per)\s*)?(?:pint)?\s*(?P<first>US|imp)?\s*(?:pint)?\s*"
    r"(?P<last>US|imp)?",
    re.IGNORECASE,
)


@frozen
class WaterShare(Measure):
    """Water as a share of the wet clay's weight; `of dry`, as soil mechanics gives it, is brought to that."""

    of: str = "share"
    most: float = 0.6
    taken_of: tuple[str, ...] = ("wet", "dry")

    @property
    def said(self) -> str:
        """See Kind."""
        return f"{super().said}, or of the dry weight, like `27.4 % of dry`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        found = super().read(node, path, reading)
        if isinstance(found, Size) and found.of == "dry":
            return Size(found.value / (1.0 + found.value), None, None, found.typed, found.at)
        return found


@frozen
class PintWeight(Kind):
    """Density of slop, as such or as the weight of a pint; an imperial pint unless `US` stands there."""

    density: Measure
    said = "a density, like `1.45 g/ml`; or a pint's weight, like `29 oz` (an imperial pint) or `24 oz US`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        found = _PINT.fullmatch(" ".join(text.text.split()))
        if not found or not re.search(r"oz|ounce|lb|pound|pint|US|imp", text.text, re.IGNORECASE):
            return self.density.read(node, path, reading)
        try:
            weight = units.parse_quantity(found["weight"].strip(), "mass", stage_allowed=False)
            us = (found["first"] or found["last"] or "").casefold() == "us"
            density = pint_density_g_ml(weight.value, units.unit_factor("pint US" if us else "pint imp"))
        except units.SizeError as fault:
            reading.refuse("unreadable-size", text.at, path, fault.message, fault.hint)
            return None
        except ValueError:
            density = 0.0
        if not max(self.density.least, 1e-9) < density <= self.density.most:
            reading.refuse(
                "size-out-of-range",
                text.at,
                path,
                f"`{escaped(text.text.strip())[:40]}` a pint makes {density:.2f} g/ml; slop is from {self.density.least:g} to {self.density.most:g}",
            )
            return None
        return Size(density, None, None, text.text.strip(), text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["number", "string"]}


@frozen
class PricePer(Kind):
    """A price for a weight: `1.10 /kg`; a bare number is for a kilogram."""

    said = "a price for a weight, like `1.10 /kg` or `0.50 /lb`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        text = read_text(node, path, reading, self)
        if text is None:
            return None
        number, slash, unit = (piece.strip() for piece in text.text.partition("/"))
        try:
            price = units.parse_quantity(number, "price").value
            kilograms = units.parse_quantity(f"1 {unit}", "mass").value / 1000.0 if slash else 1.0
        except units.SizeError as fault:
            reading.refuse("unreadable-size", text.at, path, fault.message, "write it like `1.10 /kg`")
            return None
        if price < 0.0:
            reading.refuse(
                "size-out-of-range",
                text.at,
                path,
                f"`{escaped(text.text.strip())[:40]}` cannot be; a price is at least 0 here",
            )
            return None
        return Size(price / kilograms, None, None, text.text.strip(), text.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"type": ["number", "string"]}


@frozen
class CoatOf:
    """A coat that was weighed on a form's own part, or on all of it; what it comes to waits for that part's area.

    `value` is nothing before that: see `figures.coats`.
    """

    bare_g: float
    glazed_g: float
    form: str
    part: str | None
    typed: str
    at: Position
    value: float = float("nan")


_WEIGHT, _AREA = Measure("mass", most=200_000.0, above=True), Measure("area", most=10.0, above=True)


@frozen
class Weighed:
    """A tile or a pot that was weighed bare and again dipped and dry; the area either as such or as a form's."""

    at: Position
    bare: Size = key(_WEIGHT, "its weight before dipping", example="212 g", required=True)
    glazed: Size = key(_WEIGHT, "its weight dipped and dry", example="231 g", required=True)
    area: Size | None = key(_AREA, "the area that was covered", example="84 cm2")
    of: Word | None = key(Prose(), "the form, or the form's part, whose glazed area it is", example="tall-beaker/cup")


@frozen
class Coat(Kind):
    """Dry glaze on the ware: a weight by area, or from two weighings of a dipped tile or pot."""

    areal: Measure
    said = "a weight by area, like `0.9 kg/m2`; or two weighings, like `{bare: 212 g, glazed: 231 g, area: 84 cm2}`"

    def read(self, node: source.Node, path: str, reading: Reading) -> Size | CoatOf | None:
        """See Kind."""
        if not isinstance(node, source.Mapping):
            found: Size | None = self.areal.read(node, path, reading)
            return found
        told = len(reading.problems)
        weighed: Weighed | None = read_record(Weighed, node, path, reading)
        # What is wrong has been said; nothing is made of the rest.
        return None if weighed is None or len(reading.problems) > told else self._told(weighed, path, reading)

    def _told(self, weighed: Weighed, path: str, reading: Reading) -> Size | CoatOf | None:
        bare, glazed = weighed.bare, weighed.glazed
        difference = f"({glazed.typed} − {bare.typed})"
        if not glazed.value > bare.value:
            message = f"{glazed.typed} cannot be; it was {bare.typed} without the glaze"
            reading.refuse("size-out-of-range", glazed.at, f"{path}.glazed", message)
            return None
        if weighed.of is not None and weighed.area is None:
            form, _, part = (piece.strip() for piece in weighed.of.partition("/"))
            typed = f"{difference} on {weighed.of}"
            return CoatOf(bare.value, glazed.value, form, part or None, typed, weighed.of.at)
        if weighed.area is None or weighed.of is not None:
            message = "the area that was covered is wanted, or `of:` and the form; one of the two"
            reading.refuse("missing-key", weighed.at, path, message, "write `area: 84 cm2`, or `of: form/part`")
            return None
        coat = coat_kg_m2(bare.value, glazed.value, weighed.area.value * 10_000.0)
        typed = f"{difference} / {weighed.area.typed}"
        if coat > self.areal.most:
            message = f"{typed} makes {coat:.3g} kg/m2, more than the {self.areal.most:g} that a coat can be"
            reading.refuse("size-out-of-range", weighed.at, path, message)
            return None
        return Size(coat, None, None, typed, weighed.at)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        return {"anyOf": [self.areal.schema(), Nested(Weighed).schema()]}

    def records(self) -> Iterator[type]:
        """See Kind."""
        yield Weighed
