"""A maker's YAML text to nodes that know their place; the only room that knows YAML.

Every scalar stays the text that was typed, so `on`, `1:30`, `010` and `1e3` reach the field that
they stand in unharmed.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple

import yaml

from wareboard.pot.frozen import frozen
from wareboard.text.plain import harmful
from wareboard.text.problems import Position, Problem, error, place_within

_TAGS = {
    kind: f"tag:yaml.org,2002:{tag}"
    for kind, tag in ((yaml.ScalarNode, "str"), (yaml.SequenceNode, "seq"), (yaml.MappingNode, "map"))
}


_TEXT = _TAGS[yaml.ScalarNode]


class _Loader(getattr(yaml, "CBaseLoader", yaml.BaseLoader)):  # type: ignore[misc]
    """The library's loader, without asking for each node what it might be: here it is text, a list or a mapping."""

    def resolve(self, kind: type, value: object, implicit: object) -> str:
        return _TAGS[kind]

    # Both are called for each node and have nothing to do: these do it soonest.
    descend_resolver, ascend_resolver = staticmethod(operator.is_), staticmethod(bool)


DEEPEST = 20
LONGEST_TEXT = 1_000_000
MOST_TOLD = 200  # problems of one file
_PLAIN_TAGS = frozenset({"!", *(f"tag:yaml.org,2002:{kind}" for kind in ("str", "seq", "map"))})


class Text(NamedTuple):
    """A scalar as typed; `quoted` where it stood in quotes or as a block, `cut` what a ` #` without a space has taken off."""

    text: str
    at: Position
    quoted: bool = False
    cut: str = ""


class Listing(NamedTuple):
    """A sequence of nodes."""

    items: tuple[Node, ...]
    at: Position


class Mapping(NamedTuple):
    """Keys with their nodes, in the order typed; a repeated key has been reported and left out."""

    entries: tuple[tuple[Text, Node], ...]
    at: Position

    def get(self, key: str) -> Node | None:
        """The node under a key, or None."""
        for name, node in self.entries:
            if name.text == key:
                return node
        return None


Node = Text | Listing | Mapping


class _Unreadable(Exception):
    """Why a file cannot be read as a spec at all; carries its problem."""

    def __init__(self, problem: Problem):
        super().__init__(problem.message)
        self.problem = problem


def read_nodes(text: str, file: str) -> tuple[Mapping | None, list[Problem]]:
    """Read one file's text.

    Args:
        text: the YAML text of the file.
        file: its path, for positions.
    Returns: the top mapping, or None where the text could not be read as one; and every problem.
    """
    start = Position(file)
    if len(text) > LONGEST_TEXT:
        return None, [
            error("too-long", start, f"the file is {len(text):,} characters long; a spec has at most {LONGEST_TEXT:,}")
        ]
    unprintable = yaml.reader.Reader.NON_PRINTABLE.search(text)
    if unprintable:
        return None, [_unprintable(text, unprintable.start(), file)]
    problems: list[Problem] = []
    try:
        top = _compose(text)
        lines = text.splitlines() if _CUT.search(text) else []
        node = None if top is None else _Conversion(file, lines, problems, "*" in text and "&" in text).node(top, 1)
    except _Unreadable as fault:
        return None, [*problems, fault.problem]
    except yaml.MarkedYAMLError as fault:
        return None, [*problems, _badly_written(fault, text, file)]
    except (yaml.YAMLError, RecursionError, ValueError) as fault:
        return None, [*problems, error("not-yaml", start, f"this cannot be read: {str(fault).splitlines()[0][:120]}")]
    if node is None or (isinstance(node, Text) and not node.text and not node.quoted):
        node = None
        problems.append(error("empty-file", start, "the file is empty", "write at least `title: Tall beaker`"))
    if node is not None and not isinstance(node, Mapping):
        problems.append(
            error("not-a-mapping", node.at, "a spec is lines of `key: value`", "begin with `title: Tall beaker`")
        )
        node = None
    return node, problems


def _compose(text: str) -> yaml.Node | None:
    loader = _Loader(text)
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


# A comment that begins without a space, like the number in `title: Jar #3`.
_CUT = re.compile(r"\s(#[^\s#].*)")
_PIECE = re.compile(r"[0-9]+")
# A studio has nodes by the ten thousand: these are made of a tuple as it is.
_position: Callable[[tuple[Any, ...]], Position] = partial(tuple.__new__, Position)
_text: Callable[[tuple[Any, ...]], Text] = partial(tuple.__new__, Text)


