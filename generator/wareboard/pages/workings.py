"""How a number came about: what opens behind a large number on a form's page, and the page of all workings of a form."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from markupsafe import Markup

from wareboard.figures.clays import doubt_words, make_body
from wareboard.figures.explaining import interval_text
from wareboard.figures.figure import Figure
from wareboard.figures.sheet import Sheet
from wareboard.figures.shown import Row
from wareboard.pot.frozen import frozen
from wareboard.text.formulas import number
from wareboard.text.languages import _
from wareboard.words.pagetext import WORKINGS, PageText
from wareboard.words.templating import ident, render

# A mean of forty bars names the first of them; the JSON has all.
MOST_INPUTS = 12


def workings_path(slug: str) -> str:
    """Where a form's workings stand on the site.

    >>> workings_path("tea-caddy")
    'workings/tea-caddy.html'
    """
    return f"{WORKINGS}{slug}.html"


@frozen
class Opened:
    """What stands behind a large number: its working."""

    id: str
    label: str
    working: Markup


def opened_rows(sheet: Sheet, rows: Iterable[Row]) -> dict[str, Opened]:
    """What opens behind the numbers of some rows.

    Args:
        sheet: the form's figures as worked out, before anything was rounded.
        rows: what is shown.
    Returns: by the figure's name, in the order in which they are first shown; rows without a figure have none.
    """
    by_name = {figure.name: figure for figure in sheet.figures}
    links = _links(sheet, f"../{workings_path(sheet.slug)}")
    found: dict[str, Opened] = {}
    for row in rows:
        figure = by_name.get(row.figure)
        if figure is None or figure.name in found:
            continue
        found[figure.name] = Opened(
            f"w-{ident(figure.name)}",
            ", ".join(word for word in (row.label, row.of) if word),
            Markup(_working(figure, links)),
        )
    return found


def render_workings(sheet: Sheet) -> PageText:
    """The page of every figure of a form with how it was worked out, from what, and by whose rule.

    Args:
        sheet: the form's figures as worked out.
    """
    links = _links(sheet)
    # Rows are joined by hand: a loop in a template takes three times as long.
    rows = Markup("".join([_row(figure, links) for figure in sheet.figures]))
    doubt = doubt_words(str(sheet.clay.title), make_body(sheet.clay)) if sheet.is_worked_out else ""
    title = _("{title}, workings").format(title=sheet.form.title)
    body = render("pages/workings.html", sheet=sheet, form=sheet.form, rows=rows, count=len(sheet.figures), doubt=doubt)
    return PageText(workings_path(str(sheet.slug)), title, body, _("{title}: every figure.").format(title=title))


def _links(sheet: Sheet, page: str = "") -> dict[str, str]:
    """What leads to each figure's working, by the figure's name; from another page, where that one is named."""
    return {
        figure.name: f'<a href="{page}#f-{escape(ident(figure.name))}">{escape(figure.name)}</a>'
        for figure in sheet.figures
    }


# Few units, sources and lines of a spec come with many figures.
_safe = lru_cache(maxsize=2048)(escape)


def _row(figure: Figure, links: dict[str, str]) -> str:
    """One row. `links` has the words for every input that is a figure; any other is a line of a spec."""
    return (
        f'<tr id="f-{escape(ident(figure.name))}"><th scope="row">{_safe(figure.key)} <span class="stage">{_(figure.stage) if figure.stage else ""}</span></th>'
        f'<td class="n">{number(figure.value)}</td><td class="u">{_safe(figure.unit)}{_doubt(figure)}</td>'
        f"<td>{_how(figure, links)}</td></tr>\n"
    )


def _working(figure: Figure, links: dict[str, str]) -> str:
    value = f"<b>{number(figure.value)} {_safe(figure.unit)}</b>{_doubt(figure)}"
    return f"<p>{value}</p><p>{_how(figure, links)}</p>"


def _doubt(figure: Figure) -> str:
    plus_minus, budget = figure.doubted
    if not plus_minus:
        return ""
    lies = _("; 95 % {interval}").format(interval=interval_text(figure)) if budget else ""
    return f' <span class="doubt">± {number(float(f"{plus_minus:.2g}"))}{lies}</span>'


def _how(figure: Figure, links: dict[str, str]) -> str:
    inputs = ", ".join([links.get(name) or f"<code>{_safe(name)}</code>" for name in figure.inputs[:MOST_INPUTS]])
    more = (
        _(", and {count} more").format(count=len(figure.inputs) - MOST_INPUTS)
        if len(figure.inputs) > MOST_INPUTS
        else ""
    )
    from_words = f'<span class="from">{_("from {inputs}").format(inputs=inputs + more)}</span>' if inputs else ""
    cited = f'<span class="cited">{_safe(_(figure.source))}</span>' if figure.source else ""
    typed = '<span class="typed">' + _("typed") + "</span> " if figure.given else ""
    return f"{typed}{escape(figure.how)} {from_words} {cited}"
