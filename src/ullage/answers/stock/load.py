"""Carbon dioxide that a case sends to the absorbent, by species, weight and fresh gas flow."""

from collections.abc import Iterable

from ullage.answers.animals import animal
from ullage.answers.breathing import BreathingSystem, system_named
from ullage.core.breathing import vented_fraction
from ullage.core.checks import not_negative
from ullage.core.errors import UllageError

__all__ = ["case_load_l", "takes_absorbent"]

_CIRCLES = {BreathingSystem.CIRCLE, BreathingSystem.LARGE_CIRCLE}


def takes_absorbent(system: str) -> bool:
    """Whether a breathing system, as people name it, is a circle.

    >>> takes_absorbent("Circle"), takes_absorbent("T-piece"), takes_absorbent("own make")
    (True, False, False)
    """
    try:
        return system_named(system) in _CIRCLES
    except UllageError:
        return False


def case_load_l(
    species: str, weight_kg: float | None, stretches: Iterable[tuple[float, float]]
) -> float | None:
    """[L] that reach the absorbent; None where species or weight are not known.

    Parameters
    ----------
    species : of the animal, as people name it.
    weight_kg : [kg] above 0; none where nobody has said.
    stretches : minutes and fresh gas flow [L/min] of each phase; what overflows never gets there.

    Raises
    ------
    InvalidQuantity : a time or a flow below 0.

    >>> round(case_load_l("dog", 20.0, [(60.0, 1.0)]), 1)
    2.6
    """
    given = [
        (not_negative("minutes", minutes), not_negative("flow_l_min", flow))
        for minutes, flow in stretches
    ]
    if weight_kg is None or not species.strip():
        return None
    try:
        who = animal(species, weight_kg)
    except UllageError:
        return None
    made, breath = who["co2_output_l_min"].value, who["minute_volume_l_min"].value
    return sum(made * minutes * (1.0 - vented_fraction(flow, breath)) for minutes, flow in given)
