"""The dryness match of a form's fit: who the two are, what comes of trying them now, the table for page and card.

Pure: sheets in, small records out. `match_text` says them in words, `match_command` asks for them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot import fits, match, moisture
from wareboard.pot.clay import Body
from wareboard.pot.match import Cell, Match, WaterMatch, Weighing
from wareboard.pot.stages import STAGES
from wareboard.text.phrases import PartSize

JSON_FORMAT = 1
SIDES = ("inside", "outside")
THROWN_DOUBT_SHARE = 0.01  # what a ball weighed with care may still be off, common practice
SOFT_SHARE = 0.5  # of the shrinkage to leather-hard; less, and a piece is too soft to trim


@dataclass(frozen=True, slots=True)
class Piece:
    """One side of a fit: what it is called, and what it weighs as thrown by the sheet (None where
    that sheet is not at hand)."""

    side: str
    name: str  # as it is printed: `jar`, or `tall-beaker/cup` of another form
    form: str
    part: str
    plain: bool  # whether the part's name alone tells it from the other
    body: Body
    thrown_g: float | None

    @property
    def names(self) -> tuple[str, ...]:
        """What a maker may call it, the shortest first."""
        full = f"{self.form}/{self.part}"
        return tuple(dict.fromkeys((self.name, self.part, full) if self.plain else (self.name, full)))

    def leather_hard_g(self, thrown_g: float) -> float:
        """What it weighs leather-hard, before trimming, g."""
        return thrown_g * self.body.mass_share("leather-hard")


def pieces_of(sheet: Sheet, fit_name: str, others: Mapping[str, Sheet] | None = None) -> tuple[Piece, Piece]:
    """The two sides of a fit, the opening first.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        others: sheets by slug, where the fit reaches into another form.
    Raises: KeyError, no such fit.
    """
    spec, record = sheet.form.fits[fit_name], sheet.fits[fit_name]
    sizes: tuple[PartSize, PartSize] = spec.inside, spec.outside
    slugs = [size.form or sheet.slug for size in sizes]
    same_part = sizes[0].part == sizes[1].part
    pieces = []
    for side, size, slug, body in zip(SIDES, sizes, slugs, (record.inside.body, record.outside.body)):
        own = size.own
        twins = same_part and slugs[0] == slugs[1]  # a piece that stacks in its like
        plain = not twins and (not same_part or own)
        name = side if twins else str(size.part) if own else f"{slug}/{size.part}"
        holder = sheet if own else (others or {}).get(slug)
        # As thrown: nothing trimmed away yet, and nothing added.
        thrown = holder.find(f"{size.part}.thrown.mass", "wet") if holder else None
        pieces.append(Piece(side, name, str(slug), str(size.part), plain, body, thrown.value if thrown else None))
    return pieces[0], pieces[1]


# ---- the table ----


@dataclass(frozen=True, slots=True)
class Dryness:
    """How dry a piece is: its share of the weight as thrown, and that weight for the sheet's own piece."""

    share_of_thrown: float
    mass_g: float | None


@dataclass(frozen=True, slots=True)
class TableRow:
    """One dryness of what goes in, and the fired clearance with each dryness of the opening."""

    dryness: Dryness
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class MatchTable:
    """The small table of a fit: the opening across, what goes into it down, fired clearance in each cell.

    Lengths in mm, limits at fired; a limit that nobody gave is None. The middle cell has both
    leather-hard. `cell.state` is `binds`, `rattles` or `ok`, a word that print in black can show.
    """

    fit: str
    inside: str
    outside: str
    leave_mm: float
    aim_mm: float
    least_mm: float | None
    most_mm: float | None
    columns: tuple[Dryness, ...]
    rows: tuple[TableRow, ...]
    sentence: str