class _Conversion:
    """The library's nodes to ours, for one file.

    `lines` are its lines where some text may have been cut by a ` #`; `aliases` is true where there may be any.
    """

    def __init__(self, file: str, lines: list[str], problems: list[Problem], aliases: bool) -> None:
        self.file, self.lines, self.problems, self.aliases = file, lines, problems, aliases

    def place(self, node: yaml.Node) -> Position:
        """Where a node stands."""
        start, end = node.start_mark, node.end_mark
        line, column = start.line, start.column
        return _position((self.file, line + 1, column + 1, (end.column - column or 1) if end.line == line else 1))

    def node(self, node: yaml.Node, depth: int) -> Node:
        """A node of ours. Raises _Unreadable."""
        if depth > DEEPEST:
            raise _Unreadable(
                error(
                    "too-deep",
                    self.place(node),
                    f"this is nested more than {DEEPEST} deep",
                    "look at the brackets and at how far the lines are set in",
                )
            )
        if node.tag not in _PLAIN_TAGS:
            said = f"`{node.tag[:40]}` is a YAML tag; specs have none"
            self.problems.append(error("yaml-tag", self.place(node), said, "put quotes around the value"))
        if isinstance(node, yaml.ScalarNode):
            return self.text(node)
        if self.aliases:
            self.refuse_aliases(node)
        if isinstance(node, yaml.SequenceNode):
            return Listing(tuple([self.node(item, depth + 1) for item in node.value]), self.place(node))
        entries: list[tuple[Text, Node]] = []
        first: dict[str, Position] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                at, hint = self.place(key_node), "put quotes around text that holds { } [ ] or :"
                self.problems.append(error("odd-key", at, "a key is a plain word", hint))
                continue
            key = self.text(key_node)
            # Digits alone in braces are what a decimal comma has parted, each told where it is read.
            if key.text in first and not (node.flow_style and value_node.value == "" and _PIECE.fullmatch(key.text)):
                said = f"`{key.text[:40]}` is here twice; it stands first on line {first[key.text].line}"
                self.problems.append(error("repeated-key", key.at, said, "keep one of the two"))
                self.enough(key.at)
                continue
            first[key.text] = key.at
            # Most values are texts, of which the library had no tag to read.
            is_text = value_node.tag is _TEXT and depth < DEEPEST
            entries.append((key, self.text(value_node) if is_text else self.node(value_node, depth + 1)))
        # Lines of their own are underlined where they begin.
        return Mapping(tuple(entries), entries[0][0].at if entries and not node.flow_style else self.place(node))

    def enough(self, at: Position) -> None:
        """Raise _Unreadable where so much is wrong that nobody reads on."""
        if len(self.problems) >= MOST_TOLD:
            raise _Unreadable(
                error(
                    "too-many-problems",
                    at,
                    f"{MOST_TOLD} problems stand above this; it is read no further",
                    "mend those first",
                )
            )

    def text(self, node: yaml.ScalarNode) -> Text:
        """A scalar; what no output may be handed is refused here, so that nothing behind this room meets it."""
        value, style, end, at = node.value, node.style, node.end_mark, self.place(node)
        if not value.isprintable() and (found := harmful(value)):
            where = place_within(at, value, value[found[0]])
            said = f"the character {found[1]} cannot stand in a text"
            self.problems.append(error("unprintable", where, said, "delete it"))
            self.enough(at)
        if self.lines and not style and end.line < len(self.lines):
            cut = _CUT.match(self.lines[end.line], end.column)
            if cut:
                return Text(value, at, False, cut[1].rstrip())
        return _text((value, at, bool(style), ""))

    def refuse_aliases(self, node: yaml.CollectionNode) -> None:
        """Raise _Unreadable where a node stands in the tree twice: an alias, which could also be a bomb or a loop."""
        children = node.value if isinstance(node, yaml.SequenceNode) else [part for pair in node.value for part in pair]
        for child in children:
            if getattr(child, "wareboard_seen", False):
                raise _Unreadable(error("not-yaml", self.place(child), *_NO_ALIASES))
            child.wareboard_seen = True


def parted_by_comma(node: Mapping, place: int) -> tuple[str, str] | None:
    """The key and the number that were meant where a decimal comma in braces has made a key of the digits after it.

    Args:
        node: the mapping.
        place: which of its entries holds digits alone.
    Returns: `("diameter", "14.5")` for `{diameter: 14,5}`; None where that is not what happened.
    """
    key, value = node.entries[place]
    if not place or not _PIECE.fullmatch(key.text) or not isinstance(value, Text) or value.text:
        return None
    before, number = node.entries[place - 1]
    if not isinstance(number, Text) or not re.fullmatch(r"-?[0-9]+", number.text.strip()):
        return None
    return before.text, f"{number.text.strip()}.{key.text}"


