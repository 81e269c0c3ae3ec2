"""The name of this database: it changes when the database is restored from a backup.

Tablets that see another name offer again what they had acknowledged in the last days.
"""

from django.utils import timezone

from ullage.web.cases.models import Epoch

__all__ = ["epoch_now", "epoch_renew"]


def epoch_now() -> Epoch:
    """The name that this database has now; a new one names itself at its first contact."""
    return Epoch.objects.order_by("-pk").first() or epoch_renew(reason="A new database.")


def epoch_renew(*, reason: str) -> Epoch:
    """Give the database a new name, after it was restored."""
    return Epoch.objects.create(began_at=timezone.now(), reason=reason[:240])
