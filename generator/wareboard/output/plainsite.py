"""A site written without the site generator, which most studios ask for nothing: the same files, each made only where it changed.

The templates of the look are handed what the generator would hand them; every file comes out the same, which a test
holds over the demo. What a maker's own pages and settings ask of the generator is asked of it alone, and refused here.
"""

from __future__ import annotations

import datetime
import gzip
import io
import os
import posixpath
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import quote, urljoin, urlsplit

from jinja2 import Environment, FileSystemLoader, pass_context
from jinja2.runtime import Context

from wareboard import TEMPLATES
from wareboard.output import files, folder, journal, offline
from wareboard.output.builtfolder import Aside, tidy_beside
from wareboard.output.editions import (
    Edition,
    Handed,
    edition_of,
    figure_pieces,
    form_pages,
    handed_data,
    index_pieces,
    index_script,
    overview_pages,
    script_pieces,
    search_entries,
)
from wareboard.output.filling import Filling, made_of
from wareboard.output.history import Record
from wareboard.output.unchanged import AUDIENCES, STUDIO, Built, program_digest, today
from wareboard.output.working import Say, Worked
from wareboard.pages.datafiles import FIGURES_TABLE
from wareboard.pot.frozen import frozen
from wareboard.text.sitesettings import FILE, THEME, read_settings
from wareboard.text.source import Listing, Mapping, Node, Text
from wareboard.words.pagetext import CardLinks, PageText, is_found
from wareboard.words.templating import CompiledTemplates, give_words

LOOK = TEMPLATES / "theme"
SEARCH_INDEX = "search/search_index.json"
STYLES = tuple(sorted(path.relative_to(LOOK).as_posix() for path in LOOK.glob("assets/stylesheets/*.css")))
# What `mkdocs.yml` may hold here; all else asks for the site generator.
_KNOWN = {"site_name", "site_url", "site_dir", "docs_dir", "theme", "plugins"}
# What has the site generator look elsewhere for a setting.
ELSEWHERE = ("INHERIT", "!ENV", "!relative", "!!python")
_OPTIONS: dict[str, set[str]] = {"search": set(), "wareboard": {"cards", "indexed", "addresses"}}
_YES, _NO = ("true", "yes", "on"), ("false", "no", "off")
# Markdown among the specs is shown nowhere, which the site generator's way tells.
_MARKDOWN = (".md", ".markdown", ".mdown", ".mkdn", ".mkd")


@dataclass(slots=True)
class PlainPage:
    """A page as templates see it, by the names that the site generator gives."""

    handed: Handed
    canonical_url: str | None
    active: bool = False
    children: None = None
    meta: dict[str, str] = field(default_factory=dict)
    _text: PageText | None = None

    @property
    def title(self) -> str:
        """What it is called."""
        return self.handed.title

    @property
    def url(self) -> str:
        """Where it stands on the site."""
        return quote(self.handed.path)

    @property
    def text(self) -> PageText:
        """Its text, made when it is asked for."""
        if self._text is None:
            self._text = self.handed.make()
        return self._text

    @property
    def body(self) -> str:
        """Its HTML."""
        return self.text.body

    @property
    def is_homepage(self) -> bool:
        """True for the front page."""
        return self.handed.path == "index.html"

    def let_go(self) -> None:
        """The page is written, and its text held no more."""
        self._text, self.handed = None, self.handed._replace(make=_is_written)


def _is_written() -> PageText:
    raise AssertionError("a page is written once")


@frozen
class PlainSettings:
    """The few settings that a site needs: where it goes and will stand, whether cards are set, who may list it."""

    site: Path
    site_url: str
    cards: bool
    indexed: tuple[str, ...]
    finds: bool


