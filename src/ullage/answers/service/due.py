"""What service is due, and why: one row an interval, one pass over what was last done."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from ullage.answers.answer import Answer, Step, Verdict, View, WhereFrom
from ullage.answers.equipment import PART_KINDS
from ullage.answers.lines import line_of
from ullage.answers.words import figure
from ullage.core.checks import within
from ullage.core.errors import UnknownReference
from ullage.reference import Sourced, sourced, stated

__all__ = [
    "MACHINE",
    "TASKS",
    "Due",
    "DueRow",
    "Interval",
    "Task",
    "When",
    "due_lines",
    "due_of",
    "intervals_of",
    "replacement",
    "service_due",
    "site_interval",
    "thing_words",
]

#: The thing of intervals that belong to a whole machine, beside the kinds of parts.
MACHINE = "machine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something that comes due: its name, and the sentence that asks for it."""

    key: str
    name: str
    todo: str


_TASKS = (
    Task(key="output_test", name="Output test", todo="Test its output against its dial."),
    Task(key="inspection", name="Inspection", todo="Have it inspected, and keep the paper."),
    Task(key="service", name="Maker's service", todo="Send it for service as its maker says."),
    Task(key="cleaning", name="Cleaning", todo="Have it cleaned of what the liquid leaves."),
    Task(key="replacement", name="Replacement", todo="Fit a new one, and write its date."),
)

#: Everything that can come due, by its key.
TASKS: Mapping[str, Task] = {one.key: one for one in _TASKS}


class When(StrEnum):
    """Where a due date lies: behind, within the month, further on, or nowhere yet."""

    OVERDUE = "overdue"
    SOON = "soon"
    LATER = "later"
    UNKNOWN = "nothing on record"


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """How often a task comes due for a kind of thing, and on whose word.

    ``agent`` narrows it to vaporizers of one agent. A replacement by the date written on a part
    has no days of its own.
    """

    thing: str
    task: str
    days: int | None
    why: str
    where_from: tuple[WhereFrom, ...]
    views: tuple[View, ...] = ()
    agent: str = ""

    def __post_init__(self) -> None:
        if self.days is not None:
            within("days", self.days, 1, 7305)


def _shipped(thing: str, task: str, keys: tuple[str, ...], why: str, agent: str = "") -> Interval:
    """An interval of the fact base, the first key chosen, the others beside it."""
    rows = [sourced("service", key) for key in keys]
    views = tuple(
        View(
            label=_label(row),
            result=f"{figure(row.value)} days",
            source=row.source,
            how_known=row.how_known.value,
            chosen=row is rows[0],
        )
        for row in rows
    )
    return Interval(
        thing=thing,
        task=task,
        days=round(rows[0].value),
        why=why,
        where_from=(line_of(rows[0], "interval"),),
        views=views if len(rows) > 1 else (),
        agent=agent,
    )


def _label(row: Sourced) -> str:
    """What a page says of an interval, without where it stands."""
    words = row.where.partition(": ")[2]
    return f"{words[0].upper()}{words[1:]}"


def replacement(thing: str) -> Interval:
    """A part that is replaced by the date written on it."""
    row = stated("service", "replacement.by_date")
    told = WhereFrom(
        source=row.source,
        how_known=row.how_known.value,
        text=f"{row.where[0].upper()}{row.where[1:]}.",
    )
    why = "Its maker gives the day by which it is replaced; it is replaced sooner when it fails."
    return Interval(thing=thing, task="replacement", days=None, why=why, where_from=(told,))


def intervals_of(overruled: Iterable[Interval] = ()) -> tuple[Interval, ...]:
    """The intervals that hold: those of the fact base, and a site's own in their place.

    >>> [(one.thing, one.task, one.days) for one in intervals_of()][:2]
    [('vaporizer', 'output_test', 365), ('vaporizer', 'service', 1096)]
    """
    shipped = (
        _shipped(
            "vaporizer",
            "output_test",
            ("output_test.yearly_d", "output_test.quarterly_d"),
            "Vaporizers drift, and only a measurement shows it.",
        ),
        _shipped(
            "vaporizer",
            "service",
            ("service.three_years_d", "service.shortest_d", "service.longest_d"),
            "Seals, wicks and springs age; the maker says by model how long they last.",
        ),
        _shipped(
            "vaporizer",
            "cleaning",
            ("cleaning.halothane_d",),
            "The preservative in halothane stays behind in the wick.",
            agent="halothane",
        ),
        _shipped(
            MACHINE,
            "inspection",
            ("inspection.yearly_d", "inspection.half_yearly_d"),
            "Inspectors ask for a dated paper that the machine is tight and true.",
        ),
        *(
            replacement(kind.key)
            for kind in PART_KINDS.values()
            if any(fact.name == "replace_by" for fact in kind.facts)
        ),
    )
    found = {(one.thing, one.task, one.agent): one for one in shipped}
    for one in overruled:
        found = {key: kept for key, kept in found.items() if key[:2] != (one.thing, one.task)}
        found[one.thing, one.task, one.agent] = one
    return tuple(found.values())


def site_interval(thing: str, task: str, days: int, why: str) -> Interval:
    """An interval that a site has set for a kind of thing.

    Raises
    ------
    UnknownReference : a task or a kind of thing that there is not.
    InvalidQuantity : a number of days that cannot be.
    """
    if task not in TASKS:
        raise UnknownReference(f"No task {task!r}. Tasks: {', '.join(TASKS)}.")
    if thing != MACHINE and thing not in PART_KINDS:
        raise UnknownReference(f"No kind of part {thing!r}. Kinds: {', '.join(PART_KINDS)}.")
    what = f"{TASKS[task].name} of {thing_words(thing)} every {days} days, as this site has set."
    told = WhereFrom(source="site_rule", how_known="site", text=what)
    return Interval(thing=thing, task=task, days=days, why=why, where_from=(told,))


