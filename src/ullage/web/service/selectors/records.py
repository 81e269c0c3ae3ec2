"""What was done to machines and parts, with its papers, and the tests of each vaporizer."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from ullage.answers import Answer, drift_forecast, output_trend
from ullage.answers.service import (
    Carrier,
    ErrorOn,
    OutputLimit,
    OutputPoint,
    OutputTest,
    error_on,
    output_points,
)
from ullage.answers.vaporizers import VaporizerKind
from ullage.web.accounts.selectors import User
from ullage.web.machines.selectors import Machine, Part
from ullage.web.service.models import Certificate, EventKind, ServiceEvent
from ullage.web.service.selectors.rules import limit_at
from ullage.web.sites.selectors import own_or_404

__all__ = [
    "Certificate",
    "EventKind",
    "ServiceEvent",
    "Trend",
    "answer_of",
    "certificate_for",
    "event_for",
    "events_of",
    "output_test_of",
    "trend_of",
]

#: After one of these a vaporizer is another one, and its drift begins anew.
_BEGINS_ANEW = (EventKind.SERVICE, EventKind.REPAIR)


def event_for(user: User, code: UUID) -> ServiceEvent:
    """One event of any site that the person belongs to; 404 for strangers."""
    return own_or_404(_events().select_related("site"), user, code)


def certificate_for(user: User, code: UUID) -> Certificate:
    """One paper of any site that the person belongs to; 404 for strangers."""
    papers = Certificate.objects.select_related("event__site")
    return own_or_404(papers, user, code, "event__site")


def events_of(
    machine: Machine | None = None, parts: Iterable[Part] = (), count: int = 200
) -> list[ServiceEvent]:
    """What was done to a machine and to some parts, the latest first; two queries."""
    about = Q(part__in=[one.pk for one in parts])
    if machine is not None:
        about |= Q(machine=machine)
    return list(_events().filter(about)[:count])


def _events() -> QuerySet[ServiceEvent]:
    """Events with their papers, but for the bytes of those."""
    found = ServiceEvent.objects.select_related(
        "by", "machine", "part", "part__machine", "withdrawal__by"
    )
    papers = Prefetch("files", queryset=Certificate.objects.defer("content"))
    return found.prefetch_related(papers)


def answer_of(event: ServiceEvent) -> Answer | None:
    """What an event came to, as it was kept on its day."""
    return Answer.from_dict(event.answer) if event.answer else None


def output_test_of(facts: Mapping[str, Any], at: date | None = None) -> OutputTest:
    """An output test from what is kept of it."""
    known = {
        name: facts[name]
        for name in (
            *("agent", "barometric_kpa", "temperature_k", "fresh_gas_l_min", "nitrous_fraction"),
            *("analyser_share", "flow_lowest_l_min", "flow_highest_l_min"),
        )
        if facts.get(name) is not None
    }
    marked = facts.get("calibrated_in")
    return OutputTest(
        **known,
        points=tuple(OutputPoint(*pair) for pair in facts["points"]),
        carrier=Carrier(facts["carrier"]),
        calibrated_in=Carrier(marked) if marked else None,
        kind=VaporizerKind(facts["works_by"]) if facts.get("works_by") else None,
        at=at,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """The tests of a vaporizer since its last service, where they lead, and against which limit."""

    tests: tuple[ErrorOn, ...]
    earlier: tuple[ErrorOn, ...]
    trend: Answer
    forecast: Answer
    limit: OutputLimit | None
    since: ServiceEvent | None


def trend_of(part: Part, events: Sequence[ServiceEvent], today: date) -> Trend:
    """The drift of one vaporizer, from its events, the latest first."""
    counted = [one for one in events if not hasattr(one, "withdrawal")]
    since = next((one for one in counted if one.kind in _BEGINS_ANEW), None)
    found = [
        (one, error_on(one.done_on, points))
        for one in reversed(counted)
        if one.kind == EventKind.OUTPUT_TEST
        and (points := output_points(output_test_of(one.facts)))
    ]
    after = [test for one, test in found if since is None or _is_after(one, since)]
    before = [test for one, test in found if since is not None and not _is_after(one, since)]
    limit = limit_at(part.site)
    return Trend(
        tests=tuple(after),
        earlier=tuple(before),
        trend=output_trend(after),
        forecast=drift_forecast(after, limit, today),
        limit=limit,
        since=since,
    )


def _is_after(event: ServiceEvent, other: ServiceEvent) -> bool:
    return (event.done_on, event.pk) > (other.done_on, other.pk)
