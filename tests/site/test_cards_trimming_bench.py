"""Trimming cards and bench sheets as PDF: boxes, letters inside, rows apart, tags, fonts and headers; the same input gives the same."""

import datetime
import io
from functools import cache

import pdfplumber
import pypdf
import pytest
from wareboard.cards import engine
from wareboard.cards.bench import render_bench
from wareboard.cards.trimming import render_trimming
from wareboard.figures import checks
from wareboard.text import projects

from tests.demo import texts_of_demo
from tests.printed import structure_of

MADE = datetime.date(2026, 11, 25)
MM = 72.0 / 25.4
PAPER_MM = {"A5": (210.0, 148.0), "A6": (148.0, 105.0), "A4": (210.0, 297.0), "Letter": (215.9, 279.4)}

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


@cache
def demo():
    return checks.check_project(projects.read_project(texts_of_demo()))[0]


LONG_PART = """  {name}:
    outside:
      foot: {{height: 0, diameter: 60}}
      a station whose name goes on and on: {{height: 40, diameter: 70}}
      rim: {{height: 300, diameter: 200}}
    wall: {{foot: 6, a station whose name goes on and on: 5.5, rim: 5}}
    floor: 6
    bare: foot to a station whose name goes on and on
    calipers: {{the opening at the very top of it all: inside rim, another one with a name as long as that: outside rim}}
    throwing: {{loss: 6 %, gauge_at: [a station whose name goes on and on, rim]}}
    extras: {{a handle with quite a long name to it: {{clay: 40 g}}}}
"""
LONG_NAMES = (
    "the first of five parts with long names",
    "second part whose name is just as long",
    "third",
    "fourth part",
    "the fifth and last of the parts of it",
)


@cache
def long_sheet(units, count):
    """A form with names as long as names can be, and no lid."""
    texts = {path: text for path, text in texts_of_demo().items() if "/forms/" not in path and "/runs/" not in path}
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    head = f"title: {'A form with the longest name that a card takes up, sixty of it':.60}\ncode: ABCDEFGHI-12\nclay: millpond-buff\nglaze: lichen-satin\nparts:\n"
    texts["specs/forms/long.yaml"] = head + "".join(LONG_PART.format(name=name) for name in LONG_NAMES[:count])
    return checks.check_project(projects.read_project(texts))[0]["long"]


@cache
def pdf(kind, key, paper):
    sheet = demo()[key] if isinstance(key, str) else long_sheet(*key)
    return engine.render_pdf(
        {"trimming": render_trimming, "bench": render_bench}[kind](
            sheet, paper=paper, made=MADE, site_url="https://pots.example/"
        )
    )


TRIMMING = [
    ("tea-caddy", "A5"),
    ("oil-bottle", "A6"),
    ("tall-beaker", "A6"),
    (("metric first", 5), "A5"),
    (("imperial first", 2), "A6"),
    (("imperial only", 1), "A5"),
]
BENCH = [("tea-caddy", "A4"), ("supper-plate", "Letter"), (("imperial first", 5), "A4")]
SOME = [("trimming", *one) for one in TRIMMING] + [("bench", *one) for one in BENCH]


def pages_of(*one):
    return pdfplumber.open(io.BytesIO(pdf(*one))).pages


@pytest.mark.parametrize(("kind", "key", "paper"), SOME)
def test_boxes_are_the_papers_and_every_letter_is_inside(kind, key, paper):
    for page in pages_of(kind, key, paper):
        assert (page.width / MM, page.height / MM) == pytest.approx(PAPER_MM[paper], abs=0.05)
        assert page.chars
        for char in page.chars:
            assert 3 * MM < char["x0"] and char["x1"] < page.width - 3 * MM, char
            assert 3 * MM < char["top"] and char["bottom"] < page.height - 3 * MM, char


@pytest.mark.parametrize(("kind", "key", "paper"), SOME)
def test_no_letter_stands_on_another(kind, key, paper):
    """Ink against ink, by the height of a digit, drawings' upright words left out."""
    for page in pages_of(kind, key, paper):
        ink = sorted(
            (
                (c["x0"], c["x1"], c["matrix"][5], c["matrix"][5] + 0.5 * c["size"], c["text"])
                for c in page.chars
                if c["text"].strip() and not c["matrix"][1]
            ),
            key=lambda box: box[2],
        )
        for at, one in enumerate(ink):
            for other in ink[at + 1 :]:
                if other[2] >= one[3] - 0.6:
                    break
                # Letters of one line may reach under one another.
                kern = 0.8 if other[2] > one[2] + 0.1 else 0.32 * (one[3] - one[2])
                assert other[0] >= one[1] - kern or other[1] <= one[0] + kern, (page.page_number, one, other)


