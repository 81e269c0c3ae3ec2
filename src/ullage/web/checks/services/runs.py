"""Checks are begun, filled in step by step, and ended; each answer is an entry of its own."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.checks import ChangeKind, CheckStep, check_result, step_result
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.checks.models import ChangeSaid, Check, CheckFile, Entry
from ullage.web.checks.selectors import entries_of, limits_of, list_of, says_no_animal
from ullage.web.checks.services.lists import list_in_use
from ullage.web.machines.selectors import Lift, Machine, UseState
from ullage.web.machines.services import state_set
from ullage.web.shared.attachments import Kept
from ullage.web.sites.selectors import membership_at, role_may
from ullage.web.supply.selectors import place_of

__all__ = [
    "NO_ANIMAL",
    "Given",
    "change_say",
    "check_begin",
    "check_end",
    "check_give_up",
    "file_add",
    "no_animal_say",
    "step_enter",
    "take_out",
]

#: The word of an entry that says so.
NO_ANIMAL = "no animal"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a person entered at a step; the code is made with the form, so twice is once."""

    values: Mapping[str, Any]
    code: UUID = field(default_factory=uuid4)
    note: str = ""


@transaction.atomic
def check_begin(*, machine: Machine, key: str, by: User) -> Check:
    """Begin a check, or take up the one of this list that is open on the machine.

    Raises
    ------
    UnknownReference : a list that this site has not.
    """
    version = list_in_use(site=machine.site, key=key)
    running = Check.objects.filter(machine=machine, version__key=key, ended_at=None)
    begun = running.select_for_update(of=("self",)).first()
    if begun is not None:
        return begun
    now = timezone.now()
    try:
        with transaction.atomic():
            return Check.objects.create(
                site=machine.site, machine=machine, version=version, begun_at=now, begun_by=by
            )
    except IntegrityError:  # somebody else began it at the same moment
        return Check.objects.get(machine=machine, version=version, ended_at=None)


def _open(check: Check, by: User) -> None:
    """Refuse what comes too late, or from somebody whose role is too small."""
    if not role_may(membership_at(by, check.site).role, "operate"):
        raise RuleBroken("An operator, a lead or a veterinarian fills in a check.")
    if Check.objects.select_for_update().get(pk=check.pk).ended_at is not None:
        raise RuleBroken("This check has ended; begin a new one. What was entered stays.")


def _step(check: Check, key: str) -> CheckStep:
    step = list_of(check).step(key)
    if step is None:
        raise RuleBroken(f"This list has no step {key}.")
    return step


def _written(check: Check, code: UUID) -> Entry | None:
    """The entry that the same form has written already; one of another check is refused."""
    before = Entry.objects.filter(code=code).first()
    if before is not None and before.in_check_id != check.pk:
        raise RuleBroken("This entry belongs to another check; open this one again.")
    return before


@transaction.atomic
def no_animal_say(*, check: Check, step: str, by: User, code: UUID) -> Entry:
    """Keep that somebody looked: no animal is connected."""
    if (before := _written(check, code)) is not None:
        return before
    _open(check, by)
    _step(check, step)
    now = timezone.now()
    return Entry.objects.create(
        in_check=check, step=step, word=NO_ANIMAL, code=code, at=now, by=by, verdict=Verdict.FINE
    )


@transaction.atomic
def step_enter(*, check: Check, key: str, given: Given, by: User) -> Entry:
    """Keep what was said or measured at a step, with what it comes to.

    Raises
    ------
    RuleBroken : the check has ended, the role is too small, or nobody said that no animal is
        connected where the step shuts the relief valve or plugs the patient end.
    UllageError : a value that cannot be.
    """
    if (before := _written(check, given.code)) is not None:
        return before
    _open(check, by)
    step = _step(check, key)
    if step.asks_no_animal and not says_no_animal(check, key):
        raise RuleBroken(
            "First look and say that no animal is connected: this step shuts a way for gas."
        )
    place = place_of(check.site, check.machine.room)
    answer = step_result(step, given.values, limits_of(check.site), place)
    return Entry.objects.create(
        in_check=check,
        step=key,
        code=given.code,
        given=dict(given.values),
        answer=answer.as_dict(),
        verdict=answer.verdict or "",
        note=given.note.strip(),
        at=timezone.now(),
        by=by,
    )


@transaction.atomic
def check_end(*, check: Check, by: User) -> Check:
    """End a check with its result; a machine that fails a grave step goes out of use.

    Raises
    ------
    RuleBroken : it has ended, the role is too small, or its last step has no entry.
    """
    _open(check, by)
    found = list_of(check)
    entries = entries_of(check)
    said = {one.step for one in entries}
    missing = [one.title for one in found.steps if one.closes and one.key not in said]
    if missing:
        raise RuleBroken(f"A check ends with its last step: {missing[0]}.")
    result = check_result(found, entries)
    check.ended_at, check.ended_by = timezone.now(), by
    check.result, check.verdict = result.as_dict(), result.verdict or ""
    check.save(update_fields=["ended_at", "ended_by", "result", "verdict"])
    if result.verdict == Verdict.STOP:
        take_out(check, result.sentence, by)
    return check


def take_out(check: Check, why: str, by: User) -> None:
    """A machine that failed a grave step is out of use until a lead lifts it."""
    state_set(
        thing=check.machine,
        to=UseState.OUT,
        by=by,
        reason=f"{check.version.title} failed: {why.partition(': ')[2]}",
        lift=Lift.LEAD,
        record_code=check.code,
    )


@transaction.atomic
def check_give_up(*, check: Check, reason: str, by: User) -> Check:
    """End a check without a result; what was entered stays, and it stands for nothing."""
    _open(check, by)
    if not reason.strip():
        raise RuleBroken("Say why, in a few words.")
    check.ended_at, check.ended_by, check.given_up = timezone.now(), by, reason.strip()
    check.save(update_fields=["ended_at", "ended_by", "given_up"])
    return check


@transaction.atomic
def change_say(
    *, machine: Machine, kind: ChangeKind, at: datetime, by: User, note: str = ""
) -> ChangeSaid:
    """Keep that something was changed on a machine.

    Raises
    ------
    RuleBroken : a time that has not come yet.
    """
    if at > timezone.now():
        raise RuleBroken("This time has not come yet; write when it was changed.")
    return ChangeSaid.objects.create(machine=machine, kind=kind, at=at, by=by, note=note.strip())


@transaction.atomic
def file_add(*, check: Check, step: str, kept: Kept, by: User) -> CheckFile:
    """Keep a picture or a paper with a check; the same one twice is kept once."""
    if not role_may(membership_at(by, check.site).role, "operate"):
        raise RuleBroken("An operator, a lead or a veterinarian adds files to a check.")
    before = CheckFile.objects.filter(in_check=check, step=step, sha256=kept.sha256).first()
    return before or CheckFile.objects.create(in_check=check, step=step, by=by, **kept.row)
