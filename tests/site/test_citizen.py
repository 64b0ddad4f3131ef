"""A maker's own pages and settings beside the forms: each is followed, or told at its line; nothing is dropped without a word."""

import contextlib
import http.server
import json
import os
import re
import shutil
import subprocess
import sys
import threading
import urllib.request
from functools import partial
from pathlib import Path
from urllib.parse import unquote, urldefrag, urljoin

import pytest
from click.testing import CliRunner
from wareboard.cli import command

from tests import loaded
from tests.site.test_build_site import Addresses

SETTINGS = """\
site_name: Pots
site_url: https://example.org/pots/
site_description: What we make.
site_author: The two of us
docs_dir: docs
copyright: Copyright &copy; 2026 Our studio
repo_url: https://example.org/source
edit_uri: edit/main/docs/
use_directory_urls: {directories}
theme:
  name: wareboard
  custom_dir: own
  logo: img/mark.svg
  favicon: img/mark.svg
extra_css: [css/own.css]
extra_javascript:
  - js/own.js
  - path: js/module.mjs
    type: module
extra_templates: [notice.txt]
markdown_extensions:
  - toc: {{permalink: true}}
{nav}
hooks: [hooks.py]
plugins:
  - search
  - wareboard: {{cards: false}}
"""
OWN = {
    "docs/about.md": "---\ndescription: Who makes these pots.\n---\n# About & around\n\nSee [a form](forms/first-beaker.md), [all](index.md) and [a place](visit/where.md#by-foot).\n\n![Kiln](img/kiln.svg)\n\n## Marmalade\n\nA word about quince.\n\n<p style='color: red'>Red</p>\n",
    "docs/visit/where.md": "# Where we are\n\n## By foot\n\nAlong the harbour.\n",
    "docs/visit/opening-times.md": "Tuesdays.\n",
    "docs/visit/map.txt": "X marks it.\n",
    "docs/plain.md": "---\ntemplate: plain.html\n---\n# Plain\n\nBare words.\n",
    "docs/img/kiln.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2"><rect width="4" height="2"/></svg>',
    "docs/img/mark.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2"><rect width="4" height="2"/></svg>',
    "docs/css/own.css": ".own { --own: 1 }",
    "docs/js/own.js": "document.documentElement.dataset.own = 1;",
    "docs/js/module.mjs": "export {};",
    "docs/notice.txt": "{{ config.site_name }} at {{ config.site_url }}",
    "own/main.html": '{% extends "base.html" %}\n{% block extrahead %}<meta name="owned" content="yes">{% endblock %}\n{% block footer %}{{ super() }}<p>Below the foot</p>{% endblock %}\n',
    "own/plain.html": "<!doctype html><title>{{ page.title }}</title>{{ page.content }}",
    "own/assets/extra.txt": "From the overrides.",
    "hooks.py": "from mkdocs.structure.files import File\ndef on_files(files, config):\n    files.append(File.generated(config, 'made.md', content='# Made by a hook'))\n    return files\n",
}


def studio(folder, directories="false", nav=""):
    """A studio of one form, with pages of its own and every setting that is followed."""
    done = CliRunner().invoke(command, ["start", str(folder)])
    assert done.exit_code == 0, done.output
    for path, text in OWN.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text, encoding="utf-8")
    (folder / "mkdocs.yml").write_text(SETTINGS.format(directories=directories, nav=nav), encoding="utf-8")
    return folder


def mkdocs(folder, *words):
    """A command of the site generator."""
    return loaded.run("mkdocs", *words, cwd=folder)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """Built by the site generator, strictly, without `nav` and with plain addresses."""
    folder = studio(tmp_path_factory.mktemp("plain") / "pots")
    done = mkdocs(folder, "build", "--strict")
    assert done.returncode == 0, done.stderr
    return folder


