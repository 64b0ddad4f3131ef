"""Are two parts dry enough alike to trim to one another today?

What was read of each part tells how far it has shrunk and so how much is still to come: a size by calipers, or its
weight as a share of its weight as thrown, before anything is trimmed away (`moisture`). The opening is taken as it is;
the outside is trimmed to a size, or on it to leave a clearance, and each then shrinks by what it has left. The
moisture model's limits hold here too: see `moisture`.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

from wareboard.pot.clay import Body, mass_share_at_volume_scale
from wareboard.pot.fits import DUST_MM, Fit, Side, at_fired_mm, clearance_mm, film_loss_mm
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import (
    MatchError,
    PartNow,
    Readings,
    Weighing,
    as_thrown,
    body_at_water,
    mass_share_at_shrinkage,
    part_now,
    shrinkage_at_mass_share,
)
from wareboard.pot.stages import STAGES


@frozen
class Verdict:
    """What to do.

    `trim`: now. `wait`, `damp`: let `part` dry, or take up water, until it weighs about
    `until_g`, the other kept as it is. `trim to`: nothing but leaving the match's
    `trim_to_mm` helps. `leave`: a measured pair that will be right. `start again`: the
    outside is too small for this opening, and neither trimming nor drying mends that.
    """

    action: str
    part: str | None = None  # inside or outside
    until_g: float | None = None
    until_share_of_thrown: float | None = None
    until_shrunk_share: float | None = None
    fired_mm: float | None = None  # clearance that following it leaves


@frozen
class Match:
    """What comes of trimming the pair to one another now."""

    inside: PartNow
    outside: PartNow
    now_mm: float
    dry_mm: float
    fired_mm: float
    state: str
    trim_to_mm: float | None  # clearance that, left now, comes out at the aim
    trim_outside_to_mm: float  # size of the outside that, left now, comes out at the aim
    fired_plus_minus_mm: float  # of the fired clearance, the outside trimmed to its size, or as it was measured
    waited_plus_minus_mm: float  # of the same, where one is waited for and the fit's own clearance is left
    verdict: Verdict


@frozen
class Cell:
    """One pair of dryness in the table."""

    inside_share: float
    outside_share: float
    fired_mm: float
    state: str


@frozen
class WaterMatch:
    """A fit whose parts are thrown from clay with other water, wet sizes the same."""

    fit: Fit
    clearance_mm: tuple[float, ...]
    state: str
    tried_fired_mm: float  # where the two were tried on each other at leather-hard instead
    tried_state: str


class NegativeClearance(MatchError):
    """A measured clearance below zero: the one would not go into the other."""


def fit_state(fit: Fit, fired_mm: float) -> str:
    """Whether a fired clearance binds, rattles, or is ok.

    Args:
        fit: the fit with its limits.
        fired_mm: clearance at fired, mm.
    Returns: `binds` under least, `rattles` over most, else `ok`.
    Source: worked: the clearance held against the two limits; float dust past a limit is at it.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit_state(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 0.4)
    'binds'
    """
    if fired_mm < at_fired_mm(fit, fit.least_mm) - DUST_MM:
        return "binds"
    return "rattles" if fired_mm > at_fired_mm(fit, fit.most_mm) + DUST_MM else "ok"


def left_fired_mm(fit: Fit, inside_across: float, outside_across: float, now_mm: float) -> float:
    """Fired clearance of a pair that has a given clearance now.

    c = I_f − film − (I_now − c_now) × O_f/O_now, the last the outside's shrinkage to come.

    Args:
        fit: the fit; only its opening and the two clays count.
        inside_across: inside diameter now over wet.
        outside_across: outside diameter now over wet.
        now_mm: clearance now, mm.
    Returns: clearance at fired, mm.
    Source: worked: what fills the opening now shrinks on by its own share, the opening by its own; their difference is left, less the film.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4)
    >>> round(left_fired_mm(fit, 0.97, 0.97, 1.0), 3), round(left_fired_mm(fit, 0.97, 0.95, 1.0), 3)
    (0.907, -0.926)
    """
    outside_now = fit.inside.wet_mm * inside_across - now_mm
    return _room_mm(fit) - outside_now * fit.outside.body.across("fired") / outside_across


def match_parts(
    fit: Fit,
    inside: Weighing | Readings,
    outside: Weighing | Readings,
    *,
    measured_mm: float | None = None,
    measured_deviation_mm: float = 0.0,
    step_g: float = 0.0,
) -> Match:
    """What comes of two parts that are tried on each other now.

    With calipers the answer is a size: the outside is trimmed to what comes out at the aim, however dry each is.

        trim to = (opening fired − film − aim) / (1 − s fired) × (1 − s now), the shrinkages those of the outside

    With weights alone the outside is taken to be trimmed to the fit's own leather-hard clearance first. Too tight
    when fired means that the inside has more shrinking left than the outside, so it should wait; too loose, the
    other way round. Where the pairing is `any`, the outside is trimmed for the opening as it should be.

    Args:
        fit: the fit.
        inside: what was read of the part with the opening.
        outside: what was read of what goes into it.
        measured_mm: clearance measured now, mm, where the outside is trimmed already.
        measured_deviation_mm: how far that is off, one standard deviation, mm.
        step_g: scale step, g; a weight may be out of range by as much.
    Returns: dryness of both, clearances to come with their doubt, and the verdict.
    Raises: MatchError and its kinds.
    Source: worked: readings to shrinkage so far for each, both shrunk on to fired (`left_fired_mm`), then held against the limits.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import with_aim
    >>> from wareboard.pot.moisture import Calipered
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 1.2)
    >>> found = match_parts(fit, Weighing(640.0, 625.0), Weighing(160.0, 152.0))
    >>> round(found.fired_mm, 2), found.state, found.verdict.action, found.verdict.part
    (-0.43, 'binds', 'wait', 'inside')
    >>> round(found.verdict.until_g)
    608
    >>> found = match_parts(fit, Readings(size=Calipered(100.0, 97.8)), Readings(size=Calipered(101.0, 97.5)))
    >>> round(found.trim_outside_to_mm, 2), found.verdict.action
    (95.22, 'trim')
    """
    readings = (_readings(inside), _readings(outside))
    inside_now = part_now(fit.inside.body, readings[0], "inside", step_g)
    outside_now = part_now(fit.outside.body, readings[1], "outside", step_g)
    thrown_mm, thrown_deviation_mm = as_thrown(
        fit.inside.body, readings[0], fit.inside.wet_mm, fit.inside.spreads.calipers_mm
    )
    tried = replace(fit, inside=replace(fit.inside, wet_mm=thrown_mm))
    across = 1.0 - inside_now.shrunk_share, 1.0 - outside_now.shrunk_share
    opening_mm = thrown_mm * across[0]
    if measured_mm is not None and measured_mm < 0.0:
        raise NegativeClearance(f"a clearance of {measured_mm:g} mm: the one would not go into the other")
    now_mm = clearance_mm(fit, "leather-hard") if measured_mm is None else measured_mm
    if not now_mm < opening_mm:
        raise MatchError(f"a clearance of {now_mm:g} mm is more than the opening's {opening_mm:.1f} mm")

    fired_mm = left_fired_mm(tried, *across, now_mm)
    later = fit.outside.body.across("fired")
    outside_dry_mm = (opening_mm - now_mm) * fit.outside.body.across("dry") / across[1]
    trim_to_mm = opening_mm - _goal_mm(tried) * across[1] / later
    outside_to_mm = _goal_mm(fit if fit.pairing == "any" else tried) * across[1] / later
    state = fit_state(tried, fired_mm)
    if measured_mm is not None:
        action = {"ok": "leave", "binds": "trim to", "rattles": "start again"}[state]
        verdict = Verdict(action, fired_mm=at_fired_mm(tried, fit.aim_mm) if state == "binds" else fired_mm)
    elif readings[0].size or readings[1].size:
        verdict = _size_verdict(tried, readings[1], across[1], outside_to_mm)
    else:
        verdict = _verdict(tried, (readings[0].weight, readings[1].weight), across, now_mm, trim_to_mm)
    doubt, trimming_mm = _Doubt(tried, inside_now, outside_now, thrown_deviation_mm), fit.outside.spreads.trimming_mm
    if measured_mm is None:
        deviation_mm = doubt.of_size(0.0 if verdict.action in ("leave", "start again") else trimming_mm)
    else:
        left_mm = trimming_mm if verdict.action == "trim to" else measured_deviation_mm
        deviation_mm = doubt.of_play(opening_mm - now_mm, left_mm)
    return Match(
        inside=inside_now,
        outside=outside_now,
        now_mm=now_mm,
        dry_mm=tried.inside.diameter_mm("dry") - outside_dry_mm,
        fired_mm=fired_mm,
        state=state,
        trim_to_mm=trim_to_mm if trim_to_mm >= 0.0 else None,
        trim_outside_to_mm=outside_to_mm,
        fired_plus_minus_mm=deviation_mm,
        waited_plus_minus_mm=doubt.of_play(opening_mm - now_mm, trimming_mm),
        verdict=verdict,
    )


def _readings(read: Weighing | Readings) -> Readings:
    return Readings(weight=read) if isinstance(read, Weighing) else read


@frozen
class _Doubt:
    """How far the fired clearance of a pair is off, one standard deviation, mm."""

    fit: Fit
    inside: PartNow
    outside: PartNow
    thrown_deviation_mm: float  # of the opening as it was thrown

    def of_size(self, trimming_mm: float) -> float:
        """Where the outside is trimmed to a size: the opening as thrown, and how dry the outside is taken to be."""
        body, goal_mm = self.fit.outside.body, _goal_mm(self.fit)
        across = 1.0 - self.outside.shrunk_share
        return hypot(
            self.thrown_deviation_mm * self.fit.inside.body.across("fired"),
            goal_mm * self.outside.shrunk_plus_minus / across,
            trimming_mm * body.across("fired") / across,
            *self._to_come_mm(goal_mm / body.across("fired")),
        )

    def of_play(self, outside_mm: float, play_mm: float) -> float:
        """Where a play is left, or was measured: how dry both are taken to be."""
        body = self.fit.outside.body
        across = 1.0 - self.inside.shrunk_share, 1.0 - self.outside.shrunk_share
        later = body.across("fired") / across[1]
        return hypot(
            self.fit.inside.diameter_mm("fired") * self.inside.shrunk_plus_minus / across[0],
            outside_mm * later * self.outside.shrunk_plus_minus / across[1],
            play_mm * later,
            *self._to_come_mm(outside_mm / across[1]),
        )

    def _to_come_mm(self, outside_wet_mm: float) -> tuple[float, float]:
        """What each piece's own shrinkage adds: how far it has shrunk is known, how far it will is not."""
        found = []
        for side, now, wet_mm in (
            (self.fit.inside, self.inside, self.fit.inside.wet_mm),
            (self.fit.outside, self.outside, outside_wet_mm),
        ):
            spreads = side.spreads
            if spreads.drying_share is None and spreads.firing_share is None:
                found.append(wet_mm * spreads.shrinkage_share)
                continue
            drying = side.body.shrinkage_share("dry") - side.body.shrinkage_share("leather-hard")
            left = side.body.shrinkage_share("dry") - now.shrunk_share
            part = min(1.0, left / drying) if drying > 0.0 else 1.0
            found.append(wet_mm * hypot((spreads.drying_share or 0.0) * part, spreads.firing_share or 0.0))
        return found[0], found[1]


