"""Specs as a maker types them to typed specs; a studio of files to a project."""

import dataclasses

import pytest
from wareboard.text import kinds, projects, source
from wareboard.text.phrases import Bare, Caliper, PartSize
from wareboard.text.projects import read_project, read_spec, revision, typed_text
from wareboard.text.records import keys_of, reached_records

from tests.every import every

CLAY = "title: Buff\nwater: 21 %\nshrinkage: {leather-hard: 3 %, dry: 6 %, fired: 7 % of dry}\n"
CUP = """\
title: Cup
clay: buff
unit: {unit}
parts:
  cup:
    outside:
      foot: {{height: 0, diameter: 2.5}}
      rim: {{height: 3 1/2, diameter: mouth, corner: true}}
    wall: {{foot: 1/4, rim: 3/16 wet}}
    floor: 1/4
    fill_to: {fill}
    bare: [foot to rim, inside]
    calipers: {{mouth: outside 3 in, foot-ring: inside rim, flange: fit}}
"""


def read(text, kind="form"):
    problems = []
    spec = read_spec(kind, text, f"specs/{kind}s/x.yaml", problems, None, slug="x")
    assert problems == []
    return spec


def rules_of(text, kind="form"):
    problems = []
    assert read_spec(kind, text, f"specs/{kind}s/x.yaml", problems, None, slug="x") is None
    return [problem.rule for problem in problems]


def test_a_form_in_inches():
    part = read(CUP.format(unit="in", fill="rim")).parts["cup"]
    assert part.outside["rim"].height.value == pytest.approx(88.9)
    assert part.outside["rim"].corner is True
    assert part.wall["rim"].stage == "wet"
    assert part.wall["foot"].value == pytest.approx(6.35)
    assert (part.opens_down, part.smooth, part.solid) == (False, False, False)


def test_a_bare_number_is_in_the_files_unit():
    assert [
        read(CUP.format(unit=unit, fill="rim")).parts["cup"].floor.value for unit in ("mm", "cm", "in")
    ] == pytest.approx([0.25, 2.5, 6.35])


def test_a_diameter_sign_begins_a_size_and_no_name():
    text = CUP.format(unit="mm", fill="rim")
    for sign in ("Ø", "⌀ ", "ø", "φ", "∅"):
        station, *_ = read(text.replace("diameter: 2.5", f"diameter: {sign}4", 1)).parts["cup"].outside.values()
        assert (station.diameter.value, station.diameter.typed) == (4.0, f"{sign}4")
    assert read(text.replace("inside rim", "inside Ø71")).parts["cup"].calipers["foot-ring"].level.value == 71.0


def test_calipers_and_stretches():
    part = read(CUP.format(unit="in", fill="2 1/2")).parts["cup"]
    mouth, ring, flange = part.calipers.values()
    assert (mouth.side, mouth.level.value) == ("outside", pytest.approx(76.2))
    assert (ring.side, ring.level) == ("inside", "rim")
    assert flange == Caliper("fit", None, flange.at)
    assert flange.from_fit
    assert [(stretch.what, stretch.start, stretch.end) for stretch in part.bare] == [
        ("stretch", "foot", "rim"),
        ("inside", "", ""),
    ]
    assert isinstance(part.bare[0], Bare)
    assert part.fill_to.value == pytest.approx(63.5)


def test_a_level_knows_its_own_place():
    text = CUP.format(unit="mm", fill="rim")
    level = read(text).parts["cup"].calipers["foot-ring"].level
    line = text.splitlines()[level.at.line - 1]
    assert line[level.at.column - 1 :][: level.at.width] == "rim"


def test_names_of_stations_may_look_like_words_of_any_script():
    text = (
        CUP.format(unit="mm", fill="Rand oben")
        .replace("rim:", "Rand oben:", 1)
        .replace("rim:", "Rand oben:")
        .replace("to rim", "to Rand oben")
        .replace("inside rim", "inside Rand oben")
    )
    part = read(text).parts["cup"]
    assert part.fill_to == "Rand oben"
    assert part.bare[0].end == "Rand oben"
    assert part.calipers["foot-ring"].level == "Rand oben"


@every(
    ("typed", "form", "part", "caliper"),
    [
        ("jar.mouth", None, "jar", "mouth"),
        ("next-beaker/cup.mouth", "next-beaker", "cup", "mouth"),
        ("der Topf.Mündung 1", None, "der Topf", "Mündung 1"),
    ],
)
def test_sizes_of_parts(typed, form, part, caliper):
    fit = read(
        CUP.format(unit="mm", fill="rim")
        + f"fits:\n  f: {{inside: {typed}, outside: cup.flange, clearance: {{aim: 1}}}}\n"
    ).fits["f"]
    assert fit.inside == PartSize(form, part, caliper, fit.inside.at)
    assert fit.inside.said == typed


def test_shrinkage_and_its_basis():
    line = read(CLAY, "clay").shrinkage
    assert (line.leather_hard.value, line.fired.value, line.fired.of) == (
        pytest.approx(0.03),
        pytest.approx(0.07),
        "dry",
    )


def test_a_run_keeps_what_was_measured_as_typed():
    run = read(
        "form: cup\ndate: 2026-03-14\nmeasured:\n  - {cup.rim.diameter wet: [91.0, 1:30]}\n  - {cup.capacity.fill: 350 ml}\n",
        "run",
    )
    assert [(line.figure, line.stage, line.values) for line in run.measured] == [
        ("cup.rim.diameter", "wet", ("91.0", "1:30")),
        ("cup.capacity.fill", None, ("350 ml",)),
    ]


