"""The page of every figure: what each is, where it stands, how it is read and judged. Made from the catalogue alone."""

from __future__ import annotations

from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import CATALOGUE, PLACEHOLDERS, Declared
from wareboard.text.problems import capital
from wareboard.words.pagetext import PageText
from wareboard.words.templating import render

PATH = "figures.html"
READ = {
    "tool": "to the step of its tool", "small": "to 0.1 mm or 1/64 in", "up": "to the step of its tool, never less",
    "down": "to the step of its tool, never more",
}  # fmt: skip
JUDGED = {
    "": "", "size": "two standard deviations of what sets it, a step of the ruler at least",
    "clearance": "the fit's own limits when fired; two standard deviations of trimming before", "pointer": "a step of the ruler", "ball": "a step of the scale",
    "weight": "3 %, a step of the scale at least", "dryness": "1.5 points", "capacity": "two standard deviations from the clay's bars, else 3 %",
}  # fmt: skip


def render_every_figure() -> PageText:
    """Every figure that there is, by what it is a figure of."""
    groups = [(title, [_entry(declared) for declared in figures]) for title, figures in CATALOGUE.items()]
    search = " ".join(f"{entry['key']} {entry['meaning']}" for _, entries in groups for entry in entries)
    body = render("pages/figures.html", groups=groups, placeholders=PLACEHOLDERS, stages=STAGES)
    return PageText(PATH, "Every figure", body, "Every figure that is worked out, and what it means.", search)


def _entry(declared: Declared) -> dict[str, str]:
    return {
        "key": declared.key,
        "stages": _stages(declared),
        "unit": declared.unit,
        "words": capital(declared.words.format(**{letter: letter for letter in PLACEHOLDERS})),
        "meaning": declared.meaning,
        "formula": declared.formula.words if declared.formula else "",
        "read": READ[declared.reading],
        "judged": JUDGED[declared.tolerance],
        "source": declared.source,
    }


def _stages(declared: Declared) -> str:
    if declared.stages == STAGES:
        return "all five"
    return ", ".join(stage for stage in declared.stages if stage) or "none"
