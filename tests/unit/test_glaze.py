import pytest
from wareboard.pot.glaze import dry_glaze_kg_per_l, glaze_dry_g, slop_ml, solid_film_mm, water_kg_per_dry_kg

from tests.every import every


def test_dry_glaze_on_a_square_metre():
    assert glaze_dry_g(0.9, 10_000.0) == pytest.approx(900.0)
    assert glaze_dry_g(0.0, 500.0) == 0.0


def test_slop_holds_its_dry_glaze():
    assert slop_ml(100.0, 1.45, 2.6) * dry_glaze_kg_per_l(1.45, 2.6) == pytest.approx(100.0)


def test_grains_and_water_fill_the_litre():
    dry_kg = dry_glaze_kg_per_l(1.6, 2.5)
    assert dry_kg / 2.5 + dry_kg * water_kg_per_dry_kg(1.6, 2.5) == pytest.approx(1.0)


def test_film_of_a_coat():
    assert solid_film_mm(1.3, 2.6) == pytest.approx(0.5)


@every(
    "call",
    [
        lambda: dry_glaze_kg_per_l(1.0, 2.6),
        lambda: dry_glaze_kg_per_l(0.9, 2.6),
        lambda: dry_glaze_kg_per_l(1.5, 1.5),
        lambda: water_kg_per_dry_kg(1.5, 1.2),
        lambda: glaze_dry_g(-0.1, 10.0),
        lambda: glaze_dry_g(0.1, -10.0),
        lambda: slop_ml(-1.0, 1.45, 2.6),
        lambda: solid_film_mm(-1.0, 2.6),
        lambda: solid_film_mm(1.0, 0.0),
    ],
)
def test_out_of_range(call):
    with pytest.raises(ValueError):
        call()
