"""The figures of one part: its sizes, weights, ball, pointer, capacity, areas, balance, dryness."""

from __future__ import annotations

from math import atan2, degrees

from wareboard.figures.built import Built, brim_mm
from wareboard.figures.figure import Ledger
from wareboard.figures.origins import outline_names, place, section_names, shrinkage_names
from wareboard.figures.shapes import Shape
from wareboard.figures.sizes import write_sizes
from wareboard.pot import solids
from wareboard.pot.glaze import glaze_dry_g
from wareboard.pot.stages import LATER_STAGES
from wareboard.text.formulas import Formula
from wareboard.text.quantities import Steps, round_up_to_step
from wareboard.text.specs import Clay, Glaze, Studio

WATER_G_ML = 1.0
FIRINGS = ("bisque", "fired")


def write_part(ledger: Ledger, built: Built, name: str) -> None:
    """Write every figure of a part."""
    shape = built.shapes[name]
    write_sizes(ledger, built, shape)
    _write_clay(ledger, built.clay, shape)
    _write_ball(ledger, built.studio, shape)
    _write_pointer(ledger, built.studio, shape)
    _write_areas(ledger, shape)
    _write_glazed_mass(ledger, shape, built.glaze)
    if name in built.fills_mm:
        _write_capacity(ledger, shape, built.glaze, built.fills_mm[name])
    _write_balance(ledger, shape, built.fills_mm.get(name))
    _write_witness(ledger, shape)


MASS_WET = Formula("volume_cm3 * density_g_cm3 + sum(added_g)")
MASS_LATER = Formula("wet_g * left_share")


def _write_clay(ledger: Ledger, spec: Clay, shape: Shape) -> None:
    key, body = shape.name, shape.body
    for stage in ("wet", "fired"):
        volume = shape.volume_mm3 * shape.volume_scale(stage) / 1000.0
        inputs = [*section_names(shape), *shrinkage_names(shape, stage)]
        ledger.write(f"{key}.volume", stage, volume, f"the finished section turned about its axis, {stage}", inputs)
    extras = shape.part.extras
    inputs = [f"{key}.volume wet", "clay.density wet", *(place(extra.clay.at) for extra in extras.values())]
    wet = ledger.work(
        f"{key}.mass", "wet", inputs, formula=MASS_WET, note=f"added: {', '.join(extras)}" if extras else "",
        volume_cm3=ledger.value(f"{key}.volume", "wet"), density_g_cm3=body.wet_density_g_cm3, added_g=[extra.clay.value for extra in extras.values()],
    )  # fmt: skip
    water, burnt = place(spec.water.at), [place(spec.loss_on_ignition.at)] if spec.loss_on_ignition else []
    taken = {
        "leather-hard": ["clay.shrinkage.height leather-hard", "clay.density wet"],
        "dry": [water],
        "bisque": [water, *burnt],
        "fired": [water, *burnt],
    }
    for stage in LATER_STAGES:
        ledger.work(
            f"{key}.mass", stage, [f"{key}.mass wet", *taken[stage]], formula=MASS_LATER, note=_LEFT[stage],
            wet_g=wet, left_share=body.mass_share(stage),
        )  # fmt: skip
    left = shape.part.throwing and shape.part.throwing.left_on
    left_on = [place(size.at) for size in (left.wall, left.floor) if size] if left else []
    inputs = [f"{key}.volume wet", *left_on, *(shrinkage_names(shape, "leather-hard") if left_on else [])]
    thrown = ledger.write(
        f"{key}.thrown.volume", "wet", shape.thrown_volume_mm3 / 1000.0,
        "the section as thrown, {wall_mm} on the outside and {floor_mm} under it left on", inputs,
        wall_mm=shape.wall_left_on_mm, floor_mm=shape.drop_mm,
    )  # fmt: skip
    inputs = [f"{key}.thrown.volume wet", "clay.density wet"]
    ledger.work(f"{key}.thrown.mass", "wet", inputs, thrown_cm3=thrown, density_g_cm3=body.wet_density_g_cm3)


_LEFT = {
    "leather-hard": "each cm3 that it shrinks is a gram of water",
    "dry": "the water is gone",
    "bisque": "water and loss on ignition are gone",
    "fired": "water and loss on ignition are gone",
}


