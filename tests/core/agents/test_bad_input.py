"""What the formulas of agents refuse, each by the name of the quantity."""

import pytest

from tests.core.agents.lines import LINES
from ullage.core import agents
from ullage.core.errors import InvalidQuantity

NAN, INFINITY = float("nan"), float("inf")

#: Function, arguments with one that cannot be, and the name that the refusal must say.
REFUSED = [
    ("boiling_point_k", (LINES["isoflurane"], 0.0), "absolute_kpa"),
    ("molar_volume_l_mol", (-1.0, 101.3), "temperature_k"),
    ("vapour_per_liquid_l_l", (0.0, 184.5), "liquid_kg_m3"),
    ("vapour_per_liquid_l_l", (1500.0, NAN), "molar_mass_g_mol"),
    ("saturation_ratio", (0.0, 101.3), "vapour_kpa"),
    ("saturation_ratio", (30.0, INFINITY), "absolute_kpa"),
    ("splitting_output_fraction", (1.1, 30.0, 101.3), "share"),
    ("splitting_share", (-0.01, 30.0, 101.3), "dial_fraction"),
    ("splitting_share", (NAN, 30.0, 101.3), "dial_fraction"),
    ("bypass_per_chamber", (0.0,), "share"),
    ("partial_pressure_output_fraction", (1.2, 80.0), "dial_fraction"),
    ("partial_pressure_output_fraction", (0.02, 0.0), "absolute_kpa"),
    ("heated_dial_fraction", (0.06, NAN), "absolute_kpa"),
    ("measured_flow_fraction", (-0.1, 5.0, 30.0, 101.3), "chamber_l_min"),
    ("wrong_agent_fraction", (0.02, 20.0, 120.0, 101.3), "vapour_kpa"),
    ("liquid_mole_fraction", (-1.0, 8.0, 1.0, 7.0), "liquid_ml"),
    ("liquid_mole_fraction", (1.0, 0.0, 1.0, 7.0), "molar_density"),
    ("mixture_vapour_kpa", (1.5, 30.0, 20.0), "mole_fraction"),
    ("mixture_output_fraction", (0.5, 30.0, 20.0, -0.1, 101.3), "share"),
    ("vapour_in_outlet_l_min", (1.5, 1.0), "fraction"),
    ("vapour_in_carrier_l_min", (0.02, -1.0), "carrier_l_min"),
    ("liquid_use_ml_h", (0.02, 0.0), "vapour_per_liquid_l_l"),
    ("liquid_lasts_min", (-5.0, 10.0), "liquid_ml"),
    ("liquid_price", (10.0, 0.0, 50.0), "bottle_ml"),
    ("liquid_price", (10.0, 250.0, -1.0), "bottle_price"),
    ("vapour_mass_kg_h", (-0.1, 184.5, 24.06), "vapour_l_min"),
    ("vapour_mass_kg_h", (0.1, 0.0, 24.06), "molar_mass_g_mol"),
    ("climate_kg_h", (0.1, 184.5, -1.0, 24.06), "warming"),
    ("climate_kg_h", (0.1, 184.5, 510.0, 0.0), "molar_volume_l_mol"),
    ("mac_at_pressure_fraction", (0.02, 0.0), "absolute_kpa"),
    ("mac_with_nitrous_oxide_fraction", (0.02, 1.2, 2.0), "nitrous_fraction"),
    ("mac_with_nitrous_oxide_fraction", (0.02, 0.5, 0.0), "nitrous_mac_fraction"),
    ("mac_emax_fraction", (0.02, 0.03, 1.0, 1.0), "most_fraction"),
    ("mac_emax_fraction", (0.02, 0.01, -1.0, 1.0), "concentration"),
    ("mac_reduced_fraction", (0.0, (0.2,)), "mac_fraction"),
    ("anaesthetic_depth", ((-0.01,), (0.02,)), "fraction"),
]


@pytest.mark.parametrize(
    ("name", "arguments", "said"), REFUSED, ids=[f"{one[0]}-{one[2]}" for one in REFUSED]
)
def test_what_cannot_be_is_refused_by_the_name_of_the_quantity(name, arguments, said):
    with pytest.raises(InvalidQuantity, match=f"^{said} "):
        getattr(agents, name)(*arguments)


def test_every_formula_of_the_room_refuses_something_here_or_in_its_own_file():
    elsewhere = {"vapour_pressure_kpa", "splitting_pressure_output_fraction"}
    elsewhere |= {"mac_at_age_fraction", "mac_at_temperature_fraction"}
    functions = {one for one in agents.__all__ if one[0].islower()}

    assert functions == {one[0] for one in REFUSED} | elsewhere
