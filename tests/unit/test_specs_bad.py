"""Every rule has an entry in the manual and a small bad spec with its exact message.

A fixture is `<rule>.yaml`, a form, or a folder `<rule>/` of specs; it stands in the sound studio
`_studio/`, whose files it may replace. `<rule>.txt` is what is said of it, and that is all that is said.
"""

import ast
from functools import cache
from pathlib import Path

import wareboard
from wareboard.figures import checks, clays, limits, proportions
from wareboard.figures.manual import RULES
from wareboard.text.problems import format_problem
from wareboard.text.projects import read_project

from tests.every import every

BAD = Path(__file__).parent.parent / "specs_bad"
# One room refuses code, and no spec.
SOURCES = sorted(path for path in Path(wareboard.__file__).parent.rglob("*.py") if path.name != "javascript.py")
# Met only with files on a disk, or with none, or with one too long to keep: see test_build, test_specs, test_source, test_faces.
WITHOUT_FIXTURE = {
    "link-outside",
    "no-glyph",
    "unknown-font",
    "misplaced-file",
    "no-studio",
    "not-utf-8",
    "too-long",
    "too-many-problems",
    "unreadable-file",
    # of mkdocs.yml: see test_sitesettings and test_citizen
    "unknown-theme",
    "not-followed",
    "other-host",
    "unknown-file",
    "unknown-block",
    "name-taken",
    # told on the day, by a plan: see test_planning
    "due-passed",
    "begins-too-late",
}
NAMING = {
    "error",
    "warning",
    "reading.refuse",
    "reading.warn",
    "self.refuse",
    "_unknown_name",
}  # these take a rule as their first argument
PASSED_ON = {"rule"}  # an argument of such a function, which hands it on


@cache
def rules_in_sources():
    """Every rule that is named where a problem is made."""
    found = set()
    for path in SOURCES:
        text = path.read_text(encoding="utf-8")
        if not any(f"{name}(" in text for name in NAMING):
            continue
        for call in ast.walk(ast.parse(text)):
            if isinstance(call, ast.Call) and call.args and called(call) in NAMING:
                found |= rules_of(call.args[0], path)
    # what is wrong with a clay has its kind's name
    return found | set(clays.FAULTS)


def called(call):
    """What a call calls, as it is written: `error`, `self.refuse`."""
    match call.func:
        case ast.Name(id=name):
            return name
        case ast.Attribute(value=ast.Name(id=name), attr=attribute):
            return f"{name}.{attribute}"


def rules_of(argument, path):
    match argument:
        case ast.Constant(value=str(rule)):
            return {rule}
        case ast.JoinedStr(values=[ast.Constant(value="fit-"), _]) if path.name == "fitchecks.py":
            return {"fit-binds", "fit-loose"}
        case ast.Name(id=name) if name in PASSED_ON:
            return set()
    raise AssertionError(f"{path.name}:{argument.lineno}: nobody can tell which rule `{ast.unparse(argument)}` is")


def fixtures():
    return sorted(
        {path.stem for path in BAD.glob("*.yaml")}
        | {path.name for path in BAD.iterdir() if path.is_dir()} - {"_studio"}
    )


@cache
def sound_studio():
    return read_folder(BAD / "_studio")


def texts_of(name):
    """The studio with a fixture in it."""
    texts = sound_studio()
    form = BAD / f"{name}.yaml"
    return texts | (
        {f"specs/forms/{name}.yaml": form.read_text(encoding="utf-8")} if form.exists() else read_folder(BAD / name)
    )


def read_folder(folder):
    return {
        f"specs/{path.relative_to(folder).as_posix()}": path.read_text(encoding="utf-8")
        for path in sorted(folder.rglob("*.yaml"))
    }


def said_of(texts):
    problems = checks.check_project(read_project(texts))[1]
    return problems, "\n\n".join(format_problem(problem, texts) for problem in problems) + "\n"


@cache
def found_in(rule):
    """What is found in a fixture, and how it is said."""
    return said_of(texts_of(rule))


def test_every_rule_is_in_the_manual_and_nothing_else():
    assert rules_in_sources() == set(RULES)


def test_manual_says_something_of_every_rule():
    for rule, said in RULES.items():
        assert said.endswith((".", "`")), rule
        assert len(said) > 30, rule


def test_every_check_is_named_as_its_rule():
    for check in (*checks.RULES, *limits.RULES, proportions.measured_far_off):
        assert check.__name__.replace("_", "-") in rules_in_sources(), check.__name__


def test_every_rule_has_a_fixture():
    assert set(fixtures()) | WITHOUT_FIXTURE == set(RULES)
    assert not set(fixtures()) & WITHOUT_FIXTURE


def test_studio_of_the_fixtures_is_sound():
    assert said_of(sound_studio())[0] == []


@every("rule", fixtures())
def test_message(rule):
    problems, said = found_in(rule)
    assert said == (BAD / f"{rule}.txt").read_text(encoding="utf-8")
    assert {problem.rule for problem in problems} == {rule}


@every("rule", fixtures())
def test_message_is_plain(rule):
    texts = texts_of(rule)
    for problem in found_in(rule)[0]:
        lines = texts[problem.at.file].splitlines()
        assert 1 <= problem.at.line <= len(lines)
        assert 1 <= problem.at.column <= len(lines[problem.at.line - 1]) + 1
        for word in ("None", "Error", "dict", "tuple", "object"):
            assert word not in problem.message + problem.hint, problem
        assert not problem.message.endswith(".")
