"""The engine as every answer runs it: litres, animals, gases, feedbacks, all from the tables.

What is shipped is decided here and nowhere else, so that a planned case, a running case and the
comparison with published studies are computed with the same equations and values.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from ullage.answers.animal_things import Animal
from ullage.answers.bodies import GasState, body_of, solubility_of
from ullage.answers.depth import depth_rules
from ullage.core.units import STANDARD_ATMOSPHERE_KPA, kelvin
from ullage.reference import Sourced, sourced, table
from ullage.reference.solubility import ValueSet

if TYPE_CHECKING:
    from ullage.core.kinetics import (
        Body,
        Feedback,
        Floats,
        Litres,
        Model,
        Run,
        Setting,
        Solubility,
        System,
    )

__all__ = [
    "Draws",
    "Mode",
    "band_of_kind",
    "bands_of_levels",
    "body_in_lung_litres",
    "conscious_body",
    "course",
    "effect_rate_per_min",
    "feedback_for",
    "gas_in_lung_litres",
    "litres_of",
    "model_for",
    "needs_balance",
    "output_at",
    "room_system",
]

_N2O = "nitrous oxide"

#: The species whose breathing awake is printed as that of man.
_LIKE_MAN = frozenset({"human", "macaque"})

#: Weight at which the delay of the effect was measured.
_ADULT_KG = 70.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """How many animals are drawn, from which seed; ``study_of`` draws means of studies that size.

    ``which`` values they are drawn about.
    """

    count: int = 0
    seed: int | None = None
    study_of: int | None = None
    which: ValueSet = ValueSet.USER


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """How the animal breathes: by itself or by a machine, while waking, or awake at the start."""

    spontaneous: bool = True
    recovering: bool = False
    conscious: bool = False


def litres_of(ambient_kpa: float = STANDARD_ATMOSPHERE_KPA) -> "Litres":
    """Litres of the lung at a place.

    >>> round(litres_of().of_free, 3), round(litres_of(80.5).of_free, 3)
    (1.124, 1.439)
    """
    from ullage.core.kinetics import Litres

    return Litres(
        ambient_kpa=ambient_kpa,
        body_k=kelvin(sourced("kinetics", "lung_c").value),
        water_kpa=sourced("kinetics", "water_vapour_kpa").value,
    )


def effect_rate_per_min(weight_kg: float) -> float:
    """Rate [/min] at which the effect follows the brain; it goes with weight as rates do.

    >>> effect_rate_per_min(70.0), round(effect_rate_per_min(0.025), 2)
    (0.25, 1.82)
    """
    exponent = sourced("kinetics", "effect_exponent").value
    return float(sourced("kinetics", "effect_rate").value * (weight_kg / _ADULT_KG) ** exponent)


def body_in_lung_litres(
    animal: Animal, litres: "Litres", draws: Draws | None = None, *, conscious: bool = False
) -> "Body":
    """The animal, or an ensemble, with all flows in litres of the lung.

    Parameters
    ----------
    animal : with its values; its use of oxygen is counted at 0 °C and 1 atm.
    litres : of the place.
    draws : none gives the animal itself.
    conscious : True for an animal that is awake and about, as in a chamber: it breathes more.

    >>> from ullage.answers.animals import animal
    >>> mouse = animal("mouse", 0.025)
    >>> calm, awake = (
    ...     body_in_lung_litres(mouse, litres_of(), conscious=one) for one in (False, True))
    >>> round(float(awake.alveolar_l_min[0] / calm.alveolar_l_min[0]), 2)
    1.59
    """
    from ullage.core.kinetics import body_in_litres

    drawn = draws or Draws()
    body = body_of(animal, drawn.count, drawn.seed, drawn.study_of)
    return body_in_litres(conscious_body(body, animal) if conscious else body, litres)


def conscious_body(body: "Body", animal: Animal) -> "Body":
    """The same draws breathing as an animal does that is awake and moderately active.

    Parameters
    ----------
    body : drawn from the animal.
    animal : whose middle values the draws stand about.
    """
    kind = "human" if animal.species in _LIKE_MAN else "animals"
    per_hour = sourced("kinetics", f"awake.{kind}").value * animal.weight_kg**0.75
    dead = sourced("kinetics", "awake.dead_share").value
    factor = body.minute_volume_l_min / animal["minute_volume_l_min"].value
    minute = per_hour / 60.0 * factor
    return replace(body, minute_volume_l_min=minute, alveolar_l_min=minute * (1.0 - dead))


def gas_in_lung_litres(
    agent: str,
    species: str,
    litres: "Litres",
    draws: Draws | None = None,
    *,
    metabolised: bool = True,
) -> "Solubility":
    """A gas in a species, with what absorbent and circuit take of it in litres of the lung.

    >>> gas_in_lung_litres("sevoflurane", "cat", litres_of()).lost_l_min.round(3).tolist()
    [0.131]
    """
    drawn = draws or Draws()
    state = GasState(metabolised=metabolised, study_of=drawn.study_of)
    found = solubility_of(agent, species, drawn.count, drawn.seed, which=drawn.which, state=state)
    lost = table("kinetics").get(f"lost.{agent}_l_min")
    if not isinstance(lost, Sourced):
        return found
    return replace(found, lost_l_min=lost.value * litres.of_free)


def room_system(system: "System", litres: "Litres") -> "System":
    """A breathing system in litres of the lung; its gas is taken to be at 70 °F, as a flowmeter's.

    >>> from ullage.core.kinetics import System, SystemKind
    >>> chamber = System(kind=SystemKind.MIXED, inspiratory_l=4.0)
    >>> round(room_system(chamber, litres_of()).inspiratory_l, 2)
    4.5
    """
    from ullage.core.gas import F70
    from ullage.core.kinetics import system_in_litres

    return system_in_litres(system, litres, F70.temperature_k)


def needs_balance(settings: "Iterable[Setting]") -> bool:
    """True with nitrous oxide, or with any gas but oxygen and air above the share of the table.

    >>> from ullage.core.kinetics import Setting
    >>> needs_balance([Setting(start_min=0, fresh_gas_l_min=1, delivered={"isoflurane": 0.02})])
    False
    """
    most = sourced("kinetics", "balance_above_fraction").value
    free = {"oxygen", "nitrogen"}
    return any(
        share > most or (name == _N2O and share > 0.0)
        for one in settings
        for name, share in one.delivered.items()
        if name not in free
    )


def feedback_for(
    species: str, macs: "Mapping[str, Floats | float]", mode: Mode, *, balance: bool = False
) -> "Feedback":
    """The feedbacks of one animal in one mode of breathing.

    Breathing falls with the depth at the place of the effect when the animal breathes by itself;
    output of the heart stays up to a depth and falls beyond it in either mode.

    Parameters
    ----------
    species : of the animal.
    macs : [1] MAC of each gas that deepens anaesthesia, as a fraction.
    mode : by itself or by a machine, and whether it is waking.
    balance : True works the volume balance out: constant inspired flow by a machine, constant
        expired flow by itself.

    >>> by_itself, ventilated = (
    ...     feedback_for("dog", {"isoflurane": 0.0128}, Mode(spontaneous=one)) for one in (1, 0))
    >>> by_itself.ventilation_slope, ventilated.ventilation_slope, ventilated.output_from
    (0.35, 0.0, 1.2)
    """
    from ullage.core.kinetics import Feedback

    rules = depth_rules(species, next(iter(macs), ""), recovering=mode.recovering)
    return Feedback(
        mac_fraction=dict(macs),
        ventilation_slope=rules.ventilation_slope if mode.spontaneous and macs else 0.0,
        ventilation_floor=rules.ventilation_floor,
        output_slope=sourced("kinetics", "output.slope").value,
        output_from=sourced("kinetics", "output.unchanged_to_mac").value,
        at_effect=True,
        balance=balance,
        hold_expired=mode.spontaneous and balance,
    )


def output_at(depth: float) -> float:
    """Output of the heart at a steady depth, over that of the tables.

    >>> output_at(1.0), round(output_at(2.0), 2)
    (1.0, 0.83)
    """
    past = max(0.0, depth - sourced("kinetics", "output.unchanged_to_mac").value)
    return max(0.0, 1.0 - sourced("kinetics", "output.slope").value * past)


def band_of_kind(
    kind: str, middle: float, draws: "Floats", most: float = inf
) -> tuple[float, float]:
    """The 90 % band of a level, an amount or a time: its draws, and the model error of its kind.

    Parameters
    ----------
    kind : ``level``, ``amount`` or ``time``.
    middle : of the middle animal, above 0.
    draws : of the drawn ones; infinite where something never comes.
    most : above which it cannot be.

    >>> import numpy as np
    >>> [round(one, 1) for one in band_of_kind("time", 10.0, np.array([9.0, 10.0, 12.0]))]
    [7.9, 13.4]
    """
    from ullage.core.kinetics import widened_band

    share = sourced("kinetics", f"model_error.{kind}_share").value
    return widened_band(middle, draws, share, most)


def bands_of_levels(draws: "Floats") -> "Floats":
    """Low, middle and high of a level over time, draws (n, t) to (3, t).

    >>> import numpy as np
    >>> bands_of_levels(np.array([[0.0, 1.0]])).round(2).tolist()
    [[0.0, 0.88], [0.0, 1.0], [0.0, 1.14]]
    """
    from ullage.core.kinetics import widened_bands

    return widened_bands(draws, sourced("kinetics", "model_error.level_share").value)


def model_for(
    body: "Body",
    gases: "Mapping[str, Solubility]",
    system: "System",
    feedback: "Feedback",
) -> "Model":
    """The model of an animal with the delay of its effect.

    >>> from ullage.answers.animals import animal
    >>> from ullage.core.kinetics import Feedback, System, SystemKind
    >>> sea, cat = litres_of(), animal("cat", 4.0)
    >>> gas = {"isoflurane": gas_in_lung_litres("isoflurane", "cat", sea)}
    >>> found = model_for(
    ...     body_in_lung_litres(cat, sea), gas, System(kind=SystemKind.OPEN), Feedback())
    >>> found.effect_per_min.round(3).tolist()
    [0.511]
    """
    from ullage.core.kinetics import model_of

    weight = float(body.weight_kg[0])
    return model_of(body, gases, system, feedback, effect_rate_per_min(weight))


def course(model: "Model", run: "Run") -> "Floats":
    """States over time: exact where the equations are linear, by collocation where not.

    >>> from ullage.answers.animals import animal
    >>> from ullage.core.kinetics import Feedback, Run, Setting, System, SystemKind
    >>> import numpy as np
    >>> sea, cat = litres_of(), animal("cat", 4.0)
    >>> gas = {"isoflurane": gas_in_lung_litres("isoflurane", "cat", sea)}
    >>> body = body_in_lung_litres(cat, sea)
    >>> open_mask = model_for(body, gas, System(kind=SystemKind.OPEN), Feedback())
    >>> on = [Setting(start_min=0, fresh_gas_l_min=1, delivered={"isoflurane": 0.02})]
    >>> course(open_mask, Run(settings=on, times_min=np.array([10.0]))).shape
    (1, 1, 1, 12)
    """
    from ullage.core.kinetics import feedback_course, linear_course

    return feedback_course(model, run) if model.feedback.acts else linear_course(model, run)
