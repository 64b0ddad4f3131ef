"""The site without a network, in a real browser: kept after one visit, it says of a kept page that it is one, and of an old one that it is."""

import hashlib
import json
import shutil
import threading

import pytest
from wareboard.commands.serve_command import make_server

from tests.driven import Browser
from tests.framed import needs_chromium

pytestmark = needs_chromium

BENCH = "bench/tea-caddy.html"
BEFORE, AFTER = "<h1", "<h1 data-newer"
KEPT = "navigator.serviceWorker.ready.then(async (worker) => (await (await caches.open(`kept ${worker.scope}`)).keys()).map((one) => one.url))"


class Served:
    """A site below a folder of its server, as `https://host/pots/`; it can be taken off the network and put back."""

    def __init__(self, top):
        self.top, self.port = top, 0
        self.start()

    def start(self):
        self.server = make_server(self.top, on_network=False, port=self.port)
        self.port = self.server.server_address[1]
        threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()

    def stop(self):
        self.server.shutdown()
        self.server.server_close()

    def address(self, path):
        return f"http://127.0.0.1:{self.port}/pots/{path}"


@pytest.fixture
def served(demo, tmp_path):
    shutil.copytree(demo / "site", tmp_path / "pots")
    served = Served(tmp_path)
    yield served
    served.stop()


def change(served, told):
    """The site built anew, on another day, with another bench view."""
    place = served.top / "pots"
    page, listed = place / BENCH, place / "offline.json"
    page.write_text(page.read_text(encoding="utf-8").replace(BEFORE, AFTER, 1), encoding="utf-8")
    said = json.loads(listed.read_text(encoding="utf-8"))
    listed.write_text(json.dumps({**said, "told": told, "files": {**said["files"], BENCH: "new"}}), encoding="utf-8")


def test_after_one_visit_it_stands_without_a_network_and_says_so_and_a_newer_one_is_shown_when_it_is_there(
    served, tmp_path
):
    listed = json.loads((served.top / "pots" / "offline.json").read_text(encoding="utf-8"))
    with Browser(tmp_path) as page:
        page.open(served.address(BENCH))
        page.until(f"{KEPT}.then((kept) => kept.length === {len(listed['files']) + 1})", 60)
        assert page.run("document.querySelector('.kept')") is None
        manifest = page.ask("Page.getAppManifest")
        assert manifest["errors"] == [] and manifest["url"] == served.address("site.webmanifest")
        assert page.ask("Page.getInstallabilityErrors")["installabilityErrors"] == []

        served.stop()
        page.reload()
        assert page.until("document.querySelector('.kept')?.textContent") == listed["told"]
        assert page.run("getComputedStyle(document.querySelector('.stages')).display") == "grid"
        assert page.run("document.querySelector('#wheel .set b').getBoundingClientRect().bottom / innerHeight") < 0.5
        assert page.run("document.documentElement.scrollHeight <= innerHeight")
        page.picture(tmp_path / "kept.png")
        page.open(served.address("forms/tall-beaker.html?revision=0dd0dd"))
        assert page.until("document.querySelector('.kept')?.textContent") == listed["told"]
        page.open(served.address("answers/tea-caddy.html"))
        assert page.until("document.querySelector('.kept')?.textContent") == listed["told"]
        page.open(served.address(""))
        assert page.run("document.querySelectorAll('.catalogue tbody tr').length") == 12
        page.open(served.address(BENCH))

        # It comes back with another edition: the kept view stays until somebody asks for the newer one.
        change(served, "Made later.")
        served.start()
        page.until("!!document.querySelector('.kept')")
        page.run("dispatchEvent(new Event('online'))")
        page.until("!!document.querySelector('.kept button')", 10)
        assert page.run("document.querySelector('.kept').textContent") == (
            f"{listed['told']} {listed['newer']} {listed['show']}"
        )
        assert not page.run("document.querySelector('h1').hasAttribute('data-newer')")
        page.picture(tmp_path / "newer.png")
        page.run("document.querySelector('.kept button').click()")
        page.until("document.querySelector('h1')?.hasAttribute('data-newer')")
        assert page.run("document.querySelector('.kept')") is None

        # And the newer one is what is kept from now on.
        path = json.dumps(served.address(BENCH))
        page.until(f"caches.match({path}).then((kept) => kept.text()).then((text) => text.includes('data-newer'))")
        page.until(f"caches.match({path}).then((kept) => kept.headers.get('x-digest') === 'new')")
        served.stop()
        page.reload()
        assert page.until("document.querySelector('.kept')?.textContent") == "Made later."
        served.start()


def test_nothing_is_kept_from_a_disk_nor_once_the_site_keeps_nothing(served, tmp_path):
    with Browser(tmp_path) as page:
        page.open((served.top / "pots" / BENCH).as_uri())
        assert page.run("document.querySelector('link[rel=manifest]')") is None and page.errors == []
        page.open(served.address(BENCH))
        page.until(f"{KEPT}.then((kept) => kept.length > 20)", 60)
        # Another site stands there now, which keeps nothing.
        (served.top / "pots" / "offline.json").unlink()
        bench = served.top / "pots" / BENCH
        bench.write_text(bench.read_text(encoding="utf-8").replace("kept.js", "page.js", 1), encoding="utf-8")
        page.reload()
        page.until("navigator.serviceWorker.getRegistration().then((found) => !found)")
        page.until(f"caches.match({json.dumps(served.address(BENCH))}).then((found) => !found)", 10)


def test_each_digest_is_of_its_file_and_cards_and_downloads_wait_until_they_are_opened(demo):
    site = demo / "site"
    listed = json.loads((site / "offline.json").read_text(encoding="utf-8"))["files"]
    assert {"index.html", BENCH, "forms/tea-caddy.html", "assets/bench/bench.css"} <= set(listed)
    assert not [
        path
        for path in listed
        if path.startswith(("cards/", "data/", "workings/", ".")) or path.endswith((".json", ".csv"))
    ]
    assert all(
        hashlib.sha256((site / path).read_bytes()).hexdigest().startswith(digest) for path, digest in listed.items()
    )
    for path in ("site.webmanifest", "offline.js", "assets/icons/icon-512.png"):
        assert (site / path).is_file()
