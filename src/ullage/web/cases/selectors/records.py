"""Which cases there are at a site, and one of them for somebody who may see it."""

from uuid import UUID

from django.db.models import QuerySet

from ullage.web.accounts.selectors import User
from ullage.web.cases.models import CaseState, Record
from ullage.web.sites.selectors import Site, own_or_404

__all__ = ["record_for", "records_of", "records_open"]


def record_for(user: User, code: UUID) -> Record:
    """The record with this code at any site that the person belongs to; 404 for strangers."""
    rows = Record.objects.select_related("site", "machine", "planned")
    return own_or_404(rows, user, code)


def records_of(site: Site) -> QuerySet[Record]:
    """All records of a site, the newest first."""
    return Record.objects.filter(site=site).select_related("machine")


def records_open(site: Site) -> QuerySet[Record]:
    """Those that are not closed, in the order in which they were opened."""
    closed = (CaseState.CLOSED, CaseState.AMENDED)
    return records_of(site).exclude(state__in=closed).order_by("opened_at", "pk")
