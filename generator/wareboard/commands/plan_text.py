"""A plan in words for a terminal: what to throw first, then what it takes, day by day last."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from wareboard.figures.plan import HEAVY_BOARD_KG, Plan, PlanGlaze, PlanLine, Tallied
from wareboard.figures.planning import OnHand
from wareboard.figures.planwords import (
    ball_words,
    blend_words,
    chance_text,
    kiln_lines,
    kilograms,
    litres,
    money,
    money_spent,
    pieces_text,
    spare_words,
    sure_words,
    tally_words,
    written_date,
)
from wareboard.figures.shown import Reader

WIDTH = 86


def render_plan(plan: Plan, reader: Reader, used: Mapping[str, int] | None = None) -> str:
    """A plan in words.

    Args:
        plan: the plan.
        reader: how the studio reads amounts.
        used: sets by form that were taken from stock beyond what the order says.
    """
    blocks: list[Iterable[str]] = [
        _head(plan),
        _throw(plan, reader),
        _tally(plan, reader),
        _clay(plan, reader),
        _boards(plan, reader),
        _glaze(plan, reader),
        kiln_lines(plan),
        _days(plan),
        _cost(plan),
        _stock(used or {}),
        _told(plan),
    ]
    shown = ["\n".join(_wrapped(block)) for block in blocks]
    return "\n\n".join(block for block in shown if block)


def _wrapped(lines: Iterable[str]) -> Iterator[str]:
    for line in lines:
        indent = len(line) - len(line.lstrip())
        yield from textwrap.wrap(line, WIDTH, subsequent_indent=" " * (indent + 4), break_on_hyphens=False) or [""]


def _head(plan: Plan) -> Iterator[str]:
    yield plan.title + (f", for {plan.customer}" if plan.customer and plan.customer not in plan.title else "")
    if plan.due:
        yield f"Due {written_date(plan.due)}."
    if plan.lines:
        yield sure_words(plan)


def _throw(plan: Plan, reader: Reader) -> Iterator[str]:
    if not plan.lines:
        return
    yield "Throw"
    for line in plan.lines:
        yield from _line(line, reader)


def _line(line: PlanLine, reader: Reader) -> Iterator[str]:
    stock = f", {line.sets - line.make} from stock" if line.make < line.sets else ""
    glaze = f", {line.glaze_title}" if line.glaze_title else ""
    yield f"  {line.title}{f' {line.code}' if line.code else ''}: {_count(line.sets, 'set')}{stock}{glaze}"
    for part, pieces in line.throw.pieces.items():
        added = f" and {reader.amounts(line.extras_g[part], 'g')[0]} added" if part in line.extras_g else ""
        yield f"    {pieces:>4} × {part} at {ball_words(line, part, reader)}{added}"
    if not line.make:
        return
    spare = spare_words(line)
    yield f"    {spare}{'; ' if spare else ''}{chance_text(line.throw.chance)} that {line.make} or more come out; {line.surplus_sets:.1f} over, on the mean"
    yield "    to expect: " + "; ".join(f"{one.stage} {pieces_text(one.pieces)}" for one in line.expect)
    others = (
        f"{chance_text(confidence)} sure: {pieces_text(throw.pieces, whole=True)}, {kilograms(throw.balls_g - line.throw.balls_g, sign=True)}"
        for confidence, throw in sorted(line.surer.items())
    )
    yield "    " + "; ".join(others)


def _tally(plan: Plan, reader: Reader) -> Iterator[str]:
    if plan.tally:
        yield "So far"
    for tallied in plan.tally:
        yield f"  {tallied.title}: {_counted(tallied)}"
        yield f"    {tally_words(tallied)}"


def _counted(tallied: Tallied) -> str:
    return "; ".join(f"{pieces} × {part} {stage}" for part, stage, pieces in tallied.latest)


def _clay(plan: Plan, reader: Reader) -> Iterator[str]:
    if plan.clay:
        yield "Clay"
    for clay in plan.clay:
        bags = f", {_count(clay.bags, 'bag')}" if clay.bags is not None else ""
        extras = f", {kilograms(clay.extras_g)} of it added" if clay.extras_g else ""
        yield f"  {clay.title}: {kilograms(clay.weight_g)}{bags}{extras}"
        yield f"    comes back: trimmings {kilograms(clay.trimmings_g)}, lost before the bisque {kilograms(clay.lost_g)} (weighed as thrown)"
    for blend in plan.blends:
        made = blend.blend
        if not made.reached:
            yield f"    blend: {blend.wanted_share * 100:.1f} % water can't be had from what is at hand; the firmest that can is {(made.nearest_share or 0.0) * 100:.1f} %"
            continue
        used, water, short = blend_words(blend)
        parts = [f"{weight} of {name} ({share} water)" for name, share, weight in used]
        parts += [f"{water} of water worked in by hand"] if water else []
        bought = f"; {short} more must be bought" if short else ""
        yield f"    blend to {blend.wanted_share * 100:.1f} %: {', '.join(parts)}{bought}"


def _boards(plan: Plan, reader: Reader) -> Iterator[str]:
    if plan.boards:
        yield f"Boards: {plan.boards_count}"
    for row in plan.boards:
        heavy = (
            f"; over {HEAVY_BOARD_KG:g} kg: carry it with somebody, or set fewer"
            if row.full_kg > HEAVY_BOARD_KG
            else ""
        )
        yield f"  {row.title}, {row.part}: {row.pieces} at {row.a_board} a board, {_count(row.boards, 'board')}, {row.full_kg:.1f} kg a full one{heavy}"


def _glaze(plan: Plan, reader: Reader) -> Iterator[str]:
    if plan.glazes:
        yield "Glaze"
    for glaze in plan.glazes:
        yield from glaze_lines(glaze)


def glaze_lines(glaze: PlanGlaze) -> Iterator[str]:
    """One glaze in words: what the run takes, what the bucket wants, whether it is deep enough."""
    if glaze.dry_g is None:
        return
    slop = (
        f", {litres(glaze.slop_l)} of slop at {glaze.density_kg_l:.2f} (water {litres(glaze.water_l)})"
        if glaze.slop_l is not None
        else ""
    )
    yield f"  {glaze.title}: {kilograms(glaze.dry_g)} dry on the ware{slop}"
    if glaze.correction:
        made = glaze.correction
        add = (
            f"add {litres(made.water_l)} of water"
            if made.water_l > 5e-3
            else f"add {kilograms(made.dry_kg * 1000.0)} of dry glaze"
            if made.dry_kg > 5e-4
            else "nothing to add"
        )
        short = (
            f"; {kilograms(glaze.short_dry_g)} of dry glaze short of the run"
            if glaze.short_dry_g
            else "; enough for the run"
        )
        yield f"    {litres(glaze.bucket_l)} at {glaze.found_kg_l:.2f}: {add}, then {litres(made.slop_l)}{short}"
    elif glaze.bucket_l is not None and glaze.slop_l is not None:
        enough = (
            "enough for the run"
            if glaze.bucket_l >= glaze.slop_l
            else f"{litres(glaze.slop_l - glaze.bucket_l)} short of the run"
        )
        yield f"    {litres(glaze.bucket_l)} in the bucket: {enough}"
    if glaze.deep_enough is not None:
        said = "deep enough for" if glaze.deep_enough else "not deep or wide enough to dip"
        yield f"    slop stands {glaze.depth_mm:.0f} mm deep: {said} {glaze.tallest}, {glaze.tallest_mm:.0f} mm"


def _days(plan: Plan) -> Iterator[str]:
    if plan.days:
        yield "Days"
    for day in plan.days:
        until = f" to {written_date(day.last)}" if day.days > 1 else ""
        yield f"  {written_date(day.first)}{until}: {day.words}"


def _cost(plan: Plan) -> Iterator[str]:
    if plan.cost is None:
        return
    cost = plan.cost
    yield f"Cost (private), {money_spent(cost, cost.currency)}"
    for line in cost.lines:
        parts = (
            ("clay", line.cost.clay),
            ("glaze", line.cost.glaze),
            ("firing", line.cost.firing),
            ("time", line.cost.time),
        )
        spent = ", ".join(f"{name} {money(value)}" for name, value in parts if value is not None)
        price = f"; shops pay {money(line.price, cost.currency)}" if line.price is not None else ""
        yield f"  {line.title}: {money(line.cost.each, cost.currency)} a good set{price} ({spent})"
    yield f"  {cost.leaves_out}"


def _stock(used: Mapping[str, int]) -> Iterator[str]:
    for form, sets in used.items():
        yield f"Taken from stock: {_count(sets, 'set')} of {form}. Write `from_stock: {sets}` into the order's line to keep them."


def _told(plan: Plan) -> Iterator[str]:
    if plan.told:
        yield "Taken for granted"
    for words in plan.told:
        yield f"  {words}"


def render_stock(stock: Sequence[OnHand]) -> str:
    """What is on hand, in words."""
    if not stock:
        return "Nothing is on hand: no order has left anything over."
    lines = []
    for found in stock:
        lines.append(f"{found.title}: {_count(found.sets, 'set')}")
        lines += [
            f"  {order}: {good} good, {wanted} wanted, {good - wanted} over" for order, good, wanted in found.left
        ]
        lines += [f"  {order}: {sets} taken" for order, sets in found.taken]
    return "\n".join(lines)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" + ("" if number == 1 else "s")
