"""The engine led through what was set on a running case, one setting after the other.

What came out for a setting that has ended is kept, so that a new setting or a new minute costs no
more than what is new. The draws are those of the tables; what was measured does not enter here.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from ullage.answers.breathing import BreathingSystem, FlowPhase, system_fits, system_named
from ullage.answers.case_course import for_many
from ullage.answers.case_engine import Engine
from ullage.answers.case_planned import dial_ratio, planned_of
from ullage.answers.case_stretches import LOOK_MIN, Planned
from ullage.answers.case_things import CaseInput, Stretch
from ullage.answers.plan import Case, Chamber, Phase, Ventilation
from ullage.answers.running_things import CaseSubject, RunningCase, SetTo, whole_moment

if TYPE_CHECKING:
    from ullage.core.kinetics import Floats

__all__ = ["Draw", "Led", "Piece", "carried_on", "led_to", "planned_for", "woken_from"]

#: A flow that is off counts as this much without agent, so that its shares can be told [L/min].
_LEAST_FLOW = 1e-6

#: Minutes after a change at which levels are looked at; further on, so many minutes apart.
_LOOKS = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
_STEP_MIN, _LATER_MIN, _LATER_STEP_MIN = 2.0, 40.0, 5.0


class Draw(NamedTuple):
    """Which animals are followed: of whom, how many, from which seed, with nitrous oxide or not."""

    subject: CaseSubject
    draws: int
    seed: int
    nitrous: bool


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One stretch of a running case: times, levels of every draw (n, t), and the state at its end.

    Levels are fractions of one atmosphere; ``effect`` counts nitrous oxide as as many MAC of agent.
    """

    times_min: "Floats"
    inspired: "Floats"
    end_tidal: "Floats"
    brain: "Floats"
    effect: "Floats"
    state: "Floats"


@dataclass(frozen=True, kw_only=True)
class Led:
    """A running case led to a minute: what was set, and its pieces in order.

    ``setting`` stands now; ``run`` are the settings that were run, one for each piece.
    """

    draw: Draw
    at_min: float
    setting: SetTo
    run: tuple[SetTo, ...]
    pieces: tuple[Piece, ...]

    @property
    def planned(self) -> Planned:
        """The case as the engine knows it at the setting of now."""
        return _engine(self.draw, _breathing(self.setting)).planned

    @property
    def given(self) -> bool:
        """True where agent has been given at some time."""
        return any(one.dial_fraction > 0.0 for one in self.run)

    @property
    def times_min(self) -> "Floats":
        """[min] of all pieces; empty before the first one."""
        import numpy as np

        found: Floats = np.concatenate([np.empty(0), *(one.times_min for one in self.pieces)])
        return found

    def whole(self, level: str) -> "Floats":
        """One level of all pieces, shape (n, t)."""
        import numpy as np

        none = np.empty((self.draw.draws, 0))
        parts = [getattr(one, level) for one in self.pieces]
        found: Floats = np.concatenate([none, *parts], axis=1)
        return found

    def at(self, level: str, minutes: "Floats") -> "Floats":
        """One level of every draw at some minutes, straight between two looks, shape (n, k).

        Parameters
        ----------
        level : ``inspired``, ``end_tidal``, ``brain`` or ``effect``.
        minutes : [min] shape (k,); before the first setting nothing is there.
        """
        import numpy as np

        times, whole = self.times_min, self.whole(level)
        if times.size < 2:
            return np.zeros((self.draw.draws, minutes.size))
        after = np.clip(np.searchsorted(times, minutes), 1, times.size - 1)
        share = (minutes - times[after - 1]) / (times[after] - times[after - 1])
        share = np.clip(share, 0.0, 1.0)
        found: Floats = (1.0 - share) * whole[:, after - 1] + share * whole[:, after]
        return np.where(minutes < times[0], 0.0, found)


class _Breathing(NamedTuple):
    """What of a setting needs an engine of its own."""

    system: str
    ventilator_l_min: float | None
    chamber_l: float | None


def _breathing(one: SetTo) -> _Breathing:
    return _Breathing(one.system, one.ventilator_l_min, one.chamber_l)


