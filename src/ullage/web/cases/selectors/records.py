"""Which cases there are at a site, and one of them for somebody who may see it."""

from uuid import UUID

from django.db.models import QuerySet

from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record, RecordFile
from ullage.web.days.selectors import PlannedCase
from ullage.web.sites.selectors import Site, own_or_404

__all__ = ["file_for", "record_for", "record_of_plan", "records_of", "records_open"]


def record_for(user: User, code: UUID) -> Record:
    """The record with this code at any site that the person belongs to; 404 for strangers."""
    rows = Record.objects.select_related("site", "machine", "planned")
    return own_or_404(rows, user, code)


def records_of(site: Site) -> QuerySet[Record]:
    """All records of a site, the newest first."""
    return Record.objects.filter(site=site).select_related("machine")


def records_open(site: Site) -> QuerySet[Record]:
    """Those that are not closed, in the order in which they were opened."""
    open_ = (CaseState.READY, CaseState.RUNNING, CaseState.RECOVERING)
    return records_of(site).filter(state__in=open_).order_by("opened_at", "pk")


def record_of_plan(planned: PlannedCase) -> Record | None:
    """The record of a planned case; None where there is none yet."""
    return Record.objects.filter(planned=planned).first()


def file_for(user: User, code: UUID) -> RecordFile:
    """A file of a record at any site that the person belongs to; 404 for strangers."""
    rows = RecordFile.objects.select_related("record__site")
    return own_or_404(rows, user, code, at="record__site")
