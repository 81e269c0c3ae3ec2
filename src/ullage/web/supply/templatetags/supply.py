"""Tags and filters of the pages about supplies."""

from typing import Any

from django import forms, template

from ullage.answers import Answer
from ullage.answers.words import figure
from ullage.web.shared.display import pressure
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import Cylinder, CylinderEvent, step_title

__all__ = ["register"]

register = template.Library()

_CAPACITY = {
    "preset": "by its size letter: confirm it on the stamp",
    "stamp": "stamped on it",
    "label": "from the litres on its label",
}

_EVENTS = {
    "received": "Received",
    "corrected": "Corrected",
    "connected": "Connected",
    "taken off": "Taken off",
    "empty": "Tagged empty",
    "set apart": "Set apart",
    "taken back": "Taken back",
    "returned": "Handed back",
    "moved": "Moved",
    "said": "Said about a reading",
    "valve said": "Valve before the last reading",
    "watch begun": "Valve closed, needle marked",
    "watch ended": "Needle read again",
    "change begun": "Change of cylinder begun",
    "change given up": "Change of cylinder ended early",
    "check refused": "Full one looked at: did not pass",
    "step back": "A step was taken back",
}


@register.filter
def capacity_words(cylinder: Cylinder) -> str:
    """How the water capacity is known."""
    return _CAPACITY.get(cylinder.capacity_known, "entered")


@register.filter
def unit_shown(form: forms.BaseForm) -> str:
    """The unit that is chosen in an entry form."""
    return str(form["unit"].value() or "")


@register.filter
def event_title(event: CylinderEvent) -> str:
    """What happened, in words."""
    step = event.kind.removeprefix("step ")
    if event.kind != step and event.kind not in _EVENTS:
        return f"Change: {step_title(step)}."
    return f"{_EVENTS.get(event.kind, event.kind.capitalize())}."


@register.filter
def event_words(event: CylinderEvent, site: Site | None = None) -> str:
    """What was noted with it, in one line."""
    told = sorted(event.details.items(), key=lambda one: _place(one[0]))
    parts = [_part(name, value, site) for name, value in told if name not in _APART]
    return "; ".join(part for part in parts if part)


_APART = {"answer", "gauge_kpa", "reading", "capacity_known"}

#: What stands before a detail; the others speak for themselves.
_BEFORE = {
    "label_gas": "label says ",
    "contents": "tag says ",
    "source": "source ",
    "bank": "bank ",
    "tag": "tagged ",
    "to": "to ",
    "was": "was ",
    "now": "now ",
    "valve": "valve ",
    "room": "to ",
    "size": "size ",
}


def _place(name: str) -> tuple[int, str]:
    """Where a detail stands in its line: databases keep the names of a record in any order."""
    known = list(_BEFORE)
    return (known.index(name) if name in known else len(known), name)


def _part(name: str, value: Any, site: Site | None) -> str:
    return f"{_BEFORE.get(name, '')}{pairs(value, site)}"


@register.simple_tag
def event_answer(event: CylinderEvent) -> Answer | None:
    """The answer that was worked out at an event; None where there is none."""
    kept = event.details.get("answer")
    return Answer.from_dict(kept) if kept else None


@register.filter
def percent(share: float) -> str:
    """A share as people say it: ``93 %``."""
    return f"{100.0 * share:.3g} %"


@register.filter
def pairs(values: Any, site: Site | None = None) -> str:
    """Names and values of a change in one line, each number with its unit."""
    if not isinstance(values, dict):
        return str(values)
    return ", ".join(_named(name, value, site) for name, value in sorted(values.items()))


#: The end of a field's name -> the unit of its number.
_UNITS = {
    "_l_min": "L/min",
    "_kpa": "kPa",
    "_min": "min",
    "_ml": "mL",
    "_kg": "kg",
    "_l": "L",
    "_share": "%",
    "_fraction": "%",
}


def _named(name: str, value: Any, site: Site | None) -> str:
    """One name and its value: ``fall limit: 5 bar``."""
    end = next((one for one in _UNITS if name.endswith(one)), "")
    words = name.removesuffix(end).replace("_", " ")
    if value in {None, "", "None"}:
        return f"{words}: none"
    if not end:
        return f"{words}: {value}"
    number, unit = float(value), _UNITS[end]
    if unit == "kPa" and site is not None:
        return f"{words}: {pressure(number, site)}"
    return f"{words}: {percent(number) if unit == '%' else f'{figure(number)} {unit}'}"
