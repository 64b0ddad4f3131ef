"""The preview: a change to one form rebuilds what it touches, with the bytes of a whole build."""

import html
import inspect
import json
import mimetypes
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from types import SimpleNamespace

import pytest
from mkdocs.commands import build as site_generator
from wareboard.output import serving
from wareboard.output.build import load_site_config

from tests.printed import pages_of

pytestmark = pytest.mark.usefixtures("drawn_once")
ROOT = Path(__file__).resolve().parents[2]


class Preview:
    """What `mkdocs serve` does, without a server: one folder, built whole and then by the short way."""

    def __init__(self, folder):
        self.folder, self.first_site, self.said, self.whole_builds = folder, folder / "preview", [], 0
        self.plugin = None
        self.builder(self.config())
        self.plugin.tell = self.said.append
        self.app = self.file
        self.server = SimpleNamespace(
            root=str(self.first_site), builder=None, mount_path="/", error_handler=None,
            get_app=lambda: self.app, set_app=lambda new: setattr(self, "app", new),
        )  # fmt: skip
        self.plugin.on_serve(self.server, config=None, builder=self.builder)

    @property
    def site(self):
        return Path(self.server.root)

    def file(self, environ, start_response):
        """What the site generator's server does: a file, or its page for what is not there."""
        path = self.site / environ["PATH_INFO"].lstrip("/")
        kind = mimetypes.guess_type(path.name)[0]
        if path.is_file():
            start_response("200 OK", [("Content-Type", kind), ("Content-Length", str(path.stat().st_size))])
            return [path.read_bytes()]
        start_response("404 Not Found", [("Content-Type", "text/html")])
        return [self.server.error_handler(404)]

    def ask(self, path):
        """What a browser is sent."""
        said = []
        content = b"".join(self.app({"PATH_INFO": path}, lambda *head: said.extend(head)))
        self.status, self.headers = said[0], dict(said[1])
        return content

    def shown(self, path):
        """A page's text as it is read, without tags."""
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", self.ask(path).decode())).split())

    def save(self):
        """The server has seen that something was saved."""
        self.server.builder()

    def config(self):
        config = load_site_config(self.folder, "")
        config.site_dir = str(self.first_site)
        if self.plugin is None:
            self.plugin = config.plugins["wareboard"]
            config.plugins.on_startup(command="serve", dirty=False)
        return config

    def builder(self, config=None):
        self.whole_builds += 1
        site_generator.build(config or self.config(), serve_url="http://127.0.0.1:8000/")

    def pages(self):
        """Every page and data file, as a browser that asks for each would see it."""
        while self.plugin.stale:
            self.ask(f"/{min(self.plugin.stale)}")
        return {
            path.relative_to(self.site).as_posix(): path.read_bytes()
            for path in self.site.rglob("*")
            if path.suffix in (".html", ".json", ".csv") and path.parent.name != "search"
        }

    def change(self, before, after, path="specs/forms/tall-beaker.yaml"):
        file = self.folder / path
        text = file.read_text(encoding="utf-8")
        assert before in text
        file.write_text(text.replace(before, after, 1), encoding="utf-8")


def copy_forms(folder, *more):
    """Three of the demo's forms, of which one leans on another; and more of them."""
    shutil.copytree(ROOT / "specs", folder / "specs", ignore=shutil.ignore_patterns("runs", "orders"))
    shutil.copy(ROOT / "mkdocs.yml", folder)
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        if path.stem not in ("tall-beaker", "short-beaker", "supper-plate", *more):
            path.unlink()


@pytest.fixture
def preview(tmp_path):
    """A preview of three of the demo's forms."""
    copy_forms(tmp_path)
    made = Preview(tmp_path)
    yield made
    made.plugin.on_shutdown()


@pytest.fixture
def preview_with_a_lid(tmp_path):
    """A preview of one more, of two parts that fit."""
    copy_forms(tmp_path, "tea-caddy")
    made = Preview(tmp_path)
    yield made
    made.plugin.on_shutdown()


