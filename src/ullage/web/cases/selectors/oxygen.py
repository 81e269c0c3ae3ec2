"""The oxygen of a running case: its source, the last readings, and what was drawn since."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from ullage.answers import Answer
from ullage.answers.record.course import oxygen_given
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.words import in_unit
from ullage.answers.running_supply import FittedRead, OxygenLeft, flows_offered, oxygen_left
from ullage.answers.things import FlowPeriod, Reading
from ullage.core.errors import UllageError
from ullage.web.cases.models import CaseState, Record
from ullage.web.cases.selectors.memory import case_lines
from ullage.web.shared.bars import Level
from ullage.web.shared.display import clock
from ullage.web.supply.selectors import (
    Cylinder,
    CylinderState,
    FlowRecord,
    Source,
    SourceKind,
    cylinder_thing,
    latest_of,
    minutes_since,
    place_of,
    policy_of,
    reading_thing,
)

__all__ = ["CaseOxygen", "end_bar", "oxygen_of"]

_ENDLESS = (SourceKind.PIPELINE, SourceKind.CONCENTRATOR, SourceKind.LIQUID)
_OPEN = (CaseState.READY, CaseState.RUNNING, CaseState.RECOVERING)


@dataclass(frozen=True, kw_only=True)
class CaseOxygen:
    """The source of a case; ``known`` is None where no reading tells what it holds.

    ``flow_l_min`` runs on this case; None: nobody entered it. ``second`` says whether another
    source of oxygen stands behind.
    """

    source: Source
    names: tuple[str, ...]
    now: datetime
    known: OxygenLeft | None
    read_at: datetime | None
    flow_l_min: float | None
    second: bool
    _told: dict[float, Answer | None] = field(default_factory=dict, repr=False, compare=False)

    def left(self, flow_l_min: float) -> Answer | None:
        """How long it lasts at a flow; None where nothing tells it."""
        if flow_l_min not in self._told:
            self._told[flow_l_min] = self._left(flow_l_min)
        return self._told[flow_l_min]

    def _left(self, flow_l_min: float) -> Answer | None:
        if self.known is None:
            return None
        try:
            return oxygen_left(self.known, flow_l_min)
        except UllageError:
            return None

    @property
    def is_endless(self) -> bool:
        """Whether nothing of it is used up by a case: a pipeline, a concentrator, liquid oxygen."""
        return self.source.kind in _ENDLESS

    @property
    def now_left(self) -> Answer | None:
        """How long it lasts as it is set."""
        return self.left(self.flow_l_min) if self.flow_l_min else None

    @property
    def flows(self) -> tuple[float, ...]:
        """[L/min] flows for which it is told."""
        return flows_offered(self.flow_l_min) if self.flow_l_min else ()


def oxygen_of(
    record: Record, seen: CaseSeen, now: datetime, ends_at: datetime | None
) -> CaseOxygen | None:
    """The source of oxygen of a case; None where its machine has none."""
    sources = list(record.machine.sources.filter(gas="oxygen", retired_at=None))
    source = next((one for one in sources if one.reserve_of_id is None), None)
    if source is None:
        return None
    fitted = list(
        Cylinder.objects.filter(source=source, state=CylinderState.IN_USE).order_by(
            "bank", "place_in_source", "name"
        )
    )
    reads = list(_reads(fitted, seen, now))
    given = oxygen_given(seen, now)
    read_at = min((at for _, at, _ in reads), default=None)
    is_told = bool(fitted) and len(reads) == len(fitted)
    return CaseOxygen(
        source=source,
        names=tuple(one.name for one in fitted),
        now=now,
        known=_known(record, source, reads, given, (now, ends_at)) if is_told else None,
        read_at=read_at if is_told else None,
        flow_l_min=given[-1][2] if given and given[-1][1] == now else None,
        second=len(sources) > 1 or Source.objects.filter(reserve_of=source).exists(),
    )


def _known(
    record: Record,
    source: Source,
    reads: Sequence["_Read"],
    given: tuple["_Run", ...],
    clock: tuple[datetime, datetime | None],
) -> OxygenLeft:
    """Readings, what was drawn since, and what is drawn now, on one clock of minutes."""
    now, ends_at = clock
    origin = min(at for _, at, _ in reads)
    others = _others(record, source, now)
    runs = [*given, *(run for one in others for run in one)]
    return OxygenLeft(
        fitted=tuple(
            FittedRead(cylinder=cylinder_thing(row), reading=_reading(read, at, origin))
            for row, at, read in reads
        ),
        now_min=minutes_since(origin, now),
        drawn=tuple(_drawn(runs, source, origin)),
        others_l_min=sum(one[-1][2] for one in others if one and one[-1][1] == now),
        ends_min=None if ends_at is None else minutes_since(origin, ends_at),
        policy=policy_of(record.site),
        place=place_of(record.site, source.room),
    )


type _Read = tuple[Cylinder, datetime, Reading | float]
type _Run = tuple[datetime, datetime, float]


def _reads(fitted: list[Cylinder], seen: CaseSeen, now: datetime) -> Iterator[_Read]:
    """The last reading of each cylinder, in its book or in the record of this case."""
    latest = latest_of(fitted)
    gauge = [one for one in seen.of("gauge") if one.times.observed <= now][-1:]
    for row in fitted:
        reading = latest.get(row.pk)
        if len(fitted) == 1 and gauge and (reading is None or gauge[0].times.observed > reading.at):
            kpa = in_unit(gauge[0].value or 0.0, gauge[0].unit, "kPa")
            if kpa is not None:
                yield row, gauge[0].times.observed, kpa
                continue
        if reading is not None:
            yield row, reading.at, reading_thing(reading, reading.at)


def _reading(read: Reading | float, at: datetime, origin: datetime) -> Reading:
    """The reading on the clock that begins at the oldest of them."""
    minute = minutes_since(origin, at)
    if isinstance(read, float):
        return Reading(at_min=minute, gauge_kpa=read)
    return Reading(
        at_min=minute,
        gauge_kpa=read.gauge_kpa,
        weight_kg=read.weight_kg,
        temperature_k=read.temperature_k,
        valve_before=read.valve_before,
    )


def _others(record: Record, source: Source, now: datetime) -> list[tuple[_Run, ...]]:
    """What the other open cases on the same source were given."""
    rows = Record.objects.filter(machine__sources=source, state__in=_OPEN).exclude(pk=record.pk)
    return [oxygen_given(case_lines(one).seen(), now) for one in rows]


def _drawn(runs: Iterable[_Run], source: Source, origin: datetime) -> Iterator[FlowPeriod]:
    """Flows of the cases, and before the first of them what was noted of the source."""
    first = None
    for began, ended, flow in runs:
        first = began if first is None else min(first, began)
        yield FlowPeriod(
            start_min=minutes_since(origin, began),
            end_min=minutes_since(origin, ended),
            flow_l_min=flow,
        )
    if first is None or first <= origin:
        return
    noted = FlowRecord.objects.filter(source=source, started_at__lt=first).exclude(
        ended_at__lte=origin
    )
    for row in noted:
        end = min(row.ended_at or first, first)
        if end - row.started_at > timedelta(0):
            yield FlowPeriod(
                start_min=minutes_since(origin, row.started_at),
                end_min=minutes_since(origin, end),
                flow_l_min=row.flow_l_min,
            )


def end_bar(
    answer: Answer | None, source: CaseOxygen | None, ends_at: datetime | None
) -> Level | None:
    """The time that is left as a bar, with the planned end of the case as its flag."""
    if answer is None or source is None or answer.value is None:
        return None
    need = None if ends_at is None else max((ends_at - source.now) / timedelta(minutes=1), 0.0)
    full = 1.1 * max(answer.high or answer.value, need or 0.0, 1.0)
    until = "" if ends_at is None else f"; the case ends about {clock(ends_at)}"
    return Level(
        full=full,
        label=f"{answer.sentence.rstrip('.')}{until}",
        low=answer.low,
        value=answer.value,
        high=answer.high,
        need=need or None,
        need_text=f"case ends {clock(ends_at)}" if ends_at else "",
        size="head",
        axis=tuple(
            clock(source.now + timedelta(minutes=full * share)) for share in (0.0, 0.5, 1.0)
        ),
    )
