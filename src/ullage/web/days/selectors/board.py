"""The Today board: each machine, may it begin, what is left and for how long, and its day."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Verdict
from ullage.answers.words import CLOCK, minutes_text
from ullage.web.days.lanes import Clock, Lane, clock_words
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.answers import GRAVITY, DayAnswers, Outlook, day_answers
from ullage.web.days.selectors.case_lanes import LaneOf, case_lane, clock_of
from ullage.web.days.selectors.cases import cases_of
from ullage.web.machines.selectors import Machine, machines_of
from ullage.web.shared.bars import Level, level_of
from ullage.web.shared.display import day_and_clock
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import BoardCylinder, BoardRow, board_rows

__all__ = ["Board", "BoardMachine", "SourceLine", "board_of", "change_note", "gravest"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """One source of a machine: what is left, for how long, what today needs."""

    row: BoardRow
    words: str
    left: Answer | None
    lasts: Answer | None
    lasts_words: str
    needed: Answer | None
    bar: Level | None
    is_estimate: bool
    is_reserve: bool
    question: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardMachine:
    """One row of the board."""

    machine: Machine
    verdict: Verdict
    lead: str
    more: str
    lines: tuple[SourceLine, ...]
    lane: Lane
    note: str

    @property
    def main(self) -> list[SourceLine]:
        """The sources it is fed by as a rule."""
        return [one for one in self.lines if not one.is_reserve]

    @property
    def reserves(self) -> list[SourceLine]:
        """What stands behind them."""
        return [one for one in self.lines if one.is_reserve]


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """Everything the Today page shows of machines."""

    day: date
    now: datetime
    clock: Clock
    machines: tuple[BoardMachine, ...]
    rows: tuple[BoardRow, ...]
    answers: DayAnswers
    cases: tuple[PlannedCase, ...] = field(default=())

    @property
    def is_empty(self) -> bool:
        """True for a site that has no machine yet."""
        return not self.machines

    @property
    def counts_text(self) -> str:
        """How the machines stand, in one line."""
        said = [one.verdict for one in self.machines]
        parts = (
            (said.count(Verdict.FINE), "fine"),
            (said.count(Verdict.LOOK_AGAIN), "to look at"),
            (said.count(Verdict.STOP), "stopped"),
            (said.count(Verdict.NOT_YET), "not yet answered"),
        )
        counted = ", ".join(f"{count} {words}" for count, words in parts if count)
        number = len(self.machines)
        return f"{number} {'machine' if number == 1 else 'machines'}: {counted}"


def gravest(said: Sequence[Verdict | None]) -> Verdict:
    """The gravest of several verdicts; none at all is not yet answered."""
    found = [one for one in said if one is not None]
    return next((one for one in GRAVITY if one in found), Verdict.NOT_YET)


def board_of(site: Site, day: date, now: datetime) -> Board:
    """The board of a day, in a number of queries that does not grow with the site."""
    machines = machines_of(site)
    cases = [one for one in cases_of(site, day) if one.state != CaseState.CANCELLED]
    answers = day_answers(site, day)
    rows = board_rows(site)
    clock = clock_of(site, day, cases, now)
    by_name = {one.name: one for one in answers.outlooks}
    questions = {one.source: one.question for one in answers.unread}
    return Board(
        day=day,
        now=now,
        clock=clock,
        machines=tuple(
            _machine(
                _Seen(one, site, day, now, clock),
                [case for case in cases if case.machine_id == one.pk],
                [row for row in rows if one.pk in {fed.pk for fed in row.machines}],
                _Said(by_name, questions),
            )
            for one in machines
        ),
        rows=tuple(rows),
        answers=answers,
        cases=tuple(cases),
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """From where one machine's row is drawn."""

    machine: Machine
    site: Site
    day: date
    now: datetime
    clock: Clock


@dataclass(frozen=True, slots=True)
class _Said:
    """What was worked out, by the name of the source."""

    outlooks: dict[str, Outlook]
    questions: dict[str, str]


