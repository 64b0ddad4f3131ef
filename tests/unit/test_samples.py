import pytest
from wareboard.pot.samples import mean_interval, student_t_quantile

from tests.every import every


def test_one_value_has_no_spread():
    found = mean_interval([0.12])
    assert (found.mean, found.count, found.deviation, found.half_width) == (0.12, 1, None, None)


def test_equal_values_have_no_width():
    assert mean_interval([0.1, 0.1, 0.1]).half_width == 0.0


def test_higher_level_is_wider():
    values = [1.0, 2.0, 4.0]
    assert mean_interval(values, 0.99).half_width > 2 * mean_interval(values, 0.95).half_width


@every("share, freedoms", [(0.0, 3), (1.0, 3), (0.9, 0)])
def test_quantile_out_of_range(share, freedoms):
    with pytest.raises(ValueError):
        student_t_quantile(share, freedoms)


def test_no_values():
    with pytest.raises(ValueError, match="one value"):
        mean_interval([])
