"""A whole check written at once with times of its own, as the practice world needs it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django.db import transaction

from ullage.answers import Verdict
from ullage.answers.checks import check_result, step_result
from ullage.web.accounts.selectors import User
from ullage.web.checks.models import Check, Entry
from ullage.web.checks.selectors import entries_of, limits_of, list_of
from ullage.web.checks.services.lists import list_in_use
from ullage.web.checks.services.runs import NO_ANIMAL, take_out
from ullage.web.machines.selectors import Machine

__all__ = ["CheckTold", "check_write"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckTold:
    """A check as it went: its list, when, and what was entered, step by step."""

    key: str
    begun_at: datetime
    entries: Sequence[tuple[str, Mapping[str, Any]]]
    step_s: float = 20.0
    is_left: bool = False


@transaction.atomic
def check_write(*, machine: Machine, told: CheckTold, by: User) -> Check:
    """Write a check of the past; its results come from the same answers as any other."""
    version = list_in_use(site=machine.site, key=told.key)
    check = Check.objects.create(
        site=machine.site, machine=machine, version=version, begun_at=told.begun_at, begun_by=by
    )
    at = told.begun_at
    for key, values in told.entries:
        at += timedelta(seconds=told.step_s)
        _enter(check, key, values, at, by)
    if told.is_left:
        return check
    result = check_result(list_of(check), entries_of(check))
    check.ended_at, check.ended_by = at, by
    check.result, check.verdict = result.as_dict(), result.verdict or ""
    check.save(update_fields=["ended_at", "ended_by", "result", "verdict"])
    if result.verdict == Verdict.STOP:
        take_out(check, result.sentence, by)
    return check


def _enter(check: Check, key: str, values: Mapping[str, Any], at: datetime, by: User) -> None:
    step = list_of(check).step(key)
    if step is None:
        return
    known = {"in_check": check, "step": key, "at": at, "by": by}
    if step.asks_no_animal:
        Entry.objects.create(code=uuid4(), word=NO_ANIMAL, verdict=Verdict.FINE, **known)
    answer = step_result(step, values, limits_of(check.site))
    Entry.objects.create(
        code=uuid4(),
        given=dict(values),
        answer=answer.as_dict(),
        verdict=answer.verdict or "",
        **known,
    )
