"""The whole way from specs to site, cards and data; and that nothing good is ever lost on it."""

import csv
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cli import command
from wareboard.output import build, editions, history, printing

from tests import loaded
from tests.site.conftest import A_DAY, plain_cards

ROOT = Path(__file__).resolve().parents[2]


def copy_demo(folder, forms=None):
    """A copy of the demo studio, whole or with a few of its forms."""
    shutil.copytree(ROOT / "specs", folder / "specs", ignore=shutil.ignore_patterns("runs", "orders"))
    shutil.copy(ROOT / "mkdocs.yml", folder)
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        if forms and path.stem not in forms:
            path.unlink()
    return folder


def run(folder, *words):
    """A command in a folder."""
    return CliRunner().invoke(command, ["-C", str(folder), *words])


def tree(folder):
    """Every file's bytes by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def retitle(folder):
    """Another title for the studio, so that there is something to build."""
    path = folder / "specs" / "studio.yaml"
    path.write_text(re.sub(r"(?m)^title: ", "title: New ", path.read_text(encoding="utf-8"), count=1), encoding="utf-8")


@pytest.fixture
def small(tmp_path, drawn_once):
    """A studio of one form, not built yet."""
    return copy_demo(tmp_path, {"supper-plate"})


@pytest.fixture
def small_built(one_form, tmp_path, drawn_once):
    """A studio of one form that was built with its cards."""
    return shutil.copytree(one_form, tmp_path / "studio")


class Addresses(HTMLParser):
    """Every address that a page leads to or loads from."""

    def __init__(self, text):
        super().__init__()
        self.found, self.names = [], set()
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        for name, value in attrs:
            if name in ("href", "src", "poster", "data", "action", "srcset") and value:
                self.found.append((tag, value))
            if name in ("id", "name") and value:
                self.names.add(value)


# ---- what is made ----


def test_the_build_says_where_site_and_cards_are(demo):
    said = (demo / "said").read_text(encoding="utf-8")
    assert f"{demo / 'site' / 'index.html'}" in said
    assert f"{demo / 'site' / 'cards' / 'wall.pdf'}" in said


def test_every_form_has_its_page_data_and_card(demo):
    site = demo / "site"
    for path in (demo / "specs" / "forms").glob("*.yaml"):
        assert (site / "forms" / f"{path.stem}.html").is_file()
        shown = json.loads((site / "forms" / f"{path.stem}.json").read_text(encoding="utf-8"))
        assert (shown["format"], shown["form"]) == (1, path.stem)
        assert (site / "cards" / f"{path.stem}-wheel.pdf").read_bytes().startswith(b"%PDF-")
    assert (site / "cards" / "wall.pdf").read_bytes().startswith(b"%PDF-")


def test_the_table_has_every_figure_that_the_forms_have(demo):
    site = demo / "site"
    with open(site / "figures.csv", encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    figures = [
        figure
        for path in sorted((site / "forms").glob("*.json"))
        for figure in json.loads(path.read_text(encoding="utf-8"))["figures"]
    ]
    assert len(rows) == len(figures) > 1000
    assert {row["key"] for row in rows} == {figure["key"] for figure in figures}


def test_no_spec_is_published(demo):
    site = demo / "site"
    specs = [path for path in tree(site) if path.endswith((".yaml", ".yml", ".schema.json", ".md"))]
    assert specs == ["data/index.schema.json", "sheet.schema.json"], "what the data holds, which is no spec"


def test_every_link_leads_somewhere(demo):
    site = demo / "site"
    pages = {
        path: Addresses(text.decode())
        for path, text in tree(site).items()
        if path.endswith(".html") and path != "404.html"
    }
    assert len(pages) >= 12
    for path, page in pages.items():
        for tag, address in page.found:
            parts = urlsplit(address)
            if parts.scheme == "data":
                continue
            assert not parts.scheme and not parts.netloc, f"{path}: {tag} {address}"
            target = os.path.normpath(os.path.join(os.path.dirname(path), unquote(parts.path))) if parts.path else path
            assert (site / target).is_file(), f"{path}: {address} leads nowhere"
            if parts.fragment and target in pages and not parts.fragment.startswith("__"):
                assert unquote(parts.fragment) in pages[target].names, f"{path}: {address} has no such place"


def test_no_page_asks_another_host_for_anything(demo):
    """Addresses in the theme's scripts stand unused; what a browser would load is in pages and style sheets."""
    site = demo / "site"
    for path, content in tree(site).items():
        if path.endswith(".html"):
            text = re.sub(r"<script[^>]*>.*?</script>", "", content.decode(), flags=re.DOTALL)
            for address in re.findall(r"""(?:src|href)=["']?(https?:[^"' >]+)|url\(["']?(https?:[^"')]+)""", text):
                pytest.fail(f"{path} names {address}")
        elif path.endswith(".css"):
            assert not re.findall(rb"url\(\s*[\"']?(?:https?:)?//", content), path


