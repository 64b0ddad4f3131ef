"""Cards as PDF: fonts, tags, decks and what is fetched looked at, never bytes; the same input gives the same."""

import datetime
import hashlib
import io
import time
from functools import cache

import pypdf
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from wareboard import TEMPLATES
from wareboard.cards import engine, wheel
from wareboard.cards.engine import CardText
from wareboard.figures import checks
from wareboard.text import projects

from tests.demo import texts_of_demo
from tests.printed import pages_of, structure_of

MADE = datetime.date(2026, 11, 25)

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


def worked_out(texts):
    return checks.check_project(projects.read_project(texts))[0]


@cache
def demo():
    return worked_out(texts_of_demo())


@cache
def pdf(slug, paper="A5"):
    sheet = demo()[slug]
    return engine.render_pdf(wheel.render_wheel(sheet, paper=paper, made=MADE, site_url="https://pots.example/"))


def test_only_the_projects_own_fonts_are_in_it_and_the_drawing_is_drawn():
    pages = pages_of(pdf("tea-caddy"))
    assert all("Atkinson" in char["fontname"] for page in pages for char in page.chars)
    assert len(pages[0].curves) + len(pages[0].lines) > 10


def test_it_is_tagged_and_has_title_language_headings_and_words_for_the_drawing():
    document = pypdf.PdfReader(io.BytesIO(pdf("tea-caddy")))
    root = document.trailer["/Root"]
    assert document.metadata.title == "Tea caddy, wheel card" and root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    kinds, said = structure_of(document)
    assert {"/H1", "/P", "/Figure"} <= set(kinds) and "/Table" not in kinds
    assert any("wheel" in words for words in said)


def test_same_input_same_bytes_alone_and_in_a_deck():
    texts = [wheel.render_wheel(demo()[slug], made=MADE) for slug in ("tall-beaker", "supper-plate")]
    alone = [engine.render_pdf(text) for text in texts]
    both, deck = engine.render_both(texts, "Wall")
    assert list(both) == alone
    assert deck == engine.render_deck(texts, "Wall")


# Every face, a word of each script, signs that are made of two, kerning, a fraction, lettering in a drawing.
ALL_SORTS = """<html lang="en"><head><title>All sorts</title></head><body>
<h1>Tea caddy, Größe 1³⁄₁₆ in</h1><p>Öffnung <b>fünf Töpfe, чаша</b>, <i>AVA Too, at the wheel</i> κύπελλο</p>
<p>Collar, press the gutter with a round stick, and open the lip on the <b>30.5 mm</b> gauge.</p>
<svg width="90" height="20"><text x="2" y="12" font-family="Atkinson Hyperlegible Next" font-size="9">⌀ 90.5</text></svg></body></html>"""
# Frozen output, read alike on Debian 12 (Pango 1.50, HarfBuzz 6.0, Python 3.11) and 13 (1.56, 10.2, 3.13), each with and
# without the system's own library for cutting fonts down. Another engine, fonttools or bundled face gives another.
SAME_ANYWHERE = "8fbd4085b838690293e4c3a1f71811b18a1d1edf6ca945b2fc2b430835c0be23"


def test_a_pdf_has_the_same_bytes_with_any_edition_of_the_systems_libraries():
    style = "@page {size: 87.8mm 120mm; margin: 0} html {font: 8.2pt FACES} p {margin: 0}"
    made = engine.render_pdf(CardText("all-sorts", "All sorts", ALL_SORTS, style))
    text = pypdf.PdfReader(io.BytesIO(made)).pages[0].extract_text()
    assert "Collar, press the gutter with a round stick, and open the lip on the\n30.5 mm gauge." in text
    assert hashlib.sha256(made).hexdigest() == SAME_ANYWHERE


def outlines_of(face):
    font = TTFont(io.BytesIO(face))
    signs = font.getGlyphSet()
    drawn = {}
    for number, name in enumerate(font.getGlyphOrder()):
        pen = DecomposingRecordingPen(signs)
        signs[name].draw(pen)
        drawn[number] = (pen.value, signs[name].width)
    return drawn


def test_a_face_that_is_cut_keeps_the_numbers_outlines_and_widths_of_what_is_drawn():
    face = (TEMPLATES / "fonts" / "Regular.ttf").read_bytes()
    font = TTFont(io.BytesIO(face))
    wanted = {font.getGlyphID(font.getBestCmap()[ord(sign)]) for sign in "aÖé½"}
    whole, cut = outlines_of(face), outlines_of(engine.cut_font(face, 0, wanted))
    assert {number: cut[number] for number in wanted} == {number: whole[number] for number in wanted}
    assert len(engine.cut_font(face, 0, wanted)) < len(face) / 8
    drawn = {number for number, (lines, _) in cut.items() if lines}
    assert wanted <= drawn and len(drawn) <= len(wanted) + 4, "what accents are made of, and nothing else"
    assert 0 in {number for number, (lines, _) in outlines_of(engine.cut_font(face, 0, wanted, True)).items() if lines}


def test_a_face_that_is_cut_says_nothing_of_the_hour(monkeypatch):
    face = (TEMPLATES / "fonts" / "Bold.ttf").read_bytes()
    early = engine.cut_font(face, 0, [5, 6])
    monkeypatch.setattr(time, "time", lambda: 4e9)
    assert engine.cut_font(face, 0, [5, 6]) == early


def test_a_deck_has_every_card_in_order_a_title_and_bookmarks():
    texts = [wheel.render_wheel(demo()[slug], made=MADE) for slug in ("tall-beaker", "tea-caddy", "supper-plate")]
    document = pypdf.PdfReader(io.BytesIO(engine.render_deck(texts, "Wall")))
    assert document.metadata.title == "Wall"
    assert [mark.title for mark in document.outline] == ["Tall beaker", "Tea caddy", "Supper plate, 10 ½ in"]
    assert [document.get_destination_page_number(mark) for mark in document.outline] == [0, 1, 3]
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
    made = engine.render_pdf(wheel.render_wheel(worked_out(texts)["tall-beaker"], made=MADE))
    assert "Łódź" in pypdf.PdfReader(io.BytesIO(made)).pages[0].extract_text()


@pytest.mark.parametrize(
    "address",
    ["secret.pdf", "../../home/secret", "file:///etc/passwd", "/etc/hostname", "//other.example/x", "?x", "FILE:/x"],
)
def test_a_link_never_names_a_place_on_the_makers_disk(address):
    page = f'<p><a title="x" href="{address}">there</a> <a href="https://pots.example/a">out</a> <a href="#here">down</a></p><p id="here">here</p>'
    card = engine.CardText("c", "C", f'<html lang="en"><head><title>C</title></head><body>{page}</body></html>', "")
    for pdf in (engine.render_pdf(card), engine.render_deck([card, card], "d")):
        reader = pypdf.PdfReader(io.BytesIO(pdf))
        said = b"".join(
            repr(reader.get_object(number)).encode()
            for number in range(1, len(reader.xref[0]) + len(reader.xref_objStm) + 1)
        )
        assert b"file:" not in said.lower() and b"secret" not in said and b"other.example" not in said
        assert b"https://pots.example/a" in said
