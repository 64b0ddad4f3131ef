"""The bench view in a real browser, opened from a disk: a phone upright and on its side, both lights, keys and swipes."""

import json
import re
import shutil

import pytest

from tests.framed import LIGHT, needs_chromium, put_in, told_in_frames
from tests.site.test_pages_browser import FORMS

pytestmark = needs_chromium

UPRIGHT, ASIDE = (360, 640), (740, 360)
LEAST_TARGET_PX = 48
# Put at the end of each page of a copy: it measures itself, goes through its stages by key, and tells the page around.
PROBE = """
const refused = [];
document.addEventListener("securitypolicyviolation", (event) => refused.push(event.blockedURI + " " + event.violatedDirective));
addEventListener("load", async () => {
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  await document.fonts.ready;
  const said = { frame: window.name }, page = document.documentElement, stages = document.querySelector(".stages");
  const box = (e) => e.getBoundingClientRect();
  said.first = box(document.querySelector("#wheel .set b")).bottom / innerHeight;
  said.digits = box(document.querySelector("#wheel .set b")).height;
  said.wide = Math.max(page.scrollWidth - page.clientWidth, ...[...document.querySelectorAll("section")].map((e) => e.scrollWidth - e.clientWidth));
  said.targets = [...document.querySelectorAll("a, button, summary")].filter((e) => e.checkVisibility()).map((e) => [e.textContent.trim(), box(e).height]).filter(([, height]) => height < 47.9);
  said.older = [...document.querySelectorAll(".older")].filter((e) => e.checkVisibility()).map((e) => e.textContent);
  said.warned = document.querySelector(".warn").checkVisibility();
  LIGHT
  said.contrast = {};
  for (const way of ["light", "dark"]) {
    page.dataset.light = way;
    const under = light(getComputedStyle(document.body).backgroundColor);
    said.contrast[way] = Math.min(...[...document.querySelectorAll("body *")].filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()) && e.checkVisibility()).map((e) => {
      const style = getComputedStyle(e), over = light(e.closest("svg") ? (style.fill.startsWith("rgb") ? style.fill : style.color) : style.color);
      return contrast(over, under);
    }));
  }
  const at = () => [...document.querySelectorAll(".tabs a")].filter((e) => e.hasAttribute("aria-current")).map((e) => e.getAttribute("href")).join();
  const shown = () => "#" + [...document.querySelectorAll("section")].reduce((near, e) => Math.abs(box(e).left) < Math.abs(box(near).left) ? e : near).id;
  const press = async (key) => { document.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })); await pause(300); return [at(), shown(), document.activeElement.id]; };
  said.keys = [[at(), shown()], await press("ArrowRight"), await press("ArrowRight"), await press("ArrowLeft")];
  document.querySelector('.tabs a[href="#fired"]').click();
  await pause(300);
  said.tab = [at(), shown()];
  stages.scrollTo({ left: stages.clientWidth, behavior: "instant" });
  stages.dispatchEvent(new Event("scroll"));  // on virtual time no frame is drawn that would send one
  said.swiped = [at(), shown()];
  const row = document.querySelector("#wheel .rows li"), numbers = () => [row.querySelector(".set b").textContent, row.querySelector(".set small").textContent];
  const units = document.querySelector(".units"), kept = () => localStorage.getItem("units");
  said.units = [numbers()];
  for (let times = 0; times < 2; times += 1) { units.click(); said.units.push(numbers(), kept()); }
  said.hosts = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => !name.startsWith("file:"));
  said.loads = performance.getEntriesByType("resource").map((entry) => entry.name.split("/").pop()).sort();
  said.refused = refused;
  parent.postMessage(JSON.stringify(said), "*");
});
""".replace("LIGHT", LIGHT)


@pytest.fixture(scope="module")
def told(demo, made_once):
    """Bench views on a phone upright and on its side, and what one tells to old and present cards."""
    told = made_once(
        "bench-told", lambda folder: (folder / "told.json").write_text(json.dumps(look(demo / "site", folder)))
    )
    return json.loads((told / "told.json").read_text())


