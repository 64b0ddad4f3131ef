"""How well a handful of measurements is known: mean, spread, Student's t."""

from collections.abc import Sequence
from functools import lru_cache
from math import exp, fsum, inf, isinf, lgamma, log, log1p, pi, sqrt, tan
from statistics import NormalDist, fmean

from wareboard.pot.frozen import frozen


@frozen
class MeanInterval:
    """A mean and how well it is known. One value alone leaves the spread unknown: None."""

    mean: float
    count: int
    deviation: float | None
    half_width: float | None


def mean_interval(values: Sequence[float], level_share: float = 0.95) -> MeanInterval:
    """Mean of a sample and the half-width of its interval: t × sd / √n, n − 1 freedoms.

    Args:
        values: the sample, any unit, one value or more.
        level_share: confidence, between 0 and 1.
    Returns: mean, count, sample sd and half-width; the last two None for a single value.
    Raises: ValueError, no values or a level out of range.
    Source: Student's t, textbook.
    >>> found = mean_interval([11.8, 12.0, 12.2])
    >>> round(found.mean, 3), round(found.deviation, 3), round(found.half_width, 3)
    (12.0, 0.2, 0.497)
    """
    if not values:
        raise ValueError("an interval needs one value at least")
    count = len(values)
    if count == 1:
        return MeanInterval(values[0], 1, None, None)
    deviation = deviation_of(values)
    quantile = student_t_quantile(0.5 + level_share / 2.0, count - 1)
    return MeanInterval(fmean(values), count, deviation, quantile * deviation / sqrt(count))


def deviation_of(values: Sequence[float]) -> float:
    """The standard deviation of a sample, s = √(Σ (x − mean)² / (n − 1)), from sums that round once.

    Args:
        values: the sample, two or more.
    Returns: the deviation, in the sample's unit; exactly 0 where all are the same.
    Source: textbook of statistics.
    >>> deviation_of([2.0, 4.0, 6.0])
    2.0
    """
    offsets = [value - values[0] for value in values]
    mean = fsum(offsets) / len(offsets)
    return sqrt(fsum((offset - mean) ** 2 for offset in offsets) / (len(offsets) - 1))


def student_t_quantile(share: float, freedoms: float) -> float:
    """Student's t that a given share of the distribution lies under.

    Args:
        share: between 0 and 1.
        freedoms: degrees of freedom, 1 or more; Welch–Satterthwaite gives broken ones; inf for the normal distribution.
    Returns: the quantile.
    Raises: ValueError, an argument out of range.
    Source: the incomplete beta function's continued fraction, Abramowitz & Stegun, 26.5.8 and 26.7.1 (from memory;
        checked against scipy).
    >>> round(student_t_quantile(0.975, 10), 3), round(student_t_quantile(0.975, 2.5), 3)
    (2.228, 3.575)
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"a share must lie between 0 and 1, not {share:g}")
    if not freedoms >= 1.0:
        raise ValueError(f"degrees of freedom are 1 or more, not {freedoms}")
    if share < 0.5:
        return -student_t_quantile(1.0 - share, freedoms)
    if freedoms == int(min(freedoms, 1e6)) or freedoms < 1.02:
        return _exact_t(share, freedoms)
    if freedoms > 1e6:
        return NormalDist().inv_cdf(share)
    return _between_nodes(share, 1.0 / freedoms)


NODES = 64  # of 1 / freedoms; a cubic between them is good to 1e-6


@lru_cache(maxsize=1024)  # all sizes of a sheet have the same few
def _between_nodes(share: float, inverse: float) -> float:
    """The quantile, where it is not asked for at a whole number: log t is a smooth line over 1 / freedoms."""
    if share == 0.5:
        return 0.0
    first = min(max(int(inverse * NODES) - 1, 0), NODES - 3)
    places = range(first, first + 4)
    total = 0.0
    for here in places:
        weight = log(_exact_t(share, NODES / here if here else inf))
        for other in places:
            if other != here:
                weight *= (inverse * NODES - other) / (here - other)
        total += weight
    return exp(total)


@lru_cache(maxsize=1024)
def _exact_t(share: float, freedoms: float) -> float:
    if isinf(freedoms) or share == 0.5:
        return NormalDist().inv_cdf(share)
    if freedoms == 1.0:
        return tan(pi * (share - 0.5))
    # The distribution bends downward here, so Newton's steps from the left climb to the quantile and never pass it.
    found, step = NormalDist().inv_cdf(share), inf
    scale = exp(lgamma((freedoms + 1.0) / 2.0) - lgamma(freedoms / 2.0)) / sqrt(freedoms * pi)
    for _ in range(200):
        density = scale * (1.0 + found * found / freedoms) ** (-(freedoms + 1.0) / 2.0)
        step = (_student_over(found, freedoms) - (1.0 - share)) / density
        found += step
        if abs(step) <= 1e-13 * found:
            break
    return found


def _student_over(t: float, freedoms: float) -> float:
    """P(T > t): half of the incomplete beta function I(ν / (ν + t²); ν/2, 1/2)."""
    a, b, x = freedoms / 2.0, 0.5, freedoms / (freedoms + t * t)
    if x > (a + 1.0) / (a + b + 2.0):
        return 0.5 - 0.5 * _incomplete_beta(b, a, t * t / (freedoms + t * t))
    return 0.5 * _incomplete_beta(a, b, x)


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function by its continued fraction, for x under (a + 1) / (a + b + 2)."""
    if x == 0.0:
        return 0.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    c, d = 1.0, 1.0 / (1.0 - (a + b) * x / (a + 1.0))
    fraction = d
    for m in range(1, 400):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even, odd):
            d = 1.0 / (1.0 + term * d)
            c = 1.0 + term / c
            fraction *= d * c
        if abs(d * c - 1.0) < 1e-15:
            break
    return front * fraction
