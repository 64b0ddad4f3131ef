"""What shops are handed, as text: numbers as they are told, words made harmless, a price never invented."""

import csv
import dataclasses
import datetime
import io
import re

import pytest
from wareboard.cards import stock
from wareboard.cards.audience import stock_of
from wareboard.figures import checks
from wareboard.pages import stockpages
from wareboard.text.kinds import Word
from wareboard.text.specs import Stockist

from tests.demo import texts_of_demo, worked_out
from tests.every import every

TEXTS = texts_of_demo()
MADE = datetime.date(2026, 11, 25)
HOSTILE = "<script>alert(1)</script>\"'{{7*7}}&lt;b&gt;=HYPERLINK()"


@pytest.fixture(scope="module")
def demo():
    return worked_out(TEXTS)


@pytest.fixture(scope="module")
def told(demo):
    return stock_of(demo[0].studio, demo[1].values())


def of(told, title):
    return next(form for form in told.forms if form.title == title)


def hostile(told):
    """The first form with every word of it hostile."""
    form = dataclasses.replace(
        told.forms[0], **dict.fromkeys(("title", "sku", "care", "contains", "description", "currency"), HOSTILE)
    )
    return dataclasses.replace(told, forms=(form,), terms=HOSTILE, studio=HOSTILE)


def test_facts_of_a_lidded_jar(told):
    form = of(told, "Tea caddy")
    rows = {
        (row.label, row.of): tuple(map(str, row.amounts))
        for row in (*stock.fact_rows(form, told.reader), *stock.packed_rows(form, told.reader))
    }
    assert rows["Height", "jar and lid, together"] == ("121 mm", "4¾ in")
    assert rows["Holds", "jar"][0] == "350 ml"
    assert rows["Packed", ""][0] == "120 × 120 × 155 mm"
    assert ("To the brim", "jar") in rows and ("Holds", "lid") not in rows


def test_what_a_shop_needs_to_order_is_told_everywhere(told):
    form = of(told, "Tall beaker")
    assert dict(stock.order_rows(form)) == {
        "Lead time": "6 weeks", "Case": "6 pieces", "Smallest order": "12 pieces", "Made of": "stoneware",
    }  # fmt: skip
    assert stock.order_rows(of(told, "Tea caddy")) == () and stock.order_text(of(told, "Tea caddy")) == ""
    line = "6 weeks · case of 6 · at least 12"
    pages = {page.path: page.body for page in stockpages.render_stockist_site(told)}
    assert line in pages["index.html"] and line in stock.render_stock_list_card(told, made=MADE).html
    for text in (pages["forms/b-12-ls.html"], stock.render_stock_card(form, told, made=MADE).html):
        assert "<dt>Lead time</dt>" in text and "12 pieces" in text
    row = next(r for r in csv.DictReader(io.StringIO(stock.render_stock_csv(told).text)) if r["sku"] == "B-12-LS")
    assert [row[name] for name in ("lead_time", "case", "minimum", "material")] == ["6 weeks", "6", "12", "stoneware"]


def test_what_holds_for_all_forms_is_said_once(demo):
    trade = dataclasses.replace(demo[0].studio.stockists, lead_time=Word("2 weeks", demo[0].studio.at))
    studio = dataclasses.replace(demo[0].studio, stockists=trade)
    told = stock_of(studio, [dataclasses.replace(sheet, studio=studio) for sheet in demo[1].values()])
    assert (of(told, "Tall beaker").lead_time, of(told, "Tea caddy").lead_time) == ("6 weeks", "2 weeks")


def test_a_plain_beaker_needs_no_names_of_parts(told):
    rows = stock.fact_rows(of(told, "Tall beaker"), told.reader)
    assert {row.of for row in rows} == {""}
    assert stock.parts_text(of(told, "Tall beaker"), told.reader) == ""
    assert stock.parts_text(of(told, "Tea caddy"), told.reader) == "jar 98 × ⌀ 86 mm; lid 32 × ⌀ 76 mm"


def test_a_price_is_written_as_it_was_typed_and_never_invented(told):
    form = told.forms[0]
    assert stock.price_text(dataclasses.replace(form, price="34.00", currency="GBP")) == "34.00 GBP"
    assert stock.price_text(dataclasses.replace(form, price="3400", currency="")) == "3400"
    assert stock.price_text(dataclasses.replace(form, price="", currency="GBP")) == "price on request"


