"""The preview's short way: a change to one form rebuilds its page, and nothing else.

What shows several forms, like the front page and the tables, is made again when it is asked for.
This leans on two private functions of the site generator; a test holds them to what is expected here.
Any doubt, and any fault, leads to a whole build.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, Protocol

from mkdocs.commands.build import _build_page, _populate_page

from wareboard.cards.revisions import revised_form
from wareboard.figures import checks, coats
from wareboard.figures.completing import needs_completing
from wareboard.figures.shaping import Shaper
from wareboard.figures.shown import reader_of
from wareboard.output import build, files, folder
from wareboard.output.history import Record
from wareboard.output.working import Worked
from wareboard.pages import datafiles, sitepages
from wareboard.pages.familypages import Among, among_forms
from wareboard.text import links, projects, specs
from wareboard.text.languages import speaking
from wareboard.text.problems import Problem, format_problem, has_errors, in_file_order
from wareboard.words.pagetext import WORKINGS, CardLinks, DataText, PageText


class Preview(Protocol):
    """What a server's short way asks of the plugin: the last build, and what has gone out of date since."""

    worked: Worked
    memory: folder.Memory
    record: Record
    cards: bool
    links: CardLinks
    stale: set[str]
    made: dict[str, Any]

    def tell(self, words: str) -> None:
        """Say something to who is running the preview."""


class Doubt(Exception):
    """The short way does not hold; the whole site has to be built."""


FRONT = "index.html"
FORMS, BENCH, ANSWERS = "forms/", "bench/", "answers/"


def prepare_server(plugin: Preview, server, builder: Callable) -> None:
    """Give a server the short way of building, and have it make what is out of date when it is asked for.

    Args:
        plugin: the plugin, which remembers the last build.
        server: the site generator's server, not running yet.
        builder: builds the whole site.
    """
    building = threading.RLock()
    answer = server.get_app()

    def build_changed(config=None):
        with building:
            _build_changed(plugin, builder, config)

    def answer_fresh(environ, start_response):
        path = environ.get("PATH_INFO", "").removeprefix(server.mount_path) or FRONT
        if path in plugin.stale:
            with building:
                write_stale(plugin, path)
        return answer(environ, start_response)

    server.builder = build_changed
    server.set_app(answer_fresh)


def _build_changed(plugin: Preview, builder: Callable, config) -> None:
    started = time.perf_counter()
    try:
        changed = rebuild_changed(plugin) if config is None else None
    except Exception as doubt:  # a preview must not go on with half of it done
        plugin.tell(f"building the whole site: {doubt or type(doubt).__name__}")
        changed = None
    if changed is None:
        builder(config) if config is not None else builder()
        plugin.stale.clear()
    else:
        plugin.tell(f"rebuilt {', '.join(changed) or 'nothing'} in {(time.perf_counter() - started) * 1000:.0f} ms")


def rebuild_changed(plugin: Preview) -> list[str]:
    """Rebuild the pages of the forms that changed since the last build.

    Returns: the slugs of the forms that were worked out again.
    Raises: Doubt, or whatever goes wrong; then nothing may be taken for done.
    """
    before = plugin.worked
    texts, found = folder.read_texts(before.root, plugin.memory)
    if found or texts.keys() != before.texts.keys():
        raise Doubt("files have come or gone")
    changed = [path for path, text in texts.items() if text != before.texts[path]]
    if not changed:
        raise Doubt("something else than a spec has changed")
    after = work_out_changed(before, texts, changed, plugin.memory)
    among, was = _among(after), _among(before)
    if among.families != was.families:
        raise Doubt("a family of sizes has changed")
    touched = [slug for slug, sheet in after.sheets.items() if sheet is not before.sheets.get(slug)]
    with speaking(after.project.studio.language_tag):
        _write_touched(plugin, after, touched, touched if among == was else list(after.sheets), among)
    plugin.worked = after
    plugin.stale |= {
        file.dest_uri
        for file in plugin.made["files"]
        if file.generated_by and not file.dest_uri.startswith((FORMS, BENCH, ANSWERS, WORKINGS, "cards/"))
    }
    plugin.stale |= {datafiles.drawing_path(slug) for slug in touched}
    for problem in after.problems:
        if problem not in before.problems:
            plugin.tell(format_problem(problem, texts))
    return touched