def test_the_search_works_from_a_disk(demo):
    site = demo / "site"
    script = (site / "search" / "search_index.js").read_text(encoding="utf-8")
    index = json.loads(script.removeprefix("var __index = "))
    assert index == json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))
    found = {entry["location"]: entry for entry in index["docs"]}
    assert found["forms/tall-beaker.html"]["title"] == "Tall beaker"
    for location in found:
        path, _, place = location.partition("#")
        assert (site / path).is_file() and (
            not place or f'id="{place}"' in (site / path).read_text(encoding="utf-8")
        ), location


def test_the_navigation_holds_no_single_form(demo):
    page = (demo / "site" / "index.html").read_text(encoding="utf-8")
    for navigation in re.findall(r"<nav.*?</nav>", page, flags=re.DOTALL):
        assert "forms/tall-beaker" not in navigation


# ---- nothing is done twice ----


def test_a_build_of_nothing_new_does_nothing_and_says_the_same(small, monkeypatch):
    first = run(small, "build", "--no-cards")
    before = {path: path.stat().st_mtime_ns for path in (small / "site").rglob("*")}
    monkeypatch.setattr(build, "build_site", lambda *_, **__: pytest.fail("something was built"))
    again = run(small, "build", "--no-cards")
    assert again.exit_code == 0 and again.stdout == first.stdout
    assert {path: path.stat().st_mtime_ns for path in (small / "site").rglob("*")} == before


@pytest.mark.parametrize(
    "change",
    [
        lambda root: retitle(root),
        lambda root: (root / "mkdocs.yml").write_text((root / "mkdocs.yml").read_text() + "# more\n"),
        lambda root: (root / "site" / "index.html").unlink(),
        lambda root: (root / "site" / "clays.html").write_text("changed by hand"),
        lambda root: (root / "specs" / "runs").mkdir() or (root / "specs" / "runs" / "a.txt").write_text("more"),
        lambda root: next((root / "specs" / ".revisions" / "forms").glob("*.jsonl")).write_text(""),
    ],
)
def test_whatever_has_changed_is_seen(small, monkeypatch, change):
    assert run(small, "build", "--no-cards").exit_code == 0
    before = tree(small / "site")
    change(small)
    built = []
    whole = build.build_site
    monkeypatch.setattr(build, "build_site", lambda *args, **more: built.append(1) or whole(*args, **more))
    assert run(small, "build", "--no-cards").exit_code == 0 and built
    assert tree(small / "site").keys() == before.keys()
    assert b"changed by hand" not in (small / "site" / "clays.html").read_bytes()


