"""Crossings: what is seen by runs alone is what the general geometry library (shapely) sees in the same lines."""

import random

import numpy as np
import pytest
import shapely
from wareboard.pot.crossings import left_edge
from wareboard.pot.offsets import faces_of, upper_left_face


def zigzag(drawn, count):
    """A line up a box 100 high and 100 wide, to and fro on its way."""
    between = [(drawn.uniform(5.0, 95.0), drawn.uniform(1.0, 99.0)) for _ in range(count)]
    if drawn.random() < 0.7:
        between.sort(key=lambda point: point[1] + drawn.uniform(-25.0, 25.0))
    if drawn.random() < 0.3:  # level and upright edges, as makers list them
        between = [(round(r, -1) + 0.5, between[k - k % 2][1]) for k, (r, _) in enumerate(between)]
        between = [point for point, before in zip(between, [None, *between], strict=False) if point != before]
    return np.array([(40.0, 0.0), *between, (60.0, 100.0)])


def test_the_edge_beside_a_line_is_the_face_beside_it():
    drawn, compared, looped = random.Random("edges"), 0, 0
    for _ in range(400):
        line = zigzag(drawn, drawn.randint(2, 12))
        edge = left_edge(line)
        if edge is None:
            continue
        face = upper_left_face(faces_of(line, (0.0, 0.0, 100.0, 100.0)), 0.0, 100.0)
        assert face is not None
        corners = np.concatenate([[(0.0, 0.0)], edge, [(0.0, 100.0)]])
        assert (
            shapely.area(shapely.symmetric_difference(*shapely.polygons([corners]), shapely.polygons(face[0]))) < 1e-9
        )
        assert shapely.length(shapely.linestrings(edge)) == pytest.approx(
            shapely.length(shapely.linestrings(face[1][1:])), abs=1e-9
        )
        compared, looped = compared + 1, looped + (len(edge) != len(line))
    assert compared > 200 and looped > 80


def test_what_touches_is_left_to_the_library():
    touching = np.array([(40.0, 0.0), (60.0, 50.0), (20.0, 30.0), (20.0, 60.0), (60.0, 50.0), (40.0, 99.0)])
    assert left_edge(touching) is None
    folded = np.array([(40.0, 0.0), (40.0, 60.0), (40.0, 20.0), (50.0, 90.0)])
    assert left_edge(folded) is None
    assert (
        left_edge(np.array([(40.0, 0.0), (50.0, 30.0), (60.0, 10.0), (30.0, 5.0), (30.0, 20.0), (45.0, -5.0)])) is None
    )
