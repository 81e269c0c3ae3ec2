"""The Today board: each machine, may it begin, what is left and for how long, and its day."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from ullage.answers import Answer, Verdict
from ullage.answers.words import CLOCK
from ullage.web.days.lanes import Clock, Lane, clock_words
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.answers import DayAnswers, Outlook, day_answers
from ullage.web.days.selectors.board_lines import BoardSaid, BoardSeen, SourceLine, source_line
from ullage.web.days.selectors.board_verdict import STOPPED, may_begin, opening
from ullage.web.days.selectors.case_lanes import LaneOf, case_lane, clock_of
from ullage.web.days.selectors.cases import cases_of
from ullage.web.machines.selectors import Machine, machines_of, readiness_of
from ullage.web.sites.selectors import Site
from ullage.web.supply.selectors import BoardRow, board_rows

__all__ = ["Board", "BoardMachine", "board_of", "change_note"]


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
    ready: Answer

    @property
    def ready_words(self) -> str:
        """Readiness in words with its reason, as much as there is room for.

        Empty where the verdict beside it says the same; the name stands above.
        """
        is_said = self.lead and self.lead in {self.ready.todo, *STOPPED}
        if self.verdict == self.ready.verdict and is_said:
            return ""
        return opening(self.ready.sentence.removeprefix(self.machine.name).strip())

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


def board_of(site: Site, day: date, now: datetime) -> Board:
    """The board of a day, in a number of queries that does not grow with the site."""
    machines = machines_of(site)
    ready = readiness_of(machines, now)
    cases = [one for one in cases_of(site, day) if one.state != CaseState.CANCELLED]
    answers = day_answers(site, day, "board")
    rows = board_rows(site, ("contents", "leak"))
    clock = clock_of(site, day, cases, now)
    by_name = {one.name: one for one in answers.outlooks}
    questions = {one.source: one.question for one in answers.unread}
    chains = _grouped((one.machine, one) for one in answers.chains)
    busy = _grouped((one.machine_id, one) for one in cases)
    feeding = _grouped((fed.pk, row) for row in rows for fed in row.machines)
    return Board(
        day=day,
        now=now,
        clock=clock,
        machines=tuple(
            _machine(
                BoardSeen(one, site, day, now, clock, ready[one.pk]),
                busy.get(one.pk, []),
                feeding.get(one.pk, []),
                BoardSaid(by_name, questions, tuple(chains.get(one.name, ()))),
            )
            for one in machines
        ),
        rows=tuple(rows),
        answers=answers,
        cases=tuple(cases),
    )


def _grouped[K, V](pairs: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    """Things by what they belong to, in their order; once for all machines."""
    found: dict[K, list[V]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return found


def _machine(
    seen: BoardSeen, cases: list[PlannedCase], rows: list[BoardRow], said: BoardSaid
) -> BoardMachine:
    lines = tuple(source_line(seen, row, said) for row in rows)
    outlooks = [said.outlooks[row.source.name] for row in rows if row.source.name in said.outlooks]
    main = [one for one in outlooks if one.is_main]
    verdict, lead, more = may_begin(seen, lines, said, cases)
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
                is_halted=seen.ready.verdict is Verdict.STOP,
            ),
            seen.clock,
            change=change,
            note=note,
        ),
        note=note,
        ready=seen.ready,
    )


def change_note(
    outlooks: Sequence[Outlook], cases: Sequence[PlannedCase]
) -> tuple[str, tuple[float, float, float] | None]:
    """The words on the lane, and the change-over band where one falls into the day."""
    times = (one for outlook in outlooks for one in (*outlook.change_overs, outlook.lasts_until))
    change = next((one for one in times if one.unit == CLOCK and one.value is not None), None)
    if change is not None:
        low, at, high = _band_of(change)
        return change.todo or f"change over by {clock_words(low)}", (low, at, high)
    ends = [one.left_at_end for one in outlooks if one.left_at_end is not None]
    left = next((one for one in ends if one.value is not None), None)
    return (f"{left.number_text} left by today’s plan" if left and cases else ""), None


def _band_of(change: Answer) -> tuple[float, float, float]:
    """Earliest, likeliest, latest; an end that is not known stands on the likeliest."""
    at = change.value or 0.0
    low = at if change.low is None else change.low
    return low, at, at if change.high is None else change.high
