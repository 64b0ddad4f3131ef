"""Everything public says what it is; where a docstring lists its arguments, they are the signature's."""

import ast
import re
from functools import cache
from pathlib import Path

from tests.every import every

PACKAGE = Path(__file__).parents[2] / "generator" / "wareboard"
MODULES = sorted(PACKAGE.rglob("*.py"))
UNLISTED = {"self", "cls", "ctx"}


def public_things(tree):
    """Name and node of a module's public functions and classes, and of its public classes' public methods."""
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for inner in node.body:
                    if isinstance(inner, (ast.FunctionDef, ast.AsyncFunctionDef)) and not inner.name.startswith("_"):
                        yield f"{node.name}.{inner.name}", inner


def signature_names(node):
    """Names of a function's arguments, without those that nobody passes."""
    arguments = node.args
    listed = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs, arguments.vararg, arguments.kwarg]
    return {argument.arg for argument in listed if argument is not None} - UNLISTED


def listed_names(docstring):
    """Names in a docstring's `Args:`, or None where it has no such section. `across, up:` names two."""
    found = re.search(r"^( *)Args:[ \t]*\n((?:\1 +.*\n|[ \t]*\n)+)", docstring + "\n", re.M)
    if not found:
        return None
    margin = min(len(line) - len(line.lstrip()) for line in found[2].splitlines() if line.strip())
    names = set()
    for line in found[2].splitlines():
        entry = re.match(rf" {{{margin}}}(\*{{0,2}}\w+(?:, \*{{0,2}}\w+)*)(?:[ (].*?)?:", line)
        if entry:
            names |= {name.lstrip("*") for name in entry[1].split(", ")}
    return names


def parsed(text):
    return dict(public_things(ast.parse(text)))


@cache
def read_modules():
    """Each module's path, and what it is made of."""
    return [(path, ast.parse(path.read_text(encoding="utf-8"))) for path in MODULES]


@every("path, tree", read_modules)
def test_everything_public_has_a_docstring(path, tree):
    assert ast.get_docstring(tree) or path.stem == "__main__", f"{path.name} does not say what it is for"
    bare = [name for name, node in public_things(tree) if not ast.get_docstring(node)]
    assert not bare


@every("path, tree", read_modules)
def test_arguments_are_those_of_the_signature(path, tree):
    wrong = []
    for name, node in public_things(tree):
        listed = listed_names(ast.get_docstring(node) or "")
        if listed is None:
            continue
        wanted = (
            signature_names(node)
            if not isinstance(node, ast.ClassDef)
            else {f.target.id for f in node.body if isinstance(f, ast.AnnAssign)}
        )
        if listed != wanted:
            wrong.append((name, "docstring", sorted(listed - wanted), "signature", sorted(wanted - listed)))
    assert not wrong


def test_what_these_tests_see():
    text = '''
def f(a, b_mm, *rest, key=1, **more):
    """F.

    Args:
        a: one
            and more: of it.
        b_mm, key: two
        *rest: others
        **more: named.
    Returns: x.
    """
def _hidden(a): pass
class C:
    def m(self, a):
        """M.

        Args:
            b: wrong.
        """
    def bare(self): pass
def plain():
    """No arguments listed."""
'''
    found = parsed(text)
    assert list(found) == ["f", "C", "C.m", "C.bare", "plain"]
    assert (
        listed_names(ast.get_docstring(found["f"]))
        == signature_names(found["f"])
        == {"a", "b_mm", "rest", "key", "more"}
    )
    assert (listed_names(ast.get_docstring(found["C.m"])), signature_names(found["C.m"])) == ({"b"}, {"a"})
    assert ast.get_docstring(found["C.bare"]) is None and ast.get_docstring(found["C"]) is None
    assert listed_names(ast.get_docstring(found["plain"])) is None


def test_the_package_is_really_read():
    found = [(name, node) for _, tree in read_modules() for name, node in public_things(tree)]
    names = {name for name, _ in found}
    assert {"make_sheet", "revolved_volume_mm3", "Ledger.write", "Shape.finished"} <= names
    assert sum(bool(listed_names(ast.get_docstring(node) or "")) for _, node in found) > 60


def test_worked_as_a_source_names_its_steps():
    bare = [
        f"{path.stem}: {line.strip()}"
        for path in MODULES
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"Source: worked(\.|$)", line) or '"worked"' in line
    ]
    assert not bare
