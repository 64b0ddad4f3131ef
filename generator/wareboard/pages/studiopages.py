"""The studio's pages of what it works with: clays, glazes, kilns."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from markupsafe import Markup

from wareboard.cards.revisions import OldCard, Revised, revised_clay
from wareboard.drawing import charts
from wareboard.figures import checks
from wareboard.figures.clays import clay_figures, doubt_words, film_mm, glaze_loss_share, make_body
from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, Row, reader_of, rows_of
from wareboard.pages.familypages import settings_in_clays
from wareboard.pot import clay
from wareboard.pot.frozen import frozen
from wareboard.pot.stages import LATER_STAGES, STAGES
from wareboard.text.formulas import number
from wareboard.text.kinds import Size
from wareboard.text.languages import _, lowered, pointed, written_day
from wareboard.text.problems import Impossible, capital
from wareboard.text.projects import Project, revision
from wareboard.text.quantities import format_share
from wareboard.text.studio_specs import Clay, Glaze, Kiln
from wareboard.words.glossary import caution_lines
from wareboard.words.pagetext import KeptNumbers, PageText, unkept
from wareboard.words.templating import plain, render

SLIP_SIZES_MM = (20.0, 50.0, 80.0, 120.0, 200.0)


@frozen
class Entry:
    """One line of a page that lists others."""

    title: str
    path: str
    words: str


# ---- clays ----


OldCardsOf = Callable[[Revised, Reader], Sequence[OldCard]]


def no_old_cards(now: Revised, reader: Reader) -> tuple[OldCard, ...]:
    """For a site whose cards nobody remembers."""
    return ()


def render_clays(
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    with_cards: bool = True,
    old_cards: OldCardsOf = no_old_cards,
    kept: KeptNumbers = unkept,
) -> Iterator[PageText]:
    """The page of all clays, and one for each.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link each clay's shrink rule.
        old_cards: what a clay's page tells whoever comes from an older rule.
        kept: gives what a form is set to in a clay, given what works it out.
    """
    shown = []
    for spec in project.clays.values():
        shares = [_share(_clay_figures(spec), "clay.shrinkage", stage) for stage in LATER_STAGES]
        shown.append(
            {
                "slug": spec.slug,
                "title": spec.title,
                "cone": spec.cone or "",
                "water": _percent(spec.water),
                "shrinkage": shares,
                "bars": len(spec.bars) or "none",
            }
        )
    body = render("pages/clays.html", clays=shown, stages=LATER_STAGES)
    yield PageText(
        "clays.html",
        _("Clays"),
        body,
        _("The studio's clays and what they shrink."),
        " ".join(str(spec.title) for spec in project.clays.values()),
        True,
    )
    for spec in project.clays.values():
        told = old_cards(revised_clay(spec, project.studio), reader_of(project.studio))
        yield _render_clay(spec, project, sheets, with_cards, told, kept)


@frozen
class ClayFigures:
    """A clay's figures, whether or not a form uses it; none where they cannot be worked out."""

    figures: Mapping[tuple[str, str | None], Figure]

    def find(self, key: str, stage: str | None = None) -> Figure | None:
        """A figure, or None."""
        return self.figures.get((key, stage))


def _clay_figures(spec: Clay) -> ClayFigures:
    try:
        return ClayFigures(clay_figures(spec))
    except Impossible:  # `check` has told it
        return ClayFigures({})


