"""The site generator's hooks: our pages, data and cards go in as files that it did not have to read.

Everything about mkdocs is in this room and in `serving`; neither figures, pages nor cards know of it.
"""

from __future__ import annotations

import contextlib
import html
import json
import logging
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, CombinedEvent, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files, InclusionLevel, file_sort_key
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import TableOfContents
from mkdocs.theme import Theme
from mkdocs.utils import CountHandler

from wareboard import TEMPLATES
from wareboard.output import (
    builtfolder,
    editions,
    files,
    folder,
    journal,
    lastgood,
    offline,
    ownpages,
    printing,
    working,
)
from wareboard.output.faults import machine_fault
from wareboard.output.history import Record
from wareboard.output.starting import renew_schemas
from wareboard.output.unchanged import AUDIENCES, STUDIO, today
from wareboard.pages import faultbar
from wareboard.pages.datafiles import FIGURES_TABLE
from wareboard.text import languages
from wareboard.text.problems import ERROR, Problem, format_problem, has_errors, in_file_order
from wareboard.text.sitesettings import (
    FILE,
    FORMERLY,
    SiteSettings,
    check_settings,
    check_theme,
    plugin_name,
    read_settings,
)
from wareboard.text.sitesettings import THEME as LOOK
from wareboard.text.source import Text
from wareboard.words.pagetext import EVERY, PAGE_TEMPLATE, CardLinks, PageText
from wareboard.words.templating import give_words

log = get_plugin_logger("wareboard")
THEME = TEMPLATES / "theme"
SEARCH_INDEX = "search/search_index.json"
PUBLISHED = (
    "What goes out is the studio's own site: sizes at every stage, orders, costs and what shops are told. "
    "For shops there is `wareboard build --for stockist`."
)


class Options(Config):
    """What may stand under the plugin in `mkdocs.yml`."""

    cards = config_options.Type(bool, default=True)
    # Where the sites for others will stand: `{stockist: https://shops.example/}`.
    addresses = config_options.Type(dict, default={})
    # Which sites search engines may list, as `[stockist]`; all others ask them to stay away. With `studio` its page of
    # stock may be listed too: the rest of the studio's own site always may.
    indexed = config_options.ListOfItems(config_options.Choice(AUDIENCES), default=[])


class WareboardPage(Page):
    """A page that brings its own HTML, when the template asks for it; the Markdown reader is never started for it.

    What is not held is made for the moment in which the page is written, so that pages of a thousand forms need
    no more memory than those of ten.
    """

    def __init__(
        self, title: str, make: Callable[[], PageText], file: File, config: MkDocsConfig, template: str = PAGE_TEMPLATE
    ) -> None:
        """The page at its file; `make` gives its text, `template` is the theme's."""
        super().__init__(title, file, config)
        self.make, self.template = make, template
        self._text: PageText | None = None

    @property
    def text(self) -> PageText:
        """The page's text."""
        if self._text is None:
            self._text = self.make()
        return self._text

    def let_go(self) -> None:
        """The page is written."""
        self._text = None

    @property
    def body(self) -> str:
        """The HTML, for the template; other plugins comb `content`, which is empty."""
        return self.text.body

    def read_source(self, config: MkDocsConfig) -> None:
        """Take nothing over. Search entries are ours, so the search plugin need not read the page."""
        self.markdown = ""
        self.meta = {"search": {"exclude": True}, "template": self.template}

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """The HTML comes later."""
        self.content = ""
        self.toc = TableOfContents([])

    @property
    def search_entries(self) -> Iterator[dict[str, str]]:
        """The page and its places as the search index has them."""
        return editions.search_entries(self.text, self.url)


