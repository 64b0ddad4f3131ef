"""What a form's page takes from the studio's other forms: the sizes from the smallest ball to the largest, its family."""

import dataclasses
import json
import re
import shutil

import pytest
from wareboard.figures import checks, coats
from wareboard.figures.settings import as_set
from wareboard.figures.shown import reader_of
from wareboard.output.leaves import INDEX, Leaves
from wareboard.pages import familypages, formpage, sitepages, stockpages
from wareboard.pages.familypages import Among, among_forms, growth_of, ladder, sensible_balls

from tests.demo import demo_site, worked_out
from tests.identities import test_every_key as keys


def grown(slug):
    project, sheets = worked_out()
    return growth_of(as_set(sheets[slug])), reader_of(project.studio), sheets


def test_a_ladder_runs_from_the_smallest_ball_of_the_studio_to_the_largest():
    growth, reader, sheets = grown("tall-beaker")
    balls = [sheet.ball_g for sheet in sheets.values()]
    rungs = ladder(growth, reader, min(balls), max(balls))
    assert rungs[0].ball == str(reader.amounts(min(balls), "g", up=True)[0])
    assert rungs[-1].ball == str(reader.amounts(max(balls), "g", up=True)[0])
    assert [rung.own for rung in rungs].count(True) == 1 and len(rungs) > 8
    heights = [float(re.match(r"[\d.]+", rung.height)[0]) for rung in rungs]
    assert heights == sorted(heights)
    # Eight times the clay is twice as high.
    twice = familypages._rung(growth, reader, 8.0 * growth.ball_g)
    assert twice.height == str(reader.amounts(2.0 * growth.height_mm, "mm")[0])


def test_a_studio_of_one_size_of_ball_has_a_ladder_too():
    growth, reader, _ = grown("tall-beaker")
    rungs = ladder(growth, reader, growth.ball_g, growth.ball_g)
    assert len(rungs) > 5 and 0 < [rung.own for rung in rungs].index(True) < len(rungs) - 1


def test_steps_are_those_of_the_scale():
    assert sensible_balls(95, 210) == [100, 125, 150, 175, 200]
    ounces = [round(g / 28.349523125, 6) for g in sensible_balls(200, 1000, in_ounces=True)]
    assert ounces == [8, 10, 12, 14, 16, 20, 24, 28, 32]


def test_each_member_of_a_family_links_it_the_one_that_is_followed_too():
    project, sheets = worked_out()
    among = among_forms(project, {slug: sheet.ball_g for slug, sheet in sheets.items()})
    bases = {familypages.base_of(sheet.form, project) for sheet in sheets.values() if sheet.form.like}
    assert bases
    pages = {page.path: page.body for page in demo_site()}
    for slug, sheet in sheets.items():
        base = familypages.base_of(sheet.form, project)
        linked = f'href="../{familypages.family_path(base)}"' in pages[f"forms/{slug}.html"]
        assert linked == (base in bases) == (slug in among.families)


def test_what_is_not_worked_out_is_no_smallest_ball_and_makes_no_family():
    project, sheets = worked_out()
    balls = {slug: sheet.ball_g for slug, sheet in sheets.items()}
    follower = next(slug for slug, sheet in sheets.items() if sheet.form.like)
    among = among_forms(project, {**balls, follower: float("inf")})
    assert among.greatest_ball_g < float("inf") and follower not in among.families


def test_a_kept_page_follows_the_other_forms(tmp_path):
    def pages(other, root):
        texts = {path: text for path, text in keys.TEXTS.items() if "/forms/" not in path or path.endswith("/pot.yaml")}
        texts.pop("specs/glazes/weighed.yaml")
        texts |= {"specs/forms/other.yaml": other} if other else {}
        project = keys.read_project(texts)
        found = Leaves.open(root, texts, project, lambda revised, reader: ())
        checks.check_project(project, found.sheet_of)
        found.keep()
        kept = found.found["pot"].key
        return kept, found.page("pot").body

    key, alone = pages("", tmp_path / "kept")
    twin = "title: Other\nlike: pot\nresized: {scale: 2}\n"
    again, beside = pages(twin, tmp_path / "kept")
    assert again == key and beside != alone and "families/pot.html" in beside
    assert pages(twin, tmp_path / "anew")[1] == beside
    assert pages("", tmp_path / "kept")[1] == alone