@pytest.mark.parametrize(
    ("path", "cards"),
    [
        ("forms/tall-beaker.yaml", True), ("forms/tall-beaker.yaml", False), ("glazes/lichen-satin.yaml", False),
        ("clays/millpond-buff.yaml", False), ("kilns/front-loader.yaml", False),
    ],
)  # fmt: skip
def test_what_is_kept_and_what_is_made_anew_come_to_the_same_bytes(two_forms, tmp_path, monkeypatch, path, cards):
    """So does what is the same twice: of all forms but one what was made before stands beside what is made again."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", A_DAY)
    folder, words = tmp_path / "one", () if cards else ("--no-cards",)
    shutil.copytree(two_forms, folder, ignore=None if cards else shutil.ignore_patterns("cards"))
    file = folder / "specs" / path
    file.write_text(file.read_text(encoding="utf-8").replace("title: ", "title: New ", 1), encoding="utf-8")
    shutil.copytree(folder / "specs", tmp_path / "two" / "specs")
    shutil.copy(folder / "mkdocs.yml", tmp_path / "two")
    with plain_cards():
        assert run(folder, "build", *words).exit_code == run(tmp_path / "two", "build", *words).exit_code == 0
    one, two = tree(folder / "site"), tree(tmp_path / "two" / "site")
    assert one.keys() == two.keys() and [name for name in one if one[name] != two[name]] == []


# ---- cards are set once ----


def test_cards_that_did_not_change_are_not_set_again(small_built, monkeypatch):
    before = tree(small_built / "site" / "cards")
    for name in ("render_pdf", "render_deck", "render_both"):
        monkeypatch.setattr(engine, name, lambda *_, **__: pytest.fail("a card was set again"))
    tomorrow = history.datetime.date.today() + history.datetime.timedelta(1)

    class Tomorrow(history.datetime.date):
        @classmethod
        def today(cls):
            return tomorrow

    monkeypatch.setattr(history.datetime, "date", Tomorrow)
    done = run(small_built, "build")
    assert done.exit_code == 0, done.output
    assert tree(small_built / "site" / "cards") == before


def test_a_card_that_changed_is_set_again_and_the_old_one_forgotten(small_built):
    before = tree(small_built / "site" / "cards")
    path = small_built / "specs" / "forms" / "supper-plate.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("title: ", "title: New ", 1), encoding="utf-8")
    with plain_cards():
        assert run(small_built, "build").exit_code == 0
    after = tree(small_built / "site" / "cards")
    of_the_form = [name for name in before if any(word in str(name) for word in ("supper-plate", "wall", "stock-list"))]
    assert before.keys() == after.keys() and len(of_the_form) > 2
    assert all((before[name] != after[name]) == (name in of_the_form) for name in before)
    assert len(list((small_built / ".wareboard" / "cache").glob("*.pdf"))) == len(after)


def test_many_cards_are_set_in_two_processes_and_joined(small, monkeypatch):
    """As a large studio's are, with smaller numbers: each card alone, and one deck of them all."""
    import pypdf

    originals = [
        path for path in (ROOT / "specs" / "forms").glob("*.yaml") if "/cup" not in path.read_text(encoding="utf-8")
    ][:1]
    for path in originals:
        shutil.copy(path, small / "specs" / "forms")
    monkeypatch.setattr(printing, "WORTH_TWO_PROCESSES", 2)
    monkeypatch.setattr(printing, "DECK", 2)
    with plain_cards():
        done = run(small, "build")
    assert done.exit_code == 0, done.output
    alone = sorted((small / "site" / "cards").glob("*-wheel.pdf"))
    pages = [
        len(pypdf.PdfReader(path).pages)
        for kind in printing.WALL_KINDS
        for path in (small / "site" / "cards").glob(f"*-{kind}.pdf")
    ]
    assert len(alone) == 2 and len(pypdf.PdfReader(small / "site" / "cards" / "wall.pdf").pages) == sum(pages)


def test_without_cards_there_are_none_and_no_link_to_them(small):
    done = run(small, "build", "--no-cards")
    assert done.exit_code == 0 and "wall.pdf" not in done.stdout
    assert not (small / "site" / "cards").exists()
    assert "cards/" not in (small / "site" / "forms" / "supper-plate.html").read_text(encoding="utf-8")


def test_without_cards_the_last_ones_stay_and_say_that_they_are_old(small_built):
    cards = tree(small_built / "site" / "cards")
    assert run(small_built, "build", "--no-cards").exit_code == 0
    assert tree(small_built / "site" / "cards") == cards
    page = small_built / "site" / "forms" / "supper-plate.html"
    assert "supper-plate-wheel.pdf" in page.read_text(encoding="utf-8") and "out of date" not in page.read_text(
        encoding="utf-8"
    )
    spec = small_built / "specs" / "forms" / "supper-plate.yaml"
    as_it_was = spec.read_text(encoding="utf-8")
    spec.write_text(as_it_was.replace("title: ", "title: New ", 1), encoding="utf-8")
    assert run(small_built, "build", "--no-cards").exit_code == 0
    assert tree(small_built / "site" / "cards") == cards
    assert 'wheel.pdf">Wheel card</a> <span class="old">(out of date)</span>' in page.read_text(encoding="utf-8")
    assert 'wall.pdf">All cards for the wall, one file</a> <span class="old">(out of date)</span>' in (
        small_built / "site" / "index.html"
    ).read_text(encoding="utf-8")
    assert "out of date" not in (small_built / "site" / "clays" / "millpond-buff.html").read_text(encoding="utf-8")
    spec.write_text(as_it_was, encoding="utf-8")
    assert run(small_built, "build").exit_code == 0 and "out of date" not in page.read_text(encoding="utf-8")


