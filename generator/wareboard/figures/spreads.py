"""How far pieces lie apart, as a form, its studio and its clay's bars say; and by what tools a size is set."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from wareboard.pot import fits
from wareboard.pot.budgets import USUAL_WEIGHT_SHARE, Tool
from wareboard.pot.clay import Body
from wareboard.text.kinds import Size
from wareboard.text.specs import Form, Spreads, Studio

NEEDED = ("calipers", "trimming", "out_of_round", "shrinkage")


def spread_of(form: Form, studio: Studio, name: str) -> Size | None:
    """One of the spreads: a form's own before the studio's; None where nobody gave it."""
    for spreads in (form.spreads, studio.spreads):
        size = getattr(spreads, name) if isinstance(spreads, Spreads) else None
        if isinstance(size, Size):
            return size
    return None


def spreads_of(form: Form, studio: Studio, body: Body) -> tuple[fits.Spreads, frozenset[str]]:
    """A form's spreads, before the studio's, before the clay's bars; and the names of those that nobody gave."""
    found = {name: size.value for name in NEEDED if (size := spread_of(form, studio, name))}
    freedoms = inf
    deviation = body.deviation[-1]
    if "shrinkage" not in found and deviation is not None:
        found["shrinkage"], freedoms = deviation, body.bars_count[-1] - 1.0
    drying, firing = (spread_of(form, studio, name) for name in ("drying", "firing"))
    known = fits.Spreads(
        found.get("calipers", 0.0), found.get("trimming", 0.0), found.get("out_of_round", 0.0), found.get("shrinkage", 0.0),
        drying.value if drying else None, firing.value if firing else None, freedoms,
    )  # fmt: skip
    return known, frozenset(NEEDED) - found.keys()


def weight_share(form: Form, studio: Studio) -> float:
    """By how much thrown weights differ, one standard deviation: the studio's figure, else common practice."""
    typed = spread_of(form, studio, "weight")
    return typed.value if typed else USUAL_WEIGHT_SHARE


def tools_of(form: Form, studio: Studio, part: str, caliper: str) -> tuple[Tool, ...]:
    """What sets a size that is named under `calipers`, of those whose spread is known.

    What goes into a fit is turned, and where each is tried on its own it follows the calipers of its opening too. An
    outside that trimming takes something off is turned; everything else is set with calipers when it is thrown.
    """
    names: list[str] = []
    for fit in form.fits.values():
        if fit.outside.form in (None, form.slug) and (fit.outside.part, fit.outside.caliper) == (part, caliper):
            names = ["trimming"] if str(fit.pairing or "own") == "any" else ["trimming", "calipers"]
    if not names:
        spec = form.parts[part]
        left = spec.throwing.left_on if spec.throwing else None
        turned = spec.calipers[caliper].side == "outside" and left is not None and left.wall
        names = ["trimming" if turned else "calipers"]
    return tuple(_tools(form, studio, names))


def _tools(form: Form, studio: Studio, names: list[str]) -> Iterator[Tool]:
    for name in names:
        typed = spread_of(form, studio, name)
        if typed and typed.value:
            yield Tool(name, "leather-hard" if name == "trimming" else "wet", typed.value)
