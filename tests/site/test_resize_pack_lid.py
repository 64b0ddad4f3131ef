"""Resized, in another clay, packed, unpacked, and a lid for a jar: as commands, with what is said where it cannot be."""

import errno
import io
import json
import re
import shutil
import zipfile

import pytest
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.output.starting import start_folder

from tests.demo import ROOT

pytestmark = pytest.mark.usefixtures("worked_once")


@pytest.fixture
def demo(tmp_path):
    shutil.copytree(ROOT / "specs", tmp_path / "yard" / "specs")
    return tmp_path / "yard"


@pytest.fixture
def other(tmp_path):
    start_folder(tmp_path / "other")
    return tmp_path / "other"


def run(studio, *words):
    return CliRunner().invoke(command, ["-C", str(studio), *map(str, words)])


def value(studio, form, key, stage, *more):
    found = run(studio, "derive", form, "--json", *more)
    assert found.exit_code == 0, found.output
    return next(f["value"] for f in json.loads(found.output)["figures"] if (f["key"], f["stage"]) == (key, stage))


def files(studio):
    return {path.relative_to(studio).as_posix(): path.read_bytes() for path in studio.rglob("*") if path.is_file()}


# ---- resize ----


def test_resize_tells_a_scale_that_is_none_once(demo):
    done = run(demo, "resize", "tall-beaker", "other", "--scale", "9x")
    assert done.exit_code == 1 and "'9x' is more than one size" in done.stderr and "nothing is said" not in done.stderr


def test_resize_writes_what_like_and_resized_would(demo):
    made = run(demo, "resize", "tall-beaker", "mid", "--capacity", "250ml", "--keep", "wall,floor")
    assert made.exit_code == 0, made.output
    (demo / "specs/forms/same.yaml").write_text(
        "title: Same\nlike: tall-beaker\nresized: {capacity: 250 ml, keep: [wall, floor]}\n", encoding="utf-8"
    )
    for key, stage in (
        ("cup.capacity.fill", "fired"),
        ("cup.rim.diameter", "fired"),
        ("cup.ball", "wet"),
        ("cup.wall.thickness", "fired"),
    ):
        one, other = value(demo, "mid", key, stage), value(demo, "same", key, stage)
        assert one == pytest.approx(other, rel=1e-4), key
    text = (demo / "specs/forms/mid.yaml").read_text(encoding="utf-8")
    assert "like:" not in text and "stockist" not in text and "# lifts the glaze line" in text
    assert value(demo, "mid", "cup.capacity.fill", "fired") == pytest.approx(250.0, rel=1e-4)


def test_there_and_back_again(demo):
    held = value(demo, "tall-beaker", "cup.capacity.fill", "fired")
    assert run(demo, "resize", "tall-beaker", "small", "--capacity", "120ml").exit_code == 0
    assert run(demo, "resize", "small", "back", "--capacity", f"{held:.6f}ml").exit_code == 0
    for key in ("cup.rim.diameter", "cup.height", "cup.wall.thickness", "cup.floor.thickness"):
        assert value(demo, "back", key, "fired") == pytest.approx(value(demo, "tall-beaker", key, "fired"), rel=3e-4), (
            key
        )


def test_a_set_of_two_is_resized_with_its_clearance(demo):
    assert run(demo, "resize", "tea-caddy", "small", "--scale", "0.8").exit_code == 0
    assert value(demo, "small", "fit.lid.clearance", "fired") == pytest.approx(
        value(demo, "tea-caddy", "fit.lid.clearance", "fired")
    )
    assert value(demo, "small", "jar.rim.diameter", "fired") == pytest.approx(68.8)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["tall-beaker", "x"], "say one of --capacity"),
        (["tall-beaker", "x", "--scale", "0.5", "--height", "50"], "say one of"),
        (["tall-beaker", "x", "--capacity", "9 lb"], "is a weight"),
        (["tall-beaker", "x", "--scale", "0.3"], "--keep wall,floor leaves them"),
        (["tall-beaker", "x", "--scale", "0.09", "--keep", "wall,floor"], "leaves no inside"),
        (["oil-bottle", "x", "--scale", "0.25", "--keep", "wall,floor"], "resized: at 0.25 times oil-bottle"),
        (["tall-beaker", "x", "--scale", "0.8", "--keep", "wal"], "did you mean `wall`?"),
        (["tall-beaker", "short-beaker", "--scale", "0.8"], "is there already"),
        (["tall-beeker", "x", "--scale", "0.8"], "did you mean 'tall-beaker'?"),
    ],
)
def test_a_resize_that_cannot_be_writes_nothing(demo, words, said):
    before = files(demo)
    made = run(demo, "resize", *words)
    assert made.exit_code in (1, 2) and said in made.output, made.output
    assert files(demo) == before


