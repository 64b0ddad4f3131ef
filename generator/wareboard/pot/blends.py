"""Clays of different water blended to the softness that is thrown: how much of each, and water to add by hand."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from wareboard.pot.frozen import frozen

DUST = 1e-9


@frozen
class Stocked:
    """Clay at hand: how much there is, wet, and the share of water in it."""

    weight_kg: float
    water_share: float

    @property
    def dry_kg(self) -> float:
        """What is left of all of it when it is dry."""
        return self.weight_kg * (1.0 - self.water_share)

    @property
    def wet_per_dry(self) -> float:
        """Its weight to each kilogram of dry clay in it."""
        return 1.0 / (1.0 - self.water_share)


@frozen
class Blend:
    """How much of each stock is used, in the order given, water to add, and what it comes to.

    `short_kg` is clay at the wanted softness that the stock does not give. Where the stock is too soft, `reached` is false:
    then nothing is used, and `nearest_share` is the firmest that the wanted amount can be had at.
    """

    use_kg: tuple[float, ...]
    water_kg: float
    made_kg: float
    short_kg: float = 0.0
    reached: bool = True
    nearest_share: float | None = None


def water_share(wet_g: float, dry_g: float) -> float:
    """Share of water in a lump that was weighed as it is and again when bone dry: (wet − dry) / wet.

    Args:
        wet_g: weight as it is, g, over 0.
        dry_g: weight bone dry, g, over 0 and not over the first.
    Raises: ValueError, weights that can't be.
    Source: water content on the wet basis, common practice; worked: what dried away was water.
    >>> round(water_share(412.0, 301.0), 4)
    0.2694
    """
    if not 0.0 < dry_g <= wet_g:
        raise ValueError(f"a lump of {wet_g:g} g cannot weigh {dry_g:g} g when it is dry")
    return (wet_g - dry_g) / wet_g


def allay(one: float, other: float, wanted: float) -> tuple[float, float]:
    """Shares of two strengths that make a third between them: (b − m) : (m − a).

    Args:
        one, other: the two strengths, in any one unit.
        wanted: the strength wanted, between them.
    Returns: the share of each; they make 1.
    Raises: ValueError, what is wanted does not lie between the two.
    Source: rule of alligation; Montana State University Extension.
    >>> [round(share, 3) for share in allay(12.25, 10.8, 11.0)]
    [0.138, 0.862]
    """
    if one == other == wanted:
        return 1.0, 0.0
    if one == other or not min(one, other) <= wanted <= max(one, other):
        raise ValueError(f"{wanted:g} does not lie between {one:g} and {other:g}")
    return (other - wanted) / (other - one), (wanted - one) / (other - one)


def blend(wanted_kg: float, wanted_share: float, stock: Sequence[Stocked]) -> Blend:
    """A weight of clay at one softness from stock of others, with the least water added by hand.

    Σ x (1 − w) = W (1 − w₀) and Σ x + water = W, each x from 0 to what there is. Of the ways that add the least
    water, the one that uses the most of the first stock, then of the second, and so on.

    Args:
        wanted_kg: clay wanted, kg, 0 up.
        wanted_share: share of water that it is to have, 0 up and under 1.
        stock: what there is, first what is to be used first.
    Returns: the blend; short where there is not enough, not reached where all that is needed is too soft.
    Raises: ValueError, an argument out of range.
    Source: worked: dry clay and water each stay what they are, so both sums balance.
    >>> made = blend(80.0, 0.185, [Stocked(100.0, 0.09), Stocked(100.0, 0.44)])
    >>> [round(kg, 2) for kg in made.use_kg], made.water_kg
    ([58.29, 21.71], 0.0)
    """
    if wanted_kg < 0.0 or not 0.0 <= wanted_share < 1.0:
        raise ValueError("a weight is 0 or more, a share of water from 0 up and under 1")
    if any(part.weight_kg < 0.0 or not 0.0 <= part.water_share < 1.0 for part in stock):
        raise ValueError("stock weighs 0 or more, its share of water is from 0 up and under 1")
    wet_per_dry = 1.0 / (1.0 - wanted_share)
    needed = wanted_kg / wet_per_dry
    dry = min(needed, _most_dry_kg(stock, wet_per_dry))
    if dry <= DUST * max(needed, 1.0):
        if needed <= DUST or not any(part.dry_kg for part in stock):
            return Blend((0.0,) * len(stock), 0.0, 0.0, wanted_kg)
        most = min(needed, fsum(part.dry_kg for part in stock))
        nearest = 1.0 - most / _extreme_kg(stock, most, softest=False)
        return Blend((0.0,) * len(stock), 0.0, 0.0, wanted_kg, reached=False, nearest_share=nearest)
    made = dry * wet_per_dry
    if dry < needed * (1.0 - DUST) and _all_softer(stock, needed, wet_per_dry):
        nearest = 1.0 - needed / _extreme_kg(stock, needed, softest=False)
        return Blend((0.0,) * len(stock), 0.0, 0.0, wanted_kg, reached=False, nearest_share=nearest)
    wet = min(made, _extreme_kg(stock, dry, softest=True))
    return Blend(_first_most(stock, dry, wet), max(0.0, made - wet), made, max(0.0, wanted_kg - made))


def _extreme_kg(stock: Sequence[Stocked], dry_kg: float, *, softest: bool) -> float:
    """The most (softest first) or the least (firmest first) that so much dry clay of the stock can weigh wet."""
    wet = 0.0
    for part in sorted(stock, key=lambda part: part.water_share, reverse=softest):
        taken = min(dry_kg, part.dry_kg)
        wet, dry_kg = wet + taken * part.wet_per_dry, dry_kg - taken
    return wet


def _most_dry_kg(stock: Sequence[Stocked], wet_per_dry: float) -> float:
    """The most dry clay of the stock that is no softer, all together, than is wanted."""
    dry = spare = 0.0
    for part in sorted(stock, key=lambda part: part.water_share):
        over = part.wet_per_dry - wet_per_dry
        taken = part.dry_kg if over <= 0.0 else min(part.dry_kg, spare / over)
        dry, spare = dry + taken, spare - taken * over
    return dry


def _all_softer(stock: Sequence[Stocked], needed_kg: float, wet_per_dry: float) -> bool:
    """True where there is clay enough, only too soft."""
    return (
        fsum(part.dry_kg for part in stock) >= needed_kg * (1.0 - DUST)
        and _extreme_kg(stock, needed_kg, softest=False) > needed_kg * wet_per_dry
    )


def _first_most(stock: Sequence[Stocked], dry_kg: float, wet_kg: float) -> tuple[float, ...]:
    """Weights of each that make a dry and a wet weight together, the first as much as can be, then the second."""
    used = []
    for place, part in enumerate(stock):
        rest = stock[place + 1 :]
        low, high = 0.0, min(part.dry_kg, dry_kg)
        if not _can(rest, dry_kg - high, wet_kg - high * part.wet_per_dry):
            # What the rest can make is convex, so the amounts of this one that leave it possible are an interval;
            # it begins where the rest is at its limit.
            low = _some_amount(part, rest, dry_kg, wet_kg, high)
            for _ in range(60):
                middle = (low + high) / 2.0
                if _can(rest, dry_kg - middle, wet_kg - middle * part.wet_per_dry):
                    low = middle
                else:
                    high = middle
            high = low
        used.append(high * part.wet_per_dry)
        dry_kg, wet_kg = dry_kg - high, wet_kg - high * part.wet_per_dry
    return tuple(used)


def _can(stock: Sequence[Stocked], dry_kg: float, wet_kg: float) -> bool:
    """True where the stock can make a dry and a wet weight together."""
    slack = DUST * max(1.0, abs(wet_kg))
    if dry_kg < -slack or dry_kg > fsum(part.dry_kg for part in stock) + slack:
        return False
    dry_kg = max(0.0, dry_kg)
    return (
        _extreme_kg(stock, dry_kg, softest=False) - slack <= wet_kg <= _extreme_kg(stock, dry_kg, softest=True) + slack
    )


def _some_amount(part: Stocked, rest: Sequence[Stocked], dry_kg: float, wet_kg: float, most_kg: float) -> float:
    """An amount of dry clay of one stock with which the others can make what is left.

    All stock together can make the weights by a mean of its softest and its firmest way; this one's amount in it will do.
    """
    every = [part, *rest]
    soft, firm = _amount_in(every, dry_kg, softest=True), _amount_in(every, dry_kg, softest=False)
    high, low = _extreme_kg(every, dry_kg, softest=True), _extreme_kg(every, dry_kg, softest=False)
    share = (wet_kg - low) / (high - low) if high > low else 0.0
    return min(most_kg, max(0.0, firm + min(1.0, max(0.0, share)) * (soft - firm)))


def _amount_in(stock: Sequence[Stocked], dry_kg: float, *, softest: bool) -> float:
    """How much of the first the softest or the firmest way uses."""
    for part in sorted(stock, key=lambda part: part.water_share, reverse=softest):
        taken = min(dry_kg, part.dry_kg)
        if part is stock[0]:
            return taken
        dry_kg -= taken
    return 0.0
