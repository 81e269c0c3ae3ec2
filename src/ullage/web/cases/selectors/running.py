"""Everything that the page of a running case shows at once; levels are read apart from it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from math import inf
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString

from ullage.answers import Answer
from ullage.answers.record.charted import ChartClock, ChartEvent, case_charts, events_numbered
from ullage.answers.record.closing import animals_in
from ullage.answers.record.course import CaseGiven
from ullage.answers.record.fluids import FluidNow, fluids_given, fluids_now
from ullage.answers.record.intervals import Phase
from ullage.answers.record.pace import DueNext, PhaseSpan, began_of, due_of, last_seen, phases_of
from ullage.answers.record.seen import CaseSeen
from ullage.answers.record.site_rules import RecordRules
from ullage.answers.record.standing import RecordStanding, record_standing
from ullage.answers.record.things import EntryText
from ullage.answers.record.warned import Noted, Warned, warnings_now
from ullage.answers.record.watching import (
    ACKNOWLEDGED,
    CaseKnown,
    acknowledged_in,
    phase_of,
    system_of,
    watched_of,
)
from ullage.web.cases.drawing import chart_names, chart_svg
from ullage.web.cases.models import Record
from ullage.web.cases.selectors.given import PlanTimes, case_given, flow_needed, plan_times
from ullage.web.cases.selectors.memory import CaseLines, case_lines
from ullage.web.cases.selectors.oxygen import CaseOxygen, oxygen_of
from ullage.web.cases.selectors.rules import rules_of

__all__ = ["RunningPage", "clock_ends", "running_page"]


@dataclass(frozen=True, kw_only=True)
class RunningPage:
    """One running case at one moment, for one animal of it; parts are worked out when asked for."""

    record: Record
    lines: CaseLines
    now: datetime
    animal: str = ""
    animals: tuple[str, ...] = field(default=())

    @cached_property
    def seen(self) -> CaseSeen:
        """What its lines say."""
        return self.lines.seen(self.animal)

    @cached_property
    def rules(self) -> RecordRules:
        """What its site has set for records."""
        return rules_of(self.record.site)

    @cached_property
    def standing(self) -> RecordStanding:
        """Every entry as it stands, beside what it was."""
        return record_standing(self.lines.lines, self.rules.late_after_min)

    @cached_property
    def began(self) -> datetime | None:
        """When gas was first given."""
        return began_of(self.seen)

    @property
    def running_min(self) -> float | None:
        """[min] since gas was first given."""
        if self.began is None or self.began > self.now:
            return None
        return (self.now - self.began) / timedelta(minutes=1)

    @cached_property
    def plan(self) -> PlanTimes | None:
        """The times of its plan."""
        return plan_times(self.record, self.began)

    @cached_property
    def given(self) -> CaseGiven:
        """What plan, machine and site say of it."""
        return case_given(self.record, self.seen)

    @property
    def system(self) -> str:
        """The breathing system by name; empty where nobody named one."""
        found = system_of(self.seen, self.given.system)
        return found.value if found else ""

    @property
    def in_recovery(self) -> bool:
        """Whether the animal is on its way back."""
        return phase_of(self.seen)[0] is Phase.RECOVERY

    @cached_property
    def phases(self) -> tuple[PhaseSpan, ...]:
        """Its phases with their times."""
        about = {"recovery": self.plan.off_at} if self.plan else {}
        return phases_of(self.seen, self.now, about)

    @cached_property
    def due(self) -> DueNext | None:
        """The next observation, by the rule that is shown."""
        phase, protocol = phase_of(self.seen)[0], self.seen.fact("protocol")
        choice = self.rules.interval(self.record.species, phase, protocol)
        return due_of(self.seen, self.now, choice, group=self.record.is_group)

    @cached_property
    def last(self) -> dict[str, EntryText]:
        """The last entry of each variable."""
        return last_seen(self.seen, self.now)

    @cached_property
    def fluids(self) -> tuple[FluidNow, ...]:
        """Each fluid with what was given of it."""
        return fluids_now(self.seen, self.now)

    @property
    def fluids_given(self) -> Answer:
        """All fluids together."""
        return fluids_given(self.fluids)

    @cached_property
    def oxygen(self) -> CaseOxygen | None:
        """Its source of oxygen."""
        ends = self.plan.ends_at if self.plan else None
        return oxygen_of(self.record, self.seen, self.now, ends)

    @cached_property
    def oxygen_left(self) -> Answer | None:
        """How long the oxygen lasts as it is set."""
        return self.oxygen.now_left if self.oxygen else None

    @property
    def oxygen_ends(self) -> tuple[datetime, datetime, datetime] | None:
        """When the oxygen ends as it is set: early, likely, late."""
        return clock_ends(self.oxygen_left, self.now)

    @cached_property
    def warnings(self) -> tuple[Warned, ...]:
        """What is warned of now, gravest first."""
        left, endless = self.oxygen_left, self.oxygen is not None and self.oxygen.is_endless
        known = CaseKnown(
            system=self.given.system,
            supply_left_min=inf if endless else left.value if left else None,
            supply_read_at=self.oxygen.read_at if self.oxygen else None,
            ends_at=self.plan.ends_at if self.plan else None,
            has_second_source=True if self.oxygen and self.oxygen.second else None,
            second_source_at=self.began,
            flow_needed_l_min=flow_needed(self.record.site, self.seen, self.given.system),
            noted=tuple(self._noted()),
        )
        watched = watched_of(self.seen, self.now, known)
        return warnings_now(watched, acknowledged_in(self.seen))

    def _noted(self) -> Iterator[Noted]:
        """A case that was begun without what its rule asks for."""
        without = self.seen.fact("started_without")
        if without:
            yield Noted(
                warning="check",
                cause="started without",
                says=f"The case was begun with something open. {_as_sentence(without)}",
                todo="Make up for it as soon as no animal is at risk.",
                at=self.record.began_at or self.record.opened_at,
            )

    @cached_property
    def events(self) -> tuple[ChartEvent, ...]:
        """Events, drugs and words with their numbers, the latest first."""
        found = events_numbered(self.standing, self.animal)
        told = (one for one in found if one.standing.entry.what != ACKNOWLEDGED)
        return tuple(sorted(told, key=lambda one: (one.at, one.number), reverse=True))

    @property
    def chart(self) -> tuple[SafeString, SafeString] | None:
        """The last of its charts and the names at its edge; None where nothing was entered."""
        ends = self.plan.ends_at if self.plan else None
        due = self.due.at if self.due else None
        clock = ChartClock(now=self.now, due=due, ends=ends)
        charts = case_charts(self.standing, self.animal, clock)
        if not charts:
            return None
        zone = ZoneInfo(self.record.site.time_zone)
        drawn = chart_svg(charts[-1], zone, self.animal or self.record.name)
        return drawn, chart_names(charts[-1], zone)


#: Further ahead than this a time of the clock says less than how long it is [min].
_FAR_MIN = 12 * 60.0


def clock_ends(answer: Answer | None, now: datetime) -> tuple[datetime, datetime, datetime] | None:
    """An answer in minutes from now as three times of the clock: low, value, high.

    None where nothing tells it, and where it lies so far ahead that its length says more.
    """
    if answer is None or answer.value is None:
        return None
    low, high = (answer.value if end is None else end for end in (answer.low, answer.high))
    if high > _FAR_MIN:
        return None
    return tuple(now + timedelta(minutes=one) for one in (low, answer.value, high))  # type: ignore[return-value]  # three of them


def _as_sentence(words: str) -> str:
    """Words with a capital first and one full stop at their end."""
    return f"{words[:1].upper()}{words[1:].rstrip('. ')}."


def running_page(record: Record, now: datetime, animal: str = "") -> RunningPage:
    """A running case at a moment; a name that is none of its animals takes all of them."""
    lines = case_lines(record)
    animals = animals_in(lines.lines)
    return RunningPage(
        record=record,
        lines=lines,
        now=now,
        animal=animal if animal in animals else "",
        animals=animals,
    )
