"""Formulas that say themselves: one object gives a figure's value, its working in words and its rule.

What a number is called tells its unit, as everywhere in the project: `thrown_g`, `lost_share`, `wet_mm`.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache, partial
from math import floor, fsum, hypot, log10, sqrt
from string import Formatter
from typing import Any, NamedTuple

from wareboard.text.languages import _, later, pointed

Number = float | Sequence[float]


# A sheet has hundreds of notes: a tuple made as such takes half the time of one that is called by its class.
_made: Callable[..., Any] = tuple.__new__


class Note(NamedTuple):
    """Words with what is put into them, said when they are asked for: nobody knows before in which language."""

    text: str | Formula
    put: Mapping[str, Put]

    def __str__(self) -> str:
        return working(self.text, self.put)


Put = Number | str | Note | Sequence[Note]


def noted(text: str | Formula, /, **put: Put) -> Note:
    """Words that are said later.

    Args:
        text: the words, with names of `put` in braces, a message of the catalogues; or a formula.
        put: what is put in: numbers, whose names end in their unit, words as they are, and other notes.
    >>> str(noted("glaze on {faces} faces, {film_mm} each", faces=2.0, film_mm=0.3))
    'glaze on 2 faces, 0.3 mm each'
    """
    return _made(Note, (text, put))  # type: ignore[no-any-return]


# What the end of a name says of its number: the unit that is printed, and by how much it is multiplied first.
UNIT_ENDS = {
    "_g_cm3": ("g/cm3", 1.0), "_kg_m2": ("kg/m2", 1.0), "_kg_l": ("kg/l", 1.0), "_g_ml": ("g/ml", 1.0),
    "_mm2": ("mm2", 1.0), "_cm2": ("cm2", 1.0), "_cm3": ("cm3", 1.0), "_mm": ("mm", 1.0), "_ml": ("ml", 1.0),
    "_g": ("g", 1.0), "_kg": ("kg", 1.0), "_h": ("h", 1.0), "_deg": ("°", 1.0), "_percent": ("%", 1.0), "_share": ("%", 100.0),
}  # fmt: skip
# fsum, as plain sums differ in their last digit from one Python to the next.
CALLS: Mapping[str, Callable[..., float]] = {
    "sum": fsum, "max": max, "min": min, "sqrt": sqrt, "root_sum_square": lambda values: hypot(*values),
}  # fmt: skip
_SCOPE: dict[str, Any] = {"__builtins__": {}, **CALLS}
_SAID_CALLS = {
    "sqrt": "√{terms}",
    "root_sum_square": later("root of the sum of squares of {terms}"),
    "max": later("the larger of {terms}"),
    "min": later("the smaller of {terms}"),
}
_SIGNS: Mapping[type[ast.operator], tuple[str, int]] = {
    ast.Add: ("+", 1), ast.Sub: ("−", 1), ast.Mult: ("×", 2), ast.Div: ("/", 2), ast.Pow: ("^", 4),
}  # fmt: skip

LEAST_SAID = 1e-6  # nobody sets or weighs less, and a share of a millionth of a per cent is none


def number(value: float) -> str:
    """A number inside a formula in words: five digits, no more than it is worth, and never in powers of ten.

    >>> number(90.909090), number(0.00035), number(403000.0)
    ('90.909', '0.00035', '403000')
    >>> number(0.0000123), number(1.3e-42)
    ('0.000012', '<0.000001')
    """
    if value == 0.0:
        return "0"
    if abs(value) < LEAST_SAID:
        return pointed(f"<{LEAST_SAID:f}" if value > 0.0 else f">-{LEAST_SAID:f}")
    if abs(value) < 1e-4:
        return pointed(f"{value:.{1 - floor(log10(abs(value)))}f}")
    return pointed(f"{value:.0f}" if abs(value) >= 99_999.5 else f"{value:.5g}")


def percent(share: float) -> str:
    """A share inside a formula in words.

    >>> percent(0.1205)
    '12.05 %'
    """
    return f"{number(share * 100.0)} %"


@cache
def _ending(name: str) -> tuple[str, str, float]:
    """A number's words, its unit and what it is multiplied by before it is printed."""
    for end, (unit, scale) in UNIT_ENDS.items():
        if f"_{name}".endswith(end):
            return f"_{name}"[1 : -len(end)].replace("_", " "), unit, scale
    return name.replace("_", " "), "", 1.0


