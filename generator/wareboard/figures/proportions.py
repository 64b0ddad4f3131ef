"""What a form's numbers come to that hardly can be: in the wrong unit, too heavy for one pair of hands, larger than the kiln.

One function a rule, each named as its rule is; its docstring is its entry in the manual. All are warnings, with limits from
common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import fsum, hypot

from wareboard.figures.amounts import joint_heights_mm
from wareboard.figures.figure import Figure
from wareboard.figures.saying import meant, say, say_length
from wareboard.figures.settings import value_as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import reader_of
from wareboard.text.catalogue import read_measured
from wareboard.text.kinds import Size
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project
from wareboard.text.quantities import mass_step_g
from wareboard.text.slips import far_off
from wareboard.text.specs import Run
from wareboard.text.studio_specs import Kiln
from wareboard.text.units import SizeError

Rule = Callable[[Sheet, Project], Iterator[Problem]]

LARGEST_MM, SMALLEST_MM = 1500.0, 20.0
LEAST_REACH_MM = 8.0
HEAVIEST_BALL_G = 15_000.0
LEAST_BALL_STEPS = 6.0  # of the scale
THICKEST_MM = 25.0


def _largest_mm(sheet: Sheet) -> float:
    """The largest size as typed: a form that can't be built has a unit too."""
    typed = (size for part in sheet.form.parts.values() for one in part.outside.values() for size in (one.height, one.diameter))  # fmt: skip
    return max((size.value for size in typed if isinstance(size, Size)), default=0.0)


def _meant_units(sheet: Sheet) -> tuple[str, ...]:
    """The units that the sizes were most likely typed in, where that is not the form's."""
    unit, largest = str(sheet.form.unit or "mm"), _largest_mm(sheet)
    if largest > LARGEST_MM and unit != "mm":
        return ("mm",)
    if 0.0 < largest < SMALLEST_MM:
        return {"mm": ("cm", "in"), "cm": ("in",), "in": ()}[unit]
    return ()


