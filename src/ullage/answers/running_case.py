"""A running case at one minute: levels expected now and ahead, waking, and what was measured.

Nothing here judges depth: what is read only agrees, or does not, with what is expected. A value
that cannot be believed is said and left out; a level that nobody read is never filled in.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Step, WhereFrom
from ullage.answers.case_levels import Threshold, threshold_draws, with_study
from ullage.answers.lines import line_of
from ullage.answers.running_course import Piece, woken_from
from ullage.answers.running_now import Now, now_of
from ullage.answers.running_things import CaseNow, Expected, ReadingFound, RunningCase, SetTo
from ullage.answers.words import figure, minutes_text
from ullage.core.errors import UnknownReference
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats, Foretold, Measured

__all__ = ["case_now", "level_ahead", "waking_answer"]

_WORDS = {
    "inspired": "breathed in",
    "end_tidal": "at the end of a breath",
    "brain": "in the brain",
}
_COVERS = "animals of this species as far as what was read allows, 9 of 10"
_ENGINE = WhereFrom(
    source="uptake_base", how_known="computed", text="Equations of uptake, sections 2.1 to 2.6."
)
_WEIGHED = WhereFrom(
    source="proposal",
    how_known="computed",
    text="Drawn animals weighed by how well they foretell what was read.",
)
_IN_A_ROW = 3
_CHECK = "Check sampling line, dial, flow and system, and whether they are written as they are."


def case_now(case: RunningCase, at_min: float) -> CaseNow:
    """A running case at a minute: levels now and ahead, waking, and each reading judged.

    Parameters
    ----------
    case : what was set and read so far; what lies after the minute is left out.
    at_min : [min] now, from the beginning of the case.

    Raises
    ------
    InvalidQuantity : a number that cannot be.
    RuleBroken : nothing was set by then, a weight to be confirmed, or what else cannot be.
    UnknownReference : a species, agent, system or drug not known.
    SolveFailed : settings at which no course was found.

    >>> from ullage.answers.running_things import LevelRead, SetTo, CaseSubject
    >>> cat = CaseSubject(species="cat", weight_kg=4.0, agent="isoflurane")
    >>> on = SetTo(at_min=0, dial_fraction=0.02, oxygen_l_min=1.0, system="T-piece")
    >>> read = LevelRead(at_min=20, end_tidal_fraction=0.05)
    >>> found = case_now(RunningCase(subject=cat, settings=(on,), readings=(read,)), 20.0)
    >>> [one.believed for one in found.readings]
    [False]
    """
    now = now_of(case, at_min)
    readings = tuple(_found(*one) for one in zip(now.measured, now.narrowed.foretold, strict=True))
    answers = {name: _level_now(now, name) for name in _WORDS}
    for name in ("end_tidal", "brain"):
        answers[f"{name}_ahead"] = level_ahead(now, now.ahead, name)
    answers["waking"] = waking_answer(now, now.led.setting)
    answers["agrees"] = _agrees(now, readings)
    return CaseNow(
        case=case,
        at_min=now.at_min,
        answers=answers,
        levels=_curves(now),
        readings=readings,
        effective_draws=now.narrowed.effective,
        readings_in_full=now.narrowed.power == 1.0,
        now=now,
    )


def _curves(now: Now) -> tuple[Expected, ...]:
    """Levels with their bands from the first setting to the end of what lies ahead."""
    import numpy as np

    times = np.concatenate([now.led.times_min, now.ahead.times_min])
    bands = []
    for name in _WORDS:
        whole = np.concatenate([now.led.whole(name), getattr(now.ahead, name)], axis=1)
        bands.append((100.0 * now.bands(whole, times, name).T).tolist())
    return tuple(
        Expected(at_min=at, inspired=tuple(a), end_tidal=tuple(b), brain=tuple(c))
        for at, a, b, c in zip(times.tolist(), *bands, strict=True)
    )


def _level_now(now: Now, name: str) -> Answer:
    """One level at this minute."""
    import numpy as np

    here = np.array([now.at_min])
    levels = now.led.at(name, here)
    words, agent = _WORDS[name], now.led.draw.subject.agent
    low, middle, high = (100.0 * now.bands(levels, here, name)[:, 0]).tolist()
    return replace(
        _base(now),
        question=f"Which level of {agent} {words} now?",
        value=middle,
        low=low,
        high=high,
        sentence=f"The level {words} is expected at {figure(middle)} % now.",
        steps=(_settings_alone(now, levels), *_counted(now)),
    )


def level_ahead(now: Now, ahead: Piece, name: str) -> Answer:
    """One level at the end of what lies ahead.

    Parameters
    ----------
    now : the case.
    ahead : the draws carried on.
    name : ``inspired``, ``end_tidal`` or ``brain``.
    """
    end, levels = ahead.times_min[-1:], getattr(ahead, name)[:, -1:]
    words, agent = _WORDS[name], now.led.draw.subject.agent
    low, middle, high = (100.0 * now.bands(levels, end, name)[:, 0]).tolist()
    minutes = minutes_text(float(end[0]) - now.at_min)
    return replace(
        _base(now),
        question=f"Which level of {agent} {words} in {minutes}, as it is set?",
        value=middle,
        low=low,
        high=high,
        sentence=f"In {minutes} the level {words} is expected at {figure(middle)} %.",
        steps=(_settings_alone(now, levels), *_counted(now)),
    )


def _base(now: Now) -> Answer:
    """What all answers about levels share."""
    animal, case = now.led.planned.animal, now.led.draw
    return Answer(
        question="Which level?",
        unit="%",
        sentence="It is not known.",
        covers=_COVERS,
        reasons=("Uptake by lung, blood and seven tissues at what was set, since the start.",),
        where_from=(
            _ENGINE,
            *((_WEIGHED,) if now.measured else ()),
            *animal["cardiac_output_l_min"].where_from,
        ),
        assumptions=(*animal.assumptions, *_no_flow(now.led.setting)),
        cautions=tuple(_cautions(now)),
        draws=case.draws,
        seed=case.seed,
    )


def _no_flow(setting: SetTo) -> tuple[str, ...]:
    if setting.flow_l_min > 0.0:
        return ()
    return ("No fresh gas flows as it is written, so that no agent is taken to come either.",)


def _cautions(now: Now) -> Iterator[str]:
    """What makes readings or the forecast doubtful."""
    if (
        now.measured
        and now.led.planned.animal.weight_kg < sourced("kinetics", "narrow.small_kg").value
    ):
        yield "In an animal as small as this, end-tidal values read low: fresh gas is sampled too."
    if now.narrowed.power < 1.0:
        yield "Few of the drawn animals explain what was read, so it counts less than in full."
    last = now.narrowed.foretold[-_IN_A_ROW:]
    if len(last) == _IN_A_ROW and not any(one.believed for one in last):
        yield "The last three values are not explained by what is written: do not rely on this."


def _settings_alone(now: Now, levels: "Floats") -> Step:
    """The same level without what was measured."""
    low, middle, high = (100.0 * now.unread_bands(levels)[:, 0]).tolist()
    return Step(
        what="by the settings alone",
        result=f"{figure(middle)} % ({figure(low)} to {figure(high)} %)",
    )


def _counted(now: Now) -> tuple[Step, ...]:
    """How many values were used, and how many of the draws still count."""
    if not now.measured:
        return ()
    used = sum(one.believed for one in now.narrowed.foretold)
    return (
        Step(what="values read that are used", result=f"{used} of {len(now.measured)}"),
        Step(
            what="drawn animals that still count",
            result=f"{now.narrowed.effective:.0f} of {now.led.draw.draws}",
        ),
    )


def _found(one: "Measured", foretold: "Foretold") -> ReadingFound:
    """One value that was read, judged."""
    agrees = foretold.low_fraction <= one.fraction <= foretold.high_fraction
    low, middle, high = (
        100.0 * level
        for level in (foretold.low_fraction, foretold.middle_fraction, foretold.high_fraction)
    )
    read, at = 100.0 * one.fraction, minutes_text(one.at_min)
    what = f"The {one.kind.value} value at {at}, {figure(read)} %,"
    range_words = f"{figure(low)} to {figure(high)} %"
    if not foretold.believed:
        said = f"{what} cannot be believed beside the {range_words} expected, and is not used."
    elif agrees:
        said = f"{what} agrees with what is expected, {range_words}."
    else:
        said = f"{what} does not agree with what is expected, {range_words}."
    return ReadingFound(
        at_min=one.at_min,
        kind=one.kind.value,
        read=read,
        low=low,
        middle=middle,
        high=high,
        chance=foretold.chance,
        agrees=agrees,
        believed=foretold.believed,
        sentence=said,
    )


def _agrees(now: Now, readings: tuple[ReadingFound, ...]) -> Answer:
    """Whether the last value agrees with what is expected; no verdict on depth."""
    told = replace(
        _base(now),
        question="Does what is measured agree with what is expected?",
        covers="",
        reasons=("Expected by what is set and by the values read before.",),
    )
    if not readings:
        return replace(
            told, sentence="Nothing was measured yet.", settles="Read the end-tidal value."
        )
    last = max(readings, key=lambda one: one.at_min)
    share = 100.0 * last.chance
    chance = "less than 1 in 1000" if share < 0.1 else f"{figure(share)} %"
    return replace(
        told,
        low=last.low,
        high=last.high,
        covers="values an analyser would show, 9 of 10",
        sentence=last.sentence,
        steps=(Step(what="chance of a value as far off", result=chance), *_counted(now)),
        where_from=(*told.where_from, line_of(sourced("kinetics", "narrow.calibration_share"))),
        todo="" if last.agrees else _CHECK,
    )


def waking_answer(now: Now, setting: SetTo) -> Answer:
    """Minutes until it moves again if the agent is off from now on.

    Parameters
    ----------
    now : the case.
    setting : that stands; its dial and nitrous oxide are taken as turned off.
    """
    off_min = _off_since(now, setting)
    when = "the agent is turned off now" if off_min is None else "the agent stays off"
    told = replace(
        _base(now), question=f"How long until it moves again if {when}?", unit="min", covers=""
    )
    if not now.led.given:
        return replace(told, sentence="No agent was given yet.", settles="When is agent given?")
    planned, draw = now.led.planned, now.led.draw
    try:
        threshold = threshold_draws(planned, draw.draws, draw.seed)
    except UnknownReference as error:
        said = "At which level it moves again is not known; no time is invented."
        return replace(told, sentence=str(error), settles=said)
    return with_study(_timed(told, _woken(now, setting, threshold), when), threshold)


def _off_since(now: Now, setting: SetTo) -> float | None:
    """[min] since when the agent is off; None while it is on."""
    if setting.dial_fraction > 0.0 or not now.led.given:
        return None
    return setting.at_min


def _woken(now: Now, setting: SetTo, threshold: Threshold) -> tuple[float, float, float]:
    """[min] low, middle and high of the time until it moves again."""
    from ullage.core.kinetics import falls_to_min

    minutes, effect = woken_from(now.led, setting)
    level = now.in_effect(minutes, effect) / threshold.each[:, None]
    return now.time_band(falls_to_min(minutes, level, 1.0))


def _timed(told: Answer, ends: tuple[float, float, float], when: str) -> Answer:
    """The answer with its time, or that none was found."""
    low, middle, high = ends
    if middle == inf:
        return replace(
            told,
            sentence="It is not expected to move again within four hours.",
            settles="Not within the time that was followed.",
        )
    if middle == 0.0:
        return replace(
            told, value=0.0, sentence="It may move at any moment: at such a level half do."
        )
    few = () if high < inf else ("More than one animal in twenty does not wake in four hours.",)
    return replace(
        told,
        value=middle,
        low=low if high < inf else None,
        high=high if high < inf else None,
        covers="animals of this species, 9 of 10, and the level itself" if high < inf else "",
        sentence=f"It is expected to move again {minutes_text(middle)} from now if {when}.",
        cautions=(*told.cautions, *few),
    )
