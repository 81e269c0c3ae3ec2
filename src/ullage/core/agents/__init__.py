"""Agents in numbers: vapour, vaporizers, mixtures, use, and what changes their potency."""

from ullage.core.agents.mixtures import (
    liquid_mole_fraction,
    mixture_output_fraction,
    mixture_vapour_kpa,
)
from ullage.core.agents.potency import (
    anaesthetic_depth,
    mac_at_age_fraction,
    mac_at_pressure_fraction,
    mac_at_temperature_fraction,
    mac_emax_fraction,
    mac_reduced_fraction,
    mac_with_nitrous_oxide_fraction,
)
from ullage.core.agents.use import (
    climate_kg_h,
    liquid_lasts_min,
    liquid_price,
    liquid_use_ml_h,
    vapour_in_carrier_l_min,
    vapour_in_outlet_l_min,
    vapour_mass_kg_h,
)
from ullage.core.agents.vaporizers import (
    bypass_per_chamber,
    heated_dial_fraction,
    measured_flow_fraction,
    partial_pressure_output_fraction,
    saturation_ratio,
    splitting_output_fraction,
    splitting_pressure_output_fraction,
    splitting_share,
    wrong_agent_fraction,
)
from ullage.core.agents.vapour import (
    MOLAR_GAS_J_MOL_K,
    VapourLine,
    boiling_point_k,
    molar_volume_l_mol,
    vapour_per_liquid_l_l,
    vapour_pressure_kpa,
)

__all__ = [
    "MOLAR_GAS_J_MOL_K",
    "VapourLine",
    "anaesthetic_depth",
    "boiling_point_k",
    "bypass_per_chamber",
    "climate_kg_h",
    "heated_dial_fraction",
    "liquid_lasts_min",
    "liquid_mole_fraction",
    "liquid_price",
    "liquid_use_ml_h",
    "mac_at_age_fraction",
    "mac_at_pressure_fraction",
    "mac_at_temperature_fraction",
    "mac_emax_fraction",
    "mac_reduced_fraction",
    "mac_with_nitrous_oxide_fraction",
    "measured_flow_fraction",
    "mixture_output_fraction",
    "mixture_vapour_kpa",
    "molar_volume_l_mol",
    "partial_pressure_output_fraction",
    "saturation_ratio",
    "splitting_output_fraction",
    "splitting_pressure_output_fraction",
    "splitting_share",
    "vapour_in_carrier_l_min",
    "vapour_in_outlet_l_min",
    "vapour_mass_kg_h",
    "vapour_per_liquid_l_l",
    "vapour_pressure_kpa",
    "wrong_agent_fraction",
]
