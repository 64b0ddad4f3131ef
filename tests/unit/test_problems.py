"""How a problem is kept, ordered and said."""

from wareboard.text.problems import (
    Position,
    error,
    format_problem,
    format_words,
    has_errors,
    in_file_order,
    nearest_word,
    place_within,
    warning,
)

from tests.every import every

AT = Position("specs/forms/cup.yaml", 2, 7, 2)
TEXTS = {"specs/forms/cup.yaml": "title: Cup\nwall: 40\n"}


def test_a_message_whole():
    problem = error("wall-too-thick", AT, "parts.cup.wall: 40 leaves no inside", "make it thinner")
    assert format_problem(problem, TEXTS) == (
        "specs/forms/cup.yaml:2:7: error: parts.cup.wall: 40 leaves no inside [wall-too-thick]\n"
        "    2 | wall: 40\n"
        "              ^^\n"
        "   hint: make it thinner"
    )


def test_a_message_without_text_or_hint():
    assert format_problem(warning("thin-wall", AT, "thin")) == "specs/forms/cup.yaml:2:7: warning: thin [thin-wall]"
    assert "|" not in format_problem(error("empty-file", Position("specs/forms/cup.yaml", 9), "empty"), TEXTS)


def test_carets_stay_under_a_long_line():
    line = "title: " + "x" * 300 + "HERE" + "y" * 300
    shown = format_problem(
        error("odd-name", Position("a", 1, line.index("HERE") + 1, 4), "odd"), {"a": line}
    ).splitlines()
    start = shown[2].index("^")
    assert shown[1][start : start + 4] == "HERE"
    assert shown[2].count("^") == 4
    assert len(shown[1]) < 120


def test_carets_end_with_the_line_and_what_cannot_be_seen_is_written_out():
    shown = format_problem(error("odd-name", Position("a", 1, 3, 50), "odd"), {"a": "a\tbc\x07d"}).splitlines()
    assert shown[1] == "    1 | a bc<U+0007>d"
    assert shown[2] == "          ^^^^^^^^^^^"


def test_carets_stand_under_wide_letters_and_marks():
    shown = format_problem(error("odd-name", Position("a", 1, 8, 2), "odd"), {"a": "title: 碗碗, x"}).splitlines()
    assert shown[2] == " " * 15 + "^^^^"
    shown = format_problem(error("odd-name", Position("a", 1, 4, 1), "odd"), {"a": "e\u0301: x"}).splitlines()
    assert shown[2] == " " * 10 + "^"


@every("sign", ["\x1b", "\u202e", "\u2066", "\x9b"])
def test_nothing_in_a_message_steers_the_terminal(sign):
    said = error("odd-name", Position(f"specs/{sign}.yaml", 1, 1, 3), f"`{sign}`", f"not {sign}")
    assert sign not in format_problem(said, {said.at.file: f"{sign}abc"})
    assert f"<U+{ord(sign):04X}>" in format_problem(said)


@every("column", [1, 5, 50])
def test_a_place_at_or_past_the_end_still_has_a_caret(column):
    assert (
        format_problem(error("no-value", Position("a", 1, column), "no value"), {"a": "key:"})
        .splitlines()[2]
        .endswith("^")
    )


def test_json_has_every_field():
    assert error("thin-wall", AT, "thin", "thicker").as_json() == {
        "level": "error", "rule": "thin-wall", "message": "thin", "file": "specs/forms/cup.yaml", "line": 2, "column": 7, "hint": "thicker",
    }  # fmt: skip


def test_order_is_that_of_the_file_and_each_is_said_once():
    first, second, third = (
        error("x", Position(file, line, column), "m") for file, line, column in (("a", 2, 9), ("a", 10, 1), ("b", 1, 1))
    )
    assert in_file_order([third, second, first, second]) == [first, second, third]


def test_warnings_are_no_errors():
    assert not has_errors([warning("x", AT, "m")])
    assert has_errors([warning("x", AT, "m"), error("x", AT, "m")])


@every(
    ("word", "near"),
    [
        ("hieght", "height"),
        ("Diameter", "diameter"),
        ("dia", None),
        ("leatherhard", "leather-hard"),
        ("zzz", None),
        ("", None),
        ("x" * 10_000, None),
    ],
)
def test_nearest_word(word, near):
    assert nearest_word(word, ["height", "diameter", "leather-hard"]) == near


def test_words_in_a_row():
    assert format_words([]) == ""
    assert format_words(["wet"]) == "wet"
    assert format_words(["wet", "dry"], "and") == "wet and dry"


def test_a_place_within_a_text():
    at = Position("a", 3, 10, 9)
    assert place_within(at, "inside in", "in") == Position("a", 3, 17, 2)
    assert place_within(at, "inside in", "rim") == at
    # in quotes the text is two narrower than its place, so nobody knows where its parts stand
    assert place_within(at._replace(width=11), "inside in", "in").column == 10
