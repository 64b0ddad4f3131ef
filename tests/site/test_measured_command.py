"""`wareboard new --measured`, as a maker types it: a ruler, a scale and a jug of water to a spec that passes the check."""

import json
import re

import pytest
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.output.starting import start_folder

MUG = ["height=95mm", "rim=84mm", "foot=60mm", "weight=244g", "brim=310ml"]
GLAZE = "title: Clear\ncone: 8\ncoat: 0.9 kg/m2\nfilm: 0.35 mm\n"


pytestmark = pytest.mark.usefixtures("worked_once")


@pytest.fixture
def studio(tmp_path):
    start_folder(tmp_path / "pots")
    (tmp_path / "pots" / "specs" / "glazes").mkdir(exist_ok=True)
    (tmp_path / "pots" / "specs" / "glazes" / "clear.yaml").write_text(GLAZE, encoding="utf-8")
    return tmp_path / "pots"


def run(studio, *words, typed=None):
    return CliRunner().invoke(command, ["-C", str(studio), *words], input=typed)


def figures(studio, form):
    found = run(studio, "derive", form, "--json")
    assert found.exit_code == 0, found.output
    return {(f["key"], f["stage"]): f["value"] for f in json.loads(found.output)["figures"]}


def forms(studio):
    return sorted(path.name for path in (studio / "specs" / "forms").iterdir())


def test_a_mug_comes_out_as_it_was_measured(studio):
    made = run(studio, "new", "harbour-mug", "--measured", *MUG)
    assert made.exit_code == 0, made.output
    found = figures(studio, "harbour-mug")
    assert found["pot.mass", "fired"] == pytest.approx(244.0, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] == pytest.approx(310.0, rel=1e-3)
    assert found["pot.rim.diameter", "fired"] == 84.0 and found["pot.height", "fired"] == 95.0
    text = (studio / "specs/forms/harbour-mug.yaml").read_text(encoding="utf-8")
    assert "weighs: 244 g fired" in text and "holds: 310 ml" in text
    checked = run(studio, "check")
    assert checked.exit_code == 0 and "nothing to complain of" in checked.output


def test_a_glazed_mug_weighs_what_it_weighs_in_its_glaze(studio):
    made = run(studio, "new", "mug", "--measured", *MUG, "--glaze", "clear")
    assert made.exit_code == 0, made.output
    found = figures(studio, "mug")
    assert found["pot.mass.glazed", "fired"] == pytest.approx(244.0, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] == pytest.approx(310.0, rel=1e-3)
    assert found["pot.mass", "fired"] < 235.0


def test_a_wet_pot_on_the_bat(studio):
    made = run(
        studio,
        "new",
        "wet-mug",
        "--measured",
        "--stage",
        "wet",
        "height=108mm",
        "rim=95.5mm",
        "foot=68mm",
        "weight=330g",
        "brim=455ml",
    )
    assert made.exit_code == 0, made.output
    found = figures(studio, "wet-mug")
    assert found["pot.mass", "wet"] == pytest.approx(330.0, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] / 0.88**3 == pytest.approx(455.0, rel=1e-3)
    assert found["pot.rim.diameter", "wet"] == 95.5
    assert "nothing to complain of" in run(studio, "check").output


def test_in_inches_pounds_and_fluid_ounces(studio):
    words = ["height=3", "3/4", "in", "rim=3 1/4 in", 'foot=2 3/8"', "weight=8 1/4 oz", "brim=10.6 fl oz imp"]
    made = run(studio, "new", "inch-mug", "--measured", *words)
    assert made.exit_code == 0, made.output
    found = figures(studio, "inch-mug")
    assert found["pot.height", "fired"] == pytest.approx(3.75 * 25.4)
    assert found["pot.mass", "fired"] == pytest.approx(8.25 * 28.349523, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] == pytest.approx(10.6 * 28.4130625, rel=1e-3)
    assert "unit: in" in (studio / "specs/forms/inch-mug.yaml").read_text(encoding="utf-8")


def test_a_studio_in_inches_is_told_inches(studio):
    settings = studio / "specs/studio.yaml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("units: metric first", "units: imperial first"))
    made = run(
        studio,
        "new",
        "inch-mug",
        "--measured",
        "height=3.75",
        "rim=3.25",
        "foot=2.4",
        "weight=8.25 oz",
        "brim=10.6 fl oz imp",
    )
    wall = figures(studio, "inch-mug")["pot.wall.thickness", "fired"] / 25.4
    assert f"wall {wall:.3g} in" in made.output and "in across" in made.output and "fl oz imp fill" in made.output
    assert " mm" not in made.output.replace("ruler to 1 mm", "") and " ml" not in made.output


