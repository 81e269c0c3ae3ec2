"""The door to the property library: its errors become ours, and it opens late."""

import subprocess
import sys

import pytest

from ullage.core.errors import InvalidQuantity, SolveFailed, UllageError
from ullage.core.gas import Gas, properties

REFERENCES = [
    properties.density_reference_kg_m3,
    properties.vapour_density_reference_kg_m3,
    properties.pressure_reference_kpa,
    properties.viscosity_reference_pa_s,
    properties.heat_capacity_ratio_reference,
]
LINES = [
    properties.saturation_reference_kpa,
    properties.saturated_liquid_reference_kg_m3,
    properties.saturated_vapour_reference_kg_m3,
]


# S46, NIST reference-fluid table of nitrous oxide: 750 psia at 21.025 °C, 777.11 and 163.61.
@pytest.mark.published("supply_S46")
def test_the_library_says_what_a_published_saturation_table_prints():
    at = 273.15 + 21.025

    saturation = properties.saturation_reference_kpa(Gas.NITROUS_OXIDE, at)
    assert saturation == pytest.approx(5171.07, rel=2e-5)
    liquid = properties.saturated_liquid_reference_kg_m3(Gas.NITROUS_OXIDE, at)
    assert liquid == pytest.approx(777.11, abs=0.02)
    vapour = properties.saturated_vapour_reference_kg_m3(Gas.NITROUS_OXIDE, at)
    assert vapour == pytest.approx(163.61, abs=0.02)


@pytest.mark.parametrize("function", REFERENCES, ids=lambda f: f.__name__)
@pytest.mark.parametrize("wrong", [float("nan"), 0.0, -1.0, float("inf")])
def test_a_pressure_or_density_that_is_none_is_refused(function, wrong):
    with pytest.raises(InvalidQuantity, match="a number above 0"):
        function(Gas.OXYGEN, 293.15, wrong)


@pytest.mark.parametrize("function", REFERENCES, ids=lambda f: f.__name__)
@pytest.mark.parametrize("wrong", [float("nan"), 20.0, 3000.0])
def test_a_temperature_that_the_equation_does_not_cover_is_refused(function, wrong):
    with pytest.raises(InvalidQuantity, match=r"temperature_k is .*between 54\.361 and 2000"):
        function(Gas.OXYGEN, wrong, 100.0)


@pytest.mark.parametrize("function", LINES, ids=lambda f: f.__name__)
def test_where_there_is_no_saturation_the_failure_is_ours(function):
    with pytest.raises(SolveFailed, match="The equation of state gives no answer"):
        function(Gas.OXYGEN, 200.0)


def test_no_viscosity_of_nitrous_oxide_is_made_up():
    with pytest.raises(SolveFailed, match="Viscosity model is not available"):
        properties.viscosity_reference_pa_s(Gas.NITROUS_OXIDE, 293.15, 101.325)


def test_a_mean_density_between_liquid_and_vapour_stands_at_saturation():
    stands = properties.saturation_reference_kpa(Gas.CARBON_DIOXIDE, 293.15)

    for density in (200.0, 500.0, 760.0):
        found = properties.pressure_reference_kpa(Gas.CARBON_DIOXIDE, 293.15, density)
        assert found == pytest.approx(stands, rel=1e-9)


def test_the_library_is_named_with_its_version():
    assert properties.library_version().startswith("CoolProp ")


def test_every_gas_has_its_equation():
    for gas in Gas:
        constants = properties.fluid_constants(gas)
        assert constants.triple_temperature_k < constants.critical_temperature_k
        assert constants.critical_kpa > 0.0


def test_every_failure_has_our_one_base():
    assert issubclass(SolveFailed, UllageError)
    assert issubclass(InvalidQuantity, UllageError)


COLD = """
import sys
from ullage.core import gas as g
from ullage.core.exposure import room_oxygen_after_fraction
from ullage.core.gas import Gas
g.contents_l(Gas.OXYGEN, 4.76, 6894.8, 293.15)
g.gauge_kpa_from_contents(Gas.AIR, 4.76, 300.0, 293.15)
g.contents_l(Gas.NITROUS_OXIDE, 4.76, 2757.9, 293.15)
g.liquefied_contents_l(Gas.NITROUS_OXIDE, 8.1, 6.9)
g.filled_gauge_kpa(Gas.CARBON_DIOXIDE, 600.0, 293.15)
g.liquid_full_temperature_k(Gas.NITROUS_OXIDE, 680.0)
g.orifice_flow_l_min(Gas.OXYGEN, 0.5, 0.61, 344.7, 294.3)
g.liquid_oxygen_gas_l(30.0)
g.wrong_gas_factor(Gas.OXYGEN, Gas.AIR)
room_oxygen_after_fraction(30.0, 660.0)
print(sorted({"numpy", "scipy", "CoolProp", "django"} & set(sys.modules)))
"""


def test_one_number_loads_neither_numpy_nor_the_property_library():
    said = subprocess.run(
        [sys.executable, "-c", COLD], capture_output=True, text=True, check=True
    ).stdout

    assert said.strip() == "[]"
