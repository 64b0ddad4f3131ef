"""Rows of large numbers laid out on cards: the largest digits that a card has room for, no row torn, nothing overflowing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from wareboard.cards.cardtext import CAP, count_lines, has_fraction, number_width_mm
from wareboard.drawing.svg import text_width_mm
from wareboard.figures.settings import SetTo
from wareboard.pot.frozen import frozen

GAP_MM = 6.0
STEP = 0.05
DRAWING, WIDE_DRAWING, LEAST_DRAWING = 0.28, 0.42, 0.21  # of the card's width; of what lies wide; at worst
STRIP = 0.32  # of its height, for what lies wide above its rows
FRACTION = 2.34  # heights of a digit that a number over another takes, its bar and the air round it
MOST_DRAWN, ROOMY_MM = 2, 220.0  # parts on a card that has a drawing alone; on a wider one, twice as many
ARROWS = {"up": "↑", "out": "→", "": ""}


@frozen
class Face:
    """Sizes on one kind of card, mm: heights of digits and names, font sizes of the rest."""

    digit_mm: float  # cap height of what is set, at least
    name_mm: float  # cap height of a part's and a place's name
    tool_mm: float
    unit_mm: float
    second_mm: float
    ring_mm: float
    head_mm: float
    largest: float = 1.7  # of the digits, as a multiple of the least
    above: bool = True  # names may stand above their numbers


@frozen
class Line:
    """One row: its mark in a ring, what it is called, what with, its numbers with their arrows, unit, and the other system.

    `figures` are the names of the figures that its numbers are.
    """

    mark: str
    name: str
    tool: str
    numbers: tuple[tuple[str, str], ...]
    unit: str
    second: tuple[str, ...]
    share: float = 1.0  # of the size of what is set
    figures: tuple[str, ...] = ()

    @property
    def plain(self) -> bool:
        """True for what is looked at rather than set."""
        return self.share < 1.0


@frozen
class Place:
    """A box on a card, mm from the card's inner corner."""

    left: float
    top: float
    width: float
    height: float


@frozen
class PlacedLine:
    """A line and where it stands."""

    line: Line
    place: Place
    name_width: float
    unit_width: float
    digit_mm: float  # font size
    name_size: float  # font size
    above: bool


@frozen
class Heading:
    """A part's name above its rows, or a smaller word above some of them."""

    text: str
    said: str
    place: Place
    small: bool = False


@frozen
class Leaf:
    """One card: headings, lines, and the drawing's box, if it is here."""

    lines: tuple[PlacedLine, ...] = ()
    headings: tuple[Heading, ...] = ()
    drawing: Place | None = None
    parts: tuple[str, ...] = ()

    @property
    def part(self) -> str:
        """The one part that it is about, which stands beside its title; nothing where there are several."""
        return self.parts[0] if len(self.parts) == 1 else ""


# What stands in a column: a line, or a word above lines; a part's name is one with `!` before it.
Entry = Line | str
Parts = Mapping[str, Sequence[Entry]]


def numbers_of(ends: Sequence[SetTo]) -> tuple[tuple[str, str], ...]:
    """A setting's numbers, each with its arrow."""
    return tuple((ARROWS[end.end], end.amounts[0].number) for end in ends)


def second_of(ends: Sequence[SetTo]) -> tuple[str, ...]:
    """A setting in the other system, as it stands small beside the unit."""
    return tuple(
        f"{ARROWS[end.end]} {end.amounts[1]}".strip()
        for end in ends
        if len(end.amounts) > 1 and end.amounts[1] != end.amounts[0]
    )


def _groups(entries: Sequence[Entry]) -> list[list[Entry]]:
    """Entries with the words above them; a part's name goes with what follows it."""
    groups: list[list[Entry]] = []
    for one in entries:
        if not groups or (isinstance(one, str) and any(isinstance(before, Line) for before in groups[-1])):
            groups.append([])
        groups[-1].append(one)
    return groups


# ---- one row ----


@frozen
class _Way:
    """One way to set rows: how large the digits are, names above or beside the numbers, in how many columns."""

    scale: float
    above: bool
    columns: int


