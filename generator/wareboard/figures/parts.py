"""The figures of one part: its sizes, weights, ball, pointer, capacity, areas, balance, dryness."""

from __future__ import annotations

from math import atan2, degrees

from wareboard.figures.figure import COMMON, PAPPUS, Ledger, number, percent
from wareboard.figures.origins import outline_names, place, section_names, shrinkage_names
from wareboard.figures.shapes import Shape, to_stage
from wareboard.figures.shaping import Shaper
from wareboard.figures.sizes import write_sizes
from wareboard.pot import solids
from wareboard.pot.glaze import glaze_dry_g
from wareboard.pot.stages import LATER_STAGES
from wareboard.text.kinds import Word
from wareboard.text.problems import Impossible, error
from wareboard.text.projects import Project
from wareboard.text.specs import Clay, Form, Glaze, Station, Studio

WATER_G_ML = 1.0
FIRINGS = ("bisque", "fired")


def write_part(ledger: Ledger, form: Form, project: Project, shaper: Shaper, shape: Shape, glaze: Glaze | None) -> None:
    """Write every figure of a part."""
    write_sizes(ledger, form, shaper, shape)
    _write_clay(ledger, project.clays[form.clay], shape)
    _write_ball(ledger, project.studio, shape)
    _write_pointer(ledger, project.studio, form, shape)
    _write_areas(ledger, shape)
    _write_glazed_mass(ledger, shape, glaze)
    if shape.inside and not shape.opens_down:
        _write_capacity(ledger, form, shape, glaze)
    _write_balance(ledger, form, shape)
    _write_witness(ledger, shape)


def _write_clay(ledger: Ledger, spec: Clay, shape: Shape) -> None:
    key, body = shape.name, shape.body
    for stage in ("wet", "fired"):
        volume = shape.volume_mm3 * shape.volume_scale(stage) / 1000.0
        how = f"the finished section turned about its axis, {stage} = {number(volume)} cm3"
        ledger.write(
            f"{key}.volume",
            stage,
            volume,
            "cm3",
            how,
            [*section_names(shape), *shrinkage_names(shape, stage)],
            source=PAPPUS,
        )
    volume, density = ledger.value(f"{key}.volume", "wet"), body.wet_density_g_cm3
    extras = sum(extra.clay.value for extra in shape.part.extras.values())
    wet = volume * density + extras
    added = f" + {number(extras)} g added ({', '.join(shape.part.extras)})" if extras else ""
    inputs = [f"{key}.volume wet", "clay.density wet", *(place(extra.clay.at) for extra in shape.part.extras.values())]
    ledger.write(
        f"{key}.mass",
        "wet",
        wet,
        "g",
        f"{number(volume)} cm3 × {number(density)} g/cm3{added} = {number(wet)} g",
        inputs,
    )
    water, burnt = place(spec.water.at), [place(spec.loss_on_ignition.at)] if spec.loss_on_ignition else []
    taken = {
        "leather-hard": ["clay.shrinkage.height leather-hard", "clay.density wet"],
        "dry": [water],
        "bisque": [water, *burnt],
        "fired": [water, *burnt],
    }
    for stage in LATER_STAGES:
        share = body.mass_share(stage)
        how = f"{number(wet)} g wet × {percent(share)} left = {number(wet * share)} g; {_LEFT[stage]}"
        ledger.write(f"{key}.mass", stage, wet * share, "g", how, [f"{key}.mass wet", *taken[stage]])
    thrown = shape.thrown_volume_mm3 / 1000.0
    left = shape.part.throwing and shape.part.throwing.left_on
    how = f"the section as thrown, {number(shape.wall_left_on_mm)} mm on the outside and {number(shape.drop_mm)} mm under it left on = {number(thrown)} cm3"
    left_on = [place(size.at) for size in (left.wall, left.floor) if size] if left else []
    inputs = [f"{key}.volume wet", *left_on, *(shrinkage_names(shape, "leather-hard") if left_on else [])]
    ledger.write(f"{key}.thrown.volume", "wet", thrown, "cm3", how, inputs, source=PAPPUS)
    how = f"{number(thrown)} cm3 × {number(density)} g/cm3 = {number(thrown * density)} g"
    ledger.write(
        f"{key}.thrown.mass", "wet", thrown * density, "g", how, [f"{key}.thrown.volume wet", "clay.density wet"]
    )


_LEFT = {
    "leather-hard": "each cm3 that it shrinks is a gram of water",
    "dry": "the water is gone",
    "bisque": "water and loss on ignition are gone",
    "fired": "water and loss on ignition are gone",
}


