"""A doubt budget, as the Guide to the expression of uncertainty in measurement keeps one (JCGM 100:2008).

A figure's doubt is a handful of causes that don't depend on one another, each with its standard deviation.
Together they are the root of the sum of their squares, and what they are worth as evidence is their degrees of
freedom by Welch–Satterthwaite. Student's t of these makes the interval in which 95 % of next pieces lie.

Test bars know three things of a clay's shrinkage: how far pieces of a lot lie apart, how far lots lie apart, and
how well the mean is known. All three are read off the bars along any line through the stages, so what two stages
have in common, or a jar and a lid of one lot, goes out by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import fsum, hypot, inf, sqrt
from statistics import fmean
from typing import Any, NamedTuple

from wareboard.pot.samples import student_t_quantile
from wareboard.pot.stages import STAGES

BARS_MEAN = "mean of bars"
LOTS = "between lots"
PIECES = "piece to piece"
CALIPERS = "calipers"
TRIMMING = "trimming"
THICKNESS = "thickness"
WEIGHT = "weight"
SCALE = "scale"
READING = "reading"

LEVEL_SHARE = 0.95
# Where bars of one lot can't tell, lots lie as far apart as pieces of a lot do: common practice. Bars of several
# lots beat that, but two lots tell little; the rule of thumb weighs half a degree of freedom beside them.
LOTS_OVER_PIECES = 1.0
RULE_FREEDOMS = 0.5


# Every figure has one: a tuple made as such takes half the time of one that is called by its class.
_made: Callable[..., Any] = tuple.__new__


class Cause(NamedTuple):
    """One component: where it comes from, and its standard deviation in the figure's unit."""

    name: str
    deviation: float


class Budget(NamedTuple):
    """A figure's doubt: its causes, and how many degrees of freedom they have together.

    `unscaled` are the causes of a figure that is 1 / `scale` times as large: most sizes of a sheet share them.
    """

    unscaled: tuple[Cause, ...]
    freedoms: float = inf
    scale: float = 1.0

    @property
    def causes(self) -> tuple[Cause, ...]:
        """The components, in the figure's unit."""
        return tuple(Cause(name, deviation * self.scale) for name, deviation in self.unscaled)

    @property
    def standard(self) -> float:
        """The combined standard uncertainty, in the figure's unit."""
        return self.scale * hypot(*(deviation for _, deviation in self.unscaled))

    def half_width(self, level_share: float = LEVEL_SHARE) -> float:
        """Half of the interval that holds a share of next pieces: t × combined standard uncertainty."""
        return student_t_quantile(0.5 + level_share / 2.0, max(1.0, self.freedoms)) * self.standard

    def interval(self, value: float) -> tuple[float, float]:
        """The 95 % interval about a value."""
        half = self.half_width()
        return value - half, value + half

    def scaled(self, factor: float) -> Budget:
        """The doubt of a figure that is this many times as large."""
        return _made(Budget, (self.unscaled, self.freedoms, self.scale * abs(factor)))  # type: ignore[no-any-return]

    def without(self, name: str) -> Budget:
        """The same without one of its causes."""
        return self._replace(unscaled=tuple(cause for cause in self.unscaled if cause.name != name))


def known(name: str, deviation: float) -> Budget:
    """A budget of one cause whose standard deviation is taken as known.

    Args:
        name: where it comes from.
        deviation: standard deviation, in the figure's unit, 0 up.
    Returns: the budget, with no end of degrees of freedom.
    Source: JCGM 100:2008, 4.3 (type B evaluation; from memory).
    >>> round(known("calipers", 0.3).half_width(), 3)
    0.588
    """
    return Budget((Cause(name, deviation),))


