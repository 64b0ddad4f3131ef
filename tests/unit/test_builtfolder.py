"""A folder that was built takes the place of the one before, and what is the maker's is in it before and after."""

import os

import pytest
from wareboard.output import builtfolder, files, journal
from wareboard.output.builtfolder import MARK, WITHIN, Aside, FolderError, read_manifest, tidy_beside


def fill(folder, **pages):
    for name, words in pages.items():
        path = folder / name.replace("__", "/").replace("_", ".")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(words, encoding="utf-8")


def build(site, edition="studio", root=None, **pages):
    """A whole build of a few pages; what was said."""
    aside = Aside.open(site, edition, root)
    fill(aside.path, **pages)
    return aside.finish().carry_out()


def tree(folder):
    """Every file's text by its path, but the mark."""
    return {
        path.relative_to(folder).as_posix(): path.read_text()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != MARK
    }


def ways(test):
    """Try a test with folders that are exchanged in one step, in two, and file by file."""
    return pytest.mark.parametrize("way", ["one step", "two steps", "file by file"])(test)


@pytest.fixture
def site(tmp_path, monkeypatch, request):
    """A place for a site."""
    way = request.node.callspec.params.get("way") if hasattr(request.node, "callspec") else None
    if way == "two steps":
        monkeypatch.setattr(builtfolder, "_exchange", lambda one, other: False)
    elif way == "file by file":
        (tmp_path / "site").mkdir()
        monkeypatch.setattr(os.path, "ismount", lambda path: str(path) == str(tmp_path / "site"))
    return tmp_path / "site"


@ways
def test_a_build_replaces_what_it_made_and_takes_the_makers_own_along(site, way):
    build(site, index_html="old", gone__deep_html="old")
    fill(
        site, CNAME="pots.example", photos__one_jpg="a jug", photos__cup_jpg="a cup", _nojekyll="", _git__config="mine"
    )
    os.symlink("photos", site / "pictures")
    assert build(site, index_html="new", forms__cup_html="new") == []
    assert tree(site) == {
        "CNAME": "pots.example", "photos/one.jpg": "a jug", "photos/cup.jpg": "a cup", ".nojekyll": "", ".git/config": "mine",
        "index.html": "new", "forms/cup.html": "new",
    }  # fmt: skip
    assert os.readlink(site / "pictures") == "photos" and not (site / "gone").exists()
    assert read_manifest(site).files.keys() == {"index.html", "forms/cup.html"}
    left = [path for path in (site.parent / ".wareboard").glob("*") if path.name != ".gitignore"] + list(
        site.glob(".wareboard-new")
    )
    assert left == []


@ways
def test_a_file_of_ours_that_was_changed_by_hand_is_kept(site, way):
    build(site, index_html="old", other_html="old")
    (site / "index.html").write_text("my own words")
    (said,) = build(site, index_html="new", other_html="new")
    kept = next((site.parent / ".wareboard" / "kept").rglob("index.html.*"))
    assert kept.read_text() == "my own words" and str(kept) in said
    assert tree(site) == {"index.html": "new", "other.html": "new"}


def test_a_makers_file_in_the_way_of_ours_is_not_replaced(site):
    build(site, index_html="old")
    fill(site, forms__cup_html="mine")
    with pytest.raises(FolderError, match="cup.html was not made by a build"):
        build(site, index_html="new", forms__cup_html="new")
    assert tree(site) == {"index.html": "old", "forms/cup.html": "mine"}


@pytest.mark.parametrize(
    ("held", "said"),
    [
        ({"thesis_docx": "years"}, "holds `thesis.docx` and no mark"), ({"index_html": "<p>another site"}, "holds `index.html` and no mark"),
        ({"index_html": "x", "_wareboard-site_json": "{}"}, "no mark"), ({"index_html": "x", "_wareboard-site_json": "[1]"}, "no mark"),
    ],
)  # fmt: skip
def test_a_folder_without_our_mark_is_not_replaced(site, held, said):
    site.mkdir()
    fill(site, **held)
    with pytest.raises(FolderError, match=said):
        Aside.open(site)
    assert len(list(site.iterdir())) == len(held)


def test_an_empty_folder_and_one_with_hidden_files_may_be_filled(site):
    site.mkdir()
    build(site, index_html="new")
    assert tree(site) == {"index.html": "new"}
    other = site.parent / "other"
    other.mkdir()
    fill(other, _git="gitdir: elsewhere")
    build(other, index_html="new")
    assert tree(other) == {".git": "gitdir: elsewhere", "index.html": "new"}


def test_what_was_built_for_others_is_not_replaced(site):
    build(site, "studio", index_html="prices and glazes")
    with pytest.raises(FolderError, match="built for the studio itself, and this build is for a stockist"):
        Aside.open(site, "stockist")
    assert tree(site) == {"index.html": "prices and glazes"}


@pytest.mark.parametrize("where", [".", "..", "specs", "specs/forms", "specs/site"])
def test_no_build_goes_where_the_specs_are(tmp_path, where):
    root = tmp_path / "studio"
    (root / "specs" / "forms").mkdir(parents=True)
    with pytest.raises(FolderError, match="where the specs are"):
        Aside.open(root / where, "studio", root)


def test_a_file_where_the_site_should_be_is_refused(tmp_path):
    (tmp_path / "plain").write_text("")
    with pytest.raises(FolderError, match="is a file"):
        Aside.open(tmp_path / "plain")