def read_plain_settings(root: Path, audience: str) -> PlainSettings:
    """The settings of `mkdocs.yml`, read without the site generator.

    Args:
        root: the maker's folder.
        audience: for whom the site is.
    Raises: files.FolderError, something is set that only the site generator does, or that it has to refuse.
    """
    path = root / FILE
    _no_markdown(root / folder.SPECS)
    if not path.exists():
        return PlainSettings(_site_of(root, "site", audience), "", True, (), True)
    try:
        typed = read_settings(path.read_text(encoding="utf-8"))
    except UnicodeDecodeError as fault:
        raise files.FolderError(f"{FILE}: {fault}") from fault
    top = typed.top
    if top is None or any(word in typed.text for word in ELSEWHERE):
        raise files.FolderError(f"{FILE}: only plain YAML is read without the site generator")
    for key, _ in top.entries:
        if key.text not in _KNOWN:
            raise _asks(key)
    if _word(top, "docs_dir") != folder.SPECS:
        raise files.FolderError(f"{FILE}: pages of your own ask for the site generator")
    theme = top.get("theme")
    named = theme if isinstance(theme, Mapping) else top
    if not _word(top, "site_name") or _word(named, "theme" if named is top else "name") != THEME:
        raise _asks(theme or top)
    if named is not top and len(named.entries) > 1:
        raise _asks(named)
    plugins = _plugins(top)
    return PlainSettings(
        _site_of(root, _word(top, "site_dir") or "site", audience),
        _address(top, plugins["wareboard"], audience),
        _is_on(plugins["wareboard"].get("cards")),
        _listed(plugins["wareboard"].get("indexed")),
        audience != STUDIO or "search" in plugins,
    )


def _asks(node: Node) -> files.FolderError:
    said = f"`{node.text}`" if isinstance(node, Text) else "what stands here"
    return files.FolderError(f"{FILE}:{node.at.line}: {said} asks for the site generator")


def _site_of(root: Path, named: str, audience: str) -> Path:
    own = Path(os.path.normpath(root / named))
    return own if audience == STUDIO else Path(f"{own}-{audience}")


def _word(settings: Mapping, key: str) -> str:
    """A text under a key; empty where there is none."""
    node = settings.get(key)
    if node is not None and not (isinstance(node, Text) and node.text):
        raise _asks(node)
    return node.text if isinstance(node, Text) else ""


def _address(top: Mapping, options: dict[str, Node], audience: str) -> str:
    """Where the site will stand; the studio's own ends in a stroke, as the site generator has it."""
    own, others = _word(top, "site_url"), options.get("addresses")
    parts = urlsplit(own)
    if own and not (parts.scheme and parts.netloc and not parts.query and not parts.fragment):
        raise _asks(top.get("site_url") or top)
    if others is not None and not isinstance(others, Mapping):
        raise _asks(others)
    if audience == STUDIO:
        return own if not own or own.endswith("/") else f"{own}/"
    return _word(others, audience) if others else ""


def _is_on(node: Node | None) -> bool:
    """Whether cards are set, which they are unless it is typed otherwise."""
    if node is not None and not (isinstance(node, Text) and not node.quoted and node.text.lower() in _YES + _NO):
        raise _asks(node)
    return not (isinstance(node, Text) and node.text.lower() in _NO)


def _listed(node: Node | None) -> tuple[str, ...]:
    """The sites that search engines may list."""
    found = [item.text for item in node.items if isinstance(item, Text)] if isinstance(node, Listing) else []
    if node is not None and not (
        isinstance(node, Listing) and len(found) == len(node.items) and {*found} <= {*AUDIENCES}
    ):
        raise _asks(node)
    return tuple(found)


def _plugins(top: Mapping) -> dict[str, dict[str, Node]]:
    """The plugins with what is set for them; ours is among them."""
    node, found = top.get("plugins"), dict[str, dict[str, Node]]()
    for item in node.items if isinstance(node, Listing) else ():
        for name, value in item.entries if isinstance(item, Mapping) else ((item, None),):
            if not isinstance(name, Text) or name.text not in ("search", "wareboard"):
                said = name.text if isinstance(name, Text) else ""
                raise files.FolderError(f"{FILE}: the plugin `{said}` asks for the site generator")
            options = {key.text: inner for key, inner in value.entries} if isinstance(value, Mapping) else {}
            if (value is not None and not isinstance(value, Mapping)) or not options.keys() <= _OPTIONS[name.text]:
                raise _asks(name)
            found[name.text] = options
    if "wareboard" not in found:
        raise _asks(node or top)
    return found


