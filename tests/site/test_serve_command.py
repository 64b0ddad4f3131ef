"""`wareboard serve`: one folder's files for this machine alone, or for a phone when asked; nothing hidden, nothing above it."""

import http.client
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
    "path", ["/.manifest", "/../secret.yaml", "/%2e%2e/secret.yaml", "/..%2fsecret.yaml", "/data/", "/none"]
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
