"""How far out a piece may be and still pass: one rule for every number that is judged, on any card or page.

What the maker typed under `tolerances:`, else the studio's spreads carried through to that stage, else what is usual for
hand-thrown ware. All are the same nineteen in twenty, and are made of one another: a capacity may be out by what its sizes
and its wall may be out by. The step of the tool is only the least of them.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from math import ceil, fsum, hypot

from wareboard.figures.figure import Figure
from wareboard.figures.settings import caliper_at, closed_end, is_trimmed, response_for, widest_station
from wareboard.figures.shapes import Shape
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.pot.fits import Spreads
from wareboard.pot.frozen import frozen
from wareboard.text.catalogue import COMMON, STACK
from wareboard.text.languages import _, later, neutral, pointed
from wareboard.text.phrases import Accepted
from wareboard.text.quantities import IMPERIAL, Way, fine_volume_ml, format_fine_volume, round_length_mm
from wareboard.text.units import parse_quantity, unit_factor

SIGMAS = 1.96  # of a normal spread: 95 % lie within
# How far nineteen of twenty hand-thrown pieces lie from what they are thrown to, common practice; of weights, one deviation.
HEIGHT_SHARE, DIAMETER_SHARE, WALL_SHARE, THROWN_WEIGHT_SHARE = 0.02, 0.015, 0.10, 0.015
CALIPERS_MM, TRIMMING_MM = 0.6, 0.5
WITNESS_POINTS = 1.5  # as `trimweights` has it, common practice
SMALL_MM = {False: 0.1, True: 25.4 / 64.0}
TYPED = "typed"
STEP = "the tool's step"
LIMITS = "the fit's limits"
EITHER = "the sizes and the wall"


@frozen
class Tolerance:
    """From where to where a figure is right, in its own unit, and whose rule that is.

    A limit that nobody gave is None. `plus_minus` where both lie as far from the figure as it is printed.
    """

    low: float | None
    high: float | None
    source: str
    plus_minus: float | None = None


def tolerance_of(sheet: Sheet, figure: Figure, reader: Reader | None = None) -> Tolerance | None:
    """How far a figure may be out, about the figure as it is printed.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        figure: one of its figures.
        reader: the studio's own unless given.
    Returns: the tolerance; None for a figure that nobody measures.
    Source: 95 % of a normal spread within 1.96 standard deviations (NIST/SEMATECH e-Handbook, memory).
    """
    reader = reader or reader_of(sheet.studio)
    if not figure.named.declared.tolerance or not figure.stage or figure.value == 0.0:
        return None
    if figure.unit == "%":
        return _about(figure, WITNESS_POINTS, COMMON, reader)
    if figure.key.startswith("fit."):
        return _of_fit(sheet, figure, reader)
    name, _other, key = figure.key.partition(".")
    shape = sheet.shapes.get(name)
    if shape is None:
        return None
    judge = _Judge(sheet, shape, reader)
    if figure.unit == "g":
        out = judge.weight(figure, key)
    elif figure.unit == "ml":
        out = judge.capacity(figure)
    elif figure.unit == "mm":
        out = judge.length(figure, key)
    else:
        return None
    return _about(figure, *out, reader)


def _about(figure: Figure, out: float, source: str, reader: Reader) -> Tolerance:
    """So much either way of the figure as it is printed, never less than the tool can tell."""
    step = {"g": reader.steps.scale_g, "mm": _ruler_mm(reader)}.get(figure.unit, 0.0)
    shift = abs(printed_value(figure, reader) - figure.value)
    if out < step - 1e-9:
        out, source = step, STEP
    finest = {
        "g": _finest_g(reader), "mm": SMALL_MM[reader.systems[0] == IMPERIAL], "%": 0.1,
        "ml": fine_volume_ml(reader.systems[0], reader.fluid_ounce),
    }[figure.unit]  # fmt: skip
    out = ceil((out + shift) / finest - 0.05) * finest  # a twentieth of the last digit is not worth another
    middle = printed_value(figure, reader)
    return Tolerance(middle - out, middle + out, source, out)


def _ruler_mm(reader: Reader) -> float:
    return reader.steps.inch_in * 25.4 if reader.systems[0] == IMPERIAL else reader.steps.ruler_mm


def _finest_g(reader: Reader) -> float:
    """The finest that a ± of a weight is printed to."""
    return unit_factor("oz") / 16.0 if reader.systems[0] == IMPERIAL else 1.0


@neutral
def printed_value(figure: Figure, reader: Reader) -> float:
    """A figure's value as it is printed in the studio's first system, back in its own unit."""
    kind = {"mm": "length", "g": "mass", "ml": "volume"}.get(figure.unit)
    if kind is None:
        return figure.value
    return parse_quantity(str(reader.figure(figure)[0]), kind).value


def plus_minus_text(figure: Figure, found: Tolerance, reader: Reader) -> str:
    """A tolerance as it is printed beside its figure: `± 0.6 mm`, `0.5 mm to 2.6 mm`.

    Args:
        figure: what is judged.
        found: its tolerance.
        reader: the studio's.
    """

    def say(value: float) -> str:
        return _said(value, figure.unit, reader)

    if found.plus_minus is not None:
        return f"± {say(found.plus_minus)}"
    is_gap = figure.key.endswith(".gap")
    least = "" if found.low is None else _inward(found.low, reader, "up", is_gap=is_gap)
    most = "" if found.high is None else _inward(found.high, reader, "down", is_gap=is_gap)
    if not least:
        return _("up to {most}").format(most=most) if most else ""
    return _("{least} to {most}").format(least=least, most=most) if most else _("from {least}").format(least=least)


def _inward(limit_mm: float, reader: Reader, way: Way, *, is_gap: bool) -> str:
    """A fit's limit as it can be read: never past itself; a gap's is half of the clearance's, as that is printed."""
    whole_mm = 2.0 * limit_mm if is_gap else limit_mm
    inward = round_length_mm(whole_mm, reader.systems[0], reader.steps, way, small=True)
    return str((reader.half(inward) if is_gap else reader.amounts(inward, "mm", small=True))[0])


