"""Recovery: it begins, its steps are said, gas goes off, an animal wakes, dies or gets worse."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.closing import DEAD, RECOVERY_STEP, animals_in
from ullage.answers.record.seen import case_seen
from ullage.answers.record.things import EntryKind
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors import lines_of, rules_of
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.entries import Seen, event, setting, write_seen
from ullage.web.cases.services.life import state_write
from ullage.web.days.services import case_end

__all__ = [
    "FATES",
    "StepSaid",
    "Worse",
    "fate_say",
    "gas_off",
    "person_say",
    "recovery_reopen",
    "recovery_start",
    "step_say",
]

#: How an animal comes through: awake, or dead.
FATES = ("awake", *DEAD)
_FLOWS = ("flow_oxygen", "flow_air", "flow_nitrous_oxide")
#: A step that says what an event says: both are written, once.
_ALSO = {"sternal": "on its chest"}


@transaction.atomic
def recovery_start(*, record: Record, at: datetime, by: User, gas_is_off: bool) -> Record:
    """The agent is off and recovery begins; the gas goes off too where the person says so.

    Raises
    ------
    RuleBroken : it has not begun, or is closed.
    """
    locked = record_locked(record)
    if locked.state == CaseState.RECOVERING:
        return locked
    if locked.state != CaseState.RUNNING:
        raise RuleBroken(f"{locked} does not run; its recovery cannot begin.")
    seen = [event("anaesthesia ended", at)]
    if _last(locked, "dial"):
        seen.append(setting("dial", "0 %", at))
    write_seen(record=locked, seen=seen, by=by)
    state_write(record=locked, to=CaseState.RECOVERING, by=by)
    if gas_is_off:
        gas_off(record=locked, at=at, by=by)
    locked.refresh_from_db()
    return locked


def _last(record: Record, what: str) -> float:
    """The number of a setting as it was entered last; nothing where none was."""
    found = case_seen(lines_of(record)).of(what)[-1:]
    return (found[0].value or 0.0) if found else 0.0


@transaction.atomic
def gas_off(*, record: Record, at: datetime, by: User) -> None:
    """All gas is off: flows that were entered read nothing, and the plan's flows end.

    Raises
    ------
    RuleBroken : a time before it began, or one that has not come.
    """
    locked = record_locked(record)
    if locked.is_closed:
        raise RuleBroken(f"{locked} is closed.")
    write_seen(
        record=locked,
        seen=[setting(flow, "0 L/min", at) for flow in _FLOWS if _last(locked, flow)],
        by=by,
    )
    planned = locked.planned
    if planned is not None and planned.state == "running":
        case_end(case=planned, by=by, at=at)


def _open(record: Record) -> Record:
    locked = record_locked(record)
    if locked.state != CaseState.RECOVERING:
        raise RuleBroken(f"{locked} does not recover now; start or open its recovery first.")
    return locked


def _named(record: Record, animal: str) -> str:
    """The animal of a group; nothing for a record of one."""
    names = animals_in(lines_of(record))
    if names and animal not in names:
        raise RuleBroken(f"Choose an animal of this group: {', '.join(names)}.")
    return animal if names else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSaid:
    """One word on one step: whether it is met, when it was seen, for which animal."""

    step: str
    is_met: bool
    at: datetime
    animal: str = ""
    code: str = ""


@transaction.atomic
def step_say(*, record: Record, said: StepSaid, by: User) -> None:
    """Say of a step of recovery that it is met, or that it is not, or no longer.

    Raises
    ------
    RuleBroken : no recovery, no such step, no such animal.
    """
    locked = _open(record)
    if said.code and locked.lines.filter(code=said.code).exists():
        return
    write_seen(record=locked, seen=list(_step(locked, said)), by=by)


def _step(record: Record, said: StepSaid) -> Iterator[Seen]:
    steps = {one.key: one for one in rules_of(record.site).steps(record.species)}
    if said.step not in steps:
        raise RuleBroken("This is no step of recovery of this species here.")
    animal = _named(record, said.animal)
    yield Seen(
        kind=EntryKind.EVENT,
        what=RECOVERY_STEP,
        typed=steps[said.step].text,
        at=said.at,
        details={"step": said.step, "met": "yes" if said.is_met else "no"},
        animal=animal,
        code=said.code,
    )
    also = _ALSO.get(said.step, "")
    if said.is_met and also and case_seen(lines_of(record), animal).event(also) is None:
        yield event(also, said.at, animal=animal)


@transaction.atomic
def fate_say(*, record: Record, word: str, at: datetime, by: User, **more: str) -> None:
    """An animal woke, died or was killed; ``animal`` of a group, ``typed`` says more of it.

    Raises
    ------
    RuleBroken : another word, a closed record, no such animal.
    """
    if word not in FATES:
        raise RuleBroken(f"{word[:40]!r} is not one of {', '.join(FATES)}.")
    locked = record_locked(record)
    if locked.state not in {CaseState.RUNNING, CaseState.RECOVERING}:
        raise RuleBroken(f"{locked} is not under way; nothing is entered there.")
    animal = _named(locked, more.get("animal", ""))
    seen = Seen(
        kind=EntryKind.EVENT,
        what=word,
        typed=more.get("typed", ""),
        at=at,
        animal=animal,
        code=more.get("code", ""),
    )
    write_seen(record=locked, seen=[seen], by=by)


@transaction.atomic
def person_say(*, record: Record, stays: bool, by: User, code: str = "") -> None:
    """Somebody stays with the animal, or nobody does any more."""
    locked = _open(record)
    what = "person stays" if stays else "nobody stays"
    at = timezone.now()
    seen = Seen(kind=EntryKind.EVENT, what=what, at=at, code=code)
    write_seen(record=locked, seen=[seen], by=by)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worse:
    """Why a recovery is opened again: what no longer holds, by animal, and in words."""

    reason: str
    steps: Mapping[str, tuple[str, ...]]
    at: datetime


@transaction.atomic
def recovery_reopen(*, record: Record, worse: Worse, by: User) -> Record:
    """An animal got worse after its record was closed: the recovery is open again.

    Raises
    ------
    RuleBroken : not closed, no reason, or nothing that no longer holds.
    """
    locked = record_locked(record)
    if not locked.is_closed:
        raise RuleBroken(f"{locked} is not closed; say on its page what no longer holds.")
    if not worse.reason.strip():
        raise RuleBroken("Say what was seen.")
    if not any(worse.steps.values()):
        raise RuleBroken("Say which step of the recovery no longer holds.")
    locked = state_write(record=locked, to=CaseState.RECOVERING, by=by, reason=worse.reason.strip())
    for animal, steps in worse.steps.items():
        for step in steps:
            said = StepSaid(step=step, is_met=False, at=worse.at, animal=animal)
            write_seen(record=locked, seen=list(_step(locked, said)), by=by)
    locked.refresh_from_db()
    return locked
