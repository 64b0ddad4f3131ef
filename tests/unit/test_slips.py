"""What a maker surely meant otherwise; and what looks like it and is meant."""

from wareboard.figures.checks import check_project
from wareboard.text.projects import read_project

from tests.every import every

STUDIO = {
    "specs/studio.yaml": "title: Yard\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
}
JAR = """\
title: Jar
clay: buff
parts:
  jar:
    outside: {foot: {height: 0, diameter: 80}, rim: {height: 90, diameter: 80}}
    wall: 4
    floor: 5
    calipers: {mouth: inside rim, girth: outside rim}
  lid:
    opens: down
    outside: {tip: {height: 0, diameter: flange}, top: {height: 12, diameter: 70}}
    calipers: {flange: fit, girth2: outside top, bore: inside 60}
fits:
  lid: {inside: jar.mouth, outside: lid.flange, clearance: 1.5}
"""


def rules_of(text, **others):
    texts = (
        STUDIO | {"specs/forms/jar.yaml": text} | {f"specs/forms/{name}.yaml": other for name, other in others.items()}
    )
    return [
        (problem.rule, problem.hint) for problem in read_project(texts).problems if problem.at.file.endswith("jar.yaml")
    ]


@every(
    ("inside", "outside", "words"),
    [
        ("lid.flange", "jar.mouth", "`inside: jar.mouth` and `outside: lid.flange`"),
        ("lid.girth2", "jar.mouth", "`inside: jar.mouth` and `outside: lid.girth2`"),
        ("jar.girth", "lid.flange", "a size that is measured inside"),
        ("jar.mouth", "lid.bore", "a size that is measured outside"),
        ("other/lid.flange", "jar.mouth", "`inside: jar.mouth` and `outside: other/lid.flange`"),
    ],
)
def test_sides_of_a_fit(inside, outside, words):
    text = JAR.replace("inside: jar.mouth, outside: lid.flange", f"inside: {inside}, outside: {outside}")
    ((rule, hint),) = rules_of(text, other=JAR)
    assert rule == "fit-sides"
    assert words in hint


@every("sides", ["inside: jar.mouth, outside: lid.flange", "inside: other/jar.mouth, outside: lid.girth2"])
def test_sides_that_are_right(sides):
    assert rules_of(JAR.replace("inside: jar.mouth, outside: lid.flange", sides), other=JAR) == []


@every(
    "stations",
    [
        "foot: {height: 0, diameter: 80}, rim: {height: 90, diameter: 80}, lip: {height: 80, diameter: 86}",
        "foot: {height: 0, diameter: 80}, ledge: {height: 0, diameter: 84}, rim: {height: 90, diameter: 80}",
    ],
)
def test_an_outline_may_fall_back(stations):
    assert rules_of(JAR.replace("foot: {height: 0, diameter: 80}, rim: {height: 90, diameter: 80}", stations)) == []


@every(
    ("before", "after", "rules"),
    [
        ("    opens: down\n", "    wall: 4\n    floor: 4\n", ["lid-opens-up"]),
        ("    opens: down\n", "    opens: up\n    wall: 4\n    floor: 4\n", []),
        ("    opens: down\n", "", []),  # solid: a stopper stands either way
        ("  jar:", "  Cover 2:", ["lid-opens-up"]),
        ("  jar:", "  caper:", []),
    ],
)
def test_lids(before, after, rules):
    text = JAR.replace(before, after).replace(
        "inside: jar.mouth", "inside: lid.bore" if "jar" in before else "inside: jar.mouth"
    )
    assert [rule for rule, _ in rules_of(text) if rule != "fit-sides"] == rules


BESIDE = {
    "specs/studio.yaml": "title: Yard\nspreads: {shrinkage: 0.15}\n",
    "specs/clays/buff.yaml": "title: Buff\nwater: 21 %\nshrinkage: {dry: 6 %, fired: 12 %}\n",
}
PLAIN = "title: Tall cup\ncode: C-1\nclay: buff\nparts:\n  cup:\n    outside: {foot: {height: 0, diameter: 60}, rim: {height: 90, diameter: 80}}\n"


