"""A pot in the hand: side, wall and floor, and what is said where none will do."""

import pytest
from wareboard.pot import solids
from wareboard.pot.measured import InHand, NoWallError, Stations, filled_out, solve, widened, with_gallery

from tests.every import every

CONE = Stations(("foot", "rim"), ((30.0, 0.0), (42.0, 95.0)), smooth=False)


def remeasured(pot, solved):
    """Weight and water of what was solved, worked out again from its stations."""
    outside = solved.stations.outline()
    base = pot.recess[0][1] if pot.recess else 0.0
    inside = solids.wall_inside(outside, solved.wall_mm, base + solved.floor_mm)
    if pot.gallery_mm:
        inside = with_gallery(inside, *pot.gallery_mm)
    clay = solids.revolved_volume_mm3(solids.profile_ring(outside, inside, pot.recess)) / 1000.0
    area = sum(
        solids.revolved_area_mm2([(r * pot.coated_scale[0], z * pot.coated_scale[1]) for r, z in line])
        for line in (outside, inside)
    )
    water = solids.volume_below_mm3(inside, inside[-1][1]) - pot.film_mm * solids.area_below_mm2(inside, inside[-1][1])
    return clay * pot.density_g_cm3 + pot.coat_g_mm2 * area, water / 1000.0


@every(
    "more",
    [
        {},
        {"film_mm": 0.35, "coat_g_mm2": 0.9e-3, "coated_scale": (1.06, 1.07)},
        {"depth_mm": 88.0},
        {"recess": ((0.0, 3.0), (24.0, 3.0), (24.0, 0.0))},
        {"gallery_mm": (6.0, 3.0)},
    ],
)
def test_weight_and_water_come_out(more):
    pot = InHand(CONE, 2.07, mass_g=244.0, brim_ml=310.0, **more)
    solved = solve(pot)
    mass, brim = remeasured(pot, solved)
    assert (mass, brim) == (pytest.approx(244.0, rel=1e-5), pytest.approx(310.0, rel=1e-5))
    assert (solved.mass_g, solved.brim_ml) == (pytest.approx(mass, rel=1e-9), pytest.approx(brim, rel=1e-9))
    if "depth_mm" not in more:
        assert solved.floor_mm == pytest.approx(1.25 * solved.wall_mm)


def test_a_pot_that_is_a_cone_stays_one():
    inside = solids.wall_inside(CONE.points, 4.0, 5.0)
    mass = solids.revolved_volume_mm3(solids.profile_ring(CONE.points, inside)) / 1000.0 * 2.0
    brim = solids.volume_below_mm3(inside, 95.0) / 1000.0
    solved = solve(InHand(CONE, 2.0, mass, brim))
    assert solved.stations == CONE and solved.fullness == 0.0
    assert (solved.wall_mm, solved.floor_mm) == (pytest.approx(4.0, abs=1e-6), pytest.approx(5.0, abs=1e-6))


def test_one_of_the_two_is_enough():
    inside = solids.wall_inside(CONE.points, 4.0, 5.0)
    mass = solids.revolved_volume_mm3(solids.profile_ring(CONE.points, inside)) / 1000.0 * 2.0
    brim = solids.volume_below_mm3(inside, 95.0) / 1000.0
    by_weight, by_water = solve(InHand(CONE, 2.0, mass_g=mass)), solve(InHand(CONE, 2.0, brim_ml=brim))
    assert by_weight.wall_mm == pytest.approx(4.0, abs=1e-6)
    assert by_water.wall_mm == pytest.approx(4.0, abs=1e-6)
    # Water alone leaves the outside's own doubt in the wall.
    assert by_water.wall_plus_minus_mm > 3.0 * by_weight.wall_plus_minus_mm > 0.0
    with pytest.raises(ValueError, match="weight or a capacity"):
        solve(InHand(CONE, 2.0))


