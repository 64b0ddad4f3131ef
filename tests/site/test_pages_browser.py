"""The pages in a real browser, opened from a disk: nothing scrolls sideways on a phone, search works, no text becomes markup."""

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from wareboard.cli import command

from tests.demo import texts_of_demo
from tests.framed import LIGHT, needs_chromium, put_in, told_in_frames

ROOT = Path(__file__).resolve().parents[2]
pytestmark = needs_chromium

PHONE, DESK = 360, 1280
TELLS = '<script>window.hit=1</script><img src=x onerror="window.hit=1">\'"{{7*7}}</details></article><svg onload=window.hit=1>'

# Put at the end of each page of a copy. Everything is opened, measured in both lights, and told to the page around.
PROBE = """
addEventListener("load", async () => {
  const said = { frame: window.name, hit: !!window.hit };
  const page = document.documentElement;
  said.scripts = document.querySelectorAll("script").length;
  said.odd = [...document.querySelectorAll("main *")].filter((e) => /^(script|img|iframe|object|embed|style|link|base|form)$/i.test(e.tagName)
    || [...e.attributes].some((a) => /^on|^style$|^srcdoc$/i.test(a.name))).map((e) => e.outerHTML.slice(0, 80));
  said.links = [...document.querySelectorAll("[href]")].map((e) => e.getAttribute("href")).filter((href) => !/^(https?:|mailto:|[\\w./#%-]+$|[\\w./-]+[?#])/.test(href) || /^\\w*script:/i.test(href));
  said.old = [...document.querySelectorAll(".older")].filter((e) => e.checkVisibility()).map((e) => e.textContent);
  for (const details of document.querySelectorAll("details")) details.open = true;
  await document.fonts.ready;
  said.wide = page.scrollWidth - page.clientWidth;
  said.over = said.wide > 0 ? [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > page.clientWidth + 1 && !e.closest(".wide, .broad")).slice(0, 3).map((e) => e.outerHTML.slice(0, 90)) : [];
  await new Promise((done) => setTimeout(done, 20));
  said.unreached = [...document.querySelectorAll(".wide")].filter((e) => e.scrollWidth > e.clientWidth && !e.querySelector("a, button, input") && e.tabIndex < 0).length;
  said.scrolled = [...document.querySelectorAll(".match")].filter((e) => e.scrollWidth > e.clientWidth + 1 || e.getBoundingClientRect().right > page.clientWidth).length;
  LIGHT
  said.contrast = {};
  for (const way of ["light", "dark"]) {
    page.dataset.light = way;
    let least = [99, ""];
    for (const e of document.querySelectorAll("body *")) {
      if (![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()) || !e.checkVisibility()) continue;
      const style = getComputedStyle(e), a = light(e.closest("svg") ? (style.fill.startsWith("rgb") ? style.fill : style.color) : style.color), b = light(under(e));
      const ratio = contrast(a, b);
      if (ratio < least[0]) least = [ratio, e.outerHTML.slice(0, 90)];
    }
    said.contrast[way] = least;
  }
  said.narrowed = [...document.querySelectorAll(".catalogue tbody tr")].filter((e) => e.checkVisibility()).map((e) => e.dataset.form);
  said.shelf = [...document.querySelectorAll(".shelf li")].filter((e) => e.checkVisibility()).map((e) => e.dataset.form).sort();
  said.counted = (document.querySelector(".narrow output") || {}).textContent;
  const box = document.querySelector(".find input");
  if (box && said.frame.startsWith("find")) {
    box.value = new URLSearchParams(location.hash.slice(1)).get("words");
    box.dispatchEvent(new Event("input", { bubbles: true }));
    for (let tries = 0; tries < 100 && document.querySelector(".found").hidden; tries += 1) await new Promise((done) => setTimeout(done, 20));
    said.found = [...document.querySelectorAll(".found li")].map((e) => [e.textContent, e.querySelector("a") ? e.querySelector("a").getAttribute("href") : ""]);
      said.said = document.querySelector(".said").textContent;
    const first = document.querySelector(".found a"), away = document.querySelector(".bottom a");
    if (first) { first.focus(); away.focus(); said.hides = document.querySelector(".found").hidden; }
    said.foundOdd = document.querySelectorAll(".found script, .found img").length;
  }
  said.hosts = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => !name.startsWith("file:") && !name.startsWith("data:"));
  said.face = document.fonts.check("1rem 'Atkinson Hyperlegible Next'") && getComputedStyle(document.body).fontFamily;
  said.hit = said.hit || !!window.hit;
  said.refused = refused;
  parent.postMessage(JSON.stringify(said), "*");
});
const refused = [];
document.addEventListener("securitypolicyviolation", (event) => refused.push(event.blockedURI + " " + event.violatedDirective));
""".replace("LIGHT", LIGHT)


