"""Two drying pieces read, trimmed and fired, against 200,000 simulated pairs and handbook values.

Source: numpy simulation of the pieces themselves: they are thrown, dry, are read with calipers and a scale, are
trimmed to what the design's formula says, and are fired; no room of ours has a part in it. Inverse variance: textbook.
Shrinkage limits: Das, Principles of Geotechnical Engineering, 9th ed., Problems 4.10 and 4.11 (read).
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import optimize, stats
from wareboard.figures.resting import bearing_spreads_mm
from wareboard.pot.clay import make_body
from wareboard.pot.fits import Fit, Side, Spreads, fit_figures, with_aim
from wareboard.pot.match import match_parts
from wareboard.pot.mends import Tools, aim_range, mends
from wareboard.pot.moisture import (
    Calipered,
    Readings,
    SizeAboveThrown,
    SizeBelowDry,
    Weighing,
    drying_shrinkage_at_water,
    mass_share_at_shrinkage,
    shrinkage_at_mass_share,
    shrunk_by_size,
    shrunk_by_weight,
)

from tests.every import every

PAIRS = 200_000
WATER, DENSITY, LEATHER, DRY, FIRED, UP = 0.215, 1.93, 0.03, 0.06, 0.12, 1.03
CALIPERS, TRIMMING, SHRINKAGE, WEIGHTS = 0.3, 0.25, 0.0015, 0.015
RULER, SCALE = 0.5, 2.0
AIM, LEAST, MOST = 1.4, 0.5, 2.6
JAR_MM, JAR_G, LID_G, LEFT_ON = 87.5, 510.0, 135.0, 2.06
JAR_NOW, LID_NOW = 0.025, 0.033  # what each has shrunk when it is read
GOAL_WET = (JAR_MM * (1 - FIRED) - AIM) / (1 - FIRED)
CLAY = make_body(
    water_share=WATER, line={"leather-hard": LEATHER, "dry": DRY, "fired": FIRED}, height_factor=UP, wet_density_g_cm3=DENSITY
)  # fmt: skip
SPREADS = Spreads(CALIPERS, TRIMMING, 0.4, SHRINKAGE)
FIT = with_aim(Fit(Side(JAR_MM, CLAY, SPREADS), Side(GOAL_WET, CLAY, SPREADS), AIM, LEAST, MOST, pairing="own"), AIM)


def weight_left(shrunk):
    """Weight over weight as thrown: each cm³ that it shrank by is a gram of water."""
    return 1 - (1 - (1 - shrunk) ** 2 * (1 - shrunk * UP)) / DENSITY


GRID = np.linspace(0.0, DRY, 4001)
GRID_WEIGHT = weight_left(GRID)


def shrunk_of(weight_share):
    return np.interp(weight_share, GRID_WEIGHT[::-1], GRID[::-1])


def slope(shrunk):
    return DENSITY / ((1 - shrunk) * (2 * (1 - shrunk * UP) + UP * (1 - shrunk)))


class Pieces:
    """Many pieces of one kind, thrown and dried so far."""

    def __init__(self, dice, size_mm, mass_g, shrunk):
        self.usual_mm, self.usual_g = size_mm, mass_g
        self.thrown_mm = size_mm + dice.normal(0, CALIPERS, PAIRS)
        self.thrown_g = mass_g * (1 + dice.normal(0, WEIGHTS, PAIRS))
        self.now_mm = self.thrown_mm * (1 - shrunk) + dice.normal(0, RULER / 2, PAIRS)
        self.now_g = self.thrown_g * weight_left(shrunk) + dice.normal(0, SCALE / 2, PAIRS)
        self.end = FIRED + dice.normal(0, SHRINKAGE, PAIRS)

    def by_size(self):
        found = 1 - self.now_mm / self.usual_mm
        return found, np.hypot(CALIPERS * (1 - found), RULER / 2) / self.usual_mm

    def by_weight(self):
        share = self.now_g / self.usual_g
        found = shrunk_of(share)
        return found, np.hypot(SCALE / 2, WEIGHTS * self.usual_g * share) / self.usual_g * slope(found)

    def as_thrown(self, how):
        """The size as thrown, by what the sheet says and by what is read at this dryness."""
        if how != "both":
            return self.usual_mm
        shrunk, sd = self.by_weight()
        back, back_sd = self.now_mm / (1 - shrunk), np.hypot(RULER / 2, self.now_mm * sd / (1 - shrunk)) / (1 - shrunk)
        return (self.usual_mm / CALIPERS**2 + back / back_sd**2) / (1 / CALIPERS**2 + 1 / back_sd**2)

    def shrunk(self, how):
        if how != "both":
            return (self.by_size if how == "calipers" else self.by_weight)()[0]
        (a, sa), (b, sb) = self.by_size(), self.by_weight()
        return (a / sa**2 + b / sb**2) / (1 / sa**2 + 1 / sb**2)


def fired_clearances(how, seed=47):
    dice = np.random.default_rng(seed)
    jars = Pieces(dice, JAR_MM, JAR_G, JAR_NOW)
    lids = Pieces(dice, GOAL_WET + LEFT_ON, LID_G, LID_NOW)
    to_mm = (jars.as_thrown(how) * (1 - FIRED) - AIM) / (1 - FIRED) * (1 - lids.shrunk(how))
    turned = to_mm + dice.normal(0, TRIMMING, PAIRS)
    return jars.thrown_mm * (1 - jars.end) - turned * (1 - lids.end) / (1 - LID_NOW), to_mm


def readings(size_mm, mass_g, shrunk, how):
    weight = Weighing(mass_g, mass_g * weight_left(shrunk), mass_g * WEIGHTS, SCALE / 2)
    size = Calipered(size_mm, size_mm * (1 - shrunk), CALIPERS, RULER / 2)
    return Readings(weight if how != "calipers" else None, size if how != "weight" else None)


@every("how", ["calipers", "weight", "both"])
def test_pieces_read_trimmed_and_fired(how):
    found = match_parts(
        FIT, readings(JAR_MM, JAR_G, JAR_NOW, how), readings(GOAL_WET + LEFT_ON, LID_G, LID_NOW, how), step_g=SCALE
    )
    clearances, to_mm = fired_clearances(how)
    assert found.verdict.action == "trim"
    assert found.trim_outside_to_mm == pytest.approx(to_mm.mean(), abs=0.03)
    assert clearances.mean() == pytest.approx(AIM, abs=0.03)
    # the joint estimate of size and dryness is taken as two, which it is not quite where both are read
    assert found.fired_plus_minus_mm == pytest.approx(clearances.std(), rel=0.03)
    binds = stats.norm.cdf(LEAST, AIM, found.fired_plus_minus_mm)
    assert binds == pytest.approx(np.mean(clearances < LEAST), abs=0.012)


def test_what_a_reading_is_worth_against_many_readings():
    dice = np.random.default_rng(48)
    lids = Pieces(dice, GOAL_WET + LEFT_ON, LID_G, LID_NOW)
    for how in ("calipers", "weight", "both"):
        found = match_parts(
            FIT, readings(JAR_MM, JAR_G, JAR_NOW, how), readings(GOAL_WET + LEFT_ON, LID_G, LID_NOW, how), step_g=SCALE
        ).outside
        assert found.shrunk_share == pytest.approx(LID_NOW, abs=1e-6)
        assert found.shrunk_plus_minus == pytest.approx(lids.shrunk(how).std(), rel=0.03), how


def test_left_play_of_pairs_that_wait():
    # Weighed alone, so wet a jar waits for its lid; then the card's play is left on it.
    wet = 0.024
    found = match_parts(FIT, readings(JAR_MM, JAR_G, wet, "weight"), readings(0, LID_G, 0.04, "weight"), step_g=SCALE)
    assert (found.state, found.verdict.action, found.verdict.part) == ("binds", "wait", "inside")
    dice = np.random.default_rng(49)
    jars, lids = Pieces(dice, JAR_MM, JAR_G, wet), Pieces(dice, GOAL_WET, LID_G, 0.04)
    play = (JAR_MM - GOAL_WET) * (1 - LEATHER)
    # what is true of the dryness lies about what the weights say as they lie about the truth
    jar_now, lid_now = 2 * wet - jars.by_weight()[0], 2 * 0.04 - lids.by_weight()[0]
    turned = JAR_MM * (1 - jar_now) - play + dice.normal(0, TRIMMING, PAIRS)
    clearances = JAR_MM * (1 - jars.end) - turned * (1 - lids.end) / (1 - lid_now)
    assert found.fired_mm == pytest.approx(
        clearances.mean(), abs=0.04
    )  # weights to shrinkage is not quite a straight line
    assert found.waited_plus_minus_mm == pytest.approx(clearances.std(), rel=0.03)


# ---- handbook values ----


@every(
    "wet_g, wet_cm3, dry_g, dry_cm3, limit",
    [(37.0, 19.3, 28.0, 16.0, 20.36), (47.5, 20.6, 34.6, 13.8, 17.63)],
)
def test_shrinking_stops_at_the_handbooks_limit(wet_g, wet_cm3, dry_g, dry_cm3, limit):
    line = 1 - (dry_cm3 / wet_cm3) ** (1 / 3)
    water, density = (wet_g - dry_g) / wet_g, wet_g / wet_cm3
    clay = make_body(
        water_share=water, wet_density_g_cm3=density, line={"dry": line, "fired": line}, grain_density_g_cm3=9
    )
    stops_g = dry_g * (1 + limit / 100)
    assert mass_share_at_shrinkage(clay, line) * wet_g == pytest.approx(stops_g, abs=0.005)
    assert shrinkage_at_mass_share(clay, stops_g * 1.02 / wet_g) < line
    assert shrinkage_at_mass_share(clay, stops_g * 0.98 / wet_g) == pytest.approx(line)
    # sheet, match and other water know one critical water, whatever air is in the clay
    assert clay.critical_water_share == pytest.approx(limit / (100 + limit), abs=5e-5)
    assert drying_shrinkage_at_water(clay, clay.critical_water_share) == pytest.approx(0.0, abs=1e-9)


def test_a_typed_density_leaves_one_critical_water():
    # clay thrown with 2 % of air: sheet, match and --water agree, and the air is told apart
    clay = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}, wet_density_g_cm3=1.895)
    stopped = mass_share_at_shrinkage(clay, 0.06)
    left = (stopped - (1 - 0.215)) / stopped
    assert clay.critical_water_share == pytest.approx(left, rel=1e-9)
    assert clay.air_share == pytest.approx(1 - 1.895 / (1 / (0.215 + 0.785 / 2.6)), rel=1e-9)


# ---- mends ----


def shares_at(aim, fit):
    """Shares of a normal spread under least and over most, from the fit's terms, worked here."""
    inside, outside = fit.inside, fit.outside
    wet = (inside.wet_mm * (1 - FIRED) - aim) / (1 - FIRED)
    after = (FIRED - LEATHER) / FIRED / (1 - LEATHER)
    terms = [
        outside.spreads.trimming_mm * (1 - FIRED) / (1 - LEATHER),
        SHRINKAGE * inside.wet_mm * after,
        SHRINKAGE * wet * after,
    ]
    sigma = np.sqrt(np.square(terms).sum())
    return stats.norm.cdf(fit.least_mm, aim, sigma), stats.norm.sf(fit.most_mm, aim, sigma)


