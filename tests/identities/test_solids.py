"""What must hold of solids whatever their sizes."""

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from wareboard.pot.solids import (
    SectionError,
    area_below_mm2,
    filled_to,
    flipped,
    frustum_volume_mm3,
    height_of_fill_mm,
    profile_ring,
    revolved_area_mm2,
    revolved_centroid_height_mm,
    revolved_volume_mm3,
    ring_problem,
    scaled,
    smooth_outline,
    volume_below_mm3,
    wall_inside,
)
from wareboard.pot.thrown import thrown_outside

quick = settings(max_examples=25, deadline=None)
radii = st.lists(st.floats(30.0, 60.0), min_size=2, max_size=6)
steps = st.lists(st.floats(14.0, 60.0), min_size=5, max_size=5)
factors = st.floats(0.2, 5.0)


@st.composite
def outlines(draw, straight=False):
    height, points = 0.0, []
    for radius, step in zip(draw(radii), [*draw(steps), 10.0], strict=False):
        points.append((radius, height))
        height += step
    return smooth_outline(points)[0] if not straight and draw(st.booleans()) else tuple(points)


def vessel(outline):
    try:
        return wall_inside(outline, 3.0, 4.0)
    except SectionError:  # a rim that leans in so far that its wall closes the mouth
        reject()


@quick
@given(outlines(), st.floats(0.05, 0.95))
def test_cut_in_two_is_the_sum(outline, share):
    level = outline[-1][1] * share
    whole = ((0.0, 0.0), *outline)
    turned_over = flipped((*outline, (0.0, outline[-1][1])), outline[-1][1])
    lower, upper = filled_to(whole, level), filled_to(turned_over, outline[-1][1] - level)
    ring = profile_ring(outline, None)
    volume = revolved_volume_mm3(ring)
    assert lower.volume_mm3 + upper.volume_mm3 == pytest.approx(volume, rel=1e-12)
    moment = lower.volume_mm3 * lower.centre_mm + upper.volume_mm3 * (outline[-1][1] - upper.centre_mm)
    assert moment == pytest.approx(volume * revolved_centroid_height_mm(ring), rel=1e-9)
    above = area_below_mm2(flipped(outline, outline[-1][1]), outline[-1][1] - level)
    assert area_below_mm2(outline, level) + above == pytest.approx(revolved_area_mm2(outline), rel=1e-12)


@quick
@given(outlines(), factors)
def test_scaling_goes_by_square_and_cube(outline, k):
    ring = profile_ring(outline, vessel(outline))
    larger = scaled(ring, k, k)
    assert revolved_volume_mm3(larger) == pytest.approx(k**3 * revolved_volume_mm3(ring), rel=1e-12)
    assert revolved_area_mm2(larger) == pytest.approx(k**2 * revolved_area_mm2(ring), rel=1e-12)
    assert revolved_centroid_height_mm(larger) == pytest.approx(k * revolved_centroid_height_mm(ring), rel=1e-9)


@quick
@given(outlines(), factors, factors)
def test_across_counts_twice_and_up_once(outline, across, up):
    ring = profile_ring(outline, None)
    stretched = revolved_volume_mm3(scaled(ring, across, up))
    assert stretched == pytest.approx(across**2 * up * revolved_volume_mm3(ring), rel=1e-12)


@quick
@given(outlines(), factors)
def test_a_wall_scales_with_its_outline(outline, k):
    expected = k**3 * volume_below_mm3(vessel(outline), outline[-1][1])
    inside = wall_inside(scaled(outline, k, k), 3.0 * k, 4.0 * k)
    assert volume_below_mm3(inside, inside[-1][1]) == pytest.approx(expected, rel=1e-6)


@quick
@given(outlines())
def test_turning_over_keeps_volume_and_area(outline):
    ring, height = profile_ring(outline, vessel(outline)), outline[-1][1]
    turned = flipped(ring, height)
    assert revolved_volume_mm3(turned) == pytest.approx(revolved_volume_mm3(ring), rel=1e-12)
    assert revolved_area_mm2(turned) == pytest.approx(revolved_area_mm2(ring), rel=1e-12)
    centre = height - revolved_centroid_height_mm(ring)
    assert revolved_centroid_height_mm(turned) == pytest.approx(centre, rel=1e-9)
    back = flipped(turned, height)
    assert [r for r, _ in back] == [r for r, _ in ring]
    assert [z for _, z in back] == pytest.approx([z for _, z in ring], abs=1e-12)


@quick
@given(outlines())
def test_clay_and_space_make_the_outside(outline):
    inside, rim = vessel(outline), outline[-1][1]
    ring = profile_ring(outline, inside)
    assert ring_problem(ring) is None
    whole = revolved_volume_mm3(profile_ring(outline, None))
    assert revolved_volume_mm3(ring) + volume_below_mm3(inside, rim) == pytest.approx(whole, rel=1e-12)


@quick
@given(outlines(), st.floats(0.0, 1.0))
def test_fill_is_there_and_back(outline, share):
    inside = vessel(outline)
    volume = share * volume_below_mm3(inside, outline[-1][1])
    level = height_of_fill_mm(inside, volume)
    assert volume_below_mm3(inside, level) == pytest.approx(volume, rel=1e-9, abs=1e-6)


@quick
@given(outlines(), st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_what_is_thrown_is_never_less(outline, distance, drop):
    trimmed = revolved_volume_mm3(profile_ring(outline, None))
    thrown = thrown_outside(outline, distance, drop)
    assert ring_problem(profile_ring(thrown, None)) is None
    assert revolved_volume_mm3(profile_ring(thrown, None)) >= trimmed * (1.0 - 1e-12)


@quick
@given(outlines(straight=True), st.floats(0.1, 2.0))
def test_straight_sides_move_out_and_back(outline, distance):
    # A wall inside the moved outline, as thick as the move, is the outline again, but for inner
    # corners that were mitred away and come back round: less is never left.
    thrown = thrown_outside(outline, distance, 0.0)
    back = wall_inside(thrown, distance, outline[0][1] + 3.0)
    again = volume_below_mm3(back, outline[-1][1])
    once = volume_below_mm3(wall_inside(outline, 0.0, 3.0), outline[-1][1])
    assert again == pytest.approx(once, rel=0.02)
    assert again >= once * (1.0 - 1e-6)


@quick
@given(st.floats(0.0, 90.0), st.floats(0.0, 90.0), st.floats(0.1, 200.0))
def test_a_ring_of_one_slope_is_a_frustum(lower, upper, height):
    ring = ((0.0, 0.0), (lower, 0.0), (upper, height), (0.0, height))
    assert revolved_volume_mm3(ring) == pytest.approx(frustum_volume_mm3(lower, upper, height), rel=1e-12)
