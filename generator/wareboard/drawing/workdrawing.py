"""The parts as they stand on the wheel: as thrown, turned over to be trimmed, a foot seen close; each setting with its mark in a ring."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from wareboard.drawing.closeups import SCALES, Window, draw_section
from wareboard.drawing.dimensions import ASIDE_MM, FIRST_MM, STEP_MM, Lettering, Note, Span, draw_span, halved
from wareboard.drawing.formdrawing import SizeText, is_clear, level_of, place_diameter, plain_size
from wareboard.drawing.layout import Place, View, fitted, rendered
from wareboard.drawing.seating import FINEST_MM, Standing, as_finished, as_thrown
from wareboard.drawing.svg import AXIS, Picture, Point, ringed, short, text_width_mm
from wareboard.figures.settings import (
    AT_TRIMMING,
    CALIPERS,
    FLOOR,
    PLAY,
    POINTER,
    RECESS,
    RING,
    THICKNESS,
    THROWN,
    TURNED,
    Setting,
    settings_of,
)
from wareboard.figures.sheet import Sheet
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.text.languages import _, pointed

FOOT_STAGE = "leather-hard"
FOOT_SIZES = ("ring.outside", "ring.inside", "ring.width", "recess.depth", "recess.depth.ring", "recess.diameter")
BESIDE_MM, BELOW_MM, ABOVE_MM = 6.0, 8.0, 0.5  # of the object shown beside the ring, below its floor, and over the ring
LINE_MM = 5.0  # from the drawing to a height's line
DIFFERS_MM = 0.05  # less, and a recess is as deep at its ring as at its centre


def draw_wheel(
    sheet: Sheet, *, width_mm: float = 88.0, height_mm: float = 94.0, size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "", parts: Sequence[str] | None = None, sizes: bool = True,
) -> str:  # fmt: skip
    """The parts as they are thrown, wet, on the wheel head, each setting with its number in a ring.

    Lids stand upside down, as they are thrown; what trimming takes off is still on.

    Args:
        sheet: the form's sheet.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug unless given.
        parts: those that are drawn; all unless given.
        sizes: write the sizes behind their rings; without, a narrow box has room for the pot.
    Returns: SVG.
    """
    settings = settings_of(sheet)
    shown = [part for part in sheet.shapes if parts is None or part in parts]
    bat = sheet.studio.bat.value if sheet.studio.bat else 0.0
    label = (lambda one, size_mm, sign="": ringed(one.mark, sign + size_text(size_mm) if sizes else ""))  # fmt: skip
    views = [
        _wheel_view(sheet, part, bat, size_text, label, settings.by_part.get(part, ()), len(shown)) for part in shown
    ]
    arrangement = fitted(views, width_mm, height_mm, lettering, in_rows=True)
    said = "; ".join(
        f"{part}{_turned(sheet, part)}: {', '.join(_setting_words(one, size_text) for one in settings.by_part.get(part, ()))}"
        for part in shown
    )
    words = _(
        "As thrown, wet, on the wheel head. {sizes}. Outside view on the left with the pointer, section on the right."
    ).format(sizes=said)
    return rendered(
        arrangement,
        lettering,
        (width_mm, height_mm),
        name or f"{sheet.slug}-wheel",
        _("{title}, on the wheel").format(title=sheet.form.title),
        words,
    )


def _setting_words(one: Setting, size_text: SizeText) -> str:
    """A setting for those who can't see the drawing."""
    ends = _(" and ").join(
        f"{size_text(end.value) if end.unit == 'mm' else end.amounts[0]}{f' {_(end.end)}' if end.end else ''}"
        for end in one.ends
    )
    return f"{one.mark} {one.title} {ends}"


def _turned(sheet: Sheet, part: str) -> str:
    return _(", upside down") if sheet.shapes[part].opens_down else ""


MOST_WITH_BASES = 3  # parts; with more, the paper is for what is set


