"""Cards to PDFs: what did not change is taken from before, what did is set, alone and for the wall."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from wareboard.cards import engine
from wareboard.cards.cardkinds import CLAY, FORM, KINDS, RUN, CardKind
from wareboard.cards.engine import CardText
from wareboard.cards.revisions import Revised, revised_form
from wareboard.cards.stock import revised_stock
from wareboard.output import files, journal, workers
from wareboard.output.unchanged import STUDIO as AUDIENCE
from wareboard.pages.sitepages import OTHERS
from wareboard.pot.frozen import frozen

if TYPE_CHECKING:
    from wareboard.figures.sheet import Sheet
    from wareboard.output.history import Record
    from wareboard.output.working import Worked
    from wareboard.text.studio_specs import Studio

# Forms whose cards for the wall are set together; a card that changes has only these laid out again.
DECK = 8
# Cards in a deck on demand: a thousand pages in one document take gigabytes.
MOST_TOGETHER = 100
WORTH_TWO_PROCESSES = 12
# What hangs on the wall, in one PDF.
WALL, WALL_KINDS = "wall", ("wheel", "trimming")

Say = Callable[[str], None]


@frozen
class Wanted:
    """One card to make: its kind, what it is about, and of what it is a revision."""

    kind: CardKind
    about: tuple
    name: str
    title: str
    studio: Studio
    revised: tuple[Revised, ...]
    others: Mapping[str, Sheet] | None = None
    own_fonts: tuple[Path, ...] = ()

    def text(self, record: Record, *, paper: str | None = None, site_url: str = "") -> CardText:
        """The card before it is set, with the day on which its revision was first made."""
        made = max((record.made_on(revised) for revised in self.revised), default=None)
        more = {"others": self.others} if self.kind.sees_others else {}
        text = self.kind.render(
            *self.about, paper=paper or self.kind.paper(self.studio), made=made, site_url=site_url, **more
        )
        return replace(text, own_fonts=self.own_fonts)


def _revised(kind: CardKind, sheet: Sheet) -> Revised:
    """Of what a card is a revision, from the form's leaf where it has one and that knows."""
    leaf = getattr(sheet, "leaf", None)
    if leaf is None or kind.revised not in (revised_form, revised_stock):
        return kind.revised(sheet)
    return leaf.revised[-1 if kind.revised is revised_stock else 0]


def catalogue_order(sheets: Iterable[Sheet]) -> list[Sheet]:
    """Sheets by family and title, as the front page shows them."""
    return sorted(
        sheets, key=lambda sheet: (str(sheet.form.family or OTHERS).casefold(), str(sheet.form.title).casefold())
    )


def wanted_cards(
    worked: Worked, kinds: Iterable[str] = KINDS, forms: Iterable[str] | None = None, clays: Iterable[str] | None = None
) -> list[Wanted]:
    """The cards of some kinds: form by form in the catalogue's order, then the clays', then the studio's.

    Args:
        worked: the folder.
        kinds: names of KINDS; each form's and clay's cards come in the order of the table.
        forms: slugs; all unless given.
        clays: slugs; all unless given.
    Returns: a form that has no such card is passed over.
    """
    wanted, studio = [kind for kind in KINDS.values() if kind.name in set(kinds)], worked.project.studio
    chosen = set(worked.sheets if forms is None else forms)
    sheets = [
        sheet for sheet in catalogue_order(worked.sheets.values()) if sheet.slug in chosen and sheet.is_worked_out
    ]
    found = [
        Wanted(kind, (sheet,), f"{sheet.slug}-{kind.name}", str(sheet.form.title), studio, (_revised(kind, sheet),), worked.sheets)
        for sheet in sheets for kind in wanted if kind.about == FORM and kind.suits(sheet)
    ]  # fmt: skip
    bodies = [clay for slug, clay in sorted(worked.project.clays.items()) if clays is None or slug in set(clays)]
    found += [
        Wanted(kind, (clay, studio), f"{clay.slug}-{kind.name}", str(clay.title), studio, (kind.revised(clay, studio),))
        for clay in bodies for kind in wanted if kind.about == CLAY
    ]  # fmt: skip
    for kind in wanted:
        listed = [sheet for sheet in sheets if kind.suits(sheet)]
        if kind.about not in (FORM, CLAY) and listed:
            revised = [_revised(kind, sheet) for sheet in listed]  # the cautions' is the same for every form
            found.append(
                Wanted(
                    kind,
                    (studio, listed),
                    kind.name,
                    str(studio.title),
                    studio,
                    tuple({(one.of, one.name): one for one in revised}.values()),
                )
            )
    return [replace(card, own_fonts=worked.fonts) for card in found] if worked.fonts else found


