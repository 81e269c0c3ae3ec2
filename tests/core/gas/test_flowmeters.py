from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.gas.ranges import ambients_kpa, kelvins
from ullage.core import gas as g
from ullage.core.errors import InvalidQuantity, UnknownReference
from ullage.core.gas import FloatShape, Gas
from ullage.core.units import PSI_KPA, STANDARD_ATMOSPHERE_KPA

known_viscosity = st.sampled_from([gas for gas in Gas if gas is not Gas.NITROUS_OXIDE])


# Supply section 5: pressure in kPa, ambient and standard factor; computed by the rule of S55.
@pytest.mark.parametrize(
    ("kpa", "ambient", "standard"),
    [(84.6, 1.095, 0.914), (83.4, 1.102, 0.907), (70.1, 1.202, 0.832)],
)
def test_altitude_moves_a_reading_as_the_fact_base_prints(kpa, ambient, standard):
    assert g.ambient_flow_factor(kpa) == pytest.approx(ambient, abs=0.001)
    assert g.standard_flow_factor(kpa) == pytest.approx(standard, abs=0.001)


# Supply section 5: an oxygen tube at 50 psi with a scale for one atmosphere; computed.
def test_a_tube_under_pressure_lets_through_twice_what_it_says():
    under_pressure = 50.0 * PSI_KPA + STANDARD_ATMOSPHERE_KPA

    assert g.standard_flow_factor(under_pressure) == pytest.approx(2.10, abs=0.005)


@given(ambients_kpa, kelvins)
def test_more_thin_litres_pass_and_fewer_leave_the_cylinder(kpa, temperature):
    ambient = g.ambient_flow_factor(kpa, temperature)
    standard = g.standard_flow_factor(kpa, temperature)

    assert ambient * standard == pytest.approx(1.0)
    # Litres in the tube counted at the scale's own condition: the gas law joins the two.
    counted = kpa / STANDARD_ATMOSPHERE_KPA * 294.2611111111111 / temperature
    assert ambient * counted == pytest.approx(standard)


def test_where_the_scale_was_made_nothing_is_corrected():
    assert g.ambient_flow_factor(STANDARD_ATMOSPHERE_KPA) == 1.0
    assert g.standard_flow_l_min(3.0, STANDARD_ATMOSPHERE_KPA) == pytest.approx(3.0)


@given(st.sampled_from(list(Gas)), st.sampled_from(list(Gas)))
def test_a_wrong_gas_there_and_back_cancels(one, other):
    assert g.wrong_gas_factor(one, other) * g.wrong_gas_factor(other, one) == pytest.approx(1.0)


@given(known_viscosity, known_viscosity, known_viscosity)
def test_viscosity_factors_chain(one, two, three):
    chained = g.low_flow_gas_factor(one, two) * g.low_flow_gas_factor(two, three)

    assert chained == pytest.approx(g.low_flow_gas_factor(one, three))


def test_helium_flows_nearly_three_times_high_in_an_oxygen_tube_and_about_the_same_low_in_it():
    assert g.wrong_gas_factor(Gas.OXYGEN, Gas.HELIUM) == pytest.approx(
        sqrt(31.9988 / 4.0026), rel=0.001
    )
    assert g.low_flow_gas_factor(Gas.OXYGEN, Gas.HELIUM) == pytest.approx(1.03, abs=0.02)


@pytest.mark.parametrize("pair", [(Gas.OXYGEN, Gas.NITROUS_OXIDE), (Gas.NITROUS_OXIDE, Gas.AIR)])
def test_a_viscosity_that_we_do_not_hold_is_not_made_up(pair):
    with pytest.raises(UnknownReference, match="No viscosity of nitrous oxide is held"):
        g.low_flow_gas_factor(*pair)


@given(st.floats(0.0, 15.0), ambients_kpa)
def test_all_corrections_are_multiplied(indicated, kpa):
    found = g.standard_flow_l_min(indicated, kpa, 283.15, Gas.OXYGEN, Gas.AIR)
    factor = g.standard_flow_factor(kpa, 283.15) * g.wrong_gas_factor(Gas.OXYGEN, Gas.AIR)

    assert found == pytest.approx(indicated * factor)


# S74: a ball at its centre, a bobbin at its top.
@pytest.mark.published("supply_S74")
def test_a_ball_is_read_at_its_centre_and_a_bobbin_at_its_top():
    assert g.reading_place(FloatShape.BALL) == "centre"
    assert g.reading_place(FloatShape.BOBBIN) == "top"


@pytest.mark.parametrize("wrong", [0.0, -1.0, float("nan"), float("inf")])
def test_a_pressure_or_temperature_that_is_none_is_refused(wrong):
    with pytest.raises(InvalidQuantity, match="tube_kpa"):
        g.ambient_flow_factor(wrong)
    with pytest.raises(InvalidQuantity, match="temperature_k"):
        g.standard_flow_factor(101.0, wrong)
    with pytest.raises(InvalidQuantity, match="calibrated_kpa"):
        g.ambient_flow_factor(101.0, calibrated_kpa=wrong)


def test_a_negative_flow_is_refused():
    with pytest.raises(InvalidQuantity, match="indicated_l_min is -1; it must be 0 or more"):
        g.standard_flow_l_min(-1.0, 101.0)
