"""What a maker asks with a piece in the hand: what to turn it to, what to set next time, what so much clay makes, what another clay does.

The command and the page that answers ask the same functions; the page's are written as JavaScript from this room.
"""

from dataclasses import replace
from math import ceil, floor

from wareboard.pot.clay import Body
from wareboard.pot.fits import Fit, Side, at_fired_mm
from wareboard.pot.frozen import frozen
from wareboard.pot.match import Match, Verdict, first_leather_hard, fit_state, match_parts
from wareboard.pot.moisture import Calipered, PartNow, Readings, Weighing, part_now

SOFT_SHARE = 0.5  # of the shrinkage to leather-hard; less, and a piece is too soft to trim
FINE_MM = 0.1
SCALED_LEAST, SCALED_MOST = 0.5, 2.0  # times as large; past these it is another form


# ---- two pieces ----


@frozen
class Turned:
    """A size to turn to, in whole steps; the fired clearance that it leaves; whether only a tenth of a millimetre does it."""

    size_mm: float
    fired_mm: float
    state: str
    fine: bool


@frozen
class Tried:
    """Two pieces tried on each other now: what comes of it, what to do first, what to turn to where it can be turned."""

    found: Match
    verdict: Verdict
    turn_to: Turned | None


def with_doubt(
    readings: Readings,
    *,
    half_mm: float,
    half_g: float,
    calipers_mm: float,
    weight_share: float,
    size_is_usual: bool,
    weight_is_usual: bool,
) -> Readings:
    """Readings with how far each may be off: half a step of scale and ruler as read; as thrown, where the sheet is
    believed, the studio's calipers and the spread of its thrown weights.

    Args:
        readings: what was read.
        half_mm: half a step of the ruler, mm.
        half_g: half a step of the scale, g.
        calipers_mm: how far locked calipers set a size off, one standard deviation, mm.
        weight_share: by how much thrown weights of a run differ, one standard deviation, share.
        size_is_usual: the size as thrown is the sheet's.
        weight_is_usual: the weight as thrown is the sheet's.
    Returns: the same readings, with their deviations.
    Source: common practice.
    >>> with_doubt(Readings(size=Calipered(87.5, 84.9)), half_mm=0.25, half_g=2.5, calipers_mm=0.3, weight_share=0.015,
    ...            size_is_usual=True, weight_is_usual=True).size
    Calipered(thrown_mm=87.5, now_mm=84.9, thrown_deviation_mm=0.3, now_deviation_mm=0.25)
    >>> with_doubt(Readings(Weighing(500.0, 480.0)), half_mm=0.25, half_g=2.5, calipers_mm=0.3, weight_share=0.015,
    ...            size_is_usual=True, weight_is_usual=True).weight
    Weighing(thrown_g=500.0, now_g=480.0, thrown_deviation_g=7.5, now_deviation_g=2.5)
    """
    weight, size = readings.weight, readings.size
    if weight is not None:
        thrown_g = weight.thrown_g * weight_share if weight_is_usual else half_g
        weight = Weighing(weight.thrown_g, weight.now_g, thrown_g, half_g)
    if size is not None:
        size = Calipered(size.thrown_mm, size.now_mm, calipers_mm if size_is_usual else half_mm, half_mm)
    return Readings(weight, size)


def is_soft(body: Body, now: PartNow) -> bool:
    """Whether a piece is too soft to trim: less than half-way to leather-hard.

    Args:
        body: the clay.
        now: how dry the piece is.
    Source: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> is_soft(make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}), PartNow(0.99, 0.01, 0.11))
    True
    """
    return now.shrunk_share < SOFT_SHARE * body.shrinkage_share("leather-hard")


def has_stopped(body: Body, now: PartNow) -> bool:
    """Whether a piece has done shrinking: then trimming raises dust.

    Args:
        body: the clay.
        now: how dry the piece is.
    Source: common practice; silica dust harms the lungs.
    >>> from wareboard.pot.clay import make_body
    >>> has_stopped(make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}), PartNow(0.8, 0.06, 0.06))
    True
    """
    return now.shrunk_share >= body.shrinkage_share("dry") > 0.0


