"""A studio's sheets as the pages and data of its site: text in, text out; no file is written here.

The front page is here; a form's page is in `formpage`, the others are in `studiopages`.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from wareboard.cards.audience import Stock
from wareboard.cards.revisions import revised_form
from wareboard.drawing import formdrawing
from wareboard.drawing.seating import height_together_mm, set_together
from wareboard.figures.figure import Figure
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Reader, reader_of, set_weight_g
from wareboard.pages.answerpage import render_answers
from wareboard.pages.benchpage import render_bench_view
from wareboard.pages.familypages import among_forms, render_families
from wareboard.pages.figurespage import render_every_figure
from wareboard.pages.firstweek import render_first_week
from wareboard.pages.fitspage import render_fits
from wareboard.pages.formpage import render_form
from wareboard.pages.orderpages import render_orders
from wareboard.pages.stockpages import render_stock_page
from wareboard.pages.studiopages import (
    OldCardsOf,
    Shows,
    everything,
    no_old_cards,
    render_cautions,
    render_clays,
    render_glazes,
    render_glossary,
    render_kilns,
    render_reference,
)
from wareboard.text import schema
from wareboard.text.languages import neutral
from wareboard.text.plain import harmless_cell
from wareboard.text.projects import Project
from wareboard.text.quantities import IMPERIAL
from wareboard.text.units import parse_quantity, unit_factor
from wareboard.words.pagetext import DataText, PageText
from wareboard.words.templating import render

__all__ = [
    "DataText",
    "PageText",
    "render_answers",
    "render_bench_view",
    "render_figures_csv",
    "render_form",
    "render_form_data",
    "render_front",
    "render_overviews",
    "render_site",
]

# On a screen a millimetre is 3.78 px: the widest plate still fits a phone.
FRONT_SCALE = 0.3
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
    fits_page: Callable[[Callable[[], tuple[PageText, ...]]], tuple[PageText, ...]] = lambda make: make(),
) -> tuple[PageText, ...]:
    """Every page but the front page and those of single forms; see `render_site`.

    Args:
        project: the studio.
        sheets: each form's sheet by slug.
        with_cards: link the cards.
        shows: whether a key of a record belongs into glossary and reference.
        old_cards: what the page of a clay tells whoever comes from an older card.
        stock: what shops are told, where it is known already.
        fits_page: gives the page of what fits what, given what makes it: it takes long where there are many fits.
    """
    return (
        *render_clays(project, sheets, with_cards=with_cards, old_cards=old_cards), *render_glazes(project, sheets), *render_kilns(project),
        *render_stock_page(project, sheets, with_cards=with_cards, stock=stock), *render_orders(project, sheets, with_cards=with_cards), *fits_page(lambda: render_fits(project, sheets)), *render_families(project, sheets), render_first_week(project, sheets), render_glossary(shows), render_reference(shows), render_every_figure(), render_cautions(),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
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


def front_entry(sheet: Sheet, reader: Reader) -> FrontEntry:
    """What the front page shows of a form."""
    form = sheet.form
    drawn = formdrawing.draw_small(sheet, scale=FRONT_SCALE) if sheet.shapes else None
    return FrontEntry(
        sheet.slug, str(form.title), str(form.code or ""), str(form.family or OTHERS), drawn, tuple(_key_words(sheet, reader)), _catalogue_row(sheet, reader),
        len(sheet.problems), bool(sheet.fits), form_line(sheet),
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
    shown = sorted(entries, key=lambda entry: (entry.family.casefold(), entry.title.casefold()))
    families: dict[str, list[FrontEntry]] = {}
    for entry in shown:
        families.setdefault(entry.family, []).append(entry)
    tallest = {
        family: max((entry.drawn.tallest_mm for entry in members if entry.drawn), default=0.0)
        for family, members in families.items()
    }
    looked_at = [entry for entry in shown if entry.problem_count]
    body = render(
        "pages/front.html",
        studio=project.studio, count=len(shown), families=[(family, tallest[family], members) for family, members in families.items()], with_cards=with_cards, with_fits=any(entry.has_fits for entry in shown),
        catalogue=Markup("".join(entry.row for entry in shown)), left_out=left_out, units=_units(reader_of(project.studio)),
        problem_count=sum(entry.problem_count for entry in looked_at), problem_forms=[(entry.title, f"forms/{entry.slug}.html") for entry in looked_at],
    )  # fmt: skip
    return PageText("index.html", "Forms", body, f"The forms of {project.studio.title}.", "", True)


@dataclass(frozen=True, slots=True)
class FiredSize:
    """How large a form is as it stands, all parts together, and what it holds; `words` say what is on or under it."""

    height_mm: float
    across: Figure | None
    holds: Figure | None
    words: str = ""


def _key_words(sheet: Sheet, reader: Reader) -> Iterator[str]:
    """A form's key numbers, in two short lines: fired size and what it holds; the balls."""
    sheet = as_set(sheet)
    size = _fired_size(sheet)
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
        yield "ball " + " and ".join(str(reader.amounts(ball.value, "g", up=True)[0]) for ball in balls)


