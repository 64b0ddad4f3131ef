"""`wareboard trace`: photographs and drawings to specs, and what is said of pictures that show no pot."""

import json
import zlib

import ezdxf
import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw
from wareboard.cli import command
from wareboard.output.starting import start_folder

from tests.pictured import Camera, handle, mug, picture

SIDE = [(30.0, 0.0), (40.0, 30.0), (42.0, 95.0)]
POT = mug([(0.0, 0.0), *SIDE, (0.0, 95.0)], sections=128)
SMALL = Camera(width=500, height=500)


@pytest.fixture
def studio(tmp_path):
    start_folder(tmp_path / "pots")
    return tmp_path / "pots"


def run(studio, *words):
    return CliRunner().invoke(command, ["-C", str(studio), *map(str, words)])


def figures(studio, form):
    found = run(studio, "derive", form, "--json")
    assert found.exit_code == 0, found.output
    return {(f["key"], f["stage"]): f["value"] for f in json.loads(found.output)["figures"]}


def files(studio):
    return sorted(path.name for path in (studio / "specs" / "forms").iterdir())


def test_a_photograph_and_its_weight_and_water(studio, tmp_path):
    photo = tmp_path / "mug.jpg"
    picture([POT, handle(30.0, 25.0, 75.0, 41.0)], Camera(700.0, width=900, height=900), noise=5.0).save(
        photo, quality=85
    )
    clay_g = 250.0
    density = 2.116  # my-clay, fired
    water = POT.volume / 1000.0 - clay_g / density
    made = run(
        studio,
        "trace",
        "mug",
        photo,
        "--height",
        "95mm",
        "--distance",
        "700mm",
        "--weight",
        f"{clay_g}g",
        "--brim",
        f"{water:.0f}ml",
    )
    assert made.exit_code == 0, made.output
    assert "handle or spout on the right" in made.output
    found = figures(studio, "mug")
    assert found["pot.mass", "fired"] == pytest.approx(clay_g, rel=1e-3)
    assert found["pot.capacity.brim", "fired"] == pytest.approx(round(water), rel=1e-3)
    assert found["pot.rim.diameter", "fired"] == pytest.approx(84.0, rel=0.01)
    svg = (studio / "specs/forms/mug.svg").read_text(encoding="utf-8")
    assert svg.startswith("<svg") and "data:image/jpeg" in svg and "<polyline" in svg
    assert "nothing to complain of" in run(studio, "check").output


def test_without_a_weight_the_wall_is_a_guess_and_says_so(studio, tmp_path):
    photo = tmp_path / "mug.png"
    picture([POT], SMALL).save(photo)
    made = run(studio, "trace", "mug", photo, "--height", "95mm")
    assert made.exit_code == 0, made.output
    assert "is a guess" in made.output and "no --distance was said" in made.output.lower()
    assert "a guess" in (studio / "specs/forms/mug.yaml").read_text(encoding="utf-8")


def drawn_svg(path):
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><rect width="3" height="2"/><path d="M 30 95 L 40 65 L 42 0"/></svg>'
    )


def drawn_csv(path):
    path.write_text("height_mm,diameter_mm\n0,60\n30,80\n95,84\n")


def drawn_csv_in_inches(path):
    path.write_text("# a jar\n0 in; 60 mm\n30 mm; 3 3/20 in\n95 mm; 84 mm\n")


def drawn_dxf(path):
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = 4
    drawing.modelspace().add_lwpolyline([(30, 0), (40, 30), (42, 95)])
    drawing.saveas(path)


@pytest.mark.parametrize(
    ("name", "draw", "height"),
    [
        ("p.svg", drawn_svg, "95mm"),
        ("p.csv", drawn_csv, None),
        ("p.csv", drawn_csv_in_inches, None),
        ("p.dxf", drawn_dxf, None),
        ("p.dxf", drawn_dxf, "190mm"),
    ],
)
def test_drawings(studio, tmp_path, name, draw, height):
    draw(tmp_path / name)
    made = run(studio, "trace", "mug", tmp_path / name, *(["--height", height] if height else []))
    assert made.exit_code == 0, made.output
    found, factor = figures(studio, "mug"), 2.0 if height == "190mm" else 1.0
    assert found["pot.height", "fired"] == pytest.approx(95.0 * factor, abs=0.06)
    assert found["pot.rim.diameter", "fired"] == pytest.approx(84.0 * factor, abs=0.2)
    assert found["pot.foot.diameter", "fired"] == pytest.approx(60.0 * factor, abs=0.2)


