"""The animal and the gas as the equations see them: volumes, flows and solubilities.

Every field is an array over animals, shape (n,), or (n, 7) for the tissues; one animal is n = 1.
The order of the tissues is `TISSUES`. Nothing here holds a number of its own: the values come
from the reference data through `answers`.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from ullage.core.errors import InvalidQuantity

__all__ = ["TISSUES", "Body", "Floats", "Solubility"]

type Floats = NDArray[np.float64]

#: The seven tissues; the fifth compartment of the literature comes last.
TISSUES = ("brain", "viscera", "kidney", "muscle", "poor", "fat", "intertissue")


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Animals that breathe and circulate: shape (n,) each, tissues (n, 7).

    ``alveolar_l_min`` is ventilation of the alveoli, ``minute_volume_l_min`` of the whole lung;
    ``flow_fraction`` are shares of cardiac output and add to one.
    """

    weight_kg: Floats
    cardiac_output_l_min: Floats
    alveolar_l_min: Floats
    minute_volume_l_min: Floats
    lung_l: Floats
    lung_tissue_l: Floats
    arterial_l: Floats
    venous_l: Floats
    oxygen_use_l_min: Floats
    co2_output_l_min: Floats
    shunt_fraction: Floats
    dead_alveolar_fraction: Floats
    tissue_l: Floats
    flow_fraction: Floats

    def __post_init__(self) -> None:
        for one in fields(self):
            kept = np.atleast_1d(np.asarray(getattr(self, one.name), dtype=float))
            object.__setattr__(self, one.name, kept)
            _all_positive(one.name, kept, zero=one.name.endswith("_fraction"))
        total = self.flow_fraction.sum(axis=-1)
        if np.any(np.abs(total - 1.0) > 1e-6):
            raise InvalidQuantity("flow_fraction", float(total[0]), "shares that add to 1")

    @property
    def count(self) -> int:
        """How many animals."""
        return int(self.weight_kg.shape[0])

    def map(self, change: Callable[[Floats], Floats]) -> Self:
        """The same animals with every array passed through one function (a draw, a repeat)."""
        changed = {one.name: change(getattr(self, one.name)) for one in fields(self)}
        return replace(self, **changed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solubility:
    """One gas in these animals and their system: blood/gas, tissue/blood, and what is destroyed.

    ``blood_gas`` and ``extraction_fraction`` have shape (n,), ``tissue_blood`` (n, 7).
    ``lost_l_min`` is what absorbent and circuit take up, as the flow of reservoir gas that they
    would clear.
    """

    blood_gas: Floats
    tissue_blood: Floats
    extraction_fraction: Floats
    lost_l_min: Floats | float = 0.0

    def __post_init__(self) -> None:
        for one in fields(self):
            kept = np.atleast_1d(np.asarray(getattr(self, one.name), dtype=float))
            object.__setattr__(self, one.name, kept)
            _all_positive(one.name, kept, zero=True)


def _all_positive(name: str, values: Floats, *, zero: bool) -> None:
    """Refuse arrays with a value that is not finite, or below (or at) zero."""
    worst = float(np.min(np.where(np.isfinite(values), values, -np.inf)))
    if worst < 0 or (worst == 0 and not zero):
        raise InvalidQuantity(name, worst, "0 or more" if zero else "a number above 0")
