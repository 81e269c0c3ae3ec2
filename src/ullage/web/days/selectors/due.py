"""What is due today, and the one thing to do next."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Verdict
from ullage.answers.chain_links.judge import GRAVITY
from ullage.answers.words import CLOCK
from ullage.web.days.lanes import clock_words, wall_min
from ullage.web.days.models import CaseState
from ullage.web.days.selectors.answers import Outlook
from ullage.web.days.selectors.board import Board
from ullage.web.shared.display import day_and_clock
from ullage.web.shared.links import link
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import BoardCylinder, BoardRow

__all__ = ["Due", "NextStep", "due_of", "next_of"]

#: What is due later than this is not of today.
_SOON = timedelta(days=14)


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One line of the list: when, what, why, how pressing."""

    at_min: float
    when: str
    what: str
    small: str
    verdict: Verdict
    word: str = ""
    page: tuple[str, ...] = ()
    part: str = ""
    label: str = ""

    @property
    def url(self) -> str:
        """Where it is done; worked out only for what is shown."""
        found = link(self.page[0], *self.page[1:]) if self.page else ""
        return f"{found}{self.part}" if found else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStep:
    """The one thing to do next, and where it is done."""

    words: str
    url: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class _When:
    """Now on the wall clock, and after how many hours a reading is old."""

    now_min: float
    stale_h: int


def due_of(board: Board, site: Site) -> list[Due]:
    """Everything due, the earliest first."""
    zone = ZoneInfo(site.time_zone)
    by_name = {one.name: one for one in board.answers.outlooks}
    now_min = wall_min(board.now.astimezone(zone), board.day)
    found: list[Due] = []
    for row in board.rows:
        outlook = by_name.get(row.source.name)
        found += _of_cylinders(row, board, zone, _When(now_min, site.reading_stale_h))
        if outlook is not None:
            found += _of_outlook(row, outlook, board)
    found += _of_cases(board, zone, now_min)
    return sorted(found, key=lambda one: (one.at_min, GRAVITY.index(one.verdict), one.what))


def _of_outlook(row: BoardRow, outlook: Outlook, board: Board) -> Iterator[Due]:
    if row.source.reserve_of_id is not None:
        return
    for answer in (*outlook.change_overs, outlook.lasts_until):
        if answer.unit == CLOCK and answer.low is not None and answer.low < 1440:
            yield Due(
                at_min=answer.low,
                when=f"by {clock_words(answer.low)}",
                what=f"Full cylinder on {row.source.name}",
                small=answer.todo or answer.sentence,
                verdict=outlook.verdict,
                page=_page_of(row),
                label="Change cylinder",
            )
            break
    reading = outlook.next_reading
    if reading is not None and reading.unit == CLOCK and reading.value is not None:
        yield _gauge_due(row, reading, board)


def _gauge_due(row: BoardRow, reading: Answer, board: Board) -> Due:
    at = reading.low if reading.low is not None else reading.value or 0.0
    now = board.clock.now_min or 0.0
    names = " and ".join(one.cylinder.name for one in row.cylinders[:2])
    return Due(
        at_min=at,
        when=f"by {clock_words(at)}",
        what=f"Gauge reading, {names or row.source.name}",
        small=_last_read(row.cylinders[0]) if row.cylinders else reading.sentence,
        verdict=Verdict.LOOK_AGAIN if at <= now else Verdict.NOT_YET,
        word="Late" if at <= now else "",
        page=_page_of(row),
        label="Read the gauge",
    )


