"""Numbers that are not whole are summed exactly: plain `sum` adds otherwise from Python 3.12 on, and files made by
one Python would differ in their last digit from another's."""

import builtins
import json
import sys

from wareboard.figures import checks
from wareboard.figures.planning import make_plan, wanted_of
from wareboard.figures.settings import as_set, settings_of
from wareboard.text.projects import read_project

from tests.demo import texts_of_demo

PLAIN = builtins.sum


def strict_sum(values, /, start=0):
    """As `sum`, of whole numbers alone where code of ours asks for it."""
    values = list(values)
    caller = sys._getframe(1)
    if caller.f_globals.get("__name__", "").startswith("wareboard"):
        assert len(values) < 2 or not any(isinstance(value, float) for value in values), (
            f"{caller.f_code.co_filename}:{caller.f_lineno}: fsum, not sum"
        )
    return PLAIN(values, start)


def test_whatever_is_not_whole_is_summed_exactly(monkeypatch):
    monkeypatch.setattr(builtins, "sum", strict_sum)
    project = read_project(texts_of_demo())
    sheets, problems = checks.check_project(project)
    assert sheets and not [problem for problem in problems if problem.level == "error"]
    for sheet in sheets.values():
        settings_of(as_set(sheet))
    for order in project.orders.values():
        json.dumps(make_plan(wanted_of(order), project, sheets).as_json())
