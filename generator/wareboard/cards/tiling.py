"""True-size drawings on paper: what is too large is cut into pieces that overlap, and pieces are set out on sheets.

Everything is in millimetres, x to the right and y up. Nothing is ever scaled or turned.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil

from wareboard.pot.frozen import frozen

Point = tuple[float, float]

DUST_MM = 1e-9
SHORT_SEAM_MM = 60.0  # its ends guide the eye as well as a second mark would


@frozen
class Piece:
    """One rectangle of a drawing, in the drawing's own millimetres; column 0 is on the left, row 0 at the top."""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float
    column: int = 0
    row: int = 0
    columns: int = 1
    rows: int = 1

    @property
    def width_mm(self) -> float:
        """From left to right."""
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        """From bottom to top."""
        return self.top_mm - self.bottom_mm

    @property
    def number(self) -> int:
        """Its place as one reads, from 1."""
        return self.row * self.columns + self.column + 1


@frozen
class Joint:
    """A mark that two neighbouring pieces share: laid on one another, they join."""

    letter: str
    x_mm: float
    y_mm: float
    upright: bool


@frozen
class Place:
    """Where something stands: the sheet, and its lower left corner on it."""

    sheet: int
    x_mm: float
    y_mm: float


def cut_spans(length_mm: float, room_mm: float, overlap_mm: float) -> tuple[tuple[float, float], ...]:
    """Equal spans that cover a length, each no longer than the room, each lapping over the next.

    Args:
        length_mm: what is to be covered, mm, > 0.
        room_mm: the longest that a span may be, mm.
        overlap_mm: how far two neighbours lap over one another, mm, less than the room.
    Returns: start and end of each.
    Raises: ValueError, the room is no longer than the overlap.
    Source: worked: as few spans as cover the length with their laps, all alike.
    >>> cut_spans(180.0, 190.0, 10.0)
    ((0.0, 180.0),)
    >>> cut_spans(350.0, 190.0, 10.0)
    ((0.0, 180.0), (170.0, 350.0))
    """
    if not 0.0 <= overlap_mm < room_mm:
        raise ValueError(f"pieces of {room_mm:g} mm cannot lap by {overlap_mm:g} mm")
    if length_mm <= room_mm + DUST_MM:
        return ((0.0, length_mm),)
    count = ceil((length_mm - overlap_mm) / (room_mm - overlap_mm) - DUST_MM)
    step = (length_mm - overlap_mm) / count
    return tuple((step * k, length_mm if k == count - 1 else step * (k + 1) + overlap_mm) for k in range(count))


def cut_pieces(
    width_mm: float, height_mm: float, room_width_mm: float, room_height_mm: float, overlap_mm: float
) -> tuple[Piece, ...]:
    """A drawing as the pieces that fit a sheet, in the order in which one reads.

    Args:
        width_mm, height_mm: the drawing, its lower left corner at 0, 0.
        room_width_mm, room_height_mm: the largest piece.
        overlap_mm: how far neighbours lap over one another.
    Returns: one piece where it fits whole.
    Raises: ValueError, as `cut_spans`.
    Source: worked: `cut_spans` across and up, read row by row from the top.
    >>> [(piece.number, piece.bottom_mm, piece.top_mm) for piece in cut_pieces(100.0, 350.0, 190.0, 190.0, 10.0)]
    [(1, 170.0, 350.0), (2, 0.0, 180.0)]
    """
    across, up = cut_spans(width_mm, room_width_mm, overlap_mm), cut_spans(height_mm, room_height_mm, overlap_mm)
    return tuple(
        Piece(left, bottom, right, top, column, row, len(across), len(up))
        for row, (bottom, top) in enumerate(reversed(up))
        for column, (left, right) in enumerate(across)
    )


