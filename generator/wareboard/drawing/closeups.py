"""A fit seen close: both faces in section, the gap between them, and the glaze on them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from wareboard.drawing.dimensions import GAP_MM, Lettering, draw_head, text_width_mm
from wareboard.drawing.seating import Standing, fitted
from wareboard.drawing.svg import FILM, HATCH, MEASURE, OUTLINE, PHANTOM, SET, THIN, Picture, Point, short
from wareboard.drawing.views import hatch_lines
from wareboard.figures.matching import part_said
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _, pointed

SCALES = (0.5, 1, 2, 3, 4, 5, 8, 10)
SHOWN_MM = 16.0  # of the object at least, from top to bottom
UNSEEN_MM = 1e6  # farther than any face
STRAY_MM = 0.3  # a gap that is drawn as much wider or narrower than it is said to be is another one
FACE_MM = 1.5  # a steep line of a part this near the fit's radius belongs to its face


def draw_fit(
    sheet: Sheet, fit_name: str, *, stage: str = "fired", width_mm: float = 90.0, height_mm: float = 60.0,
    size_text: Callable[[float], str] = lambda mm: f"{mm:.1f}", half_text: Callable[[float], str] = lambda mm: f"{mm / 2.0:.2f}", lettering: Lettering = Lettering(), name: str = "",
) -> str:  # fmt: skip
    """The place where two parts meet, enlarged in section; its scale stands below.

    Args:
        sheet: the form's sheet.
        fit_name: the fit.
        stage: one of the five stages; glaze is drawn at fired.
        width_mm, height_mm: the box on paper, mm.
        size_text: a small length in mm as it should be written.
        half_text: half of such a length as it should be written.
        lettering: font sizes.
        name: start of the ids; form and fit unless given.
    Returns: SVG.
    Raises: KeyError, the sheet has no such fit at that stage.
    """
    spec = sheet.form.fits[fit_name]
    key = f"fit.{fit_name}"
    inside_mm, outside_mm = sheet.value(f"{key}.inside", stage) / 2.0, sheet.value(f"{key}.outside", stage) / 2.0
    clearance, gap = sheet.value(f"{key}.clearance", stage), sheet.value(f"{key}.gap", stage)
    opening, plug = fitted(sheet, fit_name, stage)
    films = _films(sheet, fit_name, stage)

    gap_text, clearance_text = (
        _("gap {size} a side").format(size=half_text(clearance)),
        _("clearance {size} across").format(size=size_text(clearance)),
    )
    column = (
        max(
            text_width_mm(text, size, True)
            for text, size in ((gap_text, lettering.set_mm), (clearance_text, lettering.plain_mm))
        )
        + 5.0
    )
    seat = _seat_words(sheet, key, stage, size_text)
    below = (1.35 if seat else 0.0) * lettering.plain_mm
    wide, tall = width_mm - column - 3.0, height_mm - 1.6 * lettering.plain_mm - 3.0 - below
    low, high, measured = _shared_face(opening, inside_mm, plug, outside_mm)
    own = spec.inside.own and spec.outside.own
    if not own and _stray_mm(opening, inside_mm, plug, outside_mm, measured) > STRAY_MM:
        # they meet elsewhere than where they are measured, as beakers do that slip into one another
        opening, plug = (part if size.own else None for part, size in ((opening, spec.inside), (plug, spec.outside)))
        low, high, measured = _shared_face(opening, inside_mm, plug, outside_mm)
    shown = max(SHOWN_MM, 1.4 * (high - low))
    scale = max((scale for scale in SCALES if scale * shown <= tall), default=SCALES[0])
    middle_mm = min(max((low + high) / 2.0, measured - 0.3 * tall / scale), measured + 0.3 * tall / scale)
    window = Window((inside_mm + outside_mm) / 2.0, middle_mm, wide / scale, tall / scale, scale)

    picture = Picture()
    frame = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    picture.stroke(THIN, frame, closed=True)
    said = {}
    for part, radius, size, rising, film, way in (
        (plug, outside_mm, spec.outside, False, films[1], 1.0),
        (opening, inside_mm, spec.inside, True, films[0], -1.0),
    ):
        if part is None:
            x, _y = window.paper((radius, 0.0))
            picture.stroke(PHANTOM, [(x, 0.0), (x, tall)])
            said[short(part_said(sheet, size), 22)] = (x, tall * (0.85 if rising else 0.7))
        else:
            middle = draw_section(picture, window, part, rising)
            said[short(part_said(sheet, size), 22)] = middle or window.paper((radius, part.top_mm))
        if film:
            _draw_film(picture, window, part, radius, film * way)
    if seat and plug is not None and opening is not None and gap > 0.0:
        pushed = plug if sheet.pairs[fit_name].lower_is_inside else opening
        _draw_pushed(picture, window, pushed, -gap if pushed is plug else gap)
    edges = (
        _radius_at(_face(plug, outside_mm), measured, outside_mm) + films[1],
        _radius_at(_face(opening, inside_mm), measured, inside_mm) - films[0],
    )
    _draw_gap(picture, window, *edges, measured, wide, gap_text, clearance_text, lettering)
    _name_parts(picture, said, wide, tall, measured, window, lettering)
    scale_words = f"{scale} : 1" if scale >= 1 else pointed(f"1 : {1 / scale:g}")
    glazed = _(", glaze shaded") if any(films) else ""
    picture.letter(
        0.0, -1.35 * lettering.plain_mm, f"{scale_words}, {_(stage)}{glazed}", lettering.plain_mm, anchor="start"
    )
    if seat:
        picture.letter(0.0, -2.7 * lettering.plain_mm, seat, lettering.plain_mm, anchor="start")
    words = _("Section, {scale}, {stage}: {outside} in {inside}. {gap}, {clearance}{glazed}.").format(
        scale=scale_words,
        stage=_(stage),
        outside=part_said(sheet, spec.outside),
        inside=part_said(sheet, spec.inside),
        gap=gap_text,
        clearance=clearance_text,
        glazed=glazed,
    )
    if seat:
        words += " " + _("{seat}; the chain line shows it pushed aside.").format(seat=seat)
    return picture.render(
        name or f"{sheet.slug}-fit-{fit_name}",
        _("{title}, fit {fit}").format(title=sheet.form.title, fit=fit_name),
        words,
    )


def _seat_words(sheet: Sheet, key: str, stage: str, size_text: Callable[[float], str]) -> str:
    """What bears, centred and pushed aside, where that is known at a stage."""
    seat, pushed = sheet.find(f"{key}.seat", stage), sheet.find(f"{key}.seat.pushed", stage)
    if seat is None or pushed is None or seat.value <= 0.0:
        return ""
    return _("rests on {seat}, pushed aside {pushed}").format(
        seat=size_text(seat.value), pushed=size_text(max(0.0, pushed.value))
    )


def _draw_pushed(picture: Picture, window: Window, part: Standing, aside_mm: float) -> None:
    """A part's section pushed aside, as a chain line: this is the side that it is pushed away from."""
    ring = [window.paper((radius + aside_mm, height)) for radius, height in part.ring]
    axis = window.paper((aside_mm, 0.0))[0]
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        if abs(start[0] - axis) > 1e-6 or abs(end[0] - axis) > 1e-6:
            piece = window.cut(start, end)
            if piece:
                picture.stroke(PHANTOM, piece)


