"""Every hint, applied, parses: what it says to write can be written, and what it says was meant mends the problem.

The hints are those of the small bad specs, and of slips with a maker's own names that those don't hold.
"""

import re
from functools import cache

from wareboard.figures import checks
from wareboard.text.projects import read_project
from wareboard.text.source import read_nodes

from tests.every import every
from tests.unit.test_specs_bad import fixtures, found_in, texts_of

MEANT = re.compile(r"did you mean `([^`]+)`")
QUOTED = re.compile(r"`([^`]+)`")
STUDIO = {
    "specs/studio.yaml": "title: Yard\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
}
JAR = """\
title: Jar
clay: buff
parts:
  jar:
    outside: {foot: {height: 0, diameter: 80}, inner rim: {height: 90, diameter: 80}}
    wall: 4
    floor: 5
    fill_to: inner rim
    bare: foot to inner rim
    calipers: {mouth: inside inner rim}
    throwing: {loss: 6 %, gauge_at: inner rim}
    extras: {handle: {clay: 45 g}}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, ledge: {height: 5, diameter: flange}, plate: {height: 5, diameter: 80}, top: {height: 12, diameter: 70}}
    calipers: {flange: fit}
fits:
  lid: {inside: jar.mouth, outside: lid.flange, clearance: {aim: 1.5, least: 0.2, most: 3}, glazed: none}
steps:
  wet: Set the pointer to {jar.pointer.height wet}.
"""
SLIPS = [
    ("fill_to: inner rim", "fill_to: iner rim"), ("fill_to: inner rim", "fill_to: 20 mm below inner rim"), ("foot to inner rim", "foot to iner rim"), ("foot to inner rim", "fot to inner rim"),
    ("inside inner rim", "inside iner rim"), ("inside inner rim", "insid inner rim"), ("inside inner rim", "inner rim"), ("gauge_at: inner rim", "gauge_at: inner rin"),
    ("diameter: flange", "diameter: flang"), ("inside: jar.mouth", "inside: jr.mouth"), ("inside: jar.mouth", "inside: jar.mout"),
    ("inside: jar.mouth", "inside: jar"), ("inside: jar.mouth", "inside: jar.inner rim"), ("inside: jar.mouth", "inside: jar.foot"), ("outside: lid.flange", "outside: lid.tip"), ("opens: down", "opens: dwn"), ("clay: buff", "clay: bufff"), ("glazed: none", "glazed: non"),
    ("jar.pointer.height wet", "jar.pointr.height wet"), ("jar.pointer.height wet", "jar.pointer.height"), ("aim: 1.5", "aim: 1,5"),
    ("loss: 6 %", "loss: 6"), ("loss: 6 %", "loss: 6 % wet"), ("clay: 45 g", "clay: 45 gm oz"), ("handle: {clay: 45 g}", "handle: [45 g]"), ("throwing: {loss: 6 %, gauge_at: inner rim}", "throwing: 420 g"),
    ("wall: 4", "wall: 40 mn"), ("wall: 4", "wal: 4"), ("floor: 5", "floor: '5,5'"), ("wall: 4", "wall: 30"), ("wall: 4", "wall: 4.0.1"), ("diameter: 70", "diameter: 70,5"),
    ("inside: jar.mouth, outside: lid.flange", "inside: lid.flange, outside: jar.mouth"), ("title: Jar", "title: Jar #3"), ("wall: 4", "wall 4"),
    ("title: Jar", "title: Jar: tall"), ("{aim: 1.5, least: 0.2, most: 3}", "{aim: 15, least: 5, most: 30}"), ("height: 90, diameter: 80", "height: 90"), ("inner rim: {height: 90, diameter: 80}", "inner rim: 80"),
    ("height: 12, diameter: 70", "height: 12 mm drry, diameter: 70"), ("wall: 4", "wall: 1:2"), ("wall: 4", "wall: 4 x 5"), ("wall: 4", "wall: 1e1"),
    ("height: 90, diameter: 80", "height: 90, radius: 45"), ("height: 90, diameter: 80", "height: 90, width: 80"), ("height: 90, diameter: 80", "height: 90 diameter: 80"),
    ("inside inner rim", "inner rim inside"), ("inside inner rim", "internal inner rim"), ("inside inner rim", "72"), ("flange: fit", "flange: lid"),
    ("inside: jar.mouth", "inside: mouth"), ("inside: jar.mouth", "inside: jar mouth"), ("foot to inner rim", "foot - inner rim"), ("foot to inner rim", "bottom"),
    ("wall: 4", "thickness: 4"), ("title: Jar", "name: Jar"), ("least: 0.2, most: 3", "min: 0.2, max: 3"), ("glazed: none", "glazed: no"), ("aim: 1.5", "aim: 0.75 a side"),
    ("clay: buff", "unit: inches\nclay: buff"), ("clay: buff", "sizes: greenware\nclay: buff"), ("clay: buff", "stockist: {price: £34}\nclay: buff"),
    ("{aim: 1.5, least: 0.2, most: 3}", "1.5 ± 0.5"), ("{aim: 1.5, least: 0.2, most: 3}", "0.5 to 2.6 mm"), ("handle: {clay: 45 g}", "handle: Ø45"), ("extras: {handle: {clay: 45 g}}", "extras: 45 g"),
    ("steps:\n  wet: Set the", "steps:\n  wet:\n    - Tool #4 and the"), ("height: 90, diameter: 80", "h: 90, d: 80"), ("calipers: {mouth: inside inner rim}", "calipers: [mouth]"), ("height: 90, diameter: 80", "height:90, diameter:80"), ("{jar.pointer.height wet}", "{jar.pointer.height wet, then {jar.ball wet}"),
]  # fmt: skip


