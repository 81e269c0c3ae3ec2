"""Waste gas: the level of agent in a room, and its means over a task and a day."""

from collections.abc import Sequence

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.exposure_air import AirOfDay, Ends, Zone, air_of_day
from ullage.answers.exposure_things import Escape, WorkRoom
from ullage.answers.lines import as_sentence
from ullage.answers.words import clock_text, figure, minutes_text, span
from ullage.core.checks import positive, within
from ullage.reference import stated

__all__ = ["day_average", "highest_mean", "room_level", "task_average"]

_EIGHT_HOURS_MIN = 480.0

_NOT_FULL = (
    "Only what was told escapes here: other machines, open bottles and bad days are not in it."
)
_SCAVENGING_WORKS = (
    "Scavenging is taken to work, and a charcoal canister to hold all agent: a full one lets it "
    "into the room."
)
_BADGE_DECIDES = "A reckoning is no measurement: wear badges, and let a trained person judge."
_STANDS_THERE = "Somebody at the work is taken to stay there the whole day."


def room_level(
    room: WorkRoom, escapes: Sequence[Escape], agent: str, zone: Zone = Zone.WORK
) -> Answer:
    """The highest level of agent in a day.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    zone : at the work, or in the whole room.

    >>> from ullage.answers.exposure_things import chamber_opened
    >>> lab = WorkRoom(room_m3=45.0, air_changes_per_h=12.0, mixing_factor=2.0)
    >>> opened = [chamber_opened("isoflurane", 4.0, 0.03, 500.0)]
    >>> room_level(lab, opened, "isoflurane", Zone.ROOM).unit
    'ppm'
    """
    question = f"How high does {agent} rise {zone.words}?"
    if room.question:
        return _ask(question, room)
    air = air_of_day(room, escapes, agent)
    return _told(air, question, air.peak(zone), f"{agent} {zone.words} rises to", zone)


def highest_mean(
    room: WorkRoom,
    escapes: Sequence[Escape],
    agent: str,
    minutes: int = 15,
    zone: Zone = Zone.WORK,
) -> Answer:
    """The highest mean of some minutes in a row.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    minutes : [min] 15 for short limits, 60 for a sample of an hour.
    zone : at the work, or in the whole room.

    Raises
    ------
    InvalidQuantity : a time that is not 1 to 480 minutes.
    """
    within("minutes", minutes, 1, _EIGHT_HOURS_MIN)
    question = f"What is the highest mean of {agent} over {minutes_text(minutes)} {zone.words}?"
    if room.question:
        return _ask(question, room)
    air = air_of_day(room, escapes, agent)
    said = f"Over {minutes_text(minutes)} the mean of {agent} {zone.words} reaches"
    return _told(air, question, air.highest_mean(zone, minutes), said, zone)


def day_average(
    room: WorkRoom,
    escapes: Sequence[Escape],
    agent: str,
    zone: Zone = Zone.WORK,
    day: tuple[float, float] | None = None,
) -> Answer:
    """The mean over eight hours, as limits for a working day are written.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    zone : at the work, or in the whole room.
    day : [min] when somebody comes and goes; None: from the first escape to an hour after the last.

    Raises
    ------
    InvalidQuantity : a day shorter than an hour or longer than four days.
    """
    question = f"What is the mean of {agent} over eight hours {zone.words}?"
    if room.question:
        return _ask(question, room)
    air = air_of_day(room, escapes, agent, day)
    said = f"Over eight hours the mean of {agent} {zone.words} is"
    return _told(air, question, air.eight_hours(zone), said, zone)


def task_average(
    room: WorkRoom,
    escapes: Sequence[Escape],
    agent: str,
    task: tuple[float, float],
    zone: Zone = Zone.WORK,
) -> Answer:
    """The mean over a task.

    Parameters
    ----------
    room : with its volume and air changes, where they are known.
    escapes : what escapes into it.
    agent : whose level is asked for.
    task : [min] its start and end, after midnight.
    zone : at the work, or in the whole room.

    Raises
    ------
    InvalidQuantity : a task that ends before it starts.
    """
    start, end = task
    positive("minutes of the task", end - start)
    question = (
        f"What is the mean of {agent} from {clock_text(start)} to {clock_text(end)} {zone.words}?"
    )
    if room.question:
        return _ask(question, room)
    usual = air_of_day(room, escapes, agent)
    day = (min(usual.start_min, start), max(usual.end_min, end))
    air = air_of_day(room, escapes, agent, day)
    said = f"From {clock_text(start)} to {clock_text(end)} the mean of {agent} {zone.words} is"
    return _told(air, question, air.average(zone, start, end), said, zone)


def _ask(question: str, room: WorkRoom) -> Answer:
    """No level without the room."""
    return Answer(
        question=question,
        unit="ppm",
        sentence=f"Nothing can be said of the air in {room.name} yet.",
        reasons=("The level is what escapes over the fresh air, and that is not known.",),
        where_from=(
            WhereFrom(
                source="waste_base", how_known="computed", text="Level is vapour over fresh air."
            ),
        ),
        settles=room.question,
        verdict=Verdict.NOT_YET,
        todo="Enter it with the room.",
    )


def _told(air: AirOfDay, question: str, ends: Ends, said: str, zone: Zone) -> Answer:
    """A level with its band; without a middle the answer is the band."""
    told = span(ends.low, ends.high, "ppm")
    number = told if ends.middle is None else f"{figure(ends.middle)} ppm"
    sentence = f"{said} {number}."
    return Answer(
        question=question,
        unit="ppm",
        value=ends.middle,
        low=ends.low,
        high=ends.high,
        covers=_covers(air, zone),
        sentence=as_sentence(sentence),
        reasons=(
            "A room is cleared by its fresh air alone; near the work agent stands higher.",
            stated("waste", "air.not_mixed").text,
        ),
        steps=_steps(air),
        where_from=air.where_from,
        assumptions=(*_assumed(air), *((_STANDS_THERE,) if zone is Zone.WORK else ())),
        cautions=(_BADGE_DECIDES,),
    )


def _covers(air: AirOfDay, zone: Zone) -> str:
    parts = ["what escapes"]
    if air.room.mixing_factor is None:
        parts.append("a mixing factor of 1 to 10, from memory")
    if zone is Zone.WORK:
        parts.append("air that stands still or drifts, from memory")
    return ", ".join(parts)


def _assumed(air: AirOfDay) -> tuple[str, ...]:
    notes = [as_sentence(one.note) for one in air.escapes if one.note]
    return tuple(dict.fromkeys((_NOT_FULL, _SCAVENGING_WORKS, *notes)))


def _steps(air: AirOfDay) -> tuple[Step, ...]:
    room = air.room
    fresh = (room.room_m3 or 0.0) * (room.air_changes_per_h or 0.0) * 1000.0 / 60.0
    found = [Step(what="fresh air", result=f"{figure(fresh)} L/min")]
    for one in air.escapes:
        litres = (
            span(1000.0 * one.low_l, 1000.0 * one.high_l, "mL")
            if one.middle_l is None
            else f"{figure(1000.0 * one.middle_l)} mL"
        )
        long = f" over {minutes_text(one.minutes)}" if one.minutes else ""
        when = f"from {clock_text(one.start_min)}" if one.minutes else clock_text(one.start_min)
        found.append(Step(what=f"{one.name}, {when}", result=f"{litres} of vapour{long}"))
    return tuple(found)
