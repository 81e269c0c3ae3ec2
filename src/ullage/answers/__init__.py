"""Things as they stand in the room turned into answers.

What the other faces need is offered here by name and loaded when it is asked for, so that a
command that needs little starts fast.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from ullage.answers.answer import CAUTION_LINE, Answer, Step, Verdict, View, WhereFrom

if TYPE_CHECKING:
    from ullage.answers.animal_things import Animal as Animal
    from ullage.answers.animal_things import AnimalValue as AnimalValue
    from ullage.answers.animals import animal as animal
    from ullage.answers.animals import species_offered as species_offered
    from ullage.answers.chain import chain_by_part as chain_by_part
    from ullage.answers.chain import chain_links as chain_links
    from ullage.answers.chain import chain_verdict as chain_verdict
    from ullage.answers.day import day_supply as day_supply
    from ullage.answers.formulas import formula_result as formula_result
    from ullage.answers.history import CylinderHistory as CylinderHistory
    from ullage.answers.history import accused as accused
    from ullage.answers.history import cylinder_history as cylinder_history
    from ullage.answers.holds import Watch as Watch
    from ullage.answers.holds import gauge_holds as gauge_holds
    from ullage.answers.lasts import OtherDemand as OtherDemand
    from ullage.answers.lasts import cylinder_contents as cylinder_contents
    from ullage.answers.lasts import cylinder_lasts as cylinder_lasts
    from ullage.answers.mac import Mac as Mac
    from ullage.answers.mac import mac_of as mac_of
    from ullage.answers.outlook import CaseChance as CaseChance
    from ullage.answers.outlook import DaySupply as DaySupply
    from ullage.answers.outlook import SourceOutlook as SourceOutlook
    from ullage.answers.pipeline_failed import pipeline_failed_steps as pipeline_failed_steps
    from ullage.answers.places import place_at as place_at
    from ullage.answers.presets import cylinder_of_size as cylinder_of_size
    from ullage.answers.presets import reserve_read as reserve_read
    from ullage.answers.reading_asked import reading_asked as reading_asked
    from ullage.answers.site import site_air_pressure as site_air_pressure
    from ullage.answers.site import site_reserve as site_reserve

__all__ = [
    "CAUTION_LINE",
    "Animal",
    "AnimalValue",
    "Answer",
    "CaseChance",
    "CylinderHistory",
    "DaySupply",
    "Mac",
    "OtherDemand",
    "SourceOutlook",
    "Step",
    "Verdict",
    "View",
    "Watch",
    "WhereFrom",
    "accused",
    "animal",
    "chain_by_part",
    "chain_links",
    "chain_verdict",
    "cylinder_contents",
    "cylinder_history",
    "cylinder_lasts",
    "cylinder_of_size",
    "day_supply",
    "formula_result",
    "gauge_holds",
    "mac_of",
    "pipeline_failed_steps",
    "place_at",
    "reading_asked",
    "reserve_read",
    "site_air_pressure",
    "site_reserve",
    "species_offered",
]

#: Name -> module that holds it.
_HOMES = {
    "Animal": "ullage.answers.animal_things",
    "AnimalValue": "ullage.answers.animal_things",
    "CaseChance": "ullage.answers.outlook",
    "CylinderHistory": "ullage.answers.history",
    "DaySupply": "ullage.answers.outlook",
    "Mac": "ullage.answers.mac",
    "OtherDemand": "ullage.answers.asked",
    "SourceOutlook": "ullage.answers.outlook",
    "Watch": "ullage.answers.holds",
    "accused": "ullage.answers.history",
    "animal": "ullage.answers.animals",
    "chain_by_part": "ullage.answers.chain",
    "chain_links": "ullage.answers.chain",
    "chain_verdict": "ullage.answers.chain",
    "cylinder_contents": "ullage.answers.lasts",
    "cylinder_history": "ullage.answers.history",
    "cylinder_lasts": "ullage.answers.lasts",
    "cylinder_of_size": "ullage.answers.presets",
    "day_supply": "ullage.answers.day",
    "formula_result": "ullage.answers.formulas",
    "gauge_holds": "ullage.answers.holds",
    "mac_of": "ullage.answers.mac",
    "pipeline_failed_steps": "ullage.answers.pipeline_failed",
    "place_at": "ullage.answers.places",
    "reading_asked": "ullage.answers.reading_asked",
    "reserve_read": "ullage.answers.presets",
    "site_air_pressure": "ullage.answers.site",
    "site_reserve": "ullage.answers.site",
    "species_offered": "ullage.answers.animals",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)  # what Python itself expects of a module
    return getattr(import_module(_HOMES[name]), name)