def find_joints(pieces: Sequence[Piece]) -> dict[int, tuple[Joint, ...]]:
    """The marks on each piece, by its number: two on each seam, in the middle of the overlap; one where the seam is short.

    Args:
        pieces: all pieces of one drawing.
    Returns: marks in the drawing's own millimetres; the same mark stands on both pieces of a seam.
    Source: worked: for each two neighbours the middle of what they share, at a fifth and four fifths of the seam.
    >>> marks = find_joints(cut_pieces(350.0, 100.0, 190.0, 190.0, 10.0))
    >>> marks[1] == marks[2], [(mark.letter, mark.x_mm, mark.y_mm) for mark in marks[1]]
    (True, [('A', 175.0, 20.0), ('B', 175.0, 80.0)])
    """
    at = {(piece.column, piece.row): piece for piece in pieces}
    found: dict[int, list[Joint]] = {piece.number: [] for piece in pieces}
    letters = 0
    for piece in pieces:
        for upright, other in (
            (True, at.get((piece.column + 1, piece.row))),
            (False, at.get((piece.column, piece.row + 1))),
        ):
            if other is None:
                continue
            for share in (0.2, 0.8) if (piece.height_mm if upright else piece.width_mm) >= SHORT_SEAM_MM else (0.5,):
                if upright:
                    x, y = (other.left_mm + piece.right_mm) / 2.0, piece.bottom_mm + share * piece.height_mm
                else:
                    x, y = piece.left_mm + share * piece.width_mm, (piece.bottom_mm + other.top_mm) / 2.0
                mark = Joint(_letter(letters), x, y, upright)
                letters += 1
                found[piece.number].append(mark)
                found[other.number].append(mark)
    return {number: tuple(marks) for number, marks in found.items()}


