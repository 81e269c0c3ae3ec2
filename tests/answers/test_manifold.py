"""Fresh gas of several places on one manifold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.answers import Verdict, manifold_flow
from ullage.core.errors import InvalidQuantity


# Machine section 1.4, from memory: each port 0.2 to 0.5 L/min for a mouse, 0.5 to 1 for a rat.
@pytest.mark.parametrize(
    ("species", "places", "low", "high"), [("mouse", 4, 0.8, 2.0), ("rat", 2, 1.0, 2.0)]
)
def test_places_add_up(species, places, low, high):
    answer = manifold_flow(species, places)

    assert (answer.low, answer.high) == pytest.approx((low, high))
    assert answer.where_from[0].how_known == "memory"
    assert [one.chosen for one in answer.views] == [True, False]


@pytest.mark.parametrize(
    ("animals", "given", "verdict"),
    [
        (None, None, None),
        (4, 1.4, Verdict.FINE),
        (3, 1.4, Verdict.LOOK_AGAIN),
        (3, None, Verdict.LOOK_AGAIN),
        (4, 0.7, Verdict.STOP),
        (4, 2.5, Verdict.LOOK_AGAIN),
    ],
)
def test_an_open_place_without_an_animal_and_too_little_gas_are_seen(animals, given, verdict):
    assert manifold_flow("mouse", 4, animals, given).verdict is verdict


def test_a_species_without_a_rule_for_places_borrows_that_of_its_mask():
    answer = manifold_flow("hamster", 2)

    assert any("that of its mask" in one for one in answer.assumptions)
    assert not answer.views


@pytest.mark.parametrize("wrong", [(0, None, None), (2, 3, None), (2, -1, None), (2, 2, 0.0)])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=r"open_places is|animals is|given_l_min is"):
        manifold_flow("mouse", *wrong)


@given(st.integers(1, 20))
def test_twice_the_places_take_twice_the_gas(places):
    one, two = manifold_flow("rat", places).value, manifold_flow("rat", 2 * places).value

    assert two == pytest.approx(2 * one)
