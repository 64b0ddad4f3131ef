"""A maker's text to nodes with their places, and what is said where it is not written as specs are."""

from wareboard.text.problems import Position
from wareboard.text.source import DEEPEST, LONGEST_TEXT, Listing, Mapping, Text, quoted, read_nodes

from tests.every import every


def read(text):
    """The nodes of a text without faults."""
    top, problems = read_nodes(text, "a.yaml")
    assert problems == []
    return top


def fault_of(text):
    """The one problem of a text: rule, line, column, message, hint."""
    top, problems = read_nodes(text, "a.yaml")
    assert len(problems) == 1
    problem = problems[0]
    assert problem.level == "error"
    assert problem.at.file == "a.yaml"
    return problem.rule, problem.at.line, problem.at.column, problem.message, problem.hint


@every(
    "typed",
    ["on", "no", "NO", "yes", "null", "~", "1:30", "010", "0x1F", "1_000", "1e3", ".inf", "NaN", "1.50", "+5", "2026-03-14",
     "3 1/2\"", "3' 4\"", "½ in", "12 %", "5 × 3", "14 h", "=", "<<"],
)  # fmt: skip
def test_every_scalar_is_the_text_that_was_typed(typed):
    top = read(f"size: {typed}\nlist: [a, {typed}]\n{typed}: key\n")
    assert top.get("size").text == typed
    assert [item.text for item in top.get("list").items] == ["a", typed]
    assert top.get(typed).text == "key"


def test_places():
    top = read(
        "# comment\ntitle: Tall beaker\nparts:\n  cup:\n    rim: {height: 90 mm, diameter: '80'}\n    list:\n      - a\n      - b\n"
    )
    assert top.get("title") == Text("Tall beaker", Position("a.yaml", 2, 8, 11))
    assert top.entries[0][0].at == Position("a.yaml", 2, 1, 5)
    rim = top.get("parts").get("cup").get("rim")
    assert rim.at == Position("a.yaml", 5, 10, 31)
    assert rim.get("height").at == Position("a.yaml", 5, 19, 5)
    assert rim.get("diameter") == Text("80", Position("a.yaml", 5, 36, 4), quoted=True)
    assert [item.at for item in top.get("parts").get("cup").get("list").items] == [
        Position("a.yaml", 7, 9),
        Position("a.yaml", 8, 9),
    ]


def test_places_count_characters_and_any_line_end():
    top = read("title: Schüssel ½ 碗\r\nclay: 陶\r\n")
    assert top.get("title").at == Position("a.yaml", 1, 8, 12)
    assert top.get("clay").at == Position("a.yaml", 2, 7, 1)
    assert read("\ufefftitle: Cup").get("title").text == "Cup"


def test_blocks_and_quotes():
    top = read('notes: |\n  one\n  two\ncare: "by hand"\nplain: by hand\n')
    assert (top.get("notes").text, top.get("notes").quoted) == ("one\ntwo\n", True)
    assert top.get("care").quoted
    assert not top.get("plain").quoted


def test_nodes_are_of_three_kinds():
    top = read("a: 1\nb: [1]\nc: {d: 1}\n")
    assert isinstance(top.get("a"), Text)
    assert isinstance(top.get("b"), Listing)
    assert isinstance(top.get("c"), Mapping)
    assert top.get("e") is None