def _letter(count: int) -> str:
    """A, B … Z, then AA, AB …"""
    return (_letter(count // 26 - 1) if count >= 26 else "") + chr(65 + count % 26)


@frozen
class _Room:
    """A free rectangle of a sheet."""

    sheet: int
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    def holds(self, width_mm: float, height_mm: float) -> bool:
        return width_mm <= self.width_mm + DUST_MM and height_mm <= self.height_mm + DUST_MM

    def without(self, width_mm: float, height_mm: float, gap_mm: float) -> tuple[_Room, _Room]:
        """What is left beside and below something put into its upper left corner."""
        beside = _Room(
            self.sheet, self.left_mm + width_mm + gap_mm, self.top_mm, self.width_mm - width_mm - gap_mm, height_mm
        )
        below = _Room(
            self.sheet,
            self.left_mm,
            self.top_mm - height_mm - gap_mm,
            self.width_mm,
            self.height_mm - height_mm - gap_mm,
        )
        return beside, below


def set_out(
    sizes: Sequence[tuple[float, float]], room_width_mm: float, room_height_mm: float, gap_mm: float
) -> tuple[Place, ...]:
    """Rectangles on few sheets: the highest first, each in the first free room, as one reads, that holds it.

    Args:
        sizes: width and height of each, none larger than a sheet.
        room_width_mm, room_height_mm: a sheet.
        gap_mm: left free between two.
    Returns: a place for each, in the order given; y runs up from the sheet's lower edge.
    Raises: ValueError, one is larger than a sheet.
    Source: first fit by falling height, rooms cut edge to edge; common practice.
    >>> [(place.sheet, place.x_mm, place.y_mm) for place in set_out([(60.0, 20.0), (60.0, 90.0), (60.0, 90.0)], 130.0, 120.0, 5.0)]
    [(0, 0.0, 5.0), (0, 0.0, 30.0), (0, 65.0, 30.0)]
    """
    rooms: list[_Room] = []
    sheets = 0
    places: dict[int, Place] = {}
    for number in sorted(range(len(sizes)), key=lambda k: (-sizes[k][1], k)):
        width, height = sizes[number]
        room = next((room for room in rooms if room.holds(width, height)), None)
        if room is None:
            room = _Room(sheets, 0.0, room_height_mm, room_width_mm, room_height_mm)
            if not room.holds(width, height):
                raise ValueError(
                    f"{width:g} × {height:g} mm is larger than the sheet's {room_width_mm:g} × {room_height_mm:g} mm"
                )
            sheets += 1
            rooms.append(room)
        rooms.remove(room)
        rooms = sorted(
            [*rooms, *room.without(width, height, gap_mm)], key=lambda room: (room.sheet, -room.top_mm, room.left_mm)
        )
        places[number] = Place(room.sheet, room.left_mm, room.top_mm - height)
    return tuple(places[number] for number in range(len(sizes)))


def clip_line(points: Sequence[Point], piece: Piece) -> list[list[Point]]:
    """What of a line lies in a piece.

    Args:
        points: the line.
        piece: the rectangle; its own edge belongs to it.
    Returns: the stretches inside, in order.
    Source: Liang & Barsky, ACM Trans. Graphics 3 (1984), from memory.
    >>> clip_line([(-5.0, 5.0), (5.0, 5.0), (5.0, 20.0)], Piece(0.0, 0.0, 10.0, 10.0))
    [[(0.0, 5.0), (5.0, 5.0), (5.0, 10.0)]]
    """
    stretches: list[list[Point]] = []
    for start, end in pairwise(points):
        kept = _clip_segment(start, end, piece)
        if kept is None:
            continue
        if stretches and stretches[-1][-1] == kept[0]:
            stretches[-1].append(kept[1])
        else:
            stretches.append(list(kept))
    return stretches


def _clip_segment(start: Point, end: Point, piece: Piece) -> tuple[Point, Point] | None:
    (x0, y0), (x1, y1) = start, end
    enters, leaves = 0.0, 1.0
    for run, room in (
        (x0 - x1, x0 - piece.left_mm),
        (x1 - x0, piece.right_mm - x0),
        (y0 - y1, y0 - piece.bottom_mm),
        (y1 - y0, piece.top_mm - y0),
    ):
        if run == 0.0:
            if room < -DUST_MM:
                return None
        elif run < 0.0:
            enters = max(enters, room / run)
        else:
            leaves = min(leaves, room / run)
    if enters >= leaves:
        return None
    run_x, run_y = x1 - x0, y1 - y0
    enters_at = start if enters == 0.0 else (x0 + enters * run_x, y0 + enters * run_y)
    leaves_at = end if leaves == 1.0 else (x0 + leaves * run_x, y0 + leaves * run_y)
    return enters_at, leaves_at


def clip_shape(points: Sequence[Point], piece: Piece) -> list[Point]:
    """What of a filled shape lies in a piece.

    Args:
        points: the shape's corners.
        piece: the rectangle.
    Returns: corners; none where nothing is inside. Where the shape falls apart, its parts stay joined along the piece's edge.
    Source: Sutherland & Hodgman, Comm. ACM 17 (1974), from memory.
    >>> clip_shape([(-5.0, 2.0), (5.0, 2.0), (5.0, 4.0), (-5.0, 4.0)], Piece(0.0, 0.0, 10.0, 10.0))
    [(0.0, 2.0), (5.0, 2.0), (5.0, 4.0), (0.0, 4.0)]
    """
    kept = list(points)
    for axis, limit, way in (
        (0, piece.left_mm, 1.0),
        (0, piece.right_mm, -1.0),
        (1, piece.bottom_mm, 1.0),
        (1, piece.top_mm, -1.0),
    ):
        corners, kept = kept, []
        for before, corner in zip([*corners[-1:], *corners[:-1]], corners, strict=True):
            depth, depth_before = way * (corner[axis] - limit), way * (before[axis] - limit)
            if (depth >= 0.0) != (depth_before >= 0.0):
                share = depth_before / (depth_before - depth)
                kept.append((before[0] + share * (corner[0] - before[0]), before[1] + share * (corner[1] - before[1])))
            if depth >= 0.0:
                kept.append(corner)
    return kept