def _machine(
    seen: _Seen, cases: list[PlannedCase], rows: list[BoardRow], said: _Said
) -> BoardMachine:
    lines = tuple(_line(seen, row, said) for row in rows)
    outlooks = [said.outlooks[row.source.name] for row in rows if row.source.name in said.outlooks]
    main = [one for one in outlooks if one.is_main]
    verdict, lead, more = _may_begin(seen, lines, main, cases)
    note, change = change_note(main, cases)
    return BoardMachine(
        machine=seen.machine,
        verdict=verdict,
        lead=lead,
        more=more,
        lines=lines,
        lane=case_lane(
            LaneOf(
                name=seen.machine.name,
                site=seen.site,
                day=seen.day,
                now=seen.now,
                cases=tuple(cases),
                is_halted=bool(seen.machine.out_of_use),
            ),
            seen.clock,
            change=change,
            note=note,
        ),
        note=note,
    )


def _may_begin(
    seen: _Seen,
    lines: tuple[SourceLine, ...],
    outlooks: list[Outlook],
    cases: list[PlannedCase],
) -> tuple[Verdict, str, str]:
    """The verdict of a machine, what it rests on in bold, and what else there is to say."""
    if seen.machine.out_of_use:
        return Verdict.STOP, "Out of use.", seen.machine.out_of_use
    if not lines:
        return Verdict.NOT_YET, "No source feeds it yet.", "Add its source on the page of supplies."
    found: list[tuple[Verdict, str, str]] = []
    for line in lines:
        if line.question:
            found.append((Verdict.LOOK_AGAIN, line.question, ""))
        elif line.is_estimate and not line.is_reserve:
            found.append((Verdict.LOOK_AGAIN, "Read the gauge before use.", _age(line, seen.now)))
        if line.row.verdict in {Verdict.STOP, Verdict.LOOK_AGAIN}:
            found.append((line.row.verdict, *_of_row(line)))
    found += [(outlook.verdict, *_of_outlook(outlook)) for outlook in outlooks]
    if not found:
        return Verdict.NOT_YET, "", "The answers of today are being worked out."
    worst = min(found, key=lambda one: GRAVITY.index(one[0]))
    if worst[0] is Verdict.FINE:
        return Verdict.FINE, "", _in_use(seen, cases)
    return worst


def _of_outlook(outlook: Outlook) -> tuple[str, str]:
    """What to do and why, from the answer that carries the verdict of a source."""
    for one in (outlook.lasts_until, *outlook.others, *(each.answer for each in outlook.chances)):
        if one.verdict == outlook.verdict:
            return one.todo or one.sentence, one.sentence if one.todo else ""
    return outlook.lasts_until.todo, outlook.lasts_until.sentence


def _of_row(line: SourceLine) -> tuple[str, str]:
    row = line.row
    if row.change is not None:
        return f"A change of cylinder at {row.source.name} is not finished.", ""
    for one in row.cylinders:
        if one.is_waiting:
            return f"A question about the last reading of {one.cylinder.name} waits.", ""
        for answer in (one.kept.leak, one.kept.contents):
            if answer is not None and answer.verdict == row.verdict:
                return answer.todo or answer.sentence, answer.sentence if answer.todo else ""
    return "", ""


def _age(line: SourceLine, now: datetime) -> str:
    read = [one.reading for one in line.row.cylinders if one.reading is not None]
    if not read:
        return "Nobody has read it yet."
    latest = max(read, key=lambda one: one.at)
    return f"No gauge reading since {day_and_clock(latest.at, now)}."


def _in_use(seen: _Seen, cases: list[PlannedCase]) -> str:
    """What the machine is doing: the running case, the next one, or nothing today."""
    for case in cases:
        if case.state == CaseState.RUNNING:
            passed = (seen.now - case.starts) / timedelta(minutes=1)
            return f"In use: {case.name}, {minutes_text(max(0.0, passed))}."
    coming = [one for one in cases if one.state == CaseState.PLANNED]
    if coming:
        zone = ZoneInfo(seen.site.time_zone)
        return f"Next: {coming[0].name} at {coming[0].starts.astimezone(zone):%H:%M}."
    return "Nothing more today." if cases else "Free today."