def _write_ball(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    key, loss = shape.name, shape.part.throwing and shape.part.throwing.loss
    ball = ledger.work(
        f"{key}.ball", "wet", [f"{key}.thrown.mass wet", *([place(loss.at)] if loss else [])], note="" if loss else "no loss given",
        thrown_g=ledger.value(f"{key}.thrown.mass", "wet"), lost_share=loss.value if loss else 0.0,
    )  # fmt: skip
    scale = studio.steps.scale if studio.steps else None
    step = scale.value if scale else Steps().scale_g
    ledger.write(
        f"{key}.ball.set", "wet", round_up_to_step(ball, step), "{ball_g} up to the scale's step of {step_g}",
        [f"{key}.ball wet", *([place(scale.at)] if scale else [])], ball_g=ball, step_g=step,
    )  # fmt: skip


def _write_pointer(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    stations, thrown = shape.part.gauge_stations, shape.thrown("wet")
    bat = studio.bat.value if studio.bat else 0.0
    left = shape.part.throwing and shape.part.throwing.left_on
    left_on = [place(size.at) for size in (left.wall, left.floor) if size] if left else []
    if left_on:
        left_on += shrinkage_names(shape, "leather-hard")
    moved = outline_names(shape) if left and left.wall else []
    closed = shape.part.closed_station
    for name in stations:
        radius, height = thrown.stations[name]
        key = f"{shape.name}.pointer" + (f".{name}" if len(stations) > 1 else "")
        inputs = [
            f"{shape.name}.{name}.height wet",
            f"{shape.name}.{closed}.height wet",
            *left_on,
            *([place(studio.bat.at)] if studio.bat else []),
        ]
        note = f"{name} above the thrown {'closed end' if shape.opens_down else 'foot'}"
        ledger.work(f"{key}.height", "wet", inputs, note=note, thrown_mm=height, bat_mm=bat)
        how = f"from the centre to the thrown outside at {name}'s level, half of {{across_mm}}"
        inputs = [f"{shape.name}.{name}.diameter wet", *moved, *left_on]
        ledger.write(f"{key}.reach", "wet", radius, how, inputs, across_mm=2.0 * radius)


def _outside_area_mm2(shape: Shape, line: solids.Polyline) -> float:
    """Outside without what it stands on: a lid's top is outside too, and so is a solid part's."""
    area = solids.revolved_area_mm2(line)
    if shape.opens_down:
        area += solids.revolved_area_mm2(((0.0, line[0][1]), line[0]))
    elif shape.solid:
        area += solids.revolved_area_mm2((line[-1], (0.0, line[-1][1])))
    return area


def _write_areas(ledger: Ledger, shape: Shape) -> None:
    key = shape.name
    bare = shape.part.bare
    for stage in FIRINGS:
        outline, section = (
            [*names, *shrinkage_names(shape, stage)] for names in (outline_names(shape), section_names(shape))
        )
        line = shape.scaled(shape.outside, stage)
        outside = _outside_area_mm2(shape, line) / 100.0
        inside = solids.revolved_area_mm2(shape.scaled(shape.inside, stage)) / 100.0 if shape.inside else 0.0
        closed = ", and its closed end" if shape.opens_down or shape.solid else ""
        how = f"up the outline from foot to rim{closed}, without what it stands on"
        ledger.write(f"{key}.area.outside", stage, outside, how, outline)
        ledger.write(f"{key}.area.inside", stage, inside, "along the inside to the rim", section)
        bare_outside, bare_inside = _bare_cm2(shape, line, outside, inside)
        inputs = [f"{key}.area.outside {stage}", f"{key}.area.inside {stage}", *(place(stretch.at) for stretch in bare)]
        ledger.work(
            f"{key}.area.glazed", stage, inputs, note="the rim's own ring is not counted",
            outside_cm2=outside, bare_outside_cm2=min(outside, bare_outside), inside_cm2=inside, bare_inside_cm2=bare_inside,
        )  # fmt: skip


def _bare_cm2(shape: Shape, line: solids.Polyline, outside: float, inside: float) -> tuple[float, float]:
    """Bare outside and bare inside; stretches that overlap count once."""
    whats = {stretch.what for stretch in shape.part.bare}
    bare_inside = inside if whats & {"inside", "all"} else 0.0
    if whats & {"outside", "all"}:
        return outside, bare_inside
    places = shape.station_places
    spans = sorted(sorted((places[s.start], places[s.end])) for s in shape.part.bare if s.what == "stretch")
    bare, reached = 0.0, 0
    for first, last in spans:
        first = max(first, reached)
        if last > first:
            bare += solids.revolved_area_mm2(line[first : last + 1]) / 100.0
            reached = last
    return bare, bare_inside


def _write_glazed_mass(ledger: Ledger, shape: Shape, glaze: Glaze | None) -> None:
    if glaze is None or glaze.coat is None:
        return
    key = shape.name
    ledger.work(
        f"{key}.mass.glazed", "fired", [f"{key}.mass fired", f"{key}.area.glazed bisque", place(glaze.coat.at)],
        note=f"a coat of {glaze.coat.typed}",
        fired_g=ledger.value(f"{key}.mass", "fired"), dry_glaze_g=glaze_dry_g(glaze.coat.value, ledger.value(f"{key}.area.glazed", "bisque")),
    )  # fmt: skip


def _write_capacity(ledger: Ledger, shape: Shape, glaze: Glaze | None, fill_mm: float) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    inside = shape.scaled(shape.inside, "fired")
    film = (
        glaze.film.value if glaze and glaze.film and not {b.what for b in shape.part.bare} & {"inside", "all"} else 0.0
    )
    across, high = shape.body.across("fired"), shape.body.up("fired")
    deviation = shape.body.deviation[-1]
    for name, level in (("brim", brim_mm(shape) * up), ("fill", fill_mm * up)):
        level = min(level, inside[-1][1])
        space = solids.volume_below_mm3(inside, level)
        taken = film * solids.area_below_mm2(inside, level) if film else 0.0
        held = max(0.0, space - taken) / 1000.0
        doubt = None if deviation is None else held * deviation * (2.0 / across + shape.body.height_factor / high)
        inputs = [*section_names(shape), *shrinkage_names(shape, "fired"), *([place(glaze.film.at)] if film else [])]
        if name == "fill" and shape.part.fill_to is not None:
            inputs.insert(0, place(shape.part.fill_to.at))
        less = " − glaze film {film_mm} × {wetted_cm2}" if film else ""
        ledger.write(
            f"{key}.capacity.{name}", "fired", held, f"inside to {{level_mm}} above the foot: {{space_ml}}{less}", inputs, plus_minus=doubt,
            level_mm=level, space_ml=space / 1000.0, film_mm=film, wetted_cm2=taken / film / 100.0 if film else 0.0,
        )  # fmt: skip


def _write_balance(ledger: Ledger, shape: Shape, fill_mm: float | None) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    centroid = solids.revolved_centroid_height_mm(shape.ring)
    empty = (shape.highest_mm - centroid if shape.opens_down else centroid - shape.foot_mm) * up
    how = "centroid of the section turned about its axis, without what was added, above the foot"
    ledger.write(f"{key}.centre_of_mass", "fired", empty, how, [f"{key}.volume fired"])
    if fill_mm is None:
        return
    inside = shape.scaled(shape.inside, "fired")
    void = solids.void_below(inside, min(fill_mm * up, inside[-1][1]))
    water_g = ledger.value(f"{key}.capacity.fill", "fired") * WATER_G_ML
    water_mm = solids.revolved_centroid_height_mm(void) if len(void) > 2 and water_g > 0.0 else 0.0
    inputs = [f"{key}.centre_of_mass fired", f"{key}.capacity.fill fired", f"{key}.volume fired", "clay.density fired"]
    ledger.work(
        f"{key}.centre_of_mass.full", "fired", inputs,
        clay_g=ledger.value(f"{key}.volume", "fired") * shape.body.bulk_density_g_cm3("fired"), empty_mm=empty, water_g=water_g, water_mm=water_mm,
    )  # fmt: skip


def _write_witness(ledger: Ledger, shape: Shape) -> None:
    key = shape.name
    for stage in ("leather-hard", "dry"):
        how = f"weight {stage} / weight wet, the same clay"
        inputs = [f"{key}.mass {stage}", f"{key}.mass wet"]
        ledger.write(f"{key}.witness", stage, shape.body.mass_share(stage) * 100.0, how, inputs)


def tip_angle_deg(foot_radius_mm: float, centre_of_mass_mm: float) -> float:
    """How far a piece can be tipped before it falls: atan(foot radius / height of its centre of mass).

    Args:
        foot_radius_mm: radius of the ring that it stands on, mm, >= 0.
        centre_of_mass_mm: height of the centre of mass above it, mm, > 0.
    Returns: degrees.
    Source: statics, worked.
    >>> round(tip_angle_deg(30.0, 30.0), 1)
    45.0
    """
    return degrees(atan2(foot_radius_mm, centre_of_mass_mm))
