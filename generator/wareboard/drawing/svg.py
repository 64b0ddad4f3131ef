"""A picture of pen strokes, filled shapes and lettering, written as SVG.

Everything is in millimetres on paper, x to the right and y **up**, as a draughtsman counts. Strokes
of one pen become one path, so that a drawing stays a few kilobytes. Colours are `currentColor`, and
every pen and hand has a class: a page in a browser can give the roles its own colours, and a PDF
engine that knows no CSS variables still draws everything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from html import escape

from wareboard.pot.frozen import frozen
from wareboard.text.languages import _

Point = tuple[float, float]

MOST_SAID = 40  # numbers of a picture that are said in words
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}  # share of a text's width that lies before its place
FACE = "'Atkinson Hyperlegible Next', sans-serif"


@frozen
class Pen:
    """One kind of line. `rank` says what lies above what; wide and narrow are 2 : 1 (ISO 128)."""

    name: str
    width_mm: float
    rank: int
    dash: str = ""


HATCH = Pen("hatch", 0.13, 1)
EDGE = Pen("edge", 0.25, 3)
OUTLINE = Pen("outline", 0.5, 4)
MIDDLE = Pen("middle", 0.3, 4)
AXIS = Pen("axis", 0.18, 5, "5 0.9 0.7 0.9")
THIN = Pen("thin", 0.18, 5)
DASHED = Pen("dashed", 0.25, 3, "1.8 1")
PHANTOM = Pen("phantom", 0.25, 3, "5 0.9 0.7 0.9 0.7 0.9")
MEASURE = Pen("measure", 0.18, 6)
SET = Pen("measure set", 0.25, 7)
GROUND = Pen("ground", 0.9, 8)


@frozen
class Ink:
    """One kind of filled shape; `share` is its opacity."""

    name: str
    rank: int
    share: float = 1.0


TINT = Ink("tint", 0, 0.12)
BAND = Ink("band", 0, 0.14)
CLAY = Ink("clay", 2, 0.75)
FILM = Ink("film", 2, 0.55)
HEAD = Ink("head", 9)
SET_HEAD = Ink("head set", 9)
POINTER = Ink("pointer set", 9)
MARK = Ink("mark", 9)


def number(value: float) -> str:
    """A coordinate to 0.01 mm, as short as it can be written.

    >>> number(12.0), number(-0.001), number(3.14159), number(-0.5)
    ('12', '0', '3.14', '-0.5')
    """
    return _shortened(f"{value:.2f} ")[:-1]


_TRAILING = [(f".{digit}0", f".{digit}") for digit in range(1, 10)]


def _shortened(data: str) -> str:
    """Numbers of two decimals each, without the zeros that say nothing."""
    data = data.replace("-0.00", "0").replace(".00", "")
    for long, brief in _TRAILING:
        data = data.replace(long, brief)
    return data


@lru_cache(maxsize=4096)
def text_width_mm(text: str, size_mm: float, strong: bool = False) -> float:
    """Width of a line of lettering, from the face's widths rounded up.

    Args:
        text: the line.
        size_mm: font size, mm.
        strong: bold.
    Returns: width, mm.
    Source: measured from the bundled face, rounded up.
    >>> text_width_mm("80.0", 10.0)
    21.4
    """
    mark, text = ring_in(stages_in(text)[0])
    width = sum(map(_width, text)) * (1.06 if strong else 1.0) + ((RING + RING_GAP * bool(text)) if mark else 0.0)
    return round(width * size_mm, 4)


# A setting's number in its ring stands before a size: both are one text, so that wherever the size goes, the ring goes too.
RINGED = "\u20dd"
RING, RING_GAP = 1.36, 0.26  # width, as a share of the font size


def ringed(mark: int | str, text: str = "") -> str:
    """A text that begins with a number in a ring.

    >>> ring_in(ringed(3, "127.0"))
    ('3', '127.0')
    """
    return f"{mark}{RINGED}{text}"


def ring_in(text: str) -> tuple[str, str]:
    """The number in the ring that a text begins with, and the rest; no number where there is no ring."""
    mark, found, rest = text.partition(RINGED)
    return (mark, rest) if found else ("", text)


# What a size comes to at each stage may follow it, unseen, so that whoever shows the drawing can show another stage.
STAGED = "\u2063"


def with_stages(text: str, sizes: Sequence[str]) -> str:
    """A text that ends with a size, and that size at each of the five stages behind it.

    >>> stages_in(with_stages("rim 80.0", ["90.9", "88.0", "85.5", "85.5", "80.0"]))
    ('rim 80.0', '90.9|88.0|85.5|85.5|80.0')
    """
    return f"{text}{STAGED}{'|'.join(sizes)}"


def stages_in(text: str) -> tuple[str, str]:
    """A text without what it comes to at other stages, and that; empty where nothing follows it."""
    seen, _mark, sizes = text.partition(STAGED)
    return seen, sizes


@cache
def _width(character: str) -> float:
    """A character's width as a share of the font size."""
    if character in " .,:;'|!il·":
        return 0.28
    if character in "½¼¾⅛⅜⅝⅞":
        return 0.93
    if character in "mMW":
        return 0.88
    if character in "⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄":
        return 0.35
    if character.isupper() or character in "⌀±×w%":
        return 0.74
    if character.isdigit():
        return 0.62
    if character.isascii():
        return 0.55
    if unicodedata.combining(character):
        return 0.0
    return 1.0 if unicodedata.east_asian_width(character) in "WF" else 0.66


