"""What is kept of a form is what is made anew: for each key of each spec, changed, and for nothing changed."""

import atexit
import dataclasses
import json
import shutil
import tempfile
from functools import cache
from pathlib import Path

import pytest
from wareboard.figures import checks
from wareboard.figures.settings import as_set
from wareboard.output import leaves
from wareboard.output.leaf import LINES, TOLD, plain_of, record_of
from wareboard.output.leaves import Leaves

import tests.identities.test_every_key as keys
from tests.every import every


def open_leaves(root, project, kind=Leaves):
    """A folder's leaves, with each form's record for its text."""
    texts = {f"specs/forms/{slug}.yaml": repr(form) for slug, form in project.forms.items()}
    texts |= {f"specs/runs/{slug}.yaml": repr(run) for slug, run in project.runs.items()}
    return kind.open(root, texts, project, lambda revised, reader: ())


def all_of(found):
    """Everything that a site takes of leaves."""
    of_forms = {slug: (of_form(found, slug), found.page(slug)) for slug in found.found}
    return of_forms, list(found.rows()), list(found.entries()), found.stock()


def of_form(found, slug):
    """What a site takes of one leaf: bodies of its page and its bench view, data, and what stands in the leaf itself."""
    bodies = [found._place(found.found[slug], kind).read_bytes() for kind in leaves.KEPT]
    return bodies, dataclasses.replace(found.found[slug], key="", folder="")


@pytest.fixture(scope="module")
def before(tmp_path_factory):
    """A folder whose leaves were kept."""
    root = tmp_path_factory.mktemp("leaves")
    found = open_leaves(root, keys.project())
    checks.check_project(keys.project(), found.sheet_of)
    found.keep()
    return root, all_of(found)


def test_what_is_kept_is_read_as_it_was(before, monkeypatch):
    root, whole = before
    found = open_leaves(root, keys.project())
    monkeypatch.setattr(checks, "check_form", lambda *_: pytest.fail("a form was worked out again"))
    sheets, problems = checks.check_project(keys.project(), found.sheet_of)
    assert all_of(found) == whole and list(sheets) == list(keys.project().forms)
    monkeypatch.undo()
    assert problems == checks.check_project(keys.project())[1]


def near(folder, slug):
    """Forms among which a change of one spec can be missed: those that lean on it, those it leans on, and a stranger."""
    if folder in ("studio", "clays", "kilns"):
        return ("pot",)
    return tuple(
        sorted({"pot", "mug", *{"mug": ("half",), "weighed": ("pint",)}.get(slug, (slug,))} & {*keys.project().forms})
    )


def each_kind_of_change(key):
    """Of a key's changes one a file, and of forms those of a plain one and of one with fits, where they have the key."""
    found = {}
    for folder, slug, spec in keys.every_change()[key]:
        found.setdefault((folder, slug), spec)
    telling = [place for place in found if place[0] != "forms" or place[1] in ("pot", "mug")]
    return [(*place, found[place]) for place in telling or list(found)[:1]]


def only(project, forms):
    """A studio of some of its forms, and no glaze that is weighed on another."""
    of_glazes = {name: glaze for name, glaze in project.glazes.items() if name != "weighed" or "pint" in forms}
    return dataclasses.replace(project, forms={name: project.forms[name] for name in forms}, glazes=of_glazes)


class Unmade(Leaves):
    """Leaves of which what is not kept any more is not made again: nobody looks at it."""

    __slots__ = ()

    def _make(self, sheet, asked):
        told = {"slug": sheet.slug, "revision": sheet.revision, "ball_g": sheet.ball_g, "problems": sheet.problems}
        leaf = dataclasses.replace(next(iter(self._kept.values())), **told, key=f"unmade-{sheet.slug}")
        fits = {str(name): plain_of(fit) for name, fit in as_set(sheet).fits.items()}
        lines = [json.dumps(fits) if name == "fits" else "null" for name in LINES]
        Path(leaf.place(TOLD)).write_text("\n".join([*lines, ""]))
        return leaf


@cache
def kept(names):
    """A folder in which some of the forms were kept."""
    root, project = Path(tempfile.mkdtemp(prefix="leaves-")), only(keys.project(), names)
    atexit.register(shutil.rmtree, root, ignore_errors=True)
    found = open_leaves(root, project)
    checks.check_project(project, found.sheet_of)
    found.keep()
    return root


