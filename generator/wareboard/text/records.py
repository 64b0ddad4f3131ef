"""Records: frozen dataclasses whose fields are made with `key(kind, doc, …)`; one declaration serves reader, schema and manual."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from functools import cache, wraps
from typing import Any, TypeVar

from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.compounds import Either, names_in, tell_comma
from wareboard.text.kinds import Kind, Reading, Size
from wareboard.text.plain import folded_name
from wareboard.text.problems import format_words
from wareboard.text.sizekinds import Measure
from wareboard.text.units import written_like

Spec = TypeVar("Spec")
Known = TypeVar("Known")


@frozen
class Key:
    """What a field of a record says of itself.

    `trade` is true where only selling needs it: it makes no new revision, and who makes the ware may do without it. `also`
    holds other words that makers use for it, and `half` those for half of it; a hint answers them.
    """

    kind: Kind
    doc: str
    example: str = ""
    required: bool = False
    unless_given: str = ""
    field: str = ""
    trade: bool = False
    plan: bool = False
    also: tuple[str, ...] = ()
    half: tuple[str, ...] = ()

    def shown(self, reading: Reading) -> str:
        """The example as it would be typed into a file."""
        return self.kind.shown(self.example, reading)


def key(
    kind: Kind,
    doc: str,
    *,
    example: str = "",
    required: bool = False,
    unless_given: str = "",
    default: Any = None,
    typed: str = "",
    trade: bool = False,
    plan: bool = False,
    also: tuple[str, ...] = (),
    half: tuple[str, ...] = (),
) -> Any:
    """A field of a record; `default` is what it holds where nothing is typed, `typed` the maker's word where it differs."""
    metadata = {
        "key": Key(kind, doc, example, required, unless_given, trade=trade, plan=plan, also=also, half=half),
        "typed": typed,
    }
    if isinstance(default, dict):
        return field(default_factory=dict, metadata=metadata)
    return field(default=default, metadata=metadata)


@cache
def keys_of(record: type) -> dict[str, Key]:
    """The keys of a record class by the word that a maker types, in order; worked out once, not to be changed."""
    declared = (f for f in dataclasses.fields(record) if "key" in f.metadata)
    return {f.metadata["typed"] or f.name: dataclasses.replace(f.metadata["key"], field=f.name) for f in declared}


@cache
def _required(record: type) -> dict[str, Key]:
    return {word: entry for word, entry in keys_of(record).items() if entry.required}


@cache
def _has_place(record: type) -> bool:
    return any(one.name == "at" for one in dataclasses.fields(record))


@frozen
class Nested(Kind):
    """Lines of `key: value` that are a record of their own; a single value stands for the key `short`, where there is one."""

    record: type
    short: str = ""

    @property
    def said(self) -> str:
        """See Kind."""
        lines = f"lines of their own: {format_words((f'`{name}`' for name in keys_of(self.record)), 'and')}"
        return f"{lines}; or the `{self.short}` alone" if self.short else lines

    def shown(self, example: str, reading: Reading) -> str:
        """See Kind."""
        keys = keys_of(self.record)
        as_typed = lambda found: f"{found[1]}: {keys[found[1]].kind.shown(found[2], reading)}"
        return re.sub(rf"\b({'|'.join(keys)}): ([^,{{}}]+)", as_typed, example)

    def read(self, node: source.Node, path: str, reading: Reading) -> Any:
        """See Kind."""
        if isinstance(node, source.Text) and self.short and node.text.strip():
            hint = _limits_meant(node.text, path) if self.short == "aim" else ""
            if hint:
                limits = "one size is the aim; limits have keys of their own"
                reading.refuse("wrong-shape", node.at, path, f"`{node.text.strip()[:40]}`: {limits}", hint)
                return None
            node = source.Mapping(((source.Text(self.short, node.at), node),), node.at)
        if not isinstance(node, source.Mapping):
            keys = keys_of(self.record)
            wanted = format_words(list(keys)[:4], "and")
            hint = _meant(node, path, keys, reading) or _example(path, keys, reading)
            reading.refuse("wrong-shape", node.at, path, f"lines of `key: value` are wanted here: {wanted}", hint)
            return None
        return read_record(self.record, node, path, reading)

    def schema(self) -> dict[str, Any]:
        """See Kind."""
        lines = {"$ref": f"#/$defs/{self.record.__name__}"}
        return {"anyOf": [keys_of(self.record)[self.short].kind.schema(), lines]} if self.short else lines

    def records(self) -> Iterator[type]:
        """See Kind."""
        yield self.record
        for entry in keys_of(self.record).values():
            yield from entry.kind.records()