class Window:
    """The part of the object that is shown, and where it lies on paper."""

    def __init__(self, radius: float, height: float, wide: float, tall: float, scale: float):
        self.left, self.bottom = radius - wide / 2.0, height - tall / 2.0
        self.wide, self.tall, self.scale = wide * scale, tall * scale, scale

    def paper(self, point: Point) -> Point:
        """A point of the object on paper."""
        return (point[0] - self.left) * self.scale, (point[1] - self.bottom) * self.scale

    def cut(self, start: Point, end: Point) -> tuple[Point, Point] | None:
        """The piece of a line on paper that lies in the window (Liang and Barsky 1984, from memory)."""
        (x0, y0), (x1, y1) = start, end
        if max(x0, x1) < 0.0 or min(x0, x1) > self.wide or max(y0, y1) < 0.0 or min(y0, y1) > self.tall:
            return None
        first, last = 0.0, 1.0
        for place, limit in ((0, self.wide), (1, self.tall)):
            step = end[place] - start[place]
            for distance, way in ((start[place], -step), (limit - start[place], step)):
                if way == 0.0:
                    if distance < 0.0:
                        return None
                elif way < 0.0:
                    first = max(first, distance / way)
                else:
                    last = min(last, distance / way)
        if first >= last:
            return None
        at = lambda share: (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        return at(first), at(last)


def _films(sheet: Sheet, fit_name: str, stage: str) -> tuple[float, float]:
    """Glaze on the opening's face and on the other, mm, at a stage."""
    films = list(sheet.fits[fit_name].films_mm) if stage == "fired" else []
    glazed = str(sheet.form.fits[fit_name].glazed or "none")
    on_inside = films.pop(0) if films and glazed in ("inside", "both") else 0.0
    return on_inside, films.pop(0) if films and glazed in ("outside", "both") else 0.0


def _face(part: Standing | None, radius: float) -> list[tuple[Point, Point]]:
    """The steep lines of a part's section that stand at a fit's radius."""
    if part is None:
        return []
    pairs = zip(part.ring, (*part.ring[1:], part.ring[0]), strict=True)
    near = lambda point: abs(point[0] - radius) < FACE_MM
    return [(a, b) for a, b in pairs if abs(b[1] - a[1]) > abs(b[0] - a[0]) and (near(a) or near(b))]


def _near(line: tuple[Point, Point], radius: float) -> tuple[float, float]:
    """The heights between which a steep line stands within FACE_MM of a radius."""
    (r0, h0), (r1, h1) = line
    if abs(r1 - r0) < 1e-9:
        return h0, h1
    shares = sorted((radius + off - r0) / (r1 - r0) for off in (-FACE_MM, FACE_MM))
    first, last = (min(max(share, 0.0), 1.0) for share in shares)
    return h0 + first * (h1 - h0), h0 + last * (h1 - h0)


def _radius_at(face: list[tuple[Point, Point]], height: float, nominal: float, beyond: float | None = None) -> float:
    """A face's radius at a level, nearest to the nominal one; where it has none there, `beyond`, or else the nominal one."""
    found = [
        a[0] + (b[0] - a[0]) * (height - a[1]) / (b[1] - a[1])
        for a, b in face
        if min(a[1], b[1]) <= height <= max(a[1], b[1])
    ]
    return min(found, key=lambda radius: abs(radius - nominal), default=nominal if beyond is None else beyond)


def _shared_face(
    opening: Standing | None, inside_mm: float, plug: Standing | None, outside_mm: float
) -> tuple[float, float, float]:
    """The heights between which the two faces stand against each other, and the one to measure at: where they are nearest
    to the radii that the fit goes by, and of such places the one that is nearest to the middle."""
    faces, exact = [], []
    for part, radius in ((opening, inside_mm), (plug, outside_mm)):
        face = _face(part, radius)
        heights = [height for line in face for height in _near(line, radius)]
        exact += [point[1] for line in face for point in line if abs(point[0] - radius) < 0.05]
        if heights:
            faces.append((min(heights), max(heights)))
    if not faces:
        top = max(part.top_mm for part in (opening, plug) if part is not None)
        return top, top, top
    low, high = max(face[0] for face in faces), min(face[1] for face in faces)
    low, high = min(low, high), max(low, high)
    middle, room = (low + high) / 2.0, min(1.5, (high - low) / 2.0)
    levels = [middle, low + room, high - room, low, high, *(height for height in exact if low <= height <= high)]
    stray = partial(_stray_mm, opening, inside_mm, plug, outside_mm)
    return low, high, min(levels, key=lambda height: (round(stray(height), 1), abs(height - middle)))


def _stray_mm(
    opening: Standing | None, inside_mm: float, plug: Standing | None, outside_mm: float, height: float
) -> float:
    """How far the two faces are drawn at a level from the radii that the fit goes by, together."""
    sides = [(part, radius) for part, radius in ((opening, inside_mm), (plug, outside_mm)) if part]
    return sum(abs(_radius_at(_face(part, radius), height, radius, UNSEEN_MM) - radius) for part, radius in sides)


def draw_section(picture: Picture, window: Window, part: Standing, rising: bool) -> Point | None:
    """A part's hatched section inside the window; a place in it for its name's leader."""
    ring = [window.paper(point) for point in part.ring]
    middle, longest = None, 0.0
    for start, end in hatch_lines(ring, 1.8, rising, (0.0, 0.0, window.wide, window.tall)):
        piece = window.cut(start, end)
        if piece:
            picture.stroke(HATCH, piece)
            length = abs(piece[1][0] - piece[0][0])
            if length > longest:
                longest, middle = length, ((piece[0][0] + piece[1][0]) / 2.0, (piece[0][1] + piece[1][1]) / 2.0)
    axis = -window.left * window.scale
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        if abs(start[0] - axis) > 1e-6 or abs(end[0] - axis) > 1e-6:
            piece = window.cut(start, end)
            if piece:
                picture.stroke(OUTLINE, piece)
    return middle


def _draw_film(picture: Picture, window: Window, part: Standing | None, radius: float, film: float) -> None:
    """Glaze on a face, as thick as it is."""
    whole = [((radius, window.bottom), (radius, window.bottom + window.tall / window.scale))]
    faces = whole if part is None else _face(part, radius)
    for start, end in faces:
        piece = window.cut(window.paper(start), window.paper(end))
        if piece:
            (x0, y0), (x1, y1) = piece
            off = film * window.scale
            picture.fill(FILM, [(x0, y0), (x1, y1), (x1 + off, y1), (x0 + off, y0)])


def _draw_gap(
    picture: Picture, window: Window, left_mm: float, right_mm: float, height_mm: float, wide: float, gap_text: str, clearance_text: str, lettering: Lettering,
) -> None:  # fmt: skip
    """The gap's dimension line, its arrowheads from outside and its words beside the frame."""
    (left, y), (right, _other) = window.paper((left_mm, height_mm)), window.paper((right_mm, height_mm))
    end = wide + 3.0 + text_width_mm(gap_text, lettering.set_mm, True)
    picture.stroke(SET, [(left - 7.0, y), (end, y)])
    draw_head(picture, (left, y), (1.0, 0.0), True)
    draw_head(picture, (right, y), (-1.0, 0.0), True)
    picture.letter(wide + 2.5, y + 1.0, gap_text, lettering.set_mm, anchor="start", strong=True)
    picture.letter(wide + 2.5, y - 1.2 * lettering.plain_mm, clearance_text, lettering.plain_mm, anchor="start")


def _name_parts(
    picture: Picture,
    said: dict[str, Point],
    wide: float,
    tall: float,
    gap_mm: float,
    window: Window,
    lettering: Lettering,
) -> None:
    """The parts' names beside the frame, the higher one above the gap's words, the other below."""
    _other, gap_y = window.paper((0.0, gap_mm))
    ordered = sorted(said.items(), key=lambda item: -item[1][1])
    for place, (words, point) in enumerate(ordered):
        above = place == 0
        y = max(point[1], gap_y + 3.4 * lettering.set_mm) if above else min(point[1], gap_y - 3.4 * lettering.set_mm)
        y = min(max(y, lettering.plain_mm), tall - lettering.plain_mm)
        picture.stroke(MEASURE, [(wide + 2.5 - GAP_MM, y), (wide + 0.5, y), point])
        picture.fill(
            FILM,
            [
                (point[0] + 0.5 * x, point[1] + 0.5 * z)
                for x, z in ((1, 0), (0.7, 0.7), (0, 1), (-0.7, 0.7), (-1, 0), (-0.7, -0.7), (0, -1), (0.7, -0.7))
            ],
        )
        picture.letter(wide + 2.5, y - 0.33 * lettering.plain_mm, words, lettering.plain_mm, anchor="start")
