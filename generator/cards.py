"""Card HTML to PDF; the only room that knows the PDF engine, which is loaded when first needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass


class CardsUnavailable(RuntimeError):
    """The PDF engine's system libraries are missing; the message names the one line that installs them."""


@dataclass(frozen=True, slots=True)
class CardText:
    """One card before it is set: a whole HTML document and the style sheet that it is set with.

    `name` is the file's stem, `tall-beaker-wheel`. Same text, same bytes.
    """

    name: str
    title: str
    html: str
    css: str


def card_key(card: CardText) -> str:
    """A hash of all that a card's PDF depends on, engine and fonts included: its name in a cache."""
    raise NotImplementedError


def check_engine() -> None:
    """Load the PDF engine. Raises: CardsUnavailable."""
    raise NotImplementedError


def render_pdf(card: CardText) -> bytes:
    """One card as a PDF. Raises: CardsUnavailable."""
    raise NotImplementedError


def render_deck(cards: Sequence[CardText], title: str) -> bytes:
    """Many cards as one PDF, in the order given, with bookmarks. Raises: CardsUnavailable."""
    raise NotImplementedError


def render_each(cards: Sequence[CardText], processes: int | None = None) -> Iterator[tuple[CardText, bytes]]:
    """Each card and its PDF, as they get done; in two processes where there are enough to be worth it."""
    raise NotImplementedError
