"""The ground floor's arithmetic written as JavaScript, so that a page answers by the very formulas that made its numbers.

Functions and records of pure rooms go in; what they name is followed, and each is written through its syntax tree. Only a
small part of Python is known here: floats, words, tuples, frozen records, plain statements. Whatever lies outside it is
refused aloud with its place. What a message says is left out; that something is refused, and by which name, is not.
What divides by nought, or compares what is no plain value, is not told apart: a test drives both over a grid.
"""

from __future__ import annotations

import ast
import builtins
import dataclasses
import inspect
import json
import math
import sys
from collections.abc import Callable, Iterable, Iterator
from types import FunctionType, ModuleType
from typing import Any

PURE = "wareboard.pot."
# What the script brings along, each only where it is asked for.
BROUGHT = {
    "truth": "const truth = (x) => !(x === null || x === undefined || x === false || x === 0 || x === '' || (Array.isArray(x) && !x.length));",
    "either": "const either = (x, other) => truth(x) ? x : other();",
    "both": "const both = (x, other) => truth(x) ? other() : x;",
    "zip": "const zip = (...lines) => { const all = lines.map((one) => [...one]); return all[0].slice(0, Math.min(...all.map((one) => one.length))).map((_, at) => all.map((one) => one[at])); };",
    "sum": "const sum = (line) => { let all = 0; for (const one of line) all += one; return all; };",
    "replaced": "const replaced = (one, by) => Object.assign(Object.create(Object.getPrototypeOf(one)), one, by);",
    "Refused": "class Refused extends Error { constructor(name, told) { super(name); this.name = name; this.told = told; } }",
}
NEEDS = {"either": ("truth",), "both": ("truth",)}
# Library functions, each with what it is here and what it brings along.
LIBRARY: dict[Any, tuple[str, str]] = {
    math.hypot: ("Math.hypot", ""), math.sqrt: ("Math.sqrt", ""), math.floor: ("Math.floor", ""), math.ceil: ("Math.ceil", ""),
    math.fsum: ("sum", "sum"), abs: ("Math.abs", ""), min: ("Math.min", ""), max: ("Math.max", ""), sum: ("sum", "sum"),
    zip: ("zip", "zip"), bool: ("truth", "truth"), float: ("Number", ""),
}  # fmt: skip
OPERATORS: dict[type[ast.AST], str] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**", ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=",
    ast.Eq: "===", ast.NotEq: "!==", ast.Is: "===", ast.IsNot: "!==",
}  # fmt: skip
RESERVED = frozenset(
    [
        "arguments",
        "await",
        "case",
        "catch",
        "class",
        "const",
        "debugger",
        "default",
        "delete",
        "do",
        "enum",
        "eval",
        "export",
        "extends",
        "false",
        "finally",
        "function",
        "implements",
        "import",
        "in",
        "instanceof",
        "interface",
        "let",
        "new",
        "null",
        "package",
        "private",
        "protected",
        "public",
        "static",
        "super",
        "switch",
        "this",
        "throw",
        "true",
        "try",
        "typeof",
        "undefined",
        "var",
        "void",
        "while",
        "with",
        "yield",
    ]
)


class Untranslatable(ValueError):
    """Something that is no part of the Python that is known here, with its place."""


def script_of(name: str, wanted: Iterable[Callable[..., object]]) -> str:
    """Functions and records, with all that they name, as one script.

    Args:
        name: what the script calls them: an object with each of `wanted`, and every record as `records`.
        wanted: functions and records of pure rooms.
    Raises: Untranslatable.
    """
    writer = _Script()
    named = [writer.name_of(thing) for thing in wanted]
    body = writer.finished()
    records = ", ".join(sorted(record.__name__ for record in writer.records))
    return f'const {name} = (() => {{\n"use strict";\n{body}\nreturn {{ {", ".join(named)}, records: {{ {records} }} }};\n}})();\n'


