"""The dryness match of a form's fit: who the two are, what comes of trying them now, the table for page and card.

Pure: sheets in, small records out. `match_text` says them in words, `match_command` asks for them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite

from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.pot import answers, fits, match, moisture, turning
from wareboard.pot.clay import Body
from wareboard.pot.frozen import frozen
from wareboard.pot.match import Cell, WaterMatch
from wareboard.pot.stages import STAGES
from wareboard.text.languages import _, later
from wareboard.text.phrases import PartSize
from wareboard.text.quantities import METRIC
from wareboard.text.units import INCH_MM

JSON_FORMAT = 1
SIDES = ("inside", "outside")


@frozen
class Piece:
    """One side of a fit: what it is called, what it weighs as thrown by the sheet (None where that sheet is not at
    hand), and the size that it goes by, as thrown."""

    side: str
    name: str  # as it is typed: `jar`, or `tall-beaker/cup` of another form
    said: str  # as it is printed: `jar`, or `cup (Tall beaker)` of another form
    form: str
    part: str
    plain: bool  # whether the part's name alone tells it from the other
    body: Body
    thrown_g: float | None
    size_name: str  # among its calipers: `flange`
    thrown_mm: float

    @property
    def size_names(self) -> tuple[str, ...]:
        """What a maker may call the size that it goes by."""
        return tuple(f"{name}.{self.size_name}" for name in self.names)

    @property
    def names(self) -> tuple[str, ...]:
        """What a maker may call it, the shortest first."""
        full = f"{self.form}/{self.part}"
        return tuple(dict.fromkeys((self.name, self.part, full) if self.plain else (self.name, full)))

    def leather_hard_g(self, thrown_g: float) -> float:
        """What it weighs leather-hard, before trimming, g."""
        return thrown_g * self.body.mass_share("leather-hard")


def part_said(sheet: Sheet, size: PartSize) -> str:
    """What the part of a fit's size is called in print: `jar`, or `cup (Tall beaker)` of another form."""
    whose = sheet.form_said(size.form)
    return _("{part} ({form})").format(part=size.part, form=whose) if whose else str(size.part)


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
        # an opening is thrown to the calipers, what goes in with what trimming takes off
        as_thrown = sheet.value(f"fit.{fit_name}.{'calipers' if side == 'inside' else 'outside.thrown'}", "wet")
        pieces.append(
            Piece(
                side, name, side if twins else part_said(sheet, size), str(slug), str(size.part), plain, body, thrown.value if thrown else None,
                str(size.caliper), as_thrown,
            )
        )  # fmt: skip
    return pieces[0], pieces[1]


# ---- the table ----


@frozen
class Dryness:
    """How dry a piece is: its share of the weight as thrown, and that weight for the sheet's own piece."""

    share_of_thrown: float
    mass_g: float | None


@frozen
class TableRow:
    """One dryness of what goes in, and the fired clearance with each dryness of the opening."""

    dryness: Dryness
    cells: tuple[Cell, ...]


