"""The queue of a tablet comes in: each line to its record, aside, or back to wait for a sign-in.

Two things give a request its power: the session of a person, or the signature of an enrolled tablet
under each line. The author of a line is neither: it is who was signed in when it was written, which
a ticket proves. What cannot be taken is kept word for word; one such line never hinders another.
"""

import logging
from collections.abc import Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db import InterfaceError, OperationalError

from ullage.answers.record.posted import Posted, amended_as_typed, posted_names, read_posted
from ullage.answers.record.things import Amendment, EntryText
from ullage.answers.record.written import line_of_text
from ullage.core.errors import RuleBroken, UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Line, NotTaken, Record, Tablet, Why
from ullage.web.cases.services.aside import Aside, aside_keep, kept_text, word_digest
from ullage.web.cases.services.lines import MOST_AT_ONCE, Sent, Taken, line_stands, lines_take
from ullage.web.cases.services.tablets import is_signed_by, tablet_seen
from ullage.web.cases.services.tickets import Ticket, ticket_read
from ullage.web.sites.selectors import Site

__all__ = ["Sender", "Word", "queue_take"]

logger = logging.getLogger("django.ullage.queue")

_WAITS = "Sign in to share it: it is not signed by an enrolled tablet. It stays on this device."
_NO_CASE = "Its case is not at this site. The entry is kept; a lead decides."
_KEPT = "It is kept word for word; a lead decides."


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """By whose power lines come: a person in a session, a tablet that is named, or both.

    ``sites`` are those of the person, ``site`` the one where they stand. ``offset_s``: by how much
    the device's clock runs ahead, as seen in this request.
    """

    user: User | None = None
    site: Site | None = None
    sites: frozenset[int] = frozenset()
    tablet: Tablet | None = None
    offset_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One line as a device sends it: JSON text, the tablet's signature, its author's ticket."""

    text: str
    signature: str = ""
    ticket: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """A word with what was made out of it before any rule was asked."""

    word: Word
    id: str
    record: str
    posted: Posted | None
    fault: str
    ticket: Ticket | None
    ticket_fault: str
    is_signed: bool


@dataclass(slots=True, kw_only=True)
class _Batch:
    """All that one request needs to know, read once."""

    sender: Sender
    records: dict[str, Record] = field(default_factory=dict)
    users: dict[int, User] = field(default_factory=dict)
    entries: dict[tuple[str, str], EntryText] = field(default_factory=dict)


def queue_take(*, sender: Sender, words: Sequence[Word]) -> list[Taken]:
    """Take what a device has waiting; say of each line, in its order, what became of it.

    Parameters
    ----------
    sender : by whose power.
    words : at most `MOST_AT_ONCE`, in the order in which they were written.

    Returns
    -------
    For each: taken, again, kept, or waits (nothing was kept: neither session nor signature). The
    database has them safely by then.

    Raises
    ------
    RuleBroken : more lines than a request holds.
    """
    if len(words) > MOST_AT_ONCE:
        raise RuleBroken(f"A request holds {MOST_AT_ONCE} entries at most.")
    read = [_read(sender, word) for word in words]
    found: dict[int, Taken] = _kept_before(sender, read)
    batch = _batch(sender, read)
    waiting: dict[str, dict[int, Sent]] = {}
    for at, one in enumerate(read):
        if at in found:
            continue
        judged = _judged(batch, one)
        if isinstance(judged, Taken):
            found[at] = judged
        else:
            waiting.setdefault(judged.line.record, {})[at] = judged
    for code, sents in waiting.items():
        taken = _into(batch.records[code], list(sents.values()), sender.user)
        found.update(zip(sents, taken, strict=True))
    if sender.tablet is not None and any(one.is_signed for one in read):
        tablet_seen(tablet=sender.tablet)
    return [found[at] for at in range(len(read))]


def _read(sender: Sender, word: Word) -> _Read:
    posted, fault, ticket, ticket_fault = None, "", None, ""
    try:
        posted = read_posted(word.text)
    except UllageError as why:
        fault = str(why)
    try:
        ticket = ticket_read(word.ticket) if word.ticket else None
    except RuleBroken as why:
        ticket_fault = str(why)
    tablet = sender.tablet if word.signature else None
    line_id, record = posted_names(word.text)
    return _Read(
        word=word,
        id=line_id,
        record=record,
        posted=posted,
        fault=fault,
        ticket=ticket,
        ticket_fault=ticket_fault,
        is_signed=tablet is not None and is_signed_by(tablet, word.text, word.signature),
    )


def _reach(sender: Sender, read: Sequence[_Read]) -> set[int]:
    """The sites whose cases lines may be for."""
    tablet = sender.tablet
    own = {tablet.site_id} if tablet and any(one.is_signed for one in read) else set()
    return own | set(sender.sites)


def _batch(sender: Sender, read: Sequence[_Read]) -> _Batch:
    codes = {code for one in read if (code := _code(one.record))}
    rows = Record.objects.filter(code__in=codes, site__in=_reach(sender, read))
    users = {one.ticket.user for one in read if one.ticket}
    known = {sender.user.pk: sender.user} if sender.user else {}
    return _Batch(
        sender=sender,
        records={str(row.code): row for row in rows} if codes else {},
        users={**known, **User.objects.in_bulk(users - set(known))},
    )


def _kept_before(sender: Sender, read: Sequence[_Read]) -> dict[int, Taken]:
    """What was kept already stays there until a lead has settled it, whatever changed meanwhile."""
    sites = _reach(sender, read) | ({sender.site.pk} if sender.site else set())
    digests = [word_digest(one.word.text) for one in read]
    rows = NotTaken.objects.filter(
        site__in=sites, entry__in={kept_text(one.id)[:64] for one in read}, digest__in=digests
    ).values_list("digest", "says", "settled__line__order")
    found = {digest: (says, order) for digest, says, order in rows}
    return {
        at: _taken_before(one, *found[digest])
        for at, (one, digest) in enumerate(zip(read, digests, strict=True))
        if digest in found and (one.is_signed or sender.user is not None)
    }


def _taken_before(one: _Read, says: str, order: int | None) -> Taken:
    """What is said of a line that was kept: a lead may have taken it since."""
    if order is not None:
        return Taken(id=one.id, outcome="again", order=order)
    return Taken(id=one.id, outcome="kept", says=says)


def _judged(batch: _Batch, one: _Read) -> Taken | Sent:
    """What becomes of one line as far as it is known without its record's own rules."""
    sender = batch.sender
    if sender.user is None and not one.is_signed:
        return Taken(id=one.id, outcome="waits", says=_WAITS)
    if one.posted is None:
        return _aside(batch, one, Why.IMPOSSIBLE, one.fault, _claimed(batch, one))
    fault = _tablet_fault(sender, one)
    if fault:
        return _aside(batch, one, Why.TABLET, fault)
    try:
        author = _author(batch, one, one.posted)
    except RuleBroken as why:
        return _aside(batch, one, Why.AUTHOR, str(why))
    if one.record not in batch.records:
        return _aside(batch, one, Why.WRONG_CASE, _NO_CASE, author)
    return _sent(batch, one, one.posted.line, author)


