"""A running case drawn on to its planned end: levels, multiples of MAC, and where it moved.

No verdict is given on depth. Where an animal has moved at a level, it is said whether the range
that is expected comes down to it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ullage.answers.answer import Answer, Step
from ullage.answers.case_planned import today
from ullage.answers.mac_answers import agent_mac
from ullage.answers.running_course import Led, Piece, carried_on
from ullage.answers.running_things import CaseNow, Expected, SetTo
from ullage.answers.words import figure
from ullage.core.checks import positive, within

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["MovedAt", "crosses_min", "levels_to", "mac_now", "moved_at", "multiple_now"]

_LEVELS = ("inspired", "end_tidal", "brain")
#: A level belongs to a movement if it was read within so many minutes of it.
_NEAR_MIN = 5.0
#: Levels are not followed further ahead than a day.
_FAR_MIN = 1440.0


def levels_to(found: CaseNow, off_min: float, end_min: float) -> tuple[Expected, ...]:
    """Levels from now on: as it is set until the agent is turned off, and then to the end.

    Parameters
    ----------
    found : the case at a minute, as `case_now` gives it.
    off_min : [min] of the case at which the agent is to be turned off; not before now.
    end_min : [min] of the case to which it is followed.

    Raises
    ------
    InvalidQuantity : an end more than a day ahead, or none that lies ahead.

    >>> from ullage.answers.running_case import case_now
    >>> from ullage.answers.running_things import CaseSubject, RunningCase
    >>> cat = CaseSubject(species="cat", weight_kg=4.0, agent="isoflurane")
    >>> on = SetTo(at_min=0, dial_fraction=0.02, oxygen_l_min=1.0, system="circle")
    >>> found = case_now(RunningCase(subject=cat, settings=(on,)), 20.0)
    >>> ahead = levels_to(found, 60.0, 75.0)
    >>> ahead[-1].at_min, ahead[-1].end_tidal[1] < ahead[0].end_tidal[1]
    (75.0, True)
    """
    now = found.at_min
    positive("minutes ahead", end_min - now)
    within("minutes ahead", end_min - now, 0.0, _FAR_MIN)
    off = min(max(off_min, now), end_min)
    led, setting = found.now.led, found.now.led.setting
    found_ahead: list[Expected] = []
    if off > now:
        piece = carried_on(led, setting, off - now)
        found_ahead += _expected(found, piece)
        led = _grown(led, setting, piece, off)
    if end_min > off:
        found_ahead += _expected(found, carried_on(led, _turned_off(setting), end_min - off))
    return tuple(found_ahead)


def _grown(led: Led, setting: SetTo, piece: Piece, at_min: float) -> Led:
    """The draws led on to a later minute, without a change of what is set."""
    run = (*led.run, replace(setting, at_min=led.at_min))
    return replace(led, at_min=at_min, run=run, pieces=(*led.pieces, piece))


def _turned_off(setting: SetTo) -> SetTo:
    return replace(
        setting,
        dial_fraction=0.0,
        oxygen_l_min=setting.oxygen_l_min + setting.nitrous_oxide_l_min,
        nitrous_oxide_l_min=0.0,
    )


def _expected(found: CaseNow, piece: Piece) -> Iterator[Expected]:
    bands = [_band(found, piece, name) for name in _LEVELS]
    for at, a, b, c in zip(piece.times_min.tolist(), *bands, strict=True):
        yield Expected(at_min=at, inspired=tuple(a), end_tidal=tuple(b), brain=tuple(c))


def _band(found: CaseNow, piece: Piece, name: str) -> list[list[float]]:
    levels: Floats = getattr(piece, name)
    rows: list[list[float]] = (100.0 * found.now.bands(levels, piece.times_min, name).T).tolist()
    return rows


def mac_now(found: CaseNow) -> Answer:
    """One MAC of this animal today, without what nitrous oxide adds.

    Parameters
    ----------
    found : the case at a minute, as `case_now` gives it.
    """
    planned = found.now.led.planned
    alone = replace(planned.stretches[0], nitrous_oxide_l_min=0.0)
    species = planned.animal.species
    return agent_mac(species, planned.given.agent, today(planned.given, species, alone))


def multiple_now(found: CaseNow, name: str) -> Answer:
    """A level that is expected now as a multiple of MAC; no verdict on depth.

    Parameters
    ----------
    found : the case at a minute, as `case_now` gives it.
    name : ``inspired``, ``end_tidal`` or ``brain``.

    >>> from ullage.answers.running_case import case_now
    >>> from ullage.answers.running_things import CaseSubject, RunningCase
    >>> cat = CaseSubject(species="cat", weight_kg=4.0, agent="isoflurane")
    >>> on = SetTo(at_min=0, dial_fraction=0.0, oxygen_l_min=1.0, system="circle")
    >>> multiple_now(case_now(RunningCase(subject=cat, settings=(on,)), 20.0), "brain").value
    0.0
    """
    level, mac = found.answers[name], mac_now(found)
    one = mac.value or 1.0
    ends = [None if end is None else end / one for end in (level.value, level.low, level.high)]
    return replace(
        level,
        question=f"{level.question.removesuffix('?')}, as a multiple of MAC?",
        value=ends[0],
        low=ends[1],
        high=ends[2],
        unit="× MAC",
        sentence=f"That is {figure(ends[0] or 0.0)} × MAC.",
        steps=(
            Step(what="level", result=level.text),
            Step(what="one MAC of this animal", result=mac.text),
        ),
        where_from=tuple(dict.fromkeys((*level.where_from, *mac.where_from))),
        assumptions=(*level.assumptions, *mac.assumptions),
        cautions=tuple(
            dict.fromkeys(
                (*level.cautions, *mac.cautions, "MAC itself varies between animals: judge by it.")
            )
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedAt:
    """One movement: the minute, the end-tidal level then [%], and whether it was read.

    Where no level was read near it the one that is expected stands.
    """

    at_min: float
    level: float
    is_read: bool


def moved_at(found: CaseNow, minutes: Iterable[float]) -> tuple[MovedAt, ...]:
    """The level at which an animal moved, each time that it did.

    Parameters
    ----------
    found : the case at a minute, as `case_now` gives it.
    minutes : [min] of the case at which movement was entered.
    """
    return tuple(one for at in minutes for one in _moved(found, at))


def _moved(found: CaseNow, at_min: float) -> Iterator[MovedAt]:
    near = [
        one
        for one in found.readings
        if one.kind == "end-tidal" and one.believed and abs(one.at_min - at_min) <= _NEAR_MIN
    ]
    if near:
        last = min(near, key=lambda one: (abs(one.at_min - at_min), one.at_min))
        yield MovedAt(at_min=at_min, level=last.read, is_read=True)
        return
    known = [one for one in found.levels if one.at_min <= min(at_min, found.at_min)]
    if known and at_min <= found.at_min:
        yield MovedAt(at_min=at_min, level=known[-1].end_tidal[1], is_read=False)


def crosses_min(levels: Iterable[Expected], level: float, from_min: float) -> float | None:
    """The minute from which the lower edge of the end-tidal range lies below a level.

    Parameters
    ----------
    levels : as they are expected, in the order of time.
    level : [%] such as one at which the animal moved.
    from_min : [min] of the case; what lies before it is not looked at.

    Returns
    -------
    [min] of the case; None where it does not in the time that was followed.
    """
    return next(
        (one.at_min for one in levels if one.at_min >= from_min and one.end_tidal[0] < level), None
    )
