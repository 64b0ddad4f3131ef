"""The page that answers in a real browser, from a disk: its formulas against the ground floor's, sizes as typed and written, what it says."""

import dataclasses
import itertools
import json
import math
import shutil
from urllib.parse import quote

import pytest
from wareboard.figures import checks
from wareboard.figures.answering import asked_of
from wareboard.figures.settings import as_set
from wareboard.figures.shown import Reader, reader_of
from wareboard.pages.answerpage import formulas_text
from wareboard.pot import answers
from wareboard.pot.clay import make_body
from wareboard.pot.moisture import Calipered, Readings, Weighing
from wareboard.text import projects
from wareboard.text.javascript import as_json
from wareboard.text.quantities import Steps
from wareboard.text.units import parse_quantity

from tests.demo import ROOT, texts_of_demo
from tests.framed import LIGHT, needs_chromium, put_in, told_by, told_in_frames

pytestmark = needs_chromium

ASSETS = ROOT / "site_templates" / "theme" / "assets" / "answers"
CLOSE = 1e-6
LEAST_TARGET_PX = 48
CALLS = """<!doctype html><meta charset="utf-8"><pre id="told"></pre><script src="formulas.js"></script><script src="sizes.js"></script><script src="cases.js"></script><script>
const made = (said) => said === "inf" ? Infinity : Array.isArray(said) ? said.map(made) : said === null || typeof said !== "object" ? said
  : formulas.records[Object.keys(said)[0]] ? new formulas.records[Object.keys(said)[0]](...Object.values(said)[0].map(made)) : said;
const plain = (key, value) => value === Infinity ? "inf" : value;
const told = cases.map(([name, ...args]) => { try {
  if (name === "read") return sizes.read(...args);
  if (name === "write") { const [tools, how, value, system, asked] = args; return sizes.writer(tools).in[how](value, system, asked); }
  return formulas[name](...args.map(made)) ?? null; } catch (fault) { return { refused: fault.constructor.name === "Refused" ? fault.name : fault.constructor.name, why: fault.message }; } });
document.querySelector("#told").textContent = JSON.stringify(told, plain);
</script>"""


# ---- formulas, over a grid ----


def fits():
    """Every fit of the demo, and the same two of clays that differ."""
    project = projects.read_project(texts_of_demo())
    for sheet in checks.check_project(project)[0].values():
        yield from asked_of(as_set(sheet), reader_of(project.studio)).fits


OTHER = make_body(
    water_share=0.235, line={"leather-hard": 0.04, "dry": 0.075, "fired": 0.135}, height_factor=1.05, loss_share=0.08
)


def readings_of(piece, body, part, way):
    """What is read of a piece that has gone a part of its way to dry: with calipers, scale or both."""
    across = 1.0 - part * body.shrinkage_share("dry")
    size = Calipered(piece.thrown_mm, piece.thrown_mm * across)
    thrown_g = piece.thrown_g or 500.0
    weight = Weighing(thrown_g, thrown_g * (1.0 - part * body.water_share * 0.95))
    read = Readings(weight if way != "size" else None, size if way != "weight" else None)
    return answers.with_doubt(
        read, half_mm=0.25, half_g=2.5, calipers_mm=piece.calipers_mm, weight_share=piece.weight_share,
        size_is_usual=True, weight_is_usual=way != "both",
    )  # fmt: skip