def _said(value: float, unit: str, reader: Reader) -> str:
    if unit == "%":
        return pointed(f"{value:.1f} %")
    if unit == "g":  # to what it is worth, which may be finer than the scale's step
        reader = replace(reader, steps=reader.steps._replace(scale_g=_finest_g(reader)))
    if unit == "ml":
        return " ".join(format_fine_volume(value, reader.systems[0], reader.fluid_ounce))
    return str(reader.amounts(value, unit, small=unit == "mm")[0])


class _Judge:
    """What one part's numbers may be out by: each method gives an amount in the figure's unit, and whose rule it is."""

    def __init__(self, sheet: Sheet, shape: Shape, reader: Reader) -> None:
        self.sheet, self.shape, self.reader = sheet, shape, reader
        known = sheet.spreads
        self.spreads = known.values if known else Spreads()
        self.unknown = known.unknown | known.assumed if known else frozenset({"calipers", "trimming"})

    def typed(self, name: str) -> Accepted | None:
        """What the part, the form or the studio accepts, the nearest first."""
        owners = (self.shape.part, self.sheet.form, self.sheet.studio)
        found = (getattr(owner.tolerances, name) for owner in owners if owner.tolerances)
        return next((one for one in found if one is not None), None)

    def shrinkage_mm(self, size_mm: float, stage: str, since: str = "wet", up: bool = False) -> float:
        """95 % of what shrinkage that differs from piece to piece does to a size between two stages."""
        return shrinkage_out_mm(self.spreads, self.shape, size_mm, stage, since, up)

    # ---- lengths ----

    def length(self, figure: Figure, key: str) -> tuple[float, str]:
        stage = figure.stage or "wet"
        if key.startswith("pointer."):
            if key.endswith(".height"):
                bat = self.sheet.studio.bat.value if self.sheet.studio.bat else 0.0
                return self.height(figure.value - bat, "wet")
            wide, source = self.diameter(2.0 * figure.value, "wet")
            return wide / 2.0, source
        if key.endswith(".thickness") or key.startswith(
            ("thrown.floor", "thrown.wall.", "foot.floor.", "foot.ring.width")
        ):
            return self.thickness(figure.value)
        if key == "height" or key.endswith(".height") or key == "thrown.depth":
            return self.height(figure.value, stage)
        if key.startswith("foot."):
            return self.turned(figure.value, stage)
        if key.endswith(".thrown"):
            return self.caliper(figure.value, stage, key.removesuffix(".thrown"))
        if key in self.shape.part.calipers:
            return self.caliper(figure.value, stage, key)
        station = key.removesuffix(".diameter")
        if key == "diameter":
            station = widest_station(self.shape)
        if station not in self.shape.part.outside:  # what is added to it
            return self.diameter(figure.value, stage)
        if caliper := caliper_at(self.shape, str(station)):  # one size has one tolerance, whatever it is called
            return self.caliper(figure.value, stage, caliper)
        if station == closed_end(self.shape) and is_trimmed(self.shape) and stage != "wet":
            return self.turned(figure.value, stage)
        return self.diameter(figure.value, stage)

    def turned(self, value: float, stage: str) -> tuple[float, str]:
        """A width that is turned to a size when trimming."""
        if typed := self.typed("diameter"):
            return typed.of(value), TYPED
        across = self.shape.body.across
        held = self.trimming_mm * across(stage) / across("leather-hard")
        source = COMMON if "trimming" in self.unknown else STACK
        return hypot(held, self.shrinkage_mm(value, stage, "leather-hard")), source

    def height(self, value: float, stage: str) -> tuple[float, str]:
        if typed := self.typed("height"):
            return typed.of(value), TYPED
        return hypot(HEIGHT_SHARE * value, self.shrinkage_mm(value, stage, up=True)), COMMON

    def diameter(self, value: float, stage: str) -> tuple[float, str]:
        if typed := self.typed("diameter"):
            return typed.of(value), TYPED
        return hypot(DIAMETER_SHARE * value, self.shrinkage_mm(value, stage)), COMMON

    def caliper(self, value: float, stage: str, name: str) -> tuple[float, str]:
        """A size that is set with calipers: as true as they are, where a fit needs it or nothing else is said."""
        fitted = any(
            size.is_of(self.shape.name) and size.caliper == name
            for fit in self.sheet.form.fits.values()
            for size in (fit.inside, fit.outside)
        )
        if not fitted and (typed := self.typed("diameter")):
            return typed.of(value), TYPED
        spec = self.shape.part.calipers[name]
        going_in = [fit for fit in self.sheet.form.fits.values() if fit.outside.is_of(self.shape.name) and fit.outside.caliper == name]  # fmt: skip
        across = self.shape.body.across
        source = COMMON if {"calipers", "trimming"} & self.unknown else STACK
        if stage == "wet" or not (going_in or spec.side == "outside"):  # thrown and left alone
            set_mm = self.calipers_mm * across(stage)
            return hypot(set_mm, self.shrinkage_mm(value, stage)), source
        turned = self.trimming_mm * across(stage) / across("leather-hard")
        later = self.shrinkage_mm(value, stage, "leather-hard")
        own = any(fit.pairing != "any" for fit in going_in)
        jar = hypot(self.calipers_mm * across(stage), self.shrinkage_mm(value, "leather-hard")) if own else 0.0
        return hypot(turned, later, jar), source

    @property
    def calipers_mm(self) -> float:
        """95 % of what caliper settings differ by, wet."""
        return CALIPERS_MM if "calipers" in self.unknown else SIGMAS * self.spreads.calipers_mm

    @property
    def trimming_mm(self) -> float:
        """95 % of what turned diameters differ by, leather-hard."""
        return TRIMMING_MM if "trimming" in self.unknown else SIGMAS * self.spreads.trimming_mm

    def thickness(self, value: float) -> tuple[float, str]:
        typed = self.typed("wall")
        return (typed.of(value), TYPED) if typed else (WALL_SHARE * value, COMMON)

    # ---- what sizes and wall come to ----

    def weight(self, figure: Figure, key: str) -> tuple[float, str]:
        if key.startswith("ball"):
            return self.reader.steps.scale_g, STEP
        if typed := self.typed("weight"):
            return typed.of(figure.value), TYPED
        if key.startswith("thrown") or not is_trimmed(self.shape):  # nothing is turned off: it weighs what was thrown
            known = self.sheet.spreads
            spread = known.weight_share if known else None
            share = SIGMAS * (THROWN_WEIGHT_SHARE if spread is None else spread)
            source = COMMON if spread is None else STACK
            if key.startswith("thrown"):
                return share * figure.value, source
        else:
            share, source = self._follows("clay")
        body = (
            self.sheet.find(f"{self.shape.name}.mass", figure.stage) or figure
        )  # glaze and what is added are not the wall's
        extras = (self.sheet.find(f"{self.shape.name}.{extra}.clay", "wet") for extra in self.shape.part.extras)
        added = fsum(clay.value for clay in extras if clay) * self.shape.body.mass_share(figure.stage or "wet")
        return share * (min(body.value, figure.value) - (added if body is not figure else 0.0)), source

    def capacity(self, figure: Figure) -> tuple[float, str]:
        if typed := self.typed("capacity"):
            return typed.of(figure.value), TYPED
        share, source = self._follows("room")
        return share * figure.value, source

    def _follows(self, what: str) -> tuple[float, str]:
        """A share of its clay, or of its room, that follows from what its sizes and its wall may be out by."""
        found = response_for(self.sheet, self.shape.name)
        whole = getattr(found, f"{what}_mm3")
        if not whole:
            return 0.0, EITHER
        stage = self.shape.stage
        high, wide = (self.shape.highest_mm - self.shape.lowest_mm), 2.0 * max(r for r, _other in self.shape.outside)
        share_up, share_out = self.height(high, stage)[0] / high, self.diameter(wide, stage)[0] / wide
        wall, floor = self._wall_mm("wall"), self._wall_mm("floor")
        out = hypot(
            getattr(found, f"{what}_across_mm3") * share_out, getattr(found, f"{what}_up_mm3") * share_up,
            getattr(found, f"{what}_wall_mm2") * wall, getattr(found, f"{what}_floor_mm2") * floor,
        )  # fmt: skip
        return out / whole, EITHER

    def _wall_mm(self, start: str) -> float:
        """What a wall, or the floor, may be out by as it is printed, at the stage at which the form's sizes hold."""
        name, stage = self.shape.name, self.shape.stage
        across = self.shape.scale("leather-hard")[0]
        found = [
            figure for figure in self.sheet.figures
            if figure.stage == "leather-hard" and figure.key.startswith(f"{name}.{start}.") and figure.key.endswith("thickness")
        ]  # fmt: skip
        outs = [max(self.thickness(figure.value)[0], _ruler_mm(self.reader)) for figure in found]
        return sum(outs) / len(outs) / across if outs and stage else 0.0


