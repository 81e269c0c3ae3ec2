"""Answers about a cylinder from its readings and flows; worked out apart from any page."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from ullage.answers import Answer, things
from ullage.answers.history import CylinderHistory, cylinder_history
from ullage.answers.lasts import cylinder_contents, cylinder_lasts
from ullage.answers.running import lasts_while_running
from ullage.core.errors import UllageError
from ullage.web.supply.models import Cylinder, CylinderState, Reading
from ullage.web.supply.selectors.flows import FlowAssumed, flow_assumed, flow_share, flows_since
from ullage.web.supply.selectors.readings import in_force, valve_said
from ullage.web.supply.selectors.stored import subject_of
from ullage.web.supply.selectors.things import (
    cylinder_thing,
    flow_things,
    minutes_since,
    place_of,
    policy_of,
    reading_thing,
)
from ullage.web.supply.services.stored import Worked, answers_store

__all__ = ["cylinder_work", "site_work"]

#: The questions that are answered about a cylinder.
KINDS = ("contents", "lasts", "leak", "flow_scale", "reserve_at", "curve", "notes")

#: How far a flow that nobody has ended is followed.
_OPEN_END = timedelta(days=7)

#: As many readings as one round of a cylinder is likely to have; older ones add nothing.
_MOST = 400


@dataclass(frozen=True, slots=True)
class _Known:
    """A cylinder with its readings since it was connected, the first first."""

    cylinder: Cylinder
    readings: tuple[Reading, ...]
    now: datetime

    @property
    def origin(self) -> datetime:
        """The first reading: minutes are counted from it."""
        return self.readings[0].at


def cylinder_work(*, cylinder_pk: int) -> None:
    """Work out and keep every answer of one cylinder."""
    cylinder = (
        Cylinder.objects.filter(pk=cylinder_pk).select_related("site", "room", "source").first()
    )
    if cylinder is None:
        return
    now = timezone.now()
    payloads = _payloads(_Known(cylinder, _readings(cylinder), now))
    worked = Worked(subject=subject_of(cylinder.pk), payloads=payloads)
    answers_store(site=cylinder.site, worked=worked, at=now)


def site_work(*, site_pk: int) -> None:
    """The same for every cylinder of a site that may still give gas."""
    live = (CylinderState.FULL, CylinderState.IN_USE, CylinderState.PART_USED)
    found = Cylinder.objects.filter(site_id=site_pk, state__in=live)
    for pk in found.order_by("-state", "pk").values_list("pk", flat=True):
        cylinder_work(cylinder_pk=pk)


def _readings(cylinder: Cylinder) -> tuple[Reading, ...]:
    """Readings since it was connected; one in store has its own, from before.

    A liquefied gas keeps its weights: connecting it takes nothing out.
    """
    found = in_force(cylinder)
    if things.Gas(cylinder.gas).liquefied:
        return tuple(reversed(found[:_MOST]))
    if cylinder.state == CylinderState.IN_USE and cylinder.connected_at is not None:
        since = found.filter(at__gte=cylinder.connected_at)
        # A gauge read in the store says what it held when it was connected.
        found = since if since.exists() else found
    return tuple(reversed(found[:_MOST]))


def _payloads(known: _Known) -> dict[str, Any]:
    """What to keep by kind; empty where nothing can be said, so that nothing old stays."""
    nothing: dict[str, Any] = {kind: {} for kind in KINDS}
    if not known.readings:
        return nothing
    try:
        return {**nothing, **_worked(known)}
    except UllageError as refusal:
        # Facts corrected after a reading may rule it out; the page says which.
        return {**nothing, "notes": {"refused": str(refusal)}}


def _worked(known: _Known) -> dict[str, Any]:
    cylinder, last = known.cylinder, known.readings[-1]
    thing, place = cylinder_thing(cylinder), place_of(cylinder.site, cylinder.room)
    seen = reading_thing(last, known.origin)
    history = _history(known, thing, place)
    by_all = history.contents
    contents = by_all if by_all.value is not None else cylinder_contents(thing, seen, place)
    found: dict[str, Any] = {
        "contents": {**_kept(contents), "full_l": _full_l(known, thing, place)},
        "leak": _kept(history.leak),
        "flow_scale": _kept(history.flow_scale),
        "reserve_at": _kept(history.reserve_at),
        "curve": _curve(history, known),
        "notes": _notes(history, known),
    }
    if contents.value is None:
        return found
    flow = flow_assumed(cylinder.source, flow_share(cylinder))
    lasts = cylinder_lasts(thing, seen, flow.flow_l_min, policy_of(cylinder.site), place)
    if flow.is_running:
        lasts = lasts_while_running(lasts, history.reserve_at)
    return {**found, "lasts": _lasts(lasts, flow, known.now)}


def _history(known: _Known, thing: things.Cylinder, place: things.Place) -> CylinderHistory:
    """All readings together, with the flows that were meant to run."""
    said = valve_said(known.cylinder)
    return cylinder_history(
        thing,
        tuple(reading_thing(one, known.origin, said) for one in known.readings),
        _flows(known),
        minutes_since(known.origin, known.now),
        policy_of(known.cylinder.site),
        place,
    )


def _flows(known: _Known) -> tuple[things.FlowPeriod, ...]:
    source, share = known.cylinder.source, flow_share(known.cylinder)
    if source is None or share <= 0:
        return ()
    rows = flows_since(source, known.origin)
    return flow_things(rows, known.origin, known.now + _OPEN_END, share)


def _full_l(known: _Known, thing: things.Cylinder, place: things.Place) -> float | None:
    """[L] what it holds when full, for the length of the bar; None where nobody knows."""
    if known.cylinder.label_l is not None:
        return known.cylinder.label_l
    if thing.fill_gauge_kpa is None or thing.gas.liquefied:
        return None
    full = things.Reading(at_min=0.0, gauge_kpa=thing.fill_gauge_kpa)
    return cylinder_contents(thing, full, place).value


def _kept(answer: Answer) -> dict[str, Any]:
    return {"answer": answer.as_dict()}


def _lasts(answer: Answer, flow: FlowAssumed, now: datetime) -> dict[str, Any]:
    """The answer with its flow; clock times where that flow runs."""
    kept: dict[str, Any] = {
        **_kept(answer),
        "flow_l_min": flow.flow_l_min,
        "words": flow.words,
        "is_running": flow.is_running,
    }
    if flow.is_running:
        ends = {"until": answer.value, "early": answer.low, "late": answer.high}
        kept |= {
            name: (now + timedelta(minutes=minutes)).isoformat()
            for name, minutes in ends.items()
            if minutes is not None
        }
    return kept


def _curve(history: CylinderHistory, known: _Known) -> dict[str, Any]:
    """What the gauge was expected to show up to the last reading, as foretold before it.

    What is foretold from there on is left out: it would lead the eye at the next reading.
    """
    last = minutes_since(known.origin, known.readings[-1].at)
    points, seen = [], set()
    for one in history.expected:
        if one.at_min <= last and one.at_min not in seen:
            seen.add(one.at_min)
            points.append([one.at_min, one.low_kpa, one.middle_kpa, one.high_kpa])
    return {"origin": known.origin.isoformat(), "points": points}


def _notes(history: CylinderHistory, known: _Known) -> dict[str, Any]:
    """What the last reading changed, what it was held against, and what would tell more."""
    expected, question = history.expected_at_last, history.question
    notes: dict[str, Any] = {
        "changed": list(history.changed) if len(known.readings) > 1 else [],
        "told_apart_by": history.told_apart_by,
    }
    if expected is not None:
        notes["expected"] = [expected.low_kpa, expected.middle_kpa, expected.high_kpa]
    if question is not None:
        at = question.reading_at_min
        ended = min(known.readings, key=lambda one: abs(minutes_since(known.origin, one.at) - at))
        notes["question"] = {
            "text": question.text,
            "help": question.help,
            "reading": str(ended.code),
        }
    return notes
