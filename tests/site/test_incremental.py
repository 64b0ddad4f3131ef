"""A build of which little changed is, file by file, the build that is made of nothing: whatever came, went or changed between."""

import json
import shutil
from hashlib import sha256

import pytest
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.figures import checks
from wareboard.output import leaves
from wareboard.output.filling import Filling
from wareboard.output.unchanged import state_place
from wareboard.pages import answerpage, datafiles, sitepages

import tests.identities.test_every_key as keys

LIDDED = "specs/forms/pot.yaml"


def studio_of(*forms):
    """Some of the forms in which every key stands, and all that stands behind them."""
    texts = {path: text.replace("fonts: [house.ttf]\n", "") for path, text in keys.TEXTS.items()}
    texts["specs/orders/fair.yaml"] = "title: Fair\ndue: 2030-05-01\nlines:\n  - {form: trial, sets: 4}\n"
    if "mug" not in forms:
        del texts["specs/glazes/weighed.yaml"]
    return {path: text for path, text in texts.items() if "/forms/" not in path or path[12:-5] in forms}


# A form with a fit, a plain one, one that others are like and on which a glaze was weighed; and where less will do, two.
TEXTS, FEW = studio_of("pot", "trial", "mug", "half", "pint"), studio_of("pot", "trial")


def tree(folder):
    """A digest of every file by its path, the mark of the build too."""
    return {path.relative_to(folder).as_posix(): sha256(path.read_bytes()).digest() for path in sorted(folder.rglob("*")) if path.is_file()}  # fmt: skip


def build(folder, *words, status=0):
    """A build without cards; what it said."""
    done = CliRunner().invoke(command, ["-C", str(folder), "build", "--no-cards", *words])
    assert done.exit_code == status, done.output
    return done.output.replace(str(folder), "")


MADE_OF_NOTHING: dict[tuple, tuple] = {}


def made_of_nothing(studio, folder, *words, status=0):
    """What is said, the site and the specs of a studio as it stands and was never built, with all that was told of
    revisions; of what was built so before, what came of it."""
    shutil.copytree(studio, folder, ignore=shutil.ignore_patterns("site", ".wareboard"))
    key = (*tree(folder).items(), words, leaves.program_digest())
    if key not in MADE_OF_NOTHING:
        said = build(folder, *words, status=status)
        MADE_OF_NOTHING[key] = said, tree(folder / "site") if status == 0 else {}, tree(folder / "specs")
    shutil.rmtree(folder)
    return MADE_OF_NOTHING[key]


class Yard:
    """A studio that is built again and again, and what the last build read, worked out and took."""

    def __init__(self, root, monkeypatch, texts):
        self.root, self.read, self.worked, self.taken = root / "yard", [], [], set()
        for path, text in texts.items():
            self.write(path, text)
        work, read, take = checks.check_form, leaves.Leaves._form, Filling._take
        monkeypatch.setattr(
            checks, "check_form", lambda form, *more: self.worked.append(form.slug) or work(form, *more)
        )
        monkeypatch.setattr(leaves.Leaves, "_form", lambda own, slug: self.read.append(slug) or read(own, slug))
        monkeypatch.setattr(Filling, "_take", lambda own, *of: take(own, *of) and (self.taken.add(of[0]) or True))

    def write(self, path, text):
        place = self.root / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")

    def change(self, path, old, new):
        text = (self.root / path).read_text(encoding="utf-8")
        assert old in text
        self.write(path, text.replace(old, new, 1))

    def built(self, *words, status=0):
        """Build, and have the same built of nothing; both must be one."""
        said, site, specs = made_of_nothing(self.root, self.root.parent / "fresh", *words, status=status)
        self.read.clear(), self.worked.clear(), self.taken.clear()
        assert build(self.root, *words, status=status) == said
        if status == 0:
            ours = tree(self.root / "site")
            assert ours.keys() == site.keys()
            assert [name for name in ours if ours[name] != site[name]] == []
        assert tree(self.root / "specs") == specs


@pytest.fixture
def yard(tmp_path, monkeypatch):
    return Yard(tmp_path, monkeypatch, TEXTS)


