"""The figures of one part: its sizes, weights, ball, pointer, capacity, areas, balance, dryness."""

from __future__ import annotations

from math import atan2, degrees, fsum, hypot
from typing import Any

from wareboard.figures.amounts import areas_cm2, extra_g, inside_film_mm
from wareboard.figures.built import Built, brim_mm
from wareboard.figures.clays import FILM_ASSUMED, GLAZE_LOSS_ASSUMED, LOSS_ASSUMED, glaze_loss_share
from wareboard.figures.extras import write_extras
from wareboard.figures.figure import Ledger, place
from wareboard.figures.shapes import Shape, shrinkage_names
from wareboard.figures.sizes import write_sizes
from wareboard.pot import solids
from wareboard.pot.budgets import capacity_budget, mass_budget
from wareboard.pot.glaze import glaze_dry_g
from wareboard.pot.outlines import as_line
from wareboard.pot.stages import LATER_STAGES
from wareboard.text.catalogue import COMMON, PAPPUS
from wareboard.text.formulas import Formula, Note, noted
from wareboard.text.languages import later
from wareboard.text.quantities import Steps, round_up_to_step
from wareboard.text.specs import Studio

WATER_G_ML = 1.0
FIRINGS = ("bisque", "fired")


def write_part(ledger: Ledger, built: Built, name: str) -> None:
    """Write every figure of a part."""
    shape = built.shapes[name]
    write_sizes(ledger, built, shape)
    write_extras(ledger, shape)
    _write_clay(ledger, built, shape)
    _write_ball(ledger, built.studio, shape)
    _write_pointer(ledger, built.studio, shape)
    _write_as_thrown(ledger, shape)
    _write_areas(ledger, shape)
    _write_glazed_mass(ledger, built, shape)
    if name in built.fills_mm:
        _write_capacity(ledger, built, shape, built.fills_mm[name])
    _write_balance(ledger, shape, built.fills_mm.get(name))
    _write_witness(ledger, shape)


MASS_WET = Formula("volume_cm3 * density_g_cm3 + sum(added_g)")
MASS_LATER = Formula("wet_g * left_share")


def _write_clay(ledger: Ledger, built: Built, shape: Shape) -> None:
    key, body, spec = shape.name, shape.body, built.clay
    for stage in ("wet", "fired"):
        volume = shape.volume_mm3 * shape.volume_scale(stage) / 1000.0
        inputs = [*shape.section_names, *shrinkage_names(shape, stage)]
        ledger.write(
            f"{key}.volume",
            stage,
            volume,
            noted("the finished section turned about its axis, {stage}", stage=noted(stage)),
            inputs,
        )
    extras = shape.part.extras
    inputs = [f"{key}.volume wet", "clay.density wet", *(f"{key}.{name}.clay wet" for name in extras)]
    volume, added = ledger.value(f"{key}.volume", "wet"), [extra_g(extra, shape) for extra in extras.values()]
    wet = ledger.work(
        f"{key}.mass", "wet", inputs, formula=MASS_WET, note=noted("added: {extras}", extras=", ".join(extras)) if extras else "",
        **weight_doubt(built, volume * body.wet_density_g_cm3 + fsum(added)),
        volume_cm3=volume, density_g_cm3=body.wet_density_g_cm3, added_g=added,
    )  # fmt: skip
    water, burnt = place(spec.water.at), [place(spec.loss_on_ignition.at)] if spec.loss_on_ignition else []
    taken = {
        "leather-hard": ["clay.shrinkage.height leather-hard", "clay.density wet"],
        "dry": [water],
        "bisque": [water, *burnt],
        "fired": [water, *burnt],
    }
    for stage in LATER_STAGES:
        assumed = stage in FIRINGS and not burnt
        ledger.work(
            f"{key}.mass", stage, [f"{key}.mass wet", *taken[stage]], formula=MASS_LATER, note=noted("{left}; {assumed}", left=noted(_LEFT[stage]), assumed=LOSS_ASSUMED) if assumed else _LEFT[stage],
            source=COMMON if assumed else None, **weight_doubt(built, wet * body.mass_share(stage)),
            wet_g=wet, left_share=body.mass_share(stage),
        )  # fmt: skip
    left_on = left_on_names(shape)
    inputs = [f"{key}.volume wet", *left_on]
    thrown = ledger.write(
        f"{key}.thrown.volume", "wet", shape.thrown_volume_mm3 / 1000.0,
        "the section as thrown, {wall_mm} on the outside and {floor_mm} under it left on", inputs, note=_thrown_note(shape),
        wall_mm=_left_on_said(shape), floor_mm=shape.drop_mm,
    )  # fmt: skip
    inputs = [f"{key}.thrown.volume wet", "clay.density wet"]
    ledger.work(
        f"{key}.thrown.mass", "wet", inputs, thrown_cm3=thrown, density_g_cm3=body.wet_density_g_cm3,
        **weight_doubt(built, thrown * body.wet_density_g_cm3),
    )  # fmt: skip


