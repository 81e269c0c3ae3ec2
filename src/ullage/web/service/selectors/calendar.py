"""Private addresses of the due list, and who may still read by them."""

from hashlib import sha256

from ullage.web.service.models import CalendarAddress
from ullage.web.sites.selectors import Membership, Site

__all__ = ["CalendarAddress", "address_by", "addresses_of", "secret_hash"]


def secret_hash(secret: str) -> str:
    """What is kept of a secret: it is long and random, so a plain hash tells nothing of it."""
    return sha256(secret.encode()).hexdigest()


def addresses_of(site: Site) -> list[CalendarAddress]:
    """All calendar addresses of a site, the newest first."""
    found = CalendarAddress.objects.filter(site=site)
    return list(found.select_related("by", "revoked_by"))


def address_by(secret: str) -> CalendarAddress | None:
    """The address of a secret, while it holds and who made it still belongs to the site."""
    found = CalendarAddress.objects.filter(
        secret_hash=secret_hash(secret), revoked_at=None, by__is_active=True
    )
    address = found.select_related("site").first()
    if address is None:
        return None
    still_here = Membership.objects.filter(user=address.by_id, site=address.site_id).exists()
    return address if still_here else None
