"""The story from a maker's folder to output: read, work out, check, render, swap in."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from wareboard.figures import checks
from wareboard.output import files, folder, journal
from wareboard.output.builtfolder import read_manifest
from wareboard.output.history import Record
from wareboard.output.leaves import Leaves
from wareboard.output.ownpages import Refused
from wareboard.output.unchanged import Built, remember
from wareboard.output.working import Say, Worked, without_faulty, work_out
from wareboard.text.audiences import ASSISTANT, STOCKIST, STUDIO
from wareboard.text.languages import speaking
from wareboard.text.problems import format_problem
from wareboard.text.sitesettings import FILE, THEME, check_theme, read_settings
from wareboard.text.source import Text

if TYPE_CHECKING:
    from wareboard.cards.audience import Stock
    from wareboard.cards.revisions import Revised
    from wareboard.pages.sitepages import DataText, PageText


# ---- what an audience gets ----


@dataclass(frozen=True, slots=True)
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
    left_out = tuple((slug, "") for slug, _ in worked.left_out)
    return Worked(worked.root, {}, project, sheets, tuple(problems), worked.fonts, left_out=left_out)


def _stockist_edition(worked: Worked, record: Record) -> Edition:
    """What is made for shops. Pages, data and cards see the stock records and nothing else."""
    from wareboard.cards.audience import stock_of
    from wareboard.cards.stock import revised_stock
    from wareboard.output import printing
    from wareboard.output.stockprinting import find_stock_cards, make_stock_cards
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
    from wareboard.output.stockpictures import picture_of
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
    with_fits = [slug for slug, leaf in worked.leaves.found.items() if leaf.kept_fits]
    told["fits_page"] = partial(worked.leaves.kept_page, "fits", with_fits)
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
    from wareboard.pages import datafiles

    if worked.leaves is None:
        for sheet in worked.sheets.values():
            yield datafiles.render_form_data(sheet)
            if sheet.is_worked_out:
                yield datafiles.render_drawing(sheet)
        yield datafiles.render_figures_csv(worked.sheets.values())
    yield from render_tables(worked, audience)


def render_tables(worked: Worked, audience: str = STUDIO) -> Iterator[DataText]:
    """What tells of several forms: a row of each, the index of data, what shops are told, each open order's plan and days."""
    from wareboard.cards import stock
    from wareboard.pages import answerpage, datafiles, orderpages

    yield from datafiles.render_schemas()
    yield answerpage.render_formulas()
    yield answerpage.render_clays(worked.project)
    if worked.leaves is not None:
        leaves = worked.leaves.found.values()
        rows, entries = (leaf.entry.line for leaf in leaves), (leaf.listed for leaf in leaves)
    else:
        known = [sheet for sheet in worked.sheets.values() if sheet.is_worked_out]
        rows = map(datafiles.form_line, worked.sheets.values())
        entries = (datafiles.index_entry(sheet, datafiles.render_form_data(sheet)) for sheet in known)
    yield datafiles.render_forms_csv(rows)
    yield datafiles.render_index(str(worked.project.studio.title), audience, entries)
    told = (
        worked.leaves.stock()
        if worked.leaves
        else stock.stock_of(worked.project.studio, worked.sheets.values(), own_names=True)
    )
    if told.forms:
        yield stock.render_stock_csv(told)
    yield from orderpages.render_orders_data(worked.project, worked.sheets)


# ---- the site ----


def build_site(
    root: Path,
    key: str,
    *,
    with_cards: bool,
    audience: str,
    say: Say,
    typed: Mapping[str, str] = MappingProxyType({}),
    keep_going: bool = False,
) -> Built:
    """Make the whole site; see `site.build_if_changed`. Whoever does holds the folder's lock.

    Args:
        root: the maker's folder.
        key: a hash of all that the site is made from.
        with_cards: also set the cards.
        audience: whom it is for.
        say: told how far it is.
        typed: texts by path that beat the files.
        keep_going: build without the forms that have errors.
    """
    journal.settle(root, say)
    record = Record(root)
    keeping = partial(Leaves.open, root, old_cards=record.old_cards) if audience == STUDIO else None
    worked = work_out(root, typed=typed, keeping=keeping)
    told = tuple((problem.level, format_problem(problem, worked.texts)) for problem in worked.problems)
    if worked.leaves:
        worked.leaves.keep()  # what is sound is not worked out again while a fault is being mended
    if worked.refused:
        rest = without_faulty(worked) if keep_going else None
        if rest is None:
            return Built(None, told, worked=worked)
        worked = rest
    with speaking(worked.project.studio.language_tag):
        return _build_worked(root, key, worked, record, told, with_cards=with_cards, audience=audience, say=say)


