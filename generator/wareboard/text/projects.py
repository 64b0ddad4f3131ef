"""A studio of files: every spec that stands under `specs/`, read, with what is wrong in any of them; how much is read, so that none takes long."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import field, replace
from typing import Any

from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.kinds import (
    DEEPEST_NOTES,
    LONGEST_NOTES,
    LONGEST_PROSE,
    LONGEST_WORD,
    MOST_BARS,
    MOST_ITEMS,
    MOST_MARKS,
    MOST_NAMES,
    MOST_NOTE_LINES,
    MOST_TOLD,
    Reading,
    Word,
)
from wareboard.text.likeness import folder_and_slug, parse_likened
from wareboard.text.order_specs import MOST_LINES, MOST_SETS_TOGETHER, Order
from wareboard.text.part_specs import MOST_STATIONS
from wareboard.text.problems import Position, Problem, error, has_errors
from wareboard.text.records import kept, read_record, typed_form
from wareboard.text.shorthand import written_out
from wareboard.text.slips import check_slips
from wareboard.text.specs import MOST_PARTS, MOST_STEPS, Form, Run
from wareboard.text.spelling import respelled_between, respelled_form, respelled_run
from wareboard.text.studio_specs import Clay, Glaze, Kiln, Studio

KINDS: dict[str, type] = {
    "studio": Studio, "clay": Clay, "glaze": Glaze, "kiln": Kiln, "form": Form, "run": Run, "order": Order,
}  # fmt: skip
FOLDERS: dict[str, str] = {
    "clays": "clay", "glazes": "glaze", "kilns": "kiln", "forms": "form", "runs": "run", "orders": "order",
}  # fmt: skip
# Text and path to nodes and problems.
Parse = Callable[[str, str], tuple[source.Mapping | None, list[Problem]]]
SLUG = re.compile(r"[a-z0-9][a-z0-9-]{0,79}")
# What is counted, and as much of it as is read.
CEILINGS = (
    ("a file", f"{source.LONGEST_TEXT // 1_000_000} MB, nested {source.DEEPEST} deep"),
    ("a part's outline", f"{MOST_STATIONS} stations"),
    ("a form", f"{MOST_PARTS} parts"),
    ("a stage's steps", f"{MOST_STEPS} lines of {LONGEST_PROSE:,} characters"),
    (
        "notes",
        f"{LONGEST_NOTES:,} characters, {MOST_NOTE_LINES} lines, {MOST_MARKS:,} of each of `[*_<` and backticks, "
        f"{MOST_BARS:,} bars of tables, words of {LONGEST_WORD:,} letters, lists {DEEPEST_NOTES} deep",
    ),
    ("an order", f"{MOST_LINES} lines, {MOST_SETS_TOGETHER:,} sets"),
    ("names of your own in one place", f"{MOST_NAMES}, where nothing else is said"),
    ("a list", f"{MOST_ITEMS:,} entries"),
    ("problems told", f"{MOST_TOLD} of one file; the others are counted"),
)


@frozen
class Project:
    """A studio's files, read. What could not be read is left out and stands in `problems`.

    `named` holds folder and slug of every file that is there; `faulty_forms` what could be read of
    forms with faults: enough to look their names up, never to work them out. An order with faults is there without them:
    what else it asks for can still be planned.
    """

    studio: Studio
    clays: dict[str, Clay] = field(default_factory=dict)
    glazes: dict[str, Glaze] = field(default_factory=dict)
    kilns: dict[str, Kiln] = field(default_factory=dict)
    forms: dict[str, Form] = field(default_factory=dict)
    runs: dict[str, Run] = field(default_factory=dict)
    orders: dict[str, Order] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    named: frozenset[tuple[str, str]] = frozenset()
    faulty_forms: tuple[Form, ...] = ()

    def files(self, folder: str) -> Mapping[str, Any]:
        """The records of one folder under `specs/` by slug."""
        found: Mapping[str, Any] = getattr(self, folder)
        return found


def read_project(texts: Mapping[str, str], parse: Parse = source.read_nodes) -> Project:
    """Read every file of a studio.

    Args:
        texts: each file's text by its path, `specs/forms/tall-beaker.yaml`.
        parse: text and path to nodes and problems; a caller may remember what has not changed.
    Returns: the project, with every problem in it.
    """
    problems: list[Problem] = []
    studio_path = next((path for path in texts if folder_and_slug(path) == ("specs", "studio")), None)
    studio = None
    if studio_path is None:
        problems.append(
            error(
                "no-studio",
                Position("specs/studio.yaml"),
                "there is no specs/studio.yaml here",
                "`wareboard start DIR` makes a folder with one",
            )
        )
    else:
        # Even one with faults tells which fluid ounce the other files mean.
        studio, _ = _read_file("studio", texts[studio_path], studio_path, problems, None, parse, None)
    studio = studio or Studio()
    studio = studio if studio.title else replace(studio, title=Word("Studio", studio.at))
    read: dict[str, dict[str, Any]] = {folder: {} for folder in FOLDERS}
    likened = parse_likened(texts, parse)
    fluid_ounce = str(studio.fluid_ounce) if studio.fluid_ounce else None
    named: set[tuple[str, str]] = set()
    faulty_forms: list[Form] = []
    for path in sorted(texts):
        folder, slug = folder_and_slug(path)
        if path == studio_path or folder not in FOLDERS:
            continue
        if not SLUG.fullmatch(slug):
            problems.append(
                error(
                    "odd-file-name",
                    Position(path),
                    f"`{slug}` cannot be a spec's name",
                    "use lower-case letters, digits and hyphens",
                )
            )
            continue
        named.add((folder, slug))
        if folder == "forms":
            spec, sound = _read_form(texts[path], path, studio, problems, likened)
        else:
            spec, sound = _read_file(FOLDERS[folder], texts[path], path, problems, fluid_ounce, likened, slug)
        if sound or isinstance(spec, Order):
            read[folder][slug] = spec
        elif isinstance(spec, Form):
            faulty_forms.append(spec)
    forms = read["forms"]
    read["forms"] = {slug: respelled_between(form, forms) for slug, form in forms.items()}
    for form in read["forms"].values():
        problems += check_slips(form, read["forms"])
    read["runs"] = {slug: respelled_run(run, forms) for slug, run in read["runs"].items()}
    return Project(studio, **read, problems=tuple(problems), named=frozenset(named), faulty_forms=tuple(faulty_forms))


def read_forms_again(
    project: Project, texts: Mapping[str, str], slugs: Iterable[str], problems: list[Problem], parse: Parse
) -> Project:
    """A studio in which some forms are read again, as `read_project` reads them.

    Args:
        project: the studio as it was.
        texts: each file's text by its path.
        slugs: the forms; those whose sizes they use, and those that use theirs, should be among them.
        problems: what is wrong in them is added to it.
        parse: text and path to nodes and problems.
    Returns: the studio; a form with faults is not in it.
    """
    slugs, forms, likened = set(slugs), dict(project.forms), parse_likened(texts, parse)
    for slug in slugs:
        path = f"specs/forms/{slug}.yaml"
        form, sound = _read_form(texts[path], path, project.studio, problems, likened)
        forms.pop(slug, None)
        if sound and form is not None:
            forms[slug] = form
    forms |= {slug: respelled_between(forms[slug], forms) for slug in slugs & forms.keys()}
    for slug in slugs & forms.keys():
        problems += check_slips(forms[slug], forms)
    in_order = sorted(forms, key=lambda slug: f"{slug}.yaml")
    return replace(project, forms={slug: forms[slug] for slug in in_order})


def _read_form(
    text: str, path: str, studio: Studio, problems: list[Problem], likened: Parse
) -> tuple[Form | None, bool]:
    """A form with its names spelt as they are declared and what is short written out, and whether it is without a fault."""
    fluid_ounce = str(studio.fluid_ounce) if studio.fluid_ounce else None
    spec, sound = _read_file("form", text, path, problems, fluid_ounce, likened, folder_and_slug(path)[1])
    if not isinstance(spec, Form):
        return None, False
    before = len(problems)
    spec = written_out(respelled_form(spec), studio, problems)
    return spec, sound and len(problems) == before


def read_spec(
    kind: str,
    text: str,
    path: str,
    problems: list[Problem],
    fluid_ounce: str | None,
    parse: Parse = source.read_nodes,
    slug: str | None = None,
) -> Any:
    """Read one file's text as a spec of a kind (`form`, `clay`, …); problems are added to the list."""
    spec, sound = _read_file(kind, text, path, problems, fluid_ounce, parse, slug)
    # A file with a fault is not half used: its numbers would be of another pot.
    return spec if sound else None


