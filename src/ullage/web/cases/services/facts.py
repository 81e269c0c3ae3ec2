"""What a record is of is said anew, and files are kept with it."""

from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record, RecordFile
from ullage.web.cases.services.chain import record_locked
from ullage.web.cases.services.entries import event, write_seen
from ullage.web.cases.services.life import facts_write, state_write
from ullage.web.shared.attachments import Kept

__all__ = ["facts_change", "file_keep"]

#: Facts that are also how a record is found.
_FOUND_BY = ("name", "species")


@transaction.atomic
def facts_change(*, record: Record, facts: Mapping[str, str], by: User, reason: str) -> Record:
    """Say anew what a record is of; a closed one is amended by it.

    Raises
    ------
    RuleBroken : nothing is different, or no reason.
    """
    if not facts:
        raise RuleBroken("Nothing is different from what stands there.")
    locked = record_locked(record)
    facts_write(record=locked, facts=facts, by=by, reason=reason)
    found = {name: facts[name] for name in _FOUND_BY if facts.get(name)}
    if found:
        Record.objects.filter(pk=locked.pk).update(**found)
    amended_after(record=locked, by=by, reason=reason)
    locked.refresh_from_db()
    return locked


def amended_after(*, record: Record, by: User, reason: str) -> None:
    """A closed record reads "amended" from its first change on."""
    if record.is_closed:
        state_write(record=record, to=CaseState.AMENDED, by=by, reason=reason)


@transaction.atomic
def file_keep(*, record: Record, kept: Kept, by: User) -> RecordFile:
    """Keep a file with a record, and an entry that names its fingerprint; the same one once.

    Raises
    ------
    RuleBroken : the record is closed.
    """
    locked = record_locked(record)
    before = RecordFile.objects.filter(record=locked, sha256=kept.sha256).first()
    if before is not None:
        return before
    if locked.is_closed:
        raise RuleBroken(
            f"{locked} is closed; open its recovery again, or keep the file elsewhere."
        )
    row = RecordFile.objects.create(record=locked, by=by, **kept.row)
    named = event("file", timezone.now(), sha256=row.sha256, name=row.name)
    write_seen(record=locked, seen=[named], by=by)
    return row
