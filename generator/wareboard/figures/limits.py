"""What one file says that hardly can be: limits from common practice, wide enough that ordinary ware never meets them.

One function a rule, each named as its rule is; its docstring is its entry in the manual. All are warnings: somebody's
practice is always uncommon.
"""

from __future__ import annotations

import datetime
import itertools
import math
from collections.abc import Callable, Collection, Iterator

from wareboard.figures import materiallimits, tradelimits
from wareboard.figures.saying import is_beyond, meant, percent, say, say_length
from wareboard.pot.stages import COUNTED
from wareboard.text.kinds import Size, Word
from wareboard.text.plain import escaped
from wareboard.text.problems import Problem, did_you_mean, warning
from wareboard.text.projects import Project
from wareboard.text.specs import Counts

Limit = Callable[[Project], Iterator[Problem]]

MOST_BAT_MM = 40.0
MOST_STEPS = {"ruler": (5.0, "1 mm"), "inch": (6.4, "1/16 in"), "scale": (50.0, "5 g")}
MOST_LOSS_SHARE = 0.4
BOARD_MM = {"length": (300.0, 2500.0), "width": (80.0, 700.0), "gap": (0.0, 150.0)}
MOST_SPREAD_MM = {"calipers": 3.0, "trimming": 3.0, "out_of_round": 5.0}
# Of thrown weights: a beginner's lie within a tenth.
MOST_SPREAD_SHARE = {"shrinkage": 0.02, "drying": 0.02, "firing": 0.02, "weight": 0.1}
MOST_LEAST_WALL_MM = 8.0
MOST_FIT_LIMIT_SHARE = 0.1
LEAST_SHELF_MM = 8.0
STOCK_WATER_SHARE = (0.1, 0.6)  # drier is dry clay, wetter a slip
LEAST_STOCK_G, MOST_STOCK_G = 500.0, 5e6
BAG_G = (1000.0, 50_000.0)
TOLERANCE_SHARE = (0.002, 0.2)
MOST_GAP_MM = 100.0
SHELF_MM = (4.0, 60.0)
LEAST_PROP_MM = 10.0
TIME_H = (10.0 / 3600.0, 8.0)  # for one set
BUCKET_MM = (100.0, 1200.0)
SLOP_MM = (20.0, 1000.0)
OLDEST_DAYS, FARTHEST_DAYS = 20 * 365, 5 * 365
# Of an order's line: a thrower makes some hundred pieces a day.
MANY_SETS, MANY_TIMES = 1000, 10
TALLY_TIMES, TALLY_OVER = 5, 50
# Of what an hour's work costs, whatever the currency.
COSTS_IN_HOURS = {"clay": (0.001, 1.0), "glaze": (0.001, 10.0), "bisque": (0.01, 100.0), "firing": (0.01, 100.0)}


# ---- the studio ----


def thick_bat(project: Project) -> Iterator[Problem]:
    """A bat thicker than bats are. It is added to every pointer height, so its unit matters."""
    bat = project.studio.bat
    if bat and bat.value > MOST_BAT_MM:
        yield warning(
            "thick-bat",
            bat.at,
            f"bat: {say_length(project.studio, bat)} thick; bats are {say(project.studio, 6.0, 'mm', 2)} to {say(project.studio, 25.0, 'mm', 2)}",
            meant(bat, 3.0, MOST_BAT_MM),
        )


def coarse_step(project: Project) -> Iterator[Problem]:
    """A step of a scale or a ruler so coarse that what is rounded to it would spoil the pot."""
    for name, (most, usual) in MOST_STEPS.items():
        size = getattr(project.studio.steps, name) if project.studio.steps else None
        if size and size.value > most:
            yield warning(
                "coarse-step",
                size.at,
                f"steps.{name}: sizes to set are rounded to {size.typed}; tools have finer marks",
                f"did you mean `{usual}`?",
            )


def great_loss(project: Project) -> Iterator[Problem]:
    """So much is lost at one step that the numbers to throw would be of no use: of pieces, or of a ball's clay."""
    losses = project.studio.losses
    for name in ("throwing", "trimming", "drying", "bisque", "glaze"):
        size = getattr(losses, name) if losses else None
        if size and size.value > MOST_LOSS_SHARE:
            yield warning(
                "great-loss",
                size.at,
                f"losses.{name}: {size.typed} of the pieces are lost at this step; more than {percent(MOST_LOSS_SHARE)} is seldom lived with",
                "look at the percentage",
            )
    for form in project.forms.values():
        for name, part in form.parts.items():
            loss = part.throwing and part.throwing.loss
            if loss and loss.value > MOST_LOSS_SHARE:
                yield warning(
                    "great-loss",
                    loss.at,
                    f"parts.{name}.throwing.loss: {loss.typed} of the ball ends in the slip; more than {percent(MOST_LOSS_SHARE)} is seldom lived with",
                    "look at the percentage",
                )