def _build_worked(
    root: Path, key: str, worked: Worked, record: Record, told: tuple, *, with_cards: bool, audience: str, say: Say
) -> Built:
    """The site of a folder that is worked out."""
    from mkdocs.commands.build import build

    say("reading the theme")
    if refused := _other_theme(root):
        return Built(None, (*told, *refused), worked=worked)
    config = load_site_config(root, str(worked.project.studio.title))
    if audience != STUDIO:
        config = _config_for(audience, config)
    plugin = config.plugins["wareboard"]
    plugin.given, plugin.say, plugin.audience, plugin.locked = worked, say, audience, True
    plugin.given_record = record
    plugin.config["cards"] = with_cards and plugin.config["cards"]
    site = Path(config.site_dir)
    config.plugins.on_startup(command="build", dirty=False)
    try:
        build(config)
    except Refused as refused:
        return Built(None, (*told, *refused.told), worked=worked)
    finally:
        plugin.close()
    if worked.leaves:
        worked.leaves.keep()
    built = Built(site, told, len(plugin.cards), plugin.without_cards, tuple(plugin.said), worked)
    manifest = read_manifest(site)
    if is_plain(config) and manifest and not (worked.left_out or plugin.without_cards or plugin.said):
        remember(root, key, audience, built, manifest.files)
    return built


# What may stand in mkdocs.yml for a site to depend on nothing but that file, the specs and this program.
PLAIN_PLUGINS = {"search", "wareboard"}
ELSEWHERE = ("INHERIT", "!ENV", "!relative", "!!python")


def is_plain(config) -> bool:
    """True where everything that a site is made from is known here: no plugin, hook or page of somebody else's."""
    path = Path(config.config_file_path)
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    specs = path.parent / folder.SPECS
    return (
        set(config.plugins) <= PLAIN_PLUGINS
        and not config.hooks
        and not config.theme.custom_dir
        and Path(os.path.realpath(config.docs_dir)) == Path(os.path.realpath(specs))
        and not any(word in text for word in ELSEWHERE)
    )


def read_site_url(root: Path) -> str:
    """Where the site will stand, as `mkdocs.yml` has it; empty where it does not say."""
    return (load_site_config(root, "").site_url or "") if (root / "mkdocs.yml").exists() else ""


def site_folder(root: Path, audience: str) -> Path:
    """The folder that an audience's site is built into. Raises: files.FolderError, see `load_site_config`."""
    own = Path(load_site_config(root, "").site_dir)
    return own if audience == STUDIO else Path(f"{own}-{audience}")


def load_site_config(root: Path, title: str):
    """The site's configuration: the folder's own `mkdocs.yml`, or one that serves without.

    Raises: files.FolderError, it cannot be used.
    """
    from mkdocs.config.base import ValidationError, load_config
    from mkdocs.exceptions import ConfigurationError

    own = root / "mkdocs.yml"
    try:
        with open(own, "rb") if own.exists() else _config_text(own, title) as stream:
            config = load_config(config_file=stream, config_file_path=str(own))
    except (ConfigurationError, ValidationError) as fault:
        raise files.FolderError(f"mkdocs.yml: {fault}") from fault
    if "wareboard" not in config.plugins:
        raise files.FolderError("mkdocs.yml does not name the plugin; write `- wareboard` under `plugins:`")
    return config


def _other_theme(root: Path) -> list[tuple[str, str]]:
    """What is said of a theme that is not the pages' own, before the site generator looks for it; else nothing."""
    path = root / FILE
    settings = read_settings(path.read_text(encoding="utf-8") if path.is_file() else f"theme: {THEME}")
    typed = settings.find("theme", "name") or settings.find("theme")
    if not isinstance(typed, Text):
        return []
    return [
        (problem.level, format_problem(problem, {FILE: settings.text})) for problem in check_theme(typed.text, settings)
    ]


def _config_text(own: Path, title: str) -> io.BytesIO:
    """A configuration that serves where there is none, as if it stood in the folder."""
    plain = {
        "site_name": title,
        "docs_dir": folder.SPECS,
        "theme": {"name": "wareboard"},
        "plugins": ["search", "wareboard"],
    }
    stream = io.BytesIO(json.dumps(plain).encode())
    stream.name = str(own)
    return stream


def _config_for(audience: str, own):
    """The configuration for others than the studio.

    What a maker wrote into `mkdocs.yml` for the studio is not carried over, but for where the site goes: into a folder
    beside the studio's, and to the address that stands under the plugin's `addresses`.
    """
    from mkdocs.config.base import load_config

    path = Path(own.config_file_path)
    # Read first: one instance of the plugin serves both configurations.
    options = own.plugins["wareboard"].config
    address, indexed = options["addresses"].get(audience, ""), options["indexed"]
    config = load_config(config_file=_config_text(path, own.site_name), config_file_path=str(path))
    config.site_dir = f"{own.site_dir}-{audience}"
    config.site_url = str(address)
    config.plugins["wareboard"].config["indexed"] = indexed
    return config
