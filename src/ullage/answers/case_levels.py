"""Levels of a planned case, and when movement is lost and comes back."""

from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.case_course import Course
from ullage.answers.case_stretches import Planned
from ullage.answers.kinetics import band_of_kind
from ullage.answers.mac import mac_of
from ullage.answers.mac_answers import EndPoint, agent_end_point
from ullage.answers.words import figure, minutes_text
from ullage.core.errors import UnknownReference
from ullage.reference import sourced, table

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["Threshold", "level_answers", "threshold_draws", "threshold_fraction", "with_study"]

_WORDS = {
    "inspired": "breathed in",
    "end_tidal": "at the end of a breath",
    "brain": "in the brain",
}
_ENGINE = WhereFrom(
    source="uptake_base", how_known="computed", text="Equations of uptake, sections 2.1 to 2.6."
)


def level_answers(course: Course, seed: int) -> dict[str, Answer]:
    """Levels at the end of the agent, time to reach the target, and times of movement.

    Parameters
    ----------
    course : what the engine found.
    seed : [1] of the draws.
    """
    found = {name: _level(course, name, seed) for name in _WORDS}
    found["start_level"] = _start_level(course, seed)
    if course.planned.given.target_mac is not None:
        found["reach"] = _reach(course, seed)
    try:
        threshold = threshold_draws(course.planned, course.end_tidal.shape[0], seed)
    except UnknownReference as error:
        found["regain"] = _unstudied(course, seed, str(error))
        return found
    found["lose"] = _lose(course, threshold, seed)
    found["regain"] = _regain(course, threshold, seed)
    return found


def _unstudied(course: Course, seed: int, said: str) -> Answer:
    """No time of waking where nobody studied at which level the animal moves again."""
    return replace(
        _base(course, seed),
        question="How long until it moves again after the agent is off?",
        sentence=said,
        settles="At which level it moves again is not known; no time is invented.",
    )


def _level(course: Course, name: str, seed: int) -> Answer:
    low, value, high = getattr(course.levels[-1], name)
    end, words = minutes_text(course.planned.end_min), _WORDS[name]
    agent = course.planned.given.agent
    return Answer(
        question=f"Which level of {agent} {words} when the agent is turned off?",
        value=value,
        unit="%",
        low=low,
        high=high,
        covers="animals of this species, 9 of 10",
        sentence=f"After {end} the level {words} is expected at {figure(value)} %.",
        reasons=("Uptake by lung, blood and seven tissues, with breathing and heart at depth.",),
        where_from=(_ENGINE, *course.planned.animal["cardiac_output_l_min"].where_from),
        assumptions=course.planned.animal.assumptions,
        draws=course.end_tidal.shape[0],
        seed=seed,
    )


