"""A sheet's drawings: half outside view, half section, as an engineer draws them, with their sizes.

Every drawing is text, SVG in true millimetres on paper; the same sheet gives the same bytes. What a
drawing says is in its title and description too, for those who can't see it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from generator.dimensions import Lettering, Note, Span, draw_heights, draw_notes, draw_running_heights, draw_widths, inside_room_mm
from generator.shapes import Outline
from generator.sheet import Sheet
from generator.svg import AXIS, CLAY, EDGE, GROUND, HATCH, MEASURE, OUTLINE, POINTER, THIN, TINT, Picture, Point, identifier, moved
from generator.views import hatch_lines, outside_view, raised, seat_height_mm, simplified

LARGEST_SCALE = 1.0
PAPER_TOLERANCE_MM = 0.05
HATCH_MM = 1.3
AXIS_OVERSHOOT_MM = 2.6

SizeText = Callable[[float], str]


def plain_size(size_mm: float) -> str:
    """A size to a tenth of a millimetre, where a caller has no words of its own.

    >>> plain_size(79.04)
    '79.0'
    """
    return f"{size_mm:.1f}"


# ---- parts that stand together ----


@dataclass(frozen=True, slots=True)
class Standing:
    """A part's outline and how high it stands."""

    name: str
    outline: Outline
    up_mm: float = 0.0

    @property
    def ring(self) -> list[Point]:
        """The section where it stands."""
        return raised(self.outline.ring, self.up_mm)

    @property
    def outside(self) -> list[Point]:
        """The outside where it stands."""
        return raised(self.outline.outside, self.up_mm)

    def station(self, name: str) -> Point:
        """A station where it stands."""
        radius, height = self.outline.stations[name]
        return radius, height + self.up_mm

    @property
    def top_mm(self) -> float:
        """Its highest point."""
        return self.up_mm + max(height for _, height in self.outline.outside)


def set_together(sheet: Sheet, stage: str) -> list[list[Standing]]:
    """The form's parts as they are used: lids on jars, cups in saucers; what fits nothing stands alone.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
    Returns: groups that share an axis, each from the part that stands on the board.
    """
    outlines = {name: shape.finished(stage) for name, shape in sheet.sections.items()}
    under: dict[str, str] = {}
    for fit in sheet.form.fits.values():
        inside, outside = str(fit.inside.part), str(fit.outside.part)
        if fit.inside.form or fit.outside.form or inside == outside or not {inside, outside} <= outlines.keys():
            continue
        upper, lower = (inside, outside) if sheet.sections[inside].opens_down else (outside, inside)
        if upper not in under and upper not in _below(lower, under):
            under[upper] = lower
    order = sorted(outlines, key=lambda name: (len(_below(name, under)), sheet.sections[name].opens_down))
    groups: dict[str, list[Standing]] = {}
    for name in order:
        stack = _below(name, under)
        if not stack:
            groups[name] = [Standing(name, outlines[name])]
            continue
        group = groups[stack[-1]]
        group.append(Standing(name, outlines[name], _rest_mm(group, outlines[name])))
    return [groups[name] for name in outlines if name in groups]


def _below(name: str, under: Mapping[str, str]) -> list[str]:
    """What a part stands upon, and what that stands upon, down to the board."""
    stack = []
    while name in under:
        name = under[name]
        stack.append(name)
    return stack


def _rest_mm(group: Sequence[Standing], outline: Outline) -> float:
    """Where a part comes to rest upon those below; apart above them where it goes into none."""
    upper = simplified(outline.ring, 0.02)
    rests = [seat_height_mm(simplified(part.ring, 0.02), upper) for part in group]
    top = max(part.top_mm for part in group)
    lowest = min(height for _, height in outline.ring)
    rest = max((height for height in rests if height is not None), default=top)
    if rest + lowest >= top - 0.05:
        return top - lowest + 0.15 * top
    return rest


# ---- one view: an axis, what stands on it, and its sizes ----


