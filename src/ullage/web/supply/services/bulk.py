"""Many rows at once: the flows of a case, and a history that is brought in whole."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Q

from ullage.core.checks import positive
from ullage.core.errors import RuleBroken
from ullage.web.accounts.selectors import User
from ullage.web.sites.selectors import Site
from ullage.web.supply.models import Cylinder, CylinderEvent, FlowRecord, Reading, Source
from ullage.web.supply.services.queue import source_ask

__all__ = ["MeantFlow", "flows_cut", "flows_write", "history_write"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeantFlow:
    """A flow that is meant to run from a source between two times; no end: until it is cut."""

    source: Source
    flow_l_min: float
    started_at: datetime
    ended_at: datetime | None
    why: str


def _record(flow: MeantFlow, by: User | None) -> FlowRecord:
    positive("flow_l_min", flow.flow_l_min)
    if flow.ended_at is not None and flow.ended_at <= flow.started_at:
        raise RuleBroken("A flow ends after it began; look at the two times again.")
    return FlowRecord(
        source=flow.source,
        flow_l_min=flow.flow_l_min,
        started_at=flow.started_at,
        ended_at=flow.ended_at,
        why=flow.why[:120],
        by=by,
    )


@transaction.atomic
def flows_write(*, flows: Iterable[MeantFlow], by: User | None) -> None:
    """Write down what is meant to run; other flows of the same source stay as they are."""
    told = list(flows)
    FlowRecord.objects.bulk_create([_record(one, by) for one in told])
    for source in {one.source.pk: one.source for one in told}.values():
        source_ask(source=source)


@transaction.atomic
def flows_cut(*, site: Site, why: str, at: datetime) -> int:
    """End every flow of these words at a time; one that had not begun by then never ran."""
    found = FlowRecord.objects.filter(source__site=site, why=why)
    sources = list(Source.objects.filter(flows__in=found).distinct())
    found.filter(started_at__gte=at).delete()
    cut = found.filter(Q(ended_at=None) | Q(ended_at__gt=at)).update(ended_at=at)
    for source in sources:
        source_ask(source=source)
    return cut


@transaction.atomic
def history_write(
    *,
    cylinders: Iterable[Cylinder] = (),
    readings: Iterable[Reading] = (),
    events: Iterable[CylinderEvent] = (),
    flows: Iterable[FlowRecord] = (),
) -> None:
    """Bring in rows that were made elsewhere, in order; no answer is asked for."""
    Cylinder.objects.bulk_create(list(cylinders), batch_size=500)
    Reading.objects.bulk_create(list(readings), batch_size=1000)
    CylinderEvent.objects.bulk_create(list(events), batch_size=1000)
    FlowRecord.objects.bulk_create(list(flows), batch_size=1000)