def test_imperial_first_is_imperial_first(demo):
    studio = dataclasses.replace(demo[0].studio, units=Word("imperial first", demo[0].studio.at))
    told = stock_of(studio, demo[1].values())
    assert stock.size_text(of(told, "Tea caddy"), told.reader).endswith(" in")
    assert stock.fact_rows(of(told, "Tea caddy"), told.reader)[0].second.unit == "mm"


def test_a_box_with_a_side_missing_says_what_there_is(told):
    form = dataclasses.replace(of(told, "Tea caddy"), packed_mm=(140.0, 0.0, 180.0), packed_g=0.0)
    assert stock.packed_text(form, told.reader) == "140 × 180 mm"
    assert [row.label for row in stock.packed_rows(form, told.reader)] == ["Packed"]
    nothing = dataclasses.replace(form, packed_mm=(0.0, 0.0, 0.0))
    assert stock.packed_text(nothing, told.reader) == "" and stock.packed_rows(nothing, told.reader) == ()


@every("paper", stock.SHEET_PAPERS)
def test_no_text_becomes_markup(told, paper):
    shop = hostile(told)
    html = stock.render_stock_card(shop.forms[0], shop, paper=paper, made=MADE).html
    pages = [page.body for page in stockpages.render_stockist_site(shop)]
    for text in (html, stock.render_stock_list_card(shop, made=MADE).html, *pages):
        assert (
            "<script" not in text
            and "{{" not in text.replace("{{7*7}}", "")
            and "49" not in re.findall(r">(\d+)<", text)
        )
        assert "&lt;script&gt;" in text


def test_the_table_reads_as_a_table(told):
    data = stock.render_stock_csv(hostile(told))
    rows = list(csv.DictReader(io.StringIO(data.text)))
    assert data.path == "stock.csv" and len(rows) == 1 and tuple(rows[0]) == stock.COLUMNS
    assert rows[0]["title"] == HOSTILE.replace(";=", ";'=")
    risky = dataclasses.replace(told, forms=(dataclasses.replace(told.forms[0], sku="=1+1", care="-x"),))
    row = next(csv.DictReader(io.StringIO(stock.render_stock_csv(risky).text)))
    assert (row["sku"], row["care"]) == ("'=1+1", "'-x")


def test_the_table_has_what_the_sheet_has(demo, told):
    rows = {row["title"]: row for row in csv.DictReader(io.StringIO(stock.render_stock_csv(told).text))}
    sheet = demo[1]["tall-beaker"]
    row = rows["Tall beaker"]
    assert len(rows) == 9
    assert float(row["height_mm"]) == pytest.approx(sheet.value("cup.height", "fired"), abs=0.05)
    assert float(row["diameter_mm"]) == pytest.approx(sheet.value("cup.diameter", "fired"), abs=0.05)
    assert float(row["holds_ml"]) == pytest.approx(
        sheet.value("cup.capacity.fill", "fired"), abs=2.5
    )  # shops read to 5 ml
    assert float(row["weight_g"]) == pytest.approx(sheet.value("cup.mass.glazed", "fired"), abs=2.5)  # and to 5 g
    assert (row["packed_length_mm"], row["packed_weight_g"], row["price"], row["currency"]) == (
        "110",
        "480",
        "34.00",
        "GBP",
    )
    assert rows["Supper plate, 10 ½ in"]["holds_ml"] == ""


def test_the_drawing_is_seen_from_outside(told):
    form = of(told, "Tea caddy")
    svg = stock.draw_stock(form, width_mm=86.0, height_mm=96.0, size_text=told.reader.size_text)
    assert ">121</text>" in svg and ">⌀ 86</text>" in svg
    assert 'class="hatch"' not in svg and 'class="axis"' not in svg
    points = [
        tuple(map(float, point.split(" ")))
        for point in re.findall(r"[ML](-?[\d.]+ -?[\d.]+)", re.search(r'<path class="outline" d="([^"]*)"', svg)[1])
    ]
    middle = (min(x for x, _ in points) + max(x for x, _ in points)) / 2.0
    assert all(
        any(y == other_y and abs(x + other_x - 2.0 * middle) < 0.03 for other_x, other_y in points) for x, y in points
    )


