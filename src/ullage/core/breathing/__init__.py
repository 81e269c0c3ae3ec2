"""Breathing systems: fresh gas, rebreathing, sizes, absorbent and which suits a weight."""

from ullage.core.breathing.absorbent import (
    absorbed_from_weight_l,
    absorbent_capacity_l,
    absorbent_life_h,
    vented_fraction,
)
from ullage.core.breathing.evaporation import evaporated_fraction, liquid_for_level_ml
from ullage.core.breathing.fresh_gas import (
    flow_by_minute_volume_l_min,
    flow_by_weight_l_min,
    manifold_flow_l_min,
    peak_inspiratory_flow_l_min,
)
from ullage.core.breathing.leak_tests import (
    fall_leak_l_min,
    filling_flow_l_min,
    filling_min,
    gas_compliance_l_kpa,
    leak_in_step_l_min,
    leak_through_hole_l_min,
    measured_compliance_l_kpa,
    parts_compliance_l_kpa,
    pressure_hole_mean_kpa,
    pressure_in_step_mean_kpa,
)
from ullage.core.breathing.rebreathing import (
    Breath,
    Rebreathed,
    co2_completely_mixed_fraction,
    co2_floor_fraction,
    co2_mixed_expired_fraction,
    fresh_gas_without_rebreathing_l_min,
    rebreathed,
)
from ullage.core.breathing.sizing import (
    bag_volume_l,
    chamber_fraction,
    hose_volume_l,
    minutes_to_share_min,
    next_size_l,
    time_constant_min,
)
from ullage.core.breathing.suitability import WeightBand, suitability_fraction

__all__ = [
    "Breath",
    "Rebreathed",
    "WeightBand",
    "absorbed_from_weight_l",
    "absorbent_capacity_l",
    "absorbent_life_h",
    "bag_volume_l",
    "chamber_fraction",
    "co2_completely_mixed_fraction",
    "co2_floor_fraction",
    "co2_mixed_expired_fraction",
    "evaporated_fraction",
    "fall_leak_l_min",
    "filling_flow_l_min",
    "filling_min",
    "flow_by_minute_volume_l_min",
    "flow_by_weight_l_min",
    "fresh_gas_without_rebreathing_l_min",
    "gas_compliance_l_kpa",
    "hose_volume_l",
    "leak_in_step_l_min",
    "leak_through_hole_l_min",
    "liquid_for_level_ml",
    "manifold_flow_l_min",
    "measured_compliance_l_kpa",
    "minutes_to_share_min",
    "next_size_l",
    "parts_compliance_l_kpa",
    "peak_inspiratory_flow_l_min",
    "pressure_hole_mean_kpa",
    "pressure_in_step_mean_kpa",
    "rebreathed",
    "suitability_fraction",
    "time_constant_min",
    "vented_fraction",
]