def test_a_changed_form_is_rebuilt_alone_with_the_bytes_of_a_whole_build(preview_with_a_lid):
    preview = preview_with_a_lid
    preview.change("fill_to: 82", "fill_to: 81", "specs/forms/tea-caddy.yaml")
    preview.save()
    assert "tea-caddy" in preview.said[-1]
    preview.change("rim: {height: 120, diameter: 80}", "rim: {height: 131, diameter: 80}")
    before = preview.pages()
    preview.save()
    after = preview.pages()
    assert preview.whole_builds == 1 and "tall-beaker" in preview.said[-1], preview.said
    changed = {path for path in after if after[path] != before[path]}
    assert {"forms/tall-beaker.html", "forms/tall-beaker.json", "figures.csv"} <= changed
    assert not [path for path in changed if "supper-plate" in path or "tea-caddy" in path]
    preview.builder()
    assert preview.pages() == after


def test_what_shows_all_forms_is_made_again_when_it_is_asked_for(preview):
    front = preview.site / "index.html"
    before = front.read_bytes()
    preview.change("rim: {height: 120, diameter: 80}", "rim: {height: 131, diameter: 80}")
    preview.save()
    assert front.read_bytes() == before
    shown = preview.ask("/index.html")
    assert front.read_bytes() != before and front.read_bytes().removesuffix(b"</body>\n</html>") in shown
    assert "figures.csv" in preview.plugin.stale and "index.html" not in preview.plugin.stale
    preview.builder()
    preview.change("rim: {height: 131, diameter: 80}", "rim: {height: 120, diameter: 80}")
    preview.change("millpond-buff", "quarry-brown")
    preview.change("loss_on_ignition: 6 %", "loss_on_ignition: 6.5 %", "specs/clays/quarry-brown.yaml")
    preview.save()
    assert preview.plugin.stale == set()


def test_a_form_that_leans_on_the_changed_one_is_rebuilt_with_it(preview):
    preview.change("wall: 4", "wall: 4.5")
    before = preview.pages()
    preview.save()
    after = preview.pages()
    assert preview.whole_builds == 1, preview.said
    assert after["forms/short-beaker.json"] != before["forms/short-beaker.json"]
    preview.builder()
    assert preview.pages() == after


@pytest.mark.parametrize(
    "path, before, after",
    [
        ("specs/forms/tall-beaker.yaml", "title: Tall beaker", "title: Taller beaker"),
        ("specs/clays/millpond-buff.yaml", "loss_on_ignition: 7 %", "loss_on_ignition: 8 %"),
        ("specs/studio.yaml", "bat: 12 mm", "bat: 14 mm"),
    ],
)
def test_what_touches_more_than_one_form_builds_the_whole_site(preview, path, before, after):
    preview.change(before, after, path)
    preview.save()
    assert preview.whole_builds == 2


def test_a_form_that_comes_or_goes_builds_the_whole_site(preview):
    (preview.folder / "specs" / "forms" / "supper-plate.yaml").unlink()
    preview.save()
    assert preview.whole_builds == 2 and "forms/supper-plate.html" not in preview.pages()


@pytest.mark.parametrize("wrong, said", [("wal: 4", "wal"), ("wall: 140", "wall")])
def test_a_mistake_keeps_what_was_last_right_and_says_so_on_every_page(preview, wrong, said):
    """A key that cannot be read, and a size that can but leaves no pot."""
    before = preview.pages()
    preview.change("wall: 4", wrong)
    preview.save()
    assert preview.pages() == before and preview.whole_builds == 1, preview.said
    line = f"tall-beaker.yaml:{line_of(preview, wrong)}: "
    for path in ("/index.html", "/forms/supper-plate.html", "/bench/tall-beaker.html", "/glossary.html"):
        page = preview.ask(path).decode()
        bar = page[page.index('<details class="faultbar"') :]
        assert line in bar and said in bar and f"   {wrong}" in bar and "^^^" in bar, path
        assert ('class="problems faults"' in page) is False, path
        assert int(preview.headers["Content-Length"]) == len(page.encode())
    own = preview.ask("/forms/tall-beaker.html").decode()
    place = own[own.index("<h1>") : own.index('<nav class="contents')]
    assert 'class="problems faults"' in place
    assert "^^^" in place and "shows what was last right" in place
    # Other forms go on, and so does this one once it is mended, without a whole build.
    preview.change("notes: |\n", "notes: |\n  A line that was not there before.\n\n", "specs/forms/supper-plate.yaml")
    preview.save()
    assert "not there before" in preview.shown("/forms/supper-plate.html")
    preview.change(wrong, "wall: 6")
    preview.save()
    after = preview.pages()
    assert after["forms/tall-beaker.json"] != before["forms/tall-beaker.json"] and preview.whole_builds == 1
    for path in ("/index.html", "/forms/tall-beaker.html"):
        assert b"faultbar-said" in preview.ask(path) and b"<details" not in preview.ask(path).split(b"faultbar-said")[1]
    assert preview.said[-1].startswith("mended")
    preview.builder()
    assert preview.pages() == after