def wanted_runs(worked: Worked) -> list[Wanted]:
    """The run sheet of every open order, the first due first. A run is made once, so there is no record of its revisions."""
    from wareboard.figures.planning import open_orders
    from wareboard.pages.orderpages import plan_of

    project, studio = worked.project, worked.project.studio
    plans = (plan_of(order, project, worked.sheets) for order in open_orders(project))
    return [
        Wanted(RUN, (plan, project, worked.sheets), f"{plan.name}-run", plan.title, studio, (), own_fonts=worked.fonts)
        for plan in plans
        if plan.lines
    ]


def revised_in(worked: Worked, kinds: Iterable[str] = KINDS) -> list[Revised]:
    """Of what there are revisions in a folder: forms, clays, what shops are told; each once for all its cards.

    Forms that are known to stand in the record are left out.
    """
    are_told = kinds is KINDS and worked.leaves is not None and bool(worked.leaves.found)
    known = worked.leaves.new_revisions() if are_told else ()
    if are_told:
        # Leaves know theirs; all others are of clays and of the studio, which any form tells of.
        kinds = [name for name in kinds if KINDS[name].revised not in (revised_form, revised_stock)]
    cards = wanted_cards(worked, kinds, forms=list(worked.sheets)[:1] if are_told else None)
    found = {(one.of, one.name): one for one in (*known, *(one for card in cards for one in card.revised))}
    return list(found.values())


def keep_record(wanted: Iterable[Wanted], record: Record, doing: str, say: Say) -> list[str]:
    """Write down what was made, once for all cards of the same form; returns what is to be said.

    Args:
        wanted: the cards.
        record: the folder's.
        doing: the command, for others who have to wait.
        say: told where there is something to wait for.
    Raises: OSError, the machine is at fault. Specs that cannot be written to are no reason to print nothing.
    """
    lines = record.new_lines(revised for card in wanted for revised in card.revised)
    if not lines:
        return []
    try:
        with journal.writing(record.root, doing, say=say):
            return journal.commit(record.root, journal.Entry(lines))
    except PermissionError as fault:
        return [f"This revision is not remembered, as {record.root} cannot be written to: {fault.strerror}"]


# ---- for the site ----


def make_cards(
    worked: Worked, record: Record, *, site_url: str = "", audience: str = AUDIENCE, say: Say = lambda words: None
) -> dict[str, Path]:
    """Set every card of every form and clay, and the deck for the wall; what did not change is taken from before.

    Args:
        worked: the folder; it has no errors.
        record: when each revision was first made.
        site_url: where the site will stand, for the QR code; none where empty.
        audience: whom they are for; others than the studio have a cache of their own.
        say: told how far it is.
    Returns: finished PDFs in the cache, by their path on the site.
    Raises: engine.CardsUnavailable.
    """
    cache = files.private_folder(worked.root) / "cache"
    cache = cache if audience == AUDIENCE else cache / audience
    known = _read_known(cache)
    placed = [_placed(card, record, site_url, cache, known) for card in [*wanted_cards(worked), *wanted_runs(worked)]]
    decks = _wall_decks([card for card in placed if card.wanted.kind.name in WALL_KINDS], cache, worked)
    made = {f"cards/{card.name}.pdf": card.path for card in placed}
    jobs = _missing(placed, decks)
    if jobs:
        _set_cards(jobs, say)
    if decks:
        made[f"cards/{WALL}.pdf"] = decks[0].path if len(decks) == 1 else _joined(decks, cache)
    _forget_all_but({*made.values(), *(deck.path for deck in decks)}, cache)
    _keep_known(placed, cache, known)
    return made


