"""Round things on a board or a shelf: rows, square or staggered, and what is left over for the next."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import floor, hypot, pi, sqrt
from typing import NamedTuple

# A hair, so that what fits exactly does fit.
HAIR = 1e-9


class Footprint(NamedTuple):
    """What a piece covers, seen from above: its greatest width, handle and all, and the width square to that, mm."""

    across_mm: float
    deep_mm: float

    @property
    def is_round(self) -> bool:
        """True where it is as deep as it is wide."""
        return self.deep_mm >= self.across_mm * (1.0 - HAIR)


class Place(NamedTuple):
    """The middle of a piece, from the board's near left corner, mm; `turned` where its width lies along the depth."""

    x_mm: float
    y_mm: float
    turned: bool = False


class Rows(NamedTuple):
    """An arrangement in rows: how many rows, how far apart they and their pieces are, and how many stand in odd and even ones.

    Distances are from middle to middle, mm; in staggered rows every second one begins `late_mm` later.
    """

    rows: int
    pitch_mm: float
    along_mm: float
    odd: int
    even: int
    turned: bool = False
    late_mm: float = 0.0

    @property
    def pieces(self) -> int:
        """How many there are in all rows."""
        return (self.rows + 1) // 2 * self.odd + self.rows // 2 * self.even


def _in_row(length_mm: float, along_mm: float, size_mm: float) -> int:
    return floor((length_mm - size_mm) / along_mm + HAIR) + 1 if length_mm >= size_mm * (1.0 - HAIR) else 0


def _arrangements(length_mm: float, width_mm: float, footprint: Footprint) -> Iterator[Rows]:
    """Ways to set pieces in rows along the length; sizes already hold the gap."""
    size = footprint.across_mm
    for turned in (False, True) if not footprint.is_round else (False,):
        along, deep = (footprint.deep_mm, size) if turned else (size, footprint.deep_mm)
        count, in_row = _in_row(width_mm, deep, deep), _in_row(length_mm, along, along)
        yield Rows(count, deep, along, in_row, in_row, turned)
    # Staggered, the pieces as circles. With more rows than stand at their closest, pieces in a row stand further apart.
    closest = size * sqrt(3.0) / 2.0
    most = floor((width_mm - size) / closest + HAIR) + 1 if width_mm >= size * (1.0 - HAIR) else 0
    for count in range(2, 2 * most + 2):
        pitch = (width_mm - size) / (count - 1)
        if pitch >= closest * (1.0 - HAIR):
            pitch, along = closest, size
        elif pitch >= size / 2.0:
            along = 2.0 * sqrt(size * size - pitch * pitch)
        else:
            break
        late = along / 2.0
        odd, even = _in_row(length_mm, along, size), _in_row(length_mm - late, along, size)
        yield Rows(count, pitch, along, odd, even, late_mm=late)


@lru_cache(maxsize=4096)
def best_rows(length_mm: float, width_mm: float, footprint: Footprint, gap_mm: float) -> Rows:
    """The rows along the length that hold the most pieces; of equals, the ones that take the least depth.

    Args:
        length_mm, width_mm: the board or shelf, mm, over 0.
        footprint: what each piece covers.
        gap_mm: between pieces, mm, 0 up; none is needed at the edge.
    Returns: the rows, of no pieces where none fits.
    Raises: ValueError, a size that can't be.
    Source: square rows and staggered rows, common practice; √3/2 is the pitch of the closest rows of circles.
    >>> best_rows(8.0, 8.0, Footprint(1.0, 1.0), 0.0).pieces
    68
    """
    if min(length_mm, width_mm, footprint.across_mm, footprint.deep_mm) <= 0.0 or gap_mm < 0.0:
        raise ValueError("sizes are more than 0, a gap is 0 or more")
    # With the gap added to the pieces and to the board once, a gap is needed only between.
    grown = Footprint(footprint.across_mm + gap_mm, footprint.deep_mm + gap_mm)
    ways = _arrangements(length_mm + gap_mm, width_mm + gap_mm, grown)
    return max(ways, key=lambda rows: (rows.pieces, -rows.rows * rows.pitch_mm))


