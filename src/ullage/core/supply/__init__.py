"""Demand against supply: what a source can give, for how long, and how sure that is.

Nothing heavy is loaded here: numpy is imported inside the functions that need it.
"""

from ullage.core.supply.band import (
    CylinderBands,
    CylinderState,
    Doubt,
    Spread,
    amount_bands,
    cylinder_bands,
)
from ullage.core.supply.demand import (
    CaseDemand,
    MachineDemand,
    Stretch,
    chamber_l,
    concurrent_peak_l_min,
    drive_gas_l_min,
    flush_l,
    leak_lost_l,
    stretch_l,
    whistle_l,
)
from ullage.core.supply.linear_rule import (
    linear_rule_error_share,
    linear_rule_factor_l_kpa,
    linear_rule_l,
    linear_rule_min,
)
from ullage.core.supply.reserve import ReserveRule, kept_back_l, reserve_from_minutes_l
from ullage.core.supply.runout import (
    Band,
    DemandCurve,
    Flowing,
    Loss,
    Timeline,
    band_of,
    chance_before,
    demand_curve,
    drawn_shares,
    timeline,
    worst_minute_min,
)
from ullage.core.supply.sources import (
    concentrator_shortfall_l_min,
    endurance_min,
    in_turn_l,
    liquid_loss_l_min,
    usable_l,
)

__all__ = [
    "Band",
    "CaseDemand",
    "CylinderBands",
    "CylinderState",
    "DemandCurve",
    "Doubt",
    "Flowing",
    "Loss",
    "MachineDemand",
    "ReserveRule",
    "Spread",
    "Stretch",
    "Timeline",
    "amount_bands",
    "band_of",
    "chamber_l",
    "chance_before",
    "concentrator_shortfall_l_min",
    "concurrent_peak_l_min",
    "cylinder_bands",
    "demand_curve",
    "drawn_shares",
    "drive_gas_l_min",
    "endurance_min",
    "flush_l",
    "in_turn_l",
    "kept_back_l",
    "leak_lost_l",
    "linear_rule_error_share",
    "linear_rule_factor_l_kpa",
    "linear_rule_l",
    "linear_rule_min",
    "liquid_loss_l_min",
    "reserve_from_minutes_l",
    "stretch_l",
    "timeline",
    "usable_l",
    "whistle_l",
    "worst_minute_min",
]
