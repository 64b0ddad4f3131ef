"""Figures and the ledger that they are written into."""

import pytest
from wareboard.figures.figure import Doubt, Figure, Ledger, Moved, Told
from wareboard.pot.doubt import known
from wareboard.pot.stages import STAGES
from wareboard.text.catalogue import COMMON, UnknownFigure
from wareboard.text.formulas import Formula

from tests.every import every


def figure(key="cup.ball", stage="wet", value=1.0):
    return Figure(key, stage, value, "g", Told(value, "how", ("a wet",)))


def test_name_is_key_and_stage():
    assert figure().name == "cup.ball wet"
    assert figure("glaze.dry", None).name == "glaze.dry"


def test_json_has_every_field_in_order():
    told = Told(2.5, "how", ("a", "b.yaml:3", "a"), {}, "", "src", True, lambda: Doubt(0.1, known("trimming", 0.1)))
    found = Figure("k", None, 2.5, "mm", told).as_json()
    assert found == {
        "key": "k", "stage": None, "value": 2.5, "unit": "mm", "plus_minus": 0.1, "how": "how = 2.5 mm", "inputs": ["a", "b.yaml:3"], "source": "src", "given": True,
        "interval": [pytest.approx(2.304, abs=1e-4), pytest.approx(2.696, abs=1e-4)], "doubt": [{"from": "trimming", "sd": 0.1}],
    }  # fmt: skip
    assert list(found) == [
        "key",
        "stage",
        "value",
        "unit",
        "plus_minus",
        "how",
        "inputs",
        "source",
        "given",
        "interval",
        "doubt",
    ]
    assert (figure().as_json()["interval"], figure().as_json()["doubt"]) == (None, [])


def test_ledger_keeps_order_and_hands_values_on():
    ledger = Ledger()
    assert ledger.write("cup.ball", "wet", 1.0, "how", ("a wet",)) == ledger.value("cup.ball", "wet") == 1.0
    assert (
        ledger.write(
            "glaze.dry",
            None,
            2.0,
            "coat {coat_g} on {what}",
            ["x", "y", "x"],
            {"coat_g": 2.0, "what": "it"},
            doubt=lambda: Doubt(0.5),
        )
        == 2.0
    )
    assert [f.name for f in ledger.figures.values()] == ["cup.ball wet", "glaze.dry"]
    written = ledger.figures["glaze.dry", None]
    assert (written.inputs, written.plus_minus, written.given, written.source, written.unit) == (
        ("x", "y"),
        0.5,
        False,
        "",
        "g",
    )
    assert written.how == "coat 2 g on it = 2 g"
    with pytest.raises(KeyError):
        ledger.value("glaze.dry", "wet")


def test_one_formula_gives_value_and_working():
    ledger = Ledger()
    assert ledger.work("cup.ball", "wet", (), {"thrown_g": 94.0, "lost_share": 0.06}, note="by hand") == pytest.approx(
        100.0
    )
    written = ledger.figures["cup.ball", "wet"]
    assert (written.how, written.unit, written.source) == ("94 g thrown / (1 − 6 % lost) = 100 g; by hand", "g", COMMON)
    other = ledger.work("jar.ball", "wet", (), {"thrown_g": 3.0}, formula=Formula("2 * thrown_g"), source="worked")
    assert other == 6.0 and ledger.figures["jar.ball", "wet"].source == "worked"


def test_one_account_tells_of_all_stages_and_is_asked_late():
    asked = []

    def told(stage):
        asked.append(stage)
        return Told(1.0, "at {stage}", (f"a {stage}",), {"stage": stage}, doubt=lambda: Doubt(0.25))

    ledger = Ledger()
    ledger.put("cup.rim.height", (5.0, 4.0, 3.0, 2.0, 1.0), told)
    assert [(figure.stage, figure.value) for figure in ledger.figures.values()] == list(
        zip(STAGES, (5.0, 4.0, 3.0, 2.0, 1.0))
    )
    assert asked == []
    fired = ledger.figures["cup.rim.height", "fired"]
    assert (fired.how, fired.inputs, fired.plus_minus) == ("at fired = 1 mm", ("a fired",), 0.25)
    assert asked == ["fired"]  # and kept
    with pytest.raises(UnknownFigure, match="is a figure at"):
        ledger.put("cup.ball", (5.0, 4.0, 3.0, 2.0, 1.0), told)