def calls():
    """Each call as the page makes it, and what the ground floor says to it."""
    parts = (-0.2, 0.05, 0.3, 0.5, 0.75, 1.0, 1.3)
    for asked in fits():
        for fit in (
            asked.fit,
            dataclasses.replace(asked.fit, outside=dataclasses.replace(asked.fit.outside, body=OTHER)),
        ):
            bodies = fit.inside.body, fit.outside.body
            for inside, outside, ways in itertools.product(
                parts, parts, (("size",) * 2, ("weight",) * 2, ("both", "size"))
            ):
                pair = [readings_of(piece, body, part, way) for piece, body, part, way in zip((asked.inside, asked.outside), bodies, (inside, outside), ways, strict=True)]  # fmt: skip
                yield answers.try_pair, [fit, *pair], {"turn_step_mm": 0.5, "step_g": 5.0}
            for part in parts:
                read = readings_of(asked.inside, bodies[0], part, "size")
                yield answers.as_far_on, [fit, "inside", read, asked.outside.thrown_mm], {}
            yield answers.fit_in_clays, [fit, OTHER, bodies[1]], {}
    own = make_body(water_share=0.21, line={"dry": 0.06, "fired": 0.12})
    for size, base, stage, up in itertools.product(
        (40.0, 152.0), (0.0, 12.0), ("wet", "leather-hard", "fired"), (False, True)
    ):
        yield answers.in_clay_mm, [size, base, stage, up, own, OTHER], {}
    for ball in (40.0, 250.0, 420.0, 2000.0, 9000.0):
        yield answers.in_clay_g, [ball, own, OTHER], {}
        yield answers.times_as_large, [ball, 420.0], {}
        yield answers.scaled_amount, [ball, -11.0, 1.3], {}
    for measured in (0.0, 110.0, 118.9, 119.0, 121.0):
        yield answers.next_time, [152.0, 12.0, 137.0, 120.0, measured, 1.0], {}


def agree(mine, theirs):
    """Whether a value of Python and one of the browser are the same: numbers to a millionth."""
    if isinstance(mine, dict):
        return all(agree(value, theirs.get(name)) for name, value in mine.items())
    if isinstance(mine, (list, tuple)):
        return len(mine) == len(theirs) and all(map(agree, mine, theirs))
    if isinstance(mine, float) and math.isinf(mine):
        return theirs == "inf"
    if isinstance(mine, float):
        return isinstance(theirs, (int, float)) and abs(mine - theirs) <= CLOSE * max(1.0, abs(mine))
    return mine == theirs


def as_plain(value):
    """A record with its fields, but for what it keeps for itself."""
    if dataclasses.is_dataclass(value):
        return {field.name: as_plain(getattr(value, field.name)) for field in dataclasses.fields(value) if field.compare and field.name != "assumed"}  # fmt: skip
    return [as_plain(one) for one in value] if isinstance(value, tuple) else value


def python_says(function, args, named):
    try:
        return as_plain(function(*args, **named))
    except ValueError as fault:
        return {"refused": type(fault).__name__}


READERS = (
    Reader(), Reader(("imperial", "metric"), Steps(scale_g=28.349523125 / 4, inch_in=1 / 16), "US"), Reader(("metric",), Steps(scale_g=0.5, ruler_mm=1.0)),
    Reader(("imperial",), Steps(scale_g=28.349523125, inch_in=1 / 64), "imp"),
)  # fmt: skip
TYPED = (
    ("84.0", "length"), ("84", "length"), ("84 mm", "length"), ("8.4cm", "length"), ("3 5/16 in", "length"), ("3-5/16 in", "length"), ("3 5/16\"", "length"), ("5/16 in", "length"),
    ("3½ in", "length"), ("¾ in", "length"), ("1 ft 3 1/2 in", "length"), (".5 in", "length"), ("84 MM", "length"), ("486 g", "mass"), ("1.2 kg", "mass"), ("1 lb 3 oz", "mass"),
    ("1lb 3 1/2oz", "mass"), ("19 oz", "mass"), ("2 pounds", "mass"),
)  # fmt: skip
UNREAD = (
    ("", "mass"), ("much", "length"), ("84 mn", "length"), ("84 g", "length"), ("3 5/0 in", "length"), ("3 9/8 in", "length"), ("3 oz 1 lb", "mass"), ("1 lb 3 g", "mass"), ("-4 mm", "length"),
    ("84 85", "length"), ("1,234 g", "mass"), ("0 mm", "length"),
)  # fmt: skip


def tools_of(reader):
    from wareboard.text.quantities import metric_step

    steps = reader.steps
    return {"systems": reader.systems, "ruler_mm": metric_step(steps.ruler_mm), "inch_in": steps.inch_in, "scale_g": steps.scale_g, "metric_scale_g": metric_step(steps.scale_g), "decimal": ".", "fluid_ounce": reader.fluid_ounce}  # fmt: skip


