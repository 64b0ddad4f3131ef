"""1,200 slips in the demo's specs: no exception, every problem at a place that is there, every figure a number.

One file is changed at a time; the others are read once.
"""

import math
import random
import re
from dataclasses import replace
from pathlib import Path

from wareboard.figures import checks
from wareboard.figures.shaping import Shaper
from wareboard.text import links
from wareboard.text.problems import format_problem
from wareboard.text.projects import KINDS as RECORDS
from wareboard.text.projects import read_project
from wareboard.text.records import keys_of

from tests.every import every

ROOT = Path(__file__).parent.parent.parent
TEXTS = {
    path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "specs").glob("**/*.yaml"))
}
STUDIO = "specs/studio.yaml"
DEMO = read_project(TEXTS)
SLIPS, BATCHES = 600, 6

NUMBER = re.compile(r"\d+(?:\.\d+)?")
WORD = re.compile(r"[\w-]+")
ODD = [
    *"½×″é漢{}[]'\":#%@`!|-0,\t\u200b\u00a0\u2028\x85\x07\ufeff",
    "😀",
    "- ",
    "&a",
    "*a",
    "<b>",
    "1e9",
    "-",
    " NaN ",
    " inf ",
]
UNITS = [
    "mm",
    "in",
    "cm",
    "m",
    "g",
    "kg",
    "%",
    "wet",
    "leather-hard",
    "dry",
    "bisque",
    "fired",
    "ml",
    "fl oz",
    "oz",
    "lb 3 oz",
    "1/2 in",
    "C",
    "h",
    "of dry",
]
VALUES = ["fit", "inside rim", "outside foot", "inside", "outside", "all", "none", "up", "down", "smooth", "straight", "wet", "true", "0", "-5", "1e3",
          "1/0", "100 %", "3 1/2 in", "5 kg", "350 ml", "on", "null", "~", "[]", "{}", "''", "1:30", "010", "9" * 25, "0.0000001", "1e400", "untested", "Ø80", "14,5", "1 cup",
          "gauge caddy mouth", "solved", "from runs", "{of: tea-caddy/jar, bare: 212 g, glazed: 231 g}", "tea-caddy", "{aim: 1}", "[a, b]"]  # fmt: skip


def other_number(rng, value):
    """×10, ÷10, negative, nothing, a little off, far off, enormous, tiny."""
    return rng.choice(
        [
            value * 10,
            value / 10,
            -value,
            0.0,
            value + rng.uniform(-5, 5),
            value * rng.choice([0.5, 0.8, 1.01, 1.2, 2]),
            1e9,
            1e25,
            1e-9,
        ]
    )


def change_number(rng, lines, at):
    found = list(NUMBER.finditer(lines[at]))
    if found:
        spot = rng.choice(found)
        lines[at] = (
            lines[at][: spot.start()]
            + f"{other_number(rng, float(spot[0])):.10f}".rstrip("0").rstrip(".")
            + lines[at][spot.end() :]
        )


def add_unit(rng, lines, at):
    found = list(NUMBER.finditer(lines[at]))
    if found:
        end = rng.choice(found).end()
        lines[at] = f"{lines[at][:end]} {rng.choice(UNITS)}{lines[at][end:]}"


def change_word(rng, lines, at):
    found = list(WORD.finditer(lines[at]))
    if found:
        spot = rng.choice(found)
        other = rng.choice(WORD.findall(rng.choice(lines)) or ["x"])
        lines[at] = lines[at][: spot.start()] + other + lines[at][spot.end() :]


def change_value(rng, lines, at):
    key, colon, _ = lines[at].rpartition(": ")
    lines[at] = f"{key if colon else lines[at]}: {rng.choice(VALUES)}"


def put_odd_in(rng, lines, at):
    spot = rng.randrange(len(lines[at]) + 1)
    lines[at] = lines[at][:spot] + rng.choice(ODD) + lines[at][spot:]


def drop_character(rng, lines, at):
    spot = rng.randrange(len(lines[at]) + 1)
    lines[at] = lines[at][:spot] + lines[at][spot + 1 :]


def move_line(rng, lines, at):
    lines.insert(rng.randrange(len(lines)), lines.pop(at))


def drop_line(rng, lines, at):
    del lines[at]


def repeat_block(rng, lines, at):
    end = at + rng.randrange(1, 8)
    lines[end:end] = lines[at:end]


def swap_lines(rng, lines, at):
    other = rng.randrange(len(lines))
    lines[at], lines[other] = lines[other], lines[at]


def set_in(rng, lines, at):
    lines[at] = " " * rng.randrange(9) + lines[at].lstrip()


def _keys(record, found):
    """Every key that a maker can type, with its example."""
    for name, entry in keys_of(record).items():
        found.add((name, entry.example or "1"))
        for below in entry.kind.records():
            if below is not record:
                _keys(below, found)
    return found


