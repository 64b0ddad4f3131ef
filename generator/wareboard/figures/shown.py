"""Figures as a maker reads them: in the studio's unit systems, rounded to its tools, in the order of the work.

The site and the cards show the same rows; neither computes anything.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.text import quantities
from wareboard.text.catalogue import named
from wareboard.text.problems import capital
from wareboard.text.quantities import IMPERIAL, METRIC, Way
from wareboard.text.specs import Studio

SYSTEMS = {
    "metric first": (METRIC, IMPERIAL), "imperial first": (IMPERIAL, METRIC),
    "metric only": (METRIC,), "imperial only": (IMPERIAL,),
}  # fmt: skip
POINTER_UP, POINTER_OUT = (capital(named(f"P.pointer.{end}").words) for end in ("height", "reach"))


@dataclass(frozen=True, slots=True)
class Amount:
    """One number and its unit, as they are printed."""

    number: str
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class Row:
    """One figure in words: what it is called, what it belongs to, its amounts in the studio's order."""

    label: str
    of: str
    amounts: tuple[Amount, ...]
    key: str = ""
    note: str = ""

    @property
    def first(self) -> Amount:
        """The amount in the system that the studio reads first."""
        return self.amounts[0]

    @property
    def second(self) -> Amount | None:
        """The amount in the other system; None where only one is shown or both would read the same."""
        return self.amounts[1] if len(self.amounts) > 1 and self.amounts[1] != self.amounts[0] else None


@dataclass(frozen=True, slots=True)
class PartRows:
    """A part and the rows that are set for it."""

    part: str
    opens_down: bool
    rows: tuple[Row, ...]


# A form's sizes come again on its page, its card and the front page, and a rim is as high as its pot.
@lru_cache(maxsize=8192)
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


@dataclass(frozen=True)
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

    def rounded_g(self, mass_g: float, way: Way = "near") -> float:
        """A weight as it is read off the scale in the studio's first system, as a number, g."""
        return quantities.round_mass_g(mass_g, self.systems[0], self.steps, way)

    def figure(self, figure: Figure) -> tuple[Amount, ...]:
        """A figure of the sheet, read as the catalogue says."""
        return self.read(figure.key, figure.value)

    def read(self, key: str, value: float) -> tuple[Amount, ...]:
        """What a figure of that key would be read as, were this its value."""
        declared = named(key).declared
        return self.amounts(
            value, declared.unit, small=declared.reading == "small", up=declared.reading == "up", down=declared.reading == "down"
        )  # fmt: skip

    def number(self, figure: Figure) -> str:
        """A figure's number in the studio's first system, for a table that names the unit at its head."""
        return self.figure(figure)[0].number

    def size_text(self, size_mm: float) -> str:
        """A size on a drawing: the number in the studio's first system, as it is set."""
        return _amount(size_mm, "mm", self.systems[0], self.steps, self.fluid_ounce, False, False, "near").number

    def small_text(self, size_mm: float) -> str:
        """A clearance on a drawing: the number in the studio's first system, to what it is worth."""
        return _amount(size_mm, "mm", self.systems[0], self.steps, self.fluid_ounce, True, False, "near").number

    def text(self, figure: Figure) -> str:
        """A figure in the studio's first system, as one word of a sentence."""
        return str(self.figure(figure)[0])


def reader_of(studio: Studio) -> Reader:
    """The reader for a studio's units and tools; what it doesn't say is as the manual has it."""
    steps, usual = studio.steps, quantities.Steps()
    tools = quantities.Steps(
        scale_g=steps.scale.value if steps and steps.scale else usual.scale_g,
        ruler_mm=steps.ruler.value if steps and steps.ruler else usual.ruler_mm,
        inch_in=steps.inch.value / 25.4 if steps and steps.inch else usual.inch_in,
    )
    return Reader(
        SYSTEMS[str(studio.units or "metric first")], tools, str(studio.fluid_ounce) if studio.fluid_ounce else None
    )


def wheel_rows(sheet: Sheet, reader: Reader) -> tuple[PartRows, ...]:
    """What is set at the wheel, part by part: ball, pointer, calipers, flange as thrown."""
    return tuple(
        PartRows(str(name), part.opens_down, tuple(_part_rows(sheet, reader, str(name))))
        for name, part in sheet.form.parts.items()
    )