def test_without_the_pdf_library_the_site_is_built_and_the_exit_status_says_it(small, monkeypatch):
    def no_engine():
        raise engine.CardsUnavailable("install it with:  brew install pango")

    monkeypatch.setattr(engine, "check_engine", no_engine)
    done = run(small, "build")
    assert done.exit_code == 1 and "brew install pango" in done.stderr
    assert (small / "site" / "forms" / "supper-plate.html").is_file()


def test_cards_on_demand(small):
    done = run(small, "cards", "supper-plate", "--paper", "A6", "-o", str(small / "out.pdf"))
    assert done.exit_code == 0, done.output
    assert (small / "out.pdf").read_bytes().startswith(b"%PDF-")
    assert (
        "did you mean 'A5'" in run(small, "cards", "supper-plate", "--paper", "A55", "-o", str(small / "no.pdf")).stderr
    )
    assert not (small / "no.pdf").exists()


# ---- nothing good is lost ----


def spoil(folder):
    """An error in the one form."""
    path = folder / "specs" / "forms" / "supper-plate.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("wall:", "wal:", 1), encoding="utf-8")


def test_specs_with_errors_leave_the_last_site_as_it_was(small):
    assert run(small, "build", "--no-cards").exit_code == 0
    before = tree(small / "site")
    spoil(small)
    done = run(small, "build")
    assert done.exit_code == 1 and "nothing was built" in done.stderr and "[unknown-key]" in done.stderr
    assert tree(small / "site") == before


def test_the_site_generators_own_command_does_the_same(small_built):
    shutil.rmtree(small_built / "site")
    done = loaded.run("mkdocs", "build", "-q", "--strict", cwd=small_built)
    assert done.returncode == 0, done.stderr
    assert (small_built / "site" / "cards" / "supper-plate-wheel.pdf").is_file()
    before = tree(small_built / "site")
    spoil(small_built)
    for strict in (["--strict"], []):
        done = loaded.run("mkdocs", "build", "-q", *strict, cwd=small_built)
        assert done.returncode == 1 and "[unknown-key]" in done.stderr and "Traceback" not in done.stderr
        assert tree(small_built / "site") == before


def test_a_fault_in_the_middle_leaves_the_last_site_as_it_was(small, monkeypatch):
    assert run(small, "build", "--no-cards").exit_code == 0
    before = tree(small / "site")
    retitle(small)
    monkeypatch.setattr(editions, "render_data", lambda *asked: (_ for _ in ()).throw(RuntimeError("disk full")))
    done = run(small, "build", "--no-cards")
    assert done.exit_code != 0
    assert tree(small / "site") == before
    assert not list((small / ".wareboard").glob("new-*"))


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_a_killed_build_leaves_the_last_site_and_the_next_one_tidies_up(small):
    assert run(small, "build", "--no-cards").exit_code == 0
    before = tree(small / "site")
    retitle(small)
    slow = (
        "import sys, time; from wareboard.output import editions; from wareboard.cli import command\n"
        "def wait(*_): print(flush=True); time.sleep(60)\n"
        "editions.render_data = wait\ncommand(['-C', sys.argv[1], 'build', '--no-cards'])"
    )
    with subprocess.Popen([sys.executable, "-c", slow, str(small)], stdout=subprocess.PIPE, cwd=ROOT) as process:
        process.stdout.readline()
        assert list((small / ".wareboard").glob("new-site-*"))
        process.kill()
    assert tree(small / "site") == before
    assert run(small, "build", "--no-cards").exit_code == 0
    assert not list((small / ".wareboard").glob("new-site-*"))


