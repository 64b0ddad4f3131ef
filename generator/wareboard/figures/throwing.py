"""How many to throw of each form, what to expect after each stage, and how it stands once something was counted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from wareboard.figures.plan import Expected, PlanLine, Tallied
from wareboard.figures.settings import value_as_set
from wareboard.figures.sheet import Sheet
from wareboard.pot import runs
from wareboard.pot.runs import Group, PartRun, Throw
from wareboard.pot.stages import COUNTED, WORK
from wareboard.text.kinds import ByName, Size
from wareboard.text.order_links import counts_of
from wareboard.text.order_specs import Line, Made, Order
from wareboard.text.problems import Problem, error
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Losses, Studio

# How sure a line is also worked out for, beside what is planned for.
ALSO_AT = (0.90, 0.99)


def shares_of(form: Form, studio: Studio) -> tuple[float, ...]:
    """Share of what is thrown that is there after each stage, by the form's own losses, else the studio's."""
    return runs.survival_shares({stage: size.value for stage, size in losses_of(form, studio).items()})


def losses_of(form: Form, studio: Studio) -> dict[str, Size]:
    """The losses that are typed for a form, stage by stage: its own before the studio's."""
    own, usual = form.losses or Losses(), studio.losses or Losses()
    found = {stage: getattr(own, stage) or getattr(usual, stage) for stage in WORK}
    return {stage: size for stage, size in found.items() if size is not None}


def groups_of(form: Form) -> tuple[tuple[str, ...], ...]:
    """Parts that are trimmed to one another, together; every other part by itself."""
    home = {str(name): {str(name)} for name in form.parts}
    for fit in form.fits.values():
        sides = [str(side.part) for side in (fit.inside, fit.outside) if side.form in (None, form.slug)]
        sides = [part for part in sides if part in home]  # what names a part that is not there is told elsewhere
        if len(sides) == 2 and fit.pairing != "any":
            joined = home[sides[0]] | home[sides[1]]
            home.update(dict.fromkeys(joined, joined))
    return tuple(dict.fromkeys(tuple(name for name in home if name in home[part]) for part in home))


def ball_as_set_g(sheet: Sheet, part: str) -> float:
    """What is weighed out for a part, in the studio's first system, g."""
    return value_as_set(sheet, f"{part}.ball.set", "wet") or 0.0


def _groups(sheet: Sheet, shares: Sequence[float]) -> tuple[Group, ...]:
    trimmed, fired = shares[COUNTED.index("trimmed")], shares[-1]
    return tuple(
        Group(
            tuple(
                PartRun(part, ball_as_set_g(sheet, part), trimmed, fired / trimmed if trimmed else 0.0)
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


def plan_line(sheet: Sheet, line: Line, confidence: float) -> PlanLine | Problem:
    """One line: the numbers to throw and what to expect of them; a problem where so much is lost that no number would do."""
    form, studio = sheet.form, sheet.studio
    shares = shares_of(form, studio)
    if shares[-1] < runs.LEAST_YIELD_SHARE:
        worst = max(losses_of(form, studio).values(), key=lambda size: size.value)
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
        {part: ball_as_set_g(sheet, part) for part in parts},
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


def plan_tally(
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
    if not made:
        return 0
    batches = [dict(counts_of(entry)) for entry in made]
    return max(0, _fired_sets(form, batches) - sum(entry.seconds or 0 for entry in made))
