"""Make the small fonts that the pages and cards are set in.

    python site_templates/fonts/make_fonts.py FOLDER OTHERS

FOLDER holds the files of `@fontsource/atkinson-hyperlegible-next` 5.3, OTHERS those of `@fontsource/noto-sans` 5.3 (both SIL OFL 1.1,
beside this file). Greek and Cyrillic, which the face lacks, come from the second, as one font a weight.
Latin and Latin Extended become one font a style, without hints. Signs of the trade that the face lacks
are drawn here, at the face's own weight: ⌀ ′ ″ arrows ≈ ≤ ≥ √ σ π µ Δ, raised and lowered digits and
eighths, which are the face's digits of a heavier style made small. The fraction slash is set tight.
Needs fonttools and brotli; nothing runs this but the person who changes the fonts.
"""

from __future__ import annotations

import math
import sys
import tempfile
from pathlib import Path

from fontTools.merge import Merger
from fontTools.misc.transform import Identity
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FAMILY = "Atkinson Hyperlegible Next"
CAP = 668
SMALL = 0.563
STYLES = {"Regular": (400, "normal", 600), "Bold": (700, "normal", 800), "Italic": (400, "italic", 600)}
HERE = Path(__file__).resolve().parent
WEB = HERE.parent / "theme" / "assets" / "fonts"


def open_style(folder: Path, subset: str, weight: int, slant: str) -> TTFont:
    return TTFont(folder / f"atkinson-hyperlegible-next-{subset}-{weight}-{slant}.woff2")


def merged(folder: Path, weight: int, slant: str) -> TTFont:
    """Latin and Latin Extended as one font."""
    with tempfile.TemporaryDirectory() as place:
        paths = []
        for subset in ("latin", "latin-ext"):
            font = open_style(folder, subset, weight, slant)
            font.flavor = None
            for table in ("prep", "gasp", "STAT"):
                if table in font:
                    del font[table]
            paths.append(f"{place}/{subset}.ttf")
            font.save(paths[-1])
        return Merger().merge(paths)


class Drawer:
    """Adds drawn signs to a font. `stroke` is the width of the face's thin strokes."""

    def __init__(self, font: TTFont, small_digits: TTFont, slope: float) -> None:
        self.font, self.small_digits, self.slope = font, small_digits, slope
        glyphs, cmap = font["glyf"], font.getBestCmap()
        bar = glyphs[cmap[ord("_")]]
        self.stroke = bar.yMax - bar.yMin if bar.numberOfContours else 60
        equal = glyphs[cmap[ord("-")]]
        self.stroke = equal.yMax - equal.yMin

    def add(self, sign: str, advance: float, contours: list[list[tuple[float, float]]], parts=()) -> None:
        """A sign from polygons and from parts: (font, glyph name, transform)."""
        pen = TTGlyphPen(None)
        for font, name, transform in parts:
            record = DecomposingRecordingPen(font.getGlyphSet())
            font.getGlyphSet()[name].draw(record)
            record.replay(TransformPen(pen, transform))
        for contour in contours:
            points = [(round(x + self.slope * y), round(y)) for x, y in contour]
            pen.moveTo(points[0])
            for point in points[1:]:
                pen.lineTo(point)
            pen.closePath()
        name = f"uni{ord(sign):04X}"
        glyph = pen.glyph()
        order = self.font.getGlyphOrder()
        if name not in order:
            self.font.setGlyphOrder([*order, name])
        self.font["glyf"].glyphs[name] = glyph
        glyph.recalcBounds(self.font["glyf"])
        self.font["hmtx"][name] = (round(advance), glyph.xMin if glyph.numberOfContours else 0)
        for table in self.font["cmap"].tables:
            table.cmap[ord(sign)] = name

    def part(self, sign: str, transform=Identity, small: bool = False):
        font = self.small_digits if small else self.font
        return (font, font.getBestCmap()[ord(sign)], transform)

    def width(self, sign: str, small: bool = False) -> int:
        font = self.small_digits if small else self.font
        return font["hmtx"][font.getBestCmap()[ord(sign)]][0]


def line(x0: float, y0: float, x1: float, y1: float, width: float) -> list[tuple[float, float]]:
    """A stroke as a polygon, clockwise."""
    length = math.hypot(x1 - x0, y1 - y0)
    dx, dy = -(y1 - y0) / length * width / 2, (x1 - x0) / length * width / 2
    return [(x0 + dx, y0 + dy), (x1 + dx, y1 + dy), (x1 - dx, y1 - dy), (x0 - dx, y0 - dy)]