def combined(budgets: Iterable[Budget]) -> Budget:
    """Budgets that don't depend on one another, as one; causes of one name are put together.

    Degrees of freedom by Welch–Satterthwaite: ν = u⁴ / Σ (uᵢ⁴ / νᵢ).

    Args:
        budgets: the budgets, of one unit.
    Returns: the budget of them all.
    Source: JCGM 100:2008, G.4.1, equation G.2b (from memory).
    >>> round(combined([Budget((Cause("a", 3.0),), 4), Budget((Cause("b", 4.0),), 9)]).freedoms, 2)
    12.84
    """
    squares: dict[str, float] = {}
    total = weakness = 0.0
    for unscaled, freedoms, scale in budgets:
        of_one = 0.0
        for name, deviation in unscaled:
            square = deviation * deviation * scale * scale
            squares[name] = squares.get(name, 0.0) + square
            of_one += square
        total += of_one
        weakness += of_one * of_one / freedoms
    together = total * total / weakness if weakness else inf
    return Budget(tuple([Cause(name, sqrt(square)) for name, square in squares.items()]), together)


# ---- what bars know ----


@dataclass(frozen=True, slots=True, eq=False)
class BarDoubt:
    """What the test bars of a clay know of the doubt of its shrinkage. Made once for a clay; answers are kept.

    `shares` has a row a bar, its shrinkage at STAGES, None where it was not measured; `means` the clay's, for a
    stage that no bar was measured at. Bars without a lot are taken to be of one.
    """

    lots: tuple[str | None, ...]
    shares: tuple[tuple[float | None, ...], ...]
    means: tuple[float, ...]
    kept: dict[tuple[float, ...], Budget | None] = field(default_factory=dict, repr=False)
    at_stages: dict[str, Budget | None] = field(default_factory=dict, repr=False)

    @property
    def lots_count(self) -> int:
        """How many lots the bars come from."""
        return len(set(self.lots))

    def along(self, weights: Mapping[str, float]) -> Budget | None:
        """The doubt of a sum of shrinkages, Σ weight × s, for the next piece of a lot not yet seen.

        With x the sum for each bar, N bars of k lots, mean squares B between and W within lots: a next piece lies off
        the bars' mean by variance W + L + (W + L Σn²/N) / N, where L = (B − W)/n₀ is that of lots. It is a sum of two
        independent mean squares, so Welch–Satterthwaite holds for it.

        Args:
            weights: by stage; those of stages that no bar was measured at go by the stage nearest to it.
        Returns: `mean of bars`, `between lots` and `piece to piece`; None where fewer than two bars tell.
        Source: one-way analysis of variance, textbook; JCGM 100:2008, 5.2 and G.4 (from memory).
        >>> rows = tuple((0.0, 0.03, 0.06, 0.06, fired) for fired in (0.120, 0.122, 0.124, 0.126))
        >>> bars = BarDoubt(("a", "a", "b", "b"), rows, (0.0, 0.03, 0.06, 0.06, 0.123))
        >>> [(cause.name, round(cause.deviation, 5)) for cause in bars.along({"fired": 1.0}).causes]
        [('mean of bars', 0.00178), ('between lots', 0.00231), ('piece to piece', 0.00141)]
        """
        asked = tuple(weights.get(stage, 0.0) for stage in STAGES)
        if asked not in self.kept:
            self.kept[asked] = self._along(asked)
        return self.kept[asked]

    def at(self, stage: str) -> Budget | None:
        """The doubt of the shrinkage at a stage that bars were measured at, else None."""
        if stage not in self.at_stages:
            place = STAGES.index(stage)
            measured = any(row[place] is not None for row in self.shares)
            self.at_stages[stage] = self.along({stage: 1.0}) if measured else None
        return self.at_stages[stage]

    def of_rest(self, begun: str, ended: str) -> Budget | None:
        """The doubt of (1 − s ended) / (1 − s begun), what a piece keeps of its size from one stage to the other.

        Args:
            begun: the earlier stage.
            ended: the later stage.
        Returns: the budget of the ratio; None where fewer than two bars tell.
        Source: JCGM 100:2008, 5.2.2 (correlated inputs, first order; from memory).
        >>> rows = tuple((0.0, 0.03, dry, dry, 0.12) for dry in (0.058, 0.060, 0.062))
        >>> bars = BarDoubt((None,) * 3, rows, (0.0, 0.03, 0.06, 0.06, 0.12))
        >>> bars.of_rest("dry", "bisque").standard
        0.0
        """
        before, after = (1.0 - self.means[STAGES.index(stage)] for stage in (begun, ended))
        return self.along({begun: after / (before * before), ended: -1.0 / before})

    def _along(self, weights: tuple[float, ...]) -> Budget | None:
        by_lot: dict[str | None, list[float]] = {}
        places = [self._nearest(place) if weight else place for place, weight in enumerate(weights)]
        for lot, row in zip(self.lots, self.shares):
            total = 0.0
            for place, (near, weight) in enumerate(zip(places, weights)):
                if not weight:
                    continue
                share = row[near]
                if share is None:
                    break
                # a stage that nobody measured is off by as much, for its shrinkage, as the one nearest to it
                total += weight * (share if near == place else share * self.means[place] / (self.means[near] or 1.0))
            else:
                by_lot.setdefault(lot, []).append(total)
        return _next_of(list(by_lot.values()))

    def _nearest(self, place: int) -> int:
        measured = [near for near in range(1, len(STAGES)) if any(row[near] is not None for row in self.shares)]
        if place in measured or not measured or place == 0:
            return place
        return min(measured, key=lambda near: (abs(self.means[near] - self.means[place]), near))


