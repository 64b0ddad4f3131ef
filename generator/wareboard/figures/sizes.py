"""The sizes of one part through the stages: stations, overall, calipers, wall and floor."""

from __future__ import annotations

from collections.abc import Sequence

from wareboard.figures.built import Built
from wareboard.figures.figure import Doubt, Ledger, Told, place
from wareboard.figures.shapes import Shape, to_stage
from wareboard.pot.budgets import Tool, size_budget, size_plus_minus_mm
from wareboard.pot.clay import Body
from wareboard.pot.feet import Foot
from wareboard.pot.outlines import as_line
from wareboard.pot.stages import STAGES
from wareboard.pot.thickness import least_wall_mm
from wareboard.text.catalogue import C326
from wareboard.text.formulas import Formula, Note, noted
from wareboard.text.kinds import Size, Word
from wareboard.text.languages import later


def write_sizes(ledger: Ledger, built: Built, shape: Shape) -> None:
    """Write a part's sizes at all five stages: stations, overall, calipers, wall and floor."""
    _write_stations(ledger, built, shape)
    _write_gallery(ledger, shape)
    _write_extent(ledger, shape)
    _write_calipers(ledger, built, shape)
    _write_thicknesses(ledger, shape)
    if shape.foot:
        _write_foot(ledger, shape, shape.foot)


WORKED_BACK = Formula("size_mm / (1 - shrunk_share)")
WORKED_ON = Formula("wet_mm * (1 - shrunk_share)")


def write_size(
    ledger: Ledger, shape: Shape, key: str, stage: str, size_mm: float, upward: bool,
    *, how: str | Note, inputs: Sequence[str], given: bool = False, tools: Sequence[Tool] = (),
) -> None:  # fmt: skip
    """Write a size at all five stages, from what it is at one.

    The doubt from bars: what is set wet comes out of the kiln that far apart, and as far apart as its tools set it;
    a wet size that no tool is known for is as much in doubt as the shrinkage that it was worked back with.

    Args:
        ledger: where it is written.
        shape: the part.
        key: the figure.
        stage: the stage at which the size is known.
        size_mm: the size there, mm.
        upward: it shrinks as heights do.
        how: how the size came about.
        inputs: what it was worked out from there.
        given: a maker typed it.
        tools: what it is set with, of those that the studio knows the spread of.
    """
    body = shape.body
    factor, place = body.height_factor if upward else 1.0, STAGES.index(stage)
    kept = [1.0 - shrunk * factor for shrunk in body.shrinkage]
    then = kept[place]
    wet_mm = size_mm / then
    values = [wet_mm * left for left in kept]
    values[place] = size_mm

    def told(at: str) -> Told:
        doubt = lambda: _doubt(body, wet_mm, at, stage, upward, tools)
        if at == stage:
            return Told(size_mm, how, {}, inputs, "", "", given, doubt)
        shrinkage = "clay.shrinkage.height" if upward else "clay.shrinkage"
        if at == "wet":
            back = {"size_mm": size_mm, "shrunk_share": 1.0 - then}
            return Told(wet_mm, WORKED_BACK, back, (f"{key} {stage}", f"{shrinkage} {stage}"), "", C326, False, doubt)
        on = {"wet_mm": wet_mm, "shrunk_share": body.shrinkage_share(at) * factor}
        return Told(WORKED_ON(**on), WORKED_ON, on, (f"{key} wet", f"{shrinkage} {at}"), "", C326, False, doubt)

    ledger.write_stages(key, values, told)


def _doubt(body: Body, wet_mm: float, at: str, typed_at: str, upward: bool, tools: Sequence[Tool]) -> Doubt:
    """What a size is off by at a stage; without tools it goes with the size."""
    base_mm = wet_mm if tools else 1.0
    deviation = size_plus_minus_mm(body, base_mm, at, typed_at=typed_at, upward=upward, tools=tools)
    budget = size_budget(body, base_mm, at, typed_at=typed_at, upward=upward, tools=tools)
    if tools:
        return Doubt(deviation, budget)
    return Doubt(None if deviation is None else deviation * wet_mm, budget and budget.scaled(wet_mm))


def _write_stations(ledger: Ledger, built: Built, shape: Shape) -> None:
    for name, station in shape.part.outside.items():
        key = f"{shape.name}.{name}"
        _write_typed(ledger, shape, f"{key}.height", station.height, True)
        if isinstance(station.diameter, Word):
            caliper = f"{shape.name}.{station.diameter}"
            diameter = 2.0 * shape.outside[shape.station_places[name]][0]
            write_size(
                ledger, shape, f"{key}.diameter", shape.stage, diameter, False,
                how=noted("set with calipers: {caliper}", caliper=caliper), inputs=[f"{caliper} {shape.stage}", place(station.diameter.at)],
                tools=built.calipers[shape.name, str(station.diameter)].tools,
            )  # fmt: skip
        else:
            _write_typed(ledger, shape, f"{key}.diameter", station.diameter, False)


def _write_typed(ledger: Ledger, shape: Shape, key: str, size: Size, upward: bool, tools: Sequence[Tool] = ()) -> None:
    stage = size.stage or shape.stage
    write_size(
        ledger, shape, key, stage, size.value, upward,
        how=noted("typed: {size}", size=size.typed), inputs=[place(size.at)], given=True, tools=tools,
    )  # fmt: skip


