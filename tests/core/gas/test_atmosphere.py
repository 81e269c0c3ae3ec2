import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.core import gas as g
from ullage.core.errors import InvalidQuantity


def test_at_sea_level_it_is_one_atmosphere():
    assert g.standard_atmosphere_kpa(0.0) == 101.325


# Supply section 5: 1500, 1609 and 3000 m with their pressures; computed.
@pytest.mark.parametrize(("metres", "kpa"), [(1500.0, 84.6), (1609.0, 83.4), (3000.0, 70.1)])
def test_it_thins_as_the_fact_base_prints(metres, kpa):
    assert g.standard_atmosphere_kpa(metres) == pytest.approx(kpa, abs=0.051)


@given(st.floats(-490.0, 10_990.0))
def test_the_elevation_of_a_pressure_is_found_back(metres):
    pressure = g.standard_atmosphere_kpa(metres)

    assert g.standard_elevation_m(pressure) == pytest.approx(metres, abs=1e-6)


@given(st.floats(-500.0, 10_000.0), st.floats(1.0, 900.0))
def test_higher_is_thinner(metres, more):
    assert g.standard_atmosphere_kpa(metres + more) < g.standard_atmosphere_kpa(metres)


@pytest.mark.parametrize("wrong", [-501.0, 11_001.0, float("nan"), float("inf")])
def test_an_elevation_outside_the_lowest_layer_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=r"elevation_m is .*between -500 and 11000"):
        g.standard_atmosphere_kpa(wrong)


@pytest.mark.parametrize("wrong", [20.0, 110.0, float("nan")])
def test_a_pressure_that_no_place_has_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match=r"absolute_kpa is .*between 22.64 and 107.4"):
        g.standard_elevation_m(wrong)
