"""A kiln as it is packed: each shelf from above, the stack from the side; and the chance against pieces thrown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import cos, pi, sin

from wareboard.drawing.charts import ticks
from wareboard.drawing.dimensions import Lettering
from wareboard.drawing.seating import set_together
from wareboard.drawing.svg import (
    DASHED,
    EDGE,
    GROUND,
    MARK,
    MIDDLE,
    OUTLINE,
    THIN,
    TINT,
    Picture,
    Point,
    moved,
    text_width_mm,
)
from wareboard.figures.firings import KINDS
from wareboard.figures.plan import Firing, PlanLine
from wareboard.figures.planwords import chance_text, tier_words
from wareboard.figures.sheet import Sheet
from wareboard.pot.kilnloads import Load, Tier
from wareboard.pot.runs import Throw
from wareboard.text.languages import _, later

CORNERS = 28  # of what stands for a circle


def kind_letter(place: int) -> str:
    """The letter of a kind in a kiln's pictures: A to Z, then AA and so on.

    >>> kind_letter(0), kind_letter(27)
    ('A', 'AB')
    """
    letters = ""
    place += 1
    while place:
        place, last = divmod(place - 1, 26)
        letters = chr(ord("A") + last) + letters
    return letters


def draw_shelf(
    firing: Firing, tier: Tier, *, width_mm: float, name: str, lettering: Lettering = Lettering(2.6, 3.2)
) -> str:
    """One shelf from above, its front below; each piece with the letter of its kind.

    Args:
        firing: the firing that it belongs to.
        tier: the shelf and what stands on it.
        width_mm: width on paper, mm.
        name: start of the ids.
        lettering: font sizes.
    Returns: SVG.
    """
    oven, picture = firing.oven, Picture()
    scale = width_mm / oven.width_mm
    corners = [(0.0, 0.0), (oven.width_mm, 0.0), (oven.width_mm, oven.depth_mm), (0.0, oven.depth_mm)]
    picture.stroke(OUTLINE, moved(corners, scale, 0.0, 0.0), closed=True)
    for placed in tier.placed:
        footprint = firing.pieces[placed.kind].footprint
        x, y = placed.x_mm * scale, placed.y_mm * scale
        if not footprint.is_round:
            across, deep = (footprint.deep_mm, footprint.across_mm) if placed.turned else footprint
            box = [(-across, -deep), (across, -deep), (across, deep), (-across, deep)]
            picture.stroke(EDGE, moved(box, scale / 2.0, x, y), closed=True)
        circle = _circle(x, y, footprint.deep_mm * scale / 2.0)
        picture.fill(TINT, circle)
        picture.stroke(MIDDLE, circle, closed=True)
        if firing.each[placed.kind] > 1:
            picture.stroke(THIN, _circle(x, y, footprint.deep_mm * scale * 0.42), closed=True)
        letter = kind_letter(placed.kind)
        if text_width_mm(letter, lettering.plain_mm) < footprint.deep_mm * scale * 0.7:
            picture.letter(x, y - 0.35 * lettering.plain_mm, letter, lettering.plain_mm)
    words = _("From above, {width} by {depth} mm: {pieces}.").format(
        width=f"{oven.width_mm:.0f}", depth=f"{oven.depth_mm:.0f}", pieces=_counted(firing, tier)
    )
    return picture.render(name, _("A kiln shelf from above"), words, margin_mm=0.6)


def _circle(x: float, y: float, radius: float) -> list[Point]:
    return [
        (x + radius * cos(2.0 * pi * corner / CORNERS), y + radius * sin(2.0 * pi * corner / CORNERS))
        for corner in range(CORNERS)
    ]


def _counted(firing: Firing, tier: Tier) -> str:
    counted = Counter(placed.kind for placed in tier.placed)
    return "; ".join(f"{count} {kind_letter(kind)} {firing.names[kind]}" for kind, count in sorted(counted.items()))


_LOADS = {"bisque": later("A bisque load from the side"), "glaze": later("A glaze load from the side")}


def draw_stack(
    firing: Firing,
    load: Load,
    sheets: Sequence[Sheet],
    *,
    height_mm: float,
    name: str,
    lettering: Lettering = Lettering(2.6, 3.2),
) -> str:
    """A load from the side: shelves, props, and what stands on each, as many as stand in a row.

    Args:
        firing: the firing.
        load: one load of it.
        sheets: the sheet of each kind of piece, by its number.
        height_mm: height on paper, mm.
        name: start of the ids.
        lettering: font sizes.
    Returns: SVG.
    """
    oven, picture = firing.oven, Picture()
    scale = height_mm / oven.height_mm
    inside = [(0.0, 0.0), (0.0, oven.height_mm), (oven.width_mm, oven.height_mm), (oven.width_mm, 0.0)]
    picture.stroke(OUTLINE, moved(inside, scale, 0.0, 0.0), closed=True)
    level = 0.0
    for place, (tier, prop) in enumerate(zip(load.tiers, load.props_mm, strict=True), 1):
        top = level + oven.shelf_mm
        shelf = [(0.0, level), (oven.width_mm, level), (oven.width_mm, top), (0.0, top)]
        picture.fill(MARK, moved(shelf, scale, 0.0, 0.0))
        if oven.shelf_mm * scale < 0.9:
            picture.stroke(GROUND, moved(shelf[:2], scale, 0.0, 0.0))
        for at in (0.0, oven.width_mm - 12.0) if prop else ():
            post = [(at, top), (at + 12.0, top), (at + 12.0, top + prop), (at, top + prop)]
            picture.stroke(EDGE, moved(post, scale, 0.0, 0.0), closed=True)
        _draw_row(picture, firing, tier, sheets, top, scale)
        middle = (top + tier.clear_mm / 2.0) * scale - 0.35 * lettering.plain_mm
        said = (
            _("{place}. prop {height}").format(place=place, height=f"{prop:.0f}")
            if prop
            else _("{place}. top, {height}").format(place=place, height=f"{tier.clear_mm:.0f}")
        )
        picture.letter(oven.width_mm * scale + 2.0, middle, said, lettering.plain_mm, anchor="start")
        level = top + (prop or tier.clear_mm)
    words = "; ".join(
        _("shelf {place} from below: {pieces}").format(place=place + 1, pieces=tier_words(firing, load, place))
        for place in range(len(load.tiers))
    )
    return picture.render(
        name,
        _(_LOADS.get(firing.kind, firing.kind)),
        _("Heights in mm. {shelves}.").format(shelves=words),
        margin_mm=0.6,
    )


def _draw_row(
    picture: Picture, firing: Firing, tier: Tier, sheets: Sequence[Sheet], floor_mm: float, scale: float
) -> None:
    """What stands on a shelf, seen from the front: a row of each kind, as far as the shelf is wide."""
    counted, x = Counter(placed.kind for placed in tier.placed), 16.0
    room = firing.oven.width_mm - 32.0
    wide = {kind: firing.pieces[kind].footprint.across_mm + max(6.0, firing.oven.gap_mm) for kind in counted}
    shown = dict.fromkeys(counted, 1)
    while True:
        used = sum(wide[kind] * count for kind, count in shown.items())
        more = [kind for kind in counted if shown[kind] < counted[kind] and used + wide[kind] <= room]
        if not more:
            break
        kind = max(more, key=lambda kind: counted[kind] / shown[kind])
        shown[kind] += 1
    for kind in sorted(shown, key=lambda kind: -firing.pieces[kind].height_mm):
        for _other in range(shown[kind]):
            if x + wide[kind] > firing.oven.width_mm + 1.0:
                break
            _draw_piece(picture, firing, kind, sheets[kind], x + wide[kind] / 2.0, floor_mm, scale)
            x += wide[kind]


def _draw_piece(
    picture: Picture, firing: Firing, kind: int, sheet: Sheet, x: float, floor_mm: float, scale: float
) -> None:
    """The silhouette of what stands there; boxed ones mouth to mouth, stacked ones one on another."""
    stage = KINDS[firing.kind][0]
    parts = firing.parts[kind]
    group = next((group for group in set_together(sheet, stage) if parts[0] in [part.name for part in group]), [])
    group = [part for part in group if part.name in parts]
    if not group:
        return
    low, high = min(part.bottom_mm for part in group), max(part.top_mm for part in group)
    each, tall = firing.each[kind], firing.pieces[kind].height_mm
    boxed = bool(firing.kind == "bisque" and each > 1 and sheet.form.stacking and sheet.form.stacking.boxed)
    step = (tall - (high - low)) / (each - 1) if each > 1 else 0.0
    for number in range(each):
        turned = boxed and number % 2 == 1
        base = floor_mm + number * step
        for part in group:
            line = [(radius, (high - height) if turned else (height - low)) for radius, height in part.outside]
            right = [(x + radius, base + height) for radius, height in line]
            left = [(x - radius, base + height) for radius, height in line]
            picture.stroke(MIDDLE, moved(right, scale, 0.0, 0.0))
            picture.stroke(MIDDLE, moved(left, scale, 0.0, 0.0))
            for end in (0, -1):
                picture.stroke(EDGE, moved([left[end], right[end]], scale, 0.0, 0.0))


def draw_chances(
    line: PlanLine, throws: Mapping[float, Throw], confidence: float, *, width_mm: float = 92.0, height_mm: float = 46.0, name: str = "", lettering: Lettering = Lettering(2.6, 3.2),
) -> str:  # fmt: skip
    """The chance that enough come out, against how many pieces are thrown for the least clay.

    Args:
        line: the line of the plan.
        throws: the numbers for each of several confidences.
        confidence: the one that is planned for.
        width_mm, height_mm: the box on paper, mm.
        name: start of the ids; the form's slug unless given.
        lettering: font sizes.
    Returns: SVG.
    """
    points = sorted(
        {(sum(throw.pieces.values()), throw.chance) for throw in throws.values()}
        | {(sum(line.throw.pieces.values()), line.throw.chance)}
    )
    best = [point for place, point in enumerate(points) if not any(other[1] > point[1] for other in points[:place])]
    low, high = best[0][0], max(best[-1][0], best[0][0] + 1)
    least = min(chance for _other, chance in best)
    floor = max(0.0, min(0.5, least - 0.05))
    left, right = text_width_mm("100 %", lettering.plain_mm) + 2.0, width_mm - 4.0
    bottom, top = 3.4 * lettering.plain_mm, height_mm - 1.2 * lettering.plain_mm
    x_of = lambda count: left + 3.0 + (count - low) / (high - low) * (right - left - 6.0)
    y_of = lambda chance: bottom + (chance - floor) / (1.0 - floor) * (top - bottom)
    picture = Picture()
    picture.cover(0.0, 0.0)
    picture.cover(width_mm, height_mm)
    picture.stroke(THIN, [(left, bottom), (left, top)])
    picture.stroke(THIN, [(left, bottom), (right, bottom)])
    for share in ticks(floor, 1.0, 4):
        picture.stroke(THIN, [(left - 1.0, y_of(share)), (left, y_of(share))])
        picture.letter(
            left - 1.6,
            y_of(share) - 0.33 * lettering.plain_mm,
            f"{share * 100:.0f} %",
            lettering.plain_mm,
            anchor="end",
        )
    for count in ticks(low, high, 6):
        if count == round(count) and low <= count <= high:
            picture.stroke(THIN, [(x_of(count), bottom), (x_of(count), bottom - 1.0)])
            picture.letter(x_of(count), bottom - 1.6 - 0.75 * lettering.plain_mm, f"{count:.0f}", lettering.plain_mm)
    picture.letter(
        (left + right) / 2.0, bottom - 1.6 - 2.1 * lettering.plain_mm, _("pieces thrown, all parts"), lettering.plain_mm
    )
    picture.stroke(DASHED, [(left, y_of(confidence)), (right, y_of(confidence))])
    picture.stroke(OUTLINE, [(x_of(count), y_of(chance)) for count, chance in best])
    for count, chance in best:
        picture.fill(MARK, _circle(x_of(count), y_of(chance), 0.7))
    count, chance = sum(line.throw.pieces.values()), line.throw.chance
    picture.stroke(MIDDLE, _circle(x_of(count), y_of(chance), 1.6), closed=True)
    words = ", ".join(
        _("{count} pieces {chance}").format(count=count, chance=chance_text(chance)) for count, chance in best
    )
    return picture.render(
        name or f"{line.form}-chances",
        _("{title}, chance against pieces thrown").format(title=line.title),
        _("Chance that {sets} sets or more come out: {chances}. The ring is what is planned.").format(
            sets=line.make, chances=words
        ),
    )
