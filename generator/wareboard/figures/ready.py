"""When a piece is ready to trim: what its calipers read then, and its weight in grams only where grams can tell."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from wareboard.figures.settings import AT_TRIMMING, CALIPERS, POINTER, THROWN, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader
from wareboard.pot.budgets import USUAL_WEIGHT_SHARE
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import shrinkage_at_mass_share
from wareboard.pot.turning import trim_grams
from wareboard.text.languages import _
from wareboard.text.quantities import IMPERIAL
from wareboard.text.units import unit_factor


@frozen
class Reading:
    """What is read of a piece when it is ready: from `low` to `high`, in mm or g, as they are printed, first system first."""

    name: str
    with_what: str
    low: tuple[Amount, ...]
    high: tuple[Amount, ...]


def ready_readings(sheet: Sheet, part: str, reader: Reader) -> Iterator[Reading]:
    """What tells that a part is ready to trim, calipers first.

    A size that was set at the wheel is read again: it has shrunk by as much as the piece has dried. A piece is
    ready between the shares of its own weight as thrown at which it trims well and still fits. Grams, which hold only
    for a piece that was thrown to the figure, where they would not turn good pieces away.

    Args:
        sheet: the sheet of the pot that is made to its settings.
        part: the part.
        reader: the studio's.
    """
    least, most = (sheet.find(f"{part}.trim.{end}", AT_TRIMMING) for end in ("least", "most"))
    thrown = sheet.find(f"{part}.thrown.mass", "wet")
    if not (least and most and thrown):
        return
    body = sheet.shapes[part].body
    shares = least.value / thrown.value, most.value / thrown.value
    drier, softer = (
        1.0 - shrinkage_at_mass_share(body, min(1.0, max(share, body.mass_share("dry")))) for share in shares
    )
    for name, with_what, size_mm in _set_sizes(sheet, part):
        low, high = (reader.amounts(size_mm * scale, "mm", small=True) for scale in (drier, softer))
        yield Reading(name, with_what, low, high)
    typed = sheet.spreads.weight_share if sheet.spreads else None
    grams = trim_grams(
        thrown.value, *shares, body.mass_share(AT_TRIMMING),
        step_g=_step_g(reader, thrown.value), weight_share=USUAL_WEIGHT_SHARE if typed is None else typed,
    )  # fmt: skip
    if grams.helps:
        spread = str(reader.amounts(grams.spread_g, "g")[0])
        yield Reading(
            _("weight"), _("if thrown to the figure; ± {spread} as thrown weights differ").format(spread=spread),
            reader.amounts(least.value, "g", up=True), reader.amounts(most.value, "g", down=True),
        )  # fmt: skip


def _set_sizes(sheet: Sheet, part: str) -> Iterator[tuple[str, str, float]]:
    """Sizes that a tool set at the wheel: by calipers where there are any, else the rim by the pointer."""
    settings = settings_of(sheet).by_part.get(part, ())
    calipers = [one for one in settings if one.kind in (CALIPERS, THROWN)]
    for one in calipers:
        yield one.called, one.on_side, one.ends[0].value
    pointers = [one for one in settings if one.kind == POINTER]
    if not calipers and pointers:
        yield pointers[-1].place, _("outside"), 2.0 * pointers[-1].ends[1].value


def _step_g(reader: Reader, mass_g: float) -> float:
    """The step of the scale that the studio reads first."""
    if reader.systems[0] != IMPERIAL:
        return reader.steps.scale_g
    step = reader.rounded_g(mass_g, "up") - reader.rounded_g(mass_g, "down")
    return step or unit_factor("oz") / 4.0


def trimmed_weight_g(sheet: Sheet, part: str) -> float | None:
    """What a trimmed piece weighs before anything is added to it, leather-hard, g."""
    figure = sheet.find(f"{part}.mass", AT_TRIMMING)
    if figure is None:
        return None
    shape = sheet.shapes[part]
    extras = (sheet.find(f"{part}.{extra}.clay", "wet") for extra in shape.part.extras)
    added = fsum(clay.value for clay in extras if clay)
    return figure.value - added * shape.body.mass_share(AT_TRIMMING)
