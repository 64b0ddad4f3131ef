"""A form's template sheet: its outlines as gauges and ribs to cut out, its pointer and its caliper settings, all true to size."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import chain

from wareboard.cards.cardtext import page_url, qr_picture
from wareboard.cards.engine import CardText
from wareboard.cards.truesize import (
    ALLOWED_MM,
    TEXT_MM,
    Item,
    Words,
    clay_words,
    cut_out,
    render_sheets,
    room_mm,
    shortened,
    true_paper,
    wrapped,
)
from wareboard.drawing.seating import FINEST_MM
from wareboard.drawing.strips import draw_strip, strip_of
from wareboard.drawing.svg import AXIS, EDGE, MEASURE, POINTER, THIN, TINT, Point, Sketch, ringed, text_width_mm
from wareboard.drawing.views import outside_view, simplified
from wareboard.figures.figure import Figure
from wareboard.figures.matching import turn_table_of
from wareboard.figures.settings import as_set, settings_of
from wareboard.figures.shapes import Shape
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.figures.trimsettings import trim_settings_of
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later, pointed, written_day

LINE_MM = 3.9
BESIDE_MM = 4.0  # left free beside a gauge's words
LEAST_BESIDE_MM = 12.0  # of card beyond the widest place: a gauge must not bend
LONGEST_LINE_MM = 80.0
HOW_TO_USE = later(
    "Glue to card and cut along the lines. Grey is half the pot, white the gauge: stand it where the pot stands (on its other edge, for a pot turned over) and bring it to the clay. Stand the triangle on the wheel head, point at the centre: its top is where the pointer goes."
)
STAGE_WORDS = {"wet": later("at the wheel"), "leather-hard": later("at trimming")}
HANDLE_MM = 14.0  # of card above a recess gauge, to hold it by
BEYOND_MM = 8.0  # of a recess gauge beyond the ring that it lies on
OPEN_SHARE = 0.8  # a mouth narrower than this share of the widest lets no rib in


def render_templates(sheet: Sheet, *, paper: str | None = None, made: datetime.date, site_url: str = "") -> CardText:
    """A form's template sheets.

    Args:
        sheet: the form's figures.
        paper: A4 or Letter; the studio's unless given.
        made: the day that stands on the sheets.
        site_url: where the site stands; a QR code leads to the form's bench view there; none where empty.
    Returns: the sheets' text; `cards.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    reader = reader_of(sheet.studio)
    paper = paper or true_paper(str(sheet.studio.paper or ""))
    width_mm, _other = room_mm(paper)
    sheet = as_set(sheet)  # what is cut out is what the cards set
    items = [
        item for name, shape in sheet.shapes.items() for item in _part_items(sheet, reader, str(name), shape, width_mm)
    ]
    items += _strips(sheet, reader, width_mm)
    words = Words(
        str(sheet.form.title), str(sheet.form.code or ""), _("template sheet"),
        f"{clay_words(sheet.clay)}. {_convention(sheet, reader)}",
        _("Lines are as long as what the cards set, to the studio's tools, and as the numbers beside them say.") + " " + _("Revision {revision}, made {day}.").format(revision=sheet.revision, day=written_day(made)) + f" {sheet.studio.title}.",
        sheet.studio.language_tag, qr_picture(page_url(sheet, site_url)) if site_url else "", str(reader.amounts(ALLOWED_MM, "mm", small=True)[0]),
    )  # fmt: skip
    return render_sheets(f"{sheet.slug}-template", words, [items], paper)


def _convention(sheet: Sheet, reader: Reader) -> str:
    said = [_(HOW_TO_USE)]
    if sheet.studio.bat and sheet.studio.bat.value:
        said.append(_("The bat, {bat}, is counted in.").format(bat=reader.as_said(sheet.studio.bat.value)))
    if any(part.opens_down for part in sheet.form.parts.values()):
        said.append(_("Lids are thrown upside down and trimmed as they are used."))
    return " ".join(said)


