"""Water, density and porosity against numbers from outside.

Sources, each beside its check:
- Das, Principles of Geotechnical Engineering, 9th ed., problems 4.10 and 4.11 (read; the
  answers of 4.11 worked).
- ASTM C373 (formulas from memory; absorption on the dry weight also read in ASTM C242).
- A laboratory table of water on the wet and on the dry weight (read).
"""

import pytest
from scipy import optimize, stats
from wareboard.pot.clay import (
    Body,
    apparent_density_g_cm3,
    open_porosity_share,
    saturated_density_g_cm3,
    shrinkage_at_volume_scale,
    water_of_dry_share,
)
from wareboard.pot.moisture import drying_shrinkage_at_water, mass_share_at_shrinkage, shrinkage_at_mass_share
from wareboard.pot.samples import mean_interval, student_t_quantile
from wareboard.text.projects import read_project

from tests.every import every


@every("wet, dry, digits", [(15, 17.6, 0.05), (25, 33.3, 0.05), (5, 5.26, 0.005)])
def test_water_on_the_dry_weight(wet, dry, digits):
    # Source: conversion table (read).
    assert 100 * water_of_dry_share(wet / 100) == pytest.approx(dry, abs=digits)


@every("wet, dry, digits", [(15, 17.6, 0.05), (25, 33.3, 0.05), (5, 5.26, 0.005)])
def test_water_typed_on_the_dry_weight(wet, dry, digits):
    # Source: the same table, the other way; soil mechanics and drying ovens give water on the dry weight.
    clay = "title: Buff\nwater: {}\nshrinkage: {{dry: 2 %, fired: 12 %}}\n"
    read = {
        f"specs/clays/{name}.yaml": clay.format(typed)
        for name, typed in (("wet", f"{wet} %"), ("dry", f"{dry} % of dry"))
    }
    clays = read_project(read).clays
    assert clays["dry"].water.value == pytest.approx(clays["wet"].water.value, abs=digits / 100)


@every("of_dry, density", [(0.20, 2.053), (0.22, 2.018), (0.25, 1.970), (0.28, 1.926), (0.30, 1.899)])
def test_density_of_saturated_clay(of_dry, density):
    # Source: worked: (1 + w) / (1/2.6 + w), w on the dry weight.
    assert saturated_density_g_cm3(of_dry / (1 + of_dry), 2.6) == pytest.approx(density, abs=0.0005)


def saturated_body(wet_g, wet_cm3, dry_g, dry_cm3):
    """A body measured in a dish: saturated when wet, so the grains fill what water does not."""
    dry_share = shrinkage_at_volume_scale(dry_cm3 / wet_cm3)
    return Body(
        shrinkage=(0.0, dry_share / 2, dry_share, dry_share, dry_share),
        water_share=1 - dry_g / wet_g,
        grain_density_g_cm3=dry_g / (wet_cm3 - (wet_g - dry_g)),
        wet_density_g_cm3=wet_g / wet_cm3,
    )


# Source: Das, problems 4.10 (read: limit 20.36 % of dry weight, ratio 1.75) and 4.11 (data
# read; 17.63 % and 2.507 worked).
DISHES = [((37.0, 19.3, 28.0, 16.0), 20.36, 1.75), ((47.5, 20.6, 34.6, 13.8), 17.63, 2.507)]


@every("dish, limit, ratio", DISHES)
def test_shrinkage_limit(dish, limit, ratio):
    body = saturated_body(*dish)
    assert 100 * water_of_dry_share(body.critical_water_share) == pytest.approx(limit, abs=0.01)
    assert body.bulk_density_g_cm3("dry") == pytest.approx(ratio, abs=0.0005)


@every("dish, limit, ratio", DISHES)
def test_a_dish_stops_shrinking_at_its_limit(dish, limit, ratio):
    wet_g, wet_cm3, dry_g, dry_cm3 = dish
    body = saturated_body(*dish)
    at_limit = dry_g * (1 + limit / 100) / wet_g
    dry_share = 1 - (dry_cm3 / wet_cm3) ** (1 / 3)
    # half a gram of water before the limit is half a cm³ before the dry volume
    before = 1 - ((dry_cm3 + 0.5) / wet_cm3) ** (1 / 3)
    assert shrinkage_at_mass_share(body, at_limit + 0.5 / wet_g) == pytest.approx(before, abs=1e-4)
    assert shrinkage_at_mass_share(body, at_limit - 0.5 / wet_g) == pytest.approx(dry_share, abs=1e-12)
    assert mass_share_at_shrinkage(body, dry_share) == pytest.approx(at_limit, abs=1e-4)


@every("dish, limit, ratio", DISHES)
def test_a_dish_wetted_to_other_water(dish, limit, ratio):
    # Source: worked from the dish: a gram of water more is a cm³ more, the dry volume stays.
    wet_g, wet_cm3, dry_g, dry_cm3 = dish
    softer = drying_shrinkage_at_water(saturated_body(*dish), 1 - dry_g / (wet_g + 2.0))
    assert softer == pytest.approx(1 - (dry_cm3 / (wet_cm3 + 2.0)) ** (1 / 3), abs=1e-12)


def test_absorption_and_porosity():
    # Source: ASTM C373 (formulas from memory), D 50.00, S 29.00, M 51.25 (worked).
    absorption, bulk = (51.25 - 50.0) / 50.0, 50.0 / (51.25 - 29.0)
    assert (100 * absorption, bulk) == pytest.approx((2.5, 2.247), abs=0.0005)
    assert 100 * open_porosity_share(absorption, bulk) == pytest.approx(5.618, abs=0.0005)
    assert apparent_density_g_cm3(absorption, bulk) == pytest.approx(2.381, abs=0.0005)


@every("height_factor", [0.8, 1.0, 1.03, 1.5])
@every("volume", [0.999999, 0.9, 0.66, 0.3])
def test_volume_equation_against_scipy(volume, height_factor):
    # Source: scipy.optimize.brentq.
    top = min(1.0, 1.0 / height_factor)
    root = optimize.brentq(lambda s: (1 - s) ** 2 * (1 - s * height_factor) - volume, 0, top, xtol=1e-15)
    assert shrinkage_at_volume_scale(volume, height_factor) == pytest.approx(root, abs=1e-12)


@every("freedoms", [1, 2, 3, 4, 9, 10, 29, 120, 501])
@every("share", [0.001, 0.3, 0.5, 0.9, 0.975, 0.9995])
def test_student_t_against_scipy(share, freedoms):
    # Source: scipy.stats.t.
    assert student_t_quantile(share, freedoms) == pytest.approx(stats.t.ppf(share, freedoms), rel=1e-9, abs=1e-12)


def test_interval_of_a_mean_against_scipy():
    # Source: scipy.stats.t.interval; the sample is invented.
    sample = [0.118, 0.121, 0.1195, 0.1202, 0.1175]
    low, high = stats.t.interval(0.95, 4, loc=sum(sample) / 5, scale=stats.sem(sample))
    found = mean_interval(sample)
    assert (found.mean - found.half_width, found.mean + found.half_width) == pytest.approx((low, high))
