"""The preview's bar in a real browser: read aloud once, put away, never over what has the focus; on a phone and a desk, in both lights."""

import re
import shutil

import pytest
from wareboard import TEMPLATES
from wareboard.pages import faultbar
from wareboard.text.problems import Position, error

from tests.framed import LIGHT, needs_chromium, told_in_frames

pytestmark = needs_chromium

TEXT = "title: Tall beaker\nparts:\n  cup:\n    wal: 4 # <script>window.hit = 1</script>\n"
WRONG = [
    error("unknown-key", Position("specs/forms/tall-beaker.yaml", 4, 5, 3), "parts.cup: there is no key `wal`", "did you mean `wall`?"),
    error("unreadable-size", Position("specs/forms/tall-beaker.yaml", 4, 10, 1), "parts.cup.wall: <b>four</b> what? " * 8),
]  # fmt: skip
PROBE = """
addEventListener("load", async () => {
  const rest = (ms) => new Promise((done) => setTimeout(done, ms));
  await document.fonts.ready;
  await rest(500);
  const bar = document.querySelector(".faultbar"), page = document.documentElement, said = {};
  said.frame = window.name;
  said.announced = document.querySelector(".faultbar-said").textContent;
  said.hit = !!window.hit;
  if (bar) {
    const lies = (open) => {
      const found = [];
      for (const e of document.querySelectorAll("a[href], button, input, select, summary")) {
        if (bar.contains(e) || !e.checkVisibility()) continue;
        bar.open = open;
        e.focus();
        const top = bar.getBoundingClientRect().top;
        const box = e.getBoundingClientRect();
        if (document.activeElement === e && box.bottom > top + 1 && box.top < innerHeight) found.push(`${e.outerHTML.slice(0, 60)} ${box.bottom} ${top}`);
      }
      return found;
    };
    said.hidden = bar.hidden ? [] : lies(false);
    said.high = bar.getBoundingClientRect().height;
    said.wide = page.scrollWidth - page.clientWidth;
    bar.open = true;
    await rest(50);
    said.hiddenOpen = bar.hidden ? [] : lies(true);
    bar.open = true;
    await rest(50);
    said.highOpen = bar.getBoundingClientRect().height / innerHeight;
    said.targets = [...bar.querySelectorAll("a, button, summary")].filter((e) => e.checkVisibility()).map((e) => Math.round(e.getBoundingClientRect().height)).filter((high) => high < 44);
    LIGHT
    said.contrast = {};
    for (const way of ["light", "dark"]) {
      page.dataset.light = way;
      const [a, b] = [light(getComputedStyle(bar.querySelector("li p")).color), light(getComputedStyle(bar).backgroundColor)];
      said.contrast[way] = contrast(a, b);
    }
    const buttons = [...bar.querySelectorAll("li button")];
    said.count = buttons.length;
    buttons[0].click();
    said.next = document.activeElement === buttons[1];
    said.left = bar.querySelector("summary").textContent;
    buttons[1].click();
    said.gone = !bar.checkVisibility();
    said.away = JSON.parse(sessionStorage.getItem("faults-away")).length;
  }
  parent.postMessage(JSON.stringify(said), "*");
});
""".replace("LIGHT", LIGHT)
RUNNER = """<!doctype html><body><script>
const frames = FRAMES, told = [];
const next = () => {
  const frame = frames.shift();
  if (!frame) { const pre = document.createElement("pre"); pre.id = "told"; pre.textContent = JSON.stringify(told); document.body.append(pre); return; }
  if (frame.fresh) sessionStorage.clear();
  document.querySelector("iframe")?.remove();
  const shown = document.createElement("iframe");
  shown.name = frame.name; shown.style = `width:${frame.wide}px;height:${frame.high}px;border:0`; shown.src = frame.path;
  document.body.append(shown);
};
addEventListener("message", (event) => { told.push(JSON.parse(event.data)); next(); });
next();
</script>"""


@pytest.fixture(scope="module")
def told(demo, tmp_path_factory):
    """What the bar did on each page, as the page tells."""
    copy = tmp_path_factory.mktemp("faultbar") / "site"
    shutil.copytree(demo / "site", copy, ignore=shutil.ignore_patterns("cards", "*.json", "*.csv", "*.js.map"))
    shutil.copytree(TEMPLATES / "preview", copy / "preview", ignore=shutil.ignore_patterns("*.html"))
    (copy / "probe.js").write_text(PROBE, encoding="utf-8")
    messages = [faultbar.message_of(problem, {"specs/forms/tall-beaker.yaml": TEXT}) for problem in WRONG]
    root = f"{copy.as_uri()}/"
    for path in ("forms/tall-beaker.html", "bench/tall-beaker.html", "glossary.html"):
        page = faultbar.with_messages((copy / path).read_bytes(), path, root, messages)
        mended = faultbar.with_messages((copy / path).read_bytes(), path, root, [])
        for name, content in (("wrong", page), ("mended", mended)):
            content = re.sub(rb'<meta http-equiv="Content-Security-Policy"[^>]*>', b"", content)
            content = content.replace(b"</body>", f'<script src="{root}probe.js"></script></body>'.encode())
            (copy / path).with_suffix(f".{name}.html").write_bytes(content)
    seen = [
        ("forms/tall-beaker", 360, 640), ("forms/tall-beaker", 1280, 800),
        ("bench/tall-beaker", 740, 360), ("glossary", 1280, 800),
    ]  # fmt: skip
    frames = [
        {"name": f"{path} {wide}", "path": f"{path}.wrong.html", "wide": wide, "high": high, "fresh": True}
        for path, wide, high in seen
    ]
    frames.append({"name": "again", "path": "glossary.wrong.html", "wide": 360, "high": 640})
    frames.append({"name": "mended", "path": "glossary.mended.html", "wide": 360, "high": 640})
    found = told_in_frames(copy, frames, "--allow-file-access-from-files", runner=RUNNER)
    return {said.pop("frame"): said for said in found}


def test_nothing_that_has_the_focus_lies_behind_the_bar(told):
    hidden = {name: said["hidden"] + said["hiddenOpen"] for name, said in told.items() if "hidden" in said}
    assert len(hidden) == 5 and {name: found[:2] for name, found in hidden.items() if found} == {}


def test_the_bar_is_one_line_that_fits_and_opens_to_no_more_than_most_of_the_screen(told):
    for name, said in told.items():
        if "high" in said:
            assert said["high"] <= 56 and said["wide"] <= 0 and said["highOpen"] <= 0.61, (name, said)
            assert said["targets"] == [] and not said["hit"], name


def test_the_bar_is_read_in_both_lights(told):
    assert min(least for said in told.values() for least in said.get("contrast", {"none": 99}).values()) >= 7


def test_a_message_is_announced_once_and_its_mending_too(told):
    first = told["forms/tall-beaker 360"]
    assert first["announced"].startswith("specs/forms/tall-beaker.yaml:4 parts.cup: there is no key wal")
    assert told["again"]["announced"] == "" and told["mended"]["announced"].startswith("Mended")


def test_messages_are_put_away_one_by_one_and_stay_away(told):
    said = told["forms/tall-beaker 1280"]
    assert said["count"] == 2 and said["next"] and "four" in said["left"] and "wal " not in said["left"]
    assert said["gone"] and said["away"] == 2
    # Put away on the page before, in the same session.
    assert told["again"]["high"] == 0