def test_a_handle_that_is_not_drawn_is_owned_up_to(told):
    said = stock.ADDED_WORDS
    for title, added in (("Two-pint pitcher", True), ("Tall beaker", False)):
        form = of(told, title)
        assert (said in stock.render_stock_card(form, told, made=MADE).html) is added
        assert (said in stock.draw_stock(form, width_mm=80.0, height_mm=80.0, size_text=told.reader.size_text)) is added


def test_nothing_says_that_ware_is_safe(told):
    texts = [stock.render_stock_card(form, told, made=MADE).html for form in told.forms] + [
        page.body for page in stockpages.render_stockist_site(told)
    ]
    # What is said of use and care is what the studio typed, and no more.
    assert not any(
        "food safe" in text.lower() or "food-safe" in text.lower() or "untested" in text.lower() for text in texts
    )


def test_the_studio_page_knows_of_tests_and_the_shops_does_not(demo, told):
    (page,) = stockpages.render_stock_page(*demo)
    assert (
        page.path == "stock.html"
        and "Untested" in page.body
        and "forms/tea-caddy.html" in page.body
        and "cards/tea-caddy-stock.pdf" in page.body
    )
    assert not any(
        "Untested" in shown.body or "tea-caddy" in shown.body for shown in stockpages.render_stockist_site(told)
    )


def test_without_forms_for_shops_there_is_no_page(demo):
    forms = {slug: dataclasses.replace(form, stockist=None) for slug, form in demo[0].forms.items()}
    project = dataclasses.replace(demo[0], forms=forms)
    sheets = checks.check_project(project)[0]
    assert stockpages.render_stock_page(project, sheets) == ()
    (page,) = stockpages.render_stockist_site(stock_of(project.studio, sheets.values()))
    assert "Nothing is offered at present" in page.body


def test_what_is_printed_in_the_studio_never_leads_to_the_studio(demo):
    sheet = demo[1]["tall-beaker"]
    text = stock.render_stock_sheet(sheet, made=MADE, site_url="https://private.example/")
    assert text.name == "tall-beaker-stock" and "private.example" not in text.html and "QR" not in text.html
    shop = stock_of(demo[0].studio, demo[1].values())
    assert (
        "https://shops.example/forms/b-12-ls.html"
        in stock.render_stock_card(of(shop, "Tall beaker"), shop, made=MADE, site_url="https://shops.example/").html
    )


def test_a_form_that_is_not_for_shops_has_no_stock_sheet(demo):
    sheet = dataclasses.replace(
        demo[1]["tall-beaker"], form=dataclasses.replace(demo[1]["tall-beaker"].form, stockist=None)
    )
    with pytest.raises(ValueError, match="no `stockist` block"):
        stock.render_stock_sheet(sheet, made=MADE)


def test_a_paper_that_there_is_not_is_refused(told):
    with pytest.raises(ValueError, match="A4, A5, Letter"):
        stock.render_stock_card(told.forms[0], told, paper="A6", made=MADE)
    with pytest.raises(ValueError, match="A4, Letter"):
        stock.render_stock_list_card(told, paper="A5", made=MADE)


def test_a_studio_on_small_paper_gets_a_paper_that_serves(demo):
    studio = dataclasses.replace(demo[0].studio, paper=Word("A6", demo[0].studio.at))
    told = stock_of(studio, demo[1].values())
    assert (stock.paper_of(told, stock.SHEET_PAPERS), stock.paper_of(told, stock.LIST_PAPERS)) == ("A4", "A4")


def test_an_empty_block_is_enough(demo):
    sheet = demo[1]["tall-beaker"]
    bare = dataclasses.replace(sheet, form=dataclasses.replace(sheet.form, stockist=Stockist(at=sheet.form.at)))
    told = stock_of(dataclasses.replace(demo[0].studio, stockists=None), [bare])
    html = stock.render_stock_card(told.forms[0], told, made=MADE).html
    assert "price on request" in html and "Care" not in html and "Made to hold" not in html and "Packed" not in html
    assert [problem.rule for problem in checks.no_price(bare, demo[0])] == ["no-price"]
    assert list(checks.no_price(sheet, demo[0])) == []
