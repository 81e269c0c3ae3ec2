"""Work in the background, as its page shows it."""

from uuid import UUID

from ullage.web.accounts.selectors import User
from ullage.web.records.models import Run
from ullage.web.sites.selectors import Site, own_or_404

__all__ = ["run_for", "runs_lately"]


def run_for(user: User, code: UUID) -> Run:
    """A run at any site that the person belongs to; 404 for strangers."""
    return own_or_404(Run.objects.select_related("site", "by").defer("content"), user, code)


def runs_lately(site: Site, count: int = 5) -> list[Run]:
    """The last runs of a site, without their files."""
    rows = Run.objects.filter(site=site).select_related("by").defer("content")
    return list(rows[:count])
