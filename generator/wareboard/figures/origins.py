"""Where a figure comes from, as its inputs name it: places in the spec, and the figures of a section."""

from __future__ import annotations

from wareboard.figures.shapes import Shape
from wareboard.pot.stages import STAGES
from wareboard.text.kinds import Size, Word
from wareboard.text.problems import Position


def place(at: Position) -> str:
    """A place of the spec as figures name it."""
    return f"{at.file}:{at.line}"


def outline_names(shape: Shape) -> list[str]:
    """The figures of the stations that draw a part's outside, at the stage at which it is built."""
    return [
        f"{shape.name}.{station}.{size} {shape.stage}"
        for station in shape.part.outside
        for size in ("height", "diameter")
    ]


def section_names(shape: Shape) -> list[str]:
    """What a part's section is drawn from: its stations, and the lines of its wall, floor, inside and underside."""
    part = shape.part
    walls = [part.wall] if isinstance(part.wall, Size) else list((part.wall or {}).values())
    listed = [*part.inside.values(), *part.underside.values()]
    named = [
        f"{shape.name}.{station.diameter} {shape.stage}" for station in listed if isinstance(station.diameter, Word)
    ]
    lines = [place(typed.at) for typed in (*walls, part.floor, *listed) if typed]
    sizes = [*walls, part.floor, *(size for station in listed for size in (station.height, station.diameter))]
    stages = {size.stage for size in sizes if isinstance(size, Size) and size.stage} - {shape.stage}
    return [*outline_names(shape), *named, *lines, *(shrinkage_names(shape, *stages) if stages else ())]


def shrinkage_names(shape: Shape, *stages: str) -> list[str]:
    """The shrinkage figures that bring a part from the stage at which it is built to others."""
    return [f"clay.shrinkage.height {stage}" for stage in STAGES[1:] if stage in (shape.stage, *stages)]