def card_on_request(
    worked: Worked, record: Record, name: str, *, site_url: str = "", audience: str = AUDIENCE
) -> bytes | None:
    """One card of the site as a PDF: set now, or kept from when it was last asked for.

    Args:
        worked: the folder; it has no errors.
        record: when each revision was first made.
        name: as in the card's address, `tall-beaker-wheel`.
        site_url: where the site will stand, for the QR code; none where empty.
        audience: whom it is for.
    Returns: None where there is no such card.
    Raises: engine.CardsUnavailable.
    """
    cache = files.private_folder(worked.root) / "cache"
    cache = cache if audience == AUDIENCE else cache / audience
    if name == WALL:
        placed = [_placed(card, record, site_url, cache, {}) for card in wanted_cards(worked, WALL_KINDS)]
        decks = _wall_decks(placed, cache, worked)
        for deck in decks:
            _kept_pdf(deck.path, lambda deck=deck: engine.render_deck(*deck.arguments))
        pdfs = [deck.path for deck in decks]
        return (pdfs[0] if len(pdfs) == 1 else _joined(decks, cache)).read_bytes() if pdfs else None
    wanted = _wanted_named(worked, name)
    if wanted is None:
        return None
    text = wanted.text(record, site_url=site_url)
    return _kept_pdf(cache / f"{engine.card_key(text)}.pdf", lambda: engine.render_pdf(text))


def _kept_pdf(path: Path, make: Callable[[], bytes]) -> bytes:
    if is_kept(path):
        return path.read_bytes()
    made = make()
    files.write_whole(path, made)
    return made


def is_kept(path: Path) -> bool:
    """True for a PDF that is there with its beginning and its end: where the power failed, what was written last may lack either.

    Args:
        path: its place in the cache.
    Raises: OSError.
    """
    try:
        with open(path, "rb") as file:
            begins = file.read(5)
            file.seek(max(0, file.seek(0, os.SEEK_END) - 8))
            return begins == b"%PDF-" and file.read().rstrip().endswith(b"%%EOF")
    except FileNotFoundError:
        return False


def _wanted_named(worked: Worked, name: str) -> Wanted | None:
    for kind in KINDS:
        if name == kind or name.endswith(f"-{kind}"):
            about = [name.removesuffix(kind).removesuffix("-")] if name != kind else None
            found = wanted_cards(worked, [kind], about, about)
            if one := next((card for card in found if card.name == name), None):
                return one
    return next((card for card in wanted_runs(worked) if card.name == name), None) if name.endswith("-run") else None


def find_cards(worked: Worked, site: Path, audience: str = AUDIENCE) -> tuple[dict[str, Path], set[str]]:
    """The cards that stand in a site that was built before, where none are made.

    Args:
        worked: the folder.
        site: the site.
        audience: whom it was made for.
    Returns: the cards by their path, and the paths of those that were made of another revision than there is now.
    """
    if not (site / "cards").is_dir():
        return {}, set()
    cache = worked.root / files.PRIVATE / "cache"
    known = _read_known(cache if audience == AUDIENCE else cache / audience)
    found, old = {}, set()
    for card in [*wanted_cards(worked), *wanted_runs(worked)]:
        path = f"cards/{card.name}.pdf"
        if (site / path).is_file():
            found[path] = site / path
            if card.revised and (card.name not in known or known[card.name][3] != _revisions(card)):
                old.add(path)
    wall = f"cards/{WALL}.pdf"
    if (site / wall).is_file():
        found[wall] = site / wall
        if any(path.removesuffix(".pdf").endswith(WALL_KINDS) for path in old):
            old.add(wall)
    return found, old


def _revisions(wanted: Wanted) -> str:
    return " ".join(revised.revision for revised in wanted.revised)


@dataclass(slots=True)
class _Placed:
    """A card and its place in the cache. Its text is written when it is needed; `made_from` is known without it."""

    wanted: Wanted
    name: str
    path: Path
    made_from: str
    size: int
    write: Callable[[], CardText]

    @property
    def text(self) -> CardText:
        """The card before it is set."""
        return self.write()


# By a card's name: what it was made from, its place in the cache, how long its text is, of which revisions it is.
_Known = dict[str, tuple[str, str, int, str]]
KNOWN = "cards.json"