NAV = "nav:\n  - Us:\n    - about.md\n    - visit/where.md\n  - Pots: index.md\n  - Shop: https://shop.example/\nnot_in_nav: |\n  plain.md\n  made.md\n  opening-times.md"


@pytest.fixture(scope="module")
def listed(tmp_path_factory):
    """Built by our own command, with a `nav` that names our front page, and with folders for addresses."""
    folder = studio(tmp_path_factory.mktemp("listed") / "pots", "true", NAV)
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards"])
    assert done.exit_code == 0, done.output
    return folder


def read(folder, path):
    return (folder / "site" / path).read_text(encoding="utf-8")


def header_of(text):
    """The links of the navigation: `(address, words, current)`."""
    nav = re.search(r'<nav aria-label="Site">(.*?)</nav>', text, re.DOTALL)[1]
    return re.findall(r'<a href="([^"]*)"(?: aria-current="(\w+)")?>([^<]*)</a>', nav)


# ---- own pages ----


def test_own_pages_stand_in_our_look(plain):
    text = read(plain, "about.html")
    assert '<article class="own">' in text and "A word about quince." in text
    assert text.count("<h1") == 1 and "<title>About &amp; around · " in text
    assert '<meta name="description" content="Who makes these pots.">' in text
    assert 'href="assets/stylesheets/wareboard.css"' in text
    assert re.search(r"<h1[^>]*>Opening times</h1>", read(plain, "visit/opening-times.html")), (
        "a title where none is typed"
    )
    assert '<meta name="description" content="What we make.">' in read(plain, "visit/where.html")


def test_ours_come_first_in_the_navigation_then_the_makers(plain):
    links = header_of(read(plain, "forms/first-beaker.html"))
    assert links[0] == ("../index.html", "", "Forms")
    assert links[-4:] == [
        ("../about.html", "", "About &amp; around"),
        ("../made.html", "", "Made by a hook"),
        ("../plain.html", "", "Plain"),
        ("../visit/opening-times.html", "", "Visit"),
    ]
    assert ("where.html", "true", "Visit") not in links


def test_a_part_of_the_navigation_lists_its_pages_on_each(plain):
    text = read(plain, "visit/where.html")
    part = re.search(r'<nav class="part" aria-label="Visit">(.*?)</nav>', text, re.DOTALL)[1]
    assert re.findall(r'href="([^"]*)"( aria-current="page")?', part) == [
        ("opening-times.html", ""),
        ("where.html", ' aria-current="page"'),
    ]
    assert ("opening-times.html", "true", "Visit") in header_of(text)


def test_the_foot_of_our_pages_lists_the_makers(plain, listed):
    for folder, last in ((plain, "../visit/opening-times.html"), (listed, "https://shop.example/")):
        foot = re.search(
            r'<nav aria-label="Own pages">(.*?)</nav>', read(folder, "forms/first-beaker.html"), re.DOTALL
        )[1]
        addresses = re.findall(r'href="([^"]*)"', foot)
        assert addresses[-1] == last
        assert not any("glossary" in address for address in addresses)


def test_nav_that_names_our_front_page_is_the_whole_navigation(listed):
    assert header_of(read(listed, "forms/first-beaker.html")) == [
        ("../about/", "", "Us"),
        ("../index.html", "", "Pots"),
        ("https://shop.example/", "", "Shop"),
    ]
    assert ("index.html", "page", "Pots") in header_of(read(listed, "index.html"))


def test_own_files_are_there_byte_for_byte(plain, listed):
    for folder in (plain, listed):
        for path in ("img/kiln.svg", "css/own.css", "js/own.js", "visit/map.txt"):
            assert (folder / "site" / path).read_bytes() == (folder / "docs" / path).read_bytes()
        assert read(folder, "assets/extra.txt") == "From the overrides."
        assert not list((folder / "site").rglob("*.md")) and not list((folder / "site").rglob("*.yaml"))