def _wheel_view(
    sheet: Sheet, name: str, bat_mm: float, size_text: SizeText, label: Callable[..., str], settings: Sequence[Setting], count: int
) -> View:  # fmt: skip
    part = as_thrown(sheet, name)
    captioned = count > 1
    view = View([part], bat_mm=bat_mm, caption=f"{short(name)}{_turned(sheet, name)}" if captioned else "")
    seen = part.seen
    for one in settings:
        if one.kind == POINTER:
            height, reach = (end.value for end in one.ends)
            level = height - bat_mm
            view.pointers.append((reach, level))
            view.rises_left.append(Span(-bat_mm, level, label(one, height), True, None, -reach))
            span = Span(-reach, 0.0, label(one, reach), True, level, None)
            if seen.greatest_above(level) <= reach + 0.5:
                view.reaches.append(span)
            else:
                view.own_level.append((replace(span, start_from=None), level))
        elif one.kind == FLOOR:
            view.notes_right.append(_floor_note(part, label(one, one.ends[0].value)))
        elif one.kind in (CALIPERS, THROWN):
            radius = one.ends[0].value / 2.0
            text = label(one, 2.0 * radius, "⌀ ")
            level = level_of(sheet, part, one.place, radius)
            if one.side == "inside":
                place_diameter(view, radius, level, text)
            elif is_clear([part], radius, level, 1.0):
                view.wholes.append(Span(-radius, radius, text, True, level, level))
            else:
                view.notes_right.append(Note(radius, level, text, True))
    base = part.outside[0][0]
    if count <= MOST_WITH_BASES and not sheet.shapes[name].opens_down and not view.below and base > 1.0:
        under = part.bottom_mm - bat_mm
        view.below.append(Span(-base, base, f"⌀ {size_text(2.0 * base)}", False, under, under))
    return view


def _floor_note(part: Standing, text: str) -> Note:
    """The floor under the needle, pointed at where it is opened."""
    inside = min(
        (point for point in part.ring if point[1] > part.bottom_mm + 0.1), key=lambda point: (point[0], point[1])
    )
    radius = 0.3 * part.radius_mm
    return Note(radius, part.bottom_mm + 0.5 * (inside[1] - part.bottom_mm), text, True)


# ---- trimming ----


def draw_trimming(
    sheet: Sheet, *, width_mm: float = 88.0, height_mm: float = 94.0, size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "", parts: Sequence[str] | None = None, sizes: bool = True,
) -> str:  # fmt: skip
    """The parts leather-hard as they sit on the wheel head to be trimmed: a vessel turned over, a lid the right way up.

    Args:
        sheet: the form's sheet.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; the form's slug unless given.
        parts: those that are drawn; all unless given.
        sizes: write the sizes behind their rings.
    Returns: SVG.
    """
    settings = trim_settings_of(sheet)
    shown = [part for part in sheet.shapes if parts is None or part in parts]
    label = (lambda one, sign="": ringed(one.mark, sign + size_text(one.ends[0].value) if sizes else ""))  # fmt: skip
    views = [_trim_view(sheet, part, label, settings.get(part, ()), len(shown)) for part in shown]
    arrangement = fitted(views, width_mm, height_mm, lettering, in_rows=True)
    said = "; ".join(
        f"{part}, {_way_up(sheet, part)}: {', '.join(_setting_words(one, size_text) for one in settings.get(part, ()))}"
        for part in shown
    )
    return rendered(
        arrangement,
        lettering,
        (width_mm, height_mm),
        name or f"{sheet.slug}-trim",
        _("{title}, at trimming").format(title=sheet.form.title),
        _("Leather-hard, trimmed, on the wheel head. {sizes}. Outside view on the left, section on the right.").format(
            sizes=said
        ),
    )


def _way_up(sheet: Sheet, part: str) -> str:
    return _("the right way up") if sheet.shapes[part].opens_down else _("turned over")


