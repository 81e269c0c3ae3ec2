"""How an unheated animal cools."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.animals import body_temperature_after_k, cooling_min
from ullage.core.errors import InvalidQuantity

MOUSE = {"start_k": 310.15, "room_k": 295.15, "fall_step_k": 9.9, "fall_min": 60.0}


# Taylor 2007: 60 min of isoflurane without heat cost a mouse 9.90 and a rat 4.42 °C.
@pytest.mark.published("physiology_values")
@pytest.mark.parametrize("fall", [9.90, 4.42])
def test_after_the_measured_time_the_measured_fall_is_reached(fall):
    cold = body_temperature_after_k(310.15, 295.15, fall, 60.0, 60.0)

    assert cold == pytest.approx(310.15 - fall)


@given(st.floats(0.0, 600.0), st.floats(0.0, 600.0))
def test_it_only_gets_colder_and_never_colder_than_the_room(one, other):
    early, late = sorted((one, other))
    first, second = (body_temperature_after_k(**MOUSE, after_min=at) for at in (early, late))

    assert 295.15 <= second <= first <= 310.15


@given(st.floats(300.0, 310.0))
def test_the_time_to_a_limit_leads_to_the_limit(limit):
    minutes = cooling_min(**MOUSE, limit_k=limit)

    assert body_temperature_after_k(**MOUSE, after_min=minutes) == pytest.approx(limit)


def test_an_animal_already_at_the_limit_has_no_time_left():
    assert cooling_min(**MOUSE, limit_k=311.0) == 0.0


def test_a_room_warmer_than_the_animal_cools_nothing():
    with pytest.raises(InvalidQuantity, match="start_k - room_k"):
        body_temperature_after_k(300.0, 305.0, 1.0, 60.0, 10.0)