def _part_rows(sheet: Sheet, reader: Reader, name: str) -> Iterator[Row]:
    ball, scaled = sheet.find(f"{name}.ball", "wet"), sheet.find(f"{name}.ball.set", "wet")
    if ball and scaled:
        # Each system's own scale step, always up: a ball that is short can't be thrown.
        metric = Amount(*quantities.format_mass(scaled.value, METRIC, reader.steps, "up"))
        imperial = Amount(*quantities.format_mass(ball.value, IMPERIAL, reader.steps, "up"))
        by_system = {METRIC: metric, IMPERIAL: imperial}
        yield Row(capital(scaled.named.words), name, tuple(by_system[system] for system in reader.systems), scaled.key)
    yield from _pointer_rows(sheet, reader, name)
    throws = {
        fit.outside.caliper: str(fit_name) for fit_name, fit in sheet.form.fits.items() if fit.outside.is_of(name)
    }
    for caliper in map(str, sheet.form.parts[name].calipers):
        thrown = sheet.find(f"fit.{throws[caliper]}.outside.thrown", "wet") if caliper in throws else None
        figure = thrown or sheet.find(f"{name}.{caliper}", "wet")
        if figure:
            yield Row(
                capital(caliper),
                f"{name}, as thrown" if thrown else f"{name}, calipers",
                reader.figure(figure),
                figure.key,
            )


def _pointer_rows(sheet: Sheet, reader: Reader, name: str) -> Iterator[Row]:
    throwing = sheet.form.parts[name].throwing
    stations = [str(station) for station in throwing.gauge_at] if throwing else []
    for station in stations or [""]:
        stem = f"{name}.pointer.{station}" if len(stations) > 1 else f"{name}.pointer"
        where = f"{name}, {station}" if station else name
        for end, label in (("height", POINTER_UP), ("reach", POINTER_OUT)):
            figure = sheet.find(f"{stem}.{end}", "wet")
            if figure:
                yield Row(label, where, reader.figure(figure), figure.key)


def ruler_checks(sheet: Sheet, reader: Reader) -> tuple[str, ...]:
    """What tells at the wheel that a piece is right, and what to do when it is not."""
    step = reader.amounts(
        reader.steps.inch_in * 25.4 if reader.systems[0] == IMPERIAL else reader.steps.ruler_mm, "mm"
    )[0]
    said = tuple(_fit_checks(sheet, reader, step))
    return said or (
        f"Right when the rim meets the pointer within {step}. Out twice running? Set the pointer again, then weigh the balls.",
    )


def _fit_checks(sheet: Sheet, reader: Reader, step: Amount) -> Iterator[str]:
    for name, fit in sheet.form.fits.items():
        mouth, thrown = sheet.find(f"fit.{name}.calipers", "wet"), sheet.find(f"fit.{name}.outside.thrown", "wet")
        if not (mouth and thrown) or not (fit.inside.own and fit.outside.own):
            continue
        said = f"The {fit.inside.part} is right when its wet {fit.inside.caliper} is {reader.amounts(mouth.value, 'mm')[0].number} ± {step}."
        play = mouth.value - thrown.value
        if fit.pairing == "any":
            yield f"{said} Out by more? It will not go with the others: put it aside."
        else:
            way = "narrower" if play >= 0 else "wider"
            yield f"{said} Out? Throw its {fit.outside.caliper} {reader.amounts(abs(play), 'mm', small=True)[0]} {way} than the {fit.inside.caliper} you have."


def rows_of(sheet: Sheet, reader: Reader, *wanted: tuple[str, str, str, str | None]) -> tuple[Row, ...]:
    """Rows for figures that the sheet has: each wanted as (label, of, key, stage); others are left out."""
    found = ((label, of, sheet.find(key, stage)) for label, of, key, stage in wanted)
    return tuple(Row(label, of, reader.figure(figure), figure.key) for label, of, figure in found if figure)


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
        if figure is not None:
            yield text[end : found.start()]
            yield figure
            end = found.end()
    yield text[end:]


def quoted_text(figure: Figure, reader: Reader) -> str:
    """A figure as it stands in a step: in the studio's first system."""
    return reader.text(figure)