def _write_touched(plugin: Preview, after: Worked, touched: list[str], shown: list[str], among: Among) -> None:
    # Every form's page goes from the studio's smallest ball to its largest.
    for slug in shown:
        sheet = after.sheets[slug]
        told = plugin.record.old_cards(revised_form(sheet), reader_of(after.project.studio))
        _write_page(
            plugin,
            sitepages.render_form(sheet, after.project, with_cards=bool(plugin.cards), old_cards=told, among=among),
        )
        if slug in touched:
            _write_page(plugin, sitepages.render_bench_view(sheet, old_cards=told))
            _write_page(plugin, sitepages.render_answers(sheet))
            _write_page(plugin, sitepages.render_workings(sheet))
            _write_data(plugin, datafiles.render_form_data(sheet))


def _among(worked: Worked) -> Among:
    return among_forms(worked.project, {slug: sheet.ball_g for slug, sheet in worked.sheets.items()})


def work_out_changed(before: Worked, texts: dict[str, str], changed: list[str], memory: folder.Memory) -> Worked:
    """The folder worked out again where only some forms have changed.

    Args:
        before: the folder as it was.
        texts: all texts as they are now.
        changed: paths of those that differ.
        memory: what was read before.
    Returns: sheets that are not touched are the same objects as before.
    Raises: Doubt, where more than the forms themselves could be touched.
    """
    project = before.project
    fluid_ounce = str(project.studio.fluid_ounce) if project.studio.fluid_ounce else None
    forms, problems = dict(project.forms), [problem for problem in before.problems if problem.at.file not in changed]
    slugs = []
    for path in changed:
        slug = Path(path).stem
        if not path.startswith(f"{folder.SPECS}/forms/") or slug not in forms:
            raise Doubt(f"{path} is more than one form")
        if slug in coats.weighed_on(project):
            raise Doubt(f"the coat of a glaze was weighed on {slug}")
        faults: list[Problem] = []
        form = projects.read_spec("form", texts[path], path, faults, fluid_ounce, memory.parse, slug)
        if form is None or _listed(form) != _listed(forms[slug]):
            raise Doubt(f"{path} cannot be read, or goes by another name now")
        if needs_completing(form) or any(str(other.like) == slug for other in forms.values() if other.like):
            raise Doubt(f"{path} is like another form, or another is like it")
        problems += faults
        forms[slug] = form
        slugs.append(slug)
    slugs += [slug for slug, form in forms.items() if slug not in slugs and links.other_forms(form) & set(slugs)]
    project = replace(project, forms=forms)
    sheets, shaper = dict(before.sheets), Shaper(project)
    problems = [problem for problem in problems if problem.at.file not in {forms[slug].at.file for slug in slugs}]
    for slug in slugs:
        sheet = checks.check_form(forms[slug], project, shaper)
        problems += [*links.check_form_links(forms[slug], project), *sheet.problems]
        sheets[slug] = sheet
    if has_errors(problems):
        raise Doubt("there are errors")
    return Worked(before.root, texts, project, sheets, tuple(in_file_order(problems)))


def _listed(form: specs.Form) -> tuple:
    """What a form goes by on the pages of others."""
    return form.code, form.title, form.family, form.stockist is None


def write_stale(plugin: Preview, path: str) -> None:
    """Make what shows several forms again, from the last forms: the front page, the other pages or the tables."""
    if path in plugin.stale:
        with speaking(plugin.worked.project.studio.language_tag):
            _write_again(plugin, path)


def _write_again(plugin: Preview, path: str) -> None:
    worked, with_cards = plugin.worked, bool(plugin.cards)
    if path == FRONT:
        entries = sitepages.front_entries(worked.project, worked.sheets)
        made = [sitepages.render_front(worked.project, entries, with_cards=with_cards)]
    elif path.startswith(FORMS):
        made = [datafiles.render_drawing(worked.sheets[Path(path).stem])]
    elif path.endswith(".html"):
        made = sitepages.render_overviews(
            worked.project, worked.sheets, with_cards=with_cards, old_cards=plugin.record.old_cards
        )
    else:
        made = [datafiles.render_figures_csv(worked.sheets.values()), *build.render_tables(worked)]
    for text in made:
        _write_page(plugin, text) if isinstance(text, PageText) else _write_data(plugin, text)
        plugin.stale.discard(text.path)
    plugin.stale.discard(path)


def _write_data(plugin: Preview, data: DataText) -> None:
    files.write_whole(Path(plugin.made["config"].site_dir) / data.path, data.content)


def _write_page(plugin: Preview, text: PageText) -> None:
    """Put a page's new text through the theme, where it differs from the last."""
    config, files, nav, env = (plugin.made[name] for name in ("config", "files", "nav", "env"))
    file = files.get_file_from_path(text.path.removesuffix(".html") + ".md")
    text = plugin.links.of(text)
    if file.page.text == text:
        return
    file.page.let_go()
    file.page.make = lambda: text
    _populate_page(file.page, config, files)
    _build_page(file.page, config, files.documentation_pages(), nav, env)
