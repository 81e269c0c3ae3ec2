"""In use, in doubt, out of use: every change is a row of its own, and says who may lift it."""

from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.machines.models import Lift, Machine, Part, StateChange, UseState
from ullage.web.machines.selectors.states import GRAVITY, UNDO_MIN, may_lift
from ullage.web.machines.services.carry import carried_fields, carry
from ullage.web.sites.selectors import membership_at, role_may

__all__ = ["state_set", "state_undo"]

_STRICTER = (Lift.OPERATOR, Lift.LEAD, Lift.VETERINARIAN)


@dataclass(frozen=True, slots=True, kw_only=True)
class _To:
    """A state with its reason and who may lift it."""

    state: UseState
    reason: str
    lift: Lift


@transaction.atomic
def state_set(
    *,
    thing: Machine | Part,
    to: UseState,
    by: User,
    reason: str = "",
    lift: Lift = Lift.LEAD,
    record_code: UUID | None = None,
) -> StateChange | None:
    """Bring a machine or a part into a state; None where nothing changes.

    A second reason joins the first, and of two words on who may lift it the stricter one holds.

    Raises
    ------
    RuleBroken : no reason, or a role that may not say so.
    """
    _hold(thing)
    if to != UseState.IN_USE and not reason.strip():
        raise RuleBroken("Say why; it stands beside the name wherever it is shown.")
    eases = GRAVITY.index(to) < GRAVITY.index(UseState(thing.state))
    _refuse_role(thing, by, eases=eases)
    now = _To(state=to, reason=reason.strip(), lift=lift)
    if to == UseState.IN_USE:
        now = _To(state=to, reason="", lift=Lift.LEAD)
    elif not eases and thing.state != UseState.IN_USE:
        now = _joined(thing, now)
    if (now.state, now.reason, now.lift) == (thing.state, thing.state_reason, thing.state_lift):
        return None
    return _write(thing, now, by, record_code)


@transaction.atomic
def state_undo(*, thing: Machine | Part, by: User) -> StateChange:
    """Take the last change of state back: for its author, while it is fresh.

    Raises
    ------
    RuleBroken : somebody else's change, one that rests on a record, one that is older, or none.
    """
    _hold(thing)
    last = _changes(thing).first()
    if last is None or last.by_id != by.pk:
        raise RuleBroken("There is no change of yours to take back.")
    if last.record_code is not None:
        raise RuleBroken("This rests on a check or a service; do that again, or bring it back.")
    if timezone.now() - last.at > timedelta(minutes=UNDO_MIN):
        raise RuleBroken(f"A change can be taken back for {UNDO_MIN} minutes; make a new one.")
    then = _To(state=UseState(last.before), reason=last.before_reason, lift=Lift(last.before_lift))
    return _write(thing, then, by, None)


def _hold(thing: Machine | Part) -> None:
    """Hold the row until the end of the transaction, and read its state as it stands now."""
    type(thing)._default_manager.select_for_update().get(pk=thing.pk)
    thing.refresh_from_db(fields=["state", "state_reason", "state_lift"])


def _changes(thing: Machine | Part) -> QuerySet[StateChange]:
    return StateChange.objects.filter(**{_of(thing): thing})


def _of(thing: Machine | Part) -> str:
    return "machine" if isinstance(thing, Machine) else "part"


def _refuse_role(thing: Machine | Part, by: User, *, eases: bool) -> None:
    """To make it worse takes the hand that works; to lift it, the role that was set."""
    role = membership_at(by, thing.site).role
    if eases and not may_lift(thing, role):
        who = thing.get_state_lift_display()
        raise RuleBroken(f"{who} can bring {thing} back into use: {thing.state_reason}")
    if not role_may(role, "operate"):
        raise RuleBroken(
            "You can see this, not change it. An operator, a lead or a veterinarian can."
        )


def _joined(thing: Machine | Part, now: _To) -> _To:
    """A second reason beside the one that stands; the stricter word on who may lift it."""
    stands = thing.state_reason
    reason = stands if now.reason in stands else f"{now.reason} Before that: {stands}"
    return _To(
        state=now.state,
        reason=reason,
        lift=max(now.lift, Lift(thing.state_lift), key=_STRICTER.index),
    )


def _write(thing: Machine | Part, now: _To, by: User, record_code: UUID | None) -> StateChange:
    machine = thing.machine if isinstance(thing, Part) else None
    carried = carried_fields(machine) if machine else {}
    change = StateChange.objects.create(
        **{_of(thing): thing},
        before=thing.state,
        before_reason=thing.state_reason,
        before_lift=thing.state_lift,
        after=now.state,
        reason=now.reason,
        lift=now.lift,
        record_code=record_code,
        by=by,
        at=timezone.now(),
    )
    thing.state, thing.state_reason, thing.state_lift = now.state, now.reason, now.lift
    thing.state_at, thing.state_by = change.at, by
    thing.save(update_fields=["state", "state_reason", "state_lift", "state_at", "state_by"])
    if machine:
        carry(machine=machine, by=by, before=carried)
    return change