def _start_level(course: Course, seed: int) -> Answer:
    """End-tidal level when the first stretch ends: when it is to be reached."""
    low, value, high = course.levels[course.at_end(0)].end_tidal
    end = minutes_text(course.planned.asleep[0].end_min)
    return replace(
        _level(course, "end_tidal", seed),
        question=f"Which end-tidal level of {course.planned.given.agent} after {end}?",
        value=value,
        low=low,
        high=high,
        sentence=f"After {end} the end-tidal level is expected at {figure(value)} %.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """Level at which the animal moves again [1], for each draw, and what it stands on."""

    each: "Floats"
    middle: float
    study: Answer


def _studied(planned: Planned) -> tuple[Answer, float]:
    """The end point of the species, and what moves MAC today over that of the tables."""
    species, agent = planned.animal.species, planned.given.agent
    righting = f"righting.{species}.{agent}" in table("potency")
    study = agent_end_point(species, agent, EndPoint.RIGHTING if righting else EndPoint.AWAKE)
    return study, planned.mac_alone[1] / mac_of(species, agent).mac_fraction


def threshold_fraction(planned: Planned) -> float:
    """[1] level at which the middle animal moves again.

    Parameters
    ----------
    planned : the case.

    Raises
    ------
    UnknownReference : a species and agent that nobody studied.
    """
    study, today = _studied(planned)
    return 0.01 * (study.value or 0.0) * today


def threshold_draws(planned: Planned, count: int, seed: int) -> Threshold:
    """The end point of the species, moved with what moves MAC today, for each draw.

    Parameters
    ----------
    planned : the case.
    count : [1] draws.
    seed : [1] of the draws.

    Raises
    ------
    UnknownReference : a species and agent that nobody studied.
    """
    import numpy as np

    study, today = _studied(planned)
    middle = threshold_fraction(planned)
    low, high = (0.01 * (one or 0.0) * today for one in (study.low, study.high))
    sd = float(np.log(high / max(low, 0.2 * high))) / 3.29
    drawn = np.random.default_rng((seed, 11)).standard_normal(count)
    return Threshold(each=middle * np.exp(sd * drawn), middle=middle, study=study)


def _banded(draws: "Floats") -> tuple[float, float, float]:
    """Low, middle and high of a time, with the model error of times.

    Infinite where too many of the draws never get there; what begins at nothing has no width.
    """
    import numpy as np

    middle = float(np.quantile(draws, 0.5, method="nearest"))
    if middle in {0.0, inf}:
        return float(np.min(draws)), middle, middle
    low, high = band_of_kind("time", middle, np.maximum(draws, 1e-3 * middle))
    return low, middle, high


def _timed(
    question: str, words: tuple[str, str], ends: tuple[float, float, float], told: Answer
) -> Answer:
    """An answer about a time; one that lies beyond what was followed has no number."""

    low, value, high = ends
    if value == inf:
        return replace(
            told,
            question=question,
            unit="min",
            value=None,
            low=None,
            high=None,
            covers="",
            sentence=words[1],
            settles="Not within the time that was followed.",
        )
    bounded = high < inf
    few = (
        ()
        if bounded
        else ("More than one animal in twenty does not reach its level in the time planned.",)
    )
    return replace(
        told,
        question=question,
        unit="min",
        value=value,
        low=low if bounded else None,
        high=high if bounded else None,
        covers="animals of this species, 9 of 10, and the level itself" if bounded else "",
        sentence=words[0],
        cautions=(*told.cautions, *few),
    )


def _base(course: Course, seed: int, **more: tuple[str, ...]) -> Answer:
    return Answer(
        question="When?",
        unit="min",
        sentence="It is not known.",
        settles="",
        reasons=more.get("reasons", ("The level in the brain lags behind that in the breath.",)),
        where_from=(_ENGINE,),
        cautions=more.get("cautions", ()),
        draws=course.end_tidal.shape[0],
        seed=seed,
    )


def _reach(course: Course, seed: int) -> Answer:
    """Minutes until the end-tidal level comes near its target."""
    share = sourced("case", "reached_share")
    planned = course.planned
    target = planned.target_fraction(0) * share.value
    ends = _banded(course.first_min(course.end_tidal, target * course.mac_ratio))
    multiple = figure(planned.given.target_mac or 0.0)
    said = f"{figure(100 * share.value)} % of {multiple} MAC"
    return _timed(
        f"How long until {multiple} MAC is reached?",
        (
            f"{said} is expected after {minutes_text(min(ends[1], 1e6))}.",
            f"{said} is not expected before the agent is turned off.",
        ),
        ends,
        _base(course, seed),
    )


def _lose(course: Course, threshold: Threshold, seed: int) -> Answer:
    ends = _banded(course.first_min(course.effect, threshold.each))
    told = _base(course, seed)
    return _timed(
        "How long until it no longer moves by itself?",
        (
            f"It is expected to lose movement after {minutes_text(min(ends[1], 1e6))}.",
            "It is not expected to lose movement at this dial.",
        ),
        ends,
        with_study(told, threshold),
    )


_LATER = (
    "Against published times to wake the engine was within 15 % in man and dogs, and a third too "
    "early in rats: stay until the animal is up."
)


def _regain(course: Course, threshold: Threshold, seed: int) -> Answer:
    """Minutes after the agent is off."""
    ends = _banded(course.woken_min(threshold.each))
    minutes = minutes_text(min(ends[1], 1e6))
    return _timed(
        "How long until it moves again after the agent is off?",
        (
            f"It is expected to move again {minutes} after the agent is off.",
            "It is not expected to move again within four hours.",
        ),
        ends,
        with_study(_base(course, seed, cautions=(_LATER,)), threshold),
    )


def with_study(told: Answer, threshold: Threshold) -> Answer:
    """An answer about waking with the level that it rests on.

    Parameters
    ----------
    told : the answer.
    threshold : the level, and the study that it comes from.
    """
    step = Step(what="level at which it moves", result=f"{figure(100 * threshold.middle)} %")
    study = threshold.study
    return replace(
        told,
        steps=(step,),
        where_from=(*told.where_from, *study.where_from),
        assumptions=study.assumptions,
        cautions=(*told.cautions, *study.cautions),
    )
