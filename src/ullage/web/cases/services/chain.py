"""The one place where a line is added to a record, and a head to the register of its site."""

from collections.abc import Callable, Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ullage.answers.record.chained import START, Chained, Head, next_link, register_line
from ullage.answers.record.fixed import utc_text
from ullage.answers.record.things import AnyLine
from ullage.answers.record.written import content_of
from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Line, Record, RegisterLine, Tablet
from ullage.web.sites.selectors import Site

__all__ = [
    "Written",
    "head_register",
    "line_chained",
    "line_write",
    "lines_save",
    "record_locked",
]

#: Given the order and the time of receipt, the line to write.
type Written = Callable[[int, datetime], AnyLine]

_KINDS = {
    "CaseOpened": "case",
    "EntryText": "entry",
    "Amendment": "amendment",
    "SignatureText": "signature",
}


def record_locked(record: Record, *parts: str) -> Record:
    """The record as it stands, held until the transaction ends: lines are added one by one.

    On SQLite a transaction that writes has the whole database from its beginning. With ``parts``
    only these are read at once, the others when somebody asks for them.
    """
    rows = Record.objects.select_for_update(of=("self",))
    return (rows.only(*parts) if parts else rows).get(pk=record.pk)


def line_write(
    *,
    record: Record,
    made: Written,
    by: User,
    at: datetime | None = None,
    tablet: Tablet | None = None,
) -> Line:
    """Add one line to the chain of a record that `record_locked` gave in this transaction."""
    row = line_chained(record=record, made=made, by=by, at=at or timezone.now(), tablet=tablet)
    lines_save(record=record, rows=[row])
    return row


def line_chained(
    *, record: Record, made: Written, by: User, at: datetime, tablet: Tablet | None = None
) -> Line:
    """The next line of a record's chain, which `lines_save` has yet to write."""
    line = made(record.count + 1, at)
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
        received_at=at,
        text=link.text,
        sum=link.sum,
    )


def lines_save(*, record: Record, rows: Sequence[Line]) -> None:
    """Write lines that were chained one after the other, and how far the record goes now."""
    if not rows:
        return
    Line.objects.bulk_create(rows)
    Record.objects.filter(pk=record.pk).update(count=record.count, head=record.head)


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