def _trim_view(sheet: Sheet, name: str, label: Callable[..., str], settings: Sequence[Setting], count: int) -> View:
    part = replace(as_finished(sheet, name, AT_TRIMMING), joined=())  # handles go on once it is trimmed
    if not sheet.shapes[name].opens_down:
        part = turned_over(part)
    view = View([part], caption=f"{short(name)}, {_way_up(sheet, name)}" if count > 1 else "")
    for one in settings:
        radius = one.ends[0].value / 2.0
        if one.kind == TURNED and one.place == RING:
            view.wholes.append(Span(-radius, radius, label(one, "⌀ "), True, part.top_mm, part.top_mm))
        elif one.kind == TURNED and one.place == RECESS:
            view.notes_right.append(Note(0.25 * radius, part.top_mm - one.ends[0].value, label(one), True))
        elif one.kind == TURNED and one.place in part.stations:
            level = part.stations[one.place][1]
            if is_clear([part], radius, level, 1.0) and level > 0.5 * part.top_mm:
                view.wholes.append(Span(-radius, radius, label(one, "⌀ "), True, level, level))
            else:
                view.notes_left.append(Note(-radius, level, label(one, "⌀ "), True))
        elif one.kind == TURNED:
            level = level_of(sheet, part, one.place, radius)
            view.notes_left.append(Note(-radius, level, label(one, "⌀ "), True))
        elif one.kind == PLAY:
            flange = sheet.find(f"{name}.{one.place}", AT_TRIMMING)
            wide = flange.value / 2.0 if flange else part.radius_mm
            view.notes_left.append(Note(-wide, level_of(sheet, part, one.place, wide), label(one), True))
        elif one.kind == THICKNESS:
            view.notes_right.append(Note(*_thickness_at(part, one), label(one), True))
    return view


def _thickness_at(part: Standing, one: Setting) -> Point:
    """Where in the section a wall or a floor is pointed at."""
    what, _at, station = one.place.partition(" at ")
    if what == "floor":
        on_axis = sorted(height for radius, height in part.ring if radius < 0.05)
        if len(on_axis) > 1:
            return 0.22 * part.radius_mm, (on_axis[0] + on_axis[-1]) / 2.0
        return 0.22 * part.radius_mm, part.top_mm
    if station in part.stations:
        radius, height = part.stations[station]
        return max(0.0, radius - one.ends[0].value / 2.0), height
    middle = part.bottom_mm + 0.45 * (part.top_mm - part.bottom_mm)
    outer = part.seen.radius_at(middle)
    return max(0.0, outer - one.ends[0].value / 2.0), middle


def footed_parts(sheet: Sheet) -> list[str]:
    """The parts of a form that have a turned foot."""
    return [name for name, shape in sheet.shapes.items() if shape.foot]