@dataclass(slots=True)
class View:
    """Parts on one axis with their sizes, in the object's mm; `bottom_mm` is the board or wheel head."""

    parts: list[Standing]
    ground: bool = True
    bat_mm: float = 0.0
    above: list[list[Span]] = field(default_factory=list)
    below: list[list[Span]] = field(default_factory=list)
    rises_left: list[Span] = field(default_factory=list)
    rises_right: list[Span] = field(default_factory=list)
    notes_left: list[Note] = field(default_factory=list)
    notes_right: list[Note] = field(default_factory=list)
    running: list[Note] = field(default_factory=list)
    across_view: list[tuple[Span, float]] = field(default_factory=list)
    pointers: list[Point] = field(default_factory=list)
    caption: str = ""

    @property
    def radius_mm(self) -> float:
        """The greatest radius."""
        return max(radius for part in self.parts for radius, _ in part.outline.outside)

    @property
    def top_mm(self) -> float:
        """The highest point."""
        return max(part.top_mm for part in self.parts)

    @property
    def bottom_mm(self) -> float:
        """The level of the ground line."""
        return min(part.up_mm for part in self.parts) - self.bat_mm


def _scaled_span(span: Span, scale: float, x: float, y: float, *, upright: bool) -> Span:
    along, across = (y, x) if upright else (x, y)
    place = lambda origin: None if origin is None else across + origin * scale  # noqa: E731
    return Span(along + span.start * scale, along + span.end * scale, span.text, span.strong, place(span.start_from), place(span.end_from), span.one_headed)


def _draw_sizes(picture: Picture, view: View, scale: float, x: float, y: float, lettering: Lettering) -> None:
    left, right = x - view.radius_mm * scale, x + view.radius_mm * scale
    bottom, top = y + view.bottom_mm * scale, y + view.top_mm * scale
    picture.cover(left, bottom)
    picture.cover(right, top)
    rows = lambda spans: [[_scaled_span(span, scale, x, y, upright=False) for span in row] for row in spans]  # noqa: E731
    note = lambda n: Note(x + n.x * scale, y + n.y * scale, n.text, n.strong)  # noqa: E731
    draw_widths(picture, rows(view.above), top, lettering)
    draw_widths(picture, rows(view.below), bottom, lettering, above=False)
    for span, height in view.across_view:
        draw_widths(picture, [[_scaled_span(span, scale, x, y, upright=False)]], y + height * scale - 5.6, lettering)
    outer_left = left - (4.0 if view.pointers else 0.0)
    draw_heights(picture, [_scaled_span(span, scale, x, y, upright=True) for span in view.rises_left], outer_left, lettering, on_right=False)
    draw_running_heights(picture, [note(n) for n in view.running], bottom + view.bat_mm * scale, right, lettering)
    after_running = right + (18.0 if view.running else 0.0)
    after_heights = draw_heights(picture, [_scaled_span(span, scale, x, y, upright=True) for span in view.rises_right], after_running, lettering)
    draw_notes(picture, [note(n) for n in view.notes_left], left, lettering)
    draw_notes(picture, [note(n) for n in view.notes_right], after_heights, lettering, on_right=True)
    for reach, height in view.pointers:
        tip_x, tip_y = x - reach * scale, y + height * scale
        picture.fill(POINTER, [(tip_x, tip_y), (tip_x - 3.6, tip_y + 1.3), (tip_x - 3.6, tip_y - 1.3)])
    if view.ground:
        over = 5.0
        picture.stroke(GROUND, [(left - over, bottom - GROUND.width_mm / 2.0), (right + over, bottom - GROUND.width_mm / 2.0)])
        if view.bat_mm:
            picture.stroke(THIN, [(left - 2.0, bottom), (left - 2.0, bottom + view.bat_mm * scale), (right + 2.0, bottom + view.bat_mm * scale), (right + 2.0, bottom)])
    if view.caption:
        line = picture.bottom - lettering.plain_mm * 1.25 if view.below else bottom - lettering.plain_mm * 1.6
        picture.letter(left - (5.0 if view.ground else 0.0), line, view.caption, lettering.plain_mm, anchor="start")