@dataclass(slots=True)
class Sketch:
    """What would be drawn, as far as it goes: only the box round it is kept."""

    left: float = float("inf")
    bottom: float = float("inf")
    right: float = float("-inf")
    top: float = float("-inf")

    def cover(self, x: float, y: float) -> None:
        """Widen the box to take in a point."""
        if x < self.left:
            self.left = x
        if x > self.right:
            self.right = x
        if y < self.bottom:
            self.bottom = y
        if y > self.top:
            self.top = y

    def stroke(self, pen: Pen, points: Sequence[Point], closed: bool = False) -> None:
        """Draw along points."""
        for x, y in points:
            self.cover(x, y)

    def fill(self, ink: Ink, points: Sequence[Point]) -> None:
        """Fill the shape that points enclose."""
        for x, y in points:
            self.cover(x, y)

    def letter(
        self,
        x: float,
        y: float,
        text: str,
        size_mm: float,
        *,
        anchor: str = "middle",
        upward: bool = False,
        strong: bool = False,
    ) -> None:
        """Put a line of lettering down.

        Args:
            x, y: the baseline's start, middle or end, mm.
            text: any text at all; it is escaped.
            size_mm: font size, mm.
            anchor: start, middle or end.
            upward: turned, so that it reads from the right.
            strong: bold, for what is set.
        """
        width = text_width_mm(text, size_mm, strong)
        start = -width * ANCHORS[anchor]
        under, over = 0.22 * size_mm, 0.74 * size_mm
        if upward:
            self.cover(x - over, y + start)
            self.cover(x + under, y + start + width)
        else:
            self.cover(x + start, y - under)
            self.cover(x + start + width, y + over)


