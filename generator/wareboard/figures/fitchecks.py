"""What a maker would want to be told of two things that go together: one function a rule, each named as its rule is.

As in `checks`: a rule takes a sheet and its project and yields problems; its docstring is its entry in the manual.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor, isfinite

from wareboard.figures.resolve import COMMON_SPREADS
from wareboard.figures.saying import is_imperial, say, say_as, say_tenths, typed_length
from wareboard.figures.settings import (
    fit_as_set,
    fit_tools,
    shares_as_set,
)
from wareboard.figures.shapes import to_stage
from wareboard.figures.sheet import Sheet
from wareboard.pot import fits
from wareboard.pot.mends import AimRange, Mends, mends
from wareboard.pot.seats import BEARS_MM
from wareboard.pot.stages import STAGES
from wareboard.text.formulas import number
from wareboard.text.problems import (
    Problem,
    error,
    format_words,
    warning,
)
from wareboard.text.projects import Project
from wareboard.text.specs import Fit
from wareboard.text.units import unit_factor

FIT_LIMIT_SHARE = 0.01
MISS_MM = 0.1
LEAST_SEAT_MM = 0.5  # that bears when it is pushed aside, common practice


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
    return f"{number(float(f'{share * 100:.2g}'))} %"


def _spread_said(name: str, values: tuple[float, ...], unit: str) -> str:
    scale, unit = (100.0, "%") if name == "shrinkage" else (1.0 / unit_factor(unit), unit)
    shown = list(dict.fromkeys(f"{value * scale:.3g} {unit}" for value in values))
    return " and ".join(shown)


RULES = (
    fit_negative, fit_misses_aim, left_on_differs, fit_of_two_clays, spread_assumed, fit_binds, fit_loose,
    lid_falls_in, seat_narrow, not_level, no_room,
)  # fmt: skip
