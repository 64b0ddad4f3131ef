"""What a page and a data file are before anything is written."""

from __future__ import annotations

from dataclasses import dataclass


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
