"""Where a function comes to nothing, between two places where it is of either sign."""

from collections.abc import Callable


def root_between(function: Callable[[float], float], low: float, high: float, *, near: float = 1e-9) -> float:
    """The place between two others at which a continuous function is 0.

    Chandrupatla's method: a parabola through the last three places where it can be trusted, else half the interval; so the
    root is never lost, and a step in the function is closed in on. (The general libraries' root finders take longer to load than
    all the rest of a check.)

    Args:
        function: continuous between the two places.
        low, high: two places where it differs in sign, or is 0.
        near: how near to the root the place has to be, > 0.
    Returns: the place.
    Raises: ValueError, the function has one sign at both ends.
    Source: Chandrupatla, Advances in Engineering Software 28 (1997), from memory.
    >>> round(root_between(lambda x: x * x - 2.0, 0.0, 2.0), 9)
    1.414213562
    """
    a, at_a, b, at_b = low, function(low), high, function(high)
    if at_a * at_b > 0.0:
        raise ValueError(f"no change of sign between {low:g} and {high:g}")
    share = 0.5
    while True:
        best, at_best = (a, at_a) if abs(at_a) < abs(at_b) else (b, at_b)
        least = near / abs(b - a) if b != a else 1.0
        if at_best == 0.0 or least > 0.5 or (a + b) / 2.0 in (a, b):
            return best
        share = min(max(share, least), 1.0 - least)
        place = a + share * (b - a)
        value = function(place)
        if (value > 0.0) == (at_a > 0.0):
            c, at_c = a, at_a
        else:
            c, at_c, b, at_b = b, at_b, a, at_a
        a, at_a = place, value
        across, up = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b) if at_c != at_b else 0.0
        share = 0.5
        if up * up < across and (1.0 - up) ** 2 < 1.0 - across:
            share = at_a / (at_b - at_a) * at_c / (at_b - at_c)
            share += (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)


def root_near(
    function: Callable[[float], float], first: float, second: float, *, within: float = 1e-14, most: int = 5
) -> float | None:
    """A place at which a function is as good as 0, by secants from two places near it: few steps where it is nearly straight.

    Args:
        function: what is to come to 0.
        first, second: two places near the root, the second the nearer.
        within: how near to 0 the function has to be there, > 0; two values whose product is that promise it of the next place.
        most: how many secants are tried.
    Returns: the place, or None where the secants do not close in on one: then `root_between` will.
    Source: the secant method; worked: the next miss goes with the product of the last two (from memory).
    >>> round(root_near(lambda x: x * x - 2.0, 1.3, 1.4), 9)
    1.414213562
    """
    at_first = function(first)
    for _ in range(most):
        at_second = function(second)
        if abs(at_second) <= within:
            return second
        if at_second == at_first:
            return None
        place = second - at_second * (second - first) / (at_second - at_first)
        if abs(at_first * at_second) <= within:  # as near as the next one comes, so it needs no trial
            return place
        first, at_first, second = second, at_second, place
    return None
