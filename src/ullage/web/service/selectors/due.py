"""What is due at a site: one query for all dates, one pass over them, one page of them in full."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, IntegerField, Max, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.fields.json import KT
from django.db.models.functions import Coalesce
from django.utils import timezone

from ullage.answers import Answer, Verdict
from ullage.answers.readiness import Remark
from ullage.answers.service import MACHINE, TASKS, Due, DueRow, When, due_of, service_due
from ullage.answers.service import Interval as Held
from ullage.reference import sourced
from ullage.web.machines.selectors import Machine, Part
from ullage.web.service.models import ServiceEvent
from ullage.web.service.selectors.daynumber import DayNumber
from ullage.web.service.selectors.rules import intervals_at
from ullage.web.sites.selectors import Site

__all__ = [
    "DueAsked",
    "DueLine",
    "DueList",
    "due_dates",
    "due_list",
    "due_on_machine",
    "due_on_part",
    "remarks_on",
    "site_today",
]

#: Lines on one page of the list.
PAGE = 50
#: What stands for the store where a machine is asked for.
STORE = "store"
_WORDS = {When.OVERDUE: "Overdue", When.SOON: "Soon", When.LATER: "In time"}


@dataclass(frozen=True, slots=True)
class DueLine:
    """One task of one machine or part, and the answer to when it is due."""

    thing: Machine | Part
    due: Due
    when: When
    answer: Answer

    @property
    def machine(self) -> Machine | None:
        """The machine it is, or is on; none for a part in store."""
        return self.thing if isinstance(self.thing, Machine) else self.thing.machine

    @property
    def is_part(self) -> bool:
        """True for a part, false for a whole machine."""
        return isinstance(self.thing, Part)

    @property
    def task(self) -> str:
        """The task in words."""
        return TASKS[self.due.interval.task].name

    @property
    def word(self) -> str:
        """What stands beside the shape of its verdict; empty for the word of the verdict."""
        return _WORDS.get(self.when, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class DueAsked:
    """What a person wants to see of the list, and in which order."""

    when: str = ""
    thing: str = ""
    task: str = ""
    machine: str = ""
    sort: str = "due"
    page: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """One page of what is due; counts are over the whole list, whatever is filtered."""

    lines: tuple[DueLine, ...]
    counts: Mapping[str, int]
    found: int
    page: int
    pages: int
    machines: tuple[Machine, ...]


@dataclass(frozen=True, slots=True)
class _Date:
    """A line before it is looked up: which interval, which thing, on which machine, which day."""

    rule: int
    pk: int
    machine: int
    day: int | None


def site_today(site: Site, now: datetime | None = None) -> date:
    """The day it is at a site."""
    return (now or timezone.now()).astimezone(ZoneInfo(site.time_zone)).date()


def due_list(site: Site, asked: DueAsked, today: date) -> DueList:
    """A page of what is due, overdue first; as many queries for one machine as for hundreds."""
    rules = intervals_at(site)
    machines = tuple(Machine.objects.filter(site=site).select_related("room"))
    every = _dates(site, rules)
    counts = _counts(every, today)
    wanted = _sorted(_wanted(every, rules, asked, machines, today), rules, asked, machines, today)
    pages = max(1, -(-len(wanted) // PAGE))
    page = min(max(asked.page, 1), pages)
    shown = wanted[(page - 1) * PAGE : page * PAGE]
    return DueList(
        lines=_lines(shown, rules, machines, today),
        counts=counts,
        found=len(wanted),
        page=page,
        pages=pages,
        machines=machines,
    )


def _dates(site: Site, rules: Sequence[Held], before: date | None = None) -> list[_Date]:
    """Every task of every thing with the day it is due, in one query; or those due before a day."""
    branches = [_branch(site, number, rule) for number, rule in enumerate(rules)]
    if before is not None:
        branches = [one.filter(day__lt=before.toordinal()) for one in branches]
    return [_Date(*row) for row in branches[0].union(*branches[1:], all=True).order_by()]


def _branch(site: Site, number: int, rule: Held) -> QuerySet[Any, Any]:
    """One interval over all things that it concerns."""
    if rule.thing == MACHINE:
        things: QuerySet[Any] = Machine.objects.filter(site=site).annotate(
            on=F("pk"), since=Value(None, output_field=IntegerField())
        )
        last = _last("machine", rule.task)
    else:
        things = Part.objects.filter(site=site, kind=rule.thing, retired_at=None).annotate(
            on=Coalesce("machine_id", 0), since=DayNumber("bought_on")
        )
        last = _last("part", rule.task)
    if rule.agent:
        things = things.filter(facts__agent=rule.agent)
    if rule.days is None:
        things = things.filter(facts__replace_by__isnull=False)
        day: Any = DayNumber(KT("facts__replace_by"))
    else:
        done = DayNumber(Subquery(last))
        day = Coalesce(done, F("since"), output_field=IntegerField()) + Value(rule.days)
    found: QuerySet[Any, Any] = things.annotate(
        rule=Value(number, output_field=IntegerField()), day=day
    ).order_by()
    return found.values_list("rule", "pk", "on", "day")


def _last(field: str, task: str) -> QuerySet[Any, Any]:
    """The day on which a task was last done on the thing outside."""
    found = ServiceEvent.objects.filter(
        **{field: OuterRef("pk")}, kind=task, withdrawal__isnull=True
    )
    return found.order_by("-done_on").values("done_on")[:1]


def _when(day: int | None, today: int, soon: int) -> When:
    if day is None:
        return When.UNKNOWN
    if day < today:
        return When.OVERDUE
    return When.SOON if day - today <= soon else When.LATER


def _counts(every: Iterable[_Date], today: date) -> dict[str, int]:
    number, soon = today.toordinal(), int(sourced("service", "soon_d").value)
    counts = dict.fromkeys((one.value for one in When), 0)
    for one in every:
        counts[_when(one.day, number, soon).value] += 1
    return counts


def _wanted(
    every: Iterable[_Date],
    rules: Sequence[Held],
    asked: DueAsked,
    machines: Iterable[Machine],
    today: date,
) -> list[_Date]:
    """What the filters leave."""
    number, soon = today.toordinal(), int(sourced("service", "soon_d").value)
    named = {
        index
        for index, rule in enumerate(rules)
        if asked.thing in {"", rule.thing} and asked.task in {"", rule.task}
    }
    codes = {STORE: 0, **{str(one.code): one.pk for one in machines}}
    on = codes.get(asked.machine, -1) if asked.machine else None
    return [
        one
        for one in every
        if one.rule in named
        and (on is None or one.machine == on)
        and (not asked.when or _when(one.day, number, soon) == asked.when)
    ]


def _sorted(
    wanted: list[_Date],
    rules: Sequence[Held],
    asked: DueAsked,
    machines: Iterable[Machine],
    today: date,
) -> list[_Date]:
    """By day; or by machine or by kind, and then by day. What has no date counts as due today."""
    start = today.toordinal()
    names = {one.pk: one.name.casefold() for one in machines}

    def first(one: _Date) -> str:
        if asked.sort == "machine":
            return names.get(one.machine, "\uffff")
        return rules[one.rule].thing if asked.sort == "kind" else ""

    return sorted(
        wanted,
        key=lambda one: (first(one), start if one.day is None else one.day, one.rule, one.pk),
    )


def _lines(
    shown: Sequence[_Date], rules: Sequence[Held], machines: Iterable[Machine], today: date
) -> tuple[DueLine, ...]:
    """The lines of one page in full; three queries."""
    whole = {one.pk: one for one in machines}
    wanted = {one.pk for one in shown if rules[one.rule].thing != MACHINE}
    parts = {
        one.pk: one
        for one in Part.objects.filter(pk__in=wanted).select_related("machine", "machine__room")
    }
    done = done_on(parts, {one.pk for one in shown if rules[one.rule].thing == MACHINE})
    lines = []
    for one in shown:
        rule = rules[one.rule]
        thing = whole.get(one.pk) if rule.thing == MACHINE else parts.get(one.pk)
        if thing is not None:
            lines += due_lines_of(thing, (rule,), done, today)
    return tuple(lines)


#: When each task was last done, by machine or part.
type Done = Mapping[tuple[bool, int], Mapping[str, date]]


def done_on(parts: Iterable[int], machines: Iterable[int]) -> Done:
    """When each task was last done on each of these parts and machines; one query."""
    found = ServiceEvent.objects.filter(
        Q(part__in=list(parts)) | Q(machine__in=list(machines)),
        kind__in=list(TASKS),
        withdrawal__isnull=True,
    )
    done: dict[tuple[bool, int], dict[str, date]] = {}
    rows = found.order_by().values_list("part_id", "machine_id", "kind").annotate(Max("done_on"))
    for part, machine, kind, last in rows:
        done.setdefault((part is not None, part or machine or 0), {})[kind] = last
    return done


def row_of(thing: Machine | Part, done: Done) -> DueRow:
    """A machine or a part as the rules see it."""
    if isinstance(thing, Machine):
        return DueRow(thing.code, MACHINE, done=done.get((False, thing.pk), {}))
    written = thing.facts.get("replace_by")
    return DueRow(
        code=thing.code,
        thing=thing.kind,
        agent=thing.facts.get("agent", ""),
        since=thing.bought_on,
        replace_by=date.fromisoformat(written) if written else None,
        done=done.get((True, thing.pk), {}),
    )


def due_lines_of(
    thing: Machine | Part, rules: Iterable[Held], done: Done, today: date
) -> list[DueLine]:
    """What some rules ask of one thing."""
    row = row_of(thing, done)
    found = (due_of(row, rule) for rule in rules)
    return [
        DueLine(thing, one, one.when(today), service_due(one, today))
        for one in found
        if one is not None
    ]


def due_on_machine(machine: Machine, parts: Sequence[Part], today: date) -> list[DueLine]:
    """What is due on a machine and its parts, the earliest first."""
    rules = intervals_at(machine.site)
    done = done_on((one.pk for one in parts), (machine.pk,))
    things: list[Machine | Part] = [machine, *parts]
    lines = [line for thing in things for line in due_lines_of(thing, rules, done, today)]
    return sorted(lines, key=lambda one: one.due.due_on or today)


def due_on_part(part: Part, today: date) -> list[DueLine]:
    """What is due on one part."""
    return due_lines_of(part, intervals_at(part.site), done_on((part.pk,), ()), today)


def due_dates(site: Site, today: date, until: date) -> list[DueLine]:
    """Everything with a date up to a day, for a calendar; the earliest first."""
    rules = intervals_at(site)
    machines = tuple(Machine.objects.filter(site=site).select_related("room"))
    last = until.toordinal()
    shown = [one for one in _dates(site, rules) if one.day is not None and one.day <= last]
    return list(_lines(sorted(shown, key=lambda one: one.day or 0), rules, machines, today))


def remarks_on(machines: Sequence[Machine], now: datetime) -> dict[int, list[Remark]]:
    """What is overdue on each machine and its parts; as many queries for one as for all."""
    said: dict[int, list[Remark]] = {}
    for site in Site.objects.filter(pk__in={one.site_id for one in machines}):
        late: dict[int, list[DueLine]] = {}
        for line in _overdue([one for one in machines if one.site_id == site.pk], site, now):
            if line.machine is not None:
                late.setdefault(line.machine.pk, []).append(line)
        said |= {key: [_remark(lines)] for key, lines in late.items()}
    return said


def _overdue(machines: Sequence[Machine], site: Site, now: datetime) -> tuple[DueLine, ...]:
    """What is overdue on some machines of one site, the longest first."""
    rules, names, today = intervals_at(site), {one.pk for one in machines}, site_today(site, now)
    found = [one for one in _dates(site, rules, before=today) if one.machine in names]
    return _lines(sorted(found, key=lambda one: one.day or 0), rules, machines, today)


def _remark(late: Sequence[DueLine]) -> Remark:
    """What is overdue on one machine as one sentence; the first two are named."""
    more = f", and {len(late) - 2} more" if len(late) > 2 else ""
    return Remark(
        about="Service",
        verdict=Verdict.LOOK_AGAIN,
        sentence=f"Overdue: {', '.join(_named(one) for one in late[:2])}{more}.",
        todo=late[0].answer.todo,
    )


def _named(line: DueLine) -> str:
    task = f"{line.task[0].lower()}{line.task[1:]}"
    return f"{task} of {line.thing}" if line.is_part else task
