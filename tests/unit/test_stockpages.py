"""Product data as a machine reads it off the page: the same as shops are told, and nothing where nothing is."""

import dataclasses
import io
import json
import re

import pytest
from PIL import Image
from wareboard.cards import stock
from wareboard.cards.audience import stock_of
from wareboard.output.stockfiles import SIDE_PIXELS, picture_of
from wareboard.pages import stockpages
from wareboard.pages.stockpages import product_data

from tests.demo import worked_out


@pytest.fixture(scope="module")
def told():
    project, sheets = worked_out()
    return stock_of(project.studio, sheets.values())


def of(told, title):
    return next(form for form in told.forms if form.title == title)


def read_head(told, form, site_url=""):
    """What the page of a form says to machines, parsed."""
    page = next(page for page in stockpages.render_stockist_site(told) if page.path == stock.page_path(form))
    return json.loads(page.head.product_json(site_url, f"{site_url}{page.path}" if site_url else ""))


def test_every_form_tells_machines_what_it_tells_shops(told):
    for form in told.forms:
        data = read_head(told, form)
        assert (data["@context"], data["@type"]) == ("https://schema.org", "Product")
        assert (data["name"], data["sku"], data["brand"]["name"]) == (form.title, form.sku, told.studio)
        assert data.get("description", "") == form.description and data.get("material", "") == form.material
        assert (data["weight"]["value"], data["weight"]["unitCode"]) == (form.weight_g, "GRM")
        assert (data["offers"]["price"], data["offers"]["priceCurrency"]) == (form.price, form.currency)
        if len(form.pieces) == 1:
            assert data["height"] == {
                "@type": "QuantitativeValue", "value": form.pieces[0].height_mm, "unitCode": "MMT",
            }  # fmt: skip
            assert data["width"]["value"] == data["depth"]["value"] == form.pieces[0].diameter_mm
        holds = [given for given in data.get("additionalProperty", ()) if given["name"].startswith("Holds")]
        assert [(given["value"], given["unitCode"]) for given in holds] == [
            (part.fill_ml, "MLT") for part in form.parts if part.fill_ml
        ]
        assert "url" not in data and "image" not in data


def test_how_it_is_ordered(told):
    offer = product_data(of(told, "Tall beaker"), told.studio)["offers"]
    assert offer["eligibleQuantity"]["minValue"] == 12
    assert offer["deliveryLeadTime"] == {"@type": "QuantitativeValue", "value": 6, "unitCode": "WEE"}
    case = next(
        given
        for given in product_data(of(told, "Tall beaker"), told.studio)["additionalProperty"]
        if given["name"] == "Case"
    )
    assert (case["value"], case["unitCode"]) == (6, "C62")
    lead = lambda words: product_data(dataclasses.replace(told.forms[0], lead_time=words), "x")["offers"].get(
        "deliveryLeadTime"
    )
    assert (lead("4 to 6 weeks")["minValue"], lead("4 to 6 weeks")["maxValue"]) == (4, 6)
    assert lead("as long as it takes") is None and lead("1 day")["unitCode"] == "DAY"


def test_what_is_not_said_is_not_invented(told):
    bare = dataclasses.replace(of(told, "Supper plate, 10 ½ in"), price="", sku="", description="", lead_time="")
    assert not {"offers", "sku", "description", "material"} & product_data(bare, "x").keys()
    unpriced = dataclasses.replace(bare, price="34.00", currency="pounds")
    assert "offers" not in product_data(unpriced, "x"), "a price without its ISO code means nothing"


def test_addresses_are_absolute_or_not_there(told):
    data = read_head(told, of(told, "Tall beaker"), "https://shops.example/")
    assert data["url"] == "https://shops.example/forms/b-12-ls.html"
    assert data["image"] == "https://shops.example/forms/b-12-ls.png"


def test_no_text_ends_the_script(told):
    hostile = "</script><script>alert(1)</script>&<!--"
    shop = dataclasses.replace(told, forms=(dataclasses.replace(told.forms[0], title=hostile),))
    page = stockpages.render_stockist_site(shop)[1]
    text = page.head.product_json("", "")
    assert not re.search(r"[<>&]", text) and json.loads(text)["name"] == hostile


def test_nothing_says_that_ware_is_safe_for_food(told):
    assert not any(re.search(r"food[- ]safe", json.dumps(product_data(form, told.studio)), re.I) for form in told.forms)


def test_a_form_that_says_nothing_new_keeps_its_revision(told):
    form = dataclasses.replace(of(told, "Tea caddy"), lead_time="", case=0, minimum=0, material="")
    plain = form.revision
    for change in ({"lead_time": "6 weeks"}, {"case": 6}, {"minimum": 12}, {"material": "stoneware"}):
        assert dataclasses.replace(form, **change).revision != plain, change
    assert "lead_time" not in repr(form)


def test_the_picture_is_of_the_form(told):
    form = of(told, "Tea caddy")
    image = Image.open(io.BytesIO(picture_of(form)))
    assert image.size == (SIDE_PIXELS, SIDE_PIXELS) and picture_of(form) == picture_of(form)
    left, top, right, bottom = image.point(lambda grey: 255 if grey < 128 else 0).getbbox()
    (piece,) = form.pieces
    assert (right - left) / (bottom - top) == pytest.approx(piece.diameter_mm / piece.height_mm, rel=0.02)


def test_the_drawing_stands_by_itself(told):
    drawings = {data.path: data.text for data in stockpages.render_drawings(told)}
    svg = drawings["forms/b-12-ls.svg"]
    assert svg.startswith("<svg ") and "xmlns=" in svg and ">120</text>" in svg and len(drawings) == len(told.forms)
