"""Each kind of value: what it takes, what it refuses, where it points, and its schema."""

import dataclasses
import datetime

import pytest
from wareboard.pot.frozen import frozen
from wareboard.text import source
from wareboard.text.compounds import Either, ListOf, MapOf
from wareboard.text.kinds import Choice, Day, Flag, Name, Prose, Reading, Slug, Whole, Word
from wareboard.text.problems import Position
from wareboard.text.records import (
    Nested,
    kept,
    key,
    keys_of,
    reached_records,
    read_record,
    record_schema,
    typed_form,
)
from wareboard.text.sizekinds import Measure

from tests.every import every


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """A foot."""

    at: Position
    height: object = key(Measure("length", most=100.0, above=True), "how high", example="3", required=True)
    recess: object = key(Measure("length", staged=True), "how deep", typed="turned-recess", unless_given="none")


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Pot:
    """A pot."""

    title: object = key(Name(), "its name", required=True)
    feet: dict = key(MapOf(Nested(Foot), "foot", frozenset({"ball"})), "its feet", default={})
    marks: tuple = key(ListOf(Prose(), or_one=True), "its marks", default=())


def read(kind, typed, **given):
    """A value and what was said of it, from `k: typed`."""
    node = source.read_nodes(f"k: {typed}", "a.yaml")[0].get("k")
    reading = Reading(**given)
    return kind.read(node, "pot.k", reading), [
        (problem.rule, problem.message, problem.hint) for problem in reading.problems
    ]


def refused(kind, typed, **given):
    """The one problem that a value has."""
    value, said = read(kind, typed, **given)
    assert value is None
    assert len(said) == 1
    return said[0]


def read_pot(text):
    reading = Reading()
    return read_record(Pot, source.read_nodes(text, "a.yaml")[0], "", reading), reading


@every(
    "name",
    ["Tall beaker", "Cup & saucer", "Schüssel ½", "碗", "Jean-Luc's", "कप", "B-12/3", "(a) b. c,d+e", "AT&T; mug"],
)
def test_names_that_are_taken(name):
    if name == "AT&T; mug":
        assert refused(Name(), f'"{name}"')[0] == "odd-name"
    else:
        assert read(Name(), f'"{name}"') == (name, [])


@every(
    ("name", "odd"),
    [("Cup <b>", "<"), ("a&lt;b", ";"), ("{{ x }}", "{"), ('say "cup"', '"'), ("cup|mug", "|"), ("tab\\there", "\\")],
)
def test_names_that_are_refused(name, odd):
    rule, message, hint = refused(Name(), f"'{name}'")
    assert (rule, message) == ("odd-name", f"pot.k: `{odd}` cannot stand in a name")
    assert hint.startswith("names hold letters, digits, spaces and")


def test_a_name_is_tidied_and_has_an_end():
    assert read(Name(), '"  Tall   beaker "')[0] == "Tall beaker"
    assert read(Name(longest=5), "plate")[0] == "plate"
    assert refused(Name(longest=5), "beaker") == (
        "long-name",
        "pot.k: this name is 6 characters long; at most 5 fit on a card",
        "",
    )


def test_words_know_where_they_stand():
    word, _ = read(Prose(), "by hand")
    assert (word, word.at) == ("by hand", Position("a.yaml", 1, 4, 7))
    assert isinstance(word, Word)


def test_choices():
    stages = Choice(("wet", "leather-hard"))
    assert read(stages, "leather-hard")[0] == "leather-hard"
    assert refused(stages, "leatherhard") == (
        "unknown-word",
        "pot.k: `leatherhard` is not known here; it is wet or leather-hard",
        "did you mean `leather-hard`?",
    )
    assert refused(stages, "x")[2] == ""


@every(("typed", "value"), [("4", 4.0), ("4 mm", 4.0), ("1 cm", 10.0), ("1/2 in", 12.7), ("0.1", 0.1), ("300", 300.0)])
def test_measures(typed, value):
    size, said = read(Measure("length", most=300.0, above=True), typed)
    assert said == []
    assert size.value == pytest.approx(value)
    assert (size.typed, size.stage, size.at.column) == (typed, None, 4)


def test_a_bare_number_takes_the_unit_of_its_file_for_lengths_only():
    assert read(Measure("length"), "2", unit="in")[0].value == pytest.approx(50.8)
    assert refused(Measure("mass"), "2", unit="in")[0] == "unreadable-size"


def test_a_fluid_ounce_takes_the_studios():
    assert read(Measure("volume"), "1 fl oz", fluid_ounce="imp")[0].value == pytest.approx(28.4130625)
    assert refused(Measure("volume"), "1 fl oz")[0] == "unreadable-size"


