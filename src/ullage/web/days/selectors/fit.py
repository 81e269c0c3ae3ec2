"""A case on a machine that may not be used: what is said, and what may be taken instead."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from ullage.answers import Answer, Verdict
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.cases import cases_of, day_of
from ullage.web.machines.selectors import Machine, doubted, machines_of, readiness_of
from ullage.web.sites.selectors import Site

__all__ = ["Offer", "Slot", "Unfit", "machine_instead", "offer_words", "unfit_for", "unfit_of"]

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
class Offer:
    """A machine that is free and not stopped, how ready it is, and whether its system differs."""

    machine: Machine
    ready: Answer
    differs: bool = False

    @property
    def words(self) -> str:
        """What may be said of it, and no more."""
        system = self.machine.system or "not said"
        return f"{self._ready}; its system is {system}." if self.differs else f"{self._ready}."

    @property
    def _ready(self) -> str:
        if self.ready.verdict is Verdict.FINE:
            return f"{self.machine} is fit and free then"
        if self.ready.verdict is Verdict.LOOK_AGAIN:
            return f"{self.machine} is free then and may be used with care"
        return f"{self.machine} is free then and must be checked first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """What speaks against the machine of a case, and the one that is offered instead."""

    answer: Answer
    instead: Offer | None

    @property
    def offer(self) -> str:
        """The offer in words."""
        return offer_words(self.instead)

    @property
    def words(self) -> str:
        """The refusal and the offer as one text."""
        return f"{self.answer.sentence} {self.offer}"


def offer_words(instead: Offer | None) -> str:
    """The offer in words; that there is none is said too."""
    return instead.words if instead else "No other machine is fit and free then."


def machine_instead(site: Site, machine: Machine, slot: Slot, now: datetime) -> Offer | None:
    """Another machine that may be used and is free then: of the same system, then the same room."""
    machines = machines_of(site)
    ready = readiness_of(machines, now)
    return _best(machines, ready, machine, _busy(site, slot))


def unfit_for(case: PlannedCase, now: datetime) -> Unfit | None:
    """What speaks against the machine of one planned case; None where nothing does."""
    machines = machines_of(case.site)
    cases = cases_of(case.site, day_of(case.site, case.starts_at))
    return unfit_of(machines, readiness_of(machines, now), cases).get(case.pk)


def _busy(site: Site, slot: Slot) -> set[int]:
    """The machines on which another case runs at that time."""
    cases = cases_of(site, day_of(site, slot.starts_at))
    return {one.machine_id for one in cases if slot.meets(one)}


def _best(
    machines: Iterable[Machine], ready: Mapping[int, Answer], machine: Machine, busy: set[int]
) -> Offer | None:
    free = [
        one
        for one in machines
        if one.pk not in {machine.pk, *busy} and ready[one.pk].verdict in _READY
    ]
    if not free:
        return None
    best = min(
        free,
        key=lambda one: (
            _system(one) != _system(machine),
            _READY.index(ready[one.pk].verdict or Verdict.NOT_YET),
            one.room_id != machine.room_id,
            one.order,
        ),
    )
    differs = _system(best) != _system(machine)
    return Offer(machine=best, ready=ready[best.pk], differs=differs)


def _system(machine: Machine) -> str:
    return machine.system.strip().lower()


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
        if answer.verdict is Verdict.STOP or doubted(answer):
            slot = Slot(starts_at=case.starts, ends_at=case.ends, case_pk=case.pk)
            busy = {one.machine_id for one in every if slot.meets(one)}
            instead = _best(listed, ready, case.machine, busy)
            found[case.pk] = Unfit(answer=answer, instead=instead)
    return found
