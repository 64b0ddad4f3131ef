"""The figures of one part: its sizes, weights, ball, pointer, capacity, areas, balance, dryness; what is added to it, and how wide it is with that."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import atan2, degrees, hypot

from wareboard.figures.amounts import Areas, areas_cm2, extra_g, inside_film_mm, outermost_mm
from wareboard.figures.built import Built, brim_mm
from wareboard.figures.clays import FILM_ASSUMED, GLAZE_LOSS_ASSUMED, LOSS_ASSUMED, glaze_loss_share
from wareboard.figures.figure import NO_DOUBT, Doubt, Ledger, Once, Told, place
from wareboard.figures.shapes import Shape, shrinkage_names, to_stage
from wareboard.figures.sizes import Came, write_size, write_sizes, write_typed
from wareboard.pot.budgets import capacity_budget, mass_budget
from wareboard.pot.clay import Body
from wareboard.pot.glaze import glaze_dry_g
from wareboard.pot.outlines import as_line
from wareboard.pot.straps import across_mm
from wareboard.text.catalogue import COMMON, PAPPUS
from wareboard.text.formulas import Formula, Note, Put, noted
from wareboard.text.kinds import Size
from wareboard.text.languages import later
from wareboard.text.part_specs import Extra, Strap, TwoEnds
from wareboard.text.quantities import Steps, round_up_to_step
from wareboard.text.studio_specs import Studio

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
    key, body, extras = shape.name, shape.body, shape.part.extras
    wet_cm3, fired_cm3 = (shape.volume_mm3 * shape.volume_scale(stage) / 1000.0 for stage in ("wet", "fired"))

    def volume_told(at: str) -> Told:
        how = noted("the finished section turned about its axis, {stage}", stage=noted(at))
        return Told(wet_cm3 if at == "wet" else fired_cm3, how, [*shape.section_names, *shrinkage_names(shape, at)])

    ledger.put(f"{key}.volume", (wet_cm3, fired_cm3), volume_told)
    put_in: dict[str, Put] = {
        "volume_cm3": wet_cm3, "density_g_cm3": body.wet_density_g_cm3,
        "added_g": [extra_g(extra, shape) for extra in extras.values()],
    }  # fmt: skip
    wet = MASS_WET(put_in)

    def mass_told(at: str) -> Told:
        mass, share = wet * body.mass_share(at), body.mass_share(at)
        doubt = weight_doubt(built, mass)
        if at == "wet":
            inputs = [f"{key}.volume wet", "clay.density wet", *(f"{key}.{name}.clay wet" for name in extras)]
            note = noted("added: {extras}", extras=", ".join(extras)) if extras else ""
            return Told(mass, MASS_WET, inputs, put_in, note, doubt=doubt)
        burnt = built.clay.loss_on_ignition
        if at == "leather-hard":
            inputs = ["clay.shrinkage.height leather-hard", "clay.density wet"]
        else:
            inputs = [place(size.at) for size in (built.clay.water, burnt if at != "dry" else None) if size]
        assumed = at in FIRINGS and burnt is None
        left = noted(_LEFT[at])
        return Told(
            mass, MASS_LATER, [f"{key}.mass wet", *inputs], {"wet_g": wet, "left_share": share},
            noted("{left}; {assumed}", left=left, assumed=LOSS_ASSUMED) if assumed else left, COMMON if assumed else None, doubt=doubt,
        )  # fmt: skip

    ledger.put(f"{key}.mass", [wet * share for share in body.mass_shares], mass_told)
    thrown = shape.thrown_volume_mm3 / 1000.0

    def thrown_told(_at: str) -> Told:
        how = later("the section as thrown, {wall_mm} on the outside and {floor_mm} under it left on")
        put_in: dict[str, Put] = {"wall_mm": _left_on_said(shape), "floor_mm": shape.drop_mm}
        return Told(thrown, how, [f"{key}.volume wet", *shape.left_on_names], put_in, _thrown_note(shape))

    ledger.put(f"{key}.thrown.volume", (thrown,), thrown_told)
    ledger.work(
        f"{key}.thrown.mass", "wet", [f"{key}.thrown.volume wet", "clay.density wet"],
        {"thrown_cm3": thrown, "density_g_cm3": body.wet_density_g_cm3}, doubt=weight_doubt(built, thrown * body.wet_density_g_cm3),
    )  # fmt: skip


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
        f"{key}.ball", "wet", [f"{key}.thrown.mass wet", *([place(loss.at)] if loss else [])],
        {"thrown_g": ledger.value(f"{key}.thrown.mass", "wet"), "lost_share": loss.value if loss else 0.0},
        note="" if loss else later("no loss given"),
    )  # fmt: skip
    scale = studio.steps.scale if studio.steps else None
    step = scale.value if scale else Steps().scale_g
    ledger.write(
        f"{key}.ball.set", "wet", round_up_to_step(ball, step), "{ball_g} up to the scale's step of {step_g}",
        [f"{key}.ball wet", *([place(scale.at)] if scale else [])], {"ball_g": ball, "step_g": step},
    )  # fmt: skip


def _write_pointer(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    stations = shape.part.gauge_stations
    for name in stations:
        key = f"{shape.name}.pointer" + (f".{name}" if len(stations) > 1 else "")
        _write_pointer_at(ledger, studio.bat, shape, str(name), key)


def _write_pointer_at(ledger: Ledger, bat: Size | None, shape: Shape, name: str, key: str) -> None:
    radius, height = shape.thrown_at(name)
    ends = [f"{shape.name}.{station}.height wet" for station in (name, shape.part.closed_station)]
    above = (
        later("{station} above the thrown closed end") if shape.opens_down else later("{station} above the thrown foot")
    )
    ledger.work(
        f"{key}.height", "wet", [*ends, *shape.left_on_names, *([place(bat.at)] if bat else [])],
        {"thrown_mm": height, "bat_mm": bat.value if bat else 0.0}, note=noted(above, station=name),
    )  # fmt: skip

    def reach_told(_at: str) -> Told:
        how = noted(
            "from the centre to the thrown outside at {station}'s level, half of {across_mm}",
            station=name,
            across_mm=2.0 * radius,
        )
        moved = shape.outline_names if shape.most_left_on_mm > 0.0 else []
        return Told(radius, how, [f"{shape.name}.{name}.diameter wet", *moved, *shape.left_on_names])

    ledger.put(f"{key}.reach", (radius,), reach_told)


def _write_as_thrown(ledger: Ledger, shape: Shape) -> None:
    """What is gauged at the wheel: the floor under the needle, the depth, walls and outside calipers as thrown."""
    key, left_on = shape.name, shape.left_on_names
    across, up = shape.body.across("leather-hard"), shape.body.up("leather-hard")

    def section() -> list[str]:
        return [*shape.section_names, *shrinkage_names(shape)]

    def floor() -> dict[str, float]:
        return {"floor_mm": shape.thrown_floor_mm or 0.0, "shrunk_share": 1.0 - up}

    def depth_mm() -> float:
        return (shape.inside[-1][1] - float(as_line(shape.inside)[:, 1].min())) * shape.scale("wet")[1]

    def depth_told(_at: str) -> Told:
        return Told(depth_mm(), later("the inside, from its lip to its lowest"), section())

    def wall(gauge: str) -> dict[str, float]:
        left = shape.left_on_mm.item(shape.station_places[gauge])
        return {"wall_mm": shape.thrown_wall_mm(gauge) - left, "left_on_mm": left, "shrunk_share": 1.0 - across}

    if not shape.solid:
        ledger.work_when_read(
            f"{key}.thrown.floor", lambda: [*section(), *left_on], floor, note="from what it stands on to the inside, leather-hard"
        )  # fmt: skip
        ledger.put(f"{key}.thrown.depth", lambda: (depth_mm(),), depth_told)
    for gauge in shape.part.gauge_stations:
        if shape.is_wall_at(gauge):
            ledger.work_when_read(f"{key}.thrown.wall.{gauge}", lambda: [*section(), *left_on], partial(wall, gauge))
    for name, caliper in shape.part.calipers.items():
        station = shape.station_of_caliper(str(name))
        if caliper.side != "inside" and not caliper.from_fit and station:
            ledger.work(
                f"{key}.{name}.thrown", "wet", [f"{key}.{name} wet", *shape.outline_names, *left_on],
                {"reach_mm": shape.thrown_reach_mm(station) / across}, note=noted("at {station}'s level", station=str(station)),
            )  # fmt: skip


def _write_areas(ledger: Ledger, shape: Shape) -> None:
    key, at_stages = shape.name, Once(areas_cm2, shape, *FIRINGS)

    def outside_told(stage: str) -> Told:
        how = (
            later("up the outline from foot to rim, and its closed end, without what it stands on")
            if shape.opens_down or shape.solid
            else later("up the outline from foot to rim, without what it stands on")
        )
        return Told(of(stage).outside, how, [*shape.outline_names, *shrinkage_names(shape, stage)])

    def inside_told(stage: str) -> Told:
        names = [*shape.section_names, *shrinkage_names(shape, stage)]
        return Told(of(stage).inside, later("along the inside to the rim"), names)

    def glazed_told(stage: str) -> Told:
        areas, bare = of(stage), (place(stretch.at) for stretch in shape.part.bare)
        inputs = [f"{key}.area.outside {stage}", f"{key}.area.inside {stage}", *bare]
        return Told(areas.glazed, None, inputs, areas.put_in, noted("the rim's own ring is not counted"))

    def of(stage: str) -> Areas:
        return at_stages()[FIRINGS.index(stage)]  # type: ignore[no-any-return]

    ledger.put(f"{key}.area.outside", lambda: [areas.outside for areas in at_stages()], outside_told)
    ledger.put(f"{key}.area.inside", lambda: [areas.inside for areas in at_stages()], inside_told)
    ledger.put(f"{key}.area.glazed", lambda: [areas.glazed for areas in at_stages()], glazed_told)


def _write_glazed_mass(ledger: Ledger, built: Built, shape: Shape) -> None:
    glaze = built.glaze
    if glaze is None or glaze.coat is None:
        return
    key, loss, typed = shape.name, glaze_loss_share(glaze), glaze.loss_on_ignition
    coat = glaze.coat

    def inputs() -> list[str]:
        places = [place(coat.at), *([place(typed.at)] if typed else [])]
        return [f"{key}.mass fired", f"{key}.area.glazed bisque", *places]

    def put_in() -> dict[str, float]:
        dry_g = glaze_dry_g(coat.value, ledger.value(f"{key}.area.glazed", "bisque"))
        return {"fired_g": ledger.value(f"{key}.mass", "fired"), "dry_glaze_g": dry_g, "lost_share": loss}

    ledger.work_when_read(
        f"{key}.mass.glazed", inputs, put_in,
        note=noted("a coat of {coat}", coat=glaze.coat.typed) if typed else noted("a coat of {coat}; {assumed}", coat=glaze.coat.typed, assumed=GLAZE_LOSS_ASSUMED),
        source=None if typed else COMMON, doubt=Once(lambda: _weight_doubt(built, ledger.value(f"{key}.mass.glazed", "fired"))),
    )  # fmt: skip


def weight_doubt(built: Built, mass_g: float) -> Callable[[], Doubt]:
    """A weight's doubt as the ledger takes it; none is worked out where nobody said by how much weights differ."""
    return Once(_weight_doubt, built, mass_g)


