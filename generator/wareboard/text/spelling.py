"""Names as they were declared: where a maker names a station, a caliper size or a part with another case or other spaces, it is meant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import is_dataclass, replace
from typing import Any, TypeVar

from wareboard.text.kinds import Choice, Word
from wareboard.text.phrases import Bare, Caliper, PartSize
from wareboard.text.plain import folded_name
from wareboard.text.records import known_keys
from wareboard.text.specs import Form, Part, Run

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
    declared = ("outside", "inside", "underside", "calipers", "extras")
    changes = {name: _same_if_equal(values, {key: _respelled(value, names) for key, value in values.items()})
               for name in declared if (values := getattr(part, name))}  # fmt: skip
    respelled: Part = _respelled(_changed(part, changes), names, skip=declared)
    return respelled


def _respelled(value: Any, names: Declared, skip: tuple[str, ...] = ()) -> Any:
    """A value in which every word that is a name is spelt as declared; words that are chosen from a few stay."""
    if isinstance(value, Word):
        spelt = names.spelling(value)
        return value if spelt == value else Word(spelt, value.at)
    if isinstance(value, dict):
        return _same_if_equal(value, {_respelled(key, names): _respelled(inner, names) for key, inner in value.items()})
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        made = tuple(_respelled(inner, names) for inner in value)
        return value if all(new is old for new, old in zip(made, value, strict=True)) else made
    if isinstance(value, Bare):
        return _changed(value, {"start": names.spelling(value.start), "end": names.spelling(value.end)})
    if isinstance(value, Caliper):
        return _changed(value, {"level": _respelled(value.level, names)})
    keys = known_keys(type(value)) if is_dataclass(value) else {}  # type: ignore[arg-type]
    fields = (entry.field for entry in keys.values() if not isinstance(entry.kind, Choice) and entry.field not in skip)
    return _changed(value, {name: _respelled(getattr(value, name), names) for name in fields})


def _same_if_equal(before: Mapping[Word, Any], after: dict[Word, Any]) -> Mapping[Word, Any]:
    same = all(new is old for new, old in zip(after.values(), before.values(), strict=False))
    return before if same and list(after) == list(before) else after


def _changed(record: Record, changes: dict[str, Any]) -> Record:
    real = {
        name: value
        for name, value in changes.items()
        if value is not getattr(record, name) and value != getattr(record, name)
    }
    return replace(record, **real) if real else record  # type: ignore[type-var]
