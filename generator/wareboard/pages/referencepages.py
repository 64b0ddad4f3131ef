"""Pages to look things up in: glossary, cautions, the spec language with its rules, every figure."""

from __future__ import annotations

import re
from collections.abc import Callable

from wareboard.figures import checks, manual
from wareboard.pot.stages import STAGES
from wareboard.text import projects, records
from wareboard.text.catalogue import CATALOGUE, PLACEHOLDERS, Declared
from wareboard.text.languages import _, later, remembered
from wareboard.text.problems import capital
from wareboard.text.projects import CEILINGS
from wareboard.words.glossary import read_cautions, read_glossary
from wareboard.words.pagetext import PageText
from wareboard.words.templating import render

# Record and key to whether the key is shown.
Shows = Callable[[type, str], bool]
EXAMPLES = (
    "90",
    "90 mm",
    "9 cm",
    "3 1/2 in",
    '3-1/2"',
    "1 lb 3 oz",
    "540 g",
    "350 ml",
    "12 fl oz US",
    "12 %",
    "1.95 g/cm3",
    "45 s",
    "1240 C",
    "2 mm wet",
    "1 mm leather-hard",
)
KIND_TITLES = {
    "studio": "The studio",
    "clay": "A clay",
    "glaze": "A glaze",
    "kiln": "A kiln",
    "form": "A form",
    "run": "A run",
    "order": "An order",
}
PATH = "figures.html"
READ = {
    "tool": later("to the step of its tool"), "small": later("to 0.1 mm or 1/64 in"), "half": later("as half of what is read to 0.1 mm or 1/64 in"), "up": later("to the step of its tool, never less"),
    "down": later("to the step of its tool, never more"),
}  # fmt: skip
JUDGED = {
    "": "", "size": later("two standard deviations of what sets it, a step of the ruler at least"),
    "clearance": later("the fit's own limits when fired; two standard deviations of trimming before"), "pointer": later("a step of the ruler"), "ball": later("a step of the scale"),
    "weight": later("3 %, a step of the scale at least"), "dryness": later("1.5 points"), "capacity": later("two standard deviations from the clay's bars, else 3 %"),
}  # fmt: skip


def everything(record: type, name: str) -> bool:
    """Every key of every record: what the studio's own manual shows."""
    return True


@remembered()
def render_glossary(shows: Shows = everything) -> PageText:
    """Every word and what it means here.

    Args:
        shows: whether a key of a record belongs into the manual; a word that only names keys that do not is left out.
    """
    shown = {
        name
        for kind in projects.KINDS.values()
        for record in _reached(kind, shows)
        for name in records.keys_of(record)
        if shows(record, name)
    }
    known = {
        name
        for kind in projects.KINDS.values()
        for record in records.reached_records(kind)
        for name in records.keys_of(record)
    }
    terms = [term for term in read_glossary() if term.key in shown or term.key not in known]
    search = " ".join(f"{term.term} {term.meaning}" for term in terms)
    return PageText(
        "glossary.html",
        _("Glossary"),
        render("pages/glossary.html", terms=terms),
        _("What every word means here."),
        search,
        True,
    )


@remembered()
def render_cautions() -> PageText:
    """Every caution."""
    cautions = read_cautions()
    search = " ".join(f"{caution.title} {caution.text}" for caution in cautions)
    return PageText(
        "cautions.html",
        _("Cautions"),
        render("pages/cautions.html", cautions=cautions),
        _("What can hurt, and the usual care."),
        search,
        True,
    )


@remembered()
def render_reference(shows: Shows = everything) -> PageText:
    """The spec language, from the definitions that read it.

    Args:
        shows: whether a key of a record belongs into the manual.
    """
    folders = {kind: folder for folder, kind in projects.FOLDERS.items()}
    kinds = [
        {"id": kind, "title": KIND_TITLES[kind], "place": f"specs/{folders[kind]}/<name>.yaml" if kind in folders else f"specs/{kind}.yaml", "records": [_record(found, found is record, shows) for found in _reached(record, shows)]}
        for kind, record in projects.KINDS.items()
    ]  # fmt: skip
    left_out = () if shows is everything else {rule.__name__.replace("_", "-") for rule in checks.ABOUT_TRADE}
    rules = [
        (group, [(rule, said) for rule, said in entries.items() if rule not in left_out])
        for group, entries in manual.GROUPS.items()
    ]
    search = " ".join(
        f"{entry['name']} {entry['doc']}" for kind in kinds for record in kind["records"] for entry in record["entries"]
    )
    return PageText(
        "reference.html",
        _("Reference"),
        render("pages/reference.html", kinds=kinds, rules=rules, sizes=EXAMPLES, stages=STAGES, ceilings=CEILINGS),
        _("Every key of every spec file."),
        search,
        True,
    )


def _reached(record: type, shows: Shows) -> list[type]:
    """The record and those below it that are reached by keys that are shown."""
    found = [record]
    for name, entry in records.keys_of(record).items():
        if shows(record, name):
            found += [below for reached in entry.kind.records() for below in _reached(reached, shows)]
    return list(dict.fromkeys(found))


def _record(record: type, top: bool, shows: Shows) -> dict:
    name = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", record.__name__)
    keys = [
        {
            "name": word,
            "doc": key.doc,
            "said": key.kind.said.replace("`", ""),
            "example": key.example,
            "required": key.required,
            "unless_given": key.unless_given,
        }
        for word, key in records.keys_of(record).items()
        if shows(record, word)
    ]
    return {
        "id": record.__name__.lower(),
        "title": capital(name.lower()),
        "said": "" if top else _first_line(record),
        "entries": keys,
    }


def _first_line(what: Callable | type) -> str:
    return (what.__doc__ or "").strip().split("\n")[0].replace("`", "")


@remembered()
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
