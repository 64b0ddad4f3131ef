"""A run's days as a calendar file; the only room that knows the calendar library, which is loaded when first needed."""

from __future__ import annotations

import datetime
import hashlib

from wareboard.figures.plan import Plan
from wareboard.words.templating import capital

# A stamp that is the same whenever the file is made: same plan, same bytes.
STAMP = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)


def render_calendar(plan: Plan, studio: str) -> str:
    """A run's days as an iCalendar file, one whole-day event for each part of the work.

    Args:
        plan: the plan; it has days.
        studio: the studio's name.
    Returns: the text, lines ended as the standard asks; calendars read it.
    Source: RFC 5545.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Wareboard//Run//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{plan.title}, {studio}")
    for day in plan.days:
        event = Event()
        event.add("uid", f"{hashlib.sha256(f'{studio} {plan.name} {day.work}'.encode()).hexdigest()[:20]}@wareboard")
        event.add("dtstamp", STAMP)
        event.add("dtstart", day.first)
        # A whole day ends before the next begins: the end is the day after the last.
        event.add("dtend", day.last + datetime.timedelta(1))
        event.add("summary", f"{plan.title}: {day.words}")
        event.add("description", _words(plan, day.work) or capital(day.words))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return calendar.to_ical().decode("utf-8")


def _words(plan: Plan, work: str) -> str:
    """What is done on the day: numbers to throw, pieces to expect."""
    if work == "throwing":
        return "; ".join(
            f"{line.title}: "
            + ", ".join(f"{pieces} {part} at {line.balls_g[part]:g} g" for part, pieces in line.throw.pieces.items())
            for line in plan.lines
        )
    if work == "due":
        return "; ".join(f"{line.sets} {line.title}" for line in plan.lines)
    return ""
