import pytest
from wareboard.pot.clay import body_faults, make_body
from wareboard.pot.moisture import (
    body_at_water,
    drying_shrinkage_at_water,
    mass_share_at_shrinkage,
    shrinkage_at_mass_share,
)

from tests.every import every

BUFF = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}, height_factor=1.04)


def test_from_as_thrown_to_bone_dry():
    assert shrinkage_at_mass_share(BUFF, 1.0) == 0.0
    assert shrinkage_at_mass_share(BUFF, 0.785) == 0.06
    # below the weight where shrinking stops only weight goes
    stop = mass_share_at_shrinkage(BUFF, 0.06)
    assert 0.785 < stop < 1.0
    assert shrinkage_at_mass_share(BUFF, stop - 0.01) == 0.06
    assert shrinkage_at_mass_share(BUFF, stop + 0.01) < 0.06


def test_by_hand_for_an_even_clay():
    clay = make_body(water_share=0.2, line={"dry": 0.06, "fired": 0.12})
    # 1000 g that has lost 30 g has lost 30 cm³ of 507.7
    wet_cm3 = 1000 * (0.2 + 0.8 / 2.6)
    assert shrinkage_at_mass_share(clay, 0.97) == pytest.approx(1 - ((wet_cm3 - 30) / wet_cm3) ** (1 / 3))


@every("share, words", [(1.001, "heavier than thrown"), (0.784, "lighter than bone dry")])
def test_weights_that_can_t_be(share, words):
    with pytest.raises(ValueError, match=words):
        shrinkage_at_mass_share(BUFF, share)


@every("share", [-0.01, 0.061])
def test_shrinkage_that_drying_doesn_t_reach(share):
    with pytest.raises(ValueError, match="drying shrinks"):
        mass_share_at_shrinkage(BUFF, share)


def test_softer_clay_shrinks_more_and_ends_as_large_for_its_dry_weight():
    softer = body_at_water(BUFF, 0.24)
    assert softer.shrinkage[2] == pytest.approx(drying_shrinkage_at_water(BUFF, 0.24))
    assert all(more > less for more, less in zip(softer.shrinkage[1:], BUFF.shrinkage[1:]))
    for stage in ("leather-hard", "dry", "fired"):
        assert softer.bulk_density_g_cm3(stage) == pytest.approx(BUFF.bulk_density_g_cm3(stage))
    assert body_faults(softer) == []


def test_water_that_leaves_nothing_to_shrink():
    assert drying_shrinkage_at_water(BUFF, BUFF.critical_water_share) == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="already past dry"):
        drying_shrinkage_at_water(BUFF, BUFF.critical_water_share - 0.01)
    with pytest.raises(ValueError, match="already past leather-hard"):
        body_at_water(BUFF, BUFF.critical_water_share + 0.005)


def test_air_in_the_clay_stays_in_it():
    airy = make_body(water_share=0.215, line={"dry": 0.06, "fired": 0.12}, wet_density_g_cm3=1.85)
    assert body_at_water(airy, 0.215).wet_density_g_cm3 == pytest.approx(1.85)
    # for a gram of dry clay: 1.85 g/cm³ wet, then .24/.76 − .215/.785 g of water more
    wet_cm3 = 1 / (1.85 * 0.785) + 0.24 / 0.76 - 0.215 / 0.785
    assert body_at_water(airy, 0.24).wet_density_g_cm3 == pytest.approx(1 / (0.76 * wet_cm3))
