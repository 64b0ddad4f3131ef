"""The sizes of one part through the stages: stations, overall, calipers, wall and floor."""

from __future__ import annotations

from collections.abc import Iterable

from wareboard.figures.figure import Ledger
from wareboard.figures.origins import place, section_names
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.pot.stages import STAGES
from wareboard.pot.thickness import least_wall_mm
from wareboard.text.catalogue import C326
from wareboard.text.formulas import Formula, Put
from wareboard.text.kinds import Size, Word
from wareboard.text.specs import Form


def write_sizes(ledger: Ledger, form: Form, shaper: Shaper, shape: Shape) -> None:
    """Write a part's sizes at all five stages: stations, overall, calipers, wall and floor."""
    _write_stations(ledger, form, shape)
    _write_extent(ledger, shape)
    _write_calipers(ledger, form, shaper, shape)
    _write_thicknesses(ledger, form, shape)


WORKED_BACK = Formula("size_mm / (1 - shrunk_share)")
WORKED_ON = Formula("wet_mm * (1 - shrunk_share)")


def write_size(
    ledger: Ledger, shape: Shape, key: str, stage: str, size_mm: float, upward: bool,
    *, how: str, inputs: Iterable[str], source: str = "", given: bool = False, **numbers: Put,
) -> None:  # fmt: skip
    """Write a size at all five stages, from what it is at one.

    The doubt from bars: what is set wet comes out of the kiln that far apart; the wet size itself is
    as much in doubt as the shrinkage that it was worked back with.

    Args:
        ledger: where it is written.
        shape: the part.
        key: the figure.
        stage: the stage at which the size is known.
        size_mm: the size there, mm.
        upward: it shrinks as heights do.
        how: how the size came about, in words with names of `numbers` in braces.
        inputs: what it was worked out from there.
        source: by whose rule it was, there.
        given: a maker typed it.
        numbers: what is put into `how`.
    """
    body = shape.body
    scale = body.up if upward else body.across
    factor = body.height_factor if upward else 1.0
    wet = size_mm / scale(stage)
    name = "clay.shrinkage.height" if upward else "clay.shrinkage"
    for step, (at, deviation, share) in enumerate(zip(STAGES, body.deviation, body.shrinkage)):
        if step == 0:
            back = body.deviation[STAGES.index(stage)]
            doubt = None if back is None else wet * back * factor / scale(stage)
        else:
            doubt = None if deviation is None else wet * deviation * factor
        if at == stage:
            ledger.write(key, at, size_mm, how, inputs, source=source, plus_minus=doubt, given=given, **numbers)
        elif step == 0:
            inputs_back = (f"{key} {stage}", f"{name} {stage}")
            ledger.write(
                key, at, wet, WORKED_BACK, inputs_back, source=C326, plus_minus=doubt, size_mm=size_mm, shrunk_share=1.0 - scale(stage)
            )  # fmt: skip
        else:
            inputs_on = (f"{key} wet", f"{name} {at}")
            ledger.work(
                key, at, inputs_on, formula=WORKED_ON, source=C326, plus_minus=doubt, wet_mm=wet, shrunk_share=share * factor
            )  # fmt: skip


def _write_stations(ledger: Ledger, form: Form, shape: Shape) -> None:
    for name, station in shape.part.outside.items():
        key = f"{shape.name}.{name}"
        _write_typed(ledger, form, shape, f"{key}.height", station.height, True)
        if isinstance(station.diameter, Word):
            caliper = f"{shape.name}.{station.diameter}"
            diameter = 2.0 * shape.outside[shape.station_places[name]][0]
            write_size(
                ledger, shape, f"{key}.diameter", form.stage, diameter, False,
                how=f"set with calipers: {caliper}", inputs=[f"{caliper} {form.stage}", place(station.diameter.at)],
            )  # fmt: skip
        else:
            _write_typed(ledger, form, shape, f"{key}.diameter", station.diameter, False)