@frozen
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
    Source: worked: weights to shrinkage so far (`moisture`), then `match.match_table`.
    """
    record = sheet.fits[fit_name]
    pieces = pieces_of(sheet, fit_name, others)
    drynesses = [tuple(_dryness(piece, share) for share in match.trial_shares(piece.body, count)) for piece in pieces]
    shares = [[dryness.share_of_thrown for dryness in line] for line in drynesses]
    cells = match.match_table(record, *shares)
    least, most = fired_limits_mm(record)
    leave = fits.clearance_mm(record, "leather-hard")
    rows = tuple(TableRow(dryness, row) for dryness, row in zip(drynesses[1], cells))
    inside, outside = (piece.said for piece in pieces)
    return MatchTable(
        fit_name, inside, outside, leave, fits.at_fired_mm(record, record.aim_mm), least, most,
        drynesses[0], rows, _sentence(cells, inside, outside, said(reader, leave, "mm")),
    )  # fmt: skip


def _dryness(piece: Piece, share: float) -> Dryness:
    return Dryness(share, None if piece.thrown_g is None else piece.thrown_g * share)


def _sentence(cells: Sequence[Sequence[Cell]], inside: str, outside: str, leave: str) -> str:
    """What the table tells, for whoever can't see it."""
    states = [cell.state for row in cells for cell in row]
    wetter_outside, drier_outside = cells[0][-1], cells[-1][0]
    told = [
        _("Weigh both before trimming, then leave {leave} of clearance; each cell is the clearance when fired.").format(
            leave=leave
        )
    ]
    told.append(_("{count} of these {all} pairs come out right.").format(count=states.count("ok"), all=len(states)))
    if wetter_outside.state != "ok":
        told.append(
            _("A {outside} much wetter than its {inside} {state}.").format(
                outside=outside, inside=inside, state=_(wetter_outside.state)
            )
        )
    if drier_outside.state != "ok":
        told.append(
            _("A {outside} much drier than its {inside} {state}.").format(
                outside=outside, inside=inside, state=_(drier_outside.state)
            )
        )
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


@frozen
class TurnTable:
    """What the outside of a fit is turned to, by what calipers read on it now: for page, trimming card and template.

    Lengths in mm; `thrown_mm` the outside as thrown, `turns` rows in whole steps of the ruler, the wettest first.
    """

    fit: str
    outside: str
    size_name: str
    thrown_mm: float
    turns: tuple[turning.Turn, ...]

    @property
    def stretch(self) -> float:
        """Length on the strip for each mm that is turned to: as thrown over what is left of it."""
        first = self.turns[0]
        return first.now_mm / first.to_mm


def turn_table_of(sheet: Sheet, fit_name: str, reader: Reader, most: int = 9) -> TurnTable:
    """The table that stands beside the strip: flange read now, flange to turn to.

    Args:
        sheet: the form's sheet.
        fit_name: one of its fits.
        reader: the studio's ruler.
        most: rows, at most.
    Raises: KeyError, no such fit.
    Source: worked; see `turning`.
    """
    outside = pieces_of(sheet, fit_name)[1]
    fit = sheet.fits[fit_name]
    if fit.pairing == "own":  # a play is set, not a size: what is aimed at, as two pieces that are tried are told
        fit = fits.with_aim(replace(fit, follows="outside"), fit.aim_mm)
    rows = turning.turns(fit, outside.thrown_mm, ruler_step_mm(reader), most)
    return TurnTable(fit_name, outside.said, outside.size_name, outside.thrown_mm, rows)


def set_mm(size_mm: float, reader: Reader) -> float:
    """A size to turn to, up to the ruler's step: what is too large can still be trimmed.

    >>> set_mm(83.4, Reader())
    83.5
    """
    return answers.rounded_up_mm(size_mm, ruler_step_mm(reader))


def ruler_step_mm(reader: Reader) -> float:
    """The step of the ruler in the system that the studio reads first, mm."""
    return reader.steps.ruler_mm if reader.systems[0] == METRIC else reader.steps.inch_in * INCH_MM


# ---- clay with other water ----


@frozen
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
    later("the clay is saturated: no air in it, none taken up"),
    later("each gram of water that goes takes 1 cm³ with it"),
    later("shrinking stops at the critical water; from there only weight goes"),
    later("fired, a gram of dry clay takes up the same room whatever water it was thrown with"),
)
LEAVES_OUT = (
    later("clay that dries unevenly, such as a rim ahead of its foot"),
    later("warping, and clay that remembers how it was thrown"),
    later("what differs from piece to piece and from lot to lot"),
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
    Source: worked: `match.match_water`.
    """
    record = sheet.fits[fit_name]
    return WaterReport(sheet, fit_name, record, pieces, water_shares, match.match_water(record, *water_shares))


def check_water(piece: Piece, water_share: float) -> None:
    """Raises ValueError, a water at which this piece's clay could not be thrown."""
    moisture.body_at_water(piece.body, water_share)
