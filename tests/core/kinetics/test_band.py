"""Bands of forecasts on paper and by laws."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    even_half_width_share,
    weighted_middle,
    widened_band,
    widened_bands,
)

#: Evenly spaced quantiles of a log-normal distribution with a standard deviation of 0.2.
SPREAD = np.exp([0.2 * NormalDist().inv_cdf((k + 0.5) / 4001) for k in range(4001)])


def test_without_a_model_error_the_band_is_that_of_the_draws():
    low, high = widened_band(3.0, SPREAD, 0.0)
    on_paper = np.quantile(SPREAD, (0.05, 0.95))

    assert (low, high) == pytest.approx(3.0 * on_paper, rel=2e-3)


def test_each_side_of_a_skewed_spread_has_its_own_end():
    skewed = np.where(SPREAD > 1.0, SPREAD**2, SPREAD)

    low, high = widened_band(1.0, skewed, 0.0)

    assert np.log(high) == pytest.approx(-2.0 * np.log(low), rel=1e-3)


def test_without_a_spread_the_band_is_that_of_the_model_error():
    low, high = widened_band(3.0, np.array([7.0, 7.0]), 0.1)

    assert (low, high) == pytest.approx((3.0 * np.exp(-0.16449), 3.0 * np.exp(0.16449)), rel=1e-4)


def test_independent_errors_add_like_the_sides_of_a_right_triangle():
    low, _ = widened_band(1.0, SPREAD, 0.15)

    assert np.log(low) == pytest.approx(-1.6448536 * np.hypot(0.2, 0.15), rel=2e-3)


@given(st.floats(0.1, 100.0), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_a_larger_model_error_never_narrows_the_band(middle, one, other):
    small, large = (widened_band(middle, SPREAD, error) for error in sorted((one, other)))

    assert large[0] <= small[0] <= middle <= small[1] <= large[1]


def test_what_cannot_be_is_cut_off():
    assert widened_band(0.98, SPREAD, 0.1, most=1.0)[1] == 1.0


def test_an_animal_that_may_never_wake_has_no_upper_end():
    draws = np.array([10.0, 11.0, 12.0, 13.0, np.inf])

    low, high = widened_band(12.0, draws, 0.1)

    assert low < 12.0
    assert high == np.inf


def test_when_most_never_come_only_the_low_end_is_known():
    low, high = widened_band(12.0, np.array([10.0, np.inf, np.inf]), 0.1)

    assert (low, high) == (10.0, np.inf)


@pytest.mark.parametrize("draws", [[], [1.0, 0.0], [1.0, -2.0], [1.0, np.nan]])
def test_draws_that_are_none_or_not_above_nothing_are_refused(draws):
    with pytest.raises(InvalidQuantity, match=r"draws is .* one or more, each above 0"):
        widened_band(1.0, np.array(draws), 0.1)


def test_many_bands_are_each_as_one_by_itself():
    draws = np.stack([SPREAD, 3.0 * SPREAD**2], axis=1)

    low, middle, high = widened_bands(draws, 0.1)

    for column in range(2):
        alone = widened_band(middle[column], draws[:, column], 0.1)
        assert (low[column], high[column]) == pytest.approx(alone, rel=1e-12)


def test_a_level_of_nothing_has_no_width():
    assert widened_bands(np.zeros((5, 2)), 0.1).tolist() == [[0.0, 0.0]] * 3


def test_levels_that_are_none_are_refused():
    with pytest.raises(InvalidQuantity, match=r"draws is .* finite, each 0 or more"):
        widened_bands(np.array([[np.inf]]), 0.1)


def test_one_band_for_all_is_as_wide_as_the_last_error_it_holds():
    errors = np.array([0.02, -0.10, 0.30, -0.05])

    assert even_half_width_share(errors, 0.75) == pytest.approx(np.sinh(0.10))
    assert even_half_width_share(errors, 1.0) == pytest.approx(np.sinh(0.30))


def test_one_band_for_no_errors_is_refused():
    with pytest.raises(InvalidQuantity, match="errors is 0; it must be one or more"):
        even_half_width_share(np.array([]), 0.9)


def test_equal_weights_change_nothing():
    draws = np.stack([SPREAD, 3.0 * SPREAD**2], axis=1)
    alike = np.full(SPREAD.size, 7.0)

    assert widened_bands(draws, 0.1, alike) == pytest.approx(widened_bands(draws, 0.1), rel=1e-12)
    assert widened_band(2.0, SPREAD, 0.1, weights=alike) == pytest.approx(
        widened_band(2.0, SPREAD, 0.1), rel=1e-12
    )


def test_a_draw_of_weight_two_counts_as_two_draws():
    twice = np.array([1.0, 1.2, 1.2, 1.5])
    once, weights = np.array([1.0, 1.2, 1.5]), np.array([1.0, 2.0, 1.0])

    assert widened_band(1.2, once, 0.05, weights=weights) == pytest.approx(
        widened_band(1.2, twice, 0.05)
    )
    assert widened_bands(once[:, None], 0.05, weights) == pytest.approx(
        widened_bands(twice[:, None], 0.05)
    )


def test_a_draw_without_weight_is_not_there():
    weights = np.array([1.0, 1.0, 1.0, 0.0])

    with_it = widened_band(2.0, np.array([1.0, 2.0, 3.0, np.inf]), 0.1, weights=weights)

    assert with_it == pytest.approx(widened_band(2.0, np.array([1.0, 2.0, 3.0]), 0.1))


def test_each_time_may_have_a_model_error_of_its_own():
    draws = np.ones((3, 2))

    found = widened_bands(draws, np.array([0.1, 0.2]))

    assert found[2] == pytest.approx(np.exp(1.6448536 * np.array([0.1, 0.2])), rel=1e-6)


def test_the_middle_is_where_half_of_the_weight_is_reached():
    draws = np.array([[5.0], [1.0], [3.0]])

    for weights, middle in (((1, 1, 1), 3.0), ((3, 1, 1), 5.0), ((0, 1, 1), 1.0)):
        assert weighted_middle(draws, np.array(weights, dtype=float)).tolist() == [middle]


@pytest.mark.parametrize("weights", [[1.0], [0.0, 0.0], [-1.0, 2.0], [np.nan, 1.0]])
def test_weights_that_do_not_fit_are_refused(weights):
    with pytest.raises(InvalidQuantity, match="weights"):
        widened_bands(np.ones((2, 1)), 0.1, np.array(weights))


def test_a_model_error_below_nothing_is_refused():
    with pytest.raises(InvalidQuantity, match="model_error_share"):
        widened_bands(np.ones((2, 2)), np.array([0.1, -0.1]))