def _weight_doubt(built: Built, mass_g: float) -> Doubt:
    share = built.spreads.weight_share
    if share is None:
        return NO_DOUBT
    scale = built.studio.steps.scale if built.studio.steps else None
    budget = mass_budget(mass_g, share, scale.value if scale else Steps().scale_g)
    return Doubt(budget.standard, budget)


def _write_capacity(ledger: Ledger, built: Built, shape: Shape, fill_mm: float) -> None:
    for name, level in (("brim", brim_mm(shape)), ("fill", fill_mm)):
        _write_capacity_to(ledger, built, shape, name, level)


def _write_capacity_to(ledger: Ledger, built: Built, shape: Shape, name: str, level: float) -> None:
    key, level_mm = shape.name, min(level * shape.scale("fired")[1], shape.inside_at("fired")[-1][1])
    film = inside_film_mm(shape, built.glaze)
    space, wetted, _ = shape.filled_to(level)
    held = max(0.0, space - film * wetted) / 1000.0

    def told(_at: str) -> Told:
        film_places = [place(built.glaze.film.at)] if film and built.glaze and built.glaze.film else []
        inputs = [*shape.section_names, *shrinkage_names(shape, "fired"), *film_places]
        if name == "fill" and shape.part.fill_to is not None:
            inputs.insert(0, place(shape.part.fill_to.at))
        how = (
            later("inside to {level_mm} above the foot: {space_ml} − glaze film {film_mm} × {wetted_cm2}")
            if film
            else later("inside to {level_mm} above the foot: {space_ml}")
        )
        put_in = {
            "level_mm": level_mm, "space_ml": space / 1000.0, "film_mm": film, "wetted_cm2": wetted / 100.0 if film else 0.0
        }  # fmt: skip
        clay_ml, weights = ledger.value(f"{key}.volume", "fired"), built.spreads.weight_share or 0.0
        doubt = Once(_capacity_doubt, shape.body, held, clay_ml, weights)
        if film and not film_places:
            return Told(held, how, inputs, put_in, FILM_ASSUMED, f"{PAPPUS}; {COMMON}", doubt=doubt)
        return Told(held, how, inputs, put_in, doubt=doubt)

    ledger.put(f"{key}.capacity.{name}", (held,), told)


