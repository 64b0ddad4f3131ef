"""From orders and sheets to a plan: how many to throw, the clay, boards, glaze, firings, days and what it costs."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from math import ceil

from wareboard.figures.clays import make_body
from wareboard.figures.firings import footprint_of, plan_firings
from wareboard.figures.plan import (
    BoardRow,
    CostLine,
    Expected,
    Firing,
    Plan,
    PlanBlend,
    PlanClay,
    PlanCost,
    PlanDay,
    PlanGlaze,
    PlanLine,
    Tallied,
)
from wareboard.figures.schedule import JOBS, plan_days
from wareboard.figures.sheet import Sheet
from wareboard.pot import runs
from wareboard.pot.blends import Stocked, blend, water_share
from wareboard.pot.buckets import correct_bucket, slop_depth_mm
from wareboard.pot.costs import Prices, cost_of
from wareboard.pot.frozen import frozen
from wareboard.pot.glaze import dry_glaze_kg_per_l, glaze_dry_g, water_kg_per_dry_kg
from wareboard.pot.kilnloads import load_shares
from wareboard.pot.packing import pieces_on
from wareboard.pot.runs import COUNTED, Group, PartRun, Throw
from wareboard.text.kinds import ByName, Size
from wareboard.text.order_links import counts_of
from wareboard.text.problems import Problem, error, in_file_order, warning
from wareboard.text.projects import Project
from wareboard.text.specs import Form, Kiln, Losses, Studio
from wareboard.text.specs_orders import ClayStock, Line, Made, Order

CONFIDENCE = 0.95
ALSO_AT = (0.90, 0.99)
GRAIN_G_CM3 = 2.6
LEAVES_OUT = "Left out: rent, tools, packing and carriage, tests, selling, tax, wages while the kiln cools, and what reclaimed clay is worth."


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


@frozen
class Bucket:
    """A bucket as it was found: how much slop, and its density."""

    slop_l: float
    density_kg_l: float


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
        "All open orders",
        tuple(pooled.values()),
        tuple(made for order in orders for made in order.made),
        tuple(order.slug for order in orders),
        "",
        min((order.due for order in orders if order.due), default=None),
        max(confident, default=None),
        kilns.pop() if len(kilns) == 1 else None,
    )


# ---- how many ----


def shares_of(form: Form, studio: Studio) -> tuple[float, ...]:
    """Share of what is thrown that is there after each stage, by the form's own losses, else the studio's."""
    return runs.survival_shares({stage: size.value for stage, size in _losses(form, studio).items()})


def _losses(form: Form, studio: Studio) -> dict[str, Size]:
    own, usual = form.losses or Losses(), studio.losses or Losses()
    found = {stage: getattr(own, stage) or getattr(usual, stage) for stage in runs.WORK}
    return {stage: size for stage, size in found.items() if size is not None}


def groups_of(form: Form) -> tuple[tuple[str, ...], ...]:
    """Parts that are trimmed to one another, together; every other part by itself."""
    home = {str(name): {str(name)} for name in form.parts}
    for fit in form.fits.values():
        sides = [str(side.part) for side in (fit.inside, fit.outside) if side.form in (None, form.slug)]
        if len(sides) == 2 and fit.pairing != "any":
            joined = home[sides[0]] | home[sides[1]]
            home.update(dict.fromkeys(joined, joined))
    return tuple(dict.fromkeys(tuple(name for name in home if name in home[part]) for part in home))


def _groups(sheet: Sheet, shares: Sequence[float]) -> tuple[Group, ...]:
    trimmed, fired = shares[COUNTED.index("trimmed")], shares[-1]
    return tuple(
        Group(
            tuple(
                PartRun(part, sheet.value(f"{part}.ball.set", "wet"), trimmed, fired / trimmed if trimmed else 0.0)
                for part in parts
            )
        )
        for parts in groups_of(sheet.form)
    )


def _upto(groups: Sequence[Group], share: float) -> list[Group]:
    """The groups followed only so far: `share` of a trimmed piece is still there."""
    return [replace(group, parts=tuple(replace(part, after_share=share) for part in group.parts)) for group in groups]


def _expected(groups: Sequence[Group], throw: Throw, shares: Sequence[float]) -> tuple[Expected, ...]:
    """What is there after each stage. From drying on parts trimmed to one another are counted in pairs."""
    trimmed, found = shares[1], []
    at_trimming = {part.name: throw.pieces[part.name] * trimmed for group in groups for part in group.parts}
    for stage, share in zip(COUNTED[1:], shares[1:], strict=True):
        followed = _upto(groups, share / trimmed)
        pairs = {
            part.name: count
            for group, count in ((group, runs.expected_pairs(group, throw.pieces)) for group in followed)
            for part in group.parts
        }
        sets = runs.expected_sets(followed, throw.pieces) if stage == COUNTED[-1] else min(pairs.values())
        found.append(Expected(stage, at_trimming if stage == "trimmed" else pairs, sets))
    return tuple(found)


def _extra_g(sheet: Sheet, part: str) -> float:
    """Clay that is added to a part: handles and the like."""
    total = 0.0
    for name, extra in sheet.form.parts[part].extras.items():
        figure = sheet.find(f"{part}.{name}.clay", "wet")
        total += figure.value if figure else extra.clay.value if extra.clay else 0.0
    return total


def _plan_line(sheet: Sheet, line: Line, confidence: float) -> PlanLine | Problem:
    form, studio = sheet.form, sheet.studio
    shares = shares_of(form, studio)
    if shares[-1] < runs.LEAST_YIELD_SHARE:
        worst = max(_losses(form, studio).values(), key=lambda size: size.value)
        return error(
            "losses-leave-nothing",
            worst.at,
            f"losses: of {form.title} {shares[-1] * 100:.2g} % come through all stages together; no number is planned under {runs.LEAST_YIELD_SHARE * 100:g} %",
            "look at the losses; each is the share of what reaches that stage",
        )
    groups, make = _groups(sheet, shares), line.sets - min(line.sets, line.from_stock or 0)
    levels = tuple(dict.fromkeys((confidence, *ALSO_AT)))
    throws = dict(zip(levels, runs.least_clay(groups, make, levels), strict=True))
    throw = throws[confidence]
    expect = _expected(groups, throw, shares)
    parts = [str(name) for name in form.parts]
    own = any(len(group.parts) > 1 for group in groups)
    return PlanLine(
        str(line.form),
        str(form.title),
        str(form.code or ""),
        str(form.clay),
        str(line.glaze or form.glaze or "") or None,
        line.sets,
        make,
        "own" if own else "any",
        replace(throw, pieces={part: throw.pieces[part] for part in parts}),
        expect[-1].sets - make,
        expect,
        {part: sheet.value(f"{part}.ball.set", "wet") for part in parts},
        {part: sheet.value(f"{part}.ball", "wet") for part in parts},
        {part: extra for part in parts if (extra := _extra_g(sheet, part))},
        {level: found for level, found in throws.items() if level != confidence},
    )


# Chances at which a curve has its points.
CURVE = (0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.975, 0.99, 0.995)


def chance_curve(line: PlanLine, sheet: Sheet) -> dict[float, Throw]:
    """The numbers with the least clay for few chances and for many, for a picture."""
    groups = _groups(sheet, shares_of(sheet.form, sheet.studio))
    return dict(zip(CURVE, runs.least_clay(groups, line.make, CURVE), strict=True)) if line.make else {}


# ---- the tally ----


def _tally(
    made: Sequence[Made], lines: Sequence[PlanLine], sheets: Mapping[str, Sheet], confidence: float
) -> Iterable[Tallied]:
    """How each form stands that something was counted of."""
    for form in dict.fromkeys(str(entry.form) for entry in made):
        own = [line for line in lines if line.form == form]
        batches = [dict(counts_of(entry)) for entry in made if entry.form == form]
        if not own or not any(batches):
            continue
        sheet, sets = sheets[form], sum(line.make for line in own)
        planned = {part: sum(line.throw.pieces[part] for line in own) for part in own[0].throw.pieces}
        groups, latest = _counted(sheet, batches, planned)
        chance = runs.chance_of_sets(groups, sets)
        throw = runs.least_clay(groups, sets, [confidence])[0] if chance < confidence else None
        fired = _fired_sets(sheet.form, batches) - sum(entry.seconds or 0 for entry in made if entry.form == form)
        if throw:
            throw = replace(throw, pieces={part: throw.pieces[part] for part in planned})
        yield Tallied(form, own[0].title, sets, latest, chance, throw, confidence, max(0, fired))


def _counted(
    sheet: Sheet, batches: Sequence[Mapping[str, ByName[int]]], planned: Mapping[str, int]
) -> tuple[tuple[Group, ...], tuple[tuple[str, str, int], ...]]:
    """The groups with what each has already; and each part's last count, by part, stage and number.

    A part of which nothing was counted in any batch will be thrown as planned. What is past trimming has its partner.
    """
    shares = shares_of(sheet.form, sheet.studio)
    left = dict(zip(COUNTED, (shares[-1] / share for share in shares), strict=True))
    groups, latest = [], []
    for group in _groups(sheet, shares):
        parts, ready = list(group.parts), []
        for batch in batches:
            last = {
                part.name: max(
                    (
                        (COUNTED.index(stage), counts[part.name])
                        for stage, counts in batch.items()
                        if part.name in counts
                    ),
                    default=None,
                )
                for part in group.parts
            }
            latest += [(name, COUNTED[found[0]], found[1]) for name, found in last.items() if found]
            told_of = [found for found in last.values() if found]
            if len(told_of) == len(last) and all(at >= 1 for at, _ in told_of) and any(at >= 2 for at, _ in told_of):
                share = 1.0
                for at, _ in told_of:
                    share *= left[COUNTED[at]]
                ready.append((min(pieces for _, pieces in told_of), share))
                continue
            for place, part in enumerate(parts):
                found = last[part.name]
                if found and found[0] == 0:
                    parts[place] = replace(part, thrown=part.thrown + found[1])
                elif found:
                    parts[place] = replace(part, trimmed=part.trimmed + found[1])
        counted = {part for batch in batches for counts in batch.values() for part in map(str, counts)}
        parts = [
            part if part.name in counted else replace(part, thrown=part.thrown + planned[part.name]) for part in parts
        ]
        groups.append(Group(tuple(parts), tuple(ready)))
    return tuple(groups), tuple(latest)


def _fired_sets(form: Form, batches: Sequence[Mapping[str, ByName[int]]]) -> int:
    """Whole sets that have come out of the glaze firing: pairs batch by batch, then as many sets as the fewest allow."""
    made = [
        sum(min(fired.get(part, 0) for part in parts) for batch in batches if (fired := batch.get("fired")))
        for parts in groups_of(form)
    ]
    return min(made, default=0)


def good_sets(order: Order, form: Form) -> int:
    """Whole sets of a form that an order's tally says are fired and good."""
    made = [entry for entry in order.made if entry.form == form.slug]
    batches = [dict(counts_of(entry)) for entry in made]
    return max(0, _fired_sets(form, batches) - sum(entry.seconds or 0 for entry in made))


