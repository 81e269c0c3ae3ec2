"""Which site a person is at, and what they may do there."""

from django.http import Http404

from ullage.web.accounts.selectors import User
from ullage.web.sites.models import Membership, Role, Room, Site

__all__ = ["Membership", "Role", "Room", "Site", "may", "membership_for", "site_for"]

#: What each role may do; a role may do all that stands before it too.
_MAY = {
    "look": {Role.VIEWER, Role.OPERATOR, Role.LEAD, Role.VETERINARIAN},
    "operate": {Role.OPERATOR, Role.LEAD, Role.VETERINARIAN},
    "manage": {Role.LEAD, Role.VETERINARIAN},
    "rule": {Role.LEAD, Role.VETERINARIAN},
}


def membership_for(user: User, site_pk: int | None) -> Membership:
    """The person's membership of the site chosen, or of their first; 404 for strangers."""
    mine = Membership.objects.filter(user=user).select_related("site")
    chosen = mine.filter(site_id=site_pk).first() if site_pk else None
    found = chosen or mine.order_by("pk").first()
    if found is None:
        raise Http404
    return found


def site_for(user: User, site_pk: int | None = None) -> Site:
    """The site a person is looking at."""
    return membership_for(user, site_pk).site


def may(user: User, site: Site, what: str) -> bool:
    """Say whether a person may look, operate, manage or rule at a site."""
    return Membership.objects.filter(user=user, site=site, role__in=_MAY[what]).exists()
