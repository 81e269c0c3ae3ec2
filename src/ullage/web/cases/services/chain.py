"""The one place where a line is added to a record, and a head to the register of its site."""

from collections.abc import Callable
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

__all__ = ["Written", "head_register", "line_write", "record_locked"]

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


def line_write(
    *,
    record: Record,
    made: Written,
    by: User,
    at: datetime | None = None,
    tablet: Tablet | None = None,
) -> Line:
    """Add one line to the chain of a record that `record_locked` gave in this transaction."""
    at = at or timezone.now()
    line = made(record.count + 1, at)
    before = None
    if record.count:
        before = Chained(order=record.count, text="", sum=record.head)
    link = next_link(before, content_of(line))
    row = Line(
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
    row.save(force_insert=True)
    record.count, record.head = link.order, link.sum
    Record.objects.filter(pk=record.pk).update(count=link.order, head=link.sum)
    return row


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
