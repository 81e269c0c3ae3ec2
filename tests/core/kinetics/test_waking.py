"""When a level crosses a threshold, on paper and by laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import falls_to_min, rises_to_min

TIMES = np.linspace(0.0, 30.0, 3001)


@given(st.floats(0.5, 20.0), st.floats(0.05, 0.95))
def test_an_exponential_fall_is_found_where_paper_has_it(tau, threshold):
    level = np.exp(-TIMES / tau)[None]
    on_paper = -tau * np.log(threshold)

    found = falls_to_min(TIMES, level, threshold)[0]

    if on_paper <= TIMES[-1]:
        assert found == pytest.approx(on_paper, abs=2e-4)
    else:
        assert found == np.inf


@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_a_higher_threshold_is_reached_earlier_in_a_fall(one, other):
    level = np.exp(-TIMES / 7.0)[None]
    low, high = sorted((one, other))

    assert falls_to_min(TIMES, level, high)[0] <= falls_to_min(TIMES, level, low)[0]


def test_each_animal_has_its_own_time():
    level = np.stack([TIMES / 30.0, TIMES / 60.0, np.zeros_like(TIMES)])

    assert rises_to_min(TIMES, level, 0.25) == pytest.approx([7.5, 15.0, np.inf])


def test_a_level_that_starts_beyond_is_there_at_once():
    assert rises_to_min(TIMES, np.ones((1, TIMES.size)), 0.25)[0] == 0.0


def test_times_that_do_not_belong_to_the_levels_are_refused():
    with pytest.raises(InvalidQuantity, match="times of the levels is 3001; it must be 5"):
        falls_to_min(TIMES, np.ones((1, 5)), 0.25)


def test_a_threshold_of_nothing_is_refused():
    with pytest.raises(InvalidQuantity, match="threshold is 0"):
        falls_to_min(TIMES, np.ones((1, TIMES.size)), 0.0)