class Rows:
    """Lays rows out on one kind of card: `face` has its sizes, `box` is the room between head and foot; `heading` gives what
    stands above a part's rows and small behind it, and `wide` tells whether some parts' drawing lies wide."""

    def __init__(
        self, face: Face, box: Place, heading: Callable[[str], tuple[str, str]], wide: Callable[[Sequence[str]], bool]
    ) -> None:
        self.face, self.box, self.heading, self.wide = face, box, heading, wide

    def _digit_mm(self, line: Line, way: _Way) -> float:
        return self.face.digit_mm * way.scale * line.share

    def _number_height(self, line: Line, way: _Way) -> float:
        lines = FRACTION if any(has_fraction(number) for _, number in line.numbers) else 1.0
        return self._digit_mm(line, way) * lines + 1.8 * way.scale * (0.75 if line.plain else 1.0)

    def _numbers_width(self, line: Line, way: _Way) -> float:
        size = self._digit_mm(line, way) / CAP
        arrows = sum(0.48 * size for arrow, _ in line.numbers if arrow)
        between = 0.26 * size * (len(line.numbers) - 1)
        return sum(number_width_mm(number, size) for _, number in line.numbers) + arrows + between

    def _unit_width(self, line: Line) -> float:
        size = self.face.unit_mm * (0.8 if line.plain else 1.0)
        found = [
            text_width_mm(line.unit, size, True),
            *(text_width_mm(one, self.face.second_mm) for one in line.second),
        ]
        return max(found) + 0.55 * self.face.unit_mm

    def _name_size(self, line: Line) -> float:
        return self.face.name_mm / CAP * (0.72 if line.plain else 1.0)

    def _ring_mm(self, line: Line) -> float:
        return self.face.ring_mm + 2.0 if line.mark else 0.0

    def _name_width(self, line: Line) -> float:
        named = self._ring_mm(line) + text_width_mm(line.name, self._name_size(line), True)
        return max(named, 0.62 * text_width_mm(line.tool, self.face.tool_mm))

    def _row_height(self, line: Line, way: _Way, names_mm: float) -> float:
        high = self._number_height(line, way)
        if way.above:
            return high + 1.2 * self._name_size(line)
        tool = (
            1.18 * self.face.tool_mm * count_lines(line.tool, max(names_mm, 10.0), self.face.tool_mm)
            if line.tool
            else 0.6
        )
        named = 0.98 * self._name_size(line) + tool
        if line.plain and text_width_mm(f"{line.name} {line.tool}", self._name_size(line), True) < names_mm:
            named = 1.1 * self._name_size(line)
        return max(high, named + 0.6, self.face.unit_mm + 1.12 * self.face.second_mm * len(line.second) + 0.8)

    def _row_width(self, lines: Sequence[Line], way: _Way) -> tuple[float, float, float]:
        """Width of rows of one column, of their names, and of their units."""
        units = max(map(self._unit_width, lines))
        numbers = max(self._numbers_width(line, way) for line in lines) + units
        names = max(map(self._name_width, lines)) + 2.5
        if way.above:
            named = max(self._name_width(line) + text_width_mm(line.tool, self.face.tool_mm) + 3.0 for line in lines)
            return max(numbers, named), names, units
        return names + numbers, names, units

    def _entry_height(self, entry: Entry, way: _Way, names_mm: float) -> float:
        if isinstance(entry, Line):
            return self._row_height(entry, way, names_mm)
        return self.face.head_mm if entry.startswith("!") else 1.75 * self.face.tool_mm

    # ---- cards ----

    def lay_out(self, parts: Parts) -> tuple[Leaf, ...]:
        """Rows over cards.

        All on one card where they fit; else a card for each run of parts that does, each with its drawing; else one
        part's rows below a drawing that lies wide; else its rows over several cards and the drawing on one of its own.

        Args:
            parts: each part's rows, in order.
        """
        leaves: list[Leaf] = []
        waiting = list(parts)
        while waiting:
            for count in range(len(waiting), 0, -1):
                leaf = self.leaf({name: parts[name] for name in waiting[:count]})
                if leaf:
                    leaves.append(leaf)
                    break
            else:
                count = 1
                below = self._below_drawing(waiting[0], parts[waiting[0]])
                leaves += [below] if below else self._torn(waiting[0], parts[waiting[0]])
            waiting = waiting[count:]
        if not any(leaf.drawing for leaf in leaves):
            names, most = list(parts), MOST_DRAWN if self.box.width < ROOMY_MM else 2 * MOST_DRAWN
            leaves += [
                Leaf(drawing=self.box, parts=tuple(names[start : start + most])) for start in range(0, len(names), most)
            ]
        return tuple(leaves)

    def leaf(self, parts: Parts, with_drawing: bool = True) -> Leaf | None:
        """Some parts on one card, the digits as large as they go; None where they don't."""
        wide = self.wide(tuple(parts))
        shares = (
            ((WIDE_DRAWING, DRAWING, LEAST_DRAWING) if wide else (DRAWING, LEAST_DRAWING)) if with_drawing else (0.0,)
        )
        for least in shares:
            found: tuple[int, Leaf] | None = None
            for columns in (1, 2):
                for above in (True, False) if self.face.above else (False,):
                    tried = self._largest(parts, above, columns, least, with_drawing, found[0] + 1 if found else 0)
                    found = tried or found
            if found:
                return found[1]
        return None

    def _largest(
        self, parts: Parts, above: bool, columns: int, least: float, with_drawing: bool, low: int
    ) -> tuple[int, Leaf] | None:
        """The most steps that the digits can be enlarged by in one way to set them, from `low` on; larger rows never need less room."""
        best, high = None, round((self.face.largest - 1.0) / STEP)
        at = low
        while low <= high:
            leaf = self._tried(parts, _Way(1.0 + at * STEP, above, columns), least, with_drawing)
            if leaf:
                best, low = (at, leaf), at + 1
            else:
                high = at - 1
            at = (low + high + 1) // 2
        return best

    def _tried(self, parts: Parts, way: _Way, least: float, with_drawing: bool) -> Leaf | None:
        columns = self._columns(parts, way)
        if columns is None:
            return None
        widths = [self._row_width([one for one in column if isinstance(one, Line)], way) for column in columns]
        left = self.box.width - sum(width for width, _, _ in widths) - GAP_MM * (len(widths) - (not with_drawing))
        if left < least * self.box.width:
            return None
        return self._placed(columns, widths, way, left, tuple(parts), with_drawing)

    def _columns(self, parts: Parts, way: _Way) -> list[list[Entry]] | None:
        """Headings and rows in columns, a part never torn where it fits in one; None where there is no room."""
        room = self.box.height
        columns: list[list[Entry]] = [[]]
        used = 0.0
        for name, entries in parts.items():
            block: list[Entry] = [*([f"!{name}"] if len(parts) > 1 else []), *entries]
            names = max((self._name_width(one) for one in entries if isinstance(one, Line)), default=0.0)
            groups = [[(one, self._entry_height(one, way, names)) for one in group] for group in _groups(block)]
            whole = sum(high for group in groups for _, high in group)
            if columns[-1] and used + whole > room >= whole:
                columns.append([])
                used = 0.0
            for group in groups:
                together = sum(high for _, high in group)
                if columns[-1] and used + together > room >= together:
                    columns.append([])
                    used = 0.0
                for at, (one, high) in enumerate(group):
                    kept = high + (group[at + 1][1] if isinstance(one, str) and at + 1 < len(group) else 0.0)
                    if used + kept > room:
                        if not columns[-1] or kept > room:
                            return None
                        columns.append([])
                        used = 0.0
                    columns[-1].append(one)
                    used += high
        ready = len(columns) <= way.columns and all(any(isinstance(one, Line) for one in column) for column in columns)
        return columns if ready else None

    def _placed(
        self, columns: Sequence[Sequence[Entry]], widths: Sequence[tuple[float, float, float]], way: _Way, left_mm: float,
        parts: tuple[str, ...], drawn: bool,
    ) -> Leaf:  # fmt: skip
        """Where everything stands: the drawing on the left, rows from the right."""
        box = self.box
        lines: list[PlacedLine] = []
        headings: list[Heading] = []
        at = box.width - sum(width for width, _, _ in widths) - GAP_MM * (len(widths) - 1)
        for column, (width, names, units) in zip(columns, widths, strict=True):
            heights = [self._entry_height(one, way, names) for one in column]
            ease = max(0.0, min(3.2, (box.height - sum(heights)) / len(column)))
            top = box.top
            for one, high in zip(column, heights, strict=True):
                if isinstance(one, str):
                    text, said = self.heading(one[1:]) if one.startswith("!") else (one, "")
                    place = Place(round(at, 2), round(top, 2), round(width, 2), round(high, 2))
                    headings.append(Heading(text, said, place, not one.startswith("!")))
                    top += high
                    continue
                place = Place(round(at, 2), round(top, 2), round(width, 2), round(high + ease, 2))
                size = round(self._digit_mm(one, way) / CAP, 2)
                lines.append(
                    PlacedLine(
                        one, place, round(names, 2), round(units, 2), size, round(self._name_size(one), 2), way.above
                    )
                )
                top += high + ease
            at += width + GAP_MM
        drawing = Place(box.left, box.top + 1.0, round(left_mm - 1.0, 2), round(box.height - 2.0, 2)) if drawn else None
        return Leaf(tuple(lines), tuple(headings), drawing, parts)

    def _below_drawing(self, name: str, entries: Sequence[Entry]) -> Leaf | None:
        """One part that lies wide, its rows below its drawing; None where they don't go there."""
        if not self.wide((name,)):
            return None
        whole, strip = self.box, STRIP * self.box.height
        box = Place(whole.left, whole.top + strip, whole.width, whole.height - strip)
        leaf = Rows(self.face, box, self.heading, self.wide).leaf({name: entries}, False)
        return leaf and replace(leaf, drawing=Place(whole.left, whole.top + 1.0, whole.width, strip - 2.0))

    def _torn(self, name: str, entries: Sequence[Entry]) -> Iterator[Leaf]:
        """One part that is too long for a card with its drawing: as many rows to a card as go on it, shared out evenly."""
        most = next(
            (count for count in range(len(entries), 0, -1) if self.leaf({name: tuple(entries[:count])}, False)), 1
        )
        cards = -(-len(entries) // most)
        start = 0
        for card in range(cards):
            count = -(-(len(entries) - start) // (cards - card))
            if start + count < len(entries) and isinstance(entries[start + count - 1], str):
                count -= 1  # a word above rows goes with them
            chosen = tuple(entries[start : start + max(count, 1)])
            leaf = self.leaf({name: chosen}, False)
            if leaf is None:  # one row alone is too wide: it is set as it is, its digits as small as they may be
                way, only = _Way(1.0, True, 1), [one for one in chosen if isinstance(one, Line)]
                _, names, units = self._row_width(only, way)
                leaf = self._placed([chosen], [(self.box.width, names, units)], way, 0.0, (name,), False)
            yield leaf
            start += max(count, 1)