def test_how_sure_is_what_another_measurement_would_have_given():
    """A tenth of a step more on each tool, solved again, moves the wall by as much as is said."""
    pot = InHand(CONE, 2.07, mass_g=244.0, brim_ml=310.0)
    solved = solve(pot)
    heavier = solve(InHand(CONE, 2.07, mass_g=244.1, brim_ml=310.0))
    # Heavier clay needs a fuller side too, so the wall grows a little less than clay over surface.
    assert heavier.wall_mm - solved.wall_mm == pytest.approx(solved.doubts_mm["weight"] * 12.0**0.5 * 0.1, rel=0.15)
    taller = solve(InHand(Stations(CONE.names, ((30.0, 0.0), (42.0, 95.1)), smooth=False), 2.07, 244.0, 310.0))
    assert abs(taller.wall_mm - solved.wall_mm) < solved.doubts_mm["height"] * 12.0**0.5 * 0.1 * 1.2
    doubled = solve(pot, steps={"ruler": 2.0, "scale": 2.0})
    assert doubled.wall_plus_minus_mm == pytest.approx(2.0 * solved.wall_plus_minus_mm, rel=0.01)


def test_a_fuller_side_encloses_more():
    side = filled_out(
        Stations(("foot", "belly", "neck", "rim"), ((30.0, 0.0), (55.0, 50.0), (25.0, 100.0), (28.0, 112.0)))
    )
    held = [
        solids.volume_below_mm3(((0.0, 0.0), *side(f).outline()), 112.0)
        for f in (-1.0, -0.5, -0.01, 0.0, 0.01, 0.5, 1.0)
    ]
    assert held == sorted(held) and len(set(held)) == 7
    assert side(0.0).names == ("foot", "belly", "neck", "rim")
    assert side(0.5).names == ("foot", "below belly", "belly", "below neck", "neck", "rim")
    # Near 0 the added stations lie on the line that the measured ones make.
    assert held[4] == pytest.approx(held[3], rel=0.01)


@every(("mass", "brim", "more_sizes"), [(244.0, 400.0, True), (244.0, 100.0, False), (900.0, 310.0, True)])
def test_what_would_mend_it_mends_it(mass, brim, more_sizes):
    pot = InHand(CONE, 2.07, mass, brim)
    with pytest.raises(NoWallError) as caught:
        solve(pot)
    mend = caught.value.mend
    assert caught.value.kind == "volumes" and mend.more_sizes is more_sizes
    least = 1.0 + 1e-6 * (1 if more_sizes else -1)
    grown = tuple((r * mend.sizes_factor * least, z * mend.sizes_factor * least) for r, z in CONE.points)
    if mass < 500.0:
        assert solve(InHand(Stations(CONE.names, grown, smooth=False), 2.07, mass, brim)).mass_g == pytest.approx(mass)
        assert solve(InHand(CONE, 2.07, mend.mass_g, brim)).brim_ml == pytest.approx(brim)
    assert solve(InHand(CONE, 2.07, mass, mend.brim_ml)).mass_g == pytest.approx(mass)


def test_no_weight_at_all_would_do():
    with pytest.raises(NoWallError) as caught:
        solve(InHand(CONE, 2.07, 244.0, 600.0))
    assert caught.value.mend.mass_g is None and caught.value.mend.brim_ml == pytest.approx(360.0, abs=25.0)


@every(("more", "kind"), [({"mass_g": 15.0}, "thin"), ({"brim_ml": 389.0}, "thin"), ({"mass_g": 3000.0}, "thick")])
def test_a_wall_that_cannot_be(more, kind):
    with pytest.raises(NoWallError) as caught:
        solve(InHand(CONE, 2.07, **more))
    assert caught.value.kind == kind


def test_glaze_heavier_than_the_pot():
    with pytest.raises(NoWallError, match="glaze alone"):
        solve(InHand(CONE, 2.07, 20.0, 340.0, coat_g_mm2=1e-3))


def test_a_traced_outline_is_widened_evenly():
    traced = Stations(("foot", "rim"), ((30.0, 0.0), (42.0, 95.0)), smooth=False)
    enclosed = solids.volume_below_mm3(((0.0, 0.0), *traced.points), 95.0) / 1000.0
    pot = InHand(traced, 2.0, 200.0, enclosed * 1.01 - 100.0)
    solved = solve(pot, widened(traced))
    assert solved.stations.points[1][0] == pytest.approx(42.0 * 1.01**0.5, rel=1e-4)
    assert solved.stations.names == traced.names


def test_no_room_for_a_gallery():
    inside = ((0.0, 5.0), (20.0, 5.0), (20.0, 30.0))
    for depth, width in ((26.0, 3.0), (10.0, 21.0), (20.0, 6.0)):
        with pytest.raises(ValueError, match="no room"):
            with_gallery(inside, depth, width)
