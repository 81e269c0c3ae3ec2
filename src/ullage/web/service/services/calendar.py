"""Private calendar addresses are made, shown once, and revoked."""

from secrets import token_urlsafe

from django.db import transaction
from django.utils import timezone

from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.service.models import CalendarAddress
from ullage.web.service.selectors.calendar import secret_hash
from ullage.web.sites.selectors import Site

__all__ = ["address_make", "address_revoke"]

_MOST = 50


@transaction.atomic
def address_make(*, site: Site, name: str, by: User) -> tuple[CalendarAddress, str]:
    """Make an address; its secret is handed back now and never again.

    Raises
    ------
    RuleBroken : no name, or too many that hold.
    """
    if not name.strip():
        raise RuleBroken("Say which calendar this is for, so that you know what you revoke.")
    if CalendarAddress.objects.filter(site=site, revoked_at=None).count() >= _MOST:
        raise RuleBroken(f"{_MOST} addresses hold already: revoke those that nobody uses.")
    secret = token_urlsafe(32)
    address = CalendarAddress.objects.create(
        site=site, name=name.strip(), secret_hash=secret_hash(secret), by=by
    )
    return address, secret


@transaction.atomic
def address_revoke(*, address: CalendarAddress, by: User) -> CalendarAddress:
    """Make an address void; it stays in the list with who revoked it."""
    if address.revoked_at is None:
        address.revoked_at, address.revoked_by = timezone.now(), by
        address.save(update_fields=["revoked_at", "revoked_by"])
    return address
