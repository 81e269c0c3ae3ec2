"""What happened, as rows: cylinders, readings, events, flows, cases."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import numpy as np

from ullage.answers.things import Gas
from ullage.core.units import BAR_KPA, PSI_KPA
from ullage.reference.cylinders import CylinderSize, cylinder_size
from ullage.web.accounts.selectors import User
from ullage.web.days.selectors import PlannedCase
from ullage.web.demo.cases import CaseRow
from ullage.web.demo.cast import SiteCast
from ullage.web.demo.simulate import Run, Seen
from ullage.web.demo.stories import Told
from ullage.web.machines.selectors import Machine
from ullage.web.sites.selectors import Room, Site
from ullage.web.supply.selectors import (
    Cylinder,
    CylinderEvent,
    CylinderState,
    FlowRecord,
    Reading,
    Source,
)

__all__ = ["Rows", "SiteRows", "case_rows", "stored_rows", "supply_rows"]

#: An empty steel cylinder of this size weighs about this much; invented, for the scale only.
_TARE_KG = 6.4


@dataclass(frozen=True, slots=True)
class SiteRows:
    """A site that exists, with what its story refers to."""

    site: Site
    cast: SiteCast
    rooms: dict[str, Room]
    machines: dict[str, Machine]
    people: Sequence[User]
    origin: datetime
    rng: np.random.Generator

    def at(self, minute: float) -> datetime:
        """A minute of the story as a moment."""
        return self.origin + timedelta(minutes=minute)

    def typed(self, gauge_kpa: float) -> str:
        """A gauge reading as a person here writes it."""
        unit_kpa = PSI_KPA if self.site.pressure_unit == "psi" else BAR_KPA
        return f"{round(gauge_kpa / unit_kpa):d} {self.site.pressure_unit}"

    def code(self) -> UUID:
        """A random id that the seed decides."""
        return UUID(bytes=self.rng.bytes(16), version=4)

    def somebody(self) -> User:
        """The lead or the operator: one of those who read gauges."""
        return self.people[int(self.rng.integers(2))]


@dataclass(slots=True)
class Rows:
    """Rows to be written, in the order in which they refer to one another."""

    cylinders: list[Cylinder] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    events: list[CylinderEvent] = field(default_factory=list)
    flows: list[FlowRecord] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _OnRun:
    """One cylinder's place in a run; ``back`` is 0 for what is on now, 1 for the one before."""

    run: Run
    name: str
    bank: str
    place: int
    back: int


def supply_rows(told: Told, source: Source, world: SiteRows) -> Rows:
    """The rows of one source."""
    rows = Rows(flows=list(_flows(told, source, world)))
    bank = told.story.bank
    names = list(told.story.trees)[-bank * len(told.runs) :] if told.runs else []
    is_manifold = told.story.kind == "manifold"
    for number, run in enumerate(told.runs):
        back = len(told.runs) - 1 - number
        letter = ("B" if back == 0 else "A") if is_manifold else ""
        back -= 1 if is_manifold and back else 0
        for place, name in enumerate(names[number * bank : (number + 1) * bank]):
            _of_run(rows, told, source, world, _OnRun(run, name, letter, place, back))
    return rows


def _flows(told: Told, source: Source, world: SiteRows) -> Iterator[FlowRecord]:
    """Flows that were meant to run; the last flow of a running case has no end yet."""
    for draw in told.draws:
        if draw.state == "planned":
            continue
        is_open = draw.state == "running" and draw.is_last
        yield FlowRecord(
            source=source,
            started_at=world.at(draw.start),
            ended_at=None if is_open else world.at(draw.end),
            flow_l_min=draw.flow_l_min,
            why=draw.why,
            by=world.people[1],
        )


def _of_run(rows: Rows, told: Told, source: Source, world: SiteRows, on: _OnRun) -> None:
    cylinder = _cylinder(told, source, world, on)
    rows.cylinders.append(cylinder)
    rows.events += _events(cylinder, source, world, on)
    rows.readings += [_reading(cylinder, seen, world) for seen in on.run.readings]


def _cylinder(told: Told, source: Source, world: SiteRows, on: _OnRun) -> Cylinder:
    story, run = told.story, on.run
    is_on = run.off_at is None
    gone = CylinderState.EMPTY if on.back == 1 else CylinderState.RETURNED
    room = world.rooms[story.room] if is_on else world.rooms[world.cast.rooms[-1].name]
    return Cylinder(
        site=world.site,
        code=world.code(),
        name=on.name,
        room=room,
        source=source if is_on else None,
        bank=on.bank if is_on else "",
        place_in_source=on.place if is_on else 0,
        state=CylinderState.IN_USE if is_on else gone,
        received_at=world.at(run.on_at - 3 * 1440),
        connected_at=world.at(run.on_at),
        full_scale_kpa=story.full_scale_kpa,
        gauge_error_share=story.class_share,
        **_facts(cylinder_size(story.size, world.cast.region), story.gas, story.room, world),
    )