def _part_items(sheet: Sheet, reader: Reader, name: str, shape: Shape, width_mm: float) -> Iterator[Item]:
    """What is drawn for one part: both gauges, the pointer's triangles, the caliper lines."""
    yield _gauge(sheet, _("{part}, as thrown, wet").format(part=name), shape.thrown("wet").outside, width_mm)
    yield _gauge(
        sheet, _("{part}, trimmed, leather-hard").format(part=name), shape.finished("leather-hard").outside, width_mm
    )
    yield from foot_items(name, shape, _mark(sheet))
    for said, height, reach in _pointers(sheet, name):
        yield _pointer(sheet, reader, said, height, reach, width_mm)
    for stage, words in STAGE_WORDS.items():
        when = _(words)
        for said, figure in caliper_settings(sheet, name, stage):
            marked = _mark_of(sheet, name, figure) if stage == figure.stage else ""
            yield _caliper_line(reader, said, when, figure, width_mm, marked)


def _strips(sheet: Sheet, reader: Reader, width_mm: float) -> Iterator[Item]:
    """A strip for whatever goes into a fit: laid beside the calipers, it reads what to trim to. Wider ware than the
    paper has the same as a table, on its page."""
    for name, fit in sheet.form.fits.items():
        if not fit.outside.own:
            continue
        strip = strip_of(turn_table_of(sheet, str(name), reader), reader)
        if strip.width_mm <= width_mm:
            called = _("{outside}, {size}: strip to trim by").format(
                outside=strip.table.outside, size=strip.table.size_name
            )
            yield Item(called, strip.said, strip.width_mm, strip.height_mm, partial(draw_strip, strip=strip))


# ---- gauges ----


def seen_outline(outside: Sequence[Point]) -> list[Point]:
    """An outside as a gauge can follow it that comes from the side: what lies behind an overhang is left out.

    Args:
        outside: the outline, mm from the axis and up.
    Returns: the silhouette from its lowest point up, standing at height 0.
    >>> seen_outline([(20.0, 5.0), (40.0, 25.0), (30.0, 25.0), (30.0, 45.0)])
    [(20.0, 0.0), (40.0, 20.0), (30.0, 20.0), (30.0, 40.0)]
    """
    low = min(height for _other, height in outside)
    points = chain.from_iterable(outside_view([[(radius, height - low) for radius, height in outside]]).lines)
    seen: list[Point] = []
    for point in points:
        if not seen or point != seen[-1]:
            seen.append(point)
    return seen


def _gauge(sheet: Sheet, said: str, outside: Sequence[Point], width_mm: float) -> Item:
    """Half an outline to cut out: the pot's half in grey, and beside it the gauge, flat at both ends."""
    line = seen_outline(outside)
    height, widest = line[-1][1], max(radius for radius, _other in line)
    code = f" {sheet.form.code}" if sheet.form.code else ""
    lines, upward, beside = _words_beside(
        [said, f"{sheet.form.title}{code}, {sheet.revision}"], _mark(sheet), height, _room_beside(width_mm, widest)
    )
    width = widest + beside

    def draw(sketch: Sketch) -> None:
        sketch.fill(TINT, [(0.0, 0.0), *line, (0.0, height)])
        cut_out(sketch, width, height, from_axis=True)
        sketch.stroke(EDGE, line)
        for number, (text, strong) in enumerate(lines):
            if upward:
                sketch.letter(
                    width - beside + BESIDE_MM + LINE_MM * number + 1.0,
                    BESIDE_MM / 2.0,
                    text,
                    TEXT_MM,
                    anchor="start",
                    upward=True,
                    strong=strong,
                )
            else:
                sketch.letter(
                    width - beside + BESIDE_MM - 2.0,
                    height - LINE_MM * (number + 1) + 0.3,
                    text,
                    TEXT_MM,
                    anchor="start",
                    strong=strong,
                )

    return Item(
        said,
        _("gauge {name}, {height} mm high and {width} mm from the centre at its widest").format(
            name=said, height=pointed(f"{height:.1f}"), width=pointed(f"{widest:.1f}")
        ),
        width,
        height,
        draw,
    )


def _mark(sheet: Sheet) -> str:
    """What tells a cut-out piece from all others: the form's code, or its name, and the revision."""
    return f"{sheet.form.code or sheet.form.title} {sheet.revision}"


def _room_beside(width_mm: float, used_mm: float) -> float:
    """How wide words may be beside a drawing: what is left of the sheet, so that no drawing goes over two for its words alone."""
    left = width_mm - used_mm
    return left if left >= LEAST_BESIDE_MM else LONGEST_LINE_MM