def _size_verdict(fit: Fit, outside: Readings, across: float, outside_to_mm: float) -> Verdict:
    """Trim to the size that comes out at the aim; or, where what goes in is smaller than that already, leave it."""
    size = outside.size
    if size is None or size.now_mm >= outside_to_mm - DUST_MM:
        return Verdict("trim", fired_mm=at_fired_mm(fit, fit.aim_mm))
    fired_mm = _room_mm(fit) - size.now_mm * fit.outside.body.across("fired") / across
    return Verdict("start again" if fit_state(fit, fired_mm) == "rattles" else "leave", fired_mm=fired_mm)


def first_leather_hard(fit: Fit, side: str, read: Readings, action: str) -> Verdict:
    """What to do first where a piece is too soft to trim, or has done shrinking: bring it to leather-hard.

    Args:
        fit: the fit.
        side: inside or outside.
        read: what was read of it.
        action: `wait` for what is soft, `damp` for what is dry; trimming dry clay raises silica dust.
    Returns: the verdict; what goes in is then trimmed to its size.
    Source: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4)
    >>> told = first_leather_hard(fit, "outside", Readings(Weighing(160.0, 126.0)), "damp")
    >>> told.action, told.part, round(told.until_g)
    ('damp', 'outside', 153)
    """
    body = (fit.inside if side == "inside" else fit.outside).body
    share = body.mass_share("leather-hard")
    until_g = share * read.weight.thrown_g if read.weight else None
    return Verdict(action, side, until_g, share, body.shrinkage_share("leather-hard"), at_fired_mm(fit, fit.aim_mm))


