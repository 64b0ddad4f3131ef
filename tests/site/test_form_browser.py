"""A form's page in a real browser, opened from a disk: a phone upright and on its side, and a desk."""

import json
import re
import shutil

import pytest

from tests.framed import needs_chromium, put_in, told_in_frames
from tests.site.test_bench_browser import ASIDE, UPRIGHT
from tests.site.test_pages_browser import FORMS

pytestmark = needs_chromium

DESK = (1280, 800)
LEAST_TARGET_PX = 43.9
PROBE = """
addEventListener("load", async () => {
  const pause = (ms) => new Promise((done) => setTimeout(done, ms)), box = (e) => e.getBoundingClientRect();
  await document.fonts.ready;
  const said = { frame: window.name }, page = document.documentElement, contents = document.querySelector(".contents");
  page.style.scrollBehavior = "auto";
  said.first = box(document.querySelector("#wheel ~ * .figures .n")).bottom / innerHeight;
  said.screens = page.scrollHeight / innerHeight;
  said.wide = page.scrollWidth - page.clientWidth;
  // A link in a sentence is as high as its line (WCAG 2.5.8).
  const inSentence = (e) => e.closest(".term, .made, .cautions p, dd, footer p, section > p, .note");
  said.targets = [...document.querySelectorAll("a, button, summary, input, select")].filter((e) => e.checkVisibility() && !inSentence(e) && !e.closest(".skip, [popover]") && box(e).left > -99).map((e) => [e.textContent.trim(), box(e).height]).filter(([, height]) => height < LEAST);
  said.beside = box(contents).right <= box(document.querySelector("#wheel")).left;
  said.bottom = Math.round(innerHeight - box(contents).bottom);
  const links = [...contents.querySelectorAll("a")], name = (link) => link.hash.slice(1);
  const now = () => links.filter((link) => link.hasAttribute("aria-current")).map(name).join();
  said.now = now();
  said.folded = links.filter((link) => document.getElementById(name(link)).closest("[data-folded]")).map(name);
  links.find((link) => name(link) === "fired").click();
  await pause(100);
  dispatchEvent(new Event("scroll"));  // on virtual time no frame is drawn that would send one
  said.jumped = [box(document.querySelector("#fired")).top >= 0 && box(document.querySelector("#fired")).top < innerHeight / 2, document.querySelector("#fired ~ * .figures .n").checkVisibility(), now()];
  const button = document.querySelector("#sizes button");
  if (button) {
    const shown = () => [button.ariaExpanded, document.querySelector("#sizes ~ figure").checkVisibility()];
    said.toggled = [shown()];
    button.click();
    said.toggled.push(shown());
  }
  const choices = [...document.querySelectorAll(".staging input")], texts = () => [...document.querySelectorAll("#sizes ~ figure text[data-stages]")].map((text) => [text.textContent, text.dataset.stages.split("|")]);
  said.stages = [];
  for (const choice of choices) {
    choice.click();
    said.stages.push([choice.dataset.scale, document.querySelector(".staged").getAttribute("transform").split("scale")[1], document.querySelector("#sizes ~ figure figcaption").textContent, texts()]);
  }
  said.room = (() => { const svg = document.querySelector("#sizes ~ figure svg").viewBox.baseVal, at = document.querySelector(".staged").getBBox(); return at.width <= svg.width && at.height <= svg.height; })();
  parent.postMessage(JSON.stringify(said), "*");
});
""".replace("LEAST", str(LEAST_TARGET_PX))


@pytest.fixture(scope="module")
def told(demo, made_once):
    """What forms' pages tell about themselves."""
    told = made_once("forms-told", lambda folder: (folder / "told.json").write_text(json.dumps(look(demo, folder))))
    return json.loads((told / "told.json").read_text())


def look(demo, folder):
    """What forms' pages in a copy of the site tell of themselves in a browser."""
    site = shutil.copytree(demo / "site", folder / "site", ignore=shutil.ignore_patterns("*.pdf"))
    put_in(site, PROBE, "forms/*.html")
    frames = [
        (f"{width} {slug}", width, height, f"forms/{slug}.html")
        for slug in FORMS
        for width, height in (UPRIGHT, ASIDE, DESK)
    ]
    return told_in_frames(site, frames)


def on(told, *screens):
    return {name: said for name, said in told.items() if int(name.split()[0]) in [width for width, _high in screens]}


def test_on_a_phone_the_first_large_number_stands_in_the_upper_half_and_every_target_suits_a_thumb(told):
    phones = on(told, UPRIGHT, ASIDE)
    assert len(phones) == 2 * len(FORMS)
    assert {name: said["first"] for name, said in phones.items() if said["first"] > 0.5} == {}
    assert {name: said["targets"] for name, said in phones.items() if said["targets"]} == {}
    assert {name: said["wide"] for name, said in told.items() if said["wide"] > 0} == {}
    assert told[f"{UPRIGHT[0]} tea-caddy"]["screens"] < 10


def test_contents_stand_beside_the_text_at_a_desk_and_at_a_thumbs_reach_on_a_phone(told):
    assert all(said["beside"] for said in on(told, DESK).values())
    assert all(said["bottom"] == 0 and not said["beside"] for said in on(told, UPRIGHT, ASIDE).values())


def test_what_comes_after_trimming_is_folded_on_a_phone_and_a_jump_opens_it(told):
    for name, said in told.items():
        assert said["jumped"][:2] == [True, True] and said["jumped"][2].startswith("fired"), name
        assert said["now"].startswith("wheel"), name
    for name, said in on(told, UPRIGHT, ASIDE).items():
        assert {"drying", "fired", "sizes"} <= set(said["folded"]) and not {"wheel", "trimming"} & set(
            said["folded"]
        ), name
        assert said["toggled"] == [["false", False], ["true", True]], name
    assert all(said["folded"] == [] for said in on(told, DESK).values())


def test_the_drawing_is_switched_from_wet_to_fired_with_its_sizes(told):
    for name, said in told.items():
        assert [caption for _scale, _transform, caption, _texts in said["stages"]] == [
            f"{stage}, every station" for stage in ("Wet", "Leather-hard", "Dry", "Bisque", "Fired")
        ], name
        for place, (scale, transform, _caption, texts) in enumerate(said["stages"]):
            across, up = map(float, re.findall(r"[\d.]+", transform))
            assert [across, up] == pytest.approx([float(one) for one in scale.split()]), name
            assert texts and all(words.endswith(sizes[place]) for words, sizes in texts), (name, place)
        assert said["room"], name
