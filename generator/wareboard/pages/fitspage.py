"""What fits what: every opening of the studio and everything that is made to go into one, across forms, with shares."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import isfinite

from wareboard.figures.clays import film_mm
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of
from wareboard.pot.fits import Fit, fit_figures
from wareboard.pot.frozen import frozen
from wareboard.text import quantities
from wareboard.text.languages import _
from wareboard.text.phrases import PartSize
from wareboard.text.projects import Project
from wareboard.text.specs import Fit as FitSpec
from wareboard.words.pagetext import PageText
from wareboard.words.templating import capital, render

PATH = "what-fits-what.html"
# Beyond this many openings the table would be wider than a screen; then pairs are listed.
WIDEST = 10
# A pair is told where at least this share of them goes together.
TOLD_SHARE = 0.05


# A form, a part of it and one of its caliper sizes.
Named = tuple[str, str, str]


@frozen
class Half:
    """One side of a fit: whose it is, a fit that it belongs to, the glaze on its face, and what it was made for."""

    sheet: Sheet
    size: PartSize
    fit: Fit
    film_mm: float
    side: str
    made_for: Named

    @property
    def named(self) -> Named:
        """Form, part and size, which tell it from every other."""
        return self.sheet.slug, self.size.part, self.size.caliper

    @property
    def fired_mm(self) -> float:
        """Its diameter fired."""
        return getattr(self.fit, self.side).diameter_mm("fired")


@frozen
class Pair:
    """What goes into an opening: fired clearance, and which share of pairs goes together; `own` where they were made for one another."""

    goes_in: Half
    opening: Half
    clearance_mm: float
    good_share: float
    binds_share: float
    loose_share: float
    own: bool


def halves_of(sheets: Mapping[str, Sheet]) -> tuple[list[Half], list[Half]]:
    """What goes into something, one for each fit, and openings, each once; smallest first."""
    going: list[Half] = []
    openings: dict[Named, Half] = {}
    for sheet in sheets.values():
        # As the pot is made to its settings; a sheet kept in brief has its fits so.
        made = as_set(sheet) if isinstance(sheet, Sheet) and sheet.fits else sheet
        for name, fit in made.fits.items():
            spec = sheet.form.fits[name]
            sides = {side: _half(sheets, sheet, spec, fit, side) for side in ("outside", "inside")}
            if half := sides["outside"]:
                going.append(half)
            if half := sides["inside"]:
                openings.setdefault(half.named, half)
    return sorted(going, key=lambda half: half.fired_mm), sorted(openings.values(), key=lambda half: half.fired_mm)


def _half(sheets: Mapping[str, Sheet], here: Sheet, spec: FitSpec, fit: Fit, side: str) -> Half | None:
    """One side of a fit, perhaps of another form; None where that form could not be worked out."""
    size, other = (spec.inside, spec.outside) if side == "inside" else (spec.outside, spec.inside)
    owner = sheets.get(size.form or here.slug)
    if owner is None:
        return None
    film = film_mm(owner.glaze) if str(spec.glazed or "none") in (side, "both") else 0.0
    return Half(owner, size, fit, film, side, (other.form or here.slug, str(other.part), str(other.caliper)))


def pair_of(goes_in: Half, opening: Half) -> Pair | None:
    """How a thing goes into an opening; None where its own fit has no limits to tell by.

    Two that were not made for one another are judged as any is to go on any: by what was wanted of the thing's own fit.
    """
    own = goes_in.made_for == opening.named
    fit = goes_in.fit
    if not own:
        films = tuple(film for film in (opening.film_mm, goes_in.film_mm) if film)
        fit = replace(fit, inside=opening.fit.inside, films_mm=films, pairing="any")
    found = fit_figures(fit)
    if not (isfinite(found.least_mm) or isfinite(found.most_mm)):
        return None
    good = max(0.0, 1.0 - found.binds_share - found.loose_share)
    return Pair(goes_in, opening, found.clearance_mm[-1], good, found.binds_share, found.loose_share, own)


def pairs_of(going: list[Half], openings: list[Half]) -> Iterator[Pair]:
    """Every pair that goes together often enough to be told."""
    return _told(_near(going, openings))


def _told(pairs: Iterable[tuple[Half, Half]]) -> Iterator[Pair]:
    for half, opening in pairs:
        pair = pair_of(half, opening)
        if pair and (pair.own or pair.good_share >= TOLD_SHARE):
            yield pair


def _near(going: Iterable[Half], openings: Sequence[Half]) -> Iterator[tuple[Half, Half]]:
    """Pairs to be looked at: no opening that is smaller than the thing or far larger. Both come smallest first."""
    sizes = [opening.fired_mm for opening in openings]
    for half in going:
        farthest = (
            half.fired_mm + 4.0 * max(half.fit.most_mm if isfinite(half.fit.most_mm) else half.fit.aim_mm, 1.0) + 5.0
        )
        for opening in openings[bisect_left(sizes, half.fired_mm) :]:
            if opening.fired_mm > farthest:
                break
            yield half, opening


# A pair, and all the things and openings of which it tells.
Alike = tuple[Pair, tuple[Half, ...], tuple[Half, ...]]


def pairs_alike(going: Iterable[Half], openings: Iterable[Half]) -> Iterator[Alike]:
    """As `pairs_of`, those of the same numbers told at once: where a lid is thrown for many forms, each goes on all of them."""
    things = _alike(going, lambda half: (half.fit, half.film_mm))
    mouths = _alike(openings, lambda half: (half.fit.inside, half.film_mm))
    of_thing, of_mouth = ({id(alike[0]): alike for alike in every} for every in (things, mouths))
    for thing, mouth in _near([alike[0] for alike in things], [alike[0] for alike in mouths]):
        these, those = of_thing[id(thing)], of_mouth[id(mouth)]
        named = {opening.named: opening for opening in those}
        own = [(half, named[half.made_for]) for half in these if half.made_for in named]
        # What was made for one of several openings is strange to the others; where there is one, to none.
        strange = [half for half in these if len(those) > 1 or half.made_for not in named]
        met = [one for one in those if any(half.made_for != one.named for half in strange)]
        for pair in _told(own[:1]):
            yield pair, tuple(half for half, _own in own), tuple(opening for _half, opening in own)
        for pair in _told((strange[0], one) for one in met if strange[0].made_for != one.named):
            yield pair, tuple(strange), tuple(met)
            break


def _alike(halves: Iterable[Half], numbers: Callable[[Half], tuple[object, ...]]) -> list[list[Half]]:
    """Halves that are called alike and made to the same numbers, together."""
    found: dict[tuple[object, ...], list[Half]] = {}
    for half in halves:
        found.setdefault((half.size.part, half.size.caliper, *numbers(half)), []).append(half)
    return list(found.values())


@frozen
class Cell:
    """A pair as it is shown: the share that goes together, the clearance, what goes wrong with the others."""

    share: str
    clearance: str
    wrong: str
    own: bool


def render_fits(project: Project, sheets: Mapping[str, Sheet]) -> tuple[PageText, ...]:
    """The page of what fits what; none where no form has a fit."""
    going, openings = halves_of(sheets)
    if not going or not openings:
        return ()
    reader = reader_of(project.studio)
    rows, listed = list[tuple[Half, list[Cell | None]]](), list[Alike]()
    if as_table := len(openings) <= WIDEST:
        pairs = list(pairs_of(going, openings))
        cells = {(id(pair.goes_in), id(pair.opening)): _cell(pair, reader) for pair in pairs}
        rows += ((half, [cells.get((id(half), id(opening))) for opening in openings]) for half in going)
    else:
        listed += pairs_alike(going, openings)
        pairs = [pair for pair, _things, _openings in listed]
    body = render(
        "pages/fits.html", openings=openings, rows=rows, listed=listed, as_table=as_table, cell=lambda pair: _cell(pair, reader), pages=_pages,
        named=_named, size=lambda half: reader.small_text(half.fired_mm), unit=reader.amounts(1.0, "mm")[0].unit, others=sum(not pair.own for pair in pairs),
    )  # fmt: skip
    search = " ".join(f"{_named(half)} {half.sheet.form.title}" for half in (*going, *openings))
    return (PageText(PATH, _("What fits what"), body, _("Lids and mouths across forms."), search),)


def _pages(halves: Iterable[Half]) -> list[tuple[str, str]]:
    """The forms' pages, with what they are called."""
    return [(f"forms/{half.sheet.slug}.html", str(half.sheet.form.title)) for half in halves]


def _named(half: Half) -> str:
    """What a side is called: the part and its size, as `Lid, flange`."""
    return f"{capital(half.size.part)}, {half.size.caliper}"


def _cell(pair: Pair, reader: Reader) -> Cell:
    wrong = "binds" if pair.binds_share >= pair.loose_share else _("is loose")
    worse = max(pair.binds_share, pair.loose_share)
    return Cell(
        _share(pair.good_share), reader.small_text(pair.clearance_mm),
        f"{_share(worse)} {wrong}" if worse >= 0.005 else "", pair.own,
    )  # fmt: skip


def _share(share: float) -> str:
    return " ".join(quantities.format_share(share))
