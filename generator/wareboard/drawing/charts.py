"""Charts: a fit's clearance through the stages, a clay's test bars. Told by shape and line, never by colour."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, floor, isfinite, log10, pi, sin
from statistics import fmean, stdev

from wareboard.drawing.dimensions import Lettering, draw_head, spread
from wareboard.drawing.svg import (
    BAND,
    DASHED,
    MARK,
    MEASURE,
    MIDDLE,
    OUTLINE,
    THIN,
    Picture,
    Point,
    short,
    text_width_mm,
)
from wareboard.figures.sheet import Sheet
from wareboard.pot.fits import at_fired_mm
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text.languages import _, pointed
from wareboard.text.problems import capital
from wareboard.text.studio_specs import Clay

SIDES = {"circle": 12, "square": 4, "triangle": 3, "diamond": 4, "pentagon": 5}


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round values within a range, at most so many: steps of 1, 2 or 5.

    >>> ticks(0.0, 2.6)
    [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]
    """
    rough = (high - low) / most
    power = 10.0 ** floor(log10(rough))
    step = next(step for step in (power, 2.0 * power, 5.0 * power, 10.0 * power) if step >= rough * (1.0 - 1e-9))
    first = -floor(-low / step + 1e-9)
    return [round(number * step, 10) for number in range(first, floor(high / step + 1e-9) + 1)]


def draw_marker(picture: Picture, x: float, y: float, place: int, size_mm: float = 1.0) -> None:
    """The marker of the `place`-th series: five shapes, filled, then the same hollow."""
    shape = list(SIDES)[place % len(SIDES)]
    count, turn = SIDES[shape], {"square": pi / 4.0, "triangle": pi / 2.0, "pentagon": pi / 2.0}.get(shape, 0.0)
    points = [
        (x + size_mm * cos(turn + 2.0 * pi * side / count), y + size_mm * sin(turn + 2.0 * pi * side / count))
        for side in range(count)
    ]
    if place // len(SIDES) % 2:
        picture.stroke(MIDDLE, points, closed=True)
    else:
        picture.fill(MARK, points)


