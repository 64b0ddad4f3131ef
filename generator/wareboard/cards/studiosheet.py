"""The studio sheet, for the wall: every caution once, with the line that a bench sheet's sign stands for."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Sequence

from wareboard.cards.cardtext import in_language, size_class
from wareboard.cards.engine import CardText
from wareboard.cards.revisions import Revised
from wareboard.figures.sheet import Sheet
from wareboard.text.languages import _, remembered, written_day
from wareboard.text.specs import Studio
from wareboard.words.glossary import read_cautions
from wareboard.words.templating import TEMPLATES, render

PAPERS = ("A4", "Letter")
STUDIO = "studio"


def render_studio(
    studio: Studio, sheets: Sequence[Sheet], *, paper: str = "A4", made: datetime.date, site_url: str = ""
) -> CardText:
    """The studio sheet.

    Args:
        studio: the studio.
        sheets: its forms; what can hurt does not depend on them.
        paper: A4 or Letter, upright.
        made: the day that stands on the sheet.
        site_url: where the site stands; not used, the sheet says all itself.
    Returns: the sheet's text; `engine.render_pdf` sets it.
    Raises: ValueError, a paper that there is not.
    """
    if paper not in PAPERS:
        raise ValueError(f"there is no studio sheet on {paper}; there is one on {' and '.join(PAPERS)}")
    html = render(
        "cards/studio.html",
        studio=studio, paper=paper, cautions=read_cautions(), day=written_day(made), size_class=size_class(str(studio.title)),
        language=studio.language_tag,
    )  # fmt: skip
    return CardText(STUDIO, _("{studio}, studio sheet").format(studio=studio.title), html, _style())


@remembered()
def _style() -> str:
    return in_language((TEMPLATES / "cards" / "studio.css").read_text(encoding="utf-8"))


def revised_studio(sheet: Sheet) -> Revised:
    """The studio sheet as it is now: the cautions' own words, whatever the form."""
    said = "".join(f"{caution.title}{caution.line}{caution.text}" for caution in read_cautions())
    return Revised(STUDIO, "cautions", hashlib.sha256(said.encode()).hexdigest()[:6])
