"""Waste gas: what a badge says, and whether it agrees with what was reckoned."""

from collections.abc import Mapping
from dataclasses import dataclass

from ullage.answers.answer import Answer, Step, Verdict, WhereFrom
from ullage.answers.exposure_judged import measured
from ullage.answers.words import figure, minutes_text, span
from ullage.core.checks import not_negative, within
from ullage.core.errors import InvalidQuantity, UnreadableQuantity
from ullage.core.exposure import badge_from_task_ppm, task_from_badge_ppm, vapour_ppm
from ullage.core.units import kelvin
from ullage.reference import sourced
from ullage.reference.exposure_limits import LimitKind

__all__ = [
    "BadgeRead",
    "badge",
    "badge_agrees",
    "badge_level_ppm",
    "badge_measures",
    "not_reckoned",
]

_EIGHT_HOURS_MIN = 480.0

#: A sample no longer than this speaks of a ceiling, or of a mean of 15 minutes.
_LONGEST_CEILING_MIN, _LONGEST_SHORT_MIN = 60.0, 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BadgeRead:
    """What a laboratory reports of a badge: mean [ppm] over the time it was worn."""

    agent: str
    level_ppm: float
    worn_min: float
    task_min: float | None = None

    def __post_init__(self) -> None:
        not_negative("level_ppm", self.level_ppm)
        within("worn_min", self.worn_min, 1.0, 2880.0)
        if self.task_min is not None and not 0.0 < self.task_min <= self.worn_min:
            allowed = f"above 0 and at most the {self.worn_min:g} min of the badge"
            raise InvalidQuantity("task_min", self.task_min, allowed)

    @property
    def eight_hours_ppm(self) -> float:
        """[ppm] mean of eight hours, the rest of the day clean."""
        long = max(self.worn_min, _EIGHT_HOURS_MIN)
        found = badge_from_task_ppm(self.level_ppm, long, self.worn_min)
        return found * long / _EIGHT_HOURS_MIN

    @property
    def task_ppm(self) -> float | None:
        """[ppm] mean of the task, the rest of the time worn clean."""
        if self.task_min is None:
            return None
        return task_from_badge_ppm(self.level_ppm, self.worn_min, self.task_min)


def badge(read: BadgeRead) -> Answer:
    """What a badge says of eight hours and of the task.

    >>> badge(BadgeRead(agent="isoflurane", level_ppm=2.0, worn_min=480.0, task_min=45.0)).steps[1]
    Step(what='mean of the task', result='21.3 ppm', note='')
    """
    task = read.task_ppm
    steps = [Step(what=f"badge over {minutes_text(read.worn_min)}", result=_ppm(read.level_ppm))]
    if task is not None:
        steps.append(Step(what="mean of the task", result=_ppm(task)))
    said = "" if task is None else f", {_ppm(task)} during the task"
    return Answer(
        question=f"What does the badge say of {read.agent}?",
        value=read.eight_hours_ppm,
        unit="ppm",
        sentence=f"The badge comes to {_ppm(read.eight_hours_ppm)} over eight hours{said}.",
        reasons=("A badge gives a mean; short peaks hide in it.",),
        steps=tuple(steps),
        where_from=(
            WhereFrom(
                source="entered", how_known="site", text="Result of the laboratory, entered."
            ),
            WhereFrom(source="waste_base", how_known="computed", text="Dose over time, both ways."),
        ),
        assumptions=("The time outside the badge, and outside the task, is taken as clean.",),
    )


def _ppm(level: float) -> str:
    return f"{figure(level)} ppm"