def change_note(
    outlooks: Sequence[Outlook], cases: Sequence[PlannedCase]
) -> tuple[str, tuple[float, float, float] | None]:
    """The words on the lane, and the change-over band where one falls into the day."""
    for outlook in outlooks:
        for answer in (*outlook.change_overs, outlook.lasts_until):
            if answer.unit == CLOCK and answer.value is not None:
                low = answer.value if answer.low is None else answer.low
                high = answer.value if answer.high is None else answer.high
                words = answer.todo or f"change over by {clock_words(low)}"
                return words, (low, answer.value, high)
    for outlook in outlooks:
        if outlook.left_at_end is not None and outlook.left_at_end.value is not None and cases:
            return f"{outlook.left_at_end.number_text} left by today’s plan", None
    return "", None


def _line(seen: _Seen, row: BoardRow, said: _Said) -> SourceLine:
    outlook = said.outlooks.get(row.source.name)
    left = outlook.left if outlook else _sole_contents(row)
    lasts = outlook.lasts if outlook else None
    needed = outlook.needed if outlook else None
    return SourceLine(
        row=row,
        words=_words(row),
        left=left,
        lasts=lasts,
        lasts_words=lasts.covers if lasts else "",
        needed=needed,
        bar=_bar(row, left, needed, seen),
        is_estimate=_is_old(row, seen),
        is_reserve=row.source.reserve_of_id is not None,
        question=said.questions.get(row.source.name, ""),
    )


def _sole_contents(row: BoardRow) -> Answer | None:
    known = [one.kept.contents for one in row.cylinders if one.kept.contents is not None]
    return known[0] if len(known) == 1 else None


def _words(row: BoardRow) -> str:
    """``Alder, 71 bar, 07:52``: the cylinder and what was last read on it."""
    if not row.cylinders:
        return row.source.get_kind_display()
    duty = _on_duty(row)
    names = " and ".join(one.cylinder.name for one in duty[:2])
    if len(duty) > 2:
        names = f"{duty[0].cylinder.name} and {len(duty) - 1} more"
    read = [one.reading for one in duty if one.reading is not None]
    if not read:
        return f"{names}, not read yet"
    latest = max(read, key=lambda one: one.at)
    return f"{names}, {latest.typed}, {day_and_clock(latest.at)}"


def _on_duty(row: BoardRow) -> list[BoardCylinder]:
    """The cylinders that give gas now: the duty bank of a manifold, else all of them."""
    if row.source.kind != "manifold":
        return list(row.cylinders)
    duty = row.source.duty_bank or "A"
    return [one for one in row.cylinders if one.cylinder.bank == duty] or list(row.cylinders)


def _is_old(row: BoardRow, seen: _Seen) -> bool:
    """True when no gauge of the source was read within the hours the site asks for."""
    read = [one.reading.at for one in row.cylinders if one.reading is not None]
    limit = seen.now - timedelta(hours=seen.site.reading_stale_h)
    return bool(read) and max(read) < limit


def _bar(row: BoardRow, left: Answer | None, needed: Answer | None, seen: _Seen) -> Level | None:
    if left is None or (left.value is None and left.low is None) or left.unit != "L":
        return None
    full = max(_full_l(row), left.high or left.value or 0.0, needed.value or 0.0 if needed else 0.0)
    words = f"{row.source.name}: {left.text}"
    if needed is not None and needed.value is not None:
        words += f"; today needs {needed.number_text}, what is kept back included"
    return level_of(
        left,
        full,
        words,
        need=needed.value if needed else None,
        is_estimate=_is_old(row, seen),
    )


def _full_l(row: BoardRow) -> float:
    """[L] How long the bar is: the litres on the labels, or volume times fill; never printed."""
    total = 0.0
    for one in row.cylinders:
        fill_kpa = one.cylinder.fill_gauge_kpa or 13_700.0
        total += one.cylinder.label_l or one.cylinder.water_capacity_l * fill_kpa / 101.325
    return total