def browse(site, frames):
    """What pages of a site tell about themselves, each in a frame of a width: `(name, width, address)`."""
    put_in(site, PROBE, "**/*.html")
    return told_in_frames(site, [(name, width, 700, address) for name, width, address in frames])


def build_copy(folder, changed=None):
    """The demo's site, perhaps with some texts changed: no cards, pages are what is looked at."""
    shutil.copytree(ROOT / "specs", folder / "specs")
    shutil.copy(ROOT / "mkdocs.yml", folder)
    for path, text in (changed or {}).items():
        (folder / path).write_text(text, encoding="utf-8")
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards"])
    assert done.exit_code == 0, done.output
    return folder / "site"


# One form of one part, one with a lid, one whose parts nest, one that nests in another form.
FORMS = ("tall-beaker", "tea-caddy", "cup-and-saucer", "short-beaker")


def addresses(site):
    """A page of each kind, as an address below the site: all at its top, and of each folder all or those of some forms.

    A folder that is new is in by itself; bench views and pages that answer are laid out their own way and have their own tests.
    """
    pages = [path.relative_to(site) for path in sorted(site.rglob("*.html"))]
    folders = {page.parent for page in pages} - {Path("bench"), Path("answers"), Path("assets")}
    found = []
    for folder in sorted(folders):
        there = [page for page in pages if page.parent == folder and page.name not in ("404.html", "runner.html")]
        found += [page for page in there if page.stem in FORMS] or there
    return [page.as_posix() for page in found]


@pytest.fixture(scope="module")
def site(demo):
    """The demo's site as it was built, before a probe is put into a copy of it."""
    return demo / "site"


@pytest.fixture(scope="module")
def told(site, made_once):
    """Every page on a phone and on a desk, a search, and pages that an old and a present card lead to."""
    told = made_once("pages-told", lambda folder: (folder / "told.json").write_text(json.dumps(look(site, folder))))
    return json.loads((told / "told.json").read_text())


def look(site, folder):
    """What a copy of the site tells of itself in a browser."""
    copy = folder / "site"
    shutil.copytree(site, copy, ignore=shutil.ignore_patterns("*.pdf"))
    revision = re.search(r'data-revision="(\w+)"', (copy / "forms" / "tea-caddy.html").read_text(encoding="utf-8"))[1]
    frames = [
        (f"{width} {path}", width, path)
        for path in addresses(copy)
        for width in (PHONE, DESK)
        if width == PHONE or "/" not in path or path == "forms/tea-caddy.html"
    ]
    frames += [
        ("find front", DESK, "index.html#words=caddy"),
        ("find deep", PHONE, "forms/tall-beaker.html#words=gallery"),
        ("find term", PHONE, "index.html#words=leather-hard"),
        ("find slip", PHONE, "index.html#words=tall%20beeker"),
        ("find size", PHONE, "index.html#words=88%20mm"),
        ("find inches", PHONE, "index.html#words=3%207/16%20in"),
        ("find code", PHONE, "index.html#words=tc-2"),
        ("find fit", PHONE, "index.html#words=clearance%20caddy"),
        ("find much", PHONE, "index.html#words=a"),
        ("find odd", PHONE, "index.html#words=%3Cimg%20src%3Dx%3E"),
    ]
    frames += [
        ("lids", DESK, "index.html#lid=yes&by=-3"),
        ("small", PHONE, "index.html#family=beakers&most=200&by=0"),
        ("none", PHONE, "index.html#lightest=90000"),
    ]
    frames += [
        ("old", PHONE, "forms/tea-caddy.html?revision=0dd0dd"),
        ("present", PHONE, f"forms/tea-caddy.html?revision={revision}"),
    ]
    return browse(copy, frames)


