"""The place of a site: what was read comes before what is worked out."""

import pytest

from ullage.answers.places import place_at
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
