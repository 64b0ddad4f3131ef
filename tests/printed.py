"""What a printed PDF says of itself: its letters and lines, each at its place, and its structure."""

import ctypes
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import pypdfium2
from pypdfium2 import raw


@dataclass
class Page:
    """One page as PDFium reads it; sizes in points, `top` and `bottom` from the page's upper edge."""

    number: int
    width: float
    height: float
    _read: pypdfium2.PdfPage

    @property
    def box(self) -> tuple[float, ...]:
        """The paper's edges: left, lower, right, upper."""
        return self._read.get_mediabox()

    @cached_property
    def chars(self) -> list[dict]:
        """Every letter: its box as wide as it is set and as high as its size, from what its font has below the line."""
        found, text = [], self._read.get_textpage()
        matrix, x, y, box = raw.FS_MATRIX(), ctypes.c_double(), ctypes.c_double(), raw.FS_RECTF()
        width, fonts = ctypes.c_float(), {}
        for at in range(raw.FPDFText_CountChars(text)):
            if raw.FPDFText_IsGenerated(text, at) == 1:  # a space that nobody wrote
                continue
            raw.FPDFText_GetMatrix(text, at, matrix)
            raw.FPDFText_GetCharOrigin(text, at, x, y)
            raw.FPDFText_GetLooseCharBox(text, at, box)
            sign, (font, name, descent) = (
                chr(raw.FPDFText_GetUnicode(text, at)),
                _font_of(raw.FPDFText_GetTextObject(text, at), fonts),
            )
            a, b, c, d = matrix.a, matrix.b, matrix.c, matrix.d
            typed = raw.FPDFText_GetFontSize(text, at)
            left, right, lower, upper = box.left, box.right, box.bottom, box.top
            if b or c:
                left, right = sorted((x.value + descent * typed * c, x.value + (descent + 1.0) * typed * c))
            else:
                left = x.value
                if sign == "⁄":  # its stroke reaches over what stands beside it, and so does its box
                    raw.FPDFFont_GetGlyphWidth(font, ord(sign), typed, width)
                    right = left + width.value * a
                lower, upper = y.value + descent * typed * d, y.value + (descent + 1.0) * typed * d
            found.append(
                {
                    "text": sign, "fontname": name, "upright": not (b or c),
                    "matrix": (a, b, c, d, x.value, y.value), "x0": left, "x1": right, "size": upper - lower,
                    "height": upper - lower, "top": self.height - upper, "bottom": self.height - lower,
                }
            )  # fmt: skip
        return found

    @cached_property
    def text(self) -> str:
        """All that is written on it."""
        return self._read.get_textpage().get_text_range().replace("\r\n", "\n")

    @cached_property
    def words(self) -> list[tuple[str, dict]]:
        """Every word with its first letter."""
        found, last = [], None
        for char in self.chars:
            if not char["text"].strip():
                last = None
                continue
            if (
                last
                and abs(char["bottom"] - last["bottom"]) < 0.1
                and abs(char["x0"] - last["x1"]) < 0.2 * char["size"]
            ):
                found[-1] = (found[-1][0] + char["text"], found[-1][1])
            else:
                found.append((char["text"], char))
            last = char
        return found

    @cached_property
    def _paths(self) -> list[dict]:
        """Every piece of a path that is painted, from where the pen is set down to where it is lifted."""
        found: list[dict] = []
        _gather_paths(raw.FPDFPage_CountObjects(self._read), self._read, raw.FPDFPage_GetObject, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), found)  # fmt: skip
        for path in found:
            across, up = [x for x, _ in path["pts"]], [y for _, y in path["pts"]]
            path |= {"x0": min(across), "x1": max(across), "y0": min(up), "y1": max(up)}
            path |= {
                "width": path["x1"] - path["x0"],
                "top": self.height - path["y1"],
                "bottom": self.height - path["y0"],
            }
        return found

    @cached_property
    def lines(self) -> list[dict]:
        """Straight lines from one point to another; `pts` are heights from the page's lower edge."""
        return [path for path in self._paths if path["kind"] == "line"]

    @cached_property
    def rects(self) -> list[dict]:
        """Level rectangles."""
        return [path for path in self._paths if path["kind"] == "rect"]

    @cached_property
    def curves(self) -> list[dict]:
        """Whatever else is drawn; of an arc both its ends."""
        return [path for path in self._paths if path["kind"] == "curve"]