def line_of(preview, words, path="specs/forms/tall-beaker.yaml"):
    """The first line on which something stands."""
    lines = (preview.folder / path).read_text(encoding="utf-8").splitlines()
    return next(number for number, line in enumerate(lines, 1) if words in line)


def test_a_message_that_holds_html_is_text(preview):
    preview.change("wall: 4", "wall: '<script>x</script>'")
    preview.save()
    assert b"<script>x" not in preview.ask("/forms/tall-beaker.html")
    assert "<script>x" in preview.shown("/forms/tall-beaker.html")


def test_what_leans_on_a_mistake_waits_and_says_so(preview):
    """The short beaker takes a size of the tall one, which loses it: what was last right of both is shown."""
    before = preview.pages()
    named = re.search(r"tall-beaker/(\S+?)[,}\s]", (preview.folder / "specs/forms/short-beaker.yaml").read_text())[1]
    text = (preview.folder / "specs/forms/tall-beaker.yaml").read_text(encoding="utf-8")
    part = named.split(".")[0]
    (preview.folder / "specs/forms/tall-beaker.yaml").write_text(text.replace(f"  {part}:", "  vessel:", 1))
    preview.save()
    assert {path: page for path, page in preview.pages().items() if path.startswith("forms/")} == {
        path: page for path, page in before.items() if path.startswith("forms/")
    }
    assert "short-beaker.yaml:" in preview.shown("/index.html")
    assert "leans on something that is wrong elsewhere" in preview.shown("/forms/tall-beaker.html")
    (preview.folder / "specs/forms/tall-beaker.yaml").write_text(text, encoding="utf-8")
    preview.save()
    assert preview.pages() == before and b"problems faults" not in preview.ask("/forms/tall-beaker.html")


@pytest.mark.parametrize(
    "path, before, after",
    [
        ("specs/clays/millpond-buff.yaml", "loss_on_ignition: 7 %", "loss_on_ignition: 7 mm"),
        ("specs/clays/millpond-buff.yaml", "loss_on_ignition: 7 %", "loss_on_ignition: 99.9 %"),
        ("specs/studio.yaml", "bat: 12 mm", "bat: 12 kg"),
        ("specs/studio.yaml", "title:", "title: ["),
    ],
)
def test_a_mistake_in_what_all_forms_share_builds_nothing(preview, path, before, after):
    pages = preview.pages()
    preview.change(before, after, path)
    preview.save()
    assert preview.pages() == pages and f"{Path(path).name}:" in preview.shown("/forms/tall-beaker.html")
    preview.change("wall: 4", "wall: 4.5")
    preview.save()
    assert preview.pages()["forms/tall-beaker.json"] != pages["forms/tall-beaker.json"] and preview.whole_builds == 1
    preview.change(after, before, path)
    preview.change("wall: 4.5", "wall: 4")
    preview.save()
    assert preview.pages() == pages and "<details" not in preview.ask("/glossary.html").decode()


def remove(path):
    path.unlink()


def make_folder(path):
    path.unlink()
    path.mkdir()


def write_bytes(path):
    path.write_bytes(b"title: \xff\n")