# ---- in another clay ----


def test_a_form_in_another_clay(demo):
    before = files(demo)
    here, there = (
        value(demo, "tea-caddy", "jar.mouth", "wet"),
        value(demo, "tea-caddy", "jar.mouth", "wet", "--clay", "quarry-brown"),
    )
    assert here != there
    # From the brown's own shrinkage: 5.5 % drying, then 5.4 % of the dry length.
    assert there == pytest.approx(77.0 / ((1.0 - 0.055) * (1.0 - 0.054)), rel=1e-9)
    assert value(demo, "tea-caddy", "jar.mouth", "fired", "--clay", "quarry-brown") == 77.0
    assert "did you mean 'quarry-brown'" in run(demo, "derive", "tea-caddy", "--clay", "quarry-brwn").output
    assert "write it like" in run(demo, "build", "--no-cards", "--clay-for", "tea-caddy").output
    assert files(demo) == before


# ---- packed ----


@pytest.fixture
def parcel(demo, tmp_path):
    made = run(demo, "pack", "short-beaker", "-o", tmp_path / "short.zip")
    assert made.exit_code == 0, made.output
    return tmp_path / "short.zip"


def test_a_parcel_holds_all_that_a_form_leans_on_and_nothing_private(parcel, demo, tmp_path):
    with zipfile.ZipFile(parcel) as zipped:
        names = set(zipped.namelist())
        texts = "".join(zipped.read(name).decode() for name in names)
    assert names == {"parcel.json", "specs/forms/short-beaker.yaml", "specs/forms/tall-beaker.yaml", "specs/clays/millpond-buff.yaml", "specs/glazes/lichen-satin.yaml"}  # fmt: skip
    for private in ("stockist", "price", "B-8-LS", "26.00", "times:", "losses:"):
        assert private not in texts, private
    made = run(demo, "pack", "short-beaker", "-o", tmp_path / "trade.zip", "--with-trade")
    assert made.exit_code == 0
    with zipfile.ZipFile(tmp_path / "trade.zip") as zipped:
        assert b"26.00" in zipped.read("specs/forms/short-beaker.yaml")
    again = run(demo, "pack", "short-beaker", "-o", parcel)
    assert again.exit_code == 1 and "is there already" in again.output


def test_unpacked_elsewhere_it_is_the_same_form(parcel, demo, other):
    made = run(other, "unpack", parcel)
    assert made.exit_code == 0, made.output
    for key, stage in (("cup.ball", "wet"), ("cup.capacity.fill", "fired"), ("fit.nest.clearance", "fired")):
        assert value(other, "short-beaker", key, stage) == pytest.approx(value(demo, "short-beaker", key, stage))
    assert "nothing to complain of" in run(other, "check").output


def test_unpacked_where_its_names_are_taken(parcel, demo):
    before = files(demo)
    made = run(demo, "unpack", parcel)
    assert made.exit_code == 0, made.output
    after = files(demo)
    assert {path: after[path] for path in before} == before
    assert {*after} - {*before} == {"specs/forms/short-beaker-2.yaml", "specs/forms/tall-beaker-2.yaml"}
    text = after["specs/forms/short-beaker-2.yaml"].decode()
    assert "inside: tall-beaker-2/cup.mouth" in text and "clay: millpond-buff\n" in text and "code: B-8\n" not in text
    assert run(demo, "check").exit_code == 0
    assert run(demo, "unpack", parcel).exit_code == 0 and "specs/forms/short-beaker-3.yaml" in files(demo)


def test_gauges_travel_and_are_written_out_where_they_are_not_known(demo, other, tmp_path):
    studio = demo / "specs/studio.yaml"
    studio.write_text(studio.read_text(encoding="utf-8") + "gauges: {caddy mouth: 77 mm fired}\n", encoding="utf-8")
    caddy = demo / "specs/forms/tea-caddy.yaml"
    caddy.write_text(
        caddy.read_text(encoding="utf-8").replace(
            "mouth: inside rim", "mouth: {gauge: caddy mouth, at: inside rim}", 1
        ),
        encoding="utf-8",
    )
    assert run(demo, "pack", "tea-caddy", "-o", tmp_path / "t.zip").exit_code == 0
    made = run(other, "unpack", tmp_path / "t.zip")
    assert made.exit_code == 0 and "the gauge caddy mouth is written out" in made.output, made.output
    assert "mouth: inside 77 mm fired" in (other / "specs/forms/tea-caddy.yaml").read_text(encoding="utf-8")
    assert value(other, "tea-caddy", "jar.mouth", "fired") == 77.0


