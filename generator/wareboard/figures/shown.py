"""Figures as a maker reads them: in the studio's unit systems, rounded to its tools, in the order of the work.

The site and the cards show the same rows; neither computes anything.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from math import fsum

from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import LATER_STAGES
from wareboard.text import quantities
from wareboard.text.catalogue import named
from wareboard.text.languages import _, remembered
from wareboard.text.quantities import IMPERIAL, METRIC, Way
from wareboard.text.studio_specs import Studio
from wareboard.text.units import INCH_MM

SYSTEMS = {
    "metric first": (METRIC, IMPERIAL), "imperial first": (IMPERIAL, METRIC),
    "metric only": (METRIC,), "imperial only": (IMPERIAL,),
}  # fmt: skip

OVERALL = quantities.Steps(ruler_mm=1.0, inch_in=1 / 16)


@frozen
class Amount:
    """One number and its unit, as they are printed."""

    number: str
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}".strip()


@frozen
class Row:
    """One figure in words: what it is called, what it belongs to, its amounts in the studio's order."""

    label: str
    of: str
    amounts: tuple[Amount, ...]
    key: str = ""
    note: str = ""
    figure: str = ""  # the figure's name, as its working has it
    right: str = ""  # how far out it may be, in words
    right_other: str = ""  # the same in the studio's other system
    out: str = ""  # what to do when it is out

    @property
    def first(self) -> Amount:
        """The amount in the system that the studio reads first."""
        return self.amounts[0]

    @property
    def second(self) -> Amount | None:
        """The amount in the other system; None where only one is shown or both would read the same."""
        return self.amounts[1] if len(self.amounts) > 1 and self.amounts[1] != self.amounts[0] else None


@frozen
class PartRows:
    """A part and the rows that are set for it."""

    part: str
    opens_down: bool
    rows: tuple[Row, ...]


# A form's sizes come again on its page, its card and the front page, and a rim is as high as its pot.
@remembered(8192)
def _amount(
    value: float,
    unit: str,
    system: str,
    steps: quantities.Steps,
    fluid_ounce: str | None,
    small: bool,
    exact: bool,
    way: Way,
) -> Amount:
    return Amount(
        *quantities.format_figure(
            value, unit, system, steps, fluid_ounce=fluid_ounce, small=small, exact=exact, way=way
        )
    )


@frozen
class Reader:
    """Shows amounts as one studio reads them."""

    systems: tuple[str, ...] = (METRIC, IMPERIAL)
    steps: quantities.Steps = quantities.Steps()
    fluid_ounce: str | None = None

    def amounts(
        self, value: float, unit: str, *, small: bool = False, exact: bool = False, up: bool = False, down: bool = False
    ) -> tuple[Amount, ...]:
        """A value in each of the studio's systems, in its order."""
        way: Way = "up" if up else "down" if down else "near"
        return tuple(
            [_amount(value, unit, system, self.steps, self.fluid_ounce, small, exact, way) for system in self.systems]
        )

    def half(self, whole_mm: float) -> tuple[Amount, ...]:
        """Half of a clearance, in each of the studio's systems: what two of make the whole as it is printed."""
        return tuple(Amount(*quantities.format_half_length(whole_mm, system)) for system in self.systems)

    def turned(self) -> Reader | None:
        """The same studio with its other system first; None where it has but one."""
        return replace(self, systems=self.systems[::-1]) if len(self.systems) > 1 else None

    def overall(self, size_mm: float) -> Amount:
        """How large ware is over all, for who looks for a form and sets nothing: to 1 mm or 1/16 in, since no two pieces are nearer."""
        return _amount(size_mm, "mm", self.systems[0], OVERALL, self.fluid_ounce, False, False, "near")

    def as_said(self, length_mm: float) -> str:
        """A length that a maker said and nobody sets here, as a bat's or a level's: in the studio's first system, and of all
        places in the same words.

        >>> Reader().as_said(12.0), Reader(systems=(IMPERIAL,)).as_said(12.7)
        ('12 mm', '½ in')
        """
        if self.systems[0] == IMPERIAL:
            return str(self.amounts(length_mm, "mm", small=True)[0])
        return f"{quantities.format_number(length_mm, 4)} mm"

    def between(self, larger_mm: float, smaller_mm: float) -> tuple[str, ...]:
        """Two lengths that nobody sets, to 0.1 mm or 0.01 in, and what is between the two as they are printed.

        >>> Reader().between(113.69, 112.04)
        ('113.7 mm', '112.0 mm', '1.7 mm')
        """
        step_mm = INCH_MM / 100 if self.systems[0] == IMPERIAL else 0.1
        larger, smaller = (quantities.round_to_step(length_mm / step_mm, 1.0) for length_mm in (larger_mm, smaller_mm))
        return tuple(
            str(self.amounts(steps * step_mm, "mm", exact=True)[0]) for steps in (larger, smaller, larger - smaller)
        )

    def step_mm(self, *, small: bool = False) -> float:
        """The step of the ruler in the studio's first system, or of a clearance."""
        if self.systems[0] == IMPERIAL:
            return INCH_MM * (1 / 64 if small else self.steps.inch_in)
        return 0.1 if small else self.steps.ruler_mm

    def rounded_g(self, mass_g: float, way: Way = "near") -> float:
        """A weight as it is read off the scale in the studio's first system, as a number, g."""
        return quantities.round_mass_g(mass_g, self.systems[0], self.steps, way)

    def figure(self, figure: Figure) -> tuple[Amount, ...]:
        """A figure of the sheet, read as the catalogue says: wet sizes to the tool that sets them, later ones as they are read."""
        return self.read(figure.key, figure.value, figure.stage)

    def read(self, key: str, value: float, stage: str | None = None) -> tuple[Amount, ...]:
        """What a figure of that key would be read as at a stage, were this its value."""
        declared = named(key).declared
        if declared.reading == "half":
            return self.half(2.0 * value)
        small = declared.reading == "small" or (declared.unit == "mm" and stage in LATER_STAGES)
        return self.amounts(
            value, declared.unit, small=small, up=declared.reading == "up", down=declared.reading == "down"
        )

    def number(self, figure: Figure) -> str:
        """A figure's number in the studio's first system, for a table that names the unit at its head."""
        return self.figure(figure)[0].number

    def size_text(self, size_mm: float) -> str:
        """A size on a drawing: the number in the studio's first system, as it is set."""
        return _amount(size_mm, "mm", self.systems[0], self.steps, self.fluid_ounce, False, False, "near").number

    def small_text(self, size_mm: float) -> str:
        """A clearance on a drawing: the number in the studio's first system, to what it is worth."""
        return _amount(size_mm, "mm", self.systems[0], self.steps, self.fluid_ounce, True, False, "near").number

    def half_text(self, whole_mm: float) -> str:
        """Half of a clearance on a drawing: the number in the studio's first system."""
        return self.half(whole_mm)[0].number

    def text(self, figure: Figure) -> str:
        """A figure in the studio's first system, as one word of a sentence."""
        return str(self.figure(figure)[0])


