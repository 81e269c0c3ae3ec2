"""Things as they stand in the room turned into answers.

What the other faces need is offered here by name and loaded when it is asked for, so that a
command that needs little starts fast.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from ullage.answers.answer import CAUTION_LINE, Answer, Step, Verdict, View, WhereFrom

if TYPE_CHECKING:
    from ullage.answers.absorbent import absorbent_due as absorbent_due
    from ullage.answers.agent_use import Delivery as Delivery
    from ullage.answers.agent_use import agent_climate as agent_climate
    from ullage.answers.agent_use import agent_cost as agent_cost
    from ullage.answers.agent_use import agent_used as agent_used
    from ullage.answers.agent_use import vaporizer_lasts as vaporizer_lasts
    from ullage.answers.agents import agent_solubility as agent_solubility
    from ullage.answers.agents import agent_vapour_pressure as agent_vapour_pressure
    from ullage.answers.alerts import alerts_proposed as alerts_proposed
    from ullage.answers.animal_answers import animal_cools as animal_cools
    from ullage.answers.animal_answers import animal_value as animal_value
    from ullage.answers.animal_things import Animal as Animal
    from ullage.answers.animal_things import AnimalValue as AnimalValue
    from ullage.answers.animals import alert_limits as alert_limits
    from ullage.answers.animals import animal as animal
    from ullage.answers.animals import species_offered as species_offered
    from ullage.answers.breathing import BreathingSystem as BreathingSystem
    from ullage.answers.breathing import FlowPhase as FlowPhase
    from ullage.answers.breathing import fresh_gas_flow as fresh_gas_flow
    from ullage.answers.breathing import system_named as system_named
    from ullage.answers.breathing import system_suits as system_suits
    from ullage.answers.breathing_parts import absorbent_lasts as absorbent_lasts
    from ullage.answers.breathing_parts import bag_size as bag_size
    from ullage.answers.breathing_parts import chamber_fills as chamber_fills
    from ullage.answers.breathing_parts import equipment_dead_space as equipment_dead_space
    from ullage.answers.breathing_parts import flow_left_on as flow_left_on
    from ullage.answers.breathing_parts import system_follows as system_follows
    from ullage.answers.breathing_parts import ventilator_start as ventilator_start
    from ullage.answers.case import case_plan as case_plan
    from ullage.answers.case_changes import what_changes as what_changes
    from ullage.answers.case_things import CaseInput as CaseInput
    from ullage.answers.case_things import CasePlan as CasePlan
    from ullage.answers.case_things import Change as Change
    from ullage.answers.case_things import Changes as Changes
    from ullage.answers.chain import chain_by_part as chain_by_part
    from ullage.answers.chain import chain_links as chain_links
    from ullage.answers.chain import chain_verdict as chain_verdict
    from ullage.answers.checks.ages import check_covers as check_covers
    from ullage.answers.checks.lists import shipped_lists as shipped_lists
    from ullage.answers.checks.results import check_result as check_result
    from ullage.answers.checks.steps import step_result as step_result
    from ullage.answers.day import day_supply as day_supply
    from ullage.answers.depth import breathing_at_depth as breathing_at_depth
    from ullage.answers.depth import circulation_at_depth as circulation_at_depth
    from ullage.answers.depth import depth_rules as depth_rules
    from ullage.answers.exposure import day_average as day_average
    from ullage.answers.exposure import highest_mean as highest_mean
    from ullage.answers.exposure import room_level as room_level
    from ullage.answers.exposure import task_average as task_average
    from ullage.answers.exposure_air import Zone as Zone
    from ullage.answers.exposure_badges import BadgeRead as BadgeRead
    from ullage.answers.exposure_badges import badge as badge
    from ullage.answers.exposure_badges import badge_agrees as badge_agrees
    from ullage.answers.exposure_helps import what_helps_most as what_helps_most
    from ullage.answers.exposure_judged import LimitKind as LimitKind
    from ullage.answers.exposure_judged import against_limit as against_limit
    from ullage.answers.exposure_scavenging import purge_time as purge_time
    from ullage.answers.exposure_scavenging import scavenging_rules as scavenging_rules
    from ullage.answers.exposure_things import Escape as Escape
    from ullage.answers.exposure_things import EscapeKind as EscapeKind
    from ullage.answers.exposure_things import Scavenging as Scavenging
    from ullage.answers.exposure_things import WorkRoom as WorkRoom
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
    from ullage.answers.mac_answers import EndPoint as EndPoint
    from ullage.answers.mac_answers import MacToday as MacToday
    from ullage.answers.mac_answers import agent_end_point as agent_end_point
    from ullage.answers.mac_answers import agent_mac as agent_mac
    from ullage.answers.mac_answers import drugs_studied as drugs_studied
    from ullage.answers.manifold import manifold_flow as manifold_flow
    from ullage.answers.misfills import Fill as Fill
    from ullage.answers.misfills import mixed_agents as mixed_agents
    from ullage.answers.misfills import wrong_agent as wrong_agent
    from ullage.answers.nitrous import nitrous_oxide_spares as nitrous_oxide_spares
    from ullage.answers.outlook import CaseChance as CaseChance
    from ullage.answers.outlook import DaySupply as DaySupply
    from ullage.answers.outlook import SourceOutlook as SourceOutlook
    from ullage.answers.pipeline_failed import pipeline_failed_steps as pipeline_failed_steps
    from ullage.answers.places import place_at as place_at
    from ullage.answers.planned_escapes import WasteSetup as WasteSetup
    from ullage.answers.planned_waste import CaseWaste as CaseWaste
    from ullage.answers.planned_waste import case_waste as case_waste
    from ullage.answers.presets import cylinder_of_size as cylinder_of_size
    from ullage.answers.presets import reserve_read as reserve_read
    from ullage.answers.reading_asked import reading_asked as reading_asked
    from ullage.answers.rebreathing import Breathed as Breathed
    from ullage.answers.rebreathing import carbon_dioxide as carbon_dioxide
    from ullage.answers.record.beginning import group_allowed as group_allowed
    from ullage.answers.record.beginning import may_case_begin as may_case_begin
    from ullage.answers.record.closing import may_case_close as may_case_close
    from ullage.answers.record.complete import record_complete as record_complete
    from ullage.answers.record.doubts import reading_doubted as reading_doubted
    from ullage.answers.record.drug_amount import drug_given as drug_given
    from ullage.answers.record.intervals import interval_rule as interval_rule
    from ullage.answers.record.intervals import next_due as next_due
    from ullage.answers.record.methods import methods_text as methods_text
    from ullage.answers.record.recovery import recovery_left as recovery_left
    from ullage.answers.record.retention import retention_until as retention_until
    from ullage.answers.record.verified import verify_record as verify_record
    from ullage.answers.record.verified import verify_register as verify_register
    from ullage.answers.record.warned import warnings_now as warnings_now
    from ullage.answers.running_case import case_now as case_now
    from ullage.answers.running_changes import changes_now as changes_now
    from ullage.answers.running_things import CaseNow as CaseNow
    from ullage.answers.running_things import CaseSubject as CaseSubject
    from ullage.answers.running_things import LevelRead as LevelRead
    from ullage.answers.running_things import RunningCase as RunningCase
    from ullage.answers.running_things import SetTo as SetTo
    from ullage.answers.service.due import DueRow as DueRow
    from ullage.answers.service.due import service_due as service_due
    from ullage.answers.service.output import vaporizer_tested as vaporizer_tested
    from ullage.answers.service.things import OutputLimit as OutputLimit
    from ullage.answers.service.things import OutputPoint as OutputPoint
    from ullage.answers.service.things import OutputTest as OutputTest
    from ullage.answers.service.trend import drift_forecast as drift_forecast
    from ullage.answers.service.trend import output_trend as output_trend
    from ullage.answers.site import site_air_pressure as site_air_pressure
    from ullage.answers.site import site_reserve as site_reserve
    from ullage.answers.stock import Canister as Canister
    from ullage.answers.stock import Filled as Filled
    from ullage.answers.stock import Filling as Filling
    from ullage.answers.stock import OrderLine as OrderLine
    from ullage.answers.stock import Shelf as Shelf
    from ullage.answers.stock import UseSeen as UseSeen
    from ullage.answers.stock import canister_full as canister_full
    from ullage.answers.stock import filling_due as filling_due
    from ullage.answers.stock import reorder as reorder
    from ullage.answers.stock import what_to_order as what_to_order
    from ullage.answers.storage import StorageArea as StorageArea
    from ullage.answers.storage import one_more_stored as one_more_stored
    from ullage.answers.storage import store_air as store_air
    from ullage.answers.storage import store_kept as store_kept
    from ullage.answers.storage import store_leaks as store_leaks
    from ullage.answers.storage import stored_within_code as stored_within_code
    from ullage.answers.tissues import body_tissues as body_tissues
    from ullage.answers.vaporizers import Carrier as Carrier
    from ullage.answers.vaporizers import Vaporizer as Vaporizer
    from ullage.answers.vaporizers import VaporizerKind as VaporizerKind
    from ullage.answers.vaporizers import measured_flow_output as measured_flow_output
    from ullage.answers.vaporizers import vaporizer_output as vaporizer_output

__all__ = [
    "CAUTION_LINE",
    "Animal",
    "AnimalValue",
    "Answer",
    "BadgeRead",
    "Breathed",
    "BreathingSystem",
    "Canister",
    "Carrier",
    "CaseChance",
    "CaseInput",
    "CaseNow",
    "CasePlan",
    "CaseSubject",
    "CaseWaste",
    "Change",
    "Changes",
    "CylinderHistory",
    "DaySupply",
    "Delivery",
    "DueRow",
    "EndPoint",
    "Escape",
    "EscapeKind",
    "Fill",
    "Filled",
    "Filling",
    "FlowPhase",
    "LevelRead",
    "LimitKind",
    "Mac",
    "MacToday",
    "OrderLine",
    "OtherDemand",
    "OutputLimit",
    "OutputPoint",
    "OutputTest",
    "RunningCase",
    "Scavenging",
    "SetTo",
    "Shelf",
    "SourceOutlook",
    "Step",
    "StorageArea",
    "UseSeen",
    "Vaporizer",
    "VaporizerKind",
    "Verdict",
    "View",
    "WasteSetup",
    "Watch",
    "WhereFrom",
    "WorkRoom",
    "Zone",
    "absorbent_due",
    "absorbent_lasts",
    "accused",
    "against_limit",
    "agent_climate",
    "agent_cost",
    "agent_end_point",
    "agent_mac",
    "agent_solubility",
    "agent_used",
    "agent_vapour_pressure",
    "alert_limits",
    "alerts_proposed",
    "animal",
    "animal_cools",
    "animal_value",
    "badge",
    "badge_agrees",
    "bag_size",
    "body_tissues",
    "breathing_at_depth",
    "canister_full",
    "carbon_dioxide",
    "case_now",
    "case_plan",
    "case_waste",
    "chain_by_part",
    "chain_links",
    "chain_verdict",
    "chamber_fills",
    "changes_now",
    "check_covers",
    "check_result",
    "circulation_at_depth",
    "cylinder_contents",
    "cylinder_history",
    "cylinder_lasts",
    "cylinder_of_size",
    "day_average",
    "day_supply",
    "depth_rules",
    "drift_forecast",
    "drug_given",
    "drugs_studied",
    "equipment_dead_space",
    "filling_due",
    "flow_left_on",
    "formula_result",
    "fresh_gas_flow",
    "gauge_holds",
    "group_allowed",
    "highest_mean",
    "interval_rule",
    "mac_of",
    "machine_readiness",
    "manifold_flow",
    "may_case_begin",
    "may_case_close",
    "measured_flow_output",
    "methods_text",
    "mixed_agents",
    "next_due",
    "nitrous_oxide_spares",
    "one_more_stored",
    "output_trend",
    "pipeline_failed_steps",
    "place_at",
    "purge_time",
    "reading_asked",
    "reading_doubted",
    "record_complete",
    "recovery_left",
    "reorder",
    "reserve_read",
    "retention_until",
    "room_level",
    "scavenging_rules",
    "service_due",
    "shipped_lists",
    "site_air_pressure",
    "site_reserve",
    "species_offered",
    "step_result",
    "store_air",
    "store_kept",
    "store_leaks",
    "stored_within_code",
    "system_follows",
    "system_named",
    "system_suits",
    "task_average",
    "vaporizer_lasts",
    "vaporizer_output",
    "vaporizer_tested",
    "ventilator_start",
    "verify_record",
    "verify_register",
    "warnings_now",
    "what_changes",
    "what_helps_most",
    "what_to_order",
    "wrong_agent",
]

#: Name -> module that holds it.
_HOMES = {
    "Animal": "ullage.answers.animal_things",
    "AnimalValue": "ullage.answers.animal_things",
    "BadgeRead": "ullage.answers.exposure_badges",
    "Breathed": "ullage.answers.rebreathing",
    "BreathingSystem": "ullage.answers.breathing",
    "Canister": "ullage.answers.stock",
    "Carrier": "ullage.answers.vaporizers",
    "CaseChance": "ullage.answers.outlook",
    "CaseInput": "ullage.answers.case_things",
    "CaseNow": "ullage.answers.running_things",
    "CasePlan": "ullage.answers.case_things",
    "CaseSubject": "ullage.answers.running_things",
    "CaseWaste": "ullage.answers.planned_waste",
    "Change": "ullage.answers.case_things",
    "Changes": "ullage.answers.case_things",
    "CylinderHistory": "ullage.answers.history",
    "DaySupply": "ullage.answers.outlook",
    "Delivery": "ullage.answers.agent_use",
    "DueRow": "ullage.answers.service.due",
    "EndPoint": "ullage.answers.mac_answers",
    "Escape": "ullage.answers.exposure_things",
    "EscapeKind": "ullage.answers.exposure_things",
    "Fill": "ullage.answers.misfills",
    "Filled": "ullage.answers.stock",
    "Filling": "ullage.answers.stock",
    "FlowPhase": "ullage.answers.breathing",
    "LevelRead": "ullage.answers.running_things",
    "LimitKind": "ullage.answers.exposure_judged",
    "Mac": "ullage.answers.mac",
    "MacToday": "ullage.answers.mac_answers",
    "OrderLine": "ullage.answers.stock",
    "OtherDemand": "ullage.answers.asked",
    "OutputLimit": "ullage.answers.service.things",
    "OutputPoint": "ullage.answers.service.things",
    "OutputTest": "ullage.answers.service.things",
    "RunningCase": "ullage.answers.running_things",
    "Scavenging": "ullage.answers.exposure_things",
    "SetTo": "ullage.answers.running_things",
    "Shelf": "ullage.answers.stock",
    "SourceOutlook": "ullage.answers.outlook",
    "StorageArea": "ullage.answers.storage",
    "UseSeen": "ullage.answers.stock",
    "Vaporizer": "ullage.answers.vaporizers",
    "VaporizerKind": "ullage.answers.vaporizers",
    "WasteSetup": "ullage.answers.planned_escapes",
    "Watch": "ullage.answers.holds",
    "WorkRoom": "ullage.answers.exposure_things",
    "Zone": "ullage.answers.exposure_air",
    "absorbent_due": "ullage.answers.absorbent",
    "absorbent_lasts": "ullage.answers.breathing_parts",
    "accused": "ullage.answers.history",
    "against_limit": "ullage.answers.exposure_judged",
    "agent_climate": "ullage.answers.agent_use",
    "agent_cost": "ullage.answers.agent_use",
    "agent_end_point": "ullage.answers.mac_answers",
    "agent_mac": "ullage.answers.mac_answers",
    "agent_solubility": "ullage.answers.agents",
    "agent_used": "ullage.answers.agent_use",
    "agent_vapour_pressure": "ullage.answers.agents",
    "alert_limits": "ullage.answers.animals",
    "alerts_proposed": "ullage.answers.alerts",
    "animal": "ullage.answers.animals",
    "animal_cools": "ullage.answers.animal_answers",
    "animal_value": "ullage.answers.animal_answers",
    "badge": "ullage.answers.exposure_badges",
    "badge_agrees": "ullage.answers.exposure_badges",
    "bag_size": "ullage.answers.breathing_parts",
    "body_tissues": "ullage.answers.tissues",
    "breathing_at_depth": "ullage.answers.depth",
    "canister_full": "ullage.answers.stock",
    "carbon_dioxide": "ullage.answers.rebreathing",
    "case_now": "ullage.answers.running_case",
    "case_plan": "ullage.answers.case",
    "case_waste": "ullage.answers.planned_waste",
    "chain_by_part": "ullage.answers.chain",
    "chain_links": "ullage.answers.chain",
    "chain_verdict": "ullage.answers.chain",
    "chamber_fills": "ullage.answers.breathing_parts",
    "changes_now": "ullage.answers.running_changes",
    "check_covers": "ullage.answers.checks.ages",
    "check_result": "ullage.answers.checks.results",
    "circulation_at_depth": "ullage.answers.depth",
    "cylinder_contents": "ullage.answers.lasts",
    "cylinder_history": "ullage.answers.history",
    "cylinder_lasts": "ullage.answers.lasts",
    "cylinder_of_size": "ullage.answers.presets",
    "day_average": "ullage.answers.exposure",
    "day_supply": "ullage.answers.day",
    "depth_rules": "ullage.answers.depth",
    "drift_forecast": "ullage.answers.service.trend",
    "drugs_studied": "ullage.answers.mac_answers",
    "equipment_dead_space": "ullage.answers.breathing_parts",
    "filling_due": "ullage.answers.stock",
    "flow_left_on": "ullage.answers.breathing_parts",
    "formula_result": "ullage.answers.formulas",
    "fresh_gas_flow": "ullage.answers.breathing",
    "gauge_holds": "ullage.answers.holds",
    "highest_mean": "ullage.answers.exposure",
    "mac_of": "ullage.answers.mac",
    "machine_readiness": "ullage.answers.readiness",
    "manifold_flow": "ullage.answers.manifold",
    "measured_flow_output": "ullage.answers.vaporizers",
    "mixed_agents": "ullage.answers.misfills",
    "nitrous_oxide_spares": "ullage.answers.nitrous",
    "one_more_stored": "ullage.answers.storage",
    "output_trend": "ullage.answers.service.trend",
    "pipeline_failed_steps": "ullage.answers.pipeline_failed",
    "place_at": "ullage.answers.places",
    "purge_time": "ullage.answers.exposure_scavenging",
    "reading_asked": "ullage.answers.reading_asked",
    "reorder": "ullage.answers.stock",
    "reserve_read": "ullage.answers.presets",
    "room_level": "ullage.answers.exposure",
    "scavenging_rules": "ullage.answers.exposure_scavenging",
    "service_due": "ullage.answers.service.due",
    "shipped_lists": "ullage.answers.checks.lists",
    "site_air_pressure": "ullage.answers.site",
    "site_reserve": "ullage.answers.site",
    "species_offered": "ullage.answers.animals",
    "step_result": "ullage.answers.checks.steps",
    "store_air": "ullage.answers.storage",
    "store_kept": "ullage.answers.storage",
    "store_leaks": "ullage.answers.storage",
    "stored_within_code": "ullage.answers.storage",
    "system_follows": "ullage.answers.breathing_parts",
    "system_named": "ullage.answers.breathing",
    "system_suits": "ullage.answers.breathing",
    "task_average": "ullage.answers.exposure",
    "vaporizer_lasts": "ullage.answers.agent_use",
    "vaporizer_output": "ullage.answers.vaporizers",
    "vaporizer_tested": "ullage.answers.service.output",
    "ventilator_start": "ullage.answers.breathing_parts",
    "what_changes": "ullage.answers.case_changes",
    "what_helps_most": "ullage.answers.exposure_helps",
    "what_to_order": "ullage.answers.stock",
    "wrong_agent": "ullage.answers.misfills",
    "drug_given": "ullage.answers.record.drug_amount",
    "group_allowed": "ullage.answers.record.beginning",
    "interval_rule": "ullage.answers.record.intervals",
    "may_case_begin": "ullage.answers.record.beginning",
    "may_case_close": "ullage.answers.record.closing",
    "next_due": "ullage.answers.record.intervals",
    "methods_text": "ullage.answers.record.methods",
    "reading_doubted": "ullage.answers.record.doubts",
    "record_complete": "ullage.answers.record.complete",
    "recovery_left": "ullage.answers.record.recovery",
    "retention_until": "ullage.answers.record.retention",
    "verify_record": "ullage.answers.record.verified",
    "verify_register": "ullage.answers.record.verified",
    "warnings_now": "ullage.answers.record.warned",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(name)  # what Python itself expects of a module
    return getattr(import_module(_HOMES[name]), name)