def test_what_is_told_beside_another_comes_stage_by_stage_and_stages_may_be_left_out():
    ledger, nothing = Ledger(), lambda _stage: Told(1.0, "how")
    ledger.put("fit.lid.seat", (1.0, 2.0, 3.0, 4.0, 5.0), nothing)
    ledger.put("fit.lid.room", (1.0, None, None, None, 5.0), nothing)
    ledger.put("cup.witness", (79.0, 78.0), nothing)
    assert [figure.name for figure in ledger.figures.values()] == [
        "fit.lid.seat wet", "fit.lid.room wet", "fit.lid.seat leather-hard", "fit.lid.seat dry", "fit.lid.seat bisque",
        "fit.lid.seat fired", "fit.lid.room fired", "cup.witness leather-hard", "cup.witness dry",
    ]  # fmt: skip
    assert len(ledger.figures) == 9 and ledger.figures.get(("fit.lid.room", "dry")) is None
    with pytest.raises(KeyError):
        ledger.value("fit.lid.room", "dry")


def test_a_stage_that_is_told_alone_joins_those_before():
    ledger = Ledger()
    for stage, value in (("wet", 1.9), ("fired", 2.1)):
        ledger.write("clay.density", stage, value, f"as {stage}")
    assert [(figure.stage, figure.value, figure.how) for figure in ledger.figures.values()] == [
        ("wet", 1.9, "as wet = 1.9 g/cm3"),
        ("fired", 2.1, "as fired = 2.1 g/cm3"),
    ]


def test_a_figure_that_is_moved_keeps_what_is_told_of_it():
    ledger = Ledger()
    ledger.put("cup.witness", (79.0, 78.0), lambda stage: Told(1.0, f"at {stage}"))
    moving = Moved(ledger.figures)
    moving.put("cup.witness", "dry", 71.0)
    moving.put("cup.mass", "wet", 2.0)  # which is none
    moving.shift("cup.witness", [0.0, -1.0])
    assert (moving.values("cup.witness"), moving.values("cup.mass")) == ([79.0, 70.0], ())
    moved = moving.figures()
    assert [figure.value for figure in moved.values()] == [79.0, 70.0]
    assert moved["cup.witness", "dry"].how == "at dry = 1 %" and ledger.value("cup.witness", "dry") == 78.0


def test_what_is_measured_is_measured_when_it_is_read_and_once():
    measured = []

    def measure():
        measured.append("cup")
        return (79.0, 78.0)

    ledger = Ledger()
    ledger.put("cup.witness", measure, lambda stage: Told(1.0, f"at {stage}"))
    moving = Moved(ledger.figures)
    moving.scale("cup.witness", 2.0)
    moving.shift("cup.witness", [0.0, -1.0])
    moved = moving.figures()
    ledger.work_when_read(
        "glaze.dry", lambda: ["a"], lambda: {"a_g": ledger.value("cup.witness", "dry")}, formula=Formula("2 * a_g")
    )
    assert measured == []
    assert [figure.value for figure in moved.values()] == [158.0, 155.0]
    assert [figure.value for figure in ledger.figures.values()] == [79.0, 78.0, 156.0]
    dry = ledger.figures["glaze.dry", None]
    assert (dry.inputs, dry.told.value, measured) == (("a",), 156.0, ["cup"])


def test_what_is_typed_has_nobodys_rule():
    ledger = Ledger()
    ledger.write("cup.rim.height", "fired", 90.0, "typed: 9 cm", ["f:1"], given=True)
    assert ledger.figures["cup.rim.height", "fired"].source == "" and ledger.figures["cup.rim.height", "fired"].given


@every(
    "key, stage",
    [("cup.blah.blah", "wet"), ("cup.ball", "fired"), ("cup.ball", None), ("glaze.dry", "wet"), ("lid.rim.height", "wet"), ("cup.mouht", "wet"), ("fit.lid.gap", "wet")],
)  # fmt: skip
def test_ledger_refuses_what_the_catalogue_or_the_form_has_not(key, stage):
    ledger = Ledger(names=frozenset({("P", "cup"), ("S", "rim"), ("C", "mouth")}))
    with pytest.raises(UnknownFigure):
        ledger.write(key, stage, 1.0, "how")
    assert not ledger.figures
    ledger.write("cup.mouth", "wet", 1.0, "how")
