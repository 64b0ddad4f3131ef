"""`wareboard cards` and what it leaves behind: any choice, in order, at true size; and pages that tell old cards what changed."""

import io
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner
from wareboard.cards import engine
from wareboard.cards.cardkinds import KINDS, PAPER_MM
from wareboard.cli import command
from wareboard.output import printing
from wareboard.output.working import work_out

from tests.driven import Browser
from tests.framed import needs_chromium
from tests.site.conftest import LAID_OUT, plain_cards

ROOT = Path(__file__).resolve().parents[2]
POINT_MM = 25.4 / 72.0
PINNED = "1772582400"  # 4 March 2026
LATER = "1775088000"  # 2 April 2026

try:
    engine.check_engine()
except engine.CardsUnavailable as fault:
    pytest.skip(str(fault), allow_module_level=True)


def write_studio(folder, *slugs):
    shutil.copytree(ROOT / "specs", folder / "specs", ignore=shutil.ignore_patterns("runs", "orders", ".*"))
    for path in (folder / "specs" / "forms").glob("*.yaml"):
        if slugs and path.stem not in slugs:
            path.unlink()
    text = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
    (folder / "mkdocs.yml").write_text(
        re.sub(r"(?m)^# site_url: \S+", "site_url: https://pots.example/", text), encoding="utf-8"
    )
    return folder


@pytest.fixture
def studio(tmp_path, monkeypatch, laid_out_once, drawn_once):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", PINNED)
    monkeypatch.chdir(tmp_path)
    return write_studio(tmp_path, "tea-caddy", "tall-beaker", "oil-bottle")


def run(folder, *words):
    return CliRunner().invoke(command, ["-C", str(folder), *map(str, words)])


def last_good(path):
    """A PDF as an earlier run wrote it; its bytes."""
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    writer.add_metadata({"/Creator": "Wareboard"})
    writer.write(path)
    return path.read_bytes()


def done(folder, *words):
    result = run(folder, "cards", *words)
    assert result.exit_code == 0, result.output
    return pypdf.PdfReader(io.BytesIO((folder / result.stdout.strip()).read_bytes()))


def sizes_mm(document):
    return {
        (round(float(page.mediabox.width) * POINT_MM), round(float(page.mediabox.height) * POINT_MM))
        for page in document.pages
    }


def marks(document, entries=None, level=0):
    """The bookmarks as (level, title, page)."""
    found = []
    for entry in document.outline if entries is None else entries:
        found += (
            marks(document, entry, level + 1)
            if isinstance(entry, list)
            else [(level, entry.title, document.get_destination_page_number(entry))]
        )
    return found


# ---- what is printed ----


def test_one_form_is_its_wheel_card_named_after_it(studio):
    document = done(studio, "tea-caddy")
    assert (studio / "tea-caddy-wheel.pdf").is_file()
    assert sizes_mm(document) == {(210, 148)} and "Tea caddy" in document.pages[0].extract_text()


def test_no_form_is_all_of_them_in_the_catalogues_order_with_bookmarks(studio):
    document = done(studio)
    assert (studio / "cards.pdf").is_file()
    assert [(level, title) for level, title, _ in marks(document)] == [(0, title) for title in in_order(studio)]
    for _, title, page in marks(document):
        assert document.pages[page].extract_text().startswith(title)


def in_order(folder):
    """Titles as the front page has them: by family, then by title."""
    forms = work_out(folder).project.forms.values()
    return [str(form.title) for form in sorted(forms, key=lambda form: (str(form.family), str(form.title)))]


def test_several_kinds_stand_form_by_form_below_one_bookmark_each(studio):
    document = done(studio, "tea-caddy", "tall-beaker", "--kind", "wheel,template", "-o", "some.pdf")
    found = marks(document)
    assert [title for level, title, _ in found if level == 0] == [
        title for title in in_order(studio) if title in ("Tea caddy", "Tall beaker")
    ]
    assert [title for level, title, _ in found if level == 1] == ["wheel", "template", "wheel", "template"]
    assert sizes_mm(document) == {(210, 148), (210, 297)}


