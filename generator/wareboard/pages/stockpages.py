"""Pages about stock: the shops' own site, made from stock records alone and read by machines too, and the studio's page of what shops are told."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import partial

from markupsafe import Markup

from wareboard.cards.audience import Stock, StockForm, stock_of
from wareboard.cards.stock import (
    ADDED_WORDS,
    LIST,
    TABLE,
    draw_stock,
    fact_rows,
    list_row,
    list_scale,
    order_rows,
    order_text,
    packed_rows,
    page_path,
    parts_text,
    price_text,
)
from wareboard.drawing.svg import by_itself
from wareboard.figures.sheet import Sheet
from wareboard.pages.studiopages import food_contact_words
from wareboard.text.languages import _
from wareboard.text.projects import Project
from wareboard.words.pagetext import DataText, KeptWords, PageHead, PageText, unkept
from wareboard.words.templating import plain, render

STUDIO_PAGE = "stock.html"
# Common codes of UN/CEFACT Recommendation 20, which schema.org's `unitCode` takes.
UNIT_CODES = {"mm": "MMT", "g": "GRM", "ml": "MLT", "one": "C62", "day": "DAY", "week": "WEE", "month": "MON"}
_LEAD_TIME = re.compile(r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?\s*(day|week|month)s?", re.IGNORECASE)
_PRICE, _CURRENCY = re.compile(r"\d+(?:\.\d+)?"), re.compile(r"[A-Z]{3}")  # as schema.org and ISO 4217 write them


def picture_path(form: StockForm) -> str:
    """Where a form's picture stands on the shops' site."""
    return f"forms/{form.name}.png"


def render_stockist_site(stock: Stock, *, with_cards: bool = True) -> tuple[PageText, ...]:
    """Every page of the shops' site, the list first.

    Args:
        stock: what shops are told.
        with_cards: link the stock sheets and the stock list to print.
    """
    return (_render_list(stock, with_cards), *(_render_form(form, stock, with_cards) for form in stock.forms))


def _render_list(stock: Stock, with_cards: bool) -> PageText:
    body = render(
        "stock/table.html", heading=stock.studio, lead="", stock=stock, list_file=f"cards/{LIST}.pdf", table_file=TABLE, **_table(stock, {}, with_cards, unkept),
    )  # fmt: skip
    return PageText(
        "index.html",
        _("Stock list"),
        body,
        _("What {studio} makes for shops.").format(studio=stock.studio),
        "",
        True,
        head=PageHead(),
    )


def _table(stock: Stock, tests: Mapping[str, str], with_cards: bool, kept: KeptWords) -> dict[str, object]:
    """The lines of the table, which of its columns have anything in them, and whether a note is due."""
    columns = {
        "packed": any(form.packed_g or any(form.packed_mm) for form in stock.forms),
        "ordering": any(map(order_text, stock.forms)),
        "with_cards": with_cards,
    }
    scale = list_scale(stock.forms)

    def line(form: StockForm, test: str | None) -> str:
        return render("stock/row.html", row=list_row(form, stock.reader, scale), test=test, **columns)

    rows = []
    for form in stock.forms:
        test = tests.get(form.name)
        rows.append(kept(f"stock {scale!r} {columns} {test}", form.name, partial(line, form, test)))
    added = any(form.added for form in stock.forms)
    return {**columns, "rows": Markup("\n".join(rows)), "tests": bool(tests), "added": added}


def render_drawings(stock: Stock) -> Iterator[DataText]:
    """Each form's drawing with its sizes, as SVG, beside its page."""
    for form in stock.forms:
        drawn = draw_stock(form, width_mm=120.0, height_mm=120.0, size_text=stock.reader.size_text)
        yield DataText(f"forms/{form.name}.svg", by_itself(drawn))


def _render_form(form: StockForm, stock: Stock, with_cards: bool) -> PageText:
    picture = Markup(draw_stock(form, width_mm=96.0, height_mm=104.0, size_text=stock.reader.size_text))
    body = render(
        "stock/form.html", form=form, stock=stock, rows=fact_rows(form, stock.reader), box=packed_rows(form, stock.reader), parts=parts_text(form, stock.reader), price=price_text(form),
        ordering=order_rows(form), picture=picture, added=_(ADDED_WORDS) if form.added else "", with_cards=with_cards,
    )  # fmt: skip
    words = (form.title, form.sku, form.description, form.contains, form.care)
    return PageText(
        page_path(form),
        form.title,
        body,
        _("{title}: size, weight, care and price.").format(title=form.title),
        plain(" ".join(filter(None, words))),
        head=PageHead("product", product_data(form, stock.studio), picture_path(form)),
    )


