"""The days of a run, counted back from the day on which it is wanted."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from math import ceil

from wareboard.figures.plan import Firing, PlanDay
from wareboard.text.languages import _, later
from wareboard.text.order_specs import Days
from wareboard.text.studio_specs import Studio

# Where the studio does not say (common practice).
USUAL = {"throwing": 1, "trimming": 1, "drying": 5, "bisque": 2, "glazing": 1, "glaze": 2, "spare": 2}
USUAL_HOURS = 6.0
# Jobs that a form's `times` may name, by the part of the work that they belong to; any other is done when it is glazed.
JOBS = {
    "throwing": "throwing",
    "wedging": "throwing",
    "weighing": "throwing",
    "trimming": "trimming",
    "handling": "trimming",
}


def plan_days(
    due: datetime.date, studio: Studio, firings: Sequence[Firing], hours: Mapping[str, float]
) -> tuple[tuple[PlanDay, ...], tuple[str, ...]]:
    """Each part of the work and its days, the first first; the last is ready when the spare days begin.

    Args:
        due: the day on which it is wanted.
        studio: how long its work takes.
        firings: the kiln loads, each of which takes its days, one after another.
        hours: time at work by part of the work, where the forms say it.
    Returns: the days; and what was taken for granted, in words.
    """
    days = studio.days or Days()
    typed = {name: getattr(days, name) for name in USUAL}
    usual = [name for name in ("drying", "bisque", "glaze", "spare") if typed[name] is None]
    a_day = days.hours.value if days.hours else USUAL_HOURS

    def takes(name: str) -> int:
        if (own := typed[name]) is not None:
            return int(own)
        return max(1, ceil(hours[name] / a_day - 1e-9)) if hours.get(name) else USUAL[name]

    loads = {firing.kind: max(1, len(firing.loads)) for firing in firings}
    work = [
        ("throwing", takes("throwing"), _("throw")),
        ("trimming", takes("trimming"), _("trim, and add what is added")),
        ("drying", takes("drying"), _("dry")),
        ("bisque", takes("bisque") * loads.get("bisque", 1), _loads_words("bisque", loads.get("bisque", 1))),
        ("glazing", takes("glazing"), _("glaze")),
        ("glaze", takes("glaze") * loads.get("glaze", 1), _loads_words("glaze", loads.get("glaze", 1))),
        ("spare", takes("spare"), _("kept free")),
    ]
    found, end = [], due
    for name, count, words in reversed(work):
        if count:
            found.append(PlanDay(name, end - datetime.timedelta(count), end - datetime.timedelta(1), words))
        end -= datetime.timedelta(count)
    found.reverse()
    said = (
        (_("days for {work} as is common practice; the studio says no others").format(work=", ".join(map(_, usual))),)
        if usual
        else ()
    )
    return (*found, PlanDay("due", due, due, _("wanted"))), said


def firing_words(kind: str) -> str:
    """A firing by its kind: `bisque firing`."""
    return _(_FIRINGS.get(kind, kind))


_FIRINGS = {"bisque": later("bisque firing"), "glaze": later("glaze firing")}


def _loads_words(kind: str, loads: int) -> str:
    return firing_words(kind) + (_(", {count} loads one after another").format(count=loads) if loads > 1 else "")