def _placed(wanted: Wanted, record: Record, site_url: str, cache: Path, known: _Known) -> _Placed:
    made_from = _made_from(wanted, record, site_url)
    before = known.get(wanted.name)
    if made_from and before and before[0] == made_from and is_kept(cache / before[1]):
        return _Placed(
            wanted, wanted.name, cache / before[1], made_from, before[2], lambda: wanted.text(record, site_url=site_url)
        )
    text = wanted.text(record, site_url=site_url)
    path = cache / f"{engine.card_key(text)}.pdf"
    return _Placed(wanted, text.name, path, made_from, len(text.html), lambda: text)


def _made_from(wanted: Wanted, record: Record, site_url: str) -> str:
    """A hash of all that a form's card is made from; empty where only its text can tell."""
    leaf = getattr(wanted.about[0], "leaf", None)
    if leaf is None or wanted.kind.about != FORM or not leaf.is_lasting:
        return ""
    made = max(record.made_on(revised) for revised in wanted.revised).isoformat()
    fonts = [hashlib.sha256(font.read_bytes()).hexdigest() for font in wanted.own_fonts]
    return _digest([leaf.key, wanted.kind.name, made, site_url, engine.shared_key(), *fonts])


def _read_known(cache: Path) -> _Known:
    try:
        return {
            str(name): (str(made_from), Path(str(place)).name, int(size), str(revisions))
            for name, (made_from, place, size, revisions) in json.loads((cache / KNOWN).read_bytes()).items()
        }
    except (FileNotFoundError, *files.SPOILT):
        return {}


def _keep_known(placed: Sequence[_Placed], cache: Path, known: _Known) -> None:
    found = {card.name: (card.made_from, card.path.name, card.size, _revisions(card.wanted)) for card in placed}
    if found != known:
        files.write_whole(cache / KNOWN, json.dumps(found).encode())


@frozen
class _Deck:
    """Cards, each with its place in the cache, that are also set as one PDF."""

    placed: tuple[_Placed, ...]
    cache: Path
    title: str

    @property
    def path(self) -> Path:
        """The deck's place in the cache, by the cards that are in it."""
        return self.cache / f"{_digest([self.title, *(card.path.name for card in self.placed)])}.deck.pdf"

    @property
    def arguments(self) -> tuple:
        """What the deck is set from."""
        return [card.text for card in self.placed], self.title, _marks([card.wanted for card in self.placed])


def _marks(wanted: Sequence[Wanted]) -> list[tuple[str, ...]]:
    """Each card's place in the bookmarks: the form, and the kind below it where there are several."""
    several = len({card.kind.name for card in wanted}) > 1
    return [(card.title, card.kind.name) if several else (card.title,) for card in wanted]


def _wall_decks(wall: Sequence[_Placed], cache: Path, worked: Worked) -> list[_Deck]:
    """The cards for the wall in decks, those of a form together."""
    title = _deck_title(worked, WALL_KINDS)
    forms = list(dict.fromkeys(card.wanted.about[0].slug for card in wall))
    groups = [set(forms[start : start + DECK]) for start in range(0, len(forms), DECK)]
    return [_Deck(tuple(card for card in wall if card.wanted.about[0].slug in group), cache, title) for group in groups]


@frozen
class Job:
    """What is to be set: places in the cache, the work that makes their contents, and about how much work that is."""

    places: tuple[Path, ...]
    work: Callable[..., tuple[bytes, ...]]
    arguments: tuple | list
    size: int


def _missing(placed: Sequence[_Placed], decks: Sequence[_Deck]) -> list[Job]:
    """What is not in the cache yet; a card that goes into a deck too is laid out once for both."""
    alone = {card.path: card for card in placed if not is_kept(card.path)}
    jobs: list[Job] = []
    for deck in decks:
        if not is_kept(deck.path):
            places = tuple(card.path for card in deck.placed)
            size = sum(card.size for card in deck.placed)
            jobs.append(Job((*places, deck.path), _render_all, (deck,), size))
            for place in places:
                alone.pop(place, None)
    return jobs + [Job((place,), render_one, (card.text,), card.size) for place, card in alone.items()]


def render_one(card: CardText) -> tuple[bytes, ...]:
    """A card as the content of one place in the cache."""
    return (engine.render_pdf(card),)


def _render_deck(*deck) -> tuple[bytes, ...]:
    return (engine.render_deck(*deck),)