@lru_cache(maxsize=256)
def planned_for(
    subject: CaseSubject,
    breathing: tuple[str, float | None, float | None],
    *,
    nitrous: bool = False,
) -> Planned:
    """The case as the engine knows it: animal, system, MAC.

    Parameters
    ----------
    subject : who it is.
    breathing : system, minute volume of a ventilator, volume of a chamber.
    nitrous : True where nitrous oxide is given at some time.

    Raises
    ------
    RuleBroken, UnknownReference : see `case_plan`.
    """
    name, ventilator, chamber = breathing
    system = system_named(name) if name else system_fits(subject.weight_kg)[0][0]
    phase = Phase(
        name="case", minutes=60.0, oxygen_l_min=1.0, nitrous_oxide_l_min=1.0 if nitrous else 0.0
    )
    case = Case(
        name="The case",
        machine="",
        start_min=0.0,
        phases=(phase,),
        species=subject.species,
        weight_kg=subject.weight_kg,
        system=system.value,
        chamber=Chamber(volume_l=chamber) if chamber else None,
        ventilation=None if ventilator is None else Ventilation(minute_volume_l_min=ventilator),
    )
    return planned_of(
        CaseInput(
            case=case,
            agent=subject.agent,
            drugs=subject.drugs,
            place=subject.place,
            overrides=dict(subject.overrides),
            mac_fraction=subject.mac_fraction,
            vaporizer_end_fraction=subject.vaporizer_end_fraction,
            weight_is_right=subject.weight_is_right,
        )
    )


@lru_cache(maxsize=64)
def _engine(draw: Draw, breathing: _Breathing) -> Engine:
    """The engine of one way of breathing; the animals are the same in all of them."""
    found = Engine(
        planned_for(draw.subject, breathing, nitrous=draw.nitrous), draw.draws, draw.seed
    )
    spontaneous = _Breathing("", None, None)
    if breathing != spontaneous:
        found.parts = _engine(draw, spontaneous).parts
    return found


def _stretch(settings: tuple[SetTo, ...], minutes: float) -> Stretch:
    """The last setting as the engine wants it; waking once agent was given and is off."""
    one = settings[-1]
    waking = one.dial_fraction == 0.0 and any(before.dial_fraction for before in settings)
    off = one.flow_l_min <= 0.0
    return Stretch(
        name="case",
        phase=FlowPhase.WAKING if waking else FlowPhase.HOLD,
        start_min=one.at_min,
        minutes=minutes,
        oxygen_l_min=_LEAST_FLOW if off else one.oxygen_l_min,
        air_l_min=one.air_l_min,
        nitrous_oxide_l_min=one.nitrous_oxide_l_min,
        in_chamber=one.system == BreathingSystem.CHAMBER.value,
    )


def _delivered(planned: Planned, one: SetTo) -> float:
    """[1] delivered at this air pressure; nothing where no gas flows."""
    if one.flow_l_min <= 0.0:
        return 0.0
    return min(one.dial_fraction * dial_ratio(planned.given), 1.0)


def _start(draw: Draw, settings: tuple[SetTo, ...], before: Piece | None) -> "Floats | None":
    """The state at the start of the last setting: a system newly joined holds no agent."""
    if before is None:
        return None
    engine = _engine(draw, _breathing(settings[-1]))
    stage = engine.stage(_stretch(settings, 1.0))
    boxed = stage._replace(boxed=settings[-2].system != settings[-1].system)
    return engine.moved(before.state, boxed, stage._replace(boxed=False))


@lru_cache(maxsize=128)
def _piece(draw: Draw, settings: tuple[SetTo, ...], end_min: float) -> Piece:
    """The last setting from its start to a minute; kept."""
    import numpy as np

    before = None
    if len(settings) > 1:
        before = _piece(draw, settings[:-1], settings[-1].at_min)
    looks = _looks(settings[-1].at_min, end_min, first=before is None)
    return _ran(draw, settings, np.array(looks), _start(draw, settings, before))


def _ran(
    draw: Draw, settings: tuple[SetTo, ...], times_min: "Floats", start: "Floats | None"
) -> Piece:
    """Lead the engine through the last setting to the last of the times.

    The engine is rough for many animals: where a level is next to nothing it may come out below.
    """
    import numpy as np

    from ullage.core.kinetics import FI, TISSUE, end_tidal

    engine = _engine(draw, _breathing(settings[-1]))
    stretch = _stretch(settings, float(times_min[-1]) - settings[-1].at_min)
    led = [(stretch, _delivered(engine.planned, settings[-1]))]
    states = engine.course(led, times_min, start, for_many(balanced=engine.balance))
    seen = np.maximum(states, 0.0)
    return Piece(
        times_min=times_min,
        inspired=seen[:, :, 0, FI],
        end_tidal=end_tidal(engine.parts[0], seen[:, :, :1])[:, :, 0],
        brain=seen[:, :, 0, TISSUE.start],
        effect=_effect(engine, seen),
        state=states[:, -1].copy(),
    )