def test_no_page_scrolls_sideways_on_a_phone_or_a_desk_even_with_everything_opened(told):
    assert {path for _, path in (name.split(" ", 1) for name in told if " " in name)} >= {
        "index.html",
        "reference.html",
        "stock.html",
        "clays/millpond-buff.html",
        "forms/tea-caddy.html",
    }
    assert {name: (said["wide"], said["over"]) for name, said in told.items() if said["wide"] > 0} == {}
    assert {name: said["scrolled"] for name, said in told.items() if said["scrolled"]} == {}


def test_words_stand_out_from_what_is_under_them_in_both_lights(told):
    """WCAG 2.2, 1.4.3 (second-hand): 4.5 to 1, relative luminance of sRGB."""
    for name, said in told.items():
        for way, (ratio, where) in said["contrast"].items():
            assert ratio >= 4.5, (name, way, ratio, where)


def test_search_works_from_a_disk_and_shows_texts_as_texts(told):
    front, deep, odd = (told[f"find {name}"] for name in ("front", "deep", "odd"))
    assert front["found"][0][1].endswith("/site/forms/tea-caddy.html")
    assert any(href.endswith(("/site/glossary.html", "/forms/tea-caddy.html")) for _, href in deep["found"])
    assert odd["found"] == [["Nothing is called that.", ""]] and not odd["foundOdd"]


def test_search_finds_places_terms_codes_and_sizes_forgives_a_slip_and_says_how_many(told):
    first = lambda name: told[f"find {name}"]["found"][0][1].partition("/site/")[2]
    assert first("term") == "glossary.html#leather-hard"
    assert first("slip") == "forms/tall-beaker.html" and first("code") == "forms/tea-caddy.html"
    for name in ("size", "inches"):
        assert "forms/tea-caddy.html" in [href.partition("/site/")[2] for _, href in told[f"find {name}"]["found"]], (
            name
        )
    assert any("tea-caddy.html#fit-lid" in href for _, href in told["find fit"]["found"])
    much = told["find much"]
    assert len(much["found"]) == 13 and much["found"][-1][0].startswith("More, ") and much["said"].startswith("12 of ")
    assert told["find odd"]["said"] == "Nothing is called that."
    assert all(said["hides"] for name, said in told.items() if name.startswith("find ") and name != "find odd")


def test_nothing_comes_from_another_host_and_no_page_is_refused_what_is_its_own(told):
    assert {name: said["hosts"] for name, said in told.items() if said["hosts"]} == {}
    assert {name: said["refused"] for name, said in told.items() if said["refused"]} == {}
    assert all("Atkinson" in (said["face"] or "") for said in told.values())


def test_every_file_names_only_what_stands_beside_it(site):
    """Every address that a page, a style or a script loads from; links that only lead away are a reader's own choice."""
    for path in site.rglob("*"):
        if path.suffix not in (".html", ".css", ".js", ".svg"):
            continue
        text = path.read_text(encoding="utf-8")
        loads = (
            re.findall(r"""(?:\bsrc|\bsrcset|\bposter)\s*=\s*["']?([^"'\s>]+)""", text)
            + re.findall(r"""url\(\s*["']?([^"')]+)""", text)
            + re.findall(r"""@import\s+["']([^"']+)""", text)
        )
        if path.suffix == ".html":
            loads += re.findall(r"""<link rel="(?!canonical)[^"]*" href="([^"]+)""", text)
            assert "Content-Security-Policy" in text and "default-src 'none'" in text, path
        for load in loads:
            assert not re.match(r"\w+:|//", load) or load.startswith("data:"), (path, load)
            if not load.startswith("data:") and path.suffix in (".html", ".css"):
                assert (path.parent / load.partition("?")[0]).resolve().is_file() or path.name == "404.html", (
                    path,
                    load,
                )