def match_table_of(
    sheet: Sheet, fit_name: str, reader: Reader, others: Mapping[str, Sheet] | None = None, count: int = 5
) -> MatchTable:
    """The dryness table of a fit, for its page, its trimming card and the terminal.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        reader: says the lengths in the sentence as the studio reads them.
        others: sheets by slug, for the weights where the fit reaches into another form.
        count: columns and rows, odd, 3 or more.
    Raises: KeyError, no such fit; ValueError, a count that has no middle.
    Source: worked; the model of `moisture`.
    """
    record = sheet.fits[fit_name]
    pieces = pieces_of(sheet, fit_name, others)
    drynesses = [tuple(_dryness(piece, share) for share in match.trial_shares(piece.body, count)) for piece in pieces]
    shares = [[dryness.share_of_thrown for dryness in line] for line in drynesses]
    cells = match.match_table(record, *shares)
    least, most = fired_limits_mm(record)
    leave = fits.clearance_mm(record, "leather-hard")
    rows = tuple(TableRow(dryness, row) for dryness, row in zip(drynesses[1], cells))
    inside, outside = (piece.name for piece in pieces)
    return MatchTable(
        fit_name, inside, outside, leave, fits.at_fired_mm(record, record.aim_mm), least, most,
        drynesses[0], rows, _sentence(cells, inside, outside, said(reader, leave, "mm")),
    )  # fmt: skip


def _dryness(piece: Piece, share: float) -> Dryness:
    return Dryness(share, None if piece.thrown_g is None else piece.thrown_g * share)


def _sentence(cells, inside: str, outside: str, leave: str) -> str:
    """What the table tells, for whoever can't see it."""
    states = [cell.state for row in cells for cell in row]
    wetter_outside, drier_outside = cells[0][-1], cells[-1][0]
    told = [f"Weigh both before trimming, then leave {leave} of clearance; each cell is the clearance when fired."]
    told.append(f"{states.count('ok')} of these {len(states)} pairs come out right.")
    if wetter_outside.state != "ok":
        told.append(f"A {outside} much wetter than its {inside} {wetter_outside.state}.")
    if drier_outside.state != "ok":
        told.append(f"A {outside} much drier than its {inside} {drier_outside.state}.")
    return " ".join(told)


def fired_limits_mm(record: fits.Fit) -> tuple[float | None, float | None]:
    """Least and most of a fit carried to fired; None where nobody gave one."""
    limits = (fits.at_fired_mm(record, limit) for limit in (record.least_mm, record.most_mm))
    least, most = (limit if isfinite(limit) else None for limit in limits)
    return least, most


def said(reader: Reader, value: float, unit: str) -> str:
    """A length or a weight in the studio's first system, the other behind it in brackets."""
    amounts = list(dict.fromkeys(map(str, reader.amounts(value, unit, small=True))))
    return amounts[0] + (f" ({amounts[1]})" if len(amounts) > 1 else "")


# ---- two pieces tried on each other ----


