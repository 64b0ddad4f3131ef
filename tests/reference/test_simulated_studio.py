"""Does the 95 % interval hold 95 % of next pieces? A studio is simulated, bar by bar and lot by lot.

Source: numpy simulation. Lots, bars and pieces are drawn; the interval is the one that the bars alone give. The next
piece is of a lot that no bar was made of. Bars of one lot can't tell how far lots lie apart: then the rule of thumb
is put to the test that it states, lots as far apart as pieces.
"""

import numpy as np
from wareboard.pot.budgets import Tool, capacity_budget, clearance_budget, size_budget
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side, Spreads, clearance_mm

from tests.every import every

STUDIOS = 800
MEANS = np.array([0.03, 0.06, 0.06, 0.12])
STAGES = ("leather-hard", "dry", "bisque", "fired")
PIECES_SHARE = 0.0015


def simulated(lots, lots_share, dice):
    """Bars with their lots, and one more piece's shrinkages, of a new lot."""
    bars, names = [], []
    for name, count in enumerate(lots):
        lot = dice.normal(0, lots_share)
        for _ in range(count):
            piece = MEANS * (1 + (lot + dice.normal(0, PIECES_SHARE)) / MEANS[-1])
            bars.append({"wet": 100.0, **{stage: 100 * (1 - s) for stage, s in zip(STAGES, piece)}})
            names.append(str(name))
    piece = MEANS * (1 + (dice.normal(0, lots_share) + dice.normal(0, PIECES_SHARE)) / MEANS[-1])
    return bars, names, piece


def covered(lots, lots_share, check):
    dice = np.random.default_rng(sum(lots) * 100 + len(lots))
    hits = 0
    for _ in range(STUDIOS):
        bars, names, piece = simulated(lots, lots_share, dice)
        body = make_body(water_share=0.215, bars=bars, lots=names)
        low, high, value = check(body, piece)
        hits += low <= value <= high
    return hits / STUDIOS


def fired_size(body, piece):
    wet = 80.0 / body.across("fired")  # what the sheet says to throw, for 80 mm fired
    return *size_budget(body, wet, "fired").interval(80.0), wet * (1 - piece[-1])


def dry_height(body, piece):
    wet = 80.0 / body.up("fired")
    return *size_budget(body, wet, "dry", upward=True).interval(wet * body.up("dry")), wet * (1 - piece[1])


def capacity(body, piece):
    return *capacity_budget(body, 300.0).interval(300.0), 300.0 * ((1 - piece[-1]) / body.across("fired")) ** 3


@every("count", [2, 3, 5, 8, 20])
def test_bars_of_one_lot(count):
    assert 0.92 <= covered([count], PIECES_SHARE, fired_size) <= 0.98


@every("lots", [[1, 1], [2, 1], [2, 6], [10, 10], [2, 2, 1], [5] * 4])
@every("lots_share", [0.0008, 0.0015])
def test_bars_of_several_lots(lots, lots_share):
    assert 0.92 <= covered(lots, lots_share, fired_size) <= 0.98


@every("check", [dry_height, capacity])
@every("lots", [[8], [4, 4], [5] * 4])
def test_other_figures(lots, check):
    assert 0.92 <= covered(lots, PIECES_SHARE, check) <= 0.98


CALIPERS, TRIMMING, JAR_MM = 0.15, 0.1, 300.0  # careful hands and wide ware, so that the clay counts


def test_a_size_that_calipers_set():
    dice = np.random.default_rng(61)

    def check(body, piece):
        wet = JAR_MM / body.across("fired")
        budget = size_budget(body, wet, "fired", tools=[Tool("calipers", "wet", CALIPERS)])
        return *budget.interval(JAR_MM), (wet + dice.normal(0, CALIPERS)) * (1 - piece[-1])

    assert 0.92 <= covered([3, 3], PIECES_SHARE, check) <= 0.98


@every("pairing", ["own", "any"])
@every("lots", [[5], [4, 4], [5] * 4])
def test_a_jar_and_a_lid_of_one_lot(lots, pairing):
    # Both are of the next lot: it moves them together. Each has a shrinkage of its own besides, as bars of a lot have;
    # a piece is off by the same share at every stage.
    dice = np.random.default_rng(62)
    hits = 0
    for _ in range(STUDIOS):
        bars, names, _ = simulated(lots, PIECES_SHARE, dice)
        body = make_body(water_share=0.215, bars=bars, lots=names)
        within = next(cause.deviation for cause in body.doubt.at("fired").causes if cause.name == "piece to piece")
        spreads = Spreads(CALIPERS, TRIMMING, 0.0, within, None, None, len(names) - len(set(names)))
        side = Side(JAR_MM / body.across("fired"), body, spreads)
        lid = Side((JAR_MM - 2.0) / body.across("fired"), body, spreads)
        fit = Fit(side, lid, 2.0, 1.0, 3.0, pairing=pairing)
        lot = dice.normal(0, PIECES_SHARE)
        (jar_now, jar_end), (lid_now, lid_end) = (
            [at * (1 + (lot + own) / MEANS[-1]) for at in (MEANS[0], MEANS[-1])]
            for own in dice.normal(0, PIECES_SHARE, 2)
        )
        jar = side.wet_mm + dice.normal(0, CALIPERS)
        trimmed = dice.normal(0, TRIMMING)
        if pairing == "any":  # a set amount is turned off what was thrown to one size
            lid_fired = (lid.wet_mm + trimmed / body.across("leather-hard")) * (1 - lid_end)
        else:
            lid_fired = (
                (jar * (1 - jar_now) - clearance_mm(fit, "leather-hard") + trimmed) * (1 - lid_end) / (1 - lid_now)
            )
        low, high = clearance_budget(fit).interval(clearance_mm(fit, "fired"))
        hits += low <= jar * (1 - jar_end) - lid_fired <= high
    assert 0.92 <= hits / STUDIOS <= 0.98