class WareboardPlugin(BasePlugin[Options]):
    """Reads `specs/`, works everything out and hands it to the site generator."""

    def __init__(self) -> None:
        """Nothing is read before the configuration is known."""
        self.serving = False
        self.given: working.Worked | None = None
        self.given_record: Record | None = None
        self.audience = STUDIO
        self.say: working.Say = working.say_nothing
        self.memory = folder.Memory()
        self.listed: list[tuple[str, str]] = []
        self.cards: dict[str, Path] = {}
        self.without_cards = ""
        self.links = CardLinks()
        self.aside: builtfolder.Aside | None = None
        # True where whoever builds is `writing` already.
        self.locked = False
        self.held = contextlib.ExitStack()
        self.said: list[str] = []
        self.warned: CountHandler | None = None
        self.made: dict[str, object] = {}
        self.stale: set[str] = set()
        # While serving: what is shown, where the next build goes, and whether cards are made when they are asked for.
        self.standing: lastgood.Standing | None = None
        self.next_site = ""
        self.on_request = False
        self.server: Any = None
        # What the search finds of our pages, by their addresses.
        self.found: dict[str, list[dict[str, str]]] = {}
        self.settings = SiteSettings("", None)

    def on_startup(self, *, command: str, dirty: bool) -> None:
        """Being here keeps this instance, and what it remembers, from one build to the next."""
        self.serving = command == "serve"
        self.standing, self.server, self.next_site = None, None, ""
        if command == "gh-deploy":
            log.info(PUBLISHED)

    # Before any other plugin sees the configuration: it is completed here.
    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Read and check the folder; nothing of the last site is touched before it is without errors."""
        root = Path(config.config_file_path).resolve().parent
        if config.strict and not self.serving:
            self.warned = CountHandler()
            self.warned.setLevel(logging.WARNING)
            logging.getLogger("mkdocs").addHandler(self.warned)
        self._read_settings(config)
        if not self.serving and not self.locked:
            try:
                self.held.enter_context(journal.writing(root, "mkdocs build", say=log.info))
            except files.FolderError as fault:
                raise PluginError(str(fault)) from fault
        if self.serving:
            self.standing = lastgood.stand(root, self.memory, self.standing)
        worked = self.standing.worked if self.standing else self.given or working.work_out(root, self.memory)
        self.given = None
        self._say_problems(worked)
        for problem in self.standing.wrong if self.standing and not self.server else ():
            log.info(format_problem(problem, self.standing.typed))
        if not (worked.left_out or (self.standing and self.standing.wrong)):
            renew_schemas(root, worked.project)
        self.found = {}
        self.worked, self.record = worked, self.given_record or Record(root)
        self.given_record = None
        self.edition = editions.edition_of(worked, self.record, self.audience)
        self.held.enter_context(languages.speaking(self.edition.language))
        complete_config(config, self.edition, self.settings)
        config.extra["kept_offline"] = (
            offline.is_kept(self.audience) and not self.serving
        )  # a preview changes by itself
        if self.serving:
            config.watch.append(str(root / folder.SPECS))
            config.site_dir = self.next_site or config.site_dir
        else:
            self._open_aside(Path(config.site_dir), root)
            config.site_dir = str(self.aside.path)
        return config

    def _add_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """The site's files: those of our look, the maker's own and what we made.

        Nothing that stands in `specs/` is copied, and nothing of the theme below ours that no page uses.
        """
        if self.audience == STUDIO:
            self._refuse(ownpages.pages_in_specs(files, config))
        own = ownpages.own_files(files, config)
        looks = {str(THEME), config.theme.custom_dir}
        theirs = [file for file in files if file.src_dir in looks and file not in own]
        self._make_cards(config)
        ours = [*self._pages(config), *self._data(config), *self._card_files(config)]
        addresses = {file.dest_uri for file in ours} | {FIGURES_TABLE, SEARCH_INDEX}
        self._refuse(ownpages.clashes(own, addresses, config))
        return Files([*theirs, *own, *ours])

    # After any other plugin has added its pages, or written `nav`.
    @event_priority(-90)
    def _set_navigation(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Our pages first, then the maker's own; what the settings name and nobody has is told at its line."""
        self._refuse(ownpages.wrong_paths(self.settings, files, config))
        pages = sorted(files.documentation_pages(), key=file_sort_key)
        own = [file.src_uri for file in pages if file.inclusion.is_in_nav()]
        for title, source in ownpages.titles(config.nav):
            file = files.get_file_from_path(source)
            if file is not None and isinstance(file.page, WareboardPage):
                file.page.title = title
        config.nav = ownpages.navigation(self.listed, config.nav, own)
        return files

    on_files = CombinedEvent(_add_files, _set_navigation)

    @event_priority(100)
    def on_page_context(self, context, *, page: Page, config: MkDocsConfig, nav):
        """Take the description over, and what the search should find of the page."""
        if isinstance(page, WareboardPage):
            page.meta["description"] = page.text.description
            self.found[page.url] = list(page.search_entries) if page.text.is_found else []
        return context

    @event_priority(-100)
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """The page is written; let its text go."""
        if isinstance(page, WareboardPage) and not self.serving:
            page.let_go()
        return output

    def on_env(self, env, *, config: MkDocsConfig, files: Files):
        """Remember what one page is built with, for the preview."""
        give_words(env)
        self._refuse(ownpages.wrong_templates(env, files, config, THEME))
        nav = self.made.get("nav")
        env.globals["finds"] = "search" in map(plugin_name, config.plugins)
        env.globals["own_pages"] = ownpages.own_items(nav or (), lambda item: isinstance(item, WareboardPage))
        self.made = {"config": config, "files": files, "env": env, "nav": nav}
        return env

    def on_nav(self, nav, *, config: MkDocsConfig, files: Files):
        """Remember the navigation, for the preview."""
        self.made["nav"] = nav
        return nav

    # After the search has written its index.
    @event_priority(-200)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Make the search work from a disk, and swap the finished site in."""
        if self.edition.leaves is not None:
            pieces = editions.figure_pieces(self.edition.leaves)
            files.write_pieces(Path(config.site_dir) / FIGURES_TABLE, pieces)
        if "search" in map(plugin_name, config.plugins):
            self._write_index(Path(config.site_dir) / SEARCH_INDEX)
        if config.extra["kept_offline"]:
            site = Path(config.site_dir)
            files.write_whole(site / offline.LIST, offline.render_list(site, builtfolder.files_below(site), today()))
        if self.aside is not None and not (self.warned and self.warned.get_counts()):
            entry = journal.Entry(self.record.new_lines(self.edition.revised()), self.aside.finish())
            self.said = journal.commit(self.record.root, entry)
            for words in self.said:
                log.info(words)
            log.info(f"The site is at {self.aside.target / 'index.html'}")
            config.site_dir = str(self.aside.target)  # where the rest of the command looks for it
        self.close()

    def on_build_error(self, *, error: Exception) -> None:
        """Leave the last site as it was; what is the machine's fault is said in plain words."""
        said = None if self.locked else machine_fault(error)  # whoever holds the lock says it
        self.close()
        if said:
            raise PluginError(said) from error

    def on_serve(self, server, *, config: MkDocsConfig, builder):
        """Rebuild only what a change to one form touches."""
        from wareboard.output.serving import Server

        self.server = Server(self, server, builder)
        return server

    @property
    def with_cards(self) -> bool:
        """True where pages link cards."""
        return self.on_request or bool(self.cards)

    def card(self, name: str) -> bytes | None:
        """A card as it is now; None where there is none of that name, or none is made on request."""
        if not self.on_request:
            return None
        # While serving, the configuration has the server's own address.
        typed = self.settings.find("site_url")
        site_url = typed.text if isinstance(typed, Text) else ""
        return printing.card_on_request(self.worked, self.record, name, site_url=site_url)

    def page_file(self, text: PageText, config: MkDocsConfig) -> File:
        """A page that came about while serving, as a file of the site generator."""
        return page_file(editions.hand(text, CardLinks(EVERY)), config)

    def tell(self, words: str) -> None:
        """Say something to who is running the preview."""
        log.info(words)

    def on_pre_build(self, config: MkDocsConfig) -> None:
        """What studios wrote before the look was a theme of its own is taken for ours, once other plugins have asked it."""
        if config.theme.name == FORMERLY:
            language = config.theme["language"]
            config.theme = Theme(name=LOOK, custom_dir=config.theme.custom_dir, language=language)

    def on_shutdown(self) -> None:
        """Leave nothing behind."""
        self.close()
        if self.server is not None:
            self.server.close()

    def close(self) -> None:
        """Put away what was not swapped in; the next build is the studio's unless said otherwise. May be called again."""
        self.audience, self.locked = STUDIO, False
        if self.aside is not None:
            self.aside.close()
            self.aside = None
        if self.warned is not None:
            logging.getLogger("mkdocs").removeHandler(self.warned)
            self.warned = None
        self.held.close()

    def _read_settings(self, config: MkDocsConfig) -> None:
        """What was typed into `mkdocs.yml`, and what of it cannot be followed."""
        path = Path(config.config_file_path)
        # Sites for others follow nothing of it.
        typed = path.read_text(encoding="utf-8") if self.audience == STUDIO and path.is_file() else ""
        self.settings = read_settings(typed)
        self._refuse([*check_theme(config.theme.name, self.settings), *check_settings(self.settings)])

    def _refuse(self, problems: list[Problem]) -> None:
        """Say what is wrong with the site's settings and the maker's own files; errors end the build."""
        texts = {FILE: self.settings.text}
        told = [(problem.level, format_problem(problem, texts)) for problem in in_file_order(problems)]
        if has_errors(problems):
            refused = ownpages.Refused(told)
            raise refused if self.locked else PluginError(str(refused))
        for _, words in told:
            log.warning(words)

    def _say_problems(self, worked: working.Worked) -> None:
        said = [format_problem(problem, worked.texts) for problem in worked.problems]
        if worked.refused:
            count = sum(problem.level == ERROR for problem in worked.problems)
            raise PluginError(
                "\n".join([*said, f"{count} {'error' if count == 1 else 'errors'} in the specs; nothing was built"])
            )
        for words in said:
            log.info(words)

    def _open_aside(self, site: Path, root: Path) -> None:
        try:
            builtfolder.tidy_beside(site)
            self.aside = builtfolder.Aside.open(site, self.audience, root)
        except files.FolderError as fault:
            if self.locked:
                raise
            raise PluginError(str(fault)) from fault

    def _make_cards(self, config: MkDocsConfig) -> None:
        self.cards, self.without_cards, out_of_date = {}, "", set()
        made = self.config.cards
        self.on_request = False
        if made:
            from wareboard.cards.engine import CardsUnavailable, check_engine

            try:
                if self.serving:
                    check_engine()
                    self.on_request = True
                else:
                    self.cards = self.edition.cards(config.site_url or "", self.say)
            except CardsUnavailable as fault:
                self.without_cards = str(fault)
                log.warning(f"There will be no new cards: {fault}")
        if not made or self.without_cards:
            # The last ones stay, and say so where they are out of date.
            own = self.aside.target if self.aside else Path(config.config_file_path).resolve().parent / "site"
            self.cards, out_of_date = self.edition.standing(own, config.site_url or "")
        self.links = CardLinks(EVERY if self.on_request else self.cards.keys(), out_of_date)

    def _pages(self, config: MkDocsConfig) -> Iterator[File]:
        self.say("pages")
        self.listed = []
        for handed in editions.handed_pages(self.edition, self.links, with_cards=self.with_cards):
            if handed.in_navigation:
                self.listed.append((handed.title, _source_path(handed.path)))
            yield page_file(handed, config)
        for slug in self.worked.forms_left_out if self.serving else ():
            for page in faultbar.waiting_pages(slug):
                yield page_file(editions.hand(page, self.links), config)

    def _data(self, config: MkDocsConfig) -> Iterator[File]:
        for data in editions.handed_data(self.edition):
            made = {"abs_src_path": str(data[1])} if isinstance(data, tuple) else {"content": data.text}
            path = data[0] if isinstance(data, tuple) else data.path
            yield File.generated(config, path, inclusion=InclusionLevel.INCLUDED, **made)

    def _write_index(self, path: Path) -> None:
        """What the search finds: our entries, and what the search plugin read of the maker's own pages."""
        theirs = json.loads(path.read_bytes())["docs"] if path.is_file() else []
        own = [
            {
                name: html.escape(str(words), quote=False) if name != "location" else words
                for name, words in entry.items()
            }
            for entry in theirs
            if entry["location"] not in self.found
        ]
        entries = [*(entry for entries in self.found.values() for entry in entries), *own]
        for name, content in editions.index_files(SEARCH_INDEX, entries):
            files.write_whole(path.parents[1] / name, content)

    def _card_files(self, config: MkDocsConfig) -> Iterator[File]:
        for path, made in self.cards.items():
            yield File.generated(config, path, abs_src_path=str(made), inclusion=InclusionLevel.INCLUDED)


