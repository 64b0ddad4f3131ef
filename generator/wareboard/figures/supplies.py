"""What a run takes: clay and its blend, boards, glaze and its bucket, time and money."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import ceil, fsum

from wareboard.figures.clays import make_body
from wareboard.figures.firings import footprint_of
from wareboard.figures.plan import BoardRow, CostLine, Firing, PlanBlend, PlanClay, PlanCost, PlanGlaze, PlanLine
from wareboard.figures.schedule import JOBS
from wareboard.figures.sheet import Sheet
from wareboard.figures.throwing import losses_of, shares_of
from wareboard.pot.blends import Stocked, blend, water_share
from wareboard.pot.costs import Prices, cost_of
from wareboard.pot.frozen import frozen
from wareboard.pot.glaze import correct_bucket, dry_glaze_kg_per_l, glaze_dry_g, slop_depth_mm, water_kg_per_dry_kg
from wareboard.pot.kilnloads import load_shares
from wareboard.pot.packing import pieces_on
from wareboard.text.languages import _, later
from wareboard.text.order_specs import ClayStock
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Studio

GRAIN_G_CM3 = 2.6
LEAVES_OUT = later(
    "Left out: rent, tools, packing and carriage, tests, selling, tax, wages while the kiln cools, and what reclaimed clay is worth."
)


@frozen
class Bucket:
    """A bucket as it was found: how much slop, and its density."""

    slop_l: float
    density_kg_l: float


# ---- clay ----


def plan_clay(lines: Sequence[PlanLine], sheets: Mapping[str, Sheet], project: Project) -> Iterable[PlanClay]:
    """Each clay body of the lines: what is wedged, and what comes back by trimming and by losses before the bisque."""
    bag = project.studio.bag.value if project.studio.bag else None
    for slug in dict.fromkeys(line.clay for line in lines):
        own = [line for line in lines if line.clay == slug]
        trimmings = lost = 0.0
        for line in own:
            sheet = sheets[line.form]
            shares, losses = shares_of(sheet.form, sheet.studio), losses_of(sheet.form, sheet.studio)
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
            fsum(line.throw.balls_g for line in own),
            fsum(line.clay_g - line.throw.balls_g for line in own),
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


def plan_blends(clays: Sequence[PlanClay], project: Project, problems: list[Problem]) -> Iterable[PlanBlend]:
    """How each clay is blended from what the studio has at hand; where it can't be, that is a problem."""
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
            tuple(str(entry.name) for entry, _other in typed),
            tuple(share for _other, share in typed),
            made,
        )


# ---- boards, glaze ----


def plan_boards(
    lines: Sequence[PlanLine], sheets: Mapping[str, Sheet], studio: Studio, told: list[str]
) -> Iterable[BoardRow]:
    """Each part on boards as it comes off the wheel; none where the studio does not say how large its boards are."""
    boards = studio.boards
    if boards is None or boards.length is None or boards.width is None:
        told.append(_("no boards: the studio does not say how long and wide its boards are"))
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
                told.append(
                    _("{title}, {part}: wider than a board, so it stands on its bat").format(
                        title=line.title, part=part
                    )
                )
                continue
            heavy = sheet.value(f"{part}.thrown.mass", "wet") + line.extras_g.get(part, 0.0)
            full = min(a_board, max(1, pieces)) * heavy / 1000.0
            yield BoardRow(line.form, line.title, part, pieces, a_board, ceil(pieces / a_board), full)


def plan_glazes(
    lines: Sequence[PlanLine],
    sheets: Mapping[str, Sheet],
    project: Project,
    buckets: Mapping[str, Bucket],
    told: list[str],
) -> Iterable[PlanGlaze]:
    """Each glaze of the lines: what goes on the ware, what its bucket wants, whether the tallest can be dipped."""
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
            told.append(_("no amount of {glaze}: its coat is not known").format(glaze=glaze.title))
        else:
            dry = fsum(glaze_g(line, sheets[line.form], glaze.coat.value) for line in own)
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
    return fsum(
        glaze_dry_g(coat_kg_m2, sheet.value(f"{part}.area.glazed", "bisque")) * count for part, count in glazed.items()
    )


# ---- time and money ----


def hours_of(line: PlanLine, form: Form) -> dict[str, float]:
    """Time at work by part of the work, h; each job is done as often as there are sets at that stage."""
    mean_thrown = sum(line.throw.pieces.values()) / len(line.throw.pieces)
    reach = {
        "throwing": mean_thrown,
        "trimming": fsum(line.expected("trimmed").pieces.values()) / len(line.throw.pieces),
        "glazing": line.expected("bisque").sets,
    }
    hours: dict[str, float] = {}
    for job, time in form.times.items():
        work = JOBS.get(str(job), "glazing")
        hours[work] = hours.get(work, 0.0) + time.value * reach[work]
    return hours


def plan_cost(
    lines: Sequence[PlanLine],
    sheets: Mapping[str, Sheet],
    project: Project,
    firings: Sequence[Firing],
    hours: Sequence[Mapping[str, float]],
) -> PlanCost | None:
    """What each line costs; None where the studio gives no costs."""
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
            hours=fsum(hours[number].values()) if sheet.form.times else None,
            good_sets=line.good_sets(),
        )
        rows.append(CostLine(line.form, line.title, line.sets, cost, told.price.value if told and told.price else None))
    return PlanCost(str(trade.currency or "") if trade else "", tuple(rows), _(LEAVES_OUT))