def _no_markdown(specs: Path) -> None:
    for above, _, names in os.walk(specs, followlinks=True):
        for name in names:
            if name.lower().endswith(_MARKDOWN) and name != "README.md":
                raise files.FolderError(f"{os.path.join(above, name)} asks for the site generator")


# ---- writing ----


def build_plain(
    worked: Worked, record: Record, settings: PlainSettings, audience: str, *, with_cards: bool, say: Say
) -> tuple[Built, Filling]:
    """Make a site as the site generator makes it; whoever does holds the folder's lock, and has settled its journal.

    Args:
        worked: the folder, without errors.
        record: when each revision was first made.
        settings: see `read_plain_settings`.
        audience: for whom.
        with_cards: also set the cards.
        say: told how far it is.
    Returns: what it came to, and how its folder was filled.
    Raises: files.FolderError, OSError; the last good site stays as it was.
    """
    from wareboard.cards.engine import CardsUnavailable

    edition = edition_of(worked, record, audience)
    tidy_beside(settings.site)
    aside = Aside.open(settings.site, audience, worked.root)
    try:
        cards, out_of_date, without = {}, set[str](), ""
        asked = with_cards and settings.cards
        if asked:
            try:
                cards = edition.cards(settings.site_url, say)
            except CardsUnavailable as fault:
                without = str(fault)
        if without or not asked:
            cards, out_of_date = edition.standing(aside.target, settings.site_url)
        say("pages")
        filling = Filling.open(aside, worked.root)
        write_site(edition, filling, settings, cards, CardLinks(cards.keys(), out_of_date))
        entry = journal.Entry(
            record.new_lines(edition.revised()), aside.finish(filling.digests, filling.standing.files)
        )
        said = journal.commit(record.root, entry)
    finally:
        aside.close()
    return Built(settings.site, (), len(cards), without, tuple(said), worked), filling


def write_site(
    edition: Edition, filling: Filling, settings: PlainSettings, cards: dict[str, Path], links: CardLinks
) -> None:
    """Write every file of a site but its mark.

    Args:
        edition: what is shown.
        filling: an empty folder.
        settings: see PlainSettings.
        cards: finished PDFs by their path on the site.
        links: which cards there are.
    """
    day = _today()
    overviews = list(overview_pages(edition, links, with_cards=bool(cards)))
    environment, shared = _environment(), _shared(edition, settings, overviews)
    # All that stands round a page; the page itself says where it stands and which of the listed ones it is.
    around = made_of(
        program_digest(), vars(shared["config"]), settings, [(page.title, page.url) for page in shared["nav"]]
    )
    for path in sorted((LOOK / "assets").rglob("*")):
        if path.is_file():
            filling.copy(path.relative_to(LOOK).as_posix(), path)
    for data in handed_data(edition):
        if isinstance(data, tuple):
            filling.copy(*data)
        else:
            filling.put_text(data.path, data.content)
    for name, made in cards.items():
        filling.copy(name, made)
    base = urlsplit(settings.site_url or "/").path
    lost = lambda: environment.get_template("404.html").render(shared, page=None, base_url=base).encode()
    filling.put("404.html", around, lost)
    addresses: list[str] = []

    def each_page() -> Iterator[dict[str, str]]:
        """Write each page, hold none; what the search finds of it."""
        overviews.reverse()
        while overviews:
            yield from written(overviews.pop())
        for handed in form_pages(edition, links):
            yield from written(handed)

    def written(handed: Handed) -> Iterator[dict[str, str]]:
        page = next((page for page in shared["nav"] if page.handed is handed), None) or _page(handed, settings)
        filling.put(
            handed.path,
            made_of(around, handed.path, handed.template, handed.title, *(handed.made_of or _said(page.text))),
            partial(_drawn, page, environment, shared),
        )
        if page.canonical_url:
            addresses.append(page.canonical_url)
        if is_found(handed.path, handed.template):
            yield from search_entries(handed.found or page.text, page.url)
        page.let_go()

    if settings.finds:
        filling.write(SEARCH_INDEX, index_pieces(each_page()))
        filling.write(index_script(SEARCH_INDEX), script_pieces(filling.folder / SEARCH_INDEX))
    else:
        deque(each_page(), maxlen=0)
    for name, content in _sitemap(filling.folder, environment, addresses, day):
        filling.put_text(name, content)
    if edition.leaves is not None:
        filling.write(FIGURES_TABLE, figure_pieces(edition.leaves))
    if offline.is_kept(edition.audience):
        known = offline.read_list(filling.last)
        filling.put_text(
            offline.LIST,
            offline.render_list(
                filling.folder, filling.digests, today(), {name: known[name] for name in filling.taken & known.keys()}
            ),
        )