def _meant(node: source.Node, path: str, keys: Mapping[str, Key], reading: Reading) -> str:
    """A value alone, as it would be written under the one key that takes such a measure."""
    if not isinstance(node, source.Text) or any(entry.required for entry in keys.values()):
        return ""
    told = _VALUE_AND_KEY.findall(node.text)
    if len(told) == node.text.count(",") + 1 and all(name in keys for _, name in told):
        return f"write `{_under(path)}{{{', '.join(f'{name}: {value}' for value, name in told)}}}`"
    kinds = {name: entry.kind.text if isinstance(entry.kind, Either) else entry.kind for name, entry in keys.items()}
    # A plain number can be read as a length too.
    for name, kind in sorted(kinds.items(), key=lambda pair: getattr(pair[1], "of", "") != "number"):
        if not isinstance(kind, Measure):
            continue
        trial = Reading(unit=reading.unit, fluid_ounce=reading.fluid_ounce)
        if kind.read(node, path, trial) is not None:
            return f"write `{_under(path)}{{{name}: {node.text.strip()[:40]}}}`"
        instead = _INSTEAD.match(trial.problems[0].hint) if trial.problems and kind.of == "number" else None
        if instead:  # 90 %, where 0.9 is written
            return f"write `{_under(path)}{{{name}: {instead[1]}}}`"
    return ""


def _limits_meant(typed: str, path: str) -> str:
    """What `1.5 ± 0.5` and `1 to 2` say, under the keys of an aim and its limits."""
    found = _LIMITS.fullmatch(typed)
    if found is None:
        return ""
    one, other, unit = float(found[1]), float(found[3]), f" {found[4]}" if found[4] else ""
    aim, half = ((one + other) / 2.0, (other - one) / 2.0) if found[2] in ("to", "-", "–") else (one, other)
    least, most = (f"{value:.10g}{unit}" for value in (aim - half, aim + half))
    return f"write `{_under(path)}{{aim: {aim:.10g}{unit}, least: {least}, most: {most}}}`" if 0.0 < half <= aim else ""


_LIMITS = re.compile(
    r"\s*(\d{1,4}(?:\.\d{1,4})?)\s*(±|\+/-|to|-|–)\s*(\d{1,4}(?:\.\d{1,4})?)\s*(mm|cm|in)?\s*", re.ASCII
)

_INSTEAD = re.compile(r"did you mean '([0-9.]+)'")

# `1.5 wall, 3 mm floor`: how it is said, where keys are wanted.
_VALUE_AND_KEY = re.compile(r"([0-9][0-9.]*(?: (?:mm|cm|in|g|%))?) ([a-z_]+)(?=\s*(?:,|$))")


def _under(path: str) -> str:
    """What stands before a value at a place: its key, nothing in a list."""
    return "" if path.endswith("]") else f"{path.rpartition('.')[2]}: "


def _example(path: str, keys: Mapping[str, Key], reading: Reading) -> str:
    """How lines are written at a place, under the name that the maker gave it."""
    shown = {name: entry for name, entry in keys.items() if entry.required and entry.example}
    if not shown:
        told = [(name, entry) for name, entry in keys.items() if entry.example]
        shown = dict(told if len(told) < 4 else told[:1])
    if not shown:
        return ""
    return f"write `{_under(path)}{{{', '.join(f'{name}: {entry.shown(reading)}' for name, entry in shown.items())}}}`"


