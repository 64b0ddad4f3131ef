"""A form's page that answers: two pieces in the hand, a size out of the kiln, so much clay, another clay; in the browser,
without network, by the formulas of the ground floor."""

from __future__ import annotations

import json
from dataclasses import asdict
from functools import cache

from wareboard.cards.cardtext import answers_path
from wareboard.figures.answering import asked_of, clays_of
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import reader_of
from wareboard.pages.familypages import growth_of
from wareboard.pages.formpage import match_view, turn_view
from wareboard.pot import answers
from wareboard.pot.clay import Body
from wareboard.pot.fits import Fit, Side, Spreads, clearance_mm
from wareboard.pot.moisture import Calipered, Readings, Weighing
from wareboard.text import javascript, measures
from wareboard.text.languages import _, neutral
from wareboard.text.projects import Project
from wareboard.words.pagetext import ANSWER_TEMPLATE, DataText, PageText
from wareboard.words.templating import render

FORMULAS, CLAYS = "assets/answers/formulas.js", "assets/answers/clays.js"
# What the page calls; whatever these name comes along.
CALLED = (
    answers.with_doubt, answers.is_soft, answers.has_stopped, answers.try_pair, answers.as_far_on, answers.next_time, answers.times_as_large,
    answers.scaled_set_mm, answers.scaled_amount, answers.in_clay_mm, answers.in_clay_g, answers.fired_in_clay_mm, answers.fit_in_clays, clearance_mm,
    Body, Fit, Side, Spreads, Readings, Calipered, Weighing,
)  # fmt: skip
# What is asked for in words, and the kinds of size that are typed on the page.
TYPED_KINDS = ("length", "mass")


def render_answers(sheet: Sheet) -> PageText:
    """A form's page that answers; needs nothing of the other forms.

    Args:
        sheet: the form's figures.
    """
    form, reader = sheet.form, reader_of(sheet.studio)
    title = _("{title}: what now?").format(title=form.title)
    made = as_set(sheet)
    asked = asked_of(made, reader) if sheet.is_worked_out else None
    growth = growth_of(made) if sheet.is_worked_out else None
    tables = [
        (str(name), match_view(made, str(name), reader), turn_view(made, str(name), reader)) for name in (made.fits if asked else ())
    ]  # fmt: skip
    shown = {**javascript.as_json(asked), "growth": asdict(growth) if growth else None} if asked else {}
    body = render(
        "pages/answers.html", sheet=sheet, form=form, asked=asked, tables=tables, shown=json.dumps(shown, ensure_ascii=False, separators=(",", ":")),
        measured=[(place, one) for place, one in enumerate(asked.sizes) if one.fired_mm] if asked else [],
    )  # fmt: skip
    return PageText(answers_path(str(form.slug)), title, body, _("{title}, from what is read of it now.").format(title=form.title), template=ANSWER_TEMPLATE)  # fmt: skip


@cache
def formulas_text() -> str:
    """The formulas as JavaScript, and how units are spelled."""
    spelled = {
        word: [measures.UNITS[name][0], float(measures.UNITS[name][1]), name in measures.IMPERIAL]
        for word, name in measures.SPELLED.items()
        if name in measures.UNITS and measures.UNITS[name][0] in TYPED_KINDS
    }
    return (
        f"{javascript.script_of('formulas', CALLED)}const unitsSpelled = {json.dumps(spelled, ensure_ascii=False)};\n"
    )


@neutral
def render_formulas() -> DataText:
    """The formulas as a script that all pages share: `assets/answers/formulas.js`."""
    return DataText(FORMULAS, formulas_text())


@neutral
def render_clays(project: Project) -> DataText:
    """The studio's clays as a script that all pages share: `assets/answers/clays.js`.

    Args:
        project: the studio.
    """
    clays = javascript.as_json(clays_of(project))
    return DataText(CLAYS, f"const studioClays = {json.dumps(clays, ensure_ascii=False)};\n")
