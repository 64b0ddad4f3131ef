"""How well a handful of measurements is known: mean, spread, Student's t."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin, sqrt, tan
from statistics import fmean, stdev


@dataclass(frozen=True, slots=True)
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
    deviation = stdev(values)
    quantile = student_t_quantile(0.5 + level_share / 2.0, count - 1)
    return MeanInterval(fmean(values), count, deviation, quantile * deviation / sqrt(count))


def student_t_quantile(share: float, freedoms: int) -> float:
    """Student's t that a given share of the distribution lies under.

    Args:
        share: between 0 and 1.
        freedoms: degrees of freedom, a whole number from 1.
    Returns: the quantile.
    Raises: ValueError, an argument out of range.
    Source: Abramowitz & Stegun, 26.7.3 and 26.7.4 (from memory; checked against scipy).
    >>> round(student_t_quantile(0.975, 10), 3)
    2.228
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"a share must lie between 0 and 1, not {share:g}")
    if freedoms < 1:
        raise ValueError(f"degrees of freedom are 1 or more, not {freedoms}")
    if share < 0.5:
        return -student_t_quantile(1.0 - share, freedoms)
    low, high = 0.0, pi / 2.0
    while (angle := (low + high) / 2.0) not in (low, high):
        if _student_within(angle, freedoms) < 2.0 * share - 1.0:
            low = angle
        else:
            high = angle
    return sqrt(freedoms) * tan(angle)


def _student_within(angle: float, freedoms: int) -> float:
    """P(|T| < t) for t = √n tan(angle): a finite sum of cosines."""
    odd = freedoms % 2
    term = cos(angle) if odd else 1.0
    total = term if freedoms > 1 else 0.0
    for power in range(2 + odd, freedoms - 1, 2):
        term *= cos(angle) ** 2 * (power - 1) / power
        total += term
    return (angle + sin(angle) * total) * 2.0 / pi if odd else sin(angle) * total