def test_aims_that_mend_a_fit_end_where_scipy_finds_the_limit():
    tight = replace(FIT, least_mm=0.5, most_mm=2.4)
    found = aim_range(with_aim(tight, 0.6), 0.01)
    low = optimize.brentq(lambda aim: shares_at(aim, tight)[0] - 0.01, 0.51, 2.0)
    high = optimize.brentq(lambda aim: shares_at(aim, tight)[1] - 0.01, 1.0, 2.39)
    assert (found.low_mm, found.high_mm) == pytest.approx((low, high), abs=1e-6)


def test_the_largest_cause_is_enough_as_said_and_not_a_little_more():
    loose_hand = replace(FIT.outside, spreads=replace(SPREADS, trimming_mm=0.5))
    fit = replace(FIT, outside=loose_hand)
    found = mends(fit, 0.01).largest
    assert found.name == "trimming" and found.now == (0.5,)
    needed = optimize.brentq(
        lambda sd: shares_at(AIM, replace(fit, outside=replace(loose_hand, spreads=replace(SPREADS, trimming_mm=sd))))[0] - 0.01,
        0.01, 0.6,
    )  # fmt: skip
    assert found.needed[0] == pytest.approx(needed, abs=1e-6) and found.say[0] <= needed


@every(
    ("cause", "change", "unit_mm"),
    [
        ("shrinkage", {"shrinkage_share": 0.0045}, 1.0),
        ("shrinkage", {"shrinkage_share": 0.0045}, 25.4),
        ("trimming", {"trimming_mm": 0.5}, 1.0),
        ("trimming", {"trimming_mm": 0.5}, 25.4),
    ],
)
def test_what_would_mend_is_said_to_two_digits_of_its_own_unit(cause, change, unit_mm):
    """Worked: down to two digits of what is needed; a length in mm or inches, a shrinkage in points of the wet length."""
    uneven = replace(SPREADS, **change)
    fit = replace(FIT, inside=replace(FIT.inside, spreads=uneven), outside=replace(FIT.outside, spreads=uneven))
    found = mends(fit, 0.01, Tools(unit_mm=unit_mm)).largest
    unit = unit_mm if cause == "trimming" else 1.0
    assert found.name == cause and set(found.now) == set(change.values())
    for needed, said in zip(found.needed, found.say):
        digits = 10.0 ** (1 - np.floor(np.log10(needed / unit)))
        assert said / unit == pytest.approx(np.floor(needed / unit * digits) / digits, rel=1e-9)


