"""One breath and its dead spaces."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core.animals import (
    alveolar_ventilation_l_min,
    co2_output_l_min,
    dead_space_share,
    minute_volume_from_alveolar_l_min,
    most_dead_space_l,
)
from ullage.core.errors import InvalidQuantity

FLOWS = st.floats(0.001, 100.0)
SHARES = st.floats(0.0, 0.9)


# Uptake section 3.2: alveolar 4.2 L/min at 70 kg over 0.70 is 6.0 L/min; oxygen 0.24, CO2 0.19.
@pytest.mark.published("uptake_base")
def test_the_working_set_of_an_adult_hangs_together():
    assert minute_volume_from_alveolar_l_min(4.2, 0.30) == pytest.approx(6.0)
    assert co2_output_l_min(0.24, 0.8) == pytest.approx(0.19, abs=0.005)


@given(FLOWS, SHARES)
def test_minute_volume_and_alveolar_ventilation_are_inverse(flow, share):
    there = minute_volume_from_alveolar_l_min(flow, share)

    assert alveolar_ventilation_l_min(there, share) == pytest.approx(flow)


@given(FLOWS, SHARES, SHARES)
def test_equipment_never_adds_to_what_reaches_the_alveoli(flow, share, apparatus):
    with_it = alveolar_ventilation_l_min(flow, share, apparatus)

    assert 0.0 <= with_it <= alveolar_ventilation_l_min(flow, share)


def test_dead_spaces_larger_than_the_breath_leave_nothing():
    assert alveolar_ventilation_l_min(1.0, 0.7, 0.4) == 0.0


@given(FLOWS, st.floats(0.01, 1.0))
def test_the_most_dead_space_is_that_share_of_the_breath(tidal, share):
    assert dead_space_share(most_dead_space_l(tidal, share), tidal) == pytest.approx(share)


def test_a_breath_of_nothing_is_refused():
    with pytest.raises(InvalidQuantity, match="tidal_l is 0"):
        dead_space_share(0.01, 0.0)