def odd_board(project: Project) -> Iterator[Problem]:
    """A ware board of a size that nobody carries."""
    for name, (low, high) in BOARD_MM.items():
        size = getattr(project.studio.boards, name) if project.studio.boards else None
        if size and is_beyond(size, low, high):
            bounds = (
                f"{say(project.studio, low, 'mm')} to {say(project.studio, high, 'mm')}"
                if low
                else f"up to {say(project.studio, high, 'mm')}"
            )
            yield warning(
                "odd-board",
                size.at,
                f"boards.{name}: {say_length(project.studio, size)}; usual is {bounds}",
                meant(size, low, high),
            )


def wide_spread(project: Project) -> Iterator[Problem]:
    """A spread so wide that no fit could hold, or no two pots are alike. One standard deviation is meant, about a sixth of all between the smallest and the largest of many."""
    places = [("", project.studio.spreads), *((f"{form.title}: ", form.spreads) for form in project.forms.values())]
    for whose, spreads in places:
        for name, most in {**MOST_SPREAD_MM, **MOST_SPREAD_SHARE}.items():
            size = getattr(spreads, name) if spreads else None
            if isinstance(size, Size) and size.value > most:
                share = name in MOST_SPREAD_SHARE
                limit = percent(most) if share else say(project.studio, most, "mm")
                yield warning(
                    "wide-spread",
                    size.at,
                    f"{whose}spreads.{name}: {size.typed} is one standard deviation; more than {limit} leaves no {'two pots alike' if name == 'weight' else 'fit'}",
                    "look at the percentage" if share else meant(size, 0.02, most),
                )


def odd_limit(project: Project) -> Iterator[Problem]:
    """A limit of the studio's own that would warn of every pot, or of none."""
    wall, share = project.studio.least_wall, project.studio.fit_limit
    if wall and wall.value > MOST_LEAST_WALL_MM:
        said = say(project.studio, MOST_LEAST_WALL_MM, "mm")
        yield warning(
            "odd-limit",
            wall.at,
            f"least_wall: {wall.typed} would call most thrown walls thin; usual is under {said}",
            meant(wall, 0.5, MOST_LEAST_WALL_MM),
        )
    if share and share.value > MOST_FIT_LIMIT_SHARE:
        yield warning(
            "odd-limit",
            share.at,
            f"fit_limit: {share.typed} of the lids could bind before a form is warned of; usual is under {percent(MOST_FIT_LIMIT_SHARE)}",
            "look at the percentage",
        )
    for name in ("height", "diameter", "wall", "weight", "capacity"):
        accepted = getattr(project.studio.tolerances, name) if project.studio.tolerances else None
        if accepted and accepted.share and not TOLERANCE_SHARE[0] <= accepted.share <= TOLERANCE_SHARE[1]:
            yield warning(
                "odd-limit",
                accepted.at,
                f"tolerances.{name}: {accepted.typed} would pass {'hardly a pot' if accepted.share < 0.01 else 'every pot'}; usual is {percent(TOLERANCE_SHARE[0])} to {percent(TOLERANCE_SHARE[1])}",
                "look at the percentage",
            )


