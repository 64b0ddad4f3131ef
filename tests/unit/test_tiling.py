"""Cutting up, joining and setting out: nothing is lost, nothing lies upon another, and shapely cuts the same."""

from itertools import combinations, pairwise
from math import hypot

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.cards.tiling import Piece, clip_line, clip_shape, cut_pieces, cut_spans, find_joints, set_out

LENGTHS = st.floats(1.0, 2000.0)
PLACES = st.integers(-400, 1200).map(lambda eighths: eighths / 8.0)
POINTS = st.lists(st.tuples(PLACES, PLACES), min_size=2, max_size=8)
WINDOW = Piece(0.0, 0.0, 100.0, 80.0)


@given(LENGTHS)
@settings(max_examples=80)
def test_spans_cover_a_length_and_lap_by_what_was_asked(length):
    spans = cut_spans(length, 190.0, 10.0)
    assert (spans[0][0], spans[-1][1]) == (0.0, length)
    assert all(end - start <= 190.0 + 1e-6 for start, end in spans)
    assert all(before[1] - after[0] == pytest.approx(10.0) for before, after in pairwise(spans))
    assert len({round(end - start, 6) for start, end in spans}) == 1
    assert len(spans) == 1 or length > (len(spans) - 1) * 180.0 + 10.0 - 1e-6, "more pieces than it takes"


def test_a_length_that_just_fits_is_not_cut():
    assert len(cut_spans(190.0, 190.0, 10.0)) == 1
    assert len(cut_spans(370.0, 190.0, 10.0)) == 2
    assert len(cut_spans(370.1, 190.0, 10.0)) == 3


def test_room_must_be_more_than_the_overlap():
    with pytest.raises(ValueError, match="cannot lap"):
        cut_spans(100.0, 10.0, 10.0)


def test_pieces_read_from_the_top_left():
    pieces = cut_pieces(300.0, 300.0, 190.0, 190.0, 10.0)
    assert [piece.number for piece in pieces] == [1, 2, 3, 4]
    assert pieces[0].left_mm == 0.0 and pieces[0].top_mm == 300.0
    assert pieces[3].right_mm == 300.0 and pieces[3].bottom_mm == 0.0


def test_every_seam_has_the_same_marks_on_both_its_pieces():
    pieces = cut_pieces(500.0, 300.0, 190.0, 190.0, 10.0)
    joints = find_joints(pieces)
    by_letter = {}
    for piece in pieces:
        for joint in joints[piece.number]:
            assert piece.left_mm < joint.x_mm < piece.right_mm and piece.bottom_mm < joint.y_mm < piece.top_mm
            by_letter.setdefault(joint.letter, []).append((piece.number, joint))
    assert all(len(found) == 2 and found[0][1] == found[1][1] for found in by_letter.values())
    assert len(by_letter) == 2 * (2 * 2 + 3), "two marks on each of two seams a row and one seam a column"


def test_marks_lie_in_the_middle_of_the_overlap_and_a_short_seam_has_one():
    joints = find_joints(cut_pieces(350.0, 30.0, 190.0, 190.0, 10.0))
    assert [(joint.letter, joint.x_mm, joint.y_mm) for joint in joints[1]] == [("A", 175.0, 15.0)]


def test_letters_go_on_after_z():
    letters = {
        joint.letter
        for marks in find_joints(cut_pieces(1500.0, 1500.0, 190.0, 190.0, 10.0)).values()
        for joint in marks
    }
    assert {"A", "Z", "AA", "AB", "BA"} <= letters


@given(st.lists(st.tuples(st.floats(1.0, 180.0), st.floats(1.0, 225.0)), max_size=14))
@settings(max_examples=60)
def test_nothing_lies_upon_another_or_over_the_edge(sizes):
    places = set_out(sizes, 180.0, 225.0, 4.0)
    boxes = [
        (place.sheet, place.x_mm, place.y_mm, place.x_mm + w, place.y_mm + h)
        for place, (w, h) in zip(places, sizes, strict=True)
    ]
    for _, left, bottom, right, top in boxes:
        assert left >= 0.0 and bottom >= -1e-6 and right <= 180.0 + 1e-6 and top <= 225.0 + 1e-6
    for one, other in combinations(boxes, 2):
        apart = (
            one[1] >= other[3] + 3.99
            or other[1] >= one[3] + 3.99
            or one[2] >= other[4] + 3.99
            or other[2] >= one[4] + 3.99
        )
        assert one[0] != other[0] or apart
    assert {box[0] for box in boxes} == set(range(len({box[0] for box in boxes}))), "a sheet stays empty"


def test_small_things_go_beside_large_ones():
    places = set_out([(60.0, 100.0), (100.0, 10.0), (100.0, 10.0), (100.0, 10.0)], 180.0, 110.0, 4.0)
    assert {place.sheet for place in places} == {0}
    assert [place.x_mm for place in places] == [0.0, 64.0, 64.0, 64.0]


def test_what_is_larger_than_a_sheet_is_refused():
    with pytest.raises(ValueError, match="larger than the sheet"):
        set_out([(181.0, 10.0)], 180.0, 225.0, 4.0)


@given(POINTS)
@settings(max_examples=80)
def test_lines_are_cut_as_shapely_cuts_them(points):
    """Source: shapely, a general geometry library."""
    wanted = sum(
        shapely.LineString(pair).intersection(shapely.box(0.0, 0.0, 100.0, 80.0)).length for pair in pairwise(points)
    )
    found = sum(hypot(b[0] - a[0], b[1] - a[1]) for line in clip_line(points, WINDOW) for a, b in pairwise(line))
    assert found == pytest.approx(wanted, abs=1e-6)


@given(POINTS)
@settings(max_examples=80)
def test_shapes_are_cut_as_shapely_cuts_them(points):
    """Source: shapely, a general geometry library."""
    shape = shapely.Polygon(points) if len(points) > 2 else None
    if shape is None or not shape.is_valid or shape.area < 1e-6:
        return
    kept = clip_shape(points, WINDOW)
    area = abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(kept, kept[1:] + kept[:1], strict=True))) / 2.0
    assert area == pytest.approx(shape.intersection(shapely.box(0.0, 0.0, 100.0, 80.0)).area, abs=1e-5)


def test_a_line_that_leaves_and_comes_back_is_two_stretches():
    assert clip_line([(10.0, 10.0), (10.0, 100.0), (20.0, 100.0), (20.0, 10.0)], WINDOW) == [
        [(10.0, 10.0), (10.0, 80.0)],
        [(20.0, 80.0), (20.0, 10.0)],
    ]


def test_a_line_along_the_edge_belongs_to_the_piece():
    assert clip_line([(0.0, 0.0), (100.0, 0.0)], WINDOW) == [[(0.0, 0.0), (100.0, 0.0)]]