@dataclass(slots=True)
class Picture(Sketch):
    """Strokes, shapes and lettering as they are put down, and the box round them all."""

    _strokes: dict[Pen, list[str]] = field(default_factory=dict)
    _shapes: dict[Ink, list[str]] = field(default_factory=dict)
    _letters: list[str] = field(default_factory=list)
    _numbers: list[str] = field(default_factory=list)

    def stroke(self, pen: Pen, points: Sequence[Point], closed: bool = False) -> None:
        """See Sketch."""
        if len(points) > 1:
            Sketch.stroke(self, pen, points)
            self._strokes.setdefault(pen, []).append(_path(points, closed))

    def fill(self, ink: Ink, points: Sequence[Point]) -> None:
        """See Sketch."""
        if len(points) > 2:
            Sketch.fill(self, ink, points)
            self._shapes.setdefault(ink, []).append(_path(points, True))

    def letter(
        self,
        x: float,
        y: float,
        text: str,
        size_mm: float,
        *,
        anchor: str = "middle",
        upward: bool = False,
        strong: bool = False,
    ) -> None:
        """See Sketch."""
        Sketch.letter(self, x, y, text, size_mm, anchor=anchor, upward=upward, strong=strong)
        mark, rest = ring_in(text)
        seen = stages_in(rest)[0].strip()
        if any(sign.isdigit() for sign in seen):
            self._numbers.append(f"{mark}: {seen}" if mark else seen)
        elif mark:
            self._numbers.append(_("ring {mark}").format(mark=mark))
        if mark:
            start = -text_width_mm(text, size_mm, strong) * ANCHORS[anchor]
            middle, lift = start + RING / 2.0 * size_mm, 0.335 * size_mm
            at = (x - lift, y + middle) if upward else (x + middle, y + lift)
            self._ring(at, RING / 2.0 * size_mm)
            small = size_mm * (0.9 if len(mark) == 1 else 0.72)
            drop = 0.334 * small
            self._text(at[0] + drop if upward else at[0], at[1] if upward else at[1] - drop, mark, small, "middle", upward, True)  # fmt: skip
            along = start + (RING + RING_GAP) * size_mm
            x, y, anchor = (x, y + along, "start") if upward else (x + along, y, "start")
        if rest or not mark:
            self._text(x, y, rest, size_mm, anchor, upward, strong)

    def _with_numbers(self, title: str) -> str:
        """The title with the numbers that are lettered in the picture, for who can't see them; a rule's many are left out."""
        numbers = dict.fromkeys(self._numbers)
        return f"{title}: {'; '.join(numbers)}" if 0 < len(numbers) <= MOST_SAID else title

    def _ring(self, at: Point, radius: float) -> None:
        x, y = at
        self._letters.append(
            f'<circle class="ring" cx="{number(x)}" cy="{number(-y)}" r="{number(radius - 0.12)}" fill="none" stroke="currentColor" stroke-width="0.25"/>'
        )

    def _text(self, x: float, y: float, text: str, size_mm: float, anchor: str, upward: bool, strong: bool) -> None:
        place = (
            f'transform="translate({number(x)} {number(-y)})rotate(-90)"'
            if upward
            else f'x="{number(x)}" y="{number(-y)}"'
        )
        anchored = "" if anchor == "start" else f' text-anchor="{anchor}"'
        bold = ' class="set" font-weight="700"' if strong else ""
        text, sizes = stages_in(text)
        staged = f' data-stages="{escape(sizes)}"' if sizes else ""
        self._letters.append(
            f'<text {place} font-size="{number(size_mm)}"{anchored}{bold}{staged}>{escape(_printable(text))}</text>'
        )

    def render(
        self,
        name: str,
        title: str,
        description: str,
        *,
        margin_mm: float = 1.0,
        box: tuple[float, float, float, float] | None = None,
        within: tuple[float, float] | None = None,
        hidden: bool = False,
    ) -> str:
        """The whole as one `<svg>`, its width and height in true millimetres.

        Args:
            name: start of every id in it; unique on a page.
            title: what the picture is, for those who can't see it.
            description: what it shows.
            margin_mm: paper around the picture, mm.
            box: left, bottom, right and top instead of what was covered, mm.
            within: greatest width and height, mm; what is larger is shown smaller, lettering and all.
            hidden: a mere ornament, which the words beside it already tell.
        """
        left, bottom, right, top = box or (
            self.left - margin_mm,
            self.bottom - margin_mm,
            self.right + margin_mm,
            self.top + margin_mm,
        )
        width, height = right - left, top - bottom
        shown = min(1.0, within[0] / width, within[1] / height) if within else 1.0
        parts = [
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" width="{number(width * shown)}mm" height="{number(height * shown)}mm" viewBox="{number(left)} {number(-top)} {number(width)} {number(height)}"'
            f' fill="none" stroke-linejoin="round" font-family="{FACE}"',
        ]
        if hidden:
            parts.append(' aria-hidden="true">')
        else:
            base, said = identifier(name), _printable(self._with_numbers(title))
            parts.append(
                f' role="img" aria-labelledby="{base}-title {base}-desc"><title id="{base}-title">{escape(said)}</title><desc id="{base}-desc">{escape(_printable(description))}</desc>'
            )
        layers = [
            (
                ink.rank,
                f'<path class="{ink.name}" d="{_shortened("".join(data))}" fill="currentColor"{_opacity(ink.share)}/>',
            )
            for ink, data in self._shapes.items()
        ]
        for pen, data in self._strokes.items():
            dash = f' stroke-dasharray="{pen.dash}"' if pen.dash else ""
            layers.append(
                (
                    pen.rank,
                    f'<path class="{pen.name}" d="{_shortened("".join(data))}" stroke="currentColor" stroke-width="{number(pen.width_mm)}"{dash}/>',
                )
            )
        layers.sort(key=lambda layer: layer[0])
        parts += [layer for _other, layer in layers]
        if self._letters:
            parts.append(f'<g fill="currentColor">{"".join(self._letters)}</g>')
        return "".join(parts) + "</svg>"


