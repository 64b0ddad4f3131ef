"""Marks of a shrink rule against sizes from outside.

Sources (see each check): a supplier's worked example, wet 10 in to fired 8.5 in: 15 %, factor 1.176 (read).
To finish at 4 in with 12 %: 4 / 0.88 = 4.545 in, not 4.48 (worked).
A maker's published notes: a slab 150 mm wet, 144 dry, 141 bisque, 133 fired (read).
"""

import pytest
from wareboard.cards.shrinkrule import edge_marks, mark_scale
from wareboard.pot.clay import make_body


def body(**line):
    return make_body(water_share=0.2, line={stage.replace("_", "-"): share for stage, share in line.items()})


def test_a_rule_for_fifteen_per_cent_is_longer_by_the_published_factor():
    """Source: supplier's worked example (read): factor 1.176, three digits after the point."""
    assert mark_scale(body(dry=0.07, fired=0.15), "wet") == pytest.approx(1.176, abs=0.0005)


def test_four_inches_fired_at_twelve_per_cent():
    """Source: worked, 4 / 0.88 in; the slip of adding 12 % would be 4.48."""
    scale = mark_scale(body(dry=0.06, fired=0.12), "wet")
    place = next(place for place, _, number in edge_marks(scale, metric=False) if number == "4")
    assert place / 25.4 == pytest.approx(4.545, abs=0.0005)


def test_a_measured_slab_reads_its_fired_length_while_it_is_wet():
    """Source: a maker's published notes (read): 150 mm wet, 133 mm fired."""
    scale = mark_scale(body(dry=1.0 - 144.0 / 150.0, fired=1.0 - 133.0 / 150.0), "wet")
    place = next(place for place, _, number in edge_marks(scale, metric=True) if number == "130")
    assert place == pytest.approx(130.0 * 150.0 / 133.0, abs=1e-9)
