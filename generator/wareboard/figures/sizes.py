"""The sizes of one part through the stages: stations, overall, calipers, wall and floor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

from wareboard.figures.built import Built, BuiltCaliper
from wareboard.figures.figure import Doubt, Ledger, Once, Told, place
from wareboard.figures.shapes import Shape, to_stage
from wareboard.pot.budgets import Tool, size_budget, size_plus_minus_mm
from wareboard.pot.clay import Body
from wareboard.pot.feet import Foot
from wareboard.pot.outlines import as_line
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import C326
from wareboard.text.formulas import Formula, Note, noted
from wareboard.text.kinds import Size, Word
from wareboard.text.languages import later
from wareboard.text.phrases import Caliper


def write_sizes(ledger: Ledger, built: Built, shape: Shape) -> None:
    """Write a part's sizes at all five stages: stations, overall, calipers, wall and floor."""
    _write_stations(ledger, built, shape)
    _write_gallery(ledger, shape)
    _write_extent(ledger, shape)
    _write_calipers(ledger, built, shape)
    _write_thicknesses(ledger, shape)
    if shape.foot:
        _write_foot(ledger, shape, shape.foot)


class Came(NamedTuple):
    """How a size came about at the stage at which it is known: in words, from what, and whether a maker typed it."""

    how: str | Note
    inputs: Sequence[str]
    given: bool = False


WORKED_BACK = Formula("size_mm / (1 - shrunk_share)")
WORKED_ON = Formula("wet_mm * (1 - shrunk_share)")


def write_size(
    ledger: Ledger,
    shape: Shape,
    key: str,
    stage: str,
    size_mm: float | Callable[[], float],
    upward: bool,
    came: Callable[[], Came],
    tools: Sequence[Tool] = (),
) -> None:
    """Write a size at all five stages, from what it is at one.

    The doubt from bars: what is set wet comes out of the kiln that far apart, and as far apart as its tools set it;
    a wet size that no tool is known for is as much in doubt as the shrinkage that it was worked back with.

    Args:
        ledger: where it is written.
        shape: the part.
        key: the figure.
        stage: the stage at which the size is known.
        size_mm: the size there, mm; or what measures it, once somebody asks.
        upward: it shrinks as heights do.
        came: how the size came about there, asked when somebody wants to know.
        tools: what it is set with, of those that the studio knows the spread of.
    """
    body = shape.body
    kept, place = body.kept_up if upward else body.kept_across, STAGES.index(stage)

    def measured_mm() -> float:
        return size_mm() if callable(size_mm) else size_mm

    def values() -> list[float]:
        return _through_stages(measured_mm(), kept, place)

    def told(at: str) -> Told:
        there_mm = measured_mm()
        wet_mm = there_mm / kept[place]
        doubt = Once(_doubt, body, wet_mm, at, stage, upward, tools)
        if at == stage:
            how, inputs, given = came()
            return Told(there_mm, how, inputs, source="", given=given, doubt=doubt)
        shrinkage = "clay.shrinkage.height" if upward else "clay.shrinkage"
        if at == "wet":
            back = {"size_mm": there_mm, "shrunk_share": 1.0 - kept[place]}
            return Told(wet_mm, WORKED_BACK, (f"{key} {stage}", f"{shrinkage} {stage}"), back, source=C326, doubt=doubt)
        on = {"wet_mm": wet_mm, "shrunk_share": body.shrinkage_share(at) * (body.height_factor if upward else 1.0)}
        return Told(WORKED_ON(on), WORKED_ON, (f"{key} wet", f"{shrinkage} {at}"), on, source=C326, doubt=doubt)

    ledger.put(key, values if callable(size_mm) else values(), told)


def _through_stages(size_mm: float, kept: Sequence[float], place: int) -> list[float]:
    """A size at all five stages, from what it is at one."""
    wet_mm = size_mm / kept[place]
    values = [wet_mm * left for left in kept]
    values[place] = size_mm
    return values


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
        write_typed(ledger, shape, f"{key}.height", station.height, True)
        if isinstance(station.diameter, Word):
            diameter = 2.0 * shape.outside[shape.station_places[name]][0]
            tools = built.calipers[shape.name, str(station.diameter)].tools
            came = partial(_as_calipers, shape, station.diameter)
            write_size(ledger, shape, f"{key}.diameter", shape.stage, diameter, False, came, tools)
        else:
            write_typed(ledger, shape, f"{key}.diameter", station.diameter, False)


