"""What is known of a case beside its lines: from its plan, its machine and its site."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from ullage.answers import CaseInput
from ullage.answers.animals import animal
from ullage.answers.breathing import FlowPhase
from ullage.answers.record.course import CaseGiven
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.watching import system_of
from ullage.answers.site_flows import SiteFlows, site_flow_l_min
from ullage.core.errors import UllageError
from ullage.web.cases.models import Record
from ullage.web.days.selectors import CaseSaid, PlannedCase, case_input, said_of
from ullage.web.sites.selectors import Site

__all__ = ["PlanTimes", "case_given", "flow_needed", "plan_times"]

_WAKING = ("wak", "recover")
#: A case of any length; only its animal, site and agent are asked for.
_ANY = ({"name": "case", "minutes": 60.0},)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTimes:
    """When the agent is to be turned off and when the case is to end, counted from its begin."""

    off_at: datetime
    ends_at: datetime


def plan_times(record: Record, began: datetime | None) -> PlanTimes | None:
    """The times of the plan, moved to when the case really began; None without a plan."""
    planned = record.planned
    if planned is None:
        return None
    start = began or record.began_at or planned.starts
    waking = sum(float(one["minutes"]) for one in planned.phases if _is_waking(one))
    ends = start + timedelta(minutes=planned.minutes)
    return PlanTimes(off_at=ends - timedelta(minutes=waking), ends_at=ends)


def _is_waking(phase: Mapping[str, object]) -> bool:
    return any(word in str(phase.get("name", "")).lower() for word in _WAKING)


def case_given(record: Record, seen: CaseSeen) -> CaseGiven:
    """What plan, machine and site say of the animal, the agent and the place."""
    planned = record.planned
    agent = seen.fact("agent") or (planned.agent if planned else "")
    system = seen.fact("system") or (planned.system if planned else "") or record.machine.system
    known = _input(record.site, planned, record, seen, agent)
    if known is None:
        return CaseGiven(agent=agent, system=system)
    case = known.case
    return CaseGiven(
        agent=agent,
        system=system,
        drugs=None if known.drugs is None else tuple(known.drugs),
        place=known.place,
        overrides=tuple(sorted(known.overrides.items())),
        mac_fraction=known.mac_fraction,
        vaporizer_end_fraction=known.vaporizer_end_fraction,
        chamber_l=case.chamber.volume_l if case.chamber else None,
        ventilator_l_min=case.ventilation.minute_volume_l_min if case.ventilation else None,
        weight_is_right=True,
    )


def _input(
    site: Site, planned: PlannedCase | None, record: Record, seen: CaseSeen, agent: str
) -> CaseInput | None:
    """The case as its plan takes it, with the weight of the record."""
    said = said_of(planned) if planned else None
    try:
        return case_input(
            site,
            CaseSaid(
                name=record.name,
                machine=record.machine.name,
                species=seen.fact("species") or record.species,
                weight_kg=seen.weight_kg,
                phases=_ANY,
                agent=agent,
                extras=said.extras if said else {},
                drugs=said.drugs if said else None,
                planned=said.planned if said else {},
                weight_is_right=True,
            ),
        )
    except UllageError:
        return None


def flow_needed(site: Site, seen: CaseSeen, planned: str) -> float | None:
    """[L/min] that the site's own rule asks of a system without absorber; None: it has none."""
    system, weight = system_of(seen, planned), seen.weight_kg
    if system is None or weight is None or system.rebreathes:
        return None
    rule = SiteFlows(open_multiple=site.flow_open_multiple, open_l_min_kg=site.flow_open_l_min_kg)
    try:
        who = animal(seen.fact("species"), weight, weight_is_right=True)
    except UllageError:
        return None
    return site_flow_l_min(who, system, FlowPhase.HOLD, rule)