def by_itself(svg: str) -> str:
    """A rendered picture for a file of its own: there is no page whose ink and ground it could take.

    >>> by_itself('<svg width="9mm">')
    '<svg style="color:#1a1917;background:#fff" width="9mm">'
    """
    return svg.replace("<svg ", '<svg style="color:#1a1917;background:#fff" ', 1)


def shown_share(svg: str) -> float:
    """How large a rendered picture is shown, against its true size: less than 1 where its box made it smaller.

    >>> shown_share('<svg width="50mm" height="9mm" viewBox="0 0 100 18">')
    0.5
    """
    width, box = svg.partition('width="')[2].partition("mm")[0], svg.partition('viewBox="')[2].partition('"')[0].split()
    return float(width) / float(box[2])


_LINES = re.compile(r' d="([^"]*)"')
_NOUGHT = re.compile(r"(?<![\d.])0\.")


# What a page's own style says of `.drawing`, or HTML knows.
LEFT_TO_THE_PAGE = (
    ' xmlns="http://www.w3.org/2000/svg"', ' font-weight="700"', ' fill="none" stroke="currentColor" stroke-width="0.25"',
)  # fmt: skip


def compact(svg: str) -> str:
    """A drawing to stand in a page that is to stay small: its lines as short as SVG reads them, and without what the page says.

    Source: SVG 2, 9.3.9 (second-hand): a comma, a space and a repeated command may be left out where nothing runs together.
    >>> compact('<path d="M-6.9 -10.63L-6.9 -12.16L0.5 10.99Z"/>')
    '<path d="M-6.9-10.63-6.9-12.16 .5 10.99Z"/>'
    """

    def shorter(found: re.Match[str]) -> str:
        return f' d="{_NOUGHT.sub(".", found[1].replace(" -", "-").replace("L-", "-").replace("L", " "))}"'

    for words in LEFT_TO_THE_PAGE:
        svg = svg.replace(words, "")
    return _LINES.sub(shorter, svg)


def _path(points: Sequence[Point], closed: bool) -> str:
    """A path with two decimals to each number; `_shortened` when all of its pen are together."""
    return "M" + "L".join(["%.2f %.2f" % (x, -y) for x, y in points]) + ("Z" if closed else "")


def _printable(text: str) -> str:
    """A text without the characters that XML can't hold, even escaped."""
    return "".join(c for c in text if c >= " " and not "\ud800" <= c <= "\udfff" and c not in "\x7f\ufffe\uffff")


def short(words: str, most: int = 16) -> str:
    """A maker's own name, cut where it would push the drawing off its paper.

    >>> short("gallery"), short("the very outermost edge")
    ('gallery', 'the very outerm…')
    """
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def _opacity(share: float) -> str:
    return "" if share >= 1.0 else f' fill-opacity="{number(share)}"'


def identifier(name: str) -> str:
    """A name as an id: what an id can't hold becomes its code point, so that two names never meet.

    >>> identifier("tea caddy-wet")
    'tea_20_caddy-wet'
    """
    return "".join(c if (c.isascii() and c.isalnum()) or c == "-" else f"_{ord(c):x}_" for c in name)


def moved(points: Iterable[Point], scale: float, x: float, y: float, mirrored: bool = False) -> list[Point]:
    """Points of an object on paper: scaled, perhaps to the left of the axis, and moved.

    >>> moved([(10.0, 20.0)], 0.5, 1.0, 2.0, mirrored=True)
    [(-4.0, 12.0)]
    """
    across = -scale if mirrored else scale
    return [(x + radius * across, y + height * scale) for radius, height in points]