_NO_ALIASES = (
    "anchors and aliases (`&`, `*`) are not used in specs",
    "write the value out again, or put quotes around it",
)
_TOO_DEEP = "look at the brackets and at how far the lines are set in"
_TEXT_AFTER = "there is more text after the closing {}"
_SAID_PLAINLY = (
    ("exceeded maximum nesting", "this is nested far too deep", _TOO_DEEP),
    ("alias", *_NO_ALIASES),
    ("anchor", *_NO_ALIASES),
    ("cannot start any token", "a value cannot start with this character", "put quotes around the value"),
    ("did not find expected node content", "a value cannot start with this character", "put quotes around the value"),
    ("mapping keys are not allowed", "a value cannot start with this character", "put quotes around the value"),
    (
        "mapping values are not allowed",
        "there is a second `: ` on this line",
        "put quotes around the value, or start a new line",
    ),
    ("did not find expected <document start>", "there is text here that belongs to no key", "write `key: value`"),
    ("tag", "a value that starts with `!` is a YAML tag", "put quotes around the value"),
    ("unexpected end of stream", "the quote that opens here is never closed", "close it on this line"),
    (
        "unknown escape character",
        "a `\\` in double quotes means something else in YAML",
        "put single quotes around the value",
    ),
    ("expected ',' or '}'", "a `{` is never closed, or a comma is missing", "write `{height: 2, diameter: 62}`"),
    ("expected ',' or ']'", "a `[` is never closed, or a comma is missing", "write `[foot, rim]`"),
    (
        "did not find expected '-'",
        "a list ends here, and this does not fit what stands above it",
        "look at how far the lines are set in",
    ),
    (
        "did not find expected key",
        "this does not fit what stands above it",
        "look at the quotes and at how far the lines are set in",
    ),
    ("could not find expected ':'", "this line has no `:`", "write `key: value`"),
    (
        "block sequence entries are not allowed",
        "a list starts with its first `- ` on a line of its own",
        "put the list on new lines",
    ),
    ("but found another document", "there is a second document (`---`) in this file", "one file holds one spec"),
    ("directive", "a line that starts with `%` is a YAML directive", "put quotes around the value"),
)
# What was opened and never closed is seen at its end and mended at its beginning.
_MENDED_WHERE_IT_BEGINS = ("unexpected end of stream", "could not find expected ':'")
_MENDED_THERE_IF_ABOVE = ("expected ',' or",)


def _badly_written(fault: yaml.MarkedYAMLError, text: str, file: str) -> Problem:
    said = f"{fault.problem or ''} {fault.context or ''}"
    lines = text.splitlines() or [""]
    line, column = _marked(fault, said, lines)
    at, before, after = Position(file, line + 1, column + 1), lines[line][:column], lines[line][column:]
    if re.match(r" *\t", lines[line]):
        return error("not-yaml", at, "a tab sets this line in", "set lines in with spaces")
    if after[:1] in ("@", "%", "`"):
        said = "cannot start any token"
    if quoted := re.match(r"""\s*[^"'#]*:\s*("[^"]*"|'[^']*')\s*[^\s,#}\]]""", lines[line]):
        other = "double" if quoted[1].startswith("'") else "single"
        return error("not-yaml", at, _TEXT_AFTER.format("quote"), f"put {other} quotes around the whole value")
    if "did not find expected key" in said and before.rstrip().endswith(("}", "]")):
        return error("not-yaml", at, _TEXT_AFTER.format("bracket"), "put quotes around the whole value")
    if "mapping values are not allowed" in said and ":" not in before:
        return error("not-yaml", at, "this line is set in too far", "set it in as far as the lines that it belongs to")
    opened = _opened_above(lines[: line + 1]) if "did not find expected key" in said else None
    if opened:
        return error(
            "not-yaml", Position(file, *opened), "the quote that opens here is never closed", "close it on this line"
        )
    if "could not find expected ':'" in said and (typed := _WITHOUT_COLON.match(lines[line])):
        spaced = " with a space behind it" if ":" in typed[0] else ""
        return error("not-yaml", at, f"this line has no `:`{spaced}", f"write `{typed[1]}: {typed[2]}`")
    for words, message, hint in _SAID_PLAINLY:
        if words in said and "'}'" in words:
            return error("not-yaml", at, message, _braced(lines[line], column) or hint)
        if words in said:
            return error("not-yaml", at, message, hint)
    hint = "look at the quotes, the colons and how far the lines are set in"
    return error("not-yaml", at, f"this cannot be read: {' '.join(said.split())}", hint)