def _render_all(deck: _Deck) -> tuple[bytes, ...]:
    each, whole = engine.render_both(*deck.arguments)
    return (*each, whole)


def _set_cards(jobs: Sequence[Job], say: Say) -> None:
    """Do the jobs; what is done is kept at once."""
    say("setting the cards")
    for count, (job, contents) in enumerate(do_jobs(jobs), 1):
        for place, content in zip(job.places, contents, strict=True):
            files.write_whole(place, content)
        say(f"cards {count} of {len(jobs)}")


def do_jobs(jobs: Sequence[Job]) -> Iterator[tuple[Job, tuple[bytes, ...]]]:
    """Each job with what it made, as it is done: in two processes where that is worth it, the longest first.

    Raises: engine.CardsUnavailable; workers.WorkerKilled.
    """
    # Loaded before anything is forked: no process pays for it twice.
    engine.check_engine()
    order = sorted(range(len(jobs)), key=lambda place: -jobs[place].size)
    many = sum(len(job.places) for job in jobs) >= WORTH_TWO_PROCESSES and (os.cpu_count() or 1) > 1
    work = lambda place: jobs[place].work(*jobs[place].arguments)
    for place, contents in workers.share(work, order, processes=2 if many else 1):
        yield jobs[place], contents


def _joined(decks: Sequence[_Deck], cache: Path) -> Path:
    """Decks behind one another; more than DECK cards at once would need gigabytes."""
    path = cache / f"{_digest(deck.path.name for deck in decks)}.wall.pdf"
    if not is_kept(path):
        from wareboard.cards.imposing import join

        files.write_whole(path, join([deck.path.read_bytes() for deck in decks]))
    return path


def _digest(names: Iterable[str]) -> str:
    return hashlib.sha256(" ".join(names).encode()).hexdigest()[:32]


def _deck_title(worked: Worked, kinds: Iterable[str]) -> str:
    """What a PDF of many cards is called: the studio and the kinds that are in it."""
    named = [name for name in KINDS if name in kinds]
    return f"{worked.project.studio.title}: {', '.join(named)} cards"


def _forget_all_but(kept: set[Path], cache: Path) -> None:
    for path in set(cache.glob("*.pdf")) - kept:
        path.unlink(missing_ok=True)


# ---- on demand ----


def print_cards(
    worked: Worked,
    texts: Sequence[tuple[Wanted, CardText]],
    sheet_mm: tuple[float, float] | None = None,
    say: Say = lambda words: None,
) -> bytes:
    """Some cards as one PDF.

    Args:
        worked: the folder.
        texts: the cards in the order in which they are printed, at least one.
        sheet_mm: width and height of the paper that several go on together, mm; each on its own paper unless given.
        say: told how far it is.
    Returns: the PDF.
    Raises: engine.CardsUnavailable; imposing.SheetTooSmall.
    """
    engine.check_engine()
    title = _deck_title(worked, {wanted.kind.name for wanted, _ in texts})
    if len(texts) == 1:
        pdf = engine.render_pdf(texts[0][1])
    else:
        marks = _marks([wanted for wanted, _ in texts])
        size = _deck_size(len(texts))
        decks = [
            ([text for _, text in texts[start : start + size]], title, marks[start : start + size])
            for start in range(0, len(texts), size)
        ]
        pdfs = _render_decks(decks, len(texts), say)
        if len(pdfs) > 1:
            from wareboard.cards.imposing import join

            pdf = join(pdfs)
        else:
            (pdf,) = pdfs
    if sheet_mm:
        from wareboard.cards.imposing import impose

        say("several on a sheet")
        pdf = impose(pdf, sheet_mm)
    return pdf


def _deck_size(count: int) -> int:
    """Cards in a deck: all of a few, half where two processes are worth it, never too many to be held at once."""
    return min(MOST_TOGETHER, -(-count // 2)) if count >= WORTH_TWO_PROCESSES else MOST_TOGETHER


def _render_decks(decks: Sequence[tuple], count: int, say: Say) -> list[bytes]:
    say(f"setting {count} cards")
    jobs = [Job((Path(str(place)),), _render_deck, deck, len(deck[0])) for place, deck in enumerate(decks)]
    made = {job.places[0].name: content for job, (content,) in do_jobs(jobs)}
    return [made[str(place)] for place in range(len(decks))]
