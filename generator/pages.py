"""A sheet's figures as the pages of the site: text in, text out; no file is written here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from generator.sheet import Sheet
from generator.specs import Project


@dataclass(frozen=True, slots=True)
class PageText:
    """One page of the site.

    `path` is where it stands below the site's root, `forms/tall-beaker.html`; links in `body` are
    relative to it. `title` and `description` are plain text, `body` is safe HTML, `search` is what the
    search should find, as plain text. `in_navigation` is true for the few pages that the header lists.
    """

    path: str
    title: str
    body: str
    description: str = ""
    search: str = ""
    in_navigation: bool = False


@dataclass(frozen=True, slots=True)
class DataText:
    """One data file that stands beside the pages."""

    path: str
    text: str


def render_site(project: Project, sheets: Mapping[str, Sheet], *, with_cards: bool = True) -> tuple[PageText, ...]:
    """Every page of the site, the front page first.

    Args:
        project: the studio.
        sheets: each form's sheet by slug; a form without one is left out.
        with_cards: link the printed cards (`cards/<slug>-wheel.pdf`, `cards/wall.pdf`).
    """
    raise NotImplementedError


def render_front(project: Project, sheets: Mapping[str, Sheet], *, with_cards: bool = True) -> PageText:
    """The front page: every form drawn to one scale, with its key numbers."""
    raise NotImplementedError


def render_form(sheet: Sheet, project: Project, *, with_cards: bool = True) -> PageText:
    """One form's page, in the order of the work; needs nothing of the other forms."""
    raise NotImplementedError


def render_form_data(sheet: Sheet) -> DataText:
    """One form's figures as JSON, beside its page: `forms/<slug>.json`."""
    raise NotImplementedError


def render_figures_csv(sheets: Iterable[Sheet]) -> DataText:
    """Every figure of every form as one table: `figures.csv`."""
    raise NotImplementedError
