"""Cards as PDF: boxes, digits, fonts, tags and links looked at, never bytes; the same input gives the same."""

import datetime
import io
from functools import cache

import pdfplumber
import pypdf
import pytest
from fontTools.ttLib import TTFont
from wareboard.cards import cardtext, engine
from wareboard.cards.engine import CardText
from wareboard.figures import checks
from wareboard.figures.shown import reader_of, wheel_rows
from wareboard.text import projects

from tests.demo import texts_of_demo
from tests.printed import structure_of

MADE = datetime.date(2026, 11, 25)
MM = 72.0 / 25.4
PAPER_MM = {"A5": (210.0, 148.0), "A6": (148.0, 105.0)}
# 20 minutes of arc at 1.5 m: 1500 mm × tan(20'). Source: NUREG-0700 rev. 2 (read), letter height for a viewing distance.
LEAST_DIGIT_MM = 8.7
SET_PT = 30.0

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


def worked_out(texts):
    return checks.check_project(projects.read_project(texts))[0]


@cache
def demo():
    return worked_out(texts_of_demo())


LONG_PART = """  {name}:
    outside:
      foot: {{height: 0, diameter: 60}}
      a station whose name goes on and on: {{height: 40, diameter: 70}}
      rim: {{height: 300, diameter: 200}}
    wall: 5
    floor: 6
    calipers: {{the opening at the very top of it all: inside rim}}
    throwing: {{loss: 6 %, gauge_at: [a station whose name goes on and on, rim]}}
"""
LONG_NAMES = (
    "the first of five parts with long names",
    "second part whose name is just as long",
    "third",
    "fourth part",
    "the fifth and last of the parts of it",
)


@cache
def long_sheet(units: str, count: int):
    """A form with names as long as names can be."""
    texts = {path: text for path, text in texts_of_demo().items() if "/forms/" not in path and "/runs/" not in path}
    texts["specs/studio.yaml"] = texts["specs/studio.yaml"].replace("metric first", units)
    head = f"title: {'A form with the longest name that a card takes up, sixty of it':.60}\ncode: ABCDEFGHI-12\nclay: millpond-buff\nglaze: lichen-satin\nparts:\n"
    texts["specs/forms/long.yaml"] = head + "".join(LONG_PART.format(name=name) for name in LONG_NAMES[:count])
    return worked_out(texts)["long"]


@cache
def pdf(sheet_key, paper="A5"):
    sheet = demo()[sheet_key] if isinstance(sheet_key, str) else long_sheet(*sheet_key)
    return engine.render_pdf(cardtext.render_wheel(sheet, paper=paper, made=MADE, site_url="https://pots.example/"))


SOME = [
    ("tea-caddy", "A5"),
    ("oil-bottle", "A5"),
    ("tea-caddy", "A6"),
    (("metric first", 5), "A5"),
    (("imperial first", 2), "A6"),
    (("imperial first", 1), "A5"),
    (("metric only", 2), "A6"),
]


@pytest.mark.parametrize(("key", "paper"), SOME)
def test_boxes_are_the_papers_and_every_letter_is_inside(key, paper):
    with pdfplumber.open(io.BytesIO(pdf(key, paper))) as document:
        for page in document.pages:
            assert (page.width / MM, page.height / MM) == pytest.approx(PAPER_MM[paper], abs=0.05)
            assert page.chars
            for char in page.chars:
                assert 3 * MM < char["x0"] and char["x1"] < page.width - 3 * MM, char
                assert 3 * MM < char["top"] and char["bottom"] < page.height - 3 * MM, char


