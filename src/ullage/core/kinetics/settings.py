"""What the person at the machine sets: the breathing system and its settings over time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise

from ullage.core.checks import not_negative, positive, within
from ullage.core.errors import InvalidQuantity

__all__ = ["Setting", "System", "SystemKind", "ordered"]


class SystemKind(StrEnum):
    """How fresh gas reaches the lung, as far as the equations differ."""

    OPEN = "open"
    MIXED = "mixed"
    CIRCLE = "circle"


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """A breathing system: open, one mixed volume, or a circle with two sides.

    ``inspiratory_l`` is the whole volume of a mixed system; ``reservoir_l`` is the side of a
    circle that holds the bag.
    """

    kind: SystemKind
    inspiratory_l: float = 1.0
    reservoir_l: float = 1.0

    def __post_init__(self) -> None:
        positive("inspiratory_l", self.inspiratory_l)
        positive("reservoir_l", self.reservoir_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Settings that stand from one minute on: fresh gas, its composition, ventilation.

    ``delivered`` maps a gas to its fraction in the fresh gas. ``ventilation`` scales the
    ventilation of the animal (0 is apnoea), 1 leaves it as it is.
    """

    start_min: float
    fresh_gas_l_min: float
    delivered: Mapping[str, float] = field(default_factory=dict)
    ventilation: float = 1.0

    def __post_init__(self) -> None:
        not_negative("fresh_gas_l_min", self.fresh_gas_l_min)
        not_negative("ventilation", self.ventilation)
        for gas, fraction in self.delivered.items():
            within(f"delivered fraction of {gas}", fraction, 0.0, 1.0)
        total = sum(self.delivered.values())
        if total > 1.0 + 1e-9:
            raise InvalidQuantity("delivered fractions", total, "1 or less together")


def ordered(settings: Sequence[Setting]) -> tuple[Setting, ...]:
    """Settings by their start; refuse none at all and two at the same minute."""
    if not settings:
        raise InvalidQuantity("settings", 0, "one or more")
    found = tuple(sorted(settings, key=lambda one: one.start_min))
    for first, second in pairwise(found):
        positive("minutes between two settings", second.start_min - first.start_min)
    return found