@cache
def everything():
    """Each case: its name, its texts, and what is found in them."""
    found = [(rule, texts_of(rule), found_in(rule)[0]) for rule in fixtures()]
    for before, after in SLIPS:
        assert before in JAR, before
        texts = STUDIO | {"specs/forms/jar.yaml": JAR.replace(before, after, 1)}
        found.append((f"{after} for {before}", texts, problems_of(texts)))
    return found


def problems_of(texts):
    return checks.check_project(read_project(texts))[1]


def applied(texts, at, word):
    lines = texts[at.file].splitlines(keepends=True)
    line, start = lines[at.line - 1], at.column - 1
    lines[at.line - 1] = line[:start] + word + line[start + at.width :]
    return texts | {at.file: "".join(lines)}


@every("name, texts, before", everything)
def test_what_was_meant_mends_it(name, texts, before):
    for problem in before:
        for meant in MEANT.findall(problem.hint):
            after = problems_of(applied(texts, problem.at, meant))
            gone = (problem.rule, problem.message)
            assert gone not in [(one.rule, one.message) for one in after], (problem, meant)
            assert len([one for one in after if one.level == "error"]) <= len(
                [one for one in before if one.level == "error"]
            ), after


@every("name, texts, problems", everything)
def test_what_it_says_to_write_can_be_written(name, texts, problems):
    for problem in problems:
        assert "…" not in problem.hint, problem.hint
        for piece in QUOTED.findall(problem.hint):
            if ": " in piece and not piece.startswith(("wareboard", "- ")):
                node, said = read_nodes(piece, "hint")
                assert node is not None and not said, piece


