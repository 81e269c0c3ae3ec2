"""Rows of a day turned into the plan that answers are worked out from."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from ullage.answers import Answer, Verdict
from ullage.answers import plan as things
from ullage.answers.things import Gas
from ullage.core.units import convert
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.cases import DayBounds, bounds_of, cases_of
from ullage.web.machines.selectors import Machine, machines_of
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import (
    Cylinder,
    Reading,
    Source,
    cylinder_thing,
    kept_by_cylinder,
    latest_of,
    place_of,
    policy_of,
    reading_thing,
    sources_of,
)

__all__ = ["DayThings", "Unread", "day_things"]

_ALARM = {"yes": True, "no": False}
#: The shortest a running case may still become, so that its plan stays a plan.
_LEAST_MIN = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A source that no answer can be given for, and what would settle it."""

    source: str
    machines: tuple[str, ...]
    question: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayThings:
    """The plan of a day, and the sources that had to be left out of it."""

    plan: things.DayPlan
    unread: tuple[Unread, ...]


def day_things(
    site: Site, day: date, now: datetime, without: PlannedCase | None = None
) -> DayThings:
    """Everything that the answers of one day rest on, in a constant number of queries.

    One case may be left out: the one that is being planned anew.
    """
    bounds = bounds_of(site, day)
    machines = machines_of(site)
    cases = [one for one in cases_of(site, day) if one.state != CaseState.CANCELLED]
    if without is not None:
        cases = [one for one in cases if one.pk != without.pk]
    sources, unread = _sources(site, bounds)
    names = {one.name for one in machines}
    plan = things.DayPlan(
        sources=tuple(sources),
        machines=tuple(_machine(one) for one in machines),
        cases=tuple(_case(one, bounds) for one in cases if one.machine.name in names),
        policy=policy_of(site),
        place=place_of(site),
        name=f"{site.name}, {day.isoformat()}",
        now_min=bounds.minute_of(now) if bounds.start <= now < bounds.end else None,
        reading_interval_min=float(site.reading_interval_min),
    )
    return DayThings(plan=plan, unread=tuple(unread))


def _machine(row: Machine) -> things.Machine:
    return things.Machine(
        name=row.name,
        oxygen_alarm=_ALARM.get(row.oxygen_alarm),
        ventilator=things.Drive(row.ventilator or "none"),
        drive_factor=row.drive_gas_factor,
        sampling_l_min=row.sampling_l_min or 0.0,
        flow_sd_share=row.flow_sd_share,
    )


def _case(row: PlannedCase, bounds: DayBounds) -> things.Case:
    chamber_l = row.extras.get("chamber_l")
    volume_l_min = row.extras.get("minute_volume_l_min")
    return things.Case(
        name=row.name,
        machine=row.machine.name,
        start_min=max(0.0, bounds.minute_of(row.starts)),
        phases=_phases(row),
        species=row.species,
        weight_kg=row.weight_kg,
        system=row.system,
        flushes=int(row.extras.get("flushes") or 0),
        chamber=things.Chamber(volume_l=chamber_l) if chamber_l else None,
        ventilation=_ventilation(volume_l_min),
        checked=row.state != CaseState.PLANNED,
        minutes_sd_share=row.minutes_sd_share,
    )


def _ventilation(minute_volume_l_min: float | None) -> things.Ventilation | None:
    if not minute_volume_l_min:
        return None
    return things.Ventilation(minute_volume_l_min=minute_volume_l_min)


def _phases(row: PlannedCase) -> tuple[things.Phase, ...]:
    """The phases as planned; of a case that has ended, only as long as it really took."""
    phases = [_phase(one) for one in row.phases]
    if row.state != CaseState.DONE or row.ended_at is None:
        return tuple(phases)
    left = max(_LEAST_MIN, (row.ended_at - row.starts).total_seconds() / 60.0)
    return tuple(_cut(row.phases, left))


def _phase(told: dict[str, Any], minutes: float | None = None) -> things.Phase:
    return things.Phase(
        name=told["name"],
        minutes=told["minutes"] if minutes is None else minutes,
        oxygen_l_min=told.get("oxygen_l_min") or 0.0,
        air_l_min=told.get("air_l_min") or 0.0,
        nitrous_oxide_l_min=told.get("nitrous_oxide_l_min") or 0.0,
    )


def _cut(told: Sequence[dict[str, Any]], left: float) -> Iterable[things.Phase]:
    """Phases in their order until the time is used up; the last one takes what remains."""
    for number, one in enumerate(told):
        is_last = number == len(told) - 1
        minutes = left if is_last else min(left, one["minutes"])
        if minutes <= 0:
            return
        yield _phase(one, minutes)
        left -= minutes