def render_stock_page(
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    with_cards: bool = True,
    stock: Stock | None = None,
    kept: KeptWords = unkept,
) -> tuple[PageText, ...]:
    """The studio's own page of what shops are told, with what it has on record of each glaze; none where no form is for shops.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link the stock sheets and the stock list to print.
        stock: what shops are told, where it is known already, by the studio's own names.
        kept: gives a form's line, given what makes it.
    """
    stock = stock or stock_of(project.studio, sheets.values(), own_names=True)
    if not stock.forms:
        return ()
    glazes = {form.name: project.glazes.get(str(project.forms[form.name].glaze)) for form in stock.forms}
    tests = {name: food_contact_words(glaze)[0] if glaze else _("No glaze") for name, glaze in glazes.items()}
    lead = _(
        "What shops are told, and no more: these lines, and the sheets made from them. The last column is for the studio alone."
    )
    body = render(
        "stock/table.html", heading=_("Stock"), lead=lead, stock=stock, list_file=f"cards/{LIST}.pdf", table_file=TABLE, **_table(stock, tests, with_cards, kept),
    )  # fmt: skip
    return (
        PageText(
            STUDIO_PAGE,
            _("Stock"),
            body,
            _("What shops are told of the forms."),
            plain(" ".join(f"{form.title} {form.sku}" for form in stock.forms)),
            True,
            head=PageHead(indexed=False),
        ),
    )


def product_data(form: StockForm, studio: str) -> dict[str, object]:
    """What a machine may read of a form: schema.org's `Product` with its `Offer`, sizes with their unit codes.

    Args:
        form: what shops are told of it.
        studio: who makes it.
    Returns: JSON-LD, but for addresses; keys stand only where something is said. A price stands only with a currency code.
    """
    described = (
        ("name", form.title),
        ("sku", form.sku),
        ("description", form.description),
        ("material", form.material),
    )
    words = {key: text for key, text in described if text}
    data: dict[str, object] = {"@context": "https://schema.org", "@type": "Product", **words}
    data["brand"] = {"@type": "Brand", "name": studio}
    if len(form.pieces) == 1:
        (piece,) = form.pieces
        data["height"] = quantity(piece.height_mm, "mm")
        data["width"] = data["depth"] = quantity(piece.diameter_mm, "mm")
    data["weight"] = quantity(form.weight_g, "g")
    if properties := list(_properties(form)):
        data["additionalProperty"] = properties
    offer: dict[str, object] = {"@type": "Offer"}
    if _PRICE.fullmatch(form.price) and _CURRENCY.fullmatch(form.currency):
        offer |= {"price": form.price, "priceCurrency": form.currency}
    if form.minimum:
        offer["eligibleQuantity"] = {
            "@type": "QuantitativeValue",
            "minValue": form.minimum,
            "unitCode": UNIT_CODES["one"],
        }
    if lead_time := _lead_time(form.lead_time):
        offer["deliveryLeadTime"] = lead_time
    if len(offer) > 1:
        data["offers"] = offer
    return data


def quantity(value: float, unit: str) -> dict[str, object]:
    """A size as schema.org has it, to a tenth.

    >>> quantity(121.04, "mm")
    {'@type': 'QuantitativeValue', 'value': 121, 'unitCode': 'MMT'}
    """
    shown = round(value, 1)
    return {
        "@type": "QuantitativeValue",
        "value": int(shown) if shown == int(shown) else shown,
        "unitCode": UNIT_CODES[unit],
    }


def _properties(form: StockForm) -> Iterator[dict[str, object]]:
    """What schema.org has no word of its own for."""
    if len(form.pieces) > 1:
        for piece in form.pieces:
            of = " and ".join(piece.parts)
            yield _property(f"Height, {of}", piece.height_mm, "mm")
            yield _property(f"Across, {of}", piece.diameter_mm, "mm")
    filled = [part for part in form.parts if part.fill_ml > 0.0]
    for part in filled:
        yield _property(f"Holds, {part.name}" if len(form.parts) > 1 else "Holds", part.fill_ml, "ml")
    if form.case:
        yield _property("Case", form.case, "one")


def _property(name: str, value: float, unit: str) -> dict[str, object]:
    return {**quantity(value, unit), "@type": "PropertyValue", "name": name}


def _lead_time(words: str) -> dict[str, object] | None:
    """`6 weeks` or `4 to 6 weeks` as a quantity; nothing where it is said in another way."""
    found = _LEAD_TIME.fullmatch(words.strip())
    if not found:
        return None
    code = UNIT_CODES[found[3].lower()]
    if not found[2]:
        return {"@type": "QuantitativeValue", "value": int(found[1]), "unitCode": code}
    return {"@type": "QuantitativeValue", "minValue": int(found[1]), "maxValue": int(found[2]), "unitCode": code}