def complete_config(config: MkDocsConfig, edition: editions.Edition, settings: SiteSettings) -> None:
    """Set what a maker need not know of: our theme, no other host, addresses that work from a disk."""
    config.site_name = edition.title
    listed = config.plugins["wareboard"].config["indexed"]
    config.extra = {
        **config.extra,
        "audience": edition.audience,
        "indexed": edition.audience == STUDIO or edition.audience in listed,
        "stock_indexed": STUDIO in listed,
    }
    if settings.find("use_directory_urls") is None:
        config.use_directory_urls = False  # so that a site works from a disk
    config.theme["language"] = edition.language
    styles = sorted(path.relative_to(THEME).as_posix() for path in THEME.glob("assets/stylesheets/*.css"))
    config.extra_css = [*styles, *(path for path in config.extra_css if path not in styles)]


def page_file(handed: editions.Handed, config: MkDocsConfig) -> File:
    """A page as a file of the site generator."""
    file = _page_at(handed.path, config)
    WareboardPage(handed.title, handed.make, file, config, handed.template)
    return file


def _page_at(path: str, config: MkDocsConfig) -> File:
    """Our pages stand where their links and the codes on cards say, however the maker's own are addressed."""
    file = File.generated(config, _source_path(path), content="", inclusion=InclusionLevel.NOT_IN_NAV)
    file.use_directory_urls = False
    return file


def _source_path(path: str) -> str:
    """The Markdown file that a page's address stands for."""
    return path.removesuffix(".html") + ".md"