def _render_clay(
    spec: Clay,
    project: Project,
    sheets: Mapping[str, Sheet],
    with_cards: bool,
    old_cards: Sequence[OldCard],
    kept: KeptNumbers,
) -> PageText:
    found, reader = _clay_figures(spec), reader_of(project.studio)
    others, in_clays = settings_in_clays(spec.slug, project, sheets, kept)
    fired = found.find("clay.shrinkage", "fired")
    body = render(
        "pages/clay.html",
        clay=spec, revision=revision(spec), with_cards=with_cards, old_cards=old_cards, uses=_uses(project, sheets, "clay", spec.slug), stages=LATER_STAGES, problems=checks.check_clay(spec), cautions=caution_lines,
        water=_percent(spec.water), shrinkage=_shrinkage_rows(found) if fired else (), said=_shrinkage_words(spec, found), bars=list(_bars(spec)), lots=list(_lots(spec)),
        picture=Markup(charts.draw_shrinkage_bars(spec)) if spec.bars else "",
        fired_share=f"{number(fired.value)} %" if fired else "", left=number(1.0 - fired.value / 100.0) if fired else "",
        slips=list(_slips(fired.value / 100.0, reader)) if fired else (),
        densities=_densities(spec, found, reader), others=others, in_clays=in_clays,
    )  # fmt: skip
    search = f"{spec.title} clay cone {spec.cone or ''} {spec.notes or ''}"
    return PageText(
        f"clays/{spec.slug}.html",
        str(spec.title),
        body,
        _("{title}: shrinkage, density and water.").format(title=spec.title),
        plain(search),
    )


def _uses(project: Project, sheets: Mapping[str, Sheet], kind: str, slug: str) -> list[tuple[str, str]]:
    return [
        (str(form.title), f"../forms/{form.slug}.html")
        for form in project.forms.values()
        if form.slug in sheets and getattr(form, kind) == slug
    ]


def _share(found: ClayFigures, key: str, stage: str) -> str:
    figure = found.find(key, stage)
    return pointed(f"{figure.value:.2f}") if figure else ""


def _shrinkage_rows(clay: ClayFigures) -> list[tuple[str, list[str]]]:
    across = [_share(clay, "clay.shrinkage", stage) for stage in LATER_STAGES]
    up = [_share(clay, "clay.shrinkage.height", stage) for stage in LATER_STAGES]
    found = [clay.find("clay.shrinkage", stage) for stage in LATER_STAGES]
    next_pieces = [pointed(f"{figure.interval[0]:.1f}–{figure.interval[1]:.1f}") if figure and figure.interval else "" for figure in found]  # fmt: skip
    doubt = [pointed(f"± {figure.plus_minus:.2f}") if figure and figure.plus_minus else "" for figure in found]
    return [
        (_("across"), across),
        *([(_("± piece to piece"), doubt)] if any(doubt) else []),
        *([(_("95 % of next pieces"), next_pieces)] if any(next_pieces) else []),
        *([(_("up"), up)] if up != across else []),
    ]


def _shrinkage_words(spec: Clay, clay: ClayFigures) -> list[str]:
    """Where each stage's shrinkage comes from, and what its doubt is worth."""
    found = ((stage, clay.find("clay.shrinkage", stage)) for stage in LATER_STAGES)
    said = [f"{capital(stage)}: {figure.how}." for stage, figure in found if figure]
    return [*said, doubt_words(str(spec.title), make_body(spec))] if said else []


@frozen
class BarRow:
    """A test bar as measured, what it shrank, and what else was noted of it."""

    lot: str
    lengths: tuple[str, ...]
    share: str
    noted: str


def _bars(spec: Clay) -> Iterator[BarRow]:
    for bar in spec.bars:
        lengths = tuple(
            pointed(size.typed) if size else "" for size in (getattr(bar, stage.replace("-", "_")) for stage in STAGES)
        )
        share = pointed(f"{(1.0 - bar.fired.value / bar.wet.value) * 100.0:.1f}") if bar.fired else ""
        water = _("clay at {share} water").format(share=_percent(bar.clay_water)) if bar.clay_water else None
        noted = ", ".join(str(words) for words in (bar.kiln, bar.place, water) if words)
        yield BarRow(str(bar.lot or ""), lengths, share, noted)


