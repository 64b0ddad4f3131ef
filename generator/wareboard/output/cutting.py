"""Ribs as files for a laser, a plotter or a printer: SVG and DXF at true size, STL as a solid. Owner of DXF writing and of solids."""

from __future__ import annotations

import hashlib
import io
import re
from html import escape

from wareboard.output.files import FolderError
from wareboard.pot.ribs import Rib

FORMATS = ("svg", "dxf", "stl")
THICK_MM = 2.0
TEXT_MM = 3.5
_STL_HEAD = 80  # bytes of a binary STL that no reader looks at
# What a rib carries of itself: whoever has changed a file, in whatever program, has made it theirs.
_MADE_HERE = re.compile(rb"made by wareboard ([0-9a-f]{16})")
_UNMARKED = b"0" * 16
INSTALL = "the libraries for ribs are missing: pip install 'wareboard[trace]'"


def rib_file(rib: Rib, kind: str, words: tuple[str, ...]) -> bytes:
    """A rib as a file.

    Args:
        rib: its edge and hole, mm.
        kind: one of FORMATS.
        words: what is written on it, a line each; a solid has none.
    Raises: FolderError, a library is missing; KeyError, no such format.
    """
    content = stl_of(rib) if kind == "stl" else {"svg": _svg, "dxf": _dxf}[kind](rib, words)
    mark = b"made by wareboard " + _UNMARKED
    if kind == "stl":
        content = mark.ljust(_STL_HEAD) + content[_STL_HEAD:]
    else:
        content = b"999\n%b\n%b" % (mark, content) if kind == "dxf" else b"%b<!-- %b -->\n" % (content, mark)
    return content.replace(mark, mark.removesuffix(_UNMARKED) + _digest(content), 1)


def is_ours(content: bytes) -> bool:
    """True for a rib as it was made here, unchanged since.

    Args:
        content: the file.
    """
    found = _MADE_HERE.search(content)
    return found is not None and _digest(content[: found.start(1)] + _UNMARKED + content[found.end(1) :]) == found[1]


def _digest(content: bytes) -> bytes:
    return hashlib.blake2b(content, digest_size=8).hexdigest().encode()


def _svg(rib: Rib, words: tuple[str, ...]) -> bytes:
    left, right, low, high = _box(rib)
    width, height = right - left, high - low

    def points(ring: tuple[tuple[float, float], ...]) -> str:
        return " ".join(f"{x - left:.4f},{high - y:.4f}" for x, y in ring)

    cx, cy = rib.hole_at
    text = "".join(
        f'<text x="{x - left:.3f}" y="{high - y:.3f}" font-family="sans-serif" font-size="{TEXT_MM}">{escape(line)}</text>'
        for line, (x, y) in zip(words, _text_places(rib, len(words)), strict=True)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" viewBox="0 0 {width:.4f} {height:.4f}">'
        f"<title>{escape(', '.join(words))}</title>"
        f'<g id="cut" fill="none" stroke="#000" stroke-width="0.1"><polygon points="{points(rib.edge)}"/>'
        f'<circle cx="{cx - left:.4f}" cy="{high - cy:.4f}" r="{rib.hole_mm / 2.0:.4f}"/></g><g id="mark">{text}</g></svg>\n'
    ).encode()


def _box(rib: Rib) -> tuple[float, float, float, float]:
    across, up = [x for x, _ in rib.edge], [y for _, y in rib.edge]
    return min(across), max(across), min(up), max(up)


def _text_places(rib: Rib, count: int) -> list[tuple[float, float]]:
    """The base line of each line of words."""
    left, top = rib.words_at
    return [(left, top - 1.4 * TEXT_MM * (number + 1)) for number in range(count)]


def _dxf(rib: Rib, words: tuple[str, ...]) -> bytes:
    try:
        import ezdxf.filemanagement
        import ezdxf.units
    except ImportError:
        raise FolderError(INSTALL) from None
    drawing = ezdxf.filemanagement.new("R2010")
    drawing.units = ezdxf.units.MM
    for layer in ("CUT", "MARK"):
        drawing.layers.add(layer)
    space = drawing.modelspace()
    space.add_lwpolyline(rib.edge, close=True, dxfattribs={"layer": "CUT"})
    space.add_circle(rib.hole_at, rib.hole_mm / 2.0, dxfattribs={"layer": "CUT"})
    for line, place in zip(words, _text_places(rib, len(words)), strict=True):
        space.add_text(line, height=TEXT_MM, dxfattribs={"layer": "MARK", "insert": place})
    written = io.StringIO()
    drawing.write(written)
    return written.getvalue().encode("utf-8")


def stl_of(rib: Rib, thick_mm: float = THICK_MM) -> bytes:
    """A rib as a watertight solid, binary STL, mm.

    Args:
        rib: its edge and hole.
        thick_mm: how thick it is.
    Raises: FolderError, a library is missing.
    """
    try:
        import mapbox_earcut
        import numpy
        import trimesh
    except ImportError:
        raise FolderError(INSTALL) from None
    flat = numpy.array([*rib.edge, *rib.hole], dtype=numpy.float64)
    ends = numpy.array([len(rib.edge), len(flat)], dtype=numpy.uint32)
    faces = mapbox_earcut.triangulate_float64(flat, ends).reshape(-1, 3).astype(numpy.int64)
    solid = trimesh.creation.extrude_triangulation(flat, faces, height=thick_mm)
    written = solid.export(file_type="stl")
    assert isinstance(written, bytes)
    return written
