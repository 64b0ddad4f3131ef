"""The preview: a change to one form rebuilds its page, and nothing else; a mistake leaves what was last right, and says so.

What shows several forms, like the front page and the tables, is made again when it is asked for, and so are cards.
This leans on two private functions of the site generator; a test holds them to what is expected here.
Any doubt leads to a whole build, which is made aside: whatever goes wrong with it, the last site stays.
"""

from __future__ import annotations

import json
import logging
import re
import shutil
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Protocol

from mkdocs.commands.build import _build_page, _populate_page

from wareboard import TEMPLATES
from wareboard.cards.revisions import revised_form
from wareboard.figures.shown import reader_of
from wareboard.output import editions, files, folder, lastgood
from wareboard.output.history import Record
from wareboard.output.lastgood import Doubt, Standing
from wareboard.output.printing import WALL
from wareboard.output.working import Worked
from wareboard.pages import comparepage, datafiles, faultbar, sitepages
from wareboard.pages.familypages import Among, among_forms
from wareboard.text.languages import speaking
from wareboard.text.problems import format_problem
from wareboard.words.pagetext import WORKINGS, CardLinks, DataText, PageText


class Preview(Protocol):
    """What a server's short way asks of the plugin: the last build, and what has gone out of date since."""

    worked: Worked
    standing: Standing | None
    next_site: str
    memory: folder.Memory
    record: Record
    on_request: bool
    links: CardLinks
    stale: set[str]
    made: dict[str, Any]

    @property
    def with_cards(self) -> bool:
        """True where pages link cards."""

    def tell(self, words: str) -> None:
        """Say something to who is running the preview."""

    def card(self, name: str) -> bytes | None:
        """A card as a PDF, made now; None where there is none of that name, or none is made on request."""

    def page_file(self, text: sitepages.PageText, config: Any) -> Any:
        """A page as a file of the site generator."""


FRONT = "index.html"
FORMS, BENCH, ANSWERS, COMPARED, CARDS = "forms/", "bench/", "answers/", "compare/", "cards/"
SEARCH = ("search/search_index.json", "search/search_index.js")
_KINDS = {".css": "text/css", ".js": "text/javascript"}


