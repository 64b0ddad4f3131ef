"""The same site written without the site generator: what stands in for it where it will no longer be kept up.

The templates of the look are handed what the generator would hand them; every file comes out the same, which a test
holds over the demo. What a maker's own pages and settings ask of the generator is asked of it alone, and refused here.
"""

from __future__ import annotations

import datetime
import gzip
import io
import os
import posixpath
import shutil
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import quote, urljoin, urlsplit

from jinja2 import Environment, FileSystemLoader, pass_context
from jinja2.runtime import Context

from wareboard import TEMPLATES
from wareboard.output import files, journal, offline
from wareboard.output.builtfolder import Aside, tidy_beside
from wareboard.output.editions import (
    Edition,
    Handed,
    edition_of,
    handed_data,
    handed_pages,
    search_entries,
    write_figures,
    write_index,
)
from wareboard.output.history import Record
from wareboard.output.unchanged import Built, today
from wareboard.output.working import Say, Worked
from wareboard.pages.datafiles import FIGURES_TABLE
from wareboard.pot.frozen import frozen
from wareboard.text.audiences import STUDIO
from wareboard.text.sitesettings import FILE, SiteSettings, read_settings
from wareboard.text.source import Listing, Mapping, Text
from wareboard.words.pagetext import CardLinks, PageText
from wareboard.words.templating import give_words

LOOK = TEMPLATES / "theme"
SEARCH_INDEX = "search/search_index.json"
STYLES = tuple(sorted(path.relative_to(LOOK).as_posix() for path in LOOK.glob("assets/stylesheets/*.css")))
# What `mkdocs.yml` may hold here; all else asks for the site generator.
_KNOWN = {"site_name", "site_url", "site_dir", "docs_dir", "theme", "plugins"}