def write_too_much(path):
    path.write_text("# much\n" * 200_000)


def rename(path):
    path.rename(path.with_name("Tall Beaker.yaml"))


@pytest.mark.parametrize("spoil", [remove, make_folder, write_bytes, write_too_much, rename])
def test_a_file_that_others_lean_on_and_that_cannot_be_read_stays_as_it_was(preview, spoil):
    """The short beaker takes a size of the tall one."""
    before, path = preview.pages(), preview.folder / "specs" / "forms" / "tall-beaker.yaml"
    text = path.read_text(encoding="utf-8")
    spoil(path)
    preview.save()
    # The front page names a file that nobody takes for a spec.
    after = {**preview.pages(), "index.html": before["index.html"]}
    assert preview.whole_builds == 1 and after == before, preview.said
    assert ("Not on this site" in preview.shown("/index.html")) == (spoil is rename)
    assert re.search(r"\d wrong", preview.shown("/glossary.html"))
    assert re.search(r"wrong elsewhere|What is wrong", preview.shown("/forms/tall-beaker.html"))
    shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    path.with_name("Tall Beaker.yaml").unlink(missing_ok=True)
    path.write_text(text, encoding="utf-8")
    preview.save()
    assert preview.pages() == before and "1 wrong" not in preview.shown("/glossary.html")


def test_no_specs_at_all_keeps_the_last_site(preview):
    before = preview.pages()
    (preview.folder / "specs").rename(preview.folder / "away")
    preview.save()
    assert preview.pages() == before and "no specs/studio.yaml" in preview.shown("/index.html")


def test_a_form_that_goes_is_gone_and_its_addresses_with_it(preview):
    (preview.folder / "specs" / "forms" / "supper-plate.yaml").unlink()
    preview.save()
    assert "There is no such page" in preview.shown("/forms/supper-plate.html") and preview.status.startswith("404")


def test_a_form_that_comes_is_shown_everywhere(preview):
    text = (ROOT / "specs" / "forms" / "oil-bottle.yaml").read_text(encoding="utf-8")
    path = preview.folder / "specs" / "forms" / "oil-bottle.yaml"
    path.write_text(text.replace("parts:", "prts:"), encoding="utf-8")
    preview.save()
    assert "cannot be worked out yet" in preview.shown("/forms/oil-bottle.html")
    assert "oil-bottle.yaml:" in preview.shown("/bench/oil-bottle.html")
    assert "Not on this site oil-bottle" in preview.shown("/index.html")
    path.write_text(text, encoding="utf-8")
    preview.save()
    assert "At the wheel" in preview.shown("/forms/oil-bottle.html")
    assert "Oil bottle" in preview.shown("/index.html") and "Not on this site" not in preview.shown("/index.html")
    assert b"oil-bottle" in preview.ask("/search/search_index.json")
    after = preview.pages()
    preview.builder()
    assert preview.pages() == after


def test_a_broken_setting_or_template_keeps_the_last_site(preview):
    before, settings = preview.pages(), (preview.folder / "mkdocs.yml").read_text(encoding="utf-8")
    for wrong in ("plugins: [", "plugins: [nothing-of-this-name]\n", "nav: 7\n"):
        (preview.folder / "mkdocs.yml").write_text(f"site_name: x\n{wrong}", encoding="utf-8")
        preview.save()
        assert preview.pages() == before and "mkdocs.yml" in preview.shown("/forms/tall-beaker.html"), wrong
    # A spec that is changed meanwhile is shown as soon as the rest is mended.
    preview.change("wall: 4", "wall: 4.5")
    preview.save()
    assert preview.pages() == before
    (preview.folder / "mkdocs.yml").write_text(f"{settings}copyright: Made by hand\n", encoding="utf-8")
    preview.save()
    after = preview.pages()
    assert after["forms/tall-beaker.json"] != before["forms/tall-beaker.json"]
    assert "Made by hand" in preview.shown("/forms/tall-beaker.html") and b"<details" not in preview.ask("/404.html")