def test_a_pictures_name_writes_nothing_into_the_spec_but_its_name(studio, tmp_path):
    drawn_csv(tmp_path / "p\ncode: EVIL\x1b[2J.csv")
    made = run(studio, "trace", "mug", tmp_path / "p\ncode: EVIL\x1b[2J.csv")
    assert made.exit_code == 0, made.output
    spec = (studio / "specs" / "forms" / "mug.yaml").read_text(encoding="utf-8")
    assert "\ncode: EVIL" not in spec and "# Traced from p<U+000A>code: EVIL<U+001B>[2J.csv" in spec
    assert "\x1b" not in (studio / "specs" / "forms" / "mug.svg").read_text(encoding="utf-8")


def blank(path):
    Image.new("RGB", (400, 400), (220, 220, 215)).save(path)


def grain_only(path):
    Image.fromarray(np.random.default_rng(1).normal(200.0, 3.0, (400, 400, 3)).clip(0, 255).astype(np.uint8)).save(path)


def noise_all_over(path):
    Image.fromarray(np.random.default_rng(1).integers(0, 256, (900, 900, 3), dtype=np.uint8)).save(path)


def noise_in_a_frame(path):
    """As it was: 40 s for each hole's area and, each time, the whole's."""
    grain = np.kron(np.random.default_rng(1).random((600, 600)) < 0.6, np.ones((2, 2), dtype=np.uint8))
    framed = np.full((1400, 1400), 255, dtype=np.uint8)
    framed[100:-100, 100:-100] = 255 * grain
    Image.fromarray(framed).save(path)


def two_pots(path):
    one = picture([POT], Camera(across_mm=150.0, width=400, height=400))
    both = Image.new("RGB", (800, 400), (224, 222, 215))
    both.paste(one, (0, 0))
    both.paste(one, (400, 0))
    both.save(path)


def cut_off(path):
    picture([POT], Camera(width=500, height=500)).crop((0, 0, 500, 300)).save(path)


def lying_down(path):
    lying = mug([(0.0, 0.0), (20.0, 0.0), (60.0, 70.0), (30.0, 110.0), (0.0, 110.0)], sections=96)
    picture([lying], SMALL, tilt_deg=90.0).save(path)


def tiny(path):
    picture([POT], Camera(across_mm=2000.0, width=1000, height=1000)).save(path)


def no_pot_at_all(path):
    image = Image.new("RGB", (400, 400), (220, 220, 215))
    ImageDraw.Draw(image).polygon(
        [(60, 340), (340, 340), (340, 300), (120, 250), (90, 60), (60, 60)], fill=(90, 60, 40)
    )
    image.save(path)


def truncated(path):
    whole = path.with_name("whole.png")
    picture([POT], SMALL).save(whole)
    path.write_bytes(whole.read_bytes()[:6000])


def not_a_picture(path):
    path.write_bytes(b"<html>no</html>")


SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">{}</svg>'


def clones_of_clones(path):
    """A group of ten clones of a group of ten clones: 10 ^ 11 paths in two kilobytes."""
    groups = (f'<g id="a{n + 1}">' + f'<use xlink:href="#a{n}"/>' * 10 + "</g>" for n in range(11))
    path.write_text(
        SVG.format('<defs><path id="a0" d="M0 0L10 10"/>' + "".join(groups) + '</defs><use xlink:href="#a11"/>')
    )


def scribble(path):
    across, up = np.random.default_rng(1).random((2, 20_000))
    path.write_text(
        SVG.format('<path d="M' + "L".join(f"{x:.3f} {y:.3f}" for x, y in zip(across, up, strict=True)) + 'z"/>')
    )


def a_spline_of_many_controls(path):
    drawing = ezdxf.new()
    drawing.modelspace().add_open_spline([(at % 50, at / 50) for at in range(5_000)])
    drawing.saveas(path)


def a_thousand_kilometres(path):
    drawing = ezdxf.new()
    drawing.modelspace().add_lwpolyline([(1e12, 0), (40, 30), (42, 95)])
    drawing.saveas(path)


def huge(path):
    """10,000 × 10,000 pixels in a few kilobytes: a bomb."""
    rows = zlib.compressobj()
    data = b"".join(rows.compress(bytes(10_001)) for _ in range(10_000)) + rows.flush()

    def chunk(kind, body):
        return len(body).to_bytes(4, "big") + kind + body + zlib.crc32(kind + body).to_bytes(4, "big")

    head = (10_000).to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0])
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b""))