def zipped(path, *, manifest=True, form=b"title: X\n", extra=(), format_number=1):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as written:
        if manifest:
            written.writestr(
                "parcel.json", json.dumps({"format": format_number, "form": "x", "gauges": {}, "files": []})
            )
        written.writestr("specs/forms/x.yaml", form)
        for name, content in extra:
            written.writestr(name, content)
    return path


def link():
    entry = zipfile.ZipInfo("specs/forms/link.yaml")
    entry.external_attr = 0o120777 << 16
    return entry


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.write_bytes(b"hello"), "no zip file"),
        (lambda path: zipped(path, manifest=False), "is no parcel"),
        (lambda path: zipped(path, format_number=7), "format 7"),
        (lambda path: zipped(path, extra=[("../../evil.yaml", "x")]), "leads out of the folder"),
        (lambda path: zipped(path, extra=[("/etc/evil.yaml", "x")]), "leads out of the folder"),
        (lambda path: zipped(path, extra=[("specs\\..\\..\\evil.yaml", "x")]), "leads out of the folder"),
        (lambda path: zipped(path, extra=[("specs/studio.yaml", "title: Mine now")]), "none of a parcel's files"),
        (lambda path: zipped(path, extra=[("specs/forms/run.sh", "x")]), "none of a parcel's files"),
        (lambda path: zipped(path, extra=[(link(), "../../../etc/passwd")]), "holds a link"),
        (lambda path: zipped(path, extra=[("specs/clays/bomb.yaml", b"0" * 30_000_000)]), "a spec has at most"),
        (lambda path: zipped(path, extra=[(f"specs/clays/c{k}.yaml", b"#" * 900_000) for k in range(12)]), "more than a parcel ever is"),
        (lambda path: zipped(path, extra=[(f"specs/clays/c{k}.yaml", "x") for k in range(300)]), "holds 302 files"),
        (lambda path: zipped(path, form=b"\xff\xfe"), "not UTF-8"),
        (lambda path: zipped(path, form=b"title: X\nclay: none\n"), "would not pass the check"),
        (lambda path: zipped(path, format_number=float("inf")), "parcel.json cannot be read"),
        (lambda path: zipped(path, extra=[("specs/forms/\u202e\x1b[2J.yaml", "x")]), "`specs/forms/<U+202E><U+001B>[2J.yaml`"),
        (lambda path: path.write_bytes(zipped(path.with_name("w.zip")).read_bytes()[:-40]), "no zip file"),
    ],
)  # fmt: skip
def test_a_parcel_from_anywhere_is_not_trusted(other, tmp_path, make, said):
    make(tmp_path / "p.zip")
    before = files(other)
    made = run(other, "unpack", tmp_path / "p.zip")
    assert made.exit_code == 1 and said in made.output, made.output
    assert files(other) == before and "Traceback" not in made.output
    assert not list(tmp_path.glob("evil*"))


def test_a_size_that_lies_is_not_believed(other, tmp_path):
    """A header that says that a megabyte of noughts is ten bytes long."""
    path = zipped(tmp_path / "p.zip", extra=[("specs/clays/bomb.yaml", b"0" * 20_000_000)])
    raw = bytearray(path.read_bytes())
    for place in range(len(raw) - 4):
        if raw[place : place + 4] == (20_000_000).to_bytes(4, "little"):
            raw[place : place + 4] = (10).to_bytes(4, "little")
    path.write_bytes(bytes(raw))
    assert zipfile.is_zipfile(io.BytesIO(bytes(raw)))
    before = files(other)
    made = run(other, "unpack", path)
    assert made.exit_code == 1 and files(other) == before


def test_an_unpacking_that_is_broken_off_leaves_nothing_and_puts_the_form_last(parcel, other, monkeypatch):
    """A full disk, or Ctrl-C, at each of the files in turn."""
    from wareboard.output import files as writing

    before, whole = files(other), writing.write_whole
    for fault in (OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()):
        for good in range(3):
            names = []

            def write_some(path, content, good=good, fault=fault, names=names, **how):
                names.append(path.parent.name)
                if len(names) > good:
                    raise fault
                whole(path, content, **how)

            monkeypatch.setattr(writing, "write_whole", write_some)
            made = run(other, "unpack", parcel)
            assert made.exit_code == 1 and files(other) == before
            assert isinstance(fault, KeyboardInterrupt) or "the disk is full" in made.output
            assert "None" not in made.output
    monkeypatch.setattr(writing, "write_whole", lambda path, content, **how: names.append(path.parent.name))
    names.clear()
    run(other, "unpack", parcel)
    assert names[-1] == "forms" and names[0] != "forms"