def match_table(
    fit: Fit, inside_shares: Sequence[float], outside_shares: Sequence[float]
) -> tuple[tuple[Cell, ...], ...]:
    """Fired clearance for each pair of dryness, the leather-hard clearance left at the trying.

    Args:
        fit: the fit.
        inside_shares: weights over thrown weights of the inside; the columns.
        outside_shares: the same of the outside; the rows.
    Returns: rows of cells.
    Raises: ValueError, a share over 1 or below bone dry.
    Source: worked: `left_fired_mm` for each pair, the shrinkages so far from the shares (`moisture`).
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import with_aim
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 1.2)
    >>> shares = trial_shares(clay, 3)
    >>> [[cell.state for cell in row] for row in match_table(fit, shares, shares)]
    [['ok', 'rattles', 'rattles'], ['binds', 'ok', 'rattles'], ['binds', 'binds', 'ok']]
    """
    leave_mm = clearance_mm(fit, "leather-hard")
    columns = [(share, 1.0 - shrinkage_at_mass_share(fit.inside.body, share)) for share in inside_shares]
    rows = []
    for share in outside_shares:
        across = 1.0 - shrinkage_at_mass_share(fit.outside.body, share)
        row = []
        for inside_share, inside_across in columns:
            fired_mm = left_fired_mm(fit, inside_across, across, leave_mm)
            row.append(Cell(inside_share, share, fired_mm, fit_state(fit, fired_mm)))
        rows.append(tuple(row))
    return tuple(rows)


