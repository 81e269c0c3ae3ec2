"""How cases, phases and rules of the site are said on the day pages."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import template
from django.forms.boundfield import BoundField
from django.urls import NoReverseMatch, reverse

from ullage.answers.weights import weight_text
from ullage.answers.words import figure, minutes_text
from ullage.web.days import drawing, drawing_case
from ullage.web.days.selectors import CaseEvent, PlannedCase
from ullage.web.machines.selectors import Machine
from ullage.web.shared import display
from ullage.web.sites.selectors import Site

__all__ = ["register"]

register = template.Library()
register.filter(drawing.lane_svg)
register.filter(drawing.hours_svg)
register.filter(drawing_case.dial_svg)
register.filter(drawing_case.flow_svg)
register.filter(drawing_case.levels_svg)
register.filter(drawing_case.supply_svg)

_GASES = (
    ("oxygen_l_min", "oxygen"),
    ("air_l_min", "air"),
    ("nitrous_oxide_l_min", "nitrous oxide"),
)
_CONDITIONS = {"15C": "15 °C", "70F": "70 °F", "0C": "0 °C"}
_FIELDS = {
    "name": "name",
    "species": "species",
    "weight_kg": "weight",
    "system": "system",
    "starts_at": "first gas",
    "minutes": "minutes",
    "phases": "gas by phase",
    "extras": "flushes, chamber and ventilator",
    "note": "note",
    "machine": "machine",
    "agent": "agent",
    "drugs": "drugs",
    "target_mac": "multiple of MAC",
    "planned": "vaporizer, airway and room",
}


@register.filter
def litres_words(site: Site) -> str:
    """At which condition the site's litres are."""
    at = _CONDITIONS.get(site.condition, site.condition)
    return f"Litres are free gas at {at} by real-gas tables, not gauge times volume."


@register.filter
def kept_words(site: Site) -> str:
    """What the site keeps back in every cylinder."""
    parts = []
    if site.reserve_kpa is not None:
        parts.append(display.pressure(site.reserve_kpa, site))
    if site.reserve_l is not None:
        parts.append(f"{figure(site.reserve_l)} L")
    if site.reserve_min is not None:
        parts.append(minutes_text(site.reserve_min))
    if not parts:
        return "Kept back: the proposal, until the site sets its own rule."
    largest = "the largest of " if len(parts) > 1 else ""
    return f"Kept back: {largest}{', '.join(parts)}, site rule."


@register.filter
def case_facts(case: PlannedCase) -> str:
    """Species, weight and system in one line; what is not known is said to be."""
    weight = weight_text(case.weight_kg) if case.weight_kg else "not weighed"
    return " · ".join(one for one in (case.species, weight, case.system, case.agent) if one)


@register.filter
def case_url(case: PlannedCase) -> str:
    """The page of a case: that of its plan where it has one."""
    return reverse("days:plan_case" if case.agent else "days:case", args=[case.code])


@register.filter
def phase_lines(case: PlannedCase) -> list[str]:
    """Each phase with its minutes and flows, and what is drawn besides."""
    lines = [_phase_line(phase) for phase in case.phases]
    extras = case.extras
    if extras.get("flushes"):
        lines.append(f"Flushes: {extras['flushes']}")
    if extras.get("chamber_l"):
        lines.append(f"Chamber of {figure(extras['chamber_l'])} L, filled and purged")
    if extras.get("minute_volume_l_min"):
        lines.append(f"Ventilator: {figure(extras['minute_volume_l_min'])} L/min minute volume")
    return lines


def _phase_line(phase: Mapping[str, Any]) -> str:
    flows = [f"{words} {figure(phase[key])}" for key, words in _GASES if phase.get(key)]
    told = f"{', '.join(flows)} L/min" if flows else "no gas"
    return f"{phase['name']} {minutes_text(phase['minutes'])}: {told}"


@register.filter
def gas_label(field: BoundField) -> str:
    """The gas of a column, for screens too narrow for columns."""
    return str(field.label).rpartition(", ")[2].capitalize()


@register.filter
def event_lines(event: CaseEvent) -> list[str]:
    """What stood there before a change, and what was asked and said."""
    found = []
    for name, was in event.details.get("was", {}).items() if event.kind == "changed" else ():
        if name in _FIELDS:
            found.append(f"{_FIELDS[name]} before: {_said(name, was)}")
    if event.kind == "moved":
        found.append(f"from {event.details.get('was', '')} to {event.details.get('now', '')}")
    for key, words in (("asked", "asked"), ("said", "said"), ("reason", "why")):
        if event.details.get(key):
            found.append(f"{words}: {event.details[key]}")
    return found


def _said(name: str, was: Any) -> str:
    if was in (None, "", {}):
        return "not given"
    if name == "phases":
        return "; ".join(_phase_line(phase) for phase in was)
    if name == "drugs":
        return ", ".join(was) or "none"
    if name in {"extras", "planned"}:
        return ", ".join(f"{key.replace('_', ' ')} {value}" for key, value in was.items())
    if name == "weight_kg":
        return weight_text(was)
    if name == "minutes":
        return minutes_text(was)
    if name == "starts_at":
        return display.day_and_clock(datetime.fromisoformat(was))
    return str(was)


@register.simple_tag
def machine_url(machine: Machine, otherwise: str = "") -> str:
    """The page of a machine; where there is none, another address."""
    try:
        return reverse("machines:machine", args=[machine.code])
    except NoReverseMatch:
        return otherwise
