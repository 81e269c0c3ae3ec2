"""Flows that are meant to be running from a source, kept for the estimator."""

from datetime import datetime

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from ullage.core.checks import positive
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.supply.models import FlowRecord, Source
from ullage.web.supply.services.queue import source_ask

__all__ = ["flow_record", "flow_start", "flow_stop"]


@transaction.atomic
def flow_start(
    *, source: Source, flow_l_min: float, by: User, at: datetime | None = None, why: str = ""
) -> FlowRecord:
    """Note what a source gives from now on, all machines together; what ran before ends here."""
    at = at or timezone.now()
    positive("flow_l_min", flow_l_min)
    _end_running(source, at)
    record = FlowRecord.objects.create(
        source=source, started_at=at, flow_l_min=flow_l_min, why=why, by=by
    )
    source_ask(source=source)
    return record


@transaction.atomic
def flow_stop(*, source: Source, by: User, at: datetime | None = None) -> None:
    """Note that all flows of this source are off."""
    if not _end_running(source, at or timezone.now()):
        raise RuleBroken(f"No flow is noted as running from {source}.")
    source_ask(source=source)


def _end_running(source: Source, at: datetime) -> int:
    """End what runs and what was meant to follow; a row that never ran ends where it began."""
    ahead = FlowRecord.objects.filter(source=source).exclude(ended_at__lte=at)
    ended = ahead.filter(started_at__lte=at).update(ended_at=at)
    ahead.filter(started_at__gt=at).update(ended_at=F("started_at"))
    return ended


@transaction.atomic
def flow_record(
    *,
    source: Source,
    flow_l_min: float,
    started_at: datetime,
    ended_at: datetime,
    by: User | None,
    why: str = "",
) -> FlowRecord:
    """Note a flow that ran from one time to another."""
    positive("flow_l_min", flow_l_min)
    if ended_at <= started_at:
        raise RuleBroken("A flow ends after it began; look at the two times again.")
    record = FlowRecord.objects.create(
        source=source,
        started_at=started_at,
        ended_at=ended_at,
        flow_l_min=flow_l_min,
        why=why,
        by=by,
    )
    source_ask(source=source)
    return record
