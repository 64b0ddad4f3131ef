"""What a maker would want to be told: one function a rule, each named as its rule is.

A rule takes a sheet and its project and yields problems; its docstring is its entry in the manual.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from itertools import islice
from math import ceil, floor, isfinite

from wareboard.figures import limits, proportions, tradelimits
from wareboard.figures.amounts import strap_g
from wareboard.figures.clays import body_problem, make_body
from wareboard.figures.coats import weigh_coats
from wareboard.figures.completing import complete
from wareboard.figures.parts import tip_angle_deg
from wareboard.figures.resolve import COMMON_SPREADS
from wareboard.figures.saying import is_imperial, say, say_as, say_tenths, typed_length
from wareboard.figures.settings import (
    CALIPERS,
    THROWN,
    fit_as_set,
    fit_tools,
    settings_of,
    shares_as_set,
    value_as_set,
)
from wareboard.figures.shapes import Shape, to_stage
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import Sheet, make_sheet
from wareboard.figures.shown import reader_of
from wareboard.pot import clay, fits
from wareboard.pot.glaze import solid_film_mm
from wareboard.pot.mends import AimRange, Mends, mends
from wareboard.pot.seats import BEARS_MM
from wareboard.pot.stages import STAGES
from wareboard.pot.thickness import thinnest
from wareboard.pot.thrown import TOOL_MM
from wareboard.text import links
from wareboard.text.catalogue import read_measured
from wareboard.text.formulas import number
from wareboard.text.kinds import MOST_TOLD, Size, Word
from wareboard.text.problems import (
    Impossible,
    Position,
    Problem,
    error,
    format_words,
    in_file_order,
    nearest_word,
    place_within,
    warning,
)
from wareboard.text.projects import Project
from wareboard.text.specs import Clay, Fit, Form, Run
from wareboard.text.units import SizeError, unit_factor

Rule = Callable[[Sheet, Project], Iterator[Problem]]
LEAST_WALL_MM = 2.0
BALL_SHARE = 0.10
CAPACITY_SHARE = 0.05
WEIGHT_SHARE = 0.05
TIP_DEG = 10.0
FIT_LIMIT_SHARE = 0.01
MISS_MM = 0.1
# Forms that are worked out with one shaper: a part that several reach is built once.
SHAPES_TOGETHER = 50
LEAST_SEAT_MM = 0.5  # that bears when it is pushed aside, common practice


def check_project(
    project: Project,
    sheet_of: Callable[[Form, Project, Shaper], Sheet] | None = None,
    only: Collection[str] | None = None,
    standing: Callable[[Project], Mapping[str, Sheet]] = lambda project: {},
) -> tuple[dict[str, Sheet], list[Problem]]:
    """Work out every form of a studio and look everything over.

    Args:
        project: the studio's files, read.
        sheet_of: gives a form's sheet, for a caller that has kept some, given the form, the studio with every form whole,
            and a shaper; each is worked out here unless given.
        only: the forms, by slug, that are wanted alone, where no more was read than their numbers come from; then runs
            and orders are left alone.
        standing: gives, of the studio with every form whole, sheets of forms that are known to be as they were, and whose files need
            not have been read.
    Returns: the sheet of each form that could be worked out, by slug, its problems in it; and all problems
        of the studio in file order.
    """
    project = weigh_coats(project)
    project, said = complete(project)
    problems = [*project.problems, *links.check_links(project), *said]
    for spec in project.clays.values():
        problems += check_clay(spec)
    faulty = {problem.at.file for problem in problems if problem.level == "error"}
    shaper, found = Shaper(project), dict(standing(project))
    wanted = [form for slug, form in project.forms.items() if slug not in found and (only is None or slug in only)]
    for place, form in enumerate(wanted, 1):
        if not links.can_be_worked_out(form, project, faulty):
            continue
        if place % SHAPES_TOGETHER == 0:
            shaper = Shaper(project)  # no studio is so large that its shapes fill the memory
        found[form.slug] = sheet_of(form, project, shaper) if sheet_of else check_form(form, project, shaper)
    found = {slug: found[slug] for slug in sorted(found, key="{}.yaml".format)}  # as the files stand
    problems += [problem for sheet in found.values() for problem in sheet.problems]
    sheets = {slug: sheet for slug, sheet in found.items() if sheet.is_worked_out}
    if only is None:
        for run in project.runs.values():
            problems += check_run(run, sheets.get(str(run.form)))
    if only is None and (project.orders or project.studio.stock):
        from wareboard.figures.planning import check_orders  # planning is loaded where there is something to plan

        said = check_orders(project, sheets)
        faulty |= {problem.at.file for problem in said if problem.level == "error"}
        # What a plan tells of a file that was read in part would be of what is left of it.
        problems += [problem for problem in said if problem.level == "error" or problem.at.file not in faulty]
    problems += limits.check_limits(project, {problem.at.file for problem in problems if problem.level == "error"})
    return sheets, in_file_order(problems)


def check_form(form: Form, project: Project, shaper: Shaper | None = None) -> Sheet:
    """A form's sheet with everything in it that a maker would want to be told."""
    sheet = make_sheet(form, project, shaper)
    if not sheet.is_worked_out:
        return sheet
    return replace(sheet, problems=tuple(in_file_order(problem for rule in RULES for problem in rule(sheet, project))))


