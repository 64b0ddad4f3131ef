"""A file is taken from the last site where it is made of the same and nobody has touched it; else it is written."""

import json
import os

import pytest
from wareboard.output import filling
from wareboard.output.builtfolder import MARK, Aside, Manifest, read_manifest
from wareboard.output.filling import Filling, made_of, note_standing, standing_place


def fill(root, **pages):
    """Build a site of a few files, each made of what it holds; what was taken."""
    aside = Aside.open(root / "site", "studio", root)
    found = Filling.open(aside, root)
    for name, words in pages.items():
        found.put(f"{name}.html", made_of(words), lambda words=words: words.encode())
    found.write("table.csv", [b"a,", b"b\n"])
    assert aside.finish(found.digests).carry_out() == []
    note_standing(root, "studio", found.stand())
    return found.taken


def read(root):
    """What the site's pages hold; its mark tells each file's digest."""
    site = root / "site"
    listed = read_manifest(site).files
    assert listed == {path.name: filling.files.digest_of(path) for path in sorted(site.iterdir()) if path.name != MARK}
    return {path.stem: path.read_text() for path in site.glob("*.html")}


def test_what_is_made_of_the_same_is_taken(tmp_path):
    assert fill(tmp_path, index="front", cup="a cup") == set()
    before = (tmp_path / "site" / "index.html").stat().st_ino
    assert fill(tmp_path, index="front", cup="a mug", jar="a jar") == {"index.html"}
    assert read(tmp_path) == {"index": "front", "cup": "a mug", "jar": "a jar"}
    assert (tmp_path / "site" / "index.html").stat().st_ino == before
    assert fill(tmp_path, index="front", cup="a mug") == {"index.html", "cup.html"}
    assert read(tmp_path) == {"index": "front", "cup": "a mug"}


def test_what_somebody_touched_is_written_anew(tmp_path):
    fill(tmp_path, index="front", cup="a cup")
    page = tmp_path / "site" / "cup.html"
    page.write_text("a pup")
    os.utime(page, ns=(1, 1))
    (tmp_path / "site" / "index.html").unlink()
    assert fill_saying(tmp_path, index="front", cup="a cup") == set()
    assert read(tmp_path) == {"index": "front", "cup": "a cup"}


def fill_saying(root, **pages):
    """As `fill`, where something is said of a page that was changed by hand."""
    aside = Aside.open(root / "site", "studio", root)
    found = Filling.open(aside, root)
    for name, words in pages.items():
        found.put(f"{name}.html", made_of(words), lambda words=words: words.encode())
    found.write("table.csv", [b"a,b\n"])
    (said,) = aside.finish(found.digests).carry_out()
    assert "was changed by hand" in said
    return found.taken


@pytest.mark.parametrize("spoilt", [b"", b"[]", b"\xff", b'{"site": 1}', b'{"site": "x", "count": 1}', None])
def test_what_was_written_down_and_cannot_be_read_is_nothing(tmp_path, spoilt):
    fill(tmp_path, index="front")
    place = standing_place(tmp_path, "studio")
    place.write_bytes(b"".join(place.read_bytes().splitlines(True)[:-1]) if spoilt is None else spoilt)
    assert fill(tmp_path, index="front") == set()
    assert read(tmp_path) == {"index": "front"}


def test_a_site_that_somebody_else_built_since_gives_nothing(tmp_path):
    fill(tmp_path, index="front")
    aside = Aside.open(tmp_path / "site", "studio", tmp_path)
    (aside.path / "index.html").write_text("other")
    aside.finish().carry_out()
    assert fill(tmp_path, index="front") == set()
    place = standing_place(tmp_path, "studio")
    head, *lines = place.read_text().splitlines()
    said = json.dumps(json.loads(head) | {"site": str(tmp_path / "elsewhere")})
    place.write_text("\n".join([said, *lines, ""]))
    assert fill(tmp_path, index="front") == set()


def test_a_disk_without_second_names_has_all_written(tmp_path, monkeypatch):
    fill(tmp_path, index="front")

    def refuse(*_, **__):
        raise OSError("no links here")

    monkeypatch.setattr(os, "link", refuse)
    assert fill(tmp_path, index="front") == set()
    assert read(tmp_path) == {"index": "front"}


def test_a_mark_is_plain_json_with_a_line_for_each_file():
    found = Manifest("studio", {"forms/jar.html": "b1", "404.html": "a2", "pots/größe.html": "c3"})
    said = {"format": 1, "made by": "wareboard", "edition": "studio", "files": dict(found.files)}
    assert found.text().decode() == json.dumps(said, indent=0, sort_keys=True) + "\n"
    assert json.loads(Manifest("studio", {}).text())["files"] == {}
