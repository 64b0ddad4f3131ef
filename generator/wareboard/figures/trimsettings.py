"""Trimming: what each part is turned to, in the order in which it is done, as the pot thrown to its settings has it; and when it is ready for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from math import fsum

from wareboard.figures.settings import (
    AT_TRIMMING,
    CALIPERS,
    FOOT_KEYS,
    PLAY,
    POINTER,
    THICKNESS,
    THROWN,
    TURNED,
    Setting,
    SetTo,
    as_set,
    closed_end,
    is_trimmed,
    settings_of,
    taken_inside,
    thickness_keys,
)
from wareboard.figures.shapes import Shape
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Amount, Reader, reader_of
from wareboard.pot.budgets import USUAL_WEIGHT_SHARE
from wareboard.pot.frozen import frozen
from wareboard.pot.moisture import shrinkage_at_mass_share
from wareboard.pot.turning import trim_grams
from wareboard.text.kinds import Word
from wareboard.text.languages import _, later
from wareboard.text.quantities import IMPERIAL
from wareboard.text.units import unit_factor


def trim_settings_of(sheet: Sheet) -> Mapping[str, tuple[Setting, ...]]:
    """What each part is turned to, in the order in which it is done, each with a letter in its ring.

    A flange that is tried on its own opening is turned until the play is left; any other to its size.
    """
    return sheet.remembered(_trim_settings)


def _trim_settings(sheet: Sheet) -> Mapping[str, tuple[Setting, ...]]:
    made, letters = as_set(sheet), iter(LETTERS)
    found = {}
    for name, shape in made.shapes.items():
        rows = [one.marked(next(letters, "")) for one in _trimmed(made, str(name), shape)]
        found[str(name)] = tuple(rows)
    return found


LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def _trimmed(sheet: Sheet, name: str, shape: Shape) -> Iterator[Setting]:
    reader = reader_of(sheet.studio)

    def one(kind: str, place: str, side: str, key: str) -> Iterator[Setting]:
        figure = sheet.find(key, AT_TRIMMING)
        if figure is not None and figure.value > 0.0:
            yield Setting(
                "",
                name,
                kind,
                place,
                side,
                (SetTo("", key, figure.value, figure.unit, partial(reader.figure, figure)),),
            )

    flanges = [(fit_name, fit) for fit_name, fit in sheet.form.fits.items() if fit.outside.is_of(name)]
    told = set()
    for fit_name, fit in flanges:
        told.add(str(fit.outside.caliper))
        if fit.pairing == "any":
            yield from one(TURNED, str(fit.outside.caliper), "outside", f"{name}.{fit.outside.caliper}")
        else:
            yield from one(
                PLAY,
                str(fit.outside.caliper),
                _("in its own {part}").format(part=fit.inside.part),
                f"fit.{fit_name}.clearance",
            )
    for caliper, spec in ((str(key), spec) for key, spec in shape.part.calipers.items()):
        if caliper not in told and is_trimmed(shape) and not taken_inside(sheet, name, caliper, spec.side):
            yield from one(TURNED, caliper, "outside", f"{name}.{caliper}")
    if not is_trimmed(shape):
        return
    for key in thickness_keys(shape):
        what, *where = key.removesuffix(".thickness").split(".")
        yield from one(THICKNESS, " at ".join([what, *where]), "", f"{name}.{key}")
    closed = closed_end(shape)
    if sheet.find(f"{name}.foot.ring.outside", AT_TRIMMING):
        for key, (place, side) in FOOT_KEYS.items():
            yield from one(TURNED, place, side, f"{name}.{key}")
    elif not isinstance(shape.part.outside[closed].diameter, Word):
        yield from one(TURNED, closed, later("across"), f"{name}.{closed}.diameter")


@frozen
class Reading:
    """What is read of a piece when it is ready: from `low` to `high`, in mm or g, as they are printed, first system first."""

    name: str
    with_what: str
    low: tuple[Amount, ...]
    high: tuple[Amount, ...]

    @property
    def said(self) -> str:
        """What is read, and with what, in a row."""
        return ", ".join(filter(None, (self.name, self.with_what)))

    @property
    def between(self) -> tuple[Amount, ...]:
        """From what to what, as one amount in each system."""
        return tuple(
            Amount(low.number if low == high else f"{low.number}–{high.number}", high.unit)
            for low, high in zip(self.low, self.high, strict=True)
        )


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
