"""Outlines: turning, scaling, levels, the fair curve's corners and stations, walls along it."""

import subprocess
import sys
from itertools import pairwise
from math import atan2, degrees

import pytest
from wareboard.pot.outlines import (
    flipped,
    pchip_slopes,
    radius_at,
    scaled,
    smooth_outline,
    walls_along,
)

from tests.every import every

BELLY = ((30.0, 0.0), (48.0, 35.0), (52.0, 70.0), (34.0, 110.0), (38.0, 130.0))


def test_scaled_keeps_across_and_up_apart():
    assert scaled(((10.0, 4.0), (20.0, 8.0)), 2.0, 0.5) == ((20.0, 2.0), (40.0, 4.0))


def test_flipped_goes_up_again():
    assert flipped(((5.0, 0.0), (9.0, 3.0), (0.0, 10.0)), 10.0) == ((0.0, 0.0), (9.0, 7.0), (5.0, 10.0))


@every(
    ("height", "outermost", "radius"),
    [
        (0.0, True, 30.0),
        (10.0, True, 35.0),
        (20.0, True, 50.0),  # the ledge
        (20.0, False, 40.0),
        (30.0, True, 50.0),
        (45.0, True, 46.0),  # an undercut: three crossings
        (45.0, False, 42.0),
        (60.1, True, None),
        (-0.1, True, None),
    ],
)
def test_radius_at(height, outermost, radius):
    line = (
        (30.0, 0.0), (40.0, 20.0), (50.0, 20.0), (50.0, 40.0), (42.0, 50.0), (42.0, 40.0), (46.0, 45.0), (46.0, 60.0),
    )  # fmt: skip
    assert radius_at(line, height, outermost=outermost) == radius


def test_smooth_hits_every_station_exactly():
    outline, indices = smooth_outline(BELLY)
    assert tuple(outline[index] for index in indices) == BELLY
    assert indices[0] == 0
    assert indices[-1] == len(outline) - 1


def test_smooth_never_overshoots_its_stations():
    outline, indices = smooth_outline(BELLY)
    for first, last in pairwise(indices):
        heights = [height for _, height in outline[first : last + 1]]
        assert heights == sorted(heights)
    assert max(radius for radius, _ in outline) == 52.0


def _turn_at(outline, index):
    (r0, z0), (r1, z1), (r2, z2) = outline[index - 1 : index + 2]
    return degrees(abs(atan2(z2 - z1, r2 - r1) - atan2(z1 - z0, r1 - r0)))


def test_a_corner_stays_sharp_and_the_rest_fair():
    sharp, at_sharp = smooth_outline(BELLY, frozenset({2}))
    fair, at_fair = smooth_outline(BELLY)
    assert _turn_at(sharp, at_sharp[2]) > 20.0
    assert _turn_at(fair, at_fair[2]) < 2.0
    assert max(_turn_at(sharp, k) for k in range(1, at_sharp[2])) < 2.0


def test_two_stations_and_runs_between_corners_are_straight():
    assert smooth_outline(BELLY, frozenset({1, 2, 3})) == (BELLY, (0, 1, 2, 3, 4))


def test_stations_in_line_need_no_points_between():
    line = ((30.0, 0.0), (35.0, 30.0), (40.0, 60.0))
    assert smooth_outline(line) == (line, (0, 1, 2))


@every("stations", [[(1.0, 2.0)], [(1.0, 2.0), (1.0, 2.0), (3.0, 4.0)]])
def test_smooth_refuses_what_is_no_line(stations):
    with pytest.raises(ValueError, match="station"):
        smooth_outline(stations)


def test_slopes_are_flat_at_a_turn_and_held_at_the_ends():
    assert pchip_slopes([1.0, 1.0], [0.0, 5.0, 0.0])[1] == 0.0
    assert pchip_slopes([1.0, 1.0], [0.0, 1.0, -9.0])[0] == 3.0  # three times the end's slope
    assert pchip_slopes([1.0, 1.0], [0.0, 1.0, 9.0])[0] == 0.0  # the parabola would fall first


def test_walls_run_linear_in_length_and_constant_beyond():
    outline = ((0.0, 0.0), (3.0, 4.0), (3.0, 14.0), (3.0, 19.0), (3.0, 24.0))
    assert walls_along(outline, (0, 1, 3, 4), {1: 6.0, 2: 3.0}).tolist() == [6.0, 6.0, 4.0, 3.0, 3.0]
    assert walls_along(outline, (0, 4), {1: 5.0}).tolist() == [5.0] * 5


def test_walls_need_a_wall():
    with pytest.raises(ValueError, match="wall"):
        walls_along(((0.0, 0.0), (0.0, 1.0)), (0, 1), {})


def test_a_studio_without_a_form_needs_no_numpy(tmp_path):
    (tmp_path / "specs").mkdir()
    (tmp_path / "specs" / "studio.yaml").write_text("title: Yard\n", encoding="utf-8")
    code = "import sys; from pathlib import Path; from wareboard.output.working import work_out; work_out(Path()); print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_importing_solids_is_cheap():
    code = "import sys, wareboard.pot.solids; print(sorted({'shapely', 'scipy'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
