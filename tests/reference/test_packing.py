"""Pieces on boards and shelves, against the best known packings of circles and against plain rows.

Best of square and hexagonal rows in an n × n square: OEIS A376215. Side over diameter of the best known packings of 2 to 9
circles in a square: Graham; Pirl; Schaer (from memory). Least side for n circles of radius one, proven: 2 3.414, 5 4.828,
10 6.747, 13 7.463, 20 8.978 (read in a table of packings).
"""

import random
from math import floor

from wareboard.pot.kilnloads import Oven, Piece, fill_tiers, least_loads, stack_tiers
from wareboard.pot.packing import Footprint, faults_on, fill_shelf, pieces_on

from tests.every import every

OEIS_A376215 = (1, 4, 9, 16, 25, 36, 49, 68, 85, 105, 126, 150)
LEAST_SIDE = {2: 1.7071, 3: 1.9319, 4: 2.0, 5: 2.4142, 6: 2.6009, 7: 2.7321, 8: 2.9319, 9: 3.0}
LEAST_SIDE_RADII = {2: 3.414, 5: 4.828, 10: 6.747, 13: 7.463, 20: 8.978}
ROUND = Footprint(1.0, 1.0)


@every(("side", "count"), [*enumerate(OEIS_A376215, 1)])
def test_square_and_staggered_rows_are_the_published_sequence(side, count):
    assert pieces_on(float(side), float(side), ROUND, 0.0) == count


@every(("count", "side"), [*LEAST_SIDE.items(), *((n, side / 2.0) for n, side in LEAST_SIDE_RADII.items())])
def test_never_more_than_the_best_known_packing(count, side):
    assert pieces_on(side - 0.002, side - 0.002, ROUND, 0.0) < count


@every("count", (4, 5, 9))
def test_where_rows_are_best_they_are_found(count):
    assert pieces_on(LEAST_SIDE[count] + 1e-4, LEAST_SIDE[count] + 1e-4, ROUND, 0.0) == count


@every(
    ("length", "width", "across", "gap", "count"),
    [
        (1200.0, 100.0, 90.0, 20.0, 11),
        (1200.0, 90.0, 90.0, 0.0, 13),
        (500.0, 450.0, 100.0, 0.0, 23),
        (100.0, 100.0, 101.0, 0.0, 0),
        (90.0, 90.0, 90.0, 50.0, 1),
    ],
)
def test_simple_boards(length, width, across, gap, count):
    """One row is length + gap over pitch; the third: staggered, five rows of five and four (rows √3/2 apart) in 450."""
    assert pieces_on(length, width, Footprint(across, across), gap) == count
    if width < 2.0 * across * 0.9 and width >= across:
        assert count == floor((length + gap) / (across + gap))


def test_a_handle_takes_its_width_one_way_only():
    mug = Footprint(120.0, 80.0)
    assert pieces_on(480.0, 160.0, mug, 0.0) == 8
    assert pieces_on(480.0, 160.0, Footprint(120.0, 120.0), 0.0) == 4


@every("seed", range(40))
def test_mixed_shelves_never_overlap_and_never_reach_over_the_edge(seed):
    draw = random.Random(seed)
    length, width, gap = draw.uniform(200, 700), draw.uniform(200, 700), draw.choice((0.0, 5.0, 8.0, 20.0))
    footprints = {}
    for kind in range(draw.randint(1, 5)):
        across = draw.uniform(40, 220)
        footprints[kind] = Footprint(across, across if draw.random() < 0.6 else across * draw.uniform(0.6, 1.0))
    kinds = tuple((kind, footprint, draw.randint(1, 40)) for kind, footprint in footprints.items())
    placed = fill_shelf(length, width, kinds, gap)
    assert faults_on(length, width, footprints, placed, gap) == 0
    for kind, _, count in kinds:
        assert sum(piece.kind == kind for piece in placed) <= count


def test_the_check_itself_sees_an_overlap_and_an_edge():
    from wareboard.pot.packing import Placed

    cup = {0: Footprint(90.0, 90.0)}
    assert faults_on(300.0, 100.0, cup, (Placed(0, 50.0, 50.0, False), Placed(0, 142.0, 50.0, False)), 5.0) == 1
    assert faults_on(300.0, 100.0, cup, (Placed(0, 44.0, 50.0, False),), 5.0) == 1


@every("seed", range(20))
def test_loads_hold_what_fits_and_no_fewer_than_the_area_bound(seed):
    draw = random.Random(seed)
    props = draw.choice(({}, {80.0: 3, 120.0: 3, 150.0: 4}, {150.0: 1000}))
    oven = Oven(500.0, 450.0, 700.0, draw.randint(1, 6), 15.0, 8.0, 10.0, props)
    pieces = []
    for _ in range(draw.randint(1, 6)):
        across = draw.uniform(50, 200)
        pieces.append(Piece(Footprint(across, across), draw.uniform(20, 300), draw.randint(1, 60)))
    loads = stack_tiers(fill_tiers(pieces, oven), oven)
    for load in loads:
        assert len(load.tiers) <= oven.tiers
        high = sum(15.0 + (prop or tier.clear_mm) for tier, prop in zip(load.tiers, load.props_mm, strict=True))
        assert high <= 700.0 + 1e-6
        for tier, prop in zip(load.tiers[:-1], load.props_mm, strict=False):
            assert prop >= tier.clear_mm - 1e-9
            assert not props or prop in props
        for height, count in props.items():
            assert sum(prop == height for prop in load.props_mm) <= count
        for tier in load.tiers:
            assert (
                faults_on(500.0, 450.0, {k: piece.footprint for k, piece in enumerate(pieces)}, tier.placed, 8.0) == 0
            )
            assert all(pieces[placed.kind].height_mm + 10.0 <= tier.clear_mm + 1e-9 for placed in tier.placed)
    for kind, piece in enumerate(pieces):
        assert (
            sum(placed.kind == kind for load in loads for tier in load.tiers for placed in tier.placed) == piece.count
        )
    assert len(loads) >= least_loads(pieces, oven)


def test_the_bound_on_loads_is_worked_with_a_gap_at_no_edge():
    """Worked: π × 130² / 4 × 100 = 1.327e6 mm³ each, in 540 × 490 × 700 = 185.2e6 mm³: 139 at the most, and so 140 in two."""
    oven = Oven(500.0, 450.0, 700.0, 7, 0.0, 40.0, 0.0)
    for count, loads in ((139, 1), (140, 2), (279, 2), (280, 3)):
        assert least_loads([Piece(Footprint(90.0, 90.0), 100.0, count)], oven) == loads
