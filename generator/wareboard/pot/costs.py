"""What a run costs: clay, glaze, firing, time; and what that is for each good set."""

from __future__ import annotations

from math import fsum

from wareboard.pot.frozen import frozen


@frozen
class Prices:
    """What the studio pays, in its own currency; None where it does not say."""

    clay_kg: float | None = None
    glaze_kg: float | None = None
    bisque_load: float | None = None
    glaze_load: float | None = None
    hour: float | None = None


@frozen
class Cost:
    """What a line comes to, by what it is spent on, and for each set that comes out whole; None where no price is known."""

    clay: float | None
    glaze: float | None
    firing: float | None
    time: float | None
    good_sets: float

    @property
    def parts(self) -> tuple[float | None, ...]:
        """Clay, glaze, firing, time."""
        return self.clay, self.glaze, self.firing, self.time

    @property
    def total(self) -> float:
        """All that is known together."""
        return fsum(part or 0.0 for part in self.parts)

    @property
    def each(self) -> float:
        """Spread over the sets that come out whole, so that they bear what is lost on the way."""
        return self.total / self.good_sets if self.good_sets > 0.0 else 0.0


def cost_of(
    prices: Prices,
    *,
    clay_kg: float,
    glaze_kg: float,
    bisque_loads: float,
    glaze_loads: float,
    hours: float | None,
    good_sets: float,
) -> Cost:
    """What a line of a run costs.

    clay × price + dry glaze × price + its share of the loads × price of a load + hours × an hour

    Args:
        prices: what the studio pays.
        clay_kg: clay in the balls and what is added, kg.
        glaze_kg: dry glaze on the ware, kg.
        bisque_loads, glaze_loads: its share of the loads, in loads.
        hours: time at work, h; None where it is not known.
        good_sets: sets that are expected to come out whole.
    Source: worked: quantity times price, summed; the parts of the work that nobody priced count as nothing.
    >>> cost_of(Prices(1.0, 10.0, 14.0, 22.0, 24.0), clay_kg=20.0, glaze_kg=1.0, bisque_loads=0.5, glaze_loads=1.0, hours=5.0, good_sets=20.0).each
    8.95
    """
    fired = [
        price * loads
        for price, loads in ((prices.bisque_load, bisque_loads), (prices.glaze_load, glaze_loads))
        if price is not None
    ]
    return Cost(
        None if prices.clay_kg is None else clay_kg * prices.clay_kg,
        None if prices.glaze_kg is None else glaze_kg * prices.glaze_kg,
        fsum(fired) if fired else None,
        None if prices.hour is None or hours is None else hours * prices.hour,
        good_sets,
    )
