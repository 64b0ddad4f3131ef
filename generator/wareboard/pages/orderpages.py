"""Pages of orders in the studio's own site, the data beside them, and a run's days as a calendar file."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence

from markupsafe import Markup

from wareboard.cards.runsheet import SAID
from wareboard.drawing.shelves import draw_chances, draw_shelf, draw_stack, kind_letter
from wareboard.figures.plan import HEAVY_BOARD_KG, Firing, Plan, PlanLine
from wareboard.figures.planning import OnHand, make_plan, open_orders, stock_on_hand, wanted_of
from wareboard.figures.planwords import (
    alike,
    ball_words,
    blend_words,
    chance_text,
    expected_text,
    kilograms,
    litres,
    load_title,
    money,
    money_spent,
    pieces_text,
    spare_words,
    sure_words,
    tally_words,
    tier_words,
    written_date,
)
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.figures.throwing import chance_curve
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, neutral, pointed
from wareboard.text.order_specs import Order
from wareboard.text.projects import Project
from wareboard.words.glossary import caution_lines
from wareboard.words.pagetext import DataText, PageText
from wareboard.words.templating import capital, plain, render

LIST = "orders.html"
# Every load beyond these is told in words alone.
MOST_PICTURES = 4
MADE_BY = "-//Wareboard//Run//EN"
# A stamp that is the same whenever the file is made: same plan, same bytes.
STAMP = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)


def plan_of(order: Order, project: Project, sheets: Mapping[str, Sheet]) -> Plan:
    """One order's plan, as pages, sheets and data show it: nothing in it depends on the day on which it is made."""
    return make_plan(wanted_of(order), project, sheets)


def render_orders(project: Project, sheets: Mapping[str, Sheet], *, with_cards: bool = True) -> Iterator[PageText]:
    """The page of all orders, and one for each that is open; none where there are no orders.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link the run sheets.
    """
    if not project.orders:
        return
    plans = {order.slug: plan_of(order, project, sheets) for order in open_orders(project)}
    sent = sorted(
        (order for order in project.orders.values() if order.sent), key=lambda order: order.sent, reverse=True
    )
    listed = [
        {
            "slug": plan.name, "title": plan.title, "due": written_date(plan.due), "wanted": "; ".join(f"{line.sets} {line.title}" for line in plan.lines),
            "standing": [f"{tallied.title}: {tally_words(tallied)}" for tallied in plan.tally],
        }
        for plan in plans.values()
    ]  # fmt: skip
    told = [(str(order.title), written_date(order.sent)) for order in sent]
    body = render("pages/orders.html", orders=listed, sent=told, stock=list(_stock(stock_on_hand(project))))
    yield PageText(
        LIST,
        _("Orders"),
        body,
        _("What is to be made, and by when."),
        plain(" ".join(plan.title for plan in plans.values())),
        True,
    )
    for plan in plans.values():
        yield render_order(plan, project, sheets, with_cards=with_cards)


@neutral
def _plan_json(order: Order, project: Project, sheets: Mapping[str, Sheet]) -> str:
    shown = plan_of(order, project, sheets).as_json()
    return json.dumps(
        {name: value for name, value in shown.items() if name != "problems"}, ensure_ascii=False, indent=1
    )


def render_orders_data(project: Project, sheets: Mapping[str, Sheet]) -> Iterator[DataText]:
    """Beside each open order's page its plan as JSON, and its days as a calendar."""
    for order in open_orders(project):
        plan = plan_of(order, project, sheets)
        yield DataText(f"orders/{order.slug}.json", _plan_json(order, project, sheets) + "\n")
        if plan.days:
            yield DataText(f"orders/{order.slug}.ics", render_calendar(plan, str(project.studio.title)))


def _stock(stock: Sequence[OnHand]) -> Iterator[tuple[str, int]]:
    for found in stock:
        if found.sets > 0:
            yield found.title, found.sets


# ---- one order ----


@frozen
class ShownLine:
    """One line of an order as its page shows it."""

    line: PlanLine
    parts: tuple[tuple[str, int, str, str], ...]
    expected: tuple[tuple[str, tuple[str, ...]], ...]
    spare: str
    chance: str
    surer: tuple[tuple[str, str, str], ...]
    picture: Markup


@frozen
class ShownLoad:
    """One load, or several alike, as the page shows them."""

    title: str
    stack: Markup
    shelves: tuple[tuple[int, str, Markup], ...]
    legend: tuple[tuple[str, str], ...]


def render_order(plan: Plan, project: Project, sheets: Mapping[str, Sheet], *, with_cards: bool = True) -> PageText:
    """One order's page.

    Args:
        plan: its plan.
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link the run sheet.
    """
    reader = reader_of(project.studio)
    body = render(
        "pages/order.html",
        plan=plan, with_cards=with_cards, due=written_date(plan.due), sure=sure_words(plan), customer=plan.customer if plan.customer not in plan.title else "",
        lines=[_line(line, plan, sheets[line.form], reader) for line in plan.lines], stages=(later("thrown"), later("trimmed"), "dry", "bisque", "fired"),
        tally=[(tallied, "; ".join(f"{pieces} × {part} {_(stage)}" for part, stage, pieces in tallied.latest), tally_words(tallied)) for tallied in plan.tally],
        clays=list(_clays(plan)), boards=[(row, pointed(f"{row.full_kg:.1f} kg"), row.full_kg > HEAVY_BOARD_KG) for row in plan.boards], heavy=f"{HEAVY_BOARD_KG:g} kg",
        glazes=list(_glazes(plan)), firings=[(firing, list(_loads(firing, plan, sheets))) for firing in plan.firings if firing.loads],
        days=[(written_date(day.first), written_date(day.last) if day.days > 1 else "", day.words) for day in plan.days], cost=_cost(plan), cautions=caution_lines,
    )  # fmt: skip
    words = f"{plan.title} order {' '.join(line.title for line in plan.lines)}"
    return PageText(
        f"orders/{plan.name}.html",
        plan.title,
        body,
        _("{title}: what to throw, and what it takes.").format(title=plan.title),
        plain(words),
    )