def read_record(record: type, node: source.Mapping, path: str, reading: Reading, **known: Any) -> Any:
    """Read a mapping as a record.

    Args:
        record: a frozen dataclass made of `key` fields; it may have a field `at`, its place.
        node: the mapping.
        path: where it stands, for messages: `parts.cup`; empty at the top of a file.
        reading: gathers every problem.
        known: values of the record that are not typed (the slug).
    Returns: the record, or None where a required key is missing or unreadable; but the top of a file,
        whose path is empty, always, for what else is to be said of it.
    """
    keys = keys_of(record)
    values: dict[str, Any] = {}
    typed: set[str] = set()  # filled where something is wrong
    for place, (name, value_node) in enumerate(node.entries):
        word = name.text
        asked = keys.get(word)
        if asked is None:
            if tell_comma(node, place, path, reading):
                continue
            typed = typed or {other.text for other, _ in node.entries}
            meant = _refuse_key(name, value_node, keys, typed, path, reading)
            if meant is not None:
                word, asked = meant, keys[meant]
        value = asked.kind.read(value_node, f"{path}.{word}" if path else word, reading) if asked else None
        if asked is not None and value is None:
            _show_example(word, asked, value_node, reading)
        if asked is None or value is None:
            reading.unread.update((name.text, *names_in(value_node)))
        else:
            values[asked.field] = value
    missing = [word for word, entry in _required(record).items() if entry.field not in values]
    if missing:
        typed = typed or {name.text for name, _ in node.entries}
        for word in missing:
            if word not in typed:
                entry = keys[word]
                hint = f"write `{word}: {entry.shown(reading)}`" if entry.example else f"write `{word}:`"
                reading.refuse("missing-key", node.at, path, f"`{word}` is missing: {entry.doc}", hint)
        if path:
            return None
    if _has_place(record):
        known["at"] = node.at
    return record(**values, **known)


def _show_example(word: str, asked: Key, node: source.Node, reading: Reading) -> None:
    """What was just noted of words that are no size, or of what has another shape, shows how this key is written."""
    if not asked.example or not reading.problems:
        return
    told = reading.problems[-1]
    if told.at == node.at and not told.hint and told.rule in ("wrong-shape", "unknown-word"):
        reading.problems[-1] = replace(told, hint=f"write it like `{word}: {asked.shown(reading)}`")
    if not isinstance(asked.kind, Measure):
        return
    if isinstance(node, source.Text) and any(sign.isdigit() for sign in node.text):
        return
    if told.rule == "unreadable-size" and told.hint == written_like(asked.kind.of):
        reading.problems[-1] = replace(told, hint=f"write it like {asked.shown(reading)}")


def _refuse_key(
    name: source.Text, value_node: source.Node, keys: Mapping[str, Key], typed: set[str], path: str, reading: Reading
) -> str | None:
    """Note an unknown key; the one that was surely meant is read in its place, for what else is wrong there."""
    first, _, rest = name.text.partition(" ")
    if rest and first in keys and isinstance(value_node, source.Text) and not value_node.text:
        typed.add(first)
        reading.refuse(
            "unknown-key", name.at, path, f"there is no `:` after `{first}`", f"write `{first}: {rest[:40].strip()}`"
        )
        return None
    key_typed, colon, stuck = name.text.partition(":")
    if colon and stuck and key_typed in keys and isinstance(value_node, source.Text) and not value_node.text:
        typed.add(key_typed)
        reading.refuse(
            "unknown-key", name.at, path, f"there is no space after `{key_typed}:`", f"write `{key_typed}: {stuck[:40].strip()}`"
        )  # fmt: skip
        return None
    called = folded_name(name.text)
    halved = next((word for word, entry in keys.items() if called in entry.half), None)
    if halved:
        typed.add(halved)
        reading.refuse(
            "unknown-key", name.at, path, f"there is no key `{name.text[:40]}`; a {halved} goes all the way across", _doubled(halved, value_node)
        )  # fmt: skip
        return None
    left = [word for word in keys if word not in typed]
    begun = [word for word in left if word.startswith(called)]
    near = (
        next((word for word in left if called in keys[word].also), None)
        or (begun[0] if len(begun) == 1 else None)
        or reading.near(name.text, left)
    )
    hint = f"did you mean `{near}`?" if near else f"the keys here are {format_words(keys, 'and')}"
    reading.refuse("unknown-key", name.at, path, f"there is no key `{name.text[:40]}`", hint)
    if near is None:
        return None
    typed.add(near)
    return near


