"""What a maker would want to be told: one function a rule, each named as its rule is.

A rule takes a sheet and its project and yields problems; its docstring is its entry in the manual.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from itertools import islice
from math import ceil, log

from wareboard.figures import fitchecks, limits, materiallimits, proportions, tradelimits
from wareboard.figures.amounts import strap_g
from wareboard.figures.clays import body_problem, make_body
from wareboard.figures.coats import weigh_coats
from wareboard.figures.completing import complete
from wareboard.figures.parts import tip_angle_deg
from wareboard.figures.saying import meant, say, say_as, say_tenths, typed_length
from wareboard.figures.settings import (
    CALIPERS,
    THROWN,
    settings_of,
    value_as_set,
)
from wareboard.figures.shapes import Shape
from wareboard.figures.shaping import Shaper
from wareboard.figures.sheet import Sheet, make_sheet
from wareboard.figures.shown import reader_of
from wareboard.pot import clay
from wareboard.pot.glaze import solid_film_mm
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
    in_file_order,
    nearest_word,
    place_within,
    warning,
)
from wareboard.text.projects import Project
from wareboard.text.specs import Form, Run
from wareboard.text.studio_specs import Clay
from wareboard.text.units import SizeError

Rule = Callable[[Sheet, Project], Iterator[Problem]]
LEAST_WALL_MM = 2.0
BALL_SHARE = 0.10
CAPACITY_SHARE = 0.05
WEIGHT_SHARE = 0.05
TIP_DEG = 10.0
# Forms that are worked out with one shaper: a part that several reach is built once.
SHAPES_TOGETHER = 50


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
    problems += _of_forms(found)
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


def _of_forms(sheets: Mapping[str, Sheet]) -> Iterator[Problem]:
    """The problems of every form; of those that are like another, at the other's line, once, and only what the other has not."""
    told = {
        (problem.rule, problem.at) for sheet in sheets.values() if not sheet.form.like for problem in sheet.problems
    }
    of_likes: dict[tuple[str, Position], list[tuple[str, Problem]]] = {}
    for sheet in sheets.values():
        like = sheet.form.like
        for problem in sheet.problems:
            if not like or problem.at.file != f"specs/forms/{like}.yaml":
                yield problem
            elif (problem.rule, problem.at) not in told:
                of_likes.setdefault((problem.rule, problem.at), []).append((sheet.slug, problem))
    for said in of_likes.values():
        slug, problem = said[0]
        who = f"{slug} and {len(said) - 1} more, which are like it" if len(said) > 1 else f"{slug}, which is like it"
        yield replace(problem, message=f"{who}: {problem.message}")


def check_form(form: Form, project: Project, shaper: Shaper | None = None) -> Sheet:
    """A form's sheet with everything in it that a maker would want to be told."""
    sheet = make_sheet(form, project, shaper)
    if not sheet.is_worked_out:
        said = (problem for rule in proportions.AS_TYPED for problem in rule(sheet, project))
        return replace(sheet, problems=tuple(in_file_order([*sheet.problems, *said])))
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
        found = shape.thinnest
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
                _ball_hint(typed, derived),
            )


def _ball_hint(typed: Size, derived_g: float) -> str:
    if abs(log(typed.value / derived_g)) < log(2.5):
        return "look at the wall, the floor, what is left on, and the loss"
    said = meant(typed, derived_g / 1.5, derived_g * 1.5, ("g", "kg", "oz", "lb"))
    return (
        said
        if said.startswith("did") and derived_g < proportions.HEAVIEST_BALL_G
        else "look at its unit, and at the units and points of the sizes"
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
    if found_ml <= 0.0:
        return "fill it to a level above its floor"
    factor = (stated_ml / found_ml) ** (1.0 / 3.0)
    return f"every inside size × {factor:.3f} would hold it"


def strap_differs(sheet: Sheet, project: Project) -> Iterator[Problem]:
    """A handle whose clay is said as a weight that is more than a tenth off what its strap comes to."""
    for name, shape in sheet.shapes.items():
        for extra_name, extra in shape.part.extras.items():
            comes_to = strap_g(extra, shape)
            if extra.clay is None or not comes_to or abs(extra.clay.value / comes_to - 1.0) <= BALL_SHARE:
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
        and materiallimits.is_cone(sheet.glaze.cone)
        and materiallimits.is_cone(sheet.clay.cone)
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
    for place, (stage, line, quote, closed) in enumerate(islice(_unknown_quotes(sheet), MOST_TOLD)):
        said = f"there is no figure `{quote[:60]}`" if closed else f"the `{{` before `{quote[:60]}` is never closed"
        near = nearest_figure(sheet, quote) if place < hints and closed else ""
        yield error(
            "unknown-figure",
            place_within(line.at, line, quote),
            f"steps.{stage}: {said}",
            near if closed else f"write `{{{quote[:60]}}}`",
        )


_OPENED = re.compile(r"\{([^{}]*)(\}?)")
_QUOTED_WORDS = re.compile(r"[^\s,;]+(?:\s(?:wet|leather-hard|dry|bisque|fired)\b)?")


def _unknown_quotes(sheet: Sheet) -> Iterator[tuple[str, Word, str, bool]]:
    """Stage, line and quote of each that is no figure, or is never closed, and whether it is closed."""
    for stage, lines in sheet.form.steps.items():
        for line in lines:
            for quote, closed in _OPENED.findall(line):
                if closed and sheet.quoted(quote) is None:
                    yield str(stage), line, quote, True
                elif not closed and (words := _QUOTED_WORDS.match(quote)):
                    yield str(stage), line, words[0].rstrip("."), False


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
    thin_wall, ball_differs, capacity_missed, weight_missed, strap_differs, cones_differ, top_heavy,
    *fitchecks.RULES, settings_alike, film_and_coat, cannot_be_thrown, unknown_figure, no_price, *proportions.RULES,
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