def _read_file(
    kind: str, text: str, path: str, problems: list[Problem], fluid_ounce: str | None, parse: Parse, slug: str | None
) -> tuple[Any, bool]:
    """What could be read of a file, and whether it is without a fault."""
    top, found = parse(text, path)
    problems += found
    if top is None:
        return None, False
    reading = Reading(fluid_ounce=fluid_ounce, slug=slug or "", top=top)
    unit = top.get("unit")
    if isinstance(unit, source.Text) and unit.text.strip() in ("mm", "cm", "in"):
        reading.unit = unit.text.strip()
    known: dict[str, Any] = {} if slug is None else {"slug": slug}
    spec = read_record(KINDS[kind], top, "", reading, **known)
    told = reading.all_problems()
    problems += told
    faulty = bool(found) or has_errors(told)
    if isinstance(spec, Form) and faulty:
        # What a repeated key held has not been read at all, so no name in such a file can be looked up.
        nothing: Any = {}
        spec = None if found else replace(spec, parts=spec.parts or nothing, unread=frozenset(reading.unread))
    if isinstance(spec, Order) and faulty:
        # What is counted of a line that could not be read is not called missing.
        whole = len(spec.lines or ()) == len(getattr(top.get("lines"), "items", ()))
        spec = (
            None
            if found
            else replace(
                spec,
                title=spec.title or Word(str(slug), spec.at),
                lines=spec.lines or (),
                made=spec.made if whole else (),
            )
        )
    return spec, not faulty


@kept
def typed_text(spec: object) -> str:
    """What was typed for a spec, as one text; comments and layout don't count."""
    return json.dumps(typed_form(spec), sort_keys=True, ensure_ascii=False)


def revision(*specs: object) -> str:
    """A short hash of what was typed for a form, a clay or an order, and for what it refers to."""
    import hashlib  # a check asks for no revision

    return hashlib.sha256("\n".join(typed_text(spec) if spec else "" for spec in specs).encode()).hexdigest()[:6]


def form_called(project: Project, word: str) -> str | None:
    """The form that has a word as its code or its title, by its file's name; None where none has."""
    said = word.casefold()
    called = (one for one, form in project.forms.items() if said in (str(form.code).casefold(), form.title.casefold()))
    return next(called, None)
