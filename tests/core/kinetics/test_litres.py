"""Litres of the lung against the gas laws on paper."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.kinetics.reference_set import reference_body
from ullage.core.errors import InvalidQuantity
from ullage.core.kinetics import (
    Litres,
    Setting,
    System,
    SystemKind,
    body_in_litres,
    settings_in_litres,
    system_in_litres,
)

SEA = Litres(ambient_kpa=101.325, body_k=310.15, water_kpa=6.28)
HIGH = Litres(ambient_kpa=80.5, body_k=310.15, water_kpa=6.28)


@pytest.mark.published("physiology_base")
def test_ventilation_and_carbon_dioxide_give_the_constant_of_the_textbooks():
    """PaCO2 in mmHg = 863 x VCO2 (STPD) / VA (BTPS); 713 mmHg x the factor is that constant."""
    assert (760.0 - 47.0) * SEA.of_standard == pytest.approx(863.0, abs=1.0)


def test_a_litre_of_free_gas_is_warmed_and_moistened_on_paper():
    on_paper = (310.15 / 294.2611) * (101.325 / (101.325 - 6.28))

    assert SEA.of_free == pytest.approx(on_paper, rel=1e-6)


@given(st.floats(50.0, 110.0))
def test_the_higher_the_place_the_more_a_litre_comes_to(kpa):
    here = Litres(ambient_kpa=kpa, body_k=310.15, water_kpa=6.28)
    above = Litres(ambient_kpa=0.9 * kpa, body_k=310.15, water_kpa=6.28)

    assert above.of_free > here.of_free
    assert above.of_standard / above.of_free == pytest.approx(here.of_standard / here.of_free)


def test_a_room_at_sea_level_counts_as_free_gas_of_its_temperature():
    assert SEA.of_room(294.2611111) == pytest.approx(SEA.of_free, rel=1e-9)


def test_the_same_partial_pressure_is_a_larger_share_where_the_air_is_thin():
    fraction = HIGH.same_pressure(0.0141)

    assert fraction * (80.5 - 6.28) == pytest.approx(0.0141 * (101.325 - 6.28), rel=1e-12)


def test_oxygen_and_carbon_dioxide_are_counted_anew_and_nothing_else():
    body = reference_body(20.0)

    found = body_in_litres(body, SEA)

    assert found.oxygen_use_l_min == pytest.approx(body.oxygen_use_l_min * SEA.of_standard)
    assert found.co2_output_l_min == pytest.approx(body.co2_output_l_min * SEA.of_standard)
    assert np.array_equal(found.alveolar_l_min, body.alveolar_l_min)


def test_the_time_constant_of_an_empty_system_stays_what_it_is():
    system = System(kind=SystemKind.MIXED, inspiratory_l=4.0)
    pieces = [Setting(start_min=0.0, fresh_gas_l_min=2.0)]

    volume = system_in_litres(system, SEA, 294.2611111).inspiratory_l
    flow = settings_in_litres(pieces, SEA)[0].fresh_gas_l_min

    assert volume / flow == pytest.approx(2.0, rel=1e-9)


@pytest.mark.parametrize("kpa", [0.0, 200.0, float("nan")])
def test_a_pressure_that_no_place_has_is_refused(kpa):
    with pytest.raises(InvalidQuantity, match=r"ambient_kpa is .* between 30 and 120"):
        Litres(ambient_kpa=kpa, body_k=310.15, water_kpa=6.28)


def test_gas_of_no_temperature_is_refused():
    with pytest.raises(InvalidQuantity, match="temperature_k is 0"):
        SEA.of_room(0.0)
