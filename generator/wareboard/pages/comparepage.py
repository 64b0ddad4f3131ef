"""Two to four forms side by side: sections on one axis to one scale, and how their sizes differ.

The page holds names alone; what is compared of a form is a small script beside it, read when the form is chosen, so that
a page opened from a disk has it too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from math import fsum
from typing import TypedDict

from wareboard.drawing.seating import fired_size, stood_together
from wareboard.drawing.views import simplified
from wareboard.figures.answering import tools_of
from wareboard.figures.figure import Figure
from wareboard.figures.settings import CALIPERS, POINTER, THROWN, as_set, settings_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of, set_weight_g
from wareboard.pages.datafiles import ball_figures
from wareboard.text.javascript import as_json
from wareboard.text.languages import _, pointed
from wareboard.text.measures import KINDS
from wareboard.text.projects import Project
from wareboard.text.units import parse_quantity
from wareboard.words.pagetext import COMPARE_TEMPLATE, DataText, PageText
from wareboard.words.templating import capital, render

PATH, FOLDER = "compare.html", "compare/"
# Of a drawn line, mm: a form is half as high as a phone at most.
DRAWN_MM = 0.15


class Compared(TypedDict):
    """One line of the table for one form: what it is called, of what kind the number is, the number, how it is written.

    The number is the written one, so that what is said to lie between two is what lies between what is read.
    """

    name: str
    kind: str
    value: float
    text: str


def compared_path(slug: str) -> str:
    """Where the script with what is compared of a form stands.

    >>> compared_path("tea-caddy")
    'compare/tea-caddy.js'
    """
    return f"{FOLDER}{slug}.js"


def render_compare(project: Project, sheets: Mapping[str, Sheet]) -> tuple[PageText, ...]:
    """The page on which forms are compared; each form's page leads to it, a lone one's too.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
    """
    forms = sorted((sheet.form for sheet in sheets.values()), key=lambda form: str(form.title).casefold())
    if not forms:
        return ()
    tools = json.dumps(as_json(tools_of(reader_of(project.studio), "mm")))
    body = render("pages/compare.html", forms=forms, tools=tools)
    return (PageText(PATH, _("Compare forms"), body, _("Two to four forms on one axis, and how their sizes differ."), template=COMPARE_TEMPLATE),)  # fmt: skip


def render_compared(sheet: Sheet) -> DataText:
    """What is compared of a form, as a script: `compare/<slug>.js`.

    Args:
        sheet: the form's figures.
    """
    form, made = sheet.form, as_set(sheet)
    shown = {
        "title": str(form.title), "code": str(form.code or ""), "clay": str(sheet.clay.title),
        "drawn": _drawn(made) if made.shapes else [], "rows": list(_rows(made, reader_of(sheet.studio))) if made.is_worked_out else [],
    }  # fmt: skip
    said = json.dumps(shown, ensure_ascii=False, separators=(",", ":"))
    return DataText(compared_path(str(form.slug)), f"compareForms.add({json.dumps(str(form.slug))}, {said});\n")


def _drawn(made: Sheet) -> list[list[float]]:
    """The sections of the parts that stand together, fired: radius and height by turns, mm, to a tenth."""
    _main, group = stood_together(made)
    return [[round(value, 1) for point in simplified(part.ring, DRAWN_MM) for value in point] for part in group]


def _rows(made: Sheet, reader: Reader) -> Iterator[Compared]:
    """Fired as a whole, then what each part is set to, then clay and glaze."""
    size, weighs = fired_size(made), set_weight_g(made)
    if size:
        yield _row(_("High, fired"), "whole", size.height_mm, str(reader.overall(size.height_mm)))
    if size and size.across:
        yield _row(_("Across, fired"), "whole", size.across.value, str(reader.overall(size.across.value)))
    if size and size.holds:
        yield _row(_("Holds"), "volume", size.holds.value, reader.text(size.holds))
    if weighs:
        yield _row(_("Weighs, fired"), "mass", weighs, str(reader.amounts(weighs, "g")[0]))
    if balls := ball_figures(made):
        ball_g = fsum(ball.value for ball in balls)
        yield _row(_("Clay, all balls"), "mass", ball_g, str(reader.amounts(ball_g, "g", up=True)[0]))
    for place, (part, settings) in enumerate(settings_of(made).by_part.items()):
        # The first part of one form is set beside that of another, whatever they are called.
        whose = "" if place == 0 else f"{capital(part)}: "
        for one in settings:
            if one.kind == POINTER and one.place == next(iter(made.shapes[part].part.gauge_stations)):
                for end, name in zip(one.ends, (_("pointer up, wet"), _("pointer out, wet")), strict=False):
                    yield _row(capital(f"{whose}{name}"), "length", end.value, str(end.amounts[0]))
            elif one.kind in (CALIPERS, THROWN):
                name = _("{size} calipers, wet").format(size=one.place)
                yield _row(capital(f"{whose}{name}"), "length", one.ends[0].value, str(one.ends[0].amounts[0]))
        for key, name in (("wall.thickness", _("wall, fired")), ("floor.thickness", _("floor, fired"))):
            if figure := made.find(f"{part}.{key}", "fired"):
                yield _row(capital(f"{whose}{name}"), "small", figure.value, reader.text(figure))
    yield from _of_set(made, reader)


def _of_set(made: Sheet, reader: Reader) -> Iterator[Compared]:
    wanted = ((_("Slop for a set"), "glaze.slop", None), (_("Shrinks, wet to fired"), "clay.shrinkage", "fired"))
    for name, key, stage in wanted:
        figure: Figure | None = made.find(key, stage)
        if figure:
            kind = {"ml": "volume", "g": "mass", "%": "share"}.get(figure.unit, "number")
            yield _row(name, kind, figure.value / 100.0 if kind == "share" else figure.value, reader.text(figure))
    for fit in made.fits:
        if figure := made.find(f"fit.{fit}.clearance", "fired"):
            yield _row(_("Clearance, fired"), "small", figure.value, reader.text(figure))
            return


def _row(name: str, kind: str, value: float, text: str) -> Compared:
    measured = {"small": "length", "whole": "length"}.get(kind, kind)
    read = parse_quantity(_pointed(text), measured).value if measured in KINDS and measured != "number" else value
    return Compared(name=name, kind=kind, value=round(read, 6), text=text)


def _pointed(text: str) -> str:
    """An amount as it is typed: with a point, whatever sign the language has."""
    return text.replace(pointed("."), ".")