@every(
    ("line", "rule"),
    [
        ("- {cup.rim.diameter wett: 9}", "unknown-word"),
        ("- {a wet: 1, b wet: 2}", "odd-measure"),
        ("- 91.0", "odd-measure"),
        ("- {cup.rim.diameter wet: {a: 1}}", "wrong-shape"),
    ],
)
def test_what_a_run_cannot_say(line, rule):
    assert rules_of(f"form: cup\ndate: 2026-03-14\nmeasured:\n  {line}\n", "run") == [rule]


def test_food_contact_is_a_test_or_untested():
    assert read("title: Clear\nfood_contact: untested", "glaze").food_contact == "untested"
    assert read("title: Clear\nfood_contact: {result: pass}", "glaze").food_contact.result == "pass"
    assert rules_of("title: Clear\nfood_contact: safe", "glaze") == ["unknown-word"]


def test_every_problem_of_a_file_in_one_go():
    bad = (
        CUP.format(unit="mm", fill="rim")
        .replace("clay: buff", "clya: buff")
        .replace("floor: 1/4", "floor: 1/4 pots")
        .replace("corner: true", "corner: maybe")
    )
    assert rules_of(bad + "notes:\n") == ["unknown-key", "unknown-word", "unreadable-size", "no-value"]


def test_every_example_in_the_declarations_can_be_read():
    """Examples are shown in hints, the schema and the reference; each must be what it is an example of."""
    seen = 0
    for kind in projects.KINDS.values():
        for record in reached_records(kind):
            for name, entry in keys_of(record).items():
                if entry.example:
                    reading = kinds.Reading(fluid_ounce="imp")
                    node = source.read_nodes(f"k: {entry.example}", "a.yaml")[0].get("k")
                    assert entry.kind.read(node, name, reading) is not None, (record, name)
                    assert reading.problems == [], (record, name)
                    seen += 1
    assert seen > 80


# ---- a studio of files ----


def texts(**files):
    return {"specs/studio.yaml": "title: Yard\nfluid_ounce: imp\n", "specs/clays/buff.yaml": CLAY} | {
        path.replace("__", "/") + ".yaml": text for path, text in files.items()
    }


def test_a_studio():
    project = read_project(texts(specs__forms__cup=CUP.format(unit="mm", fill="rim")))
    assert project.problems == ()
    assert project.studio.title == "Yard"
    assert (list(project.forms), list(project.files("clays"))) == (["cup"], ["buff"])
    assert project.named == {("forms", "cup"), ("clays", "buff")}


def test_a_folder_without_a_studio():
    project = read_project({"specs/clays/buff.yaml": CLAY})
    assert [(problem.rule, problem.at.file) for problem in project.problems] == [("no-studio", "specs/studio.yaml")]
    assert project.studio.title == "Studio"
    assert list(project.clays) == ["buff"]


def test_a_studio_with_faults_still_says_which_fluid_ounce_is_meant():
    files = texts(specs__forms__cup=CUP.format(unit="mm", fill="rim") + "    holds: 12 fl oz\n")
    files["specs/studio.yaml"] = "titel: Yard\nfluid_ounce: US\nbat: thick\n"
    project = read_project(files)
    assert [problem.rule for problem in project.problems] == ["unknown-key", "unreadable-size"]
    assert project.forms["cup"].parts["cup"].holds.value == pytest.approx(354.88, abs=0.01)


@every("name", ["Big", "a_b", "a b", "-a", "a" * 81, "ä"])
def test_file_names_that_nothing_can_refer_to(name):
    project = read_project(texts() | {f"specs/forms/{name}.yaml": CUP.format(unit="mm", fill="rim")})
    assert [problem.rule for problem in project.problems] == ["odd-file-name"]
    assert not project.forms


def test_a_form_with_a_fault_is_kept_for_its_names_only():
    project = read_project(
        texts(specs__forms__cup=CUP.format(unit="mm", fill="rim").replace("floor: 1/4", "flor: thick"))
    )
    assert not project.forms
    assert [form.slug for form in project.faulty_forms] == ["cup"]
    assert project.faulty_forms[0].unread == {"flor"}
    assert ("forms", "cup") in project.named


def test_a_parser_may_remember():
    asked = []

    def parse(text, path):
        asked.append(path)
        return source.read_nodes(text, path)

    read_project(texts(specs__forms__cup=CUP.format(unit="mm", fill="rim")), parse)
    assert asked == ["specs/studio.yaml", "specs/clays/buff.yaml", "specs/forms/cup.yaml"]


def test_a_revision_changes_with_what_is_typed_and_not_with_layout():
    form, clay = read(CUP.format(unit="mm", fill="rim")), read(CLAY, "clay")
    spaced = read("# a comment\n" + CUP.format(unit="mm", fill="rim  # up to here"))
    other = read(CUP.format(unit="mm", fill="foot"))
    assert revision(form, clay) == revision(spaced, clay)
    assert len({revision(form), revision(form, clay), revision(other, clay)}) == 3
    assert len(revision(form)) == 6


def test_a_price_makes_no_new_revision():
    plain = CUP.format(unit="mm", fill="rim")
    cheap, dear = (read(f"{plain}stockist: {{sku: C-1, price: {price}}}\n") for price in (3, 4))
    assert cheap.stockist.price.value == 3.0
    assert revision(cheap) == revision(dear) == revision(read(plain))
    assert "C-1" not in typed_text(cheap)


def test_specs_are_frozen():
    with pytest.raises(dataclasses.FrozenInstanceError):
        read(CUP.format(unit="mm", fill="rim")).title = "x"
    with pytest.raises(dataclasses.FrozenInstanceError):
        read_project(texts()).forms = {}
