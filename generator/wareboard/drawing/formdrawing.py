"""A sheet's drawings: half outside view, half section, as an engineer draws them, with their sizes.

Every drawing is text, SVG in true millimetres on paper; the same sheet gives the same bytes. What a
drawing says is in its title and description too, for those who can't see it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence

from wareboard.drawing.dimensions import Lettering, Note, Span
from wareboard.drawing.layout import View, draw_axis, draw_contours, draw_sizes, fitted, rendered
from wareboard.drawing.seating import Standing, as_finished, set_together
from wareboard.drawing.svg import CLAY, DASHED, EDGE, HATCH, MIDDLE, OUTLINE, Picture, moved, short, with_stages
from wareboard.drawing.views import outside_view, simplified
from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import STAGES
from wareboard.text.languages import _, pointed

SizeText = Callable[[float], str]


def plain_size(size_mm: float) -> str:
    """A size to a tenth of a millimetre, where a caller has no words of its own.

    >>> plain_size(79.04)
    '79.0'
    """
    return f"{size_mm:.1f}"


def draw_form(
    sheet: Sheet, stage: str, *, width_mm: float = 120.0, height_mm: float = 120.0, sizes: str = "set", size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "", staged: Callable[[Figure], str] | None = None,
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
        staged: how a figure is written, where each size of `all` takes along what it comes to at every stage.
    Returns: SVG.
    """
    groups = set_together(sheet, stage)
    if sizes == "none":
        views = [View(group) for group in groups]
    elif sizes == "all":
        parts = [_on_ground(part) for group in groups for part in reversed(group)]

        def said(key: str, words: str) -> str:
            return (
                with_stages(words, [staged(figure) for at in STAGES if (figure := sheet.find(key, at))])
                if staged
                else words
            )

        views = [_all_sizes(sheet, stage, part, size_text, said, len(parts) > 1) for part in reversed(parts)]
    else:
        views = [_set_sizes(sheet, stage, group, size_text) for group in groups]
    arrangement = fitted(views, width_mm, height_mm, lettering, in_rows=sizes == "all")
    return rendered(
        arrangement,
        lettering,
        (width_mm, height_mm),
        name or f"{sheet.slug}-{stage}-{sizes}",
        f"{sheet.form.title}, {_(stage)}",
        _form_words(sheet, stage, size_text),
    )


def _form_words(sheet: Sheet, stage: str, size_text: SizeText) -> str:
    said = []
    for part in sheet.shapes:
        high, wide = sheet.find(f"{part}.height", stage), sheet.find(f"{part}.diameter", stage)
        if high and wide:
            said.append(
                _("{part}: {height} mm high, {width} mm across").format(
                    part=part, height=size_text(high.value), width=size_text(wide.value)
                )
            )
    return _("Outside view on the left, section on the right, {stage}.").format(stage=_(stage)) + " " + "; ".join(said)


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
            if size.is_of(part) and size.caliper == caliper:
                return side
    return "outside"


def level_of(sheet: Sheet, part: Standing, caliper: str, radius: float) -> float:
    """The height at which a caliper size is taken."""
    spec = sheet.form.parts[part.name]
    level = str(spec.calipers[caliper].level)
    if level in part.stations:
        return part.stations[level][1]
    named = [
        part.stations[str(name)][1]
        for name, station in spec.outside.items()
        if str(station.diameter) == caliper and str(name) in part.stations
    ]
    near = [height for r, height in part.ring if abs(r - radius) < 0.05]
    return max(named or near, default=part.top_mm)


def is_clear(group: Sequence[Standing], radius: float, level: float, way: float) -> bool:
    """True where nothing stands over a point (way 1), or under it (way -1)."""
    for part in group:
        for (r0, h0), (r1, h1) in zip(part.ring, (*part.ring[1:], part.ring[0]), strict=True):
            if (
                min(r0, r1) + 0.05 < radius < max(r0, r1) - 0.05
                and way * (h0 + (h1 - h0) * (radius - r0) / (r1 - r0) - level) > 0.2
            ):
                return False
    return True


def place_diameter(view: View, radius: float, level: float, text: str) -> None:
    """A diameter that is set: over or under the section where the way is clear, else beside it."""
    half = Span(0.0, radius, text, True, None, level, one_headed=True)
    if is_clear(view.parts, radius, level, 1.0):
        view.halves.append(half)
    elif len(view.parts) == 1 and is_clear(view.parts, radius, level, -1.0):
        view.below.append(half)
    else:
        view.notes_right.append(Note(radius, level, text, True))


