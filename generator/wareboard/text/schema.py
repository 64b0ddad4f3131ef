"""JSON Schema for each kind of spec file, from the same declarations that read them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.text.catalogue import figure_schema
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import Kind
from wareboard.text.links import GALLERY_LEVELS
from wareboard.text.measures import any_of, name_pattern
from wareboard.text.projects import FOLDERS, KINDS, Project
from wareboard.text.records import Nested, keys_of, reached_records, record_schema
from wareboard.text.specs import Form

DIALECT = "https://json-schema.org/draft/2020-12/schema"


@frozen
class Names:
    """A studio's own names, as its files have them: an editor offers these and marks all others."""

    clays: tuple[str, ...] = ()
    glazes: tuple[str, ...] = ()
    kilns: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    stations: tuple[str, ...] = ()
    calipers: tuple[str, ...] = ()


NO_NAMES = Names()
_SLUG, _ANY_NAME = "^\\s*[a-z0-9][a-z0-9-]*\\s*$", "^\\s*[^\\s0-9.,+-]"


@frozen
class NamesIn:
    """The names that one form declares."""

    stations: tuple[str, ...]
    calipers: tuple[str, ...]

    def as_json(self) -> list[list[str]]:
        """The names as JSON has them."""
        return [list(self.stations), list(self.calipers)]


def names_in(form: Form) -> NamesIn:
    """The names that one form declares."""
    parts = form.parts.values()
    stations = {str(name) for part in parts for line in (part.outside, part.inside, part.underside) for name in line}
    if any(part.gallery is not None for part in parts):
        stations |= set(GALLERY_LEVELS)
    return NamesIn(tuple(sorted(stations)), tuple(sorted({str(name) for part in parts for name in part.calipers})))


def names_of(project: Project, known: Callable[[Form], NamesIn] = names_in) -> Names:
    """The names that a studio uses now.

    Args:
        project: the studio, without errors; a file with errors could have names that are not read.
        known: gives the names of one form.
    """
    slugs = {
        folder: tuple(sorted(slug for of, slug in project.named if of == folder))
        for folder in ("clays", "glazes", "kilns", "forms")
    }
    found = [known(form) for form in project.forms.values()]
    stations, calipers = ({name for one in found for name in getattr(one, which)} for which in ("stations", "calipers"))
    return Names(**slugs, stations=tuple(sorted(stations)), calipers=tuple(sorted(calipers)))


def _name_schemas(names: Names) -> dict[str, dict[str, Any]]:
    """What may stand where something is named, by the name under which kinds refer to it."""
    made: dict[str, dict[str, Any]] = {}
    for folder in ("clays", "glazes", "kilns", "forms"):
        known = getattr(names, folder)
        made[folder] = {"enum": [*known, *(int(slug) for slug in known if slug.isdigit())]} if known else {"type": "string", "pattern": _SLUG}  # fmt: skip
    for of, known in (("stations", names.stations), ("calipers", names.calipers)):
        made[of] = {"type": ["string", "boolean"], "pattern": name_pattern(known) if known else _ANY_NAME}
    station = any_of(names.stations) or "\\S[\\s\\S]*"
    plain = any_of(("outside", "inside", "all", "none"))
    stretch = f"^\\s*(?:{plain}|(?:{station})\\s+to\\s+(?:{station}))\\s*$"
    level = f"^\\s*(?:fit|gauge\\s+\\S[\\s\\S]*|(?:inside|outside)\\s+(?:{station}|[0-9.+-][\\s\\S]*))\\s*$"
    made["stretches"] = {"type": "string", "pattern": f"[^\\x00-\\x7F]|{stretch}"}
    made["levels"] = {"type": "string", "pattern": f"[^\\x00-\\x7F]|{level}"}
    return made