def ring(x: float, y: float, radius: float, width: float) -> list[list[tuple[float, float]]]:
    """A circle's line: outside clockwise, inside the other way."""
    turns = [2 * math.pi * step / 48 for step in range(48)]
    outer = [(x + radius * math.sin(a), y + radius * math.cos(a)) for a in turns]
    inner = [(x - (radius - width) * math.sin(a), y + (radius - width) * math.cos(a)) for a in turns]
    return [outer, inner]


def draw_signs(draw: Drawer) -> None:
    """Every sign that the face lacks."""
    thin, middle = draw.stroke * 0.86, CAP / 2
    radius = 270
    draw.add("⌀", 700, [*ring(350, middle, radius, thin), line(350 - 262, middle - 345, 350 + 262, middle + 345, thin)])
    prime = [(80, CAP + 50), (80 + thin * 1.15, CAP + 50), (70, 430), (22, 430)]
    draw.add("′", 190, [prime])
    draw.add("″", 360, [prime, [(x + 170, y) for x, y in prime]])
    head = 170
    right = [
        line(70, middle, 730, middle, thin),
        line(755 - head, middle + head, 755, middle, thin),
        line(755, middle, 755 - head, middle - head, thin),
    ]
    turned = {"→": 0, "↑": 90, "←": 180, "↓": 270}
    for sign, degrees in turned.items():
        cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        spun = [
            [
                (412 + (x - 412) * cosine - (y - middle) * sine, middle + (x - 412) * sine + (y - middle) * cosine)
                for x, y in c
            ]
            for c in right
        ]
        draw.add(sign, 824, spun)
    wave = draw.width("~")
    draw.add("≈", wave, [], [draw.part("~", Identity.translate(0, 95)), draw.part("~", Identity.translate(0, -95))])
    for sign, base in (("≤", "<"), ("≥", ">")):
        width = draw.width(base)
        draw.add(sign, width, [line(60, 40, width - 60, 40, thin)], [draw.part(base, Identity.translate(0, 130))])
    draw.add(
        "√",
        620,
        [
            [
                (30, 330),
                (150, 390),
                (270, 150),
                (470, 760),
                (640, 760),
                (640, 760 - thin),
                (525, 760 - thin),
                (310, 0),
                (225, 0),
                (110, 270),
                (50, 240),
            ]
        ],
    )
    draw.add("µ", draw.width("u"), [line(55 + thin / 2, 200, 55 + thin / 2, -190, thin)], [draw.part("u")])
    draw.add("π", 620, [line(30, 460, 590, 460, thin), line(190, 440, 170, 0, thin), line(430, 440, 430, 0, thin)])
    draw.add("σ", 610, [line(300, 460, 600, 460, thin)], [draw.part("o")])
    top = (320, CAP + 20)
    outer, inset = [(40, 0), top, (600, 0)], thin
    draw.add("Δ", 640, [outer, [(40 + inset * 1.7, inset), (600 - inset * 1.7, inset), (top[0], top[1] - inset * 2.2)]])
    draw.add("▲", 700, [[(60, 30), (350, 610), (640, 30)]])
    draw.add("▼", 700, [[(60, 610), (640, 610), (350, 30)]])
    draw.add("▶", 700, [[(80, 30), (80, 630), (640, 330)]])
    draw.add("✓", 700, [line(70, 330, 270, 90, thin * 1.2), line(250, 90, 640, 640, thin * 1.2)])
    draw.add("\u202f", draw.width("\u2009"), [])