def _tablet_fault(sender: Sender, one: _Read) -> str:
    if not one.word.signature:
        return ""
    if not one.is_signed:
        return f"Its signature is not that of an enrolled tablet. {_KEPT}"
    if sender.tablet is not None and sender.tablet.revoked_at is not None:
        return f"The tablet is no longer enrolled. {_KEPT}"
    return ""


def _author(batch: _Batch, one: _Read, posted: Posted) -> User:
    """Who wrote a line; RuleBroken where that cannot be proved."""
    if isinstance(posted.line, Amendment) and not posted.author_confirmed:
        raise RuleBroken(f"A correction needs its author signed in. {_KEPT}")
    sender, ticket = batch.sender, one.ticket
    if ticket is None:
        return _own_author(sender, one, posted)
    author = _claimed(batch, one)
    if author is None:
        raise RuleBroken(f"The ticket of its author is of another device or account. {_KEPT}")
    said_s = posted.line.times.offset_s
    if not ticket.covers(posted.line.times.written, sender.offset_s if said_s is None else said_s):
        raise RuleBroken(f"Its author holds no ticket for the time when it was written. {_KEPT}")
    return author


def _claimed(batch: _Batch, one: _Read) -> User | None:
    """Whom the ticket of a line names, if it is of this device or of the person in the session."""
    sender, ticket = batch.sender, one.ticket
    if ticket is None:
        return None
    tablet = sender.tablet if one.is_signed else None
    is_here = tablet is not None and ticket.tablet == str(tablet.code)
    is_own = sender.user is not None and sender.user.pk == ticket.user
    user = batch.users.get(ticket.user)
    named = user is not None and user.username == ticket.username
    return user if named and (is_here or is_own) else None


