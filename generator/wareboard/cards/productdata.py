"""A form as product data for machines: schema.org terms as JSON-LD, from what shops are told and nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wareboard.cards.audience import StockForm

# Common codes of UN/CEFACT Recommendation 20, which schema.org's `unitCode` takes.
UNIT_CODES = {"mm": "MMT", "g": "GRM", "ml": "MLT", "one": "C62", "day": "DAY", "week": "WEE", "month": "MON"}
_LEAD_TIME = re.compile(r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?\s*(day|week|month)s?", re.IGNORECASE)
_PRICE, _CURRENCY = re.compile(r"\d+(?:\.\d+)?"), re.compile(r"[A-Z]{3}")  # as schema.org and ISO 4217 write them


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
