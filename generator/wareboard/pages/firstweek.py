"""The first week of somebody who learns to make this studio's ware: an ordered path, with the studio's own forms as examples."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, fill_quotes, reader_of
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.projects import Project
from wareboard.words.glossary import Caution, cautions_for
from wareboard.words.pagetext import Kept, PageText, unkept
from wareboard.words.steps import filled_lines, kind_of, read_first_week
from wareboard.words.templating import render

PATH = "first-week.html"
TEN = 10


@frozen
class Day:
    """One day: what to read, the example with its own numbers, the cautions that belong to it, what is ticked off.

    `measured` are the columns of the table of ten pots, each a name and what it should be; empty but on the day of the ten.
    """

    title: str
    paragraphs: tuple[str, ...]
    example: Sheet | None
    lines: tuple[str, ...]
    cautions: tuple[Caution, ...]
    ticks: tuple[str, ...]
    measured: tuple[tuple[str, str], ...]


class Teaches(NamedTuple):
    """Whether a form is one to learn by: its vessel, empty where it has none, and whether it has a lid."""

    vessel: str
    has_lid: bool


def teaches(sheet: Sheet) -> Teaches:
    """Whether a form is one to learn by."""
    vessel = next((str(part) for part in sheet.form.parts if kind_of(sheet, str(part)) == "vessel"), "")
    lidded = (
        vessel and fit.inside.is_of(vessel) and any(fit.outside.is_of(str(part)) for part in sheet.form.parts)
        for fit in sheet.form.fits.values()
    )  # fmt: skip
    return Teaches(vessel, any(lidded))


def render_first_week(
    project: Project, sheets: Mapping[str, Sheet], kept: Kept = unkept, told: Callable[[Sheet], Teaches] = teaches
) -> tuple[PageText, ...]:
    """The page of the first week; days that need a pot the studio hasn't got go without its numbers.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        kept: gives the page, given what makes it.
        told: tells of each form whether it is one to learn by.
    """
    examples = examples_in(sheets, told)
    return kept(PATH, [sheet.slug for sheet, _ in examples.values()], lambda: (_render(project, examples),))


def _render(project: Project, examples: Mapping[str, tuple[Sheet, str]]) -> PageText:
    days = days_of(project, examples)
    search = " ".join(f"{day.title} {' '.join(day.paragraphs)}" for day in days)
    body = render("pages/firstweek.html", days=days, studio=project.studio, ten=range(1, TEN + 1))
    return PageText(PATH, _("First week"), body, _("From reading a card to the first ten pots."), search, True)


def days_of(project: Project, examples: Mapping[str, tuple[Sheet, str]]) -> tuple[Day, ...]:
    """The days in order, each with its example's numbers put in."""
    reader = reader_of(project.studio)
    return tuple(_day(entry, examples, reader) for entry in read_first_week())


def examples_in(
    sheets: Mapping[str, Sheet], told: Callable[[Sheet], Teaches] = teaches
) -> dict[str, tuple[Sheet, str]]:
    """The plainest pot to learn by, and the plainest with a lid, each with its vessel: least clay of those with fewest parts."""
    found: dict[str, tuple[Sheet, str]] = {}
    order = sorted(
        sheets.values(), key=lambda sheet: (len(sheet.form.parts), len(sheet.form.fits), sheet.ball_g, sheet.slug)
    )
    for sheet in order:
        if len(found) == 2:
            break
        if sheet.is_worked_out:
            known = told(sheet)
            if known.vessel:
                found.setdefault("vessel", (sheet, known.vessel))
            if known.has_lid:
                found.setdefault("lidded", (sheet, known.vessel))
    return found


def _day(entry: Mapping, examples: Mapping[str, tuple[Sheet, str]], reader: Reader) -> Day:
    sheet, part = examples.get(entry.get("of", ""), (None, ""))
    lines: tuple[str, ...] = ()
    if sheet is not None:
        sheet = as_set(sheet)
        filled = (text for line in entry.get("lines", ()) for text in filled_lines(line, sheet, part))
        lines = tuple(fill_quotes(text, sheet, reader) for text in filled)
    return Day(
        entry["title"],
        tuple(" ".join(paragraph.split()) for paragraph in entry["text"].split("\n\n")),
        sheet if lines else None,
        lines,
        cautions_for(*entry["cautions"]) if entry.get("cautions") else (),
        tuple(entry.get("ticks", ())),
        tuple(_measured(sheet, part, reader)) if sheet and entry.get("table") else (),
    )


def _measured(sheet: Sheet, part: str, reader: Reader):
    """What is measured of each of the ten, with what it should be."""
    wanted = ((_("Ball"), f"{part}.ball.set"), (_("High"), f"{part}.height"), (_("Across"), f"{part}.diameter"))
    for name, key in wanted:
        figure = sheet.find(key, "wet")
        if figure:
            yield name, reader.text(figure)
