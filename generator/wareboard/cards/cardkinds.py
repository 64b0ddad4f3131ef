"""Every kind of printed card: its name, what it is about, the papers that it goes on, and what makes it."""

from __future__ import annotations

from collections.abc import Callable

from wareboard.cards import bench, gauges, runsheet, shrinkrule, stock, trimming, wheel
from wareboard.cards.audience import is_stocked
from wareboard.cards.engine import CardText
from wareboard.cards.revisions import Revised, revised_clay, revised_form
from wareboard.figures.sheet import Sheet
from wareboard.pot.frozen import frozen
from wareboard.text.languages import _, later
from wareboard.text.studio_specs import Studio

# Width and height standing upright, the smallest first.
PAPER_MM = {
    "A6": (105.0, 148.0), "half-Letter": (139.7, 215.9), "A5": (148.0, 210.0), "Letter": (215.9, 279.4), "A4": (210.0, 297.0),
}  # fmt: skip
# A card hangs over the wheel on half of the paper in the printer, unless another is asked for.
CARD_PAPERS = ("A5", "half-Letter", "A6", "A4", "Letter")
HALVES = {"A4": "A5", "Letter": "half-Letter"}
# What a card is about: one form (a sheet), one clay, or the whole studio.
FORM, CLAY, STUDIO = "form", "clay", "studio"


@frozen
class CardKind:
    """A kind of card.

    `render` takes what the card is about, then `paper=`, `made=` and `site_url=`, and returns a `CardText`:

    - about a form: `render(sheet, …)`;
    - about a clay: `render(clay, studio, …)`;
    - about the studio: `render(studio, sheets, …)`, the sheets in the catalogue's order.

    `papers` are those that it goes on, the one that is used unless something else is asked for first.
    `suits` says whether a form has such a card at all. `revised` says of what the card is a revision,
    given what it is about; the day on the card is the day on which that was first made. `title` is what
    it is called, where that is not its name and "card" or "sheet"; `needs` what a form must have for it.
    With `sees_others`, `render` is also given `others=`, all sheets by slug, for fits that reach into another form.
    """

    name: str
    about: str
    papers: tuple[str, ...]
    said: str
    render: Callable[..., CardText]
    suits: Callable[[Sheet], bool] = lambda sheet: True
    revised: Callable[..., Revised] = revised_form
    title: str = ""
    needs: str = ""
    sees_others: bool = False

    @property
    def called(self) -> str:
        """The kind in a sentence: `wheel card`, `template sheet`, `shrink rule`."""
        return self.title or f"{self.name} {'card' if 'A6' in self.papers else 'sheet'}"

    @property
    def shown(self) -> str:
        """The same in the language of the page."""
        return _(self.called)

    def paper(self, studio: Studio) -> str:
        """The paper that it is set on unless another is asked for: the studio's where it goes on that, else its own first."""
        wanted = str(studio.paper or "")
        wanted = HALVES.get(wanted, wanted) if "A6" in self.papers else wanted
        return wanted if wanted in self.papers else self.papers[0]


# What cards are called, for whoever translates it.
_CALLED = (
    later("wheel card"), later("trimming card"), later("bench sheet"), later("template sheet"), later("studio sheet"),
    later("stock sheet"), later("stock list"), later("shrink rule"), later("run sheet"),
)  # fmt: skip

# In the order in which they are used: throwing, trimming, the whole job, the gauges, the shop.
KINDS: dict[str, CardKind] = {
    kind.name: kind
    for kind in (
        CardKind("wheel", FORM, CARD_PAPERS, "what is set at the wheel", wheel.render_wheel),
        CardKind(
            "trimming",
            FORM,
            CARD_PAPERS,
            "what is weighed, turned to and left when trimming",
            trimming.render_trimming,
            sees_others=True,
        ),
        CardKind(
            "bench", FORM, bench.PAPERS, "every step with its numbers, for somebody at the bench", bench.render_bench
        ),
        CardKind("template", FORM, ("A4", "Letter"), "gauges to cut out, true to size", gauges.render_templates),
        CardKind(
            "studio",
            STUDIO,
            bench.STUDIO_PAPERS,
            "every caution once, for the wall",
            bench.render_studio,
            revised=bench.revised_studio,
            title="studio sheet",
        ),
        CardKind(
            "stock",
            FORM,
            stock.SHEET_PAPERS,
            "what shops are told of a form",
            stock.render_stock_sheet,
            is_stocked,
            stock.revised_stock,
            needs="a `stockist:` block",
        ),
        CardKind(
            stock.LIST,
            STUDIO,
            stock.LIST_PAPERS,
            "all that shops are told of",
            stock.render_stock_list,
            is_stocked,
            stock.revised_stock,
            "stock list",
            "a form with a `stockist:` block",
        ),
        CardKind(
            "rule",
            CLAY,
            ("A4", "Letter"),
            "a clay's shrink rule, true to size",
            shrinkrule.render_rule,
            revised=revised_clay,
            title="shrink rule",
        ),
    )
}

# A run's sheet is made of a plan, for an order and not for a form: `wareboard plan ORDER --sheet` prints it.
RUN = CardKind(
    "run",
    "order",
    runsheet.PAPERS,
    "a run from weighing to unpacking, to tick off",
    runsheet.render_run,
    title="run sheet",
)
