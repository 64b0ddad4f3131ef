"""What must hold of a clay whatever its numbers: there and back, nothing lost on the way."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wareboard.pot.clay import STAGES, body_faults, make_body, shrinkage_at_volume_scale, wet_size_mm
from wareboard.pot.moisture import (
    body_at_water,
    drying_shrinkage_at_water,
    mass_share_at_shrinkage,
    shrinkage_at_mass_share,
)

FEW = settings(max_examples=60, deadline=None)


@st.composite
def sound_bodies(draw):
    dry = draw(st.floats(0.01, 0.08))
    body = make_body(
        water_share=draw(st.floats(0.18, 0.28)),
        line={
            "leather-hard": dry * draw(st.floats(0.1, 0.9)),
            "dry": dry,
            "fired": dry + draw(st.floats(0.0, 0.08)),
        },
        height_factor=draw(st.floats(0.8, 1.3)),
        grain_density_g_cm3=draw(st.floats(2.5, 2.75)),
        loss_share=draw(st.floats(0.0, 0.12)),
    )
    return body


@FEW
@given(sound_bodies(), st.floats(5.0, 400.0))
def test_sizes_there_and_back(body, size_mm):
    for stage in STAGES:
        wet_mm = wet_size_mm(size_mm, body.shrinkage_share(stage))
        assert wet_mm * body.across(stage) == pytest.approx(size_mm, rel=1e-12)


@FEW
@given(sound_bodies())
def test_volume_tells_shrinkage(body):
    for stage in STAGES:
        share = shrinkage_at_volume_scale(body.volume_scale(stage), body.height_factor)
        assert share == pytest.approx(body.shrinkage_share(stage), abs=1e-12)


@FEW
@given(sound_bodies(), st.floats(0.0, 1.0))
def test_weight_tells_shrinkage_and_shrinkage_weight(body, along):
    share = body.shrinkage_share("dry") * along
    weight = mass_share_at_shrinkage(body, share)
    assert shrinkage_at_mass_share(body, weight) == pytest.approx(share, abs=1e-12)
    leather_hard = shrinkage_at_mass_share(body, body.mass_share("leather-hard"))
    assert leather_hard == pytest.approx(body.shrinkage_share("leather-hard"), abs=1e-12)
    assert shrinkage_at_mass_share(body, body.mass_share("dry")) == body.shrinkage_share("dry")


@FEW
@given(sound_bodies())
def test_a_clay_at_its_critical_water_is_as_small_as_dry(body):
    water = body.critical_water_share
    # dry weight over (1 − water) is its weight then
    share = body.mass_share("dry") / (1.0 - water)
    assert shrinkage_at_mass_share(body, share) == pytest.approx(body.shrinkage_share("dry"), abs=1e-9)
    assert shrinkage_at_mass_share(body, share + 0.005) < body.shrinkage_share("dry")


@FEW
@given(sound_bodies())
def test_volume_lost_is_weight_lost_until_leather_hard(body):
    lost_cm3 = (1.0 - body.volume_scale("leather-hard")) / body.wet_density_g_cm3
    assert 1.0 - body.mass_share("leather-hard") == pytest.approx(lost_cm3, abs=1e-12)


@FEW
@given(sound_bodies(), st.floats(0.0, 0.05))
def test_other_water_there_and_back(body, more):
    other = body_at_water(body, body.water_share + more)
    back = body_at_water(other, body.water_share)
    assert back.shrinkage == pytest.approx(body.shrinkage, abs=1e-12)
    assert back.wet_density_g_cm3 == pytest.approx(body.wet_density_g_cm3, rel=1e-12)
    dry = body.shrinkage_share("dry")
    assert drying_shrinkage_at_water(body, body.water_share) == pytest.approx(dry, abs=1e-12)


@FEW
@given(sound_bodies(), st.floats(0.0, 0.05))
def test_other_water_leaves_the_dry_clay_as_it_is(body, more):
    other = body_at_water(body, body.water_share + more)
    assert other.critical_water_share == pytest.approx(body.critical_water_share, rel=1e-9)
    for stage in ("leather-hard", "dry", "bisque", "fired"):
        assert other.bulk_density_g_cm3(stage) == pytest.approx(body.bulk_density_g_cm3(stage), rel=1e-9)


@FEW
@given(sound_bodies())
def test_faults_are_only_what_they_say(body):
    kinds = {fault.kind for fault in body_faults(body)}
    assert kinds <= {"critical-water-below-zero", "bulk-over-grain"}
    assert ("critical-water-below-zero" in kinds) == (body.bulk_density_g_cm3("dry") > body.grain_density_g_cm3)