def test_stages_only_where_a_size_holds_at_one():
    assert read(Measure("length", staged=True), "2 mm wet")[0].stage == "wet"
    assert refused(Measure("length"), "2 mm wet")[0] == "unreadable-size"
    assert read(Measure("share", taken_of=("wet", "dry")), "6 % of dry")[0].of == "dry"
    for typed in ("6 % of dry", "6 % dry"):  # a share that is of one thing only is not read as one of another
        assert refused(Measure("share"), typed)[0] == "unreadable-size"


@every(
    ("kind", "typed", "message"),
    [
        (
            Measure("length", most=300.0, above=True),
            "0",
            "`0` cannot be; a length is more than 0 mm and at most 300 mm here",
        ),
        (
            Measure("length", most=300.0, above=True),
            "301",
            "`301` cannot be; a length is more than 0 mm and at most 300 mm here",
        ),
        (Measure("length"), "-1 in", "`-1 in` cannot be; a length is at least 0 mm here"),
        (Measure("share", most=0.9), "95 %", "`95 %` cannot be; a percentage is at least 0 % and at most 90 % here"),
        (Measure("number", least=0.5, most=2.0), "3", "`3` cannot be; a number is at least 0.5 and at most 2 here"),
    ],
)
def test_limits_are_said_with_what_was_typed(kind, typed, message):
    assert refused(kind, typed) == ("size-out-of-range", f"pot.k: {message}", "")


@every("typed", ["26", "0", "100000", "007"])
def test_whole_numbers(typed):
    assert read(Whole(), typed) == (int(typed), [])


@every("typed", ["26.5", "-1", "100001", "9999999999", "1e3", "1_000", "٣", "ten"])
def test_numbers_that_are_not_whole(typed):
    assert refused(Whole(), typed)[:2] == ("not-whole", f"pot.k: `{typed}` is not a whole number from 0 to 100000")


def test_days():
    assert read(Day(), "2026-03-14") == (datetime.date(2026, 3, 14), [])
    for typed in ("14.3.2026", "2026-02-30", "20260314", "2026-3-14", "yesterday"):
        assert refused(Day(), typed)[0] == "not-a-date"


def test_flags():
    assert [read(Flag(), typed)[0] for typed in ("true", "Yes", "false", "NO")] == [True, True, False, False]
    assert refused(Flag(), "on")[:2] == ("unknown-word", "pot.k: `on` is neither true nor false")


def test_lists():
    assert read(ListOf(Prose()), "[a, b]")[0] == ("a", "b")
    assert read(ListOf(Prose(), or_one=True), "a")[0] == ("a",)
    assert refused(ListOf(Prose()), "a")[0] == "wrong-shape"
    values, said = read(ListOf(Whole()), "[1, x, 3, y]")
    assert values == (1, 3)
    assert [message for _, message, _ in said] == [
        "pot.k[2]: `x` is not a whole number from 0 to 100000",
        "pot.k[4]: `y` is not a whole number from 0 to 100000",
    ]


def test_names_of_the_makers_own():
    values, said = read(MapOf(Whole(), "station"), "{foot: 1, tiefe Schüssel: 2, 陶-1: 3}")
    assert (list(values), said) == (["foot", "tiefe Schüssel", "陶-1"], [])
    assert {name.at.line for name in values} == {1}
    for odd in ("-a", "a.b", "'a<b'", "_a", "a" * 41, "''"):
        _, said = read(MapOf(Whole(), "station"), f"{{{odd}: 1}}")
        assert [rule for rule, _, _ in said] == ["odd-name"]


def test_names_that_figures_have():
    _, said = read(MapOf(Whole(), "station", frozenset({"ball"})), "{ball: 1}")
    assert said == [
        ("reserved-name", "pot.k: `ball` is the name of a figure, so no station can have it", "did you mean `ball-1`?")
    ]


def test_maps_of_given_names():
    stages = MapOf(Prose(), "stage", choices=("wet", "dry"))
    assert read(stages, "{wet: a}")[0] == {"wet": "a"}
    assert read(stages, "{drry: a}")[1] == [("unknown-key", "pot.k: there is no `drry` here", "did you mean `dry`?")]
    assert read(stages, "{x: a}")[1][0][2] == "there are wet and dry"


def test_either():
    wall = Either(Whole(), MapOf(Whole(), "station"))
    assert read(wall, "4")[0] == 4
    assert read(wall, "{foot: 5}")[0] == {"foot": 5}
    assert refused(wall, "[4]")[0] == "wrong-shape"


@every("kind", [Name(), Prose(), Slug("clays"), Choice(("a",)), Measure("length"), Whole(), Day(), Flag()])
def test_what_no_single_value_takes(kind):
    assert refused(kind, "")[:2] == ("no-value", "pot.k: there is no value")
    assert refused(kind, "[a]")[0] == "wrong-shape"
    assert refused(kind, "{a: b}")[2].startswith("put quotes around a text")


