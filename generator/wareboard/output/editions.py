"""What an audience gets of a folder: its pages, data and cards, whoever writes them down as a site."""

from __future__ import annotations

import html
import json
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from wareboard.cards.cardtext import answers_path, bench_path
from wareboard.figures import checks
from wareboard.output import files, keptforms, offline
from wareboard.output.history import Record
from wareboard.output.leaves import Leaves
from wareboard.output.unchanged import ASSISTANT, STOCKIST, STUDIO
from wareboard.output.working import Say, Worked
from wareboard.pages.workings import workings_path
from wareboard.pot.frozen import frozen
from wareboard.words.pagetext import ANSWER_TEMPLATE, BENCH_TEMPLATE, PAGE_TEMPLATE, CardLinks, PageText

if TYPE_CHECKING:
    from wareboard.cards.audience import Stock
    from wareboard.cards.revisions import Revised
    from wareboard.pages.sitepages import DataText


@frozen
class Edition:
    """All that is made for one audience. Whoever has an edition can ask for nothing else.

    `pages` is told whether cards are to be linked; `cards` is told the site's address and whom to tell how far it is, and
    returns finished PDFs by their path on the site; `standing` finds those of a site that was built before, and which of
    them are out of date; `revised` is what is remembered. `leaves` have the forms' pages and
    data where they are kept; `pages` and `data` are then all the others.
    """

    audience: str
    title: str
    language: str
    pages: Callable[[bool], tuple[PageText, ...]]
    data: Callable[[], Iterator[DataText]]
    cards: Callable[[str, Say], dict[str, Path]]
    standing: Callable[[Path, str], tuple[dict[str, Path], set[str]]]
    revised: Callable[[], list[Revised]]
    leaves: Leaves | None = None


def edition_of(worked: Worked, record: Record, audience: str = STUDIO) -> Edition:
    """What an audience gets of a folder without errors.

    Args:
        worked: the folder.
        record: when each revision was first made.
        audience: STUDIO, ASSISTANT or STOCKIST.
    """
    if audience == STOCKIST:
        return _stockist_edition(worked, record)
    from wareboard.cards.audience import makes
    from wareboard.output import printing

    if audience == ASSISTANT:
        worked = _for_making(worked)
    studio, manual = worked.project.studio, {"shows": makes} if audience == ASSISTANT else {}
    return Edition(
        audience, str(studio.title), studio.language_tag, lambda with_cards: render_pages(worked, with_cards=with_cards, record=record, **manual),
        lambda: render_data(worked, audience), lambda site_url, say: printing.make_cards(worked, record, site_url=site_url, audience=audience, say=say),
        lambda site, site_url: printing.find_cards(worked, site, audience), lambda: printing.revised_in(worked), worked.leaves,
    )  # fmt: skip


def _for_making(worked: Worked) -> Worked:
    """The folder worked out anew from what an assistant may know."""
    from wareboard.cards.audience import making_project

    project = making_project(worked.project)
    sheets, problems = checks.check_project(project)
    # Why something is left out is told in the studio's words, which may be private.
    left_out = tuple((slug, "") for slug in worked.forms_left_out)
    return Worked(worked.root, {}, project, sheets, tuple(problems), worked.fonts, left_out=left_out)


def _stockist_edition(worked: Worked, record: Record) -> Edition:
    """What is made for shops. Pages, data and cards see the stock records and nothing else."""
    from wareboard.cards.audience import stock_of
    from wareboard.cards.stock import revised_stock
    from wareboard.output import printing
    from wareboard.output.stockfiles import find_stock_cards, make_stock_cards
    from wareboard.pages.stockpages import render_stockist_site

    stock = stock_of(
        worked.project.studio, worked.sheets.values(), made_on=lambda sheet: record.made_on(revised_stock(sheet))
    )
    cache = files.private_folder(worked.root) / "cache" / STOCKIST
    return Edition(
        STOCKIST, stock.studio, stock.language, lambda with_cards: render_stockist_site(stock, with_cards=with_cards),
        lambda: _shops_data(stock), lambda site_url, say: make_stock_cards(stock, cache, site_url=site_url, own_fonts=worked.fonts, say=say),
        lambda site, site_url: (find_stock_cards(stock, cache, site_url=site_url, own_fonts=worked.fonts), set()), lambda: printing.revised_in(worked, ["stock"]),
    )  # fmt: skip