def _next_of(lots: Sequence[Sequence[float]]) -> Budget | None:
    """The doubt of one more value, of a lot not yet seen, about the mean of some values by lot."""
    count = sum(map(len, lots))
    if count < 2:
        return None
    of_lots = len(lots)
    means = [fmean(lot) for lot in lots]
    within_freedoms = count - of_lots
    squares = fsum((value - mean) ** 2 for lot, mean in zip(lots, means) for value in lot)
    middle = fsum(value for lot in lots for value in lot) / count
    between_square = fsum(len(lot) * (mean - middle) ** 2 for lot, mean in zip(lots, means))
    if within_freedoms == 0:  # a bar a lot: lots and pieces can't be told apart, and need not be
        both = between_square / (of_lots - 1)
        return Budget((Cause(BARS_MEAN, sqrt(both / count)), Cause(PIECES, sqrt(both))), of_lots - 1)

    within = squares / within_freedoms
    shared = sum(len(lot) ** 2 for lot in lots) / (count * count)  # of the lots' variance, in that of the mean
    if of_lots == 1:
        return _three(within, within * LOTS_OVER_PIECES**2, count, shared, within_freedoms)

    # Mean squares: `between` has the lots' variance `size` times in it and the pieces' once. The rule of thumb for lots
    # is pooled with it. A next piece lies off the mean by a sum of both squares, to which Welch–Satterthwaite applies.
    size = (count - count * shared) / (of_lots - 1)
    between_freedoms = of_lots - 1 + RULE_FREEDOMS
    by_rule = RULE_FREEDOMS * (1.0 + size * LOTS_OVER_PIECES**2) / between_freedoms * within
    between = between_square / between_freedoms
    apart = max(0.0, (between + by_rule - within) / size)
    of_lot = (1.0 + shared) / size
    of_between, of_within = of_lot * between, (1.0 + 1.0 / count) * within + of_lot * (by_rule - within)
    weakness = of_between**2 / between_freedoms + of_within**2 / within_freedoms
    freedoms = min((of_between + of_within) ** 2 / weakness, count - 1.0) if weakness else inf
    return _three(within, apart, count, shared, freedoms)


def _three(within: float, apart: float, count: int, shared: float, freedoms: float) -> Budget:
    mean = within / count + apart * shared
    causes = ((BARS_MEAN, mean), (LOTS, apart), (PIECES, within))
    dust = 1e-12 * (within + apart)
    return Budget(tuple(Cause(name, sqrt(square)) for name, square in causes if square > dust), freedoms)
