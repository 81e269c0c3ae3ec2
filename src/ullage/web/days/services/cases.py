"""Cases of a day: added, changed, moved, copied, cancelled, taken back."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors import FLAGS, cases_of, day_of
from ullage.web.days.selectors.fit import Slot, machine_instead, offer_words
from ullage.web.days.services.ask import case_note, day_ask
from ullage.web.machines.selectors import Machine, fitness_of, refusal_of
from ullage.web.sites.selectors import Site

__all__ = [
    "CaseFacts",
    "PlanFacts",
    "case_add",
    "case_cancel",
    "case_change",
    "case_copy",
    "case_move",
    "case_restore",
    "case_take",
    "cases_write",
    "day_copy",
]

#: A change of these is written down with the value before it.
_KEPT = (
    "name", "species", "weight_kg", "system", "starts_at", "minutes", "phases", "extras", "note",
    "asked", "said",
)  # fmt: skip
#: And of these, where the plan of the anaesthesia was said.
_PLAN = ("agent", "drugs", "target_mac", "planned")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFacts:
    """What a person says about the anaesthesia of a case; ``drugs`` None: nobody said."""

    agent: str = ""
    drugs: list[str] | None = None
    target_mac: float | None = None
    planned: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFacts:
    """What a person says about a case; ``asked`` and ``said`` keep a question and its answer.

    ``plan`` None leaves the plan of the anaesthesia as it is. ``code`` was made with the form.
    """

    name: str
    machine: Machine
    starts_at: datetime
    phases: list[dict[str, Any]]
    species: str = ""
    weight_kg: float | None = None
    system: str = ""
    extras: dict[str, Any] = field(default_factory=dict)
    note: str = ""
    asked: str = ""
    said: str = ""
    plan: PlanFacts | None = None
    code: UUID | None = None

    @property
    def minutes(self) -> float:
        """[min] all phases together."""
        return float(sum(phase["minutes"] for phase in self.phases))


@transaction.atomic
def case_add(*, site: Site, facts: CaseFacts, by: User) -> PlannedCase:
    """Put a case into the plan of its day; the same form sent twice adds one.

    Raises
    ------
    RuleBroken : its machine is out of use, or is no machine of this site; no minutes were said.
    """
    _possible(site, facts)
    before = _before(facts)
    if before is not None and _is_same(before, site, facts):
        return before
    _refuse_unfit(site, facts.machine, facts.starts_at, facts.minutes)
    own = {"code": facts.code} if facts.code and before is None else {}
    try:
        with transaction.atomic():
            case = PlannedCase.objects.create(site=site, by=by, **_row(facts), **own)
    except IntegrityError:
        if facts.code is None:
            raise
        # The same form a moment ago.
        return PlannedCase.objects.get(site=site, code=facts.code)
    case_note(case=case, kind="added", by=by, asked=facts.asked, said=facts.said)
    day_ask(site=site, day=day_of(site, case.starts_at))
    return case


@transaction.atomic
def case_change(*, case: PlannedCase, facts: CaseFacts, by: User) -> PlannedCase:
    """Change a case that has not ended; the values before stay in its events."""
    _possible(case.site, facts)
    if facts.machine.pk != case.machine_id:
        _refuse_unfit(case.site, facts.machine, facts.starts_at, facts.minutes, case)
    now = _row(facts)
    if facts.plan is None and "rows" in case.planned:
        # Flows are typed now: those of the rules are no more asked for.
        now["planned"] = {name: one for name, one in case.planned.items() if name != "rows"}
    was = {name: _plain(getattr(case, name)) for name in now}
    changed = {name: was[name] for name in was if _plain(now[name]) != was[name]}
    if not changed:
        return case
    _while_open(case, **now)
    before = day_of(case.site, case.starts_at)
    case.refresh_from_db()
    case_note(case=case, kind="changed", by=by, was=changed)
    for day in {before, day_of(case.site, case.starts_at)}:
        day_ask(site=case.site, day=day)
    return case


def _possible(site: Site, facts: CaseFacts) -> None:
    if facts.machine.site_id != site.pk:
        raise RuleBroken(f"{facts.machine} is no machine of {site}.")
    if not facts.phases or facts.minutes <= 0:
        raise RuleBroken(f"Say how many minutes {facts.name} takes, for one phase at least.")


def _refuse_unfit(
    site: Site,
    machine: Machine,
    starts_at: datetime,
    minutes: float,
    case: PlannedCase | None = None,
) -> None:
    """Refuse a machine that is out of use, and name one that may be taken instead."""
    refusal = refusal_of(machine)
    if refusal:
        ends_at = starts_at + timedelta(minutes=minutes)
        slot = Slot(starts_at=starts_at, ends_at=ends_at, case_pk=case.pk if case else None)
        instead = machine_instead(site, machine, slot, timezone.now())
        raise RuleBroken(f"{refusal} {offer_words(instead)}")


def _row(facts: CaseFacts) -> dict[str, Any]:
    kept = {name: getattr(facts, name) for name in (*_KEPT, "machine")}
    kept["name"] = facts.name.strip()
    if facts.plan is not None:
        kept |= {name: getattr(facts.plan, name) for name in _PLAN}
    return kept


def _before(facts: CaseFacts) -> PlannedCase | None:
    """The case that the same form made a moment ago, if it did."""
    return PlannedCase.objects.filter(code=facts.code).first() if facts.code else None


def _is_same(case: PlannedCase, site: Site, facts: CaseFacts) -> bool:
    """Say whether a case of this site holds exactly what is sent again."""
    sent = _row(facts)
    return case.site_id == site.pk and all(
        _plain(getattr(case, name)) == _plain(value) for name, value in sent.items()
    )


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    return value if isinstance(value, (str, int, float, list, dict, type(None))) else str(value)


def _while_open(case: PlannedCase, **now: Any) -> None:
    """Write only while the case is planned or running: the condition travels with the write."""
    openly = PlannedCase.objects.filter(
        pk=case.pk, state__in=(CaseState.PLANNED, CaseState.RUNNING)
    )
    if not openly.update(**now):
        case.refresh_from_db()
        raise RuleBroken(
            f"{case} is {case.get_state_display().lower()}; copy it to plan another one."
        )


@transaction.atomic
def case_move(*, case: PlannedCase, to: date, by: User) -> PlannedCase:
    """Move a planned case to another day, at the same time of day."""
    if case.state != CaseState.PLANNED:
        raise RuleBroken(f"{case} is {case.get_state_display().lower()}; copy it instead.")
    before = day_of(case.site, case.starts_at)
    if to == before:
        return case
    moved = PlannedCase.objects.filter(pk=case.pk, state=CaseState.PLANNED)
    if not moved.update(starts_at=_same_time(case, to)):
        raise RuleBroken(f"{case} has begun meanwhile; copy it instead.")
    case.refresh_from_db()
    case_note(case=case, kind="moved", by=by, was=before.isoformat(), now=to.isoformat())
    for day in (before, to):
        day_ask(site=case.site, day=day)
    return case


def _same_time(case: PlannedCase, to: date) -> datetime:
    """The same time on the wall clock of another day."""
    local = case.starts_at.astimezone(ZoneInfo(case.site.time_zone))
    return datetime.combine(to, local.time(), ZoneInfo(case.site.time_zone))


@transaction.atomic
def case_take(*, case: PlannedCase, machine: Machine, by: User) -> PlannedCase:
    """Take another machine for a planned case; all else stays as it was said.

    Raises
    ------
    RuleBroken : the case has begun or is over, or the machine is out of use or elsewhere.
    """
    if machine.site_id != case.site_id:
        raise RuleBroken(f"{machine} is no machine of {case.site}.")
    if machine.pk == case.machine_id:
        return case
    _refuse_unfit(case.site, machine, case.starts_at, case.minutes, case)
    was = str(case.machine)
    taken = PlannedCase.objects.filter(pk=case.pk, state=CaseState.PLANNED)
    if not taken.update(machine=machine):
        case.refresh_from_db()
        raise RuleBroken(f"{case} is {case.get_state_display().lower()}; it keeps its machine.")
    case.refresh_from_db()
    case_note(case=case, kind="changed", by=by, was={"machine": was})
    day_ask(site=case.site, day=day_of(case.site, case.starts_at))
    return case


@transaction.atomic
def case_cancel(*, case: PlannedCase, by: User, reason: str = "") -> PlannedCase:
    """Cancel a planned case; it stays readable and can be taken back."""
    planned = PlannedCase.objects.filter(pk=case.pk, state=CaseState.PLANNED)
    if not planned.update(state=CaseState.CANCELLED):
        case.refresh_from_db()
        raise RuleBroken(f"{case} is {case.get_state_display().lower()} and cannot be cancelled.")
    case.refresh_from_db()
    case_note(case=case, kind="cancelled", by=by, reason=reason.strip())
    day_ask(site=case.site, day=day_of(case.site, case.starts_at))
    return case


@transaction.atomic
def case_restore(*, case: PlannedCase, by: User) -> PlannedCase:
    """Undo a cancellation; a machine that went out of use meanwhile is refused."""
    if case.state == CaseState.CANCELLED:
        _refuse_unfit(case.site, case.machine, case.starts_at, case.minutes, case)
    cancelled = PlannedCase.objects.filter(pk=case.pk, state=CaseState.CANCELLED)
    if cancelled.update(state=CaseState.PLANNED):
        case_note(case=case, kind="taken back", by=by)
        day_ask(site=case.site, day=day_of(case.site, case.starts_at))
    case.refresh_from_db()
    return case


@transaction.atomic
def case_copy(*, case: PlannedCase, to: date, by: User) -> PlannedCase:
    """Plan the same case once more on a day: everything but the weight, which must be new."""
    facts = CaseFacts(
        name=case.name,
        machine=case.machine,
        starts_at=_same_time(case, to),
        phases=case.phases,
        species=case.species,
        system=case.system,
        extras=case.extras,
        note=case.note,
        plan=_plan_again(case),
    )
    made = case_add(site=case.site, facts=facts, by=by)
    case_note(case=made, kind="copied", by=by, source=str(case.code))
    return made


def _plan_again(case: PlannedCase) -> PlanFacts | None:
    """The plan for another time: drugs and what was said of the day are asked again."""
    if not case.agent:
        return None
    said_of_the_day = {*FLAGS, "barometric_kpa"}
    kept = {name: one for name, one in case.planned.items() if name not in said_of_the_day}
    return PlanFacts(agent=case.agent, target_mac=case.target_mac, planned=kept)


@transaction.atomic
def day_copy(*, site: Site, source: date, to: date, by: User) -> list[PlannedCase]:
    """Copy every case of a day that was not cancelled into another day.

    A case whose machine is out of use is left out; the others are copied all the same.
    """
    if source == to:
        raise RuleBroken("Choose another day than the one you copy to.")
    cases = list(cases_of(site, source).exclude(state=CaseState.CANCELLED))
    fit = fitness_of({case.machine for case in cases})
    return [case_copy(case=case, to=to, by=by) for case in cases if not fit[case.machine_id].is_out]


@transaction.atomic
def cases_write(*, cases: Iterable[PlannedCase]) -> None:
    """Bring in cases that were planned elsewhere; no answer is asked for."""
    PlannedCase.objects.bulk_create(list(cases), batch_size=500)