# ---- clay ----


def _clay(lines: Sequence[PlanLine], sheets: Mapping[str, Sheet], project: Project) -> Iterable[PlanClay]:
    bag = project.studio.bag.value if project.studio.bag else None
    for slug in dict.fromkeys(line.clay for line in lines):
        own = [line for line in lines if line.clay == slug]
        trimmings = lost = 0.0
        for line in own:
            sheet = sheets[line.form]
            shares, losses = shares_of(sheet.form, sheet.studio), _losses(sheet.form, sheet.studio)
            thrown = 1.0 - (losses["throwing"].value if "throwing" in losses else 0.0)
            for part, pieces in line.throw.pieces.items():
                as_thrown = sheet.value(f"{part}.thrown.mass", "wet")
                finished = sheet.value(f"{part}.mass", "wet")
                trimmings += pieces * thrown * max(0.0, as_thrown - (finished - line.extras_g.get(part, 0.0)))
                at_wheel, at_trimming = 1.0 - thrown, thrown - shares[1]
                lost += pieces * (
                    at_wheel * line.balls_g[part] + at_trimming * finished + (shares[1] - shares[2]) * finished
                )
        yield PlanClay(
            slug,
            str(project.clays[slug].title),
            sum(line.throw.balls_g for line in own),
            sum(line.clay_g - line.throw.balls_g for line in own),
            trimmings,
            lost,
            bag,
        )