@dataclass(slots=True)
class PlainPage:
    """A page as templates see it, by the names that the site generator gives."""

    handed: Handed
    canonical_url: str | None
    update_date: str
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
        """The page is written."""
        self._text = None


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
    Raises: files.FolderError, something is set that only the site generator does.
    """
    path = root / FILE
    typed = read_settings(path.read_text(encoding="utf-8") if path.is_file() else "plugins: [search, wareboard]")
    if typed.top is None:
        raise files.FolderError(f"{FILE}: only plain YAML is read without the site generator")
    for key, _ in typed.top.entries:
        if key.text not in _KNOWN:
            raise files.FolderError(f"{FILE}:{key.at.line}: `{key.text}` asks for the site generator")
    if _word(typed, "docs_dir", "specs") != "specs":
        raise files.FolderError(f"{FILE}: pages of your own ask for the site generator")
    options = _options(typed)
    own = Path(os.path.normpath(root / _word(typed, "site_dir", "site")))
    if audience == STUDIO:
        address = _word(typed, "site_url", "")
    else:
        node = options.get("addresses") if options else None
        named = node.get(audience) if isinstance(node, Mapping) else None
        address = named.text if isinstance(named, Text) else ""
    cards, listed = (options.get("cards"), options.get("indexed")) if options else (None, None)
    return PlainSettings(
        own if audience == STUDIO else Path(f"{own}-{audience}"),
        address if not address or audience != STUDIO or address.endswith("/") else f"{address}/",
        not (isinstance(cards, Text) and cards.text.lower() in ("false", "no", "off")),
        tuple(item.text for item in listed.items if isinstance(item, Text)) if isinstance(listed, Listing) else (),
        audience != STUDIO or "search" in _plugins(typed),
    )


def _word(typed: SiteSettings, key: str, otherwise: str) -> str:
    node = typed.find(key)
    return node.text if isinstance(node, Text) and node.text else otherwise


def _plugins(typed: SiteSettings) -> dict[str, Mapping | None]:
    node = typed.find("plugins")
    found: dict[str, Mapping | None] = {}
    for item in node.items if isinstance(node, Listing) else ():
        if isinstance(item, Text):
            found[item.text] = None
        elif isinstance(item, Mapping):
            found |= {key.text: value if isinstance(value, Mapping) else None for key, value in item.entries}
    return found


def _options(typed: SiteSettings) -> Mapping | None:
    plugins = _plugins(typed)
    for name in plugins:
        if name not in ("search", "wareboard"):
            raise files.FolderError(f"{FILE}: the plugin `{name}` asks for the site generator")
    return plugins.get("wareboard")


# ---- writing ----


def build_plain(worked: Worked, record: Record, audience: str, *, with_cards: bool, say: Say) -> Built:
    """Make a site as the site generator makes it; whoever does holds the folder's lock, and has settled its journal.

    Args:
        worked: the folder, without errors.
        record: when each revision was first made.
        audience: for whom.
        with_cards: also set the cards.
        say: told how far it is.
    Raises: files.FolderError, OSError; the last good site stays as it was.
    """
    from wareboard.cards.engine import CardsUnavailable

    settings = read_plain_settings(worked.root, audience)
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
        write_site(edition, aside.path, settings, cards, CardLinks(cards.keys(), out_of_date))
        said = journal.commit(record.root, journal.Entry(record.new_lines(edition.revised()), aside.finish()))
    finally:
        aside.close()
    return Built(settings.site, (), len(cards), without, tuple(said), worked)


def write_site(
    edition: Edition, folder: Path, settings: PlainSettings, cards: dict[str, Path], links: CardLinks
) -> None:
    """Write every file of a site but its mark.

    Args:
        edition: what is shown.
        folder: an empty folder.
        settings: see PlainSettings.
        cards: finished PDFs by their path on the site.
        links: which cards there are.
    """
    day = _today()
    pages = [
        PlainPage(
            handed, urljoin(settings.site_url, quote(handed.path)) if settings.site_url else None, day.isoformat()
        )
        for handed in handed_pages(edition, links, with_cards=bool(cards))
    ]
    environment, shared = _environment(), _shared(edition, settings, pages)
    for path in sorted((LOOK / "assets").rglob("*")):
        if path.is_file():
            _copy(path, folder / path.relative_to(LOOK))
    for data in handed_data(edition):
        if isinstance(data, tuple):
            _copy(data[1], folder / data[0])
        else:
            _write(folder / data.path, data.content)
    for name, made in cards.items():
        _copy(made, folder / name)
    base = urlsplit(settings.site_url or "/").path
    _write(folder / "404.html", environment.get_template("404.html").render(shared, page=None, base_url=base).encode())
    _write_sitemap(folder / "sitemap.xml", environment, pages, day)
    found: list[dict[str, str]] = []
    for page in pages:
        page.active = True
        page.meta["description"] = page.text.description
        if page.text.is_found:
            found += search_entries(page.text, page.url)
        template = environment.get_template(page.handed.template)
        text = template.render(shared, page=page, base_url=_relative(".", page.url))
        _write(folder / page.handed.path, text.encode("utf-8", "xmlcharrefreplace"))
        page.active = False
        page.let_go()
    if edition.leaves is not None:
        write_figures(folder / FIGURES_TABLE, edition.leaves)
    if settings.finds:
        write_index(folder / SEARCH_INDEX, found)
    if offline.is_kept(edition.audience):
        offline.write_list(folder, today())


def _shared(edition: Edition, settings: PlainSettings, pages: list[PlainPage]) -> dict[str, object]:
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
        "nav": [page for page in pages if page.handed.in_navigation],
        "finds": settings.finds,
        "own_pages": (),
    }


def _environment() -> Environment:
    """As the site generator makes it: nothing is escaped but what the templates escape."""
    made = Environment(loader=FileSystemLoader(LOOK), auto_reload=False, extensions=["jinja2.ext.i18n"])
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


def _write_sitemap(path: Path, environment: Environment, pages: list[PlainPage], day: datetime.date) -> None:
    """Where every page stands, for search engines, and the same packed."""
    text = environment.get_template("sitemap.xml").render(pages=[SimpleNamespace(page=page) for page in pages]).encode()
    _write(path, text)
    packed = io.BytesIO()
    midnight = datetime.datetime.combine(day, datetime.time(), datetime.UTC).timestamp()
    with gzip.GzipFile(fileobj=packed, filename=f"{path}.gz", mode="wb", mtime=int(midnight)) as file:
        file.write(text)
    _write(path.with_suffix(".xml.gz"), packed.getvalue())


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def _copy(source: Path, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, path)
