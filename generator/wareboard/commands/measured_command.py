"""A pot in the hand to a spec that passes the check: one pot, a ruler, a scale and a jug of water; every line says where it is from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from string import Template
from typing import TYPE_CHECKING

import click

from wareboard import TEMPLATES
from wareboard.commands.shared import to_be_typed, write_new
from wareboard.pot.frozen import frozen
from wareboard.pot.measured import Solved, Stations
from wareboard.text.measurements import (
    ASKED,
    NEEDED,
    MeasurementError,
    Measurements,
    Reading,
    parse_measurements,
    parse_reading,
    two_sizes,
)
from wareboard.text.problems import did_you_mean, format_words
from wareboard.text.units import INCH_MM

if TYPE_CHECKING:
    from wareboard.output.working import Worked
    from wareboard.pot.measured import InHand, Side
    from wareboard.text.studio_specs import Clay, Glaze, Studio


COMMENT_AT = 28


@frozen
class Named:
    """What a form is called and made of, before its sizes."""

    slug: str
    title: str
    code: str
    family: str
    clay: str
    glaze: str | None


def spec_text(
    named: Named, found: Measurements, stations: Stations, *, head: Sequence[str], wall: str, floor: str, exact: Sequence[str] = (), remark: str = ""
) -> str:  # fmt: skip
    """The commented spec of a pot whose wall and floor are known.

    Args:
        named: what the form is called and made of.
        found: what was measured.
        stations: its outside.
        head: comment lines for the top, what it was made from.
        wall, floor: their values with a comment behind them, as `with_comment` makes them.
        exact: stations on which weight and water hang, with a digit more.
        remark: what is said behind those.
    """
    unit = unit_of(found)
    return Template((TEMPLATES / "new" / "solved.yaml").read_text(encoding="utf-8")).substitute(
        head="\n".join(f"# {line}" for line in head),
        title=named.title,
        code=named.code,
        family=named.family,
        clay=named.clay,
        stage=found.stage,
        unit=unit,
        glaze="\n".join(_glaze_lines(found, named.glaze)),
        stations="\n".join(_station_lines(stations, unit, exact, remark)),
        line="straight" if not stations.smooth else with_comment("smooth", "a fair curve through the stations", 10),
        wall=wall,
        floor=floor,
        more="".join(f"{line}\n" for line in _more_lines(found)),
        extras=_extras(found),
    )


def measured_spec_text(named: Named, found: Measurements, solved: Solved, tools: str) -> str:
    """The spec of a measured pot.

    Args:
        named: what the form is called and made of.
        found: what was measured.
        solved: what it comes to.
        tools: what ruler and scale were read to, in words.
    """
    measured = ", ".join(f"{name} {found.readings[name].typed}" for name in ASKED if name in found.readings)
    wall, floor = solved_lines(found, solved, tools)
    head = (
        f"A pot as it was measured, {found.stage}: {measured}.",
        "Side, wall and floor follow from these; `check` goes on comparing weight and water with what is worked out.",
    )
    exact = [name for name in solved.stations.names if name not in found.readings and name not in ("foot", "rim")]
    return spec_text(
        named,
        found,
        solved.stations,
        head=head,
        wall=wall,
        floor=floor,
        exact=exact,
        remark="follows: as full as weight and water ask for",
    )


def solved_lines(found: Measurements, solved: Solved, tools: str) -> tuple[str, str]:
    """Wall and floor of a solved pot with their remarks."""
    unit = unit_of(found)
    by = " and ".join(word for name, word in (("weight", "weight"), ("brim", "water")) if name in found.readings)
    sure = f"± {length(solved.wall_plus_minus_mm, unit, digits=2 if unit == 'mm' else 3)}, {tools}"
    floor = (
        "the height less the depth inside"
        if "depth" in found.readings
        else "5/4 of the wall; measure the depth inside for its own"
    )
    return (
        with_comment(length(solved.wall_mm, unit, exact=True), f"follows from {by}; {sure}", 10),
        with_comment(length(solved.floor_mm, unit, exact=True), floor, 11),
    )


def unit_of(found: Measurements) -> str:
    """The unit of the file: inches where the height was read in inches."""
    return "in" if found.imperial else "mm"


def length(value_mm: float, unit: str, *, exact: bool = False, digits: int | None = None) -> str:
    """A length as it is typed in a file of that unit: to 0.01 mm, or to 0.001 where weights hang on it.

    Args:
        value_mm: the length, mm.
        unit: mm or in.
        exact: with a digit more.
        digits: decimals, instead.
    >>> length(77.1049, "mm"), length(95.25, "in"), length(4.95612, "mm", exact=True)
    ('77.1', '3.75', '4.956')
    """
    value = value_mm / INCH_MM if unit == "in" else value_mm
    if digits is None:
        digits = (5 if unit == "in" else 3) if exact else (4 if unit == "in" else 2)
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") or "0"


def with_comment(text: str, comment: str, before: int = 0) -> str:
    """A value with a remark behind it, set in line with the others.

    Args:
        text: the value.
        comment: the remark.
        before: how much of the line stands before the value.
    """
    return f"{text.ljust(max(0, COMMENT_AT - before))}# {comment}" if comment else text


def _glaze_lines(found: Measurements, glaze: str | None) -> list[str]:
    lines = [f"glaze: {glaze}" if glaze else "# glaze: …                # a file in specs/glazes/"]
    if "glaze-film" in found.readings:
        lines.append(f"glaze_film: {found.readings['glaze-film'].typed}")
    return lines


def _station_lines(stations: Stations, unit: str, exact: Sequence[str], remark: str) -> list[str]:
    lines = []
    for place, (name, (radius, height)) in enumerate(zip(stations.names, stations.points, strict=True)):
        finer = name in exact
        corner = (
            ", corner: true"
            if stations.smooth and place in stations.corners and 0 < place < len(stations.names) - 1
            else ""
        )
        size = f"      {name}: {{height: {length(height, unit, exact=finer)}, diameter: {length(2.0 * radius, unit, exact=finer)}{corner}}}"
        lines.append(f"{size}   # {remark}" if finer and remark else size)
    return lines


def _more_lines(found: Measurements) -> list[str]:
    lines = []
    if "weight" in found.readings:
        lines.append(f"    weighs: {found.readings['weight'].typed} {found.stage}")
    if "brim" in found.readings:
        staged = "" if found.stage == "fired" else f" {found.stage}"
        lines.append(f"    holds: {found.readings['brim'].typed}{staged}")
    ring, gallery = found.readings.get("foot-ring"), found.readings.get("gallery")
    if ring:
        deep, wide = two_sizes(ring.typed)
        lines.append(f"    foot: {{width: {wide}, recess: {deep}}}     # the turned ring that it stands on")
    if gallery:
        deep, wide = two_sizes(gallery.typed)
        lines.append(f"    gallery: {{depth: {deep}, width: {wide}}}  # the ledge for a lid, below the rim")
    return lines


def _extras(found: Measurements) -> str:
    if "handle" not in found.readings:
        return "    # extras:\n    #   handle: {clay: 40 g}   # counts in the weight"
    return f"    extras:\n      handle: {{clay: {found.readings['handle'].typed}}}"


TOOLS = "ruler to 1 mm, scale to 1 g"


def name_form(worked: Worked, slug: str, said: Mapping[str, str | None], *, asking: bool) -> Named:
    """A new form's names: those that were said, else asked for, else the studio's usual ones.

    Args:
        worked: the folder.
        slug: the file's name.
        said: title, code, family, clay and glaze, each perhaps None.
        asking: whether somebody is there to be asked.
    Raises: click.ClickException, there is no clay; click.UsageError, a name that there is not.
    """
    from wareboard.output import starting

    project = worked.project
    if not project.clays:
        raise click.ClickException("there is no clay in specs/clays/ that can be read; `wareboard start DIR` shows one")
    title = said.get("title") or slug.replace("-", " ").capitalize()
    code = said.get("code") or starting.suggest_code(
        starting.used_words(project.forms, "code"), title[:1].upper() + "-"
    )
    clay, glaze = said.get("clay"), said.get("glaze")
    _check_known("clay", clay, project.clays)
    _check_known("glaze", glaze, project.glazes)
    used = Counter(str(form.clay) for form in project.forms.values())
    usual = max(sorted(project.clays), key=lambda name: used[name])
    if clay is None and asking and len(project.clays) > 1:
        clay = click.prompt("Its clay", type=click.Choice(sorted(project.clays)), default=usual)
    if glaze is None and asking and project.glazes:
        glaze = click.prompt("Its glaze (Enter for none)", default="", show_default=False) or None
        _check_known("glaze", glaze, project.glazes)
    return Named(slug, title, code, said.get("family") or "pots", clay or usual, glaze)


def _check_known(kind: str, name: str | None, known: Mapping[str, object]) -> None:
    if name is not None and name not in known:
        there = did_you_mean(name, sorted(known), sign="'") or "there are none"
        raise click.UsageError(f"there is no {kind} '{name}'; {there}")


def read_measurements(worked: Worked, words: Sequence[str], stage: str | None) -> Measurements:
    """What stands behind `--measured`; asked for one by one where nothing does.

    Args:
        worked: the folder, for its units.
        words: `height=95mm` and so on.
        stage: the stage that was said beside it.
    """
    studio = worked.project.studio
    unit = "in" if str(studio.units or "").startswith("imperial") else "mm"
    fluid_ounce = str(studio.fluid_ounce) if studio.fluid_ounce else None
    if not words:
        return _ask_for(unit, fluid_ounce, stage)
    try:
        found = parse_measurements(words, unit=unit, fluid_ounce=fluid_ounce, stage=stage)
    except MeasurementError as fault:
        raise click.UsageError("\n       ".join(fault.faults)) from None
    missing = [name for name in NEEDED if name not in found.readings]
    if {"weight", "brim"} - {*missing}:  # one of the two will do
        missing = [name for name in missing if name not in ("weight", "brim")]
    if missing:
        hows = "".join(f"\n  {name}=…  {ASKED[name].how}" for name in missing)
        raise click.UsageError(f"{format_words(missing, 'and')} {'is' if len(missing) == 1 else 'are'} missing{hows}")
    return found


def _ask_for(unit: str, fluid_ounce: str | None, stage: str | None) -> Measurements:
    """Each measurement in the order in which one holds the pot."""
    click.echo("One pot, a ruler, a scale and a jug of water. What you did not measure: press Enter.\n")
    readings: dict[str, Reading] = {}
    for name, asked in ASKED.items():
        click.echo(f"{asked.question}\n  {asked.how}")
        while True:
            needed = asked.needed and not (name == "brim" and "weight" in readings) and name != "weight"
            example = {"@": " (as 96@50)", "×": " (as 12×5)"}.get(
                asked.pair,
                f" (in {unit})"
                if asked.kind == "length"
                else " (as 244 g)"
                if asked.kind == "mass"
                else " (as 310 ml)",
            )
            typed = click.prompt(f"  {name}{example}", default="" if not needed else None, show_default=False)
            if not typed.strip():
                break
            try:
                reading, said = parse_reading(name, typed, unit=unit, fluid_ounce=fluid_ounce)
            except MeasurementError as fault:
                click.echo(f"  {fault}")
                continue
            stage = stage or said
            bare = reading.typed.replace(".", "", 1).isdigit()
            readings[name] = replace(reading, typed=f"{reading.typed} {unit}") if bare and not asked.pair else reading
            break
    return Measurements(readings, stage or "fired")


def solve_measured(
    worked: Worked, found: Measurements, stations: Stations, clay: Clay, glaze: Glaze | None, side: Side | None = None
) -> Solved:
    """Side, wall and floor of a pot in the hand.

    Raises: click.ClickException, with everything that is to be said where no wall does it.
    """
    from wareboard.figures import inhand
    from wareboard.pot.measured import NoWallError
    from wareboard.text.problems import Impossible

    pot: InHand | None = None
    try:
        pot = inhand.in_hand(found, stations, clay, glaze)
        return inhand.solve_in_hand(pot, side)
    except NoWallError as fault:
        assert pot is not None
        raise click.ClickException("\n".join(inhand.why_no_wall(fault, pot, found))) from None
    except Impossible as fault:
        raise click.ClickException(f"the clay cannot be: {fault.problem.message}") from None
    except ValueError as fault:
        raise click.ClickException(str(fault)) from None


def write_measured(worked: Worked, named: Named, found: Measurements) -> None:
    """Solve a pot in the hand, look its spec over, write it, and say what it comes to.

    Args:
        worked: the folder.
        named: what the form is called and made of.
        found: what was measured.
    """
    from wareboard.figures import inhand

    clay = worked.project.clays[named.clay]
    glaze = worked.project.glazes[named.glaze] if named.glaze else None
    stations = inhand.stations_of(found)
    solved = solve_measured(worked, found, stations, clay, glaze)
    text = measured_spec_text(named, found, solved, TOOLS)
    save_checked(worked, named.slug, text)
    for line in summary(found, solved, named, worked.project.studio):
        click.echo(line)
    click.echo(f"Next: {to_be_typed('build', worked.root)}, and pin up site/cards/{named.slug}-wheel.pdf")


def save_checked(worked: Worked, slug: str, text: str) -> None:
    """Write a new form where it passes the check; nothing is written where it does not."""
    from wareboard.output import starting
    from wareboard.text.problems import ERROR, format_problem

    path = f"specs/forms/{slug}.yaml"
    problems = starting.check_text(worked, path, text)
    errors = [problem for problem in problems if problem.level == ERROR]
    for problem in problems:
        click.echo(format_problem(problem, {**worked.texts, path: text}), err=True)
    if errors:
        raise click.ClickException(f"{path} would not pass the check; nothing was written")
    write_new(worked.root / path, text)
    click.echo(f"{path} is written.")


def summary(found: Measurements, solved: Solved, named: Named, studio: Studio) -> list[str]:
    """What a pot in the hand came to, in a few lines, in the studio's unit."""
    from wareboard.figures.saying import say, say_as

    wall, floor = (say_as(studio, value, "mm", ".1f") for value in (solved.wall_mm, solved.floor_mm))
    off = say(studio, solved.wall_plus_minus_mm, "mm", digits=1)
    lines = [
        f"  wall {wall}, ± {off} ({TOOLS}); floor {floor}" + ("" if "depth" in found.readings else ", 5/4 of the wall")
    ]
    inserted = [
        (name, *point) for name, point in zip(solved.stations.names, solved.stations.points, strict=True)
        if name not in found.readings and name not in ("foot", "rim")
    ]  # fmt: skip
    lines += [
        f"  {name}: {say_as(studio, 2 * radius, 'mm', '.1f')} across, {say_as(studio, height, 'mm', '.1f')} up, as full as weight and water ask for"
        for name, radius, height in inserted
    ]
    if "weight" in found.readings and "brim" in found.readings:
        lines.append(
            f"  clay {say_as(studio, solved.clay_cm3, 'ml', '.0f')} and water {say_as(studio, solved.brim_ml, 'ml', '.0f')} fill what the outside encloses"
        )
    lines.append(
        f"  clay: {named.clay}"
        + (
            f", glaze: {named.glaze}"
            if named.glaze
            else ", no glaze counted (--glaze names one)"
            if found.stage == "fired" and "glaze-film" not in found.readings
            else ""
        )
    )
    return lines
