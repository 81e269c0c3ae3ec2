"""How records, their drug lines and the register are said on pages."""

from django import template

from ullage.answers.record.closing import AnimalEnd
from ullage.answers.record.drug_lines import DrugLine
from ullage.answers.record.fixed import read_fixed
from ullage.answers.record.recovery import RecoverySaid, RecoveryStep
from ullage.core.errors import PlanUnreadable
from ullage.web.cases.selectors import RegisterLine
from ullage.web.records.forms import GIVEN_AS
from ullage.web.records.paper import groups_of

__all__ = ["register"]

register = template.Library()

#: Part of a drug line -> its label.
_DRUG = {
    "amount": "Amount given",
    "volume": "Volume given",
    "dose": "Dose",
    "wasted": "Wasted",
    "concentration": "Concentration",
    "bottle": "Bottle",
    "lot": "Lot",
    "expiry": "Expiry",
    "route": "Route",
    "species": "Species",
    "animals": "Number of animals",
    "animal": "Animal",
    "protocol": "Protocol",
    "name": "Name",
    "initials": "Initials",
}


@register.simple_tag
def given_heads() -> tuple[str, ...]:
    """The columns of what was given and of what happened."""
    return ("No.", "Time", "What", "By", "Note")


@register.simple_tag
def given_ways() -> dict[str, str]:
    """What several records can be given as: key -> what stands on the button."""
    return GIVEN_AS


@register.filter
def step_said(end: AnimalEnd, step: RecoveryStep) -> RecoverySaid | None:
    """What was said last of one step of a recovery; None where nobody did."""
    return end.said.get(step.key)


@register.filter
def drug_facts(line: DrugLine) -> list[tuple[str, str]]:
    """The parts of a drug line by label."""
    return [(label, getattr(line, name)) for name, label in _DRUG.items()]


@register.filter
def register_told(line: RegisterLine) -> dict[str, object]:
    """What a line of the register says; empty where it cannot be read."""
    try:
        return read_fixed(line.text)
    except PlanUnreadable:
        return {}


@register.filter
def in_groups(sum_: str) -> str:
    """A fingerprint in groups of four, for people to compare."""
    return groups_of(sum_) if sum_ else ""