def unit_slip(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A form as large as a door or as small as a bead: most likely its sizes were typed in another unit than its `unit:` says."""
    meant, typed = _meant_units(sheet), sheet.form.unit
    if meant:
        unit = {"mm": "mm", "cm": "cm", "in": "inches"}[str(typed or "mm")]
        yield warning(
            "unit-slip",
            typed.at if typed else _first_size(sheet).at,
            f"unit: sizes are read in {unit}, so the largest comes to {say(sheet.studio, _largest_mm(sheet), 'mm')}",
            f"did you mean {' or '.join(f'`{one}`' for one in meant)}?"
            if typed
            else f"write {' or '.join(f'`unit: {one}`' for one in meant)}",
        )


def _first_size(sheet: Sheet) -> Size:
    return next(iter(next(iter(sheet.form.parts.values())).outside.values())).height


def size_far_off(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """One station far wider, narrower or higher than those on either side of it: a point or a unit is wrong."""
    for name, part in sheet.form.parts.items():
        for outline, stations in (("outside", part.outside), ("inside", part.inside)):
            for station, key, size, said, instead in far_off(stations, at_ends=False):
                yield warning(
                    "size-far-off",
                    size.at,
                    f"parts.{name}.{outline}.{station}.{key}: {size.typed} is {said}",
                    f"did you mean `{instead}`?",
                )


def heavy_ball(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A ball heavier than one thrower centres. Large ware is thrown in sections, each a part of its own."""
    if _meant_units(sheet):
        return
    for name, shape in sheet.shapes.items():
        ball = sheet.find(f"{name}.ball", "wet")
        if ball and ball.value > HEAVIEST_BALL_G:
            yield warning(
                "heavy-ball",
                next(iter(shape.part.outside)).at,
                f"parts.{name}: its ball comes to {say(sheet.studio, ball.value, 'g')}; few centre more than {say(sheet.studio, HEAVIEST_BALL_G, 'g')}",
                "look at the units; or throw it in sections, each a part of its own",
            )


def coarse_scale(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A part so light that the studio's scale hardly weighs it: its ball is less than six of the scale's steps, so that it is rounded up by as much as a sixth or more, and no weight at trimming or after tells anything."""
    if _meant_units(sheet):
        return
    reader = reader_of(sheet.studio)
    for name, shape in sheet.shapes.items():
        ball = sheet.find(f"{name}.ball", "wet")
        if ball is None:
            continue
        step_g = mass_step_g(ball.value, reader.systems[0], reader.steps)
        if ball.value < LEAST_BALL_STEPS * step_g:
            yield warning(
                "coarse-scale",
                next(iter(shape.part.outside)).at,
                f"parts.{name}: its ball comes to {say(sheet.studio, ball.value, 'g')}, which a scale in steps of {say(sheet.studio, step_g, 'g')} makes {say(sheet.studio, reader.rounded_g(ball.value, 'up'), 'g')}",
                "weigh it on a finer scale, and say its step in the studio's `steps:`; or weigh ten balls at once and part them",
            )


def heavy_extra(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A handle or a spout that is heavier than the pot that it goes on."""
    for name, part in sheet.form.parts.items():
        mass = sheet.find(f"{name}.ball", "wet")
        for extra_name, extra in part.extras.items():
            clay = extra.clay
            if clay and mass and clay.value > mass.value:
                yield warning(
                    "heavy-extra",
                    clay.at,
                    f"parts.{name}.extras.{extra_name}: {clay.typed} is more than the part's own ball, {say(sheet.studio, mass.value, 'g')}",
                    meant(clay, 2.0, mass.value, ("g", "oz")),
                )


def short_strap(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A handle's strap that is shorter than the way from the pot out to where the handle reaches, and back."""
    for name, part in sheet.form.parts.items():
        for extra_name, extra in part.extras.items():
            sizes = (extra.strap and extra.strap.length, extra.reach, extra.joined, extra.to)
            if not extra.strap or not all(isinstance(size, Size) for size in sizes):
                continue
            length, reach, top, bottom = (size for size in sizes if isinstance(size, Size))
            if len({size.stage for size in (length, reach, top, bottom)}) > 1:
                continue
            # Its middle line runs half its thickness inside its outermost; a whole one is allowed for.
            thick = extra.strap.thickness
            within = max(
                size.value for size in ((thick,) if isinstance(thick, Size) else (thick.top, thick.bottom)) if size
            )
            least_mm = hypot(2.0 * max(0.0, reach.value - within), top.value - bottom.value)
            if length.value < least_mm:
                yield warning(
                    "short-strap",
                    length.at,
                    f"parts.{name}.extras.{extra_name}.strap.length: {length.typed} is too short to reach {reach.typed} out between {top.typed} and {bottom.typed}; straight lines take {say(sheet.studio, least_mm, 'mm')}",
                    "look at the units of `length` and `reach`",
                )


def off_the_pot(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A handle or a spout that is joined above the rim or below the foot, or that stands out farther than the pot is large."""
    if _meant_units(sheet):
        return
    for name, shape in sheet.shapes.items():
        widest = 2.0 * max(radius for radius, _ in shape.outside)
        for extra_name, extra in shape.part.extras.items():
            heights = joint_heights_mm(extra, shape)
            typed = [place for place in (extra.joined, extra.to) if place is not None]
            for place, height in zip(typed, heights, strict=True):
                if isinstance(place, Size) and not -1.0 <= height <= shape.highest_mm + 1.0:
                    yield warning(
                        "off-the-pot",
                        place.at,
                        f"parts.{name}.extras.{extra_name}: joined at {place.typed}; the part is {say(sheet.studio, shape.highest_mm, 'mm')} high",
                        "heights are counted from what the part stands on",
                    )
            reach, most = extra.reach, 1.5 * max(shape.highest_mm, widest)
            if reach and reach.value > most and not extra.strap:  # of a strap it is told by its length
                yield warning(
                    "off-the-pot",
                    reach.at,
                    f"parts.{name}.extras.{extra_name}.reach: {reach.typed} out of a part {say(sheet.studio, widest, 'mm')} across",
                    meant(reach, LEAST_REACH_MM, most),
                )
            elif reach and len(heights) == 2 and abs(heights[0] - heights[1]) > 30.0 and reach.value < LEAST_REACH_MM:
                yield warning(
                    "off-the-pot",
                    reach.at,
                    f"parts.{name}.extras.{extra_name}.reach: {reach.typed} leaves no room for a finger",
                    meant(reach, LEAST_REACH_MM, most),
                )


def thick_wall(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A wall or a floor so thick that it dries unevenly and may burst in the kiln."""
    if _meant_units(sheet):
        return
    for name, part in sheet.form.parts.items():
        walls = part.wall.values() if isinstance(part.wall, dict) else [part.wall]
        for path, size in [*(("wall", wall) for wall in walls), ("floor", part.floor)]:
            if isinstance(size, Size) and size.value > THICKEST_MM:
                yield warning(
                    "thick-wall",
                    size.at,
                    f"parts.{name}.{path}: {say_length(sheet.studio, size)} of clay; over {say(sheet.studio, THICKEST_MM, 'mm')} it seldom comes through drying and firing whole",
                    meant(size, 1.5, THICKEST_MM),
                )


def foot_not_at_0(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """No station stands at height 0. Heights are counted from the lowest one, so all come out lower than typed."""
    for name, part in sheet.form.parts.items():
        if not part.outside:
            continue
        lowest_name, lowest = min(part.outside.items(), key=lambda item: item[1].height.value)
        if lowest.height.value > 0.0:
            yield warning(
                "foot-not-at-0",
                lowest.height.at,
                f"parts.{name}.outside: the lowest station, `{lowest_name}`, is at {lowest.height.typed}; heights are counted from it, so each comes out {lowest.height.typed} lower than typed",
                "write `height: 0` there, and the other heights from what the part stands on",
            )


def fill_in_floor(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A part that is filled to below its own floor, so that it holds nothing."""
    for name, part in sheet.form.parts.items():
        held, brim = (sheet.find(f"{name}.capacity.{to}", "fired") for to in ("fill", "brim"))
        if part.fill_to is not None and held and brim and held.value <= 0.0 < brim.value:
            said = part.fill_to.typed if isinstance(part.fill_to, Size) else part.fill_to
            yield warning(
                "fill-in-floor",
                part.fill_to.at,
                f"parts.{name}.fill_to: `{said}` is not above the floor, so the part holds nothing",
                "name a station higher up, or a height from what the part stands on",
            )


def much_left_on(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """More is left on for trimming than the wall or the floor itself is thick four times over."""
    for name, part in sheet.form.parts.items():
        left = part.throwing and part.throwing.left_on
        for key in ("wall", "floor") if left else ():
            typed, own = getattr(left, key), getattr(part, key)
            lefts = [
                size for size in (typed.values() if isinstance(typed, dict) else [typed]) if isinstance(size, Size)
            ]
            owns = [size.value for size in (own.values() if isinstance(own, dict) else [own]) if isinstance(size, Size)]
            most = max(lefts, key=lambda size: size.value, default=None)
            if most and owns and most.value > max(4.0 * max(owns), 10.0):
                yield warning(
                    "much-left-on",
                    most.at,
                    f"parts.{name}.throwing.left_on.{key}: {say_length(sheet.studio, most)} is left on a {key} of {say(sheet.studio, max(owns), 'mm')}",
                    meant(most, 0.3, 10.0),
                )


def wide_clearance(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit that aims at so much play that the two hardly hold one another."""
    for name, fit in sheet.form.fits.items():
        opening = sheet.find(f"fit.{name}.inside", "fired")
        aim = fit.clearance.aim
        if opening and aim.value > max(8.0, 0.15 * opening.value):
            yield warning(
                "wide-clearance",
                aim.at,
                f"fits.{name}.clearance.aim: {aim.typed} of play in an opening of {say(sheet.studio, opening.value, 'mm')}",
                "look at its unit" if fit.clearance.least or fit.clearance.most else meant(aim, 0.2, 8.0),
            )


def kiln_too_small(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A piece that goes into none of the studio's kilns: higher than their insides, or wider than their shelves."""
    found = list(_kiln_too_small(sheet, list(project.kilns.values())))
    if found and not any(str(line.form) == sheet.slug for order in project.orders.values() for line in order.lines):
        yield from found  # else the order tells of it at its own line


def _kiln_too_small(sheet: Sheet, kilns: list[Kiln]) -> Iterator[Problem]:
    pieces = [
        (name, up.value, across.value)
        for name in sheet.shapes
        if (up := sheet.find(f"{name}.height", "dry")) and (across := sheet.find(f"{name}.diameter", "dry"))
    ]
    if not pieces or not kilns:
        return
    name, high, _ = max(pieces, key=lambda piece: piece[1])
    insides = [
        (kiln.inside_height.value - fsum(size.value for size in (kiln.shelf_thickness, kiln.headroom) if size), kiln)
        for kiln in kilns
        if kiln.inside_height
    ]
    if len(insides) == len(kilns) and high > max(insides, key=lambda inside: inside[0])[0]:
        room, kiln = max(insides, key=lambda inside: inside[0])
        yield warning(
            "kiln-too-small",
            sheet.form.title.at,
            f"parts.{name}: it is {say(sheet.studio, high, 'mm')} high when it goes into the kiln; {kiln.title} has room for {say(sheet.studio, max(room, 0.0), 'mm')}",
            "look at the unit of the form and of the kiln",
        )
    name, _, wide = max(pieces, key=lambda piece: piece[2])
    shelves = [
        (min(kiln.shelves.width.value, kiln.shelves.depth.value), kiln)
        for kiln in kilns
        if kiln.shelves and kiln.shelves.width and kiln.shelves.depth
    ]
    if len(shelves) == len(kilns) and wide > max(shelves, key=lambda shelf: shelf[0])[0]:
        room, kiln = max(shelves, key=lambda shelf: shelf[0])
        yield warning(
            "kiln-too-small",
            sheet.form.title.at,
            f"parts.{name}: it is {say(sheet.studio, wide, 'mm')} across when it goes into the kiln; the shelves of {kiln.title} are {say(sheet.studio, room, 'mm')}",
            "look at the unit of the form and of the kiln",
        )


def box_too_small(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A box for the shop that its pot does not go into, whichever way it lies, or that weighs less than the pot."""
    packed = sheet.form.stockist and sheet.form.stockist.packed
    if not packed:
        return
    sides = [size for size in (packed.length, packed.width, packed.height) if size]
    for name in sheet.shapes if len(sides) == 3 else ():
        high, wide = (value_as_set(sheet, f"{name}.{key}", "fired") for key in ("height", "diameter"))
        if high is None or wide is None:
            continue
        box, pot = sorted(size.value for size in sides), sorted((high, wide, wide))
        if any(inner > outer for inner, outer in zip(pot, box, strict=True)):
            yield warning(
                "box-too-small",
                packed.at,
                f"stockist.packed: {' × '.join(size.typed for size in sides)} is too small for {name}, {say(sheet.studio, wide, 'mm')} across and {say(sheet.studio, high, 'mm')} high",
                "look at its unit",
            )
            break
    mass_g = value_as_set(sheet, "mass", "fired")
    if packed.weight and mass_g is not None and packed.weight.value < mass_g:
        yield warning(
            "box-too-small",
            packed.weight.at,
            f"stockist.packed.weight: {packed.weight.typed} is less than the {say(sheet.studio, mass_g, 'g')} of the ware alone",
            "weigh it box and all",
        )


def heavy_box(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A box for the shop that weighs far more than the pot in it."""
    packed = sheet.form.stockist and sheet.form.stockist.packed
    mass_g = value_as_set(sheet, "mass", "fired")
    if not packed or not packed.weight or mass_g is None:
        return
    most_g = 5.0 * mass_g + 2000.0
    if packed.weight.value > most_g:
        yield warning(
            "heavy-box",
            packed.weight.at,
            f"stockist.packed.weight: {packed.weight.typed} for a set of {say(sheet.studio, mass_g, 'g')}",
            meant(packed.weight, mass_g, most_g, ("g", "oz")),
        )


def measured_far_off(run: Run, sheet: Sheet) -> Iterator[Problem]:
    """A run in which something was measured, or a ball weighed, that is three times the figure, or a third of it: a point or a unit is wrong, or another thing was measured."""
    for part, ball in run.balls.items():
        planned = sheet.find(f"{part}.ball", "wet")
        if planned and not planned.value / 3.0 <= ball.value <= planned.value * 3.0:
            yield warning(
                "measured-far-off",
                ball.at,
                f"balls.{part}: {ball.typed}, which is worked out to be {say(sheet.studio, planned.value, 'g')}",
                meant(ball, planned.value / 3.0, planned.value * 3.0, ("g", "oz")),
            )
    for line in run.measured:
        figure = sheet.quoted(f"{line.figure} {line.stage or ''}")
        if figure is None or figure.unit not in ("mm", "g", "ml") or figure.value <= 1.0:
            continue
        far = [value for value in line.values if _is_far(figure, str(value))]
        if far:
            many = f"{far[0]} and {len(far) - 1} more" if len(far) > 1 else str(far[0])
            yield warning(
                "measured-far-off",
                far[0].at,
                f"measured: {many} of {figure.name}, which is worked out to be {say(sheet.studio, figure.value, figure.unit)}",
                "look at its unit",
            )


def _is_far(figure: Figure, typed: str) -> bool:
    try:
        found = read_measured(figure.named.declared, typed)
    except SizeError:
        return False  # told where it is read
    return not figure.value / 3.0 <= found <= figure.value * 3.0


RULES: tuple[Rule, ...] = (
    unit_slip, size_far_off, heavy_ball, coarse_scale, heavy_extra, short_strap, off_the_pot, thick_wall, foot_not_at_0, fill_in_floor, much_left_on, wide_clearance,
    kiln_too_small, box_too_small, heavy_box,
)  # fmt: skip
AS_TYPED = (unit_slip, size_far_off)  # told of a form that can't be built too: they may be why
ABOUT_TRADE = (box_too_small, heavy_box)