def thing_words(thing: str) -> str:
    """The name of a kind of thing inside a sentence.

    >>> thing_words("machine"), thing_words("relief_valve")
    ('machine', 'relief valve')
    """
    return MACHINE if thing == MACHINE else PART_KINDS[thing].name.lower()


@dataclass(frozen=True, slots=True)
class DueRow:
    """What is known of one machine or part: when each task was last done, since when it is here.

    ``replace_by`` is the date written on it; ``code`` is whatever the caller knows it by.
    """

    code: object
    thing: str
    agent: str = ""
    since: date | None = None
    replace_by: date | None = None
    done: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Due:
    """One task of one thing: when it is due, counted from when, and by which interval."""

    row: DueRow
    interval: Interval
    due_on: date | None
    last: date | None

    def when(self, today: date) -> When:
        """Where its date lies."""
        if self.due_on is None:
            return When.UNKNOWN
        if self.due_on < today:
            return When.OVERDUE
        soon = sourced("service", "soon_d").value
        return When.SOON if (self.due_on - today).days <= soon else When.LATER


def due_of(row: DueRow, interval: Interval) -> Due | None:
    """What one interval asks of one thing; none where it does not concern it."""
    if interval.thing != row.thing or (interval.agent and interval.agent != row.agent):
        return None
    last = row.done.get(interval.task)
    if interval.days is None:
        return None if row.replace_by is None else Due(row, interval, row.replace_by, last)
    counted = last or row.since
    due_on = None if counted is None else counted + timedelta(days=interval.days)
    return Due(row, interval, due_on, last)


def due_lines(rows: Iterable[DueRow], intervals: Iterable[Interval], today: date) -> Iterator[Due]:
    """Everything due of many things in one pass, overdue first, then what has no date, then later.

    >>> row = DueRow("a", "vaporizer", "isoflurane", done={"output_test": date(2025, 5, 1)})
    >>> [(one.interval.task, one.due_on) for one in due_lines([row], intervals_of(), date.max)]
    [('output_test', datetime.date(2026, 5, 1)), ('service', None)]
    """
    by_thing: dict[str, list[Interval]] = {}
    for one in intervals:
        by_thing.setdefault(one.thing, []).append(one)
    found = [
        due
        for row in rows
        for interval in by_thing.get(row.thing, ())
        if (due := due_of(row, interval)) is not None
    ]
    return iter(sorted(found, key=lambda due: due.due_on or today))


def service_due(due: Due, today: date) -> Answer:
    """When a task is due, counted from when, on whose word, and what is to be done.

    >>> row = DueRow("a", "vaporizer", "isoflurane", done={"output_test": date(2025, 5, 1)})
    >>> first = due_of(row, intervals_of()[0])
    >>> service_due(first, date(2026, 5, 6)).sentence
    'It is overdue by 5 days: it was due on 1 May 2026.'
    """
    task, when = TASKS[due.interval.task], due.when(today)
    days = None if due.due_on is None else float((due.due_on - today).days)
    told, verdict = _told(due, when, days)
    return Answer(
        question=f"When is the {task.name[0].lower()}{task.name[1:]} due?",
        value=days,
        unit="days",
        sentence=told,
        reasons=(due.interval.why,),
        steps=_steps(due),
        where_from=(_record(due), *due.interval.where_from),
        assumptions=_assumed(due),
        cautions=("The maker's instructions and the rules of your place come first.",),
        views=due.interval.views,
        verdict=verdict,
        settles="When was it last done? Write it down with its paper." if days is None else "",
        todo=task.todo if when in {When.OVERDUE, When.SOON, When.UNKNOWN} else "",
    )


def _told(due: Due, when: When, days: float | None) -> tuple[str, Verdict]:
    if due.due_on is None or days is None:
        return "Nothing on record says when it was last done.", Verdict.NOT_YET
    on = f"{due.due_on.day} {due.due_on:%B %Y}"
    if when is When.OVERDUE:
        return f"It is overdue by {_days(-days)}: it was due on {on}.", Verdict.LOOK_AGAIN
    if days == 0:
        return "It is due today.", Verdict.LOOK_AGAIN
    verdict = Verdict.LOOK_AGAIN if when is When.SOON else Verdict.FINE
    return f"It is due in {_days(days)}, on {on}.", verdict


def _days(days: float) -> str:
    return "1 day" if days == 1 else f"{days:.0f} days"


def _steps(due: Due) -> tuple[Step, ...]:
    told = []
    if due.last is not None:
        told.append(Step(what="last done", result=f"{due.last.day} {due.last:%B %Y}"))
    elif due.row.since is not None and due.interval.days is not None:
        since = due.row.since
        told.append(Step(what="here since", result=f"{since.day} {since:%B %Y}"))
    if due.interval.days is not None:
        told.append(Step(what="interval", result=f"{due.interval.days} days"))
    if due.due_on is not None:
        told.append(Step(what="due on", result=f"{due.due_on.day} {due.due_on:%B %Y}"))
    return tuple(told)


def _record(due: Due) -> WhereFrom:
    text = "Record of service of this site."
    if due.interval.days is None:
        text = "Date to replace it by, as written down for this part."
    return WhereFrom(source="entered", how_known="seen", text=text)


def _assumed(due: Due) -> tuple[str, ...]:
    if due.last is None and due.row.since is not None and due.interval.days is not None:
        return ("It came in order: the interval is counted from the day it was bought.",)
    return ()