def _line(line: PlanLine, plan: Plan, sheet: Sheet, reader: Reader) -> ShownLine:
    parts = tuple(
        (
            part,
            pieces,
            ball_words(line, part, reader),
            _("and {weight} added").format(weight=reader.amounts(line.extras_g[part], "g")[0])
            if part in line.extras_g
            else "",
        )
        for part, pieces in line.throw.pieces.items()
    )
    expected = tuple(
        (part, (f"{pieces}", *(expected_text(line.expected(stage).pieces[part]) for stage in SAID)))
        for part, pieces in line.throw.pieces.items()
    )
    levels = [(plan.confidence, line.throw), *line.surer.items()]
    surer = tuple(
        (chance_text(level), pieces_text(throw.pieces, whole=True), kilograms(throw.balls_g))
        for level, throw in sorted(levels)
    )
    curve = chance_curve(line, sheet)
    picture = (
        draw_chances(line, curve, plan.confidence, name=f"{plan.name}-{line.form}-{line.glaze or 'bare'}-chances")
        if curve
        else ""
    )
    return ShownLine(line, parts, expected, spare_words(line), chance_text(line.throw.chance), surer, Markup(picture))


def _clays(plan: Plan) -> Iterator[dict[str, object]]:
    blends = {blend.clay: blend for blend in plan.blends}
    for clay in plan.clay:
        blend = blends.get(clay.clay)
        used, water, short = blend_words(blend) if blend else ([], "", "")
        yield {
            "title": clay.title, "slug": clay.clay, "weight": kilograms(clay.weight_g), "bags": clay.bags, "extras": kilograms(clay.extras_g) if clay.extras_g else "",
            "trimmings": kilograms(clay.trimmings_g), "lost": kilograms(clay.lost_g), "wanted": pointed(f"{blend.wanted_share * 100:.1f} %") if blend else "",
            "use": used, "water": water, "short": short if blend and blend.blend.reached else "",
            "nearest": pointed(f"{(blend.blend.nearest_share or 0.0) * 100:.1f} %") if blend and not blend.blend.reached else "",
        }  # fmt: skip


def _glazes(plan: Plan) -> Iterator[dict[str, object]]:
    for glaze in plan.glazes:
        deep = ""
        if glaze.deep_enough is not None:
            deep = _("Slop stands {depth} mm deep; the tallest, {tallest}, is {height} mm").format(
                depth=f"{glaze.depth_mm:.0f}", tallest=glaze.tallest, height=f"{glaze.tallest_mm:.0f}"
            ) + ("." if glaze.deep_enough else _(": it cannot be dipped whole. Pour it, or fill the bucket up."))
        yield {
            "title": glaze.title, "slug": glaze.glaze, "dry": kilograms(glaze.dry_g) if glaze.dry_g is not None else _("not known"), "slop": litres(glaze.slop_l), "water": litres(glaze.water_l),
            "density": pointed(f"{glaze.density_kg_l:.2f} kg/l") if glaze.density_kg_l is not None else "", "deep": deep,
        }  # fmt: skip


def _loads(firing: Firing, plan: Plan, sheets: Mapping[str, Sheet]) -> Iterator[ShownLoad]:
    own = [sheets[plan.lines[number].form] for number in firing.line_of]
    for number, (first, last, load) in enumerate(alike(firing)):
        name, drawn = f"{plan.name}-{firing.kind}-{first}", number < MOST_PICTURES
        shelves = tuple(
            (
                place + 1,
                tier_words(firing, load, place),
                Markup(draw_shelf(firing, tier, width_mm=58.0, name=f"{name}-{place}")) if drawn else Markup(""),
            )
            for place, tier in enumerate(load.tiers)
        )
        kinds = sorted({placed.kind for tier in load.tiers for placed in tier.placed})
        stack = Markup(draw_stack(firing, load, own, height_mm=92.0, name=f"{name}-stack")) if drawn else Markup("")
        yield ShownLoad(
            load_title(first, last), stack, shelves, tuple((kind_letter(kind), firing.names[kind]) for kind in kinds)
        )


def _cost(plan: Plan) -> dict[str, object] | None:
    if plan.cost is None:
        return None
    cost = plan.cost
    return {
        "currency": cost.currency, "total": money_spent(cost, cost.currency), "leaves_out": cost.leaves_out,
        "rows": [
            (line.title, *(money(part) for part in line.cost.parts), money(line.cost.each), money(line.price))
            for line in cost.lines
        ],
    }  # fmt: skip


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
    calendar.add("prodid", MADE_BY)
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


def is_calendar(content: bytes) -> bool:
    """True for a calendar of a run that was made here.

    Args:
        content: the file.
    """
    return content.startswith(b"BEGIN:VCALENDAR") and f"\nPRODID:{MADE_BY}\r\n".encode() in content


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