def odd_at_hand(project: Project) -> Iterator[Problem]:
    """Clay at hand that is dry or runs, or a bag or a heap of it that is hardly a handful: a point or a unit is wrong."""
    bag = project.studio.bag
    if bag and is_beyond(bag, *BAG_G):
        said = " to ".join(say(project.studio, low, "g") for low in BAG_G)
        yield warning("odd-at-hand", bag.at, f"bag: {bag.typed}; usual is {said}", meant(bag, *BAG_G, ("kg", "lb")))
    for entry in project.studio.stock:
        lump = entry.weighed
        share = entry.water.value if entry.water else None
        if lump and lump.dry.value <= lump.wet.value:
            share = 1.0 - lump.dry.value / lump.wet.value
        if share is not None and not STOCK_WATER_SHARE[0] <= share <= STOCK_WATER_SHARE[1]:
            yield warning(
                "odd-at-hand",
                (entry.water or entry).at,
                f"stock: {entry.name} holds {share * 100:.3g} % water; clay for blending holds {percent(STOCK_WATER_SHARE[0])} to {percent(STOCK_WATER_SHARE[1])} of its weight",
                "look at the percentage" if entry.water else "weigh the lump again, wet and bone dry",
            )
        if entry.weight.value < LEAST_STOCK_G:
            yield warning(
                "odd-at-hand",
                entry.weight.at,
                f"stock: {entry.weight.typed} of {entry.name} is less than a pot takes",
                meant(entry.weight, LEAST_STOCK_G, MOST_STOCK_G, ("kg", "lb")),
            )
        elif entry.weight.value > MOST_STOCK_G:
            yield warning(
                "odd-at-hand",
                entry.weight.at,
                f"stock: {entry.weight.typed} of {entry.name} is more than a lorry brings",
                meant(entry.weight, LEAST_STOCK_G, MOST_STOCK_G, ("kg", "lb")),
            )


def odd_cost(project: Project) -> Iterator[Problem]:
    """Something that costs nothing, or far more or less than it usually does beside an hour's work: a point or a unit is wrong."""
    costs = project.studio.costs
    if costs is None:
        return
    firing = costs.firing
    paid = {"clay": costs.clay, "glaze": costs.glaze, "hour": costs.hour}
    paid |= {"firing.bisque": firing.bisque, "firing.glaze": firing.glaze} if firing else {}
    for name, price in paid.items():
        if price is None:
            continue
        low, high = COSTS_IN_HOURS.get(name.partition(".")[0], (0.0, float("inf")))
        hour = costs.hour.value if costs.hour else 0.0
        if price.value == 0.0:
            yield warning(
                "odd-cost",
                price.at,
                f"costs.{name}: `{price.typed}` costs nothing",
                "leave the line out where it is not counted",
            )
        elif hour and name != "hour" and not low * hour <= price.value <= high * hour:
            yield warning(
                "odd-cost",
                price.at,
                f"costs.{name}: {price.typed}, where an hour's work costs {costs.hour.typed if costs.hour else ''}",
                "look at the point and at what the price is for",
            )


# ---- kilns ----


def odd_bucket(project: Project) -> Iterator[Problem]:
    """A glaze bucket that is no bucket, or in which what is said to be there would stand as a film or a tower."""
    for glaze in project.glazes.values():
        across = glaze.bucket and glaze.bucket.diameter
        slop = glaze.bucket and glaze.bucket.slop
        if across and is_beyond(across, *BUCKET_MM):
            said = " to ".join(say(project.studio, low, "mm") for low in BUCKET_MM)
            yield warning(
                "odd-bucket", across.at, f"bucket.diameter: {across.typed}; usual is {said}", meant(across, *BUCKET_MM)
            )
        elif across and slop:
            high_mm = slop.value * 1000.0 / (math.pi / 4.0 * across.value**2)
            if not SLOP_MM[0] <= high_mm <= SLOP_MM[1]:
                yield warning(
                    "odd-bucket",
                    slop.at,
                    f"bucket.slop: {slop.typed} stands {say(project.studio, high_mm, 'mm')} high in a bucket {across.typed} across",
                    "look at the units of both",
                )


def odd_gap(project: Project) -> Iterator[Problem]:
    """Pots in a kiln that would stick together, or stand farther apart than anybody sets them; or more air above them than half the kiln."""
    for kiln in project.kilns.values():
        gap, headroom, inside = kiln.gap, kiln.headroom, kiln.inside_height
        if gap and gap.value == 0.0:
            yield warning(
                "odd-gap",
                gap.at,
                f"gap: `{gap.typed}` lets glazed pots stick together",
                "leave it out, or write `gap: 8 mm`",
            )
        elif gap and gap.value > MOST_GAP_MM:
            yield warning(
                "odd-gap", gap.at, f"gap: {say_length(project.studio, gap)} between pots; usual is under {say(project.studio, MOST_GAP_MM, 'mm')}", meant(gap, 2.0, MOST_GAP_MM)
            )  # fmt: skip
        if headroom and inside and headroom.value > inside.value / 2.0:
            yield warning(
                "odd-gap", headroom.at, f"headroom: {say_length(project.studio, headroom)} in a kiln that is {say_length(project.studio, inside)} high inside", meant(headroom, 2.0, inside.value / 2.0)
            )  # fmt: skip