def as_json(value: object) -> Any:
    """A value as JSON from which a page makes it again: a pure room's record as `{"Name": [fields]}`, any other as an
    object with its fields, what has no end as `"inf"`.

    >>> as_json((1.0, math.inf, None))
    [1.0, 'inf', None]
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind, fields = type(value), {name: as_json(getattr(value, name)) for name in _field_names(type(value))}
        return {kind.__name__: list(fields.values())} if kind.__module__.startswith(PURE) else fields
    if isinstance(value, (tuple, list, frozenset)):
        return [as_json(one) for one in (sorted(value) if isinstance(value, frozenset) else value)]
    if isinstance(value, float) and math.isinf(value):
        return "inf" if value > 0 else "-inf"
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    raise Untranslatable(f"{type(value).__name__} is no plain value")


def _field_names(record: type) -> list[str]:
    """A record's fields, but for what it keeps for itself and is not compared by."""
    return [field.name for field in dataclasses.fields(record) if field.compare]


class _Script:
    """The definitions that are asked for, each once, in the order in which they may stand."""

    def __init__(self) -> None:
        self.names: dict[int, str] = {}
        self.taken: dict[str, object] = {}
        self.waiting: list[Any] = []
        self.functions: list[str] = []
        self.constants: list[str] = []
        self.brought: dict[str, None] = {}
        self.records: dict[type, None] = {}
        self.members: set[str] = set()
        self.trees: dict[str, ast.Module] = {}

    def bring(self, name: str) -> str:
        for other in NEEDS.get(name, ()):
            self.bring(other)
        self.brought.setdefault(name)
        return name

    def name_of(self, thing: Any) -> str:
        """What a function or record is called; it is written later."""
        if id(thing) not in self.names:
            if not str(thing.__module__).startswith(PURE):
                raise Untranslatable(f"{thing.__module__}.{thing.__qualname__} is of no pure room")
            self.names[id(thing)] = self._free(thing.__name__, thing)
            if isinstance(thing, type):
                self.records[thing] = None
            else:
                self.waiting.append(thing)
        return self.names[id(thing)]

    def constant(self, name: str, value: object) -> str:
        """A room's constant: its value, taken over."""
        if isinstance(value, (int, float)) or value is None:
            return self.literal(value)
        if id(value) not in self.names:
            self.names[id(value)] = self._free(name, value)
            self.constants.append(f"const {self.names[id(value)]} = {self.literal(value)};")
        return self.names[id(value)]

    def _free(self, name: str, thing: object) -> str:
        if name in self.taken or name in BROUGHT or name in RESERVED:
            name = f"{str(getattr(thing, '__module__', 'of')).rpartition('.')[2]}_{name}"
        if name in self.taken:
            raise Untranslatable(f"two things are called {name}")
        self.taken[name] = thing
        return name

    def literal(self, value: object) -> str:
        """A value as it is written."""
        if value is None:
            return "null"
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, float) and math.isinf(value):
            return "Infinity" if value > 0 else "-Infinity"
        if isinstance(value, (int, float)):
            return repr(value)
        if isinstance(value, str):
            return json.dumps(value, ensure_ascii=False)
        if isinstance(value, (tuple, list)):
            return f"[{', '.join(map(self.literal, value))}]"
        if isinstance(value, dict):
            return f"{{ {', '.join(f'{json.dumps(key)}: {self.literal(one)}' for key, one in value.items())} }}"
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            fields = (self.literal(getattr(value, name)) for name in _field_names(type(value)))
            return f"new {self.name_of(type(value))}({', '.join(fields)})"
        if isinstance(value, frozenset) and not value:
            return "[]"
        raise Untranslatable(f"{type(value).__name__} is no plain value")

    def finished(self) -> str:
        """Everything, once all that is named was written; of a record only what something asks for."""
        heads: dict[type, str] = {}
        methods: dict[tuple[type, str], str] = {}
        while True:
            while self.waiting:
                thing = self.waiting.pop(0)
                self.functions.append(_Function(self, inspect.getmodule(thing)).whole(self._node(thing)))
            for record in list(self.records):
                heads[record] = heads.get(record) or self._head(record)
            more = [
                (record, node)
                for record in self.records
                for node in self._node(record).body
                if isinstance(node, ast.FunctionDef) and node.name in self.members and (record, node.name) not in methods
            ]  # fmt: skip
            for record, node in more:
                methods[record, node.name] = _Function(self, inspect.getmodule(record)).method(node)
            if not more and not self.waiting and len(heads) == len(self.records):
                break
        classes = ["\n".join([heads[record], *(text for (of, _), text in methods.items() if of is record), "}"]) for record in heads]  # fmt: skip
        brought = [BROUGHT[name] for name in BROUGHT if name in self.brought]
        return "\n".join([*brought, *classes, *self.constants, *self.functions])

    def _head(self, record: type) -> str:
        """The beginning of a record: how it is made."""
        wanted = [field for field in dataclasses.fields(record) if field.compare]
        arguments = ", ".join(
            field.name if field.default is dataclasses.MISSING else f"{field.name} = {self.literal(field.default)}"
            for field in wanted
        )
        names = ", ".join(field.name for field in wanted)
        return f"class {self.names[id(record)]} {{\nconstructor({arguments}) {{ Object.assign(this, {{ {names} }}); }}"

    def _node(self, thing: Any) -> ast.FunctionDef | ast.ClassDef:
        module = sys.modules[thing.__module__]
        if module.__name__ not in self.trees:
            self.trees[module.__name__] = ast.parse(inspect.getsource(module))
        for node in self.trees[module.__name__].body:
            if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and node.name == thing.__name__:
                return node
        raise Untranslatable(f"{thing.__module__}.{thing.__name__} stands nowhere in its room")