@pytest.fixture
def small_yard(tmp_path, monkeypatch):
    return Yard(tmp_path, monkeypatch, FEW)


def test_whatever_changes_the_site_is_the_one_that_is_made_of_nothing(yard):
    forms = {path.split("/")[-1].removesuffix(".yaml") for path in TEXTS if "/forms/" in path}
    yard.built()
    assert set(yard.worked) == forms and not yard.taken
    # of a form on which none leans, but the first week's page, which shows it beside the plainest
    yard.change("specs/forms/trial.yaml", "title: Trial", "title: Trial piece")
    yard.built()
    assert set(yard.worked) == {"trial", "half"} and set(yard.read) <= {"half"}
    assert {"forms/pot.html", "forms/mug.json", "workings/half.html", "reference.html"} <= yard.taken
    assert not {"forms/trial.html", "index.html", "figures.csv"} & yard.taken
    # of one with a fit
    yard.change(LIDDED, "title: Pot", "title: Jar")
    yard.built()
    assert set(yard.worked) <= {"pot", "trial"} and "forms/mug.html" in yard.taken
    # of one that others are like, and on which a glaze was weighed
    yard.change("specs/forms/mug.yaml", "title: Mug", "title: Beaker")
    yard.built()
    assert "forms/pot.html" in yard.taken and not {"forms/mug.html", "forms/half.html"} & yard.taken
    # what stands behind forms
    yard.change("specs/clays/barred.yaml", "water: 21.5 %", "water: 22 %")
    yard.built()
    yard.change("specs/glazes/dipped.yaml", "bare: 212 g", "bare: 211 g")
    yard.built()
    yard.change("specs/kilns/front.yaml", "tiers: 5", "tiers: 4")
    yard.built()
    assert "forms/mug.html" not in yard.taken or "kiln" not in TEXTS["specs/studio.yaml"]
    yard.change("specs/studio.yaml", "least_wall: 6 mm", "least_wall: 5 mm")
    yard.built()
    assert set(yard.worked) == forms
    yard.change("specs/orders/fair.yaml", "sets: 4", "sets: 6")
    yard.built()
    assert "forms/trial.html" in yard.taken and "orders/fair.html" not in yard.taken
    # a form comes, is renamed, goes
    yard.write("specs/forms/another.yaml", TEXTS["specs/forms/trial.yaml"].replace("title: Trial", "title: Another"))
    yard.built()
    assert "another" in yard.worked and "forms/pot.html" in yard.taken
    (yard.root / "specs/forms/another.yaml").rename(yard.root / "specs/forms/other-one.yaml")
    yard.built()
    # with it a clay comes: what forms would be of it is worked out
    (yard.root / "specs/forms/other-one.yaml").unlink()
    yard.write("specs/clays/new.yaml", TEXTS["specs/clays/buff.yaml"].replace("title: Buff", "title: New"))
    yard.built()
    assert "forms/pot.html" in yard.taken and not (yard.root / "site/forms/other-one.html").exists()


def test_what_is_said_of_specs_is_said_however_little_is_read(yard):
    yard.built()
    # a warning at a line of a form is told each time, whichever other form changes
    yard.change("specs/forms/trial.yaml", "title: Trial", "title: Trial of food-safe ware")
    yard.built()
    yard.change(LIDDED, "title: Pot", "title: Jar")
    yard.built()
    assert "claims-safe" in build(yard.root)
    # two forms with one code
    yard.change("specs/forms/trial.yaml", "title: Trial of food-safe ware", "title: Trial\ncode: p-1")
    yard.built(status=1)
    yard.change("specs/forms/trial.yaml", "code: p-1", "code: p-2")
    yard.built()
    # a form goes on which others lean
    text = (yard.root / "specs/forms/mug.yaml").read_text(encoding="utf-8")
    (yard.root / "specs/forms/mug.yaml").unlink()
    yard.built(status=1)
    yard.built("--keep-going", status=1)
    yard.write("specs/forms/mug.yaml", text)
    yard.built()


