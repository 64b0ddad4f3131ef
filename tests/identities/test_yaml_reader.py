"""Whatever is typed: nodes whose places are true, or problems with a place; never an exception."""

import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st
from wareboard.text.problems import format_problem
from wareboard.text.source import Listing, Text, read_nodes

FILE = "specs/forms/a.yaml"
# Lines as a maker's slips make them, rather than noise alone.
PIECES = st.sampled_from(
    ["title", "cup", ": ", ":", "- ", "\n", "\n  ", "\n    ", "\t", "{", "}", "[", "]", ", ", "'", '"', "#", " #", "|", ">", "&a", "*a",
     "!", "!!int", "%", "@", "`", "?", "---", "...", "3 1/2 in", '5"', "½", "×", "\u2028", "\x85", "\r\n", "\r", "\x07", "\ufeff", "\\", "on", "1:30", "~", "<<"]
)  # fmt: skip
TYPED = st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=25).map("".join))
WORD = st.text("abcdefghijklmnopqrstuvwxyzäß陶0123456789", min_size=1, max_size=8)
# Everything that YAML would read as something else than a text.
SURPRISES = st.sampled_from(
    [
        "on",
        "off",
        "yes",
        "no",
        "null",
        "~",
        "true",
        "1:30",
        "010",
        "0x1f",
        "0o17",
        "1_000",
        "1e3",
        ".inf",
        ".nan",
        "2026-03-14",
        "+1",
        "1.50",
        "=",
        "<<",
    ]
)


def lines_of(text):
    return text.removeprefix("\ufeff").splitlines() or [""]


def walk(node):
    yield node
    if isinstance(node, Listing):
        for item in node.items:
            yield from walk(item)
    elif not isinstance(node, Text):
        for name, value in node.entries:
            yield name
            yield from walk(value)


@settings(max_examples=200)
@given(TYPED)
@example("a: &x [*x]")
@example("a: |\n\x85")
@example("'")
@example("a: 'x\n\n\n")
@example("{" * 50)
@example("\ufeff")
@example("a: b\r\rc: d")
def test_any_text_is_read_or_refused_with_a_place(text):
    top, problems = read_nodes(text, FILE)
    assert top is not None or problems
    for problem in problems:
        lines = text.splitlines() or [""]
        assert problem.at.file == FILE
        assert 1 <= problem.at.line <= len(lines)
        assert 1 <= problem.at.column <= len(lines[problem.at.line - 1]) + 2
        assert problem.at.width >= 1
        assert problem.message
        assert format_problem(problem, {FILE: text})


@settings(max_examples=150)
@given(TYPED)
def test_places_are_true(text):
    """Where a plain text stands, the file has that text."""
    top, _ = read_nodes(text, FILE)
    lines = lines_of(text)
    for node in walk(top) if top else ():
        assert 1 <= node.at.line <= len(lines) + 1
        if isinstance(node, Text) and not node.quoted and node.at.width == len(node.text):
            line = lines[node.at.line - 1]
            assert line[node.at.column - 1 :][: node.at.width] == node.text


@settings(max_examples=100)
@given(
    st.dictionaries(st.one_of(WORD, SURPRISES), st.one_of(WORD, SURPRISES), min_size=1, max_size=6), st.integers(0, 3)
)
def test_every_scalar_comes_back_as_it_was_typed(typed, blank):
    text = "\n" * blank + "".join(f"{name}: {value}\n" for name, value in typed.items())
    top, problems = read_nodes(text, FILE)
    assert problems == []
    assert [(name.text, value.text) for name, value in top.entries] == list(typed.items())
    assert [name.at.line for name, _ in top.entries] == list(range(blank + 1, blank + 1 + len(typed)))


TREES = st.recursive(
    st.one_of(WORD, SURPRISES),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORD, inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=100)
@given(st.dictionaries(WORD, TREES, min_size=1, max_size=4), st.booleans())
def test_there_and_back(tree, flow):
    """What another writer of YAML wrote, quoted as it thinks best, has the same texts in the same order."""
    text = yaml.safe_dump(tree, allow_unicode=True, sort_keys=False, default_flow_style=flow)
    top, problems = read_nodes(text, FILE)
    assert problems == []
    assert plain(top) == tree


def plain(node):
    if isinstance(node, Text):
        return node.text
    return (
        [plain(item) for item in node.items]
        if isinstance(node, Listing)
        else {name.text: plain(value) for name, value in node.entries}
    )


@settings(max_examples=60)
@given(st.dictionaries(WORD, WORD, min_size=2, max_size=5), st.data())
def test_a_repeated_key_is_always_found(typed, data):
    again = data.draw(st.sampled_from(sorted(typed)))
    text = "".join(f"{name}: {value}\n" for name, value in typed.items()) + f"{again}: x\n"
    top, problems = read_nodes(text, FILE)
    assert [(problem.rule, problem.at.line) for problem in problems] == [("repeated-key", len(typed) + 1)]
    assert {name.text: value.text for name, value in top.entries} == typed