def turned_over(part: Standing) -> Standing:
    """A part upside down: what was its highest point stands at height 0.

    >>> cup = Standing("cup", ((2.0, 0.0), (3.0, 9.0)), ((0.0, 0.0), (2.0, 0.0), (3.0, 9.0), (0.0, 9.0)), (), {"foot": (2.0, 0.0)})
    >>> turned_over(cup).outside, turned_over(cup).stations
    (((3.0, 0.0), (2.0, 9.0)), {'foot': (2.0, 9.0)})
    """
    top = part.top_mm

    def over(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((radius, top - height) for radius, height in reversed(points))

    stations = {name: (radius, top - height) for name, (radius, height) in part.stations.items()}
    return replace(
        part, outside=over(part.outside), ring=over(part.ring), sharp=over(part.sharp), stations=stations, at_mm=0.0
    )


def draw_foot(
    sheet: Sheet, part: str, *, width_mm: float = 88.0, height_mm: float = 60.0, size_text: SizeText = plain_size,
    lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """A foot turned over, as it sits on the wheel head when it is turned: half of its section, enlarged, with its sizes.

    Args:
        sheet: the form's sheet.
        part: a part with a turned foot.
        width_mm, height_mm: the box on paper, mm.
        size_text: a size in mm as it should be written.
        lettering: font sizes.
        name: start of the ids; form and part unless given.
    Returns: SVG.
    Raises: KeyError, the part has no turned foot.
    """
    sizes = {key: sheet.value(f"{part}.foot.{key}", FOOT_STAGE) for key in FOOT_SIZES}
    floor = sheet.find(f"{part}.foot.floor.rest", FOOT_STAGE)
    over = turned_over(as_finished(sheet, part, FOOT_STAGE, FINEST_MM))
    top, deep, at_ring = over.top_mm, sizes["recess.depth"], sizes["recess.depth.ring"]
    outer, inner, corner = (sizes[key] / 2.0 for key in ("ring.outside", "ring.inside", "recess.diameter"))
    rest = floor.value if floor else 0.0
    widths = [Span(0.0, radius, f"{words} ⌀ {size_text(2.0 * radius)}", True, None, top, one_headed=True) for words, radius in ((_("inside"), inner), (_("ring"), outer))]  # fmt: skip
    depths = [Span(top - deep, top, _("deep {size}").format(size=size_text(deep)), True, 0.0, None)]
    if floor:
        depths.append(
            Span(top - deep - rest, top - deep, _("floor {size}").format(size=size_text(rest)), False, 0.0, None)
        )
    beside = [] if abs(deep - at_ring) < DIFFERS_MM else [Span(top - at_ring, top, _("deep {size}").format(size=size_text(at_ring)), True, corner, outer)]  # fmt: skip

    left = max(text_width_mm(span.text, lettering.size_mm(span.strong), span.strong) for span in depths) + LINE_MM + 4.0
    right = max((text_width_mm(span.text, lettering.set_mm, True) + LINE_MM + 4.0 for span in beside), default=2.0)
    rows = FIRST_MM + STEP_MM + 1.5 * lettering.set_mm
    caption = 1.6 * lettering.plain_mm + 1.0
    wide_mm, tall_mm = outer + BESIDE_MM, deep + rest + BELOW_MM + ABOVE_MM
    room = min((width_mm - left - right) / wide_mm, (height_mm - rows - caption) / tall_mm)
    scale = max((scale for scale in SCALES if scale <= room), default=room)
    window = Window(wide_mm / 2.0, top + ABOVE_MM - tall_mm / 2.0, wide_mm, tall_mm, scale)

    picture = Picture()
    draw_section(picture, window, over, True)
    x, y = window.paper((0.0, top))
    picture.stroke(AXIS, [(x, -1.0), (x, y + rows)])
    place = Place(x, y - top * scale, scale)
    for row, span in enumerate(widths):
        draw_span(picture, halved(place.width(span), lettering), y + FIRST_MM + row * STEP_MM, lettering)
    for spans, level, aside in ((depths, x - LINE_MM, -1.0), (beside, window.wide + LINE_MM, 1.0)):
        lowest = float("inf")
        for span in map(place.height, spans):  # from the top down: no text stands on the one above
            draw_span(picture, replace(span, text=""), level, lettering, upright=True, aside=aside, share=None)
            size = lettering.size_mm(span.strong)
            lowest = min((span.start + span.end) / 2.0 - 0.33 * size, lowest - 1.15 * size)
            picture.letter(level + aside * ASIDE_MM, lowest, span.text, size, anchor="end" if aside < 0.0 else "start", strong=span.strong)  # fmt: skip
    words = f"{scale:g} : 1" if scale >= 1.0 else pointed(f"1 : {1.0 / scale:.2g}")
    picture.letter(
        x,
        -1.35 * lettering.plain_mm,
        _("{scale}, upside down, {stage}").format(scale=words, stage=_(FOOT_STAGE)),
        lettering.plain_mm,
        anchor="start",
    )
    said = _("ring {outer} mm across outside and {inner} mm inside, {width} mm wide; recess {deep} mm deep at its centre, {ring} mm at the ring").format(outer=size_text(2.0 * outer), inner=size_text(2.0 * inner), width=size_text(sizes["ring.width"]), deep=size_text(deep), ring=size_text(at_ring))  # fmt: skip
    if floor:
        said += _("; {size} mm of floor left").format(size=size_text(rest))
    return picture.render(
        name or f"{sheet.slug}-foot-{part}", _("{title}, foot of the {part}").format(title=sheet.form.title, part=part),
        _("Section of the foot upside down, as it sits on the wheel head, {scale}, {stage}: {said}.").format(scale=words, stage=_(FOOT_STAGE), said=said),
    )  # fmt: skip
