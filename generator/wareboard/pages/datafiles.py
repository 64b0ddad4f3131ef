"""A studio's sheets as data to take along: tables, JSON with an index and its schemas, drawings, and the page that tells of them.

Data reads alike whatever language the pages are in, but for a drawing's words.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterable

from wareboard.cards.cardtext import bench_path
from wareboard.drawing.formdrawing import draw_form
from wareboard.drawing.seating import fired_size
from wareboard.drawing.svg import by_itself
from wareboard.figures.figure import Figure
from wareboard.figures.settings import as_set
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import reader_of, set_weight_g
from wareboard.text import schema
from wareboard.text.languages import _, later, neutral
from wareboard.text.plain import harmless_cell
from wareboard.words.pagetext import DataText, PageText
from wareboard.words.templating import render

FORMS_TABLE, FIGURES_TABLE = "forms.csv", "figures.csv"
INDEX, INDEX_SCHEMA, SHEET_SCHEMA = "data/index.json", "data/index.schema.json", "sheet.schema.json"
PAGE = "data.html"
# What each column holds, as the page tells it.
FORM_COLUMNS = {
    "form": later("name of its file, and of its page"), "title": later("title"), "code": later("code, where it has one"), "family": later("family, where it has one"),
    "clay": later("clay"), "parts": later("its parts, between semicolons"), "balls_g": later("what is weighed out for each part, wet, g, in the same order"),
    "height_fired_mm": later("height as it stands fired, lid and all, mm"), "across_fired_mm": later("largest diameter, fired, mm"),
    "holds_ml": later("what its vessel holds to the line, ml"), "weight_fired_g": later("weight of the set, fired, g"),
}  # fmt: skip
FIGURE_COLUMNS = {
    "form": later("name of the form's file"), "title": later("the form's title"), "code": later("its code"), "family": later("its family"), "part": later("the part that it is a figure of; nothing where it is of a fit, the clay or the set"),
    "key": later("what figure it is, see every figure"), "stage": later("stage of the clay; nothing where there is none"), "words": later("what it is, in words"), "value": later("the number, not rounded"), "unit": later("its unit"),
    "plus_minus": later("one standard deviation for the next piece, in the same unit"), "low": later("from where 95 % of the next pieces lie"), "high": later("to where"), "given": later("yes where a maker typed it"),
    "how": later("how it was worked out"), "inputs": later("from what: other figures, or file and line"), "source": later("by whose rule"),
}  # fmt: skip
# A spreadsheet takes a table without it for another encoding.
BYTE_ORDER_MARK = "\ufeff"
FIGURES_HEAD = BYTE_ORDER_MARK + ",".join(FIGURE_COLUMNS) + "\r\n"


# ---- tables ----


def render_forms_csv(lines: Iterable[str]) -> DataText:
    """One row a form, for a spreadsheet: `forms.csv`. `lines` are those of `form_line`."""
    return DataText(FORMS_TABLE, BYTE_ORDER_MARK + ",".join(FORM_COLUMNS) + "\r\n" + "".join(lines))


@neutral
def form_line(sheet: Sheet) -> str:
    """The line of `forms.csv` that is of one form; parts and their balls in the same order, between semicolons."""
    told = _told(sheet)
    words = (told["form"], told["title"], told["code"], told["family"], sheet.clay.title, "; ".join(told["parts"]))
    numbers = (told[name] for name in ("height_fired_mm", "across_fired_mm", "holds_ml", "weight_fired_g"))
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerow((
        *(harmless_cell(str(word)) for word in words), "; ".join(f"{ball:.6g}" for ball in told["balls_g"]),
        *("" if number is None else f"{number:.1f}" for number in numbers),
    ))  # fmt: skip
    return text.getvalue()


def render_figures_csv(sheets: Iterable[Sheet]) -> DataText:
    """Every figure of every form as one table: `figures.csv`."""
    return DataText(FIGURES_TABLE, FIGURES_HEAD + "".join(figure_rows(sheet) for sheet in sheets))


@neutral
def figure_rows(sheet: Sheet, figures: Iterable[Figure] | None = None) -> str:
    """The lines of `figures.csv` that are of one form: of all its figures, or of some."""
    text, form = io.StringIO(), sheet.form
    writer = csv.writer(text, lineterminator="\r\n")
    told = (sheet.slug, *(harmless_cell(str(words or "")) for words in (form.title, form.code, form.family)))
    for figure in sheet.figures if figures is None else figures:
        (plus_minus, budget), found = figure.doubted, figure.named
        inputs = "; ".join(map(harmless_cell, figure.inputs))
        writer.writerow((
            *told, harmless_cell(found.names.get("P", "")), harmless_cell(figure.key), figure.stage or "", harmless_cell(found.title), repr(figure.value), figure.unit,
            "" if plus_minus is None else repr(plus_minus), *(map(repr, budget.interval(figure.value)) if budget else ("", "")), "yes" if figure.given else "", harmless_cell(figure.how), inputs, harmless_cell(figure.source),
        ))  # fmt: skip
    return text.getvalue()


# ---- JSON ----


@neutral
def render_form_data(sheet: Sheet) -> DataText:
    """One form's figures as JSON, beside its page: `forms/<slug>.json`; a figure a line."""
    shown = sheet.as_json()
    figures = ",\n".join(json.dumps(figure, ensure_ascii=False) for figure in shown.pop("figures"))
    rest = ",\n".join(f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}" for name, value in shown.items())
    return DataText(f"forms/{sheet.slug}.json", f'{{{rest},\n"figures": [\n{figures}\n]}}\n')