def _water_of(stock: ClayStock) -> float | None:
    """Water in clay on hand, as a share of its weight; None where that was not told, or can't be."""
    if stock.water:
        return stock.water.value
    lump = stock.weighed
    return water_share(lump.wet.value, lump.dry.value) if lump and lump.dry.value <= lump.wet.value else None


def _blends(clays: Sequence[PlanClay], project: Project, problems: list[Problem]) -> Iterable[PlanBlend]:
    studio = project.studio
    for clay in clays:
        typed = [
            (entry, share)
            for entry in studio.stock
            if entry.clay == clay.clay and (share := _water_of(entry)) is not None
        ]  # fmt: skip
        if not typed or not clay.weight_g:
            continue
        if studio.stock_order == "softest first":
            typed.sort(key=lambda pair: -pair[1])
        wanted = make_body(project.clays[clay.clay]).water_share
        made = blend(
            clay.weight_g / 1000.0, wanted, [Stocked(entry.weight.value / 1000.0, share) for entry, share in typed]
        )
        if not made.reached:
            problems.append(
                warning(
                    "too-soft-to-blend",
                    typed[0][0].at,
                    f"stock: {clay.weight_g / 1000.0:.1f} kg of {clay.title} at {wanted * 100:.1f} % water cannot be had from what is at hand; the firmest that can is {(made.nearest_share or 0.0) * 100:.1f} %",
                    "let the softest dry, or add firm clay",
                )
            )
        yield PlanBlend(
            clay.clay,
            clay.title,
            wanted,
            tuple(str(entry.name) for entry, _ in typed),
            tuple(share for _, share in typed),
            made,
        )