@pytest.mark.parametrize(("key", "paper"), TRIMMING)
def test_rows_of_a_trimming_card_end_above_its_foot(key, paper):
    for page in pages_of("trimming", key, paper):
        foot = max(line["top"] for line in page.lines + page.rects if line["width"] > page.width / 2)
        words = page.extract_words()
        first = min(word["top"] for word in words if word["text"] == "Weigh" and word["top"] > foot - 3)
        assert first > foot
        numbers = [
            char for char in page.chars if char["size"] > 17.0 and char["text"].isdigit() and char["top"] > 20 * MM
        ]
        assert all(char["bottom"] < foot + 1.0 for char in numbers)


def test_every_row_that_was_laid_out_is_in_the_pdf():
    from wareboard.cards.trimming import trim_blocks
    from wareboard.figures.shown import reader_of

    for key, paper in TRIMMING:
        sheet = demo()[key] if isinstance(key, str) else long_sheet(*key)
        found = "".join(
            char["text"]
            for page in pages_of("trimming", key, paper)
            for char in page.chars
            if char["text"].isdigit() and ("Bold" in char["fontname"])
        )
        strong = [row for block in trim_blocks(sheet, reader_of(sheet.studio)) for row in block.rows if row.strong]
        assert len(strong) >= 4
        for row in strong:
            assert "".join(c for c in row.number if c.isascii() and c.isdigit()) in found, row


def test_numbers_that_are_set_are_read_at_arms_length():
    """20 minutes of arc at 0.75 m: 750 mm × tan(20') = 4.4 mm. Source: NUREG-0700 rev. 2 (read); a digit of this face is 0.668 of its size."""
    for paper in ("A5", "A6"):
        sizes = {
            char["size"]
            for page in pages_of("trimming", "tea-caddy", paper)
            for char in page.chars
            if char["text"].isdigit() and char["size"] > 16.0 and char["top"] > 20 * MM
        }
        assert sizes and min(sizes) * 0.668 / MM >= 4.4


@pytest.mark.parametrize(("kind", "key", "paper"), [("trimming", "tea-caddy", "A5"), ("bench", "tea-caddy", "A4")])
def test_tags_title_language_and_only_the_projects_fonts(kind, key, paper):
    document = pypdf.PdfReader(io.BytesIO(pdf(kind, key, paper)))
    root = document.trailer["/Root"]
    assert (
        root["/MarkInfo"]["/Marked"]
        and root["/Lang"] == "en"
        and document.metadata.title == f"Tea caddy, {'trimming card' if kind == 'trimming' else 'bench sheet'}"
    )
    kinds, said = structure_of(document)
    assert {"/H1", "/Table", "/TR", "/TH", "/TD", "/Figure"} <= set(kinds) and kinds.count("/H1") == 1
    assert any(words.startswith("Tea caddy, ") for words in said) and any("QR code" in words for words in said)
    for page in pages_of(kind, key, paper):
        assert all("Atkinson" in char["fontname"] for char in page.chars)


def test_every_page_of_a_bench_sheet_says_what_it_is_and_which_page():
    pages = pages_of("bench", "tea-caddy", "A4")
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert f"page {number} of {len(pages)}" in text and "TC-2" in text and demo()["tea-caddy"].revision in text


def test_same_input_same_bytes():
    for kind, key, paper in (("trimming", "tall-beaker", "A5"), ("bench", "tall-beaker", "A4")):
        assert pdf(kind, key, paper) == pdf.__wrapped__(kind, key, paper)


def test_bookmarks_of_a_deck_of_both_are_the_form_and_its_stages():
    texts = [render_trimming(demo()["tea-caddy"], made=MADE), render_bench(demo()["tea-caddy"], made=MADE)]
    document = pypdf.PdfReader(io.BytesIO(engine.render_deck(texts, "Wall")))
    tops = [mark.title for mark in document.outline if not isinstance(mark, list)]
    assert tops == ["Tea caddy", "Tea caddy"]
