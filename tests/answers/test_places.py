"""The place of a site: what was read comes before what is worked out."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.answers.places import place_at
from ullage.core.errors import InvalidQuantity, UnknownReference, UnreadableQuantity
from ullage.core.gas import C15, F70


def test_sea_level_is_taken_where_nobody_has_said():
    assert place_at().barometric_kpa == 101.325


def test_the_air_of_a_height_is_that_of_the_standard_atmosphere():
    # ISO 2533: 84.556 kPa at 1500 m; from memory, the formula is the definition itself.
    assert place_at(elevation_m=1500.0).barometric_kpa == pytest.approx(84.556, abs=0.005)


def test_a_barometer_comes_before_the_height():
    assert place_at(barometric_kpa=80.0, elevation_m=0.0).barometric_kpa == 80.0


def test_units_condition_and_warmth_are_those_of_the_site():
    place = place_at(temperature_k=299.0, condition="70F", pressure_unit="psi")

    assert (place.temperature_k, place.condition, place.pressure_unit) == (299.0, F70, "psi")
    assert place_at().condition == C15


@pytest.mark.parametrize("condition", ["25C", "", "70f"])
def test_litres_of_a_condition_that_nobody_knows_are_refused(condition):
    with pytest.raises(UnknownReference, match=r"No condition of litres .*70F, 15C, 0C"):
        place_at(condition=condition)


@pytest.mark.parametrize("unit", ["furlong", "", "L"])
def test_a_gauge_in_no_unit_of_pressure_is_refused(unit):
    with pytest.raises(UnreadableQuantity, match="pressure"):
        place_at(pressure_unit=unit)


@pytest.mark.parametrize("elevation_m", [-501.0, 11_001.0, float("nan"), float("inf")])
def test_a_height_at_which_nobody_works_is_refused(elevation_m):
    with pytest.raises(InvalidQuantity, match="elevation_m is "):
        place_at(elevation_m=elevation_m)


@settings(max_examples=40, deadline=None)
@given(st.floats(-450, 5500), st.floats(-450, 5500))
def test_the_air_is_thinner_the_higher_one_stands(one, other):
    low, high = (place_at(elevation_m=at).barometric_kpa for at in sorted((one, other)))

    assert high <= low
    # ISO 2533, its formula: 101.325 (1 - 0.0065 h / 288.15)^5.2559.
    on_paper = 101.325 * (1 - 0.0065 * max(one, other) / 288.15) ** 5.25588
    assert high == pytest.approx(on_paper, rel=3e-3)
