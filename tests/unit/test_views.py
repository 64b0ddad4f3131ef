"""What is seen of solids of revolution, held against shapely, which knows nothing of pots."""

from math import cos, sin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shapely import Point as Spot
from shapely.ops import unary_union
from wareboard.drawing.views import creases, hatch_lines, outside_view, raised, simplified

JAR = [(0, 0), (40, 0), (43, 3), (43, 98), (38.5, 98), (38.5, 89), (33.5, 89), (38.5, 82), (38.5, 10), (35, 5), (0, 5)]
LID = [(0, 6), (30, 0), (37.8, 0), (37.8, 8), (7, 18), (12.5, 27), (7, 32), (0, 32)]

radii = st.floats(1.0, 60.0)


@st.composite
def vessels(draw):
    """A closed half section with a wall, a ledge here and there."""
    steps = draw(st.lists(st.tuples(radii, st.floats(0.5, 20.0)), min_size=2, max_size=6))
    outside, height = [], 0.0
    for radius, up in steps:
        outside.append((radius, height))
        height += up
    outside[-1] = (outside[-1][0], max(outside[-1][1], 5.0))
    return outside


@st.composite
def waves(draw):
    """A dense smooth line, turning as it likes."""
    bends = draw(st.lists(st.floats(-4.0, 4.0), min_size=2, max_size=4))
    x, y, heading, points = 0.0, 0.0, 1.0, [(0.0, 0.0)]
    for bend in bends:
        for _ in range(60):
            heading += bend / 60.0
            x, y = x + 0.5 * cos(heading), y + 0.5 * sin(heading)
            points.append((x, y))
    return points


@settings(max_examples=40, deadline=None)
@given(waves(), st.sampled_from([0.01, 0.05, 0.3]))
def test_a_simplified_line_stays_within_its_tolerance(points, tolerance):
    kept = simplified(points, tolerance)
    assert kept[0] == points[0] and kept[-1] == points[-1] and set(kept) <= set(points)
    line = LineString(kept)
    assert max(line.distance(Spot(point)) for point in points) <= tolerance * (1.0 + 1e-9)


def test_a_simplified_curve_has_far_fewer_points():
    arc = [(50.0 * cos(angle / 400.0), 50.0 * sin(angle / 400.0)) for angle in range(630)]
    assert len(simplified(arc, 0.05)) < 30


def test_a_line_that_turns_back_keeps_its_end():
    assert simplified([(0.0, 0.0), (10.0, 0.0), (5.0, 0.0), (12.0, 0.0)], 0.05)[1] == (10.0, 0.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(vessels(), min_size=1, max_size=2), st.lists(st.floats(0.001, 0.999), min_size=8, max_size=8))
def test_at_every_level_the_farthest_out_is_seen(outlines, shares):
    view = outside_view(outlines)
    solid = unary_union([Polygon([(0.0, line[0][1]), *line, (0.0, line[-1][1])]).buffer(0) for line in outlines])
    top = max(height for line in outlines for _, height in line)
    for share in shares:
        height = share * top
        assume(all(abs(height - h) > 1e-3 for line in outlines for _, h in line))
        cut = solid.intersection(LineString([(-1.0, height), (100.0, height)]))
        expected = 0.0 if cut.is_empty else cut.bounds[2]
        assert view.radius_at(height) == pytest.approx(expected, abs=1e-6)


def test_what_lies_behind_an_undercut_is_not_seen():
    bottle = [(35, 0), (47, 70), (28, 133), (20, 129), (18, 174)]
    view = outside_view([bottle], creases(bottle))
    assert all((20, 129) not in line for line in view.lines)
    assert (20, 129) not in view.edges and (28, 133) in view.edges
    assert view.radius_at(130.0) > 28.0


def test_a_flange_in_its_gallery_is_not_seen_and_the_rim_is():
    lid = raised(LID[2:-1], 89.0)
    view = outside_view([JAR[1:4], lid])
    assert max(view.edges, key=lambda edge: edge[0] if edge[1] == 98 else 0) == (43, 98)
    assert all(height > 97.9 or radius >= 40.0 for line in view.lines for radius, height in line)
    assert (7, 121.0) in view.edges


def test_smooth_lines_have_no_creases_and_corners_do():
    arc = [(30.0 + 10.0 * cos(angle / 20.0), 10.0 * sin(angle / 20.0)) for angle in range(30)]
    assert creases(arc) == []
    assert creases([*arc, (arc[-1][0] + 5.0, arc[-1][1])]) == [arc[-1]]


@settings(max_examples=40, deadline=None)
@given(vessels(), st.booleans())
def test_hatching_fills_the_section_and_nothing_else(outside, rising):
    ring = [(0.0, 0.0), *outside, (0.0, outside[-1][1])]
    area = Polygon(ring)
    assume(area.is_valid and area.area > 50.0)
    lines = [LineString(ends) for ends in hatch_lines(ring, 0.25, rising)]
    assert all(line.interpolate(0.5, normalized=True).within(area.buffer(1e-6)) for line in lines)
    assert sum(line.length for line in lines) * 0.25 == pytest.approx(area.area, rel=0.05)
    for line in lines[:5]:
        (x0, y0), (x1, y1) = line.coords
        assert (y1 - y0) / (x1 - x0) == pytest.approx(1.0 if rising else -1.0)


def test_hatching_within_a_box_leaves_out_only_lines_that_pass_it_by():
    ring = [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]
    box = (10.0, 10.0, 14.0, 13.0)
    for rising in (True, False):
        every, some = hatch_lines(ring, 1.3, rising), hatch_lines(ring, 1.3, rising, box)
        assert 0 < len(some) < len(every) and set(some) <= set(every)
        assert {line for line in every if _meets(line, box)} <= set(some)


def _meets(line, box):
    """Whether a line at 45 degrees has a point in a box; looked for step by step."""
    (x0, y0), (x1, y1) = line
    left, bottom, right, top = box
    return any(
        left <= x0 + (x1 - x0) * k / 2000 <= right and bottom <= y0 + (y1 - y0) * k / 2000 <= top for k in range(2001)
    )
