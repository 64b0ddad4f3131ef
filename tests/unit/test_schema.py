"""The schemas, against a validator that is not ours and against the demo's own files."""

import json
from pathlib import Path

import jsonschema
import pytest
import yaml
from wareboard.text import schema, source
from wareboard.text.projects import FOLDERS, KINDS, read_project

import tests.identities.test_every_key as keys
from tests.demo import texts_of_demo, texts_with, worked_out
from tests.every import every
from tests.slips import BEAKER, SEEDED

ROOT = Path(__file__).resolve().parents[2]
FILES = [
    ROOT / "specs" / "studio.yaml",
    *(path for name in FOLDERS for path in sorted((ROOT / "specs" / name).glob("*.yaml"))),
]


DEMO = schema.names_of(worked_out()[0])


def kind_of(path):
    """The kind of spec that a demo file is."""
    return FOLDERS.get(path.parent.name, "studio")


@every("kind", KINDS)
def test_each_is_a_schema(kind):
    jsonschema.Draft202012Validator.check_schema(schema.kind_schema(kind))


@every("path", FILES)
def test_the_demo_files_are_valid(path):
    typed = json.loads(json.dumps(yaml.safe_load(path.read_text(encoding="utf-8")), default=str))
    for names in (schema.NO_NAMES, DEMO):
        jsonschema.Draft202012Validator(schema.kind_schema(kind_of(path), names)).validate(typed)


@every("path", FILES)
def test_the_demo_files_name_their_schema(path):
    first = path.read_text(encoding="utf-8").splitlines()[0]
    up = "" if path.name == "studio.yaml" else "../"
    assert first == f"# yaml-language-server: $schema={up}.schema/{kind_of(path)}.schema.json"


@every("kind", KINDS)
def test_the_schemas_beside_the_demo_are_up_to_date(kind):
    written = (ROOT / "specs" / ".schema" / f"{kind}.schema.json").read_text(encoding="utf-8")
    assert written == schema.schema_text(kind, DEMO), "run `wareboard check`"


def test_a_key_that_is_not_there_is_not_valid():
    with pytest.raises(jsonschema.ValidationError, match="wal"):
        jsonschema.validate(
            {"title": "A", "clay": "b", "parts": {"cup": {"outside": {}, "wal": 4}}}, schema.kind_schema("form")
        )


def test_every_key_is_explained():
    form = schema.kind_schema("form")
    for record in [form, *form["$defs"].values()]:
        for name, described in record.get("properties", {}).items():
            assert described.get("description"), name


# ---- never narrower than what is read ----


def loaded(text):
    """A file as an editor's own reader has it."""
    return json.loads(json.dumps(yaml.safe_load(text), default=str))


def mismatches(texts, only=""):
    """Files of a studio that its own schema, or the general one, refuses."""
    names = schema.names_of(read_project(texts))
    for path, text in texts.items():
        if only not in path:
            continue
        kind = FOLDERS.get(Path(path).parent.name, "studio")
        for known in (schema.NO_NAMES, names):
            for fault in jsonschema.Draft202012Validator(schema.kind_schema(kind, known)).iter_errors(loaded(text)):
                yield path, "own" if known is names else "general", list(fault.absolute_path), fault.message[:200]


def test_a_studio_with_every_key_is_valid():
    assert list(mismatches(keys.TEXTS)) == []


@every("old,new", [("wall: 4", "wall: 4mm"), ("floor: 5", "floor: 3/16 in"), ("floor: 5", 'floor: "5"'), ("loss: 6 %", "loss: 6 percent"), ("diameter: 80", "diameter: 3 1/8 in fired"), ("diameter: 80", "diameter: ⌀ 80"), ("height: 120", "height: 4¾ in"), ("height: 120", "height: 0.12 m"), ("loss: 6 %", "loss: 6 per cent"), ("fill_to: rim", "fill_to: 8 cm"), ("gauge_at: rim", "gauge_at: [rim, bevel]"), ("bare: foot to bevel", "bare: none"), ("height: 120", "height: 12 c.m.")])  # fmt: skip
def test_what_check_reads_in_odd_spellings_is_valid(old, new):
    texts = texts_with()
    texts["specs/forms/tall-beaker.yaml"] = BEAKER.replace(old, new, 1)
    found = read_project(texts)
    assert not [problem for problem in found.problems if problem.level == "error"], found.problems
    assert list(mismatches(texts, "/forms/")) == []


def test_what_is_like_another_form_says_only_what_is_its_own():
    own = {"title": "A", "like": "tall-beaker", "parts": {"cup": {"outside": {"rim": {"diameter": 90}}, "wall": 3}}}
    jsonschema.validate(own, schema.kind_schema("form", DEMO))
    alone = {**own, "clay": "millpond-buff"}
    del alone["like"]
    assert (
        "is a required property"
        in next(jsonschema.Draft202012Validator(schema.kind_schema("form", DEMO)).iter_errors(alone)).message
    )


def test_the_schema_tells_what_a_schema_can_of_the_seeded_mistakes():
    validator = jsonschema.Draft202012Validator(schema.kind_schema("form", DEMO))
    assert validator.is_valid(loaded(BEAKER))
    missed = []
    for sound, mistaken in SEEDED:
        text = BEAKER.replace(sound, mistaken, 1)
        if source.read_nodes(text, "")[0] is None:
            continue  # no YAML at all
        if validator.is_valid(loaded(text)):
            missed.append(mistaken)
    # Two that only reckoning tells, and a station that another form has.
    assert missed == ["wall: 40", "fill_to: 300", "gauge_at: brim"]


def test_a_schema_knows_a_studios_names_and_no_others():
    form = schema.kind_schema("form", DEMO)
    assert form["$defs"]["clays"]["enum"] == ["millpond-buff", "quarry-brown"]
    assert "enum" not in schema.kind_schema("form")["$defs"]["clays"]


def test_the_levels_that_a_gallery_makes_are_names_too():
    cup = "title: Cup\nclay: millpond-buff\nparts:\n  cup:\n    outside: {foot: {height: 0, diameter: 60}, rim: {height: 90, diameter: 80}}\n    wall: 4\n    floor: 5\n    gallery: {depth: 10, width: 5}\n    calipers: {ring: inside gallery, hole: inside ledge}\n"  # fmt: skip
    texts = {path: text for path, text in texts_of_demo().items() if path.startswith(("specs/studio", "specs/clays", "specs/kilns"))}  # fmt: skip
    texts["specs/forms/cup.yaml"] = cup
    found = read_project(texts)
    assert not [problem for problem in found.problems if problem.level == "error"], found.problems
    assert list(mismatches(texts)) == []
