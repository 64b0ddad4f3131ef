"""Pints, prices for a weight, coats from two weighings: read, or refused at their place; coats of a form's own part."""

import pytest
from wareboard.figures import checks
from wareboard.figures.coats import weigh_coats, weighed_on
from wareboard.text.kinds import Reading
from wareboard.text.projects import read_project
from wareboard.text.sizekinds import Measure
from wareboard.text.source import read_nodes
from wareboard.text.weighings import Coat, CoatOf, PintWeight, PricePer

from tests.demo import texts_of_demo
from tests.every import every

PINT = PintWeight(Measure("density", least=1.0, most=3.0, above=True))


def read(kind, text):
    top, problems = read_nodes(f"key: {text}", "a.yaml")
    assert problems == []
    reading = Reading()
    value = kind.read(top.get("key"), "key", reading)
    return value, [problem.rule for problem in reading.problems]


@every(
    ("text", "density"),
    [
        ("1.45 g/ml", 1.45), ("29 oz", 29 * 28.349523125 / 568.26125), ("24 oz US", 24 * 28.349523125 / 473.176473), ("29 oz imp", 29 * 28.349523125 / 568.26125),
        ("1 lb 13 oz", 29 * 28.349523125 / 568.26125), ("29 oz a pint", 29 * 28.349523125 / 568.26125), ("24 oz/US pint", 24 * 28.349523125 / 473.176473),
    ],
)  # fmt: skip
def test_a_pints_weight(text, density):
    value, rules = read(PINT, text)
    assert rules == [] and value.value == pytest.approx(density, rel=1e-6) and value.typed == text


@every(
    ("text", "rule"),
    [
        ("12 oz", "size-out-of-range"),
        ("90 oz", "size-out-of-range"),
        ("heavy", "unreadable-size"),
        ("29", "unreadable-size"),
        ("29 oz oz", "unreadable-size"),
    ],
)
def test_a_pint_that_cannot_be(text, rule):
    assert read(PINT, text) == (None, [rule])


@every(
    ("text", "price"),
    [("1.10 /kg", 1.10), ("1.10/kg", 1.10), ("1.10", 1.10), ("0.5 /lb", 0.5 / 0.45359237), ("2 / g", 2000.0)],
)
def test_a_price_for_a_weight(text, price):
    value, rules = read(PricePer(), text)
    assert rules == [] and value.value == pytest.approx(price)


@every("text", ("dear", "1.10 /l", "1.10 /", "-2 /kg"))
def test_a_price_that_cannot_be(text):
    value, rules = read(PricePer(), text)
    assert value is None and len(rules) == 1


COAT = Coat(Measure("areal", most=20.0))


def test_a_coat_of_two_weighings():
    value, rules = read(COAT, "{bare: 212 g, glazed: 231 g, area: 84 cm2}")
    assert rules == [] and value.value == pytest.approx(0.019 / 0.0084) and value.typed == "(231 g − 212 g) / 84 cm2"
    assert read(COAT, "0.9 kg/m2")[0].value == pytest.approx(0.9)
    waiting = read(COAT, "{bare: 212 g, glazed: 231 g, of: tall-beaker/cup}")[0]
    assert isinstance(waiting, CoatOf) and (waiting.form, waiting.part) == ("tall-beaker", "cup")


@every(
    ("text", "rule"),
    [
        ("{bare: 231 g, glazed: 212 g, area: 84 cm2}", "size-out-of-range"), ("{bare: 212 g, glazed: 231 g}", "missing-key"), ("{glazed: 231 g, area: 84 cm2}", "missing-key"),
        ("{bare: 212 g, glazed: 231 g, area: 84 cm2, of: cup}", "missing-key"), ("{bare: 212 g, glased: 231 g, area: 84 cm2}", "unknown-key"), ("{bare: 212 g, glazed: 231 g, area: 84 mm}", "unreadable-size"),
        ("{bare: 1 g, glazed: 231 g, area: 1 cm2}", "size-out-of-range"),
    ],
)  # fmt: skip
def test_a_coat_that_cannot_be(text, rule):
    assert read(COAT, text) == (None, [rule])


def lichen(coat):
    texts = texts_of_demo()
    path = "specs/glazes/lichen-satin.yaml"
    return read_project({**texts, path: texts[path].replace("coat: 0.9 kg/m2", f"coat: {coat}")})


@every(("of", "parts"), [("tall-beaker/cup", {"tall-beaker": ["cup"]}), ("tea-caddy", {"tea-caddy": ["jar", "lid"]})])
def test_a_coat_weighed_on_a_forms_own_part_takes_its_area(of, parts):
    project = lichen(f"{{bare: 300 g, glazed: 330 g, of: {of}}}")
    sheets, problems = checks.check_project(project)
    assert not [
        problem for problem in problems if problem.level == "error" or problem.at.file.startswith("specs/glazes")
    ]
    area = sum(sheets[form].value(f"{part}.area.glazed", "bisque") for form, names in parts.items() for part in names)
    told = weigh_coats(project)
    assert told.glazes["lichen-satin"].coat.value == pytest.approx(30.0 / area * 10.0)
    assert sheets["tea-caddy"].glaze.coat.value == told.glazes["lichen-satin"].coat.value
    assert sheets["tall-beaker"].value("glaze.dry") == pytest.approx(
        30.0 / area * sheets["tall-beaker"].value("cup.area.glazed", "bisque")
    )
    assert weighed_on(told) == {of.partition("/")[0]}
    assert weigh_coats(told) is told


@every(("of", "rule"), [("tall-beeker", "unknown-slug"), ("tall-beaker/lid", "unknown-part")])
def test_a_coat_of_something_that_is_not_there(of, rule):
    sheets, problems = checks.check_project(lichen(f"{{bare: 300 g, glazed: 330 g, of: {of}}}"))
    assert [problem.rule for problem in problems if problem.at.file.endswith("lichen-satin.yaml")] == [rule]
    assert "tall-beaker" not in sheets