def written():
    """Amounts as a page writes them, each with what a reader says."""
    for reader in READERS:
        tools = tools_of(reader)
        for place, system in enumerate(reader.systems):
            for value in (0.0, 0.26, 1.25, 3.175, 12.7, 79.2, 79.25, 84.96, 87.5, 120.65, 304.8):
                for small, way in ((False, "near"), (True, "near")):
                    amount = reader.amounts(value, "mm", small=small)[place]
                    yield ["write", tools, "length", value, system, {"small": small, "way": way}], str(amount)
            for value in (0.3, 1.9, 7.0, 99.9, 113.4, 420.1, 453.59237, 538.6, 1234.0, 4998.0, 5012.0):
                for way in ("near", "up"):
                    amount = reader.amounts(value, "g", up=way == "up")[place]
                    yield ["write", tools, "mass", value, system, {"way": way}], str(amount)
            for value in (0.3, 3.0, 30.4, 99.6, 340.0, 431.7, 5312.0):
                yield ["write", tools, "volume", value, system, {}], str(reader.amounts(value, "ml")[place])


@pytest.fixture(scope="module")
def computed(tmp_path_factory):
    """Every call, every typed size and every written amount, as the browser has them."""
    folder = tmp_path_factory.mktemp("computed")
    (folder / "formulas.js").write_text(formulas_text(), encoding="utf-8")
    shutil.copy(ASSETS / "sizes.js", folder)
    asked = list(calls())
    cases = [[function.__name__, *map(as_json, [*args, *named.values()])] for function, args, named in asked]
    cases += [["read", text, kind, "mm" if kind == "length" else "g"] for text, kind in (*TYPED, *UNREAD)]
    amounts = list(written())
    cases += [case for case, _ in amounts]
    (folder / "cases.js").write_text(f"const cases = {json.dumps(cases)};", encoding="utf-8")
    (folder / "calls.html").write_text(CALLS, encoding="utf-8")
    told = told_by(folder / "calls.html")
    split = [len(asked), len(asked) + len(TYPED), len(asked) + len(TYPED) + len(UNREAD)]
    return {
        "calls": list(zip(asked, told[: split[0]], strict=True)), "typed": told[split[0] : split[1]], "unread": told[split[1] : split[2]],
        "written": list(zip(amounts, told[split[2] :], strict=True)),
    }  # fmt: skip


def test_the_browser_says_what_the_ground_floor_says_to_a_millionth(computed):
    wrong = [(function.__name__, mine, theirs) for (function, args, named), theirs in computed["calls"] if not agree(mine := python_says(function, args, named), theirs)]  # fmt: skip
    assert not wrong, wrong[:2]
    said = [python_says(*asked) for asked, _ in computed["calls"] if asked[0] is answers.try_pair]
    # the grid goes everywhere: each thing to do is said somewhere, and what can't be is refused
    assert {one["verdict"]["action"] for one in said if "verdict" in one} >= {
        "trim",
        "wait",
        "damp",
        "leave",
        "start again",
    }
    assert {one["refused"] for one in said if "refused" in one} >= {"SizeAboveThrown", "SizeBelowDry", "WeightAboveThrown", "WeightBelowDry"}  # fmt: skip
    assert len(said) > 1000


def test_sizes_are_read_as_the_spec_language_reads_them_and_slips_are_told(computed):
    for (text, kind), theirs in zip(TYPED, computed["typed"], strict=True):
        mine = parse_quantity(text, kind, unit="mm" if kind == "length" else "g").value
        assert theirs == pytest.approx(mine, rel=1e-12), text
    for (text, _), theirs in zip(UNREAD, computed["unread"], strict=True):
        assert theirs == 0 or (theirs["refused"] == "Unread" and theirs["why"].endswith(".")), (text, theirs)


def test_amounts_are_written_as_everywhere_on_the_site(computed):
    wrong = [(case[2:], mine, theirs) for (case, mine), theirs in computed["written"] if mine != theirs]
    assert not wrong, wrong[:5]


# ---- the page ----

