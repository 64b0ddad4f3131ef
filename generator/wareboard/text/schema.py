"""JSON Schema for each kind of spec file, from the same declarations that read them."""

from __future__ import annotations

import json
from typing import Any

from wareboard.text.catalogue import figure_schema
from wareboard.text.projects import FOLDERS, KINDS
from wareboard.text.records import reached_records, record_schema

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def kind_schema(kind: str) -> dict[str, Any]:
    """The schema of one kind of file.

    Args:
        kind: a key of `specs.KINDS`.
    Returns: a JSON Schema, draft 2020-12; an editor completes and explains keys with it.
    Raises: KeyError, no such kind.
    >>> kind_schema("glaze")["properties"]["film"]["examples"]
    ['0.35 mm']
    """
    record = KINDS[kind]
    place = next((f"specs/{folder}/" for folder, of in FOLDERS.items() if of == kind), "specs/studio.yaml")
    top = {"$schema": DIALECT, "title": f"Wareboard: {kind} ({place})", "description": _first_line(record)}
    below = {
        reached.__name__: {"description": _first_line(reached), **record_schema(reached)}
        for reached in reached_records(record)[1:]
    }
    schema = {**top, **record_schema(record)}
    if "like" in schema["properties"]:  # what is like another has all that it does not say from that one
        taken = [name for name in schema["required"] if name != "title"]
        schema["required"] = ["title"]
        schema["anyOf"] = [{"required": ["like"]}, {"required": taken}]
    return {**schema, "$defs": below} if below else schema


def sheet_schema() -> dict[str, Any]:
    """The schema of a form's figures as JSON: what `wareboard derive FORM --json` prints."""
    text, text_or_none = {"type": "string"}, {"type": ["string", "null"]}
    problem = {"level": {"enum": ["error", "warning"]}, "rule": text, "message": text, "file": text, "line": {"type": ["integer", "null"]}, "column": {"type": ["integer", "null"]}, "hint": text_or_none}  # fmt: skip
    fields = {
        "format": {"const": 1},
        "form": text,
        "clay": text,
        "revision": {**text, "description": "short hash of what was typed"},
        "figures": {"type": "array", "items": figure_schema()},
        "problems": {"type": "array", "items": {"type": "object", "properties": problem, "required": list(problem)}},
    }
    return {
        "$schema": DIALECT,
        "title": "Wareboard: the figures of one form",
        "type": "object",
        "properties": fields,
        "required": list(fields),
        "additionalProperties": False,
    }


def schema_text(kind: str) -> str:
    """The schema of one kind of file, or of a `sheet`, as the text of a file."""
    made = sheet_schema() if kind == "sheet" else kind_schema(kind)
    return json.dumps(made, indent=2, ensure_ascii=False) + "\n"


def _first_line(record: type) -> str:
    return (record.__doc__ or "").strip().splitlines()[0].replace("`", "")
