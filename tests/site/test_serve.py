"""The preview: a change to one form rebuilds what it touches, with the bytes of a whole build."""

import inspect
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

ROOT = Path(__file__).resolve().parents[2]


class Preview:
    """What `mkdocs serve` does, without a server: one folder, built whole and then by the short way."""

    def __init__(self, folder):
        self.folder, self.site, self.said, self.whole_builds = folder, folder / "preview", [], 0
        self.plugin = None
        self.builder(self.config())
        self.plugin.tell = self.said.append
        app = SimpleNamespace(
            now=lambda environ, start_response: (self.site / environ["PATH_INFO"].lstrip("/")).read_bytes()
        )
        server = SimpleNamespace(
            builder=None, mount_path="/", get_app=lambda: app.now, set_app=lambda new: setattr(app, "now", new)
        )
        self.server = self.plugin.on_serve(server, config=None, builder=self.builder)
        self.ask = lambda path: app.now({"PATH_INFO": path}, None)

    def config(self):
        config = load_site_config(self.folder, "")
        config.site_dir = str(self.site)
        if self.plugin is None:
            self.plugin = config.plugins["wareboard"]
        config.plugins.on_startup(command="serve", dirty=False)
        return config

    def builder(self, config=None):
        self.whole_builds += 1
        site_generator.build(config or self.config(), serve_url="http://127.0.0.1:8000/")

    def pages(self):
        """Every page and data file, as a browser that asks for each would see it."""
        for path in sorted(self.plugin.stale):
            self.ask(f"/{path}")
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


@pytest.fixture
def preview(tmp_path):
    """A preview of four of the demo's forms; one of them leans on another."""
    shutil.copytree(ROOT / "specs", tmp_path / "specs", ignore=shutil.ignore_patterns("runs", "orders"))
    shutil.copy(ROOT / "mkdocs.yml", tmp_path)
    for path in (tmp_path / "specs" / "forms").glob("*.yaml"):
        if path.stem not in ("tall-beaker", "short-beaker", "supper-plate", "tea-caddy"):
            path.unlink()
    made = Preview(tmp_path)
    yield made
    made.plugin.close()


def test_a_changed_form_is_rebuilt_alone_with_the_bytes_of_a_whole_build(preview):
    preview.change("rim: {height: 120, diameter: 80}", "rim: {height: 131, diameter: 80}")
    before = preview.pages()
    preview.server.builder()
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
    preview.server.builder()
    assert front.read_bytes() == before
    assert preview.ask("/index.html") == front.read_bytes() != before
    assert "figures.csv" in preview.plugin.stale and "index.html" not in preview.plugin.stale
    preview.builder()
    preview.change("rim: {height: 131, diameter: 80}", "rim: {height: 120, diameter: 80}")
    preview.change("millpond-buff", "quarry-brown")
    preview.change("loss_on_ignition: 6 %", "loss_on_ignition: 6.5 %", "specs/clays/quarry-brown.yaml")
    preview.server.builder()
    assert preview.plugin.stale == set()


def test_a_form_that_leans_on_the_changed_one_is_rebuilt_with_it(preview):
    preview.change("wall: 4", "wall: 4.5")
    before = preview.pages()
    preview.server.builder()
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
    preview.server.builder()
    assert preview.whole_builds == 2


def test_a_form_that_comes_or_goes_builds_the_whole_site(preview):
    (preview.folder / "specs" / "forms" / "supper-plate.yaml").unlink()
    preview.server.builder()
    assert preview.whole_builds == 2 and "forms/supper-plate.html" not in preview.pages()


@pytest.mark.parametrize("wrong", ["wal: 4", "wall: 140"])
def test_an_error_keeps_the_last_pages_and_mending_it_brings_them_on(preview, wrong):
    """A key that cannot be read, and a size that can but leaves no pot."""
    before = preview.pages()
    preview.change("wall: 4", wrong)
    with pytest.raises(SystemExit):
        preview.server.builder()
    assert preview.pages() == before
    preview.change(wrong, "wall: 6")
    preview.server.builder()
    assert preview.pages()["forms/tall-beaker.json"] != before["forms/tall-beaker.json"]


def test_a_fault_in_the_short_way_leads_to_a_whole_build(preview, monkeypatch):
    monkeypatch.setattr(serving, "_build_page", lambda *_: (_ for _ in ()).throw(TypeError("changed")))
    preview.change("wall: 4", "wall: 4.5")
    preview.server.builder()
    assert preview.whole_builds == 2 and preview.said[-1] == "building the whole site: changed"


def test_the_site_generators_private_steps_are_as_expected():
    """The short way stands on these; where they change, this says so before a maker is shown an old page."""
    populate = inspect.signature(site_generator._populate_page)
    assert list(populate.parameters) == ["page", "config", "files", "dirty"]
    page = inspect.signature(site_generator._build_page)
    assert list(page.parameters) == ["page", "config", "doc_files", "nav", "env", "dirty", "excluded"]


def test_saving_a_spec_shows_on_the_page(tmp_path):
    """The real server: from the saved file to the page in a moment."""
    shutil.copytree(ROOT / "specs", tmp_path / "specs", ignore=shutil.ignore_patterns("runs", "orders"))
    shutil.copy(ROOT / "mkdocs.yml", tmp_path)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = [sys.executable, "-m", "mkdocs", "serve", "-q", "--dev-addr", f"127.0.0.1:{port}"]
    with subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as process:
        try:
            address = f"http://127.0.0.1:{port}/forms/supper-plate.html"
            first = wait_for(address, lambda page: "Supper plate" in page)
            path = tmp_path / "specs" / "forms" / "supper-plate.yaml"
            path.write_text(
                re.sub(
                    r"(?m)^(notes: \|\n)",
                    r"\1  A line that was not there before.\n\n",
                    path.read_text(encoding="utf-8"),
                ),
                encoding="utf-8",
            )
            assert "not there before" not in first
            wait_for(address, lambda page: "A line that was not there before." in page)
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