def test_a_slip_has_a_hint_with_the_makers_own_names():
    for after, hint in (
        ("inner rim", "write `inside inner rim` or `outside inner rim`, or `fit` where a fit sets it"),
        ("insid inner rim", "did you mean `inside inner rim`?"),
    ):
        texts = STUDIO | {"specs/forms/jar.yaml": JAR.replace("inside inner rim", after)}
        assert hint in [problem.hint for problem in problems_of(texts)]
    for before, after, hint in (
        ("inside inner rim", "inner rim inside", "did you mean `inside inner rim`?"), ("flange: fit", "flange: lid", "did you mean `fit`?"),
        ("outside: lid.flange", "bottom: lid.flange", "write `outside: lid.flange`"), ("inside: jar.mouth, ", "", "write `inside: jar.mouth`"),
        ("wall: 4\n    floor: 5", "wall: 4\n    floor: 5\n    foot: {width: 6, depth: 4}", "did you mean `recess`?"),
        ("clay: buff\nparts:\n  jar:", "clay: buff\nunit: in\nparts:\n  jar:\n    foot: {ring: 60 mm}", "write `recess: 5 mm`"),
        ("clay: buff\nparts:\n  jar:", "clay: buff\nunit: cm\nparts:\n  jar:\n    gallery: 12", "write `gallery: {depth: 12 mm, width: 5 mm}`"),
        (", clearance: {aim: 1.5, least: 0.2, most: 3}", "", "write `clearance: {aim: 1.2, least: 0.5, most: 2.4}`"),
        ("fill_to: inner rim", "fill_to: 20 mm below inner rim", "write a height above the foot alone, or a station's name"),
        ("inside: jar.mouth", "inside: jar.inner rim", "did you mean `mouth`?"), ("outside: lid.flange", "outside: lid.tip", "did you mean `flange`?"),
        ("inside: jar.mouth", "inside: jar.foot", "write `calipers: {foot: inside foot}` in the part"),
        ("inside: jar.mouth", "inside: mouth", "did you mean `jar.mouth`?"), ("inside: jar.mouth", "inside: jar mouth", "did you mean `jar.mouth`?"),
        ("foot to inner rim", "foot - inner rim", "did you mean `foot to inner rim`?"), ("height: 90, diameter: 80", "height: 90, radius: 45", "write `diameter: 90`"),
        ("height: 90, diameter: 80", "height: 90 diameter: 80", "write `{height: 90, diameter: 80}`"), ("wall: 4", "thickness: 4", "did you mean `wall`?"),
        ("least: 0.2", "min: 0.2", "did you mean `least`?"), ("glazed: none", "glazed: no", "did you mean `none`?"), ("aim: 1.5", "aim: 0.75 a side", "write 1.5, or 0.75 where one side is meant"),
        ("clay: buff", "unit: inches\nclay: buff", "did you mean `in`?"), ("clay: buff", "sizes: greenware\nclay: buff", "did you mean `dry`?"),
        ("clay: buff", "stockist: {price: £34}\nclay: buff", "did you mean '34'?"),
        ("{aim: 1.5, least: 0.2, most: 3}", "1.5 ± 0.5 mm", "write `clearance: {aim: 1.5 mm, least: 1 mm, most: 2 mm}`"),
        ("{aim: 1.5, least: 0.2, most: 3}", "0.5 to 2.6", "write `clearance: {aim: 1.55, least: 0.5, most: 2.6}`"),
        ("extras: {handle: {clay: 45 g}}", "extras: 45 g", "write it like `extras: {handle: 45 g}`"),
        ("steps:\n  wet: Set the", "steps:\n  wet:\n    - Tool #4 and the", "write `- 'Tool #4 and the pointer to {jar.pointer.height wet}.'`, or set a space behind the `#` where it is a comment"),
        ("title: Jar", f"title: Jar #{'3' * 90}", "put all of it in quotes, or set a space behind the `#` where it is a comment"),
        ("calipers: {mouth: inside inner rim}", "calipers: [mouth]", "leave out the `- ` before each"),
        ("clay: buff", "like: j-1\nclay: buff", "did you mean `other`?"), ("clay: buff", "like: Another\nclay: buff", "did you mean `other`?"),
        ("clay: buff", "like: other\nresized: 90 %\nclay: buff", "write `resized: {scale: 0.9}`"), ("clay: buff", "like: other\nresized: {scale: 90 %}\nclay: buff", "did you mean '0.9'?"),
        ("height: 90, diameter: 80", "height:90, diameter:80", "write `height: 90`"), ("{jar.pointer.height wet}", "{jar.pointer.height wet. Wait", "write `{jar.pointer.height wet}`"),
    ):  # fmt: skip
        other = JAR.replace("title: Jar", "title: Another\ncode: J-1")
        texts = STUDIO | {"specs/forms/jar.yaml": JAR.replace(before, after, 1), "specs/forms/other.yaml": other}
        assert hint in [problem.hint for problem in problems_of(texts)], after
    texts = STUDIO | {
        "specs/forms/jar.yaml": JAR.replace("throwing: {loss: 6 %, gauge_at: inner rim}", "throwing: 420 g")
    }
    assert "write `throwing: {ball: 420 g}`" in [problem.hint for problem in problems_of(texts)]


MUG = """\
title: Mug
clay: buff
parts:
  mug:
    outside: {foot: {height: 0, diameter: 60}, belly: {height: 40, diameter: 76}, rim: {height: 90, diameter: 80}}
    inside: {floor: {height: 5, diameter: 50}, low: {height: 38, diameter: 68}, lip: {height: 90, diameter: 72}}
    throwing: {ball: 270 g}
"""