def _as_calipers(shape: Shape, typed: Word) -> Came:
    caliper = f"{shape.name}.{typed}"
    return Came(noted("set with calipers: {caliper}", caliper=caliper), [f"{caliper} {shape.stage}", place(typed.at)])


def write_typed(ledger: Ledger, shape: Shape, key: str, size: Size, upward: bool, tools: Sequence[Tool] = ()) -> None:
    """Write a size that a maker typed at all five stages."""
    came = lambda: Came(noted("typed: {size}", size=size.typed), [place(size.at)], given=True)
    write_size(ledger, shape, key, size.stage or shape.stage, size.value, upward, came, tools)


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
        came = partial(Came, said[name], [*shape.section_names, place(gallery.at)])
        write_size(ledger, shape, f"{shape.name}.{name}.height", shape.stage, height + foot, True, came)
        write_size(ledger, shape, f"{shape.name}.{name}.diameter", shape.stage, 2.0 * radius, False, came)


def _write_extent(ledger: Ledger, shape: Shape) -> None:
    stage, key, at = shape.stage, shape.name, shape.station_places
    reaches_lower = shape.lowest_mm < float(as_line(shape.outside)[:, 1].min()) - 1e-9

    def from_to() -> Came:
        heights = sorted(shape.part.outside, key=lambda name: shape.outside[at[name]][1])
        low, high = (heights[-1], heights[0]) if shape.opens_down else (heights[0], heights[-1])
        inputs = [f"{key}.{name}.height {stage}" for name in (low, high)]
        if reaches_lower:
            return Came(noted("from the foot's ring to {high}", high=high), inputs)
        return Came(noted("from {low} to {high}", low=low, high=high), inputs)

    def widest_at() -> Came:
        widest = max(shape.part.outside, key=lambda name: shape.outside[at[name]][0])
        return Came(noted("widest at {station}", station=str(widest)), [f"{key}.{widest}.diameter {stage}"])

    write_size(ledger, shape, f"{key}.height", stage, shape.highest_mm - shape.lowest_mm, True, from_to)
    write_size(ledger, shape, f"{key}.diameter", stage, 2.0 * shape.widest_mm, False, widest_at)


def _write_foot(ledger: Ledger, shape: Shape, foot: Foot) -> None:
    """What a turned foot is turned to."""
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
            came = partial(Came, how, shape.section_names)
            write_size(ledger, shape, f"{shape.name}.foot.{name}", shape.stage, size_mm, upward, came)


def _write_calipers(ledger: Ledger, built: Built, shape: Shape) -> None:
    for name, caliper in shape.part.calipers.items():
        key, found = f"{shape.name}.{name}", built.calipers[shape.name, str(name)]
        if isinstance(caliper.level, Size):
            write_typed(ledger, shape, key, caliper.level, False, found.tools)
        else:
            came = partial(_by_fit, found) if found.fit else partial(_at_level, shape, caliper)
            write_size(ledger, shape, key, found.stage, found.size_mm, False, came, found.tools)


def _by_fit(found: BuiltCaliper) -> Came:
    return Came(noted("what the fit {fit} leaves", fit=found.fit), [f"fit.{found.fit}.{found.way} {found.stage}"])


def _at_level(shape: Shape, caliper: Caliper) -> Came:
    how = noted("{side} diameter at {level}'s level", side=noted(str(caliper.side)), level=str(caliper.level))
    return Came(how, [*_made_by(shape, caliper.side, str(caliper.level)), place(caliper.at)])


def _write_thicknesses(ledger: Ledger, shape: Shape) -> None:
    """Wall and floor: as typed, or measured where the inside is listed."""
    part, key, stage = shape.part, shape.name, shape.stage
    if shape.solid:
        return
    if part.inside:
        came = lambda: Came(later("the wall at its thinnest"), shape.section_names)
        write_size(ledger, shape, f"{key}.wall.thickness", stage, lambda: shape.least_wall_mm, False, came)
        if shape.opens_down:  # whatever stands on a lid's closed end would count
            return
        floor = shape.inside[0][1] - (shape.underside or shape.outside)[0][1]
        came = lambda: Came(later("at the centre"), shape.section_names)
        write_size(ledger, shape, f"{key}.floor.thickness", stage, floor, True, came)
        return
    by_station = {f"{name}.": size for name, size in part.wall_by_station.items()}
    walls = {"": part.wall} if isinstance(part.wall, Size) else by_station
    for station, size in walls.items():
        write_typed(ledger, shape, f"{key}.wall.{station}thickness", size, False)
    if part.floor_size:
        write_typed(ledger, shape, f"{key}.floor.thickness", part.floor_size, True)


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
