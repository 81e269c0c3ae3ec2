"""A planned case cut into stretches in which flow and dial stay as they are."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from ullage.answers.animal_things import Animal
from ullage.answers.breathing import BreathingSystem, FlowPhase
from ullage.answers.case_things import CaseInput, Stretch
from ullage.answers.plan import Phase
from ullage.reference import sourced

__all__ = ["AIR_OXYGEN", "LOOK_MIN", "Planned", "stretches_of"]

#: Oxygen in room air and in the air of a flowmeter.
AIR_OXYGEN = 0.209

#: How long after the end waking is followed [min].
LOOK_MIN = 240.0

_BALANCE_ABOVE = ("kinetics", "balance_above_fraction")

_WAKING_WORDS = ("wak", "recover")
_CHAMBER_WORDS = ("induction", "chamber", "box")


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
        """True where a machine breathes in some part of the case."""
        return self.given.case.ventilation is not None

    def blown(self, stretch: Stretch) -> bool:
        """True where a machine breathes in a stretch; where no phase is named, in all of them."""
        ventilation = self.given.case.ventilation
        if ventilation is None or stretch.in_chamber:
            return False
        return not ventilation.phases or stretch.name in ventilation.phases

    def open_in(self, stretch: Stretch) -> bool:
        """True where no gas is breathed twice on purpose in a stretch."""
        return stretch.in_chamber or not self.system.rebreathes

    @property
    def nitrous(self) -> bool:
        """True where nitrous oxide is given."""
        return any(one.nitrous_oxide_l_min for one in self.stretches)

    @property
    def balanced(self) -> bool:
        """True where the volume of what is taken up matters: nitrous oxide, or a strong dial."""
        return self.nitrous or self.most_fraction > sourced(*_BALANCE_ABOVE).value

    @property
    def boxed(self) -> bool:
        """True where some part of the case is in a chamber."""
        return self.system is BreathingSystem.CHAMBER or any(
            one.in_chamber for one in self.stretches
        )


def stretches_of(
    given: CaseInput,
    flows_l_min: Mapping[FlowPhase, float],
    chamber_l_min: float | None = None,
) -> tuple[Stretch, ...]:
    """The phases of a case cut where the dial is looked at again.

    A case with a chamber begins in it with the phases that are called induction, chamber or box.

    Parameters
    ----------
    given : the case; where it has no flows, those of the rules are taken.
    flows_l_min : [L/min] of the rules for each phase.
    chamber_l_min : [L/min] of the rule for a chamber; None takes that of the phase.
    """
    reach = given.reach_min or sourced("case", "reach_min").value
    found: list[Stretch] = []
    boxed = given.case.chamber is not None
    for phase in given.case.phases:
        boxed = boxed and any(one in phase.name.lower().split() for one in _CHAMBER_WORDS)
        start = found[-1].end_min if found else 0.0
        for one in _cut(phase, start, reach, in_chamber=boxed):
            rule = flows_l_min[one.phase]
            if boxed and chamber_l_min:
                rule = chamber_l_min
            found.append(one if given.flows_given else replace(one, oxygen_l_min=rule))
    if found[-1].phase is not FlowPhase.WAKING:
        found.append(_waking(found[-1], flows_l_min))
    return tuple(found)


def _cut(phase: Phase, start: float, reach: float, *, in_chamber: bool) -> Iterator[Stretch]:
    """One phase cut where the dial is looked at again; waking is left whole."""
    waking = any(one in phase.name.lower() for one in _WAKING_WORDS)
    end = start + phase.minutes
    later = [reach + sourced("case", f"dial.{one}_min").value for one in ("first", "second")]
    inside = [] if waking else [one for one in (reach, *later) if start < one < end - 1.0]
    for low, high in pairwise([start, *inside, end]):
        kind = FlowPhase.START if low < reach - 1e-9 else FlowPhase.HOLD
        kind = FlowPhase.WAKING if waking else kind
        yield _stretch(phase, kind, (low, high), in_chamber=in_chamber)


def _stretch(
    phase: Phase, kind: FlowPhase, ends: tuple[float, float], *, in_chamber: bool
) -> Stretch:
    return Stretch(
        name=phase.name,
        phase=kind,
        start_min=ends[0],
        minutes=ends[1] - ends[0],
        oxygen_l_min=phase.oxygen_l_min,
        air_l_min=phase.air_l_min,
        nitrous_oxide_l_min=phase.nitrous_oxide_l_min,
        in_chamber=in_chamber,
    )


def _waking(last: Stretch, flows_l_min: Mapping[FlowPhase, float]) -> Stretch:
    """Oxygen alone after the last phase, for waking alone: it is not counted as demand."""
    flow = max(last.flow_l_min, flows_l_min[FlowPhase.WAKING])
    return Stretch(
        name="waking",
        phase=FlowPhase.WAKING,
        start_min=last.end_min,
        minutes=LOOK_MIN,
        oxygen_l_min=flow,
        planned=False,
    )
