"""Who read, printed, took along or verified a record: a line of the audit each."""

from datetime import timedelta

from django.http import HttpRequest
from django.utils import timezone

from ullage.web.accounts.selectors import User
from ullage.web.audit.selectors import lines_about
from ullage.web.audit.services import Kind, audit
from ullage.web.cases.selectors import Record

__all__ = ["paper_look", "said_of", "said_read"]

#: Within this, opening the page again is the same reading.
_SAME = timedelta(minutes=10)


def said_read(request: HttpRequest, record: Record) -> None:
    """Write down that somebody reads a record; once while they go on reading it."""
    user = request.user if isinstance(request.user, User) else None
    lately = lines_about(record.site, str(record.code), (Kind.READ,)).filter(
        person=user, at__gte=timezone.now() - _SAME
    )
    if not lately.exists():
        audit(request, Kind.READ, f"{record}.", str(record.code))


def said_of(request: HttpRequest, kind: Kind, record: Record, what: str) -> None:
    """Write down what somebody did with a record."""
    audit(request, kind, f"{record}: {what}", str(record.code))


def paper_look(*, record: Record, missing: int) -> None:
    """Have papers made that are due and not there, such as after a crash."""
    if missing > 0:
        from ullage.web.records.tasks import papers_ask

        papers_ask(record)
