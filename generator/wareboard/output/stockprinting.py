"""Stock sheets and the stock list as PDFs, set from stock records and kept for the next build."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from wareboard.cards import engine
from wareboard.cards.audience import Stock
from wareboard.cards.engine import CardText
from wareboard.cards.stock import LIST, render_stock_card, render_stock_list_card
from wareboard.output import files
from wareboard.output.printing import Job, do_jobs, render_one


def make_stock_cards(
    stock: Stock,
    cache: Path,
    *,
    site_url: str = "",
    own_fonts: tuple[Path, ...] = (),
    say: Callable[[str], None] = lambda words: None,
) -> dict[str, Path]:
    """Set every stock sheet and the stock list; what did not change is taken from before.

    Args:
        stock: what shops are told.
        cache: the folder that keeps what was set, and nothing else.
        site_url: where the shops' site will stand, for the QR code; none where empty.
        own_fonts: the studio's own fonts.
        say: told how far it is.
    Returns: finished PDFs in the cache, by their path on the site.
    Raises: engine.CardsUnavailable.
    """
    texts = _texts(stock, site_url, own_fonts)
    made = {path: cache / f"{engine.card_key(text)}.pdf" for path, text in texts.items()}
    missing = {made[path]: text for path, text in texts.items() if not made[path].exists()}
    jobs = [Job((place,), render_one, (text,), len(text.html)) for place, text in missing.items()]
    for count, (job, (content,)) in enumerate(do_jobs(jobs) if jobs else (), 1):
        files.write_whole(job.places[0], content)
        say(f"cards {count} of {len(jobs)}")
    for path in set(cache.glob("*.pdf")) - set(made.values()):
        path.unlink(missing_ok=True)
    return made


def find_stock_cards(
    stock: Stock, cache: Path, *, site_url: str = "", own_fonts: tuple[Path, ...] = ()
) -> dict[str, Path]:
    """The stock sheets and the list that were set before and tell what is told now; a shop gets none that is out of date.

    Args:
        stock: what shops are told now.
        cache: the folder that keeps what was set.
        site_url: where the shops' site will stand.
        own_fonts: the studio's own fonts.
    Returns: PDFs in the cache, by their path on the site.
    """
    texts = _texts(stock, site_url, own_fonts)
    places = {path: cache / f"{engine.card_key(text)}.pdf" for path, text in texts.items()}
    return {path: place for path, place in places.items() if place.is_file()}


def _texts(stock: Stock, site_url: str, own_fonts: tuple[Path, ...]) -> dict[str, CardText]:
    texts = {
        f"cards/{form.name}-stock.pdf": render_stock_card(form, stock, made=form.made, site_url=site_url)
        for form in stock.forms
    }
    if stock.forms:
        texts[f"cards/{LIST}.pdf"] = render_stock_list_card(stock, made=max(form.made for form in stock.forms))
    return {path: replace(text, own_fonts=own_fonts) for path, text in texts.items()}
