"""A studio's sheets as the pages of its site: text in, text out; no file is written here.

The front page is here; a form's page is in `formpage`, the others are in the rooms beside this one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain, islice

from markupsafe import Markup, escape

from wareboard.cards.audience import Stock
from wareboard.cards.revisions import revised_form
from wareboard.drawing import formdrawing
from wareboard.drawing.seating import fired_size
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of, set_weight_g
from wareboard.pages import datafiles
from wareboard.pages.answerpage import render_answers
from wareboard.pages.benchpage import render_bench_view
from wareboard.pages.comparepage import render_compare
from wareboard.pages.datafiles import ball_figures
from wareboard.pages.familypages import among_forms, render_families
from wareboard.pages.firstweek import Teaches, render_first_week, teaches
from wareboard.pages.fitspage import render_fits
from wareboard.pages.formpage import render_form
from wareboard.pages.orderpages import render_orders
from wareboard.pages.referencepages import (
    Shows,
    everything,
    render_cautions,
    render_every_figure,
    render_glossary,
    render_reference,
)
from wareboard.pages.stockpages import render_stock_page
from wareboard.pages.studiopages import OldCardsOf, no_old_cards, render_clays, render_glazes, render_kilns
from wareboard.pages.workings import render_workings
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _
from wareboard.text.projects import Project
from wareboard.text.quantities import IMPERIAL
from wareboard.text.units import parse_quantity, unit_factor
from wareboard.words.pagetext import DataText, Kept, KeptNumbers, KeptWords, PageText, unkept
from wareboard.words.templating import render

__all__ = [
    "DataText",
    "PageText",
    "render_answers",
    "render_bench_view",
    "render_drawn",
    "render_form",
    "render_front",
    "render_overviews",
    "render_site",
    "render_workings",
]

# On a screen a millimetre is 3.78 px: the widest plate still fits a phone.
FRONT_SCALE = 0.3
# Beyond that a front page is its table, with drawings that are loaded when they come near: with all drawn on it, it would be heavy.
MOST_ON_SHELF = 300
OTHERS = "other forms"


def render_site(
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    with_cards: bool = True,
    shows: Shows = everything,
    old_cards: OldCardsOf = no_old_cards,
    left_out: Sequence[tuple[str, str]] = (),
) -> tuple[PageText, ...]:
    """Every page of the site, the front page first.

    Args:
        project: the studio.
        sheets: each form's sheet by slug; a form without one is left out.
        with_cards: link the printed cards (`cards/<slug>-wheel.pdf`, `cards/wall.pdf`).
        shows: whether a key of a record belongs into glossary and reference.
        old_cards: what the page of a form or a clay tells whoever comes from an older card.
        left_out: forms that are not on the site, each with the reason.
    """
    reader = reader_of(project.studio)
    told = {slug: old_cards(revised_form(sheet), reader) for slug, sheet in sheets.items()}
    among = among_forms(project, {slug: sheet.ball_g for slug, sheet in sheets.items()})
    return (
        render_front(project, front_entries(project, sheets), with_cards=with_cards, left_out=left_out),
        *(
            render_form(sheet, project, with_cards=with_cards, old_cards=told[slug], among=among)
            for slug, sheet in sheets.items()
        ),
        *(render_bench_view(sheet, old_cards=told[slug]) for slug, sheet in sheets.items()),
        *(render_answers(sheet) for sheet in sheets.values()),
        *(render_workings(sheet) for sheet in sheets.values()),
        *render_overviews(project, sheets, with_cards=with_cards, shows=shows, old_cards=old_cards),
    )


def front_entries(project: Project, sheets: Mapping[str, Sheet]) -> Iterator[FrontEntry]:
    """What the front page shows of every form."""
    reader = reader_of(project.studio)
    return (front_entry(sheet, reader) for sheet in sheets.values())


def render_overviews(
    project: Project,
    sheets: Mapping[str, Sheet],
    *,
    with_cards: bool = True,
    shows: Shows = everything,
    old_cards: OldCardsOf = no_old_cards,
    stock: Stock | None = None,
    kept: Kept = unkept,
    kept_numbers: KeptNumbers = unkept,
    kept_words: KeptWords = unkept,
    told: Callable[[Sheet], Teaches] = teaches,
) -> tuple[PageText, ...]:
    """Every page but the front page and those of single forms; see `render_site`.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link the cards.
        shows: whether a key of a record belongs into glossary and reference.
        old_cards: what the page of a clay tells whoever comes from an older card.
        stock: what shops are told, where it is known already.
        kept: gives a page about several forms, given what makes it.
        kept_numbers: gives numbers of one form in one clay, given what works them out.
        kept_words: gives words about one form, given what makes them.
        told: tells of a form whether it is one to learn by.
    """
    with_fits = [slug for slug, sheet in sheets.items() if sheet.form.fits]
    return (
        *render_clays(project, sheets, with_cards=with_cards, old_cards=old_cards, kept=kept_numbers), *render_glazes(project, sheets), *render_kilns(project),
        *render_stock_page(project, sheets, with_cards=with_cards, stock=stock, kept=kept_words), *render_orders(project, sheets, with_cards=with_cards), *kept("fits", with_fits, lambda: render_fits(project, sheets)), *render_families(project, sheets, kept), *render_compare(project, sheets), *render_first_week(project, sheets, kept, told), *kept("manual", (), lambda: (render_glossary(shows), render_reference(shows), render_every_figure())), *([datafiles.render_data_page(next(iter(sheets)))] if sheets else ()), render_cautions(),
    )  # fmt: skip


@frozen
class FrontEntry:
    """A form on the front page; `row` is its line of the catalogue, `line` that of `forms.csv`."""

    slug: str
    title: str
    code: str
    family: str
    drawn: formdrawing.Small | None
    words: tuple[str, ...]
    row: str
    problem_count: int
    has_fits: bool
    line: str = ""

    def picture(self, tallest_mm: float) -> Markup:
        """The form drawn, as high as the tallest of its family."""
        return Markup(self.drawn.render(tallest_mm)) if self.drawn else Markup("")

    @property
    def drawn_row(self) -> str:
        """Its line of the catalogue with its drawing, which is loaded when it comes near."""
        if not self.drawn:
            return self.row
        width, height = self.drawn.size_px
        link = f'<a href="forms/{escape(self.slug)}.html">'
        drawn = f'<img src="{self.drawn.path}" width="{width}" height="{height}" alt="" loading="lazy">'
        return self.row.replace(link, link + drawn, 1)


def front_entry(sheet: Sheet, reader: Reader) -> FrontEntry:
    """What the front page shows of a form."""
    form = sheet.form
    drawn = formdrawing.draw_small(sheet, scale=FRONT_SCALE) if sheet.shapes else None
    return FrontEntry(
        sheet.slug, str(form.title), str(form.code or ""), str(form.family or OTHERS), drawn, tuple(_key_words(sheet, reader)), _catalogue_row(sheet, reader),
        len(sheet.problems), bool(sheet.fits), datafiles.form_line(sheet),
    )  # fmt: skip


def render_front(
    project: Project,
    entries: Iterable[FrontEntry],
    *,
    with_cards: bool = True,
    left_out: Sequence[tuple[str, str]] = (),
) -> PageText:
    """The front page: every form drawn to one scale, with its key numbers.

    Args:
        project: the studio.
        entries: the forms.
        with_cards: link the cards for the wall.
        left_out: forms that are not on the site, each with the reason.
    """
    shown = sorted(_as_shown(entries), key=lambda entry: (entry.family.casefold(), entry.title.casefold()))
    families: dict[str, list[FrontEntry]] = {}
    for entry in shown:
        families.setdefault(entry.family, []).append(entry)
    tallest = {
        family: max((entry.drawn.tallest_mm for entry in members if entry.drawn), default=0.0)
        for family, members in families.items()
    }
    on_shelf = len(shown) <= MOST_ON_SHELF
    looked_at = [entry for entry in shown if entry.problem_count]
    body = render(
        "pages/front.html",
        studio=project.studio, count=len(shown), families=[(family, tallest[family], members) for family, members in families.items() if on_shelf], with_cards=with_cards, with_fits=any(entry.has_fits for entry in shown),
        catalogue=Markup("".join(entry.row for entry in shown)), left_out=left_out, units=_units(reader_of(project.studio)),
        problem_count=sum(entry.problem_count for entry in looked_at), problem_forms=[(entry.title, f"forms/{entry.slug}.html") for entry in looked_at],
    )  # fmt: skip
    return PageText(
        "index.html", _("Forms"), body, _("The forms of {studio}.").format(studio=project.studio.title), "", True
    )


def _as_shown(entries: Iterable[FrontEntry]) -> Iterator[FrontEntry]:
    """The entries; of more than stand on the shelf only what a line of the table says is held."""
    is_table, entries = _is_table(entries)
    for entry in entries:
        yield replace(entry, drawn=None, words=(), row=entry.drawn_row, line="") if is_table else entry


def _is_table(entries: Iterable[FrontEntry]) -> tuple[bool, Iterator[FrontEntry]]:
    """Whether there are more than stand on the shelf, told by the first of them; and all of them still."""
    entries = iter(entries)
    first = list(islice(entries, MOST_ON_SHELF + 1))
    return len(first) > MOST_ON_SHELF, chain(first, entries)


def render_drawn(entries: Iterable[FrontEntry]) -> Iterator[DataText]:
    """The drawings that the front page of a large studio loads, each a file; none where all are drawn on it."""
    known = set[str]()
    is_table, entries = _is_table(entries)
    for entry in entries if is_table else ():
        if entry.drawn and entry.drawn.path not in known:
            known.add(entry.drawn.path)
            yield DataText(entry.drawn.path, entry.drawn.alone)


def _key_words(sheet: Sheet, reader: Reader) -> Iterator[str]:
    """A form's key numbers, in two short lines: fired size and what it holds; the balls."""
    sheet = as_set(sheet)
    size = fired_size(sheet)
    if size and size.across:
        height, across = reader.overall(size.height_mm), reader.overall(size.across.value)
        yield ", ".join(
            filter(
                None,
                (f"{height.number} × ⌀ {across}", size.words, reader.text(size.holds) if size.holds else ""),
            )
        )
    balls = [sheet.find(f"{part}.ball.set", "wet") for part in sheet.form.parts]
    if all(balls):
        yield _("ball {balls}").format(
            balls=_(" and ").join(str(reader.amounts(ball.value, "g", up=True)[0]) for ball in balls)
        )