def draw_fit_chart(
    sheet: Sheet, fit_name: str, *, width_mm: float = 120.0, height_mm: float = 62.0,
    size_text: Callable[[float], str] = lambda mm: f"{mm:.1f}", unit: str = "mm", lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """A fit's clearance through the five stages, its limits, its spread when fired, and what glaze takes.

    Args:
        sheet: the form's sheet.
        fit_name: the fit.
        width_mm, height_mm: the box on paper, mm.
        size_text: a small length in mm as it should be written.
        unit: the unit of what `size_text` writes.
        lettering: font sizes.
        name: start of the ids; form and fit unless given.
    Returns: SVG.
    Raises: KeyError, the sheet has no such fit.
    """
    key, record = f"fit.{fit_name}", sheet.fits[fit_name]
    clearances = [sheet.value(f"{key}.clearance", stage) for stage in STAGES]
    spread_figure = sheet.find(f"{key}.spread", "fired")
    worst = [figure.value for word in ("least", "most") if (figure := sheet.find(f"{key}.worst.{word}", "fired"))]
    limits = {
        word: at_fired_mm(record, limit)
        for word, limit in (("least", record.least_mm), ("most", record.most_mm))
        if isfinite(limit)
    }
    bare = sheet.value(f"{key}.inside", "fired") - sheet.value(f"{key}.outside", "fired")
    film = bare - clearances[-1]

    left = text_width_mm("0.55", lettering.plain_mm) + 3.0
    right = (
        width_mm
        - max(
            text_width_mm(f"{word} {size_text(value)}", lettering.plain_mm)
            for word, value in (limits or {"least": 0.0}).items()
        )
        - 6.0
    )
    values = [0.0, *clearances, *worst, *limits.values(), bare]
    low, high = min(values), max(values)
    bottom, top = 2.0 * lettering.plain_mm, height_mm - 2.2 * lettering.plain_mm
    y_of = lambda value: bottom + (value - low) / (high - low) * (top - bottom)
    pitch = (right - left - 8.0) / (len(STAGES) - 1)
    xs = [left + 8.0 + place * pitch for place in range(len(STAGES))]

    picture = Picture()
    picture.cover(0.0, 0.0)
    picture.stroke(THIN, [(left, y_of(low)), (left, y_of(high))])
    for value in ticks(low, high, 5):
        picture.stroke(THIN, [(left - 1.0, y_of(value)), (left, y_of(value))])
        picture.letter(
            left - 1.8,
            y_of(value) - 0.33 * lettering.plain_mm,
            pointed(f"{value:g}").replace("-", "−"),
            lettering.plain_mm,
            anchor="end",
        )
    picture.stroke(THIN, [(left, y_of(0.0)), (right, y_of(0.0))])
    picture.letter(
        0.0,
        top + 1.1 * lettering.plain_mm,
        _("clearance, {unit}").format(unit=unit),
        lettering.plain_mm,
        anchor="start",
    )

    fired = clearances[-1]
    beside = sorted(
        [
            *((value, f"{_(word)} {size_text(value)}", False) for word, value in limits.items()),
            (fired, size_text(fired), True),
        ]
    )
    levels = spread([y_of(value) for value, *_rest in beside], 1.3 * lettering.set_mm)
    for (value, text, strong), y in zip(beside, levels, strict=True):
        if not strong:
            picture.stroke(DASHED, [(left, y_of(value)), (right, y_of(value))])
        picture.letter(
            right + 4.0, y - 0.33 * lettering.plain_mm, text, lettering.size_mm(strong), anchor="start", strong=strong
        )
    if worst:
        picture.stroke(THIN, [(xs[-1], y_of(min(worst))), (xs[-1], y_of(max(worst)))])
        for end in worst:
            picture.stroke(THIN, [(xs[-1] - 1.4, y_of(end)), (xs[-1] + 1.4, y_of(end))])
    if spread_figure:
        box_low, box_high = y_of(fired - spread_figure.value), y_of(fired + spread_figure.value)
        picture.fill(
            BAND, [(xs[-1] - 2.6, box_low), (xs[-1] + 2.6, box_low), (xs[-1] + 2.6, box_high), (xs[-1] - 2.6, box_high)]
        )
    line = [(x, y_of(value)) for x, value in zip(xs, [*clearances[:-1], bare], strict=True)]
    picture.stroke(OUTLINE, line)
    if film > 1e-6:
        draw_marker(picture, *line[-1], 5, 1.1)
        picture.stroke(MEASURE, [line[-1], (xs[-1], y_of(fired))])
        draw_head(picture, (xs[-1], y_of(fired) + 1.0), (0.0, -1.0), False)
        picture.letter(
            xs[-1] - 4.0,
            (line[-1][1] + y_of(fired)) / 2.0 - 0.33 * lettering.plain_mm,
            _("glaze −{size}").format(size=size_text(film)),
            lettering.plain_mm,
            anchor="end",
        )
    staggered = max(text_width_mm(_(stage), lettering.plain_mm) for stage in STAGES) > pitch - 1.5
    for place, (stage, x, value) in enumerate(zip(STAGES, xs, clearances, strict=True)):
        y = y_of(value)
        draw_marker(picture, x, y, 0, 1.1)
        row = place % 2 if staggered else 0
        picture.letter(x, bottom - (1.5 + 1.2 * row) * lettering.plain_mm, _(stage), lettering.plain_mm)
        if stage != "fired":
            struck = any(1.0 < y_of(limit) - y < 2.4 + lettering.plain_mm for limit in limits.values())
            picture.letter(
                x, y - 2.0 - 0.75 * lettering.plain_mm if struck else y + 2.0, size_text(value), lettering.plain_mm
            )
    said = ", ".join(f"{_(stage)} {size_text(value)}" for stage, value in zip(STAGES, clearances, strict=True))
    bounds = "".join(f" {capital(_(word))} {size_text(value)}." for word, value in limits.items())
    doubt = (
        " " + _("Fired, one standard deviation is {size} (shaded).").format(size=size_text(spread_figure.value))
        if spread_figure
        else ""
    )
    taken = " " + _("Glaze takes {size}.").format(size=size_text(film)) if film > 1e-6 else ""
    return picture.render(
        name or f"{sheet.slug}-fit-{fit_name}-chart",
        _("{title}, clearance of {fit} through the stages").format(title=sheet.form.title, fit=fit_name),
        _("Clearance in {unit}: {sizes}.").format(unit=unit, sizes=said) + bounds + doubt + taken,
    )


def draw_shrinkage_bars(
    clay: Clay, *, width_mm: float = 120.0, lettering: Lettering = Lettering(), name: str = ""
) -> str:
    """A clay's test bars: each bar's shrinkage at each stage, by lot, with mean and standard deviation.

    Args:
        clay: the clay; it has bars.
        width_mm: the width on paper, mm.
        lettering: font sizes.
        name: start of the ids; the clay's slug unless given.
    Returns: SVG; every row has a scale of its own, in % of the wet length.
    Raises: ValueError, no bar was measured at any stage but wet.
    """
    lots = list(dict.fromkeys(str(bar.lot or _("no lot")) for bar in clay.bars))
    rows: dict[str, list[tuple[int, float]]] = {}
    for stage in LATER_STAGES:
        for bar in clay.bars:
            length = getattr(bar, stage.replace("-", "_"))
            if length:
                shrunk = 100.0 * (1.0 - length.value / bar.wet.value)
                rows.setdefault(stage, []).append((lots.index(str(bar.lot or _("no lot"))), shrunk))
    if not rows:
        raise ValueError(f"no bar of {clay.slug} was measured after wet")
    left = max(text_width_mm(_(stage), lettering.plain_mm) for stage in rows) + 3.0
    right = width_mm - text_width_mm("12.00 ± 0.15 %", lettering.plain_mm) - 3.0
    picture = Picture()
    picture.cover(0.0, 0.0)
    said = []
    strip, y = 5.0 + 1.2 * min(len(lots), 6), 0.0
    for stage, bars in rows.items():
        y -= strip + 2.4 * lettering.plain_mm
        values = [value for _lot, value in bars]
        mean, deviation = fmean(values), stdev(values) if len(values) > 1 else None
        low, high = _padded(values, mean, deviation or 0.0)
        x_of = lambda value: left + (value - low) / (high - low) * (right - left)  # noqa: B023
        picture.letter(0.0, y + strip / 2.0 - 0.33 * lettering.plain_mm, _(stage), lettering.plain_mm, anchor="start")
        picture.stroke(THIN, [(left, y), (right, y)])
        marks = ticks(low, high, 5)
        places = max(len(f"{mark:g}".partition(".")[2]) for mark in marks)
        for value in marks:
            picture.stroke(THIN, [(x_of(value), y), (x_of(value), y - 1.0)])
            picture.letter(
                x_of(value), y - 1.3 - 0.75 * lettering.plain_mm, pointed(f"{value:.{places}f}"), lettering.plain_mm
            )
        if deviation:
            start, end = x_of(mean - deviation), x_of(mean + deviation)
            picture.fill(BAND, [(start, y), (end, y), (end, y + strip), (start, y + strip)])
        picture.stroke(OUTLINE, [(x_of(mean), y), (x_of(mean), y + strip + 1.0)])
        _draw_bars(picture, bars, x_of, y, strip, len(lots))
        doubt = pointed(f" ± {deviation:.2f}") if deviation is not None else ""
        picture.letter(
            right + 3.0,
            y + strip / 2.0 - 0.33 * lettering.plain_mm,
            pointed(f"{mean:.2f}{doubt} %"),
            lettering.plain_mm,
            anchor="start",
        )
        said.append(
            _("{stage} {mean} %, {count} bars from {least} to {most}").format(
                stage=_(stage),
                mean=pointed(f"{mean:.2f}{doubt}"),
                count=len(values),
                least=pointed(f"{min(values):.2f}"),
                most=pointed(f"{max(values):.2f}"),
            )
        )
    _draw_lots(picture, lots, left, width_mm, y - 4.2 * lettering.plain_mm, lettering)
    words = _(
        "Shrinkage of test bars in % of the wet length; line: mean, band: one standard deviation. {said}."
    ).format(said="; ".join(said))
    return picture.render(name or f"{clay.slug}-bars", _("{clay}, test bars").format(clay=clay.title), words)


def _padded(values: Sequence[float], mean: float, deviation: float) -> tuple[float, float]:
    """A row's range: the bars and the band with some room, half a point at least."""
    low, high = min([*values, mean - deviation]), max([*values, mean + deviation])
    room = max(0.15 * (high - low), (0.5 - (high - low)) / 2.0, 0.02)
    return low - room, high + room


def _draw_bars(
    picture: Picture,
    bars: Sequence[tuple[int, float]],
    x_of: Callable[[float], float],
    y: float,
    strip: float,
    lots: int,
) -> None:
    """One marker a bar, each lot on a level of its own; bars of one size stand side by side."""
    level = lambda lot: y + strip * (lot + 0.8) / (lots + 0.6)
    placed: list[Point] = []
    for lot, value in sorted(bars):
        x = x_of(value)
        while any(abs(x - other_x) < 1.5 and abs(level(lot) - other_y) < 0.01 for other_x, other_y in placed):
            x += 1.6
        placed.append((x, level(lot)))
        draw_marker(picture, x, level(lot), lot, 0.9)


def _draw_lots(
    picture: Picture, lots: Sequence[str], left: float, width_mm: float, y: float, lettering: Lettering
) -> None:
    """Which marker is which lot."""
    x = left
    for place, lot in enumerate(lots):
        words = _("lot {lot}").format(lot=short(lot, 24))
        needed = text_width_mm(words, lettering.plain_mm) + 6.5
        if x + needed > width_mm and x > left:
            x, y = left, y - 1.5 * lettering.plain_mm
        draw_marker(picture, x + 1.0, y + 0.3 * lettering.plain_mm, place, 0.9)
        picture.letter(x + 3.2, y, words, lettering.plain_mm, anchor="start")
        x += needed
