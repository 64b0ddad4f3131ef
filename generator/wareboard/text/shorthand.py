"""What a maker writes short, written out: a foot ring as the stations of an underside, a gauge as the size that it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wareboard.text.kinds import Size, Word
from wareboard.text.part_specs import FootRing, Part, Station
from wareboard.text.phrases import Caliper
from wareboard.text.problems import Problem, did_you_mean, error
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Studio

AGREES_MM = 0.05


def written_out(form: Form, studio: Studio, problems: list[Problem]) -> Form:
    """A form with its foot rings and gauges written out; the very same where there are none.

    Args:
        form: the form as it was read.
        studio: whose gauges are meant.
        problems: what cannot be written out is added to it.
    """
    parts = {name: _part(str(name), part, form, studio.gauges, problems) for name, part in form.parts.items()}
    same = all(parts[name] is part for name, part in form.parts.items())
    whole: Any = parts
    return form if same else replace(form, parts=whole)


def _part(name: str, part: Part, form: Form, gauges: Mapping[Word, Size], problems: list[Problem]) -> Part:
    changed: dict[str, object] = {}
    if part.foot is not None and part.outside:
        underside = _underside(name, part, part.foot, form, problems)
        if underside:
            changed["underside"] = underside
    if any(caliper.gauge is not None and caliper.level is None for caliper in part.calipers.values()):
        changed["calipers"] = {
            size: _gauged(f"parts.{name}.calipers.{size}", _on_its_side(size, caliper, part), gauges, problems)
            for size, caliper in part.calipers.items()
        }  # fmt: skip
    return replace(part, **changed) if changed else part  # type: ignore[arg-type]


def _on_its_side(name: Word, caliper: Caliper, part: Part) -> Caliper:
    """A gauge of which no side is said is measured on the outside where only outside stations are as wide as it."""
    wide = {
        side: any(not isinstance(one.diameter, Size) and one.diameter == name for one in stations.values())
        for side, stations in (("outside", part.outside), ("inside", part.inside))
    }
    of_outside = caliper.gauge is not None and caliper.measured is None and wide["outside"] and not wide["inside"]
    return replace(caliper, side="outside") if of_outside else caliper


def _gauged(path: str, caliper: Caliper, gauges: Mapping[Word, Size], problems: list[Problem]) -> Caliper:
    if caliper.gauge is None or caliper.level is not None:
        return caliper
    size = gauges.get(caliper.gauge)
    if size is None:
        hint = did_you_mean(caliper.gauge, gauges) or f"write `gauges: {{{caliper.gauge}: 77 mm fired}}` in studio.yaml"
        problems.append(
            error("unknown-gauge", caliper.gauge.at, f"{path}: the studio has no gauge `{caliper.gauge[:40]}`", hint)
        )
        return caliper
    return replace(caliper, level=size)


def _underside(name: str, part: Part, foot: FootRing, form: Form, problems: list[Problem]) -> dict[Word, Station]:
    """The stations of a foot ring, from the centre out; none, with its problem noted, where it cannot be."""
    path = f"parts.{name}.foot"
    closed = part.outside[Word(part.closed_station, part.at)]
    if part.opens_down:
        problems.append(error("foot-of-lid", foot.at, f"{path}: a part that opens down has no foot to be turned", "list its `inside:` stations instead"))  # fmt: skip
        return {}
    if part.underside:
        problems.append(error("foot-and-underside", foot.at, f"{path}: there is `foot` as well as `underside`; a part has one or the other", "take one of them out"))  # fmt: skip
        return {}
    across = closed.diameter if isinstance(closed.diameter, Size) else None
    ring = foot.ring or across
    stages = {size.stage or form.stage for size in (ring, foot.width) if size is not None}
    if ring is None or len(stages) > 1:
        problems.append(error("odd-foot", foot.at, f"{path}: it is not clear how wide the ring is, at one stage", "write `ring:` and `width:` of one stage"))  # fmt: skip
        return {}
    if (
        foot.ring
        and across
        and (foot.ring.stage or form.stage) == (across.stage or form.stage)
        and abs(foot.ring.value - across.value) > AGREES_MM
    ):
        message = (
            f"{path}.ring: {foot.ring.typed} across; the outside is {across.typed} across at `{part.closed_station}`"
        )
        problems.append(error("odd-foot", foot.ring.at, message, "leave `ring` out, or make the two one"))
        return {}
    inner = ring.value - 2.0 * foot.width.value
    if inner <= 0.0:
        problems.append(error("odd-foot", foot.width.at, f"{path}.width: two of {foot.width.typed} fill a ring of {ring.typed}", "make the ring narrower"))  # fmt: skip
        return {}
    stage, at = next(iter(stages)), foot.at

    def across_of(value: float) -> Size:
        return Size(value, stage, None, f"{value:g} mm", at)

    base = closed.height
    high = Size(
        base.value + foot.recess.value, foot.recess.stage or base.stage, None, foot.recess.typed, foot.recess.at
    )
    return {
        Word(word, at): Station(at=at, height=height, diameter=across_of(diameter))
        for word, height, diameter in (("centre", high, 0.0), ("recess", high, inner), ("ring", base, inner))
    }