def _draw_parts(picture: Picture, parts: Sequence[Standing], scale: float, x: float, y: float, *, axis: bool = True) -> None:
    """Outside on the left, hatched section on the right, axis between."""
    tolerance = PAPER_TOLERANCE_MM / scale
    outside = outside_view([simplified(part.outside, tolerance) for part in parts])
    for line in outside.lines:
        picture.stroke(OUTLINE, moved(line, scale, x, y, mirrored=True))
    ends = {height for line in outside.lines for _, height in (line[0], line[-1])}
    for radius, height in outside.edges:
        picture.stroke(OUTLINE if height in ends else EDGE, moved([(radius, height), (0.0, height)], scale, x, y, mirrored=True))
    for place, part in enumerate(parts):
        ring = moved(simplified(part.ring, tolerance), scale, x, y)
        spacing = HATCH_MM * (1.0, 1.0, 1.6, 1.6)[place % 4]
        for line in hatch_lines(ring, spacing, rising=place % 2 == 0):
            picture.stroke(HATCH, line)
        # the axis is no edge of the clay: the ring is left open there
        _stroke_off_axis(picture, ring, x)
    if axis:
        top = max(part.top_mm for part in parts)
        bottom = min(part.up_mm for part in parts)
        picture.stroke(AXIS, [(x, y + bottom * scale - AXIS_OVERSHOOT_MM), (x, y + top * scale + AXIS_OVERSHOOT_MM)])


def _stroke_off_axis(picture: Picture, ring: Sequence[Point], x: float) -> None:
    run: list[Point] = []
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if abs(x0 - x) < 1e-6 and abs(x1 - x) < 1e-6:
            picture.stroke(OUTLINE, run)
            run = []
        else:
            run = [*(run or [(x0, y0)]), (x1, y1)]
    picture.stroke(OUTLINE, run)


# ---- fitting views into a box ----


@dataclass(frozen=True, slots=True)
class Placed:
    """A view's axis and its height 0 on paper."""

    view: View
    x: float
    y: float


def _bounds(view: View, scale: float, lettering: Lettering) -> tuple[float, float, float, float]:
    picture = Picture()
    _draw_sizes(picture, view, scale, 0.0, 0.0, lettering)
    picture.cover(0.0, view.bottom_mm * scale - AXIS_OVERSHOOT_MM)
    picture.cover(0.0, view.top_mm * scale + AXIS_OVERSHOOT_MM)
    return picture.left, picture.bottom, picture.right, picture.top


def _arranged(views: Sequence[View], scale: float, lettering: Lettering, stacked: bool) -> tuple[list[Placed], float, float]:
    """Views side by side on one ground, or one above another on one axis; width and height of all."""
    bounds = [_bounds(view, scale, lettering) for view in views]
    placed: list[Placed] = []
    at = 0.0
    for view, (left, bottom, right, top) in zip(views, bounds, strict=True):
        if stacked:
            placed.append(Placed(view, 0.0, at - bottom))
            at += top - bottom + 2.5
        else:
            placed.append(Placed(view, at - left, -view.bottom_mm * scale))
            at += right - left + 3.0
    if stacked:
        return placed, max(b[2] for b in bounds) - min(b[0] for b in bounds), at - 2.5
    grounds = [view.bottom_mm * scale for view in views]
    high = max(b[3] - g for b, g in zip(bounds, grounds, strict=True))
    low = min(b[1] - g for b, g in zip(bounds, grounds, strict=True))
    return placed, at - 3.0, high - low


def _fitted(views: Callable[[float], list[View]], width_mm: float, height_mm: float, lettering: Lettering, stackings: Sequence[bool]) -> tuple[list[Placed], float]:
    """Views in the arrangement that shows them largest within a box, and their scale."""
    best: tuple[float, list[Placed]] | None = None
    for stacked in stackings:
        scale = LARGEST_SCALE
        for _ in range(4):
            made = views(scale)
            placed, width, height = _arranged(made, scale, lettering, stacked)
            # the sizes keep their size on paper: only what is left over can be scaled
            wide = sum(2.0 * view.radius_mm for view in made) * scale if not stacked else 2.0 * max(view.radius_mm for view in made) * scale
            tall = sum(view.top_mm - view.bottom_mm for view in made) * scale if stacked else max(view.top_mm - view.bottom_mm for view in made) * scale
            better = scale * min((width_mm - 2.0 - (width - wide)) / wide, (height_mm - 2.0 - (height - tall)) / tall)
            better = min(max(better, 0.02), LARGEST_SCALE)
            if abs(better - scale) < 0.002 * scale:
                break
            scale = better
        placed, width, height = _arranged(views(scale), scale, lettering, stacked)
        if best is None or scale > best[0] * 1.02:
            best = scale, placed
    return best[1], best[0]


