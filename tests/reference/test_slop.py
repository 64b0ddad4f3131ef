"""Glaze slop against numbers from outside.

Sources, each beside its check:
- Brongniart, Traité des Arts Céramiques, vol. 1, 1854, p. 249 (second-hand).
- Cardew, Pioneer Pottery, p. 269, the same in imperial pints and ounces (second-hand).
- A printed table at grain density 2.6 and worked examples in makers' notes (read).
"""

import pytest
from wareboard.pot.glaze import dry_glaze_kg_per_l, slop_ml, water_kg_per_dry_kg

from tests.every import every


@every(
    "slop, dry_g",
    [(1.05, 81), (1.10, 162), (1.20, 325), (1.30, 487), (1.40, 650), (1.45, 731), (1.50, 812),
     (1.60, 975), (1.70, 1137)],
)  # fmt: skip
def test_printed_table(slop, dry_g):
    # Source: printed table at G = 2.6 (read); it cuts halves down, so ±1.
    assert 1000 * dry_glaze_kg_per_l(slop, 2.6) == pytest.approx(dry_g, abs=1.0)


@every("slop, dry_g, water_g", [(1.5, 833.3, 666.7), (1.75, 1250.0, 500.0)])
def test_worked_litres(slop, dry_g, water_g):
    # Source: makers' notes at G = 2.5 (read).
    dry = dry_glaze_kg_per_l(slop, 2.5)
    assert 1000 * dry == pytest.approx(dry_g, abs=0.05)
    assert 1000 * dry * water_kg_per_dry_kg(slop, 2.5) == pytest.approx(water_g, abs=0.05)


def test_water_to_take_off():
    # Source: makers' notes (read): 14 kg dry from 1.50 to 1.75, take off 5.6 kg.
    off = 14.0 * (water_kg_per_dry_kg(1.5, 2.5) - water_kg_per_dry_kg(1.75, 2.5))
    assert off == pytest.approx(5.6, abs=0.05)


@every("ounces_a_pint", [24.0, 28.0, 32.0])
def test_the_same_in_pints_and_ounces(ounces_a_pint):
    # Source: Cardew (second-hand): W = (P − 20) g/(g − 1). An imperial pint of water is 20 oz.
    dry_ounces = (ounces_a_pint - 20.0) * 2.6 / 1.6
    assert 20.0 * dry_glaze_kg_per_l(ounces_a_pint / 20.0, 2.6) == pytest.approx(dry_ounces)


def test_a_litre_of_slop_holds_the_table_s_dry_glaze():
    # Source: printed table at G = 2.6 (read): 650 g a litre at 1.40.
    assert slop_ml(650.0, 1.40, 2.6) == pytest.approx(1000.0, abs=1.5)