# ---- boards, glaze ----


def _boards(
    lines: Sequence[PlanLine], sheets: Mapping[str, Sheet], studio: Studio, told: list[str]
) -> Iterable[BoardRow]:
    boards = studio.boards
    if boards is None or boards.length is None or boards.width is None:
        told.append("no boards: the studio does not say how long and wide its boards are")
        return
    for line in lines:
        sheet = sheets[line.form]
        for part, pieces in line.throw.pieces.items():
            a_board = pieces_on(
                boards.length.value,
                boards.width.value,
                footprint_of(sheet, part, "wet"),
                boards.gap.value if boards.gap else 0.0,
            )
            if not a_board:
                told.append(f"{line.title}, {part}: wider than a board, so it stands on its bat")
                continue
            heavy = sheet.value(f"{part}.thrown.mass", "wet") + line.extras_g.get(part, 0.0)
            full = min(a_board, max(1, pieces)) * heavy / 1000.0
            yield BoardRow(line.form, line.title, part, pieces, a_board, ceil(pieces / a_board), full)


def _glazes(
    lines: Sequence[PlanLine],
    sheets: Mapping[str, Sheet],
    project: Project,
    buckets: Mapping[str, Bucket],
    told: list[str],
) -> Iterable[PlanGlaze]:
    for slug in dict.fromkeys(line.glaze for line in lines if line.glaze):
        glaze, own = project.glazes[slug], [line for line in lines if line.glaze == slug]
        dipped = [
            (sheets[line.form].value(f"{part}.height", "bisque"), f"{line.title}{f', {part}' if len(line.throw.pieces) > 1 else ''}")
            for line in own for part in line.throw.pieces
        ]  # fmt: skip
        widest = max(
            footprint_of(sheets[line.form], part, "bisque").across_mm for line in own for part in line.throw.pieces
        )
        tallest_mm, tallest = max(dipped)
        dry = None
        if glaze.coat is None:
            told.append(f"no amount of {glaze.title}: its coat is not known")
        else:
            dry = sum(glaze_g(line, sheets[line.form], glaze.coat.value) for line in own)
        density = glaze.pint_weight.value if glaze.pint_weight else None
        grain = glaze.grain_density.value if glaze.grain_density else GRAIN_G_CM3
        slop = water = None
        if dry is not None and density is not None:
            slop = dry / 1000.0 / dry_glaze_kg_per_l(density, grain)
            water = water_kg_per_dry_kg(density, grain) * dry / 1000.0
        found = buckets.get(slug)
        correction = correct_bucket(found.slop_l, found.density_kg_l, density, grain) if found and density else None
        has, typed = glaze.bucket, glaze.bucket.slop.value / 1000.0 if glaze.bucket and glaze.bucket.slop else None
        held = correction.slop_l if correction else found.slop_l if found else typed
        diameter = has.diameter.value if has and has.diameter else None
        yield PlanGlaze(
            slug, str(glaze.title), dry, slop, water, density, tallest_mm, tallest,
            found.slop_l if found else typed, slop_depth_mm(held, diameter) if held is not None and diameter else None, diameter, widest,
            found.density_kg_l if found else None, correction,
        )  # fmt: skip


def glaze_g(line: PlanLine, sheet: Sheet, coat_kg_m2: float) -> float:
    """Dry glaze on all that comes out of the bisque, g."""
    glazed = line.expected("bisque").pieces
    return sum(
        glaze_dry_g(coat_kg_m2, sheet.value(f"{part}.area.glazed", "bisque")) * count for part, count in glazed.items()
    )


# ---- time and money ----


