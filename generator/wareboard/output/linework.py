"""Drawn profiles from files: SVG paths, DXF polylines, tables of height and diameter. The only room that knows their libraries."""

from __future__ import annotations

import contextlib
import csv
import io
import math
import re
import signal
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from wareboard.output.photographs import INSTALL
from wareboard.pot.frozen import frozen
from wareboard.pot.silhouettes import Points, SilhouetteError
from wareboard.text import units

LARGEST_BYTES = 8_000_000  # a line drawn over a photograph has the photograph in its file
MOST_POINTS = 40_000
MOST_CONTROLS = 4_000
CURVE_STEPS = 48
LONGEST_S = (
    3.0  # of the processor's time, for a library to read a drawing: clones of clones, a curve of a thousand ends
)


@frozen
class Line:
    """The line that was taken: points (across, up) in the drawing's units, what a unit is worth where it says, and what to tell."""

    points: Points
    mm_per_unit: float | None
    said: str = ""


def read_line(path: Path) -> Line:
    """The longest line of a drawing, or a table's.

    Args:
        path: an SVG, DXF or CSV file, told apart by its ending.
    Raises: SilhouetteError, it cannot be read, or holds no line.
    """
    if path.stat().st_size > LARGEST_BYTES:
        raise SilhouetteError(
            f"the file has {path.stat().st_size:,} bytes; a drawing of one profile has at most {LARGEST_BYTES:,}"
        )
    reader = {".svg": _read_svg, ".dxf": _read_dxf, ".csv": _read_csv}[path.suffix.lower()]
    with _in_time():
        line = reader(path)
    points = line.points
    if not np.isfinite(points).all():
        raise SilhouetteError("the line has places that are no numbers")
    if len(points) > MOST_POINTS:
        raise SilhouetteError(f"the line has {len(points):,} points; at most {MOST_POINTS:,} are read")
    return line


class _TooLong(BaseException):
    """Not to be caught by a library that takes any exception for a broken drawing."""


@contextlib.contextmanager
def _in_time() -> Iterator[None]:
    """What a hostile drawing has a library do comes to an end, where the system can tell a process its time."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def stop(*_: object) -> None:
        raise _TooLong

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST_S, 0.1)
    try:
        yield
    except _TooLong:
        raise SilhouetteError("it takes too long to read; save the profile alone, as one line") from None
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _read_svg(path: Path) -> Line:
    text = _text(path)
    if "<!ENTITY" in text:
        raise SilhouetteError("the drawing defines entities, which no drawing of a pot needs; save it as plain SVG")
    try:
        import svgelements
    except ImportError:
        raise SilhouetteError(INSTALL) from None
    try:
        drawing = svgelements.SVG.parse(io.StringIO(text), reify=True)
        shapes = [svgelements.Path(element) for element in drawing.elements() if isinstance(element, svgelements.Shape)]
        lines = [_sampled(part) for shape in shapes for part in shape.as_subpaths()]
    except Exception as fault:  # whatever a broken drawing makes the library raise, it is a broken drawing
        raise SilhouetteError(f"the SVG file cannot be read ({type(fault).__name__})") from None
    return _longest([line * np.array([1.0, -1.0]) for line in lines if len(line) > 1], None, "SVG file")


def _sampled(path: Any) -> Points:
    """A path's points: straight pieces by their ends, curves in short steps."""
    points: list[tuple[float, float]] = []
    for segment in path:
        kind = type(segment).__name__
        if kind == "Move":
            points.append((segment.end.x, segment.end.y))
        elif kind in ("Line", "Close"):
            if segment.end is not None:
                points.append((segment.end.x, segment.end.y))
        else:
            points += [(at.x, at.y) for at in (segment.point(step / CURVE_STEPS) for step in range(1, CURVE_STEPS + 1))]
    return np.array(points, dtype=float).reshape(-1, 2)