@every(
    ("text", "line", "column", "message", "hint"),
    [
        ("title: @cup", 1, 8, "a value cannot start with this character", "put quotes around the value"),
        ("title: %cup", 1, 8, "a value cannot start with this character", "put quotes around the value"),
        ("title: `cup`", 1, 8, "a value cannot start with this character", "put quotes around the value"),
        ("title: }", 1, 8, "a value cannot start with this character", "put quotes around the value"),
        (
            'care: "5" tall',
            1,
            11,
            "there is more text after the closing quote",
            "put single quotes around the whole value",
        ),
        (
            "title: 'Tom's cup'",
            1,
            13,
            "there is more text after the closing quote",
            "put double quotes around the whole value",
        ),
        (
            "wet: {cup.ball wet} of clay",
            1,
            21,
            "there is more text after the closing bracket",
            "put quotes around the whole value",
        ),
        ("a: b: c", 1, 5, "there is a second `: ` on this line", "put quotes around the value, or start a new line"),
        (
            "a:\n  b: 1\n   c: 2",
            3,
            5,
            "this line is set in too far",
            "set it in as far as the lines that it belongs to",
        ),
        ("a:\n\tb: c", 2, 1, "a tab sets this line in", "set lines in with spaces"),
        (
            "a:\n  rim: {height: 1\nb: 2",
            2,
            8,
            "a `{` is never closed, or a comma is missing",
            "write `{height: 1}`",
        ),
        (
            "rim: {height: 2 diameter: 62}",
            1,
            25,
            "a `{` is never closed, or a comma is missing",
            "write `{height: 2, diameter: 62}`",
        ),
        ("bare: [foot, rim\nfloor: 2", 1, 7, "a `[` is never closed, or a comma is missing", "write `[foot, rim]`"),
        ('a: "open\nb: 2\n', 1, 4, "the quote that opens here is never closed", "close it on this line"),
        ("a: 1\nwords\nb: 2", 2, 1, "this line has no `:`", "write `key: value`"),
        ("a: 1\nwall 4  # mm\nb: 2", 2, 1, "this line has no `:`", "write `wall: 4`"),
        ("a: 1\nwall:4\nb: 2", 2, 1, "this line has no `:` with a space behind it", "write `wall: 4`"),
        ("a: 1\nKeep the wall straight\nb: 2", 2, 1, "this line has no `:`", "write `key: value`"),
        ("a: 'open\nb: 2\nc: 'x'\n", 1, 4, "the quote that opens here is never closed", "close it on this line"),
        (
            "rim: {height: 2; diameter: 62}",
            1,
            26,
            "a `{` is never closed, or a comma is missing",
            "write `{height: 2, diameter: 62}`",
        ),
        ("a: - 1", 1, 4, "a list starts with its first `- ` on a line of its own", "put the list on new lines"),
        ("a: 1\n---\nb: 2", 2, 1, "there is a second document (`---`) in this file", "one file holds one spec"),
        (
            "a: *x",
            1,
            4,
            "anchors and aliases (`&`, `*`) are not used in specs",
            "write the value out again, or put quotes around it",
        ),
        (
            "a: &x 5\nb: *x",
            1,
            4,
            "anchors and aliases (`&`, `*`) are not used in specs",
            "write the value out again, or put quotes around it",
        ),
        (
            "a: &x [*x]",
            1,
            4,
            "anchors and aliases (`&`, `*`) are not used in specs",
            "write the value out again, or put quotes around it",
        ),
        ("a: !x! b", 1, 7, "a value that starts with `!` is a YAML tag", "put quotes around the value"),
        (
            'a: "\\q"',
            1,
            5,
            "a `\\` in double quotes means something else in YAML",
            "put single quotes around the value",
        ),
        (
            "title: Cup\n clay: b",
            2,
            6,
            "this line is set in too far",
            "set it in as far as the lines that it belongs to",
        ),
        (
            "notes: |\n  x\n y",
            3,
            2,
            "this does not fit what stands above it",
            "look at the quotes and at how far the lines are set in",
        ),
    ],
)
def test_what_is_not_yaml_is_said_in_plain_words(text, line, column, message, hint):
    assert fault_of(text) == ("not-yaml", line, column, message, hint)
    assert read_nodes(text, "a.yaml")[0] is None


def test_an_alias_bomb_is_refused_before_it_is_walked():
    bomb = "a: &a [x, x]\n" + "".join(
        f"{new}: &{new} [{','.join(f'*{old}' for _ in range(9))}]\n" for old, new in zip("abcdefgh", "bcdefghi")
    )
    assert fault_of(bomb)[0] == "not-yaml"


@every("deep", ["a: " + "[" * 40 + "]" * 40, "- " * 40 + "a", "a: " + "[" * 400_000, "? " * 100_000])
def test_depth_has_an_end(deep):
    assert fault_of(deep)[0] in ("too-deep", "not-yaml", "odd-key", "not-a-mapping")