def name_words(name: str) -> str:
    """What a number is called, without its unit.

    >>> name_words("dry_glaze_g")
    'dry glaze'
    """
    return _ending(name)[0]


def said(name: str, value: Put, *, named: bool = False) -> str:
    """A number as its name asks.

    Args:
        name: what the number is called; its end tells the unit.
        value: the number, or several, or words, which stay as they are.
        named: say what it is called, too.
    >>> said("lost_share", 0.06), said("thrown_g", 446.2, named=True), said("balls_g", (120.0, 35.5))
    ('6 %', '446.2 g thrown', '120 g + 35.5 g')
    """
    if isinstance(value, (str, Note)):
        return str(value)
    words, unit, scale = _ending(name)
    behind = f" {unit}" if unit else ""
    if named and words:
        behind += f" {_(words)}"
    if not isinstance(value, (int, float)):
        notes = [str(one) for one in value if isinstance(one, Note)]
        numbers = [f"{number(one * scale)}{f' {unit}' if unit else ''}" for one in value if not isinstance(one, Note)]
        return "; ".join(notes) or " + ".join(numbers) or "0"
    return f"{number(value * scale)}{behind}"


class Formula:
    """Arithmetic that computes and says itself.

    Written as a line of arithmetic over numbers whose names end in their unit; `+ − × / **`, brackets, `sum`,
    `max`, `min`, `sqrt` and `root_sum_square`. Called with its numbers it gives the value; `working` says it with the numbers put in,
    without terms that are nought; `words` is the rule itself.

    >>> ball = Formula("thrown_g / (1 - lost_share)")
    >>> ball({"thrown_g": 446.2, "lost_share": 0.06})
    474.6808510638298
    >>> ball.working({"thrown_g": 446.2, "lost_share": 0.06})
    '446.2 g thrown / (1 − 6 % lost)'
    >>> ball.words
    'thrown / (1 − lost)'
    """

    __slots__ = ("_said", "_tree", "_worked", "names", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        tree = ast.parse(text, mode="eval")
        for node in ast.walk(tree):
            _refuse_odd(node, text)
        self._tree = tree.body
        called = {id(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
        self.names = frozenset(
            node.id for node in ast.walk(tree) if isinstance(node, ast.Name) and id(node) not in called
        )
        self._worked: Callable[..., float] | None = None
        self._said: _Said | None = None

    def __call__(self, numbers: Mapping[str, Any]) -> float:
        """The value. Raises KeyError, a number that is not given; ZeroDivisionError, ValueError as arithmetic does."""
        if self._worked is None:  # made once it is asked for: a start has many that it never asks
            text = re.sub(
                r"\b[^\W\d]\w*", lambda word: f"of[{word[0]!r}]" if word[0] in self.names else word[0], self.text
            )
            self._worked = eval(f"lambda of: {text}", _SCOPE)  # only what _refuse_odd let through
        return float(self._worked(numbers))

    def __reduce__(self) -> tuple[type[Formula], tuple[str]]:
        return Formula, (self.text,)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Formula) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)

    def __repr__(self) -> str:
        return f"Formula({self.text!r})"

    def working(self, numbers: Mapping[str, Put]) -> str:
        """The formula with its numbers put in."""
        if self._said is None:
            self._said = _saying(self._tree)
        return self._said(numbers)[0] or "0"

    @property
    def words(self) -> str:
        """The rule, with what its numbers are called."""
        return self.working({name: _(name_words(name)) or name for name in self.names})


def working(how: str | Formula | Note, numbers: Mapping[str, Put]) -> str:
    """How a figure came about: a formula with its numbers put in, or words with numbers quoted in them.

    Args:
        how: a formula, or words like `inside to {level_mm} above the foot`.
        numbers: what is put in, by name.
    >>> working("inside to {level_mm} above the {end}", {"level_mm": 82.0, "end": "foot"})
    'inside to 82 mm above the foot'
    """
    if isinstance(how, Formula):
        return how.working(numbers)
    if isinstance(how, Note):
        return str(how)
    how = _(how)
    if not numbers:
        return how
    return "".join([words + (said(name, numbers[name]) if name else "") for words, name in _pieces(how)])


@lru_cache(maxsize=1024)
def _pieces(text: str) -> tuple[tuple[str, str | None], ...]:
    """A text cut at the names in it: what stands before each, and the name."""
    return tuple((words, name) for words, name, *_rest in Formatter().parse(text))


def _refuse_odd(node: ast.AST, text: str) -> None:
    """A formula holds nothing but arithmetic. Raises ValueError."""
    known = (
        isinstance(node, (ast.Expression, ast.BinOp, ast.UnaryOp, ast.USub, ast.Name, ast.Load)) or type(node) in _SIGNS
    )
    number_of_its_own = isinstance(node, ast.Constant) and isinstance(node.value, (int, float))
    call = (
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS and not node.keywords
    )
    if not (known or number_of_its_own or call):
        raise ValueError(f"`{text}` is no formula: {type(node).__name__}")


_Said = Callable[[Mapping[str, Put]], tuple[str, int]]


def _saying(node: ast.expr) -> _Said:
    """What says a piece of a formula in words, and how tightly it binds; nothing where it is a term that is nought."""
    match node:
        case ast.Name(id=name):
            return partial(_said_name, name)
        case ast.Constant(value=value):
            return lambda _numbers: (number(float(value)) if isinstance(value, (int, float)) else "", 5)
        case ast.UnaryOp(operand=operand):
            negated = _saying(operand)
            return lambda numbers: (f"−{_bracketed(negated(numbers), 3)}", 3)
        case ast.Call(func=ast.Name(id=name), args=args):
            return partial(_said_call, name, [_saying(arg) for arg in args])
        case ast.BinOp(left=left, op=op, right=right):
            one, kind, other = _saying(left), type(op), _saying(right)
            return lambda numbers: _said_pair(one(numbers), kind, other(numbers))
    raise ValueError(ast.dump(node))


def _said_name(name: str, numbers: Mapping[str, Put]) -> tuple[str, int]:
    value = numbers[name]
    if not isinstance(value, (str, Note)) and not (value if isinstance(value, (int, float)) else any(value)):
        return "", 5
    return said(name, value, named=True), 5


def _said_call(name: str, asked: Sequence[_Said], numbers: Mapping[str, Put]) -> tuple[str, int]:
    inner = ", ".join(one(numbers)[0] or "0" for one in asked)
    if name != "sum":
        return _(_SAID_CALLS[name]).format(terms=f"({inner})"), 5
    return ("" if inner == "0" else inner), 1 if " + " in inner else 5


def _said_pair(left: tuple[str, int], op: type[ast.operator], right: tuple[str, int]) -> tuple[str, int]:
    sign, binds = _SIGNS[op]
    if op in (ast.Add, ast.Sub) and not right[0]:
        return left
    if op is ast.Add and not left[0]:
        return right
    # What stands behind a minus or a stroke is one thing: a − (b + c).
    tight = binds + 1 if op in (ast.Sub, ast.Div) else binds
    return f"{_bracketed(left, binds)} {sign} {_bracketed(right, tight)}", binds


def _bracketed(piece: tuple[str, int], binds: int) -> str:
    words, tight = piece
    return (words or "0") if tight >= binds else f"({words or '0'})"
