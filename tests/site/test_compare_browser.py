"""Forms beside one another in a real browser, from a disk: the choice in the address, sections to one scale, differences, no more than four."""

import shutil

import pytest

from tests.framed import needs_chromium, told_in_frames

pytestmark = needs_chromium

PROBE = """
const faults = [], refused = [];
addEventListener("error", (event) => faults.push(event.message || String(event.target.src)), true);
document.addEventListener("securitypolicyviolation", (event) => refused.push(event.blockedURI));
addEventListener("load", async () => {
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  for (let tries = 0; tries < 50 && document.querySelectorAll(".choice input:checked").length > document.querySelectorAll(".compares thead th").length; tries += 1) await pause(20);
  const look = () => ({
    chosen: [...document.querySelectorAll(".choice input:checked")].map((e) => e.value), heads: [...document.querySelectorAll(".compares thead th a")].map((e) => e.textContent),
    rows: Object.fromEntries([...document.querySelectorAll(".compares tbody tr")].map((row) => [row.children[0].textContent, [...row.children].slice(1).map((cell) => [cell.firstChild.textContent, (cell.querySelector("small") || {}).textContent || ""])])),
    said: document.querySelector(".compare .said").textContent, shown: document.querySelector(".compared").checkVisibility(), address: location.search + location.hash,
    drawn: [...document.querySelectorAll(".compared figure path")].map((e) => [e.getAttribute("stroke-dasharray") || "", e.getBBox().height]), plain: document.querySelector(".plainly").checkVisibility(),
    label: (document.querySelector(".compared figure svg") || { getAttribute: () => "" }).getAttribute("aria-label"), over: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  });
  const said = { frame: window.name, before: look() };
  for (const slug of JSON.parse(decodeURIComponent(document.documentElement.dataset.clicks || "%5B%5D"))) { document.querySelector(`.choice input[value="${slug}"]`).click(); await pause(300); }
  said.after = look();
  said.shut = [...document.querySelectorAll(".choice input:disabled")].length;
  const box = document.querySelector('.choice input[type="search"]');
  document.querySelector(".choice").open = true;
  box.value = "caddy";
  box.dispatchEvent(new Event("input", { bubbles: true }));
  said.filtered = [...document.querySelectorAll(".choice li")].filter((e) => e.checkVisibility()).map((e) => e.querySelector("input").value);
  said.small = [...document.querySelectorAll(".choice label, .choice summary")].filter((e) => e.checkVisibility()).filter((e) => e.getBoundingClientRect().height < 43.9).length;
  said.hosts = performance.getEntriesByType("resource").map((entry) => entry.name).filter((name) => !name.startsWith("file:"));
  Object.assign(said, { faults, refused });
  parent.postMessage(JSON.stringify(said), "*");
});
"""


@pytest.fixture(scope="module")
def told(demo, tmp_path_factory):
    """The page with what its address asks for, and after some more was chosen."""
    copy = tmp_path_factory.mktemp("compared") / "site"
    shutil.copytree(demo / "site", copy, ignore=shutil.ignore_patterns("*.pdf"))
    (copy / "probe.js").write_text(PROBE, encoding="utf-8")
    page = (
        (copy / "compare.html")
        .read_text(encoding="utf-8")
        .replace("</head>", '<script src="probe.js"></script></head>', 1)
    )
    for name, clicks in (
        ("compare", ""),
        ("clicked", "%5B%22pitcher%22,%22oil-bottle%22,%22tall-beaker%22,%22tea-caddy%22%5D"),
    ):
        (copy / f"{name}.html").write_text(
            page.replace("<html ", f'<html data-clicks="{clicks}" ', 1), encoding="utf-8"
        )
    frames = [
        ("two", 360, "compare.html?forms=tea-caddy,tall-beaker"), ("four", 1280, "compare.html?forms=tea-caddy,tall-beaker,cup-and-saucer,pitcher,oil-bottle"),
        ("hash", 360, "compare.html#forms=pitcher,oil-bottle"), ("none", 360, "compare.html?forms=no-such"), ("clicked", 360, "clicked.html?forms=tea-caddy,tall-beaker"),
    ]  # fmt: skip
    return told_in_frames(copy, [(name, width, 700, address) for name, width, address in frames])


def test_the_address_chooses_and_differences_are_those_of_what_is_read(told):
    two = told["two"]["before"]
    assert two["chosen"] == ["tall-beaker", "tea-caddy"] and two["heads"] == ["Tea caddy", "Tall beaker"]
    assert two["rows"]["High, fired"] == [["121 mm", ""], ["120 mm", "−1 mm"]]
    assert two["rows"]["Holds"] == [["350 ml", ""], ["355 ml", "+5 ml"]]
    assert two["rows"]["Clay"][0][0] == "Millpond buff" and two["rows"]["Lid: flange calipers, wet"][1][0] == "–"
    assert told["hash"]["before"]["heads"] == ["Two-pint pitcher", "Oil bottle"]


def test_sections_are_drawn_to_one_scale_on_one_axis_and_told_apart_by_line(told):
    four = told["four"]["before"]
    assert len(four["heads"]) == 4 and four["label"].startswith("Sections on one axis: Tea caddy, Tall beaker")
    lines = list(dict.fromkeys(dash for dash, _ in four["drawn"][:-2]))
    assert len(lines) == 4
    high = {dash: max(height for other, height in four["drawn"][:-2] if other == dash) for dash in lines}
    assert high[lines[1]] == pytest.approx(120.0, abs=1.0) and high[lines[3]] == pytest.approx(193.0, abs=1.0)


def test_no_more_than_four_are_chosen_and_the_address_follows(told):
    clicked = told["clicked"]
    # the third and fourth are taken, one is given back, and the last click takes the first away
    assert clicked["after"]["heads"] == ["Two-pint pitcher", "Oil bottle"]
    assert "pitcher,oil-bottle" in clicked["after"]["address"]
    assert told["four"]["shut"] == 8 and clicked["shut"] == 0


def test_nothing_chosen_says_what_to_do_and_the_list_can_be_narrowed(told):
    none = told["none"]
    assert none["before"]["said"] == "Choose two to four forms." and not none["before"]["shown"]
    assert none["filtered"] == ["tea-caddy"]
    assert all(not said["before"]["plain"] for said in told.values())


def test_nothing_runs_sideways_fails_or_is_asked_of_another_host(told):
    for name, said in told.items():
        assert (said["faults"], said["refused"], said["hosts"], said["small"]) == ([], [], [], 0), name
        assert said["before"]["over"] <= 0 and said["after"]["over"] <= 0, name
