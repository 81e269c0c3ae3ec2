"""Readings and events of one round of a cylinder, as a chart needs them."""

from dataclasses import dataclass
from datetime import datetime

from ullage.web.supply.models import Cylinder, CylinderEvent, Reading
from ullage.web.supply.selectors.readings import in_force

__all__ = ["CurveRows", "curve_rows", "cylinder_history"]

#: What is marked on the chart, in words.
_MARKED = {
    "connected": "connected",
    "taken off": "taken off",
    "step seal": "fitted, seal in",
    "valve said": "valve before the reading:",
    "watch ended": "close and watch:",
}
_MOST = 250


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveRows:
    """Readings, the first first, which of them are amendments, and events with their words."""

    readings: tuple[Reading, ...]
    events: tuple[tuple[datetime, str], ...]


def curve_rows(cylinder: Cylinder) -> CurveRows:
    """The readings and marked events since the cylinder was connected."""
    readings = in_force(cylinder).exclude(gauge_kpa=None)
    events = CylinderEvent.objects.filter(cylinder=cylinder, kind__in=_MARKED).order_by("at", "pk")
    since = cylinder.connected_at
    if since is not None and readings.filter(at__gte=since).exists():
        readings, events = readings.filter(at__gte=since), events.filter(at__gte=since)
    return CurveRows(
        readings=tuple(reversed(readings[:_MOST])),
        events=tuple((one.at, _words(one)) for one in events[:40]),
    )


def _words(event: CylinderEvent) -> str:
    said = event.details.get("valve") or event.details.get("verdict") or ""
    return f"{_MARKED[event.kind]} {said}".strip()


def cylinder_history(cylinder: Cylinder, limit: int = 200) -> list[CylinderEvent]:
    """All that happened to a cylinder, the latest first, with who did it."""
    found = CylinderEvent.objects.filter(cylinder=cylinder).select_related("by", "change")
    return list(found[:limit])