def _shops_data(stock: Stock) -> Iterator[DataText]:
    """The table, and of each form a drawing and a picture to download."""
    from wareboard.cards.stock import render_stock_csv
    from wareboard.output.stockfiles import picture_of
    from wareboard.pages.stockpages import picture_path, render_drawings
    from wareboard.words.pagetext import DataText

    yield render_stock_csv(stock)
    yield from render_drawings(stock)
    for form in stock.forms:
        yield DataText(picture_path(form), picture_of(form))


def render_pages(worked: Worked, *, with_cards: bool, record: Record | None = None, **manual) -> tuple[PageText, ...]:
    """Every page of the site, the front page first; with a record, forms tell old cards what changed.

    Args:
        worked: the folder.
        with_cards: link the cards.
        record: when each revision was first made.
        **manual: `shows`, see `pages.render_site`.
    """
    from wareboard.pages import sitepages

    told = {"old_cards": record.old_cards} if record else {}
    if worked.leaves is None:
        return sitepages.render_site(
            worked.project, worked.sheets, with_cards=with_cards, left_out=worked.left_out, **told, **manual
        )
    told |= {
        "kept": worked.leaves.kept_page, "kept_numbers": worked.leaves.kept_numbers, "kept_words": worked.leaves.kept_words, "told": keptforms.teaches,
    }  # fmt: skip
    return (
        sitepages.render_front(
            worked.project, worked.leaves.entries(), with_cards=with_cards, left_out=worked.left_out
        ),
        *sitepages.render_overviews(
            worked.project, worked.sheets, with_cards=with_cards, stock=worked.leaves.stock(), **told, **manual
        ),
    )


def render_data(worked: Worked, audience: str = STUDIO) -> Iterator[DataText]:
    """Every data file: each form's figures as JSON and its drawing beside its page, and the tables; but for what leaves have."""
    from wareboard.pages import comparepage, datafiles

    if worked.leaves is None:
        for sheet in worked.sheets.values():
            yield datafiles.render_form_data(sheet)
            if sheet.is_worked_out:
                yield datafiles.render_drawing(sheet)
                yield comparepage.render_compared(sheet)
        yield datafiles.render_figures_csv(worked.sheets.values())
    yield from render_tables(worked, audience)


def render_tables(worked: Worked, audience: str = STUDIO) -> Iterator[DataText]:
    """What tells of several forms: a row of each, the index of data, what shops are told, each open order's plan and days."""
    from wareboard.cards import stock
    from wareboard.pages import answerpage, datafiles, orderpages, sitepages

    shared = lambda: (*datafiles.render_schemas(), answerpage.render_formulas())
    yield from worked.leaves.kept_data("shared", shared) if worked.leaves is not None else shared()
    yield answerpage.render_clays(worked.project)
    if worked.leaves is not None:
        leaves = worked.leaves.found.values()
        rows, entries = (leaf.entry.line for leaf in leaves), (leaf.page.listed for leaf in leaves)
    else:
        known = [sheet for sheet in worked.sheets.values() if sheet.is_worked_out]
        rows = map(datafiles.form_line, worked.sheets.values())
        entries = (datafiles.index_entry(sheet, datafiles.render_form_data(sheet)) for sheet in known)
    shown = (
        worked.leaves.entries() if worked.leaves is not None else sitepages.front_entries(worked.project, worked.sheets)
    )
    yield from sitepages.render_drawn(shown)
    yield datafiles.render_forms_csv(rows)
    yield datafiles.render_index(str(worked.project.studio.title), audience, entries)
    told = (
        worked.leaves.stock()
        if worked.leaves
        else stock.stock_of(worked.project.studio, worked.sheets.values(), own_names=True)
    )
    if told.forms:
        yield stock.render_stock_csv(told, *([worked.leaves.kept_words] if worked.leaves else ()))
    yield from orderpages.render_orders_data(worked.project, worked.sheets)


# ---- as it is handed over ----


class Found(NamedTuple):
    """What the search finds of a page, and of places on it, each as id, title and words."""

    title: str
    search: str
    places: Iterable[tuple[str, str, str]]


class Handed(NamedTuple):
    """A page as it is handed over: where it stands, what it is called, what draws it; `make` gives its text.

    A form's page is made when it is asked for, so that a thousand forms need no more memory than ten. `made_of` is all that its
    text is made of, and `found` what the search finds of it, where both are known without it.
    """

    path: str
    title: str
    make: Callable[[], PageText]
    template: str = PAGE_TEMPLATE
    in_navigation: bool = False
    made_of: tuple[object, ...] = ()
    found: Found | None = None


