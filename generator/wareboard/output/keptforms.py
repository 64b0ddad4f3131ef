"""Forms and sheets that stand for what was not read and not worked out again: they say what is kept of them, and fetch all else.

Whoever is handed one need not know: what is not kept is read, or worked out, when it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from wareboard.figures.sheet import Sheet
from wareboard.pages import firstweek
from wareboard.pages.firstweek import Teaches
from wareboard.pot.fits import Fit
from wareboard.text import schema
from wareboard.text.kinds import Word
from wareboard.text.phrases import PartSize
from wareboard.text.problems import Position
from wareboard.text.specs import Form
from wareboard.text.studio_specs import Studio

# What lists and other pages show of a form, or find it by.
_WORDS = ("title", "code", "family", "clay", "glaze", "like")
_SIDES = ("inside", "outside")


def _of_side(side: PartSize) -> list[Any]:
    return [side.form, str(side.part), str(side.caliper), list(side.at)]


def told_of(sheet: Sheet) -> dict[str, Any]:
    """What is kept of a form, as JSON has it."""
    form = sheet.form
    said: dict[str, Any] = {name: _as_said(getattr(form, name)) for name in _WORDS}
    said["parts"] = [_as_said(one) for one in form.parts]
    said["fits"] = [
        [_as_said(name), {"glazed": _as_said(fit.glazed), **{side: _of_side(getattr(fit, side)) for side in _SIDES}}]
        for name, fit in form.fits.items()
    ]
    return {
        **said,
        "at": list(form.at),
        "stockist": form.stockist is not None,
        "sku": _sku(form),
        "teaches": list(firstweek.teaches(sheet)),
        "names": schema.names_in(form).as_json(),
    }


def _as_said(word: str | None) -> list[Any] | None:
    return [str(word), list(word.at)] if isinstance(word, Word) else None if word is None else [str(word), None]


def _word(said: Any) -> str | None:
    if said is None:
        return None
    text, at = said
    return str(text) if at is None else Word(text, Position(*at))


def names_in(form: Form) -> schema.NamesIn:
    """The names that a form declares, kept or read."""
    known: schema.NamesIn | None = getattr(form, "kept_names", None)
    return known or schema.names_in(form)


def share_names(forms: Iterable[Form]) -> bool:
    """True where two forms have one code, or one number for the shop."""
    forms = list(forms)
    for name_of in (lambda form: form.code, _sku):
        names = [str(name).casefold() for form in forms if (name := name_of(form))]
        if len(set(names)) < len(names):
            return True
    return False


def _sku(form: Form) -> str:
    if type(form) is KeptForm:
        return form.kept_sku
    return str(form.stockist.sku or "") if form.stockist else ""


def teaches(sheet: Sheet) -> Teaches:
    """Whether a form is one to learn by, kept or looked at."""
    known: Teaches | None = getattr(sheet.form, "teaches", None)
    return known or firstweek.teaches(sheet)


class Unread:
    """Something that is there and that nobody has looked at."""

    def __init__(self, fetch: Callable[[], Any]) -> None:
        """What `fetch` gives."""
        self._fetch = fetch

    def __getattr__(self, name: str) -> Any:
        """Whatever it has."""
        return getattr(self._fetch(), name)


class KeptFit:
    """Stands for a fit of which its two sides are known."""

    def __init__(self, told: Mapping[str, Any], fetch: Callable[[], Any]) -> None:
        """As it was told."""
        self._fetch = fetch
        self.glazed = _word(told["glazed"])
        self.inside, self.outside = (_side(told[name]) for name in _SIDES)

    def __getattr__(self, name: str) -> Any:
        """Whatever else is said of it."""
        return getattr(self._fetch(), name)


def _side(said: list[Any]) -> PartSize:
    form, part, caliper, at = said
    return PartSize(form, part, caliper, Position(*at))


class Named(Mapping[str, Any]):
    """Things of a form by name: the names are known, the things are fetched."""

    def __init__(self, names: tuple[str, ...], fetch: Callable[[], Mapping[str, Any]]) -> None:
        """Of one form."""
        self._names, self._fetch = names, fetch

    def __getitem__(self, name: str) -> Any:
        """See Mapping."""
        if name not in self._names:
            raise KeyError(name)
        return self._fetch()[name]

    def __iter__(self) -> Iterator[str]:
        """See Mapping."""
        return iter(self._names)

    def __len__(self) -> int:
        """See Mapping."""
        return len(self._names)

    def __contains__(self, name: object) -> bool:
        """See Mapping."""
        return name in self._names


class KeptForm:
    """Stands for a form whose file was not read; a copy of it with something else in it is a form like any other."""

    __dataclass_fields__ = Form.__dataclass_fields__  # type: ignore[attr-defined]
    __class__ = Form  # type: ignore[assignment]

    def __init__(self, slug: str, tell: Callable[[], Mapping[str, Any]], fetch: Callable[[], Form]) -> None:
        """The form of a leaf; `tell` tells what is kept of it, `fetch` reads it."""
        told = tell()
        self.slug, self.at, self._fetch, self._tell = slug, Position(*told["at"]), fetch, tell
        for name in _WORDS:
            setattr(self, name, _word(told[name]))
        self.parts = Named(
            tuple(str(_word(one)) if one[1] is None else _word(one) for one in told["parts"]), lambda: fetch().parts
        )  # type: ignore[misc]
        self.fits = {
            _word(name): KeptFit(fit, lambda name=name: fetch().fits[_word(name)]) for name, fit in told["fits"]
        }  # type: ignore[misc, index]
        self.teaches = Teaches(*told["teaches"])
        self.kept_sku = str(told["sku"])
        self.stockist = Unread(lambda: fetch().stockist) if told["stockist"] else None

    @property
    def kept_names(self) -> schema.NamesIn:
        """The names that it declares, which hardly anybody asks for."""
        stations, calipers = self._tell()["names"]
        return schema.NamesIn(tuple(stations), tuple(calipers))

    def __getattr__(self, name: str) -> Any:
        """Whatever else the form says."""
        return getattr(self._fetch(), name)


class KeptSheet:
    """Stands for the sheet of a form that was worked out before: says what its leaf knows, and is worked out for all else."""

    is_worked_out = True

    def __init__(self, leaf: Any, form: Form, studio: Studio, clay: Any, glaze: Any, work: Callable[[], Sheet]) -> None:
        """The sheet of a leaf."""
        self.leaf, self.form, self.studio, self._work = leaf, form, studio, work
        self.clay, self.glaze = clay, glaze
        self.slug, self.revision, self.problems, self.ball_g = leaf.slug, leaf.revision, leaf.problems, leaf.ball_g

    @property
    def fits(self) -> Mapping[str, Fit]:
        """See Sheet."""
        fits: Mapping[str, Fit] = self.leaf.fits
        return fits

    def __getattr__(self, name: str) -> Any:
        """Whatever the leaf does not know."""
        return getattr(self._work(), name)
