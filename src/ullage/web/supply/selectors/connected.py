"""Cylinders that were connected to what feeds machines."""

from collections.abc import Iterable
from datetime import datetime

from ullage.web.machines.selectors import Machine
from ullage.web.supply.models import Cylinder

__all__ = ["cylinders_connected"]


def cylinders_connected(machines: Iterable[Machine], since: datetime) -> list[tuple[int, datetime]]:
    """The machine and the time of each cylinder in use that was connected; one query."""
    rows = Cylinder.objects.filter(source__machines__in=list(machines), connected_at__gt=since)
    found = rows.values_list("source__machines", "connected_at")
    return [(pk, at) for pk, at in found if pk is not None and at is not None]
