"""When a piece is ready to trim: what its calipers read then, and its weight in grams only where grams can tell."""

from __future__ import annotations

from collections.abc import Iterator

from wareboard.figures.settings import AT_TRIMMING, CALIPERS, POINTER, THROWN, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader
from wareboard.pot.fits import normal_share_below
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import shrinkage_at_mass_share
from wareboard.text.quantities import IMPERIAL
from wareboard.text.units import unit_factor

THROWN_SPREAD = 0.015  # one standard deviation of thrown weights in a run, a share; common practice
LEAST_STEPS = 2.0  # of the scale between two weights that are printed
GOOD_SHARE = 0.9  # of pieces thrown with that spread, at the right dryness, that two printed weights must let pass


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
    if grams_tell(shares, thrown.value, _step_g(reader, thrown.value)):
        yield Reading(
            "weight", "thrown to the figure",
            reader.amounts(least.value, "g", up=True), reader.amounts(most.value, "g", down=True),
        )  # fmt: skip


def _set_sizes(sheet: Sheet, part: str) -> Iterator[tuple[str, str, float]]:
    """Sizes that a tool set at the wheel: by calipers where there are any, else the rim by the pointer."""
    settings = settings_of(sheet).by_part.get(part, ())
    calipers = [one for one in settings if one.kind in (CALIPERS, THROWN)]
    for one in calipers:
        yield one.place, one.side, one.ends[0].value
    pointers = [one for one in settings if one.kind == POINTER]
    if not calipers and pointers:
        yield pointers[-1].place, "outside", 2.0 * pointers[-1].ends[1].value


def _step_g(reader: Reader, mass_g: float) -> float:
    """The step of the scale that the studio reads first."""
    if reader.systems[0] != IMPERIAL:
        return reader.steps.scale_g
    step = reader.rounded_g(mass_g, "up") - reader.rounded_g(mass_g, "down")
    return step or unit_factor("oz") / 4.0


def grams_tell(
    shares: tuple[float, float], thrown_g: float, step_g: float, spread_share: float = THROWN_SPREAD
) -> bool:
    """Whether two weights may be printed: at least two steps of the scale apart, and nine good pieces in ten pass.

    Args:
        shares: least and most, shares of the weight as thrown.
        thrown_g: the weight as thrown, g.
        step_g: what the scale can show, g.
        spread_share: one standard deviation of thrown weights, a share.
    Source: worked; the spread is common practice.
    >>> grams_tell((0.94, 0.97), 500.0, 5.0), grams_tell((0.92, 0.98), 500.0, 5.0)
    (False, True)
    """
    least, most = shares
    middle, half = (least + most) / 2.0, (most - least) / 2.0
    passes = 1.0 - 2.0 * normal_share_below(-half, 0.0, spread_share * middle)
    return (most - least) * thrown_g >= LEAST_STEPS * step_g and passes >= GOOD_SHARE


def trimmed_weight_g(sheet: Sheet, part: str) -> float | None:
    """What a trimmed piece weighs before anything is added to it, leather-hard, g."""
    figure = sheet.find(f"{part}.mass", AT_TRIMMING)
    if figure is None:
        return None
    shape = sheet.shapes[part]
    added = sum(extra.clay.value for extra in shape.part.extras.values() if extra.clay)
    return figure.value - added * shape.body.mass_share(AT_TRIMMING)
