"""`wareboard serve`: one folder's files for this machine alone, or for a phone when asked; nothing hidden, nothing above it."""

import http.client
import os
import threading

import pytest
from click.testing import CliRunner
from wareboard import cli
from wareboard.commands import serve_command


@pytest.fixture
def site(tmp_path):
    (tmp_path / "site" / "forms").mkdir(parents=True)
    (tmp_path / "site" / "index.html").write_text("<p>the front page</p>", encoding="utf-8")
    (tmp_path / "site" / "forms" / "index.html").write_text("<p>forms</p>", encoding="utf-8")
    (tmp_path / "site" / ".manifest").write_text("hidden", encoding="utf-8")
    (tmp_path / "site" / "data").mkdir()
    (tmp_path / "site" / "data" / "figures.csv").write_text("a,b\n", encoding="utf-8")
    (tmp_path / "secret.yaml").write_text("price: 34", encoding="utf-8")
    (tmp_path / "site" / "link.txt").symlink_to(tmp_path / "secret.yaml")
    (tmp_path / "site" / "out").symlink_to(tmp_path)
    return tmp_path / "site"


@pytest.fixture
def asked(site):
    """What comes back for a path: the status, the text and the headers."""
    with serve_command.make_server(site, on_network=False, port=0) as server:
        running = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        running.start()

        def ask(path):
            line = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=10)
            line.request("GET", path)
            answer = line.getresponse()
            found = answer.status, answer.read().decode(), dict(answer.getheaders())
            line.close()
            return found

        yield ask
        server.shutdown()
        running.join()


def test_pages_and_files_are_handed_out(asked):
    assert asked("/")[:2] == (200, "<p>the front page</p>")
    assert asked("/forms/")[1] == "<p>forms</p>"
    status, text, headers = asked("/data/figures.csv")
    assert (status, text, headers["Cache-Control"]) == (200, "a,b\n", "no-cache")


@pytest.mark.parametrize(
    "path",
    [
        "/.manifest",
        "/../secret.yaml",
        "/%2e%2e/secret.yaml",
        "/..%2fsecret.yaml",
        "/data/",
        "/none",
        "/link.txt",
        "/out/secret.yaml",
        "/%00",
        "/" + 5000 * "a",
    ],
)
def test_nothing_hidden_nothing_above_and_no_listing(asked, path):
    status, text, _ = asked(path)
    assert status == 404 and "price" not in text and "figures.csv" not in text


def test_it_listens_on_this_machine_alone_unless_asked(site):
    with serve_command.make_server(site, on_network=False, port=0) as server:
        assert server.server_address[0] == "127.0.0.1"
    with serve_command.make_server(site, on_network=True, port=0) as server:
        assert server.server_address[0] == "0.0.0.0"


def test_a_taken_port_gives_way_to_a_free_one(site):
    with (
        serve_command.make_server(site, on_network=False, port=0) as first,
        serve_command.make_server(site, on_network=False, port=first.server_address[1]) as second,
    ):
        assert second.server_address[1] != first.server_address[1]


def run(folder, *words, monkeypatch):
    def stop(self, poll_interval):
        raise KeyboardInterrupt

    monkeypatch.setattr(serve_command.ThreadingHTTPServer, "serve_forever", stop)
    return CliRunner().invoke(cli.command, ["-C", str(folder), "serve", "--port", "0", *words])


def test_it_says_who_can_reach_it(site, monkeypatch):
    (site.parent / "specs").mkdir()
    alone = run(site.parent, monkeypatch=monkeypatch)
    assert alone.exit_code == 0 and "http://127.0.0.1:" in alone.output and "Only this machine" in alone.output
    monkeypatch.setattr(serve_command, "network_address", lambda: "192.0.2.7")
    phone = run(site.parent, "--phone", monkeypatch=monkeypatch)
    assert (
        "http://192.0.2.7:" in phone.output and "Everybody on this network" in phone.output and "prices" in phone.output
    )
    assert "█" in phone.output or "▀" in phone.output
    monkeypatch.setattr(serve_command, "network_address", lambda: None)
    assert "on no network" in run(site.parent, "--phone", monkeypatch=monkeypatch).output


def test_without_a_site_it_says_how_to_make_one(tmp_path, monkeypatch):
    (tmp_path / "specs").mkdir()
    said = run(tmp_path, "--for", "stockist", monkeypatch=monkeypatch)
    assert said.exit_code == 1 and "wareboard build --for stockist" in said.output


def test_it_says_once_what_was_saved_after_the_site_was_built(site):
    root, said = site.parent, []
    (root / "specs" / "forms").mkdir(parents=True)
    specs = [
        root / "specs" / "studio.yaml",
        root / "specs" / "forms" / "jug.yaml",
        root / "specs" / "forms" / "mug.yaml",
    ]
    for path in specs:
        path.write_text("title: x\n", encoding="utf-8")
    (site / ".wareboard-site.json").write_text("{}", encoding="utf-8")
    at = lambda path, second: os.utime(path, (second, second))
    for path in (*specs, root / "specs" / "forms", root / "specs"):
        at(path, 1000)
    at(site / ".wareboard-site.json", 2000)
    age = serve_command.Age(root, site, said.append)
    with serve_command.make_server(site, on_network=False, port=0, notice=age.notice) as server:
        running = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        running.start()

        def look():
            line = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=10)
            line.request("GET", "/")
            line.getresponse().read()
            line.close()

        look()
        assert said == []
        at(specs[1], 3000)
        look()
        look()
        assert len(said) == 1 and "specs/forms/jug.yaml" in said[0] and "wareboard build" in said[0]
        at(site / ".wareboard-site.json", 4000)
        look()
        specs[2].unlink()
        at(root / "specs" / "forms", 5000)
        look()
        assert len(said) == 2 and "specs/forms." in said[1]
        # A build that found nothing new says that the site is right.
        (root / ".wareboard" / "state").mkdir(parents=True)
        (root / ".wareboard" / "state" / "studio.json").write_text("{}", encoding="utf-8")
        at(root / ".wareboard" / "state" / "studio.json", 6000)
        assert age.saved_since() == ()
        server.shutdown()
        running.join()