@dataclass(frozen=True, slots=True)
class Report:
    """Two pieces weighed now: what is left of the fit, what to do, and how sure that is."""

    sheet: Sheet
    fit_name: str
    record: fits.Fit
    pieces: tuple[Piece, Piece]
    weighings: tuple[Weighing, Weighing]
    from_sheet: tuple[bool, bool]  # whose weight as thrown is the sheet's
    measured: bool
    found: Match
    until: Reading | None
    binds_share: float | None  # of pairs like this one, by the fit's own spread
    loose_share: float | None
    step_worth_mm: tuple[float, float]  # fired clearance that one step of the scale is worth, each part
    thrown_worth_mm: tuple[float, float]  # and a hundredth of its weight as thrown

    @property
    def soft(self) -> tuple[Piece, ...]:
        """Pieces that are too soft to trim."""
        return tuple(
            p for p, now in self._now() if now.shrunk_share < SOFT_SHARE * p.body.shrinkage_share("leather-hard")
        )

    @property
    def stopped(self) -> tuple[Piece, ...]:
        """Pieces that have done shrinking: trimming them raises dust."""
        return tuple(p for p, now in self._now() if now.shrunk_share >= p.body.shrinkage_share("dry") > 0.0)

    def _now(self):
        return zip(self.pieces, (self.found.inside, self.found.outside))

    def as_json(self) -> dict[str, object]:
        """The report as JSON; lengths and weights end in their unit, shares are 0 to 1."""
        found, verdict = self.found, self.found.verdict
        least, most = fired_limits_mm(self.record)
        sides = {}
        for place, (piece, now) in enumerate(self._now()):
            sides[piece.side] = {
                "name": piece.name, "form": piece.form, "part": piece.part,
                "thrown_g": self.weighings[place].thrown_g, "thrown_from": "sheet" if self.from_sheet[place] else "weighed",
                "now_g": self.weighings[place].now_g, "share_of_thrown": now.share_of_thrown,
                "shrunk_share": now.shrunk_share, "to_come_share": now.to_come_share,
                "scale_step_worth_mm": self.step_worth_mm[place], "thrown_1_percent_worth_mm": self.thrown_worth_mm[place],
            }  # fmt: skip
        return {
            "format": JSON_FORMAT, "form": self.sheet.slug, "revision": self.sheet.revision, "fit": self.fit_name,
            "pairing": self.record.pairing, "aim_mm": fits.at_fired_mm(self.record, self.record.aim_mm), "least_mm": least, "most_mm": most,
            **sides,
            "clearance": {"measured": self.measured, "now_mm": found.now_mm, "dry_mm": found.dry_mm, "fired_mm": found.fired_mm},
            "state": found.state, "trim_to_mm": found.trim_to_mm,
            "binds_share": self.binds_share, "loose_share": self.loose_share,
            "verdict": {
                "action": verdict.action, "part": self.named(verdict.part), "until_g": verdict.until_g,
                "until_said_g": self.until.mass_g if self.until else None,
                "until_share_of_thrown": verdict.until_share_of_thrown, "fired_mm": verdict.fired_mm,
            },
        }  # fmt: skip

    def named(self, side: str | None) -> str | None:
        """The name of one side."""
        return self.pieces[SIDES.index(side)].name if side else None


@dataclass(frozen=True, slots=True)
class Reading:
    """A weight to wait for, as it is read off the scale, and the weight that those words come to."""

    words: str
    mass_g: float


def match_report(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], weighings: tuple[Weighing, Weighing], reader: Reader,
    *, from_sheet: tuple[bool, bool] = (True, True), measured_mm: float | None = None,
) -> Report:  # fmt: skip
    """Try two pieces on each other.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        pieces: the two sides, as `pieces_of` has them.
        weighings: weights as thrown and now, g, the opening's first.
        reader: rounds the weight to wait for to the studio's scale.
        from_sheet: whose weight as thrown was not weighed.
        measured_mm: clearance measured now, mm.
    Raises: match.MatchError, a weight or a clearance that can't be.
    Source: worked; see `match`.
    """
    record, step = sheet.fits[fit_name], reader.steps.scale_g

    def tried(inside: Weighing, outside: Weighing) -> Match:
        return match.match_parts(record, inside, outside, measured_mm=measured_mm, step_g=step)

    found = tried(*weighings)

    def worth(place: int, other: Weighing) -> float:
        pair = (other, weighings[1]) if place == 0 else (weighings[0], other)
        return abs(tried(*pair).fired_mm - found.fired_mm)

    steps, doubts = [], []
    for place, weighing in enumerate(weighings):
        steps.append(worth(place, _lighter(weighing, step, pieces[place].body)))
        doubts.append(worth(place, _thrown_otherwise(weighing, pieces[place].body)))
    least, most = fired_limits_mm(record)
    spread = sheet.find(f"fit.{fit_name}.spread", "fired")
    return Report(
        sheet, fit_name, record, pieces, weighings, from_sheet, measured_mm is not None, found,
        _reading(tried, found, weighings, reader),
        None if spread is None or least is None else fits.normal_share_below(least, found.fired_mm, spread.value),
        None if spread is None or most is None else fits.normal_share_below(-most, -found.fired_mm, spread.value),
        (steps[0], steps[1]), (doubts[0], doubts[1]),
    )  # fmt: skip


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