def test_the_deepest_that_is_read():
    levels = DEEPEST - 2
    assert read("a: " + "[" * levels + "x" + "]" * levels)
    assert fault_of("a: " + "[" * (levels + 1) + "x" + "]" * (levels + 1))[0] == "too-deep"


def test_a_text_that_is_too_long():
    assert read("a: " + "x" * (LONGEST_TEXT - 3))
    assert fault_of("a: " + "x" * (LONGEST_TEXT - 2)) == (
        "too-long",
        1,
        1,
        "the file is 1,000,001 characters long; a spec has at most 1,000,000",
        "",
    )


def test_a_character_that_cannot_be_printed():
    assert fault_of("title: Cup\nnotes: a\x07b") == (
        "unprintable",
        2,
        9,
        "the character U+0007 cannot stand in a text",
        "delete it",
    )


@every("text", ["", "\n\n", "# only this\n", "---\n"])
def test_an_empty_file(text):
    assert fault_of(text) == ("empty-file", 1, 1, "the file is empty", "write at least `title: Tall beaker`")


@every("text", ["just words", "- a\n- b", "'quoted'", "a:1"])
def test_a_file_that_is_no_mapping(text):
    assert fault_of(text)[0] == "not-a-mapping"


def test_a_repeated_key_keeps_the_first_and_the_rest_is_read():
    top, problems = read_nodes("a: 1\na: 2\nb: {c: 1, c: 2}\nd: 3", "a.yaml")
    assert [(problem.rule, problem.at) for problem in problems] == [
        ("repeated-key", Position("a.yaml", 2, 1, 1)),
        ("repeated-key", Position("a.yaml", 3, 11, 1)),
    ]
    assert (top.get("a").text, top.get("b").get("c").text, top.get("d").text) == ("1", "1", "3")


def test_a_tag_and_an_odd_key_are_named_and_the_rest_is_read():
    top, problems = read_nodes("a: !!int 5\n{b: c}: d\ne: f", "a.yaml")
    assert [(problem.rule, problem.at.line, problem.at.column) for problem in problems] == [
        ("yaml-tag", 1, 4),
        ("odd-key", 2, 1),
    ]
    assert (top.get("a").text, top.get("e").text) == ("5", "f")


def test_comments_for_an_editor_are_comments():
    assert read("# yaml-language-server: $schema=../.schema/form.schema.json\ntitle: Cup\n").get("title").text == "Cup"


def test_the_plain_loader_reads_the_same(monkeypatch):
    import yaml

    text = "# c\ntitle: Schüssel ½\nparts:\n  cup: {wall: '4', list: [a, on, 1:30]}\nnotes: |\n  x\n"
    quick = read(text)
    monkeypatch.setattr("wareboard.text.source._Loader", yaml.BaseLoader)
    assert read(text) == quick


@every("escape", [r"\x1b[2J", r"\u202e", r"\u2067", r"\x85", r"\ufeff"])
def test_no_harmful_character_comes_in_by_an_escape(escape):
    rule, line, column, message, _ = fault_of(f'title: Cup\nnotes: "a{escape}b"')
    assert (rule, line, column) == ("unprintable", 2, 8)
    assert "cannot stand in a text" in message


def test_joiners_and_marks_of_direction_are_letters_of_some_scripts():
    assert read_nodes("title: می\u200cخواهم\u200f", "a.yaml")[1] == []


@every(
    "text",
    [
        "Tall beaker",
        "Jar #3",
        "a: b",
        "it's",
        "- x",
        "{a}",
        "true",
        "12",
        "",
        "# x",
        "'a'",
        '"',
        "B & C",
        "&a",
        "*b",
        "!c",
        "%d",
        "@e",
        "a # b",
        "x:",
    ],
)
def test_a_text_that_is_quoted_reads_as_itself(text):
    node, problems = read_nodes(f"title: {quoted(text)}\nend: x", "a.yaml")
    assert problems == []
    assert node.get("title").text == text