def shrinkage_out_mm(
    spreads: Spreads, shape: Shape, size_mm: float, stage: str, since: str = "wet", up: bool = False
) -> float:
    """95 % of what shrinkage that differs from piece to piece does to a size between two stages.

    1.96 σ × wet size × (s there − s before) / s fired

    Args:
        spreads: one standard deviation of each step of the work.
        shape: the part.
        size_mm: the size at `stage`, mm.
        stage: where it is judged.
        since: from where on it was left alone.
        up: a height.
    Returns: mm.
    Source: as the spread of a fit has it.
    """
    body = shape.body
    fired = body.shrinkage_share("fired")
    if not fired:
        return 0.0
    gone = (body.shrinkage_share(stage) - body.shrinkage_share(since)) / fired
    scale, factor = (body.up(stage), body.height_factor) if up else (body.across(stage), 1.0)
    return SIGMAS * spreads.shrinkage_share * factor * size_mm / scale * max(gone, 0.0)


def _of_fit(sheet: Sheet, figure: Figure, reader: Reader) -> Tolerance | None:
    """A clearance is judged by the fit's own limits once it is fired, by what trimming can hold before."""
    name, _other, end = figure.key.removeprefix("fit.").partition(".")
    spec, record = sheet.form.fits[name], sheet.fits[name]
    if end in ("inside", "calipers", "outside", "outside.thrown"):
        size = spec.inside if end in ("inside", "calipers") else spec.outside
        if not size.own:
            return None
        judge = _Judge(sheet, sheet.shapes[size.part], reader)
        return _about(figure, *judge.caliper(figure.value, figure.stage or "wet", str(size.caliper)), reader)
    if end not in ("clearance", "gap"):
        return None
    per = 0.5 if end == "gap" else 1.0
    if figure.stage == record.stage and (record.least_mm > float("-inf") or record.most_mm < float("inf")):
        low, high = (None if abs(limit) == float("inf") else limit * per for limit in (record.least_mm, record.most_mm))
        return Tolerance(low, high, LIMITS)
    judges = [_Judge(sheet, sheet.shapes[size.part], reader) for size in (spec.inside, spec.outside) if size.own]  # fmt: skip
    if not judges:
        return None
    stage = figure.stage or "wet"
    if stage == "leather-hard" and record.pairing == "own":
        return _small(figure, judges[-1].trimming_mm * per, STACK, reader)
    turned = judges[-1].trimming_mm if stage != "wet" else judges[-1].calipers_mm
    terms = [turned]
    if record.pairing == "any" or stage == "wet":
        terms += [judges[0].calipers_mm]
    since = "leather-hard" if record.pairing == "own" and stage != "wet" else "wet"
    terms += [judge.shrinkage_mm(side.diameter_mm(stage), stage, since) for judge, side in zip(judges, (record.inside, record.outside))]  # fmt: skip
    return _small(figure, hypot(*terms) * per, STACK, reader)