def test_own_pairing_against_pairs_that_are_tried_on_each_other():
    dice = np.random.default_rng(50)
    jars, lids = Pieces(dice, JAR_MM, JAR_G, LEATHER), Pieces(dice, GOAL_WET, LID_G, LEATHER)
    now = lambda pieces: LEATHER * pieces.end / FIRED  # off by the same share at every stage
    turned = jars.thrown_mm * (1 - now(jars)) - (JAR_MM - GOAL_WET) * (1 - LEATHER) + dice.normal(0, TRIMMING, PAIRS)
    clearances = jars.thrown_mm * (1 - jars.end) - turned * (1 - lids.end) / (1 - now(lids))
    assert fit_figures(FIT).spread_mm == pytest.approx(clearances.std(), rel=0.006)
    # or by what the studio says of drying and firing after trimming
    said = replace(SPREADS, drying_share=0.0005, firing_share=0.001)
    fit = replace(FIT, inside=replace(FIT.inside, spreads=said), outside=replace(FIT.outside, spreads=said))
    after = [np.hypot(*dice.normal(0, [[0.0005], [0.001]], (2, PAIRS))) * dice.choice((-1, 1), PAIRS) for _ in range(2)]
    turned = JAR_MM * (1 - LEATHER) - (JAR_MM - GOAL_WET) * (1 - LEATHER) + dice.normal(0, TRIMMING, PAIRS)
    clearances = JAR_MM * (1 - FIRED - after[0]) - turned * (1 - FIRED - after[1]) / (1 - LEATHER)
    assert fit_figures(fit).spread_mm == pytest.approx(clearances.std(), rel=0.006)


