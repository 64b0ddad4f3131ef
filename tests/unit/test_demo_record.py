"""The demo as it is committed: its record knows it and its schemas are the program's own, so that a build leaves a clone clean."""

import os

from wareboard.cards.audience import is_stocked
from wareboard.cards.bench import revised_studio
from wareboard.cards.revisions import revised_clay, revised_form
from wareboard.cards.stock import revised_stock
from wareboard.figures import checks
from wareboard.figures.coats import weigh_coats
from wareboard.output.history import Record
from wareboard.text import projects, schema

from tests.demo import ROOT, texts_of_demo


def revised():
    """Everything of the demo that has revisions, as it is now."""
    project = weigh_coats(projects.read_project(texts_of_demo()))
    sheets, _ = checks.check_project(project)
    yield from map(revised_form, sheets.values())
    yield from (revised_clay(clay, project.studio) for clay in project.clays.values())
    yield from map(revised_stock, filter(is_stocked, sheets.values()))
    yield revised_studio(next(iter(sheets.values())))


def test_a_build_adds_nothing_to_the_demos_record():
    new = Record(ROOT).new_lines(revised())
    assert not new, f"new revisions of {', '.join(new)}: run `wareboard build` and commit specs/.revisions"


def test_the_record_holds_nothing_else():
    known = {f"{one.of}/{one.name}" for one in revised()}
    kept = {
        path.relative_to(ROOT / "specs" / ".revisions").with_suffix("").as_posix()
        for path in (ROOT / "specs" / ".revisions").rglob("*.jsonl")
    }
    assert kept == known


def test_the_demos_schemas_are_the_programs_own():
    names = schema.names_of(projects.read_project(texts_of_demo()))
    for kind in projects.KINDS:
        path = ROOT / "specs" / ".schema" / f"{kind}.schema.json"
        assert path.read_text(encoding="utf-8") == schema.schema_text(kind, names), (
            "run `wareboard check` and commit specs/.schema"
        )
    assert len(os.listdir(ROOT / "specs" / ".schema")) == len(projects.KINDS)