def _gather_paths(count, holder, get, outer, found):
    """Paths of a page, or of a group on it, which has a place of its own."""
    matrix, x, y = raw.FS_MATRIX(), ctypes.c_float(), ctypes.c_float()
    fill, stroke, wide = ctypes.c_int(), ctypes.c_int(), ctypes.c_float()
    for at in range(count):
        thing = get(holder, at)
        kind = raw.FPDFPageObj_GetType(thing)
        if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_FORM):
            continue
        raw.FPDFPageObj_GetMatrix(thing, matrix)
        a, b, c, d, e, f = _placed((matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f), outer)
        if kind == raw.FPDF_PAGEOBJ_FORM:
            _gather_paths(
                raw.FPDFFormObj_CountObjects(thing), thing, raw.FPDFFormObj_GetObject, (a, b, c, d, e, f), found
            )
            continue
        raw.FPDFPath_GetDrawMode(thing, fill, stroke)
        raw.FPDFPageObj_GetStrokeWidth(thing, wide)
        pieces, arc = [], 0
        for part in range(raw.FPDFPath_CountSegments(thing)):
            segment = raw.FPDFPath_GetPathSegment(thing, part)
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            point = a * x.value + c * y.value + e, b * x.value + d * y.value + f
            step = raw.FPDFPathSegment_GetType(segment)
            if step == raw.FPDF_SEGMENT_MOVETO:
                pieces.append(([point], []))
                continue
            points, arcs = pieces[-1]
            arc = (arc + 1) % 3 if step == raw.FPDF_SEGMENT_BEZIERTO else 0
            if not arc:
                points.append(point)
                arcs.append(step == raw.FPDF_SEGMENT_BEZIERTO)
            if raw.FPDFPathSegment_GetClose(segment) and points[-1] != points[0]:
                points.append(points[0])
        for points, arcs in pieces:
            if len(points) > 1:
                found.append({"kind": _kind_of(points, any(arcs)), "pts": points, "stroke": bool(stroke.value), "linewidth": wide.value * abs(a * d - b * c) ** 0.5})  # fmt: skip


def _placed(inner, outer):
    """One matrix after another."""
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def _kind_of(points, has_arcs):
    if has_arcs:
        return "curve"
    if len(points) == 2:
        return "line"
    level = all(abs(one[0] - other[0]) < 1e-3 or abs(one[1] - other[1]) < 1e-3 for one, other in pairwise(points))
    return "rect" if level and len(points) == 5 and points[0] == points[-1] else "curve"


def _font_of(text_object, fonts):
    font = raw.FPDFTextObj_GetFont(text_object)
    key = ctypes.cast(font, ctypes.c_void_p).value
    if key not in fonts:
        name, descent = ctypes.create_string_buffer(200), ctypes.c_float()
        raw.FPDFFont_GetBaseFontName(font, name, 200)
        raw.FPDFFont_GetDescent(font, 1.0, descent)
        fonts[key] = font, name.value.decode(), descent.value
    return fonts[key]


def pages_of(pdf: bytes) -> list[Page]:
    """The pages of a PDF."""
    document = pypdfium2.PdfDocument(pdf)
    return [Page(number, *page.get_size(), page) for number, page in enumerate(document, 1)]


def structure_of(document) -> tuple[list[str | None], list[str]]:
    """The kinds of a tagged PDF's elements (`/H1`, `/Table`, …) and their alternative texts, in reading order."""
    kinds, said = [], []

    def walk(node, depth=0):
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                walk(child, depth)
        elif isinstance(node, dict) and depth < 40:
            kinds.append(node.get("/S"))
            said.append(str(node.get("/Alt", "")))
            if "/K" in node:
                walk(node["/K"], depth + 1)

    walk(document.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return kinds, said
