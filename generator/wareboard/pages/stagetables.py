"""Tables of sizes through the stages, in both of the studio's systems; where a table is a sum, it adds up as it is printed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader
from wareboard.figures.tolerances import printed_value
from wareboard.pot.fits import film_loss_mm
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.languages import _, later, neutral
from wareboard.text.units import parse_quantity

Rows = Mapping[str, tuple[str, ...]]


@frozen
class StageTable:
    """Sizes of one part, a row a size and a column a stage: each number as the studio reads it first, and in its other system.

    A row that one system has no use for, what rounding leaves over, is empty there. `other_unit` is empty where there is one system.
    """

    part: str
    unit: str
    other_unit: str
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


def _table(part: str, reader: Reader, made: Rows, turned: Rows) -> StageTable:
    other, empty = reader.turned(), ("",) * len(STAGES)
    rows = tuple(
        (label, tuple(zip(made.get(label, empty), turned.get(label, empty), strict=True)))
        for label in _merged(made, turned)
    )
    unit = lambda one: one.amounts(0.0, "mm")[0].unit if one else ""
    return StageTable(part, unit(reader), unit(other), rows)


def _merged(made: Rows, turned: Rows) -> Iterator[str]:
    """The labels of both, each in its place."""
    waiting = list(turned)
    for label in made:
        if label in waiting:
            while waiting[0] != label:
                yield waiting.pop(0)
            waiting.pop(0)
        yield label
    yield from waiting


def fit_table(sheet: Sheet, reader: Reader, name: str) -> StageTable:
    """A fit through the stages: both diameters, the glaze, what rounding leaves over, the clearance."""
    other = reader.turned()
    return _table(
        name, reader, dict(fit_rows(sheet, reader, name)), dict(fit_rows(sheet, other, name)) if other else {}
    )


def stage_tables(sheet: Sheet, reader: Reader) -> Iterator[StageTable]:
    """Every station of every part through the five stages."""
    other = reader.turned()
    for name, part in sheet.form.parts.items():
        keys = [(_(end), f"{name}.{end}") for end in (later("height"), later("diameter"))]
        keys += [
            (f"{station}, {_(end)}", f"{name}.{station}.{end}")
            for station in part.outside
            for end in ("height", "diameter")
        ]
        keys += [(_("{caliper}, calipers").format(caliper=caliper), f"{name}.{caliper}") for caliper in part.calipers]
        made = dict(_stage_rows(sheet, reader, keys))
        if made:
            yield _table(str(name), reader, made, dict(_stage_rows(sheet, other, keys)) if other else {})


def _stage_rows(sheet: Sheet, reader: Reader, keys: Sequence[tuple[str, str]]) -> Iterator[tuple[str, tuple[str, ...]]]:
    for label, key in keys:
        figures = [sheet.find(key, stage) for stage in STAGES]
        if any(figures) and not all(figure is None or figure.value == 0.0 for figure in figures):
            yield label, tuple(reader.number(figure) if figure else "" for figure in figures)


def fit_rows(sheet: Sheet, reader: Reader, name: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A fit through the stages as a sum that adds up as it stands there: what is printed of the inside, less what is
    printed of the outside and of the glaze, with a line for what the rounding of each number leaves over."""
    fit, stem = sheet.form.fits[name], f"fit.{name}"
    films = sheet.fits[name].films_mm
    terms = {
        key: [sheet.find(f"{stem}.{key}", stage) for stage in STAGES] for key in ("inside", "outside", "clearance")
    }
    if not all(figure for figures in terms.values() for figure in figures):
        return
    small = lambda size_mm: reader.amounts(size_mm, "mm", small=True)[0]
    printed = neutral(small)
    shown = {key: [printed_value(figure, reader) for figure in figures if figure] for key, figures in terms.items()}
    glaze = [film_loss_mm(films, stage) for stage in STAGES]
    less = [parse_quantity(str(printed(loss_mm)), "length").value if loss_mm else 0.0 for loss_mm in glaze]
    over = [
        clearance - (inside - outside - loss)
        for inside, outside, loss, clearance in zip(*(shown[key] for key in ("inside", "outside")), less, shown["clearance"], strict=True)
    ]  # fmt: skip
    numbers = {key: tuple(reader.number(figure) for figure in figures if figure) for key, figures in terms.items()}
    yield _("{size}, inside").format(size=fit.inside.caliper), numbers["inside"]
    yield _("less {size}, outside").format(size=fit.outside.caliper), numbers["outside"]
    if any(less):
        yield _("less glaze"), tuple(small(loss).number if loss else "" for loss in less)
    # What an inch ruler in hundredths leaves over sixty-fourths is often less than one of these.
    rounded_away = reader.step_mm(small=True) / 2.0 - 1e-6
    if any(abs(left) > rounded_away for left in over):
        signed = ((f"{'−' if left < 0.0 else '+'}{small(abs(left)).number}", left) for left in over)
        yield _("rounding"), tuple(words if abs(left) > rounded_away else "" for words, left in signed)
    yield _("clearance"), numbers["clearance"]
    yield from _stage_rows(sheet, reader, ((_("gap, a side"), f"{stem}.gap"),))