def test_the_catalogue_shows_what_its_address_asks_for_in_the_order_that_it_asks_for(told):
    assert told["lids"]["narrowed"] == ["butter-dish", "oil-bottle", "tea-caddy"]  # by their balls, the heaviest first
    assert told["lids"]["shelf"] == sorted(told["lids"]["narrowed"]) and told["lids"]["counted"] == "3 of 12 forms"
    assert told["small"]["narrowed"] == ["sip-beaker", "short-beaker"]  # by their codes
    assert told["none"]["narrowed"] == [] and told["none"]["counted"] == "No form is like that."
    assert len(told[f"{DESK} index.html"]["narrowed"]) == 12


def test_an_old_card_is_told_so_and_a_present_one_nothing(told):
    assert told["old"]["old"] and "revision" in told["old"]["old"][0]
    assert told["present"]["old"] == []
    assert all(said["old"] == [] for name, said in told.items() if name != "old")


def test_no_page_of_the_demo_has_a_script_a_handler_or_a_picture_in_its_words(told):
    assert {name: (said["odd"], said["links"]) for name, said in told.items() if said["odd"] or said["links"]} == {}
    assert len({said["scripts"] for name, said in told.items() if not name.endswith("compare.html")}) == 1


def hostile_texts():
    """Specs whose every free text tries to become more than text."""
    quoted, step = json.dumps(TELLS), json.dumps(re.sub(r"\{.*\}", "", TELLS))
    read = texts_of_demo()
    caddy = re.sub(r"(?ms)^(notes|steps|stockist):.*?(?=^\S|\Z)", "", read["specs/forms/tea-caddy.yaml"])
    notes = json.dumps(
        TELLS
        + " [go](javascript:window.hit=1) [to](JaVaScRiPt&#58;window.hit=1) [data](data:text/html,<script>window.hit=1</script>) <b onclick=window.hit=1>b</b>"
    )
    caddy += f"steps: {{wet: [{step}], fired: [{step}]}}\nnotes: {notes}\nstockist: {{sku: {quoted}, care: {quoted}, contains: {quoted}, description: {quoted}}}\n"
    clay = (
        read["specs/clays/millpond-buff.yaml"]
        .replace("cone: 8", f"cone: {quoted}")
        .replace("lot: 26-03", f"lot: {quoted}")
    )
    clay = re.sub(r"(?ms)^notes:.*?(?=^\S|\Z)", "", clay) + f"notes: {quoted}\n"
    glaze = re.sub(
        r"food_contact:.*",
        lambda _: f"food_contact: {{tested: 2026-02-10, method: {quoted}, result: {quoted}}}",
        read["specs/glazes/lichen-satin.yaml"],
    )
    glaze = re.sub(r"(?ms)^notes:.*?(?=^\S|\Z)", "", glaze).replace("cone: 8", f"cone: {quoted}") + f"notes: {quoted}\n"
    assert all(json.dumps(TELLS) in text for text in (caddy, clay, glaze))
    return {
        "specs/forms/tea-caddy.yaml": caddy,
        "specs/clays/millpond-buff.yaml": clay,
        "specs/glazes/lichen-satin.yaml": glaze,
    }


def test_no_text_of_a_maker_runs_or_becomes_markup_in_a_browser(tmp_path, told):
    site = build_copy(tmp_path, hostile_texts())
    frames = [
        (path, PHONE, path)
        for path in (
            "index.html",
            "stock.html",
            "clays.html",
            "glazes.html",
            "forms/tea-caddy.html",
            "clays/millpond-buff.html",
            "glazes/lichen-satin.html",
        )
    ] + [("find", PHONE, "index.html#words=onerror")]
    found = browse(site, frames)
    assert "window.hit" in (site / "forms" / "tea-caddy.html").read_text(encoding="utf-8")
    scripts = next(iter(told.values()))["scripts"]
    for name, said in found.items():
        assert not said["hit"], name
        assert (said["odd"], said["links"], said["refused"], said["hosts"]) == ([], [], [], []), name
        assert said["scripts"] == scripts, name
        assert said["wide"] <= 0, (name, said["over"])
    assert found["find"]["found"] and not found["find"]["foundOdd"]


def test_a_table_that_scrolls_aside_is_reached_by_the_keyboard(told):
    assert not [frame for frame, said in told.items() if said.get("unreached")]
    assert any("unreached" in said for said in told.values())
