"""Two agents in one vaporizer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.agents import (
    liquid_mole_fraction,
    mixture_output_fraction,
    mixture_vapour_kpa,
    splitting_output_fraction,
    splitting_share,
)
from ullage.core.errors import InvalidQuantity

ISO, SEVO, PLACE = 31.73, 20.93, 101.325
SHARES = st.floats(0.0, 1.0)


@given(SHARES)
def test_the_vapour_pressure_of_a_mixture_lies_between_the_two(share):
    assert mixture_vapour_kpa(share, ISO, SEVO) + 1e-12 >= SEVO
    assert mixture_vapour_kpa(share, ISO, SEVO) <= ISO + 1e-12


def test_a_pure_liquid_is_the_splitting_equation_itself():
    split = splitting_share(0.02, SEVO, PLACE)

    pure = mixture_output_fraction(1.0, ISO, SEVO, split, PLACE)
    assert pure == pytest.approx(splitting_output_fraction(split, ISO, PLACE))
    assert mixture_output_fraction(0.0, ISO, SEVO, split, PLACE) == 0.0


@given(SHARES, st.floats(0.0, 0.2))
def test_both_agents_together_are_what_their_vapour_pressure_gives(share, split):
    first = mixture_output_fraction(share, ISO, SEVO, split, PLACE)
    second = mixture_output_fraction(1.0 - share, SEVO, ISO, split, PLACE)
    both = splitting_output_fraction(split, mixture_vapour_kpa(share, ISO, SEVO), PLACE)

    assert first + second == pytest.approx(both, abs=1e-12)


@given(st.floats(0.1, 200.0), st.floats(0.1, 200.0))
def test_the_shares_of_the_molecules_add_to_one(first, second):
    one = liquid_mole_fraction(first, 8.1, second, 7.6)
    other = liquid_mole_fraction(second, 7.6, first, 8.1)

    assert one + other == pytest.approx(1.0)


def test_an_empty_vaporizer_holds_no_mixture():
    with pytest.raises(InvalidQuantity, match="liquid in the vaporizer"):
        liquid_mole_fraction(0.0, 8.1, 0.0, 7.6)