def _capacity_doubt(body: Body, held_ml: float, clay_ml: float, weight_share: float) -> Doubt:
    deviation = body.deviation[-1]
    each = held_ml * (2.0 / body.across("fired") + body.height_factor / body.up("fired"))
    plus_minus = None if deviation is None else hypot(each * deviation, clay_ml * weight_share)
    return Doubt(plus_minus, capacity_budget(body, held_ml, clay_ml, weight_share))


def _write_balance(ledger: Ledger, shape: Shape, fill_mm: float | None) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    centroid = shape.solid_of_clay.centre_mm
    empty = (shape.highest_mm - centroid if shape.opens_down else centroid - shape.lowest_mm) * up
    how = later("centroid of the section turned about its axis, without what was added, above the foot")
    ledger.write(f"{key}.centre_of_mass", "fired", empty, how, [f"{key}.volume fired"])
    if fill_mm is None:
        return
    water_g = ledger.value(f"{key}.capacity.fill", "fired") * WATER_G_ML
    water_mm = shape.filled_to(fill_mm).centre_mm if water_g > 0.0 else 0.0
    inputs = [f"{key}.centre_of_mass fired", f"{key}.capacity.fill fired", f"{key}.volume fired", "clay.density fired"]
    clay_g = ledger.value(f"{key}.volume", "fired") * shape.body.bulk_density_g_cm3("fired")
    ledger.work(
        f"{key}.centre_of_mass.full", "fired", inputs, {"clay_g": clay_g, "empty_mm": empty, "water_g": water_g, "water_mm": water_mm}
    )  # fmt: skip