@pytest.mark.parametrize("key", sorted(keys.every_change(), key=str), ids=lambda key: f"{key[0].__name__}.{key[1]}")
def test_a_changed_key_is_seen(key, tmp_path):
    """What is kept all the same is made anew and compared; what is seen to have changed is made anew as it is."""
    for number, (folder, slug, spec) in enumerate(each_kind_of_change(key)):
        names = near(folder, slug)
        project = only(keys.with_spec(folder, slug, spec), names)
        found, anew = open_leaves(kept(names), project, Unmade), open_leaves(tmp_path / str(number), project)
        sheets, problems = checks.check_project(project, found.sheet_of)
        taken = {name for name, leaf in found.found.items() if leaf.key == found._kept[name].key}
        again = lambda form, *more: (
            anew.sheet_of(form, *more)
            if form.slug in taken
            else sheets.get(form.slug) or checks.check_form(form, *more)
        )
        assert folder != "forms" or slug not in taken
        assert problems == checks.check_project(project, again)[1]
        assert {name: of_form(found, name) for name in taken} == {name: of_form(anew, name) for name in taken}


def test_a_sheet_that_is_asked_for_more_is_worked_out(before):
    found = open_leaves(before[0], keys.project())
    sheet = checks.check_project(keys.project(), found.sheet_of)[0]["pot"]
    whole = checks.check_project(keys.project())[0]["pot"]
    assert sheet.find("jar.rim.diameter", "wet") == whole.find("jar.rim.diameter", "wet")
    assert (sheet.slug, sheet.revision, sheet.problems, sheet.ball_g) == (
        whole.slug,
        whole.revision,
        whole.problems,
        whole.ball_g,
    )
    assert dict(sheet.fits) == dict(as_set(whole).fits)  # as the pot is made to its settings


@every("spoilt", [b"", b"[]", b'{"format": 1}', b"\xff", b'{"format": 1, "program": "x", "leaves": {}}'])
def test_what_cannot_be_read_is_made_anew(before, spoilt):
    root, whole = before
    index = root / ".wareboard" / "cache" / "leaves" / leaves.INDEX
    good = index.read_bytes()
    try:
        index.write_bytes(spoilt)
        found = open_leaves(root, keys.project())
        checks.check_project(keys.project(), found.sheet_of)
        assert all_of(found) == whole
    finally:
        index.write_bytes(good)


def test_nothing_but_records_of_ours_is_made_of_what_was_kept():
    body = next(iter(checks.check_project(keys.project())[0]["pot"].fits.values()))
    assert record_of(plain_of(body)) == body
    for name in ("os.system", "subprocess.Popen", "wareboard.pot.clay.sum", "wareboard.text.specs.Form"):
        with pytest.raises((ValueError, AttributeError)):
            record_of({"record": name, "fields": {}})


def test_a_form_that_looks_further_than_its_key_is_not_kept(tmp_path, monkeypatch):
    def looks(sheet, project):
        return iter(() if len(project.orders) else ())

    monkeypatch.setattr(checks, "RULES", (*checks.RULES, looks))
    found = open_leaves(tmp_path, keys.project())
    checks.check_project(keys.project(), found.sheet_of)
    found.keep()
    assert not found.found["pot"].is_lasting
    again = open_leaves(tmp_path, keys.project())
    assert again._kept == {}


def test_what_is_kept_is_bounded(before, tmp_path, monkeypatch):
    monkeypatch.setattr(leaves, "MOST_BYTES", 1000)
    found = open_leaves(tmp_path, keys.project())
    checks.check_project(keys.project(), found.sheet_of)
    for name in ("a.html", "b.json"):
        (found.folder / name).write_bytes(b"x" * 900)
    found.keep()
    assert not (found.folder / "a.html").exists() and (found.folder / "b.json").exists()
    assert all_of(found) == before[1]


def test_a_form_that_is_like_another_follows_it(tmp_path):
    def built(text):
        texts = {**keys.TEXTS, "specs/forms/pot.yaml": text, "specs/forms/twin.yaml": "title: Twin\nlike: pot\n"}
        project = keys.read_project(texts)
        found = Leaves.open(tmp_path, texts, project, lambda revised, reader: ())
        checks.check_project(project, found.sheet_of)
        found.keep()
        return found.data_files("twin")["forms/twin.json"].read_bytes()

    pot = keys.TEXTS["specs/forms/pot.yaml"]
    before = built(pot)
    assert built(pot) == before != built(pot.replace("diameter: 94", "diameter: 95"))
