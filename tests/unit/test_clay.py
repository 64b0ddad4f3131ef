from dataclasses import replace

import pytest
from wareboard.pot.clay import (
    STAGES,
    Body,
    MissingShrinkage,
    bar_shrinkages,
    body_faults,
    make_body,
    mass_share_at_volume_scale,
    saturated_density_g_cm3,
    shrinkage_at_volume_scale,
    shrinkage_from_dry_basis,
    water_of_dry_share,
    wet_size_mm,
)

from tests.every import every

BUFF = {"water_share": 0.215, "line": {"leather-hard": 0.03, "dry": 0.06, "bisque": 0.06, "fired": 0.12}}
BARS = [
    {"wet": 100.0, "leather-hard": 97.1, "dry": 94.0, "fired": 88.2},
    {"wet": 100.0, "dry": 93.8, "fired": 88.0},
    {"wet": 102.0, "fired": 89.964},
]


def kinds(body):
    return [(fault.kind, fault.stage, fault.impossible) for fault in body_faults(body)]


def test_stages_in_order():
    assert STAGES == ("wet", "leather-hard", "dry", "bisque", "fired")


def test_what_is_left_out_is_assumed():
    body = make_body(water_share=0.2, line={"dry": 0.05, "fired": 0.11})
    assert body.shrinkage == (0.0, 0.025, 0.05, 0.05, 0.11)
    assert body.assumed == {"leather-hard", "bisque"}
    assert make_body(**BUFF).assumed == frozenset()


def test_bars_beat_the_line_stage_by_stage():
    body = make_body(**BUFF, bars=BARS)
    assert body.shrinkage == pytest.approx((0.0, 0.029, 0.061, 0.06, 0.118666667))
    assert body.bars_count == (3, 1, 2, 0, 3)
    wet, leather_hard, dry, bisque, fired = body.deviation
    assert wet is leather_hard is bisque is None  # fewer than two bars tell no spread
    assert dry == pytest.approx(0.002**0.5 * 0.001**0.5)  # two values 0.002 apart: 0.002/√2
    assert fired == pytest.approx(0.0011547005)


def test_half_of_dry_is_half_of_what_the_bars_say():
    body = make_body(water_share=0.2, line={"dry": 0.05, "fired": 0.11}, bars=[{"wet": 10, "dry": 9.2}])
    assert body.shrinkage[1:4] == pytest.approx((0.04, 0.08, 0.08))


@every(
    ("line", "bars", "dry"),
    [
        ({"fired": 0.12}, [], 0.06),
        ({"fired": 0.12}, [{"wet": 100, "fired": 90}], 0.05),
        ({"fired": 0.12, "bisque": 0.05}, [], 0.05),
    ],
)
def test_a_suppliers_fired_shrinkage_alone_will_do(line, bars, dry):
    body = make_body(water_share=0.2, line=line, bars=bars)
    assert body.shrinkage_share("dry") == pytest.approx(dry)
    assert {"dry", "leather-hard"} <= body.assumed


def test_fired_of_dry_stands_on_the_dry_that_is_used():
    body = make_body(
        water_share=0.2, line={"dry": 0.05, "fired": 0.07}, of_dry={"fired"}, bars=[{"wet": 10, "dry": 9.2}]
    )
    assert body.shrinkage[-1] == pytest.approx(1 - 0.92 * 0.93)
    assert shrinkage_from_dry_basis(0.08, 0.07) == pytest.approx(body.shrinkage[-1])


@every("line, stage", [({"fired": 0.06}, "dry"), ({"dry": 0.06}, "fired"), ({}, "fired")])
def test_missing_stage_is_named(line, stage):
    with pytest.raises(MissingShrinkage, match=stage) as caught:
        make_body(water_share=0.2, line=line, of_dry={"fired"} if stage == "dry" else ())
    assert caught.value.stage == stage


@every(
    "wrong",
    [
        {"water_share": 0.0},
        {"water_share": 1.0},
        {"loss_share": 1.0},
        {"loss_share": -0.1},
        {"height_factor": 0.0},
        {"grain_density_g_cm3": 0.0},
        {"wet_density_g_cm3": -1.0},
        {"of_dry": {"dry"}},
        {"bars": [{"dry": 94.0}]},
        {"bars": [{"wet": 100.0, "dry": 0.0}]},
    ],
)
def test_what_no_body_can_be_made_of(wrong):
    with pytest.raises(ValueError):
        make_body(**{**BUFF, **wrong})


