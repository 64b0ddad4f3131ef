"""What is turned to at trimming: each part's settings in the order in which they are done, as the pot that is thrown to its settings has them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from wareboard.figures.settings import (
    AT_TRIMMING,
    FOOT_KEYS,
    PLAY,
    THICKNESS,
    TURNED,
    Setting,
    SetTo,
    as_set,
    closed_end,
    is_trimmed,
    taken_inside,
    thickness_keys,
)
from wareboard.figures.shapes import Shape
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import reader_of
from wareboard.text.kinds import Word
from wareboard.text.languages import _, later


def trim_settings_of(sheet: Sheet) -> Mapping[str, tuple[Setting, ...]]:
    """What each part is turned to, in the order in which it is done, each with a letter in its ring.

    A flange that is tried on its own opening is turned until the play is left; any other to its size.
    """
    return sheet.remembered(_trim_settings)


def _trim_settings(sheet: Sheet) -> Mapping[str, tuple[Setting, ...]]:
    made, letters = as_set(sheet), iter(LETTERS)
    found = {}
    for name, shape in made.shapes.items():
        rows = [replace(one, mark=next(letters, "")) for one in _trimmed(made, str(name), shape)]
        found[str(name)] = tuple(rows)
    return found


LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def _trimmed(sheet: Sheet, name: str, shape: Shape) -> Iterator[Setting]:
    reader = reader_of(sheet.studio)

    def one(kind: str, place: str, side: str, key: str) -> Iterator[Setting]:
        figure = sheet.find(key, AT_TRIMMING)
        if figure is not None and figure.value > 0.0:
            yield Setting(
                "", name, kind, place, side, (SetTo("", key, figure.value, figure.unit, reader.figure(figure)),)
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
