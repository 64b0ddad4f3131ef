"""Two pieces tried on each other: what was read of them, what to set, and how sure that is.

Pure: a sheet and readings in, a small record out. `match_text` says it in words, `match_command` asks for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import floor

from wareboard.figures.matching import JSON_FORMAT, SIDES, Piece, fired_limits_mm, ruler_step_mm, said
from wareboard.figures.resolve import COMMON_SPREADS
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot import answers, fits, match
from wareboard.pot.answers import Turned
from wareboard.pot.budgets import USUAL_WEIGHT_SHARE
from wareboard.pot.clay import Body
from wareboard.pot.frozen import frozen
from wareboard.pot.match import Match, Verdict
from wareboard.pot.moisture import MatchError, PartNow, Readings, Weighing

THROWN_DOUBT_SHARE = 0.01  # what a ball weighed with care may still be off, common practice


@frozen
class Read:
    """What was read of one piece, and whether weight and size as thrown are the sheet's."""

    readings: Readings
    weight_from_sheet: bool = True
    size_from_sheet: bool = True


@frozen
class Set:
    """A size to turn to, as it is set: the number, its words, and the fired clearance that it leaves."""

    size_mm: float
    words: str
    fired_mm: float
    state: str


@frozen
class Until:
    """What to wait for, as it is read: words, and the weight or the size that those words come to."""

    words: str
    mass_g: float | None = None
    size_mm: float | None = None


@frozen
class Report:
    """Two pieces read now: what is left of the fit, what to do, and how sure that is.

    `turn_to` is what the outside is turned to now, where it can be. Of pairs like this one `binds_share` bind and
    `loose_share` rattle where what is said is done: pieces, tools, scale and what was thrown are all in it. What
    a step of the scale and a hundredth of the weight as thrown are worth is None where nothing was weighed.
    """

    sheet: Sheet
    fit_name: str
    record: fits.Fit
    pieces: tuple[Piece, Piece]
    read: tuple[Read, Read]
    measured: bool
    found: Match
    verdict: Verdict
    turn_to: Set | None
    until: Until | None
    binds_share: float | None
    loose_share: float | None
    step_worth_mm: tuple[float | None, float | None]
    thrown_worth_mm: tuple[float | None, float | None]

    @property
    def soft(self) -> tuple[Piece, ...]:
        """Pieces that are too soft to trim."""
        return tuple(piece for piece, now in self.states if answers.is_soft(piece.body, now))

    @property
    def stopped(self) -> tuple[Piece, ...]:
        """Pieces that have done shrinking: trimming them raises dust."""
        return tuple(piece for piece, now in self.states if answers.has_stopped(piece.body, now))

    @property
    def states(self) -> Iterator[tuple[Piece, PartNow]]:
        """Each piece with how dry it is."""
        return zip(self.pieces, (self.found.inside, self.found.outside))

    @property
    def fired_mm(self) -> float:
        """Fired clearance where what is said is done, as it is set: the trimming first, else the verdict."""
        if self.turn_to is not None:
            return self.turn_to.fired_mm
        return self.found.fired_mm if self.verdict.fired_mm is None else self.verdict.fired_mm

    @property
    def fired_plus_minus_mm(self) -> float:
        """One standard deviation of it."""
        waited = self.turn_to is None and self.verdict.action in ("wait", "damp")
        return self.found.waited_plus_minus_mm if waited else self.found.fired_plus_minus_mm

    def as_json(self) -> dict[str, object]:
        """The report as JSON; lengths and weights end in their unit, shares are 0 to 1."""
        found, verdict = self.found, self.verdict
        least, most = fired_limits_mm(self.record)
        sides = {}
        for place, (piece, now) in enumerate(self.states):
            read = self.read[place]
            weight, size = read.readings.weight, read.readings.size
            sides[piece.side] = {
                "name": piece.name, "form": piece.form, "part": piece.part, "by": now.by,
                "thrown_g": weight.thrown_g if weight else None, "thrown_from": "sheet" if read.weight_from_sheet else "weighed",
                "now_g": weight.now_g if weight else None,
                "size": f"{piece.name}.{piece.size_name}", "thrown_mm": size.thrown_mm if size else piece.thrown_mm,
                "thrown_mm_from": "sheet" if read.size_from_sheet else "read", "now_mm": size.now_mm if size else None,
                "share_of_thrown": now.share_of_thrown, "shrunk_share": now.shrunk_share,
                "shrunk_plus_minus": now.shrunk_plus_minus, "to_come_share": now.to_come_share,
                "scale_step_worth_mm": self.step_worth_mm[place], "thrown_1_percent_worth_mm": self.thrown_worth_mm[place],
            }  # fmt: skip
        return {
            "format": JSON_FORMAT, "form": self.sheet.slug, "revision": self.sheet.revision, "fit": self.fit_name,
            "pairing": self.record.pairing, "aim_mm": fits.at_fired_mm(self.record, self.record.aim_mm), "least_mm": least, "most_mm": most,
            **sides,
            "clearance": {"measured": self.measured, "now_mm": found.now_mm, "dry_mm": found.dry_mm, "fired_mm": found.fired_mm},
            "state": found.state, "trim_to_mm": found.trim_to_mm, "trim_outside_to_mm": found.trim_outside_to_mm,
            "trim_outside_said_mm": self.turn_to.size_mm if self.turn_to else None,
            "fired_mm": self.fired_mm, "fired_plus_minus_mm": self.fired_plus_minus_mm,
            "binds_share": self.binds_share, "loose_share": self.loose_share,
            "verdict": {
                "action": verdict.action, "part": self.named(verdict.part), "until_g": verdict.until_g,
                "until_said_g": self.until.mass_g if self.until else None, "until_said_mm": self.until.size_mm if self.until else None,
                "until_share_of_thrown": verdict.until_share_of_thrown, "fired_mm": verdict.fired_mm,
            },
        }  # fmt: skip

    def named(self, side: str | None) -> str | None:
        """The name of one side."""
        return self.pieces[SIDES.index(side)].name if side else None


