"""What rests on what: seats, pushed seats, room, level, falls, worked by hand."""

from math import sqrt
from unittest.mock import patch

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box, unary_union
from shapely.geometry.polygon import orient
from wareboard.pot import seats
from wareboard.pot.seats import facing, falls_share, proud_mm, pushed_mm, seats_of

JAR = [(0, 0), (40, 0), (43, 3), (43, 98), (38.5, 98), (38.5, 89), (33.5, 89), (38.5, 82), (38.5, 10), (35, 5), (0, 5)]
LID = [(0, 6), (30, 0), (37.8, 0), (37.8, 8), (7, 18), (12.5, 27), (7, 32), (0, 32)]
PLATE = [(0, 12), (34, 12), (34, 0), (37.8, 0), (37.8, 12), (44, 12), (44, 18), (0, 18)]  # a flange under a plate
CAP = [(61, 0), (66, 0), (66, 32), (0, 32), (0, 27), (61, 27)]
DISH = [(0, 0), (60, 0), (66, 34), (59.9, 34), (59.9, 52), (55, 52), (55, 6), (0, 6)]

radii = st.floats(1.0, 60.0)


def rests(lower, upper, **how):
    return next(iter(seats_of(facing(lower, upper), **{"fit_radius_mm": 37.8, **how})), None)


def test_a_lid_comes_down_on_its_gallery():
    seat = rests(JAR, LID)
    assert (seat.rest_mm, seat.joint_mm, seat.room_mm, seat.wedged, seat.sunk) == (89.0, 89.0, 0.0, False, False)
    assert seat.width_mm == pytest.approx(37.8 - 33.5)  # flange's edge less the ledge's
    assert (seat.inner_mm, seat.outer_mm) == (33.5, 37.8)
    too_wide = [(radius + 1.0 if radius > 20 else radius, height) for radius, height in LID]
    assert rests(JAR, too_wide).rest_mm == pytest.approx(98.0)


def test_a_cap_comes_down_over_a_neck_and_a_part_beside_never_meets():
    seat = rests(DISH, CAP, fit_radius_mm=59.9, upper_goes_in=False)
    assert (seat.rest_mm, seat.width_mm, seat.joint_mm) == (34.0, 5.0, 34.0)
    assert seat.room_mm == pytest.approx(34.0 + 27.0 - 52.0)  # over the neck, under the cap
    aside = [(20, 0), (30, 0), (30, 5), (20, 5)]
    assert rests([(0, 0), (10, 0), (10, 5), (0, 5)], aside) is None


def test_a_flange_has_room_below_it_and_a_long_one_lifts_the_plate():
    hung = rests([point for point in JAR if point not in ((38.5, 89), (33.5, 89), (38.5, 82))], PLATE)
    assert (hung.rest_mm, hung.width_mm) == (pytest.approx(86.0), pytest.approx(4.5))  # on the rim, 38.5 to 43
    assert hung.room_mm == pytest.approx(86.0 - 10.0 + (37.8 - 35.0 - 3.5) / 3.5 * 5.0, abs=6.0)
    stands = rests(JAR, PLATE)  # its flange is 12 long, the gallery 9 deep
    assert stands.room_mm == 0.0 and stands.hovers_mm == pytest.approx(3.0)


def test_a_lid_that_lies_on_the_floor_has_fallen_in():
    straight = [(0, 0), (43, 0), (43, 98), (38.5, 98), (38.5, 5), (0, 5)]
    fallen = rests(straight, LID, brim_mm=98.0)
    assert fallen.sunk and fallen.width_mm == 0.0 and pushed_mm(facing(straight, LID), fallen, 0.7) == -0.7
    bell = [
        (30, 0),
        (37.8, 0),
        (37.8, 80),
        (0, 80),
        (0, 76),
        (30, 76),
    ]  # stands on a plate's floor, its hollow above the brim
    plate = [(0, 0), (60, 0), (60, 15), (40, 15), (40, 5), (0, 5)]
    assert not rests(plate, bell, brim_mm=15.0).sunk


def test_what_is_pushed_aside_bears_on_less():
    seat = rests(JAR, LID)
    assert pushed_mm(facing(JAR, LID), seat, 0.7) == pytest.approx(4.3 - 0.7)
    assert pushed_mm(facing(JAR, LID), seat, 5.0) == pytest.approx(-0.7)
    wide = [point for point in JAR if point not in ((38.5, 89), (33.5, 89), (38.5, 82))]
    assert pushed_mm(facing(wide, PLATE), rests(wide, PLATE), 0.7) == pytest.approx(
        4.5
    )  # the plate reaches 1 mm farther than the rim


def test_a_cap_loses_its_seat_on_the_side_that_it_is_pushed_to():
    seat = rests(DISH, CAP, fit_radius_mm=59.9, upper_goes_in=False)
    assert pushed_mm(facing(DISH, CAP), seat, 1.1) == pytest.approx(5.0 - 1.1)