@pytest.mark.parametrize(("key", "paper"), SOME)
def test_numbers_that_are_set_are_high_enough_and_nothing_runs_into_them(key, paper):
    sheet = demo()[key] if isinstance(key, str) else long_sheet(*key)
    font = TTFont(engine.TEMPLATES / "fonts" / "Bold.ttf")
    names, glyphs = font.getBestCmap(), font["glyf"]
    least = (
        min(glyphs[names[ord(digit)]].yMax - glyphs[names[ord(digit)]].yMin for digit in "0123456789")
        / font["head"].unitsPerEm
    )
    found = ""
    with pdfplumber.open(io.BytesIO(pdf(key, paper))) as document:
        for page in document.pages:
            ink = [
                (char["x0"], char["x1"], char["matrix"][5], char["matrix"][5] + 0.66 * char["size"], char)
                for char in page.chars
                if char["text"].strip() and not char["matrix"][1]
            ]
            large = [box for box in ink if box[4]["size"] > SET_PT]
            foot = max(line["top"] for line in page.lines + page.rects if line["width"] > page.width / 2)
            for box in large:
                assert box[4]["size"] * least / MM >= LEAST_DIGIT_MM
                assert page.height - box[2] < foot
                for other in ink:
                    apart = (
                        other is box
                        or other[0] >= box[1] - 1
                        or other[1] <= box[0] + 1
                        or other[2] >= box[3] - 1
                        or other[3] <= box[2] + 1
                    )
                    assert apart, (box[4]["text"], other[4]["text"])
            found += "".join(char["text"] for char in page.chars if char["size"] > SET_PT and char["text"].strip())
    wanted = [
        str(cardtext.big_number(row.first.number))
        for part in wheel_rows(sheet, reader_of(sheet.studio))
        for row in part.rows
    ]
    digits = lambda text: "".join(sorted(character for character in text if character.isdigit()))  # noqa: E731
    assert digits(found) == digits("".join(wanted))


def test_only_the_projects_own_fonts_are_in_it_and_the_drawing_is_drawn():
    with pdfplumber.open(io.BytesIO(pdf("tea-caddy"))) as document:
        assert all("Atkinson" in char["fontname"] for char in document.chars)
        assert len(document.pages[0].curves) + len(document.pages[0].lines) > 10


def test_it_is_tagged_and_has_title_language_headings_and_words_for_the_drawing():
    document = pypdf.PdfReader(io.BytesIO(pdf("tea-caddy")))
    root = document.trailer["/Root"]
    assert document.metadata.title == "Tea caddy, wheel card" and root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    kinds, said = structure_of(document)
    assert {"/H1", "/Table", "/TR", "/TH", "/TD", "/Figure"} <= set(kinds)
    assert any("wheel" in words for words in said)


def test_same_input_same_bytes_alone_in_a_deck_and_in_two_processes():
    texts = [cardtext.render_wheel(demo()[slug], made=MADE) for slug in ("tall-beaker", "supper-plate")]
    alone = [engine.render_pdf(text) for text in texts]
    both, deck = engine.render_both(texts, "Wall")
    assert list(both) == alone
    assert deck == engine.render_deck(texts, "Wall")
    assert [(text.name, made) for text, made in engine.render_each(texts, processes=2)] == [
        (text.name, made) for text, made in zip(texts, alone)
    ]


def test_a_deck_has_every_card_in_order_a_title_and_bookmarks():
    texts = [cardtext.render_wheel(demo()[slug], made=MADE) for slug in ("tall-beaker", "tea-caddy", "supper-plate")]
    document = pypdf.PdfReader(io.BytesIO(engine.render_deck(texts, "Wall")))
    assert document.metadata.title == "Wall"
    assert [mark.title for mark in document.outline] == ["Tall beaker", "Tea caddy", "Supper plate, 10 ½ in"]
    assert [document.get_destination_page_number(mark) for mark in document.outline] == [0, 1, 2]
    assert "/StructTreeRoot" in document.trailer["/Root"]


def test_a_card_fetches_nothing_from_elsewhere(tmp_path):
    """A picture of a file outside, and of another host, are left out; the card is set all the same."""
    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><text>MARKER</text></svg>')
    html = f'<html lang="en"><title>x</title><body><p>90</p><img alt="" src="{secret.as_uri()}"><img alt="" src="http://127.0.0.1:9/x.png"></body></html>'
    made = engine.render_pdf(
        CardText("x", "x", html, f"@import url({secret.as_uri()}); p {{ background: url(http://127.0.0.1:9/y.png) }}")
    )
    document = pypdf.PdfReader(io.BytesIO(made))
    assert "90" in document.pages[0].extract_text() and "MARKER" not in document.pages[0].extract_text()
    assert not document.pages[0].images


def test_letters_of_other_scripts_do_not_break_a_card():
    texts = texts_of_demo()
    texts["specs/forms/tall-beaker.yaml"] = texts["specs/forms/tall-beaker.yaml"].replace(
        "title: Tall beaker", "title: Высокий стакан Łódź"
    )
    made = engine.render_pdf(cardtext.render_wheel(worked_out(texts)["tall-beaker"], made=MADE))
    assert "Łódź" in pypdf.PdfReader(io.BytesIO(made)).pages[0].extract_text()
