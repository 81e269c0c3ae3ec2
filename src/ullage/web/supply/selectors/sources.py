"""Everything that the page of one source shows."""

from dataclasses import dataclass

from ullage.web.machines.selectors import Machine
from ullage.web.supply.models import (
    Cylinder,
    CylinderChange,
    CylinderState,
    FlowRecord,
    Source,
    SourceEvent,
)
from ullage.web.supply.selectors.flows import flows_running
from ullage.web.supply.selectors.stored import Kept, kept_by_cylinder

__all__ = ["SourcePage", "source_page"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcePage:
    """One source as it stands, with the log of what was changed about it."""

    cylinders: tuple[tuple[Cylinder, Kept], ...]
    machines: tuple[Machine, ...]
    reserves: tuple[Source, ...]
    running: tuple[FlowRecord, ...]
    flows: tuple[FlowRecord, ...]
    changes: tuple[CylinderChange, ...]
    events: tuple[SourceEvent, ...]

    @property
    def banks(self) -> list[tuple[str, list[tuple[Cylinder, Kept]]]]:
        """The cylinders of each bank of a manifold."""
        return [(bank, [pair for pair in self.cylinders if pair[0].bank == bank]) for bank in "AB"]


def source_page(source: Source) -> SourcePage:
    """Read all that the page of a source shows; the number of queries is constant."""
    fitted = list(
        Cylinder.objects.filter(source=source, state=CylinderState.IN_USE).order_by(
            "bank", "place_in_source", "name"
        )
    )
    kept = kept_by_cylinder(fitted, ("contents",))
    running = CylinderChange.objects.filter(source=source, finished_at=None, given_up_at=None)
    return SourcePage(
        cylinders=tuple((one, kept[one.pk]) for one in fitted),
        machines=tuple(source.machines.all()),
        reserves=tuple(Source.objects.filter(reserve_of=source, retired_at=None)),
        running=tuple(flows_running(source)),
        flows=tuple(
            FlowRecord.objects.filter(source=source)
            .select_related("by")
            .order_by("-started_at")[:20]
        ),
        changes=tuple(running.select_related("old", "new")),
        events=tuple(SourceEvent.objects.filter(source=source).select_related("by")[:50]),
    )
