"""The air of a room over a day, reckoned from the cases planned in it; badges beside it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from ullage.answers import Answer, Escape, WorkRoom, Zone, badge_agrees, task_average
from ullage.answers.exposure_badges import not_reckoned
from ullage.answers.planned_escapes import case_escapes, waste_questions
from ullage.answers.planned_waste import waste_answers
from ullage.core.errors import UllageError
from ullage.web.days.selectors import (
    CaseState,
    DayBounds,
    PlannedCase,
    bounds_of,
    case_input,
    cases_of,
    day_of,
    plan_of,
    said_of,
)
from ullage.web.exposure.selectors import (
    BadgeResult,
    badge_read,
    limits_of,
    setups_of,
    work_room,
)
from ullage.web.sites.selectors import Room, Site

__all__ = ["CaseLine", "GasDay", "RoomDay", "badge_beside", "room_day"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """One case of the day: what escapes of it, or why nothing can be said."""

    case: PlannedCase
    escapes: tuple[Escape, ...] = ()
    why_not: str = ""
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GasDay:
    """One gas in the room: the answers by name, and the limit that the site follows."""

    agent: str
    answers: Mapping[str, Answer]
    limit: str = ""

    @property
    def bare_limit(self) -> Answer:
        """The verdict by the limit, without all the other limits."""
        return replace(self.answers["limit"], views=())


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomDay:
    """A room on a day."""

    room: Room
    air: WorkRoom
    bounds: DayBounds
    cases: tuple[CaseLine, ...]
    gases: tuple[GasDay, ...]

    @property
    def escapes(self) -> tuple[Escape, ...]:
        """Everything that escapes, of every case."""
        return tuple(one for line in self.cases for one in line.escapes)

    @property
    def questions(self) -> tuple[str, ...]:
        """What would make the answers narrower, each once."""
        return tuple(dict.fromkeys(one for line in self.cases for one in line.questions))


def room_day(site: Site, room: Room, day: date) -> RoomDay:
    """What the cases of a day do to the air of a room."""
    bounds = bounds_of(site, day)
    rows = cases_of(site, day).filter(machine__room=room).exclude(state=CaseState.CANCELLED)
    air = work_room(room)
    lines = _lines(site, air, list(rows), bounds)
    escapes = tuple(one for line in lines for one in line.escapes)
    chosen = limits_of(site)
    gases = tuple(
        GasDay(
            agent=gas,
            answers=waste_answers(air, escapes, gas, chosen.get(gas), site.country),
            limit=chosen.get(gas, ""),
        )
        for gas in dict.fromkeys(one.agent for one in escapes)
    )
    return RoomDay(room=room, air=air, bounds=bounds, cases=lines, gases=gases)


def _lines(
    site: Site, air: WorkRoom, rows: list[PlannedCase], bounds: DayBounds
) -> tuple[CaseLine, ...]:
    setups = setups_of(site, {one.machine.pk: one.machine for one in rows}.values())
    found = []
    for row in rows:
        setup = setups[row.machine.pk]
        said = said_of(row, bounds.minute_of(row.starts))
        try:
            plan = plan_of(case_input(site, said))
            escapes = case_escapes(plan, setup)
        except UllageError as refusal:
            found.append(CaseLine(case=row, why_not=str(refusal)))
            continue
        dial = plan.answers.get("dial")
        if not plan.delivered and dial is not None:
            found.append(CaseLine(case=row, why_not=dial.settles))
            continue
        found.append(
            CaseLine(
                case=row,
                escapes=tuple(replace(one, name=f"{row.name}: {one.name}") for one in escapes),
                questions=waste_questions(plan, escapes, air, setup),
            )
        )
    return tuple(found)


def badge_beside(badge: BadgeResult) -> Answer:
    """A badge beside what was reckoned for its room and time."""
    read = badge_read(badge)
    if badge.room is None:
        nothing = not_reckoned(badge.agent, "In which room was the badge worn?")
        return badge_agrees(read, nothing, nothing)
    found = room_day(badge.site, badge.room, day_of(badge.site, badge.worn_from))
    if found.air.question:
        nothing = not_reckoned(badge.agent, found.air.question)
        return badge_agrees(read, nothing, nothing)
    if not any(one.agent == badge.agent for one in found.escapes):
        why = f"No case with {badge.agent} was planned in {badge.room.name} on that day."
        nothing = not_reckoned(badge.agent, why)
        return badge_agrees(read, nothing, nothing)
    worn = (found.bounds.minute_of(badge.worn_from), found.bounds.minute_of(badge.worn_to))
    work, room = (
        task_average(found.air, found.escapes, badge.agent, worn, zone)
        for zone in (Zone.WORK, Zone.ROOM)
    )
    return badge_agrees(read, work, room)