def _write_witness(ledger: Ledger, shape: Shape) -> None:
    key, body = shape.name, shape.body

    def told(at: str) -> Told:
        how = noted("weight {stage} / weight wet, the same clay", stage=noted(at))
        return Told(body.mass_share(at) * 100.0, how, [f"{key}.mass {at}", f"{key}.mass wet"])

    _wet, leather_hard, dry, *_fired = body.mass_shares
    ledger.put(f"{key}.witness", (leather_hard * 100.0, dry * 100.0), told)


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


# ---- what is added ----


def write_extras(ledger: Ledger, shape: Shape) -> None:
    """Write what is added to a part, and its width with it."""
    reaches: dict[str, float] = {}
    for name, extra in shape.part.extras.items():
        key = f"{shape.name}.{name}"
        _write_added_clay(ledger, shape, key, extra)
        if extra.strap is not None:
            write_typed(ledger, shape, f"{key}.length", extra.strap.length, False)
        if extra.reach is not None:
            write_typed(ledger, shape, f"{key}.reach", extra.reach, False)
            reaches[str(name)] = outermost_mm(extra, shape) or 0.0
    across = across_mm(shape.widest_mm, tuple(reaches.values()))

    def came() -> Came:
        how = (
            noted("greatest width, with its {extras}", extras=" + ".join(reaches))
            if reaches
            else noted("greatest width")
        )
        reached = (f"{shape.name}.{name}.reach {shape.stage}" for name in reaches)
        return Came(how, [f"{shape.name}.diameter {shape.stage}", *reached])

    write_size(ledger, shape, f"{shape.name}.across", shape.stage, across, False, came)


def _write_added_clay(ledger: Ledger, shape: Shape, key: str, extra: Extra) -> None:
    if extra.clay is not None:
        ledger.write(
            f"{key}.clay",
            "wet",
            extra.clay.value,
            noted("typed: {size}", size=extra.clay.typed),
            [place(extra.clay.at)],
            given=True,
        )
        return
    strap = extra.strap
    assert strap is not None
    section = str(strap.section or "oval")
    how = (
        later("a strap, flat: {shape} × length {length_mm} × mean section × {density} g/cm3")
        if section == "flat"
        else later("a strap, oval: {shape} × length {length_mm} × mean section × {density} g/cm3")
    )
    ledger.write(
        f"{key}.clay", "wet", extra_g(extra, shape), how,
        [*(place(size.at) for size in _strap_sizes(strap)), "clay.density wet", *shrinkage_names(shape)],
        {
            "shape": "1" if section == "flat" else "π/4", "length_mm": to_stage(strap.length, shape.stage, "wet", shape.body.across),
            "density": shape.body.wet_density_g_cm3,
        },
    )  # fmt: skip


def _strap_sizes(strap: Strap) -> list[Size | TwoEnds]:
    return [strap.length, strap.width, strap.thickness]
