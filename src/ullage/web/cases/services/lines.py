"""Entries and amendments come in: taken once each, in order, or kept aside word for word.

Nothing that arrives is dropped. What was sent twice is acknowledged again; what cannot be taken
stands under "not taken" until a lead has settled it; what comes after the end of a record waits
there too.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.doubts import entry_faults, reading_doubted
from ullage.answers.record.fixed import fixed_text
from ullage.answers.record.things import Amendment, EntryText, Reading
from ullage.answers.record.words import read_reading
from ullage.answers.record.written import content_of, line_of_text
from ullage.core.errors import UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Line, NotTaken, Record, Tablet, Why
from ullage.web.cases.selectors import author_text
from ullage.web.cases.services.aside import Aside, aside_keep
from ullage.web.cases.services.chain import line_write, record_locked
from ullage.web.sites.selectors import Membership, Site, role_may

__all__ = ["MOST_AT_ONCE", "Sent", "Taken", "keep_aside", "lines_take", "typed_reading"]

#: A queue sends no more than this many lines in one request.
MOST_AT_ONCE = 50
_LONGEST_SAYS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One line as it came: an `EntryText` or `Amendment` whose order and receipt do not count yet.

    ``user`` is who wrote it, proved by the session or by the ticket of the tablet. ``word`` is
    what was sent, word for word, for the case that it cannot be taken.
    """

    line: EntryText | Amendment
    user: User
    tablet: Tablet | None = None
    word: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of one line. ``outcome``: taken, again (it was there), or kept (not taken).

    ``asks`` is the question about an odd value, which was taken all the same.
    """

    id: str
    outcome: str
    order: int = 0
    says: str = ""
    asks: str = ""
    details: Mapping[str, Any] = field(default_factory=dict)


def typed_reading(key: str, typed: str) -> Reading:
    """A number with its unit from what a person typed for a variable.

    Raises
    ------
    UnreadableQuantity : not a number with a unit of the variable, or a word of its list.
    UnknownReference : no such variable.
    """
    return read_reading(key, typed)


def lines_take(*, record: Record, sent: Sequence[Sent], by: User | None) -> list[Taken]:
    """Take lines into a record, all in one transaction, each once and in the order given.

    Parameters
    ----------
    record : to which they belong.
    sent : of at most `MOST_AT_ONCE` lines.
    by : whose session sends them, if anybody's; the author of each is its own ``user``.

    Returns
    -------
    What became of each, only after the database has it safely.
    """
    with transaction.atomic():
        locked = record_locked(record)
        known = _known(locked, [one.line.id for one in sent])
        now = timezone.now()
        return [_take(locked, one, by, known, now) for one in sent]


def _known(record: Record, codes: Sequence[str]) -> dict[str, list[Line]]:
    """The lines that these ids have already, in one read."""
    found: dict[str, list[Line]] = {}
    valid = [code for code in codes if _is_code(code)]
    for row in Line.objects.filter(record=record, code__in=valid).order_by("order"):
        found.setdefault(str(row.code), []).append(row)
    return found


def _is_code(text: str) -> bool:
    try:
        return str(UUID(text)) == text
    except ValueError:
        return False


def _take(
    record: Record, sent: Sent, by: User | None, known: dict[str, list[Line]], now: datetime
) -> Taken:
    line = replace(sent.line, record=str(record.code), author=author_text(sent.user))
    before = known.get(line.id, [])
    same = next((row for row in before if _same(line, row, sent.user)), None)
    if same is not None:
        return Taken(id=line.id, outcome="again", order=same.order)
    why, says = _refused(record, line, sent.user, bool(before), now)
    if why is not None:
        keep_aside(record=record, site=record.site, sent=sent, why=why, says=says, by=by)
        return Taken(id=line.id, outcome="kept", says=says)
    row = line_write(
        record=record,
        made=lambda order, at: replace(line, order=order, times=replace(line.times, received=at)),
        by=sent.user,
        at=now,
        tablet=sent.tablet,
    )
    known.setdefault(line.id, []).append(row)
    return Taken(id=line.id, outcome="taken", order=row.order, asks=_asks(record, line))


def _same(line: EntryText | Amendment, row: Line, user: User) -> bool:
    """Whether a line says what is written already; order and receipt are the server's own.

    Its author is the same account, though the name in print may have changed since.
    """
    there = line_of_text(row.text)
    if type(there) is not type(line) or row.author_id != user.pk:
        return False
    times = replace(line.times, received=there.times.received)
    ours = replace(line, order=there.order, author=there.author, times=times)
    return content_of(ours) == content_of(there)


def _refused(
    record: Record, line: EntryText | Amendment, user: User, is_other: bool, now: datetime
) -> tuple[Why | None, str]:
    """Why a line cannot be taken, and in a sentence; None where it can."""
    if not _is_code(line.id):
        return Why.IMPOSSIBLE, "The entry has no id of its own; it is kept for a lead to settle."
    if is_other:
        return (
            Why.OTHER,
            "An entry with this id says something else. Both are kept; a lead decides.",
        )
    if not _may_write(user, record.site):
        return Why.ROLE, f"{user} may not write in records here. A lead decides on the entry."
    if record.is_closed and isinstance(line, EntryText):
        return Why.CLOSED, "The record is closed. The entry is kept as late; a lead decides."
    faults = _faults(record, line, now)
    return (Why.IMPOSSIBLE, " ".join(faults)[:_LONGEST_SAYS]) if faults else (None, "")


def _faults(record: Record, line: EntryText | Amendment, now: datetime) -> tuple[str, ...]:
    placed = replace(line, order=record.count + 1, times=replace(line.times, received=now))
    faults = entry_faults(placed)
    if faults:
        return faults
    if isinstance(line, Amendment) and not _holds_entry(record, line.of):
        return ("The entry that it corrects is not in this record.",)
    try:
        fixed_text(content_of(placed))
    except UllageError as why:
        return (str(why),)
    return ()


def _holds_entry(record: Record, code: str) -> bool:
    return _is_code(code) and record.lines.filter(code=code, kind="entry").exists()


def _may_write(user: User, site: Site) -> bool:
    role = Membership.objects.filter(user=user, site=site).values_list("role", flat=True).first()
    return role is not None and role_may(role, "operate")


def _asks(record: Record, line: EntryText | Amendment) -> str:
    """The question about a value that seems odd; nothing is refused for it."""
    if not isinstance(line, EntryText) or line.value is None:
        return ""
    try:
        return reading_doubted(line.what, line.value, line.unit, record.species).settles
    except UllageError:
        return ""


def keep_aside(
    *, record: Record | None, site: Site, sent: Sent, why: Why, says: str, by: User | None
) -> NotTaken:
    """Keep what was sent word for word, once, until a lead has settled it."""
    return aside_keep(
        Aside(
            site=site,
            word=sent.word or fixed_text(content_of(sent.line)),
            why=why,
            says=says,
            entry=sent.line.id,
            record=record,
            author=sent.user,
            by=by,
            tablet=sent.tablet,
        )
    )
