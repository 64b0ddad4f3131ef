"""Names as they were declared: where a maker names a station, a caliper size or a part with another case or other spaces, it is meant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import is_dataclass, replace
from functools import cache
from operator import is_
from typing import Any, TypeVar

from wareboard.text.kinds import Choice, Size, Word
from wareboard.text.part_specs import Part
from wareboard.text.phrases import Bare, Caliper, PartSize
from wareboard.text.plain import folded_name
from wareboard.text.records import keys_of
from wareboard.text.specs import Form, Run

Record = TypeVar("Record")


class Declared:
    """The names of one place, and how each is spelt there."""

    def __init__(self, names: Iterable[str]) -> None:
        self._exact = {str(name) for name in names}
        self._spelt = {folded_name(name): name for name in sorted(self._exact, reverse=True)}

    def spelling(self, word: str) -> str:
        """A word as it is declared, or as it is where nothing of that name is.

        >>> Declared(["rim", "Inner rim"]).spelling("inner  RIM")
        'Inner rim'
        """
        return word if word in self._exact else self._spelt.get(folded_name(word), word)


def respelled_form(form: Form) -> Form:
    """A form in which every name of its own is spelt as it is declared; the very same where all are."""
    parts = {name: _respelled_part(part) for name, part in form.parts.items()}
    fits = {
        name: _changed(
            fit,
            {
                side: _part_size(size, {form.slug: form}, form.slug)
                for side in ("inside", "outside")
                if (size := getattr(fit, side))
            },
        )
        for name, fit in form.fits.items()
    }
    return _changed(form, {"parts": _same_if_equal(form.parts, parts), "fits": _same_if_equal(form.fits, fits)})


def respelled_between(form: Form, forms: Mapping[str, Form]) -> Form:
    """A form in which the names of other forms' parts are spelt as those forms declare them."""
    if not any(size.form for fit in form.fits.values() for size in (fit.inside, fit.outside) if size):
        return form
    fits = {
        name: _changed(fit, {side: _part_size(getattr(fit, side), forms, form.slug) for side in ("inside", "outside")})
        for name, fit in form.fits.items()
    }
    return _changed(form, {"fits": _same_if_equal(form.fits, fits)})


def respelled_run(run: Run, forms: Mapping[str, Form]) -> Run:
    """A run whose balls are named as the form's parts are."""
    form = forms.get(str(run.form))
    if form is None:
        return run
    return _changed(run, {"balls": _respelled(run.balls, Declared(form.parts))})


def _part_size(size: PartSize, forms: Mapping[str, Form], own: str) -> PartSize:
    form = forms.get(size.form or own)
    if form is None:
        return size
    part = Declared(form.parts).spelling(size.part)
    found = form.parts.get(part)
    calipers = found.calipers if found else ()
    return _changed(size, {"part": part, "caliper": Declared(calipers).spelling(size.caliper)})


def _respelled_part(part: Part) -> Part:
    names = Declared([*part.outside, *part.inside, *part.underside, *part.calipers])
    respelled: Part = _respelled(part, names, declaring=True)
    return respelled


# What a part declares its names in: their keys stay as they are.
_DECLARED = frozenset({"outside", "inside", "underside", "calipers", "extras"})
_NAMELESS = frozenset({Size, type(None), bool, int, float, str})


def _respelled(value: Any, names: Declared, declaring: bool = False) -> Any:
    """A value in which every word that is a name is spelt as declared, the very same where all are; words that are chosen from a few stay."""
    kind = type(value)
    if kind in _NAMELESS:
        return value
    if kind is Word:
        spelt = names.spelling(value)
        return value if spelt == value else Word(spelt, value.at)
    if kind is dict:
        return _same_if_equal(value, {_respelled(key, names): _respelled(inner, names) for key, inner in value.items()})
    if kind is tuple:
        made = tuple([_respelled(inner, names) for inner in value])
        return value if all(map(is_, made, value)) else made
    if kind is Bare:
        return _changed(value, {"start": names.spelling(value.start), "end": names.spelling(value.end)})
    if kind is Caliper:
        return _changed(value, {"level": _respelled(value.level, names)})
    changes = {}
    for name in _named_fields(kind):  # type: ignore[arg-type]
        before = getattr(value, name)
        if type(before) in _NAMELESS:
            continue
        if declaring and name in _DECLARED:
            after = _same_if_equal(before, {key: _respelled(inner, names) for key, inner in before.items()})
        else:
            after = _respelled(before, names)
        if after is not before:
            changes[name] = after
    return _changed(value, changes) if changes else value


@cache
def _named_fields(kind: type) -> tuple[str, ...]:
    """The fields of a record that may hold a name; none of what is no record."""
    keys = keys_of(kind) if is_dataclass(kind) else {}
    return tuple(entry.field for entry in keys.values() if not isinstance(entry.kind, Choice))


def _same_if_equal(before: Mapping[Word, Any], after: dict[Word, Any]) -> Mapping[Word, Any]:
    same = all(map(is_, after.values(), before.values()))
    return before if same and list(after) == list(before) else after


def _changed(record: Record, changes: dict[str, Any]) -> Record:
    real = {
        name: value
        for name, value in changes.items()
        if value is not getattr(record, name) and value != getattr(record, name)
    }
    return replace(record, **real) if real else record  # type: ignore[type-var]