def _words_beside(
    texts: Sequence[str], mark: str, height_mm: float, most_mm: float
) -> tuple[list[tuple[str, bool]], bool, float]:
    """A gauge's words, set up its edge or level, whichever needs less card: lines, whether they run up, and the card's width."""
    level = _level_words(texts, mark, height_mm, most_mm - BESIDE_MM)
    upright = _lines(texts, min(height_mm - BESIDE_MM, LONGEST_LINE_MM)) if height_mm >= 30.0 else []
    upright_mm = max(LEAST_BESIDE_MM, LINE_MM * len(upright) + BESIDE_MM)
    level_mm = max(LEAST_BESIDE_MM, _widest(level) + BESIDE_MM)
    return (
        (upright, True, upright_mm)
        if upright and upright_mm < level_mm and upright_mm <= most_mm
        else (level, False, level_mm)
    )


def _level_words(texts: Sequence[str], mark: str, height_mm: float, most_mm: float) -> list[tuple[str, bool]]:
    """Words in level lines that fit a height, in the narrowest column that takes them; where none does, its mark and as much as there is room for."""
    count = max(1, int((height_mm - 1.0) / LINE_MM))
    widths = [float(width) for width in range(20, int(most_mm), 4)] + [most_mm]
    run_on = [", ".join(texts)]
    for words in (texts, run_on):
        for width in widths:
            if len(lines := _lines(words, width)) <= count:
                return lines
    lines = _lines([f"{mark}, {texts[0]}"], most_mm)
    rest = " ".join(text for text, _other in lines[count - 1 :])
    return [*lines[: count - 1], (shortened(rest, most_mm, TEXT_MM, True), True)]


def _write(sketch: Sketch, texts: Sequence[str], mark: str, height_mm: float, width_mm: float, top_mm: float) -> None:
    """A rib's words on the rib itself, in level lines from its top down, inside a height and a width."""
    for number, (text, strong) in enumerate(_level_words(texts, mark, height_mm, width_mm), 1):
        sketch.letter(1.5, top_mm - LINE_MM * number, text, TEXT_MM, anchor="start", strong=strong)


def _widest(lines: Sequence[tuple[str, bool]]) -> float:
    return max(text_width_mm(text, TEXT_MM, strong) for text, strong in lines)


def _lines(texts: Sequence[str], width_mm: float) -> list[tuple[str, bool]]:
    """Texts in lines; the first is bold."""
    return [
        (line, number == 0)
        for number, text in enumerate(texts)
        for line in wrapped(text, width_mm, TEXT_MM, number == 0)
    ]


# ---- pointer ----


def _pointers(sheet: Sheet, name: str) -> Iterator[tuple[str, Figure, Figure]]:
    """Each pointer setting of a part: what it is for, height and reach."""
    throwing = sheet.form.parts[name].throwing
    stations = [str(station) for station in throwing.gauge_at] if throwing else []
    for station in stations or [""]:
        stem = f"{name}.pointer.{station}" if len(stations) > 1 else f"{name}.pointer"
        height, reach = sheet.find(f"{stem}.height", "wet"), sheet.find(f"{stem}.reach", "wet")
        if height and reach and height.value > 0.0 and reach.value > 0.0:
            yield f"{name}, {station}" if station else name, height, reach


def _pointer(sheet: Sheet, reader: Reader, said: str, height: Figure, reach: Figure, width_mm: float) -> Item:
    """A right triangle: from the centre out along the wheel head, then up to where the pointer goes."""
    high, out = height.value, reach.value
    set_by = settings_of(sheet).at(height.key)
    named = (
        ringed(set_by.mark, _("pointer {name}").format(name=said)) if set_by else _("pointer {name}").format(name=said)
    )
    texts = [
        named,
        _("up {height}, out {reach}").format(height=reader.text(height), reach=reader.text(reach)),
        _mark(sheet),
    ]
    lines = _words_within(texts, high, out) or _words_aside(texts, high, out, _room_beside(width_mm, out))

    def draw(sketch: Sketch) -> None:
        sketch.stroke(EDGE, ((0.0, 0.0), (out, 0.0), (out, high)), closed=True)
        sketch.fill(
            POINTER,
            ((out, high), (out - 2.2 * out / (out + high), high - 2.2 * high / (out + high)), (out, high - 3.0)),
        )
        for line in lines:
            sketch.letter(
                line.x, line.y, line.text, TEXT_MM, anchor=line.anchor, upward=line.upward, strong=line.strong
            )

    aside = max(
        [0.0, *(line.x + text_width_mm(line.text, TEXT_MM, line.strong) - out for line in lines if line.x > out)]
    )
    return Item(
        _("pointer {name}").format(name=said),
        _("pointer triangle {name}, {height} mm up and {reach} mm out").format(
            name=said, height=pointed(f"{high:.1f}"), reach=pointed(f"{out:.1f}")
        ),
        out + aside,
        high,
        draw,
    )


