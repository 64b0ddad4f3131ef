"""What the site's tests share: studios built once for all workers."""

from __future__ import annotations

import contextlib
import copy
import dataclasses
import fcntl
import functools
import html
import inspect
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple
from unittest import mock

import jinja2
import pytest
from wareboard.cards import engine
from wareboard.figures import checks
from wareboard.output import serving, working
from wareboard.pages import answerpage, benchpage, comparepage, datafiles, formpage, sitepages, workings
from wareboard.text import projects

ROOT = Path(__file__).resolve().parents[2]
WORKED: dict[tuple, working.Worked] = {}
LAID_OUT: dict[tuple, Any] = {}
KEPT_CARDS = ".wareboard/cache"
A_DAY = "1767225600"


def compiled_once(compile_whole):
    """Each build compiles its templates anew, which is a quarter of a small one; here what has the same text is kept."""
    kept = {}

    @functools.wraps(compile_whole)
    def compiled(self, source, name=None, filename=None, raw=False, defer_init=False):
        if not isinstance(source, str) or raw:
            return compile_whole(self, source, name, filename, raw, defer_init)
        key = (
            source,
            name,
            filename,
            defer_init,
            tuple(self.extensions),
            self.autoescape,
            self.trim_blocks,
            self.lstrip_blocks,
            # A filter that is handed more than its value is called otherwise.
            tuple(sorted((name, str(getattr(call, "jinja_pass_arg", ""))) for name, call in self.filters.items())),
        )
        if key not in kept:
            kept[key] = compile_whole(self, source, name, filename, raw, defer_init)
        return kept[key]

    return compiled


jinja2.Environment.compile = compiled_once(jinja2.Environment.compile)


@pytest.fixture(scope="session")
def made_once(tmp_path_factory, worker_id) -> Callable[[str, Callable[[Path], None]], Path]:
    """Makes a folder once for all workers, whoever asks first: `made_once(name, make)`. What is in it is not changed."""
    shared = tmp_path_factory.getbasetemp()
    shared = (shared.parent if worker_id != "master" else shared) / "made-once"

    def made(name: str, make: Callable[[Path], None]) -> Path:
        shared.mkdir(exist_ok=True)
        with open(shared / f"{name}.lock", "w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not (shared / f"{name}.done").exists():
                shutil.rmtree(shared / name, ignore_errors=True)
                (shared / name).mkdir()
                make(shared / name)
                (shared / f"{name}.done").touch()
        return shared / name

    return made


@contextlib.contextmanager
def plain_cards(real: Callable[[engine.CardText], bool] = lambda card: False) -> Iterator[None]:
    """Cards whose words nobody reads: each is set as one page of its paper with its title, and a mark of all its text.

    Args:
        real: which are set whole all the same.
    """
    whole = engine._lay_out

    def plain(card: engine.CardText):
        if real(card):
            return whole(card)
        title = html.escape(card.title)
        text = f"<html lang=en><title>{title}</title><p style='font-size: 8pt'>{title}, {engine.card_key(card)}"
        return whole(engine.CardText(card.name, card.title, text, card.css, card.own_fonts))

    with mock.patch.object(engine, "_lay_out", plain):
        yield


def build_studio(folder: Path, forms: tuple[str, ...] = (), day: str = "") -> None:
    """The demo studio, built with its cards as a stranger's clone would build it: whole, or a few forms without orders, with plain cards."""
    from click.testing import CliRunner
    from wareboard.cli import command

    left_out = shutil.ignore_patterns("runs", "orders") if forms else None
    shutil.copytree(ROOT / "specs", folder / "specs", ignore=left_out)
    shutil.copy(ROOT / "mkdocs.yml", folder)
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        if forms and path.stem not in forms:
            path.unlink()
    if not forms:
        # README's first line has set the demo's cards here already; each is kept by all that it is made from.
        with contextlib.suppress(OSError, shutil.Error):
            shutil.copytree(ROOT / KEPT_CARDS, folder / KEPT_CARDS, ignore=shutil.ignore_patterns("leaves"))
    with plain_cards() if forms else contextlib.nullcontext():
        done = CliRunner().invoke(command, ["-C", str(folder), "build"], env={"SOURCE_DATE_EPOCH": day or None})
    assert done.exit_code == 0, done.output
    (folder / "said").write_text(done.stdout, encoding="utf-8")


@pytest.fixture
def worked_once(monkeypatch) -> None:
    """For commands that are tried many times on one studio: what has the same texts is worked out once, on any day."""
    whole = working.work_out_texts

    def once(root, texts, found, memory, keeping=None):
        found = list(found)
        if keeping or found:
            return whole(root, texts, found, memory, keeping)
        key = (os.environ.get("SOURCE_DATE_EPOCH"), *sorted(texts.items()))
        if key not in WORKED:
            WORKED.clear()
            WORKED[key] = whole(root, texts, found, memory)
        return dataclasses.replace(WORKED[key], root=root, texts=texts)

    monkeypatch.setattr(working, "work_out_texts", once)


SHEETS: dict[tuple, Any] = {}
DRAWN: dict[tuple, Any] = {}
MOST_DRAWN = 2000


@functools.lru_cache(maxsize=4)
def said_by(*specs: ById) -> int:
    """Specs by all that they say."""
    return hash(tuple(repr(one.held) for one in specs))


class ById(NamedTuple):
    """Something that is known by itself, not by what it says."""

    held: Any

    def __hash__(self) -> int:
        return id(self.held)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ById) and self.held is other.held


