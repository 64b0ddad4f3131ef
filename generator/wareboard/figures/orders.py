"""Orders as they stand: what is open, what they leave in stock, and what is wrong in any of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wareboard.figures.planning import Wanted, make_plan, wanted_of
from wareboard.figures.sheet import Sheet
from wareboard.figures.throwing import good_sets
from wareboard.pot.frozen import frozen
from wareboard.text.order_links import check_order_links
from wareboard.text.order_specs import Line, Order
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project


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
