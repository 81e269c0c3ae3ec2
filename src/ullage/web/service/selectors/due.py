"""What is due at a site: all dates in one pass, one page of them in full."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max, Q
from django.utils import timezone

from ullage.answers import Answer, Verdict
from ullage.answers.readiness import Remark
from ullage.answers.service import MACHINE, TASKS, Due, DueRow, When, due_of, service_due
from ullage.answers.service import Interval as Held
from ullage.web.machines.selectors import Machine, Part
from ullage.web.service.models import ServiceEvent
from ullage.web.service.selectors.dates import NO_NUMBER, Dates, LineDate, dates_of
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
PAGE = 25
#: What stands for the store where a place is asked for.
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


def site_today(site: Site, now: datetime | None = None) -> date:
    """The day it is at a site."""
    return (now or timezone.now()).astimezone(ZoneInfo(site.time_zone)).date()


def due_list(site: Site, asked: DueAsked, today: date) -> DueList:
    """A page of what is due, overdue first; as many queries for one machine as for hundreds."""
    rules = intervals_at(site)
    every = dates_of(site, rules, today)
    wanted = _sorted(_wanted(every, rules, asked, site), rules, asked, site)
    pages = max(1, -(-len(wanted) // PAGE))
    page = min(max(asked.page, 1), pages)
    return DueList(
        lines=_lines(wanted[(page - 1) * PAGE : page * PAGE], rules, today),
        counts=every.counts,
        found=len(wanted),
        page=page,
        pages=pages,
    )


def _wanted(every: Dates, rules: Sequence[Held], asked: DueAsked, site: Site) -> Sequence[LineDate]:
    """What the filters leave, in the same order."""
    found: Sequence[LineDate] = every.lying(asked.when) if asked.when else every.lines
    if asked.thing or asked.task:
        named = {
            number
            for number, rule in enumerate(rules)
            if asked.thing in {"", rule.thing} and asked.task in {"", rule.task}
        }
        found = [one for one in found if one.rule in named]
    if asked.machine:
        places = _places(site, asked.machine)
        found = [one for one in found if one.machine in places]
    return found


def _places(site: Site, name: str) -> set[int]:
    """The machines whose name or room holds these words, and the store where it is meant."""
    named = Machine.objects.filter(site=site).filter(
        Q(name__icontains=name) | Q(room__name__icontains=name)
    )
    found = set(named.order_by().values_list("pk", flat=True))
    return found | {0} if name.strip().casefold() == STORE else found


def _sorted(
    wanted: Sequence[LineDate], rules: Sequence[Held], asked: DueAsked, site: Site
) -> Sequence[LineDate]:
    """By day, as they are; or by machine or by kind, and then by day."""
    if asked.sort == "machine":
        rows = Machine.objects.filter(site=site).order_by().values_list("pk", "name")
        names = {pk: name.casefold() for pk, name in rows}
        return sorted(wanted, key=lambda one: names.get(one.machine, "\uffff"))
    if asked.sort == "kind":
        return sorted(wanted, key=lambda one: rules[one.rule].thing)
    return wanted


def _lines(shown: Sequence[LineDate], rules: Sequence[Held], today: date) -> tuple[DueLine, ...]:
    """The lines of one page in full; three queries."""
    alone = {one.pk for one in shown if rules[one.rule].thing == MACHINE}
    wanted = {one.pk for one in shown if rules[one.rule].thing != MACHINE}
    whole = Machine.objects.select_related("room").in_bulk(alone)
    parts = Part.objects.select_related("machine", "machine__room").in_bulk(wanted)
    done = done_on(parts, whole)
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
    ).exclude(NO_NUMBER)
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
    """What is due on one part; nothing on one that is no longer kept."""
    if part.retired_at is not None:
        return []
    return due_lines_of(part, intervals_at(part.site), done_on((part.pk,), ()), today)


def due_dates(site: Site, today: date, until: date) -> list[DueLine]:
    """Everything with a date up to a day, for a calendar; the earliest first."""
    rules, last = intervals_at(site), until.toordinal()
    every = dates_of(site, rules, today).lines
    return list(_lines([one for one in every if one.day and one.day <= last], rules, today))


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
    late = dates_of(site, rules, today).overdue
    return _lines([one for one in late if one.machine in names], rules, today)


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