def check_clay(spec: Clay) -> list[Problem]:
    """What cannot be, or is odd, about a clay by itself."""
    try:
        body = make_body(spec)
    except Impossible as fault:
        return [fault.problem]
    found = [body_problem(spec, fault, warning) for fault in clay.body_faults(body)]
    if "dry" in body.assumed:
        at = spec.shrinkage.fired.at if spec.shrinkage and spec.shrinkage.fired else spec.at
        dry, fired = body.shrinkage_share("dry"), body.shrinkage_share("fired")
        found.append(
            warning(
                "dry-assumed",
                at,
                f"shrinkage: only fired is given, {number(round(fired * 100, 2))} %; dry is taken for half of it, {number(round(dry * 100, 2))} %, which can be far out",
                f"measure bars, or write `shrinkage: {{dry: {number(round(dry * 100, 1))} %, fired: {number(round(fired * 100, 2))} %}}` with your own",
            )
        )
    return found


def thin_wall(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A wall or a floor that comes out of the kiln thinner than the studio's `least_wall`."""
    least = sheet.studio.least_wall.value if sheet.studio.least_wall else LEAST_WALL_MM
    for name, shape in sheet.shapes.items():
        if not shape.inside:
            continue
        found = thinnest(shape.outside, shape.inside, shape.underside)
        across, up = shape.scale("fired")
        if found.thickness_mm * across >= least - 1e-6:
            continue
        height = found.inside[1]
        station = min(shape.station_places, key=lambda name: abs(shape.outside[shape.station_places[name]][1] - height))
        as_used = (shape.highest_mm - height if shape.opens_down else height) * up
        in_floor = found.outside not in shape.outside and abs(found.outside[1] - shape.outside[0][1]) < 1e-6
        where = "in the floor" if in_floor else f"near `{station}`, {say(sheet.studio, as_used, 'mm')} up"
        yield warning(
            "thin-wall",
            _thickness_at(shape, station, height, in_floor),
            f"parts.{name}: {say(sheet.studio, found.thickness_mm * across, 'mm', 2)} of clay at its thinnest, {where}, fired; the studio's least is {say(sheet.studio, least, 'mm')}",
            "make it thicker there, or `least_wall` in studio.yaml smaller",
        )


def _thickness_at(shape: Shape, station: str, height_mm: float, in_floor: bool) -> Position:
    """Where the thickness at a place was typed: the floor, the wall, the wall at a station, or the inside's nearest station."""
    part = shape.part
    if in_floor and part.floor:
        return part.floor.at
    if isinstance(part.wall, Size):
        return part.wall.at
    places = {name: shape.outside[shape.station_places[name]][1] for name in shape.station_places}
    if by_station := part.wall_by_station:
        nearest = station if station in by_station else min(by_station, key=lambda name: abs(places[name] - height_mm))
        return next(size.at for name, size in by_station.items() if name == nearest)
    typed = shape.highest_mm - height_mm if shape.opens_down else height_mm
    return min(part.inside.values(), key=lambda one: abs(one.height.value - typed)).at


def ball_differs(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A `ball` that is more than a tenth off the one worked out from the section."""
    for name, shape in sheet.shapes.items():
        typed = shape.part.throwing.ball if shape.part.throwing else None
        if typed is None:
            continue
        derived = sheet.value(f"{name}.ball", "wet")
        if abs(typed.value / derived - 1.0) > BALL_SHARE:
            more = "more" if typed.value > derived else "less"
            yield warning(
                "ball-differs",
                typed.at,
                f"parts.{name}.throwing.ball: {typed.typed} is {abs(typed.value / derived - 1) * 100:.0f} % {more} than the {say_as(sheet.studio, derived, 'g', '.0f')} that the section comes to",
                "look at the wall, the floor, what is left on, and the loss",
            )


def capacity_missed(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A capacity to `fill_to` more than a twentieth off the `holds` that is stated."""
    for name, shape in sheet.shapes.items():
        stated = shape.part.holds
        if stated is None:
            continue
        key = f"{name}.capacity.fill"
        found_ml = value_as_set(sheet, key, "fired")
        if found_ml is None:
            yield warning(
                "capacity-missed",
                stated.at,
                f"parts.{name}.holds: {stated.typed} is stated, but the part holds nothing",
                "only a hollow part that opens up has a capacity",
            )
            continue
        # What a wet pot holds shrinks with it.
        stated_ml = stated.value * shape.volume_scale("fired") / shape.volume_scale(stated.stage or "fired")
        if abs(found_ml / stated_ml - 1.0) > CAPACITY_SHARE:
            yield warning(
                "capacity-missed",
                stated.at,
                f"parts.{name}.holds: {stated.typed} is stated; it holds {say_as(sheet.studio, found_ml * stated.value / stated_ml, 'ml', '.0f')} to {shape.part.fill_to.typed if isinstance(shape.part.fill_to, Size) else shape.part.fill_to or 'the rim'}",
                _holding(sheet.value(key, "fired"), stated_ml),  # what is typed is not rounded to a tool
            )


def weight_missed(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A weight more than a twentieth off the `weighs` that is stated."""
    for name, shape in sheet.shapes.items():
        stated = shape.part.weighs
        if stated is None:
            continue
        stage = stated.stage or "fired"
        key, glazed = f"{name}.mass.glazed", " in its glaze"
        if stage != "fired" or sheet.find(key, stage) is None:
            key, glazed = f"{name}.mass", ""
        found_g = value_as_set(sheet, key, stage)
        if found_g is not None and abs(found_g / stated.value - 1.0) > WEIGHT_SHARE:
            yield warning(
                "weight-missed",
                stated.at,
                f"parts.{name}.weighs: {stated.typed} is stated; it weighs {say_as(sheet.studio, found_g, 'g', '.0f')} {stage}{glazed}",
                f"clay × {stated.value / sheet.value(key, stage):.2f} would weigh that",
            )


def _holding(found_ml: float, stated_ml: float) -> str:
    factor = (stated_ml / found_ml) ** (1.0 / 3.0)
    return f"every inside size × {factor:.3f} would hold it"


def strap_differs(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A handle whose clay is said as a weight that is more than a tenth off what its strap comes to."""
    for name, shape in sheet.shapes.items():
        for extra_name, extra in shape.part.extras.items():
            comes_to = strap_g(extra, shape)
            if extra.clay is None or comes_to is None or abs(extra.clay.value / comes_to - 1.0) <= BALL_SHARE:
                continue
            more = "more" if extra.clay.value > comes_to else "less"
            yield warning(
                "strap-differs",
                extra.clay.at,
                f"parts.{name}.extras.{extra_name}.clay: {extra.clay.typed} is {abs(extra.clay.value / comes_to - 1) * 100:.0f} % {more} than the {say(sheet.studio, comes_to, 'g')} that the strap comes to",
                "look at the strap's length, width and thickness, and at which stage they hold",
            )


def cones_differ(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A glaze and a clay that are fired to different cones."""
    named = sheet.form.glaze
    if (
        named
        and sheet.glaze
        and sheet.glaze.cone
        and sheet.clay.cone
        and limits.is_cone(sheet.glaze.cone)
        and limits.is_cone(sheet.clay.cone)
        and not _cones(sheet.glaze.cone) & _cones(sheet.clay.cone)
    ):
        yield warning(
            "cones-differ",
            named.at,
            f"glaze: {sheet.glaze.title} is fired to cone {sheet.glaze.cone}, {sheet.clay.title} to cone {sheet.clay.cone}",
            "choose a glaze and a clay of one cone",
        )


def _cones(text: str) -> set[str]:
    """The cones that a text names: `8/9` two, `8 to 10` three."""
    named = re.findall(r"\d+", str(text)) or [str(text).casefold()]
    if (
        len(named) == 2
        and re.search(r"\d\s*(?:[-–]|to)\s*\d", str(text))
        and not any(cone.startswith("0") for cone in named)
    ):
        return {str(cone) for cone in range(int(named[0]), int(named[1]) + 1)}
    return set(named)


def top_heavy(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A piece that falls when it is tipped by less than 10°, empty or filled."""
    for name, shape in sheet.shapes.items():
        if shape.opens_down:
            continue
        foot = shape.outside[0][0] * shape.scale("fired")[0]
        for key, said in (("centre_of_mass", "empty"), ("centre_of_mass.full", "filled")):
            found = sheet.find(f"{name}.{key}", "fired")
            if found and found.value > 0.0 and (angle := tip_angle_deg(foot, found.value)) < TIP_DEG:
                foot_name = next(iter(shape.part.outside))
                at = shape.part.outside[foot_name].at
                yield warning(
                    "top-heavy",
                    at,
                    f"parts.{name}: {said}, it falls when it is tipped by {angle:.1f}°; its centre of mass is {say_as(sheet.studio, found.value, 'mm', '.0f')} up on a foot {say_as(sheet.studio, 2 * foot, 'mm', '.0f')} across",
                    "make the foot wider or the floor heavier",
                )
                break


def fit_negative(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit whose clearance is below zero at some stage on the way: it can't be tried there."""
    for name, fit in sheet.form.fits.items():
        clear = {stage: fits.clearance_mm(fit_as_set(sheet, name), stage) for stage in STAGES}
        below = [stage for stage in STAGES if clear[stage] < 0.0]
        if below:
            worst = min(below, key=clear.__getitem__)
            yield warning(
                "fit-negative",
                fit.clearance.at,
                f"fits.{name}: the clearance is {say_as(sheet.studio, clear[worst], 'mm', '.1f')} {worst}; it will not go in when {format_words(below)}",
                "raise the aim, or leave the faces bare",
            )


def fit_misses_aim(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit between two given sizes whose clearance is not what it aims at."""
    for name, fit in sheet.form.fits.items():
        record = sheet.fits[name]
        found = fits.clearance_mm(record, record.stage)
        if abs(found - record.aim_mm) > MISS_MM:
            yield warning(
                "fit-misses-aim",
                fit.clearance.aim.at,
                f"fits.{name}: the two sizes leave {say_as(sheet.studio, found, 'mm', '.1f')} {record.stage}; the aim is {fit.clearance.aim.typed}",
                f"write `{fit.outside.caliper}: fit` under the calipers of `{fit.outside.part}`, and the aim will set it",
            )


def left_on_differs(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit and its part that leave different amounts on the flange, so that pointer and calipers would not agree at the wheel.

    A fit's `left_on` is on the diameter, a part's `left_on: wall` on each side.
    """
    for name, fit in sheet.form.fits.items():
        shape = sheet.shapes.get(fit.outside.part) if fit.outside.own else None
        if shape is None or fit.left_on is None or not (a_side := shape.left_on_caliper_mm(fit.outside.caliper)):
            continue
        body = sheet.fits[name].outside.body
        on_fit = to_stage(fit.left_on, "leather-hard", "leather-hard", body.across)
        on_wall = 2.0 * a_side
        if abs(on_fit - on_wall) > MISS_MM:
            yield warning(
                "left-on-differs",
                fit.left_on.at,
                f"fits.{name}.left_on: {fit.left_on.typed} on the diameter; the wall of {shape.name} has {say(sheet.studio, a_side, 'mm')} a side left on, {say(sheet.studio, on_wall, 'mm')} across",
                f"write `left_on: {typed_length(sheet.form, number(on_wall))}`, or leave it out: then the fit goes by the wall",
            )


def cannot_be_thrown(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """Solid clay that comes in above a wider place, as thrown, deeper than a tool leaves on the wheel.

    A stem or a neck under a closed end is turned: with `left_on`, a lid's knob is thrown as a solid stub that it is turned
    from, as wide as it takes; `throwing: {stub: 30}` says how wide. A neck over a hollow is thrown and no matter.
    """
    for name, shape in sheet.shapes.items():
        depth, (radius, height) = shape.undercut_mm
        if depth <= TOOL_MM:
            continue
        places = shape.station_places
        up = shape.scale("leather-hard")[1]
        nearest = min(places, key=lambda station: abs(shape.outside[places[station]][1] * up - height) + abs(shape.outside[places[station]][0] * up - radius))  # fmt: skip
        wide = 2.0 * (radius + depth)
        hint = (
            f"write `stub: {typed_length(sheet.form, str(ceil(wide)))}` under `throwing`: thrown solid, and turned from it"
            if shape.stub_mm is not None or not shape.opens_down
            else "write `left_on: {floor: 3}` under `throwing`: it is then thrown on a stub, and turned from it"
        )
        yield warning(
            "cannot-be-thrown",
            shape.part.outside[nearest].at,
            f"parts.{name}: at '{nearest}' it is thrown {say_tenths(sheet.studio, 2.0 * radius)} across, solid, above a place {say_tenths(sheet.studio, wide)} across, leather-hard; that can't be left on the wheel",
            hint,
        )


def lid_falls_in(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A lid that nothing stops, or that loses its seat when it is pushed aside as far as its gap lets it.

    What bears is worked out from the two sections, at every stage from leather-hard on. Make the ledge wider, or the
    clearance smaller.
    """
    for name, fit in sheet.form.fits.items():
        pair = sheet.pairs.get(name)
        if pair is None or not pair.covers:
            continue
        lower, upper = pair.lower.name, pair.upper.name
        for stage in reversed(STAGES[1:]):
            seat, gap = pair.seats[stage], fits.clearance_mm(pair.fit, stage) / 2.0
            if seat.width_mm == 0.0:
                yield error(
                    "lid-falls-in",
                    fit.at,
                    f"fits.{name}: nothing stops the {upper} on its way into the {lower}; {stage} it lies inside",
                    f"make the {upper} wider than the opening, or give the {lower} a ledge",
                )
                break
            if seat.width_mm <= gap and (pushed := pair.pushed_mm(stage)) < 0.0:
                yield error(
                    "lid-falls-in",
                    fit.at,
                    f"fits.{name}: the {upper} rests on {say_tenths(sheet.studio, seat.width_mm)} a side of the {lower} and has a gap of {say_tenths(sheet.studio, gap)}, {stage}; pushed aside, it tips in",
                    f"make the ledge {say_tenths(sheet.studio, max(0.1, -pushed + LEAST_SEAT_MM))} wider, or the clearance smaller",
                )
                break


def seat_narrow(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A seat narrower than the fit's `seat: {least: …}`."""
    for name, fit in sheet.form.fits.items():
        if fit.seat and name in sheet.pairs:
            stage = fit.seat.least.stage or "fired"
            found = sheet.pairs[name].seats[stage].width_mm
            if found < fit.seat.least.value - 1e-6:
                yield warning(
                    "seat-narrow",
                    fit.seat.least.at,
                    f"fits.{name}.seat: {fit.seat.least.typed} is the least; it rests on {say_tenths(sheet.studio, found)} a side, {stage}",
                    "make the ledge, or what lies on it, wider",
                )


def not_level(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """Two outsides that meet farther from level than the fit's `level: {most: …}`."""
    for name, fit in sheet.form.fits.items():
        found = sheet.find(f"fit.{name}.level", "fired")
        if fit.level and found and abs(found.value) > fit.level.most.value + 1e-6:
            pair = sheet.pairs[name]
            way = "proud of" if found.value > 0.0 else "back from"
            yield warning(
                "not-level",
                fit.level.most.at,
                f"fits.{name}.level: {fit.level.most.typed} is the most; the {pair.upper.name} stands {say_tenths(sheet.studio, abs(found.value))} a side {way} the {pair.lower.name}, fired",
                "bring the two outsides to one diameter where they meet",
            )


def no_room(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A lid that stands on its flange's tip while its plate hangs above the rim, or less room under a flange than `room: {least: …}`."""
    for name, fit in sheet.form.fits.items():
        pair = sheet.pairs.get(name)
        if pair is None:
            continue
        stage = (fit.room and fit.room.least.stage) or "fired"
        seat = pair.seats[stage]
        if seat.room_mm is None:
            continue
        if fit.room and seat.room_mm < fit.room.least.value - 1e-6:
            yield warning(
                "no-room",
                fit.room.least.at,
                f"fits.{name}.room: {fit.room.least.typed} is the least; {say_tenths(sheet.studio, seat.room_mm)} is left under what goes in, {stage}",
                "make what goes in shorter, or what it goes into deeper",
            )
        elif not fit.room and pair.covers and not seat.sunk and seat.room_mm < MISS_MM and seat.hovers_mm is not None and seat.hovers_mm > BEARS_MM:  # fmt: skip
            yield warning(
                "no-room",
                fit.at,
                f"fits.{name}: the {pair.upper.name} stands on the tip of what goes in; its plate hangs {say_tenths(sheet.studio, seat.hovers_mm)} above the {pair.lower.name}, {stage}",
                f"make the flange {say_tenths(sheet.studio, seat.hovers_mm)} shorter, or what it goes into as much deeper",
            )


def fit_of_two_clays(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit between parts of different clays; each shrinks by its own, and lots drift apart."""
    for name, fit in sheet.form.fits.items():
        owners = [project.forms[side.form] if side.form else sheet.form for side in (fit.inside, fit.outside)]
        if owners[0].clay != owners[1].clay:
            yield warning(
                "fit-of-two-clays",
                fit.at,
                f"fits.{name}: the opening is of {project.clays[owners[0].clay].title}, what goes in of {project.clays[owners[1].clay].title}; each shrinks by its own",
                "measure bars of both from the lots in hand before a run",
            )


def spread_assumed(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A spread that is to be learned `from runs`, and that nothing tells yet: common practice stands in for it.

    What binds, what is loose and how far the calipers may be out are then as good as that guess. Write the number once it
    has been measured; for shrinkage, bars tell it.
    """
    if not sheet.fits or sheet.spreads is None:
        return
    for name in sorted(sheet.spreads.assumed):
        typed, taken = sheet.spreads.typed[name], COMMON_SPREADS[name]
        said = f"{number(taken * 100)} %" if name == "shrinkage" else f"{number(taken)} mm"
        yield warning(
            "spread-assumed",
            typed.at,
            f"spreads.{name}: `from runs`, but nothing tells it yet; {said} is taken, common practice",
            f"write `{name}: {said}`, or the number that you have measured",
        )


def fit_binds(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit of which more than the studio's `fit_limit` will bind, made to its settings, and what would mend it."""
    yield from _over_limit(sheet, "binds", "least")


def fit_loose(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fit of which more than the studio's `fit_limit` will rattle, made to its settings, and what would mend it."""
    yield from _over_limit(sheet, "loose", "most")


def _over_limit(sheet: Sheet, key: str, limit_key: str) -> Iterator[Problem]:
    limit = sheet.studio.fit_limit.value if sheet.studio.fit_limit else FIT_LIMIT_SHARE
    for name, fit in sheet.form.fits.items():
        if sheet.find(f"fit.{name}.{key}", "fired") is None:
            continue
        shares = shares_as_set(sheet, name)
        percent = (shares.binds_share if key == "binds" else shares.loose_share) * 100.0
        if percent <= limit * 100.0:
            continue
        size = getattr(fit.clearance, limit_key)
        verb = "bind" if key == "binds" else "are loose"
        message = f"fits.{name}: {_over(percent, limit * 100.0)} % {verb} ({'under' if key == 'binds' else 'over'} {size.typed}); the studio's limit is {limit * 100:g} %"
        can = mends(sheet.fits[name], limit, fit_tools(sheet)) if 0.0 < limit < 0.5 else None
        yield warning(f"fit-{key}", size.at, message, describe_mends(can, sheet, fit) if can else "")


def _over(percent: float, limit: float) -> str:
    """A share over its limit, with as many digits as it takes to read as more."""
    return next(
        (number(shown) for digits in (1, 2, 3) if (shown := round(percent, digits)) > limit), f"just over {limit:g}"
    )


def describe_mends(found: Mends, sheet: Sheet, fit: Fit) -> str:
    """What would mend a fit, in words and in the studio's unit; each holds by itself when it is followed."""
    said = []
    set_by_fit = any(
        side.own and sheet.form.parts[side.part].calipers[side.caliper].from_fit for side in (fit.inside, fit.outside)
    )
    unit, stage = ("in" if is_imperial(sheet.studio) else "mm"), fit.stage

    def length(length_mm: float) -> str:
        return f"{length_mm / unit_factor(unit):.6g} {unit}"

    if found.aim and found.aim.say_mm is not None and set_by_fit:
        said.append(
            f"an aim of {length(found.aim.say_mm)} {stage} brings both under the limit{_between(found.aim, unit)}"
        )
    elif found.aim and set_by_fit:
        low, high = (end / unit_factor(unit) for end in (found.aim.low_mm, found.aim.high_mm))
        digits = FINEST[unit]
        said.append(
            f"no round aim brings both under the limit, only {low:.{digits}f} to {high:.{digits}f} {unit} would"
        )
    elif set_by_fit:
        said.append("no aim is sure to bring both under the limit with these spreads and tools")
    if found.own and found.own.enough:
        said.append(
            f"pairing `own` would bring binds to {_share(found.own.binds_share)} and loose to {_share(found.own.loose_share)}"
        )
    elif found.own and found.own.aim and found.own.aim.say_mm is not None and set_by_fit:
        said.append(f"pairing `own` with an aim of {length(found.own.aim.say_mm)} {stage} would do")
    elif found.own:
        said.append(
            f"pairing `own` alone gives binds {_share(found.own.binds_share)}, loose {_share(found.own.loose_share)}"
        )
    if found.largest:
        cause = found.largest
        now = f"{_spread_said(cause.name, cause.now, unit)} now"
        if cause.say:
            said.append(
                f"the largest term is {cause.name} ({now}); {_spread_said(cause.name, cause.say, unit)} would do"
            )
        else:
            said.append(f"the largest term is {cause.name} ({now}); even none of it would not be enough")
    return "; ".join(said)


# Digits behind the point of an aim, in each unit: as fine as anybody types one, and two finer, where only that would do.
CLOSE = {"mm": 2, "in": 4}
FINEST = {"mm": 4, "in": 6}


def _between(aim: AimRange, unit: str) -> str:
    """The stretch of aims that do, in brackets; nothing where tools leave only the one that is said."""
    if aim.low_mm == aim.high_mm:
        return ""
    # rounded inward: the ends have to hold as they are printed
    digits, finest = CLOSE[unit], 10.0 ** CLOSE[unit]
    low, high = (end / unit_factor(unit) for end in (aim.low_mm, aim.high_mm))
    low_said = f"{ceil(low * finest) / finest:.{digits}f}" if isfinite(low) else ""
    high_said = f"{floor(high * finest) / finest:.{digits}f}" if isfinite(high) else ""
    if low_said and high_said:
        does = f"from {low_said} to {high_said} {unit}"
    else:
        does = f"from {low_said} {unit} up" if low_said else f"up to {high_said} {unit}"
    return f" (anything {does} does)"


def _share(share: float) -> str:
    return f"{share * 100:.2g} %"


def _spread_said(name: str, values: tuple[float, ...], unit: str) -> str:
    scale, unit = (100.0, "%") if name == "shrinkage" else (1.0 / unit_factor(unit), unit)
    shown = list(dict.fromkeys(f"{value * scale:.3g} {unit}" for value in values))
    return " and ".join(shown)


def settings_alike(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """Two calipers' settings of one part, taken on the same side, that are one step of the tool apart: at the wheel one is easily set for the other.

    Settings that read the same do no harm when they are mixed up. Make the two sizes one, or further apart.
    """
    step = reader_of(sheet.studio).step_mm() * 1.01
    for name, part in sheet.form.parts.items():
        if len(part.calipers) < 2:
            continue
        rows = [one for one in settings_of(sheet).by_part.get(str(name), ()) if one.kind in (CALIPERS, THROWN)]
        for place, one in enumerate(rows):
            for other in rows[place + 1 :]:
                apart = abs(one.ends[0].value - other.ends[0].value)
                if one.side == other.side and 1e-6 < apart <= step:
                    at = next(spec.at for key, spec in part.calipers.items() if str(key) == other.place)
                    yield warning(
                        "settings-alike",
                        at,
                        f"parts.{name}: the calipers are set to {one.ends[0].amounts[0]} for '{one.place}' and to {other.ends[0].amounts[0]} for '{other.place}', both {one.side}; one is easily taken for the other",
                        "make the two sizes one, or further apart",
                    )


def film_and_coat(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A fired film that its dry coat can't have made: under half, or over three times, the coat melted solid."""
    glaze = sheet.glaze
    if glaze is None or glaze.film is None or glaze.coat is None or glaze.film.value == 0.0:
        return
    solid = solid_film_mm(glaze.coat.value, glaze.grain_density.value if glaze.grain_density else 2.6)
    if not 0.5 * solid <= glaze.film.value <= 3.0 * solid:
        yield warning(
            "film-and-coat",
            glaze.film.at,
            f"film: {glaze.film.typed} fired; a coat of {glaze.coat.typed} melted solid is {say_as(sheet.studio, solid, 'mm', '.2g')} thick",
            "look at `coat` and `film` together",
        )


def unknown_figure(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A figure that steps quote and that the form hasn't got."""
    # Looking for what was meant takes a while where there are many figures; nobody reads the hundredth hint.
    hints = 20 if len(sheet.found) < 2000 else 1
    for place, (stage, line, quote) in enumerate(islice(_unknown_quotes(sheet), MOST_TOLD)):
        yield error(
            "unknown-figure",
            place_within(line.at, line, quote),
            f"steps.{stage}: there is no figure `{quote[:60]}`",
            nearest_figure(sheet, quote) if place < hints else "",
        )


def _unknown_quotes(sheet: Sheet) -> Iterator[tuple[str, Word, str]]:
    for stage, lines in sheet.form.steps.items():
        for line in lines:
            for quote in re.findall(r"\{([^{}]*)\}", line):
                if sheet.quoted(quote) is None:
                    yield str(stage), line, quote


def nearest_figure(sheet: Sheet, quote: str) -> str:
    """A hint towards the figure that was most likely meant."""
    key = " ".join(quote.split())
    stages = [figure.stage for figure in sheet.figures if figure.key == key and figure.stage]
    if stages:
        return f"say the stage: {', '.join(f'`{key} {stage}`' for stage in stages[:5])}"
    near = nearest_word(key, (figure.name for figure in sheet.figures)) or nearest_word(
        key, (figure.key for figure in sheet.figures)
    )
    return f"did you mean `{near}`?" if near else f"`wareboard derive {sheet.slug}` lists them"


def no_price(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A form that is meant for shops, whose `stockist` block says no price."""
    stockist = sheet.form.stockist
    if stockist and stockist.price is None:
        yield warning(
            "no-price",
            stockist.at,
            "stockist: there is no price; the stock list will say `price on request`",
            "write `price: 34.00`, the number alone",
        )


RULES: tuple[Rule, ...] = (
    thin_wall, ball_differs, capacity_missed, weight_missed, strap_differs, cones_differ, top_heavy, fit_negative, fit_misses_aim, left_on_differs,
    fit_of_two_clays, spread_assumed, fit_binds, fit_loose, settings_alike, film_and_coat, cannot_be_thrown, lid_falls_in,
    seat_narrow, not_level, no_room, unknown_figure, no_price, *proportions.RULES,
)  # fmt: skip

# Rules that are about selling, not about making.
ABOUT_TRADE = (no_price, *tradelimits.RULES, *proportions.ABOUT_TRADE)


def check_run(run: Run, sheet: Sheet | None) -> list[Problem]:
    """What a run measured that is no figure of its form, or no size."""
    found: list[Problem] = []
    for line in run.measured:
        figure = sheet.quoted(f"{line.figure} {line.stage or ''}") if sheet else None
        if sheet and figure is None:
            said = f"{line.figure} {line.stage or ''}".strip()
            found.append(
                error(
                    "unknown-figure",
                    line.at,
                    f"measured: {sheet.form.title} has no figure `{said[:60]}`",
                    nearest_figure(sheet, said),
                )
            )
            continue
        if figure is None:
            continue
        for value in line.values:
            try:
                read_measured(figure.named.declared, str(value))
            except SizeError as fault:
                found.append(error("unreadable-size", value.at, f"measured: {fault.message}", fault.hint))
    return [*found, *proportions.measured_far_off(run, sheet)] if sheet else found
