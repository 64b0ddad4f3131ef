"""Cards as PDF: fonts, tags, decks and what is fetched looked at, never bytes; the same input gives the same."""

import datetime
import io
from functools import cache

import pdfplumber
import pypdf
import pytest
from wareboard.cards import engine, wheel
from wareboard.cards.engine import CardText
from wareboard.figures import checks
from wareboard.text import projects

from tests.demo import texts_of_demo
from tests.printed import structure_of

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
    with pdfplumber.open(io.BytesIO(pdf("tea-caddy"))) as document:
        assert all("Atkinson" in char["fontname"] for char in document.chars)
        assert len(document.pages[0].curves) + len(document.pages[0].lines) > 10


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