@every(
    ("before", "after", "rules"),
    [
        # Where an outline can't be built the caret stands at the size that is why.
        ("diameter: 80", "diameter: 8", ["outlines-cross 80"]), ("diameter: 80", "diameter: 3.15", ["outlines-cross 3.15 in"]),
        ("diameter: 72", "diameter: 720", ["outlines-cross 72", "size-far-off 72"]), ("height: 38", "height: 910", ["size-far-off 91"]),
        ("diameter: 68", "diameter: 6", ["size-far-off 60"]), ("diameter: 76", "diameter: 760", ["size-far-off 76"]),
        ("270 g", "27 g", ["ball-differs 270 g"]), ("270 g", "2.7 kg", ["ball-differs 0.27 kg"]), ("270 g", "270 oz", ["ball-differs 270 g"]), ("270 g", "2.7 g", []),
        # The sound mug, a knob's narrow end, a goblet's stem.
        ("title: Mug", "title: Mug", []), ("throwing:", "bare: inside\n    throwing:", []),
        ("diameter: 76", "diameter: 10", None),
    ],
)  # fmt: skip
def test_a_size_that_is_far_off_is_named_as_the_cause(before, after, rules):
    assert before in MUG
    text = MUG.replace(before, after, 1)
    if rules is None:  # solid, with a stem
        text = text[: text.index("    inside:")]
    found = [
        f"{one.rule} {MEANT.findall(one.hint)[0]}"
        for one in problems_of(STUDIO | {"specs/forms/mug.yaml": text})
        if MEANT.findall(one.hint) and (one.rule != "ball-differs" or "270" in before)
    ]
    assert found == (rules or [])


def test_a_wall_that_leaves_nothing_is_the_narrow_places_fault():
    walled = re.sub("inside: .*", "wall: 4\n    floor: 5", MUG).replace("diameter: 80", "diameter: 8")
    (found,) = problems_of(STUDIO | {"specs/forms/mug.yaml": walled})
    assert (found.rule, MEANT.findall(found.hint)) == ("wall-too-thick", ["80"])


def test_the_unit_is_told_of_a_form_that_can_not_be_built():
    text = MUG.replace("clay: buff", "clay: buff\nunit: in").replace("height: 38", "height: 95")
    found = {one.rule: one.hint for one in problems_of(STUDIO | {"specs/forms/mug.yaml": text})}
    assert found["unit-slip"] == "did you mean `mm`?"


def test_what_is_wrong_at_a_line_is_told_once_however_many_forms_have_it():
    mug = MUG.replace("    throwing: {ball: 270 g}\n", "")
    texts = STUDIO | {"specs/forms/mug.yaml": mug.replace("floor: {height: 5", "floor: {height: 1")}
    texts["specs/forms/mug-two.yaml"] = "title: Mug two\nlike: mug\nresized: {scale: 0.9}\n"
    assert [one.rule for one in problems_of(texts)] == ["thin-wall"]
    texts["specs/forms/mug.yaml"] = mug.replace("floor: {height: 5", "floor: {height: 2.1")
    assert [one.message.partition(":")[0] for one in problems_of(texts)] == ["mug-two, which is like it"]
    texts["specs/forms/mug-three.yaml"] = texts["specs/forms/mug-two.yaml"].replace("two", "three")
    assert [one.message.partition(":")[0] for one in problems_of(texts)] == ["mug-three and 1 more, which are like it"]


def test_readings_that_are_far_off_are_told_once_a_figure():
    run = "form: mug\ndate: 2026-03-14\nmeasured:\n  - {mug.rim.diameter fired: [8.0, 79.5, 8.1]}\n"
    (found,) = [
        one
        for one in problems_of(STUDIO | {"specs/forms/mug.yaml": MUG, "specs/runs/a.yaml": run})
        if "runs" in one.at.file
    ]
    assert found.message.startswith("measured: 8.0 and 1 more of mug.rim.diameter fired, ")


def test_a_bar_that_is_out_of_range_is_what_to_look_at():
    clay = "title: Buff\nwater: 21 %\nbars: [{wet: 100, dry: 94, fired: 880}, {wet: 100, dry: 94, fired: 88}]\n"
    (found,) = problems_of(STUDIO | {"specs/clays/buff.yaml": clay})
    assert (found.rule, found.at.width, found.hint.partition(":")[0]) == (
        "out-of-range",
        3,
        "this bar moves the mean most",
    )
