import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.core.gas.ranges import IMPOSSIBLE, LIQUEFIED, PERMANENT, kelvins, permanent
from ullage.core import gas as g
from ullage.core.errors import InvalidQuantity
from ullage.core.gas import C0, C15, F70, Gas, properties, tables

# Densities at 70 °F and 1 atm, supply section 8 (computed with the property library).
AT_70_F = [
    (Gas.OXYGEN, 1.3261),
    (Gas.AIR, 1.2000),
    (Gas.NITROGEN, 1.1604),
    (Gas.NITROUS_OXIDE, 1.8332),
    (Gas.CARBON_DIOXIDE, 1.8323),
]


@pytest.mark.comparison
@pytest.mark.parametrize(("gas", "printed"), AT_70_F)
def test_free_gas_is_as_dense_as_the_fact_base_prints(gas, printed):
    assert g.free_density_kg_m3(gas) == pytest.approx(printed, abs=0.5e-4)


@pytest.mark.comparison
def test_oxygen_at_15_degrees_is_as_dense_as_the_fact_base_prints():
    assert g.free_density_kg_m3(Gas.OXYGEN, C15) == pytest.approx(1.3544, abs=0.5e-4)


@given(permanent, kelvins)
def test_a_gas_without_pressure_has_no_density_and_z_of_one(gas, kelvin):
    assert g.density_kg_m3(gas, kelvin, 0.0) == 0.0
    assert g.z_factor(gas, kelvin, 0.0) == 1.0
    assert g.z_factor(gas, kelvin, 1e-6) == pytest.approx(1.0, abs=1e-8)


@given(permanent, kelvins, st.floats(1.0, 31_000.0), st.floats(0.5, 400.0))
def test_more_pressure_is_more_density(gas, kelvin, pressure, more):
    assert g.density_kg_m3(gas, kelvin, pressure + more) > g.density_kg_m3(gas, kelvin, pressure)


@given(permanent, kelvins, st.floats(1.0, 30_000.0), st.floats(0.1, 20.0))
def test_more_warmth_is_less_density(gas, kelvin, pressure, more):
    assume(kelvin + more <= tables.HIGH_K)

    assert g.density_kg_m3(gas, kelvin + more, pressure) < g.density_kg_m3(gas, kelvin, pressure)


@given(permanent, kelvins, st.floats(10.0, 31_000.0))
def test_z_and_density_say_the_same(gas, kelvin, pressure):
    constant = tables.SPECIFIC_GAS_CONSTANT_J_KG_K[gas]
    ideal = 1000.0 * pressure / (constant * kelvin)

    product = g.z_factor(gas, kelvin, pressure) * g.density_kg_m3(gas, kelvin, pressure)
    assert product == pytest.approx(ideal, rel=1e-12)


@given(st.sampled_from(list(Gas)), st.lists(st.floats(0.0, 1500.0), min_size=1, max_size=5))
def test_many_points_are_the_same_as_one_by_one(gas, pressures):
    one_by_one = [g.density_kg_m3(gas, 290.0, one) for one in pressures]

    assert g.density_many_kg_m3(gas, 290.0, pressures) == pytest.approx(one_by_one, rel=1e-9)


def test_a_million_points_do_not_care_where_a_block_ends():
    pressures = np.linspace(100.0, 20_000.0, 20_001)
    kelvins_many = np.linspace(270.0, 310.0, 20_001)
    found = g.density_many_kg_m3(Gas.OXYGEN, kelvins_many, pressures)

    for at in (0, 8191, 8192, 16_383, 16_384, 20_000):
        alone = g.density_kg_m3(Gas.OXYGEN, float(kelvins_many[at]), float(pressures[at]))
        assert found[at] == pytest.approx(alone, rel=1e-12)


def test_shapes_join_as_numpy_joins_them():
    found = g.density_many_kg_m3(Gas.AIR, [[280.0], [300.0]], [100.0, 1000.0, 10_000.0])

    assert found.shape == (2, 3)
    assert found[1, 2] == pytest.approx(g.density_kg_m3(Gas.AIR, 300.0, 10_000.0), rel=1e-12)
    assert g.density_many_kg_m3(Gas.AIR, 300.0, 100.0).shape == ()


def test_z_of_many_points_is_that_of_each():
    found = g.z_factor_many(Gas.HELIUM, [250.0, 330.0], [5000.0, 30_000.0])

    assert found[0] == pytest.approx(g.z_factor(Gas.HELIUM, 250.0, 5000.0), rel=1e-12)
    assert found[1] == pytest.approx(g.z_factor(Gas.HELIUM, 330.0, 30_000.0), rel=1e-12)