class Server:
    """A site generator's server that is given the short way of building and all that a preview shows beside the site."""

    def __init__(self, plugin: Preview, server: Any, builder: Callable[..., None]) -> None:
        """Nothing runs yet.

        Args:
            plugin: the plugin, which remembers the last build.
            server: the site generator's server.
            builder: builds the whole site.
        """
        self.plugin, self.server, self.builder = plugin, server, builder
        self.building, self.setting = threading.RLock(), threading.Lock()
        self.answer = server.get_app()
        # What the last build stumbled over, where that was no spec; and what it was made from beside specs.
        self.faults: list[faultbar.Message] = []
        self.others = self._other_files()
        server.builder = self.build
        server.error_handler = self._error_page
        server.set_app(self.respond)

    def close(self) -> None:
        """Leave nothing behind."""
        shutil.rmtree(self.server.root, ignore_errors=True)

    # ---- building ----

    def build(self, config: Any = None) -> None:
        """Show what was saved. Nothing is raised: a server whose builder fails answers nobody until it succeeds."""
        with self.building:
            started = time.perf_counter()
            before, others = self.plugin.standing, self._other_files()
            try:
                if config is not None or self.faults or others != self.others or before is None:
                    raise Doubt("something else than a spec has changed")
                changed = self._show(lastgood.follow(before, self.plugin.memory))
            except Exception as doubt:  # a preview must not go on with half of it done
                self._build_whole(config, others, doubt)
            else:
                spent_ms = (time.perf_counter() - started) * 1000
                self.plugin.tell(f"rebuilt {', '.join(changed) or 'nothing'} in {spent_ms:.0f} ms")
            self._tell_wrong(before)

    def _build_whole(self, config: Any, others: dict[str, Any], doubt: Exception) -> None:
        plugin, before = self.plugin, dict(vars(self.plugin))
        if config is None and not self.faults and others == self.others and plugin.standing is not None:
            standing = lastgood.stand(plugin.worked.root, plugin.memory, plugin.standing)
            if standing.worked.texts == plugin.standing.worked.texts and standing.worked.texts != standing.typed:
                self._show(standing)  # nothing of what is new can be shown
                return
        plugin.tell(f"building the whole site: {doubt or type(doubt).__name__}")
        plugin.next_site = tempfile.mkdtemp(prefix="wareboard-preview-")
        listening = _Listening()
        logging.getLogger("mkdocs").addHandler(listening)
        try:
            self.builder() if config is None else self.builder(config)
        except (Exception, SystemExit) as fault:
            shutil.rmtree(plugin.next_site, ignore_errors=True)
            # Also the plugin is as it was: what it remembers is what is shown.
            vars(plugin).update(before)
            self.faults, self.others = _messages_of(fault, listening.said), others
            plugin.tell(f"the last site stays: {self.faults[0].place}: {self.faults[0].words}")
        else:
            self.faults, self.others = [], self._other_files()
            old, self.server.root = self.server.root, plugin.next_site
            shutil.rmtree(old, ignore_errors=True)
            plugin.stale.clear()
            self._watch()
        finally:
            logging.getLogger("mkdocs").removeHandler(listening)
            plugin.next_site = ""

    def _show(self, standing: Standing) -> list[str]:
        with speaking(standing.worked.project.studio.language_tag):
            return show(self.plugin, standing)

    def _tell_wrong(self, before: Standing | None) -> None:
        now = self.plugin.standing
        if now is None:
            return
        for problem in now.wrong:
            if before is None or problem not in before.wrong:
                self.plugin.tell(format_problem(problem, now.typed))
        if before and before.wrong and not now.wrong:
            self.plugin.tell("mended: nothing is wrong in the specs any more")

    def _roots(self) -> Iterator[Path]:
        """Where all that a site is made from stands, but for the site generator's own."""
        config = self.plugin.made["config"]
        yield TEMPLATES
        yield from (
            Path(place) for place in (config.config_file_path, config.docs_dir, config.theme.custom_dir) if place
        )
        yield from map(Path, config.watch)

    def _other_files(self) -> dict[str, Any]:
        """What a site is made from beside specs: each file's time and size."""
        found: dict[str, Any] = {}
        specs = self.plugin.worked.root / folder.SPECS
        for root in dict.fromkeys(self._roots()):
            for path in (root, *root.rglob("*")) if root.is_dir() else (root,):
                if path.suffix in (".yaml", ".yml", ".part") and path.is_relative_to(specs):
                    continue
                try:
                    status = path.stat()
                except OSError:
                    continue
                if not path.is_dir() and not any(part.startswith(".") for part in path.relative_to(root).parts):
                    found[str(path)] = (status.st_mtime_ns, status.st_size)
        return found

    def _watch(self) -> None:
        """Look at what a changed mkdocs.yml names, too."""
        watched = getattr(self.server, "_watched_paths", {})
        for root in self._roots():
            if str(root) not in watched and root.exists() and watched:
                self.server.watch(str(root))

    # ---- answering ----

    def respond(self, environ: dict[str, Any], start_response: Callable) -> Iterable[bytes]:
        """Answer a browser: pages with what is wrong, cards made now, all else as the server has it."""
        path = environ.get("PATH_INFO", "").encode("latin-1", "replace").decode("utf-8", "ignore")
        if not path.startswith(self.server.mount_path):
            return self.answer(environ, start_response)
        path = path.removeprefix(self.server.mount_path)
        path = f"{path}{FRONT}" if not path or path.endswith("/") else path
        if path in (faultbar.STYLE, faultbar.SCRIPT):
            content = (TEMPLATES / path).read_bytes()
            return _send(start_response, "200 OK", _KINDS[Path(path).suffix], content)
        if path.startswith(CARDS) and path.endswith(".pdf"):
            card = self._card(path.removeprefix(CARDS).removesuffix(".pdf"))
            if card is not None:
                return _send(start_response, "200 OK", "application/pdf", card)
        if self.plugin.stale:
            with self.building, speaking(self.plugin.worked.project.studio.language_tag):
                try:
                    write_stale(self.plugin, path, Path(self.server.root))
                except Exception as fault:  # an old page must not be taken for a new one
                    self._build_whole(None, self.others, fault)
        return self._told(path, environ, start_response)

    def _card(self, name: str) -> bytes | None:
        with self.setting, speaking(self.plugin.worked.project.studio.language_tag):
            return self.plugin.card(name)

    def _told(self, path: str, environ: dict[str, Any], start_response: Callable) -> Iterable[bytes]:
        head: list[Any] = []
        body = self.answer(environ, lambda *said: head.extend(said))
        status, headers = head[0], head[1]
        kind = next((value for name, value in headers if name.lower() == "content-type"), "")
        if not kind.startswith("text/html"):
            start_response(status, headers)
            return body
        page = b"".join(body)
        if close := getattr(body, "close", None):
            close()
        return _send(start_response, status, kind, self.told(page, path), headers)

    def told(self, page: bytes, path: str) -> bytes:
        """A page with what is wrong on it."""
        standing = self.plugin.standing
        wrong = [faultbar.message_of(problem, standing.typed) for problem in standing.wrong] if standing else []
        held = {faultbar.page_of(place) for place in standing.held} - {""} if standing else set()
        new = {f"{FORMS}{slug}.html" for slug in standing.worked.forms_left_out} if standing else set()
        return faultbar.with_messages(
            page, path, self.server.mount_path, [*self.faults, *wrong], held=held, new=path in new
        )

    def _error_page(self, code: int) -> bytes | None:
        page = Path(self.server.root) / f"{code}.html"
        return page.read_bytes() if page.is_file() else None


