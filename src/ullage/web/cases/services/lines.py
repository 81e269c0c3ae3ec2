"""Entries and amendments come in: taken once each, in order, or kept aside word for word.

Nothing that arrives is dropped. What was sent twice is acknowledged again; what cannot be taken
stands under "not taken" until a lead has settled it; what comes after the end of a record waits
there too.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection, transaction
from django.utils import timezone

from ullage.answers.record.doubts import entry_faults, reading_doubted
from ullage.answers.record.fixed import fixed_text
from ullage.answers.record.things import Amendment, EntryText, Reading
from ullage.answers.record.words import read_reading
from ullage.answers.record.written import content_of, line_of_text
from ullage.core.errors import UllageError
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Line, NotTaken, Record, Tablet, Why
from ullage.web.cases.selectors import author_text
from ullage.web.cases.services.aside import Aside, aside_keep
from ullage.web.cases.services.chain import line_chained, lines_save, record_locked_with
from ullage.web.cases.services.life import state_write
from ullage.web.shared.together import Statement, answers_together, listed
from ullage.web.sites.selectors import Site, role_may, roles_statement

__all__ = [
    "MOST_AT_ONCE",
    "Sent",
    "Taken",
    "keep_aside",
    "line_stands",
    "lines_take",
    "typed_reading",
]

#: A queue sends no more than this many lines in one request.
MOST_AT_ONCE = 50
_LONGEST_SAYS = 400
#: What was seen so long before a record was opened is the fault of a clock.
_LONG_BEFORE = timedelta(days=30)


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
        locked, (lines, roles) = record_locked_with(
            record,
            _lines_statement(record, [one.line.id for one in sent]),
            roles_statement(record.site_id, {one.user.pk for one in sent}),
        )
        taking = _Taking(
            record=locked,
            by=by,
            at=timezone.now(),
            known=_by_code(lines),
            writers={user for user, role in roles if role_may(role, "operate")},
        )
        taken = [_take(taking, one) for one in sent]
        lines_save(record=locked, rows=taking.rows)
        _amended(taking)
    return taken


class _Known(NamedTuple):
    """A line that stands already, or is about to."""

    order: int
    author: int
    text: str


def _amended(taking: "_Taking") -> None:
    """A closed record reads "amended" from its first correction on; its new head is registered."""
    fresh = [row for row in taking.rows if row.kind == "amendment"]
    if taking.record.is_closed and fresh:
        by, why = fresh[-1].author, "Corrected after closing."
        state_write(record=taking.record, to=CaseState.AMENDED, by=by, reason=why)


@dataclass(slots=True, kw_only=True)
class _Taking:
    """A record while lines are taken into it: what is there, who may write, what is new."""

    record: Record
    by: User | None
    at: datetime
    known: dict[str, list[_Known]]
    writers: set[int]
    rows: list[Line] = field(default_factory=list)

    def holds_entry(self, code: str) -> bool:
        """Whether an entry with this id stands in the record, or is about to."""
        if not _is_code(code):
            return False
        fresh = any(row.kind == "entry" and row.code == code for row in self.rows)
        return fresh or self.record.lines.filter(code=code, kind="entry").exists()


def _lines_statement(record: Record, codes: Sequence[str]) -> Statement:
    """Asks for the lines that these ids have already."""
    as_kept = Line._meta.get_field("code").get_db_prep_value
    places, values = listed([as_kept(UUID(one), connection) for one in codes if _is_code(one)])
    sql = (
        'SELECT "code", "order", "author_id", "text" FROM "cases_line" '  # noqa: S608  # only places
        f'WHERE "record_id" = %s AND "code" IN ({places}) ORDER BY "order"'
    )
    return sql, [record.pk, *values]


def _by_code(rows: Iterable[Any]) -> dict[str, list[_Known]]:
    found: dict[str, list[_Known]] = {}
    for code, order, author, text in rows:
        found.setdefault(str(UUID(str(code))), []).append(_Known(order, author, text))
    return found


def _is_code(text: str) -> bool:
    try:
        return str(UUID(text)) == text
    except ValueError:
        return False


def _take(taking: _Taking, sent: Sent) -> Taken:
    record = taking.record
    line = replace(
        sent.line,
        record=str(record.code),
        author=author_text(sent.user),
        order=record.count + 1,
        times=replace(sent.line.times, received=taking.at),
    )
    before = taking.known.get(line.id, [])
    same = next((row for row in before if _same(line, row, sent.user)), None)
    if same is not None:
        return Taken(id=line.id, outcome="again", order=same.order)
    why, says = _refused(taking, line, sent.user, bool(before))
    if why is None:
        try:
            return _added(taking, line, sent)
        except UllageError as fault:
            why, says = Why.IMPOSSIBLE, str(fault)
    keep_aside(record=record, site=record.site, sent=sent, why=why, says=says, by=taking.by)
    return Taken(id=line.id, outcome="kept", says=says)


def _added(taking: _Taking, line: EntryText | Amendment, sent: Sent) -> Taken:
    """A line into the chain, with the question about a value that seems odd.

    Raises
    ------
    UllageError : its value is no reading at all, or no fixed text can hold it.
    """
    asks = ""
    if isinstance(line, EntryText) and line.value is not None:
        species = taking.record.species
        asks = reading_doubted(line.what, line.value, line.unit, species).settles
    row = line_chained(record=taking.record, line=line, by=sent.user, tablet=sent.tablet)
    taking.rows.append(row)
    taking.known.setdefault(line.id, []).append(_Known(row.order, sent.user.pk, row.text))
    return Taken(id=line.id, outcome="taken", order=row.order, asks=asks)


def line_stands(record: Record, line: EntryText | Amendment) -> int:
    """The order of the line that says the same under the same id, whoever wrote it; else 0."""
    (rows,) = answers_together(_lines_statement(record, [line.id]))
    known = _by_code(rows).get(line.id, [])
    return next((row.order for row in known if _says_same(line, row)), 0)


def _same(line: EntryText | Amendment, row: _Known, user: User) -> bool:
    """Whether a line of a person is written already, though their name may have changed since."""
    return row.author == user.pk and _says_same(line, row)


def _says_same(line: EntryText | Amendment, row: _Known) -> bool:
    """Whether a line says what is written already; order and receipt are the server's own."""
    there = line_of_text(row.text)
    if type(there) is not type(line):
        return False
    times = replace(line.times, received=there.times.received)
    ours = replace(line, record=there.record, order=there.order, author=there.author, times=times)
    return content_of(ours) == content_of(there)