def pieces_on(length_mm: float, width_mm: float, footprint: Footprint, gap_mm: float) -> int:
    """How many pieces stand on a board: the better of rows along it and rows across it, square or staggered.

    Args:
        length_mm, width_mm: the board, mm, over 0.
        footprint: what each piece covers.
        gap_mm: between pieces, mm, 0 up.
    Source: as `best_rows`.
    >>> pieces_on(1200.0, 200.0, Footprint(90.0, 90.0), 20.0)
    22
    """
    return max(
        best_rows(length_mm, width_mm, footprint, gap_mm).pieces,
        best_rows(width_mm, length_mm, footprint, gap_mm).pieces,
    )


class Rowed(NamedTuple):
    """Pieces as they stand in rows: their middles, how deep they reach, and what the last row leaves free, mm.

    The last row ends at `end_mm` along; beside it the board is free from `clear_mm` up.
    """

    places: tuple[Place, ...]
    depth_mm: float
    end_mm: float
    clear_mm: float


def places_in(length_mm: float, width_mm: float, footprint: Footprint, gap_mm: float, most: int) -> Rowed:
    """Where pieces stand in the best rows, row by row from the near edge.

    Args:
        length_mm, width_mm: the rectangle, mm, over 0.
        footprint: what each piece covers.
        gap_mm: between pieces, mm, 0 up.
        most: how many there are to be set.
    Source: as `best_rows`.
    >>> places_in(300.0, 100.0, Footprint(90.0, 90.0), 10.0, 2).places
    (Place(x_mm=45.0, y_mm=45.0, turned=False), Place(x_mm=145.0, y_mm=45.0, turned=False))
    """
    rows = best_rows(length_mm, width_mm, footprint, gap_mm)
    staggered = rows.odd != rows.even or rows.late_mm > 0.0
    across, deep = footprint if not rows.turned else (footprint.deep_mm, footprint.across_mm)
    if staggered:
        deep = across
    found: list[Place] = []
    for row in range(rows.rows):
        late, count = (rows.late_mm, rows.even) if row % 2 else (0.0, rows.odd)
        y = deep / 2.0 + row * rows.pitch_mm
        for place in range(min(count, most - len(found))):
            found.append(Place(across / 2.0 + late + place * rows.along_mm, y, rows.turned))
        if len(found) == most:
            break
    if not found:
        return Rowed((), 0.0, 0.0, 0.0)
    last = found[-1].y_mm
    before = [place.y_mm for place in found if place.y_mm < last]
    clear = max(before) + deep / 2.0 + gap_mm if before else 0.0
    return Rowed(tuple(found), last + deep / 2.0, found[-1].x_mm + across / 2.0, clear)


# ---- several kinds on one shelf ----


class Placed(NamedTuple):
    """A piece on a shelf: its kind by number, and where it stands."""

    kind: int
    x_mm: float
    y_mm: float
    turned: bool


