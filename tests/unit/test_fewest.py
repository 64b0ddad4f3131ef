"""The fewest stations are the fewest: tried against every choice of places that there is."""

from itertools import combinations

import numpy as np
from wareboard.pot import stationing
from wareboard.pot.stationing import fewest_places

from tests.every import every

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