def test_what_is_one_for_every_form_is_made_once(small_yard, monkeypatch):
    yard = small_yard
    yard.built()
    yard.change("specs/forms/trial.yaml", "title: Trial", "title: Trial piece")
    for room, work in ((answerpage, "render_formulas"), (datafiles, "render_schemas"), (sitepages, "render_reference")):
        monkeypatch.setattr(room, work, lambda *_: pytest.fail("what had not changed was made again"))
    build(yard.root)


def test_forms_read_some_at_a_time_make_the_same_site(yard, monkeypatch):
    fresh, forms = yard.root.parent / "fresh", {path[12:-5] for path in TEXTS if "/forms/" in path}
    wrong = lambda: yard.change("specs/forms/trial.yaml", "title: ", "titel: ")
    made_of_nothing(yard.root, fresh)
    wrong()
    made_of_nothing(yard.root, fresh, status=1)
    yard.change("specs/forms/trial.yaml", "titel: ", "title: ")
    monkeypatch.setattr(leaves, "TOGETHER", 2)
    yard.built()
    assert set(yard.worked) == forms and len(leaves.Leaves.open(yard.root, {}, None, None)._kept) == len(forms)
    wrong()
    shutil.rmtree(yard.root / ".wareboard")
    yard.built(status=1)


def test_a_form_that_learns_from_runs_is_read_each_time(small_yard):
    yard = small_yard
    yard.change("specs/studio.yaml", "shrinkage: 0.15 %", "shrinkage: from runs")
    yard.built()
    for slug in ("trial", "pot"):
        yard.change(f"specs/forms/{slug}.yaml", "title: ", "title: New ")
        yard.built()
    _, *lines = (yard.root / ".wareboard/cache/leaves" / leaves.INDEX).read_text().splitlines()
    assert lines and not any(json.loads(line)["reached"] for line in lines)


def test_what_is_kept_and_cannot_be_read_is_made_anew(small_yard):
    yard = small_yard
    yard.built()
    index = yard.root / ".wareboard/cache/leaves" / leaves.INDEX
    good = index.read_text().splitlines()
    each = lambda **other: "\n".join([good[0], *(json.dumps(json.loads(line) | other) for line in good[1:])])
    for spoilt in ("", "[]", "\n".join(good)[:-200], "\n".join(good[:-1]), each(problems={"x": 1}), each(records={"forms/x": 1}), each(texts="x"), "[" * 100_000):  # fmt: skip
        index.write_text(spoilt)
        state_place(yard.root, "studio").write_bytes(b"")
        yard.built()
    # the power failed while pages were kept, and what is told of them
    for told in (yard.root / ".wareboard/cache/leaves").glob("*.told"):
        told.write_bytes(told.read_bytes()[:-200])
    state_place(yard.root, "studio").write_bytes(b"")
    yard.built()
    for page in (yard.root / ".wareboard/cache/leaves").glob("*.html"):
        page.write_bytes(b"")
    (yard.root / "site/forms/pot.html").unlink()
    state_place(yard.root, "studio").write_bytes(b"")
    yard.built()
    # a page of a leaf is gone, one of the site's was changed by hand, the record of revisions was
    next(iter((yard.root / ".wareboard/cache/leaves").glob("*.bench"))).unlink()
    (yard.root / "site/forms/pot.html").write_text("mine")
    state_place(yard.root, "studio").write_bytes(b"")
    done = CliRunner().invoke(command, ["-C", str(yard.root), "build", "--no-cards"])
    assert "forms/pot.html was changed by hand" in done.output
    yard.built()
    record = yard.root / "specs/.revisions/forms/pot.jsonl"
    line = json.loads(record.read_text().splitlines()[0]) | {"revision": "abc123"}
    record.write_text(json.dumps(line) + "\n" + record.read_text())
    yard.built()
    assert "pot" in yard.worked or "forms/pot.html" not in yard.taken


def test_a_program_that_changed_takes_nothing_over(small_yard, monkeypatch):
    yard = small_yard
    from wareboard.output import filling, unchanged

    yard.built()
    monkeypatch.setattr(unchanged, "_program", [unchanged.Looked("", "another")])
    yard.built()
    assert set(yard.worked) == {"pot", "trial"} and not {name for name in yard.taken if name.endswith("html")}
    assert filling.made_of("a") != filling.made_of("b")
