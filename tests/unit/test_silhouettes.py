"""Drawn lines to half sections: which way they run, what is base and what is inside, and what is no profile."""

import numpy as np
import pytest
from wareboard.pot.silhouettes import SilhouetteError, is_whole_outline, trace_line

from tests.every import every

HALF = np.array([[0.0, 0.0], [30.0, 0.0], [33.0, 3.0], [42.0, 95.0]])


def ends(line, height=95.0, scale=None):
    meridian = trace_line(np.asarray(line, dtype=float), height, scale).meridian
    return meridian[0].tolist(), meridian[-1].tolist(), len(meridian)


def test_a_half_profile_begins_at_the_foot_whichever_way_it_runs():
    wanted = ([30.0, 0.0], [42.0, 95.0], 3)
    assert ends(HALF) == wanted
    assert ends(HALF[::-1]) == wanted
    assert ends(HALF * np.array([-1.0, 1.0])) == wanted
    assert ends(HALF + np.array([0.0, 17.0])) == wanted
    assert ends(HALF[1:]) == wanted


def test_the_inside_that_comes_after_the_rim_is_left_out():
    section = np.vstack((HALF, [[38.0, 95.0], [29.0, 6.0], [0.0, 6.0]]))
    assert ends(section) == ([30.0, 0.0], [42.0, 95.0], 3)
    assert ends(section[::-1]) == ([30.0, 0.0], [42.0, 95.0], 3)


def test_the_height_sets_the_scale_and_the_drawings_own_serves_without():
    assert ends(HALF * 2.5)[1] == pytest.approx([42.0, 95.0])
    assert ends(HALF, None, 2.0)[1] == [84.0, 190.0]
    with pytest.raises(SilhouetteError, match="--height"):
        trace_line(HALF, None, None)


def test_a_whole_outline_is_told_from_a_half():
    whole = np.vstack((HALF[:0:-1] * np.array([-1.0, 1.0]), HALF[1:]))
    assert is_whole_outline(whole) and is_whole_outline(np.vstack((whole, whole[:1]))) and not is_whole_outline(HALF)
    found = trace_line(whole + np.array([200.0, 5.0]), 95.0, None)
    assert found.meridian[-1] == pytest.approx([42.0, 95.0], abs=0.1)
    assert found.meridian[0] == pytest.approx([30.0, 0.0], abs=0.2)


@every(
    ("line", "said"),
    [
        ([[-20.0, 0.0], [5.0, 40.0], [30.0, 90.0]], "both sides"),
        ([[0.0, 5.0], [30.0, 5.0]], "no height"),
    ],
)
def test_what_is_no_profile(line, said):
    with pytest.raises(SilhouetteError, match=said):
        trace_line(np.array(line), 95.0, None)