@pytest.mark.parametrize(
    ("name", "make", "words", "said"),
    [
        ("p.png", blank, ["--height", "95mm"], "no pot"),
        ("p.png", grain_only, ["--height", "95mm"], "no pot"),
        ("p.png", noise_all_over, ["--height", "95mm"], "no pot was found"),
        ("p.png", noise_in_a_frame, ["--height", "95mm"], "grain all over"),
        ("p.png", two_pots, ["--height", "95mm"], "2 things in the picture"),
        ("p.png", cut_off, ["--height", "95mm"], "cut off at the bottom"),
        ("p.png", lying_down, ["--height", "110mm"], "lies down"),
        ("p.png", tiny, ["--height", "95mm"], "take it closer"),
        ("p.png", no_pot_at_all, ["--height", "95mm"], "two sides"),
        ("p.png", truncated, ["--height", "95mm"], "ends too soon"),
        ("p.jpg", not_a_picture, ["--height", "95mm"], "neither a PNG nor a JPEG"),
        ("p.png", huge, ["--height", "95mm"], "scale it down"),
        ("p.png", blank, [], "say its height with --height"),
        ("p.png", blank, ["--height", "95"], "no pot"),
        ("p.png", blank, ["--height", "tall"], "--height"),
        ("p.png", blank, ["--height", "95mm", "--distance", "50mm"], "cannot have seen all of it"),
        ("p.gif", blank, ["--height", "95mm"], "is none of"),
        ("p.svg", lambda path: path.write_text("<svg"), ["--height", "95mm"], "cannot be read"),
        ("p.svg", lambda path: path.write_text('<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg">&a;</svg>'), ["--height", "95mm"], "entities"),
        ("p.svg", lambda path: path.write_text('<svg xmlns="http://www.w3.org/2000/svg"/>'), ["--height", "95mm"], "no path"),
        ("p.svg", drawn_svg, [], "say the pot's height"),
        ("p.csv", lambda path: path.write_text("0,60\n95\n"), [], "line 2"),
        ("p.csv", lambda path: path.write_text("0,60\n95,wide\n"), [], "line 2"),
        ("p.csv", lambda path: path.write_text("0,60\n50,70\n20,65\n95,84\n"), [], "up and down"),
        ("p.csv", lambda path: path.write_bytes(b"\xff\xfe0,6"), [], "not UTF-8"),
        ("p.csv", lambda path: path.write_text('"' + "a," * 90_000), [], "line 1: this is no row"),
        ("p.csv", lambda path: path.write_text("0,60\n" * 60_000), [], "more than 40,000 rows"),
        ("p.csv", lambda path: path.write_text("0,60\n" * 2_000_000), [], "bytes"),
        ("p.svg", clones_of_clones, ["--height", "95mm"], "too long to read"),
        ("p.svg", scribble, ["--height", "95mm"], "up and down too often"),
        ("p.dxf", a_spline_of_many_controls, ["--height", "95mm"], "too long to read"),
        ("p.dxf", a_thousand_kilometres, ["--height", "95mm"], "times as wide"),
        ("p.dxf", lambda path: path.write_text("0\nSECTION\n"), [], "cannot be read"),
        ("p.dxf", lambda path: ezdxf.new().saveas(path), [], "no path"),
    ],
)  # fmt: skip
def test_what_shows_no_pot_is_said_and_nothing_is_written(studio, tmp_path, name, make, words, said):
    make(tmp_path / name)
    before = files(studio)
    made = run(studio, "trace", "bad", tmp_path / name, *words)
    assert made.exit_code in (1, 2), made.output
    assert said in made.output, made.output
    assert files(studio) == before
    assert "Traceback" not in made.output and made.exception.__class__ is SystemExit


def test_no_picture_and_a_name_that_is_taken(studio, tmp_path):
    drawn_csv(tmp_path / "p.csv")
    assert "there is no file" in run(studio, "trace", "a", tmp_path / "none.csv").output
    assert "is there already" in run(studio, "trace", "first-beaker", tmp_path / "p.csv").output
    (studio / "specs/forms/b.svg").write_text("mine")
    before = files(studio)
    assert "is there already" in run(studio, "trace", "b", tmp_path / "p.csv").output
    assert files(studio) == before


def test_weight_and_water_that_cannot_be(studio, tmp_path):
    drawn_csv(tmp_path / "p.csv")
    made = run(studio, "trace", "a", tmp_path / "p.csv", "--weight", "244g", "--brim", "900ml")
    assert made.exit_code == 1 and "One of the three must be wrong" in made.output
    assert "a.yaml" not in files(studio)


def test_picture_libraries_are_loaded_by_this_command_alone(studio, tmp_path):
    import subprocess
    import sys

    script = (
        "import sys; from wareboard.cli import command; sys.argv=['w','-C',r'%s','check']\ntry: command()\nexcept SystemExit: pass\nprint(sorted({'PIL','skimage','ezdxf','svgelements','trimesh'} & {*sys.modules}))"
        % studio
    )
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert found.stdout.strip().endswith("[]")
