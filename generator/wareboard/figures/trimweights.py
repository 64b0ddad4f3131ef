"""Between which weights a piece is trimmed: the pure bounds, and the figures of each part that follow from them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import NamedTuple

from wareboard.figures.figure import Ledger, Once, Told, place
from wareboard.figures.shapes import Shape
from wareboard.pot.answers import SOFT_SHARE
from wareboard.pot.clay import Body
from wareboard.pot.fits import Fit, at_fired_mm, clearance_mm, film_loss_mm
from wareboard.pot.moisture import mass_share_at_shrinkage
from wareboard.text.catalogue import COMMON
from wareboard.text.formulas import Note, noted
from wareboard.text.languages import later
from wareboard.text.specs import Form

COMMON_SHARE = 0.015  # of its leather-hard weight, either way: common practice
OWN_ROOM_SHARE = 0.5  # a pair that is tried on each other shares the room between them


def common_shares(body: Body) -> tuple[float, float]:
    """Shares of its weight as thrown between which a piece trims well, whatever it has to fit.

    m (1 ± 1.5 %), m the share at leather-hard; no softer than half-way to leather-hard, no drier than
    where shrinking stops.

    Args:
        body: the clay.
    Returns: the lighter share, the heavier share.
    Source: common practice.
    >>> from wareboard.pot.clay import make_body
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> [round(share, 4) for share in common_shares(clay)]
    [0.9405, 0.9692]
    """
    middle = body.mass_share("leather-hard")
    return _within_reach(body, middle * (1.0 - COMMON_SHARE), middle * (1.0 + COMMON_SHARE))


def fit_shares(fit: Fit, side: str) -> tuple[float, float] | None:
    """Shares of its weight as thrown between which one side of a fit is trimmed, so that it still fits when fired.

    A piece that is wetter at the trying has more shrinking left. With c the fired clearance,
    R − c = (I a − c_trim) b_fired / b, where R is the opening less glaze, a and b the across-factors now of
    opening and outside: a product, so each of a pair that is tried on each other may use the square root of
    the ratio (R − limit) / (R − c). With pairing `any` the outside is trimmed to a size, and has it all.

    Args:
        fit: the fit with its limits, of clay as on the sheet.
        side: `inside` or `outside`.
    Returns: the lighter share, the heavier share; None where the fit sets no bound: no limits, a clearance
        that is outside them already, or an opening that nothing is tried on.
    Source: worked: the limits to the across-factors that reach them, by the product above; those to weights by `moisture`.
    >>> from wareboard.pot.clay import make_body
    >>> from wareboard.pot.fits import Side, with_aim
    >>> clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12})
    >>> fit = with_aim(Fit(Side(100.0, clay), Side(98.0, clay), 1.4, 0.5, 2.6, pairing="own"), 1.4)
    >>> [round(share, 4) for share in fit_shares(fit, "outside")]
    [0.9476, 0.9648]
    """
    tried = fit.pairing == "own"
    least, most, now = (at_fired_mm(fit, fit.least_mm), at_fired_mm(fit, fit.most_mm), clearance_mm(fit, "fired"))
    if not least <= now <= most or (least, most) == (float("-inf"), float("inf")) or not (tried or side == "outside"):
        return None
    room_mm = fit.inside.diameter_mm("fired") - film_loss_mm(fit.films_mm)
    # How much larger, and how much smaller, what goes in may come out; an opening may hold all but nothing.
    part = OWN_ROOM_SHARE if tried else 1.0
    larger, smaller = (max((room_mm - limit) / (room_mm - now), 1e-9) ** part for limit in (least, most))
    body = getattr(fit, side).body
    across = body.across("leather-hard")
    if side == "outside":  # the wetter it is, the smaller it comes out
        wettest, driest = across / smaller, across / larger
    else:  # the wetter the opening, the larger what was tried on it
        left_mm, outside_mm = clearance_mm(fit, "leather-hard"), fit.outside.diameter_mm("leather-hard")
        wettest, driest = ((left_mm + outside_mm * ratio) / fit.inside.wet_mm for ratio in (larger, smaller))
    shares = _share_at(body, 1.0 - driest), _share_at(body, 1.0 - wettest)
    return min(shares), max(shares)


def _share_at(body: Body, shrunk_share: float) -> float:
    """Share of the weight as thrown at a shrinkage, while it is one at which a piece can be trimmed."""
    soft, dry = SOFT_SHARE * body.shrinkage_share("leather-hard"), body.shrinkage_share("dry")
    return mass_share_at_shrinkage(body, min(max(shrunk_share, soft), dry))


def _within_reach(body: Body, lighter: float, heavier: float) -> tuple[float, float]:
    stopped, soft = _share_at(body, 1.0), _share_at(body, 0.0)
    return max(lighter, stopped), min(heavier, soft)


def write_trim_weights(ledger: Ledger, form: Form, shapes: Mapping[str, Shape], fits: Mapping[str, Fit]) -> None:
    """Write the weights between which each part is trimmed, weighed before anything is taken off."""
    for name, shape in shapes.items():
        bounds = Once(_tightest, form, shape, fits)
        for end in ENDS:
            told = partial(_told, ledger, form, fits, name, end, bounds)
            ledger.put(f"{name}.trim.{end}", partial(_at_bound, ledger, name, end, bounds), told)


ENDS = ("least", "most")


class Bound(NamedTuple):
    """One end of what a piece may weigh: a share of its weight as thrown, and the fit that asks for it; common practice does where none does."""

    share: float
    fit: str = ""


def _tightest(form: Form, shape: Shape, fits: Mapping[str, Fit]) -> dict[str, Bound]:
    """Each end's share, and the fit that asks for it where one is tighter than common practice."""
    least, most = map(Bound, common_shares(shape.body))
    for fit_name, (lighter, heavier) in _bounds_of(form, shape.name, fits):
        least = Bound(lighter, fit_name) if lighter > least.share else least
        most = Bound(heavier, fit_name) if heavier < most.share else most
    return dict(zip(ENDS, (least, most)))