def _sources(site: Site, bounds: DayBounds) -> tuple[list[things.GasSource], list[Unread]]:
    rows = sources_of(site)
    fitted = [one for row in rows for one in row.fitted]  # type: ignore[attr-defined]  # prefetched
    known = _Known(latest_of(fitted), _leaks(fitted), bounds)
    found: list[things.GasSource] = []
    unread: list[Unread] = []
    for row in rows:
        question = _question(row, known.readings)
        if question:
            feeds = tuple(one.name for one in row.machines.all())
            unread.append(Unread(source=row.name, machines=feeds, question=question))
        else:
            found.append(_source(row, known))
    names = {one.name for one in found}
    return [one for one in found if not one.reserve_of or one.reserve_of in names], unread


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of the cylinders in use: latest readings, and leaks that readings show."""

    readings: dict[int, Reading]
    leaks: dict[int, Answer]
    bounds: DayBounds


def _leaks(fitted: list[Cylinder]) -> dict[int, Answer]:
    """The leaks that the readings of a cylinder show; one that may be nothing is left out."""
    said = {Verdict.LOOK_AGAIN, Verdict.STOP}
    kept = kept_by_cylinder(fitted, ("leak",))
    found = {pk: one.leak for pk, one in kept.items() if one.leak is not None}
    return {pk: leak for pk, leak in found.items() if leak.verdict in said and leak.value}


def _leak_l_min(row: Source, known: _Known) -> tuple[float, float]:
    """[L/min] what all cylinders of a source leak while open, and half of its likely range."""
    fitted: list[Cylinder] = row.fitted  # type: ignore[attr-defined]  # prefetched
    shown = [known.leaks[one.pk] for one in fitted if one.pk in known.leaks]
    leak = sum(convert(one.value or 0.0, one.unit, "flow") for one in shown)
    widths = [convert((one.high or 0.0) - (one.low or 0.0), one.unit, "flow") for one in shown]
    return leak, min(leak, sum(widths) / 2.0)


def _question(row: Source, readings: dict[int, Reading]) -> str:
    """What must be known before this source can be answered for; empty when all is known."""
    if row.kind in {"pipeline", "concentrator"}:
        return ""
    if row.kind == "liquid":
        return "" if row.liquid_l else f"How much liquid does {row.name} hold?"
    fitted: list[Cylinder] = row.fitted  # type: ignore[attr-defined]  # prefetched
    if not fitted:
        return f"Which cylinder is on {row.name}?"
    if row.kind == "manifold" and {one.bank for one in fitted} != {"A", "B"}:
        return f"Which cylinders are on both banks of {row.name}?"
    for some in _banks(row):
        if not any(one.pk in readings for one in some):
            verb = "weigh" if _is_weighed(some[0]) else "read the gauge of"
            return f"What does {some[0].name} hold? No reading yet: {verb} it."
    return ""


def _is_weighed(cylinder: Cylinder) -> bool:
    return cylinder.gas in {"nitrous oxide", "carbon dioxide"}


def _banks(row: Source) -> list[list[Cylinder]]:
    """The cylinders that share a gauge, in the order in which they are drawn on."""
    fitted: list[Cylinder] = row.fitted  # type: ignore[attr-defined]  # prefetched
    if row.kind != "manifold":
        return [[one] for one in fitted]
    duty = row.duty_bank or "A"
    banks = {bank: [one for one in fitted if one.bank == bank] for bank in ("A", "B")}
    return [banks[duty], banks["B" if duty == "A" else "A"]]


def _source(row: Source, known: _Known) -> things.GasSource:
    leak, leak_band = _leak_l_min(row, known)
    kind = things.SourceKind(row.kind)
    fitted: list[Cylinder] = row.fitted  # type: ignore[attr-defined]  # prefetched
    banks = _banks(row) if fitted else []
    held = tuple(_held(some, known.readings, known.bounds) for some in banks)
    return things.GasSource(
        name=row.name,
        kind=kind,
        gas=Gas(row.gas),
        feeds=tuple(one.name for one in row.machines.all()),
        cylinders=held if kind.has_cylinders else (),
        reserve_of=row.reserve_of.name if row.reserve_of else "",
        leak_l_min=leak,
        leak_band_l_min=leak_band,
        change_over_kpa=row.change_over_kpa,
        flow_limit_l_min=row.flow_limit_l_min,
        oxygen_fraction=row.oxygen_fraction,
        outlet_kpa=row.line_gauge_kpa,
        liquid_l=row.liquid_l,
        daily_loss_share=row.daily_loss_share or 0.0,
    )


def _held(some: list[Cylinder], readings: dict[int, Reading], bounds: DayBounds) -> things.Held:
    """One gauge: a cylinder, or a bank of them of which the latest reading counts."""
    read = [one for one in some if one.pk in readings]
    first = max(read, key=lambda one: readings[one.pk].at)
    return things.Held(
        cylinder=cylinder_thing(first),
        reading=reading_thing(readings[first.pk], bounds.start),
        count=len(some),
    )