def _longest(lines: list[Points], mm_per_unit: float | None, what: str) -> Line:
    if not lines:
        raise SilhouetteError(f"there is no path in the {what}; draw the profile as one line")
    lengths = [float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines]
    longest = max(range(len(lines)), key=lengths.__getitem__)
    said = f"the longest of {len(lines)} lines is taken" if len(lines) > 1 else ""
    return Line(lines[longest], mm_per_unit, said)


def _read_dxf(path: Path) -> Line:
    try:
        import ezdxf.filemanagement
        import ezdxf.path
        import ezdxf.units
        from ezdxf.enums import InsertUnits
    except ImportError:
        raise SilhouetteError(INSTALL) from None
    try:
        drawing = ezdxf.filemanagement.readfile(path)
        drawn = drawing.modelspace().query("LWPOLYLINE POLYLINE SPLINE")
        if any(entity.dxftype() == "SPLINE" and len(entity.control_points) > MOST_CONTROLS for entity in drawn):  # type: ignore[attr-defined]
            raise _TooLong  # worked out in one call, which nothing interrupts
        found = [ezdxf.path.make_path(entity) for entity in drawn]
        extent = max(
            (abs(float(v)) for part in found for at in part.control_vertices() for v in (at.x, at.y)), default=1.0
        )
        lines = [
            np.array([(at.x, at.y) for at in part.flattening(max(extent * 2e-4, 1e-9))], dtype=float) for part in found
        ]
        unit = int(drawing.header.get("$INSUNITS", 0))
        scale = float(ezdxf.units.conversion_factor(InsertUnits(unit), InsertUnits.Millimeters)) if unit else None
    except Exception as fault:  # as above
        raise SilhouetteError(
            f"the DXF file cannot be read ({type(fault).__name__}); save it again as DXF R2000 or later"
        ) from None
    return _longest([line for line in lines if len(line) > 1], scale, "DXF file (no polyline)")


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise SilhouetteError("the file is not UTF-8 text; save it again") from None


def _read_csv(path: Path) -> Line:
    text = _text(path)
    if "\0" in text:
        raise SilhouetteError("this is no table of height and diameter")
    separator = max(";\t,", key=text.count)
    rows: list[tuple[float, float]] = []
    unit, swapped = "mm", False
    for number, line in enumerate(text.splitlines(), 1):
        try:
            row = next(csv.reader([line], delimiter=separator), [])
        except csv.Error:
            raise SilhouetteError(f"line {number}: this is no row of height and diameter") from None
        if number > MOST_POINTS:
            raise SilhouetteError(f"the table has more than {MOST_POINTS:,} rows")
        cells = [cell.strip() for cell in row]
        if not any(cells) or cells[0].startswith("#"):
            continue
        words = [cell.casefold() for cell in cells]
        if not rows and any("height" in word or "diameter" in word or "radius" in word for word in words):
            if any("radius" in word for word in words):
                raise SilhouetteError(f"line {number}: the table has radii; it wants height and diameter")
            swapped = "diameter" in words[0]
            units_said = re.search(r"\b(mm|cm|in)\b", " ".join(words).replace("_", " "))
            unit = units_said[1] if units_said else unit
            continue
        if len(cells) < 2:
            raise SilhouetteError(f"line {number}: a height and a diameter are wanted, as 95,84")
        try:
            pair = [units.parse_quantity(cell, "length", unit=unit, stage_allowed=False).value for cell in cells[:2]]
        except units.SizeError as fault:
            raise SilhouetteError(
                f"line {number}: {fault.message}" + (f"; {fault.hint}" if fault.hint else "")
            ) from None
        height, diameter = reversed(pair) if swapped else pair
        if diameter < 0.0 or not math.isfinite(height):
            raise SilhouetteError(f"line {number}: `{', '.join(cells[:2])}` cannot be")
        rows.append((diameter / 2.0, height))
    if len(rows) < 2:
        raise SilhouetteError("the table has fewer than two rows of height and diameter")
    if rows[0][1] > rows[-1][1]:
        rows.reverse()
    for (_, below), (_, above) in pairwise(rows):
        if above < below:
            raise SilhouetteError("the heights go up and down; list them from the foot up")
    return Line(np.array(rows), 1.0)
