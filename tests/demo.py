"""The demo studio for tests that need a whole one."""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.text.projects import Project
    from wareboard.words.pagetext import PageText

ROOT = Path(__file__).resolve().parents[1]


@cache
def _texts() -> dict[str, str]:
    return {
        path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "specs").rglob("*.yaml"))
    }


def texts_of_demo() -> dict[str, str]:
    """Every spec of the demo studio by its path, as a maker's folder is read; whoever asks may change it."""
    return dict(_texts())


def texts_with(*forms: str) -> dict[str, str]:
    """The demo studio with some of its forms alone, and nothing that is said of others."""
    of_forms = ("specs/forms/", "specs/runs/", "specs/orders/")
    wanted = {f"specs/forms/{slug}.yaml" for slug in forms}
    return {path: text for path, text in _texts().items() if path in wanted or not path.startswith(of_forms)}


def worked_out(texts: dict[str, str] | None = None) -> tuple[Project, dict[str, Sheet]]:
    """A studio without an error and the sheet of each form; the demo, if no other texts are given.

    It is worked out once for all tests of a process, which look at it and change nothing.
    """
    return _worked_out(tuple(sorted((texts or _texts()).items())))


@cache
def demo_site() -> tuple[PageText, ...]:
    """Every page of the demo studio."""
    from wareboard.pages.sitepages import render_site

    return render_site(*worked_out())


@lru_cache(maxsize=8)
def _worked_out(texts: tuple[tuple[str, str], ...]) -> tuple[Project, dict[str, Sheet]]:
    from wareboard.figures.checks import check_project
    from wareboard.text.projects import read_project

    project = read_project(dict(texts))
    sheets, problems = check_project(project)
    assert not [problem for problem in problems if problem.level == "error"], problems
    return project, sheets