@pytest.mark.comparison
@pytest.mark.parametrize(
    ("gas", "kelvin", "pressure"),
    [
        (Gas.OXYGEN, 200.0, 5000.0),
        (Gas.OXYGEN, 90.0, 500.0),
        (Gas.NITROGEN, 400.0, 10_000.0),
        (Gas.HELIUM, 300.0, 60_000.0),
        (Gas.NITROUS_OXIDE, 330.0, 8000.0),
        (Gas.NITROUS_OXIDE, 293.15, 8000.0),
        (Gas.CARBON_DIOXIDE, 303.9, 7000.0),
    ],
)
def test_elsewhere_the_property_library_answers(gas, kelvin, pressure):
    reference = properties.density_reference_kg_m3(gas, kelvin, pressure)

    assert g.density_kg_m3(gas, kelvin, pressure) == reference


@pytest.mark.comparison
@pytest.mark.parametrize("gas", LIQUEFIED)
@pytest.mark.parametrize("below_critical_k", [0.2, 0.999, 1.001, 5.0, 40.0])
def test_at_saturation_itself_it_is_the_vapour(gas, below_critical_k):
    kelvin = tables.CRITICAL_K[gas] - below_critical_k
    reference = properties.saturated_vapour_reference_kg_m3(gas, kelvin)

    # The library refuses pressures within a millionth of saturation: they count as saturation.
    for share in (1.0, 1.0 + 1e-6):
        found = g.density_kg_m3(gas, kelvin, share * g.saturation_kpa(gas, kelvin))
        assert found == pytest.approx(reference, rel=1e-5)


@given(st.sampled_from(list(Gas)), st.floats(0.0, 1e6))
def test_litres_and_kilograms_of_free_gas_go_back_and_forth(gas, litres):
    back = g.mass_kg(gas, litres, C0) * g.litres_per_kg(gas, C0)

    assert back == pytest.approx(litres, rel=1e-12)


@pytest.mark.parametrize("gas", PERMANENT)
@pytest.mark.parametrize("wrong", IMPOSSIBLE)
def test_a_number_that_is_none_is_refused(gas, wrong):
    with pytest.raises(InvalidQuantity, match=r"absolute_kpa is .*; it must be 0 or more"):
        g.density_kg_m3(gas, 293.15, wrong)
    with pytest.raises(InvalidQuantity, match=r"temperature_k is .*; it must be a number above 0"):
        g.density_kg_m3(gas, wrong, 100.0)


@pytest.mark.parametrize("wrong", [float("nan"), 31_501.0, -0.1])
def test_one_wrong_point_among_many_is_named(wrong):
    with pytest.raises(InvalidQuantity, match=r"absolute_kpa is .*between 0 and 31500"):
        g.density_many_kg_m3(Gas.OXYGEN, 293.15, [100.0, wrong, 200.0])


@pytest.mark.parametrize("wrong", [float("nan"), 233.0, 344.0])
def test_one_wrong_temperature_among_many_is_named(wrong):
    with pytest.raises(InvalidQuantity, match=r"temperature_k is .*between 233.15 and 343.15"):
        g.density_many_kg_m3(Gas.OXYGEN, [293.15, wrong], [100.0, 200.0])


@pytest.mark.parametrize("wrong", [float("nan"), 5200.0, -1.0])
def test_liquid_is_no_answer_for_many_points_of_vapour(wrong):
    with pytest.raises(InvalidQuantity, match=r"absolute_kpa .* saturation pressure, 5052"):
        g.density_many_kg_m3(Gas.NITROUS_OXIDE, 293.15, [1000.0, wrong])


def test_a_state_beyond_every_equation_is_said_to_be():
    with pytest.raises(InvalidQuantity, match=r"temperature_k is 20; it must be between 182.33"):
        g.density_kg_m3(Gas.NITROUS_OXIDE, 20.0, 100.0)


def test_the_three_conditions_differ_as_absolute_temperature_does():
    at_70, at_15, at_0 = (g.litres_per_kg(Gas.OXYGEN, one) for one in (F70, C15, C0))

    assert at_15 / at_70 == pytest.approx(0.9792, rel=0.0005)
    assert at_0 / at_70 == pytest.approx(0.9283, rel=0.0005)