def _doubled(word: str, node: source.Node) -> str:
    """A key for which half was typed, with the whole of it where that is a plain number."""
    number = node.text.strip() if isinstance(node, source.Text) else ""
    plain = re.fullmatch(r"\d{1,6}(?:\.\d{1,6})?", number, re.ASCII)
    return f"write `{word}: {2 * float(number):g}`" if plain else f"write `{word}`, and twice as much"


def record_schema(record: type) -> dict[str, Any]:
    """A record as JSON Schema; nested records are referred to under `$defs`."""
    properties = {}
    for name, entry in keys_of(record).items():
        said = entry.kind.schema()
        described: dict[str, Any] = {
            "description": entry.doc + (f". Unless given: {entry.unless_given}" if entry.unless_given else "")
        }
        if entry.example:
            described["examples"] = [entry.example]
        properties[name] = {**said, **described}
    required = [name for name, entry in keys_of(record).items() if entry.required]
    schema = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**schema, "required": required} if required else schema


def reached_records(record: type) -> list[type]:
    """The record and all records below it, each once, in the order they are met."""
    found = [record]
    for entry in keys_of(record).values():
        found += [reached for reached in entry.kind.records() if reached not in found]
    return list(dict.fromkeys(found))


def kept(work: Callable[[Spec], Known]) -> Callable[[Spec], Known]:
    """Work on a spec that is done once: what it gives is kept with the spec, which can't change.

    Args:
        work: what is done; it must look at nothing but the spec.
    """
    name = f"_{work.__name__}_kept"

    @wraps(work)
    def ask(spec: Spec) -> Known:
        values = vars(spec)
        if name not in values:
            values[name] = work(spec)
        return values[name]  # type: ignore[no-any-return]

    return ask


def typed_form(value: Any) -> Any:
    """What was typed, for the revision: it changes with a value, not with a comment, a place, a price or how a size is spelt.

    Numbers are rounded to nine digits and written out, so that every machine and every Python says the same.

    Args:
        value: a record, or anything that stands in one.
    Returns: plain mappings, lists and words.
    """
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Size):
        return " ".join([_rounded(value.value), *filter(None, (value.stage, value.of))])
    fields = _typed_fields(type(value))  # type: ignore[arg-type]
    if fields is not None:
        shown = {}
        for name in fields:
            given = getattr(value, name)
            if given is None:
                continue
            inner = typed_form(given)
            if inner is not None and inner != {} and inner != []:
                shown[name] = inner
        return shown
    if isinstance(value, Mapping):
        return {str(name): typed_form(inner) for name, inner in value.items()}
    if isinstance(value, (tuple, list)):
        return [typed_form(inner) for inner in value]
    if isinstance(value, float):
        return _rounded(value)
    return value if isinstance(value, int) else str(value)


# Fields of records and phrases that say where something stands, not what it is.
_NOT_TYPED = frozenset({"at", "slug", "unread", "factor"})


@cache
def _typed_fields(record: type) -> tuple[str, ...] | None:
    """The fields of a record, or of a phrase, that say what is made; None for what is neither."""
    if not dataclasses.is_dataclass(record):
        return None
    return tuple(
        known.name for known in dataclasses.fields(record) if known.name not in _NOT_TYPED and _makes_ware(known)
    )


def _makes_ware(field: dataclasses.Field[Any]) -> bool:
    """True unless only selling or planning needs a key."""
    key = field.metadata.get("key")
    return key is None or not (key.trade or key.plan)


def _rounded(value: float) -> str:
    return f"{value + 0.0:.9g}"
