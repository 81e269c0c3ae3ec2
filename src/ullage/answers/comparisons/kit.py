"""What a row is computed with: the engine as shipped, or as the reference model was run."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

from ullage.answers.animals import animal
from ullage.answers.bodies import GasState, body_of, solubility_of
from ullage.answers.depth import depth_rules
from ullage.answers.kinetics import (
    Draws,
    Mode,
    conscious_body,
    course,
    effect_rate_per_min,
    feedback_for,
    gas_in_lung_litres,
    litres_of,
    room_system,
)
from ullage.answers.mac import mac_of
from ullage.reference import sourced
from ullage.reference.solubility import ValueSet

if TYPE_CHECKING:
    from ullage.core.kinetics import (
        Body,
        Feedback,
        Floats,
        Model,
        Run,
        Setting,
        Solubility,
        System,
    )

__all__ = ["Kit", "Mechanism", "adult_circle", "open_system"]


#: Vapour of a millilitre of liquid is counted at 20 °C.
_ROOM_K = 293.15


def open_system() -> "System":
    """A system that gives what is delivered."""
    from ullage.core.kinetics import System, SystemKind

    return System(kind=SystemKind.OPEN)


def adult_circle() -> "System":
    """The adult circle that the set-ups name, as measured."""
    from ullage.core.kinetics import System, SystemKind

    return System(
        kind=SystemKind.CIRCLE,
        inspiratory_l=sourced("breathing", "volume.circle.inspiratory_l").value,
        reservoir_l=sourced("breathing", "volume.circle.reservoir_l").value,
    )


class Mechanism(StrEnum):
    """What the shipped engine adds to the reference model; each can be left out to see its part."""

    LITRES = "litres of the lung"
    DELAY = "delay of the effect"
    LOSS = "loss to absorbent and circuit"
    AWAKE = "breathing of an animal awake"
    CIRCULATION = "circulation against depth"


@dataclass(frozen=True, kw_only=True)
class Kit:
    """Values and mechanisms of one column, for one animal or for means that are drawn.

    The uptake column has none of the mechanisms: it is there to show that the reference runs can
    be repeated. ``without`` leaves some of them out of the shipped engine.
    """

    which: ValueSet = ValueSet.USER
    count: int = 0
    seed: int | None = None
    study_of: int | None = None
    without: frozenset[Mechanism] = frozenset()

    @property
    def shipped(self) -> bool:
        """True for the engine as a user gets it, whichever side its switch is on."""
        return self.which is not ValueSet.UPTAKE

    def has(self, mechanism: Mechanism) -> bool:
        """Whether a mechanism acts in this column."""
        return self.shipped and mechanism not in self.without

    @property
    def middle(self) -> "Kit":
        """The same column for the middle animal alone."""
        return replace(self, count=0, seed=None, study_of=None)

    @cached_property
    def draws(self) -> Draws:
        """The draws as the engine takes them."""
        return Draws(count=self.count, seed=self.seed, study_of=self.study_of, which=self.which)

    @cached_property
    def free(self) -> float:
        """Litres of the lung for a litre of free gas."""
        return litres_of().of_free if self.has(Mechanism.LITRES) else 1.0

    @cached_property
    def standard(self) -> float:
        """Litres of the lung for a litre at 0 °C and 1 atm."""
        return litres_of().of_standard if self.has(Mechanism.LITRES) else 1.0

    @cached_property
    def vapour(self) -> float:
        """Litres of the lung for a litre of vapour at 20 °C and 1 atm."""
        return litres_of().of_room(_ROOM_K) if self.has(Mechanism.LITRES) else 1.0

    def body(self, species: str, kg: float, *, conscious: bool = False) -> "Body":
        """An animal of the column; its use of oxygen is in the litres of the column."""
        from ullage.core.kinetics import body_in_litres

        found = animal(species, kg, which=self.which, weight_is_right=True)
        body = body_of(found, self.count, self.seed, self.study_of)
        if conscious and self.has(Mechanism.AWAKE):
            body = conscious_body(body, found)
        return body_in_litres(body, litres_of()) if self.has(Mechanism.LITRES) else body

    def gas(self, name: str, species: str = "human", *, metabolised: bool = True) -> "Solubility":
        """A gas in it."""
        if not self.has(Mechanism.LOSS):
            state = GasState(metabolised=metabolised, study_of=self.study_of)
            return solubility_of(
                name, species, self.count, self.seed, which=self.which, state=state
            )
        found = gas_in_lung_litres(name, species, litres_of(), self.draws, metabolised=metabolised)
        return replace(found, lost_l_min=found.lost_l_min * self.free / litres_of().of_free)

    def mac(self, species: str, agent: str) -> float:
        """Its MAC as a fraction."""
        return mac_of(species, agent, self.which).mac_fraction

    def effect(self, kg: float) -> float:
        """Rate of the effect site; none in the uptake column."""
        return effect_rate_per_min(kg) if self.has(Mechanism.DELAY) else 0.0

    def feedback(
        self, species: str, macs: Mapping[str, float], mode: Mode, *, balance: bool = False
    ) -> "Feedback":
        """Feedbacks of the shipped engine; in the uptake column breathing alone, while waking."""
        from ullage.core.kinetics import Feedback

        if self.shipped:
            found = feedback_for(species, macs, mode, balance=balance)
            turns = self.has(Mechanism.CIRCULATION)
            return replace(
                found,
                at_effect=self.has(Mechanism.DELAY),
                output_slope=found.output_slope if turns else 0.0,
            )
        if not mode.recovering:
            return Feedback(balance=balance)
        rules = depth_rules(species, next(iter(macs)), recovering=True)
        return Feedback(
            mac_fraction=dict(macs),
            ventilation_slope=rules.ventilation_slope,
            ventilation_floor=rules.ventilation_floor,
            balance=balance,
        )

    def settings(self, settings: "Sequence[Setting]") -> "tuple[Setting, ...]":
        """Settings in the litres of the column."""
        return tuple(
            replace(one, fresh_gas_l_min=one.fresh_gas_l_min * self.free) for one in settings
        )

    def model(
        self,
        body: "Body",
        gases: "Mapping[str, Solubility]",
        system: "System",
        feedback: "Feedback | None" = None,
    ) -> "Model":
        """Everything that stays the same in a row."""
        from ullage.core.kinetics import Feedback, model_of

        inside = room_system(system, litres_of()) if self.has(Mechanism.LITRES) else system
        effect = self.effect(float(body.weight_kg[0]))
        return model_of(body, gases, inside, feedback or Feedback(), effect)

    def course(self, model: "Model", run: "Run") -> "Floats":
        """States of a run whose settings are in litres of the machine."""
        return course(model, replace(run, settings=self.settings(run.settings)))
