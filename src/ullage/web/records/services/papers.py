"""Papers of records are kept as they were when they were closed, amended or signed."""

from hashlib import sha256

from django.db import IntegrityError, transaction

from ullage.web.cases.selectors import Record, lines_of
from ullage.web.records.models import SignedPaper
from ullage.web.records.selectors.papers import papers_due, pdf_of

__all__ = ["papers_keep"]


def papers_keep(*, record: Record) -> int:
    """Keep every paper that is due and not there; how many were made.

    What is drawn depends on the lines up to that one, so that it may be made a little later.
    """
    there = set(SignedPaper.objects.filter(record=record).values_list("count", flat=True))
    due = [count for count in papers_due(lines_of(record)) if count not in there]
    return sum(_kept(record, count) for count in due)


def _kept(record: Record, count: int) -> bool:
    pdf = pdf_of(record, count)
    line = record.lines.select_related("author").get(order=count)
    try:
        with transaction.atomic():
            SignedPaper.objects.create(
                record=record,
                count=count,
                sum=line.sum,
                name=f"record-{record.number}-line-{count}.pdf",
                kind="PDF",
                sha256=sha256(pdf).hexdigest(),
                size_bytes=len(pdf),
                content=pdf,
                by=line.author,
            )
    except IntegrityError:  # another worker was quicker
        return False
    return True