def test_two_builds_at_once_do_not_mix(small):
    words = [sys.executable, "-m", "wareboard", "-C", str(small), "build", "--no-cards"]
    both = [subprocess.Popen(words, cwd=ROOT, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    for process in both:
        assert process.wait(60) == 0, process.stderr.read()
        process.stderr.close()
    one = tree(small / "site")
    assert run(small, "build", "--no-cards").exit_code == 0
    assert tree(small / "site").keys() == one.keys()


def test_a_folder_of_the_makers_own_is_not_taken_for_the_site(small):
    (small / "site").mkdir()
    (small / "site" / "novel.txt").write_text("chapter 1", encoding="utf-8")
    done = run(small, "build", "--no-cards")
    assert done.exit_code == 1 and "novel.txt" in done.stderr
    assert (small / "site" / "novel.txt").read_text(encoding="utf-8") == "chapter 1"


def test_a_folder_without_mkdocs_yml_is_built_too(small):
    (small / "mkdocs.yml").unlink()
    assert run(small, "build", "--no-cards").exit_code == 0
    assert "Millpond Yard" in (small / "site" / "index.html").read_text(encoding="utf-8")


def test_settings_that_leave_the_plugin_out_are_told(small):
    (small / "mkdocs.yml").write_text(
        "site_name: A\ndocs_dir: specs\ntheme: wareboard\nplugins: [search]\n", encoding="utf-8"
    )
    done = run(small, "build", "--no-cards")
    assert done.exit_code == 1 and "- wareboard" in done.stderr


# ---- any text is text ----


HOSTILE = "</script><script>alert(1)</script> <img src=x onerror=alert(2)> {{ 7*7 }} {% raw %} javascript:alert(3) & &lt;b&gt;"


def test_what_a_maker_types_becomes_neither_markup_nor_script(small):
    path = small / "specs" / "forms" / "supper-plate.yaml"
    text = re.sub(r"(?ms)^(notes|steps|stockist):.*?(?=^\S|\Z)", "", path.read_text(encoding="utf-8"))
    quoted = json.dumps(HOSTILE, ensure_ascii=False)
    bare = quoted.replace("{", "(").replace("}", ")")  # braces quote figures there
    text += (
        f"notes: {quoted}\nsteps:\n  wet: [{bare}]\nstockist: {{sku: {quoted}, care: {quoted}, contains: {quoted}}}\n"
    )
    path.write_text(text, encoding="utf-8")
    clay = next((small / "specs" / "clays").glob("*.yaml"))
    clay.write_text(
        re.sub(r"(?ms)^notes:.*?(?=^\S|\Z)", "", clay.read_text(encoding="utf-8")) + f"notes: {quoted}\n",
        encoding="utf-8",
    )
    done = run(small, "build", "--no-cards")
    assert done.exit_code == 0, done.output
    (small / "plain").mkdir()
    plain = copy_demo(small / "plain", {"supper-plate"})
    assert run(plain, "build", "--no-cards").exit_code == 0
    for page in ("forms/supper-plate.html", "index.html"):
        spoilt, usual = ((folder / "site" / page).read_text(encoding="utf-8") for folder in (small, plain))
        assert count_scripts(spoilt) == count_scripts(usual), page
        assert not re.search(r"<[a-z]+[^>]*\sonerror", spoilt) and 'href="javascript' not in spoilt
    shown = (small / "site" / "forms" / "supper-plate.html").read_text(encoding="utf-8")
    assert "alert(1)" in shown and "{{ 7*7 }}" in shown and "49" not in re.findall(r"onerror[^<]{0,60}", shown)[0]
    index = json.loads((small / "site" / "search" / "search_index.json").read_text(encoding="utf-8"))
    assert not [entry for entry in index["docs"] if "<script" in entry["text"] or "<img" in entry["text"]]


def count_scripts(text):
    """How many scripts a browser would find in a page."""
    counted = Addresses("")
    scripts = []
    counted.handle_starttag = lambda tag, attrs: scripts.append(tag) if tag == "script" else None
    counted.feed(text)
    return len(scripts)


def test_the_progress_line_is_for_a_terminal_only(small):
    done = subprocess.run(
        [sys.executable, "-m", "wareboard", "-C", str(small), "build", "--no-cards"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "\r" not in done.stdout + done.stderr and "\x1b" not in done.stdout + done.stderr


# ---- with faults in some forms ----


def test_what_is_sound_is_built_when_it_is_asked_to_keep_going(tmp_path):
    folder = copy_demo(tmp_path, {"supper-plate", "tall-beaker", "short-beaker"})
    broken = folder / "specs" / "forms" / "tall-beaker.yaml"
    good = broken.read_text(encoding="utf-8")
    broken.write_text(good.replace("wall: ", "wall: no", 1), encoding="utf-8")
    assert run(folder, "build", "--no-cards").exit_code == 1 and not (folder / "site").exists()
    for words in ((), ("--for", "stockist"), ("--for", "assistant")):
        done = run(folder, "build", "--no-cards", "--keep-going", *words)
        assert done.exit_code == 1 and "left out: " in done.stderr and "tall-beaker" in done.stderr, done.output
        assert isinstance(done.exception, SystemExit)
    front = (folder / "site" / "index.html").read_text(encoding="utf-8")
    assert "Not on this site" in front and "<code>tall-beaker</code>: specs/forms/tall-beaker.yaml:" in front
    assert (folder / "site" / "forms" / "supper-plate.html").is_file()
    assert not (folder / "site" / "forms" / "tall-beaker.html").exists()
    assert "tall-beaker" not in (folder / "site-stockist" / "index.html").read_text(encoding="utf-8")
    helper = (folder / "site-assistant" / "index.html").read_text(encoding="utf-8")
    assert "<code>tall-beaker</code></li>" in helper
    broken.write_text(good, encoding="utf-8")
    assert run(folder, "build", "--no-cards", "--keep-going").exit_code == 0
    assert "Not on this site" not in (folder / "site" / "index.html").read_text(encoding="utf-8")


def test_what_leans_on_a_fault_is_left_out_with_it_and_told(tmp_path):
    """A fit that reaches into a form with a fault, a form that is like it, an order of it; an order with a fault of its own."""
    folder = copy_demo(tmp_path, {"supper-plate", "tall-beaker", "short-beaker", "middle-beaker"})
    orders = folder / "specs" / "orders"
    orders.mkdir(exist_ok=True)
    broken = folder / "specs" / "forms" / "tall-beaker.yaml"
    good = broken.read_text(encoding="utf-8")
    broken.write_text(good.replace("wall: ", "wall: no", 1), encoding="utf-8")
    (orders / "odd.yaml").write_text("title: Odd\nlines: [{form: supper-plate, sets: none}]\n", encoding="utf-8")
    (orders / "some.yaml").write_text("title: Some\nlines: [{form: tall-beaker, sets: 4}]\n", encoding="utf-8")
    done = run(folder, "build", "--no-cards", "--keep-going")
    assert done.exit_code == 1 and (folder / "site" / "index.html").is_file(), done.output
    front = (folder / "site" / "index.html").read_text(encoding="utf-8")
    left_out = re.findall(r"<li><code>([^<]+)</code>: ", front)
    assert left_out[:3] == ["middle-beaker", "short-beaker", "tall-beaker"], left_out
    assert {"specs/orders/odd.yaml", "specs/orders/some.yaml"} <= set(left_out)
    assert "left out: " in done.stderr and "odd.yaml" in done.stderr
    assert not list((folder / "site").rglob("*beaker*.html"))
    # A shop's name stands in an order's: an assistant is not told.
    assert run(folder, "build", "--no-cards", "--keep-going", "--for", "assistant").exit_code == 1
    assert "some.yaml" not in (folder / "site-assistant" / "index.html").read_text(encoding="utf-8")
    # A fault in an order alone leaves nothing else out, and is told all the same.
    broken.write_text(good, encoding="utf-8")
    done = run(folder, "build", "--no-cards", "--keep-going")
    assert done.exit_code == 1 and "odd.yaml" in done.stderr
    assert (folder / "site" / "forms" / "tall-beaker.html").exists()
    assert "specs/orders/odd.yaml" in (folder / "site" / "index.html").read_text(encoding="utf-8")


def test_nothing_is_built_where_the_studio_itself_has_errors(small):
    path = small / "specs" / "studio.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "\nno_such_key: 1\n", encoding="utf-8")
    done = run(small, "build", "--no-cards", "--keep-going")
    assert done.exit_code == 1 and "nothing was built" in done.stderr and not (small / "site").exists()