def draw_fractions(draw: Drawer) -> None:
    """Raised digits hang from the cap height, lowered ones stand on the line, as the face's own ¼ does."""
    slash, width = draw.part("⁄"), draw.width("⁄")
    tight = 230
    rise = CAP * (1 - SMALL)
    for digit, raised, lowered in zip("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉", strict=True):
        advance = draw.width(digit, small=True) * SMALL
        draw.add(
            raised,
            advance,
            [],
            [draw.part(digit, Identity.translate(draw.slope * rise, rise).scale(SMALL), small=True)],
        )
        draw.add(lowered, advance, [], [draw.part(digit, Identity.scale(SMALL), small=True)])
    for sign, above, below in (
        ("⅛", "1", "8"),
        ("⅜", "3", "8"),
        ("⅝", "5", "8"),
        ("⅞", "7", "8"),
        ("⅓", "1", "3"),
        ("⅔", "2", "3"),
    ):
        lead, follow = draw.width(above, small=True) * SMALL, draw.width(below, small=True) * SMALL
        shift = lead - (width - tight) / 2
        parts = [
            draw.part(above, Identity.translate(draw.slope * rise, rise).scale(SMALL), small=True),
            (*slash[:2], Identity.translate(shift, 0)),
            draw.part(below, Identity.translate(lead + tight, 0).scale(SMALL), small=True),
        ]
        draw.add(sign, lead + tight + follow, [], parts)
    draw.add("⁄", tight, [], [(*slash[:2], Identity.translate(-(width - tight) / 2, 0))])


def subset(font: TTFont, signs: str = "") -> None:
    """Drop hints and what no text can reach; keep no other signs than those, where some are named."""
    options = Options()
    options.hinting, options.layout_features, options.notdef_outline = (
        False,
        ["kern", "mark", "mkmk", "ccmp", "locl", "tnum", "pnum"],
        True,
    )
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=list(map(ord, signs)) or list(font.getBestCmap()))
    subsetter.subset(font)


def name_style(font: TTFont, style: str) -> None:
    """Family and style as every program finds them; the copyright line says what was changed."""
    names, postscript = font["name"], f"AtkinsonHyperlegibleNext-{style}"
    copyright_line = names.getDebugName(0) or ""
    for number, text in {
        0: copyright_line.split(" Atkinson")[0].strip() + " Subset, with signs added.",
        1: FAMILY, 2: style, 3: f"Wareboard;{postscript}", 4: f"{FAMILY} {style}", 6: postscript,
        13: "This Font Software is licensed under the SIL Open Font License, Version 1.1.", 14: "https://openfontlicense.org",
    }.items():  # fmt: skip
        names.setName(text, number, 3, 1, 0x409)
    font["OS/2"].usWeightClass = 700 if style == "Bold" else 400
    font["OS/2"].fsSelection = {"Regular": 0x40, "Bold": 0x20, "Italic": 0x01}[style] | (
        font["OS/2"].fsSelection & 0x80
    )
    font["head"].macStyle = {"Regular": 0, "Bold": 1, "Italic": 2}[style]
    font["head"].modified = font["head"].created


def make_others(folder: Path) -> None:
    """Greek and Cyrillic as one font a weight."""
    for style, weight in (("Regular", 400), ("Bold", 700)):
        with tempfile.TemporaryDirectory() as place:
            paths = []
            for script in ("greek", "greek-ext", "cyrillic", "cyrillic-ext"):
                font = TTFont(folder / f"noto-sans-{script}-{weight}-normal.woff2")
                font.flavor = None
                for table in ("prep", "gasp", "STAT"):
                    if table in font:
                        del font[table]
                paths.append(f"{place}/{script}.ttf")
                font.save(paths[-1])
            font = Merger().merge(paths)
        font.recalcTimestamp = False
        subset(font)
        font["head"].modified = font["head"].created
        font.save(HERE / f"Others-{style}.ttf")


# What the large numbers of a bench view and its rings are written with.
NUMBERS = "0123456789.,/–± ABCDEFGHJKLMNPQRSTUVWXYZ½¼¾⅛⅜⅝⅞⁄⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉"


def make_numbers() -> None:
    """The numbers of the bold style alone, small enough for a bench view."""
    font = TTFont(WEB / "Bold.woff2")
    font.recalcTimestamp = False
    subset(font, NUMBERS)
    font.save(WEB / "Numbers.woff2")


def main(folder: Path, others: Path) -> None:
    make_others(others)
    for style, (weight, slant, small_weight) in STYLES.items():
        font = merged(folder, weight, slant)
        font.recalcTimestamp = False
        draw = Drawer(font, open_style(folder, "latin", small_weight, slant), 0.16 if slant == "italic" else 0.0)
        draw_fractions(draw)
        draw_signs(draw)
        subset(font)
        name_style(font, style)
        font.flavor = None
        font.save(HERE / f"{style}.ttf")
        font.flavor = "woff2"
        font.save(WEB / f"{style}.woff2")
    make_numbers()


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:3]))