def _fired_size(sheet: Sheet) -> FiredSize | None:
    """Size of the parts that stand together with the one that says most of a form: its largest vessel, else its first part."""
    parts = list(map(str, sheet.form.parts))
    volumes = {part: figure.value for part in parts if (figure := sheet.find(f"{part}.capacity.fill", "fired"))}
    main = max(volumes, key=volumes.get) if volumes else parts[0]
    group = next((group for group in set_together(sheet, "fired") if main in [part.name for part in group]), None)
    if group is None:
        return None
    names = [part.name for part in group]
    holds, across = (
        sheet.find(f"{main}.capacity.fill", "fired"),
        (sheet.find(f"{part}.diameter", "fired") for part in names),
    )
    widest = max(filter(None, across), key=lambda figure: figure.value, default=None)
    lids = [part for part in names if part != main and sheet.form.parts[part].opens_down]
    words = "" if len(names) == 1 else f"with {' and '.join(lids)}" if len(lids) == len(names) - 1 else "together"
    # The drawing is the sheet's own; what its settings move, they move the pot that the rest stands on by.
    stood = next(part for part in group if part.name == main)
    made = sheet.find(f"{main}.height", "fired")
    moved = made.value - (stood.top_mm - stood.bottom_mm) if made else 0.0
    return FiredSize(
        height_together_mm(sheet, "fired", group) + moved,
        widest,
        holds if holds and holds.value > 0 else None,
        words,
    )


def _catalogue_row(sheet: Sheet, reader: Reader) -> str:
    sheet = as_set(sheet)
    form, size = sheet.form, _fired_size(sheet)
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
        "balls": " ".join(f"{ball.value:g}" for ball in _balls(sheet)), "high": f"{size.height_mm:.4g}" if size else "",
        "across": f"{size.across.value:.4g}" if size and size.across else "", "holds": f"{size.holds.value:.4g}" if size and size.holds else "",
        "weighs": f"{weighs:.4g}" if weighs else "",
    }  # fmt: skip
    data = "".join(f' data-{name}="{escape(value)}"' for name, value in known.items() if value)
    return (
        f'<tr data-form="{escape(form.slug)}"{data}><td>{escape(form.code or "")}</td><th scope="row"><a href="forms/{escape(form.slug)}.html">{escape(form.title)}</a></th>'
        f'<td><a href="clays/{escape(form.clay)}.html">{escape(sheet.clay.title)}</a></td><td class="n">{escape(balls)}</td><td class="n">{escape(high)}{together}</td>{numbers}</tr>\n'
    )


def _balls(sheet: Sheet) -> list[Figure]:
    found = (sheet.find(f"{part}.ball.set", "wet") for part in sheet.form.parts)
    return [ball for ball in found if ball]


