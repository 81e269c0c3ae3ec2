"""Demand against supply: what a source can give, for how long, and how sure that is.

A name is loaded when it is asked for, and numpy inside the functions that need it, so that a
question about one cylinder starts cold within a fraction of a second.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ullage.core.supply.band import CylinderBands as CylinderBands
    from ullage.core.supply.band import CylinderState as CylinderState
    from ullage.core.supply.band import Doubt as Doubt
    from ullage.core.supply.band import Spread as Spread
    from ullage.core.supply.band import amount_bands as amount_bands
    from ullage.core.supply.band import cylinder_bands as cylinder_bands
    from ullage.core.supply.demand import CaseDemand as CaseDemand
    from ullage.core.supply.demand import MachineDemand as MachineDemand
    from ullage.core.supply.demand import Stretch as Stretch
    from ullage.core.supply.demand import chamber_l as chamber_l
    from ullage.core.supply.demand import concurrent_peak_l_min as concurrent_peak_l_min
    from ullage.core.supply.demand import drive_gas_l_min as drive_gas_l_min
    from ullage.core.supply.demand import flush_l as flush_l
    from ullage.core.supply.demand import leak_lost_l as leak_lost_l
    from ullage.core.supply.demand import stretch_l as stretch_l
    from ullage.core.supply.demand import whistle_l as whistle_l
    from ullage.core.supply.linear_rule import linear_rule_error_share as linear_rule_error_share
    from ullage.core.supply.linear_rule import linear_rule_factor_l_kpa as linear_rule_factor_l_kpa
    from ullage.core.supply.linear_rule import linear_rule_l as linear_rule_l
    from ullage.core.supply.linear_rule import linear_rule_min as linear_rule_min
    from ullage.core.supply.reserve import ReserveRule as ReserveRule
    from ullage.core.supply.reserve import kept_back_l as kept_back_l
    from ullage.core.supply.reserve import reserve_from_minutes_l as reserve_from_minutes_l
    from ullage.core.supply.runout import Band as Band
    from ullage.core.supply.runout import DemandCurve as DemandCurve
    from ullage.core.supply.runout import Flowing as Flowing
    from ullage.core.supply.runout import Loss as Loss
    from ullage.core.supply.runout import Timeline as Timeline
    from ullage.core.supply.runout import band_of as band_of
    from ullage.core.supply.runout import chance_before as chance_before
    from ullage.core.supply.runout import demand_curve as demand_curve
    from ullage.core.supply.runout import drawn_shares as drawn_shares
    from ullage.core.supply.runout import timeline as timeline
    from ullage.core.supply.runout import worst_minute_min as worst_minute_min
    from ullage.core.supply.sources import (
        concentrator_shortfall_l_min as concentrator_shortfall_l_min,
    )
    from ullage.core.supply.sources import endurance_min as endurance_min
    from ullage.core.supply.sources import in_turn_l as in_turn_l
    from ullage.core.supply.sources import liquid_loss_l_min as liquid_loss_l_min
    from ullage.core.supply.sources import usable_l as usable_l

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

#: Name -> module that holds it.
_HOMES = {
    "Band": "runout",
    "CaseDemand": "demand",
    "CylinderBands": "band",
    "CylinderState": "band",
    "DemandCurve": "runout",
    "Doubt": "band",
    "Flowing": "runout",
    "Loss": "runout",
    "MachineDemand": "demand",
    "ReserveRule": "reserve",
    "Spread": "band",
    "Stretch": "demand",
    "Timeline": "runout",
    "amount_bands": "band",
    "band_of": "runout",
    "chamber_l": "demand",
    "chance_before": "runout",
    "concentrator_shortfall_l_min": "sources",
    "concurrent_peak_l_min": "demand",
    "cylinder_bands": "band",
    "demand_curve": "runout",
    "drawn_shares": "runout",
    "drive_gas_l_min": "demand",
    "endurance_min": "sources",
    "flush_l": "demand",
    "in_turn_l": "sources",
    "kept_back_l": "reserve",
    "leak_lost_l": "demand",
    "linear_rule_error_share": "linear_rule",
    "linear_rule_factor_l_kpa": "linear_rule",
    "linear_rule_l": "linear_rule",
    "linear_rule_min": "linear_rule",
    "liquid_loss_l_min": "sources",
    "reserve_from_minutes_l": "reserve",
    "stretch_l": "demand",
    "timeline": "runout",
    "usable_l": "sources",
    "whistle_l": "demand",
    "worst_minute_min": "runout",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)  # what Python itself expects of a module
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