def test_a_template_of_the_makers_own_that_breaks_says_its_line(preview):
    own = preview.folder / "own"
    own.mkdir()
    settings = (preview.folder / "mkdocs.yml").read_text(encoding="utf-8")
    (preview.folder / "mkdocs.yml").write_text(
        settings.replace("theme:\n", "theme:\n  custom_dir: own\n"), encoding="utf-8"
    )
    (own / "main.html").write_text('{% extends "base.html" %}{% block footer %}Our own foot{% endblock %}')
    preview.save()
    assert "Our own foot" in preview.shown("/forms/tall-beaker.html")
    before = preview.pages()
    (own / "main.html").write_text('{% extends "base.html" %}\n{% block footer %}Our own foot{% endblok %}')
    preview.change("wall: 4", "wall: 4.5")
    preview.save()
    assert preview.pages() == before and "main.html:2: " in preview.shown("/glossary.html")
    (own / "main.html").write_text('{% extends "base.html" %}{% block footer %}Another foot{% endblock %}')
    preview.save()
    assert "Another foot" in preview.shown("/glossary.html")


@pytest.mark.parametrize(
    "path, before, after",
    [
        ("specs/forms/tall-beaker.yaml", "wall: 4", "wal: 4"),
        ("specs/clays/millpond-buff.yaml", "loss_on_ignition: 7 %", "loss_on_ignition: 7 mm"),
        ("specs/studio.yaml", "bat: 12 mm", "bat: 12 kg"),
    ],
)
def test_a_preview_of_broken_specs_starts_with_what_can_be_built(tmp_path, path, before, after):
    copy_forms(tmp_path)
    text = (tmp_path / path).read_text(encoding="utf-8")
    (tmp_path / path).write_text(text.replace(before, after, 1), encoding="utf-8")
    preview = Preview(tmp_path)
    try:
        assert f"{Path(path).name}:" in preview.shown("/forms/tall-beaker.html")
        assert "cannot be worked out yet" in preview.shown("/forms/tall-beaker.html")
        assert "Not on this site" in preview.shown("/index.html")
        (tmp_path / path).write_text(text, encoding="utf-8")
        preview.save()
        assert preview.whole_builds == (1 if "tall-beaker" in path else 2)
        assert "At the wheel" in preview.shown("/forms/tall-beaker.html")
        assert b"problems faults" not in preview.ask("/forms/tall-beaker.html")
        assert "Not on this site" not in preview.shown("/index.html")
        after = preview.pages()
        preview.builder()
        assert preview.pages() == after
    finally:
        preview.plugin.on_shutdown()


def text_of_pdf(content):
    """All that stands on a PDF's pages."""
    return " ".join(page.text for page in pages_of(content))


def test_a_card_is_made_when_it_is_asked_for_and_says_the_number_of_its_page(preview):
    before = text_of_pdf(preview.ask("/cards/tall-beaker-wheel.pdf"))
    preview.change("rim: {height: 120, diameter: 80}", "rim: {height: 131, diameter: 80}")
    preview.save()
    page = preview.shown("/forms/tall-beaker.html")
    assert "out of date" not in page and b"../cards/tall-beaker-wheel.pdf" in preview.ask("/forms/tall-beaker.html")
    card = text_of_pdf(preview.ask("/cards/tall-beaker-wheel.pdf"))
    revision = re.search(r"Revision (\w+)", page)[1]
    assert revision in card and revision not in before
    assert preview.headers["Content-Type"] == "application/pdf" and preview.status == "200 OK"
    # Kept, not set again; and what is no card is not there.
    preview.ask("/cards/tall-beaker-wheel.pdf")
    assert preview.ask("/cards/no-such-form-wheel.pdf") and preview.status.startswith("404")
    assert preview.ask("/cards/tall-beaker-nothing.pdf") and preview.status.startswith("404")