@frozen
class _Line:
    """A line of lettering where it stands."""

    x: float
    y: float
    text: str
    strong: bool
    upward: bool = False
    anchor: str = "start"


def _words_within(texts: Sequence[str], high: float, out: float) -> list[_Line]:
    """Words inside a triangle, up its upright edge or level on its base; none where they don't fit."""
    last, texts = (
        len(texts) - 1,
        [shortened(text, LONGEST_LINE_MM, TEXT_MM, number == 0) for number, text in enumerate(texts)],
    )
    upright = [
        _Line(out - 1.6 - LINE_MM * (last - number), 1.6, text, number == 0, True) for number, text in enumerate(texts)
    ]
    if all(high * (line.x - TEXT_MM) / out - 4.0 >= text_width_mm(line.text, TEXT_MM, line.strong) for line in upright):
        return upright
    level = [
        _Line(out - 1.6, 1.6 + LINE_MM * (last - number), text, number == 0, anchor="end")
        for number, text in enumerate(texts)
    ]
    if all(
        out * (1.0 - (line.y + TEXT_MM) / high) - 4.0 >= text_width_mm(line.text, TEXT_MM, line.strong)
        for line in level
    ):
        return level
    return []


def _words_aside(texts: Sequence[str], high: float, out: float, most_mm: float) -> list[_Line]:
    """Words to the right of a triangle that is too small for them; they are cut off with the rest of the paper."""
    return [
        _Line(out + 1.5, high - LINE_MM * (number + 1) + 0.6, text, strong)
        for number, (text, strong) in enumerate(_level_words(texts, texts[-1], high, most_mm - 2.0))
    ]


# ---- calipers ----


def caliper_settings(sheet: Sheet, name: str, stage: str) -> Iterator[tuple[str, Figure]]:
    """What calipers are set to for a part: at the wheel, or when it is trimmed.

    Args:
        sheet: the form's figures.
        name: the part.
        stage: wet or leather-hard; wet, a side of a fit that is thrown larger is given as thrown.
    Returns: words and figure, one at a time.
    """
    throws = {
        str(fit.outside.caliper): str(fit_name) for fit_name, fit in sheet.form.fits.items() if fit.outside.is_of(name)
    }
    for caliper in map(str, sheet.form.parts[name].calipers):
        thrown = (
            sheet.find(f"fit.{throws[caliper]}.outside.thrown", "wet") if stage == "wet" and caliper in throws else None
        )
        if stage == "wet" and thrown is None:
            thrown = sheet.find(f"{name}.{caliper}.thrown", "wet")
        figure = thrown or sheet.find(f"{name}.{caliper}", stage)
        if figure:
            yield f"{name} {caliper}", figure


def _mark_of(sheet: Sheet, name: str, figure: Figure) -> str:
    """The mark in the ring of a caliper setting: a number at the wheel, a letter at trimming."""
    rows = settings_of(sheet).by_part[name] if figure.stage == "wet" else trim_settings_of(sheet)[name]
    same = {figure.key, f"{name}.{figure.key.rpartition('.')[2]}"}
    return next((one.mark for one in rows if any(end.key in same for end in one.ends)), "")