def trial_shares(body: Body, count: int = 7) -> tuple[float, ...]:
    """Shares of the thrown weight for a match table: leather-hard in the middle, wetter
    before it, and after it drier until shrinking stops.

    Args:
        body: the clay.
        count: how many, odd, 3 or more.
    Returns: shares, falling.
    Raises: ValueError, a count that has no middle.
    Source: worked: even steps from the weight as thrown to leather-hard, and from there to the weight at which shrinking stops.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> [round(share, 3) for share in trial_shares(clay, 5)]
    [0.985, 0.97, 0.955, 0.934, 0.912]
    """
    if count < 3 or count % 2 == 0:
        raise ValueError(f"a table needs an odd count of 3 or more, not {count}")
    half = count // 2
    middle = body.mass_share("leather-hard")
    stop = mass_share_at_volume_scale(body, body.volume_scale("dry"))
    wetter = (middle + (1.0 - middle) * place / (half + 1) for place in range(half, 0, -1))
    drier = (middle + (stop - middle) * place / half for place in range(1, half + 1))
    return (*wetter, middle, *drier)


def match_water(fit: Fit, inside_water_share: float, outside_water_share: float) -> WaterMatch:
    """What a fit becomes with parts thrown from clay with other water, set with the same
    calipers; and, instead, tried on each other at leather-hard.

    Args:
        fit: the fit.
        inside_water_share: water in the inside's clay, share of its wet weight.
        outside_water_share: water in the outside's clay, share of its wet weight.
    Returns: the fit with clays at that water, its clearances and states.
    Raises: ValueError, water out of range or clay that is past leather-hard.
    Source: worked: both clays at their water (`moisture.body_at_water`), then the fit as `fits` works it out.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import with_aim
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.2, 0.5, 2.4), 1.2)
    >>> found = match_water(fit, 0.215, 0.23)
    >>> round(found.clearance_mm[-1], 2), found.state, round(found.tried_fired_mm, 2)
    (2.26, 'ok', 1.2)
    """
    wetter = replace(
        fit,
        inside=_at_water(fit.inside, inside_water_share),
        outside=_at_water(fit.outside, outside_water_share),
    )
    clearances = tuple(clearance_mm(wetter, stage) for stage in STAGES)
    tried_mm = left_fired_mm(
        wetter,
        wetter.inside.body.across("leather-hard"),
        wetter.outside.body.across("leather-hard"),
        clearance_mm(fit, "leather-hard"),
    )
    # the limits stay those that the maker gave for the clay as it is
    return WaterMatch(wetter, clearances, fit_state(fit, clearances[-1]), tried_mm, fit_state(fit, tried_mm))


