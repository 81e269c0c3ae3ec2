"""Entries that the pages of a case's life write themselves, through the one door for entries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID, uuid4

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.doubts import VARIABLE_KINDS
from ullage.answers.record.things import Amendment, EntryKind, EntryText, Reading, Times
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Record
from ullage.web.cases.services.lines import Sent, Taken, lines_take, typed_reading

__all__ = ["Seen", "event", "setting", "take_seen", "write_amendment", "write_seen"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What somebody saw or did, as it was typed, and when; the code makes it one entry."""

    kind: EntryKind
    what: str
    at: datetime
    typed: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    animal: str = ""
    code: str = ""


def event(what: str, at: datetime, **more: str) -> Seen:
    """An event by its word; what else is named stands in its details, ``animal`` on its own."""
    animal, typed = more.pop("animal", ""), more.pop("typed", "")
    return Seen(kind=EntryKind.EVENT, what=what, at=at, typed=typed, details=more, animal=animal)


def setting(what: str, typed: str, at: datetime) -> Seen:
    """A setting as a person said it."""
    return Seen(kind=EntryKind.SETTING, what=what, at=at, typed=typed)


@transaction.atomic
def take_seen(*, record: Record, seen: Sequence[Seen], by: User) -> list[Taken]:
    """Write entries of one person; what cannot be taken is kept aside, as its reply says.

    A code that the record holds already is not written twice.
    """
    now = timezone.now()
    fresh = [one for one in seen if not _is_there(record, one.code)]
    return lines_take(record=record, sent=[_sent(one, by, now) for one in fresh], by=by)


@transaction.atomic
def write_seen(*, record: Record, seen: Sequence[Seen], by: User) -> list[Taken]:
    """Write entries of one person; a code that the record holds already is not written twice.

    Raises
    ------
    RuleBroken : one of them cannot be taken; then none is.
    """
    taken = take_seen(record=record, seen=seen, by=by)
    _all_taken(taken)
    return taken


def _is_there(record: Record, code: str) -> bool:
    return bool(code) and record.lines.filter(code=UUID(code)).exists()


def _all_taken(taken: Sequence[Taken]) -> None:
    kept = next((one for one in taken if one.outcome == "kept"), None)
    if kept is not None:
        raise RuleBroken(kept.says)


def _sent(one: Seen, by: User, now: datetime) -> Sent:
    read = Reading(number="", unit="")
    if one.kind in VARIABLE_KINDS:
        read = typed_reading(one.what, one.typed)
    line = EntryText(
        id=one.code or str(uuid4()),
        record="",
        order=1,
        author="",
        times=Times(observed=one.at, written=now, received=now),
        kind=one.kind,
        what=one.what,
        typed=one.typed,
        number=read.number,
        unit=read.unit,
        details=dict(one.details),
        animal=one.animal,
    )
    return Sent(line=line, user=by)


@transaction.atomic
def write_amendment(*, record: Record, said: Amendment, by: User) -> Taken:
    """Write one correction of an entry.

    Raises
    ------
    RuleBroken : it cannot be taken.
    """
    if _is_there(record, said.id):
        return Taken(id=said.id, outcome="again")
    taken = lines_take(record=record, sent=[Sent(line=said, user=by)], by=by)
    _all_taken(taken)
    return taken[0]
