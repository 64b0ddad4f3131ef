"""The page of every figure: what each is, where it stands, how it is read and judged. Made from the catalogue alone."""

from __future__ import annotations

from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import CATALOGUE, PLACEHOLDERS, Declared
from wareboard.text.languages import _, later
from wareboard.text.problems import capital
from wareboard.words.pagetext import PageText
from wareboard.words.templating import render

PATH = "figures.html"
READ = {
    "tool": later("to the step of its tool"), "small": later("to 0.1 mm or 1/64 in"), "up": later("to the step of its tool, never less"),
    "down": later("to the step of its tool, never more"),
}  # fmt: skip
JUDGED = {
    "": "", "size": later("two standard deviations of what sets it, a step of the ruler at least"),
    "clearance": later("the fit's own limits when fired; two standard deviations of trimming before"), "pointer": later("a step of the ruler"), "ball": later("a step of the scale"),
    "weight": later("3 %, a step of the scale at least"), "dryness": later("1.5 points"), "capacity": later("two standard deviations from the clay's bars, else 3 %"),
}  # fmt: skip


def render_every_figure() -> PageText:
    """Every figure that there is, by what it is a figure of."""
    groups = [(_(title), [_entry(declared) for declared in figures]) for title, figures in CATALOGUE.items()]
    search = " ".join(f"{entry['key']} {entry['meaning']}" for _title, entries in groups for entry in entries)
    body = render(
        "pages/figures.html",
        said_stages=", ".join(map(_, STAGES)),
        groups=groups,
        placeholders=PLACEHOLDERS,
        stages=STAGES,
    )
    return PageText(PATH, _("Every figure"), body, _("Every figure that is worked out, and what it means."), search)


def _entry(declared: Declared) -> dict[str, str]:
    return {
        "key": declared.key,
        "stages": _stages(declared),
        "unit": declared.unit,
        "words": capital(_(declared.words).format(**{letter: letter for letter in PLACEHOLDERS})),
        "meaning": _(declared.meaning),
        "formula": declared.formula.words if declared.formula else "",
        "read": _(READ[declared.reading]),
        "judged": _(JUDGED[declared.tolerance]) if declared.tolerance else "",
        "source": _(declared.source) if declared.source else "",
    }


def _stages(declared: Declared) -> str:
    if declared.stages == STAGES:
        return _("all five")
    return ", ".join(_(stage) for stage in declared.stages if stage) or _("none")