KEYS = sorted({pair for record in RECORDS.values() for pair in _keys(record, set())})


def add_key(rng, lines, at):
    """A key of the language, with its example, set in as the line beside it."""
    name, example = rng.choice(KEYS)
    margin = len(lines[at]) - len(lines[at].lstrip(" "))
    lines.insert(at, f"{' ' * margin}{name}: {example}")


CHANGES = [change_number] * 6 + [
    add_key,
    add_key,
    add_unit,
    change_word,
    change_word,
    change_value,
    put_odd_in,
    drop_character,
    move_line,
    drop_line,
    repeat_block,
    swap_lines,
    set_in,
]


def slipped(seed):
    """A file's path and its text with a slip or two; the same for the same seed."""
    rng = random.Random(seed)
    path = rng.choice(
        [path for path in TEXTS for _ in range(4 if "/forms/" in path else 2 if "/clays/" in path else 1)]
    )
    lines = TEXTS[path].split("\n")
    for _ in range(rng.choice([1, 1, 1, 2, 3])):
        rng.choice(CHANGES)(rng, lines, rng.randrange(len(lines)))
        lines = lines or [""]
    return path, "\n".join(lines)


def project_with(path, text):
    """The demo with one file changed; the other files are not read again, unless the studio tells how."""
    if path == STUDIO:
        return read_project(TEXTS | {path: text})
    folder, slug = Path(path).parent.name, Path(path).stem
    alone = read_project({STUDIO: TEXTS[STUDIO], path: text})
    kept = {name: spec for name, spec in DEMO.files(folder).items() if name != slug}
    return replace(
        DEMO, **{folder: kept | alone.files(folder)}, problems=alone.problems, faulty_forms=alone.faulty_forms
    )


def look_over(path, text):
    """What is said of a studio in which one file has changed, and the sheets of forms that it bears on."""
    project = project_with(path, text)
    problems = [*project.problems, *links.check_links(project)]
    for clay in project.clays.values():
        problems += checks.check_clay(clay)
    faulty = {problem.at.file for problem in problems if problem.level == "error"}
    shaper, sheets = Shaper(project), {}
    for slug in borne_on(path, project):
        if links.can_be_worked_out(project.forms[slug], project, faulty):
            sheets[slug] = checks.check_form(project.forms[slug], project, shaper)
            problems += sheets[slug].problems
    for run in project.runs.values():
        problems += checks.check_run(run, sheets.get(str(run.form)))
    return sheets, problems


def borne_on(path, project):
    """The form itself; of a clay, a glaze, a studio or a run one form is enough."""
    slug = Path(path).stem
    if "/forms/" in path:
        return [slug] if slug in project.forms else []
    return [
        form.slug
        for form in project.forms.values()
        if "/runs/" not in path and slug in (form.clay, form.glaze, "studio")
    ][-1:] or ["tall-beaker"]


def unplain(words, text):
    """Words that no maker should meet, unless they typed them."""
    return [
        word
        for word in ("None", "Traceback", "nan", "inf", "Error", "object at", "frozenset")
        if re.search(rf"\b{word}\b", words) and word.casefold() not in text.casefold()
    ]


def test_the_demo_itself_has_no_problem():
    assert checks.check_project(read_project(TEXTS))[1] == []


def test_slips_are_the_same_every_time_and_reach_every_kind_of_file():
    assert [slipped(seed) for seed in range(5)] == [slipped(seed) for seed in range(5)]
    assert {slipped(seed)[0] for seed in range(SLIPS)} == set(TEXTS)
    assert sum(slipped(seed)[1] != TEXTS[slipped(seed)[0]] for seed in range(200)) > 150


@every("batch", range(BATCHES))
def test_any_slip_is_told_or_worked_out(batch):
    for seed in range(batch * SLIPS // BATCHES, (batch + 1) * SLIPS // BATCHES):
        path, text = slipped(seed)
        try:
            sheets, problems = look_over(path, text)
        except Exception as fault:
            raise AssertionError(f"slip {seed} in {path}: {fault!r}") from fault
        for problem in problems:
            lines = (text if problem.at.file == path else TEXTS[problem.at.file]).splitlines() or [""]
            assert 1 <= problem.at.line <= len(lines), (seed, problem)
            assert 1 <= problem.at.column <= len(lines[problem.at.line - 1]) + 2, (seed, problem)
            assert not unplain(f"{problem.message} {problem.hint}", text), (seed, problem)
            assert f"[{problem.rule}]" in format_problem(problem, {path: text})
        for sheet in sheets.values():
            for figure in sheet.figures:
                assert math.isfinite(figure.value), (seed, figure)
                assert figure.plus_minus is None or math.isfinite(figure.plus_minus), (seed, figure)
