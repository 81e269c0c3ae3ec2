"""What the plan of a case offers for its record; offered, never taken as seen."""

from ullage.answers.breathing_names import system_named
from ullage.answers.weights import weight_text
from ullage.answers.words import figure
from ullage.core.errors import UllageError
from ullage.web.days.selectors import PlannedCase

__all__ = ["facts_planned", "settings_planned"]

_FLOWS = ("oxygen", "air", "nitrous_oxide")


def facts_planned(case: PlannedCase) -> dict[str, str]:
    """Who and what the case is, as it was planned, and its weight as somebody typed it."""
    return {
        "name": case.name,
        "species": case.species,
        "machine": str(case.machine_id),
        "weight": weight_text(case.weight_kg) if case.weight_kg else "",
    }


def settings_planned(case: PlannedCase | None) -> dict[str, str]:
    """What the plan sets for the first phase: agent, flows, system."""
    if case is None:
        return {}
    found = {"agent": case.agent, "breathing_system": _system(case.system or case.machine.system)}
    first = case.phases[0] if case.phases else {}
    for gas in _FLOWS:
        flow = first.get(f"{gas}_l_min") or 0.0
        if flow:
            found[f"flow_{gas}"] = figure(flow)
    dial = case.planned.get("dial_fraction")
    if dial:
        found["dial"] = figure(100.0 * dial)
    return {key: value for key, value in found.items() if value}


def _system(words: str) -> str:
    """The word of the list that a system goes by; empty where it is in none."""
    try:
        return system_named(words).value
    except UllageError:
        return ""
