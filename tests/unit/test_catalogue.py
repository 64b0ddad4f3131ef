"""The catalogue: each figure once, no key in two minds, and what follows from the declarations."""

import re
from functools import cache
from itertools import product

import jsonschema
import pytest
from wareboard.text import catalogue, measures
from wareboard.text.catalogue import FIGURES, PLACEHOLDERS, SHARED, named, reserved
from wareboard.text.quantities import Steps, format_figure
from wareboard.words.steps import read_bench_words

from tests.demo import worked_out
from tests.every import every


@cache
def sheets():
    return worked_out()[1]


def test_each_key_is_declared_once():
    keys = [declared.key for declared in FIGURES]
    assert len(set(keys)) == len(keys)


@every("declared", FIGURES)
def test_a_declaration_is_whole(declared):
    assert declared.words and declared.meaning and declared.stages and declared.unit
    assert len(set(declared.stages)) == len(declared.stages)
    assert set(re.findall(r"\{(.)\}", declared.words)) <= set(declared.parts) & PLACEHOLDERS.keys()
    # judged where it is measured, and then there are words for when it is out
    assert bool(declared.tolerance) == bool(declared.out)
    if declared.out:
        kinds = {re.sub(" (wet|leather-hard|dry)$", "", kind) for kind in read_bench_words()["out"]}
        assert declared.out in kinds
    assert (declared.unit in catalogue._TYPED) and format_figure(1.0, declared.unit, "metric", Steps())[1]


@every("declared", FIGURES)
def test_a_key_leads_back_to_its_declaration(declared):
    names = {"P": "jar", "S": "rim", "C": "mouth", "F": "lid", "E": "handle"}
    found = named(".".join(names.get(part, part) for part in declared.parts))
    assert found.declared is declared and found.names == {part: names[part] for part in declared.parts if part in names}
    assert re.fullmatch(catalogue.key_pattern(declared), ".".join(names.get(part, part) for part in declared.parts))


def test_no_key_is_in_two_minds():
    """Whatever a maker may call things, a key of one declaration is a key of no other."""
    free = {"P": "p", "S": "s", "C": "c", "F": "f", "E": "e"}
    words = {part for declared in FIGURES for part in declared.parts} - PLACEHOLDERS.keys()
    for declared in FIGURES:
        if declared.parts[0] == "fit":
            continue  # a fit's name stands alone in its place
        choices = [
            [free[part], *(words - reserved(part))] if part in PLACEHOLDERS else [part] for part in declared.parts
        ]
        for pieces in product(*choices):
            assert named(".".join(pieces)).declared is declared, ".".join(pieces)


def test_names_that_every_pot_has_stay_the_makers():
    for word in ("foot", "rim", "wall", "floor", "belly", "shoulder", "neck", "lip"):
        assert word not in reserved("S") | reserved("C") | reserved("E")
    assert SHARED <= {"wall", "floor", "foot", "trim"}
    assert {"pointer", "thrown"} <= reserved("S") and {"height", "volume"} <= reserved("C") and "fit" in reserved("P")


def test_sheets_hold_what_the_catalogue_has():
    for sheet in sheets().values():
        for figure in sheet.figures:
            declared = figure.named.declared
            assert figure.unit == declared.unit and figure.stage in declared.stages
    written = {figure.named.declared.key for sheet in sheets().values() for figure in sheet.figures}
    assert {declared.key for declared in FIGURES} - written == set()


def test_sheets_keep_to_the_schema_and_a_wrong_figure_does_not():
    schema = catalogue.figure_schema()
    validator = jsonschema.Draft202012Validator(schema)
    figures = [figure.as_json() for figure in sheets()["tea-caddy"].figures]
    assert all(validator.is_valid(figure) for figure in figures)
    wrong = figures[0]
    for changed in ({"unit": "in"}, {"stage": "wet"}, {"key": "no.such.figure.here"}, {"value": "1"}, {"more": 1}):
        assert not validator.is_valid({**wrong, **changed})


def test_what_is_measured_is_read_in_the_unit_of_its_figure():
    read = lambda key, text: catalogue.read_measured(named(key).declared, text)
    assert read("cup.volume", "85.9") == 85.9 and read("cup.volume", "2 in³") == pytest.approx(32.774128)
    assert read("cup.area.inside", "190 cm²") == 190.0 and read("cup.area.inside", "1.9 in2") == pytest.approx(12.25804)
    assert read("clay.density", "1.93") == 1.93 and read("cup.mass", "1 lb") == 453.59237
    with pytest.raises(Exception, match="3 kg"):
        read("cup.volume", "3 kg")
    assert {kind for kind, _, _ in catalogue._TYPED.values()} <= measures.KINDS.keys()