def _write_ball(ledger: Ledger, studio: Studio, shape: Shape) -> None:
    key, loss = shape.name, shape.part.throwing and shape.part.throwing.loss
    share = loss.value if loss else 0.0
    thrown = ledger.value(f"{key}.thrown.mass", "wet")
    ball = thrown / (1.0 - share)
    said = f"(1 − {loss.typed} lost)" if loss else "1, no loss given"
    inputs = [f"{key}.thrown.mass wet", *([place(loss.at)] if loss else [])]
    ledger.write(
        f"{key}.ball", "wet", ball, "g", f"{number(thrown)} g thrown / {said} = {number(ball)} g", inputs, source=COMMON
    )
    scale = studio.steps.scale if studio.steps else None
    step = scale.value if scale else 5.0
    steps = -(-ball // step) if ball % step > 1e-9 * step else round(ball / step)
    inputs = [f"{key}.ball wet", *([place(scale.at)] if scale else [])]
    ledger.write(
        f"{key}.ball.set",
        "wet",
        steps * step,
        "g",
        f"{number(ball)} g up to the scale's step of {number(step)} g",
        inputs,
    )


def gauge_stations(shape: Shape) -> list[str]:
    """The stations at which the pointer is set: the maker's, else the rim (a lid's open end)."""
    asked = [str(name) for name in shape.part.throwing.gauge_at] if shape.part.throwing else []
    names = [str(name) for name in shape.part.outside]
    return asked or [names[0] if shape.opens_down else names[-1]]


def _write_pointer(ledger: Ledger, studio: Studio, form: Form, shape: Shape) -> None:
    stations, thrown = gauge_stations(shape), shape.thrown("wet")
    bat = studio.bat.value if studio.bat else 0.0
    left = shape.part.throwing and shape.part.throwing.left_on
    left_on = [place(size.at) for size in (left.wall, left.floor) if size] if left else []
    if left_on:
        left_on += shrinkage_names(shape, "leather-hard")
    moved = outline_names(shape) if left and left.wall else []
    names = list(shape.part.outside)
    closed = names[-1 if shape.opens_down else 0]
    for name in stations:
        radius, height = thrown.stations[name]
        key = f"{shape.name}.pointer" + (f".{name}" if len(stations) > 1 else "")
        from_end = "closed end" if shape.opens_down else "foot"
        how = (
            f"{name} {number(height)} mm above the thrown {from_end}"
            + (f" + bat {number(bat)} mm" if bat else "")
            + f" = {number(height + bat)} mm"
        )
        inputs = [
            f"{shape.name}.{name}.height wet",
            f"{shape.name}.{closed}.height wet",
            *left_on,
            *([place(studio.bat.at)] if studio.bat else []),
        ]
        ledger.write(f"{key}.height", "wet", height + bat, "mm", how, inputs, source=COMMON)
        how = f"from the centre to the thrown outside at {name}'s level, half of {number(2 * radius)} mm = {number(radius)} mm"
        ledger.write(
            f"{key}.reach",
            "wet",
            radius,
            "mm",
            how,
            [f"{shape.name}.{name}.diameter wet", *moved, *left_on],
            source=COMMON,
        )


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
        ledger.write(
            f"{key}.area.outside",
            stage,
            outside,
            "cm2",
            f"up the outline from foot to rim{closed}, without what it stands on = {number(outside)} cm2",
            outline,
            source=PAPPUS,
        )
        ledger.write(
            f"{key}.area.inside",
            stage,
            inside,
            "cm2",
            f"along the inside to the rim = {number(inside)} cm2",
            section,
            source=PAPPUS,
        )
        bare_outside, bare_inside = _bare_cm2(shape, line, outside, inside)
        glazed = max(0.0, outside - bare_outside) + inside - bare_inside
        how = f"{number(outside)} + {number(inside)} − {number(bare_outside + bare_inside)} bare = {number(glazed)} cm2; the rim's own ring is not counted"
        inputs = [f"{key}.area.outside {stage}", f"{key}.area.inside {stage}", *(place(stretch.at) for stretch in bare)]
        ledger.write(f"{key}.area.glazed", stage, glazed, "cm2", how, inputs)


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
    key, mass = shape.name, ledger.value(f"{shape.name}.mass", "fired")
    area = ledger.value(f"{key}.area.glazed", "bisque")
    coat = glaze_dry_g(glaze.coat.value, area)
    how = f"{number(mass)} g + dry glaze {glaze.coat.typed} × {number(area)} cm2 = {number(mass + coat)} g"
    ledger.write(
        f"{key}.mass.glazed",
        "fired",
        mass + coat,
        "g",
        how,
        [f"{key}.mass fired", f"{key}.area.glazed bisque", place(glaze.coat.at)],
    )


def fill_level_mm(form: Form, shape: Shape) -> float:
    """The level of `fill_to` above the foot at the form's stage; the brim unless it is given."""
    part, brim = shape.part, brim_mm(shape)
    foot = next(iter(part.outside.values())).height
    level = part.fill_to
    if level is None:
        return brim
    if isinstance(level, Word):
        station: Station = part.outside.get(level) or part.inside[level]
        level = station.height
    height = to_stage(level, form.stage, form.stage, shape.body.up) - to_stage(
        foot, form.stage, form.stage, shape.body.up
    )
    if height > brim + 1e-6:
        raise Impossible(
            error(
                "fill-over-brim",
                part.fill_to.at,
                f"parts.{shape.name}.fill_to: {height:.4g} mm is above the brim at {brim:.4g} mm",
                "fill to a level inside the pot",
            )
        )
    return min(height, brim)


def brim_mm(shape: Shape) -> float:
    """The level at which it runs over: the lower of the rim's two edges."""
    return min(shape.outside[-1][1], shape.inside[-1][1])


def _write_capacity(ledger: Ledger, form: Form, shape: Shape, glaze: Glaze | None) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    inside = shape.scaled(shape.inside, "fired")
    film = (
        glaze.film.value if glaze and glaze.film and not {b.what for b in shape.part.bare} & {"inside", "all"} else 0.0
    )
    across, high = shape.body.across("fired"), shape.body.up("fired")
    deviation = shape.body.deviation[-1]
    for name, level in (("brim", brim_mm(shape) * up), ("fill", fill_level_mm(form, shape) * up)):
        level = min(level, inside[-1][1])
        space = solids.volume_below_mm3(inside, level)
        taken = film * solids.area_below_mm2(inside, level) if film else 0.0
        held = max(0.0, space - taken) / 1000.0
        doubt = None if deviation is None else held * deviation * (2.0 / across + shape.body.height_factor / high)
        less = f" − glaze film {number(film)} mm × {number(taken / film / 100.0)} cm2" if film else ""
        how = f"inside to {number(level)} mm above the foot: {number(space / 1000.0)} ml{less} = {number(held)} ml"
        inputs = [*section_names(shape), *shrinkage_names(shape, "fired"), *([place(glaze.film.at)] if film else [])]
        if name == "fill" and shape.part.fill_to is not None:
            inputs.insert(0, place(shape.part.fill_to.at))
        ledger.write(f"{key}.capacity.{name}", "fired", held, "ml", how, inputs, source=PAPPUS, plus_minus=doubt)


def _write_balance(ledger: Ledger, form: Form, shape: Shape) -> None:
    key, up = shape.name, shape.scale("fired")[1]
    centroid = solids.revolved_centroid_height_mm(shape.ring)
    empty = (shape.highest_mm - centroid if shape.opens_down else centroid - shape.foot_mm) * up
    ledger.write(
        f"{key}.centre_of_mass",
        "fired",
        empty,
        "mm",
        f"centroid of the section turned about its axis, without what was added = {number(empty)} mm above the foot",
        [f"{key}.volume fired"],
        source=PAPPUS,
    )
    filled = ledger.figures.get((f"{key}.capacity.fill", "fired"))
    if filled is None or not shape.inside:
        return
    inside = shape.scaled(shape.inside, "fired")
    void = solids.void_below(inside, min(fill_level_mm(form, shape) * up, inside[-1][1]))
    clay_g = ledger.value(f"{key}.volume", "fired") * shape.body.bulk_density_g_cm3("fired")
    water_g = filled.value * WATER_G_ML
    water_mm = solids.revolved_centroid_height_mm(void) if len(void) > 2 and water_g > 0.0 else 0.0
    full = (clay_g * empty + water_g * water_mm) / (clay_g + water_g)
    how = f"({number(clay_g)} g clay × {number(empty)} mm + {number(water_g)} g water × {number(water_mm)} mm) / {number(clay_g + water_g)} g = {number(full)} mm"
    ledger.write(
        f"{key}.centre_of_mass.full",
        "fired",
        full,
        "mm",
        how,
        [f"{key}.centre_of_mass fired", f"{key}.capacity.fill fired", f"{key}.volume fired", "clay.density fired"],
    )


def _write_witness(ledger: Ledger, shape: Shape) -> None:
    for stage in ("leather-hard", "dry"):
        share = shape.body.mass_share(stage)
        how = f"weight {stage} / weight wet, the same clay: {percent(share)}"
        ledger.write(
            f"{shape.name}.witness",
            stage,
            share * 100.0,
            "%",
            how,
            [f"{shape.name}.mass {stage}", f"{shape.name}.mass wet"],
        )


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
