"""Outputs for others stand apart from the studio's: folders, addresses, caches; and nothing takes another's place."""

import json
import re
import shutil
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cli import command
from wareboard.output import working

from tests.site.conftest import plain_cards

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def small(tmp_path, drawn_once):
    """The demo studio with two of its forms."""
    shutil.copytree(ROOT / "specs", tmp_path / "specs", ignore=shutil.ignore_patterns("runs", "orders", ".revisions"))
    for path in (tmp_path / "specs" / "forms").glob("*.yaml"):
        if path.stem not in ("supper-plate", "tall-beaker"):
            path.unlink()
    return tmp_path


def run(where, *words):
    return CliRunner().invoke(command, ["-C", str(where), "build", *words])


def tree(where):
    return {
        path.relative_to(where).as_posix(): path.read_bytes() for path in sorted(where.rglob("*")) if path.is_file()
    }


def test_each_audience_has_a_folder_of_its_own(small):
    for words in ((), ("--for", "stockist"), ("--for", "assistant")):
        done = run(small, "--no-cards", *words)
        assert done.exit_code == 0, done.output
    assert {path.name for path in small.iterdir() if path.name.startswith("site")} == {
        "site",
        "site-stockist",
        "site-assistant",
    }
    before = tree(small / "site")
    run(small, "--no-cards", "--for", "stockist")
    assert tree(small / "site") == before
    assert (small / "site" / "stock.html").exists() and not (small / "site-assistant" / "stock.html").exists()
    assert sorted(path.name for path in (small / "site-stockist").glob("*.*")) == [
        ".wareboard-site.json",
        "404.html",
        "index.html",
        "sitemap.xml",
        "sitemap.xml.gz",
        "stock.csv",
    ]
    assert "stock.html" not in (small / "site-assistant" / "index.html").read_text(encoding="utf-8")


def test_an_unknown_audience_is_asked_back_for(small):
    done = run(small, "--for", "stokist")
    assert done.exit_code == 2 and "did you mean 'stockist'?" in done.output
    assert not list(small.glob("site*"))


def test_errors_leave_the_last_output(small):
    run(small, "--no-cards", "--for", "stockist")
    before = tree(small / "site-stockist")
    form = small / "specs" / "forms" / "tall-beaker.yaml"
    form.write_text(form.read_text(encoding="utf-8").replace("wall:", "wal:"), encoding="utf-8")
    assert run(small, "--no-cards", "--for", "stockist").exit_code == 1
    assert tree(small / "site-stockist") == before


def test_what_mkdocs_yml_says_for_the_studio_stays_there(small):
    (small / "mkdocs.yml").write_text(
        "site_name: x\nsite_url: https://private.example/studio/\nsite_dir: public\ncopyright: Zqsecret\ndocs_dir: specs\ntheme: {name: wareboard}\n"
        "plugins:\n  - search\n  - wareboard:\n      addresses: {stockist: 'https://shops.example/'}\n", encoding="utf-8",
    )  # fmt: skip
    assert run(small, "--no-cards", "--for", "stockist").exit_code == 0
    assert run(small, "--no-cards", "--for", "assistant").exit_code == 0
    assert not any(
        b"private.example" in content or b"Zqsecret" in content
        for where in ("public-stockist", "public-assistant")
        for content in tree(small / where).values()
    )
    assert '<link rel="canonical" href="https://shops.example/forms/b-12-ls.html">' in (
        small / "public-stockist" / "forms" / "b-12-ls.html"
    ).read_text(encoding="utf-8")
    assert b"https://shops.example/forms/b-12-ls.html" in (small / "public-stockist" / "sitemap.xml").read_bytes()
    assert "canonical" not in (small / "public-assistant" / "index.html").read_text(encoding="utf-8")


def test_cards_for_shops_are_dated_once_and_the_studios_stay_set(small, laid_out_once, monkeypatch):
    try:
        engine.check_engine()
    except engine.CardsUnavailable as fault:
        pytest.skip(str(fault))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772582400")  # 4 March 2026
    with plain_cards(lambda card: card.name.endswith(("stock", "stock-list"))):
        assert run(small).exit_code == 0
    kept = {path.name for path in (small / ".wareboard" / "cache").glob("*.pdf")}
    assert run(small, "--for", "stockist").exit_code == 0
    assert {path.name for path in (small / ".wareboard" / "cache").glob("*.pdf")} == kept
    before = tree(small / "site-stockist" / "cards")
    assert sorted(before) == ["b-12-ls-stock.pdf", "p-26-tb-stock.pdf", "stock-list.pdf"]
    assert sorted(path.name for path in (small / "site" / "cards").glob("*stock*")) == [
        "stock-list.pdf",
        "supper-plate-stock.pdf",
        "tall-beaker-stock.pdf",
    ]
    text = pypdf.PdfReader(small / "site-stockist" / "cards" / "b-12-ls-stock.pdf").pages[0].extract_text()
    assert "made 4 March 2026" in text
    # A year later it still is the revision of that day.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1804118400")
    shutil.rmtree(small / ".wareboard")
    assert run(small, "--for", "stockist").exit_code == 0
    assert tree(small / "site-stockist" / "cards") == before


def test_an_assistant_is_told_the_same_revisions(small):
    worked = working.work_out(small)
    assert run(small, "--no-cards", "--for", "assistant").exit_code == 0
    for slug, sheet in worked.sheets.items():
        assert f'data-revision="{sheet.revision}"' in (small / "site-assistant" / "forms" / f"{slug}.html").read_text(
            encoding="utf-8"
        )


# ---- what machines are told ----

NOINDEX = '<meta name="robots" content="noindex">'


def head_of(path):
    return path.read_text(encoding="utf-8").partition("</head>")[0]


def test_search_engines_are_asked_to_stay_away_unless_the_maker_says_otherwise(small):
    for words in ((), ("--for", "stockist"), ("--for", "assistant")):
        assert run(small, "--no-cards", *words).exit_code == 0
    assert NOINDEX in head_of(small / "site" / "stock.html") and NOINDEX not in head_of(small / "site" / "index.html")
    for site in ("site-stockist", "site-assistant"):
        assert all(NOINDEX in head_of(path) for path in (small / site).rglob("*.html")), site
    page = head_of(small / "site-stockist" / "forms" / "b-12-ls.html")
    assert '<meta property="og:type" content="product">' in page and "og:image" not in page and "og:url" not in page
    assert "og:" not in head_of(small / "site" / "stock.html")
    (small / "mkdocs.yml").write_text(
        "site_name: x\nsite_url: https://private.example/\ndocs_dir: specs\ntheme: {name: wareboard}\nplugins:\n  - search\n  - wareboard:\n"
        "      addresses: {stockist: https://shops.example/}\n      indexed: [stockist]\n", encoding="utf-8",
    )  # fmt: skip
    for words in ((), ("--for", "stockist")):
        done = run(small, "--no-cards", *words)
        assert done.exit_code == 0, done.output
    assert not any(NOINDEX in head_of(path) for path in (small / "site-stockist").rglob("*.html"))
    page = head_of(small / "site-stockist" / "forms" / "b-12-ls.html")
    assert '<meta property="og:image" content="https://shops.example/forms/b-12-ls.png">' in page
    assert (small / "site-stockist" / "forms" / "b-12-ls.png").read_bytes().startswith(b"\x89PNG")
    found = re.search(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)
    assert json.loads(found[1])["url"] == "https://shops.example/forms/b-12-ls.html"
    assert NOINDEX in head_of(small / "site" / "stock.html")
