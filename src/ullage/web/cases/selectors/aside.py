"""What was sent and not taken: at a site, of a person, one of them, how many wait."""

from uuid import UUID

from django.db.models import Q

from ullage.web.accounts.selectors import User
from ullage.web.cases.models import NotTaken, Record
from ullage.web.sites.selectors import Site, own_or_404

__all__ = ["kept_aside_for", "kept_aside_of", "records_near", "waiting_count"]

_NEAR = 60


def kept_aside_of(site: Site, of: User | None = None) -> list[NotTaken]:
    """Everything that was not taken at a site, or what one person wrote or sent, oldest first."""
    rows = NotTaken.objects.filter(site=site).select_related(
        "record", "author", "by", "tablet", "settled__by", "settled__line"
    )
    return list(rows.filter(Q(author=of) | Q(by=of)) if of is not None else rows)


def kept_aside_for(user: User, code: UUID) -> NotTaken:
    """One of them at a site that the person belongs to; 404 for strangers."""
    rows = NotTaken.objects.select_related("site", "record", "author", "by", "tablet")
    return own_or_404(rows, user, code)


def records_near(kept: NotTaken) -> list[Record]:
    """The records into which it may go: its own first, then the latest of the site."""
    latest = list(Record.objects.filter(site_id=kept.site_id)[:_NEAR])
    own = [kept.record] if kept.record is not None else []
    return list(dict.fromkeys([*own, *latest]))


def waiting_count(site: Site) -> int:
    """How many wait for a lead to decide."""
    return NotTaken.objects.filter(site=site, settled=None).count()