def _at_bound(ledger: Ledger, name: str, end: str, bounds: Callable[[], Mapping[str, Bound]]) -> tuple[float]:
    return (ledger.value(f"{name}.thrown.mass", "wet") * bounds()[end].share,)


def _told(
    ledger: Ledger,
    form: Form,
    fits: Mapping[str, Fit],
    name: str,
    end: str,
    bounds: Callable[[], Mapping[str, Bound]],
    _stage: str,
) -> Told:
    """How one end came about."""
    bound, inputs = bounds()[end], [f"{name}.thrown.mass wet", f"{name}.witness leather-hard"]
    note: str | Note = COMMON_WORDS
    if bound.fit:
        inputs += _fit_inputs(form, bound.fit)
        note = noted(OWN_WORDS if fits[bound.fit].pairing == "own" else ANY_WORDS, fit=bound.fit)
    thrown_g = ledger.value(f"{name}.thrown.mass", "wet")
    put_in = {"as_thrown_g": thrown_g, "left_share": bound.share}
    return Told(thrown_g * bound.share, None, inputs, put_in, note, FIT_BOUND if bound.fit else COMMON)


OWN_WORDS = later("the fit {fit} comes out between its limits, the pair sharing the room")
ANY_WORDS = later("the fit {fit} comes out between its limits")
FIT_BOUND = later("worked: saturated clay, the room to each limit shared by a pair")
COMMON_WORDS = later("1.5 % either way of its leather-hard weight")


def _bounds_of(form: Form, part: str, fits: Mapping[str, Fit]) -> Iterator[tuple[str, tuple[float, float]]]:
    """What each fit that a part belongs to asks of its weight."""
    for fit_name, fit in fits.items():
        for side in ("inside", "outside"):
            size = getattr(form.fits[fit_name], side)
            if size.is_of(part) and (shares := fit_shares(fit, side)):
                yield fit_name, shares


def _fit_inputs(form: Form, fit_name: str) -> list[str]:
    """What a bound that a fit sets was worked out from."""
    names = ("clearance leather-hard", "clearance fired", "inside fired", "outside leather-hard")
    clearance = form.fits[fit_name].clearance
    limits = [place(size.at) for size in (clearance.least, clearance.most) if size]
    return [*(f"fit.{fit_name}.{name}" for name in names), *limits]