def _send(
    start_response: Callable, status: str, kind: str, content: bytes, headers: Iterable[tuple[str, str]] = ()
) -> list[bytes]:
    kept = [(name, value) for name, value in headers if name.lower() not in ("content-type", "content-length")]
    start_response(
        status, [*kept, ("Content-Type", kind), ("Content-Length", str(len(content))), ("Cache-Control", "no-store")]
    )
    return [content]


class _Listening(logging.Handler):
    """Keeps the errors that the site generator says before it gives up."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """See logging.Handler."""
        self.said.append(record.getMessage())


# A problem as `format_problem` says it: place, level, words, rule; the line with its carets; the hint.
_FORMATTED = re.compile(
    r"(?P<place>[^\n:]+(?::\d+)?)(?::\d+)?: error: (?P<words>.*?) \[[\w-]+\](?P<excerpt>(?:\n(?!   hint: )[ \d|^].*)*)(?:\n   hint: (?P<hint>.*))?"
)


def _messages_of(fault: BaseException, said: list[str]) -> list[faultbar.Message]:
    """What a whole build stumbled over: a setting or a template at its line, or whatever the site generator said."""
    words = "; ".join(said) if said and not str(fault).strip() else str(fault) or type(fault).__name__
    told = [
        faultbar.Message(found["place"], found["words"], found["excerpt"].strip("\n"), found["hint"] or "")
        for text in (words, *said)
        for found in _FORMATTED.finditer(text)
    ]
    if told:
        return list(dict.fromkeys(told))
    line, name = getattr(fault, "lineno", None), getattr(fault, "filename", None) or getattr(fault, "name", None)
    if line and name:
        return [faultbar.Message(f"{Path(name).name}:{line}", str(getattr(fault, "message", words)))]
    if said and isinstance(fault, SystemExit):
        words = "; ".join(said)
    return [faultbar.Message("mkdocs.yml", words)]


# ---- the short way ----


def show(plugin: Preview, standing: Standing) -> list[str]:
    """Write the pages of what changed between what was shown and what is to be shown.

    Args:
        plugin: the plugin, which remembers the last build.
        standing: what is to be shown.
    Returns: the slugs of the forms that were worked out again.
    Raises: Doubt, or whatever goes wrong; then nothing may be taken for done.
    """
    before, after = plugin.worked, standing.worked
    among, was = _among(after), _among(before)
    if among.families != was.families:
        raise Doubt("a family of sizes has changed")
    touched = [slug for slug, sheet in after.sheets.items() if sheet is not before.sheets.get(slug)]
    if touched and not plugin.on_request:
        _age_cards(plugin, touched)
    for slug in after.forms_left_out:
        for text in faultbar.waiting_pages(slug):
            _write_page(plugin, text)
    plugin.worked, plugin.standing = after, standing
    if touched or after.left_out != before.left_out or after.texts != before.texts:
        plugin.stale |= set(SEARCH)
        plugin.stale |= {
            file.dest_uri
            for file in plugin.made["files"]
            if file.generated_by and not file.dest_uri.startswith((FORMS, BENCH, ANSWERS, COMPARED, WORKINGS, CARDS))
        }
        plugin.stale |= {path for slug in touched for path in _paths_of(slug)}
        if among != was:  # every form's page goes from the studio's smallest ball to its largest
            plugin.stale |= {f"{FORMS}{slug}.html" for slug in after.sheets}
    for problem in after.problems:
        if problem not in before.problems:
            plugin.tell(format_problem(problem, after.texts))
    return touched


def _paths_of(slug: str) -> tuple[str, ...]:
    """All that is of one form alone."""
    pages = (f"{place}{slug}.html" for place in (FORMS, BENCH, ANSWERS, WORKINGS))
    return (*pages, f"{FORMS}{slug}.json", datafiles.drawing_path(slug), comparepage.compared_path(slug))


def _write_form(plugin: Preview, path: str) -> None:
    """Make what is of one form again: its page alone where nothing but the other forms has changed."""
    worked, slug = plugin.worked, Path(path).stem
    sheet = worked.sheets.get(slug)
    if sheet is None:
        return
    told = plugin.record.old_cards(revised_form(sheet), reader_of(worked.project.studio))
    if path == f"{FORMS}{slug}.html":
        among, with_cards = _among(worked), plugin.with_cards
        page = sitepages.render_form(sheet, worked.project, with_cards=with_cards, old_cards=told, among=among)
        _write_page(plugin, page)
    elif path.startswith(BENCH):
        _write_page(plugin, sitepages.render_bench_view(sheet, old_cards=told))
    elif path.startswith(ANSWERS):
        _write_page(plugin, sitepages.render_answers(sheet))
    elif path.startswith(WORKINGS):
        _write_page(plugin, sitepages.render_workings(sheet))
    elif path.startswith(COMPARED):
        _write_data(plugin, comparepage.render_compared(sheet))
    else:
        drawn = path == datafiles.drawing_path(slug)
        _write_data(plugin, datafiles.render_drawing(sheet) if drawn else datafiles.render_form_data(sheet))


def _age_cards(plugin: Preview, touched: Iterable[str]) -> None:
    """Cards that stand from the last build and are of forms that have changed since are out of date."""
    begins = tuple(f"{CARDS}{slug}-" for slug in touched)
    old = {path for path in plugin.links.there if path.startswith(begins) or path == f"{CARDS}{WALL}.pdf"}
    plugin.links = CardLinks(plugin.links.there, {*plugin.links.out_of_date, *old})


def _among(worked: Worked) -> Among:
    return among_forms(worked.project, {slug: sheet.ball_g for slug, sheet in worked.sheets.items()})


def write_stale(plugin: Preview, path: str, site: Path) -> None:
    """Make what shows several forms again, from the last forms: the front page, the other pages or the tables.

    Args:
        plugin: the plugin.
        path: what is asked for, below the site's root; also something that has only come about since.
        site: the site's root.
    """
    if path not in plugin.stale and ((site / path).exists() or not path.endswith((".html", ".csv", ".json"))):
        return
    worked, with_cards = plugin.worked, plugin.with_cards
    made: list[Any] = []
    if path in SEARCH:
        # What is found of a form does not hang on the others' balls.
        only_aged = lambda name: name.startswith(FORMS) and f"{BENCH}{Path(name).name}" not in plugin.stale
        for page in [name for name in plugin.stale if name.endswith(".html") and not only_aged(name)]:
            write_stale(plugin, page, site)
        _write_search(plugin, site)
        plugin.stale -= set(SEARCH)
    elif path == FRONT:
        entries = list(sitepages.front_entries(worked.project, worked.sheets))
        front = sitepages.render_front(worked.project, entries, with_cards=with_cards, left_out=worked.left_out)
        made = [*sitepages.render_drawn(entries), front]
    elif path in _paths_of(Path(path).stem):
        _write_form(plugin, path)
    elif path.endswith(".html"):
        made = list(
            sitepages.render_overviews(
                worked.project, worked.sheets, with_cards=with_cards, old_cards=plugin.record.old_cards
            )
        )
    else:
        made = [datafiles.render_figures_csv(worked.sheets.values()), *editions.render_tables(worked)]
    for text in made:
        _write_page(plugin, text) if isinstance(text, PageText) else _write_data(plugin, text)
        plugin.stale.discard(text.path)
    plugin.stale.discard(path)


def _write_search(plugin: Preview, site: Path) -> None:
    """The search index again, of our pages as they are now and the maker's own as they were."""
    index = site / SEARCH[0]
    if not index.is_file():
        return
    said = json.loads(index.read_bytes())
    pages = [file.page for file in plugin.made["files"] if hasattr(file.page, "search_entries")]
    ours = {page.url for page in pages}
    kept = [entry for entry in said["docs"] if entry["location"].partition("#")[0] not in ours]
    said["docs"] = [*kept, *(entry for page in pages if page.text.is_found for entry in page.search_entries)]
    text = json.dumps(said, separators=(",", ":")).encode()
    files.write_whole(index, text)
    files.write_whole(site / SEARCH[1], b"var __index = " + text)


def _write_data(plugin: Preview, data: DataText) -> None:
    files.write_whole(Path(plugin.made["config"].site_dir) / data.path, data.content)


def _write_page(plugin: Preview, text: PageText) -> None:
    """Put a page's new text through the theme, where it differs from the last."""
    config, files, nav, env = (plugin.made[name] for name in ("config", "files", "nav", "env"))
    file = files.get_file_from_path(text.path.removesuffix(".html") + ".md")
    text = plugin.links.of(text)
    if file is None:
        file = plugin.page_file(text, config)
        files.append(file)
    elif file.page.text == text:
        return
    file.page.let_go()
    file.page.title, file.page.template, file.page.make = text.title, text.template, lambda: text
    _populate_page(file.page, config, files)
    _build_page(file.page, config, files.documentation_pages(), nav, env)