def badge_agrees(read: BadgeRead, work: Answer, room: Answer) -> Answer:
    """Whether a badge fits what was reckoned for the time that it was worn.

    Parameters
    ----------
    read : of the laboratory.
    work : mean at the work over the same time.
    room : mean in the room over the same time.
    """
    question = f"Does the badge agree with what was reckoned of {read.agent}?"
    reasons = ("A badge at the collar lies between the air of the room and that at the work.",)
    where = (
        WhereFrom(source="entered", how_known="site", text="Result of the laboratory, entered."),
    )
    if work.high is None or room.low is None:
        return Answer(
            question=question,
            value=read.level_ppm,
            unit="ppm",
            sentence=f"The badge read {_ppm(read.level_ppm)}; there is nothing to compare it with.",
            reasons=reasons,
            where_from=where,
            settles=work.settles or room.settles,
            verdict=Verdict.NOT_YET,
            todo=work.todo,
        )
    low, high = room.low, work.high
    agrees = low <= read.level_ppm <= high
    said = "agrees" if agrees else "does not agree"
    more = read.level_ppm > high
    todo = "Look for what escapes besides." if more else "Look whether all went as planned."
    return Answer(
        question=question,
        value=read.level_ppm,
        unit="ppm",
        sentence=f"The badge read {_ppm(read.level_ppm)} and {said} with the "
        f"{span(low, high, 'ppm')} that were reckoned.",
        reasons=reasons,
        steps=(
            Step(what="reckoned in the room", result=room.text),
            Step(what="reckoned at the work", result=work.text),
        ),
        where_from=tuple(dict.fromkeys((*where, *work.where_from))),
        assumptions=work.assumptions,
        verdict=Verdict.FINE if agrees else Verdict.LOOK_AGAIN,
        todo="" if agrees else todo,
    )


def badge_level_ppm(level: float, unit: str, agent: str, celsius_degrees: float) -> float:
    """What a laboratory reports, in parts per million.

    Parameters
    ----------
    level : [1] as reported.
    unit : ``ppm`` or ``mg/m³``.
    agent : on the badge.
    celsius_degrees : [°C] at which the laboratory counts, 20 or 25.

    Raises
    ------
    InvalidQuantity : a level below 0.
    UnreadableQuantity : another unit.
    UnknownReference : an agent not known, in either unit.

    >>> round(badge_level_ppm(383.0, "mg/m³", "isoflurane", 20.0))
    50
    """
    mass = sourced("agents", f"{agent}.molar_mass_g_mol").value
    if unit == "ppm":
        return not_negative("level", level)
    if unit != "mg/m³":
        raise UnreadableQuantity(f"{unit!r} is not a unit of a badge; write ppm or mg/m³.")
    return vapour_ppm(level, mass, kelvin(celsius_degrees))


def badge_measures(read: BadgeRead) -> Mapping[LimitKind, Answer]:
    """What a badge says to each kind of limit; what it cannot say is left out.

    >>> sorted(badge_measures(BadgeRead(agent="isoflurane", level_ppm=2.0, worn_min=45.0)))
    [<LimitKind.CEILING: 'ceiling'>, <LimitKind.DAY: 'day'>]
    """
    day = f"Badge of {minutes_text(read.worn_min)}, the rest of eight hours clean."
    found = {LimitKind.DAY: measured(LimitKind.DAY, read.eight_hours_ppm, day)}
    worn = f"Badge of {minutes_text(read.worn_min)}."
    if read.worn_min <= _LONGEST_CEILING_MIN:
        found[LimitKind.CEILING] = measured(LimitKind.CEILING, read.level_ppm, worn)
    if read.worn_min <= _LONGEST_SHORT_MIN:
        found[LimitKind.SHORT] = measured(LimitKind.SHORT, read.level_ppm, worn)
    if read.task_ppm is not None:
        task = f"Badge of {minutes_text(read.worn_min)}, all of it met in the task."
        found[LimitKind.TASK] = measured(LimitKind.TASK, read.task_ppm, task)
    return found


def not_reckoned(agent: str, why: str) -> Answer:
    """A mean that nobody can reckon, with the reason as what would settle it.

    >>> not_reckoned("isoflurane", "No case was planned then.").settles
    'No case was planned then.'
    """
    return Answer(
        question=f"What was reckoned of {agent}?",
        unit="ppm",
        sentence="Nothing was reckoned for that time.",
        reasons=("Levels are reckoned from the cases that were planned in the room.",),
        where_from=(
            WhereFrom(source="waste_base", how_known="computed", text="Balance of the room."),
        ),
        settles=why,
        verdict=Verdict.NOT_YET,
    )
