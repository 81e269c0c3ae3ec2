"""A case is closed when nothing keeps it open, or somebody answers for closing it all the same."""

from django.db import transaction
from django.utils import timezone

from ullage.answers import Verdict
from ullage.answers.record.beginning import Override
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors import life_of
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.life import facts_write, state_write
from ullage.web.cases.services.recover import gas_off

__all__ = ["case_close"]


@transaction.atomic
def case_close(
    *, record: Record, by: User, override: Override | None = None, reason: str = ""
) -> Record:
    """Close a case; what is open and who answers for it stands in the record, its head is signed.

    Raises
    ------
    RuleBroken : something keeps it open and nobody answers for it; one that never began needs a
        reason.
    """
    locked = record_locked(record)
    if locked.is_closed:
        return locked
    if locked.state == CaseState.READY and not reason.strip():
        raise RuleBroken("Say why it does not take place.")
    life = life_of(locked)
    answer = life.may_close(override)
    if answer.verdict is Verdict.NOT_YET:
        raise RuleBroken(f"{answer.sentence} {answer.settles}")
    if answer.verdict is Verdict.LOOK_AGAIN and override is not None:
        _stands(locked, life.gas_flows, override, by)
    state_write(record=locked, to=CaseState.CLOSED, by=by, reason=reason.strip())
    locked.refresh_from_db()
    return locked


def _stands(record: Record, gas_flows: bool, override: Override, by: User) -> None:
    """What is open at the end, and who answers for it, in the record itself."""
    keeps = life_of(record).may_close().steps
    facts = {
        "closed_with": " ".join(f"{one.what}: {one.note}" for one in keeps),
        "closed_override_by": override.by,
        "closed_override_reason": override.reason,
    }
    facts_write(record=record, facts=facts, by=by, reason=override.reason)
    if gas_flows:
        gas_off(record=record, at=timezone.now(), by=by)