def _lots(spec: Clay) -> Iterator[tuple[str, str, int]]:
    """The clay's lots: each with the day from which it was thrown, and how many bars were made of it."""
    for lot in spec.lots:
        bars = sum(str(bar.lot or "") == str(lot.lot) for bar in spec.bars)
        yield str(lot.lot), written_day(lot.since) if lot.since else "", bars


def _percent(size: Size) -> str:
    """A share that was typed, in words."""
    return " ".join(format_share(size.value))


def _slips(share: float, reader: Reader) -> Iterator[tuple[str, ...]]:
    """Round sizes with the wet size that is right, the one that is wrong, and what that is short by."""
    for fired_mm in SLIP_SIZES_MM:
        right, wrong = clay.wet_size_mm(fired_mm, share), clay.wrong_basis_size_mm(fired_mm, share)
        yield str(reader.amounts(fired_mm, "mm", exact=True)[0]), *reader.between(right, wrong)


def _densities(spec: Clay, found: ClayFigures, reader: Reader) -> tuple[Row, ...]:
    rows = rows_of(
        found, reader,
        (_("Density"), _("wet"), "clay.density", "wet"), (_("Density"), _("bone dry"), "clay.density", "dry"), (_("Density"), _("fired"), "clay.density", "fired"),
        (_("Critical water"), _("of the weight then"), "clay.water.critical", None),
    )  # fmt: skip
    typed = _typed_rows(
        reader,
        (_("Water"), _("as thrown, of the wet weight"), spec.water, "%"),
        (_("Loss on ignition"), _("of the dry weight"), spec.loss_on_ignition, "%"),
        (_("Absorption"), _("fired, of the dry weight"), spec.absorption, "%"),
    )
    if spec.loss_on_ignition is None:
        usual = reader.amounts(clay.USUAL_LOSS_SHARE * 100.0, "%")
        typed = (*typed, Row(_("Loss on ignition"), _("not given; assumed, common practice"), usual))
    return (*rows, *typed)


def _typed_rows(reader: Reader, *wanted: tuple[str, str, Size | None, str]) -> tuple[Row, ...]:
    """Rows of what a maker typed; what was not typed is left out."""
    scale = {"%": 100.0}
    return tuple(
        Row(label, of, reader.amounts(size.value * scale.get(unit, 1.0), unit))
        for label, of, size, unit in wanted
        if size
    )


# ---- glazes and kilns ----


def render_glazes(project: Project, sheets: Mapping[str, Sheet]) -> Iterator[PageText]:
    """The page of all glazes, and one for each."""
    entries = [
        Entry(
            str(glaze.title),
            f"glazes/{glaze.slug}.html",
            (_("cone {cone}").format(cone=glaze.cone) + ", " if glaze.cone else "")
            + _("food contact: {test}").format(test=lowered(food_contact_words(glaze)[0])),
        )
        for glaze in project.glazes.values()
    ]
    yield _listing("glazes.html", _("Glazes"), entries, _("The studio's glazes."), _("There are no glazes yet."))
    reader = reader_of(project.studio)
    for glaze in project.glazes.values():
        rows = _typed_rows(
            reader, (_("Slop at the bucket"), _("density"), glaze.pint_weight, "g/cm3"), (_("Grain density"), _("dry"), glaze.grain_density, "g/cm3"),
            (_("Coat"), _("dry, on the ware"), glaze.coat, "kg/m2"),
        )  # fmt: skip
        assumed = _("not given; assumed, common practice")
        film = (
            Row(
                _("Film"),
                _("fired") if glaze.film else _("fired") + f", {assumed}",
                reader.amounts(film_mm(glaze), "mm", exact=True),
            ),
            Row(
                _("Loss on ignition"),
                _("of the dry coat") if glaze.loss_on_ignition else _("of the dry coat") + f", {assumed}",
                reader.amounts(glaze_loss_share(glaze) * 100.0, "%"),
            ),
        )
        tested, words = food_contact_words(glaze)
        body = render(
            "pages/glaze.html",
            glaze=glaze,
            uses=_uses(project, sheets, "glaze", glaze.slug),
            rows=(*rows, *film),
            tested=tested,
            tested_words=words,
            cautions=caution_lines,
        )
        yield PageText(
            f"glazes/{glaze.slug}.html",
            str(glaze.title),
            body,
            _("{title}: slop, coat and what was tested.").format(title=glaze.title),
            plain(f"{glaze.title} glaze {glaze.notes or ''}"),
        )


