"""Many small cases in one test: to a runner each test costs some four milliseconds, a hundred times what a small case does."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable

import pytest


def every(names: str | tuple[str, ...], cases: Iterable | Callable[[], Iterable]) -> Callable[[Callable], Callable]:
    """As `pytest.mark.parametrize`, in one test: all cases are tried, and each that fails is told with its values.

    Args:
        names: What the test calls the values of a case.
        cases: The cases; or a function that makes them, once the test is run, where that takes time.
    """
    names = tuple(name.strip() for name in names.split(",")) if isinstance(names, str) else names
    made = cases if callable(cases) else functools.partial(iter, [*cases])

    def decorate(test: Callable) -> Callable:
        signature = inspect.signature(test)

        @functools.wraps(test)
        def tried(**given):
            failed, tried_cases = [], 0
            for case in made():
                values = case.values if hasattr(case, "marks") else case if len(names) > 1 else (case,)
                named = dict(zip(names, values, strict=True))
                tried_cases += 1
                try:
                    test(**given, **named)
                except (Exception, pytest.fail.Exception) as fault:
                    fault.add_note(f"where {', '.join(f'{name} = {value!r:.300}' for name, value in named.items())}")
                    failed.append(fault)
            if len(failed) == 1:
                raise failed[0]
            if failed:
                raise BaseExceptionGroup(f"{len(failed)} of {tried_cases} cases", failed)
            assert tried_cases, "no case was tried"

        tried.__signature__ = signature.replace(
            parameters=[one for name, one in signature.parameters.items() if name not in names]
        )
        for mark in ("hypothesis", "is_hypothesis_test"):  # it is the inner one that makes examples
            tried.__dict__.pop(mark, None)
        return tried

    return decorate
