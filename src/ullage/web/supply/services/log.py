"""The log of a cylinder: one line for each thing that happened to it."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from ullage.web.accounts.selectors import User
from ullage.web.supply.models import Cylinder, CylinderChange, CylinderEvent

__all__ = ["log_event"]


def log_event(
    *,
    cylinder: Cylinder | None,
    kind: str,
    by: User,
    at: datetime | None = None,
    change: CylinderChange | None = None,
    **details: Any,
) -> CylinderEvent:
    """Write one line; what stands in the log is never changed."""
    return CylinderEvent.objects.create(
        cylinder=cylinder,
        change=change,
        kind=kind,
        at=at or timezone.now(),
        by=by,
        details={name: value for name, value in details.items() if value not in (None, "")},
    )
