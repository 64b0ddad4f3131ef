"""Steps of a form: the maker's own first, the usual ones for the rest, and none that quotes what is not there."""

import re
from functools import cache

from wareboard.figures.shown import fill_quotes, reader_of
from wareboard.pot.stages import STAGES
from wareboard.words.glossary import read_cautions
from wareboard.words.steps import CONDITIONS, extra_kind, filled_lines, kind_of, read_bench_words, read_steps, steps_of

from tests.demo import texts_of_demo, worked_out
from tests.every import every


@cache
def sheets(own=True):
    texts = texts_of_demo()
    if not own:
        texts = {
            path: re.sub(r"(?ms)^steps:.*?(?=^\w)", "", text) if "/forms/" in path else text
            for path, text in texts.items()
        }
    return worked_out(texts)[1]


def texts_of(slug, stage, own=False):
    return [step.text for step in steps_of(sheets(own)[slug])[stage]]


def test_a_stage_with_the_makers_words_has_those_and_no_others_and_the_rest_the_usual_ones():
    steps = steps_of(sheets()["tea-caddy"])
    assert [step.text for step in steps["wet"]] == [str(line) for line in sheets()["tea-caddy"].form.steps["wet"]]
    assert all(step.own for step in steps["wet"]) and steps["dry"] and not any(step.own for step in steps["dry"])


@every("slug", sorted(sheets()))
def test_every_quote_of_a_usual_step_names_a_figure_that_is_not_nought(slug):
    sheet = sheets(own=False)[slug]
    steps = steps_of(sheet)
    assert set(steps) == set(STAGES) and all(steps.values())
    for step in (step for lines in steps.values() for step in lines):
        assert step.part in {*sheet.form.parts, ""} and not step.own
        for quote in re.findall(r"\{([^{}]*)\}", step.text):
            assert sheet.quoted(quote).value != 0.0
        said = fill_quotes(step.text, sheet, reader_of(sheet.studio))
        assert "{" not in said and "None" not in said and "  " not in said


def test_a_line_stands_once_for_each_station_and_not_at_all_where_there_is_one_pointer():
    pointers = [text for text in texts_of("pitcher", "wet") if "pointer" in text and "{" in text]
    assert [re.search("For the (\\w+)", text)[1] for text in pointers] == ["belly", "neck", "rim"]
    assert sum("{cup.pointer.height wet}" in text for text in texts_of("tall-beaker", "wet")) == 1
    assert not any("For the rim" in text for text in texts_of("tall-beaker", "wet"))


def test_a_caliper_size_of_a_fit_is_said_by_the_fits_own_line_alone():
    wet = " ".join(texts_of("tea-caddy", "wet"))
    assert "{fit.lid.calipers wet}" in wet and "{fit.lid.outside.thrown wet}" in wet
    assert "{jar.mouth wet}" not in wet and "{lid.flange wet}" not in wet
    assert "{cup.mouth wet}" in " ".join(texts_of("tall-beaker", "wet"))


def test_vessels_come_before_lids_and_what_is_added_after_its_part():
    parts = [step.part for step in steps_of(sheets(own=False)["butter-dish"])["wet"] if step.part]
    assert parts == sorted(parts, key=["dish", "cap"].index)
    said = texts_of("pitcher", "leather-hard")
    assert any("handle and body" in text for text in said) and any("spout and body" in text for text in said)


def test_kinds_of_parts_and_of_what_is_added():
    caddy, bottle = sheets()["tea-caddy"], sheets()["oil-bottle"]
    assert (kind_of(caddy, "jar"), kind_of(caddy, "lid"), kind_of(bottle, "stopper")) == ("vessel", "lid", "solid")
    assert (extra_kind("left Handle"), extra_kind("spout")) == ("handle", "added")


def test_a_line_that_quotes_what_the_form_has_not_got_is_left_out():
    beaker = sheets()["tall-beaker"]
    assert list(filled_lines("Leave {fit.O.clearance wet}.", beaker, "cup")) == []
    assert list(filled_lines("It is {P.height wet} and {P.nothing wet}.", beaker, "cup")) == []
    assert list(filled_lines("It is {P.height wet}; {form}.", beaker, "cup")) == [
        "It is {cup.height wet}; Tall beaker."
    ]
    assert list(filled_lines("It sits {P.foot.height wet} up.", beaker, "cup")) == []


def test_the_shipped_words_know_only_kinds_and_stages_that_there_are():
    kinds = {"vessel", "lid", "solid", "handle", "added"}
    cautions = {caution.id for caution in read_cautions()}
    lines = [line for stages in read_steps().values() for lines in stages.values() for line in lines]
    assert all(line.care in {*cautions, ""} and (not line.when or line.when in CONDITIONS) for line in lines)
    assert {line.care for line in lines} >= {"silica-dust", "kiln-heat", "kiln-fumes", "hot-wax", "glaze-materials"}
    assert set(read_steps()) == kinds | {"first", "last"} and all(
        set(stages) <= set(STAGES) for stages in read_steps().values()
    )
    assert set(read_bench_words()["good"]) == set(STAGES) and all(
        set(words) <= kinds for words in read_bench_words()["good"].values()
    )
