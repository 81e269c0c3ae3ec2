"""Rows turned into things that answers can be worked out from."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from ullage.answers import things
from ullage.answers.places import place_at
from ullage.web.sites.selectors import Room, Site
from ullage.web.supply.models import Cylinder, FlowRecord, Reading

__all__ = [
    "cylinder_thing",
    "flow_things",
    "minutes_since",
    "place_of",
    "policy_of",
    "reading_thing",
]


def place_of(site: Site, room: Room | None = None) -> things.Place:
    """The place as the site says it; a room's own temperature comes before the site's."""
    warm = room.temperature_k if room is not None else None
    return place_at(
        barometric_kpa=site.barometric_kpa,
        elevation_m=site.elevation_m,
        temperature_k=warm or site.temperature_k,
        condition=site.condition,
        pressure_unit=site.pressure_unit,
    )


def policy_of(site: Site) -> things.ReservePolicy:
    """What the site keeps back; empty when nobody has set it, so that the proposal stands."""
    return things.ReservePolicy(
        pressure_kpa=site.reserve_kpa,
        volume_l=site.reserve_l,
        minutes=site.reserve_min,
        begin_kpa=site.begin_kpa,
    )


def cylinder_thing(row: Cylinder) -> things.Cylinder:
    """The cylinder as stamp and label say."""
    return things.Cylinder(
        gas=things.Gas(row.gas),
        water_capacity_l=row.water_capacity_l,
        full_scale_kpa=row.full_scale_kpa,
        gauge_error_share=row.gauge_error_share,
        test_pressure_kpa=row.test_pressure_kpa,
        fill_gauge_kpa=row.fill_gauge_kpa,
        tare_kg=row.tare_kg,
        label=row.name,
        capacity_source=row.capacity_known,
    )


def minutes_since(origin: datetime, at: datetime) -> float:
    """Minutes from the origin of a history to a moment."""
    return (at - origin) / timedelta(minutes=1)


def reading_thing(
    row: Reading, origin: datetime, said: Mapping[str, str] | None = None
) -> things.Reading:
    """A reading with its minute; what was said about the valve later comes before the row."""
    valve = (said or {}).get(str(row.code), row.valve_before)
    return things.Reading(
        at_min=minutes_since(origin, row.at),
        gauge_kpa=row.gauge_kpa,
        weight_kg=row.weight_kg,
        temperature_k=row.temperature_k,
        valve_before=things.Valve(valve),
    )


def flow_things(
    rows: Iterable[FlowRecord], origin: datetime, until: datetime, share: float = 1.0
) -> tuple[things.FlowPeriod, ...]:
    """Flows meant to run since the origin; one that has no end is followed until ``until``."""
    found = []
    for row in rows:
        start = max(minutes_since(origin, row.started_at), 0.0)
        end = minutes_since(origin, row.ended_at or until)
        if end > start and row.flow_l_min > 0:
            found.append(
                things.FlowPeriod(start_min=start, end_min=end, flow_l_min=row.flow_l_min * share)
            )
    return tuple(found)
