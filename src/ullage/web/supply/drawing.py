"""The chart of one cylinder: readings against what was expected, with its result in words."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from ullage.core.units import convert
from ullage.web.shared.charts import (
    GaugeChart,
    GaugeEvent,
    GaugeExpected,
    GaugeReading,
    gauge_chart,
)
from ullage.web.shared.display import day_and_clock, pressure
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import CylinderPage, Expected, Reading, curve_rows

__all__ = ["Drawn", "DrawnRow", "chart_of"]

#: As many rows as stand in the table beside the chart.
_TABLE_ROWS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnRow:
    """One reading of the table beside the chart."""

    when: str
    read: str
    expected: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """The drawing, its result in words, the same numbers in rows, the events by number."""

    svg: str
    label: str
    rows: tuple[DrawnRow, ...]
    events: tuple[tuple[int, str, str], ...]


def chart_of(found: CylinderPage) -> Drawn | None:
    """Draw what is stored; nothing is worked out. None where no gauge was read."""
    site, rows = found.cylinder.site, curve_rows(found.cylinder)
    if not rows.readings:
        return None
    points = _points(found, site)
    label = _label(found, len(rows.readings))
    events = [(number, at, words) for number, (at, words) in enumerate(rows.events[-9:], start=1)]
    svg = gauge_chart(
        GaugeChart(
            unit=site.pressure_unit,
            label=label,
            readings=tuple(_reading(one, found, site) for one in rows.readings),
            expected=points,
            events=tuple(GaugeEvent(at=_local(at), number=number) for number, at, _ in events),
        )
    )
    return Drawn(
        svg=svg,
        label=label,
        rows=tuple(_row(one, points, site) for one in rows.readings[-_TABLE_ROWS:][::-1]),
        events=tuple((number, day_and_clock(at), words) for number, at, words in events),
    )


def _local(at: datetime) -> datetime:
    """The clock of the place, without its zone: charts are drawn on it."""
    return timezone.localtime(at).replace(tzinfo=None)


def _shown(gauge_kpa: float, site: Site) -> float:
    return convert(gauge_kpa, "kPa", "pressure", site.pressure_unit)


def _points(found: CylinderPage, site: Site) -> tuple[GaugeExpected, ...]:
    curve = found.kept.curve
    origin = parse_datetime(curve["origin"]) if curve else None
    if origin is None:
        return ()
    return tuple(
        GaugeExpected(
            at=_local(origin + timedelta(minutes=minute)),
            low=_shown(low, site),
            middle=_shown(middle, site),
            high=_shown(high, site),
        )
        for minute, low, middle, high in curve["points"]
    )


def _reading(row: Reading, found: CylinderPage, site: Site) -> GaugeReading:
    is_last = found.reading is not None and row.pk == found.reading.pk
    odd = is_last and found.expected is not None and not found.expected.is_inside
    return GaugeReading(
        at=_local(row.at),
        value=_shown(row.gauge_kpa or 0.0, site),
        is_late=row.is_late,
        is_amended=row.amends_id is not None,
        is_odd=odd,
    )


def _label(found: CylinderPage, count: int) -> str:
    """The result of the chart in one sentence."""
    cylinder, site = found.cylinder, found.cylinder.site
    readings = "1 reading" if count == 1 else f"{count} readings"
    start = f"Gauge of {cylinder.name}, {readings}"
    if found.reading is None or found.reading.gauge_kpa is None:
        return f"{start}."
    last = pressure(found.reading.gauge_kpa, site)
    if found.expected is None:
        return f"{start}, the last one {last}."
    return f"{start}; the last one, {last}, {_against(found.expected, site)}."


def _against(expected: Expected, site: Site) -> str:
    low, high = (_shown(one, site) for one in (expected.low_kpa, expected.high_kpa))
    span = f"{low:.0f} to {high:.0f} {site.pressure_unit}"
    if expected.is_inside:
        return f"is inside the likely range of {span}"
    return f"is {'below' if expected.is_lower else 'above'} the likely range of {span}"


def _row(row: Reading, points: tuple[GaugeExpected, ...], site: Site) -> DrawnRow:
    at = _local(row.at)
    near = [one for one in points if abs(one.at - at) < timedelta(seconds=1)]
    marks = (("late",) if row.is_late else ()) + (("amended",) if row.amends_id else ())
    return DrawnRow(
        when=day_and_clock(row.at),
        read=row.typed,
        expected=f"{near[0].low:.0f} to {near[0].high:.0f}" if near else "",
        marks=marks,
    )
