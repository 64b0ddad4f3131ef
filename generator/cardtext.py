"""A sheet's figures as the text of printed cards: HTML for the PDF engine, which is not known here."""

from __future__ import annotations

import datetime

from generator.cards import CardText
from generator.sheet import Sheet

KINDS = ("wheel",)
PAPERS = ("A5", "A6")


def render_card(sheet: Sheet, kind: str = "wheel", *, paper: str = "A5", made: datetime.date, site_url: str = "") -> CardText:
    """One card of a form.

    Args:
        sheet: the form's figures.
        kind: one of KINDS.
        paper: one of PAPERS, landscape.
        made: the day that stands on the card.
        site_url: where the site stands; a QR code leads there; none where empty.
    Returns: the card's text; `cards.render_pdf` sets it.
    """
    raise NotImplementedError