def too_many_tiers(project: Project) -> Iterator[Problem]:
    """More shelves than go into the kiln, even with nothing on them."""
    for kiln in project.kilns.values():
        shelves = kiln.shelves
        tiers = shelves.tiers if shelves else None
        if not shelves or not tiers or kiln.inside_height is None:
            continue
        thick = kiln.shelf_thickness.value if kiln.shelf_thickness else LEAST_SHELF_MM
        if tiers * thick > kiln.inside_height.value:
            yield warning(
                "too-many-tiers",
                shelves.at,
                f"shelves.tiers: {tiers} shelves, {say(project.studio, thick, 'mm')} thick, come to {say(project.studio, tiers * thick, 'mm')}; the kiln is {say(project.studio, kiln.inside_height.value, 'mm')} high inside",
                "look at `tiers`, `shelf_thickness` and `inside_height`",
            )


def odd_furniture(project: Project) -> Iterator[Problem]:
    """A kiln shelf thinner or thicker than there are, or a prop that is no higher than a wad or higher than the kiln."""
    for kiln in project.kilns.values():
        shelf, inside = kiln.shelf_thickness, kiln.inside_height
        if shelf and is_beyond(shelf, *SHELF_MM):
            bounds = " to ".join(say(project.studio, limit, "mm") for limit in SHELF_MM)
            yield warning(
                "odd-furniture",
                shelf.at,
                f"shelf_thickness: {say_length(project.studio, shelf)}; shelves are {bounds} thick",
                meant(shelf, *SHELF_MM),
            )
        for prop in kiln.props:
            high, than = prop.height, ""
            if inside and high.value > inside.value:
                than = f"the kiln is {say_length(project.studio, inside)} high inside"
            elif high.value < LEAST_PROP_MM:
                than = f"props are at least {say(project.studio, LEAST_PROP_MM, 'mm')}"
            if than:
                yield warning(
                    "odd-furniture",
                    high.at,
                    f"props: one {say_length(project.studio, high)} high; {than}",
                    meant(high, LEAST_PROP_MM, inside.value if inside else 1000.0),
                )


# ---- days, runs ----


def odd_time(project: Project) -> Iterator[Problem]:
    """A job that takes longer than a day for one set, or no longer than picking it up: plan and cost follow from it."""
    for form in project.forms.values():
        for job, time in form.times.items():
            if is_beyond(time, *TIME_H):
                yield warning(
                    "odd-time",
                    time.at,
                    f"times.{job}: {time.typed} for one set; usual is {TIME_H[0] * 3600.0:g} s to {TIME_H[1]:g} h",
                    "it is the time that one set takes, not the run's",
                )


def date_in_future(project: Project) -> Iterator[Problem]:
    """A run or a test that has not been yet, or an order that was sent on a day that has not been."""
    # Somewhere it is tomorrow already.
    latest = datetime.date.today() + datetime.timedelta(days=1)
    tests = (glaze.food_contact for glaze in project.glazes.values())
    days = [
        *((run.at, "date", run.date, "a run is logged once it is done", "look at the year") for run in project.runs.values()),
        *((order.at, "sent", order.sent, "until it has, the order is open", "look at the year, or leave the line out") for order in project.orders.values()),
        *((test.at, "food_contact.tested", test.tested, "until it has, write `food_contact: untested`", "look at the year") for test in tests if test and not isinstance(test, Word)),
    ]  # fmt: skip
    for at, key, day, so, hint in days:
        if day and day > latest:
            yield warning("date-in-future", at, f"{key}: {day} has not been yet; {so}", hint)


def odd_date(project: Project) -> Iterator[Problem]:
    """A day so long ago, or an order due so far ahead, that the year is most likely mistyped."""
    today = datetime.date.today()
    oldest, farthest = today - datetime.timedelta(OLDEST_DAYS), today + datetime.timedelta(FARTHEST_DAYS)
    days = [("due", order.due, order.at, farthest) for order in project.orders.values()]
    days += [("date", run.date, run.at, datetime.date.max) for run in project.runs.values()]
    days += [("lots", lot.since, lot.at, farthest) for clay in project.clays.values() for lot in clay.lots]
    days += [
        ("food_contact.tested", glaze.food_contact.tested, glaze.food_contact.at, datetime.date.max)
        for glaze in project.glazes.values()
        if glaze.food_contact and not isinstance(glaze.food_contact, Word)
    ]
    for name, day, at, latest in days:
        if day and not oldest <= day <= latest:
            said = "was long ago" if day < oldest else "is far ahead"
            yield warning("odd-date", at, f"{name}: {day} {said}", "look at the year")