def test_several_go_on_a_sheet_at_true_size(studio):
    alone, laid = (
        done(studio, "--paper", "A6", "-o", "alone.pdf"),
        done(studio, "--paper", "A6", "--sheet", "A4", "-o", "laid.pdf"),
    )
    assert sizes_mm(alone) == {(148, 105)} and sizes_mm(laid) == {(297, 210)}
    assert len(laid.pages) == -(-len(alone.pages) // 4)
    assert [title for _, title, _ in marks(laid)] == [title for _, title, _ in marks(alone)]
    words = lambda document: sorted(" ".join(page.extract_text() for page in document.pages).split())
    assert words(laid) == words(alone)
    assert "/StructTreeRoot" in laid.trailer["/Root"] and laid.trailer["/Root"]["/Lang"] == "en"


def test_a_clays_rule_is_printed_by_its_name_or_its_forms(studio):
    with plain_cards():
        by_name = done(studio, "--clay", "millpond-buff", "-o", "rule.pdf")
        of_form = done(studio, "tea-caddy", "--kind", "rule", "-o", "of-form.pdf")
        every = done(studio, "--kind", "rule", "-o", "every.pdf")
    text = by_name.pages[0].extract_text()
    assert "Millpond buff" in text and [page.extract_text() for page in of_form.pages] == [text]
    assert len(marks(every)) == 2


def test_all_is_every_kind_that_there_is(studio):
    asked = printing.wanted_cards(work_out(studio), forms=["tall-beaker"])
    assert not [card for card in asked if card.kind.about == "form" and not card.name.startswith("tall-beaker-")]
    for slug in ("tall-beaker", "oil-bottle"):
        (studio / "specs" / "forms" / f"{slug}.yaml").unlink()
    with plain_cards():
        document = done(studio, "--kind", "all", "-o", "all.pdf")
    wanted = printing.wanted_cards(work_out(studio))
    assert {card.kind.name for card in wanted} == set(KINDS)
    assert [title for level, title, _ in marks(document) if level == 1] == [card.kind.name for card in wanted]


def test_every_card_goes_by_the_name_that_it_says(studio):
    from wareboard.output.history import Record

    record = Record(studio)
    for card in printing.wanted_cards(work_out(studio)):
        assert card.text(record).name == card.name


def test_many_cards_are_set_in_two_halves_with_all_their_tags(studio, monkeypatch):
    one = done(studio, "--kind", "wheel", "-o", "one.pdf")
    monkeypatch.setattr(printing, "WORTH_TWO_PROCESSES", 2)
    two = done(studio, "--kind", "wheel", "-o", "two.pdf")
    assert [page.extract_text() for page in two.pages] == [page.extract_text() for page in one.pages]
    assert marks(two) == marks(one)
    count = lambda document: sum(
        len(entry.get_object()) for entry in document.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"][1::2]
    )
    assert count(two) == count(one) > 50


SET_IN_TWO_PROCESSES = """
from wareboard.cards import engine
from wareboard.output.workers import share

text = "<html lang=en><title>Jar</title><body><p>Jar"
card = engine.CardText("jar", "Jar", text, "@page { size: 105mm 148mm } p { font: 20pt FACES }")
engine.check_engine()
print(len(dict(share(lambda _number: engine.render_pdf(card), [1, 2, 3, 4]))))
"""


def test_no_fonts_are_left_behind_once_cards_are_set(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", SET_IN_TWO_PROCESSES], env={**os.environ, "TMPDIR": str(tmp_path)}, capture_output=True, text=True,
    )  # fmt: skip
    assert (done.stdout, done.stderr) == ("4\n", "")
    assert list(tmp_path.iterdir()) == []


def test_the_same_input_gives_the_same_bytes(studio):
    made = []
    for name in ("a.pdf", "b.pdf"):
        LAID_OUT.clear()
        done(studio, "tea-caddy", "--kind", "wheel,rule", "--sheet", "A4", "-o", name)
        made.append((studio / name).read_bytes())
    assert made[0] == made[1]


# ---- what cannot be printed ----


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--kind", "weel"], "there is no kind of card 'weel'; did you mean 'wheel'?"),
        (["--kind", "wheel,trimmin"], "did you mean 'trimming'?"),
        (["tea-cady"], "there is no form 'tea-cady'; did you mean 'tea-caddy'?"),
        (["--clay", "millpond-buf"], "there is no clay 'millpond-buf'; did you mean 'millpond-buff'?"),
        (["--paper", "A55"], "there is no paper 'A55'; did you mean 'A5'?"),
        (
            ["--kind", "template", "--paper", "A6"],
            "a template sheet does not go on A6; it goes on Letter or A4 and on nothing smaller",
        ),
        (
            ["--paper", "A5", "--sheet", "A6"],
            "a card of 210 × 148 mm does not go on a sheet of A6; the smallest paper that takes it is A5",
        ),
    ],
)
def test_what_cannot_be_is_said_and_the_last_pdf_stays(studio, words, said):
    last = last_good(studio / "out.pdf")
    result = run(studio, "cards", *words, "-o", "out.pdf")
    assert result.exit_code == 2 and said in result.stderr, result.stderr
    assert (studio / "out.pdf").read_bytes() == last
    assert not (studio / "specs" / ".revisions").exists()


