"""A lead settles what was not taken: into the record as a late entry, or left where it is."""

from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from ullage.answers.record.doubts import entry_faults
from ullage.answers.record.posted import amended_as_typed, read_posted
from ullage.answers.record.things import Amendment, EntryKind, EntryText, Times
from ullage.answers.record.written import line_of_text
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Line, NotTaken, Record, Settled
from ullage.web.cases.selectors import author_text, lines_of
from ullage.web.cases.services.chain import line_write, record_locked
from ullage.web.cases.services.facts import amended_after
from ullage.web.cases.services.heads import head_sign_if_can
from ullage.web.sites.selectors import membership_at, role_may

__all__ = ["Decision", "line_sent", "settle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What a lead decides: why, into which record, or none to leave it where it is."""

    reason: str
    into: Record | None = None


def line_sent(kept: NotTaken) -> EntryText | Amendment | None:
    """What was sent as the line that it would be; None where it cannot be read as one."""
    for read in (_posted, _fixed):
        found = read(kept.sent)
        if found is not None:
            return found
    return None


def _posted(sent: str) -> EntryText | Amendment | None:
    try:
        return read_posted(sent).line
    except UllageError:
        return None


def _fixed(sent: str) -> EntryText | Amendment | None:
    try:
        found = line_of_text(sent)
    except UllageError:
        return None
    return found if isinstance(found, (EntryText, Amendment)) else None


@transaction.atomic
def settle(*, kept: NotTaken, decision: Decision, by: User) -> Settled:
    """Settle one thing that was not taken; it stays readable word for word whatever is decided.

    Raises
    ------
    RuleBroken : not a lead, no reason, settled before, a record of another site, or its author or
        what it corrects is not known there.
    """
    if not role_may(membership_at(by, kept.site).role, "manage"):
        raise RuleBroken("A lead or a veterinarian settles what was not taken.")
    if not decision.reason.strip():
        raise RuleBroken("Say why.")
    if Settled.objects.filter(of=kept).exists():
        raise RuleBroken("This was settled already.")
    line = None
    if decision.into is not None:
        line = _taken(kept, decision, by)
    try:
        with transaction.atomic():
            return Settled.objects.create(
                of=kept, line=line, reason=decision.reason.strip(), by=by, at=timezone.now()
            )
    except IntegrityError as taken:
        raise RuleBroken("This was settled already.") from taken


def _taken(kept: NotTaken, decision: Decision, by: User) -> Line:
    record = decision.into
    if record is None or record.site_id != kept.site_id:
        raise RuleBroken("This record is of another site.")
    locked = record_locked(record)
    author = kept.author or by
    sent = _as_line(kept, locked, author)
    line = line_write(
        record=locked,
        made=lambda order, at: _made(sent, locked, author, order, at),
        by=author,
        tablet=kept.tablet,
    )
    amended_after(record=locked, by=by, reason=f"Late entry: {decision.reason.strip()}")
    if locked.is_closed:
        head_sign_if_can(record=locked)
    return line


def _as_line(kept: NotTaken, record: Record, author: User) -> EntryText | Amendment:
    """The line that goes into the record; what is none goes in as free text, word for word."""
    sent = line_sent(kept)
    if isinstance(sent, Amendment):
        return _correction(sent, record, author)
    if isinstance(sent, EntryText) and kept.author is not None:
        placed = replace(sent, record=str(record.code), order=1, author=author_text(author))
        placed = replace(placed, times=replace(placed.times, received=timezone.now()))
        if not entry_faults(placed):
            return sent
    at = sent.times if isinstance(sent, EntryText) else _times(kept.at)
    proved = "" if kept.author is not None else "Its author is not proved. "
    return EntryText(
        id=str(uuid4()), record="", order=1, author="", times=at, kind=EntryKind.TEXT,
        what="not taken", typed=f"{proved}Sent word for word: {kept.sent}",
    )  # fmt: skip


def _times(at: datetime) -> Times:
    return Times(observed=at, written=at, received=at)


def _correction(sent: Amendment, record: Record, author: User) -> Amendment:
    entries = {one.id: one for one in lines_of(record) if isinstance(one, EntryText)}
    of = entries.get(sent.of)
    if of is None:
        raise RuleBroken("The entry that it corrects is not in this record.")
    try:
        sent = amended_as_typed(sent, of)
    except UllageError as why:
        raise RuleBroken(f"As a correction it cannot be taken: {why}") from why
    placed = replace(sent, record=str(record.code), order=1, author=author_text(author))
    faults = entry_faults(replace(placed, times=replace(placed.times, received=timezone.now())))
    if faults:
        raise RuleBroken(f"As a correction it cannot be taken: {faults[0]}")
    return sent


def _made(
    sent: EntryText | Amendment, record: Record, author: User, order: int, at: datetime
) -> EntryText | Amendment:
    """The line in its place: its author and its own times stay; an id that is taken is not."""
    is_there = record.lines.filter(code=sent.id).exists() if _is_code(sent.id) else True
    return replace(
        sent,
        id=str(uuid4()) if is_there else sent.id,
        record=str(record.code),
        order=order,
        author=author_text(author),
        times=replace(sent.times, received=at),
    )


def _is_code(text: str) -> bool:
    try:
        return str(UUID(text)) == text
    except ValueError:
        return False