def _caliper_line(reader: Reader, said: str, when: str, figure: Figure, width_mm: float, mark: str = "") -> Item:
    """A line exactly as long as a caliper setting, between two ticks."""
    length = figure.value
    amounts = reader.figure(figure)
    text = f"{amounts[0]}{f' ({amounts[1]})' if len(amounts) > 1 else ''} {when}, {said}"
    text = ringed(mark, text) if mark else text
    above = text_width_mm(text, TEXT_MM, True) + 2.4 <= length
    start = 1.2 if above else length + 1.5
    text = shortened(text, min(length, width_mm / 2.0) if above else width_mm - start, TEXT_MM, True)
    wide = length if above else start + text_width_mm(text, TEXT_MM, True)

    def draw(sketch: Sketch) -> None:
        sketch.stroke(MEASURE, ((0.0, 3.3), (length, 3.3)))
        for x in (0.0, length):
            sketch.stroke(THIN, ((x, 1.3), (x, 5.3)))
        sketch.letter(start, 4.4 if above else 2.3, text, TEXT_MM, anchor="start", strong=True)

    return Item(
        f"{said}, {when}",
        _("caliper line {name}, {when}, {length} mm").format(name=said, when=when, length=pointed(f"{length:.1f}")),
        wide,
        6.6,
        draw,
    )


def foot_items(name: str, shape: Shape, mark: str) -> Iterator[Item]:
    """A recess gauge and an inside rib for a part with a turned foot; nothing for any other.

    Args:
        name: the part.
        shape: its shape.
        mark: what tells a cut-out piece from all others.
    """
    if shape.foot is None:
        return
    yield recess_gauge(name, shape, mark)
    mouth = shape.inside[-1][0] if shape.inside else 0.0
    if mouth >= OPEN_SHARE * max((radius for radius, _other in shape.inside), default=0.0) > 0.0:
        yield inside_rib(name, shape, mark)


def recess_gauge(name: str, shape: Shape, mark: str) -> Item:
    """Half of a foot's recess, leather-hard, to lay on the ring while the pot is upside down on the wheel head."""
    line, called = recess_line(shape), _("{part}, recess, leather-hard").format(part=name)
    width, top = line[-1][0], max(height for _other, height in line) + HANDLE_MM

    def draw(sketch: Sketch) -> None:
        sketch.stroke(EDGE, [*line, (width, top), (0.0, top)])
        sketch.stroke(AXIS, [(0.0, top), line[0]])
        _write(sketch, (called, mark), mark, HANDLE_MM, width - 3.0, top)

    foot = shape.foot
    assert foot is not None  # a gauge is asked for where there is a foot
    up = shape.scale("leather-hard")[1]
    said = _("recess gauge {part}, {depth} mm deep at the centre, to lay on the foot's ring").format(
        part=name, depth=pointed(f"{foot.depth_mm * up:.1f}")
    )
    return Item(called, said, width, top, draw)


def recess_line(shape: Shape) -> list[Point]:
    """A recess as its gauge is cut, leather-hard: from the axis out to the ring and on over it, the ring's level as high as the recess is deep.

    Args:
        shape: a part with a turned foot.
    Returns: points; the lowest is where the gauge reaches deepest.
    """
    foot = shape.finished("leather-hard")
    low = min(height for _other, height in (*foot.outside, *foot.underside))
    under = [(0.0, foot.underside[0][1]), *foot.underside] if foot.underside[0][0] > 0.0 else list(foot.underside)
    deep = max(height for _other, height in under) - low
    points = [(radius, deep - (height - low)) for radius, height in simplified(under, FINEST_MM)]
    return [*points, (foot.outside[0][0] + BEYOND_MM, points[-1][1])]


def inside_rib(name: str, shape: Shape, mark: str) -> Item:
    """Half of the inside as it is thrown, wet: a rib that is run from the floor's centre out and up."""
    inside = shape.thrown("wet").inside
    low = min(height for _other, height in inside)
    line = [(radius, height - low) for radius, height in simplified(inside, FINEST_MM)]
    top, width = line[-1][1], max(radius for radius, _other in line)

    def draw(sketch: Sketch) -> None:
        sketch.fill(TINT, [*line, (0.0, top)])
        sketch.stroke(EDGE, [*line, (0.0, top)])
        sketch.stroke(AXIS, [(0.0, top), line[0]])
        _write(sketch, (_("{part}, inside, wet").format(part=name), mark), mark, HANDLE_MM, line[-1][0] - 3.0, top)

    return Item(_("{part}, inside rib, wet").format(part=name), _("inside rib {part}, {height} mm high and {width} mm from the centre at its widest").format(part=name, height=pointed(f"{top:.1f}"), width=pointed(f"{width:.1f}")), width, top, draw)  # fmt: skip