class _Function:
    """One function or method."""

    def __init__(self, script: _Script, module: ModuleType | None) -> None:
        assert module is not None
        self.script, self.module = script, module
        self.locals: set[str] = set()
        self.me = ""

    def refuse(self, node: ast.AST, why: str = "") -> Untranslatable:
        words = why or f"{type(node).__name__} is not known here"
        return Untranslatable(f"{self.module.__name__}:{getattr(node, 'lineno', '?')}: {words}")

    # ---- definitions ----

    def whole(self, node: ast.FunctionDef | ast.ClassDef) -> str:
        if not isinstance(node, ast.FunctionDef) or node.decorator_list:
            raise self.refuse(node, f"{node.name} is no plain function")
        star = "*" if _yields(node) else ""
        return f"function{star} {self.script.name_of(getattr(self.module, node.name))}({self.arguments(node)}) {self.body(node)}"

    def method(self, node: ast.FunctionDef) -> str:
        kinds = [one.id if isinstance(one, ast.Name) else "" for one in node.decorator_list]
        if kinds not in ([], ["property"]):
            raise self.refuse(node, f"{node.name} is no plain method")
        self.me = node.args.args[0].arg
        star = "*" if _yields(node) else ""
        return f"{'get ' if kinds else ''}{star}{node.name}({self.arguments(node, 1)}) {self.body(node)}"

    def arguments(self, node: ast.FunctionDef, skipped: int = 0) -> str:
        said = node.args
        if said.vararg or said.kwarg or said.posonlyargs:
            raise self.refuse(node, "arguments that are not named are not known here")
        placed = list(zip(said.args, [None] * (len(said.args) - len(said.defaults)) + list(said.defaults)))[skipped:]
        every = [*placed, *zip(said.kwonlyargs, said.kw_defaults)]
        self.locals |= {argument.arg for argument, _ in every}
        return ", ".join(
            _safe(one.arg) + (f" = {self.value(usual)}" if usual is not None else "") for one, usual in every
        )

    def body(self, node: ast.FunctionDef) -> str:
        assigned = sorted(_assigned(node.body) - self.locals)
        self.locals |= set(assigned)
        declared = [f"let {', '.join(map(_safe, assigned))};"] if assigned else []
        lines = [line for one in node.body for line in self.statement(one)]
        return "\n".join(["{", *declared, *lines, "}"])

    # ---- statements ----

    def block(self, nodes: list[ast.stmt]) -> list[str]:
        return ["{", *(line for node in nodes for line in self.statement(node)), "}"]

    def statement(self, node: ast.stmt) -> Iterator[str]:
        match node:
            case ast.Expr(ast.Constant(value=str())):
                return
            case ast.Expr(ast.Yield(value=value)) if value is not None:
                yield f"yield {self.value(value)};"
            case ast.Expr(ast.Call()):
                yield f"{self.value(node.value)};"
            case ast.Assign(targets, value):
                yield "".join(f"{self.target(target)} = " for target in targets) + f"{self.value(value)};"
            case ast.AnnAssign(target, _, value) if value is not None:
                yield f"{self.target(target)} = {self.value(value)};"
            case ast.AugAssign(ast.Name() as target, op, value) if type(op) in OPERATORS:
                yield f"{self.target(target)} {OPERATORS[type(op)]}= {self.value(value)};"
            case ast.Return(value):
                yield f"return {self.value(value) if value is not None else 'null'};"
            case ast.If(test, body, other):
                yield f"if ({self.test(test)})"
                yield from self.block(body)
                if other:
                    yield "else"
                    yield from self.block(other)
            case ast.While(test, body, []):
                yield f"while ({self.test(test)})"
                yield from self.block(body)
            case ast.For(target, line, body, []):
                yield f"for ({self.target(target)} of {self.value(line)})"
                yield from self.block(body)
            case ast.Raise(exc=ast.Call() as call, cause=None):
                yield f"throw {self.fault(call)};"
            case ast.Match():
                yield from self.cases(node)
            case ast.Continue():
                yield "continue;"
            case ast.Break():
                yield "break;"
            case _:
                raise self.refuse(node)

    def cases(self, node: ast.Match) -> Iterator[str]:
        subject, word = self.value(node.subject), "if"
        for case in node.cases:
            match case.pattern:
                case ast.MatchValue(value) if case.guard is None:
                    yield f"{word} ({subject} === {self.value(value)})"
                case ast.MatchAs(pattern=None, name=None) if case.guard is None and word != "if":
                    yield "else"
                case _:
                    raise self.refuse(case.pattern)
            yield from self.block(case.body)
            word = "else if"

    def fault(self, call: ast.Call) -> str:
        """What is refused, by its name, and all that is told but the message."""
        kind = self.found(call.func)
        if not (isinstance(kind, type) and issubclass(kind, Exception)) or call.keywords:
            raise self.refuse(call, "only an exception of the room's own is raised")
        told = ", ".join(self.value(one) for one in call.args[1:])
        return f"new {self.script.bring('Refused')}({json.dumps(kind.__name__)}, [{told}])"

    def target(self, node: ast.expr) -> str:
        match node:
            case ast.Name(name):
                return _safe(name)
            case ast.Tuple(elements):
                return f"[{', '.join(map(self.target, elements))}]"
        raise self.refuse(node)

    # ---- values ----

    def test(self, node: ast.expr) -> str:
        """A value as one that is true or false, as Python has it."""
        match node:
            case ast.BoolOp(op, values):
                sign = " && " if isinstance(op, ast.And) else " || "
                return f"({sign.join(map(self.test, values))})"
            case ast.UnaryOp(ast.Not(), operand):
                return f"!{self.test(operand)}"
        return self.value(node) if self.is_boolean(node) else f"{self.script.bring('truth')}({self.value(node)})"

    def is_boolean(self, node: ast.expr) -> bool:
        match node:
            case ast.Compare() | ast.UnaryOp(ast.Not(), _) | ast.Constant(value=bool()):
                return True
            case ast.BoolOp(_, values):
                return all(map(self.is_boolean, values))
            case ast.Call(ast.Name(name), _, _):
                return self.global_of(name) in (isinstance, bool)
        return False

    def value(self, node: ast.expr) -> str:
        match node:
            case ast.Constant(value):
                return self.script.literal(value)
            case ast.Name(name):
                return self.named(node, name)
            case ast.Attribute():
                return self.attribute(node)
            case ast.UnaryOp(ast.USub(), operand):
                return f"(-{self.value(operand)})"
            case ast.UnaryOp(ast.Not(), _):
                return self.test(node)
            case ast.BinOp(left, op, right) if type(op) in OPERATORS:
                return f"({self.value(left)} {OPERATORS[type(op)]} {self.value(right)})"
            case ast.BoolOp(op, values):
                if self.is_boolean(node):
                    return self.test(node)
                helper, last = (
                    self.script.bring("both" if isinstance(op, ast.And) else "either"),
                    self.value(values[-1]),
                )
                for one in reversed(values[:-1]):
                    last = f"{helper}({self.value(one)}, () => {last})"
                return last
            case ast.Compare(left, ops, comparators):
                return self.compared(node, [left, *comparators], ops)
            case ast.IfExp(test, body, other):
                return f"({self.test(test)} ? {self.value(body)} : {self.value(other)})"
            case ast.Tuple(elements) | ast.List(elements):
                return f"[{', '.join(map(self.element, elements))}]"
            case ast.Dict(keys, values) if all(isinstance(key, ast.Constant) for key in keys):
                said = (f"{self.value(key)}: {self.value(value)}" for key, value in zip(keys, values) if key)
                return f"({{ {', '.join(said)} }})"
            case ast.Subscript(line, ast.Constant(value=int() as at)):
                return f"{self.value(line)}[{at}]"
            case ast.Subscript(line, ast.UnaryOp(ast.USub(), ast.Constant(value=int() as at))):
                return f"{self.value(line)}.at(-{at})"
            case ast.Subscript(line, ast.Slice(ast.Constant(value=int() as at), None, None)):
                return f"{self.value(line)}.slice({at})"
            case ast.Subscript(line, ast.Name() | ast.Attribute() | ast.Subscript() as at):
                return f"{self.value(line)}[{self.value(at)}]"
            case ast.GeneratorExp(element, generators) | ast.ListComp(element, generators):
                return self.gathered(node, element, generators)
            case ast.Call():
                return self.call(node)
        raise self.refuse(node)

    def element(self, node: ast.expr) -> str:
        return f"...{self.value(node.value)}" if isinstance(node, ast.Starred) else self.value(node)

    def named(self, node: ast.expr, name: str) -> str:
        if name == self.me and name:
            return "this"
        if name in self.locals:
            return _safe(name)
        return self.of_room(node, name, self.global_of(name))

    def of_room(self, node: ast.expr, name: str, found: object) -> str:
        if isinstance(found, (FunctionType, type)):
            return self.script.name_of(found)
        if found is _NOTHING or isinstance(found, ModuleType) or callable(found):
            raise self.refuse(node, f"{name} is not known here")
        return self.script.constant(name, found)

    def global_of(self, name: str) -> Any:
        if name in self.locals:
            return _NOTHING
        return getattr(self.module, name, getattr(builtins, name, _NOTHING))

    def found(self, node: ast.expr) -> Any:
        """What a name stands for in its room, or a name of another room that it names."""
        if isinstance(node, ast.Name):
            return self.global_of(node.id)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            room = self.global_of(node.value.id)
            if isinstance(room, ModuleType):
                return getattr(room, node.attr, _NOTHING)
        return _NOTHING

    def attribute(self, node: ast.Attribute) -> str:
        found = self.found(node)
        if found is not _NOTHING:
            return self.of_room(node, node.attr, found)
        self.script.members.add(node.attr)
        return f"{self.value(node.value)}.{node.attr}"

    def compared(self, node: ast.expr, values: list[ast.expr], ops: list[ast.cmpop]) -> str:
        said = []
        for left, op, right in zip(values, ops, values[1:]):
            if isinstance(op, (ast.In, ast.NotIn)):
                sign = "!" if isinstance(op, ast.NotIn) else ""
                said.append(f"{sign}{self.value(right)}.includes({self.value(left)})")
                continue
            if type(op) not in OPERATORS or isinstance(left, ast.Tuple) or isinstance(right, ast.Tuple):
                raise self.refuse(node, "only plain values are compared")
            said.append(f"{self.value(left)} {OPERATORS[type(op)]} {self.value(right)}")
        return f"({' && '.join(said)})"

    def gathered(self, node: ast.expr, element: ast.expr, generators: list[ast.comprehension]) -> str:
        if len(generators) != 1 or generators[0].is_async:
            raise self.refuse(node, "only one `for` is gathered at a time")
        one = generators[0]
        line, outer = f"[...{self.value(one.iter)}]", set(self.locals)
        self.locals |= {name.id for name in ast.walk(one.target) if isinstance(name, ast.Name)}
        target = self.target(one.target)
        for test in one.ifs:
            line += f".filter(({target}) => {self.test(test)})"
        said = f"{line}.map(({target}) => {self.value(element)})"
        self.locals = outer
        return said

    # ---- calls ----

    def call(self, node: ast.Call) -> str:
        found = self.found(node.func)
        if found is dataclasses.replace:
            names = [f"{one.arg}: {self.value(one.value)}" for one in node.keywords]
            return f"{self.script.bring('replaced')}({self.value(node.args[0])}, {{ {', '.join(names)} }})"
        if found is isinstance and isinstance(node.args[1], ast.Name):
            return f"({self.value(node.args[0])} instanceof {self.value(node.args[1])})"
        if found in (tuple, list) and len(node.args) == 1 and not node.keywords:
            return f"[...{self.value(node.args[0])}]"
        if found is len and len(node.args) == 1:
            return f"{self.value(node.args[0])}.length"
        if found is float and isinstance(node.args[0], ast.Constant) and node.args[0].value == "inf":
            return "Infinity"
        if (found is not _NOTHING and not isinstance(found, (FunctionType, type))) or found in (bool, float, zip):
            return self.from_library(node, found)
        if isinstance(found, FunctionType):
            names = [one.name for one in inspect.signature(found).parameters.values()]
            return f"{self.script.name_of(found)}({self.placed(node, names)})"
        if isinstance(found, type):
            if not dataclasses.is_dataclass(found):
                raise self.refuse(node, f"{found.__name__} is no record")
            return f"new {self.script.name_of(found)}({self.placed(node, _field_names(found))})"
        if isinstance(node.func, ast.Attribute):
            if node.func.attr == "append":
                return f"{self.value(node.func.value)}.push({self.value(node.args[0])})"
            self.script.members.add(node.func.attr)
            return f"{self.value(node.func.value)}.{node.func.attr}({self.placed(node, [])})"
        raise self.refuse(node, "what is called here is not known")

    def from_library(self, node: ast.Call, found: Any) -> str:
        known = next((said for function, said in LIBRARY.items() if function is found), None)
        if known is None or node.keywords:
            raise self.refuse(node, f"{getattr(found, '__name__', found)} is not known here")
        name, brought = known
        if brought:
            self.script.bring(brought)
        arguments = [self.element(one) for one in node.args]
        if found in (min, max) and len(arguments) == 1:  # of a line rather than of its arguments
            arguments = [f"...{arguments[0].removeprefix('...')}"]
        return f"{name}({', '.join(arguments)})"

    def placed(self, node: ast.Call, names: list[str]) -> str:
        """Arguments by place, whatever name they were given by."""
        said = [self.element(one) for one in node.args]
        if node.keywords:
            if any(isinstance(one, ast.Starred) for one in node.args):
                raise self.refuse(node, "arguments by name behind a star are not known here")
            by_name = {one.arg: self.value(one.value) for one in node.keywords}
            if not by_name.keys() <= set(names):
                raise self.refuse(node, f"arguments by name of what is not known: {', '.join(map(str, by_name))}")
            last = max(names.index(str(name)) for name in by_name)
            said += [by_name.get(name, "undefined") for name in names[len(said) : last + 1]]
        return ", ".join(said)


_NOTHING: Any = object()


def _safe(name: str) -> str:
    return f"{name}_" if name in RESERVED else name


def _yields(node: ast.FunctionDef) -> bool:
    return any(isinstance(one, ast.Yield) for one in ast.walk(node))


def _assigned(nodes: list[ast.stmt]) -> set[str]:
    """Names that statements assign, but for those inside a gathering."""
    found: set[str] = set()

    def targets(node: ast.expr) -> None:
        found.update(one.id for one in ast.walk(node) if isinstance(one, ast.Name) and isinstance(one.ctx, ast.Store))

    for whole in nodes:
        for node in ast.walk(whole):
            if isinstance(node, ast.Assign):
                for target in node.targets:
                    targets(target)
            elif isinstance(node, (ast.AnnAssign, ast.AugAssign, ast.For)):
                targets(node.target)
    return found