def _write_typed(ledger: Ledger, form: Form, shape: Shape, key: str, size: Size, upward: bool) -> None:
    stage = size.stage or form.stage
    write_size(
        ledger, shape, key, stage, size.value, upward, how=f"typed: {size.typed}", inputs=[place(size.at)], given=True
    )


def _write_extent(ledger: Ledger, shape: Shape) -> None:
    stations, key, stage = shape.part.outside, shape.name, shape.stage
    widest = max(stations, key=lambda name: shape.outside[shape.station_places[name]][0])
    heights = sorted(stations, key=lambda name: shape.outside[shape.station_places[name]][1])
    low, high = (heights[-1], heights[0]) if shape.opens_down else (heights[0], heights[-1])
    height = shape.highest_mm - shape.lowest_mm
    inputs = [f"{key}.{name}.height {stage}" for name in (low, high)]
    write_size(ledger, shape, f"{key}.height", stage, height, True, how=f"from {low} to {high}", inputs=inputs)
    diameter = 2.0 * max(radius for radius, _ in shape.outside)
    inputs = [f"{key}.{widest}.diameter {stage}"]
    write_size(ledger, shape, f"{key}.diameter", stage, diameter, False, how=f"widest at {widest}", inputs=inputs)


def _write_calipers(ledger: Ledger, form: Form, shaper: Shaper, shape: Shape) -> None:
    for name, caliper in shape.part.calipers.items():
        key = f"{shape.name}.{name}"
        if caliper.from_fit:
            fit, side = shaper.resolver.fit_setting(form, shape.name, str(name))
            stage = fit.spec.stage
            size = shaper.caliper_mm(form, shape.name, name, stage)
            how, inputs = f"what the fit {fit.name} leaves", [f"fit.{fit.name}.{side} {stage}"]
            write_size(ledger, shape, key, stage, size, False, how=how, inputs=inputs)
        elif isinstance(caliper.level, Size):
            _write_typed(ledger, form, shape, key, caliper.level, False)
        else:
            size = shaper.caliper_mm(form, shape.name, name, shape.stage)
            how = f"{caliper.side} diameter at {caliper.level}'s level"
            inputs = [*_made_by(shape, caliper.side, str(caliper.level)), place(caliper.at)]
            write_size(ledger, shape, key, shape.stage, size, False, how=how, inputs=inputs)


def _write_thicknesses(ledger: Ledger, form: Form, shape: Shape) -> None:
    """Wall and floor: as typed, or measured where the inside is listed."""
    part, key, stage = shape.part, shape.name, shape.stage
    if shape.solid:
        return
    if part.inside:
        thinnest, inputs = least_wall_mm(shape.outside, shape.inside), section_names(shape)
        write_size(
            ledger, shape, f"{key}.wall.thickness", stage, thinnest, False, how="the wall at its thinnest", inputs=inputs
        )  # fmt: skip
        if shape.opens_down:  # whatever stands on a lid's closed end would count
            return
        floor = shape.inside[0][1] - (shape.underside or shape.outside)[0][1]
        write_size(ledger, shape, f"{key}.floor.thickness", stage, floor, True, how="at the centre", inputs=inputs)
        return
    walls = (
        {"": part.wall} if isinstance(part.wall, Size) else {f"{station}.": size for station, size in part.wall.items()}
    )
    for station, size in walls.items():
        _write_typed(ledger, form, shape, f"{key}.wall.{station}thickness", size, False)
    _write_typed(ledger, form, shape, f"{key}.floor.thickness", part.floor, True)


def _made_by(shape: Shape, side: str, level: str) -> list[str]:
    """What a caliper size follows from: the station that it is measured at, or the section that has that level."""
    part = shape.part
    if side == "outside" and level in part.outside:
        return [f"{shape.name}.{level}.diameter {shape.stage}"]
    if side == "inside" and level in part.inside:
        station = part.inside[level]
        return (
            [f"{shape.name}.{station.diameter} {shape.stage}"]
            if isinstance(station.diameter, Word)
            else [place(station.at)]
        )
    return section_names(shape)
