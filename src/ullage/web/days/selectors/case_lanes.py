"""Cases put on the lane of their machine, and the same in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from ullage.web.days.lanes import (
    Block,
    Clock,
    Lane,
    block_at,
    clock_for,
    clock_words,
    lane,
    wall_min,
)
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.sites.selectors import Site

__all__ = ["LaneOf", "case_lane", "clock_of"]

_LOOKS = {
    CaseState.PLANNED: "plan",
    CaseState.RUNNING: "run",
    CaseState.DONE: "done",
    CaseState.CANCELLED: "halt",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LaneOf:
    """Whose lane it is: the machine, its day and its cases."""

    name: str
    site: Site
    day: date
    now: datetime
    cases: tuple[PlannedCase, ...]
    is_halted: bool = False

    def span(self, case: PlannedCase) -> tuple[float, float]:
        """From when to when a case stands on the wall clock; one that runs reaches now."""
        return _span(case, self.day, ZoneInfo(self.site.time_zone), self.now)


def _span(case: PlannedCase, day: date, zone: ZoneInfo, now: datetime) -> tuple[float, float]:
    end = max(case.ends, now) if case.state == CaseState.RUNNING else case.ends
    return wall_min(case.starts.astimezone(zone), day), wall_min(end.astimezone(zone), day)


def clock_of(site: Site, day: date, cases: Sequence[PlannedCase], now: datetime) -> Clock:
    """The hours that hold all cases of a day; now is on it only on its own day."""
    zone = ZoneInfo(site.time_zone)
    local = now.astimezone(zone)
    now_min = wall_min(local, day) if local.date() == day else None
    return clock_for([_span(one, day, zone, now) for one in cases], now_min)


def case_lane(
    of: LaneOf,
    clock: Clock,
    *,
    change: tuple[float, float, float] | None = None,
    note: str = "",
) -> Lane:
    """The lane of one machine, and the same in words for who cannot see it."""
    said = "; ".join(_words(of, case) for case in of.cases) or "free today"
    told = f"; {note}" if note else ""
    return lane(
        clock,
        [_block(of, clock, case) for case in of.cases],
        change=change,
        note=note,
        words=f"{of.name}: {said}{told}",
    )


def _words(of: LaneOf, case: PlannedCase) -> str:
    start, end = of.span(case)
    state = case.get_state_display().lower()
    return f"{case.name} {clock_words(start)} to {clock_words(end)}, {state}"


def _block(of: LaneOf, clock: Clock, case: PlannedCase) -> Block:
    span = of.span(case)
    is_blocked = of.is_halted and case.state == CaseState.PLANNED
    look = "halt" if is_blocked else _LOOKS[CaseState(case.state)]
    ran = {"run": clock.now_min, "done": span[1]}.get(look)
    left, width, done = block_at(clock, span, ran)
    return Block(
        name=case.name,
        small="blocked" if is_blocked else case.species,
        look=look,
        x=left,
        width=width,
        done_width=done,
    )
