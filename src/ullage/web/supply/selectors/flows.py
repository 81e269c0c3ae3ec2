"""Which flow a source is meant to give: running, usual on its machine, or usual in the trade."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from ullage.reference import sourced
from ullage.web.supply.models import Cylinder, CylinderState, FlowRecord, Source

__all__ = ["FlowAssumed", "flow_assumed", "flow_share", "flows_running", "flows_since"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowAssumed:
    """A flow, whether it runs now, and in words where it comes from."""

    flow_l_min: float
    is_running: bool
    words: str


def flows_running(source: Source, at: datetime | None = None) -> list[FlowRecord]:
    """The flows that run now, the first begun first; several machines may draw at once."""
    now = at or timezone.now()
    found = FlowRecord.objects.filter(source=source, started_at__lte=now)
    return list(found.filter(Q(ended_at=None) | Q(ended_at__gt=now)).order_by("started_at"))


def flows_since(source: Source, at: datetime) -> list[FlowRecord]:
    """Flows meant to be running at or after a time, those that lie ahead too."""
    found = FlowRecord.objects.filter(source=source).exclude(ended_at__lte=at)
    return list(found.order_by("started_at"))


def flow_assumed(source: Source | None, share: float = 1.0) -> FlowAssumed:
    """The flow that 'lasts' is worked out for; it is always stated beside the number.

    ``share`` is what one cylinder gives of it; a reserve is reckoned with the whole.
    """
    if source is not None:
        running = [one for one in flows_running(source) if one.flow_l_min > 0]
        if running and share > 0:
            return FlowAssumed(
                flow_l_min=share * sum(one.flow_l_min for one in running),
                is_running=True,
                words=" and ".join(dict.fromkeys(one.why or "running now" for one in running))
                + (", the share of this cylinder" if share < 1 else ""),
            )
        usual = [one for one in source.machines.all() if one.usual_flow_l_min]
        if usual:
            return FlowAssumed(
                flow_l_min=sum(one.usual_flow_l_min or 0.0 for one in usual),
                is_running=False,
                words=f"usual on {' and '.join(one.name for one in usual)}, not running now",
            )
    row = sourced("rules", "CP-16")
    return FlowAssumed(
        flow_l_min=row.value, is_running=False, words="a usual flow, common practice; none is noted"
    )


def flow_share(cylinder: Cylinder) -> float:
    """[1] The share of its source's flow that one cylinder gives.

    In a bank all valves are open and cylinders give by their size; the bank that is not on duty
    and the later ones of a sequence give nothing; a reserve stands closed.
    """
    source = cylinder.source
    if source is None or source.reserve_of_id is not None:
        return 0.0
    if source.kind == "cylinder":
        return 1.0
    fitted = Cylinder.objects.filter(source=source, state=CylinderState.IN_USE)
    if source.kind == "sequence":
        first = fitted.order_by("place_in_source", "pk").first()
        return 1.0 if first is not None and first.pk == cylinder.pk else 0.0
    if cylinder.bank != source.duty_bank:
        return 0.0
    sizes = fitted.filter(bank=cylinder.bank).values_list("water_capacity_l", flat=True)
    whole = sum(sizes)
    return cylinder.water_capacity_l / whole if whole else 0.0
