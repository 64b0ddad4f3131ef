"""What rests on what in a form's fits: the two sections at each stage, and the figures of the seat."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from functools import partial
from math import hypot
from typing import cast

from wareboard.figures.figure import Ledger, Told, place
from wareboard.figures.resolve import FitSide, ResolvedFit
from wareboard.figures.shapes import Shape, shrinkage_names
from wareboard.figures.shaping import Shaper
from wareboard.pot import fits
from wareboard.pot.frozen import frozen
from wareboard.pot.outlines import shrunk
from wareboard.pot.seats import (
    Facing,
    Seat,
    facing,
    falls_share,
    proud_mm,
    pushed_mm,
    seats_of,
)
from wareboard.pot.stages import STAGES
from wareboard.text.formulas import Formula
from wareboard.text.languages import later
from wareboard.text.problems import Impossible


@frozen
class Pair:
    """Two parts that go together: which of them rests on the other, and how, at each stage. `own` parts are both of one form."""

    lower: Shape
    upper: Shape
    lower_is_inside: bool
    lower_film_mm: float
    upper_film_mm: float
    fit: fits.Fit
    own: bool
    seats: Mapping[str, Seat]
    _facings: dict[str, Facing] = field(default_factory=dict, repr=False, compare=False)

    @property
    def covers(self) -> bool:
        """Whether the upper part is a lid or a cover."""
        return self.upper.opens_down

    def shrinks_alike(self, stage: str) -> bool:
        """Whether all that differs from the wet pair is that both of one clay have shrunk; glaze comes on when they are fired."""
        return self.lower.body == self.upper.body and not (
            stage == "fired" and (self.lower_film_mm or self.upper_film_mm)
        )

    def facing(self, stage: str) -> Facing:
        """The faces that the two turn to each other at a stage, with glaze on the glazed ones once they are fired."""
        if stage not in self._facings:
            if stage != "wet" and self.shrinks_alike(stage):
                body = self.lower.body
                found = self.facing("wet").scaled(body.across(stage), body.up(stage))
            else:
                films = (self.lower_film_mm, self.upper_film_mm) if stage == "fired" else (0.0, 0.0)
                lower, upper = (shrunk(shape.used_ring, *shape.scale(stage)) for shape in (self.lower, self.upper))
                found = facing(lower, upper, films)
            self._facings[stage] = found
        return self._facings[stage]

    def pushed_mm(self, stage: str) -> float:
        """What bears at a stage with the gap all on one side."""
        return pushed_mm(self.facing(stage), self.seats[stage], fits.clearance_mm(self.fit, stage) / 2.0)


def pair_of(fit: ResolvedFit, record: fits.Fit, shaper: Shaper) -> Pair | None:
    """How a fit's two parts rest on each other; None where one of them can't be built, or they share no radius.

    The upper one is the lid or cover where the opening is a cover's, else what goes in.
    """
    try:
        shapes = [shaper.shape(side.owner, side.size.part) for side in fit.sides]
    except Impossible:
        return None
    glazed = fit.spec.glazed or "none"
    films = [side.film_mm if glazed in (way, "both") else 0.0 for way, side in zip(("inside", "outside"), fit.sides)]
    inside_below = not shapes[0].opens_down
    order = (0, 1) if inside_below else (1, 0)
    lower, upper = (shapes[at] for at in order)
    own = all(side.own for side in fit.sides)
    seats: dict[str, Seat] = {}
    pair = Pair(lower, upper, inside_below, films[order[0]], films[order[1]], record, own, seats)
    seats |= _seats(pair)
    return pair if len(seats) == len(STAGES) else None


def _seats(pair: Pair) -> dict[str, Seat]:
    """The seat at each stage."""
    alike, body = [stage for stage in STAGES if stage == "wet" or pair.shrinks_alike(stage)], pair.lower.body
    seats = dict(zip(alike, _seats_of(pair, "wet", [(body.across(stage), body.up(stage)) for stage in alike])))
    for stage in STAGES:
        if stage not in alike:
            seats |= zip([stage], _seats_of(pair, stage, [(1.0, 1.0)]))
    return seats


def _seats_of(pair: Pair, stage: str, shrunk: list[tuple[float, float]]) -> list[Seat]:
    radius = pair.fit.outside.diameter_mm(stage) / 2.0 + (pair.upper_film_mm if stage == "fired" else 0.0)
    brim = pair.lower.used_span_mm[1] * pair.lower.scale(stage)[1] if pair.covers else None
    return seats_of(
        pair.facing(stage),
        fit_radius_mm=radius,
        upper_goes_in=pair.lower_is_inside,
        brim_mm=brim,
        top_mm=pair.upper.used_span_mm[1] * pair.upper.scale(stage)[1],
        shrunk=shrunk,
    )


PUSHED = Formula("seat_mm - gap_mm")


def write_seat(ledger: Ledger, fit: ResolvedFit, pair: Pair | None) -> None:
    """Write the figures of what rests on what in a fit."""
    if pair is None:
        return
    key, seats = f"fit.{fit.name}", [pair.seats[stage] for stage in STAGES]

    def told(name: str, values: Sequence[float | None], how_of: Callable[[float], str], stage: str) -> Told:
        value = cast(float, values[STAGES.index(stage)])  # asked where there is one
        how = how_of(value)
        put_in = {"lower": pair.lower.name, "upper": pair.upper.name}
        if stage == "wet":
            return Told(value, how, _sections(pair, fit), put_in)
        since = [*shrinkage_names(pair.lower, stage), *(_film_places(fit) if stage == "fired" else ())]
        return Told(value, how, [f"{key}.{name} wet", *since], put_in)

    under = (
        later("under the lowest point of what goes in")
        if pair.lower_is_inside
        else later("over the highest point of what goes in")
    )
    widths, rooms = [seat.width_mm for seat in seats], [seat.room_mm for seat in seats]
    stands = [stands_mm(pair, stage) for stage in STAGES]
    ledger.put(f"{key}.seat", widths, partial(told, "seat", widths, lambda width: RESTS if width else NOTHING_STOPS))
    ledger.put(f"{key}.room", rooms, partial(told, "room", rooms, lambda _room: under))
    ledger.put(f"{key}.stands", stands, partial(told, "stands", stands, lambda _height: STANDS))
    _write_fired(ledger, fit, key, pair)


def _sections(pair: Pair, fit: ResolvedFit) -> list[str]:
    """What a seat follows from as thrown: both sections, and the fit's two diameters."""
    sections = [name for shape, side in _shapes(pair, fit) for name in _section_of(shape, side)]
    return [*sections, *shrinkage_names(pair.lower), f"fit.{fit.name}.inside wet", f"fit.{fit.name}.outside wet"]