def test_without_the_engine_cards_say_that_they_are_out_of_date(preview, monkeypatch):
    from wareboard.cards import engine

    def missing():
        raise engine.CardsUnavailable("no Pango here")

    monkeypatch.setattr(engine, "check_engine", missing)
    cards = preview.folder / "site" / "cards"
    cards.mkdir(parents=True)
    (cards / "tall-beaker-wheel.pdf").write_bytes(b"%PDF-")
    (cards / "supper-plate-wheel.pdf").write_bytes(b"%PDF-")
    (preview.folder / ".wareboard" / "cache").mkdir(parents=True, exist_ok=True)
    from wareboard.output import printing

    known = {
        card.name: ("", "", 0, " ".join(revised.revision for revised in card.revised))
        for card in printing.wanted_cards(preview.plugin.worked)
    }
    (preview.folder / ".wareboard" / "cache" / "cards.json").write_text(json.dumps(known))
    preview.builder()
    assert "out of date" not in preview.shown("/forms/tall-beaker.html")
    preview.change("wall: 4", "wall: 4.5")
    preview.save()
    assert "wheel card (out of date)" in preview.shown("/forms/tall-beaker.html").casefold()
    assert "out of date" not in preview.shown("/forms/supper-plate.html")


def test_a_fault_in_the_short_way_leads_to_a_whole_build(preview, monkeypatch):
    monkeypatch.setattr(serving, "_build_page", lambda *_: (_ for _ in ()).throw(TypeError("changed")))
    preview.change("wall: 4", "wall: 4.5")
    preview.save()
    shown = preview.shown("/forms/tall-beaker.html")
    assert preview.whole_builds == 2 and preview.said[-1] == "building the whole site: changed"
    assert preview.plugin.worked.sheets["tall-beaker"].revision in shown and not preview.plugin.stale


def test_the_site_generators_private_steps_are_as_expected():
    """The short way stands on these; where they change, this says so before a maker is shown an old page."""
    populate = inspect.signature(site_generator._populate_page)
    assert list(populate.parameters) == ["page", "config", "files", "dirty"]
    page = inspect.signature(site_generator._build_page)
    assert list(page.parameters) == ["page", "config", "doc_files", "nav", "env", "dirty", "excluded"]


def test_a_real_preview_starts_broken_goes_on_and_is_mended(tmp_path):
    """The real server: from the saved file to the page in a moment, whatever is wrong meanwhile."""
    copy_forms(tmp_path)
    broken, plate = (tmp_path / "specs" / "forms" / f"{slug}.yaml" for slug in ("tall-beaker", "supper-plate"))
    sound = broken.read_text(encoding="utf-8")
    broken.write_text(sound.replace("wall: 4", "wal: 4"), encoding="utf-8")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = [sys.executable, "-m", "mkdocs", "serve", "-q", "--dev-addr", f"127.0.0.1:{port}"]
    with subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as process:
        try:
            address = f"http://127.0.0.1:{port}"
            first = wait_for(f"{address}/forms/supper-plate.html", lambda page: "Supper plate" in page)
            assert "tall-beaker.yaml:" in first and "livereload(" in first and "not there before" not in first
            wait_for(f"{address}/forms/tall-beaker.html", lambda page: "cannot be worked out yet" in page)
            text = plate.read_text(encoding="utf-8")
            plate.write_text(text.replace("notes: |\n", "notes: |\n  It was not there before.\n\n"), encoding="utf-8")
            wait_for(f"{address}/forms/supper-plate.html", lambda page: "It was not there before." in page)
            broken.write_text(sound, encoding="utf-8")
            mended = wait_for(f"{address}/forms/tall-beaker.html", lambda page: "At the wheel" in page)
            assert '<details class="faultbar"' not in mended
            with urllib.request.urlopen(f"{address}/preview/bar.css", timeout=5) as answer:
                assert b".faultbar" in answer.read()
            with urllib.request.urlopen(f"{address}/cards/tall-beaker-wheel.pdf", timeout=60) as answer:
                assert answer.read(5) == b"%PDF-"
        finally:
            process.terminate()


def wait_for(address, holds, patience_s=30.0):
    """The page, once it is there and holds what it should."""
    until = time.monotonic() + patience_s
    while True:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                page = answer.read().decode()
            if holds(page):
                return page
        except OSError:
            page = "no answer"
        assert time.monotonic() < until, page[:300]
        time.sleep(0.1)
