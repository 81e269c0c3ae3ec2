"""The course of a planned case: dials that reach and hold a level, and an ensemble around it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log
from typing import TYPE_CHECKING

from ullage.answers.breathing import FlowPhase
from ullage.answers.case_engine import NITROUS_OXIDE, Engine, Stage
from ullage.answers.case_oxygen import inspired_oxygen, oxygen_band
from ullage.answers.case_stretches import LOOK_MIN, Planned
from ullage.answers.case_things import Level, Stretch
from ullage.answers.kinetics import bands_of_levels

if TYPE_CHECKING:
    from ullage.core.kinetics import Accuracy, Floats

__all__ = ["Course", "course_of", "for_many", "middle_course", "middle_levels"]

_ENDS = 1.645


@dataclass(frozen=True, kw_only=True)
class Course:
    """What the engine found: delivered fractions, times, and the levels of every draw.

    Levels are fractions of one atmosphere, shape (n, t). ``effect`` and ``waking_effect`` count
    nitrous oxide as the agent of as many MAC. ``oxygen`` is breathed in, ``nitrous`` end-tidal;
    ``last`` is the state of the engine when the agent is turned off.
    """

    planned: Planned
    delivered: tuple[float, ...]
    times_min: "Floats"
    inspired: "Floats"
    end_tidal: "Floats"
    brain: "Floats"
    effect: "Floats"
    waking_min: "Floats"
    waking_effect: "Floats"
    mac_ratio: "Floats"
    oxygen: "Floats"
    last: "Floats"
    engine: Engine
    nitrous: "Floats | None" = None

    @cached_property
    def levels(self) -> tuple[Level, ...]:
        """Low, middle and high of each level, in per cent, to the end of the agent."""
        import numpy as np

        most = max(self.delivered)  # no level rises above what is delivered
        bands = [
            100.0 * np.minimum(bands_of_levels(one), most).T
            for one in (self.inspired, self.end_tidal, self.brain)
        ]
        oxygen = 100.0 * oxygen_band(self.oxygen).T
        nitrous: list[Floats | None] = [None] * self.times_min.size
        if self.nitrous is not None:
            share = max(one.nitrous_fraction for one in self.planned.asleep)
            nitrous = list(100.0 * np.minimum(bands_of_levels(self.nitrous), share).T)
        return tuple(
            Level(
                at_min=float(at),
                inspired=_three(a),
                end_tidal=_three(b),
                brain=_three(c),
                inspired_oxygen=_three(d),
                nitrous_oxide=None if e is None else _three(e),
            )
            for at, a, b, c, d, e in zip(self.times_min, *bands, oxygen, nitrous, strict=True)
        )

    def at_end(self, number: int) -> int:
        """The index of the time at which a stretch ends."""
        import numpy as np

        end = self.planned.asleep[number].end_min
        return int(np.searchsorted(self.times_min, end - 1e-9))

    def first_min(self, level: "Floats", above: "Floats") -> "Floats":
        """[min] when each draw first reaches its level; infinite where it never does."""
        return _crossing(self.times_min, level - above[:, None])

    def woken_min(self, threshold: "Floats") -> "Floats":
        """[min] after the agent is off at which each draw falls below its threshold."""
        return _crossing(self.waking_min, threshold[:, None] - self.waking_effect)


def _three(row: "Floats") -> tuple[float, float, float]:
    return float(row[0]), float(row[1]), float(row[2])


def _crossing(times_min: "Floats", above: "Floats") -> "Floats":
    """First time at which rows rise above zero, between two points along a straight line."""
    import numpy as np

    past = above >= 0.0
    first = past.argmax(axis=1)
    rows = np.arange(above.shape[0])
    before = np.maximum(first - 1, 0)
    low, high = above[rows, before], above[rows, first]
    step = np.where(high > low, -low / np.where(high > low, high - low, 1.0), 0.0)
    found = times_min[before] + np.clip(step, 0.0, 1.0) * (times_min[first] - times_min[before])
    found = np.where(first == 0, times_min[0], found)
    reached: Floats = np.where(past.any(axis=1), found, np.inf)
    return reached


def _end_tidal(engine: Engine, states: "Floats", gas: int = 0) -> "Floats":
    """End-tidal level of a gas from inspired and alveolar ones; shape (n, t)."""
    from ullage.core.kinetics import FA, FI

    body, _ = engine.parts
    dead = body.dead_alveolar_fraction[:, None]
    found: Floats = (1.0 - dead) * states[:, :, gas, FA] + dead * states[:, :, gas, FI]
    return found


def _effect(engine: Engine, states: "Floats") -> "Floats":
    """Level at the place of the effect; nitrous oxide as the agent of as many MAC, (n, t)."""
    from ullage.core.kinetics import EFFECT

    found: Floats = states[:, :, 0, EFFECT]
    if engine.planned.nitrous:
        macs = list(engine.mac_fractions.values())
        number = engine.names.index(NITROUS_OXIDE)
        found = found + states[:, :, number, EFFECT] * macs[0] / macs[1]
    return found


class _Middle:
    """The middle animal, led through the stretches one after the other."""

    def __init__(self, planned: Planned) -> None:
        self.engine = Engine(planned, 0, 0)
        self.planned = planned
        self.state: Floats | None = None
        self.before: Stage | None = None
        self.last: tuple[Stage, Floats] | None = None

    def reached(self, stretch: Stretch, fraction: float) -> float:
        """[1] end-tidal level at the end of a stretch; the state there is kept."""
        import numpy as np

        stage = self.engine.stage(stretch)
        start = self.state
        start = None if start is None else self.engine.moved(start, self.before, stage)
        times = np.array([stretch.end_min])
        states = self.engine.course([(stretch, fraction)], times, start, _for_one(self.planned))
        self.last = stage, states[:, 0]
        return float(_end_tidal(self.engine, states)[0, 0])

    def fraction_for(self, stretch: Stretch, target: float, guess: float) -> float:
        """[1] delivered fraction that ends at the target, or the most that there is.

        Secant steps from a guess; the state at the end of the last one is kept.
        """
        most = self.planned.most_fraction
        before, tried = (0.0, 0.0), min(most, max(guess, target))
        for step in range(_MOST_STEPS):
            level = self.reached(stretch, tried)
            at_end = (tried >= most and level < target) or (tried <= 0.0 and level > target)
            if at_end or abs(level - target) < _CLOSE * target:
                break
            slope = (level - before[1]) / (tried - before[0]) if step else level / tried
            before = (tried, level)
            tried = min(max(tried + (target - level) / slope, 0.0), most)
        return tried

    def go_on(self) -> None:
        """Take the state at the end of the last stretch as the start of the next."""
        if self.last is not None:
            self.before, self.state = self.last


def _for_one(planned: Planned) -> "Accuracy":
    """How fine the middle animal is led: to 1e-4 of one atmosphere, its agent more finely."""
    from ullage.core.kinetics import Accuracy

    if planned.balanced:
        return for_many(balanced=True)
    return Accuracy(shortest_min=0.1, rough=1e-4, tolerance=2e-5)


def for_many(*, balanced: bool = False) -> "Accuracy":
    """How fine an ensemble is led: to 1e-5 of one atmosphere, with nitrous oxide to 1e-3 of it.

    Parameters
    ----------
    balanced : True with the volumes of all gases; the agent itself is then found to 3e-5.
    """
    from ullage.core.kinetics import Accuracy

    if not balanced:
        return Accuracy(shortest_min=0.2, rough=1e-4, tolerance=5e-5, at_once=400)
    return Accuracy(
        first_min=0.6, growth=6.0, shortest_min=0.3, rough=1e-3, tolerance=2e-4, at_once=800
    )


#: A level within this share of its target is hit.
_CLOSE = 0.005
_MOST_STEPS = 8


def _solved(planned: Planned) -> tuple[float, ...]:
    """Delivered fraction of each stretch that brings the middle animal to its level at the end."""
    middle = _Middle(planned)
    found: list[float] = []
    for number, stretch in enumerate(planned.asleep):
        target = planned.target_fraction(number)
        guess = found[-1] if found else 1.6 * target
        found.append(middle.fraction_for(stretch, target, guess))
        middle.go_on()
    return tuple(found)


def course_of(planned: Planned, fixed_fraction: float | None, draws: int, seed: int) -> Course:
    """The course of a case with an ensemble of animals around the middle one.

    Parameters
    ----------
    planned : the case.
    fixed_fraction : [1] delivered all the time; None finds what the level asks for.
    draws : [1] animals drawn.
    seed : [1] of the draws.
    """
    fixed = None if fixed_fraction is None else (fixed_fraction,) * len(planned.asleep)
    delivered = _solved(planned) if fixed is None else fixed
    ratio = _mac_ratio(planned, draws, seed)
    many = for_many(balanced=planned.balanced)
    return _led(Engine(planned, draws, seed), delivered, ratio, many)


def middle_course(planned: Planned, delivered: Sequence[float]) -> Course:
    """The course of the middle animal at the fractions delivered in each stretch.

    Parameters
    ----------
    planned : the case.
    delivered : [1] in each stretch in which agent is given.
    """
    import numpy as np

    return _led(Engine(planned, 0, 0), tuple(delivered), np.ones(1), _for_one(planned))


def middle_levels(planned: Planned, delivered: Sequence[float]) -> tuple[float, float]:
    """[1] end-tidal level of the middle animal after the first stretch with nitrous oxide.

    With it, and with nitrogen in its place; nitrous oxide deepens nothing in either, so that what
    differs is what its volume does.

    Parameters
    ----------
    planned : a case in which nitrous oxide is given beside the agent.
    delivered : [1] agent in each stretch.
    """
    import numpy as np

    last = next(number for number, one in enumerate(planned.asleep) if one.nitrous_oxide_l_min)
    led = list(zip(planned.asleep, delivered, strict=True))[: last + 1]
    at_end = np.array([led[-1][0].end_min])
    found = []
    for inert in (False, True):
        engine = Engine(planned, 0, 0)
        engine.inert = inert
        engine.mac_fractions = {planned.given.agent: planned.mac_alone[1]}
        states = engine.course(led, at_end, accuracy=_for_one(planned))
        found.append(float(_end_tidal(engine, states)[0, 0]))
    return found[0], found[1]


def _led(
    engine: Engine,
    delivered: tuple[float, ...],
    mac_ratio: "Floats",
    accuracy: "Accuracy | None" = None,
) -> Course:
    """Lead an engine through a case and through waking."""
    from ullage.core.kinetics import FI, TISSUE

    planned, times = engine.planned, _times(engine.planned)
    led = list(zip(planned.asleep, delivered, strict=True))
    states = engine.course(led, times, accuracy=accuracy)
    woken, off_min = _woken(engine, states[:, -1])
    nitrous = _end_tidal(engine, states, 1) if planned.nitrous else None
    if engine.balance:
        oxygen = 1.0 - states[..., FI].sum(axis=2)
    else:
        oxygen = inspired_oxygen(engine, led, times, accuracy)
    return Course(
        planned=planned,
        delivered=delivered,
        times_min=times,
        inspired=states[:, :, 0, FI],
        end_tidal=_end_tidal(engine, states),
        brain=states[:, :, 0, TISSUE.start],
        effect=_effect(engine, states),
        waking_min=off_min,
        waking_effect=woken,
        mac_ratio=mac_ratio,
        oxygen=oxygen,
        last=states[:, -1],
        engine=engine,
        nitrous=nitrous,
    )


def _times(planned: Planned) -> "Floats":
    """Every minute, finer at the beginning, and the end of each stretch."""
    import numpy as np

    end = planned.end_min
    step = max(1.0, end / 150.0)
    fine = np.concatenate([np.arange(0.0, min(3.0, end), 0.25), np.arange(3.0, end, step)])
    ends = [one.end_min for one in planned.asleep]
    found: Floats = np.unique(np.round(np.concatenate([fine[fine < end], ends]), 9))
    return found


def _woken(engine: Engine, start: "Floats") -> "tuple[Floats, Floats]":
    """Level at the place of the effect after the agent is off, and the minutes since.

    The volume balance is left out while waking: it moves the times by less than one in fifty.
    """
    import numpy as np

    planned = engine.planned
    first = next(one for one in planned.stretches if one.phase is FlowPhase.WAKING)
    first = replace(first, start_min=0.0, minutes=LOOK_MIN)
    off_min = np.concatenate(
        [np.arange(0.0, 5.0, 0.25), np.arange(5.0, 30.0, 1.0), np.arange(30.0, LOOK_MIN + 1, 5.0)]
    )
    start = engine.moved(start, engine.stage(planned.asleep[-1]), engine.stage(first))
    light = engine.unbalanced
    many = for_many(balanced=planned.balanced)
    states = light.course([(first, 0.0)], off_min, start[:, : len(light.names)], many)
    return _effect(light, states), off_min


def _mac_ratio(planned: Planned, draws: int, seed: int) -> "Floats":
    """MAC of each draw over the MAC of the middle one, log-normal over its band."""
    import numpy as np

    low, _, high = planned.mac_alone
    sd = log(high / low) / (2.0 * _ENDS)
    drawn: Floats = np.exp(sd * np.random.default_rng((seed, 7)).standard_normal(draws))
    return drawn
