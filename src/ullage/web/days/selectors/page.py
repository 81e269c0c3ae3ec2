"""The page of a day, and the same on paper."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from ullage.answers import Answer, Verdict
from ullage.answers.weights import weight_text
from ullage.answers.words import figure, minutes_text
from ullage.web.days.lanes import Clock, Lane
from ullage.web.days.models import CaseState, PlannedCase
from ullage.web.days.selectors.answers import DayAnswers, Outlook, day_answers
from ullage.web.days.selectors.board import change_note
from ullage.web.days.selectors.board_verdict import opening
from ullage.web.days.selectors.case_lanes import LaneOf, case_lane, clock_of
from ullage.web.days.selectors.cases import cases_of, day_of
from ullage.web.days.selectors.fit import Unfit, unfit_of
from ullage.web.machines.selectors import Machine, machines_of, readiness_of
from ullage.web.sites.selectors import Site

__all__ = ["MachineLane", "PlanPage", "plan_page", "print_data"]

_GASES = (
    ("oxygen_l_min", "oxygen"),
    ("air_l_min", "air"),
    ("nitrous_oxide_l_min", "nitrous oxide"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineLane:
    """A machine that has cases on a day, and its lane."""

    name: str
    where: str
    lane: Lane
    ready: Answer

    @property
    def ready_words(self) -> str:
        """Readiness in words, as much as there is room for; the name stands before it."""
        return opening(self.ready.sentence.removeprefix(self.name).strip())


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """Everything the page of a day shows."""

    today: date
    cases: tuple[PlannedCase, ...]
    machines: tuple[Machine, ...]
    clock: Clock
    lanes: tuple[MachineLane, ...]
    answers: DayAnswers
    #: By planned case: what speaks against its machine, and which may be taken instead.
    unfit: Mapping[int, Unfit]

    @property
    def rows(self) -> list[tuple[PlannedCase, Unfit | None]]:
        """Every case with what speaks against its machine."""
        return [(one, self.unfit.get(one.pk)) for one in self.cases]

    @property
    def count(self) -> int:
        """How many cases take place."""
        return sum(1 for one in self.cases if one.state != CaseState.CANCELLED)

    @property
    def next(self) -> str:
        """The one thing to do next."""
        stopped = (one for one in self.unfit.values() if one.answer.verdict is Verdict.STOP)
        unfit = next(stopped, None)
        if unfit is not None:
            case = next(one for one in self.cases if self.unfit.get(one.pk) is unfit)
            return f"{case.machine} may not be used: settle {case}. {unfit.offer}"
        if self.answers.todo:
            first = self.answers.todo[0]
            return first.todo or first.sentence
        if self.answers.unread:
            return self.answers.unread[0].question
        return "Nothing waits" if self.count else "Add the first case"


def plan_page(site: Site, day: date, now: datetime) -> PlanPage:
    """The cases of a day on their lanes, and the answers that are kept for it."""
    cases = list(cases_of(site, day))
    taking_place = [one for one in cases if one.state != CaseState.CANCELLED]
    answers = day_answers(site, day)
    clock = clock_of(site, day, taking_place, now)
    machines = machines_of(site)
    ready = readiness_of(machines, now)
    busy = [one for one in machines if any(case.machine_id == one.pk for case in taking_place)]
    return PlanPage(
        today=day_of(site, now),
        cases=tuple(cases),
        machines=tuple(machines),
        clock=clock,
        lanes=tuple(
            _lane(
                LaneOf(
                    name=one.name,
                    site=site,
                    day=day,
                    now=now,
                    cases=tuple(case for case in taking_place if case.machine_id == one.pk),
                    is_halted=ready[one.pk].verdict is Verdict.STOP,
                ),
                one,
                clock,
                answers,
                ready[one.pk],
            )
            for one in busy
        ),
        answers=answers,
        unfit=unfit_of(machines, ready, taking_place),
    )


def _lane(
    of: LaneOf, machine: Machine, clock: Clock, answers: DayAnswers, ready: Answer
) -> MachineLane:
    feeding = [one for one in answers.outlooks if machine.name in one.feeds and one.is_main]
    note, change = change_note(feeding, of.cases)
    return MachineLane(
        name=machine.name,
        where=machine.room.name if machine.room else "",
        lane=case_lane(of, clock, change=change, note=note),
        ready=ready,
    )


def print_data(site: Site, day: date, now: datetime) -> dict[str, Any]:
    """What the printed day plan holds; its shape is that of `shared.print`."""
    page = plan_page(site, day, now)
    zone = ZoneInfo(site.time_zone)
    worked = page.answers.worked_out_at
    return {
        "title": "Day plan",
        "site": site.name,
        "date": f"{day:%A} {day.day} {day:%B %Y}",
        "worked_out": f"{worked.astimezone(zone):%H:%M}" if worked else "not yet",
        "paper": "us-letter" if site.country == "US" else "a4",
        "note": "Invented demo data." if site.is_demo else "",
        "cases": [
            _case_row(one, zone, unfit)
            for one, unfit in page.rows
            if one.state != CaseState.CANCELLED
        ],
        "sources": [_source_row(one) for one in (*page.answers.pressing, *page.answers.settled)],
        "day": list(page.answers.unfed),
    }


def _case_row(case: PlannedCase, zone: ZoneInfo, unfit: Unfit | None) -> dict[str, str]:
    times = f"{case.starts.astimezone(zone):%H:%M} to {case.ends.astimezone(zone):%H:%M}"
    weight = weight_text(case.weight_kg) if case.weight_kg else "weight not given"
    told = [one for one in (case.species, weight, case.system) if one]
    told += [_flows(phase) for phase in case.phases]
    if unfit is not None:
        told.append(unfit.words)
    return {
        "time": times,
        "name": case.name,
        "machine": case.machine.name,
        "words": "; ".join(told),
    }


def _flows(phase: dict[str, Any]) -> str:
    flows = [f"{words} {figure(phase[key])}" for key, words in _GASES if phase.get(key)]
    told = f" {', '.join(flows)} L/min" if flows else " no gas"
    return f"{phase['name'].lower()} {minutes_text(phase['minutes'])}{told}"


def _source_row(outlook: Outlook) -> dict[str, Any]:
    gas = outlook.gas
    feeds = f" for {' and '.join(outlook.feeds)}" if outlook.feeds else ""
    chances = [one.answer for one in outlook.chances]
    return {
        "name": outlook.name,
        "words": f"{gas.capitalize()}{feeds}",
        "answers": [outlook.lasts_until, *outlook.others, *chances],
    }
