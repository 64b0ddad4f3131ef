"""From orders and sheets to a plan: what is open, what stands in stock, what is asked for, and all that it takes."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import fsum

from wareboard.figures.built import dry_glaze_in_a_litre
from wareboard.figures.firings import plan_firings
from wareboard.figures.plan import Plan, PlanDay, PlanLine
from wareboard.figures.schedule import plan_days
from wareboard.figures.sheet import Sheet
from wareboard.figures.supplies import Bucket, hours_of, plan_blends, plan_boards, plan_clay, plan_cost, plan_glazes
from wareboard.figures.throwing import good_sets, losses_of, plan_line, plan_tally
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.order_links import check_order_links
from wareboard.text.order_specs import MOST_SETS_TOGETHER, Line, Made, Order
from wareboard.text.problems import Impossible, Problem, error, in_file_order, warning
from wareboard.text.projects import Project
from wareboard.text.studio_specs import Kiln

CONFIDENCE = 0.95


@frozen
class Wanted:
    """What is planned for: one order, several together, or a form by itself."""

    name: str
    title: str
    lines: tuple[Line, ...]
    made: tuple[Made, ...] = ()
    orders: tuple[str, ...] = ()
    customer: str = ""
    due: datetime.date | None = None
    confidence: float | None = None
    kiln: str | None = None


def wanted_of(order: Order) -> Wanted:
    """What one order asks for."""
    return Wanted(
        order.slug,
        str(order.title),
        order.lines,
        order.made,
        (order.slug,),
        str(order.customer or ""),
        order.due,
        order.confidence.value if order.confidence else None,
        str(order.kiln) if order.kiln else None,
    )


def wanted_together(orders: Sequence[Order]) -> Wanted:
    """What several orders ask for together: lines of one form and glaze are one, for the first day that any is due."""
    pooled: dict[tuple[str, str], Line] = {}
    for line in (line for order in orders for line in order.lines):
        key = (str(line.form), str(line.glaze or ""))
        known = pooled.get(key)
        pooled[key] = (
            line
            if known is None
            else replace(
                known, sets=known.sets + line.sets, from_stock=(known.from_stock or 0) + (line.from_stock or 0)
            )
        )
    confident = [order.confidence.value for order in orders if order.confidence]
    kilns = {str(order.kiln) for order in orders if order.kiln}
    return Wanted(
        "all-open-orders",
        _("All open orders"),
        tuple(pooled.values()),
        tuple(made for order in orders for made in order.made),
        tuple(order.slug for order in orders),
        "",
        min((order.due for order in orders if order.due), default=None),
        max(confident, default=None),
        kilns.pop() if len(kilns) == 1 else None,
    )


# ---- the whole ----


def make_plan(
    wanted: Wanted,
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    today: datetime.date | None = None,
    buckets: Mapping[str, Bucket] | None = None,
) -> Plan:
    """Plan a run.

    Args:
        wanted: what is asked for; lines whose form or glaze can't be worked out are left out.
        project: the studio.
        sheets: each form's sheet by slug.
        today: the day, to tell what is too late already; nothing is said of it unless given.
        buckets: glaze buckets as they were found, by the glaze's slug.
    Returns: the plan, with every problem in it.
    """
    studio, problems, told = project.studio, [], []
    confidence = wanted.confidence or (studio.confidence.value if studio.confidence else CONFIDENCE)
    asked = sum(line.sets for line in wanted.lines)
    if asked > MOST_SETS_TOGETHER:
        words = f"lines: {asked:,} sets are asked for in all; at most {MOST_SETS_TOGETHER:,} can be planned together"
        problems.append(error("too-many", wanted.lines[0].at, words, "part them into several orders"))
        wanted = replace(wanted, lines=())
    both: list[tuple[PlanLine, Line]] = []
    for typed in wanted.lines:
        sheet = sheets.get(str(typed.form))
        if sheet is None or not _has_glaze(typed, project, problems):
            told.append(f"{typed.form} is left out: it, or its glaze, has errors")
            continue
        found = plan_line(sheet, typed, confidence)
        if isinstance(found, Problem):
            problems.append(found)
        else:
            glaze = project.glazes.get(found.glaze or "")
            both.append((replace(found, glaze_title=str(glaze.title) if glaze else ""), typed))
    lines = tuple(line for line, _other in both)
    if any(not losses_of(sheets[line.form].form, studio) for line in lines):
        told.append(_("no losses: neither the studio nor the form says what is lost, so nothing is taken to be"))
    told += _lids_elsewhere(lines, sheets)
    clay = tuple(plan_clay(lines, sheets, project))
    kiln = _kiln(wanted, project, told)
    firings, faults, said = plan_firings(both, sheets, kiln) if kiln else ((), [], [])
    problems += faults
    told += said
    hours = [hours_of(line, sheets[line.form].form) for line in lines]
    days: tuple[PlanDay, ...] = ()
    if wanted.due and lines:
        together = {work: fsum(one.get(work, 0.0) for one in hours) for work in ("throwing", "trimming", "glazing")}
        days, assumed = plan_days(wanted.due, studio, firings, together)
        told += assumed
        if today:
            problems += _too_late(wanted, days[0].first, today, project)
    return Plan(
        wanted.name, wanted.title, wanted.orders, wanted.customer, wanted.due, confidence, lines,
        tuple(plan_tally(wanted.made, lines, sheets, confidence)), clay, tuple(plan_blends(clay, project, problems)),
        tuple(plan_boards(lines, sheets, studio, told)), tuple(plan_glazes(lines, sheets, project, buckets or {}, told)), firings, days,
        plan_cost(lines, sheets, project, firings, hours), tuple(dict.fromkeys(told)), tuple(in_file_order(problems)),
    )  # fmt: skip


def _has_glaze(typed: Line, project: Project, problems: list[Problem]) -> bool:
    """Whether a line's own glaze, where it names one, is there and can be mixed; what it can't be is noted once."""
    if not typed.glaze:
        return True
    try:
        dry_glaze_in_a_litre(project.glazes.get(str(typed.glaze)))
    except Impossible as fault:
        problems += [fault.problem] if fault.problem not in problems else []
        return False
    return str(typed.glaze) in project.glazes


def _lids_elsewhere(lines: Sequence[PlanLine], sheets: Mapping[str, Sheet]) -> list[str]:
    """What goes with a form and is a form of its own: it wants a line of its own."""
    ordered = {line.form for line in lines}
    return [
        _("{title} goes with {form}, which is a form of its own and not in the order").format(
            title=line.title, form=side.form
        )
        for line in lines
        for fit in sheets[line.form].form.fits.values()
        for side in (fit.inside, fit.outside)
        if side.form and side.form not in ordered
    ]


def _kiln(wanted: Wanted, project: Project, told: list[str]) -> Kiln | None:
    named = wanted.kiln or (str(project.studio.kiln) if project.studio.kiln else None)
    if named in project.kilns:
        return project.kilns[named]
    if not project.kilns:
        told.append(_("no kiln loads: there is no kiln in specs/kilns/"))
        return None
    kiln = project.kilns[min(project.kilns)]
    if len(project.kilns) > 1:
        told.append(_("fired in {kiln}; `kiln:` in the order or the studio says another").format(kiln=kiln.title))
    return kiln


def _too_late(wanted: Wanted, first: datetime.date, today: datetime.date, project: Project) -> Iterable[Problem]:
    for slug in wanted.orders:
        order = project.orders[slug]
        if order.due is None or order.due != wanted.due:
            continue
        if order.due < today:
            yield warning(
                "due-passed",
                order.at,
                f"{order.title} was due on {order.due}; that day has passed",
                "write `sent:` and the day when it is out",
            )
        elif first < today and not order.made:
            yield warning(
                "begins-too-late",
                order.at,
                f"{order.title} is due on {order.due}; by these days it should have been begun on {first}",
            )


@frozen
class OnHand:
    """Finished sets of one form that no order has had: what orders left over, less what others took from stock.

    `left` names each order that left some, with how many were good and how many it had asked to be made.
    """

    form: str
    title: str
    sets: int
    left: tuple[tuple[str, int, int], ...]
    taken: tuple[tuple[str, int], ...]

    def as_json(self) -> dict[str, object]:
        """The stock as JSON."""
        return {
            "form": self.form,
            "sets": self.sets,
            "left": [{"order": order, "good": good, "wanted": wanted} for order, good, wanted in self.left],
            "taken": [{"order": order, "sets": sets} for order, sets in self.taken],
        }


def open_orders(project: Project) -> list[Order]:
    """Orders that have not been sent, the first due first."""
    waiting = [order for order in project.orders.values() if order.sent is None]
    return sorted(waiting, key=lambda order: (order.due is None, order.due, order.slug))


def stock_on_hand(project: Project) -> tuple[OnHand, ...]:
    """Finished sets by form: good ones made beyond the orders, less those that orders took; only forms that have any.

    Args:
        project: the studio.
    """
    found = []
    for form in project.forms.values():
        left, taken = [], []
        for order in project.orders.values():
            lines = [line for line in order.lines if line.form == form.slug]
            wanted = sum(line.sets - min(line.sets, line.from_stock or 0) for line in lines)
            good = good_sets(order, form)
            if good > wanted:
                left.append((order.slug, good, wanted))
            if drawn := sum(line.from_stock or 0 for line in lines):
                taken.append((order.slug, drawn))
        sets = sum(good - wanted for _, good, wanted in left) - sum(drawn for _, drawn in taken)
        if left or taken:
            found.append(OnHand(form.slug, str(form.title), sets, tuple(left), tuple(taken)))
    return tuple(found)


def with_stock(wanted: Wanted, stock: Sequence[OnHand]) -> tuple[Wanted, dict[str, int]]:
    """What is asked for with all that is on hand taken first.

    Args:
        wanted: what is planned for.
        stock: what is on hand.
    Returns: the same with more taken from stock; and how much more of each form, to be written into the order.
    """
    left = {found.form: max(0, found.sets) for found in stock}
    lines: list[Line] = []
    used: dict[str, int] = {}
    for line in wanted.lines:
        own = line.from_stock or 0
        more = min(line.sets - min(line.sets, own), left.get(str(line.form), 0))
        if more:
            left[str(line.form)] -= more
            used[str(line.form)] = used.get(str(line.form), 0) + more
        lines.append(replace(line, from_stock=own + more) if more else line)
    return replace(wanted, lines=tuple(lines)), used


def check_orders(project: Project, sheets: Mapping[str, Sheet]) -> list[Problem]:
    """Everything that is wrong in orders and with what they ask for; what depends on the day is told by a plan alone.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
    """
    problems = check_order_links(project)
    for order in open_orders(project):
        problems += make_plan(wanted_of(order), project, sheets).problems
    for found in stock_on_hand(project):
        if found.sets < 0:
            slug = found.taken[-1][0]
            line = next(line for line in project.orders[slug].lines if line.form == found.form and line.from_stock)
            problems.append(
                warning(
                    "more-than-in-stock",
                    line.at,
                    f"from_stock: orders take {sum(sets for _, sets in found.taken)} of {found.title} from stock; orders left over {sum(good - wanted for _, good, wanted in found.left)}",
                    "take less from stock, or count what was fired in the order that left them",
                )
            )
    return problems