def food_contact_words(glaze: Glaze) -> tuple[str, str]:
    """What the studio typed about a laboratory's test: in a word, and in full. Never a verdict of ours."""
    contact = glaze.food_contact
    if contact is None or isinstance(contact, str):
        return _("Untested"), _("No laboratory's test is on record. Treat the ware as not fit for food until one is.")
    said = [
        _("tested {day}").format(day=written_day(contact.tested))
        if contact.tested
        else _("tested, with no date on record"),
        _("method: {method}").format(method=contact.method) if contact.method else _("no method on record"),
        _("result as the studio typed it: {result}").format(result=contact.result)
        if contact.result
        else _("no result on record"),
    ]
    return (
        _("A test is on record") if contact.tested and contact.result else _("A test is on record, but not all of it"),
        f"{capital('; '.join(said))}.",
    )


def render_kilns(project: Project) -> Iterator[PageText]:
    """The page of all kilns, and one for each."""
    reader = reader_of(project.studio)
    entries = [
        Entry(
            str(kiln.title),
            f"kilns/{kiln.slug}.html",
            _("{count} tiers").format(count=kiln.shelves.tiers) if kiln.shelves and kiln.shelves.tiers else "",
        )
        for kiln in project.kilns.values()
    ]
    yield _listing("kilns.html", _("Kilns"), entries, _("The studio's kilns."), _("There are no kilns yet."))
    for kiln in project.kilns.values():
        body = render("pages/kiln.html", kiln=kiln, rows=_kiln_rows(kiln, reader), cautions=caution_lines)
        yield PageText(
            f"kilns/{kiln.slug}.html",
            str(kiln.title),
            body,
            _("{title}: shelves and heights.").format(title=kiln.title),
            plain(f"{kiln.title} kiln {kiln.notes or ''}"),
        )


def _kiln_rows(kiln: Kiln, reader: Reader) -> tuple[Row, ...]:
    shelves = kiln.shelves
    typed = _typed_rows(
        reader,
        (_("Shelf"), _("width"), shelves.width if shelves else None, "mm"), (_("Shelf"), _("depth"), shelves.depth if shelves else None, "mm"),
        (_("Shelf"), _("thickness"), kiln.shelf_thickness, "mm"), (_("Inside"), _("height"), kiln.inside_height, "mm"),
        (_("Gap"), _("between pots"), kiln.gap, "mm"), (_("Headroom"), _("above the tallest pot"), kiln.headroom, "mm"),
    )  # fmt: skip
    tiers = (
        (Row(_("Tiers"), _("one above another"), reader.amounts(float(shelves.tiers), _("tiers"))),)
        if shelves and shelves.tiers
        else ()
    )
    props = (
        Row(_("Props"), _shelves_words(prop.shelves), reader.amounts(prop.height.value, "mm")) for prop in kiln.props
    )
    return (*typed, *tiers, *props)


def _shelves_words(shelves: int | None) -> str:
    """How many shelves can stand on some props, in words."""
    return (
        _("as many shelves as there are")
        if shelves is None
        else _("for {count} shelf").format(count=shelves)
        if shelves == 1
        else _("for {count} shelves").format(count=shelves)
    )


def _listing(path: str, title: str, entries: Iterable[Entry], said: str, none: str) -> PageText:
    listed = list(entries)
    body = render("pages/listed.html", title=title, entries=listed, none=none)
    return PageText(path, title, body, said, plain(" ".join(entry.title for entry in listed)), True)