def counts_grow(project: Project) -> Iterator[Problem]:
    """A run of which more pieces were there after a step than before it."""
    for run in project.runs.values():
        if run.counts is None:
            continue
        counts = _counted(run.counts)
        for (earlier, before), (later, after) in itertools.pairwise(counts):
            if after > before:
                yield warning(
                    "counts-grow",
                    run.counts.at,
                    f"counts: {after} {_done(later)} of {before} {_done(earlier)}",
                    "count again; sets and pieces may have been mixed up",
                )


def unknown_lot(project: Project) -> Iterator[Problem]:
    """A run of a clay lot that neither a bar nor a lot of its clay has, where the clay tells lots apart: nothing is learned of that lot's shrinkage."""
    for run in project.runs.values():
        form = project.forms.get(str(run.form))
        clay = project.clays.get(str(form.clay)) if form else None
        if clay is None or run.lot is None:
            continue
        named = (*(bar.lot for bar in clay.bars), *(lot.lot for lot in clay.lots))
        known = sorted({str(lot) for lot in named if lot})
        if known and str(run.lot) not in known:
            yield warning(
                "unknown-lot",
                run.lot.at,
                f"lot: no bar and no lot of {clay.slug} is called '{escaped(str(run.lot))[:40]}'",
                did_you_mean(str(run.lot), known, "write the lot into the clay's `lots:`, or make bars of it"),
            )


# ---- orders ----


def many_sets(project: Project) -> Iterator[Problem]:
    """An order's line for far more sets than the studio has on record: a thousand and more, and over ten times the most that any other line or run has."""
    lines = [numbered for order in project.orders.values() for numbered in enumerate(order.lines, 1)]
    number, line = max(lines, key=lambda numbered: numbered[1].sets, default=(0, None))
    if line is None or line.sets < MANY_SETS:
        return
    runs = [count for run in project.runs.values() if run.counts for _step, count in _counted(run.counts)]
    most = max([*runs, *(other.sets for _number, other in lines if other is not line)], default=0)
    if line.sets > MANY_TIMES * most:
        record = f"the most that another line or a run has is {most}" if most else "no other line and no run has any"
        yield warning(
            "many-sets",
            line.at,
            f"lines[{number}]: {line.sets} sets; {record}",
            "look at the number; `wareboard plan` tells the clay, the days and the kiln loads that it takes",
        )


def tally_far_over(project: Project) -> Iterator[Problem]:
    """A tally of far more pieces than the order's sets of that form ask for: five times as many, and over fifty more."""
    for order in project.orders.values():
        for number, made in enumerate(order.made, 1):
            sets = sum(line.sets for line in order.lines if str(line.form) == str(made.form))
            for step in COUNTED:
                for part, count in (getattr(made, step) or {}).items():
                    if sets and count > max(TALLY_TIMES * sets, sets + TALLY_OVER):
                        fewer = next((count // tens for tens in (10, 100, 1000) if count % tens == 0 and sets <= count // tens <= TALLY_TIMES * sets), None)  # fmt: skip
                        yield warning(
                            "tally-far-over",
                            part.at,
                            f"made[{number}].{step}: {count} of {escaped(str(part))[:40]}, for {sets} {'set' if sets == 1 else 'sets'}",
                            f"was it {fewer}?"
                            if fewer
                            else "count again; what is made beyond an order is seldom so much",
                        )


def _counted(counts: Counts) -> list[tuple[str, int]]:
    steps = ("thrown", "trimmed", "dried", "bisque", "fired", "sold")
    return [(step, count) for step in steps if (count := getattr(counts, step)) is not None]


def _done(step: str) -> str:
    return "out of the bisque" if step == "bisque" else step


RULES: tuple[Limit, ...] = (
    thick_bat, coarse_step, great_loss, odd_board, wide_spread, odd_limit, odd_at_hand, odd_cost, *materiallimits.RULES, odd_bucket,
    odd_gap, too_many_tiers, odd_furniture, odd_time, date_in_future, odd_date, counts_grow, unknown_lot, many_sets, tally_far_over, *tradelimits.RULES,
)  # fmt: skip


def check_limits(project: Project, faulty: Collection[str] = ()) -> list[Problem]:
    """Everything in a studio's files that hardly can be; of `faulty` files, by path, nothing more is said."""
    return [problem for rule in RULES for problem in rule(project) if problem.at.file not in faulty]