def kind_schema(kind: str, names: Names = NO_NAMES) -> dict[str, Any]:
    """The schema of one kind of file.

    Args:
        kind: a key of `specs.KINDS`.
        names: a studio's own, for that studio; without them any name will do.
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
        below = {name: {key: said for key, said in made.items() if key != "required"} for name, made in below.items()}
        schema |= {"if": {"required": ["like"]}, "then": {}, "else": {**_demanded(record), "required": taken}}
    used = set(re.findall(r'"#/\$defs/([a-z]+)"', json.dumps([schema, below])))
    below |= {name: said for name, said in _name_schemas(names).items() if name in used}
    sizes: dict[str, dict[str, Any]] = {}
    schema, below = _sizes_apart(schema, sizes), _sizes_apart(below, sizes)
    below |= {name: said for said, name in zip(sizes.values(), (f"size-{n}" for n in range(1, len(sizes) + 1)))}
    return {**schema, "$defs": below} if below else schema


def _demanded(record: type) -> dict[str, Any]:
    """What a record must have, here and below, and nothing else of it."""
    keys = keys_of(record)
    made: dict[str, Any] = (
        {"required": required} if (required := [n for n, key in keys.items() if key.required]) else {}
    )
    below = {name: asked for name, key in keys.items() if (asked := _demanded_of(key.kind))}
    return {**made, "properties": below} if below else made


def _demanded_of(kind: Kind) -> dict[str, Any]:
    if isinstance(kind, Nested):
        return _demanded(kind.record)
    if isinstance(kind, Either):
        return _demanded_of(kind.nested)
    if not isinstance(kind, (ListOf, MapOf)) or not (asked := _demanded_of(kind.item)):
        return {}
    if isinstance(kind, MapOf):
        return {"properties": dict.fromkeys(kind.choices, asked)} if kind.choices else {"additionalProperties": asked}
    return {"items": asked, **asked} if kind.or_one else {"items": asked}


LONGEST_PATTERN = 150  # that stands where it is used; one text for all keys is kinder to an editor


def _sizes_apart(said: Any, sizes: dict[str, dict[str, Any]]) -> Any:
    """A schema in which each long pattern is named instead of written out; `sizes` gathers them in the order they are met."""
    if isinstance(said, list):
        return [_sizes_apart(one, sizes) for one in said]
    if not isinstance(said, dict):
        return said
    if isinstance(said.get("pattern"), str) and len(said["pattern"]) > LONGEST_PATTERN:
        kept = {"type": said["type"], "pattern": said["pattern"]}
        sizes.setdefault(json.dumps(kept), kept)
        number = list(sizes).index(json.dumps(kept)) + 1
        rest = {key: value for key, value in said.items() if key not in kept}
        return {"$ref": f"#/$defs/size-{number}", **rest}
    return {key: _sizes_apart(value, sizes) for key, value in said.items()}


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
        **_closed(fields),
    }


INDEX_FORMAT = 1


def index_schema() -> dict[str, Any]:
    """The schema of the index of a site's data, `data/index.json`."""
    text, address = {"type": "string"}, {"type": "string", "format": "uri-reference"}
    amount = {"type": ["number", "null"], "exclusiveMinimum": 0}
    digest = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
    form = {
        "form": {"type": "string", "pattern": "^[a-z0-9][a-z0-9-]*$", "description": "name of its file in the studio"},
        "title": text,
        "code": {**text, "description": "empty where it has none"},
        "family": {**text, "description": "empty where it has none"},
        "clay": {**text, "description": "name of its clay's file"},
        "parts": {"type": "array", "items": text, "minItems": 1},
        "balls_g": {"type": "array", "items": amount, "description": "weighed out for each part, wet, g"},
        "height_fired_mm": {**amount, "description": "as it stands fired, lid and all"},
        "across_fired_mm": {**amount, "description": "largest diameter, fired"},
        "holds_ml": {**amount, "description": "its vessel, to the line"},
        "weight_fired_g": {**amount, "description": "the whole set, fired"},
        "revision": {**text, "description": "short hash of what was typed, as on its cards"},
        "digest": {**digest, "description": "SHA-256 of the file that `figures` leads to"},
        "links": _closed(dict.fromkeys(("page", "bench", "figures", "drawing"), address)),
    }
    fields = {
        "$schema": address,
        "format": {"const": INDEX_FORMAT},
        "studio": text,
        "edition": {"enum": ["studio", "assistant"], "description": "for whom the site was made"},
        "digest": {**digest, "description": "SHA-256 of the forms' digests in their order, each with a line feed"},
        "tables": _closed({"forms": address, "figures": address}),
        "schemas": _closed({"figures": address}),
        "forms": {"type": "array", "items": _closed(form)},
    }
    return {
        "$schema": DIALECT,
        "title": "Wareboard: the index of a site's data; addresses are relative to it",
        **_closed(fields),
    }


def _closed(fields: dict[str, Any]) -> dict[str, Any]:
    """An object with just these fields."""
    return {"type": "object", "properties": fields, "required": list(fields), "additionalProperties": False}


@lru_cache(maxsize=16)  # of a studio that is built again and again each stays what it was
def schema_text(kind: str, names: Names = NO_NAMES) -> str:
    """The schema of one kind of file, of a `sheet` or the `index` of a site's data, as the text of a file; see `kind_schema`."""
    others = {"sheet": sheet_schema, "index": index_schema}
    made = others[kind]() if kind in others else kind_schema(kind, names)
    return json.dumps(made, indent=2, ensure_ascii=False) + "\n"


def _first_line(record: type) -> str:
    return (record.__doc__ or "").strip().splitlines()[0].replace("`", "")
