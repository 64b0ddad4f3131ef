"""What a maker surely meant otherwise, seen in a form's text alone: sides of a fit exchanged, an outline listed from the rim down."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import Part, Station
from wareboard.text.phrases import PartSize
from wareboard.text.plain import folded_name
from wareboard.text.problems import Problem, error, warning
from wareboard.text.specs import Fit, Form
from wareboard.text.units import unit_factor

LIDS = frozenset({"lid", "cover", "cap", "cloche"})


def check_slips(form: Form, forms: Mapping[str, Form]) -> Iterator[Problem]:
    """Every slip in a form.

    Args:
        form: a form that could be read.
        forms: the studio's forms by slug, for fits that reach into them.
    """
    for name, part in form.parts.items():
        for outline in ("outside", "inside"):
            stations: dict[Word, Station] = getattr(part, outline)
            if outline == "outside" or not part.opens_down:
                yield from _from_the_rim(f"parts.{name}.{outline}", stations)
            yield from _two_units(f"parts.{name}.{outline}", stations, form)
        yield from _lid(name, part)
        yield from _handles(f"parts.{name}.extras", part)
    for name, fit in form.fits.items():
        yield from _sides(f"fits.{name}", form, fit, forms)


def _from_the_rim(path: str, stations: Mapping[Word, Station]) -> Iterator[Problem]:
    heights = [station.height.value for station in stations.values()]
    if len(heights) < 2 or heights[0] <= heights[-1]:
        return
    if heights[0] == max(heights) and heights[-1] == min(heights):
        names = [str(name) for name in stations]
        first, last = names[0], names[-1]
        yield error(
            "from-the-rim-down",
            next(iter(stations)).at,
            f"{path}: `{first}` stands first and is the highest, `{last}` last and the lowest; an outline runs from the foot up",
            f"list them the other way round: {', '.join(f'`{name}`' for name in reversed(names[:12]))}",
        )


def _lid(name: Word, part: Part) -> Iterator[Problem]:
    if part.opens is None and not part.solid and LIDS & set(folded_name(name).replace("-", " ").split()):
        yield warning(
            "lid-opens-up",
            name.at,
            f"parts.{name}: nothing says that it opens down, so it is worked out as a vessel that stands on its foot",
            "write `opens: down`, or `opens: up` where it is a vessel",
        )


def _two_units(path: str, stations: Mapping[Word, Station], form: Form) -> Iterator[Problem]:
    """A diameter without a unit beside a height that has one, in which alone it would be like the diameters beside it."""
    unit = str(form.unit or "mm")
    for name, station in stations.items():
        bare, named = station.diameter, _WITH_UNIT.fullmatch(station.height.typed)
        if named is None or named[1] == unit or not isinstance(bare, Size) or not _BARE.fullmatch(bare.typed):
            continue
        meant = float(bare.typed) * unit_factor(named[1])
        beside = [
            other.diameter.value
            for other in stations.values()
            if other is not station and isinstance(other.diameter, Size) and other.diameter.value
        ]
        if bare.value and beside and all(bare.value * 3.0 < one < meant * 3.0 and meant < one * 3.0 for one in beside):
            yield warning(
                "two-units",
                bare.at,
                f"{path}.{name}.diameter: `{bare.typed}` is read in {unit}, beside `{station.height.typed}`",
                f"did you mean `{bare.typed} {named[1]}`?",
            )


FAR_OFF, NARROW = 6.0, 8.0  # times its neighbours; a goblet's stem is a sixth of its bowl


def far_off(stations: Mapping[Word, Station], *, at_ends: bool) -> Iterator[tuple[Word, str, Size, str, str]]:
    """Sizes far from those of the stations beside them, where another place of the point or another unit brings them near.

    Args:
        stations: of one outline, in order.
        at_ends: also a narrow first or last station, as a knob may well have; for an outline that can't be built.
    Yields: the station's name, `diameter` or `height`, the size, how far off it is, and what was most likely meant.
    """
    wide = {name: one.diameter for name, one in stations.items() if isinstance(one.diameter, Size) and one.diameter.value > 0.0}  # fmt: skip
    names, narrow = list(stations), FAR_OFF if at_ends else NARROW
    for place, name in enumerate(names if len(names) > 2 else ()):
        beside = [
            wide[one].value for one in (*names[max(place - 1, 0) : place], *names[place + 1 : place + 2]) if one in wide
        ]
        others = [one.value for other, one in wide.items() if other != name]
        size = wide.get(name)
        if size and beside and len(others) > 1 and (meant := _meant(size, beside)):
            # It is out among all, or the one beside it may be what is wrong.
            if size.value >= FAR_OFF * max(beside) and size.value > 2.0 * max(others):
                yield (
                    name,
                    "diameter",
                    size,
                    f"{size.value / max(beside):.0f} times as wide as the stations beside it",
                    meant,
                )
            if size.value * narrow <= min(beside) and size.value * 2.0 < min(others) and (at_ends or len(beside) > 1):
                yield (
                    name,
                    "diameter",
                    size,
                    f"{min(beside) / size.value:.0f} times narrower than the stations beside it",
                    meant,
                )
        highest = max(one.height.value for other, one in stations.items() if other != name)
        height = stations[name].height
        if height.value >= FAR_OFF * highest > 0.0 and (meant := _meant(height, [highest])):
            yield name, "height", height, f"{height.value / highest:.0f} times as high as any other station", meant


def _meant(size: Size, others: list[float]) -> str:
    """A bare number with its point one place further, or in inches, as is nearer to what stands beside it; empty where neither is near."""
    if not _BARE.fullmatch(size.typed):
        return ""
    middle, bare = math.prod(others) ** (1.0 / len(others)), float(size.typed)
    ways = ((0.1, f"{bare / 10.0:.10g}"), (10.0, f"{bare * 10.0:.10g}"), (25.4, f"{size.typed} in"))
    near = [(abs(math.log(size.value * times / middle)), typed) for times, typed in ways]
    far, typed = min(near)
    return typed if far <= math.log(2.5) else ""


_BARE = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_WITH_UNIT = re.compile(r"[0-9./ -]+(mm|cm|in)")


def _handles(path: str, part: Part) -> Iterator[Problem]:
    """A handle whose top is joined below its bottom."""
    for name, extra in part.extras.items():
        if extra.joined is None or extra.to is None:
            continue
        top, bottom = (
            size if isinstance(size, Size) else part.outside[size].height if size in part.outside else None
            for size in (extra.joined, extra.to)
        )
        if top and bottom and top.stage == bottom.stage and top.value < bottom.value:
            was, now = _typed(extra.joined), _typed(extra.to)
            yield warning(
                "handle-upside-down",
                extra.joined.at,
                f"{path}.{name}: `from: {was}` is lower than `to: {now}`; a handle goes from its top to its bottom",
                f"exchange the two: `from: {now}` and `to: {was}`",
            )


def _typed(size: Size | Word) -> str:
    return size.typed if isinstance(size, Size) else str(size)


def _sides(path: str, form: Form, fit: Fit, forms: Mapping[str, Form]) -> Iterator[Problem]:
    """A fit whose `inside` is measured on an outside, or the other way round."""
    found = {side: _measured_on(getattr(fit, side), form, forms) for side in ("inside", "outside")}
    wrong = [side for side, on in found.items() if on and on != side]
    if not wrong:
        return
    said = {"inside": "the opening", "outside": "what goes into it"}
    side = wrong[0]
    size: PartSize = getattr(fit, side)
    exchanged = all(on != side for side, on in found.items())
    hint = (
        f"exchange the two: `inside: {fit.outside.said}` and `outside: {fit.inside.said}`"
        if exchanged
        else f"name {said[side]} there, a size that is measured {side}"
    )
    yield error(
        "fit-sides",
        size.at,
        f"{path}: `{side}` names {said[side]}, and `{size.said}` is measured {found[side]}",
        hint,
    )


def _measured_on(size: PartSize, form: Form, forms: Mapping[str, Form]) -> str | None:
    """The side that a caliper size is measured on; None where nothing says it."""
    owner = forms.get(size.form) if size.form else form
    part = owner.parts.get(size.part) if owner else None
    caliper = part.calipers.get(size.caliper) if part else None
    if part is None or caliper is None:
        return None
    if caliper.side in ("inside", "outside"):
        return str(caliper.side)
    lines = {"outside": part.outside, "inside": {**part.inside, **part.underside}}
    named = [
        side
        for side, stations in lines.items()
        if any(not isinstance(one.diameter, Size) and one.diameter == size.caliper for one in stations.values())
    ]
    return named[0] if len(named) == 1 else None
