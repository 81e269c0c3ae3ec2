"""A case begins and ends; its flows are written down for the estimator."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import day_of
from ullage.web.days.services.ask import case_note, day_ask
from ullage.web.machines.selectors import refusal_of
from ullage.web.supply.selectors import sources_of
from ullage.web.supply.services import MeantFlow, flows_cut, flows_write

__all__ = ["case_begin", "case_end", "flow_words", "meant_flows"]

_GASES = ("oxygen", "air", "nitrous oxide")
#: How far a clock may run ahead before its time is refused.
_AHEAD = timedelta(minutes=2)


@transaction.atomic
def case_begin(*, case: PlannedCase, by: User, at: datetime | None = None) -> PlannedCase:
    """The first gas flows: note when, and what is meant to run from now on.

    Raises
    ------
    RuleBroken : the case is not planned any more, its machine is out of use, or the time has
        not come yet.
    """
    at = at or timezone.now()
    if at > timezone.now() + _AHEAD:
        raise RuleBroken("This time has not come yet; write when the first gas flowed.")
    refusal = refusal_of(case.machine)
    if refusal:
        raise RuleBroken(f"Stop: {refusal}")
    planned = PlannedCase.objects.filter(pk=case.pk, state=CaseState.PLANNED)
    if not planned.update(state=CaseState.RUNNING, began_at=at):
        case.refresh_from_db()
        raise RuleBroken(f"{case} is {case.get_state_display().lower()}; it cannot begin again.")
    case.refresh_from_db()
    case_note(case=case, kind="began", by=by, began=at.isoformat())
    flows_write(flows=meant_flows(case), by=by)
    day_ask(site=case.site, day=day_of(case.site, case.starts_at))
    return case


@transaction.atomic
def case_end(*, case: PlannedCase, by: User, at: datetime | None = None) -> PlannedCase:
    """The flows are off: note when; flows that were meant to run longer end here.

    Raises
    ------
    RuleBroken : the case does not run, or would end before it began.
    """
    at = at or timezone.now()
    if at > timezone.now() + _AHEAD:
        raise RuleBroken("This time has not come yet; write when the flows were turned off.")
    if case.began_at is not None and at <= case.began_at:
        raise RuleBroken("A case ends after it began; look at the time again.")
    running = PlannedCase.objects.filter(pk=case.pk, state=CaseState.RUNNING)
    if not running.update(state=CaseState.DONE, ended_at=at):
        case.refresh_from_db()
        raise RuleBroken(f"{case} is {case.get_state_display().lower()}; begin it first.")
    case.refresh_from_db()
    case_note(case=case, kind="ended", by=by, ended=at.isoformat())
    flows_cut(site=case.site, why=flow_words(case), at=at)
    day_ask(site=case.site, day=day_of(case.site, case.starts_at))
    return case


def flow_words(case: PlannedCase) -> str:
    """How the flows of a case are named, so that they are found again."""
    return f"{case.name} on {case.machine.name}, case {str(case.code)[:8]}"


def meant_flows(case: PlannedCase) -> list[MeantFlow]:
    """What a case draws from each source of its machine, phase by phase."""
    found = []
    sources = {
        source.gas: source
        for source in sources_of(case.site)
        if source.reserve_of_id is None
        and any(one.pk == case.machine_id for one in source.machines.all())
    }
    start = case.starts
    for number, phase in enumerate(case.phases, start=1):
        end = start + timedelta(minutes=phase["minutes"])
        is_last = number == len(case.phases)
        for gas in _GASES:
            flow = (phase.get(f"{gas.replace(' ', '_')}_l_min") or 0.0) + _drive_l_min(case, gas)
            if flow > 0 and gas in sources:
                found.append(
                    MeantFlow(
                        source=sources[gas],
                        flow_l_min=flow,
                        started_at=start,
                        # The last flow runs until somebody turns it off.
                        ended_at=None if is_last else end,
                        why=flow_words(case),
                    )
                )
        start = end
    return found


def _drive_l_min(case: PlannedCase, gas: str) -> float:
    """[L/min] what the ventilator draws of the gas that drives it, where its factor is known."""
    volume_l_min = case.extras.get("minute_volume_l_min") or 0.0
    if case.machine.ventilator != gas or not case.machine.drive_gas_factor:
        return 0.0
    return float(volume_l_min * case.machine.drive_gas_factor)
