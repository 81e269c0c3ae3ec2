"""A case on a machine that may not be used: what is said, and what may be taken instead."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from ullage.answers import Answer, Verdict
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.cases import cases_of, day_of
from ullage.web.machines.selectors import Machine, machines_of, readiness_of
from ullage.web.sites.selectors import Site

__all__ = ["Slot", "Unfit", "machine_instead", "unfit_of", "unfit_words"]

#: The most ready first; one that is stopped is never offered.
_READY = (Verdict.FINE, Verdict.LOOK_AGAIN, Verdict.NOT_YET)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """When a machine is asked for, and by which case, if it stands in the plan."""

    starts_at: datetime
    ends_at: datetime
    case_pk: int | None = None

    def meets(self, case: PlannedCase) -> bool:
        """Say whether another case runs at the same time."""
        if case.pk == self.case_pk or case.state not in {CaseState.PLANNED, CaseState.RUNNING}:
            return False
        return case.starts < self.ends_at and self.starts_at < case.ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """What speaks against the machine of a case, and the one that is offered instead."""

    answer: Answer
    instead: Machine | None

    @property
    def words(self) -> str:
        """The refusal and the offer as one text."""
        return f"{self.answer.sentence} {unfit_words(self.instead)}"


def unfit_words(instead: Machine | None) -> str:
    """The offer in words; that there is none is said too."""
    if instead is None:
        return "No other machine is fit and free then."
    return f"{instead} is fit and free then."


def machine_instead(site: Site, machine: Machine, slot: Slot, now: datetime) -> Machine | None:
    """Another machine that may be used and is free then: of the same system, then the same room."""
    machines = machines_of(site)
    ready = readiness_of(machines, now)
    return _best(machines, ready, machine, _busy(site, slot))


def _busy(site: Site, slot: Slot) -> set[int]:
    """The machines on which another case runs at that time."""
    cases = cases_of(site, day_of(site, slot.starts_at))
    return {one.machine_id for one in cases if slot.meets(one)}


def _best(
    machines: Iterable[Machine], ready: Mapping[int, Answer], machine: Machine, busy: set[int]
) -> Machine | None:
    free = [
        one
        for one in machines
        if one.pk not in {machine.pk, *busy} and ready[one.pk].verdict in _READY
    ]
    if not free:
        return None
    return min(
        free,
        key=lambda one: (
            one.system.strip().lower() != machine.system.strip().lower(),
            _READY.index(ready[one.pk].verdict or Verdict.NOT_YET),
            one.room_id != machine.room_id,
            one.order,
        ),
    )


def unfit_of(
    machines: Iterable[Machine], ready: Mapping[int, Answer], cases: Iterable[PlannedCase]
) -> dict[int, Unfit]:
    """By planned case: what speaks against its machine; cases on fit machines are left out."""
    every, found = list(cases), {}
    listed = list(machines)
    for case in every:
        answer = ready.get(case.machine_id)
        if case.state != CaseState.PLANNED or answer is None:
            continue
        if answer.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}:
            slot = Slot(starts_at=case.starts, ends_at=case.ends, case_pk=case.pk)
            busy = {one.machine_id for one in every if slot.meets(one)}
            instead = _best(listed, ready, case.machine, busy)
            found[case.pk] = Unfit(answer=answer, instead=instead)
    return found
