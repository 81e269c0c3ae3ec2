"""The course of a planned case: dials that reach and hold a level, and an ensemble around it."""

from dataclasses import dataclass, replace
from itertools import pairwise
from math import log
from typing import TYPE_CHECKING

from ullage.answers.animal_things import Animal
from ullage.answers.breathing import BreathingSystem, FlowPhase
from ullage.answers.breathing_parts import system_volume
from ullage.answers.case_things import CaseInput, Level, Stretch
from ullage.answers.kinetics import (
    Draws,
    Mode,
    bands_of_levels,
    body_in_lung_litres,
    feedback_for,
    gas_in_lung_litres,
    litres_of,
    model_for,
    room_system,
)
from ullage.answers.mac import mac_of
from ullage.core.units import STANDARD_ATMOSPHERE_KPA
from ullage.reference import sourced

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats, Model, Setting, System

__all__ = ["Course", "Planned", "course_of", "stretches_of"]

_N2O = "nitrous oxide"
_ENDS = 1.645
_WAKING_WORDS = ("wak", "recover")

#: How long after the end waking is followed, and how finely [min].
_LOOK_MIN = 240.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A case with its animal, system and stretches, and one MAC for each stretch [1].

    ``mac_alone`` is the MAC without nitrous oxide, which the engine adds by itself.
    """

    given: CaseInput
    animal: Animal
    system: BreathingSystem
    stretches: tuple[Stretch, ...]
    macs: tuple[tuple[float, float, float], ...]
    mac_alone: tuple[float, float, float]
    most_fraction: float

    @property
    def asleep(self) -> tuple[Stretch, ...]:
        """The stretches in which agent is given."""
        return tuple(one for one in self.stretches if one.phase is not FlowPhase.WAKING)

    @property
    def end_min(self) -> float:
        """[min] at which the agent is turned off."""
        return self.asleep[-1].end_min

    def target_fraction(self, number: int) -> float:
        """[1] end-tidal level that the site aims at in a stretch."""
        return (self.given.target_mac or 0.0) * self.macs[number][1]

    @property
    def ventilated(self) -> bool:
        """True where a machine breathes."""
        return self.given.case.ventilation is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What the engine found: delivered fractions, times, and the levels of every draw."""

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

    @property
    def levels(self) -> tuple[Level, ...]:
        """Low, middle and high of each level, in per cent, to the end of the agent."""
        import numpy as np

        most = max(self.delivered)  # no level rises above what is delivered
        bands = [
            100.0 * np.minimum(bands_of_levels(one), most).T
            for one in (self.inspired, self.end_tidal, self.brain)
        ]
        return tuple(
            Level(at_min=float(at), inspired=_three(a), end_tidal=_three(b), brain=_three(c))
            for at, a, b, c in zip(self.times_min, *bands, strict=True)
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


def stretches_of(given: CaseInput, flows_l_min: dict[FlowPhase, float]) -> tuple[Stretch, ...]:
    """The phases of a case cut where the dial is looked at again.

    Parameters
    ----------
    given : the case; where it has no flows, those of the rules are taken.
    flows_l_min : [L/min] of the rules for each phase.
    """
    reach = given.reach_min or sourced("case", "reach_min").value
    cuts = [reach + sourced("case", f"dial.{one}_min").value for one in ("first", "second")]
    found: list[Stretch] = []
    start = 0.0
    for phase in given.case.phases:
        waking = any(one in phase.name.lower() for one in _WAKING_WORDS)
        end = start + phase.minutes
        inside = [] if waking else [one for one in (reach, *cuts) if start < one < end - 1.0]
        edges = [start, *inside, end]
        for low, high in pairwise(edges):
            kind = FlowPhase.START if low < reach - 1e-9 else FlowPhase.HOLD
            kind = FlowPhase.WAKING if waking else kind
            one = Stretch(
                name=phase.name,
                phase=kind,
                start_min=low,
                minutes=high - low,
                oxygen_l_min=phase.oxygen_l_min,
                air_l_min=phase.air_l_min,
                nitrous_oxide_l_min=phase.nitrous_oxide_l_min,
            )
            found.append(one if given.flows_given else replace(one, oxygen_l_min=flows_l_min[kind]))
        start = end
    if found[-1].phase is not FlowPhase.WAKING:
        found.append(_waking(given, found[-1], flows_l_min))
    return tuple(found)


def _waking(given: CaseInput, last: Stretch, flows_l_min: dict[FlowPhase, float]) -> Stretch:
    """Oxygen alone after the last phase, for waking alone: it is not counted as demand."""
    flow = max(last.flow_l_min, flows_l_min[FlowPhase.WAKING])
    return Stretch(
        name="waking",
        phase=FlowPhase.WAKING,
        start_min=last.end_min,
        minutes=_LOOK_MIN,
        oxygen_l_min=flow,
        planned=False,
    )


def _system(planned: Planned) -> "System":
    from ullage.core.kinetics import System, SystemKind

    if planned.system.rebreathes:
        volume = system_volume(planned.system, planned.animal.weight_kg)
        return System(
            kind=SystemKind.CIRCLE,
            inspiratory_l=volume.inspiratory_l,
            reservoir_l=volume.reservoir_l,
        )
    chamber = planned.given.case.chamber
    if planned.system is BreathingSystem.CHAMBER and chamber is not None:
        return System(kind=SystemKind.MIXED, inspiratory_l=chamber.volume_l)
    return System(kind=SystemKind.OPEN)


def _model(planned: Planned, draws: int, seed: int, *, waking: bool = False) -> "Model":
    """The animal, or an ensemble of it, in its system; waking has rules of its own."""
    agent, species = planned.given.agent, planned.animal.species
    litres, drawn = litres_of(planned.given.place.barometric_kpa), Draws(count=draws, seed=seed)
    gases = {agent: gas_in_lung_litres(agent, species, litres, drawn)}
    macs = {agent: planned.mac_alone[1]}
    if any(one.nitrous_oxide_l_min for one in planned.stretches):
        gases[_N2O] = gas_in_lung_litres(_N2O, species, litres, drawn)
        thin = STANDARD_ATMOSPHERE_KPA / planned.given.place.barometric_kpa
        macs[_N2O] = mac_of(species, _N2O).mac_fraction * thin
    mode = Mode(spontaneous=not planned.ventilated, recovering=waking)
    awake = planned.system is BreathingSystem.CHAMBER and not waking
    return model_for(
        body_in_lung_litres(planned.animal, litres, drawn, conscious=awake),
        gases,
        room_system(_system(planned), litres),
        feedback_for(species, macs, mode),
    )


def _setting(planned: Planned, stretch: Stretch, fraction: float) -> "Setting":
    """Flow and composition of a stretch; a machine breathes what it is set to."""
    from ullage.core.kinetics import Setting

    ventilation = planned.given.case.ventilation
    share = 1.0
    if ventilation is not None:
        share = ventilation.minute_volume_l_min / planned.animal["minute_volume_l_min"].value
    delivered = {planned.given.agent: fraction}
    if stretch.nitrous_oxide_l_min:
        delivered[_N2O] = stretch.nitrous_fraction * (1.0 - fraction)
    litres = litres_of(planned.given.place.barometric_kpa)
    return Setting(
        start_min=stretch.start_min,
        fresh_gas_l_min=stretch.flow_l_min * litres.of_free,
        delivered=delivered,
        ventilation=share,
    )


def _end_tidal(model: "Model", states: "Floats") -> "Floats":
    """End-tidal level of the agent from inspired and alveolar ones; shape (n, t)."""
    from ullage.core.kinetics import FA, FI

    dead = model.body.dead_alveolar_fraction[:, None]
    found: Floats = (1.0 - dead) * states[:, :, 0, FA] + dead * states[:, :, 0, FI]
    return found


class _Middle:
    """The middle animal, led through the stretches one after the other."""

    def __init__(self, planned: Planned) -> None:
        from ullage.core.kinetics import Accuracy

        self.planned = planned
        self.model = _model(planned, 0, 0)
        self.fine = Accuracy(shortest_min=0.05, rough=1e-5, tolerance=2e-6)
        self.state: Floats | None = None
        self.after: Floats | None = None

    def reached(self, stretch: Stretch, fraction: float) -> float:
        """[1] end-tidal level at the end of a stretch; the state there is kept in ``after``."""
        import numpy as np

        from ullage.core.kinetics import Run, feedback_course

        setting = _setting(self.planned, stretch, fraction)
        run = Run(settings=[setting], times_min=np.array([stretch.end_min]), start=self.state)
        states = feedback_course(self.model, run, self.fine)
        self.after = states[:, 0]
        return float(_end_tidal(self.model, states)[0, 0])

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
        self.state = self.after


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
    from ullage.core.kinetics import EFFECT, FI, TISSUE, Run, feedback_course

    asleep = planned.asleep
    fixed = None if fixed_fraction is None else (fixed_fraction,) * len(asleep)
    delivered = _solved(planned) if fixed is None else fixed
    model = _model(planned, draws, seed)
    pairs = zip(asleep, delivered, strict=True)
    settings = [_setting(planned, one, fraction) for one, fraction in pairs]
    times = _times(planned)
    states = feedback_course(model, Run(settings=settings, times_min=times))
    waking, off_min = _waking_effect(planned, states[:, -1], draws, seed)
    return Course(
        planned=planned,
        delivered=delivered,
        times_min=times,
        inspired=states[:, :, 0, FI],
        end_tidal=_end_tidal(model, states),
        brain=states[:, :, 0, TISSUE.start],
        effect=states[:, :, 0, EFFECT],
        waking_min=off_min,
        waking_effect=waking,
        mac_ratio=_mac_ratio(planned, draws, seed),
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


def _waking_effect(
    planned: Planned, start: "Floats", draws: int, seed: int
) -> "tuple[Floats, Floats]":
    """Level at the place of the effect after the agent is off, and the minutes since."""
    import numpy as np

    from ullage.core.kinetics import EFFECT, Run, feedback_course

    model = _model(planned, draws, seed, waking=True)
    waking = [one for one in planned.stretches if one.phase is FlowPhase.WAKING]
    first = replace(waking[0], start_min=0.0)
    off_min = np.concatenate(
        [np.arange(0.0, 5.0, 0.25), np.arange(5.0, 30.0, 1.0), np.arange(30.0, _LOOK_MIN + 1, 5.0)]
    )
    run = Run(
        settings=[_setting(planned, first, 0.0)],
        times_min=off_min,
        start=start,
        keep=(EFFECT,),
    )
    return feedback_course(model, run)[:, :, 0, 0], off_min


def _mac_ratio(planned: Planned, draws: int, seed: int) -> "Floats":
    """MAC of each draw over the MAC of the middle one, log-normal over its band."""
    import numpy as np

    low, _, high = planned.mac_alone
    sd = log(high / low) / (2.0 * _ENDS)
    drawn: Floats = np.exp(sd * np.random.default_rng((seed, 7)).standard_normal(draws))
    return drawn