def _hours(line: PlanLine, form: Form) -> dict[str, float]:
    """Time at work by part of the work, h; each job is done as often as there are sets at that stage."""
    mean_thrown = sum(line.throw.pieces.values()) / len(line.throw.pieces)
    reach = {
        "throwing": mean_thrown,
        "trimming": sum(line.expected("trimmed").pieces.values()) / len(line.throw.pieces),
        "glazing": line.expected("bisque").sets,
    }
    hours: dict[str, float] = {}
    for job, time in form.times.items():
        work = JOBS.get(str(job), "glazing")
        hours[work] = hours.get(work, 0.0) + time.value * reach[work]
    return hours


def _cost(
    lines: Sequence[PlanLine],
    sheets: Mapping[str, Sheet],
    project: Project,
    firings: Sequence[Firing],
    hours: Sequence[Mapping[str, float]],
) -> PlanCost | None:
    costs, trade = project.studio.costs, project.studio.stockists
    if costs is None:
        return None
    firing = costs.firing
    prices = Prices(*(
        size.value if size else None
        for size in (costs.clay, costs.glaze, firing and firing.bisque, firing and firing.glaze, costs.hour)
    ))  # fmt: skip
    loads = {kind: [0.0] * len(lines) for kind in ("bisque", "glaze")}
    for found in firings:
        for share, number in zip(load_shares(found.pieces, found.loads, found.oven), found.line_of, strict=False):
            loads[found.kind][number] += share * len(found.loads)
    rows = []
    for number, line in enumerate(lines):
        sheet = sheets[line.form]
        glaze = project.glazes.get(line.glaze or "")
        told = sheet.form.stockist
        cost = cost_of(
            prices,
            clay_kg=line.clay_g / 1000.0,
            glaze_kg=glaze_g(line, sheet, glaze.coat.value) / 1000.0 if glaze and glaze.coat else 0.0,
            bisque_loads=loads["bisque"][number],
            glaze_loads=loads["glaze"][number],
            hours=sum(hours[number].values()) if sheet.form.times else None,
            good_sets=line.good_sets(),
        )
        rows.append(CostLine(line.form, line.title, line.sets, cost, told.price.value if told and told.price else None))
    return PlanCost(str(trade.currency or "") if trade else "", tuple(rows), LEAVES_OUT)


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
    both: list[tuple[PlanLine, Line]] = []
    for typed in wanted.lines:
        sheet = sheets.get(str(typed.form))
        if sheet is None or (typed.glaze and str(typed.glaze) not in project.glazes):
            told.append(f"{typed.form} is left out: it, or its glaze, has errors")
            continue
        found = _plan_line(sheet, typed, confidence)
        if isinstance(found, Problem):
            problems.append(found)
        else:
            both.append((found, typed))
    lines = tuple(line for line, _ in both)
    if any(not _losses(sheets[line.form].form, studio) for line in lines):
        told.append("no losses: neither the studio nor the form says what is lost, so nothing is taken to be")
    told += _lids_elsewhere(lines, sheets)
    clay = tuple(_clay(lines, sheets, project))
    kiln = _kiln(wanted, project, told)
    firings, faults, said = plan_firings(both, sheets, kiln) if kiln else ((), [], [])
    problems += faults
    told += said
    hours = [_hours(line, sheets[line.form].form) for line in lines]
    days: tuple[PlanDay, ...] = ()
    if wanted.due and lines:
        together = {work: sum(one.get(work, 0.0) for one in hours) for work in ("throwing", "trimming", "glazing")}
        days, assumed = plan_days(wanted.due, studio, firings, together)
        told += assumed
        if today:
            problems += _too_late(wanted, days[0].first, today, project)
    return Plan(
        wanted.name, wanted.title, wanted.orders, wanted.customer, wanted.due, confidence, lines,
        tuple(_tally(wanted.made, lines, sheets, confidence)), clay, tuple(_blends(clay, project, problems)),
        tuple(_boards(lines, sheets, studio, told)), tuple(_glazes(lines, sheets, project, buckets or {}, told)), firings, days,
        _cost(lines, sheets, project, firings, hours), tuple(dict.fromkeys(told)), tuple(in_file_order(problems)),
    )  # fmt: skip


def _lids_elsewhere(lines: Sequence[PlanLine], sheets: Mapping[str, Sheet]) -> list[str]:
    """What goes with a form and is a form of its own: it wants a line of its own."""
    ordered = {line.form for line in lines}
    return [
        f"{line.title} goes with {side.form}, which is a form of its own and not in the order"
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
        told.append("no kiln loads: there is no kiln in specs/kilns/")
        return None
    kiln = project.kilns[min(project.kilns)]
    if len(project.kilns) > 1:
        told.append(f"fired in {kiln.title}; `kiln:` in the order or the studio says another")
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


Planner = Callable[[Wanted], Plan]