def _of_cylinders(row: BoardRow, board: Board, zone: ZoneInfo, when: _When) -> Iterator[Due]:
    limit = board.now - timedelta(hours=when.stale_h)
    for one in row.cylinders:
        page = ("supply:cylinder", str(one.cylinder.code))
        if one.is_waiting:
            yield Due(
                at_min=when.now_min, when="now", what=f"A question about {one.cylinder.name}",
                small="asked about its last reading", verdict=Verdict.LOOK_AGAIN,
                page=page, label="Answer it",
            )  # fmt: skip
        if one.reading is None or one.reading.at < limit:
            yield Due(
                at_min=_next_use(row, board, zone),
                when="before use", what=f"Gauge reading, {one.cylinder.name}",
                small=_last_read(one), verdict=Verdict.LOOK_AGAIN, word="Late",
                page=page, label="Read the gauge",
            )  # fmt: skip
        yield from _test_due(one, board.now)
    if row.change is not None:
        yield Due(
            at_min=when.now_min, when="now", what=f"Change of cylinder at {row.source.name}",
            small=f"begun {day_and_clock(row.change.started_at)}", verdict=Verdict.LOOK_AGAIN,
            page=("supply:change", str(row.change.code)), label="Go on with it",
        )  # fmt: skip


def _next_use(row: BoardRow, board: Board, zone: ZoneInfo) -> float:
    """When one of its machines is used next today; at the end of the day where none is."""
    fed = {one.pk for one in row.machines}
    coming = [
        wall_min(one.starts_at.astimezone(zone), board.day)
        for one in board.cases
        if one.machine_id in fed and one.state == CaseState.PLANNED
    ]
    return min(coming, default=1440.0)


def _test_due(one: BoardCylinder, now: datetime) -> Iterator[Due]:
    due = one.cylinder.test_due
    if due is None or due > (now + _SOON).date():
        return
    is_past = due < now.date()
    yield Due(
        at_min=2880.0,
        when=f"{due.day} {due:%B}",
        what=f"Pressure test of {one.cylinder.name}",
        small="by its stamp; return it to the supplier",
        verdict=Verdict.STOP if is_past else Verdict.LOOK_AGAIN,
        word="Overdue" if is_past else "",
        page=("supply:cylinder", str(one.cylinder.code)),
        label="Look at it",
    )


def _of_cases(board: Board, zone: ZoneInfo, now_min: float) -> Iterator[Due]:
    """Cases whose time has come and that nobody has begun."""
    for case in board.cases:
        at = wall_min(case.starts_at.astimezone(zone), board.day)
        if case.state == CaseState.PLANNED and case.note:
            yield Due(
                at_min=at,
                when=f"by {clock_words(at)}",
                what=f"Note on {case.name}",
                small=case.note,
                verdict=Verdict.NOT_YET,
                word="Note",
                page=("days:day", board.day.isoformat()),
                part=f"#case-{case.code}",
                label="See the case",
            )
        if case.state == CaseState.PLANNED and at < now_min:
            yield Due(
                at_min=at,
                when=clock_words(at),
                what=f"First gas, {case.name}",
                small=f"on {case.machine.name}: begun, moved or cancelled?",
                verdict=Verdict.LOOK_AGAIN,
                word="Late",
                page=("days:day", board.day.isoformat()),
                part=f"#case-{case.code}",
                label="See the case",
            )


def _last_read(one: BoardCylinder) -> str:
    if one.reading is None:
        return "never read here"
    return f"last read {day_and_clock(one.reading.at)}, {one.reading.typed}"


def _page_of(row: BoardRow) -> tuple[str, ...]:
    if row.cylinders:
        return "supply:cylinder", str(row.cylinders[0].cylinder.code)
    return "supply:source", str(row.source.code)


def next_of(board: Board, due: list[Due]) -> NextStep | None:
    """The gravest thing due; with nothing to do, the next case."""
    pressing = [one for one in due if one.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}]
    first = min(pressing, key=lambda one: (GRAVITY.index(one.verdict), one.at_min), default=None)
    if first is None:
        first = due[0] if due else None
    if first is None:
        return NextStep(words="Nothing waits", url=link("days:day", board.day), label="Day plan")
    words = first.small if first.small.endswith(".") else f"{first.what}, {first.when}"
    return NextStep(words=words, url=first.url, label=first.label)
