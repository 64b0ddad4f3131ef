"""A build of nothing new is told by how files stand; what stands otherwise, or was too new to be told by that, is read."""

import json
import os
import time

import pytest
from wareboard.output import unchanged
from wareboard.output.unchanged import Built, find_unchanged, remember, sources_of, state_place


class Studio:
    """A folder with a spec, a record and a site that was built from them; which parts were read."""

    def __init__(self, root, monkeypatch):
        self.root, self.spec, self.site, self.read = root, root / "specs" / "studio.yaml", root / "site", []
        for path in (self.spec, root / "specs" / ".revisions" / "forms" / "cup.jsonl", self.site / "index.html"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text("first")
        read = unchanged._digest_of
        monkeypatch.setattr(unchanged, "_digest_of", lambda *of: self.read.append(len(of[1])) or read(*of))
        monkeypatch.setattr(unchanged, "_program", [unchanged.Looked("", "this one")])
        # Unless it is said otherwise, all that was saved is old.
        self.ahead_ns, clock = 10 * unchanged.TOO_NEW_NS, time.time_ns
        monkeypatch.setattr(unchanged.time, "time_ns", lambda: clock() + self.ahead_ns)

    def build(self):
        stats = {"index.html": unchanged.files.stat_of(self.site / "index.html")}
        remember(self.root, self.sources(), "studio", Built(self.site, (("warning", "thin"),)), stats)

    def sources(self):
        return sources_of(self.root, "2030-01-01", "studio", True)

    def found(self):
        """What is found, and how many parts were read for it."""
        self.read.clear()
        built = find_unchanged(self.root, self.sources(), "studio")
        return built is not None and (built.site, built.told) == (self.site, (("warning", "thin"),)), len(self.read)


@pytest.fixture
def studio(tmp_path, monkeypatch):
    studio = Studio(tmp_path, monkeypatch)
    studio.build()
    return studio


def test_where_all_stands_as_it_did_nothing_is_read(studio):
    assert studio.found() == (True, 0)


def test_an_edit_that_keeps_size_and_time_is_seen(studio):
    before = studio.spec.stat()
    time.sleep(0.02)  # longer than the system's clock ticks
    studio.spec.write_text("other")
    os.utime(studio.spec, ns=(before.st_atime_ns, before.st_mtime_ns))
    after = studio.spec.stat()
    assert (after.st_size, after.st_mtime_ns, after.st_ino) == (before.st_size, before.st_mtime_ns, before.st_ino)
    assert studio.found() == (False, 1)


def test_what_is_saved_as_it_was_is_read_once(studio):
    studio.spec.write_text("first")
    assert studio.found() == (True, 1)
    assert studio.found() == (True, 0)


def test_what_was_too_new_to_be_told_is_read(studio):
    studio.ahead_ns = 0
    studio.spec.write_text("newer")
    studio.build()
    assert studio.found() == (True, 1)
    studio.ahead_ns = 10 * unchanged.TOO_NEW_NS
    assert studio.found() == (True, 1)
    assert studio.found() == (True, 0)


@pytest.mark.parametrize("name", ["mkdocs.yml", "specs/more.yaml", "specs/.revisions/forms/mug.jsonl"])
def test_what_comes_and_goes_is_seen(studio, name):
    (studio.root / name).write_text("more")
    assert not studio.found()[0]
    studio.build()
    assert studio.found() == (True, 0)
    (studio.root / name).unlink()
    assert not studio.found()[0]


def test_what_a_link_leads_to_is_read_each_time(studio, tmp_path_factory):
    far = tmp_path_factory.mktemp("far") / "clay.yaml"
    far.write_text("clay")
    (studio.root / "specs" / "clay.yaml").symlink_to(far)
    studio.build()
    assert studio.found() == (True, 1)
    far.write_text("mud")
    assert studio.found() == (False, 1)


def test_a_file_from_before_all_clocks_is_read_each_time(studio):
    os.utime(studio.spec, ns=(-1, -1))
    studio.build()
    assert studio.found() == (True, 1)


def test_a_file_of_the_site_that_somebody_touched_is_seen(studio):
    (studio.site / "index.html").write_text("other")
    assert studio.found() == (False, 0)
    studio.build()
    os.link(studio.site / "index.html", studio.root / "copy")
    assert studio.found() == (True, 0)
    (studio.site / "index.html").unlink()
    assert studio.found() == (False, 0)


@pytest.mark.parametrize("part", ["asked", "program", "specs", "record", "site", "files"])
def test_what_was_spoilt_is_no_news(studio, part):
    said = json.loads(state_place(studio.root, "studio").read_bytes())
    for spoilt in (None, "", 5, {}, ["x"]):
        state_place(studio.root, "studio").write_text(json.dumps(said | {part: spoilt}))
        assert not studio.found()[0], spoilt