def _at_water(side: Side, water_share: float) -> Side:
    return replace(side, body=body_at_water(side.body, water_share))


def _room_mm(fit: Fit) -> float:
    """What the fired opening leaves for the outside and the clearance."""
    return fit.inside.diameter_mm("fired") - film_loss_mm(fit.films_mm)


def _goal_mm(fit: Fit) -> float:
    """Fired outside diameter that leaves the aim."""
    return _room_mm(fit) - at_fired_mm(fit, fit.aim_mm)


def _verdict(
    fit: Fit,
    weighings: tuple[Weighing | None, Weighing | None],
    across: tuple[float, float],
    now_mm: float,
    trim_to_mm: float,
) -> Verdict:
    """Trim now; or the wetter part waits; or, where waiting can't do it, the drier is damped."""
    fired_mm = left_fired_mm(fit, *across, now_mm)
    state = fit_state(fit, fired_mm)
    if state == "ok":
        return Verdict("trim", fired_mm=fired_mm)
    inside_body, outside_body = fit.inside.body, fit.outside.body
    later = outside_body.across("fired")
    # where each part would have to be for the aim, the other as it is now
    wanted = (
        (_goal_mm(fit) * across[1] / later + now_mm) / fit.inside.wet_mm,
        (fit.inside.wet_mm * across[0] - now_mm) * later / _goal_mm(fit),
    )
    wetter = 0 if state == "binds" else 1
    for action, place in (("wait", wetter), ("damp", 1 - wetter)):
        body = (inside_body, outside_body)[place]
        # a part shrinks no further than dry, and is damped no softer than leather-hard
        end = body.across("dry") if action == "wait" else max(across[place], body.across("leather-hard"))
        there = max(end, wanted[place]) if action == "wait" else min(end, wanted[place])
        pair = (there, across[1]) if place == 0 else (across[0], there)
        fired_then_mm = left_fired_mm(fit, *pair, now_mm)
        if fit_state(fit, fired_then_mm) == "ok":
            share = mass_share_at_shrinkage(body, 1.0 - there)
            weighing = weighings[place]
            until_g = None if weighing is None else share * weighing.thrown_g
            return Verdict(action, ("inside", "outside")[place], until_g, share, 1.0 - there, fired_then_mm)
    if trim_to_mm >= 0.0:
        return Verdict("trim to", fired_mm=at_fired_mm(fit, fit.aim_mm))
    return Verdict("start again")
