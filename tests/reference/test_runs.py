"""How many to throw, against printed tables of the binomial distribution, scipy.stats, and a simulation of pairing.

Printed values: cumulative binomial tables, n = 5, p = .1 and n = 10, p = .4, to five places (read in a table of the
distribution). Numbers to have g good at 95 %: worked by hand from the same sums.
"""

import itertools

import numpy as np
import pytest
from scipy import stats
from wareboard.pot.runs import (
    Group,
    PartRun,
    binomial_chances,
    chance_at_least,
    chance_of_sets,
    expected_pairs,
    expected_sets,
    least_clay,
    survival_shares,
)

from tests.every import every

LOSSES = {"throwing": 0.02, "trimming": 0.04, "drying": 0.02, "bisque": 0.02, "glaze": 0.03}
SHARES = survival_shares(LOSSES)
TRIMMED, AFTER = SHARES[1], SHARES[-1] / SHARES[1]


def own(jar_g=545.0, lid_g=140.0, trimmed=TRIMMED, after=AFTER):
    return [Group((PartRun("jar", jar_g, trimmed, after), PartRun("lid", lid_g, trimmed, after)))]


def apart(cup_g=300.0, saucer_g=470.0):
    return [Group((PartRun("cup", cup_g, TRIMMED, AFTER),)), Group((PartRun("saucer", saucer_g, TRIMMED, AFTER),))]


# ---- printed tables ----


@every(
    ("pieces", "share", "cumulative"),
    [(5, 0.1, (0.59049, 0.91854, 0.99144)), (10, 0.4, (0.00605, 0.04636, 0.16729, 0.38228, 0.63310))],
)
def test_cumulative_binomial_is_the_printed_one(pieces, share, cumulative):
    assert np.cumsum(binomial_chances(pieces, share))[: len(cumulative)] == pytest.approx(cumulative, abs=5.1e-6)


@every(("good", "yielded", "thrown"), [(6, 0.9, 8), (12, 0.9, 16), (12, 0.85, 17), (24, 0.9, 30), (24, 0.8, 35)])
def test_numbers_to_have_so_many_good_at_95_per_cent(good, yielded, thrown):
    (throw,) = least_clay([Group((PartRun("cup", 400.0, yielded, 1.0),))], good, [0.95])
    assert throw.pieces == {"cup": thrown}
    assert stats.binom.sf(good - 1, thrown, yielded) >= 0.95 > stats.binom.sf(good - 1, thrown - 1, yielded)


# ---- scipy.stats ----