def test_a_form_without_what_a_card_needs_is_named(studio, monkeypatch):
    path = studio / "specs" / "forms" / "tea-caddy.yaml"
    path.write_text(path.read_text(encoding="utf-8").split("stockist:")[0], encoding="utf-8")
    result = run(studio, "cards", "tea-caddy", "tall-beaker", "--kind", "stock")
    assert (
        result.exit_code == 2 and "there is no stock sheet of tea-caddy; it needs a `stockist:` block" in result.stderr
    )
    kinds = []
    monkeypatch.setattr(engine, "render_deck", lambda cards, *_, **__: kinds.extend(cards) or b"%PDF-1.7")
    assert run(studio, "cards", "tea-caddy", "--kind", "all").exit_code == 0
    assert len(kinds) > 3 and not [card.name for card in kinds if "stock" in card.name]


def test_a_file_that_is_not_ours_is_never_written_over(studio):
    spec = studio / "specs" / "forms" / "tall-beaker.yaml"
    before = spec.read_bytes()
    (studio / "thesis.pdf").write_bytes(b"%PDF-1.7 years of work")
    (studio / "link.pdf").symlink_to(spec)
    for name in ("specs/forms/tall-beaker.yaml", "specs/forms/new.yaml", "thesis.pdf", "link.pdf", "specs"):
        result = run(studio, "cards", "tall-beaker", "-o", name)
        assert result.exit_code in (1, 2) and name in result.stderr and result.stderr.count("Error: ") == 1
    assert spec.read_bytes() == before and (studio / "thesis.pdf").read_bytes() == b"%PDF-1.7 years of work"
    assert (studio / "link.pdf").is_symlink() and not (studio / "specs" / "forms" / "new.yaml").exists()


