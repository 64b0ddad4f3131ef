"""What a part weighs and holds, and what is added to it, as plain numbers: for its figures, and for what is solved by them."""

from __future__ import annotations

from math import fsum, pi
from typing import NamedTuple

from wareboard.figures.clays import film_mm, glaze_loss_share
from wareboard.figures.shapes import Shape, to_stage
from wareboard.pot import solids
from wareboard.pot.glaze import glaze_dry_g
from wareboard.pot.outlines import as_line
from wareboard.pot.reckoning import Line, np
from wareboard.pot.straps import strap_volume_mm3
from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import Extra, TwoEnds
from wareboard.text.studio_specs import Glaze


class Areas(NamedTuple):
    """A part's faces at a stage, cm2: what is bare of them is in them."""

    outside: float
    bare_outside: float
    inside: float
    bare_inside: float

    @property
    def glazed(self) -> float:
        """What is under glaze."""
        return self.outside - self.bare_outside + (self.inside - self.bare_inside)

    @property
    def put_in(self) -> dict[str, float]:
        """The same by the names of the formula."""
        return {f"{name}_cm2": area for name, area in self._asdict().items()}


def areas_cm2(shape: Shape, *stages: str) -> list[Areas]:
    """The outside without what it stands on, and the inside, at each of some stages; a lid's top is outside too, and so is a solid part's.

    Bare stretches that overlap count once.
    """
    scales = [shape.scale(stage) for stage in stages]
    end_mm = shape.outside[0 if shape.opens_down else -1][0] if shape.opens_down or shape.solid else 0.0
    bare = {stretch.what for stretch in shape.part.bare}
    lines, last = [as_line(line) for line in (shape.outside, shape.inside) if line], len(shape.outside) - 1
    bands = solids.revolved_areas_mm2(
        np.concatenate(lines), scales
    )  # the band from one line to the other is of neither
    found = []
    for band, (across, _up) in zip(bands, scales):
        outside = float(band[:last].sum()) + pi * (end_mm * across) ** 2
        inside = float(band[last + 1 :].sum())
        bare_inside = inside if bare & {"inside", "all"} else 0.0
        bare_outside = outside if bare & {"outside", "all"} else min(outside, _bare_mm2(shape, band)) if bare else 0.0
        found.append(Areas(outside / 100.0, bare_outside / 100.0, inside / 100.0, bare_inside / 100.0))
    return found


def _bare_mm2(shape: Shape, bands: Line) -> float:
    places = shape.station_places
    spans = sorted(sorted((places[s.start], places[s.end])) for s in shape.part.bare if s.what == "stretch")
    bare, reached = 0.0, 0
    for first, last in spans:
        first = max(first, reached)
        if last > first:
            bare += float(bands[first:last].sum())
            reached = last
    return bare


def inside_film_mm(shape: Shape, glaze: Glaze | None) -> float:
    """Fired glaze on a part's inside; none where the inside is bare."""
    return 0.0 if {b.what for b in shape.part.bare} & {"inside", "all"} else film_mm(glaze)


def held_mm3(shape: Shape, glaze: Glaze | None, level_mm: float) -> tuple[float, float]:
    """The space to a level, fired, and what the glaze takes of it.

    Args:
        shape: a part that holds something.
        glaze: the glaze on it, or None.
        level_mm: above the foot, at the part's own stage.
    """
    filled = shape.filled_to(level_mm)
    return filled.volume_mm3, inside_film_mm(shape, glaze) * filled.wetted_mm2


def part_mass_g(shape: Shape, stage: str, glaze: Glaze | None = None) -> float:
    """What a part weighs at a stage, with what is added to it; fired in its glaze, where one is given."""
    body = shape.body
    wet = shape.volume_mm3 * shape.volume_scale("wet") / 1000.0 * body.wet_density_g_cm3
    wet += fsum(extra_g(extra, shape) for extra in shape.part.extras.values())
    mass = wet * body.mass_share(stage)
    if stage == "fired" and glaze is not None and glaze.coat is not None:
        mass += glaze_dry_g(glaze.coat.value, areas_cm2(shape, "bisque")[0].glazed) * (1.0 - glaze_loss_share(glaze))
    return mass


# ---- what is added ----


def extra_g(extra: Extra, shape: Shape) -> float:
    """Clay of a handle, a spout, a knob, wet: as it was given, else as its strap comes to."""
    return extra.clay.value if extra.clay is not None else strap_g(extra, shape) or 0.0


def strap_g(extra: Extra, shape: Shape) -> float | None:
    """What a strap weighs wet; None without one."""
    strap = extra.strap
    if strap is None:
        return None

    def wet_mm(size: Size) -> float:
        return to_stage(size, shape.stage, "wet", shape.body.across)

    def ends(size: Size | TwoEnds) -> tuple[float, float]:
        return (wet_mm(size), wet_mm(size)) if isinstance(size, Size) else (wet_mm(size.top), wet_mm(size.bottom))

    volume = strap_volume_mm3(
        wet_mm(strap.length), ends(strap.width), ends(strap.thickness), str(strap.section or "oval")
    )
    return volume / 1000.0 * shape.body.wet_density_g_cm3


def joint_heights_mm(extra: Extra, shape: Shape) -> tuple[float, ...]:
    """Where an extra is joined, above the foot at the part's own stage: its top and its bottom, those that are said."""
    body, foot = shape.body, shape.part.outside[shape.part.closed_station].height
    found = []
    for place in (extra.joined, extra.to):
        if place is None:
            continue
        size = shape.part.outside[place].height if isinstance(place, Word) else place
        found.append(
            to_stage(size, shape.stage, shape.stage, body.up) - to_stage(foot, shape.stage, shape.stage, body.up)
        )
    return tuple(found)


def outermost_mm(extra: Extra, shape: Shape) -> float | None:
    """How far from the axis an extra reaches at the part's own stage: beyond the outside's widest place between its joints."""
    if extra.reach is None:
        return None
    heights = joint_heights_mm(extra, shape)
    low, high = (min(heights), max(heights)) if heights else (0.0, shape.highest_mm)
    radii = [radius for radius, height in shape.outside if low <= height <= high]
    radii += [radius for height in heights if (radius := solids.radius_at(shape.outside, height)) is not None]
    widest = max(radii, default=max(radius for radius, _ in shape.outside))
    return widest + to_stage(extra.reach, shape.stage, shape.stage, shape.body.across)