@every(("pieces", "share"), [*itertools.product((0, 1, 7, 60, 3000), (0.02, 0.5, 0.8765, 1.0))])
def test_binomial_chances_are_scipys(pieces, share):
    assert binomial_chances(pieces, share) == pytest.approx(
        stats.binom.pmf(np.arange(pieces + 1), pieces, share), abs=1e-12
    )
    assert chance_at_least(pieces, share, pieces // 2) == pytest.approx(
        stats.binom.sf(pieces // 2 - 1, pieces, share), abs=1e-12
    )


@every(("sets", "cup", "saucer"), [(1, 1, 2), (10, 13, 12), (300, 351, 347)])
def test_parts_that_go_with_any_survive_apart(sets, cup, saucer):
    expected = stats.binom.sf(sets - 1, cup, SHARES[-1]) * stats.binom.sf(sets - 1, saucer, SHARES[-1])
    assert chance_of_sets(apart(), sets, {"cup": cup, "saucer": saucer}) == pytest.approx(expected, rel=1e-9)
    k = np.arange(0, min(cup, saucer))
    mean = (stats.binom.sf(k, cup, SHARES[-1]) * stats.binom.sf(k, saucer, SHARES[-1])).sum()
    assert expected_sets(apart(), {"cup": cup, "saucer": saucer}) == pytest.approx(mean, rel=1e-9)


def paired_by_sums(sets, jar, lid):
    """The rule of own pairing as it is written: how many of each are trimmed, as many pairs as the fewer, both must come through."""
    j, k = np.arange(jar + 1), np.arange(lid + 1)
    joint = np.outer(stats.binom.pmf(j, jar, TRIMMED), stats.binom.pmf(k, lid, TRIMMED))
    pairs = np.minimum(j[:, None], k[None, :])
    return float((joint * stats.binom.sf(sets - 1, pairs, AFTER**2)).sum()), float((joint * pairs).sum()) * AFTER**2


@every(("sets", "jar", "lid"), [(1, 2, 2), (24, 34, 35), (24, 30, 40), (100, 132, 133)])
def test_own_pairing_is_the_sum_over_all_that_can_be_trimmed(sets, jar, lid):
    chance, mean = paired_by_sums(sets, jar, lid)
    thrown = {"jar": jar, "lid": lid}
    assert chance_of_sets(own(), sets, thrown) == pytest.approx(chance, rel=1e-9)
    assert expected_pairs(own()[0], thrown) == pytest.approx(mean, rel=1e-9)


@every(
    ("confidence", "jar_g", "lid_g"),
    [(0.8, 545.0, 140.0), (0.95, 545.0, 140.0), (0.99, 545.0, 140.0), (0.9, 5000.0, 20.0), (0.95, 100.0, 100.0)],
)
def test_least_clay_is_the_least_of_all_choices(confidence, jar_g, lid_g):
    (throw,) = least_clay(own(jar_g, lid_g), 24, [confidence])
    choices = [
        (jar_g * jar + lid_g * lid, jar + lid)
        for jar, lid in itertools.product(range(24, 46), range(24, 70))
        if paired_by_sums(24, jar, lid)[0] >= confidence
    ]
    assert (throw.balls_g, sum(throw.pieces.values())) == min(choices)


@every(("confidence", "cup_g", "saucer_g"), [(0.9, 300.0, 470.0), (0.95, 300.0, 3000.0)])
def test_least_clay_of_parts_that_go_with_any(confidence, cup_g, saucer_g):
    (throw,) = least_clay(apart(cup_g, saucer_g), 12, [confidence])
    alone = {count: stats.binom.sf(11, count, SHARES[-1]) for count in range(12, 60)}
    choices = [
        (cup_g * cup + saucer_g * saucer, cup + saucer)
        for cup, saucer in itertools.product(alone, alone)
        if alone[cup] * alone[saucer] >= confidence
    ]
    assert (throw.balls_g, sum(throw.pieces.values())) == min(choices)


# ---- a simulation of pairing ----


def test_own_pairing_against_a_simulation():
    draw, runs = np.random.default_rng(11), 200_000
    jar, lid = draw.binomial(34, TRIMMED, runs), draw.binomial(35, TRIMMED, runs)
    # each piece of each pair comes through, or does not, at each stage alone
    pairs = np.minimum(jar, lid)
    for stage in ("drying", "bisque", "glaze"):
        pairs = draw.binomial(pairs, (1.0 - LOSSES[stage]) ** 2)
    error = np.sqrt(0.25 / runs)
    assert chance_of_sets(own(), 24, {"jar": 34, "lid": 35}) == pytest.approx((pairs >= 24).mean(), abs=5.0 * error)
    assert expected_sets(own(), {"jar": 34, "lid": 35}) == pytest.approx(
        pairs.mean(), abs=5.0 * pairs.std() / np.sqrt(runs)
    )


def test_what_is_there_already_against_a_simulation():
    """Twelve pairs are dry; eight jars are trimmed and lids are still wet; three more of each are thrown."""
    draw, runs = np.random.default_rng(5), 200_000
    dry = AFTER / (1.0 - LOSSES["drying"])
    group = Group(
        (PartRun("jar", 545.0, TRIMMED, AFTER, trimmed=8), PartRun("lid", 140.0, TRIMMED, AFTER, thrown=10)),
        ((12, dry**2),),
    )
    jar, lid = 8 + draw.binomial(3, TRIMMED, runs), draw.binomial(13, TRIMMED, runs)
    made = draw.binomial(12, dry**2, runs) + draw.binomial(np.minimum(jar, lid), AFTER**2)
    for sets in (16, 18, 20):
        chance = chance_of_sets([group], sets, {"jar": 3, "lid": 3})
        assert chance == pytest.approx((made >= sets).mean(), abs=5.0 * np.sqrt(0.25 / runs))
    assert expected_pairs(group, {"jar": 3, "lid": 3}) == pytest.approx(made.mean(), abs=0.02)


def test_three_parts_trimmed_to_one_another_against_a_simulation():
    draw, runs = np.random.default_rng(3), 100_000
    pot = [
        Group(
            tuple(PartRun(name, ball, 0.9, 0.95) for name, ball in (("body", 900.0), ("spout", 60.0), ("lid", 120.0)))
        )
    ]
    (throw,) = least_clay(pot, 8, [0.9])
    trimmed = np.min([draw.binomial(count, 0.9, runs) for count in throw.pieces.values()], axis=0)
    made = draw.binomial(trimmed, 0.95**3)
    assert throw.chance == pytest.approx((made >= 8).mean(), abs=5.0 * np.sqrt(0.25 / runs))
    assert throw.chance >= 0.9


@every(
    ("balls", "thrown", "trimmed"),
    [
        ((900.0, 60.0, 120.0), (0, 0, 0), (0, 0, 0)),
        ((100.0, 100.0, 100.0), (0, 0, 0), (0, 0, 0)),
        ((900.0, 60.0, 120.0), (2, 0, 1), (0, 3, 0)),
    ],
)
def test_least_clay_of_three_parts_is_the_least_of_all_choices(balls, thrown, trimmed):
    names = ("body", "spout", "lid")
    parts = zip(names, balls, thrown, trimmed, strict=True)
    pot = [Group(tuple(PartRun(name, ball, 0.85, 0.9, had, ready) for name, ball, had, ready in parts))]
    (throw,) = least_clay(pot, 4, [0.9])
    choices = [
        (sum(ball * count for ball, count in zip(balls, counts, strict=True)), sum(counts))
        for counts in itertools.product(range(13), repeat=3)
        if chance_of_sets(pot, 4, dict(zip(names, counts, strict=True))) >= 0.9
    ]
    assert (throw.balls_g, sum(throw.pieces.values())) == pytest.approx(min(choices))
