"""The command `wareboard trace`: an outline from a photograph or a drawing to a spec, with the picture and the curve beside it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wareboard.commands.measured_command import (
    TOOLS,
    length,
    name_form,
    save_checked,
    solve_measured,
    solved_lines,
    spec_text,
    unit_of,
    with_comment,
)
from wareboard.commands.shared import SpecName, free_path, to_be_typed, work_out, write_new
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.measurements import MeasurementError, Measurements, Reading, parse_reading
from wareboard.text.plain import escaped
from wareboard.text.problems import format_words, nearest_word

if TYPE_CHECKING:
    from wareboard.output.photographs import Photograph
    from wareboard.output.working import Worked
    from wareboard.pot.measured import Stations
    from wareboard.pot.silhouettes import Traced
    from wareboard.pot.stationing import Fitted

PHOTOGRAPHS = (".png", ".jpg", ".jpeg")
DRAWINGS = (".svg", ".csv", ".dxf")
LEAST_MISS_MM = 0.4
MISS_PIXELS = 2.0
GUESSED_DISTANCE_MM = 600.0  # arm's length; only to say what not knowing it may cost
WALL_SHARE = 0.045  # of the greatest diameter, where nothing was weighed; common practice
MOST_WIDENED_SHARE = 0.03


@frozen
class Outline:
    """An outline as it was traced and fitted, and how it was read."""

    traced: Traced
    fitted: Fitted
    photograph: Photograph | None
    within_mm: float
    said: tuple[str, ...]


@click.command(short_help="Take an outline from a photograph or a drawing.")
@click.argument("slug")
@click.argument("picture", type=click.Path(path_type=Path))
@click.option("--height", help="The pot's height; it sets the scale.")
@click.option("--distance", help="From the lens to the pot's middle: takes the perspective out of a photograph.")
@click.option("--weight", help="What it weighs: the wall follows.")
@click.option("--brim", help="The water that it holds to the brim: the wall follows, or the diameters are tried by it.")
@click.option("--depth", help="Its depth inside: the floor follows.")
@click.option("--handle", help="Clay of a handle that was weighed with it, wet.")
@click.option("--stage", type=click.Choice(STAGES), help="The stage at which it was; fired unless said.")
@click.option("--title", help="The form's name.")
@click.option("--code", help="The maker's own code.")
@click.option("--family", help="Groups the site.")
@click.option("--clay", type=SpecName("clays"), help="A file in specs/clays/.")
@click.option("--glaze", type=SpecName("glazes"), help="A file in specs/glazes/.")
@click.pass_obj
def trace(directory: Path, slug: str, picture: Path, stage: str | None, **said: str | None) -> None:
    """Take a new form's outline from a PICTURE: a photograph (PNG, JPEG), an SVG path, a DXF polyline, or a table (CSV)
    of height and diameter.

    \b
      wareboard trace harbour-mug mug.jpg --height 95mm --distance 900mm --weight 244g --brim 310ml
      wareboard trace old-jar jar.svg --height 210mm
      wareboard trace cup cup.csv

    Stand the pot alone on a plain ground of another colour, evenly lit, with ground all round it. Hold the lens level with
    the pot's middle, well back (900 mm or more), and do not crop the picture. Drawings show half a profile beside its axis at
    0, or the whole outline, closed.

    The file and, beside it, an SVG of picture, places and curve go to specs/forms/. Nothing is written over.
    """
    worked = work_out(directory)
    free_path(worked, slug)
    found, distance_mm = _readings(worked, stage, said)
    outline = _outline(picture, found.value("height"), distance_mm)
    if "height" not in found.readings:
        high = outline.fitted.stations.points[-1][1]
        found = Measurements({**found.readings, "height": Reading(high, f"{high:g} mm")}, found.stage)
    _write(worked, slug, picture, outline, found, said)


def _readings(worked: Worked, stage: str | None, said: dict[str, str | None]) -> tuple[Measurements, float | None]:
    """What was said of the pot on the command line, and how far the lens was."""
    studio = worked.project.studio
    unit = "in" if str(studio.units or "").startswith("imperial") else "mm"
    fluid_ounce = str(studio.fluid_ounce) if studio.fluid_ounce else None
    readings, stages, faults = {}, {} if stage is None else {stage}, []
    stages = set(stages)
    for name in ("height", "weight", "brim", "depth", "handle"):
        typed = said.get(name)
        if typed is None:
            continue
        try:
            readings[name], stage_said = parse_reading(name, typed, unit=unit, fluid_ounce=fluid_ounce)
            stages |= {stage_said} if stage_said else set()
        except MeasurementError as fault:
            faults += [f"--{said_of}" for said_of in fault.faults]
    distance = said.get("distance")
    distance_mm = None
    if distance is not None:
        try:
            distance_mm = parse_reading("height", distance, unit=unit)[0].value
        except MeasurementError as fault:
            faults += [f"--distance: {said_of.partition(': ')[2] or said_of}" for said_of in fault.faults]
    if len(stages) > 1:
        faults.append(f"the pot is measured at one stage; {format_words(sorted(stages), 'and')} are said")
    if faults:
        raise click.UsageError("\n       ".join(faults))
    return Measurements(readings, next(iter(stages), "fired")), distance_mm


def _outline(picture: Path, height_mm: float | None, distance_mm: float | None) -> Outline:
    """A picture traced and fitted; the command ends, in plain words, where that cannot be."""
    from wareboard.pot.silhouettes import SilhouetteError

    kind = picture.suffix.lower()
    if kind not in PHOTOGRAPHS + DRAWINGS:
        near = nearest_word(kind, PHOTOGRAPHS + DRAWINGS)
        raise click.UsageError(
            f"{picture.name} is none of {format_words(PHOTOGRAPHS + DRAWINGS)}"
            + (f"; did you mean {near}?" if near else "")
        )
    if not picture.is_file():
        raise click.UsageError(f"there is no file {picture}")
    try:
        return _photographed(picture, height_mm, distance_mm) if kind in PHOTOGRAPHS else _drawn(picture, height_mm)
    except SilhouetteError as fault:
        raise click.ClickException(f"{picture.name}: {fault}") from None
    except OSError as fault:
        raise click.ClickException(f"{picture.name} cannot be read: {fault.strerror}") from None


def _photographed(picture: Path, height_mm: float | None, distance_mm: float | None) -> Outline:
    from wareboard.output.photographs import read_photograph
    from wareboard.pot.silhouettes import SilhouetteError, trace
    from wareboard.pot.stationing import fewest_stations

    if height_mm is None:
        raise SilhouetteError("a photograph does not say how large the pot is; say its height with --height")
    if distance_mm is not None and distance_mm < 1.5 * height_mm:
        raise SilhouetteError(
            f"a lens {distance_mm:.0f} mm from a pot {height_mm:.0f} mm high cannot have seen all of it; --distance is from the lens to the pot"
        )
    found = read_photograph(picture)
    lens = (found.width / 2.0, found.height / 2.0)
    traced = trace(found.outer, found.holes, height_mm, lens=lens, distance_mm=distance_mm)
    within = max(LEAST_MISS_MM, MISS_PIXELS * traced.mm_per_unit / found.pixel_scale)
    fitted = fewest_stations(traced.meridian, within)
    said = []
    if distance_mm is None:
        said.append(_without_distance(found, traced, fitted, height_mm, lens, within))
    return Outline(traced, fitted, found, within, tuple(said))


def _without_distance(
    found: Photograph, traced: Traced, fitted: Fitted, height_mm: float, lens: tuple[float, float], within_mm: float
) -> str:  # fmt: skip
    """What it may cost that nobody said how far the lens was."""
    from wareboard.pot.silhouettes import trace, widened_share
    from wareboard.pot.stationing import fewest_stations

    away = max(GUESSED_DISTANCE_MM, 2.0 * height_mm)
    if traced.bowed:
        nearer = trace(found.outer, found.holes, height_mm, lens=lens, distance_mm=away)
        share = (
            _enclosed_cm3(fitted.stations) / _enclosed_cm3(fewest_stations(nearer.meridian, within_mm).stations) - 1.0
        )
        return f"no --distance was said, and the picture was taken from near by: if that was {away:.0f} mm, the volume is {abs(share) * 100:.1f} % too {'small' if share < 0 else 'large'}"
    share = (1.0 + widened_share(float(traced.meridian[:, 0].max()), away)) ** 2 - 1.0
    return (
        f"no --distance was said: if the lens was {away:.0f} mm away, the volume is up to {share * 100:.1f} % too large"
    )


def _drawn(picture: Path, height_mm: float | None) -> Outline:
    from wareboard.output.linework import read_line
    from wareboard.pot.silhouettes import trace_line
    from wareboard.pot.stationing import fewest_stations

    line = read_line(picture)
    traced = trace_line(line.points, height_mm, line.mm_per_unit)
    return Outline(
        traced, fewest_stations(traced.meridian, LEAST_MISS_MM), None, LEAST_MISS_MM, (line.said,) if line.said else ()
    )


def _enclosed_cm3(stations: Stations) -> float:
    from wareboard.pot.solids import revolved_volume_mm3

    outside = stations.outline()
    return revolved_volume_mm3(((0.0, outside[0][1]), *outside, (0.0, outside[-1][1]))) / 1000.0


def _write(
    worked: Worked, slug: str, picture: Path, outline: Outline, found: Measurements, said: dict[str, str | None]
) -> None:  # fmt: skip
    from wareboard.drawing.tracedrawing import render_trace
    from wareboard.pot.measured import widened

    named, source = name_form(worked, slug, said, asking=False), escaped(picture.name)
    stations, unit = outline.fitted.stations, unit_of(found)
    clay, glaze = worked.project.clays[named.clay], worked.project.glazes[named.glaze] if named.glaze else None
    told = list(_told(outline, found))
    if found.readings.keys() & {"weight", "brim"}:
        solved = solve_measured(worked, found, stations, clay, glaze, widened(stations, MOST_WIDENED_SHARE))
        wall, floor = solved_lines(found, solved, TOOLS)
        if abs(solved.fullness) * MOST_WIDENED_SHARE >= 0.0005:
            told.append(
                f"diameters {abs(solved.fullness) * MOST_WIDENED_SHARE * 100:.1f} % {'wider' if solved.fullness > 0 else 'narrower'} than traced, so that weight and water both come out"
            )
        told.append(
            f"wall {solved.wall_mm:.1f} mm, ± {solved.wall_plus_minus_mm:.2f} mm ({TOOLS}); floor {solved.floor_mm:.1f} mm"
        )
        # Weight and water hang on them, so they keep a digit more.
        stations, exact = solved.stations, stations.names if solved.fullness else ()
    else:
        widest = 2.0 * max(radius for radius, _ in stations.points)
        guess = max(3.0, round(WALL_SHARE * widest * 2.0) / 2.0)
        wall = with_comment(length(guess, unit), "a guess: --weight or --brim would tell it", 10)
        floor = with_comment(length(1.25 * guess, unit), "a guess, 5/4 of the wall", 11)
        told.append(
            f"wall {guess:g} mm is a guess: weigh the pot, or fill it, and trace it again with --weight or --brim"
        )
        exact = ()
    head = (
        f"Traced from {source}, {found.stage}, {found.readings['height'].typed} high"
        + (f", from {said['distance']} away" if said.get("distance") and outline.photograph else "")
        + f"; the curve misses it by {outline.fitted.largest_miss_mm:.2f} mm at the most.",
        f"{slug}.svg beside this file shows the picture, the places read from it and the curve.",
    )
    text = spec_text(named, found, stations, head=head, wall=wall, floor=floor, exact=exact)
    drawing = worked.root / "specs" / "forms" / f"{slug}.svg"
    if drawing.exists():
        raise click.ClickException(f"specs/forms/{slug}.svg is there already; nothing was written")
    traced, photograph = outline.traced, outline.photograph
    svg = render_trace(
        outline.fitted.stations,
        [(float(radius), float(height)) for radius, height in traced.meridian],
        title=f"{named.title}, traced from {source}",
        axis_unit=float(traced.axis_unit),
        base_unit=float(traced.base_unit),
        mm_per_unit=traced.mm_per_unit,
        picture=(photograph.shown_uri, photograph.width, photograph.height) if photograph else None,
        tilt_deg=traced.tilt_deg,
        about=traced.about,
    )
    save_checked(worked, slug, text)
    write_new(drawing, svg)
    click.echo(f"specs/forms/{slug}.svg shows the picture, the places read from it and the curve.")
    for line in told:
        click.echo(f"  {line}")
    click.echo(f"Next: look at the SVG, then {to_be_typed('build', worked.root)}")


def _told(outline: Outline, found: Measurements) -> Sequence[str]:
    """What was noticed in the picture, worst things first."""
    traced, fitted = outline.traced, outline.fitted
    lines = [f"{word[0].upper()}{word[1:]}" for word in outline.said]
    lines.append(
        f"{len(fitted.stations.names)} stations: {format_words(fitted.stations.names, 'and')}; the curve misses by {fitted.largest_miss_mm:.2f} mm at the most, {fitted.miss_at_mm:.0f} mm up"
        + (
            ""
            if fitted.largest_miss_mm <= outline.within_mm
            else f", more than the {outline.within_mm:.1f} mm aimed at"
        )
    )
    lines.append(f"the outside encloses {_enclosed_cm3(fitted.stations):.0f} cm3")
    if abs(traced.tilt_deg) >= 0.2:
        lines.append(f"the picture leaned by {abs(traced.tilt_deg):.1f}°; it was turned upright")
    if traced.handle:
        handle = traced.handle
        lines.append(
            f"a handle or spout on the {handle.side}, {handle.low_mm:.0f} to {handle.high_mm:.0f} mm up and {handle.reach_mm:.0f} mm out, is left out"
        )
    if traced.sides_differ_mm >= 0.3:
        lines.append(
            f"the two sides differ by up to {traced.sides_differ_mm:.1f} mm; their mean is taken: out of round, or leaning"
        )
    if abs(traced.lean_deg) >= 0.5:
        lines.append(
            f"the foot is {abs(traced.lean_deg):.1f}° from square to the axis: the pot leans, or is trimmed askew"
        )
    return lines
