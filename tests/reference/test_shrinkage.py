"""Shrinkage against numbers from outside.

Sources, each beside its check:
- ASTM C326-03, drying and firing shrinkage of ceramic whiteware clays (read; clause numbers from memory).
- Florida Geological Survey, 15th Annual Report, pp. 161 and 229 (read).
- A maker's published notes on a measured slab and on a 10 inch piece (read).
"""

import pytest
from wareboard.pot.clay import (
    bar_shrinkages,
    make_body,
    shrinkage_at_volume_scale,
    shrinkage_from_dry_basis,
    wet_size_mm,
    wrong_basis_size_mm,
)

from tests.every import every


def body_with_dry(share):
    return make_body(water_share=0.25, line={"dry": share, "fired": share})


# Source: Florida Geological Survey (read): linear % of the plastic length, measured volume %.
MEASURED = [(10.0, 27.5), (8.0, 22.0), (6.40, 17.90), (5.70, 15.75)]


@every("linear, volume", MEASURED)
def test_volume_shrinkage_of_measured_clays_is_on_the_wet_basis(linear, volume):
    got = 100.0 * (1.0 - body_with_dry(linear / 100.0).volume_scale("dry"))
    assert got == pytest.approx(volume, abs=0.5)
    on_the_dry_basis = 100.0 * ((1.0 - linear / 100.0) ** -3 - 1.0)
    assert on_the_dry_basis - volume > 3.45  # the check above can tell the two apart


@every("linear, volume", MEASURED)
def test_linear_shrinkage_from_measured_volume(linear, volume):
    assert 100.0 * shrinkage_at_volume_scale(1.0 - volume / 100.0) == pytest.approx(linear, abs=0.3)


def test_a_measured_slab():
    # Source: a maker's published notes (read): 150 mm wet, 144 dry, 141 bisque, 133 fired.
    slab = {"wet": 150.0, "dry": 144.0, "bisque": 141.0, "fired": 133.0}
    body = make_body(water_share=0.22, bars=[slab])
    assert 100 * (1 - body.across("dry")) == pytest.approx(4.00, abs=0.005)
    assert 100 * (1 - body.across("fired")) == pytest.approx(11.333, abs=0.0005)
    # the classic slip: the same pair on the fired basis
    assert 100 * (150.0 / 133.0 - 1.0) == pytest.approx(12.78, abs=0.005)
    assert wrong_basis_size_mm(133.0, 0.1278) == pytest.approx(150.0, abs=0.01)


def test_firing_shrinkage_stated_on_the_dry_length():
    # Source: ASTM C326: 1 − total = (1 − drying)(1 − firing), on the slab above.
    assert shrinkage_from_dry_basis(0.04, 1.0 - 133.0 / 144.0) == pytest.approx(0.11333, abs=5e-6)
    body = make_body(water_share=0.22, line={"dry": 0.04, "fired": 1.0 - 133.0 / 144.0}, of_dry={"fired"})
    assert body.shrinkage[-1] == pytest.approx(0.11333, abs=5e-6)


def test_bars_of_the_standard_s_length():
    # Source: ASTM C326: 100 (Lp − Ld) / Lp with gauge marks 102 mm apart (arithmetic worked).
    bars = [{"wet": 102.0, "dry": 95.88, "fired": 89.76}]
    assert bar_shrinkages(bars, "dry") == pytest.approx((0.06,))
    assert bar_shrinkages(bars, "fired") == pytest.approx((0.12,))


def test_ten_inches_to_eight_and_a_half():
    # Source: a maker's published notes (read): 15 %, factor 1.176.
    assert bar_shrinkages([{"wet": 10.0, "fired": 8.5}], "fired") == pytest.approx((0.15,))
    assert wet_size_mm(1.0, 0.15) == pytest.approx(1.176, abs=0.0005)


def test_four_inches_at_twelve_per_cent():
    # Source: worked: 4 / 0.88 = 4.545 in, not 4.48.
    assert wet_size_mm(4.0, 0.12) == pytest.approx(4.545, abs=0.0005)
    assert wrong_basis_size_mm(4.0, 0.12) == pytest.approx(4.48, abs=1e-9)


def test_the_slip_on_a_mouth_of_eighty():
    # Source: worked: 80 / 0.88 − 80 × 1.12 = 1.3 mm.
    assert wet_size_mm(80.0, 0.12) - wrong_basis_size_mm(80.0, 0.12) == pytest.approx(1.3, abs=0.05)