# ---- a lid ----

JAR = """\
title: Store jar
code: SJ-1
clay: my-clay
parts:
  jar:
    outside: {foot: {height: 0, diameter: 80}, rim: {height: 98, diameter: 86}}
    wall: 4.5
    floor: 5
    calipers: {mouth: inside rim, rim out: outside rim}
"""


@pytest.mark.parametrize(
    ("gallery", "words", "level"),
    [("    gallery: {depth: 10, width: 5}\n", [], None), ("", [], 0.0), ("", ["--kind", "cap"], None)],
)
def test_a_lid_rests_and_cannot_fall_in(other, gallery, words, level):
    (other / "specs/forms/jar.yaml").write_text(JAR + gallery, encoding="utf-8")
    made = run(other, "new", "--lid-for", "jar", *words)
    assert made.exit_code == 0, made.output
    assert "nothing to complain of" in run(other, "check").output
    assert value(other, "jar-lid", "fit.lid.seat", "fired") > 3.0
    assert value(other, "jar-lid", "fit.lid.seat.pushed", "fired") > 2.0
    assert value(other, "jar-lid", "fit.lid.clearance", "fired") == pytest.approx(1.4)
    if level is not None:
        assert value(other, "jar-lid", "fit.lid.level", "fired") == pytest.approx(level, abs=0.1)


def test_a_wide_lid_has_play_for_what_a_wide_pot_shrinks_apart(other):
    wide = re.sub(r"diameter: (\d+)", lambda found: f"diameter: {3 * int(found[1])}", JAR)
    (other / "specs/forms/jar.yaml").write_text(wide + "    gallery: {depth: 10, width: 6}\n", encoding="utf-8")
    made = run(other, "new", "--lid-for", "jar")
    assert made.exit_code == 0 and "fit-binds" not in made.output, made.output
    assert "nothing to complain of" in run(other, "check").output


@pytest.mark.parametrize("words", [[], ["--kind", "cap"]])
def test_a_lid_for_a_jar_in_inches_is_in_inches(other, words):
    jar = JAR.replace("clay: my-clay", "clay: my-clay\nunit: in").replace("diameter: 80", "diameter: 3 1/8")
    jar = (
        jar.replace("98, diameter: 86", "3 7/8, diameter: 3 3/8")
        .replace("wall: 4.5", "wall: 3/16")
        .replace("floor: 5", "floor: 1/4")
    )
    (other / "specs/forms/jar.yaml").write_text(jar, encoding="utf-8")
    made = run(other, "new", "--lid-for", "jar", *words)
    assert made.exit_code == 0 and "nothing to complain of" in run(other, "check").output, made.output
    written = (other / "specs/forms/jar-lid.yaml").read_text(encoding="utf-8")
    assert "unit: in\n" in written and "knob: {clay: 1 oz}" in written
    assert value(other, "jar-lid", "fit.lid.clearance", "fired") == pytest.approx(1.4, abs=0.02)


def test_a_flange_is_no_longer_than_a_flaring_inside_lets_it_in(other):
    flaring = JAR.replace("diameter: 80", "diameter: 60")
    (other / "specs/forms/jar.yaml").write_text(flaring, encoding="utf-8")
    made = run(other, "new", "--lid-for", "jar")
    assert made.exit_code == 0, made.output
    assert "nothing to complain of" in run(other, "check").output
    # (0.7 − 0.2) mm a side, at 13 mm of radius in 98 of height
    assert "neck: {height: 3.5, diameter: flange}" in (other / "specs/forms/jar-lid.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("jar", "words", "said"),
    [
        (JAR.replace("diameter: 80", "diameter: 40"), [], "no flange goes in; ask for --kind cap"),
        (JAR, ["--kind", "inset"], "has no ledge"),
        (JAR.replace("mouth: inside rim, ", ""), [], "names no caliper size there"),
        (
            JAR.replace("    wall: 4.5\n    floor: 5\n", "").replace("mouth: inside rim, ", ""),
            [],
            "opens up and is hollow",
        ),
        (JAR.replace("clay: my-clay", "clay: none"), [], "has errors"),
    ],
)
def test_a_lid_that_cannot_be_is_not_written(other, jar, words, said):
    (other / "specs/forms/jar.yaml").write_text(jar, encoding="utf-8")
    before = files(other)
    made = run(other, "new", "--lid-for", "jar", *words)
    assert made.exit_code in (1, 2) and said in made.output, made.output
    assert files(other) == before
