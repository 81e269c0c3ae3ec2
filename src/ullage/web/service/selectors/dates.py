"""All due dates of a site in one pass, kept in the process until something is written."""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID

from django.db.models import Max, Q, Subquery
from django.db.models.fields.json import KT

from ullage.answers.service import MACHINE, TASKS, When
from ullage.answers.service import Interval as Held
from ullage.reference import sourced
from ullage.web.machines.selectors import Machine, Part, PartChange, PartMove
from ullage.web.service.models import ServiceEvent, Withdrawal
from ullage.web.service.selectors.daynumber import DayNumber
from ullage.web.sites.selectors import Site

__all__ = ["NO_NUMBER", "Dates", "LineDate", "dates_of"]


#: An output test that came to no number showed nothing: what was due stays due.
NO_NUMBER = Q(answer__isnull=False, answer__value=None)


class LineDate(NamedTuple):
    """A line before it is looked up; ``at`` is where it stands in the list, today for no day."""

    at: int
    rule: int
    pk: int
    machine: int
    day: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """Every line of a site in the order of days, and how many have none."""

    lines: tuple[LineDate, ...]
    unknown: int
    today: date

    @property
    def overdue(self) -> tuple[LineDate, ...]:
        """The lines whose day lies behind, the longest first."""
        return self.lines[: self._edges[0]]

    @property
    def counts(self) -> dict[str, int]:
        """How many lines lie where."""
        late, near = self._edges
        return {
            When.OVERDUE.value: late,
            When.SOON.value: near - late - self.unknown,
            When.LATER.value: len(self.lines) - near,
            When.UNKNOWN.value: self.unknown,
        }

    def lying(self, when: str) -> tuple[LineDate, ...]:
        """The lines that lie behind, within the month, further on or nowhere yet."""
        late, near = self._edges
        if when == When.OVERDUE:
            return self.lines[:late]
        if when == When.LATER:
            return self.lines[near:]
        has_day = when == When.SOON
        return tuple(one for one in self.lines[late:near] if (one.day is not None) is has_day)

    @property
    def _edges(self) -> tuple[int, int]:
        """Where what is overdue ends, and where what falls due within the month does."""
        start, soon = self.today.toordinal(), int(sourced("service", "soon_d").value)
        late = bisect_left(self.lines, start, key=_at)
        return late, bisect_right(self.lines, start + soon, key=_at)


def _at(line: LineDate) -> int:
    return line.at


def dates_of(site: Site, rules: tuple[Held, ...], today: date) -> Dates:
    """Every task of every thing with the day it is due, the earliest first.

    What was worked out is kept for as long as nothing is written that could change it: every
    event, part, machine, move and change of a part has a row, and the last of each is asked first.
    """
    return _worked_out(site.pk, site.code, _written(site), rules, today)


def _written(site: Site) -> tuple[int | None, ...]:
    """The last row of everything that a due date rests on; one query."""
    rows = (
        ServiceEvent.objects.filter(site=site),
        Withdrawal.objects.filter(event__site=site),
        Part.objects.filter(site=site),
        PartChange.objects.filter(part__site=site),
        PartMove.objects.filter(part__site=site),
        Machine.objects.filter(site=site),
    )
    last = {
        f"last_{number}": Subquery(one.order_by("-pk").values("pk")[:1])
        for number, one in enumerate(rows)
    }
    found: tuple[int | None, ...] = (
        Site.objects.filter(pk=site.pk).annotate(**last).values_list(*last).get()
    )
    return found


@lru_cache(maxsize=16)
def _worked_out(
    site: int, code: UUID, written: tuple[int | None, ...], rules: tuple[Held, ...], today: date
) -> Dates:
    """Three queries and one pass; `ullage.answers.service.due_of` says the same of one thing."""
    start, by_thing = today.toordinal(), _by_thing(rules)
    parts, machines = _done_days(site)
    found = []
    for thing in _things(site, by_thing):
        done = machines if thing[1] == MACHINE else parts
        pk, kind, machine = thing[:3]
        for number, rule in by_thing[kind]:
            if _concerns(rule, thing):
                day = _day(rule, thing, done)
                at = start if day is None else day
                found.append(LineDate(at, number, pk, machine or 0, day))
    found.sort(key=lambda one: one[:4])
    unknown = sum(1 for one in found if one.day is None)
    return Dates(lines=tuple(found), unknown=unknown, today=today)


def _by_thing(rules: Sequence[Held]) -> dict[str, list[tuple[int, Held]]]:
    found: dict[str, list[tuple[int, Held]]] = {}
    for number, rule in enumerate(rules):
        found.setdefault(rule.thing, []).append((number, rule))
    return found


type _Days = dict[tuple[int, str], int]
type _Thing = tuple[int, str, int | None, int | None, str | None, int | None]


def _things(site: int, kinds: Collection[str]) -> Iterator[_Thing]:
    """Every part that an interval may concern, and every machine; days as numbers."""
    parts = Part.objects.filter(site=site, kind__in=list(kinds), retired_at=None).order_by()
    yield from parts.values_list(
        *("pk", "kind", "machine_id", DayNumber("bought_on"), KT("facts__agent")),
        DayNumber(KT("facts__replace_by")),
    )
    if MACHINE in kinds:
        for pk in Machine.objects.filter(site=site).order_by().values_list("pk", flat=True):
            yield pk, MACHINE, pk, None, None, None


def _concerns(rule: Held, thing: _Thing) -> bool:
    """Whether an interval of its kind asks something of a thing."""
    *_, agent, replace_by = thing
    if rule.days is None:
        return replace_by is not None
    return rule.agent in {"", agent}


def _day(rule: Held, thing: _Thing, done: _Days) -> int | None:
    """The day on which a thing is due by an interval; none where nothing is on record."""
    pk, _, _, since, _, replace_by = thing
    if rule.days is None:
        return replace_by
    counted = done.get((pk, rule.task), since)
    return None if counted is None else counted + rule.days


def _done_days(site: int) -> tuple[_Days, _Days]:
    """The day on which each task was last done, by part and by machine; one query."""
    gone = Withdrawal.objects.filter(event__site=site).values("event")
    found = ServiceEvent.objects.filter(site=site, kind__in=list(TASKS)).exclude(pk__in=gone)
    rows = (
        found.exclude(NO_NUMBER)
        .order_by()
        .values_list("part_id", "machine_id", "kind")
        .annotate(last=DayNumber(Max("done_on")))
    )
    parts: _Days = {}
    machines: _Days = {}
    for part, machine, kind, last in rows:
        if part is not None:
            parts[part, kind] = last
        else:
            machines[machine or 0, kind] = last
    return parts, machines