def test_belly_neck_and_handle(studio):
    words = [
        "height=120mm",
        "rim=60mm",
        "foot=64mm",
        "belly=104mm@46mm",
        "neck=52mm@104mm",
        "handle=60g",
        "weight=500g",
        "brim=470ml",
        "depth=113mm",
    ]
    made = run(studio, "new", "jug", "--measured", *words)
    assert made.exit_code == 0, made.output
    found = figures(studio, "jug")
    assert found["pot.mass", "fired"] == pytest.approx(500.0, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] == pytest.approx(470.0, rel=1e-3)
    assert found["pot.belly.diameter", "fired"] == 104.0
    assert found["pot.volume", "wet"] > 0.0
    text = (studio / "specs/forms/jug.yaml").read_text(encoding="utf-8")
    assert "handle: {clay: 60 g}" in text and "below belly" in text
    assert re.search(r"floor: 7\s", text), text


def test_asked_one_by_one_in_the_order_in_which_one_holds_it(studio):
    answers = ["95", "84", "", "", "", "60 mm", "", "", "", "244 g", "", "310", "310 ml", ""]
    made = run(studio, "new", "asked-mug", "--measured", typed="\n".join([*answers, "", ""]) + "\n")
    assert made.exit_code == 0, made.output
    asked = [
        made.output.index(word)
        for word in (
            "Stand it on the table",
            "over the middle of the mouth",
            "Turn it over",
            "Put it on the scale",
            "about to run over",
        )
    ]
    assert asked == sorted(asked)
    assert "'310' has no unit" in made.output
    assert figures(studio, "asked-mug")["pot.mass", "fired"] == pytest.approx(244.0, rel=1e-3)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["height=95mm", "rim=84mm", "foot=60mm", "weight=244g", "brim=400ml"], ["the sizes: 1.", "the weight: at most", "the water: at most", "belly="]),
        (["height=95mm", "rim=84mm", "foot=60mm", "weight=244g", "brim=120ml"], ["the weight: at least", "the water: at least", "neck="]),
        (["height=95mm", "rim=84mm", "foot=60mm", "weight=244g", "brim=700ml"], ["no weight would do"]),
        (["height=95mm", "rim=84mm", "foot=60mm", "weight=9000g"], ["No wall does this", "closes the inside"]),
        (["height=95mm", "rim=84mm", "weight=244g", "brim=310ml"], ["foot is missing", "Turn it over"]),
        (["hight=95mm", "rim=84mm", "foot=60mm"], ["did you mean `height`?"]),
        (["height=95", "height=96", "rim=84mm", "foot=60mm"], ["there twice"]),
        ([*MUG, "belly=90mm"], ["wants across and how high"]),
        ([*MUG, "belly=90mm@200mm"], ["as high as the pot"]),
        ([*MUG, "handle=900g"], ["the handle alone weighs"]),
        (["height=95mm wet", "rim=84mm fired", "foot=60mm", "weight=244g"], ["one stage"]),
        (["height=-95mm", "rim=84mm", "foot=60mm", "weight=244g"], ["cannot be"]),
        (["95mm"], ["does not say what was measured"]),
        ([*MUG, "--clay", "my-caly"], ["did you mean 'my-clay'?"]),
        ([*MUG, "--glaze", "cleer"], ["did you mean 'clear'?"]),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_and_nothing_is_written(studio, words, said):
    before = forms(studio)
    made = run(studio, "new", "bad", "--measured", *words)
    assert made.exit_code in (1, 2)
    for part in said:
        assert part in made.output, made.output
    assert forms(studio) == before
    assert "Traceback" not in made.output


def test_never_over_a_form_that_is_there(studio):
    text = (studio / "specs/forms/first-beaker.yaml").read_text(encoding="utf-8")
    made = run(studio, "new", "first-beaker", "--measured", *MUG)
    assert made.exit_code == 1 and "is there already" in made.output
    assert (studio / "specs/forms/first-beaker.yaml").read_text(encoding="utf-8") == text
    assert run(studio, "new", "x", *MUG).exit_code == 2