RESTS = later("{upper} let down on {lower}, centred: the ring in which the faces are within 0.5 mm")
NOTHING_STOPS = later("nothing stops {upper} on its way into {lower}")
STANDS = later("from what {lower} stands on to the top of {upper}")


def _film_places(fit: ResolvedFit) -> list[str]:
    films = [side.glaze.film for side in fit.sides if side.glaze and side.glaze.film]
    return [place(size.at) for size in (fit.spec.glazed, *films) if size] if any(fit.films_mm) else []


def stands_mm(pair: Pair, stage: str) -> float:
    """Height of the two set together at a stage, mm."""
    (low, high), (under, top) = (
        [end * shape.scale(stage)[1] for end in shape.used_span_mm] for shape in (pair.lower, pair.upper)
    )
    rest = pair.seats[stage].rest_mm
    return max(high, top + rest) - min(low, under + rest)


def _shapes(pair: Pair, fit: ResolvedFit) -> tuple[tuple[Shape, FitSide], tuple[Shape, FitSide]]:
    sides = fit.sides if pair.lower_is_inside else (fit.sides[1], fit.sides[0])
    return (pair.lower, sides[0]), (pair.upper, sides[1])


def _section_of(shape: Shape, side: FitSide) -> Sequence[str]:
    """What a part's section follows from; of another form's part, where it is written."""
    return shape.section_names if side.own else [place(shape.part.at)]


def _write_fired(ledger: Ledger, fit: ResolvedFit, key: str, pair: Pair) -> None:
    seat, record = pair.seats["fired"], pair.fit
    gap, pushed = fits.clearance_mm(record, "fired") / 2.0, pair.pushed_mm("fired")

    def pushed_told(_at: str) -> Told:
        inputs = [f"{key}.seat fired", f"{key}.gap fired"]
        if abs(pushed - (seat.width_mm - gap)) < 1e-6:
            return Told(pushed, PUSHED, inputs, {"seat_mm": seat.width_mm, "gap_mm": gap})
        how = (
            later("steep faces wedge, so that nothing slides")
            if seat.wedged
            else later("what still bears with the gap {gap_mm} all on one side")
        )
        return Told(pushed, how, [*inputs, *_sections(pair, fit)], {"gap_mm": gap})

    ledger.put(f"{key}.seat.pushed", (pushed,), pushed_told)
    rings = [shrunk(shape.used_ring, *shape.scale("fired")) for shape in (pair.lower, pair.upper)]
    proud = proud_mm(rings[0], rings[1], seat.rest_mm, seat.joint_mm)

    def level_told(_at: str) -> Told:
        beside = later("the outside of {upper} at its widest near the joint less that of {lower}")
        return Told(proud, beside, _sections(pair, fit), {"upper": pair.upper.name, "lower": pair.lower.name})

    ledger.put(f"{key}.level", (proud,), level_told)
    if fit.needed_spreads & fit.unknown_spreads:
        return
    spread_mm = ledger.value(f"{key}.spread", "fired")
    spreads = bearing_spreads_mm(record, seat)
    share = falls_share(pushed, spread_mm, spreads) if not seat.wedged else 0.0
    ledger.write(
        f"{key}.falls", "fired", share * 100.0,
        "share of a normal spread of {sigma_mm} about {pushed_mm} that lies under 0; half the root of the sum of squares of the clearance's spread and those of the bearing diameters",
        [f"{key}.seat.pushed fired", f"{key}.spread fired"],
        {"sigma_mm": 0.5 * hypot(spread_mm, *spreads), "pushed_mm": pushed},
    )  # fmt: skip


def bearing_spreads_mm(record: fits.Fit, seat: Seat) -> tuple[float, float]:
    """One standard deviation of either bearing diameter, fired: as it was set, and as it shrank.

    What is given is set with calipers at the wheel, what follows is trimmed.
    """
    found = []
    for way, side, radius in (("inside", record.inside, seat.inner_mm), ("outside", record.outside, seat.outer_mm)):
        across = side.body.across("fired")
        trimmed = record.follows == way
        set_mm = side.spreads.trimming_mm / side.body.across("leather-hard") if trimmed else side.spreads.calipers_mm
        found.append(hypot(set_mm * across, side.spreads.shrinkage_share * 2.0 * radius / across))
    return found[0], found[1]
