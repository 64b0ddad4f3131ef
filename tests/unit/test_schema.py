"""The schemas, against a validator that is not ours and against the demo's own files."""

import json
from pathlib import Path

import jsonschema
import pytest
import yaml
from wareboard.text import schema
from wareboard.text.projects import FOLDERS, KINDS

ROOT = Path(__file__).resolve().parents[2]
FILES = [
    ROOT / "specs" / "studio.yaml",
    *(path for name in FOLDERS for path in sorted((ROOT / "specs" / name).glob("*.yaml"))),
]


def kind_of(path):
    """The kind of spec that a demo file is."""
    return FOLDERS.get(path.parent.name, "studio")


@pytest.mark.parametrize("kind", KINDS)
def test_each_is_a_schema(kind):
    jsonschema.Draft202012Validator.check_schema(schema.kind_schema(kind))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_demo_files_are_valid(path):
    typed = json.loads(json.dumps(yaml.safe_load(path.read_text(encoding="utf-8")), default=str))
    jsonschema.Draft202012Validator(schema.kind_schema(kind_of(path))).validate(typed)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_demo_files_name_their_schema(path):
    first = path.read_text(encoding="utf-8").splitlines()[0]
    up = "" if path.name == "studio.yaml" else "../"
    assert first == f"# yaml-language-server: $schema={up}.schema/{kind_of(path)}.schema.json"


@pytest.mark.parametrize("kind", KINDS)
def test_the_schemas_beside_the_demo_are_up_to_date(kind):
    written = (ROOT / "specs" / ".schema" / f"{kind}.schema.json").read_text(encoding="utf-8")
    assert written == schema.schema_text(kind), "run `wareboard schema`"


def test_a_key_that_is_not_there_is_not_valid():
    with pytest.raises(jsonschema.ValidationError, match="wal"):
        jsonschema.validate(
            {"title": "A", "clay": "b", "parts": {"cup": {"outside": {}, "wal": 4}}}, schema.kind_schema("form")
        )


def test_every_key_is_explained():
    form = schema.kind_schema("form")
    for record in [form, *form["$defs"].values()]:
        for name, described in record["properties"].items():
            assert described.get("description"), name