def look(site, folder):
    """What bench views in a copy of the site tell of themselves in a browser."""
    copy = folder / "site"
    shutil.copytree(site, copy, ignore=shutil.ignore_patterns("*.pdf"))
    put_in(copy, PROBE, "bench/*.html")
    revision = re.search(r'data-revision="(\w+)"', (copy / "bench" / "tea-caddy.html").read_text(encoding="utf-8"))[1]
    frames = [
        (f"{width} {slug}", width, height, f"bench/{slug}.html") for slug in FORMS for width, height in (UPRIGHT, ASIDE)
    ]
    frames += [
        ("old", *UPRIGHT, "bench/tea-caddy.html?revision=0dd0dd"),
        ("present", *UPRIGHT, f"bench/tea-caddy.html?revision={revision}"),
    ]
    return told_in_frames(copy, frames)


def test_the_first_large_number_stands_in_the_upper_half_of_the_screen_and_is_large(told):
    assert {name: said["first"] for name, said in told.items() if said["first"] > 0.5} == {}
    assert all(said["digits"] > 40 for said in told.values())


def test_nothing_runs_sideways_but_the_stages_and_every_target_suits_a_wet_thumb(told):
    assert {name: said["wide"] for name, said in told.items() if said["wide"] > 0} == {}
    assert {name: said["targets"] for name, said in told.items() if said["targets"]} == {}


def test_arrow_keys_tabs_and_swipes_lead_from_stage_to_stage(told):
    for name, said in told.items():
        stages = [(one[0], one[1]) for one in said["keys"]]
        assert stages == [("#wheel", "#wheel"), ("#trimming", "#trimming"), ("#drying", "#drying"), ("#trimming", "#trimming")], name  # fmt: skip
        assert [one[2] for one in said["keys"][1:]] == ["trimming", "drying", "trimming"], name
        assert said["tab"] == ["#fired", "#fired"] and said["swiped"] == ["#trimming", "#trimming"], name


def test_the_other_unit_system_comes_first_when_it_is_asked_for_and_that_is_remembered(told):
    for name, said in told.items():
        first, turned, kept, again, kept_again = said["units"]
        assert again == first and (kept, kept_again) == ("imperial", "metric"), name
        assert turned[1].startswith(first[0]) and first[1].startswith(turned[0]) and turned[0] != first[0], name


def test_words_stand_out_in_both_lights_and_nothing_else_is_loaded(told):
    """WCAG 2.2, 1.4.3 (second-hand): 4.5 to 1, relative luminance of sRGB."""
    for name, said in told.items():
        assert min(said["contrast"].values()) >= 4.5, name
        assert (said["hosts"], said["refused"]) == ([], []), name
        assert set(said["loads"]) <= {
            "Numbers.woff2",
            "bench.css",
            "bench.js",
            "kept.js",
            "mark.svg",
            "page.js",
            "probe.js",
        }, name


def test_an_old_card_is_told_so_below_the_numbers_with_a_word_at_the_top(told):
    assert told["old"]["older"] and told["old"]["warned"]
    assert all(not said["older"] and not said["warned"] for name, said in told.items() if name != "old")


def test_every_form_has_a_bench_view_and_no_shop_gets_one(demo, one_form, tmp_path):
    from click.testing import CliRunner
    from wareboard.cli import command

    shutil.copytree(one_form, tmp_path / "studio")
    done = CliRunner().invoke(command, ["-C", str(tmp_path / "studio"), "build", "--no-cards", "--for", "stockist"])
    assert done.exit_code == 0, done.output
    assert list((tmp_path / "studio" / "site").rglob("bench/*.html"))
    assert not list((tmp_path / "studio" / "site-stockist").rglob("bench/*.html"))
    assert len(list(demo.glob("site/bench/*.html"))) == len(list(demo.glob("site/forms/*.html")))
