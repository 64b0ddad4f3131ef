"""Cards to PDFs: what did not change is taken from before, what did is set, alone and for the wall."""

from __future__ import annotations

import datetime
import hashlib
import io
import multiprocessing
import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from generator import cards, cardtext, folder
from generator.cards import CardText
from generator.pages import OTHERS

if TYPE_CHECKING:
    from generator.build import Worked
    from generator.sheet import Sheet

UNDATED = datetime.date(1, 1, 1)
DECK = 100

Say = Callable[[str], None]


def make_cards(worked: Worked, *, site_url: str = "", say: Say = lambda words: None) -> dict[str, Path]:
    """Set every form's wheel card and the deck for the wall; what did not change is taken from before.

    Args:
        worked: the folder; it has no errors.
        site_url: where the site will stand, for the QR code; none where empty.
        say: told how far it is.
    Returns: finished PDFs in the cache, by their path on the site.
    Raises: cards.CardsUnavailable.
    """
    cache = folder.private_folder(worked.root) / "cache"
    dated, title = _dated_cards(worked, cache, site_url), _deck_title(worked)
    made = {f"cards/{card.name}.pdf": path for card, path in dated}
    decks = [_Deck(tuple(dated[start : start + DECK]), cache) for start in range(0, len(dated), DECK)]
    jobs = _missing(dated, decks, title)
    if jobs:
        _set_cards(jobs, say)
    if decks:
        made["cards/wall.pdf"] = decks[0].path if len(decks) == 1 else _joined(decks, cache)
    _forget_all_but({*made.values(), *(deck.path for deck in decks)}, cache)
    return made


def print_cards(worked: Worked, sheets: Sequence[Sheet], output: Path, *, kind: str = "wheel", paper: str = "A5", site_url: str = "") -> None:
    """Set the cards of some forms into one PDF.

    Args:
        worked: the folder.
        sheets: the forms, in the order in which they are printed.
        output: the PDF to write; it is there whole or as it was.
        kind, paper, site_url: see `cardtext.render_card`.
    Raises: cards.CardsUnavailable; OSError, the PDF cannot be written.
    """
    cards.check_engine()
    made = _pinned_day() or datetime.date.today()
    texts = [cardtext.render_card(sheet, kind, paper=paper, made=made, site_url=site_url) for sheet in sheets]
    folder.write_whole(output, cards.render_pdf(texts[0]) if len(texts) == 1 else cards.render_deck(texts, _deck_title(worked)))


def find_cards(worked: Worked, site: Path) -> dict[str, Path]:
    """The cards that stand in a site that was built before, for a preview that makes none."""
    wanted = [f"cards/{slug}-wheel.pdf" for slug in worked.sheets] + ["cards/wall.pdf"]
    return {path: site / path for path in wanted if (site / path).is_file()}


def _dated_cards(worked: Worked, cache: Path, site_url: str) -> list[tuple[CardText, Path]]:
    """Each card with the day it was made and its place in the cache, in the catalogue's order.

    The day stands on the card. A card whose text is else as it was keeps the day of the first time,
    so that nothing is set again only because it is tomorrow.
    """
    known = {name: day for name, _, day in (path.stem.partition(".") for path in cache.glob("*.pdf"))}
    today = _pinned_day()
    dated = []
    for sheet in sorted(worked.sheets.values(), key=lambda sheet: (str(sheet.form.family or OTHERS).casefold(), str(sheet.form.title).casefold())):
        key = cards.card_key(cardtext.render_card(sheet, made=UNDATED, site_url=site_url))
        day = today or _as_day(known.get(key)) or datetime.date.today()
        card = cardtext.render_card(sheet, made=day, site_url=site_url)
        dated.append((card, cache / f"{key}.{day.isoformat()}.pdf"))
    return dated


@dataclass(frozen=True, slots=True)
class _Deck:
    """Cards, each with its place in the cache, that are also set as one PDF."""

    dated: tuple[tuple[CardText, Path], ...]
    cache: Path

    @property
    def path(self) -> Path:
        """The deck's place in the cache, by the cards that are in it."""
        return self.cache / f"{_digest(path.name for _, path in self.dated)}.deck.pdf"


# What is to be set: places in the cache, and the work that makes their contents.
_Job = tuple[tuple[Path, ...], Callable, tuple]


def _missing(dated: Sequence[tuple[CardText, Path]], decks: Sequence[_Deck], title: str) -> list[_Job]:
    """What is not in the cache yet."""
    alone = [(card, path) for card, path in dated if not path.exists()]
    if len(decks) == 1 and len(alone) == len(dated) < cards.WORTH_TWO_PROCESSES:
        # All of a few: their pages are laid out once for both.
        return [((*(path for _, path in dated), decks[0].path), _render_all, ([card for card, _ in dated], title))]
    whole = [((deck.path,), _render_deck, ([card for card, _ in deck.dated], title)) for deck in decks if not deck.path.exists()]
    return whole + [((path,), _render_one, (card,)) for card, path in alone]


def _render_one(card: CardText) -> tuple[bytes, ...]:
    return (cards.render_pdf(card),)


def _render_deck(texts: Sequence[CardText], title: str) -> tuple[bytes, ...]:
    return (cards.render_deck(texts, title),)


def _render_all(texts: Sequence[CardText], title: str) -> tuple[bytes, ...]:
    each, deck = cards.render_both(texts, title)
    return (*each, deck)


def _set_cards(jobs: Sequence[_Job], say: Say) -> None:
    """Do the jobs, in two processes where there are enough to be worth it; what is done is kept at once."""
    cards.check_engine()
    say("setting the cards")
    if len(jobs) < cards.WORTH_TWO_PROCESSES:
        for paths, work, arguments in jobs:
            _keep(paths, work(*arguments))
        return
    # Fresh processes: the engine's libraries are not made to be forked once they run.
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        try:
            waiting = {pool.submit(work, *arguments): paths for paths, work, arguments in jobs}
            for count, done in enumerate(as_completed(waiting), 1):
                _keep(waiting[done], done.result())
                say(f"cards {count} of {len(jobs)}")
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise


def _keep(paths: Sequence[Path], contents: Sequence[bytes]) -> None:
    for path, content in zip(paths, contents, strict=True):
        folder.write_whole(path, content)


def _joined(decks: Sequence[_Deck], cache: Path) -> Path:
    """Decks behind one another; more than DECK cards at once would need gigabytes."""
    path = cache / f"{_digest(deck.path.name for deck in decks)}.wall.pdf"
    if not path.exists():
        from pypdf import PdfWriter

        with PdfWriter() as joined, io.BytesIO() as content:
            for deck in decks:
                joined.append(deck.path)
            joined.write(content)
            folder.write_whole(path, content.getvalue())
    return path


def _digest(names: Iterable[str]) -> str:
    return hashlib.sha256(" ".join(names).encode()).hexdigest()[:32]


def _pinned_day() -> datetime.date | None:
    """The day that SOURCE_DATE_EPOCH names, for output that must be the same whenever it is made."""
    pinned = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.datetime.fromtimestamp(int(pinned), datetime.UTC).date() if pinned.isdigit() else None


def _as_day(text: str | None) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text or "")
    except ValueError:
        return None


def _deck_title(worked: Worked) -> str:
    return f"{worked.project.studio.title}: wheel cards"


def _forget_all_but(kept: set[Path], cache: Path) -> None:
    for path in set(cache.glob("*.pdf")) - kept:
        path.unlink(missing_ok=True)
