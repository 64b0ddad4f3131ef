"""Figures as plain text for the terminal: tables, and the chain behind one figure down to what was typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from math import floor, log10

from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.pot.stages import STAGES
from wareboard.text.formulas import number
from wareboard.text.languages import pointed

_PLACE = re.compile(r"(.+):(\d+)")


def find_figures(sheet: Sheet, words: str) -> list[Figure]:
    """The figures that words name: `cup.ball wet`, or `cup.ball` for every stage that it has.

    Args:
        sheet: the form's sheet.
        words: a key, or a key and a stage.
    Returns: the figures; none where nothing is named so.
    """
    key, _, stage = " ".join(words.split()).rpartition(" ")
    if key and stage in STAGES:
        return [figure for figure in sheet.figures if figure.key == key and figure.stage == stage]
    whole = f"{key} {stage}".strip()
    return [figure for figure in sheet.figures if figure.key == whole]


def format_value(figure: Figure) -> str:
    """Number, unit and doubt: `90.909 mm ± 0.15`."""
    plus_minus = figure.plus_minus
    doubt = f" ± {number(float(f'{plus_minus:.2g}'))}" if plus_minus is not None else ""
    return f"{number(figure.value)} {figure.unit}{doubt}"


def interval_text(figure: Figure) -> str:
    """Where 95 % of next pieces lie, to as many places as that is worth; nothing where no doubt was worked out.

    >>> from wareboard.pot.doubt import known
    >>> from wareboard.figures.figure import Doubt, Figure, Told
    >>> told = Told(1.4, "", doubt=lambda: Doubt(0.27, known("trimming", 0.27)))
    >>> interval_text(Figure("k", None, 1.4, "mm", told))
    '0.87–1.93'
    """
    interval = figure.interval
    if interval is None:
        return ""
    low, high = interval
    places = max(0, 1 - floor(log10((high - low) / 2.0))) if high > low else 0
    return pointed(f"{low:.{places}f}–{high:.{places}f}")


def render_table(figures: Iterable[Figure]) -> str:
    """Figures as lines of key, stage and value, in columns."""
    rows = [(figure.key, figure.stage or "", number(figure.value), format_value(figure)) for figure in figures]
    key_width, stage_width, number_width = (max((len(row[column]) for row in rows), default=0) for column in range(3))
    return "\n".join(
        f"{key:<{key_width}}  {stage:<{stage_width}}  {' ' * (number_width - len(digits))}{value}"
        for key, stage, digits, value in rows
    )


def render_why(sheet: Sheet, figure: Figure, texts: Mapping[str, str]) -> str:
    """How a figure came about: each step set in under what it was needed for, down to the typed lines.

    Args:
        sheet: the form's sheet.
        figure: one of its figures.
        texts: the specs' texts by path, for the lines that were typed.
    """
    first, *more = _why(sheet, figure, texts, "", set())
    return "\n".join([first, *_doubt_lines(sheet, figure), *more])


def _doubt_lines(sheet: Sheet, figure: Figure) -> Iterator[str]:
    """Where next pieces lie, and what that is made of; or that no doubt has been worked out."""
    if causes := figure.doubt:
        parts = ", ".join(f"{cause.name} {number(float(f'{cause.deviation:.2g}'))}" for cause in causes)
        yield f"    95 % of next pieces, of a lot not yet seen: {interval_text(figure)} {figure.unit}; from {parts}"
        return
    fired = find_figures(sheet, "clay.shrinkage fired")
    if figure.unit in ("mm", "ml") and fired and fired[0].plus_minus is None:
        yield "    no doubt worked out: its clay has no test bars that tell"


def _why(sheet: Sheet, figure: Figure, texts: Mapping[str, str], margin: str, shown: set[str]) -> Iterator[str]:
    head = f"{margin}{figure.name} = {format_value(figure)}"
    if figure.name in shown:
        yield f"{head}  (above)"
        return
    shown.add(figure.name)
    yield head
    inner = f"{margin}    "
    if figure.how:
        yield f"{inner}{figure.how}"
    if figure.source:
        yield f"{inner}source: {figure.source}"
    for name in figure.inputs:
        yield from _why_input(sheet, name, texts, inner, shown)


def _why_input(sheet: Sheet, name: str, texts: Mapping[str, str], margin: str, shown: set[str]) -> Iterator[str]:
    below = find_figures(sheet, name)
    if below:
        for figure in below:
            yield from _why(sheet, figure, texts, margin, shown)
        return
    place = _PLACE.fullmatch(name)
    line = _line(texts, place[1], int(place[2])) if place else ""
    yield f"{margin}{name}"
    if place and line:
        yield f"{margin}{place[2]:>5} | {line}"


def _line(texts: Mapping[str, str], path: str, number_of_line: int) -> str:
    lines = texts.get(path, "").splitlines()
    found = lines[number_of_line - 1] if 0 < number_of_line <= len(lines) else ""
    return "".join(c if c.isprintable() else " " for c in found).rstrip()