def test_a_play_that_was_measured_is_as_doubtful_as_its_readings():
    """JCGM 100:2008, 5.1.2 (from memory): root sum of squares of each reading's doubt times what a little of it changes.

    Differences are taken by reading other sizes; what shrinks otherwise from piece to piece is the wet length times its share.
    """
    clay = make_body(water_share=0.215, line={"leather-hard": 0.03, "dry": 0.06, "fired": 0.12})
    spreads = Spreads(calipers_mm=0.0, trimming_mm=0.4, shrinkage_share=0.0012)
    fit = with_aim(Fit(Side(100.0, clay, spreads), Side(98.0, clay, spreads), 1.2, 0.5, 2.4, pairing="own"), 1.2)

    def found(jar=97.2, lid=96.1, play=1.5):
        read = (
            Readings(size=Calipered(thrown, now, 0.0, off))
            for thrown, now, off in ((100.0, jar, 0.2), (99.0, lid, 0.25))
        )
        return match_parts(fit, *read, measured_mm=play, measured_deviation_mm=0.1)

    step, doubts = 1e-4, {"jar": 0.2, "lid": 0.25, "play": 0.1}
    at = {"jar": 97.2, "lid": 96.1, "play": 1.5}
    terms = [
        doubt * (found(**{name: at[name] + step}).fired_mm - found(**{name: at[name] - step}).fired_mm) / 2.0 / step
        for name, doubt in doubts.items()
    ]
    lid_wet = (97.2 - 1.5) / (96.1 / 99.0)
    own = [wet * 0.0012 for wet in (100.0, lid_wet)]
    assert found().verdict.action == "leave"
    assert found().fired_plus_minus_mm == pytest.approx(float(np.linalg.norm([*terms, *own])), rel=2e-3)