def _small(figure: Figure, out: float, source: str, reader: Reader) -> Tolerance:
    """About a clearance, which is read to 0.1 mm or 1/64 in."""
    finest = SMALL_MM[reader.systems[0] == IMPERIAL]
    middle = printed_value(figure, reader)
    out = max(finest, ceil((out + abs(middle - figure.value)) / finest - 0.05) * finest)
    return Tolerance(middle - out, middle + out, source, out)


# ---- sentences ----


def wheel_checks(sheet: Sheet, reader: Reader) -> tuple[str, ...]:
    """What tells at the wheel that a piece is right, and what to do when it is not.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        reader: the studio's.
    """
    said = []
    for name, fit in sheet.form.fits.items():
        mouth, thrown = sheet.find(f"fit.{name}.calipers", "wet"), sheet.find(f"fit.{name}.outside.thrown", "wet")
        if not (mouth and thrown) or not (fit.inside.own and fit.outside.own):
            continue
        within = _within(sheet, mouth, reader)
        right = _("The {part} is right when its wet {caliper} is {size} {within}.").format(
            part=fit.inside.part, caliper=fit.inside.caliper, size=reader.text(mouth), within=within
        )
        if fit.pairing == "any":
            said.append(f"{right} " + _("Out by more? It will not go with the others: put it aside."))
        else:
            set_to = partial(round_length_mm, system=reader.systems[0], steps=reader.steps)
            play = set_to(mouth.value) - set_to(thrown.value)  # what is read of the two, in either system
            narrower, wider, as_wide = (
                later("Out? Throw its {size} {play} narrower than the {opening} you have."),
                later("Out? Throw its {size} {play} wider than the {opening} you have."),
                later("Out? Throw its {size} as wide as the {opening} you have."),
            )
            then = _(as_wide if abs(play) < 1e-6 else narrower if play > 0.0 else wider).format(
                size=fit.outside.caliper,
                play=reader.amounts(abs(play), "mm", small=True)[0],
                opening=fit.inside.caliper,
            )
            said.append(f"{right} {then}")  # fmt: skip
    if said:
        return tuple(said)
    for part in map(str, sheet.form.parts):
        stations = sheet.shapes[part].part.gauge_stations
        stem = f"{part}.pointer.{stations[-1]}" if len(stations) > 1 else f"{part}.pointer"
        up, out = (sheet.find(f"{stem}.{end}", "wet") for end in ("height", "reach"))
        if up and out:
            near = [_within(sheet, figure, reader).removeprefix("± ") for figure in (up, out)]
            what = (
                _("{part}'s {station}").format(part=part, station=stations[-1])
                if len(sheet.form.parts) > 1
                else stations[-1]
            )
            said.append(
                _("Right when the {what} meets the pointer within {up} up and {out} out.").format(
                    what=what, up=near[0], out=near[1]
                )
            )
    return (
        (*said[:-1], f"{said[-1]} " + _("Out twice running? Set the pointer again, then weigh the balls."))
        if said
        else ()
    )


def _within(sheet: Sheet, figure: Figure, reader: Reader) -> str:
    """How far a figure may be out, as it is printed beside it."""
    found = tolerance_of(sheet, figure, reader)
    return plus_minus_text(figure, found, reader) if found else ""
