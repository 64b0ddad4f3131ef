"""What shops are told that hardly can be, or may not be said: one function a rule, as in `limits`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wareboard.text.kinds import Word
from wareboard.text.problems import Problem, warning
from wareboard.text.projects import Project

_CLAIM = re.compile(
    r"\b(?:food|drink|dinner)[\s-]*(?:ware)?[\s-]*safe\b|\bsafe\s+(?:for|with|to)\s+(?:all\s+)?(?:food|foods|drink|drinks|eat|use\s+with\s+food|contact)"
    r"|\b(?:lead|cadmium)[\s-]*free\b|\bfree\s+(?:of|from)\s+(?:lead|cadmium)\b|\bfood[\s-]*grade\b|\bnon[\s-]*toxic\b",
    re.IGNORECASE,
)
PRICE_IN_HOURS = (0.05, 500.0)
_DENIAL = re.compile(r"\b(?:not|never|no|isn't|cannot|can't|don't|without|nor|untested)\b[^.;!?]*$", re.IGNORECASE)


def claims_safe(project: Project) -> Iterator[Problem]:
    """A text for shops that promises what only a test can show: that the ware may be eaten from, or that no lead is in it. Only a laboratory's test of the fired pot can tell, and what may be said of it is a matter of law."""
    for form in project.forms.values():
        stockist = form.stockist
        told = [("title", form.title)]
        told += (
            [(f"stockist.{name}", getattr(stockist, name)) for name in ("care", "contains", "description")]
            if stockist
            else []
        )
        for path, text in told:
            yield from _claims(path, text)
    if project.studio.stockists:
        yield from _claims("stockists.terms", project.studio.stockists.terms)


def _claims(path: str, text: Word | None) -> Iterator[Problem]:
    for found in _CLAIM.finditer(str(text or "")):
        if text is not None and not _DENIAL.search(str(text)[: found.start()]):
            yield warning(
                "claims-safe",
                text.at,
                f"{path}: `{found[0]}` is told to shops; no calculation shows it, and a claim may have to be proved",
                "leave it out, or say which laboratory tested what",
            )
            return


def price_of_nothing(project: Project) -> Iterator[Problem]:
    """A price of nothing: a line that is left out says `price on request`, and 0 gives the pot away."""
    for form in project.forms.values():
        price = form.stockist and form.stockist.price
        if price and price.value == 0.0:
            yield warning(
                "price-of-nothing",
                price.at,
                f"stockist.price: `{price.typed}` gives it away",
                "leave the line out for `price on request`",
            )


def odd_price(project: Project) -> Iterator[Problem]:
    """A price that does not pay for three minutes' work, or that pays for months of it: a point is wrong, or the currency."""
    hour = project.studio.costs and project.studio.costs.hour
    for form in project.forms.values():
        price = form.stockist and form.stockist.price
        if not (price and hour and price.value and hour.value):
            continue
        if not PRICE_IN_HOURS[0] <= price.value / hour.value <= PRICE_IN_HOURS[1]:
            yield warning(
                "odd-price",
                price.at,
                f"stockist.price: {price.typed}, where an hour's work costs {hour.typed}",
                "look at the point",
            )


def part_case(project: Project) -> Iterator[Problem]:
    """The fewest that a shop may order is not a whole number of cases."""
    for form in project.forms.values():
        stockist = form.stockist
        if stockist and stockist.case and stockist.minimum and stockist.minimum % stockist.case:
            whole = -(-stockist.minimum // stockist.case) * stockist.case
            yield warning(
                "part-case",
                stockist.at,
                f"stockist.minimum: {stockist.minimum} is no whole number of cases of {stockist.case}",
                f"write `minimum: {whole}`, or another `case`",
            )


def bare_lead_time(project: Project) -> Iterator[Problem]:
    """How long an order takes, as a number without days or weeks."""
    told = [("stockist.lead_time", form.stockist.lead_time) for form in project.forms.values() if form.stockist]
    told += [("stockists.lead_time", project.studio.stockists.lead_time)] if project.studio.stockists else []
    for path, time in told:
        if time and re.fullmatch(r"[0-9.,\s–-]+", time):
            yield warning(
                "bare-lead-time",
                time.at,
                f"{path}: `{time}` says no days or weeks, and shops read it as it stands",
                f"did you mean `{time} weeks`?",
            )


def repeated_sku(project: Project) -> Iterator[Problem]:
    """Two forms with one number for the shop."""
    first: dict[str, Word] = {}
    for form in project.forms.values():
        sku = form.stockist and form.stockist.sku
        if not sku:
            continue
        known = first.setdefault(sku.casefold(), sku)
        if known is not sku:
            yield warning(
                "repeated-sku",
                sku.at,
                f"stockist.sku: `{sku}` is the number of another form too ({known.at.file}:{known.at.line})",
                "give each form a number of its own",
            )


RULES = (claims_safe, price_of_nothing, odd_price, part_case, bare_lead_time, repeated_sku)