PROBE = """
const refused = [], faults = [];
document.addEventListener("securitypolicyviolation", (event) => refused.push(event.blockedURI));
addEventListener("error", (event) => faults.push(event.message));
addEventListener("load", async () => {
  await document.fonts.ready;
  const said = { frame: window.name, answers: {}, wrong: {} }, page = document.documentElement, box = (e) => e.getBoundingClientRect();
  for (const [name, value] of JSON.parse(decodeURIComponent(location.hash.slice(1)))) {
    const one = document.querySelector(`[name="${name}"]`);
    if (one.closest("details")) one.closest("details").open = true;
    one.value = value;
    one.dispatchEvent(new Event("input", { bubbles: true }));
  }
  for (const section of document.querySelectorAll("section")) {
    const output = section.querySelector("output");
    said.answers[section.id] = { large: output.querySelector("strong") ? output.querySelector("strong").textContent.replaceAll("\\u00a0", " ") : undefined, live: output.getAttribute("aria-live"), text: output.textContent, rows: [...output.querySelectorAll("tbody tr")].map((row) => [...row.children].map((cell) => cell.textContent)) };
  }
  for (const one of document.querySelectorAll("input[aria-invalid]")) said.wrong[one.name] = document.getElementById(one.getAttribute("aria-describedby")).textContent;
  said.printed = [...document.querySelectorAll("details.printed")].map((one) => one.open);
  for (const one of document.querySelectorAll("details")) one.open = true;
  said.wide = page.scrollWidth - page.clientWidth;
  said.small = [...document.querySelectorAll("a, input, select, summary")].filter((e) => e.checkVisibility() && !e.closest("p:not(.links)")).map((e) => [e.textContent.trim() || e.name, box(e).height]).filter(([, high]) => high < 47.9);
  said.unnamed = [...document.querySelectorAll("input, select")].filter((e) => !(e.labels && e.labels.length && e.labels[0].textContent.trim())).length;
  LIGHT
  said.contrast = {};
  for (const way of ["light", "dark"]) {
    page.dataset.light = way;
    said.contrast[way] = Math.min(...[...document.querySelectorAll("body *")].filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()) && e.checkVisibility()).map((e) => {
      const a = light(getComputedStyle(e).color), b = light(under(e));
      return contrast(a, b);
    }));
  }
  said.hosts = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => !name.startsWith("file:"));
  Object.assign(said, { refused, faults });
  parent.postMessage(JSON.stringify(said), "*");
});
""".replace("LIGHT", LIGHT)
ASKED = [
    ("calipers", "tea-caddy", [("fit-0-inside-now", "84.9"), ("fit-0-outside-now", "3 3/8 in"), ("next-fired", "95"), ("clay-ball", "1 lb 3 oz"), ("other-clay", "quarry-brown")]),
    ("weights", "tea-caddy", [("fit-0-inside-now_g", "474 g"), ("fit-0-outside-now_g", "133")]),
    ("mouth alone", "tea-caddy", [("fit-0-inside-now", "84,9"), ("next-fired", "98")]),
    ("soft", "tea-caddy", [("fit-0-inside-now", "87.3"), ("fit-0-outside-now", "87.8")]),
    ("dry", "tea-caddy", [("fit-0-inside-now", "82.3"), ("fit-0-outside-now", "82.5")]),
    ("slips", "tea-caddy", [("fit-0-inside-now", "89.5"), ("next-fired", "95 mn"), ("clay-ball", "9 kg")]),
    ("nothing", "tea-caddy", []), ("one part", "tall-beaker", [("next-fired", "119.5"), ("clay-ball", "500")]),
    ("aside", "cup-and-saucer", [("fit-0-outside-now", "56")]), ("other form", "short-beaker", [("fit-0-inside-now", "80")]), ("two fits", "butter-dish", []), ("bottle", "oil-bottle", []),
]  # fmt: skip


@pytest.fixture(scope="module")
def site(demo):
    """The demo's site as it was built."""
    return demo / "site"


@pytest.fixture(scope="module")
def told(site, tmp_path_factory):
    """What pages say to what is typed, on a phone."""
    copy = tmp_path_factory.mktemp("answering") / "site"
    shutil.copytree(site, copy, ignore=shutil.ignore_patterns("*.pdf"))
    put_in(copy, PROBE, "answers/*.html")
    frames = [
        (name, *((740, 360) if name == "aside" else (360, 640)), f"answers/{slug}.html#{quote(json.dumps(typed))}")
        for name, slug, typed in ASKED
    ]
    return told_in_frames(copy, frames)