def _reading(tried, found: Match, weighings: tuple[Weighing, Weighing], reader: Reader) -> Reading | None:
    """The weight to wait for, in the scale's own steps where waiting for that still does it, else finer."""
    verdict = found.verdict
    if verdict.until_g is None:
        return None
    place = SIDES.index(verdict.part)
    reading = None
    for step in (reader.steps.scale_g, 1.0, 0.1):
        if step > reader.steps.scale_g:
            continue
        finer = replace(reader, steps=replace(reader.steps, scale_g=step))
        words = said(finer, verdict.until_g, "g")
        mass = finer.rounded_g(verdict.until_g)
        reading = Reading(words, mass)
        pair = list(weighings)
        pair[place] = replace(weighings[place], now_g=mass)
        onward = mass < weighings[place].now_g if verdict.action == "wait" else mass > weighings[place].now_g
        try:
            if onward and tried(*pair).state == "ok":
                return reading
        except match.MatchError:
            continue
    return reading


# ---- clay with other water ----


@dataclass(frozen=True, slots=True)
class WaterReport:
    """What a fit becomes when its parts are thrown from clay with other water."""

    sheet: Sheet
    fit_name: str
    record: fits.Fit
    pieces: tuple[Piece, Piece]
    water_shares: tuple[float, float]
    found: WaterMatch

    def as_json(self) -> dict[str, object]:
        """The report as JSON; lengths end in their unit, shares are 0 to 1."""
        least, most = fired_limits_mm(self.record)
        sides = {
            piece.side: {
                "name": piece.name, "form": piece.form, "part": piece.part, "water_share": share,
                "usual_water_share": piece.body.water_share, "shrinkage_share": dict(zip(STAGES, side.body.shrinkage)),
            }
            for piece, share, side in zip(self.pieces, self.water_shares, (self.found.fit.inside, self.found.fit.outside))
        }  # fmt: skip
        return {
            "format": JSON_FORMAT, "form": self.sheet.slug, "revision": self.sheet.revision, "fit": self.fit_name,
            "aim_mm": fits.at_fired_mm(self.record, self.record.aim_mm), "least_mm": least, "most_mm": most,
            **sides,
            "clearance_mm": dict(zip(STAGES, self.found.clearance_mm)), "state": self.found.state,
            "tried_on": {"fired_mm": self.found.tried_fired_mm, "state": self.found.tried_state},
            "assumes": list(ASSUMES), "leaves_out": list(LEAVES_OUT),
        }  # fmt: skip


ASSUMES = (
    "the clay is saturated: no air in it, none taken up",
    "each gram of water that goes takes 1 cm³ with it",
    "shrinking stops at the critical water; from there only weight goes",
    "fired, a gram of dry clay takes up the same room whatever water it was thrown with",
)
LEAVES_OUT = (
    "clay that dries unevenly, such as a rim ahead of its foot",
    "warping, and clay that remembers how it was thrown",
    "what differs from piece to piece and from lot to lot",
)


def water_report(
    sheet: Sheet, fit_name: str, pieces: tuple[Piece, Piece], water_shares: tuple[float, float]
) -> WaterReport:
    """A fit whose parts are thrown from clay with other water.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        pieces: the two sides, as `pieces_of` has them.
        water_shares: water in each one's clay, share of its wet weight, the opening's first.
    Raises: ValueError, water that can't be; `check_water` tells whose.
    Source: worked; the model of `moisture`.
    """
    record = sheet.fits[fit_name]
    return WaterReport(sheet, fit_name, record, pieces, water_shares, match.match_water(record, *water_shares))


def check_water(piece: Piece, water_share: float) -> None:
    """Raises ValueError, a water at which this piece's clay could not be thrown."""
    moisture.body_at_water(piece.body, water_share)
