"""The fewest stations: tried against every choice of places; corners kept, the curve close, names that a potter would give."""

from itertools import combinations

import numpy as np
import pytest
from wareboard.pot import stationing
from wareboard.pot.outlines import smooth_outline
from wareboard.pot.stationing import fewest_places, fewest_stations

from tests.every import every

TWO_BEND = [(30.0, 0.0), (55.0, 50.0), (25.0, 100.0), (28.0, 112.0)]


def drawn(points, corners=frozenset(), count=900, noise_mm=0.0):
    """A line through stations as a picture would give it: many places, each a little off."""
    line = np.array(smooth_outline(points, corners)[0])
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    at = np.linspace(0.0, along[-1], count)
    places = np.column_stack([np.interp(at, along, line[:, axis]) for axis in (0, 1)])
    places[:, 0] += np.random.default_rng(3).normal(0.0, noise_mm, count) if noise_mm else 0.0
    return places


def furthest(places, stations):
    """How far the places lie from the curve, by shapely."""
    import shapely

    line = shapely.LineString(stations.outline())
    return max(line.distance(shapely.Point(*place)) for place in places)


@every(
    ("points", "corners", "most"),
    [
        ([(30.0, 0.0), (42.0, 95.0)], (), 2),
        ([(30.0, 0.0), (39.0, 40.0), (42.0, 95.0)], (), 3),
        (TWO_BEND, (), 4),
        ([(29.0, 0.0), (31.0, 2.0), (40.0, 120.0)], (1,), 3),
        ([(40.0, 0.0), (43.0, 3.0), (43.0, 98.0)], (1,), 3),
        ([(30.0, 0.0), (45.0, 30.0), (32.0, 60.0), (32.0, 74.0), (45.0, 82.0)], (2, 3), 6),
    ],
)
def test_few_stations_lie_close(points, corners, most):
    places = drawn(points, frozenset(corners))
    fitted = fewest_stations(places, 0.4)
    assert len(fitted.stations.names) <= most
    assert fitted.largest_miss_mm <= 0.4
    assert furthest(places, fitted.stations) == pytest.approx(fitted.largest_miss_mm, abs=0.02)


def test_noise_asks_for_no_more_stations():
    assert len(fewest_stations(drawn(TWO_BEND, noise_mm=0.03), 0.4).stations.names) <= 5


def test_a_corner_stays_a_corner_and_a_bend_is_none():
    sharp = fewest_stations(drawn([(60.0, 0.0), (60.0, 40.0), (20.0, 70.0)], frozenset({1})), 0.4).stations
    at = sharp.points[1]
    assert 1 in sharp.corners and at == pytest.approx((60.0, 40.0), abs=0.6)
    assert not fewest_stations(drawn(TWO_BEND), 0.4).stations.corners - {0, 3}


def test_potters_names():
    assert fewest_stations(drawn(TWO_BEND), 0.4).stations.names == ("foot", "belly", "neck", "rim")
    assert fewest_stations(drawn([(29.0, 0.0), (33.0, 3.0), (33.0, 120.0)], frozenset({1})), 0.4).stations.names == (
        "foot",
        "bevel",
        "rim",
    )
    arc = np.linspace(-0.35 * np.pi, 0.375 * np.pi, 300)
    ball = np.column_stack((50.0 * np.cos(arc), 50.0 * (np.sin(arc) - np.sin(arc[0]))))
    names = fewest_stations(ball, 0.4).stations.names
    assert {"foot", "belly", "shoulder", "rim"} <= {*names} and len({*names}) == len(names)


def test_closer_asks_for_more():
    places = drawn([(35.0, 0.0), (60.0, 20.0), (62.0, 60.0), (30.0, 110.0), (30.0, 118.0), (36.0, 130.0)])
    counts = [len(fewest_stations(places, within).stations.names) for within in (3.0, 1.0, 0.4)]
    assert counts == sorted(counts) and counts[0] < counts[2]


# ---- no other choice has fewer ----

SIDES = [
    [(30.0, 0.0), (50.0, 20.0), (55.0, 50.0), (40.0, 80.0), (25.0, 100.0), (28.0, 112.0)],
    [(30.0, 0.0), (55.0, 50.0), (25.0, 100.0), (28.0, 112.0)],
    [(20.0, 0.0), (40.0, 40.0), (44.0, 90.0)],
]


@every("points", SIDES)
@every("within_mm", [2.0, 0.5])
def test_no_other_choice_has_fewer(points, within_mm):
    from wareboard.pot.outlines import smooth_outline

    traced = stationing.thinned(np.array(smooth_outline(points, frozenset())[0]), 160)
    places = np.linspace(0, len(traced) - 1, 13).round().astype(int).tolist()
    found = fewest_places(traced, places, within_mm)
    inner, least = places[1:-1], None
    for count in range(len(inner) + 1):
        if any(
            stationing._misses(traced, [places[0], *chosen, places[-1]], set()).max() <= within_mm
            for chosen in combinations(inner, count)
        ):
            least = count + 2
            break
    assert (len(found) if found else None) == least


def test_where_none_does_none_is_found():
    turn = np.linspace(0.0, 3.0, 61)
    arc = np.column_stack((50.0 * np.cos(turn) + 60.0, 50.0 * np.sin(turn)))
    assert fewest_places(arc, [0, 30, 60], 0.01) is None


def test_six_stations_do_where_adding_one_after_another_ends_at_seven(monkeypatch):
    from tests.unit.test_stationing import drawn

    traced = drawn(SIDES[0])
    fitted = stationing.fewest_stations(traced, 0.4)
    assert len(fitted.stations.names) == 6 and fitted.largest_miss_mm <= 0.4
    monkeypatch.setattr(stationing, "_shortest", lambda traced, picked, corners, aim: picked)
    assert len(stationing.fewest_stations(traced, 0.4).stations.names) > 6