def left_on_names(shape: Shape) -> list[str]:
    """What a part's outline as thrown follows from beside its finished outline."""
    throwing = shape.part.throwing
    left = throwing.left_on if throwing else None
    typed = [*(left.sizes if left else ()), *((throwing.stub,) if throwing and throwing.stub else ())]
    return [*(place(size.at) for size in typed), *(shrinkage_names(shape, "leather-hard") if typed else ())]


def _left_on_said(shape: Shape) -> Note:
    low, high = float(shape.left_on_mm.min()), shape.most_left_on_mm
    return noted("{high_mm}", high_mm=high) if low == high else noted("{low} to {high_mm}", low=low, high_mm=high)


def _thrown_note(shape: Shape) -> str | Note:
    if shape.stub_mm is not None:
        return noted("its closed end a stub {across_mm} across, leather-hard", across_mm=2.0 * shape.stub_mm)
    return (
        later("what is narrower above what is wider in its closed end is turned, and thrown solid")
        if shape.is_stub_worked_out
        else ""
    )


_LEFT = {
    "leather-hard": later("each cm3 that it shrinks is a gram of water"),
    "dry": later("the water is gone"),
    "bisque": later("water and loss on ignition are gone"),
    "fired": later("water and loss on ignition are gone"),
}


def _write_ball(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    key, loss = shape.name, shape.part.throwing and shape.part.throwing.loss
    ball = ledger.work(
        f"{key}.ball", "wet", [f"{key}.thrown.mass wet", *([place(loss.at)] if loss else [])], note="" if loss else later("no loss given"),
        thrown_g=ledger.value(f"{key}.thrown.mass", "wet"), lost_share=loss.value if loss else 0.0,
    )  # fmt: skip
    scale = studio.steps.scale if studio.steps else None
    step = scale.value if scale else Steps().scale_g
    ledger.write(
        f"{key}.ball.set", "wet", round_up_to_step(ball, step), "{ball_g} up to the scale's step of {step_g}",
        [f"{key}.ball wet", *([place(scale.at)] if scale else [])], ball_g=ball, step_g=step,
    )  # fmt: skip


def _write_pointer(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    stations = shape.part.gauge_stations
    bat = studio.bat.value if studio.bat else 0.0
    left_on = left_on_names(shape)
    moved = shape.outline_names if shape.most_left_on_mm > 0.0 else []
    closed = shape.part.closed_station
    for name in stations:
        radius, height = shape.thrown_at(name)
        key = f"{shape.name}.pointer" + (f".{name}" if len(stations) > 1 else "")
        inputs = [
            f"{shape.name}.{name}.height wet",
            f"{shape.name}.{closed}.height wet",
            *left_on,
            *([place(studio.bat.at)] if studio.bat else []),
        ]
        above = (
            later("{station} above the thrown closed end")
            if shape.opens_down
            else later("{station} above the thrown foot")
        )
        note = noted(above, station=str(name))
        ledger.work(f"{key}.height", "wet", inputs, note=note, thrown_mm=height, bat_mm=bat)
        how = noted(
            "from the centre to the thrown outside at {station}'s level, half of {across_mm}",
            station=str(name),
            across_mm=2.0 * radius,
        )
        inputs = [f"{shape.name}.{name}.diameter wet", *moved, *left_on]
        ledger.write(f"{key}.reach", "wet", radius, how, inputs)


def _write_as_thrown(ledger: Ledger, shape: Shape) -> None:
    """What is gauged at the wheel: the floor under the needle, the depth, walls and outside calipers as thrown."""
    key, left_on = shape.name, left_on_names(shape)
    section = [*shape.section_names, *shrinkage_names(shape)]
    across, up = shape.body.across("leather-hard"), shape.body.up("leather-hard")
    if shape.thrown_floor_mm is not None:
        ledger.work(
            f"{key}.thrown.floor", "wet", [*section, *left_on], note="from what it stands on to the inside, leather-hard",
            floor_mm=shape.thrown_floor_mm, shrunk_share=1.0 - up,
        )  # fmt: skip
        depth = (shape.inside[-1][1] - float(as_line(shape.inside)[:, 1].min())) * shape.scale("wet")[1]
        ledger.write(f"{key}.thrown.depth", "wet", depth, "the inside, from its lip to its lowest", section)
    for gauge in shape.part.gauge_stations:
        wall = shape.thrown_wall_mm(gauge)
        if wall is not None:
            left = shape.left_on_mm.item(shape.station_places[gauge])
            ledger.work(
                f"{key}.thrown.wall.{gauge}", "wet", [*section, *left_on],
                wall_mm=wall - left, left_on_mm=left, shrunk_share=1.0 - across,
            )  # fmt: skip
    for name, caliper in shape.part.calipers.items():
        station = shape.station_of_caliper(str(name))
        if caliper.side != "inside" and not caliper.from_fit and station:
            ledger.work(
                f"{key}.{name}.thrown", "wet", [f"{key}.{name} wet", *shape.outline_names, *left_on], note=noted("at {station}'s level", station=str(station)),
                reach_mm=shape.thrown_reach_mm(station) / across,
            )  # fmt: skip


def _write_areas(ledger: Ledger, shape: Shape) -> None:
    key = shape.name
    bare = shape.part.bare
    for stage in FIRINGS:
        outline, section = (
            [*names, *shrinkage_names(shape, stage)] for names in (shape.outline_names, shape.section_names)
        )
        outside, bare_outside, inside, bare_inside = areas_cm2(shape, stage)
        how = (
            later("up the outline from foot to rim, and its closed end, without what it stands on")
            if shape.opens_down or shape.solid
            else later("up the outline from foot to rim, without what it stands on")
        )
        ledger.write(f"{key}.area.outside", stage, outside, how, outline)
        ledger.write(f"{key}.area.inside", stage, inside, "along the inside to the rim", section)
        inputs = [f"{key}.area.outside {stage}", f"{key}.area.inside {stage}", *(place(stretch.at) for stretch in bare)]
        ledger.work(
            f"{key}.area.glazed", stage, inputs, note="the rim's own ring is not counted",
            outside_cm2=outside, bare_outside_cm2=bare_outside, inside_cm2=inside, bare_inside_cm2=bare_inside,
        )  # fmt: skip


def _write_glazed_mass(ledger: Ledger, built: Built, shape: Shape) -> None:
    glaze = built.glaze
    if glaze is None or glaze.coat is None:
        return
    key, loss, typed = shape.name, glaze_loss_share(glaze), glaze.loss_on_ignition
    fired, area = ledger.value(f"{key}.mass", "fired"), ledger.value(f"{key}.area.glazed", "bisque")
    coat = glaze_dry_g(glaze.coat.value, area)
    places = [place(glaze.coat.at), *([place(typed.at)] if typed else [])]
    ledger.work(
        f"{key}.mass.glazed", "fired", [f"{key}.mass fired", f"{key}.area.glazed bisque", *places],
        note=noted("a coat of {coat}", coat=glaze.coat.typed) if typed else noted("a coat of {coat}; {assumed}", coat=glaze.coat.typed, assumed=GLAZE_LOSS_ASSUMED), source=None if typed else COMMON,
        **weight_doubt(built, fired + coat * (1.0 - loss)),
        fired_g=fired, dry_glaze_g=coat, lost_share=loss,
    )  # fmt: skip


def weight_doubt(built: Built, mass_g: float) -> dict[str, Any]:
    """A weight's doubt as the ledger takes it; none has been worked out where nobody said by how much weights differ."""
    share = built.spreads.weight_share
    if share is None:
        return {}
    scale = built.studio.steps.scale if built.studio.steps else None
    budget = mass_budget(mass_g, share, scale.value if scale else Steps().scale_g)
    return {"plus_minus": budget.standard, "budget": budget}


def _write_capacity(ledger: Ledger, built: Built, shape: Shape, fill_mm: float) -> None:
    key, up, glaze = shape.name, shape.scale("fired")[1], built.glaze
    inside = shape.inside_at("fired")
    film = inside_film_mm(shape, glaze)
    film_place = [place(glaze.film.at)] if film and glaze and glaze.film else []
    assumed = bool(film) and not film_place
    across, high = shape.body.across("fired"), shape.body.up("fired")
    deviation, weights = shape.body.deviation[-1], built.spreads.weight_share or 0.0
    for name, level in (("brim", brim_mm(shape) * up), ("fill", fill_mm * up)):
        level = min(level, inside[-1][1])
        filled = solids.filled_to(inside, level)
        space, taken = filled.volume_mm3, film * filled.wetted_mm2
        held = max(0.0, space - taken) / 1000.0
        each, clay_ml = held * (2.0 / across + shape.body.height_factor / high), ledger.value(f"{key}.volume", "fired")
        doubt = None if deviation is None else hypot(each * deviation, clay_ml * weights)
        budget = capacity_budget(shape.body, held, clay_ml, weights)
        inputs = [*shape.section_names, *shrinkage_names(shape, "fired"), *film_place]
        if name == "fill" and shape.part.fill_to is not None:
            inputs.insert(0, place(shape.part.fill_to.at))
        how = (
            later("inside to {level_mm} above the foot: {space_ml} − glaze film {film_mm} × {wetted_cm2}")
            if film
            else later("inside to {level_mm} above the foot: {space_ml}")
        )
        ledger.write(
            f"{key}.capacity.{name}", "fired", held, how, inputs, plus_minus=doubt, budget=budget,
            note=FILM_ASSUMED if assumed else "", source=f"{PAPPUS}; {COMMON}" if assumed else None,
            level_mm=level, space_ml=space / 1000.0, film_mm=film, wetted_cm2=filled.wetted_mm2 / 100.0 if film else 0.0,
        )  # fmt: skip


def _write_balance(ledger: Ledger, shape: Shape, fill_mm: float | None) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    centroid = solids.revolved_centroid_height_mm(shape.ring)
    empty = (shape.highest_mm - centroid if shape.opens_down else centroid - shape.lowest_mm) * up
    how = later("centroid of the section turned about its axis, without what was added, above the foot")
    ledger.write(f"{key}.centre_of_mass", "fired", empty, how, [f"{key}.volume fired"])
    if fill_mm is None:
        return
    inside = shape.inside_at("fired")
    water_g = ledger.value(f"{key}.capacity.fill", "fired") * WATER_G_ML
    water_mm = solids.filled_to(inside, min(fill_mm * up, inside[-1][1])).centre_mm if water_g > 0.0 else 0.0
    inputs = [f"{key}.centre_of_mass fired", f"{key}.capacity.fill fired", f"{key}.volume fired", "clay.density fired"]
    ledger.work(
        f"{key}.centre_of_mass.full", "fired", inputs,
        clay_g=ledger.value(f"{key}.volume", "fired") * shape.body.bulk_density_g_cm3("fired"), empty_mm=empty, water_g=water_g, water_mm=water_mm,
    )  # fmt: skip


def _write_witness(ledger: Ledger, shape: Shape) -> None:
    key = shape.name
    for stage in ("leather-hard", "dry"):
        how = noted("weight {stage} / weight wet, the same clay", stage=noted(stage))
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