def test_a_fault_on_the_way_leaves_no_half_of_a_pdf(studio, monkeypatch):
    last = last_good(studio / "cards.pdf")

    def fail(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(engine, "render_deck", fail)
    result = run(studio, "cards")
    assert result.exit_code == 1 and result.stderr.endswith("Error: the disk is full; make room and run it again\n")
    assert (studio / "cards.pdf").read_bytes() == last
    assert [path.name for path in studio.glob("*.pdf")] == ["cards.pdf"] and not list(studio.glob(".cards*"))
    assert not (studio / "specs" / ".revisions").exists()


def test_a_form_with_errors_is_not_printed(studio):
    path = studio / "specs" / "forms" / "oil-bottle.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("clay: ", "clay: no-such-", 1), encoding="utf-8")
    assert run(studio, "cards", "-o", "out.pdf").exit_code == 1 and not (studio / "out.pdf").exists()
    assert run(studio, "cards", "tea-caddy", "-o", "out.pdf").exit_code == 0
    assert run(studio, "cards", "--clay", "millpond-buff", "-o", "rule.pdf").exit_code == 0


def test_a_clay_that_cannot_be_is_said_with_its_place(studio):
    path = studio / "specs" / "clays" / "quarry-brown.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("dry: 5.5 %", "dry: 30 %", 1), encoding="utf-8")
    result = run(studio, "cards", "--clay", "quarry-brown", "-o", "rule.pdf")
    assert (
        result.exit_code == 1 and "specs/clays/quarry-brown.yaml:" in result.stderr and "Traceback" not in result.output
    ), result.output
    path.write_text("title: [\n", encoding="utf-8")
    result = run(studio, "cards", "--clay", "quarry-brown", "-o", "rule.pdf")
    assert result.exit_code == 1 and "quarry-brown has errors" in result.stderr
    assert not (studio / "rule.pdf").exists()


# ---- revisions ----


def revise(studio, later, monkeypatch):
    """A narrower mouth, some days later."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", later)
    path = studio / "specs" / "forms" / "tea-caddy.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace("height: 89, diameter: 77}", "height: 89, diameter: 76.5}").replace(
            "height: 98, diameter: 77}", "height: 98, diameter: 76.5}"
        ),
        encoding="utf-8",
    )


def recorded(studio, slug="tea-caddy", of="forms"):
    path = studio / "specs" / ".revisions" / of / f"{slug}.jsonl"
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.exists() else []


def test_looking_records_nothing_and_making_records_once(studio):
    for words in (["check"], ["derive", "tea-caddy"]):
        assert run(studio, *words).exit_code == 0
    assert recorded(studio) == []
    for _ in range(2):
        assert run(studio, "build", "--no-cards").exit_code == 0
        assert [entry["made"] for entry in recorded(studio)] == ["2026-03-04"]
    assert [entry["made"] for entry in recorded(studio, "millpond-buff", "clays")] == ["2026-03-04"]
    assert all(
        len(line) < 2500
        for line in (studio / "specs" / ".revisions" / "forms" / "tea-caddy.jsonl")
        .read_text(encoding="utf-8")
        .splitlines()
    )


def test_a_build_that_fails_records_nothing(studio, monkeypatch):
    assert run(studio, "build", "--no-cards").exit_code == 0
    revise(studio, LATER, monkeypatch)
    path = studio / "specs" / "forms" / "oil-bottle.yaml"
    good = path.read_text(encoding="utf-8")
    path.write_text(good.replace("clay: ", "clay: no-such-", 1), encoding="utf-8")
    assert run(studio, "build", "--no-cards").exit_code == 1
    assert len(recorded(studio)) == 1
    path.write_text(good, encoding="utf-8")
    assert run(studio, "build", "--no-cards").exit_code == 0
    assert [entry["made"] for entry in recorded(studio)] == ["2026-03-04", "2026-04-02"]


def test_a_card_keeps_the_day_of_its_revision(studio, monkeypatch):
    assert "made 4 March 2026" in done(studio, "tea-caddy").pages[0].extract_text()
    before = (studio / "tea-caddy-wheel.pdf").read_bytes()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", LATER)
    done(studio, "tea-caddy")
    assert (studio / "tea-caddy-wheel.pdf").read_bytes() == before
    revise(studio, LATER, monkeypatch)
    assert "made 2 April 2026" in done(studio, "tea-caddy").pages[0].extract_text()
    assert [entry["made"] for entry in recorded(studio)] == ["2026-03-04", "2026-04-02"]


def test_specs_that_cannot_be_written_to_are_no_reason_to_print_nothing(studio):
    (studio / "specs" / ".revisions").write_text("in the way", encoding="utf-8")
    result = run(studio, "cards", "tea-caddy")
    assert result.exit_code == 0 and "not remembered" in result.stderr
    assert run(studio, "build", "--no-cards").exit_code == 0


def test_the_record_is_on_no_page_and_in_no_file_but_what_a_page_tells(studio):
    assert run(studio, "build", "--no-cards").exit_code == 0
    assert not [path for path in (studio / "site").rglob("*") if ".revisions" in str(path) or path.suffix == ".jsonl"]


def shown_on(page, folder, *queries):
    """What of the notices a browser shows when the page is opened from a disk, with each query."""
    with Browser(folder) as browser:
        for query in queries:
            browser.open(f"{page.as_uri()}{query}")
            dom = browser.run("document.documentElement.outerHTML")
            found = re.findall(
                r'<(div|p) class="older"([^>]*)>(.*?)</\1>(?=\s*<(?:div|p) class="older"|\s*</(?:header|div)>)',
                dom,
                re.DOTALL,
            )
            assert found, dom[:500]
            yield [" ".join(re.sub("<[^>]+>", " ", text).split()) for _, how, text in found if "hidden" not in how]


@needs_chromium
def test_a_page_tells_an_old_card_what_changed(studio, monkeypatch):
    assert run(studio, "build", "--no-cards").exit_code == 0
    revise(studio, LATER, monkeypatch)
    assert run(studio, "build", "--no-cards").exit_code == 0
    old, new = (entry["revision"] for entry in recorded(studio))
    page = studio / "site" / "forms" / "tea-caddy.html"
    (told,), newest, plain, (unknown,) = shown_on(
        page, studio, f"?revision={old}", f"?revision={new}", "", "?revision=<b>zzz"
    )
    assert f"of revision {old}, first made 4 March 2026. There is a newer one, {new}, and this has changed:" in told
    assert "jar mouth 87.5 → 87.0 mm" in told and "Print the card again" in told
    assert newest == plain == []
    assert f"of another revision than this page, {new}" in unknown and "zzz" not in unknown


def test_without_a_script_a_page_tells_nothing_that_is_wrong(studio, monkeypatch):
    assert run(studio, "build", "--no-cards").exit_code == 0
    revise(studio, LATER, monkeypatch)
    assert run(studio, "build", "--no-cards").exit_code == 0
    html = (studio / "site" / "forms" / "tea-caddy.html").read_text(encoding="utf-8")
    notices = re.findall(r'<(?:div|p) class="older"[^>]*>', html)
    assert len(notices) == 2 and all(notice.rstrip(">").endswith("hidden") for notice in notices)


def test_the_code_on_a_card_leads_to_its_page_with_its_revision(studio):
    document = done(studio, "tea-caddy")
    (revision,) = (entry["revision"] for entry in recorded(studio))
    alt = [str(entry) for entry in alternatives(document)]
    assert any(f"https://pots.example/bench/tea-caddy.html?revision={revision}" in words for words in alt), alt


def alternatives(document):
    waiting = [document.trailer["/Root"]["/StructTreeRoot"].get_object()]
    while waiting:
        element = waiting.pop()
        if "/Alt" in element:
            yield element["/Alt"]
        kids = element.get("/K", [])
        waiting += [
            kid.get_object()
            for kid in (kids if isinstance(kids, list) else [kids])
            if isinstance(kid.get_object(), dict)
        ]


def test_papers_are_the_papers():
    """Source: ISO 216 (A4 210 × 297 mm, A5 148 × 210, A6 105 × 148) and ANSI/ASME Y14.1 (Letter 8½ × 11 in); from memory."""
    assert PAPER_MM["A4"] == (210.0, 297.0) and PAPER_MM["A5"] == (148.0, 210.0) and PAPER_MM["A6"] == (105.0, 148.0)
    assert PAPER_MM["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert {paper for kind in KINDS.values() for paper in kind.papers} <= set(PAPER_MM)


@needs_chromium
def test_a_clays_page_tells_an_old_rule_what_it_would_misread(studio, monkeypatch):
    assert run(studio, "build", "--no-cards").exit_code == 0
    monkeypatch.setenv("SOURCE_DATE_EPOCH", LATER)
    path = studio / "specs" / "clays" / "millpond-buff.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("height_factor: 1.03", "height_factor: 1.05", 1), encoding="utf-8"
    )
    assert run(studio, "build", "--no-cards").exit_code == 0
    old, new = (entry["revision"] for entry in recorded(studio, "millpond-buff", "clays"))
    ((told,),) = shown_on(studio / "site" / "clays" / "millpond-buff.html", studio, f"?revision={old}")
    assert f"of revision {old}, first made 4 March 2026. There is a newer one, {new}" in told
    assert re.search(r"shrinkage upward, fired 12\.\d+ → 12\.\d+ %", told) and "Print the rule again" in told
    document = done(studio, "--clay", "millpond-buff")
    assert any(f"clays/millpond-buff.html?revision={new}" in str(words) for words in alternatives(document))