def _catalogue_row(sheet: Sheet, reader: Reader) -> str:
    sheet = as_set(sheet)
    form, size = sheet.form, fired_size(sheet)
    high = str(reader.overall(size.height_mm)) if size else ""
    together = f" <small>{escape(size.words)}</small>" if size and size.words else ""
    balls = " + ".join(
        str(reader.amounts(ball.value, "g", up=True)[0])
        for part in form.parts
        if (ball := sheet.find(f"{part}.ball.set", "wet"))
    )
    weighs = set_weight_g(sheet)
    said = [str(reader.overall(size.across.value)) if size.across else ""] if size else []
    said += [reader.text(size.holds) if size.holds else ""] if size else []
    said += [str(reader.amounts(weighs, "g")[0]) if weighs else ""] if size else []
    numbers = "".join(f'<td class="n">{escape(words)}</td>' for words in said) or '<td colspan="3"></td>'
    # What the script narrows and sorts by, in mm, ml and g whatever is shown.
    known = {
        "family": str(form.family or OTHERS), "lid": "yes" if any(part.opens_down for part in form.parts.values()) else "no",
        "balls": " ".join(f"{ball.value:g}" for ball in ball_figures(sheet)), "high": f"{size.height_mm:.4g}" if size else "",
        "across": f"{size.across.value:.4g}" if size and size.across else "", "holds": f"{size.holds.value:.4g}" if size and size.holds else "",
        "weighs": f"{weighs:.4g}" if weighs else "",
    }  # fmt: skip
    data = "".join(f' data-{name}="{escape(value)}"' for name, value in known.items() if value)
    return (
        f'<tr data-form="{escape(form.slug)}"{data}><td>{escape(form.code or "")}</td><th scope="row"><a href="forms/{escape(form.slug)}.html">{escape(form.title)}</a></th>'
        f'<td><a href="clays/{escape(form.clay)}.html">{escape(sheet.clay.title)}</a></td><td class="n">{escape(balls)}</td><td class="n">{escape(high)}{together}</td>{numbers}</tr>\n'
    )


def _units(reader: Reader) -> dict[str, tuple[str, float]]:
    """The units in which it is said what a form should hold and how large its ball may be, each with its ml or g."""
    imperial = reader.systems[0] == IMPERIAL
    ounce = f"fl oz {reader.fluid_ounce}" if reader.fluid_ounce else "fl oz"
    holds = reader.amounts(100.0, "ml")[0].unit
    return {
        "holds": (holds or ounce, parse_quantity(f"1 {holds or ounce}", "volume").value),
        "ball": ("oz", unit_factor("oz")) if imperial else ("g", 1.0),
    }
