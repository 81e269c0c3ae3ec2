"""Devices that are enrolled at a site."""

from hashlib import sha256
from uuid import UUID

from ullage.web.accounts.selectors import User
from ullage.web.cases.models import Tablet
from ullage.web.sites.selectors import Site, own_or_404

__all__ = ["key_fingerprint", "tablet_at", "tablet_with", "tablets_of"]


def tablet_with(code: UUID) -> Tablet | None:
    """The device with this code, wherever it is enrolled; its signature is still to be proved."""
    return Tablet.objects.filter(code=code).first()


def tablet_at(user: User, code: UUID) -> Tablet:
    """The device with this code at any site that the person belongs to; 404 for strangers."""
    return own_or_404(Tablet.objects.select_related("site", "revoked_by"), user, code)


def tablets_of(site: Site) -> list[Tablet]:
    """The devices of a site: those in use by name, then those that were revoked."""
    rows = list(Tablet.objects.filter(site=site).select_related("enrolled_by", "revoked_by"))
    return sorted(rows, key=lambda one: one.revoked_at is not None)


def key_fingerprint(tablet: Tablet) -> str:
    """The first letters of the SHA-256 sum of a device's key, for comparing by eye."""
    return sha256(tablet.public_key.encode("utf-8")).hexdigest()[:16]
