"""Hostile but valid text ends in a message, and in a handful of them: nothing works on it for minutes."""

from wareboard.figures import checks
from wareboard.figures.manual import RULES
from wareboard.text.problems import format_problem
from wareboard.text.projects import read_project

from tests.every import every

STUDIO = {
    "specs/studio.yaml": "title: Yard\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
}
PATH = "specs/forms/cup.yaml"
CUP = """\
title: Cup
clay: buff
parts:
  cup:
    outside:
      foot: {height: 0, diameter: 60}
      rim: {height: 90, diameter: 80}
    wall: 4
    floor: 5
"""
STATIONS = "".join(f"      s{place}: {{height: {place / 4}, diameter: {80 + place % 2}}}\n" for place in range(2000))


def many(count, line):
    return "".join(line.format(place) for place in range(count))


HOSTILE = {
    "100,000 keys": (CUP + many(100_000, "k{}: 1\n"), "unknown-key"),
    "60,000 near keys": (CUP + many(60_000, "titl{}: 1\n"), "unknown-key"),
    "20,000 near keys of a part": (CUP + many(20_000, "    wal{}: 1\n"), "unknown-key"),
    "100,000 times one key": (CUP + "code: C\n" * 100_000, "repeated-key"),
    "20,000 unknown figures": (CUP + "steps:\n  wet:\n" + many(20_000, "    - Set {{cup.rim.diametre{0}}}.\n"), "too-many"),
    "200 steps of unknown figures": (
        CUP + "steps:\n  wet:\n" + many(200, "    - '" + "{{cup.rim.diametr{0} wet}}" * 60 + "'\n"), "unknown-figure"
    ),
    "100,000 quotes": (CUP + "steps:\n  wet: 'Set " + "{a}" * 100_000 + "'\n", "long-text"),
    "a line of 600 kB": (CUP + f"family: {'x' * 600_000}\n", "long-name"),
    "60,000 brackets": (CUP + f"notes: '{'[' * 60_000}'\n", "long-text"),
    "brackets that fit": (CUP + f"notes: '{'[' * 1_001}'\n", "unsettable-notes"),
    "stars that fit": (CUP + f"notes: '{'a*b ' * 1_001}'\n", "unsettable-notes"),
    "a word of 15,000 letters": (CUP + f"notes: '{'W' * 15_000}'\n", "unsettable-notes"),
    "a table of 3,000 cells": (CUP + "notes: |\n" + f"  {'|a' * 3_000}\n", "unsettable-notes"),
    "5,000 lines of notes": (CUP + "notes: |\n" + "  - a\n" * 5_000, "unsettable-notes"),
    "300 nested lists": (CUP + "notes: |\n" + "".join(f"  {'  ' * place}- a\n" for place in range(130)), "unsettable-notes"),
    "2,000 stations": (CUP.split("      foot")[0] + STATIONS + "    wall: 4\n    floor: 5\n", "too-many"),
    "51 parts": (CUP + many(51, "  c{}: {{outside: {{a: {{height: 0, diameter: 9}}, b: {{height: 9, diameter: 9}}}}}}\n"), "too-many"),
    "10,000 brackets of YAML": ("title: " + "[" * 10_000, "not-yaml"),
    "100,000 unprintable texts": (CUP + "notes: [" + r'"\x07",' * 100_000 + "]", "unprintable"),
    "100,000 in a list": (CUP + "steps: {wet: [" + "1," * 100_000 + "]}", "too-many"),
    "a file that is too long": ("# " + "x" * 1_000_001, "too-long"),
}  # fmt: skip


@every("name", HOSTILE)
def test_hostile_text_ends_in_a_few_messages(name):
    text, rule = HOSTILE[name]
    texts = STUDIO | {PATH: text}
    problems = checks.check_project(read_project(texts))[1]
    assert rule in {problem.rule for problem in problems}
    assert len(problems) <= 203
    for problem in problems[:200]:
        assert len(format_problem(problem, texts)) < 1200
    assert {problem.rule for problem in problems} <= set(RULES)


def test_as_much_as_is_allowed_is_read():
    text = CUP.split("      foot")[0] + "".join(STATIONS.splitlines(True)[:400]) + "    wall: 4\n    floor: 5\n"
    project = read_project(STUDIO | {PATH: text})
    assert not project.problems
    assert len(project.forms["cup"].parts["cup"].outside) == 400
