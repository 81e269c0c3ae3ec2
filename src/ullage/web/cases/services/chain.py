"""The one place where a line is added to a record, and a head to the register of its site."""

from collections.abc import Callable, Sequence
from copy import copy
from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from ullage.answers.record.chained import START, Chained, Head, next_link, register_line
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.things import AnyLine
from ullage.answers.record.written import content_of
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Line, Record, RegisterLine, Tablet
from ullage.web.shared.together import Statement, answers_together, insertion
from ullage.web.sites.selectors import Site

__all__ = [
    "Written",
    "head_register",
    "line_chained",
    "line_write",
    "lines_save",
    "record_locked",
    "record_locked_with",
]

#: Given the order and the time of receipt, the line to write.
type Written = Callable[[int, datetime], AnyLine]

_KINDS = {
    "CaseOpened": "case",
    "EntryText": "entry",
    "Amendment": "amendment",
    "SignatureText": "signature",
}


def record_locked(record: Record) -> Record:
    """The record as it stands, held until the transaction ends: lines are added one by one.

    On SQLite a transaction that writes has the whole database from its beginning.
    """
    return Record.objects.select_for_update(of=("self",)).get(pk=record.pk)


def record_locked_with(record: Record, *asked: Statement) -> tuple[Record, list[list[Any]]]:
    """A record held like that, and what is asked once it is held, in one trip to the database.

    Of the record only what lines change is read anew: state, count and head.
    """
    held = connection.ops.for_update_sql() if connection.features.has_select_for_update else ""
    sql = f'SELECT "state", "count", "head" FROM "cases_record" WHERE "id" = %s {held}'  # noqa: S608  # words of the database
    found, *answers = answers_together((sql, [record.pk]), *asked)
    locked = copy(record)
    ((locked.state, locked.count, locked.head),) = found
    return locked, answers


def line_write(
    *,
    record: Record,
    made: Written,
    by: User,
    at: datetime | None = None,
    tablet: Tablet | None = None,
) -> Line:
    """Add one line to the chain of a record that `record_locked` gave in this transaction."""
    line = made(record.count + 1, at or timezone.now())
    row = line_chained(record=record, line=line, by=by, tablet=tablet)
    lines_save(record=record, rows=[row])
    return row


def line_chained(*, record: Record, line: AnyLine, by: User, tablet: Tablet | None = None) -> Line:
    """The next line of a record's chain, which `lines_save` has yet to write.

    Raises
    ------
    PlanUnreadable : it holds what no fixed text can; the record is as it was.
    """
    before = None
    if record.count:
        before = Chained(order=record.count, text="", sum=record.head)
    link = next_link(before, content_of(line))
    record.count, record.head = link.order, link.sum
    return Line(
        record=record,
        order=link.order,
        kind=_KINDS[type(line).__name__],
        code=line.id,
        author=by,
        tablet=tablet,
        observed_at=line.times.observed,
        received_at=line.times.received,
        text=link.text,
        sum=link.sum,
    )


def lines_save(*, record: Record, rows: Sequence[Line]) -> None:
    """Write lines that were chained one after the other, and how far the record goes now."""
    if not rows:
        return
    sql = 'UPDATE "cases_record" SET "count" = %s, "head" = %s WHERE "id" = %s'
    keys, _ = answers_together(insertion(rows), (sql, [record.count, record.head, record.pk]))
    for row, (key,) in zip(rows, keys, strict=True):
        row.pk = key
        row._state.adding, row._state.db = False, connection.alias


@transaction.atomic
def head_register(*, record: Record) -> RegisterLine:
    """Chain how far a record goes now into the register of its site."""
    Site.objects.select_for_update().get(pk=record.site_id)
    last = RegisterLine.objects.filter(site_id=record.site_id).order_by("-order").first()
    before = Chained(order=last.order, text="", sum=last.sum) if last else None
    head = Head(kind="record", of=str(record.code), count=record.count, sum=record.head or START)
    order = last.order + 1 if last else 1
    content = register_line(head, str(record.site.code), order, utc_text(timezone.now()))
    link = next_link(before, content, "register")
    return RegisterLine.objects.create(
        site_id=record.site_id, record=record, order=order, text=link.text, sum=link.sum
    )