def _rise(part: Standing, text: str, on_ground: bool) -> Span:
    """A part's whole height, on the right."""
    seen = part.seen
    low, top = part.bottom_mm, part.top_mm
    return Span(low, top, text, False, None if on_ground else seen.radius_at(low), seen.radius_at(top))


def _set_sizes(sheet: Sheet, stage: str, group: Sequence[Standing], size_text: SizeText) -> View:
    """The form put together: what is set with calipers, how high each part is, how wide the widest."""
    view = View(group)
    for part in group:
        for name, diameter, _other in _calipers(sheet, stage, part.name):
            place_diameter(
                view,
                diameter / 2.0,
                level_of(sheet, part, name, diameter / 2.0),
                f"{short(name)} ⌀ {size_text(diameter)}",
            )
        high = sheet.find(f"{part.name}.height", stage)
        if high:
            view.rises_right.append(_rise(part, size_text(high.value), part.bottom_mm < view.bottom_mm + 0.01))
    widest = max(group, key=lambda part: part.radius_mm)
    wide = sheet.find(f"{widest.name}.diameter", stage)
    if wide:
        radius = widest.radius_mm
        level = min(height for r, height in widest.outside if r > radius - 1e-3)
        view.below.append(Span(-radius, radius, f"⌀ {size_text(wide.value)}", False, level, level))
    return view


def _all_sizes(
    sheet: Sheet, stage: str, part: Standing, size_text: SizeText, said: Callable[[str, str], str], captioned: bool
) -> View:
    """One part with every station: diameters beside the outside, heights beside the section."""
    view = View([part], caption=short(part.name) if captioned else "")
    seen = part.seen
    calipers = {name: (diameter, side) for name, diameter, side in _calipers(sheet, stage, part.name)}
    typed = sheet.form.parts[part.name]
    set_at = {str(typed.calipers[name].level): name for name, (_other, side) in calipers.items() if side == "outside"}
    told: set[str] = set()
    levels: set[str] = set()
    for station, (radius, height) in part.stations.items():
        wide, high = (
            sheet.find(f"{part.name}.{station}.diameter", stage),
            sheet.find(f"{part.name}.{station}.height", stage),
        )
        caliper = set_at.get(station) or next(
            (name for name in calipers if name == str(typed.outside[station].diameter)), None
        )
        if wide:
            view.notes_left.append(
                Note(
                    -radius, height, said(wide.key, f"{short(station)} ⌀ {size_text(wide.value)}"), caliper is not None
                )
            )
            told.add(caliper or "")
        if high and height > 0.0 and (text := size_text(high.value)) not in levels:
            levels.add(text)
            view.running.append(Note(max(radius, seen.radius_at(height)), height, said(high.key, text)))
    for name, (diameter, _other) in calipers.items():
        if name not in told:
            place_diameter(
                view,
                diameter / 2.0,
                level_of(sheet, part, name, diameter / 2.0),
                said(f"{part.name}.{name}", f"{short(name)} ⌀ {size_text(diameter)}"),
            )
    return view


OVERLAY_TOLERANCE_MM = 0.1  # three outlines over one another need no finer line
OVERLAID = {"wet": DASHED, "dry": MIDDLE, "fired": OUTLINE}