def test_our_pages_keep_their_addresses_either_way(plain, listed):
    ours = lambda folder: {
        path.relative_to(folder / "site").as_posix() for path in (folder / "site").rglob("*.html") if "article class=\"own\"" not in path.read_text(encoding="utf-8")
    } - {"plain.html", "plain/index.html"}  # fmt: skip
    assert ours(plain) == ours(listed) >= {"index.html", "forms/first-beaker.html", "bench/first-beaker.html"}
    assert (listed / "site" / "about" / "index.html").is_file() and (plain / "site" / "about.html").is_file()


def test_the_search_finds_own_pages_and_their_sections(plain, listed):
    for folder, address in ((plain, "about.html"), (listed, "about/")):
        index = read(folder, "search/search_index.js")
        found = {entry["location"]: entry for entry in json.loads(index.removeprefix("var __index = "))["docs"]}
        assert "quince" in found[f"{address}#marmalade"]["text"]
        assert found["forms/first-beaker.html"]


# ---- settings ----


def test_settings_show_on_our_pages_and_the_makers(plain):
    for path, up in (("about.html", ""), ("forms/first-beaker.html", "../")):
        text = read(plain, path)
        for said in (
            '<p class="copyright">Copyright &copy; 2026 Our studio</p>',
            f'<img class="logo" src="{up}img/mark.svg" alt="">',
            f'<link rel="icon" href="{up}img/mark.svg">',
            f'<link rel="stylesheet" href="{up}css/own.css">',
            f'<script src="{up}js/own.js"></script>',
            f'<script src="{up}js/module.mjs" type="module"></script>',
            '<meta name="owned" content="yes">',
            "<p>Below the foot</p>",
            '<meta name="author" content="The two of us">',
            'href="https://example.org/source"',
            f'<link rel="canonical" href="https://example.org/pots/{path}">',
        ):
            assert said in text, (path, said)
    assert 'href="https://example.org/source/edit/main/docs/about.md"' in read(plain, "about.html")
    assert "Edit this page" not in read(plain, "forms/first-beaker.html")
    assert read(plain, "plain.html").startswith("<!doctype html><title>Plain</title>")
    assert read(plain, "notice.txt") == "My studio at https://example.org/pots/"


def test_our_own_pages_keep_their_policy_and_the_makers_are_theirs(plain):
    assert "Content-Security-Policy" in read(plain, "forms/first-beaker.html")
    assert "Content-Security-Policy" not in read(plain, "about.html"), "a style in the page would be dropped unseen"