def _facts(size: CylinderSize, gas: str, room: str, world: SiteRows) -> dict[str, Any]:
    """What stamp and label say."""
    weighed = gas == "nitrous oxide"
    is_magnet = any(one.name == room and one.is_magnet for one in world.cast.rooms)
    return {
        "gas": gas,
        "size": size.letter,
        "water_capacity_l": size.water_capacity_l,
        "capacity_known": "stamp",
        "fill_gauge_kpa": None if weighed else size.fill_gauge_kpa(Gas(gas)),
        "tare_kg": _TARE_KG if weighed else None,
        "material": "aluminium" if is_magnet else "steel",
        "serial": f"{int(world.rng.integers(10_000, 99_999))}",
        "test_due": (world.origin + timedelta(days=int(world.rng.integers(200, 1800)))).date(),
    }


def _events(
    cylinder: Cylinder, source: Source, world: SiteRows, on: _OnRun
) -> Iterator[CylinderEvent]:
    by, run = world.somebody(), on.run
    steps = [
        (run.on_at - 3 * 1440, "received", {"capacity_known": "stamp"}),
        (run.on_at, "connected", {"source": source.name, "bank": on.bank}),
    ]
    if run.off_at is not None:
        steps.append((run.off_at, "taken off", {"source": source.name, "tag": "empty"}))
        if on.back > 1:
            steps.append((run.off_at + 2880.0, "returned", {}))
    for minute, kind, details in steps:
        told = {key: value for key, value in details.items() if value}
        yield CylinderEvent(cylinder=cylinder, at=world.at(minute), kind=kind, details=told, by=by)


def _reading(cylinder: Cylinder, seen: Seen, world: SiteRows) -> Reading:
    kind: dict[str, Any]
    if seen.weight_kg is not None:
        kg = round((_TARE_KG + seen.weight_kg) / 0.02) * 0.02
        kind = {"weight_kg": kg, "typed": f"{kg:.2f} kg"}
    else:
        kind = {"gauge_kpa": seen.gauge_kpa, "typed": world.typed(seen.gauge_kpa)}
    return Reading(
        cylinder=cylinder,
        code=world.code(),
        at=world.at(seen.at),
        temperature_k=seen.temperature_k,
        valve_before=seen.valve_before,
        by=world.somebody(),
        **kind,
    )


def stored_rows(world: SiteRows) -> Rows:
    """Cylinders that stand in store: full, part used, set apart, empty."""
    rows = Rows()
    store = world.rooms[world.cast.rooms[-1].name]
    for name, letter, gas, state in world.cast.stored:
        size = cylinder_size(letter, world.cast.region)
        received = world.at(float(world.rng.integers(2, 12)) * 1440 + 600)
        cylinder = Cylinder(
            site=world.site,
            code=world.code(),
            name=name,
            room=store,
            state=state,
            received_at=received,
            **_facts(size, gas, store.name, world),
        )
        rows.cylinders.append(cylinder)
        by = world.people[0]
        rows.events.append(
            CylinderEvent(cylinder=cylinder, at=received, kind="received", details={}, by=by)
        )
        if state == CylinderState.QUARANTINE:
            why = {"reason": "The label is torn off; ask the supplier what is in it."}
            at = received + timedelta(hours=2)
            rows.events.append(
                CylinderEvent(cylinder=cylinder, at=at, kind="set apart", details=why, by=by)
            )
    return rows


def case_rows(cases: Sequence[CaseRow], world: SiteRows) -> list[PlannedCase]:
    """The cases of all days of a site."""
    found = []
    for case in cases:
        is_begun = case.state != "planned"
        found.append(
            PlannedCase(
                site=world.site,
                code=case.code,
                machine=world.machines[case.machine],
                name=case.name,
                species=case.species,
                weight_kg=case.weight_kg,
                system=case.system,
                starts_at=world.at(case.start),
                minutes=case.minutes,
                phases=list(case.phases),
                extras=case.extras,
                **_plan(case),
                note=case.note,
                state=case.state,
                began_at=world.at(case.start) if is_begun else None,
                ended_at=world.at(case.end) if case.state == "done" else None,
                by=world.people[1],
            )
        )
    return found


def _plan(case: CaseRow) -> dict[str, Any]:
    """What is kept of the anaesthesia of a case, where it was planned."""
    if case.plan is None:
        return {}
    drugs = None if case.plan.drugs is None else list(case.plan.drugs)
    return {"agent": case.plan.agent, "drugs": drugs, "planned": case.plan.planned}