def handed_pages(edition: Edition, links: CardLinks, *, with_cards: bool) -> Iterator[Handed]:
    """Every page of an edition, the front page first.

    Args:
        edition: the edition.
        links: which cards there are.
        with_cards: link them.
    """
    yield from overview_pages(edition, links, with_cards=with_cards)
    yield from form_pages(edition, links)


def overview_pages(edition: Edition, links: CardLinks, *, with_cards: bool) -> Iterator[Handed]:
    """The pages whose text is there at once, the front page first; see `handed_pages`."""
    for text in edition.pages(with_cards):
        yield hand(text, links)


def form_pages(edition: Edition, links: CardLinks) -> Iterator[Handed]:
    """The pages of forms that have leaves; see `handed_pages`."""
    leaves = edition.leaves
    among = leaves.among() if leaves else None
    for slug, leaf in leaves.found.items() if leaves else ():
        of_leaf, told = (leaf.key,) if leaf.is_lasting else (), leaf.page
        of_page = (*leaves.page_made_of(slug, among), *links.state_of(told.cards)) if leaf.is_lasting else ()
        found = Found(told.title, told.search, told.places)
        yield Handed(
            f"forms/{slug}.html", told.title, partial(_form_page, leaves, slug, links), made_of=of_page, found=found
        )
        yield Handed(
            bench_path(slug), told.bench_title, partial(leaves.bench_view, slug), BENCH_TEMPLATE, made_of=of_leaf
        )
        yield Handed(
            answers_path(slug), told.answers_title, partial(leaves.answers, slug), ANSWER_TEMPLATE, made_of=of_leaf
        )
        yield Handed(workings_path(slug), told.workings_title, partial(leaves.workings, slug), made_of=of_leaf)


def hand(text: PageText, links: CardLinks) -> Handed:
    """A page whose text is there already, with its cards linked."""
    linked = links.of(text)
    return Handed(text.path, text.title, lambda: linked, text.template, text.in_navigation)


def _form_page(leaves: Leaves, slug: str, links: CardLinks) -> PageText:
    return links.of(leaves.page(slug))


def handed_data(edition: Edition) -> Iterator[DataText | tuple[str, Path]]:
    """Every data file but the table of figures: its text, or its path and where it lies already."""
    yield from edition.data()
    if offline.is_kept(edition.audience):
        yield from offline.offline_files(edition.title, edition.language)
    leaves = edition.leaves
    for slug in leaves.found if leaves else ():
        yield from leaves.data_files(slug).items()


def figure_pieces(leaves: Leaves) -> Iterator[bytes]:
    """The table of all figures, a form at a time."""
    from wareboard.pages.datafiles import FIGURES_HEAD

    yield FIGURES_HEAD.encode()
    yield from leaves.rows()


def search_entries(text: PageText | Found, url: str) -> Iterator[dict[str, str]]:
    """A page and its places as the search index has them; its texts are HTML there."""
    safe = lambda words: html.escape(words, quote=False)
    yield {"location": url, "title": text.title, "text": safe(text.search)}
    for place, title, words in text.places:
        of = f"{words} {text.title}".strip()
        yield {"location": f"{url}#{place}", "title": safe(title), "text": safe(of)}


def index_files(path: str, entries: Iterable[dict[str, str]]) -> Iterator[tuple[str, bytes]]:
    """The search index, as data and as a script: a page that was opened from a disk may fetch neither.

    Args:
        path: where it goes, `….json`; the script beside it.
        entries: what is found.
    Returns: each file's path with what it holds.
    """
    index = b"".join(index_pieces(entries))
    yield path, index
    yield index_script(path), SCRIPT + index


SCRIPT = b"var __index = "


def index_script(path: str) -> str:
    """Where the script of a search index stands."""
    return f"{path.removesuffix('.json')}.js"


def index_pieces(entries: Iterable[dict[str, str]]) -> Iterator[bytes]:
    """The search index, an entry at a time."""
    between = b'{"docs":['
    for entry in entries:
        yield between + json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode()
        between = b","
    yield b"]}" if between == b"," else between + b"]}"


def script_pieces(index: Path) -> Iterator[bytes]:
    """The script of a search index that is written."""
    yield SCRIPT
    with open(index, "rb") as file:
        while piece := file.read(1 << 16):
            yield piece
