"""A turned foot as it is turned: the pot upside down on the wheel head, its foot up, with what it is turned to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wareboard.drawing.closeups import SCALES, Window, draw_section
from wareboard.drawing.dimensions import ASIDE_MM, FIRST_MM, STEP_MM, Lettering, Span, draw_span, halved
from wareboard.drawing.formdrawing import SizeText, plain_size
from wareboard.drawing.layout import Place
from wareboard.drawing.seating import FINEST_MM, Standing, as_finished
from wareboard.drawing.svg import AXIS, Picture, text_width_mm
from wareboard.drawing.views import Point
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _, pointed

STAGE = "leather-hard"
SIZES = ("ring.outside", "ring.inside", "ring.width", "recess.depth", "recess.depth.ring", "recess.diameter")
BESIDE_MM, BELOW_MM, ABOVE_MM = 6.0, 8.0, 0.5  # of the object shown beside the ring, below its floor, and over the ring
LINE_MM = 5.0  # from the drawing to a height's line
DIFFERS_MM = 0.05  # less, and a recess is as deep at its ring as at its centre


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
    sizes = {key: sheet.value(f"{part}.foot.{key}", STAGE) for key in SIZES}
    floor = sheet.find(f"{part}.foot.floor.rest", STAGE)
    over = turned_over(as_finished(sheet, part, STAGE, FINEST_MM))
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
        _("{scale}, upside down, {stage}").format(scale=words, stage=_(STAGE)),
        lettering.plain_mm,
        anchor="start",
    )
    said = _("ring {outer} mm across outside and {inner} mm inside, {width} mm wide; recess {deep} mm deep at its centre, {ring} mm at the ring").format(outer=size_text(2.0 * outer), inner=size_text(2.0 * inner), width=size_text(sizes["ring.width"]), deep=size_text(deep), ring=size_text(at_ring))  # fmt: skip
    if floor:
        said += _("; {size} mm of floor left").format(size=size_text(rest))
    return picture.render(
        name or f"{sheet.slug}-foot-{part}", _("{title}, foot of the {part}").format(title=sheet.form.title, part=part),
        _("Section of the foot upside down, as it sits on the wheel head, {scale}, {stage}: {said}.").format(scale=words, stage=_(STAGE), said=said),
    )  # fmt: skip