def _units(reader: Reader) -> dict[str, tuple[str, float]]:
    """The units in which it is said what a form should hold and how large its ball may be, each with its ml or g."""
    imperial = reader.systems[0] == IMPERIAL
    ounce = f"fl oz {reader.fluid_ounce}" if reader.fluid_ounce else "fl oz"
    holds = reader.amounts(100.0, "ml")[0].unit
    return {
        "holds": (holds or ounce, parse_quantity(f"1 {holds or ounce}", "volume").value),
        "ball": ("oz", unit_factor("oz")) if imperial else ("g", 1.0),
    }


# ---- data ----


@neutral
def render_form_data(sheet: Sheet) -> DataText:
    """One form's figures as JSON, beside its page: `forms/<slug>.json`; a figure a line."""
    shown = sheet.as_json()
    figures = ",\n".join(json.dumps(figure, ensure_ascii=False) for figure in shown.pop("figures"))
    rest = ",\n".join(f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}" for name, value in shown.items())
    return DataText(f"forms/{sheet.slug}.json", f'{{{rest},\n"figures": [\n{figures}\n]}}\n')


def render_sheet_schema() -> DataText:
    """JSON Schema of a form's figures, for whoever reads them with a program: `sheet.schema.json`."""
    return DataText("sheet.schema.json", schema.schema_text("sheet"))


FORM_COLUMNS = (
    "form", "title", "code", "family", "clay", "parts", "balls_g", "height_fired_mm", "across_fired_mm", "holds_ml", "weight_fired_g",
)  # fmt: skip
# A spreadsheet takes a table without it for another encoding.
BYTE_ORDER_MARK = "\ufeff"


def render_forms_csv(entries: Iterable[FrontEntry]) -> DataText:
    """One row a form, for a spreadsheet: `forms.csv`."""
    return DataText(
        "forms.csv", BYTE_ORDER_MARK + ",".join(FORM_COLUMNS) + "\r\n" + "".join(entry.line for entry in entries)
    )


@neutral
def form_line(sheet: Sheet) -> str:
    """The line of `forms.csv` that is of one form; parts and their balls in the same order, between semicolons."""
    made = as_set(sheet)
    form, size, weighs = made.form, _fired_size(made), set_weight_g(made)
    text = io.StringIO()
    words = (
        form.slug,
        form.title,
        form.code or "",
        form.family or "",
        made.clay.title,
        "; ".join(map(str, form.parts)),
    )
    numbers = (
        size.height_mm if size else None,
        size.across.value if size and size.across else None,
        size.holds.value if size and size.holds else None,
        weighs,
    )
    csv.writer(text, lineterminator="\r\n").writerow((
        *(harmless_cell(str(word)) for word in words), "; ".join(f"{ball.value:.6g}" for ball in _balls(made)),
        *("" if number is None else f"{number:.1f}" for number in numbers),
    ))  # fmt: skip
    return text.getvalue()


CSV_COLUMNS = (
    "form", "key", "stage", "words", "value", "unit", "plus_minus", "low", "high", "given", "how", "inputs", "source",
)  # fmt: skip


FIGURES_TABLE, FIGURES_HEAD = "figures.csv", ",".join(CSV_COLUMNS) + "\r\n"


def render_figures_csv(sheets: Iterable[Sheet]) -> DataText:
    """Every figure of every form as one table: `figures.csv`."""
    return DataText(FIGURES_TABLE, FIGURES_HEAD + "".join(figure_rows(sheet) for sheet in sheets))


@neutral
def figure_rows(sheet: Sheet) -> str:
    """The lines of `figures.csv` that are of one form."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    for figure in sheet.figures:
        doubt = "" if figure.plus_minus is None else repr(figure.plus_minus)
        words = map(harmless_cell, (figure.how, "; ".join(figure.inputs), figure.source))
        writer.writerow((
            sheet.slug, harmless_cell(figure.key), figure.stage or "", harmless_cell(figure.named.title), repr(figure.value), figure.unit, doubt,
            *(map(repr, figure.interval) if figure.interval else ("", "")), "yes" if figure.given else "", *words,
        ))  # fmt: skip
    return text.getvalue()