def said_of(project) -> int:
    """A studio by all that its specs say."""
    of_folders = (getattr(project.files(name), "specs", project.files(name)) for name in projects.FOLDERS)
    return said_by(ById(project.studio), *map(ById, of_folders))


@pytest.fixture
def drawn_once(monkeypatch) -> None:
    """For studios that are built again and again: a form's sheet, and what is drawn of it, is made once of the same specs."""
    work = checks.check_form

    def sheet_of(form, project, shaper):
        key = repr(form), said_of(project), said_of(shaper.resolver.project)
        if key not in SHEETS:
            SHEETS[key] = work(form, project, shaper)
        return SHEETS[key]

    monkeypatch.setattr(checks, "check_form", sheet_of)
    rooms = (answerpage, benchpage, comparepage, datafiles, formpage, sitepages, workings, serving)
    for room, name in (
        (formpage, "render_with_gaps"), (benchpage, "render_bench_view"), (answerpage, "render_answers"), (workings, "render_workings"),
        (datafiles, "render_form_data"), (datafiles, "figure_rows"), (datafiles, "render_drawing"), (comparepage, "render_compared"),
    ):  # fmt: skip
        for user in (one for one in rooms if hasattr(one, name)):
            monkeypatch.setattr(user, name, once_a_sheet(getattr(room, name)))


def once_a_sheet(draw):
    """What is drawn of a sheet, made once for the same sheet, studio and words about old cards."""
    draw = inspect.unwrap(draw)

    @functools.wraps(draw)
    def drawn(sheet, *project, **more):
        if not all(isinstance(one, projects.Project) for one in project):
            return draw(sheet, *project, **more)  # some of its figures
        key = draw.__name__, id(sheet), *map(said_of, project), repr(sorted(more.items()))
        if key not in DRAWN:
            if len(DRAWN) > MOST_DRAWN:
                SHEETS.clear(), DRAWN.clear()
            DRAWN[key] = sheet, draw(sheet, *project, **more)
        return DRAWN[key][1]

    return drawn


@pytest.fixture
def laid_out_once(monkeypatch) -> None:
    """For cards that are printed many times: what has the same text is laid out once, and written each time."""
    whole = engine._lay_out

    def once(card):
        key = card.html, card.css, card.own_fonts, card.title
        if key not in LAID_OUT:
            LAID_OUT[key] = whole(card)
        document = LAID_OUT[key]
        again = document.copy([copy.copy(page) for page in document.pages])  # a deck gives its pages other bookmarks
        again.metadata = copy.copy(document.metadata)
        return again

    monkeypatch.setattr(engine, "_lay_out", once)


@pytest.fixture(scope="session")
def demo(made_once) -> Path:
    """The demo studio, whole and built with its cards; not to be changed. `said` beside its site holds what was said."""
    return made_once("demo", build_studio)


@pytest.fixture(scope="session")
def one_form(made_once) -> Path:
    """A studio of the demo's plainest form, built with its cards; to be copied."""
    return made_once("one-form", lambda folder: build_studio(folder, ("supper-plate",)))


@pytest.fixture(scope="session")
def two_forms(made_once) -> Path:
    """A studio of two forms, one of them like the other, built with its cards on a day that is pinned; to be copied."""
    return made_once("two-forms", lambda folder: build_studio(folder, ("tall-beaker", "short-beaker"), A_DAY))