def test_a_record_with_its_places():
    pot, reading = read_pot("title: Bowl\nfeet:\n  front: {height: 3, turned-recess: 1 wet}\nmarks: JC\n")
    assert reading.problems == []
    assert (pot.title, pot.marks) == ("Bowl", ("JC",))
    assert pot.feet["front"].recess.stage == "wet"
    assert pot.feet["front"].at == Position("a.yaml", 3, 10, 33)


def said_of(text):
    return [(problem.rule, problem.at.line, problem.message, problem.hint) for problem in read_pot(text)[1].problems]


def test_every_problem_of_a_record_at_once():
    assert [rule for rule, *_ in said_of("titel: Bowl\nfeet:\n  front: {height: 3 pots}\n  ball: {height: 1}\nmarks:\n")] == [
        "unknown-key", "unreadable-size", "reserved-name", "no-value",
    ]  # fmt: skip


def test_a_misspelt_key_is_read_on_and_not_called_missing():
    assert said_of("titel: Bowl") == [("unknown-key", 1, "there is no key `titel`", "did you mean `title`?")]
    assert [rule for rule, *_ in said_of("title: Bowl\nfeat: {front: {hieght: 3 pots}}")] == [
        "unknown-key",
        "unknown-key",
        "unreadable-size",
    ]


def test_a_key_of_which_only_the_beginning_is_typed():
    assert said_of("t: Bowl\nfeet: {front: {h: 3}}") == [
        ("unknown-key", 1, "there is no key `t`", "did you mean `title`?"),
        ("unknown-key", 2, "feet.front: there is no key `h`", "did you mean `height`?"),
    ]


def test_a_misspelt_key_beside_the_right_one_is_only_named():
    pot, reading = read_pot("titel: <Jug>\ntitle: Bowl")
    assert [problem.rule for problem in reading.problems] == ["unknown-key"]
    assert pot.title == "Bowl"


def test_a_forgotten_colon_is_seen():
    assert said_of("title: Bowl\nfeet:\n  front: {height 3, turned-recess: 1}") == [
        ("unknown-key", 3, "feet.front: there is no `:` after `height`", "write `height: 3`")
    ]


def test_an_unknown_key_that_is_near_nothing_lists_those_that_there_are():
    assert said_of("title: Bowl\ncolour: red")[0][3] == "the keys here are title, feet and marks"


def test_a_missing_key_says_what_it_is_for():
    assert said_of("title: Bowl\nfeet:\n  front: {turned-recess: 1}") == [
        ("missing-key", 3, "feet.front: `height` is missing: how high", "write `height: 3`")
    ]


def test_names_in_what_could_not_be_read_are_kept():
    _, reading = read_pot(
        "title: Bowl\nfeet:\n  front: {height: x}\n  ball: {height: 3}\n  back: {height: 3}\nmarks: {odd: 1}\n"
    )
    assert reading.unread == {"front", "height", "ball", "marks", "odd"}


def test_schema_of_a_record():
    schema = record_schema(Pot)
    assert schema["required"] == ["title"]
    assert schema["additionalProperties"] is False
    assert schema["properties"]["feet"]["additionalProperties"] == {"$ref": "#/$defs/Foot"}
    assert record_schema(Foot)["properties"]["turned-recess"]["description"] == "how deep. Unless given: none"
    assert record_schema(Foot)["properties"]["height"]["examples"] == ["3"]
    assert reached_records(Pot) == [Pot, Foot]


def test_keys_are_the_makers_words():
    assert list(keys_of(Foot)) == ["height", "turned-recess"]
    assert keys_of(Foot)["turned-recess"].field == "recess"


def test_what_was_typed_without_places():
    spaced, _ = read_pot("title:   Bowl\nfeet: {front: {height: 3  mm}}")
    plain, _ = read_pot("# a comment\ntitle: Bowl\n\nfeet:\n  front:\n    height: 3 mm\n")
    assert typed_form(spaced) == typed_form(plain) == {"title": "Bowl", "feet": {"front": {"height": "3"}}}


def test_what_comes_of_a_spec_is_kept_with_it_and_not_with_a_changed_one():
    asked = []

    @kept
    def twice(spec):
        asked.append(spec.width)
        return 2 * spec.width

    @frozen
    class Plank:
        width: int

    plank = Plank(3)
    assert [twice(plank), twice(plank), twice(dataclasses.replace(plank, width=4)), twice(plank)] == [6, 6, 8, 6]
    assert asked == [3, 4] and plank == Plank(3)