def try_pair(
    fit: Fit,
    inside: Readings,
    outside: Readings,
    *,
    turn_step_mm: float,
    step_g: float = 0.0,
    measured_mm: float | None = None,
    measured_deviation_mm: float = 0.0,
) -> Tried:
    """Two pieces tried on each other: what comes of it, what to do first, and what to turn to, in steps of the ruler.

    What is too soft to trim waits, and what has done shrinking is damped, before it is trimmed.

    Args:
        fit: the fit.
        inside: what was read of the part with the opening.
        outside: what was read of what goes into it.
        turn_step_mm: the ruler's step, mm.
        step_g: the scale's step, g.
        measured_mm: clearance measured now, mm, where the outside is trimmed already.
        measured_deviation_mm: how far that is off, one standard deviation, mm.
    Returns: the match, the verdict, and the size, None where nothing should be turned now.
    Raises: MatchError and its kinds.
    Source: worked: `match.match_parts`, then rounded to the tool; soft and dry: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import with_aim
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4, pairing="own"), 1.2)
    >>> found = try_pair(fit, Readings(size=Calipered(100.0, 97.8)), Readings(size=Calipered(101.0, 97.5)), turn_step_mm=0.5)
    >>> found.turn_to.size_mm, found.verdict.action
    (95.5, 'trim')
    """
    found = match_parts(
        fit, inside, outside, measured_mm=measured_mm, measured_deviation_mm=measured_deviation_mm, step_g=step_g
    )
    bodies = fit.inside.body, fit.outside.body
    soft = is_soft(bodies[0], found.inside) or is_soft(bodies[1], found.outside)
    stopped = has_stopped(bodies[1], found.outside)
    verdict = found.verdict
    if measured_mm is None and verdict.action == "trim":
        if stopped:
            verdict = first_leather_hard(fit, "outside", outside, "damp")
        elif is_soft(bodies[1], found.outside):
            verdict = first_leather_hard(fit, "outside", outside, "wait")
        elif is_soft(bodies[0], found.inside):
            verdict = first_leather_hard(fit, "inside", inside, "wait")
    firm = measured_mm is not None or not soft
    turns = firm and not stopped and verdict.action not in ("leave", "start again")
    return Tried(found, verdict, turned(fit, found, turn_step_mm) if turns else None)


def turned(fit: Fit, found: Match, step_mm: float) -> Turned:
    """The size to turn to in the ruler's steps, on the side that can still be trimmed: up, where that is right when
    fired; else the step below, else a tenth of a millimetre. Where every one goes with every other, the nearest step that
    is right, as on the card that all of them are turned by.

    Args:
        fit: the fit.
        found: what comes of the two pieces.
        step_mm: the ruler's step, mm.
    Returns: the size, and what it leaves.
    Source: worked: what is left on a size shrinks on as the outside does.
    """
    exact = found.trim_outside_to_mm
    up = turned_at(fit, found, rounded_up_mm(exact, step_mm), False)
    down = turned_at(fit, found, floor(exact / step_mm + 1e-6) * step_mm, False)
    nearer = fit.pairing == "any" and down.state == "ok" and exact - down.size_mm < up.size_mm - exact
    if up.state == "ok" and not nearer:
        return up
    return down if down.state == "ok" else turned_at(fit, found, floor(exact / FINE_MM + 0.5) * FINE_MM, True)


def turned_at(fit: Fit, found: Match, size_mm: float, fine: bool) -> Turned:
    """What turning to a size leaves when fired.

    Args:
        fit: the fit.
        found: what comes of the two pieces.
        size_mm: the size, mm.
        fine: whether it lies between the ruler's steps.
    Returns: the size, and what it leaves.
    Source: worked: the aim, and what the size is off by, shrunk on to fired.
    """
    kept = fit.outside.body.across("fired") / (1.0 - found.outside.shrunk_share)
    fired_mm = at_fired_mm(fit, fit.aim_mm) + (found.trim_outside_to_mm - size_mm) * kept
    return Turned(size_mm, fired_mm, fit_state(fit, fired_mm), fine)


def rounded_up_mm(size_mm: float, step_mm: float) -> float:
    """A size to turn to, up to the ruler's step: what is too large can still be trimmed.

    Args:
        size_mm: the size, mm.
        step_mm: the ruler's step, mm, more than 0.
    Returns: mm.
    Source: worked: whole steps counted up, a millionth of one taken for dust.
    >>> rounded_up_mm(83.4, 0.5)
    83.5
    """
    return ceil(size_mm / step_mm - 1e-6) * step_mm


