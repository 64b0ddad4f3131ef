"""`wareboard gauges`: ribs read back by libraries from outside (ezdxf, trimesh, svgelements), true to size and watertight."""

import io
import math

import ezdxf
import pytest
import svgelements
import trimesh
from click.testing import CliRunner
from wareboard.cli import command
from wareboard.output.cutting import FORMATS, is_ours, rib_file, stl_of
from wareboard.pot.ribs import profile_rib

from tests.demo import ROOT, worked_out

CONE = ((30.0, 0.0), (42.0, 95.0))


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("ribs")
    for form in ("tea-caddy", "oil-bottle", "supper-plate"):
        made = CliRunner().invoke(command, ["-C", str(ROOT), "gauges", form, "-o", str(folder)])
        assert made.exit_code == 0, made.output
    return folder


def names(written):
    return sorted(path.stem for path in written.glob("*.stl"))


def test_two_ribs_a_part(written):
    assert {f"tea-caddy-{part}-{stage}" for part in ("jar", "lid") for stage in ("thrown", "trimmed")} <= {
        *names(written)
    }
    assert len({*written.iterdir()}) == 3 * len(names(written))


def test_solids_are_watertight_and_as_large_as_their_drawing(written):
    for name in names(written):
        solid = trimesh.load(written / f"{name}.stl")
        assert solid.is_watertight and solid.is_winding_consistent and solid.volume > 0.0, name
        assert solid.extents[2] == pytest.approx(2.0, abs=1e-6)
        drawing = ezdxf.readfile(written / f"{name}.dxf")
        (edge,) = drawing.modelspace().query("LWPOLYLINE")
        (hole,) = drawing.modelspace().query("CIRCLE")
        points = [(x, y) for x, y, *_ in edge.get_points()]
        area = abs(sum(a * d - b * c for (a, b), (c, d) in zip(points, points[1:] + points[:1]))) / 2.0
        assert edge.closed and drawing.units == ezdxf.units.MM
        assert solid.volume == pytest.approx(2.0 * (area - math.pi * hole.dxf.radius**2), rel=2e-3)


def test_true_to_size(written):
    """The caddy's trimmed rib is as high as the leather-hard jar, its edge as far from the axis as the jar's rim."""

    sheet = worked_out()[1]["tea-caddy"]
    height, rim = sheet.value("jar.height", "leather-hard"), sheet.value("jar.rim.diameter", "leather-hard")
    svg = svgelements.SVG.parse(written / "tea-caddy-jar-trimmed.svg", ppi=25.4)  # a unit is a millimetre then
    (polygon,) = [element for element in svg.elements() if isinstance(element, svgelements.Polygon)]
    left, top, right, bottom = polygon.bbox()
    assert bottom - top == pytest.approx(height, abs=0.01)
    (edge,) = ezdxf.readfile(written / "tea-caddy-jar-trimmed.dxf").modelspace().query("LWPOLYLINE")
    ups = {round(y, 6): x for x, y, *_ in edge.get_points() if x < rim / 2.0 + 1e-6}
    assert max(ups) == pytest.approx(height, abs=1e-6) and ups[max(ups)] == pytest.approx(rim / 2.0, abs=1e-6)


def test_the_hole_stays_inside():
    for line in (CONE, ((60.0, 0.0), (130.0, 22.0)), ((10.0, 0.0), (12.0, 9.0))):
        rib = profile_rib(line)
        reach = rib.hole_mm / 2.0
        assert reach < rib.hole_at[1] < line[-1][1] - reach or line[-1][1] < 10.0
        assert rib.hole_at[0] - reach > max(r for r, _ in line)
        solid = trimesh.load(io.BytesIO(stl_of(rib)), file_type="stl")
        assert solid.is_watertight and solid.euler_number == 0  # one hole through it
        assert solid.volume == pytest.approx(2.0 * rib.area_mm2, rel=2e-3)


def test_words_are_escaped():
    assert b"&lt;mug&gt;" in rib_file(profile_rib(CONE), "svg", ("<mug>", "a & b"))


def test_a_rib_that_was_changed_is_its_makers(written):
    for kind in FORMATS:
        content = (written / f"tea-caddy-jar-thrown.{kind}").read_bytes()
        assert is_ours(content) and not is_ours(content.replace(content[-12:-9], b"1.5")), kind
        assert content != rib_file(profile_rib(CONE), kind, ("a", "b")) and not is_ours(content[: len(content) // 2]), (
            kind
        )


@pytest.mark.parametrize(
    ("words", "said"), [(["no-form"], "there is no form"), (["tea-caddy", "--as", "dfx"], "did you mean 'dxf'?")]
)
def test_what_cannot_be(tmp_path, words, said):
    made = CliRunner().invoke(command, ["-C", str(ROOT), "gauges", *words, "-o", str(tmp_path / "x")])
    assert made.exit_code == 2 and said in made.output and not (tmp_path / "x").exists()