def with_doubt(sheet: Sheet, fit_name: str, read: Read, place: int, reader: Reader) -> Read:
    """Readings with how far each may be off: half a step of scale and ruler as read; as thrown, where the sheet is
    believed, the studio's calipers and the spread of its thrown weights.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        read: what was read.
        place: 0 for the opening, 1 for what goes in.
        reader: the studio's scale and ruler.
    """
    share = sheet.spreads.weight_share if sheet.spreads else None
    record = sheet.fits[fit_name]
    readings = answers.with_doubt(
        read.readings,
        half_mm=ruler_step_mm(reader) / 2.0,
        half_g=reader.steps.scale_g / 2.0,
        calipers_mm=(record.inside, record.outside)[place].spreads.calipers_mm or COMMON_SPREADS["calipers"],
        weight_share=USUAL_WEIGHT_SHARE if share is None else share,
        size_is_usual=read.size_from_sheet,
        weight_is_usual=read.weight_from_sheet,
    )
    return replace(read, readings=readings)


def match_report(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], read: tuple[Read, Read], reader: Reader,
    *, measured_mm: float | None = None,
) -> Report:  # fmt: skip
    """Try two pieces on each other.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        pieces: the two sides, as `pieces_of` has them.
        read: what was read of each, the opening's first.
        reader: rounds what is set to the studio's tools.
        measured_mm: clearance measured now, mm.
    Raises: MatchError, a reading or a clearance that can't be.
    Source: worked; see `match`.
    """
    record, step_g = sheet.fits[fit_name], reader.steps.scale_g
    read = (with_doubt(sheet, fit_name, read[0], 0, reader), with_doubt(sheet, fit_name, read[1], 1, reader))

    def on_each_other(inside: Readings, outside: Readings) -> Match:
        return match.match_parts(
            record, inside, outside, measured_mm=measured_mm,
            measured_deviation_mm=ruler_step_mm(reader) / 2.0, step_g=step_g,
        )  # fmt: skip

    pair = (read[0].readings, read[1].readings)
    done = answers.try_pair(
        record, *pair, turn_step_mm=ruler_step_mm(reader), step_g=step_g, measured_mm=measured_mm,
        measured_deviation_mm=ruler_step_mm(reader) / 2.0,
    )  # fmt: skip
    found, verdict = done.found, done.verdict
    turn_to = _set(done.turn_to, reader) if done.turn_to else None
    until = _until(on_each_other, found, verdict, pair, pieces, reader)
    worths = [_worths(on_each_other, found, pair, place, step_g, pieces[place].body) for place in (0, 1)]
    report = Report(
        sheet, fit_name, record, pieces, read, measured_mm is not None, found, verdict, turn_to, until, None, None,
        (worths[0][0], worths[1][0]), (worths[0][1], worths[1][1]),
    )  # fmt: skip
    if sheet.find(f"fit.{fit_name}.spread", "fired") is None:
        return report
    least, most = fired_limits_mm(record)
    fired, deviation = report.fired_mm, report.fired_plus_minus_mm
    return replace(
        report,
        binds_share=None if least is None else fits.normal_share_below(least, fired, deviation),
        loose_share=None if most is None else fits.normal_share_below(-most, -fired, deviation),
    )