@contextlib.contextmanager
def served(folder):
    """A folder handed out by the standard library's server; gives the address of its root."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *said):
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=folder)) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def test_every_link_holds_where_the_site_is_served_in_a_subfolder(plain, listed, tmp_path):
    for folder, own in ((plain, "about.html"), (listed, "about/")):
        top = tmp_path / own.strip("/")
        top.mkdir()
        (top / "pots").symlink_to(folder / "site")
        with served(top) as root:
            seen, waiting = {}, [f"{root}/pots/", f"{root}/pots/404.html"]
            while waiting:
                address = waiting.pop()
                if address in seen:
                    continue
                with urllib.request.urlopen(address, timeout=30) as answer:
                    text = answer.read().decode() if answer.headers.get_content_type() == "text/html" else ""
                seen[address] = Addresses(text)
                for _, found in seen[address].found:
                    whole = urldefrag(urljoin(address, found)).url
                    if whole.startswith(root):
                        assert whole.startswith(f"{root}/pots/"), f"{address}: {found} leaves the site"
                        waiting.append(whole)
            for address, page in seen.items():
                for _, found in page.found:
                    whole, place = urldefrag(urljoin(address, found))
                    if place and whole in seen and seen[whole].names:
                        assert unquote(place) in seen[whole].names, f"{address}: {found} has no such place"
        paths = {address.removeprefix(f"{root}/pots/") for address in seen}
        assert {own, "", "forms/first-beaker.html", "css/own.css", "img/kiln.svg", "js/module.mjs"} <= paths
        assert len(paths) > 25


# ---- what is refused ----


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"docs/glossary.md": "# Mine"}, "docs/glossary.md:1:1: error: a page or file made from the specs is `glossary.html` already [name-taken]"),
        ({"docs/index.md": "# Mine"}, "docs/index.md:1:1: error: the front page, which lists the forms, is `index.html` already [name-taken]"),
        ({"own/main.html": '{% extends "base.html" %}\n{% block hero %}{% endblock %}'}, "own/main.html:2:1: error: block `hero`: the page has no such block"),
        ({"docs/img/mark.svg": None}, "mkdocs.yml:13:9: error: theme.logo: there is no `img/mark.svg` in docs/ [unknown-file]"),
    ],
    ids=["page", "front", "block", "logo"],
)  # fmt: skip
def test_what_cannot_be_shown_is_refused_at_its_place(tmp_path, changes, said):
    folder = studio(tmp_path / "pots")
    for path, text in changes.items():
        (folder / path).write_text(text, encoding="utf-8") if text is not None else (folder / path).unlink()
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards"])
    assert done.exit_code == 1 and said in done.output
    assert "Traceback" not in done.output and not (folder / "site").exists()


def test_a_page_among_the_specs_is_told_of(tmp_path):
    folder = tmp_path / "pots"
    CliRunner().invoke(command, ["start", str(folder)])
    settings = (folder / "mkdocs.yml").read_text(encoding="utf-8")
    (folder / "mkdocs.yml").write_text(settings.replace("- wareboard\n", "- wareboard: {cards: false}\n"))
    for name in ("about", "README"):
        (folder / "specs" / f"{name}.md").write_text("# Mine", encoding="utf-8")
    done = mkdocs(folder, "build")
    assert (
        "specs/about.md:1:1: warning: nothing is taken from specs/ as it is" in done.stderr
        and "README" not in done.stderr
    )
    assert done.returncode == 0 and not (folder / "site" / "about.html").exists()


def test_specs_are_never_copied_however_own_pages_lead_to_them(tmp_path):
    folder = studio(tmp_path / "pots")
    (folder / "docs" / "s").symlink_to(folder / "specs")
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards"])
    assert done.exit_code == 0, done.output
    assert not list((folder / "site").rglob("*.yaml"))


@pytest.mark.parametrize(
    ("theme", "place"),
    [("theme: readthedocs", "2:8"), ("theme: {name: no-such-theme}", "2:15"), ("", "1:1")],
)  # fmt: skip
def test_another_theme_or_none_is_refused_at_its_line_by_our_own_command(tmp_path, theme, place):
    folder = tmp_path / "pots"
    CliRunner().invoke(command, ["start", str(folder)])
    (folder / "mkdocs.yml").write_text(
        f"site_name: a\n{theme}\ndocs_dir: specs\nplugins: [wareboard]\n", encoding="utf-8"
    )
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards"])
    assert done.exit_code == 1 and f"mkdocs.yml:{place}: error: theme: " in done.output, done.output
    assert "write `theme: {name: wareboard}`" in done.output and "Traceback" not in done.output


def test_the_theme_that_studios_wrote_before_is_taken_for_ours(tmp_path):
    folder = tmp_path / "pots"
    CliRunner().invoke(command, ["start", str(folder)])
    sites = []
    for theme in ("wareboard", "material, font: false, palette: {scheme: slate}"):
        (folder / "mkdocs.yml").write_text(
            f"site_name: a\ntheme: {{name: {theme}}}\ndocs_dir: specs\nplugins: [search, wareboard: {{cards: false}}]\n",
            encoding="utf-8",
        )
        done = mkdocs(folder, "build", "--strict")
        assert done.returncode == 0, done.stderr  # --strict: not a warning
        sites.append({path: path.read_bytes() for path in (folder / "site").rglob("*.html")})
    assert sites[0] == sites[1]
    done = subprocess.run(
        [sys.executable, "-m", "wareboard", "build", "--no-cards"], cwd=folder, capture_output=True, text=True
    )
    assert done.returncode == 0 and "end of life" not in done.stderr, done.stderr


def test_the_site_generator_refuses_another_theme_too_and_warns_of_what_only_looks(tmp_path):
    folder = tmp_path / "pots"
    CliRunner().invoke(command, ["start", str(folder)])
    (folder / "mkdocs.yml").write_text(
        "site_name: a\ndocs_dir: specs\nplugins: [wareboard: {cards: false}]\n", encoding="utf-8"
    )
    done = mkdocs(folder, "build")
    assert done.returncode == 1 and "mkdocs.yml:1:1: error: theme: none is named" in done.stderr
    with open(folder / "mkdocs.yml", "a", encoding="utf-8") as file:
        file.write("theme:\n  name: wareboard\n  features: [navigation.tabs]\n")
    done = mkdocs(folder, "build", "--strict")
    assert done.returncode == 1 and "mkdocs.yml:6:3: warning: theme.features: nothing here follows it" in done.stderr
    assert not (folder / "site").exists()


def test_sites_for_others_have_none_of_it(plain, tmp_path):
    folder = tmp_path / "pots"
    shutil.copytree(plain, folder, ignore=shutil.ignore_patterns("site", ".wareboard"))
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards", "--for", "assistant"])
    assert done.exit_code == 0, done.output
    made = {path.relative_to(folder / "site-assistant").as_posix() for path in (folder / "site-assistant").rglob("*")}
    assert "forms/first-beaker.html" in made and not made & {"about.html", "made.html", "img/kiln.svg", "css/own.css"}
    text = (folder / "site-assistant" / "index.html").read_text(encoding="utf-8")
    assert not re.search("example.org|Our studio|Below the foot|own.js", text)


# ---- out into the world ----


def test_no_notice_of_an_end_or_an_upgrade_reaches_the_terminal(plain):
    environment = {name: value for name, value in os.environ.items() if "MKDOCS" not in name}
    words = [Path(sys.executable).with_name("mkdocs"), "build"]  # as it starts, with whatever it says then
    done = subprocess.run(words, cwd=plain, env=environment, capture_output=True, text=True, timeout=300)
    said = done.stdout + done.stderr
    assert done.returncode == 0 and "The site is at" in said
    assert not re.search(r"(?i)end of life|upgrade|deprecat|successor|zensical|properdocs|mkdocs 2", said), said


def test_it_is_deployed_as_any_site_of_the_generator(plain, tmp_path):
    git = lambda folder, *words: (
        subprocess.run(["git", *words], cwd=folder, check=True, capture_output=True, text=True).stdout
    )
    folder, remote = tmp_path / "pots", tmp_path / "remote.git"
    shutil.copytree(plain, folder)
    (folder / "docs" / "CNAME").write_text("pots.example\n", encoding="utf-8")
    git(tmp_path, "init", "-q", "--bare", str(remote))
    git(folder, "init", "-q")
    for name, value in (("user.name", "A potter"), ("user.email", "potter@example.org")):
        git(folder, "config", name, value)
    git(folder, "remote", "add", "origin", str(remote))
    git(folder, "commit", "-q", "--allow-empty", "-m", "Begin")
    done = mkdocs(folder, "gh-deploy", "--strict")
    assert done.returncode == 0, done.stderr
    assert "the studio's own site" in done.stderr
    out = git(remote, "ls-tree", "-r", "--name-only", "gh-pages").split()
    assert {"index.html", "about.html", "img/kiln.svg", "forms/first-beaker.html", "CNAME", ".nojekyll"} <= set(out)
    assert not [path for path in out if path.endswith((".yaml", ".md"))]
    assert git(remote, "show", "gh-pages:about.html") == read(folder, "about.html")