def reader_of(studio: Studio) -> Reader:
    """The reader for a studio's units and tools; what it doesn't say is as the manual has it."""
    steps, usual = studio.steps, quantities.Steps()
    tools = quantities.Steps(
        scale_g=steps.scale.value if steps and steps.scale else usual.scale_g,
        ruler_mm=steps.ruler.value if steps and steps.ruler else usual.ruler_mm,
        inch_in=steps.inch.value / INCH_MM if steps and steps.inch else usual.inch_in,
    )
    return Reader(
        SYSTEMS[str(studio.units or "metric first")], tools, str(studio.fluid_ounce) if studio.fluid_ounce else None
    )


def rows_of(sheet: Sheet, reader: Reader, *wanted: tuple[str, str, str, str | None]) -> tuple[Row, ...]:
    """Rows for figures that the sheet has: each wanted as (label, of, key, stage); others are left out."""
    found = ((label, of, sheet.find(key, stage)) for label, of, key, stage in wanted)
    return tuple(
        Row(label, of, reader.figure(figure), figure.key, figure=figure.name) for label, of, figure in found if figure
    )


def fired_weight(sheet: Sheet, part: str) -> str:
    """The key of what a part weighs as it leaves the kiln: in its glaze, where that is known."""
    return f"{part}.mass.glazed" if sheet.find(f"{part}.mass.glazed", "fired") else f"{part}.mass"


def set_weight_g(sheet: Sheet) -> float | None:
    """What a whole set weighs as it leaves the kiln, in its glaze where that is known, g."""
    found = [sheet.find(fired_weight(sheet, str(part)), "fired") for part in sheet.form.parts]
    return fsum(figure.value for figure in found if figure) if found and all(found) else None


_QUOTE = re.compile(r"\{([^{}]{1,120})\}")


def fill_quotes(text: str, sheet: Sheet, reader: Reader) -> str:
    """A maker's step with its quoted figures put in; a quote that names no figure stays as it was typed."""
    return "".join(
        piece if isinstance(piece, str) else quoted_text(piece, reader) for piece in quoted_pieces(text, sheet)
    )


def quoted_pieces(text: str, sheet: Sheet) -> Iterator[str | Figure]:
    """A step as words and figures by turns, as they follow one another."""
    end = 0
    for found in _QUOTE.finditer(text):
        figure = sheet.quoted(found[1])
        if figure is not None and figure.stage == "fired" and figure.key.endswith(".mass"):
            figure = sheet.find(fired_weight(sheet, figure.key.removesuffix(".mass")), "fired") or figure
        if figure is not None:
            yield text[end : found.start()]
            yield figure
            end = found.end()
    yield text[end:]


def quoted_text(figure: Figure, reader: Reader) -> str:
    """A figure as it stands in a step: in the studio's first system."""
    return reader.text(figure) + (" " + _("in its glaze") if figure.key.endswith(".mass.glazed") else "")