def hints_of(**files):
    texts = BESIDE | {f"specs/{name.replace('__', '/')}.yaml": text for name, text in files.items()}
    return {(problem.rule, problem.hint) for problem in check_project(read_project(texts))[1]}


def test_tenths_of_a_percent_are_not_made_tens():
    assert hints_of() == {("unreadable-size", "did you mean '0.15 %'?")}


def test_what_is_said_in_words_is_written_under_its_keys():
    cup = PLAIN + "    throwing: {left_on: '1.5 wall, 3 mm floor'}\n"
    assert ("wrong-shape", "write `left_on: {wall: 1.5, floor: 3 mm}`") in hints_of(forms__cup=cup)
    cup = PLAIN + "    throwing: {left_on: 1.5}\n"
    assert ("wrong-shape", "write `left_on: {wall: 1.5}`") in hints_of(forms__cup=cup)
    small = "title: Small\nlike: cup\nresized: 0.8\n"
    assert ("wrong-shape", "write `resized: {scale: 0.8}`") in hints_of(forms__cup=PLAIN, forms__small=small)


def test_a_form_called_by_its_code_or_title_is_known():
    for called in ("C-1", "tall cup"):
        order = f"title: Fair\nlines: [{{form: {called}, sets: 12}}]\nmade: [{{form: cup, thrown: {{cup: 2}}}}]\n"
        found = hints_of(forms__cup=PLAIN, orders__fair=order)
        assert ("unknown-slug", "did you mean `cup`?") in found
        assert not any(rule == "not-in-order" for rule, _ in found), found


def test_a_count_with_a_word_behind_it_is_that_count():
    order = "title: Fair\nlines: [{form: cup, sets: 24 pieces}]\n"
    assert ("not-whole", "did you mean `24`?") in hints_of(forms__cup=PLAIN, orders__fair=order)
    order = "title: Fair\nlines: [{form: cup, sets: 0 pieces}]\n"
    assert ("not-whole", "") in hints_of(forms__cup=PLAIN, orders__fair=order)


def test_an_example_is_that_of_the_key():
    cup = PLAIN + "    throwing: {stub: narrow}\n"
    assert ("unreadable-size", "write it like 30") in hints_of(forms__cup=cup)


def test_a_gauge_that_outside_stations_are_as_wide_as_is_measured_outside():
    lid = "title: Lid\nclay: buff\nparts:\n  lid:\n    opens: down\n    outside: {tip: {height: 0, diameter: flange}, top: {height: 9, diameter: 40}}\n    calipers: {flange: gauge lid}\n"
    studio = "title: Yard\ngauges: {lid: 76 mm fired}\n"
    project = read_project(BESIDE | {"specs/studio.yaml": studio, "specs/forms/lid.yaml": lid})
    (part,) = project.forms["lid"].parts.values()
    assert [caliper.side for caliper in part.calipers.values()] == ["outside"]


def test_of_clay_at_hand_that_was_read_in_part_nothing_follows():
    studio = "title: Yard\nstock:\n  - {name: firm, clay: %s, water: 19 %%, weight: 50 kg}\n  - {name: soft, clay: buff, weighed: %s, weight: 1 kg}\n"
    order = "title: Fair\nlines: [{form: cup, sets: 12}]\n"
    for clay, lump, rule in (
        ("bufff", "{wet: 412 g, dry: 280 g}", "unknown-slug"),
        ("buff", "{wet: 412, dry: 280 g}", "unreadable-size"),
    ):
        texts = {
            **BESIDE,
            "specs/studio.yaml": studio % (clay, lump),
            "specs/forms/cup.yaml": PLAIN + "    wall: 4\n    floor: 5\n",
            "specs/orders/fair.yaml": order,
        }
        assert {problem.rule for problem in check_project(read_project(texts))[1]} == {rule}