# ---- what is set ----


def _set(turn_to: Turned, reader: Reader) -> Set:
    """The size to turn to in words, in the studio's systems."""
    words = list(dict.fromkeys(str(amount) for amount in reader.amounts(turn_to.size_mm, "mm", small=turn_to.fine)))
    told = words[0] + (f" ({words[1]})" if len(words) > 1 else "")
    return Set(turn_to.size_mm, told, turn_to.fired_mm, turn_to.state)


def _until(
    on_each_other: Callable[[Readings, Readings], Match], found: Match, verdict: Verdict, pair: tuple[Readings, Readings],
    pieces: tuple[Piece, Piece], reader: Reader,
) -> Until | None:  # fmt: skip
    """What to wait for: a weight, in the scale's own steps where waiting for that still does it, else finer; or, where
    nothing was weighed, a size."""
    if verdict.part is None:
        return None
    place = SIDES.index(verdict.part)
    weight, size = pair[place].weight, pair[place].size
    if verdict.until_g is None or weight is None:
        if size is None or verdict.until_shrunk_share is None:
            return None
        step = ruler_step_mm(reader)
        there = floor(size.thrown_mm * (1.0 - verdict.until_shrunk_share) / step + 0.5) * step
        return Until(str(reader.amounts(there, "mm")[0]), size_mm=there)
    until = None
    for step_g in (reader.steps.scale_g, 1.0, 0.1):
        if step_g > reader.steps.scale_g:
            continue
        finer = replace(reader, steps=reader.steps._replace(scale_g=step_g))
        mass = finer.rounded_g(verdict.until_g)
        until = Until(said(finer, verdict.until_g, "g"), mass)
        moved = replace(pair[place], weight=replace(weight, now_g=mass))
        onward = mass < weight.now_g if verdict.action == "wait" else mass > weight.now_g
        try:
            if onward and on_each_other(*((moved, pair[1]) if place == 0 else (pair[0], moved))).state == "ok":
                return until
        except MatchError:
            continue
    return until


# ---- what a reading is worth ----


def _worths(
    on_each_other: Callable[[Readings, Readings], Match], found: Match, pair: tuple[Readings, Readings], place: int,
    step_g: float, body: Body,
) -> tuple[float | None, float | None]:  # fmt: skip
    """Fired clearance that one step of the scale is worth, and a hundredth of the weight as thrown."""
    weight = pair[place].weight
    if weight is None:
        return None, None

    def worth(other: Weighing) -> float:
        moved = replace(pair[place], weight=other)
        return abs(on_each_other(*((moved, pair[1]) if place == 0 else (pair[0], moved))).fired_mm - found.fired_mm)

    return worth(_lighter(weight, step_g, body)), worth(_thrown_otherwise(weight, body))


def _lighter(weighing: Weighing, step_g: float, body: Body) -> Weighing:
    """A step of the scale lighter, or heavier where that would be lighter than bone dry."""
    lighter = weighing.now_g - step_g
    if lighter < weighing.thrown_g * body.mass_share("dry"):
        lighter = min(weighing.now_g + step_g, weighing.thrown_g)
    return replace(weighing, now_g=lighter)


def _thrown_otherwise(weighing: Weighing, body: Body) -> Weighing:
    """Thrown a hundredth heavier, or lighter where what is left would be lighter than bone dry."""
    heavier = weighing.thrown_g * (1.0 + THROWN_DOUBT_SHARE)
    if weighing.now_g < heavier * body.mass_share("dry"):
        return replace(weighing, thrown_g=weighing.thrown_g * (1.0 - THROWN_DOUBT_SHARE))
    return replace(weighing, thrown_g=heavier)
