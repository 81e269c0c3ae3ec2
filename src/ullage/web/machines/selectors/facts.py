"""What is written down of a part, in the words and units of its site."""

from datetime import date
from typing import Any

from ullage.answers.equipment import PartFact
from ullage.answers.words import figure
from ullage.core.units import KINDS, convert
from ullage.web.machines.carried import carried_by
from ullage.web.machines.models import Machine, Part
from ullage.web.sites.selectors import Site

__all__ = ["fact_brief", "fact_lines", "fact_words", "fields_on_parts"]

#: As many facts as stand in one line.
_BRIEF = 3


def fact_words(fact: PartFact, value: Any, site: Site) -> str:
    """One fact as it is read out; ``not said`` where there is none."""
    if value in {None, ""}:
        return "not said"
    if fact.kind == "choice":
        return dict(fact.choices).get(str(value), str(value))
    if fact.kind == "date":
        day = date.fromisoformat(str(value))
        return f"{day.day} {day:%B %Y}"
    if fact.kind == "text":
        return str(value)
    unit = site.pressure_unit if fact.unit == "bar" else fact.unit
    own = next(iter(KINDS[fact.kind]))
    shown = figure(convert(float(value), own, fact.kind, unit))
    return shown if unit == "1" else f"{shown} {unit}"


def fact_lines(part: Part, site: Site) -> list[tuple[str, str]]:
    """Every fact that its kind asks for: label and words."""
    return [
        (fact.label, fact_words(fact, part.facts.get(fact.name), site)) for fact in part.row.facts
    ]


def fact_brief(part: Part, site: Site) -> str:
    """The first facts that are known, in one line; of limits the upper one."""
    known = [one for one in part.row.facts if one.name in part.facts and "lowest" not in one.name]
    said = []
    for fact in known[:_BRIEF]:
        words = fact_words(fact, part.facts[fact.name], site)
        said.append(words if fact.kind in {"choice", "text"} else f"{fact.label} {words}")
    return ", ".join([*said[:1], *(one[0].lower() + one[1:] for one in said[1:])])


def fields_on_parts(machine: Machine) -> list[str]:
    """The facts of a machine that stand on the parts it has now."""
    return list(carried_by(machine.parts.all()))