def as_far_on(fit: Fit, side: str, read: Readings, other_thrown_mm: float) -> Readings:
    """What the other piece of a fit would read were it as far on in drying as the one that was read.

    Args:
        fit: the fit.
        side: inside or outside, the one that was read.
        read: what was read of it.
        other_thrown_mm: the other one's size as thrown, mm.
    Returns: readings of the other one.
    Raises: MatchError and its kinds.
    Source: worked: the same part of its own shrinkage to dry.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4)
    >>> round(as_far_on(fit, "inside", Readings(size=Calipered(100.0, 97.0)), 101.0).size.now_mm, 2)
    97.97
    """
    body, other = fit.inside.body, fit.outside.body
    if side == "outside":
        body, other = other, body
    now = part_now(body, read, side)
    dry = body.shrinkage_share("dry")
    part = now.shrunk_share / dry if dry > 0.0 else 1.0
    return Readings(size=Calipered(other_thrown_mm, other_thrown_mm * (1.0 - part * other.shrinkage_share("dry"))))


# ---- what to set next time ----


@frozen
class NextTime:
    """What to set next time; how much the piece shrank; whether the size was within what pieces differ by."""

    set_mm: float
    shrunk_share: float
    within: bool


def next_time(
    set_mm: float, base_mm: float, wet_mm: float, wanted_mm: float, measured_mm: float, plus_minus_mm: float
) -> NextTime:
    """What to set a tool to next time, by the fired size that it came to this time.

    The clay's part of the setting goes with wanted over measured; what is no clay, a bat, stays.

    Args:
        set_mm: what the tool was set to, mm.
        base_mm: what of that is no clay, mm.
        wet_mm: the size wet that comes of the setting, mm.
        wanted_mm: the fired size wanted, mm.
        measured_mm: the fired size measured, mm.
        plus_minus_mm: how far pieces may lie from it and still be right, mm.
    Returns: the setting, unrounded.
    Raises: ValueError, a size that isn't more than 0.
    Source: worked: set in proportion; ASTM C326 for the shrinkage (plastic length as the basis).
    >>> found = next_time(152.0, 12.0, 137.0, 120.0, 118.0, 1.0)
    >>> round(found.set_mm, 2), round(found.shrunk_share, 4), found.within
    (154.37, 0.1387, False)
    """
    if not (measured_mm > 0.0 and wet_mm > 0.0):
        raise ValueError("a size must be more than 0 mm")
    to_mm = base_mm + (set_mm - base_mm) * wanted_mm / measured_mm
    return NextTime(to_mm, 1.0 - measured_mm / wet_mm, abs(measured_mm - wanted_mm) <= plus_minus_mm + 1e-9)


# ---- so much clay ----


def times_as_large(ball_g: float, own_g: float) -> float:
    """How many times as large a form is that is made of another ball, everything in proportion, the wall too.

    Args:
        ball_g: the ball, g.
        own_g: the form's own ball, g.
    Returns: the factor of every length.
    Raises: ValueError, so little or so much that it is another form.
    Source: similarity: volumes go with the cube of the scale.
    >>> round(times_as_large(840.0, 420.0), 4)
    1.2599
    """
    factor = (ball_g / own_g) ** (1.0 / 3.0) if ball_g > 0.0 else 0.0
    if not SCALED_LEAST <= factor <= SCALED_MOST:
        raise ValueError("a form is scaled from half to twice its size")
    return factor


def scaled_set_mm(set_mm: float, base_mm: float, factor: float) -> float:
    """A setting of a form that is so many times as large; what of it is no clay stays.

    Args:
        set_mm: the setting, mm.
        base_mm: what of it is no clay, mm.
        factor: how many times as large.
    Returns: mm.
    Source: similarity.
    >>> scaled_set_mm(152.0, 12.0, 1.5)
    222.0
    """
    return base_mm + (set_mm - base_mm) * factor