def first_line(site, *typed):
    """What the command says to the same readings, its first line."""
    from click.testing import CliRunner
    from wareboard.cli import command

    done = CliRunner().invoke(command, ["-C", str(site.parent), "match", "tea-caddy", *typed])
    assert done.exit_code == 0, done.output
    return done.output.splitlines()[0].rstrip(".")


def test_it_says_what_the_command_says(site, told):
    assert (
        told["calipers"]["answers"]["fit-0"]["large"].upper()
        == first_line(site, "jar.mouth=84.9", "lid.flange=3 3/8 in").upper()
    )
    assert told["weights"]["answers"]["fit-0"]["large"].upper() == first_line(site, "jar=474g", "lid=133g").upper()
    assert first_line(site, "jar.mouth=87.3", "lid.flange=87.8").upper() == "WAIT: THE JAR AND LID ARE STILL SOFT"
    assert told["soft"]["answers"]["fit-0"]["large"] == "Wait: the jar and the lid are still soft"
    assert (
        told["dry"]["answers"]["fit-0"]["large"].startswith("Damp the lid first")
        and "silica dust" in told["dry"]["answers"]["fit-0"]["text"]
    )


def test_one_reading_is_enough_and_it_says_what_it_takes_for_granted(told):
    alone = told["mouth alone"]["answers"]["fit-0"]
    assert (
        alone["large"].startswith("Trim the flange to 83.")
        and "Where the lid is as far on in drying as the jar" in alone["text"]
    )


def test_next_time_so_much_clay_and_another_clay_are_answered(told):
    one, two = told["calipers"]["answers"], told["one part"]["answers"]
    assert one["next"]["large"].startswith("Set the jar's pointer at the rim to 130.5 mm") and one["next"][
        "large"
    ].endswith(" up")
    assert told["mouth alone"]["answers"]["next"]["large"] == "Set it as before" == two["next"]["large"]
    assert one["clay"]["large"] == "1.01 times as large" and ["Jar, ball", "530 g", "540 g"] in one["clay"]["rows"]
    assert two["clay"]["large"] == "1.06 times as large" and ["Ball", "420 g", "500 g"] in two["clay"]["rows"]
    assert one["other"]["large"].startswith("It shrinks ") and len(one["other"]["rows"]) > 8


def test_a_slip_is_told_at_its_box_and_nothing_is_answered(told):
    slips = told["slips"]
    assert set(slips["wrong"]) == {"fit-0-inside-now", "next-fired", "clay-ball"}
    assert "Read it again" in slips["wrong"]["fit-0-inside-now"] and not slips["answers"]["fit-0"].get("large")
    assert all(not said["wrong"] for name, said in told.items() if name != "slips")


def test_answers_are_announced_targets_are_large_and_nothing_runs_sideways(told):
    for name, said in told.items():
        assert {answer["live"] for answer in said["answers"].values()} == {"polite"}, name
        assert (said["wide"], said["small"], said["unnamed"]) == (0, [], 0), name
        assert said["printed"] == [False] * len(said["printed"]), name


def test_words_stand_out_in_both_lights_and_nothing_else_is_asked_for(told):
    """WCAG 2.2, 1.4.3 (second-hand): 4.5 to 1, relative luminance of sRGB."""
    for name, said in told.items():
        assert min(said["contrast"].values()) >= 4.5, name
        assert (said["hosts"], said["refused"], said["faults"]) == ([], [], []), name


def test_every_form_has_one_that_its_page_and_bench_view_lead_to_and_no_shop_gets_any(site):
    from wareboard.cards.audience import stock_of
    from wareboard.pages.stockpages import render_stockist_site

    slugs = {path.stem for path in site.glob("forms/*.html")}
    assert {path.stem for path in site.glob("answers/*.html")} == slugs
    for slug in slugs:
        for folder in ("forms", "bench"):
            assert f'href="../answers/{slug}.html"' in (site / folder / f"{slug}.html").read_text(encoding="utf-8")
    project = projects.read_project(texts_of_demo())
    shown = render_stockist_site(stock_of(project.studio, checks.check_project(project)[0].values()))
    assert shown and not [page.path for page in shown if "answers/" in page.path + page.body]
