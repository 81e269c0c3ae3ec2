"""An animal and an agent as the engine wants them: one, or many drawn from stated distributions.

Drawn values are log-normal about the value of the animal; shares of flow are made to add to one
again. Each parameter is drawn in equal slices of its distribution, so that 200 draws are enough.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp
from statistics import NormalDist
from typing import TYPE_CHECKING
from zlib import crc32

from ullage.answers.animal_things import Animal
from ullage.answers.animal_values import spread_sd
from ullage.core.errors import InvalidQuantity
from ullage.core.units import celsius
from ullage.reference import Sourced, sourced, table
from ullage.reference.solubility import TISSUES_OF_TABLE, ValueSet, blood_gas, partition
from ullage.reference.species import SIX, four_groups, tissue_set

if TYPE_CHECKING:
    from ullage.core.kinetics import Body, Floats, Solubility

__all__ = ["GasState", "body_of", "solubility_of", "tissue_shares"]

#: Value of the animal -> the spread it is drawn with; those that share one move together.
_DRAWN = {
    "cardiac_output_l_min": "cardiac_output",
    "alveolar_l_min": "alveolar",
    "minute_volume_l_min": "alveolar",
    "lung_l": "lung",
    "lung_tissue_l": "tissue_volume",
    "arterial_l": "blood",
    "venous_l": "blood",
    "oxygen_use_l_min": "metabolism",
    "co2_output_l_min": "metabolism",
    "shunt_fraction": "shunt",
    "dead_alveolar_fraction": "dead_alveolar",
}

#: A drawn fraction stays below this.
_MOST_FRACTION = 0.6


def tissue_shares(animal: Animal) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Mass and flow of the seven tissues as shares of body weight and of cardiac output.

    The seventh, the fat that is perfused between the tissues, is split off fat and viscera.

    >>> from ullage.answers.animals import animal
    >>> masses, flows = tissue_shares(animal("mouse", 0.025))
    >>> [round(one, 4) for one in flows], round(sum(flows), 9)
    ([0.035, 0.41, 0.091, 0.25, 0.124, 0.06, 0.03], 1.0)
    """
    masses, flows = _six(animal)
    fat_share = sourced("animals", "intertissue.fat_share").value
    flow_share = sourced("animals", "intertissue.flow_share").value
    whole = sum(flows)
    flows = [one / whole for one in flows]
    seventh = masses[-1] * fat_share
    masses = [*masses[:-1], masses[-1] - seventh, seventh]
    flows = [flows[0], flows[1] - flow_share, *flows[2:], flow_share]
    return tuple(masses), tuple(flows)


def _six(animal: Animal) -> tuple[list[float], list[float]]:
    if animal.groups == "four_group":
        return _from_four_groups(animal)
    rows = tissue_set(animal.stands_on)
    if not rows:
        from ullage.answers.animals import animal as another

        lender = another(animal.stands_on, animal.weight_kg, weight_is_right=True)
        return _six(lender)
    return [one.mass.value for one in rows], [one.flow.value for one in rows]


