"""How many to throw: pieces that each come through or do not, sets of them, and the chance that there are enough.

A piece survives each stage of the work with a chance of its own, whatever becomes of the others. Parts that are trimmed
to one another are paired once both are trimmed, as many pairs as the fewer allow, and a pair comes through when both do.
Every chance here is an exact sum over how many survive; nothing is drawn at random.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, fsum, log, prod, sqrt

import numpy as np
from numpy.typing import NDArray

from wareboard.pot.frozen import frozen
from wareboard.pot.stages import WORK

# Chances below this are nothing: sums of them stay far under what a double can tell.
NOTHING = 1e-18
# A run of which fewer than one piece in fifty comes through is not planned.
LEAST_YIELD_SHARE = 0.02

Numbers = NDArray[np.float64]


@frozen
class PartRun:
    """One part of a set, as a run makes it.

    `trimmed_share` is the share of what is thrown that is there after trimming, `after_share` the share of those that
    is fired whole. `thrown` and `trimmed` are pieces that the run has already: thrown with their fate unknown, or
    known to be trimmed and still without a partner.
    """

    name: str
    ball_g: float
    trimmed_share: float
    after_share: float
    thrown: int = 0
    trimmed: int = 0


@frozen
class Group:
    """Parts that are trimmed to one another; a part that goes with any other is a group alone.

    `ready` holds what is past trimming: how many pairs (pieces, of a part alone), and the share of them that is still to come through.
    """

    parts: tuple[PartRun, ...]
    ready: tuple[tuple[int, float], ...] = ()

    @property
    def after_share(self) -> float:
        """Share of pairs that come through what follows trimming: both parts must."""
        return prod(part.after_share for part in self.parts)


@frozen
class Throw:
    """Numbers to throw by part, the chance that they give the sets wanted, and the clay in their balls."""

    pieces: Mapping[str, int]
    chance: float
    balls_g: float


def survival_shares(losses: Mapping[str, float]) -> tuple[float, ...]:
    """Share of what is thrown that is still there after each stage of the work: Π (1 − loss).

    Args:
        losses: share lost at a stage, by its name in WORK, 0 up and under 1; a stage that is missing loses nothing.
    Returns: one share for each of COUNTED; the first, `thrown`, counts what is thrown and is 1: its loss shows at trimming.
    Raises: ValueError, a loss out of range.
    Source: worked: what comes through a stage is its share of what came to it, so shares multiply.
    >>> [round(share, 4) for share in survival_shares({"throwing": 0.02, "trimming": 0.04, "glaze": 0.03})]
    [1.0, 0.9408, 0.9408, 0.9408, 0.9126]
    """
    if not all(0.0 <= loss < 1.0 for loss in losses.values()):
        raise ValueError("a loss is a share from 0 up and under 1")
    kept = [1.0 - losses.get(stage, 0.0) for stage in WORK]
    return (1.0, *(prod(kept[: place + 1]) for place in range(1, len(WORK))))


# ---- exact chances ----

# As many digits as the machine has: large logarithms are taken from one another, and what is left should keep a dozen.
Long = NDArray[np.longdouble]
_log_factorials: Long = np.zeros(1, dtype=np.longdouble)


def _log_factorial(upto: int) -> Long:
    """log n! for n from 0; the table grows when it must."""
    global _log_factorials
    if upto >= len(_log_factorials):
        size = max(2 * len(_log_factorials), upto + 1, 1024)
        logs = np.log(np.arange(1, size, dtype=np.longdouble))
        _log_factorials = np.concatenate((np.zeros(1, dtype=np.longdouble), np.cumsum(logs)))
    return _log_factorials


def binomial_chances(pieces: int, share: float) -> Numbers:
    """Chance that exactly k of some pieces come through, for k from 0 to all of them.

    C(n, k) p^k (1 − p)^(n − k)

    Args:
        pieces: how many there are, 0 up.
        share: the chance of each, 0 to 1.
    Returns: n + 1 chances.
    Raises: ValueError, an argument out of range.
    Source: binomial distribution.
    >>> [round(float(chance), 5) for chance in binomial_chances(5, 0.1)[:2]]
    [0.59049, 0.32805]
    """
    if pieces < 0 or not 0.0 <= share <= 1.0:
        raise ValueError("there are 0 pieces or more, and a share is from 0 to 1")
    k = np.arange(pieces + 1)
    if share in (0.0, 1.0):
        certain: Numbers = (k == pieces * share).astype(np.float64)
        return certain
    table = _log_factorial(pieces)
    power = table[pieces] - table[k] - table[pieces - k] + k * log(share) + (pieces - k) * log(1.0 - share)
    chances: Numbers = np.exp(power.astype(np.float64))
    return chances


def chance_at_least(pieces: int, share: float, wanted: int) -> float:
    """Chance that at least so many of some pieces come through.

    Args:
        pieces: how many there are, 0 up.
        share: the chance of each, 0 to 1.
        wanted: how many are wanted.
    Source: binomial distribution, upper tail.
    >>> round(chance_at_least(8, 0.9, 6), 4)
    0.9619
    """
    return float(binomial_chances(pieces, share)[max(0, wanted) :].sum())


def _needed(sets: int, share: float, enough: float = NOTHING) -> Numbers:
    """Chance that it takes exactly m pairs to get so many sets, for m from 0 on: negative binomial."""
    if sets <= 0:
        return np.ones(1)
    if share >= 1.0:
        return np.concatenate((np.zeros(sets), np.ones(1)))
    spread = sqrt(sets * (1.0 - share)) / share
    most = int(sets / share + 10.0 * spread + 40.0 / share)
    m = np.arange(sets, most + 1)
    table = _log_factorial(most)
    power = table[m - 1] - table[sets - 1] - table[m - sets] + sets * log(share) + (m - sets) * log(1.0 - share)
    chances = np.exp(power.astype(np.float64))
    return np.concatenate((np.zeros(sets), chances[: int(np.flatnonzero(chances > enough)[-1]) + 1]))


def _ready_chances(ready: Sequence[tuple[int, float]]) -> Numbers:
    """Chance that exactly k sets come of pairs that are past trimming."""
    made = np.ones(1)
    for pairs, share in ready:
        made = np.convolve(made, binomial_chances(pairs, share))
    return made


def _needed_by(group: Group, sets: int) -> Numbers:
    """Chance that it takes exactly m new pairs beside those that are past trimming."""
    if not group.ready:
        return _needed(sets, group.after_share)
    had = _ready_chances(group.ready)
    each = [
        (chance, _needed(sets - k, group.after_share)) for k, chance in enumerate(map(float, had)) if chance > NOTHING
    ]
    needed = np.zeros(max(len(chances) for _, chances in each))
    for weight, chances in each:
        needed[: len(chances)] += weight * chances
    return needed


def _survivals(part: PartRun, low: int, high: int, m: NDArray[np.int64]) -> Numbers:
    """Chance of at least m trimmed pieces of a part: a row for each number thrown anew from low to high.

    With one more thrown, P(N + 1 gives j) = P(N gives j) + p × P(exactly j − 1 of N).
    """
    first, last, share = part.thrown + low, part.thrown + high, part.trimmed_share
    j = np.maximum(m - part.trimmed, 0)
    n = np.arange(first, last + 1)
    if share >= 1.0:
        return (n[:, None] >= j[None, :]).astype(np.float64)
    tail = np.zeros(max(first, int(j[-1])) + 2)
    tail[: first + 1] = np.cumsum(binomial_chances(first, share)[::-1])[::-1]
    rows = np.empty((len(n), len(j)))
    rows[0] = tail[j]
    if len(n) > 1:
        table = _log_factorial(last)
        before, down = j - 1, n[:-1, None] - (j - 1)[None, :]
        can = (before >= 0)[None, :] & (down >= 0)
        ways = table[n[:-1], None] - table[np.maximum(before, 0)][None, :] - table[np.maximum(down, 0)]
        power = ways.astype(np.float64) + before[None, :] * log(share) + down * log(1.0 - share)
        more = share * np.where(can, np.exp(np.where(can, power, -np.inf)), 0.0)
        rows[1:] = rows[0] + np.cumsum(more, axis=0)
    rows[:, j == 0] = 1.0
    return np.minimum(rows, 1.0)


def chance_of_sets(groups: Sequence[Group], sets: int, pieces: Mapping[str, int] | None = None) -> float:
    """Chance that a run gives the sets that are wanted.

    P = Π over groups of Σ over m of P(it takes m pairs) × Π over parts of P(at least m of the part are trimmed)

    Args:
        groups: the parts of a set.
        sets: how many are wanted.
        pieces: how many are thrown of each part, beside what the groups have already; none where a part is missing.
    Source: exact sums; binomial and negative binomial distribution.
    >>> cup = Group((PartRun("cup", 420.0, 0.9, 1.0),))
    >>> round(chance_of_sets([cup], 6, {"cup": 8}), 4)
    0.9619
    """
    thrown, chance = pieces or {}, 1.0
    for group in groups:
        needed = _needed_by(group, sets)
        m = np.flatnonzero(needed > NOTHING)
        joint = needed[m]
        for part in group.parts:
            count = thrown.get(part.name, 0)
            joint = joint * _survivals(part, count, count, m)[0]
        chance *= float(joint.sum())
    return min(1.0, chance)


def expected_pairs(group: Group, pieces: Mapping[str, int]) -> float:
    """Mean number of pairs of a group that come through: E[fewest trimmed] × share of pairs, and those past trimming.

    Args:
        group: the parts; their `after_share` says how far the pairs are followed.
        pieces: how many are thrown of each part.
    Source: E[N] = Σ P(N ≥ m) over m from 1 on.
    >>> round(expected_pairs(Group((PartRun("cup", 420.0, 0.9, 0.5),)), {"cup": 10}), 9)
    4.5
    """
    most = min(part.trimmed + part.thrown + pieces.get(part.name, 0) for part in group.parts)
    past = fsum(pairs * share for pairs, share in group.ready)
    if most <= 0:
        return past
    m = np.arange(1, most + 1)
    each = [_survivals(part, pieces.get(part.name, 0), pieces.get(part.name, 0), m)[0] for part in group.parts]
    return float(np.prod(each, axis=0).sum()) * group.after_share + past


def expected_sets(groups: Sequence[Group], pieces: Mapping[str, int]) -> float:
    """Mean number of whole sets that a run gives.

    Args:
        groups: the parts of a set.
        pieces: how many are thrown of each part.
    Source: as `expected_pairs`; groups are independent of one another.
    >>> pair = [Group((PartRun("cup", 420.0, 1.0, 0.5),)), Group((PartRun("saucer", 500.0, 1.0, 0.5),))]
    >>> expected_sets(pair, {"cup": 1, "saucer": 1})
    0.25
    """
    if len(groups) == 1:
        return expected_pairs(groups[0], pieces)
    at_least = [_made_at_least(group, pieces) for group in groups]
    most = min(map(len, at_least))
    return float(np.prod([chances[:most] for chances in at_least], axis=0)[1:].sum())


def _made_at_least(group: Group, pieces: Mapping[str, int]) -> Numbers:
    """Chance that a group gives at least k pairs in the end, for k from 0 on."""
    if len(group.parts) == 1 and not group.ready and not group.parts[0].trimmed:
        # Pieces of which each comes through with one chance: both stretches of the work are one.
        (part,) = group.parts
        made = binomial_chances(part.thrown + pieces.get(part.name, 0), part.trimmed_share * group.after_share)
        return np.cumsum(made[::-1])[::-1]
    most = min(part.trimmed + part.thrown + pieces.get(part.name, 0) for part in group.parts)
    m = np.arange(0, most + 2)
    each = [_survivals(part, pieces.get(part.name, 0), pieces.get(part.name, 0), m)[0] for part in group.parts]
    reached = np.prod(each, axis=0)
    exactly = np.maximum(reached[:-1] - reached[1:], 0.0)
    made = np.zeros(most + 1)
    for pairs in np.flatnonzero(exactly > NOTHING):
        made[: pairs + 1] += exactly[pairs] * binomial_chances(int(pairs), group.after_share)
    made = np.convolve(made, _ready_chances(group.ready))
    return np.cumsum(made[::-1])[::-1]


# ---- the least clay ----


@frozen
class _Options:
    """Ways to throw, dearer ones surer: clay, pieces, chance, and the numbers of each part in `names`."""

    names: tuple[str, ...]
    balls_g: Numbers
    pieces: NDArray[np.int64]
    chance: Numbers
    numbers: NDArray[np.int64]

    def best(self) -> _Options:
        """Only those that no other beats in clay, then in pieces, then in chance."""
        order = np.lexsort((-self.chance, self.pieces, self.balls_g))
        surest = np.maximum.accumulate(np.concatenate(([-1.0], self.chance[order][:-1])))
        kept = order[self.chance[order] > surest]
        return _Options(self.names, self.balls_g[kept], self.pieces[kept], self.chance[kept], self.numbers[kept])


@frozen
class _Window:
    """Numbers of one part that may be thrown: from `low` on, a row each, and the chance if no other part were short."""

    part: PartRun
    low: int
    rows: Numbers
    alone: Numbers

    def least(self, confidence: float) -> int:
        """The fewest that would do if no other part were short."""
        return self.low + int(np.searchsorted(self.alone, confidence))


def least_clay(groups: Sequence[Group], sets: int, confidences: Sequence[float]) -> tuple[Throw, ...]:
    """The numbers to throw with the least clay in their balls, then the fewest pieces, that are sure enough.

    min Σ n × ball over all n with P(sets made ≥ sets) ≥ confidence; every choice that could be the least is looked at.

    Args:
        groups: the parts of a set; what they have already counts.
        sets: how many are wanted, 0 up.
        confidences: how sure, each over 0 and under 1.
    Returns: one for each confidence.
    Raises: ValueError, an argument out of range, or so much is lost that no number would do.
    Source: exact sums, as `chance_of_sets`.
    >>> cup = Group((PartRun("cup", 420.0, 0.9, 1.0),))
    >>> [dict(throw.pieces) for throw in least_clay([cup], 24, [0.95])]
    [{'cup': 30}]
    """
    if sets < 0 or not all(0.0 < confidence < 1.0 for confidence in confidences):
        raise ValueError("sets are 0 or more, and a confidence is more than 0 and less than 1")
    for part in (part for group in groups for part in group.parts):
        if not part.trimmed_share * part.after_share >= LEAST_YIELD_SHARE:
            raise ValueError(f"of {part.name} so much is lost that no number would do")
    surest, windows = max(confidences), []
    count = sum(len(group.parts) for group in groups)
    needed = [_needed_by(group, sets) for group in groups]
    for group, need in zip(groups, needed, strict=True):
        windows += [
            _window(part, group, need, min(confidences), 1.0 - (1.0 - surest) / (2.0 * count)) for part in group.parts
        ]
    ranges, dearest_g = _ranges(windows, confidences)
    spare_g = dearest_g - fsum(window.part.ball_g * low for window, (low, _) in zip(windows, ranges, strict=True))
    found, start = None, 0
    for group, need in zip(groups, needed, strict=True):
        own = slice(start, start + len(group.parts))
        options = _group_options(windows[own], ranges[own], need, spare_g, min(confidences))
        found, start = options if found is None else _together(found, options, min(confidences)), own.stop
    assert found is not None
    answers = []
    for confidence in confidences:
        place = int(np.flatnonzero(found.chance >= confidence)[0])
        numbers = {name: int(number) for name, number in zip(found.names, found.numbers[place], strict=True)}
        in_order = {part.name: numbers[part.name] for group in groups for part in group.parts}
        answers.append(Throw(in_order, float(found.chance[place]), float(found.balls_g[place])))
    return tuple(answers)


def _window(part: PartRun, group: Group, needed: Numbers, low_chance: float, high_chance: float) -> _Window:
    """Numbers of a part from too few to more than could be wanted."""
    m = np.flatnonzero(needed > NOTHING)
    weights = needed[m]
    mean = float(m @ weights)
    spread = sqrt(max(float((m - mean) ** 2 @ weights), 0.0)) / part.trimmed_share
    spread = sqrt(spread**2 + mean * (1.0 - part.trimmed_share)) / part.trimmed_share
    centre = (mean - part.trimmed) / part.trimmed_share - part.thrown
    below, above = 2.0 + 1.5 * spread, 4.0 + 3.5 * spread
    while True:
        low = max(0, int(centre - below))
        high = max(low, ceil(centre + above), 0)
        rows = _survivals(part, low, high, m)
        alone = rows @ weights
        if low > 0 and alone[0] >= low_chance:
            below *= 2.0
        elif alone[-1] < high_chance:
            above *= 2.0
        else:
            return _Window(part, low, rows, alone)


def _ranges(windows: Sequence[_Window], confidences: Sequence[float]) -> tuple[list[tuple[int, int]], float]:
    """The fewest and the most of each part that the least clay could ask for, and the dearest that it can be, g.

    Where each part alone is short with at most an equal share of what may go wrong, all are enough (Bonferroni); so the
    least clay is no dearer than that, and no part can be more than is left when the others are at their fewest.
    """
    found, dearest_of_all = [(10**9, 0)] * len(windows), 0.0
    for confidence in confidences:
        fewest = [window.least(confidence) for window in windows]
        enough = [window.least(1.0 - (1.0 - confidence) / len(windows)) for window in windows]
        dearest = fsum(window.part.ball_g * number for window, number in zip(windows, enough, strict=True))
        cheapest = fsum(window.part.ball_g * number for window, number in zip(windows, fewest, strict=True))
        dearest_of_all = max(dearest_of_all, dearest)
        for place, window in enumerate(windows):
            spare = int((dearest - cheapest) / window.part.ball_g + 1e-9) if window.part.ball_g > 0.0 else 0
            most = max(fewest[place] + spare, enough[place])
            low, high = found[place]
            found[place] = (min(low, fewest[place]), max(high, most))
    return found, dearest_of_all


def _group_options(
    windows: Sequence[_Window],
    ranges: Sequence[tuple[int, int]],
    needed: Numbers,
    spare_g: float,
    low_chance: float,
) -> _Options:
    """Every choice within the ranges for parts that are trimmed to one another, no dearer than `spare_g` over the cheapest.

    Where no part has anything yet, and of each as large a share comes through, it does not matter to the chance which part
    is thrown how often: the lighter one is never the fewer, so only such choices are looked at.
    """
    m = np.flatnonzero(needed > NOTHING)
    parts = [window.part for window in windows]
    alike = len({part.trimmed_share for part in parts}) == 1 and not any(part.thrown or part.trimmed for part in parts)
    places = sorted(range(len(parts)), key=lambda place: parts[place].ball_g) if alike else range(len(parts))
    axes, rows = [], []
    for window, (low, high) in ((windows[place], ranges[place]) for place in places):
        axes.append(np.arange(low, high + 1))
        inside = window.low + len(window.rows) - 1
        # Where the range leads beyond the window, the rows are worked out for it.
        rows.append(
            window.rows[low - window.low : high - window.low + 1]
            if high <= inside
            else _survivals(window.part, low, high, m)
        )
    search = _Search([parts[place] for place in places], axes, rows, low_chance, alike)
    found = search.choices(0, needed[m], spare_g, None)
    assert found is not None  # the dearest that it can be is one of them
    return found


@frozen
class _Search:
    """A search through the numbers of parts: the first part's one after another, the last two all at once."""

    parts: Sequence[PartRun]
    axes: Sequence[NDArray[np.int64]]
    rows: Sequence[Numbers]
    low_chance: float
    falling: bool

    def choices(self, place: int, weights: Numbers, spare_g: float, most: int | None) -> _Options | None:
        """Choices of the parts from a place on; none where no choice is likely enough."""
        if len(self.parts) - place <= 2:
            return self._all(place, weights, spare_g, most)
        part, found = self.parts[place], []
        for number, row in zip(self.axes[place], self.rows[place], strict=True):
            over_g = float(number - self.axes[place][0]) * part.ball_g
            if over_g > spare_g + 1e-6 or (most is not None and number > most):
                break
            left = weights * row
            if left.sum() < self.low_chance:
                continue
            rest = self.choices(place + 1, left, spare_g - over_g, int(number) if self.falling else None)
            if rest is not None:
                numbers = np.column_stack((np.full(len(rest.chance), number), rest.numbers))
                balls_g = np.round(rest.balls_g + number * part.ball_g, 6)
                found.append(_Options((part.name, *rest.names), balls_g, rest.pieces + number, rest.chance, numbers))
        if not found:
            return None
        return _Options(
            found[0].names,
            np.concatenate([options.balls_g for options in found]),
            np.concatenate([options.pieces for options in found]),
            np.concatenate([options.chance for options in found]),
            np.concatenate([options.numbers for options in found]),
        ).best()

    def _all(self, place: int, weights: Numbers, spare_g: float, most: int | None) -> _Options | None:
        parts, axes, rows = self.parts[place:], [], []
        for part, axis, row in zip(parts, self.axes[place:], self.rows[place:], strict=True):
            count = len(axis) if part.ball_g <= 0.0 else min(len(axis), int(spare_g / part.ball_g + 1e-6) + 1)
            if most is not None:
                count = min(count, int(np.searchsorted(axis, most, side="right")))
            axes.append(axis[:count])
            rows.append(row[:count])
        chance = ((rows[0] * weights) @ rows[1].T if len(parts) > 1 else rows[0] @ weights).ravel()
        likely = np.flatnonzero(chance >= self.low_chance)
        if not len(likely):
            return None
        numbers = np.stack([axis.ravel()[likely] for axis in np.meshgrid(*axes, indexing="ij")], axis=1)
        balls_g = np.round(numbers @ np.array([part.ball_g for part in parts]), 6)
        sure = np.minimum(chance[likely], 1.0)
        return _Options(tuple(part.name for part in parts), balls_g, numbers.sum(axis=1), sure, numbers).best()


def _together(one: _Options, other: _Options, low_chance: float) -> _Options:
    """Every choice of one with every choice of the other."""
    first, second = np.meshgrid(np.arange(len(one.chance)), np.arange(len(other.chance)), indexing="ij")
    chance = (one.chance[first] * other.chance[second]).ravel()
    likely = np.flatnonzero(chance >= low_chance)
    i, j = first.ravel()[likely], second.ravel()[likely]
    return _Options(
        one.names + other.names,
        np.round(one.balls_g[i] + other.balls_g[j], 6),
        one.pieces[i] + other.pieces[j],
        chance[likely],
        np.concatenate((one.numbers[i], other.numbers[j]), axis=1),
    ).best()
