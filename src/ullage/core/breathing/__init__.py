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
from ullage.core.breathing.rebreathing import (
    Breath,
    Rebreathed,
    co2_completely_mixed_fraction,
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
    "co2_mixed_expired_fraction",
    "evaporated_fraction",
    "flow_by_minute_volume_l_min",
    "flow_by_weight_l_min",
    "fresh_gas_without_rebreathing_l_min",
    "hose_volume_l",
    "liquid_for_level_ml",
    "manifold_flow_l_min",
    "minutes_to_share_min",
    "next_size_l",
    "peak_inspiratory_flow_l_min",
    "rebreathed",
    "suitability_fraction",
    "time_constant_min",
    "vented_fraction",
]
