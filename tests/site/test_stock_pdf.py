"""Stock sheets and the stock list as PDF: paper, margins, tags, fonts and overflow, with the longest words that there can be."""

import dataclasses
import datetime
import io
from functools import cache

import pypdf
import pytest
from wareboard.cards import engine, stock
from wareboard.cards.audience import StockPart, stock_of
from wareboard.output import stockfiles

from tests.demo import texts_of_demo, worked_out
from tests.printed import pages_of

MADE = datetime.date(2026, 11, 25)
MM = 72.0 / 25.4
PAPER_MM = {"A4": (210.0, 297.0), "A5": (148.0, 210.0), "Letter": (215.9, 279.4)}

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


@cache
def told():
    texts = texts_of_demo()
    project, sheets = worked_out(texts)
    return stock_of(project.studio, sheets.values())


@cache
def longest():
    """What shops are told, with words as long as words can be, five parts, and more text than a page has."""
    form = next(form for form in told().forms if form.title == "Tea caddy")
    name = "the first of five parts with long names"
    parts = tuple(StockPart(f"{name[:37]} {count}", 1298.5, 1310.5, 123_456.0, 130_000.0) for count in range(5))
    form = dataclasses.replace(
        form, title="Wwwwwwwwww " * 5 + "Wwwww", sku="WWWW-1234-" * 8, price="123456789.00", currency="COIN", description="What it is. " * 60, care="Wash it by hand. " * 90,
        contains="soup", parts=parts, packed_mm=(1250.0, 1250.0, 2250.0), packed_g=123_456.0, weight_g=98_765.0,
    )  # fmt: skip
    return dataclasses.replace(
        told(),
        forms=(*told().forms, *(dataclasses.replace(form, name=f"long-{count}") for count in range(30))),
        terms="Carriage is extra. " * 30,
    )


@cache
def sheet_pdf(paper, long=False):
    shop = longest() if long else told()
    form = shop.forms[-1] if long else next(form for form in shop.forms if form.title == "Tea caddy")
    return engine.render_pdf(
        stock.render_stock_card(form, shop, paper=paper, made=MADE, site_url="https://shops.example/")
    )


@cache
def list_pdf(paper, long=False):
    return engine.render_pdf(stock.render_stock_list_card(longest() if long else told(), paper=paper, made=MADE))


# With words as long as they can be; as the demo's are, test_cards_every_kind looks at them.
EVERY = [
    (made, paper)
    for made, papers in ((sheet_pdf, stock.SHEET_PAPERS), (list_pdf, stock.LIST_PAPERS))
    for paper in papers
]


@cache
def longest_pages(made, paper):
    return pages_of(made(paper, True))


@pytest.mark.parametrize(("made", "paper"), EVERY)
def test_boxes_are_the_papers_size(made, paper):
    for page in longest_pages(made, paper):
        assert page.box == pytest.approx((0.0, 0.0, PAPER_MM[paper][0] * MM, PAPER_MM[paper][1] * MM), abs=0.01)


@pytest.mark.parametrize(("made", "paper"), EVERY)
def test_nothing_is_outside_the_margins(made, paper):
    margin = 7.0 * MM
    for page in longest_pages(made, paper):
        for letter in page.chars:
            if letter["size"] > 2.0:
                assert letter["x0"] >= margin and letter["x1"] <= page.width - margin + 0.5, letter["text"]
                assert letter["top"] >= margin and letter["bottom"] <= page.height - margin, letter["text"]


@pytest.mark.parametrize(("made", "paper"), EVERY)
def test_no_word_stands_on_another(made, paper):
    for page in longest_pages(made, paper):
        letters = [
            letter for letter in page.chars if letter["size"] > 2.0 and letter["text"].strip() and letter["upright"]
        ]
        letters.sort(key=lambda letter: letter["x0"])
        for place, one in enumerate(letters):
            for other in letters[place + 1 :]:
                if other["x0"] >= one["x1"] - 0.15 * one["size"]:  # letters may lean under one another
                    break
                # The middle third of a letter, where it has its ink.
                tall = 0.3 * one["height"], 0.3 * other["height"]
                assert (
                    one["bottom"] - tall[0] <= other["top"] + tall[1]
                    or other["bottom"] - tall[1] <= one["top"] + tall[0]
                ), (one["text"], other["text"], one["x0"], one["top"])


def test_a_plain_form_is_one_page():
    for paper in stock.SHEET_PAPERS:
        assert len(pages_of(sheet_pdf(paper))) == 1, paper
    assert len(pages_of(list_pdf("A4"))) == 1


def test_the_lists_head_comes_again_on_every_page():
    pages = [page.text for page in longest_pages(list_pdf, "A4")]
    assert len(pages) > 2
    listed = [page for page in pages if "Wwww" in page or "Tea caddy" in page]
    assert all("High × across" in page for page in listed)
    assert f"{len(pages)} / {len(pages)}" in pages[-1]


def test_every_word_of_a_long_text_is_there():
    text = " ".join(" ".join(page.text for page in longest_pages(sheet_pdf, "A5")).split())
    assert (text.count("Wash"), text.count("What it"), text.count("Carriage")) == (90, 60, 30)


@pytest.mark.parametrize("content", (lambda: sheet_pdf("A4"), lambda: list_pdf("A4")), ids=("sheet", "list"))
def test_tags_title_language_and_fonts(content):
    reader = pypdf.PdfReader(io.BytesIO(content()))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert root["/Lang"] == "en" and root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title in ("Tea caddy, stock sheet", "Millpond Yard, stock list")
    assert b"pdfuaid" in reader.trailer["/Root"]["/Metadata"].get_data()
    fonts = {
        str(font.get_object()["/BaseFont"]) for page in reader.pages for font in page["/Resources"]["/Font"].values()
    }
    assert fonts and all("Atkinson" in font for font in fonts)
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            descriptor = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert "/FontFile2" in descriptor or "/FontFile3" in descriptor


def test_the_same_gives_the_same_bytes():
    again = engine.render_pdf(stock.render_stock_list_card(told(), paper="A4", made=MADE))
    assert again == list_pdf("A4")


def test_what_did_not_change_is_not_set_again(tmp_path, monkeypatch):
    shop = dataclasses.replace(told(), forms=tuple(dataclasses.replace(form, made=MADE) for form in told().forms[:2]))
    set_now = []

    def do(job):
        set_now.append(job.arguments[0].name)
        return job, (b"%PDF-1.7 %%EOF",)

    monkeypatch.setattr(stockfiles, "do_jobs", lambda jobs, *_, **__: [do(job) for job in jobs])
    made = stockfiles.make_stock_cards(shop, tmp_path)
    assert sorted(made) == ["cards/bd-13-ol-stock.pdf", "cards/cs-20-ol-stock.pdf", "cards/stock-list.pdf"]
    assert len(set_now) == 3
    assert stockfiles.make_stock_cards(shop, tmp_path) == made and len(set_now) == 3
    dearer = dataclasses.replace(shop, forms=(dataclasses.replace(shop.forms[0], price="99.00"), shop.forms[1]))
    stockfiles.make_stock_cards(dearer, tmp_path)
    assert sorted(set_now[3:]) == ["bd-13-ol-stock", "stock-list"]
    assert len(list(tmp_path.glob("*.pdf"))) == 3