def test_scales_and_weights():
    body = make_body(**BUFF, height_factor=1.05, loss_share=0.07)
    assert body.across("fired") == 0.88
    assert body.up("fired") == pytest.approx(1 - 0.126)
    assert body.volume_scale("fired") == pytest.approx(0.88**2 * 0.874)
    assert body.mass_share("wet") == 1.0
    assert body.mass_share("dry") == pytest.approx(0.785)
    assert body.mass_share("bisque") == body.mass_share("fired") == pytest.approx(0.785 * 0.93)
    # leather-hard by hand: 1000 g is 516.9 cm³ wet, which gives up its volume lost in water
    wet_cm3 = 1000.0 / body.wet_density_g_cm3
    lost_cm3 = wet_cm3 * (1 - 0.97**2 * (1 - 0.03 * 1.05))
    assert 1000 * body.mass_share("leather-hard") == pytest.approx(1000 - lost_cm3)
    assert body.bulk_density_g_cm3("dry") == pytest.approx(785.0 / (wet_cm3 * body.volume_scale("dry")))


def test_density_is_worked_out_or_given():
    assert make_body(**BUFF).wet_density_g_cm3 == pytest.approx(1 / (0.215 + 0.785 / 2.6))
    assert make_body(**BUFF, wet_density_g_cm3=1.9).wet_density_g_cm3 == 1.9
    assert saturated_density_g_cm3(0.0, 2.7) == pytest.approx(2.7)


def test_critical_water_fills_the_pores():
    body = make_body(**BUFF)
    pores_cm3 = 0.94**3 / body.wet_density_g_cm3 - 0.785 / 2.6
    assert body.critical_water_share == pytest.approx(pores_cm3 / (pores_cm3 + 0.785))


@every("line, kind", [
    ({"dry": -0.01, "fired": 0.1}, ("out-of-range", "dry", True)),
    ({"dry": 0.06, "fired": 1.0}, ("out-of-range", "fired", True)),
    ({"leather-hard": 0.07, "dry": 0.06, "fired": 0.12}, ("shrinkage-falls", "dry", True)),
    ({"dry": 0.06, "bisque": 0.04, "fired": 0.12}, ("shrinkage-falls", "bisque", False)),
    ({"dry": 0.06, "fired": 0.05}, ("shrinkage-falls", "fired", False)),
    ({"dry": 0.18, "fired": 0.18}, ("critical-water-below-zero", "dry", True)),
    ({"dry": 0.06, "fired": 0.20}, ("bulk-over-grain", "fired", True)),
])  # fmt: skip
def test_faults(line, kind):
    assert kind in kinds(make_body(water_share=0.215, line=line))


def test_a_sound_body_has_no_faults_and_bisque_may_swell_a_little():
    assert kinds(make_body(**BUFF, loss_share=0.07)) == []
    swelling = make_body(water_share=0.215, line={"dry": 0.06, "bisque": 0.055, "fired": 0.12})
    assert kinds(swelling) == []


def test_faults_of_a_given_density():
    # 1.60 leaves so much air that the shrinkage can't have come from this little water
    airy = make_body(water_share=0.1, line={"dry": 0.06, "fired": 0.12}, wet_density_g_cm3=1.6)
    assert ("dries-past-its-water", "dry", True) in kinds(airy)
    heavy = make_body(**BUFF, wet_density_g_cm3=2.0)
    assert ("denser-than-saturated", "wet", False) in kinds(heavy)
    assert kinds(make_body(**BUFF, wet_density_g_cm3=1.935)) == []


def test_a_body_out_of_range_says_only_that():
    odd = replace(make_body(**BUFF), water_share=1.2, shrinkage=(0.0, 0.0, 2.0, 2.0, 2.0))
    assert {kind for kind, *_ in kinds(odd)} == {"out-of-range"}


def test_bar_shrinkages_skip_bars_without_the_stage():
    assert bar_shrinkages(BARS, "leather-hard") == pytest.approx((0.029,))
    assert bar_shrinkages(BARS, "bisque") == ()


def test_out_of_range_arguments_are_refused():
    for call in (
        lambda: wet_size_mm(80.0, 1.0),
        lambda: shrinkage_at_volume_scale(0.0),
        lambda: shrinkage_at_volume_scale(1.01),
        lambda: shrinkage_at_volume_scale(0.9, 0.0),
        lambda: water_of_dry_share(1.0),
    ):
        with pytest.raises(ValueError):
            call()


def test_mass_share_at_volume_of_water_itself():
    # a body as light as water would lose weight and volume alike
    body = Body((0.0,) * 5, 0.5, 2.6, 1.0)
    assert mass_share_at_volume_scale(body, 0.7) == pytest.approx(0.7)