def _render(placed: Sequence[Placed], scale: float, lettering: Lettering, name: str, title: str, description: str) -> str:
    picture = Picture()
    for item in placed:
        _draw_parts(picture, item.view.parts, scale, item.x, item.y)
        _draw_sizes(picture, item.view, scale, item.x, item.y, lettering)
    return picture.render(name, title, description)


# ---- the drawings ----


def draw_form(
    sheet: Sheet, stage: str, *, width_mm: float = 120.0, height_mm: float = 120.0, sizes: str = "set", size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """The form at a stage: outside on the left, section on the right, with its sizes.

    Args:
        sheet: the form's sheet.
        stage: one of the five stages.
        width_mm, height_mm: the box on paper, mm.
        sizes: `set` shows what is set with a tool and how high and wide the parts are, lids in
            place; `all` every station, the parts apart; `none` the form alone.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug, stage and sizes unless given.
    Returns: SVG.
    """
    groups = set_together(sheet, stage)
    if sizes == "all":
        groups = [[Standing(part.name, part.outline)] for group in groups for part in group]

    def views(scale: float) -> list[View]:
        if sizes == "none":
            return [View(group) for group in groups]
        if sizes == "all":
            return [_all_sizes(sheet, stage, group[0], size_text, scale, lettering, len(groups) > 1) for group in groups]
        return [_set_sizes(sheet, stage, group, size_text, scale, lettering) for group in groups]

    placed, scale = _fitted(views, width_mm, height_mm, lettering, (True, False) if sizes == "all" and len(groups) > 1 else (False,))
    title = f"{sheet.form.title}, {stage}"
    return _render(placed, scale, lettering, name or f"{sheet.slug}-{stage}-{sizes}", title, _form_words(sheet, stage, size_text))


def _form_words(sheet: Sheet, stage: str, size_text: SizeText) -> str:
    said = []
    for part in sheet.sections:
        high, wide = sheet.find(f"{part}.height", stage), sheet.find(f"{part}.diameter", stage)
        if high and wide:
            said.append(f"{part}: {size_text(high.value)} mm high, {size_text(wide.value)} mm across")
    return f"Outside view on the left, section on the right, {stage}. " + "; ".join(said)


def _calipers(sheet: Sheet, stage: str, part: str) -> Iterable[tuple[str, float, str]]:
    """A part's caliper sizes at a stage: name, diameter, and on which side they are taken."""
    for name, caliper in sheet.form.parts[part].calipers.items():
        figure = sheet.find(f"{part}.{name}", stage)
        if figure:
            yield str(name), figure.value, _side(sheet, part, str(name), caliper.side)


def _side(sheet: Sheet, part: str, caliper: str, typed: str) -> str:
    if typed != "fit":
        return typed
    for fit in sheet.form.fits.values():
        for side in ("inside", "outside"):
            size = getattr(fit, side)
            if size.form in (None, sheet.slug) and size.part == part and size.caliper == caliper:
                return side
    return "outside"


def _level_of(sheet: Sheet, part: Standing, caliper: str, radius: float) -> float:
    """The height at which a caliper size is taken."""
    spec = sheet.form.parts[part.name]
    level = str(spec.calipers[caliper].level)
    if level in part.outline.stations:
        return part.station(level)[1]
    named = [name for name, station in spec.outside.items() if str(station.diameter) == caliper and str(name) in part.outline.stations]
    if named:
        return max(part.station(str(name))[1] for name in named)
    near = [height for r, height in part.ring if abs(r - radius) < 0.05]
    return max(near, default=part.top_mm)


def _half(radius: float, level: float, text: str) -> Span:
    """A diameter on the section's half: one arrowhead, the line a little past the axis."""
    return Span(-0.12 * radius, radius, f"⌀ {text}", True, None, level, one_headed=True)


def _set_sizes(sheet: Sheet, stage: str, group: list[Standing], size_text: SizeText, scale: float, lettering: Lettering) -> View:
    view = View(group)
    halves: list[Span] = []
    for part in group:
        for name, diameter, _ in _calipers(sheet, stage, part.name):
            radius = diameter / 2.0
            level = _level_of(sheet, part, name, radius)
            text = f"{name} ⌀ {size_text(diameter)}"
            span = Span(-0.12 * radius, radius, text, True, None, level, one_headed=True)
            if (span.end - span.start) * scale >= inside_room_mm(span, lettering):
                halves.append(span)
            else:
                view.notes_right.append(Note(radius, level, text, True))
        high = sheet.find(f"{part.name}.height", stage)
        if high:
            low = part.up_mm
            at = outside_view([part.outside])
            view.rises_right.append(Span(low, low + high.value, size_text(high.value), False, at.radius_at(low), at.radius_at(low + high.value)))
    view.above = [[span] for span in sorted(halves, key=lambda span: span.end)]
    widest = max(group, key=lambda part: max(r for r, _ in part.outline.outside))
    wide = sheet.find(f"{widest.name}.diameter", stage)
    if wide:
        radius = max(r for r, _ in widest.outline.outside)
        level = min(height for r, height in widest.outside if abs(r - radius) < 1e-6)
        view.below = [[Span(-radius, radius, f"⌀ {size_text(wide.value)}", False, level, level)]]
    return view


def _all_sizes(sheet: Sheet, stage: str, part: Standing, size_text: SizeText, scale: float, lettering: Lettering, captioned: bool) -> View:
    view = View([part], caption=part.name if captioned else "")
    outside = outside_view([part.outside])
    seen: dict[tuple[str, str], Note] = {}
    for station, (radius, height) in part.outline.stations.items():
        wide, high = sheet.find(f"{part.name}.{station}.diameter", stage), sheet.find(f"{part.name}.{station}.height", stage)
        if wide:
            view.notes_left.append(Note(-radius, height, f"{station} ⌀ {size_text(wide.value)}"))
        if high and high.value > 0.0:
            text = size_text(high.value)
            seen.setdefault((text, ""), Note(max(radius, outside.radius_at(height)), height, text))
    view.running = list(seen.values())
    halves = []
    for name, diameter, side in _calipers(sheet, stage, part.name):
        radius = diameter / 2.0
        level = _level_of(sheet, part, name, radius)
        text = f"{name} ⌀ {size_text(diameter)}"
        span = Span(-0.12 * radius, radius, text, True, None, level, one_headed=True)
        if (span.end - span.start) * scale >= inside_room_mm(span, lettering):
            halves.append(span)
        else:
            view.notes_left.append(Note(-radius, level, text, True))
    view.above = [[span] for span in sorted(halves, key=lambda span: span.end)]
    return view


def draw_wheel(
    sheet: Sheet, *, width_mm: float = 88.0, height_mm: float = 80.0, size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """The parts as they are thrown, wet, on the wheel head, with the pointer where it is set.

    Lids stand upside down, as they are thrown; what trimming takes off is still on.

    Args:
        sheet: the form's sheet.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug unless given.
    Returns: SVG.
    """
    bat = sheet.studio.bat.value if sheet.studio.bat else 0.0
    outlines = {part: shape.thrown("wet") for part, shape in sheet.sections.items()}

    def views(scale: float) -> list[View]:
        return [_wheel_view(sheet, part, outline, bat, size_text, scale, lettering) for part, outline in outlines.items()]

    placed, scale = _fitted(views, width_mm, height_mm, lettering, (False, True) if len(outlines) > 1 else (False,))
    said = "; ".join(f"{part}{_turned(sheet, part)}" for part in outlines)
    words = f"As thrown, wet, on the wheel head: {said}. Outside view on the left with the pointer, section on the right."
    return _render(placed, scale, lettering, name or f"{sheet.slug}-wheel", f"{sheet.form.title}, on the wheel", words)


def _turned(sheet: Sheet, part: str) -> str:
    return ", upside down" if sheet.sections[part].opens_down else ""


def _pointers(sheet: Sheet, part: str) -> Iterable[tuple[str, float, float]]:
    """Where a part's pointer is set: station (where there are several), height and reach, mm."""
    for infix in ("", *(f"{station}." for station in sheet.form.parts[part].outside)):
        height, reach = sheet.find(f"{part}.pointer.{infix}height", "wet"), sheet.find(f"{part}.pointer.{infix}reach", "wet")
        if height and reach:
            yield infix.rstrip("."), height.value, reach.value


def _wheel_view(sheet: Sheet, part: str, outline: Outline, bat_mm: float, size_text: SizeText, scale: float, lettering: Lettering) -> View:
    standing = Standing(part, outline)
    view = View([standing], bat_mm=bat_mm, caption=f"{part}{_turned(sheet, part)}" if len(sheet.sections) > 1 else "")
    outside = outside_view([standing.outside])
    top = standing.top_mm
    reaches, halves, wholes = [], [], []
    for _, height, reach in _pointers(sheet, part):
        level = height - bat_mm
        view.pointers.append((reach, level))
        view.rises_left.append(Span(-bat_mm, level, size_text(height), True, -view.radius_mm - 3.0 / scale, -reach - 3.6 / scale))
        span = Span(-reach, 0.0, size_text(reach), True, level, None)
        if outside.greatest_above(level) <= reach + 0.5:
            reaches.append(span)
        else:
            view.across_view.append((Span(-reach, 0.0, size_text(reach), True), level))
    for key, radius, inside in _wheel_calipers(sheet, part):
        figure_text = f"⌀ {size_text(2.0 * radius)}"
        if inside:
            span = Span(-0.12 * radius if not reaches else 0.0, radius, figure_text, True, None, top, one_headed=True)
            if (span.end - span.start) * scale >= inside_room_mm(span, lettering):
                halves.append(span)
            else:
                view.notes_right.append(Note(radius, top, figure_text, True))
        else:
            wholes.append(Span(-radius, radius, figure_text, True, top, top))
    rows = [[span] for span in sorted(reaches, key=lambda span: -span.start)]
    for place, span in enumerate(sorted(halves, key=lambda span: span.end)):
        if place < len(rows):
            rows[place].append(span)
        else:
            rows.append([span])
    view.above = rows + [[span] for span in sorted(wholes, key=lambda span: span.end)]
    base = outline.outside[0][0]
    view.below = [[Span(-base, base, f"⌀ {size_text(2.0 * base)}", False, -bat_mm, -bat_mm)]]
    return view


def _wheel_calipers(sheet: Sheet, part: str) -> Iterable[tuple[str, float, bool]]:
    """What calipers are set to at the wheel: name, radius, and whether it is taken inside."""
    told = set()
    for fit_name, fit in sheet.form.fits.items():
        for size, key, inside in ((fit.inside, "calipers", True), (fit.outside, "outside.thrown", False)):
            figure = sheet.find(f"fit.{fit_name}.{key}", "wet")
            if figure and size.form in (None, sheet.slug) and size.part == part:
                told.add(str(size.caliper))
                yield str(size.caliper), figure.value / 2.0, inside
    for name, diameter, side in _calipers(sheet, "wet", part):
        if name not in told and side == "inside":
            yield name, diameter / 2.0, True


def draw_front(sheets: Iterable[Sheet], *, scale: float = 0.25, stage: str = "fired") -> dict[str, str]:
    """Every form small and to one scale, for a catalogue; all pictures are as high, on one ground line.

    Args:
        sheets: the forms' sheets.
        scale: mm on paper for one mm of the form.
        stage: one of the five stages.
    Returns: SVG by the form's slug.
    """
    shelves = {sheet.slug: (sheet, set_together(sheet, stage)) for sheet in sheets if sheet.sections}
    tallest = max((part.top_mm for _, groups in shelves.values() for group in groups for part in group), default=0.0) * scale
    return {slug: _small(sheet, groups, scale, tallest) for slug, (sheet, groups) in shelves.items()}


def _small(sheet: Sheet, groups: Sequence[Sequence[Standing]], scale: float, tallest_mm: float) -> str:
    picture = Picture()
    at = 0.0
    for group in groups:
        radius = max(r for part in group for r, _ in part.outline.outside) * scale
        x = at + radius
        at += 2.0 * radius + 3.0
        outside = outside_view([simplified(part.outside, 0.08 / scale) for part in group])
        for line in outside.lines:
            picture.stroke(EDGE, moved([(0.0, line[0][1]), *line, (0.0, line[-1][1])], scale, x, 0.0, mirrored=True))
        for edge_radius, height in outside.edges:
            picture.stroke(HATCH, moved([(edge_radius, height), (0.0, height)], scale, x, 0.0, mirrored=True))
        for part in group:
            picture.fill(CLAY, moved(simplified(part.ring, 0.08 / scale), scale, x, 0.0))
    right = at - 3.0
    picture.stroke(EDGE, [(-2.0, 0.0), (right + 2.0, 0.0)])
    return picture.render(f"front-{sheet.slug}", f"{sheet.form.title}", "", box=(-2.5, -0.5, right + 2.5, tallest_mm + 1.0), hidden=True)