def _said(text: PageText) -> tuple[object, ...]:
    """All that a page's text says."""
    return text.body, text.description, text.head


def _drawn(page: PlainPage, environment: Environment, shared: dict[str, Any]) -> bytes:
    """A page with all that stands round it."""
    page.active = True
    page.meta["description"] = page.text.description
    template = environment.get_template(page.handed.template)
    text = template.render(shared, page=page, base_url=_relative(".", page.url))
    page.active = False
    return text.encode("utf-8", "xmlcharrefreplace")


def _page(handed: Handed, settings: PlainSettings) -> PlainPage:
    return PlainPage(handed, urljoin(settings.site_url, quote(handed.path)) if settings.site_url else None)


def _shared(edition: Edition, settings: PlainSettings, handed: Iterable[Handed]) -> dict[str, Any]:
    """What every template is handed; names that are missing stand for settings that nobody has made."""
    config = SimpleNamespace(
        site_name=edition.title, site_url=settings.site_url, site_description=None, site_author=None, copyright=None,
        repo_url=None, repo_name=None, theme={"language": edition.language}, extra_css=STYLES, extra_javascript=(),
        plugins={"wareboard": SimpleNamespace(serving=False)},
        extra={
            "audience": edition.audience,
            "indexed": edition.audience == STUDIO or edition.audience in settings.indexed,
            "stock_indexed": STUDIO in settings.indexed,
            "kept_offline": offline.is_kept(edition.audience),
        },
    )  # fmt: skip
    return {
        "config": config,
        "nav": [_page(one, settings) for one in handed if one.in_navigation],
        "finds": settings.finds,
        "own_pages": (),
    }


def _environment() -> Environment:
    """As the site generator makes it: nothing is escaped but what the templates escape."""
    made = Environment(
        loader=FileSystemLoader(LOOK),
        auto_reload=False,
        extensions=["jinja2.ext.i18n"],
        bytecode_cache=CompiledTemplates(),
    )
    give_words(made)
    made.filters["url"] = _url
    made.filters["script_tag"] = str  # scripts of a maker's own ask for the site generator
    return made


@pass_context
def _url(context: Context, path: str) -> str:
    """An address as the page that names it has to say it."""
    parts = urlsplit(path)
    if parts.scheme or parts.netloc or path.startswith(("/", "#")):
        return path
    page = context["page"]
    return posixpath.join(context["base_url"], path) if page is None else _relative(path, page.url)


def _relative(path: str, seen_from: str) -> str:
    return posixpath.relpath(path, posixpath.dirname(seen_from) or ".")


def _today() -> datetime.date:
    """The day by which pages are dated, in universal time as the site generator has it."""
    pinned = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.datetime.fromtimestamp(int(pinned), datetime.UTC) if pinned else datetime.datetime.now(datetime.UTC)
    return now.date()


def _sitemap(
    folder: Path, environment: Environment, addresses: Iterable[str], day: datetime.date
) -> Iterator[tuple[str, bytes]]:
    """Where every page stands, for search engines, and the same packed."""
    pages = (
        SimpleNamespace(page=SimpleNamespace(canonical_url=address, update_date=day.isoformat()))
        for address in addresses
    )
    text = environment.get_template("sitemap.xml").render(pages=pages).encode()
    yield "sitemap.xml", text
    packed = io.BytesIO()
    midnight = datetime.datetime.combine(day, datetime.time(), datetime.UTC).timestamp()
    with gzip.GzipFile(fileobj=packed, filename=f"{folder / 'sitemap.xml.gz'}", mode="wb", mtime=int(midnight)) as file:
        file.write(text)
    yield "sitemap.xml.gz", packed.getvalue()