def test_a_cone_in_a_cone_wedges():
    neck = [(0, 0), (30, 0), (30, 60), (12, 60), (10, 20), (0, 20)]
    cone = [(0, 0), (10.2, 0), (12.2, 40), (0, 40)]
    seat = rests(neck, cone, fit_radius_mm=11.0)
    assert seat.wedged and pushed_mm(facing(neck, cone), seat, 1.0) == seat.width_mm


def test_a_lid_that_sticks_high_in_a_cone_has_not_fallen_in():
    cone = [(0, 0), (30, 0), (40, 90), (36, 90), (25, 5), (0, 5)]
    stuck = rests(cone, [(0, 0), (35.2, 0), (35, 12), (0, 12)], fit_radius_mm=35.2, brim_mm=90.0)
    assert stuck.wedged and not stuck.sunk and stuck.rest_mm > 80.0


def test_glaze_lifts_what_stands_on_it():
    assert facing(JAR, LID, (0.4, 0.0)).rest_mm == pytest.approx(89.4)
    assert facing(JAR, LID, (0.4, 0.3)).rest_mm == pytest.approx(89.7)
    assert facing(JAR, LID, (0.0, 0.0)).rest_mm == 89.0


def test_the_share_that_falls_is_a_normal_tail():
    assert falls_share(0.0, 0.5, (0.3, 0.2)) == pytest.approx(0.5)
    sigma = 0.5 * sqrt(0.5**2 + 0.3**2 + 0.2**2)
    assert falls_share(1.959964 * sigma, 0.5, (0.3, 0.2)) == pytest.approx(0.025, rel=1e-5)
    assert (falls_share(0.1, 0.0, ()), falls_share(-0.1, 0.0, ())) == (0.0, 1.0)


def test_level_is_told_by_the_widest_near_the_joint():
    jar = [(0, 0), (60, 0), (40, 40), (40, 98), (36, 98), (36, 5), (0, 5)]  # wide below, but not near the joint
    lid = [(0, 0), (43, 0), (43, 6), (50, 40), (0, 40)]
    assert proud_mm(jar, lid, 98.0, 98.0) == pytest.approx(43.0 + 9.0 / 34.0 * 7.0 - 40.0)


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


@settings(max_examples=60, deadline=None)
@given(vessels(), vessels())
def test_a_part_at_rest_touches_and_does_not_pass_through(lower, upper):
    rings = [[(0.0, 0.0), *line, (0.0, line[-1][1])] for line in (lower, upper)]
    areas = [Polygon(ring) for ring in rings]
    assume(all(area.is_valid and area.area > 1.0 for area in areas))
    rest = facing(*rings).rest_mm
    above = affinity.translate(areas[1], 0.0, rest + 1e-3)
    assert areas[0].intersection(above).area < 1e-4
    sunk = affinity.translate(areas[1], 0.0, rest - 0.05)
    assert areas[0].intersection(sunk).area > 0.0


@settings(max_examples=60, deadline=None)
@given(vessels(), vessels(), st.floats(0.05, 1.5), st.just(0.0) | st.floats(0.05, 1.5))
def test_glazed_faces_are_those_of_a_section_that_the_geometry_library_grows(lower, upper, lower_film, upper_film):
    rings = [[(0.0, 0.0), *line, (0.0, line[-1][1])] for line in (lower, upper)]
    areas = [Polygon(ring) for ring in rings]
    assume(all(area.is_valid and area.area > 1.0 for area in areas))
    grown = []
    for ring, film in zip(rings, (lower_film, upper_film)):
        # Whole, on both sides of the axis, as what is turned.
        whole = unary_union([Polygon(ring), affinity.scale(Polygon(ring), -1.0, 1.0, origin=(0.0, 0.0))])
        half = whole.buffer(film, join_style="mitre", mitre_limit=2.0) & box(0.0, -1e4, 1e4, 1e4)
        assume(half.geom_type == "Polygon")
        grown.append(list(orient(half).exterior.coords)[:-1])
    assert facing(*rings, (lower_film, upper_film)).rest_mm == pytest.approx(facing(*grown).rest_mm, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(vessels(), vessels())
def test_faces_one_by_one_and_all_at_once_are_the_same(lower, upper):
    rings = [[(0.0, 0.0), *line, (0.0, line[-1][1])] for line in (lower, upper)]
    found = []
    for few in (0, 1000):
        with patch.object(seats, "_FEW", few):
            faces = facing(*rings)
            found.append([faces.stretches, faces.rest_mm if faces.meet else None])
    many, few = (stretches.rows_mm.tolist() for stretches, _ in found)
    assert len(many) <= len(few) and bool(many) == bool(few)
    for inner, outer, *heights in few:  # what is out of sight makes no stretch of its own among many
        low, high, *ends = next(row for row in many if row[0] <= inner + 1e-9 and outer <= row[1] + 1e-9)
        shares = [(radius - low) / (high - low) for radius in (inner, outer)]
        between = [start + (end - start) * share for start, end in (ends[:2], ends[2:]) for share in shares]
        assert heights == pytest.approx(between, abs=1e-9)
    assert found[0][1] == pytest.approx(found[1][1], abs=1e-9)