def scaled_amount(of_volume: float, of_area: float, factor: float) -> float:
    """What a form holds or weighs when it is so many times as large: clay and room by volume, glaze by area.

    Args:
        of_volume: what goes with the volume: bare room, ml, or fired clay, g.
        of_area: what goes with the area: glaze, g, or the room that its film takes, ml, below 0.
        factor: how many times as large.
    Returns: in the same unit, 0 up.
    Source: similarity: volumes go with the cube of the scale, areas with its square; the glaze is as thick as before.
    >>> scaled_amount(100.0, -10.0, 2.0)
    760.0
    """
    return max(0.0, of_volume * factor**3 + of_area * factor**2)


# ---- another clay ----


def in_clay_mm(size_mm: float, base_mm: float, stage: str, upward: bool, old: Body, new: Body) -> float:
    """What a size is at a stage in another clay, so that it comes out of the kiln the same.

    Args:
        size_mm: the size at the stage in the form's own clay, mm.
        base_mm: what of it is no clay, mm.
        stage: one of the five stages.
        upward: a height, which shrinks by the height factor.
        old: the form's own clay.
        new: the other clay.
    Returns: mm.
    Source: worked: to fired by the one clay, back to the stage by the other.
    >>> from wareboard.pot.clay import make_body
    >>> old, new = (make_body(water_share=0.2, line={"dry": 0.06, "fired": fired}) for fired in (0.12, 0.10))
    >>> round(in_clay_mm(100.0, 0.0, "wet", False, old, new), 2)
    97.78
    """
    fired_mm = (size_mm - base_mm) * kept_to_fired(old, stage, upward)
    return base_mm + fired_mm / kept_to_fired(new, stage, upward)


def kept_to_fired(body: Body, stage: str, upward: bool) -> float:
    """What is left of a size when fired, as a share of the size at a stage.

    Args:
        body: the clay.
        stage: one of the five stages.
        upward: a height, which shrinks by the height factor.
    Returns: fired over what it is at the stage.
    Source: ASTM C326 (plastic length as the basis).
    >>> from wareboard.pot.clay import make_body
    >>> round(kept_to_fired(make_body(water_share=0.2, line={"dry": 0.06, "fired": 0.12}), "dry", False), 4)
    0.9362
    """
    if upward:
        return body.up("fired") / body.up(stage)
    return body.across("fired") / body.across(stage)


def in_clay_g(ball_g: float, old: Body, new: Body) -> float:
    """The ball of another clay that makes the same fired pot.

    Args:
        ball_g: the ball in the form's own clay, g.
        old: the form's own clay.
        new: the other clay.
    Returns: g.
    Source: worked: the fired volume back to wet, by the wet density of each.
    >>> from wareboard.pot.clay import make_body
    >>> old, new = (make_body(water_share=0.2, line={"dry": 0.06, "fired": fired}) for fired in (0.12, 0.10))
    >>> round(in_clay_g(420.0, old, new), 1)
    392.6
    """
    volume_cm3 = ball_g / old.wet_density_g_cm3 * old.volume_scale("fired") / new.volume_scale("fired")
    return volume_cm3 * new.wet_density_g_cm3


def fired_in_clay_mm(wet_mm: float, upward: bool, new: Body) -> float:
    """What a size comes to in another clay where it is set as before.

    Args:
        wet_mm: the size wet, mm.
        upward: a height, which shrinks by the height factor.
        new: the other clay.
    Returns: mm fired.
    Source: ASTM C326 (plastic length as the basis).
    >>> from wareboard.pot.clay import make_body
    >>> round(fired_in_clay_mm(100.0, False, make_body(water_share=0.2, line={"dry": 0.06, "fired": 0.1})), 9)
    90.0
    """
    return wet_mm * (new.up("fired") if upward else new.across("fired"))


def fit_in_clays(fit: Fit, inside: Body, outside: Body) -> Fit:
    """A fit whose two sides are set as before, in other clays.

    Args:
        fit: the fit.
        inside: clay of the opening.
        outside: clay of what goes in.
    Returns: the fit, wet sizes the same.
    Source: worked: wet sizes stay, each side shrinks on by its own clay.
    """
    return replace(fit, inside=Side(fit.inside.wet_mm, inside, fit.inside.spreads), outside=Side(fit.outside.wet_mm, outside, fit.outside.spreads))  # fmt: skip