def _refused(
    taking: _Taking, line: EntryText | Amendment, user: User, is_other: bool
) -> tuple[Why | None, str]:
    """Why a line cannot be taken, and in a sentence; None where it can."""
    if not _is_code(line.id):
        return Why.IMPOSSIBLE, "The entry has no id of its own; it is kept for a lead to settle."
    if is_other:
        return (
            Why.OTHER,
            "An entry with this id says something else. Both are kept; a lead decides.",
        )
    if user.pk not in taking.writers:
        return Why.ROLE, f"{user} may not write in records here. A lead decides on the entry."
    if taking.record.is_closed and isinstance(line, EntryText):
        return Why.CLOSED, "The record is closed. The entry is kept as late; a lead decides."
    faults = _faults(taking, line)
    return (Why.IMPOSSIBLE, " ".join(faults)[:_LONGEST_SAYS]) if faults else (None, "")


def _faults(taking: _Taking, line: EntryText | Amendment) -> tuple[str, ...]:
    faults = entry_faults(line)
    if faults:
        return faults
    if taking.record.opened_at - line.times.observed > _LONG_BEFORE:
        return ("It was seen long before the record was opened: look at the clock of the device.",)
    if isinstance(line, Amendment) and not taking.holds_entry(line.of):
        return ("The entry that it corrects is not in this record.",)
    return ()


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
