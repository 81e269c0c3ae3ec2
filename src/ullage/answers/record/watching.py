"""What the lines of a record say of all that is warned of while an animal is under."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from ullage.answers.animals import animal
from ullage.answers.breathing import FlowPhase, fresh_gas_flow
from ullage.answers.breathing_names import BreathingSystem, system_named
from ullage.answers.record.course import VENTILATOR
from ullage.answers.record.intervals import Phase
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.things import EntryKind, EntryText
from ullage.answers.record.warned import Acknowledged, CaseWatched, Noted, Said
from ullage.answers.record.words import in_unit
from ullage.core.errors import UllageError

__all__ = [
    "ACKNOWLEDGED",
    "CaseKnown",
    "acknowledged_in",
    "phase_of",
    "system_of",
    "watched_of",
]

#: The word of the event that answers a warning; its details name warning and cause.
ACKNOWLEDGED = "warning acknowledged"

_BY_HAND = frozenset({"assisted by hand", "controlled by hand"})
_TEMPERATURES = ("temperature", "temperature_rectal", "temperature_gullet")
_CHANGED = ("absorbent changed", "bag changed", "hose changed")
_FLOWS = ("flow_oxygen", "flow_air", "flow_nitrous_oxide")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseKnown:
    """What other parts of the house know of a running case: its source, its plan, its machine.

    ``flow_needed_l_min`` is what the site asks of a non-rebreathing system; None takes the rule.
    """

    system: str = ""
    supply_left_min: float | None = None
    supply_read_at: datetime | None = None
    ends_at: datetime | None = None
    has_second_source: bool | None = None
    second_source_at: datetime | None = None
    flow_needed_l_min: float | None = None
    noted: tuple[Noted, ...] = ()


def watched_of(seen: CaseSeen, now: datetime, known: CaseKnown | None = None) -> CaseWatched:
    """All that is warned of, as far as somebody entered it.

    Parameters
    ----------
    seen : the lines of one record as they stand, for one animal.
    now : what was seen later is left out.
    known : of source, plan and machine; None knows nothing beside the lines.
    """
    house = known or CaseKnown()
    seen = replace(seen, entries=tuple(e for e in seen.entries if e.times.observed <= now))
    events = _Events(seen)
    system = system_of(seen, house.system)
    phase, phase_at = phase_of(seen)
    flow, flow_at = _flow(seen)
    open_system = None if system is None else not system.rebreathes
    co2 = seen.of("inspired_co2")[-1:]
    return CaseWatched(
        now=now,
        phase=phase,
        phase_at=phase_at,
        connected_at=_connected_at(seen, events, phase),
        relief_open=events.said("relief valve open", "relief valve closed"),
        leak_tests=events.times("leak test"),
        hand_breaths=tuple(sorted({*events.times("breath by hand"), *_hand_turns(seen)})),
        supply_read_at=house.supply_read_at,
        supply_left_min=house.supply_left_min,
        planned_left_min=_minutes_to(house.ends_at, now),
        second_source=_second(events, house),
        is_non_rebreathing=open_system,
        is_coaxial=None if system is None else system is BreathingSystem.COAXIAL_D,
        inner_tube=events.said("inner tube firm", "inner tube off"),
        flow_l_min=flow,
        needed_l_min=_needed(seen, system, house) if open_system else None,
        flow_set_at=flow_at,
        inspired_co2_kpa=_kpa(co2[0]) if co2 else None,
        inspired_co2_at=co2[0].times.observed if co2 else None,
        disconnected_at=None if phase is Phase.RECOVERY else events.last("disconnected"),
        flushed_at=events.last("flushed"),
        person_stays=events.said("person stays", "nobody stays"),
        temperature_at=_last_of(seen.of(*_TEMPERATURES)),
        warming=_warming(seen),
        changed_at=events.last(*_CHANGED),
        noted=house.noted,
    )


class _Events:
    """The events of a case by their words."""

    def __init__(self, seen: CaseSeen) -> None:
        self._at: dict[str, list[datetime]] = {}
        for one in seen.kinds(EntryKind.EVENT):
            self._at.setdefault(one.what, []).append(one.times.observed)

    def times(self, word: str) -> tuple[datetime, ...]:
        """Every time of an event."""
        return tuple(self._at.get(word, ()))

    def last(self, *words: str) -> datetime | None:
        """The last time of some events."""
        return max((at for word in words for at in self.times(word)), default=None)

    def said(self, yes: str, no: str) -> Said | None:
        """The later of two words; of both at one time the one that asks for more."""
        was, was_not = self.last(yes), self.last(no)
        if was_not is not None and (was is None or was_not >= was):
            return Said(is_so=False, at=was_not)
        return Said(is_so=True, at=was) if was else None


def _last_of(entries: tuple[EntryText, ...]) -> datetime | None:
    return entries[-1].times.observed if entries else None


def phase_of(seen: CaseSeen) -> tuple[Phase, datetime | None]:
    """Whether the animal is under or in recovery, and since when; the later word counts.

    Parameters
    ----------
    seen : the lines of one record as they stand.

    >>> phase_of(CaseSeen(facts={}, entries=()))
    (<Phase.ANAESTHESIA: 'anaesthesia'>, None)
    """
    said: list[tuple[datetime, int, Phase]] = []
    for one in seen.entries:
        found = _phase_said(one)
        if found is not None:
            said.append((one.times.observed, one.order, found))
    said.sort()
    if not said:
        return Phase.ANAESTHESIA, None
    phase = said[-1][2]
    for at, _, before in reversed(said):
        if before is not phase:
            break
        since = at
    return phase, since


def _phase_said(one: EntryText) -> Phase | None:
    if one.kind is EntryKind.SETTING and one.what == "phase":
        return Phase.RECOVERY if one.typed == "recovery" else Phase.ANAESTHESIA
    if one.kind is EntryKind.EVENT:
        return {"anaesthesia began": Phase.ANAESTHESIA, "anaesthesia ended": Phase.RECOVERY}.get(
            one.what
        )
    return None


def _connected_at(seen: CaseSeen, events: _Events, phase: Phase) -> datetime | None:
    """When the animal was connected, if it still is: the event, else dial or first gas."""
    ends = events.last("disconnected", "tube out")
    said = events.last("connected")
    if said is None:
        first = [_first_of(seen.of("dial", *_FLOWS)), seen.event("anaesthesia began")]
        said = min((one for one in first if one is not None), default=None)
    if said is None or (ends is not None and ends >= said):
        return None
    return None if phase is Phase.RECOVERY and events.last("tube out") else said


def _first_of(entries: tuple[EntryText, ...]) -> datetime | None:
    return entries[0].times.observed if entries else None


def _hand_turns(seen: CaseSeen) -> Iterator[datetime]:
    """When a hand began to breathe, and when it ended: the valve is turned at both."""
    by_hand = False
    for one in seen.of("ventilation"):
        if (one.typed in _BY_HAND) is not by_hand:
            by_hand = not by_hand
            yield one.times.observed


def system_of(seen: CaseSeen, planned: str = "") -> BreathingSystem | None:
    """The breathing system by its last name: entered, else of the case, else as planned.

    Parameters
    ----------
    seen : the lines of one record as they stand.
    planned : of the plan.
    """
    named = [one.typed for one in seen.of("breathing_system")][-1:]
    for word in (*named, seen.fact("system"), planned):
        try:
            return system_named(word)
        except UllageError:
            continue
    return None


def _flow(seen: CaseSeen) -> tuple[float | None, datetime | None]:
    """[L/min] of all gases as last set, and since when."""
    last: dict[str, float] = {}
    at = None
    for one in seen.of(*_FLOWS):
        value = None if one.value is None else in_unit(one.value, one.unit, "L/min")
        if value is not None and value >= 0.0 and last.get(one.what) != value:
            last[one.what], at = value, one.times.observed
    return (sum(last.values()) if last else None), at


def _needed(seen: CaseSeen, system: BreathingSystem | None, house: CaseKnown) -> float | None:
    """[L/min] that a system without absorber needs; None where no rule says it."""
    if house.flow_needed_l_min is not None:
        return house.flow_needed_l_min
    weight = seen.weight_kg
    if system is None or weight is None:
        return None
    blown = [one.typed for one in seen.of("ventilation")][-1:]
    helped = bool(blown) and blown[0] in (VENTILATOR | _BY_HAND)
    try:
        who = animal(seen.fact("species"), weight, weight_is_right=True)
        return fresh_gas_flow(who, system, FlowPhase.HOLD, ventilated=helped).value
    except UllageError:
        return None


def _kpa(one: EntryText) -> float | None:
    return None if one.value is None else in_unit(one.value, one.unit, "kPa")


def _minutes_to(at: datetime | None, now: datetime) -> float | None:
    return None if at is None else max((at - now).total_seconds() / 60.0, 0.0)


def _second(events: _Events, house: CaseKnown) -> Said | None:
    said = events.said("second source at hand", "no second source")
    if said is not None or house.has_second_source is None or house.second_source_at is None:
        return said
    return Said(is_so=house.has_second_source, at=house.second_source_at)


def _warming(seen: CaseSeen) -> Said | None:
    last = seen.of("heating")[-1:]
    if not last:
        return None
    return Said(is_so=last[0].typed != "not warmed", at=last[0].times.observed)


def acknowledged_in(seen: CaseSeen) -> tuple[Acknowledged, ...]:
    """Every word on a warning that was entered.

    Parameters
    ----------
    seen : the lines of one record as they stand.
    """
    return tuple(
        Acknowledged(
            warning=one.details.get("warning", ""),
            cause=one.details.get("cause", ""),
            word=one.typed,
            at=one.times.observed,
            by=one.author,
        )
        for one in _answers(seen.kinds(EntryKind.EVENT))
    )


def _answers(events: Iterable[EntryText]) -> Iterator[EntryText]:
    return (one for one in events if one.what == ACKNOWLEDGED and one.typed.strip())