def test_no_gap_is_left():
    project, sheets = worked_out()
    sheet = sheets["tall-beaker"]
    page, growth = formpage.render_with_gaps(sheet, project)
    assert familypages.LADDER_GAP in page.body and familypages.FAMILY_GAP in page.body
    whole = formpage.render_form(sheet, project, among=Among(100.0, 2000.0, {})).body
    assert "<!--" not in whole and dataclasses.asdict(growth)["slug"] == "tall-beaker"


# A pot and one like it, a mug and one like it.
SEVERAL = {
    path: text
    for path, text in keys.TEXTS.items()
    if path.rsplit("/", 1)[1].removesuffix(".yaml") in ("pot", "mug", "high")
    or (not path.startswith("specs/forms/") and not path.endswith("/weighed.yaml"))
} | {"specs/forms/other.yaml": "title: Other\nlike: pot\nresized: {scale: 2}\nstockist: {price: 12}\n"}


def overviews(root, changed=()):
    """A studio's pages about several forms, by their path, with what was kept in a folder."""
    texts = {**SEVERAL, **dict(changed)}
    project = coats.weigh_coats(keys.read_project(texts))
    found = Leaves.open(root, texts, project, lambda revised, reader: ())
    sheets, _ = checks.check_project(project, found.sheet_of)
    project = dataclasses.replace(project, forms={slug: sheet.form for slug, sheet in sheets.items()})
    keeping = {"kept": found.kept_page, "kept_numbers": found.kept_numbers, "kept_words": found.kept_words}
    pages = {page.path: page for page in sitepages.render_overviews(project, sheets, stock=found.stock(), **keeping)}
    found.keep()
    return pages


def without_pages(kept, folder):
    """What was kept of single forms, in a folder of its own, and nothing that was kept of several."""
    shutil.copytree(kept, folder, ignore=shutil.ignore_patterns("*.page"))
    (index,) = folder.rglob(INDEX)
    head, *leaves = index.read_bytes().splitlines()
    index.write_bytes(b"\n".join([json.dumps(json.loads(head) | {"pieces": {}}).encode(), *leaves]))
    return folder


# A file with something in it changed, and a page that shows it.
CHANGES = (
    ("specs/clays/noted.yaml", "water: 21.5 %", "water: 24 %", "clays/buff.html"),
    ("specs/clays/buff.yaml", "fired: 12 %", "fired: 13 %", "clays/buff.html"),
    ("specs/forms/mug.yaml", "title: Mug", "title: Cup", "families/mug.html"),
    ("specs/forms/high.yaml", "110 mm", "140 mm", "families/mug.html"),
    ("specs/forms/pot.yaml", "title: Pot", "title: Crock", "what-fits-what.html"),
    ("specs/forms/other.yaml", "price: 12", "price: 13", "stock.html"),
)


def test_pages_about_several_forms_are_kept_and_follow_each_of_them(tmp_path, monkeypatch):
    first = overviews(tmp_path / "kept")
    with monkeypatch.context() as patched:
        for room, work in (
            (familypages, "_render_family"), (familypages, "_settings_in"), (sitepages, "render_fits"), (stockpages, "list_row"),
        ):  # fmt: skip
            patched.setattr(room, work, lambda *_: pytest.fail("what had not changed was made again"))
        assert overviews(tmp_path / "kept") == first
    forms = without_pages(tmp_path / "kept", tmp_path / "forms")
    for path, was, now, page in CHANGES:
        assert was in SEVERAL[path]
        changed = {path: SEVERAL[path].replace(was, now, 1)}
        seen = overviews(tmp_path / "kept", changed.items())
        anew = shutil.copytree(forms, tmp_path / path.replace("/", "-"))
        assert seen == overviews(anew, changed.items())
        assert seen[page] != first[page]