def _effect(engine: Engine, states: "Floats") -> "Floats":
    """Level at the place of the effect; nitrous oxide as the agent of as many MAC, (n, t)."""
    from ullage.core.kinetics import EFFECT

    found: Floats = states[:, :, 0, EFFECT]
    if engine.planned.nitrous:
        agent, nitrous = engine.mac_fractions.values()
        found = found + states[:, :, 1, EFFECT] * agent / nitrous
    return found


def _looks(start_min: float, end_min: float, *, first: bool) -> tuple[float, ...]:
    """Times after the start of a setting at which levels are looked at, its end the last."""
    found = [start_min + one for one in (*((0.0,) if first else ()), *_LOOKS)]
    after = 10.0
    while start_min + after < end_min:
        found.append(start_min + after)
        after += _STEP_MIN if after < _LATER_MIN else _LATER_STEP_MIN
    return (*(one for one in found if one < end_min - 1e-6), end_min)


def led_to(case: RunningCase, at_min: float) -> Led:
    """All draws led through what was set up to a minute.

    Parameters
    ----------
    case : with its settings.
    at_min : [min] to which it is led.

    Raises
    ------
    RuleBroken : nothing was set by then, or what cannot be; see `case_plan`.
    UnknownReference : a species, agent or system not known.
    """
    settings, at_min = case.set_by(at_min), whole_moment(at_min)
    nitrous = any(one.nitrous_oxide_l_min for one in settings)
    draw = Draw(subject=case.subject, draws=case.draws, seed=case.seed, nitrous=nitrous)
    ends = [*(one.at_min for one in settings[1:]), at_min]
    run = tuple(one for one, end in zip(settings, ends, strict=True) if end > one.at_min)
    pieces = tuple(
        _piece(draw, settings[: number + 1], end) for number, end in enumerate(ends[: len(run)])
    )
    return Led(draw=draw, at_min=at_min, setting=settings[-1], run=run, pieces=pieces)


def carried_on(led: Led, setting: SetTo, minutes: float) -> Piece:
    """All draws carried on from now at a setting, with a look at least every minute.

    Parameters
    ----------
    led : up to now.
    setting : that stands from now on.
    minutes : [min] above 0.
    """
    import numpy as np

    offsets = np.concatenate([np.arange(0.25, 3.0, 0.25), np.arange(3.0, minutes, 1.0)])
    times = led.at_min + np.append(offsets[offsets < minutes], minutes)
    settings = (*led.run, replace(setting, at_min=led.at_min))
    before = led.pieces[-1] if led.pieces else None
    return _ran(led.draw, settings, times, _start(led.draw, settings, before))


def woken_from(led: Led, setting: SetTo) -> "tuple[Floats, Floats]":
    """Minutes from now with the agent off, and the level at the place of the effect, (n, t).

    Volumes are left out while waking, as in a plan: it moves the times by less than one in fifty.

    Parameters
    ----------
    led : up to now.
    setting : that stands; its dial and nitrous oxide are taken as turned off.
    """
    import numpy as np

    offsets = np.concatenate(
        [np.arange(0.0, 5.0, 0.25), np.arange(5.0, 30.0, 1.0), np.arange(30.0, LOOK_MIN + 1, 5.0)]
    )
    off = replace(
        setting,
        at_min=led.at_min,
        dial_fraction=0.0,
        oxygen_l_min=setting.oxygen_l_min + setting.nitrous_oxide_l_min,
        nitrous_oxide_l_min=0.0,
    )
    settings = (*led.run, off)
    engine = _engine(led.draw, _breathing(off)).unbalanced
    start = _start(led.draw, settings, led.pieces[-1] if led.pieces else None)
    if start is None:
        return offsets, np.zeros((led.draw.draws, offsets.size))
    stretch = replace(_stretch(settings, LOOK_MIN), phase=FlowPhase.WAKING)
    states = engine.course(
        [(stretch, 0.0)], led.at_min + offsets, start[:, : len(engine.names)], for_many()
    )
    return offsets, _effect(engine, states)