def _own_author(sender: Sender, one: _Read, posted: Posted) -> User:
    """The person in the session, for a line from a page that was made for them."""
    if one.ticket_fault:
        raise RuleBroken(f"{one.ticket_fault} {_KEPT}")
    if sender.user is None or posted.by != sender.user.username or not posted.author_confirmed:
        raise RuleBroken(f"It carries no ticket of its author. {_KEPT}")
    return sender.user


def _sent(batch: _Batch, one: _Read, line: EntryText | Amendment, author: User) -> Taken | Sent:
    """A line ready for its record; of an amendment the number is read here."""
    if isinstance(line, Amendment):
        try:
            line = _amended(batch, line)
        except UllageError as why:
            return _aside(batch, one, Why.IMPOSSIBLE, str(why), author)
    else:
        batch.entries.setdefault((line.record, line.id), line)
    tablet = batch.sender.tablet if one.is_signed else None
    return Sent(line=line, user=author, tablet=tablet, word=one.word.text)


def _amended(batch: _Batch, line: Amendment) -> Amendment:
    of = batch.entries.get((line.record, line.of)) or _entry(batch.records[line.record], line.of)
    return amended_as_typed(line, of) if of else line


def _entry(record: Record, code: str) -> EntryText | None:
    known = _code(code)
    row = Line.objects.filter(record=record, code=known, kind="entry").first() if known else None
    found = line_of_text(row.text) if row else None
    return found if isinstance(found, EntryText) else None


def _code(text: str) -> str:
    try:
        return text if str(UUID(text)) == text else ""
    except ValueError:
        return ""


def _aside(batch: _Batch, one: _Read, why: Why, says: str, author: User | None = None) -> Taken:
    """Keep a word for a lead of the site of its case, or of where it came from.

    What stands in the record word for word is acknowledged, though its proof may be lost since.
    """
    sender = batch.sender
    record = batch.records.get(one.record)
    tablet = sender.tablet if one.is_signed else None
    site = record.site if record else tablet.site if tablet else sender.site
    if site is None:
        return Taken(id=one.id, outcome="waits", says=_WAITS)
    order = _stands(batch, record, one) if record else 0
    if order:
        return Taken(id=one.id, outcome="again", order=order)
    aside_keep(
        Aside(
            site=site, word=one.word.text, why=why, says=says, entry=one.id, record=record,
            author=author, by=sender.user, tablet=tablet,
        )
    )  # fmt: skip
    return Taken(id=one.id, outcome="kept", says=says)


def _stands(batch: _Batch, record: Record, one: _Read) -> int:
    """The order under which a line stands in its record already, word for word; else 0."""
    line = one.posted.line if one.posted else None
    try:
        line = _amended(batch, line) if isinstance(line, Amendment) else line
    except UllageError:
        return 0
    return line_stands(record, line) if line else 0


def _into(record: Record, sents: list[Sent], by: User | None) -> list[Taken]:
    """Lines into their record together; if one breaks that, each by itself and that one aside."""
    try:
        return lines_take(record=record, sent=sents, by=by)
    except (OperationalError, InterfaceError):
        raise
    except Exception:
        logger.exception("Lines of record %s could not be taken together", record.pk)
        if len(sents) > 1:
            return [taken for one in sents for taken in _into(record, [one], by)]
    says = f"It could not be written. {_KEPT}"
    one = sents[0]
    aside_keep(
        Aside(
            site=record.site, word=one.word, why=Why.IMPOSSIBLE, says=says, entry=one.line.id,
            record=record, author=one.user, by=by, tablet=one.tablet,
        )
    )  # fmt: skip
    return [Taken(id=one.line.id, outcome="kept", says=says)]
