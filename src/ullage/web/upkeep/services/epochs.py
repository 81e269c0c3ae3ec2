"""The name of this database: written once, and anew by every restore."""

from django.utils import timezone

from ullage.web.upkeep.models import Epoch

__all__ = ["epoch_new"]


def epoch_new(restored_from: str = "") -> Epoch:
    """Give this database a new name."""
    return Epoch.objects.create(at=timezone.now(), restored_from=restored_from[:200])