def fill_shelf(
    length_mm: float, width_mm: float, kinds: tuple[tuple[int, Footprint, int], ...], gap_mm: float
) -> tuple[Placed, ...]:
    """Set as many pieces as rows allow on one shelf, kind by kind; what a kind leaves free goes to those after it.

    Args:
        length_mm, width_mm: the shelf, mm.
        kinds: number, footprint and how many there are of each kind, the first to be set first.
        gap_mm: between pieces, mm.
    Returns: where each stands; no two nearer than the gap, none over the edge.
    Source: common practice.
    >>> cup, plate = Footprint(80.0, 80.0), Footprint(200.0, 200.0)
    >>> [placed.kind for placed in fill_shelf(300.0, 200.0, ((0, plate, 1), (1, cup, 9)), 5.0)]
    [0, 1, 1]
    """
    free, placed = [(0.0, 0.0, length_mm, width_mm)], []
    for kind, footprint, count in kinds:
        left, waiting, rest = count, list(free), []
        while waiting:
            x, y, long, wide = waiting.pop(0)
            smallest = min(footprint.across_mm, footprint.deep_mm)
            if not left or long < smallest * (1.0 - HAIR) or wide < smallest * (1.0 - HAIR):
                rest.append((x, y, long, wide))
                continue
            # Rows along the depth hold more where the rectangle is narrow: it is looked at turned.
            turned = _held(wide, long, footprint, gap_mm, left) > _held(long, wide, footprint, gap_mm, left)
            sides = (wide, long) if turned else (long, wide)
            rowed = places_in(*sides, footprint, gap_mm, left)
            if not rowed.places:
                rest.append((x, y, long, wide))
                continue
            left -= len(rowed.places)
            for place in rowed.places:
                at = (place.y_mm, place.x_mm) if turned else (place.x_mm, place.y_mm)
                placed.append(Placed(kind, x + at[0], y + at[1], place.turned != turned))
            for far, near, length, depth in _left_over(*sides, gap_mm, rowed):
                corner = (near, far, depth, length) if turned else (far, near, length, depth)
                rest.append((x + corner[0], y + corner[1], corner[2], corner[3]))
        free = sorted(rest, key=lambda rectangle: -rectangle[2] * rectangle[3])
    return tuple(placed)


def _held(long: float, wide: float, footprint: Footprint, gap_mm: float, most: int) -> int:
    return min(most, best_rows(long, wide, footprint, gap_mm).pieces)


def _left_over(long: float, wide: float, gap_mm: float, rowed: Rowed) -> Iterator[tuple[float, float, float, float]]:
    """The free rectangles that rows leave: beside the last one, and beyond it."""
    beside, beyond = rowed.end_mm + gap_mm, rowed.depth_mm + gap_mm
    if long > beside and rowed.depth_mm > rowed.clear_mm:
        yield beside, rowed.clear_mm, long - beside, rowed.depth_mm - rowed.clear_mm
    if wide > beyond:
        yield 0.0, beyond, long, wide - beyond


def faults_on(
    length_mm: float, width_mm: float, footprints: dict[int, Footprint], placed: tuple[Placed, ...], gap_mm: float
) -> int:
    """How many pieces stand over the edge or nearer to another than the gap; none, or an arrangement is wrong.

    Args:
        length_mm, width_mm: the shelf, mm.
        footprints: what each kind covers.
        placed: the pieces.
        gap_mm: between pieces, mm.
    Source: geometry of circles and of rectangles along the shelf.
    >>> faults_on(100.0, 100.0, {0: Footprint(90.0, 90.0)}, (Placed(0, 45.0, 45.0, False),), 5.0)
    0
    """
    wrong, hair = 0, 1e-6
    boxes = []
    for piece in placed:
        footprint = footprints[piece.kind]
        across, deep = (footprint.deep_mm, footprint.across_mm) if piece.turned else footprint
        boxes.append((piece.x_mm, piece.y_mm, across, deep, footprint.across_mm))
    for place, (x, y, across, deep, widest) in enumerate(boxes):
        over = min(x - across / 2.0, y - deep / 2.0, length_mm - x - across / 2.0, width_mm - y - deep / 2.0) < -hair
        near = False
        for ox, oy, o_across, o_deep, o_widest in boxes[:place]:
            apart = max(abs(x - ox) - (across + o_across) / 2.0, abs(y - oy) - (deep + o_deep) / 2.0)
            as_circles = hypot(x - ox, y - oy) - (widest + o_widest) / 2.0
            near = near or max(apart, as_circles) < gap_mm - hair
        wrong += over or near
    return wrong


def covered_mm2(footprint: Footprint, gap_mm: float) -> float:
    """The least area that a piece takes with its gap: a circle of its width where it is round, else of its depth.

    Args:
        footprint: what the piece covers.
        gap_mm: between pieces, mm.
    Source: area of a circle; nothing can be packed closer than its own area.
    >>> round(covered_mm2(Footprint(90.0, 90.0), 10.0))
    7854
    """
    return pi * (footprint.deep_mm + gap_mm) ** 2 / 4.0
