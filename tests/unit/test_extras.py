"""Handles and spouts: their clay by handbook formulas, how wide the pot is with them, and the shorthand of galleries and feet."""

from math import pi

import pytest
from wareboard.pot.straps import strap_volume_mm3

from tests.unit.test_completing import CUP, figures, worked


def test_a_strap_by_the_handbooks():
    # A cylinder, a flat bar, an elliptic bar; and a wedge, whose mean section is not the section's mean.
    assert strap_volume_mm3(100.0, (10.0, 10.0), (1.0, 1.0), "round") == pytest.approx(pi * 25.0 * 100.0)
    assert strap_volume_mm3(100.0, (20.0, 20.0), (8.0, 8.0), "flat") == 16000.0
    assert strap_volume_mm3(100.0, (20.0, 20.0), (8.0, 8.0)) == pytest.approx(pi / 4.0 * 16000.0)
    # A cone from 2R to 0: a third of the cylinder.
    assert strap_volume_mm3(90.0, (20.0, 0.0), (1.0, 1.0), "round") == pytest.approx(pi * 100.0 * 90.0 / 3.0)
    with pytest.raises(ValueError, match="below 0"):
        strap_volume_mm3(-1.0, (20.0, 20.0), (8.0, 8.0))


STRAP = (
    "{strap: {length: 150, width: {top: 26, bottom: 20}, thickness: {top: 9, bottom: 7}}, from: 70, to: 30, reach: 38}"
)


def with_handle(handle, more=""):
    sheets, problems = worked(cup=CUP.replace("{clay: 40 g, reach: 40, from: 70, to: 30}", handle + more))
    assert [problem for problem in problems if problem.level == "error"] == []
    return sheets["cup"]


def test_a_straps_clay_length_and_reach_at_every_stage():
    sheet = with_handle(STRAP)
    found = figures(sheet)
    wet = strap_volume_mm3(150.0 / 0.88, (26.0 / 0.88, 20.0 / 0.88), (9.0 / 0.88, 7.0 / 0.88)) / 1000.0
    assert found["cup.handle.clay", "wet"] == pytest.approx(wet * found["clay.density", "wet"])
    assert found["cup.handle.length", "wet"] == pytest.approx(150.0 / 0.88)
    assert found["cup.handle.reach", "bisque"] == pytest.approx(38.0 / 0.88 * 0.94)
    bare = with_handle("{clay: 1 g}")
    assert found["cup.mass", "wet"] == pytest.approx(
        figures(bare)["cup.mass", "wet"] - 1.0 + found["cup.handle.clay", "wet"]
    )
    assert found["clay", "wet"] == pytest.approx(found["ball", "wet"] + found["cup.handle.clay", "wet"])


def test_the_width_counts_the_handle_from_where_it_joins():
    found = figures(with_handle(STRAP))
    # Widest outside between 30 and 70 mm up is at 70; the rim, 80 across, is the pot's own widest.
    radius = (
        figures(with_handle(STRAP.replace("from: 70, to: 30", "from: 70, to: 70")))["cup.across", "fired"] - 40.0 - 38.0
    )
    assert 31.0 < radius < 40.0
    assert found["cup.across", "fired"] == pytest.approx(40.0 + radius + 38.0)
    both = figures(with_handle(STRAP, ", spout: {clay: 20 g, reach: 15, from: rim}"))
    assert both["cup.across", "fired"] == pytest.approx(55.0 + radius + 38.0)
    assert figures(with_handle("{clay: 40 g}"))["cup.across", "fired"] == 80.0


def test_a_gallery_is_its_stations():
    short = (
        CUP.replace("line: smooth", "line: straight")
        .replace("wall: {foot: 5, rim: 3.5}", "wall: 4\n    gallery: {depth: 10, width: 5}")
        .replace("fill_to: 80", "fill_to: 70")
    )
    short = short.replace("ring: inside 70", "ring: inside gallery, hole: inside ledge")
    sheets, problems = worked(cup=short)
    assert [problem for problem in problems if problem.level == "error"] == []
    found = figures(sheets["cup"])
    assert found["cup.gallery.height", "fired"] == 80.0 == found["cup.ledge.height", "fired"]
    assert found["cup.ring", "fired"] == found["cup.gallery.diameter", "fired"]
    assert found["cup.ring", "fired"] - found["cup.hole", "fired"] == pytest.approx(10.0)
    listed = "\n".join(
        f"      p{k}: {{height: {z}, diameter: {2 * r}}}"
        for k, (r, z) in enumerate(sheets["cup"].shapes["cup"].inside)
        if r
    )
    long = (
        short.replace("wall: 4\n    gallery: {depth: 10, width: 5}\n    floor: 5", f"inside:\n{listed}")
        .replace("inside gallery", "inside 70")
        .replace("inside ledge", "inside 60")
    )
    sheets, problems = worked(cup=long)
    assert sheets["cup"].value("cup.mass", "fired") == pytest.approx(found["cup.mass", "fired"])
    assert sheets["cup"].value("cup.capacity.brim", "fired") == pytest.approx(found["cup.capacity.brim", "fired"])


def test_a_foot_ring_is_its_underside():
    short = CUP.replace("    floor: 5", "    floor: 5\n    foot: {ring: 60, width: 6, recess: 3}")
    long = CUP.replace(
        "    floor: 5",
        "    floor: 5\n    underside: {centre: {height: 3, diameter: 0}, recess: {height: 3, diameter: 48}, ring: {height: 0, diameter: 48}}",
    )
    one, other = (figures(worked(cup=text)[0]["cup"]) for text in (short, long))
    assert one.keys() == other.keys()
    assert all(one[key] == pytest.approx(other[key]) for key in one)
