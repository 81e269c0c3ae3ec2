"""The engine led through a planned case: chamber, breathing system, waking, one after the other.

With nitrous oxide, or an agent that is given above a tenth, agent, nitrous oxide and nitrogen are
followed together with their volume balance, and oxygen is what they leave; otherwise the agent
alone.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from ullage.answers.breathing import BreathingSystem, FlowPhase
from ullage.answers.breathing_parts import system_volume
from ullage.answers.case_stretches import AIR_OXYGEN, Planned
from ullage.answers.case_things import Stretch
from ullage.answers.kinetics import (
    Draws,
    Mode,
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
    from ullage.core.kinetics import (
        Accuracy,
        Body,
        Feedback,
        Floats,
        Model,
        Setting,
        Solubility,
        System,
    )

__all__ = ["NITROGEN", "NITROUS_OXIDE", "OXYGEN", "Engine", "Stage"]

NITROUS_OXIDE, OXYGEN, NITROGEN = "nitrous oxide", "oxygen", "nitrogen"


#: What a chamber holds that the animal is put into, and a system that was flushed.
_AIR = {OXYGEN: 0.21, NITROGEN: 0.79}
_FLUSHED = {OXYGEN: 1.0}


class Stage(NamedTuple):
    """In a chamber or on a breathing system, waking or not, breathed for by a machine or not."""

    boxed: bool
    waking: bool
    blown: bool


class Engine:
    """One animal, or an ensemble of it, with the gases of a case.

    ``draws`` 0 gives the middle animal. ``gases`` None takes those that the case needs. ``inert``
    gives nitrogen in place of nitrous oxide, to see what the latter does.
    """

    inert = False

    def __init__(
        self, planned: Planned, draws: int, seed: int, gases: tuple[str, ...] | None = None
    ) -> None:
        self.planned = planned
        self.drawn = Draws(count=draws, seed=seed)
        self.litres = litres_of(planned.given.place.barometric_kpa)
        self.names = gases or self._needed()
        self.balance = NITROGEN in self.names
        self._models: dict[Stage, Model] = {}

    def _needed(self) -> tuple[str, ...]:
        agent = self.planned.given.agent
        if not self.planned.balanced:
            return (agent,)
        nitrous = (NITROUS_OXIDE,) if self.planned.nitrous else ()
        return (agent, *nitrous, NITROGEN)

    @cached_property
    def parts(self) -> "tuple[Body, dict[str, Solubility]]":
        """The animals, and each gas in them."""
        animal = self.planned.animal
        body = body_in_lung_litres(animal, self.litres, self.drawn)
        gases = {
            name: gas_in_lung_litres(name, animal.species, self.litres, self.drawn)
            for name in self.names
        }
        return body, gases

    @cached_property
    def unbalanced(self) -> "Engine":
        """The same animals with the gases that deepen anaesthesia alone, volumes left out."""
        names = tuple(name for name in self.names if name not in {OXYGEN, NITROGEN})
        found = Engine(self.planned, self.drawn.count, self.drawn.seed or 0, names)
        body, gases = self.parts
        found.parts = body, {name: gases[name] for name in names}
        return found

    @cached_property
    def mac_fractions(self) -> dict[str, float]:
        """[1] one MAC of each gas that deepens anaesthesia, at this air pressure."""
        planned = self.planned
        found = {planned.given.agent: planned.mac_alone[1]}
        if planned.nitrous:
            thin = STANDARD_ATMOSPHERE_KPA / planned.given.place.barometric_kpa
            alone = mac_of(planned.animal.species, NITROUS_OXIDE).mac_fraction
            found[NITROUS_OXIDE] = alone * thin
        return {name: one for name, one in found.items() if name in self.names}

    def stage(self, stretch: Stretch) -> Stage:
        """The stage of a stretch."""
        return Stage(
            boxed=stretch.in_chamber or self.planned.system is BreathingSystem.CHAMBER,
            waking=stretch.phase is FlowPhase.WAKING,
            blown=self.planned.blown(stretch),
        )

    def model(self, stage: Stage) -> "Model":
        """The model of one stage; waking has rules of its own, and a chamber an awake animal."""
        if stage not in self._models:
            self._models[stage] = self._made(stage)
        return self._models[stage]

    def _made(self, stage: Stage) -> "Model":
        body, gases = self.parts
        mode = Mode(spontaneous=not stage.blown, recovering=stage.waking)
        return model_for(
            self._awake if stage.boxed and not stage.waking else body,
            gases,
            room_system(self.breathes_from(stage), self.litres),
            self._feedback(mode),
        )

    def _feedback(self, mode: Mode) -> "Feedback":
        """Those of the species; oxygen that is not among the gases is what they leave."""
        found = feedback_for(
            self.planned.animal.species, self.mac_fractions, mode, balance=self.balance
        )
        return found if OXYGEN in self.names else replace(found, oxygen="")

    def in_room(self, stretch: Stretch) -> "Model":
        """The animal of a stretch as it would be on room air, breathing by itself."""
        from ullage.core.kinetics import System, SystemKind

        usual = self.model(self.stage(stretch)._replace(blown=False))
        return replace(usual, system=System(kind=SystemKind.OPEN))

    @cached_property
    def _awake(self) -> "Body":
        animal = self.planned.animal
        return body_in_lung_litres(animal, self.litres, self.drawn, conscious=True)

    def breathes_from(self, stage: Stage) -> "System":
        """The breathing system of a stage; a chamber of unknown volume is an open one."""
        from ullage.core.kinetics import System, SystemKind

        planned, chamber = self.planned, self.planned.given.case.chamber
        if stage.boxed:
            if chamber is None:
                return System(kind=SystemKind.OPEN)
            return System(kind=SystemKind.MIXED, inspiratory_l=chamber.volume_l)
        if not planned.system.rebreathes:
            return System(kind=SystemKind.OPEN)
        volume = system_volume(planned.system, planned.animal.weight_kg)
        return System(
            kind=SystemKind.CIRCLE,
            inspiratory_l=volume.inspiratory_l,
            reservoir_l=volume.reservoir_l,
        )

    def setting(self, stretch: Stretch, fraction: float) -> "Setting":
        """Flow and composition of a stretch; a machine breathes what it is set to."""
        from ullage.core.kinetics import Setting

        ventilation = self.planned.given.case.ventilation
        share = 1.0
        if ventilation is not None and self.planned.blown(stretch):
            awake = self.planned.animal["minute_volume_l_min"].value
            share = ventilation.minute_volume_l_min / awake
        carrier = {
            NITROUS_OXIDE: stretch.nitrous_oxide_l_min,
            OXYGEN: stretch.oxygen_l_min + AIR_OXYGEN * stretch.air_l_min,
            NITROGEN: (1.0 - AIR_OXYGEN) * stretch.air_l_min,
        }
        if self.inert:
            carrier[NITROGEN] += carrier[NITROUS_OXIDE]
            carrier[NITROUS_OXIDE] = 0.0
        delivered = {
            name: litres / stretch.flow_l_min * (1.0 - fraction)
            for name, litres in carrier.items()
            if name in self.names
        }
        if self.planned.given.agent in self.names:
            delivered[self.planned.given.agent] = fraction
        return Setting(
            start_min=stretch.start_min,
            fresh_gas_l_min=stretch.flow_l_min * self.litres.of_free,
            delivered=delivered,
            ventilation=share,
        )

    def start(self, stage: Stage) -> "Floats | None":
        """State at the beginning: nothing, or an animal that has breathed air until now."""
        from ullage.core.kinetics import breathing_air

        if not self.balance:
            return None
        lung, body = (sourced("case", f"start.{one}_share").value for one in ("lung", "body"))
        inside = _AIR if stage.boxed else _FLUSHED
        return breathing_air(self.model(stage), inside, lung, body)

    def moved(self, state: "Floats", before: Stage | None, stage: Stage) -> "Floats":
        """The same animal, out of a chamber on a system that nobody has breathed from before."""
        from ullage.core.kinetics import FI, FR

        if before is None or not before.boxed or stage.boxed:
            return state
        found = state.copy()
        for number, name in enumerate(self.names):
            found[:, number, [FI, FR]] = _FLUSHED.get(name, 0.0)
        return found

    def course(
        self,
        led: Sequence[tuple[Stretch, float]],
        times_min: "Floats",
        start: "Floats | None" = None,
        accuracy: "Accuracy | None" = None,
    ) -> "Floats":
        """States at rising times, shape (n, t, g, 12), through stretches at their fractions.

        Parameters
        ----------
        led : stretches that follow each other, with the fraction delivered in each.
        times_min : [min] from the start of the first to the end of the last one.
        start : at the start of the first one; None begins the case.
        accuracy : of the engine.
        """
        import numpy as np

        found: list[Floats] = []
        state, before = start, None
        for stage, part in groupby(led, key=lambda one: self.stage(one[0])):
            state = self.start(stage) if state is None else self.moved(state, before, stage)
            states, state = self._through(stage, list(part), (times_min, state), accuracy)
            before = stage
            found.append(states)
        whole: Floats = found[0] if len(found) == 1 else np.concatenate(found, axis=1)
        return whole

    def _through(
        self,
        stage: Stage,
        led: Sequence[tuple[Stretch, float]],
        begun: "tuple[Floats, Floats | None]",
        accuracy: "Accuracy | None",
    ) -> "tuple[Floats, Floats]":
        """States of one stage at the times that lie in it, and the state at its end."""
        import numpy as np

        from ullage.core.kinetics import Run, feedback_course

        times_min, start = begun
        first, last = led[0][0].start_min, led[-1][0].end_min
        after = times_min >= first if first == times_min[0] else times_min > first + 1e-9
        inside = times_min[after & (times_min <= last + 1e-9)]
        whole = inside[-1] >= last - 1e-9 if inside.size else False
        run = Run(
            settings=[self.setting(one, fraction) for one, fraction in led],
            times_min=inside if whole else np.append(inside, last),
            start=start,
        )
        states = feedback_course(self.model(stage), run, accuracy)
        return states[:, : inside.size], states[:, -1]