def draw_stage_overlay(
    sheet: Sheet, *, width_mm: float = 90.0, height_mm: float = 90.0, lettering: Lettering = Lettering(), name: str = ""
) -> str:
    """The parts wet, dry and fired over one another, foot on foot: dashed, thin and heavy.

    Args:
        sheet: the form's sheet.
        width_mm, height_mm: the box on paper, mm.
        lettering: font sizes.
        name: start of the ids; the form's slug unless given.
    Returns: SVG.
    """
    stages = {
        part: {stage: _on_ground(as_finished(sheet, part, stage, OVERLAY_TOLERANCE_MM)) for stage in OVERLAID}
        for part in sheet.shapes
    }
    views = []
    for part, at in stages.items():
        view = View([at["wet"]], caption=short(part) if len(stages) > 1 else "")
        for stage, stood in at.items():
            radius, height = max(stood.outside, key=lambda point: (point[1] > stood.top_mm - 0.01, point[0]))
            view.notes_right.append(Note(radius, height, stage))
        views.append(view)
    arrangement = fitted(views, width_mm, height_mm, lettering, in_rows=True)
    picture = Picture()
    for view, place in zip(views, arrangement.places, strict=True):
        for stage, stood in stages[view.parts[0].name].items():
            draw_contours(picture, [stood], place, OVERLAID[stage], filled=stage == "fired")
        draw_axis(picture, view.parts, place)
        draw_sizes(picture, view, place, lettering)
    shrunk = {stage: sheet.find("clay.shrinkage", stage) for stage in ("dry", "fired")}
    said = ", ".join(
        _("{stage} {share} % smaller across than wet").format(stage=_(stage), share=pointed(f"{figure.value:.1f}"))
        for stage, figure in shrunk.items()
        if figure
    )
    words = _("Wet dashed, dry thin, fired heavy and shaded, on one axis and foot. {said}.").format(said=said)
    return picture.render(
        name or f"{sheet.slug}-overlay",
        _("{title}, from wet to fired").format(title=sheet.form.title),
        words,
        within=(width_mm, height_mm),
    )


def _on_ground(part: Standing) -> Standing:
    return part.raised(-part.bottom_mm)


# CSS has 96 px to the inch (CSS Values and Units 3, second-hand).
HALF_PX = 96.0 / 25.4 / 2.0


@frozen
class Small:
    """A form drawn small, before it is known how high the others beside it are; sizes on paper, mm."""

    content: str
    right_mm: float
    tallest_mm: float

    def render(self, tallest_mm: float) -> str:
        """The picture, as high as the tallest of those on its ground line."""
        box = (-2.5, -0.5, self.right_mm + 2.5, tallest_mm + 1.0)
        head = Picture().render("front", "", "", box=box, hidden=True).removesuffix("</svg>")
        return head + self.content

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height in a list of many, at half size; whole pixels."""
        return round((self.right_mm + 5.0) * HALF_PX), round((self.tallest_mm + 1.5) * HALF_PX)

    @property
    def alone(self) -> str:
        """The picture for a file of its own, in one ink, to the size that it has in a list."""
        width, height = self.size_px
        head = f'<svg xmlns="http://www.w3.org/2000/svg" color="#1a1917" width="{width}" height="{height}" viewBox="-2.5 {-self.tallest_mm - 1.0:.2f} {width / HALF_PX:.2f} {height / HALF_PX:.2f}" fill="none">'
        return head + self.content

    @property
    def path(self) -> str:
        """Where that file stands on a site: forms that look alike share one."""
        return f"drawn/{hashlib.sha256(self.alone.encode()).hexdigest()[:8]}.svg"


def draw_small(sheet: Sheet, *, scale: float = 0.25, stage: str = "fired") -> Small:
    """A form drawn small, for a catalogue."""
    groups = set_together(sheet, stage)
    tallest = max((part.top_mm for group in groups for part in group), default=0.0) * scale
    picture, right = _small(groups, scale)
    svg = picture.render("front", "", "", box=(0.0, 0.0, 1.0, 1.0), hidden=True)
    return Small(svg.partition(">")[2], right, tallest)


def _small(groups: Sequence[Sequence[Standing]], scale: float) -> tuple[Picture, float]:
    picture = Picture()
    at = 0.0
    for group in groups:
        radius = max(part.radius_mm for part in group) * scale
        x = at + radius
        at += 2.0 * radius + 3.0
        outside = outside_view(
            [simplified(part.outside, 0.06 / scale) for part in group],
            [point for part in group for point in part.sharp],
        )
        for line in outside.lines:
            picture.stroke(EDGE, moved([(0.0, line[0][1]), *line, (0.0, line[-1][1])], scale, x, 0.0, mirrored=True))
        for edge_radius, height in outside.edges:
            picture.stroke(HATCH, moved([(edge_radius, height), (0.0, height)], scale, x, 0.0, mirrored=True))
        for part in group:
            picture.fill(CLAY, moved(simplified(part.ring, 0.06 / scale), scale, x, 0.0))
    right = at - 3.0
    picture.stroke(EDGE, [(-2.0, 0.0), (right + 2.0, 0.0)])
    return picture, right