def test_a_size_that_no_drying_makes_is_refused_and_a_misreading_is_not():
    """Worked: a piece 100 mm as thrown is 100 to 94 mm until bone dry; calipers that are 0.1 mm off may say a little more or less."""
    read = lambda now: shrunk_by_size(CLAY, Calipered(100.0, now, 0.0, 0.1), "inside")[0]
    assert read(100.15) == 0.0 and read(93.85) == pytest.approx(DRY)
    for now, refusal in ((100.6, SizeAboveThrown), (93.4, SizeBelowDry)):
        with pytest.raises(refusal):
            read(now)


def test_of_a_bone_dry_piece_weight_tells_only_that_it_might_not_be():
    """This file's own model of drying: by how much less it would have shrunk, were its share one deviation more."""
    dry_share = weight_left(DRY)
    now_g = 500.0 * dry_share
    doubt = np.hypot(1.5, 4.0 * dry_share) / 500.0 - 0.01 / 500.0
    shrunk, deviation = shrunk_by_weight(CLAY, Weighing(500.0, now_g - 0.01, 4.0, 1.5), "inside", 1.0)
    assert shrunk == pytest.approx(DRY) and deviation == pytest.approx(DRY - shrunk_of(dry_share + doubt), rel=2e-3)


def test_where_only_drying_is_known_the_fire_spreads_as_the_rest_does():
    """Worked, term by term: a pair tried on each other at leather-hard; drying as it was said, and of the shrinkage's own spread the
    part that comes between dry and fired."""
    said = replace(SPREADS, drying_share=0.0005, firing_share=None)
    fit = replace(FIT, inside=replace(FIT.inside, spreads=said), outside=replace(FIT.outside, spreads=said))
    terms = [TRIMMING * (1 - FIRED) / (1 - LEATHER)]
    for wet in (JAR_MM, fit.outside.wet_mm):
        terms += [wet * 0.0005, wet / (1 - LEATHER) * (FIRED - DRY) / FIRED * SHRINKAGE]
    assert fit_figures(fit).spread_mm == pytest.approx(float(np.linalg.norm(terms)), rel=1e-9)


def test_what_bears_is_off_by_its_tool_where_it_is_used_and_by_its_own_shrinkage():
    """Worked: calipers wet, turning leather-hard, each brought to fired; shrinkage's spread times the diameter wet."""
    seat = SimpleNamespace(inner_mm=33.0, outer_mm=37.8)
    found = bearing_spreads_mm(FIT, seat)
    set_mm = CALIPERS * (1 - FIRED), TRIMMING * (1 - FIRED) / (1 - LEATHER)
    wet = [2.0 * radius / (1 - FIRED) for radius in (33.0, 37.8)]
    assert found == pytest.approx([np.hypot(mm, SHRINKAGE * across) for mm, across in zip(set_mm, wet)], rel=1e-9)


@every("jar_now, lid_now", [(0.045, 0.036), (0.02, 0.058)])
def test_of_what_drying_spreads_a_piece_has_as_much_before_it_as_it_has_of_drying(jar_now, lid_now):
    drying, firing = 0.002, 0.001
    rng = np.random.default_rng(3)

    def fired(wet_mm, now):
        left = min(1.0, (DRY - now) / (DRY - LEATHER))  # trimmed leather-hard: what strayed before is cut off
        return wet_mm * (1 - FIRED - rng.normal(0, drying, PAIRS) * left - rng.normal(0, firing, PAIRS))

    simulated = np.std(fired(JAR_MM, jar_now) - fired(GOAL_WET, lid_now))
    spreads = Spreads(0.0, 0.0, 0.0, 0.0, drying, firing)
    fit = with_aim(
        Fit(Side(JAR_MM, CLAY, spreads), Side(GOAL_WET, CLAY, spreads), AIM, LEAST, MOST, pairing="own"), AIM
    )
    read = lambda thrown, now: Readings(size=Calipered(thrown, thrown * (1 - now)))
    found = match_parts(fit, read(JAR_MM, jar_now), read(GOAL_WET + LEFT_ON, lid_now))
    assert found.fired_plus_minus_mm == pytest.approx(simulated, rel=0.01)
