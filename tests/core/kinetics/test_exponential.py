"""The batch exponential against scipy, and against what must hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm

from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics.exponential import exponential


def drawn(seed, size, scale):
    return scale * np.random.default_rng(seed).standard_normal((4, size, size))


@pytest.mark.comparison
@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 13), st.floats(1e-6, 1.0))
def test_it_agrees_with_the_library(seed, size, scale):
    matrices = drawn(seed, size, scale)

    assert exponential(matrices) == pytest.approx(expm(matrices), rel=1e-9, abs=1e-10)


def test_two_half_steps_are_one_step():
    matrices = drawn(3, 5, 0.7)

    half = exponential(matrices / 2.0)

    assert half @ half == pytest.approx(exponential(matrices), rel=1e-12)


def test_a_pair_that_turns_gives_cosine_and_sine():
    turn = np.array([[[0.0, -1.5], [1.5, 0.0]]])

    found = exponential(turn)[0]

    assert found == pytest.approx(
        np.array([[np.cos(1.5), -np.sin(1.5)], [np.sin(1.5), np.cos(1.5)]]), abs=1e-12
    )


def test_a_matrix_that_is_not_finite_is_refused():
    with pytest.raises(InvalidQuantity, match="norm of a matrix of rates is nan"):
        exponential(np.full((1, 2, 2), np.nan))
