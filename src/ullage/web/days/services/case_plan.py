"""A case planned with its anaesthesia: kept with the flows of the rules where none was typed."""

from dataclasses import replace
from typing import Any

from ullage.answers import CasePlan
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.days.selectors import CaseSaid, case_input, plan_of
from ullage.web.days.services.cases import CaseFacts
from ullage.web.sites.selectors import Site

__all__ = ["with_flows"]


def with_flows(site: Site, facts: CaseFacts, said: CaseSaid) -> CaseFacts:
    """The case with a flow for every phase: as typed, or as the rules say.

    Raises
    ------
    RuleBroken : no flow was typed and the rules cannot say any; the sentence says why.
    """
    if said.flows_given or facts.plan is None:
        return facts
    try:
        plan = plan_of(case_input(site, said))
    except UllageError as refusal:
        raise RuleBroken(f"No flow was typed and none can be worked out. {refusal}") from refusal
    rows = [{"name": one["name"], "minutes": one["minutes"]} for one in facts.phases]
    kept = replace(facts.plan, planned={**facts.plan.planned, "rows": rows})
    return replace(facts, phases=_phases(plan), plan=kept)


def _phases(plan: CasePlan) -> list[dict[str, Any]]:
    """The phases of the plan; what follows at the same flow is one."""
    found: list[dict[str, Any]] = []
    for one in plan.case.phases:
        before = found[-1] if found else None
        if before and (before["name"], before["oxygen_l_min"]) == (one.name, one.oxygen_l_min):
            before["minutes"] += one.minutes
            continue
        found.append(
            {
                "name": one.name,
                "minutes": one.minutes,
                "oxygen_l_min": one.oxygen_l_min,
                "air_l_min": one.air_l_min,
                "nitrous_oxide_l_min": one.nitrous_oxide_l_min,
            }
        )
    return found