def test_a_mark_names_nothing_outside_its_folder(site):
    build(site, index_html="old")
    text = (site / MARK).read_text()
    (site / MARK).write_text(text.replace('"index.html"', '"../precious.txt"'))
    (site.parent / "precious.txt").write_text("precious")
    assert read_manifest(site).files == {}
    assert (site.parent / "precious.txt").read_text() == "precious"


def test_a_site_that_is_a_link_is_replaced_where_it_leads(tmp_path):
    build(tmp_path / "real", index_html="old")
    (tmp_path / "site").symlink_to(tmp_path / "real", target_is_directory=True)
    build(tmp_path / "site", index_html="new")
    assert (tmp_path / "site").is_symlink() and tree(tmp_path / "real") == {"index.html": "new"}


def test_what_was_not_swapped_in_is_put_away(site):
    build(site, index_html="old")
    aside = Aside.open(site)
    fill(aside.path, index_html="half")
    aside.close()
    aside.close()
    assert not aside.path.exists() and tree(site) == {"index.html": "old"}


class Killed(BaseException):
    """Stands for the process's end."""


@ways
def test_a_swap_that_was_killed_anywhere_is_finished_by_doing_it_again(site, way, monkeypatch):
    names = [
        (module, name)
        for module, name in ((os, "rename"), (os, "replace"), (os, "link"), (os, "unlink"))
        if hasattr(module, name)
    ]
    count = 1
    while True:
        for path in list(site.rglob("*")) if site.exists() else []:
            path.unlink() if path.is_file() and path.name not in ("photo.jpg",) else None
        (site / MARK).unlink(missing_ok=True) if site.exists() else None
        fill(site, photo_jpg="mine")
        (site / MARK).write_bytes(builtfolder.Manifest("studio").text())
        build(site, index_html="old", a_html="old", gone_html="old")
        aside = Aside.open(site)
        fill(aside.path, index_html="new", a_html="new", b_html="new")
        swap, done = aside.finish(), 0

        def counted(work):
            def does(*args, **more):
                nonlocal done
                done += 1
                if done == count:
                    raise Killed
                return work(*args, **more)

            return does

        with monkeypatch.context() as patch:
            for module, name in names:
                patch.setattr(module, name, counted(getattr(module, name)))
            try:
                swap.carry_out()
                killed = False
            except Killed:
                killed = True
        if way != "file by file" and site.exists():
            shown = tree(site)
            assert shown["photo.jpg"] == "mine" and shown["index.html"] == shown["a.html"]
        swap.carry_out()
        assert tree(site) == {"photo.jpg": "mine", "index.html": "new", "a.html": "new", "b.html": "new"}
        swap.carry_out()
        assert tree(site) == {"photo.jpg": "mine", "index.html": "new", "a.html": "new", "b.html": "new"}
        if not killed:
            break
        count += 1
    assert count > (1 if way == "one step" else 2)


@pytest.mark.parametrize("way", ["one step", "two steps"])
def test_where_the_last_site_cannot_be_looked_through_the_new_one_stands(site, way, monkeypatch):
    build(site, index_html="old")
    whole = builtfolder._bring_after

    def refuse(old, target):
        fill(old, late_txt="put there while it was exchanged")
        raise OSError(5, "the disk does not answer")

    monkeypatch.setattr(builtfolder, "_bring_after", refuse)
    (said,) = build(site, index_html="new")
    assert "the disk does not answer" in said and tree(site) == {"index.html": "new"}
    monkeypatch.setattr(builtfolder, "_bring_after", whole)
    tidy_beside(site)
    assert tree(site) == {"index.html": "new", "late.txt": "put there while it was exchanged"}
    assert not [path for path in (site.parent / ".wareboard").iterdir() if path.name.startswith(("new-", "old-"))]


def test_leavings_of_killed_builds_are_tidied_each_to_its_own_site(tmp_path):
    private = files.private_folder(tmp_path)
    for name in ("new-site-0123456789ab", "old-site-stockist-0123456789ab", "new-site-assistant-0123456789ab"):
        (private / name).mkdir()
    (private / "old-site-stockist-0123456789ab" / "index.html").write_text("prices")
    tidy_beside(tmp_path / "site")
    assert not (tmp_path / "site").exists() and not (private / "new-site-0123456789ab").exists()
    assert (private / "new-site-assistant-0123456789ab").exists()
    tidy_beside(tmp_path / "site-stockist")
    assert (tmp_path / "site-stockist" / "index.html").read_text() == "prices"
    journal.settle(tmp_path, lambda words: None)  # whatever is built next
    assert sorted(path.name for path in private.iterdir()) == [".gitignore"]


def test_a_site_on_a_disk_of_its_own_is_filled_within(site, monkeypatch):
    site.mkdir()
    monkeypatch.setattr(os.path, "ismount", lambda path: str(path) == str(site))
    assert Aside.open(site).path == site / WITHIN


def test_a_site_that_is_a_folder_shown_there_is_filled_within(tmp_path, monkeypatch):
    """As `mount --bind` makes it: on the same disk, and no name of it can be changed."""
    site = tmp_path / "my pots" / "site"
    site.mkdir(parents=True)
    listed = str(site).replace(" ", "\\040")
    (tmp_path / "mounts").write_text(f"36 35 98:0 /elsewhere {listed} rw,noatime shared:1 - ext4 /dev/root rw\n")
    assert Aside.open(site).path.parent.parent == site.parent
    monkeypatch.setattr(builtfolder, "MOUNTS", tmp_path / "mounts")
    assert Aside.open(site).path == site / WITHIN