# `wall 4`, `wall = 4`, `wall:4`, as far as a comment
_WITHOUT_COLON = re.compile(r"\s*([\w-]{1,40})(?:\s*[=:]\s*|\s+)(\d[^#:]{0,40}?|[^\s#=:]{1,40})\s*(?: #.*)?$")
_QUOTE_OPENED = re.compile(r"""(?:[^"'#:]*:|\s*-)\s+(["'])""")


def _opened_above(lines: list[str]) -> tuple[int, int] | None:
    """Line and column, from 1, of the last value that begins with a quote and whose line has no other; None where there is none."""
    for place in range(len(lines) - 1, -1, -1):
        found = _QUOTE_OPENED.match(lines[place])
        if found and lines[place].count(found[1]) == 1:
            return place + 1, found.end()
    return None


def _braced(line: str, column: int) -> str:
    """A line's braces with the commas and the end that they lack; nothing where that can't be told."""
    begun = line.rfind("{", 0, column + 1)
    inner = re.sub(r"\s#.*", "", line[begun + 1 :]).split("}")[0].strip()
    pieces = [piece.strip() for piece in re.split(r"[,;]|(?<=[^\s,:])\s+(?=[\w-]+:\s)", inner)]
    meant = f"{{{', '.join(piece for piece in pieces if piece)}}}"
    try:
        _compose(meant)
    except yaml.YAMLError:
        return ""
    return "" if begun < 0 or "{" in inner else f"write `{meant}`"


def _marked(fault: yaml.MarkedYAMLError, said: str, lines: list[str]) -> tuple[int, int]:
    """Line and column, from 0, of what should be mended."""
    mark, begun = fault.problem_mark or fault.context_mark, fault.context_mark
    if (begun and any(words in said for words in _MENDED_WHERE_IT_BEGINS)) or (
        begun and begun.line < mark.line and any(words in said for words in _MENDED_THERE_IF_ABOVE)
    ):
        mark = begun
    if mark is None or mark.line >= len(lines):
        return len(lines) - 1, len(lines[-1])
    return mark.line, min(mark.column, len(lines[mark.line]))


def _unprintable(text: str, index: int, file: str) -> Problem:
    lines = f"{text[:index]}.".splitlines()
    found = f"U+{ord(text[index]):04X}"
    at = Position(file, len(lines), len(lines[-1]))
    return error("unprintable", at, f"the character {found} cannot stand in a text", "delete it")


def quoted(text: str) -> str:
    """A text of one line as a value of YAML: as it is where nothing in it means anything there, else in quotes.

    >>> quoted("Tall beaker"), quoted("Jar #3"), quoted("it's: so")
    ('Tall beaker', "'Jar #3'", "'it''s: so'")
    """
    text = " ".join(text.split())
    try:
        node = _compose(text)
    except yaml.YAMLError:
        node = None
    if isinstance(node, yaml.ScalarNode) and not node.style and node.value == text:
        return text
    return "'" + text.replace("'", "''") + "'"


# ---- where things stand in the text, for who adds to it ----


@frozen
class Span:
    """A node in the text: where it begins and ends, counted in characters, and what it is.

    `kind` is `text`, `list` or `lines`; `flow` where it stands in brackets. `entries` holds key and value of lines, in order, `items` those
    of a list.
    """

    kind: str
    start: int
    end: int
    flow: bool = False
    text: str = ""
    entries: tuple[tuple[Span, Span], ...] = ()
    items: tuple[Span, ...] = ()

    def get(self, key: str) -> Span | None:
        """The value under a key, or None."""
        return next((value for name, value in self.entries if name.text == key), None)

    def last_character(self) -> int:
        """Where the last thing that was typed in it ends: a block's own end lies beyond its comments."""
        inner = [*(value for _, value in self.entries), *self.items]
        if self.flow or self.kind == "text" or not inner:
            return self.end
        return inner[-1].last_character()


def read_spans(text: str) -> Span:
    """Where everything stands in a text that `read_nodes` has read without a fault."""
    top = _compose(text)
    assert top is not None
    return _span(top)


def _span(node: yaml.Node) -> Span:
    start, end, flow = node.start_mark.index, node.end_mark.index, bool(getattr(node, "flow_style", False))
    if isinstance(node, yaml.ScalarNode):
        return Span("text", start, end, text=node.value)
    if isinstance(node, yaml.SequenceNode):
        return Span("list", start, end, flow, items=tuple(map(_span, node.value)))
    return Span("lines", start, end, flow, entries=tuple((_span(key), _span(value)) for key, value in node.value))
