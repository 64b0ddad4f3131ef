"""What a maker surely meant otherwise; and what looks like it and is meant."""

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