def _from_four_groups(animal: Animal) -> tuple[list[float], list[float]]:
    """The vessel-rich group split as the relative has it; muscle with skin counts as muscle."""
    groups = four_groups(animal.species)
    if groups is None:
        raise InvalidQuantity("four-group set", 0, f"in the tables for {animal.species}")
    relative = tissue_set(animal.stands_on)
    split = []
    for percents, column in ((groups.volume_percent, "mass"), (groups.flow_percent, "flow")):
        rich, muscle, fat, poor = (0.01 * one.value for one in percents)
        parts = [getattr(one, column).value for one in relative[:3]]
        split.append([rich * one / sum(parts) for one in parts] + [muscle, poor, fat])
    return split[0], split[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class GasState:
    """What a gas in an animal depends on beside the species.

    ``temperature_k`` of the animal, where the coefficients are to follow it; ``metabolised`` False
    leaves the destruction in the liver out; ``study_of`` draws the means of studies of that size.
    """

    temperature_k: float | None = None
    metabolised: bool = True
    study_of: int | None = None


@lru_cache(maxsize=1024)
def _normal_slices(draws: int, seed: tuple[int, int] | None) -> "Floats":
    """Standard normal numbers in equal slices; a plan that is asked for again takes them again."""
    import numpy as np

    dice = np.random.default_rng(seed)
    slices = (dice.permutation(draws) + dice.random(draws)) / draws
    inverse = NormalDist().inv_cdf
    found = np.array([inverse(min(max(one, 1e-9), 1 - 1e-9)) for one in slices])
    found.flags.writeable = False
    return found


class _Dice:
    """Standard normal numbers by name, each in equal slices; the same name gives the same.

    What they are of goes into the seed, so that a body and a gas drawn alike stay independent.
    """

    def __init__(self, of: str, draws: int, seed: int | None) -> None:
        self.of, self.draws, self.seed = of, draws, seed

    def normal(self, name: str) -> "Floats":
        """Standard normal numbers of this name."""
        own = crc32(f"{self.of}: {name}".encode())
        if self.seed is None:
            return _normal_slices.__wrapped__(self.draws, None)
        return _normal_slices(self.draws, (self.seed, own))

    def factor(self, name: str, sd: float) -> "Floats":
        """Log-normal factors about one."""
        import numpy as np

        drawn: Floats = np.exp(sd * self.normal(name))
        return drawn


def body_of(
    animal: Animal,
    draws: int = 0,
    seed: int | None = None,
    study_of: int | None = None,
) -> "Body":
    """The animal as the engine wants it: one, or an ensemble drawn from its distributions.

    Parameters
    ----------
    animal : with its values.
    draws : [1] number of animals drawn; 0 gives the animal itself.
    seed : [1] of the draws.
    study_of : [1] draw the means of studies of this many animals, and not single animals.

    Raises
    ------
    InvalidQuantity : a number of draws below 0.

    >>> from ullage.answers.animals import animal
    >>> cat = animal("cat", 4.0)
    >>> body_of(cat).count, body_of(cat, draws=50, seed=1).count
    (1, 50)
    """
    import numpy as np

    from ullage.core.kinetics import Body

    if draws < 0:
        raise InvalidQuantity("draws", draws, "0 or more")
    count = max(draws, 1)
    dice = _Dice("body", count, seed) if draws else None
    drawn = {}
    for name, spread in _DRAWN.items():
        middle = np.full(count, animal[name].value)
        if dice is not None:
            sd = spread_sd(spread, borrowed=animal.borrowed, study_of=study_of)
            middle = middle * dice.factor(spread, sd)
        drawn[name] = np.minimum(middle, _MOST_FRACTION) if name.endswith("fraction") else middle
    masses, flows = tissue_shares(animal)
    volumes = np.tile(np.array(masses) * animal.weight_kg, (count, 1))
    shares = np.tile(np.array(flows), (count, 1))
    if dice is not None:
        volumes = volumes * _tissue_factors(animal, dice, "volume", study_of)
        shares = shares * _tissue_factors(animal, dice, "flow", study_of)
        shares /= shares.sum(axis=1, keepdims=True)
    return Body(
        weight_kg=np.full(count, animal.weight_kg), tissue_l=volumes, flow_fraction=shares, **drawn
    )


def _tissue_factors(animal: Animal, dice: _Dice, kind: str, study_of: int | None) -> "Floats":
    """One factor per tissue; the seventh moves with fat."""
    import numpy as np

    columns = []
    for tissue in (*SIX, "fat"):
        spread = f"tissue_{kind}" if kind == "flow" or tissue != "fat" else "fat_volume"
        sd = spread_sd(spread, borrowed=animal.borrowed, study_of=study_of)
        columns.append(dice.factor(f"{kind} of {tissue}", sd))
    return np.stack(columns, axis=1)


def solubility_of(
    agent: str,
    species: str,
    draws: int = 0,
    seed: int | None = None,
    *,
    which: ValueSet = ValueSet.USER,
    state: GasState | None = None,
) -> "Solubility":
    """A gas in the blood and tissues of a species, as the engine wants it.

    Parameters
    ----------
    agent : the gas; oxygen is used up and not dissolved.
    species : whose blood.
    draws : [1] number drawn; 0 gives the middle values.
    seed : [1] of the draws.
    which : values of a user, or those that the published comparisons were run with.
    state : of the animal and the draws; none is a warm animal that destroys what it destroys.

    Raises
    ------
    UnknownReference : a gas without coefficients.

    >>> solubility_of("isoflurane", "horse").blood_gas.tolist()
    [0.92]
    """
    import numpy as np

    from ullage.core.kinetics import Solubility

    count = max(draws, 1)
    if agent == "oxygen":
        return Solubility(
            blood_gas=np.zeros(count),
            tissue_blood=np.ones((count, 7)),
            extraction_fraction=np.zeros(count),
        )
    given = state or GasState()
    row, of = blood_gas(agent, species, which)
    blood = np.full(count, row.value * _cooling_factor(given.temperature_k))
    tissue = [partition(agent, f"{one}_blood").value for one in TISSUES_OF_TABLE]
    tissues = np.tile(np.array(tissue), (count, 1))
    extracted = partition(agent, "hepatic_extraction").value * given.metabolised
    extraction = np.full(count, extracted)
    if draws:
        dice = _Dice(agent, count, seed)
        sd = _blood_sd(agent, given.study_of, borrowed=of != species)
        blood = blood * dice.factor("blood", sd)
        extraction = extraction * dice.factor("extraction", _sd("extraction", given.study_of))
        tissues = tissues * _by_tissue(dice, _sd("tissue_blood", given.study_of))
    return Solubility(
        blood_gas=blood,
        tissue_blood=tissues,
        extraction_fraction=np.minimum(extraction, _MOST_FRACTION),
    )


def _sd(name: str, study_of: int | None) -> float:
    return spread_sd(name, study_of=study_of, name_of="solubility")


def _blood_sd(agent: str, study_of: int | None, *, borrowed: bool) -> float:
    """Of the logarithm; a gas whose printed values lie far apart has a spread of its own."""
    base = _sd("blood_gas", study_of)
    own = table("solubility").get(f"spread.{agent}.species")
    parts = [base]
    if isinstance(own, Sourced):
        parts.append(own.value)
    if borrowed:
        parts.append(sourced("solubility", "spread.blood_gas.borrowed").value)
    total: float = sum(one * one for one in parts) ** 0.5
    return total


def _by_tissue(dice: _Dice, sd: float) -> "Floats":
    import numpy as np

    names: Sequence[str] = (*SIX, "fat")
    return np.stack([dice.factor(f"solubility in {one}", sd) for one in names], axis=1)


def _cooling_factor(temperature_k: float | None) -> float:
    """How much more blood holds when it is colder than the tables."""
    if temperature_k is None:
        return 1.0
    slope = sourced("solubility", "cooling_per_k").value
    return exp(slope * (sourced("solubility", "reference_c").value - celsius(temperature_k)))