@neutral
def index_entry(sheet: Sheet, data: DataText) -> str:
    """A form's line of the index, as JSON.

    Args:
        sheet: the form's sheet.
        data: its figures as they stand on the site; the entry has their digest.
    """
    slug = sheet.slug
    told = {**_told(sheet), "revision": sheet.revision, "digest": hashlib.sha256(data.content).hexdigest()}
    beside = {
        "page": f"forms/{slug}.html",
        "bench": bench_path(slug),
        "figures": data.path,
        "drawing": drawing_path(slug),
    }
    told["links"] = {name: f"../{path}" for name, path in beside.items()}
    return json.dumps(told, ensure_ascii=False)


def render_index(studio: str, edition: str, entries: Iterable[str]) -> DataText:
    """What there is as data, a form a line: `data/index.json`.

    Args:
        studio: its title.
        edition: for whom the site was made.
        entries: each form's, by `index_entry`.
    """
    lines = list(entries)
    digest = hashlib.sha256("".join(f"{json.loads(line)['digest']}\n" for line in lines).encode()).hexdigest()
    head = {
        "$schema": INDEX_SCHEMA.rpartition("/")[2], "format": schema.INDEX_FORMAT, "studio": studio, "edition": edition, "digest": digest,
        "tables": {"forms": f"../{FORMS_TABLE}", "figures": f"../{FIGURES_TABLE}"}, "schemas": {"figures": f"../{SHEET_SCHEMA}"},
    }  # fmt: skip
    told = ",\n".join(f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}" for name, value in head.items())
    return DataText(INDEX, f'{{{told},\n"forms": [\n' + ",\n".join(lines) + "\n]}\n")


def render_schemas() -> tuple[DataText, ...]:
    """JSON Schema of the index and of a form's figures, for whoever reads them with a program."""
    return DataText(SHEET_SCHEMA, schema.schema_text("sheet")), DataText(INDEX_SCHEMA, schema.schema_text("index"))


def _told(sheet: Sheet) -> dict:
    """What table and index tell of a form, unrounded; None where it is not known."""
    made = as_set(sheet)
    form, size = made.form, fired_size(made)
    return {
        "form": form.slug, "title": str(form.title), "code": str(form.code or ""), "family": str(form.family or ""), "clay": str(form.clay),
        "parts": list(map(str, form.parts)), "balls_g": [ball.value for ball in ball_figures(made)], "height_fired_mm": size.height_mm if size else None,
        "across_fired_mm": size.across.value if size and size.across else None, "holds_ml": size.holds.value if size and size.holds else None,
        "weight_fired_g": set_weight_g(made),
    }  # fmt: skip


def ball_figures(sheet: Sheet) -> list[Figure]:
    """The ball of each part as it is weighed out, in the parts' order."""
    found = (sheet.find(f"{part}.ball.set", "wet") for part in sheet.form.parts)
    return [ball for ball in found if ball]


# ---- drawings ----


def drawing_path(slug: str) -> str:
    """Where a form's drawing stands."""
    return f"forms/{slug}.svg"


def render_drawing(sheet: Sheet) -> DataText:
    """A form as it comes out of the kiln, put together, with its sizes, as SVG by itself: `forms/<slug>.svg`."""
    text = reader_of(sheet.studio).small_text
    return DataText(drawing_path(sheet.slug), by_itself(draw_form(sheet, "fired", size_text=text)))


# ---- the page that tells of them ----


def render_data_page(example: str) -> PageText:
    """What there is as data, and what each column means; `example` is a form's slug, for addresses to show."""
    columns = lambda told: {name: _(words) for name, words in told.items()}
    body = render("pages/data.html", example=example, forms=columns(FORM_COLUMNS), figures=columns(FIGURE_COLUMNS))
    said = _("Tables, JSON and drawings to take along.")
    return PageText(PAGE, _("Data"), body, said, "spreadsheet CSV JSON schema SVG download")
