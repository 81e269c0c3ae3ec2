"""Cases that were begun on machines since a time."""

from collections.abc import Iterable
from datetime import datetime

from ullage.web.days.models import PlannedCase
from ullage.web.machines.selectors import Machine

__all__ = ["cases_begun"]


def cases_begun(machines: Iterable[Machine], since: datetime) -> list[tuple[int, datetime]]:
    """The machine and the time of each case that began; one query."""
    rows = PlannedCase.objects.filter(machine__in=list(machines), began_at__gt=since)
    return [(pk, at) for pk, at in rows.values_list("machine_id", "began_at") if at is not None]