def _write_gallery(ledger: Ledger, shape: Shape) -> None:
    """The stations that a gallery is short for: the ledge's edge, and where it meets the wall."""
    gallery = shape.part.gallery
    if gallery is None:
        return
    foot = to_stage(shape.part.outside[shape.part.closed_station].height, shape.stage, shape.stage, shape.body.up)
    said = {
        "ledge": later("the ledge's edge, inside: the gallery written out"),
        "gallery": later("where the ledge meets the wall, inside: the gallery written out"),
    }
    for name, (radius, height) in shape.gallery.items():
        if name in shape.part.outside:
            continue
        key, inputs = f"{shape.name}.{name}", [*shape.section_names, place(gallery.at)]
        how = said[name]
        write_size(ledger, shape, f"{key}.height", shape.stage, height + foot, True, how=how, inputs=inputs)
        write_size(ledger, shape, f"{key}.diameter", shape.stage, 2.0 * radius, False, how=how, inputs=inputs)


def _write_extent(ledger: Ledger, shape: Shape) -> None:
    stations, key, stage = shape.part.outside, shape.name, shape.stage
    widest = max(stations, key=lambda name: shape.outside[shape.station_places[name]][0])
    reaches_lower = shape.lowest_mm < float(as_line(shape.outside)[:, 1].min()) - 1e-9
    heights = sorted(stations, key=lambda name: shape.outside[shape.station_places[name]][1])
    low, high = (heights[-1], heights[0]) if shape.opens_down else (heights[0], heights[-1])
    height = shape.highest_mm - shape.lowest_mm
    inputs = [f"{key}.{name}.height {stage}" for name in (low, high)]
    how = (
        noted("from the foot's ring to {high}", high=high)
        if reaches_lower
        else noted("from {low} to {high}", low=low, high=high)
    )
    write_size(ledger, shape, f"{key}.height", stage, height, True, how=how, inputs=inputs)
    diameter = 2.0 * shape.widest_mm
    inputs = [f"{key}.{widest}.diameter {stage}"]
    write_size(
        ledger,
        shape,
        f"{key}.diameter",
        stage,
        diameter,
        False,
        how=noted("widest at {station}", station=str(widest)),
        inputs=inputs,
    )


def _write_foot(ledger: Ledger, shape: Shape, foot: Foot) -> None:
    """What a turned foot is turned to."""
    key, inputs = f"{shape.name}.foot", shape.section_names
    sizes: list[tuple[str, float | None, bool, str]] = [
        ("ring.outside", foot.outside_mm, False, later("the outside's first station")),
        ("ring.inside", foot.inside_mm, False, later("the underside's edge")),
        ("ring.width", foot.width_mm, False, later("half of the difference of the ring's two diameters")),
        ("recess.depth", foot.depth_mm, True, later("the underside's centre above what it stands on")),
        ("recess.depth.ring", foot.depth_at_ring_mm, True, later("the underside's corner above what it stands on")),
        ("recess.diameter", foot.recess_mm, False, later("across the underside's corner")),
        ("floor.rest", foot.floor_mm, True, later("from the recess to the inside, at the centre")),
    ]
    for name, size_mm, upward, how in sizes:
        if size_mm is not None:
            write_size(ledger, shape, f"{key}.{name}", shape.stage, size_mm, upward, how=how, inputs=inputs)


def _write_calipers(ledger: Ledger, built: Built, shape: Shape) -> None:
    for name, caliper in shape.part.calipers.items():
        key, found = f"{shape.name}.{name}", built.calipers[shape.name, str(name)]
        if isinstance(caliper.level, Size):
            _write_typed(ledger, shape, key, caliper.level, False, found.tools)
            continue
        if found.fit:
            how, inputs = (
                noted("what the fit {fit} leaves", fit=found.fit),
                [f"fit.{found.fit}.{found.way} {found.stage}"],
            )
        else:
            how = noted("{side} diameter at {level}'s level", side=noted(str(caliper.side)), level=str(caliper.level))
            inputs = [*_made_by(shape, caliper.side, str(caliper.level)), place(caliper.at)]
        write_size(ledger, shape, key, found.stage, found.size_mm, False, how=how, inputs=inputs, tools=found.tools)


def _write_thicknesses(ledger: Ledger, shape: Shape) -> None:
    """Wall and floor: as typed, or measured where the inside is listed."""
    part, key, stage = shape.part, shape.name, shape.stage
    if shape.solid:
        return
    if part.inside:
        thinnest, inputs = least_wall_mm(shape.outside, shape.inside), shape.section_names
        write_size(
            ledger, shape, f"{key}.wall.thickness", stage, thinnest, False, how="the wall at its thinnest", inputs=inputs
        )  # fmt: skip
        if shape.opens_down:  # whatever stands on a lid's closed end would count
            return
        floor = shape.inside[0][1] - (shape.underside or shape.outside)[0][1]
        write_size(ledger, shape, f"{key}.floor.thickness", stage, floor, True, how="at the centre", inputs=inputs)
        return
    by_station = {f"{name}.": size for name, size in part.wall_by_station.items()}
    walls = {"": part.wall} if isinstance(part.wall, Size) else by_station
    for station, size in walls.items():
        _write_typed(ledger, shape, f"{key}.wall.{station}thickness", size, False)
    if part.floor_size:
        _write_typed(ledger, shape, f"{key}.floor.thickness", part.floor_size, True)


def _made_by(shape: Shape, side: str, level: str) -> Sequence[str]:
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
    return shape.section_names
